// Drilling a damper rod: where the holes go and what is left of the tube.
#ifndef DAMPFORK_DRILL_H
#define DAMPFORK_DRILL_H

#include "dampfork/status.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

#define DF_DRILL_SPACING 0.010  // m between neighbouring pairs along the rod (common practice)
#define DF_DRILL_LIGAMENT 1.5   // 1, least wall between two holes over the larger hole's diameter
                                // (common practice: two holes closer than this weaken each other)
#define DF_DRILL_MARGIN 0.001   // m kept between a hole's upper edge and the tube's end (chosen here)

// One hole through one wall.
struct df_drill_hole { double height; /* m over the foot */ double angle; /* rad */ double diameter; /* m */ };

// Cross-section in m2 of a tube (diameters in m) at the middle of n holes of one height, drilled radially
// through one wall each. Exact; n = 0: the whole ring. NAN if the holes leave nothing.
double df_drill_section(double outside, double bore, double diameter, int n);

// Stress concentration on the net section of a strip with a hole in its middle, share = diameter over
// width, 0..1. Howland 1930 as a polynomial of Peterson's (from memory).
double df_drill_concentration(double share);

// One height of a rod with its holes under an axial load.
struct df_drill_strength {
  double section;             // m2 left
  double share;               // 1, of the undrilled section
  double concentration;       // 1, the tube taken as unrolled strips, one a hole: a first guess
  double stress;              // Pa, greatest, at the hole's edge
  double safety;              // 1, yield over stress
};
// Diameters in m, n holes at one height, load in N of either sign, yield in Pa.
// DF_BAD_INPUT where nothing is left of the tube.
enum df_status df_drill_check(double outside, double bore, double diameter, int n, double load, double yield,
                              struct df_drill_strength *out);

// Wall left between two holes, m, along a cylinder of this radius (m; take the middle of the wall).
double df_drill_wall_between(const struct df_drill_hole *a, const struct df_drill_hole *b, double radius);

// Least wall between any two of n holes as a multiple of the larger of the two; INFINITY for n < 2.
double df_drill_ligament(const struct df_drill_hole *hole, int n, double radius);

// Greatest height (m over the foot) of a hole's centre so that the tube's end never passes it;
// tube_end_height in m over the foot at full travel.
double df_drill_limit(double tube_end_height, double diameter);

// Pairs of opposite holes upwards from `first` (m), `spacing` (m) apart, each pair a quarter turn from the
// one below, none higher than `limit` (m; INFINITY: no limit). Fills hole[0..2*pairs) as far as they fit;
// returns how many pairs do.
int df_drill_layout(double first, double spacing, int pairs, double diameter, double limit,
                    struct df_drill_hole *hole);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
