// Oil: level as a probe finds it, volume to pour, room for hot oil, two bottles into one.
#include "studies/setup.h"

#include "base/roots.h"
#include "dampfork/oil.h"

static double circle(double diameter) { return M_PI_4*diameter*diameter; }

// ---- level ----
struct level_job { struct df_scenario *work; int side; double gas; /* m3 at full travel */ };

static double gas_over(double level, double *slope, const void *context)
{
  const struct level_job *job = context;
  (void)slope;
  job->work->side[job->side].air.oil_level = level;
  return df_air_at_full_travel(job->work, job->side, NULL) - job->gas;
}

double df_oil_level_as(const struct df_scenario *scenario, int side, struct df_level_taken taken)
{
  struct df_scenario work = *scenario;
  struct level_job job = {&work, side, df_air_at_full_travel(scenario, side, NULL)};
  struct df_side *s = &job.work->side[side];
  // solids given as one volume do not say what stands where: spread them as computed
  double level = NAN, given = s->air.solids;
  if (isfinite(given)) {
    double computed;
    s->air.solids = NAN;
    df_air_at_full_travel(job.work, side, &computed);
    job.work->cap.volume += given - computed;
  }
  s->air.level_taken = taken;
  double found = s->air.oil_level;
  if (df_root_find(gas_over, &job, 0, 2, 0, 1e-8, &found) == DF_OK) level = found;
  return level;
}

// ---- volume ----
// Between rim and rod's head (or valve), fork collapsed; NAN: depth not measured.
static double column_height(const struct df_side *s)
{
  double depth = s->spacer.depth_to_spring;
  if (s->has_valve && s->spacer.depth_taken_valve == DF_OUT) depth -= s->valve.height;
  return depth + s->spring.free_length - s->leg.travel;
}

double df_oil_volume_of(const struct df_scenario *scenario, int side)
{
  const struct df_side *s = &scenario->side[side];
  const struct df_leg *leg = &s->leg;
  double bore = circle(leg->tube_bore), rod = circle(leg->rod_outside);
  double bare = df_oil_level_as(scenario, side, (struct df_level_taken){DF_IN, DF_OUT, DF_OUT});
  double over = bore*(column_height(s) - bare);
  double valve = s->has_valve ? bore*s->valve.height - s->valve.volume : 0;
  double annulus = leg->annulus_dead_volume + (bore - rod)*leg->travel;
  return over + valve + annulus + leg->lower_dead_volume + circle(leg->rod_bore)*leg->rod_length;
}

// ---- bottles ----
int df_blend_recipe_of(const struct df_have *have, double wanted, struct df_blend_recipe *out)
{
  double thin = NAN, thick = NAN;
  for (int i = 0; i < have->oils_n; i++) {
    double oil = have->oils[i];
    if (oil <= wanted) thin = fmax(thin, oil);
    if (oil >= wanted) thick = fmin(thick, oil);
  }
  if (isnan(thin) || isnan(thick)) return 0;
  double share = thick > thin ? df_oil_blend_share(thin, thick, wanted) : 1;
  double straight = thick > thin ? (wanted - thin)/(thick - thin) : 1;
  double parts[2] = {thin, thick}, shares[2] = {1 - straight, straight};
  *out = (struct df_blend_recipe){thin, thick, share, df_oil_blend(parts, shares, 2)};
  return 1;
}

// ---- the whole ----
// Gas pressure at travel x over a limit, the gas as in a ride.
struct hot_job { const struct df_leg_model *leg; double limit; };

static double pressure_over(double x, double *slope, const void *context)
{
  const struct hot_job *job = context;
  struct df_rest rest;
  (void)slope;
  double n = job->leg->kind.thermal ? 1 : job->leg->c.exponent;
  if (df_leg_rest(job->leg, x, n, &rest) != DF_OK) return NAN;
  return rest.pressure - job->limit;
}

static double seal_travel_of(const struct df_leg_model *leg)
{
  struct hot_job job = {leg, DF_SEAL_PRESSURE};
  double at = 0.9*leg->c.travel;
  if (df_root_find(pressure_over, &job, 0, leg->c.travel, 0, 1e-6, &at) == DF_OK) return at;
  return NAN;
}

static double end_pressure(const struct df_leg_model *leg, double *gas)
{
  struct df_rest rest;
  double n = leg->kind.thermal ? 1 : leg->c.exponent;
  if (df_leg_rest(leg, leg->c.travel, n, &rest) != DF_OK) return NAN;
  *gas = rest.gas;
  return rest.pressure;
}

// The leg at DF_HOT_OIL: closed cold, its oil takes the room it grows by.
static enum df_status hot_fill(const struct df_scenario *scenario, int side,
                               struct df_oil_fill *out, struct df_faults *faults)
{
  struct df_scenario *s = df_setup_copy(scenario);
  struct df_leg_model *leg = malloc(sizeof *leg);
  enum df_status status = s && leg ? DF_OK : df_setup_no_memory(faults);
  if (status == DF_OK) {
    struct df_oil *oil = &s->side[side].oil;
    if (isnan(oil->volume)) oil->volume = out->volume;
    status = df_leg_model_init(leg, s, side, DF_HOT_OIL, 0, faults);
  }
  if (status == DF_OK) {
    out->grows = leg->c.oil_volume*(leg->c.level_density/leg->c.rho - 1);
    if (!(leg->c.oil_volume > 0)) out->grows = NAN;
    double compressed;
    out->pressure_hot = end_pressure(leg, &compressed);
    out->gas_hot = out->gas_end - fmax(out->grows, 0); // fmax: nothing where it is not known
    out->seal_travel = seal_travel_of(leg);
  }
  free(leg);
  free(s);
  return status;
}

static void levels_fill(const struct df_scenario *scenario, int side, struct df_oil_fill *out)
{
  const struct df_side *s = &scenario->side[side];
  out->level = s->air.oil_level;
  out->bare = df_oil_level_as(scenario, side, (struct df_level_taken){DF_IN, DF_OUT, DF_OUT});
  out->with_spring = df_oil_level_as(scenario, side, (struct df_level_taken){DF_IN, DF_IN, DF_OUT});
  out->with_all = df_oil_level_as(scenario, side, (struct df_level_taken){DF_IN, DF_IN, DF_IN});
  out->without_valve = NAN;
  if (s->has_valve)
    out->without_valve =
        df_oil_level_as(scenario, side, (struct df_level_taken){DF_OUT, DF_OUT, DF_OUT});
}

// Air force at full travel (N) with `more` metres of level; NAN: locked.
static double air_at_end(const struct df_scenario *scenario, int side, double more)
{
  struct df_scenario s = *scenario; // on the stack, so that nothing can be missing
  struct df_leg_model leg;
  double gas;
  s.side[side].air.oil_level += more;
  if (df_leg_model_init(&leg, &s, side, s.side[side].oil.temperature, 0, NULL) != DF_OK) return NAN;
  return (end_pressure(&leg, &gas) - DF_ATMOSPHERE)*leg.c.tube_area;
}

enum df_status df_oil_fill_of(const struct df_scenario *scenario, int side, struct df_oil_fill *out,
                              struct df_faults *faults)
{
  static const double step = 5e-3; // m
  struct df_leg_model *leg = df_leg_create(scenario, side, faults);
  if (!leg) return faults && faults->n ? faults->at[faults->n - 1].status : DF_BAD_INPUT;
  *out = (struct df_oil_fill){.gas_end = leg->gas_end, .gas_hot = leg->gas_end, .grows = NAN,
                              .seal_travel = NAN};
  double gas, now = air_at_end(scenario, side, 0);
  const struct df_oil *oil = &leg->oil;
  out->pressure_end = end_pressure(leg, &gas);
  out->viscosity_40 = df_oil_viscosity(oil, 313.15);
  out->viscosity_ride = df_oil_viscosity(oil, oil->temperature);
  out->viscosity_bench = df_oil_viscosity(oil, oil->level_temperature);
  df_leg_destroy(leg);
  levels_fill(scenario, side, out);
  out->volume = df_oil_volume_of(scenario, side);
  out->force_for_more = air_at_end(scenario, side, -step) - now;
  out->force_for_less = air_at_end(scenario, side, step) - now;
  return hot_fill(scenario, side, out, faults);
}
