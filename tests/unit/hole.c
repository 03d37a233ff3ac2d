// Drilled holes, gaps, bore, and sets of holes against published figures and their own laws.
#include "near.h"

#include "dampfork/oil.h"
#include "dampfork/path.h"

static const char THEORY[] = "docs/theory.md, coefficients of the example fork";
static const double CC = 0.62;                // 1, contraction of a sharp edge

static struct df_oil example_oil(void)
{
  return (struct df_oil){.viscosity_40 = 32e-6, .viscosity_100 = 5.4e-6, .density_15 = 870,
                         .temperature = 303.15, .viscosity_index = NAN};
}

static struct df_hole_group holes(double count, double diameter)
{
  return (struct df_hole_group){.count = count, .diameter = diameter, .height = NAN, .depth = NAN};
}

// got agrees with a figure printed with so many digits, to half a unit of the last.
static void printed(double got, double want, int digits, const char *what)
{
  double unit = pow(10, floor(log10(fabs(want))) - (digits - 1));
  ck_assert_msg(fabs(got - want) <= 0.5001*unit, "%s: got %.12g, printed %.12g; source: %s", what, got, want,
                THEORY);
}

// ---- the example fork ------------------------------------------------------------------------------

START_TEST(example_coefficients)
{
  struct df_oil oil = example_oil();
  double rho = df_oil_density(&oil, oil.temperature), mu = df_oil_viscosity(&oil, oil.temperature)*rho;
  double wall = 4e-3;
  struct df_hole_group plain = holes(2, 6e-3), opened = holes(6, 6.35e-3), rebound = holes(2, 2.2e-3);
  opened.entry_chamfer = 0.5e-3;
  struct df_bleed bleed = {2, 1.5e-3};
  struct df_restriction r = df_restriction_hole(&plain, wall, 1, CC);
  printed(mu*r.viscous, 5.160042e6, 7, "plain K1");
  printed(rho*r.inertial, 2.973687e11, 7, "plain K2 in");
  r = df_restriction_hole(&plain, wall, 0, CC);
  printed(rho*r.inertial, 2.973687e11, 7, "plain K2 out");
  r = df_restriction_hole(&opened, wall, 1, CC);
  printed(mu*r.viscous, 1.408531e6, 7, "opened K1");
  printed(rho*r.inertial, 2.637104e10, 7, "opened K2 in");
  r = df_restriction_hole(&opened, wall, 0, CC);
  printed(rho*r.inertial, 2.719069e10, 7, "opened K2 out");
  r = df_restriction_hole(&rebound, wall, 1, CC);
  printed(mu*r.viscous, 2.006621e8, 7, "rebound K1");
  printed(rho*r.inertial, 1.174151e13, 7, "rebound K2");
  r = df_restriction_bleed(&bleed, 1, 2e-3, CC);
  printed(mu*r.viscous, 5.055704e8, 7, "bleed K1");
  printed(rho*r.inertial, 5.637715e13, 7, "bleed K2");
  r = df_restriction_bore(0.26, 14e-3, 2);
  printed(mu*r.viscous, 1.201454e7, 7, "bore K1");
  printed(rho*r.inertial, 3.631498e10, 7, "bore K2");
  r = df_restriction_area(110e-6, 0.7, 2e-3, 0);
  printed(mu*r.viscous, 3.733053e6, 7, "check K1");
  printed(rho*r.inertial, 7.257152e10, 7, "check K2");
  r = df_restriction_gap(0.05e-3, 8e-3, 0.5, 22e-3 + 0.05e-3);
  printed(mu*r.viscous, 3.513061e11, 7, "check leak K1");
  printed(rho*r.inertial, 5.379997e13, 7, "check leak K2");
  r = df_restriction_area(0.5e-6, 0.7, 0.7e-3, 0);
  printed(mu*r.viscous, 2.346490e9, 7, "ring K1");
  printed(rho*r.inertial, 3.512462e15, 7, "ring K2");
  r = df_restriction_area(90e-6, 0.65, 3e-3, 0);
  printed(mu*r.viscous, 3.041747e6, 7, "return K1");
  printed(rho*r.inertial, 1.257291e11, 7, "return K2");
  r = df_restriction_area(113e-6, 0.7, INFINITY, 0);
  near(r.viscous, 0, 0, THEORY);
  printed(rho*r.inertial, 6.876932e10, 7, "ports K2");
}
END_TEST

// ---- holes against books ----------------------------------------------------------------------------

static struct df_hole_set set_of(int law, struct df_hole_list list, double wall)
{
  struct df_hole_set set;
  df_hole_set_init(&set, law, &list, wall, CC);
  return set;
}

static struct df_hole_set one_hole(int law, double diameter, double length_ratio)
{
  return set_of(law, (struct df_hole_list){.n = 1, .at = {holes(1, diameter)}}, length_ratio*diameter);
}

static const double D = 2e-3, RHO = 860, MU = 0.043; // m, kg/m3, Pa s: a hole to work with; nu 50 mm2/s

static double speed_of(double dp)
{
  return sqrt(2*dp/RHO);
}

// Discharge coefficient of one hole of a law at a Reynolds number of the mean speed.
static double cd_at(int law, double length_ratio, double re)
{
  struct df_hole_set set = one_hole(law, D, length_ratio);
  double area = M_PI/4*D*D, wanted = re*MU/RHO/D*area, low = 1e-6, high = 1e16; // Pa
  for (int i = 0; i < 140; i++) {
    double middle = sqrt(low*high);
    if (df_hole_set_flow(&set, NULL, MU, RHO, 0, 0, middle, 0, NULL) < wanted) low = middle;
    else high = middle;
  }
  return wanted/(area*speed_of(low));
}

START_TEST(creeping_flow)
{
  static const double length[] = {0, 1e-3, 2e-3, 4e-3}, want[] = {480.000, 1294.87, 2109.75, 3739.49};
  struct df_hole_group hole = holes(1, 1e-3);
  for (int i = 0; i < 4; i++)
    near(0.02*1e-6*df_restriction_hole(&hole, length[i], 1, CC).viscous, want[i], 0.005,
         "Sampson 1891; Dagan, Weinbaum & Pfeffer 1982, computed");
  static const double ratio[] = {0.10, 0.37}, cfd[] = {41.8, 57.7}; // zeta Re
  for (int i = 0; i < 2; i++) {
    double ours = df_restriction_hole(&hole, ratio[i]*1e-3, 1, CC).viscous*M_PI/2*1e-9; // K1/mu A d 2
    double share = cfd[i]/ours;
    ck_assert_msg(share > 0.94 && share <= 1, "zeta Re %g, computed flow (Finlayson) has %g: share %g, -6..0 %% allowed",
                  ours, cfd[i], share);
  }
}
END_TEST

START_TEST(losses_of_edges)
{
  struct df_hole_group hole = holes(1, 10e-3);
  double area = M_PI/4*1e-4, per_zeta = 1/(2*area*area);
  static const double thick[][2] = {{0, 2.85}, {0.4, 2.60}, {0.5, 2.47}, {1, 1.76}, {1.6, 1.60}, {3, 1.55}, {9, 1.55}};
  for (int i = 0; i < 7; i++)
    near(df_restriction_hole(&hole, thick[i][0]*10e-3, 1, CC).inertial/per_zeta, thick[i][1], 1e-9,
         "Idelchik, hole in a thick wall; linear between points");
  static const double round[][2] = {{0.01, 2.72}, {0.05, 2.165}, {0.12, 1.60}, {0.3, 1.37}};
  for (int i = 0; i < 4; i++) {
    hole.entry_radius = round[i][0]*10e-3;
    near(df_restriction_hole(&hole, 0, 1, CC).inertial/per_zeta, round[i][1], 1e-9, "Idelchik, rounded entry");
    near(df_restriction_hole(&hole, 0, 0, CC).inertial/per_zeta, 2.85, 1e-9, "the other side stays sharp");
  }
  hole.entry_radius = 0;
  static const double bevel[][2] = {{0.01, 2.80}, {0.05, 2.415}, {0.16, 1.84}, {0.3, 1.80}};
  for (int i = 0; i < 4; i++) {
    hole.exit_chamfer = bevel[i][0]*10e-3;
    near(df_restriction_hole(&hole, 0, 0, CC).inertial/per_zeta, bevel[i][1], 1e-9, "Idelchik, chamfered entry");
    near(df_restriction_hole(&hole, 0, 1, CC).inertial/per_zeta, 2.85, 1e-9, "the other side stays sharp");
  }
  near(df_restriction_hole(&hole, 20e-3, 0, CC).inertial/per_zeta, 1.55, 1e-9, "the smallest of the three counts");
}
END_TEST

START_TEST(contraction_of_the_jet)
{
  struct df_hole_group hole = holes(3, 4e-3);
  double area = 3*M_PI/4*16e-6;
  near_share(df_restriction_hole(&hole, 2e-3, 1, CC).choke, 0.62*area*M_SQRT2, 1e-12, "Nurick 1976 (from memory)");
  hole.entry_chamfer = 1e-3;
  near_share(df_restriction_hole(&hole, 2e-3, 1, CC).choke, 0.62*area*M_SQRT2, 1e-12, "a chamfer leaves 0.62");
  hole.entry_radius = 0.2e-3;
  near_share(df_restriction_hole(&hole, 2e-3, 1, CC).choke, area*M_SQRT2/sqrt(1/(0.62*0.62) - 11.4*0.05), 1e-12,
             "Nurick 1976, rounded (from memory)");
  near_share(df_restriction_hole(&hole, 2e-3, 0, CC).choke, 0.62*area*M_SQRT2, 1e-12, "the other side stays sharp");
  hole.entry_radius = 1e-3;
  near_share(df_restriction_hole(&hole, 2e-3, 1, CC).choke, area*M_SQRT2, 1e-12, "at most 1");
  ck_assert(isinf(df_restriction_hole(&hole, 2e-3, 1, INFINITY).choke));
}
END_TEST

START_TEST(two_term_law_at_high_reynolds)
{
  static const double ratio[] = {0, 1, 2, 4}, want[] = {0.592, 0.766, 0.805, 0.788};
  for (int i = 0; i < 4; i++)
    near_share(cd_at(DF_LAW_TWO_TERM, ratio[i], 1e5), want[i], 0.05, "McGreehan & Schotsch 1988 at Re 1e5");
}
END_TEST

static const double thin_re[] = {40, 100, 200, 400, 1e3, 1e4, 1e5};
static const double thin_cd[] = {0.642, 0.700, 0.722, 0.724, 0.716, 0.657, 0.620};

START_TEST(thin_hole)
{
  for (int i = 0; i < 7; i++) {
    near(cd_at(DF_LAW_HANDBOOK, 0, thin_re[i]), thin_cd[i], 0.0015, "Idelchik 4-17; F and E have two decimals");
    double low = cd_at(DF_LAW_TWO_TERM, 0, thin_re[i])/thin_cd[i];
    // known limit of the two-term law: about 20 % low at its worst
    ck_assert_msg(low > 0.78 && low < 1, "two-term law at Re %g: %.3f of Idelchik 4-17", thin_re[i], low);
  }
}
END_TEST

START_TEST(short_tube)
{
  const char *source = "Lichtarowicz, Duggins & Markland 1965";
  static const double rh[] = {100, 1000, 1e4}, cd[] = {0.4284, 0.7446, 0.8081};
  struct df_hole_set set = one_hole(DF_LAW_LICHTAROWICZ, D, 2);
  double area = M_PI/4*D*D, creep = 12*M_PI + 128;
  for (int i = 0; i < 3; i++) {
    double speed = rh[i]*MU/RHO/D, dp = RHO*speed*speed/2;
    near(df_hole_set_flow(&set, NULL, MU, RHO, 0, 0, dp, 0, NULL)/(area*speed), cd[i], 5e-5, source);
  }
  static const double re[] = {100, 1000, 1e4}, two[] = {0.545, 0.760, 0.808}, four[] = {0.459, 0.715, 0.791};
  for (int i = 0; i < 3; i++) {
    near(cd_at(DF_LAW_LICHTAROWICZ, 2, re[i]), two[i], 5.1e-4, "the same, solved for the true Reynolds number");
    near(cd_at(DF_LAW_LICHTAROWICZ, 4, re[i]), four[i], 5.1e-4, "the same, solved for the true Reynolds number");
  }
  near(cd_at(DF_LAW_LICHTAROWICZ, 2, 10), sqrt(10/creep), 1e-9, "least dissipation; the formula alone has 0.251");
  near(0.251/sqrt(10/creep), 1.02, 0.005, "the formula breaks the bound by 2 % at Re 10, l/d 2");
  near(cd_at(DF_LAW_LICHTAROWICZ, 0.5, 1e3), cd_at(DF_LAW_LICHTAROWICZ, 1.5, 1e3), 1e-9, "l/d clipped to 1.5..10");
  near(cd_at(DF_LAW_LICHTAROWICZ, 14, 1e4), cd_at(DF_LAW_LICHTAROWICZ, 10, 1e4), 1e-9, "l/d clipped to 1.5..10");
}
END_TEST

START_TEST(two_term_law_follows_the_short_tube)
{
  for (double ratio = 1; ratio <= 4; ratio += 0.5)
    for (double re = 10; re <= 1e4; re *= 1.3) {
      double off = cd_at(DF_LAW_TWO_TERM, ratio, re)/cd_at(DF_LAW_LICHTAROWICZ, ratio, re) - 1;
      double allowed = ratio >= 1.5 && re >= 20 ? 0.045 : 0.075;
      ck_assert_msg(fabs(off) <= allowed + 0.0005, "l/d %g, Re %g: off by %.4f, %.3f is stated", ratio, re, off, allowed);
    }
}
END_TEST

START_TEST(no_law_beats_creeping_flow)
{
  for (int law = 0; law < 3; law++)
    for (double ratio = 0; ratio <= 4; ratio += 0.25)
      for (double re = 0.1; re < 1e6; re *= 1.7) {
        double cd = cd_at(law, ratio, re), bound = sqrt(re/(12*M_PI + 64*ratio));
        ck_assert_msg(cd <= bound*(1 + 1e-9), "law %d, l/d %g, Re %g: Cd %g above %g (least dissipation)", law, ratio, re,
                      cd, bound);
      }
}
END_TEST

// ---- gaps and areas against books ---------------------------------------------------------------------

START_TEST(annular_gap)
{
  struct df_restriction gap = df_restriction_gap(0.005e-3, 15e-3, 0, 25e-3);
  near(1e9*19e6/(0.018*gap.viscous), 57.6, 0.05, "Fox & McDonald ex. 8.1: 57.6 mm3/s");
  near(1e9*df_restriction_flow(gap, 0.018, 900, 19e6, NULL), 57.6, 0.05, "the same: inertia counts for nothing there");
  near_share(gap.viscous/df_restriction_gap(0.005e-3, 15e-3, 0.5, 25e-3).viscous, 1.375, 1e-12, "eccentricity 0.5");
  near_share(gap.viscous/df_restriction_gap(0.005e-3, 15e-3, 1, 25e-3).viscous, 2.5, 1e-12, "eccentricity 1");
}
END_TEST

START_TEST(orifices)
{
  const double gallon = 231*25.4e-3*25.4e-3*25.4e-3, inch = 25.4e-3, psi = 4.4482216152605/(inch*inch);
  struct df_restriction path = df_restriction_area(M_PI/4*inch*inch, 0.80, INFINITY, 0);
  near(60/gallon*df_restriction_flow(path, 0.03, 900, 100*psi, NULL), 252, 0.6, "Esposito ex. 8-4: 252 gal/min [251.5]");
  double mercury = 4.4*inch*9.80665*(13595.1 - 998.99); // Pa, 4.4 in of mercury under water
  path = df_restriction_area(M_PI/4*4*inch*inch, 0.6261, INFINITY, 0);
  near(60/gallon*df_restriction_flow(path, 1.1e-3, 998.99, mercury, NULL), 105.74, 0.1, "Crane TP-410 ex. 7-23");
  path = df_restriction_area(M_PI/4*4e-6, 0.611, INFINITY, 0);
  near(df_restriction_flow(path, 0.03, 860, 1e5, NULL), 2.927230e-5, 5e-12, "square law, computed");
}
END_TEST

START_TEST(chamber_empties_through_holes)
{
  struct df_restriction path = df_restriction_area(3.534292e-6, 0.7, INFINITY, 0);
  double p = 1e6, half = 0.5*1.405054e-3, step = half/2000; // Pa, s
  for (int i = 0; i < 2000; i++) {
    double rate = -1.2e9/100e-6, flow = df_restriction_flow(path, 0.03, 870, p, NULL);
    double middle = p + 0.5*step*rate*flow;
    p += step*rate*df_restriction_flow(path, 0.03, 870, middle, NULL);
  }
  near(p, 250e3, 0.5, "square-law discharge: a quarter left at half time, exact; 2000 midpoint steps");
}
END_TEST

// ---- sums of paths ------------------------------------------------------------------------------------

static double sum_of_flows(const struct df_hole_list *list, double dp)
{
  double sum = 0;
  for (int i = 0; i < list->n; i++)
    sum += df_restriction_flow(df_restriction_hole(&list->at[i], 4e-3, 1, CC), MU, RHO, dp, NULL);
  return sum;
}

static double worst_of_closed_form(struct df_hole_list list)
{
  struct df_hole_set set = set_of(DF_LAW_TWO_TERM, list, 4e-3);
  double worst = 0;
  for (double dp = 1; dp < 2e7; dp *= 1.1)
    worst = fmax(worst, fabs(df_hole_set_flow(&set, NULL, MU, RHO, 0, 0, dp, 0, NULL)/sum_of_flows(&list, dp) - 1));
  return worst;
}

START_TEST(groups_side_by_side)
{
  const char *source = "docs/theory.md: 0.07 % for 2 x 6 with 4 x 6.35 mm, 4.4 % for 2 x 2 with 2 x 8 mm";
  double alike = worst_of_closed_form((struct df_hole_list){.n = 2, .at = {holes(2, 6e-3), holes(4, 6.35e-3)}});
  double unlike = worst_of_closed_form((struct df_hole_list){.n = 2, .at = {holes(2, 2e-3), holes(2, 8e-3)}});
  near(alike, 0.0007, 0.0003, source);
  near(unlike, 0.044, 0.004, source);
  struct df_hole_group four = holes(4, 3e-3), two = holes(2, 3e-3);
  struct df_restriction a = df_restriction_hole(&four, 4e-3, 1, CC), b = df_restriction_hole(&two, 4e-3, 1, CC);
  b = df_restriction_parallel(b, b);
  near_share(b.viscous, a.viscous, 1e-14, "twice two holes");
  near_share(b.inertial, a.inertial, 1e-14, "twice two holes");
  near_share(b.choke, a.choke, 1e-14, "twice two holes");
}
END_TEST

START_TEST(closed_paths)
{
  struct df_hole_group none = holes(0, 3e-3), some = holes(2, 3e-3);
  struct df_restriction closed[] = {
    df_restriction_hole(&none, 4e-3, 1, CC), df_restriction_area(0, 0.7, 1e-3, 0), df_restriction_gap(0, 8e-3, 0, 22e-3),
    df_restriction_gap(NAN, 8e-3, 0, 22e-3), df_restriction_bleed(NULL, 0, 2e-3, CC)
  };
  struct df_restriction open = df_restriction_hole(&some, 4e-3, 1, CC);
  for (int i = 0; i < 5; i++) {
    double slope = 1, slopes[2];
    ck_assert(df_restriction_closed(closed[i]));
    ck_assert(df_restriction_closed(df_restriction_hole(&none, 4e-3, i%2, CC)));
    near(df_restriction_flow(closed[i], MU, RHO, 1e6, &slope), 0, 0, "no path, no flow");
    near(slope, 0, 0, "no path, no slope");
    near(df_restriction_flow_between(closed[i], MU, RHO, 1e3, 1e6, 1e5, slopes), 0, 0, "no path, no flow");
    near(df_restriction_parallel(closed[i], open).viscous, open.viscous, 0, "beside a closed path");
    near(df_restriction_parallel(open, closed[i]).inertial, open.inertial, 0, "beside a closed path");
    ck_assert(df_restriction_closed(df_restriction_series(open, closed[i])));
    ck_assert(df_restriction_closed(df_restriction_parallel(closed[i], closed[i])));
  }
  ck_assert(!df_restriction_closed(open));
  ck_assert(df_restriction_closed(df_restriction_covered(open, 0.9e-6)));
  for (int law = 0; law < 3; law++) {
    struct df_hole_set set = set_of(law, (struct df_hole_list){.n = 2, .at = {none, none}}, 4e-3);
    near(df_hole_set_flow(&set, NULL, MU, RHO, 1e6, 1e10, 1e6, 6, NULL), 0, 0, "no hole, no flow");
    set.n = 0;
    near(df_hole_set_flow(&set, NULL, MU, RHO, 0, 0, 1e6, 6, NULL), 0, 0, "no hole, no flow");
  }
}
END_TEST

START_TEST(covered_holes)
{
  near(df_hole_open_share(-1), 0, 1e-15, "covered");
  near(df_hole_open_share(-7), 0, 1e-15, "covered");
  near(df_hole_open_share(0), 0.5, 1e-15, "half");
  near(df_hole_open_share(2), 1, 1e-15, "free");
  for (double u = -0.95; u < 1; u += 0.1) {
    double area = 0, step = 1e-4;
    for (double y = -1 + 0.5*step; y < u; y += step) area += 2*sqrt(1 - y*y)*step/M_PI;
    near(df_hole_open_share(u), area, 1e-4, "part of a disc under a straight edge, summed");
  }
  struct df_hole_group hole = holes(2, 3e-3);
  struct df_restriction open = df_restriction_hole(&hole, 4e-3, 1, CC), half = df_restriction_covered(open, 0.5);
  near_share(half.viscous, 2*open.viscous, 1e-15, "K1 over the share");
  near_share(half.inertial, 4*open.inertial, 1e-15, "K2 over its square");
  near_share(half.choke, 0.5*open.choke, 1e-15, "choke area times the share");
}
END_TEST

START_TEST(choking)
{
  struct df_hole_group hole = holes(2, 2e-3);
  struct df_restriction r = df_restriction_hole(&hole, 4e-3, 1, CC);
  double slope[2], vapour = 1e3, most = 0.62*2*M_PI/4*4e-6*sqrt(2*(5e6 - vapour)/RHO);
  near_share(df_restriction_flow_between(r, MU, RHO, vapour, 5e6, 2e3, slope), most, 1e-12, "0.62 A sqrt(2 (p - pv)/rho)");
  near(df_restriction_flow_between(r, MU, RHO, vapour, 2e3, 5e6, NULL), -most, 1e-12*most, "and backwards");
  near_share(slope[0], most/2/(5e6 - vapour), 1e-12, "by the pressure in front");
  near(slope[1], 0, 0, "nothing behind counts");
  double free_flow = df_restriction_flow(r, MU, RHO, 1e5, slope);
  near_share(df_restriction_flow_between(r, MU, RHO, vapour, 5e6, 4.9e6, slope), free_flow, 1e-12, "not choked");
  r.choke = INFINITY;
  ck_assert(df_restriction_flow_between(r, MU, RHO, vapour, 5e6, 2e3, slope) > most);
  near(slope[0], -slope[1], 0, "not choked");
}
END_TEST

// ---- laws: shape ----------------------------------------------------------------------------------------

static struct df_hole_list mixed_holes(void)
{
  struct df_hole_list list = {.n = 3, .at = {holes(2, 6e-3), holes(4, 6.35e-3), holes(1, 1.5e-3)}};
  list.at[1].entry_chamfer = 0.5e-3;
  list.at[2].exit_radius = 0.2e-3;
  return list;
}

START_TEST(flow_and_slope)
{
  static const double share[] = {1, 0.4, 0.9};
  for (int law = 0; law < 3; law++)
    for (int bore = 0; bore < 2; bore++) {
      struct df_hole_set set = set_of(law, mixed_holes(), 4e-3);
      double k1 = bore*1.2e7, k2 = bore*3.6e10, before = -INFINITY;
      for (int sign = -1; sign <= 1; sign += 2)
        for (double size = sign < 0 ? 2e7 : 1e-3; sign < 0 ? size > 1e-3 : size < 2e7; size *= sign < 0 ? 0.83 : 1.2) {
          double dp = sign*size, slope, h = 1e-5*size;
          double flow = df_hole_set_flow(&set, share, MU, RHO, k1, k2, dp, 0, &slope);
          double more = df_hole_set_flow(&set, share, MU, RHO, k1, k2, dp + h, 0, NULL);
          double less = df_hole_set_flow(&set, share, MU, RHO, k1, k2, dp - h, 0, NULL);
          ck_assert_msg(flow > before && more > flow && flow > less, "law %d: flow does not rise at %g Pa", law, dp);
          double quotient = (more - less)/(2*h), left = (flow - less)/h, right = (more - flow)/h;
          double kink = fabs(right - left) > 1e-3*slope ? fabs(right - left) : 0; // tables have corners
          near(slope, quotient, 2e-5*quotient + kink, "difference quotient");
          before = flow;
        }
    }
}
END_TEST

START_TEST(one_slope_at_zero)
{
  for (int law = 0; law < 3; law++) {
    struct df_hole_set set = set_of(law, mixed_holes(), 4e-3);
    struct df_restriction all = df_hole_set_restriction(&set, NULL, 1);
    double slope[3], k1 = MU*all.viscous + 1.2e7;
    for (int i = 0; i < 3; i++)
      df_hole_set_flow(&set, NULL, MU, RHO, 1.2e7, 3.6e10, 1e-8*(i - 1), 0, &slope[i]);
    // the short-tube law, clipped to l/d 1.5, is a little below creeping flow for shorter holes
    double want = law == DF_LAW_LICHTAROWICZ ? slope[1] : 1/k1;
    ck_assert(slope[1] <= 1/k1*(1 + 1e-12) && slope[1] > 0.9/k1);
    for (int i = 0; i < 3; i++) near_share(slope[i], want, 1e-6, "one slope on both sides of zero");
    near(df_hole_set_flow(&set, NULL, MU, RHO, 1.2e7, 3.6e10, 0, 6, NULL), 0, 0, "no pressure, no flow");
  }
}
END_TEST

START_TEST(alike_edges_make_an_odd_law)
{
  for (int law = 0; law < 3; law++) {
    struct df_hole_set set = set_of(law, (struct df_hole_list){.n = 2, .at = {holes(2, 6e-3), holes(2, 2e-3)}}, 4e-3);
    for (double dp = 1; dp < 2e7; dp *= 3) {
      double there = df_hole_set_flow(&set, NULL, MU, RHO, 1e7, 1e10, dp, 0, NULL);
      near(df_hole_set_flow(&set, NULL, MU, RHO, 1e7, 1e10, -dp, 0, NULL), -there, 0, "odd, to the bit");
    }
  }
}
END_TEST

START_TEST(six_steps_are_enough)
{
  static const double share[] = {1, 0.02, 0.5};
  for (int law = 0; law < 3; law++) {
    struct df_hole_set set = set_of(law, mixed_holes(), 4e-3);
    for (int part = 0; part < 2; part++)
      for (double dp = 1e-2; dp < 3e7; dp *= 1.15) {
        const double *open = part ? share : NULL;
        double exact = df_hole_set_flow(&set, open, MU, RHO, 1.2e7, 3.6e10, dp, 0, NULL);
        near_share(df_hole_set_flow(&set, open, MU, RHO, 1.2e7, 3.6e10, dp, 6, NULL), exact, 1e-12, "steps to 1e-12");
        double drop = dp - exact*(1.2e7 + 3.6e10*exact);
        near_share(df_hole_set_flow(&set, open, MU, RHO, 0, 0, drop, 0, NULL), exact, 1e-9, "holes and bore bear one flow");
      }
  }
}
END_TEST

// zeta of the handbook law by its printed tables, typed a second time.
static double handbook_zeta(double re, double length_ratio, double edge)
{
  static const double table[][3] = {
    {25, 1.94, 1.00}, {40, 1.38, 1.05}, {60, 1.14, 1.09}, {100, 0.89, 1.15}, {200, 0.69, 1.23}, {400, 0.54, 1.37},
    {1e3, 0.39, 1.56}, {2e3, 0.30, 1.71}, {4e3, 0.22, 1.88}, {1e4, 0.15, 2.17}, {2e4, 0.11, 2.38}, {1e5, 0.04, 2.56},
    {2e5, 0.01, 2.72}, {1e6, 0, 2.85}
  };
  double thick = 64*length_ratio;
  if (re < 25) {
    double c = 12*M_PI + thick;
    return c/re + 1.94 + edge/2.85 + thick/25 - c/25;
  }
  if (re >= 1e6) return edge + thick/re;
  int i = 0;
  while (re >= table[i + 1][0]) i++;
  double part = log(re/table[i][0])/log(table[i + 1][0]/table[i][0]);
  double f = table[i][1] + part*(table[i + 1][1] - table[i][1]), e = table[i][2] + part*(table[i + 1][2] - table[i][2]);
  return f + e*edge/2.85 + thick/re;
}

START_TEST(handbook_law_solves_its_own_formula)
{
  static const double ratio[] = {0, 1, 3}, edge[] = {2.85, 1.76, 1.55};
  for (int i = 0; i < 3; i++)
    for (double re = 0.5; re < 4e6; re *= 1.13)
      near_share(cd_at(DF_LAW_HANDBOOK, ratio[i], re), 1/sqrt(handbook_zeta(re, ratio[i], edge[i])), 1e-12,
                 "Idelchik, F + E zeta/2.85 + 64 (l/d)/Re");
}
END_TEST

START_TEST(edge_of_the_side_that_flow_enters)
{
  struct df_hole_group bevelled = holes(2, 6e-3), turned = holes(2, 6e-3);
  bevelled.entry_chamfer = turned.exit_chamfer = 1e-3;
  for (int law = 0; law < 2; law++) {         // the short-tube law knows no edges
    struct df_hole_set there = set_of(law, (struct df_hole_list){.n = 1, .at = {bevelled}}, 1e-3);
    struct df_hole_set back = set_of(law, (struct df_hole_list){.n = 1, .at = {turned}}, 1e-3);
    double in = df_hole_set_flow(&there, NULL, MU, RHO, 1e7, 1e10, 1e6, 0, NULL);
    double out = df_hole_set_flow(&there, NULL, MU, RHO, 1e7, 1e10, -1e6, 0, NULL);
    ck_assert(in > -1.02*out);
    near(df_hole_set_flow(&back, NULL, MU, RHO, 1e7, 1e10, -1e6, 0, NULL), -in, 0, "the same hole from the other side");
  }
}
END_TEST

START_TEST(long_passages_and_series)
{
  double d = 3e-3, l = 0.2;
  struct df_restriction pipe = df_restriction_bore(l, d, 2), area = df_restriction_area(M_PI/4*d*d, 1, d, l);
  near_share(area.viscous - df_restriction_area(M_PI/4*d*d, 1, d, 0).viscous, pipe.viscous, 1e-12, "Hagen and Poiseuille");
  near_share(pipe.viscous, 128*l/(M_PI*pow(d, 4)), 1e-12, "Hagen and Poiseuille");
  struct df_hole_group hole = holes(2, 2e-3);
  struct df_restriction holes_alone = df_restriction_hole(&hole, 4e-3, 1, CC), both = df_restriction_series(holes_alone, pipe);
  near_share(both.viscous, holes_alone.viscous + pipe.viscous, 1e-15, "pressure falls add");
  near_share(both.inertial, holes_alone.inertial + pipe.inertial, 1e-15, "pressure falls add");
  near(both.choke, holes_alone.choke, 0, "the holes choke");
  near(df_restriction_series(pipe, holes_alone).choke, holes_alone.choke, 0, "in any order");
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("hole");
  TCase *cases = tcase_create("hole");
  tcase_add_test(cases, example_coefficients);
  tcase_add_test(cases, creeping_flow);
  tcase_add_test(cases, losses_of_edges);
  tcase_add_test(cases, contraction_of_the_jet);
  tcase_add_test(cases, two_term_law_at_high_reynolds);
  tcase_add_test(cases, thin_hole);
  tcase_add_test(cases, short_tube);
  tcase_add_test(cases, two_term_law_follows_the_short_tube);
  tcase_add_test(cases, no_law_beats_creeping_flow);
  tcase_add_test(cases, annular_gap);
  tcase_add_test(cases, orifices);
  tcase_add_test(cases, chamber_empties_through_holes);
  tcase_add_test(cases, groups_side_by_side);
  tcase_add_test(cases, closed_paths);
  tcase_add_test(cases, covered_holes);
  tcase_add_test(cases, choking);
  tcase_add_test(cases, flow_and_slope);
  tcase_add_test(cases, one_slope_at_zero);
  tcase_add_test(cases, alike_edges_make_an_odd_law);
  tcase_add_test(cases, six_steps_are_enough);
  tcase_add_test(cases, handbook_law_solves_its_own_formula);
  tcase_add_test(cases, edge_of_the_side_that_flow_enters);
  tcase_add_test(cases, long_passages_and_series);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
