// Units: every word that a scenario may use, against UDUNITS-2 asked by other names, and against printed factors.
#include <math.h>
#include <stdio.h>
#include <udunits2.h>

#include "evidence.h"
#include "scenario/units.h"

// The word as a scenario has it; the same thing in the data base's own long names, and its SI unit.
static const struct { const char *ours, *theirs, *si; } words[] = {
  {"m", "meter", "m"}, {"cm", "centimeter", "m"}, {"mm", "millimeter", "m"}, {"um", "micrometer",
    "m"}, {"km", "kilometer", "m"},
  {"in", "international_inch", "m"}, {"ft", "international_foot", "m"},
  {"m2", "meter^2", "m2"}, {"mm2", "millimeter^2", "m2"}, {"cm2", "centimeter^2", "m2"},
  {"m3", "meter^3", "m3"}, {"cm3", "centimeter^3", "m3"}, {"ml", "milliliter", "m3"}, {"l", "liter",
    "m3"},
  {"kg", "kilogram", "kg"}, {"g", "gram", "kg"}, {"t", "metric_ton", "kg"}, {"lb",
    "avoirdupois_pound", "kg"},
  {"N", "newton", "kg.m/s2"}, {"kN", "kilonewton", "kg.m/s2"}, {"kgf", "kilogram_force", "kg.m/s2"},
    {"lbf", "pound_force", "kg.m/s2"},
  {"Pa", "pascal", "kg/m/s2"}, {"kPa", "kilopascal", "kg/m/s2"}, {"MPa", "megapascal", "kg/m/s2"},
    {"GPa", "gigapascal", "kg/m/s2"},
  {"bar", "1e5 pascal", "kg/m/s2"}, {"psi", "pound_force/international_inch^2", "kg/m/s2"},
  {"J", "joule", "kg.m2/s2"}, {"W", "watt", "kg.m2/s3"}, {"s", "second", "s"}, {"ms", "millisecond",
    "s"}, {"min", "minute", "s"},
  {"h", "hour", "s"}, {"Hz", "hertz", "1/s"}, {"K", "kelvin", "K"}, {"degC", "celsius", "K"},
    {"degF", "fahrenheit", "K"},
  {"rad", "radian", "radian"}, {"degree", "arc_degree", "radian"}, {"cSt", "centistokes", "m2/s"},
    {"cP", "centipoise", "kg/m/s"},
  {"mph", "international_mile/hour", "m/s"}, {"%", "percent", "1"},
  {"N/mm", "newton/millimeter", "kg/s2"}, {"N.s/m", "newton second/meter", "kg/s"}, {"kgf/mm",
    "kilogram_force/millimeter", "kg/s2"},
  {"lbf/in", "pound_force/international_inch", "kg/s2"}, {"mm2/s", "millimeter^2/second", "m2/s"},
    {"kg/m3", "kilogram/meter^3", "kg/m3"},
  {"km/h", "kilometer/hour", "m/s"}, {"m/s2", "meter/second^2", "m/s2"}, {"kg.m2",
    "kilogram meter^2", "kg.m2"},
  {"N/bar", "newton/(1e5 pascal)", "m2"}, {"W/K", "watt/kelvin", "kg.m2/s3/K"}, {"J/K",
    "joule/kelvin", "kg.m2/s2/K"},
};
enum { WORDS = sizeof words/sizeof words[0] };

static double ours(const char *word, double value)
{
  struct df_units *units = df_units_create(0);
  char why[200];
  const struct df_unit *unit = units ? df_unit_find(units, word, why, sizeof why) : 0;
  double si = unit ? df_unit_to_si(unit, value) : NAN;
  df_units_destroy(units);
  return si;
}

static double theirs(ut_system *system, int at, double value)
{
  ut_unit *from = ut_parse(system, words[at].theirs, UT_ASCII), *to = ut_parse(system, words[at].si, UT_ASCII);
  cv_converter *convert = from && to ? ut_get_converter(from, to) : 0;
  double si = convert ? cv_convert_double(convert, value) : NAN;
  if (convert) cv_free(convert);
  if (from) ut_free(from);
  if (to) ut_free(to);
  return si;
}

// Largest relative difference over all words, at two values each.
static double worst_word(double value)
{
  ut_set_error_message_handler(ut_ignore);
  ut_system *system = ut_read_xml(0);
  struct df_units *units = df_units_create(0);
  double worst = system && units ? 0 : NAN;
  for (int i = 0; i < WORDS && isfinite(worst); i++) {
    char why[200];
    const struct df_unit *unit = df_unit_find(units, words[i].ours, why, sizeof why);
    double want = theirs(system, i, value), off = unit ? fabs(df_unit_to_si(unit, value)/want - 1) : NAN;
    if (!(off <= 1e-13)) printf("# unit %s: off by %.3g\n", words[i].ours, off);
    if (!(off <= worst)) worst = off;
  }
  df_units_destroy(units);
  if (system) ut_free_system(system);
  return worst;
}

static double pounds_force(double n) { return ours("lbf", n); }
static double pounds_an_inch(double n) { return ours("lbf/in", n); }
static double pounds_a_square_inch(double n) { return ours("psi", n)/1e3; }
static double miles_an_hour(double n) { return ours("mph", n); }
static double fahrenheit(double n) { return ours("degF", n) - 273.15; }
static double kilograms_a_millimetre(double n) { return ours("kgf/mm", n)/1e3; }

static const char database[] = "UDUNITS-2 data base, asked by its own long names";
static const char nist[] = "NIST Special Publication 811, appendix B.8 (from memory)";

static const struct evidence rows[] = {
  {"units", 'C', database, "56 words and compounds, each at 1", "largest relative difference 0",
    worst_word, 1, 0, 1e-13, "", "round-off of two conversions"},
  {"units", 'C', database, "the same at 273.25", "largest relative difference 0", worst_word,
    273.25, 0, 1e-13, "", "round-off of two conversions"},
  {"units", 'M', nist, "pound-force", "4.448222 N", pounds_force, 1, 4.448222, 6e-7, "N",
    "half of the last digit"},
  {"units", 'M', nist, "pound-force per inch", "175.1268 N/m", pounds_an_inch, 1, 175.1268, 6e-5,
    "N/m", "half of the last digit"},
  {"units", 'M', nist, "pound-force per square inch", "6.894757 kPa", pounds_a_square_inch, 1,
    6.894757, 6e-7, "kPa", "half of the last digit"},
  {"units", 'M', nist, "mile per hour", "0.44704 m/s", miles_an_hour, 1, 0.44704, 1e-12, "m/s",
    "exact"},
  {"units", 'M', nist, "kilogram-force", "9.80665 N: 1 kgf/mm is 9.80665 N/mm",
    kilograms_a_millimetre, 1, 9.80665, 1e-12, "N/mm", "exact"},
  {"units", 'M', nist, "degree Fahrenheit", "212 degF are 100 degC", fahrenheit, 212, 100, 1e-9,
    "degC", "exact"},
};
EVIDENCE_GROUP(evidence_units, "units", rows);
