// Both default tolerances on every road of every shipped scenario, against a hundred times tighter ones.
#include "near.h"

#include <dirent.h>
#include <stdio.h>
#include <string.h>

#include "dampfork/reader.h"
#include "dampfork/ride.h"

enum { FILES_MAX = 64, RUNGS = 3 };
static char files[FILES_MAX][512];
static int file_n;
static const double rung[RUNGS] = { 1e-3, 1e-4, 1e-6 }; // many rides, one ride, what both are held against

static int by_name(const void *a, const void *b) { return strcmp(a, b); }

static void find_files(void)
{
  char folder[400];
  snprintf(folder, sizeof folder, "%s/scenarios", getenv("DAMPFORK_SOURCE") ? getenv("DAMPFORK_SOURCE") : ".");
  DIR *dir = opendir(folder);
  if (!dir) return;
  for (struct dirent *entry = readdir(dir); entry && file_n < FILES_MAX; entry = readdir(dir)) {
    size_t n = strlen(entry->d_name);
    if (n > 5 && n < 100 && !strcmp(entry->d_name + n - 5, ".yaml")) snprintf(files[file_n++], 512, "%s/%.100s", folder, entry->d_name);
  }
  closedir(dir);
  qsort(files, (size_t)file_n, sizeof files[0], by_name);
}

// Root mean square of the difference of travel, m. Where a ride ends under braking, the last sample may be one earlier.
static double apart(const struct df_ride *a, const struct df_ride *b)
{
  double sum = 0;
  int both = a->trace.n < b->trace.n ? a->trace.n : b->trace.n;
  ck_assert_int_le(abs(a->trace.n - b->trace.n), 1);
  for (int n = 0; n < both; n++) {
    double off = a->trace.at[DF_C_TRAVEL][n] - b->trace.at[DF_C_TRAVEL][n];
    sum += off*off;
  }
  return sqrt(sum/both);
}

static void one_road(const struct df_scenario *s, int road, const char *file)
{
  static struct df_ride ride[RUNGS];
  char what[700];
  for (int i = 0; i < RUNGS; i++) {
    struct df_ride_options options = { .tolerance = rung[i], .channels = 1ull << DF_C_TRAVEL, .sample_step = 1e-3 };
    ck_assert_int_eq(df_ride_run(s, road, &options, &ride[i], NULL), DF_OK);
  }
  for (int i = 0; i < RUNGS - 1; i++) {
    snprintf(what, sizeof what, "%.300s, road %s, tolerance %.0e against 1e-6", strrchr(file, '/') + 1, s->road[road].name, rung[i]);
    near(apart(&ride[i], &ride[RUNGS - 1]), 0, 5e-5, what);                       // m: 0.05 mm
    near_share(ride[i].peak[DF_P_ACCELERATION].most, ride[RUNGS - 1].peak[DF_P_ACCELERATION].most, 0.01, what);
  }
  for (int i = 0; i < RUNGS; i++) df_ride_finish(&ride[i]);
}

START_TEST(tighter_changes_little)
{
  struct df_faults faults = { 0 };
  struct df_units *units = df_reading_units_create(&faults);
  struct df_reading *reading;
  ck_assert_msg(df_reading_create(&reading, units, files[_i], NULL, &faults) == DF_OK, "%s", faults.n ? faults.at[0].text : files[_i]);
  const struct df_scenario *s = df_reading_scenario(reading);
  ck_assert_int_gt(s->road_n, 1);
  for (int road = 0; road < s->road_n; road++) one_road(s, road, files[_i]);
  df_reading_destroy(reading);
  df_reading_units_destroy(units);
}
END_TEST

START_TEST(scenarios_are_there) { ck_assert_int_ge(file_n, 8); }
END_TEST

int main(void)
{
  find_files();
  Suite *suite = suite_create("tolerances");
  TCase *cases = tcase_create("tolerances");
  tcase_set_timeout(cases, 120);
  tcase_add_test(cases, scenarios_are_there);
  tcase_add_loop_test(cases, tighter_changes_little, 0, file_n);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
