// Measures of a manoeuvre (brake, lean, push), and of how the fork comes to rest after an obstacle.
#include "measures/of.h"

#include <math.h>
#include <string.h>

#include "base/param.h"
#include "measures/passes.h"

#define UNUSED __attribute__((unused))

static const double rest_share = 0.1;   // 1, part of a hold, at its end, whose mean is the rest
static const double settled = 0.05;     // 1, of the step: within this it has settled
static const double swung = 0.05;       // 1, of the first peak: smaller swings are ripple
static const double returned = 0.1;     // 1, of the way: what is left when the fork counts as back
static const double after_least = 0.5;  // s of ride after an obstacle: with less nothing is said
static const int packing_waves = 5;

// Travel from `start` to `end`, with the rest over the last part of `hold` s before the end.
static int hold_of(const struct df_measured *m, double start, double end, double hold,
                   struct df_hold *out)
{
  struct df_signal x = df_channel_of(m, DF_C_TRAVEL);
  if (!(start < end) || !(hold > 0) || x.n < 2) return 0;
  end = fmin(end, x.start + (x.n - 1)*x.step);
  *out = (struct df_hold){.start = start, .end = end, .before = m->ride->static_travel};
  out->rest = df_signal_mean(&x, end - rest_share*hold, end);
  out->peak = df_signal_most(&x, start, end, &out->peak_at);
  const struct df_extreme *inside = &m->ride->peak[DF_P_TRAVEL];
  if (inside->most > out->peak && inside->most_at >= start && inside->most_at <= end) {
    out->peak = inside->most;
    out->peak_at = inside->most_at;
  }
  return isfinite(out->rest) && isfinite(out->peak);
}

static int brake_hold(const struct df_measured *m, struct df_hold *out)
{
  const struct df_moments *at = &m->ride->moments;
  return hold_of(m, at->brake_start, at->release, at->release - at->ramp_end, out);
}

static int lean_hold(const struct df_measured *m, struct df_hold *out)
{
  if (!m->road || !m->road->has_lean) return 0;
  const struct df_lean *lean = &m->road->lean;
  double start = m->ride->moments.lean_start;
  return hold_of(m, start, start + lean->ramp + lean->hold, lean->hold, out);
}

// From the start of the load until travel stays within 5 % of the step, s.
static double settling(const struct df_measured *m, const struct df_hold *hold)
{
  struct df_signal x = df_channel_of(m, DF_C_TRAVEL);
  double band = settled*fabs(hold->rest - hold->before);
  if (!(band > 0)) return NAN;
  return df_signal_settles(&x, hold->start, hold->end, hold->rest, band) - hold->start;
}

double df_of_dive_depth(const struct df_measured *m, UNUSED double unused)
{
  struct df_hold hold;
  return brake_hold(m, &hold) ? hold.rest - hold.before : NAN;
}

double df_of_dive_overshoot(const struct df_measured *m, UNUSED double unused)
{
  struct df_hold hold;
  return brake_hold(m, &hold) ? hold.peak - hold.rest : NAN;
}

double df_of_dive_overshoot_share(const struct df_measured *m, double unused)
{
  return df_of_dive_overshoot(m, unused)/df_measured_travel(m);
}

double df_of_dive_speed(const struct df_measured *m, UNUSED double unused)
{
  struct df_hold hold;
  if (!brake_hold(m, &hold)) return NAN;
  struct df_signal v = df_channel_of(m, DF_C_VELOCITY);
  return df_signal_most(&v, hold.start, hold.peak_at, NULL);
}

double df_of_settling_time(const struct df_measured *m, UNUSED double unused)
{
  struct df_hold hold;
  return brake_hold(m, &hold) ? settling(m, &hold) : NAN;
}

double df_of_braked_rest(const struct df_measured *m, UNUSED double unused)
{
  struct df_hold hold;
  return brake_hold(m, &hold) ? hold.rest : NAN;
}

double df_of_braked_rest_share(const struct df_measured *m, double unused)
{
  return df_of_braked_rest(m, unused)/df_measured_travel(m);
}

double df_of_lean_overshoot(const struct df_measured *m, UNUSED double unused)
{
  struct df_hold hold;
  return lean_hold(m, &hold) ? hold.peak - hold.rest : NAN;
}

double df_of_lean_settling(const struct df_measured *m, UNUSED double unused)
{
  struct df_hold hold;
  return lean_hold(m, &hold) ? settling(m, &hold) : NAN;
}

static double end_of(const struct df_signal *signal)
{
  return signal->start + (signal->n - 1)*signal->step;
}

double df_of_push_past_start(const struct df_measured *m, UNUSED double unused)
{
  struct df_signal x = df_channel_of(m, DF_C_TRAVEL);
  double from = m->ride->moments.push_release, rest = m->ride->static_travel;
  if (isnan(from) || x.n < 2) return NAN;
  double out = df_signal_falls_to(&x, from, end_of(&x), rest);
  if (isnan(out)) return 0;
  struct df_stretch after = df_signal_stretch(&x, out, end_of(&x));
  int i = after.first;
  while (i <= after.last && x.at[i] <= rest) i++;
  return fmax(rest - df_signal_least(&x, out, x.start + (i - 1)*x.step, NULL), 0);
}

// Peaks of travel above the rest, met in time order.
struct peaks { double height[2]; int n; };

// Walk on from sample i: greatest height above the rest before the fork swings `past` below it.
// A peak needs to rise to its height after `i`. Gives the sample where it has swung past, or n.
static int next_peak(const struct df_signal *x, int i, double rest, double past,
                     struct peaks *peaks)
{
  int first = i, top = i;
  double swing = past;
  for (; i < x->n; i++) {
    if (x->at[i] > x->at[top]) top = i;
    double height = x->at[top] - rest;
    if (isnan(past)) swing = swung*fmax(height, 0);
    if (height > 0 && x->at[i] < rest - swing) break;
  }
  if (x->at[top] > rest && top > first && top < x->n - 1)
    peaks->height[peaks->n++] = df_parabola_top(x->at[top - 1], x->at[top], x->at[top + 1]) - rest;
  return i;
}

// 1 for roads that are rough all along: there is no last obstacle.
static int rough_all_along(const struct df_measured *m)
{
  return m->road && df_road_kinds[m->road->kind]->faded;
}

double df_of_bounce_decay(const struct df_measured *m, UNUSED double unused)
{
  struct df_signal x = df_channel_of(m, DF_C_TRAVEL);
  double from = m->ride->moments.last_touch, rest = m->ride->static_travel;
  if (isnan(from) || rough_all_along(m) || x.n < 3 || end_of(&x) - from < after_least) return NAN;
  struct peaks peaks = {.n = 0};
  int i = df_signal_stretch(&x, from, end_of(&x)).first;
  while (peaks.n == 0 && i < x.n) i = next_peak(&x, i, rest, NAN, &peaks);
  if (peaks.n == 0 || i >= x.n) return 0;
  next_peak(&x, i, rest, swung*peaks.height[0], &peaks);
  return peaks.n == 2 ? peaks.height[1]/peaks.height[0] : 0;
}

double df_of_return_time(const struct df_measured *m, UNUSED double unused)
{
  struct df_signal x = df_channel_of(m, DF_C_TRAVEL);
  const struct df_extreme *peak = &m->ride->peak[DF_P_TRAVEL];
  double rest = m->ride->static_travel, end = m->ride->moments.window_end;
  if (isnan(m->ride->moments.touch) || rough_all_along(m) || x.n < 2 || !(peak->most > rest))
    return NAN;
  double back = df_signal_falls_to(&x, peak->most_at, end, rest + returned*(peak->most - rest));
  return (isnan(back) ? end : back) - peak->most_at;
}

// The value of a key of the road's kind, SI; NAN when the kind has no such key.
static double road_key(const struct df_road *road, const char *key)
{
  const struct df_section *keys = df_road_kinds[road->kind]->keys;
  for (int i = 0; keys && i < keys->rows; i++)
    if (strcmp(keys->row[i].key, key) == 0)
      return *(const double *)((const char *)road->keys + keys->row[i].at);
  return NAN;
}

double df_of_packing(const struct df_measured *m, UNUSED double unused)
{
  struct df_signal x = df_channel_of(m, DF_C_TRAVEL);
  if (!m->road || x.n < 2) return NAN;
  double length = packing_waves*road_key(m->road, "wave_length")/m->road->speed;
  double end = fmin(m->ride->moments.window_end, end_of(&x));
  if (!(length > 0) || end - length < x.start) return NAN;
  return df_signal_mean(&x, end - length, end) - m->ride->static_travel;
}
