// Coil springs: force, energy, bind, and what wire and coils say about them.
#ifndef DAMPFORK_SPRING_H
#define DAMPFORK_SPRING_H

#include "dampfork/scenario.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

#define DF_SPRING_STEEL 7850.0      // kg/m3, EN 10270-1
#define DF_SPRING_SHEAR 81.5e9      // Pa, EN 10270-1

// Force over coil compression D: 0 for loose coils, then three straight lines.
struct df_spring_law {
  double rate;                // N/m up to `change`
  double change;              // m of coil compression; INFINITY: one rate
  double second_rate;         // N/m from there
  double bind;                // m of coil compression at which all coils touch; INFINITY: unknown
  double bound_rate;          // N/m past bind
};

// Law of a scenario's spring; second_rate or change_at NAN: one rate.
struct df_spring_law df_spring_law_of(const struct df_spring *spring);

// Two springs one on the other: the first (N/m) binds after `first_travel` of its own (m), then only the
// second works. bind: m of the pair's compression, INFINITY for unknown.
struct df_spring_law df_spring_series(double first, double first_travel, double second, double bind);

// Force in N at a coil compression in m, at any sign; slope may be NULL, N/m. Energy in J.
double df_spring_force(const struct df_spring_law *law, double compression, double *slope);
double df_spring_energy(const struct df_spring_law *law, double compression);

// Rate in N/m of a helical spring: wire and mean coil diameter in m, working coils, shear modulus in Pa.
double df_spring_helical_rate(double wire, double mean_diameter, double working_coils, double shear_modulus);

// Greatest shear stress in Pa under a force in N, with Wahl's factor for the curvature of the wire.
double df_spring_shear_stress(double force, double wire, double mean_diameter);
double df_spring_wahl(double index);  // index: mean coil diameter over wire, above 1

// What wire, outside and coils (all, with closed and ground ends: two do not work) say of rate, solid
// length and mass; each NAN if one of the three is missing.
struct df_spring_made { double rate; /* N/m */ double solid_length; /* m */ double mass; /* kg */ };
struct df_spring_made df_spring_made_of(const struct df_spring *spring);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
