// Road kind: one full cosine wave, without corners: the sinusoidal hump.
#include "vehicle/ground.h"

struct haversine_keys {
  double height;               // m
  double length;               // m
};

static const struct df_param rows[] = {
  { .key = "height", .form = DF_QUANTITY, .at = offsetof(struct haversine_keys, height),
    .has = DF_NO_OFFSET, .unit = "mm",
    .usual = NAN, .low = 0, .high = 500,
    .likely_low = 20, .likely_high = 200, .need = DF_REQUIRED,
    .meaning = "height of the hump at its middle",
    .measure = "straightedge and rule, or a level and rule at the crown",
    .tolerance = 3,
    .mistake = "built humps sink and wear by 10 mm and more",
    .source = "Belgian Road Research Centre: 120 mm" },
  { .key = "length", .form = DF_QUANTITY, .at = offsetof(struct haversine_keys, length),
    .has = DF_NO_OFFSET, .unit = "m",
    .usual = NAN, .low = 0.02, .high = 100,
    .likely_low = 0.3, .likely_high = 10, .need = DF_REQUIRED,
    .meaning = "length of the hump along the road",
    .measure = "tape measure along the road",
    .tolerance = 0.05,
    .mistake = "measure along the direction of travel",
    .source = "Belgian Road Research Centre: 4.8 m" },
};
static const struct df_section section = DF_SECTION_OF("haversine", struct haversine_keys, rows);
DF_KEYS_FIT(struct haversine_keys);

static double height_at(const void *at, double s)
{
  const struct haversine_keys *keys = at;
  return keys->height*(1 - cos(2*M_PI*s/keys->length))/2;
}

static enum df_status shape(const struct df_road *road, struct df_polyline *out,
                            struct df_faults *faults)
{
  struct haversine_keys keys;
  df_road_keys(road, &keys);
  if (df_road_within(faults, road, "height", keys.height, 0, 0.5, 1e-3, "mm"))
    return DF_BAD_INPUT;
  if (df_road_within(faults, road, "length", keys.length, 0.02, 100, 1, "m"))
    return DF_BAD_INPUT;
  return df_curve(out, keys.length, height_at, &keys);
}

static double length_of(const struct df_road *road)
{
  struct haversine_keys keys;
  df_road_keys(road, &keys);
  return keys.length;
}

const struct df_road_kind df_road_haversine = {
  .name = "haversine", .keys = &section, .length = length_of, .shape = shape, .faded = 0,
  .source = "Belgian Road Research Centre: the sinusoidal hump, 4.8 m x 120 mm"
};
