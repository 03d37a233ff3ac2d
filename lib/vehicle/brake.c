// Braking, lean and push as piecewise polynomials of time, and the evaluation window.
#include "vehicle/brake.h"

#include <math.h>
#include <stdlib.h>

#include "base/roots.h"
#include "vehicle/ground.h"

static const double usual_ramp = 0.25, usual_hold = 1.5, usual_release = 0.1; // s, chosen here
static const double push_rise = 0.5, push_hold = 0.5, push_gone = 0.02;       // s
static const double after = 2;                    // s, judged after an obstacle or a manoeuvre
static const double steepest_lean = 80*M_PI/180;  // rad, beyond it 1/cos grows past 5.8
static const double rough_from = 10;              // m, before it a rough road still grows

static double given_or(double value, double usual)
{
  return isnan(value) ? usual : value;
}

static void add_break(struct df_manoeuvre *manoeuvre, double t)
{
  int i = manoeuvre->break_n;
  if (!(t > 0) || i == DF_MANOEUVRE_BREAKS) return;
  while (i > 0 && manoeuvre->breaks[i - 1] > t) i--;
  if (i > 0 && manoeuvre->breaks[i - 1] == t) return;
  for (int k = manoeuvre->break_n; k > i; k--) manoeuvre->breaks[k] = manoeuvre->breaks[k - 1];
  manoeuvre->breaks[i] = t;
  manoeuvre->break_n++;
}

// First positive root of V0 - a0 tau - j tau^2/2, NAN if there is none; the form does not cancel.
static double stand_after(double speed, double deceleration, double jerk)
{
  double square = deceleration*deceleration + 2*jerk*speed;
  if (!(speed > 0)) return 0;
  if (square < 0) return NAN;
  double divisor = deceleration + sqrt(square);
  return divisor > 0 ? 2*speed/divisor : NAN;
}

// Append a piece that begins where the last one ends. Pieces of no length are left out, by writing
// the next over them; returns 0 once the bike stands.
static int add_piece(struct df_manoeuvre *m, double from, double deceleration, double jerk)
{
  int last = m->pieces - 1;
  double tau = from - m->from[last];
  double stand = m->from[last] + stand_after(m->speed[last], m->deceleration[last], m->jerk[last]);
  int stands = stand <= from && m->speed[last] > 0;
  struct df_motion motion = df_manoeuvre_in(m, last, stands ? stand : from);
  int i = stands || tau > 0 ? m->pieces++ : last;
  m->from[i] = stands ? stand : from;
  m->distance[i] = motion.distance;
  m->speed[i] = stands ? 0 : motion.speed;
  m->deceleration[i] = stands ? 0 : deceleration;
  m->jerk[i] = stands ? 0 : jerk;
  add_break(m, m->from[i]);
  if (stands) m->stand = stand;
  return !stands;
}

static void lay_brake(struct df_manoeuvre *m, const struct df_brake *brake)
{
  double a = brake->deceleration, ramp_end = m->start + brake->ramp;
  double release = ramp_end + brake->hold, end = release + brake->release;
  m->ramp_end = ramp_end;
  m->release = release;
  m->end = end;
  if (!(m->speed[0] > 0)) return; // at a stand from the start: no deceleration
  int moving = brake->ramp > 0 ? add_piece(m, m->start, 0, a/brake->ramp) : 1;
  moving = moving && add_piece(m, ramp_end, a, 0);
  if (moving && brake->release > 0) moving = add_piece(m, release, a, -a/brake->release);
  if (moving) add_piece(m, end, 0, 0);
}

static enum df_status lay_lean(struct df_manoeuvre *m, const struct df_road *road,
                               struct df_faults *faults)
{
  enum df_status status = df_road_within(faults, road, "lean.angle", road->lean.angle, 0,
                                         steepest_lean, M_PI/180, "degree");
  if (status == DF_OK)
    status = df_road_within(faults, road, "lean.ramp", road->lean.ramp, 1e-3, 100, 1, "s");
  if (status == DF_OK)
    status = df_road_within(faults, road, "lean.hold", road->lean.hold, 0, 1e4, 1, "s");
  if (status != DF_OK) return status;
  m->lean_ramp = road->lean.ramp;
  m->lean_gain = 1/cos(road->lean.angle) - 1;
  m->ramp_end = m->start + m->lean_ramp;
  m->release = m->end = m->ramp_end + road->lean.hold;
  add_break(m, m->start);
  add_break(m, m->ramp_end);
  return DF_OK;
}

static void lay_push(struct df_manoeuvre *m)
{
  m->push = 1;
  m->ramp_end = m->start + push_rise;
  m->release = m->ramp_end + push_hold;
  m->end = m->release + push_gone;
  add_break(m, m->start);
  add_break(m, m->ramp_end);
  add_break(m, m->release);
  add_break(m, m->end);
}

static enum df_status lay_checked_brake(struct df_manoeuvre *m, const struct df_road *road,
                                        const struct df_braking *usual, struct df_faults *faults)
{
  struct df_brake brake = road->brake;
  brake.ramp = given_or(brake.ramp, usual ? usual->ramp : usual_ramp);
  brake.hold = given_or(brake.hold, usual ? usual->hold : usual_hold);
  brake.release = given_or(brake.release, usual ? usual->release : usual_release);
  const struct { const char *key, *unit; double value, most; } checks[] = {
    { "brake.deceleration", "m/s2", brake.deceleration, 30 },
    { "brake.ramp", "s", brake.ramp, 100 },
    { "brake.hold", "s", brake.hold, 1e4 },
    { "brake.release", "s", brake.release, 100 },
  };
  for (int i = 0; i < (int)(sizeof checks/sizeof *checks); i++) {
    enum df_status status = df_road_within(faults, road, checks[i].key, checks[i].value, 0,
                                           checks[i].most, 1, checks[i].unit);
    if (status != DF_OK) return status;
  }
  lay_brake(m, &brake);
  return DF_OK;
}

enum df_status df_manoeuvre_init(struct df_manoeuvre *manoeuvre, const struct df_road *road,
                                 const struct df_braking *usual, double start,
                                 struct df_faults *faults)
{
  *manoeuvre = (struct df_manoeuvre){ .pieces = 1, .start = start, .ramp_end = start,
                                      .release = start, .end = start, .stand = NAN,
                                      .lean_ramp = 1 };
  enum df_status status = df_road_within(faults, road, "speed", road->speed, 0, 150, 1/3.6, "km/h");
  manoeuvre->speed[0] = road->speed;
  if (status == DF_OK && road->has_lean) status = lay_lean(manoeuvre, road, faults);
  if (status == DF_OK && road->has_push) lay_push(manoeuvre);
  if (status == DF_OK && road->has_brake)
    status = lay_checked_brake(manoeuvre, road, usual, faults);
  return status;
}

int df_manoeuvre_piece(const struct df_manoeuvre *manoeuvre, double t)
{
  int piece = 0;
  for (int i = 1; i < manoeuvre->pieces; i++) piece += t >= manoeuvre->from[i];
  return piece;
}

struct df_motion df_manoeuvre_in(const struct df_manoeuvre *manoeuvre, int piece, double t)
{
  double tau = t - manoeuvre->from[piece], a = manoeuvre->deceleration[piece];
  double speed = manoeuvre->speed[piece], jerk = manoeuvre->jerk[piece];
  return (struct df_motion){
    .distance = manoeuvre->distance[piece] + tau*(speed - tau*(a/2 + tau*jerk/6)),
    .speed = speed - tau*(a + tau*jerk/2),
    .deceleration = a + tau*jerk,
    .jerk = jerk,
  };
}

struct df_motion df_manoeuvre_motion(const struct df_manoeuvre *manoeuvre, double t)
{
  return df_manoeuvre_in(manoeuvre, df_manoeuvre_piece(manoeuvre, t), t);
}

struct place { const struct df_manoeuvre *manoeuvre; int piece; double distance; /* m */ };

static double short_of(double t, double *slope, const void *context)
{
  const struct place *place = context;
  struct df_motion motion = df_manoeuvre_in(place->manoeuvre, place->piece, t);
  *slope = motion.speed;
  return motion.distance - place->distance;
}

double df_manoeuvre_time(const struct df_manoeuvre *manoeuvre, double distance)
{
  int piece = 0, last = manoeuvre->pieces - 1;
  while (piece < last && manoeuvre->distance[piece + 1] < distance) piece++;
  double from = manoeuvre->from[piece], left = distance - manoeuvre->distance[piece]; // s, m
  if (left <= 0) return from;
  if (piece == last) return manoeuvre->speed[piece] > 0 ? from + left/manoeuvre->speed[piece] : NAN;
  struct place place = { manoeuvre, piece, distance };
  double high = manoeuvre->from[piece + 1], t = (from + high)/2;
  if (manoeuvre->distance[piece + 1] == distance) return high;
  return df_root_find(short_of, &place, from, high, 1e-14, 1e-13, &t) == DF_OK ? t : NAN;
}

static double smoothstep(double u, double *rate)
{
  u = fmin(fmax(u, 0), 1);
  *rate = 6*u*(1 - u);
  return u*u*(3 - 2*u);
}

double df_lean_factor(const struct df_manoeuvre *manoeuvre, double t, double *rate)
{
  double slope, share = smoothstep((t - manoeuvre->start)/manoeuvre->lean_ramp, &slope);
  if (rate) *rate = manoeuvre->lean_gain*slope/manoeuvre->lean_ramp;
  return 1 + manoeuvre->lean_gain*share;
}

double df_push_share(const struct df_manoeuvre *manoeuvre, double t, double *rate)
{
  double in = t - manoeuvre->start, out = in - push_rise - push_hold; // s
  double grows, goes;
  double share = smoothstep(in/push_rise, &grows) - smoothstep(out/push_gone, &goes);
  if (rate) *rate = manoeuvre->push*(grows/push_rise - goes/push_gone);
  return manoeuvre->push*share;
}

double df_axle_start(const struct df_profile *profile, double radius, double run_up)
{
  if (isnan(run_up) || isnan(profile->first_touch)) return -(radius + 1);
  return profile->first_touch - run_up;
}

static struct df_window rough_window(const struct df_road *road, const struct df_profile *profile,
                                     const struct df_manoeuvre *manoeuvre, double axle_start)
{
  double from = profile->first_touch + rough_from; // m
  double start = given_or(df_manoeuvre_time(manoeuvre, from - axle_start), manoeuvre->stand);
  double end = given_or(df_manoeuvre_time(manoeuvre, profile->end - axle_start), manoeuvre->stand);
  if (!isnan(road->window)) end = start + road->window;
  return (struct df_window){ start, end };
}

struct df_window df_window_of(const struct df_road *road, const struct df_profile *profile,
                              const struct df_manoeuvre *manoeuvre, double axle_start)
{
  if (profile->faded) return rough_window(road, profile, manoeuvre, axle_start);
  double start = df_manoeuvre_time(manoeuvre, profile->first_touch - axle_start);
  double over = manoeuvre->end - manoeuvre->start; // s
  if (isnan(profile->first_touch) || isnan(start)) start = manoeuvre->start;
  else over = given_or(df_manoeuvre_time(manoeuvre, profile->last_touch - axle_start),
                       manoeuvre->stand) - start;
  return (struct df_window){ start, start + given_or(road->window, after + over) };
}
