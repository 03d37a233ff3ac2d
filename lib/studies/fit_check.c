// Is a file what it says? Signs, and units that are written but were not meant.
#include "studies/fit_work.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// How far a fork may be from what the scenario says before a mistaken unit is the likelier cause: a
// hole drilled a fifth wider makes half the force.
static const double far_off = 2.2;      // 1
// Times of a stroke move with the root of the weight or less: a weight in lb under a head of kg makes them at least 1.48 times as long.
static const double timed_off = 1.4;    // 1
// Another reading must come so much closer, in logarithms, to be named.
static const double closer = 0.5;       // 1

struct guess { double value, input; const char *words, *of; /* unit measured; NULL: any */ };
// value: what the measured column is multiplied with; input: the column it is measured against.
static const struct guess guesses[] = {
    {-1, 1, "the sign of the %s is reversed", NULL},
    {1, -1, "the sign of the %2$s is reversed", NULL},
    {-1, -1, "the signs of %s and %s are both reversed (compression is positive here)", NULL},
    {4.4482216, 1, "the %s is in lbf", "N"},
    {9.80665, 1, "the %s is in kgf", "N"},
    {9.80665, 1, "the %s is in g", "m/s2"},
    {0.3048, 1, "the %s is in ft/s2", "m/s2"},
    {10, 1, "the %s is in cm", "m"},
    {25.4, 1, "the %s is in inches", "m"},
    {1e3, 1, "the %s is in thousands (kN, m)", NULL},
    {1e-3, 1, "the %s is in thousandths (mm, mm/s2)", NULL},
    {25.4e-3, 1, "the %s is in inches, or thousandths", NULL},
    {1, 1e-3, "the %2$s is in thousandths (mm, mm/s)", NULL},
    {1, 1e3, "the %2$s is in thousands (m)", NULL},
    {1, 25.4e-3, "the %2$s is in inches a second", NULL},
    {1, 25.4, "the %2$s is in inches", NULL},
    {1, 1/3.6, "the %2$s is in km/h", NULL},
    {1, 0.45359237, "the %2$s is in lb", "s"},
    {1, 1/9.80665, "the %2$s is in N", "s"},
    {1, 1/0.45359237, "the %2$s is in kg", "s"},
};

static enum df_data_column input_of(const struct df_data *data)
{
  switch (data->kind) {
  case DF_DATA_BENCH: return DF_D_VELOCITY;
  case DF_DATA_LOOP:
  case DF_DATA_SLOW:  return DF_D_TRAVEL;
  case DF_DATA_SPRING: return DF_D_LENGTH;
  case DF_DATA_TIMED: return DF_D_WEIGHT;
  default:            return DF_D_COLUMNS;
  }
}

// Predict one set with its input column multiplied.
static int predict_with(const struct fit_model *model, int k, const struct df_scenario *scenario,
                        double by, double *out)
{
  struct df_data copy = *model->set[k].data;
  enum df_data_column input = input_of(&copy);
  double *scaled = NULL;
  struct fit_model one = {0};
  const struct df_data *list[1] = {&copy};
  struct fit_sense sense[DF_FIT_SETS_MAX] = {{0, 0}};
  const struct fit_sense *senses[1] = {sense};
  if (by != 1) {
    if (input == DF_D_COLUMNS || !(scaled = malloc((size_t)copy.n*sizeof *scaled))) return 0;
    for (int i = 0; i < copy.n; i++) scaled[i] = by*copy.at[input][i];
    copy.at[input] = scaled;
  }
  int good;
  if (copy.kind == DF_DATA_O_RING || copy.kind == DF_DATA_LOG) { // their roads are found already
    one = (struct fit_model){.set_n = 1, .n = model->set[k].n, .threads = model->threads,
                             .tolerance = model->tolerance, .stop = model->stop};
    one.set[0] = model->set[k], one.set[0].first = 0;
    good = by == 1 && !df_fit_predict(&one, &scenario, senses, 1, &out);
  } else {
    good = !df_fit_model_init(&one, NULL, list, 1, NULL) &&
           !df_fit_predict(&one, &scenario, senses, 1, &out);
    df_fit_model_finish(&one);
  }
  free(scaled);
  return good;
}

// Median distance of |measured| from |computed| in logarithms, and the share of rows whose signs
// agree. Forces are taken about their own means where springs are in them.
struct match { double distance, agree, share; };
static double mean_of(const double *at, int n)
{
  double sum = 0;
  for (int i = 0; i < n; i++) sum += at[i]/n;
  return sum;
}

static struct match match_of(const struct fit_set *set, int which, const double *computed, double by,
                             double *room)
{
  int n = set->data->n, first = which*n, used = 0, agree = 0;
  computed += first;
  int about = set->data->kind == DF_DATA_LOG;
  double most = 0, mean_m = 0, mean_c = about ? mean_of(computed, n) : 0;
  for (int i = 0; i < n; i++)
    if (isfinite(computed[i])) most = fmax(most, fabs(computed[i] - mean_c));
  for (int i = 0; about && i < n; i++) mean_m += df_fit_reading(set, first + i)/n;
  for (int i = 0; i < n; i++) {
    double c = computed[i] - mean_c, m = by*(df_fit_reading(set, first + i) - mean_m);
    if (!isfinite(c) || fabs(c) < 1e-3*most || m == 0) continue;
    agree += c*m > 0;
    room[used++] = fabs(log(fabs(m)/fabs(c)));
  }
  if (used < 1 || used*4 < n) return (struct match){INFINITY, 0, 0};
  gsl_sort(room, 1, (size_t)used);
  return (struct match){gsl_stats_median_from_sorted_data(room, 1, (size_t)used),
                        (double)agree/used, (double)used/n};
}

// 1: this reading of the file is far better than the one that is written.
static int better(enum df_data_kind kind, struct match now, struct match other, const struct guess *guess)
{
  double far = kind == DF_DATA_TIMED ? timed_off : far_off;
  int signs = (guess->value < 0) != (guess->input < 0); // both: forces still push the right way
  if (!(other.agree > 0.85)) return 0;
  if (signs) return now.agree < 0.5 && other.distance < log(far);
  return (now.distance > log(far) || now.agree < 0.5) &&
         other.distance < closer*fmin(now.distance, 1.6);
}

// which: the set's first or second measured column.
static int column_suspect(const struct fit_model *model, int k, int which, const struct df_scenario *scenario,
                          char *text, size_t size)
{
  const struct fit_set *set = &model->set[k];
  enum df_data_column column = df_fit_column(set, which*set->data->n);
  enum df_data_column input = input_of(set->data);
  size_t n = (size_t)set->n;
  double *written = malloc(3*n*sizeof *written);
  const struct guess *best = NULL;
  struct match now = {INFINITY, 0, 0}, least = {INFINITY, 0, 0};
  if (!written) return 0;
  double *other = written + n, *room = other + n;
  int good = predict_with(model, k, scenario, 1, written);
  if (good) now = match_of(set, which, written, 1, room);
  for (size_t i = 0; i < sizeof guesses/sizeof *guesses; i++) {
    const struct guess *guess = &guesses[i];
    const char *unit = df_data_column_unit(column);
    if (guess->of && strcmp(guess->of, unit)) continue;
    int as_written = guess->input == 1;
    if (as_written ? !good : !predict_with(model, k, scenario, guess->input, other)) continue;
    struct match match = match_of(set, which, as_written ? written : other, guess->value, room);
    if (better(set->data->kind, now, match, guess) && match.distance < least.distance) best = guess, least = match;
  }
  if (best) {
    const char *measured = df_data_column_name(column);
    const char *against = input == DF_D_COLUMNS ? "" : df_data_column_name(input);
    char what[160], off[60];
    // The words of the table name one column or both.
    if (strstr(best->words, "%2$s")) {
      const char *at = strstr(best->words, "%2$s");
      snprintf(what, sizeof what, "%.*s%s%s", (int)(at - best->words), best->words, against, at + 4);
    } else if (best->value < 0 && best->input < 0)
      snprintf(what, sizeof what, "the signs of %s and %s are both reversed", measured, against);
    else {
      const char *at = strstr(best->words, "%s");
      snprintf(what, sizeof what, "%.*s%s%s", (int)(at - best->words), best->words, measured, at + 2);
    }
    snprintf(off, sizeof off, now.agree < 0.5 ? "runs against" : "is off by %.3g from",
             exp(now.distance));
    snprintf(text, size, "%s: the %s %s what the scenario makes of it; it fits if %s. Correct the "
             "file, or, if it is right, write '# checked = yes' at its head", set->data->name,
             measured, off, what);
  }
  free(written);
  return best != NULL;
}

int df_fit_suspect(const struct fit_model *model, const struct df_scenario *scenario, char *text,
                   size_t size)
{
  for (int k = 0; k < model->set_n; k++) {
    const struct df_data *data = model->set[k].data;
    if (data->checked) continue;
    for (int which = 0; which < model->set[k].n/data->n; which++)
      if (column_suspect(model, k, which, scenario, text, size)) return 1;
  }
  return 0;
}
