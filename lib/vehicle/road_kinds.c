// The table of all kinds of road. A new kind is one file road_NAME.c and one line in each list.
#include <string.h>

#include "dampfork/road.h"

extern const struct df_road_kind
  df_road_flat,
  df_road_edge,
  df_road_cleat,
  df_road_half_sine,
  df_road_haversine,
  df_road_round_hump,
  df_road_flat_hump,
  df_road_dip,
  df_road_pothole,
  df_road_washboard,
  df_road_random,
  df_road_recorded;

const struct df_road_kind *const df_road_kinds[] = {
  &df_road_flat,
  &df_road_edge,
  &df_road_cleat,
  &df_road_half_sine,
  &df_road_haversine,
  &df_road_round_hump,
  &df_road_flat_hump,
  &df_road_dip,
  &df_road_pothole,
  &df_road_washboard,
  &df_road_random,
  &df_road_recorded,
};
const int df_road_kind_count = sizeof df_road_kinds/sizeof *df_road_kinds;

int df_road_kind_find(const char *name)
{
  for (int i = 0; name && i < df_road_kind_count; i++)
    if (strcmp(df_road_kinds[i]->name, name) == 0) return i;
  return -1;
}
