// A second writing of the ride: wheel height instead of travel, ln of pressure instead of oil
// amounts, ln of gas pressure instead of its
// temperature; Radau IIA instead of a Rosenbrock method; energies as quadratures.
#ifndef DF_TESTS_SECOND_RIDE_H
#define DF_TESTS_SECOND_RIDE_H

#include "second_leg.h"

// Order of the losses as in the library's ledger.
enum second_energy {
  SECOND_E_COMPRESSION_HOLES, SECOND_E_REBOUND_HOLES, SECOND_E_CHECK, SECOND_E_CHECK_LEAK,
      SECOND_E_RING, SECOND_E_VALVE,
  SECOND_E_BLEED, SECOND_E_RETURN, SECOND_E_COLUMN, SECOND_E_CONE, SECOND_E_FRICTION, SECOND_E_STOP,
      SECOND_E_AIR_HEAT,
  SECOND_E_TYRE, SECOND_E_ROAD, SECOND_E_BRAKE, SECOND_E_THROUGHPUT,
  SECOND_E_STROKE,            // integral of (damping + air) v, all legs together
  SECOND_ENERGIES
};

struct second_brake { double start, deceleration, ramp, hold, release; }; // s, m/s2, s, s, s
// s, rad, s: held for ever
struct second_lean { double start, angle, ramp; };
struct second_push { double force, rise, hold, gone; };                   // N, s from t = 0

// What is run. A part that is zero takes no part.
struct second_case {
  const struct df_scenario *scenario;
  const struct second_shims *shims;                // of both legs; NULL: none
  double (*height)(const void *road, double s, double *slope); // m, 1; NULL: flat
  const void *road;
  double speed, start;        // m/s and s, m, at t = 0
  double end, every;          // s, samples at 0, every, 2 every ... and at the end
  double tolerance;           // 1
  struct second_brake brake;
  struct second_lean lean;
  struct second_push push;
  // One leg driven instead of a vehicle: travel at t; NULL: vehicle.
  void (*motion)(const void *drive, double t, double *x, double *v);
  const void *drive;
};

struct second_sample {
  // SI; height of the sprung mass
  double t, distance, speed, travel, velocity, height, acceleration;
  double rise;                // m, of the sprung mass since the start
  double tyre, tyre_signed, brake;                 // N
  double spring[2], air[2], damping[2], friction[2], cone[2], stop[2]; // N, a leg
  double force[2], level[2];  // N, a leg: all of them, friction's level
  double upper, lower;        // N, bush reactions
  double p[2][4];             // Pa
  double lift[2], void_lower[2], void_annulus[2];  // m, m3
  double energy[SECOND_ENERGIES]; // J since the start, all legs
  double stored;              // J
};

struct second_ride {
  int status;                 // 0 done, -1 not
  int n;
  struct second_sample *at;
  double rest;                // m, travel at the start
  double residual;            // 1, of the energy ledger
  long steps;
};

void second_ride_init(struct second_ride *, const struct second_case *);
void second_ride_finish(struct second_ride *);

// Axle height over an edge of `height` at `at` for a disc, in closed form; road: struct
// second_edge.
struct second_edge { double height, at, radius; }; // m
double second_edge_height(const void *edge, double s, double *slope);

// x = middle - amplitude cos(2 pi f t); drive: struct second_sine.
struct second_sine { double middle, amplitude, frequency; }; // m, m, Hz
void second_sine_motion(const void *sine, double t, double *x, double *v);

#endif
