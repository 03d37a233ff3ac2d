// Preparation of one ride: static start, manoeuvre, meeting an obstacle in the dive, job for a kernel.
#include "ride/plan.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double manoeuvre_start = 0.1; // s: a moment of rest before the rider acts
static const double rough_grain = 0.1;     // m: the shortest wave of a random road; a step never covers more

enum df_status df_ground_init(struct ground *ground, const struct df_road *road, const struct df_tyre *tyre, struct df_faults *faults)
{
  enum df_status status = df_profile_init(&ground->profile, road, tyre, faults);
  ground->node = NULL;
  if (status != DF_OK) return status;
  const struct df_profile *p = &ground->profile;
  ground->node = malloc((size_t)p->n*sizeof *ground->node);
  if (!ground->node) {
    df_profile_finish(&ground->profile);
    return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  }
  for (int i = 0; i < p->n; i++) ground->node[i][0] = p->w[i], ground->node[i][1] = p->slope[i]*p->step;
  return DF_OK;
}

void df_ground_finish(struct ground *ground)
{
  free(ground->node);
  ground->node = NULL;
  df_profile_finish(&ground->profile);
}

int df_ground_shared(const struct df_scenario *a, const struct df_scenario *b, int road)
{
  const struct df_road *p = &a->road[road], *q = &b->road[road];
  int speed_matters = p->repeat > 1;                   // the gap between repeats is a time
  return p->kind == q->kind && !memcmp(p->keys, q->keys, sizeof p->keys) && !strcmp(p->file, q->file) && p->repeat == q->repeat
      && p->gap == q->gap && p->contact == q->contact && (!speed_matters || p->speed == q->speed) && a->tyre.contact == b->tyre.contact
      && a->tyre.radius == b->tyre.radius && a->tyre.footprint_length == b->tyre.footprint_length;
}

static void set_front(struct ride_plan *plan, const struct df_scenario *s, const struct df_road *road, struct df_masses m)
{
  struct df_front_constants *f = &plan->job.front;
  double e = s->bike.rake, mu = s->bike.front_unsprung_mass, r = s->tyre.radius;
  memset(f, 0, sizeof *f);
  f->unsprung_mass = mu, f->mass = m.front;
  f->m11 = m.front, f->m12 = mu*cos(e), f->m22 = mu + s->bike.front_wheel_inertia*sin(e)*sin(e)/(r*r);
  double det = f->m11*f->m22 - f->m12*f->m12;
  f->i11 = f->m22/det, f->i12 = -f->m12/det, f->i22 = f->m11/det;
  f->cos_rake = cos(e), f->sin_rake = sin(e);
  f->tyre_stiffness = s->tyre.stiffness, f->tyre_damping = s->tyre.damping, f->tyre_radius = r, f->tyre_limit = s->tyre.section_height;
  f->brake_mass = s->braking.front_share*m.total, f->grip = s->braking.grip;
  f->transfer_mass = m.total*s->bike.mass_height/s->bike.wheelbase;
  f->per_legs = 1/s->bike.legs, f->gravity = df_gravity;
  f->speed = road->has_push ? 0 : road->speed;
  plan->load = m.front*df_gravity;
  struct front_kind *kind = &plan->job.kind;
  kind->slope_force = s->tyre.slope_force == DF_ON, kind->bilateral = s->tyre.bilateral == DF_ON;
  kind->legs = plan->legs.modelled;
  for (int i = 0; i < kind->legs; i++) kind->leg[i] = plan->legs.model[i].kind, plan->job.leg[i] = &plan->legs.model[i];
  plan->job.legs_per_model = (double)plan->legs.on_vehicle/plan->legs.modelled;
  kind->heating = plan->job.heating = s->run.heating == DF_ON;
}

static void set_manoeuvre(struct ride_plan *plan, const struct df_road *road)
{
  struct df_front_constants *f = &plan->job.front;
  const struct df_manoeuvre *m = &plan->manoeuvre;
  f->stand_still = INFINITY, f->brake_ramp = f->release_time = f->lean_per_ramp = 1;
  if (road->has_brake) {
    plan->job.kind.braked = 1;
    f->deceleration = road->brake.deceleration;
    f->brake_start = m->start, f->brake_ramp = fmax(m->ramp_end - m->start, 1e-9);
    f->release_start = m->release, f->release_time = fmax(m->end - m->release, 1e-9);
    if (isfinite(m->stand)) f->stand_still = m->stand, f->stop_distance = df_manoeuvre_motion(m, m->stand).distance;
  }
  if (road->has_lean) plan->job.kind.leaned = 1, f->lean_gain = m->lean_gain, f->lean_start = m->start, f->lean_per_ramp = 1/m->lean_ramp;
  if (road->has_push) {
    plan->job.kind.pushed = 1;
    f->push_start = m->start, f->push_per_rise = 2, f->push_end = m->release, f->push_per_fall = 50;  // 0.5 s up, gone in 20 ms
  }
  plan->job.break_n = m->break_n;
  memcpy(plan->breaks, m->breaks, sizeof plan->breaks);
  plan->job.breaks = plan->breaks;
}

static void rest_state(struct ride_plan *plan, double x)
{
  struct ride_job *job = &plan->job;
  memset(job->u, 0, sizeof job->u);
  job->u[U_X] = x;
  job->u[U_Z] = -plan->load/job->front.tyre_stiffness - x*job->front.cos_rake;
  job->front.start_height = job->u[U_Z];
  for (int i = 0; i < job->kind.legs; i++) {
    const struct df_leg_model *leg = job->leg[i];
    double *b = job->u + U_LEGS + i*JOB_STRIDE;
    b[B_THETA] = 1;
    if (leg->kind.linear) continue;
    struct df_rest rest;
    df_leg_rest(leg, x, leg->kind.thermal ? 1 : leg->c.exponent, &rest);
    b[B_L] = rest.lower, b[B_A] = rest.annulus, b[B_R] = leg->kind.valved ? rest.rod : 0;
    if (leg->kind.inertia) b[B_Y] = -leg->c.valve_crack*leg->c.valve_area/(1e6 + leg->c.valve_rate); // N over the seat's 1 MN/m
  }
}

// The push that holds `depth` past the sag, N.
static double push_force(const struct ride_plan *plan, const struct df_scenario *s, double x, double depth)
{
  double e = s->bike.rake;
  return (df_legs_rest_force(&plan->legs, x + depth, NAN) - df_legs_rest_force(&plan->legs, x, NAN))/cos(e);
}

static void set_road(struct ride_plan *plan, const struct ground *ground, double axle)
{
  struct ride_job *job = &plan->job;
  const struct df_profile *p = &ground->profile;
  job->road = (struct lane_road){ p->n, p->start, p->step, 1/p->step, (const double (*)[2])ground->node };
  job->front.start_place = axle;
  job->feature = p->feature, job->feature_n = p->feature_n;
  job->rough_from = p->faded ? p->first_touch : INFINITY, job->rough_to = p->faded ? p->last_touch : -INFINITY;
  job->grain = rough_grain;
}

// How far the axle has gone when it must first touch the obstacle: a run of the same fork without it decides.
static double meeting_place(struct ride_plan *plan, const struct df_road *road, const struct df_kernel *kernel, enum df_status *status)
{
  static const double nothing[2][2] = { { 0, 0 }, { 0, 0 } };
  double nodes[NODES_KEPT*NODE_SIZE];
  struct ride_plan *alone = malloc(sizeof *alone);
  *status = DF_NO_MEMORY;
  if (!alone) return NAN;
  memcpy(alone, plan, sizeof *alone);
  struct ride_job *job = &alone->job;
  for (int i = 0; i < job->kind.legs; i++) job->leg[i] = &alone->legs.model[i];
  const struct df_manoeuvre *m = &plan->manoeuvre;
  job->breaks = alone->breaks;
  job->road = (struct lane_road){ 2, 0, 1, 1, nothing };
  job->feature_n = 0, job->rough_to = -INFINITY;
  double when = road->meet == DF_MEET_BRAKED_REST ? m->ramp_end + 1 : m->start + road->meet_time;
  job->end = road->meet == DF_MEET_DIVE_PEAK ? m->end : when;
  job->window_start = 0, job->window_end = job->end, job->nodes = nodes;
  df_kernel_run(kernel, &job, 1);
  *status = job->status;
  double x = job->u[U_X];
  if (road->meet == DF_MEET_DIVE_PEAK) when = job->peak[DF_P_TRAVEL].most_at, x = job->peak[DF_P_TRAVEL].most;
  double shift = job->kind.slope_force ? (x - job->front.start_travel)*job->front.sin_rake : 0;
  free(alone);
  return df_manoeuvre_motion(m, when).distance - shift;
}

static void set_moments(struct ride_plan *plan, const struct df_road *road, const struct ground *ground, double axle)
{
  const struct df_manoeuvre *m = &plan->manoeuvre;
  struct df_moments *at = &plan->moments;
  struct df_window window = df_window_of(road, &ground->profile, m, axle);
  *at = (struct df_moments){ window.start, window.end, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, window.end };
  at->touch = df_manoeuvre_time(m, ground->profile.first_touch - axle);
  at->last_touch = df_manoeuvre_time(m, ground->profile.last_touch - axle);
  if (road->has_brake) at->brake_start = m->start, at->ramp_end = m->ramp_end, at->release = m->release;
  if (road->has_lean) at->lean_start = m->start, at->lean_end = m->end;
  if (road->has_push) at->push_release = m->release;
  plan->job.window_start = at->window_start, plan->job.window_end = at->window_end, plan->job.end = at->end;
}

enum df_status df_plan_init(struct ride_plan *plan, const struct df_scenario *s, int road_at, const struct ground *ground, double kelvin,
                            const struct df_method *method, double tolerance, const struct df_kernel *kernel, const volatile int *stop,
                            struct df_faults *faults)
{
  const struct df_road *road = &s->road[road_at];
  memset(&plan->job, 0, sizeof plan->job);
  plan->moments = (struct df_moments){ NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN };
  enum df_status status = df_legs_init(&plan->legs, s, kelvin, faults);
  if (status != DF_OK) return status;
  struct df_masses m = df_masses_of(s, road->has_push ? DF_ABOARD_NOBODY : DF_ABOARD_ALL);
  set_front(plan, s, road, m);
  struct ride_job *job = &plan->job;
  double x = df_legs_rest_travel(&plan->legs, s, m.sprung*df_gravity*cos(s->bike.rake), plan->load, NAN, 0);
  if (!isfinite(x))
    return df_fault_add(faults, DF_NO_REST, "spring.rate", "the fork finds no rest inside its travel under this load: spring too soft or too stiff");
  struct df_road coasting = *road;
  if (road->has_push) coasting.speed = 0;
  status = df_manoeuvre_init(&plan->manoeuvre, &coasting, &s->braking, manoeuvre_start, faults);
  if (status != DF_OK) return status;
  set_manoeuvre(plan, road);
  job->front.start_travel = x;
  if (road->has_push) job->front.push_force = push_force(plan, s, x, road->push.depth);
  for (int i = 0; i < job->kind.legs; i++) job->oil[i] = plan->legs.model[i].temperature;
  job->method = method->stages ? method : &df_methods[0];
  job->tolerance = tolerance, job->stop = stop, job->least_step = 1e-12, job->most_steps = 1000;
  rest_state(plan, x);
  double run_up = NAN;
  if (road->meet != DF_MEET_NONE && road->has_brake) {
    job->most_steps = 10000000;
    run_up = meeting_place(plan, road, kernel, &status);
    if (status != DF_OK) return df_fault_add(faults, status, "", "road %s: the ride without the obstacle fails: %s", road->name, df_status_text(status));
  }
  double axle = df_axle_start(&ground->profile, s->tyre.radius, run_up);
  set_road(plan, ground, axle);
  set_moments(plan, road, ground, axle);
  job->method = method;
  job->most_steps = 2000 + (long)(200000*job->end);    // a step of 5 us on the mean is a collapse
  plan->start_energy = df_plan_stored(plan, job->u, 0);
  return DF_OK;
}

static double leg_stored(const struct df_leg_model *leg, const double *b, double x)
{
  const struct df_leg_constants *c = &leg->c;
  if (leg->kind.linear) return 0.5*c->linear_rate*x*x + c->linear_preload*x;
  struct leg_single single;
  df_leg_single_init(&single, leg);
  struct leg_eval e;
  memset(&e, 0, sizeof e);
  leg_evaluate(&single.k, &leg->kind, all(x), zero(), all(b[B_L]), all(b[B_A]), all(b[B_R]), all(b[B_THETA]), all(b[B_Y]), all(b[B_W]), &e);
  struct coil coil = { single.g.spring_soft, single.g.spring_hard, single.g.spring_change, single.g.spring_bind, single.g.spring_preload };
  double short_of = fmax(c->top_out_length - x, 0), deep = fmax(x - c->travel, 0), out = fmax(-x, 0);
  double solids = coil_energy(&coil, all(x))[0] + 0.5*c->top_out_rate*short_of*short_of + 0.5*c->stop_rate*(deep*deep + out*out);
  double gas = e.gas[0], pc = e.c.p[0], air;
  if (leg->kind.thermal) air = c->fill_pressure*c->gas_start*(b[B_THETA] - 1)/0.4;
  else if (c->exponent == 1) air = -c->fill_pressure*c->gas_start*log(gas/c->gas_start);
  else air = (pc*gas - c->fill_pressure*c->gas_start)/(c->exponent - 1);
  double oil = b[B_L]*oil_energy(&single.g, e.l.p)[0] + b[B_A]*oil_energy(&single.g, e.a.p)[0];
  if (leg->kind.valved) oil += b[B_R]*oil_energy(&single.g, e.r.p)[0];
  return solids + air + oil - DF_ATMOSPHERE*c->tube_area*x;
}

double df_plan_stored(const struct ride_plan *plan, const double *u, double road_height)
{
  const struct ride_job *job = &plan->job;
  const struct df_front_constants *f = &job->front;
  double zu = u[U_Z] + u[U_X]*f->cos_rake, d = road_height - zu;
  double e = 0.5*f->m11*u[U_S]*u[U_S] + f->m12*u[U_S]*u[U_V] + 0.5*f->m22*u[U_V]*u[U_V];
  e += (f->mass - f->unsprung_mass)*f->gravity*u[U_Z] + f->unsprung_mass*f->gravity*zu;
  if (d > 0 || job->kind.bilateral) e += 0.5*f->tyre_stiffness*d*d;
  for (int i = 0; i < job->kind.legs; i++) e += job->legs_per_model*leg_stored(job->leg[i], u + U_LEGS + i*JOB_STRIDE, u[U_X]);
  return e;
}

void df_plan_run(struct ride_plan *plan, const struct df_kernel *kernel)
{
  struct ride_job *job = &plan->job;
  if (job->method->stages) df_kernel_run(kernel, &job, 1);
  else df_gsl_run(job, kernel);
}

// ---- heated start ----
// Mean power that one pass puts into the oil of a leg, W.
static double mean_heat(const struct df_scenario *s, int road, const struct ground *ground, double kelvin, const struct df_method *method,
                        double tolerance, const struct df_kernel *kernel)
{
  struct ride_plan *plan = malloc(sizeof *plan);
  double *nodes = malloc(NODES_KEPT*NODE_SIZE*sizeof *nodes), power = NAN;
  if (plan && nodes && df_plan_init(plan, s, road, ground, kelvin, method, tolerance, kernel, NULL, NULL) == DF_OK) {
    plan->job.nodes = nodes, plan->job.ledger = plan->job.full_nodes = 1, plan->job.kind.heating = plan->job.heating = 0;
    df_plan_run(plan, kernel);
    double lost = 0;
    for (int i = DF_E_COMPRESSION_HOLES; i <= DF_E_FRICTION; i++) lost += i == DF_E_COLUMN ? 0 : plan->job.energy[i];
    if (plan->job.status == DF_OK) power = lost/plan->job.end/plan->legs.on_vehicle;
  }
  free(nodes);
  free(plan);
  return power;
}

double df_heated_temperature(const struct df_scenario *s, int road, const struct ground *ground, const struct df_method *method,
                             double tolerance, const struct df_kernel *kernel)
{
  const struct df_oil *oil = &s->side[0].oil;
  double t = oil->temperature, span = 1200*oil->heat_loss/oil->heat_capacity; // 20 min
  for (int i = 0; i < 3; i++) {                        // losses hang little on temperature: three passes settle within 0.1 K
    double settled = oil->ambient + mean_heat(s, road, ground, t, method, tolerance, kernel)/oil->heat_loss;
    t = settled + (oil->temperature - settled)*exp(-span);
  }
  return t;
}

// ---- report ----
const char *df_plan_blame(enum df_status status)
{
  switch (status) {
  case DF_HYDRAULIC_LOCK: return "air.oil_level";
  case DF_TRAVEL_RANGE:   return "spring.rate";
  case DF_TYRE_ON_RIM:    return "tyre.stiffness";
  case DF_NO_REST:        return "spring.rate";
  case DF_STEP_TOO_SMALL: return "run.tolerance";
  case DF_TOO_MANY_STEPS:
  case DF_NOT_FINITE:     return "run.tolerance";
  default:                return "";
  }
}

void df_plan_report(const struct ride_plan *plan, const struct df_scenario *scenario, int road, struct df_ride *out)
{
  const struct ride_job *job = &plan->job;
  out->status = job->status, out->failed_at = job->failed_at;
  out->moments = plan->moments;
  memcpy(out->peak, job->peak, sizeof out->peak);
  out->bottoming_speed = job->bottoming_speed, out->topping_speed = job->topping_speed;
  memcpy(out->energy, job->energy, sizeof out->energy);
  out->static_travel = job->front.start_travel, out->static_load = plan->load;
  out->legs = job->kind.legs, out->leg_count = plan->legs.on_vehicle;
  out->effort = job->effort;
  out->energy_residual = NAN;
  if (job->ledger) {
    double height = 0, place = job->front.start_place, losses = 0;
    const struct df_motion motion = df_manoeuvre_motion(&plan->manoeuvre, isfinite(job->failed_at) ? job->failed_at : job->end);
    double shift = job->kind.slope_force ? (job->u[U_X] - job->front.start_travel)*job->front.sin_rake : 0;
    double s = (place + motion.distance - shift - job->road.start)*job->road.per_step;
    s = fmin(fmax(s, 0), job->road.n - 1);
    int at = (int)fmin(s, job->road.n - 2);
    const double *a = job->road.node[at], *b = a + 2;
    double w = s - at, rise = b[0] - a[0];
    height = a[0] + w*(a[1] + w*((3*rise - 2*a[1] - b[1]) + w*(a[1] + b[1] - 2*rise)));
    out->energy[DF_E_STORED] = df_plan_stored(plan, job->u, height) - plan->start_energy;
    for (int i = 0; i < DF_E_LOSSES; i++) losses += job->energy[i];
    double in = job->energy[DF_E_ROAD] + job->energy[DF_E_BRAKE];
    out->energy_residual = (in - out->energy[DF_E_STORED] - losses)/fmax(job->energy[DF_E_THROUGHPUT], 1e-3);
  }
  if (job->status == DF_OK) return;
  snprintf(out->blame, sizeof out->blame, "%s", df_plan_blame(job->status));
  snprintf(out->reason, sizeof out->reason, "road %s: %s at %.4f s: travel %.1f mm, fork speed %.2f m/s", scenario->road[road].name,
           df_status_text(job->status), job->failed_at, job->u[U_X]*1e3, job->u[U_V]);
}
