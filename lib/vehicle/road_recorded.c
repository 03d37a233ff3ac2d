// Road kind: a measured profile from a file.
#include <gsl/gsl_fit.h>
#include <stdio.h>

#include "vehicle/ground.h"
#include "vehicle/record.h"

struct recorded_keys {
  double scale;               // 1
  double detrend;             // word: off 0, on 1
};

static const char *const switch_words[] = { "off", "on", NULL };

static const struct df_param rows[] = {
  { .key = "file", .form = DF_FILE, .has = DF_NO_OFFSET, .need = DF_REQUIRED, .usual = NAN,
    .meaning = "profile of the road: comma-separated columns distance_m and height_mm",
    .measure = "rod and level, or a profiler, along the wheel's path",
    .mistake = "heights in m under a column that says mm",
    .source = "chosen here" },
  { .key = "scale", .form = DF_QUANTITY, .at = offsetof(struct recorded_keys, scale),
    .has = DF_NO_OFFSET, .unit = "1",
    .usual = 1, .low = -100, .high = 100,
    .likely_low = 0.1, .likely_high = 10, .need = DF_OPTIONAL,
    .meaning = "factor on the recorded heights",
    .source = "chosen here" },
  { .key = "detrend", .form = DF_WORD_NUMBER, .at = offsetof(struct recorded_keys, detrend),
    .has = DF_NO_OFFSET, .unit = "1", .usual = NAN, .need = DF_OPTIONAL,
    .words = switch_words, .usual_word = "off",
    .meaning = "on: the best straight line is taken off the heights; off: the first height is",
    .mistake = "a long climb left in is a real climb",
    .source = "chosen here" },
};
static const struct df_section section = DF_SECTION_OF("recorded", struct recorded_keys, rows);
DF_KEYS_FIT(struct recorded_keys);

static int take_off_line(struct df_polyline *line)
{
  double level, slope, v00, v01, v11, squares; // m, 1, and their spread, not used
  if (gsl_fit_linear(line->s, 1, line->z, 1, (size_t)line->n, &level, &slope, &v00, &v01, &v11,
                     &squares)) return 0;
  if (!isfinite(level) || !isfinite(slope)) return 0;
  for (int i = 0; i < line->n; i++) line->z[i] -= level + slope*line->s[i];
  return 1;
}

static enum df_status shape(const struct df_road *road, struct df_polyline *out,
                            struct df_faults *faults)
{
  struct recorded_keys keys;
  char key[96];
  df_road_keys(road, &keys);
  if (df_road_within(faults, road, "scale", keys.scale, -100, 100, 1, "(number)"))
    return DF_BAD_INPUT;
  snprintf(key, sizeof key, "roads.%s.file", road->name);
  enum df_status status = df_record_read(road->file, key, out, faults);
  if (status != DF_OK) return status;
  double start = out->s[0], level = out->z[0]; // m
  for (int i = 0; i < out->n; i++) {
    out->s[i] -= start;
    out->z[i] = (out->z[i] - level)*keys.scale;
  }
  if (out->s[out->n - 1] > 0 && (!(keys.detrend > 0.5) || take_off_line(out))) return DF_OK;
  df_polyline_finish(out);
  return df_road_fault(faults, DF_BAD_INPUT, road, "file",
                       "all rows lie at one place; allowed: distances that rise");
}

static double length_of(const struct df_road *road)
{
  struct df_polyline line;
  if (shape(road, &line, NULL) != DF_OK) return NAN;
  double length = line.s[line.n - 1];
  df_polyline_finish(&line);
  return length;
}

const struct df_road_kind df_road_recorded = {
  .name = "recorded", .keys = &section, .length = length_of, .shape = shape, .faded = 1,
  .source = "a file of the user's: distance_m, height_mm"
};
