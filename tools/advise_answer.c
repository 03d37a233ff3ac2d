// The answer of advise on the screen: the setting, what it brings and costs, how sure.
#include "advise_work.h"
#include "out_text.h"
#include "say.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *const use_words[] = {"commuting", "touring", "brisk road", "gravel"};

const char *advise_value(const struct df_choice *choice, int at, char *out, size_t size)
{
  char number[24];
  double v = choice->value[at];
  int one = !strcmp(choice->unit, "turn");
  snprintf(number, sizeof number, "%.5g", v);
  snprintf(out, size, "%s %s%s", number, choice->unit, one && v != 1 ? "s" : "");
  return out;
}

static void setting_text(const struct df_advice *a, int i, int only_changed, char *out, size_t size)
{
  char value[40];
  *out = 0;
  for (int k = 0; k < a->choice_n; k++) {
    if (only_changed && a->setting[i].at[k] == a->choice[k].at_now) continue;
    size_t used = strlen(out);
    snprintf(out + used, size - used, "%s%s %s", used ? ", " : "", a->choice[k].name,
             advise_value(&a->choice[k], a->setting[i].at[k], value, sizeof value));
  }
}

static void say_head(const struct advise_work *w)
{
  const struct df_advice *a = &w->advice;
  const struct df_scenario *s = w->loaded.scenario;
  char text[400];
  long rides = a->rides + w->other.rides;
  int draws = a->setting[0].drawn;
  if (a->proposed > 0) {
    setting_text(a, a->proposed, 1, text, sizeof text);
    paragraph(2, "Set %s.%s", text,
              a->safe ? "" : " Nothing allowed is better in two things and worse in none: this one trades.");
  } else
    paragraph(2, "Leave it as it is: of %d settings ridden, none that may be chosen beats it.", a->n);
  paragraph(2, "For %s, %s, %.0f kg rider; %ld rides, judged over %d forks like this one (measuring errors, "
               "friction, brake ramp).", w->loaded.name, use_words[s->use], s->rider.mass, rides, draws);
}

static const char *answer_word(const struct df_advice *a, const struct df_setting *x, int k)
{
  double felt = df_aim_felt((enum df_aim)k, a->setting[0].aim[k]);
  if (x->gain[k] > felt && x->kept[k] >= 0.9) return "better";
  if (x->gain[k] < -felt) return "worse";
  return "the same";
}

static void choice_rows(const struct df_advice *a, struct table *t, const int *column, int n)
{
  for (int k = 0; k < a->choice_n; k++) {
    const struct df_choice *c = &a->choice[k];
    table_cell(t, t->rows, 0, "%s, %s%s", c->name, c->unit, !strcmp(c->path, "air.oil_level") ? " from rim" : "");
    int row = t->rows - 1;
    for (int j = 0; j < n; j++) {
      int at = a->setting[column[j]].at[k];
      table_cell(t, row, 1 + j, "%s%.5g", at != a->choice[k].at_now && j ? "*" : "", c->value[at]);
    }
  }
}

static void aim_rows(const struct df_advice *a, struct table *t, const int *column, int n)
{
  char text[24];
  for (int k = 0; k < DF_AIMS; k++) {
    if (!isfinite(a->setting[0].aim[k])) continue;
    const struct df_setting *p = &a->setting[column[n > 1]];
    int row = t->rows;
    table_cell(t, row, 0, "%s, %s", df_aims[k].name, df_aims[k].unit);
    for (int j = 0; j < n; j++)
      table_cell(t, row, 1 + j, "%s", figure(text, a->setting[column[j]].aim[k]*df_aims[k].per_si));
    table_cell(t, row, 1 + n, "%s", figure(text, p->robust[k]*df_aims[k].per_si));
    if (n > 1) table_cell(t, row, 2 + n, "%s", answer_word(a, p, k));
  }
}

static void target_row(const struct df_advice *a, struct table *t, const int *column, int n)
{
  int row = t->rows;
  table_cell(t, row, 0, "targets met, of %d", a->target_n);
  for (int j = 0; j < n; j++) table_cell(t, row, 1 + j, "%d", a->setting[column[j]].met);
  table_cell(t, row, 1 + n, "%d", a->setting[column[n > 1]].robust_met);
}

static void say_table(const struct df_advice *a)
{
  static const char *const heads[] = {"now", "proposed", "softer", "firmer"};
  int column[4] = {0}, n = 1;
  const char *head[4] = {"now"};
  if (a->proposed > 0) head[n] = heads[1], column[n++] = a->proposed;
  if (a->softer >= 0 && a->softer != 0) head[n] = heads[2], column[n++] = a->softer;
  if (a->firmer >= 0 && a->firmer != 0) head[n] = heads[3], column[n++] = a->firmer;
  struct table *t = malloc(sizeof *t);
  if (!t) return;
  table_begin(t, 3 + n, "lrrrrrrl");
  table_cell(t, 0, 0, "* = changed");
  for (int j = 0; j < n; j++) table_cell(t, 0, 1 + j, "%s", head[j]);
  table_cell(t, 0, 1 + n, "9 of 10"), table_cell(t, 0, 2 + n, "%s", n > 1 ? "proposed is" : "");
  choice_rows(a, t, column, n);
  aim_rows(a, t, column, n);
  target_row(a, t, column, n);
  for (int r = 0; r < t->rows; r++) t->right[2 + n] = 0;
  table_print(t);
  free(t);
}

// What one step to the side brings and costs, from the rides of both.
static void neighbour_text(const struct df_advice *a, int i, char *out, size_t size)
{
  const struct df_setting *x = &a->setting[i], *p = &a->setting[a->proposed];
  char value[40];
  *out = 0;
  for (int k = 0; k < a->choice_n; k++)
    if (x->at[k] != p->at[k])
      snprintf(out, size, "%s %s:", a->choice[k].name, advise_value(&a->choice[k], x->at[k], value, sizeof value));
  int said = 0;
  for (int k = 0; k < DF_AIMS; k++) {
    double d = x->aim[k] - p->aim[k];
    if (!isfinite(d) || fabs(d) <= 0.5*df_aim_felt((enum df_aim)k, p->aim[k])) continue;
    size_t used = strlen(out);
    snprintf(out + used, size - used, "%s %s %+.2g %s", said++ ? "," : "", df_aims[k].name, d*df_aims[k].per_si,
             df_aims[k].unit);
  }
  if (!said) strncat(out, " nothing that can be felt", size - strlen(out) - 1);
}

static void say_neighbours(const struct df_advice *a)
{
  char text[300];
  if (a->softer >= 0) neighbour_text(a, a->softer, text, sizeof text), labelled("Softer", "%s", text);
  if (a->firmer >= 0) neighbour_text(a, a->firmer, text, sizeof text), labelled("Firmer", "%s", text);
}

static void say_sure(const struct advise_work *w)
{
  const struct df_advice *a = &w->advice, *b = &w->other;
  const struct df_setting *p = &a->setting[a->proposed < 0 ? 0 : a->proposed];
  char text[300], other[240];
  if (a->proposed > 0)
    snprintf(text, sizeof text, "in %.0f of 10 forks like this one all that is called better is.", 10*p->sure);
  else snprintf(text, sizeof text, "no setting was better in 9 of 10 forks without a loss.");
  setting_text(b, b->proposed < 0 ? 0 : b->proposed, 1, other, sizeof other);
  int same = a->proposed >= 0 && b->proposed >= 0 && df_settings_near(a, a->proposed, b, b->proposed);
  const struct df_setting *again = b->also > 0 ? &b->setting[b->also] : NULL;
  char judged[80] = "";
  if (again) snprintf(judged, sizeof judged, " finds it better in %d aim%s, worse in %d, and", again->wins,
                      again->wins == 1 ? "" : "s", again->losses);
  labelled("How sure", "%s Another seed%s proposes %s.", text, judged,
           same ? "the same within a step" : b->proposed > 0 ? other : "to leave it");
}

void advise_say(const struct advise_work *w)
{
  const struct df_advice *a = &w->advice;
  say_head(w);
  say_table(a);
  if (a->now_refused) paragraph(2, "Refused as it stands: %s", a->refused);
  say_neighbours(a);
  say_sure(w);
  line("Next: dampfork sheet %s, with --set for what is changed", w->loaded.path);
}
