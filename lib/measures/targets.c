// The targets of each use. A new one is one row; figures are in the measure's unit.
#include "measures/targets.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define P DF_TAG_PUBLISHED
#define T DF_TAG_PRACTICE
#define M DF_TAG_MEMORY
#define O DF_TAG_OURS
#define NONE            {NAN, NAN, O}
#define SPAN(a, b, tag) {a, b, tag}
#define MOST(b, tag)    {NAN, b, tag}
#define LEAST(a, tag)   {a, NAN, tag}
#define WITHIN          DF_TARGET_WITHIN
#define OF_PLAIN        DF_TARGET_OF_PLAIN

static const char trade_book[] = "trade book: 30-35 % with rider, 25-30 of 120-130 mm alone; brisk road: common practice";
static const char ours[] = "chosen here: no published limit was found";

// commuting, touring, brisk_road, gravel
const struct df_target df_targets[] = {
  {"static", "sag_rider_share", WITHIN, {SPAN(30, 35, P), NONE, SPAN(27, 33, T), SPAN(30, 35, P)}, trade_book},
  {"static", "sag_loaded_share", WITHIN, {NONE, SPAN(30, 35, P), NONE, NONE}, trade_book},
  {"static", "sag_alone_share", WITHIN, {SPAN(20, 25, P), SPAN(20, 25, P), SPAN(15, 25, T), SPAN(20, 25, P)}, trade_book},
  {"static", "sag_band", WITHIN, {MOST(10, P), MOST(10, P), MOST(10, P), MOST(10, P)},
   "trade book: settled from above and from below less than 10 mm apart"},
  {"brake-wet", "braked_rest_share", WITHIN, {MOST(60, T), MOST(60, T), MOST(55, T), MOST(60, T)},
   "common practice, the figures chosen here; wet roads carry 3.5 m/s2 (published braking tests)"},
  {"brake-dry", "braked_rest_share", WITHIN, {MOST(80, O), MOST(80, O), MOST(75, O), NONE},
   "chosen here; dry roads carry 7 m/s2 (published braking tests)"},
  {"brake-wet", "dive_overshoot_share", WITHIN, {MOST(15, O), MOST(15, O), MOST(10, O), MOST(20, O)}, ours},
  {"brake-dry", "dive_overshoot_share", WITHIN, {MOST(15, O), MOST(15, O), MOST(10, O), MOST(20, O)}, ours},
  {"static", "damping_ratio_compression_300", WITHIN,
   {SPAN(0.10, 0.25, M), SPAN(0.10, 0.25, M), SPAN(0.20, 0.35, M), SPAN(0.10, 0.20, M)}, "from memory"},
  {"static", "damping_ratio_rebound_300", WITHIN,
   {SPAN(0.5, 0.7, M), SPAN(0.5, 0.7, M), SPAN(0.6, 0.8, M), SPAN(0.4, 0.6, M)}, "from memory"},
  {"push", "push_past_start", WITHIN, {MOST(15, P), MOST(10, P), MOST(5, P), MOST(15, P)},
   "trade book: a few mm, 15 for comfort"},
  {"hump", "sprung_acceleration_peak", WITHIN, {MOST(4.9, P), MOST(4.9, P), NONE, NONE},
   "Belgian Road Research Centre: a sinusoidal hump of 4.8 m and 120 mm gives about 0.5 g at 30 km/h"},
  {"edge-25", "shock_transmitted", OF_PLAIN, {MOST(1, O), MOST(1, O), NONE, MOST(1, O)}, ours},
  {"edge-40", "shock_transmitted", OF_PLAIN, {MOST(1, O), MOST(1, O), MOST(0.9, O), MOST(1, O)}, ours},
  {"*", "travel_reserve", WITHIN, {LEAST(10, T), LEAST(10, T), LEAST(5, T), LEAST(15, T)},
   "common practice; the end stop works over the last 15-20 mm (trade book)"},
  {"edge-in-dive", "bottoming_speed", WITHIN, {MOST(0, O), MOST(0, O), MOST(0, O), MOST(0, O)}, ours},
  {"*", "airborne_time", OF_PLAIN, {MOST(1, O), MOST(1, O), MOST(0.95, O), MOST(0.95, O)}, ours},
  {"*", "tyre_load_variation", OF_PLAIN, {MOST(1, O), MOST(1, O), MOST(0.95, O), MOST(0.95, O)}, ours},
  {"washboard", "packing", WITHIN, {NONE, NONE, NONE, MOST(10, O)}, ours},
  {"washboard", "void_share", WITHIN, {NONE, NONE, NONE, MOST(5, O)}, ours},
  {"edge-25", "cold_ratio", WITHIN, {MOST(1.3, O), MOST(1.3, O), MOST(1.25, O), MOST(1.3, O)}, ours},
};
const int df_target_count = sizeof df_targets/sizeof *df_targets;

static int has_limit(const struct df_limit *limit)
{
  return !isnan(limit->low) || !isnan(limit->high);
}

int df_target_find(const char *road, const char *measure, enum df_use use)
{
  for (int i = 0; road && measure && i < df_target_count; i++) {
    const struct df_target *row = &df_targets[i];
    int here = strcmp(row->road, road) == 0;
    if (strcmp(row->road, "*") == 0) here = strcmp(road, "static") != 0;
    if (here && strcmp(row->measure, measure) == 0 && has_limit(&row->use[use])) return i;
  }
  return -1;
}

// Limits in SI; a row against the plain twin becomes one with an upper limit. 0: there are none.
static int limits_of(const struct df_target *target, enum df_use use, double plain, double *low,
                     double *high)
{
  const struct df_limit *limit = &target->use[use];
  if (!has_limit(limit)) return 0;
  double per_si = df_measures[df_measure_find(target->measure)].per_si;
  *low = limit->low/per_si;
  *high = limit->high/per_si;
  if (target->relation == DF_TARGET_OF_PLAIN) *high = limit->high*plain;
  return target->relation == DF_TARGET_WITHIN || !isnan(plain);
}

enum df_judgement df_target_judge(const struct df_target *target, enum df_use use, double value,
                                  double plain, double error)
{
  double low, high;
  if (isnan(value) || !limits_of(target, use, plain, &low, &high)) return DF_NO_TARGET;
  double slack = error + 1e-9*fabs(value);  // a limit met exactly stays met after conversion of units
  if (value < low - slack) return DF_TOO_LOW;
  if (value > high + slack) return DF_TOO_HIGH;
  return DF_MET;
}

double df_target_miss(const struct df_target *target, enum df_use use, double value, double plain)
{
  double low, high;
  if (isnan(value) || !limits_of(target, use, plain, &low, &high)) return NAN;
  double one = 1/df_measures[df_measure_find(target->measure)].per_si;
  if (value < low) return (low - value)/(low != 0 ? fabs(low) : one);
  if (value > high) return (value - high)/(high != 0 ? fabs(high) : one);
  return 0;
}

const char *df_target_text(const struct df_target *target, enum df_use use, char *out, size_t size)
{
  const struct df_limit *limit = &target->use[use];
  int row = df_measure_find(target->measure);
  char unit[24];
  df_unit_text(df_measures[row].unit, unit, sizeof unit);
  const char *blank = unit[0] ? " " : "";
  if (!has_limit(limit)) snprintf(out, size, "%s", "");
  else if (target->relation == DF_TARGET_OF_PLAIN && limit->high >= 1)
    snprintf(out, size, "not above plain");
  else if (target->relation == DF_TARGET_OF_PLAIN)
    snprintf(out, size, "%.3g %% below plain", 100*(1 - limit->high));
  else if (isnan(limit->low)) snprintf(out, size, "at most %.4g%s%s", limit->high, blank, unit);
  else if (isnan(limit->high)) snprintf(out, size, "at least %.4g%s%s", limit->low, blank, unit);
  else snprintf(out, size, "%.4g-%.4g%s%s", limit->low, limit->high, blank, unit);
  return out;
}

const char *df_target_tag_text(enum df_target_tag tag)
{
  switch (tag) {
  case DF_TAG_PUBLISHED: return "published";
  case DF_TAG_PRACTICE:  return "common practice";
  case DF_TAG_MEMORY:    return "from memory";
  case DF_TAG_OURS:      return "our choice";
  }
  return "";
}

const char *df_unit_text(const char *unit, char *out, size_t size)
{
  const char *per = strstr(unit, "_per_");
  if (strcmp(unit, "percent") == 0) snprintf(out, size, "%%");
  else if (strcmp(unit, "1") == 0) snprintf(out, size, "%s", "");
  else if (per) snprintf(out, size, "%.*s/%s", (int)(per - unit), unit, per + 5);
  else snprintf(out, size, "%s", unit);
  return out;
}
