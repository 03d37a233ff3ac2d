// Drilled holes, gaps, bore, and sets of holes against published figures and their own laws.
#include "near.h"

#include <string.h>

#include "dampfork/oil.h"
#include "dampfork/path.h"

static const char THEORY[] = "docs/theory.md, coefficients of the example fork";
static const double CC = 0.62;                // 1, contraction of a sharp edge

static struct df_oil example_oil(void)
{
  return (struct df_oil){.viscosity_40 = 32e-6, .viscosity_100 = 5.4e-6, .density_15 = 870,
                         .temperature = 303.15, .viscosity_index = NAN};
}

static struct df_hole_group holes(double count, double diameter)
{
  return (struct df_hole_group){.count = count, .diameter = diameter, .height = NAN, .depth = NAN};
}

// got agrees with a figure printed with so many digits, to half a unit of the last.
static void printed(double got, double want, int digits, const char *what)
{
  double unit = pow(10, floor(log10(fabs(want))) - (digits - 1));
  ck_assert_msg(fabs(got - want) <= 0.5001*unit, "%s: got %.12g, printed %.12g; source: %s", what, got, want,
                THEORY);
}

// ---- the example fork ------------------------------------------------------------------------------

START_TEST(example_coefficients)
{
  struct df_oil oil = example_oil();
  double rho = df_oil_density(&oil, oil.temperature), mu = df_oil_viscosity(&oil, oil.temperature)*rho;
  double wall = 4e-3;
  struct df_hole_group plain = holes(2, 6e-3), opened = holes(6, 6.35e-3), rebound = holes(2, 2.2e-3);
  opened.entry_chamfer = 0.5e-3;
  struct df_bleed bleed = {2, 1.5e-3};
  struct df_restriction r = df_restriction_hole(&plain, wall, 1, CC);
  printed(mu*r.viscous, 5.160042e6, 7, "plain K1");
  printed(rho*r.inertial, 2.973687e11, 7, "plain K2 in");
  r = df_restriction_hole(&plain, wall, 0, CC);
  printed(rho*r.inertial, 2.973687e11, 7, "plain K2 out");
  r = df_restriction_hole(&opened, wall, 1, CC);
  printed(mu*r.viscous, 1.408531e6, 7, "opened K1");
  printed(rho*r.inertial, 2.637104e10, 7, "opened K2 in");
  r = df_restriction_hole(&opened, wall, 0, CC);
  printed(rho*r.inertial, 2.719069e10, 7, "opened K2 out");
  r = df_restriction_hole(&rebound, wall, 1, CC);
  printed(mu*r.viscous, 2.006621e8, 7, "rebound K1");
  printed(rho*r.inertial, 1.174151e13, 7, "rebound K2");
  r = df_restriction_bleed(&bleed, 1, 2e-3, CC);
  printed(mu*r.viscous, 5.055704e8, 7, "bleed K1");
  printed(rho*r.inertial, 5.637715e13, 7, "bleed K2");
  r = df_restriction_bore(0.26, 14e-3, 2);
  printed(mu*r.viscous, 1.201454e7, 7, "bore K1");
  printed(rho*r.inertial, 3.631498e10, 7, "bore K2");
  r = df_restriction_area(110e-6, 0.7, 2e-3, 0);
  printed(mu*r.viscous, 3.733053e6, 7, "check K1");
  printed(rho*r.inertial, 7.257152e10, 7, "check K2");
  r = df_restriction_gap(0.05e-3, 8e-3, 0.5, 22e-3 + 0.05e-3);
  printed(mu*r.viscous, 3.513061e11, 7, "check leak K1");
  printed(rho*r.inertial, 5.379997e13, 7, "check leak K2");
  r = df_restriction_area(0.5e-6, 0.7, 0.7e-3, 0);
  printed(mu*r.viscous, 2.346490e9, 7, "ring K1");
  printed(rho*r.inertial, 3.512462e15, 7, "ring K2");
  r = df_restriction_area(90e-6, 0.65, 3e-3, 0);
  printed(mu*r.viscous, 3.041747e6, 7, "return K1");
  printed(rho*r.inertial, 1.257291e11, 7, "return K2");
  r = df_restriction_area(113e-6, 0.7, INFINITY, 0);
  near(r.viscous, 0, 0, THEORY);
  printed(rho*r.inertial, 6.876932e10, 7, "ports K2");
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("hole");
  TCase *cases = tcase_create("hole");
  tcase_add_test(cases, example_coefficients);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
