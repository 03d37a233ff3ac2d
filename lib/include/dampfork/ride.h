// One ride over one road: what goes in, what comes out.
#ifndef DAMPFORK_RIDE_H
#define DAMPFORK_RIDE_H

#include "dampfork/road.h"
#include "dampfork/scenario.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

// Channels of a trace. Those after DF_C_WHOLE exist once a leg: channel + leg*DF_C_PER_LEG.
enum df_channel {
  DF_C_DISTANCE,              // m
  DF_C_ROAD,                  // m, w under the wheel
  DF_C_SPEED,                 // m/s, road speed
  DF_C_TRAVEL,                // m
  DF_C_VELOCITY,              // m/s, fork speed, compression positive
  DF_C_HEIGHT,                // m, sprung mass, from its place at the start
  DF_C_ACCELERATION,          // m/s2, sprung mass, upwards
  DF_C_TYRE,                  // N, tyre load, never negative (bilateral apart)
  DF_C_TYRE_SIGNED,           // N, the same before it is cut at zero: k_t d + c_t min(d/1 mm, 1) d' (k_t d for d < 0)
  DF_C_BRAKE,                 // N
  DF_C_WHOLE,                 // first channel of leg 0
  DF_C_FORCE = DF_C_WHOLE,    // N, all forces of one leg
  DF_C_DAMPING,               // N
  DF_C_SPRING,                // N, coil less top-out spring
  DF_C_AIR,                   // N
  DF_C_FRICTION,              // N
  DF_C_CONE,                  // N
  DF_C_STOP,                  // N
  DF_C_P_LOWER,               // Pa, absolute
  DF_C_P_ANNULUS,             // Pa
  DF_C_P_ROD,                 // Pa
  DF_C_P_COLUMN,              // Pa
  DF_C_LIFT,                  // m
  DF_C_VOID_LOWER,            // m3
  DF_C_VOID_ANNULUS,          // m3
  DF_C_OIL_TEMPERATURE,       // K
  DF_C_PER_LEG = DF_C_OIL_TEMPERATURE - DF_C_WHOLE + 1,
  DF_CHANNELS = DF_C_WHOLE + DF_SIDES*DF_C_PER_LEG
};

// Samples at equal spacing. A channel that was not asked for is NULL.
struct df_trace {
  int n;
  double start;               // s, time of sample 0
  double step;                // s
  double *at[DF_CHANNELS];    // n values each
};

// Energy by path, both legs together, joule, over the whole ride.
enum df_energy {
  DF_E_COMPRESSION_HOLES, DF_E_REBOUND_HOLES, DF_E_CHECK, DF_E_CHECK_LEAK, DF_E_RING, DF_E_VALVE, DF_E_BLEED, DF_E_RETURN,
  DF_E_COLUMN, DF_E_CONE, DF_E_FRICTION, DF_E_STOP, DF_E_AIR_HEAT, DF_E_TYRE,
  DF_E_LOSSES,                // the ones above are losses
  DF_E_ROAD = DF_E_LOSSES,    // put in by the road
  DF_E_BRAKE,                 // put in by brake and load transfer
  DF_E_THROUGHPUT,            // integral of |road| + |brake|
  DF_E_STORED,                // change of stored energy
  DF_ENERGIES
};
extern const char *const df_energy_names[DF_ENERGIES];

// Largest and smallest of a quantity, taken from inside the steps.
struct df_extreme { double most, least; /* SI */ double most_at, least_at; /* s */ };

// Quantities whose extremes a ride keeps.
enum df_peak { DF_P_TRAVEL, DF_P_VELOCITY, DF_P_ACCELERATION, DF_P_TYRE, DF_PEAKS };

// What the integration cost.
struct df_effort {
  long steps, rejected, right_hand_sides, jacobians; // 1, counts
  double step_least, step_most; // s
};

// When things happen, s from the start of the ride; NAN where there is no such thing.
struct df_moments {
  double window_start, window_end; // evaluation window T
  double brake_start, ramp_end, release; // brake taken, fully on, let go
  double touch, last_touch;   // first and last touch of the obstacle
  double lean_start, lean_end, push_release; // lean begins and stays; the hand lets go
  double end;                 // of the ride
};

// What one ride gave.
struct df_ride {
  enum df_status status;
  double failed_at;           // s; NAN when the ride reached its end
  char blame[96];             // dotted key of the scenario value most to blame; "" when none
  char reason[160];           // sentence with time and state; "" when none
  struct df_moments moments;
  struct df_trace trace;
  struct df_extreme peak[DF_PEAKS];    // over the evaluation window
  double bottoming_speed, topping_speed; // m/s at the first touch of each stop in the window, 0: none
  double energy[DF_ENERGIES]; // J
  double energy_residual;     // 1; NAN when the ledger was not kept
  double static_travel;       // m, x at the start
  double static_load;         // N, (m_s + m_u) g: tyre load at rest
  int legs;                   // 1: like legs, channels of leg 0 stand for both; 2: modelled apart
  int leg_count;              // legs on the vehicle
  struct df_effort effort;
};

// How to ride. Zero the struct, then set what differs: 0 and NULL mean the usual.
struct df_ride_options {
  const char *kernel;         // NULL: the best this machine has
  int method;                 // row of the method table + 1; 0: that of the scenario
  double tolerance;           // 1; 0: that of the scenario, else 1e-4 for one ride and 1e-3 for many
  unsigned long long channels;// bits of enum df_channel to sample; 0: none
  double sample_step;         // s; 0: 0.1 ms
  int ledger;                 // 1: keep energies by path and their residual
  double temperature;         // K, of the oil in both legs; 0: as the scenario's run.start and oil.temperature say
  const volatile int *stop;   // the work ends soon after this is not 0
};

// One ride over scenario->road[road]. out is always filled: on failure status, failed_at, reason, blame, and the trace so far.
// Returns out->status. Faults (may be NULL) are added for values that cannot be used. df_ride_finish frees the trace.
enum df_status df_ride_run(const struct df_scenario *scenario, int road, const struct df_ride_options *options, struct df_ride *out,
                           struct df_faults *faults);
void df_ride_finish(struct df_ride *ride);

// Names for options and metadata. Kernels are listed best first; NULL past the end.
const char *df_kernel_name(int row);
int df_kernel_usable(int row);
int df_method_named(const char *name); // row of the method table + 1, 0: unknown
const char *df_method_name(int row_plus_one);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
