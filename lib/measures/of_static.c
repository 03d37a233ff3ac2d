// Measures without a ride, and ratios of two rides.
#include "measures/of.h"

#include <math.h>

#include "dampfork/leg.h"
#include "measures/passes.h"

#define UNUSED __attribute__((unused))

double df_of_free_travel(const struct df_measured *m, UNUSED double unused)
{
  return m->statics->free_travel;
}

double df_of_sag(const struct df_measured *m, double load)
{
  const struct df_statics *s = m->statics;
  double x[] = {s->x_alone, s->x_rider, s->x_loaded};
  return x[(int)load] - s->free_travel;
}

double df_of_sag_share(const struct df_measured *m, double load)
{
  return df_of_sag(m, load)/df_measured_travel(m);
}

double df_of_sag_band(const struct df_measured *m, UNUSED double unused)
{
  return m->statics->sag_band;
}

double df_of_cap_force(const struct df_measured *m, UNUSED double unused)
{
  return m->statics->cap_force;
}

double df_of_end_force(const struct df_measured *m, UNUSED double unused)
{
  return m->statics->end_force;
}

double df_of_cracking_pressure(const struct df_measured *m, UNUSED double unused)
{
  return m->statics->cracking_pressure;
}

double df_of_cracking_speed(const struct df_measured *m, UNUSED double unused)
{
  return m->statics->cracking_speed;
}

double df_of_ratio_compression(const struct df_measured *m, double index)
{
  return m->statics->damping_ratio_compression[(int)index];
}

double df_of_ratio_rebound(const struct df_measured *m, double index)
{
  return m->statics->damping_ratio_rebound[(int)index];
}

// A shock that the caller took from another ride, over that of this one.
static double shock_ratio(const struct df_measured *m, double other)
{
  double own = df_pass_filtered(m).shock;
  return other > 0 && own > 0 ? other/own : NAN;
}

double df_of_cold_ratio(const struct df_measured *m, UNUSED double unused)
{
  return shock_ratio(m, m->shock_cold);
}

double df_of_heated_ratio(const struct df_measured *m, UNUSED double unused)
{
  return shock_ratio(m, m->shock_heated);
}
