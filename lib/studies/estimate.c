// The error of a measure: numerical, and the model's own.
#include "dampfork/compare.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/param.h"

const struct df_doubt df_doubts[] = {
  { "seals.bush_friction", 0.01, 0.05, "published for lined bushes 0.02-0.12, unknown within a factor of three" },
  { "braking.ramp", 0.15, 0.4, "how the rider takes the lever" },
  { "leg.check_valve.area", 80, 150, "assumed: common practice, 20-30 % even when measured" },
  { "leg.check_valve.discharge", 0.55, 0.8, "from memory: plates over slots" },
  { "leg.check_leak.gap", 0.03, 0.1, "common practice" },
  { "leg.piston_ring.area", 0.25, 1, "common practice" },
  { "seals.sliding", 15, 40, "from memory: seals of one leg" },
  { "rod.bore_loss", 1.5, 2.5, "side inflow into a tube closed at its end" },
  { "valve.jet_coefficient", 0.27, 0.43, "published: mean speed or jet speed" },
  { "valve.curtain_discharge", 0.6, 0.75, "published for sharp edges" },
  { "oil.air_fraction", 0.1, 2, "from memory: rested to foamed" },
  { "air.exponent", 1.2, 1.4, "published range of fast compression" },
  { "tyre.damping", 50, 400, "from memory" },
};
const int df_doubt_count = sizeof df_doubts/sizeof *df_doubts;
enum { DOUBTS_MAX = 32, VARIANTS_MAX = 3 + 2*DOUBTS_MAX };

// ---- variants: 0 as it is, 1 and 2 the other laws, then low and high of each doubt ----
// Number for one side of a doubt; NAN: not varied here (no such key in use).
static double varied(const struct df_reading *reading, const struct df_doubt *doubt, int high)
{
  struct df_value value;
  int at = df_reading_find(reading, doubt->path);
  if (at < 0) return NAN;
  df_reading_value(reading, at, &value);
  if (value.absent || !isfinite(value.si)) return NAN;
  const struct df_param *row = value.row;
  double scale = value.in_unit != 0 ? value.si/value.in_unit : NAN;
  if (!value.given) return isfinite(scale) ? scale*(high ? doubt->high : doubt->low) : NAN;
  double off = isfinite(row->tolerance_share) ? row->tolerance_share*fabs(value.si) : row->tolerance*scale;
  return isfinite(off) ? value.si + (high ? off : -off) : NAN;
}

static int in_use(const struct df_reading *reading, const char *path)
{
  return strncmp(path, "valve.", 6) != 0 || df_reading_scenario(reading)->side[0].has_valve;
}

// A scenario with the roads, rider and load of the first.
static void copy_for(struct df_scenario *out, const struct df_scenario *s, const struct df_scenario *first)
{
  memcpy(out, s, sizeof *out);
  memcpy(out->road, first->road, sizeof out->road);
  out->road_n = first->road_n, out->rider = first->rider, out->load = first->load;
}

static enum df_status fill_doubt(const struct df_reading *reading, const struct df_reading *ranges, const struct df_scenario *first, int doubt,
                                 struct df_scenario *out)
{
  for (int high = 0; high < 2; high++) {
    copy_for(&out[high], df_reading_scenario(reading), first);
    double si = varied(ranges, &df_doubts[doubt], high);
    if (!isfinite(si) || !in_use(reading, df_doubts[doubt].path)) continue;
    struct df_reading *changed = df_reading_copy(reading);
    if (!changed) return DF_NO_MEMORY;
    if (df_reading_set(changed, df_doubts[doubt].path, si, NULL) == DF_OK) copy_for(&out[high], df_reading_scenario(changed), first);
    df_reading_destroy(changed);
  }
  return DF_OK;
}

static enum df_status fill(const struct df_reading *reading, const struct df_reading *first, struct df_scenario *s)
{
  const struct df_scenario *base = df_reading_scenario(first);
  for (int law = 0; law < 3; law++) {
    copy_for(&s[law], df_reading_scenario(reading), base);
    if (law) s[law].run.law = (s[0].run.law + law)%3;
  }
  for (int i = 0; i < df_doubt_count; i++) {
    enum df_status status = fill_doubt(reading, first, base, i, &s[3 + 2*i]);
    if (status != DF_OK) return status;
  }
  return DF_OK;
}

static double half_range(double a, double b, double c)
{
  double most = a, least = a;
  if (isfinite(b)) most = fmax(most, b), least = fmin(least, b);
  if (isfinite(c)) most = fmax(most, c), least = fmin(least, c);
  return 0.5*(most - least);
}

// Estimate one measure from the values of all variants of both forks. v[fork][variant], fine[fork]: at a tenth of the tolerance.
static void estimate(double *const v[2], const double *fine[2], int forks, int stride, int at, struct df_estimate *out)
{
  double d[VARIANTS_MAX];
  int variants = 3 + 2*df_doubt_count;
  for (int i = 0; i < variants; i++) d[i] = forks == 2 ? v[1][i*stride + at] - v[0][i*stride + at] : v[0][i*stride + at];
  double finer = forks == 2 ? fine[1][at] - fine[0][at] : fine[0][at];
  out->value[0] = v[0][at], out->value[1] = forks == 2 ? v[1][at] : NAN;
  out->difference = forks == 2 ? d[0] : 0;
  out->numerical = isfinite(finer) ? fabs(finer - d[0]) : 0;
  double law = half_range(d[0], d[1], d[2]), sum = law*law, most = law;
  out->worst = -1;
  for (int i = 0; i < df_doubt_count; i++) {
    double half = half_range(d[0], d[3 + 2*i], d[4 + 2*i]);
    sum += half*half;
    if (half > most) most = half, out->worst = i;
  }
  out->model = sqrt(sum);
  out->error = hypot(out->model, out->numerical);
}

struct study { struct df_scenario *scenario[2]; double *value[2], *fine[2]; struct df_case *cases; };

static void study_finish(struct study *s)
{
  for (int i = 0; i < 2; i++) {
    free(s->scenario[i]);
    free(s->value[i]);
    free(s->fine[i]);
  }
  free(s->cases);
}

static enum df_status study_run(struct study *s, const struct df_reading *const *reading, int forks, const struct df_wanted *wanted, int wanted_n,
                                const struct df_ride_options *options, int threads, struct df_case *failed)
{
  int variants = 3 + 2*df_doubt_count, n = 0;
  s->cases = calloc((size_t)(forks*variants), sizeof *s->cases);
  if (!s->cases) return DF_NO_MEMORY;
  for (int f = 0; f < forks; f++) {
    s->scenario[f] = malloc((size_t)variants*sizeof *s->scenario[f]);
    s->value[f] = calloc((size_t)(variants*wanted_n), sizeof *s->value[f]), s->fine[f] = calloc((size_t)wanted_n, sizeof *s->fine[f]);
    if (!s->scenario[f] || !s->value[f] || !s->fine[f]) return DF_NO_MEMORY;
    enum df_status status = fill(reading[f], reading[0], s->scenario[f]);
    if (status != DF_OK) return status;
    for (int i = 0; i < variants; i++) s->cases[n++] = (struct df_case){ .scenario = &s->scenario[f][i], .values = s->value[f] + i*wanted_n };
  }
  enum df_status status = df_cases_run(s->cases, n, wanted, wanted_n, options, threads, NULL);
  if (status != DF_OK) return status;
  struct df_ride_options finer = options ? *options : (struct df_ride_options){ 0 };
  struct df_case base[2];
  for (int f = 0; f < forks; f++) {
    base[f] = (struct df_case){ .scenario = &s->scenario[f][0], .values = s->fine[f] };
    if (failed && s->cases[f*variants].status != DF_OK && failed->status == DF_OK) *failed = s->cases[f*variants];
  }
  finer.tolerance = (finer.tolerance > 0 ? finer.tolerance : 1e-3)/10;
  return df_cases_run(base, forks, wanted, wanted_n, &finer, threads, NULL);
}

enum df_status df_estimates(const struct df_reading *first, const struct df_reading *second, const struct df_wanted *wanted, int wanted_n,
                            const struct df_ride_options *options, int threads, struct df_estimate *out, struct df_case *failed)
{
  const struct df_reading *reading[2] = { first, second };
  int forks = second ? 2 : 1;
  struct study s = { 0 };
  enum df_status status = study_run(&s, reading, forks, wanted, wanted_n, options, threads, failed);
  if (status == DF_OK) {
    const double *fine[2] = { s.fine[0], s.fine[1] };
    for (int i = 0; i < wanted_n; i++) estimate(s.value, fine, forks, wanted_n, i, &out[i]);
  }
  study_finish(&s);
  return status;
}

const char *const df_verdict_names[3] = { "worse", "same_within_error", "better" };

enum df_verdict df_verdict_of(int measure, const struct df_estimate *e)
{
  int direction = df_measures[measure].better;
  if (direction == DF_NEITHER || !isfinite(e->difference) || fabs(e->difference) <= e->error) return DF_SAME_WITHIN_ERROR;
  return (e->difference > 0) == (direction > 0) ? DF_BETTER : DF_WORSE;
}

void df_shapley(const double *value, int n, double *share)
{
  double factorial[DF_CHANGES_MAX + 1] = { 1 };
  for (int i = 1; i <= n; i++) factorial[i] = factorial[i - 1]*i;
  for (int i = 0; i < n; i++) {
    share[i] = 0;
    for (int mask = 0; mask < 1 << n; mask++) {
      if (mask >> i & 1) continue;
      int k = __builtin_popcount((unsigned)mask);
      share[i] += factorial[k]*factorial[n - k - 1]/factorial[n]*(value[mask | 1 << i] - value[mask]);
    }
  }
}
