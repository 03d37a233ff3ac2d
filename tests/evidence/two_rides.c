// The library's rides against the second writing of them: wheel height and logarithms of pressures
// as
// states, Radau IIA as integrator. Both get the library's table of the road.
#include "near.h"

#include <math.h>
#include <string.h>

#include "random_scenario.h"
#include "second_match.h"

// Agreement asked for: 1e-5 of a channel's largest size, of what was put in for an energy. At this
// tolerance of the library its worst channel over the example's fourteen rides is 5.5e-7 off.
static const double share = 1e-5, tolerance = 1e-8;

static struct df_road road_of(const char *kind, double first, double second, double kmh)
{
  struct df_road road = {.kind = df_road_kind_find(kind), .speed = kmh/3.6, .window = 1,
                         .repeat = 1, .gap = 1, .contact = -1};
  strcpy(road.name, kind);
  for (size_t i = 0; i < sizeof road.keys/sizeof *road.keys; i++) road.keys[i] = NAN;
  road.keys[0] = first, road.keys[1] = second;
  return road;
}

static void braked(struct df_road *road, double deceleration)
{
  road->has_brake = 1;
  road->brake = (struct df_brake){deceleration, 0.25, 0.6, 0.1};
}

static void agree(struct df_scenario *s, const struct df_road *road)
{
  struct df_ride_options options = {.kernel = "baseline", .tolerance = tolerance,
                                    .sample_step = 1e-3, .ledger = 1,
                                    .channels = (1ULL << DF_CHANNELS) - 1};
  struct second_shims shims = second_shims_of(&s->side[0]);
  struct df_faults faults = {0};
  struct df_ride ride;
  struct df_profile profile;
  struct second_case c;
  struct second_ride second;
  s->road_n = 1, s->road[0] = *road;
  ck_assert_int_eq(df_profile_init(&profile, road, &s->tyre, NULL), DF_OK);
  ck_assert_msg(df_ride_run(s, 0, &options, &ride, &faults) == DF_OK, "%s: %s; %s: %s", ride.blame,
                ride.reason, faults.at[0].key, faults.at[0].text);
  ck_assert(ride.trace.start == 0 && ride.trace.n > 500);
  second_case_of(&c, s, road, &profile, &ride, ride.trace.at[DF_C_DISTANCE][0]);
  c.shims = &shims;
  second_ride_init(&second, &c);
  ck_assert_int_eq(second.status, 0);
  near(ride.static_travel, second.rest, 1e-9, "root of the forces at rest");
  struct second_off off = second_match(&ride, &second);
  ck_assert_msg(off.share <= share && off.channels >= 20 && off.samples == ride.trace.n,
                "%s: %s off by %.3g of its size at %.4f s (%d channels, %d samples), want %.3g",
                road->name, off.what, off.share, off.at, off.channels, off.samples, share);
  near(ride.energy_residual, 0, 1e-5, "balance of the ledger, docs/theory.md, energy");
  second_ride_finish(&second);
  df_ride_finish(&ride);
  df_profile_finish(&profile);
}

enum { ROADS = 7 };

static struct df_road example(int number)
{
  struct df_road road;
  switch (number) {
  case 0: return road_of("edge", 0.025, NAN, 40);
  case 1: return road_of("haversine", 0.12, 4.8, 30);
  case 2: return road_of("half_sine", 0.04, 0.8, 40);
  case 3: return road_of("pothole", 0.05, 0.6, 50);
  case 4: road = road_of("flat", 30, NAN, 40); break;
  case 5: road = road_of("edge", 0.015, NAN, 40); break;
  default: road = road_of("haversine", 0.06, 2, 25);
  }
  braked(&road, 6);
  return road;
}

START_TEST(appendix)
{
  struct df_scenario s;
  struct df_road road = example(_i/2);
  appendix_a_scenario(&s, _i%2);
  agree(&s, &road);
}
END_TEST

static const unsigned kinds[] = {0, RANDOM_VALVE, RANDOM_COVERED, RANDOM_COVERED | RANDOM_VALVE,
                                 RANDOM_TWO_RATES, RANDOM_GAS, RANDOM_GAS | RANDOM_VALVE,
                                 RANDOM_UNLIKE | RANDOM_GAS | RANDOM_VALVE, RANDOM_LAWS,
                                 RANDOM_LAWS | RANDOM_VALVE, RANDOM_VALVE | RANDOM_SHIMS};
enum { KINDS = sizeof kinds/sizeof *kinds, DRAWS = 3 };

START_TEST(random_scenarios)
{
  gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(r, 300 + _i);
  for (int i = 0; i < near_draws(DRAWS); i++) {
    struct df_scenario s;
    struct df_road road = road_of("edge", 0.01 + 0.02*gsl_rng_uniform(r), NAN,
                                  20 + 40*gsl_rng_uniform(r));
    random_scenario(r, kinds[_i], &s);
    if (i%2) braked(&road, 2 + 4*gsl_rng_uniform(r));
    agree(&s, &road);
  }
  gsl_rng_free(r);
}
END_TEST

START_TEST(plate_with_mass)
{
  struct df_scenario s;
  struct df_road road = example(0);
  appendix_a_scenario(&s, 1);
  for (int i = 0; i < 2; i++) s.side[i].valve.plate_mass = 8e-3, s.side[i].valve.plate_damping = 30;
  agree(&s, &road);
}
END_TEST

START_TEST(linear_legs)
{
  struct df_scenario s;
  struct df_road road = example(_i);
  appendix_a_scenario(&s, 0);
  s.tyre.bilateral = DF_ON;
  for (int i = 0; i < 2; i++) {
    s.side[i].leg.has_linear = 1;
    s.side[i].leg.linear = (struct df_linear_leg){10e3, 700, NAN};
  }
  agree(&s, &road);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("two_rides");
  TCase *cases = tcase_create("two_rides");
  tcase_set_timeout(cases, 120);
  tcase_add_loop_test(cases, appendix, 0, 2*ROADS);
  tcase_add_loop_test(cases, random_scenarios, 0, KINDS);
  tcase_add_test(cases, plate_with_mass);
  tcase_add_loop_test(cases, linear_legs, 0, 2);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
