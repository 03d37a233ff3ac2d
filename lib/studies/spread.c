// Error of a measure by samples of everything that is not known at once.
#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include "studies/variants.h"

static const double band_low = 0.05, band_high = 0.95; // 1, ends of the band

// Difference of one sample, or its value for one fork.
static double drawn(const double *value, int forks, int samples, int wanted_n, int i, int at)
{
  double first = value[i * wanted_n + at];
  return forks == 2 ? value[(samples + i) * wanted_n + at] - first : first;
}

static void band(const double *value, int forks, int samples, int wanted_n, int at, double *room,
                 struct df_band *out)
{
  int n = 0;
  for (int i = 0; i < samples; i++) {
    double d = drawn(value, forks, samples, wanted_n, i, at);
    if (isfinite(d)) room[n++] = d;
  }
  gsl_sort(room, 1, (size_t)n);
  out->n = n;
  out->low = n ? gsl_stats_quantile_from_sorted_data(room, 1, (size_t)n, band_low) : NAN;
  out->high = n ? gsl_stats_quantile_from_sorted_data(room, 1, (size_t)n, band_high) : NAN;
  struct df_estimate *e = &out->estimate;
  e->model = n ? 0.5 * (out->high - out->low) : NAN;
  e->error = hypot(e->model, e->numerical);
}

static void as_is(const double *base, const double *fine, int forks, int wanted_n, int at,
                  struct df_estimate *e)
{
  *e = (struct df_estimate){.worst = -1,
                            .value = {base[at], forks == 2 ? base[wanted_n + at] : NAN}};
  e->difference = forks == 2 ? e->value[1] - e->value[0] : 0;
  double finer = forks == 2 ? fine[wanted_n + at] - fine[at] : fine[at],
         coarse = forks == 2 ? e->difference : e->value[0];
  e->numerical = isfinite(finer) && isfinite(coarse) ? fabs(finer - coarse) : 0;
}

struct sampling {
  struct df_scenario *scenario;
  struct df_case *cases;
  double *value, *base, *fine, *room;
};

static enum df_status sampling_run(struct sampling *s, const struct df_reading *const *reading,
                                   int forks, const struct df_wanted *wanted, int wanted_n,
                                   const struct df_ride_options *options, int threads, int samples,
                                   unsigned long long seed)
{
  struct df_case base[2], fine[2];
  struct df_scenario *own = s->scenario + forks * samples;
  for (int f = 0; f < forks; f++) {
    for (int i = 0; i < samples; i++) {
      int at = f * samples + i;
      enum df_status status = df_variant_drawn(reading[f], reading[0], seed, i, &s->scenario[at]);
      if (status != DF_OK) return status;
      s->cases[at] =
          (struct df_case){.scenario = &s->scenario[at], .values = s->value + at * wanted_n};
    }
    df_variant_base(&own[f], df_reading_scenario(reading[f]), df_reading_scenario(reading[0]));
    base[f] = (struct df_case){.scenario = &own[f], .values = s->base + f * wanted_n};
    fine[f] = (struct df_case){.scenario = &own[f], .values = s->fine + f * wanted_n};
  }
  struct df_ride_options finer = options ? *options : (struct df_ride_options){0};
  finer.tolerance = (finer.tolerance > 0 ? finer.tolerance : 1e-3) / 10;
  enum df_status status =
      df_cases_run(s->cases, forks * samples, wanted, wanted_n, options, threads, NULL);
  if (status == DF_OK) status = df_cases_run(base, forks, wanted, wanted_n, options, threads, NULL);
  if (status == DF_OK) status = df_cases_run(fine, forks, wanted, wanted_n, &finer, threads, NULL);
  return status;
}

enum df_status df_estimates_sampled(const struct df_reading *first, const struct df_reading *second,
                                    const struct df_wanted *wanted, int wanted_n,
                                    const struct df_ride_options *options, int threads, int samples,
                                    unsigned long long seed, struct df_band *out)
{
  const struct df_reading *reading[2] = {first, second};
  int forks = second ? 2 : 1;
  size_t n = (size_t)(forks * samples), m = (size_t)wanted_n;
  struct sampling s = {
      malloc((n + 2) * sizeof *s.scenario), calloc(n + 1, sizeof *s.cases),
      calloc(n * m + 1, sizeof *s.value),   calloc(2 * m + 1, sizeof *s.base),
      calloc(2 * m + 1, sizeof *s.fine),    calloc((size_t)samples + 1, sizeof *s.room)};
  enum df_status status =
      s.scenario && s.cases && s.value && s.base && s.fine && s.room ? DF_OK : DF_NO_MEMORY;
  if (status == DF_OK)
    status = sampling_run(&s, reading, forks, wanted, wanted_n, options, threads, samples, seed);
  for (int at = 0; at < wanted_n && status == DF_OK; at++) {
    as_is(s.base, s.fine, forks, wanted_n, at, &out[at].estimate);
    band(s.value, forks, samples, wanted_n, at, s.room, &out[at]);
  }
  free(s.scenario);
  free(s.cases);
  free(s.value);
  free(s.base);
  free(s.fine);
  free(s.room);
  return status;
}
