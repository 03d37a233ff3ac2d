// What a tyre makes of a polyline: the axle's height less radius, by disc, footprint or point.
#ifndef DF_VEHICLE_DISC_H
#define DF_VEHICLE_DISC_H

#include "dampfork/road.h"

// Places at equal spacing at which a contact is evaluated, and what comes out.
struct df_track {
  double start, step;         // m
  int n;
  double *w, *slope;          // m, 1; n each
  double *touch;              // m, s of the touching point; n of them; NULL: not wanted
};

// A rolling disc over a ground. Made once from a polyline; the polyline may go afterwards.
struct df_disc {
  double radius;              // m
  int n;                      // segments, with the level ones that carry on both ends
  double *s;                  // m, n + 1 ends of segments
  double *z;                  // m, height at the left end of each
  double *slope;              // 1
  double *reach;              // m, touching point ahead of the axle, were the segment endless
};
enum df_status df_disc_init(struct df_disc *disc, const struct df_polyline *ground, double radius);
void df_disc_finish(struct df_disc *disc);

// Exact envelope at one place: height, m, with its slope and the touching point's s, m (NULL: not
// wanted). Looks at every segment in reach.
double df_disc_at(const struct df_disc *disc, double s, double *slope, double *touch);

// The same along a track, in O((n + segments) log n). DF_OK or DF_NO_MEMORY.
enum df_status df_disc_roll(const struct df_disc *disc, const struct df_track *track);

// Footprint of this length, m: w = (Z(s + b/2) - Z(s - b/2))/b, Z the integral of the ground.
enum df_status df_footprint_roll(const struct df_polyline *ground, double length,
                                 const struct df_track *track);

// Point: w = z. Where short segments bend gently the slope is interpolated between their middles;
// else it is that of the segment ahead.
void df_point_roll(const struct df_polyline *ground, const struct df_track *track);

#endif
