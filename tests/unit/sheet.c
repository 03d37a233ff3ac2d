// The timed test of the bare leg, refusals, rounding.
#include "near.h"

#include "../evidence/second_leg.h"
#include "dampfork/sheet.h"

#include <string.h>

static struct df_scenario plain, valved, work;

static void setup(void)
{
  appendix_a_scenario(&plain, 0);
  appendix_a_scenario(&valved, 1);
}

static void change(const struct df_scenario *from)
{
  memcpy(&work, from, sizeof work);
}

static void both_sides(void)
{
  work.side[1] = work.side[0];
}

// ---- timed test ----
START_TEST(a_linear_leg_takes_its_time)
{
  change(&plain);
  work.side[0].leg.has_linear = 1;
  work.side[0].leg.linear = (struct df_linear_leg){10e3, 500, 0};
  near(df_timed_leg(&work, 0, 293.15, DF_PUSH, 10e-3, 100e-3, 50), 1, 1e-6,
       "0.1 m at 50 N over 500 N s/m");
  near(df_timed_leg(&work, 0, 293.15, DF_PULL, 10e-3, 80e-3, 25), 1.6, 1e-6, "the other way");
}
END_TEST

// Speed at which a law (N over m/s) holds back `force`, by halving.
static double held_at(double (*law)(double), double force)
{
  double low = 0, high = 1; // m/s
  for (int i = 0; i < 60; i++) {
    double v = 0.5*(low + high);
    if (law(v) > force) high = v;
    else low = v;
  }
  return low;
}

// What holds back a push at v: below the valve's opening the oil that the tube's wall displaces
// leaves through holes, bore and bleed; the annulus is filled through the check valve. K1, K2 of
// appendix A.
static double pushed(double v)
{
  double wall = M_PI_4*(41*41 - 36.6*36.6)*1e-6, annulus = M_PI_4*(36.6*36.6 - 22*22)*1e-6;
  double q = wall*v, fill = annulus*v;
  double bleed = 5.055704e8*q + 5.637715e13*q*q;
  double rod = (1.408531e6 + 1.201454e7)*q + (2.637104e10 + 3.631498e10)*q*q;
  double check = 3.733053e6*fill + 7.257152e10*fill*fill;
  return wall*(bleed + rod) + annulus*check;
}

START_TEST(a_push_through_the_bleed)
{
  change(&valved);
  work.seals.viscous = 0, work.seals.breakaway_ratio = 1, work.seals.bush_friction = 0;
  work.side[0].leg.piston_ring.area = 0;
  work.side[0].leg.check_valve.crack = 0.1, work.side[0].leg.check_valve.full = 0.2; // Pa
  both_sides();
  near_share(df_timed_leg(&work, 0, 303.15, DF_PUSH, 10e-3, 100e-3, 25 + 20),
             0.1/held_at(pushed, 20), 5e-3, "by hand");
}
END_TEST

// What holds back a pull at v: the annulus through rebound holes (the leak is 500 times tighter),
// and the suction of the lower chamber, refilled through compression holes and bore. K1 and K2 of
// appendix A.
static double pulled(double v)
{
  double annulus = M_PI_4*(36.6*36.6 - 22*22)*1e-6, lower = M_PI_4*(41*41 - 22*22)*1e-6;
  double q = annulus*v, fill = lower*v;
  double squeezed = 2.006621e8*q + 1.174151e13*q*q;
  double sucked = (5.160042e6 + 1.201454e7)*fill + (2.973687e11 + 3.631498e10)*fill*fill;
  return annulus*squeezed + lower*sucked;
}

START_TEST(a_pull_through_the_rebound_holes)
{
  change(&plain);
  work.seals.viscous = 0, work.seals.breakaway_ratio = 1, work.seals.bush_friction = 0;
  work.side[0].leg.piston_ring.area = 0;
  both_sides();
  near_share(df_timed_leg(&work, 0, 303.15, DF_PULL, 10e-3, 100e-3, 25 + 30),
             0.1 / held_at(pulled, 30), 5e-3, "by hand");
}
END_TEST

START_TEST(friction_can_hold_it)
{
  ck_assert(isinf(df_timed_leg(&plain, 0, 293.15, DF_PUSH, 10e-3, 100e-3, 15)));
}
END_TEST

START_TEST(acceptance)
{
  struct df_acceptance t, right;
  ck_assert_int_eq(df_acceptance_of(&valved, 0, &t, NULL), DF_OK);
  near(t.from, 10e-3, 1e-12, "8 mm of top-out spring, then by tens");
  near(t.distance, 100e-3, 1e-12, "115 mm are free of the cone");
  near(t.kelvin, 293.15, 1e-9, "the bench");
  near(df_acceptance_force(&t, DF_PUSH), 25 + 2*9.80665, 1e-9, "2 kg over what creeps");
  for (int i = 0; i < 2; i++) {
    ck_assert(t.low[i] < t.time[i] && t.time[i] < t.high[i]);
    near(df_timed_leg(&valved, 0, t.kelvin, (enum df_timed_direction)i, t.from, t.distance,
                      df_acceptance_force(&t, (enum df_timed_direction)i)),
         t.time[i], 1e-12, "the same test");
    ck_assert(t.per_kelvin[i] < 0);
  }
  work = valved;
  work.side[0].oil.level_temperature += 3;
  ck_assert_int_eq(df_acceptance_of(&work, 0, &right, NULL), DF_OK);
  near_share(right.time[1]/t.time[1], exp(3*t.per_kelvin[1]), 1e-9, "three kelvin warmer");
}
END_TEST

static const struct df_timed_fault *named(const struct df_acceptance *t, const char *part)
{
  for (int i = 0; i < t->fault_n; i++)
    if (strstr(t->fault[i].what, part)) return &t->fault[i];
  ck_abort_msg("no fault %s", part);
  return NULL;
}

START_TEST(wrong_times_have_causes)
{
  struct df_acceptance t;
  ck_assert_int_eq(df_acceptance_of(&valved, 0, &t, NULL), DF_OK);
  ck_assert(named(&t, "seat")->time[DF_PUSH] < t.low[DF_PUSH]);
  ck_assert(named(&t, "bleed")->time[DF_PUSH] > t.high[DF_PUSH]);
  ck_assert(named(&t, "ring")->time[DF_PULL] < t.low[DF_PULL]);
  ck_assert(named(&t, "chip")->time[DF_PULL] < t.low[DF_PULL]);
  ck_assert(named(&t, "rebound hole blocked")->time[DF_PULL] > t.high[DF_PULL]);
  ck_assert(named(&t, "too wide")->time[DF_PULL] < t.low[DF_PULL]);
  near_share(named(&t, "seat")->time[DF_PULL], t.time[DF_PULL], 0.02,
             "a pull does not see the valve");
  ck_assert_int_eq(df_acceptance_of(&plain, 0, &t, NULL), DF_OK);
  for (int i = 0; i < t.fault_n; i++) ck_assert_ptr_null(strstr(t.fault[i].what, "bleed"));
}
END_TEST

// ---- refusals ----
static struct df_refused refused[DF_REFUSED_MAX];

static int refused_for(enum df_refusal why)
{
  int n = df_setup_refused(&work, refused), found = 0;
  for (int i = 0; i < n; i++) {
    ck_assert_msg(strlen(refused[i].text) > 40 && !strstr(refused[i].text, "nan"), "%s",
                  refused[i].text);
    found += refused[i].why == why;
  }
  return found;
}

static void only(enum df_refusal why)
{
  both_sides();
  int n = df_setup_refused(&work, refused);
  ck_assert_msg(refused_for(why) == 1, "%s: %d of %d", df_refusal_names[why], refused_for(why), n);
  ck_assert_msg(n == 1, "%d reasons: %s / %s", n, refused[0].text, refused[1].text);
}

START_TEST(a_good_fork_is_not_refused)
{
  change(&valved);
  ck_assert_int_eq(df_setup_refused(&work, refused), 0);
  change(&plain);
  ck_assert_int_eq(df_setup_refused(&work, refused), 0);
}
END_TEST

START_TEST(coils_bind)
{
  change(&valved);
  work.side[0].spring.solid_length = 276e-3; // 420 - 276 - 15 leaves 129 of 130 mm
  only(DF_REFUSED_COIL_BIND);
  near(refused[0].figure, -1e-3, 1e-12, "1 mm short");
  work.side[0].spring.solid_length = 275e-3;
  both_sides();
  ck_assert_int_eq(df_setup_refused(&work, refused), 0);
}
END_TEST

START_TEST(oil_locks)
{
  change(&valved);
  work.side[0].air.oil_level = 55e-3; // 57.9 cm3 over the oil, 60 of steel
  only(DF_REFUSED_LOCK);
  near(refused[0].figure, M_PI_4 * 36.6e-3 * 36.6e-3 * 55e-3 - 60e-6, 1e-10,
       "bore times level less solids");
  work.side[0].spacer.depth_to_spring = 171.5e-3;
  work.side[0].air.oil_level = 65e-3; // 8.4 cm3 cold; hot oil wants some 16
  both_sides();
  ck_assert_int_ge(refused_for(DF_REFUSED_LOCK), 1);
}
END_TEST

START_TEST(seals_burst)
{
  change(&valved);
  work.side[0].air.oil_level = 76e-3; // 20 cm3 of 192: 19 bar by the gas law
  only(DF_REFUSED_SEALS);
}
END_TEST

START_TEST(rod_too_weak)
{
  change(&valved);
  work.side[0].rod.yield_strength = 100e6;
  only(DF_REFUSED_WEAK_ROD);
  ck_assert(refused[0].figure < DF_ROD_SAFETY);
}
END_TEST

static void rows(double first, double second, double tube_end)
{
  struct df_rod *rod = &work.side[0].rod;
  rod->opened.compression_holes = (struct df_hole_list){
      2, {{2, 6.35e-3, first, NAN, 0, 0.5e-3, 0, 0}, {2, 6.35e-3, second, NAN, 0, 0.5e-3, 0, 0}}};
  rod->holes = rod->opened;
  work.side[0].leg.tube_end_height = tube_end;
}

START_TEST(hole_above_the_limit)
{
  change(&valved);
  rows(18e-3, 28e-3, 32e-3); // limit 32 - 3.175 - 1 = 27.825 mm
  only(DF_REFUSED_HIGH_HOLE);
  near(refused[0].limit, 27.825e-3, 1e-12, "tube end less half the hole less 1 mm");
  rows(17.8e-3, 27.8e-3, 32e-3);
  both_sides();
  ck_assert_int_eq(df_setup_refused(&work, refused), 0);
}
END_TEST

START_TEST(holes_too_close)
{
  change(&valved);
  rows(18e-3, 25e-3, 60e-3); // hypot(7, 14.14) - 6.35 = 9.43 mm of wall, 1.48 diameters
  only(DF_REFUSED_CLOSE_HOLES);
}
END_TEST

START_TEST(spring_loose)
{
  change(&plain);
  work.side[0].spring.preload = -2e-3;
  only(DF_REFUSED_LOOSE_SPRING);
}
END_TEST

START_TEST(valve_not_held_down)
{
  change(&valved);
  work.side[0].spring.preload = 2e-3; // 18 N
  only(DF_REFUSED_LOOSE_VALVE);
  near(refused[0].figure, 18, 1e-9, "9 N/mm times 2 mm");
  work.side[0].spring.preload = 2.3e-3;
  both_sides();
  ck_assert_int_eq(df_setup_refused(&work, refused), 0);
  change(&plain);
  work.side[0].spring.preload = 2e-3;
  ck_assert_int_eq(df_setup_refused(&work, refused), 0);
}
END_TEST

START_TEST(valve_lifted_by_what_it_holds_back)
{
  change(&valved);
  work.side[0].valve.spring_rate = 200e3, work.side[0].valve.preload = 6e-3; // 1200 N: 60 bar
  both_sides();
  ck_assert_int_eq(refused_for(DF_REFUSED_LOOSE_VALVE), 1);
}
END_TEST

START_TEST(the_right_leg_counts)
{
  change(&valved);
  work.unlike = 1;
  work.side[1].spring.preload = -1e-3;
  ck_assert_int_ge(df_setup_refused(&work, refused), 1);
  ck_assert_int_eq(refused[0].side, 1);
  work.side[0].leg.has_linear = work.side[1].leg.has_linear = 1;
  ck_assert_int_eq(df_setup_refused(&work, refused), 0);
}
END_TEST

// ---- rounding ----
START_TEST(settings_as_tools_can_make_them)
{
  struct df_rounding list[DF_ROUNDINGS_MAX];
  change(&valved);
  struct df_side *side = &work.side[0];
  side->valve.preload = 2.9e-3, side->air.oil_level = 139.6e-3;
  side->spacer.given = 1, side->spacer.depth_to_spring = 171.7e-3, side->spacer.length = 169.7e-3;
  both_sides();
  ck_assert_int_eq(df_setup_rounded(&work, list), 3);
  near(side->valve.preload, 3e-3, 1e-12, "quarter turns");
  near(side->air.oil_level, 140e-3, 1e-12, "a millimetre");
  near(side->spacer.length, 169.5e-3, 1e-12, "half a millimetre");
  near(side->spring.preload, 14.8e-3, 1e-12, "what the cut spacer gives");
  near(work.side[1].valve.preload, 3e-3, 1e-12, "both legs");
  ck_assert_int_eq(df_setup_rounded(&work, list), 0);
}
END_TEST

int main(void)
{
  const TTest *const tests[] = {a_linear_leg_takes_its_time,
                                a_push_through_the_bleed,
                                a_pull_through_the_rebound_holes,
                                friction_can_hold_it,
                                acceptance,
                                wrong_times_have_causes,
                                a_good_fork_is_not_refused,
                                coils_bind,
                                oil_locks,
                                seals_burst,
                                rod_too_weak,
                                hole_above_the_limit,
                                holes_too_close,
                                spring_loose,
                                valve_not_held_down,
                                valve_lifted_by_what_it_holds_back,
                                the_right_leg_counts,
                                settings_as_tools_can_make_them};
  Suite *suite = suite_create("sheet");
  TCase *cases = tcase_create("sheet");
  tcase_add_checked_fixture(cases, setup, NULL);
  tcase_set_timeout(cases, 60);
  for (unsigned i = 0; i < sizeof tests/sizeof *tests; i++) tcase_add_test(cases, tests[i]);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
