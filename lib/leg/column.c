// The air column: how much gas is left, from the oil level and how it was taken; the leg at rest.
#include "leg/model.h"

#include <math.h>

static const double steel = 7850; // kg/m3, EN 10270-1

static double circle(double diameter) { return M_PI_4*diameter*diameter; }

struct solid { double volume, length; };  // m3, m: spread evenly over its length

static double above_oil(struct solid solid, double bottom, double oil_top)
{
  if (!(solid.length > 0)) return 0;
  double share = (bottom + solid.length - oil_top)/solid.length;
  return solid.volume*fmin(fmax(share, 0), 1);
}

double df_air_at_full_travel(const struct df_scenario *scenario, int side, double *solids)
{
  const struct df_side *s = &scenario->side[side];
  const struct df_spacer *spacer = &s->spacer;
  double length = isfinite(spacer->length) ? spacer->length : 0;
  struct solid wire = { s->spring.mass/steel, s->spring.free_length };
  struct solid wall = { (circle(spacer->outside) - circle(spacer->inside))*length, length };
  double washers = spacer->given ? (circle(spacer->outside) - circle(spacer->washer_inside))*spacer->washers : 0;
  double rest = washers + scenario->cap.volume;
  double gas = circle(s->leg.tube_bore)*s->air.oil_level;
  double total = wire.volume + wall.volume + rest;
  if (isfinite(s->air.solids)) {
    total = s->air.solids;
    gas -= total;
  } else {
    // height of the rim over the rod's head or valve, leg collapsed: what stands in between when the cap is on
    double coil = s->spring.free_length - s->spring.preload - s->leg.travel;
    double oil_top = scenario->cap.depth + (spacer->given ? spacer->washers : 0) + length + coil - s->air.oil_level;
    gas -= rest;
    gas -= s->air.level_taken.spring == DF_IN ? above_oil(wire, 0, oil_top) : wire.volume;
    gas -= s->air.level_taken.spacer == DF_IN ? above_oil(wall, s->air.level_taken.spring == DF_IN ? wire.length : 0, oil_top) : wall.volume;
  }
  if (s->has_valve && s->air.level_taken.valve == DF_OUT) gas -= s->valve.volume;
  if (solids) *solids = total;
  return gas;
}

// Gas volume with all oil at pressure p and travel x.
static double gas_at(const struct df_leg_model *leg, double x, double p, struct df_rest *out)
{
  const struct df_leg_constants *c = &leg->c;
  double v = df_oil_specific_volume(&leg->state, p);
  out->lower = (c->lower_full - c->lower_area*x)/v;
  out->annulus = (c->annulus_start + c->annulus_area*x)/v;
  out->rod = leg->kind.valved ? c->rod_volume/v : 0;
  double hot = c->oil_volume > 0 ? c->oil_volume*(c->level_density/c->rho - 1) : 0;
  double gas = c->gas_offset - c->bore_area*x + out->lower + out->annulus + out->rod - hot;
  return fmax(gas, 1e-3*c->gas_start);
}

enum df_status df_leg_rest(const struct df_leg_model *leg, double x, double exponent, struct df_rest *out)
{
  const struct df_leg_constants *c = &leg->c;
  double p = c->fill_pressure;
  for (int i = 0; i < 200; i++) {
    out->gas = gas_at(leg, x, p, out);
    double next = c->fill_pressure*pow(c->gas_start/out->gas, exponent);
    double off = next - p;
    p = next;
    if (fabs(off) <= 1e-14*p) break;
  }
  out->pressure = p;
  out->gas = gas_at(leg, x, p, out);
  return isfinite(p) ? DF_OK : DF_NOT_FINITE;
}

double df_leg_rest_force(const struct df_leg_model *leg, double x, double exponent)
{
  const struct df_leg_constants *c = &leg->c;
  if (leg->kind.linear) return c->linear_rate*x + c->linear_preload;
  struct df_rest rest;
  if (df_leg_rest(leg, x, exponent, &rest) != DF_OK) return NAN;
  struct leg_single single;
  df_leg_single_init(&single, leg);
  struct leg_eval e = {0};
  e.l.p = all(rest.pressure);
  leg_solids(&single.k, all(x), zero(), &e);
  return (rest.pressure - DF_ATMOSPHERE)*c->tube_area + e.coil.f[0] + e.top_out.f[0] + e.stop.f[0];
}
