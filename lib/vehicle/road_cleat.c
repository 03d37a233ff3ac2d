// Road kind: up and down again by vertical faces, like a bar laid across the road.
#include "vehicle/ground.h"

struct cleat_keys {
  double height;               // m
  double length;               // m
};

static const struct df_param rows[] = {
  { .key = "height", .form = DF_QUANTITY, .at = offsetof(struct cleat_keys, height),
    .has = DF_NO_OFFSET, .unit = "mm",
    .usual = NAN, .low = 0, .high = 200,
    .likely_low = 5, .likely_high = 60, .need = DF_REQUIRED,
    .meaning = "height of the bar",
    .measure = "rule",
    .tolerance = 0.5,
    .source = "common practice: bars of tyre tests are 10 to 30 mm high" },
  { .key = "length", .form = DF_QUANTITY, .at = offsetof(struct cleat_keys, length),
    .has = DF_NO_OFFSET, .unit = "mm",
    .usual = 50, .low = 1, .high = 100000,
    .likely_low = 10, .likely_high = 500, .need = DF_OPTIONAL,
    .meaning = "length of the bar along the road",
    .measure = "rule",
    .tolerance = 1,
    .source = "chosen here" },
};
static const struct df_section section = DF_SECTION_OF("cleat", struct cleat_keys, rows);
DF_KEYS_FIT(struct cleat_keys);

static enum df_status shape(const struct df_road *road, struct df_polyline *out,
                            struct df_faults *faults)
{
  struct cleat_keys keys;
  df_road_keys(road, &keys);
  if (df_road_within(faults, road, "height", keys.height, 0, 0.2, 1e-3, "mm"))
    return DF_BAD_INPUT;
  if (df_road_within(faults, road, "length", keys.length, 1e-3, 100, 1e-3, "mm"))
    return DF_BAD_INPUT;
  return df_box(out, keys.length, keys.height);
}

static double length_of(const struct df_road *road)
{
  struct cleat_keys keys;
  df_road_keys(road, &keys);
  return keys.length;
}

const struct df_road_kind df_road_cleat = {
  .name = "cleat", .keys = &section, .length = length_of, .shape = shape, .faded = 0,
  .source = "a bar across the road, as drums for tyre tests carry"
};
