// The second writing of the leg against the worked figures of docs/theory.md, appendix A: each to
// half a unit of its last printed digit.
#include "near.h"

#include <stdio.h>

#include "second_leg.h"

static const char source[] = "worked figures of docs/theory.md, appendix A";
enum { PLAIN, VALVED };

struct fork { struct df_scenario scenario; struct second_leg leg[2]; };

static const struct second_leg *fork_of(struct fork *fork, int valved)
{
  appendix_a_scenario(&fork->scenario, valved);
  for (int i = 0; i < 2; i++) second_leg_init(&fork->leg[i], &fork->scenario, i, NULL, 303.15);
  return &fork->leg[0];
}

START_TEST(oil_and_sections)
{
  struct fork fork;
  const struct second_leg *leg = fork_of(&fork, VALVED);
  near(leg->oil.mu/leg->oil.rho*1e6, 50.6300, 0.00005, source); // mm2/s
  near(leg->oil.rho, 860.5531, 0.00005, source);
  near(leg->oil.mu, 0.0435698, 0.00000005, source);
  near(leg->oil.stiffness*1e-9, 1.235294, 0.0000005, source); // GPa
  near(leg->tube*1e6, 1320.2543, 0.00005, source);            // mm2
  near(leg->bore*1e6, 1052.0880, 0.00005, source);
  near(leg->rod*1e6, 380.1327, 0.00005, source);
  near(leg->hollow*1e6, 153.9380, 0.00005, source);
  near(leg->rod_volume*1e6, 40.0239, 0.00005, source);        // cm3
  near(second_sprung_mass(&fork.scenario), 113.56, 0.005, source);
}
END_TEST

// Constants of a path, as printed with seven digits.
#define constants(path, want1, want2) do { \
    struct second_path path_ = (path); \
    near_share(path_.k1, want1, 5e-7, source); \
    near_share(path_.k2, want2, 5e-7, source); } while (0)

START_TEST(paths_of_the_plain_rod)
{
  struct fork fork;
  const struct second_leg *leg = fork_of(&fork, PLAIN);
  const struct second_oil *oil = &leg->oil;
  constants(second_hole_path(oil, &leg->compression.at[0], 0), 5.160042e6, 2.973687e11);
  constants(second_hole_path(oil, &leg->rebound.at[0], 0), 2.006621e8, 1.174151e13);
  constants(((struct second_path){1, leg->compression.bore1, leg->compression.bore2}), 1.201454e7,
            3.631498e10);
  constants(leg->check, 3.733053e6, 7.257152e10);
  constants(leg->leak, 3.513061e11, 5.379997e13);
  constants(leg->ring, 2.346490e9, 3.512462e15);
}
END_TEST

START_TEST(paths_of_the_valved_rod)
{
  struct fork fork;
  const struct second_leg *leg = fork_of(&fork, VALVED);
  const struct second_oil *oil = &leg->oil;
  constants(second_hole_path(oil, &leg->compression.at[0], 0), 1.408531e6, 2.637104e10);
  constants(second_hole_path(oil, &leg->compression.at[0], 1), 1.408531e6, 2.719069e10);
  constants(second_hole_path(oil, &leg->valve.bleed.at[0], 0), 5.055704e8, 5.637715e13);
  constants(leg->valve.back, 3.041747e6, 1.257291e11);
  near_share(leg->valve.k2_port, 6.876932e10, 5e-7, source);
}
END_TEST

START_TEST(rest)
{
  static const double x[] = {36.1274, 36.1322}, p[] = {131.866, 131.833},
      relaxed[] = {37.148, 37.151}, middle[] = {170.5824, 170.4753};
  for (int valved = 0; valved < 2; valved++) {
    struct fork fork;
    const struct second_leg *leg = fork_of(&fork, valved);
    near(second_gas_volume(leg, 0, leg->oil0)*1e6, 258.9254, 0.00005, source);
    near((leg->gas0 - leg->tube*0.13)*1e6, 87.2923, 0.00005, source);
    double x0 = second_rest_travel(&fork.scenario, fork.leg);
    near(x0*1e3, x[valved], 0.00005, source);
    near(second_rest_pressure(leg, x0)*1e-3, p[valved], 0.0005, source);
    near(second_rest_pressure(leg, 0.065)*1e-3, middle[valved], 0.00005, source);
    for (int i = 0; i < 2; i++) fork.scenario.side[i].air.thermal_time = 0.5;
    near(second_rest_travel(&fork.scenario, fork.leg)*1e3, relaxed[valved], 0.0005, source);
  }
}
END_TEST

struct row { double v, damping[2], lift; }; // m/s; N plain, valved; mm

START_TEST(steady_at_middle)
{
  static const struct row rows[] = {{0.1, {0.8860, 12.5129}, 0}, {0.3, {3.4480, 47.9141}, .05133},
                                    {1, {31.3648, 75.7266}, .32119},
                                    {3, {264.6300, 274.2260}, .96853},
                                        {-0.1, {-44.5519, -42.2885}, 0},
                                    {-0.3, {-380.6564, -361.4938}, 0},
                                        {-1, {-4947.158, -4865.942}, 0}};
  for (int valved = 0; valved < 2; valved++) {
    struct fork fork;
    const struct second_leg *leg = fork_of(&fork, valved);
    for (int i = 0; i < 7; i++) {
      struct second_steady s;
      ck_assert_int_eq(second_steady_of(leg, 0.065, rows[i].v, &s), 0);
      near(s.damping, rows[i].damping[valved], rows[i].v == -1 ? 0.0005 : 0.00005, source);
      near(s.lift*1e3, valved ? rows[i].lift : 0, 0.000005, source);
    }
  }
}
END_TEST

START_TEST(cracking_and_ratios)
{
  static const double up[] = {.00830, .11555}, down[] = {.97452, .92842};
  for (int valved = 0; valved < 2; valved++) {
    struct fork fork;
    const struct second_leg *leg = fork_of(&fork, valved);
    near(second_damping_ratio(&fork.scenario, fork.leg, 0.3), up[valved], 0.000005, source);
    near(second_damping_ratio(&fork.scenario, fork.leg, -0.3), down[valved], 0.000005, source);
    if (!valved) continue;
    near(second_valve_crack(&leg->valve)*1e-3, 164.1285, 0.00005, source);
    near(second_cracking_speed(leg, 0.065), 0.208589, 0.0000005, source);
  }
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("appendix_leg");
  TCase *cases = tcase_create("appendix_leg");
  tcase_set_timeout(cases, 30);
  tcase_add_test(cases, oil_and_sections);
  tcase_add_test(cases, paths_of_the_plain_rod);
  tcase_add_test(cases, paths_of_the_valved_rod);
  tcase_add_test(cases, rest);
  tcase_add_test(cases, steady_at_middle);
  tcase_add_test(cases, cracking_and_ratios);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
