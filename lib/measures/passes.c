// Shared walks over a trace. Each is one pass; spectra are made only when asked for.
#include "measures/passes.h"

#include <math.h>
#include <stdlib.h>

const double df_speed_bounds[DF_SPEED_BINS - 1] = {
  -3, -1.5, -1, -0.5, -0.3, -0.1, -0.05, 0, 0.05, 0.1, 0.3, 0.5, 1, 1.5, 3
};

static const double shock_limit = 100;       // Hz, low-pass of shock_transmitted
static const double impulse_from = 20;       // Hz
static const double patter_from = 8, patter_to = 20; // Hz

int df_is_wide(const struct df_signal *signal)
{
  return signal->step > 1.01*DF_FINE_SAMPLE_STEP;
}

struct df_signal df_channel_of(const struct df_measured *m, int channel)
{
  const struct df_trace *trace = &m->ride->trace;
  const double *at = trace->at[channel];
  return (struct df_signal){at, at ? trace->n : 0, trace->start, trace->step};
}

struct df_signal df_leg_channel_of(const struct df_measured *m, int channel, int leg)
{
  return df_channel_of(m, channel + leg*DF_C_PER_LEG);
}

// Samples of the evaluation window.
static struct df_stretch window_of(const struct df_measured *m, const struct df_signal *signal)
{
  return df_signal_stretch(signal, m->ride->moments.window_start, m->ride->moments.window_end);
}

// 1 when the pass was made before; the bit is set for the next asker.
static int made(const struct df_measured *m, unsigned pass)
{
  if (!m->workspace) return 0;
  int before = (m->workspace->done & pass) != 0;
  m->workspace->done |= pass;
  return before;
}

static struct df_filtered filter(const struct df_measured *m)
{
  struct df_signal a = df_channel_of(m, DF_C_ACCELERATION);
  struct df_stretch in = window_of(m, &a);
  if (in.n < 3 || !(a.step <= DF_WEIGHT_STEP_MOST)) return (struct df_filtered){NAN, NAN};
  struct df_analogue analogue = df_butterworth_low(shock_limit);
  struct df_biquad low = df_biquad_bilinear(&analogue, a.step);
  struct df_peak_finder shock = df_peak_finder_init(df_is_wide(&a)), jerk = shock;
  double before_last = 0, last = 0;
  for (int i = 0; i <= in.last; i++) {
    double y = df_biquad_next(&low, a.at[i]);
    if (i >= in.first) df_peak_finder_next(&shock, y);
    if (i >= in.first + 2) df_peak_finder_next(&jerk, fabs(y - before_last));
    before_last = last;
    last = y;
  }
  return (struct df_filtered){df_peak_finder_end(&shock), df_peak_finder_end(&jerk)/(2*a.step)};
}

struct df_filtered df_pass_filtered(const struct df_measured *m)
{
  if (made(m, DF_PASS_FILTERED)) return m->workspace->filtered;
  struct df_filtered result = filter(m);
  if (m->workspace) m->workspace->filtered = result;
  return result;
}

struct df_weighted df_pass_weighted(const struct df_measured *m)
{
  if (made(m, DF_PASS_WEIGHTED)) return m->workspace->weighted;
  struct df_signal a = df_channel_of(m, DF_C_ACCELERATION);
  struct df_stretch in = window_of(m, &a);
  struct df_weighted result = {NAN, NAN, NAN, NAN, NAN};
  if (in.n > 0 && a.step <= DF_WEIGHT_STEP_MOST)
    result = df_weight_run(a.at, a.n, a.step, in.first, in.last, NULL);
  if (m->workspace) m->workspace->weighted = result;
  return result;
}

// Bin of a speed, looked for from the bin of the sample before.
static int bin_of(double v, int from)
{
  while (from < DF_SPEED_BINS - 1 && v >= df_speed_bounds[from]) from++;
  while (from > 0 && v < df_speed_bounds[from - 1]) from--;
  return from;
}

// Spread one cell, in which the speed runs straight from a to b, over the bins it passes.
static void spread(double a, double b, int bin_a, int bin_b, double *bins)
{
  int way = bin_b > bin_a ? 1 : -1;
  double here = a;
  for (int bin = bin_a; bin != bin_b; bin += way) {
    double bound = df_speed_bounds[way > 0 ? bin : bin - 1];
    bins[bin] += (bound - here)/(b - a);
    here = bound;
  }
  bins[bin_b] += (b - here)/(b - a);
}

static void fill_bins(const struct df_measured *m, double *bins)
{
  struct df_signal v = df_channel_of(m, DF_C_VELOCITY);
  struct df_stretch in = window_of(m, &v);
  for (int bin = 0; bin < DF_SPEED_BINS; bin++) bins[bin] = in.n < 2 ? NAN : 0;
  if (in.n < 2) return;
  int bin = bin_of(v.at[in.first], DF_SPEED_BINS/2);
  for (int i = in.first + 1; i <= in.last; i++) {
    int next = bin_of(v.at[i], bin);
    if (next == bin) bins[bin]++;
    else spread(v.at[i - 1], v.at[i], bin, next, bins);
    bin = next;
  }
  for (bin = 0; bin < DF_SPEED_BINS; bin++) bins[bin] /= in.n - 1;
}

double df_pass_speed_share(const struct df_measured *m, int bin)
{
  double own[DF_SPEED_BINS], *bins = m->workspace ? m->workspace->speeds : own;
  if (!made(m, DF_PASS_SPEEDS)) fill_bins(m, bins);
  return bins[bin];
}

// Weights that let the first and last sample stand for the time up to the ends of the window: a window
// often begins with a jump, and a wide step would shift it by half a step.
static void end_weights(const struct df_measured *m, const struct df_signal *signal,
                        const struct df_stretch *in, double *first, double *last)
{
  double from = signal->start + in->first*signal->step;
  double to = signal->start + in->last*signal->step;
  *first = 0.5 + fmin(fmax((from - m->ride->moments.window_start)/signal->step, 0), 1);
  *last = 0.5 + fmin(fmax((m->ride->moments.window_end - to)/signal->step, 0), 1);
}

// Mean squares of one channel over the window, in a band and in all; NAN: no samples, no memory.
static struct df_band band_of(const struct df_measured *m, int channel, double low, double high)
{
  struct df_signal signal = df_channel_of(m, channel);
  struct df_stretch in = window_of(m, &signal);
  struct df_spectrum own = {NULL, 0};
  struct df_band band = {NAN, NAN};
  double first = 1, last = 1;
  if (in.n < 2) return band;
  if (df_is_wide(&signal)) end_weights(m, &signal, &in, &first, &last);
  enum df_status status = df_spectrum_band(m->workspace ? &m->workspace->spectrum : &own,
                                           signal.at + in.first, in.n, signal.step, first, last,
                                           low, high, &band);
  if (status != DF_OK && m->workspace) m->workspace->status = status;
  df_spectrum_finish(&own);
  return band;
}

double df_pass_impulse_share(const struct df_measured *m)
{
  if (made(m, DF_PASS_IMPULSE)) return m->workspace->impulse_share;
  struct df_band slow = band_of(m, DF_C_ACCELERATION, 0, impulse_from);
  double share = slow.all > 0 ? 1 - slow.in/slow.all : NAN;
  if (m->workspace) m->workspace->impulse_share = share;
  return share;
}

double df_pass_patter(const struct df_measured *m)
{
  if (made(m, DF_PASS_PATTER)) return m->workspace->patter;
  double rms = sqrt(band_of(m, DF_C_TYRE, patter_from, patter_to).in);
  if (m->workspace) m->workspace->patter = rms;
  return rms;
}
