// advise.csv and the answer as JSON.
#include "advise_work.h"
#include "atomic.h"
#include "out_json.h"
#include "render.h"

#include <math.h>
#include <string.h>

static const char *road_name(const struct df_advice *a, int road)
{
  return road < 0 ? "static" : df_reading_scenario(a->reading)->road[road].name;
}

static void head_names(const struct df_advice *a, struct csv *csv)
{
  char name[160];
  csv_text(csv, "choice");
  for (int k = 0; k < a->choice_n; k++) {
    char unit[32];
    size_t n = 0;
    for (const char *u = a->choice[k].unit; *u && n < sizeof unit - 6; u++)
      if (*u == '/') memcpy(unit + n, "_per_", 5), n += 5;
      else unit[n++] = *u;
    unit[n] = 0;
    snprintf(name, sizeof name, "%s_%s", a->choice[k].path, unit);
    csv_text(csv, name);
  }
  for (int i = 0; i < a->wanted_n; i++) {
    const struct df_measure *m = &df_measures[a->wanted[i].measure];
    snprintf(name, sizeof name, "%s.%s_%s", road_name(a, a->wanted[i].road), m->name, m->unit);
    csv_text(csv, name);
  }
  csv_text(csv, "robust_percent");
  csv_line(csv);
}

static void row(const struct df_advice *a, int i, const char *choice, struct csv *csv)
{
  const struct df_setting *x = &a->setting[i];
  csv_text(csv, choice);
  for (int k = 0; k < a->choice_n; k++) csv_number(csv, a->choice[k].value[x->at[k]]);
  for (int k = 0; k < a->wanted_n; k++) csv_number(csv, x->value[k]*df_measures[a->wanted[k].measure].per_si);
  csv_number(csv, x->drawn ? 100*x->sure : NAN);
  csv_line(csv);
}

void advise_rows(const struct advise_work *w, struct csv *csv)
{
  const struct df_advice *a = &w->advice;
  char name[32];
  head_names(a, csv);
  if (a->proposed >= 0) row(a, a->proposed, "proposed", csv);
  if (a->softer >= 0) row(a, a->softer, "softer", csv);
  if (a->firmer >= 0) row(a, a->firmer, "firmer", csv);
  for (int i = 0, n = 0; i < a->n; i++) {
    if (!a->setting[i].unbeaten) continue;
    snprintf(name, sizeof name, "unbeaten-%d", ++n);
    row(a, i, name, csv);
  }
}

static void json_setting(struct json *json, const struct df_advice *a, int i, const char *choice)
{
  const struct df_setting *x = &a->setting[i];
  char name[80];
  json_object(json, NULL);
  json_text(json, "choice", choice);
  json_object(json, "set");
  for (int k = 0; k < a->choice_n; k++) {
    snprintf(name, sizeof name, "%.5g %s", a->choice[k].value[x->at[k]], a->choice[k].unit);
    json_text(json, a->choice[k].path, name);
  }
  json_end(json);
  json_array(json, "aims");
  for (int k = 0; k < DF_AIMS; k++) {
    if (!isfinite(x->aim[k])) continue;
    json_object(json, NULL);
    json_text(json, "aim", df_aims[k].name), json_text(json, "unit", df_aims[k].unit);
    json_number(json, "value", x->aim[k]*df_aims[k].per_si);
    json_number(json, "nine_of_ten", x->robust[k]*df_aims[k].per_si);
    json_number(json, "gain", x->gain[k]*df_aims[k].per_si), json_number(json, "kept", x->kept[k]);
    json_end(json);
  }
  json_end(json);
  json_number(json, "targets_met", x->met), json_number(json, "targets_met_nine_of_ten", x->robust_met);
  json_number(json, "sure", x->sure);
  json_number(json, "aims_better", x->wins), json_number(json, "aims_worse", x->losses);
  json_end(json);
}

void advise_json(const struct advise_work *w)
{
  const struct df_advice *a = &w->advice, *b = &w->other;
  struct json json;
  json_begin(&json, stdout, w->call->digits, "advise");
  json_text(&json, "scenario", w->loaded.path), json_text(&json, "hash", w->loaded.hash);
  json_number(&json, "rides", (double)(a->rides + b->rides)), json_number(&json, "settings", a->n);
  json_number(&json, "targets", a->target_n);
  json_truth(&json, "better_in_two_worse_in_none", a->safe);
  int judged = b->also > 0;
  json_number(&json, "another_seed_aims_better", judged ? b->setting[b->also].wins : NAN);
  json_number(&json, "another_seed_aims_worse", judged ? b->setting[b->also].losses : NAN);
  json_truth(&json, "another_seed_agrees", a->proposed >= 0 && b->proposed >= 0 && df_settings_near(a, a->proposed, b, b->proposed));
  json_truth(&json, "refused_as_it_stands", a->now_refused);
  json_array(&json, "choices");
  json_setting(&json, a, 0, "now");
  if (a->proposed >= 0) json_setting(&json, a, a->proposed, "proposed");
  if (a->softer >= 0) json_setting(&json, a, a->softer, "softer");
  if (a->firmer >= 0) json_setting(&json, a, a->firmer, "firmer");
  json_end(&json);
  json_finish(&json);
}

int advise_write(const struct advise_work *w)
{
  enum render_form form = option_word(&w->call->options, OPT_RENDER, RENDER_NONE);
  FILE *file = NULL, *script = NULL;
  if (output_folder(w->folder) || !(file = output_open(w->folder, "advise.csv")) || !(script = output_open(w->folder, "unbeaten.gp")))
    return output_discard_all(), EXIT_OUTPUT;
  struct csv csv = csv_begin(file, w->call->digits);
  head_csv(w->call, &w->loaded, 1, &csv);
  csv_head(&csv, "seed", "%.0f", option_number(&w->call->options, OPT_SEED, 1));
  csv_head(&csv, "rides", "%ld", w->advice.rides + w->other.rides);
  advise_rows(w, &csv);
  advise_plot(script, w);
  int status = 0;
  if (form != RENDER_NONE && form != RENDER_TERM)
    status = output_flush_all() ? EXIT_OUTPUT : render_file(w->folder, "unbeaten", form);
  return status ? output_discard_all(), status : output_commit_all();
}
