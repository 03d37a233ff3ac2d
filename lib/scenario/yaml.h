// YAML -> tree of text nodes, by libyaml's events.
#ifndef DF_SCENARIO_YAML_H
#define DF_SCENARIO_YAML_H

#include "scenario/node.h"

enum {
  DF_DEPTH_MAX = 8,   // the deepest key of ours has 6 levels; libyaml's scan of nested brackets is
                      // quadratic without a limit
  DF_NODES_MAX = 4096 // a scenario with everything in it has about 700
};

// Read a text that passed df_bytes_check. Faults are added; `broken` is set to 1 when reading had
// to stop, and what was read so far is returned. NULL: nothing was read (no keys is a fault).
struct df_node *df_yaml_read(struct df_arena *arena, const struct df_source *source,
                             struct df_faults *faults, int *broken);

// The same for a single value of any kind, as in an override. NULL or `broken` after a fault.
struct df_node *df_yaml_value(struct df_arena *arena, const struct df_source *source,
                              struct df_faults *faults, int *broken);

#endif
