// Small tools over equally spaced samples: stretches of time, values in between, crossings, peaks.
#ifndef DF_MEASURES_SIGNAL_H
#define DF_MEASURES_SIGNAL_H

#include <math.h>

// One channel with its time axis. at[i] belongs to start + i*step.
struct df_signal { const double *at; int n; double start, step; /* s */ };

// Samples first..last that lie in [from, to] s, ends included; n = 0 when there are none.
struct df_stretch { int first, last, n; };
struct df_stretch df_signal_stretch(const struct df_signal *signal, double from, double to);

// Value at time t by a straight line; constant outside.
double df_signal_at(const struct df_signal *signal, double t);
// The same by the cubic through four samples: for smooth channels near a peak.
double df_signal_smooth_at(const struct df_signal *signal, double t);
// Mean over [from, to] s, by straight lines between samples. NAN when to <= from.
double df_signal_mean(const struct df_signal *signal, double from, double to);
// Greatest value in [from, to] s, between samples by a parabola, and its time (may be NULL).
double df_signal_most(const struct df_signal *signal, double from, double to, double *when);
double df_signal_least(const struct df_signal *signal, double from, double to, double *when);
// First time in [from, to] s at which the signal, above `level` before, is at or below it; NAN: never.
double df_signal_falls_to(const struct df_signal *signal, double from, double to, double level);
// Last time in [from, to] s at which |signal - centre| is `band`, after which it stays within; `from`
// when it never leaves the band, `to` when it is outside at the end.
double df_signal_settles(const struct df_signal *signal, double from, double to, double centre,
                         double band);
// Time within [from, to] s during which one at least of `count` signals on one time axis is below its
// level; crossings by straight lines between samples of the least signal less level.
double df_signals_time_below(const struct df_signal *signals, const double *levels, int count,
                             double from, double to);

// Share of a straight line from a to b (0..1) that lies below level.
static inline double df_share_below(double a, double b, double level)
{
  if (a < level) return b < level ? 1 : (level - a)/(b - a);
  return b < level ? (level - b)/(a - b) : 0;
}

// Height of the parabola through three equally spaced values at its top; the middle one if it is
// not a top.
static inline double df_parabola_top(double before, double here, double after)
{
  double bend = 2*here - before - after;
  if (!(bend > 0) || here < before || here < after) return here;
  return here + (after - before)*(after - before)/(8*bend);
}

// Greatest value of a stream. With `refine` a parabola through three samples finds the top between them.
struct df_peak_finder { int refine; double before, here, most; };
static inline struct df_peak_finder df_peak_finder_init(int refine)
{
  return (struct df_peak_finder){refine, -INFINITY, -INFINITY, -INFINITY};
}
static inline void df_peak_finder_next(struct df_peak_finder *f, double value)
{
  if (f->here >= value && f->here >= f->before) {
    int inside = f->refine && !isinf(f->before);
    double top = inside ? df_parabola_top(f->before, f->here, value) : f->here;
    if (top > f->most) f->most = top;
  }
  f->before = f->here;
  f->here = value;
}
// Greatest value so far; -INFINITY of an empty stream.
static inline double df_peak_finder_end(const struct df_peak_finder *f)
{
  return f->here > f->most ? f->here : f->most;
}

#endif
