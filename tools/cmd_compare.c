// compare: two forks, or one and its twin, over the same roads: which is better where, by how much
// beyond the error, and why.
#include "atomic.h"
#include "compare_work.h"
#include "jobs.h"
#include "nearest.h"
#include "render.h"
#include "say.h"

#include "scenario/params.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// The roads that the questions are asked on; put beside the scenario's own.
static const char *const asked_roads[] = {"edge-15", "edge-40", "brake-dry", "edge-in-dive",
                                          "lean-in", "hump",    NULL};

const struct question questions[QUESTIONS] = {
    {"small edges", "(15 mm)", "edge-15", "shock_transmitted"},
    {"large edges", "(40 mm)", "edge-40", "shock_transmitted"},
    {"braking", "(overshoot)", "brake-dry", "dive_overshoot"},
    {"edge in the dive", "(15 mm)", "edge-in-dive", "shock_transmitted"},
    {"corner entry", "(settling)", "lean-in", "lean_settling"},
    {"rebound", "(after a hump)", "hump", "return_time"},
};

// What the sentences look at besides.
static const struct {
  const char *road, *measure;
} looked_at[] = {
    {"brake-dry", "braked_rest"},
    {"edge-in-dive", "bottoming_speed"},
    {"edge-in-dive", "travel_reserve"},
};
enum { LOOKED_AT = sizeof looked_at / sizeof *looked_at };

const double map_height[MAP_HEIGHTS] = {0.005, 0.010, 0.015, 0.020, 0.025, 0.030, 0.040, 0.050};
const double map_speed[MAP_SPEEDS] = {20 / 3.6, 30 / 3.6, 40 / 3.6, 50 / 3.6,
                                      60 / 3.6, 70 / 3.6, 80 / 3.6};

static const double felt_share =
    0.02; // 1, of the first fork's value: less is nothing that a rider feels; our choice

void compare_finish(struct comparison *c)
{
  for (int i = 0; i < 2; i++) {
    df_leg_destroy(c->leg[i]);
    load_finish(&c->loaded[i]);
  }
  df_reading_destroy(c->made);
  free(c->wanted);
  free(c->estimate);
  free(c->band);
  free(c->map);
  free(c->explained);
}

const char *compare_road_name(const struct comparison *c, int road)
{
  return road < 0 ? "static" : df_reading_scenario(c->reading[0])->road[road].name;
}

static int road_find(const struct df_scenario *s, const char *name)
{
  for (int r = 0; r < s->road_n; r++)
    if (!strcmp(s->road[r].name, name)) return r;
  return -1;
}

// ---- what to ride ----
// Ready roads join the scenario's own, so that every question has its road. `more`: names of
// --roads, or NULL.
static int roads_join(struct comparison *c, const char *more)
{
  char set[DF_ROADS_MAX][64], list[1024], *rest = NULL;
  const char *at[DF_ROADS_MAX], *name[DF_ROADS_MAX];
  int n = 0, names = 0;
  const struct df_scenario *s = c->loaded[0].scenario;
  for (; asked_roads[names]; names++) name[names] = asked_roads[names];
  snprintf(list, sizeof list, "%s", more ? more : "");
  for (char *word = strtok_r(list, ",", &rest); word && names < DF_ROADS_MAX;
       word = strtok_r(NULL, ",", &rest))
    name[names++] = word;
  for (int i = 0; i < names; i++) {
    int known = road_find(s, name[i]) >= 0;
    if (known && (!s->roads_of_use || i >= QUESTIONS)) continue;
    if (!known && !df_ready_road_find(name[i])) {
      say_error("--roads: no road '%s', neither in the scenario nor ready", name[i]);
      return EXIT_USAGE;
    }
    snprintf(set[n], sizeof set[n], "roads.%.40s={}", name[i]);
    at[n] = set[n], n++;
  }
  // A set of the use gives way to roads that are named, unless they are put beside it.
  char own[DF_ROADS_MAX][64];
  for (int r = 0; s->roads_of_use && !more && r < s->road_n && n < DF_ROADS_MAX; r++) {
    int asked = 0;
    for (int i = 0; asked_roads[i]; i++) asked |= !strcmp(asked_roads[i], s->road[r].name);
    if (asked) continue;
    snprintf(own[r], sizeof own[r], "roads.%.40s={}", s->road[r].name);
    at[n++] = own[r];
  }
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  enum df_status status = n ? df_reading_override(c->loaded[0].reading, at, n, faults) : DF_OK;
  int result = status ? status_exit(c->loaded[0].path, status, faults) : 0;
  free(faults);
  c->loaded[0].scenario = df_reading_scenario(c->loaded[0].reading);
  return result;
}

static void turn_round(struct comparison *c)
{
  const struct df_reading *reading = c->reading[0];
  const char *name = c->name[0];
  c->reading[0] = c->reading[1], c->reading[1] = reading, c->name[0] = c->name[1],
  c->name[1] = name;
}

static int twin_make(struct comparison *c)
{
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  struct df_statics statics;
  enum df_status status = df_statics_of(c->loaded[0].scenario, &statics, faults);
  if (status == DF_OK)
    status = df_reading_twin(&c->made, c->loaded[0].reading, statics.solids, faults);
  int result = status ? status_exit(c->loaded[0].path, status, faults) : 0;
  free(faults);
  int valved = c->loaded[0].scenario->side[0].has_valve;
  c->twin = 1, c->reading[1] = c->made, c->name[1] = valved ? "its plain twin" : "its valved twin";
  if (!result && valved) turn_round(c); // before, then after
  return result;
}

static int second_make(struct comparison *c)
{
  c->reading[0] = c->loaded[0].reading, c->name[0] = c->loaded[0].name;
  c->reading[1] = c->loaded[1].reading, c->name[1] = c->loaded[1].name;
  int result = c->call->argument_n > 1 ? 0 : twin_make(c);
  if (result) return result;
  int valve[2];
  for (int i = 0; i < 2; i++) valve[i] = df_reading_scenario(c->reading[i])->side[0].has_valve;
  c->column[0] = valve[0] == valve[1] ? "first" : valve[0] ? "valved" : "plain";
  c->column[1] = valve[0] == valve[1] ? "second" : valve[1] ? "valved" : "plain";
  return 0;
}

static void want(struct comparison *c, int road, int measure)
{
  for (int i = 0; i < c->wanted_n; i++)
    if (c->wanted[i].road == road && c->wanted[i].measure == measure) return;
  c->wanted[c->wanted_n++] = (struct df_wanted){road, measure};
}

static void want_all(struct comparison *c)
{
  const struct df_scenario *s = df_reading_scenario(c->reading[0]);
  for (int m = 0; m < df_measure_count; m++) {
    if (df_measures[m].needs & (DF_NEEDS_TWO_RIDES | DF_NEEDS_LEDGER | DF_NEEDS_FORCES)) continue;
    if (df_measure_is_static(m)) want(c, -1, m);
    else if (df_measures[m].better != DF_NEITHER)
      for (int r = 0; r < s->road_n; r++) want(c, r, m);
  }
}

// For the screen what the questions ask; for files, CSV and JSON every measure of every road.
static int wanted_make(struct comparison *c)
{
  const struct df_scenario *s = df_reading_scenario(c->reading[0]);
  c->wanted = calloc((size_t)(df_measure_count * (s->road_n + 1)), sizeof *c->wanted);
  if (!c->wanted) return EXIT_OUTPUT;
  for (int i = 0; i < QUESTIONS; i++)
    want(c, road_find(s, questions[i].road), df_measure_find(questions[i].measure));
  for (int i = 0; i < LOOKED_AT; i++)
    want(c, road_find(s, looked_at[i].road), df_measure_find(looked_at[i].measure));
  if (c->folder || c->call->format != FORMAT_TEXT) want_all(c);
  c->estimate = calloc((size_t)c->wanted_n, sizeof *c->estimate);
  return c->estimate ? 0 : EXIT_OUTPUT;
}

// ---- rides ----
const struct df_estimate *compare_find(const struct comparison *c, const char *road,
                                       const char *measure)
{
  int m = df_measure_find(measure);
  for (int i = 0; i < c->wanted_n; i++)
    if (c->wanted[i].measure == m && !strcmp(compare_road_name(c, c->wanted[i].road), road))
      return isfinite(c->estimate[i].difference) ? &c->estimate[i] : NULL;
  return NULL;
}

const char *compare_answer(const struct question *q, const struct df_estimate *e)
{
  enum df_verdict verdict = df_verdict_of(df_measure_find(q->measure), e);
  if (fabs(e->difference) < felt_share * fabs(e->value[0])) return "hardly";
  return verdict == DF_BETTER ? "helps" : verdict == DF_WORSE ? "worse" : "hardly";
}

static int estimates_run(struct comparison *c)
{
  struct df_case failed = {.status = DF_OK};
  int jobs = jobs_wanted(c->call), samples = (int)option_number(&c->call->options, OPT_SPREAD, 0);
  enum df_status status = DF_OK;
  if (samples > 0) {
    c->band = calloc((size_t)c->wanted_n, sizeof *c->band);
    if (!c->band) return EXIT_OUTPUT;
    unsigned long long seed = (unsigned long long)option_number(&c->call->options, OPT_SEED, 1);
    status = df_estimates_sampled(c->reading[0], c->reading[1], c->wanted, c->wanted_n, &c->options,
                                  jobs, samples, seed, c->band);
    for (int i = 0; i < c->wanted_n && status == DF_OK; i++) c->estimate[i] = c->band[i].estimate;
  } else {
    status = df_estimates(c->reading[0], c->reading[1], c->wanted, c->wanted_n, &c->options, jobs,
                          c->estimate, &failed);
  }
  if (stop_signal) return stop_status();
  if (status != DF_OK) return status_exit(c->name[0], status, NULL);
  if (failed.status != DF_OK) say_warning("a ride failed and is left out: %s", failed.reason);
  c->early =
      failed.status != DF_OK &&
      failed.status != DF_BAD_INPUT; // a road that this tyre cannot take is none of the fork's
  return 0;
}

static int dive_run(struct comparison *c)
{
  const struct df_scenario *s = df_reading_scenario(c->reading[0]);
  struct df_wanted wanted[2];
  double felt[2];
  for (int i = 0; i < 2; i++) {
    const struct question *q = &questions[2 + i];
    const struct df_estimate *e = compare_find(c, q->road, q->measure);
    wanted[i] = (struct df_wanted){road_find(s, q->road), df_measure_find(q->measure)};
    felt[i] = e ? fmax(felt_share * fabs(e->value[0]), e->numerical) : 0;
  }
  enum df_status status = df_dive_ranges(c->reading[0], c->reading[1], wanted, 2, felt, &c->options,
                                         jobs_wanted(c->call), c->dive);
  return stop_signal ? stop_status() : status ? status_exit(c->name[0], status, NULL) : 0;
}

static int legs_make(struct comparison *c)
{
  for (int i = 0; i < 2; i++) {
    const struct df_scenario *s = df_reading_scenario(c->reading[i]);
    struct df_faults *faults = calloc(1, sizeof *faults);
    if (!faults) return EXIT_OUTPUT;
    enum df_status status = df_statics_of(s, &c->statics[i], faults);
    if (status == DF_OK && !(c->leg[i] = df_leg_create(s, 0, faults))) status = DF_NO_MEMORY;
    int result = status ? status_exit(c->name[i], status, faults) : 0;
    free(faults);
    if (result) return result;
  }
  return 0;
}

// Forces at the hardest moment, energy by path, oil vapour: both forks as they are.
static int reasons_run(struct comparison *c)
{
  static const char *const edge_roads[DF_HARDS] = {"edge-15", "edge-40", "edge-in-dive"};
  static const char *const parts[DF_HARD_PARTS] = {"spring",  "air",  "friction",
                                                   "damping", "cone", "stop"};
  struct df_wanted wanted[DF_HARDS * (DF_HARD_PARTS + 2) + DF_PATHS];
  const struct df_scenario *s = df_reading_scenario(c->reading[0]);
  char name[64];
  int n = 0;
  for (int e = 0; e < DF_HARDS; e++) {
    int road = road_find(s, edge_roads[e]);
    for (int p = 0; p < DF_HARD_PARTS; p++) {
      snprintf(name, sizeof name, "peak_%s", parts[p]);
      wanted[n++] = (struct df_wanted){road, df_measure_find(name)};
    }
    wanted[n++] = (struct df_wanted){road, df_measure_find("void_peak")};
    wanted[n++] = (struct df_wanted){road, df_measure_find("shock_transmitted")};
  }
  for (int p = 0; p < DF_PATHS; p++) {
    snprintf(name, sizeof name, "energy_%s", df_path_names[p]);
    wanted[n++] = (struct df_wanted){road_find(s, "edge-40"), df_measure_find(name)};
  }
  // The third is the first on the second's tyre: what that alone brings.
  struct df_scenario *copy = malloc(3 * sizeof *copy);
  double *value = calloc((size_t)(3 * n), sizeof *value);
  struct df_case cases[3] = {{.scenario = NULL}};
  if (!copy || !value) return free(copy), free(value), EXIT_OUTPUT;
  for (int i = 0; i < 3; i++) {
    copy[i] = *df_reading_scenario(c->reading[i % 2]);
    if (i == 2) copy[i].tyre = copy[1].tyre;
    memcpy(copy[i].road, s->road, sizeof s->road);
    copy[i].road_n = s->road_n, copy[i].rider = s->rider, copy[i].load = s->load;
    cases[i] = (struct df_case){.scenario = &copy[i], .values = value + i * n};
  }
  enum df_status status =
      df_cases_run(cases, 3, wanted, n, &c->options, jobs_wanted(c->call), NULL);
  for (int i = 0; i < 2; i++) {
    const double *at = value + i * n;
    for (int e = 0; e < DF_HARDS; e++) {
      for (int p = 0; p < DF_HARD_PARTS; p++) c->compared.part[i][e][p] = *at++;
      c->compared.void_peak[i] = fmax(c->compared.void_peak[i], *at++);
      c->compared.tyre[e] = value[2 * n + (at - (value + i * n))] - value[at - (value + i * n)];
      at++;
    }
    for (int p = 0; p < DF_PATHS; p++) c->compared.energy[i][p] = *at++;
  }
  free(copy);
  free(value);
  return stop_signal ? stop_status() : status ? status_exit(c->name[0], status, NULL) : 0;
}

static void compared_fill(struct comparison *c)
{
  struct df_compared *k = &c->compared;
  for (int i = 0; i < 2; i++)
    k->leg[i] = c->leg[i], k->scenario[i] = df_reading_scenario(c->reading[i]);
  k->statics = c->statics, k->dive = &c->dive[0];
  k->small_edge = compare_find(c, "edge-15", "shock_transmitted"),
  k->large_edge = compare_find(c, "edge-40", "shock_transmitted");
  k->overshoot = compare_find(c, "brake-dry", "dive_overshoot"),
  k->rest = compare_find(c, "brake-dry", "braked_rest");
  k->dive_edge = compare_find(c, "edge-in-dive", "shock_transmitted"),
  k->corner = compare_find(c, "lean-in", "lean_settling");
  k->rebound = compare_find(c, "hump", "return_time");
  const struct df_estimate *knock = compare_find(c, "edge-in-dive", "bottoming_speed"),
                           *left = compare_find(c, "edge-in-dive", "travel_reserve");
  for (int i = 0; i < 2; i++)
    k->bottoming[i] = knock ? knock->value[i] : NAN, k->reserve[i] = left ? left->value[i] : NAN;
}

// ---- map and attribution ----
static int map_run(struct comparison *c)
{
  if (!option_given(&c->call->options, OPT_MAP)) return 0;
  c->map = calloc(MAP_HEIGHTS * MAP_SPEEDS, sizeof *c->map);
  if (!c->map) return EXIT_OUTPUT;
  int edge = road_find(df_reading_scenario(c->reading[0]), "edge-15");
  enum df_status status =
      df_edge_map(c->reading[0], c->reading[1], edge, map_height, MAP_HEIGHTS, map_speed,
                  MAP_SPEEDS, &c->options, jobs_wanted(c->call), c->map);
  return stop_signal ? stop_status() : status ? status_exit("--map", status, NULL) : 0;
}

static int explain_read(struct comparison *c, const char *text)
{
  char road[64];
  const char *dot = strchr(text, '.');
  if (!dot || dot == text || dot - text >= (int)sizeof road) {
    say_error("--explain %s: ROAD.MEASURE is wanted, as in edge-40.shock_transmitted", text);
    return EXIT_USAGE;
  }
  snprintf(road, sizeof road, "%.*s", (int)(dot - text), text);
  c->explain_of = (struct df_wanted){
      strcmp(road, "static") ? road_find(df_reading_scenario(c->reading[0]), road) : -1,
      df_measure_find(dot + 1)};
  if (c->explain_of.measure < 0) {
    say_error("--explain %s: no measure '%s'; see dampfork help", text, dot + 1);
    return EXIT_USAGE;
  }
  int fixed = df_measure_is_static(c->explain_of.measure);
  if (fixed == !strcmp(road, "static") && (fixed || c->explain_of.road >= 0)) return 0;
  say_error("--explain %s: no road '%s' for this measure; roads are put in with --roads", text,
            road);
  return EXIT_USAGE;
}

static int explain_run(struct comparison *c)
{
  const char *text = option_text(&c->call->options, OPT_EXPLAIN, NULL);
  if (!text) return 0;
  int result = explain_read(c, text);
  if (result) return result;
  c->explained = calloc(1, sizeof *c->explained);
  if (!c->explained) return EXIT_OUTPUT;
  enum df_status status =
      df_explain(df_reading_scenario(c->reading[0]), df_reading_scenario(c->reading[1]),
                 c->explain_of, &c->options, jobs_wanted(c->call), c->explained);
  return stop_signal ? stop_status() : status ? status_exit("--explain", status, NULL) : 0;
}

// ---- the whole ----
static int answer(const struct comparison *c)
{
  int status = c->folder ? compare_files_write(c) : 0;
  if (status) return status;
  if (c->call->format == FORMAT_JSON) compare_json(c);
  else if (c->call->format == FORMAT_CSV) {
    struct csv csv = csv_begin(stdout, c->call->digits);
    head_csv(c->call, c->loaded, c->twin ? 1 : 2, &csv);
    compare_rows(c, &csv);
  } else if (!option_given(&c->call->options, OPT_QUIET)) {
    compare_say(c);
  }
  if (option_word(&c->call->options, OPT_RENDER, RENDER_NONE) != RENDER_TERM || !c->map) return 0;
  FILE *script = tmpfile();
  if (!script) return say_error("no temporary file for the picture"), EXIT_OUTPUT;
  compare_map_plot(c, script);
  status = render_terminal(script);
  fclose(script);
  return status;
}

static int options_read(struct comparison *c)
{
  const struct options *o = &c->call->options;
  const char *method = option_text(o, OPT_METHOD, NULL);
  int render = option_word(o, OPT_RENDER, RENDER_NONE);
  c->folder = option_text(o, OPT_OUTPUT, NULL);
  c->options = (struct df_ride_options){.kernel = option_text(o, OPT_KERNEL, NULL),
                                        .tolerance = option_number(o, OPT_TOLERANCE, 0),
                                        .stop = &stop_signal};
  if (method && !(c->options.method = df_method_named(method))) {
    say_error("--method %s: no such method; see dampfork help run.method", method);
    return EXIT_USAGE;
  }
  if (render != RENDER_NONE && render != RENDER_TERM && !c->folder) {
    say_error("--render %s needs -o DIR for the pictures", option_text(o, OPT_RENDER, ""));
    return EXIT_USAGE;
  }
  return 0;
}

int compare_make(struct comparison *c, struct call *call)
{
  c->call = call;
  int status = options_read(c);
  for (int i = 0; i < call->argument_n && !status; i++)
    status = load(call, call->arguments[i], &c->loaded[i]);
  if (!status) status = roads_join(c, option_text(&call->options, OPT_ROADS, NULL));
  if (!status) status = second_make(c);
  if (!status) status = wanted_make(c);
  if (!status && option_given(&call->options, OPT_EXPLAIN))
    status = explain_read(c, option_text(&call->options, OPT_EXPLAIN, ""));
  if (!status) status = legs_make(c);
  if (!status) status = estimates_run(c);
  if (!status) status = dive_run(c);
  if (!status) status = reasons_run(c);
  if (!status) compared_fill(c);
  if (!status) status = map_run(c);
  if (!status) status = explain_run(c);
  return status;
}

int cmd_compare(struct call *call)
{
  if (call->argument_n > 2) return compare_many(call);
  struct comparison *c = calloc(1, sizeof *c);
  if (!c) return EXIT_OUTPUT;
  int status = compare_make(c, call);
  if (!status) status = answer(c);
  if (!status && c->early) status = EXIT_MODEL;
  compare_finish(c);
  free(c);
  return status;
}
