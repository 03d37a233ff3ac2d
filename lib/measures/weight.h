// Frequency weighting Wk of whole-body vibration, and the figures made of a weighted signal.
#ifndef DF_MEASURES_WEIGHT_H
#define DF_MEASURES_WEIGHT_H

#include "measures/filter.h"

enum { DF_WEIGHT_SECTIONS = 4 };

// Wk, ISO 8041-1 (and ISO 2631-1): band limits 0.4 and 100 Hz, transition at 12.5 Hz, step at 2.4-3.4 Hz.
struct df_weight { struct df_biquad section[DF_WEIGHT_SECTIONS]; };

// The filter for samples every `step` s, at rest. Steps above DF_WEIGHT_STEP_MOST give NAN from the filter.
#define DF_WEIGHT_STEP_MOST 4e-3 // s: the 100 Hz limit must lie below half the rate, with some room
struct df_weight df_weight_init(double step);
// Gain of the analogue weighting at f (Hz), and of the sampled one.
double df_weight_gain(double f);
double df_weight_gain_sampled(double step, double f);

static inline double df_weight_next(struct df_weight *w, double u)
{
  for (int i = 0; i < DF_WEIGHT_SECTIONS; i++) u = df_biquad_next(&w->section[i], u);
  return u;
}

// Figures of a weighted signal over one stretch of it.
struct df_weighted {
  double rms;                 // m/s2
  double dose;                // m/s1.75, fourth root of the integral of the fourth power
  double peak;                // m/s2, greatest size; between samples by a parabola
  double running_linear;      // m/s2, MTVV: greatest rms of the last second, equal weights
  double running_exponential; // m/s2, MTVV: the same, weights that fall with a time constant of 1 s
};

// Weight a[0..n-1], m/s2, sampled every `step` s, from rest at a[0]; figures over samples first..last.
// `squares` has room for n values; NULL: running_linear is not computed and is NAN.
struct df_weighted df_weight_run(const double *a, int n, double step, int first, int last,
                                 double *squares);

#endif
