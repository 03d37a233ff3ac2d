// What the model says that an instrument should show.
#include "studies/fit_work.h"

#include <gsl/gsl_fit.h>
#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "dampfork/leg.h"
#include "dampfork/measure.h"
#include "dampfork/oil.h"
#include "dampfork/ride.h"
#include "dampfork/sheet.h"
#include "dampfork/spring.h"
#include "dampfork/stroke.h"
#include "leg/front_mass.h"

static const double creeping = 3e-3;    // m/s: a hand on a luggage scale
static const double sine_most = 0.05;   // 1: rms off a sine over its amplitude that is still one
static const double stroke_start = 10e-3; // m: a timed stroke begins clear of the top-out spring

// ---- preparing ----
static int like(const struct df_data *data, int column) { return data->at[column] != NULL; }

// Fork speed by the slope of a parabola through five rows (Savitzky and Golay 1964).
static double *speeds_of(const struct df_data *data)
{
  double *speed = calloc((size_t)data->n, sizeof *speed);
  const double *t = data->at[DF_D_TIME], *x = data->at[DF_D_TRAVEL];
  for (int i = 0; speed && i < data->n; i++) {
    int low = i < 2 ? 0 : i - 2, high = i + 2 < data->n ? i + 2 : data->n - 1;
    double level, c00, c01, c11, rest;
    size_t n = (size_t)(high - low + 1);
    if (n > 1)
      gsl_fit_linear(t + low, 1, x + low, 1, n, &level, &speed[i], &c00, &c01, &c11, &rest);
  }
  return speed;
}

// Rms of what a sine of this frequency leaves over; fills its other constants.
static double sine_rest(const struct df_data *data, double w, struct fit_sine *out)
{
  size_t n = (size_t)data->n;
  gsl_matrix *a = gsl_matrix_alloc(n, 3), *cov = gsl_matrix_alloc(3, 3);
  gsl_vector *c = gsl_vector_alloc(3);
  gsl_multifit_linear_workspace *room = gsl_multifit_linear_alloc(n, 3);
  gsl_vector_const_view y = gsl_vector_const_view_array(data->at[DF_D_TRAVEL], n);
  double chi = NAN;
  if (a && cov && c && room) {
    for (size_t i = 0; i < n; i++) {
      double t = data->at[DF_D_TIME][i] - data->at[DF_D_TIME][0];
      gsl_matrix_set(a, i, 0, 1);
      gsl_matrix_set(a, i, 1, cos(w*t));
      gsl_matrix_set(a, i, 2, sin(w*t));
    }
    if (!gsl_multifit_linear(a, &y.vector, c, cov, &chi, room))
      *out = (struct fit_sine){0, gsl_vector_get(c, 0), gsl_vector_get(c, 1), gsl_vector_get(c, 2),
                               w, data->at[DF_D_TIME][0]};
  }
  gsl_multifit_linear_free(room);
  gsl_vector_free(c);
  gsl_matrix_free(cov);
  gsl_matrix_free(a);
  return sqrt(chi/(double)n);
}

// Frequency by upward crossings of the middle, then by golden section.
static void sine_find(const struct df_data *data, struct fit_sine *sine)
{
  const double *x = data->at[DF_D_TRAVEL], *t = data->at[DF_D_TIME];
  double least = INFINITY, most = -INFINITY, first = NAN, last = NAN;
  int crossings = 0, n = data->n;
  *sine = (struct fit_sine){0};
  if (n < 12) return;
  for (int i = 0; i < n; i++) least = fmin(least, x[i]), most = fmax(most, x[i]);
  double middle = 0.5*(least + most);
  for (int i = 1, armed = 0; i < n; i++) {
    armed |= x[i] < middle - 0.2*(most - least);
    if (!armed || x[i] < middle) continue;
    double at = t[i - 1] + (t[i] - t[i - 1])*(middle - x[i - 1])/(x[i] - x[i - 1]);
    if (!crossings++) first = at;
    last = at, armed = 0;
  }
  double span = t[n - 1] - t[0], w = crossings > 1 ? 2*M_PI*(crossings - 1)/(last - first)
                                                   : 2*M_PI/span;
  double low = w*(1 - 0.3/fmax(1, crossings)), high = w*(1 + 0.3/fmax(1, crossings));
  for (int i = 0; i < 40; i++) {
    double a = high - 0.618*(high - low), b = low + 0.618*(high - low);
    struct fit_sine sa, sb;
    if (sine_rest(data, a, &sa) < sine_rest(data, b, &sb)) high = b;
    else low = a;
  }
  double rest = sine_rest(data, 0.5*(low + high), sine), size = hypot(sine->a, sine->b);
  sine->good = rest < sine_most*size && span*sine->w > 0.9*2*M_PI;
}

// The road of a name as the scenario or the ready ones have it.
static enum df_status road_take(const struct df_reading *reading, const char *name, double speed,
                                struct df_road *out, struct df_faults *faults)
{
  const struct df_scenario *s = df_reading_scenario(reading);
  struct df_reading *copy = NULL;
  char set[96];
  const char *sets[1] = {set};
  enum df_status status = DF_UNKNOWN_NAME;
  for (int pass = 0; pass < 2 && status; pass++) {
    for (int i = 0; i < s->road_n && status; i++)
      if (!strcmp(s->road[i].name, name)) *out = s->road[i], status = DF_OK;
    if (!status || pass) break;
    copy = df_reading_copy(reading);
    if (!copy) return DF_NO_MEMORY;
    snprintf(set, sizeof set, "roads.%s={}", name);
    if (df_reading_override(copy, sets, 1, NULL)) break;
    s = df_reading_scenario(copy);
  }
  df_reading_destroy(copy);
  if (status) return df_fault_add(faults, status, "road", "no road '%s': neither in the scenario nor "
                                  "among the ready ones", name);
  if (isfinite(speed)) out->speed = speed;
  return DF_OK;
}

static enum df_status roads_init(struct fit_set *set, const struct df_reading *reading,
                                 struct df_faults *faults)
{
  const struct df_data *data = set->data;
  int rows = data->kind == DF_DATA_LOG ? 1 : data->n;
  set->ramp = df_reading_scenario(reading)->braking.ramp;
  set->road = calloc((size_t)rows, sizeof *set->road);
  set->roads = calloc(DF_FIT_ROADS_MAX, sizeof *set->roads);
  if (!set->road || !set->roads) return DF_NO_MEMORY;
  for (int i = 0; i < rows; i++) {
    int log = data->kind == DF_DATA_LOG, at = -1;
    const char *name = data->road[log ? 0 : (int)data->at[DF_D_ROAD][i]];
    double speed = log ? data->speed : data->at[DF_D_SPEED][i];
    for (int k = 0; k < set->road_n; k++)
      if (!strcmp(set->roads[k].name, name) && set->roads[k].speed == speed) at = k;
    if (at < 0) {
      if (set->road_n == DF_FIT_ROADS_MAX)
        return df_fault_add(faults, DF_BAD_INPUT, "road", "%s: more than %d roads and speeds",
                            data->name, DF_FIT_ROADS_MAX);
      enum df_status status = road_take(reading, name, speed, &set->roads[set->road_n], faults);
      if (status) return status;
      at = set->road_n++;
    }
    set->road[i] = at;
  }
  return DF_OK;
}

// The last stroke or ride of a set: offset and lag of a sensor, or a second look at the same values,
// ask for no new one.
struct fit_last {
  int has;                    // 1: all that follows is filled
  struct df_scenario of;
  struct df_stroke stroke;
  struct df_ride ride;
  double zero;                // m, free travel
};

static void last_finish(const struct fit_set *set)
{
  if (!set->last || !set->last->has) return;
  if (set->data->kind == DF_DATA_LOOP) df_stroke_finish(&set->last->stroke);
  else df_ride_finish(&set->last->ride);
  set->last->has = 0;
}

static int last_is(const struct fit_last *last, const struct df_scenario *scenario)
{
  return last->has && !memcmp(&last->of, scenario, sizeof *scenario);
}

static void last_set(struct fit_last *last, const struct df_scenario *scenario)
{
  memcpy(&last->of, scenario, sizeof *scenario);
  last->has = 1;
}

enum df_status df_fit_model_init(struct fit_model *model, const struct df_reading *reading,
                                 const struct df_data *const *data, int set_n,
                                 struct df_faults *faults)
{
  *model = (struct fit_model){.set_n = set_n, .threads = 1, .tolerance = 1e-6};
  for (int k = 0; k < set_n; k++) {
    struct fit_set *set = &model->set[k];
    *set = (struct fit_set){.data = data[k], .first = model->n, .n = data[k]->n};
    if (df_data_measured(data[k], 1) != DF_D_COLUMNS) set->n *= 2;
    model->n += set->n;
    enum df_status status = DF_OK;
    if (data[k]->kind == DF_DATA_LOOP) {
      sine_find(data[k], &set->sine);
      if (!(set->speed = speeds_of(data[k]))) status = DF_NO_MEMORY;
    }
    int kept = data[k]->kind == DF_DATA_LOOP || data[k]->kind == DF_DATA_LOG;
    if (kept && !(set->last = calloc(1, sizeof *set->last))) return DF_NO_MEMORY;
    if (data[k]->kind == DF_DATA_O_RING || data[k]->kind == DF_DATA_LOG)
      status = roads_init(set, reading, faults);
    if (status) return status;
  }
  return DF_OK;
}

void df_fit_model_finish(struct fit_model *model)
{
  for (int k = 0; k < model->set_n; k++) {
    free(model->set[k].road);
    free(model->set[k].roads);
    free(model->set[k].speed);
    last_finish(&model->set[k]);
    free(model->set[k].last);
  }
  model->set_n = 0;
}

int df_fit_rides(const struct fit_model *model)
{
  for (int k = 0; k < model->set_n; k++) {
    enum df_data_kind kind = model->set[k].data->kind;
    if (kind == DF_DATA_O_RING || kind == DF_DATA_LOG || kind == DF_DATA_LOOP) return 1;
  }
  return 0;
}

enum df_data_column df_fit_column(const struct fit_set *set, int i)
{
  return df_data_measured(set->data, i >= set->data->n);
}

double df_fit_reading(const struct fit_set *set, int i)
{
  return set->data->at[df_fit_column(set, i)][i % set->data->n];
}

static double largest(const struct fit_set *set, enum df_data_column column)
{
  double most = 0;
  for (int i = 0; i < set->data->n; i++) most = fmax(most, fabs(set->data->at[column][i]));
  return most;
}

double df_fit_usual(const struct fit_set *set, int i)
{
  enum df_data_column column = df_fit_column(set, i);
  double given = set->data->accuracy;
  if (isfinite(given) && i < set->data->n) return given;
  return df_data_usual(column, df_fit_reading(set, i), largest(set, column));
}

// ---- forces of one leg ----
static double force_of(const struct df_steady *s, int without)
{
  return s->damping + s->cone + s->stop + (without & DF_WITHOUT_SPRING ? 0 : s->spring) +
         (without & DF_WITHOUT_AIR ? 0 : s->air) + (without & DF_WITHOUT_FRICTION ? 0 : s->friction);
}

static struct df_scenario *copy_for(const struct df_data *data, const struct df_scenario *scenario)
{
  struct df_scenario *copy = malloc(sizeof *copy);
  if (!copy) return NULL;
  memcpy(copy, scenario, sizeof *copy);
  for (int i = 0; i < DF_SIDES && isfinite(data->temperature); i++)
    copy->side[i].oil.temperature = data->temperature;
  return copy;
}

static void predict_steady(const struct fit_set *set, const struct df_scenario *scenario,
                           double offset, double *out)
{
  const struct df_data *data = set->data;
  struct df_scenario *copy = copy_for(data, scenario);
  int slow = data->kind == DF_DATA_SLOW;
  for (int i = 0; copy && slow && i < DF_SIDES; i++) copy->side[i].air.exponent = 1;
  struct df_leg_model *leg = copy ? df_leg_create(copy, data->leg, NULL) : NULL;
  double usual = isfinite(data->travel) ? data->travel
                                        : 0.5*scenario->side[data->leg].leg.travel;
  for (int i = 0; leg && i < data->n; i++) {
    const double *travel = data->at[DF_D_TRAVEL];
    double x = travel ? travel[i] : usual, v = slow ? creeping : 0;
    if (data->kind == DF_DATA_BENCH) v = data->at[DF_D_VELOCITY][i];
    if (data->kind == DF_DATA_LOOP) v = set->speed[i];
    int next = i + 1 < data->n ? i + 1 : i; // the last row goes on as the one before it
    if (slow && next > 0 && travel[next] < travel[next - 1]) v = -v;
    struct df_steady steady;
    if (df_leg_steady(leg, x, v, &steady) == DF_OK) out[i] = force_of(&steady, data->without) + offset;
  }
  df_leg_destroy(leg);
  free(copy);
}

// Force by phase over the last cycle of a driven stroke.
static double cycle_force(const struct df_stroke *stroke, int parts, double phase)
{
  int n = stroke->per_cycle;
  const struct df_stroke_sample *from = stroke->sample + stroke->n - 1 - n;
  double at = (phase/(2*M_PI) - floor(phase/(2*M_PI)))*n;
  int i = (int)at < n ? (int)at : n - 1;
  double a = df_stroke_force(from + i, parts), b = df_stroke_force(from + i + 1, parts);
  return a + (at - i)*(b - a);
}

// Rests at both ends are passed in the first cycle; the second is like every later one.
static void stroke_run(const struct fit_set *set, const struct df_scenario *scenario)
{
  const struct fit_sine *sine = &set->sine;
  struct df_stroke_motion motion = {sine->middle, 2*hypot(sine->a, sine->b), sine->w/(2*M_PI)};
  struct df_stroke_options options = {.cycles = 2};
  struct df_scenario *copy = copy_for(set->data, scenario);
  last_finish(set);
  if (!copy) return;
  df_stroke_run(copy, set->data->leg, &motion, &options, &set->last->stroke, NULL);
  last_set(set->last, scenario);
  free(copy);
}

static void predict_loop(const struct fit_set *set, const struct df_scenario *scenario,
                         struct fit_sense sense, double *out)
{
  const struct df_data *data = set->data;
  const struct fit_sine *sine = &set->sine;
  if (!sine->good) {
    predict_steady(set, scenario, sense.offset, out);
    return;
  }
  if (!last_is(set->last, scenario)) stroke_run(set, scenario);
  if (!set->last->has) return;
  const struct df_stroke *stroke = &set->last->stroke;
  int parts = DF_STROKE_DAMPING | DF_STROKE_ENDS |
              (data->without & DF_WITHOUT_SPRING ? 0 : DF_STROKE_SPRING) |
              (data->without & DF_WITHOUT_AIR ? 0 : DF_STROKE_AIR) |
              (data->without & DF_WITHOUT_FRICTION ? 0 : DF_STROKE_FRICTION);
  // a cos + b sin = -amplitude cos(phase)
  for (int i = 0; i < data->n && stroke->status == DF_OK && stroke->cycles > 0; i++) {
    double phase = sine->w*(data->at[DF_D_TIME][i] - sense.lag - sine->first) -
                   atan2(sine->b, sine->a) + M_PI;
    out[i] = cycle_force(stroke, parts, phase) + sense.offset;
  }
}

// ---- at rest ----
static void predict_sag(const struct fit_set *set, const struct df_scenario *scenario, double *out)
{
  struct df_sag sag[DF_SAG_LOADS];
  for (int load = 0; load < DF_SAG_LOADS; load++)
    df_sag_of(scenario, (enum df_sag_load)load, &sag[load], NULL);
  for (int i = 0; i < set->data->n; i++) {
    const struct df_sag *one = &sag[(int)set->data->at[DF_D_LOAD][i]];
    out[i] = set->data->at[DF_D_SETTLED][i] == 0 ? one->from_below : one->from_above;
  }
}

// The fork's spring against its length; the valve's by its slope alone, since its free length is
// no key: the mean of its forces is left to fit.
static void predict_spring(const struct fit_set *set, const struct df_scenario *scenario,
                           double *out)
{
  const struct df_data *data = set->data;
  const struct df_side *side = &scenario->side[data->leg];
  struct df_spring_law law = df_spring_law_of(&side->spring);
  double length = 0, force = 0;
  int n = 0;
  for (int i = 0; i < data->n; i++)
    if (data->at[DF_D_PART][i] == 1)
      n++, length += data->at[DF_D_LENGTH][i], force += data->at[DF_D_FORCE][i];
  for (int i = 0; i < data->n; i++)
    out[i] = data->at[DF_D_PART][i] == 0
                 ? df_spring_force(&law, side->spring.free_length - data->at[DF_D_LENGTH][i], NULL)
                 : force/n - side->valve.spring_rate*(data->at[DF_D_LENGTH][i] - length/n);
}

// An earlier row that was measured in the same way; -1: none.
static int timed_before(const struct df_data *data, int i)
{
  static const enum df_data_column inputs[] = {DF_D_DIRECTION, DF_D_WEIGHT, DF_D_DISTANCE, DF_D_LEG};
  for (int k = 0; k < i; k++) {
    int same = 1;
    for (size_t c = 0; c < sizeof inputs/sizeof *inputs; c++)
      same &= !like(data, inputs[c]) || data->at[inputs[c]][k] == data->at[inputs[c]][i];
    if (same) return k;
  }
  return -1;
}

static void predict_timed(const struct fit_set *set, const struct df_scenario *scenario,
                          double *out)
{
  const struct df_data *data = set->data;
  double from = isfinite(data->travel) ? data->travel : stroke_start;
  for (int i = 0; i < data->n; i++) {
    int side = df_data_leg(data, i), before = timed_before(data, i);
    if (before >= 0) out[i] = out[before];
    if (before >= 0) continue;
    double kelvin = isfinite(data->temperature) ? data->temperature
                                                : scenario->side[side].oil.level_temperature;
    out[i] = df_timed_leg(scenario, side, kelvin,
                          (enum df_timed_direction)data->at[DF_D_DIRECTION][i], from,
                          data->at[DF_D_DISTANCE][i], data->at[DF_D_WEIGHT][i]*df_gravity);
    if (!isfinite(out[i])) out[i] = 1e3; // s: it does not move
  }
}

// ---- rides ----
static struct df_scenario *with_roads(const struct fit_set *set, const struct df_scenario *scenario)
{
  struct df_scenario *copy = copy_for(set->data, scenario);
  if (!copy) return NULL;
  memcpy(copy->road, set->roads, (size_t)set->road_n*sizeof *copy->road);
  copy->road_n = set->road_n;
  for (int i = 0; i < copy->road_n; i++) // the usual lever is taken as the scenario now says
    if (copy->road[i].has_brake && copy->road[i].brake.ramp == set->ramp)
      copy->road[i].brake.ramp = scenario->braking.ramp;
  return copy;
}

static enum df_status predict_rings(const struct fit_model *model, const struct fit_set *set,
                                    const struct df_scenario *const *scenario, int count,
                                    double *const *out)
{
  struct df_wanted wanted[DF_FIT_ROADS_MAX + 1];
  int wanted_n = set->road_n + 1, peak = df_measure_find("travel_peak");
  for (int i = 0; i < set->road_n; i++) wanted[i] = (struct df_wanted){i, peak};
  wanted[set->road_n] = (struct df_wanted){-1, df_measure_find("free_travel")};
  struct df_case *cases = calloc((size_t)count, sizeof *cases);
  struct df_scenario **copy = calloc((size_t)count, sizeof *copy);
  double *values = calloc((size_t)(count*wanted_n), sizeof *values);
  enum df_status status = cases && copy && values ? DF_OK : DF_NO_MEMORY;
  int n = 0, *place = calloc((size_t)count, sizeof *place);
  if (!place) status = DF_NO_MEMORY;
  for (int k = 0; k < count && !status; k++) {
    if (!scenario[k]) continue;
    if (!(copy[n] = with_roads(set, scenario[k]))) status = DF_NO_MEMORY;
    else cases[n] = (struct df_case){.scenario = copy[n], .values = values + n*wanted_n};
    place[n++] = k;
  }
  struct df_ride_options options = {.tolerance = model->tolerance, .stop = model->stop};
  if (!status)
    status = df_cases_run(cases, n, wanted, wanted_n, &options, model->threads, NULL);
  for (int k = 0; k < n && !status; k++)
    for (int i = 0; i < set->data->n; i++)
      out[place[k]][i] = values[k*wanted_n + set->road[i]] - values[k*wanted_n + set->road_n];
  for (int k = 0; copy && k < count; k++) free(copy[k]);
  free(place);
  free(values);
  free(copy);
  free(cases);
  return status;
}

static double trace_at(const struct df_trace *trace, int channel, double t)
{
  double at = (t - trace->start)/trace->step;
  if (!trace->at[channel] || trace->n < 2) return NAN;
  if (!(at > 0)) return trace->at[channel][0];
  int i = at < trace->n - 1 ? (int)at : trace->n - 2;
  if (at > trace->n - 1) return trace->at[channel][trace->n - 1];
  return trace->at[channel][i] + (at - i)*(trace->at[channel][i + 1] - trace->at[channel][i]);
}

// A log's clock starts anywhere: its first row stands `shift` before the ride's start.
static enum df_status log_run(const struct fit_model *model, const struct fit_set *set,
                              const struct df_scenario *scenario)
{
  struct fit_last *last = set->last;
  struct df_statics statics;
  struct df_ride_options options = {
      .channels = 1ull << DF_C_TRAVEL | 1ull << DF_C_ACCELERATION, .sample_step = 5e-4,
      .tolerance = model->tolerance, .stop = model->stop};
  struct df_scenario *copy = with_roads(set, scenario);
  last_finish(set);
  if (!copy) return DF_NO_MEMORY;
  df_ride_run(copy, 0, &options, &last->ride, NULL);
  df_rest_of(copy, &statics, NULL);
  last_set(last, scenario);
  last->zero = statics.free_travel;
  free(copy);
  return last->ride.status == DF_INTERRUPTED ? DF_INTERRUPTED : DF_OK;
}

static enum df_status predict_log(const struct fit_model *model, const struct fit_set *set,
                                  const struct df_scenario *scenario, struct fit_sense sense,
                                  double *out)
{
  const struct df_data *data = set->data;
  enum df_status status = last_is(set->last, scenario) ? DF_OK : log_run(model, set, scenario);
  const struct df_ride *ride = &set->last->ride;
  for (int i = 0; i < set->n && !status && ride->status == DF_OK; i++) {
    enum df_data_column column = df_fit_column(set, i);
    double t = data->at[DF_D_TIME][i % data->n] - data->at[DF_D_TIME][0] - set->shift - sense.lag;
    out[i] = column == DF_D_ACCELERATION
                 ? trace_at(&ride->trace, DF_C_ACCELERATION, t)
                 : trace_at(&ride->trace, DF_C_TRAVEL, t) - set->last->zero + sense.offset;
  }
  return status;
}

static enum df_status predict_one(const struct fit_model *model, const struct fit_set *set,
                                  const struct df_scenario *scenario, struct fit_sense sense,
                                  double *out)
{
  switch (set->data->kind) {
  case DF_DATA_BENCH:
  case DF_DATA_SLOW:   predict_steady(set, scenario, sense.offset, out); break;
  case DF_DATA_LOOP:   predict_loop(set, scenario, sense, out); break;
  case DF_DATA_SAG:    predict_sag(set, scenario, out); break;
  case DF_DATA_SPRING: predict_spring(set, scenario, out); break;
  case DF_DATA_TIMED:  predict_timed(set, scenario, out); break;
  case DF_DATA_LEVEL:
    for (int i = 0; i < set->data->n; i++)
      out[i] = scenario->side[df_data_leg(set->data, i)].air.oil_level;
    break;
  case DF_DATA_LOG:    return predict_log(model, set, scenario, sense, out);
  default:             break;
  }
  return DF_OK;
}

enum df_status df_fit_predict(const struct fit_model *model,
                              const struct df_scenario *const *scenario,
                              const struct fit_sense *const *sense, int count, double *const *out)
{
  for (int k = 0; k < model->set_n; k++) {
    const struct fit_set *set = &model->set[k];
    double *at[2*DF_FIT_ALL_MAX + 2];
    enum df_status status = DF_OK;
    for (int i = 0; i < count; i++) {
      at[i] = out[i] + set->first;
      for (int r = 0; r < set->n; r++) at[i][r] = NAN;
    }
    if (set->data->kind == DF_DATA_O_RING) status = predict_rings(model, set, scenario, count, at);
    for (int i = 0; i < count && set->data->kind != DF_DATA_O_RING && !status; i++) {
      if (model->stop && *model->stop) status = DF_INTERRUPTED;
      else if (scenario[i])
        status = predict_one(model, set, scenario[i], sense[i][k], at[i]);
    }
    if (status) return status;
  }
  return DF_OK;
}
