// Static set-up: sag, spring, spring preload, spacer. Everything is solved, nothing looked up.
#include "studies/setup.h"

#include "base/roots.h"
#include "dampfork/spring.h"

const char *const df_sag_load_words[DF_SAG_LOADS] = {"alone", "rider", "full"};

double df_rounded(double value, double step)
{
  return step*round(value/step);
}

// Metric twist drills come by 0.1 mm; fractions of an inch by 1/64, up to half an inch.
struct df_drill_size df_drill_nearest(double diameter)
{
  double inch = 25.4e-3/64, metric = df_rounded(diameter, 0.1e-3);
  int sixty_fourths = (int)lround(diameter/inch);
  double off = fabs(metric - diameter), inch_off = fabs(sixty_fourths*inch - diameter);
  if (sixty_fourths <= 32 && inch_off < off - 1e-9)
    return (struct df_drill_size){sixty_fourths*inch, sixty_fourths};
  return (struct df_drill_size){metric, 0};
}

// ---- sag ----
static enum df_aboard aboard_of(enum df_sag_load load)
{
  return load == DF_SAG_ALONE ? DF_ABOARD_NOBODY
         : load == DF_SAG_RIDER ? DF_ABOARD_RIDER : DF_ABOARD_ALL;
}

// Travel at rest with friction xi, the gas at the temperature of its walls.
static double rest_at(const struct df_legs *legs, const struct df_scenario *s,
                      enum df_sag_load load, double xi)
{
  struct df_masses m = df_masses_of(s, aboard_of(load));
  return df_legs_rest_travel(legs, s, m.sprung*df_gravity*cos(s->bike.rake), m.front*df_gravity, 1,
                             xi);
}

static double hanging_at(const struct df_legs *legs, const struct df_scenario *s)
{
  double pull = -s->bike.front_unsprung_mass*df_gravity*cos(s->bike.rake);
  return df_legs_rest_travel(legs, s, pull, 0, 1, 0);
}

static void sag_fill(const struct df_legs *legs, const struct df_scenario *s,
                     enum df_sag_load load, struct df_sag *out)
{
  double zero = hanging_at(legs, s);
  out->mean = rest_at(legs, s, load, 0) - zero;
  out->from_below = rest_at(legs, s, load, -1) - zero;
  out->from_above = rest_at(legs, s, load, 1) - zero;
  out->share = out->mean/s->side[0].leg.travel;
}

enum df_status df_sag_of(const struct df_scenario *s, enum df_sag_load load, struct df_sag *out,
                         struct df_faults *faults)
{
  struct df_legs *legs = malloc(sizeof *legs);
  *out = (struct df_sag){NAN, NAN, NAN, NAN};
  if (!legs) return df_setup_no_memory(faults);
  enum df_status status = df_legs_init(legs, s, NAN, faults);
  if (status == DF_OK) sag_fill(legs, s, load, out);
  free(legs);
  return status;
}

// ---- springs ----
// Another spring and spring preload in both legs; the spacer follows.
static void spring_put(struct df_scenario *s, double rate, double preload)
{
  for (int i = 0; i < DF_SIDES; i++) {
    struct df_spring *spring = &s->side[i].spring;
    struct df_spacer *spacer = &s->side[i].spacer;
    spring->second_rate *= rate/spring->rate;
    spring->rate = rate;
    if (isfinite(spacer->length)) spacer->length += preload - spring->preload;
    spring->preload = preload;
  }
}

double df_coil_room(const struct df_side *side)
{
  const struct df_spring *spring = &side->spring;
  return spring->free_length - spring->solid_length - spring->preload - side->leg.travel;
}

// Spring and air at full travel of the left leg, gas as in a ride. N.
static double end_force_of(const struct df_leg_model *leg, const struct df_side *side)
{
  struct df_rest rest;
  struct df_spring_law law = df_spring_law_of(&side->spring);
  double n = leg->kind.thermal ? 1 : leg->c.exponent, travel = side->leg.travel;
  if (df_leg_rest(leg, travel, n, &rest) != DF_OK) return NAN;
  return df_spring_force(&law, travel + side->spring.preload, NULL)
         + (rest.pressure - DF_ATMOSPHERE)*leg->c.tube_area;
}

static void choice_fill(const struct df_legs *legs, const struct df_scenario *s,
                        struct df_spring_choice *out)
{
  const struct df_side *side = &s->side[0];
  struct df_spring_law law = df_spring_law_of(&side->spring);
  out->rate = side->spring.rate, out->preload = side->spring.preload;
  for (int i = 0; i < DF_SAG_LOADS; i++) sag_fill(legs, s, (enum df_sag_load)i, &out->sag[i]);
  out->free_travel = hanging_at(legs, s);
  out->cap_force = df_spring_force(&law, side->spring.preload, NULL);
  out->end_force = end_force_of(&legs->model[0], side);
  out->coil_room = df_coil_room(side);
}

enum df_status df_spring_choice_of(const struct df_scenario *scenario, double rate, double preload,
                                   struct df_spring_choice *out, struct df_faults *faults)
{
  struct df_scenario s = *scenario;
  struct df_legs legs;
  spring_put(&s, rate, preload);
  enum df_status status = df_legs_init(&legs, &s, NAN, faults);
  if (status == DF_OK) choice_fill(&legs, &s, out);
  return status;
}

// Mean sag over the wanted one, with another spring. `work` holds what is changed again and again.
struct sag_job {
  const struct df_scenario *scenario;
  struct df_scenario *work;
  struct df_legs *legs;
  double rate, preload;       // N/m, m: the one that is looked for is NAN
  enum df_sag_load load;
  double wanted;              // m
};

static double sag_over(const struct sag_job *job, double rate, double preload)
{
  memcpy(job->work->side, job->scenario->side, sizeof job->work->side);
  spring_put(job->work, rate, preload);
  if (df_legs_init(job->legs, job->work, NAN, NULL) != DF_OK) return NAN;
  double at = rest_at(job->legs, job->work, job->load, 0);
  double zero = hanging_at(job->legs, job->work);
  // no rest: the spring is too soft where it carries less than the load at the end of travel
  if (isnan(at)) {
    double load = df_masses_of(job->work, aboard_of(job->load)).sprung*df_gravity
                  *cos(job->work->bike.rake);
    double end = df_legs_rest_force(job->legs, job->work->side[0].leg.travel, 1);
    return end < load ? 1 : -1;
  }
  return at - zero - job->wanted;
}

static double over_by_preload(double preload, double *slope, const void *context)
{
  const struct sag_job *job = context;
  (void)slope;
  return sag_over(job, job->rate, preload);
}

static double over_by_rate(double rate, double *slope, const void *context)
{
  const struct sag_job *job = context;
  (void)slope;
  return sag_over(job, rate, job->preload);
}

// What is changed again and again; on the stack, so that nothing can be missing.
struct sag_room { struct df_scenario work; struct df_legs legs; };

static void job_begin(struct sag_job *job, struct sag_room *room, const struct df_scenario *scenario)
{
  room->work = *scenario;
  job->scenario = scenario;
  job->work = &room->work;
  job->legs = &room->legs;
}

static const double preload_least = -30e-3; // m: looser than this is another spring, not a setting
static const double cap_force_most = 2e3;   // N: nobody screws a cap down against more
static const double rate_least = 1e3, rate_most = 40e3; // N/m: outside any fork
static const double length_close = 1e-7;                // m: a thousandth of what a saw can do
static const double rate_close = 1e-2;                  // N/m

static double preload_of(struct sag_job *job, double rate)
{
  const struct df_side *side = &job->scenario->side[0];
  double room = df_coil_room(side) + side->spring.preload;
  double most = fmin(room, cap_force_most/rate), found = 15e-3;
  job->rate = rate;
  enum df_status status =
      df_root_find(over_by_preload, job, preload_least, most, 0, length_close, &found);
  return status == DF_OK ? found : NAN;
}

double df_preload_for_sag(const struct df_scenario *scenario, double rate, enum df_sag_load load,
                          double sag)
{
  struct sag_job job = {.preload = NAN, .load = load, .wanted = sag};
  struct sag_room room;
  job_begin(&job, &room, scenario);
  return preload_of(&job, rate);
}

double df_rate_for_sag(const struct df_scenario *scenario, double preload, enum df_sag_load load,
                       double sag)
{
  struct sag_job job = {.rate = NAN, .preload = preload, .load = load, .wanted = sag};
  double found = scenario->side[0].spring.rate;
  struct sag_room room;
  job_begin(&job, &room, scenario);
  enum df_status status = df_root_find(over_by_rate, &job, rate_least, rate_most, 0, rate_close, &found);
  return status == DF_OK ? found : NAN;
}

// Alone too deep or too high when the other load sits right: a stiffer spring needs less spring
// preload and sinks deeper alone.
static double alone_over(double rate, double *slope, const void *context)
{
  struct sag_job *job = (struct sag_job *)context, inner = *job;
  (void)slope;
  double preload = preload_of(&inner, rate);
  if (isnan(preload)) return NAN;
  struct sag_job outer = *job;
  outer.load = DF_SAG_ALONE, outer.wanted = job->preload; // the wanted sag alone stands there
  return sag_over(&outer, rate, preload);
}

// Rates between which a spring preload exists at all: the bracket shrinks until both ends do.
static int shrink(struct sag_job *job, double *low, double *high)
{
  for (double at = *low; at <= *high; at *= 1.15) {
    struct sag_job inner = *job;
    if (isnan(preload_of(&inner, at))) continue;
    *low = at;
    while (*high > *low) {
      inner = *job;
      if (!isnan(preload_of(&inner, *high))) return 1;
      *high /= 1.15;
    }
    return 0;
  }
  return 0;
}

enum df_status df_spring_for_sags(const struct df_scenario *scenario, double alone,
                                  enum df_sag_load load, double sag, double *rate, double *preload)
{
  struct sag_job job = {.preload = alone, .load = load, .wanted = sag};
  double low = rate_least, high = rate_most;
  *rate = *preload = NAN;
  struct sag_room room;
  job_begin(&job, &room, scenario);
  enum df_status status = shrink(&job, &low, &high) ? DF_OK : DF_NO_SOLUTION;
  double found = scenario->side[0].spring.rate;
  if (status == DF_OK) status = df_root_find(alone_over, &job, low, high, 0, rate_close, &found);
  if (status == DF_OK) {
    struct sag_job inner = job;
    *rate = found, *preload = preload_of(&inner, found);
  }
  return status;
}

enum df_status df_spring_bracket_of(const struct df_scenario *scenario, double alone,
                                    enum df_sag_load load, double sag,
                                    struct df_spring_bracket *out, struct df_faults *faults)
{
  if (df_spring_for_sags(scenario, alone, load, sag, &out->rate, &out->preload) != DF_OK)
    out->rate = out->preload = NAN;
  double middle = isfinite(out->rate) ? out->rate : scenario->side[0].spring.rate;
  double softer = DF_RATE_STEP*floor(middle/DF_RATE_STEP + 1e-6);
  for (int i = 0; i < 2; i++) {
    double rate = softer + i*DF_RATE_STEP, preload = df_preload_for_sag(scenario, rate, load, sag);
    out->choice[i] = (struct df_spring_choice){.rate = rate, .preload = NAN};
    if (isnan(preload)) continue;
    enum df_status status = df_spring_choice_of(scenario, rate, preload, &out->choice[i], faults);
    if (status != DF_OK) return status;
  }
  return DF_OK;
}

// ---- spacer ----
double df_spacer_length(double depth, double valve_height, double cap, double washers,
                        double preload)
{
  return depth - valve_height - cap - washers + preload;
}

struct df_spacer_sum df_spacer_sum_of(const struct df_scenario *scenario, int side)
{
  const struct df_side *s = &scenario->side[side];
  struct df_spring_law law = df_spring_law_of(&s->spring);
  int out_then = s->has_valve && s->spacer.depth_taken_valve == DF_OUT;
  struct df_spacer_sum sum = {.depth = s->spacer.depth_to_spring,
                              .valve_height = out_then ? s->valve.height : 0,
                              .cap = scenario->cap.depth, .washers = s->spacer.washers,
                              .preload = s->spring.preload};
  sum.length = df_spacer_length(sum.depth, sum.valve_height, sum.cap, sum.washers, sum.preload);
  sum.cut = df_rounded(sum.length, DF_SAW_STEP);
  sum.preload_cut = sum.preload + (sum.cut - sum.length);
  double preload = isfinite(sum.preload_cut) ? sum.preload_cut : sum.preload;
  sum.cap_force = df_spring_force(&law, preload, &sum.per_thread);
  return sum;
}
