// curves: steady force against fork speed and travel, valve lift, who makes it; where two forks
// cross.
#include "atomic.h"
#include "bands.h"
#include "commands.h"
#include "curves.h"
#include "load.h"
#include "out_gnuplot.h"
#include "out_text.h"
#include "render.h"
#include "say.h"
#include "shown.h"

#include "base/param.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SCENARIOS_MAX = 16, SPEEDS_MAX = 20001 };

struct work {
  struct call *call;
  int n;
  struct loaded loaded[SCENARIOS_MAX];
  struct curves curves[SCENARIOS_MAX];
  double *speed;
  int speed_n;
  const char *folder;         // NULL: nothing is written
  char brief[SCENARIOS_MAX][SHORT_NAME]; // names on the screen
};

// Fork speeds when none are asked for: 2 % steps around zero and near a valve's opening, 20 mm/s
// further out.
static int usual_speeds(double *speed)
{
  int n = 0;
  double half[400];
  for (double v = 0.002; v < 0.0199; v += 0.002) half[n++] = v;
  for (int i = 2; i < 40; i++) half[n++] = 0.01*i;
  for (int i = 20; i <= 150; i++) half[n++] = 0.02*i;
  for (int i = 0; i < n; i++) speed[i] = -half[n - 1 - i];
  speed[n] = 0;
  for (int i = 0; i < n; i++) speed[n + 1 + i] = half[i];
  return 2*n + 1;
}

static int speeds_read(struct work *work)
{
  const char *text = option_text(&work->call->options, OPT_SPEEDS, NULL);
  work->speed = calloc(SPEEDS_MAX, sizeof *work->speed);
  if (!work->speed) return EXIT_OUTPUT;
  if (!text) {
    work->speed_n = usual_speeds(work->speed);
    return 0;
  }
  double first, last, step;
  char rest;
  int good = sscanf(text, "%lf:%lf:%lf%c", &first, &last, &step, &rest) == 3 && isfinite(first) &&
             isfinite(last);
  if (!good || !(step > 0) || !(last >= first) || fmax(fabs(first), fabs(last)) > 20 ||
      (last - first) / step > SPEEDS_MAX - 2) {
    say_error(
        "--speeds %s: FIRST:LAST:STEP in m/s is wanted, rising, within -20 to 20, as in -3:3:0.02",
        text);
    return EXIT_USAGE;
  }
  int n = (int)floor((last - first)/step + 1e-9) + 1;
  for (int i = 0; i < n; i++) work->speed[i] = first + i*step;
  work->speed_n = n;
  return 0;
}

// --travel of this scenario; half the travel when it was not given.
static int travel_read(const struct work *work, int k, double *x)
{
  double all = work->loaded[k].scenario->side[0].leg.travel;
  const char *text = option_text(&work->call->options, OPT_TRAVEL, NULL);
  *x = 0.5*all;
  if (!text) return 0;
  static const struct df_param row = {
      .key = "travel", .form = DF_QUANTITY, .unit = "mm", .usual = NAN, .low = -1e4, .high = 1e4};
  struct df_faults faults = {0};
  if (df_quantity_parse(units_get(), &row, "--travel", text, x, &faults)) {
    say_error("--travel %s: %s", text,
              faults.n ? faults.at[0].text : "a length is wanted, as in '40 mm'");
    return EXIT_USAGE;
  }
  if (*x >= 0 && *x <= all) return 0;
  say_error("--travel %s: %s has 0 to %.6g mm", text, work->loaded[k].path, 1e3*all);
  return EXIT_USAGE;
}

static int compute(struct work *work)
{
  for (int k = 0; k < work->n; k++) {
    struct df_faults faults = {0};
    double x;
    int status = travel_read(work, k, &x);
    if (status) return status;
    enum df_status result = curves_init(&work->curves[k], work->loaded[k].scenario,
                                        work->loaded[k].name, x, work->speed, work->speed_n,
                                        &faults);
    if (result) return status_exit(work->loaded[k].path, result, &faults);
    if (stop_signal) return stop_status();
  }
  return 0;
}

// Files of one scenario, or of all together (k < 0). With several scenarios each has a folder a, b,
// ... of its own.
static void folder_of(const struct work *work, int k, char *out, size_t size)
{
  if (k < 0 || work->n == 1) snprintf(out, size, "%s", work->folder);
  else snprintf(out, size, "%s/%c", work->folder, 'a' + k);
}

static const char *const file_names[] = {"force-velocity.csv", "force-travel.csv",
                                         "force-velocity.gp", "force-travel.gp"};
enum { FILES = sizeof file_names/sizeof *file_names };

// Everything is opened before the work, so that a folder that cannot be written says so at once.
static int files_open(const struct work *work, FILE *stream[][FILES])
{
  char folder[OUTPUT_PATH_MAX];
  for (int k = work->n > 1 ? -1 : 0; k < work->n; k++) {
    folder_of(work, k, folder, sizeof folder);
    if (output_folder(folder)) return EXIT_OUTPUT;
    for (int i = k < 0 ? 2 : 0; i < FILES; i++)
      if (!(stream[k + 1][i] = output_open(folder, file_names[i]))) return EXIT_OUTPUT;
  }
  return 0;
}

static void head(const struct work *work, int k, int n, struct csv *csv)
{
  head_csv(work->call, &work->loaded[k], n, csv);
  csv_head(csv, "method", "steady balance of flows, solved to round-off");
  csv_head(csv, "travel_mm", "%.9g", 1e3*work->curves[k].x);
}

static void files_write(const struct work *work, FILE *stream[][FILES])
{
  for (int k = 0; k < work->n; k++) {
    for (int i = 0; i < 2; i++) {
      struct csv csv = csv_begin(stream[k + 1][i], work->call->digits);
      head(work, k, 1, &csv);
      if (i == 0) {
        curves_velocity_names(&csv, 0);
        curves_velocity_csv(&work->curves[k], &csv, NULL);
      } else {
        curves_travel_names(&csv);
        curves_travel_csv(&work->curves[k], &csv, NULL);
      }
    }
    plot_force_velocity(stream[k + 1][2], &work->curves[k], 1);
    plot_force_travel(stream[k + 1][3], &work->curves[k], 1);
  }
  if (work->n == 1) return;
  plot_force_velocity(stream[0][2], work->curves, work->n);
  plot_force_travel(stream[0][3], work->curves, work->n);
}

static int pictures(const struct work *work, enum render_form form)
{
  char folder[OUTPUT_PATH_MAX];
  if (form == RENDER_NONE || form == RENDER_TERM) return 0;
  if (output_flush_all()) return EXIT_OUTPUT;
  for (int k = work->n > 1 ? -1 : 0; k < work->n; k++) {
    folder_of(work, k, folder, sizeof folder);
    int status = render_file(folder, "force-velocity", form);
    if (!status) status = render_file(folder, "force-travel", form);
    if (status) return status;
  }
  return 0;
}

static int draw_here(const struct work *work)
{
  void (*const plot[])(FILE *, const struct curves *, int) = {plot_force_velocity,
                                                              plot_force_travel};
  for (int i = 0; i < 2; i++) {
    FILE *script = tmpfile();
    if (!script) {
      say_error("no temporary file for the picture");
      return EXIT_OUTPUT;
    }
    plot[i](script, work->curves, work->n);
    int status = render_terminal(script);
    fclose(script);
    if (status) return status;
  }
  return 0;
}

// Rows of the table: fork speeds where something happens on the road (common practice), and one in
// rebound.
static const struct { double v; const char *text;
} rows_shown[] = {{0.05, "slow weight shift"}, {0.1, "roll into a corner"},
                  {0.3, "brake dive"},         {1, "manhole, hump"},
                  {3, "sharp edge"},           {-0.3, "coming back up"}};

static void names_shorten(struct work *work)
{
  const struct df_scenario *scenario[SCENARIOS_MAX];
  const char *name[SCENARIOS_MAX];
  for (int k = 0; k < work->n; k++)
    scenario[k] = work->loaded[k].scenario, name[k] = work->loaded[k].name;
  if (work->n > 1) short_names(scenario, name, work->n, work->brief);
  else clean(work->brief[0], SHORT_NAME, name[0], 0);
}

static void table_of_speeds(const struct work *work)
{
  struct table *table = malloc(sizeof *table);
  if (!table) {
    say_no_memory();
    return;
  }
  int columns = work->n < 5 ? work->n : 5;
  table_begin(table, 3 + columns, "rlrrrrrr");
  table->right[2 + columns] = 0;
  table_cell(table, 0, 0, "fork speed");
  table_cell(table, 0, 1, "here it happens");
  for (int k = 0; k < columns; k++) table_cell(table, 0, 2 + k, "%s", work->brief[k]);
  if (columns > 1) table_cell(table, 0, 2 + columns, "made by (%s)", work->brief[0]);
  else table_cell(table, 0, 3, "made by");
  for (size_t i = 0; i < sizeof rows_shown/sizeof *rows_shown; i++) {
    table_cell(table, i + 1, 0, "%s", shown(KIND_SPEED, rows_shown[i].v));
    table_cell(table, i + 1, 1, "%s", rows_shown[i].text);
    for (int k = 0; k < columns; k++) {
      struct df_steady at;
      char shares[80];
      enum df_status bad = df_leg_steady(work->curves[k].leg, work->curves[k].x, rows_shown[i].v,
                                         &at);
      table_cell(table, i + 1, 2 + k, "%s", bad ? "-" : shown(KIND_FORCE, at.damping));
      if (k == 0)
        table_cell(table, i + 1, 2 + columns, "%s",
                   bad ? "-" : path_shares(shares, sizeof shares, &at));
    }
  }
  table_print(table);
  free(table);
}

// Steepness of a valve's curve below and above its opening, the way a plain rod has one steepness
// all along.
static void say_slopes(const struct work *work, int k)
{
  const struct curves *curves = &work->curves[k];
  const char *name = work->brief[k];
  double cracking = curves->statics.cracking_speed;
  char a[24], b[24], c[24];
  if (work->loaded[k].scenario->side[0].has_valve && isfinite(cracking)) {
    figure(a, curves_slope(curves->leg, curves->x, 0.9*cracking));
    figure(b, curves_slope(curves->leg, curves->x, 1.15*cracking));
    figure(c, curves_slope(curves->leg, curves->x, 2));
    line("%s: opens at %s; slope %s just below, %s just above, %s at 2 m/s (2 = square law)", name,
         shown(KIND_SPEED, cracking), a, b, c);
  } else {
    figure(a, curves_slope(curves->leg, curves->x, 0.5));
    figure(b, curves_slope(curves->leg, curves->x, 2));
    line("%s: %s; slope %s at 0.5 m/s, %s at 2 m/s (2 = square law)", name,
         work->loaded[k].scenario->side[0].has_valve ? "the valve never opens within 10 m/s"
                                                     : "no valve",
         a, b);
  }
}

static void say_crossing(const struct work *work, int k)
{
  double at[4], last = work->speed_n ? work->speed[work->speed_n - 1] : 3;
  int n = curves_crossings(&work->curves[0], &work->curves[k], fmax(last, 3), at, 4);
  const char *a = work->brief[0], *b = work->brief[k];
  struct df_steady first, second;
  if (n == 0) {
    if (df_leg_steady(work->curves[0].leg, work->curves[0].x, 0.3, &first) ||
        df_leg_steady(work->curves[k].leg, work->curves[k].x, 0.3, &second)) return;
    if (first.damping == second.damping) line("%s and %s make the same force", a, b);
    else
      line("%s and %s do not cross: %s is firmer at every fork speed in compression", a, b,
           first.damping > second.damping ? a : b);
    return;
  }
  if (df_leg_steady(work->curves[0].leg, work->curves[0].x, 0.9*at[0], &first) ||
      df_leg_steady(work->curves[k].leg, work->curves[k].x, 0.9*at[0], &second)) return;
  int firmer = first.damping > second.damping;
  char more[80] = "";
  for (int i = 1; i < n; i++)
    snprintf(more + strlen(more), sizeof more - strlen(more), "%s%.3g m/s",
             i > 1 ? ", " : "; again at ", at[i]);
  line("Curves cross at a fork speed of %s: slower %s is firmer, faster softer%s",
       shown(KIND_SPEED, at[0]), firmer ? a : b, more);
}

static void answer_text(struct work *work)
{
  const struct df_scenario *first = work->loaded[0].scenario;
  line("Damping force of one leg at %s of travel, oil %s (spring, air and friction left out)",
       shown(KIND_LENGTH, work->curves[0].x),
       shown(KIND_TEMPERATURE, first->side[0].oil.temperature));
  names_shorten(work);
  table_of_speeds(work);
  int slopes = work->n < 5 ? work->n : 5;
  for (int k = 0; k < slopes; k++) say_slopes(work, k);
  for (int k = 1; k < slopes; k++) say_crossing(work, k);
  for (int k = 0; k < slopes && bands_asked(work->call); k++)
    if (bands_curves_say(work->call, &work->loaded[k], work->curves[k].x)) break;
  curves_measured_say(&work->curves[0]);
  if (!first->side[0].leg.has_linear && !bands_asked(work->call))
    line(
        "Uncertain by about 30 %%: coefficients are handbook values until fitted to a "
        "measurement.");
  char paths[400] = "";
  for (int k = 0; k < work->n && k < 3; k++) {
    strncat(paths, work->loaded[k].path, sizeof paths - strlen(paths) - 2);
    strcat(paths, " ");
  }
  if (!work->folder) line("Next: dampfork curves %s-o out --render png", paths);
  else if (work->n == 1) line("Next: dampfork ride %s-o %s", paths, work->folder);
  else line("Next: dampfork ride %s", work->loaded[0].path);
}

static void answer_csv(const struct work *work)
{
  struct csv csv = csv_begin(stdout, work->call->digits);
  head(work, 0, work->n, &csv);
  curves_velocity_names(&csv, work->n > 1);
  for (int k = 0; k < work->n; k++)
    curves_velocity_csv(&work->curves[k], &csv, work->n > 1 ? work->loaded[k].name : NULL);
}

static void answer_json(const struct work *work)
{
  struct json json;
  json_begin(&json, stdout, work->call->digits, "curves");
  json_array(&json, "scenarios");
  for (int k = 0; k < work->n; k++) {
    json_object(&json, NULL);
    json_text(&json, "scenario", work->loaded[k].path);
    json_text(&json, "hash", work->loaded[k].hash);
    curves_json(&work->curves[k], &json);
    json_end(&json);
  }
  json_end(&json);
  json_array(&json, "crossings");
  for (int k = 1; k < work->n; k++) {
    double at[8];
    int n = curves_crossings(&work->curves[0], &work->curves[k], 3, at, 8);
    for (int i = 0; i < n; i++) {
      json_object(&json, NULL);
      json_text(&json, "first", work->loaded[0].path);
      json_text(&json, "second", work->loaded[k].path);
      json_number(&json, "velocity_m_per_s", at[i]);
      json_end(&json);
    }
  }
  json_finish(&json);
}

static int work_run(struct work *work)
{
  enum render_form form = option_word(&work->call->options, OPT_RENDER, RENDER_NONE);
  static FILE *stream[SCENARIOS_MAX + 1][FILES];
  int status = speeds_read(work);
  for (int k = 0; k < work->n && !status; k++)
    status = load(work->call, work->call->arguments[k], &work->loaded[k]);
  if (!status && work->folder) status = files_open(work, stream);
  if (!status) status = compute(work);
  const struct option_value *files = &work->call->options.of[OPT_MEASURED];
  for (int i = 0; i < files->n && !status; i++)
    status = curves_measured(&work->curves[0], files->text[i]);
  if (!status && work->folder) files_write(work, stream);
  if (!status && work->folder) status = pictures(work, form);
  if (!status && work->folder) status = output_commit_all();
  if (status) return status;
  if (!option_given(&work->call->options, OPT_QUIET)) {
    if (work->call->format == FORMAT_CSV) answer_csv(work);
    else if (work->call->format == FORMAT_JSON) answer_json(work);
    else answer_text(work);
  }
  return form == RENDER_TERM ? draw_here(work) : 0;
}

int cmd_curves(struct call *call)
{
  if (call->argument_n > SCENARIOS_MAX) {
    say_error("curves takes %d scenarios at most", SCENARIOS_MAX);
    return EXIT_USAGE;
  }
  struct work *work = calloc(1, sizeof *work);
  if (!work) return EXIT_OUTPUT;
  work->call = call;
  work->n = call->argument_n;
  work->folder = option_text(&call->options, OPT_OUTPUT, NULL);
  int render = option_word(&call->options, OPT_RENDER, RENDER_NONE), status = EXIT_USAGE;
  if (render != RENDER_NONE && render != RENDER_TERM && !work->folder)
    say_error("--render %s needs -o DIR for the pictures",
              option_text(&call->options, OPT_RENDER, ""));
  else status = work_run(work);
  for (int k = 0; k < work->n; k++) {
    curves_finish(&work->curves[k]);
    load_finish(&work->loaded[k]);
  }
  free(work->speed);
  free(work);
  return status;
}
