// Sensitivity: what each value is worth, from the rows of a sweep.
#include "atomic.h"
#include "out_json.h"
#include "out_text.h"
#include "say.h"
#include "sweep_work.h"

#include "measures/targets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { WORTH_ROWS = WORTH_KEYS }; // of a table, with heading and closing lines one screen
static const double worth_saying =
    0.005; // 1, of the value: less is within the error of a ride; our choice

// One measure against one value.
struct worth {
  double effect;         // unit of the measure: high end less low end; NAN for shares
  double share_of_value; // 1, effect over the value as in the file
  struct df_share share; // NAN for one at a time
};

struct worths {
  struct sweep *s;
  struct worth *at; // measures times axes
  double *base;     // each measure as in the file, in its unit
  double *result;   // rows times measures
};

static struct worth *worth_of(const struct worths *w, int measure, int axis)
{
  return &w->at[measure * w->s->axis_n + axis];
}

static int results_read(struct worths *w)
{
  struct sweep *s = w->s;
  struct rows rows;
  long n = 0;
  w->at = calloc((size_t)s->wanted_n * (size_t)s->axis_n, sizeof *w->at);
  w->base = calloc((size_t)s->wanted_n, sizeof *w->base);
  w->result = malloc((size_t)s->rows * (size_t)s->wanted_n * sizeof *w->result);
  if (!w->at || !w->base || !w->result) return EXIT_OUTPUT;
  if (rows_begin(&rows, s->file))
    while (n < s->rows && rows_next(&rows)) {
      for (int j = 0; j < s->wanted_n; j++)
        w->result[j * s->rows + n] = rows_number(&rows, 2 + s->axis_n + j);
      n++;
    }
  rows_end(&rows);
  return n == s->rows ? 0 : EXIT_OUTPUT;
}

static void effects_of(struct worths *w)
{
  for (int j = 0; j < w->s->wanted_n; j++) {
    const double *f = w->result + j * w->s->rows;
    w->base[j] = f[0];
    for (int k = 0; k < w->s->axis_n; k++) {
      struct worth *worth = worth_of(w, j, k);
      worth->effect = f[2 + 2 * k] - f[1 + 2 * k];
      worth->share_of_value = f[0] != 0 ? worth->effect / fabs(f[0]) : NAN;
      worth->share = (struct df_share){NAN, NAN, NAN, NAN, NAN, NAN};
    }
  }
}

static int shares_of(struct worths *w)
{
  struct sweep *s = w->s;
  struct df_share share[DF_SOBOL_DIMENSIONS];
  for (int j = 0; j < s->wanted_n; j++) {
    int used = df_shares(w->result + j * s->rows, (int)s->sample, s->axis_n, s->seed, share);
    if (used < 0) return EXIT_OUTPUT;
    for (int k = 0; k < s->axis_n; k++) *worth_of(w, j, k) = (struct worth){NAN, NAN, share[k]};
  }
  return 0;
}

// ---- data ----
static const char *const columns[] = {"measure",
                                      "key",
                                      "low",
                                      "high",
                                      "effect",
                                      "first_order_1",
                                      "first_order_low_1",
                                      "first_order_high_1",
                                      "total_1",
                                      "total_low_1",
                                      "total_high_1"};

// Values of one row behind measure and key.
static void row_values(const struct worths *w, int j, int k, double out[9])
{
  const struct worth *worth = worth_of(w, j, k);
  const struct axis *axis = &w->s->axis[k];
  const struct df_share *f = &worth->share;
  double all[9] = {axis->low,     axis->high, worth->effect, f->first,     f->first_low,
                   f->first_high, f->total,   f->total_low,  f->total_high};
  memcpy(out, all, sizeof all);
}

static void worth_csv(const struct worths *w, FILE *stream)
{
  struct sweep *s = w->s;
  struct csv csv = csv_begin(stream, s->call->digits);
  char name[SWEEP_NAME_MAX];
  const char *names = strstr(s->head, "\nrow,");
  fwrite(s->head, 1, names ? (size_t)(names + 1 - s->head) : 0, stream);
  csv_names(&csv, columns, 11);
  for (int j = 0; j < s->wanted_n; j++)
    for (int k = 0; k < s->axis_n; k++) {
      double value[9];
      row_values(w, j, k, value);
      wanted_name(s, j, name), csv_text(&csv, name);
      axis_name(&s->axis[k], name), csv_text(&csv, name);
      for (int i = 0; i < 9; i++) csv_number(&csv, value[i]);
      csv_line(&csv);
    }
}

static void worth_json(const struct worths *w)
{
  struct sweep *s = w->s;
  struct json json;
  char name[SWEEP_NAME_MAX];
  json_begin(&json, stdout, s->call->digits, "sweep");
  json_text(&json, "scenario", s->loaded.path);
  json_array(&json, "sensitivity");
  for (int j = 0; j < s->wanted_n; j++)
    for (int k = 0; k < s->axis_n; k++) {
      double value[9];
      row_values(w, j, k, value);
      json_object(&json, NULL);
      wanted_name(s, j, name), json_text(&json, "measure", name);
      axis_name(&s->axis[k], name), json_text(&json, "key", name);
      json_truth(&json, "given", s->axis[k].given);
      for (int i = 0; i < 9; i++) json_number(&json, columns[2 + i], value[i]);
      json_end(&json);
    }
  json_end(&json);
  json_finish(&json);
}

// ---- text ----
// How much a value matters: the largest over all measures.
static double weight_of(const struct worths *w, int k, int *measure)
{
  double most = 0;
  int total = w->s->design == DESIGN_TOTAL;
  for (int j = 0; j < w->s->wanted_n; j++) {
    const struct worth *worth = worth_of(w, j, k);
    double size = fabs(total ? worth->share.total : worth->share_of_value);
    if (isfinite(size) && size > most) most = size, *measure = j;
  }
  return most;
}

// Indices of the axes, those that matter most first. Returns how many matter.
static int ordered(const struct worths *w, int *order)
{
  double weight[AXES_MAX];
  int n = 0, measure;
  for (int k = 0; k < w->s->axis_n; k++) {
    weight[k] = weight_of(w, k, &measure);
    if (weight[k] < worth_saying) continue;
    int i = n++;
    for (; i > 0 && weight[order[i - 1]] < weight[k]; i--) order[i] = order[i - 1];
    order[i] = k;
  }
  return n;
}

static void range_text(const struct axis *axis, char *out, size_t size)
{
  char a[24], b[24];
  int pure = !strcmp(axis->unit, "1");
  snprintf(out, size, "%s to %s%s%s", figure(a, axis->low), figure(b, axis->high), pure ? "" : " ",
           pure ? "" : axis->unit);
}

static const char *road_text(const struct sweep *s, int j)
{
  int road = s->wanted[j].road;
  return road < 0 ? "at rest" : s->loaded.scenario->road[road].name;
}

static void measure_heading(const struct worths *w, struct table *t, int column, int j)
{
  const struct df_wanted *wanted = &w->s->wanted[j];
  table_cell(t, 0, column, "%s", road_text(w->s, j));
  table_cell(t, 1, column, "%s", df_measures[wanted->measure].name);
}

static void effect_cell(const struct worths *w, struct table *t, int row, int column, int j, int k)
{
  const struct worth *worth = worth_of(w, j, k);
  char text[24], unit[24];
  if (w->s->design == DESIGN_TOTAL) {
    if (isfinite(worth->share.total))
      table_cell(t, row, column, "%.0f/%.0f %%", 100 * worth->share.first,
                 100 * worth->share.total);
    return;
  }
  if (!isfinite(worth->effect)) return;
  df_unit_text(df_measures[w->s->wanted[j].measure].unit, unit, sizeof unit);
  if (isfinite(worth->share_of_value))
    table_cell(t, row, column, "%+.1f %%", 100 * worth->share_of_value);
  else table_cell(t, row, column, "%s %s", figure(text, worth->effect), unit);
}

// How many measures fit beside key and range.
static int measures_fitting(const struct worths *w)
{
  int used = 58, n = 0;
  for (; n < w->s->wanted_n && n < TABLE_COLUMNS_MAX - 3; n++) {
    int wide = (int)strlen(df_measures[w->s->wanted[n].measure].name);
    used += 2 + (wide < 9 ? 9 : wide);
    if (used > SCREEN_COLUMNS) break;
  }
  return n ? n : 1;
}

static void table_say(const struct worths *w, const int *order, int n)
{
  struct table *t = malloc(sizeof *t);
  if (!t) {
    say_no_memory();
    return;
  }
  int measures = measures_fitting(w), rows = n < WORTH_ROWS ? n : WORTH_ROWS;
  table_begin(t, 3 + measures, "lllrrrrrrrrr");
  table_cell(t, 1, 0, "value"), table_cell(t, 1, 1, "from and to");
  for (int j = 0; j < measures; j++) measure_heading(w, t, 3 + j, j);
  for (int i = 0; i < rows; i++) {
    char range[96];
    const struct axis *axis = &w->s->axis[order[i]];
    range_text(axis, range, sizeof range);
    table_cell(t, 2 + i, 0, "%s", axis->path), table_cell(t, 2 + i, 1, "%s", range);
    table_cell(t, 2 + i, 2, "%s", axis->given ? "" : "assumed");
    for (int j = 0; j < measures; j++) effect_cell(w, t, 2 + i, 3 + j, j, order[i]);
  }
  table_print(t);
  free(t);
}

static void measure_next_say(const struct worths *w, const int *order, int n)
{
  struct sweep *s = w->s;
  for (int i = 0; i < n; i++) {
    const struct axis *axis = &s->axis[order[i]];
    char range[96];
    int j = 0;
    double weight = weight_of(w, order[i], &j);
    if (axis->given) continue;
    range_text(axis, range, sizeof range);
    const char *measure = df_measures[s->wanted[j].measure].name, *road = road_text(s, j);
    paragraph(2,
              s->design == DESIGN_TOTAL
                  ? "Measure next: %s, assumed (%s): it makes %.0f %% of the spread of %s %s."
                  : "Measure next: %s, assumed (%s): it moves by %.0f %% the %s %s.",
              axis->path, range, 100 * weight, road, measure);
    line("How: dampfork help %s", axis->path);
    return;
  }
}

// What the value that matters most of those that were measured is worth, as a sentence.
static void most_say(const struct worths *w, const int *order, int n)
{
  struct sweep *s = w->s;
  char a[24], b[24];
  for (int i = 0; i < n && s->design == DESIGN_ONE; i++) {
    const struct axis *axis = &s->axis[order[i]];
    int j = 0;
    double weight = weight_of(w, order[i], &j);
    if (!axis->given) continue;
    int pure = !strcmp(axis->unit, "1");
    paragraph(2, "%s%s%s of %s is worth %s %% of %s %s.", figure(a, axis->high - axis->low),
              pure ? "" : " ", pure ? "" : axis->unit, axis->path, figure(b, 100 * weight),
              road_text(s, j), df_measures[s->wanted[j].measure].name);
    return;
  }
}

static void worth_say(const struct worths *w)
{
  struct sweep *s = w->s;
  int order[AXES_MAX], n = ordered(w, order), total = s->design == DESIGN_TOTAL;
  char pace[64] = "";
  if (s->ridden)
    snprintf(pace, sizeof pace, ", %ld rides in %.1f s", s->ridden * s->roads, s->seconds);
  line("%s: what each value is worth%s", s->loaded.name, pace);
  if (total)
    line("alone / with all it acts together with, of the spread; %ld groups drawn", s->sample);
  else line("from its low to its high end, all else as in the file, of the measure's value");
  table_say(w, order, n);
  if (n > WORTH_ROWS) line("%d more values: --format csv", n - WORTH_ROWS);
  if (s->axis_n > n)
    line("%d %s nothing by 0.5 %%.", s->axis_n - n,
         s->axis_n - n == 1 ? "value moves" : "values move");
  if (s->left_out) line("%d values that matter less one at a time were not drawn.", s->left_out);
  if (s->folder) line("All of it: %s/sensitivity.csv", s->folder);
  if (!total) most_say(w, order, n);
  measure_next_say(w, order, n);
}

// ---- picture ----
static void bar_of(const struct worths *w, int j, int k, double out[4])
{
  const struct worth *worth = worth_of(w, j, k);
  const struct df_share *f = &worth->share;
  double share[4] = {100 * f->total, 100 * f->total_low, 100 * f->total_high, 100 * f->first};
  double effect[4] = {100 * worth->share_of_value, NAN, NAN, NAN};
  memcpy(out, w->s->design == DESIGN_TOTAL ? share : effect, sizeof share);
}

static void picture(const struct worths *w, FILE *stream)
{
  struct sweep *s = w->s;
  struct worth_shown *shown = calloc(1, sizeof *shown);
  int order[AXES_MAX], n = ordered(w, order);
  if (!shown) return;
  shown->shares = s->design == DESIGN_TOTAL;
  shown->title = s->loaded.name;
  shown->meaning = shown->shares ? "bar: with all it acts together with; line: 95 %; dot: alone"
                                 : "from its low to its high end, all else as in the file";
  shown->unit = shown->shares ? "share of the spread [%]" : "effect [% of the value]";
  shown->keys = n < WORTH_KEYS ? n : WORTH_KEYS;
  shown->measures = s->wanted_n < WORTH_PANELS ? s->wanted_n : WORTH_PANELS;
  for (int i = 0; i < shown->keys; i++) {
    shown->key[i] = s->axis[order[i]].path;
    for (int j = 0; j < shown->measures; j++) bar_of(w, j, order[i], shown->bar[i][j]);
  }
  for (int j = 0; j < shown->measures; j++) {
    shown->road[j] = road_text(s, j);
    shown->measure[j] = df_measures[s->wanted[j].measure].name;
  }
  worth_plot(shown, stream);
  free(shown);
}

static int files_write(const struct worths *w)
{
  const char *folder = w->s->folder;
  int form = option_word(&w->s->call->options, OPT_RENDER, RENDER_NONE), status = 0;
  FILE *csv = output_open(folder, "sensitivity.csv");
  FILE *gp = csv ? output_open(folder, "sensitivity.gp") : NULL;
  if (!csv || !gp) return EXIT_OUTPUT;
  worth_csv(w, csv);
  picture(w, gp);
  if (form != RENDER_NONE && form != RENDER_TERM)
    status = output_flush_all() ? EXIT_OUTPUT : render_file(folder, "sensitivity", form);
  return status ? status : output_commit_all();
}

static int answer(const struct worths *w)
{
  const struct call *call = w->s->call;
  if (call->format == FORMAT_CSV) worth_csv(w, stdout);
  else if (call->format == FORMAT_JSON) worth_json(w);
  else if (!option_given(&call->options, OPT_QUIET)) worth_say(w);
  if (option_word(&call->options, OPT_RENDER, RENDER_NONE) != RENDER_TERM) return 0;
  FILE *script = tmpfile();
  if (!script) return EXIT_OUTPUT;
  picture(w, script);
  int status = render_terminal(script);
  fclose(script);
  return status;
}

int sweep_worth(struct sweep *s)
{
  struct worths w = {.s = s};
  int status = results_read(&w);
  if (!status && s->design == DESIGN_ONE) effects_of(&w);
  if (!status && s->design == DESIGN_TOTAL) status = shares_of(&w);
  if (!status && s->folder) status = files_write(&w);
  if (!status) status = answer(&w);
  free(w.at);
  free(w.base);
  free(w.result);
  return status;
}
