// The same least squares solved by another hand: MINPACK's Levenberg and Marquardt (Moré, Garbow and
// Hillstrom 1980; cminpack) over the second writing of the leg, against the library's fit over its own.
#include <stdio.h>

#ifndef DF_HAVE_CMINPACK
int main(void)
{
  puts("1..0 # SKIP cminpack is not installed (Debian: libcminpack-dev)");
  return 0;
}
#else
#include "near.h"

#include "dampfork/fit.h"
#include "dampfork/reader.h"
#include "second_garage.h"
#include "studies/fit_data.h"

#include <cminpack.h>
#include <gsl/gsl_errno.h>
#include <stdlib.h>
#include <string.h>

enum { KEYS = 3, SPEEDS = 9, ROWS = 2*SPEEDS, ALL = KEYS + 1 };
static const double deviation = 3;      // N
static const char *const keys[KEYS] = {"rod.as_found.rebound_holes[1].diameter",
                                       "rod.as_found.compression_holes[1].diameter", "seals.sliding"};
static const char *const units_of[KEYS] = {"mm", "mm", "N"};
static const char *const other[] = {"rod.as_found.rebound_holes[1].diameter=2.28 mm",
                                    "rod.as_found.compression_holes[1].diameter=3.7 mm",
                                    "seals.sliding=31 N"};

struct job { struct df_reading *reading; const struct df_data *data; };

// Residuals in deviations by the second writing; the last row is what is known of the sensor's zero:
// two deviations of a reading.
static int residuals(void *context, int m, int n, const double *x, double *r, int flag)
{
  struct job *job = context;
  struct second_leg leg;
  (void)m, (void)n, (void)flag;
  if (df_reading_set_all_in(job->reading, KEYS, keys, x, units_of, NULL)) return -1;
  const struct df_scenario *s = df_reading_scenario(job->reading);
  second_leg_init(&leg, s, 0, NULL, s->side[0].oil.temperature);
  for (int i = 0; i < ROWS; i++) {
    struct second_steady at;
    if (second_steady_of(&leg, 0.5*s->side[0].leg.travel, job->data->at[DF_D_VELOCITY][i], &at))
      return -1;
    r[i] = (at.damping + at.friction + at.cone + x[KEYS] - job->data->at[DF_D_FORCE][i])/deviation;
  }
  r[ROWS] = x[KEYS]/(2*deviation);
  return 0;
}

static double solved(struct job *job, double x[ALL])
{
  double r[ROWS + 1], diag[ALL], slope[(ROWS + 1)*ALL], qtf[ALL], a[ALL], b[ALL], c[ALL], d[ROWS + 1];
  int count, pivot[ALL];
  int info = lmdif(residuals, job, ROWS + 1, ALL, x, r, 1e-12, 1e-12, 0, 4000, 1e-8, diag, 1, 10, 0,
                   &count, slope, ROWS + 1, pivot, qtf, a, b, c, d);
  ck_assert_msg(info >= 1 && info <= 4, "lmdif ended with %d", info);
  double norm = enorm(ROWS + 1, r);
  return 0.5*norm*norm;
}

static struct df_reading *read_fork(struct df_units *units, const char *const *set, int n)
{
  char path[512];
  struct df_reading *reading = NULL;
  const char *source = getenv("DAMPFORK_SOURCE");
  struct df_reading_options options = {.set = set, .set_n = n};
  snprintf(path, sizeof path, "%s/tests/cli/plain.yaml", source ? source : ".");
  ck_assert(!df_reading_create(&reading, units, path, &options, NULL));
  return reading;
}

START_TEST(both_find_the_same_minimum)
{
  static const double speeds[SPEEDS] = {0.03, 0.1, 0.15, 0.2, 0.5, 0.8, 1.2, 1.6, 2};
  gsl_set_error_handler_off();
  struct df_units *units = df_reading_units_create(NULL);
  struct df_reading *given = read_fork(units, NULL, 0), *truth = read_fork(units, other, 3);
  struct garage garage = {df_reading_scenario(truth), gsl_rng_alloc(gsl_rng_mt19937), 1};
  struct garage_text text = {0};
  struct df_data data;
  struct df_fit fit;
  gsl_rng_set(garage.rng, 11 + (unsigned long)_i);
  garage_bench(&garage, speeds, SPEEDS, deviation, &text);
  ck_assert(!df_data_read_text(&data, units, "bench.csv", text.text, text.n, NULL));
  const struct df_data *list[1] = {&data};
  struct df_fit_options options = {.free = keys, .free_n = KEYS, .no_prior = 1, .starts = 1, .brief = 1,
                                   .loss = DF_LOSS_SQUARES};
  ck_assert(!df_fit_run(&fit, given, list, 1, &options, NULL));
  ck_assert(!fit.mismatch);
  double x[ALL] = {fit.key[0].before, fit.key[1].before, fit.key[2].before, 0};
  double cost = solved(&(struct job){given, &data}, x);
  for (int j = 0; j < KEYS; j++)
    near(fit.key[j].learned, x[j], 0.01*fit.key[j].deviation, "MINPACK over the second writing");
  near(fit.sensor[0].value, x[KEYS], 0.01*fit.sensor[0].deviation, "MINPACK over the second writing");
  near_share(fit.cost, cost, 1e-4, "MINPACK over the second writing");
  df_fit_finish(&fit);
  df_data_finish(&data);
  garage_text_finish(&text);
  gsl_rng_free(garage.rng);
  df_reading_destroy(given);
  df_reading_destroy(truth);
  df_reading_units_destroy(units);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("fit_oracle");
  TCase *all = tcase_create("all");
  tcase_set_timeout(all, 120);
  tcase_add_loop_test(all, both_find_the_same_minimum, 0, 5);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
#endif
