// One leg on a test bench: its travel follows a sine, x(t) = middle - stroke/2 cos(2 pi f t), from
// rest pressures at the extended end. The oil keeps its temperature.
#ifndef DAMPFORK_STROKE_H
#define DAMPFORK_STROKE_H

#include "dampfork/ride.h"
#include "dampfork/scenario.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

// The sine that drives the leg.
struct df_stroke_motion {
  double middle;              // m of travel
  double stroke;              // m from end to end: twice the amplitude
  double frequency;           // Hz
};

// How to drive. Zero the struct, then set what differs: 0 and NULL mean the usual.
struct df_stroke_options {
  int cycles;                 // 0: 5, with a thermal gas as many as settle it, at most 100
  int samples;                // a cycle; 0: 500; a multiple of 4
  int method;                 // row of the method table + 1; 0: that of the scenario
  double tolerance;           // 1; 0: that of the scenario, else 1e-6
  const volatile int *stop;   // the work ends soon after this is not 0
};

// One moment. Forces on the wheel's side, compression positive; pressures absolute.
struct df_stroke_sample {
  double t, x, v;             // s, m, m/s
  double force;               // N, sum of all those below
  double damping, spring, air, friction, cone, stop; // N
  double p_lower, p_annulus, p_rod, p_column;        // Pa; p_rod is the column's without a valve
  double lift;                // m, of the valve's plate
  double void_lower, void_annulus;                   // m3, room that oil could not fill in time
  double into_lower, into_annulus;                   // m3/s of oil at p0, through all paths
};

// Measures of one cycle, from extended end to extended end.
struct df_stroke_cycle {
  struct df_stroke_sample compression, rebound;      // at the greatest fork speed: the middle
  double damping_energy;      // J, integral of damping times fork speed
  double air_energy;          // J, the same of the air force; more than 0 where the gas loses heat
  double friction_energy, cone_energy;               // J
  double compression_lag, rebound_lag; // s from the reversal until the damping force has the direction of the new
                              // motion; negative when it turns before the motion does; NAN when it never
                              // turns within half a cycle
  double cavitating;          // 1, share of the time with a chamber below the cavitation threshold
  double void_lower, void_annulus;                   // m3 at most
  double p_lower_least, p_annulus_least;             // Pa
};

// What driving it gave.
struct df_stroke {
  enum df_status status;
  double failed_at;           // s; NAN when the end was reached
  char reason[160];           // sentence with time and state; "" when none
  struct df_stroke_motion motion;
  int cycles;                 // completed
  int per_cycle;              // samples
  int n;                      // samples: cycles*per_cycle + 1, fewer after a failure
  struct df_stroke_sample *sample;
  struct df_stroke_cycle *cycle;
  double tolerance;           // 1
  int method;                 // row of the method table + 1
  struct df_effort effort;
};

// Drive one leg (side 0 or 1) of the scenario. out is always filled: on failure status, failed_at,
// reason and what was reached. Returns out->status. Faults (may be NULL) are added for values that
// cannot be used. df_stroke_finish frees samples and cycles.
enum df_status df_stroke_run(const struct df_scenario *scenario, int side,
                             const struct df_stroke_motion *motion,
                             const struct df_stroke_options *options, struct df_stroke *out,
                             struct df_faults *faults);
void df_stroke_finish(struct df_stroke *stroke);

// Parts of the force, as bits.
enum df_stroke_part {
  DF_STROKE_DAMPING = 1, DF_STROKE_SPRING = 2, DF_STROKE_AIR = 4, DF_STROKE_FRICTION = 8,
  DF_STROKE_ENDS = 16,       // cone and stops
  DF_STROKE_ALL = 31
};
double df_stroke_force(const struct df_stroke_sample *sample, int parts); // N

// First harmonic of a force over the last cycle: force = mean + in_phase x' - ... as for a spring
// beside a damper. rest: rms of what neither explains over the rms of the force without its mean.
struct df_stroke_harmonic {
  double stiffness;           // N/m, in phase with travel
  double damping;             // N s/m, in phase with fork speed
  double gain;                // N/m, force over travel
  double phase;               // rad, by which the force is ahead of the travel
  double rest;                // 1
};
enum df_status df_stroke_first_harmonic(const struct df_stroke *stroke, int parts,
                                        struct df_stroke_harmonic *out);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
