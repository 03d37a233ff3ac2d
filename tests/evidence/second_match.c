#include "second_match.h"

#include <math.h>
#include <stddef.h>

#include "dampfork/shims.h"

struct second_shims second_shims_of(const struct df_side *side)
{
  const struct df_valve *v = &side->valve;
  struct df_shim_stack s;
  if (!side->has_valve || v->shim_n == 0) return (struct second_shims){0};
  if (df_shim_stack_solve(v->shims, v->shim_n, v->shim_clamp/2, v->seat_diameter/2, v->port_inner/2,
                          v->shim_modulus, DF_SHIM_POISSON, &s) != DF_OK)
    return (struct second_shims){NAN, NAN, NAN, NAN};
  return (struct second_shims){s.stiffness, s.area, s.hardening, s.face_thickness};
}

static double profile_height(const void *road, double s, double *slope)
{
  double w;
  df_profile_at(road, s, &w, slope, NULL);
  return w;
}

void second_case_of(struct second_case *c, const struct df_scenario *scenario,
                    const struct df_road *road, const struct df_profile *profile,
                    const struct df_ride *ride, double axle_start)
{
  const struct df_trace *trace = &ride->trace;
  *c = (struct second_case){.scenario = scenario, .height = profile_height, .road = profile,
                            .speed = road->speed, .start = axle_start, .every = trace->step,
                            .end = ride->moments.end, .tolerance = 1e-9};
  const struct df_brake *b = &road->brake;
  const struct df_braking *usual = &scenario->braking;
  if (road->has_brake)
    c->brake = (struct second_brake){ride->moments.brake_start, b->deceleration,
                                     isnan(b->ramp) ? usual->ramp : b->ramp,
                                     isnan(b->hold) ? usual->hold : b->hold,
                                     isnan(b->release) ? usual->release : b->release};
  const struct df_lean *l = &road->lean;
  if (road->has_lean) c->lean = (struct second_lean){ride->moments.lean_start, l->angle, l->ramp};
}

// Where a channel stands in a sample. step: of the second leg.
struct place { int channel; const char *name; size_t at, step; double size; };

#define WHOLE(channel, field, size) \
  {channel, #field, offsetof(struct second_sample, field), 0, size}
#define LEG(channel, field, size) \
  {channel, #field, offsetof(struct second_sample, field), sizeof(double), size}
#define PRESSURE(channel, k) \
  {channel, "p" #k, offsetof(struct second_sample, p[0][k]), 4*sizeof(double), 1e5}

// Sizes: a channel that stays below has no more than absolute agreement.
static const struct place places[] = {
  WHOLE(DF_C_DISTANCE, distance, 1), WHOLE(DF_C_SPEED, speed, 1), WHOLE(DF_C_TRAVEL, travel, 1e-2),
  WHOLE(DF_C_VELOCITY, velocity, 0.1), WHOLE(DF_C_HEIGHT, rise, 1e-2),
  WHOLE(DF_C_ACCELERATION, acceleration, 1),
  WHOLE(DF_C_TYRE, tyre, 100), WHOLE(DF_C_TYRE_SIGNED, tyre_signed, 100),
  WHOLE(DF_C_BRAKE, brake, 100), LEG(DF_C_DAMPING, damping, 10), LEG(DF_C_SPRING, spring, 10),
  LEG(DF_C_AIR, air, 10), LEG(DF_C_FRICTION, friction, 10), LEG(DF_C_CONE, cone, 10),
  LEG(DF_C_STOP, stop, 10), LEG(DF_C_FORCE, force, 10),
  PRESSURE(DF_C_P_LOWER, 0), PRESSURE(DF_C_P_ANNULUS, 1),
  PRESSURE(DF_C_P_ROD, 2), PRESSURE(DF_C_P_COLUMN, 3), LEG(DF_C_LIFT, lift, 1e-4),
  LEG(DF_C_VOID_LOWER, void_lower, 1e-6), LEG(DF_C_VOID_ANNULUS, void_annulus, 1e-6)};

static double value(const struct second_sample *s, const struct place *p, int leg)
{
  return *(const double *)((const char *)s + p->at + leg*p->step);
}

static void channel_off(const struct df_trace *trace, const struct second_ride *b,
                        const struct place *p, int leg, struct second_off *off)
{
  const double *a = trace->at[p->channel + leg*DF_C_PER_LEG];
  int first = (int)floor(trace->start/trace->step + 0.5), n = trace->n;
  double size = p->size;
  if (!a) return;
  if (first + n > b->n) n = b->n - first;
  for (int i = 0; i < n; i++) size = fmax(size, fabs(value(&b->at[first + i], p, leg)));
  for (int i = 0; i < n; i++) {
    double share = fabs(a[i] - value(&b->at[first + i], p, leg))/size;
    if (!(share <= off->share)) off->share = share, off->what = p->name,
        off->at = b->at[first + i].t;
  }
  off->channels++, off->samples = n;
}

static void energies_off(const struct df_ride *a, const struct second_ride *b,
                         struct second_off *off)
{
  static const struct { enum df_energy a; enum second_energy b; const char *name; } pairs[] = {
    {DF_E_COMPRESSION_HOLES, SECOND_E_COMPRESSION_HOLES, "energy of the compression holes"},
    {DF_E_REBOUND_HOLES, SECOND_E_REBOUND_HOLES, "energy of the rebound holes"},
    {DF_E_CHECK, SECOND_E_CHECK, "energy of the check valve"},
    {DF_E_CHECK_LEAK, SECOND_E_CHECK_LEAK, "energy of the check leak"},
    {DF_E_RING, SECOND_E_RING, "energy of the ring"},
    {DF_E_VALVE, SECOND_E_VALVE, "energy of the valve"},
    {DF_E_BLEED, SECOND_E_BLEED, "energy of the bleed"},
    {DF_E_RETURN, SECOND_E_RETURN, "energy of the return path"},
    {DF_E_COLUMN, SECOND_E_COLUMN, "energy of the column"},
    {DF_E_CONE, SECOND_E_CONE, "energy of the cone"},
    {DF_E_FRICTION, SECOND_E_FRICTION, "energy of friction"},
    {DF_E_STOP, SECOND_E_STOP, "energy of the stops"},
    {DF_E_AIR_HEAT, SECOND_E_AIR_HEAT, "heat of the air"},
    {DF_E_TYRE, SECOND_E_TYRE, "energy of the tyre"},
    {DF_E_ROAD, SECOND_E_ROAD, "energy from the road"},
    {DF_E_BRAKE, SECOND_E_BRAKE, "energy from the brake"}};
  const double *e = b->at[b->n - 1].energy;
  double size = fmax(e[SECOND_E_THROUGHPUT], 1);
  for (size_t i = 0; i < sizeof pairs/sizeof *pairs; i++) {
    double share = fabs(a->energy[pairs[i].a] - e[pairs[i].b])/size;
    if (!(share <= off->share)) off->share = share, off->what = pairs[i].name, off->at = NAN;
  }
}

struct second_off second_match(const struct df_ride *a, const struct second_ride *b)
{
  struct second_off off = {0, "nothing", NAN, 0, 0};
  if (b->n < 1) return (struct second_off){INFINITY, "no second ride", NAN, 0, 0};
  for (size_t i = 0; i < sizeof places/sizeof *places; i++)
    for (int leg = 0; leg < (places[i].step ? a->legs : 1); leg++)
      channel_off(&a->trace, b, &places[i], leg, &off);
  if (!isnan(a->energy_residual)) energies_off(a, b, &off);
  return off;
}
