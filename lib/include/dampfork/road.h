// Roads: kinds of profile in one table, and the profile as the wheel feels it, tabulated.
#ifndef DAMPFORK_ROAD_H
#define DAMPFORK_ROAD_H

#include "dampfork/scenario.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

struct df_section;

// A polyline of the ground: s rises and may repeat once (a vertical face). Ends are carried on at
// their own height. n = 0: flat.
struct df_polyline { int n; double *s, *z; /* m */ };
void df_polyline_finish(struct df_polyline *line);

// One kind of road. A new one is one file and one line in road_kinds.c.
struct df_road_kind {
  const char *name;           // word of the key `kind`
  const struct df_section *keys; // rows over the kind's own struct, which lies in df_road.keys
  // Length of one obstacle, m, from its first to its last point that is not flat; of rough roads
  // the whole length. `recorded` reads its file for it; NAN when that fails.
  double (*length)(const struct df_road *road);
  // The obstacle as a polyline beginning at s = 0, for df_polyline_finish to free.
  enum df_status (*shape)(const struct df_road *road, struct df_polyline *out,
                          struct df_faults *faults);
  int faded;                  // 1: a rough road: faded in over 10 m, judged over all that follows
  const char *source;         // where the shape comes from
};
extern const struct df_road_kind *const df_road_kinds[];
extern const int df_road_kind_count;
int df_road_kind_find(const char *name); // row, or -1

// The height w(s) of the axle less radius, and its slope, as the tyre's contact makes them of the
// profile: every `step` metres from `start`; in between a cubic Hermite through w and slope.
// Outside: constant, slope 0. n is at least 2. A kink of w is spread over the one step it falls in:
// w is off there by less than step/6 times the jump of slope.
struct df_profile {
  int n;
  double start, step;         // m
  double *w;                  // m
  double *slope;              // 1
  double first_touch;         // m, s at which w first leaves 0; NAN: never (flat)
  double last_touch;          // m, s from which on w is constant; NAN: never left
  double end;                 // m, s at which the last repeat of the ground's shape ends
  int faded;                  // 1: see df_road_kind
  int feature_n;              // places where w, slope or curvature jump, ascending
  double *feature;            // m; only both ends of roads that are rough all along
};

// Tabulate the road for this tyre: contact, repeats, fading. A repeat starts `gap` after the end of
// the one before it (s, turned to metres at road speed), at the height where that one ended. Rough
// roads: w times S(s/10 m), S(u) = u^2 (3 - 2u) on 0..1. Step: min(1 mm, radius/300).
// DF_BAD_INPUT, DF_CANNOT_READ (recorded), DF_UNKNOWN_NAME (kind), DF_NO_MEMORY: nothing is left to
// free. faults may be NULL.
enum { DF_PROFILE_MAX = 5000000 }; // places in a table: 80 MB, 5 km of road at 1 mm
enum df_status df_profile_init(struct df_profile *profile, const struct df_road *road,
                               const struct df_tyre *tyre, struct df_faults *faults);
void df_profile_finish(struct df_profile *profile);

// Height, slope and curvature (1/m) at s, m. Any of the pointers may be NULL.
void df_profile_at(const struct df_profile *profile, double s, double *w, double *slope,
                   double *curvature);

// Move the whole road by this many metres; forward is positive.
void df_profile_shift(struct df_profile *profile, double metres);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
