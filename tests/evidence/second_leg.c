#include "second_leg.h"

#include <math.h>
#include <string.h>

static const double gravity = 9.80665; // m/s2, standard
static const double p0 = 101325;       // Pa
static const double coil_bind = 2e6;   // N/m, a coil whose wires touch

static void holes_of(struct second_bank *bank, const struct df_hole_list *list, double wall)
{
  memset(bank, 0, sizeof *bank);
  for (int i = 0; i < list->n; i++) {
    const struct df_hole_group *g = &list->at[i];
    bank->at[bank->n++] = (struct second_hole){g->count, g->diameter, wall,
                                               {g->entry_radius, g->exit_radius},
                                               {g->entry_chamfer, g->exit_chamfer}, NAN};
  }
}

static void banks_of(struct second_leg *leg)
{
  const struct df_leg *l = &leg->side->leg;
  const struct df_rod *rod = &leg->side->rod;
  double wall = (l->rod_outside - l->rod_bore)/2;
  holes_of(&leg->compression, &rod->holes.compression_holes, wall);
  holes_of(&leg->rebound, &rod->holes.rebound_holes, wall);
  for (int i = 0; i < leg->compression.n; i++)
    leg->compression.at[i].place = rod->holes.compression_holes.at[i].height - l->tube_end_height;
  for (int i = 0; i < leg->rebound.n; i++)
    leg->rebound.at[i].place = rod->holes.rebound_holes.at[i].depth;
  double b = l->rod_bore;
  leg->compression.bore1 = 128*leg->oil.mu*l->rod_length/(M_PI*b*b*b*b);
  leg->compression.bore2 = rod->bore_loss*leg->oil.rho/(2*leg->hollow*leg->hollow);
  leg->passed = leg->compression;
}

static void paths_of(struct second_leg *leg)
{
  const struct df_leg *l = &leg->side->leg;
  const struct df_check_valve *c = &l->check_valve;
  double area = c->curtain_area > 0 ? 1/hypot(1/c->area, 1/c->curtain_area) : c->area;
  leg->check = second_area_path(&leg->oil, area, c->discharge, c->hydraulic_diameter, 0);
  leg->leak = second_gap_path(&leg->oil, &l->check_leak, l->rod_outside + l->check_leak.gap);
  leg->ring = second_area_path(&leg->oil, l->piston_ring.area, l->piston_ring.discharge,
                               l->piston_ring.hydraulic_diameter, 0);
  leg->piston = second_gap_path(&leg->oil, &l->piston_gap, l->tube_bore);
}

static void valve_of(struct second_leg *leg, const struct second_shims *shims)
{
  const struct df_valve *v = &leg->side->valve;
  struct second_valve *out = &leg->valve;
  double mu = leg->oil.mu, rho = leg->oil.rho, rim = M_PI*v->seat_diameter,
      wide = v->seat_diameter + 2*v->land;
  out->seat = v->seat_diameter, out->jet = v->jet_coefficient;
  out->area = second_circle(out->seat);
  if (v->land > 0) out->area = M_PI*(wide*wide - out->seat*out->seat)/(8*log(wide/out->seat));
  out->k2_port = rho/(2*pow(v->port_discharge*v->port_area, 2));
  out->curtain1 = 32*mu/(M_PI*rim), out->curtain1_land = 6*mu*log(wide/out->seat)/M_PI;
  out->curtain2 = rho/(2*pow(v->curtain_discharge*rim, 2));
  out->rate = v->spring_rate, out->preload = v->preload, out->stop = v->stop;
  out->mass = v->plate_mass > 0 ? v->plate_mass + v->spring_mass/3 : 0,
      out->damping = v->plate_damping;
  out->back = second_area_path(&leg->oil, v->return_area, v->return_discharge,
                               v->return_hydraulic_diameter, 0);
  out->back_crack = v->return_crack, out->back_full = v->return_full;
  for (int i = 0; i < v->bleed_n; i++)
    out->bleed.at[out->bleed.n++] = (struct second_hole){
      v->bleed_holes[i].count, v->bleed_holes[i].diameter, v->bleed_length, {0, 0}, {0, 0}, NAN};
  if (!shims || !(shims->rate > 0)) return;
  out->area = shims->area, out->shim_rate = shims->rate, out->dish = v->shim_dish;
  out->widening = shims->widening, out->face = shims->face;
}

void second_volumes(const struct second_leg *leg, double x, double volume[3])
{
  const struct df_leg *l = &leg->side->leg;
  volume[SECOND_LOWER] = l->lower_dead_volume + (leg->tube - leg->rod)*(l->travel - x);
  volume[SECOND_ANNULUS] = l->annulus_dead_volume + (leg->bore - leg->rod)*x;
  volume[SECOND_ROD] = leg->rod_volume;
}

static void gas_of(struct second_leg *leg)
{
  const struct df_side *side = leg->side;
  const struct df_air *air = &side->air;
  double volume[3];
  leg->gas0 = leg->bore*air->oil_level - air->solids;
  leg->gas0 += leg->tube*(side->leg.travel - air->sealed_travel);
  second_volumes(leg, air->sealed_travel, volume);
  leg->oil0 = (volume[0] + volume[1] + volume[2])/second_oil_share(&leg->oil, air->fill_pressure);
}

void second_leg_init(struct second_leg *leg, const struct df_scenario *scenario, int side,
                     const struct second_shims *shims,
                     double kelvin)
{
  *leg = (struct second_leg){.scenario = scenario, .side = &scenario->side[side]};
  const struct df_leg *l = &leg->side->leg;
  const struct df_oil *oil = &leg->side->oil;
  leg->oil.rho = second_density(oil, kelvin);
  leg->oil.mu = second_viscosity(oil, kelvin)*leg->oil.rho;
  leg->oil.stiffness = 1/(1/oil->bulk_modulus + 1/oil->wall_modulus);
  leg->oil.air = oil->air_fraction, leg->oil.vapour = oil->vapour_pressure;
  leg->oil.law = scenario->run.law, leg->oil.choking = scenario->run.choking,
      leg->oil.contraction = scenario->run.contraction;
  leg->tube = second_circle(l->tube_outside), leg->bore = second_circle(l->tube_bore);
  leg->rod = second_circle(l->rod_outside), leg->hollow = second_circle(l->rod_bore);
  leg->rod_volume = leg->side->has_valve ? leg->hollow*l->rod_length : 0;
  banks_of(leg);
  paths_of(leg);
  if (leg->side->has_valve) valve_of(leg, shims);
  gas_of(leg);
  double filled = second_density(oil, oil->level_temperature);
  if (oil->volume > 0) leg->gas_less = oil->volume*(filled/leg->oil.rho - 1);
}

double second_gas_volume(const struct second_leg *leg, double x, double oil)
{
  const struct df_air *air = &leg->side->air;
  double volume = leg->gas0 - leg->gas_less - leg->bore*(x - air->sealed_travel) -
      (leg->oil0 - oil);
  return fmax(volume, 1e-3*leg->gas0);
}

struct resting { const struct second_leg *leg; double x; };

static double rest_excess(void *context, double p)
{
  const struct resting *rest = context;
  const struct second_leg *leg = rest->leg;
  const struct df_air *air = &leg->side->air;
  double volume[3];
  second_volumes(leg, rest->x, volume);
  double oil = (volume[0] + volume[1] + volume[2])/second_oil_share(&leg->oil, p);
  double n = air->thermal_time > 0 ? 1 : air->exponent;
  return p - air->fill_pressure*pow(leg->gas0/second_gas_volume(leg, rest->x, oil), n);
}

double second_rest_pressure(const struct second_leg *leg, double x)
{
  struct resting rest = {leg, x};
  return second_root(rest_excess, &rest, 1.5e5, 5e4, leg->oil.vapour + 1, 0.2*leg->oil.stiffness);
}

static void shares_at(const struct second_leg *leg, double x, double lower[], double passed[],
                      double rebound[])
{
  const struct df_leg *l = &leg->side->leg;
  double y = l->travel - x;
  for (int i = 0; i < leg->compression.n; i++) {
    double place = leg->compression.at[i].place, r = leg->compression.at[i].diameter/2;
    lower[i] = isnan(place) ? 1 : second_open_share((y - place)/r);
    passed[i] = isnan(place) ? 0 : second_open_share((place - y - l->tube_end_thickness)/r);
  }
  for (int i = 0; i < leg->rebound.n; i++) {
    double place = leg->rebound.at[i].place;
    rebound[i] = isnan(place) ? 1 : second_open_share((x - place)/(leg->rebound.at[i].diameter/2));
  }
}

static void hole_flows(const struct second_leg *leg, double x, struct second_flows *f)
{
  double lower[DF_HOLE_GROUPS_MAX], passed[DF_HOLE_GROUPS_MAX], rebound[DF_HOLE_GROUPS_MAX];
  shares_at(leg, x, lower, passed, rebound);
  f->flow[SECOND_COMPRESSION_HOLES] = second_bank_flow(&leg->oil, &leg->compression, lower, f->p[0],
                                                       f->p[2]);
  f->flow[SECOND_PASSED_HOLES] = second_bank_flow(&leg->oil, &leg->passed, passed, f->p[1],
                                                  f->p[2]);
  f->flow[SECOND_REBOUND_HOLES] = second_bank_flow(&leg->oil, &leg->rebound, rebound, f->p[1],
                                                   f->p[2]);
}

static void check_flows(const struct second_leg *leg, struct second_flows *f)
{
  const struct df_check_valve *c = &leg->side->leg.check_valve;
  double dp = f->p[0] - f->p[1];
  f->flow[SECOND_CHECK_LEAK] = second_path_flow(&leg->leak, dp);
  double opening = second_smooth((dp - c->crack)/(c->full - c->crack));
  f->flow[SECOND_CHECK] = opening*second_path_flow(&leg->check, dp);
}

static void energy_drops(const struct second_leg *leg, struct second_flows *f)
{
  static const int from[SECOND_PATHS] = {0, 1, 0, 0, 1, 2, 2, 2, 1},
      to[SECOND_PATHS] = {2, 2, 1, 1, 3, 3, 3, 3, 2};
  double h[4];
  for (int k = 0; k < 4; k++) h[k] = second_oil_h(&leg->oil, f->p[k]);
  for (int i = 0; i < SECOND_PATHS; i++) f->drop[i] = h[from[i]] - h[to[i]];
}

void second_flows_at(const struct second_leg *leg, double x, struct second_flows *f)
{
  const double *q = f->flow;
  memset(f->flow, 0, sizeof f->flow);
  f->lift = 0;
  hole_flows(leg, x, f);
  check_flows(leg, f);
  f->flow[SECOND_RING] = second_path_flow(&leg->ring, f->p[1] - f->p[3]) +
      second_path_flow(&leg->piston, f->p[1] - f->p[3]);
  double into = q[SECOND_COMPRESSION_HOLES] + q[SECOND_PASSED_HOLES] + q[SECOND_REBOUND_HOLES],
      through = into;
  if (leg->side->has_valve) {
    struct second_valve_flow v = second_valve_flow(&leg->oil, &leg->valve, f->p[2], f->p[3]);
    if (f->plate) {
      second_plate_push(&leg->valve, f->p[2] - f->p[3], f->plate);
      v.lift = f->plate->lift, v.plate = f->plate->flow;
    }
    f->lift = v.lift, f->flow[SECOND_VALVE] = v.plate, f->flow[SECOND_BLEED] = v.bleed,
        f->flow[SECOND_RETURN] = v.back;
    through = v.plate + v.bleed + v.back;
  }
  double check = q[SECOND_CHECK] + q[SECOND_CHECK_LEAK];
  f->out[SECOND_LOWER] = q[SECOND_COMPRESSION_HOLES] + check;
  f->out[SECOND_ANNULUS] = q[SECOND_REBOUND_HOLES] + q[SECOND_PASSED_HOLES] + q[SECOND_RING] -
      check;
  f->out[SECOND_ROD] = through - into;
  f->column = through + q[SECOND_RING];
}

// Coil: loose, one rate, or two, then bound.
static double coil_force(const struct df_spring *spring, double squeeze)
{
  double bind = spring->free_length - spring->solid_length, change = INFINITY,
      second = spring->rate;
  if (spring->second_rate > 0) change = spring->change_at, second = spring->second_rate;
  double d = fmin(fmax(squeeze, 0), bind);
  return spring->rate*fmin(d, change) + second*fmax(d - change, 0) +
      coil_bind*fmax(squeeze - bind, 0);
}

static double cone_force(const struct second_leg *leg, double x, double v, double p_lower)
{
  const struct df_cone *cone = &leg->scenario->cone;
  const struct df_leg *l = &leg->side->leg;
  double in = x - (l->travel - cone->length);
  if (!(in > 0)) return 0;
  double gap = cone->gap_start + (cone->gap_end - cone->gap_start)*fmin(in/cone->length, 1);
  struct second_path path = second_gap_path(&leg->oil, &(struct df_gap){gap, cone->land, 0},
                                            l->tube_bore - gap);
  double area = leg->tube - second_circle(l->tube_bore - 2*cone->gap_end), q = area*v;
  double dp = path.k1*q + path.k2*q*fabs(q);
  return second_smooth(in/1e-3)*area*fmax(dp, -(p_lower - leg->oil.vapour));
}

static double stop_force(const struct second_leg *leg, double x, double v)
{
  const struct df_stops *s = &leg->scenario->stops;
  double in = fmax(x - leg->side->leg.travel, 0), out = fmax(-x, 0);
  return s->rate*(in*fmax(1 + s->damping*v, 0) - out*fmax(1 - s->damping*v, 0));
}

void second_forces_at(const struct second_leg *leg, double x, double v, const double p[4],
                      struct second_forces *f)
{
  const struct df_top_out *top = &leg->scenario->top_out;
  const struct df_spring *spring = &leg->side->spring;
  f->air = (p[3] - p0)*leg->tube;
  f->damping = (p[0] - p[3])*(leg->tube - leg->rod) - (p[1] - p[3])*(leg->bore - leg->rod);
  f->spring = coil_force(spring, x + spring->preload) - top->rate*fmax(top->length - x, 0);
  f->stop = stop_force(leg, x, v);
  f->cone = cone_force(leg, x, v, p[0]);
}

double second_friction_level(const struct second_leg *leg, double p_column, double upper,
                             double lower)
{
  const struct df_seals *s = &leg->scenario->seals;
  double bushes = sqrt(upper*upper + 1) + sqrt(lower*lower + 1);
  return s->sliding + s->pressure_factor*fmax(p_column - p0, 0) + s->bush_friction*bushes;
}

double second_bristle_limit(const struct second_leg *leg, double v)
{
  const struct df_seals *s = &leg->scenario->seals;
  return 1 + (s->breakaway_ratio - 1)/(1 + pow(v/s->stribeck_speed, 2));
}

double second_rest_force(const struct second_leg *leg, double x)
{
  struct second_forces f;
  double p = second_rest_pressure(leg, x);
  if (leg->side->leg.has_linear) return leg->side->leg.linear.rate*x;
  second_forces_at(leg, x, 0, (double[]){p, p, p, p}, &f);
  return f.air + f.spring + f.stop;
}

// Nested search: for each p_lower the annulus is balanced, for each p_annulus the rod. Unknown:
// ln(p - p_vapour).
struct nest { const struct second_leg *leg; double x, v, last[3]; struct second_flows f; int lost;
  };

static double search(struct nest *nest, int chamber, second_function *f)
{
  double high = log(0.3*nest->leg->oil.stiffness), root =
      second_root(f, nest, nest->last[chamber], 1e-3, -30, high);
  if (isnan(root)) nest->lost = 1, root = nest->last[chamber];
  return nest->last[chamber] = root;
}

static double rod_balance(void *context, double y)
{
  struct nest *nest = context;
  nest->f.p[SECOND_ROD] = nest->leg->oil.vapour + exp(y);
  second_flows_at(nest->leg, nest->x, &nest->f);
  return nest->f.out[SECOND_ROD];
}

static double annulus_balance(void *context, double y)
{
  struct nest *nest = context;
  const struct second_leg *leg = nest->leg;
  nest->f.p[SECOND_ANNULUS] = leg->oil.vapour + exp(y);
  if (leg->side->has_valve) rod_balance(nest, search(nest, SECOND_ROD, rod_balance));
  else second_flows_at(leg, nest->x, &nest->f);
  return nest->f.out[SECOND_ANNULUS] + (leg->bore - leg->rod)*nest->v/second_oil_share(&leg->oil,
      nest->f.p[SECOND_ANNULUS]);
}

static double lower_balance(void *context, double y)
{
  struct nest *nest = context;
  const struct second_leg *leg = nest->leg;
  nest->f.p[SECOND_LOWER] = leg->oil.vapour + exp(y);
  annulus_balance(nest, search(nest, SECOND_ANNULUS, annulus_balance));
  return nest->f.out[SECOND_LOWER] - (leg->tube - leg->rod)*nest->v/second_oil_share(&leg->oil,
      nest->f.p[SECOND_LOWER]);
}

static void report(struct nest *nest, struct second_steady *out)
{
  struct second_forces forces;
  struct second_flows *f = &nest->f;
  energy_drops(nest->leg, f);
  second_forces_at(nest->leg, nest->x, nest->v, f->p, &forces);
  *out = (struct second_steady){nest->x, nest->v, forces.damping, forces.spring, forces.air, 0,
                                forces.cone, forces.stop,
                                f->p[0], f->p[1], f->p[2], f->p[3], f->lift, {0}, {0}};
  double level = second_friction_level(nest->leg, f->p[3], 0, 0),
      sign = (nest->v > 0) - (nest->v < 0);
  out->friction = level*sign*second_bristle_limit(nest->leg, nest->v) +
      nest->leg->scenario->seals.viscous*nest->v;
  for (int i = 0; i < SECOND_PATHS; i++) out->flow[i] = f->flow[i],
      out->power[i] = f->flow[i]*f->drop[i];
}

int second_steady_of(const struct second_leg *leg, double x, double v, struct second_steady *out)
{
  double rest = second_rest_pressure(leg, x), start = log(rest - leg->oil.vapour);
  struct nest nest = {leg, x, v, {start, start, start}, {.p = {rest, rest, rest, rest}}, 0};
  if (isnan(rest)) return -1;
  double y = search(&nest, SECOND_LOWER, lower_balance);
  nest.lost = 0;
  lower_balance(&nest, y);
  report(&nest, out);
  return nest.lost ? -1 : 0;
}

int second_steady(const struct df_scenario *scenario, int side, double x, double v,
                  struct second_steady *out)
{
  struct second_leg leg;
  second_leg_init(&leg, scenario, side, NULL, scenario->side[side].oil.temperature);
  return second_steady_of(&leg, x, v, out);
}

double second_total_mass(const struct df_scenario *s)
{
  return s->bike.wet_mass + s->rider.mass + s->load.luggage.mass + s->load.passenger.mass;
}

double second_sprung_mass(const struct df_scenario *s)
{
  double front = s->bike.wet_mass*s->bike.front_share + s->rider.mass*s->rider.front_share +
                 s->load.luggage.mass*s->load.luggage.front_share +
                     s->load.passenger.mass*s->load.passenger.front_share;
  return front - s->bike.front_unsprung_mass;
}

struct standing { const struct second_leg *leg; double legs, load; };

static double both_legs(const struct standing *s, double x)
{
  return s->legs/2*(second_rest_force(&s->leg[0], x) + second_rest_force(&s->leg[1], x));
}

static double stand_excess(void *context, double x)
{
  const struct standing *s = context;
  return both_legs(s, x)/s->load - 1;
}

double second_rest_travel(const struct df_scenario *scenario, const struct second_leg leg[2])
{
  double travel = leg[0].side->leg.travel;
  struct standing s =
      {leg, scenario->bike.legs, second_sprung_mass(scenario)*gravity*cos(scenario->bike.rake)};
  if (leg[0].side->leg.has_linear) return 0;
  return second_root(stand_excess, &s, travel/3, travel/10, -2e-3, travel);
}

struct cracking { const struct second_leg *leg; double x, crack; };

static double crack_excess(void *context, double v)
{
  const struct cracking *c = context;
  struct second_steady s;
  second_steady_of(c->leg, c->x, v, &s);
  return (s.p_rod - s.p_column)/c->crack - 1;
}

double second_cracking_speed(const struct second_leg *leg, double x)
{
  struct cracking c = {leg, x, second_valve_crack(&leg->valve)};
  return second_root(crack_excess, &c, 0.2, 0.05, 1e-4, 10);
}

// Rate of the coil at travel x.
static double coil_rate(const struct df_spring *spring, double x)
{
  double squeeze = x + spring->preload;
  if (squeeze > spring->free_length - spring->solid_length) return coil_bind;
  return spring->second_rate > 0 && squeeze > spring->change_at ? spring->second_rate
      : spring->rate;
}

double second_damping_ratio(const struct df_scenario *scenario, const struct second_leg leg[2],
                            double v)
{
  double x = second_rest_travel(scenario, leg), force = 0, rate = 0;
  for (int i = 0; i < 2; i++) {
    const struct second_leg *l = &leg[i];
    const struct df_air *air = &l->side->air;
    struct second_steady s;
    if (second_steady_of(l, x, v, &s)) return NAN;
    double gas = l->gas0/pow(s.p_column/air->fill_pressure,
                             1/(air->thermal_time > 0 ? 1 : air->exponent));
    double n = air->thermal_time > 0 ? 1.4 : air->exponent, share = scenario->bike.legs/2;
    force += share*s.damping;
    rate += share*(coil_rate(&l->side->spring, x) + n*s.p_column*l->tube*l->tube/gas);
  }
  return fabs(force/v)/(2*cos(scenario->bike.rake)*sqrt(rate*second_sprung_mass(scenario)));
}
