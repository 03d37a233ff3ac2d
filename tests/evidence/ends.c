// The ends of the travel: bottoming cone, metal stops, top-out spring.
#include <math.h>

#include "dampfork/leg.h"
#include "evidence.h"
#include "second_leg.h"

static struct df_steady steady(double x, double v)
{
  struct df_scenario s;
  struct df_steady out = {.cone = NAN, .stop = NAN, .spring = NAN};
  appendix_a_scenario(&s, 0);
  struct df_leg_model *leg = df_leg_create(&s, 0, 0);
  if (leg && df_leg_steady(leg, x, v, &out)) out.cone = out.stop = out.spring = NAN;
  df_leg_destroy(leg);
  return out;
}

static double cone_at_half(double x_mm) { return steady(1e-3*x_mm, 0.5).cone; }
static double cone_at_one(double x_mm) { return steady(1e-3*x_mm, 1).cone; }
static double stop_in(double x_mm) { return steady(1e-3*x_mm, 0.2).stop; }
static double stop_out(double x_mm) { return steady(1e-3*x_mm, 0).stop; }
static double spring(double x_mm) { return steady(1e-3*x_mm, 0).spring; }

static const char gap[] = "Gap of 5 mm length, 0.8 narrowing to 0.15 mm over 15 mm, by hand";
static const char six[] = "oil's viscosity to six digits";
static const char hand[] = "Straight lines, by hand";

static const struct evidence rows[] = {
  {"ends of travel", 'C', gap, "125 mm of 130, 0.5 m/s", "21.1176 N", cone_at_half, 125, 21.1176, 0.0002, "N", six},
  {"ends of travel", 'C', gap, "half a millimetre in, 1 m/s", "2.98283 N", cone_at_one, 115.5, 2.98283, 3e-5, "N", six},
  {"ends of travel", 'C', hand, "2 kN/mm, 0.5 s/m, 0.5 mm past the stop at 0.2 m/s", "1100 N", stop_in,
    130.5, 1100, 1e-6, "N", "exact"},
  {"ends of travel", 'C', hand, "2 kN/mm, 0.1 mm past the top stop, at rest", "-200 N", stop_out, -0.1,
    -200, 1e-6, "N", "exact"},
  {"ends of travel", 'C', hand, "9 N/mm, 15 mm of preload, top-out spring of 8 mm and 20 N/mm, at 2 mm",
    "153 - 120 = 33 N", spring, 2, 33, 1e-9, "N", "exact"},
};
EVIDENCE_GROUP(evidence_ends, "ends of travel", rows);
