// Coil springs against text-book examples and their own laws.
#include "near.h"

#include "dampfork/spring.h"

static const double INCH = 25.4e-3, LBF = 4.4482216152605; // m, N

START_TEST(helical_rates)
{
  double pounds = df_spring_helical_rate(0.037*INCH, 0.400*INCH, 10.5, 11.85e6*LBF/(INCH*INCH))*INCH/LBF;
  near(pounds, 4.13, 0.005, "Shigley, Mechanical Engineering Design, ex. 10-1 (from memory)");
  near(pounds, 4.1311, 5e-5, "the same, recomputed");
  near(1e-3*df_spring_helical_rate(2.5e-3, 31e-3 - 2.5e-3, 13, 81e9), 1.314, 5e-4, "Shigley, problem 10-3");
}
END_TEST

START_TEST(spring_of_a_safety_valve)
{
  const char *source = "Bhandari, Design of Machine Elements, ex. 10.9 (transcription)";
  double area = M_PI/4*0.05*0.05, closed = 1.5e6*area, open = closed*35/25; // 25 mm preload, 10 mm lift
  near(closed, 2945.2, 0.05, source);
  near(open, 4123.3, 0.05, source);
  near(df_spring_wahl(6), 1.2525, 5e-5, source);
  double wire = sqrt(8*open*6*df_spring_wahl(6)/(M_PI*450e6)); // m, for 450 MPa with D = 6 d
  near(1e3*wire, 13.2420, 5e-5, source);
  near_share(df_spring_shear_stress(open, wire, 6*wire), 450e6, 1e-12, source);
  double turns = df_spring_helical_rate(14e-3, 84e-3, 1, 81.37e9)/(closed/25e-3); // working coils
  near(turns, 5.5959, 5e-5, source);
}
END_TEST

static struct df_spring coil(double rate, double second, double change, double bind)
{
  return (struct df_spring){.rate = rate, .second_rate = second, .change_at = change, .free_length = 0.42,
                            .solid_length = 0.42 - bind, .wire = NAN, .outside = NAN, .coils = NAN};
}

START_TEST(two_rates_and_bind)
{
  struct df_spring spring = coil(6e3, 9e3, 0.08, 0.275);
  struct df_spring_law law = df_spring_law_of(&spring);
  near(df_spring_force(&law, -0.01, NULL), 0, 0, "loose coils");
  near(df_spring_force(&law, 0.05, NULL), 300, 1e-9, "first rate");
  near(df_spring_force(&law, 0.1, NULL), 480 + 180, 1e-9, "second rate past the change");
  near(df_spring_force(&law, 0.2751, NULL), 480 + 9e3*0.195 + 2e6*1e-4, 1e-6, "coils on coils: 2000 N/mm");
  spring = coil(9e3, NAN, NAN, 0.275);
  law = df_spring_law_of(&spring);
  near(df_spring_force(&law, 0.2, NULL), 1800, 1e-9, "one rate");
  spring.free_length = NAN;
  law = df_spring_law_of(&spring);
  near(df_spring_force(&law, 0.5, NULL), 4500, 1e-9, "no known bind");
}
END_TEST

START_TEST(springs_in_series)
{
  double k1 = 8e3, b1 = 0.03, k2 = 12e3;
  struct df_spring_law law = df_spring_series(k1, b1, k2, 0.2);
  for (double force = 10; force < 1500; force += 10) {
    double travel = fmin(force/k1, b1) + force/k2; // each by itself
    if (travel < 0.2) near(df_spring_force(&law, travel, NULL), force, 1e-9, "two springs bear one force");
  }
}
END_TEST

START_TEST(slope_and_energy_belong_to_the_force)
{
  struct df_spring springs[] = {coil(6e3, 9e3, 0.08, 0.15), coil(9e3, NAN, NAN, 0.15), coil(6e3, 9e3, 0.2, 0.15)};
  for (int i = 0; i < 3; i++) {
    struct df_spring_law law = df_spring_law_of(&springs[i]);
    double energy = 0, step = 1e-5;
    near(df_spring_energy(&law, -0.1), 0, 0, "loose coils");
    for (double d = -0.02; d < 0.17; d += step) {
      double slope, middle = df_spring_force(&law, d + 0.5*step, &slope);
      energy += middle*step;
      near(df_spring_energy(&law, d + step), energy, 2e-4, "midpoint sum; kinks of 2e6 N/m cost 1e-4 J");
      double rise = (df_spring_force(&law, d + 0.51*step, NULL) - df_spring_force(&law, d + 0.49*step, NULL))/(0.02*step);
      near(rise, slope, 1e-3*slope + 1e-3, "difference quotient");
    }
  }
}
END_TEST

START_TEST(wire_coils_and_mass)
{
  struct df_spring spring = coil(9e3, NAN, NAN, 0.2);
  struct df_spring_made made = df_spring_made_of(&spring);
  ck_assert(isnan(made.rate) && isnan(made.solid_length) && isnan(made.mass));
  spring.wire = 5e-3;
  spring.outside = 33e-3;
  spring.coils = 30;
  made = df_spring_made_of(&spring);
  near_share(made.rate, 81.5e9*pow(5e-3, 4)/(8*pow(28e-3, 3)*28), 1e-12, "G d4/(8 D3 n)");
  near(made.solid_length, 0.15, 1e-12, "coils times wire");
  near_share(made.mass, 7850*M_PI/4*25e-6*M_PI*28e-3*30, 1e-12, "length of the wire times its section");
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("coil");
  TCase *cases = tcase_create("coil");
  tcase_add_test(cases, helical_rates);
  tcase_add_test(cases, spring_of_a_safety_valve);
  tcase_add_test(cases, two_rates_and_bind);
  tcase_add_test(cases, springs_in_series);
  tcase_add_test(cases, slope_and_energy_belong_to_the_force);
  tcase_add_test(cases, wire_coils_and_mass);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
