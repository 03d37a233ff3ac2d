// Road kind: one vertical face, after which the road stays at its height.
#include "vehicle/ground.h"

struct edge_keys {
  double height;               // m, negative: down
};

static const struct df_param rows[] = {
  { .key = "height", .form = DF_QUANTITY, .at = offsetof(struct edge_keys, height),
    .has = DF_NO_OFFSET, .unit = "mm",
    .usual = NAN, .low = -200, .high = 200,
    .likely_low = -60, .likely_high = 60, .need = DF_REQUIRED,
    .meaning = "height of the face; negative: the road drops",
    .measure = "straightedge on the upper side, rule down the face",
    .tolerance = 1,
    .mistake = "a rounded kerb is milder than its height says",
    .source = "common practice: 15 to 40 mm for road edges" },
};
static const struct df_section section = DF_SECTION_OF("edge", struct edge_keys, rows);
DF_KEYS_FIT(struct edge_keys);

static enum df_status shape(const struct df_road *road, struct df_polyline *out,
                            struct df_faults *faults)
{
  struct edge_keys keys;
  df_road_keys(road, &keys);
  if (df_road_within(faults, road, "height", keys.height, -0.2, 0.2, 1e-3, "mm"))
    return DF_BAD_INPUT;
  enum df_status status = df_polyline_init(out, 2);
  if (status != DF_OK) return status;
  out->s[0] = out->s[1] = 0;
  out->z[0] = 0;
  out->z[1] = keys.height;
  return DF_OK;
}

static double length_of(const struct df_road *road)
{
  (void)road;
  return 0;
}

const struct df_road_kind df_road_edge = {
  .name = "edge", .keys = &section, .length = length_of, .shape = shape, .faded = 0,
  .source = "a step: the textbook obstacle of the rolling disc"
};
