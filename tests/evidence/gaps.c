// Ring-shaped gaps: leak round a rod, eccentric or not.
#include <math.h>

#include "dampfork/path.h"
#include "evidence.h"

// Flow in mm3/s past a 25 mm piston with 5 um on one side, 15 mm long.
static double piston_leak(double eccentricity)
{
  struct df_restriction gap = df_restriction_gap(5e-6, 15e-3, eccentricity, 25e-3);
  return df_restriction_flow(gap, 0.018, 920, 19e6, 0)*1e9;
}

static double eccentric_factor(double eccentricity)
{
  return df_restriction_gap(5e-5, 8e-3, 0, 22e-3).viscous/df_restriction_gap(5e-5, 8e-3, eccentricity, 22e-3).viscous;
}

// m3/s past a rod of 10 m with 1 mm on one side, 1 m long, 0.5 Pa s; dp in Pa.
static double rod_leak(double dp)
{
  return df_restriction_flow(df_restriction_gap(1e-3, 1, 0, 10), 0.5, 1e-3, dp, 0)*1e8;
}

// Gap inertia: share of the drop that entry and exit take at a mean speed of u m/s in 0.1 mm, 6 mm long.
static double inertial_share(double speed)
{
  struct df_restriction gap = df_restriction_gap(1e-4, 6e-3, 0, 36e-3);
  double q = speed*3.14159265358979323846*36e-3*1e-4;
  return gap.inertial*860*q*q;
}

static const char exact[] = "exact in the source";

static const struct evidence rows[] = {
  {"gaps", 'P', "Fox & McDonald, Introduction to Fluid Mechanics", "example 8.1",
    "19 MPa, D 25 mm, gap 5 um, 15 mm long, 18 mPa s: 57.6 mm3/s", piston_leak, 0, 57.6, 0.06,
    "mm3/s", "half of the last digit printed"},
  {"gaps", 'P', "M. G. Rabie, Fluid Power Engineering 2009", "section 2, eccentric spool",
    "fully eccentric: 2.5 times the leak", eccentric_factor, 1, 2.5, 1e-9, "", exact},
  {"gaps", 'C', "Factor 1 + 1.5 e^2 of the narrow eccentric ring", "e 0.5", "1.375",
    eccentric_factor, 0.5, 1.375, 1e-9, "", exact},
  {"gaps", 'P',
    "calculatoratoz.com, Leakage of fluid past a rod (after a textbook of machine design)",
    "worked values", "rod 10 m, gap 1 mm, depth 1 m, 0.5 Pa s, 10 Pa: 5.2333e-8 m3/s", rod_leak, 10,
    5.23333, 0.0042, "1e-8 m3/s", "it takes 3.14 for pi (0.05 %) and no inertia"},
  {"gaps", 'C', "Entry and exit loss 1.5 times the head of the mean speed, solved apart",
    "10 m/s, 860 kg/m3", "64.5 kPa", inertial_share, 10, 64500, 1, "Pa", "exact"},
};
EVIDENCE_GROUP(evidence_gaps, "gaps", rows);
