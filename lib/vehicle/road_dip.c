// Road kind: a haversine downwards.
#include "vehicle/ground.h"

struct dip_keys {
  double depth;                // m
  double length;               // m
};

static const struct df_param rows[] = {
  { .key = "depth", .form = DF_QUANTITY, .at = offsetof(struct dip_keys, depth),
    .has = DF_NO_OFFSET, .unit = "mm",
    .usual = NAN, .low = 0, .high = 500,
    .likely_low = 20, .likely_high = 300, .need = DF_REQUIRED,
    .meaning = "depth at the middle of the dip",
    .measure = "string from edge to edge, rule down",
    .tolerance = 5,
    .source = "common practice" },
  { .key = "length", .form = DF_QUANTITY, .at = offsetof(struct dip_keys, length),
    .has = DF_NO_OFFSET, .unit = "m",
    .usual = NAN, .low = 0.02, .high = 100,
    .likely_low = 0.5, .likely_high = 20, .need = DF_REQUIRED,
    .meaning = "length of the dip along the road",
    .measure = "tape measure along the road",
    .tolerance = 0.1,
    .mistake = "the ends fade out: take where a straightedge first shows light",
    .source = "common practice" },
};
static const struct df_section section = DF_SECTION_OF("dip", struct dip_keys, rows);
DF_KEYS_FIT(struct dip_keys);

static double height_at(const void *at, double s)
{
  const struct dip_keys *keys = at;
  return -keys->depth*(1 - cos(2*M_PI*s/keys->length))/2;
}

static enum df_status shape(const struct df_road *road, struct df_polyline *out,
                            struct df_faults *faults)
{
  struct dip_keys keys;
  df_road_keys(road, &keys);
  if (df_road_within(faults, road, "depth", keys.depth, 0, 0.5, 1e-3, "mm"))
    return DF_BAD_INPUT;
  if (df_road_within(faults, road, "length", keys.length, 0.02, 100, 1, "m"))
    return DF_BAD_INPUT;
  return df_curve(out, keys.length, height_at, &keys);
}

static double length_of(const struct df_road *road)
{
  struct dip_keys keys;
  df_road_keys(road, &keys);
  return keys.length;
}

const struct df_road_kind df_road_dip = {
  .name = "dip", .keys = &section, .length = length_of, .shape = shape, .faded = 0,
  .source = "the sinusoidal hump turned over"
};
