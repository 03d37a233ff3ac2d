// What compare says on the screen: the answer, the questions, sentences that follow from figures.
#include "compare_work.h"
#include "out_text.h"
#include "say.h"
#include "shown.h"

#include "measures/targets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static int lines_left; // of the screen

// Lines that a text takes, after its indent.
static int lines_of(const char *text)
{
  return 1 + columns_of(text) / (SCREEN_COLUMNS - 8);
}

void compare_count(const struct comparison *c, char *out, size_t size)
{
  static const char *const words[3] = {"helps", "hardly", "worse"};
  static const char *const shown_words[3] = {"helps", "hardly changes", "makes worse"};
  size_t used = 0;
  out[0] = 0;
  for (int w = 0; w < 3; w++) {
    int n = 0;
    for (int i = 0; i < QUESTIONS && used < size; i++) {
      const struct df_estimate *e = compare_find(c, questions[i].road, questions[i].measure);
      if (!e || strcmp(compare_answer(&questions[i], e), words[w])) continue;
      if (!n++)
        used +=
            (size_t)snprintf(out + used, size - used, "%s%s ", used ? "; " : "", shown_words[w]);
      else used += (size_t)snprintf(out + used, size - used, ", ");
      if (used < size) used += (size_t)snprintf(out + used, size - used, "%s", questions[i].name);
    }
  }
}

static void because_parts(const struct comparison *c, enum df_hard edge, char *out, size_t size)
{
  const struct df_compared *k = &c->compared;
  int part = df_hard_part(k, edge);
  if (part < 0) {
    snprintf(out, size, "no part changes");
    return;
  }
  snprintf(out, size, "%s %.0f -> %.0f N at the peak", df_hard_part_names[part],
           k->part[0][edge][part], k->part[1][edge][part]);
}

// What the answer to a question rests on.
void compare_because(const struct comparison *c, int question, char *out, size_t size)
{
  const struct df_compared *k = &c->compared;
  const struct df_statics *a = &c->statics[0], *b = &c->statics[1];
  struct df_steady s[2] = {{0}};
  switch (question) {
  case 0:
    because_parts(c, DF_HARD_SMALL, out, size);
    break;
  case 1:
    because_parts(c, DF_HARD_LARGE, out, size);
    break;
  case 2:
    snprintf(out, size, "at 0.3 m/s ratio %.2g -> %.2g", a->damping_ratio_compression[2],
             b->damping_ratio_compression[2]);
    break;
  case 3:
    if (k->bottoming[0] > 0 || k->bottoming[1] > 0)
      snprintf(out, size, "meets the stop: %.2g -> %.2g m/s", k->bottoming[0], k->bottoming[1]);
    else because_parts(c, DF_HARD_DIVE, out, size);
    break;
  case 4:
    snprintf(out, size, "at 0.1 m/s ratio %.2g -> %.2g", a->damping_ratio_compression[1],
             b->damping_ratio_compression[1]);
    break;
  default:
    for (int i = 0; i < 2; i++)
      df_leg_steady(c->leg[i], k->scenario[i]->side[0].leg.travel / 2, -0.3, &s[i]);
    snprintf(out, size, "at 0.3 m/s rebound %.0f -> %.0f N", -s[0].damping, -s[1].damping);
  }
}

static void question_row(const struct comparison *c, struct table *t, int row, int i)
{
  const struct question *q = &questions[i];
  const struct df_estimate *e = compare_find(c, q->road, q->measure);
  const struct df_measure *m = &df_measures[df_measure_find(q->measure)];
  char a[24], b[24], u[24], unit[24], why[80];
  df_unit_text(m->unit, unit, sizeof unit);
  table_cell(t, row, 0, "%s %s", q->name, q->shown);
  compare_because(c, i, why, sizeof why);
  if (!e) {
    table_cell(t, row, 1, "-");
    table_cell(t, row, 5, "not defined: a ride ended early or nothing settled");
    return;
  }
  table_cell(t, row, 1, "%s", compare_answer(q, e));
  table_cell(t, row, 2, "%s", figure(a, e->value[0] * m->per_si)),
      table_cell(t, row, 3, "%s", figure(b, e->value[1] * m->per_si));
  double digits = pow(10, floor(log10(fmax(e->error * m->per_si, 1e-6))) - 1);
  table_cell(t, row, 4, "+-%s %s", figure(u, round(e->error * m->per_si / digits) * digits), unit);
  table_cell(t, row, 5, "%s", why);
}

static void say_questions(const struct comparison *c)
{
  struct table *t = malloc(sizeof *t);
  if (!t) {
    say_no_memory();
    return;
  }
  table_begin(t, 6, "llrrll");
  table_cell(t, 0, 0, "question"), table_cell(t, 0, 1, "answer"),
      table_cell(t, 0, 2, "%s", c->column[0]), table_cell(t, 0, 3, "%s", c->column[1]);
  table_cell(t, 0, 4, "%s", c->band ? "spread" : "error"), table_cell(t, 0, 5, "because");
  for (int i = 0; i < QUESTIONS; i++) question_row(c, t, i + 1, i);
  table_print(t);
  free(t);
  lines_left -= 1 + QUESTIONS;
}

// The dive verdict over what nobody knows: bush friction and how the lever is taken.
void compare_dive_text(const struct comparison *c, char *out, size_t size)
{
  static const char *const names[2] = {"overshoot", "the edge in the dive"};
  size_t used = 0;
  out[0] = 0;
  for (int i = 0; i < 2 && used < size; i++) {
    const struct df_range *r = &c->dive[i];
    double scale = i ? 1 : 1e3;
    if (!r->n) continue;
    used += (size_t)snprintf(out + used, size - used,
                             "%s%s less in %d, more in %d of %d rides (%+.2g to %+.2g %s)",
                             used ? "; " : "", names[i], r->fewer, r->more, r->n, scale * r->least,
                             scale * r->most, i ? "m/s2" : "mm");
  }
}

static void say_dive(const struct comparison *c)
{
  char text[400];
  compare_dive_text(c, text, sizeof text);
  if (!*text) return;
  double friction[3], ramp[3], sure;
  df_dive_limits(c->reading[0], friction, ramp);
  int learned = df_reading_learned(c->reading[0], "seals.bush_friction", &sure);
  paragraph(2, "With bush friction %.3g-%.3g%s and the lever taken in %.3g-%.3g s: %s.", friction[0],
            friction[2], learned ? " (learned)" : "", ramp[0], ramp[2], text);
  lines_left -= lines_of(text) + 1;
}

static void say_sentences(const struct comparison *c)
{
  int said = 0;
  for (int i = 0; i < df_sentence_count; i++) {
    char text[400];
    if (!df_sentence_say(&df_sentences[i], &c->compared, text, sizeof text)) continue;
    if (lines_of(text) > lines_left) continue;
    lines_left -= lines_of(text);
    paragraph(3, "%d. %s", ++said, text);
  }
}

static void change_text(const struct df_change *change, int to, char *out, size_t size)
{
  double si = to ? change->to : change->from;
  if (change->unit && isfinite(si) && !df_value_print(units_get(), si, change->unit, 4, out, size))
    return;
  snprintf(out, size, "%s", change->unit ? "-" : to ? change->to_text : change->from_text);
}

static void say_explained(const struct comparison *c)
{
  const struct df_explained *e = c->explained;
  const struct df_measure *m = &df_measures[c->explain_of.measure];
  struct table *t = malloc(sizeof *t);
  char unit[24], a[80], b[80], s[24], x[24], y[24];
  if (!t) {
    say_no_memory();
    return;
  }
  df_unit_text(m->unit, unit, sizeof unit);
  paragraph(
      2,
      "%s.%s from %s to %s %s: what each change brings, averaged over all orders of making them%s",
      compare_road_name(c, c->explain_of.road), m->name, figure(x, e->from * m->per_si),
      figure(y, e->to * m->per_si), unit,
      e->grouped ? " (by section: more than 8 values differ)" : "");
  table_begin(t, 4, "lrrr");
  table_cell(t, 0, 0, "changed"), table_cell(t, 0, 1, "from"), table_cell(t, 0, 2, "to"),
      table_cell(t, 0, 3, "brings, %s", *unit ? unit : "1");
  for (int i = 0; i < e->n; i++) {
    change_text(&e->change[i], 0, a, sizeof a), change_text(&e->change[i], 1, b, sizeof b);
    table_cell(t, i + 1, 0, "%s", e->change[i].key), table_cell(t, i + 1, 1, "%s", a),
        table_cell(t, i + 1, 2, "%s", b);
    table_cell(t, i + 1, 3, "%s%s", e->share[i] > 0 ? "+" : "", figure(s, e->share[i] * m->per_si));
  }
  table_print(t);
  free(t);
}

static char map_letter(const struct df_estimate *e)
{
  if (!isfinite(e->difference)) return '-';
  if (fabs(e->difference) <= e->error) return '=';
  return e->difference > 0 ? 'w' : 'b';
}

static void say_map(const struct comparison *c)
{
  line("Shock passed on by edges, %s less %s: b better, = the same within the error, w worse",
       c->column[1], c->column[0]);
  struct table *t = malloc(sizeof *t);
  if (!t) {
    say_no_memory();
    return;
  }
  table_begin(t, 1 + MAP_SPEEDS, "rrrrrrrr");
  table_cell(t, 0, 0, "edge \\ km/h");
  for (int j = 0; j < MAP_SPEEDS; j++) table_cell(t, 0, 1 + j, "%.0f", 3.6 * map_speed[j]);
  for (int i = 0; i < MAP_HEIGHTS; i++) {
    int row = 1 + i;
    const struct df_estimate *e = &c->map[(MAP_HEIGHTS - 1 - i) * MAP_SPEEDS];
    table_cell(t, row, 0, "%.0f mm", 1e3 * map_height[MAP_HEIGHTS - 1 - i]);
    for (int j = 0; j < MAP_SPEEDS; j++)
      table_cell(t, row, 1 + j, "%+.2f %c", e[j].difference, map_letter(&e[j]));
  }
  table_print(t);
  free(t);
}

static void say_next(const struct comparison *c)
{
  char forks[400], text[600];
  const char *more = !c->explained ? "--explain edge-in-dive.shock_transmitted"
                     : !c->map     ? "--map"
                                   : "-o out --render png";
  if (c->twin) snprintf(forks, sizeof forks, "%s", c->loaded[0].path);
  else snprintf(forks, sizeof forks, "%s %s", c->loaded[0].path, c->loaded[1].path);
  snprintf(text, sizeof text, "Next: dampfork compare %s %s", forks, more);
  if (columns_of(text) > SCREEN_COLUMNS)
    snprintf(text, sizeof text, "Next: the same with %s", more); // never a command cut short
  line("%s", text);
}

void compare_say(const struct comparison *c)
{
  char answers[300], head[600];
  lines_left = SCREEN_LINES - 2; // the last two lines are fixed
  compare_count(c, answers, sizeof answers);
  snprintf(head, sizeof head, "%s (%s) against %s (%s): %s", c->name[1], c->column[1], c->name[0],
           c->column[0], answers);
  paragraph(2, "%s", head);
  if (c->explained) say_explained(c);
  if (c->map) say_map(c);
  if (!c->explained && !c->map) {
    lines_left -= lines_of(head);
    say_questions(c);
    say_dive(c);
    say_sentences(c);
  }
  line("Says nothing about the rear of the bike, steering, grip in a lean, or durability.");
  say_next(c);
}
