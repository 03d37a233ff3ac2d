// What to change after a ride: every single change is ridden, what cures with the least work comes first.
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include "dampfork/road.h"
#include "dampfork/sheet.h"
#include "scenario/params.h"
#include "studies/advise_parts.h"

enum { CASES_MAX = DF_CHOICES_MAX*DF_CHOICE_VALUES_MAX, DRAWS = 20 };
static const double fifth = 0.8;      // 1, "a fifth better"
static const double unfelt = 0.02;    // 1, less is hardly felt: chosen as in comparisons
static const double nothing = 1e-3;   // SI, an excess below it is none

struct trial { int k, at; };

struct work {
  struct df_cures *cures;
  struct df_advise_plan plan;
  const struct df_cure_options *options;
  struct df_judged judged;    // the target of the stand-in
  struct df_target as_plain;  // made for a comparison with the plain twin
  int n;                      // trials; 0 is the present setting
  struct trial trial[CASES_MAX];
  double *value;              // of each wanted, a row a trial
};

// ---- the stand-in ----
// What of a measure is too much: of ratios of a cold or hot ride what goes past 1.
static double excess(const struct df_cures *c, double value)
{
  const struct df_measure *m = &df_measures[c->measure];
  if (m->needs & DF_NEEDS_TWO_RIDES) return fabs(value - 1);
  return m->better == DF_MORE_IS_BETTER ? -value : value;
}

static void want_stand_in(struct work *w)
{
  const struct df_cure_options *o = w->options;
  const struct df_scenario *s = df_reading_scenario(w->cures->reading);
  int worst = !strcmp(o->road, "worst");
  if (!o->measure) return;
  if (!strcmp(o->road, "static")) df_advise_want(&w->plan, -1, o->measure);
  for (int r = 0; r < s->road_n; r++)
    if (worst || !strcmp(s->road[r].name, o->road)) df_advise_want(&w->plan, r, o->measure);
}

static void stand_in_set(struct work *w, int road, int measure)
{
  w->cures->road = road, w->cures->measure = measure;
  w->cures->before = w->value[df_advise_want(&w->plan, road, df_measures[measure].name)];
}

// The road on which it is worst at present; 0: defined on none.
static int worst_find(struct work *w)
{
  int found = 0, measure = df_measure_find(w->options->measure);
  w->cures->measure = measure;
  for (int i = 0; i < w->plan.wanted_n; i++) {
    if (w->plan.wanted[i].measure != measure || !isfinite(w->value[i])) continue;
    if (found && excess(w->cures, w->value[i]) <= excess(w->cures, w->cures->before)) continue;
    stand_in_set(w, w->plan.wanted[i].road, measure), found = 1;
  }
  return found;
}

// What has lost most against the plain twin.
static int lost_find(struct work *w)
{
  double most = unfelt;
  int found = 0;
  for (int i = 0; i < w->plan.wanted_n; i++) {
    const struct df_measure *m = &df_measures[w->plan.wanted[i].measure];
    double plain = w->plan.plain[i], now = w->value[i];
    if (m->better == DF_NEITHER || w->plan.wanted[i].road < 0 || !isfinite(plain) || !isfinite(now)) continue;
    if (strcmp(m->name, "shock_transmitted") && strcmp(m->name, "tyre_load_variation") && strcmp(m->name, "dive_overshoot"))
      continue;
    double loss = (now - plain)/fabs(plain);
    if (loss <= most) continue;
    most = loss, found = 1;
    stand_in_set(w, w->plan.wanted[i].road, w->plan.wanted[i].measure);
  }
  return found;
}

// Against the plain twin: not above what it was.
static void target_plain(struct work *w)
{
  struct df_cures *c = w->cures;
  const struct df_limit one = {NAN, 1, DF_TAG_OURS};
  w->as_plain = (struct df_target){"*", df_measures[c->measure].name, DF_TARGET_OF_PLAIN, {one, one, one, one}, "chosen here"};
  w->judged.row = &w->as_plain, w->judged.wanted = df_advise_wanted(&w->plan, c->road, w->as_plain.measure);
  c->target = 1;
  snprintf(c->target_text, sizeof c->target_text, "not above the plain fork's (our choice)");
}

static void find_target(struct work *w)
{
  struct df_cures *c = w->cures;
  const struct df_scenario *s = df_reading_scenario(c->reading);
  const char *road = c->road < 0 ? "static" : s->road[c->road].name, *measure = df_measures[c->measure].name;
  w->judged.wanted = df_advise_wanted(&w->plan, c->road, measure);
  c->target = df_reading_target_of(c->reading, road, measure, &w->judged.own);
  if (c->target) snprintf(c->target_text, sizeof c->target_text, "%s, this scenario's own", w->judged.own.text);
  int row = df_target_find(road, measure, w->plan.use);
  if (!c->target && row >= 0) {
    char text[48];
    w->judged.row = &df_targets[row], c->target = 1;
    df_target_text(w->judged.row, w->plan.use, text, sizeof text);
    snprintf(c->target_text, sizeof c->target_text, "%s (%s)", text, df_target_tag_text(w->judged.row->use[w->plan.use].tag));
  }
  double miss = c->target ? df_advise_miss(&w->plan, &w->judged, c->before) : NAN;
  c->met = miss <= 1e-9;
  if (!c->target || !isfinite(miss) || c->met) c->target = 0;
  if (!c->target && !c->met) snprintf(c->target_text, sizeof c->target_text, "a fifth better: there is no target");
}

static enum df_status stand_in_find(struct work *w, struct df_faults *faults)
{
  struct df_cures *c = w->cures;
  c->shown = w->options->measure ? worst_find(w) : lost_find(w);
  if (!c->shown && w->options->measure)
    return df_fault_add(faults, DF_UNKNOWN_NAME, w->options->measure, "not defined on any road here");
  if (!c->shown) return DF_OK;
  if (w->options->measure) find_target(w);
  else target_plain(w);
  c->shown = excess(c, c->before) > nothing;
  return DF_OK;
}

// ---- trials ----
static void trials_make(struct work *w)
{
  struct df_cures *c = w->cures;
  w->n = 1;                   // the present setting
  for (int k = 0; k < c->choice_n; k++)
    for (int i = 0; i < c->choice[k].n; i++)
      if (i != c->choice[k].at_now && w->n < CASES_MAX) w->trial[w->n++] = (struct trial){k, i};
}

static enum df_status trial_reading(const struct work *w, int i, struct df_reading **out)
{
  const struct df_cures *c = w->cures;
  int at[DF_CHOICES_MAX];
  for (int k = 0; k < c->choice_n; k++) at[k] = c->choice[k].at_now;
  if (i) at[w->trial[i].k] = w->trial[i].at;
  return df_choices_set(c->reading, c->choice, c->choice_n, at, out, NULL);
}

// Set-ups that must not be built are left out: their values stay NAN.
static enum df_status trials_run(struct work *w)
{
  struct df_refused refused[DF_REFUSED_MAX];
  struct df_scenario *scenario = malloc((size_t)w->n*sizeof *scenario);
  struct df_case *cases = calloc((size_t)w->n, sizeof *cases);
  enum df_status status = scenario && cases ? DF_OK : DF_NO_MEMORY;
  int n = 0, now_refused = 0;
  for (int i = 0; i < w->n && status == DF_OK; i++) {
    struct df_reading *reading;
    for (int k = 0; k < w->plan.wanted_n; k++) w->value[i*DF_WANTED_MAX + k] = NAN;
    enum df_status one = trial_reading(w, i, &reading);
    if (one == DF_NO_MEMORY) status = one;
    if (one != DF_OK) continue;
    memcpy(&scenario[n], df_reading_scenario(reading), sizeof *scenario);
    df_reading_destroy(reading);
    int bad = df_setup_refused(&scenario[n], refused);
    if (i == 0) now_refused = bad;
    if (bad && i && !now_refused) continue; // where the present one is refused too, any change may be better
    cases[n] = (struct df_case){.scenario = &scenario[n], .values = &w->value[i*DF_WANTED_MAX]}, n++;
  }
  if (status == DF_OK)
    status = df_cases_run(cases, n, w->plan.wanted, w->plan.wanted_n, &w->options->ride, w->options->threads, NULL);
  w->cures->rides = n;
  free(scenario);
  free(cases);
  return status;
}

// ---- judging and ranking ----
static double sag_of(const struct work *w, const double *value)
{
  int i = df_advise_wanted(&w->plan, -1, "sag_rider");
  return i < 0 ? NAN : value[i];
}

static void find_cost(const struct df_cures *c, struct df_cure *cure)
{
  double most = 1;
  cure->cost_aim = -1;
  for (int k = 0; k < DF_AIMS; k++) {
    double loss = df_aims[k].better*(c->aim[k] - cure->aim[k])/df_aim_felt((enum df_aim)k, c->aim[k]);
    if (!(loss > 1)) continue;
    cure->cost_sum += loss;
    if (loss > most) most = loss, cure->cost_aim = k;
  }
}

static struct df_cure judge(const struct work *w, int i)
{
  const struct df_cures *c = w->cures;
  const double *value = &w->value[i*DF_WANTED_MAX];
  struct df_cure cure = {.k = w->trial[i].k, .at = w->trial[i].at, .after = value[w->judged.wanted], .sag = sag_of(w, value)};
  double from = excess(c, c->before), to = excess(c, cure.after);
  df_advise_aims(&w->plan, value, cure.aim);
  cure.gain = (from - to)/from;
  // a stop that is met earlier in the dive is met more slowly, and is no cure
  double sunk = cure.aim[DF_AIM_REST] - c->aim[DF_AIM_REST];
  if (!strcmp(df_measures[c->measure].name, "bottoming_speed") && sunk > df_aims[DF_AIM_REST].felt) cure.gain = 0;
  if (c->target) cure.cured = df_advise_miss(&w->plan, &w->judged, cure.after) <= 1e-9;
  else cure.cured = to <= fifth*from;
  if (!(cure.gain > 0)) cure.cured = 0;
  find_cost(c, &cure);
  return cure;
}

static int better_of_key(const struct df_cures *c, const struct df_cure *a, const struct df_cure *b)
{
  if (a->cured != b->cured) return a->cured;
  int now = c->choice[a->k].at_now;
  return a->cured ? abs(a->at - now) < abs(b->at - now) : a->gain > b->gain;
}

static int ahead(const struct df_cures *c, const struct df_cure *a, const struct df_cure *b)
{
  double work_a = df_work_minutes[c->choice[a->k].work], work_b = df_work_minutes[c->choice[b->k].work];
  if (a->cured != b->cured) return a->cured;
  if (a->cured && work_a != work_b) return work_a < work_b;
  if (a->cured && fabs(a->cost_sum - b->cost_sum) > 0.5) return a->cost_sum < b->cost_sum;
  int final_a = c->choice[a->k].work == DF_WORK_ROD_OUT, final_b = c->choice[b->k].work == DF_WORK_ROD_OUT;
  if (final_a != final_b) return final_b; // holes cannot be closed again: not for what cures nothing
  return a->gain > b->gain;
}

static void best_put(struct df_cures *c, const struct df_cure *best)
{
  int i = c->n++;
  for (; i > 0 && ahead(c, best, &c->cure[i - 1]); i--) c->cure[i] = c->cure[i - 1];
  c->cure[i] = *best;
}

static void rank(struct work *w)
{
  struct df_cures *c = w->cures;
  for (int k = 0; k < c->choice_n; k++) c->up[k] = c->down[k] = NAN;
  for (int k = 0; k < c->choice_n; k++) {
    if (!w->options->measure && c->choice[k].work == DF_WORK_OUTSIDE) continue; // the tyre is as it was before
    struct df_cure best = {.gain = unfelt};
    int found = 0;
    for (int i = 1; i < w->n; i++) {
      if (w->trial[i].k != k || !isfinite(w->value[i*DF_WANTED_MAX + w->judged.wanted])) continue;
      struct df_cure cure = judge(w, i);
      double *side = w->trial[i].at > c->choice[k].at_now ? &c->up[k] : &c->down[k];
      if (!(*side >= cure.gain)) *side = cure.gain;
      if (cure.gain <= unfelt || (found && !better_of_key(c, &cure, &best))) continue;
      best = cure, found = 1;
    }
    if (found) best_put(c, &best);
  }
}

// ---- all of it ----
static enum df_status begin(struct work *w, const struct df_reading *reading, struct df_faults *faults)
{
  struct df_cures *c = w->cures;
  const struct df_cure_options *o = w->options;
  const char *more[2] = {NULL}, *keys[DF_CHOICES_MAX];
  int named = strcmp(o->road, "worst") && strcmp(o->road, "static") && strcmp(o->road, "plain");
  if (!(c->reading = df_reading_copy(reading))) return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  if (named && df_ready_road_find(o->road)) more[0] = o->road;
  enum df_status status = df_advise_roads(c->reading, more, faults);
  if (status == DF_OK && named && df_advise_road(df_reading_scenario(c->reading), o->road) < 0)
    return df_fault_add(faults, DF_UNKNOWN_NAME, o->road, "no such road");
  if (status == DF_OK && named && o->speed > 0) {
    char path[80];
    snprintf(path, sizeof path, "roads.%.40s.speed", o->road);
    status = df_reading_set(c->reading, path, o->speed, faults);
  }
  if (status != DF_OK || o->key) return status == DF_OK ? df_choices_make(c->reading, o->key, o->key_n, c->choice, &c->choice_n, faults) : status;
  for (int i = 0; df_choice_key(i, NULL) && c->choice_n < DF_CHOICES_MAX; i++) {
    int n = 0;
    keys[0] = df_choice_key(i, NULL);
    if (df_choices_make(c->reading, keys, 1, &c->choice[c->choice_n], &n, NULL) == DF_OK) c->choice_n += n;
  }
  return DF_OK;
}

enum df_status df_cures(struct df_cures *out, const struct df_reading *reading, const struct df_cure_options *options,
                        struct df_faults *faults)
{
  struct work *w = calloc(1, sizeof *w);
  *out = (struct df_cures){.road = -1};
  if (!w) return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  w->cures = out, w->options = options;
  enum df_status status = begin(w, reading, faults);
  if (status == DF_OK) {
    df_advise_plan_init(&w->plan, out->reading);
    df_advise_want(&w->plan, -1, "sag_rider");
    want_stand_in(w);
    trials_make(w);
    if (!(w->value = malloc((size_t)w->n*DF_WANTED_MAX*sizeof *w->value))) status = DF_NO_MEMORY;
  }
  if (status == DF_OK) status = df_advise_plain(&w->plan, &options->ride, options->threads);
  if (status == DF_OK) status = trials_run(w);
  if (status == DF_OK) status = stand_in_find(w, faults);
  if (status == DF_OK) df_advise_aims(&w->plan, w->value, out->aim), out->sag = sag_of(w, w->value);
  if (status == DF_OK && out->shown) rank(w);
  free(w->value);
  free(w);
  return status;
}

void df_cures_finish(struct df_cures *cures)
{
  df_reading_destroy(cures->reading);
  *cures = (struct df_cures){.road = -1};
}

// ---- what to expect ----
static int pairs_lay(const struct df_draws *draws, struct df_reading *const *side,
                     struct df_scenario *scenario, struct df_case *cases, double *value)
{
  int n = 0;
  for (int i = -1; i < df_draws_n(draws); i++) { // -1: as it stands
    int good = 1;
    for (int j = 0; j < 2; j++) {
      if (i < 0) memcpy(&scenario[n + j], df_reading_scenario(side[j]), sizeof *scenario);
      else if (df_draw_lay(draws, i, side[j], &scenario[n + j]) != DF_OK) good = 0;
      value[n + j] = NAN;
      cases[n + j] = (struct df_case){.scenario = &scenario[n + j], .values = &value[n + j]};
    }
    n += good ? 2 : 0;
  }
  return n;
}

static void change_sum(const double *value, int n, double *room, struct df_cure_change *out)
{
  int m = 0;
  *out = (struct df_cure_change){value[0], value[1] - value[0], NAN, NAN};
  for (int i = 2; i + 1 < n; i += 2)
    if (isfinite(value[i]) && isfinite(value[i + 1])) room[m++] = value[i + 1] - value[i];
  if (!m) return;
  gsl_sort(room, 1, (size_t)m);
  out->low = gsl_stats_quantile_from_sorted_data(room, 1, (size_t)m, 0.05);
  out->high = gsl_stats_quantile_from_sorted_data(room, 1, (size_t)m, 0.95);
}

enum df_status df_cure_expect(const struct df_cures *c, int i, int road, const char *measure,
                              const struct df_cure_options *options, struct df_cure_change *out)
{
  int draws_n = options->draws > 0 ? options->draws : DRAWS, at[DF_CHOICES_MAX];
  struct df_draws *draws = NULL;
  struct df_reading *side[2] = {c->reading, NULL};
  struct df_scenario *scenario = malloc((size_t)(2*draws_n + 2)*sizeof *scenario);
  struct df_case *cases = calloc((size_t)(2*draws_n + 2), sizeof *cases);
  double *value = calloc((size_t)(3*draws_n + 4), sizeof *value);
  struct df_wanted wanted = {road, df_measure_find(measure)};
  *out = (struct df_cure_change){NAN, NAN, NAN, NAN};
  for (int k = 0; k < c->choice_n; k++) at[k] = c->choice[k].at_now;
  at[c->cure[i].k] = c->cure[i].at;
  enum df_status status = scenario && cases && value ? DF_OK : DF_NO_MEMORY;
  if (status == DF_OK) status = df_choices_set(c->reading, c->choice, c->choice_n, at, &side[1], NULL);
  if (status == DF_OK) status = df_draws_create(&draws, c->reading, draws_n, options->seed);
  if (status == DF_OK) {
    int n = pairs_lay(draws, side, scenario, cases, value);
    status = df_cases_run(cases, n, &wanted, 1, &options->ride, options->threads, NULL);
    if (status == DF_OK) change_sum(value, n, value + 2*draws_n + 2, out);
  }
  df_draws_destroy(draws);
  df_reading_destroy(side[1]);
  free(scenario);
  free(cases);
  free(value);
  return status;
}
