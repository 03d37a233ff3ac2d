// Numbers, quantities, claims and series as people write them; what is said when they do not fit.
#include "near.h"

#include "base/table.h"
#include "scenario/params.h"
#include "scenario/quantity.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define TEXT "what is written"

static struct df_units *units;
static char why[DF_WHY_MAX];
static struct df_quantity got;

static void setup(void)
{
  units = df_units_create(NULL);
}

static void teardown(void)
{
  df_units_destroy(units);
}

static const struct df_param *row(const struct df_section *section, const char *key)
{
  const struct df_param *found = df_section_find(section, key);
  ck_assert_ptr_nonnull(found);
  return found;
}

START_TEST(numbers)
{
  double x;
  static const struct { const char *text; double value; const char *rest;
  } good[] = {
      {"9 N/mm", 9, " N/mm"}, {"-1.5e3", -1500, ""}, {"+.5m", 0.5, "m"}, {"5.", 5, ""},
      {"1e", 1, "e"},         {"2e+x", 2, "e+x"},    {"0.1", 0.1, ""},   {"1E-3 mm", 1e-3, " mm"},
  };
  for (size_t i = 0; i < sizeof good/sizeof good[0]; i++) {
    const char *rest = df_number_read(good[i].text, &x);
    ck_assert_msg(rest != NULL, "%s", good[i].text);
    ck_assert_str_eq(rest, good[i].rest);
    near(x, good[i].value, 0, TEXT);
  }
  static const char *const bad[] = { "", "x", ".", "-", "+-1", "inf", "nan", "0x10", "1e999", "- 5",
    "11111111111111111111111111111111111111111111111111111111111111111111" };
  for (size_t i = 0; i < sizeof bad/sizeof bad[0]; i++) {
    const char *rest = df_number_read(bad[i], &x);
    ck_assert_msg(!rest || *rest, "%s", bad[i]); // "0x10" is 0 with "x10" behind it
  }
}
END_TEST

static void reads(const struct df_param *param, const char *text, double si,
                  enum df_verdict verdict)
{
  enum df_verdict said = df_quantity_read(units, param, text, &got, why, sizeof why);
  ck_assert_msg(said == verdict, "%s: verdict %d: %s", text, said, said ? why : "");
  near_share(got.si, si, 1e-14, TEXT);
}

static void wrong(const struct df_param *param, const char *text, const char *sentence)
{
  ck_assert_int_eq(df_quantity_read(units, param, text, &got, why, sizeof why), DF_WRONG);
  ck_assert_str_eq(why, sentence);
}

START_TEST(quantities)
{
  const struct df_param *rate = row(&df_spring_section, "rate"),
                        *preload = row(&df_valve_section, "preload");
  reads(rate, "9 N/mm", 9000, DF_FINE);
  reads(rate, "9N/mm", 9000, DF_FINE);
  reads(rate, " 9  N/mm", 9000, DF_FINE);
  reads(rate, "0.92 kgf/mm", 0.92*9806.65, DF_FINE);
  reads(preload, "3 turn", 3, DF_FINE);
  ck_assert_int_eq(got.other, 1);
  reads(preload, "3 mm", 0.003, DF_FINE);
  ck_assert_int_eq(got.other, 0);
  reads(row(&df_bike_section, "front_share"), "48 %", 0.48, DF_FINE);
  reads(row(&df_oil_section, "temperature"), "86 degF", 303.15, DF_FINE);
  reads(row(&df_valve_section, "port_discharge"), "0.7", 0.7, DF_FINE);
  reads(row(&df_valve_section, "port_discharge"), "70 %", 0.7, DF_FINE);
  reads(row(&df_bike_section, "legs"), "2", 2, DF_FINE);
}
END_TEST

START_TEST(readings_that_would_fit)
{
  wrong(row(&df_spring_section, "rate"), "0.92 N/mm",
        "0.92 N/mm is far too soft; allowed: 2 to 100 N/mm. 0.92 kgf/mm is 9.02 N/mm?");
  wrong(row(&df_bike_section, "rake"), "64 degree",
        "64 degree is far too large; allowed: 0 to 45 degree. measured from the ground? 26 degree");
  wrong(row(&df_leg_section, "tube_outside"), "4.1 mm",
        "4.1 mm is far too small; allowed: 15 to 80 mm. 4.1 cm is 41 mm?");
  wrong(row(&df_spring_section, "mass"), "420 kg",
        "420 kg is far too heavy; allowed: 0.01 to 5 kg. 420 g is 0.42 kg?");
  ck_assert_int_eq(df_quantity_read(units, row(&df_valve_section, "spring_rate"), "1.1 N/mm", &got,
                                    why, sizeof why),
                   DF_ODD);
  ck_assert_str_eq(why, "1.1 N/mm is unusual; usual: 2 to 60 N/mm. 1.1 kgf/mm is 10.8 N/mm?");
  ck_assert_int_eq(df_quantity_read(units, row(&df_oil_section, "temperature"), "100 degC", &got,
                                    why, sizeof why),
                   DF_ODD);
  ck_assert_str_eq(why, "100 degC is unusual; usual: -20 to 90 degC. 100 degF is 37.8 degC?");
  reads(row(&df_rider_section, "mass"), "0 kg", 0, DF_FINE); // nobody: switched off, not questioned
}
END_TEST

START_TEST(units_that_do_not_fit)
{
  wrong(row(&df_tyre_section, "stiffness"), "150 mm",
        "mm is m in base units; N/mm is wanted here, that is kg/s2");
  wrong(row(&df_spring_section, "rate"), "0.9 kg/mm",
        "kg/mm is kg/m in base units; N/mm is wanted here, that is kg/s2; kgf/mm?");
  wrong(row(&df_spring_section, "rate"), "9", "no unit; write 9 N/mm");
  wrong(row(&df_bike_section, "front_share"), "0.48",
        "no unit; write 0.48 % or, for a share of one, 48 %");
  wrong(row(&df_valve_section, "preload"), "3", "no unit; write 3 mm or 3 turn");
  wrong(row(&df_spring_section, "preload"), "3 turn",
        "turns count for valve.preload alone; mm is wanted here");
  wrong(row(&df_spring_section, "rate"), "9 N/m m",
        "'N/m m' cannot be read as a unit; units are written as in N/mm, mm2/s, N.s/m");
  wrong(row(&df_valve_section, "port_discharge"), "0.7 mm",
        "mm is m in base units; a number without unit is wanted here");
  wrong(row(&df_valve_section, "preload"), "3 kg",
        "kg is kg in base units; mm is wanted here, that is m, or turn");
}
END_TEST

START_TEST(numbers_that_do_not_fit)
{
  const struct df_param *rate = row(&df_spring_section, "rate"),
                        *legs = row(&df_bike_section, "legs");
  wrong(rate, "25,4 N/mm", "a decimal comma; write 25.4 N/mm");
  wrong(rate, "soft", "'soft' is not a number with a unit, as in 12 N/mm");
  wrong(rate, "1e999 N/mm", "'1e999 N/mm' is not a number that can be used");
  wrong(legs, "2 kg", "a whole number without unit is wanted; 'kg' is too much");
  wrong(legs, "1.5", "1.5 is not a whole number");
  wrong(legs, "3", "3 is far too large; allowed: 1 to 2");
  wrong(row(&df_valve_section, "preload"), "31 turn",
        "31 turn is far too large; allowed: 0 to 30 turn");
  wrong(row(&df_rider_section, "mass"), "-5 kg", "-5 kg is far too light; allowed: 0 to 300 kg");
}
END_TEST

START_TEST(claims)
{
  struct df_claim claim;
  ck_assert_int_eq(df_claim_read(units, "92 mm +- 2 %", &claim, why, sizeof why), 1);
  near(claim.low, 0.092, 1e-17, TEXT);
  near(claim.tolerance, 0.02, 1e-17, TEXT);
  ck_assert_int_eq(claim.tolerance_share, 1);
  ck_assert_int_eq(df_claim_read(units, "92 mm +- 0.2 cm", &claim, why, sizeof why), 1);
  near(claim.tolerance, 0.002, 1e-17, TEXT);
  ck_assert_int_eq(df_claim_read(units, "4 +- 1", &claim, why, sizeof why), 1);
  near(claim.tolerance, 1, 0, TEXT);
  ck_assert_int_eq(df_claim_read(units, "<= 60 %", &claim, why, sizeof why), 1);
  ck_assert_int_eq(claim.relation, DF_AT_MOST);
  near(claim.high, 0.6, 1e-15, TEXT);
  ck_assert_double_nan(claim.low);
  ck_assert_int_eq(df_claim_read(units, ">= 10 mm", &claim, why, sizeof why), 1);
  ck_assert_int_eq(claim.relation, DF_AT_LEAST);
  ck_assert_int_eq(df_claim_read(units, "30 - 35 %", &claim, why, sizeof why), 1);
  ck_assert_int_eq(claim.relation, DF_BETWEEN);
  near(claim.low, 0.30, 1e-15, TEXT);
  near(claim.high, 0.35, 1e-15, TEXT);
  ck_assert_int_eq(df_claim_read(units, "-4 mm +- 1 mm", &claim, why, sizeof why), 1);
  near(claim.low, -0.004, 1e-17, TEXT);
  static const char *const bad[] = {"",         "about 5 mm", "92 mm +- 2 kg", "92 mm +- -2 mm",
                                    "<=",       "35 - 30 %",  "5 furlong",     "5 mm +-",
                                    "5 mm 6 mm"};
  for (size_t i = 0; i < sizeof bad/sizeof bad[0]; i++) {
    *why = 0;
    ck_assert_msg(!df_claim_read(units, bad[i], &claim, why, sizeof why), "%s was taken", bad[i]);
    ck_assert_msg(*why, "%s: nothing said", bad[i]);
  }
}
END_TEST

START_TEST(series)
{
  double v[10];
  char unit[DF_UNIT_MAX];
  ck_assert_int_eq(df_series_read("1:4:0.5 mm", v, 10, unit, why, sizeof why), 7);
  near(v[6], 4, 0, TEXT);
  ck_assert_str_eq(unit, "mm");
  ck_assert_int_eq(df_series_read("0.1:0.4:0.1 m/s", v, 10, unit, why, sizeof why),
                   4); // 0.1*3 falls short of 0.3 by an ulp
  ck_assert_int_eq(df_series_read("4:1:-1 turn", v, 10, unit, why, sizeof why), 4);
  near(v[3], 1, 0, TEXT);
  ck_assert_int_eq(df_series_read("1, 2,4", v, 10, unit, why, sizeof why), 3);
  ck_assert_str_eq(unit, "1");
  ck_assert_int_eq(df_series_read("7 N/mm", v, 10, unit, why, sizeof why), 1);
  static const char *const bad[] = {
      "",         "1:4 mm", "1:4:0 mm", "4:1:1 mm",   "1:4:0.1 mm",
      "1,2:3 mm", "a",      "1,,2",     "1:2:3:4 mm", "1,2,3,4,5,6,7,8,9,10,11"};
  for (size_t i = 0; i < sizeof bad/sizeof bad[0]; i++) {
    *why = 0;
    ck_assert_msg(df_series_read(bad[i], v, 10, unit, why, sizeof why) == 0, "%s was taken",
                  bad[i]);
    ck_assert_msg(*why, "%s: nothing said", bad[i]);
  }
}
END_TEST

static int round_trip(const struct df_param *param, const char *path, void *arg)
{
  unsigned *random = arg;
  if (param->form != DF_QUANTITY) return 0;
  for (int k = 0; k < 20; k++) {
    *random = *random*1664525u + 1013904223u;
    double share = (double)(*random >> 8) / (1 << 24),
           value = param->low + share * (param->high - param->low);
    char text[80], again[80];
    snprintf(text, sizeof text, "%.9g%s%s", value, strcmp(param->unit, "1") ? " " : "",
             strcmp(param->unit, "1") ? param->unit : "");
    double exact = strtod(text, NULL);
    if (exact < param->low || exact > param->high) continue; // rounded across the border
    enum df_verdict verdict = df_quantity_read(units, param, text, &got, why, sizeof why);
    ck_assert_msg(verdict != DF_WRONG, "%s %s: %s", path, text, why);
    df_unit_print(got.unit, got.si, 9, again, sizeof again);
    ck_assert_msg(!strcmp(text, again), "%s: %s came back as %s", path, text, again);
  }
  return 0;
}

START_TEST(any_value_in_range_comes_back)
{
  unsigned random = 1;
  df_section_walk(&df_scenario_section, "", round_trip, &random);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("quantity");
  TCase *all = tcase_create("all");
  tcase_add_checked_fixture(all, setup, teardown);
  tcase_add_test(all, numbers);
  tcase_add_test(all, quantities);
  tcase_add_test(all, readings_that_would_fit);
  tcase_add_test(all, units_that_do_not_fit);
  tcase_add_test(all, numbers_that_do_not_fit);
  tcase_add_test(all, claims);
  tcase_add_test(all, series);
  tcase_add_test(all, any_value_in_range_comes_back);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
