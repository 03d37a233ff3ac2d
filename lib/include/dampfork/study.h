// Choosing settings: points spread evenly, what each value is worth, shares of the variance.
#ifndef DAMPFORK_STUDY_H
#define DAMPFORK_STUDY_H

#include "dampfork/reader.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

// ---- points ----
// Sobol's sequence (Sobol 1967, directions of Bratley and Fox 1988, as in GSL), turned by a shift
// of the seed modulo 1 (Cranley and Patterson 1976). Seed 0: no shift.
enum { DF_SOBOL_DIMENSIONS = 40 }; // as many as the table of directions has
struct df_sobol;

// DF_BAD_INPUT: dimensions not 1-40. DF_NO_MEMORY.
enum df_status df_sobol_create(struct df_sobol **out, int dimensions, unsigned long seed);
void df_sobol_destroy(struct df_sobol *sobol);

// Point i (from 0): `dimensions` numbers in [0, 1). The same for any order of calls; upwards is
// quick, a step back starts anew.
void df_sobol_point(struct df_sobol *sobol, long i, double *u);

// ---- shares of the variance ----
// Rows come in groups of d + 2: A, B, then A with its value k taken from B for k = 0 .. d-1
// (Saltelli 2010). `sobol` has 2 d dimensions. u: d numbers.
void df_share_point(struct df_sobol *sobol, int d, long row, double *u);

// Of one value, each 1: first order (alone) after Saltelli 2010, total (with all it acts together
// with) after Jansen 1999; the middle 95 % of resampled groups.
struct df_share {
  double first, first_low, first_high, total, total_low, total_high; // 1, and the ends of their 95 %
};

// f: n groups of d + 2 results. Groups with a result that is not finite are left out; returns how
// many were used, share is NAN when fewer than 8 or when nothing varies. DF_NO_MEMORY as -1.
int df_shares(const double *f, int n, int d, unsigned long seed, struct df_share *share);

// ---- values with their tolerances ----
struct df_factor {
  char path[96];              // dotted key
  const struct df_param *row;
  const char *unit; // display unit of the row: the three numbers are in it
  double low, now, high;      // in `unit`: least, as in the scenario, greatest
  int given; // 1: stands in the scenario, 0: assumed
};

// Every number of the fork, bike and rider that is not exactly known, in the order of the table.
// Given: plus and minus what a careful person measures it to. Assumed: the ranges of df_doubts,
// else half to twice the usual value within what is likely and within four times that tolerance.
// Roads and settings of the run are none of them, nor values that others fix, so that they cannot
// be moved alone. At most `room`; returns how many.
int df_factors_find(const struct df_reading *reading, struct df_factor *list, int room);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
