// Reading whole scenarios: values, defaults, overrides, files, faults, hash, writing back, twins.
#include "near.h"

#include "base/param.h"
#include "dampfork/reader.h"
#include "dampfork/road.h"

#include <locale.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define RULE "common practice, by the parameter table"

static struct df_units *units;
static struct df_faults faults;
static struct df_reading *reading;
static const struct df_scenario *got;
static struct df_reading_options options;

static void setup(void)
{
  units = df_reading_units_create(NULL);
  ck_assert_ptr_nonnull(units);
}

static void teardown(void)
{
  df_reading_destroy(reading);
  reading = NULL;
  df_reading_units_destroy(units);
}

#define LEG "leg: {tube_outside: 41 mm, travel: 130 mm}\n"
#define ROD                                                                                        \
  "rod: {compression_holes: [{count: 2, diameter: 6 mm}], rebound_holes: [{count: 2, diameter: "   \
  "2.2 mm}]}\n"
#define OIL "oil: {viscosity_40: 32 mm2/s, viscosity_100: 5.4 mm2/s}\n"
#define LEAST LEG ROD OIL

static enum df_status try(const char *text)
{
  memset(&faults, 0, sizeof faults);
  df_reading_destroy(reading);
  reading = NULL;
  enum df_status status = df_reading_create_text(&reading, units, "fork.yaml", "", text,
                                                 strlen(text), &options, &faults);
  got = status ? NULL : df_reading_scenario(reading);
  return status;
}

static void good(const char *text)
{
  enum df_status status = try(text);
  ck_assert_msg(status == DF_OK, "%d:%d: %s: %s", faults.at[0].line, faults.at[0].column,
                faults.at[0].key, faults.at[0].text);
}

// Exactly one fault, at this key and place, saying this.
static void says(const char *text, const char *key, int line, int column, const char *sentence)
{
  ck_assert_int_eq(try(text), DF_BAD_INPUT);
  ck_assert_ptr_null(reading);
  const struct df_fault *f = &faults.at[0];
  ck_assert_msg(faults.errors == 1, "%d faults in: %s\n1: %s: %s\n2: %s: %s", faults.n, text,
                f->key, f->text, f[1].key, f[1].text);
  while (f->warning) f++;
  ck_assert_str_eq(f->key, key);
  ck_assert_str_eq(f->text, sentence);
  ck_assert_msg(f->line == line && f->column == column, "%s at %d:%d, not %d:%d", text, f->line,
                f->column, line, column);
}

static void same_lines(const char *a, const char *b)
{
  int line = 1;
  for (; *a && *a == *b; a++, b++) line += *a == '\n';
  while (line > 1 && a[-1] != '\n') a--, b--;
  ck_assert_msg(!strcmp(a, b), "line %d differs: %.60s / %.60s", line, a, b);
}

static struct df_value value(const char *path)
{
  struct df_value v;
  int i = df_reading_find(reading, path);
  ck_assert_msg(i >= 0, "no value %s", path);
  df_reading_value(reading, i, &v);
  return v;
}

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
#define FOUND                                                                                      \
  "as_found: {compression_holes: [{count: 2, diameter: 3.5 mm, height: 18 mm}], rebound_holes: "   \
  "[{count: 2, diameter: 2.2 mm}]}"
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
#define SPACER                                                                                     \
  "spacer: {depth_to_spring: 171.5 mm, length: 169.5 mm, washers: 3 mm}\ncap: {depth: 14 mm}\n"
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
      "town-c",           "road-b",      "road-c",  "track-d",    "washboard", "dip"};
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
  says(LEAST "format: 2\n", "format", 4, 9, "this program reads format 1");
  says(LEAST "right: 5\n", "right", 4, 8, "a section is wanted, as in {air: {oil_level: 140 mm}}");
  says(LEAST "bike:\n  rake: |\n    26 degree\n", "bike.rake", 5, 9,
       "a value on one line is wanted: angle of the fork from the vertical; 0 to 36 degree");
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

// --- Overrides

static void with(const char *text, int n, const char *const *set)
{
  options = (struct df_reading_options){ .set = set, .set_n = n };
  try(text);
  options = (struct df_reading_options){ 0 };
}

#define WITH(text, ...)                                                                            \
  with(text, (int)(sizeof(const char *[]){__VA_ARGS__} / sizeof(char *)),                          \
       (const char *const[]){__VA_ARGS__})

START_TEST(overrides)
{
  WITH(LEAST "valve: {}\n", "valve=none", "spring.rate=9.5 N/mm",
       "rod.compression_holes[1].diameter=5 mm", "use=gravel");
  ck_assert_ptr_nonnull(reading);
  ck_assert_int_eq(got->side[0].has_valve, 0);
  near(got->side[0].spring.rate, 9500, 1e-9, RULE);
  near(got->side[0].rod.holes.compression_holes.at[0].diameter, 0.005, 1e-15, RULE);
  ck_assert_int_eq(got->use, DF_USE_GRAVEL);
  struct df_value v = value("spring.rate");
  ck_assert_str_eq(v.file, "--set");
  ck_assert_int_eq(v.line, 2);
  ck_assert_int_eq(v.column, 13);
  ck_assert_str_eq(v.text, "9.5 N/mm");
  WITH(LEAST, "valve={preload: 2 turn}", "valve.bleed_holes[1].diameter=1.2 mm",
       "roads.edge-25.speed=60 km/h");
  ck_assert_ptr_nonnull(reading);
  near(got->side[0].valve.preload, 0.002, 1e-15, RULE);
  near(got->side[0].valve.bleed_holes[0].diameter, 0.0012, 1e-15, RULE);
  near(got->side[0].valve.bleed_holes[0].count, 2, 0, "the usual count");
  ck_assert_int_eq(got->roads_of_use, 1);
  ck_assert_int_eq(got->road_n, 11);
  ck_assert_str_eq(got->road[4].name, "edge-25");
  near(got->road[4].speed, 60/3.6, 1e-12, RULE);
  WITH(LEAST
       "roads: {a: {kind: edge, height: 25 mm, speed: 40 km/h}, b: {kind: flat, speed: 50 km/h}}\n",
       "roads.a=none");
  ck_assert_int_eq(got->road_n, 1);
  WITH(LEAST "have: {springs: [9 N/mm, 10 N/mm, 11 N/mm]}\n", "have.springs[2]=none");
  ck_assert_int_eq(got->have.springs_n, 2);
  near(got->have.springs[1], 11000, 1e-9, RULE);
}
END_TEST

static void override_says(const char *set, const char *key, int column, const char *sentence)
{
  WITH(LEAST, "use=touring", set);
  ck_assert_ptr_null(reading);
  const struct df_fault *f = &faults.at[0];
  ck_assert_msg(faults.n == 1, "%s: %d faults: %s / %s", set, faults.n, f->text, f[1].text);
  ck_assert_str_eq(f->file, "--set");
  ck_assert_str_eq(f->key, key);
  ck_assert_str_eq(f->text, sentence);
  ck_assert_int_eq(f->line, 2);
  ck_assert_int_eq(f->column, column);
  if (!strchr(set, '\x1b'))
    ck_assert_str_eq(f->source, set); // what would move a terminal is not repeated
}

START_TEST(wrong_overrides)
{
  override_says("spring.rate 9", "", 1, "an override is written path.to.key=VALUE");
  override_says("=9", "", 1, "an override is written path.to.key=VALUE");
  override_says("spring.rate=9", "spring.rate", 13, "no unit; write 9 N/mm");
  override_says("sprng.rate=9 N/mm", "sprng", 1, "no such key; did you mean spring?");
  override_says("valve={preload: 2 turm}", "valve.preload", 17,
                "'turm' is not a unit known here; did you mean turn?");
  override_says("valve={preload: 2 turn", "", 7,
                "this { is not closed, or a comma is missing after it");
  override_says("rod.compression_holes[2].diameter=5 mm", "rod.compression_holes[2].diameter", 1,
                "there is no such place in the scenario");
  override_says("rod.compression_holes[2]=none", "rod.compression_holes[2]", 1,
                "the list has 1 item; [k] counts from 1");
  override_says("rod.compression_holes[0]=none", "rod.compression_holes[0]", 1,
                "there is no such place in the scenario");
  override_says("title=a\x1b[31m", "", 8, "a control character; a scenario is plain text");
}
END_TEST

// --- Files

static char folder[] = "/tmp/dampfork-read-XXXXXX";

static void file(const char *name, const char *text)
{
  char path[200];
  snprintf(path, sizeof path, "%s/%s", folder, name);
  FILE *stream = fopen(path, "wb");
  ck_assert_ptr_nonnull(stream);
  fputs(text, stream);
  fclose(stream);
}

static enum df_status open_file(const char *name)
{
  char path[200];
  snprintf(path, sizeof path, "%s/%s", folder, name);
  memset(&faults, 0, sizeof faults);
  df_reading_destroy(reading);
  reading = NULL;
  enum df_status status = df_reading_create(&reading, units, path, &options, &faults);
  got = status ? NULL : df_reading_scenario(reading);
  return status;
}

static void remove_folder(void)
{
  char command[300];
  snprintf(command, sizeof command, "rm -rf '%s'", folder);
  if (system(command)) return;
}

START_TEST(based_on)
{
  ck_assert_ptr_nonnull(mkdtemp(folder));
  file("base.yaml", "title: Base\nexpect: {static.sag_rider: 30 mm +- 5 mm}\n" LEAST
                    "valve: {preload: 2 turn}\nbike: {rake: 25 degree, wheelbase: 1400 mm}\n");
  file("top.yaml", "based_on: base.yaml\nvalve: none\nbike: {rake: 27 degree}\n"
       "rod: {compression_holes: [{count: 4, diameter: 5 mm}, {count: 2, diameter: 4 mm}]}\n");
  ck_assert_int_eq(open_file("top.yaml"), DF_OK);
  ck_assert_str_eq(got->title, "top"); // never taken over
  ck_assert_int_eq(df_reading_expect_count(reading), 0);
  ck_assert_int_eq(got->side[0].has_valve, 0);
  near(got->bike.rake, 27*M_PI/180, 1e-15, RULE);
  near(got->bike.wheelbase, 1.4, 1e-15, "mappings merge");
  ck_assert_int_eq(got->side[0].rod.holes.compression_holes.n, 2);
  near(got->side[0].rod.holes.rebound_holes.at[0].diameter, 0.0022, 1e-15, "lists replace");
  char where[200];
  snprintf(where, sizeof where, "%s/base.yaml", folder);
  ck_assert_str_eq(value("bike.wheelbase").file, where);

  file("a.yaml", "based_on: b.yaml\n");
  file("b.yaml", "based_on: a.yaml\n");
  ck_assert_int_eq(open_file("a.yaml"), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].text, "the files are based on each other in a circle");
  file("c1.yaml", "based_on: c2.yaml\n"), file("c2.yaml", "based_on: c3.yaml\n"),
      file("c3.yaml", "based_on: c4.yaml\n");
  file("c4.yaml", "based_on: c5.yaml\n"), file("c5.yaml", "based_on: base.yaml\n");
  ck_assert_int_eq(open_file("c2.yaml"), DF_OK); // four files below
  ck_assert_int_eq(open_file("c1.yaml"), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].text, "more than 4 files one upon the other");
  file("up.yaml", "based_on: ../base.yaml\n");
  ck_assert_int_eq(open_file("up.yaml"), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].text,
                   "the name leads upwards; only files in the scenario's folder or below are read");
  file("abs.yaml", "based_on: /etc/passwd\n");
  ck_assert_int_eq(open_file("abs.yaml"), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].key, "based_on");
  char link[200];
  snprintf(link, sizeof link, "%s/out.yaml", folder);
  ck_assert_int_eq(symlink("/etc/passwd", link), 0);
  file("link.yaml", "based_on: out.yaml\n");
  ck_assert_int_eq(open_file("link.yaml"), DF_BAD_INPUT);
  ck_assert_str_eq(
      faults.at[0].text,
      "a link leads out of the folder; only files in the scenario's folder or below are read");
  file("gone.yaml", "based_on: nothing.yaml\n");
  ck_assert_int_eq(open_file("gone.yaml"), DF_BAD_INPUT);
  ck_assert_int_eq(faults.at[0].line, 1);
  ck_assert_int_eq(open_file("not-there.yaml"), DF_CANNOT_READ);
  ck_assert_int_eq(open_file("."), DF_CANNOT_READ);
  // A fault in the file below names that file.
  file("base.yaml", LEAST "bike: {rake: 64 degree}\n");
  file("top.yaml", "based_on: base.yaml\n");
  ck_assert_int_eq(open_file("top.yaml"), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].file, where);
  ck_assert_int_eq(faults.at[0].line, 4);
  remove_folder();
}
END_TEST

START_TEST(too_large_a_file)
{
  char *text = malloc(1024*1024 + 10);
  memset(text, '#', 1024*1024 + 9);
  text[1024*1024 + 9] = 0;
  ck_assert_int_eq(try(text), DF_BAD_INPUT);
  ck_assert_str_eq(faults.at[0].text, "more than 1 MiB; a scenario has some kilobytes");
  free(text);
}
END_TEST

START_TEST(recorded_road_stays_below)
{
  good(LEAST "roads: {x: {kind: recorded, file: profiles/a.csv, speed: 50 km/h}}\n");
  ck_assert_str_eq(got->road[0].file, "profiles/a.csv");
  says(LEAST "roads: {x: {kind: recorded, file: ../a.csv, speed: 50 km/h}}\n", "roads.x.file", 4,
       35, "the name leads upwards; only files in the scenario's folder or below are read");
}
END_TEST

// --- Changing

START_TEST(setting_numbers)
{
  good(LEAST "valve: {}\n");
  ck_assert_int_eq(df_reading_set(reading, "leg.travel", 0.150, &faults), DF_OK);
  near(got->side[0].leg.rod_length, 0.280, 1e-15, "what depends on it follows");
  ck_assert_str_eq(value("leg.travel").text, "150 mm");
  ck_assert_int_eq(df_reading_set_in(reading, "valve.preload", 2, "turn", &faults), DF_OK);
  near(got->side[0].valve.preload, 0.002, 1e-15, RULE);
  near(got->side[0].valve.preload_turns, 2, 0, RULE);
  ck_assert_int_eq(df_reading_set(reading, "valve.adjuster_pitch", 0.0008, &faults), DF_OK);
  near(got->side[0].valve.preload, 0.0016, 1e-15, "two turns of another pitch");
  ck_assert_int_eq(df_reading_set(reading, "valve.bleed_holes[1].diameter", 0.0012, &faults),
                   DF_OK);
  near(got->side[0].valve.bleed_holes[0].diameter, 0.0012, 1e-15, "of a usual list");
  ck_assert_int_eq(value("valve.bleed_holes[1].count").given, 0);
  ck_assert_int_eq(df_reading_set(reading, "roads.edge-25.speed", 15, &faults), DF_OK);
  ck_assert_int_eq(got->road_n, 11);
  near(got->road[4].speed, 15, 0, "of a road of the use");
  ck_assert_int_eq(df_reading_set(reading, "run.law", DF_LAW_HANDBOOK, &faults), DF_OK);
  ck_assert_int_eq(got->run.law, DF_LAW_HANDBOOK);
  ck_assert_int_eq(faults.n, 0);
}
END_TEST

START_TEST(a_refused_change_changes_nothing)
{
  good(LEAST);
  char *before = df_reading_lines(reading), *after;
  static const struct { const char *path; double si; enum df_status status;
  } bad[] = {
      {"leg.travel", 10, DF_BAD_INPUT},
      {"leg.rod_bore", 0.025, DF_BAD_INPUT},
      {"spring.rate", NAN, DF_BAD_INPUT},
      {"no.such", 1, DF_UNKNOWN_NAME},
      {"roads.edge-25.speed", -4, DF_BAD_INPUT},
      {"bike.legs", 1.5, DF_BAD_INPUT},
      {"title", 1, DF_BAD_INPUT},
      {"run.law", 7, DF_BAD_INPUT},
  };
  for (size_t i = 0; i < sizeof bad/sizeof bad[0]; i++) {
    memset(&faults, 0, sizeof faults);
    ck_assert_msg(df_reading_set(reading, bad[i].path, bad[i].si, &faults) == bad[i].status, "%s",
                  bad[i].path);
    ck_assert_msg(faults.n == 1 && faults.at[0].text[0], "%s: %d faults", bad[i].path, faults.n);
    after = df_reading_lines(reading);
    ck_assert_msg(!strcmp(before, after), "%s", bad[i].path);
    free(after);
  }
  static const char *const set[] = { "spring.rate=12 N/mm", "bike.rake=64 degree" };
  ck_assert_int_eq(df_reading_override(reading, set, 2, &faults), DF_BAD_INPUT);
  after = df_reading_lines(reading);
  same_lines(before, after);
  free(before);
  free(after);
  static const char *const both[] = { "leg.rod_bore", "leg.rod_outside" };
  static const double si[] = { 0.024, 0.028 };
  ck_assert_int_eq(df_reading_set_all(reading, 2, both, si, NULL), DF_OK); // judged together
  near(got->side[0].leg.rod_bore, 0.024, 1e-15, RULE);
}
END_TEST

START_TEST(many_changes_take_no_more_memory)
{
  good(LEAST);
  for (int i = 0; i < 20000; i++)
    ck_assert_int_eq(df_reading_set(reading, "spring.rate", 8000 + i * 0.1, NULL), DF_OK);
  near(got->side[0].spring.rate, 9999.9, 1e-9, RULE);
  ck_assert_int_eq(df_reading_set(reading, "spring.rate", 9000, NULL), DF_OK);
}
END_TEST

START_TEST(holes_in_use)
{
  good(LEG OIL "rod: {" FOUND ", state: opened}\nvalve: {}\n");
  ck_assert_str_eq(value("rod.rebound_holes[1].diameter").path,
                   "rod.opened.rebound_holes[1].diameter");
  ck_assert_int_eq(df_reading_set(reading, "rod.rebound_holes[1].diameter", 0.002, NULL), DF_OK);
  near(got->side[0].rod.holes.rebound_holes.at[0].diameter, 0.002, 1e-15, "the set in the leg");
  near(got->side[0].rod.as_found.rebound_holes.at[0].diameter, 0.0022, 1e-15, "the other set");
  ck_assert_int_eq(df_reading_set(reading, "rod.opened.compression_holes[2].height", 0.03, NULL),
                   DF_OK);
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

// --- Text again

START_TEST(hash_follows_values_only)
{
  char a[13], b[13];
  good(LEAST);
  df_reading_hash(reading, a);
  ck_assert_uint_eq(strspn(a, "0123456789abcdef"), 12);
  good("# a comment\ntitle: Another\n" LEAST "spring: {rate: 9000 N/m}\n");
  df_reading_hash(reading, b);
  ck_assert_str_eq(a, b); // the same values otherwise written
  good(LEAST "spring: {rate: 9.001 N/mm}\n");
  df_reading_hash(reading, b);
  ck_assert_str_ne(a, b);
  good(LEAST "valve: {}\n");
  df_reading_hash(reading, a);
  good(LEAST "valve: {}\nright: {valve: none}\n");
  df_reading_hash(reading, b);
  ck_assert_str_ne(a, b);
}
END_TEST

START_TEST(lines_are_sorted_and_exact)
{
  good(LEAST);
  char *lines = df_reading_lines(reading), *last = NULL;
  ck_assert_ptr_nonnull(strstr(lines, "\nleg.tube_bore = 0.036600000000000001\n"));
  ck_assert_ptr_nonnull(strstr(lines, "\nrun.law = two_term\n"));
  ck_assert_ptr_null(strstr(lines, "nan"));
  for (char *line = strtok(lines, "\n"); line; last = line, line = strtok(NULL, "\n"))
    ck_assert_msg(!last || strcmp(last, line) < 0, "%s before %s", last, line);
  free(lines);
}
END_TEST

START_TEST(written_and_read_again)
{
  static const char text[] =
      "title: 'It''s: a \"fork\"'\nnote: \"two\\nlines\"\nuse: touring\n" LEG OIL "rod: {" FOUND
      ", state: opened}\n"
      "valve: {preload: 2.5 turn, shims: [{count: 2, diameter: 20 mm, thickness: 0.15 "
      "mm}]}\nright: {air: {oil_level: 140 mm}}\n"
      "roads: {edge-25: ready, mine: {kind: random, class: D, speed: 40 km/h}}\nexpect: "
      "{static.sag_rider: '>= 30 mm'}\n";
  for (unsigned flags = 0; flags < 2; flags++) {
    good(text);
    ck_assert_int_eq(df_reading_set(reading, "spring.rate", 9250, NULL), DF_OK);
    char *before = df_reading_lines(reading), *written = df_reading_write(reading, flags);
    int given, assumed, given_again, assumed_again;
    df_reading_given(reading, &given, &assumed);
    good(written);
    char *after = df_reading_lines(reading);
    same_lines(before, after);
    ck_assert_str_eq(got->title, "It's: a \"fork\"");
    ck_assert_str_eq(got->note, "two\nlines");
    df_reading_given(reading, &given_again, &assumed_again);
    ck_assert_int_eq(given, given_again); // comments stay comments
    ck_assert_int_eq(df_reading_expect_count(reading), 1);
    free(before);
    free(after);
    free(written);
  }
}
END_TEST

// The same keys, words and, within what six digits hold, numbers.
static void same_values(const char *a, const char *b)
{
  while (*a && *b) {
    const char *ea = strstr(a, " = "), *eb = strstr(b, " = ");
    char *ra, *rb;
    ck_assert_msg(ea - a == eb - b && !strncmp(a, b, (size_t)(ea - a)), "%.40s / %.40s", a, b);
    double va = strtod(ea + 3, &ra), vb = strtod(eb + 3, &rb);
    if (ra == ea + 3) ck_assert_msg(!strncmp(ea, eb, strcspn(ea, "\n")), "%.40s / %.40s", a, b);
    else near_share(vb, va, 5e-6, "six digits");
    a = strchr(a, '\n') + 1;
    b = strchr(b, '\n') + 1;
  }
  ck_assert_int_eq(*a, *b);
}

// Uncomment every assumed value: the same scenario, all of it given now.
START_TEST(assumed_values_are_written_right)
{
  good(LEAST "valve: {}\n");
  char *written = df_reading_write(reading, DF_WRITE_ASSUMED), *before = df_reading_lines(reading);
  for (char *line = written; line && *line;
       line = strchr(line, '\n') ? strchr(line, '\n') + 1 : NULL) {
    char *mark = line + strspn(line, " ");
    if (mark[0] == '#' && mark[1] == ' ') memmove(mark, mark + 2, strlen(mark + 2) + 1);
  }
  good(written);
  char *after = df_reading_lines(reading);
  same_values(before, after);
  free(written);
  free(before);
  free(after);
}
END_TEST

START_TEST(typical_forks)
{
  for (int i = 0; i < df_typical_fork_count; i++) {
    good(df_typical_forks[i].text);
    near(got->side[0].leg.tube_outside*1e3, df_typical_forks[i].tube, 1e-9, RULE);
    near(got->side[0].rod.holes.compression_holes.at[0].count, 2, 0, RULE);
  }
}
END_TEST

// --- Twins

START_TEST(twins)
{
  good(LEG OIL "rod: {" FOUND "}\nvalve: {preload: 2 turn}\n" SPACER
               "air: {oil_level: 140 mm}\nexpect: {static.sag_rider: '>= 3 mm'}\n");
  struct df_reading *twin = NULL;
  ck_assert_int_eq(df_reading_twin(&twin, reading, 60e-6, &faults), DF_OK);
  const struct df_side *plain = &df_reading_scenario(twin)->side[0];
  ck_assert_int_eq(plain->has_valve, 0);
  near(plain->spring.preload, 0.015, 1e-15, "kept");
  near(plain->air.oil_level, 0.140, 1e-15, "kept");
  near(plain->air.solids, 60e-6, 1e-18, "kept");
  ck_assert_int_eq(df_reading_expect_count(twin), 0);
  df_reading_destroy(twin);
  good(LEAST SPACER);
  ck_assert_int_eq(df_reading_twin(&twin, reading, 55e-6, &faults), DF_OK);
  const struct df_side *valved = &df_reading_scenario(twin)->side[0];
  ck_assert_int_eq(valved->has_valve, 1);
  ck_assert_int_eq(valved->rod.state, DF_ROD_OPENED);
  near(valved->rod.holes.compression_holes.at[0].diameter, 0.00635, 1e-15, RULE);
  near(valved->spring.preload, 0.015, 1e-15, "kept, not raised by the valve's height");
  df_reading_destroy(twin);
  good(LEAST "air: {level_taken: {valve: out}}\nvalve: {volume: 5 cm3}\n");
  ck_assert_int_eq(df_reading_twin(&twin, reading, 60e-6, &faults), DF_OK);
  near(df_reading_scenario(twin)->side[0].air.solids, 65e-6, 1e-18, "the valve was still to come");
  df_reading_destroy(twin);
  good("leg: {linear: {rate: 10 N/mm, damping: 400 N.s/m}}\n");
  ck_assert_int_eq(df_reading_twin(&twin, reading, NAN, NULL), DF_BAD_INPUT);
  ck_assert_ptr_null(twin);
}
END_TEST

// --- Series, single values

START_TEST(series)
{
  struct df_vary vary;
  good(LEAST "valve: {}\n");
  ck_assert_int_eq(df_vary_init(&vary, reading, "valve.preload=1:4:0.5 mm", 100, &faults), DF_OK);
  ck_assert_int_eq(vary.n, 7);
  near(vary.si[6], 0.004, 1e-15, RULE);
  ck_assert_str_eq(vary.unit, "mm");
  df_vary_finish(&vary);
  ck_assert_int_eq(df_vary_init(&vary, reading, "valve.preload=1,2.5 turn", 100, &faults), DF_OK);
  near(vary.value[1], 2.5, 0, RULE);
  ck_assert_int_eq(df_reading_set_in(reading, vary.path, vary.value[1], vary.unit, &faults), DF_OK);
  near(got->side[0].valve.preload, 0.0025, 1e-15, RULE);
  df_vary_finish(&vary);
  ck_assert_int_eq(
      df_vary_init(&vary, reading, "rod.rebound_holes[1].diameter=2:2.4:0.1 mm", 100, &faults),
      DF_OK);
  ck_assert_int_eq(vary.n, 5);
  df_vary_finish(&vary);
  ck_assert_int_eq(faults.n, 0);
  static const struct { const char *text, *part;
  } bad[] = {
      {"valve.preload", "written KEY="},
      {"no.such=1 mm", "no such value"},
      {"valve.preload=1:4:0.5", "no unit"},
      {"valve.preload=1:4:0.5 kg", "is not a unit for this value"},
      {"spring.rate=1:4:1 N/mm", "far too soft"},
      {"use=1", "only numbers"},
      {"spring.rate=5:9:0.0001 N/mm", "at most 100"},
      {"spring.rate=a N/mm", "not a number"},
  };
  for (size_t i = 0; i < sizeof bad/sizeof bad[0]; i++) {
    memset(&faults, 0, sizeof faults);
    ck_assert_msg(df_vary_init(&vary, reading, bad[i].text, 100, &faults) != DF_OK, "%s",
                  bad[i].text);
    ck_assert_msg(faults.n == 1 && strstr(faults.at[0].text, bad[i].part), "%s: %s", bad[i].text,
                  faults.at[0].text);
    ck_assert_ptr_null(vary.si);
  }
}
END_TEST

START_TEST(single_values)
{
  char text[40];
  double si;
  good(LEAST);
  ck_assert_int_eq(
      df_quantity_parse(units, value("spring.rate").row, "spring.rate", "9.5 N/mm", &si, &faults),
      DF_OK);
  near(si, 9500, 1e-9, RULE);
  ck_assert_int_eq(
      df_quantity_parse(units, value("spring.rate").row, "spring.rate", "9.5", &si, &faults),
      DF_BAD_INPUT);
  ck_assert_int_eq(df_value_print(units, 9500, "N/mm", 9, text, sizeof text), DF_OK);
  ck_assert_str_eq(text, "9.5 N/mm");
  ck_assert_int_eq(df_value_print(units, 1, "furlong", 9, text, sizeof text), DF_UNKNOWN_NAME);
  near(df_value_in(units, 303.15, "degC"), 30, 1e-12, RULE);
  near(df_value_si(units, 30, "degC"), 303.15, 1e-12, RULE);
  ck_assert_int_eq(df_units_alike(units, "N/mm", "lbf/in"), 1);
  ck_assert_int_eq(df_units_alike(units, "N/mm", "N.mm"), 0);
}
END_TEST

// --- Surroundings

START_TEST(a_comma_in_the_locale_changes_nothing)
{
  char a[13], b[13];
  good(LEAST "spring: {rate: 9.25 N/mm}\n");
  df_reading_hash(reading, a);
  static const char *const commas[] = { "de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", NULL };
  int i = 0;
  while (commas[i] && !setlocale(LC_ALL, commas[i])) i++;
  char probe[16];
  snprintf(probe, sizeof probe, "%.1f", 0.5);
  if (!commas[i] || !strchr(probe, ','))
    return; // no such locale on this machine: tools/check makes one
  good(LEAST "spring: {rate: 9.25 N/mm}\n");
  near(got->side[0].spring.rate, 9250, 1e-9, RULE);
  df_reading_hash(reading, b);
  ck_assert_str_eq(a, b);
  char *written = df_reading_write(reading, DF_WRITE_ASSUMED);
  ck_assert_ptr_nonnull(strstr(written, "rate: 9.25 N/mm"));
  ck_assert_ptr_nonnull(strstr(written, "0.05 mm") ? written : strstr(written, "gap: 0.05"));
  free(written);
  snprintf(probe, sizeof probe, "%.1f", 0.5);
  ck_assert_ptr_nonnull(strchr(probe, ',')); // and we left it as it was
  setlocale(LC_ALL, "C");
}
END_TEST

static void *in_a_thread(void *arg)
{
  struct df_reading *mine = arg;
  for (int i = 0; i < 500; i++)
    if (df_reading_set(mine, "spring.rate", 8000 + i, NULL) ||
        df_reading_set(mine, "spring.rate", 1e9, NULL) != DF_BAD_INPUT)
      return NULL;
  return mine;
}

START_TEST(copies_in_threads)
{
  good(LEAST "valve: {preload: 2 turn}\n");
  struct df_reading *copy[4];
  pthread_t thread[4];
  char a[13], b[13];
  df_reading_hash(reading, a);
  for (int i = 0; i < 4; i++) {
    copy[i] = df_reading_copy(reading);
    ck_assert_ptr_nonnull(copy[i]);
    df_reading_hash(copy[i], b);
    ck_assert_str_eq(a, b);
  }
  df_reading_destroy(reading); // a copy stands alone
  reading = NULL;
  for (int i = 0; i < 4; i++)
    ck_assert_int_eq(pthread_create(&thread[i], NULL, in_a_thread, copy[i]), 0);
  for (int i = 0; i < 4; i++) {
    void *result;
    pthread_join(thread[i], &result);
    ck_assert_ptr_eq(result, copy[i]);
    near(df_reading_scenario(copy[i])->side[0].spring.rate, 8499, 1e-9, RULE);
    ck_assert_str_eq(df_reading_scenario(copy[i])->title, "fork");
    df_reading_destroy(copy[i]);
  }
}
END_TEST

// Any bytes: no crash, no hang, and a fault whenever there is no scenario.
START_TEST(random_edits)
{
  static const char seed_text[] =
      "title: a\n" LEG OIL "rod: {" FOUND
      ", state: opened}\nvalve: {preload: 3 turn}\nright: {air: {oil_level: 140 mm}}\n"
      "roads: {edge-25: ready, x: {kind: random, class: C, speed: 50 km/h}}\nexpect: {static.a: 5 "
      "mm +- 1 mm}\n";
  static const char pieces[] = " :,{}[]'\"#\n-0123456789.+%eE|>&*!abc\t\\\xff\xc3";
  unsigned random = 7;
  char text[sizeof seed_text + 40];
  for (int k = 0; k < 4000; k++) {
    memcpy(text, seed_text, sizeof seed_text);
    for (int e = 0; e < 1 + k%4; e++) {
      random = random*1664525u + 1013904223u;
      size_t n = strlen(text), at = (random >> 8)%n;
      char c = pieces[(random >> 20)%(sizeof pieces - 1)];
      if (random & 16) text[at] = c;
      else if (random & 32) memmove(text + at, text + at + 1, n - at);
      else memmove(text + at + 1, text + at, n - at + 1), text[at] = c;
    }
    enum df_status status = try(text);
    ck_assert_msg((status == DF_OK) == (faults.errors == 0), "status %d, %d faults", status,
                  faults.errors);
    ck_assert_msg((status == DF_OK) == (reading != NULL), "status %d", status);
    for (int i = 0; i < faults.n; i++) ck_assert_msg(faults.at[i].text[0] != 0, "an empty fault");
  }
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
  tcase_add_test(all, missing_values);
  tcase_add_test(all, contradictions);
  tcase_add_test(all, warnings_do_not_stop);
  tcase_add_test(all, overrides);
  tcase_add_test(all, wrong_overrides);
  tcase_add_test(all, based_on);
  tcase_add_test(all, too_large_a_file);
  tcase_add_test(all, recorded_road_stays_below);
  tcase_add_test(all, setting_numbers);
  tcase_add_test(all, a_refused_change_changes_nothing);
  tcase_add_test(all, many_changes_take_no_more_memory);
  tcase_add_test(all, holes_in_use);
  tcase_add_test(all, expectations);
  tcase_add_test(all, hash_follows_values_only);
  tcase_add_test(all, lines_are_sorted_and_exact);
  tcase_add_test(all, written_and_read_again);
  tcase_add_test(all, assumed_values_are_written_right);
  tcase_add_test(all, typical_forks);
  tcase_add_test(all, twins);
  tcase_add_test(all, series);
  tcase_add_test(all, single_values);
  tcase_add_test(all, a_comma_in_the_locale_changes_nothing);
  tcase_add_test(all, copies_in_threads);
  tcase_add_test(all, random_edits);
  suite_add_tcase(suite, all);
  return near_run(suite);
}
