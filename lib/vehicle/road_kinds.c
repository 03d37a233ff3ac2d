// The table of all kinds of road. A new kind is one file road_NAME.c and one line here.
#include <string.h>

#include "dampfork/road.h"

#define KINDS(X) \
  X(flat) \
  X(edge) \
  X(cleat) \
  X(half_sine) \
  X(haversine) \
  X(round_hump) \
  X(flat_hump) \
  X(dip) \
  X(pothole) \
  X(washboard) \
  X(random) \
  X(recorded)

#define DECLARED(name) extern const struct df_road_kind df_road_##name;
#define LISTED(name) &df_road_##name,
KINDS(DECLARED)
const struct df_road_kind *const df_road_kinds[] = {KINDS(LISTED)};
const int df_road_kind_count = sizeof df_road_kinds/sizeof *df_road_kinds;

int df_road_kind_find(const char *name)
{
  for (int i = 0; name && i < df_road_kind_count; i++)
    if (strcmp(df_road_kinds[i]->name, name) == 0) return i;
  return -1;
}
