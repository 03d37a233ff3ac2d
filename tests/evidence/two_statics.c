// The library's static results against the second writing of them.
#include "near.h"

#include <math.h>

#include "dampfork/leg.h"
#include "random_scenario.h"
#include "second_leg.h"

static const char source[] = "second formulation, root of the forces at rest";
static const double gravity = 9.80665; // m/s2, standard
// agreement asked for; searches of both sides end below 1e-12
static const double share = 1e-9;

// The whole front, its legs, and the load along the fork that is looked for.
struct front { struct df_scenario scenario; struct second_leg leg[2]; double load, band; };

static void front_of(struct front *front, const struct df_scenario *s, int isothermal)
{
  front->scenario = *s;
  front->band = 0;
  for (int i = 0; i < 2; i++) {
    struct df_air *air = &front->scenario.side[i].air;
    if (isothermal) air->exponent = 1, air->thermal_time = NAN;
    int side = s->unlike ? i : 0;
    second_leg_init(&front->leg[i], &front->scenario, side, NULL, s->side[side].oil.temperature);
  }
}

// Friction of all legs at rest at x, with the bushes pressed by the sprung weight's share across
// the fork.
static double friction(const struct front *front, double x)
{
  const struct df_scenario *s = &front->scenario;
  double legs = s->bike.legs, sum = 0;
  double across = second_sprung_mass(s)*gravity*sin(s->bike.rake)/legs;
  double between = s->seals.bush_spacing + x, over = s->seals.bush_height - between;
  double upper = across*over/between, lower = -across - upper;
  for (int i = 0; i < 2; i++) {
    double p = second_rest_pressure(&front->leg[i], x);
    sum += legs/2*second_friction_level(&front->leg[i], p, upper, lower);
  }
  return sum;
}

static double excess(void *context, double x)
{
  const struct front *f = context;
  double legs = f->scenario.bike.legs/2;
  double force = legs*(second_rest_force(&f->leg[0], x) + second_rest_force(&f->leg[1], x));
  return (f->band != 0 ? force + f->band*friction(f, x) : force) - f->load;
}

static double rest(struct front *front, double load, double band)
{
  front->load = load*cos(front->scenario.bike.rake), front->band = band;
  return second_root(excess, front, 0.03, 0.01, -4e-3, front->scenario.side[0].leg.travel);
}

static void masses(const struct df_statics *t, const struct df_scenario *s)
{
  near_share(t->sprung_mass, second_sprung_mass(s), share, source);
  near_share(t->unsprung_mass, s->bike.front_unsprung_mass, share, source);
  near_share(t->total_mass, second_total_mass(s), share, source);
  double front = second_sprung_mass(s) + s->bike.front_unsprung_mass;
  near_share(t->front_share, front/second_total_mass(s), share, source);
  near_share(t->front_load_rider, front*gravity, share, source);
}

// Travels agree to 1e-9 of a millimetre-sized travel at least.
#define travels(got, want) near(got, want, share*fmax(1e-3, fabs(want)), source)

static void places(const struct df_statics *t, const struct df_scenario *s)
{
  struct front slow, ride;
  double unsprung = s->bike.front_unsprung_mass;
  double bike = s->bike.wet_mass*s->bike.front_share - unsprung;
  double rider = s->rider.mass*s->rider.front_share;
  front_of(&slow, s, 1);
  front_of(&ride, s, 0);
  travels(t->x_ride, second_rest_travel(s, ride.leg));
  travels(t->x_alone, rest(&slow, bike*gravity, 0));
  travels(t->x_rider, rest(&slow, (bike + rider)*gravity, 0));
  travels(t->x_loaded, rest(&slow, second_sprung_mass(s)*gravity, 0));
  travels(t->free_travel, rest(&slow, -unsprung*gravity, 0));
}

static void column(const struct df_statics *t, const struct second_leg *leg)
{
  double travel = leg->side->leg.travel, p = second_rest_pressure(leg, travel),
      all[4] = {p, p, p, p};
  struct second_forces f;
  second_forces_at(leg, travel, 0, all, &f);
  near_share(t->end_force, f.spring + f.air, share, source);
  near_share(t->pressure_end, p, share, source);
  double sealed = leg->side->air.sealed_travel;
  near_share(t->gas_end, leg->gas0 - leg->tube*(travel - sealed), share, source);
  if (sealed == 0) near_share(t->gas_start, leg->gas0, share, source);
  near_share(t->cap_force, leg->side->spring.rate*leg->side->spring.preload, share, source);
  near_share(t->viscosity, leg->oil.mu/leg->oil.rho, share, source);
  near_share(t->density, leg->oil.rho, share, source);
}

static void damper(const struct df_statics *t, const struct df_scenario *s)
{
  static const double v[] = {0.05, 0.1, 0.3, 1, 3};
  struct front front;
  front_of(&front, s, 0);
  for (int i = 0; i < 5; i++) {
    double up = second_damping_ratio(s, front.leg, v[i]),
        down = second_damping_ratio(s, front.leg, -v[i]);
    if (!isnan(up)) near_share(t->damping_ratio_compression[i], up, share, source);
    if (!isnan(down)) near_share(t->damping_ratio_rebound[i], down, share, source);
  }
  if (!s->side[0].has_valve) return;
  near_share(t->cracking_pressure, second_valve_crack(&front.leg[0].valve), share, source);
  double crack = second_cracking_speed(&front.leg[0], s->side[0].leg.travel/2);
  if (isnan(crack)) ck_assert(isnan(t->cracking_speed));
  else near_share(t->cracking_speed, crack, 1e-8, source); // ends both searches at 1e-9 of pressure
}

static void compare(const struct df_scenario *s)
{
  struct df_statics t;
  struct df_faults faults = {0};
  struct second_leg leg;
  ck_assert_msg(df_statics_of(s, &t, &faults) == DF_OK, "%s: %s", faults.at[0].key,
                faults.at[0].text);
  second_leg_init(&leg, s, 0, NULL, s->side[0].oil.temperature);
  masses(&t, s);
  places(&t, s);
  column(&t, &leg);
  damper(&t, s);
}

START_TEST(appendix)
{
  struct df_scenario s;
  appendix_a_scenario(&s, _i);
  compare(&s);
}
END_TEST

// From above and from below, friction full against each: the band of the sag with a rider.
START_TEST(band)
{
  struct df_scenario s;
  struct df_statics t;
  struct front slow;
  appendix_a_scenario(&s, _i);
  ck_assert_int_eq(df_statics_of(&s, &t, NULL), DF_OK);
  front_of(&slow, &s, 1);
  double load = second_sprung_mass(&s)*gravity;
  near(t.sag_band, rest(&slow, load, -1) - rest(&slow, load, 1), 1e-9, source);
}
END_TEST

START_TEST(random_scenarios)
{
  static const unsigned features[] = {0, RANDOM_VALVE, RANDOM_GAS | RANDOM_VALVE, RANDOM_TWO_RATES,
                                      RANDOM_UNLIKE | RANDOM_GAS, RANDOM_COVERED | RANDOM_VALVE};
  gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(r, 90 + _i);
  for (int i = 0; i < near_draws(12); i++) {
    struct df_scenario s;
    random_scenario(r, features[_i], &s);
    compare(&s);
  }
  gsl_rng_free(r);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("two_statics");
  TCase *cases = tcase_create("two_statics");
  tcase_set_timeout(cases, 60);
  tcase_add_loop_test(cases, appendix, 0, 2);
  tcase_add_loop_test(cases, band, 0, 2);
  tcase_add_loop_test(cases, random_scenarios, 0, 6);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
