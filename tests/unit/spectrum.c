// The transform of any length: against the sum written out, against the mean square, on known lines.
#include "near.h"

#include <math.h>
#include <stdlib.h>

#include "measures/spectrum.h"

static double noise(unsigned long long *state)
{
  *state = *state*6364136223846793005ull + 1442695040888963407ull;
  return (double)(*state >> 11)/9007199254740992.0 - 0.5;
}

static double *noise_of(int n)
{
  unsigned long long state = 3;
  double *x = malloc((size_t)n*sizeof *x);
  for (int i = 0; i < n; i++) x[i] = 5 + noise(&state);
  return x;
}

// Mean square at line k, written out; both signs of the frequency.
static double line(const double *x, int n, int k)
{
  double re = 0, im = 0;
  for (int i = 0; i < n; i++) {
    double angle = 2*M_PI*(double)((long long)i*k % n)/n;
    re += x[i]*cos(angle);
    im -= x[i]*sin(angle);
  }
  return (2*k == n ? 1 : 2)*(re*re + im*im)/((double)n*n);
}

START_TEST(every_length_gives_the_sum_written_out)
{
  // Small factors, powers of two, primes, a prime times eleven: both ways to the transform.
  static const int lengths[] = {2, 3, 8, 30, 257, 360, 1009, 1024, 1091, 2003};
  struct df_spectrum *s = df_spectrum_create();
  for (unsigned c = 0; c < sizeof lengths/sizeof *lengths; c++) {
    int n = lengths[c];
    double *x = noise_of(n);
    ck_assert_int_eq(df_spectrum_of(s, x, n, 1e-3, 1, 1), DF_OK);
    for (int k = 1; k <= n/2; k += 1 + n/40) {
      double f = k/(n*1e-3), width = 0.4/(n*1e-3);
      near(df_spectrum_mean_square(s, f - width, f + width), line(x, n, k), 1e-15, "the sum written out; values of 1e-4, round-off");
    }
    free(x);
  }
  df_spectrum_destroy(s);
}
END_TEST

START_TEST(parseval)
{
  static const int lengths[] = {12001, 20000, 20011, 32768, 24010};
  struct df_spectrum *s = df_spectrum_create();
  for (int c = 0; c < 5; c++) {
    int n = lengths[c];
    double *x = noise_of(n), mean = 0, square = 0;
    for (int i = 0; i < n; i++) mean += x[i]/n;
    for (int i = 0; i < n; i++) square += (x[i] - mean)*(x[i] - mean)/n;
    ck_assert_int_eq(df_spectrum_of(s, x, n, 5e-4, 1, 1), DF_OK);
    near_share(df_spectrum_mean_square(s, 0, INFINITY), square, 1e-11, "Parseval");
    near_share(df_spectrum_all(s), square, 1e-12, "mean square about the mean");
    double half = df_spectrum_mean_square(s, 0, 300.01) + df_spectrum_mean_square(s, 300.11, INFINITY);
    ck_assert_msg(half <= square*(1 + 1e-11), "bands do not overlap");
    free(x);
  }
  df_spectrum_destroy(s);
}
END_TEST

START_TEST(lines_of_sines)
{
  // 3 at 5 Hz, 2 at 20 Hz, 1 at 40 Hz, whole periods in 2 s: mean squares 4.5, 2, 0.5.
  static const int rates[] = {1000, 2000, 10000};
  struct df_spectrum *s = df_spectrum_create();
  for (int c = 0; c < 3; c++) {
    int n = 2*rates[c];
    double *x = malloc((size_t)n*sizeof *x);
    for (int i = 0; i < n; i++) {
      double t = (double)i/rates[c];
      x[i] = 7 + 3*sin(2*M_PI*5*t) + 2*cos(2*M_PI*20*t + 1) + sin(2*M_PI*40*t);
    }
    ck_assert_int_eq(df_spectrum_of(s, x, n, 1.0/rates[c], 1, 1), DF_OK);
    near(df_spectrum_mean_square(s, 0, 19), 4.5, 1e-9, "half the square of the amplitude");
    near(df_spectrum_mean_square(s, 20, 20), 2, 1e-9, "a line on both borders belongs to the band");
    near(df_spectrum_mean_square(s, 0, 20), 6.5, 1e-9, "a line on the border belongs to the band");
    near(df_spectrum_mean_square(s, 30, INFINITY), 0.5, 1e-9, "half the square of the amplitude");
    near(df_spectrum_mean_square(s, 41, 60), 0, 1e-12, "nothing there");
    free(x);
  }
  df_spectrum_destroy(s);
}
END_TEST

START_TEST(border_keeps_its_side_with_one_sample_more)
{
  // 2 s with both ends in it: the 40th line lies at 19.99 Hz, with one sample less at 20.01 Hz.
  struct df_spectrum *s = df_spectrum_create();
  for (int n = 1999; n <= 2001; n++) {
    double *x = malloc((size_t)n*sizeof *x);
    for (int i = 0; i < n; i++) x[i] = sin(2*M_PI*40*i/n);
    ck_assert_int_eq(df_spectrum_of(s, x, n, 1e-3, 1, 1), DF_OK);
    near(df_spectrum_mean_square(s, 0, 20), 0.5, 1e-9, "the 40th line counts as 20 Hz");
    free(x);
  }
  df_spectrum_destroy(s);
}
END_TEST

START_TEST(weighted_ends_hold_a_jump_in_place)
{
  // A decay from 1 that begins 0.3 steps before the first sample: its power below 20 Hz, against the
  // same sampled forty times as densely.
  double step = 1e-3, length = 1, low[2];
  struct df_spectrum *s = df_spectrum_create();
  for (int dense = 0; dense < 2; dense++) {
    double fine = dense ? step/40 : step, lag = 0.3*step;
    int n = (int)lround(length/fine);
    double *x = malloc((size_t)n*sizeof *x);
    for (int i = 0; i < n; i++) x[i] = exp(-(i*fine + lag)/0.02);
    double first = dense ? 0.5 + 0.3*40 : 0.5 + 0.3;
    ck_assert_int_eq(df_spectrum_of(s, x, n, fine, first, 1), DF_OK);
    low[dense] = df_spectrum_mean_square(s, 0, 20);
    free(x);
  }
  near_share(low[0], low[1], 2e-3, "first-order term of the end's error is gone");
  df_spectrum_destroy(s);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("spectrum");
  TCase *cases = tcase_create("spectrum");
  tcase_set_timeout(cases, 60);
  tcase_add_test(cases, every_length_gives_the_sum_written_out);
  tcase_add_test(cases, parseval);
  tcase_add_test(cases, lines_of_sines);
  tcase_add_test(cases, border_keeps_its_side_with_one_sample_more);
  tcase_add_test(cases, weighted_ends_hold_a_jump_in_place);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
