// One ride: from scenario and road to a trace, peaks, energies and moments.
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "ride/plan.h"
#include "ride/trace.h"

const char *const df_energy_names[DF_ENERGIES] = { "compression_holes", "rebound_holes", "check", "check_leak", "ring", "valve", "bleed", "return",
  "column", "cone", "friction", "stop", "air_heat", "tyre", "road", "brake", "throughput", "stored" };

static const double single_tolerance = 1e-4;           // 1: see docs/performance.md for error against cost

struct setting { const struct df_kernel *kernel; const struct df_method *method; double tolerance; };

static enum df_status setting_of(const struct df_scenario *s, const struct df_ride_options *o, struct setting *out, struct df_faults *faults)
{
  out->kernel = o->kernel ? df_kernel_find(o->kernel) : df_kernel_best();
  if (!out->kernel) return df_fault_add(faults, DF_UNKNOWN_NAME, "", "kernel %s: not known, or not for this machine", o->kernel);
  int row = o->method > 0 ? o->method - 1 : s->run.method;
  if (row < 0 || row >= df_method_count) return df_fault_add(faults, DF_UNKNOWN_NAME, "run.method", "no such method");
  out->method = &df_methods[row];
  out->tolerance = o->tolerance > 0 ? o->tolerance : isfinite(s->run.tolerance) ? s->run.tolerance : single_tolerance;
  return DF_OK;
}

static double oil_start(const struct df_scenario *s, int road, const struct ground *ground, const struct df_ride_options *o, const struct setting *set)
{
  if (o->temperature > 0) return o->temperature;
  if (s->run.start == DF_START_COLD) return 278.15;    // 5 degC
  if (s->run.start == DF_START_HEATED) return df_heated_temperature(s, road, ground, set->method, set->tolerance, set->kernel);
  return NAN;
}

static unsigned long long bit(int channel) { return 1ull << channel; }

void df_ride_finish(struct df_ride *ride)
{
  for (int c = 0; c < DF_CHANNELS; c++) {
    if (!ride->trace.at[c]) continue;
    free(ride->trace.at[c]);                           // the first channel owns the block
    break;
  }
  memset(&ride->trace, 0, sizeof ride->trace);
}

static enum df_status drive(struct ride_plan *plan, const struct df_scenario *s, int road, const struct df_ride_options *o, const struct setting *set,
                            struct df_ride *out, struct df_faults *faults)
{
  struct ride_job *job = &plan->job;
  unsigned long long whole = bit(DF_C_WHOLE) - 1;
  job->ledger = o->ledger;
  job->full_nodes = o->ledger || (o->channels & ~whole) != 0 || !set->method->stages;
  double *room = NULL;                                 // owned by the trace's first channel
  size_t room_n = 0;
  if (df_trace_lay(job, o->channels, o->sample_step, &out->trace, &room, &room_n) != DF_OK)
    return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  job->nodes = malloc(NODES_KEPT*NODE_SIZE*sizeof *job->nodes);
  if (!job->nodes) return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  df_plan_run(plan, set->kernel);
  free(job->nodes);
  df_plan_report(plan, s, road, out);
  if (out->trace.n) out->trace.n = job->sample_done;
  return out->status;
}

enum df_status df_ride_run(const struct df_scenario *s, int road, const struct df_ride_options *options, struct df_ride *out,
                           struct df_faults *faults)
{
  struct df_ride_options usual = { 0 };
  const struct df_ride_options *o = options ? options : &usual;
  memset(out, 0, sizeof *out);
  out->failed_at = NAN, out->energy_residual = NAN;
  struct setting set = { 0 };
  enum df_status status = setting_of(s, o, &set, faults);
  if (status != DF_OK) return out->status = status;
  struct ground ground;
  struct ride_plan *plan = malloc(sizeof *plan);
  if (!plan) return out->status = df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  status = df_ground_init(&ground, &s->road[road], &s->tyre, faults);
  if (status == DF_OK) {
    double kelvin = oil_start(s, road, &ground, o, &set);
    status = df_plan_init(plan, s, road, &ground, kelvin, set.method, set.tolerance, set.kernel, o->stop, faults);
    if (status == DF_OK) status = drive(plan, s, road, o, &set, out, faults);
    df_ground_finish(&ground);
  }
  free(plan);
  if (status != DF_OK && !out->reason[0]) {            // refused before it began
    snprintf(out->reason, sizeof out->reason, "road %s: %s, before the start", s->road[road].name, df_status_text(status));
    snprintf(out->blame, sizeof out->blame, "%s", df_plan_blame(status));
  }
  return out->status = status;
}
