// Points of Sobol's sequence and shares of the variance by them.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_qrng.h>
#include <gsl/gsl_rng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include "dampfork/study.h"

struct df_sobol {
  gsl_qrng *sequence;
  int dimensions;
  long next;                                                    // row that the sequence gives next
  double shift[DF_SOBOL_DIMENSIONS], last[DF_SOBOL_DIMENSIONS]; // 1
};

enum df_status df_sobol_create(struct df_sobol **out, int dimensions, unsigned long seed)
{
  *out = NULL;
  if (dimensions < 1 || dimensions > DF_SOBOL_DIMENSIONS) return DF_BAD_INPUT;
  struct df_sobol *s = calloc(1, sizeof *s);
  gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
  if (s) s->sequence = gsl_qrng_alloc(gsl_qrng_sobol, (unsigned)dimensions);
  if (!s || !rng || !s->sequence) {
    if (rng) gsl_rng_free(rng);
    df_sobol_destroy(s);
    return DF_NO_MEMORY;
  }
  s->dimensions = dimensions;
  gsl_rng_set(rng, seed);
  for (int k = 0; seed && k < dimensions; k++) s->shift[k] = gsl_rng_uniform(rng);
  gsl_rng_free(rng);
  *out = s;
  return DF_OK;
}

void df_sobol_destroy(struct df_sobol *sobol)
{
  if (sobol && sobol->sequence) gsl_qrng_free(sobol->sequence);
  free(sobol);
}

void df_sobol_point(struct df_sobol *s, long i, double *u)
{
  if (i < s->next - 1) gsl_qrng_init(s->sequence), s->next = 0;
  for (; s->next <= i; s->next++) gsl_qrng_get(s->sequence, s->last);
  for (int k = 0; k < s->dimensions; k++) {
    double at = s->last[k] + s->shift[k];
    u[k] = at < 1 ? at : at - 1;
  }
}

void df_share_point(struct df_sobol *sobol, int d, long row, double *u)
{
  double both[DF_SOBOL_DIMENSIONS];
  int which = (int)(row % (d + 2));
  df_sobol_point(sobol, row / (d + 2), both);
  memcpy(u, which == 1 ? both + d : both, (size_t)d * sizeof *u);
  if (which >= 2) u[which - 2] = both[d + which - 2];
}

// ---- shares ----
enum { RESAMPLES = 500, GROUPS_LEAST = 8 }; // ends of 95 % then rest on a dozen resamples each
static const double rounding = 1e-12;       // 1, of the mean: smaller differences are no variance

// First order and total of one value from the groups in `pick` (NULL: all n). f is centred.
static void shares_of(const double *f, const int *pick, int n, int d, int k, double *first,
                      double *total)
{
  double sum = 0, square = 0, alone = 0, jansen = 0;
  for (int i = 0; i < n; i++) {
    const double *at = f + (long)(pick ? pick[i] : i) * (d + 2);
    double a = at[0], b = at[1], ab = at[2 + k];
    sum += a + b, square += a * a + b * b;
    alone += b * (ab - a), jansen += (a - ab) * (a - ab);
  }
  double mean = sum / (2 * n), variance = square / (2 * n) - mean * mean;
  *first = variance > 0 ? alone / n / variance : NAN;
  *total = variance > 0 ? jansen / (2 * n) / variance : NAN;
}

// Groups whose results are all finite, centred about their mean. Returns how many.
static int groups_keep(const double *f, int n, int d, double *kept)
{
  int used = 0, wide = d + 2;
  double sum = 0;
  for (int i = 0; i < n; i++) {
    int whole = 1;
    for (int j = 0; j < wide; j++) whole &= isfinite(f[(long)i * wide + j]) != 0;
    if (whole) memcpy(kept + (long)used++ * wide, f + (long)i * wide, (size_t)wide * sizeof *f);
  }
  for (int i = 0; i < used; i++) sum += kept[(long)i * wide] + kept[(long)i * wide + 1];
  double mean = used ? sum / (2 * used) : 0, most = 0;
  for (long i = 0; i < (long)used * wide; i++) {
    kept[i] -= mean;
    most = fmax(most, fabs(kept[i]));
  }
  if (most <= rounding * fabs(mean)) memset(kept, 0, (size_t)used * (size_t)wide * sizeof *kept);
  return used;
}

static void ends(double *value, double *low, double *high)
{
  gsl_sort(value, 1, RESAMPLES);
  *low = gsl_stats_quantile_from_sorted_data(value, 1, RESAMPLES, 0.025);
  *high = gsl_stats_quantile_from_sorted_data(value, 1, RESAMPLES, 0.975);
}

static void intervals(const double *f, int n, int d, gsl_rng *rng, int *pick, double *room,
                      struct df_share *share)
{
  for (int r = 0; r < RESAMPLES; r++) {
    for (int i = 0; i < n; i++) pick[i] = (int)gsl_rng_uniform_int(rng, (unsigned long)n);
    for (int k = 0; k < d; k++)
      shares_of(f, pick, n, d, k, &room[2 * k * RESAMPLES + r], &room[(2 * k + 1) * RESAMPLES + r]);
  }
  for (int k = 0; k < d; k++) {
    ends(room + 2 * k * RESAMPLES, &share[k].first_low, &share[k].first_high);
    ends(room + (2 * k + 1) * RESAMPLES, &share[k].total_low, &share[k].total_high);
  }
}

int df_shares(const double *f, int n, int d, unsigned long seed, struct df_share *share)
{
  double *kept = malloc(((size_t)n * (size_t)(d + 2) + 1) * sizeof *kept);
  double *room = malloc(((size_t)d * 2 * RESAMPLES + 1) * sizeof *room);
  int *pick = malloc(((size_t)n + 1) * sizeof *pick), used = -1;
  gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
  if (kept && room && pick && rng) {
    used = groups_keep(f, n, d, kept);
    for (int k = 0; k < d; k++) {
      share[k] = (struct df_share){NAN, NAN, NAN, NAN, NAN, NAN};
      if (used >= GROUPS_LEAST) shares_of(kept, NULL, used, d, k, &share[k].first, &share[k].total);
    }
    gsl_rng_set(rng, seed);
    if (used >= GROUPS_LEAST && isfinite(share[0].total))
      intervals(kept, used, d, rng, pick, room, share);
  }
  if (rng) gsl_rng_free(rng);
  free(kept);
  free(room);
  free(pick);
  return used;
}
