// The air column by hand: bore times oil level, less what stands in the air. And the rest of linear legs.
#include "near.h"

#include <string.h>

#include "dampfork/leg.h"
#include "leg/model.h"

void appendix_a_scenario(struct df_scenario *, int valved);

static const char *const HAND = "volumes of cylinders, by hand";
static const double wire = 0.42/7850;                         // m3, 0.42 kg of steel: 53.503 cm3
static double disc(double diameter) { return M_PI*diameter*diameter/4; }

// Bore 36.6 mm, oil 140 mm under the rim, coil of 420 mm squeezed to 420 - 15 - 130 = 275 mm at full travel,
// cap 14 mm deep and 6 cm3, spacer of 100 mm of 34/30 mm tube, washers 3 mm of 34/20 mm.
static void fork_of(struct df_scenario *s, int valved)
{
  appendix_a_scenario(s, valved);
  struct df_side *side = &s->side[0];
  side->air.solids = NAN;
  s->cap = (struct df_cap){14e-3, 6e-6};
  side->spacer = (struct df_spacer){1, 100e-3, 34e-3, 30e-3, NAN, DF_IN, 3e-3, 20e-3};
}

static double washers(void) { return (disc(34e-3) - disc(20e-3))*3e-3; }
static double wall(void) { return (disc(34e-3) - disc(30e-3))*0.1; }
static double open_bore(void) { return disc(36.6e-3)*0.14; }

// Spring and spacer put in after the level was taken: all of both stands in the air.
START_TEST(level_taken_with_everything_out)
{
  struct df_scenario s;
  double solids;
  fork_of(&s, 0);
  s.side[0].air.level_taken = (struct df_level_taken){DF_IN, DF_OUT, DF_OUT};
  near(df_air_at_full_travel(&s, 0, &solids), open_bore() - wire - wall() - washers() - 6e-6, 1e-15, HAND);
  near(solids, wire + wall() + washers() + 6e-6, 1e-15, HAND);
  near(open_bore(), 147.2923e-6, 1e-10, HAND);
  near(solids, 81.3907e-6, 1e-10, HAND);
}
END_TEST

// Taken with the spring in: its part under the oil has pushed the level up already. The oil stands
// 14 + 3 + 100 + 275 - 140 = 252 mm over the coil's foot: 168 mm of 420 mm of wire stand above.
START_TEST(level_taken_with_the_spring_in)
{
  struct df_scenario s;
  fork_of(&s, 0);
  s.side[0].air.level_taken = (struct df_level_taken){DF_IN, DF_IN, DF_OUT};
  near(df_air_at_full_travel(&s, 0, NULL), open_bore() - wire*168/420 - wall() - washers() - 6e-6, 1e-15, HAND);
}
END_TEST

// Spacer in as well: on a loose coil of 420 mm it stands clear of the oil; without the coil, 252 mm deep, it is covered.
START_TEST(level_taken_with_the_spacer_in)
{
  struct df_scenario s;
  fork_of(&s, 0);
  s.side[0].air.level_taken = (struct df_level_taken){DF_IN, DF_IN, DF_IN};
  near(df_air_at_full_travel(&s, 0, NULL), open_bore() - wire*168/420 - wall() - washers() - 6e-6, 1e-15, HAND);
  s.side[0].air.level_taken.spring = DF_OUT;
  near(df_air_at_full_travel(&s, 0, NULL), open_bore() - wire - washers() - 6e-6, 1e-15, HAND);
  s.side[0].air.oil_level = 0.34; // the oil 52 mm over the foot: 48 of 100 mm stand above
  near(df_air_at_full_travel(&s, 0, NULL), disc(36.6e-3)*0.34 - wire - wall()*48/100 - washers() - 6e-6, 1e-15, HAND);
}
END_TEST

START_TEST(no_spacer_no_washers)
{
  struct df_scenario s;
  fork_of(&s, 0);
  s.side[0].spacer.given = 0, s.side[0].spacer.length = NAN;
  s.side[0].air.level_taken = (struct df_level_taken){DF_IN, DF_OUT, DF_OUT};
  near(df_air_at_full_travel(&s, 0, NULL), open_bore() - wire - 6e-6, 1e-15, HAND);
}
END_TEST

// A valve of 5 cm3 put in after the level was taken raises the oil; a plain rod has none.
START_TEST(valve_in_or_out)
{
  struct df_scenario s;
  double in, solids[2];
  fork_of(&s, 1);
  s.side[0].air.level_taken = (struct df_level_taken){DF_IN, DF_OUT, DF_OUT};
  in = df_air_at_full_travel(&s, 0, &solids[0]);
  near(in, open_bore() - wire - wall() - washers() - 6e-6, 1e-15, HAND);
  s.side[0].air.level_taken.valve = DF_OUT;
  near(df_air_at_full_travel(&s, 0, &solids[1]), in - 5e-6, 1e-15, HAND);
  near(solids[1], solids[0], 0, "the valve is no part of them");
  s.side[0].has_valve = 0;
  near(df_air_at_full_travel(&s, 0, NULL), in, 1e-15, HAND);
}
END_TEST

START_TEST(solids_as_given)
{
  struct df_scenario s;
  double solids;
  fork_of(&s, 0);
  s.side[0].air.solids = 60e-6;
  near(df_air_at_full_travel(&s, 0, &solids), open_bore() - 60e-6, 1e-15, HAND);
  near(solids, 60e-6, 0, HAND);
}
END_TEST

// Linear legs: each carries preload + rate x. 2 (100 N + 8 N/mm x) = m_s g cos e.
START_TEST(rest_of_linear_legs)
{
  struct df_scenario s;
  struct df_statics statics;
  appendix_a_scenario(&s, 0);
  for (int i = 0; i < 2; i++) s.side[i].leg.has_linear = 1, s.side[i].leg.linear = (struct df_linear_leg){8e3, 500, 100};
  ck_assert_int_eq(df_statics_of(&s, &statics, NULL), DF_OK);
  double load = 113.56*9.80665*cos(26*M_PI/180);
  near_share(statics.x_ride, (load - 200)/16e3, 1e-12, "balance of the front along the fork");
  near_share(statics.free_travel, (-17*9.80665*cos(26*M_PI/180) - 200)/16e3, 1e-12, "the wheel hangs on the legs");
  for (int i = 0; i < 2; i++) s.side[i].leg.linear.preload = NAN;
  ck_assert_int_eq(df_statics_of(&s, &statics, NULL), DF_OK);
  near(statics.x_ride, 0, 1e-15, "without a preload the leg carries the load where it stands");
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("column");
  TCase *cases = tcase_create("column");
  tcase_add_test(cases, level_taken_with_everything_out);
  tcase_add_test(cases, level_taken_with_the_spring_in);
  tcase_add_test(cases, level_taken_with_the_spacer_in);
  tcase_add_test(cases, no_spacer_no_washers);
  tcase_add_test(cases, valve_in_or_out);
  tcase_add_test(cases, solids_as_given);
  tcase_add_test(cases, rest_of_linear_legs);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
