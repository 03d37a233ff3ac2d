// Where the model is known to be off: figures, and the bands that checks hold them to.
#include "evidence.h"
#include "holes.h"
#include "page.h"

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
  "The default law `two_term` has one loss coefficient for all speeds. A thin sharp hole passes more oil at Reynolds numbers of some\n"
  "hundred than at high ones, and `two_term` does not follow: it asks for too much pressure. `run.law: handbook` follows.", thin);

static const struct limit tubes[] = {
  {"tube of 2 diameters, two_term, Re 100", licht, tube_two_term_2, 100, 0.545, "Cd", -8, 8},
  {"tube of 2 diameters, two_term, Re 1000", licht, tube_two_term_2, 1000, 0.760, "Cd", -8, 8},
  {"tube of 4 diameters, two_term, Re 100", licht, tube_two_term_4, 100, 0.459, "Cd", -8, 8},
  {"tube of 4 diameters, two_term, Re 1000", licht, tube_two_term_4, 1000, 0.715, "Cd", -8, 8},
  {"tube of 2 diameters, handbook, Re 1000", licht, tube_handbook_2, 1000, 0.760, "Cd", 5, 20},
};
LIMIT_GROUP(limit_short_tubes, "Short tubes near a Reynolds number of 1000",
  "Published correlations for short tubes differ by 12 % among themselves at Reynolds 1000 and by 5 % at 10 000. No law of the three is\n"
  "better founded than that; `--law all` shows what the choice is worth.", tubes);

static const struct limit opened[] = {
  {"pressure drop of an opened hole, 6.35 mm in a 4 mm wall, two_term over handbook, Re 300", "Idelchik, section 4", opened_drop, 300, 1, "", 25, 50},
  {"the same, Re 1000", "Idelchik, section 4", opened_drop, 1000, 1, "", 25, 50},
  {"the same, Re 4000", "Idelchik, section 4", opened_drop, 4000, 1, "", 25, 50},
};
LIMIT_GROUP(limit_opened_holes, "Opened holes: the laws disagree",
  "For walls of 0.4 to 0.6 diameters and Reynolds numbers of 100 to 4000 the default law needs up to 40 % more pressure than the\n"
  "handbook's table. What the choice of law does to an answer is part of the stated error of every comparison.", opened);

const char left_out_text[] =
  "Sizes are estimates made outside the program; no check stands behind them.\n\n"
  "- The check plate's own travel: 0.3 to 1 mm of lost stroke at each reversal. It matters on ripples.\n"
  "- Release of dissolved air: voids close more slowly and more softly than computed.\n"
  "- Drag flow of the moving wall in gaps: 0.3 % of the swept flow at 0.05 mm.\n"
  "- Inertia of the oil in the rod's bore.\n"
  "- Bending of the tubes, and any couple on the slider beyond rake, wheel load and caliper.\n"
  "- Pitch of the bike: the rake falls by about 2 degrees in a full dive; load transfer is taken at fixed height and wheelbase.\n"
  "- Fore-and-aft freedom of the chassis: 6 % of the horizontal share of a blow.\n"
  "- Stiffness of the tyre along a tilted contact: 16 % at a slope of 0.44.\n"
  "- Loss coefficients are a handbook's, not fitted to a fork: up to 30 % in force until `fit` has seen a measurement.\n"
  "- The friction coefficient of the bushes is not known within a factor of three.\n\n"
  "No figure of this page, and none of the model's, has been measured on a damper-rod fork: no such data were found.\n";
