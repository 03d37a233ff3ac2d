// Attribution: on the linear leg it is the closed form, nothing for what does nothing, equal for
// equals.
#include "reading.h"

#include "dampfork/compare.h"

#define SHAPLEY "Shapley 1953: the average over all orders of what a change brings"
#define BASE                                                                                       \
  "bike: {rake: 0 degree}\ntyre: {stiffness: 150 N/mm, contact: point, slope_force: off, "         \
  "bilateral: on}\n" ROD OIL                                                                       \
  "roads: {bump: {kind: haversine, height: 20 mm, length: 2 m, speed: 40 km/h}}\n"
#define LINEAR(rate, damping)                                                                      \
  "leg: {tube_outside: 41 mm, travel: 130 mm, linear: {rate: " rate " N/mm, damping: " damping     \
  " N.s/m}}\n"

static struct df_scenario first;
static struct df_explained found;

static void explain(const char *a, const char *b, int road, const char *measure)
{
  good(a);
  memcpy(&first, got, sizeof first);
  good(b);
  struct df_wanted wanted = {road, df_measure_find(measure)};
  ck_assert_int_eq(df_explain(&first, got, wanted, NULL, 1, &found), DF_OK);
}

static double share_of(const char *key)
{
  for (int i = 0; i < found.n; i++)
    if (!strcmp(found.change[i].key, key)) return found.share[i];
  ck_abort_msg("no change called %s", key);
  return NAN;
}

// Damping ratio c/(2 sqrt(k m)) of two changes at once: each brings half of what it does alone and
// half of what it does last.
START_TEST(linear_leg_is_the_closed_form)
{
  explain(BASE LINEAR("8", "500"), BASE LINEAR("10", "800"), -1, "damping_ratio_compression_300");
  struct df_statics statics;
  ck_assert_int_eq(df_statics_of(got, &statics, NULL), DF_OK);
  double m = statics.sprung_mass, k0 = 2 * 8e3, k1 = 2 * 10e3, c0 = 2 * 500, c1 = 2 * 800;
  double f00 = c0 / (2 * sqrt(k0 * m)), f10 = c1 / (2 * sqrt(k0 * m)),
         f01 = c0 / (2 * sqrt(k1 * m)), f11 = c1 / (2 * sqrt(k1 * m));
  ck_assert_int_eq(found.n, 2);
  near_share(found.from, f00, 1e-12, "damping over critical damping");
  near_share(found.to, f11, 1e-12, "damping over critical damping");
  near(share_of("leg.linear.damping"), 0.5 * (f10 - f00 + f11 - f01), 1e-13, SHAPLEY);
  near(share_of("leg.linear.rate"), 0.5 * (f01 - f00 + f11 - f10), 1e-13, SHAPLEY);
}
END_TEST

START_TEST(nothing_for_what_does_nothing)
{
  explain(BASE LINEAR("8", "500") "seals: {sliding: 25 N}\n",
          BASE LINEAR("8", "800") "seals: {sliding: 40 N}\n", 0, "travel_peak");
  ck_assert_int_eq(found.n, 2);
  ck_assert(share_of("seals.sliding") == 0);
  ck_assert(fabs(share_of("leg.linear.damping")) > 1e-4);
  near(share_of("leg.linear.damping"), found.to - found.from, 1e-15, SHAPLEY);
}
END_TEST

START_TEST(equal_for_equals)
{
  explain(BASE LINEAR("8", "500") "right: {leg: {linear: {rate: 8 N/mm, damping: 501 N.s/m}}}\n",
          BASE LINEAR("8", "700") "right: {leg: {linear: {rate: 8 N/mm, damping: 701 N.s/m}}}\n", 0,
          "travel_peak");
  ck_assert_int_eq(found.n, 2);
  double left = share_of("leg.linear.damping"), right = share_of("right.leg.linear.damping");
  ck_assert(fabs(left) > 1e-5);
  near_share(left, right, 1e-6,
             "the force of both legs counts, whichever makes it; step sizes follow round-off");
}
END_TEST

START_TEST(forks_that_are_alike_have_no_changes)
{
  explain(BASE LINEAR("8", "500"), BASE LINEAR("8", "500"), 0, "travel_peak");
  ck_assert_int_eq(found.n, 0);
  ck_assert(found.from == found.to && found.from > 0);
}
END_TEST

// A real fork: the valve comes as one change, the rod's holes as another, and they add up.
START_TEST(a_valve_is_one_change)
{
  explain(BASE LEG, BASE LEG "valve: {}\nspring: {rate: 9.5 N/mm}\n", 0, "shock_transmitted");
  ck_assert_int_eq(found.n, 2);
  near(share_of("valve") + share_of("spring.rate"), found.to - found.from, 1e-12, SHAPLEY);
  for (int i = 0; i < found.n; i++)
    if (!strcmp(found.change[i].key, "valve")) ck_assert_str_eq(found.change[i].to_text, "fitted");
}
END_TEST

#define NINE(f)                                                                                    \
  "seals: {sliding: " f "5 N, viscous: " f " N.s/m, breakaway_ratio: 1." f                         \
  ", bush_friction: 0.0" f "}\n"                                                                   \
  "stops: {rate: " f "000 N/mm, damping: 0." f " s/m}\ncone: {length: 1" f " mm, gap_start: 0." f  \
  " mm}\n"                                                                                         \
  "top_out: {length: " f " mm, rate: 2" f " N/mm}\n"

START_TEST(many_changes_are_gathered_by_section)
{
  explain(BASE LEG NINE("4"), BASE LEG NINE("5"), 0, "travel_peak");
  ck_assert_int_eq(found.grouped, 1);
  ck_assert_int_eq(found.n, 4);
  double sum = 0;
  for (int i = 0; i < found.n; i++) sum += found.share[i];
  near(sum, found.to - found.from, 1e-12, SHAPLEY);
  ck_assert_int_eq(found.change[0].values + found.change[1].values + found.change[2].values +
                       found.change[3].values,
                   10);
}
END_TEST

// Shapley's axioms on numbers of no fork: a game of three where the first two are alike and the
// third is idle.
START_TEST(axioms)
{
  double value[8], share[3];
  for (int mask = 0; mask < 8; mask++) value[mask] = (mask & 3) == 3 ? 10 : (mask & 3) ? 3 : 1;
  df_shapley(value, 3, share);
  near(share[0], 4.5, 1e-15, SHAPLEY);
  near(share[1], 4.5, 1e-15, SHAPLEY);
  near(share[2], 0, 1e-15, SHAPLEY);
}
END_TEST

int main(void)
{
  const TTest *const tests[] = {linear_leg_is_the_closed_form,
                                nothing_for_what_does_nothing,
                                equal_for_equals,
                                forks_that_are_alike_have_no_changes,
                                a_valve_is_one_change,
                                many_changes_are_gathered_by_section,
                                axioms};
  Suite *suite = suite_create("explain");
  TCase *cases = tcase_create("explain");
  tcase_add_checked_fixture(cases, setup, teardown);
  tcase_set_timeout(cases, 60);
  for (unsigned i = 0; i < sizeof tests / sizeof *tests; i++) tcase_add_test(cases, tests[i]);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
