// Every unit word against its defined value, and what is not a unit.
#include "near.h"

#include "scenario/units.h"

#include <stdio.h>
#include <string.h>
#include <udunits2.h>

#define SI "SI brochure (BIPM) and NIST SP 811"

static struct df_units *units;
static char why[300];

static void setup(void)
{
  units = df_units_create(NULL);
  ck_assert_ptr_nonnull(units);
}

static void teardown(void)
{
  df_units_destroy(units);
}

static void is(const char *text, double scale, const char *base)
{
  const struct df_unit *unit = df_unit_find(units, text, why, sizeof why);
  ck_assert_msg(unit != NULL, "%s: %s", text, why);
  near_share(unit->scale, scale, 1e-15, SI);
  ck_assert_str_eq(unit->base, base);
  ck_assert_str_eq(unit->text, text);
}

START_TEST(every_word)
{
  is("m", 1, "m"), is("cm", 1e-2, "m"), is("mm", 1e-3, "m"), is("um", 1e-6, "m"),
      is("km", 1e3, "m");
  is("in", 0.0254, "m"), is("ft", 0.3048, "m");
  is("m2", 1, "m2"), is("mm2", 1e-6, "m2"), is("cm2", 1e-4, "m2"), is("m3", 1, "m3"),
      is("cm3", 1e-6, "m3");
  is("ml", 1e-6, "m3"), is("l", 1e-3, "m3");
  is("kg", 1, "kg"), is("g", 1e-3, "kg"), is("t", 1e3, "kg"), is("lb", 0.45359237, "kg");
  is("N", 1, "m.kg/s2"), is("kN", 1e3, "m.kg/s2"), is("kgf", 9.80665, "m.kg/s2"),
      is("lbf", 0.45359237 * 9.80665, "m.kg/s2");
  is("Pa", 1, "kg/m/s2"), is("kPa", 1e3, "kg/m/s2"), is("MPa", 1e6, "kg/m/s2"),
      is("GPa", 1e9, "kg/m/s2"), is("bar", 1e5, "kg/m/s2");
  is("psi", 0.45359237*9.80665/(0.0254*0.0254), "kg/m/s2");
  is("J", 1, "m2.kg/s2"), is("W", 1, "m2.kg/s3"), is("s", 1, "s"), is("ms", 1e-3, "s"),
      is("min", 60, "s"), is("h", 3600, "s");
  is("Hz", 1, "1/s"), is("K", 1, "K"), is("rad", 1, "rad"), is("degree", M_PI / 180, "rad"),
      is("cSt", 1e-6, "m2/s"), is("cP", 1e-3, "kg/m/s");
  is("mph", 1609.344/3600, "m/s"), is("%", 0.01, "1"), is("1", 1, "1"), is("turn", 1, "turn");
}
END_TEST

START_TEST(composed)
{
  is("N/mm", 1e3, "kg/s2"), is("kgf/mm", 9806.65, "kg/s2"),
      is("lbf/in", 0.45359237 * 9.80665 / 0.0254, "kg/s2"), is("N.s/m", 1, "kg/s");
  is("kg.m2", 1, "m2.kg"), is("mm2/s", 1e-6, "m2/s"), is("m/s2", 1, "m/s2"),
      is("km/h", 1 / 3.6, "m/s"), is("N/bar", 1e-5, "m2");
  is("J/K", 1, "m2.kg/s2/K"), is("1/s", 1, "1/s"), is("s^-1", 1, "1/s"),
      is("N/(mm.s)", 1e3, "kg/s3"), is("kg/m3", 1, "kg/m3");
}
END_TEST

START_TEST(temperatures)
{
  const struct df_unit *c = df_unit_find(units, "degC", why, sizeof why),
                       *f = df_unit_find(units, "degF", why, sizeof why);
  near(df_unit_to_si(c, 30), 303.15, 1e-12, SI);
  near(df_unit_to_si(f, 32), 273.15, 1e-12, SI);
  near(df_unit_to_si(f, 212), 373.15, 1e-12, SI);
  near(df_unit_from_si(f, 303.15), 86, 1e-12, SI);
}
END_TEST

static void not(const char *text, const char *part)
{
  const struct df_unit *unit = df_unit_find(units, text, why, sizeof why);
  ck_assert_msg(unit == NULL, "%s was taken as a unit", text);
  ck_assert_msg(strstr(why, part) != NULL, "%s: said '%s', not '%s'", text, why, part);
}

START_TEST(not_units)
{
  not("deg", "write degree"), not("Nm", "write N.m"), not("Ns/m", "write N.s/m"),
      not("\"", "write in"), not("kg/mmm", "not a unit");
  not("\xc2\xb0"
      "C",
      "write degC"),
      not("turns", "write turn"), not("kph", "write km/h"), not("L", "write l");
  not("oz", "not a unit known here"), not("N/m^1.5", "cannot be read"), not("", "cannot be read"),
      not("m/", "cannot be read");
  not("(m", "cannot be read"), not("m)", "cannot be read"), not("2 m", "cannot be read"),
      not("m m", "cannot be read");
  not("((((((m))))))", "cannot be read"), not("m22", "not a unit"), not("degC/s", "stands alone"),
      not("turn/s", "stands alone");
  not("degre", "did you mean degree?"), not("mN", "not a unit known here"),
      not("furlong", "not a unit known here");
  not("mmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmmm", "longer than 39");
  not("m.m.m.m.m.m.m.m.m.m.m.m.m.m.m.m.m.m.m.m.m", "longer than 39");
}
END_TEST

START_TEST(agrees_with_udunits)
{
  // Words that mean the same there are converted as UDUNITS-2 itself does it.
  static const char *const same[] = {"N/mm", "km/h", "kPa", "degree", "kg.m2", "mm2/s", "psi",
                                     "bar",  "kgf",  "lbf", "ft",     "degF",  "degC"};
  ut_set_error_message_handler(ut_ignore);
  ut_system *system = ut_read_xml(NULL);
  for (size_t i = 0; i < sizeof same/sizeof same[0]; i++) {
    const struct df_unit *unit = df_unit_find(units, same[i], why, sizeof why);
    ut_unit *theirs = ut_parse(system, same[i], UT_ASCII),
            *base = ut_parse(system, unit->base, UT_ASCII);
    ck_assert_msg(theirs && base && ut_are_convertible(theirs, base), "%s", same[i]);
    cv_converter *convert = ut_get_converter(theirs, base);
    near_share(df_unit_to_si(unit, 12.5), cv_convert_double(convert, 12.5), 1e-8,
               "UDUNITS-2"); // its pound-force has 9 digits
    cv_free(convert);
    ut_free(theirs);
    ut_free(base);
  }
  ut_free_system(system);
}
END_TEST

START_TEST(columns)
{
  static const struct { const char *column, *unit;
  } pairs[] = {
      {"m_per_s2", "m/s2"}, {"percent", "%"}, {"mm2_per_s", "mm2/s"},
      {"N", "N"},           {"1", "1"},       {"m_per_s1.75", "m/s1.75"},
  };
  char text[DF_UNIT_MAX];
  for (size_t i = 0; i < sizeof pairs/sizeof pairs[0]; i++) {
    df_unit_of_column(pairs[i].column, text, sizeof text);
    ck_assert_str_eq(text, pairs[i].unit);
    ck_assert_ptr_nonnull(df_unit_find(units, text, why, sizeof why));
  }
}
END_TEST

START_TEST(known_once)
{
  const struct df_unit *first = df_unit_find(units, "N/mm", why, sizeof why);
  ck_assert_ptr_null(df_unit_known(units, "N/mm"));
  df_units_fix(units);
  ck_assert_ptr_eq(df_unit_known(units, "N/mm"), first);
  ck_assert_ptr_eq(df_unit_find(units, "N/mm", why, sizeof why), first);
}
END_TEST

START_TEST(as_many_as_fit)
{
  char text[DF_UNIT_MAX];
  static const char *const words[] = {"m",   "cm", "mm", "um", "km", "kg", "g",   "s",  "ms",
                                      "min", "h",  "K",  "N",  "kN", "Pa", "kPa", "MPa"};
  int refused = 0;
  for (size_t i = 0; i < 17; i++)
    for (size_t j = 0; j < 17; j++) {
      snprintf(text, sizeof text, "%s.%s", words[i], words[j]);
      refused += df_unit_find(units, text, why, sizeof why) == NULL;
    }
  ck_assert_int_gt(refused, 0); // 289 asked, 256 kept
  ck_assert_msg(strstr(why, "more different units") != NULL, "%s", why);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("units");
  TCase *all = tcase_create("all");
  tcase_add_checked_fixture(all, setup, teardown);
  tcase_add_test(all, every_word);
  tcase_add_test(all, composed);
  tcase_add_test(all, temperatures);
  tcase_add_test(all, not_units);
  tcase_add_test(all, agrees_with_udunits);
  tcase_add_test(all, columns);
  tcase_add_test(all, known_once);
  tcase_add_test(all, as_many_as_fit);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
