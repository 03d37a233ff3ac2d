// Everything the bench sheet prints, computed once.
#include "sheet_work.h"

#include "jobs.h"
#include "say.h"

#include "dampfork/measure.h"
#include "measures/targets.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static char *buffer(void)
{
  static char text[32][64];
  static int next;
  return text[next++ % 32];
}

const char *stepped_bare(enum kind kind, double si, double step)
{
  char *out = buffer();
  const char *unit = shown_unit(kind);
  double at = df_value_in(units_get(), si, unit), next = df_value_in(units_get(), si + step, unit);
  int decimals = (int)fmax(0, ceil(-log10(fabs(next - at)) - 1e-6));
  if (isfinite(at)) snprintf(out, 64, "%.*f", decimals < 6 ? decimals : 6, at);
  else strcpy(out, "____");
  return out;
}

const char *stepped(enum kind kind, double si, double step)
{
  char *out = buffer();
  snprintf(out, 64, "%s %s", stepped_bare(kind, si, step), shown_unit(kind));
  return out;
}

const char *sheet_mark(const struct sheet_work *work, const char *path)
{
  struct df_value value;
  int i = df_reading_find(work->loaded.reading, path);
  if (i < 0) return "";
  df_reading_value(work->loaded.reading, i, &value);
  return value.given ? "" : "~";
}

// ---- springs for the target of the use ----
static void target_of(struct sheet_work *work)
{
  static const char *const measures[] = {"sag_rider_share", "sag_loaded_share"};
  work->sag_low = work->sag_high = NAN;
  work->aboard = DF_SAG_RIDER;
  for (int i = 0; i < 2; i++) {
    int row = df_target_find("static", measures[i], (enum df_use)work->scenario->use);
    if (row < 0) continue;
    const struct df_limit *limit = &df_targets[row].use[work->scenario->use];
    work->sag_low = limit->low/100, work->sag_high = limit->high/100;
    work->aboard = i ? DF_SAG_FULL : DF_SAG_RIDER;
  }
  // targets of the scenario's own replace ours
  for (int i = 0; i < df_reading_target_count(work->loaded.reading); i++) {
    struct df_expectation own;
    df_reading_target(work->loaded.reading, i, &own);
    for (int k = 0; k < 2; k++)
      if (!strcmp(own.measure, measures[k]) && isfinite(own.low) && isfinite(own.high))
        work->sag_low = own.low, work->sag_high = own.high,
        work->aboard = k ? DF_SAG_FULL : DF_SAG_RIDER;
  }
  work->wanted = 0.5*(work->sag_low + work->sag_high)*work->scenario->side[0].leg.travel;
}

// The sag alone that comes closest to what the spring at hand gives and still is in its band.
static double alone_wanted(const struct sheet_work *work, double rate)
{
  const struct df_scenario *s = work->scenario;
  int row = df_target_find("static", "sag_alone_share", (enum df_use)s->use);
  double travel = s->side[0].leg.travel, low = 0.2*travel, high = 0.25*travel;
  if (row >= 0) {
    low = df_targets[row].use[s->use].low/100*travel;
    high = df_targets[row].use[s->use].high/100*travel;
  }
  struct df_spring_choice choice;
  double preload = df_preload_for_sag(s, rate, work->aboard, work->wanted);
  if (isnan(preload) || df_spring_choice_of(s, rate, preload, &choice, NULL))
    return 0.5 * (low + high);
  return fmin(fmax(choice.sag[DF_SAG_ALONE].mean, low), high);
}

// ---- one leg ----
static enum df_status rod_fill(const struct df_scenario *s, int i, struct sheet_side *side,
                               struct df_faults *faults)
{
  side->plan = df_rod_plan_of(s, i);
  enum df_status status = df_rod_load_of(s, i, DF_ROD_SPEED, &side->load, faults);
  if (!status) status = df_rod_strength_of(s, i, side->load.together, &side->strength);
  if (!status) status = df_opening_effect(s, i, -0.3, &side->rebound[0], &side->rebound[1], faults);
  if (!status) status = df_passing_cost(s, i, 0.3, &side->passing[0], &side->passing[1], faults);
  if (!status) status = df_limit_cost(s, i, 0.3, &side->limit[0], &side->limit[1], faults);
  if (status || !side->plan.worked || !s->side[i].has_valve) return status;
  for (int k = 0; k < DF_ROD_SHARES && !status; k++)
    status = df_rod_share_of(s, i, 2*(k + 1), 1, &side->share[k], faults);
  if (!status) status = df_rod_share_of(s, i, side->plan.worked, 1, &side->now, faults);
  if (!status) status = df_deburring_effect(s, i, 1, &side->burr[0], &side->burr[1], faults);
  return status;
}

static enum df_status side_fill(const struct df_scenario *s, int i, struct sheet_side *side,
                                struct df_faults *faults)
{
  double turns = s->side[i].valve.preload/s->side[i].valve.adjuster_pitch;
  enum df_status status = DF_OK;
  side->spacer = df_spacer_sum_of(s, i);
  for (int k = 0; k < 3 && !status; k++)
    status = df_valve_setting_of(s, i, fmax(turns + 0.5*(k - 1), 0), &side->valve[k], faults);
  if (!status) status = rod_fill(s, i, side, faults);
  if (!status) status = df_oil_fill_of(s, i, &side->fill, faults);
  if (!status) status = df_acceptance_of(s, i, &side->test, faults);
  return status;
}

// ---- rides: what half a turn does ----
static int road_named(const struct df_scenario *s, const char *name)
{
  for (int i = 0; i < s->road_n; i++)
    if (!strcmp(s->road[i].name, name)) return i;
  return -1;
}

static void half_turn_fill(struct sheet_work *work)
{
  static const char *const roads[] = {"roads.brake-dry={}", "roads.edge-25={}"};
  struct df_reading *copy = df_reading_copy(work->loaded.reading);
  for (int i = 0; i < 3; i++) work->half.overshoot[i] = work->half.shock[i] = NAN;
  if (!copy || !work->scenario->side[0].has_valve) {
    if (!copy) say_no_memory();
    if (copy) df_reading_destroy(copy);
    return;
  }
  if (df_reading_override(copy, roads, 2, NULL) == DF_NO_MEMORY) say_no_memory();
  const struct df_scenario *with = df_reading_scenario(copy);
  struct df_scenario *s = malloc(sizeof *s);
  if (!s) say_no_memory();
  if (s) {
    memcpy(s, work->scenario, sizeof *s);
    memcpy(s->road, with->road, sizeof s->road);
    s->road_n = with->road_n;
    if (df_half_turn_of(s, road_named(s, "brake-dry"), road_named(s, "edge-25"),
                    jobs_wanted(work->call), &work->half) == DF_NO_MEMORY)
      say_no_memory();
  }
  free(s);
  df_reading_destroy(copy);
}

static enum df_status solve(struct sheet_work *work, struct df_faults *faults)
{
  const struct df_scenario *s = work->scenario;
  enum df_status status = df_statics_of(s, &work->statics, faults);
  for (int i = 0; i < DF_SAG_LOADS && !status; i++)
    status = df_sag_of(s, (enum df_sag_load)i, &work->sag[i], faults);
  for (int i = 0; i < work->sides && !status; i++)
    status = side_fill(s, i, &work->side[i], faults);
  if (status) return status;
  if (work->sides == 1) work->side[1] = work->side[0];
  double rate = df_rounded(s->side[0].spring.rate, DF_RATE_STEP);
  df_spring_bracket_of(s, alone_wanted(work, rate), work->aboard, work->wanted, &work->bracket,
                       NULL);
  half_turn_fill(work);
  work->has_blend = df_blend_recipe_of(&s->have, work->side[0].fill.viscosity_40, &work->blend);
  return DF_OK;
}

int sheet_compute(struct sheet_work *work)
{
  struct df_faults *faults = calloc(1, sizeof *faults);
  work->scenario = malloc(sizeof *work->scenario);
  if (!faults || !work->scenario) {
    free(faults);
    say_error("out of memory");
    return EXIT_OUTPUT;
  }
  memcpy(work->scenario, work->loaded.scenario, sizeof *work->scenario);
  df_reading_given(work->loaded.reading, &work->given, &work->assumed);
  work->rounding_n = df_setup_rounded(work->scenario, work->rounding);
  work->refused_n = df_setup_refused(work->scenario, work->refused);
  work->sides = work->scenario->unlike ? DF_SIDES : 1;
  target_of(work);
  enum df_status status = solve(work, faults);
  work->solved = status == DF_OK;
  int result = status && !work->refused_n ? status_exit(work->loaded.path, status, faults) : 0;
  free(faults);
  return result;
}
