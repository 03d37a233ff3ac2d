// Choices, what beats what, draws: each against what it must be by its definition.
#include "reading.h"

#include "dampfork/advise.h"

#define FORK LEG ROD OIL "valve: {}\nspring: {rate: 9 N/mm, preload: 15 mm}\nair: {oil_level: 140 mm}\n"
#define STEPS "chosen here: quarter turns, 0.5 N/mm, 1 mm of spacer, 5 mm of level"

static struct df_choice choice[DF_CHOICES_MAX];
static int choice_n;

static void choices(const char *text)
{
  good(text);
  ck_assert_int_eq(df_choices_make(reading, NULL, 0, choice, &choice_n, NULL), DF_OK);
}

START_TEST(steps_are_those_of_tools)
{
  static const double step[] = {0.25, 0.5, 1, 5};
  choices(FORK);
  ck_assert_int_eq(choice_n, 4);
  for (int k = 0; k < choice_n; k++) {
    ck_assert_msg(choice[k].value[choice[k].at_now] == choice[k].now, "%s", choice[k].path);
    for (int i = 1; i < choice[k].n; i++)
      near(choice[k].value[i] - choice[k].value[i - 1], step[k], 1e-9, STEPS);
  }
}
END_TEST

START_TEST(never_oil_or_holes_unasked)
{
  static const char *const keys[] = {"oil.viscosity_40", "rod.rebound_holes"};
  choices(FORK);
  for (int k = 0; k < choice_n; k++)
    ck_assert(strncmp(choice[k].path, "oil.", 4) && strncmp(choice[k].path, "rod.", 4));
  ck_assert_int_eq(df_choices_make(reading, keys, 2, choice, &choice_n, NULL), DF_OK);
  ck_assert_int_eq(choice_n, 2);
  for (int i = 0; i < choice[1].n; i++) ck_assert(choice[1].value[i] >= choice[1].now); // holes only grow
}
END_TEST

START_TEST(what_is_at_hand)
{
  choices(FORK "have: {springs: [8.5 N/mm, 10 N/mm], washers: [2 mm, 3 mm]}\n");
  ck_assert_int_eq(choice[1].n, 3); // 8.5, 9 as it is, 10
  ck_assert_int_eq(choice[2].n, 4); // 15, 17, 18, 20
  near(choice[2].value[3], 20, 1e-9, "both washers on 15 mm");
}
END_TEST

START_TEST(a_longer_spacer_is_more_preload)
{
  int at[DF_CHOICES_MAX];
  struct df_reading *set;
  choices(LEG ROD OIL "spring: {rate: 9 N/mm}\n" SPACER);
  for (int k = 0; k < choice_n; k++) at[k] = choice[k].at_now;
  int k = 0;
  while (strcmp(choice[k].path, "spring.preload")) k++;
  at[k] += 3;
  ck_assert_int_eq(df_choices_set(reading, choice, choice_n, at, &set, NULL), DF_OK);
  near(df_reading_scenario(set)->side[0].spring.preload - got->side[0].spring.preload, 3e-3, 1e-9, STEPS);
  df_reading_destroy(set);
}
END_TEST

START_TEST(beaten_in_everything_or_not)
{
  double a[DF_AIMS] = {90e-3, 5e-3, 8, 11, 0.4, 20e-3}, b[DF_AIMS];
  memcpy(b, a, sizeof b);
  ck_assert(!df_aims_beat(a, b));   // equal
  b[DF_AIM_REST] += 2e-3;
  ck_assert(df_aims_beat(a, b) && !df_aims_beat(b, a));
  b[DF_AIM_EDGES] -= 0.01;          // a trade, however small
  ck_assert(!df_aims_beat(a, b));
  b[DF_AIM_EDGES] = a[DF_AIM_EDGES], b[DF_AIM_RESERVE] += 5e-3; // more is better there
  ck_assert(!df_aims_beat(a, b));
  a[DF_AIM_RESERVE] = b[DF_AIM_RESERVE] = NAN;
  ck_assert(df_aims_beat(a, b));
}
END_TEST

// The search finds a better valve where the present one is absurdly loose, and counts its rides.
START_TEST(search_improves)
{
  static const char *const keys[] = {"spring.rate"};
  struct df_advice advice;
  struct df_advise_options o = {.key = keys, .key_n = 1, .sample = 8, .draws = 6, .seed = 1, .threads = 2};
  good(LEG ROD OIL "spring: {rate: 6.5 N/mm, preload: 15 mm}\nuse: gravel\n");
  ck_assert_int_eq(df_advise(&advice, reading, &o, NULL), DF_OK);
  ck_assert_int_gt(advice.proposed, 0); // sag, dive and reserve all ask for more than 6.5 N/mm
  ck_assert_int_gt(advice.choice[0].value[advice.setting[advice.proposed].at[0]], 6.5);
  ck_assert_int_gt(advice.rides, 8*9);
  for (int i = 0; i < advice.n; i++)
    for (int j = 0; j < advice.n && advice.setting[i].unbeaten; j++)
      ck_assert(advice.setting[j].failed || !df_aims_beat(advice.setting[j].aim, advice.setting[i].aim));
  df_advice_finish(&advice);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("advise");
  TCase *cases = tcase_create("advise");
  tcase_set_timeout(cases, 120);
  tcase_add_checked_fixture(cases, setup, teardown);
  tcase_add_test(cases, steps_are_those_of_tools);
  tcase_add_test(cases, never_oil_or_holes_unasked);
  tcase_add_test(cases, what_is_at_hand);
  tcase_add_test(cases, a_longer_spacer_is_more_preload);
  tcase_add_test(cases, beaten_in_everything_or_not);
  tcase_add_test(cases, search_improves);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
