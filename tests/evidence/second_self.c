// The second writing held against itself and against textbooks, before anything is held against it.
#include "near.h"

#include <math.h>

#include "exact.h"
#include "random_scenario.h"
#include "second_ride.h"

// Rides over an edge under braking: the ledger closes, and a hundredfold tolerance changes nothing
// that matters.
static void ladder(unsigned features)
{
  gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(r, 7);
  for (int i = 0; i < 2; i++) {
    struct df_scenario s;
    random_scenario(r, features, &s);
    struct second_edge edge = {0.01 + 0.03*gsl_rng_uniform(r), 1, s.tyre.radius};
    struct second_case c = {.scenario = &s, .height = second_edge_height, .road = &edge,
                            .speed = 5 + 15*gsl_rng_uniform(r), .end = 0.8,
                            .every = 1e-3, .tolerance = 1e-8, .brake = {0.1, 5, 0.2, 0.4, 0.1}};
    struct second_ride coarse, fine;
    second_ride_init(&coarse, &c);
    c.tolerance = 1e-10;
    second_ride_init(&fine, &c);
    ck_assert_int_eq(coarse.status, 0);
    ck_assert_int_eq(fine.status, 0);
    near(fine.residual, 0, 1e-6, "balance of the ledger, docs/theory.md, energy");
    for (int k = 0; k < fine.n; k++) {
      near(coarse.at[k].travel, fine.at[k].travel, 1e-7,
           "the same ride at a hundredth of the tolerance");
      ck_assert(fine.at[k].p[0][SECOND_LOWER] > s.side[0].oil.vapour_pressure);
      ck_assert(fine.at[k].p[0][SECOND_ANNULUS] > s.side[0].oil.vapour_pressure);
    }
    second_ride_finish(&coarse), second_ride_finish(&fine);
  }
  gsl_rng_free(r);
}

static const unsigned kinds[] = {0, RANDOM_VALVE, RANDOM_COVERED, RANDOM_COVERED | RANDOM_VALVE,
                                 RANDOM_TWO_RATES, RANDOM_GAS,
                                 RANDOM_GAS | RANDOM_VALVE,
                                     RANDOM_UNLIKE | RANDOM_GAS | RANDOM_VALVE, RANDOM_LAWS};
enum { KINDS = sizeof kinds/sizeof *kinds };

START_TEST(random_rides) { ladder(kinds[_i]); } END_TEST

struct steady_pull { double start, speed; };

static void pull(const void *drive, double t, double *x, double *v)
{
  const struct steady_pull *p = drive;
  *x = p->start + p->speed*t, *v = p->speed;
}

// Hard oil without air, constant speed over 20 mm: the flow of the column's rising pressure is all
// that is left between the two.
START_TEST(steady_is_the_limit_of_full)
{
  static const double v[] = {0.05, 0.1, 0.3, 1, 3, -0.05, -0.1, -0.3};
  struct df_scenario s;
  appendix_a_scenario(&s, _i);
  for (int i = 0; i < 2; i++) s.side[i].oil.bulk_modulus = 10e9, s.side[i].oil.wall_modulus = 1e15,
      s.side[i].oil.air_fraction = 1e-9;
  for (int i = 0; i < 8; i++) {
    struct steady_pull p = {0.065 - copysign(0.02, v[i]), v[i]};
    double end = 0.02/fabs(v[i]);
    struct second_case c = {.scenario = &s, .end = end, .every = end/100, .tolerance = 1e-9,
                            .motion = pull, .drive = &p};
    struct second_ride full;
    struct second_steady steady;
    second_ride_init(&full, &c);
    ck_assert_int_eq(second_steady(&s, 0, 0.065, v[i], &steady), 0);
    near_share(full.at[full.n - 1].damping[0], steady.damping, _i ? 2.1e-4 : 3.1e-5,
               "docs/theory.md, steady curves");
    second_ride_finish(&full);
  }
}
END_TEST

struct sine_road { double amplitude, wave; }; // m

static double sine_height(const void *road, double s, double *slope)
{
  const struct sine_road *r = road;
  double k = 2*M_PI/r->wave;
  *slope = r->amplitude*k*cos(k*s);
  return r->amplitude*sin(k*s);
}

static void linear_front(struct df_scenario *s, double rake, double damping)
{
  appendix_a_scenario(s, 0);
  s->bike.rake = rake;
  s->tyre.damping = 0, s->tyre.bilateral = DF_ON, s->tyre.slope_force = DF_OFF;
  for (int i = 0; i < 2; i++) {
    s->side[i].leg.has_linear = 1;
    s->side[i].leg.linear = (struct df_linear_leg){10e3, damping/2, NAN};
  }
}

// Amplitude of a sample's field at w over the last whole cycles.
static double amplitude(const struct second_ride *ride, size_t field, double w, int cycles)
{
  double dt = ride->at[1].t, re = 0, im = 0;
  int n = (int)(cycles*2*M_PI/w/dt + 0.5);
  for (int i = ride->n - n; i < ride->n; i++) {
    double y = *(const double *)((const char *)&ride->at[i] + field);
    re += y*cos(w*ride->at[i].t), im += y*sin(w*ride->at[i].t);
  }
  return 2*hypot(re, im)/n;
}

static void shake(const struct df_scenario *s, double w, struct second_ride *ride)
{
  static struct sine_road road;
  road = (struct sine_road){1e-3, 2*M_PI*10/w};
  double cycle = 2*M_PI/w;
  struct second_case c = {.scenario = s, .height = sine_height, .road = &road, .speed = 10,
                          .end = cycle*40, .every = cycle/200,
                          .tolerance = 1e-9};
  second_ride_init(ride, &c);
  ck_assert_int_eq(ride->status, 0);
}

START_TEST(linear_front_upright)
{
  struct df_scenario s;
  linear_front(&s, 0, 3000);
  struct exact_vehicle v = {second_sprung_mass(&s), 17, 20e3, 3000, 150e3};
  for (int i = 0; i < 5; i++) {
    double w = 8*pow(2, i);
    struct exact_gains gains = exact_vehicle_gains(&v, w);
    struct second_ride ride;
    shake(&s, w, &ride);
    near_share(amplitude(&ride, offsetof(struct second_sample, acceleration), w, 5),
               gains.acceleration*1e-3*w, 1e-5,
               "linear quarter vehicle");
    near_share(amplitude(&ride, offsetof(struct second_sample, travel), w, 5), gains.travel*1e-3*w,
               1e-5, "linear quarter vehicle");
    second_ride_finish(&ride);
  }
}
END_TEST

// |Z_s/Z_r| = m_u/m_s at the axle's frequency for every rake and damping.
START_TEST(axle_point_at_any_rake)
{
  static const double rakes[] = {0, 0.3, 26*M_PI/180};
  for (int i = 0; i < 3; i++) {
    struct df_scenario s;
    linear_front(&s, rakes[i], 1500*(1 + i));
    double ms = second_sprung_mass(&s), w = exact_axle_point(ms, 17, 150e3).w;
    struct second_ride ride;
    shake(&s, w, &ride);
    near_share(amplitude(&ride, offsetof(struct second_sample, acceleration), w, 5)/(w*w*1e-3),
               17/ms, 1e-5, "Hedrick and Butsuen 1990");
    second_ride_finish(&ride);
  }
}
END_TEST

// A plate with mass settles on the static law at constant speed.
START_TEST(plate_settles)
{
  struct df_scenario s;
  double speed[] = {0.3, 1, 2};
  appendix_a_scenario(&s, 1);
  for (int i = 0; i < 3; i++) {
    struct steady_pull p = {0.045, speed[i]};
    double end = 0.03/speed[i], lift[2];
    for (int heavy = 0; heavy < 2; heavy++) {
      for (int k = 0; k < 2; k++) s.side[k].valve.plate_mass = heavy*8e-3,
          s.side[k].valve.plate_damping = 50;
      struct second_case c = {.scenario = &s, .end = end, .every = end/100, .tolerance = 1e-9,
                              .motion = pull, .drive = &p};
      struct second_ride ride;
      second_ride_init(&ride, &c);
      ck_assert_int_eq(ride.status, 0);
      lift[heavy] = ride.at[ride.n - 1].lift[0];
      second_ride_finish(&ride);
    }
    near_share(lift[1], lift[0], 2e-3, "static law of the plate, docs/theory.md, valve");
  }
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("second_self");
  TCase *cases = tcase_create("second_self");
  tcase_set_timeout(cases, 60);
  tcase_add_loop_test(cases, random_rides, 0, KINDS);
  tcase_add_loop_test(cases, steady_is_the_limit_of_full, 0, 2);
  tcase_add_test(cases, linear_front_upright);
  tcase_add_test(cases, axle_point_at_any_rake);
  tcase_add_test(cases, plate_settles);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
