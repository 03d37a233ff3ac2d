// Parameter rows of runs, roads and stock, and the whole scenario.
#include "scenario/params.h"

static const char *const law_words[] = { "two_term", "handbook", "lichtarowicz", NULL };
static const char *const start_words[] = { "given", "cold", "heated", NULL };
static const char *const method_words[] = { "rodas4", "rodas3", "bsimp", "msbdf", NULL };
static const char *const use_words[] = { "commuting", "touring", "brisk_road", "gravel", NULL };
static const char *const meet_words[] = {"none", "dive_peak", "braked_rest",
                                         NULL}; // a time is the next value

static const struct df_param run_rows[] = {
    WORD(df_run, law, law_words, "two_term",
         .meaning =
             "law of the drilled holes; the difference between laws is the model's own uncertainty",
         .source = "Idelchik's handbook; Lichtarowicz, Duggins and Markland 1965"),
    WORD(df_run, choking, df_switch_words, "on",
         .meaning = "flow through a hole is limited once its jet boils",
         .source = "Nurick 1976, from memory"),
    USUAL(df_run, contraction, "1", 0.62, 0.3, 1, .likely_low = 0.55, .likely_high = 0.7,
          .meaning = "narrowest area of the jet over the hole's area, for choking",
          .tolerance = 0.03, .source = "0.58 to 0.65: Nurick 1976, from memory"),
    WORD(df_run, heating, df_switch_words, "off",
         .meaning = "the oil warms up by what it dissipates during the ride",
         .source = "chosen here"),
    WORD(
        df_run, start, start_words, "given",
        .meaning =
            "oil at the start: at oil.temperature, cold at 5 degC, or heated by 20 min of the road",
        .source = "chosen here"),
    WORD(df_run, method, method_words, "rodas4", .meaning = "integration method",
         .source = "Hairer and Wanner, Solving Ordinary Differential Equations II"),
    {DF_ROW(df_run, tolerance, "1", DF_QUANTITY, DF_ABSENT), .usual = NAN, .low = 1e-12,
     .high = 0.01, .likely_low = 1e-10, .likely_high = 0.003,
     .usual_rule = "1e-4 for single rides, 1e-3 for many",
     .meaning = "relative error allowed in a step", .source = "chosen here"},
};
const struct df_section df_run_section = DF_SECTION_OF("run", df_run, run_rows);

static const struct df_param brake_rows[] = {
    GIVEN(df_brake, deceleration, "m/s2", 0.05, 15, .likely_low = 0.5, .likely_high = 11,
          .meaning = "deceleration that is reached", .measure = "accelerometer of a phone",
          .tolerance_share = 0.1, .source = "published: 7 m/s2 dry, 3.5 wet"),
    RULED(df_brake, ramp, "s", "braking.ramp", 0.005, 20, .likely_low = 0.05, .likely_high = 2,
          .meaning = "time in which the rider takes the lever", .source = "chosen here"),
    RULED(df_brake, hold, "s", "braking.hold", 0.02, 60, .likely_low = 0.2, .likely_high = 20,
          .meaning = "how long the braking stays constant", .source = "chosen here"),
    RULED(df_brake, release, "s", "braking.release", 0.005, 20, .likely_low = 0.03,
          .likely_high = 2, .meaning = "time in which the lever is let go",
          .source = "chosen here"),
};
static const struct df_section brake_section = DF_SECTION_OF("brake", df_brake, brake_rows);

static const struct df_param lean_rows[] = {
  GIVEN(df_lean, angle, "degree", 0, 70, .likely_low = 2, .likely_high = 60,
    .meaning = "lean angle that is reached", .source = "chosen here"),
  USUAL(df_lean, ramp, "s", 0.5, 0.01, 30, .likely_low = 0.1, .likely_high = 5,
    .meaning = "time in which the bike is leaned", .source = "chosen here"),
  USUAL(df_lean, hold, "s", 2, 0.02, 60, .likely_low = 0.3, .likely_high = 30,
    .meaning = "how long the lean is kept", .source = "chosen here"),
};
static const struct df_section lean_section = DF_SECTION_OF("lean", df_lean, lean_rows);

static const struct df_param push_rows[] = {
    GIVEN(df_push, depth, "mm", 0.5, 400, .likely_low = 10, .likely_high = 150,
          .meaning = "how far past the sag the fork is pushed by hand before it is let go",
          .measure = "ruler", .tolerance = 5, .source = "chosen here"),
};
static const struct df_section push_section = DF_SECTION_OF("push", df_push, push_rows);

// Keys that every road has. Those of its kind are added by the reader.
static const struct df_param road_rows[] = {
    {.key = "kind",
     .form = DF_WORD,
     .at = offsetof(struct df_road, kind),
     .has = DF_NO_OFFSET,
     .usual = NAN,
     .need = DF_REQUIRED,
     .meaning = "shape of the road; the words are the road kinds",
     .source = "chosen here"},
    GIVEN(df_road, speed, "km/h", 0, 300, .likely_low = 3, .likely_high = 200,
          .meaning =
              "road speed at the start of the obstacle; with brake on a flat road, at the start",
          .measure = "speedometer", .tolerance_share = 0.05,
          .mistake = "fork speed taken for road speed", .source = "chosen here"),
    {DF_ROW(df_road, window, "s", DF_QUANTITY, DF_ABSENT), .usual = NAN, .low = 0.01, .high = 600,
     .likely_low = 0.2, .likely_high = 120,
     .usual_rule = "2 s plus the time over the obstacle or the manoeuvre",
     .meaning = "time from the first touch or the manoeuvre's start over which measures are taken",
     .source = "chosen here"},
    COUNT_USUAL(df_road, repeat, 1, 1, 100, .likely_low = 1, .likely_high = 20,
                .meaning = "how often the obstacle comes", .source = "chosen here"),
    USUAL(df_road, gap, "s", 1, 0, 60, .likely_low = 0.05, .likely_high = 10,
          .meaning = "time between repeats", .source = "chosen here"),
    {.key = "contact",
     .form = DF_WORD,
     .at = offsetof(struct df_road, contact),
     .has = DF_NO_OFFSET,
     .usual = NAN,
     .need = DF_ABSENT,
     .words = df_contact_words,
     .usual_rule = "as tyre.contact",
     .meaning = "how the tyre rolls over this road",
     .source = "chosen here"},
    PART_IF(df_road, "brake", brake, has_brake, brake_section,
            .meaning = "braking on this road; times not given are those of braking",
            .source = "chosen here"),
    PART_IF(df_road, "lean", lean, has_lean, lean_section, .meaning = "leaning into a corner",
            .source = "chosen here"),
    PART_IF(df_road, "push", push, has_push, push_section,
            .meaning = "pushing the fork by hand at a standstill and letting go",
            .source = "chosen here"),
    {.key = "meet",
     .form = DF_WORD,
     .at = offsetof(struct df_road, meet),
     .has = DF_NO_OFFSET,
     .usual = NAN,
     .need = DF_OPTIONAL,
     .words = meet_words,
     .usual_word = "none",
     .or_unit = "s",
     .or_at = offsetof(struct df_road, meet_time),
     .or_low = 0,
     .or_high = 60,
     .meaning = "when the obstacle is met under braking: dive_peak, braked_rest, or a time after "
                "the brake's start",
     .source = "chosen here"},
};
const struct df_section df_road_section = DF_SECTION_OF("road", df_road, road_rows);

#define STOCK(f, n_, u, low_, high_, lo_, hi_, meaning_)                                           \
  {                                                                                                \
    .key = #f, .form = DF_NUMBERS, .at = offsetof(struct df_have, f),                              \
    .has = offsetof(struct df_have, n_), .unit = u, .usual = NAN, .low = low_, .high = high_,      \
    .likely_low = lo_, .likely_high = hi_, .need = DF_ABSENT, .most = DF_HAVE_MAX,                 \
    .meaning = meaning_, .source = "what is in the drawer"                                         \
  }

static const struct df_param have_rows[] = {
  STOCK(springs, springs_n, "N/mm", 2, 100, 3.5, 25, "rates of the fork springs at hand"),
  STOCK(oils, oils_n, "mm2/s", 2.01, 2000, 5, 150, "viscosities at 40 degC of the oils at hand"),
  STOCK(washers, washers_n, "mm", 0.05, 50, 0.2, 12, "thicknesses of the washers at hand"),
};
const struct df_section df_have_section = DF_SECTION_OF("have", df_have, have_rows);

static const struct df_param side_rows[] = {
    PART(df_side, leg, df_leg_section, .meaning = "tube, rod and passages of one leg",
         .source = "common practice"),
    PART(df_side, rod, df_rod_section, .meaning = "damper rod and its holes",
         .source = "common practice"),
    PART_IF(df_side, "valve", valve, has_valve, df_valve_section,
            .meaning = "drop-in valve on top of the rod; without it the rod is plain",
            .source = "common practice"),
    PART(df_side, oil, df_oil_section, .meaning = "the oil", .source = "common practice"),
    PART(df_side, air, df_air_section, .meaning = "oil level and air column",
         .source = "common practice"),
    PART(df_side, spring, df_spring_section, .meaning = "fork spring", .source = "common practice"),
    {.key = "spacer",
     .form = DF_SECTION,
     .at = offsetof(struct df_side, spacer),
     .has = offsetof(struct df_side, spacer) + offsetof(struct df_spacer, given),
     .usual = NAN,
     .need = DF_OPTIONAL,
     .of = &df_spacer_section,
     .meaning = "spacer between spring and cap",
     .source = "common practice"},
};
const struct df_section df_side_section = DF_SECTION_OF("right", df_side, side_rows);

#define TEXT_ROW(f, meaning_)                                                                      \
  {                                                                                                \
    .key = #f, .form = DF_TEXT, .at = offsetof(struct df_scenario, f), .has = DF_NO_OFFSET,        \
    .usual = NAN, .need = DF_ABSENT, .most = DF_TEXT_MAX, .meaning = meaning_,                     \
    .source = "chosen here"                                                                        \
  }
#define LOOSE_ROW(k, form_, meaning_)                                                              \
  {                                                                                                \
    .key = k, .form = form_, .at = DF_NO_OFFSET, .has = DF_NO_OFFSET, .usual = NAN,                \
    .need = DF_ABSENT, .meaning = meaning_, .source = "chosen here"                                \
  }
#define LEFT(f, has_, need_, of_, meaning_)                                                        \
  {                                                                                                \
    .key = #f, .form = DF_SECTION,                                                                 \
    .at = offsetof(struct df_scenario, side) + offsetof(struct df_side, f), .has = has_,           \
    .usual = NAN, .need = need_, .of = &of_, .meaning = meaning_, .source = "common practice"      \
  }

static const struct df_param scenario_rows[] = {
    {.key = "format",
     .form = DF_COUNT,
     .at = DF_NO_OFFSET,
     .has = DF_NO_OFFSET,
     .unit = "1",
     .usual = 1,
     .low = 1,
     .high = 1,
     .need = DF_OPTIONAL,
     .meaning = "version of the keys",
     .source = "chosen here"},
    TEXT_ROW(title, "heading of every table and picture; without it the file's name"),
    TEXT_ROW(note, "free text for people"),
    LOOSE_ROW("based_on", DF_FILE,
              "another scenario, in the same folder or below, whose values count where this one "
              "gives none"),
    WORD(df_scenario, use, use_words, "brisk_road",
         .meaning = "what the bike is for: it chooses roads and targets", .source = "chosen here"),
    PART(df_scenario, bike, df_bike_section, .meaning = "the bike without rider",
         .source = "common practice"),
    PART(df_scenario, rider, df_rider_section, .meaning = "the rider", .source = "common practice"),
    PART(df_scenario, load, df_load_section, .meaning = "luggage and passenger",
         .source = "common practice"),
    PART(df_scenario, tyre, df_tyre_section, .meaning = "front tyre", .source = "common practice"),
    LEFT(leg, DF_NO_OFFSET, DF_OPTIONAL, df_leg_section, "tube, rod and passages of one leg"),
    LEFT(rod, DF_NO_OFFSET, DF_OPTIONAL, df_rod_section, "damper rod and its holes"),
    LEFT(valve, offsetof(struct df_scenario, side) + offsetof(struct df_side, has_valve), DF_ABSENT,
         df_valve_section, "drop-in valve on top of the rod; without it the rod is plain"),
    LEFT(oil, DF_NO_OFFSET, DF_OPTIONAL, df_oil_section, "the oil"),
    LEFT(air, DF_NO_OFFSET, DF_OPTIONAL, df_air_section, "oil level and air column"),
    LEFT(spring, DF_NO_OFFSET, DF_OPTIONAL, df_spring_section, "fork spring"),
    LEFT(spacer,
         offsetof(struct df_scenario, side) + offsetof(struct df_side, spacer) +
             offsetof(struct df_spacer, given),
         DF_OPTIONAL, df_spacer_section, "spacer between spring and cap"),
    {.key = "right",
     .form = DF_SECTION,
     .at = offsetof(struct df_scenario, side) + sizeof(struct df_side),
     .has = offsetof(struct df_scenario, unlike),
     .usual = NAN,
     .need = DF_ABSENT,
     .of = &df_side_section,
     .meaning = "what differs in the right leg: leg, rod, valve, oil, air, spring, spacer",
     .source = "chosen here"},
    PART(df_scenario, cap, df_cap_section, .meaning = "cap of the tube",
         .source = "common practice"),
    PART(df_scenario, top_out, df_top_out_section, .meaning = "top-out spring",
         .source = "common practice"),
    PART(df_scenario, stops, df_stops_section, .meaning = "metal stops at both ends of the travel",
         .source = "chosen here"),
    PART(df_scenario, cone, df_cone_section, .meaning = "bottoming cone",
         .source = "common practice"),
    PART(df_scenario, seals, df_seals_section, .meaning = "friction of seals and bushes",
         .source = "from memory"),
    PART(df_scenario, braking, df_braking_section, .meaning = "how this rider brakes",
         .source = "chosen here"),
    PART(df_scenario, run, df_run_section, .meaning = "laws and numerics", .source = "chosen here"),
    {.key = "roads",
     .form = DF_NAMED,
     .at = offsetof(struct df_scenario, road),
     .has = offsetof(struct df_scenario, road_n),
     .usual = NAN,
     .need = DF_OPTIONAL,
     .usual_rule = "the set that belongs to `use`",
     .of = &df_road_section,
     .most = DF_ROADS_MAX,
     .meaning =
         "roads and events by name; a ready road's name with `ready`, or with keys that change it",
     .source = "chosen here"},
    PART(df_scenario, have, df_have_section, .meaning = "what is at hand and may be chosen from",
         .source = "chosen here"),
    LOOSE_ROW("targets", DF_SECTION,
              "aims that replace those of the use: NAME: <= VALUE, >= VALUE or LOW - HIGH"),
    LOOSE_ROW("learned", DF_SECTION,
              "how sure values are that were learned from measurements, as `fit` writes it: "
              "KEY: VALUE UNIT +- half of the 95 % interval, 'KEY, KEY': their correlation; holds while "
              "the values are those"),
    LOOSE_ROW(
        "expect", DF_SECTION,
        "what the program must find: ROAD.MEASURE: VALUE UNIT +- TOLERANCE, <= VALUE or >= VALUE"),
};
const struct df_section df_scenario_section = DF_SECTION_OF("scenario", df_scenario, scenario_rows);

const struct df_old_spelling df_old_spellings[] = {
  { "total_mass", "bike.wet_mass and rider.mass, which are given apart" },
  { "front_share_alone", "bike.front_share" },
  { "front_brake_share", "braking.front_share" },
  { "compression_hole_height", "height in each of rod.compression_holes" },
  { "rebound_hole_depth", "depth in each of rod.rebound_holes" },
  { "check_land", "leg.tube_end_thickness" },
  { "cap_depth", "cap.depth" },
  { "oil_level_taken", "air.level_taken" },
  { "closed_at", "air.sealed_travel" },
  { "exposed_at_full_compression", "leg.exposed_at_full_travel" },
  { "taken", "depth_taken in spacer, level_taken in air" },
  { "wall", "rod_outside and rod_bore in leg, from which the wall follows" },
  { "entry", "entry_chamfer or entry_radius in each group of holes" },
  { "air_temperature", "oil.ambient" },
};
const int df_old_spelling_count = sizeof df_old_spellings/sizeof df_old_spellings[0];
