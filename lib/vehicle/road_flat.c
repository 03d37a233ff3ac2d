// Road kind: a flat road, on which a manoeuvre can be ridden.
#include "vehicle/ground.h"

struct flat_keys {
  double length;               // m; NAN: as long as the ride needs
};

static const struct df_param rows[] = {
  { .key = "length", .form = DF_QUANTITY, .at = offsetof(struct flat_keys, length),
    .has = DF_NO_OFFSET, .unit = "m",
    .usual = NAN, .usual_rule = "as long as the ride lasts", .low = 0, .high = 10000,
    .likely_low = 0, .likely_high = 0, .need = DF_ABSENT,
    .meaning = "length of the flat road",
    .measure = "tape measure along the road",
    .tolerance = 0.1,
    .source = "chosen here: nothing depends on it" },
};
static const struct df_section section = DF_SECTION_OF("flat", struct flat_keys, rows);
DF_KEYS_FIT(struct flat_keys);

static enum df_status shape(const struct df_road *road, struct df_polyline *out,
                            struct df_faults *faults)
{
  (void)road;
  (void)faults;
  *out = (struct df_polyline){0};
  return DF_OK;
}

static double length_of(const struct df_road *road)
{
  struct flat_keys keys;
  df_road_keys(road, &keys);
  return keys.length >= 0 ? keys.length : 0;
}

const struct df_road_kind df_road_flat = {
  .name = "flat", .keys = &section, .length = length_of, .shape = shape, .faded = 0,
  .source = "height 0 everywhere"
};
