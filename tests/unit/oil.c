// Oil against published viscosities, indices, densities and moduli, and the laws of its state equation.
#include "near.h"

#include <string.h>

#include "dampfork/oil.h"

static const double C_0 = 273.15;             // K
static const char D341[] = "ASTM D341, computed from the published formula";

static struct df_oil oil_of(double mm2_40, double mm2_100)
{
  return (struct df_oil){.viscosity_40 = mm2_40*1e-6, .viscosity_100 = mm2_100*1e-6, .density_15 = 870,
                         .viscosity_index = NAN};
}

// ---- viscosity and density -------------------------------------------------------------------------

START_TEST(viscosity_over_temperature)
{
  static const double celsius[] = {0, 20, 60, 80};
  static const double thin[] = {96.502, 33.064, 8.213, 5.120}, thick[] = {336.00, 86.278, 15.186, 8.533};
  struct df_oil a = oil_of(15, 3.5), b = oil_of(32, 5.4), gear = oil_of(404, 28);
  for (int i = 0; i < 4; i++) {
    near(1e6*df_oil_viscosity(&a, C_0 + celsius[i]), thin[i], 0.0005, D341);
    near(1e6*df_oil_viscosity(&b, C_0 + celsius[i]), thick[i], i == 0 ? 0.005 : 0.0005, D341);
  }
  near(1e6*df_oil_viscosity(&b, C_0 + 40), 32, 1e-12, "the point that was given");
  near(1e6*df_oil_viscosity(&b, C_0 + 100), 5.4, 1e-12, "the point that was given");
  near(1e6*df_oil_viscosity(&gear, C_0 + 60), 132.1261, 0.00005, "D341 example: 404 and 28 give 132.126");
  double c, d;
  df_oil_walther(15e-6, 3.5e-6, &c, &d);
  near(c, 9.35617, 5e-6, D341);
  near(d, 3.71771, 5e-6, D341);
  df_oil_walther(32e-6, 5.4e-6, &c, &d);
  near(c, 9.53082, 5e-6, D341);
  near(d, 3.74658, 5e-6, D341);
}
END_TEST

START_TEST(density_over_temperature)
{
  static const double celsius[] = {20, 40, 80}, want[] = {866.86, 854.22, 828.68};
  struct df_oil oil = oil_of(32, 5.4);
  for (int i = 0; i < 3; i++)
    near(df_oil_density(&oil, C_0 + celsius[i]), want[i], 0.005, "ASTM D1250 table 54D, computed");
  near(df_oil_density(&oil, C_0 + 15), 870, 1e-12, "the point that was given");
}
END_TEST

START_TEST(example_oil)
{
  struct df_oil oil = oil_of(32, 5.4);
  double nu = df_oil_viscosity(&oil, C_0 + 30), rho = df_oil_density(&oil, C_0 + 30);
  near(1e6*nu, 50.6300, 5e-5, "docs/theory.md, coefficients of the example fork");
  near(rho, 860.5531, 5e-5, "docs/theory.md, coefficients of the example fork");
  near(nu*rho, 0.0435698, 5e-8, "docs/theory.md, coefficients of the example fork");
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("oil");
  TCase *cases = tcase_create("oil");
  tcase_add_test(cases, viscosity_over_temperature);
  tcase_add_test(cases, density_over_temperature);
  tcase_add_test(cases, example_oil);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
