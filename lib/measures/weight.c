// Wk by its published sections (ISO 8041-1:2017, table 3), and running figures (ISO 2631-1:1997, 6.3).
#include "measures/weight.h"

#include <math.h>

#include "measures/signal.h"

static const double band_low = 0.4, band_high = 100;  // Hz, Butterworth
static const double f3 = 12.5, f4 = 12.5, q4 = 0.63;  // Hz, Hz, 1: acceleration-velocity transition
static const double f5 = 2.37, q5 = 0.91, f6 = 3.35, q6 = 0.91; // Hz, 1: upward step

// Section i of the weighting.
static struct df_analogue section(int i)
{
  double ratio = f6/f5;
  switch (i) {
  case 0: return df_butterworth_high(band_low);
  case 1: return df_butterworth_low(band_high);
  case 2: return (struct df_analogue){f4, {1, f4/f3, 0}, {1, 1/q4, 1}};
  default:
    return (struct df_analogue){f6, {1/(ratio*ratio), 1/(q5*ratio), 1}, {1, 1/q6, 1}};
  }
}

struct df_weight df_weight_init(double step)
{
  struct df_weight weight;
  for (int i = 0; i < DF_WEIGHT_SECTIONS; i++) {
    struct df_analogue analogue = section(i);
    weight.section[i] = df_biquad_bilinear(&analogue, step);
    if (!(step > 0 && step <= DF_WEIGHT_STEP_MOST)) weight.section[i].s1 = NAN;
  }
  return weight;
}

double df_weight_gain(double f)
{
  double gain = 1;
  for (int i = 0; i < DF_WEIGHT_SECTIONS; i++) {
    struct df_analogue analogue = section(i);
    gain *= df_analogue_gain(&analogue, f);
  }
  return gain;
}

double df_weight_gain_sampled(double step, double f)
{
  struct df_weight weight = df_weight_init(step);
  double gain = 1;
  for (int i = 0; i < DF_WEIGHT_SECTIONS; i++) gain *= df_biquad_gain(&weight.section[i], step, f);
  return gain;
}

// Greatest mean of the squares over the last second, as it runs from sample `first` on. Before a
// second has passed the missing part counts as nothing, as for a meter switched on at rest.
static double running_linear(const double *squares, double step, int first, int last)
{
  int span = (int)lround(1/step);
  double sum = 0, most = 0;
  for (int i = first; i <= last; i++) {
    sum += squares[i];
    if (i - first >= span) sum -= squares[i - span];
    if (sum > most) most = sum;
  }
  return sqrt(most/span);
}

struct df_weighted df_weight_run(const double *a, int n, double step, int first, int last,
                                 double *squares)
{
  struct df_weight weight = df_weight_init(step);
  struct df_peak_finder peak = df_peak_finder_init(1);
  double sum2 = 0, sum4 = 0, smooth = 0, smooth_most = 0, keep = exp(-step);
  for (int i = 0; i <= last && i < n; i++) {
    double w = df_weight_next(&weight, a[i]), square = w*w;
    if (squares) squares[i] = square;
    if (i < first) continue;
    sum2 += square;
    sum4 += square*square;
    smooth = square + keep*(smooth - square);
    if (smooth > smooth_most) smooth_most = smooth;
    df_peak_finder_next(&peak, fabs(w));
  }
  return (struct df_weighted){
    .rms = sqrt(sum2/(last - first + 1)),
    .dose = sqrt(sqrt(sum4*step)),
    .peak = df_peak_finder_end(&peak),
    .running_linear = squares ? running_linear(squares, step, first, last) : NAN,
    .running_exponential = sqrt(smooth_most),
  };
}
