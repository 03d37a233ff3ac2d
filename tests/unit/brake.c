// Braking, lean, push and the evaluation window as functions of time.
#include "near.h"

#include <gsl/gsl_integration.h>
#include <string.h>

#include "vehicle/brake.h"

static const double kmh_40 = 40/3.6; // m/s

static struct df_road road_of(const char *kind, double speed)
{
  struct df_road road = { .name = "test", .kind = df_road_kind_find(kind), .speed = speed,
                          .window = NAN, .repeat = 1, .gap = 1, .contact = -1 };
  return road;
}

static struct df_manoeuvre brake_of(double speed, double a, double ramp, double hold,
                                    double release, double start)
{
  struct df_road road = road_of("flat", speed);
  struct df_manoeuvre m;
  road.has_brake = 1;
  road.brake = (struct df_brake){ a, ramp, hold, release };
  ck_assert_int_eq(df_manoeuvre_init(&m, &road, NULL, start, NULL), DF_OK);
  return m;
}

// The deceleration as the words say it, with no regard to a stand.
static double said(double t, double a, double ramp, double hold, double release, double start)
{
  double u = t - start;
  if (u < 0 || u >= ramp + hold + release) return 0;
  if (u < ramp) return a*u/ramp;
  if (u < ramp + hold) return a;
  return a*(1 - (u - ramp - hold)/release);
}

START_TEST(brake_follows_ramp_hold_and_release)
{
  struct df_manoeuvre m = brake_of(25, 6, 0.25, 1.5, 0.1, 0.1);
  for (int k = 0; k < 2500; k++) {
    double t = k*1e-3 + 5e-4;
    near(df_manoeuvre_motion(&m, t).deceleration, said(t, 6, 0.25, 1.5, 0.1, 0.1), 1e-12,
         "linear ramp, hold, linear release");
  }
  near(m.ramp_end, 0.35, 1e-15, "start + ramp");
  near(m.release, 1.85, 1e-15, "and hold");
  near(m.end, 1.95, 1e-15, "and release");
  ck_assert(isnan(m.stand));
}
END_TEST

static double deceleration_at(double t, void *m) { return df_manoeuvre_motion(m, t).deceleration; }
static double speed_at(double t, void *m) { return df_manoeuvre_motion(m, t).speed; }

static double integral(double (*f)(double, void *), struct df_manoeuvre *m, double to)
{
  gsl_integration_workspace *space = gsl_integration_workspace_alloc(200);
  double points[DF_MANOEUVRE_BREAKS + 2] = { 0 }, result, error;
  size_t n = 1;
  for (int i = 0; i < m->break_n && m->breaks[i] < to; i++) points[n++] = m->breaks[i];
  points[n++] = to;
  gsl_function of = { f, m };
  gsl_integration_qagp(&of, points, n, 0, 1e-12, 200, space, &result, &error);
  gsl_integration_workspace_free(space);
  return result;
}

START_TEST(speed_and_distance_are_integrals)
{
  struct df_manoeuvre m[] = {
    brake_of(25, 6, 0.25, 1.5, 0.1, 0.1), brake_of(kmh_40, 6, 0.25, 5, 0.1, 0.1),
    brake_of(kmh_40, 7, 0, 1.5, 0, 0), brake_of(0.5, 6, 0.4, 1, 0.1, 0),
    brake_of(9.2, 6, 0.25, 1.35, 0.3, 0)
  };
  for (int i = 0; i < 5; i++)
    for (double t = 0.07; t < 4; t += 0.23) {
      struct df_motion motion = df_manoeuvre_motion(&m[i], t);
      near(motion.speed, m[i].speed[0] - integral(deceleration_at, &m[i], t), 1e-9,
           "quadrature of a");
      near(motion.distance, integral(speed_at, &m[i], t), 1e-9, "quadrature of V");
      ck_assert(motion.speed >= 0);
    }
}
END_TEST

START_TEST(bike_stops_and_stays)
{
  struct df_manoeuvre m = brake_of(kmh_40, 6, 0.25, 5, 0.1, 0.1);
  // V0 = a ramp/2 + a (t - ramp): t = V0/a + ramp/2 after the start.
  near(m.stand, 0.1 + kmh_40/6 + 0.125, 1e-12, "closed form");
  struct df_motion motion = df_manoeuvre_motion(&m, 4);
  ck_assert(motion.speed == 0 && motion.deceleration == 0 && motion.jerk == 0);
  double braked = kmh_40*0.25 - 6*0.25*0.25/6, v = kmh_40 - 0.75;
  near(motion.distance, kmh_40*0.1 + braked + v*v/12, 1e-11, "closed form");
  near(df_manoeuvre_motion(&m, m.stand - 1e-9).speed, 6e-9, 1e-14, "V falls to 0 without a jump");
  // 0.5 m/s is gone inside the ramp: V0 = a t^2/(2 ramp).
  m = brake_of(0.5, 6, 0.4, 1, 0.1, 0);
  near(m.stand, sqrt(2*0.5*0.4/6), 1e-12, "closed form");
  // Inside the release.
  m = brake_of(9.2, 6, 0.25, 1.35, 0.3, 0);
  ck_assert(m.stand > 1.6 && m.stand < 1.9);
  near(df_manoeuvre_in(&m, 3 - (m.from[1] > 0.2), m.stand).speed, 0, 1e-12, "root of the speed");
  // Nothing to stop.
  m = brake_of(0, 6, 0.25, 1.5, 0.1, 0.1);
  motion = df_manoeuvre_motion(&m, 1);
  ck_assert(motion.speed == 0 && motion.distance == 0 && motion.deceleration == 0);
}
END_TEST

START_TEST(time_at_a_distance_turns_distance_round)
{
  struct df_manoeuvre m = brake_of(kmh_40, 6, 0.25, 5, 0.1, 0.1);
  for (double t = 0; t < m.stand - 0.01; t += 0.0137)
    near(df_manoeuvre_time(&m, df_manoeuvre_motion(&m, t).distance), t, 1e-11,
         "inverse of the distance");
  ck_assert(isnan(df_manoeuvre_time(&m, 1000)));
  ck_assert(isnan(df_manoeuvre_time(&m, NAN)));
  m = brake_of(kmh_40, 0, 0.25, 1, 0.1, 0.1);
  near(df_manoeuvre_time(&m, 1000), 1000/kmh_40, 1e-9, "constant speed");
}
END_TEST

START_TEST(breaks_name_every_jump)
{
  struct df_manoeuvre m = brake_of(25, 6, 0.25, 1.5, 0.1, 0.1);
  const double want[] = { 0.1, 0.35, 1.85, 1.95 };
  ck_assert_int_eq(m.break_n, 4);
  for (int i = 0; i < 4; i++) near(m.breaks[i], want[i], 1e-15, "by hand");
  // Away from breaks the jerk is constant: the deceleration's slope by differences tells.
  for (double t = 0.0123; t < 3; t += 0.01) {
    double before = df_manoeuvre_motion(&m, t - 1e-5).deceleration;
    double jerk = (df_manoeuvre_motion(&m, t + 1e-5).deceleration - before)/2e-5;
    near(df_manoeuvre_motion(&m, t).jerk, jerk, 1e-8, "central difference");
  }
}
END_TEST

START_TEST(missing_times_are_the_usual_ones)
{
  struct df_road road = road_of("flat", 20);
  struct df_braking usual = { .ramp = 0.3, .hold = 2, .release = 0.2 };
  struct df_manoeuvre m;
  road.has_brake = 1;
  road.brake = (struct df_brake){ 3.5, NAN, NAN, NAN };
  ck_assert_int_eq(df_manoeuvre_init(&m, &road, &usual, 0, NULL), DF_OK);
  near(m.end, 2.5, 1e-12, "those of `braking`");
  ck_assert_int_eq(df_manoeuvre_init(&m, &road, NULL, 0, NULL), DF_OK);
  near(m.end, 1.85, 1e-12, "0.25, 1.5, 0.1 s");
}
END_TEST

START_TEST(wrong_values_are_refused)
{
  struct df_faults faults = {0};
  struct df_manoeuvre m;
  struct df_road road = road_of("flat", 20);
  road.has_brake = 1;
  road.brake = (struct df_brake){ 6, -0.1, 1, 1 };
  ck_assert_int_eq(df_manoeuvre_init(&m, &road, NULL, 0, &faults), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].key, "roads.test.brake.ramp");
  ck_assert_str_eq(faults.at[0].text, "-0.1 s is out of range; allowed: 0 to 100 s");
  road.has_brake = 0;
  road.has_lean = 1;
  road.lean = (struct df_lean){ M_PI/2, 0.5, 2 };
  ck_assert_int_eq(df_manoeuvre_init(&m, &road, NULL, 0, &faults), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[1].key, "roads.test.lean.angle");
  road.has_lean = 0;
  road.speed = NAN;
  ck_assert_int_eq(df_manoeuvre_init(&m, &road, NULL, 0, &faults), DF_BAD_INPUT);
}
END_TEST

START_TEST(lean_loads_by_one_over_cosine)
{
  struct df_road road = road_of("flat", 60/3.6);
  struct df_manoeuvre m;
  double rate;
  road.has_lean = 1;
  road.lean = (struct df_lean){ 40*M_PI/180, 0.5, 2 };
  ck_assert_int_eq(df_manoeuvre_init(&m, &road, NULL, 0.1, NULL), DF_OK);
  near(df_lean_factor(&m, 0.05, &rate), 1, 0, "before");
  near(df_lean_factor(&m, 0.35, &rate), 1 + (1/cos(40*M_PI/180) - 1)/2, 1e-14, "half way, S = 1/2");
  near(df_lean_factor(&m, 9, &rate), 1.305407289332279, 1e-12, "1/cos 40 degrees");
  for (double t = 0.11; t < 0.6; t += 0.03) {
    double before = df_lean_factor(&m, t - 1e-6, NULL);
    double slope = (df_lean_factor(&m, t + 1e-6, NULL) - before)/2e-6;
    df_lean_factor(&m, t, &rate);
    near(rate, slope, 1e-8, "central difference");
  }
  near(m.end, 2.6, 1e-14, "start, ramp, hold");
}
END_TEST

START_TEST(push_grows_holds_and_goes)
{
  struct df_road road = road_of("flat", 0);
  struct df_manoeuvre m;
  double rate;
  road.has_push = 1;
  road.push.depth = 0.05;
  ck_assert_int_eq(df_manoeuvre_init(&m, &road, NULL, 0.2, NULL), DF_OK);
  const struct { double t, share; } rows[] = {
    { 0.1, 0 }, { 0.45, 0.5 }, { 0.7, 1 }, { 1.0, 1 }, { 1.2, 1 }, { 1.21, 0.5 }, { 1.22, 0 },
    { 5, 0 }
  };
  for (int i = 0; i < 8; i++)
    near(df_push_share(&m, rows[i].t, NULL), rows[i].share, 1e-12, "by hand");
  for (double t = 0.21; t < 1.3; t += 0.0031) {
    double slope = (df_push_share(&m, t + 1e-7, NULL) - df_push_share(&m, t - 1e-7, NULL))/2e-7;
    df_push_share(&m, t, &rate);
    near(rate, slope, 1e-4, "central difference");
  }
  ck_assert_int_eq(m.break_n, 4);
  static const double turns[] = { 0.2, 0.7, 1.2, 1.22 };
  for (int i = 0; i < 4; i++) near(m.breaks[i], turns[i], 1e-12, "start, rise, hold, gone");
  near(m.end, 1.22, 1e-12, "when the push is gone");
}
END_TEST

static struct df_window window_of(struct df_road *road, double keys0, double keys1, double start)
{
  struct df_tyre tyre = { .radius = 0.3, .contact = DF_CONTACT_DISC };
  struct df_profile profile;
  struct df_manoeuvre m;
  road->keys[0] = keys0;
  road->keys[1] = keys1;
  ck_assert_int_eq(df_profile_init(&profile, road, &tyre, NULL), DF_OK);
  ck_assert_int_eq(df_manoeuvre_init(&m, road, NULL, start, NULL), DF_OK);
  struct df_window window = df_window_of(road, &profile, &m, df_axle_start(&profile, 0.3, NAN));
  df_profile_finish(&profile);
  return window;
}

START_TEST(window_starts_at_touch_or_manoeuvre)
{
  double lead = sqrt(2*0.3*0.02 - 0.02*0.02); // m
  struct df_road road = road_of("edge", 10);
  struct df_window window = window_of(&road, 0.02, 0, 0);
  near(window.start, (1.3 - lead)/10, 1e-9, "axle from -(radius + 1 m) to the lead of the step");
  near(window.end - window.start, 2 + lead/10, 1e-9, "2 s and the time over the obstacle");
  road.window = 1.2;
  window = window_of(&road, 0.02, 0, 0);
  near(window.end - window.start, 1.2, 1e-12, "as given");

  road = road_of("flat", 30);
  road.has_brake = 1;
  road.brake = (struct df_brake){ 7, 0.25, 1.5, 0.1 };
  window = window_of(&road, NAN, 0, 0.1);
  near(window.start, 0.1, 1e-15, "start of the manoeuvre");
  near(window.end, 0.1 + 1.85 + 2, 1e-12, "2 s and the manoeuvre");

  road = road_of("edge", 2); // stops short of the edge
  road.has_brake = 1;
  road.brake = (struct df_brake){ 7, 0.25, 1.5, 0.1 };
  window = window_of(&road, 0.02, 0, 0.1);
  near(window.start, 0.1, 1e-15, "an obstacle that is never met leaves the manoeuvre");

  road = road_of("washboard", 12.5);
  road.keys[2] = 30;
  window = window_of(&road, 0.025, 0.6, 0);
  near(window.start, 11.3/12.5, 1e-9, "10 m after s = 0");
  near(window.end, 31.3/12.5, 1e-9, "end of the road");
}
END_TEST

START_TEST(axle_starts_where_the_obstacle_is_met_in_time)
{
  struct df_profile profile = { .first_touch = -0.1 };
  near(df_axle_start(&profile, 0.3, NAN), -1.3, 1e-15, "radius + 1 m");
  near(df_axle_start(&profile, 0.3, 7.5), -7.6, 1e-15, "run-up before the first touch");
  profile.first_touch = NAN;
  near(df_axle_start(&profile, 0.3, 7.5), -1.3, 1e-15, "nothing to meet");
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("brake");
  TCase *cases = tcase_create("brake");
  tcase_add_test(cases, brake_follows_ramp_hold_and_release);
  tcase_add_test(cases, speed_and_distance_are_integrals);
  tcase_add_test(cases, bike_stops_and_stays);
  tcase_add_test(cases, time_at_a_distance_turns_distance_round);
  tcase_add_test(cases, breaks_name_every_jump);
  tcase_add_test(cases, missing_times_are_the_usual_ones);
  tcase_add_test(cases, wrong_values_are_refused);
  tcase_add_test(cases, lean_loads_by_one_over_cosine);
  tcase_add_test(cases, push_grows_holds_and_goes);
  tcase_add_test(cases, window_starts_at_touch_or_manoeuvre);
  tcase_add_test(cases, axle_starts_where_the_obstacle_is_met_in_time);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
