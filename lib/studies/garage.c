// Values that are not exactly known, and how far off each may be.
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/param.h"
#include "dampfork/compare.h"
#include "dampfork/study.h"

static const struct df_doubt *doubt_of(const char *path)
{
  for (int i = 0; i < df_doubt_count; i++)
    if (!strcmp(df_doubts[i].path, path)) return &df_doubts[i];
  return NULL;
}

// In the row's unit; 0: not said.
static double tolerance_of(const struct df_value *value)
{
  const struct df_param *row = value->row;
  double off =
      row->tolerance_share > 0 ? row->tolerance_share * fabs(value->in_unit) : row->tolerance;
  return off > 0 ? off : 0;
}

// A typical value is at most half to twice off, and one that is easily measured well is also well
// guessed.
static void assumed_range(const struct df_value *value, double *low, double *high)
{
  const struct df_param *row = value->row;
  const struct df_doubt *doubt = doubt_of(value->path);
  double at = value->in_unit, off = tolerance_of(value);
  *low = *high = NAN;
  if (doubt) *low = doubt->low, *high = doubt->high;
  if (doubt || !row->measure || !(at > 0)) return;
  if (row->source && !strncmp(row->source, "chosen here", 11)) return; // a convention
  int likely = row->likely_low != 0 || row->likely_high != 0;
  *low = fmax(0.5 * at, likely ? row->likely_low : row->low);
  *high = fmin(2 * at, likely ? row->likely_high : row->high);
  if (off > 0) *low = fmax(*low, at - 4 * off), *high = fmin(*high, at + 4 * off);
}

static int is_ours(const char *path)
{
  static const char *const not_ours[] = {"roads.", "run.", "expect.", "targets."};
  for (size_t i = 0; i < sizeof not_ours / sizeof *not_ours; i++)
    if (!strncmp(path, not_ours[i], strlen(not_ours[i]))) return 0;
  return 1;
}

static int factor_of(const struct df_reading *reading, const struct df_value *value,
                     struct df_factor *out)
{
  const struct df_param *row = value->row;
  if (row->form != DF_QUANTITY || value->absent || !isfinite(value->in_unit) ||
      !is_ours(value->path))
    return 0;
  double low, high, off = tolerance_of(value), sure;
  if (df_reading_learned(reading, value->path, &sure) && value->si != 0)
    off = sure * value->in_unit / value->si;
  if (value->given) low = value->in_unit - off, high = value->in_unit + off;
  else assumed_range(value, &low, &high);
  if (!isfinite(low) || !isfinite(high)) return 0;
  if (isfinite(row->low)) low = fmax(low, row->low);
  if (isfinite(row->high)) high = fmin(high, row->high);
  if (!(high > low)) return 0;
  *out = (struct df_factor){.row = row,
                            .unit = row->unit,
                            .low = low,
                            .now = value->in_unit,
                            .high = high,
                            .given = value->given};
  snprintf(out->path, sizeof out->path, "%s", value->path);
  return 1;
}

// 1 when the scenario bears both ends: a value that others fix cannot be moved alone.
static int is_free(const struct df_reading *reading, const struct df_factor *factor)
{
  double end[2] = {factor->low, factor->high};
  for (int i = 0; i < 2; i++) {
    struct df_reading *copy = df_reading_copy(reading);
    int good = copy && !df_reading_set_in(copy, factor->path, end[i], factor->unit, NULL);
    df_reading_destroy(copy);
    if (!good) return 0;
  }
  return 1;
}

int df_factors_find(const struct df_reading *reading, struct df_factor *list, int room)
{
  int n = 0, valved = df_reading_scenario(reading)->side[0].has_valve;
  for (int i = 0; i < df_reading_count(reading) && n < room; i++) {
    struct df_value value;
    df_reading_value(reading, i, &value);
    if (!strncmp(value.path, "valve.", 6) && !valved) continue;
    n += factor_of(reading, &value, &list[n]) && is_free(reading, &list[n]);
  }
  return n;
}
