// What follows from a scenario: one list for text, CSV and JSON.
#ifndef DF_TOOLS_DERIVED_H
#define DF_TOOLS_DERIVED_H

#include "dampfork/leg.h"

enum { DERIVED_MAX = 160 };
struct derived {
  char name[64];              // quantity, underscore, unit
  double value;               // in that unit; NAN: there is none
};

// Fill the list; returns how many.
int derived_fill(const struct df_scenario *scenario, const struct df_statics *statics,
                 struct df_leg_model *const leg[DF_SIDES], struct derived *list);

#endif
