// What advise rides and what it is judged by: the roads of the use, the table of targets, the aims.
#include "studies/advise_parts.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "dampfork/road.h"
#include "scenario/params.h"

// Sizes of what can be felt are chosen here: 2 % as in comparisons; an O-ring shows 1 mm.
const struct df_aim_row df_aims[DF_AIMS] = {
    {"braked rest", "mm", 1e3, -1, 0, 1e-3, "a millimetre of fork travel can be read off an O-ring"},
    {"overshoot", "mm", 1e3, -1, 0.02, 0.5e-3, "half of what an O-ring shows, or 2 %"},
    {"edge in the dive", "m/s2", 1, -1, 0.02, 0.1, "2 %: less is hardly felt; a hundredth of gravity"},
    {"edges", "m/s2", 1, -1, 0.02, 0.1, "2 %: less is hardly felt; a hundredth of gravity"},
    {"tyre load variation", "%", 100, -1, 0.02, 0, "2 %: less is hardly felt"},
    {"reserve", "mm", 1e3, 1, 0, 1e-3, "a millimetre of fork travel can be read off an O-ring"},
};

double df_aim_felt(enum df_aim aim, double from)
{
  return fmax(df_aims[aim].felt, df_aims[aim].felt_share*fabs(from));
}

// ---- roads ----
int df_advise_road(const struct df_scenario *s, const char *name)
{
  for (int r = 0; r < s->road_n; r++)
    if (!strcmp(s->road[r].name, name)) return r;
  return -1;
}

int df_advise_of_use(const struct df_scenario *s, int road)
{
  const char *const *name = df_roads_of_use((enum df_use)s->use);
  // the good road beside the worn one decides nothing and costs as much as ten others
  if (road >= 0 && !strcmp(s->road[road].name, "road-b")) return 0;
  for (; road >= 0 && *name; name++)
    if (!strcmp(s->road[road].name, *name)) return 1;
  return 0;
}

int df_advise_is_edge(const struct df_road *road)
{
  return !strcmp(df_road_kinds[road->kind]->name, "edge") && !road->has_brake && !road->has_lean && !road->has_push;
}

static int is_random(const struct df_road *road)
{
  return !strcmp(df_road_kinds[road->kind]->name, "random");
}

enum df_status df_advise_roads(struct df_reading *reading, const char *const *more, struct df_faults *faults)
{
  const struct df_scenario *s = df_reading_scenario(reading);
  const char *const *of_use = df_roads_of_use((enum df_use)s->use);
  char text[DF_ROADS_MAX][64];
  const char *set[DF_ROADS_MAX];
  int n = 0, own = s->roads_of_use;
  for (int part = 0; part < 2; part++)
    for (const char *const *name = part ? more : of_use; name && *name && n < DF_ROADS_MAX; name++) {
      // a set of the use gives way to the first road that is named: name them all
      if (df_advise_road(s, *name) >= 0 && !own) continue;
      snprintf(text[n], sizeof text[n], "roads.%.40s={}", *name);
      set[n] = text[n], n++;
    }
  return n ? df_reading_override(reading, set, n, faults) : DF_OK;
}

// ---- what is wanted ----
int df_advise_wanted(const struct df_advise_plan *plan, int road, const char *measure)
{
  int row = df_measure_find(measure);
  for (int i = 0; i < plan->wanted_n; i++)
    if (plan->wanted[i].road == road && plan->wanted[i].measure == row) return i;
  return -1;
}

int df_advise_want(struct df_advise_plan *plan, int road, const char *measure)
{
  int at = df_advise_wanted(plan, road, measure);
  if (at >= 0 || plan->wanted_n == DF_WANTED_MAX) return at;
  plan->wanted[plan->wanted_n] = (struct df_wanted){road, df_measure_find(measure)};
  return plan->wanted_n++;
}

// The stop that is judged: dry where the use has it.
static int stop_road(const struct df_scenario *s)
{
  int dry = df_advise_road(s, "brake-dry");
  return df_advise_of_use(s, dry) ? dry : df_advise_road(s, "brake-wet");
}

static void want_aims(struct df_advise_plan *plan)
{
  const struct df_scenario *s = df_reading_scenario(plan->reading);
  df_advise_want(plan, stop_road(s), "braked_rest");
  df_advise_want(plan, stop_road(s), "dive_overshoot");
  df_advise_want(plan, df_advise_road(s, "edge-in-dive"), "shock_transmitted");
  for (int r = 0; r < s->road_n; r++) {
    if (!df_advise_of_use(s, r)) continue;
    df_advise_want(plan, r, "travel_reserve");
    if (df_advise_is_edge(&s->road[r])) df_advise_want(plan, r, "shock_transmitted");
    if (is_random(&s->road[r])) df_advise_want(plan, r, "tyre_load_variation");
  }
}

// The scenario's own targets take the place of the table's.
static void judge_on(struct df_advise_plan *plan, int road, const struct df_target *row)
{
  const struct df_scenario *s = df_reading_scenario(plan->reading);
  const char *name = road < 0 ? "static" : s->road[road].name;
  struct df_judged judged = {.row = row};
  if (plan->judged_n == DF_JUDGED_MAX) return;
  if (df_measures[df_measure_find(row->measure)].needs & DF_NEEDS_TWO_RIDES) return; // of oil, not of these settings
  if (df_reading_target_of(plan->reading, name, row->measure, &judged.own)) judged.row = NULL;
  else if (df_target_find(name, row->measure, plan->use) < 0) return;
  judged.wanted = df_advise_want(plan, road, row->measure);
  for (int i = 0; i < plan->judged_n; i++)
    if (plan->judged[i].wanted == judged.wanted) return;
  if (judged.wanted >= 0) plan->judged[plan->judged_n++] = judged;
}

static void want_targets(struct df_advise_plan *plan)
{
  const struct df_scenario *s = df_reading_scenario(plan->reading);
  for (int i = 0; i < df_target_count; i++) {
    const struct df_target *row = &df_targets[i];
    int random = !strcmp(row->measure, "tyre_load_variation"), all = !strcmp(row->road, "*");
    if (!strcmp(row->road, "static")) judge_on(plan, -1, row);
    for (int r = 0; r < s->road_n; r++) {
      if (!df_advise_of_use(s, r) || (!all && strcmp(row->road, s->road[r].name))) continue;
      // load variation is a matter of roads without end; of an edge it says nothing
      if (!random || is_random(&s->road[r])) judge_on(plan, r, row);
    }
  }
}

void df_advise_plan_init(struct df_advise_plan *plan, struct df_reading *reading)
{
  *plan = (struct df_advise_plan){.reading = reading, .use = (enum df_use)df_reading_scenario(reading)->use};
  want_aims(plan);
  want_targets(plan);
  for (int i = 0; i < DF_WANTED_MAX; i++) plan->plain[i] = NAN;
}

// ---- judging ----
static double at(const struct df_advise_plan *plan, const double *value, int road, const char *measure)
{
  int i = df_advise_wanted(plan, road, measure);
  return i < 0 ? NAN : value[i];
}

void df_advise_aims(const struct df_advise_plan *plan, const double *value, double *aim)
{
  const struct df_scenario *s = df_reading_scenario(plan->reading);
  double edges = 0, tyre = 0, reserve = INFINITY;
  int edge_n = 0, random_n = 0;
  for (int r = 0; r < s->road_n; r++) {
    if (!df_advise_of_use(s, r)) continue;
    reserve = fmin(reserve, at(plan, value, r, "travel_reserve"));
    if (df_advise_is_edge(&s->road[r])) edges += at(plan, value, r, "shock_transmitted"), edge_n++;
    if (is_random(&s->road[r])) tyre += at(plan, value, r, "tyre_load_variation"), random_n++;
  }
  aim[DF_AIM_REST] = at(plan, value, stop_road(s), "braked_rest");
  aim[DF_AIM_OVERSHOOT] = at(plan, value, stop_road(s), "dive_overshoot");
  aim[DF_AIM_DIVE_EDGE] = at(plan, value, df_advise_road(s, "edge-in-dive"), "shock_transmitted");
  aim[DF_AIM_EDGES] = edge_n ? edges/edge_n : NAN;
  aim[DF_AIM_TYRE] = random_n ? tyre/random_n : NAN;
  aim[DF_AIM_RESERVE] = isfinite(reserve) ? reserve : NAN;
}

static double own_miss(const struct df_expectation *own, double value)
{
  double give = own->tolerance_share ? own->tolerance*fabs(own->low) : own->tolerance;
  double low = isfinite(own->low) ? own->low - (isfinite(give) ? give : 0) : -INFINITY;
  double high = isfinite(own->high) ? own->high + (isfinite(give) ? give : 0) : INFINITY;
  if (value < low) return (low - value)/(low != 0 ? fabs(low) : own->scale);
  if (value > high) return (value - high)/(high != 0 ? fabs(high) : own->scale);
  return 0;
}

double df_advise_miss(const struct df_advise_plan *plan, const struct df_judged *judged, double value)
{
  if (!isfinite(value)) return NAN;
  if (!judged->row) return own_miss(&judged->own, value);
  return df_target_miss(judged->row, plan->use, value, plan->plain[judged->wanted]);
}

double df_advise_misses(const struct df_advise_plan *plan, const double *value, int *met)
{
  double sum = 0;
  *met = 0;
  for (int i = 0; i < plan->judged_n; i++) {
    double miss = df_advise_miss(plan, &plan->judged[i], value[plan->judged[i].wanted]);
    if (!isfinite(miss)) continue;
    *met += miss <= 1e-9;
    sum += fmin(miss, 1); // one hopeless target must not outweigh all others
  }
  return sum;
}

enum df_status df_advise_plain(struct df_advise_plan *plan, const struct df_ride_options *options, int threads)
{
  const struct df_scenario *s = df_reading_scenario(plan->reading);
  struct df_statics statics;
  struct df_reading *twin = NULL;
  struct df_case one = {.scenario = s, .values = plan->plain};
  enum df_status status = DF_OK;
  if (s->side[0].has_valve) {
    status = df_rest_of(s, &statics, NULL);
    if (status == DF_OK) status = df_reading_twin(&twin, plan->reading, statics.solids, NULL);
    if (status == DF_OK) one.scenario = df_reading_scenario(twin);
  }
  // a fork without an as-found rod has no plain twin: those targets are left out
  if (status == DF_OK) status = df_cases_run(&one, 1, plan->wanted, plan->wanted_n, options, threads, NULL);
  else status = status == DF_NO_MEMORY ? status : DF_OK;
  df_reading_destroy(twin);
  return status;
}
