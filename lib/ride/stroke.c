// One leg driven by a sine. The leg is the one lane source at width 1: leg_evaluate and
// front_leg_rates; travel and fork speed are given functions of time.
#include "dampfork/stroke.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "leg/front_mass.h"
#include "ride/scalar_rodas.h"
#include "vehicle/front.h"

_Static_assert(DF_LANES == 1, "one leg, one lane");

// States: the leg's full block, its bristle, then integrals of power, J.
enum {
  S_XI = BLOCK_FULL,
  S_DAMPING,
  S_AIR,
  S_FRICTION,
  S_CONE,
  STATES,
  POWERS = STATES - S_DAMPING
};
_Static_assert((int)STATES <= (int)RODAS_STATES_MAX, "room for all states");

static const int usual_cycles = 5;           // bench standards read the third to the fifth
static const int most_cycles = 100;
static const int usual_samples = 500;        // a cycle; a kink between two costs 1e-5 of a harmonic
static const double usual_tolerance = 1e-6;  // 1: five digits of the force, see tests/unit/stroke.c
static const double settled_times = 6;       // thermal times until a gas has settled to 0.3 %
static const double below = 5e-3, above = 10e-3; // m past both ends within which the model holds

// A step's error may be the tolerance times this: m3 thrice, 1, m, m/s, 1. 1e-7 m3 at the usual
// tolerance is 8 Pa in the hardest chamber.
static const double scale[BLOCK_FULL + 1] = {1e-7, 1e-7, 1e-7, 1, 1e-3, 1, 1};

struct motion { double x, v, a; }; // m, m/s, m/s2

// Slopes of one power with block and bristle, and with time.
struct power { double value, by[BLOCK_FULL + 1], time; };

struct bench {
  struct df_legs legs;
  const struct df_leg_model *leg;
  struct leg_single single;
  struct front_const k;
  struct front_kind kind;
  struct front_eval e;
  struct df_stroke_motion motion;
  const struct df_method *method;
  double tolerance;
  double pace;                // rad/s
  struct power power[POWERS]; // at the start of a step
  struct leg_factor factor;
  double xi_pivot, g;         // 1/s
  long evaluations;
};

static struct motion motion_at(const struct bench *b, double t)
{
  double half = 0.5*b->motion.stroke, angle = b->pace*t, c = cos(angle);
  return (struct motion){b->motion.middle - half*c, half*b->pace*sin(angle),
                         half*b->pace*b->pace*c};
}

// ---- powers of the forces ----
// A force f, its slopes with the block's pressures and with travel and fork speed, as a power.
static void power_set(struct power *p, double f, double f_x, double f_v, struct motion m)
{
  p->value = f*m.v;
  for (int j = 0; j <= BLOCK_FULL; j++) p->by[j] *= m.v;
  p->time = (f_x*m.v + f_v*m.a)*m.v + f*m.a;
}

static void powers_of_linear(struct bench *b, struct motion m)
{
  double c = b->leg->c.linear_damping;
  memset(b->power, 0, sizeof b->power);
  power_set(&b->power[0], c*m.v, 0, c, m);
}

static void powers_of(struct bench *b, double xi, struct motion m)
{
  const struct leg_eval *e = &b->e.leg[0];
  const struct df_leg_constants *c = &b->leg->c;
  double lower = c->lower_area, annulus = c->annulus_area, both = lower - annulus,
         column = e->c.w[0];
  int valved = b->leg->kind.valved;
  struct power *damping = &b->power[0], *air = &b->power[1], *friction = &b->power[2],
               *cone = &b->power[3];
  memset(b->power, 0, sizeof b->power);
  double over = e->c.p[0] - DF_ATMOSPHERE, pressed = over > 0 ? c->friction_pressure*xi : 0;
  for (int j = B_L; j <= B_THETA; j++) {
    double p = j == B_THETA ? e->c_theta[0] : j == B_R && !valved ? 0 : column;
    damping->by[j] = -both*p, air->by[j] = c->tube_area*p, friction->by[j] = pressed*p;
  }
  damping->by[B_L] += lower*e->l.w[0], damping->by[B_A] -= annulus*e->a.w[0];
  friction->by[S_XI] = b->e.level[0][0];
  cone->by[B_L] = e->cone_p[0]*e->l.w[0];
  power_set(damping, (e->l.p[0] - e->c.p[0])*lower - (e->a.p[0] - e->c.p[0])*annulus,
            lower*e->l.x[0] - annulus*e->a.x[0] - both*e->c.x[0], 0, m);
  power_set(air, over*c->tube_area, c->tube_area*e->c.x[0], 0, m);
  power_set(friction, b->e.level[0][0]*xi + c->friction_viscous*m.v, pressed*e->c.x[0],
            c->friction_viscous, m);
  power_set(cone, e->cone.f[0], e->cone.x[0] + e->cone_p[0]*e->l.x[0], e->cone.v[0], m);
}

// ---- rates ----
// Everything at time t; slopes: also what solve() and slopes_with_time() need.
static void evaluate(struct bench *b, double t, const double *y, double *f, int slopes)
{
  struct motion m = motion_at(b, t);
  lane u[U_LEGS + BLOCK_FULL + 1] = {zero(), zero(), all(m.x), all(m.v)},
                               du[U_LEGS + BLOCK_FULL + 1];
  for (int j = 0; j <= BLOCK_FULL; j++) u[U_LEGS + j] = all(y[j]);
  b->evaluations++;
  if (!b->leg->kind.linear) {
    leg_evaluate(&b->k.leg[0], &b->kind.leg[0], all(m.x), all(m.v), all(y[B_L]), all(y[B_A]),
                 all(y[B_R]), all(y[B_THETA]), all(y[B_Y]), all(y[B_W]), &b->e.leg[0]);
    const struct df_leg_constants *c = &b->leg->c;
    double over = fmax(b->e.leg[0].c.p[0] - DF_ATMOSPHERE, 0);
    b->e.level[0] =
        all(c->friction_sliding + c->friction_pressure * over + 2 * c->friction_bush); // 1 N a bush
    powers_of(b, y[S_XI], m);
  } else {
    powers_of_linear(b, m);
  }
  front_leg_rates(&b->k, &b->kind, 0, u, BLOCK_FULL, slopes, &b->e, du);
  for (int j = 0; j <= BLOCK_FULL; j++) f[j] = du[U_LEGS + j][0];
  for (int q = 0; q < POWERS; q++) f[S_DAMPING + q] = b->power[q].value;
}

static void slopes_with_time(const struct bench *b, double t, double *ft)
{
  struct motion m = motion_at(b, t);
  const struct leg_matrix *by = &b->e.m[0];
  for (int j = 0; j < BLOCK_FULL; j++) ft[j] = by->x[j][0]*m.v + by->v[j][0]*m.a;
  ft[S_XI] = by->xi_v[0]*m.a;
  for (int q = 0; q < POWERS; q++) ft[S_DAMPING + q] = b->power[q].time;
}

// The stages see powers of their own; a step's elimination keeps those of its start.
struct stage { struct bench *b; struct power power[POWERS]; };

static void stage_rates(void *self, double t, const double *y, double *f)
{
  struct stage *s = self;
  evaluate(s->b, t, y, f, 0);
}

static void stage_solve(void *self, double *r)
{
  struct stage *s = self;
  lane block[BLOCK_FULL];
  for (int j = 0; j < BLOCK_FULL; j++) block[j] = all(r[j]);
  block_solve(&s->b->factor, BLOCK_FULL, block);
  for (int j = 0; j < BLOCK_FULL; j++) r[j] = block[j][0];
  r[S_XI] /= s->b->xi_pivot;
  for (int q = 0; q < POWERS; q++) {
    double sum = r[S_DAMPING + q];
    for (int j = 0; j <= BLOCK_FULL; j++) sum += s->power[q].by[j]*r[j];
    r[S_DAMPING + q] = sum/s->b->g;
  }
}

// Error of a step over what is allowed; 3: the states that every leg has, so that unused ones do
// not loosen it.
static double error_of(const struct bench *b, const double *error)
{
  double sum = 0;
  for (int j = 0; j <= BLOCK_FULL; j++) sum += pow(error[j]/scale[j], 2);
  return sqrt(sum/3)/b->tolerance;
}

// ---- samples ----
static void sample_linear(const struct bench *b, struct df_stroke_sample *s)
{
  s->damping = b->leg->c.linear_damping*s->v;
  s->spring = b->leg->c.linear_rate*s->x + b->leg->c.linear_preload;
  s->force = s->damping + s->spring;
}

static struct df_stroke_sample sample_of(const struct bench *b, double t, const double *y)
{
  struct motion m = motion_at(b, t);
  struct df_stroke_sample s = {.t = t, .x = m.x, .v = m.v};
  const struct leg_eval *e = &b->e.leg[0];
  const struct df_leg_constants *c = &b->leg->c;
  if (b->leg->kind.linear) {
    sample_linear(b, &s);
    return s;
  }
  s.p_lower = e->l.p[0], s.p_annulus = e->a.p[0], s.p_column = e->c.p[0];
  s.p_rod = b->leg->kind.valved ? e->r.p[0] : s.p_column;
  s.damping = (s.p_lower - s.p_column)*c->lower_area - (s.p_annulus - s.p_column)*c->annulus_area;
  s.air = (s.p_column - DF_ATMOSPHERE)*c->tube_area;
  s.spring = e->coil.f[0] + e->top_out.f[0];
  s.friction = b->e.level[0][0]*y[S_XI] + c->friction_viscous*m.v;
  s.cone = e->cone.f[0], s.stop = e->stop.f[0];
  s.force = s.damping + s.air + s.spring + s.friction + s.cone + s.stop;
  s.lift = b->leg->kind.valved ? e->lift[0] : 0;
  s.void_lower = fmax(c->lower_full - c->lower_area*m.x - y[B_L], 0);
  s.void_annulus = fmax(c->annulus_start + c->annulus_area*m.x - y[B_A], 0);
  double la = e->la.q[0] + e->leak.q[0];
  s.into_lower = -e->lr.q[0] - la, s.into_annulus = la - e->ar.q[0] - e->ac.q[0];
  return s;
}

double df_stroke_force(const struct df_stroke_sample *s, int parts)
{
  double sum = 0;
  if (parts & DF_STROKE_DAMPING) sum += s->damping;
  if (parts & DF_STROKE_SPRING) sum += s->spring;
  if (parts & DF_STROKE_AIR) sum += s->air;
  if (parts & DF_STROKE_FRICTION) sum += s->friction;
  if (parts & DF_STROKE_ENDS) sum += s->cone + s->stop;
  return sum;
}

// ---- measures taken step by step, which is finer than the samples where something happens ----
struct watch {
  struct df_stroke_sample last;
  double turned;              // s, when the damping force last changed its direction
  double reversal;            // s, the last end of the stroke
  double half_cycle;          // s: what turned longer ago did not turn for this end
  int wanted;                 // direction of the motion since: 1 compression, -1 rebound
  double *lag;                // where the lag goes; NULL: found
  double start[POWERS];       // J at the start of the cycle
};

static double crossing(double t0, double a, double t1, double b)
{
  return a == b ? t1 : t0 + (t1 - t0)*a/(a - b);
}

static void watch_turn(struct watch *w, const struct df_stroke_sample *s)
{
  double a = w->last.damping, d = s->damping;
  if ((a > 0) == (d > 0) && (a < 0) == (d < 0)) return;
  w->turned = crossing(w->last.t, a, s->t, d);
  if (!w->lag || !(d*w->wanted > 0)) return;
  *w->lag = w->turned - w->reversal;
  w->lag = NULL;
}

// At an end of the stroke. The force may have turned before the motion does.
static void watch_end(struct watch *w, const struct df_stroke_sample *s, int wanted, double *lag)
{
  w->reversal = s->t, w->wanted = wanted;
  w->lag = lag;
  *lag = NAN;
  if (!(s->damping*wanted > 0) || s->t - w->turned > w->half_cycle) return;
  *lag = w->turned - s->t;
  w->lag = NULL;
}

// Share of an interval in which a line from a to b lies below zero.
static double share_below(double a, double b)
{
  if (a < 0 && b < 0) return 1;
  if (a >= 0 && b >= 0) return 0;
  return a < 0 ? a/(a - b) : b/(b - a);
}

static void watch_step(const struct bench *b, struct watch *w, const struct df_stroke_sample *s,
                       struct df_stroke_cycle *c)
{
  watch_turn(w, s);
  if (!b->leg->kind.linear) {
    double limit = b->leg->c.threshold, before = fmin(w->last.p_lower, w->last.p_annulus) - limit;
    double now = fmin(s->p_lower, s->p_annulus) - limit;
    c->cavitating += (s->t - w->last.t)*b->motion.frequency*share_below(before, now);
    c->void_lower = fmax(c->void_lower, s->void_lower);
    c->void_annulus = fmax(c->void_annulus, s->void_annulus);
    c->p_lower_least = fmin(c->p_lower_least, s->p_lower);
    c->p_annulus_least = fmin(c->p_annulus_least, s->p_annulus);
  }
  w->last = *s;
}

static void cycle_begin(struct df_stroke_cycle *c, struct watch *w,
                        const struct df_stroke_sample *s, const double *y)
{
  memset(c, 0, sizeof *c);
  c->p_lower_least = s->p_lower, c->p_annulus_least = s->p_annulus;
  c->void_lower = s->void_lower, c->void_annulus = s->void_annulus;
  c->rebound_lag = NAN;
  memcpy(w->start, y + S_DAMPING, sizeof w->start);
  watch_end(w, s, 1, &c->compression_lag);
}

static void cycle_end(struct df_stroke_cycle *c, const struct watch *w,
                      const struct df_stroke_sample *first, int per_cycle, const double *y)
{
  double *const energy[POWERS] = {&c->damping_energy, &c->air_energy, &c->friction_energy,
                                  &c->cone_energy};
  for (int q = 0; q < POWERS; q++) *energy[q] = y[S_DAMPING + q] - w->start[q];
  c->compression = first[per_cycle/4], c->rebound = first[3*per_cycle/4];
}

// ---- the drive ----
struct drive {
  struct bench *b;
  struct df_stroke *out;
  double y[STATES], f[STATES]; // at t, with rates
  double t, wanted;           // s: reached, next step
  int rejected;               // the step before was refused
};

static enum df_status state_status(const struct bench *b, const double *y)
{
  for (int j = 0; j <= BLOCK_FULL; j++)
    if (!isfinite(y[j])) return DF_NOT_FINITE;
  if (b->leg->kind.linear) return DF_OK;
  if (!isfinite(b->e.leg[0].air_damping[0])) return DF_NOT_FINITE;
  return b->e.leg[0].gas[0] <= 1.0000001e-3*b->leg->c.gas_start ? DF_HYDRAULIC_LOCK : DF_OK;
}

// One accepted step, at most to `end`.
static enum df_status step(struct drive *d, double end)
{
  struct bench *b = d->b;
  struct df_effort *effort = &d->out->effort;
  double ft[STATES], to[STATES], error[STATES];
  for (;;) {
    double rest = end - d->t;
    int last = d->wanted >= rest;
    double h = last ? rest : 2*d->wanted > rest ? 0.5*rest : d->wanted;
    if (d->wanted < 1e-13/b->motion.frequency) return DF_STEP_TOO_SMALL;
    b->g = 1/(b->method->gamma*h);
    block_factor(b->e.m[0].a, all(b->g), BLOCK_FULL, &b->factor);
    b->xi_pivot = b->g - b->e.m[0].xi_xi[0];
    slopes_with_time(b, d->t, ft);
    struct stage stage = {.b = b};
    memcpy(stage.power, b->power, sizeof stage.power);
    struct rodas_system system = {STATES, stage_rates, stage_solve, &stage};
    rodas_step(b->method, &system, d->t, h, d->y, d->f, ft, to, error);
    double size = error_of(b, error);
    size = size <= 1e6 ? fmax(size, 1e-12) : 1e6; // no number: a very bad step
    double ahead = h*fmin(fmax(0.9*pow(size, -1.0/b->method->order), 0.2), d->rejected ? 1 : 5);
    effort->jacobians++;
    if (size <= 1) {
      effort->steps++;
      effort->step_least = fmin(effort->step_least, h),
      effort->step_most = fmax(effort->step_most, h);
      d->wanted = h < d->wanted ? fmax(ahead, d->wanted)
                                : ahead; // a step cut short says little of the next
      d->rejected = 0, d->t = last ? end : d->t + h;
      memcpy(d->y, to, sizeof to);
      evaluate(b, d->t, d->y, d->f, 1);
      return state_status(b, d->y);
    }
    effort->rejected++, d->rejected = 1, d->wanted = ahead;
    evaluate(b, d->t, d->y, d->f, 1);  // the stages left other slopes behind
  }
}

static enum df_status drive_cycle(struct drive *d, struct watch *w, int at,
                                  const volatile int *stop)
{
  struct df_stroke *out = d->out;
  struct df_stroke_cycle *c = &out->cycle[at];
  int per_cycle = out->per_cycle, first = at*per_cycle;
  const long most = 200000L*(at + 1); // a smooth cycle takes one or two steps a sample
  cycle_begin(c, w, &out->sample[first], d->y);
  for (int i = 1; i <= per_cycle; i++) {
    double end = (at + (double)i/per_cycle)/out->motion.frequency;
    struct df_stroke_sample s;
    do {
      enum df_status status = step(d, end);
      if (status != DF_OK) return status;
      if (out->effort.steps + out->effort.rejected > most) return DF_TOO_MANY_STEPS;
      s = sample_of(d->b, d->t, d->y);
      watch_step(d->b, w, &s, c);
    } while (d->t < end);
    out->sample[first + i] = s, out->n = first + i + 1;
    if (i == per_cycle/2) watch_end(w, &s, -1, &c->rebound_lag);
    if (stop && *stop) return DF_INTERRUPTED;
  }
  cycle_end(c, w, &out->sample[first], per_cycle, d->y);
  out->cycles = at + 1;
  return DF_OK;
}

static enum df_status drive(struct bench *b, struct df_stroke *out, int cycles,
                            const volatile int *stop)
{
  struct drive d = {.b = b, .out = out, .wanted = 1e-5/b->motion.frequency};
  const struct df_leg_model *leg = b->leg;
  d.y[B_THETA] = 1;
  if (!leg->kind.linear) {
    struct df_rest rest;
    double n = leg->kind.thermal ? 1 : leg->c.exponent;
    enum df_status status = df_leg_rest(leg, motion_at(b, 0).x, n, &rest);
    if (status != DF_OK) return status;
    d.y[B_L] = rest.lower, d.y[B_A] = rest.annulus, d.y[B_R] = leg->kind.valved ? rest.rod : 0;
    // the closed plate rests in its seat, 1 MN/m
    if (leg->kind.inertia)
      d.y[B_Y] = -leg->c.valve_crack*leg->c.valve_area/(1e6 + leg->c.valve_rate);
  }
  evaluate(b, 0, d.y, d.f, 1);
  struct watch w = {.last = sample_of(b, 0, d.y), .half_cycle = 0.5/b->motion.frequency};
  out->sample[0] = w.last, out->n = 1;
  enum df_status status = DF_OK;
  for (int i = 0; i < cycles && status == DF_OK; i++) status = drive_cycle(&d, &w, i, stop);
  out->effort.right_hand_sides = b->evaluations;
  if (status != DF_OK) out->failed_at = d.t;
  return status;
}

// ---- preparation ----
static enum df_status motion_check(const struct df_stroke_motion *m, const struct df_leg_model *leg,
                                   struct df_faults *faults)
{
  if (!isfinite(m->middle) || !(m->stroke > 0) || !(m->frequency > 0) || !isfinite(m->stroke) ||
      !isfinite(m->frequency))
    return df_fault_add(faults, DF_BAD_INPUT, "", "stroke and frequency must be above 0");
  double low = m->middle - 0.5*m->stroke, high = m->middle + 0.5*m->stroke;
  if (leg->kind.linear || (low >= -below && high <= leg->c.travel + above)) return DF_OK;
  return df_fault_add(faults, DF_TRAVEL_RANGE, "",
                      "a stroke of %.4g mm about %.4g mm of travel reaches from %.4g to %.4g mm; "
                      "the leg has 0 to %.4g mm",
                      m->stroke*1e3, m->middle*1e3, low*1e3, high*1e3, leg->c.travel*1e3);
}

static enum df_status bench_init(struct bench *b, const struct df_scenario *s, int side,
                                 const struct df_stroke_motion *motion, struct df_faults *faults)
{
  memset(b, 0, sizeof *b);
  double kelvin = s->run.start == DF_START_COLD ? 278.15 : NAN; // 5 degC
  enum df_status status = df_legs_init(&b->legs, s, kelvin, faults);
  if (status != DF_OK) return status;
  b->leg = &b->legs.model[side < b->legs.modelled ? side : 0];
  status = motion_check(motion, b->leg, faults);
  if (status != DF_OK) return status;
  df_leg_single_init(&b->single, b->leg);
  b->k.leg[0] = b->single.k, b->k.per_model = all(1);
  b->kind.legs = 1, b->kind.leg[0] = b->leg->kind;
  b->motion = *motion, b->pace = 2*M_PI*motion->frequency;
  return DF_OK;
}

static int cycles_of(const struct bench *b, const struct df_stroke_options *o)
{
  if (o->cycles > 0) return o->cycles < most_cycles ? o->cycles : most_cycles;
  if (!b->leg->kind.thermal) return usual_cycles;
  double settled = settled_times/b->leg->c.per_thermal_time*b->motion.frequency;
  return (int)fmin(most_cycles, usual_cycles + ceil(settled));
}

static enum df_status room_make(struct df_stroke *out, int cycles, struct df_faults *faults)
{
  out->sample = calloc((size_t)cycles*out->per_cycle + 1, sizeof *out->sample);
  out->cycle = calloc(cycles, sizeof *out->cycle);
  if (out->sample && out->cycle) return DF_OK;
  return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
}

static enum df_status method_of(struct bench *b, struct df_stroke *out, const struct df_scenario *s,
                                const struct df_stroke_options *o, struct df_faults *faults)
{
  int row = o->method > 0 ? o->method - 1 : s->run.method;
  if (row < 0 || row >= df_method_count)
    return df_fault_add(faults, DF_UNKNOWN_NAME, "run.method", "no such method");
  if (!df_methods[row].stages) row = 0; // a bench has no use for methods that keep a history
  b->method = &df_methods[row], out->method = row + 1;
  b->tolerance = o->tolerance > 0             ? o->tolerance
                 : isfinite(s->run.tolerance) ? s->run.tolerance
                                              : usual_tolerance;
  out->tolerance = b->tolerance;
  return DF_OK;
}

static void reason_write(struct df_stroke *out)
{
  if (out->status == DF_OK || !isfinite(out->failed_at)) return;
  const struct df_stroke_sample *last = &out->sample[out->n - 1];
  snprintf(out->reason, sizeof out->reason,
           "%s at %.4f s: stroke %.4g mm at %.4g Hz, travel about %.1f mm, fork speed %.2f m/s",
           df_status_text(out->status), out->failed_at, out->motion.stroke*1e3,
           out->motion.frequency, last->x*1e3, last->v);
}

enum df_status df_stroke_run(const struct df_scenario *scenario, int side,
                             const struct df_stroke_motion *motion,
                             const struct df_stroke_options *options, struct df_stroke *out,
                             struct df_faults *faults)
{
  struct df_stroke_options usual = {0};
  const struct df_stroke_options *o = options ? options : &usual;
  memset(out, 0, sizeof *out);
  out->failed_at = NAN, out->motion = *motion, out->effort.step_least = INFINITY;
  out->per_cycle = o->samples > 0 ? (o->samples + 3)/4*4 : usual_samples;
  struct bench *b = malloc(sizeof *b);
  if (!b) return out->status = df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  enum df_status status = bench_init(b, scenario, side, motion, faults);
  if (status == DF_OK) status = method_of(b, out, scenario, o, faults);
  int cycles = status == DF_OK ? cycles_of(b, o) : 0;
  if (status == DF_OK) status = room_make(out, cycles, faults);
  if (status == DF_OK) status = drive(b, out, cycles, o->stop);
  free(b);
  out->status = status;
  reason_write(out);
  return status;
}

void df_stroke_finish(struct df_stroke *stroke)
{
  free(stroke->sample);
  free(stroke->cycle);
  memset(stroke, 0, sizeof *stroke);
}

// ---- first harmonic ----
// Sums over the equal samples of a whole cycle: exact for every harmonic below half their number.
enum df_status df_stroke_first_harmonic(const struct df_stroke *stroke, int parts,
                                        struct df_stroke_harmonic *out)
{
  *out = (struct df_stroke_harmonic){NAN, NAN, NAN, NAN, NAN};
  if (stroke->cycles < 1) return DF_NO_SOLUTION;
  int n = stroke->per_cycle;
  const struct df_stroke_sample *s = stroke->sample + (stroke->cycles - 1)*n;
  double half = 0.5*stroke->motion.stroke, pace = 2*M_PI*stroke->motion.frequency;
  double mean = 0, with_x = 0, with_v = 0, all_of = 0, rest = 0;
  for (int i = 0; i < n; i++) {
    double f = df_stroke_force(&s[i], parts), angle = 2*M_PI*i/n;
    mean += f/n;
    with_x -= 2*f*cos(angle)/n, with_v += 2*f*sin(angle)/n; // travel -cos, fork speed sin
  }
  for (int i = 0; i < n; i++) {
    double f = df_stroke_force(&s[i], parts) - mean, angle = 2*M_PI*i/n;
    all_of += f*f, rest += pow(f + with_x*cos(angle) - with_v*sin(angle), 2);
  }
  out->stiffness = with_x/half, out->damping = with_v/(half*pace);
  out->gain = hypot(with_x, with_v)/half, out->phase = atan2(with_v, with_x);
  out->rest = all_of > 0 ? sqrt(rest/all_of) : 0;
  return DF_OK;
}
