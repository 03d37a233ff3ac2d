// Every exact solution against a printed figure, or against the other way of getting it.
#include "near.h"

#include <math.h>
#include <string.h>

#include "exact.h"
#include "second_radau.h"

static const char closed[] = "closed form, worked twice";

START_TEST(falls_and_decays)
{
  struct exact_fall fall = exact_free_fall(10, 5000, 0.5);
  near(fall.deflection, 0.16102751971, 5e-12, closed);
  near(fall.contact, 0.15294157997, 5e-12, closed);
  struct exact_sticking stick = exact_coulomb_decay(100, 0.7, 0.1);
  ck_assert_int_eq(stick.half_cycles, 7);
  near(stick.place, -0.002, 1e-15, closed);
  near(stick.lost, 0.4998, 1e-15, closed);
  double x = 50;
  static const double want[] = {24.38706, 16.30604, 12.27175}; // mm
  for (int i = 0; i < 3; i++) {
    x = exact_quadratic_decay(0.015, x); // 100 kg, 1500 N s2/m2: 0.015 1/mm
    near(x, want[i], 5e-6, closed);
  }
}
END_TEST

START_TEST(cycles)
{
  // the loop of a square law by 2000 intervals, the same work by its equivalent damping
  double a = 250, w = 12, x = 0.04, sum = 0;
  int n = 2000;
  for (int i = 0; i < n; i++) {
    double v = x*w*cos(2*M_PI*(i + 0.5)/n);
    sum += a*v*fabs(v)*v*2*M_PI/w/n;
  }
  near_share(sum, exact_cycle_square(a, w, x), 1e-6, "midpoint rule");
  near_share(exact_cycle_linear(exact_equivalent_damping(a, w, x), w, x),
             exact_cycle_square(a, w, x), 1e-14, closed);
  near(exact_cycle_coulomb(35, 0.025), 3.5, 1e-14, closed);
  // a series pair: force from the complex modulus; nearly a damper when slow, nearly a spring when
  // fast
  near_share(exact_series_force(800, 1e5, 3, 0.02), 800*3*0.02/sqrt(1 + pow(3*800/1e5, 2)), 1e-14,
             closed);
  near_share(exact_series_force(800, 1e5, 1e6, 0.02), 2000, 1e-6, closed);
  double loss = 800/(1 + pow(3*800/1e5, 2)); // imaginary part of the modulus over w
  near_share(exact_series_energy(800, 1e5, 3, 0.02), M_PI*loss*3*0.02*0.02, 1e-14, closed);
}
END_TEST

static const struct exact_vehicle car = {240, 36, 16000, 980, 160000};

START_TEST(invariant_points)
{
  static const char source[] = "Hedrick and Butsuen 1990";
  struct exact_point axle = exact_axle_point(240, 36, 160000),
      travel = exact_travel_point(240, 36, 160000);
  for (int i = 0; i < 4; i++) {
    struct exact_vehicle any = car;
    any.damping = 100*pow(5, i), any.stiffness = 4000*pow(3, i);
    near_share(exact_vehicle_gains(&any, axle.w).acceleration, axle.gain, 1e-12, source);
    near_share(exact_vehicle_gains(&any, travel.w).travel*travel.w, travel.gain, 1e-12, source);
  }
}
END_TEST

START_TEST(white_noise)
{
  static const char source[] = "closed form of the variances, class B at 20 m/s";
  double q = exact_road_intensity(64e-6, 20);
  struct exact_variances form = exact_white_noise(&car, q),
      lyapunov = exact_white_noise_lyapunov(&car, q);
  near(sqrt(form.acceleration), 0.70854, 5e-6, source);
  near(sqrt(form.travel)*1e3, 5.96481, 5e-6, source);
  near(sqrt(form.tyre)*1e3, 2.25105, 5e-6, source);
  near_share(lyapunov.acceleration, form.acceleration, 1e-12, "Lyapunov's equation");
  near_share(lyapunov.travel, form.travel, 1e-12, "Lyapunov's equation");
}
END_TEST

START_TEST(roughness)
{
  static const char source[] = "ASTM E1926, World Bank TP 46, printed for 0.25 m";
  double st[4][4], pr[4];
  exact_roughness_step(0.25, st, pr);
  for (int i = 0; i < 4; i++) {
    for (int j = 0; j < 4; j++) near_share(st[i][j], exact_roughness_st[i][j], 5e-7, source);
    // PR1 is printed to 4 good digits
    near_share(pr[i], exact_roughness_pr[i], i == 0 ? 1e-4 : 5e-7, source);
  }
  near(exact_roughness_gain(2.292), 1.6765, 5e-5, "computed from the published constants");
  near(exact_roughness_gain(15.777), 1.5376, 5e-5, "computed from the published constants");
}
END_TEST

// A sine of 2 mm and 12 m: the recursion's mean is 2/pi of the gain's amplitude; a straight slope
// comes back as nothing.
START_TEST(roughness_of_a_sine)
{
  enum { N = 24001 };
  static double z[N], tilt[N];
  double spacing = 0.05, wave = 12, k = 2*M_PI/wave;
  for (int i = 0; i < N; i++) z[i] = 0.002*sin(k*i*spacing), tilt[i] = 0.01*i*spacing;
  near_share(exact_roughness_index(z, N, spacing, 0), 2/M_PI*0.002*k*exact_roughness_gain(wave),
             3e-3,
             "gain on a sine; the first waves swing in");
  near(exact_roughness_index(tilt, N, spacing, 0), 0, 1e-12, "a plane has no roughness");
}
END_TEST

START_TEST(shocks)
{
  static const char ayre[] = "Ayre, Harris handbook (from memory)",
      hartog[] = "Den Hartog 1931 (formula from memory)";
  static const double ratio[] = {0.25, 0.5, 1, 1.5, 0.80993},
      want[] = {0.942809, M_PI/2, 1.7320508, 1.5, 1.768458};
  for (int i = 0; i < 5; i++) near(exact_half_sine(ratio[i]), want[i], 5e-7, ayre);
  near(exact_half_sine(0.5 - 1e-6), M_PI/2, 1e-5, ayre);
  near(exact_half_sine(0.5 + 1e-6), M_PI/2, 1e-5, ayre);
  near(exact_den_hartog(0.8, 0.4), 2.50179, 5e-6, hartog);
  near(exact_den_hartog(1.25, 0.3), 1.61706, 5e-6, hartog);
  near(exact_den_hartog(2, 0.2), 0.31798, 5e-6, hartog);
  near(exact_damping_ratio(0.25), 0.4037, 5e-5, "Rao, Mechanical Vibrations, example 2-14");
}
END_TEST

// The implicit method of the second ride on both stiff systems: nine digits.
START_TEST(stiff_systems)
{
  const struct exact_system *systems[] = {&exact_van_der_pol, &exact_hires};
  const struct exact_system *s = systems[_i];
  double y[8], scale[8], t = 0;
  memcpy(y, s->start, sizeof y);
  for (int i = 0; i < 8; i++) scale[i] = 1e-4;
  struct second_radau *r = second_radau_create(s->n, 0, s->rates, NULL, scale, 1e-11);
  ck_assert_int_eq(second_radau_advance(r, &t, s->end, y, NULL), 0);
  for (int i = 0; i < s->n; i++) near_share(y[i], s->result[i], 1e-9, "Bari test set");
  second_radau_destroy(r);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("exact_values");
  TCase *cases = tcase_create("exact_values");
  tcase_set_timeout(cases, 30);
  tcase_add_test(cases, falls_and_decays);
  tcase_add_test(cases, cycles);
  tcase_add_test(cases, invariant_points);
  tcase_add_test(cases, white_noise);
  tcase_add_test(cases, roughness);
  tcase_add_test(cases, roughness_of_a_sine);
  tcase_add_test(cases, shocks);
  tcase_add_loop_test(cases, stiff_systems, 0, 2);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
