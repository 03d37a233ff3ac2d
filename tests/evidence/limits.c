// Where the model is known to be off: figures, and the bands that checks hold them to.
#include "evidence.h"
#include "dampfork/leg.h"
#include "dampfork/measure.h"
#include "dampfork/ride.h"
#include "holes.h"
#include "page.h"
#include "second_leg.h"

#include <math.h>

static double thin_two_term(double reynolds)
{
  return hole_discharge(DF_LAW_TWO_TERM, 0, reynolds);
}

static double thin_handbook(double reynolds)
{
  return hole_discharge(DF_LAW_HANDBOOK, 0, reynolds);
}

static double plate_two_term(double reynolds)
{
  return hole_discharge(DF_LAW_TWO_TERM, 0.02, reynolds);
}

static double tube_two_term_2(double reynolds)
{
  return hole_discharge(DF_LAW_TWO_TERM, 2, reynolds);
}

static double tube_two_term_4(double reynolds)
{
  return hole_discharge(DF_LAW_TWO_TERM, 4, reynolds);
}

static double tube_handbook_2(double reynolds)
{
  return hole_discharge(DF_LAW_HANDBOOK, 2, reynolds);
}

// Pressure drop of an opened hole (6.35 mm in a 4 mm wall) by two_term over that by the handbook's law, at one flow.
static double opened_drop(double reynolds)
{
  double two_term = hole_discharge(DF_LAW_TWO_TERM, 0.63, reynolds), handbook = hole_discharge(DF_LAW_HANDBOOK, 0.63, reynolds);
  return handbook*handbook/(two_term*two_term);
}

// Two groups of holes side by side by the library's rule, over the sum of their flows, at the dp of the worst case.
struct pair { double count[2], diameter[2]; /* 1, m */ };
static double pair_flow(const struct pair *pair, double dp)
{
  double flow[2], q;
  struct df_restriction r[2];
  for (int i = 0; i < 2; i++) {
    struct df_hole_group hole = {.count = pair->count[i], .diameter = pair->diameter[i], .height = NAN, .depth = NAN};
    r[i] = df_restriction_hole(&hole, 4e-3, 1, 0.62);
    flow[i] = df_restriction_flow(r[i], 0.0436, 860, dp, 0);
  }
  q = df_restriction_flow(df_restriction_parallel(r[0], r[1]), 0.0436, 860, dp, 0);
  return q/(flow[0] + flow[1]);
}

static double parallel_rule(double which)
{
  static const struct pair pairs[] = {{{2, 4}, {6e-3, 6.35e-3}}, {{2, 2}, {4e-3, 6.35e-3}}, {{2, 2}, {2e-3, 8e-3}}};
  double worst = 1;
  for (double dp = 1; dp < 1e7; dp *= 1.2) {
    double ratio = pair_flow(&pairs[(int)which], dp);
    if (fabs(ratio - 1) > fabs(worst - 1)) worst = ratio;
  }
  return worst;
}

static const char idelchik[] = "Idelchik, diagram 4-17";
static const char hollingshead[] = "Hollingshead 2011";
static const char licht[] = "Lichtarowicz, Duggins & Markland 1965";

static const struct limit thin[] = {
  {"thin hole, two_term, Re 40", idelchik, thin_two_term, 40, 0.642, "Cd", -25, -15},
  {"thin hole, two_term, Re 100", idelchik, thin_two_term, 100, 0.700, "Cd", -25, -15},
  {"thin hole, two_term, Re 200", idelchik, thin_two_term, 200, 0.722, "Cd", -25, -15},
  {"thin hole, two_term, Re 400", idelchik, thin_two_term, 400, 0.724, "Cd", -25, -15},
  {"thin hole, two_term, Re 1000", idelchik, thin_two_term, 1000, 0.716, "Cd", -25, -15},
  {"thin hole, two_term, Re 10 000", idelchik, thin_two_term, 10000, 0.657, "Cd", -14, -6},
  {"orifice plate, two_term, Re 40", hollingshead, plate_two_term, 40, 0.654, "Cd", -25, -15},
  {"orifice plate, two_term, Re 200", hollingshead, plate_two_term, 200, 0.702, "Cd", -25, -15},
  {"orifice plate, two_term, Re 2000", hollingshead, plate_two_term, 2000, 0.670, "Cd", -16, -8},
  {"thin hole, handbook, Re 200", idelchik, thin_handbook, 200, 0.722, "Cd", -2, 2},
  {"thin hole, handbook, Re 1000", idelchik, thin_handbook, 1000, 0.716, "Cd", -2, 2},
};
LIMIT_GROUP(limit_thin_holes, "Thin holes at Reynolds numbers of 20 to 4000",
    "The default law `two_term` has one loss coefficient for all speeds. A thin sharp hole passes "
    "more oil at Reynolds numbers of some\n"
    "hundred than at high ones, and `two_term` does not follow: it asks for too much pressure. "
    "`run.law: handbook` follows.", thin);

static const struct limit tubes[] = {
  {"tube of 2 diameters, two_term, Re 100", licht, tube_two_term_2, 100, 0.545, "Cd", -8, 8},
  {"tube of 2 diameters, two_term, Re 1000", licht, tube_two_term_2, 1000, 0.760, "Cd", -8, 8},
  {"tube of 4 diameters, two_term, Re 100", licht, tube_two_term_4, 100, 0.459, "Cd", -8, 8},
  {"tube of 4 diameters, two_term, Re 1000", licht, tube_two_term_4, 1000, 0.715, "Cd", -8, 8},
  {"tube of 2 diameters, handbook, Re 1000", licht, tube_handbook_2, 1000, 0.760, "Cd", 5, 20},
};
LIMIT_GROUP(limit_short_tubes, "Short tubes near a Reynolds number of 1000",
    "Published correlations for short tubes differ by 12 % among themselves at Reynolds 1000 and "
    "by 5 % at 10 000. No law of the three is\n"
  "better founded than that; `--law all` shows what the choice is worth.", tubes);

static const struct limit opened[] = {
  {"pressure drop of an opened hole, 6.35 mm in a 4 mm wall, two_term over handbook, Re 300",
    "Idelchik, section 4", opened_drop, 300, 1, "", 25, 50},
  {"the same, Re 1000", "Idelchik, section 4", opened_drop, 1000, 1, "", 25, 50},
  {"the same, Re 4000", "Idelchik, section 4", opened_drop, 4000, 1, "", 25, 50},
};
LIMIT_GROUP(limit_opened_holes, "Opened holes: the laws disagree",
    "For walls of 0.4 to 0.6 diameters and Reynolds numbers of 100 to 4000 the default law needs "
    "up to 40 % more pressure than the\n"
    "handbook's table. What the choice of law does to an answer is part of the stated error of "
    "every comparison.", opened);

static const char sum[] = "sum of the two flows";
// Steady damping force of one leg by another law over that by two_term.
struct steady_case { int valved; enum df_law law; double speed; /* m/s */ };
static double damping_of(const struct steady_case *c, enum df_law law)
{
  struct df_scenario s;
  struct df_steady steady = {.damping = NAN};
  appendix_a_scenario(&s, c->valved);
  s.run.law = law;
  struct df_leg_model *leg = df_leg_create(&s, 0, 0);
  if (leg && df_leg_steady(leg, 0.5*s.side[0].leg.travel, c->speed, &steady)) steady.damping = NAN;
  df_leg_destroy(leg);
  return steady.damping;
}

static const struct steady_case steady_cases[] = {
  {0, DF_LAW_HANDBOOK, 1}, {0, DF_LAW_LICHTAROWICZ, 1}, {0, DF_LAW_HANDBOOK, -0.3}, {0, DF_LAW_LICHTAROWICZ, -0.3},
  {1, DF_LAW_HANDBOOK, 1}, {1, DF_LAW_HANDBOOK, 0.3}, {1, DF_LAW_LICHTAROWICZ, 0.3}, {1, DF_LAW_HANDBOOK, -1}};

static double law_ratio(double which)
{
  const struct steady_case *c = &steady_cases[(int)which];
  return damping_of(c, c->law)/damping_of(c, DF_LAW_TWO_TERM);
}

// The same with one coefficient of its published range, or one gap measured 0.01 mm wider, over the usual value.
static double coefficient_ratio(double which)
{
  struct df_scenario s[2];
  struct df_steady steady[2];
  double speed = which < 3 ? 1 : -0.3;
  for (int i = 0; i < 2; i++) {
    appendix_a_scenario(&s[i], 0);
    struct df_side *side = &s[i].side[0];
    if (i == 0 && which < 2) side->leg.check_valve.discharge = which < 1 ? 0.55 : 0.8;
    if (i == 0 && which == 2) side->rod.bore_loss = 2.5;
    if (i == 0 && which == 3) side->leg.check_leak.gap = 0.06e-3;
    struct df_leg_model *leg = df_leg_create(&s[i], 0, 0);
    if (!leg || df_leg_steady(leg, 0.065, speed, &steady[i])) steady[i].damping = NAN;
    df_leg_destroy(leg);
  }
  return steady[0].damping/steady[1].damping;
}

// Overshoot of a dive (0 to 6 m/s2 in 0.25 s from 40 km/h on a flat road) at one bush friction over that at 0.03.
static double overshoot(int valved, double friction) // m
{
  struct df_scenario s;
  double value = NAN;
  struct df_case one = {.scenario = &s, .values = &value};
  struct df_wanted wanted = {0, df_measure_find("dive_overshoot")};
  struct df_ride_options options = {.tolerance = 1e-5};
  appendix_a_scenario(&s, valved);
  s.seals.bush_friction = friction;
  s.road_n = 1;
  s.road[0] = (struct df_road){.name = "stop", .kind = df_road_kind_find("flat"), .speed = 40/3.6, .window = NAN, .repeat = 1, .gap = 1,
                               .contact = -1, .has_brake = 1, .brake = {6, 0.25, 1.5, 0.1}, .keys = {100}};
  return df_cases_run(&one, 1, &wanted, 1, &options, 1, 0) ? NAN : value;
}

static double overshoot_ratio(double which)
{
  int valved = which >= 2;
  return overshoot(valved, fmod(which, 2) < 1 ? 0.01 : 0.09)/overshoot(valved, 0.03);
}

static const struct limit side_by_side[] = {
  {"2 x 6 mm with 4 x 6.35 mm, flow at the worst pressure", sum, parallel_rule, 0, 1, "", 0, 0.2},
  {"2 x 4 mm with 2 x 6.35 mm", sum, parallel_rule, 1, 1, "", 3, 5},
  {"2 x 2 mm with 2 x 8 mm", sum, parallel_rule, 2, 1, "", 3, 6},
};
LIMIT_GROUP(limit_side_by_side, "Groups of unlike holes side by side",
    "Under `two_term` several groups are one restriction, found by a closed rule instead of by "
    "adding flows. Other laws add flows.", side_by_side);

static const char by_two_term[] = "two_term";
static const struct limit forces[] = {
  {"plain rod, +1 m/s, handbook over two_term", by_two_term, law_ratio, 0, 1, "", -10, -4},
  {"plain rod, +1 m/s, lichtarowicz over two_term", by_two_term, law_ratio, 1, 1, "", -8, -3},
  {"plain rod, -0.3 m/s, handbook over two_term", by_two_term, law_ratio, 2, 1, "", -3, 0},
  {"plain rod, -0.3 m/s, lichtarowicz over two_term", by_two_term, law_ratio, 3, 1, "", -3, 0},
  {"valved, +1 m/s, handbook over two_term", by_two_term, law_ratio, 4, 1, "", -2, 0},
  {"valved, +0.3 m/s, handbook over two_term", by_two_term, law_ratio, 5, 1, "", -2, 1},
  {"valved, +0.3 m/s, lichtarowicz over two_term", by_two_term, law_ratio, 6, 1, "", -1, 1},
  {"valved, -1 m/s, handbook over two_term", by_two_term, law_ratio, 7, 1, "", -1, 1},
  {"plain rod, +1 m/s, check valve's discharge 0.55 for 0.7", "usual value", coefficient_ratio, 0,
    1, "", 30, 48},
  {"plain rod, +1 m/s, check valve's discharge 0.8 for 0.7", "usual value", coefficient_ratio, 1, 1,
    "", -22, -10},
  {"plain rod, +1 m/s, bore loss 2.5 for 2.0", "usual value", coefficient_ratio, 2, 1, "", 0, 2},
  {"plain rod, -0.3 m/s, leak gap 0.06 for 0.05 mm", "usual value", coefficient_ratio, 3, 1, "", -4,
    0},
};
LIMIT_GROUP(limit_forces, "Damping force: what laws and coefficients are worth",
    "One leg of a 41 mm fork in the middle of its travel, 2 x 6 mm holes or 6 x 6.35 mm with a "
    "valve. Coefficients come from\n"
    "handbooks and have not been fitted to any fork; struts in print were up to 30 % off in force "
    "until they were (NACA TN 3426).", forces);

static const char as_usual[] = "bush friction 0.03";
static const struct limit friction[] = {
  {"plain rod, overshoot of a dive at bush friction 0.01", as_usual, overshoot_ratio, 0, 1, "", 88, 98},
  {"plain rod, overshoot of a dive at bush friction 0.09", as_usual, overshoot_ratio, 1, 1, "", -100, -98},
  {"valved, overshoot of a dive at bush friction 0.01", as_usual, overshoot_ratio, 2, 1, "", 185, 206},
  {"valved, overshoot of a dive at bush friction 0.09", as_usual, overshoot_ratio, 3, 1, "", -100, -98},
};
LIMIT_GROUP(limit_friction, "Bush friction: what a factor of three is worth",
    "The friction coefficient of the bushes is not known within a factor of three, and it decides "
    "how far a dive overshoots its\nrest: more than the valve does. 6 m/s2 from 40 km/h, the brake "
    "applied in 0.25 s.", friction);

const char left_out_text[] =
  "Sizes are estimates made outside the program; no check stands behind them.\n\n"
    "- The check plate's own travel: 0.3 to 1 mm of lost stroke at each reversal. It matters on "
    "ripples.\n"
  "- Release of dissolved air: voids close more slowly and more softly than computed.\n"
  "- Drag flow of the moving wall in gaps: 0.3 % of the swept flow at 0.05 mm.\n"
  "- Inertia of the oil in the rod's bore.\n"
  "- Bending of the tubes, and any couple on the slider beyond rake, wheel load and caliper.\n"
    "- Pitch of the bike: the rake falls by about 2 degrees in a full dive; load transfer is taken "
    "at fixed height and wheelbase.\n"
  "- Fore-and-aft freedom of the chassis: 6 % of the horizontal share of a blow.\n"
  "- Stiffness of the tyre along a tilted contact: 16 % at a slope of 0.44.\n"
    "- Loss coefficients are a handbook's, not fitted to a fork: up to 30 % in force until `fit` "
    "has seen a measurement.\n"
    "\nNo figure of this page, and none of the model's, has been measured on a damper-rod fork: no "
    "such data were found.\n";
