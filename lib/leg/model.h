// One leg, ready for use: constants in doubles, from which the kernels fill their lanes.
#ifndef DF_LEG_MODEL_H
#define DF_LEG_MODEL_H

#include "dampfork/leg.h"
#include "dampfork/oil.h"
#include "leg/leg.h"

struct df_leg_constants {
#define real double
#include "leg/leg_fields.h"
#undef real
};
_Static_assert(sizeof(struct df_leg_constants) % sizeof(double) == 0, "doubles only: lanes are filled by one loop");

struct df_leg_group { double viscous[2], inertial[2], choke[2], per_radius, lower_edge, upper_edge; };
struct df_leg_groups { struct df_leg_group holes[LEG_GROUPS], rebound[LEG_GROUPS]; };
_Static_assert(sizeof(struct df_leg_groups)*DF_LANES == sizeof(struct lane_groups), "the same layout as the lanes");

struct df_leg_model {
  struct df_leg_constants c;
  struct df_leg_groups groups;
  struct leg_aside aside;
  struct leg_kind kind;
  struct df_oil oil;          // resolved
  struct df_oil_state state;
  double temperature;         // K, of the oil at the start
  double gas_end;             // m3 at full travel
  double solids;              // m3
};

// Fill a model from one side of the scenario. static_load: N, what a linear leg without preload carries.
enum df_status df_leg_model_init(struct df_leg_model *leg, const struct df_scenario *scenario, int side, double kelvin, double static_load,
                                 struct df_faults *faults);

// Gas at full travel, m3, from the oil level and how it was taken; solids in m3 may be NULL.
double df_air_at_full_travel(const struct df_scenario *scenario, int side, double *solids);

// Everything at rest at travel x: one pressure. exponent: of the gas, 1 for a slow settling.
struct df_rest { double pressure, gas, lower, annulus, rod; /* Pa, m3 of gas, m3 of oil at p0 */ };
enum df_status df_leg_rest(const struct df_leg_model *leg, double x, double exponent, struct df_rest *out);

// Force at rest (air, coil, top-out spring, stops), N, without friction.
double df_leg_rest_force(const struct df_leg_model *leg, double x, double exponent);

// One model in every lane of width 1, for the scalar uses of the lane source.
struct leg_single {
  struct lane_leg g;
  struct lane_groups groups;
  struct leg_paths at;
  const struct leg_aside *aside;
  const struct valve_table *table;
  struct leg_const k;
};
void df_leg_single_init(struct leg_single *single, const struct df_leg_model *leg);

// Lift (m) at a drop (Pa) between cracking and the stop, by Newton within bounds from y (m; from the middle when it is
// not between the two).
double df_valve_lift(const struct valve *valve, double dp, double y);

// Valve alone, solved to 1e-12: flow m3/s, lift m, slope m3/(s Pa) for dp (Pa) in the opening direction;
// start: a lift near it (m), 0 when none is known.
double df_valve_exact(const struct valve *valve, double dp, double start, double *lift, double *slope);

#endif
