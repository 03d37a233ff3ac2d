// Road kind: the two halves of an arc with a flat top between, the flat-topped hump.
#include "vehicle/ground.h"

struct flat_hump_keys {
  double height;               // m
  double length;               // m, of the whole hump
  double flat;                 // m, of its level top
};

static const struct df_param rows[] = {
  { .key = "height", .form = DF_QUANTITY, .at = offsetof(struct flat_hump_keys, height),
    .has = DF_NO_OFFSET, .unit = "mm",
    .usual = 100, .low = 0, .high = 500,
    .likely_low = 20, .likely_high = 200, .need = DF_OPTIONAL,
    .meaning = "height of the hump at its middle",
    .measure = "straightedge and rule, or a level and rule at the crown",
    .tolerance = 3,
    .mistake = "built humps sink and wear by 10 mm and more",
    .source = "TRL: flat-topped humps" },
  { .key = "length", .form = DF_QUANTITY, .at = offsetof(struct flat_hump_keys, length),
    .has = DF_NO_OFFSET, .unit = "m",
    .usual = 6.7, .low = 0.02, .high = 100,
    .likely_low = 0.3, .likely_high = 10, .need = DF_OPTIONAL,
    .meaning = "length of the hump along the road",
    .measure = "tape measure along the road",
    .tolerance = 0.05,
    .mistake = "measure along the direction of travel",
    .source = "TRL: 3.66 m hump split by 3 m, 6.7 m in all" },
  { .key = "flat", .form = DF_QUANTITY, .at = offsetof(struct flat_hump_keys, flat),
    .has = DF_NO_OFFSET, .unit = "m",
    .usual = 3, .low = 0, .high = 90,
    .likely_low = 0.5, .likely_high = 10, .need = DF_OPTIONAL,
    .meaning = "length of the level top",
    .measure = "tape measure along the road",
    .tolerance = 0.05,
    .mistake = "measure the level part, not the whole hump",
    .source = "TRL: 3 m between the two halves" },
};
static const struct df_section section = DF_SECTION_OF("flat_hump", struct flat_hump_keys, rows);
DF_KEYS_FIT(struct flat_hump_keys);

static double up_at(const void *at, double s)
{
  const struct flat_hump_keys *keys = at;
  return df_arc(keys->length - keys->flat, keys->height, s);
}

static double down_at(const void *at, double s)
{
  const struct flat_hump_keys *keys = at;
  return df_arc(keys->length - keys->flat, keys->height, s - keys->flat);
}

static enum df_status shape(const struct df_road *road, struct df_polyline *out,
                            struct df_faults *faults)
{
  struct flat_hump_keys keys;
  df_road_keys(road, &keys);
  if (df_road_within(faults, road, "height", keys.height, 0, 0.5, 1e-3, "mm"))
    return DF_BAD_INPUT;
  if (df_road_within(faults, road, "length", keys.length, 0.02, 100, 1, "m"))
    return DF_BAD_INPUT;
  if (df_road_within(faults, road, "flat", keys.flat, 0, keys.length - 0.02, 1, "m"))
    return DF_BAD_INPUT;
  double half = (keys.length - keys.flat)/2; // m
  if (keys.height > half)
    return df_road_fault(faults, DF_BAD_INPUT, road, "height",
                         "%g mm is more than the length of a ramp; allowed: up to %g mm",
                         keys.height*1e3, half*1e3);
  int n = df_curve_points(half);
  int skip = keys.flat > 0 ? 0 : 1; // without a level top the halves share their point
  enum df_status status = df_polyline_init(out, 2*n - skip);
  if (status != DF_OK) return status;
  df_curve_fill(out, 0, n, 0, half, up_at, &keys);
  df_curve_fill(out, n - skip, n, half + keys.flat, keys.length, down_at, &keys);
  return DF_OK;
}

static double length_of(const struct df_road *road)
{
  struct flat_hump_keys keys;
  df_road_keys(road, &keys);
  return keys.length;
}

const struct df_road_kind df_road_flat_hump = {
  .name = "flat_hump", .keys = &section, .length = length_of, .shape = shape, .faded = 0,
  .source = "TRL: flat-topped humps, a 3.66 m round-topped hump split by 3 m"
};
