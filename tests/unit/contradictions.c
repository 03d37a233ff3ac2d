// Values that contradict each other or physics, each with its place and sentence.
#include "reading.h"

// --- Values against values

START_TEST(contradictions)
{
  says(LEG OIL "rod: {compression_holes: [{count: 2, diameter: 23 mm}], rebound_holes: [{count: 2, "
               "diameter: 2 mm}]}\n",
       "rod.compression_holes[1].diameter", 3, 48,
       "a hole of 23 mm does not go into a rod of 22 mm");
  says("leg: {tube_outside: 41 mm, tube_bore: 42 mm, travel: 130 mm}\n" ROD OIL, "leg.tube_bore", 1,
       39, "the bore of 42 mm is not inside the tube of 41 mm");
  says("leg: {tube_outside: 41 mm, travel: 130 mm, rod_outside: 37 mm}\n" ROD OIL,
       "leg.rod_outside", 1, 57, "the rod of 37 mm does not go into the bore of 36.6 mm");
  says("leg: {tube_outside: 41 mm, travel: 130 mm, lower_dead_volume: 5 cm3}\n" ROD OIL,
       "leg.lower_dead_volume", 1, 63,
       "5 cm3 leaves no oil under the tube past the stop; more than 9.4 cm3 for these diameters");
  says(LEAST "air: {solids: 200 cm3}\n", "air.solids", 4, 15,
       "200 cm3 fill the 157.813 cm3 above the oil; no air is left at full travel");
  says(LEG ROD "oil: {viscosity_40: 32 mm2/s, viscosity_100: 33 mm2/s}\n", "oil.viscosity_100", 3,
       46, "33 mm2/s at 100 degC is not below 32 mm2/s at 40 degC");
  says(LEG ROD "oil: {viscosity_40: 32 mm2/s, viscosity_100: 5 mm2/s, viscosity_index: 100}\n",
       "oil.viscosity_index", 3, 72, "given beside viscosity_100; one of the two tells the other");
  says(LEAST "valve: {stop: 6 mm}\n", "valve.stop", 4, 15,
       "6 mm of lift; at most 4.65 mm, half of where the jet would hold the plate");
  says(LEAST "valve: {spring_rate: 0 N/mm}\n", "valve.spring_rate", 4, 22,
       "0 and no shims: nothing closes the valve");
  says(LEAST "spring: {solid_length: 430 mm}\n", "spring.solid_length", 4, 24,
       "the coils close at 430 mm, the free spring is 420 mm long");
  says(LEAST "spring: {second_rate: 12 N/mm}\n", "spring.second_rate", 4, 23,
       "second_rate and change_at belong together");
  says(LEAST "spring: {second_rate: 8 N/mm, change_at: 50 mm}\n", "spring.second_rate", 4, 23,
       "8 N/mm is not stiffer than the first rate of 9 N/mm");
  says(LEAST "cone: {gap_start: 0.1 mm}\n", "cone.gap_start", 4, 19,
       "the gap of 0.15 mm at the end is wider than 0.1 mm at the start");
  says(LEAST "roads: {x: {kind: flat, speed: 0 km/h}}\n", "roads.x.speed", 4, 32,
       "0 km/h never gets anywhere; only a push is done at a standstill");
  says(LEAST "roads: {x: {kind: edge, height: 9 mm, speed: 30 km/h, meet: dive_peak}}\n",
       "roads.x.meet", 4, 61, "the obstacle is met under braking, but the road has no brake");
  says(LEAST "bike: {wet_mass: 30 kg, front_unsprung_mass: 60 kg}\nrider: {mass: 0 kg}\n",
       "bike.front_unsprung_mass", 4, 46,
       "60 kg, but the front wheel carries 14.7 kg in all; nothing is left to spring");
}
END_TEST

START_TEST(leg_and_rod)
{
  says(
      "leg: {tube_outside: 41 mm, travel: 130 mm, annulus_dead_volume: 3 cm3}\n" ROD OIL,
      "leg.annulus_dead_volume", 1, 65,
      "3 cm3 leaves no oil round the rod past the top-out; more than 3.36 cm3 for these diameters");
  says("leg: {tube_outside: 41 mm, travel: 130 mm, check_valve: {crack: 2 kPa}}\n" ROD OIL,
       "leg.check_valve.crack", 1, 65,
       "fully open at 1.5 kPa, before it begins to open at 2 kPa");
  says(LEG OIL "rod: {compression_holes: [{count: 2, diameter: 1 mm, entry_chamfer: 1.2 mm}], "
               "rebound_holes: [{count: 2, diameter: 2 mm}]}\n",
       "rod.compression_holes[1].diameter", 3, 48,
       "its edge is broken by 1.2 mm, more than its diameter of 1 mm");
  says(LEG OIL "rod: {opened: {compression_holes: [{count: 2, diameter: 5 mm}], "
               "rebound_holes: [{count: 2, diameter: 2 mm}]}, state: as_found}\n",
       "rod.state", 3, 118, "as_found, but only opened holes are given");
  says(LEG OIL "rod: {" FOUND ", rebound_holes: [{count: 1, diameter: 2 mm}]}\n",
       "rod.rebound_holes", 3, 147, "rod has as_found or opened; write these holes there");
  good(LEG OIL "rod: {compression_holes: [{count: 1, diameter: 15 mm}], "
               "rebound_holes: [{count: 2, diameter: 2 mm}]}\n");
  ck_assert_int_eq(faults.n, 2); // it is unusual, and:
  ck_assert_str_eq(faults.at[1].text,
                   "a hole of 15 mm is wider than the rod's bore of 14 mm; is it?");
}
END_TEST

START_TEST(valve)
{
  says(LEAST "valve: {return_crack: 3 kPa}\n", "valve.return_crack", 4, 23,
       "fully open at 2 kPa, before it begins to open at 3 kPa");
  says(LEAST "valve: {port_inner: 17 mm}\n", "valve.port_inner", 4, 21,
       "17 mm is not inside the seat of 16 mm");
  says(LEAST "valve: {preload: 20 turn, adjuster_pitch: 2 mm}\n", "valve.preload", 4, 18,
       "20 turn of 2 mm make 40 mm; at most 30 mm");
  says(LEAST "valve: {shims: [{count: 1, diameter: 15 mm, thickness: 0.15 mm}]}\n",
       "valve.shims[1].diameter", 4, 38, "the face shim of 15 mm does not reach the seat of 16 mm");
  says(LEAST "valve: {shims: [{count: 1, diameter: 20 mm, thickness: 0.15 mm}], "
             "shim_clamp: 16 mm}\n",
       "valve.shim_clamp", 4, 79, "16 mm is not inside the seat of 16 mm");
  good(LEAST "valve: {spring_rate: 0 N/mm, shims: [{count: 1, diameter: 20 mm, "
             "thickness: 0.15 mm}]}\n"); // shims alone
}
END_TEST

START_TEST(oil_and_air)
{
  says(LEG ROD "oil: {viscosity_40: 32 mm2/s, cavitation_threshold: 0.9 kPa}\n",
       "oil.cavitation_threshold", 3, 53,
       "the threshold of 0.9 kPa is not above the vapour pressure of 1 kPa");
  says(LEG ROD "oil: {blend: [{viscosity_40: 15 mm2/s, viscosity_100: 16 mm2/s, share: 100 %}]}\n",
       "oil.blend[1].viscosity_100", 3, 55, "not below the viscosity at 40 degC");
  says(LEAST "air: {sealed_travel: 140 mm}\n", "air.sealed_travel", 4, 22,
       "140 mm is more than the travel of 130 mm");
  says(LEAST "air: {oil_level: 50 mm}\n", "air.oil_level", 4, 18,
       "spring and cap fill the 52.6044 cm3 above the oil; no air is left at full travel");
  good(LEAST "air: {oil_level: 50 mm, level_taken: {spring: in}}\n"); // cannot be told here
}
END_TEST

START_TEST(spring_and_spacer)
{
  says(LEAST "spring: {wire: 8 mm, outside: 16 mm}\n", "spring.wire", 4, 16,
       "a wire of 8 mm makes no coil of 16 mm");
  says(LEAST "spring: {preload: 60 mm, solid_length: 360 mm}\n", "spring.preload", 4, 19,
       "60 mm; the coils close after 60 mm");
  says(LEAST "spring: {outside: 37 mm}\n", "spring.outside", 4, 19,
       "a spring of 37 mm does not go into the bore of 36.6 mm");
  says(LEAST "spacer: {outside: 37 mm}\n", "spacer.outside", 4, 19,
       "a spacer of 37 mm does not go into the bore of 36.6 mm");
  says(LEAST "spacer: {inside: 35 mm}\n", "spacer.inside", 4, 18,
       "the spacer's inside of 35 mm is not inside its outside of 34.1 mm");
  good(LEAST "spring: {rate: 10.5 N/mm, wire: 4.7 mm, outside: 33 mm, coils: 20, mass: 0.15 kg, "
             "solid_length: 70 mm}\n");
  ck_assert_int_eq(faults.n, 2);
  ck_assert_str_eq(faults.at[0].text, "0.15 kg, but wire, outside and coils make 0.266 kg; "
                                      "measure again"); // pi/4 4.7^2 pi 28.3 22 7850e-9
  ck_assert_str_eq(faults.at[1].text, "70 mm, but wire and coils make 94 mm; measure again");
}
END_TEST

START_TEST(front_and_roads)
{
  says(LEAST "cone: {length: 95 mm}\ntop_out: {length: 5 mm}\n"
             "tyre: {radius: 70 mm}\n",
       "tyre.section_height", 0, 0, "80 mm is more than the tyre's radius of 70 mm");
  says("leg: {tube_outside: 41 mm, travel: 40 mm}\ncone: {length: 41 mm}\n" ROD OIL, "cone.length",
       2, 16, "41 mm is not less than the travel of 40 mm");
  says("leg: {tube_outside: 41 mm, travel: 40 mm}\ntop_out: {length: 45 mm}\n" ROD OIL,
       "top_out.length", 2, 19, "45 mm is not less than the travel of 40 mm");
  says(LEAST "roads: {push: {speed: 5 km/h}}\n", "roads.push.speed", 4, 23,
       "5 km/h, but a push is done at a standstill; write 0 km/h");
}
END_TEST

START_TEST(warnings_do_not_stop)
{
  good(LEAST "cap: {depth: 80 mm}\n");
  ck_assert_int_eq(faults.n, 1);
  ck_assert_int_eq(faults.errors, 0);
  ck_assert_int_eq(faults.at[0].warning, 1);
  ck_assert_str_eq(faults.at[0].key, "cap.depth");
  ck_assert_str_eq(faults.at[0].text, "80 mm is unusual; usual: 1 to 60 mm");
  good(LEAST "spring: {wire: 4.7 mm, outside: 33 mm, coils: 20}\n"); // makes 10.7 N/mm
  ck_assert_str_eq(faults.at[0].key, "spring.rate");
  ck_assert_int_eq(faults.at[0].warning, 1);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("contradictions");
  TCase *all = tcase_create("all");
  tcase_add_checked_fixture(all, setup, teardown);
  tcase_set_timeout(all, 60);
  tcase_add_test(all, contradictions);
  tcase_add_test(all, leg_and_rod);
  tcase_add_test(all, valve);
  tcase_add_test(all, oil_and_air);
  tcase_add_test(all, spring_and_spacer);
  tcase_add_test(all, front_and_roads);
  tcase_add_test(all, warnings_do_not_stop);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
