// What the files of the road kinds share: making polylines, and faults that name the road.
#ifndef DF_VEHICLE_GROUND_H
#define DF_VEHICLE_GROUND_H

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "base/param.h"
#include "dampfork/road.h"

#define DF_CURVE_STEP 1e-3 // m, curves are polylines: 0.6/m bends 0.1 um away from its chord

// Copy the kind's own struct out of df_road.keys (a copy: no pointer aliases another type).
#define df_road_keys(road, into) memcpy((into), (road)->keys, sizeof *(into))
#define DF_KEYS_FIT(type) \
  _Static_assert(sizeof(type) <= sizeof(((struct df_road *)0)->keys), "the keys of a kind fit")
#define DF_SECTION_OF(kind_name, type, rows_of) \
  { .name = kind_name, .size = sizeof(type), .row = rows_of, \
    .rows = sizeof rows_of/sizeof *rows_of }

typedef double df_height(const void *keys, double s); // m, of the kind's own struct and m

// A polyline of n points, not yet filled. DF_NO_MEMORY or DF_OK.
enum df_status df_polyline_init(struct df_polyline *line, int n);

// Number of points that carry a curve of this length, m, both ends counted; at least 2.
int df_curve_points(double length);

// Fill points first .. first + n - 1 from s = from to s = to, m, at equal spacing.
void df_curve_fill(struct df_polyline *line, int first, int n, double from, double to,
                   df_height *height, const void *keys);

// Whole obstacles: one curve; a box of vertical faces (height negative: a hole).
enum df_status df_curve(struct df_polyline *line, double length, df_height *height,
                        const void *keys);
enum df_status df_box(struct df_polyline *line, double length, double height);

// Height, m, of an arc through (0, 0), (chord/2, height), (chord, 0).
double df_arc(double chord, double height, double s);

// A fault at roads.NAME.KEY; returns the status.
enum df_status df_road_fault(struct df_faults *faults, enum df_status status,
                             const struct df_road *road, const char *key, const char *format, ...)
  __attribute__((format(printf, 5, 6)));

// DF_OK if least <= value <= most (SI), else a fault that says so in the unit given.
enum df_status df_road_within(struct df_faults *faults, const struct df_road *road, const char *key,
                              double value, double least, double most, double unit,
                              const char *unit_name);

#endif
