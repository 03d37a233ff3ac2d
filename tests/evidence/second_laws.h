// A second writing of the laws of docs/theory.md, for tests only. It shares nothing with lib/ but
// the plain structs of a scenario: other
// unknowns, other solvers, no slopes, no lanes, so that a mistake has to be made twice to stay
// unseen.
#ifndef DF_TESTS_SECOND_LAWS_H
#define DF_TESTS_SECOND_LAWS_H

#include "dampfork/scenario.h"

// Oil at one temperature, with its air.
struct second_oil {
  double mu;                  // Pa s
  double rho;                 // kg/m3
  double stiffness;           // Pa, of oil and chamber walls together
  double air;                 // 1, volume share at p0
  double vapour;              // Pa
  int law;                    // enum df_law
  int choking;                // enum df_switch
  double contraction;         // 1, of a sharp edge when choked
};

// One group of equal holes. Edge 0 is met by flow from the first chamber to the second, edge 1 by
// flow back.
struct second_hole {
  double count;               // 1
  double diameter, length;    // m
  double radius[2], chamfer[2]; // m
  double place;               // m, see second_share; NAN: never covered
};

// Groups in parallel, then a bore that all of their flow passes.
struct second_bank {
  int n;
  struct second_hole at[DF_HOLE_GROUPS_MAX];
  double bore1, bore2;        // Pa s/m3, Pa s2/m6; 0: no bore
};

// dp = k1 Q + k2 Q|Q|; open 0: no such path.
struct second_path { int open; double k1 /* Pa s/m3 */, k2 /* Pa s2/m6 */; };

// Plate valve on the rod's head.
struct second_valve {
  double seat;                // m, P = pi seat
  double area;                // m2, A_e
  double jet;                 // 1
  double k2_port;             // Pa s2/m6
  double curtain1, curtain1_land, curtain2; // of 1/y2, of 1/y3, of 1/y2
  double rate, preload, stop; // N/m, m, m
  double mass, damping;       // kg, of plate and a third of the spring, 0: static; N s/m
  double shim_rate, dish, widening, face; // N/m, m, 1, m: F = rate q (1 + widening (q/face)^2)
  struct second_bank bleed;
  struct second_path back;    // return path
  double back_crack, back_full; // Pa
};

struct second_valve_flow { double lift /* m */, plate, bleed, back; /* m3/s,
  positive out of the rod */ };

// Root of a rising function between low and high, searched outwards from guess. NAN when there is
// none.
typedef double second_function(void *context, double x);
double second_root(second_function *f, void *context, double guess, double step, double low,
                   double high);

double second_smooth(double u);                       // 3u2 - 2u3, u clipped to 0..1
double second_circle(double diameter);                // m2
double second_viscosity(const struct df_oil *, double kelvin); // m2/s
double second_density(const struct df_oil *, double kelvin);   // kg/m3

double second_oil_share(const struct second_oil *, double p);  // v(p), volume over volume at p0
double second_oil_share_slope(const struct second_oil *, double p); // 1/Pa
double second_oil_h(const struct second_oil *, double p);      // Pa, dh/dp = v

struct second_path second_area_path(const struct second_oil *, double area, double discharge,
                                    double hydraulic, double length);
struct second_path second_gap_path(const struct second_oil *, const struct df_gap *,
                                   double diameter);
double second_path_flow(const struct second_path *, double dp); // m3/s

// Two-term constants of one group for flow over one edge.
struct second_path second_hole_path(const struct second_oil *, const struct second_hole *,
                                    int edge);
// part of a circle past a straight edge, u = distance/radius
double second_open_share(double u);
// Flow from p1 to p2, m3/s. share[i]: open part of each group.
double second_bank_flow(const struct second_oil *, const struct second_bank *, const double *share,
                        double p1, double p2);

struct second_valve_flow second_valve_flow(const struct second_oil *, const struct second_valve *,
                                           double p_rod, double p_column);
double second_valve_crack(const struct second_valve *); // Pa

// A plate with mass: flow under it and force on it at a lift and speed. Closed by its own motion,
// not by a balance.
struct second_plate { double lift, speed; /* m, m/s */ double flow; /* m3/s */ double force; /* N,
  upwards, all of it */ };
void second_plate_push(const struct second_valve *, double dp, struct second_plate *);

#endif
