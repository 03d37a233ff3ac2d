// Restrictions to flow: drilled holes, areas, gaps, the rod's bore, and how they add up.
#ifndef DAMPFORK_PATH_H
#define DAMPFORK_PATH_H

#include "dampfork/scenario.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

// dp = K1 Q + K2 Q|Q| with K1 = mu*viscous, K2 = rho*inertial.
// A closed path has viscous = inertial = INFINITY and choke 0: test it with df_restriction_closed()
// before forming K1 and K2, since INFINITY*0 is no number.
struct df_restriction {
  double viscous;             // 1/m3, K1/mu
  double inertial;            // 1/m4, K2/rho
  double choke;               // m2: |Q| <= choke*sqrt((p_from - p_vapour)/rho); INFINITY: never chokes
};

// A group of equal holes. length: wall, m. inwards: 1 when the oil enters from outside (the entry edge
// counts), 0 when it comes out of the bore. contraction: of a sharp edge, 0.62; INFINITY: no choking.
// Loss of the edge: Idelchik's tables for thick, rounded and chamfered holes, the smallest of the three.
// Viscous part: Dagan, Weinbaum & Pfeffer 1982. Choking: Nurick 1976 (contraction from memory).
struct df_restriction df_restriction_hole(const struct df_hole_group *hole, double length, int inwards,
                                          double contraction);

// n groups of sharp bleed holes side by side, length in m.
struct df_restriction df_restriction_bleed(const struct df_bleed *bleed, int n, double length,
                                           double contraction);

// Any passage of known area (m2), discharge coefficient, hydraulic diameter (m) and length (m).
// Hydraulic diameter INFINITY: no viscous part.
struct df_restriction df_restriction_area(double area, double discharge, double hydraulic_diameter,
                                          double length);

// Ring-shaped gap (m, on one side), length (m), relative eccentricity 0..1, mean diameter (m).
struct df_restriction df_restriction_gap(double gap, double length, double eccentricity,
                                         double mean_diameter);

// Bore of the rod: length and diameter in m, loss of its mouth and outlet as a multiple of rho u2/2.
struct df_restriction df_restriction_bore(double length, double diameter, double loss);

// Side by side: 1/K1 and 1/sqrt(K2) add, choke areas add. One behind the other: K1 and K2 add, the
// smaller choke stays. Only `share` (0..1) of the area left open; below 1e-6 it is closed.
struct df_restriction df_restriction_parallel(struct df_restriction a, struct df_restriction b);
struct df_restriction df_restriction_series(struct df_restriction a, struct df_restriction b);
struct df_restriction df_restriction_covered(struct df_restriction a, double share);
int df_restriction_closed(struct df_restriction a);

// Share of a round hole left free by a straight edge at `u` radii over its centre: 0 at -1, 1 at 1.
double df_hole_open_share(double u);

// Flow (m3/s) at a pressure difference dp (Pa) without choking; mu in Pa s, rho in kg/m3.
// slope (may be NULL): dQ/d dp, m3/(s Pa). Odd, smooth through zero.
double df_restriction_flow(struct df_restriction a, double mu, double rho, double dp, double *slope);

// The same with K1 (Pa s/m3) and K2 (Pa s2/m6) at hand.
double df_two_term_flow(double k1, double k2, double dp, double *slope);

// The same between two pressures (Pa), choked where vapour (Pa) chokes it.
// slope (may be NULL): derivatives by p_from and by p_to.
double df_restriction_flow_between(struct df_restriction a, double mu, double rho, double vapour,
                                   double p_from, double p_to, double slope[2]);

enum { DF_HANDBOOK_KNOTS = 14 };

// One group of holes, ready for any law. Index 0: oil enters from outside, 1: it comes out of the bore.
struct df_hole {
  double count;               // 1
  double diameter, length;    // m
  double area;                // m2, all holes of the group
  double zeta[2];             // 1, loss coefficient at high Reynolds number
  struct df_restriction two_term[2];
  double squares[2][DF_HANDBOOK_KNOTS]; // 1, zeta Re2 at the knots of the handbook law
};

// All holes of one kind in a rod, with the law they obey.
struct df_hole_set { int law; /* enum df_law */ int n; struct df_hole at[DF_HOLE_GROUPS_MAX]; };

// Holes of a rod (length: its wall, m), bleed holes (length: bleed_length, m). Groups without holes are
// left out of the flow but keep their place, so that shares match the list.
void df_hole_set_init(struct df_hole_set *set, int law, const struct df_hole_list *list, double length,
                      double contraction);
void df_hole_set_init_bleed(struct df_hole_set *set, int law, const struct df_bleed *bleed, int n,
                            double length, double contraction);

// All open groups as one restriction of the two-term law. share: open part of each group, 0..1; NULL:
// all open. inwards as above.
struct df_restriction df_hole_set_restriction(const struct df_hole_set *set, const double *share,
                                              int inwards);

// Flow (m3/s, positive inwards) of a set of holes in series with a bore of k1 (Pa s/m3), k2 (Pa s2/m6;
// both 0: none) at dp (Pa, outside less inside), without choking, by the set's law:
// two-term; handbook (Idelchik's Reynolds tables); lichtarowicz (Lichtarowicz, Duggins & Markland 1965,
// bounded by creeping flow). steps: Newton's steps for the pressure between holes and bore; 0: to 1e-12.
// slope (may be NULL): dQ/d dp. Odd if both edges are alike; strictly rising; one slope at zero.
double df_hole_set_flow(const struct df_hole_set *set, const double *share, double mu, double rho,
                        double bore_k1, double bore_k2, double dp, int steps, double *slope);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
