// Walks over a trace that several measures share, done once a ride and kept in a workspace.
#ifndef DF_MEASURES_PASSES_H
#define DF_MEASURES_PASSES_H

#include "dampfork/measure.h"
#include "measures/signal.h"
#include "measures/spectrum.h"
#include "measures/weight.h"

enum { DF_SPEED_BINS = 16 };
extern const double df_speed_bounds[DF_SPEED_BINS - 1]; // m/s, between neighbouring bins

// The sprung mass's acceleration after the low-pass: greatest value, m/s2, and greatest jerk, m/s3.
struct df_filtered { double shock, jerk; };

// A hold in a new load: the rest before, the rest in it and the way there.
struct df_hold {
  double start, end;          // s, start of the load's rise, end of the hold
  double before, rest;        // m, travel at rest before; mean over the last tenth of the hold
  double peak, peak_at;       // m, s: greatest travel from start to end
};

// What was walked already; a bit each.
enum { DF_PASS_FILTERED = 1, DF_PASS_WEIGHTED = 2, DF_PASS_SPEEDS = 4, DF_PASS_IMPULSE = 8,
       DF_PASS_PATTER = 16 };

struct df_measure_workspace {
  unsigned done;
  enum df_status status;      // DF_NO_MEMORY when a walk found none
  struct df_spectrum spectrum;
  struct df_filtered filtered;
  struct df_weighted weighted;
  double speeds[DF_SPEED_BINS]; // 1, share of T in each bin
  double impulse_share;       // 1
  double patter;              // N, rms
};

// 1 when samples are wider than those the measures are defined on: tops, crossings and ends of windows
// are then looked for between samples, which the definition does not do.
int df_is_wide(const struct df_signal *signal);

// One channel as a signal; at is NULL when it was not sampled, n is 0 then.
struct df_signal df_channel_of(const struct df_measured *m, int channel);
// The same of one leg (0, 1) for channels from DF_C_WHOLE on.
struct df_signal df_leg_channel_of(const struct df_measured *m, int channel, int leg);

// All of them give NAN where a channel is missing or the window is empty.
struct df_filtered df_pass_filtered(const struct df_measured *m);
struct df_weighted df_pass_weighted(const struct df_measured *m);
double df_pass_speed_share(const struct df_measured *m, int bin);
double df_pass_impulse_share(const struct df_measured *m);
double df_pass_patter(const struct df_measured *m);

#endif
