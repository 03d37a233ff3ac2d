// Variants of a fork within what is not known.
#include "studies/variants.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_rng.h>

#include "base/param.h"

const struct df_doubt df_doubts[] = {
    {"seals.bush_friction", 0.01, 0.05,
     "published for lined bushes 0.02-0.12, unknown within a factor of three"},
    {"braking.ramp", 0.15, 0.4, "how the rider takes the lever"},
    {"leg.check_valve.area", 80, 150, "assumed: common practice, 20-30 % even when measured"},
    {"leg.check_valve.discharge", 0.55, 0.8, "from memory: plates over slots"},
    {"leg.check_leak.gap", 0.03, 0.1, "common practice"},
    {"leg.piston_ring.area", 0.25, 1, "common practice"},
    {"seals.sliding", 15, 40, "from memory: seals of one leg"},
    {"rod.bore_loss", 1.5, 2.5, "side inflow into a tube closed at its end"},
    {"valve.jet_coefficient", 0.27, 0.43, "published: mean speed or jet speed"},
    {"valve.curtain_discharge", 0.6, 0.75, "published for sharp edges"},
    {"oil.air_fraction", 0.1, 2, "from memory: rested to foamed"},
    {"air.exponent", 1.2, 1.4, "published range of fast compression"},
    {"tyre.damping", 50, 400, "from memory"},
};
const int df_doubt_count = sizeof df_doubts / sizeof *df_doubts;
_Static_assert(sizeof df_doubts / sizeof *df_doubts <= DF_DOUBTS_MAX,
               "more doubts than variants have room for");

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
  double scale = value.in_unit != 0 ? value.si / value.in_unit : NAN, sure;
  if (df_reading_learned(reading, doubt->path, &sure)) {
    double end = value.si + (high ? sure : -sure);
    return isfinite(scale) ? fmin(fmax(end, scale * row->low), scale * row->high) : end;
  }
  if (!value.given) return isfinite(scale) ? scale * (high ? doubt->high : doubt->low) : NAN;
  double off = isfinite(row->tolerance_share) ? row->tolerance_share * fabs(value.si)
                                              : row->tolerance * scale;
  return isfinite(off) ? value.si + (high ? off : -off) : NAN;
}

static int in_use(const struct df_reading *reading, const char *path)
{
  return strncmp(path, "valve.", 6) != 0 || df_reading_scenario(reading)->side[0].has_valve;
}

// A scenario with the roads, rider and load of the first.
void df_variant_base(struct df_scenario *out, const struct df_scenario *s,
                     const struct df_scenario *first)
{
  memcpy(out, s, sizeof *out);
  memcpy(out->road, first->road, sizeof out->road);
  out->road_n = first->road_n, out->rider = first->rider, out->load = first->load;
}

// How the lever is taken, on every road that does not say so itself.
void df_variant_ramp(struct df_scenario *s, const struct df_scenario *first, double ramp)
{
  for (int i = 0; i < s->road_n; i++)
    if (s->road[i].has_brake && s->road[i].brake.ramp == first->braking.ramp)
      s->road[i].brake.ramp = ramp;
}

// Put one side of one doubt into a reading and a scenario made of it. 1: something is other than
// before.
static int doubt_put(struct df_reading *reading, int doubt, double si, double *ramp)
{
  const char *path = df_doubts[doubt].path;
  if (!isfinite(si) || !in_use(reading, path)) return 0;
  int at = df_reading_find(reading, path);
  struct df_value now;
  if (at >= 0) df_reading_value(reading, at, &now);
  if (at >= 0 && now.si == si) return 0;
  if (!strcmp(path, "braking.ramp")) *ramp = si;
  return df_reading_set(reading, path, si, NULL) == DF_OK;
}

enum df_status df_variant(const struct df_reading *reading, const struct df_reading *first, int i,
                          struct df_scenario *out, int *differs)
{
  const struct df_scenario *base = df_reading_scenario(first);
  if (i < 3) {
    df_variant_base(out, df_reading_scenario(reading), base);
    out->run.law = (out->run.law + i) % 3;
    *differs = 1;
    return DF_OK;
  }
  struct df_reading *changed = df_reading_copy(reading);
  if (!changed) return DF_NO_MEMORY;
  double ramp = NAN;
  int doubt = (i - 3) / 2;
  *differs = doubt_put(changed, doubt, varied(first, &df_doubts[doubt], (i - 3) % 2), &ramp);
  df_variant_base(out, df_reading_scenario(changed), base);
  if (isfinite(ramp)) df_variant_ramp(out, base, ramp);
  df_reading_destroy(changed);
  return DF_OK;
}

// Doubts that were learned are drawn together, as normal as what they were learned from, by their
// correlations; out: SI, NAN where a doubt was not learned. u: uniform draws.
static void learned_draw(const struct df_reading *first, const double *u, double *out)
{
  int at[DF_DOUBTS_MAX], n = 0;
  double sure[DF_DOUBTS_MAX];
  for (int i = 0; i < df_doubt_count; i++) {
    out[i] = NAN;
    if (df_reading_learned(first, df_doubts[i].path, &sure[n])) at[n++] = i;
  }
  if (!n) return;
  gsl_matrix *m = gsl_matrix_alloc((size_t)n, (size_t)n);
  for (int i = 0; i < n && m; i++)
    for (int j = 0; j < n; j++)
      gsl_matrix_set(m, (size_t)i, (size_t)j,
                     i == j ? 1 : df_reading_learned_together(first, df_doubts[at[i]].path,
                                                              df_doubts[at[j]].path));
  int good = m && !gsl_linalg_cholesky_decomp1(m); // else: each by itself
  for (int i = 0; i < n; i++) {
    struct df_value value;
    double z = good ? 0 : gsl_cdf_ugaussian_Pinv(u[at[i]]);
    for (int j = 0; j <= i && good; j++)
      z += gsl_matrix_get(m, (size_t)i, (size_t)j) * gsl_cdf_ugaussian_Pinv(u[at[j]]);
    df_reading_value(first, df_reading_find(first, df_doubts[at[i]].path), &value);
    double scale = value.si / value.in_unit, off = sure[i] / 1.96 * fmin(fmax(z, -3), 3);
    out[at[i]] = value.si + off;
    if (isfinite(scale))
      out[at[i]] = fmin(fmax(out[at[i]], scale * value.row->low), scale * value.row->high);
  }
  gsl_matrix_free(m);
}

enum df_status df_variant_drawn(const struct df_reading *reading, const struct df_reading *first,
                                unsigned long long seed, int i, struct df_scenario *out)
{
  const struct df_scenario *base = df_reading_scenario(first);
  struct df_reading *changed = df_reading_copy(reading);
  gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
  enum df_status status = changed && rng ? DF_OK : DF_NO_MEMORY;
  if (status == DF_OK) {
    double ramp = NAN;
    gsl_rng_set(rng, (unsigned long)(seed * 1000003ull + (unsigned long long)i + 1));
    int law = (int)gsl_rng_uniform_int(rng, 3);
    double u[DF_DOUBTS_MAX], learned[DF_DOUBTS_MAX];
    for (int doubt = 0; doubt < df_doubt_count; doubt++) u[doubt] = gsl_rng_uniform_pos(rng);
    learned_draw(first, u, learned);
    for (int doubt = 0; doubt < df_doubt_count; doubt++) {
      double low = varied(first, &df_doubts[doubt], 0), high = varied(first, &df_doubts[doubt], 1);
      doubt_put(changed, doubt,
                isfinite(learned[doubt]) ? learned[doubt] : low + u[doubt] * (high - low), &ramp);
    }
    df_variant_base(out, df_reading_scenario(changed), base);
    out->run.law = law;
    if (isfinite(ramp)) df_variant_ramp(out, base, ramp);
  }
  if (rng) gsl_rng_free(rng);
  df_reading_destroy(changed);
  return status;
}
