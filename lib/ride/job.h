// One ride as a kernel takes it: plain doubles in, plain doubles out. Filled by ride.c; kernels know nothing of scenarios.
#ifndef DF_RIDE_JOB_H
#define DF_RIDE_JOB_H

#include <stddef.h>

#include "dampfork/ride.h"
#include "leg/model.h"
#include "ride/method.h"
#include "vehicle/front.h"

struct df_front_constants {
#define real double
#include "vehicle/front_fields.h"
#undef real
};

// States outside a kernel are always in the full layout: 4 of the vehicle, then for each leg the full block and its bristle.
enum { JOB_STRIDE = BLOCK_FULL + 1, JOB_STATES = STATES_MAX };

// A point that a step ended at: what dense output needs of it.
enum { NODE_T, NODE_ACCELERATION, NODE_ALONG, NODE_OIL, NODE_U = NODE_OIL + DF_SIDES, NODE_F = NODE_U + JOB_STATES,
       NODE_C3 = NODE_F + JOB_STATES, NODE_SIZE = NODE_C3 + JOB_STATES, NODES_KEPT = 128 };
// NODE_F: rates at the node; with a method's own dense output instead c2, and NODE_C3 c3, of the step that ended here.

struct df_rater;

struct ride_job {
  // ---- in ----
  struct front_kind kind;
  struct df_front_constants front;
  const struct df_leg_model *leg[DF_SIDES];
  double legs_per_model;      // 1
  struct lane_road road;
  double u[JOB_STATES];       // at t = 0; on return the last state reached
  double end;                 // s
  double tolerance;           // 1
  const struct df_method *method;
  const double *feature;      // m, ascending: kinks of the road
  int feature_n;
  double rough_from, rough_to, grain; // m: between them a step moves no farther than grain
  const double *breaks;       // s, ascending: kinks of the manoeuvre
  int break_n;
  double window_start, window_end;    // s
  unsigned long long channels;        // bits of enum df_channel to sample
  double sample_step;                 // s
  int sample_n;
  double *sample[DF_CHANNELS];
  int ledger, heating;
  double least_step;          // s; below it the ride fails
  long most_steps;            // over the whole ride
  const volatile int *stop;   // set by the caller to end the work; NULL: never
  double *nodes;              // NODES_KEPT*NODE_SIZE doubles
  // ---- out ----
  enum df_status status;
  double failed_at;           // s
  double oil[DF_SIDES];       // K, in: at the start; out: at the end
  struct df_extreme peak[DF_PEAKS];
  double bottoming_speed, topping_speed, rest_travel; // m/s, m/s, m
  double energy[DF_ENERGIES]; // J
  struct df_effort effort;
  // ---- kept by the kernel ----
  int node_n, sample_done, feature_at, break_at;
  int full_nodes;             // 1: nodes carry the legs' states
  int node_size;              // doubles from one node to the next
};

// A set of kernels: the same source for one instruction set.
struct df_kernel {
  const char *name;
  int lanes;
  int (*able)(void);
  // All jobs are of one kind, method and sampling. Own step in each lane, lanes refilled as they finish; a lane that fails fails alone.
  void (*run)(struct ride_job *const *jobs, int n);
  // Samples, peaks and energies of the nodes kept so far; the last node stays as the next start.
  void (*flush)(struct ride_job *job);
  // Nanoseconds a right-hand side in one lane costs: `times` evaluations of the job's start in every lane; returns a checksum.
  double (*spin)(const struct ride_job *job, long times);
  // The right-hand side on its own, for other integrators: a rater of rater_size bytes, aligned to 64, made from a job; returns how many
  // states it has and fills y (JOB_STATES at most) with their start.
  size_t (*rater_size)(void);
  int (*rater_init)(struct df_rater *rater, const struct ride_job *job, double *y);
  // Rates; jacobian (states x states, row-major) and by_time may both be NULL.
  void (*rater_rates)(const struct df_rater *rater, double t, const double *y, double *dy, double *jacobian, double *by_time);
  int (*rater_place)(const struct df_rater *rater, int state);   // of a packed state in the full layout
};
extern const struct df_kernel *const df_kernels[]; // best first, NULL at the end
const struct df_kernel *df_kernel_best(void);
// Runs jobs in this kernel, a few in a narrower one: all kernels give the same bits.
void df_kernel_run(const struct df_kernel *kernel, struct ride_job *const *jobs, int n);
const struct df_kernel *df_kernel_find(const char *name); // NULL: unknown or not for this machine

#endif
