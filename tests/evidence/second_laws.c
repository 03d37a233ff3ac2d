#include "second_laws.h"

#include <math.h>
#include <stddef.h>

enum { ATMOSPHERE = 101325 }; // Pa, by definition

double second_smooth(double u)
{
  u = fmin(fmax(u, 0), 1);
  return u*u*(3 - 2*u);
}

double second_circle(double diameter) { return M_PI*diameter*diameter/4; }

// Widen [guess - step, guess + step] until the function changes sign in it.
static int surround(second_function *f, void *context, double *a, double *b, double *fa, double *fb,
                    double low, double high)
{
  *fa = f(context, *a), *fb = f(context, *b);
  while (*fa > 0 && *a > low) {
    double width = *b - *a;
    *b = *a, *fb = *fa, *a = fmax(low, *a - 3*width), *fa = f(context, *a);
  }
  while (*fb < 0 && *b < high) {
    double width = *b - *a;
    *a = *b, *fa = *fb, *b = fmin(high, *b + 3*width), *fb = f(context, *b);
  }
  return *fa <= 0 && *fb >= 0;
}

// Bisection, hastened by false position with the correction of Anderson and Bjorck (1973): the
// bracket is never left, and every third step halves it.
double second_root(second_function *f, void *context, double guess, double step, double low,
                   double high)
{
  double a = fmin(fmax(guess - step, low), high), b = fmax(fmin(guess + step, high), low), fa, fb;
  if (!surround(f, context, &a, &b, &fa, &fb, low, high)) return NAN;
  double wa = fa, wb = fb; // values as weighed by the method
  for (int i = 0; i < 300 && fa < 0 && fb > 0 && b - a > 4e-16*fmax(fabs(a), fabs(b)); i++) {
    double c = i%3 == 2 ? a + (b - a)/2 : a + (b - a)*(wa/(wa - wb));
    if (!(c > a && c < b)) c = a + (b - a)/2;
    if (!(c > a && c < b)) break;
    double fc = f(context, c);
    double kept = 1 - fc/(fc < 0 ? fa : fb);
    if (fc < 0) a = c, fa = wa = fc, wb *= kept > 0 ? kept : 0.5;
    else b = c, fb = wb = fc, wa *= kept > 0 ? kept : 0.5;
  }
  return -fa < fb ? a : b;
}

// ASTM D341: log10 log10(nu + 0.7), nu in mm2/s, is linear in log10 T.
double second_viscosity(const struct df_oil *oil, double kelvin)
{
  double w40 = log10(log10(oil->viscosity_40*1e6 + 0.7)),
      w100 = log10(log10(oil->viscosity_100*1e6 + 0.7));
  double w = w40 + (w100 - w40)*log(kelvin/313.15)/log(373.15/313.15);
  return (pow(10, pow(10, w)) - 0.7)*1e-6;
}

// ASTM D1250, table 54D.
double second_density(const struct df_oil *oil, double kelvin)
{
  double a = 0.6278/oil->density_15, dt = kelvin - 288.15;
  return oil->density_15*exp(-a*dt*(1 + 0.8*a*dt));
}

double second_oil_share(const struct second_oil *oil, double p)
{
  return (1 - oil->air)*(1 - (p - ATMOSPHERE)/oil->stiffness) +
      oil->air*(ATMOSPHERE - oil->vapour)/(p - oil->vapour);
}

double second_oil_share_slope(const struct second_oil *oil, double p)
{
  double over = p - oil->vapour;
  return -(1 - oil->air)/oil->stiffness - oil->air*(ATMOSPHERE - oil->vapour)/(over*over);
}

double second_oil_h(const struct second_oil *oil, double p)
{
  double rise = p - ATMOSPHERE, start = ATMOSPHERE - oil->vapour;
  return ATMOSPHERE + (1 - oil->air)*rise*(1 - rise/(2*oil->stiffness)) +
      oil->air*start*log((p - oil->vapour)/start);
}

struct second_path second_area_path(const struct second_oil *oil, double area, double discharge,
                                    double hydraulic, double length)
{
  if (!(area > 0)) return (struct second_path){0};
  double through = discharge*area;
  return (struct second_path){1, oil->mu*(6*M_PI + 32*length/hydraulic)/(area*hydraulic),
                              oil->rho/2/(through*through)};
}

struct second_path second_gap_path(const struct second_oil *oil, const struct df_gap *gap,
                                   double diameter)
{
  if (!(gap->gap > 0)) return (struct second_path){0};
  double h = gap->gap, area = M_PI*diameter*h, e = gap->eccentricity, widened = 1 + 1.5*e*e;
  return (struct second_path){1, 12*oil->mu*gap->length/(area*h*h*widened),
                              0.75*oil->rho/(area*area)};
}

// Positive root of k2 Q2 + k1 Q = |dp|, in the form without cancellation.
double second_path_flow(const struct second_path *path, double dp)
{
  if (!path->open || dp == 0) return 0;
  double root = sqrt(path->k1*path->k1 + 4*path->k2*fabs(dp));
  return 2*dp/(path->k1 + root);
}

struct pair { double x, y; };

static double between(const struct pair *table, int n, double x)
{
  if (x <= table[0].x) return table[0].y;
  int i = 1;
  while (i < n && table[i].x < x) i++;
  if (i == n) return table[n - 1].y;
  double u = (x - table[i - 1].x)/(table[i].x - table[i - 1].x);
  return table[i - 1].y + u*(table[i].y - table[i - 1].y);
}

// Loss of a hole in a thick wall, Idelchik, Handbook of Hydraulic Resistance, Re > 1e4: by length,
// by rounding, by chamfer over diameter.
static double zeta(const struct second_hole *hole, int edge)
{
  static const struct pair by_length[] = {{0, 2.85}, {0.2, 2.72}, {0.4, 2.60}, {0.6, 2.34},
                                          {0.8, 1.95}, {1.0, 1.76}, {1.2, 1.67},
                                          {1.4, 1.62}, {1.6, 1.60}, {1.8, 1.58}, {2.0, 1.55},
                                          {4.0, 1.55}};
  static const struct pair by_radius[] = {{0, 2.85}, {0.01, 2.72}, {0.02, 2.56}, {0.03, 2.40},
                                          {0.04, 2.27}, {0.06, 2.06},
                                          {0.08, 1.88}, {0.12, 1.60}, {0.16, 1.38}, {0.20, 1.37}};
  static const struct pair by_chamfer[] = {{0, 2.85}, {0.01, 2.80}, {0.02, 2.70}, {0.04, 2.50},
                                           {0.06, 2.33}, {0.10, 2.08},
                                           {0.16, 1.84}, {0.20, 1.80}};
  double d = hole->diameter;
  double z = fmin(between(by_length, 12, hole->length/d),
                  between(by_radius, 10, hole->radius[edge]/d));
  return fmin(z, between(by_chamfer, 8, hole->chamfer[edge]/d));
}

// Two-term law: Dagan, Weinbaum, Pfeffer 1982 where creeping, Idelchik's loss where fast.
struct second_path second_hole_path(const struct second_oil *oil, const struct second_hole *hole,
                                    int edge)
{
  double r = hole->diameter/2, area = hole->count*second_circle(hole->diameter);
  if (!(area > 0)) return (struct second_path){0};
  return (struct second_path){1, oil->mu*(3 + 8*hole->length/(M_PI*r))/(hole->count*r*r*r),
                              oil->rho*zeta(hole, edge)/(2*area*area)};
}

// Idelchik, diagram 4-17: shares of velocity profile and of the sharp edge in the loss, over the
// Reynolds number.
static const double thick_re[] = {25, 40, 60, 100, 200, 400, 1e3, 2e3, 4e3, 1e4, 2e4, 1e5, 2e5,
                                  1e6};
static const double thick_f[] = {1.94, 1.38, 1.14, .89, .69, .54, .39, .30, .22, .15, .11, .04, .01,
                                 0};
static const double thick_e[] = {1.00, 1.05, 1.09, 1.15, 1.23, 1.37, 1.56, 1.71, 1.88, 2.17, 2.38,
                                 2.56, 2.72, 2.85};
enum { THICK = 14 };

struct thick { double edge /* Z/2.85 */, slender /* l/d */, wanted /* zeta Re2 */; int row; };

static double thick_zeta(const struct thick *t, double re)
{
  int i = t->row;
  double u = i == THICK - 1 ? 0 : log(re/thick_re[i])/log(thick_re[i + 1]/thick_re[i]);
  int j = i == THICK - 1 ? i : i + 1;
  double f = thick_f[i] + u*(thick_f[j] - thick_f[i]), e = thick_e[i] + u*(thick_e[j] - thick_e[i]);
  return f + e*t->edge + 64*t->slender/re;
}

static double thick_excess(void *context, double log_re)
{
  struct thick *t = context;
  double re = exp(log_re);
  return thick_zeta(t, re)*re*re/t->wanted - 1;
}

// Reynolds number at which the handbook's law gives zeta Re2 = wanted.
static double thick_reynolds(struct thick *t)
{
  t->row = 0;
  double at_25 = thick_zeta(t, 25), stokes = 12*M_PI + 64*t->slender, square = at_25 - stokes/25;
  if (at_25*625 >= t->wanted)
    return 2*t->wanted/(stokes + sqrt(stokes*stokes + 4*square*t->wanted));
  for (t->row = 0; t->row < THICK - 1; t->row++) {
    double re = thick_re[t->row + 1];
    if (thick_zeta(t, re)*re*re < t->wanted) continue;
    double low = log(thick_re[t->row]), high = log(re);
    return exp(second_root(thick_excess, t, (low + high)/2, (high - low)/2, low, high));
  }
  double slope = 64*t->slender, end = thick_f[THICK - 1] + thick_e[THICK - 1]*t->edge;
  return (sqrt(slope*slope + 4*end*t->wanted) - slope)/(2*end);
}

static double handbook_flow(const struct second_oil *oil, const struct second_hole *hole, int edge,
                            double dp)
{
  double d = hole->diameter, nu = oil->mu/oil->rho, area = hole->count*second_circle(d);
  struct thick t = {zeta(hole, edge)/2.85, hole->length/d, 2*dp*d*d/(oil->rho*nu*nu), 0};
  return thick_reynolds(&t)*area*nu/d;
}

// Lichtarowicz, Duggins, Markland 1965, in the Reynolds number of the jet without loss; never above
// creeping flow.
static double lichtarowicz_flow(const struct second_oil *oil, const struct second_hole *hole,
                                double dp)
{
  double d = hole->diameter, nu = oil->mu/oil->rho, jet = sqrt(2*dp/oil->rho), rh = d*jet/nu;
  double slender = fmin(fmax(hole->length/d, 1.5), 10),
      most = slender < 2 ? 0.810 : 0.827 - 0.0085*slender;
  double decade = log10(0.00015*fmin(fmax(rh, 10), 2e4));
  double inverse = 1/most + 20/rh*(1 + 2.25*slender) - 0.005*slender/(1 + 7.5*decade*decade);
  double fast = hole->count*second_circle(d)*jet/inverse;
  return fmin(fast, dp/second_hole_path(oil, hole, 0).k1);
}

double second_open_share(double u)
{
  u = fmin(fmax(u, -1), 1);
  return 0.5 + (u*sqrt(1 - u*u) + asin(u))/M_PI;
}

enum { CLOSED = 1000000 }; // a share below 1/CLOSED counts as closed

static int closed(double share) { return share*CLOSED < 1; }

// Greatest flow of the groups: contracted area times the speed at which the jet's pressure is the
// vapour's.
static double choked_flow(const struct second_oil *oil, const struct second_bank *bank,
                          const double *share, int edge, double p_up)
{
  double area = 0;
  for (int i = 0; i < bank->n; i++) {
    const struct second_hole *hole = &bank->at[i];
    if (closed(share[i])) continue;
    double narrow = 1/(oil->contraction*oil->contraction) - 11.4*hole->radius[edge]/hole->diameter;
    double contraction = narrow > 1 ? 1/sqrt(narrow) : 1;
    area += share[i]*contraction*hole->count*second_circle(hole->diameter);
  }
  return area*sqrt(2*fmax(p_up - oil->vapour, 0)/oil->rho);
}

static double two_term_bank(const struct second_oil *oil, const struct second_bank *bank,
                            const double *share, int edge, double dp)
{
  double by_k1 = 0, by_k2 = 0;
  for (int i = 0; i < bank->n; i++) {
    struct second_path hole = second_hole_path(oil, &bank->at[i], edge);
    if (!hole.open || closed(share[i])) continue;
    by_k1 += share[i]/hole.k1, by_k2 += share[i]/sqrt(hole.k2);
  }
  if (by_k1 == 0) return 0;
  struct second_path all = {1, 1/by_k1 + bank->bore1, 1/(by_k2*by_k2) + bank->bore2};
  return second_path_flow(&all, dp);
}

struct series {
  const struct second_oil *oil;
  const struct second_bank *bank;
  const double *share;
  int edge;
  double dp, flow;            // Pa, m3/s
};

// What is missing when the holes take dp_holes, relative to all of dp. Rises with dp_holes.
static double series_excess(void *context, double dp_holes)
{
  struct series *s = context;
  s->flow = 0;
  for (int i = 0; i < s->bank->n; i++) {
    const struct second_hole *hole = &s->bank->at[i];
    if (closed(s->share[i]) || !(hole->count > 0) || dp_holes <= 0) continue;
    double one = s->oil->law == DF_LAW_HANDBOOK ? handbook_flow(s->oil, hole, s->edge, dp_holes)
                                                : lichtarowicz_flow(s->oil, hole, dp_holes);
    s->flow += s->share[i]*one;
  }
  return (dp_holes + (s->bank->bore1 + s->bank->bore2*s->flow)*s->flow)/s->dp - 1;
}

static double series_bank(const struct second_oil *oil, const struct second_bank *bank,
                          const double *share, int edge, double dp)
{
  struct series s = {oil, bank, share, edge, dp, 0};
  double holes = bank->bore2 > 0 ? second_root(series_excess, &s, dp/2, dp/2, 0, dp) : dp;
  series_excess(&s, holes);
  return s.flow;
}

double second_bank_flow(const struct second_oil *oil, const struct second_bank *bank,
                        const double *share, double p1, double p2)
{
  double dp = fabs(p1 - p2);
  int edge = p1 < p2;
  if (bank->n == 0 || dp == 0) return 0;
  double flow = oil->law == DF_LAW_TWO_TERM ? two_term_bank(oil, bank, share, edge, dp)
      : series_bank(oil, bank, share, edge, dp);
  if (oil->choking) flow = fmin(flow, choked_flow(oil, bank, share, edge, fmax(p1, p2)));
  return edge ? -flow : flow;
}

// Force of spring and shims at a lift.
static double valve_force(const struct second_valve *valve, double y)
{
  double q = y + valve->dish, wide = q/valve->face, shims = 0;
  if (valve->shim_rate > 0) shims = valve->shim_rate*q*(1 + valve->widening*wide*wide);
  return valve->rate*(valve->preload + y) + shims;
}

double second_valve_crack(const struct second_valve *valve)
{
  return valve_force(valve, 0)/valve->area;
}

static double curtain_flow(const struct second_valve *valve, double y, double dp_seat)
{
  if (y <= 0) return 0;
  // times y3, y6
  double y2 = y*y, k1 = valve->curtain1*y + valve->curtain1_land, k2 = valve->curtain2*y2*y2;
  return 2*dp_seat*y*y2/(k1 + sqrt(k1*k1 + 4*k2*dp_seat));
}

struct lifting { const struct second_valve *valve; double dp, flow; };

// Pressure that the plate at lift y stands at, ports and seat together, over the given one. Rises
// with y.
static double lift_excess(void *context, double y)
{
  struct lifting *l = context;
  const struct second_valve *valve = l->valve;
  double seat = valve_force(valve, y)/(valve->area - valve->jet*M_PI*valve->seat*y);
  l->flow = curtain_flow(valve, y, seat);
  return (seat + valve->k2_port*l->flow*l->flow)/l->dp - 1;
}

static void plate_flow(const struct second_valve *valve, double dp, struct second_valve_flow *out)
{
  struct lifting l = {valve, dp, 0};
  if (lift_excess(&l, 0) >= 0) return;
  if (lift_excess(&l, valve->stop) <= 0) {
    double y = valve->stop;
    struct second_path wide = {1, valve->curtain1/(y*y) + valve->curtain1_land/(y*y*y),
                               valve->curtain2/(y*y) + valve->k2_port};
    out->lift = y, out->plate = second_path_flow(&wide, dp);
    return;
  }
  out->lift = second_root(lift_excess, &l, valve->stop/2, valve->stop/2, 0, valve->stop);
  lift_excess(&l, out->lift);
  out->plate = l.flow;
}

struct pushing { double k1, k2, k2_port, swept, dp; };

// Pressure that a curtain flow takes together with the ports, less the one that is there.
static double push_excess(void *context, double flow)
{
  const struct pushing *p = context;
  double ports = flow + p->swept;
  return p->k2_port*ports*fabs(ports) + (p->k1 + p->k2*fabs(flow))*flow - p->dp;
}

void second_plate_push(const struct second_valve *valve, double dp, struct second_plate *plate)
{
  double y = fmax(plate->lift, 1e-7), over = plate->lift - valve->stop, touch = 0;
  struct pushing p = {valve->curtain1/(y*y) + valve->curtain1_land/(y*y*y), valve->curtain2/(y*y),
                      valve->k2_port,
                      valve->area*plate->speed, dp};
  double curtain = second_root(push_excess, &p, 0, 1e-5, -10, 10),
      seat = (p.k1 + p.k2*fabs(curtain))*curtain;
  if (plate->lift < 0) touch = -1e6*plate->lift - 20*plate->speed;
  if (over > 0) touch = -1e6*over - 20*plate->speed;
  plate->flow = curtain + p.swept;
  plate->force = seat*(valve->area - valve->jet*M_PI*valve->seat*fmax(plate->lift, 0)) -
      valve_force(valve, plate->lift) -
                 valve->damping*plate->speed + touch;
}

struct second_valve_flow second_valve_flow(const struct second_oil *oil,
                                           const struct second_valve *valve, double p_rod,
                                           double p_column)
{
  static const double open[DF_HOLE_GROUPS_MAX] = {1, 1, 1, 1, 1, 1, 1, 1};
  struct second_valve_flow out = {0};
  double dp = p_rod - p_column;
  out.bleed = second_bank_flow(oil, &valve->bleed, open, p_rod, p_column);
  double opening = second_smooth((-dp - valve->back_crack)/(valve->back_full - valve->back_crack));
  if (dp > 0) plate_flow(valve, dp, &out);
  else out.back = opening*second_path_flow(&valve->back, dp);
  return out;
}
