// Drilled holes: their losses by edge and length, and the three laws for sets of them.
#include "dampfork/path.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "base/interp.h"

enum { INWARDS = 0, OUTWARDS = 1, SIDES = 2 };
static const double SHARP = 2.85;             // 1, loss of a sharp thin hole (Idelchik)
static const double COVERED = 1e-6;           // 1, as in df_restriction_covered

// ---- losses at high Reynolds number: Idelchik, Handbook of Hydraulic Resistance (Re above 1e4) --------

#define POINTS(table) ((int)(sizeof table/sizeof table[0]))

static double zeta_thick(double length_ratio)
{
  static const double x[] = {0, 0.2, 0.4, 0.6, 0.8, 1, 1.2, 1.4, 1.6, 1.8, 2, 4}; // l/d
  static const double z[] = {2.85, 2.72, 2.6, 2.34, 1.95, 1.76, 1.67, 1.62, 1.6, 1.58, 1.55, 1.55};
  return df_interp(x, z, POINTS(x), length_ratio, NULL);
}

static double zeta_rounded(double radius_ratio)
{
  static const double x[] = {0, 0.01, 0.02, 0.03, 0.04, 0.06, 0.08, 0.12, 0.16, 0.2}; // radius/d
  static const double z[] = {2.85, 2.72, 2.56, 2.4, 2.27, 2.06, 1.88, 1.6, 1.38, 1.37};
  return df_interp(x, z, POINTS(x), radius_ratio, NULL);
}

static double zeta_chamfered(double chamfer_ratio)
{
  static const double x[] = {0, 0.01, 0.02, 0.04, 0.06, 0.1, 0.16, 0.2}; // length/d, 40 to 60 degrees
  static const double z[] = {2.85, 2.8, 2.7, 2.5, 2.33, 2.08, 1.84, 1.8};
  return df_interp(x, z, POINTS(x), chamfer_ratio, NULL);
}

// Contraction of the jet behind an edge of this radius (Nurick 1976, from memory); INFINITY stays.
static double contraction_of(double sharp, double radius_ratio)
{
  if (isinf(sharp)) return sharp;
  double inverse = 1/(sharp*sharp) - 11.4*radius_ratio;
  return inverse <= 1 ? 1 : 1/sqrt(inverse);
}

// ---- one group -------------------------------------------------------------------------------------

static struct df_hole sized(double count, double diameter, double length)
{
  return (struct df_hole){.count = count, .diameter = diameter, .length = length,
                          .area = 0.25*M_PI*count*diameter*diameter};
}

// Loss and restriction of one side; radius and chamfer in m.
static void edge_set(struct df_hole *hole, int side, double radius, double chamfer, double contraction)
{
  double d = hole->diameter, r = 0.5*d, zeta = zeta_thick(hole->length/d);
  zeta = fmin(zeta, fmin(zeta_rounded(radius/d), zeta_chamfered(chamfer/d)));
  hole->zeta[side] = zeta;
  hole->two_term[side] = (struct df_restriction){
    (3 + 8*hole->length/(M_PI*r))/(hole->count*r*r*r),
    zeta/(2*hole->area*hole->area),
    contraction_of(contraction, radius/d)*hole->area*M_SQRT2
  };
}

static int is_hole(double count, double diameter)
{
  return count > 0 && diameter > 0;
}

static struct df_hole no_hole(void)
{
  struct df_restriction none = {INFINITY, INFINITY, 0};
  return (struct df_hole){.two_term = {none, none}};
}

static struct df_hole hole_of(const struct df_hole_group *group, double length, double contraction)
{
  if (!is_hole(group->count, group->diameter)) return no_hole();
  struct df_hole hole = sized(group->count, group->diameter, length);
  edge_set(&hole, INWARDS, group->entry_radius, group->entry_chamfer, contraction);
  edge_set(&hole, OUTWARDS, group->exit_radius, group->exit_chamfer, contraction);
  return hole;
}

struct df_restriction df_restriction_hole(const struct df_hole_group *hole, double length, int inwards,
                                          double contraction)
{
  return hole_of(hole, length, contraction).two_term[inwards ? INWARDS : OUTWARDS];
}

struct df_restriction df_restriction_bleed(const struct df_bleed *bleed, int n, double length,
                                           double contraction)
{
  struct df_restriction all = {INFINITY, INFINITY, 0};
  for (int i = 0; i < n; i++) {
    struct df_hole_group group = {.count = bleed[i].count, .diameter = bleed[i].diameter};
    all = df_restriction_parallel(all, df_restriction_hole(&group, length, 1, contraction));
  }
  return all;
}

// ---- handbook law: zeta(Re) = F + E Z/2.85 + 64 (l/d)/Re, Idelchik's tables over ln Re ----------------

static const double knot_re[DF_HANDBOOK_KNOTS] = {25, 40, 60, 100, 200, 400, 1e3, 2e3, 4e3, 1e4, 2e4,
                                                  1e5, 2e5, 1e6};
static const double knot_f[DF_HANDBOOK_KNOTS] = {1.94, 1.38, 1.14, .89, .69, .54, .39, .30, .22, .15,
                                                 .11, .04, .01, 0};
static const double knot_e[DF_HANDBOOK_KNOTS] = {1.00, 1.05, 1.09, 1.15, 1.23, 1.37, 1.56, 1.71, 1.88,
                                                 2.17, 2.38, 2.56, 2.72, 2.85};

// What the law has besides 64 (l/d)/Re at knot k.
static double knot_zeta(const struct df_hole *hole, int side, int k)
{
  return knot_f[k] + knot_e[k]*hole->zeta[side]/SHARP;
}

static void handbook_set(struct df_hole *hole)
{
  if (!is_hole(hole->count, hole->diameter)) return;
  double thick = 64*hole->length/hole->diameter;
  for (int side = 0; side < SIDES; side++)
    for (int k = 0; k < DF_HANDBOOK_KNOTS; k++)
      hole->squares[side][k] = knot_re[k]*(knot_zeta(hole, side, k)*knot_re[k] + thick);
}

// Re with a Re2 + b Re = g (a, b >= 0), and dRe/dg.
static double quadratic_re(double a, double b, double g, double *slope)
{
  return df_two_term_flow(b, a, g, slope);
}

// Re between two knots, with zeta = base + steep ln Re + thick/Re: Newton on ln(zeta Re2) over ln Re,
// which is nearly a straight line of slope 1 to 2: two steps reach 1e-12 (one does not), a third is spare.
static double inner_re(const struct df_hole *hole, int side, int k, double g, double *slope)
{
  double thick = 64*hole->length/hole->diameter, low = log(knot_re[k]), high = log(knot_re[k + 1]);
  double steep = (knot_zeta(hole, side, k + 1) - knot_zeta(hole, side, k))/(high - low);
  double base = knot_zeta(hole, side, k) - steep*low, wanted = log(g);
  double g_low = log(hole->squares[side][k]), g_high = log(hole->squares[side][k + 1]);
  double u = low + (high - low)*(wanted - g_low)/(g_high - g_low), re = 0, rise = 0;
  for (int i = 0; i < 3; i++) {
    re = exp(u);
    double smooth = base + steep*u, has = re*(smooth*re + thick);
    rise = re*(2*smooth*re + steep*re + thick)/has;   // d ln(zeta Re2)/d ln Re
    u = fmin(fmax(u - (log(has) - wanted)/rise, low), high);
  }
  re = exp(u);
  *slope = re/(g*rise);
  return re;
}

// Re with zeta(Re) Re2 = g.
static double handbook_re(const struct df_hole *hole, int side, double g, double *slope)
{
  const double *squares = hole->squares[side];
  double thick = 64*hole->length/hole->diameter;
  if (g <= squares[0]) {                      // creeping: C/Re, with what is left over at Re 25
    double c = 12*M_PI + thick, more = (squares[0]/knot_re[0] - c)/knot_re[0];
    return quadratic_re(more, c, g, slope);
  }
  if (g >= squares[DF_HANDBOOK_KNOTS - 1])
    return quadratic_re(knot_zeta(hole, side, DF_HANDBOOK_KNOTS - 1), thick, g, slope);
  int k = 0;
  while (g >= squares[k + 1]) k++;
  return inner_re(hole, side, k, g, slope);
}

static double handbook_flow(const struct df_hole *hole, int side, double mu, double rho, double drop,
                            double *slope)
{
  double d = hole->diameter, nu = mu/rho, per_re = hole->area*nu/d, per_pa = 2*d*d/(rho*nu*nu);
  double re = handbook_re(hole, side, drop*per_pa, slope);
  *slope *= per_re*per_pa;
  return re*per_re;
}

// ---- Lichtarowicz, Duggins & Markland 1965, J. Mech. Eng. Sci. 7, 210 ---------------------------------

// Discharge coefficient at Rh = d sqrt(2 dp/rho)/nu, and d Cd/d ln Rh.
static double lichtarowicz(double length_ratio, double rh, double *slope)
{
  double l = fmin(fmax(length_ratio, 1.5), 10), ultimate = l < 2 ? 0.810 : 0.827 - 0.0085*l;
  double inside = fmin(fmax(rh, 10), 2e4), log_rh = log10(0.00015*inside);
  double below = 1 + 7.5*log_rh*log_rh, bracket = 0.005*l/below;
  double creep = 20/rh*(1 + 2.25*l), cd = 1/(1/ultimate + creep - bracket);
  double bracket_slope = inside == rh ? -bracket/below*15*log_rh/M_LN10 : 0;
  *slope = cd*cd*(creep + bracket_slope);
  return cd;
}

static double lichtarowicz_flow(const struct df_hole *hole, int side, double mu, double rho, double drop,
                                double *slope)
{
  double k1 = mu*hole->two_term[side].viscous, l = hole->length/hole->diameter;
  if (drop == 0) {                            // as both laws start; the second for l/d below 1.2
    double start = hole->area*hole->diameter/(10*mu*(1 + 2.25*fmin(fmax(l, 1.5), 10)));
    *slope = fmin(1/k1, start);
    return 0;
  }
  double speed = sqrt(2*drop/rho), steep, cd = lichtarowicz(l, hole->diameter*speed*rho/mu, &steep);
  double flow = cd*hole->area*speed, creeping = drop/k1;
  *slope = flow < creeping ? 0.5*hole->area*speed*(cd + steep)/drop : 1/k1;
  return fmin(flow, creeping);                // least dissipation: nothing passes more than creeping flow
}

// ---- sets ------------------------------------------------------------------------------------------

void df_hole_set_init(struct df_hole_set *set, int law, const struct df_hole_list *list, double length,
                      double contraction)
{
  memset(set, 0, sizeof *set);
  set->law = law;
  set->n = list->n;
  for (int i = 0; i < list->n; i++) {
    set->at[i] = hole_of(&list->at[i], length, contraction);
    handbook_set(&set->at[i]);
  }
}

void df_hole_set_init_bleed(struct df_hole_set *set, int law, const struct df_bleed *bleed, int n,
                            double length, double contraction)
{
  struct df_hole_list list = {.n = n};
  for (int i = 0; i < n; i++)
    list.at[i] = (struct df_hole_group){.count = bleed[i].count, .diameter = bleed[i].diameter};
  df_hole_set_init(set, law, &list, length, contraction);
}

// Open share of group i; a share that closes the two-term path is none in the other laws either.
static double share_of(const double *share, int i)
{
  if (share == NULL) return 1;
  return share[i] >= COVERED ? share[i] : 0;
}

struct df_restriction df_hole_set_restriction(const struct df_hole_set *set, const double *share,
                                              int inwards)
{
  struct df_restriction all = {INFINITY, INFINITY, 0};
  for (int i = 0; i < set->n; i++)
    all = df_restriction_parallel(all, df_restriction_covered(set->at[i].two_term[inwards ? INWARDS : OUTWARDS],
                                                              share_of(share, i)));
  return all;
}

struct flow { double q, slope; };             // m3/s, m3/(s Pa)

// All groups at one pressure difference (Pa, above 0) by a law of Reynolds numbers.
static struct flow groups_flow(const struct df_hole_set *set, const double *share, int side, double mu,
                               double rho, double drop)
{
  struct flow all = {0, 0};
  for (int i = 0; i < set->n; i++) {
    const struct df_hole *hole = &set->at[i];
    if (!is_hole(hole->count, hole->diameter) || !(share_of(share, i) > 0)) continue;
    double slope, q = set->law == DF_LAW_HANDBOOK ? handbook_flow(hole, side, mu, rho, drop, &slope)
                                                  : lichtarowicz_flow(hole, side, mu, rho, drop, &slope);
    all.q += share_of(share, i)*q;
    all.slope += share_of(share, i)*slope;
  }
  return all;
}

// Pressure across the holes so that holes and bore together take `drop` (Pa). The sum rises at least as
// fast as the pressure itself, so the root is unique and lies between 0 and drop.
static double holes_drop(const struct df_hole_set *set, const double *share, int side, double mu, double rho,
                         double bore_k1, double bore_k2, double drop, int steps)
{
  struct df_restriction guess = df_hole_set_restriction(set, share, side == INWARDS);
  double q = df_two_term_flow(mu*guess.viscous + bore_k1, rho*guess.inertial + bore_k2, drop, NULL);
  double low = 0, high = drop, here = fmin(fmax(drop - q*(bore_k1 + bore_k2*q), 1e-6*drop), drop);
  for (int i = 0; i < (steps > 0 ? steps : 60); i++) {
    struct flow flow = groups_flow(set, share, side, mu, rho, here);
    double off = here + flow.q*(bore_k1 + bore_k2*flow.q) - drop;
    if (off > 0) high = here;
    else low = here;
    double next = here - off/(1 + flow.slope*(bore_k1 + 2*bore_k2*flow.q));
    if (!(next >= low && next <= high)) next = 0.5*(low + high);
    int done = fabs(next - here) <= 1e-13*drop;
    here = next;
    if (steps <= 0 && done) break;
  }
  return here;
}

double df_hole_set_flow(const struct df_hole_set *set, const double *share, double mu, double rho,
                        double bore_k1, double bore_k2, double dp, int steps, double *slope)
{
  int side = dp < 0 ? OUTWARDS : INWARDS;
  struct df_restriction all = df_hole_set_restriction(set, share, side == INWARDS);
  if (slope != NULL) *slope = 0;
  if (df_restriction_closed(all)) return 0;
  if (set->law == DF_LAW_TWO_TERM)
    return df_two_term_flow(mu*all.viscous + bore_k1, rho*all.inertial + bore_k2, dp, slope);
  double drop = fabs(dp);
  if (bore_k1 > 0 || bore_k2 > 0)
    drop = holes_drop(set, share, side, mu, rho, bore_k1, bore_k2, drop, steps);
  struct flow flow = groups_flow(set, share, side, mu, rho, drop);
  if (slope != NULL) *slope = flow.slope/(1 + flow.slope*(bore_k1 + 2*bore_k2*flow.q));
  return copysign(flow.q, dp);
}
