// Every road of every shipped scenario, integrated by SUNDIALS CVODE over the library's right-hand side and by the library's own steps.
#include "near.h"

#include <dirent.h>
#include <gsl/gsl_errno.h>
#include <stdio.h>
#include <string.h>

#include "cvode_ride.h"
#include "dampfork/reader.h"
#include "ride/trace.h"

enum { FILES_MAX = 64 };
static char files[FILES_MAX][512];
static int file_n;

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

static const double step = 1e-3; // s

struct ours { struct ride_plan plan; struct df_trace trace; double nodes[NODES_KEPT*NODE_SIZE], *room; size_t room_n; };

static void one_road(const struct df_scenario *s, int road, const char *file)
{
  struct ground ground;
  static struct ours o;
  struct df_faults faults = { 0 };
  const struct df_kernel *kernel = df_kernel_best();
  ck_assert_int_eq(df_ground_init(&ground, &s->road[road], &s->tyre, &faults), DF_OK);
  ck_assert_int_eq(df_plan_init(&o.plan, s, road, &ground, NAN, &df_methods[0], 1e-5, kernel, NULL, &faults), DF_OK);
  struct ride_job start = o.plan.job;                  // the run below leaves its last state in the job
  o.plan.job.nodes = o.nodes;
  ck_assert_int_eq(df_trace_lay(&o.plan.job, 1ull << DF_C_TRAVEL, step, &o.trace, &o.room, &o.room_n), DF_OK);
  df_plan_run(&o.plan, kernel);
  ck_assert_int_eq(o.plan.job.status, DF_OK);
  double *travel = malloc((size_t)o.trace.n*sizeof *travel), sum = 0;
  struct cvode_options options = { 1e-5, 1, start.rough_to > start.rough_from ? 2e-3 : 5e-3, start.breaks, start.break_n };
  struct cvode_result result;
  ck_assert_int_eq(cvode_ride(&start, kernel, &options, step, o.trace.n, travel, &result), 0);
  for (int i = 0; i < o.trace.n; i++) {
    double off = travel[i] - o.trace.at[DF_C_TRAVEL][i];
    sum += off*off;
  }
  char source[700];
  snprintf(source, sizeof source, "SUNDIALS CVODE, %.300s, road %s", strrchr(file, '/') + 1, s->road[road].name);
  near(sqrt(sum/o.trace.n), 0, 2e-5, source);          // m rms: CVODE's own error at this tolerance is 1e-6 to 1e-5
  near_share(o.plan.job.peak[DF_P_ACCELERATION].most, result.peak, 0.01, source); // CVODE is looked at twice a step only
  free(travel);
  df_ground_finish(&ground);
}

START_TEST(cvode_agrees)
{
  gsl_set_error_handler_off();
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
  Suite *suite = suite_create("cvode");
  TCase *cases = tcase_create("cvode");
  tcase_set_timeout(cases, 120);
  tcase_add_test(cases, scenarios_are_there);
  tcase_add_loop_test(cases, cvode_agrees, 0, file_n);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
