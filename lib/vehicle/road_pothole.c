// Road kind: down and up again by vertical faces.
#include "vehicle/ground.h"

struct pothole_keys {
  double depth;                // m
  double length;               // m
};

static const struct df_param rows[] = {
  { .key = "depth", .form = DF_QUANTITY, .at = offsetof(struct pothole_keys, depth),
    .has = DF_NO_OFFSET, .unit = "mm",
    .usual = NAN, .low = 0, .high = 200,
    .likely_low = 10, .likely_high = 120, .need = DF_REQUIRED,
    .meaning = "depth of the hole",
    .measure = "straightedge across the hole, rule down",
    .tolerance = 3,
    .source = "common practice" },
  { .key = "length", .form = DF_QUANTITY, .at = offsetof(struct pothole_keys, length),
    .has = DF_NO_OFFSET, .unit = "mm",
    .usual = NAN, .low = 1, .high = 100000,
    .likely_low = 100, .likely_high = 2000, .need = DF_REQUIRED,
    .meaning = "length of the hole along the road",
    .measure = "tape measure along the road",
    .tolerance = 10,
    .mistake = "a hole shorter than the wheel is never felt to its full depth",
    .source = "common practice" },
};
static const struct df_section section = DF_SECTION_OF("pothole", struct pothole_keys, rows);
DF_KEYS_FIT(struct pothole_keys);

static enum df_status shape(const struct df_road *road, struct df_polyline *out,
                            struct df_faults *faults)
{
  struct pothole_keys keys;
  df_road_keys(road, &keys);
  if (df_road_within(faults, road, "depth", keys.depth, 0, 0.2, 1e-3, "mm"))
    return DF_BAD_INPUT;
  if (df_road_within(faults, road, "length", keys.length, 1e-3, 100, 1e-3, "mm"))
    return DF_BAD_INPUT;
  return df_box(out, keys.length, -keys.depth);
}

static double length_of(const struct df_road *road)
{
  struct pothole_keys keys;
  df_road_keys(road, &keys);
  return keys.length;
}

const struct df_road_kind df_road_pothole = {
  .name = "pothole", .keys = &section, .length = length_of, .shape = shape, .faded = 0,
  .source = "a hole with vertical faces: the harshest of its depth"
};
