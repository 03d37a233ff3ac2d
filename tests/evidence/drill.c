// What drilling leaves of a rod.
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <math.h>

#include "dampfork/drill.h"
#include "evidence.h"

static const double outside = 22e-3, bore = 14e-3; // m

// Wall cut away by one radial hole, by quadrature over strips of the cross-section: strip at y has |x| from the bore to the outside.
static double strip(double y, void *unused)
{
  (void)unused;
  double r = 0.5*outside, b = 0.5*bore;
  return sqrt(r*r - y*y) - (fabs(y) < b ? sqrt(b*b - y*y) : 0);
}

static double section_gap(double diameter_mm)
{
  double d = diameter_mm*1e-3, cut = NAN, error;
  gsl_function f = {strip, 0};
  gsl_integration_workspace *room = gsl_integration_workspace_alloc(200);
  gsl_error_handler_t *old = gsl_set_error_handler_off();
  gsl_integration_qag(&f, -0.5*d, 0.5*d, 0, 1e-12, 200, GSL_INTEG_GAUSS61, room, &cut, &error);
  gsl_set_error_handler(old);
  gsl_integration_workspace_free(room);
  double ring = 0.25*3.14159265358979323846*(outside*outside - bore*bore);
  return df_drill_section(outside, bore, d, 2)/(ring - 2*cut);
}

static const char howland[] = "Howland 1930; Peterson, Stress Concentration Factors";

static const struct evidence rows[] = {
  {"drilling", 'C', "GSL quadrature over strips of the rod's cross-section",
    "two holes of 6.35 mm in 22/14 mm", "ratio 1", section_gap, 6.35, 1, 1e-9, "",
    "quadrature to 1e-12"},
  {"drilling", 'C', "GSL quadrature over strips of the rod's cross-section", "two holes of 3.5 mm",
    "ratio 1", section_gap, 3.5, 1, 1e-9, "", "quadrature to 1e-12"},
  {"drilling", 'M', howland, "infinite plate (Kirsch 1898)", "3", df_drill_concentration, 0, 3,
    1e-12, "", "exact"},
  {"drilling", 'M', howland, "diameter half the width, on the net section", "2.156",
    df_drill_concentration, 0.5, 2.156, 1e-3, "", "the polynomial's own last digit"},
};
EVIDENCE_GROUP(evidence_drill, "drilling", rows);
