// The linear quarter vehicle through the real program: what textbooks print of it must come out of rides.
#include "near.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_randist.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "dampfork/reader.h"
#include "dampfork/ride.h"

static const char *const textbook =
  "bike:  {wet_mass: 200 kg, front_share: 50 %, front_unsprung_mass: 16 kg, wheelbase: 1440 mm, mass_height: 600 mm, rake: 0 degree}\n"
  "rider: {mass: 80 kg, front_share: 42 %}\n"
  "tyre:  {stiffness: 150 N/mm, damping: 0 N.s/m, radius: 300 mm, contact: point, slope_force: off, bilateral: on}\n"
  "leg:   {tube_outside: 41 mm, travel: 130 mm, linear: {rate: 8 N/mm, damping: 500 N.s/m}}\n"
  "rod:   {compression_holes: [{count: 2, diameter: 6 mm}], rebound_holes: [{count: 2, diameter: 2.2 mm}]}\n"
  "oil:   {viscosity_40: 32 mm2/s}\n";
static const double sprung = 100 + 33.6 - 16, unsprung = 16, stiffness = 150e3, rate = 16e3, damping = 1000; // kg, kg, N/m, N/m, N s/m

static struct df_units *units;
static struct df_reading *read_text(const char *base, const char *more, const char *folder)
{
  char text[4096];
  struct df_faults faults = { 0 };
  struct df_reading *reading = NULL;
  snprintf(text, sizeof text, "%s%s", base, more);
  if (!units) units = df_reading_units_create(&faults);
  enum df_status status = df_reading_create_text(&reading, units, "textbook", folder, text, strlen(text), NULL, &faults);
  ck_assert_msg(status == DF_OK, "%s: %s", faults.n ? faults.at[0].key : "", faults.n ? faults.at[0].text : "?");
  return reading;
}

// Amplitude at frequency w (rad/s) over whole periods at the end of a trace.
static double amplitude(const double *y, int n, double dt, double w, int periods)
{
  int span = (int)lround(periods*2*M_PI/w/dt), first = n - 1 - span;
  double a = 0, b = 0;
  ck_assert_int_gt(first, n/3);
  for (int i = 0; i < span; i++) {
    double t = (first + i)*dt;
    a += y[first + i]*cos(w*t), b += y[first + i]*sin(w*t);
  }
  return 2*hypot(a, b)/span;
}

// A sine road at exactly w: 5 m waves at the speed that this takes.
static void ride_sine(double w, double *body, double *travel)
{
  char road[256];
  double speed = w/(2*M_PI)*2;                         // m/s over waves of 2 m
  snprintf(road, sizeof road, "roads: {sine: {kind: washboard, height: 10 mm, wave_length: 2 m, length: %.0f m, speed: %.15g m/s}}\n", 40*speed/10 + 200, speed);
  struct df_reading *reading = read_text(textbook, road, "");
  struct df_ride ride;
  struct df_ride_options options = { .channels = 1ull << DF_C_HEIGHT | 1ull << DF_C_TRAVEL, .tolerance = 1e-6, .sample_step = 2*M_PI/w/200 };
  ck_assert_int_eq(df_ride_run(df_reading_scenario(reading), 0, &options, &ride, NULL), DF_OK);
  double moved = ride.moments.end;
  ck_assert(moved > 3);
  int n = (int)((df_reading_scenario(reading)->road[0].speed > 0 ? ride.trace.n : 0)*0.97);   // before the last wave's end
  *body = amplitude(ride.trace.at[DF_C_HEIGHT], n, ride.trace.step, w, 10);
  *travel = amplitude(ride.trace.at[DF_C_TRAVEL], n, ride.trace.step, w, 10);
  df_ride_finish(&ride);
  df_reading_destroy(reading);
}

START_TEST(invariant_points)
{
  static const char *const source = "Hedrick & Butsuen 1990: invariant points of a quarter vehicle on an undamped tyre";
  double body, travel, road = 5e-3;
  ride_sine(sqrt(stiffness/unsprung), &body, &travel);
  near_share(body/road, unsprung/sprung, 1e-3, source);
  ride_sine(sqrt(stiffness/(sprung + unsprung)), &body, &travel);
  near_share(travel/road, 1 + unsprung/sprung, 1e-3, source);
}
END_TEST

START_TEST(white_noise_variances)
{
  static const char *const source = "mean squares of a linear quarter vehicle on white road velocity, e.g. Hedrick & Butsuen 1990";
  enum { SEEDS = 24 };
  double acceleration = 0, travel = 0, speed = 20;
  for (int seed = 1; seed <= SEEDS; seed++) {
    char road[256];
    snprintf(road, sizeof road, "roads: {rough: {kind: random, class: B, speed: 20 m/s, length: 2500 m, seed: %d}}\n", seed);
    struct df_reading *reading = read_text(textbook, road, "");
    struct df_ride ride;
    struct df_ride_options options = { .channels = 1ull << DF_C_ACCELERATION | 1ull << DF_C_TRAVEL, .tolerance = 1e-3, .sample_step = 1e-3 };
    ck_assert_int_eq(df_ride_run(df_reading_scenario(reading), 0, &options, &ride, NULL), DF_OK);
    double a = 0, x = 0;
    int first = (int)(ride.moments.window_start/ride.trace.step) + 2000, n = ride.trace.n - first;
    for (int i = first; i < ride.trace.n; i++)
      a += pow(ride.trace.at[DF_C_ACCELERATION][i], 2), x += pow(ride.trace.at[DF_C_TRAVEL][i], 2);
    acceleration += a/n/SEEDS, travel += x/n/SEEDS;
    df_ride_finish(&ride);
    df_reading_destroy(reading);
  }
  double q = 2*M_PI*M_PI*64e-6*0.01*speed, all_mass = sprung + unsprung; // m2/s: 2 pi^2 Gd n0^2 V, class B of ISO 8608
  near_share(acceleration, q/2*(damping*stiffness/(sprung*sprung) + rate*rate*all_mass/(damping*sprung*sprung)), 0.02, source);
  near_share(travel, q/2*all_mass/damping, 0.02, source);
}
END_TEST

// ---- roughness index: a recorded profile through the linear leg against the published recursion ----
static void multiply(const double a[4][4], double z[4], const double b[4], double slope)
{
  double next[4];
  for (int i = 0; i < 4; i++) {
    next[i] = b[i]*slope;
    for (int j = 0; j < 4; j++) next[i] += a[i][j]*z[j];
  }
  memcpy(z, next, sizeof next);
}

START_TEST(roughness_index)
{
  static const char *const source = "ASTM E1926 / World Bank technical paper 46: recursion for 0.25 m";
  static const double st[4][4] = { { 0.9966071, 0.01091514, -0.002083274, 0.0003190145 }, { -0.5563044, 0.9438768, -0.8324718, 0.05064701 },
                                   { 0.02153176, 0.002126763, 0.7508714, 0.008221888 }, { 3.335013, 0.3376467, -39.12762, 0.4347564 } };
  static const double pr[4] = { 0.005476107, 1.388776, 0.2275968, 35.79262 };
  enum { N = 3200 };
  double z[N], state[4] = { 0 }, sum = 0;
  int from = 400, counted = 0;
  char folder[] = "/tmp/dampfork-roughness-XXXXXX", path[128];
  ck_assert_ptr_nonnull(mkdtemp(folder));
  snprintf(path, sizeof path, "%s/profile.csv", folder);
  FILE *file = fopen(path, "w");
  gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
  fprintf(file, "distance_m,height_mm\n");
  for (int i = 0; i < N; i++) {                        // a random walk: a road of waviness 2
    z[i] = i ? 0.999*z[i - 1] + gsl_ran_gaussian(random, 1e-3) : 0;
    fprintf(file, "%.17g,%.17g\n", 0.25*i, z[i]*1e3);
  }
  fclose(file);
  gsl_rng_free(random);
  for (int i = 1; i < N; i++) {
    multiply(st, state, pr, (z[i] - z[i - 1])/0.25);
    if (i > from) sum += fabs(state[0] - state[2]), counted++;
  }
  double published = sum/counted;                      // m/m
  // the same car per kilogram of sprung mass: 240 kg
  static const char *const car =
    "bike:  {wet_mass: 300 kg, front_share: 92 %, front_unsprung_mass: 36 kg, wheelbase: 1440 mm, mass_height: 600 mm, rake: 0 degree, legs: 1}\n"
    "rider: {mass: 0 kg, front_share: 42 %}\n"
    "tyre:  {stiffness: 156720 N/m, damping: 0 N.s/m, radius: 300 mm, contact: point, slope_force: off, bilateral: on}\n"
    "leg:   {tube_outside: 41 mm, travel: 130 mm, linear: {rate: 15192 N/m, damping: 1440 N.s/m}}\n"
    "rod:   {compression_holes: [{count: 2, diameter: 6 mm}], rebound_holes: [{count: 2, diameter: 2.2 mm}]}\n"
    "oil:   {viscosity_40: 32 mm2/s}\n"
    "roads: {surveyed: {kind: recorded, file: profile.csv, speed: 80 km/h}}\n";
  struct df_reading *reading = read_text(car, "", folder);
  struct df_ride ride;
  double speed = 80/3.6, dt = 0.25/speed;
  struct df_ride_options options = { .channels = 1ull << DF_C_VELOCITY | 1ull << DF_C_DISTANCE, .tolerance = 1e-6, .sample_step = dt/10 };
  struct df_faults faults = { 0 };
  ck_assert_msg(df_ride_run(df_reading_scenario(reading), 0, &options, &ride, &faults) == DF_OK, "%s", faults.n ? faults.at[0].text : ride.reason);
  double got = 0;
  int n = 0;
  for (int i = from + 1; i < N; i++) {                 // at the same places as the recursion, by straight lines between samples
    double t = (0.25*i - ride.trace.at[DF_C_DISTANCE][0])/speed/ride.trace.step;
    int at = (int)t;
    if (at + 1 >= ride.trace.n) break;
    got += fabs(ride.trace.at[DF_C_VELOCITY][at] + (t - at)*(ride.trace.at[DF_C_VELOCITY][at + 1] - ride.trace.at[DF_C_VELOCITY][at]))/speed, n++;
  }
  ck_assert_int_gt(n, N - from - 200);
  near_share(got/n, published, 1e-3, source);
  df_ride_finish(&ride);
  df_reading_destroy(reading);
  unlink(path);
  rmdir(folder);
}
END_TEST

int main(void)
{
  gsl_set_error_handler_off();
  Suite *suite = suite_create("linear_rides");
  TCase *cases = tcase_create("linear_rides");
  tcase_set_timeout(cases, 120);
  tcase_add_test(cases, invariant_points);
  tcase_add_test(cases, white_noise_variances);
  tcase_add_test(cases, roughness_index);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
