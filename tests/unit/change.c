// Changing a reading, copies of it in threads, and random edits of its text.
#include "reading.h"

#include <locale.h>
#include <pthread.h>

// --- Changing

START_TEST(setting_numbers)
{
  good(LEAST "valve: {}\n");
  ck_assert_int_eq(df_reading_set(reading, "leg.travel", 0.150, &faults), DF_OK);
  near(got->side[0].leg.rod_length, 0.280, 1e-15, "what depends on it follows");
  ck_assert_str_eq(value("leg.travel").text, "150 mm");
  ck_assert_int_eq(df_reading_set_in(reading, "valve.preload", 2, "turn", &faults), DF_OK);
  near(got->side[0].valve.preload, 0.002, 1e-15, RULE);
  near(got->side[0].valve.preload_turns, 2, 0, RULE);
  ck_assert_int_eq(df_reading_set(reading, "valve.adjuster_pitch", 0.0008, &faults), DF_OK);
  near(got->side[0].valve.preload, 0.0016, 1e-15, "two turns of another pitch");
  ck_assert_int_eq(df_reading_set(reading, "valve.bleed_holes[1].diameter", 0.0012, &faults),
                   DF_OK);
  near(got->side[0].valve.bleed_holes[0].diameter, 0.0012, 1e-15, "of a usual list");
  ck_assert_int_eq(value("valve.bleed_holes[1].count").given, 0);
  ck_assert_int_eq(df_reading_set(reading, "roads.edge-25.speed", 15, &faults), DF_OK);
  ck_assert_int_eq(got->road_n, 11);
  near(got->road[4].speed, 15, 0, "of a road of the use");
  ck_assert_int_eq(df_reading_set(reading, "run.law", DF_LAW_HANDBOOK, &faults), DF_OK);
  ck_assert_int_eq(got->run.law, DF_LAW_HANDBOOK);
  ck_assert_int_eq(faults.n, 0);
}
END_TEST

START_TEST(a_refused_change_changes_nothing)
{
  good(LEAST);
  char *before = df_reading_lines(reading), *after;
  static const struct { const char *path; double si; enum df_status status;
  } bad[] = {
      {"leg.travel", 10, DF_BAD_INPUT},
      {"leg.rod_bore", 0.025, DF_BAD_INPUT},
      {"spring.rate", NAN, DF_BAD_INPUT},
      {"no.such", 1, DF_UNKNOWN_NAME},
      {"roads.edge-25.speed", -4, DF_BAD_INPUT},
      {"bike.legs", 1.5, DF_BAD_INPUT},
      {"title", 1, DF_BAD_INPUT},
      {"run.law", 7, DF_BAD_INPUT},
  };
  for (size_t i = 0; i < sizeof bad/sizeof bad[0]; i++) {
    memset(&faults, 0, sizeof faults);
    ck_assert_msg(df_reading_set(reading, bad[i].path, bad[i].si, &faults) == bad[i].status, "%s",
                  bad[i].path);
    ck_assert_msg(faults.n == 1 && faults.at[0].text[0], "%s: %d faults", bad[i].path, faults.n);
    after = df_reading_lines(reading);
    ck_assert_msg(!strcmp(before, after), "%s", bad[i].path);
    free(after);
  }
  static const char *const set[] = { "spring.rate=12 N/mm", "bike.rake=64 degree" };
  ck_assert_int_eq(df_reading_override(reading, set, 2, &faults), DF_BAD_INPUT);
  after = df_reading_lines(reading);
  same_lines(before, after);
  free(before);
  free(after);
  static const char *const both[] = { "leg.rod_bore", "leg.rod_outside" };
  static const double si[] = { 0.024, 0.028 };
  ck_assert_int_eq(df_reading_set_all(reading, 2, both, si, NULL), DF_OK); // judged together
  near(got->side[0].leg.rod_bore, 0.024, 1e-15, RULE);
}
END_TEST

START_TEST(many_changes_take_no_more_memory)
{
  good(LEAST);
  for (int i = 0; i < 20000; i++)
    ck_assert_int_eq(df_reading_set(reading, "spring.rate", 8000 + i * 0.1, NULL), DF_OK);
  near(got->side[0].spring.rate, 9999.9, 1e-9, RULE);
  ck_assert_int_eq(df_reading_set(reading, "spring.rate", 9000, NULL), DF_OK);
}
END_TEST

START_TEST(holes_in_use)
{
  good(LEG OIL "rod: {" FOUND ", state: opened}\nvalve: {}\n");
  ck_assert_str_eq(value("rod.rebound_holes[1].diameter").path,
                   "rod.opened.rebound_holes[1].diameter");
  ck_assert_int_eq(df_reading_set(reading, "rod.rebound_holes[1].diameter", 0.002, NULL), DF_OK);
  near(got->side[0].rod.holes.rebound_holes.at[0].diameter, 0.002, 1e-15, "the set in the leg");
  near(got->side[0].rod.as_found.rebound_holes.at[0].diameter, 0.0022, 1e-15, "the other set");
  ck_assert_int_eq(df_reading_set(reading, "rod.opened.compression_holes[2].height", 0.03, NULL),
                   DF_OK);
}
END_TEST

// --- Surroundings

START_TEST(a_comma_in_the_locale_changes_nothing)
{
  char a[13], b[13];
  good(LEAST "spring: {rate: 9.25 N/mm}\n");
  df_reading_hash(reading, a);
  static const char *const commas[] = { "de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", NULL };
  int i = 0;
  while (commas[i] && !setlocale(LC_ALL, commas[i])) i++;
  char probe[16];
  snprintf(probe, sizeof probe, "%.1f", 0.5);
  if (!commas[i] || !strchr(probe, ','))
    return; // no such locale on this machine: tools/check makes one
  good(LEAST "spring: {rate: 9.25 N/mm}\n");
  near(got->side[0].spring.rate, 9250, 1e-9, RULE);
  df_reading_hash(reading, b);
  ck_assert_str_eq(a, b);
  char *written = df_reading_write(reading, DF_WRITE_ASSUMED);
  ck_assert_ptr_nonnull(strstr(written, "rate: 9.25 N/mm"));
  ck_assert_ptr_nonnull(strstr(written, "0.05 mm") ? written : strstr(written, "gap: 0.05"));
  free(written);
  snprintf(probe, sizeof probe, "%.1f", 0.5);
  ck_assert_ptr_nonnull(strchr(probe, ',')); // and we left it as it was
  setlocale(LC_ALL, "C");
}
END_TEST

static void *in_a_thread(void *arg)
{
  struct df_reading *mine = arg;
  for (int i = 0; i < 500; i++)
    if (df_reading_set(mine, "spring.rate", 8000 + i, NULL) ||
        df_reading_set(mine, "spring.rate", 1e9, NULL) != DF_BAD_INPUT)
      return NULL;
  return mine;
}

START_TEST(copies_in_threads)
{
  good(LEAST "valve: {preload: 2 turn}\n");
  struct df_reading *copy[4];
  pthread_t thread[4];
  char a[13], b[13];
  df_reading_hash(reading, a);
  for (int i = 0; i < 4; i++) {
    copy[i] = df_reading_copy(reading);
    ck_assert_ptr_nonnull(copy[i]);
    df_reading_hash(copy[i], b);
    ck_assert_str_eq(a, b);
  }
  df_reading_destroy(reading); // a copy stands alone
  reading = NULL;
  for (int i = 0; i < 4; i++)
    ck_assert_int_eq(pthread_create(&thread[i], NULL, in_a_thread, copy[i]), 0);
  for (int i = 0; i < 4; i++) {
    void *result;
    pthread_join(thread[i], &result);
    ck_assert_ptr_eq(result, copy[i]);
    near(df_reading_scenario(copy[i])->side[0].spring.rate, 8499, 1e-9, RULE);
    ck_assert_str_eq(df_reading_scenario(copy[i])->title, "fork");
    df_reading_destroy(copy[i]);
  }
}
END_TEST

// Any bytes: no crash, no hang, and a fault whenever there is no scenario.
START_TEST(random_edits)
{
  static const char seed_text[] =
      "title: a\n" LEG OIL "rod: {" FOUND
      ", state: opened}\nvalve: {preload: 3 turn}\nright: {air: {oil_level: 140 mm}}\n"
      "roads: {edge-25: ready, x: {kind: random, class: C, speed: 50 km/h}}\nexpect: {static.a: 5 "
      "mm +- 1 mm}\n";
  static const char pieces[] = " :,{}[]'\"#\n-0123456789.+%eE|>&*!abc\t\\\xff\xc3";
  unsigned random = 7;
  char text[sizeof seed_text + 40];
  for (int k = 0; k < 4000; k++) {
    memcpy(text, seed_text, sizeof seed_text);
    for (int e = 0; e < 1 + k%4; e++) {
      random = random*1664525u + 1013904223u;
      size_t n = strlen(text), at = (random >> 8)%n;
      char c = pieces[(random >> 20)%(sizeof pieces - 1)];
      if (random & 16) text[at] = c;
      else if (random & 32) memmove(text + at, text + at + 1, n - at);
      else memmove(text + at + 1, text + at, n - at + 1), text[at] = c;
    }
    enum df_status status = try(text);
    ck_assert_msg((status == DF_OK) == (faults.errors == 0), "status %d, %d faults", status,
                  faults.errors);
    ck_assert_msg((status == DF_OK) == (reading != NULL), "status %d", status);
    for (int i = 0; i < faults.n; i++) ck_assert_msg(faults.at[i].text[0] != 0, "an empty fault");
  }
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("change");
  TCase *all = tcase_create("all");
  tcase_add_checked_fixture(all, setup, teardown);
  tcase_set_timeout(all, 60);
  tcase_add_test(all, setting_numbers);
  tcase_add_test(all, a_refused_change_changes_nothing);
  tcase_add_test(all, many_changes_take_no_more_memory);
  tcase_add_test(all, holes_in_use);
  tcase_add_test(all, a_comma_in_the_locale_changes_nothing);
  tcase_add_test(all, copies_in_threads);
  tcase_add_test(all, random_edits);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
