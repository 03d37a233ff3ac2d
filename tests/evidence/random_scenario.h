// Valid scenarios at random, every value within the sensible range of docs/theory.md, parameters.
#ifndef DF_TESTS_RANDOM_SCENARIO_H
#define DF_TESTS_RANDOM_SCENARIO_H

#include <gsl/gsl_rng.h>

#include "dampfork/scenario.h"

enum random_features {
  RANDOM_VALVE = 1,           // a valve, else a plain rod
  RANDOM_COVERED = 2,         // holes that the tube's end or the piston covers
  RANDOM_LAWS = 4,            // any of the three hole laws, choking off at times
  RANDOM_SHIMS = 8,           // the valve has a stack of shims, with or without its coil
  RANDOM_UNLIKE = 16,         // legs that differ
  RANDOM_TWO_RATES = 32,      // springs of two rates
  // air of any kind: relaxing, sealed elsewhere, under pressure, hot oil
  RANDOM_GAS = 64
};

// Stands still within 10 mm .. 70 % of its travel, has room for its gas at full travel.
void random_scenario(const gsl_rng *, unsigned features, struct df_scenario *);

#endif
