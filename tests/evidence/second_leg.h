// A second writing of one leg: constants, rest state, forces, and steady motion by nested root
// finding on ln(p - p_vapour).
#ifndef DF_TESTS_SECOND_LEG_H
#define DF_TESTS_SECOND_LEG_H

#include "second_laws.h"

// Paths in the order of the library's tables, and one more: compression holes that the tube's end
// has passed, from the annulus.
enum second_id {
  SECOND_COMPRESSION_HOLES, SECOND_REBOUND_HOLES, SECOND_CHECK, SECOND_CHECK_LEAK, SECOND_RING,
      SECOND_VALVE, SECOND_BLEED,
  SECOND_RETURN, SECOND_PASSED_HOLES, SECOND_PATHS
};

// What a stack of shims is to the valve; a stack solution is not written a second time here.
struct second_shims {
  double rate;                // N/m, k_s; 0: no shims
  double area;                // m2, A_e
  double widening;            // 1, c_w
  double face;                // m, thickness of the face shim
};

struct second_leg {
  const struct df_scenario *scenario;
  const struct df_side *side;
  struct second_oil oil;
  double tube, bore, rod, hollow; // m2: A_o, A_i, A_r, A_b
  double rod_volume;          // m3, V_R; 0: no valve
  struct second_bank compression, passed, rebound; // as L-R, as A-R, A-R
  struct second_path check, leak, ring, piston;
  struct second_valve valve;
  double gas0;                // m3, V_g0
  double gas_less;            // m3, room taken by hot oil
  double oil0;                // m3 at p0, W_0
};

// Pressures of one leg and all flows, m3/s of oil at p0.
struct second_flows {
  double p[4];                // Pa: lower, annulus, rod, column
  double lift;                // m
  double flow[SECOND_PATHS];  // m3/s
  double drop[SECOND_PATHS];  // J/m3, h upstream less h downstream
  double out[3];              // m3/s, net outflow of lower, annulus, rod
  double column;              // m3/s into the column
  struct second_plate *plate; // the plate's own motion; NULL: it stands in balance
};
enum { SECOND_LOWER, SECOND_ANNULUS, SECOND_ROD, SECOND_COLUMN };

struct second_forces { double air, damping, spring, stop, cone; }; // N

struct second_steady {
  double x, v;                // m, m/s
  double damping, spring, air, friction, cone, stop; // N
  double p_lower, p_annulus, p_rod, p_column;        // Pa
  double lift;                // m
  double flow[SECOND_PATHS];  // m3/s of oil at p0
  double power[SECOND_PATHS]; // W
};

void second_leg_init(struct second_leg *, const struct df_scenario *, int side,
                     const struct second_shims *, double kelvin);
void second_volumes(const struct second_leg *, double x, double volume[3]); // m3
// m3, oil = sum of W in the chambers
double second_gas_volume(const struct second_leg *, double x, double oil);
double second_rest_pressure(const struct second_leg *, double x);            // Pa; NAN: no room
void second_flows_at(const struct second_leg *, double x, struct second_flows *); // from flows->p
void second_forces_at(const struct second_leg *, double x, double v, const double p[4],
                      struct second_forces *);
// N
double second_friction_level(const struct second_leg *, double p_column, double upper,
                             double lower);
double second_bristle_limit(const struct second_leg *, double v); // 1, G(v)

// Sum of spring, stop and air at rest, N.
double second_rest_force(const struct second_leg *, double x);

// Steady motion. 0: done, -1: no solution.
int second_steady_of(const struct second_leg *, double x, double v, struct second_steady *out);
int second_steady(const struct df_scenario *, int side, double x, double v,
                  struct second_steady *out);

// Both masses as the axles see them, and the travel at which the front stands still.
double second_sprung_mass(const struct df_scenario *);                      // kg
double second_total_mass(const struct df_scenario *);                       // kg
double second_rest_travel(const struct df_scenario *, const struct second_leg leg[2]); // m; NAN
double second_cracking_speed(const struct second_leg *, double x);          // m/s
// Damping ratio of the front at +-v about the rest travel.
double second_damping_ratio(const struct df_scenario *, const struct second_leg leg[2], double v);

// The fork of docs/theory.md, appendix A.
void appendix_a_scenario(struct df_scenario *, int valved);

#endif
