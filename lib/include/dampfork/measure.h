// Measures: one table, each defined once.
#ifndef DAMPFORK_MEASURE_H
#define DAMPFORK_MEASURE_H

#include "dampfork/ride.h"

#ifdef __cplusplus
extern "C" {
#endif

// What a measure needs from a ride; a batch computes only what was asked for.
enum df_needs {
  DF_NEEDS_PEAKS = 1,         // extremes from inside the steps, touches of the stops
  DF_NEEDS_TRACE = 2,         // samples of travel, fork speed, acceleration, tyre load
  DF_NEEDS_PRESSURES = 4,     // samples of pressures and voids
  DF_NEEDS_FORCES = 8,        // samples of every force of a leg
  DF_NEEDS_LEDGER = 16,       // energies
  DF_NEEDS_STEADY = 32,       // steady leg at the static position (no ride)
  DF_NEEDS_SAG = 64           // static positions (no ride)
};

// What a measure may look at. Fields that its `needs` do not name may be empty.
struct df_measured {
  const struct df_scenario *scenario;
  const struct df_road *road;           // NULL for static measures
  const struct df_ride *ride;           // NULL for static measures
  const struct df_statics *statics;     // see leg.h
};

enum df_better { DF_LESS_IS_BETTER = -1, DF_NEITHER = 0, DF_MORE_IS_BETTER = 1 };

struct df_measure {
  const char *name;           // snake_case
  const char *unit;           // as in columns: "mm", "m_per_s2", "percent", "1"
  double per_si;              // value in `unit` = SI value * per_si
  unsigned needs;
  enum df_better better;
  double (*of)(const struct df_measured *, double argument); // SI; NAN: not defined for this road
  double argument;            // for families (damping_ratio_compression_300: 0.3)
  const char *meaning;        // one line for a person
  const char *source;
};
extern const struct df_measure df_measures[];
extern const int df_measure_count;
int df_measure_find(const char *name); // row, or -1

#ifdef __cplusplus
}
#endif
#endif
