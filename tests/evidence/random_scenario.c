#include "random_scenario.h"

#include <math.h>
#include <string.h>

#include "second_leg.h"

static double from(const gsl_rng *r, double low, double high)
{
  return low + (high - low)*gsl_rng_uniform(r);
}

static int chance(const gsl_rng *r, double share) { return gsl_rng_uniform(r) < share; }

static double maybe(const gsl_rng *r, double share, double low, double high)
{
  double value = from(r, low, high);
  return chance(r, share) ? value : NAN;
}

static double count(const gsl_rng *r, int most) { return 1 + (double)gsl_rng_uniform_int(r, most); }

static void leg(const gsl_rng *r, unsigned features, struct df_leg *l)
{
  l->tube_outside = from(r, 33e-3, 50e-3), l->tube_bore = l->tube_outside - from(r, 3.6e-3, 5e-3);
  l->rod_outside = from(r, 18e-3, 24e-3), l->rod_bore = l->rod_outside - from(r, 6e-3, 9e-3);
  l->travel = from(r, 100e-3, 200e-3), l->rod_length = l->travel + from(r, 100e-3, 160e-3),
      l->exposed_at_full_travel = 6e-3;
  l->lower_dead_volume = from(r, 25e-6, 150e-6), l->annulus_dead_volume = from(r, 10e-6, 40e-6);
  l->tube_end_height = features & RANDOM_COVERED ? from(r, 5e-3, 15e-3) : NAN,
      l->tube_end_thickness = from(r, 3e-3, 10e-3);
  double crack = from(r, 0, 2e3), curtain = maybe(r, 0.3, 40e-6, 300e-6);
  l->check_valve = (struct df_check_valve){from(r, 40e-6, 250e-6), from(r, 0.55, 0.8),
                                           from(r, 1e-3, 4e-3), crack,
                                           crack + from(r, 500, 8e3), curtain};
  l->check_leak = (struct df_gap){from(r, 0.02e-3, 0.15e-3), from(r, 4e-3, 20e-3), from(r, 0, 1)};
  l->piston_ring = (struct df_ring){from(r, 0.1e-6, 3e-6), from(r, 0.6, 0.8),
                                    from(r, 0.3e-3, 1.5e-3)};
  l->piston_gap = (struct df_gap){maybe(r, 0.3, 0.02e-3, 0.1e-3), from(r, 5e-3, 20e-3),
                                  from(r, 0, 1)};
  l->linear = (struct df_linear_leg){NAN, NAN, NAN};
}

static void holes(const gsl_rng *r, struct df_hole_list *list, int most, double small, double large)
{
  list->n = 1 + (int)gsl_rng_uniform_int(r, most);
  for (int i = 0; i < list->n; i++) {
    struct df_hole_group *g = &list->at[i];
    *g = (struct df_hole_group){count(r, 3), from(r, small, large), NAN, NAN, 0, 0, 0, 0};
    double d = g->diameter;
    if (chance(r, 0.2)) g->entry_radius = from(r, 0, 0.2)*d;
    if (chance(r, 0.3)) g->entry_chamfer = from(r, 0, 0.2)*d;
    if (chance(r, 0.2)) g->exit_radius = from(r, 0, 0.2)*d;
    if (chance(r, 0.2)) g->exit_chamfer = from(r, 0, 0.2)*d;
  }
}

static void rod(const gsl_rng *r, unsigned features, struct df_rod *rod)
{
  struct df_hole_list *in = &rod->holes.compression_holes, *out = &rod->holes.rebound_holes;
  holes(r, in, 3, 2e-3, 6.5e-3);
  holes(r, out, 2, 1e-3, 3e-3);
  for (int i = 0; i < in->n && features & RANDOM_COVERED; i++)
    in->at[i].height = maybe(r, 0.8, 10e-3, 45e-3);
  for (int i = 0; i < out->n && features & RANDOM_COVERED; i++)
    out->at[i].depth = maybe(r, 0.5, 2e-3, 25e-3);
  rod->as_found = rod->opened = rod->holes;
  rod->state = features & RANDOM_VALVE ? DF_ROD_OPENED : DF_ROD_AS_FOUND;
  rod->bore_loss = from(r, 1.5, 2.5), rod->yield_strength = 350e6;
}

static void shims(const gsl_rng *r, struct df_valve *v)
{
  v->shim_n = 1 + (int)gsl_rng_uniform_int(r, 4);
  double diameter = v->seat_diameter + from(r, 0.5e-3, 3e-3);
  v->shim_clamp = from(r, 0.35, 0.55)*v->seat_diameter,
      v->port_inner = from(r, 0.6, 0.8)*v->seat_diameter;
  for (int i = 0; i < v->shim_n; i++) {
    v->shims[i] = (struct df_shim){count(r, 3), diameter, 0.05e-3*count(r, 4)};
    diameter -= from(r, 0, 0.25)*(diameter - v->shim_clamp);
  }
  v->shim_dish = chance(r, 0.3) ? from(r, 0, 0.2e-3) : 0;
  if (chance(r, 0.5)) v->spring_rate = 0;
}

// Share of D/(4 c_jet), the lift at which the jet would hold a bare plate up, that is safely below
// half of a given plate's.
static double held_down(const struct df_valve *v)
{
  double wide = 1 + 2*v->land/v->seat_diameter;
  if (v->shim_n > 0) return 0.05; // effective area of shims: a tenth of the seat's or more
  return v->land > 0 ? 0.45*(wide*wide - 1)/(2*log(wide)) : 0.45;
}

static void valve(const gsl_rng *r, unsigned features, struct df_valve *v)
{
  v->seat_diameter = from(r, 12e-3, 20e-3), v->land = chance(r, 0.3) ? from(r, 0.1e-3, 1e-3) : 0,
      v->port_area = from(r, 60e-6, 180e-6);
  v->port_discharge = from(r, 0.6, 0.8), v->curtain_discharge = from(r, 0.6, 0.75);
  v->jet_coefficient = chance(r, 0.2) ? 0 : from(r, 0.2, 0.43);
  v->bleed_n = 1 + (int)gsl_rng_uniform_int(r, 2), v->bleed_length = from(r, 1e-3, 4e-3);
  for (int i = 0; i < v->bleed_n; i++)
    v->bleed_holes[i] = (struct df_bleed){count(r, 3), from(r, 1e-3, 2e-3)};
  v->spring_rate = from(r, 5e3, 25e3), v->preload = from(r, 0, 4e-3), v->preload_turns = NAN;
  v->adjuster_pitch = 1e-3, v->adjuster_height = NAN, v->stop = from(r, 1e-3, 3.4e-3);
  v->shim_clamp = 0.5*v->seat_diameter, v->port_inner = 0.7*v->seat_diameter,
      v->shim_modulus = 206e9, v->shim_yield = 1400e6;
  v->return_area = from(r, 40e-6, 150e-6), v->return_discharge = from(r, 0.55, 0.8),
      v->return_hydraulic_diameter = from(r, 1e-3, 4e-3);
  v->return_crack = from(r, 0, 1e3), v->return_full = v->return_crack + from(r, 500, 5e3);
  v->spring_mass = 3e-3, v->plate_damping = 20, v->height = 20e-3, v->volume = 5e-6;
  if (features & RANDOM_SHIMS) shims(r, v);
  if (v->jet_coefficient > 0)
    v->stop = fmin(v->stop, held_down(v)*v->seat_diameter/(4*v->jet_coefficient));
}

static void oil(const gsl_rng *r, struct df_oil *o)
{
  o->viscosity_40 = from(r, 10e-6, 90e-6);
  o->viscosity_100 = (1.2e-6 + 0.13*o->viscosity_40)*from(r, 0.9, 1.1);
  o->viscosity_index = NAN, o->density_15 = from(r, 820, 900);
  o->temperature = 273.15 + from(r, 0, 60), o->ambient = 293.15, o->level_temperature = 293.15;
  o->air_fraction = pow(10, from(r, -3, -1.3)), o->vapour_pressure = from(r, 100, 20e3),
      o->cavitation_threshold = 20e3;
  o->bulk_modulus = from(r, 1.3e9, 1.9e9), o->wall_modulus = from(r, 3e9, 12e9);
  o->volume = NAN, o->heat_capacity = 2000, o->heat_loss = 3;
}

static void column(const gsl_rng *r, unsigned features, struct df_side *s)
{
  double relaxing = maybe(r, 0.4, 0.2, 2);
  s->air = (struct df_air){from(r, 100e-3, 200e-3), {DF_IN, DF_OUT, DF_OUT}, from(r, 40e-6, 100e-6),
                           from(r, 1, 1.4), NAN, 0, 101325};
  s->spring = (struct df_spring){from(r, 5e3, 13e3), NAN, NAN, 420e-3, 145e-3, NAN, NAN, NAN, 0.42,
                                 from(r, 0, 30e-3)};
  s->spacer = (struct df_spacer){0, NAN, 34e-3, 30e-3, NAN, DF_IN, 3e-3, 20e-3};
  if (features & RANDOM_TWO_RATES) {
    s->spring.second_rate = s->spring.rate*from(r, 1.2, 2.5),
        s->spring.change_at = from(r, 30e-3, 100e-3);
    // binds within the travel at times
    s->spring.free_length = s->spring.solid_length + from(r, 120e-3, 250e-3);
  }
  if (!(features & RANDOM_GAS)) return;
  s->air.thermal_time = relaxing;
  if (chance(r, 0.3)) s->air.sealed_travel = from(r, 0, 40e-3);
  if (chance(r, 0.3)) s->air.fill_pressure = from(r, 1e5, 1.6e5);
  if (chance(r, 0.4)) s->oil.volume = from(r, 300e-6, 700e-6);
}

static void side(const gsl_rng *r, unsigned features, struct df_side *s)
{
  leg(r, features, &s->leg);
  rod(r, features, &s->rod);
  valve(r, features, &s->valve);
  s->has_valve = (features & RANDOM_VALVE) != 0;
  oil(r, &s->oil);
  column(r, features, s);
}

static void front(const gsl_rng *r, struct df_scenario *s)
{
  double wheelbase = from(r, 1.35, 1.55);
  s->bike = (struct df_bike){from(r, 130, 260), from(r, 0.44, 0.52), from(r, 12, 18), wheelbase,
                             from(r, 22, 30)*M_PI/180,
                             wheelbase*from(r, 0.35, 0.45),
                             chance(r, 0.4) ? from(r, 0, 0.7) : 0, 2};
  s->rider = (struct df_rider){from(r, 50, 110), from(r, 0.35, 0.5)};
  s->load.luggage = (struct df_rider){chance(r, 0.3) ? from(r, 0, 30) : 0, 0.05};
  s->load.passenger = (struct df_rider){chance(r, 0.2) ? from(r, 40, 90) : 0, 0.1};
  s->tyre = (struct df_tyre){from(r, 115e3, 180e3), from(r, 50, 400), from(r, 0.28, 0.33), 0.1,
                             80e-3, DF_CONTACT_DISC,
                             chance(r, 0.8) ? DF_ON : DF_OFF, DF_OFF};
  s->cap = (struct df_cap){14e-3, 4e-6};
  s->top_out = (struct df_top_out){from(r, 5e-3, 15e-3), from(r, 10e3, 50e3)};
  s->stops = (struct df_stops){2e6, 0.5};
  s->cone = (struct df_cone){from(r, 12e-3, 20e-3), from(r, 0.5e-3, 1.2e-3),
                             from(r, 0.08e-3, 0.3e-3), from(r, 3e-3, 8e-3)};
  s->seals = (struct df_seals){from(r, 10, 60), from(r, 0, 40), from(r, 0, 1e-4), from(r, 1.1, 2),
                               from(r, 0.05e-3, 0.4e-3),
                               from(r, 2e-3, 20e-3), from(r, 0.01, 0.12),
                               from(r, 0.34, 0.45), from(r, 0.09, 0.12)};
  s->braking = (struct df_braking){from(r, 0.6, 1), from(r, 0.3, 1.3), from(r, 0.15, 0.4), 1.5,
                                   0.1};
}

static int valid(const struct df_scenario *s)
{
  struct second_leg leg[2];
  for (int i = 0; i < 2; i++) {
    const struct df_side *side = &s->side[i];
    double volume[3], travel = side->leg.travel;
    second_leg_init(&leg[i], s, i, NULL, side->oil.temperature);
    second_volumes(&leg[i], travel + 10e-3, volume);
    double gone = leg[i].bore*(travel + 10e-3 - side->air.sealed_travel);
    double room = leg[i].gas0 - leg[i].gas_less - gone;
    double end = leg[i].bore*side->air.oil_level - side->air.solids; // gas at full travel, V_gf
    if (volume[SECOND_LOWER] < 5e-6 || room < 30e-6 || end < 10e-6) return 0;
    second_volumes(&leg[i], -5e-3, volume);
    if (volume[SECOND_ANNULUS] < 2e-6) return 0;
  }
  double rest = second_rest_travel(s, leg);
  return rest > 10e-3 && rest < 0.7*s->side[0].leg.travel;
}

static void draw(const gsl_rng *r, unsigned features, struct df_scenario *s)
{
  memset(s, 0, sizeof *s);
  front(r, s);
  side(r, features, &s->side[0]);
  s->side[1] = s->side[0];
  s->unlike = (features & RANDOM_UNLIKE) != 0;
  if (s->unlike) {
    struct df_leg same = s->side[0].leg;
    side(r, features ^ (chance(r, 0.5) ? RANDOM_VALVE : 0), &s->side[1]);
    s->side[1].leg = same;
  }
  s->run = (struct df_run){DF_LAW_TWO_TERM, DF_ON, 0.62, DF_OFF, DF_START_GIVEN, 0, NAN};
  if (!(features & RANDOM_LAWS)) return;
  s->run.law = (int)gsl_rng_uniform_int(r, 3), s->run.choking = !chance(r, 0.3),
      s->run.contraction = from(r, 0.58, 0.65);
}

void random_scenario(const gsl_rng *r, unsigned features, struct df_scenario *s)
{
  do draw(r, features, s);
  while (!valid(s));
}
