// The library's steady leg against the second writing of it: other unknowns, other solver, no
// shared code.
#include "near.h"

#include <math.h>

#include "dampfork/leg.h"
#include "random_scenario.h"
#include "second_match.h"

static const char source[] = "second formulation, nested search on ln(p - p_vapour)";

// Agreement asked for: 1e-9 of the value, or of what it is the difference of.
static const double share = 1e-9;

static void within(double allowed, const char *what, double got, double want, double size,
                   const struct second_steady *at, int number, int side)
{
  double off = fabs(got - want);
  ck_assert_msg(off <= allowed*fmax(fabs(want), size),
                "scenario %d side %d x %.17g v %.17g: %s got %.17g want %.17g off %.3g, "
                "%.3g of it: %s", number, side, at->x, at->v, what, got, want, off, off/fabs(want),
                    source);
}

static void same(const char *what, double got, double want, double size,
                 const struct second_steady *at, int number, int side)
{
  within(share, what, got, want, size, at, number, side);
}

// Sizes below which only absolute agreement counts: 1 N, 1 kPa, 10 um, the flow that the tube's
// wall displaces, and for a power that flow under the path's own pressure. Compression holes that
// the tube's end has passed lead from annulus to rod: they belong to the rebound holes.
static void agree(const struct df_steady *a, const struct second_steady *b, double swept,
                  int number, int side)
{
  same("damping", a->damping, b->damping, 1, b, number, side);
  same("spring", a->spring, b->spring, 1, b, number, side);
  same("air", a->air, b->air, 1, b, number, side);
  same("friction", a->friction, b->friction, 1, b, number, side);
  same("cone", a->cone, b->cone, 1, b, number, side);
  same("stop", a->stop, b->stop, 1, b, number, side);
  same("p_lower", a->p_lower, b->p_lower, 1e3, b, number, side);
  same("p_annulus", a->p_annulus, b->p_annulus, 1e3, b, number, side);
  same("p_rod", a->p_rod, b->p_rod, 1e3, b, number, side);
  same("p_column", a->p_column, b->p_column, 1e3, b, number, side);
  same("lift", a->lift, b->lift, 1e-5, b, number, side);
  for (int i = 0; i < DF_PATHS; i++) {
    int more = i == SECOND_REBOUND_HOLES; // 0, 1
    double flow = b->flow[i] + more*b->flow[SECOND_PASSED_HOLES],
        power = b->power[i] + more*b->power[SECOND_PASSED_HOLES];
    same(df_path_names[i], a->flow[i], flow, swept, b, number, side);
    double whole = swept*fmax(1e3, flow != 0 ? fabs(power/flow) : 0);
    within(2*share, df_path_names[i], a->power[i], power, whole, b, number, side); // two factors
  }
}

static void compare(const struct df_scenario *s, int side, const double *x, const double *v, int n,
                    int number)
{
  struct second_shims shims = second_shims_of(&s->side[side]);
  struct second_leg leg;
  struct df_faults faults = {0};
  struct df_leg_model *model = df_leg_create(s, side, &faults);
  ck_assert_msg(model != NULL, "scenario %d: %s: %s", number, faults.at[0].key, faults.at[0].text);
  second_leg_init(&leg, s, side, &shims, s->side[side].oil.temperature);
  for (int i = 0; i < n; i++) {
    struct second_steady want;
    struct df_steady got;
    if (second_steady_of(&leg, x[i], v[i], &want)) continue; // over 3000 bar
    ck_assert_msg(df_leg_steady(model, x[i], v[i], &got) == DF_OK,
                  "scenario %d side %d x %.17g v %.17g: no solution", number, side,
                  x[i], v[i]);
    agree(&got, &want, (leg.tube - leg.rod)*fabs(v[i]), number, side);
  }
  df_leg_destroy(model);
}

START_TEST(appendix)
{
  static const double v[] = {0.001, 0.05, 0.1, 0.2, 0.3, 1, 3, -0.001, -0.05, -0.1, -0.3, -1};
  static const double places[] = {-2e-3, 1e-3, 0.02, 0.065, 0.1, 0.12, 0.1295, 0.131};
  struct df_scenario s;
  appendix_a_scenario(&s, _i);
  for (int i = 0; i < 8; i++) {
    double x[12];
    for (int k = 0; k < 12; k++) x[k] = places[i];
    compare(&s, 0, x, v, 12, i);
  }
}
END_TEST

enum { DRAWS = 60, POINTS = 6 };

// Scenarios with some of the features, all points of a draw between -2 mm and the end, 1 cm/s to 2
// m/s either way.
static void draws(unsigned features, int count)
{
  gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(r, 20 + features);
  for (int i = 0; i < near_draws(count); i++) {
    struct df_scenario s;
    double x[POINTS], v[POINTS];
    random_scenario(r, features, &s);
    for (int k = 0; k < POINTS; k++) {
      x[k] = -2e-3 + (s.side[0].leg.travel + 2e-3)*gsl_rng_uniform(r);
      v[k] = 0.01*pow(200, gsl_rng_uniform(r))*(gsl_rng_uniform_int(r, 2) ? 1 : -1);
    }
    for (int side = 0; side < 1 + s.unlike; side++) compare(&s, side, x, v, POINTS, i);
  }
  gsl_rng_free(r);
}

START_TEST(plain_rods) { draws(0, DRAWS); } END_TEST
START_TEST(valves) { draws(RANDOM_VALVE, DRAWS); } END_TEST
START_TEST(covered_holes) { draws(RANDOM_COVERED, DRAWS),
  draws(RANDOM_COVERED | RANDOM_VALVE, DRAWS); } END_TEST
START_TEST(hole_laws) { draws(RANDOM_LAWS, DRAWS/2), draws(RANDOM_LAWS | RANDOM_VALVE, DRAWS/6);
  } END_TEST
START_TEST(shim_stacks) { draws(RANDOM_VALVE | RANDOM_SHIMS, DRAWS); } END_TEST
START_TEST(springs_and_air) { draws(RANDOM_TWO_RATES | RANDOM_GAS, DRAWS); } END_TEST
START_TEST(unlike_legs) { draws(RANDOM_UNLIKE | RANDOM_VALVE | RANDOM_GAS, DRAWS/2); } END_TEST
START_TEST(everything) { draws(127, DRAWS/10), draws(127 - RANDOM_VALVE - RANDOM_SHIMS, DRAWS/3);
  } END_TEST

int main(void)
{
  Suite *suite = suite_create("two_legs");
  TCase *cases = tcase_create("two_legs");
  tcase_set_timeout(cases, 120);
  tcase_add_loop_test(cases, appendix, 0, 2);
  tcase_add_test(cases, plain_rods);
  tcase_add_test(cases, valves);
  tcase_add_test(cases, covered_holes);
  tcase_add_test(cases, hole_laws);
  tcase_add_test(cases, shim_stacks);
  tcase_add_test(cases, springs_and_air);
  tcase_add_test(cases, unlike_legs);
  tcase_add_test(cases, everything);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
