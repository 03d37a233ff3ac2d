// Forks like this one: what is not exactly known, drawn at once and laid upon any setting alike.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_rng.h>

#include "dampfork/study.h"
#include "studies/advise_parts.h"
#include "studies/variants.h"

enum { FACTORS_MAX = 160, TRIES = 8 };

struct df_draws {
  const struct df_reading *reading;
  int n, factor_n;
  struct df_factor factor[FACTORS_MAX];
  double *u;                  // n rows of factor_n, 0..1
};

void df_draws_destroy(struct df_draws *draws)
{
  if (!draws) return;
  free(draws->u);
  free(draws);
}

int df_draws_n(const struct df_draws *draws)
{
  return draws->n;
}

static void draw(struct df_draws *d, gsl_rng *rng, int i)
{
  for (int k = 0; k < d->factor_n; k++) d->u[i*d->factor_n + k] = gsl_rng_uniform(rng);
}

// Draws that contradict themselves in the present setting are drawn again.
static enum df_status draw_all(struct df_draws *d, unsigned long seed)
{
  gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
  struct df_scenario *s = malloc(sizeof *s);
  enum df_status status = rng && s ? DF_OK : DF_NO_MEMORY;
  if (rng) gsl_rng_set(rng, seed*7919 + 1);
  for (int i = 0; i < d->n && status == DF_OK; i++) {
    status = DF_BAD_INPUT;
    for (int t = 0; t < TRIES && status == DF_BAD_INPUT; t++) {
      draw(d, rng, i);
      status = df_draw_lay(d, i, d->reading, s);
    }
    if (status != DF_NO_MEMORY) status = DF_OK;
  }
  free(s);
  if (rng) gsl_rng_free(rng);
  return status;
}

enum df_status df_draws_create(struct df_draws **out, const struct df_reading *reading, int n, unsigned long seed)
{
  struct df_draws *d = *out = calloc(1, sizeof *d);
  if (!d) return DF_NO_MEMORY;
  d->reading = reading, d->n = n;
  d->factor_n = df_factors_find(reading, d->factor, FACTORS_MAX);
  d->u = calloc((size_t)(n*d->factor_n + 1), sizeof *d->u);
  return d->u ? draw_all(d, seed) : DF_NO_MEMORY;
}

enum df_status df_draw_lay(const struct df_draws *d, int i, const struct df_reading *setting, struct df_scenario *out)
{
  const char *path[FACTORS_MAX], *unit[FACTORS_MAX];
  double value[FACTORS_MAX], ramp = NAN;
  int n = 0;
  struct df_reading *changed = df_reading_copy(setting);
  if (!changed) return DF_NO_MEMORY;
  for (int k = 0; k < d->factor_n; k++) {
    const struct df_factor *f = &d->factor[k];
    double drawn = f->low + d->u[i*d->factor_n + k]*(f->high - f->low);
    struct df_value now;
    int at = df_reading_find(setting, f->path);
    // how the tyre rolls over the road is worked out once for all: 2 mm of radius do not bear on it
    if (at < 0 || !strcmp(f->path, "tyre.radius")) continue;
    df_reading_value(setting, at, &now);
    if (!strcmp(f->path, "braking.ramp")) ramp = drawn; // display unit: s
    // what a setting changes stays as far off as it was drawn
    path[n] = f->path, unit[n] = f->unit, value[n++] = now.in_unit + (drawn - f->now);
  }
  enum df_status status = n ? df_reading_set_all_in(changed, n, path, value, unit, NULL) : DF_OK;
  if (status == DF_OK) {
    df_variant_base(out, df_reading_scenario(changed), df_reading_scenario(changed));
    if (isfinite(ramp)) {
      memcpy(out->road, df_reading_scenario(d->reading)->road, sizeof out->road);
      df_variant_ramp(out, df_reading_scenario(d->reading), ramp);
    }
  }
  df_reading_destroy(changed);
  return status;
}
