// From a scenario and one of its roads to a job for a kernel.
#ifndef DF_RIDE_PLAN_H
#define DF_RIDE_PLAN_H

#include "leg/front_mass.h"
#include "ride/job.h"
#include "vehicle/brake.h"

// A road tabulated once, shared by all rides over it.
struct ground { struct df_profile profile; double (*node)[2]; /* m; m a table step */ };
enum df_status df_ground_init(struct ground *ground, const struct df_road *road, const struct df_tyre *tyre, struct df_faults *faults);
void df_ground_finish(struct ground *ground);
// 1: both scenarios roll over the same table on this road.
int df_ground_shared(const struct df_scenario *a, const struct df_scenario *b, int road);

struct ride_plan {
  struct ride_job job;
  struct df_legs legs;
  struct df_manoeuvre manoeuvre;
  struct df_moments moments;
  double breaks[DF_MANOEUVRE_BREAKS];
  double load, start_energy;  // N, J
};

// Everything but nodes, samples and ledger, which the caller sets. kelvin: oil temperature, NAN: each leg's own.
// kernel: for the ride without obstacle that a meeting in the dive needs.
enum df_status df_plan_init(struct ride_plan *plan, const struct df_scenario *scenario, int road, const struct ground *ground, double kelvin,
                            const struct df_method *method, double tolerance, const struct df_kernel *kernel, const volatile int *stop,
                            struct df_faults *faults);

// Stored energy in a state of the full layout, J (oil at its start temperature).
double df_plan_stored(const struct ride_plan *plan, const double *u, double road_height);

// Oil temperature after 20 minutes of this road, repeated, K; NAN when a ride fails.
double df_heated_temperature(const struct df_scenario *scenario, int road, const struct ground *ground, const struct df_method *method,
                             double tolerance, const struct df_kernel *kernel);

// Runs a job by its method: in the kernel, or in GSL for the rows without stages.
void df_plan_run(struct ride_plan *plan, const struct df_kernel *kernel);
void df_gsl_run(struct ride_job *job, const struct df_kernel *kernel);

// Dotted key of the value most to blame for a status; "" when none.
const char *df_plan_blame(enum df_status status);

// What df_ride carries besides the trace.
void df_plan_report(const struct ride_plan *plan, const struct df_scenario *scenario, int road, struct df_ride *out);

#endif
