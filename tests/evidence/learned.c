// Learning from readings of the second writing: every kind of data, alone and together, with noise of
// a known size.
#include "near.h"

#include "dampfork/compare.h"
#include "dampfork/fit.h"
#include "dampfork/measure.h"
#include "dampfork/reader.h"
#include "second_garage.h"
#include "studies/fit_data.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct df_units *units;
static struct df_reading *given, *truth;
static struct garage garage;
static struct garage_text text;
static struct df_data data[8];
static int data_n;
static struct df_fit fit;

static struct df_reading *read_fork(const char *const *set, int set_n)
{
  char path[512];
  struct df_faults faults = {0};
  struct df_reading *reading = NULL;
  const char *source = getenv("DAMPFORK_SOURCE");
  struct df_reading_options options = {.set = set, .set_n = set_n};
  snprintf(path, sizeof path, "%s/tests/cli/plain.yaml", source ? source : ".");
  enum df_status status = df_reading_create(&reading, units, path, &options, &faults);
  ck_assert_msg(!status, "%s: %s", path, faults.n ? faults.at[0].text : "");
  return reading;
}

static const char *const other[] = {
    "rod.as_found.rebound_holes[1].diameter=2.28 mm", "rod.as_found.compression_holes[1].diameter=3.62 mm",
    "seals.sliding=31 N", "seals.bush_friction=0.04", "leg.check_valve.area=96 mm2",
    "spring.rate=9.2 N/mm", "air.oil_level=137 mm", "roads.edge-40.speed=40 km/h",
    "roads.brake-dry.speed=90 km/h"};
static const struct { const char *path; double value; /* in its unit */ } known[] = {
    {"rod.as_found.rebound_holes[1].diameter", 2.28}, {"rod.as_found.compression_holes[1].diameter", 3.62},
    {"seals.sliding", 31}, {"seals.bush_friction", 0.04}, {"leg.check_valve.area", 96},
    {"spring.rate", 9.2}, {"air.oil_level", 137}};

static void begin(void)
{
  gsl_set_error_handler_off();
  units = df_reading_units_create(NULL);
  given = read_fork(NULL, 0);
  truth = read_fork(other, sizeof other/sizeof *other);
  garage = (struct garage){df_reading_scenario(truth), gsl_rng_alloc(gsl_rng_mt19937), 1};
  gsl_rng_set(garage.rng, 7);
  data_n = 0;
}

static void end(void)
{
  for (int i = 0; i < data_n; i++) df_data_finish(&data[i]);
  gsl_rng_free(garage.rng);
  df_reading_destroy(given);
  df_reading_destroy(truth);
  df_reading_units_destroy(units);
}

// What was written becomes a file of data.
static void take(const char *name)
{
  struct df_faults faults = {0};
  enum df_status status = df_data_read_text(&data[data_n], units, name, text.text, text.n, &faults);
  ck_assert_msg(!status, "%s: %s", name, faults.n ? faults.at[0].text : "");
  data_n++;
  garage_text_finish(&text);
}

static void learn(const char *const *free, int n, int starts)
{
  const struct df_data *list[8];
  struct df_faults faults = {0};
  struct df_fit_options options = {.free = free, .free_n = n, .starts = starts, .brief = 1};
  for (int i = 0; i < data_n; i++) list[i] = &data[i];
  enum df_status status = df_fit_run(&fit, given, list, data_n, &options, &faults);
  ck_assert_msg(!status, "status %d: %s", (int)status, faults.n ? faults.at[0].text : "");
  ck_assert_msg(!fit.mismatch, "%s", fit.mismatch_text);
}

static double truth_of(const char *path)
{
  for (size_t i = 0; i < sizeof known/sizeof *known; i++)
    if (!strcmp(known[i].path, path)) return known[i].value;
  return NAN;
}

// Learned, within `widths` of its own 95 % interval's half (1.5: one draw of noise in 300 is
// further off), and told at least as well as `most` (1, half of the interval over the value).
static void comes_back(const char *path, double widths, double most)
{
  for (int i = 0; i < fit.key_n; i++) {
    const struct df_fit_key *key = &fit.key[i];
    if (strcmp(key->path, path)) continue;
    double half = 0.5*(key->high_95 - key->low_95), want = truth_of(path);
    ck_assert_msg(key->status == DF_FIT_LEARNED, "%s: %s", path, df_fit_status_names[key->status]);
    ck_assert_msg(fabs(key->learned - want) <= widths*half && half <= most*want,
                  "%s: learned %.6g +- %.3g, is %.6g", path, key->learned, half, want);
    return;
  }
  ck_abort_msg("%s was not free", path);
}

#define LEARN(starts, ...) do { \
    static const char *const free_[] = {__VA_ARGS__}; \
    learn(free_, (int)(sizeof free_/sizeof *free_), starts); } while (0)

#define REBOUND "rod.as_found.rebound_holes[1].diameter"
#define COMPRESSION "rod.as_found.compression_holes[1].diameter"

// The rest of the fork is known: all values but those of these bits.
static void know(unsigned but)
{
  for (size_t i = 0; i < 7; i++) {
    const char *set[1] = {other[i]};
    if (!(but & 1u << i)) ck_assert(!df_reading_override(given, set, 1, NULL));
  }
}

// ---- each kind alone ----
START_TEST(from_the_bench)
{
  static const double speeds[] = {0.03, 0.1, 0.15, 0.2, 0.5, 0.8, 1.2, 1.6, 2};
  garage_bench(&garage, speeds, 9, 3, &text), take("bench.csv");
  LEARN(1, REBOUND, COMPRESSION, "seals.sliding", "leg.check_valve.area");
  comes_back(REBOUND, 1.5, 0.02), comes_back(COMPRESSION, 1.5, 0.03);
  comes_back("seals.sliding", 1.5, 0.15), comes_back("leg.check_valve.area", 1.5, 0.05);
  df_fit_finish(&fit);
}
END_TEST

START_TEST(from_slow_pushing)
{
  garage_slow(&garage, 10e-3, 110e-3, 11, 4, &text), take("slow.csv");
  LEARN(1, "spring.rate", "seals.sliding", "air.oil_level");
  comes_back("spring.rate", 1.5, 0.03), comes_back("seals.sliding", 1.5, 0.1);
  df_fit_finish(&fit);
}
END_TEST

START_TEST(from_sag)
{
  garage_sag(&garage, 3, 1e-3, &text), take("sag.csv");
  LEARN(1, "spring.rate", "seals.bush_friction");
  comes_back("spring.rate", 1.5, 0.06);
  ck_assert_msg(fit.key[1].deviation < fit.key[1].prior, "friction is known no better than before");
  df_fit_finish(&fit);
}
END_TEST

START_TEST(from_spring_and_level)
{
  static const double lengths[] = {0.40, 0.38, 0.36, 0.34, 0.32};
  garage_spring(&garage, lengths, 5, 4, &text), take("spring.csv");
  garage_level(&garage, 3, 1e-3, &text), take("level.csv");
  LEARN(1, "spring.rate", "air.oil_level");
  comes_back("spring.rate", 1.5, 0.02), comes_back("air.oil_level", 1.5, 0.02);
  ck_assert_msg(fit.key[0].share[0] > 0.99 && fit.key[1].share[1] > 0.99, "the wrong file is credited");
  df_fit_finish(&fit);
}
END_TEST

// A timed pull shows rebound holes and friction; the check valve, which it does not show, stays.
START_TEST(from_timed_strokes)
{
  static const double pull[] = {6, 6, 9, 9, 12};
  garage_timed(&garage, pull, 5, NULL, 0, 0.01, &text), take("pull.csv");
  LEARN(1, REBOUND, "seals.sliding", "leg.check_valve.area");
  comes_back(REBOUND, 1.5, 0.03), comes_back("seals.sliding", 1.5, 0.1);
  ck_assert_int_eq(fit.key[2].status, DF_FIT_NOT_LEARNED);
  ck_assert(fit.cannot_tell);
  df_fit_finish(&fit);
}
END_TEST

// An edge at two road speeds shows the check passage.
START_TEST(from_the_ring)
{
  struct garage_pass pass[6];
  int edge = -1;
  for (int i = 0; i < garage.truth->road_n; i++)
    if (!strcmp(garage.truth->road[i].name, "edge-40")) edge = i;
  for (int i = 0; i < 6; i++) pass[i] = (struct garage_pass){edge, (i % 2 ? 40 : 20)/3.6};
  garage_rings(&garage, pass, 6, 0.5e-3, &text), take("ring.csv");
  know(1 << 4);
  LEARN(1, "leg.check_valve.area");
  comes_back("leg.check_valve.area", 1.5, 0.2);
  df_fit_finish(&fit);
}
END_TEST

START_TEST(from_a_log)
{
  int stop = -1;
  for (int i = 0; i < garage.truth->road_n; i++)
    if (!strcmp(garage.truth->road[i].name, "brake-dry")) stop = i;
  garage_log(&garage, stop, 20e-3, 0.5, 1e-3, 0.3, &text), take("log.csv");
  know(1 << 3 | 1 << 5);
  LEARN(1, "seals.bush_friction", "spring.rate");
  comes_back("seals.bush_friction", 1.5, 0.3), comes_back("spring.rate", 1.5, 0.05);
  df_fit_finish(&fit);
}
END_TEST

// ---- six values from noisy loops, and what their sensors hide ----
static void loops(void)
{
  static const struct garage_loop loop[] = {{65e-3, 50e-3, 0.4, 60, 3, 0, 0},
                                            {65e-3, 50e-3, 1.7, 60, 3, 2e-3, 0},
                                            {65e-3, 50e-3, 5, 60, 3, 0, 8}};
  static const char *const names[] = {"slow-loop.csv", "loop.csv", "fast-loop.csv"};
  for (int i = 0; i < 3; i++) garage_loop(&garage, &loop[i], &text), take(names[i]);
}

START_TEST(six_values_from_loops)
{
  loops();
  LEARN(2, REBOUND, COMPRESSION, "seals.sliding", "leg.check_valve.area", "spring.rate",
        "air.oil_level");
  comes_back(REBOUND, 1.5, 0.01), comes_back(COMPRESSION, 1.5, 0.03);
  comes_back("seals.sliding", 1.5, 0.1), comes_back("leg.check_valve.area", 1.5, 0.05);
  comes_back("spring.rate", 1.5, 0.02), comes_back("air.oil_level", 1.5, 0.02);
  int lag = 0, offset = 0;
  for (int i = 0; i < fit.sensor_n; i++) {
    const struct df_fit_sensor *s = &fit.sensor[i];
    double want = s->lag ? (s->set == 1 ? 2e-3 : 0) : s->set == 2 ? 8 : 0;
    ck_assert_msg(fabs(s->value - want) <= 4*s->deviation, "%s of %s: %.3g +- %.2g, is %.3g",
                  s->lag ? "lag" : "zero", fit.set[s->set].name, s->value, s->deviation, want);
    lag += s->lag && s->set == 1, offset += !s->lag && s->set == 2;
  }
  ck_assert_int_eq(lag, 1);
  ck_assert_int_eq(offset, 1);
  df_fit_finish(&fit);
}
END_TEST

// ---- four garage readings and the dive ----
static double band_of(const struct df_reading *reading)
{
  struct df_wanted wanted[1] = {{-1, df_measure_find("dive_overshoot")}};
  struct df_band band[1];
  struct df_ride_options options = {.tolerance = 1e-3};
  const struct df_scenario *s = df_reading_scenario(reading);
  for (int i = 0; i < s->road_n; i++)
    if (!strcmp(s->road[i].name, "brake-dry")) wanted[0].road = i;
  ck_assert(!df_estimates_sampled(reading, NULL, wanted, 1, &options, 1, 100, 1, band));
  return band[0].high - band[0].low;
}

// Sag with rider from below and above, and the ring after two hard stops.
START_TEST(four_readings_narrow_the_dive)
{
  static const char *const road[] = {"roads.brake-dry.speed=90 km/h"};
  int stop = -1;
  for (int i = 0; i < garage.truth->road_n; i++)
    if (!strcmp(garage.truth->road[i].name, "brake-dry")) stop = i;
  ck_assert(!df_reading_override(given, road, 1, NULL));
  struct garage_pass pass[] = {{stop, 25}, {stop, 25}};
  garage_sag(&garage, 2, 2e-3, &text), take("sag.csv");
  garage_rings(&garage, pass, 2, 2e-3, &text), take("ring.csv");
  LEARN(1, "seals.bush_friction", "seals.sliding", "braking.ramp");
  double before = band_of(given), after = band_of(fit.reading);
  printf("# overshoot of the dive: 90 %% band %.2f mm wide before, %.2f mm after four readings\n",
         1e3*before, 1e3*after);
  ck_assert_msg(after < 0.8*before, "band %.3g mm before, %.3g mm after", 1e3*before, 1e3*after);
  df_fit_finish(&fit);
}
END_TEST

// ---- a published measured damper curve ----
// friction sgn v + viscous v + zero through the rows, the zero known as the fit knew it: linear least
// squares by GSL. out: N, N s/m, N
static void straight(const struct df_data *rows, double out[3])
{
  size_t n = (size_t)rows->n;
  double chi, sigma = fit.set[0].deviation;
  gsl_matrix *a = gsl_matrix_calloc(n + 1, 3), *cov = gsl_matrix_alloc(3, 3);
  gsl_vector *y = gsl_vector_calloc(n + 1), *c = gsl_vector_alloc(3);
  gsl_multifit_linear_workspace *room = gsl_multifit_linear_alloc(n + 1, 3);
  for (size_t i = 0; i < n; i++) {
    double v = rows->at[DF_D_VELOCITY][i];
    gsl_matrix_set(a, i, 0, v > 0 ? 1 : -1);
    gsl_matrix_set(a, i, 1, v);
    gsl_matrix_set(a, i, 2, 1);
    gsl_vector_set(y, i, rows->at[DF_D_FORCE][i]);
  }
  gsl_matrix_set(a, n, 2, sigma/fit.sensor[0].prior);
  ck_assert(!gsl_multifit_linear(a, y, c, cov, &chi, room));
  for (size_t j = 0; j < 3; j++) out[j] = gsl_vector_get(c, j);
  gsl_multifit_linear_free(room);
  gsl_vector_free(c);
  gsl_vector_free(y);
  gsl_matrix_free(cov);
  gsl_matrix_free(a);
}

// scenarios/measured/published-damper.csv names its source. That damper holds by friction, nearly, and
// five times as hard as one leg's seals may here, so a fifth of its force is learned from.
START_TEST(a_published_curve)
{
  static const char *const leg =
      "leg: {tube_outside: 41 mm, travel: 130 mm}\n"
      "rod: {compression_holes: [{count: 4, diameter: 8 mm}], rebound_holes: [{count: 4, diameter: 8 mm}]}\n"
      "oil: {viscosity_40: 10 mm2/s}\nseals: {sliding: 100 N, viscous: 400 N.s/m, breakaway_ratio: 1.01}\n";
  static const char *const free[] = {"seals.sliding", "seals.viscous"};
  char path[512];
  struct df_faults faults = {0};
  struct df_reading *bench = NULL;
  const char *source = getenv("DAMPFORK_SOURCE");
  snprintf(path, sizeof path, "%s/scenarios/measured/published-damper.csv", source ? source : ".");
  ck_assert(!df_reading_create_text(&bench, units, "bench.yaml", "", leg, strlen(leg), NULL, &faults));
  ck_assert_msg(!df_data_read(&data[0], units, path, &faults), "%s", faults.at[0].text);
  data_n = 1, data[0].checked = 1;
  ck_assert_int_eq(data[0].n, 26);
  double line[3];
  for (int i = 0; i < data[0].n; i++) data[0].at[DF_D_FORCE][i] /= 5;
  const struct df_data *list[1] = {&data[0]};
  struct df_fit_options options = {.free = free, .free_n = 2, .no_prior = 1, .starts = 2,
                                   .loss = DF_LOSS_SQUARES};
  ck_assert(!df_fit_run(&fit, bench, list, 1, &options, &faults));
  const struct df_fit_key *dry = &fit.key[0], *wet = &fit.key[1];
  straight(&data[0], line);
  printf("# published curve: friction %.1f +- %.1f N, viscous %.0f +- %.0f N s/m of a fifth of it; a straight "
         "line says %.1f N, %.0f N s/m; neighbours %.2f\n", dry->learned, dry->deviation, wet->learned,
         wet->deviation, line[0], line[1], fit.set[0].correlation);
  ck_assert_int_eq(dry->status, DF_FIT_LEARNED);
  ck_assert_int_eq(wet->status, DF_FIT_LEARNED);
  // The leg's wide holes add some newtons at most: within half a deviation.
  near(dry->learned, line[0], 0.5*dry->deviation, "straight line through the same rows by GSL");
  near(wet->learned, line[1], 0.5*wet->deviation, "straight line through the same rows by GSL");
  ck_assert_msg(dry->aic_none > 10 && dry->cross_none > 1, "friction is not missed: %.3g, %.3g",
                dry->aic_none, dry->cross_none);
  ck_assert_msg(wet->aic_none > 0, "the viscous part is not missed: %.3g", wet->aic_none);
  ck_assert_msg(fit.set[0].correlation > 0.3, "its loop is not noticed");
  df_fit_finish(&fit);
  df_reading_destroy(bench);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("learned");
  TCase *all = tcase_create("all");
  tcase_add_checked_fixture(all, begin, end);
  tcase_set_timeout(all, 240);
  tcase_add_test(all, from_the_bench);
  tcase_add_test(all, from_slow_pushing);
  tcase_add_test(all, from_sag);
  tcase_add_test(all, from_spring_and_level);
  tcase_add_test(all, from_timed_strokes);
  tcase_add_test(all, from_the_ring);
  tcase_add_test(all, from_a_log);
  tcase_add_test(all, six_values_from_loops);
  tcase_add_test(all, four_readings_narrow_the_dive);
  tcase_add_test(all, a_published_curve);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
