// The kernel: many rides side by side, each lane with its own step. Built once an instruction set with DF_KERNEL, DF_KERNEL_NAME and
// DF_LANES set by the build; nothing here is seen outside but the table row at the end.
#include <math.h>
#include <string.h>

#include "ride/job.h"
#include "ride/method_rows.h"

// ---- lanes filled from jobs ----
struct wagon {
  struct lane_front front;
  struct lane_leg leg[DF_SIDES];
  struct leg_paths at[DF_SIDES];
  struct lane_groups groups[DF_SIDES];
  const struct leg_aside *aside[DF_SIDES][DF_LANES];
  const struct valve_table *table[DF_SIDES][DF_LANES];
  const struct lane_road *road[DF_LANES];
  struct front_const k;
};

static void put(void *lanes, const void *doubles, size_t bytes, int i)
{
  double *to = lanes;
  const double *from = doubles;
  for (size_t n = 0; n < bytes/sizeof(double); n++) to[n*DF_LANES + i] = from[n];
}

static void wagon_put(struct wagon *w, const struct ride_job *job, int i)
{
  put(&w->front, &job->front, sizeof job->front, i);
  for (int side = 0; side < job->kind.legs; side++) {
    const struct df_leg_model *leg = job->leg[side];
    put(&w->leg[side], &leg->c, sizeof leg->c, i);
    if (leg->kind.covered) put(&w->groups[side], &leg->groups, sizeof leg->groups, i);
    w->aside[side][i] = &leg->aside, w->table[side][i] = &leg->aside.valve;
  }
  w->road[i] = &job->road;
  w->k.per_model[i] = job->legs_per_model;
}

// One job in every lane: what its samples and energies need of it.
static void put_all(void *lanes, const void *doubles, size_t bytes)
{
  const double *from = doubles;
  for (size_t n = 0; n < bytes/sizeof(double); n++) ((lane *)lanes)[n] = all(from[n]);
}

static void wagon_fill(struct wagon *w, const struct ride_job *job, int legs)
{
  put_all(&w->front, &job->front, sizeof job->front);
  w->k.per_model = all(job->legs_per_model);
  for (int i = 0; i < DF_LANES; i++) w->road[i] = &job->road;
  for (int side = 0; side < legs; side++) {
    const struct df_leg_model *leg = job->leg[side];
    put_all(&w->leg[side], &leg->c, sizeof leg->c);
    if (leg->kind.covered) put_all(&w->groups[side], &leg->groups, sizeof leg->groups);
    for (int i = 0; i < DF_LANES; i++) w->aside[side][i] = &leg->aside, w->table[side][i] = &leg->aside.valve;
  }
}

static void wagon_link(struct wagon *w)
{
  w->k.g = &w->front, w->k.road = w->road;
  for (int side = 0; side < DF_SIDES; side++)
    w->k.leg[side] = (struct leg_const){ &w->leg[side], &w->at[side], &w->groups[side], w->aside[side], w->table[side] };
}

// Coefficients at oil temperatures (K) of each leg, or at those of the start.
static void wagon_oil(struct wagon *w, const struct front_kind *kind, const lane oil[DF_SIDES])
{
  for (int side = 0; side < kind->legs; side++) {
    if (kind->leg[side].linear) continue;
    const struct lane_leg *g = &w->leg[side];
    lane mu = g->mu, rho = g->rho;
    if (kind->heating) {
      lane t = oil[side], warm = t - 288.15, a = 0.6278/g->density_15;                 // ASTM D1250, table 54D
      rho = g->density_15*lane_exp(-a*warm*(1.0 + 0.8*a*warm));
      lane loglog = g->walther_a - g->walther_b*lane_log(t)*0.43429448190325182765;    // ASTM D341
      lane nu = lane_exp(lane_exp(loglog*2.3025850929940456840)*2.3025850929940456840) - 0.7;
      mu = 1e-6*nu*rho;
    }
    leg_paths_set(g, mu, rho, &w->at[side]);
  }
}

// ---- states: the kernel packs blocks of 2, 3 or 6; jobs and nodes keep the full layout ----
LANE int full_place(const int block, int n)
{
  if (n < U_LEGS) return n;
  int side = (n - U_LEGS)/(block + 1), j = (n - U_LEGS)%(block + 1);
  return U_LEGS + side*JOB_STRIDE + (j == block ? BLOCK_FULL : j);
}

// ---- what lies between nodes: Hermite for the motion; for oil and bristles the method's own polynomial, since their rates at a
// node carry the last bit of each pressure, stiffly magnified ----
struct moment { int at; double t; };   // interval, time in it, s
enum moment_need { MOMENT_FORK = 1, MOMENT_BODY = 2, MOMENT_LEGS = 4 };          // travel; the sprung mass; oil and friction

LANE lane hermite(lane a, lane b, lane fa, lane fb, lane h, lane w)
{
  lane rise = b - a, m0 = h*fa, m1 = h*fb;
  return a + w*(m0 + w*((3.0*rise - 2.0*m0 - m1) + w*(m0 + m1 - 2.0*rise)));
}

struct looked { lane u[JOB_STATES], t, oil[DF_SIDES], acceleration; };
// at: the node at which each lane's interval begins; `same` when it is one interval for all, as it often is.
LANE void moment_look(const struct ride_job *job, const double *const *at, const int same, int need, struct looked *to)
{
  const int size = job->node_size;
#define BEGIN_OF(i) at[i][number]
#define END_OF(i) at[i][size + number]
#define AT_BEGIN(n) ({ const int number = n; same ? all(at[0][number]) : LANE_OF(BEGIN_OF); })
#define AT_END(n) ({ const int number = n; same ? all(at[0][size + number]) : LANE_OF(END_OF); })
  lane t0 = AT_BEGIN(NODE_T), h = AT_END(NODE_T) - t0, w = clipped((to->t - t0)/h, zero(), all(1));
  if (need & MOMENT_FORK) {
    lane v0 = AT_BEGIN(NODE_U + U_V), v1 = AT_END(NODE_U + U_V);
    to->u[U_X] = hermite(AT_BEGIN(NODE_U + U_X), AT_END(NODE_U + U_X), v0, v1, h, w);
    to->u[U_V] = hermite(v0, v1, AT_BEGIN(NODE_ALONG), AT_END(NODE_ALONG), h, w);
  }
  if (need & MOMENT_BODY) {
    lane s0 = AT_BEGIN(NODE_U + U_S), s1 = AT_END(NODE_U + U_S), a0 = AT_BEGIN(NODE_ACCELERATION), a1 = AT_END(NODE_ACCELERATION);
    to->u[U_Z] = hermite(AT_BEGIN(NODE_U + U_Z), AT_END(NODE_U + U_Z), s0, s1, h, w);
    to->u[U_S] = hermite(s0, s1, a0, a1, h, w);
    lane mean = choose(h > 0.0, (s1 - s0)/h, a0);
    to->acceleration = a0 + w*(6.0*mean - 4.0*a0 - 2.0*a1 + w*(3.0*a0 + 3.0*a1 - 6.0*mean));
  }
  if (!(need & MOMENT_LEGS)) return;
  for (int side = 0; side < DF_SIDES; side++) to->oil[side] = AT_BEGIN(NODE_OIL + side);
  int own = job->method->dense[0][0] != 0;
  for (int n = U_LEGS; n < U_LEGS + job->kind.legs*JOB_STRIDE; n++) {
    lane y0 = AT_BEGIN(NODE_U + n), y1 = AT_END(NODE_U + n), f1 = AT_END(NODE_F + n);
    to->u[n] = own ? y0 + w*((y1 - y0) + (1.0 - w)*(f1 + w*AT_END(NODE_C3 + n))) : hermite(y0, y1, AT_BEGIN(NODE_F + n), f1, h, w);
  }
#undef AT_BEGIN
#undef AT_END
#undef BEGIN_OF
#undef END_OF
}

static void moment_states(const struct ride_job *job, const struct moment *m, int need, struct looked *to)
{
  const double *at[DF_LANES];
  int same = 1;
  for (int i = 0; i < DF_LANES; i++) at[i] = job->nodes + m[i].at*job->node_size, same &= m[i].at == m[0].at, to->t[i] = m[i].t;
  if (same) moment_look(job, at, 1, need, to);
  else moment_look(job, at, 0, need, to);
}

// ---- energies by path (section 8) ----
static void leg_powers(const struct wagon *w, const struct front_kind *kind, int side, const lane *u, const struct front_eval *e, lane *p)
{
  if (kind->leg[side].linear) {
    p[DF_E_FRICTION] += w->k.per_model*w->leg[side].linear_damping*u[U_V]*u[U_V];
    return;
  }
  const struct lane_leg *g = &w->leg[side];
  const struct leg_eval *leg = &e->leg[side];
  int valved = kind->leg[side].valved;
  lane m = w->k.per_model, v = u[U_V];
  lane hl = oil_enthalpy(g, leg->l.p), ha = oil_enthalpy(g, leg->a.p), hc = oil_enthalpy(g, leg->c.p);
  lane hr = valved ? oil_enthalpy(g, leg->r.p) : hc;
  p[DF_E_COMPRESSION_HOLES] += m*leg->lr.q*(hl - hr);
  p[DF_E_REBOUND_HOLES] += m*leg->ar.q*(ha - hr);
  p[DF_E_CHECK] += m*leg->la.q*(hl - ha);
  p[DF_E_CHECK_LEAK] += m*leg->leak.q*(hl - ha);
  p[DF_E_RING] += m*leg->ac.q*(ha - hc);
  lane into = leg->ac.q + (valved ? leg->rc.q : leg->lr.q + leg->ar.q);
  if (valved) {
    p[DF_E_VALVE] += m*leg->valve.q*(hr - hc);
    p[DF_E_BLEED] += m*leg->bleed.q*(hr - hc);
    p[DF_E_RETURN] += m*leg->back.q*(hr - hc);
  }
  p[DF_E_COLUMN] += m*into*(hc - leg->c.p);
  p[DF_E_CONE] += m*leg->cone.f*v;
  p[DF_E_FRICTION] += m*e->friction[side]*v;
  lane elastic = g->stop_rate*(larger(u[U_X] - g->travel, zero()) - larger(-u[U_X], zero()));
  p[DF_E_STOP] += m*(leg->stop.f - elastic)*v;
  if (kind->leg[side].thermal) {
    lane theta = u[U_LEGS + side*JOB_STRIDE + B_THETA];
    p[DF_E_AIR_HEAT] += m*g->fill_pressure*g->gas_start*(theta - 1.0)*(g->per_thermal_time/0.4);
  }
}

static void powers(const struct wagon *w, const struct front_kind *kind, const lane *u, const struct front_eval *e, lane *p)
{
  const struct lane_front *g = &w->front;
  for (int n = 0; n < DF_ENERGIES; n++) p[n] = zero();
  for (int side = 0; side < kind->legs; side++) leg_powers(w, kind, side, u, e, p);
  mask touching = kind->bilateral ? e->deflection == e->deflection : e->deflection > 0.0;
  p[DF_E_TYRE] = where(touching, (e->tyre - g->tyre_stiffness*e->deflection)*e->closing);
  p[DF_E_ROAD] = e->tyre*e->slope*e->speed;
  lane held = (e->gravity - g->gravity)*(g->mass*u[U_S] + g->unsprung_mass*g->cos_rake*u[U_V]) + e->push*u[U_S];
  p[DF_E_BRAKE] = (e->brake - g->unsprung_mass*e->deceleration)*g->sin_rake*u[U_V] - e->transfer*u[U_S] - held;
  p[DF_E_THROUGHPUT] = magnitude(p[DF_E_ROAD]) + magnitude(p[DF_E_BRAKE]);
}

// ---- samples ----
static void put_samples(double *const *out, enum df_channel c, int first, int n, lane value)
{
  if (!out[c]) return;
  if (n == DF_LANES) memcpy(out[c] + first, &value, sizeof value);
  else memcpy(out[c] + first, &value, (size_t)n*sizeof(double));
}

static void sample_leg(const struct wagon *w, const struct ride_job *job, int side, int first, int n, const lane *u,
                       const struct front_eval *e, const lane oil[DF_SIDES])
{
  const struct lane_leg *g = &w->leg[side];
  const struct leg_eval *leg = &e->leg[side];
  int c = side*DF_C_PER_LEG;
  double *const *out = job->sample;
  put_samples(out, DF_C_FORCE + c, first, n, e->force[side]);
  if (job->kind.leg[side].linear) {
    for (int channel = DF_C_DAMPING; channel < DF_C_WHOLE + DF_C_PER_LEG; channel++) put_samples(out, channel + c, first, n, zero());
    put_samples(out, DF_C_DAMPING + c, first, n, g->linear_damping*u[U_V]);
    put_samples(out, DF_C_SPRING + c, first, n, g->linear_rate*u[U_X] + g->linear_preload);
    return;
  }
  lane p_r = job->kind.leg[side].valved ? leg->r.p : leg->c.p;
  put_samples(out, DF_C_DAMPING + c, first, n, (leg->l.p - leg->c.p)*g->lower_area - (leg->a.p - leg->c.p)*g->annulus_area);
  put_samples(out, DF_C_SPRING + c, first, n, leg->coil.f + leg->top_out.f);
  put_samples(out, DF_C_AIR + c, first, n, (leg->c.p - 101325.0)*g->tube_area);
  put_samples(out, DF_C_FRICTION + c, first, n, e->friction[side]);
  put_samples(out, DF_C_CONE + c, first, n, leg->cone.f);
  put_samples(out, DF_C_STOP + c, first, n, leg->stop.f);
  put_samples(out, DF_C_P_LOWER + c, first, n, leg->l.p);
  put_samples(out, DF_C_P_ANNULUS + c, first, n, leg->a.p);
  put_samples(out, DF_C_P_ROD + c, first, n, p_r);
  put_samples(out, DF_C_P_COLUMN + c, first, n, leg->c.p);
  put_samples(out, DF_C_LIFT + c, first, n, job->kind.leg[side].valved ? leg->lift : zero());
  put_samples(out, DF_C_OIL_TEMPERATURE + c, first, n, oil[side]);
}

static void sample_voids(const struct wagon *w, const struct ride_job *job, int side, int first, int n, const lane *u)
{
  if (job->kind.leg[side].linear) return;
  const struct lane_leg *g = &w->leg[side];
  const lane *b = u + U_LEGS + side*JOB_STRIDE;
  int c = side*DF_C_PER_LEG;
  put_samples(job->sample, DF_C_VOID_LOWER + c, first, n, larger(g->lower_full - g->lower_area*u[U_X] - b[B_L], zero()));
  put_samples(job->sample, DF_C_VOID_ANNULUS + c, first, n, larger(g->annulus_start + g->annulus_area*u[U_X] - b[B_A], zero()));
}

// What the wanted channels need looked up between nodes; road and tyre need all of the motion.
static int on_the_road(const struct ride_job *job)
{
  static const enum df_channel channel[] = { DF_C_DISTANCE, DF_C_ROAD, DF_C_SPEED, DF_C_TYRE, DF_C_TYRE_SIGNED, DF_C_BRAKE };
  for (size_t i = 0; i < sizeof channel/sizeof *channel; i++) if (job->sample[channel[i]]) return 1;
  return 0;
}
static int needed(const struct ride_job *job)
{
  double *const *out = job->sample;
  if (job->full_nodes) return MOMENT_FORK | MOMENT_BODY | MOMENT_LEGS;
  if (on_the_road(job)) return MOMENT_FORK | MOMENT_BODY;
  return (out[DF_C_TRAVEL] || out[DF_C_VELOCITY] ? MOMENT_FORK : 0) | (out[DF_C_HEIGHT] || out[DF_C_ACCELERATION] ? MOMENT_BODY : 0);
}

static void sample_road(const struct ride_job *job, int first, int n, const struct front_eval *e)
{
  double *const *out = job->sample;
  put_samples(out, DF_C_DISTANCE, first, n, e->place);
  put_samples(out, DF_C_ROAD, first, n, e->road);
  put_samples(out, DF_C_SPEED, first, n, e->speed);
  put_samples(out, DF_C_TYRE, first, n, e->tyre);
  put_samples(out, DF_C_TYRE_SIGNED, first, n, e->tyre_signed);
  put_samples(out, DF_C_BRAKE, first, n, job->kind.braked ? e->brake : zero());
}

static void sample(struct wagon *w, const struct ride_job *job, struct moment *m, int n, int first, int need)
{
  struct looked at;
  struct front_eval e;
  for (int i = n; i < DF_LANES; i++) m[i] = m[n - 1];
  moment_states(job, m, need, &at);
  double *const *out = job->sample;
  if (need & MOMENT_FORK) {
    put_samples(out, DF_C_TRAVEL, first, n, at.u[U_X]);
    put_samples(out, DF_C_VELOCITY, first, n, at.u[U_V]);
  }
  if (need & MOMENT_BODY) {
    put_samples(out, DF_C_HEIGHT, first, n, at.u[U_Z] - w->front.start_height);
    put_samples(out, DF_C_ACCELERATION, first, n, at.acceleration);
  }
  if (need & MOMENT_LEGS) {
    lane du[JOB_STATES];
    if (job->heating) wagon_oil(w, &job->kind, at.oil);
    front_rates(&w->k, &job->kind, at.t, at.u, BLOCK_FULL, 0, &e, du);
    for (int side = 0; side < job->kind.legs; side++) {
      sample_leg(w, job, side, first, n, at.u, &e, at.oil);
      sample_voids(w, job, side, first, n, at.u);
    }
  } else if (on_the_road(job)) {
    lane jerk, push_t, gravity_t;
    struct by_motion by;
    front_manoeuvre(&w->front, &job->kind, at.t, &e, &jerk, &push_t, &gravity_t);
    front_tyre(&w->k, &job->kind, at.u, &e, &by);
    lane most = w->front.grip*e.tyre;
    e.brake = smaller(w->front.brake_mass*e.deceleration, most);
  } else {
    return;
  }
  sample_road(job, first, n, &e);
}

static void take_samples(struct wagon *w, struct ride_job *job)
{
  struct moment m[DF_LANES];
  int at = 0, have = 0, first = job->sample_done, need = needed(job);
  const int size = job->node_size;
  double last = job->nodes[(job->node_n - 1)*size + NODE_T];
  while (job->sample_done < job->sample_n) {
    double t = job->sample_done*job->sample_step;
    if (t > last + 1e-12) break;
    while (at < job->node_n - 2 && t > job->nodes[(at + 1)*size + NODE_T]) at++;
    m[have++] = (struct moment){ at, t };
    job->sample_done++;
    if (have == DF_LANES) sample(w, job, m, have, first, need), first = job->sample_done, have = 0;
  }
  if (have) sample(w, job, m, have, first, need);
}

static void take_energies(struct wagon *w, struct ride_job *job)
{
  static const double place[3] = { 0.11270166537925831148, 0.5, 0.88729833462074168852 }, weight[3] = { 5.0/18, 8.0/18, 5.0/18 }; // Gauss
  int n = 3*(job->node_n - 1);
  for (int first = 0; first < n; first += DF_LANES) {
    lane du[JOB_STATES], p[DF_ENERGIES];
    struct looked at;
    struct moment m[DF_LANES];
    struct front_eval e;
    int some = n - first < DF_LANES ? n - first : DF_LANES;
    for (int i = 0; i < DF_LANES; i++) {
      int q = first + (i < some ? i : some - 1);
      const double *node = job->nodes + q/3*job->node_size;
      m[i] = (struct moment){ q/3, node[NODE_T] + place[q%3]*(node[job->node_size + NODE_T] - node[NODE_T]) };
    }
    moment_states(job, m, MOMENT_FORK | MOMENT_BODY | MOMENT_LEGS, &at);
    if (job->heating) wagon_oil(w, &job->kind, at.oil);
    front_rates(&w->k, &job->kind, at.t, at.u, BLOCK_FULL, 0, &e, du);
    powers(w, &job->kind, at.u, &e, p);
    for (int i = 0; i < some; i++) {
      const double *node = job->nodes + (first + i)/3*job->node_size;
      double dt = (node[job->node_size + NODE_T] - node[NODE_T])*weight[(first + i)%3];
      for (int c = 0; c < DF_ENERGIES; c++) job->energy[c] += p[c][i]*dt;
    }
  }
}

// ---- peaks from inside the steps, over the window ----
// Many intervals at a time, one in each lane. Greatest and least so far, and when.
struct extremes { lane most, least, most_at, least_at; };

LANE void extreme(struct extremes *e, mask in, lane value, lane t)
{
  mask above = in & (value > e->most), below = in & (value < e->least);
  e->most = choose(above, value, e->most), e->most_at = choose(above, t, e->most_at);
  e->least = choose(below, value, e->least), e->least_at = choose(below, t, e->least_at);
}

struct span { lane w0, w1, t0, h; mask in; };          // the part of each interval that lies in the window

// y = a + w (b + w (c + w d)). What rises, or falls, at both ends may wave in between: that is below the error.
LANE void extreme_of_cubic(struct extremes *e, const struct span *s, lane a, lane b, lane c, lane d)
{
  extreme(e, s->in, a + s->w0*(b + s->w0*(c + s->w0*d)), s->t0 + s->w0*s->h);
  extreme(e, s->in, a + s->w1*(b + s->w1*(c + s->w1*d)), s->t0 + s->w1*s->h);
  lane disc = c*c - 3.0*b*d;
  mask turns = s->in & ((b + s->w0*(2.0*c + s->w0*3.0*d))*(b + s->w1*(2.0*c + s->w1*3.0*d)) <= 0.0) & (disc >= 0.0);
  if (!any(turns)) return;
  lane q = -(c + signed_as(lane_sqrt(larger(disc, zero())), c));
  for (int i = 0; i < 2; i++) {
    lane over = i ? 3.0*d : q, w = (i ? q : b)/choose(over == 0.0, all(1), over);
    mask good = turns & (over != 0.0) & (w > s->w0) & (w < s->w1);
    extreme(e, good, a + w*(b + w*(c + w*d)), s->t0 + w*s->h);
  }
}

LANE void extreme_hermite(struct extremes *e, const struct span *s, lane a, lane b, lane fa, lane fb)
{
  lane rise = b - a, m0 = s->h*fa, m1 = s->h*fb;
  extreme_of_cubic(e, s, a, m0, 3.0*rise - 2.0*m0 - m1, m0 + m1 - 2.0*rise);
}

// Between a and b with this mean.
LANE void extreme_mean(struct extremes *e, const struct span *s, lane a, lane b, lane mean)
{
  extreme_of_cubic(e, s, a, 6.0*mean - 4.0*a - 2.0*b, 3.0*a + 3.0*b - 6.0*mean, zero());
}

static void gather_extremes(struct df_extreme *out, const struct extremes *e)
{
  for (int i = 0; i < DF_LANES; i++) {                 // of equals the earlier one
    double most = e->most[i], most_at = e->most_at[i], least = e->least[i], least_at = e->least_at[i];
    if (most > out->most || (most == out->most && most_at < out->most_at)) out->most = most, out->most_at = most_at;
    if (least < out->least || (least == out->least && least_at < out->least_at)) out->least = least, out->least_at = least_at;
  }
}

static void touch_speeds(struct ride_job *job, const double *a, const double *b)
{
  double x0 = a[NODE_U + U_X], x1 = b[NODE_U + U_X], travel = job->leg[0]->c.travel;
  if (job->kind.leg[0].linear) return;
  if (job->bottoming_speed == 0 && x0 < travel && x1 >= travel)
    job->bottoming_speed = a[NODE_U + U_V] + (b[NODE_U + U_V] - a[NODE_U + U_V])*(travel - x0)/(x1 - x0);
  if (job->topping_speed == 0 && x0 > 0 && x1 <= 0)
    job->topping_speed = a[NODE_U + U_V] + (b[NODE_U + U_V] - a[NODE_U + U_V])*x0/(x0 - x1);
}

// What peaks need of a node, in lanes.
struct ends { lane t, a, along, x, v, s; };
LANE void put_ends(struct ends *e, const double *const *at, int next)
{
#define T_OF(i) at[i][next + NODE_T]
#define A_OF(i) at[i][next + NODE_ACCELERATION]
#define ALONG_OF(i) at[i][next + NODE_ALONG]
  e->t = LANE_OF(T_OF), e->a = LANE_OF(A_OF), e->along = LANE_OF(ALONG_OF);
#undef T_OF
#undef A_OF
#undef ALONG_OF
  lane z;
  const double *motion[DF_LANES];
  for (int i = 0; i < DF_LANES; i++) motion[i] = at[i] + next + NODE_U;
  lane_fours(motion, &z, &e->s, &e->x, &e->v);
}

LANE void take_ends(struct ride_job *job, struct extremes e[DF_PEAKS], const struct ends *a, const struct ends *b)
{
  const struct df_front_constants *g = &job->front;
  struct span s = { .t0 = a->t, .h = b->t - a->t };
  lane per_h = 1.0/s.h, weight = all(g->mass*g->gravity);
  s.w0 = larger((job->window_start - a->t)*per_h, zero()), s.w1 = smaller((job->window_end - a->t)*per_h, all(1));
  s.in = (s.h > 0.0) & (b->t >= job->window_start) & (a->t <= job->window_end);
  lane mean = (b->s - a->s)*per_h, along = (b->v - a->v)*per_h;
  extreme_hermite(&e[DF_P_TRAVEL], &s, a->x, b->x, a->v, b->v);
  extreme_hermite(&e[DF_P_VELOCITY], &s, a->v, b->v, a->along, b->along);
  extreme_mean(&e[DF_P_ACCELERATION], &s, a->a, b->a, mean);
  if (job->kind.braked || job->kind.leaned || job->kind.pushed) return;
  extreme_mean(&e[DF_P_TYRE], &s, g->m11*a->a + g->m12*a->along + weight, g->m11*b->a + g->m12*b->along + weight,
               g->m11*mean + g->m12*along + weight);   // tyre load from the balance of both masses
}

static void take_peaks(struct ride_job *job)
{
  struct extremes e[DF_PEAKS];
  int n = job->node_n - 1;
  for (int p = 0; p < DF_PEAKS; p++) e[p] = (struct extremes){ all(-INFINITY), all(INFINITY), all(NAN), all(NAN) };
  for (int first = 0; first < n; first += DF_LANES) {
    struct ends a, b;
    const double *at[DF_LANES];
    for (int i = 0; i < DF_LANES; i++) at[i] = job->nodes + (first + i < n ? first + i : n - 1)*job->node_size;
    put_ends(&a, at, 0), put_ends(&b, at, job->node_size);
    take_ends(job, e, &a, &b);
  }
  for (int p = 0; p < DF_PEAKS; p++) gather_extremes(&job->peak[p], &e[p]);
  for (int i = 0; i < n; i++) {
    const double *a = job->nodes + i*job->node_size, *b = a + job->node_size;
    if (b[NODE_T] >= job->window_start && a[NODE_T] <= job->window_end) touch_speeds(job, a, b);
  }
}

static void flush(struct ride_job *job)
{
  if (job->node_n < 2) return;
  take_peaks(job);
  if (job->ledger || job->sample_done < job->sample_n) {
    struct wagon w;
    lane oil[DF_SIDES] = { all(job->oil[0]), all(job->oil[1]) };
    wagon_fill(&w, job, job->full_nodes ? job->kind.legs : 0);
    wagon_link(&w);
    if (job->full_nodes) wagon_oil(&w, &job->kind, oil);
    if (job->ledger) take_energies(&w, job);
    if (job->sample_done < job->sample_n) take_samples(&w, job);
  }
  memmove(job->nodes, job->nodes + (job->node_n - 1)*job->node_size, (size_t)job->node_size*sizeof(double));
  job->node_n = 1;
}

// ---- the drive: one step in every lane at a time ----
struct drive {
  struct wagon w;
  struct ride_job *job[DF_LANES];
  lane u[JOB_STATES], t, h, wanted, oil[DF_SIDES], power[DF_SIDES], last_h;
  lane tolerance, scale[JOB_STATES];
  lane c2[JOB_STATES], c3[JOB_STATES]; // dense output of the last step
  mask arrived, rejected;     // a step ended here; the step before was refused
};

// Error scales: a step's error may be tolerance/8 times (scale + |state|); amounts of oil and the bristle by scale alone. Those of oil
// and bristle are such that an error of either makes about the same force. The eighth makes the default tolerance of one ride close its
// energies within 1e-4 (docs/performance.md).
static const double motion_scale[U_LEGS] = { 0.02, 0.5, 0.02, 0.5 };               // m, m/s, m, m/s
static const double block_scale[BLOCK_FULL + 1] = { 1e-6, 1e-6, 1e-6, 1, 1e-3, 1, 30 }; // m3 thrice, 1, m, m/s, 1

static void drive_put(struct drive *d, struct ride_job *job, int i, const int block)
{
  wagon_put(&d->w, job, i);
  d->job[i] = job;
  int n = U_LEGS + job->kind.legs*(block + 1);
  for (int j = 0; j < n; j++) d->u[j][i] = job->u[full_place(block, j)];
  d->t[i] = 0, d->h[i] = d->wanted[i] = 1e-4, d->last_h[i] = 0, d->tolerance[i] = job->tolerance;
  for (int side = 0; side < DF_SIDES; side++) d->oil[side][i] = job->oil[side], d->power[side][i] = 0;
  d->arrived[i] = -1, d->rejected[i] = 0;
  job->node_size = job->full_nodes ? NODE_SIZE : NODE_U + U_LEGS;
  job->status = DF_OK, job->node_n = job->sample_done = job->feature_at = job->break_at = 0;
  job->failed_at = NAN;
  job->bottoming_speed = job->topping_speed = 0;
  for (int p = 0; p < DF_PEAKS; p++) job->peak[p] = (struct df_extreme){ -INFINITY, INFINITY, NAN, NAN };
  memset(job->energy, 0, sizeof job->energy);
  job->effort = (struct df_effort){ 0, 0, 0, 0, INFINITY, 0 };
}

static void store_node(struct drive *d, int i, const int block, const struct front_eval *e, const lane *f)
{
  struct ride_job *job = d->job[i];
  if (job->node_n == NODES_KEPT) flush(job);
  double *node = job->nodes + job->node_n++*job->node_size;
  node[NODE_T] = d->t[i], node[NODE_ACCELERATION] = e->acceleration[i], node[NODE_ALONG] = e->along[i];
  for (int side = 0; side < DF_SIDES; side++) node[NODE_OIL + side] = d->oil[side][i];
  for (int j = 0; j < U_LEGS; j++) node[NODE_U + j] = d->u[j][i];
  if (!job->full_nodes) return;
  int n = U_LEGS + job->kind.legs*(block + 1), own = job->method->dense[0][0] != 0;
  if (block != BLOCK_FULL) {
    for (int j = U_LEGS; j < JOB_STATES; j++) node[NODE_U + j] = node[NODE_F + j] = node[NODE_C3 + j] = 0;
    node[NODE_U + U_LEGS + B_THETA] = 1;
  }
  for (int j = U_LEGS; j < n; j++) {
    int to = full_place(block, j);
    node[NODE_U + to] = d->u[j][i];
    if (own) node[NODE_F + to] = d->c2[j][i], node[NODE_C3 + to] = d->c3[j][i];
    else node[NODE_F + to] = f[j][i];
  }
}

static enum df_status state_status(const struct drive *d, int i, const struct front_eval *e)
{
  const struct ride_job *job = d->job[i];
  double x = d->u[U_X][i];
  if (!isfinite(x) || !isfinite(d->u[U_Z][i]) || !isfinite(e->acceleration[i]) || !isfinite(e->along[i])) return DF_NOT_FINITE;
  if (job->stop && *job->stop) return DF_INTERRUPTED;
  for (int side = 0; side < job->kind.legs; side++) {
    if (job->kind.leg[side].linear) continue;
    if (x < -5e-3 || x > job->leg[side]->c.travel + 10e-3) return DF_TRAVEL_RANGE;
    if (e->leg[side].gas[i] <= 1.0000001e-3*job->leg[side]->c.gas_start) return DF_HYDRAULIC_LOCK;
  }
  if (!job->kind.bilateral && e->deflection[i] > job->front.tyre_limit) return DF_TYRE_ON_RIM;
  return DF_OK;
}

static double least(double a, double b) { return a < b ? a : b; }                  // without a call
static double most(double a, double b) { return a > b ? a : b; }
// The next step of one lane: as wanted, but not past the next break of the manoeuvre, kink of the road, or the end.
static double limited_step(struct ride_job *job, double t, double wanted, double place, double speed)
{
  double h = least(wanted, job->end - t);
  while (job->break_at < job->break_n && job->breaks[job->break_at] <= t + 1e-9) job->break_at++;
  if (job->break_at < job->break_n) h = least(h, job->breaks[job->break_at] - t);
  if (!(speed > 0)) return h;
  while (job->feature_at < job->feature_n && job->feature[job->feature_at] <= place + 2e-4) job->feature_at++;   // m: inside the table's own step
  if (job->feature_at < job->feature_n) h = least(h, (job->feature[job->feature_at] - place)/speed);
  if (place < job->rough_to && place + h*speed > job->rough_from) h = least(h, most(job->rough_from - place, job->grain)/speed);
  return h;
}

static void heat(struct drive *d, const struct front_kind *kind, const struct front_eval *e)
{
  for (int side = 0; side < kind->legs; side++) {
    if (kind->leg[side].linear) continue;
    const struct lane_leg *g = &d->w.leg[side];
    const struct leg_eval *leg = &e->leg[side];
    lane p_r = kind->leg[side].valved ? leg->r.p : leg->c.p, v = d->u[U_V];
    lane power = leg->lr.q*(leg->l.p - p_r) + leg->ar.q*(leg->a.p - p_r) + (leg->la.q + leg->leak.q)*(leg->l.p - leg->a.p)
               + leg->ac.q*(leg->a.p - leg->c.p) + (leg->cone.f + e->friction[side])*v;
    if (kind->leg[side].valved) power += leg->rc.q*(p_r - leg->c.p);
    lane mean = 0.5*(power + d->power[side]), t = d->oil[side];
    lane warmed = t + d->last_h*(mean - g->heat_loss*(t - g->ambient))/g->heat_capacity;
    d->oil[side] = choose(d->arrived, warmed, t);
    d->power[side] = choose(d->arrived, power, d->power[side]);
  }
  wagon_oil(&d->w, kind, d->oil);
}

// Ends a lane's ride and takes the next job; 0 when none is left.
static int refill(struct drive *d, int i, enum df_status status, struct ride_job *const *jobs, int n, int *next, const int block)
{
  struct ride_job *job = d->job[i];
  job->status = status;
  if (status != DF_OK) job->failed_at = d->t[i];
  int states = U_LEGS + job->kind.legs*(block + 1);
  for (int j = 0; j < states; j++) job->u[full_place(block, j)] = d->u[j][i];
  for (int side = 0; side < DF_SIDES; side++) job->oil[side] = d->oil[side][i];
  flush(job);
  if (*next == n) {
    d->job[i] = NULL;
    return 0;
  }
  drive_put(d, jobs[(*next)++], i, block);
  return 1;
}

// Arrivals, ends and failures of all lanes; returns whether any lane took a new job, and counts those still at work.
static int attend(struct drive *d, const struct front_eval *e, const lane *f, struct ride_job *const *jobs, int n, int *next, int *busy, const int block)
{
  int taken = 0;
  for (int i = 0; i < DF_LANES; i++) {
    struct ride_job *job = d->job[i];
    if (!job) continue;
    enum df_status status = DF_OK;
    if (d->arrived[i]) {
      status = state_status(d, i, e);
      if (status != DF_NOT_FINITE) store_node(d, i, block, e, f);
      d->arrived[i] = 0;                               // once: other lanes may call for a second look at the same state
    }
    if (status == DF_OK && job->effort.steps + job->effort.rejected > job->most_steps) status = DF_TOO_MANY_STEPS;
    if (status == DF_OK && d->wanted[i] < job->least_step) status = DF_STEP_TOO_SMALL;
    if (status == DF_OK && d->t[i] < job->end - 1e-12) continue;
    if (refill(d, i, status, jobs, n, next, block)) taken = 1;
    else (*busy)--;
  }
  return taken;
}

LANE lane error_of(const struct drive *d, const lane *error, const lane *to, int n)
{
  lane sum = zero();
  for (int j = 0; j < n; j++) {
    lane size = larger(magnitude(d->u[j]), magnitude(to[j]));
    lane allowed = j < U_LEGS ? d->scale[j] + size : d->scale[j], share = error[j]/allowed;
    sum += share*share;
  }
  return lane_sqrt(sum*(64.0/n))/d->tolerance;
}

// The right-hand side of a stage: a function of its own, so that the stages around it can be unrolled with their coefficients folded in.
typedef void (*stage_rates)(const struct front_const *k, const struct front_kind *kind, const lane *t, const lane *y, lane *f);

LANE void run_kind(struct drive *d, struct ride_job *const *jobs, int n, const struct front_kind *kind, const int block,
                   const struct df_method *const method, const stage_rates rates)
{
  const int states = U_LEGS + kind->legs*(block + 1);
  const int dense_wanted = jobs[0]->full_nodes && method->dense[0][0] != 0;
  int next = 0, busy = 0;
  for (int j = 0; j < states; j++)
    d->scale[j] = all(j < U_LEGS ? motion_scale[j] : block_scale[(j - U_LEGS)%(block + 1) == block ? BLOCK_FULL : (j - U_LEGS)%(block + 1)]);
  for (int i = 0; i < DF_LANES; i++) {
    drive_put(d, jobs[next < n ? next : 0], i, block);                 // lanes without work ride along on the first job's numbers
    if (next < n) next++, busy++;
    else d->job[i] = NULL;
  }
  wagon_link(&d->w);
  wagon_oil(&d->w, kind, d->oil);
  const struct front_const *k = &d->w.k;
  struct front_eval e;
  lane f0[JOB_STATES], f[JOB_STATES], y[JOB_STATES], r[STAGES_MAX][JOB_STATES];
  struct front_factor factor;
  for (int moved = 1; busy > 0;) {                     // a step refused in every lane is tried again from the same rates
    if (moved) front_rates(k, kind, d->t, d->u, block, 1, &e, f0);
    if (moved && kind->heating) heat(d, kind, &e);
    moved = attend(d, &e, f0, jobs, n, &next, &busy, block);
    if (moved) {
      wagon_oil(&d->w, kind, d->oil);
      continue;
    }
    for (int i = 0; i < DF_LANES; i++) {
      if (!d->job[i]) { d->h[i] = 1e-6; continue; }
      double back = kind->slope_force ? d->u[U_V][i]*d->w.front.sin_rake[i] : 0;
      d->h[i] = limited_step(d->job[i], d->t[i], d->wanted[i], e.place[i], e.speed[i] - back);
    }
    lane h = d->h, per_h = 1.0/h;
    lane acceleration_t = k->g->i11*e.r1_by.t + k->g->i12*e.r2_by.t, along_t = k->g->i12*e.r1_by.t + k->g->i22*e.r2_by.t;
    front_factor(k, kind, &e, per_h*(1.0/method->gamma), block, &factor);
    const lane *rate = f0;
#pragma GCC unroll 6
    for (int s = 0; s < STAGES_MAX; s++) {
      if (s >= method->stages) break;
      if (s > 0 && method->fresh[s]) {
        for (int j = 0; j < states; j++) {
          lane to = d->u[j];
#pragma GCC unroll 6
          for (int q = 0; q < s; q++) if (method->a[s][q] != 0) to += method->a[s][q]*r[q][j];
          y[j] = to;
        }
        lane t = d->t + method->alpha[s]*h;
        rates(k, kind, &t, y, f);
        rate = f;
      }
      for (int j = 0; j < states; j++) {
        lane sum = zero();
#pragma GCC unroll 6
        for (int q = 0; q < s; q++) if (method->c[s][q] != 0) sum += method->c[s][q]*r[q][j];
        r[s][j] = rate[j] + sum*per_h;
      }
      r[s][U_S] += method->d[s]*h*acceleration_t, r[s][U_V] += method->d[s]*h*along_t;
      front_solve(k, kind, &factor, block, r[s]);
    }
    for (int j = 0; j < states; j++) {
      lane to = d->u[j], off = zero();
#pragma GCC unroll 6
      for (int q = 0; q < STAGES_MAX; q++) {
        if (method->m[q] != 0) to += method->m[q]*r[q][j];
        if (method->e[q] != 0) off += method->e[q]*r[q][j];
      }
      y[j] = to, f[j] = off;
    }
    if (dense_wanted)
      for (int j = U_LEGS; j < states; j++) {
        lane c2 = zero(), c3 = zero();
        for (int q = 0; q < method->stages; q++) c2 += method->dense[0][q]*r[q][j], c3 += method->dense[1][q]*r[q][j];
        d->c2[j] = c2, d->c3[j] = c3;
      }
    lane error = error_of(d, f, y, states);
    error = choose(error <= 1e6, larger(error, all(1e-12)), all(1e6)); // a step whose error is no number is refused as a very bad one
    mask good = error <= 1.0;
    lane root = method->order == 4 ? lane_sqrt(lane_sqrt(error)) : lane_exp(lane_log(error)*(1.0/3));
    lane factor_ = clipped(0.9/root, all(0.2), choose(d->rejected, all(1), all(5)));
    lane ahead = h*factor_;
    d->wanted = choose(good, larger(ahead, where(h < d->wanted, d->wanted)), ahead);   // a step cut short says little of the next
    mask again = d->rejected;                          // rates and Jacobian of these were there already
    d->arrived = good, d->rejected = ~good;
    d->t = choose(good, d->t + h, d->t);
    d->last_h = h;
    for (int j = 0; j < states; j++) d->u[j] = choose(good, y[j], d->u[j]);
    for (int i = 0; i < DF_LANES; i++) {
      struct ride_job *job = d->job[i];
      if (!job) { d->t[i] = 0, d->arrived[i] = 0; continue; }
      struct df_effort *effort = &job->effort;
      effort->jacobians += !again[i], effort->right_hand_sides += method->stages - !!again[i];
      if (good[i]) {
        effort->steps++;
        if (h[i] < effort->step_least) effort->step_least = h[i];
        if (h[i] > effort->step_most) effort->step_most = h[i];
      } else {
        effort->rejected++;
      }
    }
    moved = any(d->arrived);
  }
}

// One leg, or both alike, with chambers alone as states: code of its own with as few unknowns as there are. Everything else runs through
// the full one. What the legs' oil passes is asked as it goes.
static int is_common(const struct front_kind *kind)
{
  const struct leg_kind *leg = &kind->leg[0];
  return kind->legs == 1 && !kind->heating && !leg->linear && !leg->inertia && !leg->thermal;
}

static struct front_kind common_kind(const struct front_kind *kind, int valved)
{
  struct front_kind k = *kind;
  k.legs = 1, k.heating = 0;
  k.leg[0].valved = valved, k.leg[0].linear = k.leg[0].inertia = k.leg[0].thermal = 0;
  return k;
}

LANE void stage_kind(const struct front_const *k, const struct front_kind *kind, const lane *t, const lane *y, lane *f, const int block)
{
  struct front_eval e;
  front_rates(k, kind, *t, y, block, 0, &e, f);
}
static __attribute__((noinline)) void stage_plain(const struct front_const *k, const struct front_kind *kind, const lane *t, const lane *y, lane *f)
{
  struct front_kind plain = common_kind(kind, 0);
  stage_kind(k, &plain, t, y, f, BLOCK_PLAIN);
}
static __attribute__((noinline)) void stage_valved(const struct front_const *k, const struct front_kind *kind, const lane *t, const lane *y, lane *f)
{
  struct front_kind valved = common_kind(kind, 1);
  stage_kind(k, &valved, t, y, f, BLOCK_VALVED);
}
static __attribute__((noinline)) void stage_full(const struct front_const *k, const struct front_kind *kind, const lane *t, const lane *y, lane *f)
{
  stage_kind(k, kind, t, y, f, BLOCK_FULL);
}

#define RUN(name, kind_, block, method_, rates_) \
  static __attribute__((noinline)) void name(struct drive *d, struct ride_job *const *jobs, int n) \
  { \
    struct front_kind kind = kind_; \
    run_kind(d, jobs, n, &kind, block, method_, rates_); \
  }
RUN(run_plain_4, common_kind(&jobs[0]->kind, 0), BLOCK_PLAIN, &df_rodas4_row, stage_plain)
RUN(run_plain_3, common_kind(&jobs[0]->kind, 0), BLOCK_PLAIN, &df_rodas3_row, stage_plain)
RUN(run_valved_4, common_kind(&jobs[0]->kind, 1), BLOCK_VALVED, &df_rodas4_row, stage_valved)
RUN(run_valved_3, common_kind(&jobs[0]->kind, 1), BLOCK_VALVED, &df_rodas3_row, stage_valved)
RUN(run_full, jobs[0]->kind, BLOCK_FULL, jobs[0]->method, stage_full)

static void run(struct ride_job *const *jobs, int n)
{
  struct drive d;
  memset(&d, 0, sizeof d);
  int low = jobs[0]->method->order == 3, valved = jobs[0]->kind.leg[0].valved;
  if (!is_common(&jobs[0]->kind)) run_full(&d, jobs, n);
  else if (valved) low ? run_valved_3(&d, jobs, n) : run_valved_4(&d, jobs, n);
  else low ? run_plain_3(&d, jobs, n) : run_plain_4(&d, jobs, n);
}

// ---- one state at a time, for GSL's methods and for tests ----
LANE void dense(const struct front_const *k, const struct front_kind *kind, const struct front_eval *e, const int block, double *jacobian,
                double *by_time)
{
  const int N = U_LEGS + kind->legs*(block + 1);
  memset(jacobian, 0, (size_t)(N*N)*sizeof *jacobian);
  memset(by_time, 0, (size_t)N*sizeof *by_time);
  jacobian[U_Z*N + U_S] = 1, jacobian[U_X*N + U_V] = 1;
  double i11 = k->g->i11[0], i12 = k->g->i12[0], i22 = k->g->i22[0], m = k->per_model[0];
  const struct by_motion *p = &e->r1_by, *q = &e->r2_by;
  const double a[4] = { p->z[0], p->s[0], p->x[0], p->v[0] }, b[4] = { q->z[0], q->s[0], q->x[0], q->v[0] };
  for (int j = 0; j < 4; j++) jacobian[U_S*N + j] = i11*a[j] + i12*b[j], jacobian[U_V*N + j] = i12*a[j] + i22*b[j];
  by_time[U_S] = i11*p->t[0] + i12*q->t[0], by_time[U_V] = i12*p->t[0] + i22*q->t[0];
  for (int side = 0; side < kind->legs; side++) {
    if (kind->leg[side].linear) continue;
    const struct leg_matrix *leg = &e->m[side];
    int base = U_LEGS + side*(block + 1);
    for (int j = 0; j < block; j++) {
      for (int n = 0; n < block; n++) jacobian[(base + j)*N + base + n] = leg->a[j][n][0];
      jacobian[(base + j)*N + U_X] = leg->x[j][0], jacobian[(base + j)*N + U_V] = leg->v[j][0];
      jacobian[U_S*N + base + j] = -i12*m*leg->f[j][0], jacobian[U_V*N + base + j] = -i22*m*leg->f[j][0];
    }
    jacobian[(base + block)*N + base + block] = leg->xi_xi[0], jacobian[(base + block)*N + U_V] = leg->xi_v[0];
    jacobian[U_S*N + base + block] = -i12*m*leg->f_xi[0], jacobian[U_V*N + base + block] = -i22*m*leg->f_xi[0];
  }
}

// ---- the right-hand side on its own, packed as the kernel packs it ----
struct df_rater { struct wagon w; struct front_kind kind; int block, states; };
static size_t rater_size(void) { return sizeof(struct df_rater); }

static int rater_init(struct df_rater *r, const struct ride_job *job, double *y)
{
  wagon_fill(&r->w, job, job->kind.legs);
  wagon_link(&r->w);
  lane oil[DF_SIDES] = { all(job->oil[0]), all(job->oil[1]) };
  wagon_oil(&r->w, &job->kind, oil);
  r->kind = job->kind;
  r->block = !is_common(&job->kind) ? BLOCK_FULL : job->kind.leg[0].valved ? BLOCK_VALVED : BLOCK_PLAIN;
  r->states = U_LEGS + job->kind.legs*(r->block + 1);
  for (int j = 0; j < r->states; j++) y[j] = job->u[full_place(r->block, j)];
  return r->states;
}

LANE void rater_kind(const struct df_rater *r, const struct front_kind *kind, const int block, double t, const double *y, double *dy,
                     double *jacobian, double *by_time)
{
  const int states = U_LEGS + kind->legs*(block + 1);
  lane u[JOB_STATES], f[JOB_STATES];
  struct front_eval e;
  for (int j = 0; j < states; j++) u[j] = all(y[j]);
  if (jacobian) {
    front_rates(&r->w.k, kind, all(t), u, block, 1, &e, f);
    dense(&r->w.k, kind, &e, block, jacobian, by_time);
  } else {
    front_rates(&r->w.k, kind, all(t), u, block, 0, &e, f);
  }
  for (int j = 0; j < states; j++) dy[j] = f[j][0];
}

static void rater_rates(const struct df_rater *r, double t, const double *y, double *dy, double *jacobian, double *by_time)
{
  struct front_kind plain = common_kind(&r->kind, 0), valved = common_kind(&r->kind, 1);
  if (r->block == BLOCK_PLAIN) rater_kind(r, &plain, BLOCK_PLAIN, t, y, dy, jacobian, by_time);
  else if (r->block == BLOCK_VALVED) rater_kind(r, &valved, BLOCK_VALVED, t, y, dy, jacobian, by_time);
  else rater_kind(r, &r->kind, BLOCK_FULL, t, y, dy, jacobian, by_time);
}

static int rater_place(const struct df_rater *r, int j) { return full_place(r->block, j); }

LANE double spin_kind(const struct ride_job *job, long times, const struct front_kind *kind, const int block)
{
  struct wagon w;
  wagon_fill(&w, job, job->kind.legs);
  wagon_link(&w);
  lane oil[DF_SIDES] = { all(job->oil[0]), all(job->oil[1]) }, y[JOB_STATES], f[JOB_STATES];
  wagon_oil(&w, &job->kind, oil);
  int states = U_LEGS + kind->legs*(block + 1);
  for (int j = 0; j < states; j++) y[j] = all(job->u[full_place(block, j)]);
  struct front_eval e;
  for (long i = 0; i < times; i++) {
    front_rates(&w.k, kind, zero(), y, block, 0, &e, f);
    for (int j = 0; j < states; j++) y[j] += 1e-15*f[j];   // each evaluation hangs on the one before, in every state
  }
  return y[U_V][0];
}
static double spin(const struct ride_job *job, long times)
{
  struct front_kind plain = common_kind(&job->kind, 0), valved = common_kind(&job->kind, 1);
  if (!is_common(&job->kind)) return spin_kind(job, times, &job->kind, BLOCK_FULL);
  return job->kind.leg[0].valved ? spin_kind(job, times, &valved, BLOCK_VALVED) : spin_kind(job, times, &plain, BLOCK_PLAIN);
}

static int able(void)
{
#if DF_LANES == 8
  return __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512dq") && __builtin_cpu_supports("avx512vl")
      && __builtin_cpu_supports("avx512bw");
#elif DF_LANES == 4
  return __builtin_cpu_supports("avx2") && __builtin_cpu_supports("fma");
#else
  return 1;
#endif
}

const struct df_kernel DF_KERNEL = { DF_KERNEL_NAME, DF_LANES, able, run, flush, spin, rater_size, rater_init, rater_rates, rater_place };
