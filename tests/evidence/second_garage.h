// What instruments of a bench and a garage would read from a fork, by the second writing of it, with
// noise of a known size. As CSV texts, the way people write them down.
#ifndef DF_TESTS_SECOND_GARAGE_H
#define DF_TESTS_SECOND_GARAGE_H

#include "second_ride.h"

#include <gsl/gsl_rng.h>
#include <stddef.h>

struct garage {
  const struct df_scenario *truth;
  gsl_rng *rng;               // NULL: no noise
  double noise;               // 1, of the deviations named with each reading
};

// A text that grows. finish frees it.
struct garage_text { char *text; size_t n, room; };
void garage_text_finish(struct garage_text *);

// Steady force at half the travel, friction in, spring and air out; both ways at each speed. m/s, N
void garage_bench(const struct garage *, const double *speed, int n, double deviation,
                  struct garage_text *);
// Whole loops of a sine, everything in; lag of the force behind the travel, and a zero of the load
// cell that is off. m, m, Hz, N, s, N
struct garage_loop {
  double middle, amplitude, frequency;
  int rows;                   // over two cycles, from the third on
  double deviation, lag, offset;
};
void garage_loop(const struct garage *, const struct garage_loop *, struct garage_text *);
// Pushed in and let out at 3 mm/s, without friction's start. m, N
void garage_slow(const struct garage *, double from, double to, int n, double deviation,
                 struct garage_text *);
// From below and above, alone and with rider; the head and rows of the loads asked for (bits 1, 2). m
void garage_sag(const struct garage *, int loads, double deviation, struct garage_text *);
double garage_sag_one(const struct garage *, int load, double side); // m, no noise; side -1 below, 1 above
// The fork's spring at lengths. m, N
void garage_spring(const struct garage *, const double *length, int n, double deviation,
                   struct garage_text *);
// Bare leg, pulled (sign -1) or pushed (1) over 100 mm. kg, s
double garage_timed_one(const struct garage *, double sign, double weight);
void garage_timed(const struct garage *, const double *pull, int pulls, const double *push,
                  int pushes, double deviation, struct garage_text *);
void garage_level(const struct garage *, int n, double deviation, struct garage_text *); // m
// The ring's height after a road of the scenario, less where the fork hangs free. Every road by its
// number and road speed. m/s, m; NAN: not ridden
struct garage_pass { int road; double speed; };
void garage_rings(const struct garage *, const struct garage_pass *, int n, double deviation,
                  struct garage_text *);
// Travel and acceleration over a road, on a clock that starts `early` before the ride. s, s, m, m/s2
void garage_log(const struct garage *, int road, double every, double early, double travel_deviation,
                double acceleration_deviation, struct garage_text *);

#endif
