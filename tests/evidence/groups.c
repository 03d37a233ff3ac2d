// The list of groups: one line each. Rows stand in the file of that name.
#include "evidence.h"

extern const struct evidence_group evidence_oil, evidence_holes, evidence_gaps, evidence_valve, evidence_air,
  evidence_springs, evidence_shims,
  evidence_friction, evidence_roads, evidence_weighting, evidence_units,
  evidence_vehicle, evidence_drill, evidence_ends;
extern const struct limit_group limit_thin_holes, limit_short_tubes, limit_opened_holes, limit_side_by_side,
  limit_forces, limit_friction;

const struct evidence_group *const evidence_groups[] = {
  &evidence_oil,
  &evidence_holes,
  &evidence_gaps,
  &evidence_valve,
  &evidence_air,
  &evidence_springs,
  &evidence_shims,
  &evidence_friction,
  &evidence_ends,
  &evidence_roads,
  &evidence_vehicle,
  &evidence_weighting,
  &evidence_units,
  &evidence_drill,
};
const int evidence_group_count = sizeof evidence_groups/sizeof evidence_groups[0];

const struct limit_group *const limit_groups[] = {
  &limit_thin_holes,
  &limit_short_tubes,
  &limit_opened_holes,
  &limit_side_by_side,
  &limit_forces,
  &limit_friction,
};
const int limit_group_count = sizeof limit_groups/sizeof limit_groups[0];
