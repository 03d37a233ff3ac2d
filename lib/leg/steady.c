// Steady motion of one leg: pressures at which every chamber passes on what it is squeezed by.
#include "leg/model.h"

#include <math.h>
#include <string.h>

// Flow by a law that is looked up, limited by choking: the scalar side of leg.h.
double df_leg_law_flow(const struct leg_aside *aside, enum leg_set which, double x, double mu, double rho, double bore_k1, double bore_k2,
                       double vapour, double p_from, double p_to, double slope[2])
{
  double share[DF_HOLE_GROUPS_MAX], y = aside->travel - x;
  const struct df_hole_set *set = which == LEG_SET_BLEED ? &aside->bleed : which == LEG_SET_REBOUND ? &aside->rebound : &aside->holes;
  int bore = which == LEG_SET_LOWER || which == LEG_SET_ANNULUS;
  for (int i = 0; i < set->n; i++) {
    double per_radius = 2/set->at[i].diameter;
    share[i] = which == LEG_SET_LOWER     ? df_hole_open_share((y - aside->lower_edge[i])*per_radius)
               : which == LEG_SET_ANNULUS ? df_hole_open_share((aside->upper_edge[i] - y)*per_radius)
               : which == LEG_SET_REBOUND ? df_hole_open_share((x - aside->rebound_edge[i])*per_radius) : 1;
    if (share[i] < 1e-6) share[i] = 0;
  }
  double steep, q = df_hole_set_flow(set, share, mu, rho, bore ? bore_k1 : 0, bore ? bore_k2 : 0, p_from - p_to, 6, &steep);
  struct df_restriction edge = df_hole_set_restriction(set, share, p_from >= p_to);
  double up = fmax(p_from, p_to) - vapour, most = edge.choke*sqrt(up/rho);
  slope[0] = steep, slope[1] = -steep;
  if (df_restriction_closed(edge) || !(fabs(q) > most)) return q;
  int forward = q > 0;
  slope[forward ? 0 : 1] = (forward ? 0.5 : -0.5)*most/up, slope[forward ? 1 : 0] = 0;
  return copysign(most, q);
}

double df_valve_lift(const struct valve *valve, double dp, double y)
{
  double low = 0, high = valve->stop[0];
  if (!(y > low && y < high)) y = 0.5*high;
  for (int i = 0; i < 200; i++) {
    struct valve_at at = valve_at_lift(valve, all(y));
    double off = at.seat[0] + valve->ports[0]*at.q[0]*at.q[0] - dp;
    double steep = at.seat_slope[0] + 2*valve->ports[0]*at.q[0]*at.q_slope[0];
    if (off > 0) high = y; else low = y;
    double next = y - off/steep;
    if (fabs(next - y) <= 1e-9*y) return next;           // the error goes with the square of that
    y = next > low && next < high ? next : 0.5*(low + high);
  }
  return y;
}

double df_valve_exact(const struct valve *valve, double dp, double start, double *lift, double *slope)
{
  double crack = valve->crack[0];
  if (slope) *slope = 0;
  *lift = 0;
  if (dp <= crack) return 0;
  if (dp >= valve->stop_drop[0]) {
    double s = *lift = valve->stop[0];
    struct path wide = { all((valve->creep[0]*s + valve->land[0])/(s*s*s)), all(valve->jet_loss[0]/(s*s) + valve->ports[0]) };
    struct flow f = path_flow(wide, all(dp));
    if (slope) *slope = f.from[0];
    return f.q[0];
  }
  double y = df_valve_lift(valve, dp, start);
  struct valve_at at = valve_at_lift(valve, all(y));
  *lift = y;
  if (slope) *slope = at.q_slope[0]/(at.seat_slope[0] + 2*valve->ports[0]*at.q[0]*at.q_slope[0]);
  return at.q[0];
}

struct balance { double r[3], a[3][3]; }; // m3/s of L, A, R; slopes with ln(p - pv)

// One over the specific volume, and its slope in p.
static double squeezed(const struct df_leg_model *leg, double p, double *slope)
{
  double v = df_oil_specific_volume(&leg->state, p);
  *slope = 1/(v*df_oil_modulus(&leg->state, p));
  return 1/v;
}

static void evaluate(const struct leg_single *single, const struct df_leg_model *leg, double x, double v, double column, const double p[3],
                     struct leg_eval *e, struct balance *b)
{
  const struct df_leg_constants *c = &leg->c;
  struct leg_kind kind = leg->kind;
  kind.inertia = 0;
  e->l.p = all(p[0]), e->a.p = all(p[1]), e->r.p = all(p[2]), e->c.p = all(column);
  leg_flows(&single->k, &kind, all(x), zero(), zero(), e);
  if (kind.valved) {
    double lift, slope, q = df_valve_exact(&single->at.valve, p[2] - column, e->lift[0], &lift, &slope);
    e->valve = (struct flow){ all(q), all(slope), all(-slope) };
    e->lift = all(lift);
    e->rc = flow_sum(flow_sum(e->bleed, e->back), e->valve);
  }
  struct flow lr = e->lr, ar = e->ar, ac = e->ac, rc = e->rc, la = flow_sum(e->la, e->leak);
  double steep_l, steep_a, in = c->lower_area*v*squeezed(leg, p[0], &steep_l), out = c->annulus_area*v*squeezed(leg, p[1], &steep_a);
  steep_l *= c->lower_area*v, steep_a *= c->annulus_area*v;
  b->r[0] = lr.q[0] + la.q[0] - in;
  b->r[1] = ar.q[0] + ac.q[0] - la.q[0] + out;
  b->r[2] = kind.valved ? rc.q[0] - lr.q[0] - ar.q[0] : 0;
  double w[3] = { p[0] - c->vapour, p[1] - c->vapour, p[2] - c->vapour };
  b->a[0][0] = (lr.from[0] + la.from[0] - steep_l)*w[0], b->a[0][1] = la.to[0]*w[1], b->a[0][2] = kind.valved ? lr.to[0]*w[2] : 0;
  b->a[1][0] = -la.from[0]*w[0], b->a[1][1] = (ar.from[0] + ac.from[0] - la.to[0] + steep_a)*w[1], b->a[1][2] = kind.valved ? ar.to[0]*w[2] : 0;
  b->a[2][0] = -lr.from[0]*w[0], b->a[2][1] = -ar.from[0]*w[1], b->a[2][2] = (rc.from[0] - lr.to[0] - ar.to[0])*w[2];
  if (!kind.valved) b->a[2][0] = b->a[2][1] = 0, b->a[2][2] = 1;
}

static int solve3(double a[3][3], double r[3])
{
  for (int i = 0; i < 3; i++) {
    if (!(fabs(a[i][i]) > 0)) return 0;
    for (int j = i + 1; j < 3; j++) {
      double share = a[j][i]/a[i][i];
      for (int n = i; n < 3; n++) a[j][n] -= share*a[i][n];
      r[j] -= share*r[i];
    }
  }
  for (int i = 2; i >= 0; i--) {
    for (int j = i + 1; j < 3; j++) r[i] -= a[i][j]*r[j];
    r[i] /= a[i][i];
  }
  return isfinite(r[0]) && isfinite(r[1]) && isfinite(r[2]);
}

struct steady_job { const struct leg_single *single; const struct df_leg_model *leg; double x, v, column, scale; struct leg_eval *e; };

static double size_of(const struct balance *b) { return sqrt(b->r[0]*b->r[0] + b->r[1]*b->r[1] + b->r[2]*b->r[2]); }

// Newton's method on ln(p - pv), halved until the balances come down; steps at most 1. Returns whether they balance.
static int newton(const struct steady_job *job, double p[3])
{
  double vapour = job->leg->c.vapour;
  struct balance b, ahead;
  evaluate(job->single, job->leg, job->x, job->v, job->column, p, job->e, &b);
  for (int i = 0; i < 200; i++) {
    double now = size_of(&b), step[3] = { -b.r[0], -b.r[1], -b.r[2] }, next[3], most = 1;
    if (now == 0 || !solve3(b.a, step)) break;
    for (int j = 0; j < 3; j++) most = fmax(most, fabs(step[j]));
    int fell = 0;
    for (double share = 1/most; share > 1e-8 && !fell; share *= 0.5) {
      for (int j = 0; j < 3; j++) next[j] = vapour + (p[j] - vapour)*exp(share*step[j]);
      evaluate(job->single, job->leg, job->x, job->v, job->column, next, job->e, &ahead);
      fell = size_of(&ahead) < now*(1 - 1e-4*share);
      if (!fell && now <= 1e-9*job->scale) break;        // rounding: no step helps any more
    }
    if (!fell) break;
    memcpy(p, next, sizeof next);
    b = ahead;
  }
  evaluate(job->single, job->leg, job->x, job->v, job->column, p, job->e, &b);
  return size_of(&b) <= 1e-9*job->scale;
}

// Nested bisection on ln(p - pv): each balance rises with its own pressure and falls with the others, so this cannot miss.
static double bisect(const struct steady_job *job, double p[3], int level)
{
  double vapour = job->leg->c.vapour, low = log(1e-9), high = log(1e9);
  struct balance b;
  for (int i = 0; i < 90; i++) {
    double middle = 0.5*(low + high);
    p[level] = vapour + exp(middle);
    double r;
    if (level == 0) {
      evaluate(job->single, job->leg, job->x, job->v, job->column, p, job->e, &b);
      r = b.r[0];
    } else {
      bisect(job, p, level - 1);
      evaluate(job->single, job->leg, job->x, job->v, job->column, p, job->e, &b);
      r = b.r[level];
    }
    if (r > 0) high = middle; else low = middle;
    if (high - low < 1e-15) break;
  }
  return p[level];
}

static int solve(const struct steady_job *job, double p[3])
{
  p[0] = p[1] = p[2] = job->column;
  if (newton(job, p)) return 1;
  p[0] = p[1] = p[2] = job->column;
  bisect(job, p, job->leg->kind.valved ? 2 : 1);
  return newton(job, p);
}

static void report(const struct steady_job *job, const double p[3], struct df_steady *out)
{
  const struct df_leg_model *leg = job->leg;
  const struct df_leg_constants *c = &leg->c;
  const struct leg_eval *e = job->e;
  leg_solids(&job->single->k, all(job->x), all(job->v), job->e);
  out->p_lower = p[0], out->p_annulus = p[1], out->p_rod = leg->kind.valved ? p[2] : job->column, out->p_column = job->column;
  out->damping = (p[0] - job->column)*c->lower_area - (p[1] - job->column)*c->annulus_area;
  out->air = (job->column - DF_ATMOSPHERE)*c->tube_area;
  out->spring = e->coil.f[0] + e->top_out.f[0];
  out->cone = e->cone.f[0], out->stop = e->stop.f[0];
  struct bristle bristle = { all(c->per_presliding), all(c->over_breakaway), all(c->per_stribeck_speed) };
  double level = c->friction_sliding + c->friction_pressure*fmax(job->column - DF_ATMOSPHERE, 0) + 2*c->friction_bush;
  out->friction = level*bristle_level(&bristle, all(job->v))[0]*((job->v > 0) - (job->v < 0)) + c->friction_viscous*job->v;
  out->lift = leg->kind.valved ? e->lift[0] : 0;
  double h[4] = { df_oil_enthalpy(&leg->state, p[0]), df_oil_enthalpy(&leg->state, p[1]), df_oil_enthalpy(&leg->state, out->p_rod),
                  df_oil_enthalpy(&leg->state, job->column) };
  const double flow[DF_PATHS] = { e->lr.q[0], e->ar.q[0], e->la.q[0], e->leak.q[0], e->ac.q[0], leg->kind.valved ? e->valve.q[0] : 0,
                                  leg->kind.valved ? e->bleed.q[0] : 0, leg->kind.valved ? e->back.q[0] : 0 };
  static const int from[DF_PATHS] = { 0, 1, 0, 0, 1, 2, 2, 2 }, to[DF_PATHS] = { 2, 2, 1, 1, 3, 3, 3, 3 };
  for (int i = 0; i < DF_PATHS; i++) out->flow[i] = flow[i], out->power[i] = flow[i]*(h[from[i]] - h[to[i]]);
}

enum df_status df_leg_steady(const struct df_leg_model *leg, double x, double v, struct df_steady *out)
{
  memset(out, 0, sizeof *out);
  out->x = x, out->v = v;
  const struct df_leg_constants *c = &leg->c;
  if (leg->kind.linear) {
    out->damping = c->linear_damping*v, out->spring = c->linear_rate*x + c->linear_preload;
    return DF_OK;
  }
  struct df_rest rest;
  enum df_status status = df_leg_rest(leg, x, leg->kind.thermal ? 1 : c->exponent, &rest);
  if (status != DF_OK) return status;
  struct leg_single single;
  df_leg_single_init(&single, leg);
  struct leg_eval e = {0};
  struct steady_job job = { &single, leg, x, v, rest.pressure, fmax(fabs(c->lower_area*v), 1e-6), &e };
  double p[3];
  if (!solve(&job, p)) return DF_NO_SOLUTION;
  report(&job, p, out);
  return DF_OK;
}
