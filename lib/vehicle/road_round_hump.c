// Road kind: an arc of a circle, the round-topped hump.
#include "vehicle/ground.h"

struct round_hump_keys {
  double height;               // m
  double length;               // m
};

static const struct df_param rows[] = {
  { .key = "height", .form = DF_QUANTITY, .at = offsetof(struct round_hump_keys, height),
    .has = DF_NO_OFFSET, .unit = "mm",
    .usual = 100, .low = 0, .high = 500,
    .likely_low = 20, .likely_high = 200, .need = DF_OPTIONAL,
    .meaning = "height of the hump at its middle",
    .measure = "straightedge and rule, or a level and rule at the crown",
    .tolerance = 3,
    .mistake = "built humps sink and wear by 10 mm and more",
    .source = "TRL: round-topped humps, 75 to 100 mm" },
  { .key = "length", .form = DF_QUANTITY, .at = offsetof(struct round_hump_keys, length),
    .has = DF_NO_OFFSET, .unit = "m",
    .usual = 3.7, .low = 0.02, .high = 100,
    .likely_low = 0.3, .likely_high = 10, .need = DF_OPTIONAL,
    .meaning = "length of the hump along the road",
    .measure = "tape measure along the road",
    .tolerance = 0.05,
    .mistake = "measure along the direction of travel",
    .source = "TRL: round-topped humps, 3.66 to 3.7 m" },
};
static const struct df_section section = DF_SECTION_OF("round_hump", struct round_hump_keys, rows);
DF_KEYS_FIT(struct round_hump_keys);

static double height_at(const void *at, double s)
{
  const struct round_hump_keys *keys = at;
  return df_arc(keys->length, keys->height, s);
}

static enum df_status shape(const struct df_road *road, struct df_polyline *out,
                            struct df_faults *faults)
{
  struct round_hump_keys keys;
  df_road_keys(road, &keys);
  if (df_road_within(faults, road, "height", keys.height, 0, 0.5, 1e-3, "mm"))
    return DF_BAD_INPUT;
  if (df_road_within(faults, road, "length", keys.length, 0.02, 100, 1, "m"))
    return DF_BAD_INPUT;
  if (keys.height > keys.length/2)
    return df_road_fault(faults, DF_BAD_INPUT, road, "height",
                         "%g mm is more than half the length; allowed: up to %g mm",
                         keys.height*1e3, keys.length*500);
  return df_curve(out, keys.length, height_at, &keys);
}

static double length_of(const struct df_road *road)
{
  struct round_hump_keys keys;
  df_road_keys(road, &keys);
  return keys.length;
}

const struct df_road_kind df_road_round_hump = {
  .name = "round_hump", .keys = &section, .length = length_of, .shape = shape, .faded = 0,
  .source = "TRL: round-topped humps 3.66 to 3.7 m long, 75 to 100 mm high"
};
