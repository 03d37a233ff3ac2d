// Thin ring plate, held at its inner edge, free outside, bent symmetrically (Kirchhoff): exact deflections.
#ifndef DF_PARTS_PLATE_H
#define DF_PARTS_PLATE_H

struct df_plate {
  double clamp, edge;         // m, radii, 0 < clamp < edge
  double rigidity;            // N m, E t3/(12 (1 - nu2))
  double poisson;             // 1
};

double df_plate_rigidity(double modulus, double poisson, double thickness); // Pa, 1, m -> N m

// What a load makes of the plate: three numbers that add up over loads.
struct df_plate_bend {
  double tilt;                // m, factor of the first solution that starts at the clamp
  double shear;               // m, factor of the second
};

// Ring force of 1 N in all at radius `at` (clamp < at <= edge), or 1 Pa between two radii
// (clamp <= inner < outer <= edge).
struct df_plate_bend df_plate_ring(const struct df_plate *plate, double at);
struct df_plate_bend df_plate_pressure(const struct df_plate *plate, double inner, double outer);

// Deflection (m) at a radius: of the bend itself, and what the load adds outside where it acts.
double df_plate_lift(const struct df_plate *plate, struct df_plate_bend bend, double radius);
double df_plate_ring_beyond(const struct df_plate *plate, double at, double radius);
double df_plate_pressure_beyond(const struct df_plate *plate, double inner, double outer, double radius);

// Radial moment per length (N) at a radius, in the same two parts.
double df_plate_moment(const struct df_plate *plate, struct df_plate_bend bend, double radius);
double df_plate_ring_moment_beyond(const struct df_plate *plate, double at, double radius);
double df_plate_pressure_moment_beyond(const struct df_plate *plate, double inner, double outer,
                                       double radius);

#endif
