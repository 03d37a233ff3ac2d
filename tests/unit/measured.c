// What was measured against the scenario: agreements and disagreements by hand.
#include "near.h"

#include "dampfork/sheet.h"
#include "studies/fit_data.h"

#include <gsl/gsl_errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct df_units *units;
static struct df_reading *fork_;
static struct df_checks checks;
static struct df_faults faults;

static void begin(void)
{
  char path[512];
  const char *source = getenv("DAMPFORK_SOURCE");
  gsl_set_error_handler_off();
  memset(&faults, 0, sizeof faults);
  units = df_reading_units_create(NULL);
  snprintf(path, sizeof path, "%s/scenarios/standard-small-holes-valved.yaml",
           source ? source : ".");
  enum df_status status = df_reading_create(&fork_, units, path, NULL, &faults);
  ck_assert_msg(!status, "%s: %s", path, faults.n ? faults.at[0].text : "");
}

static void end(void)
{
  df_reading_destroy(fork_);
  df_reading_units_destroy(units);
}

static enum df_status compare(const char *text)
{
  struct df_data data;
  const struct df_data *list[1] = {&data};
  memset(&faults, 0, sizeof faults);
  enum df_status status = df_data_read_text(&data, units, "x.csv", text, strlen(text), &faults);
  ck_assert_msg(!status, "%s", faults.n ? faults.at[0].text : "");
  status = df_checks_of(fork_, list, 1, &checks, &faults);
  df_data_finish(&data);
  return status;
}

static const struct df_check *named(const char *part)
{
  for (int i = 0; i < checks.n; i++)
    if (strstr(checks.at[i].what, part)) return &checks.at[i];
  ck_abort_msg("no reading %s", part);
  return NULL;
}

static int reasoned(const char *part)
{
  for (int i = 0; i < checks.reason_n; i++)
    if (strstr(checks.reason[i], part)) return 1;
  return 0;
}

// ---- springs ----
START_TEST(rate_is_the_slope)
{
  ck_assert(!compare("# accuracy = 3 N\npart,length_mm,force_N\nfork,395,226\nfork,345,676\n"));
  near(named("spring rate")->measured, (676 - 226)/0.05, 1e-9, "450 N over 50 mm");
  near(named("spring rate")->computed, 9e3, 1e-9, "9 N/mm");
  // slope's deviation 3 N/sqrt(2*25^2) mm, two of them, and 3 % of 9 N/mm: how well a rate is known
  near(named("spring rate")->high - 9e3, hypot(2*3/sqrt(2*25e-3*25e-3), 0.03*9e3), 1e-9, "by hand");
  near(named("free length")->measured, 0.37 + 451/9e3, 1e-12, "where the line meets no force");
  near(named("free length")->computed, 0.42, 1e-12, "420 mm");
  ck_assert_int_eq(checks.wrong, 0);
}
END_TEST

START_TEST(another_spring_is_told)
{
  ck_assert(!compare("# accuracy = 3 N\npart,length_mm,force_N\nfork,395,212\nfork,345,637\n"));
  ck_assert_int_eq(checks.wrong, 1);
  ck_assert(reasoned("8.50 N/mm measured, 9.00"));
  // the same rate on a spring 6 mm shorter
  ck_assert(!compare("# accuracy = 3 N\npart,length_mm,force_N\nfork,389,225\nfork,339,675\n"));
  ck_assert(named("spring rate")->agrees);
  near(named("free length")->measured, 0.414, 1e-9, "6 mm shorter");
  ck_assert(!named("free length")->agrees && reasoned("begins to push at 414.0 mm"));
}
END_TEST

START_TEST(kilograms_read_as_newtons)
{
  ck_assert(!compare("# accuracy = 0.3 N\npart,length_mm,force_N\nfork,395,23\nfork,345,69\n"));
  ck_assert(!named("spring rate")->agrees && reasoned("kgf"));
}
END_TEST

START_TEST(valve_spring_by_its_slope)
{
  ck_assert(!compare("# accuracy = 0.5 N\npart,length_mm,force_N\nvalve,20,22\nvalve,18,44\n"));
  near(named("valve")->measured, 11e3, 1e-9, "22 N over 2 mm");
  ck_assert_int_eq(checks.wrong, 0);
  ck_assert(!compare("# accuracy = 0.5 N\npart,length_mm,force_N\nvalve,20,22\nvalve,18,38\n"));
  ck_assert_int_eq(checks.wrong, 1);
  ck_assert(reasoned("8.00 N/mm measured") && reasoned("73 %"));
}
END_TEST

START_TEST(one_force_tells_no_rate)
{
  ck_assert_int_eq(compare("part,length_mm,force_N\nfork,395,226\n"), DF_BAD_INPUT);
  ck_assert(strstr(faults.at[0].text, "two lengths") != NULL);
  ck_assert_int_eq(compare("part,length_mm,force_N\nfork,345,226\nfork,395,676\n"), DF_BAD_INPUT);
}
END_TEST

// ---- sag ----
static void pair(const char *load, double below, double above)
{
  char text[200];
  snprintf(text, sizeof text, "# accuracy = 1 mm\nload,settled,travel_mm\n%s,below,%.17g\n"
           "%s,above,%.17g\n", load, 1e3*below, load, 1e3*above);
  ck_assert(!compare(text));
}

START_TEST(its_own_sag_agrees)
{
  struct df_sag sag;
  df_sag_of(df_reading_scenario(fork_), DF_SAG_RIDER, &sag, NULL);
  pair("rider", sag.from_below, sag.from_above);
  ck_assert_int_eq(checks.n, 2);
  ck_assert_int_eq(checks.wrong, 0);
  const struct df_check *middle = named("middle");
  near(middle->measured, 0.5*(sag.from_below + sag.from_above), 1e-12, "half way");
  near(middle->computed, sag.mean, 1e-12, "without friction");
  // two tapes of 1 mm halve to 1.41 mm for two deviations; values known to 1 or 2 % add to it
  ck_assert(middle->high - middle->computed > 1.41e-3 && middle->high - middle->computed < 3.5e-3);
  // friction is known within a factor of three: 1.73 times either way, and two tapes' 2.83 mm
  double band = sag.from_below - sag.from_above;
  near(named("less")->high - band, hypot(2*M_SQRT2*1e-3, 0.7320508*band), 1e-8, "by hand");
  near(band - named("less")->low, hypot(2*M_SQRT2*1e-3, band*(1 - 1/sqrt(3))), 1e-8, "by hand");
}
END_TEST

// One kilogram on the rider moves the sag by what spring and gas give way.
START_TEST(a_heavier_rider_is_told)
{
  struct df_sag sag, heavy;
  struct df_scenario *s = malloc(sizeof *s);
  memcpy(s, df_reading_scenario(fork_), sizeof *s);
  s->rider.mass = 110;
  df_sag_of(s, DF_SAG_RIDER, &heavy, NULL);
  df_sag_of(df_reading_scenario(fork_), DF_SAG_ALONE, &sag, NULL);
  char text[300];
  snprintf(text, sizeof text,
           "# accuracy = 1 mm\nload,settled,travel_mm\nalone,below,%.4f\nalone,above,%.4f\n"
           "rider,below,%.4f\nrider,above,%.4f\n", 1e3*sag.from_below, 1e3*sag.from_above,
           1e3*heavy.from_below, 1e3*heavy.from_above);
  ck_assert(!compare(text));
  ck_assert(named("alone, middle")->agrees && !named("rider, middle")->agrees);
  int mass = 0;
  for (int i = 0; i < checks.reason_n; i++) {
    const char *at = strstr(checks.reason[i], "a rider of about ");
    if (at) mass = atoi(at + 17);
  }
  ck_assert_msg(abs(mass - 110) <= 2, "%d kg for 110", mass);
  free(s);
}
END_TEST

START_TEST(swapped_and_stuck_pairs)
{
  pair("rider", 30e-3, 43e-3);
  ck_assert(!named("less")->agrees && reasoned("swapped"));
  pair("rider", 52e-3, 22e-3);
  ck_assert(named("middle")->agrees && !named("less")->agrees && reasoned("bounce"));
}
END_TEST

// Friction may be anything: a single reading counts only beyond it.
START_TEST(one_way_alone)
{
  struct df_sag sag;
  df_sag_of(df_reading_scenario(fork_), DF_SAG_RIDER, &sag, NULL);
  char text[120];
  snprintf(text, sizeof text, "# accuracy = 1 mm\nload,settled,travel_mm\nrider,above,%.3f\n",
           1e3*sag.mean);
  ck_assert(!compare(text));
  ck_assert_int_eq(checks.n, 1);
  ck_assert_int_eq(checks.wrong, 0);
  ck_assert(!compare("# accuracy = 1 mm\nload,settled,travel_mm\nrider,above,15\n"));
  ck_assert_int_eq(checks.wrong, 1);
  ck_assert(reasoned("A second load would tell"));
}
END_TEST

// ---- level ----
START_TEST(level_taken_another_way)
{
  struct df_oil_fill fill;
  char text[80];
  ck_assert(!compare("leg,oil_level_mm\nleft,143\nright,138\n"));
  ck_assert_int_eq(checks.wrong, 0); // two deviations of a probe: 4 mm
  df_oil_fill_of(df_reading_scenario(fork_), 0, &fill, NULL);
  snprintf(text, sizeof text, "leg,oil_level_mm\nleft,%.3f\n", 1e3*fill.with_all);
  ck_assert(!compare(text));
  ck_assert_int_eq(checks.wrong, 1);
  ck_assert(reasoned("spring and spacer in"));
  ck_assert(!compare("leg,oil_level_mm\nleft,165\n"));
  ck_assert(checks.wrong == 1 && reasoned("smaller is more oil"));
  // without a column of legs the head says which one
  ck_assert(!compare("# leg = right\noil_level_mm\n143\n"));
  ck_assert(checks.wrong == 0 && named("right leg")->agrees);
}
END_TEST

// ---- timed strokes ----
static enum df_status timed(const char *rows)
{
  char text[300];
  snprintf(text, sizeof text, "leg,direction,weight_kg,distance_mm,time_s\n%s", rows);
  return compare(text);
}

START_TEST(times_and_their_faults)
{
  struct df_acceptance test;
  char rows[200];
  df_acceptance_of(df_reading_scenario(fork_), 0, &test, NULL);
  double weight = df_acceptance_force(&test, DF_PUSH)/9.80665;
  snprintf(rows, sizeof rows, "left,push,%.9f,%.6f,%.6f\n", weight, 1e3*test.distance,
           test.time[DF_PUSH]);
  ck_assert(!timed(rows));
  ck_assert_int_eq(checks.wrong, 0);
  near(named("push")->computed, test.time[DF_PUSH], 1e-6, "the sheet's own test");
  // limits of the sheet and two deviations of a watch
  near(named("push")->high - test.time[DF_PUSH], hypot(0.1, test.high[0] - test.time[0]), 1e-5,
       "by hand");
  for (int i = 0; i < test.fault_n; i++) {
    double time = test.fault[i].time[DF_PUSH];
    if (time > 0.8*test.low[DF_PUSH] && time < 1.3*test.high[DF_PUSH]) continue;
    snprintf(rows, sizeof rows, "left,push,%.9f,%.6f,%.6f\n", weight, 1e3*test.distance, time);
    ck_assert(!timed(rows));
    ck_assert_int_eq(checks.wrong, 1);
    ck_assert_msg(reasoned(test.fault[i].what), "%s: %s", test.fault[i].what, checks.reason[0]);
  }
}
END_TEST

START_TEST(legs_apart)
{
  ck_assert(!timed("left,push,4.55,100,0.85\nright,push,4.55,100,0.95\n"));
  near(named("against")->measured, 0.95/0.85 - 1, 1e-12, "0.95 over 0.85 s");
  ck_assert(named("against")->agrees);
  ck_assert(!timed("left,push,4.55,100,0.80\nright,push,4.55,100,0.97\n"));
  ck_assert(!named("against")->agrees && reasoned("Left and right differ by 21 %"));
}
END_TEST

START_TEST(held_by_friction)
{
  ck_assert(!timed("left,push,1,100,3\n"));
  ck_assert(checks.wrong == 1 && reasoned("just creeps"));
}
END_TEST

START_TEST(other_data_are_refused)
{
  ck_assert_int_eq(compare("velocity_m_per_s,force_N\n1,2\n"), DF_BAD_INPUT);
  ck_assert(strstr(faults.at[0].text, "fit learns") != NULL);
}
END_TEST

int main(void)
{
  const TTest *tests[] = {rate_is_the_slope,
                          another_spring_is_told,
                          kilograms_read_as_newtons,
                          valve_spring_by_its_slope,
                          one_force_tells_no_rate,
                          its_own_sag_agrees,
                          a_heavier_rider_is_told,
                          swapped_and_stuck_pairs,
                          one_way_alone,
                          level_taken_another_way,
                          times_and_their_faults,
                          legs_apart,
                          held_by_friction,
                          other_data_are_refused};
  Suite *suite = suite_create("measured");
  TCase *cases = tcase_create("measured");
  tcase_add_checked_fixture(cases, begin, end);
  tcase_set_timeout(cases, 60);
  for (unsigned i = 0; i < sizeof tests/sizeof *tests; i++) tcase_add_test(cases, tests[i]);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
