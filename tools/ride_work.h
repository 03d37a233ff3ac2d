// What `ride` computed, for its answers.
#ifndef DF_TOOLS_RIDE_WORK_H
#define DF_TOOLS_RIDE_WORK_H

#include "commands.h"
#include "load.h"

#include "dampfork/leg.h"
#include "dampfork/measure.h"

#include <stdio.h>

enum { MEASURES_MAX = 160 };

// One road, ridden.
struct outcome {
  const struct df_road *road;
  struct df_ride ride;
  struct df_faults *faults;
  double value[MEASURES_MAX]; // SI, by row of the measure table; NAN: not defined
  double plain[MEASURES_MAX]; // of the plain twin on this road; NAN: there is none
  FILE *csv, *gp;
};

// Everything of one call of `ride`.
struct ride_work {
  struct call *call;
  struct loaded loaded;
  struct df_statics statics;
  struct df_reading *twin;    // the same fork without its valve; NULL: it has none
  struct df_statics twin_statics;
  double fixed[MEASURES_MAX]; // static measures, SI
  int n;
  struct outcome outcome[DF_ROADS_MAX];
  int which[MEASURES_MAX], which_n; // measures of a ride
  double every;               // s
  double tolerance;           // 1; 0: that of the scenario
  int method;                 // row of the method table + 1; 0: that of the scenario
  const char *kernel;         // NULL: the best
  const char *folder;
  FILE *measures_csv, *measures_gp;
};

// SI, by names; NAN when the measure is not defined there.
double ride_value(const struct ride_work *work, const char *road, const char *measure);

// 1 when a value (SI) is as expected.
int ride_holds(const struct df_expectation *expect, double value);

// What changed the scenario, so that its expectations say nothing; NULL: nothing did.
const char *ride_overridden(const struct call *call);

// Sums over all roads; the largest energy residual.
void ride_effort(const struct ride_work *work, struct df_effort *sum, double *residual);

// What matters on a road: one or two measures (second: NULL when one), by what happens there.
void ride_matter(const struct df_road *road, const char **first, const char **second);

// A measure (row of the table) in words: "overshoots by 12 mm". si: SI.
void ride_measure_said(int row, double si, char *out, size_t size);

// failed: number of expectations that did not hold.
void ride_answer_text(const struct ride_work *work, int failed);
void ride_answer_json(const struct ride_work *work, int failed);

#endif
