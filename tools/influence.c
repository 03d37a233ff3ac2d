// A value is set as far off either way as it can be measured, and ten outcomes are looked at.
#include "influence.h"

#include "base/param.h"
#include "dampfork/leg.h"
#include "dampfork/sheet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// Outcomes below `floor` count as that much: a small number may not look moved by much.
static const struct { const char *text, *unit; double floor;
} outcomes[INFLUENCES_MAX] = {
    {"sag with rider", "mm", 10},
    {"sag alone", "mm", 10},
    {"what friction can hide of the sag", "mm", 5},
    {"force at the cap", "N", 50},
    {"force at full travel", "N", 200},
    {"damping in a brake dive (0.3 m/s)", "N", 10},
    {"damping at a sharp edge (3 m/s)", "N", 50},
    {"damping coming back up (0.3 m/s)", "N", 50},
    {"fork speed at which the valve opens", "m/s", 0.05},
    {"timed pull of the bare leg", "s", 0.2},
};

static void outcomes_of(const struct df_scenario *s, double out[INFLUENCES_MAX])
{
  struct df_statics statics;
  struct df_steady steady;
  struct df_valve_setting valve;
  struct df_leg_model *leg = df_leg_create(s, 0, NULL);
  for (int i = 0; i < INFLUENCES_MAX; i++) out[i] = NAN;
  if (!leg) return;
  double x = 0.5*s->side[0].leg.travel;
  if (!df_statics_of(s, &statics, NULL)) {
    out[0] = 1e3*(statics.x_rider - statics.free_travel);
    out[1] = 1e3*(statics.x_alone - statics.free_travel);
    out[2] = 500*statics.sag_band;
    out[3] = statics.cap_force, out[4] = statics.end_force;
  }
  if (!df_leg_steady(leg, x, 0.3, &steady)) out[5] = steady.damping;
  if (!df_leg_steady(leg, x, 3, &steady)) out[6] = steady.damping;
  if (!df_leg_steady(leg, x, -0.3, &steady)) out[7] = -steady.damping;
  df_leg_destroy(leg);
  if (s->side[0].leg.has_linear) return;
  double turns = s->side[0].valve.preload/s->side[0].valve.adjuster_pitch;
  if (s->side[0].has_valve && !df_valve_setting_of(s, 0, turns, &valve, NULL))
    out[8] = valve.cracking_speed;
  out[9] = df_timed_leg(s, 0, s->side[0].oil.level_temperature, DF_PULL, 10e-3, 100e-3,
                        s->seals.sliding + 25); // N over what creeps
}

int key_is(const char *path, const char *key)
{
  for (;;) {
    if (*path == '[') path += strcspn(path, "]") + 1;
    else if (*key == '[') key += strcspn(key, "]") + (strchr(key, ']') != NULL);
    else if (*path != *key) return 0;
    else if (!*path) return 1;
    else path++, key++;
  }
}

static int tried(const struct df_reading *reading, const struct df_value *value, double in_unit,
                 double out[INFLUENCES_MAX])
{
  struct df_reading *copy = df_reading_copy(reading);
  int good = copy && !df_reading_set_in(copy, value->path, in_unit, value->unit, NULL);
  if (good) outcomes_of(df_reading_scenario(copy), out);
  if (copy) df_reading_destroy(copy);
  return good;
}

static int by_size(const void *a, const void *b)
{
  double x = ((const struct influence_move *)a)->size;
  double y = ((const struct influence_move *)b)->size;
  return (x < y) - (x > y);
}

static int find_one(const struct df_reading *reading, const char *key, struct df_value *value)
{
  int exact = df_reading_find(reading, key), n = df_reading_count(reading);
  for (int i = exact >= 0 ? exact : 0; i < n; i++) {
    df_reading_value(reading, i, value);
    if (value->row->form == DF_QUANTITY && !value->absent && isfinite(value->in_unit) &&
        (exact >= 0 || key_is(value->path, key)))
      return 1;
    if (exact >= 0) return 0;
  }
  return 0;
}

// Holes of a rod without "opened" or "as_found" are those that are in the leg.
static int find(const struct df_reading *reading, const char *key, struct df_value *value)
{
  char other[160];
  if (find_one(reading, key, value)) return 1;
  if (strncmp(key, "rod.", 4)) return 0;
  int opened = df_reading_scenario(reading)->side[0].rod.state == DF_ROD_OPENED;
  snprintf(other, sizeof other, "rod.%s.%s", opened ? "opened" : "as_found", key + 4);
  return find_one(reading, other, value);
}

int influence_of(const struct df_reading *reading, const char *key, struct influence *out)
{
  struct df_value value;
  double now[INFLUENCES_MAX], low[INFLUENCES_MAX], high[INFLUENCES_MAX];
  if (!find(reading, key, &value)) return 0;
  const struct df_param *row = value.row;
  double off = row->tolerance_share > 0 ? row->tolerance_share*fabs(value.in_unit) : row->tolerance;
  *out = (struct influence){.now = value.in_unit, .unit = row->unit, .given = value.given};
  out->usual_step = !(off > 0);
  if (out->usual_step) off = 0.1*fabs(value.in_unit);
  snprintf(out->path, sizeof out->path, "%s", value.path);
  out->low = fmax(value.in_unit - off, row->low), out->high = fmin(value.in_unit + off, row->high);
  outcomes_of(df_reading_scenario(reading), now);
  if (!tried(reading, &value, out->low, low) || !tried(reading, &value, out->high, high)) return 0;
  for (int i = 0; i < INFLUENCES_MAX; i++) {
    double size = fabs(high[i] - low[i])/fmax(fabs(now[i]), outcomes[i].floor);
    if (!(size > 5e-3)) continue;
    out->moves[out->n++] =
        (struct influence_move){outcomes[i].text, outcomes[i].unit, low[i], high[i], size};
  }
  qsort(out->moves, (size_t)out->n, sizeof *out->moves, by_size);
  return 1;
}
