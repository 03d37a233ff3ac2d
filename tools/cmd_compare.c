// compare: two forks, or one and its twin, over the same roads: which is better where, by how much beyond the error, and why.
#include "atomic.h"
#include "jobs.h"
#include "load.h"
#include "out_csv.h"
#include "out_json.h"
#include "out_text.h"
#include "say.h"
#include "shown.h"

#include "dampfork/compare.h"
#include "dampfork/leg.h"
#include "measures/targets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// The roads that the questions are asked on; put beside the scenario's own.
static const char *const asked_roads[] = { "edge-15", "edge-25", "edge-40", "brake-dry", "edge-in-dive", "lean-in", "hump", NULL };

// One question a rider asks, and the figure that answers it.
struct question { const char *name, *road, *measure, *in_words; };
static const struct question questions[] = {
  { "small edges", "edge-15", "shock_transmitted", "shock passed on, 15 mm edge, 50 km/h" },
  { "large edges", "edge-40", "shock_transmitted", "shock passed on, 40 mm edge, 60 km/h" },
  { "braking", "brake-dry", "dive_overshoot", "overshoot past the braked rest, 7 m/s2" },
  { "edge in the dive", "edge-in-dive", "shock_transmitted", "shock of a 15 mm edge met in the dive" },
  { "corner entry", "lean-in", "lean_overshoot", "overshoot when leaning in" },
  { "rebound", "hump", "return_time", "time to come back after a hump" },
};
enum { QUESTIONS = sizeof questions/sizeof *questions };

struct comparison {
  struct call *call;
  struct loaded loaded[2];
  int twin;                   // 1: the second fork is the first one's twin
  int reversed;               // 1: the twin is the plain one and stands first
  const struct df_reading *reading[2];
  struct df_reading *made;
  const char *name[2];
  struct df_wanted *wanted;
  struct df_estimate *estimate;
  int wanted_n, asked[QUESTIONS];
  struct df_statics statics[2];
  struct df_leg_model *leg[2];
};

static void finish(struct comparison *c)
{
  for (int i = 0; i < 2; i++) {
    df_leg_destroy(c->leg[i]);
    load_finish(&c->loaded[i]);
  }
  df_reading_destroy(c->made);
  free(c->wanted);
  free(c->estimate);
}

// Ready roads join the scenario's own, so that every question has its road.
static int roads_join(struct comparison *c)
{
  char set[16][64];
  const char *at[16];
  int n = 0;
  const struct df_scenario *s = c->loaded[0].scenario;
  for (int i = 0; asked_roads[i]; i++) {
    int known = 0;
    for (int r = 0; r < s->road_n; r++) known |= !strcmp(s->road[r].name, asked_roads[i]);
    if (known && !s->roads_of_use) continue;
    snprintf(set[n], sizeof set[n], "roads.%s={}", asked_roads[i]);
    at[n] = set[n], n++;
  }
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  enum df_status status = n ? df_reading_override(c->loaded[0].reading, at, n, faults) : DF_OK;
  int result = status ? status_exit(c->loaded[0].path, status, faults) : 0;
  free(faults);
  c->loaded[0].scenario = df_reading_scenario(c->loaded[0].reading);
  return result;
}

static int second_make(struct comparison *c)
{
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  c->reading[0] = c->loaded[0].reading, c->name[0] = c->loaded[0].name;
  int result = 0;
  if (c->call->argument_n > 1) {
    c->reading[1] = c->loaded[1].reading, c->name[1] = c->loaded[1].name;
  } else {
    struct df_statics statics;
    enum df_status status = df_statics_of(c->loaded[0].scenario, &statics, faults);
    if (status == DF_OK) status = df_reading_twin(&c->made, c->loaded[0].reading, statics.solids, faults);
    result = status ? status_exit(c->loaded[0].path, status, faults) : 0;
    c->twin = 1, c->reversed = c->loaded[0].scenario->side[0].has_valve;
    c->reading[1] = c->made, c->name[1] = c->reversed ? "its plain twin" : "its valved twin";
    if (c->reversed) {                                 // the plain one first: before, then after
      const struct df_reading *reading = c->reading[0];
      const char *name = c->name[0];
      c->reading[0] = c->reading[1], c->reading[1] = reading, c->name[0] = c->name[1], c->name[1] = name;
    }
  }
  free(faults);
  return result;
}

// Every measure of every road, both forks.
static int wanted_make(struct comparison *c)
{
  const struct df_scenario *s = df_reading_scenario(c->reading[0]);
  c->wanted = calloc((size_t)(df_measure_count*(s->road_n + 1)), sizeof *c->wanted);
  if (!c->wanted) return EXIT_OUTPUT;
  for (int m = 0; m < df_measure_count; m++) {
    if (df_measures[m].needs & (DF_NEEDS_TWO_RIDES | DF_NEEDS_LEDGER | DF_NEEDS_FORCES)) continue;
    if (df_measure_is_static(m)) { c->wanted[c->wanted_n++] = (struct df_wanted){ -1, m }; continue; }
    if (df_measures[m].better == DF_NEITHER) continue;
    for (int r = 0; r < s->road_n; r++) c->wanted[c->wanted_n++] = (struct df_wanted){ r, m };
  }
  c->estimate = calloc((size_t)c->wanted_n, sizeof *c->estimate);
  return c->estimate ? 0 : EXIT_OUTPUT;
}

static const struct df_estimate *find(const struct comparison *c, const char *road, const char *measure)
{
  const struct df_scenario *s = df_reading_scenario(c->reading[0]);
  int m = df_measure_find(measure);
  for (int i = 0; i < c->wanted_n; i++) {
    if (c->wanted[i].measure != m) continue;
    if (c->wanted[i].road < 0 ? !strcmp(road, "static") : !strcmp(s->road[c->wanted[i].road].name, road))
      return isfinite(c->estimate[i].difference) ? &c->estimate[i] : NULL;
  }
  return NULL;
}

static int run(struct comparison *c)
{
  struct df_ride_options options = { .kernel = option_text(&c->call->options, OPT_KERNEL, NULL), .stop = &stop_signal,
                                     .tolerance = option_number(&c->call->options, OPT_TOLERANCE, 0) };
  struct df_case failed = { .status = DF_OK };
  enum df_status status = df_estimates(c->reading[0], c->reading[1], c->wanted, c->wanted_n, &options, jobs_wanted(c->call), c->estimate, &failed);
  if (stop_signal) return stop_status();
  if (status != DF_OK) return status_exit(c->name[0], status, NULL);
  if (failed.status != DF_OK) say_warning("a ride failed and is left out: %s", failed.reason);
  for (int i = 0; i < 2; i++) {
    const struct df_scenario *s = df_reading_scenario(c->reading[i]);
    struct df_faults *faults = calloc(1, sizeof *faults);
    if (!faults) return EXIT_OUTPUT;
    status = df_statics_of(s, &c->statics[i], faults);
    if (status == DF_OK && !(c->leg[i] = df_leg_create(s, 0, faults))) status = DF_NO_MEMORY;
    int result = status ? status_exit(c->name[i], status, faults) : 0;
    free(faults);
    if (result) return result;
  }
  return 0;
}

static const char *answer_of(const struct question *q, const struct df_estimate *e)
{
  enum df_verdict verdict = df_verdict_of(df_measure_find(q->measure), e);
  return verdict == DF_BETTER ? "helps" : verdict == DF_WORSE ? "worse" : "hardly";
}

static void say_questions(const struct comparison *c)
{
  static struct table t;
  int row = 1;
  table_begin(&t, 6, "lrrrrl");
  table_cell(&t, 0, 0, "%s", "question"), table_cell(&t, 0, 1, "%.14s", c->name[0]), table_cell(&t, 0, 2, "%.14s", c->name[1]);
  table_cell(&t, 0, 3, "difference"), table_cell(&t, 0, 4, "error"), table_cell(&t, 0, 5, "%s", "what was looked at");
  for (int i = 0; i < QUESTIONS; i++) {
    const struct question *q = &questions[i];
    const struct df_estimate *e = find(c, q->road, q->measure);
    const struct df_measure *m = &df_measures[df_measure_find(q->measure)];
    if (!e) continue;
    char a[24], b[24], d[24], u[24], unit[24];
    df_unit_text(m->unit, unit, sizeof unit);
    table_cell(&t, row, 0, "%s: %s", q->name, answer_of(q, e));
    table_cell(&t, row, 1, "%s", figure(a, e->value[0]*m->per_si)), table_cell(&t, row, 2, "%s", figure(b, e->value[1]*m->per_si));
    table_cell(&t, row, 3, "%s", figure(d, e->difference*m->per_si)), table_cell(&t, row, 4, "+-%s", figure(u, e->error*m->per_si));
    table_cell(&t, row++, 5, "%s, %s", q->in_words, unit);
  }
  table_print(&t);
}

static void say_sentences(const struct comparison *c)
{
  struct df_compared compared = { .leg = { c->leg[0], c->leg[1] },
                                  .scenario = { df_reading_scenario(c->reading[0]), df_reading_scenario(c->reading[1]) }, .statics = c->statics };
  compared.small_edge = find(c, "edge-15", "shock_transmitted"), compared.large_edge = find(c, "edge-40", "shock_transmitted");
  compared.overshoot = find(c, "brake-dry", "dive_overshoot"), compared.rest = find(c, "brake-dry", "braked_rest");
  compared.dive_edge = find(c, "edge-in-dive", "shock_transmitted"), compared.corner = find(c, "lean-in", "lean_overshoot");
  compared.rebound = find(c, "hump", "return_time");
  int said = 0;
  for (int i = 0; i < df_sentence_count && said < 6; i++) {
    char text[400];
    if (!df_sentence_say(&df_sentences[i], &compared, text, sizeof text)) continue;
    char number[8];
    snprintf(number, sizeof number, "%d.", ++said);
    labelled(number, "%s", text);
  }
}

static void count_answers(const struct comparison *c, char *out, size_t size)
{
  static const char *const words[3] = { "helps", "hardly", "worse" };
  size_t used = 0;
  out[0] = 0;
  for (int w = 0; w < 3; w++) {
    int n = 0;
    for (int i = 0; i < QUESTIONS && used < size; i++) {
      const struct df_estimate *e = find(c, questions[i].road, questions[i].measure);
      if (!e || strcmp(answer_of(&questions[i], e), words[w])) continue;
      if (!n++) used += (size_t)snprintf(out + used, size - used, "%s%s: ", used ? "; " : "", words[w]);
      else used += (size_t)snprintf(out + used, size - used, ", ");
      if (used < size) used += (size_t)snprintf(out + used, size - used, "%s", questions[i].name);
    }
  }
}

static void say_answer(const struct comparison *c)
{
  char answers[300];
  count_answers(c, answers, sizeof answers);
  paragraph(2, "%s against %s: %s", c->name[1], c->name[0], answers);
  say_questions(c);
  say_sentences(c);
  line("Says nothing about: rear of the bike, steering, grip in a lean, durability.");
  if (c->twin) line("Next: dampfork curves %s; with the twin as a file, dampfork compare A B -o DIR", c->loaded[0].path);
  else line("Next: dampfork compare %s %s -o out", c->loaded[0].path, c->loaded[1].path);
}

static void write_rows(const struct comparison *c, struct csv *csv)
{
  static const char *const names[] = { "road", "measure", "unit", "scenario", "value", "difference", "error", "verdict" };
  const struct df_scenario *s = df_reading_scenario(c->reading[0]);
  csv_names(csv, names, sizeof names/sizeof *names);
  for (int i = 0; i < c->wanted_n; i++) {
    const struct df_estimate *e = &c->estimate[i];
    const struct df_measure *m = &df_measures[c->wanted[i].measure];
    if (!isfinite(e->value[0]) && !isfinite(e->value[1])) continue;
    for (int fork = 0; fork < 2; fork++) {
      csv_text(csv, c->wanted[i].road < 0 ? "static" : s->road[c->wanted[i].road].name);
      csv_text(csv, m->name), csv_text(csv, m->unit), csv_text(csv, c->name[fork]);
      csv_number(csv, e->value[fork]*m->per_si);
      csv_number(csv, fork ? e->difference*m->per_si : NAN), csv_number(csv, fork ? e->error*m->per_si : NAN);
      csv_text(csv, fork ? df_verdict_names[df_verdict_of(c->wanted[i].measure, e) + 1] : "");
      csv_line(csv);
    }
  }
}

static void write_json(const struct comparison *c)
{
  struct json json;
  const struct df_scenario *s = df_reading_scenario(c->reading[0]);
  json_begin(&json, stdout, c->call->digits, "compare");
  json_text(&json, "first", c->name[0]), json_text(&json, "second", c->name[1]);
  json_array(&json, "questions");
  for (int i = 0; i < QUESTIONS; i++) {
    const struct df_estimate *e = find(c, questions[i].road, questions[i].measure);
    if (!e) continue;
    json_object(&json, NULL);
    json_text(&json, "question", questions[i].name), json_text(&json, "answer", answer_of(&questions[i], e));
    json_end(&json);
  }
  json_end(&json);
  json_array(&json, "measures");
  for (int i = 0; i < c->wanted_n; i++) {
    const struct df_estimate *e = &c->estimate[i];
    const struct df_measure *m = &df_measures[c->wanted[i].measure];
    if (!isfinite(e->difference)) continue;
    json_object(&json, NULL);
    json_text(&json, "road", c->wanted[i].road < 0 ? "static" : s->road[c->wanted[i].road].name);
    json_text(&json, "measure", m->name), json_text(&json, "unit", m->unit);
    json_number(&json, "first", e->value[0]*m->per_si), json_number(&json, "second", e->value[1]*m->per_si);
    json_number(&json, "difference", e->difference*m->per_si), json_number(&json, "error", e->error*m->per_si);
    json_text(&json, "verdict", df_verdict_names[df_verdict_of(c->wanted[i].measure, e) + 1]);
    json_text(&json, "most_in_doubt", e->worst < 0 ? "run.law" : df_doubts[e->worst].path);
    json_end(&json);
  }
  json_end(&json);
  json_finish(&json);
}

static int answer(struct comparison *c)
{
  const char *folder = option_text(&c->call->options, OPT_OUTPUT, NULL);
  if (folder) {
    int status = output_folder(folder);
    if (status) return status;
    FILE *stream = output_open(folder, "compare.csv");
    if (!stream) return EXIT_OUTPUT;
    struct csv csv = csv_begin(stream, c->call->digits);
    head_csv(c->call, c->loaded, c->twin ? 1 : 2, &csv);
    write_rows(c, &csv);
    status = output_commit_all();
    if (status) return status;
  }
  if (c->call->format == FORMAT_JSON) write_json(c);
  else if (c->call->format == FORMAT_CSV) {
    struct csv csv = csv_begin(stdout, c->call->digits);
    head_csv(c->call, c->loaded, c->twin ? 1 : 2, &csv);
    write_rows(c, &csv);
  } else if (!option_given(&c->call->options, OPT_QUIET)) {
    say_answer(c);
  }
  return 0;
}

int cmd_compare(struct call *call)
{
  struct comparison c = { .call = call };
  int status = 0;
  for (int i = 0; i < call->argument_n && !status; i++) status = load(call, call->arguments[i], &c.loaded[i]);
  if (!status) status = roads_join(&c);
  if (!status) status = second_make(&c);
  if (!status) status = wanted_make(&c);
  if (!status) status = run(&c);
  if (!status) status = answer(&c);
  finish(&c);
  return status;
}
