// Stacks of bending shims: clamped inside, pressed at the free face of the first, each lying on the next.
#ifndef DAMPFORK_SHIMS_H
#define DAMPFORK_SHIMS_H

#include "dampfork/scenario.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

#define DF_SHIM_POISSON 0.3     // 1, steel

// What a valve needs of its stack. Linear for small lifts; grows stiffer with c_w.
struct df_shim_stack {
  double pressure_lift;       // m/Pa, c_p: lift at the seat for a pressure on port_inner..seat
  double ring_lift;           // m/N, c_r: lift at the seat for a ring force there
  double stiffness;           // N/m, k_s = 1/c_r
  double area;                // m2, A_e = c_p/c_r: what pressure acts on, as a ring force at the seat
  double face_thickness;      // m, t_0
  double hardening;           // 1, c_w: force = k_s q (1 + c_w (q/t_0)2)
  double stress_per_lift;     // Pa/m, greatest bending stress anywhere in the stack, ring force at the seat
  double clamp_stress_per_lift; // Pa/m, the same at the clamp alone
  double free_lift;           // m, lift at the seat at which shims meet across a smaller one between them
                              // and the stack grows stiffer than told here; INFINITY: never
};

// n groups of equal shims, face shim first, radii in m, modulus in Pa, poisson 1.
// Thin plates (Kirchhoff), frictionless contact that pushes but does not pull, any diameters in any order.
// Needs clamp < seat <= radius of the face shim; port_inner is raised to the clamp.
// DF_BAD_INPUT, DF_NO_MEMORY; DF_NO_SOLUTION if the contact does not settle.
enum df_status df_shim_stack_solve(const struct df_shim *shims, int n, double clamp_radius,
                                   double seat_radius, double port_inner_radius, double modulus,
                                   double poisson, struct df_shim_stack *out);

// Force in N of the stack at a lift (m, 0 or more, dish included). slope may be NULL, N/m.
double df_shim_force(const struct df_shim_stack *stack, double lift, double *slope);

// Greatest bending stress in Pa at that lift by linear theory, which is on the safe side.
double df_shim_stress(const struct df_shim_stack *stack, double lift);

// Greatest bending stress in Pa of a valve's stack at its lift stop, dish included. NAN: no shims, or the
// stack cannot be solved.
double df_valve_shim_stress(const struct df_valve *valve);

// Growth of stiffness with lift, by clamp radius over seat radius. Von Karman plate under uniform
// pressure, poisson 0.3, inner edge held in slope and in plane; constant outside 0.1..0.7.
double df_shim_hardening(double radius_ratio);

// Any load on the free face of the first shim, and what it does.
struct df_shim_load {
  double pressure;            // Pa
  double inner, outer;        // m, radii between which it acts
  double ring;                // N in all
  double ring_radius;         // m
};
struct df_shim_bent {
  double lift;                // m, of the face shim at the radius asked for
  double stress, clamp_stress;// Pa
  double meets_at;            // multiple of the load at which shims meet across a smaller one; INFINITY
  int nodes, contacts, passes;// effort: radii used, of them in contact (all pairs), solutions of the plates
};
enum df_status df_shim_stack_bend(const struct df_shim *shims, int n, double clamp_radius, double modulus,
                                  double poisson, const struct df_shim_load *load, double at_radius,
                                  struct df_shim_bent *out);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
