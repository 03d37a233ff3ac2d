// Measures of any ride: travel, acceleration, tyre load, oil, energy.
#include "measures/of.h"

#include <math.h>
#include <stddef.h>

#include "measures/passes.h"

#define UNUSED __attribute__((unused))

static const double stuck_speed = 1e-3;  // m/s, fork speed below which it counts as stuck
static const double stuck_road = 10e-3;  // m/s, of the road's height: above it the fork should move

double df_measured_travel(const struct df_measured *m)
{
  const struct df_scenario *s = m->scenario;
  double left = s->side[0].leg.travel;
  return s->unlike ? fmin(left, s->side[1].leg.travel) : left;
}

double df_of_travel_peak(const struct df_measured *m, UNUSED double unused)
{
  return m->ride->peak[DF_P_TRAVEL].most;
}

double df_of_travel_share(const struct df_measured *m, UNUSED double unused)
{
  return m->ride->peak[DF_P_TRAVEL].most/df_measured_travel(m);
}

double df_of_travel_reserve(const struct df_measured *m, UNUSED double unused)
{
  return df_measured_travel(m) - m->ride->peak[DF_P_TRAVEL].most;
}

double df_of_acceleration_peak(const struct df_measured *m, UNUSED double unused)
{
  return m->ride->peak[DF_P_ACCELERATION].most;
}

double df_of_acceleration_low(const struct df_measured *m, UNUSED double unused)
{
  return m->ride->peak[DF_P_ACCELERATION].least;
}

double df_of_shock(const struct df_measured *m, UNUSED double unused)
{
  return df_pass_filtered(m).shock;
}

double df_of_jerk(const struct df_measured *m, UNUSED double unused)
{
  return df_pass_filtered(m).jerk;
}

double df_of_impulse_share(const struct df_measured *m, UNUSED double unused)
{
  return df_pass_impulse_share(m);
}

double df_of_weighted(const struct df_measured *m, UNUSED double unused)
{
  return df_pass_weighted(m).rms;
}

double df_of_dose(const struct df_measured *m, UNUSED double unused)
{
  return df_pass_weighted(m).dose;
}

double df_of_crest_factor(const struct df_measured *m, UNUSED double unused)
{
  struct df_weighted w = df_pass_weighted(m);
  return w.rms > 0 ? w.peak/w.rms : NAN;
}

static double window_length(const struct df_measured *m)
{
  return m->ride->moments.window_end - m->ride->moments.window_start;
}

static struct df_stretch window_of(const struct df_measured *m, const struct df_signal *signal)
{
  return df_signal_stretch(signal, m->ride->moments.window_start, m->ride->moments.window_end);
}

double df_of_tyre_variation(const struct df_measured *m, UNUSED double unused)
{
  struct df_signal tyre = df_channel_of(m, DF_C_TYRE);
  struct df_stretch in = window_of(m, &tyre);
  double rest = m->ride->static_load, sum = 0, square = 0;
  if (in.n == 0) return NAN;
  for (int i = in.first; i <= in.last; i++) {
    double off = tyre.at[i] - rest;  // about the load at rest: no digits are lost
    sum += off;
    square += off*off;
  }
  double mean = sum/in.n;
  return sqrt(fmax(square/in.n - mean*mean, 0))/rest;
}

// Part of the cell after sample i at which the parabola through samples i - 2, i - 1 and i is zero; NAN
// when it is not zero within the cell.
static double zero_after(const double *y, int i)
{
  double bend = (y[i] - 2*y[i - 1] + y[i - 2])/2, slope = (3*y[i] - 4*y[i - 1] + y[i - 2])/2;
  double root = slope*slope - 4*bend*y[i];
  if (root < 0 || slope*y[i] >= 0) return NAN;
  double u = -2*y[i]/(slope + copysign(sqrt(root), slope));
  return u <= 1 ? u : NAN;
}

// Share of the cell after sample i without load. By definition a straight line crosses zero, between
// samples every DF_FINE_SAMPLE_STEP. Wider cells often hold a kink: at a touch the load's damping sets
// in, after a lift it ends. Before either the channel is smooth, so it is carried on from there.
static double share_in_air(const struct df_signal *tyre, int i, int first)
{
  const double *y = tyre->at;
  double share = df_share_below(y[i], y[i + 1], 0);
  if (share <= 0 || share >= 1 || !df_is_wide(tyre)) return share;
  int smooth = i - 2 >= first && (y[i] < 0) == (y[i - 1] < 0) && (y[i] < 0) == (y[i - 2] < 0);
  double u = smooth ? zero_after(y, i) : NAN;
  if (isnan(u)) return share;
  return y[i] < 0 ? u : 1 - u;
}

double df_of_airborne_time(const struct df_measured *m, UNUSED double unused)
{
  struct df_signal tyre = df_channel_of(m, DF_C_TYRE_SIGNED);
  struct df_stretch in = window_of(m, &tyre);
  if (in.n < 2) return NAN;
  if (m->scenario->tyre.bilateral == DF_ON) return 0;
  double sum = 0;
  for (int i = in.first; i < in.last; i++) sum += share_in_air(&tyre, i, in.first);
  return sum*tyre.step;
}

double df_of_patter(const struct df_measured *m, UNUSED double unused)
{
  return df_pass_patter(m)/m->ride->static_load;
}

// Share of a straight line from a to b that lies within -bound..bound.
static double share_within(double a, double b, double bound)
{
  if (a == b) return fabs(a) < bound;
  return df_share_below(a, b, bound) - df_share_below(a, b, -bound);
}

double df_of_stuck_share(const struct df_measured *m, UNUSED double unused)
{
  struct df_signal v = df_channel_of(m, DF_C_VELOCITY), w = df_channel_of(m, DF_C_ROAD);
  struct df_stretch in = window_of(m, &v);
  if (w.n == 0 || in.n < 2) return NAN;
  double sum = 0, road = stuck_road*w.step;
  for (int i = in.first + 1; i <= in.last; i++)
    if (fabs(w.at[i] - w.at[i - 1]) > road)
      sum += share_within(v.at[i - 1], v.at[i], stuck_speed);
  return sum/(in.n - 1);
}

double df_of_cavitating_time(const struct df_measured *m, UNUSED double unused)
{
  struct df_signal p[2*DF_SIDES];
  double threshold[2*DF_SIDES];
  int count = 0;
  for (int leg = 0; leg < m->ride->legs; leg++) {
    if (m->scenario->side[leg].leg.has_linear) continue; // no oil, no pressures
    for (int channel = DF_C_P_LOWER; channel <= DF_C_P_ANNULUS; channel++) {
      p[count] = df_leg_channel_of(m, channel, leg);
      if (p[count].n == 0) return NAN;
      threshold[count++] = m->scenario->side[leg].oil.cavitation_threshold;
    }
  }
  if (count == 0) return NAN;
  return df_signals_time_below(p, threshold, count, m->ride->moments.window_start,
                               m->ride->moments.window_end);
}

double df_of_void_share(const struct df_measured *m, double unused)
{
  return df_of_cavitating_time(m, unused)/window_length(m);
}

double df_of_void_peak(const struct df_measured *m, UNUSED double unused)
{
  static const int chamber[] = {DF_C_VOID_LOWER, DF_C_VOID_ANNULUS};
  double most = NAN;
  for (int leg = 0; leg < m->ride->legs; leg++)
    for (int k = 0; k < 2 && !m->scenario->side[leg].leg.has_linear; k++) {
      struct df_signal room = df_leg_channel_of(m, chamber[k], leg);
      most = fmax(most, df_signal_most(&room, m->ride->moments.window_start,
                                       m->ride->moments.window_end, NULL));
    }
  return most;
}

double df_of_bottoming_speed(const struct df_measured *m, UNUSED double unused)
{
  return m->ride->bottoming_speed;
}

double df_of_topping_speed(const struct df_measured *m, UNUSED double unused)
{
  double speed = fabs(m->ride->topping_speed);
  return speed > 0 ? -speed : 0;  // fork speed: extending is negative; no negative zero
}

double df_of_speed_share(const struct df_measured *m, double bin)
{
  return df_pass_speed_share(m, (int)bin - 1);
}

double df_of_energy(const struct df_measured *m, double entry)
{
  return isnan(m->ride->energy_residual) ? NAN : m->ride->energy[(int)entry];
}

double df_of_energy_residual(const struct df_measured *m, UNUSED double unused)
{
  return m->ride->energy_residual;
}

double df_of_part(const struct df_measured *m, double channel)
{
  double when = m->ride->peak[DF_P_ACCELERATION].most_at, sum = 0;
  for (int leg = 0; leg < m->ride->legs; leg++) {
    struct df_signal force = df_leg_channel_of(m, (int)channel, leg);
    if (force.n == 0) return NAN;
    sum += df_signal_smooth_at(&force, when);
  }
  return m->ride->legs == 1 ? sum*m->ride->leg_count : sum;
}
