// What the rider does on a road, as functions of time: braking, leaning in, pushing down; and the
// stretch of time over which a ride is judged. All times are seconds from the start of the ride.
#ifndef DF_VEHICLE_BRAKE_H
#define DF_VEHICLE_BRAKE_H

#include "dampfork/road.h"

enum {
  DF_BRAKE_PIECES = 6,        // coast, ramp, hold, release, coast, at a stand
  DF_MANOEUVRE_BREAKS = 12
};

// Braking: in each piece, tau = t - from,
//   a = a0 + j tau,  V = V0 - a0 tau - j tau^2/2,  s = s0 + V0 tau - a0 tau^2/2 - j tau^3/6.
// A stand cuts the pieces short: from then on V = a = 0.
struct df_manoeuvre {
  int pieces;
  double from[DF_BRAKE_PIECES];         // s, ascending; from[0] = 0
  double deceleration[DF_BRAKE_PIECES]; // m/s2, a0
  double jerk[DF_BRAKE_PIECES];         // m/s3, j
  double speed[DF_BRAKE_PIECES];        // m/s, V0
  double distance[DF_BRAKE_PIECES];     // m, s0, from the axle's start
  double start;               // s, of whatever the manoeuvre is
  double ramp_end;            // s, ramp done; this and the next two are `start` without a manoeuvre
  double release;             // s, brake or push let go, the lean's hold over
  double end;                 // s, all of it over
  double stand;               // s, road speed reaches 0; NAN: it does not
  double lean_ramp;           // s; 1 without a lean
  double lean_gain;           // 1, 1/cos(angle) - 1; 0 without a lean
  double push;                // 1: with a push, else 0
  int break_n;                // places where a function or its slope jumps, ascending, above 0
  double breaks[DF_MANOEUVRE_BREAKS];   // s
};

// Lay out the manoeuvre of a road from `start`, s, on. Ramp, hold and release that are NAN in
// road.brake are those of `usual` (NULL: the common 0.25, 1.5 and 0.1 s). faults may be NULL.
// DF_BAD_INPUT: a negative time, deceleration or speed, or a lean outside 0 to 80 degrees.
enum df_status df_manoeuvre_init(struct df_manoeuvre *manoeuvre, const struct df_road *road,
                                 const struct df_braking *usual, double start,
                                 struct df_faults *faults);

struct df_motion {
  double distance;            // m, from the axle's start
  double speed;               // m/s
  double deceleration;        // m/s2
  double jerk;                // m/s3, rate of the deceleration
};

// Piece that holds t (the later one at a break), and the motion by that piece's polynomials, that
// are smooth beyond its ends: hold a piece through a step that ends at a break.
int df_manoeuvre_piece(const struct df_manoeuvre *manoeuvre, double t);
struct df_motion df_manoeuvre_in(const struct df_manoeuvre *manoeuvre, int piece, double t);
struct df_motion df_manoeuvre_motion(const struct df_manoeuvre *manoeuvre, double t);

// Time, s, at which the axle has moved `distance`, m; NAN if it never does.
double df_manoeuvre_time(const struct df_manoeuvre *manoeuvre, double distance);

// Factor on g while leaning: 1 + (1/cos(angle) - 1) S((t - start)/ramp), kept to the end. Its
// rate, 1/s, through `rate` (NULL: not wanted).
double df_lean_factor(const struct df_manoeuvre *manoeuvre, double t, double *rate);

// Share of the push that acts: S over 0.5 s, held 0.5 s, gone as 1 - S in 20 ms. Rate in 1/s.
double df_push_share(const struct df_manoeuvre *manoeuvre, double t, double *rate);

// Where the axle starts, m: radius + 1 m before s = 0; or `run_up` metres before the first touch,
// so that an obstacle is met when the axle has moved that far (NAN: the former).
double df_axle_start(const struct df_profile *profile, double radius, double run_up);

// Evaluation window. Rough roads (random, recorded, washboard): from 10 m on to their end, or for
// road.window. An obstacle: from its first touch for road.window, usually 2 s and the time over it.
// Else from the manoeuvre's start, usually for its duration plus 2 s; without either, from 0.
// When the bike comes to a stand before a place, the stand counts as the time there.
struct df_window { double start, end; /* s */ };
struct df_window df_window_of(const struct df_road *road, const struct df_profile *profile,
                              const struct df_manoeuvre *manoeuvre, double axle_start);

#endif
