// Measures: one table, each defined once.
#ifndef DAMPFORK_MEASURE_H
#define DAMPFORK_MEASURE_H

#include "dampfork/leg.h"
#include "dampfork/ride.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

// Spacing of samples in a single ride, s: the one in which the measures are defined.
#define DF_FINE_SAMPLE_STEP 1e-4
// Spacing of samples in a batch, s: the widest at which every measure without DF_NEEDS_FINE agrees with
// its definition within 0.2 %. Seen on rides of the example fork, plain and valved, over edges of 25, 40
// and 50 mm, a cleat, two potholes and two bumps at 40-80 km/h, any phase of the samples:
//   shock_transmitted off by at most 0.09 % at 0.5 ms, 0.37 % at 1 ms; weighted acceleration, dose and
//   crest factor 0.06 % (0.23 %); tyre_load_variation 0.16 % (0.44 %); patter 0.24 % (0.58 %).
// Outside it: airborne_time by 0.4 ms where the tyre leaves the ground at 1 m/s, when its load hovers
// about zero; shares of time and voids that last a millisecond. A jump of the acceleration close to its
// peak would move shock_transmitted by a twentieth of the jump; none was met.
#define DF_BATCH_SAMPLE_STEP 5e-4

// What a measure needs from a ride; a batch computes only what was asked for.
enum df_needs {
  DF_NEEDS_PEAKS = 1,         // extremes from inside the steps, touches of the stops
  DF_NEEDS_TRACE = 2,         // samples of travel, fork speed, acceleration, tyre load, road height
  DF_NEEDS_PRESSURES = 4,     // samples of pressures and voids
  DF_NEEDS_FORCES = 8,        // samples of every force of a leg
  DF_NEEDS_LEDGER = 16,       // energies
  DF_NEEDS_STEADY = 32,       // steady leg at the static position (no ride)
  DF_NEEDS_SAG = 64,          // static positions and forces (no ride)
  DF_NEEDS_TWO_RIDES = 128,   // shock_transmitted of a second ride, put in by the caller
  DF_NEEDS_FINE = 256         // samples every DF_FINE_SAMPLE_STEP: differences over two samples (jerk_peak,
                              // 1.3 % low at 0.5 ms), power after jumps (impulse_share, 0.5 % off),
                              // forces at one instant, which may be that of a kink (peak_*, 0.5 %)
};

struct df_measure_workspace;

// What a measure may look at. Fields that its `needs` do not name may be empty.
struct df_measured {
  const struct df_scenario *scenario;
  const struct df_road *road;           // NULL for static measures
  const struct df_ride *ride;           // NULL for static measures
  const struct df_statics *statics;     // see leg.h; NULL when no static measure is asked for
  double shock_cold;          // m/s2, shock_transmitted with oil at DF_COLD; 0 or NAN: no such ride
  double shock_heated;        // m/s2, the same with `start: heated`; 0 or NAN: no such ride
  struct df_measure_workspace *workspace; // set by df_measures_evaluate; NULL elsewhere
};

// Oil temperature of a cold start, K (5 degC).
#define DF_COLD 278.15

// Which way a measure gets better.
enum df_better { DF_LESS_IS_BETTER = -1, DF_NEITHER = 0, DF_MORE_IS_BETTER = 1 };

// One row of the table.
struct df_measure {
  const char *name;           // snake_case
  const char *unit;           // as in columns: "mm", "m_per_s2", "percent", "1"
  double per_si;              // value in `unit` = SI value * per_si
  unsigned needs;             // of enum df_needs
  enum df_better better;
  double (*of)(const struct df_measured *, double argument); // SI; NAN: not defined for this road
  double argument;            // which of a family (fork_speed_share_03: 3)
  unsigned long long channels; // bit of each channel of the trace that it reads, those of leg 0 for both
  const char *meaning;        // one line for a person
  const char *source;         // who defined it, or "common practice", "chosen here"
};
// All measures, and how many.
extern const struct df_measure df_measures[];
extern const int df_measure_count;
int df_measure_find(const char *name); // row, or -1

// 1 when the measure has no road (free_travel, sag, forces, damping ratios): DF_NEEDS_STEADY or _SAG.
int df_measure_is_static(int row);

// Of n rows: everything they need (enum df_needs); the channels to sample (bit 1ull << channel), with
// those of leg 1 when legs is 2; the widest spacing of samples, s, that suits them all.
unsigned df_measures_needs(const int *which, int n);
unsigned long long df_measures_channels(const int *which, int n, int legs);
double df_measures_step(const int *which, int n);

// Room for what measures share within one ride. One a thread; used for any number of rides, so that
// nothing is allocated while rides are of one length. NULL: no memory.
struct df_measure_workspace *df_measure_workspace_create(void);
void df_measure_workspace_destroy(struct df_measure_workspace *workspace);

// values[i] = measure which[i], SI. NAN: not defined for this road, a channel was not sampled, the ride
// or statics are missing, or the ride failed. Statuses: DF_OK, DF_UNKNOWN_NAME (a row out of range: its
// value is NAN, the others are good), DF_NO_MEMORY (only measures of a spectrum are lost).
enum df_status df_measures_evaluate(const int *which, int n, const struct df_measured *measured,
                                    struct df_measure_workspace *workspace, double *values);

// Many rides: each case is one scenario; all cases have the same list of roads. What is wanted of each: measures by road.
struct df_wanted { int road; /* index; -1: static */ int measure; /* row of df_measures */ };
struct df_case {
  const struct df_scenario *scenario;
  double *values;             // one for each wanted, SI; NAN where a ride failed or the measure is not defined
  enum df_status status;      // of the first ride that failed, or of the preparation
  char reason[160];           // "" when none
};
// options may be NULL. threads at least 1: the values do not depend on it, nor on how cases are split over calls. done (may be NULL) is
// raised by one as each case is finished. Returns DF_OK even when cases failed; DF_NO_MEMORY, DF_UNKNOWN_NAME, DF_INTERRUPTED otherwise.
enum df_status df_cases_run(struct df_case *cases, int n, const struct df_wanted *wanted, int wanted_n, const struct df_ride_options *options,
                            int threads, volatile int *done);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
