// The error of a measure: numerical, and the model's own.
#include "dampfork/compare.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "studies/variants.h"

static double half_range(double a, double b, double c)
{
  double most = a, least = a;
  if (isfinite(b)) most = fmax(most, b), least = fmin(least, b);
  if (isfinite(c)) most = fmax(most, c), least = fmin(least, c);
  return 0.5 * (most - least);
}

// Estimate one measure from the values of all variants of both forks. v[fork][variant], fine[fork]:
// at a tenth of the tolerance.
static void estimate(double *const v[2], const double *fine[2], int forks, int stride, int at,
                     struct df_estimate *out)
{
  double d[DF_VARIANTS_MAX];
  int variants = 3 + 2 * df_doubt_count;
  for (int i = 0; i < variants; i++)
    d[i] = forks == 2 ? v[1][i * stride + at] - v[0][i * stride + at] : v[0][i * stride + at];
  double finer = forks == 2 ? fine[1][at] - fine[0][at] : fine[0][at];
  out->value[0] = v[0][at], out->value[1] = forks == 2 ? v[1][at] : NAN;
  out->difference = forks == 2 ? d[0] : 0;
  out->numerical = isfinite(finer) ? fabs(finer - d[0]) : 0;
  double law = half_range(d[0], d[1], d[2]), sum = law * law, most = law;
  out->worst = -1;
  for (int i = 0; i < df_doubt_count; i++) {
    double half = half_range(d[0], d[3 + 2 * i], d[4 + 2 * i]);
    sum += half * half;
    if (half > most) most = half, out->worst = i;
  }
  out->model = sqrt(sum);
  out->error = hypot(out->model, out->numerical);
}

struct study {
  struct df_scenario *scenario[2];
  double *value[2], *fine[2];
  struct df_case *cases;
  int differs[2][DF_VARIANTS_MAX];
};

static void study_finish(struct study *s)
{
  for (int i = 0; i < 2; i++) {
    free(s->scenario[i]);
    free(s->value[i]);
    free(s->fine[i]);
  }
  free(s->cases);
}

static enum df_status study_run(struct study *s, const struct df_reading *const *reading, int forks,
                                const struct df_wanted *wanted, int wanted_n,
                                const struct df_ride_options *options, int threads,
                                struct df_case *failed)
{
  int variants = 3 + 2 * df_doubt_count, n = 0, base_case[2] = {0};
  s->cases = calloc((size_t)(forks * variants), sizeof *s->cases);
  if (!s->cases) return DF_NO_MEMORY;
  for (int f = 0; f < forks; f++) {
    s->scenario[f] = malloc((size_t)variants * sizeof *s->scenario[f]);
    s->value[f] = calloc((size_t)(variants * wanted_n), sizeof *s->value[f]),
    s->fine[f] = calloc((size_t)wanted_n, sizeof *s->fine[f]);
    if (!s->scenario[f] || !s->value[f] || !s->fine[f]) return DF_NO_MEMORY;
    for (int i = 0; i < variants; i++) {
      enum df_status status =
          df_variant(reading[f], reading[0], i, &s->scenario[f][i], &s->differs[f][i]);
      if (status != DF_OK) return status;
    }
    base_case[f] = n;
    for (int i = 0; i < variants; i++)
      if (s->differs[f][i])
        s->cases[n++] =
            (struct df_case){.scenario = &s->scenario[f][i], .values = s->value[f] + i * wanted_n};
  }
  enum df_status status = df_cases_run(s->cases, n, wanted, wanted_n, options, threads, NULL);
  if (status != DF_OK) return status;
  for (int f = 0; f < forks; f++) // variants that change nothing were not ridden
    for (int i = 0; i < variants; i++)
      if (!s->differs[f][i])
        memcpy(s->value[f] + i * wanted_n, s->value[f], (size_t)wanted_n * sizeof *s->value[f]);
  struct df_ride_options finer = options ? *options : (struct df_ride_options){0};
  struct df_case base[2];
  for (int f = 0; f < forks; f++) {
    base[f] = (struct df_case){.scenario = &s->scenario[f][0], .values = s->fine[f]};
    const struct df_case *as_is = &s->cases[base_case[f]];
    if (failed && as_is->status != DF_OK && failed->status == DF_OK) *failed = *as_is;
  }
  finer.tolerance = (finer.tolerance > 0 ? finer.tolerance : 1e-3) / 10;
  return df_cases_run(base, forks, wanted, wanted_n, &finer, threads, NULL);
}

enum df_status df_estimates(const struct df_reading *first, const struct df_reading *second,
                            const struct df_wanted *wanted, int wanted_n,
                            const struct df_ride_options *options, int threads,
                            struct df_estimate *out, struct df_case *failed)
{
  const struct df_reading *reading[2] = {first, second};
  int forks = second ? 2 : 1;
  struct study s = {0};
  enum df_status status = study_run(&s, reading, forks, wanted, wanted_n, options, threads, failed);
  if (status == DF_OK) {
    const double *fine[2] = {s.fine[0], s.fine[1]};
    for (int i = 0; i < wanted_n; i++) estimate(s.value, fine, forks, wanted_n, i, &out[i]);
  }
  study_finish(&s);
  return status;
}

// ---- dives: over bush friction and how the rider takes the lever ----
static const double dive_friction[3] = {0.01, 0.03, 0.05}; // 1
static const double dive_ramp[3] = {0.15, 0.25, 0.4};      // s

static void limits_of(const struct df_reading *reading, const char *path, const double usual[3],
                      double out[3])
{
  struct df_value value;
  double sure;
  memcpy(out, usual, 3 * sizeof *out);
  if (!df_reading_learned(reading, path, &sure)) return;
  df_reading_value(reading, df_reading_find(reading, path), &value);
  for (int i = 0; i < 3; i++) out[i] = fmax(value.si + (i - 1) * sure, 0);
}

void df_dive_limits(const struct df_reading *first, double friction[3], double ramp[3])
{
  limits_of(first, "seals.bush_friction", dive_friction, friction);
  limits_of(first, "braking.ramp", dive_ramp, ramp);
}

static void dive_variant(struct df_scenario *out, const struct df_reading *reading,
                         const struct df_reading *first, int i)
{
  const struct df_scenario *base = df_reading_scenario(first);
  double friction[3], ramp[3];
  df_dive_limits(first, friction, ramp);
  df_variant_base(out, df_reading_scenario(reading), base);
  out->seals.bush_friction = friction[i % 3];
  df_variant_ramp(out, base, ramp[i / 3]);
}

static void range_add(struct df_range *range, double difference, double felt, int first)
{
  if (first) *range = (struct df_range){.least = INFINITY, .most = -INFINITY};
  if (!isfinite(difference)) return;
  range->n++;
  range->fewer += difference<-felt, range->more += difference> felt;
  range->least = fmin(range->least, difference), range->most = fmax(range->most, difference);
}

enum df_status df_dive_ranges(const struct df_reading *first, const struct df_reading *second,
                              const struct df_wanted *wanted, int wanted_n, const double *felt,
                              const struct df_ride_options *options, int threads,
                              struct df_range *out)
{
  struct df_scenario *scenario = malloc(18 * sizeof *scenario);
  double *value = calloc((size_t)(18 * wanted_n), sizeof *value);
  struct df_case cases[18];
  enum df_status status = scenario && value ? DF_OK : DF_NO_MEMORY;
  for (int i = 0; i < 18 && status == DF_OK; i++) {
    dive_variant(&scenario[i], i < 9 ? first : second, first, i % 9);
    cases[i] = (struct df_case){.scenario = &scenario[i], .values = value + i * wanted_n};
  }
  if (status == DF_OK) status = df_cases_run(cases, 18, wanted, wanted_n, options, threads, NULL);
  for (int j = 0; j < wanted_n && status == DF_OK; j++)
    for (int i = 0; i < 9; i++)
      range_add(&out[j], value[(9 + i) * wanted_n + j] - value[i * wanted_n + j], felt[j], i == 0);
  free(scenario);
  free(value);
  return status;
}

const char *const df_verdict_names[3] = {"worse", "same_within_error", "better"};

enum df_verdict df_verdict_of(int measure, const struct df_estimate *e)
{
  int direction = df_measures[measure].better;
  if (direction == DF_NEITHER || !isfinite(e->difference) || fabs(e->difference) <= e->error)
    return DF_SAME_WITHIN_ERROR;
  return (e->difference > 0) == (direction > 0) ? DF_BETTER : DF_WORSE;
}

void df_shapley(const double *value, int n, double *share)
{
  double factorial[DF_CHANGES_MAX + 1] = {1};
  for (int i = 1; i <= n; i++) factorial[i] = factorial[i - 1] * i;
  for (int i = 0; i < n; i++) {
    share[i] = 0;
    for (int mask = 0; mask < 1 << n; mask++) {
      if (mask >> i & 1) continue;
      int k = __builtin_popcount((unsigned)mask);
      share[i] +=
          factorial[k] * factorial[n - k - 1] / factorial[n] * (value[mask | 1 << i] - value[mask]);
    }
  }
}
