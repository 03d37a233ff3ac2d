// The fork of docs/theory.md, appendix A, filled in by hand: nothing of the reader or its table of
// typical values takes part.
#include "second_leg.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void leg_part(struct df_leg *leg)
{
  leg->tube_outside = 41e-3, leg->tube_bore = 36.6e-3, leg->rod_outside = 22e-3,
      leg->rod_bore = 14e-3;
  leg->travel = 130e-3, leg->rod_length = 260e-3, leg->exposed_at_full_travel = 6e-3;
  leg->lower_dead_volume = 40e-6, leg->annulus_dead_volume = 15e-6;
  leg->tube_end_height = NAN, leg->tube_end_thickness = 6e-3;
  leg->check_valve = (struct df_check_valve){110e-6, 0.7, 2e-3, 200, 1500, NAN};
  leg->check_leak = (struct df_gap){0.05e-3, 8e-3, 0.5};
  leg->piston_ring = (struct df_ring){0.5e-6, 0.7, 0.7e-3};
  leg->piston_gap = (struct df_gap){NAN, 10e-3, 0.5};
  leg->linear = (struct df_linear_leg){NAN, NAN, NAN};
}

static struct df_hole_group group(double count, double diameter, double entry_chamfer)
{
  return (struct df_hole_group){count, diameter, NAN, NAN, 0, entry_chamfer, 0, 0};
}

static void rod_part(struct df_rod *rod, int valved)
{
  rod->as_found.compression_holes = (struct df_hole_list){1, {group(2, 6e-3, 0)}};
  rod->opened.compression_holes = (struct df_hole_list){1, {group(6, 6.35e-3, 0.5e-3)}};
  rod->as_found.rebound_holes = rod->opened.rebound_holes =
      (struct df_hole_list){1, {group(2, 2.2e-3, 0)}};
  rod->has_as_found = rod->has_opened = 1;
  rod->state = valved ? DF_ROD_OPENED : DF_ROD_AS_FOUND;
  rod->holes = valved ? rod->opened : rod->as_found;
  rod->bore_loss = 2, rod->yield_strength = 350e6;
}

static void valve_part(struct df_valve *v)
{
  v->seat_diameter = 16e-3, v->land = 0, v->port_area = 113e-6;
  v->port_discharge = 0.7, v->curtain_discharge = 0.65, v->jet_coefficient = 0.43;
  v->bleed_n = 1, v->bleed_holes[0] = (struct df_bleed){2, 1.5e-3}, v->bleed_length = 2e-3;
  v->spring_rate = 11e3, v->preload = 3e-3, v->preload_turns = NAN, v->adjuster_pitch = 1e-3,
      v->adjuster_height = NAN;
  v->stop = 3e-3;
  v->shim_n = 0, v->shim_clamp = 12e-3, v->port_inner = 11.2e-3, v->shim_dish = 0,
      v->shim_modulus = 206e9, v->shim_yield = 1400e6;
  v->return_area = 90e-6, v->return_discharge = 0.65, v->return_hydraulic_diameter = 3e-3;
  v->return_crack = 300, v->return_full = 2000;
  v->plate_mass = 0, v->spring_mass = 3e-3, v->plate_damping = 20;
  v->height = 20e-3, v->volume = 5e-6;
}

static void oil_part(struct df_oil *oil)
{
  oil->viscosity_40 = 32e-6, oil->viscosity_100 = 5.4e-6, oil->viscosity_index = NAN,
      oil->density_15 = 870;
  oil->temperature = 303.15, oil->ambient = 293.15;
  oil->air_fraction = 0.005, oil->vapour_pressure = 1e3, oil->cavitation_threshold = 20e3;
  oil->bulk_modulus = 1.5e9, oil->wall_modulus = 7e9;
  oil->volume = NAN, oil->level_temperature = 293.15, oil->heat_capacity = 2000, oil->heat_loss = 3;
}

static void column_part(struct df_side *side)
{
  side->air = (struct df_air){140e-3, {DF_IN, DF_OUT, DF_OUT}, 60e-6, 1.3, NAN, 0, 101325};
  side->spring = (struct df_spring){9e3, NAN, NAN, 420e-3, 145e-3, NAN, NAN, NAN, 0.42, 15e-3};
  side->spacer = (struct df_spacer){0, NAN, 34e-3, 30e-3, NAN, DF_IN, 3e-3, 20e-3};
}

static void front_part(struct df_scenario *s)
{
  // 272 kg in all, 48 % in front
  s->bike = (struct df_bike){190, 0.48, 17, 1.44, 26*M_PI/180, 0.62, 0, 2};
  s->rider = (struct df_rider){82, 0.48};
  s->load.luggage = (struct df_rider){0, 0.05}, s->load.passenger = (struct df_rider){0, 0.1};
  s->tyre = (struct df_tyre){150e3, 150, 0.3, 0.1, 80e-3, DF_CONTACT_DISC, DF_ON, DF_OFF};
  s->seals = (struct df_seals){25, 10, 4e-5, 1.3, 0.15e-3, 10e-3, 0.03, 360e-3, 120e-3};
}

void appendix_a_scenario(struct df_scenario *s, int valved)
{
  memset(s, 0, sizeof *s);
  snprintf(s->title, sizeof s->title, "worked figures of docs/theory.md, appendix A");
  s->use = DF_USE_TOURING;
  front_part(s);
  struct df_side *side = &s->side[0];
  leg_part(&side->leg);
  rod_part(&side->rod, valved);
  valve_part(&side->valve);
  side->has_valve = valved;
  oil_part(&side->oil);
  column_part(side);
  s->side[1] = s->side[0];
  s->cap = (struct df_cap){14e-3, 4e-6};
  s->top_out = (struct df_top_out){8e-3, 20e3};
  s->stops = (struct df_stops){2e6, 0.5};
  s->cone = (struct df_cone){15e-3, 0.8e-3, 0.15e-3, 5e-3};
  s->braking = (struct df_braking){1, 1.1, 0.25, 1.5, 0.1};
  s->run = (struct df_run){DF_LAW_TWO_TERM, DF_ON, 0.62, DF_OFF, DF_START_GIVEN, 0, NAN};
}
