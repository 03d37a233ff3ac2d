// ride: every road of a scenario against the targets of its use; expectations are checked.
#include "atomic.h"
#include "bands.h"
#include "jobs.h"
#include "nearest.h"
#include "render.h"
#include "ride_out.h"
#include "ride_work.h"
#include "say.h"
#include "shown.h"

#include "base/param.h"
#include "scenario/params.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// --- What to ride

// A name of --roads that is neither in the scenario nor ready.
static int no_such_road(const struct df_scenario *scenario, const char *name)
{
  const char *names[DF_ROADS_MAX + 65];
  int n = 0;
  for (int i = 0; i < scenario->road_n; i++) names[n++] = scenario->road[i].name;
  for (int i = 0; i < df_ready_road_count && i < 64; i++) names[n++] = df_ready_roads[i].name;
  names[n] = NULL;
  say_error("--roads: no road '%s', neither in the scenario nor ready", name);
  say_did_you_mean("", nearest_word(name, names));
  return EXIT_USAGE;
}

// Put ready roads of --roads into the scenario, so that they are read like any other. Returns an
// exit status.
static int roads_add(struct ride_work *work, const char *names)
{
  char list[1024], set[DF_ROADS_MAX][64], *rest = NULL;
  const char *at[DF_ROADS_MAX];
  const struct df_scenario *scenario = work->loaded.scenario;
  int n = 0;
  snprintf(list, sizeof list, "%s", names);
  for (char *name = strtok_r(list, ",", &rest); name && n < DF_ROADS_MAX;
       name = strtok_r(NULL, ",", &rest)) {
    int known = 0;
    for (int i = 0; i < scenario->road_n; i++) known |= !strcmp(scenario->road[i].name, name);
    if (known && !scenario->roads_of_use) continue;
    if (!known && !df_ready_road_find(name)) return no_such_road(scenario, name);
    snprintf(set[n], sizeof set[n], "roads.%.40s={}", name);
    at[n] = set[n], n++;
  }
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  enum df_status status = n ? df_reading_override(work->loaded.reading, at, n, faults) : DF_OK;
  int result = status ? status_exit("--roads", status, faults) : 0;
  free(faults);
  work->loaded.scenario = df_reading_scenario(work->loaded.reading);
  if (df_reading_hash(work->loaded.reading, work->loaded.hash)) return EXIT_OUTPUT;
  return result == EXIT_OUTPUT ? result : result ? EXIT_USAGE : 0;
}

static int wanted(const char *names, const char *road)
{
  size_t n = strlen(road);
  for (const char *at = names; at; at = strchr(at, ',') ? strchr(at, ',') + 1 : NULL)
    if (!strncmp(at, road, n) && (at[n] == ',' || !at[n])) return 1;
  return 0;
}

static int roads_choose(struct ride_work *work)
{
  const char *names = option_text(&work->call->options, OPT_ROADS, NULL);
  int status = names ? roads_add(work, names) : 0;
  const struct df_scenario *scenario = work->loaded.scenario;
  for (int i = 0; i < scenario->road_n && !status; i++)
    if (!names || wanted(names, scenario->road[i].name))
      work->outcome[work->n++].road = &scenario->road[i];
  if (!status && !work->n) {
    say_error("%s: no road to ride", work->loaded.path);
    status = EXIT_USAGE;
  }
  return status;
}

static int every_read(struct ride_work *work)
{
  static const struct df_param row = {
      .key = "every", .form = DF_QUANTITY, .unit = "ms", .usual = NAN, .low = 0.1, .high = 1000};
  const char *text = option_text(&work->call->options, OPT_EVERY, NULL);
  struct df_faults faults = {0};
  work->every = 1e-3;
  if (!text || !df_quantity_parse(units_get(), &row, "--every", text, &work->every, &faults))
    return 0;
  say_error("--every %s: %s", text,
            faults.n ? faults.at[0].text : "a time is wanted, as in '1 ms'");
  return EXIT_USAGE;
}

static int method_read(struct ride_work *work)
{
  const char *name = option_text(&work->call->options, OPT_METHOD, NULL);
  work->kernel = option_text(&work->call->options, OPT_KERNEL, NULL);
  if (name && !(work->method = df_method_named(name))) {
    say_error("--method %s: no such method; see dampfork help run.method", name);
    return EXIT_USAGE;
  }
  for (int i = 0; work->kernel && df_kernel_name(i); i++)
    if (!strcmp(df_kernel_name(i), work->kernel) && df_kernel_usable(i)) return 0;
  if (!work->kernel) return 0;
  say_error("--kernel %s: this machine has no such kernel", work->kernel);
  return EXIT_USAGE;
}

// --- Riding

// Ride one road and measure it.
static void ride_measured(const struct ride_work *work, const struct df_scenario *scenario,
                          const struct df_statics *statics, int road, struct df_ride *ride,
                          struct df_faults *faults, double *value)
{
  struct df_ride_options options = {.kernel = work->kernel,
                                    .method = work->method,
                                    .tolerance = work->tolerance,
                                    .channels = ~0ull,
                                    .sample_step = DF_FINE_SAMPLE_STEP,
                                    .ledger = 1,
                                    .stop = &stop_signal};
  df_ride_run(scenario, road, &options, ride, faults);
  struct df_measure_workspace *workspace = ride->status ? NULL : df_measure_workspace_create();
  if (!workspace && !ride->status) ride->status = DF_NO_MEMORY;
  if (!workspace) return;
  struct df_measured measured = {.scenario = scenario,
                                 .road = &scenario->road[road],
                                 .ride = ride,
                                 .statics = statics,
                                 .shock_cold = NAN,
                                 .shock_heated = NAN};
  double values[MEASURES_MAX];
  if (df_measures_evaluate(work->which, work->which_n, &measured, workspace, values) ==
      DF_NO_MEMORY)
    ride->status = DF_NO_MEMORY;
  for (int j = 0; j < work->which_n; j++) value[work->which[j]] = values[j];
  df_measure_workspace_destroy(workspace);
}

static void ride_one(void *arg, int i)
{
  struct ride_work *work = arg;
  struct outcome *outcome = &work->outcome[i];
  int road = (int)(outcome->road - work->loaded.scenario->road);
  for (int j = 0; j < MEASURES_MAX; j++) outcome->value[j] = outcome->plain[j] = NAN;
  ride_measured(work, work->loaded.scenario, &work->statics, road, &outcome->ride, outcome->faults,
                outcome->value);
  if (!work->twin || stop_signal) return;
  struct df_ride ride;
  ride_measured(work, df_reading_scenario(work->twin), &work->twin_statics, road, &ride, NULL,
                outcome->plain);
  df_ride_finish(&ride);
}

// The plain twin, which some targets are set against. Without one those targets are not judged.
static void twin_make(struct ride_work *work)
{
  if (!work->loaded.scenario->side[0].has_valve) return;
  if (df_reading_twin(&work->twin, work->loaded.reading, work->statics.solids, NULL))
    work->twin = NULL;
  if (!work->twin || !df_statics_of(df_reading_scenario(work->twin), &work->twin_statics, NULL))
    return;
  df_reading_destroy(work->twin);
  work->twin = NULL;
}

static int statics_compute(struct ride_work *work)
{
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  enum df_status status = df_statics_of(work->loaded.scenario, &work->statics, faults);
  int result = status ? status_exit(work->loaded.path, status, faults) : 0;
  free(faults);
  struct df_measured measured = {.scenario = work->loaded.scenario,
                                 .statics = &work->statics,
                                 .shock_cold = NAN,
                                 .shock_heated = NAN};
  for (int i = 0; i < df_measure_count && i < MEASURES_MAX; i++) {
    work->fixed[i] = NAN;
    if (df_measure_is_static(i)) {
      if (!result) work->fixed[i] = df_measures[i].of(&measured, df_measures[i].argument);
    } else work->which[work->which_n++] = i;
  }
  return result;
}

static int rides_run(struct ride_work *work)
{
  for (int i = 0; i < work->n; i++)
    if (!(work->outcome[i].faults = calloc(1, sizeof *work->outcome[i].faults))) return EXIT_OUTPUT;
  jobs_run(jobs_wanted(work->call), work->n, ride_one, work, "roads ridden");
  return stop_status();
}

// Rides that did not reach their end: said with reason, time and the value most to blame. Exit
// status 4, or 0.
static int rides_judge(const struct ride_work *work)
{
  int worst = 0;
  for (int i = 0; i < work->n; i++) {
    const struct outcome *outcome = &work->outcome[i];
    const struct df_ride *ride = &outcome->ride;
    if (ride->status == DF_OK) continue;
    if (ride->status == DF_BAD_INPUT || ride->status == DF_CANNOT_READ ||
        ride->status == DF_NO_MEMORY) { // it never began
      int status = status_exit(outcome->road->name, ride->status, outcome->faults);
      if (status > worst) worst = status;
      continue;
    }
    say_error("%s: the ride ended at %.3f s: %s%s%s", outcome->road->name, ride->failed_at,
              *ride->reason ? ride->reason : df_status_text(ride->status),
              *ride->blame ? "; most to blame: " : "", ride->blame);
    if (worst < EXIT_MODEL) worst = EXIT_MODEL;
  }
  return worst;
}

// --- Expectations

double ride_value(const struct ride_work *work, const char *road, const char *measure)
{
  int row = df_measure_find(measure);
  if (row < 0) return NAN;
  if (!strcmp(road, "static")) return work->fixed[row];
  for (int i = 0; i < work->n; i++)
    if (!strcmp(work->outcome[i].road->name, road)) return work->outcome[i].value[row];
  return NAN;
}

int ride_holds(const struct df_expectation *expect, double value)
{
  double give = expect->tolerance_share ? expect->tolerance*fabs(expect->low) : expect->tolerance;
  switch (expect->relation) {
  case DF_CLAIM_ABOUT:    return fabs(value - expect->low) <= give;
  case DF_CLAIM_AT_MOST:  return value <= expect->high;
  case DF_CLAIM_AT_LEAST: return value >= expect->low;
  case DF_CLAIM_BETWEEN:  return value >= expect->low && value <= expect->high;
  }
  return 0;
}

// What changed the scenario, so that its expectations say nothing; NULL: nothing did.
const char *ride_overridden(const struct call *call)
{
  static const enum option_id changing[] = {OPT_SET, OPT_ROADS, OPT_USE, OPT_LAW};
  for (size_t i = 0; i < sizeof changing/sizeof *changing; i++)
    if (option_given(&call->options, changing[i])) return option_rows[changing[i]].name;
  return NULL;
}

// Returns the number that did not hold; each is said.
static int expectations_check(const struct ride_work *work)
{
  int failed = 0, n = df_reading_expect_count(work->loaded.reading);
  if (ride_overridden(work->call)) return 0;
  for (int i = 0; i < n; i++) {
    struct df_expectation expect;
    df_reading_expect(work->loaded.reading, i, &expect);
    double value = ride_value(work, expect.road, expect.measure);
    if (ride_holds(&expect, value)) continue;
    failed++;
    say_error("%s:%d:%d: expect %s: %s: it is %.6g %s", work->loaded.path, expect.line,
              expect.column, expect.what, expect.text, value / expect.scale, expect.unit);
  }
  return failed;
}

// --- Files

static int files_open(struct ride_work *work)
{
  char name[96];
  if (output_folder(work->folder)) return EXIT_OUTPUT;
  for (int i = 0; i < work->n; i++) {
    struct outcome *outcome = &work->outcome[i];
    snprintf(name, sizeof name, "ride-%s.csv", outcome->road->name);
    if (!(outcome->csv = output_open(work->folder, name))) return EXIT_OUTPUT;
    snprintf(name, sizeof name, "ride-%s.gp", outcome->road->name);
    if (!(outcome->gp = output_open(work->folder, name))) return EXIT_OUTPUT;
  }
  work->measures_csv = output_open(work->folder, "measures.csv");
  work->measures_gp = output_open(work->folder, "measures.gp");
  return work->measures_csv && work->measures_gp ? 0 : EXIT_OUTPUT;
}

static void head_ride(const struct ride_work *work, struct csv *csv, const struct df_effort *effort,
                      double residual)
{
  head_csv(work->call, &work->loaded, 1, csv);
  const struct df_run *run = &work->loaded.scenario->run;
  double tolerance = work->tolerance > 0        ? work->tolerance
                     : isfinite(run->tolerance) ? run->tolerance
                                                : 1e-4; // as df_ride_run takes it
  csv_head(csv, "method", "%s", df_method_name(work->method ? work->method : run->method + 1));
  csv_head(csv, "tolerance", "%.9g", tolerance);
  csv_head(csv, "effort", "%ld steps, %ld rejected, %ld right-hand sides, %ld jacobians",
           effort->steps, effort->rejected, effort->right_hand_sides, effort->jacobians);
  csv_head(csv, "energy_residual", "%.3g", residual);
}

static void road_title(const struct outcome *outcome, char *out, size_t size)
{
  const struct df_road *road = outcome->road;
  int n = snprintf(out, size, "%s: %s at %.0f km/h", road->name, df_road_kinds[road->kind]->name,
                   3.6 * road->speed);
  if (outcome->ride.status != DF_OK && n > 0 && (size_t)n < size)
    snprintf(out + n, size - (size_t)n, ", ended early at %.3f s", outcome->ride.failed_at);
}

static void ride_write(const struct ride_work *work, const struct outcome *outcome)
{
  struct csv csv = csv_begin(outcome->csv, work->call->digits);
  head_ride(work, &csv, &outcome->ride.effort, outcome->ride.energy_residual);
  csv_head(&csv, "road", "%s", outcome->road->name);
  if (outcome->ride.status != DF_OK) // a part is never passed off as the whole
    csv_head(&csv, "ended_early", "%.3f s: %s; most to blame: %s", outcome->ride.failed_at,
             *outcome->ride.reason ? outcome->ride.reason : df_status_text(outcome->ride.status),
             *outcome->ride.blame ? outcome->ride.blame : "not known");
  int stride = (int)lround(work->every/outcome->ride.trace.step);
  ride_csv(&outcome->ride, &csv, stride > 1 ? stride : 1);
  char stem[80], title[120];
  snprintf(stem, sizeof stem, "ride-%s", outcome->road->name);
  road_title(outcome, title, sizeof title);
  struct ride_shown shown = {work->loaded.name, work->loaded.scenario, &outcome->ride};
  plot_ride(outcome->gp, stem, title, &shown, 1);
}

void ride_effort(const struct ride_work *work, struct df_effort *sum, double *residual)
{
  *sum = (struct df_effort){0};
  *residual = 0;
  for (int i = 0; i < work->n; i++) {
    const struct df_effort *one = &work->outcome[i].ride.effort;
    sum->steps += one->steps, sum->rejected += one->rejected;
    sum->right_hand_sides += one->right_hand_sides, sum->jacobians += one->jacobians;
    *residual = fmax(*residual, fabs(work->outcome[i].ride.energy_residual));
  }
}

static void measures_rows(struct csv *csv, const char *road, const double *value)
{
  for (int i = 0; i < df_measure_count; i++) {
    if (!isfinite(value[i])) continue;
    csv_text(csv, road);
    csv_text(csv, df_measures[i].name);
    csv_number(csv, value[i]*df_measures[i].per_si);
    csv_text(csv, df_measures[i].unit);
    csv_line(csv);
  }
}

static void measures_write(const struct ride_work *work, FILE *stream)
{
  static const char *const names[] = {"road", "measure", "value", "unit"};
  struct csv csv = csv_begin(stream, work->call->digits);
  struct df_effort effort;
  double residual;
  ride_effort(work, &effort, &residual);
  head_ride(work, &csv, &effort, residual);
  csv_names(&csv, names, 4);
  measures_rows(&csv, "static", work->fixed);
  for (int i = 0; i < work->n; i++)
    measures_rows(&csv, work->outcome[i].road->name, work->outcome[i].value);
}

static void measures_plot(const struct ride_work *work, FILE *stream)
{
  const char *road[DF_ROADS_MAX];
  double part[DF_ROADS_MAX][PEAK_PARTS];
  char title[160];
  for (int i = 0; i < work->n; i++) {
    road[i] = work->outcome[i].road->name;
    for (int j = 0; j < PEAK_PARTS; j++) {
      char measure[48];
      snprintf(measure, sizeof measure, "peak_%s", peak_part_names[j]);
      part[i][j] = ride_value(work, road[i], measure);
    }
  }
  snprintf(title, sizeof title, "%s: what made the hardest moment of each road", work->loaded.name);
  plot_measures(stream, title, road, part, work->n);
}

static int pictures(const struct ride_work *work, enum render_form form)
{
  if (form == RENDER_NONE || form == RENDER_TERM) return 0;
  if (output_flush_all()) return EXIT_OUTPUT;
  int status = render_file(work->folder, "measures", form);
  for (int i = 0; i < work->n && !status; i++) {
    char stem[80];
    if (!work->outcome[i].ride.trace.n) continue;
    snprintf(stem, sizeof stem, "ride-%s", work->outcome[i].road->name);
    status = render_file(work->folder, stem, form);
  }
  return status;
}

static int files_write(const struct ride_work *work, enum render_form form)
{
  for (int i = 0; i < work->n; i++) ride_write(work, &work->outcome[i]);
  measures_write(work, work->measures_csv);
  measures_plot(work, work->measures_gp);
  int status = pictures(work, form);
  return status ? status : output_commit_all();
}

static int draw_here(const struct ride_work *work)
{
  for (int i = 0; i < work->n; i++) {
    FILE *script = tmpfile();
    char title[120];
    if (!script) return EXIT_OUTPUT;
    road_title(&work->outcome[i], title, sizeof title);
    struct ride_shown shown = {work->loaded.name, work->loaded.scenario, &work->outcome[i].ride};
    plot_ride(script, "ride", title, &shown, 1);
    int status = render_terminal(script);
    fclose(script);
    if (status) return status;
  }
  return 0;
}

static int work_run(struct ride_work *work)
{
  enum render_form form = option_word(&work->call->options, OPT_RENDER, RENDER_NONE);
  int status = load(work->call, work->call->arguments[0], &work->loaded);
  if (!status) status = every_read(work);
  if (!status) status = method_read(work);
  if (!status) status = roads_choose(work);
  if (!status && work->folder) status = files_open(work);
  if (!status) status = statics_compute(work);
  if (!status) twin_make(work);
  if (!status) status = rides_run(work);
  if (status) return status;
  int broken = rides_judge(work);
  if (broken == EXIT_OUTPUT) return broken; // memory was short
  for (int i = 0; i < work->n; i++)
    if (!work->outcome[i].ride.trace.n) return broken; // one never began: nothing is written
  int failed = broken ? 0 : expectations_check(work);
  if (work->folder) status = files_write(work, form);
  if (status) return status;
  int quiet = option_given(&work->call->options, OPT_QUIET); // silences the text, never data
  if (!quiet || work->call->format != FORMAT_TEXT) {
    if (bands_asked(work->call)) status = bands_ride(work);
    else if (work->call->format == FORMAT_CSV) measures_write(work, stdout);
    else if (work->call->format == FORMAT_JSON) ride_answer_json(work, failed);
    else ride_answer_text(work, failed);
  }
  if (form == RENDER_TERM && !status) status = draw_here(work);
  return broken ? broken : status ? status : failed ? EXIT_CHECK_SAID_NO : EXIT_DONE;
}

int cmd_ride(struct call *call)
{
  struct ride_work *work = calloc(1, sizeof *work);
  if (!work) return EXIT_OUTPUT;
  work->call = call;
  work->folder = option_text(&call->options, OPT_OUTPUT, NULL);
  work->tolerance = option_number(&call->options, OPT_TOLERANCE, 0);
  int render = option_word(&call->options, OPT_RENDER, RENDER_NONE), status = EXIT_USAGE;
  if (render != RENDER_NONE && render != RENDER_TERM && !work->folder)
    say_error("--render %s needs -o DIR for the pictures",
              option_text(&call->options, OPT_RENDER, ""));
  else status = work_run(work);
  for (int i = 0; i < work->n; i++) {
    df_ride_finish(&work->outcome[i].ride);
    free(work->outcome[i].faults);
  }
  if (work->twin) df_reading_destroy(work->twin);
  load_finish(&work->loaded);
  free(work);
  return status;
}
