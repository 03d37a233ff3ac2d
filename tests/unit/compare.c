// Errors, verdicts and sentences of a comparison: each rule is made to appear and to disappear.
#include "reading.h"

#include "dampfork/compare.h"

#define CHOSEN "chosen here"
#define PLAIN                                                                                      \
  LEG "rod: {compression_holes: [{count: 2, diameter: 3.5 mm}], rebound_holes: [{count: 2, "       \
      "diameter: 2.2 mm}]}\n" OIL
#define GENEROUS                                                                                   \
  LEG "rod: {compression_holes: [{count: 4, diameter: 8 mm}], rebound_holes: [{count: 2, "         \
      "diameter: 2.2 mm}]}\n" OIL
#define OPENED                                                                                     \
  LEG "rod: {compression_holes: [{count: 6, diameter: 6.35 mm}], rebound_holes: [{count: 2, "      \
      "diameter: 2.2 mm}]}\n" OIL
#define VALVED OPENED "valve: {}\n"
#define ROADS                                                                                      \
  "roads: {edge-15: {}, stop: {kind: flat, speed: 60 km/h, brake: {deceleration: 6 m/s2}}}\n"

static struct df_scenario scenario[2];
static struct df_statics statics[2];
static struct df_leg_model *leg[2];
static struct df_compared compared;
static struct df_estimate small_edge, overshoot, rest;

static void take(int fork, const char *text)
{
  good(text);
  scenario[fork] = *got;
  df_leg_destroy(leg[fork]);
  leg[fork] = df_leg_create(&scenario[fork], 0, NULL);
  ck_assert_ptr_nonnull(leg[fork]);
  ck_assert_int_eq(df_statics_of(&scenario[fork], &statics[fork], NULL), DF_OK);
}

static void forks(const char *a, const char *b)
{
  take(0, a), take(1, b);
  compared = (struct df_compared){
      .leg = {leg[0], leg[1]}, .scenario = {&scenario[0], &scenario[1]}, .statics = statics};
}

static int said(const char *id)
{
  char text[400] = "";
  for (int i = 0; i < df_sentence_count; i++) {
    if (strcmp(df_sentences[i].id, id)) continue;
    int holds = df_sentence_say(&df_sentences[i], &compared, text, sizeof text);
    if (holds)
      ck_assert_msg(strlen(text) > 40 && strlen(text) < 390 && !strstr(text, "nan"), "%s: %s", id,
                    text);
    return holds;
  }
  ck_abort_msg("no rule %s", id);
  return -1;
}

static int doubt_called(const char *path)
{
  for (int i = 0; i < df_doubt_count; i++)
    if (!strcmp(df_doubts[i].path, path)) return i;
  return -2;
}

START_TEST(rules_are_complete)
{
  for (int i = 0; i < df_sentence_count; i++) {
    ck_assert(strlen(df_sentences[i].reason) > 10);
    for (int j = 0; j < i; j++) ck_assert_str_ne(df_sentences[i].id, df_sentences[j].id);
  }
  for (int i = 0; i < df_doubt_count; i++)
    ck_assert(df_doubts[i].low < df_doubts[i].high && strlen(df_doubts[i].reason) > 10);
}
END_TEST

START_TEST(rules_of_the_leg)
{
  forks(PLAIN, VALVED);
  ck_assert_int_eq(said("floats"), 1);
  ck_assert_int_eq(said("chokes"), 1);
  ck_assert_int_eq(said("rebound"), 1);
  ck_assert_int_eq(said("slope"), 1);
  ck_assert_int_eq(said("check_governs"), 1);
  ck_assert_int_eq(said("takes_over"), 1);
  forks(VALVED, VALVED);
  ck_assert_int_eq(said("floats"), 0);
  ck_assert_int_eq(said("chokes"), 0);
  ck_assert_int_eq(said("rebound"), 0);
  ck_assert_int_eq(said("slope"), 0);
  forks(GENEROUS, VALVED);
  ck_assert_int_eq(said("chokes"), 0);
}
END_TEST

START_TEST(check_passage_governs_until_it_is_wide)
{
  forks(PLAIN, "leg: {tube_outside: 41 mm, travel: 130 mm, check_valve: {area: 400 mm2}}\n"
               "rod: {compression_holes: [{count: 6, diameter: 6.35 mm}], rebound_holes: [{count: "
               "2, diameter: 2.2 mm}]}\n" OIL "valve: {}\n");
  ck_assert_int_eq(said("check_governs"), 0);
  double sum = 0;
  for (int i = 0; i < DF_PATHS; i++)
    sum += df_path_share(leg[1], scenario[1].side[0].leg.travel, 1, i);
  near(sum, 1, 1e-12, "shares of a whole");
}
END_TEST

START_TEST(governing_path_changes_where_shares_are_equal)
{
  int from, to;
  forks(PLAIN, VALVED);
  double travel = scenario[1].side[0].leg.travel,
         v = df_path_change(leg[1], travel, 0.02, 3, &from, &to);
  ck_assert(v > 0.02 && v < 3 && from != to);
  near(df_path_share(leg[1], travel, v, from), df_path_share(leg[1], travel, v, to), 1e-6,
       "both make as much there");
  ck_assert(isnan(df_path_change(leg[1], travel, v * 1.001, v * 1.01, &from, &to)));
  ck_assert_int_eq(from, to);
}
END_TEST

START_TEST(friction_governs_when_bushes_drag)
{
  forks(PLAIN, VALVED "seals: {sliding: 60 N}\n");
  ck_assert_int_eq(said("friction_governs"), 1);
  forks(PLAIN, VALVED
        "seals: {sliding: 0 N, viscous: 0 N.s/m, bush_friction: 0, pressure_factor: 0 N/bar}\n");
  ck_assert_int_eq(said("friction_governs"), 0);
}
END_TEST

static const char *words_of(const char *id)
{
  static char text[400];
  for (int i = 0; i < df_sentence_count; i++)
    if (!strcmp(df_sentences[i].id, id))
      return df_sentence_say(&df_sentences[i], &compared, text, sizeof text) ? text : "";
  return "";
}

START_TEST(why_rebound_weakens)
{
  forks(PLAIN, VALVED);
  ck_assert_ptr_nonnull(strstr(words_of("rebound"), "suction"));
  forks(PLAIN, LEG "rod: {compression_holes: [{count: 2, diameter: 3.5 mm}], rebound_holes: [{count: 2, "
                   "diameter: 3 mm}]}\n" OIL);
  ck_assert_ptr_nonnull(strstr(words_of("rebound"), "let more through"));
  forks(PLAIN, PLAIN);
  ck_assert_int_eq(said("rebound"), 0);
}
END_TEST

START_TEST(what_is_not_the_fork_is_said)
{
  forks(PLAIN, VALVED);
  ck_assert_int_eq(said("bikes"), 0);
  ck_assert_int_eq(said("tyre"), 0);
  forks(PLAIN, VALVED "bike: {front_unsprung_mass: 21 kg}\n");
  ck_assert_int_eq(said("bikes"), 1);
  struct df_estimate large = {.value = {15, 14}, .difference = -1},
                     small = {.value = {5, 5.5}, .difference = 0.5};
  compared.large_edge = &large, compared.small_edge = &small;
  ck_assert_int_eq(said("tyre"), 0);
  compared.tyre[DF_HARD_LARGE] = 0.5;
  ck_assert_int_eq(said("tyre"), 1);
  compared.tyre[DF_HARD_LARGE] = 0.2;                  // below 2 % of 15
  ck_assert_int_eq(said("tyre"), 0);
  compared.tyre[DF_HARD_SMALL] = -0.2;
  ck_assert_int_eq(said("tyre"), 1);
}
END_TEST

START_TEST(rules_of_rides)
{
  forks(PLAIN, VALVED);
  ck_assert_int_eq(said("rest"), 0); // not ridden
  rest = (struct df_estimate){.value = {0.094, 0.0945}, .difference = 0.0005};
  compared.rest = &rest;
  ck_assert_int_eq(said("rest"), 1);
  rest.difference = 0.005;
  ck_assert_int_eq(said("rest"), 0);
  overshoot = (struct df_estimate){
      .difference = -0.003, .error = 0.001, .worst = doubt_called("seals.bush_friction")};
  compared.overshoot = &overshoot;
  ck_assert_int_eq(said("friction"), 1);
  overshoot.worst = -1;
  ck_assert_int_eq(said("friction"), 0);
  compared.bottoming[1] = 0.8;
  ck_assert_int_eq(said("bottoms"), 1);
  compared.bottoming[1] = 0;
  ck_assert_int_eq(said("bottoms"), 0);
  compared.void_peak[0] = 2e-6;
  ck_assert_int_eq(said("voids"), 1);
  compared.void_peak[0] = 0.2e-6;
  ck_assert_int_eq(said("voids"), 0);
}
END_TEST

START_TEST(rules_of_edges)
{
  forks(PLAIN, VALVED);
  small_edge = (struct df_estimate){.value = {5, 5.5}, .difference = 0.5};
  compared.small_edge = &small_edge;
  ck_assert_int_eq(said("small_edges"), 0); // no part explains it
  compared.part[1][DF_HARD_SMALL][3] = 80;
  ck_assert_int_eq(said("small_edges"), 1);
  ck_assert_int_eq(df_hard_part(&compared, DF_HARD_SMALL), 3);
  small_edge.difference = 0.05;
  ck_assert_int_eq(said("small_edges"), 0);
  small_edge.difference = -0.5; // what grew does not explain why less came through
  ck_assert_int_eq(df_hard_part(&compared, DF_HARD_SMALL), -1);
  compared.energy[0][DF_PATH_COMPRESSION_HOLES] = 5,
  compared.energy[1][DF_PATH_COMPRESSION_HOLES] = 5;
  ck_assert_int_eq(said("energy"), 0);
  compared.energy[1][DF_PATH_CHECK] = 6;
  ck_assert_int_eq(said("energy"), 1);
}
END_TEST

START_TEST(verdicts)
{
  int less = df_measure_find("shock_transmitted"), more = df_measure_find("travel_reserve"),
      neither = df_measure_find("travel_peak");
  struct df_estimate e = {.difference = 0.5, .error = 0.4};
  ck_assert_int_eq(df_verdict_of(less, &e), DF_WORSE);
  ck_assert_int_eq(df_verdict_of(more, &e), DF_BETTER);
  ck_assert_int_eq(df_verdict_of(neither, &e), DF_SAME_WITHIN_ERROR);
  e.error = 0.6;
  ck_assert_int_eq(df_verdict_of(less, &e), DF_SAME_WITHIN_ERROR);
  e.difference = NAN;
  ck_assert_int_eq(df_verdict_of(less, &e), DF_SAME_WITHIN_ERROR);
}
END_TEST

// A fork against itself differs by nothing, whatever is in doubt; against another the error is not
// nothing.
START_TEST(same_fork_same_figures)
{
  struct df_wanted wanted[2] = {{0, df_measure_find("shock_transmitted")},
                                {1, df_measure_find("dive_overshoot")}};
  struct df_estimate estimate[2];
  good(PLAIN ROADS);
  struct df_reading *a = df_reading_copy(reading);
  ck_assert_int_eq(df_estimates(a, a, wanted, 2, NULL, 1, estimate, NULL), DF_OK);
  for (int i = 0; i < 2; i++)
    ck_assert(estimate[i].difference == 0 && estimate[i].error == 0 && estimate[i].value[0] > 0);
  good(VALVED);
  ck_assert_int_eq(df_estimates(a, reading, wanted, 2, NULL, 1, estimate, NULL), DF_OK);
  for (int i = 0; i < 2; i++) {
    ck_assert(estimate[i].model > 0 && estimate[i].numerical >= 0);
    near(estimate[i].error, hypot(estimate[i].model, estimate[i].numerical), 1e-15, CHOSEN);
  }
  ck_assert_int_eq(df_estimates(a, NULL, wanted, 2, NULL, 1, estimate, NULL), DF_OK);
  ck_assert(estimate[1].model > 0 && estimate[1].difference == 0);
  df_reading_destroy(a);
}
END_TEST

// What was given exactly is no longer in doubt: how the lever is taken counts only where the road
// leaves it open.
START_TEST(lever_counts_where_the_road_leaves_it_open)
{
  struct df_wanted wanted = {0, df_measure_find("dive_overshoot")};
  struct df_estimate open, fixed;
  good(PLAIN "roads: {stop: {kind: flat, speed: 60 km/h, brake: {deceleration: 6 m/s2}}}\n");
  ck_assert_int_eq(df_estimates(reading, NULL, &wanted, 1, NULL, 1, &open, NULL), DF_OK);
  good(
      PLAIN
      "roads: {stop: {kind: flat, speed: 60 km/h, brake: {deceleration: 6 m/s2, ramp: 0.26 s}}}\n");
  ck_assert_int_eq(df_estimates(reading, NULL, &wanted, 1, NULL, 1, &fixed, NULL), DF_OK);
  ck_assert(fixed.model < 0.9 * open.model);
}
END_TEST

START_TEST(samples_are_the_same_for_a_seed)
{
  struct df_wanted wanted = {0, df_measure_find("shock_transmitted")};
  struct df_band one, again, other;
  good(PLAIN ROADS);
  ck_assert_int_eq(df_estimates_sampled(reading, NULL, &wanted, 1, NULL, 1, 16, 1, &one), DF_OK);
  ck_assert_int_eq(df_estimates_sampled(reading, NULL, &wanted, 1, NULL, 2, 16, 1, &again), DF_OK);
  ck_assert_int_eq(df_estimates_sampled(reading, NULL, &wanted, 1, NULL, 1, 16, 2, &other), DF_OK);
  ck_assert(one.low == again.low && one.high == again.high && one.n == 16);
  ck_assert(one.low != other.low && one.low < one.high);
  ck_assert(one.estimate.value[0] > 0.7 * one.low && one.estimate.value[0] < 1.3 * one.high);
}
END_TEST

START_TEST(map_agrees_with_the_road)
{
  static const double height[1] = {0.015}, speed[1] = {50 / 3.6};
  struct df_wanted wanted = {0, df_measure_find("shock_transmitted")};
  struct df_estimate estimate, map;
  good(PLAIN ROADS);
  struct df_reading *a = df_reading_copy(reading);
  good(VALVED);
  ck_assert_int_eq(df_estimates(a, reading, &wanted, 1, NULL, 1, &estimate, NULL), DF_OK);
  ck_assert_int_eq(df_edge_map(a, reading, 0, height, 1, speed, 1, NULL, 1, &map), DF_OK);
  near(map.difference, estimate.difference, 1e-9,
       "the same edge; the blow is over before the shorter window ends");
  ck_assert(map.error > 0 && map.error <= estimate.error);
  df_reading_destroy(a);
}
END_TEST

int main(void)
{
  const TTest *const tests[] = {rules_are_complete,
                                rules_of_the_leg,
                                check_passage_governs_until_it_is_wide,
                                governing_path_changes_where_shares_are_equal,
                                friction_governs_when_bushes_drag,
                                what_is_not_the_fork_is_said,
                                why_rebound_weakens,
                                rules_of_rides,
                                rules_of_edges,
                                verdicts,
                                same_fork_same_figures,
                                lever_counts_where_the_road_leaves_it_open,
                                samples_are_the_same_for_a_seed,
                                map_agrees_with_the_road};
  Suite *suite = suite_create("compare");
  TCase *cases = tcase_create("compare");
  tcase_add_checked_fixture(cases, setup, teardown);
  tcase_set_timeout(cases, 60);
  for (unsigned i = 0; i < sizeof tests / sizeof *tests; i++) tcase_add_test(cases, tests[i]);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
