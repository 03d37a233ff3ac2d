// Acceptance test of the bare leg: spring out, cap off, pushed and pulled by a weight against a
// watch. The leg moves slowly and evenly, so the steady law holds at every travel and inertia is
// left out: 5 kg at 0.12 m/s need 0.6 mm of their 100 mm to get there.
#include "studies/setup.h"

#include <gsl/gsl_integration.h>

#include "base/roots.h"
#include "dampfork/oil.h"

const char *const df_timed_words[2] = {"push", "pull"};

static const double open_level = 1e4;         // m: with the cap off the air never gets tighter
static const double speed_most = 20;          // m/s: faster than any leg falls open
enum { POINTS = 5 }; // of Gauss-Legendre: exact for polynomials of degree 9

struct speed_job {
  const struct df_leg_model *leg;
  double x, sign, force;      // m, 1 in compression, N
};

// What holds the leg back at speed v, less what drives it, N.
static double resistance_over(double v, double *slope, const void *context)
{
  const struct speed_job *job = context;
  struct df_steady s;
  (void)slope;
  if (df_leg_steady(job->leg, job->x, job->sign*v, &s) != DF_OK) return NAN;
  return job->sign*(s.damping + s.air + s.friction + s.cone) - job->force;
}

// Steady speed at travel x, m/s; 0: friction holds it. Friction falls with speed at first (a stuck
// leg is started by hand), so the search begins where it no longer does, and doubles the speed
// until the leg holds back: far beyond that, choked holes leave the steady law without a solution.
static double speed_at(const struct df_leg_model *leg, double x, double sign, double force)
{
  static const double start[] = {30e-3, 10e-3, 3e-3, 1e-3, 1e-4, 1e-5}; // m/s
  struct speed_job job = {leg, x, sign, force};
  for (size_t i = 0; i < sizeof start/sizeof *start; i++) {
    if (!(resistance_over(start[i], NULL, &job) < 0)) continue;
    double low = start[i], high = 2*low, v;
    while (high < speed_most && resistance_over(high, NULL, &job) < 0) low = high, high *= 2;
    if (high >= speed_most) return speed_most;
    v = 0.5*(low + high);
    return df_root_find(resistance_over, &job, low, high, 1e-6, 1e-9, &v) == DF_OK ? v : NAN;
  }
  return 0;
}

// Integral of dx/v. The order of Gauss-Legendre points is GSL's.
static double time_of(const struct df_leg_model *leg, double from, double distance, double sign,
                      double force)
{
  gsl_integration_glfixed_table *table = gsl_integration_glfixed_table_alloc(POINTS);
  double sum = 0;
  if (!table) return NAN;
  for (size_t i = 0; i < POINTS; i++) {
    double x, weight;
    gsl_integration_glfixed_point(from, from + distance, i, &x, &weight, table);
    double v = speed_at(leg, x, sign, force);
    sum += v > 0 || isnan(v) ? weight/v : INFINITY;
  }
  gsl_integration_glfixed_table_free(table);
  return sum;
}

// The bare leg: no spring, tube open to the air.
static void bare_put(struct df_side *side)
{
  side->spring.rate = 1, side->spring.preload = 0;
  side->spring.second_rate = side->spring.change_at = NAN;
  side->air.oil_level = open_level, side->air.solids = 0;
  side->air.level_taken = (struct df_level_taken){DF_IN, DF_OUT, DF_OUT};
  side->air.fill_pressure = DF_ATMOSPHERE, side->air.sealed_travel = 0;
  side->oil.volume = NAN;
}

double df_timed_leg(const struct df_scenario *scenario, int side, double kelvin,
                    enum df_timed_direction direction, double from, double distance, double force)
{
  struct df_scenario s = *scenario; // 29 KB: on the stack, so that nothing can be missing
  struct df_leg_model leg;
  bare_put(&s.side[side]);
  s.run.heating = DF_OFF;
  if (df_leg_model_init(&leg, &s, side, kelvin, 0, NULL) != DF_OK) return NAN;
  return time_of(&leg, from, distance, direction == DF_PUSH ? 1 : -1, force);
}

double df_acceptance_force(const struct df_acceptance *test, enum df_timed_direction direction)
{
  return test->creep + df_gravity*(direction == DF_PUSH ? DF_PUSH_ADDED : DF_PULL_ADDED);
}

static void both_times(const struct df_acceptance *test, const struct df_scenario *s, int side,
                       double kelvin, double time[2])
{
  for (int i = 0; i < 2; i++)
    time[i] = df_timed_leg(s, side, kelvin, (enum df_timed_direction)i, test->from, test->distance,
                           df_acceptance_force(test, (enum df_timed_direction)i));
}

// ---- limits: each thing as far off as careful work may leave it ----
static void holes_wider(struct df_hole_list *list, double by)
{
  for (int i = 0; i < list->n; i++)
    list->at[i].diameter = fmax(list->at[i].diameter + by, 0.1e-3);
}

enum { UNSURE = 8 };
// Variant `i` of a side within its tolerances; sign -1 or 1. kelvin in and out.
static void unsure_put(struct df_scenario *s, int side, int i, int sign, double *kelvin)
{
  struct df_side *leg = &s->side[side];
  switch (i) {
  case 0: holes_wider(&leg->rod.holes.rebound_holes, sign*0.05e-3); break;     // pin gauges
  case 1: holes_wider(&leg->rod.holes.compression_holes, sign*0.05e-3); break;
  case 2:
    for (int k = 0; k < leg->valve.bleed_n; k++) leg->valve.bleed_holes[k].diameter += sign*0.05e-3;
    break;
  case 3: *kelvin += sign*3; break;                                            // thermometer
  case 4: leg->leg.piston_ring.area *= sign < 0 ? 0.5 : 2; break;              // feeler in the gap
  case 5: leg->leg.check_leak.gap += sign*0.02e-3; break;                      // caliper
  case 6:
    s->run.law = (s->run.law + (sign < 0 ? 1 : 2)) % 3;
    break; // the other hole laws
  case 7: break;                                                               // friction, below
  }
}

// Times with one thing off; friction found 1 N wrong shows as force.
static void unsure_times(const struct df_acceptance *test, const struct df_scenario *scenario,
                         int side, int i, int sign, double time[2])
{
  struct df_scenario s = *scenario;
  struct df_acceptance off = *test;
  double kelvin = test->kelvin;
  time[0] = time[1] = NAN;
  unsure_put(&s, side, i, sign, &kelvin);
  if (i == UNSURE - 1) off.creep += sign;
  both_times(&off, &s, side, kelvin, time);
}

static void limits_fill(struct df_acceptance *test, const struct df_scenario *scenario, int side)
{
  double less[2] = {0, 0}, more[2] = {0, 0};
  for (int i = 0; i < UNSURE; i++)
    for (int sign = -1; sign <= 1; sign += 2) {
      double time[2];
      unsure_times(test, scenario, side, i, sign, time);
      for (int k = 0; k < 2; k++) {
        double off = log(time[k]/test->time[k]);
        if (i == 3 && sign > 0) test->per_kelvin[k] = off/3;
        if (off < 0) less[k] += off*off;
        else if (isfinite(off)) more[k] += off*off;
      }
    }
  for (int k = 0; k < 2; k++) {
    test->low[k] = test->time[k]*exp(-sqrt(less[k]));
    test->high[k] = test->time[k]*exp(sqrt(more[k]));
  }
}

// ---- what a wrong time means ----
typedef int fault_put(struct df_side *side); // 0: cannot happen in this leg

static int valve_unseated(struct df_side *side)
{
  if (!side->has_valve) return 0;
  side->has_valve = 0; // open rod: what the valve adds is gone
  return 1;
}

static int bleed_blocked(struct df_side *side)
{
  if (!side->has_valve || !side->valve.bleed_n || !(side->valve.bleed_holes[0].count > 0)) return 0;
  side->valve.bleed_holes[0].count -= 1;
  return 1;
}

static int ring_leaking(struct df_side *side)
{
  side->leg.piston_ring.area = fmax(2e-6, 4*side->leg.piston_ring.area);
  return 1;
}

static int check_held_open(struct df_side *side)
{
  side->leg.check_leak.gap += 0.3e-3; // a chip of 0.3 mm under the plate
  return 1;
}

static int check_stuck(struct df_side *side)
{
  side->leg.check_valve.area = 0;
  return 1;
}

static int rebound_blocked(struct df_side *side)
{
  struct df_hole_list *list = &side->rod.holes.rebound_holes;
  if (!list->n || !(list->at[0].count > 1)) return 0;
  list->at[0].count -= 1;
  return 1;
}

static int rebound_drilled(struct df_side *side)
{
  holes_wider(&side->rod.holes.rebound_holes, 0.3e-3);
  return side->rod.holes.rebound_holes.n > 0;
}

static int oil_thick(struct df_side *side)
{
  side->oil.viscosity_40 *= 2, side->oil.viscosity_100 *= 2;
  for (int i = 0; i < side->oil.blend_n; i++)
    side->oil.blend[i].viscosity_40 *= 2, side->oil.blend[i].viscosity_100 *= 2;
  return 1;
}

static const struct { const char *what; fault_put *put; } timed_faults[] = {
    {"valve not on its seat, upside down, or dirt under its plate", valve_unseated},
    {"one bleed hole blocked", bleed_blocked},
    {"piston ring leaking or broken (four times the gap)", ring_leaking},
    {"check valve held open by a chip of 0.3 mm", check_held_open},
    {"check valve stuck shut", check_stuck},
    {"one rebound hole blocked", rebound_blocked},
    {"rebound holes 0.3 mm too wide", rebound_drilled},
    {"oil twice as thick: wrong bottle, or a cold bench", oil_thick},
};
_Static_assert(sizeof timed_faults/sizeof *timed_faults <= DF_TIMED_FAULTS_MAX, "room for all");

static void faults_fill(struct df_acceptance *test, const struct df_scenario *scenario, int side)
{
  for (size_t i = 0; i < sizeof timed_faults/sizeof *timed_faults; i++) {
    struct df_scenario s = *scenario;
    if (timed_faults[i].put(&s.side[side])) {
      struct df_timed_fault *fault = &test->fault[test->fault_n++];
      fault->what = timed_faults[i].what;
      both_times(test, &s, side, test->kelvin, fault->time);
    }
  }
}

// 100 mm, or what lies between the top-out spring and the cone, by tens of millimetres.
static void stroke_fill(struct df_acceptance *test, const struct df_scenario *s, int side)
{
  double low = s->top_out.length + 2e-3, high = s->side[side].leg.travel - s->cone.length;
  test->from = 10e-3*ceil(low/10e-3 - 1e-9);
  test->distance = fmin(100e-3, 10e-3*floor((high - test->from)/10e-3 + 1e-9));
}

static void blank_test(struct df_acceptance *out)
{
  *out = (struct df_acceptance){.time = {NAN, NAN}, .low = {NAN, NAN}, .high = {NAN, NAN}};
}

void df_acceptance_at(const struct df_scenario *scenario, int side, double kelvin, double from,
                      double distance, double creep, struct df_acceptance *out)
{
  blank_test(out);
  out->from = from, out->distance = distance, out->kelvin = kelvin, out->creep = creep;
  both_times(out, scenario, side, kelvin, out->time);
  limits_fill(out, scenario, side);
  faults_fill(out, scenario, side);
}

enum df_status df_acceptance_of(const struct df_scenario *scenario, int side,
                                struct df_acceptance *out, struct df_faults *faults)
{
  blank_test(out);
  stroke_fill(out, scenario, side);
  if (!(out->distance > 0))
    return df_fault_add(faults, DF_NO_SOLUTION, "leg.travel",
                        "no room for a timed stroke between top-out spring and cone");
  df_acceptance_at(scenario, side, scenario->side[side].oil.level_temperature, out->from,
                   out->distance, scenario->seals.sliding, out);
  if (!isfinite(out->time[0]) || !isfinite(out->time[1]))
    return df_fault_add(faults, DF_NO_SOLUTION, "", "the bare leg does not move in the test");
  return DF_OK;
}
