// Stretches, values between samples, crossings and peaks of a sampled channel.
#include "measures/signal.h"

// Times are counted in steps from here on; a sample this near to an end of a stretch belongs to it.
static const double slack = 1e-6; // steps: round-off of times, far below any meaning

static double in_steps(const struct df_signal *signal, double t)
{
  return (t - signal->start)/signal->step;
}

struct df_stretch df_signal_stretch(const struct df_signal *signal, double from, double to)
{
  struct df_stretch none = {0, -1, 0};
  if (!(from <= to) || signal->n < 1) return none;
  double low = fmax(ceil(in_steps(signal, from) - slack), 0);
  double high = fmin(floor(in_steps(signal, to) + slack), signal->n - 1);
  if (!(low <= high)) return none;
  return (struct df_stretch){(int)low, (int)high, (int)high - (int)low + 1};
}

double df_signal_at(const struct df_signal *signal, double t)
{
  double u = in_steps(signal, t);
  if (!(u > 0)) return isnan(u) ? NAN : signal->at[0];
  if (u >= signal->n - 1) return signal->at[signal->n - 1];
  int i = (int)u;
  return signal->at[i] + (u - i)*(signal->at[i + 1] - signal->at[i]);
}

double df_signal_smooth_at(const struct df_signal *signal, double t)
{
  double u = in_steps(signal, t);
  if (!(u >= 1) || u >= signal->n - 2) return df_signal_at(signal, t);
  int i = (int)u;
  const double *y = signal->at + i;
  double s = u - i;
  return -s*(s - 1)*(s - 2)/6*y[-1] + (s + 1)*(s - 1)*(s - 2)/2*y[0]
       - (s + 1)*s*(s - 2)/2*y[1] + (s + 1)*s*(s - 1)/6*y[2];
}

double df_signal_mean(const struct df_signal *signal, double from, double to)
{
  if (!(to > from)) return NAN;
  struct df_stretch in = df_signal_stretch(signal, from, to);
  double here = from, value = df_signal_at(signal, from), sum = 0;
  for (int i = in.first; i <= in.last; i++) {
    double t = signal->start + i*signal->step;
    sum += (t - here)*(value + signal->at[i])/2;
    here = t;
    value = signal->at[i];
  }
  sum += (to - here)*(value + df_signal_at(signal, to))/2;
  return sum/(to - from);
}

// Greatest of sign*signal.
static double extreme(const struct df_signal *signal, double from, double to, double sign,
                      double *when)
{
  struct df_stretch in = df_signal_stretch(signal, from, to);
  if (when) *when = NAN;
  if (in.n == 0) return NAN;
  int best = in.first;
  for (int i = in.first + 1; i <= in.last; i++)
    if (sign*signal->at[i] > sign*signal->at[best]) best = i;
  double shift = 0, value = signal->at[best];
  if (best > in.first && best < in.last) {
    const double *y = signal->at + best;
    double bend = sign*(2*y[0] - y[-1] - y[1]);
    if (bend > 0) shift = sign*(y[1] - y[-1])/(2*bend);
    value = sign*df_parabola_top(sign*y[-1], sign*y[0], sign*y[1]);
  }
  if (when) *when = signal->start + (best + shift)*signal->step;
  return value;
}

double df_signal_most(const struct df_signal *signal, double from, double to, double *when)
{
  return extreme(signal, from, to, 1, when);
}

double df_signal_least(const struct df_signal *signal, double from, double to, double *when)
{
  return extreme(signal, from, to, -1, when);
}

double df_signal_falls_to(const struct df_signal *signal, double from, double to, double level)
{
  struct df_stretch in = df_signal_stretch(signal, from, to);
  double t_before = from, before = df_signal_at(signal, from);
  for (int i = in.first; i <= in.last; i++) {
    double t = signal->start + i*signal->step, here = signal->at[i];
    if (before > level && here <= level)
      return t_before + (t - t_before)*(before - level)/(before - here);
    t_before = t;
    before = here;
  }
  return NAN;
}

double df_signal_settles(const struct df_signal *signal, double from, double to, double centre,
                         double band)
{
  struct df_stretch in = df_signal_stretch(signal, from, to);
  double t_after = to, after = fabs(df_signal_at(signal, to) - centre);
  if (!(after <= band)) return to;
  for (int i = in.last; i >= in.first; i--) {
    double t = signal->start + i*signal->step, here = fabs(signal->at[i] - centre);
    if (here > band) return t + (t_after - t)*(here - band)/(here - after);
    t_after = t;
    after = here;
  }
  return from;
}

// Least of signal less level at a sample, and at a time.
static double least_sample(const struct df_signal *signals, const double *levels, int count, int i)
{
  double least = signals[0].at[i] - levels[0];
  for (int k = 1; k < count; k++) {
    double here = signals[k].at[i] - levels[k];
    if (here < least) least = here;
  }
  return least;
}

static double least_at(const struct df_signal *signals, const double *levels, int count, double t)
{
  double least = df_signal_at(&signals[0], t) - levels[0];
  for (int k = 1; k < count; k++) least = fmin(least, df_signal_at(&signals[k], t) - levels[k]);
  return least;
}

double df_signals_time_below(const struct df_signal *signals, const double *levels, int count,
                             double from, double to)
{
  struct df_stretch in = df_signal_stretch(&signals[0], from, to);
  if (in.n == 0) return 0;
  double start = signals->start, step = signals->step;
  double first = start + in.first*step, last = start + in.last*step;
  double enters = least_sample(signals, levels, count, in.first), here = enters, sum = 0;
  for (int i = in.first + 1; i <= in.last; i++) {
    double before = here;
    here = least_sample(signals, levels, count, i);
    sum += df_share_below(before, here, 0);
  }
  sum *= step;
  double end = fmin(to, start + (signals->n - 1)*step);
  if (first > from && in.first > 0)
    sum += (first - from)*df_share_below(least_at(signals, levels, count, from), enters, 0);
  if (end > last) sum += (end - last)*df_share_below(here, least_at(signals, levels, count, end), 0);
  return sum;
}
