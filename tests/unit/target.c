// The targets: every row names a measure and is judged on the right side of its limits.
#include "near.h"

#include <math.h>
#include <string.h>

#include "measures/targets.h"

static const struct df_target *target(const char *road, const char *measure, enum df_use use)
{
  int row = df_target_find(road, measure, use);
  ck_assert_msg(row >= 0, "no target for %s.%s", road, measure);
  return &df_targets[row];
}

START_TEST(rows_are_complete)
{
  for (int i = 0; i < df_target_count; i++) {
    const struct df_target *row = &df_targets[i];
    int measure = df_measure_find(row->measure), limits = 0;
    ck_assert_msg(measure >= 0, "no measure %s", row->measure);
    ck_assert_msg(df_measure_is_static(measure) == (strcmp(row->road, "static") == 0), "%s", row->measure);
    ck_assert_msg(strlen(row->source) > 5, "%s", row->measure);
    for (int use = 0; use < DF_USES; use++) {
      const struct df_limit *limit = &row->use[use];
      limits += !isnan(limit->low) || !isnan(limit->high);
      ck_assert_msg(!(limit->low > limit->high), "%s", row->measure);
      if (row->relation == DF_TARGET_OF_PLAIN) ck_assert(isnan(limit->low));
      ck_assert(strlen(df_target_tag_text(limit->tag)) > 5);
    }
    ck_assert_msg(limits > 0, "%s has no limit for any use", row->measure);
  }
}
END_TEST

START_TEST(spans_and_bounds)
{
  const struct df_target *sag = target("static", "sag_rider_share", DF_USE_COMMUTING);
  ck_assert_int_eq(df_target_judge(sag, DF_USE_COMMUTING, 0.299, NAN, 0), DF_TOO_LOW);
  ck_assert_int_eq(df_target_judge(sag, DF_USE_COMMUTING, 0.30, NAN, 0), DF_MET);
  ck_assert_int_eq(df_target_judge(sag, DF_USE_COMMUTING, 0.35, NAN, 0), DF_MET);
  ck_assert_int_eq(df_target_judge(sag, DF_USE_COMMUTING, 0.351, NAN, 0), DF_TOO_HIGH);
  ck_assert_int_eq(df_target_judge(sag, DF_USE_COMMUTING, 0.351, NAN, 0.002), DF_MET);
  ck_assert_int_eq(df_target_judge(sag, DF_USE_COMMUTING, NAN, NAN, 0), DF_NO_TARGET);
  near(df_target_miss(sag, DF_USE_COMMUTING, 0.27, NAN), 0.1, 1e-12, "3 points below 30");
  near(df_target_miss(sag, DF_USE_COMMUTING, 0.42, NAN), 0.2, 1e-12, "7 points above 35");
  near(df_target_miss(sag, DF_USE_COMMUTING, 0.32, NAN), 0, 0, "met");
  const struct df_target *reserve = target("town-c", "travel_reserve", DF_USE_GRAVEL);
  ck_assert_int_eq(df_target_judge(reserve, DF_USE_GRAVEL, 0.0149, NAN, 0), DF_TOO_LOW);
  ck_assert_int_eq(df_target_judge(reserve, DF_USE_GRAVEL, 0.1, NAN, 0), DF_MET);
  const struct df_target *knock = target("edge-in-dive", "bottoming_speed", DF_USE_TOURING);
  ck_assert_int_eq(df_target_judge(knock, DF_USE_TOURING, 0, NAN, 0), DF_MET);
  ck_assert_int_eq(df_target_judge(knock, DF_USE_TOURING, 0.01, NAN, 0), DF_TOO_HIGH);
  near(df_target_miss(knock, DF_USE_TOURING, 0.3, NAN), 0.3, 1e-12, "0.3 m/s where nothing is allowed");
}
END_TEST

START_TEST(against_the_plain_twin)
{
  const struct df_target *edge = target("edge-40", "shock_transmitted", DF_USE_BRISK_ROAD);
  ck_assert_int_eq(df_target_judge(edge, DF_USE_BRISK_ROAD, 9.0, 10, 0), DF_MET);
  ck_assert_int_eq(df_target_judge(edge, DF_USE_BRISK_ROAD, 9.01, 10, 0), DF_TOO_HIGH);
  ck_assert_int_eq(df_target_judge(edge, DF_USE_BRISK_ROAD, 9.01, NAN, 0), DF_NO_TARGET);
  const struct df_target *air = target("road-b", "airborne_time", DF_USE_BRISK_ROAD);
  ck_assert_int_eq(df_target_judge(air, DF_USE_BRISK_ROAD, 0, 0, 0), DF_MET);
  ck_assert_int_eq(df_target_find("edge-25", "shock_transmitted", DF_USE_BRISK_ROAD), -1);
}
END_TEST

START_TEST(where_there_is_none)
{
  ck_assert_int_eq(df_target_find("static", "sag_rider_share", DF_USE_TOURING), -1);
  ck_assert_int_eq(df_target_find("static", "travel_reserve", DF_USE_TOURING), -1);
  ck_assert_int_eq(df_target_find("brake-dry", "braked_rest_share", DF_USE_GRAVEL), -1);
  ck_assert_int_eq(df_target_find("my-road", "packing", DF_USE_GRAVEL), -1);
  ck_assert(df_target_find("my-road", "tyre_load_variation", DF_USE_GRAVEL) >= 0);
  ck_assert_int_eq(df_target_find(NULL, NULL, DF_USE_GRAVEL), -1);
}
END_TEST

static void says(const char *road, const char *measure, enum df_use use, const char *want)
{
  char text[64];
  ck_assert_str_eq(df_target_text(target(road, measure, use), use, text, sizeof text), want);
}

START_TEST(in_words)
{
  char unit[24];
  says("static", "sag_rider_share", DF_USE_BRISK_ROAD, "27-33 %");
  says("static", "sag_band", DF_USE_GRAVEL, "at most 10 mm");
  says("hump", "travel_reserve", DF_USE_GRAVEL, "at least 15 mm");
  says("hump", "sprung_acceleration_peak", DF_USE_TOURING, "at most 4.9 m/s2");
  says("static", "damping_ratio_compression_300", DF_USE_BRISK_ROAD, "0.2-0.35");
  says("edge-40", "shock_transmitted", DF_USE_GRAVEL, "not above plain");
  says("edge-40", "shock_transmitted", DF_USE_BRISK_ROAD, "10 % below plain");
  ck_assert_str_eq(df_unit_text("m_per_s1.75", unit, sizeof unit), "m/s1.75");
}
END_TEST

int main(void)
{
  const TTest *const tests[] = {rows_are_complete, spans_and_bounds, against_the_plain_twin, where_there_is_none, in_words};
  Suite *suite = suite_create("target");
  TCase *cases = tcase_create("target");
  for (unsigned i = 0; i < sizeof tests/sizeof *tests; i++) tcase_add_test(cases, tests[i]);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
