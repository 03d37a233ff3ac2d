// Low lines of the transform, of any length: against GSL's transform, the sum written out, known lines.
#include "near.h"

#include <gsl/gsl_fft_real.h>
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

static struct df_band band(const double *x, int n, double step, double from, double to)
{
  struct df_spectrum s = {NULL, 0};
  struct df_band out;
  ck_assert_int_eq(df_spectrum_band(&s, x, n, step, 1, 1, from, to, &out), DF_OK);
  df_spectrum_finish(&s);
  return out;
}

// Mean square of lines low..high by GSL's mixed-radix transform.
static double lines_by_gsl(const double *x, int n, int low, int high)
{
  double *copy = malloc((size_t)n*sizeof *copy), sum = 0;
  gsl_fft_real_wavetable *table = gsl_fft_real_wavetable_alloc((size_t)n);
  gsl_fft_real_workspace *work = gsl_fft_real_workspace_alloc((size_t)n);
  for (int i = 0; i < n; i++) copy[i] = x[i];
  gsl_fft_real_transform(copy, 1, (size_t)n, table, work);
  for (int k = low; k <= high; k++) {
    double re = copy[2*k - 1], im = 2*k < n ? copy[2*k] : 0;
    sum += (2*k == n ? 1 : 2)*(re*re + im*im)/((double)n*n);
  }
  gsl_fft_real_workspace_free(work);
  gsl_fft_real_wavetable_free(table);
  free(copy);
  return sum;
}

START_TEST(lines_against_gsl)
{
  // Small factors, powers of two, primes; 2 s and 5 s of the fine step, 10 s of the batch's.
  static const struct { int n; double step; } cases[] = {
    {1000, 1e-3}, {1024, 1e-3}, {1009, 1e-3}, {12001, 1e-4}, {20011, 1e-4}, {50000, 1e-4}, {20001, 5e-4}};
  for (unsigned c = 0; c < sizeof cases/sizeof *cases; c++) {
    int n = cases[c].n;
    double *x = noise_of(n), step = cases[c].step;
    struct df_band slow = band(x, n, step, 0, 20), part = band(x, n, step, 8, 20);
    // A line within one sample's length of a border is on it.
    int low = (int)ceil(8*(n - 1)*step - 1e-9), high = (int)floor(20*(n + 1)*step + 1e-9);
    near_share(slow.in, lines_by_gsl(x, n, 1, high), 1e-9, "GSL 2.7, mixed radix");
    near_share(part.in, lines_by_gsl(x, n, low, high), 1e-9, "GSL 2.7, mixed radix");
    near_share(slow.all, lines_by_gsl(x, n, 1, n/2), 1e-8, "Parseval; a prime length costs GSL digits: 3e-9 seen at 20,011");
    free(x);
  }
}
END_TEST

START_TEST(every_line_of_short_signals)
{
  static const int lengths[] = {2, 3, 8, 30, 97, 128, 257};
  for (unsigned c = 0; c < sizeof lengths/sizeof *lengths; c++) {
    int n = lengths[c];
    double *x = noise_of(n);
    for (int k = 1; k <= n/2; k++) {
      double f = (double)k/n, width = 0.2/n, want = lines_by_gsl(x, n, k, k);
      near(band(x, n, 1, f - width, f + width).in, want, 1e-13, "GSL 2.7; values of 1e-3, noise of 0.5");
    }
    near_share(band(x, n, 1, 0, INFINITY).in, band(x, n, 1, 0, 0.1).all, 1e-11, "Parseval");
    free(x);
  }
}
END_TEST

START_TEST(lines_of_sines)
{
  // 3 at 5 Hz, 2 at 20 Hz, 1 at 40 Hz, whole periods in 2 s: mean squares 4.5, 2, 0.5.
  static const int rates[] = {1000, 2000, 10000};
  for (int c = 0; c < 3; c++) {
    int n = 2*rates[c];
    double *x = malloc((size_t)n*sizeof *x), step = 1.0/rates[c];
    for (int i = 0; i < n; i++) {
      double t = i*step;
      x[i] = 7 + 3*sin(2*M_PI*5*t) + 2*cos(2*M_PI*20*t + 1) + sin(2*M_PI*40*t);
    }
    near(band(x, n, step, 0, 19).in, 4.5, 1e-9, "half the square of the amplitude");
    near(band(x, n, step, 20, 20).in, 2, 1e-9, "a line on both borders belongs to the band");
    near(band(x, n, step, 0, 20).in, 6.5, 1e-9, "a line on the border belongs to the band");
    near(band(x, n, step, 30, 60).in, 0.5, 1e-9, "half the square of the amplitude");
    near(band(x, n, step, 41, 60).in, 0, 1e-12, "nothing there");
    near(band(x, n, step, 0, 20).all, 7, 1e-9, "all three");
    free(x);
  }
}
END_TEST

START_TEST(border_keeps_its_side_with_one_sample_more)
{
  // 2 s with both ends in it: the 40th line lies at 19.99 Hz, with one sample less at 20.01 Hz.
  for (int n = 1999; n <= 2001; n++) {
    double *x = malloc((size_t)n*sizeof *x);
    for (int i = 0; i < n; i++) x[i] = sin(2*M_PI*40*i/n);
    near(band(x, n, 1e-3, 0, 20).in, 0.5, 1e-9, "the 40th line counts as 20 Hz");
    free(x);
  }
}
END_TEST

// A decay that begins with a jump `lag` before the first sample: its mean square below 20 Hz times n.
static double decay_below_20(double step, double lag, double first)
{
  int n = (int)lround(1/step);
  double *x = malloc((size_t)n*sizeof *x);
  struct df_spectrum s = {NULL, 0};
  struct df_band out;
  for (int i = 0; i < n; i++) x[i] = exp(-(i*step + lag)/0.02);
  ck_assert_int_eq(df_spectrum_band(&s, x, n, step, first, 1, 0, 20, &out), DF_OK);
  df_spectrum_finish(&s);
  free(x);
  return out.in;
}

START_TEST(weighted_ends_hold_a_jump_in_place)
{
  double step = 1e-3, dense = decay_below_20(step/100, 0, 0.5);
  for (double lag = 0; lag < 1; lag += 0.25) {
    near_share(decay_below_20(step, lag*step, 0.5 + lag), dense, 2e-3, "the same sampled a hundred times as densely");
    if (lag != 0.5) ck_assert(fabs(decay_below_20(step, lag*step, 1)/dense - 1) > 5e-3);  // what weights are for
  }
}
END_TEST

START_TEST(one_room_for_many_lengths)
{
  struct df_spectrum s = {NULL, 0};
  static const int lengths[] = {100, 3000, 50, 20000};
  for (int c = 0; c < 4; c++) {
    double *x = noise_of(lengths[c]);
    struct df_band out, fresh = band(x, lengths[c], 1e-3, 1, 20);
    ck_assert_int_eq(df_spectrum_band(&s, x, lengths[c], 1e-3, 1, 1, 1, 20, &out), DF_OK);
    near(out.in, fresh.in, 0, "nothing is left of the signal before");
    free(x);
  }
  df_spectrum_finish(&s);
}
END_TEST

int main(void)
{
  const TTest *const tests[] = {
    lines_against_gsl, every_line_of_short_signals, lines_of_sines, border_keeps_its_side_with_one_sample_more,
    weighted_ends_hold_a_jump_in_place, one_room_for_many_lengths,
  };
  Suite *suite = suite_create("spectrum");
  TCase *cases = tcase_create("spectrum");
  tcase_set_timeout(cases, 60);
  for (unsigned i = 0; i < sizeof tests/sizeof *tests; i++) tcase_add_test(cases, tests[i]);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
