// Sobol's points and shares of the variance, against published values and closed forms.
#include "near.h"

#include "dampfork/study.h"

#include <stdlib.h>
#include <string.h>

#define ISHIGAMI                                                                                   \
  "Saltelli and others 2008, Global Sensitivity Analysis: Ishigami function, a 7, b 0.1"

static const double turn = 6.283185307179586; // 2 pi

static double ishigami(const double *u)
{
  double x[3];
  for (int k = 0; k < 3; k++) x[k] = (u[k] - 0.5) * turn;
  return sin(x[0]) + 7 * pow(sin(x[1]), 2) + 0.1 * pow(x[2], 4) * sin(x[0]);
}

static int shares(double (*f)(const double *), int d, int n, unsigned long seed,
                  struct df_share *share, double *all)
{
  struct df_sobol *sobol;
  ck_assert_int_eq(df_sobol_create(&sobol, 2 * d, seed), DF_OK);
  for (long row = 0; row < (long)n * (d + 2); row++) {
    double u[20];
    df_share_point(sobol, d, row, u);
    all[row] = f(u);
  }
  df_sobol_destroy(sobol);
  return df_shares(all, n, d, 1, share);
}

// Chance alone would leave a standard error of about 0.005 with 65536 groups; these points do
// better, and the tolerance is half of it.
START_TEST(ishigami_as_published)
{
  static const double first[3] = {0.313905, 0.442411, 0}, total[3] = {0.557589, 0.442411, 0.243684};
  enum { N = 65536 };
  double *all = malloc(N * 5 * sizeof *all);
  struct df_share share[3];
  for (unsigned long seed = 0; seed < 3; seed++) {
    ck_assert_int_eq(shares(ishigami, 3, N, seed, share, all), N);
    for (int k = 0; k < 3; k++) {
      near(share[k].first, first[k], 0.0025, ISHIGAMI);
      near(share[k].total, total[k], 0.0025, ISHIGAMI);
      ck_assert(share[k].first_low < first[k] && first[k] < share[k].first_high);
      ck_assert(share[k].total_low <= share[k].total && share[k].total <= share[k].total_high);
    }
  }
  free(all);
}
END_TEST

static double additive(const double *u)
{
  return 3 * u[0] + 4 * u[1];
}

// Variances of 3u and 4v are as 9 to 16, and nothing acts together.
START_TEST(additive_is_the_closed_form)
{
  enum { N = 16384 };
  static double all[N * 4];
  struct df_share share[2];
  shares(additive, 2, N, 1, share, all);
  near(share[0].first, 9.0 / 25, 0.003, "closed form");
  near(share[0].total, 9.0 / 25, 0.003, "closed form");
  near(share[1].first, 16.0 / 25, 0.003, "closed form");
  near(share[1].total, 16.0 / 25, 0.003, "closed form");
}
END_TEST

START_TEST(broken_groups_are_left_out)
{
  enum { N = 256 };
  double all[N * 4];
  struct df_share share[2], whole[2];
  shares(additive, 2, N, 1, whole, all);
  all[4 * 7 + 3] = NAN;
  ck_assert_int_eq(df_shares(all, N, 2, 1, share), N - 1);
  near(share[0].total, whole[0].total, 0.02, "one group of 256 less");
  for (int i = 0; i < N; i++) all[4 * i] = NAN;
  ck_assert_int_eq(df_shares(all, N, 2, 1, share), 0);
  ck_assert(isnan(share[0].first) && isnan(share[1].total_high));
}
END_TEST

START_TEST(points_do_not_depend_on_the_order)
{
  struct df_sobol *up, *jump;
  double a[3], b[3];
  ck_assert_int_eq(df_sobol_create(&up, 3, 5), DF_OK);
  ck_assert_int_eq(df_sobol_create(&jump, 3, 5), DF_OK);
  static const long order[] = {0, 1000, 999, 999, 3, 77};
  for (int i = 0; i < 6; i++) {
    struct df_sobol *fresh;
    df_sobol_create(&fresh, 3, 5);
    df_sobol_point(fresh, order[i], a), df_sobol_point(jump, order[i], b);
    ck_assert_mem_eq(a, b, sizeof a);
    df_sobol_destroy(fresh);
  }
  df_sobol_destroy(up), df_sobol_destroy(jump);
  ck_assert_int_eq(df_sobol_create(&up, 41, 1), DF_BAD_INPUT);
  ck_assert_int_eq(df_sobol_create(&up, 0, 1), DF_BAD_INPUT);
}
END_TEST

// Each of 2^k equal slices of every axis holds as many points: what sets it apart from chance. GSL
// leaves out the origin, so slices may be off by one.
START_TEST(points_are_spread_evenly)
{
  struct df_sobol *sobol;
  int count[10][16] = {{0}};
  ck_assert_int_eq(df_sobol_create(&sobol, 10, 0), DF_OK);
  for (long i = 0; i < 1024; i++) {
    double u[10];
    df_sobol_point(sobol, i, u);
    for (int k = 0; k < 10; k++) ck_assert(u[k] >= 0 && u[k] < 1), count[k][(int)(16 * u[k])]++;
  }
  for (int k = 0; k < 10; k++)
    for (int j = 0; j < 16; j++) ck_assert_int_le(abs(count[k][j] - 64), 1);
  df_sobol_destroy(sobol);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("sobol");
  TCase *tc = tcase_create("sobol");
  tcase_set_timeout(tc, 60); // resampling 65536 groups takes a second, more on a busy machine
  suite_add_tcase(suite, tc);
  tcase_add_test(tc, ishigami_as_published);
  tcase_add_test(tc, additive_is_the_closed_form);
  tcase_add_test(tc, broken_groups_are_left_out);
  tcase_add_test(tc, points_do_not_depend_on_the_order);
  tcase_add_test(tc, points_are_spread_evenly);
  return near_run(suite);
}
