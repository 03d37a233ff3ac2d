// Reading whole scenarios: values, what is usual, roads, right leg, expectations, and what is said
// when it is wrong.
#include "reading.h"

// --- What is read

START_TEST(least_scenario)
{
  good(LEAST);
  const struct df_side *s = &got->side[0];
  near(s->leg.tube_bore, 0.0366, 1e-12, RULE);
  near(s->leg.rod_outside, 0.022, 1e-12, RULE);
  near(s->leg.rod_bore, 0.014, 1e-12, RULE);
  near(s->leg.rod_length, 0.260, 1e-12, RULE);
  near(s->spring.rate, 9000, 1e-9, RULE);
  near(s->air.oil_level, 0.150, 1e-12, RULE);
  near(s->spring.free_length, 0.42, 1e-12, RULE);
  near(s->spring.solid_length, 0.14, 1e-12, RULE);
  near(s->spring.preload, 0.015, 1e-12, RULE);
  near(s->spacer.outside, 0.0341, 1e-12, RULE);
  near(s->spacer.inside, 0.0301, 1e-12, RULE);
  near(s->oil.temperature, 303.15, 1e-12, RULE);
  near(got->bike.mass_height, 0.43*1.44, 1e-12, RULE);
  near(got->bike.rake, 26*M_PI/180, 1e-12, RULE);
  near(got->seals.pressure_factor, 4e-5, 1e-18, RULE);
  near(s->oil.air_fraction, 0.005, 1e-15, RULE);
  ck_assert_int_eq(s->has_valve, 0);
  ck_assert_int_eq(s->spacer.given, 0);
  ck_assert_int_eq(got->unlike, 0);
  ck_assert_int_eq(memcmp(&got->side[0], &got->side[1], sizeof got->side[0]), 0);
  ck_assert_int_eq(got->tyre.slope_force, DF_ON);
  ck_assert_int_eq(got->use, DF_USE_BRISK_ROAD);
  ck_assert_str_eq(got->title, "fork");
  ck_assert_double_nan(s->leg.tube_end_height);
  ck_assert_double_nan(s->air.solids);
  ck_assert_double_nan(s->air.thermal_time);
  ck_assert_double_nan(s->leg.piston_gap.gap);
  ck_assert_double_nan(s->rod.holes.compression_holes.at[0].height);
  ck_assert_double_nan(s->rod.holes.compression_holes.at[0].depth);
  ck_assert_double_nan(s->rod.holes.rebound_holes.at[0].depth);
}
END_TEST

START_TEST(by_tube_size)
{
  static const struct { const char *leg; double bore, rod, rate, level;
  } rows[] = {
      {"leg: {tube_outside: 35 mm, travel: 140 mm}\n", 30.8, 20, 6.5, 170},
      {"leg: {tube_outside: 37 mm, travel: 140 mm}\n", 32.8, 20, 7.5, 170},
      {"leg: {tube_outside: 43 mm, travel: 150 mm}\n", 38.6, 22, 9, 130},
      {"leg: {tube_outside: 38 mm, travel: 140 mm}\n", 33.6, 20, 7.5,
       170}, // nearest row, bore = outside - 4.4
      {"leg: {tube_outside: 1.5 in, travel: 140 mm}\n", 33.7, 20, 7.5, 170},
  };
  for (size_t i = 0; i < sizeof rows/sizeof rows[0]; i++) {
    char text[400];
    snprintf(text, sizeof text, "%s" ROD OIL, rows[i].leg);
    good(text);
    near(got->side[0].leg.tube_bore*1e3, rows[i].bore, 1e-9, RULE);
    near(got->side[0].leg.rod_outside*1e3, rows[i].rod, 1e-9, RULE);
    near(got->side[0].spring.rate*1e-3, rows[i].rate, 1e-9, RULE);
    near(got->side[0].air.oil_level*1e3, rows[i].level, 1e-9, RULE);
  }
}
END_TEST

START_TEST(valve_and_its_usual_bleed)
{
  good(LEAST "valve: {}\n");
  const struct df_valve *v = &got->side[0].valve;
  ck_assert_int_eq(got->side[0].has_valve, 1);
  near(v->preload, 0.003, 1e-15, RULE);
  near(v->preload_turns, 3, 0, RULE);
  near(v->port_inner, 0.0112, 1e-15, RULE);
  ck_assert_int_eq(v->bleed_n, 1);
  near(v->bleed_holes[0].diameter, 0.0015, 1e-15, RULE);
  ck_assert_int_eq(value("valve.bleed_holes[1].diameter").given, 0);
  ck_assert_int_eq(v->shim_n, 0);
  good(LEAST "valve: {preload: 2.5 turn, adjuster_pitch: 0.8 mm, bleed_holes: none}\n");
  near(got->side[0].valve.preload, 0.002, 1e-15, "2.5 turns of 0.8 mm");
  ck_assert_int_eq(got->side[0].valve.bleed_n, 0);
  good(LEAST "valve: {preload: 2 mm}\n");
  ck_assert_double_nan(got->side[0].valve.preload_turns);
  good(LEAST "valve: none\n");
  ck_assert_int_eq(got->side[0].has_valve, 0);
}
END_TEST

START_TEST(as_found_and_opened)
{
  good(LEG OIL "rod: {" FOUND "}\nvalve: {}\n");
  ck_assert_int_eq(got->side[0].rod.state, DF_ROD_AS_FOUND); // nobody opened it
  good(LEG OIL "rod: {" FOUND ", state: opened}\n");
  const struct df_rod_holes *h = &got->side[0].rod.holes;
  ck_assert_int_eq(h->compression_holes.n, 3);
  near(h->compression_holes.at[2].height, 0.038, 1e-15, "pairs 10 mm apart upwards");
  near(h->compression_holes.at[0].diameter, 0.00635, 1e-15, RULE);
  near(h->compression_holes.at[1].entry_chamfer, 0.0005, 1e-15, RULE);
  near(h->rebound_holes.at[0].diameter, 0.0022, 1e-15, "rebound holes as found");
  good(LEG OIL "rod: {" FOUND
               ", opened: {compression_holes: [{count: 4, diameter: 6 mm}]}}\nvalve: {}\n");
  ck_assert_int_eq(got->side[0].rod.state, DF_ROD_OPENED);
  near(got->side[0].rod.holes.compression_holes.at[0].count, 4, 0, RULE);
  near(got->side[0].rod.holes.rebound_holes.at[0].diameter, 0.0022, 1e-15,
       "rebound holes as found");
  good(LEG OIL "rod: {" FOUND ", opened: {compression_holes: [{count: 4, diameter: 6 mm}]}}\n");
  ck_assert_int_eq(got->side[0].rod.state, DF_ROD_AS_FOUND); // no valve
  good(LEG OIL "rod: {compression_holes: [{count: 2, diameter: 6 mm}], rebound_holes: [{count: 2, "
               "diameter: 2.2 mm}], state: opened}\n");
  ck_assert_int_eq(got->side[0].rod.holes.compression_holes.n, 1);
  near(got->side[0].rod.holes.compression_holes.at[0].count, 6, 0, RULE);
  near(got->side[0].rod.as_found.compression_holes.at[0].diameter, 0.006, 1e-15,
       "holes directly under rod are as found");
}
END_TEST

START_TEST(spacer_makes_the_preload)
{
  good(LEAST SPACER);
  near(got->side[0].spring.preload, 0.015, 1e-15, "169.5 + 3 + 14 - 171.5");
  ck_assert_int_eq(value("spring.preload").given, 0);
  good(LEAST SPACER "spring: {preload: 15.4 mm}\n");
  near(got->side[0].spring.preload, 0.0154, 1e-15, "given, within 0.5 mm");
  good(LEAST "valve: {height: 20 mm}\nspacer: {depth_to_spring: 191.5 mm, depth_taken: {valve: "
             "out}, length: 169.5 mm}\n");
  near(got->side[0].spring.preload, 0.015, 1e-15, "depth taken without the valve is 20 mm more");
  says(LEAST SPACER "spring: {preload: 16 mm}\n", "spring.preload", 6, 19,
       "16 mm is given, but the spacer makes 15 mm (length + washers + cap - depth); they may "
       "differ by 0.5 mm");
}
END_TEST

START_TEST(oil_by_index_and_blend)
{
  good(LEG ROD "oil: {viscosity_40: 32 mm2/s}\n");
  ck_assert_double_nan(got->side[0].oil.viscosity_100);
  near(got->side[0].oil.viscosity_index, 150, 0, RULE);
  good(LEAST);
  ck_assert_double_nan(got->side[0].oil.viscosity_index);
#define PARTS                                                                                      \
  "{viscosity_40: 15 mm2/s, viscosity_100: 3.5 mm2/s, share: 30 %}, {viscosity_40: 32 mm2/s, "     \
  "viscosity_100: 5.4 mm2/s, share: 70 %}"
  good(LEG ROD "oil: {blend: [" PARTS "]}\n");
  ck_assert_int_eq(got->side[0].oil.blend_n, 2);
  near(got->side[0].oil.blend[1].share, 0.7, 1e-15, RULE);
  says(LEG ROD "oil: {density_15: 870 kg/m3, blend: [" PARTS "]}\n", "oil.density_15", 3, 19,
       "given beside blend, which stands in for it");
  says(LEG ROD "oil: {blend: [{viscosity_40: 15 mm2/s, viscosity_100: 3.5 mm2/s, share: 30 %}]}\n",
       "oil.blend[1].share", 3, 73, "all parts together make 30 %; 100 % is wanted");
}
END_TEST

START_TEST(roads_of_the_use)
{
  good(LEAST "use: gravel\n");
  ck_assert_int_eq(got->roads_of_use, 1);
  ck_assert_int_eq(got->road_n, 10);
  ck_assert_str_eq(got->road[1].name, "edge-in-dive");
  near(got->road[1].brake.deceleration, 3.5, 1e-12, "gravel brakes softer");
  near(got->road[1].brake.ramp, 0.25, 1e-15, "that of braking");
  ck_assert_int_eq(got->road[1].meet, DF_MEET_DIVE_PEAK);
  ck_assert_int_eq(value("roads.edge-in-dive.speed").given, 0);
  good(LEAST "use: touring\n");
  ck_assert_int_eq(got->road_n, 12);
  good(LEAST);
  near(got->road[2].brake.deceleration, 6, 1e-12, RULE);
}
END_TEST

START_TEST(roads_by_name)
{
  good(LEAST "braking: {ramp: 0.4 s}\nroads:\n  edge-25: ready\n  hump: {speed: 35 km/h}\n  mine: "
             "{kind: edge, height: 30 mm, speed: 50 km/h, "
             "meet: 0.5 s, brake: {deceleration: 5 m/s2, hold: 2 s}}\n");
  ck_assert_int_eq(got->roads_of_use, 0);
  ck_assert_int_eq(got->road_n, 3);
  near(got->road[0].keys[0], 0.025, 1e-15, RULE);
  near(got->road[0].speed, 40/3.6, 1e-12, RULE);
  near(got->road[1].speed, 35/3.6, 1e-12, "given over the ready road");
  near(got->road[1].keys[0], 0.120, 1e-15, "the ready road's height");
  ck_assert_int_eq(value("roads.hump.speed").given, 1);
  ck_assert_int_eq(value("roads.hump.height").given, 0);
  ck_assert_int_eq(got->road[2].meet, DF_MEET_TIME);
  near(got->road[2].meet_time, 0.5, 0, RULE);
  near(got->road[2].brake.ramp, 0.4, 0, "that of braking");
  near(got->road[2].brake.hold, 2, 0, RULE);
  ck_assert_int_eq(got->road[2].contact, -1);
  ck_assert_str_eq(value("roads.mine.kind").word, "edge");
  ck_assert_str_eq(value("roads.mine.meet").word, "0.5 s");
}
END_TEST

START_TEST(every_ready_road_is_whole)
{
  static const char *const names[] = {
      "brake-wet",        "brake-dry",   "edge-15", "edge-25",    "edge-40",   "edge-in-dive",
      "edge-braked-rest", "second-bump", "hump",    "round-hump", "lean-in",   "push",
      "town-c",           "road-b",      "road-c",  "track-d",    "washboard", "dip",
      "flat-hump"};
  for (size_t i = 0; i < sizeof names/sizeof names[0]; i++) {
    char text[600];
    snprintf(text, sizeof text, LEAST "roads: {%s: ready}\n", names[i]);
    good(text);
    ck_assert_int_eq(got->road_n, 1);
    struct df_polyline line = { 0 };
    enum df_status status = df_road_kinds[got->road[0].kind]->shape(&got->road[0], &line, &faults);
    ck_assert_msg(status == DF_OK, "%s: %s", names[i], faults.at[0].text);
    free(line.s);
    free(line.z);
  }
}
END_TEST

START_TEST(right_leg)
{
  good(LEAST "right: {air: {oil_level: 140 mm}}\n");
  ck_assert_int_eq(got->unlike, 1);
  near(got->side[0].air.oil_level, 0.150, 1e-15, RULE);
  near(got->side[1].air.oil_level, 0.140, 1e-15, RULE);
  near(got->side[1].leg.tube_bore, 0.0366, 1e-15, "the rest as on the left");
  ck_assert_int_eq(value("right.air.oil_level").given, 1);
  ck_assert_int_lt(df_reading_find(reading, "right.leg.tube_bore"), 0);
  good(LEAST "right: {air: {oil_level: 150 mm}}\n");
  ck_assert_int_eq(got->unlike, 0); // said, but the same
  good(LEAST "valve: {}\nright: {valve: none}\n");
  ck_assert_int_eq(got->side[1].has_valve, 0);
  ck_assert_int_eq(got->unlike, 1);
  good(LEAST "right: {valve: {preload: 2 turn}}\n");
  ck_assert_int_eq(got->side[1].has_valve, 1);
  near(got->side[1].valve.preload, 0.002, 1e-15, RULE);
  near(value("right.valve.seat_diameter").si, 0.016, 1e-15, "assumed, and not on the left");
  says(LEAST "spring: {rate: 9}\nright: {air: {oil_level: 140 mm}}\n", "spring.rate", 4, 16,
       "no unit; write 9 N/mm"); // said once, though the right leg has it too
  says(LEAST "right: {air: {oil_levl: 140 mm}}\n", "right.air.oil_levl", 4, 15,
       "no such key; did you mean oil_level?");
  says(LEAST "right: {rod: {rebound_holes: [{count: 2}]}}\n", "right.rod.rebound_holes[1].diameter",
       4, 31, "missing: diameter of each hole; 0.1 mm is worth some 15 % of rebound; 0.6 to 6 mm");
}
END_TEST

START_TEST(linear_leg)
{
  good("leg: {linear: {rate: 10 N/mm, damping: 400 N.s/m}}\n");
  ck_assert_int_eq(got->side[0].leg.has_linear, 1);
  near(got->side[0].leg.linear.rate, 1e4, 1e-9, RULE);
  ck_assert_double_nan(got->side[0].leg.linear.preload);
  ck_assert_int_eq(faults.n, 0);
  good("leg: {linear: {rate: 10 N/mm, damping: 400 N.s/m}}\n" ROD "spring: {rate: 9 N/mm}\n");
  ck_assert_int_eq(faults.n, 1);
  ck_assert_str_eq(faults.at[0].text,
                   "a linear leg stands in for the whole leg; not used: rod, spring");
  says("leg: {linear: {rate: 10 N/mm}}\n", "leg.linear.damping", 1, 15,
       "missing: damping of a leg with linear laws, the same both ways; 0 to 1e+07 N.s/m");
}
END_TEST

// --- What is said

START_TEST(ten_faults_ten_messages)
{
  enum df_status status =
      try("bike: {wet_mass: 190, wheel_base: 1440 mm, rake: 64 degree}\n"
          "tyre: {stiffness: 150 mm, contact: disk}\n"
          "leg: {tube_outside: 41 mm, travel: 130 mm, rod_outside: 22 mm, rod_bore: 24 mm}\n"
          "rod: {compression_holes: [{count: 2, diameter: 3,5 mm}], rebound_holes: [{count: 2, "
          "diameter: 2.2 mm}]}\n"
          "oil: {viscosity_100: 5.4 mm2/s}\n"
          "spring: {rate: 0.92 N/mm}\n"
          "roads: {town: {kind: randm, speed: 50 km/h}}\n"
          "expect: {twn.travel_peak: 92 mm +- 2 %}\n");
  static const struct { int line, column; const char *key;
  } want[] = {
      {1, 18, "bike.wet_mass"},
      {1, 23, "bike.wheel_base"},
      {1, 50, "bike.rake"},
      {2, 19, "tyre.stiffness"},
      {2, 36, "tyre.contact"},
      {3, 74, "leg.rod_bore"},
      {4, 50, "5 mm"},
      {5, 6, "oil.viscosity_40"},
      {6, 16, "spring.rate"},
      {7, 22, "roads.town.kind"},
      {8, 27, "expect.twn.travel_peak"},
  };
  ck_assert_int_eq(status, DF_BAD_INPUT);
  int n = sizeof want/sizeof want[0];
  for (int i = 0; i < n && i < faults.n; i++) {
    ck_assert_str_eq(faults.at[i].key, want[i].key);
    ck_assert_int_eq(faults.at[i].line, want[i].line);
    ck_assert_int_eq(faults.at[i].column, want[i].column);
    ck_assert_str_eq(faults.at[i].file, "fork.yaml");
  }
  ck_assert_int_eq(faults.n, n);
  ck_assert_int_eq(faults.errors, n);
}
END_TEST

START_TEST(a_yaml_fault_ends_the_reading_not_the_walk)
{
  ck_assert_int_eq(try("bike: {rake: 64 degree}\nrider: {mass: 80 kg\n"), DF_BAD_INPUT);
  ck_assert_int_eq(faults.n, 2); // and no complaint about what was not read
  ck_assert_str_eq(faults.at[0].key, "bike.rake");
  ck_assert_int_eq(faults.at[1].line, 2);
}
END_TEST

START_TEST(unknown_keys)
{
  says(LEAST "rake: 26 degree\n", "rake", 4, 1, "no such key here; did you mean bike.rake?");
  says(LEAST "bike: {total_mass: 270 kg}\n", "bike.total_mass", 4, 8,
       "no such key; write bike.wet_mass and rider.mass, which are given apart");
  says(LEAST "cap: {colour: red}\n", "cap.colour", 4, 7,
       "no such key; here may stand: depth, volume");
  says(LEAST "roads: {x: {kind: dip, depth: 90 mm, length: 6 m, speed: 40 km/h, hieght: 3 m}}\n",
       "roads.x.hieght", 4, 67,
       "no such key; here may stand: kind, speed, window, repeat, gap, contact, brake, lean, push, "
       "meet, depth, length");
  says(LEAST "roads: {x: {kind: cleat, height: 25 mm, speed: 40 km/h, lenght: 30 mm}}\n",
       "roads.x.lenght", 4, 57, "no such key; did you mean length?");
  says(LEAST "seals: {bush_frictoin: 0.03}\n", "seals.bush_frictoin", 4, 9,
       "no such key; did you mean bush_friction?");
}
END_TEST

START_TEST(wrong_shapes)
{
  says(LEAST "bike: 200 kg\n", "bike", 4, 7,
       "a section is wanted, as in {wet_mass: ...}: the bike without rider");
  says(LEAST "bike:\n", "bike", 4, 6,
       "nothing below it; write keys, as in {wet_mass: ...}, or leave it out");
  says(LEAST "bike: {rake: }\n", "bike.rake", 4, 14,
       "no value: angle of the fork from the vertical; 0 to 36 degree");
  says(LEAST "bike: {rake: [26 degree]}\n", "bike.rake", 4, 14,
       "a single value is wanted, not a list: angle of the fork from the vertical; 0 to 36 degree");
  says(LEAST "have: {springs: 9 N/mm}\n", "have.springs", 4, 17,
       "a list is wanted, as in [3.5 N/mm, ...]: rates of the fork springs at hand");
  says(LEAST "roads: {x: ready}\n", "roads.x", 4, 12,
       "a section is wanted, as in {kind: edge, ...}, or `ready` where a ready road has this name");
  says(LEAST "roads: {x: {speed: 40 km/h}}\n", "roads.x.kind", 4, 12,
       "no kind, and no ready road has this name; give a kind or one of the ready roads' names");
  says(LEAST "roads: {Upper: {kind: flat, speed: 40 km/h}}\n", "roads.Upper", 4, 9,
       "not a name for a road; small letters, digits and hyphens, a letter first, at most 32, not "
       "'static'");
  says(LEAST "have: {washers: [1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm, "
             "1 mm, 1 mm, 1 mm, 1 mm, 1 mm, 1 mm]}\n",
       "have.washers", 4, 17, "17 items; at most 16");
  says(LEAST "roads: {x: {kind: edge, height: 9 mm, speed: 9 km/h, meet: 61 s, "
             "brake: {deceleration: 5 m/s2}}}\n",
       "roads.x.meet", 4, 60, "61 s is far too large; allowed: 0 to 60 s");
  says(LEAST "rider: {mass: 1e308 t}\n", "rider.mass", 4, 15, "'1e308 t' is too large a number");
  says(LEAST "format: 2\n", "format", 4, 9, "this program reads format 1");
  says(LEAST "right: 5\n", "right", 4, 8, "a section is wanted, as in {air: {oil_level: 140 mm}}");
  says(LEAST "bike:\n  rake: |\n    26 degree\n", "bike.rake", 5, 9,
       "a value on one line is wanted: angle of the fork from the vertical; 0 to 36 degree");
}
END_TEST

START_TEST(long_texts)
{
  char text[2000], key[200];
  memset(key, 'k', 150);
  key[150] = 0;
  snprintf(text, sizeof text, LEAST "%s: 1\n", key);
  ck_assert_int_eq(try(text), DF_BAD_INPUT);
  ck_assert_int_eq(strcmp(faults.at[0].key + strlen(faults.at[0].key) - 3, "..."), 0);
  char title[1100];
  memset(title, 't', 1024);
  title[1024] = 0;
  snprintf(text, sizeof text, LEAST "title: %s\n", title);
  says(text, "title", 4, 8, "1024 bytes; at most 1023");
  text[strlen(text) - 2] = 0; // one less
  good(text);
  good(LEAST "roads: none\n");
  ck_assert_int_eq(got->roads_of_use, 1);
}
END_TEST

START_TEST(missing_values)
{
  ck_assert_int_eq(try("{}"), DF_BAD_INPUT);
  static const char *const want[] = {"leg.tube_outside", "leg.travel", "rod.compression_holes",
                                     "rod.rebound_holes", "oil.viscosity_40"};
  ck_assert_int_eq(faults.n, 5);
  for (int i = 0; i < 5; i++) ck_assert_str_eq(faults.at[i].key, want[i]);
  says(LEAST "roads: {x: {kind: edge, speed: 40 km/h}}\n", "roads.x.height", 4, 12,
       "missing: height of the face; negative: the road drops; -60 to 60 mm");
}
END_TEST

// --- Expectations

static const char *unit_of(const char *name)
{
  return !strcmp(name, "travel_peak") ? "mm" : !strcmp(name, "airborne_time") ? "s" : NULL;
}

static const char *name_at(int i)
{
  static const char *const names[] = { "travel_peak", "airborne_time" };
  return i < 2 ? names[i] : NULL;
}

START_TEST(how_sure_a_learned_value_is)
{
  double off = NAN;
  good(LEAST "spring: {rate: 9.1 N/mm}\nseals: {sliding: 27 N, bush_friction: 0.031}\n"
       "learned: {spring.rate: 9.1 N/mm +- 2 %, seals.sliding: 27 N +- 4 N, "
       "seals.bush_friction: 0.031 +- 0.005, 'seals.sliding, spring.rate': -0.82, valve.preload: 3 mm +- 0.1 mm}\n");
  ck_assert_int_eq(df_reading_learned(reading, "seals.sliding", &off), 1);
  near(off, 4, 1e-12, RULE);
  ck_assert_int_eq(df_reading_learned(reading, "spring.rate", &off), 1);
  near(off, 182, 1e-9, RULE);
  ck_assert_int_eq(df_reading_learned(reading, "seals.bush_friction", &off), 1);
  ck_assert_int_eq(df_reading_learned(reading, "oil.temperature", &off), 0);
  ck_assert_int_eq(df_reading_learned(reading, "valve.preload", &off), 0);
  near(df_reading_learned_together(reading, "spring.rate", "seals.sliding"), -0.82, 1e-12, RULE);
  near(df_reading_learned_together(reading, "seals.sliding", "spring.rate"), -0.82, 1e-12, RULE);
  near(df_reading_learned_together(reading, "seals.sliding", "oil.temperature"), 0, 1e-12, RULE);
  // a value that was changed since is no longer the one that was learned
  ck_assert(!df_reading_set_in(reading, "seals.sliding", 30, "N", NULL));
  ck_assert_int_eq(df_reading_learned(reading, "seals.sliding", &off), 0);
  says(LEAST "learned: {seals.sliding: 27 N}\n", "learned.seals.sliding", 4, 26,
       "written VALUE UNIT +- half of the 95 % interval, as in 27 N +- 4 N");
  says(LEAST "learned: {'seals.sliding, spring.rate': 1.2}\n", "learned.seals.sliding, spring.rate", 4,
       41, "the correlation of two values is wanted, -1 to 1");
}
END_TEST

START_TEST(expectations)
{
  options = (struct df_reading_options){ .measure_unit = unit_of, .measure_at = name_at };
  #define ROAD "roads: {town: {kind: flat, speed: 50 km/h}}\n"
  good(LEAST ROAD "expect: {town.travel_peak: 92 mm +- 2 %, town.airborne_time: <= 0.1 s, "
                  "static.travel_peak: '>= 3 mm'}\n"
                  "targets: {sag_rider_share: 30 - 35 %, brake-dry.braked_rest_share: <= 75 %}\n");
  struct df_expectation e;
  ck_assert_int_eq(df_reading_expect_count(reading), 3);
  df_reading_expect(reading, 0, &e);
  ck_assert_str_eq(e.road, "town");
  ck_assert_str_eq(e.measure, "travel_peak");
  ck_assert_int_eq(e.relation, DF_CLAIM_ABOUT);
  near(e.low, 0.092, 1e-15, RULE);
  near(e.tolerance, 0.02, 1e-15, RULE);
  ck_assert_str_eq(e.text, "92 mm +- 2 %");
  df_reading_expect(reading, 1, &e);
  ck_assert_int_eq(e.relation, DF_CLAIM_AT_MOST);
  ck_assert_int_eq(df_reading_target_count(reading), 2);
  df_reading_target(reading, 0, &e);
  ck_assert_str_eq(e.what, "sag_rider_share");
  near(e.high, 0.35, 1e-15, RULE);
  ck_assert(df_reading_target_of(reading, "brake-dry", "braked_rest_share", &e) && e.high == 0.75);
  ck_assert(df_reading_target_of(reading, "static", "sag_rider_share", &e) && e.low == 0.3);
  ck_assert(!df_reading_target_of(reading, "brake-wet", "braked_rest_share", &e) && e.low == 0.3);
  says(LEAST ROAD "expect: {town.travel_peek: 92 mm +- 2 %}\n", "expect.town.travel_peek", 5, 28,
       "no measure is named travel_peek; did you mean travel_peak?");
  says(LEAST ROAD "expect: {town.travel_peak: 92 kg +- 2 %}\n", "expect.town.travel_peak", 5, 28,
       "kg is kg in base units; this measure is in mm, that is m");
  says(LEAST ROAD "expect: {town.travel_peak: 92 mm}\n", "expect.town.travel_peak", 5, 28,
       "no tolerance; write as in 92 mm +- 2 %, or <= or >=");
  says(LEAST ROAD "expect: {travel_peak: 92 mm +- 1 mm}\n", "expect.travel_peak", 5, 23,
       "written ROAD.MEASURE, or static.MEASURE for one that needs no road");
  options = (struct df_reading_options){ 0 };
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("read");
  TCase *all = tcase_create("all");
  tcase_add_checked_fixture(all, setup, teardown);
  tcase_set_timeout(all, 60);
  tcase_add_test(all, least_scenario);
  tcase_add_test(all, by_tube_size);
  tcase_add_test(all, valve_and_its_usual_bleed);
  tcase_add_test(all, as_found_and_opened);
  tcase_add_test(all, spacer_makes_the_preload);
  tcase_add_test(all, oil_by_index_and_blend);
  tcase_add_test(all, roads_of_the_use);
  tcase_add_test(all, roads_by_name);
  tcase_add_test(all, every_ready_road_is_whole);
  tcase_add_test(all, right_leg);
  tcase_add_test(all, linear_leg);
  tcase_add_test(all, ten_faults_ten_messages);
  tcase_add_test(all, a_yaml_fault_ends_the_reading_not_the_walk);
  tcase_add_test(all, unknown_keys);
  tcase_add_test(all, wrong_shapes);
  tcase_add_test(all, long_texts);
  tcase_add_test(all, missing_values);
  tcase_add_test(all, how_sure_a_learned_value_is);
  tcase_add_test(all, expectations);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
