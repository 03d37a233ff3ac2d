// From one side of a scenario to the constants of its leg.
#include "leg/model.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "dampfork/path.h"
#include "dampfork/shims.h"

const char *const df_path_names[DF_PATHS] = { "compression_holes", "rebound_holes", "check", "check_leak", "ring", "valve", "bleed", "return" };

static double circle(double diameter) { return M_PI_4*diameter*diameter; }

// A closed path in lanes: so narrow that nothing passes, yet finite, so that no product is "not a number".
static void set_path(struct df_restriction r, double *viscous, double *inertial, double *choke)
{
  int closed = df_restriction_closed(r);
  *viscous = closed ? 1e30 : r.viscous;
  *inertial = closed ? 1e30 : r.inertial;
  if (choke) *choke = closed ? 0 : isfinite(r.choke) ? r.choke : 1e6;  // 1e6 m2: never reached
}

static void set_geometry(struct df_leg_constants *c, const struct df_leg *leg)
{
  double rod = circle(leg->rod_outside);
  c->tube_area = circle(leg->tube_outside), c->bore_area = circle(leg->tube_bore);
  c->lower_area = c->tube_area - rod, c->annulus_area = c->bore_area - rod;
  c->travel = leg->travel;
  c->lower_full = leg->lower_dead_volume + c->lower_area*leg->travel;
  c->annulus_start = leg->annulus_dead_volume;
  c->rod_volume = circle(leg->rod_bore)*leg->rod_length;
  c->tube_bore = leg->tube_bore;
}

static void set_oil(struct df_leg_model *leg, double kelvin)
{
  struct df_leg_constants *c = &leg->c;
  const struct df_oil *oil = &leg->oil;
  struct df_oil_state s = leg->state = df_oil_state_of(oil);
  leg->temperature = kelvin;
  c->rho = df_oil_density(oil, kelvin);
  c->mu = df_oil_viscosity(oil, kelvin)*c->rho;
  c->vapour = s.vapour, c->bulk = s.modulus, c->liquid = 1 - s.air, c->air = s.air*(DF_ATMOSPHERE - s.vapour);
  c->stiffness = s.modulus/(2*c->liquid);
  c->half_width = c->liquid*(1 + (DF_ATMOSPHERE - s.vapour)/s.modulus);
  c->air_term = 4*s.air*c->liquid*(DF_ATMOSPHERE - s.vapour)/s.modulus;
  c->threshold = oil->cavitation_threshold;
  c->oil_volume = isfinite(oil->volume) ? oil->volume : 0;
  c->level_density = df_oil_density(oil, oil->level_temperature);
  c->heat_capacity = oil->heat_capacity, c->heat_loss = oil->heat_loss, c->ambient = oil->ambient;
  df_oil_walther(oil->viscosity_40, oil->viscosity_100, &c->walther_a, &c->walther_b);
  c->density_15 = oil->density_15;
}

static void set_holes(struct df_leg_model *leg, const struct df_scenario *scenario, const struct df_side *s)
{
  struct df_leg_constants *c = &leg->c;
  const struct df_leg *l = &s->leg;
  double wall = (l->rod_outside - l->rod_bore)/2;
  double contraction = scenario->run.choking == DF_ON ? scenario->run.contraction : INFINITY;
  struct leg_aside *aside = &leg->aside;
  df_hole_set_init(&aside->holes, scenario->run.law, &s->rod.holes.compression_holes, wall, contraction);
  df_hole_set_init(&aside->rebound, scenario->run.law, &s->rod.holes.rebound_holes, wall, contraction);
  df_hole_set_init_bleed(&aside->bleed, scenario->run.law, s->valve.bleed_holes, s->has_valve ? s->valve.bleed_n : 0, s->valve.bleed_length,
                         contraction);
  set_path(df_hole_set_restriction(&aside->holes, NULL, 1), &c->holes_in_viscous, &c->holes_in_inertial, &c->holes_in_choke);
  set_path(df_hole_set_restriction(&aside->holes, NULL, 0), &c->holes_out_viscous, &c->holes_out_inertial, &c->holes_out_choke);
  set_path(df_hole_set_restriction(&aside->rebound, NULL, 1), &c->rebound_in_viscous, &c->rebound_in_inertial, &c->rebound_in_choke);
  set_path(df_hole_set_restriction(&aside->rebound, NULL, 0), &c->rebound_out_viscous, &c->rebound_out_inertial, &c->rebound_out_choke);
  set_path(df_restriction_bore(l->rod_length, l->rod_bore, s->rod.bore_loss), &c->bore_viscous, &c->bore_inertial, NULL);
  leg->kind.law = scenario->run.law;
}

// Where each group opens and closes: heights over the rod's foot against the tube's end at full travel; depths under the piston.
static void set_coverage(struct df_leg_model *leg, const struct df_side *s)
{
  struct leg_aside *aside = &leg->aside;
  const struct df_hole_list *low = &s->rod.holes.compression_holes, *high = &s->rod.holes.rebound_holes;
  double end = s->leg.tube_end_height;
  aside->travel = s->leg.travel, aside->holes_n = low->n, aside->rebound_n = high->n;
  for (int i = 0; i < low->n; i++) {
    int known = isfinite(low->at[i].height) && isfinite(end);
    double y = low->at[i].height - end;
    aside->lower_edge[i] = known ? y : -1e3;                              // m: never reached
    aside->upper_edge[i] = known ? y - s->leg.tube_end_thickness : -1e3;
    leg->kind.covered |= known;
  }
  for (int i = 0; i < high->n; i++) {
    int known = isfinite(high->at[i].depth);
    aside->rebound_edge[i] = known ? high->at[i].depth : -1e3;
    leg->kind.covered |= known;
  }
  if (leg->kind.covered) leg->kind.holes_n = low->n, leg->kind.rebound_n = high->n; // lanes side by side have as many
}

static void set_groups(struct df_leg_model *leg)
{
  const struct leg_aside *a = &leg->aside;
  leg->c.open_over = leg->c.open_past = -INFINITY;
  for (int i = 0; i < a->holes_n + a->rebound_n; i++) {
    int low = i < a->holes_n, at = low ? i : i - a->holes_n;
    const struct df_hole *hole = low ? &a->holes.at[at] : &a->rebound.at[at];
    struct df_leg_group *group = low ? &leg->groups.holes[at] : &leg->groups.rebound[at];
    for (int side = 0; side < 2; side++)
      set_path(hole->two_term[side], &group->viscous[side], &group->inertial[side], &group->choke[side]);
    group->per_radius = 2/hole->diameter;
    group->lower_edge = low ? a->lower_edge[at] : a->rebound_edge[at];
    group->upper_edge = low ? a->upper_edge[at] : 0;
    double *clear = low ? &leg->c.open_over : &leg->c.open_past;
    *clear = fmax(*clear, (low ? fmax(group->lower_edge, group->upper_edge) : group->lower_edge) + hole->diameter/2);
  }
}

static void set_gaps(struct df_leg_model *leg, const struct df_side *s)
{
  struct df_leg_constants *c = &leg->c;
  const struct df_leg *l = &s->leg;
  const struct df_check_valve *v = &l->check_valve;
  double area = v->area;
  if (isfinite(v->curtain_area)) area = 1/sqrt(1/(area*area) + 1/(v->curtain_area*v->curtain_area));
  set_path(df_restriction_area(area, v->discharge, v->hydraulic_diameter, 0), &c->check_viscous, &c->check_inertial, NULL);
  c->check_crack = v->crack, c->check_per_range = 1/(v->full - v->crack);
  double gap = isfinite(l->check_leak.gap) ? l->check_leak.gap : 0;
  set_path(df_restriction_gap(gap, l->check_leak.length, l->check_leak.eccentricity, l->rod_outside + gap), &c->leak_viscous,
           &c->leak_inertial, NULL);
  set_path(df_restriction_area(l->piston_ring.area, l->piston_ring.discharge, l->piston_ring.hydraulic_diameter, 0), &c->ring_viscous,
           &c->ring_inertial, NULL);
  leg->kind.gap = isfinite(l->piston_gap.gap) && l->piston_gap.gap > 0;
  struct df_gap piston = l->piston_gap;
  set_path(df_restriction_gap(leg->kind.gap ? piston.gap : 0, piston.length, piston.eccentricity, l->tube_bore), &c->gap_viscous,
           &c->gap_inertial, NULL);
}

static enum df_status set_shims(struct df_leg_constants *c, const struct df_valve *v, struct df_faults *faults)
{
  struct df_shim_stack stack;
  enum df_status status = df_shim_stack_solve(v->shims, v->shim_n, v->shim_clamp/2, v->seat_diameter/2, v->port_inner/2, v->shim_modulus,
                                              DF_SHIM_POISSON, &stack);
  if (status != DF_OK)
    return df_fault_add(faults, status, "valve.shims", "the stack cannot be solved: clamp %.4g mm, seat %.4g mm; the face shim must cover the "
                        "seat and the clamp must be inside it", v->shim_clamp*1e3, v->seat_diameter*1e3);
  c->valve_area = stack.area, c->valve_shim_rate = stack.stiffness, c->valve_shim_dish = v->shim_dish;
  c->valve_shim_stiffening = stack.hardening/(stack.face_thickness*stack.face_thickness);
  return DF_OK;
}

static enum df_status set_valve(struct df_leg_model *leg, const struct df_side *s, struct df_faults *faults)
{
  struct df_leg_constants *c = &leg->c;
  const struct df_valve *v = &s->valve;
  set_path(df_hole_set_restriction(&leg->aside.bleed, NULL, 1), &c->bleed_viscous, &c->bleed_inertial, &c->bleed_choke);
  set_path(df_restriction_area(v->return_area, v->return_discharge, v->return_hydraulic_diameter, 0), &c->return_viscous, &c->return_inertial,
           NULL);
  c->return_crack = v->return_crack, c->return_per_range = 1/(v->return_full - v->return_crack);
  double outer = v->seat_diameter + 2*v->land, rim = M_PI*v->seat_diameter, flow_rim = v->curtain_discharge*rim, ports = v->port_discharge*v->port_area;
  c->valve_area = v->land > 0 ? M_PI*(outer*outer - v->seat_diameter*v->seat_diameter)/(8*log(outer/v->seat_diameter)) : circle(v->seat_diameter);
  c->valve_jet = v->jet_coefficient*rim;
  c->valve_rate = v->spring_rate, c->valve_preload = v->spring_rate*v->preload, c->valve_stop = v->stop;
  if (v->shim_n > 0) {
    enum df_status status = set_shims(c, v, faults);
    if (status != DF_OK) return status;
  }
  c->valve_creep = 32/(M_PI*rim), c->valve_land = 6*log(outer/v->seat_diameter)/M_PI;
  c->valve_jet_loss = 1/(2*flow_rim*flow_rim), c->valve_ports = 1/(2*ports*ports);
  double dish = c->valve_shim_dish;
  c->valve_crack = (c->valve_preload + c->valve_shim_rate*dish*(1 + c->valve_shim_stiffening*dish*dish))/c->valve_area;
  leg->kind.inertia = v->plate_mass > 0;
  c->plate_mass = v->plate_mass + v->spring_mass/3, c->plate_damping = v->plate_damping;
  if (c->valve_area - 2*c->valve_jet*v->stop < 0)
    return df_fault_add(faults, DF_BAD_INPUT, "valve.stop", "lift stop %.3g mm: the jet would hold the plate open; at most %.3g mm for this seat",
                        v->stop*1e3, c->valve_area/c->valve_jet/2*1e3);
  return DF_OK;
}

// Lift at equal steps of sqrt(dp - crack), from cracking to the stop.
static void set_valve_table(struct df_leg_model *leg)
{
  struct leg_single single;
  df_leg_single_init(&single, leg);
  const struct valve *valve = &single.at.valve;
  double near = 0, span = sqrt(fmax(valve->stop_drop[0] - valve->crack[0], 1e-6)), step = span/VALVE_NODES;
  for (int i = 0; i <= VALVE_NODES; i++) {
    double u = i*step, dp = valve->crack[0] + u*u, lift = leg->c.valve_stop;
    if (!i) lift = 0;
    else if (i < VALVE_NODES) lift = df_valve_lift(valve, dp, near);
    struct valve_at at = valve_at_lift(valve, all(lift));
    double slope = at.seat_slope[0] + 2*valve->ports[0]*at.q[0]*at.q_slope[0];
    leg->aside.valve.lift[i][0] = lift, leg->aside.valve.lift[i][1] = 2*u/slope*step;
    near = lift + leg->aside.valve.lift[i][1];         // where the next one lies, nearly
  }
  leg->c.valve_table_scale = VALVE_NODES/span;
}

static void set_column(struct df_leg_model *leg, const struct df_scenario *scenario, int side)
{
  struct df_leg_constants *c = &leg->c;
  const struct df_side *s = &scenario->side[side];
  double sealed = s->air.sealed_travel, v = df_oil_specific_volume(&leg->state, s->air.fill_pressure);
  leg->gas_end = df_air_at_full_travel(scenario, side, &leg->solids);
  c->gas_start = leg->gas_end + c->tube_area*(c->travel - sealed);
  c->fill_pressure = s->air.fill_pressure, c->exponent = s->air.exponent;
  leg->kind.thermal = isfinite(s->air.thermal_time);
  c->per_thermal_time = leg->kind.thermal ? 1/s->air.thermal_time : 0;
  double lower = c->lower_full - c->lower_area*sealed, annulus = c->annulus_start + c->annulus_area*sealed;
  c->oil_start = (lower + annulus + (leg->kind.valved ? c->rod_volume : 0))/v;
  c->gas_offset = c->gas_start + c->bore_area*sealed - c->oil_start;
}

static void set_forces(struct df_leg_constants *c, const struct df_scenario *scenario, const struct df_side *s)
{
  const struct df_spring *spring = &s->spring;
  const struct df_cone *cone = &scenario->cone;
  const struct df_seals *seals = &scenario->seals;
  int two = isfinite(spring->second_rate) && isfinite(spring->change_at);
  c->spring_soft = spring->rate, c->spring_hard = two ? spring->second_rate : spring->rate, c->spring_preload = spring->preload;
  c->spring_bind = spring->free_length - spring->solid_length;
  c->spring_change = two ? fmin(spring->change_at, c->spring_bind) : c->spring_bind;
  c->top_out_length = scenario->top_out.length, c->top_out_rate = scenario->top_out.rate;
  c->stop_rate = scenario->stops.rate, c->stop_damping = scenario->stops.damping;
  c->cone_start = c->travel - cone->length, c->cone_per_length = 1/cone->length;
  c->cone_gap_start = cone->gap_start, c->cone_narrowing = cone->gap_end - cone->gap_start;
  c->cone_trapped = c->tube_area - circle(c->tube_bore - 2*cone->gap_end);
  c->cone_viscous = 12*cone->land/M_PI, c->cone_inertial = 1.5/(2*M_PI*M_PI);
  c->friction_sliding = seals->sliding, c->friction_pressure = seals->pressure_factor, c->friction_bush = seals->bush_friction;
  c->friction_viscous = seals->viscous;
  c->per_presliding = 1/seals->presliding, c->over_breakaway = seals->breakaway_ratio - 1, c->per_stribeck_speed = 1/seals->stribeck_speed;
  c->bush_spacing = seals->bush_spacing, c->bush_reach = seals->bush_height - seals->bush_spacing;
}

static void set_linear(struct df_leg_model *leg, const struct df_scenario *scenario, const struct df_leg *l, double static_load)
{
  struct df_leg_constants *c = &leg->c;
  memset(&leg->kind, 0, sizeof leg->kind);
  leg->kind.linear = 1;
  c->travel = l->travel;
  c->bush_spacing = scenario->seals.bush_spacing, c->bush_reach = scenario->seals.bush_height - scenario->seals.bush_spacing;
  c->linear_rate = l->linear.rate, c->linear_damping = l->linear.damping;
  c->linear_preload = isfinite(l->linear.preload) ? l->linear.preload : static_load;
}

enum df_status df_leg_model_init(struct df_leg_model *leg, const struct df_scenario *scenario, int side, double kelvin, double static_load,
                                 struct df_faults *faults)
{
  const struct df_side *s = &scenario->side[side];
  memset(leg, 0, sizeof *leg);
  if (s->leg.has_linear) {
    set_linear(leg, scenario, &s->leg, static_load);
    return DF_OK;
  }
  leg->oil = s->oil;
  enum df_status status = df_oil_resolve(&leg->oil, faults);
  if (status != DF_OK) return status;
  leg->kind.valved = s->has_valve;
  leg->kind.hot = scenario->run.heating == DF_ON || isfinite(s->oil.volume);
  set_geometry(&leg->c, &s->leg);
  set_oil(leg, kelvin);
  set_holes(leg, scenario, s);
  set_coverage(leg, s);
  set_groups(leg);
  set_gaps(leg, s);
  set_forces(&leg->c, scenario, s);
  if (leg->kind.valved) {
    status = set_valve(leg, s, faults);
    if (status != DF_OK) return status;
    set_valve_table(leg);
  }
  set_column(leg, scenario, side);
  if (!(leg->gas_end > 0))
    return df_fault_add(faults, DF_HYDRAULIC_LOCK, "air.oil_level",
                        "hydraulic lock: %.0f cm3 of air left at full travel; lower the oil (a larger number of mm from the rim)", leg->gas_end*1e6);
  return DF_OK;
}

struct df_leg_model *df_leg_create(const struct df_scenario *scenario, int side, struct df_faults *faults)
{
  struct df_leg_model *leg = malloc(sizeof *leg);
  if (!leg) {
    df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
    return NULL;
  }
  if (df_leg_model_init(leg, scenario, side, scenario->side[side].oil.temperature, 0, faults) == DF_OK) return leg;
  free(leg);
  return NULL;
}

void df_leg_destroy(struct df_leg_model *leg) { free(leg); }

void df_leg_single_init(struct leg_single *single, const struct df_leg_model *leg)
{
  memcpy(&single->g, &leg->c, sizeof single->g);
  memcpy(&single->groups, &leg->groups, sizeof single->groups);
  if (!leg->kind.linear) leg_paths_set(&single->g, single->g.mu, single->g.rho, &single->at);
  single->aside = &leg->aside, single->table = &leg->aside.valve;
  single->k = (struct leg_const){ &single->g, &single->at, &single->groups, &single->aside, &single->table };
}
