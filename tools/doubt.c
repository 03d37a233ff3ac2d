// Every assumed value that can be measured is set to the ends of its usual range, one at a time,
// and five outcomes are looked at.
#include "doubt.h"

#include "say.h"

#include "base/param.h"
#include "dampfork/leg.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { OUTCOMES = 5 };
static const struct { const char *text, *unit;
} outcomes[OUTCOMES] = {{"the force at a sharp edge (3 m/s)", "N"},
                        {"the force in a brake dive (0.3 m/s)", "N"},
                        {"the force coming back up (0.3 m/s)", "N"},
                        {"the sag with rider", "mm"},
                        {"what friction can hide of the sag", "mm"}};

// NAN where it cannot be computed: such a setting is no guide.
static void outcomes_of(const struct df_scenario *scenario, double out[OUTCOMES])
{
  struct df_statics statics;
  struct df_steady edge, dive, back;
  for (int i = 0; i < OUTCOMES; i++) out[i] = NAN;
  struct df_faults faults = {0};
  struct df_leg_model *leg = df_leg_create(scenario, 0, &faults);
  if (!leg && faults.n && faults.at[0].status == DF_NO_MEMORY) say_no_memory();
  if (!leg) return;
  double x = 0.5*scenario->side[0].leg.travel;
  if (!df_leg_steady(leg, x, 3, &edge)) out[0] = edge.damping;
  if (!df_leg_steady(leg, x, 0.3, &dive)) out[1] = dive.damping;
  if (!df_leg_steady(leg, x, -0.3, &back)) out[2] = -back.damping;
  enum df_status rest = df_rest_of(scenario, &statics, NULL);
  if (rest == DF_NO_MEMORY) say_no_memory();
  if (!rest)
    out[3] = 1e3 * (statics.x_rider - statics.free_travel), out[4] = 500 * statics.sag_band;
  df_leg_destroy(leg);
}

// How far off a typical value may be: at most half to twice of it, at most what is likely, and at
// most four times what a careful person measures it to: a value that is easily measured well is
// also well guessed.
static int range_of(const struct df_value *value, double *low, double *high)
{
  const struct df_param *row = value->row;
  double at = value->in_unit;
  if (value->given || value->absent || row->form != DF_QUANTITY || !row->measure || !(at > 0))
    return 0;
  if (row->source && !strncmp(row->source, "chosen here", 11))
    return 0; // a convention, not a guess about a part
  int likely = row->likely_low != 0 || row->likely_high != 0;
  *low = fmax(0.5*at, likely ? row->likely_low : row->low);
  *high = fmin(2*at, likely ? row->likely_high : row->high);
  double off = row->tolerance_share > 0 ? row->tolerance_share*at : row->tolerance;
  if (off > 0) *low = fmax(*low, at - 4*off), *high = fmin(*high, at + 4*off);
  return *high > *low;
}

// The same outcomes with another value; 0 when the scenario does not bear it.
static int tried(const struct df_reading *reading, const struct df_value *value, double in_unit,
                 double out[OUTCOMES])
{
  struct df_reading *copy = df_reading_copy(reading);
  if (!copy) return say_no_memory(), 0;
  enum df_status set = df_reading_set_in(copy, value->path, in_unit, value->unit, NULL);
  int good = set == DF_OK;
  if (set == DF_NO_MEMORY) say_no_memory();
  if (good) outcomes_of(df_reading_scenario(copy), out);
  df_reading_destroy(copy);
  return good;
}

static int doubt_of(const struct df_reading *reading, const struct df_value *value,
                    const double now[OUTCOMES], struct doubt *doubt)
{
  double low[OUTCOMES], high[OUTCOMES];
  if (!range_of(value, &doubt->low, &doubt->high)) return 0;
  snprintf(doubt->path, sizeof doubt->path, "%s", value->path);
  doubt->row = value->row;
  doubt->usual = value->in_unit;
  doubt->size = 0;
  if (!tried(reading, value, doubt->low, low) || !tried(reading, value, doubt->high, high))
    return 0;
  static const double floor_of[OUTCOMES] = {
      50, 20, 50, 10, 10}; // N, N, N, mm, mm: smaller outcomes are not worth a doubt
  for (int i = 0; i < OUTCOMES; i++) {
    double size = fabs(high[i] - low[i])/fmax(fabs(now[i]), floor_of[i]);
    if (!(size > doubt->size)) continue;
    doubt->size = size, doubt->from = low[i], doubt->to = high[i], doubt->unit = outcomes[i].unit;
    snprintf(doubt->moves, sizeof doubt->moves, "%s", outcomes[i].text);
  }
  return doubt->size > 0.02;
}

static int by_size(const void *a, const void *b)
{
  double x = ((const struct doubt *)a)->size, y = ((const struct doubt *)b)->size;
  return (x < y) - (x > y);
}

int doubts_find(const struct df_reading *reading, struct doubt *list, int room)
{
  double now[OUTCOMES];
  int n = 0, count = df_reading_count(reading);
  struct doubt *all = calloc(count ? count : 1, sizeof *all);
  if (!all) return say_no_memory(), 0;
  outcomes_of(df_reading_scenario(reading), now);
  for (int i = 0; i < count; i++) {
    struct df_value value;
    df_reading_value(reading, i, &value);
    n += doubt_of(reading, &value, now, &all[n]);
  }
  qsort(all, n, sizeof *all, by_size);
  if (n > room) n = room;
  memcpy(list, all, n*sizeof *all);
  free(all);
  return n;
}
