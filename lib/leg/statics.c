// The front at rest: masses, sag, end forces, damping ratios.
#include "leg/front_mass.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

struct df_masses df_masses_of(const struct df_scenario *s, enum df_aboard aboard)
{
  double total = s->bike.wet_mass, front = total*s->bike.front_share;
  const struct df_rider *more[3] = { &s->rider, &s->load.luggage, &s->load.passenger };
  int n = aboard == DF_ABOARD_NOBODY ? 0 : aboard == DF_ABOARD_RIDER ? 1 : 3;
  for (int i = 0; i < n; i++) {
    total += more[i]->mass, front += more[i]->mass*more[i]->front_share;
  }
  return (struct df_masses){ total, front, front - s->bike.front_unsprung_mass };
}

enum df_status df_legs_init(struct df_legs *legs, const struct df_scenario *scenario, double kelvin, struct df_faults *faults)
{
  legs->on_vehicle = (int)scenario->bike.legs;
  legs->modelled = scenario->unlike && legs->on_vehicle == 2 ? 2 : 1;
  double share = df_masses_of(scenario, DF_ABOARD_ALL).sprung*df_gravity*cos(scenario->bike.rake)/legs->on_vehicle;
  for (int i = 0; i < legs->modelled; i++) {
    double t = isfinite(kelvin) ? kelvin : scenario->side[i].oil.temperature;
    enum df_status status = df_leg_model_init(&legs->model[i], scenario, i, t, share, faults);
    if (status != DF_OK) return status;
  }
  return DF_OK;
}

double df_legs_rest_force(const struct df_legs *legs, double x, double exponent)
{
  double sum = 0;
  for (int i = 0; i < legs->modelled; i++) {
    const struct df_leg_model *leg = &legs->model[i];
    double n = isfinite(exponent) ? exponent : leg->kind.thermal ? 1 : leg->c.exponent;
    sum += df_leg_rest_force(leg, x, n);
  }
  return sum*legs->on_vehicle/legs->modelled;
}

struct rest_job { const struct df_legs *legs; const struct df_scenario *scenario; double load, tyre_load, exponent, xi; };

// Friction level of all legs under a standing wheel's load, N.
static double friction_level(const struct rest_job *job, double x)
{
  const struct df_seals *seals = &job->scenario->seals;
  double rake = job->scenario->bike.rake, n = job->legs->on_vehicle, sum = 0;
  double across = (job->tyre_load - job->scenario->bike.front_unsprung_mass*df_gravity)*sin(rake);
  double upper = across*(seals->bush_height - seals->bush_spacing - x)/((seals->bush_spacing + x)*n), lower = -across/n - upper;
  for (int i = 0; i < job->legs->modelled; i++) {
    const struct df_leg_model *leg = &job->legs->model[i];
    if (leg->kind.linear) continue;
    struct df_rest rest;
    df_leg_rest(leg, x, isfinite(job->exponent) ? job->exponent : leg->c.exponent, &rest);
    sum += leg->c.friction_sliding + leg->c.friction_pressure*fmax(rest.pressure - DF_ATMOSPHERE, 0)
         + leg->c.friction_bush*(sqrt(upper*upper + 1) + sqrt(lower*lower + 1));
  }
  return sum*n/job->legs->modelled;
}

static double excess(double x, void *data)
{
  const struct rest_job *job = data;
  double friction = job->xi != 0 ? job->xi*friction_level(job, x) : 0;
  return df_legs_rest_force(job->legs, x, job->exponent) + friction - job->load;
}

static double root_between(gsl_function *f, double low, double high)
{
  double room[16]; // state of Brent's method on the stack: nothing to be short of
  gsl_root_fsolver held = { .type = gsl_root_fsolver_brent, .state = room }, *solver = &held;
  if (gsl_root_fsolver_brent->size > sizeof room) return NAN;
  double x = NAN;
  if (gsl_root_fsolver_set(solver, f, low, high) == GSL_SUCCESS) {
    for (int i = 0; i < 200; i++) {
      if (gsl_root_fsolver_iterate(solver) != GSL_SUCCESS) break;
      double a = gsl_root_fsolver_x_lower(solver), b = gsl_root_fsolver_x_upper(solver);
      if (b - a < 1e-15) break;
    }
    x = gsl_root_fsolver_root(solver);
  }
  return x;
}

double df_legs_rest_travel(const struct df_legs *legs, const struct df_scenario *scenario, double load, double tyre_load, double exponent, double xi)
{
  struct rest_job job = { legs, scenario, load, tyre_load, exponent, xi };
  gsl_function f = { excess, &job };
  int linear = 1;
  for (int i = 0; i < legs->modelled; i++) linear &= legs->model[i].kind.linear;
  if (linear) {
    double at = df_legs_rest_force(legs, 0, 1), rate = df_legs_rest_force(legs, 1, 1) - at;
    return rate > 0 ? (load - at)/rate : fabs(load - at) <= 1e-9*fabs(load) + 1e-12 ? 0 : NAN;
  }
  double low = -2e-3, high = legs->model[0].c.travel;
  if (!(excess(low, &job) < 0 && excess(high, &job) > 0)) return NAN;
  return root_between(&f, low, high);
}

static double rest_travel(const struct df_legs *legs, const struct df_scenario *s, enum df_aboard aboard, double exponent, double xi)
{
  struct df_masses m = df_masses_of(s, aboard);
  return df_legs_rest_travel(legs, s, m.sprung*df_gravity*cos(s->bike.rake), m.front*df_gravity, exponent, xi);
}

static void set_end(const struct df_legs *legs, const struct df_scenario *s, struct df_statics *out)
{
  const struct df_leg_model *leg = &legs->model[0];
  out->spring_preload = s->side[0].spring.preload;
  if (leg->kind.linear) return;
  struct df_rest rest;
  struct leg_single single;
  df_leg_single_init(&single, leg);
  struct coil coil = { single.g.spring_soft, single.g.spring_hard, single.g.spring_change, single.g.spring_bind, single.g.spring_preload };
  double full = leg->c.travel, n = leg->kind.thermal ? 1 : leg->c.exponent;
  df_leg_rest(leg, full, n, &rest);
  out->pressure_end = rest.pressure, out->gas_end = leg->gas_end, out->gas_start = leg->gas_end + leg->c.tube_area*full, out->solids = leg->solids;
  out->cap_force = coil_force(&coil, zero()).f[0];
  out->end_force = coil_force(&coil, all(full)).f[0] + (rest.pressure - DF_ATMOSPHERE)*leg->c.tube_area;
  out->viscosity = leg->c.mu/leg->c.rho, out->density = leg->c.rho;
}

struct crack_job { const struct df_leg_model *leg; double x; };
static double over_crack(double v, void *data)
{
  const struct crack_job *job = data;
  struct df_steady steady;
  if (df_leg_steady(job->leg, job->x, v, &steady) != DF_OK) return NAN;
  return steady.p_rod - steady.p_column - job->leg->c.valve_crack;
}

static void set_crack(const struct df_leg_model *leg, struct df_statics *out)
{
  if (!leg->kind.valved) return;
  out->cracking_pressure = leg->c.valve_crack;
  struct crack_job job = { leg, leg->c.travel/2 };
  gsl_function f = { over_crack, &job };
  double low = 1e-6, high = 10;
  if (over_crack(low, &job) < 0 && over_crack(high, &job) > 0) out->cracking_speed = root_between(&f, low, high);
}

// Damping over critical damping at travel x and fork speed v (m/s), along the fork, 1.
static double damping_ratio(const struct df_legs *legs, double x, double v, double sprung_mass, double rake)
{
  double damping = 0, stiffness = 0, share = (double)legs->on_vehicle/legs->modelled;
  for (int i = 0; i < legs->modelled; i++) {
    const struct df_leg_model *leg = &legs->model[i];
    struct df_steady steady;
    if (df_leg_steady(leg, x, v, &steady) != DF_OK) return NAN;
    damping += share*steady.damping;
    if (leg->kind.linear) {
      stiffness += share*leg->c.linear_rate;
      continue;
    }
    struct df_rest rest;
    df_leg_rest(leg, x, leg->kind.thermal ? 1 : leg->c.exponent, &rest);
    double rate = leg->c.spring_soft;
    if (x + leg->c.spring_preload > leg->c.spring_change) rate = leg->c.spring_hard;
    double n = leg->kind.thermal ? 1.4 : leg->c.exponent;
    stiffness += share*(rate + n*rest.pressure*leg->c.tube_area*leg->c.tube_area/rest.gas);
  }
  return fabs(damping/v)/(2*cos(rake)*sqrt(stiffness*sprung_mass));
}

static void set_nan(struct df_statics *out)
{
  double *at = (double *)out;
  for (size_t i = 0; i < sizeof *out/sizeof *at; i++) at[i] = NAN;
}
_Static_assert(sizeof(struct df_statics) % sizeof(double) == 0, "doubles only");

static void set_sag(const struct df_legs *legs, const struct df_scenario *s, struct df_statics *out)
{
  double hanging = -s->bike.front_unsprung_mass*df_gravity*cos(s->bike.rake);
  out->x_alone = rest_travel(legs, s, DF_ABOARD_NOBODY, 1, 0);
  out->x_rider = rest_travel(legs, s, DF_ABOARD_RIDER, 1, 0);
  out->x_loaded = rest_travel(legs, s, DF_ABOARD_ALL, 1, 0);
  out->x_ride = rest_travel(legs, s, DF_ABOARD_ALL, NAN, 0);
  out->free_travel = df_legs_rest_travel(legs, s, hanging, 0, 1, 0);
  out->sag_band = rest_travel(legs, s, DF_ABOARD_RIDER, 1, -1) - rest_travel(legs, s, DF_ABOARD_RIDER, 1, 1);
}

static enum df_status statics(const struct df_scenario *s, int moving, struct df_statics *out, struct df_faults *faults)
{
  set_nan(out);
  struct df_masses all_aboard = df_masses_of(s, DF_ABOARD_ALL);
  out->sprung_mass = all_aboard.sprung, out->unsprung_mass = s->bike.front_unsprung_mass;
  out->total_mass = all_aboard.total, out->front_share = all_aboard.front/all_aboard.total;
  out->front_load_alone = df_masses_of(s, DF_ABOARD_NOBODY).front*df_gravity, out->front_load_rider = all_aboard.front*df_gravity;
  struct df_legs *legs = malloc(sizeof *legs);
  if (!legs) return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  enum df_status status = df_legs_init(legs, s, NAN, faults);
  if (status == DF_OK) {
    static const double speed[5] = { 0.05, 0.1, 0.3, 1, 3 }; // m/s
    set_end(legs, s, out);
    set_sag(legs, s, out);
    if (moving) set_crack(&legs->model[0], out);
    for (int i = 0; i < 5 && moving && isfinite(out->x_ride); i++) {
      out->damping_ratio_compression[i] = damping_ratio(legs, out->x_ride, speed[i], all_aboard.sprung, s->bike.rake);
      out->damping_ratio_rebound[i] = damping_ratio(legs, out->x_ride, -speed[i], all_aboard.sprung, s->bike.rake);
    }
    if (!isfinite(out->x_ride))
      status = df_fault_add(faults, DF_NO_REST, "spring.rate", "the fork finds no rest inside its travel under this load: spring too soft or too stiff");
  }
  free(legs);
  return status;
}

enum df_status df_statics_of(const struct df_scenario *s, struct df_statics *out, struct df_faults *faults)
{
  return statics(s, 1, out, faults);
}

enum df_status df_rest_of(const struct df_scenario *s, struct df_statics *out, struct df_faults *faults)
{
  return statics(s, 0, out, faults);
}
