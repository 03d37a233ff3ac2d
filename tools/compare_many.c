// compare with three to five forks: each against the first, side by side.
#include "atomic.h"
#include "compare_work.h"
#include "out_json.h"
#include "out_text.h"
#include "say.h"
#include "shown.h"

#include "measures/targets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct many {
  struct call *call;
  int n;                                     // comparisons: one fewer than forks
  struct comparison of[FORKS_MAX - 1];
  struct call pair[FORKS_MAX - 1];
  char *words[FORKS_MAX - 1][2];             // the arguments of each pair
  char folder[FORKS_MAX - 1][OUTPUT_PATH_MAX];
};

static int only_two(const struct call *call)
{
  static const enum option_id ids[] = {OPT_EXPLAIN, OPT_MAP};
  for (int i = 0; i < 2; i++) {
    if (!option_given(&call->options, ids[i])) continue;
    say_error("--%s is about two forks: name two scenarios", option_rows[ids[i]].name);
    return EXIT_USAGE;
  }
  return 0;
}

static int pairs_make(struct many *m)
{
  for (int k = 0; k < m->n; k++) {
    m->pair[k] = *m->call;
    m->words[k][0] = m->call->arguments[0], m->words[k][1] = m->call->arguments[k + 1];
    m->pair[k].arguments = m->words[k], m->pair[k].argument_n = 2;
    int status = compare_make(&m->of[k], &m->pair[k]);
    if (status) return status;
  }
  return 0;
}

static void cell_of(const struct comparison *c, int question, struct table *t, int column)
{
  const struct question *q = &questions[question];
  const struct df_estimate *e = compare_find(c, q->road, q->measure);
  char text[24];
  if (!e) table_cell(t, question + 1, column, "-");
  else
    table_cell(t, question + 1, column, "%s %s",
               figure(text, e->value[1] * df_measures[df_measure_find(q->measure)].per_si),
               compare_answer(q, e));
}

static void table_say(const struct many *m)
{
  struct table *t = malloc(sizeof *t);
  if (!t) return;
  char text[24], unit[24];
  table_begin(t, 3 + m->n, "lrlrrrr");
  table_cell(t, 0, 0, "question"), table_cell(t, 0, 1, "first");
  for (int i = 0; i < QUESTIONS; i++) {
    const struct question *q = &questions[i];
    const struct df_measure *measure = &df_measures[df_measure_find(q->measure)];
    const struct df_estimate *e = compare_find(&m->of[0], q->road, q->measure);
    df_unit_text(measure->unit, unit, sizeof unit);
    table_cell(t, i + 1, 0, "%s %s", q->name, q->shown);
    table_cell(t, i + 1, 1, "%s", e ? figure(text, e->value[0] * measure->per_si) : "-");
    table_cell(t, i + 1, 2, "%s", unit);
    for (int k = 0; k < m->n; k++) cell_of(&m->of[k], i, t, 3 + k);
  }
  int row = QUESTIONS + 1;
  table_cell(t, row, 0, "overshoot in nine dives");
  for (int k = 0; k < m->n; k++) {
    const struct df_range *r = &m->of[k].dive[0];
    char name[96];
    table_cell(t, 0, 3 + k, "%s", clean_name(name, sizeof name, m->of[k].name[1], 12));
    table_cell(t, row, 3 + k, "%d of %d less", r->fewer, r->n);
  }
  table_print(t);
  free(t);
}

// Places of the forks that a question's best answer has: those that help, best first by figure.
static void best_say(const struct many *m)
{
  for (int i = 0; i < QUESTIONS; i++) {
    const struct question *q = &questions[i];
    int measure = df_measure_find(q->measure), best = -1;
    double least = 0;
    for (int k = 0; k < m->n; k++) {
      const struct df_estimate *e = compare_find(&m->of[k], q->road, q->measure);
      if (!e || strcmp(compare_answer(q, e), "helps")) continue;
      double gain = df_measures[measure].better == DF_MORE_IS_BETTER ? -e->difference : e->difference;
      if (best < 0 || gain < least) best = k, least = gain;
    }
    if (best < 0) line("%s: nothing beats %s beyond the error", q->name, m->of[0].name[0]);
    else line("%s: best with %s", q->name, m->of[best].name[1]);
  }
}

static void many_say(const struct many *m)
{
  paragraph(2, "Each against %s (first), same roads and rider; helps and worse are beyond the error.",
            m->of[0].name[0]);
  table_say(m);
  best_say(m);
  line("Nine dives: bush friction 0.01-0.05, the lever taken in 0.15-0.4 s, unless learned.");
  line("Says nothing about the rear of the bike, steering, grip in a lean, or durability.");
  line("Next: two of them alone, for errors and reasons");
}

// Files of each pair go into a folder of its own, numbered by the fork's place on the command line.
static int files_write(struct many *m)
{
  const char *folder = option_text(&m->call->options, OPT_OUTPUT, NULL);
  for (int k = 0; k < m->n && folder; k++) {
    snprintf(m->folder[k], sizeof m->folder[k], "%.1000s/%d", folder, k + 2);
    m->of[k].folder = m->folder[k];
    int status = compare_files_write(&m->of[k]);
    if (status) return status;
  }
  return 0;
}

static void many_csv(const struct many *m)
{
  struct csv csv = csv_begin(stdout, m->call->digits);
  struct loaded all[FORKS_MAX];
  all[0] = m->of[0].loaded[0];
  for (int k = 0; k < m->n; k++) all[k + 1] = m->of[k].loaded[1];
  head_csv(m->call, all, m->n + 1, &csv);
  compare_rows(&m->of[0], &csv);
  for (int k = 1; k < m->n; k++) compare_rows_from(&m->of[k], 1, &csv);
}

static void many_json(const struct many *m)
{
  struct json json;
  json_begin(&json, stdout, m->call->digits, "compare");
  json_array(&json, "pairs");
  for (int k = 0; k < m->n; k++) {
    json_object(&json, NULL);
    compare_json_body(&m->of[k], &json);
    json_end(&json);
  }
  json_end(&json);
  json_finish(&json);
}

int compare_many(struct call *call)
{
  int status = only_two(call);
  struct many *m = status ? NULL : calloc(1, sizeof *m);
  if (!m) return status ? status : EXIT_OUTPUT;
  m->call = call, m->n = call->argument_n - 1;
  status = pairs_make(m);
  if (!status) status = files_write(m);
  if (!status && call->format == FORMAT_JSON) many_json(m);
  else if (!status && call->format == FORMAT_CSV) many_csv(m);
  else if (!status && !option_given(&call->options, OPT_QUIET)) many_say(m);
  for (int k = 0; k < m->n; k++) {
    if (!status && m->of[k].early) status = EXIT_MODEL;
    compare_finish(&m->of[k]);
  }
  free(m);
  return status;
}
