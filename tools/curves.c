// Steady curves of one leg: computing, and the tables made of them.
#include "curves.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_roots.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { TRAVEL_POINTS = 201 };
static const double still =
    1e-4; // m/s: slow enough that the oil's force is below 0.1 N, fast enough to have a direction
static const double slope_step =
    1e-4; // 1, of the speed: the balance is solved to 1e-12, so the slope is good to 1e-6
static const double no_flow = 1e-12;     // W: below this the sum of powers is round-off

double path_share(const struct df_steady *steady, int path)
{
  double all = 0;
  for (int i = 0; i < DF_PATHS; i++) all += steady->power[i];
  return all > no_flow ? steady->power[path]/all : NAN;
}

const char *path_shares(char *out, size_t size, const struct df_steady *steady)
{
  int first = -1, second = -1;
  for (int i = 0; i < DF_PATHS; i++) {
    if (first < 0 || steady->power[i] > steady->power[first]) second = first, first = i;
    else if (second < 0 || steady->power[i] > steady->power[second]) second = i;
  }
  char a[32], b[32];
  double share = path_share(steady, first), next = path_share(steady, second);
  snprintf(a, sizeof a, "%s", df_path_names[first]);
  snprintf(b, sizeof b, "%s", df_path_names[second]);
  for (char *at = a; *at; at++) *at = *at == '_' ? ' ' : *at;
  for (char *at = b; *at; at++) *at = *at == '_' ? ' ' : *at;
  if (!isfinite(share)) snprintf(out, size, "-");
  else if (next < 0.03) snprintf(out, size, "%s %.0f %%", a, 100*share);
  else snprintf(out, size, "%s %.0f %%, %s %.0f %%", a, 100*share, b, 100*next);
  return out;
}

double curves_slope(const struct df_leg_model *leg, double x, double v)
{
  struct df_steady low, high;
  if (v == 0 || df_leg_steady(leg, x, v * (1 - slope_step), &low) ||
      df_leg_steady(leg, x, v * (1 + slope_step), &high))
    return NAN;
  double ratio = high.damping/low.damping;
  return ratio > 0 ? log(ratio)/log((1 + slope_step)/(1 - slope_step)) : NAN;
}

static enum df_status travel_fill(struct curves *curves)
{
  double all = curves->scenario->side[0].leg.travel;
  for (int i = 0; i < curves->m; i++) {
    struct travel_point *point = &curves->travel[i];
    struct df_steady in, out;
    double share = (double)i/(curves->m - 1);
    enum df_status status = df_leg_steady(curves->leg, share*all, still, &in);
    if (!status) status = df_leg_steady(curves->leg, share*all, -still, &out);
    if (status) return status;
    double gas = curves->statics.gas_start +
                 share * (curves->statics.gas_end - curves->statics.gas_start);
    *point = (struct travel_point){share * all,  in.spring,   in.air, in.friction,
                                   out.friction, in.p_column, gas};
  }
  return DF_OK;
}

enum df_status curves_init(struct curves *curves, const struct df_scenario *scenario,
                           const char *name, double x, const double *speeds, int speed_n,
                           struct df_faults *faults)
{
  *curves = (struct curves){
      .name = name, .scenario = scenario, .x = x, .n = speed_n, .m = TRAVEL_POINTS};
  curves->velocity = calloc(speed_n, sizeof *curves->velocity);
  curves->travel = calloc(curves->m, sizeof *curves->travel);
  if (!curves->velocity || !curves->travel) return DF_NO_MEMORY;
  enum df_status status = df_statics_of(scenario, &curves->statics, faults);
  if (status) return status;
  curves->leg = df_leg_create(scenario, 0, faults);
  if (!curves->leg) return faults && faults->n ? faults->at[faults->n - 1].status : DF_NO_MEMORY;
  for (int i = 0; i < speed_n && !status; i++) {
    status = df_leg_steady(curves->leg, x, speeds[i], &curves->velocity[i].steady);
    curves->velocity[i].slope = curves_slope(curves->leg, x, speeds[i]);
  }
  return status ? status : travel_fill(curves);
}

void curves_finish(struct curves *curves)
{
  free(curves->measured);
  curves->measured = NULL, curves->measured_n = 0;
  df_leg_destroy(curves->leg);
  free(curves->velocity);
  free(curves->travel);
  *curves = (struct curves){0};
}

static double difference(double v, void *both)
{
  const struct curves *const *pair = both;
  struct df_steady a, b;
  if (df_leg_steady(pair[0]->leg, pair[0]->x, v, &a) ||
      df_leg_steady(pair[1]->leg, pair[1]->x, v, &b))
    return NAN;
  return a.damping - b.damping;
}

static double crossing(gsl_function *function, double low, double high)
{
  double room[16]; // state of Brent's method on the stack: nothing to be short of
  gsl_root_fsolver held = {.type = gsl_root_fsolver_brent, .state = room}, *solver = &held;
  double root = NAN;
  if (gsl_root_fsolver_brent->size > sizeof room) return root;
  int bad = gsl_root_fsolver_set(solver, function, low, high);
  for (int i = 0; i < 60 && !bad; i++) {
    bad = gsl_root_fsolver_iterate(solver);
    root = gsl_root_fsolver_root(solver);
    if (gsl_root_test_interval(gsl_root_fsolver_x_lower(solver), gsl_root_fsolver_x_upper(solver),
                               0, 1e-6) == GSL_SUCCESS)
      break;
  }
  return root;
}

int curves_crossings(const struct curves *a, const struct curves *b, double most, double *at,
                     int room)
{
  const struct curves *pair[2] = {a, b};
  gsl_function function = {difference, pair};
  const double step =
      1.02; // 2 % of the speed: curves that cross twice within that are the same for a rider
  int n = 0;
  double v = 0.02, last = difference(v, pair);
  for (; v < most && n < room; v *= step) {
    double next = difference(v*step, pair);
    if (last*next < 0) at[n++] = crossing(&function, v, v*step);
    last = next;
  }
  return n;
}

static const char *const velocity_names[] = {
    "velocity_m_per_s", "damping_N",     "force_N",     "spring_N",      "air_N",
    "friction_N",       "cone_N",        "p_lower_bar", "p_annulus_bar", "p_rod_bar",
    "p_column_bar",     "valve_lift_mm", "slope_1"};

enum { VELOCITY_COLUMNS = sizeof velocity_names/sizeof *velocity_names };

static double velocity_value(const struct curves *curves, int i, int column)
{
  const struct df_steady *at = &curves->velocity[i].steady;
  double force = at->damping + at->spring + at->air + at->friction + at->cone + at->stop;
  const double row[VELOCITY_COLUMNS] = {at->v,
                                        at->damping,
                                        force,
                                        at->spring,
                                        at->air,
                                        at->friction,
                                        at->cone,
                                        1e-5 * at->p_lower,
                                        1e-5 * at->p_annulus,
                                        1e-5 * at->p_rod,
                                        1e-5 * at->p_column,
                                        1e3 * at->lift,
                                        curves->velocity[i].slope};
  return row[column];
}

void curves_velocity_csv(const struct curves *curves, struct csv *csv, const char *scenario)
{
  for (int i = 0; i < curves->n; i++) {
    if (scenario) csv_text(csv, scenario);
    for (int j = 0; j < VELOCITY_COLUMNS; j++) csv_number(csv, velocity_value(curves, i, j));
    for (int j = 0; j < DF_PATHS; j++)
      csv_number(csv, 100 * path_share(&curves->velocity[i].steady, j));
    csv_line(csv);
  }
}

static const char *const travel_names[] = {"travel_mm",       "spring_N",     "air_N",
                                           "friction_N",      "force_N",      "force_compression_N",
                                           "force_rebound_N", "p_column_bar", "gas_volume_cm3"};

static void travel_row(const struct travel_point *at, double row[9])
{
  double force = at->spring + at->air;
  const double values[9] = {1e3 * at->x,
                            at->spring,
                            at->air,
                            at->friction_compression,
                            force,
                            force + at->friction_compression,
                            force + at->friction_rebound,
                            1e-5 * at->p_column,
                            1e6 * at->gas_volume};
  memcpy(row, values, sizeof values);
}

void curves_travel_csv(const struct curves *curves, struct csv *csv, const char *scenario)
{
  for (int i = 0; i < curves->m; i++) {
    double row[9];
    travel_row(&curves->travel[i], row);
    if (scenario) csv_text(csv, scenario);
    for (int j = 0; j < 9; j++) csv_number(csv, row[j]);
    csv_line(csv);
  }
}

void curves_velocity_names(struct csv *csv, int with_scenario)
{
  if (with_scenario) csv_text(csv, "scenario");
  for (int i = 0; i < VELOCITY_COLUMNS; i++) csv_text(csv, velocity_names[i]);
  for (int i = 0; i < DF_PATHS; i++) {
    char name[64];
    snprintf(name, sizeof name, "share_%s_percent", df_path_names[i]);
    csv_text(csv, name);
  }
  csv_line(csv);
}

void curves_travel_names(struct csv *csv)
{
  csv_names(csv, travel_names, sizeof travel_names/sizeof *travel_names);
}

static void velocity_json(const struct curves *curves, struct json *json)
{
  json_array(json, "force_velocity");
  for (int i = 0; i < curves->n; i++) {
    const struct df_steady *at = &curves->velocity[i].steady;
    json_object(json, NULL);
    for (int j = 0; j < VELOCITY_COLUMNS; j++)
      json_number(json, velocity_names[j], velocity_value(curves, i, j));
    for (int j = 0; j < DF_PATHS; j++) {
      char name[64];
      snprintf(name, sizeof name, "share_%s_percent", df_path_names[j]);
      json_number(json, name, 100*path_share(at, j));
    }
    json_end(json);
  }
  json_end(json);
}

void curves_json(const struct curves *curves, struct json *json)
{
  json_number(json, "travel_mm", 1e3*curves->x);
  json_number(json, "cracking_pressure_bar", 1e-5*curves->statics.cracking_pressure);
  json_number(json, "cracking_speed_m_per_s", curves->statics.cracking_speed);
  velocity_json(curves, json);
  json_array(json, "force_travel");
  for (int i = 0; i < curves->m; i++) {
    double row[9];
    travel_row(&curves->travel[i], row);
    json_object(json, NULL);
    for (int j = 0; j < 9; j++) json_number(json, travel_names[j], row[j]);
    json_end(json);
  }
  json_end(json);
}
