// The figures of the sheet as one list: name, value, unit, and the function that it comes from.
#include "sheet_work.h"

#include "out_csv.h"
#include "out_json.h"

#include "dampfork/reader.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct figure_row { char name[72]; double value; const char *unit, *from; };
enum { FIGURES_MAX = 256 };
struct figures { struct figure_row row[FIGURES_MAX]; int n; const char *side; };

static void put(struct figures *f, const char *from, double value, const char *unit,
                const char *format, ...) __attribute__((format(printf, 5, 6)));
static void put(struct figures *f, const char *from, double value, const char *unit,
                const char *format, ...)
{
  if (f->n == FIGURES_MAX) return;
  struct figure_row *row = &f->row[f->n++];
  char name[60];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(name, sizeof name, format, arguments);
  va_end(arguments);
  *row = (struct figure_row){.value = value, .unit = unit, .from = from};
  snprintf(row->name, sizeof row->name, "%s%s", name, f->side);
}

static void front(struct figures *f, const struct sheet_work *w)
{
  for (int i = 0; i < DF_SAG_LOADS; i++) {
    put(f, "df_sag_of", 1e3*w->sag[i].mean, "mm", "sag_%s", df_sag_load_words[i]);
    put(f, "df_sag_of", 1e3*w->sag[i].from_below, "mm", "sag_%s_from_below", df_sag_load_words[i]);
    put(f, "df_sag_of", 1e3*w->sag[i].from_above, "mm", "sag_%s_from_above", df_sag_load_words[i]);
    put(f, "df_sag_of", 100*w->sag[i].share, "%", "sag_%s_share", df_sag_load_words[i]);
  }
  put(f, "df_statics_of", 1e3*w->statics.free_travel, "mm", "free_travel");
  put(f, "df_statics_of", w->statics.end_force, "N", "end_force");
  put(f, "df_spring_bracket_of", 1e-3*w->bracket.rate, "N/mm", "spring_rate_for_both_sags");
  put(f, "df_spring_bracket_of", 1e3*w->bracket.preload, "mm", "spring_preload_for_both_sags");
  for (int i = 0; i < 2; i++) {
    const struct df_spring_choice *c = &w->bracket.choice[i];
    const char *which = i ? "stiffer" : "softer";
    put(f, "df_spring_choice_of", 1e-3*c->rate, "N/mm", "%s_rate", which);
    put(f, "df_preload_for_sag", 1e3*c->preload, "mm", "%s_preload", which);
    if (isnan(c->preload)) continue;
    put(f, "df_spring_choice_of", 1e3*c->sag[DF_SAG_ALONE].mean, "mm", "%s_sag_alone", which);
    put(f, "df_spring_choice_of", 1e3*c->sag[w->aboard].mean, "mm", "%s_sag_wanted", which);
    put(f, "df_spring_choice_of", c->cap_force, "N", "%s_cap_force", which);
    put(f, "df_spring_choice_of", c->end_force, "N", "%s_end_force", which);
    put(f, "df_spring_choice_of", 1e3*c->coil_room, "mm", "%s_coil_room", which);
  }
  for (int i = 0; i < 3; i++) {
    static const char *const which[3] = {"half_turn_out", "as_set", "half_turn_in"};
    put(f, "df_half_turn_of", 1e3*w->half.overshoot[i], "mm", "brake_overshoot_%s", which[i]);
    put(f, "df_half_turn_of", w->half.shock[i], "m/s2", "edge_25_shock_%s", which[i]);
  }
  if (!w->has_blend) return;
  put(f, "df_blend_recipe_of", 100*w->blend.share, "%", "blend_share_of_thick");
  put(f, "df_blend_recipe_of", 1e6*w->blend.linear, "mm2/s", "blend_by_straight_line");
}

static void spacer(struct figures *f, const struct df_spacer_sum *s)
{
  put(f, "df_spacer_sum_of", 1e3*s->depth, "mm", "spacer_depth");
  put(f, "df_spacer_sum_of", 1e3*s->valve_height, "mm", "spacer_valve_height");
  put(f, "df_spacer_sum_of", 1e3*s->cap, "mm", "spacer_cap");
  put(f, "df_spacer_sum_of", 1e3*s->washers, "mm", "spacer_washers");
  put(f, "df_spacer_sum_of", 1e3*s->preload, "mm", "spring_preload");
  put(f, "df_spacer_length", 1e3*s->length, "mm", "spacer_length");
  put(f, "df_rounded", 1e3*s->cut, "mm", "spacer_cut");
  put(f, "df_spacer_sum_of", s->cap_force, "N", "cap_force");
  put(f, "df_spacer_sum_of", 1e-3*s->per_thread, "N/mm", "cap_force_less_per_mm");
}

static void valve(struct figures *f, const struct df_valve_setting v[3])
{
  static const char *const which[3] = {"_half_turn_out", "", "_half_turn_in"};
  static const int speed[3] = {100, 300, 1000};
  for (int i = 0; i < 3; i++) {
    put(f, "df_valve_setting_of", v[i].turns, "turn", "valve_turns%s", which[i]);
    put(f, "df_valve_setting_of", 1e3*v[i].preload, "mm", "valve_preload%s", which[i]);
    put(f, "df_valve_setting_of", v[i].force, "N", "valve_plate_force%s", which[i]);
    put(f, "df_valve_setting_of", 1e3*v[i].adjuster, "mm", "valve_adjuster%s", which[i]);
    put(f, "df_valve_setting_of", 1e-5 * v[i].cracking_pressure, "bar", "cracking_pressure%s",
        which[i]);
    put(f, "df_valve_setting_of", v[i].cracking_speed, "m/s", "cracking_speed%s", which[i]);
    for (int k = 0; k < 3; k++)
      put(f, "df_valve_setting_of", v[i].damping[k], "N", "damping_%d%s", speed[k], which[i]);
  }
}

static void rod(struct figures *f, const struct sheet_side *s)
{
  for (int i = 0; i < s->plan.n; i++) {
    const struct df_plan_hole *h = &s->plan.hole[i];
    if (h->work == DF_HOLE_KEPT) continue;
    put(f, "df_rod_plan_of", 1e3*h->height, "mm", "hole_%d_height", i + 1);
    put(f, "df_rod_plan_of", h->angle*180/3.14159265358979323846, "degree", "hole_%d_angle", i + 1);
    put(f, "df_drill_nearest", 1e3 * df_drill_nearest(h->diameter).diameter, "mm", "hole_%d_drill",
        i + 1);
  }
  put(f, "df_rod_plan_of", 1e3*s->plan.limit, "mm", "hole_limit");
  put(f, "df_rod_plan_of", s->plan.ligament, "1", "hole_ligament");
  put(f, "df_rod_strength_of", 100*s->strength.share, "%", "rod_section_left");
  put(f, "df_rod_strength_of", 1e-6*s->strength.stress, "MPa", "rod_stress");
  put(f, "df_rod_strength_of", s->strength.safety, "1", "rod_safety");
  put(f, "df_rod_load_of", s->load.hydraulic, "N", "rod_load_hydraulic");
  put(f, "df_top_out_force", s->load.top_out, "N", "rod_load_top_out");
  put(f, "df_rod_load_together", s->load.together, "N", "rod_load");
  put(f, "df_opening_effect", s->rebound[0], "N", "rebound_after_opening");
  put(f, "df_opening_effect", s->rebound[1], "N", "rebound_before_opening");
  put(f, "df_passing_cost", s->passing[0], "N", "rebound_mid_travel");
  put(f, "df_passing_cost", s->passing[1], "N", "rebound_full_travel");
  put(f, "df_limit_cost", s->limit[1], "N", "rebound_full_travel_above_limit");
  if (!s->plan.worked || !(s->now.pressure > 0)) return;
  put(f, "df_rod_share_of", 100*s->now.of_valve, "%", "rod_share_of_valve");
  put(f, "df_rod_share_of", 100*s->now.bore, "%", "rod_share_of_bore");
  for (int i = 0; i < DF_ROD_SHARES; i++)
    put(f, "df_rod_share_of", 100 * s->share[i].of_valve, "%", "rod_share_%.0f_holes",
        s->share[i].holes);
  put(f, "df_deburring_effect", 1e-5*s->burr[0], "bar", "rod_pressure_sharp");
  put(f, "df_deburring_effect", 1e-5*s->burr[1], "bar", "rod_pressure_chamfered");
}

static void oil(struct figures *f, const struct df_oil_fill *o)
{
  put(f, "df_oil_fill_of", 1e3*o->level, "mm", "oil_level");
  put(f, "df_oil_level_as", 1e3*o->bare, "mm", "oil_level_bare");
  put(f, "df_oil_level_as", 1e3*o->with_spring, "mm", "oil_level_spring_in");
  put(f, "df_oil_level_as", 1e3*o->with_all, "mm", "oil_level_all_in");
  put(f, "df_oil_level_as", 1e3*o->without_valve, "mm", "oil_level_valve_out");
  put(f, "df_oil_volume_of", 1e6*o->volume, "cm3", "oil_volume");
  put(f, "df_oil_fill_of", o->force_for_more, "N", "end_force_5_mm_more_oil");
  put(f, "df_oil_fill_of", o->force_for_less, "N", "end_force_5_mm_less_oil");
  put(f, "df_oil_fill_of", 1e6*o->gas_end, "cm3", "gas_full_travel");
  put(f, "df_oil_fill_of", 1e6*o->gas_hot, "cm3", "gas_full_travel_hot");
  put(f, "df_oil_fill_of", 1e-5*o->pressure_end, "bar", "pressure_full_travel");
  put(f, "df_oil_fill_of", 1e-5*o->pressure_hot, "bar", "pressure_full_travel_hot");
  put(f, "df_oil_fill_of", 1e6*o->grows, "cm3", "oil_grows");
  put(f, "df_oil_viscosity", 1e6*o->viscosity_40, "mm2/s", "viscosity_40");
  put(f, "df_oil_viscosity", 1e6*o->viscosity_ride, "mm2/s", "viscosity_ride");
  put(f, "df_oil_viscosity", 1e6*o->viscosity_bench, "mm2/s", "viscosity_bench");
}

static void test(struct figures *f, const struct df_acceptance *t)
{
  put(f, "df_acceptance_of", 1e3*t->from, "mm", "test_from");
  put(f, "df_acceptance_of", 1e3*t->distance, "mm", "test_distance");
  put(f, "df_acceptance_of", t->creep, "N", "test_creep");
  for (int i = 0; i < 2; i++) {
    const char *word = df_timed_words[i];
    put(f, "df_acceptance_force", df_acceptance_force(t, (enum df_timed_direction)i), "N",
        "%s_force", word);
    put(f, "df_timed_leg", t->time[i], "s", "%s_time", word);
    put(f, "df_acceptance_of", t->low[i], "s", "%s_time_low", word);
    put(f, "df_acceptance_of", t->high[i], "s", "%s_time_high", word);
    put(f, "df_acceptance_of", 100*t->per_kelvin[i], "%", "%s_time_per_kelvin", word);
    for (int k = 0; k < t->fault_n; k++)
      put(f, "df_acceptance_of", t->fault[k].time[i], "s", "%s_time_fault_%d", word, k + 1);
  }
}

static struct figures *figures_of(const struct sheet_work *work)
{
  struct figures *f = calloc(1, sizeof *f);
  if (!f) return NULL;
  f->side = "";
  if (!work->solved) return f;
  front(f, work);
  for (int i = 0; i < work->sides; i++) {
    const struct sheet_side *side = &work->side[i];
    f->side = work->sides == 1 ? "" : i ? "_right" : "_left";
    spacer(f, &side->spacer);
    if (work->scenario->side[i].has_valve) valve(f, side->valve);
    rod(f, side);
    oil(f, &side->fill);
    test(f, &side->test);
  }
  return f;
}

void sheet_csv(const struct sheet_work *work)
{
  static const char *const names[] = {"figure", "value", "unit", "function"};
  struct figures *f = figures_of(work);
  struct csv csv = csv_begin(stdout, work->call->digits);
  head_csv(work->call, &work->loaded, 1, &csv);
  for (int i = 0; i < work->refused_n; i++) csv_head(&csv, "refused", "%s", work->refused[i].text);
  csv_names(&csv, names, 4);
  for (int i = 0; f && i < f->n; i++) {
    csv_text(&csv, f->row[i].name);
    csv_number(&csv, f->row[i].value);
    csv_text(&csv, f->row[i].unit);
    csv_text(&csv, f->row[i].from);
    csv_line(&csv);
  }
  free(f);
}

static void json_refused(const struct sheet_work *work, struct json *json)
{
  json_array(json, "refused");
  for (int i = 0; i < work->refused_n; i++) {
    json_object(json, NULL);
    json_text(json, "reason", df_refusal_names[work->refused[i].why]);
    json_text(json, "leg", work->sides == 1 ? "both" : work->refused[i].side ? "right" : "left");
    json_number(json, "figure", work->refused[i].figure);
    json_number(json, "limit", work->refused[i].limit);
    json_text(json, "text", work->refused[i].text);
    json_end(json);
  }
  json_end(json);
}

static void json_faults(const struct sheet_work *work, struct json *json)
{
  json_array(json, "timed_faults");
  for (int i = 0; work->solved && i < work->side[0].test.fault_n; i++) {
    json_object(json, NULL);
    json_number(json, "number", i + 1);
    json_text(json, "what", work->side[0].test.fault[i].what);
    json_end(json);
  }
  json_end(json);
}

void sheet_json(const struct sheet_work *work)
{
  struct figures *f = figures_of(work);
  struct json json;
  json_begin(&json, stdout, work->call->digits, "sheet");
  json_text(&json, "scenario", work->loaded.path);
  json_text(&json, "title", work->scenario->title);
  json_text(&json, "hash", work->loaded.hash);
  json_refused(work, &json);
  json_array(&json, "figures");
  for (int i = 0; f && i < f->n; i++) {
    json_object(&json, NULL);
    json_text(&json, "name", f->row[i].name);
    json_number(&json, "value", f->row[i].value);
    json_text(&json, "unit", f->row[i].unit);
    json_text(&json, "function", f->row[i].from);
    json_end(&json);
  }
  json_end(&json);
  json_faults(work, &json);
  json_array(&json, "cautions");
  for (const struct sheet_caution *c = sheet_cautions; c->where; c++) {
    json_object(&json, NULL);
    json_text(&json, "before", c->where);
    json_text(&json, "text", c->text);
    json_end(&json);
  }
  json_end(&json);
  json_finish(&json);
  free(f);
}
