// A reading as text again: hash, lines, YAML, twins, series and single values.
#include "reading.h"

// --- Text again

START_TEST(hash_follows_values_only)
{
  char a[13], b[13];
  good(LEAST);
  df_reading_hash(reading, a);
  ck_assert_uint_eq(strspn(a, "0123456789abcdef"), 12);
  good("# a comment\ntitle: Another\n" LEAST "spring: {rate: 9000 N/m}\n");
  df_reading_hash(reading, b);
  ck_assert_str_eq(a, b); // the same values otherwise written
  good(LEAST "spring: {rate: 9.001 N/mm}\n");
  df_reading_hash(reading, b);
  ck_assert_str_ne(a, b);
  good(LEAST "valve: {}\n");
  df_reading_hash(reading, a);
  good(LEAST "valve: {}\nright: {valve: none}\n");
  df_reading_hash(reading, b);
  ck_assert_str_ne(a, b);
}
END_TEST

START_TEST(lines_are_sorted_and_exact)
{
  good(LEAST);
  char *lines = df_reading_lines(reading), *last = NULL;
  ck_assert_ptr_nonnull(strstr(lines, "\nleg.tube_bore = 0.036600000000000001\n"));
  ck_assert_ptr_nonnull(strstr(lines, "\nrun.law = two_term\n"));
  ck_assert_ptr_null(strstr(lines, "nan"));
  for (char *line = strtok(lines, "\n"); line; last = line, line = strtok(NULL, "\n"))
    ck_assert_msg(!last || strcmp(last, line) < 0, "%s before %s", last, line);
  free(lines);
}
END_TEST

START_TEST(written_and_read_again)
{
  static const char text[] =
      "title: 'It''s: a \"fork\"'\nnote: \"two\\nlines\"\nuse: touring\n" LEG OIL "rod: {" FOUND
      ", state: opened}\n"
      "valve: {preload: 2.5 turn, shims: [{count: 2, diameter: 20 mm, thickness: 0.15 "
      "mm}]}\nright: {air: {oil_level: 140 mm}}\n"
      "roads: {edge-25: ready, mine: {kind: random, class: D, speed: 40 km/h}}\nexpect: "
      "{static.sag_rider: '>= 30 mm'}\n";
  for (unsigned flags = 0; flags < 2; flags++) {
    good(text);
    ck_assert_int_eq(df_reading_set(reading, "spring.rate", 9250, NULL), DF_OK);
    char *before = df_reading_lines(reading), *written = df_reading_write(reading, flags);
    int given, assumed, given_again, assumed_again;
    df_reading_given(reading, &given, &assumed);
    good(written);
    char *after = df_reading_lines(reading);
    same_lines(before, after);
    ck_assert_str_eq(got->title, "It's: a \"fork\"");
    ck_assert_str_eq(got->note, "two\nlines");
    df_reading_given(reading, &given_again, &assumed_again);
    ck_assert_int_eq(given, given_again); // comments stay comments
    ck_assert_int_eq(df_reading_expect_count(reading), 1);
    free(before);
    free(after);
    free(written);
  }
}
END_TEST

// Roads of the use, one of them changed by an override: all are written.
START_TEST(reached_roads_are_written)
{
  good(LEAST);
  ck_assert_int_eq(df_reading_count(reading) > 100, 1);
  static const char *const set[] = { "roads.edge-25.speed=60 km/h", "bike.rake=-0 degree" };
  ck_assert_int_eq(df_reading_override(reading, set, 2, NULL), DF_OK);
  ck_assert_int_eq(df_reading_override(reading, set, 1, NULL), DF_OK); // overrides add up
  ck_assert_int_eq(df_reading_set(reading, "bike.front_wheel_inertia", -0.0, NULL), DF_OK);
  char *before = df_reading_lines(reading), *written = df_reading_write(reading, 0);
  ck_assert_ptr_nonnull(strstr(before, "front_wheel_inertia = 0\n")); // no negative zero
  good(written);
  char *after = df_reading_lines(reading);
  same_lines(before, after);
  ck_assert_int_eq(got->road_n, 11);
  free(before);
  free(after);
  free(written);
}
END_TEST

// The same keys, words and, within what six digits hold, numbers.
static void same_values(const char *a, const char *b)
{
  while (*a && *b) {
    const char *ea = strstr(a, " = "), *eb = strstr(b, " = ");
    char *ra, *rb;
    ck_assert_msg(ea - a == eb - b && !strncmp(a, b, (size_t)(ea - a)), "%.40s / %.40s", a, b);
    double va = strtod(ea + 3, &ra), vb = strtod(eb + 3, &rb);
    if (ra == ea + 3) ck_assert_msg(!strncmp(ea, eb, strcspn(ea, "\n")), "%.40s / %.40s", a, b);
    else near_share(vb, va, 5e-6, "six digits");
    a = strchr(a, '\n') + 1;
    b = strchr(b, '\n') + 1;
  }
  ck_assert_int_eq(*a, *b);
}

// Uncomment every assumed value: the same scenario, all of it given now.
START_TEST(assumed_values_are_written_right)
{
  good(LEAST "valve: {}\n");
  char *written = df_reading_write(reading, DF_WRITE_ASSUMED), *before = df_reading_lines(reading);
  for (char *line = written; line && *line;
       line = strchr(line, '\n') ? strchr(line, '\n') + 1 : NULL) {
    char *mark = line + strspn(line, " ");
    if (mark[0] == '#' && mark[1] == ' ') memmove(mark, mark + 2, strlen(mark + 2) + 1);
  }
  good(written);
  char *after = df_reading_lines(reading);
  same_values(before, after);
  free(written);
  free(before);
  free(after);
}
END_TEST

START_TEST(typical_forks)
{
  for (int i = 0; i < df_typical_fork_count; i++) {
    good(df_typical_forks[i].text);
    near(got->side[0].leg.tube_outside*1e3, df_typical_forks[i].tube, 1e-9, RULE);
    near(got->side[0].rod.holes.compression_holes.at[0].count, 2, 0, RULE);
  }
}
END_TEST

// --- Twins

START_TEST(twins)
{
  good(LEG OIL "rod: {" FOUND "}\nvalve: {preload: 2 turn}\n" SPACER
               "air: {oil_level: 140 mm}\nexpect: {static.sag_rider: '>= 3 mm'}\n");
  struct df_reading *twin = NULL;
  ck_assert_int_eq(df_reading_twin(&twin, reading, 60e-6, &faults), DF_OK);
  const struct df_side *plain = &df_reading_scenario(twin)->side[0];
  ck_assert_int_eq(plain->has_valve, 0);
  near(plain->spring.preload, 0.015, 1e-15, "kept");
  near(plain->air.oil_level, 0.140, 1e-15, "kept");
  near(plain->air.solids, 60e-6, 1e-18, "kept");
  ck_assert_int_eq(df_reading_expect_count(twin), 0);
  df_reading_destroy(twin);
  good(LEAST SPACER);
  ck_assert_int_eq(df_reading_twin(&twin, reading, 55e-6, &faults), DF_OK);
  const struct df_side *valved = &df_reading_scenario(twin)->side[0];
  ck_assert_int_eq(valved->has_valve, 1);
  ck_assert_int_eq(valved->rod.state, DF_ROD_OPENED);
  near(valved->rod.holes.compression_holes.at[0].diameter, 0.00635, 1e-15, RULE);
  near(valved->spring.preload, 0.015, 1e-15, "kept, not raised by the valve's height");
  df_reading_destroy(twin);
  good(LEAST "air: {level_taken: {valve: out}}\nvalve: {volume: 5 cm3}\n");
  ck_assert_int_eq(df_reading_twin(&twin, reading, 60e-6, &faults), DF_OK);
  near(df_reading_scenario(twin)->side[0].air.solids, 65e-6, 1e-18, "the valve was still to come");
  df_reading_destroy(twin);
  good(LEAST "valve: {}\nright: {valve: {preload: 2 turn}}\n");
  ck_assert_int_eq(df_reading_twin(&twin, reading, 60e-6, &faults), DF_OK);
  ck_assert_int_eq(df_reading_scenario(twin)->side[1].has_valve, 0);
  df_reading_destroy(twin);
  good(LEAST "spacer: {depth_to_spring: 171.5 mm, depth_taken: {valve: out}, length: 169.5 mm}\n");
  ck_assert_int_eq(df_reading_twin(&twin, reading, 60e-6, &faults), DF_OK); // needs another spacer
  near(df_reading_scenario(twin)->side[0].spring.preload, 0.015, 1e-15, "kept");
  df_reading_destroy(twin);
  good("leg: {linear: {rate: 10 N/mm, damping: 400 N.s/m}}\n");
  ck_assert_int_eq(df_reading_twin(&twin, reading, NAN, NULL), DF_BAD_INPUT);
  ck_assert_ptr_null(twin);
}
END_TEST

// --- Series, single values

START_TEST(series)
{
  struct df_vary vary;
  good(LEAST "valve: {}\n");
  ck_assert_int_eq(df_vary_init(&vary, reading, "valve.preload=1:4:0.5 mm", 100, &faults), DF_OK);
  ck_assert_int_eq(vary.n, 7);
  near(vary.si[6], 0.004, 1e-15, RULE);
  ck_assert_str_eq(vary.unit, "mm");
  df_vary_finish(&vary);
  ck_assert_int_eq(df_vary_init(&vary, reading, "valve.preload=1,2.5 turn", 100, &faults), DF_OK);
  near(vary.value[1], 2.5, 0, RULE);
  ck_assert_int_eq(df_reading_set_in(reading, vary.path, vary.value[1], vary.unit, &faults), DF_OK);
  near(got->side[0].valve.preload, 0.0025, 1e-15, RULE);
  df_vary_finish(&vary);
  ck_assert_int_eq(
      df_vary_init(&vary, reading, "rod.rebound_holes[1].diameter=2:2.4:0.1 mm", 100, &faults),
      DF_OK);
  ck_assert_int_eq(vary.n, 5);
  df_vary_finish(&vary);
  ck_assert_int_eq(faults.n, 0);
  static const struct { const char *text, *part;
  } bad[] = {
      {"valve.preload", "written KEY="},
      {"no.such=1 mm", "no such value"},
      {"valve.preload=1:4:0.5", "no unit"},
      {"valve.preload=1:4:0.5 kg", "is not a unit for this value"},
      {"spring.rate=1:4:1 N/mm", "far too soft"},
      {"use=1", "only numbers"},
      {"spring.rate=5:9:0.0001 N/mm", "at most 100"},
      {"spring.rate=a N/mm", "not a number"},
  };
  for (size_t i = 0; i < sizeof bad/sizeof bad[0]; i++) {
    memset(&faults, 0, sizeof faults);
    ck_assert_msg(df_vary_init(&vary, reading, bad[i].text, 100, &faults) != DF_OK, "%s",
                  bad[i].text);
    ck_assert_msg(faults.n == 1 && strstr(faults.at[0].text, bad[i].part), "%s: %s", bad[i].text,
                  faults.at[0].text);
    ck_assert_ptr_null(vary.si);
  }
}
END_TEST

START_TEST(single_values)
{
  char text[40];
  double si;
  good(LEAST);
  ck_assert_int_eq(
      df_quantity_parse(units, value("spring.rate").row, "spring.rate", "9.5 N/mm", &si, &faults),
      DF_OK);
  near(si, 9500, 1e-9, RULE);
  ck_assert_int_eq(
      df_quantity_parse(units, value("spring.rate").row, "spring.rate", "9.5", &si, &faults),
      DF_BAD_INPUT);
  ck_assert_int_eq(df_value_print(units, 9500, "N/mm", 9, text, sizeof text), DF_OK);
  ck_assert_str_eq(text, "9.5 N/mm");
  ck_assert_int_eq(df_value_print(units, 1, "furlong", 9, text, sizeof text), DF_UNKNOWN_NAME);
  near(df_value_in(units, 303.15, "degC"), 30, 1e-12, RULE);
  near(df_value_si(units, 30, "degC"), 303.15, 1e-12, RULE);
  ck_assert_int_eq(df_units_alike(units, "N/mm", "lbf/in"), 1);
  ck_assert_int_eq(df_units_alike(units, "N/mm", "N.mm"), 0);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("written");
  TCase *all = tcase_create("all");
  tcase_add_checked_fixture(all, setup, teardown);
  tcase_set_timeout(all, 60);
  tcase_add_test(all, hash_follows_values_only);
  tcase_add_test(all, lines_are_sorted_and_exact);
  tcase_add_test(all, written_and_read_again);
  tcase_add_test(all, reached_roads_are_written);
  tcase_add_test(all, assumed_values_are_written_right);
  tcase_add_test(all, typical_forks);
  tcase_add_test(all, twins);
  tcase_add_test(all, series);
  tcase_add_test(all, single_values);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
