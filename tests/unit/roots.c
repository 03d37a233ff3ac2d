// Bracketed roots and straight-line tables.
#include "near.h"

#include "base/interp.h"
#include "base/roots.h"

static double cube(double x, double *slope, const void *context)
{
  *slope = 3*x*x;
  return x*x*x - *(const double *)context;
}

static double no_slope(double x, double *slope, const void *context)
{
  (void)slope;
  return x - *(const double *)context;
}

static double wrong_slope(double x, double *slope, const void *context)
{
  *slope = -1e-3;                             // would throw Newton out of any bracket
  return x - *(const double *)context;
}

static double hole_in_it(double x, double *slope, const void *context)
{
  (void)slope;
  (void)context;
  return x < 1 ? -1 : x > 2 ? 1 : NAN;
}

static double steep_power(double x, double *slope, const void *context)
{
  (void)context;
  *slope = 99*pow(x, 98);
  return pow(x, 99) - 1;
}

START_TEST(creeping_newton_is_cut_short)
{
  double x = 90;                              // Newton alone shrinks by 1 % a step: 450 steps
  ck_assert_int_eq(df_root_find(steep_power, NULL, 0, 100, 1e-14, 0, &x), DF_OK);
  near(x, 1, 1e-13, "exact");
}
END_TEST

START_TEST(finds_roots)
{
  double want = 2, x = NAN;
  ck_assert_int_eq(df_root_find(cube, &want, -10, 100, 1e-15, 0, &x), DF_OK);
  near(x, cbrt(2), 1e-14, "exact");
  x = 1.26;
  ck_assert_int_eq(df_root_find(cube, &want, 100, -10, 1e-15, 0, &x), DF_OK);
  near(x, cbrt(2), 1e-14, "bracket the other way round");
  want = 0;
  x = 50;
  ck_assert_int_eq(df_root_find(cube, &want, -10, 100, 0, 1e-12, &x), DF_OK);
  near(x, 0, 1e-11, "triple root: the last step is below 1e-12, steps shrink by a third");
  want = 0.3;
  ck_assert_int_eq(df_root_find(no_slope, &want, 0, 1, 1e-15, 0, &x), DF_OK);
  near(x, 0.3, 1e-15, "halving alone");
  ck_assert_int_eq(df_root_find(wrong_slope, &want, 0, 1, 1e-15, 0, &x), DF_OK);
  near(x, 0.3, 1e-15, "halving when Newton misleads");
  ck_assert_int_eq(df_root_find(no_slope, &want, 0.3, 1, 1e-15, 0, &x), DF_OK);
  near(x, 0.3, 0, "an end of the bracket");
}
END_TEST

START_TEST(says_when_there_is_none)
{
  double want = 5, x = 0.5;
  ck_assert_int_eq(df_root_find(no_slope, &want, 0, 1, 1e-15, 0, &x), DF_NO_SOLUTION);
  want = NAN;
  ck_assert_int_eq(df_root_find(no_slope, &want, 0, 1, 1e-15, 0, &x), DF_NO_SOLUTION);
  x = 1.5;
  ck_assert_int_eq(df_root_find(hole_in_it, &want, 0, 3, 1e-15, 0, &x), DF_NO_SOLUTION);
}
END_TEST

START_TEST(straight_lines)
{
  static const double x[] = {1, 2, 4}, y[] = {10, 20, 0};
  double slope;
  near(df_interp(x, y, 3, 0, &slope), 10, 0, "constant outside");
  near(slope, 0, 0, "constant outside");
  near(df_interp(x, y, 3, 1.5, &slope), 15, 1e-14, "between");
  near(slope, 10, 1e-14, "between");
  near(df_interp(x, y, 3, 2, &slope), 20, 0, "at a point");
  near(slope, -10, 1e-14, "at a point: of the piece above");
  near(df_interp(x, y, 3, 3, NULL), 10, 1e-14, "between");
  near(df_interp(x, y, 3, 9, &slope), 0, 0, "constant outside");
  near(df_interp(x, y, 1, 9, &slope), 10, 0, "one point");
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("roots");
  TCase *cases = tcase_create("roots");
  tcase_add_test(cases, finds_roots);
  tcase_add_test(cases, creeping_newton_is_cut_short);
  tcase_add_test(cases, says_when_there_is_none);
  tcase_add_test(cases, straight_lines);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
