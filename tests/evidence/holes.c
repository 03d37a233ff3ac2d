// Drilled holes: creeping flow, loss at high Reynolds number, three laws between; areas; covered holes.
#include "holes.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <math.h>

#include "evidence.h"

static const double pi = 3.14159265358979323846;
static const double d = 2e-3;           // m
static const double rho = 860, mu = 0.02; // kg/m3, Pa s

static struct df_hole_set one_hole(enum df_law law, double slender)
{
  struct df_hole_list list = {.n = 1, .at = {{.count = 1, .diameter = d, .height = NAN, .depth = NAN}}};
  struct df_hole_set set;
  df_hole_set_init(&set, law, &list, slender*d, 0.62);
  return set;
}

double hole_discharge_at_head(enum df_law law, double slender, double head)
{
  struct df_hole_set set = one_hole(law, slender);
  double speed = head*mu/rho/d, dp = 0.5*rho*speed*speed; // m/s of the ideal jet, Pa
  return df_hole_set_flow(&set, 0, mu, rho, 0, 0, dp, 0, 0)/(0.25*pi*d*d*speed);
}

// Re = Cd head rises with head: bisection on its logarithm.
double hole_discharge(enum df_law law, double slender, double reynolds)
{
  double low = log(1e-3*reynolds), high = log(1e4*reynolds + 1e4);
  for (int i = 0; i < 100; i++) {
    double middle = 0.5*(low + high), head = exp(middle);
    if (hole_discharge_at_head(law, slender, head)*head < reynolds) low = middle;
    else high = middle;
  }
  return hole_discharge_at_head(law, slender, exp(low));
}

// ---- creeping flow: the argument is length/diameter
static double creeping_drop(double slender)
{
  struct df_hole_group hole = {.count = 1, .diameter = 1e-3};
  return df_restriction_hole(&hole, slender*1e-3, 1, 0.62).viscous*0.02*1e-6;
}

static double zeta_times_re(double slender)
{
  struct df_hole_group hole = {.count = 1, .diameter = d};
  return 2*df_restriction_hole(&hole, slender*d, 1, 0.62).viscous*0.25*pi*d*d*d;
}

// ---- loss at high Reynolds number
static double zeta_of(struct df_hole_group hole, double slender)
{
  double area = 0.25*pi*d*d;
  hole.count = 1;
  hole.diameter = d;
  return 2*df_restriction_hole(&hole, slender*d, 1, 0.62).inertial*area*area;
}

static double thick_wall(double slender)
{
  return zeta_of((struct df_hole_group){0}, slender);
}

static double rounded_edge(double share)
{
  return zeta_of((struct df_hole_group){.entry_radius = share*d}, 0);
}

static double chamfered_edge(double share)
{
  return zeta_of((struct df_hole_group){.entry_chamfer = share*d}, 0);
}

static double discharge_1e5(double slender)
{
  return hole_discharge(DF_LAW_TWO_TERM, slender, 1e5);
}

// ---- laws at a Reynolds number
static double thin_handbook(double reynolds)
{
  return hole_discharge(DF_LAW_HANDBOOK, 0, reynolds);
}

static double plate_handbook(double reynolds)
{
  return hole_discharge(DF_LAW_HANDBOOK, 0.02, reynolds);
}

static double lichtarowicz_2(double head)
{
  return hole_discharge_at_head(DF_LAW_LICHTAROWICZ, 2, head);
}

static double lichtarowicz_2_re(double reynolds)
{
  return hole_discharge(DF_LAW_LICHTAROWICZ, 2, reynolds);
}

static double lichtarowicz_4_re(double reynolds)
{
  return hole_discharge(DF_LAW_LICHTAROWICZ, 4, reynolds);
}

// ---- orifices of textbooks: flow in US gallons a minute
static const double gallon_a_minute = 6.30901964e-5, inch = 0.0254, psi = 6894.757293; // m3/s, m, Pa

static double textbook_orifice(double pressure)
{
  struct df_restriction hole = df_restriction_area(0.25*pi*inch*inch, 0.80, INFINITY, 0);
  return df_restriction_flow(hole, 0.03, 900, pressure*psi, 0)/gallon_a_minute;
}

static double metering_orifice(double mercury)
{
  double dp = mercury*(3376.85 - 248.84); // Pa an inch, mercury under water, 60 F
  struct df_restriction hole = df_restriction_area(0.25*pi*4*inch*inch, 0.625, INFINITY, 0);
  return df_restriction_flow(hole, 1.1e-3, 998.97, dp, 0)/gallon_a_minute;
}

static double slit_like_hole(double pressure)
{
  struct df_restriction hole = df_restriction_area(0.25*pi*4e-6, 0.611, INFINITY, 0);
  return df_restriction_flow(hole, 0.02, 860, pressure, 0)*1e6;
}

// ---- bore: pressure a metre
static double bore_drop(double flow)
{
  return df_restriction_bore(1, 0.020, 0).viscous*0.15531*flow;
}

// ---- choking: share of sqrt((p - pv)/rho) let through by a sharp hole, and by a well rounded one
static double choked(double radius)
{
  struct df_hole_group hole = {.count = 1, .diameter = d, .entry_radius = radius*d};
  struct df_restriction r = df_restriction_hole(&hole, 2e-3, 1, 0.62);
  double q = df_restriction_flow_between(r, 1e-6, rho, 1000, 20e6, 1500, 0);
  return q/(0.25*pi*d*d*sqrt(2*(20e6 - 1000)/rho));
}

// ---- a hole partly covered by a straight edge: the free area, by quadrature over chords
static double chord(double u, void *unused)
{
  (void)unused;
  return 2*sqrt(fmax(1 - u*u, 0))/pi;
}

static double open_share_gap(double u)
{
  double area = NAN, error;
  gsl_function f = {chord, 0};
  gsl_integration_workspace *room = gsl_integration_workspace_alloc(200);
  gsl_error_handler_t *old = gsl_set_error_handler_off();
  gsl_integration_qags(&f, -1, u, 0, 1e-12, 200, room, &area, &error);
  gsl_set_error_handler(old);
  gsl_integration_workspace_free(room);
  return df_hole_open_share(u) - area;
}

// Two holes of half the area each pass what one passes; covered to a half, a hole passes half at high Reynolds numbers.
static double split(double unused)
{
  (void)unused;
  struct df_restriction half = df_restriction_area(10e-6, 0.65, 3e-3, 0), whole = df_restriction_area(20e-6, 0.65, 3e-3, 0);
  return df_restriction_parallel(half, half).viscous/whole.viscous + df_restriction_parallel(half, half).inertial/whole.inertial;
}

static const char dagan[] = "Sampson 1891; Dagan, Weinbaum & Pfeffer 1982, Journal of Fluid "
  "Mechanics 115";
static const char finlayson[] = "B. Finlayson's course at the University of Washington, Flow "
  "through an orifice (che499)";
static const char idelchik[] = "I. E. Idelchik, Handbook of Hydraulic Resistance";
static const char mcgreehan[] = "McGreehan & Schotsch 1988, Journal of Turbomachinery 110, "
  "correlation";
static const char licht[] = "Lichtarowicz, Duggins & Markland 1965, J. Mech. Eng. Sci. 7";
static const char licht_re[] = "Lichtarowicz, Duggins & Markland 1965, solved apart for the true "
  "Reynolds number";
static const char hollingshead[] = "C. Hollingshead 2011, Utah State University, computed "
  "discharge of orifice plates";
static const char esposito[] = "A. Esposito, Fluid Power with Applications";
static const char crane[] = "Crane TP-410, Flow of Fluids";
static const char table[] = "a knot of the table";
static const char cfd[] = "orifice in a pipe, diameter ratio 0.5; handbook and computation "
  "differ by 5 % between themselves";

static const struct evidence rows[] = {
  {"holes", 'P', finlayson, "slide 8", "length/diameter 0.10: zeta Re 41.8 in creeping flow",
    zeta_times_re, 0.10, 41.8, 2.7, "",
    "a student's finite elements; our formula is within 1 % of the exact series and 5.5 % above "
    "them"},
  {"holes", 'P', finlayson, "slide 8", "length/diameter 0.37: zeta Re 57.7", zeta_times_re, 0.37,
    57.7, 4.0, "", "as above, 6.4 %"},
  {"holes", 'C', dagan, "thin hole", "d 1 mm, 20 mPa s, 1 cm3/s: 480.000 Pa", creeping_drop, 0,
    480.000, 5e-4, "Pa", "half of the last digit computed"},
  {"holes", 'C', dagan, "length 1 mm", "1294.87 Pa", creeping_drop, 1, 1294.87, 6e-3, "Pa",
    "half of the last digit computed"},
  {"holes", 'C', dagan, "length 2 mm", "2109.75 Pa", creeping_drop, 2, 2109.75, 6e-3, "Pa",
    "half of the last digit computed"},
  {"holes", 'C', dagan, "length 4 mm", "3739.49 Pa", creeping_drop, 4, 3739.49, 6e-3, "Pa",
    "half of the last digit computed"},
  {"holes", 'P', idelchik, "hole in a thick wall", "length/diameter 0.2: zeta 2.72", thick_wall,
    0.2, 2.72, 0.005, "", table},
  {"holes", 'P', idelchik, "hole in a thick wall", "length/diameter 0.8: zeta 1.95", thick_wall,
    0.8, 1.95, 0.005, "", table},
  {"holes", 'P', idelchik, "hole in a thick wall", "length/diameter 2.0: zeta 1.55", thick_wall,
    2.0, 1.55, 0.005, "", table},
  {"holes", 'P', idelchik, "rounded entry", "radius/diameter 0.08: zeta 1.88", rounded_edge, 0.08,
    1.88, 0.005, "", table},
  {"holes", 'P', idelchik, "chamfered entry, 40-60 degrees", "length/diameter 0.06: zeta 2.33",
    chamfered_edge, 0.06, 2.33, 0.005, "", table},
  {"holes", 'P', idelchik, "diagram 4-17, thin hole", "Re 100: Cd 0.700", thin_handbook, 100, 0.700,
    0.007, "", "coefficients of the law are printed with two digits"},
  {"holes", 'C', mcgreehan, "Re 1e5, length/diameter 0", "Cd 0.592", discharge_1e5, 0, 0.592, 0.030,
    "", "two handbooks differ by 5 % at high Reynolds number"},
  {"holes", 'C', mcgreehan, "Re 1e5, length/diameter 1", "Cd 0.766", discharge_1e5, 1, 0.766, 0.038,
    "", "as above"},
  {"holes", 'C', mcgreehan, "Re 1e5, length/diameter 2", "Cd 0.805", discharge_1e5, 2, 0.805, 0.040,
    "", "as above"},
  {"holes", 'C', mcgreehan, "Re 1e5, length/diameter 4", "Cd 0.788", discharge_1e5, 4, 0.788, 0.039,
    "", "as above"},
  {"holes", 'P', licht, "length/diameter 2", "argument 100: Cd 0.4284", lichtarowicz_2, 100, 0.4284,
    6e-5, "", "half of the last digit printed"},
  {"holes", 'P', licht, "length/diameter 2", "argument 1000: Cd 0.7446", lichtarowicz_2, 1000,
    0.7446, 6e-5, "", "half of the last digit printed"},
  {"holes", 'P', licht, "length/diameter 2", "argument 10 000: Cd 0.8081", lichtarowicz_2, 1e4,
    0.8081, 6e-5, "", "half of the last digit printed"},
  {"holes", 'C', licht_re, "length/diameter 2", "Re 100: 0.545", lichtarowicz_2_re, 100, 0.545,
    6e-4, "", "half of the last digit computed"},
  {"holes", 'C', licht_re, "length/diameter 2", "Re 1000: 0.760", lichtarowicz_2_re, 1000, 0.760,
    6e-4, "", "half of the last digit computed"},
  {"holes", 'C', licht_re, "length/diameter 4", "Re 100: 0.459", lichtarowicz_4_re, 100, 0.459,
    6e-4, "", "half of the last digit computed"},
  {"holes", 'C', licht_re, "length/diameter 4", "Re 1000: 0.715", lichtarowicz_4_re, 1000, 0.715,
    6e-4, "", "half of the last digit computed"},
  {"holes", 'P', hollingshead, "diameter ratio 0.5, pipe Re 20 (hole Re 40)", "C 0.654",
    plate_handbook, 40, 0.654, 0.046, "", cfd},
  {"holes", 'P', hollingshead, "pipe Re 100 (hole Re 200)", "C 0.702", plate_handbook, 200, 0.702,
    0.049, "", cfd},
  {"holes", 'P', hollingshead, "pipe Re 1000 (hole Re 2000)", "C 0.670", plate_handbook, 2000,
    0.670, 0.047, "", cfd},
  {"holes", 'P', hollingshead, "pipe Re 10 000 (hole Re 20 000)", "C 0.629", plate_handbook, 2e4,
    0.629, 0.044, "", cfd},
  {"holes", 'P', esposito, "example 8-4",
    "1 in hole, 100 psi, specific gravity 0.9, C 0.80: 252 US gal/min", textbook_orifice, 100, 252,
    0.8, "gal/min", "its constant 38.1 has three digits, and it rounds to whole gallons"},
  {"holes", 'P', crane, "example 7-23",
    "2 in orifice, flow coefficient 0.625, 4.4 in of mercury under water: 106 US gal/min",
    metering_orifice, 4.4, 106, 0.7, "gal/min",
    "half a gallon of rounding; mercury at 60 F or at 0 C, 0.2 %"},
  {"holes", 'C', "Square law, solved apart", "Cd 0.611, 860 kg/m3, d 2 mm, 1 bar", "29.27230 cm3/s",
    slit_like_hole, 1e5, 29.27230, 6e-6, "cm3/s", "half of the last digit computed"},
  {"holes", 'P', "laminart.com archive, question 13109630 (oil in a tube)", "answer",
    "72 l/h of 155.31 mPa s through 20 mm: 795.18 Pa a metre", bore_drop, 2e-5, 795.18, 4.6, "Pa/m",
    "its speed is rounded to 0.064 m/s, 0.53 % high"},
  {"holes", 'M', "W. H. Nurick 1976, ASME Journal of Fluids Engineering",
    "cavitating injector, sharp entry",
    "choked discharge 0.62 of the ideal jet from inlet to vapour pressure", choked, 0, 0.62, 1e-9,
    "", "the coefficient itself: a check of the law that carries it"},
  {"holes", 'M', "W. H. Nurick 1976, ASME Journal of Fluids Engineering",
    "1/Cc2 = 1/0.62^2 - 11.4 r/d", "radius/diameter 0.05: 0.7016", choked, 0.05, 0.70161, 1e-4, "",
    "solved apart"},
  {"holes", 'C', "GSL quadrature of the chords of a circle",
    "edge a third of the radius short of the centre", "difference 0", open_share_gap, -1/3.0, 0,
    1e-9, "", "quadrature to 1e-12 of a root at its end"},
  {"holes", 'C', "GSL quadrature of the chords of a circle", "edge 0.8 radii past the centre",
    "difference 0", open_share_gap, 0.8, 0, 1e-9, "", "quadrature to 1e-12 of a root at its end"},
  {"holes", 'C', "Two halves make a whole", "areas side by side, both coefficients", "1 + 1", split,
    0, 2, 1e-12, "", "exact"},
};
EVIDENCE_GROUP(evidence_holes, "holes", rows);
