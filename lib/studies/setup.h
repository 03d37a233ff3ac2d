// Shared by the parts of the bench sheet.
#ifndef DF_STUDIES_SETUP_H
#define DF_STUDIES_SETUP_H

#include "dampfork/sheet.h"
#include "leg/front_mass.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// NULL: out of memory; free() it.
static inline struct df_scenario *df_setup_copy(const struct df_scenario *scenario)
{
  struct df_scenario *copy = malloc(sizeof *copy);
  if (copy) memcpy(copy, scenario, sizeof *copy);
  return copy;
}

static inline enum df_status df_setup_no_memory(struct df_faults *faults)
{
  return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
}

// Sides that differ: one, or both.
static inline int df_setup_sides(const struct df_scenario *scenario)
{
  return scenario->unlike ? DF_SIDES : 1;
}

// Steady motion of one side of a scenario at half the travel. DF_OK, or why not.
enum df_status df_setup_steady(const struct df_scenario *scenario, int side, double speed,
                               struct df_steady *out, struct df_faults *faults);

// 1: the group of an opened rod stands in the rod as found too.
int df_setup_kept(const struct df_rod *rod, const struct df_hole_group *group);

#endif
