// Road kind: a sine wave about 0, as corrugated gravel.
#include "vehicle/ground.h"

struct washboard_keys {
  double height;               // m, crest to trough
  double wave_length;          // m
  double length;               // m
};

static const struct df_param rows[] = {
  { .key = "height", .form = DF_QUANTITY, .at = offsetof(struct washboard_keys, height),
    .has = DF_NO_OFFSET, .unit = "mm",
    .usual = NAN, .low = 0, .high = 200,
    .likely_low = 5, .likely_high = 60, .need = DF_REQUIRED,
    .meaning = "height of the ripples, crest to trough",
    .measure = "straightedge over two crests, rule into the trough",
    .tolerance = 2,
    .mistake = "it is not the amplitude, which is half of it",
    .source = "from memory: corrugations are 10 to 50 mm high" },
  { .key = "wave_length", .form = DF_QUANTITY, .at = offsetof(struct washboard_keys, wave_length),
    .has = DF_NO_OFFSET, .unit = "m",
    .usual = NAN, .low = 0.05, .high = 100,
    .likely_low = 0.3, .likely_high = 1.5, .need = DF_REQUIRED,
    .meaning = "distance from crest to crest",
    .measure = "tape measure over ten crests, divided by ten",
    .tolerance = 0.02,
    .mistake = "count spaces between crests, not crests",
    .source = "from memory: corrugations repeat every 0.5 to 1 m" },
  { .key = "length", .form = DF_QUANTITY, .at = offsetof(struct washboard_keys, length),
    .has = DF_NO_OFFSET, .unit = "m",
    .usual = 30, .low = 11, .high = 1000,
    .likely_low = 20, .likely_high = 300, .need = DF_OPTIONAL,
    .meaning = "length of the road",
    .measure = "tape measure along the road",
    .tolerance = 0.5,
    .mistake = "the first 10 m only fade in and are not judged",
    .source = "chosen here" },
};
static const struct df_section section = DF_SECTION_OF("washboard", struct washboard_keys, rows);
DF_KEYS_FIT(struct washboard_keys);

static double height_at(const void *at, double s)
{
  const struct washboard_keys *keys = at;
  return keys->height/2*sin(2*M_PI*s/keys->wave_length);
}

static enum df_status shape(const struct df_road *road, struct df_polyline *out,
                            struct df_faults *faults)
{
  struct washboard_keys keys;
  df_road_keys(road, &keys);
  if (df_road_within(faults, road, "height", keys.height, 0, 0.2, 1e-3, "mm"))
    return DF_BAD_INPUT;
  if (df_road_within(faults, road, "wave_length", keys.wave_length, 0.05, 100, 1, "m"))
    return DF_BAD_INPUT;
  if (df_road_within(faults, road, "length", keys.length, 11, 1000, 1, "m"))
    return DF_BAD_INPUT;
  return df_curve(out, keys.length, height_at, &keys);
}

static double length_of(const struct df_road *road)
{
  struct washboard_keys keys;
  df_road_keys(road, &keys);
  return keys.length;
}

const struct df_road_kind df_road_washboard = {
  .name = "washboard", .keys = &section, .length = length_of, .shape = shape, .faded = 1,
  .source = "a sine road"
};
