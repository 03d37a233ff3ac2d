// Low lines of the discrete Fourier transform of any length. A few hundred lines are wanted of tens of
// thousands of samples whose number may be prime: a fast transform of that length costs more than the
// lines do (10 s every 0.1 ms, 100,001 samples, lines to 20 Hz: GSL's transforms by the chirp-z identity
// took 56 ms, this takes 0.9 ms).
// The samples are first gathered in blocks so short that every wanted line turns by 1.26 rad at most from
// the middle of a block to its end: there exp(-i phi u) is its Taylor series, and a block is its moments.
#include "measures/spectrum.h"

#include <math.h>
#include <stdlib.h>

// Moments 0..15 of a block. The first one left out is 1.26^16/16! = 2e-12 of the samples' size.
enum { MOMENTS = 16 };
static const double block_periods = 0.4; // of the highest line, in one block: 1.26 rad each way

void df_spectrum_finish(struct df_spectrum *spectrum)
{
  free(spectrum->moments);
  *spectrum = (struct df_spectrum){NULL, 0};
}

static enum df_status make_room(struct df_spectrum *s, int blocks)
{
  if (blocks <= s->blocks) return DF_OK;
  df_spectrum_finish(s);
  s->moments = malloc((size_t)blocks*MOMENTS*sizeof(double));
  if (!s->moments) return DF_NO_MEMORY;
  s->blocks = blocks;
  return DF_OK;
}

// Mean with weighted ends.
static double mean_of(const double *x, int n, double first, double last)
{
  double sum = (first - 1)*x[0] + (last - 1)*x[n - 1];
  for (int i = 0; i < n; i++) sum += x[i];
  return sum/(n - 2 + first + last);
}

// Moments of each block of `size` samples about its middle, in half blocks. Gives the mean square.
static double gather(struct df_spectrum *s, const double *x, int n, int size, double first,
                     double last)
{
  double mean = mean_of(x, n, first, last), square = 0;
  for (int block = 0; block*size < n; block++) {
    double sum[MOMENTS] = {0};
    int end = block*size + size < n ? block*size + size : n;
    for (int i = block*size; i < end; i++) {
      double weight = i == 0 ? first : i == n - 1 ? last : 1;
      double u = (2*(i - block*size) + 1 - size)/(double)size, term = weight*(x[i] - mean);
      square += term*(x[i] - mean);
      for (int p = 0; p < MOMENTS; p++, term *= u) sum[p] += term;
    }
    for (int p = 0; p < MOMENTS; p++) s->moments[block*MOMENTS + p] = sum[p];
  }
  return square/n;
}

// |X|^2 of the line that turns by `turn` rad a sample.
static double line(const struct df_spectrum *s, int blocks, int size, double turn)
{
  double phi = turn*size/2, c[MOMENTS] = {1};
  for (int p = 1; p < MOMENTS; p++) c[p] = c[p - 1]*phi/p;
  for (int p = 0; p < MOMENTS; p++)
    if (p % 4 == 1 || p % 4 == 2) c[p] = -c[p];  // signs of (-i)^p
  double re = 0, im = 0, cosine = 1, sine = 0, dc = cos(turn*size), ds = -sin(turn*size);
  for (int block = 0; block < blocks; block++) {
    const double *m = s->moments + block*MOMENTS;
    double a = 0, b = 0;
    for (int p = 0; p < MOMENTS; p += 2) {
      a += c[p]*m[p];
      b += c[p + 1]*m[p + 1];
    }
    re += a*cosine - b*sine;
    im += a*sine + b*cosine;
    double next = cosine*dc - sine*ds;
    sine = cosine*ds + sine*dc;
    cosine = next;
  }
  return re*re + im*im;
}

enum df_status df_spectrum_band(struct df_spectrum *s, const double *x, int n, double step,
                                double first, double last, double from, double to,
                                struct df_band *out)
{
  double round_off = 1e-9; // lines
  double low = fmax(ceil(from*(n - 1)*step - round_off), 1);
  double high = fmin(floor(to*(n + 1)*step + round_off), n/2);
  int size = high >= 1 ? (int)(block_periods*n/high) : n;
  if (size < 1) size = 1;
  int blocks = (n + size - 1)/size;
  enum df_status status = make_room(s, blocks);
  *out = (struct df_band){NAN, NAN};
  if (status != DF_OK) return status;
  out->all = gather(s, x, n, size, first, last);
  double sum = 0;
  for (int k = (int)low; k <= high; k++)
    sum += (2*k == n ? 1 : 2)*line(s, blocks, size, 2*M_PI*k/n);  // both signs of the frequency
  out->in = sum/((double)n*n);
  return DF_OK;
}
