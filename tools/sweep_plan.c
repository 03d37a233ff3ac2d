// What a sweep rides: values, roads, measures.
#include "jobs.h"
#include "nearest.h"
#include "say.h"
#include "shown.h"
#include "sweep_work.h"

#include "base/param.h"
#include "scenario/params.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  VALUES_MAX = 100000, // of one --vary
  TOTAL_AXES =
      10, // of shares without --vary: a dozen rides a group are enough to wait for; our choice
  TOTAL_GROUPS = 256, // groups without --sample: shares to about 0.1; our choice
  MEASURES_WANTED = 512
};
static const long rows_most = 1000000000; // a thousand million settings are a mistake

// ---- axes ----
// The value of the scenario in an axis' unit.
static double now_of(const struct df_reading *reading, const char *path, const char *unit,
                     int *given)
{
  struct df_value value;
  int at = df_reading_find(reading, path);
  if (at < 0) return NAN;
  df_reading_value(reading, at, &value);
  *given = value.given;
  if (value.row->or_unit && !strcmp(unit, value.row->or_unit)) {
    const char *blank = strrchr(value.text, ' ');
    return blank && !strcmp(blank + 1, unit) ? strtod(value.text, NULL) : NAN;
  }
  return df_value_in(units_get(), value.si, unit);
}

static int vary_read(struct sweep *s, const char *text)
{
  struct df_vary vary;
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  enum df_status status = df_vary_init(&vary, s->loaded.reading, text, VALUES_MAX, faults);
  if (status == DF_NO_MEMORY) return free(faults), EXIT_OUTPUT;
  if (status) {
    const struct df_fault *f = &faults->at[0];
    say_error("--vary %s: %s%s%s", text, faults->n ? f->key : "", faults->n && *f->key ? ": " : "",
              faults->n ? f->text : df_status_text(status));
    free(faults);
    return EXIT_USAGE;
  }
  free(faults);
  for (int i = 0; i < s->axis_n; i++)
    if (!strcmp(s->axis[i].path, vary.path)) {
      say_error("--vary %s: varied twice", vary.path);
      df_vary_finish(&vary);
      return EXIT_USAGE;
    }
  struct axis *axis = &s->axis[s->axis_n++];
  *axis = (struct axis){.row = vary.row,
                        .n = vary.n,
                        .value = vary.value,
                        .low = vary.value[0],
                        .high = vary.value[0]};
  snprintf(axis->path, sizeof axis->path, "%s", vary.path);
  snprintf(axis->unit, sizeof axis->unit, "%s", vary.unit);
  for (int i = 1; i < vary.n; i++)
    axis->low = fmin(axis->low, axis->value[i]), axis->high = fmax(axis->high, axis->value[i]);
  axis->now = now_of(s->loaded.reading, axis->path, axis->unit, &axis->given);
  free(vary.si);
  return 0;
}

static void factors_take(struct sweep *s)
{
  struct df_factor factor[AXES_MAX];
  int n = df_factors_find(s->loaded.reading, factor, AXES_MAX);
  for (int i = 0; i < n; i++) {
    struct axis *axis = &s->axis[s->axis_n++];
    *axis = (struct axis){.row = factor[i].row,
                          .low = factor[i].low,
                          .now = factor[i].now,
                          .high = factor[i].high,
                          .given = factor[i].given};
    memcpy(axis->path, factor[i].path, sizeof axis->path);
    snprintf(axis->unit, sizeof axis->unit, "%s", factor[i].unit);
  }
}

// How much each axis alone moves the measures: the largest change over the value itself.
static int axes_weigh(struct sweep *s, double *weight)
{
  int n = 2 * s->axis_n + 1;
  double *value = malloc((size_t)n * (size_t)s->axis_n * sizeof *value),
         *result = malloc((size_t)n * (size_t)s->wanted_n * sizeof *result);
  char *status = malloc((size_t)n * SWEEP_STATUS_MAX);
  enum design design = s->design;
  int bad = value && result && status ? 0 : EXIT_OUTPUT;
  s->design = DESIGN_ONE;
  for (int i = 0; i < n && !bad; i++) sweep_row(s, i + 1, value + (long)i * s->axis_n);
  s->design = design;
  if (!bad) bad = sweep_ride(s, n, value, result, status);
  for (int k = 0; k < s->axis_n && !bad; k++) {
    weight[k] = 0;
    for (int j = 0; j < s->wanted_n; j++) {
      double low = result[(1 + 2 * k) * s->wanted_n + j],
             high = result[(2 + 2 * k) * s->wanted_n + j], size = fabs((high - low) / result[j]);
      if (isfinite(size) && size > weight[k]) weight[k] = size;
    }
  }
  free(value);
  free(result);
  free(status);
  return bad;
}

// Keep the `most` axes that matter most, in their order.
static int axes_choose(struct sweep *s, int most)
{
  double weight[AXES_MAX];
  if (s->axis_n <= most) return 0;
  int status = axes_weigh(s, weight);
  while (!status && s->axis_n > most) {
    int least = 0;
    for (int k = 1; k < s->axis_n; k++)
      if (weight[k] <= weight[least]) least = k;
    for (int k = least; k + 1 < s->axis_n; k++)
      s->axis[k] = s->axis[k + 1], weight[k] = weight[k + 1];
    s->axis_n--, s->left_out++;
  }
  return status;
}

static int axes_read(struct sweep *s)
{
  const struct option_value *vary = &s->call->options.of[OPT_VARY];
  for (int i = 0; i < vary->n; i++) {
    int status = vary_read(s, vary->text[i]);
    if (status) return status;
  }
  if (!vary->n) factors_take(s);
  if (s->axis_n) return 0;
  say_error("%s: no value has a tolerance; name values with --vary", s->loaded.path);
  return EXIT_USAGE;
}

// ---- roads and measures ----
static int road_find(const struct df_scenario *scenario, const char *name)
{
  for (int i = 0; i < scenario->road_n; i++)
    if (!strcmp(scenario->road[i].name, name)) return i;
  return -1;
}

struct names {
  int n;
  char at[DF_ROADS_MAX][64];
};

static int name_add(struct names *names, const char *from, size_t n)
{
  if (n >= sizeof names->at[0]) n = sizeof names->at[0] - 1;
  for (int i = 0; i < names->n; i++)
    if (strlen(names->at[i]) == n && !strncmp(names->at[i], from, n)) return 0;
  if (names->n == DF_ROADS_MAX) {
    say_error("more than %d roads", DF_ROADS_MAX);
    return EXIT_USAGE;
  }
  snprintf(names->at[names->n++], sizeof names->at[0], "%.*s", (int)n, from);
  return 0;
}

// Call take(s, names, word) for each word of a list with commas.
static int words_each(struct sweep *s, const char *list, struct names *names,
                      int (*take)(struct sweep *, struct names *, const char *))
{
  char *copy = strdup(list), *rest = NULL;
  int status = copy ? 0 : EXIT_OUTPUT;
  for (char *word = copy ? strtok_r(copy, ", ", &rest) : NULL; word && !status;
       word = strtok_r(NULL, ", ", &rest))
    status = take(s, names, word);
  free(copy);
  return status;
}

static int road_take(struct sweep *s, struct names *names, const char *word)
{
  (void)s;
  return name_add(names, word, strlen(word));
}

static int road_of_measure(struct sweep *s, struct names *names, const char *word)
{
  const char *dot = strchr(word, '.');
  (void)s;
  if (!dot || !strncmp(word, "static.", 7)) return 0;
  return name_add(names, word, (size_t)(dot - word));
}

static int no_such_road(const struct df_scenario *scenario, const char *name)
{
  const char *names[DF_ROADS_MAX + 65];
  int n = 0;
  for (int i = 0; i < scenario->road_n; i++) names[n++] = scenario->road[i].name;
  for (int i = 0; i < df_ready_road_count && i < 64; i++) names[n++] = df_ready_roads[i].name;
  names[n] = NULL;
  say_error("no road '%s', neither in the scenario nor ready", name);
  say_did_you_mean("", nearest_word(name, names));
  return EXIT_USAGE;
}

// Ready roads join the scenario's own. A set of the use gives way to roads that are named, so then
// all are named.
static int roads_join(struct sweep *s, const struct names *names)
{
  const struct df_scenario *scenario = s->loaded.scenario;
  char set[DF_ROADS_MAX][80];
  const char *at[DF_ROADS_MAX];
  int n = 0, more = 0;
  for (int i = 0; i < names->n; i++) {
    int known = road_find(scenario, names->at[i]) >= 0;
    if (!known && !df_ready_road_find(names->at[i])) return no_such_road(scenario, names->at[i]);
    more |= !known;
    if (known && !scenario->roads_of_use) continue;
    snprintf(set[n], sizeof set[n], "roads.%.60s={}", names->at[i]);
    at[n] = set[n], n++;
  }
  if (!more) return 0;
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  enum df_status status = df_reading_override(s->loaded.reading, at, n, faults);
  int result = status ? status_exit("--roads", status, faults) : 0;
  free(faults);
  s->loaded.scenario = df_reading_scenario(s->loaded.reading);
  if (df_reading_hash(s->loaded.reading, s->loaded.hash)) return EXIT_OUTPUT;
  return result == EXIT_OUTPUT ? result : result ? EXIT_USAGE : 0;
}

static int want(struct sweep *s, int road, int measure)
{
  for (int i = 0; i < s->wanted_n; i++)
    if (s->wanted[i].road == road && s->wanted[i].measure == measure) return 0;
  if (s->wanted_n == MEASURES_WANTED) {
    say_error("--measures: more than %d", MEASURES_WANTED);
    return EXIT_USAGE;
  }
  s->wanted[s->wanted_n++] = (struct df_wanted){road, measure};
  return 0;
}

static int no_such_measure(const char *word, const char *measure)
{
  const char **names = calloc((size_t)df_measure_count + 1, sizeof *names);
  for (int i = 0; names && i < df_measure_count; i++) names[i] = df_measures[i].name;
  say_error("--measures %s: no measure '%s'", word, measure);
  if (names) say_did_you_mean("", nearest_word(measure, names));
  free(names);
  return EXIT_USAGE;
}

// ROAD.MEASURE, static.MEASURE, or MEASURE alone: at rest, or on every road.
static int measure_take(struct sweep *s, struct names *roads, const char *word)
{
  const char *dot = strchr(word, '.'), *measure = dot ? dot + 1 : word;
  int row = df_measure_find(measure);
  if (row < 0) return no_such_measure(word, measure);
  int fixed = df_measure_is_static(row), at_rest = dot && !strncmp(word, "static.", 7);
  if (dot && fixed != at_rest) {
    say_error("--measures %s: %s is %s", word, measure,
              fixed ? "of the fork at rest: written static.MEASURE"
                    : "of a ride: written ROAD.MEASURE");
    return EXIT_USAGE;
  }
  if (fixed) return want(s, -1, row);
  char name[64];
  int status = 0;
  if (dot) {
    snprintf(name, sizeof name, "%.*s", (int)(dot - word), word);
    return want(s, road_find(s->loaded.scenario, name), row);
  }
  for (int i = 0; i < roads->n && !status; i++)
    status = want(s, road_find(s->loaded.scenario, roads->at[i]), row);
  return status;
}

// The measure that tells most about a road.
static const char *telling(const struct df_road *road)
{
  if (road->has_lean) return "lean_settling";
  if (road->has_push) return "push_past_start";
  return road->has_brake && !strcmp(df_road_kinds[road->kind]->name, "flat") ? "dive_overshoot"
                                                                             : "shock_transmitted";
}

static int wanted_read(struct sweep *s)
{
  const char *measures = option_text(&s->call->options, OPT_MEASURES, NULL),
             *roads = option_text(&s->call->options, OPT_ROADS, NULL);
  struct names all = {0};
  int status = 0;
  if (roads) status = words_each(s, roads, &all, road_take);
  for (int i = 0; !roads && i < s->loaded.scenario->road_n && !status; i++)
    status = road_take(s, &all, s->loaded.scenario->road[i].name);
  struct names joined = all;
  if (measures && !status) status = words_each(s, measures, &joined, road_of_measure);
  if (!status) status = roads_join(s, &joined);
  if (!(s->wanted = calloc(MEASURES_WANTED, sizeof *s->wanted))) return EXIT_OUTPUT;
  if (measures && !status) return words_each(s, measures, &all, measure_take);
  for (int i = 0; i < all.n && !status; i++) {
    int road = road_find(s->loaded.scenario, all.at[i]);
    status = want(s, road, df_measure_find(telling(&s->loaded.scenario->road[road])));
  }
  return status;
}

static int wanted_check(struct sweep *s)
{
  int ridden[DF_ROADS_MAX] = {0};
  if (!s->wanted_n) {
    say_error("%s: no measure to look at", s->loaded.path);
    return EXIT_USAGE;
  }
  for (int i = 0; i < s->wanted_n; i++)
    if (s->wanted[i].road >= 0) ridden[s->wanted[i].road] = 1;
  for (int i = 0; i < DF_ROADS_MAX; i++) s->roads += ridden[i];
  return 0;
}

// ---- rows ----
void sweep_part_rows(long rows, int k, int n, long *first, long *last)
{
  *first = (long)((__int128)rows * (k - 1) / n) + 1;
  *last = (long)((__int128)rows * k / n);
}

static int part_read(struct sweep *s)
{
  const char *text = option_text(&s->call->options, OPT_PART, NULL);
  char end = 0;
  s->part = s->parts = 1;
  if (text && (sscanf(text, "%d/%d%c", &s->part, &s->parts, &end) != 2 || s->part < 1 ||
               s->part > s->parts)) {
    say_error("--part %s: K/N is wanted, K from 1 to N, as in 3/8", text);
    return EXIT_USAGE;
  }
  sweep_part_rows(s->rows, s->part, s->parts, &s->first, &s->last);
  return 0;
}

static int rows_count(struct sweep *s)
{
  s->rows = s->sample;
  if (s->design == DESIGN_TOTAL) s->rows = s->sample * (s->axis_n + 2);
  if (s->design == DESIGN_ONE) s->rows = 1 + 2L * s->axis_n;
  if (s->design == DESIGN_GRID) s->rows = 1;
  for (int k = 0; k < s->axis_n && s->design == DESIGN_GRID && s->rows <= rows_most; k++)
    s->rows *= s->axis[k].n;
  if (s->rows <= rows_most) return 0;
  say_error("more than %ld settings; draw some of them with --sample N", rows_most);
  return EXIT_USAGE;
}

static int design_read(struct sweep *s)
{
  const struct options *o = &s->call->options;
  int sensitivity = option_word(o, OPT_SENSITIVITY, -1);
  s->sample = (long)option_number(o, OPT_SAMPLE, 0);
  s->seed = (unsigned long)option_number(o, OPT_SEED, 1);
  s->design = sensitivity == 0   ? DESIGN_ONE
              : sensitivity == 1 ? DESIGN_TOTAL
              : s->sample        ? DESIGN_SAMPLE
                                 : DESIGN_GRID;
  if (s->design == DESIGN_TOTAL && !s->sample) s->sample = TOTAL_GROUPS;
  if (s->design == DESIGN_ONE && s->sample) {
    say_error("--sensitivity one takes no --sample: each value is set to its two ends");
    return EXIT_USAGE;
  }
  if (s->design != DESIGN_GRID || option_given(o, OPT_VARY)) return 0;
  say_error("sweep needs to know what to vary: --vary, --sample or --sensitivity");
  say_note("dampfork sweep --help has examples");
  return EXIT_USAGE;
}

static int sobol_make(struct sweep *s)
{
  int dimensions = s->design == DESIGN_TOTAL ? 2 * s->axis_n : s->axis_n;
  if (s->design != DESIGN_SAMPLE && s->design != DESIGN_TOTAL) return 0;
  if (dimensions > DF_SOBOL_DIMENSIONS) {
    say_error("at most %d values can be drawn together",
              s->design == DESIGN_TOTAL ? DF_SOBOL_DIMENSIONS / 2 : DF_SOBOL_DIMENSIONS);
    return EXIT_USAGE;
  }
  return df_sobol_create(&s->sobol, dimensions, s->seed) ? EXIT_OUTPUT : 0;
}

int sweep_plan(struct sweep *s)
{
  int status = design_read(s), free_axes = !option_given(&s->call->options, OPT_VARY);
  if (!status) status = wanted_read(s);
  if (!status) status = wanted_check(s);
  if (!status) status = axes_read(s);
  if (!status && free_axes && s->design == DESIGN_TOTAL) status = axes_choose(s, TOTAL_AXES);
  if (!status && free_axes && s->design == DESIGN_SAMPLE)
    status = axes_choose(s, DF_SOBOL_DIMENSIONS);
  if (!status) status = sobol_make(s);
  if (!status) status = rows_count(s);
  if (!status) status = part_read(s);
  return status;
}

static double between(const struct axis *axis, double u)
{
  if (axis->row->form == DF_COUNT) return axis->low + floor(u * (axis->high - axis->low + 1));
  return axis->low + u * (axis->high - axis->low);
}

void sweep_row(struct sweep *s, long row, double *value)
{
  double u[DF_SOBOL_DIMENSIONS];
  long at = row - 1;
  if (s->design == DESIGN_SAMPLE) df_sobol_point(s->sobol, at, u);
  if (s->design == DESIGN_TOTAL) df_share_point(s->sobol, s->axis_n, at, u);
  for (int k = s->axis_n - 1; k >= 0; k--) {
    const struct axis *axis = &s->axis[k];
    if (s->design == DESIGN_GRID) value[k] = axis->value[at % axis->n], at /= axis->n;
    else if (s->design != DESIGN_ONE) value[k] = between(axis, u[k]);
    else value[k] = row == 2 + 2 * k ? axis->low : row == 3 + 2 * k ? axis->high : NAN;
  }
}

// ---- rides ----
struct readying {
  const struct sweep *s;
  const double *value;
  struct df_scenario *scenario;
  enum df_status *status;
  char *text;
};

// A reason as one cell: no line ends.
static void reason_put(char *out, const char *word, const char *key, const char *reason)
{
  snprintf(out, SWEEP_STATUS_MAX, "%s: %.90s%s%.130s", word, key, *key ? ": " : "", reason);
  for (unsigned char *at = (unsigned char *)out; *at; at++)
    if (*at < 0x20 || *at == 0x7f) *at = ' ';
}

static void setting_ready(void *arg, int i)
{
  struct readying *r = arg;
  const struct sweep *s = r->s;
  const char *path[AXES_MAX], *unit[AXES_MAX];
  double value[AXES_MAX];
  struct df_faults faults;
  faults.n = faults.errors = faults.lost = 0;
  int n = 0;
  for (int k = 0; k < s->axis_n; k++) {
    double at = r->value[(long)i * s->axis_n + k];
    if (!isfinite(at)) continue;
    path[n] = s->axis[k].path, unit[n] = s->axis[k].unit, value[n++] = at;
  }
  struct df_reading *copy = df_reading_copy(s->loaded.reading);
  enum df_status status = copy ? DF_OK : DF_NO_MEMORY;
  if (!status && n) status = df_reading_set_all_in(copy, n, path, value, unit, &faults);
  if (!status) memcpy(&r->scenario[i], df_reading_scenario(copy), sizeof *r->scenario);
  r->status[i] = status;
  const struct df_fault *worst = NULL;
  for (int k = 0; k < faults.n && !worst; k++)
    if (!faults.at[k].warning) worst = &faults.at[k];
  if (status)
    reason_put(r->text + (long)i * SWEEP_STATUS_MAX, "refused", worst ? worst->key : "",
               worst ? worst->text : df_status_text(status));
  df_reading_destroy(copy);
}

static void status_put(const struct df_case *c, char *out)
{
  int refused = c->status == DF_BAD_INPUT || c->status == DF_CANNOT_READ;
  if (c->status == DF_OK) strcpy(out, "ok");
  else
    reason_put(out, refused ? "refused" : "failed", "",
               *c->reason ? c->reason : df_status_text(c->status));
}

int sweep_ride(struct sweep *s, int n, const double *value, double *result, char *text)
{
  struct df_scenario *scenario = malloc((size_t)n * sizeof *scenario);
  struct df_case *cases = calloc((size_t)n, sizeof *cases);
  enum df_status *ready = calloc((size_t)n, sizeof *ready), status = DF_NO_MEMORY;
  int jobs = jobs_wanted(s->call), good = 0;
  struct readying r = {s, value, scenario, ready, text};
  if (scenario && cases && ready) {
    jobs_run(jobs, n, setting_ready, &r, NULL);
    for (int i = 0; i < n && !stop_signal; i++) {
      double *values = result + (long)i * s->wanted_n;
      for (int j = 0; j < s->wanted_n; j++) values[j] = NAN;
      if (!ready[i]) cases[good++] = (struct df_case){.scenario = &scenario[i], .values = values};
    }
    status = stop_signal
                 ? DF_INTERRUPTED
                 : df_cases_run(cases, good, s->wanted, s->wanted_n, &s->options, jobs, NULL);
    for (int i = 0, k = 0; i < n && status == DF_OK; i++) {
      if (ready[i] == DF_NO_MEMORY) status = DF_NO_MEMORY;
      if (!ready[i] && cases[k].status == DF_NO_MEMORY) status = DF_NO_MEMORY;
      if (!ready[i] && cases[k].status == DF_INTERRUPTED) status = DF_INTERRUPTED;
      if (!ready[i]) status_put(&cases[k++], text + (long)i * SWEEP_STATUS_MAX);
    }
    if (stop_signal) status = DF_INTERRUPTED;
  }
  free(scenario);
  free(cases);
  free(ready);
  if (status == DF_INTERRUPTED) return stop_status() ? stop_status() : EXIT_INTERRUPTED;
  return status ? status_exit(s->loaded.path, status, NULL) : 0;
}

// ---- names ----
// A unit as part of a column's name: "N/mm" is N_per_mm.
static void unit_name(const char *unit, char *out, size_t size)
{
  size_t n = 0;
  if (!strcmp(unit, "%")) unit = "percent";
  for (; *unit && n + 6 < size; unit++) {
    if (*unit == '/') n += (size_t)snprintf(out + n, size - n, "_per_");
    else out[n++] = *unit == '.' || *unit == ' ' || *unit == '^' ? '_' : *unit;
  }
  out[n] = 0;
}

void axis_name(const struct axis *axis, char out[SWEEP_NAME_MAX])
{
  char unit[48];
  unit_name(axis->unit, unit, sizeof unit);
  snprintf(out, SWEEP_NAME_MAX, "%.95s_%.47s", axis->path, unit);
}

void wanted_name(const struct sweep *s, int i, char out[SWEEP_NAME_MAX])
{
  const struct df_measure *m = &df_measures[s->wanted[i].measure];
  int road = s->wanted[i].road;
  snprintf(out, SWEEP_NAME_MAX, "%s.%s_%s",
           road < 0 ? "static" : s->loaded.scenario->road[road].name, m->name, m->unit);
}
