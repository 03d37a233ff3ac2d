// Oil: viscosity against temperature, viscosity index, blends, density, stiffness with entrained air.
#include <math.h>

#include "dampfork/oil.h"
#include "evidence.h"

static const double mm2 = 1e-6;         // m2/s in a mm2/s
static const double psi = 6894.757293;  // Pa

static struct df_oil oil_of(double nu40, double nu100, double rho15)
{
  return (struct df_oil){.viscosity_40 = nu40*mm2, .viscosity_100 = nu100*mm2, .viscosity_index = NAN, .density_15 = rho15,
    .temperature = 303.15, .air_fraction = 0.005, .vapour_pressure = 1000, .bulk_modulus = 1.5e9, .wall_modulus = 7e9};
}

// ---- viscosity and temperature
static double gear_oil(double celsius)
{
  struct df_oil oil = oil_of(404, 28, 870);
  return df_oil_viscosity(&oil, celsius + 273.15)/mm2;
}

static double grade_32(double celsius)
{
  struct df_oil oil = oil_of(32, 5.4, 870);
  return df_oil_viscosity(&oil, celsius + 273.15)/mm2;
}

static double grade_15(double celsius)
{
  struct df_oil oil = oil_of(15, 3.5, 870);
  return df_oil_viscosity(&oil, celsius + 273.15)/mm2;
}

static double walther_a(double nu40)
{
  double a, b;
  df_oil_walther(nu40*mm2, (nu40 > 20 ? 5.4 : 3.5)*mm2, &a, &b);
  return a;
}

static double walther_b(double nu40)
{
  double a, b;
  df_oil_walther(nu40*mm2, (nu40 > 20 ? 5.4 : 3.5)*mm2, &a, &b);
  return b;
}

// ---- viscosity index; the argument is a row of the table
static const double pairs[][2] = { // mm2/s at 40 and 100 C
  {73.30, 8.86}, {22.83, 5.05}, {118.5, 8.80}, {176.6, 11.1}, {96.45, 11.1}, {180.2, 17},
  {68, 8.80}, {138.9, 18.1}, {119.6, 15}, {70, 11.1}, {30, 5.23}, {73.50, 8.86}};

static double index_of(double row)
{
  return df_oil_viscosity_index(pairs[(int)row][0]*mm2, pairs[(int)row][1]*mm2);
}

static double nu100_of_index(double index)
{
  return df_oil_viscosity_100((index > 100 ? 22.83 : 68)*mm2, index)/mm2;
}

// ---- blends
static double mixed_20_16(double share)
{
  double nu[2] = {20*mm2, 16*mm2}, part[2] = {share, 1 - share};
  return df_oil_blend(nu, part, 2)/mm2;
}

static double half_and_half(double thick)
{
  double nu[2] = {(thick > 50 ? 32 : 15)*mm2, thick*mm2}, part[2] = {0.5, 0.5};
  return df_oil_blend(nu, part, 2)/mm2;
}

// ---- density
static double density_870(double celsius)
{
  struct df_oil oil = oil_of(32, 5.4, 870);
  return df_oil_density(&oil, celsius + 273.15);
}

// ---- stiffness
static double handbook_factor(double gauge)
{
  double liquid = 1.5e9; // Pa
  return df_oil_modulus_polytropic(liquid, 0.02, 1, 14.696*psi, (gauge + 14.696)*psi)/liquid;
}

static double state_factor(double gauge)
{
  double liquid = 1.5e9; // Pa
  struct df_oil_state state = {.air = 0.02/1.02, .modulus = liquid, .vapour = 0};
  return df_oil_modulus(&state, (gauge + 14.696)*psi)/liquid;
}

static double polytropic_modulus(double bar)
{
  return df_oil_modulus_polytropic(1.6e9, 0.01, 1.4, 1e5, bar*1e5)/1e9;
}

static const char d2270[] = "ASTM D2270, Calculating viscosity index";
static const char quadratics[] = "the quadratics of its appendix X2 that the library uses are "
  "within 0.3 of its own table, and the figure is a whole number";
static const char lubricalc[] = "L. Pozo Ramos, lubricalc, test suite, 2018";
static const char sheet[] = "Scribd document 361017004, Viscosity against temperature by ASTM "
  "D341 (worked spreadsheet)";
static const char olezol[] = "olezol.com, Viscosity-temperature calculator after ASTM D341";
static const char chart[] = "Hydraulic handbook on line, Bulk modulus (actual), charts";
static const char d341[] = "ASTM D341, the law itself, solved apart in double precision";
static const char d1250[] = "ASTM D1250 (1980), table 54D, the formula solved apart";

static const struct evidence rows[] = {
  {"oil", 'P', d2270, "worked example, procedure A",
    "40 C 73.30, 100 C 8.86 mm2/s: L 119.94, H 69.48, index 92", index_of, 0, 92, 0.8, "",
    quadratics},
  {"oil", 'P', d2270, "worked example, procedure B", "22.83 and 5.05 mm2/s: index 156", index_of, 1,
    156, 0.8, "", quadratics},
  {"oil", 'P', d2270, "table 1, row 8.80", "L 118.5: an oil of 118.5 mm2/s at 40 C has the index 0",
    index_of, 2, 0, 0.3, "", "quadratics against table, as the appendix states"},
  {"oil", 'P', d2270, "table 1, row 11.1", "L 176.6: index 0", index_of, 3, 0, 0.3, "",
    "quadratics against table"},
  {"oil", 'P', d2270, "table 1, row 11.1", "H 96.45: index 100", index_of, 4, 100, 0.3, "",
    "quadratics against table"},
  {"oil", 'P', d2270, "table 1, row 17", "H 180.2: index 100", index_of, 5, 100, 0.3, "",
    "quadratics against table"},
  {"oil", 'P', olezol, "page on the viscosity index", "68 and 8.80 mm2/s: index 102", index_of, 6,
    102, 0.8, "", quadratics},
  {"oil", 'P', olezol, "page on ASTM D341", "404 mm2/s at 40 C, 28 at 100 C: 132.126 mm2/s at 60 C",
    gear_oil, 60, 132.126, 0.0005, "mm2/s", "half of the last digit printed"},
  {"oil", 'P', lubricalc, "test_viscosity_index_145", "138.9 and 18.1 mm2/s: index 145", index_of,
    7, 145, 0.8, "", quadratics},
  {"oil", 'P', lubricalc, "test_viscosity_at_40", "100 C 15 mm2/s, index 130: 119.6 mm2/s at 40 C",
    index_of, 8, 130, 0.8, "", quadratics},
  {"oil", 'C', d2270, "the inverse, on the worked example",
    "22.83 mm2/s at 40 C, index 156.5: 5.05 mm2/s at 100 C", nu100_of_index, 156.464, 5.05, 0.005,
    "mm2/s", "its own index to a hundredth"},
  {"oil", 'P', lubricalc, "test_oil_mix", "45 % of 20 and 55 % of 16 mm2/s at 100 C: 17.67 mm2/s",
    mixed_20_16, 0.45, 17.67, 0.09, "mm2/s",
    "it adds 1.8 mm2/s in the double logarithm where ASTM adds 0.7: half a percent at most here"},
  {"oil", 'P', sheet, "output", "32 mm2/s at 40 C, 5.4 at 100 C: 8.5 mm2/s at 80 C", grade_32, 80,
    8.5, 0.055, "mm2/s", "half of the last digit printed, and 273 for 273.15 K"},
  {"oil", 'P', sheet, "constants", "A 9.5259", walther_a, 32, 9.5259, 0.006, "",
    "the sheet takes 0 C as 273 K: 0.05 % in A"},
  {"oil", 'P', sheet, "constants", "B 3.7449", walther_b, 32, 3.7449, 0.003, "",
    "the sheet takes 0 C as 273 K: 0.05 % in B"},
  {"oil", 'P', chart, "2 % air, 500 psi",
    "factor 0.80 on the bulk modulus (its liquid is not stated; 1.5 GPa taken)", handbook_factor,
    500, 0.80, 0.02, "",
    "read from a chart in steps of 0.01; 0.3 GPa more in the liquid is 0.03 here"},
  {"oil", 'P', chart, "2 % air, 2000 psi", "factor 0.98", handbook_factor, 2000, 0.98, 0.01, "",
    "read from a chart in steps of 0.01; hardly depends on the liquid here"},
  {"oil", 'P', chart, "2 % air, 500 psi, by the state equation", "factor 0.80", state_factor, 500,
    0.80, 0.02, "", "as above"},
  {"oil", 'P', chart, "2 % air, 2000 psi, by the state equation", "factor 0.98", state_factor, 2000,
    0.98, 0.015, "",
    "read from a chart; the state equation's oil shrinks, the chart's does not (0.4 %)"},
  {"oil", 'C', d341, "32 and 5.4 mm2/s", "0 C: 336.00 mm2/s", grade_32, 0, 336.00, 0.006, "mm2/s",
    "half of the last digit computed"},
  {"oil", 'C', d341, "32 and 5.4 mm2/s", "20 C: 86.278 mm2/s", grade_32, 20, 86.278, 0.0006,
    "mm2/s", "half of the last digit computed"},
  {"oil", 'C', d341, "15 and 3.5 mm2/s", "60 C: 8.213 mm2/s", grade_15, 60, 8.213, 0.0006, "mm2/s",
    "half of the last digit computed"},
  {"oil", 'C', d341, "15 and 3.5 mm2/s", "A 9.35617", walther_a, 15, 9.35617, 6e-6, "",
    "half of the last digit computed"},
  {"oil", 'C', d341, "15 and 3.5 mm2/s", "B 3.71771", walther_b, 15, 3.71771, 6e-6, "",
    "half of the last digit computed"},
  {"oil", 'C', d2270, "appendix X2, solved apart with the full table", "70 and 11.1 mm2/s: 150.2",
    index_of, 9, 150.2, 0.4, "", "quadratics against table"},
  {"oil", 'C', d2270, "appendix X2, solved apart with the full table", "30 and 5.23 mm2/s: 104.7",
    index_of, 10, 104.7, 0.4, "", "quadratics against table"},
  {"oil", 'C', "ASTM D7152, double logarithm with 0.7 mm2/s by volume, solved apart",
    "half and half", "32 and 68 mm2/s: 45.86", half_and_half, 68, 45.86, 0.006, "mm2/s",
    "half of the last digit computed"},
  {"oil", 'C', "ASTM D7152, double logarithm with 0.7 mm2/s by volume, solved apart",
    "half and half", "15 and 32 mm2/s: 21.473", half_and_half, 32, 21.473, 0.0006, "mm2/s",
    "half of the last digit computed"},
  {"oil", 'C', d1250, "870 kg/m3 at 15 C", "20 C: 866.86 kg/m3", density_870, 20, 866.86, 0.006,
    "kg/m3", "half of the last digit computed"},
  {"oil", 'C', d1250, "870 kg/m3 at 15 C", "40 C: 854.22 kg/m3", density_870, 40, 854.22, 0.006,
    "kg/m3", "half of the last digit computed"},
  {"oil", 'C', d1250, "870 kg/m3 at 15 C", "80 C: 828.68 kg/m3", density_870, 80, 828.68, 0.006,
    "kg/m3", "half of the last digit computed"},
  {"oil", 'C', "Bulk modulus with entrained air, handbook formula solved apart",
    "1 % air, n 1.4, 1.6 GPa", "5 bar: 0.1948 GPa", polytropic_modulus, 5, 0.1948, 6e-5, "GPa",
    "half of the last digit computed"},
  {"oil", 'C', "Bulk modulus with entrained air, handbook formula solved apart",
    "1 % air, n 1.4, 1.6 GPa", "100 bar: 1.535 GPa", polytropic_modulus, 100, 1.535, 6e-4, "GPa",
    "half of the last digit computed"},
};
EVIDENCE_GROUP(evidence_oil, "oil", rows);
