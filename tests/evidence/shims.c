// Bending shims: single annular plates against handbooks, stacks against computed contact.
#include <math.h>

#include "dampfork/shims.h"
#include "evidence.h"

static const double modulus = 206e9, poisson = 0.3; // Pa, 1
static const double a = 15e-3, t = 0.15e-3;         // m, radius and thickness

static struct df_shim_bent bend(const struct df_shim *shims, int n, double clamp, struct df_shim_load load, double at)
{
  struct df_shim_bent out = {.lift = NAN, .stress = NAN, .clamp_stress = NAN};
  if (df_shim_stack_bend(shims, n, clamp, modulus, poisson, &load, at, &out)) out.lift = NAN;
  return out;
}

static struct df_shim_bent one_plate(double ratio, double pressure, double ring)
{
  struct df_shim shim = {1, 2*a, t};
  struct df_shim_load load = {.pressure = pressure, .inner = ratio*a, .outer = a, .ring = ring, .ring_radius = a};
  return bend(&shim, 1, ratio*a, load, a);
}

// ---- Wahl & Lobo: w = k q a^4/(E t^3), w = k P a^2/(E t^3); the argument is a/b
static double k_pressure(double ratio)
{
  return one_plate(1/ratio, 100, 0).lift*modulus*t*t*t/(100*pow(a, 4));
}

static double k_edge(double ratio)
{
  return one_plate(1/ratio, 0, 0.1).lift*modulus*t*t*t/(0.1*a*a);
}

// ---- Kirchhoff plate in the form of Roark's table; the argument is b/a
static double rigidity(void)
{
  return modulus*t*t*t/(12*(1 - poisson*poisson));
}

static double lift_pressure(double ratio)
{
  return one_plate(ratio, 100, 0).lift*rigidity()/(100*pow(a, 4));
}

static double moment_pressure(double ratio)
{
  return one_plate(ratio, 100, 0).clamp_stress*t*t/6/(100*a*a);
}

static double lift_edge(double ratio)
{
  double line = 0.1/(2*3.14159265358979323846*a); // N/m
  return one_plate(ratio, 0, 0.1).lift*rigidity()/(line*pow(a, 3));
}

static double moment_edge(double ratio)
{
  double line = 0.1/(2*3.14159265358979323846*a); // N/m
  return one_plate(ratio, 0, 0.1).clamp_stress*t*t/6/(line*a);
}

// ---- stacks on a clamp of 6 mm radius, 0.15 mm each; lift of the edge of the largest in um
static double stack(double which)
{
  static const struct df_shim shims[] = {{1, 30e-3, 0.15e-3}, {1, 24e-3, 0.15e-3}, {1, 18e-3, 0.15e-3}};
  static const struct df_shim pair[] = {{2, 30e-3, 0.15e-3}};
  struct df_shim_load pressed = {.pressure = 1e4, .inner = 6e-3, .outer = 15e-3};
  struct df_shim_load ring = {.ring = 5, .ring_radius = 14e-3};
  if (which == 2) return 1e6*bend(pair, 1, 6e-3, pressed, a).lift;
  if (which == 0) return 1e6*bend(shims, 2, 6e-3, ring, a).lift;
  return 1e6*bend(shims, which == 1 ? 2 : 3, 6e-3, pressed, a).lift;
}

// Two unlike shims of one diameter bend as one of t^3 = sum of t^3.
static double equal_diameters(double thicker)
{
  struct df_shim two[] = {{1, 30e-3, 0.15e-3}, {1, 30e-3, thicker}};
  struct df_shim one = {1, 30e-3, cbrt(pow(0.15e-3, 3) + pow(thicker, 3))};
  struct df_shim_load pressed = {.pressure = 1e4, .inner = 6e-3, .outer = 15e-3};
  return bend(two, 2, 6e-3, pressed, a).lift/bend(&one, 1, 6e-3, pressed, a).lift;
}

static const char wahl[] = "Wahl & Lobo 1930, Stresses and deflections in flat circular plates "
  "with central holes (handbook table)";
static const char roark[] = "Kirchhoff plate, inner edge clamped, outer free (Roark, table 11.2, "
  "cases 1l and 2l), solved apart";
static const char contact[] = "Frictionless contact of plates, by finite elements and by a "
  "semi-analytic solution";
static const char digits[] = "half of the last digit printed";
static const char good[] = "all digits computed are good";
static const char agree[] = "the two solutions agree to 2e-6";

static const struct evidence rows[] = {
  {"shims", 'P', wahl, "pressure, a/b 1.5", "k 0.0183", k_pressure, 1.5, 0.0183, 6e-5, "", digits},
  {"shims", 'P', wahl, "pressure, a/b 2", "k 0.0938", k_pressure, 2, 0.0938, 6e-5, "", digits},
  {"shims", 'P', wahl, "pressure, a/b 4", "k 0.448", k_pressure, 4, 0.448, 6e-4, "", digits},
  {"shims", 'P', wahl, "pressure, a/b 5", "k 0.564", k_pressure, 5, 0.564, 6e-4, "", digits},
  {"shims", 'P', wahl, "edge load, a/b 2", "k 0.0877", k_edge, 2, 0.0877, 6e-5, "", digits},
  {"shims", 'P', wahl, "edge load, a/b 5", "k 0.350", k_edge, 5, 0.350, 6e-4, "", digits},
  {"shims", 'C', roark, "pressure, b/a 0.1", "lift 0.075693054", lift_pressure, 0.1, 0.075693054,
    4e-8, "", good},
  {"shims", 'C', roark, "pressure, b/a 0.3", "lift 0.031818237", lift_pressure, 0.3, 0.031818237,
    2e-8, "", good},
  {"shims", 'C', roark, "pressure, b/a 0.5", "lift 0.0085886361", lift_pressure, 0.5, 0.0085886361,
    4e-9, "", good},
  {"shims", 'C', roark, "pressure, b/a 0.3", "moment at the clamp 0.41033828", moment_pressure, 0.3,
    0.41033828, 2e-7, "", good},
  {"shims", 'C', roark, "edge ring, b/a 0.1", "lift 0.26913012", lift_edge, 0.1, 0.26913012, 1.5e-7,
    "", good},
  {"shims", 'C', roark, "edge ring, b/a 0.5", "lift 0.050454807", lift_edge, 0.5, 0.050454807, 3e-8,
    "", good},
  {"shims", 'C', roark, "edge ring, b/a 0.3", "moment at the clamp 1.3819990", moment_edge, 0.3,
    1.3819990, 7e-7, "", good},
  {"shims", 'C', contact, "radii 15/12 mm, 10 kPa", "74.213406 um", stack, 1, 74.213406, 1.5e-4,
    "um", agree},
  {"shims", 'C', contact, "radii 15/12/9 mm, 10 kPa", "57.933394 um", stack, 3, 57.933394, 1.2e-4,
    "um", agree},
  {"shims", 'C', contact, "radii 15/12 mm, 5 N on a ring of 14 mm", "115.590286 um", stack, 0,
    115.590286, 2.4e-4, "um", agree},
  {"shims", 'C', contact, "two of 15 mm, 10 kPa", "70.116241 um", stack, 2, 70.116241, 1.5e-4, "um",
    agree},
  {"shims", 'C', "Equal diameters bend alike: cubes of the thickness add", "0.15 and 0.20 mm",
    "ratio 1", equal_diameters, 0.20e-3, 1, 1e-6, "", "exact"},
  {"shims", 'C', "Von Karman plate, inner edge held in slope and plane, solved apart", "b/a 0.3",
    "hardening 0.2535", df_shim_hardening, 0.3, 0.2535, 1e-6, "", "a knot of the table"},
};
EVIDENCE_GROUP(evidence_shims, "shims", rows);
