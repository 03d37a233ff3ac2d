// One leg at rest and in steady motion.
#ifndef DAMPFORK_LEG_H
#define DAMPFORK_LEG_H

#include "dampfork/scenario.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

// Paths of the oil, in the order of all tables and files.
enum df_path_id {
  DF_PATH_COMPRESSION_HOLES, DF_PATH_REBOUND_HOLES, DF_PATH_CHECK, DF_PATH_CHECK_LEAK, DF_PATH_RING, DF_PATH_VALVE, DF_PATH_BLEED,
  DF_PATH_RETURN, DF_PATHS
};
extern const char *const df_path_names[DF_PATHS];

// One point of a steady curve. Pressures absolute.
struct df_steady {
  double x, v;                // m, m/s
  double damping, spring, air, friction, cone, stop; // N
  double p_lower, p_annulus, p_rod, p_column;        // Pa
  double lift;                // m
  double flow[DF_PATHS];      // m3/s of oil at p0
  double power[DF_PATHS];     // W
};

// Constants of one leg, ready for use. Opaque; made from a scenario once.
struct df_leg_model;
struct df_leg_model *df_leg_create(const struct df_scenario *scenario, int side, struct df_faults *faults);
void df_leg_destroy(struct df_leg_model *leg);

// Steady motion at travel x (m) and fork speed v (m/s).
enum df_status df_leg_steady(const struct df_leg_model *leg, double x, double v, struct df_steady *out);

// Coefficients of dp = K1 Q + K2 Q|Q| at the oil's temperature: K1 in Pa s/m3, K2 in Pa s2/m6 inwards and outwards (towards and
// from the rod's bore; the same where there is no difference). Compression holes without the bore, which is a part of its own.
// The valve itself has none: its lift changes. NAN: closed, or not there.
enum { DF_PART_BORE = DF_PATHS, DF_PART_PORTS, DF_PARTS };
struct df_path_constants { double k1; /* Pa s/m3 */ double k2_in, k2_out; /* Pa s2/m6 */ };
void df_leg_paths(const struct df_leg_model *leg, struct df_path_constants out[DF_PARTS]);

// Static results of the whole front. SI; NAN where undefined.
struct df_statics {
  double sprung_mass, unsprung_mass;   // kg
  double total_mass, front_share;      // kg, 1
  double front_load_alone, front_load_rider; // N on the front tyre, bike alone and with rider and load
  double x_alone, x_rider, x_loaded;   // m, static travel with xi = 0, isothermal gas
  double x_ride;                       // m, static travel where a ride starts
  double free_travel;                  // m, x at rest with the wheel off the ground
  double sag_band;                     // m, settled from below less settled from above, with rider: positive
  double cap_force, end_force;         // N a leg
  double spring_preload;               // m
  double gas_end, gas_start;           // m3 at full travel and fork extended
  double solids;                       // m3
  double pressure_end;                 // Pa absolute at full travel
  double cracking_pressure;            // Pa across the valve; NAN: plain
  double cracking_speed;               // m/s; NAN: plain or never within 10 m/s
  double viscosity, density;           // m2/s, kg/m3 at the oil's temperature
  double damping_ratio_compression[5], damping_ratio_rebound[5]; // 1 at 0.05 0.1 0.3 1 3 m/s
};
enum df_status df_statics_of(const struct df_scenario *scenario, struct df_statics *out, struct df_faults *faults);

// The part of it that needs no motion: masses, rests, end of travel. The valve's opening and the damping ratios stay NAN.
enum df_status df_rest_of(const struct df_scenario *scenario, struct df_statics *out, struct df_faults *faults);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
