// The answer of advise --complaint: where it stands, what tells causes apart, the one change to make next.
#include "complaint_work.h"
#include "out_json.h"
#include "out_text.h"
#include "say.h"

#include "measures/targets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *const work_words[DF_WORKS] = {"outside", "cap off", "spring out", "leg off", "rod out"};

static const struct df_measure *stand_in(const struct complaint_work *w)
{
  return &df_measures[w->cures.measure];
}

static const char *road_name(const struct complaint_work *w)
{
  return w->cures.road < 0 ? "static" : df_reading_scenario(w->cures.reading)->road[w->cures.road].name;
}

static const char *value_text(const struct complaint_work *w, double value, char *out, size_t size)
{
  char unit[24], number[24];
  df_unit_text(stand_in(w)->unit, unit, sizeof unit);
  snprintf(out, size, "%s%s%s", figure(number, value*stand_in(w)->per_si), *unit ? " " : "", unit);
  return out;
}

static void change_text(const struct complaint_work *w, const struct df_cure *cure, char *out, size_t size)
{
  char to[40];
  const struct df_choice *c = &w->cures.choice[cure->k];
  snprintf(out, size, "%s %.5g -> %s", c->name, c->value[c->at_now], advise_value(c, cure->at, to, sizeof to));
}

static void cost_text(const struct complaint_work *w, const struct df_cure *cure, char *out, size_t size)
{
  int k = cure->cost_aim;
  char number[24];
  if (k < 0) { snprintf(out, size, "nothing that is felt"); return; }
  double d = (cure->aim[k] - w->cures.aim[k])*df_aims[k].per_si;
  snprintf(out, size, "%s %s%s %s", df_aims[k].name, d > 0 ? "+" : "", figure(number, d), df_aims[k].unit);
}

static void say_table(const struct complaint_work *w)
{
  const struct df_cures *c = &w->cures;
  char text[120];
  int shown = c->n < 6 ? c->n : 6;
  struct table *t = malloc(sizeof *t);
  if (!t) return;
  table_begin(t, 5, "lllll");
  table_cell(t, 0, 0, "change (* cures it)"), table_cell(t, 0, 1, "work"), table_cell(t, 0, 2, "then"),
      table_cell(t, 0, 3, "costs most"), table_cell(t, 0, 4, "sag, mm");
  for (int i = 0; i < shown; i++) {
    const struct df_cure *cure = &c->cure[i];
    enum df_work work = c->choice[cure->k].work;
    change_text(w, cure, text, sizeof text);
    table_cell(t, i + 1, 0, "%s%s", cure->cured ? "* " : "  ", text);
    table_cell(t, i + 1, 1, "%s, %.0f min", work_words[work], df_work_minutes[work]);
    table_cell(t, i + 1, 2, "%s", value_text(w, cure->after, text, sizeof text));
    cost_text(w, cure, text, sizeof text);
    table_cell(t, i + 1, 3, "%s", text);
    table_cell(t, i + 1, 4, "%.0f -> %.0f", 1e3*c->sag, 1e3*cure->sag);
  }
  table_print(t);
  free(t);
  int cures = 0;
  for (int i = 0; i < c->n; i++) cures += c->cure[i].cured;
  if (!c->n) line("No single change within reach brings what could be felt.");
  else if (!cures) line("No single change cures it; they are listed by what they bring.");
}

// ---- what the readings say ----
static void say_ring(const struct complaint_work *w)
{
  double held = w->observed[OBSERVED_HELD], worst = w->observed[OBSERVED_WORST];
  const struct df_scenario *s = df_reading_scenario(w->reading);
  double left = s->side[0].leg.travel - worst;
  const char *name = w->complaint->name;
  if (isfinite(held) && isfinite(worst))
    labelled("You read", "held %.0f mm, deepest %.0f mm: %s", 1e3*held, 1e3*worst,
             worst - held >= 10e-3 ? "it goes too fast and overshoots (drops-fast), more than it rests too deep"
                                   : "it rests where it goes: too far (spring, oil level), not too fast");
  else if (isfinite(worst) && !strcmp(name, "bottoms"))
    labelled("You read", "%.0f mm left: %s", 1e3*left,
             left > 5e-3 ? "a knock there is play in the bushes, not the end of travel" : "the end of travel was reached");
  else if (isfinite(worst) && !strcmp(name, "hits-braking"))
    labelled("You read", "%.0f mm left: %s", 1e3*left, left > 10e-3 ? "mid-stroke, so damping" : "travel was used up");
  else if (isfinite(worst) && !strcmp(name, "skips"))
    labelled("You read", "%.0f mm left: %s", 1e3*left, left > 0.4*s->side[0].leg.travel
             ? "the ring stops short: rebound too strong or spring too stiff" : "the fork uses its travel: not a stiff spring");
}

static void say_readings(const struct complaint_work *w)
{
  double band = w->observed[OBSERVED_BELOW] - w->observed[OBSERVED_ABOVE];
  if (w->taken) labelled("History", "%d reading%s of the last ride with this complaint used", w->taken, w->taken > 1 ? "s" : "");
  if (w->tried[0]) labelled("Tried", "%s; put last", w->tried);
  say_ring(w);
  if (isfinite(w->friction))
    labelled("Friction", "%.0f mm between both sags, %s; used here: %.0f N a leg instead of %.0f", 1e3*fabs(band),
             fabs(band) > 10e-3 ? "more than the 10 mm of a healthy fork: seals, axle and bushes first" : "healthy (below 10 mm)",
             w->friction, w->friction_before);
  if (isfinite(w->observed[OBSERVED_OIL])) labelled("Oil", "taken at %.0f C", w->observed[OBSERVED_OIL] - 273.15);
  if (isfinite(w->observed[OBSERVED_TYRE]))
    labelled("Tyre", "%.1f bar read; 0.2 bar is about 8 %% of its stiffness (from memory)", 1e-5*w->observed[OBSERVED_TYRE]);
  if (isfinite(w->observed[OBSERVED_LEG]))
    labelled("One leg", "only the %s: compare level, turns and timed pull of both legs (within 15 %%) before any change",
             w->observed[OBSERVED_LEG] < 2 ? "left" : "right");
}

// ---- what to do and to expect ----
static void say_next_reading(const struct complaint_work *w)
{
  int i = w->expect_of;
  if (i < 0) return;
  double from = isfinite(w->observed[i]) ? w->observed[i] : w->expect.before, hand = 2e-3; // of reading a ring, m
  double low = isfinite(w->expect.low) ? fmin(w->expect.low, w->expect.change) : w->expect.change;
  double high = isfinite(w->expect.high) ? fmax(w->expect.high, w->expect.change) : w->expect.change;
  labelled("Then read", "%s (%s): expect %.0f mm (%.0f-%.0f) after %.0f mm now%s. If not, the model is wrong, not you.",
           observations[i].name, i == OBSERVED_WORST ? road_name(w) : observations[i].meaning, 1e3*(from + w->expect.change),
           1e3*(from + low - hand), 1e3*(from + high + hand), 1e3*from, isfinite(w->observed[i]) ? "" : " by the model");
}

static void say_rule(const struct complaint_work *w)
{
  double gain = NAN;
  const char *verdict = complaint_rule(w, &gain);
  if (strcmp(verdict, "contradicted")) return;
  if (gain < -0.02)
    labelled("Not so", "rule of thumb \"%s\": here it makes it worse, by %.0f %% or more", w->complaint->rule, -100*gain);
  else
    labelled("Not so", "rule of thumb \"%s\": here it brings %.1f %% at most, nothing that is felt", w->complaint->rule, 100*fmax(gain, 0));
}

static void say_next(const struct complaint_work *w)
{
  const struct df_cures *c = &w->cures;
  char set[2][120], text[300] = "";
  if (!c->n) { line("Next: dampfork inspect %s, which says what to measure next", w->advise->loaded.path); return; }
  const struct df_choice *choice = &c->choice[c->cure[0].k];
  int tyre = !strcmp(choice->path, "tyre.stiffness"), n = df_choice_sets(c->reading, choice, c->cure[0].at, set);
  if (tyre) line("Tyre: 8 %% of stiffness is about 0.2 bar (from memory); stay within the manual's range.");
  for (int i = 0; i < n; i++)
    snprintf(text + strlen(text), sizeof text - strlen(text), " --set '%s'", set[i]);
  line("Next: dampfork %s %s%s", tyre ? "ride" : "sheet", w->advise->loaded.path, text);
}

static void say_not_the_fork(const struct complaint_work *w)
{
  const struct complaint *c = w->complaint;
  line("You said: %s. %s", c->words, !strcmp(c->name, "steering") ? "Look elsewhere: this is hardly ever the fork's damping."
                                                                  : "Stop riding until it is found: nothing here is a setting.");
  labelled("Look first", "%s", c->look_first);
  labelled("Tell apart", "%s", c->tells_apart);
  if (!strcmp(c->name, "steering"))
    labelled("The fork", "only through its height: sag 10 mm deeper takes about 0.4 degree of rake (10 mm over a wheelbase of %.0f mm: %.2f)",
             1e3*df_reading_scenario(w->reading)->bike.wheelbase,
             57.29578*atan(10e-3/df_reading_scenario(w->reading)->bike.wheelbase));
  say_readings(w);
  line("Next: dampfork help %s", c->name);
}

void complaint_say(const struct complaint_work *w)
{
  const struct complaint *c = w->complaint;
  char before[48];
  if (!c->stand_in) { say_not_the_fork(w); return; }
  if (!w->cures.shown && !strcmp(c->stand_in, "plain"))
    paragraph(2, "You said: %s. The model does not show it: no shock, overshoot or tyre load is worse than the plain fork's by what is felt.", c->words);
  else
    paragraph(2, "You said: %s. Stands for it: %s on %s, %s%s%s.", c->words, stand_in(w)->name, road_name(w),
              value_text(w, w->cures.before, before, sizeof before),
              !w->cures.shown ? "; the model does not show it" : w->cures.target ? "; wanted " : w->cures.met ? "; inside its target, " : "; wanted ",
              w->cures.shown ? w->cures.target_text : "");
  labelled("Look first", "%s", c->look_first);
  labelled("Tell apart", "%s", c->tells_apart);
  say_readings(w);
  if (w->cures.shown) {
    say_table(w);
    if (w->cures.n) labelled("Do", "the first only; touch nothing else. First stop at walking pace, empty level ground.");
    say_next_reading(w);
    say_rule(w);
  }
  say_next(w);
}

// ---- for programs ----
void complaint_rows(const struct complaint_work *w, struct csv *csv)
{
  static const char *const heads[] = {"rank", "key", "from", "to", "unit", "work", "minutes", "measure", "before", "after",
                                      "target", "cost_measure", "cost", "rule_of_thumb"};
  char measure[80];
  double gain;
  for (size_t i = 0; i < sizeof heads/sizeof *heads; i++) csv_text(csv, heads[i]);
  csv_line(csv);
  if (!w->complaint->stand_in || !w->cures.shown) return;
  snprintf(measure, sizeof measure, "%s.%s_%s", road_name(w), stand_in(w)->name, stand_in(w)->unit);
  for (int i = 0; i < w->cures.n; i++) {
    const struct df_cure *cure = &w->cures.cure[i];
    const struct df_choice *c = &w->cures.choice[cure->k];
    csv_number(csv, i + 1), csv_text(csv, c->path);
    csv_number(csv, c->value[c->at_now]), csv_number(csv, c->value[cure->at]), csv_text(csv, c->unit);
    csv_text(csv, df_work_names[c->work]), csv_number(csv, df_work_minutes[c->work]), csv_text(csv, measure);
    csv_number(csv, w->cures.before*stand_in(w)->per_si), csv_number(csv, cure->after*stand_in(w)->per_si);
    csv_text(csv, w->cures.target_text);
    csv_text(csv, cure->cost_aim < 0 ? "" : df_aims[cure->cost_aim].name);
    csv_number(csv, cure->cost_aim < 0 ? 0 : (cure->aim[cure->cost_aim] - w->cures.aim[cure->cost_aim])*df_aims[cure->cost_aim].per_si);
    csv_text(csv, w->complaint->rule && !strcmp(c->path, w->complaint->rule_key) ? complaint_rule(w, &gain) : "");
    csv_line(csv);
  }
}

static void json_cure(const struct complaint_work *w, int i, struct json *json)
{
  const struct df_cure *cure = &w->cures.cure[i];
  const struct df_choice *c = &w->cures.choice[cure->k];
  json_object(json, NULL);
  json_text(json, "key", c->path), json_text(json, "unit", c->unit);
  json_number(json, "from", c->value[c->at_now]), json_number(json, "to", c->value[cure->at]);
  json_text(json, "work", df_work_names[c->work]), json_number(json, "minutes", df_work_minutes[c->work]);
  char set[2][120];
  int n = df_choice_sets(w->cures.reading, c, cure->at, set);
  json_array(json, "set");
  for (int j = 0; j < n; j++) json_text(json, NULL, set[j]);
  json_end(json);
  json_number(json, "after", cure->after*stand_in(w)->per_si), json_truth(json, "cures", cure->cured);
  json_text(json, "cost_measure", cure->cost_aim < 0 ? "" : df_aims[cure->cost_aim].name);
  json_number(json, "sag_mm", 1e3*cure->sag);
  json_end(json);
}

void complaint_json(const struct complaint_work *w)
{
  struct json json;
  double gain = NAN;
  json_begin(&json, stdout, w->advise->call->digits, "advise-complaint");
  json_text(&json, "scenario", w->advise->loaded.path), json_text(&json, "hash", w->advise->loaded.hash);
  json_text(&json, "complaint", w->complaint->name), json_text(&json, "words", w->complaint->words);
  json_text(&json, "look_first", w->complaint->look_first), json_text(&json, "tells_apart", w->complaint->tells_apart);
  json_truth(&json, "of_the_fork", w->complaint->stand_in != NULL);
  json_truth(&json, "shown", w->cures.shown);
  if (w->cures.shown) {
    json_text(&json, "road", road_name(w)), json_text(&json, "measure", stand_in(w)->name), json_text(&json, "unit", stand_in(w)->unit);
    json_number(&json, "before", w->cures.before*stand_in(w)->per_si), json_text(&json, "target", w->cures.target_text);
    json_array(&json, "changes");
    for (int i = 0; i < w->cures.n; i++) json_cure(w, i, &json);
    json_end(&json);
    json_text(&json, "rule_of_thumb", w->complaint->rule), json_text(&json, "rule_is", complaint_rule(w, &gain));
  }
  if (w->expect_of >= 0) {
    json_object(&json, "expect");
    json_text(&json, "reading", observations[w->expect_of].name);
    json_number(&json, "now_mm", 1e3*w->expect.before), json_number(&json, "change_mm", 1e3*w->expect.change);
    json_number(&json, "change_low_mm", 1e3*w->expect.low), json_number(&json, "change_high_mm", 1e3*w->expect.high);
    json_end(&json);
  }
  json_finish(&json);
}
