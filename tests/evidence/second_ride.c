#include "second_ride.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "second_radau.h"

static const double gravity = 9.80665; // m/s2, standard
static const double p0 = 101325;       // Pa

// States: wheel and body, then of each leg. Those that do not exist stand still.
enum { LOWER, ANNULUS, ROD, BRISTLE, GAS, LIFT, PLATE, OF_LEG, WHEEL = 4,
  STATES = WHEEL + 2*OF_LEG };

// Everything the rates need.
struct run {
  const struct second_case *c;
  struct second_leg leg[2];
  int legs;                   // apart from each other
  double weight;              // legs that each stands for
  double mass, unsprung, along, total; // kg: sprung, unsprung, unsprung along the fork, all
  double sine, cosine;        // of the rake
  double rest;                // m
  double stop_time;           // s, when the brake has brought it to rest
  double scale[STATES];
};

// What one leg does in a state.
struct leg_now {
  struct second_flows flows;
  struct second_forces forces;
  double oil[3], volume[3], gas, warmth; // m3 at p0, m3, m3, 1
  double level, friction;     // N
  double rate[OF_LEG];
};

// Motion and forces of the whole front.
struct front_now {
  double x, v, z, dz, speed, distance, slope, deflection, closing; // SI
  double deceleration, brake, shift, weight, push;                 // m/s2, N, N, m/s2, N
  double tyre, tyre_signed, upper, lower;                          // N
};

// Speed and way lost by braking, from the trapezium of deceleration.
static double braking(const struct second_brake *b, double t, double *speed_lost, double *way_lost)
{
  double a = b->deceleration, u = t - b->start, r = b->ramp, h = b->hold, e = b->release;
  double up = fmin(fmax(u, 0), r), on = fmin(fmax(u - r, 0), h), down = fmin(fmax(u - r - h, 0), e),
      after = fmax(u - r - h - e, 0);
  double dv1 = r > 0 ? a*up*up/(2*r) : 0, dv2 = a*on, dv3 = e > 0 ? a*(down - down*down/(2*e)) : 0;
  double ds1 = r > 0 ? a*up*up*up/(6*r) : 0, ds2 = dv1*on + a*on*on/2;
  double ds3 = (dv1 + dv2)*down + (e > 0 ? a*(down*down/2 - down*down*down/(6*e)) : 0);
  *speed_lost = dv1 + dv2 + dv3;
  *way_lost = ds1 + ds2 + ds3 + *speed_lost*after;
  if (u <= 0 || after > 0) return 0;
  return u < r ? a*u/r : u <= r + h ? a : a*(1 - down/e);
}

static double overspeed(void *context, double t)
{
  const struct second_case *c = context;
  double lost, way;
  braking(&c->brake, t, &lost, &way);
  return lost - c->speed;
}

// Deceleration, speed and way at t.
static double drive(const struct run *run, double t, double *speed, double *way)
{
  double lost, late, a = braking(&run->c->brake, t, &lost, &late), still = run->stop_time;
  *speed = run->c->speed - lost, *way = run->c->speed*t - late;
  if (t < still) return a;
  braking(&run->c->brake, still, &lost, &late);
  *speed = 0, *way = run->c->speed*still - late;
  return 0;
}

static double pushing(const struct second_push *p, double t)
{
  double force = p->force*second_smooth(t/(p->rise > 0 ? p->rise : 1));
  double past = t - p->rise - p->hold;
  if (past > 0) force = p->gone > 0 ? p->force*(1 - second_smooth(past/p->gone)) : 0;
  return force;
}

static void tyre_load(const struct run *run, struct front_now *f)
{
  const struct df_tyre *tyre = &run->c->scenario->tyre;
  double spring = tyre->stiffness*f->deflection, damping = tyre->damping*f->closing;
  if (tyre->bilateral) f->tyre_signed = f->tyre = spring + damping;
  else if (f->deflection > 0) {
    f->tyre_signed = spring + fmin(f->deflection/1e-3, 1)*damping;
    f->tyre = fmax(0, f->tyre_signed);
  } else f->tyre_signed = spring, f->tyre = 0;
}

static void look(const struct run *run, double t, const double *y, struct front_now *f)
{
  const struct df_scenario *s = run->c->scenario;
  const struct df_tyre *tyre = &s->tyre;
  const struct second_lean *lean = &run->c->lean;
  double way, w = 0, shift = tyre->slope_force ? run->sine : 0;
  *f = (struct front_now){.z = y[0], .dz = y[1], .x = (y[2] - y[0])/run->cosine,
                          .v = (y[3] - y[1])/run->cosine};
  f->deceleration = drive(run, t, &f->speed, &way);
  f->distance = run->c->start + way - (f->x - run->rest)*shift;
  if (run->c->height) w = run->c->height(run->c->road, f->distance, &f->slope);
  f->deflection = w - y[2], f->closing = f->slope*(f->speed - f->v*shift) - y[3];
  tyre_load(run, f);
  f->brake = fmin(s->braking.front_share*run->total*f->deceleration, s->braking.grip*fmax(f->tyre, 0));
  f->shift = run->total*f->deceleration*s->bike.mass_height/s->bike.wheelbase;
  f->weight = gravity;
  double heavier = 1/cos(lean->angle) - 1; // 1, once leaned over
  if (heavier > 0) f->weight *= 1 + heavier*second_smooth((t - lean->start)/lean->ramp);
  f->push = pushing(&run->c->push, t);
}

// (5.2)
static void bushes(const struct run *run, struct front_now *f)
{
  const struct df_scenario *s = run->c->scenario;
  const struct df_seals *seals = &s->seals;
  double back = (s->tyre.slope_force ? f->tyre*f->slope : 0) + f->brake -
      run->unsprung*f->deceleration;
  double across = (f->tyre - run->unsprung*f->weight)*run->sine - back*run->cosine;
  double between = seals->bush_spacing + f->x, over = seals->bush_height - between;
  f->upper = (across*over - f->brake*s->tyre.radius)/(between*s->bike.legs);
  f->lower = -across/s->bike.legs - f->upper;
}

// Rate of ln((p - pv)/(p0 - pv)) from the room's growth and the flow out of it.
static double pressure_rate(const struct second_oil *oil, double p, double volume, double growth,
                            double out)
{
  double share = second_oil_share(oil, p), slope = second_oil_share_slope(oil, p);
  return share*(growth + share*out)/(volume*slope*(p - oil->vapour));
}

static void leg_pressures(const struct second_leg *leg, const double *y, double x,
                          struct leg_now *now)
{
  double *p = now->flows.p, oil = 0, start = p0 - leg->oil.vapour;
  second_volumes(leg, x, now->volume);
  for (int k = 0; k < 2 + leg->side->has_valve; k++) {
    p[k] = leg->oil.vapour + start*exp(y[k]);
    oil += now->oil[k] = now->volume[k]/second_oil_share(&leg->oil, p[k]);
  }
  now->gas = second_gas_volume(leg, x, oil);
  const struct df_air *air = &leg->side->air;
  double cold = air->fill_pressure*leg->gas0/now->gas;
  p[3] = air->thermal_time > 0 ? air->fill_pressure*exp(y[GAS])
      : air->fill_pressure*pow(leg->gas0/now->gas, air->exponent);
  now->warmth = air->thermal_time > 0 ? p[3]/cold : 1;
  if (!leg->side->has_valve) p[2] = p[3];
}

static void leg_rates(const struct second_leg *leg, const double *y, double x, double v,
                      double upper, double lower,
                      struct leg_now *now)
{
  const struct df_seals *s = &leg->scenario->seals;
  const double growth[3] = {-(leg->tube - leg->rod)*v, (leg->bore - leg->rod)*v, 0};
  memset(now->rate, 0, sizeof now->rate);
  leg_pressures(leg, y, x, now);
  struct second_plate plate = {y[LIFT], y[PLATE], 0, 0};
  now->flows.plate = leg->valve.mass > 0 ? &plate : NULL;
  second_flows_at(leg, x, &now->flows);
  if (leg->valve.mass > 0) {
    now->rate[LIFT] = plate.speed;
    now->rate[PLATE] = plate.force/leg->valve.mass;
  }
  now->flows.plate = NULL;
  second_forces_at(leg, x, v, now->flows.p, &now->forces);
  for (int k = 0; k < 2 + leg->side->has_valve; k++)
    now->rate[k] = pressure_rate(&leg->oil, now->flows.p[k], now->volume[k], growth[k],
                                 now->flows.out[k]);
  now->level = second_friction_level(leg, now->flows.p[3], upper, lower);
  now->friction = now->level*y[BRISTLE] + s->viscous*v;
  now->rate[BRISTLE] = (v - fabs(v)*y[BRISTLE]/second_bristle_limit(leg, v))/s->presliding;
  double gas_growth = -leg->bore*v - now->flows.column, tau = leg->side->air.thermal_time;
  if (tau > 0) now->rate[GAS] = -1.4*gas_growth/now->gas - (now->warmth - 1)/(now->warmth*tau);
}

static double along_fork(const struct leg_now *now)
{
  const struct second_forces *f = &now->forces;
  return f->air + f->damping + f->spring + f->stop + f->cone + now->friction;
}

static double stop_loss(const struct second_leg *leg, const struct second_forces *f, double x)
{
  double rate = leg->scenario->stops.rate;
  return f->stop - rate*fmax(x - leg->side->leg.travel, 0) + rate*fmax(-x, 0);
}

static void leg_energy(const struct second_leg *leg, const struct leg_now *now, double x, double v,
                       double weight, double *dq)
{
  const struct second_oil *oil = &leg->oil;
  const struct df_air *air = &leg->side->air;
  const double *p = now->flows.p, *flow = now->flows.flow;
  static const int from[SECOND_PATHS] = {0, 1, 0, 0, 1, 2, 2, 2, 1},
      to[SECOND_PATHS] = {2, 2, 1, 1, 3, 3, 3, 3, 2};
  static const int entry[SECOND_PATHS] = {0, 1, 2, 3, 4, 5, 6, 7, 1}; // passed holes: A-R
  for (int i = 0; i < SECOND_PATHS; i++)
    dq[entry[i]] += weight*flow[i]*(second_oil_h(oil, p[from[i]]) - second_oil_h(oil, p[to[i]]));
  dq[SECOND_E_COLUMN] += weight*now->flows.column*(second_oil_h(oil, p[3]) - p[3]);
  dq[SECOND_E_CONE] += weight*now->forces.cone*v;
  dq[SECOND_E_FRICTION] += weight*now->friction*v;
  dq[SECOND_E_STOP] += weight*stop_loss(leg, &now->forces, x)*v;
  if (air->thermal_time > 0)
    dq[SECOND_E_AIR_HEAT] +=
      weight*air->fill_pressure*leg->gas0*(now->warmth - 1)/(0.4*air->thermal_time);
  dq[SECOND_E_STROKE] += weight*(now->forces.damping + now->forces.air)*v;
}

static void linear_leg(const struct run *run, int i, double x, double v, struct leg_now *now)
{
  const struct second_leg *leg = &run->leg[i];
  const struct df_linear_leg *l = &leg->side->leg.linear;
  double legs = leg->scenario->bike.legs, load = run->mass*gravity*run->cosine/legs;
  memset(now, 0, sizeof *now);
  now->forces.spring = l->rate*x + (isnan(l->preload) ? load : l->preload);
  now->forces.damping = l->damping*v;
}

static void wheel_energy(const struct run *run, const struct front_now *f, double *dq)
{
  const struct df_tyre *tyre = &run->c->scenario->tyre;
  double road = f->tyre*f->slope*f->speed;
  double brake = (f->brake*run->sine - run->unsprung*f->deceleration*run->sine)*f->v -
      f->shift*f->dz;
  dq[SECOND_E_ROAD] = road, dq[SECOND_E_BRAKE] = brake,
      dq[SECOND_E_THROUGHPUT] = fabs(road) + fabs(brake);
  if (f->deflection > 0 || tyre->bilateral)
    dq[SECOND_E_TYRE] = (f->tyre - tyre->stiffness*f->deflection)*f->closing;
}

// Both rows of (7.1), solved for the accelerations of sprung mass and axle.
static void accelerate(const struct run *run, const struct front_now *f, double force,
                       double *sprung, double *axle)
{
  double slope = run->c->scenario->tyre.slope_force ? f->slope : 0,
      both = run->mass + run->unsprung;
  double upward = f->tyre - both*f->weight - f->shift - f->push;
  double forward = (f->tyre*slope + f->brake - run->unsprung*f->deceleration)*run->sine;
  double fork = (f->tyre - run->unsprung*f->weight)*run->cosine + forward - force;
  double share = run->unsprung*run->cosine/both;
  double apart = (fork - share*upward)/(run->along/run->cosine - share*run->unsprung);
  *sprung = (upward - run->unsprung*apart)/both;
  *axle = *sprung + apart;
}

static void front_rates(const struct run *run, double t, const double *y, struct front_now *f,
                        struct leg_now legs[2], double *dy,
                        double *dq)
{
  double force = 0;
  look(run, t, y, f);
  bushes(run, f);
  for (int i = 0; i < run->legs; i++) {
    const double *own = y + WHEEL + i*OF_LEG;
    if (run->leg[i].side->leg.has_linear) {
      linear_leg(run, i, f->x, f->v, &legs[i]);
      dq[SECOND_E_STROKE] += run->weight*legs[i].forces.damping*f->v;
      dq[SECOND_E_FRICTION] += run->weight*legs[i].forces.damping*f->v; // all that it loses
    } else {
      leg_rates(&run->leg[i], own, f->x, f->v, f->upper, f->lower, &legs[i]);
      leg_energy(&run->leg[i], &legs[i], f->x, f->v, run->weight, dq);
    }
    force += run->weight*along_fork(&legs[i]);
    memcpy(dy + WHEEL + i*OF_LEG, legs[i].rate, sizeof legs[i].rate);
  }
  wheel_energy(run, f, dq);
  dy[0] = y[1], dy[2] = y[3];
  accelerate(run, f, force, &dy[1], &dy[3]);
}

static void driven_rates(const struct run *run, double t, const double *y, struct front_now *f,
                         struct leg_now legs[2], double *dy,
                         double *dq)
{
  memset(f, 0, sizeof *f);
  run->c->motion(run->c->drive, t, &f->x, &f->v);
  for (int i = 0; i < run->legs; i++) {
    leg_rates(&run->leg[i], y + WHEEL + i*OF_LEG, f->x, f->v, 0, 0, &legs[i]);
    leg_energy(&run->leg[i], &legs[i], f->x, f->v, run->weight, dq);
    memcpy(dy + WHEEL + i*OF_LEG, legs[i].rate, sizeof legs[i].rate);
  }
  memset(dy, 0, WHEEL*sizeof *dy);
}

static void all_rates(const struct run *run, double t, const double *y, struct front_now *f,
                      struct leg_now legs[2], double *dy,
                      double *dq)
{
  memset(dq, 0, SECOND_ENERGIES*sizeof *dq);
  if (run->c->motion) driven_rates(run, t, y, f, legs, dy, dq);
  else front_rates(run, t, y, f, legs, dy, dq);
}

static void rates(void *context, double t, const double *y, double *dy, double *dq)
{
  struct front_now front;
  struct leg_now legs[2];
  all_rates(context, t, y, &front, legs, dy, dq);
}

static double coil_energy(const struct df_spring *s, double squeeze)
{
  int two = s->second_rate > 0;
  double bind = s->free_length - s->solid_length, change = two ? s->change_at : INFINITY;
  double second = two ? s->second_rate : s->rate;
  double d = fmin(fmax(squeeze, 0), bind), over = fmax(squeeze - bind, 0);
  double first = fmin(d, change), rest = fmax(d - change, 0), bound = s->rate*first + second*rest;
  return s->rate*first*first/2 + s->rate*first*rest + second*rest*rest/2 + bound*over +
      1e6*over*over;
}

static double gas_energy(const struct second_leg *leg, const struct leg_now *now)
{
  const struct df_air *air = &leg->side->air;
  double start = air->fill_pressure*leg->gas0;
  if (air->thermal_time > 0) return start*(now->warmth - 1)/0.4;
  if (air->exponent == 1) return -start*log(now->gas/leg->gas0);
  return (now->flows.p[3]*now->gas - start)/(air->exponent - 1);
}

static double leg_stored(const struct second_leg *leg, const struct leg_now *now, double x)
{
  const struct df_scenario *s = leg->scenario;
  const struct df_linear_leg *linear = &leg->side->leg.linear;
  if (leg->side->leg.has_linear)
    return linear->rate*x*x/2 + (now->forces.spring - linear->rate*x)*x;
  double up = fmax(s->top_out.length - x, 0), in = fmax(x - leg->side->leg.travel, 0),
      out = fmax(-x, 0), oil = 0;
  for (int k = 0; k < 2 + leg->side->has_valve; k++) {
    double p = now->flows.p[k];
    oil += now->oil[k]*(second_oil_h(&leg->oil, p) - p*second_oil_share(&leg->oil, p));
  }
  return coil_energy(&leg->side->spring, x + leg->side->spring.preload) + s->top_out.rate*up*up/2 +
         s->stops.rate*(in*in + out*out)/2 + gas_energy(leg, now) - p0*leg->tube*x + oil;
}

static double stored(const struct run *run, const struct front_now *f, const struct leg_now legs[2],
                     double axle)
{
  const struct df_tyre *tyre = &run->c->scenario->tyre;
  double d = tyre->bilateral ? f->deflection : fmax(f->deflection, 0);
  double sum = (run->mass + run->unsprung)*f->dz*f->dz/2 + run->unsprung*run->cosine*f->dz*f->v +
      run->along*f->v*f->v/2 +
               f->weight*(run->mass*f->z + run->unsprung*axle) + tyre->stiffness*d*d/2;
  if (run->c->motion) sum = 0;
  for (int i = 0; i < run->legs; i++) sum += run->weight*leg_stored(&run->leg[i], &legs[i], f->x);
  return sum;
}

static void note_leg(struct second_sample *s, int i, const struct second_leg *leg,
                     const struct leg_now *now)
{
  s->spring[i] = now->forces.spring, s->air[i] = now->forces.air,
      s->damping[i] = now->forces.damping;
  s->friction[i] = now->friction, s->cone[i] = now->forces.cone, s->stop[i] = now->forces.stop,
      s->level[i] = now->level;
  memcpy(s->p[i], now->flows.p, sizeof s->p[i]);
  s->lift[i] = now->flows.lift, s->force[i] = along_fork(now);
  if (leg->side->leg.has_linear) return;
  s->void_lower[i] = fmax(0, now->volume[0] - now->oil[0]),
      s->void_annulus[i] = fmax(0, now->volume[1] - now->oil[1]);
}

static void note(const struct run *run, double t, const double *y, const double *q,
                 struct second_sample *s)
{
  struct front_now f;
  struct leg_now legs[2];
  double dy[STATES] = {0}, dq[SECOND_ENERGIES];
  all_rates(run, t, y, &f, legs, dy, dq);
  *s = (struct second_sample){.t = t, .distance = f.distance, .speed = f.speed, .travel = f.x,
                              .velocity = f.v, .height = f.z,
                              .acceleration = dy[1], .tyre = f.tyre,
                              .tyre_signed = f.tyre_signed, .brake = f.brake,
                              .upper = f.upper, .lower = f.lower};
  for (int i = 0; i < run->legs; i++) note_leg(s, i, &run->leg[i], &legs[i]);
  memcpy(s->energy, q, sizeof s->energy);
  s->stored = stored(run, &f, legs, y[2]);
}

static void begin(struct run *run, double *y)
{
  const struct second_case *c = run->c;
  const struct df_tyre *tyre = &c->scenario->tyre;
  double x = run->rest, v, w = 0, slope;
  if (c->motion) c->motion(c->drive, 0, &x, &v);
  if (c->height) w = c->height(c->road, c->start, &slope);
  y[2] = w - (run->mass + run->unsprung)*gravity/tyre->stiffness;
  y[0] = y[2] - x*run->cosine;
  for (int i = 0; i < run->legs; i++) {
    const struct second_leg *leg = &run->leg[i];
    double p = leg->side->leg.has_linear ? p0 : second_rest_pressure(leg, x);
    double *own = y + WHEEL + i*OF_LEG;
    for (int k = 0; k < 3; k++) own[k] = log((p - leg->oil.vapour)/(p0 - leg->oil.vapour));
    own[GAS] = log(p/leg->side->air.fill_pressure);
    double seated = second_valve_crack(&leg->valve)*leg->valve.area; // N, on the seat's 1 MN/m
    if (leg->valve.mass > 0) own[LIFT] = -seated/(1e6 + leg->valve.rate);
  }
}

static void prepare(struct run *run, const struct second_case *c)
{
  const struct df_scenario *s = c->scenario;
  static const double sizes[STATES] = {0.1, 1, 0.1, 1, 1, 1, 1, 1, 1, 1e-3, 1, 1, 1, 1, 1, 1, 1e-3,
                                       1};
  *run = (struct run){.c = c, .legs = 1 + (s->unlike && s->bike.legs == 2), .stop_time = INFINITY};
  for (int i = 0; i < 2; i++) {
    int side = i*(s->unlike != 0);
    second_leg_init(&run->leg[i], s, side, c->shims, s->side[side].oil.temperature);
  }
  run->weight = c->motion ? 1 : s->bike.legs/run->legs;
  run->mass = second_sprung_mass(s), run->total = second_total_mass(s),
      run->unsprung = s->bike.front_unsprung_mass;
  run->sine = sin(s->bike.rake), run->cosine = cos(s->bike.rake);
  run->along = run->unsprung + s->bike.front_wheel_inertia*pow(run->sine/s->tyre.radius, 2);
  run->rest = c->motion ? 0 : second_rest_travel(s, run->leg);
  memcpy(run->scale, sizes, sizeof sizes);
  if (c->speed > 0 && c->brake.deceleration > 0) {
    double done = c->brake.start + c->brake.ramp + c->brake.hold + c->brake.release, lost, way;
    braking(&c->brake, done, &lost, &way);
    if (lost > c->speed)
      run->stop_time = second_root(overspeed, (void *)c, done/2, done/2, 0, done);
  }
}

// The next moment after t at which something has a kink in time, or the end.
static double next_break(const struct run *run, double t, double end)
{
  const struct second_brake *b = &run->c->brake;
  const struct second_push *p = &run->c->push;
  const struct second_lean *l = &run->c->lean;
  double after = b->start + b->ramp;
  double times[] = {b->start, after, after + b->hold, after + b->hold + b->release, run->stop_time,
                    l->start, l->start + l->ramp,
                    p->rise, p->rise + p->hold, p->rise + p->hold + p->gone};
  for (size_t i = 0; i < sizeof times/sizeof *times; i++)
    if (times[i] > t + 1e-12 && times[i] < end) end = times[i];
  return end;
}

static void close_ledger(struct second_ride *ride)
{
  if (ride->n < 2) return;
  const struct second_sample *a = &ride->at[0], *b = &ride->at[ride->n - 1];
  double lost = 0;
  for (int i = 0; i <= SECOND_E_TYRE; i++) lost += b->energy[i];
  double in = b->energy[SECOND_E_ROAD] + b->energy[SECOND_E_BRAKE];
  ride->residual = (in - (b->stored - a->stored) - lost)/fmax(b->energy[SECOND_E_THROUGHPUT], 1e-3);
}

void second_ride_init(struct second_ride *ride, const struct second_case *c)
{
  struct run run;
  double y[STATES] = {0}, q[SECOND_ENERGIES] = {0}, t = 0;
  int whole = (int)floor(c->end/c->every + 1e-6), samples = whole + 1;
  if (c->end - whole*c->every > 1e-6*c->every) samples++; // one more, at the end
  prepare(&run, c);
  *ride = (struct second_ride){.at = calloc(samples, sizeof *ride->at), .rest = run.rest,
                               .status = isnan(run.rest) ? -1 : 0};
  if (ride->status || !ride->at) return;
  begin(&run, y);
  struct second_radau *r = second_radau_create(WHEEL + run.legs*OF_LEG, SECOND_ENERGIES, rates,
                                               &run, run.scale, c->tolerance);
  for (int i = 0; i < samples; i++) {
    double next = fmin(i*c->every, c->end);
    while (t < next && !ride->status)
      ride->status = second_radau_advance(r, &t, next_break(&run, t, next), y, q);
    if (ride->status) break;
    note(&run, t, y, q, &ride->at[ride->n++]);
    ride->at[i].rise = ride->at[i].height - ride->at[0].height;
  }
  ride->steps = second_radau_steps(r);
  second_radau_destroy(r);
  close_ledger(ride);
}

void second_ride_finish(struct second_ride *ride) { free(ride->at); }

double second_edge_height(const void *road, double s, double *slope)
{
  const struct second_edge *edge = road;
  double r = edge->radius, h = edge->height, ahead = s - edge->at;
  *slope = 0;
  if (ahead >= 0) return h;
  if (ahead <= -sqrt(2*r*h - h*h)) return 0;
  double height = sqrt(r*r - ahead*ahead);
  *slope = -ahead/height;
  return height + h - r;
}

void second_sine_motion(const void *drive, double t, double *x, double *v)
{
  const struct second_sine *s = drive;
  double w = 2*M_PI*s->frequency;
  *x = s->middle - s->amplitude*cos(w*t), *v = s->amplitude*w*sin(w*t);
}
