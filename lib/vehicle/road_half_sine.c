// Road kind: one half of a sine wave, with a corner at each foot.
#include "vehicle/ground.h"

struct half_sine_keys {
  double height;               // m
  double length;               // m
};

static const struct df_param rows[] = {
  { .key = "height", .form = DF_QUANTITY, .at = offsetof(struct half_sine_keys, height),
    .has = DF_NO_OFFSET, .unit = "mm",
    .usual = NAN, .low = 0, .high = 500,
    .likely_low = 20, .likely_high = 200, .need = DF_REQUIRED,
    .meaning = "height of the hump at its middle",
    .measure = "straightedge and rule, or a level and rule at the crown",
    .tolerance = 3,
    .mistake = "built humps sink and wear by 10 mm and more",
    .source = "common practice" },
  { .key = "length", .form = DF_QUANTITY, .at = offsetof(struct half_sine_keys, length),
    .has = DF_NO_OFFSET, .unit = "m",
    .usual = NAN, .low = 0.02, .high = 100,
    .likely_low = 0.3, .likely_high = 10, .need = DF_REQUIRED,
    .meaning = "length of the hump along the road",
    .measure = "tape measure along the road",
    .tolerance = 0.05,
    .mistake = "measure along the direction of travel",
    .source = "common practice" },
};
static const struct df_section section = DF_SECTION_OF("half_sine", struct half_sine_keys, rows);
DF_KEYS_FIT(struct half_sine_keys);

static double height_at(const void *at, double s)
{
  const struct half_sine_keys *keys = at;
  return s < keys->length ? keys->height*sin(M_PI*s/keys->length) : 0;
}

static enum df_status shape(const struct df_road *road, struct df_polyline *out,
                            struct df_faults *faults)
{
  struct half_sine_keys keys;
  df_road_keys(road, &keys);
  if (df_road_within(faults, road, "height", keys.height, 0, 0.5, 1e-3, "mm"))
    return DF_BAD_INPUT;
  if (df_road_within(faults, road, "length", keys.length, 0.02, 100, 1, "m"))
    return DF_BAD_INPUT;
  return df_curve(out, keys.length, height_at, &keys);
}

static double length_of(const struct df_road *road)
{
  struct half_sine_keys keys;
  df_road_keys(road, &keys);
  return keys.length;
}

const struct df_road_kind df_road_half_sine = {
  .name = "half_sine", .keys = &section, .length = length_of, .shape = shape, .faded = 0,
  .source = "h sin(pi s/L): the half sine of shock tests"
};
