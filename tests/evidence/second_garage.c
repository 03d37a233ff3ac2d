#include "second_garage.h"

#include "dampfork/ride.h"
#include "second_match.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double gravity = 9.80665;
enum { TIMED_POINTS = 40 };

// ---- text ----
__attribute__((format(printf, 2, 3)))
static void put(struct garage_text *out, const char *format, ...)
{
  va_list arguments;
  if (out->room - out->n < 400) {
    size_t room = 2*out->room + 4096;
    char *more = realloc(out->text, room);
    if (!more) abort(); // of a test
    out->text = more, out->room = room;
  }
  va_start(arguments, format);
  out->n += (size_t)vsnprintf(out->text + out->n, out->room - out->n, format, arguments);
  va_end(arguments);
}

void garage_text_finish(struct garage_text *out)
{
  free(out->text);
  *out = (struct garage_text){0};
}

static double noisy(const struct garage *g, double value, double deviation)
{
  if (!g->rng) return value;
  return value + g->noise*gsl_ran_gaussian_ziggurat(g->rng, deviation);
}

// ---- steady forces ----
void garage_bench(const struct garage *g, const double *speed, int n, double deviation,
                  struct garage_text *out)
{
  struct second_leg leg;
  second_leg_init(&leg, g->truth, 0, NULL, g->truth->side[0].oil.temperature);
  put(out, "# without = spring, air\n# accuracy = %g N\nvelocity_m_per_s,force_N\n", deviation);
  for (int i = 0; i < 2*n; i++) {
    struct second_steady at;
    double v = (i % 2 ? -1 : 1)*speed[i/2];
    if (second_steady_of(&leg, 0.5*g->truth->side[0].leg.travel, v, &at)) abort();
    put(out, "%g,%.2f\n", v, noisy(g, at.damping + at.friction + at.cone, deviation));
  }
}

void garage_slow(const struct garage *g, double from, double to, int n, double deviation,
                 struct garage_text *out)
{
  struct df_scenario *slow = malloc(sizeof *slow);
  struct second_leg leg;
  if (!slow) abort();
  memcpy(slow, g->truth, sizeof *slow);
  slow->side[0].air.exponent = 1; // the gas keeps the temperature of its walls
  second_leg_init(&leg, slow, 0, NULL, slow->side[0].oil.temperature);
  put(out, "# accuracy = %g N\ntravel_mm,force_N\n", deviation);
  for (int i = 0; i < 2*n; i++) {
    struct second_steady s;
    int k = i < n ? i : 2*n - 1 - i;
    double x = from + (to - from)*k/(n - 1), v = i < n ? 3e-3 : -3e-3;
    if (second_steady_of(&leg, x, v, &s)) abort();
    put(out, "%.1f,%.1f\n", 1e3*x,
        noisy(g, s.damping + s.friction + s.cone + s.spring + s.air + s.stop, deviation));
  }
  free(slow);
}

// ---- loops ----
void garage_loop(const struct garage *g, const struct garage_loop *loop, struct garage_text *out)
{
  struct second_sine sine = {loop->middle, loop->amplitude, loop->frequency};
  struct second_ride ride;
  double cycle = 1/loop->frequency, every = 2*cycle/loop->rows;
  struct second_case c = {.scenario = g->truth, .end = 4*cycle, .every = every/8, .tolerance = 1e-8,
                          .motion = second_sine_motion, .drive = &sine};
  second_ride_init(&ride, &c);
  if (ride.status) abort();
  put(out, "# accuracy = %g N\ntime_s,travel_mm,force_N\n", loop->deviation);
  double late = loop->lag/(every/8), part = late - floor(late);
  for (int i = 0; i < loop->rows; i++) {
    int at = 8*(loop->rows + i);
    const struct second_sample *s = &ride.at[at], *f = &ride.at[at - (int)late];
    double force = f->force[0] + part*(f[-1].force[0] - f->force[0]);
    put(out, "%.5f,%.3f,%.2f\n", s->t, 1e3*s->travel,
        noisy(g, force, loop->deviation) + loop->offset);
  }
  second_ride_finish(&ride);
}

// ---- at rest ----
struct standing { const struct second_leg *leg; double push, weight, xi; }; // N, N at the wheel, 1

// Forces of all legs less what pushes them, friction at its level in them.
static double stand_over(void *context, double x)
{
  const struct standing *s = context;
  const struct df_scenario *scenario = s->leg->scenario;
  const struct df_seals *seals = &scenario->seals;
  double between = seals->bush_spacing + x, legs = scenario->bike.legs;
  double across = (s->weight - scenario->bike.front_unsprung_mass*gravity)*sin(scenario->bike.rake);
  double upper = across*(seals->bush_height - between)/(between*legs), lower = -across/legs - upper;
  double level = second_friction_level(s->leg, second_rest_pressure(s->leg, x), upper, lower);
  return legs*(second_rest_force(s->leg, x) + s->xi*level) - s->push;
}

static double stands_at(const struct second_leg *leg, double push, double weight, double xi)
{
  struct standing s = {leg, push, weight, xi};
  return second_root(stand_over, &s, 0.03, 0.01, -5e-3, leg->side->leg.travel);
}

double garage_sag_one(const struct garage *g, int load, double side)
{
  struct df_scenario *s = malloc(sizeof *s);
  struct second_leg leg;
  if (!s) abort();
  memcpy(s, g->truth, sizeof *s);
  s->side[0].air.exponent = s->side[1].air.exponent = 1;
  s->load.luggage.mass = s->load.passenger.mass = 0;
  if (!load) s->rider.mass = 0;
  second_leg_init(&leg, s, 0, NULL, s->side[0].oil.temperature);
  double down = cos(s->bike.rake)*gravity;
  double hanging = stands_at(&leg, -s->bike.front_unsprung_mass*down, 0, 0);
  double front = second_sprung_mass(s) + s->bike.front_unsprung_mass;
  double x = stands_at(&leg, second_sprung_mass(s)*down, front*gravity, side);
  free(s);
  return x - hanging;
}

void garage_sag(const struct garage *g, int loads, double deviation, struct garage_text *out)
{
  put(out, "# accuracy = %g mm\nload,settled,travel_mm\n", 1e3*deviation);
  for (int i = 0; i < 4; i++)
    if (loads & 1 << i/2)
      put(out, "%s,%s,%.1f\n", i/2 ? "rider" : "alone", i % 2 ? "above" : "below",
          1e3*noisy(g, garage_sag_one(g, i/2, i % 2 ? 1 : -1), deviation));
}

void garage_spring(const struct garage *g, const double *length, int n, double deviation,
                   struct garage_text *out)
{
  const struct df_spring *spring = &g->truth->side[0].spring;
  put(out, "# accuracy = %g N\npart,length_mm,force_N\n", deviation);
  for (int i = 0; i < n; i++)
    put(out, "fork,%.1f,%.1f\n", 1e3*length[i],
        noisy(g, spring->rate*(spring->free_length - length[i]), deviation));
}

void garage_level(const struct garage *g, int n, double deviation, struct garage_text *out)
{
  put(out, "# accuracy = %g mm\nleg,oil_level_mm\n", 1e3*deviation);
  for (int i = 0; i < n; i++)
    put(out, "left,%.1f\n", 1e3*noisy(g, g->truth->side[0].air.oil_level, deviation));
}

// ---- timed strokes of the bare leg ----
struct falling { const struct second_leg *leg; double x, sign, force; };

static double falling_over(void *context, double log_v)
{
  const struct falling *f = context;
  struct second_steady s;
  if (second_steady_of(f->leg, f->x, f->sign*exp(log_v), &s)) return NAN;
  return f->sign*(s.damping + s.air + s.friction + s.cone) - f->force;
}

double garage_timed_one(const struct garage *g, double sign, double weight)
{
  struct df_scenario *s = malloc(sizeof *s);
  struct second_leg leg;
  double time = 0, distance = 0.1, from = sign > 0 ? 10e-3 : 110e-3;
  if (!s) abort();
  memcpy(s, g->truth, sizeof *s);
  // Open to the air: the column is so high that its pressure does not change; no spring is in.
  s->side[0].spring.rate = 1, s->side[0].spring.preload = 0, s->side[0].air.oil_level = 100;
  s->side[0].air.solids = 0, s->side[0].air.level_taken = (struct df_level_taken){DF_IN, DF_OUT, DF_OUT};
  second_leg_init(&leg, s, 0, NULL, s->side[0].oil.level_temperature);
  for (int i = 0; i < TIMED_POINTS; i++) {
    struct falling f = {&leg, from + sign*distance*(i + 0.5)/TIMED_POINTS, sign, weight*gravity};
    double log_v = second_root(falling_over, &f, log(0.1), 0.3, log(0.01), log(3));
    time += distance/TIMED_POINTS/exp(log_v);
  }
  free(s);
  return time;
}

void garage_timed(const struct garage *g, const double *pull, int pulls, const double *push,
                  int pushes, double deviation, struct garage_text *out)
{
  put(out, "# accuracy = %g s\nleg,direction,weight_kg,distance_mm,time_s\n", deviation);
  for (int i = 0; i < pulls + pushes; i++) {
    double sign = i < pulls ? -1 : 1, weight = i < pulls ? pull[i] : push[i - pulls];
    put(out, "left,%s,%g,100,%.3f\n", i < pulls ? "pull" : "push", weight,
        noisy(g, garage_timed_one(g, sign, weight), deviation));
  }
}

// ---- rides ----
// One road ridden by the second writing; where its axle starts and when things happen is taken from
// a ride of the library, since both get the same road.
static int ridden(const struct garage *g, int road, double speed, double every,
                  struct second_ride *out)
{
  struct df_scenario *s = malloc(sizeof *s);
  struct df_profile profile;
  struct df_ride ride;
  struct second_case c;
  struct df_ride_options options = {.tolerance = 1e-6, .sample_step = every,
                                    .channels = 1ULL << DF_C_TRAVEL | 1ULL << DF_C_DISTANCE};
  if (!s) abort();
  memcpy(s, g->truth, sizeof *s);
  s->road[0] = g->truth->road[road], s->road_n = 1;
  if (isfinite(speed)) s->road[0].speed = speed;
  int good = df_profile_init(&profile, &s->road[0], &s->tyre, NULL) == DF_OK;
  good = good && df_ride_run(s, 0, &options, &ride, NULL) == DF_OK;
  if (good) {
    second_case_of(&c, s, &s->road[0], &profile, &ride, ride.trace.at[DF_C_DISTANCE][0]);
    second_ride_init(out, &c);
    good = out->status == 0;
    df_ride_finish(&ride);
  }
  df_profile_finish(&profile);
  free(s);
  return good;
}

// Where the fork hangs with the wheel in the air, as the ring's ruler starts there.
static double hangs_at(const struct garage *g)
{
  const struct df_bike *bike = &g->truth->bike;
  struct df_scenario *s = malloc(sizeof *s);
  struct second_leg leg;
  if (!s) abort();
  memcpy(s, g->truth, sizeof *s);
  s->side[0].air.exponent = 1;
  second_leg_init(&leg, s, 0, NULL, s->side[0].oil.temperature);
  double x = stands_at(&leg, -bike->front_unsprung_mass*gravity*cos(bike->rake), 0, 0);
  free(s);
  return x;
}

void garage_rings(const struct garage *g, const struct garage_pass *pass, int n, double deviation,
                  struct garage_text *out)
{
  double zero = hangs_at(g);
  put(out, "# accuracy = %g mm\nroad,speed_km_per_h,travel_peak_mm\n", 1e3*deviation);
  for (int i = 0; i < n; i++) {
    struct second_ride ride;
    double most = 0;
    if (!ridden(g, pass[i].road, pass[i].speed, 1e-3, &ride)) abort();
    for (int k = 0; k < ride.n; k++) most = fmax(most, ride.at[k].travel);
    put(out, "%s,%g,%.1f\n", g->truth->road[pass[i].road].name, 3.6*pass[i].speed,
        1e3*noisy(g, most - zero, deviation));
    second_ride_finish(&ride);
  }
}

void garage_log(const struct garage *g, int road, double every, double early, double travel_deviation,
                double acceleration_deviation, struct garage_text *out)
{
  struct second_ride ride;
  double zero = hangs_at(g);
  if (!ridden(g, road, NAN, every, &ride)) abort();
  put(out, "# road = %s\n# accuracy = %g mm\ntime_s,travel_mm,acceleration_m_per_s2\n",
      g->truth->road[road].name, 1e3*travel_deviation);
  for (int i = 0; i < ride.n; i++) {
    const struct second_sample *s = &ride.at[i];
    put(out, "%.4f,%.2f,%.3f\n", s->t + early, 1e3*noisy(g, s->travel - zero, travel_deviation),
        noisy(g, s->acceleration, acceleration_deviation));
  }
  second_ride_finish(&ride);
}
