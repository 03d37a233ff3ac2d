// Parameter rows of what fills and closes the leg: oil, air, spring, spacer, cap, stops, cone,
// seals.
#include "scenario/params.h"

static const double levels[DF_TUBE_SIZES] = { 170, 170, 150, 130 }; // mm from the rim
static const double rates[DF_TUBE_SIZES] = { 6.5, 7.5, 9, 9 };      // N/mm

#define BOTTLE "data sheet of the bottle; or time 100 ml through a hole against an oil you know"

static const struct df_param blend_rows[] = {
    GIVEN(df_blend_part, viscosity_40, "mm2/s", 2.01, 2000, .likely_low = 5, .likely_high = 200,
          .meaning = "viscosity of this part at 40 degC", .measure = BOTTLE, .tolerance_share = 0.1,
          .source = "common practice"),
    GIVEN(df_blend_part, viscosity_100, "mm2/s", 0.5, 300, .likely_low = 1.3, .likely_high = 40,
          .meaning = "viscosity of this part at 100 degC", .measure = BOTTLE,
          .tolerance_share = 0.1, .source = "common practice"),
    USUAL(df_blend_part, density_15, "kg/m3", 870, 500, 1500, .likely_low = 780,
          .likely_high = 1000, .meaning = "density of this part at 15 degC",
          .measure = "weigh 100 ml", .tolerance = 10, .source = "common practice"),
    GIVEN(df_blend_part, share, "%", 0.01, 100,
          .meaning = "share of this part by volume; all parts make 100 %",
          .measure = "measuring jug", .tolerance = 2, .source = "common practice"),
};
static const struct df_section blend_section = DF_SECTION_OF("blend", df_blend_part, blend_rows);

static const struct df_param oil_rows[] = {
    GIVEN(df_oil, viscosity_40, "mm2/s", 2.01, 2000, .likely_low = 5, .likely_high = 150,
          .meaning = "viscosity of the oil at 40 degC", .measure = BOTTLE, .tolerance_share = 0.1,
          .mistake =
              "the number on the bottle taken for a viscosity: labels differ by a factor of two",
          .source = "common practice: 12 to 90 mm2/s"),
    {DF_ROW(df_oil, viscosity_100, "mm2/s", DF_QUANTITY, DF_ABSENT), .usual = NAN, .low = 0.5,
     .high = 300, .likely_low = 1.3, .likely_high = 40, .usual_rule = "from viscosity_index",
     .mistake = "the number on the label, which is no viscosity",
     .meaning = "viscosity of the oil at 100 degC", .measure = BOTTLE, .tolerance_share = 0.1,
     .source = "ASTM D2270"},
    {DF_ROW(df_oil, viscosity_index, "1", DF_QUANTITY, DF_ABSENT), .usual = NAN, .low = 0,
     .high = 500, .likely_low = 60, .likely_high = 450,
     .usual_rule = "150 when viscosity_100 is not given",
     .meaning = "how little the viscosity falls with heat; instead of viscosity_100",
     .measure = BOTTLE, .tolerance = 30, .source = "ASTM D2270; 150 chosen here"},
    LISTED(df_oil, "blend", blend, blend_n, DF_ABSENT, DF_BLEND_MAX, blend_section,
           .meaning = "parts of a mixed oil, by volume; instead of viscosity_40, viscosity_100 and "
                      "density_15",
           .measure = "measuring jug", .source = "ASTM D7152"),
    USUAL(df_oil, density_15, "kg/m3", 870, 500, 1500, .likely_low = 780, .likely_high = 1000,
          .mistake = "g/cm3 read as kg/m3",
          .meaning = "density of the oil at 15 degC", .measure = "weigh 100 ml", .tolerance = 10,
          .source = "common practice"),
    USUAL(df_oil, temperature, "degC", 30, -50, 180, .likely_low = -20, .likely_high = 90,
          .meaning = "temperature of the oil when riding",
          .measure = "infrared thermometer on the slider after 20 min", .tolerance = 3,
          .mistake = "the workshop's temperature",
          .source = "chosen here: air + 10 to 25 K, from memory"),
    USUAL(df_oil, ambient, "degC", 20, -60, 70, .likely_low = -25, .likely_high = 45,
          .meaning = "temperature of the air that cools the leg", .measure = "thermometer",
          .tolerance = 1, .source = "chosen here"),
    USUAL(df_oil, air_fraction, "%", 0.5, 1e-8, 50, .likely_low = 0.05, .likely_high = 10,
          .meaning = "air in the oil as a share of its volume at rest; never quite 0",
          .measure = "oil level before and after a fast ride: foam stands higher",
          .tolerance_share = 0.5, .source = "0.1 to 5 %, from memory"),
    USUAL(df_oil, vapour_pressure, "kPa", 1, 1e-4, 90, .likely_low = 0.01, .likely_high = 30,
          .meaning = "pressure below which the oil boils, dissolved gas included",
          .tolerance_share = 0.9, .source = "0.1 to 20 kPa, from memory"),
    USUAL(df_oil, cavitation_threshold, "kPa", 20, 1e-4, 101, .likely_low = 1, .likely_high = 80,
          .meaning = "pressure below which a chamber counts as cavitating", .tolerance_share = 0.5,
          .source = "air comes out at 20 to 70 kPa, from memory"),
    USUAL(df_oil, bulk_modulus, "GPa", 1.5, 0.01, 1e6, .likely_low = 0.8, .likely_high = 3,
          .meaning = "stiffness of the oil without air", .tolerance = 0.2,
          .source = "published for mineral oil: 1.4 to 1.8 GPa"),
    USUAL(df_oil, wall_modulus, "GPa", 7, 0.05, 1e9, .likely_low = 1, .likely_high = 60,
          .meaning = "softness of the tube's wall seen by the oil: E times thickness over diameter",
          .measure = "caliper: E t/D", .tolerance_share = 0.3,
          .source = "computed: E t/D, 3 to 12 GPa"),
    MAYBE(df_oil, volume, "cm3", 5, 5000, .likely_low = 120, .likely_high = 1200,
          .meaning = "oil in one leg; given, hot oil takes its room from the air column",
          .measure = "measuring jug while filling", .tolerance = 10,
          .source = "common practice: 300 to 700 cm3"),
    USUAL(df_oil, level_temperature, "degC", 20, -30, 120, .likely_low = -5, .likely_high = 60,
          .mistake = "taken right after the ride, when oil stands some mm higher",
          .meaning = "temperature of the oil when its level was taken", .measure = "thermometer",
          .tolerance = 3, .source = "common practice"),
    USUAL(df_oil, heat_capacity, "J/K", 2000, 1, 1e6, .likely_low = 300, .likely_high = 8000,
          .meaning = "heat that warms one leg by one kelvin", .tolerance_share = 0.3,
          .source = "chosen here"),
    USUAL(df_oil, heat_loss, "W/K", 3, 0, 1000, .likely_low = 0.3, .likely_high = 20,
          .meaning = "heat that one leg gives to the air per kelvin", .tolerance_share = 0.5,
          .source = "chosen here"),
};
const struct df_section df_oil_section = DF_SECTION_OF("oil", df_oil, oil_rows);

static const struct df_param taken_rows[] = {
    WORD(df_level_taken, valve, df_place_words, "in",
         .mistake = "forgotten: the valve is worth some 5 mm",
         .meaning = "whether the valve was in the leg when the level was taken",
         .source = "common practice"),
    WORD(df_level_taken, spring, df_place_words, "out",
         .mistake = "forgotten: the spring is worth some 40 mm",
         .meaning = "whether the spring was in the leg when the level was taken",
         .source = "common practice"),
    WORD(df_level_taken, spacer, df_place_words, "out",
         .mistake = "manuals differ: some take the level with the spacer in",
         .meaning = "whether the spacer was in the leg when the level was taken",
         .source = "common practice"),
};
static const struct df_section taken_section =
    DF_SECTION_OF("level_taken", df_level_taken, taken_rows);

static const struct df_param air_rows[] = {
    {DF_ROW(df_air, oil_level, "mm", DF_QUANTITY, DF_OPTIONAL), .usual = NAN, .low = 5, .high = 600,
     .likely_low = 50, .likely_high = 300, .by_tube = levels, .usual_rule = "by tube size",
     .meaning = "oil level from the tube's rim, leg pushed together and pumped free of air; "
                "smaller is more oil",
     .measure = "probe from the rim, leg upright and collapsed, pumped, after 10 min of rest",
     .tolerance = 2, .mistake = "leg not pushed together, or the larger number read as more oil",
     .source = "130 to 180 mm: printed table of a trade book, by tube size"},
    PART(df_air, level_taken, taken_section,
         .meaning = "what was in the leg when the level was taken", .source = "common practice"),
    {DF_ROW(df_air, solids, "cm3", DF_QUANTITY, DF_ABSENT), .usual = NAN, .low = 0, .high = 800,
     .likely_low = 15, .likely_high = 250, .usual_rule = "from spring, spacer and cap",
     .meaning = "spring wire, spacer, washers and cap that stand in the air column; replaces the "
                "computed volume",
     .measure = "mass of the steel parts over 7.85 g/cm3", .tolerance = 3,
     .source = "computed: 40 to 120 cm3"},
    USUAL(df_air, exponent, "1", 1.3, 1, 1.67, .likely_low = 1, .likely_high = 1.4,
          .meaning = "how steeply the air's pressure rises when it is pressed: 1 slow, 1.4 fast",
          .measure = "slow push against quick push, cap on", .tolerance = 0.1,
          .source = "published range 1 to 1.4"),
    MAYBE(df_air, thermal_time, "s", 0.001, 1000, .likely_low = 0.05, .likely_high = 10,
          .meaning = "time in which the air gives its heat to the walls; given, it stands in for "
                     "the exponent",
          .tolerance_share = 0.6, .source = "chosen here: 0.2 to 2 s"),
    USUAL(df_air, sealed_travel, "mm", 0, 0, 400, .likely_low = 1, .likely_high = 200,
          .meaning = "travel at which the cap was closed; 0 is the fork extended",
          .measure = "ruler", .tolerance = 2, .mistake = "cap closed with the leg pushed together",
          .source = "chosen here"),
    USUAL(df_air, fill_pressure, "bar", 1.01325, 0.05, 30, .likely_low = 0.6, .likely_high = 5,
          .meaning = "absolute pressure of the air when the leg was closed",
          .measure = "gauge, plus 1.01 bar", .tolerance = 0.05,
          .mistake = "the gauge's reading without the 1.01 bar of the atmosphere",
          .source = "chosen here"),
};
const struct df_section df_air_section = DF_SECTION_OF("air", df_air, air_rows);

static const struct df_param spring_rows[] = {
    {DF_ROW(df_spring, rate, "N/mm", DF_QUANTITY, DF_OPTIONAL), .usual = NAN, .low = 2, .high = 100,
     .likely_low = 3.5, .likely_high = 25, .by_tube = rates, .usual_rule = "by tube size",
     .meaning = "rate of the fork spring of one leg",
     .measure = "spring tester, or bathroom scale under a drill press: load at 25, 50, 75 mm, "
                "slope of the middle",
     .tolerance_share = 0.03, .mistake = "kgf/mm or lbf/in read as N/mm",
     .source = "common practice: 5 to 10 N/mm"},
    MAYBE(df_spring, second_rate, "N/mm", 2, 200, .likely_low = 3.5, .likely_high = 50,
          .meaning = "rate of the fork spring past change_at",
          .measure = "as rate, at large compression", .tolerance_share = 0.05,
          .source = "common practice"),
    MAYBE(df_spring, change_at, "mm", 0.5, 500, .likely_low = 5, .likely_high = 250,
          .meaning = "coil compression at which the second rate begins",
          .measure = "kink in the tester's readings", .tolerance = 3, .source = "common practice"),
    USUAL(df_spring, free_length, "mm", 420, 30, 1200, .likely_low = 150, .likely_high = 700,
          .mistake = "the new part's length from a list, not that of a sagged one",
          .meaning = "length of the fork spring with no load", .measure = "ruler", .tolerance = 1,
          .source = "common practice: 300 to 500 mm"),
    RULED(df_spring, solid_length, "mm", "a third of free_length", 5, 1100, .likely_low = 50,
          .likely_high = 450, .mistake = "closed end coils left out of the count",
          .meaning = "length of the fork spring with its coils closed",
          .measure = "coils times wire, or pressed in a vice", .tolerance = 1,
          .source = "common practice"),
    MAYBE(df_spring, wire, "mm", 0.5, 15, .likely_low = 2, .likely_high = 8,
          .mistake = "one place only: paint or wear; the rate goes with its fourth power",
          .meaning = "wire of the fork spring", .measure = "caliper, ten places", .tolerance = 0.03,
          .source = "common practice: 4 to 5.5 mm"),
    MAYBE(df_spring, outside, "mm", 5, 78, .likely_low = 15, .likely_high = 45,
          .mistake = "middle of the wire and outside confused",
          .meaning = "outside diameter of the fork spring", .measure = "caliper", .tolerance = 0.1,
          .source = "common practice"),
    MAYBE(df_spring, coils, "1", 1, 300, .likely_low = 8, .likely_high = 100,
          .mistake = "the closed coils at both ends counted as well",
          .meaning = "active coils of the fork spring", .measure = "count, less the closed ends",
          .tolerance = 0.5, .source = "common practice"),
    USUAL(df_spring, mass, "kg", 0.40, 0.01, 5, .likely_low = 0.12, .likely_high = 1.2,
          .meaning = "mass of the fork spring; its steel takes room from the air column",
          .measure = "kitchen scale", .tolerance_share = 0.01, .mistake = "grams read as kilograms",
          .source = "common practice: 0.30 to 0.55 kg"),
    RULED(df_spring, preload, "mm", "from the spacer, else 15 mm", -50, 200, .likely_low = 0,
          .likely_high = 60,
          .mistake = "taken with the wheel in the air, where the top-out spring is pressed",
          .meaning = "spring preload: compression of the fork spring with the fork extended to its "
                     "metal stop",
          .measure = "spacer sum: length + washers + cap depth - depth to the spring",
          .tolerance = 1, .source = "common practice"),
};
const struct df_section df_spring_section = DF_SECTION_OF("spring", df_spring, spring_rows);

static const struct df_param depth_taken_rows[] = {
    {.key = "valve",
     .form = DF_WORD,
     .at = offsetof(struct df_spacer, depth_taken_valve),
     .has = DF_NO_OFFSET,
     .usual = NAN,
     .need = DF_OPTIONAL,
     .words = df_place_words,
     .usual_word = "in",
     .mistake = "forgotten: the spacer is then too long by the valve's height",
     .meaning = "whether the valve was in the leg when depth_to_spring was taken",
     .source = "common practice"},
};
// Its row points into the spacer itself.
static const struct df_section depth_taken_section =
    DF_SECTION_OF("depth_taken", df_spacer, depth_taken_rows);

static const struct df_param spacer_rows[] = {
    MAYBE(df_spacer, length, "mm", 0, 800, .likely_low = 2, .likely_high = 350,
          .mistake = "cut before the valve's height was taken off, or not square",
          .meaning = "length of the spacer between spring and cap", .measure = "caliper",
          .tolerance = 0.5, .source = "common practice"),
    RULED(df_spacer, outside, "mm", "tube_bore less 2.5 mm", 3, 78, .likely_low = 15,
          .likely_high = 50, .mistake = "a tube that rubs in the bore: leave 1 mm all round",
          .meaning = "outside diameter of the spacer", .measure = "caliper",
          .tolerance = 0.1, .source = "common practice"),
    RULED(df_spacer, inside, "mm", "outside less 4 mm", 0, 76, .likely_low = 8, .likely_high = 48,
          .mistake = "taken at a burr",
          .meaning = "inside diameter of the spacer", .measure = "caliper", .tolerance = 0.1,
          .source = "common practice"),
    MAYBE(df_spacer, depth_to_spring, "mm", 0, 900, .likely_low = 20, .likely_high = 450,
          .meaning = "from the tube's rim to the top of the spring, leg pulled out",
          .measure = "tape and straight edge, leg pulled out", .tolerance = 1,
          .mistake = "measured with the leg pushed together, or before the valve went in",
          .source = "common practice"),
    {.key = "depth_taken",
     .form = DF_SECTION,
     .at = 0,
     .has = DF_NO_OFFSET,
     .usual = NAN,
     .need = DF_OPTIONAL,
     .of = &depth_taken_section,
     .meaning = "what was in the leg when depth_to_spring was taken",
     .source = "common practice"},
    USUAL(df_spacer, washers, "mm", 3, 0, 60, .likely_low = 0.5, .likely_high = 12,
          .mistake = "one counted that was left out, or the other way round",
          .meaning = "thickness of all washers beside the spacer", .measure = "caliper",
          .tolerance = 0.1, .source = "common practice"),
    USUAL(df_spacer, washer_inside, "mm", 20, 0, 76, .likely_low = 5, .likely_high = 40,
          .mistake = "smaller than the oil's way through needs",
          .meaning = "inside diameter of the washers", .measure = "caliper", .tolerance = 0.5,
          .source = "common practice"),
};
const struct df_section df_spacer_section = DF_SECTION_OF("spacer", df_spacer, spacer_rows);

static const struct df_param cap_rows[] = {
    USUAL(df_cap, depth, "mm", 14, 0, 150, .likely_low = 1, .likely_high = 60,
          .meaning = "from the cap's shoulder to the face that presses on the spacer",
          .measure = "depth gauge", .tolerance = 0.3,
          .mistake = "forgotten; or a cap with adjuster read at another ring",
          .source = "common practice: 8 to 25 mm"),
    USUAL(df_cap, volume, "cm3", 4, 0, 150, .likely_low = 0.3, .likely_high = 40,
          .mistake = "the whole cap counted, also what stands above the rim",
          .meaning = "what of the cap stands inside the tube",
          .measure = "dip it in a measuring jug up to the shoulder", .tolerance = 1,
          .source = "common practice"),
};
const struct df_section df_cap_section = DF_SECTION_OF("cap", df_cap, cap_rows);

static const struct df_param top_out_rows[] = {
    USUAL(df_top_out, length, "mm", 8, 0, 80, .likely_low = 1, .likely_high = 40,
          .mistake = "its free length instead of how far it can be pressed",
          .meaning = "length over which the top-out spring acts; 0: none",
          .measure = "free less solid length", .tolerance = 1,
          .source = "common practice: 5 to 15 mm"),
    USUAL(df_top_out, rate, "N/mm", 20, 0, 1000, .likely_low = 3, .likely_high = 100,
          .mistake = "kgf/mm read as N/mm",
          .meaning = "rate of the top-out spring", .measure = "pressed by hand on a scale, rod out",
          .tolerance_share = 0.15, .source = "common practice: 10 to 50 N/mm"),
};
const struct df_section df_top_out_section = DF_SECTION_OF("top_out", df_top_out, top_out_rows);

static const struct df_param stops_rows[] = {
    USUAL(df_stops, rate, "N/mm", 2000, 10, 1e6, .likely_low = 300, .likely_high = 20000,
          .meaning = "stiffness of the metal stops at both ends", .tolerance_share = 0.5,
          .source = "chosen here"),
    USUAL(df_stops, damping, "s/m", 0.5, 0, 50, .likely_low = 0.05, .likely_high = 5,
          .meaning = "damping of the metal stops as a share of their force per fork speed",
          .tolerance_share = 0.5, .source = "chosen here"),
};
const struct df_section df_stops_section = DF_SECTION_OF("stops", df_stops, stops_rows);

static const struct df_param cone_rows[] = {
    USUAL(df_cone, length, "mm", 15, 0, 100, .likely_low = 2, .likely_high = 40,
          .meaning =
              "length of the bottoming cone; it acts over the last part of the travel; 0: none",
          .measure = "caliper", .tolerance = 0.5, .source = "15 to 20 mm: trade book"),
    USUAL(df_cone, gap_start, "mm", 0.8, 0.005, 15, .likely_low = 0.15, .likely_high = 4,
          .meaning = "gap round the cone where it enters, on one side",
          .measure = "caliper and telescopic gauge, difference halved", .tolerance = 0.05,
          .mistake = "the difference of diameters not halved", .source = "common practice"),
    USUAL(df_cone, gap_end, "mm", 0.15, 0.005, 15, .likely_low = 0.03, .likely_high = 0.8,
          .meaning =
              "gap round the cone at its end, on one side; the force goes with one over its cube",
          .measure = "caliper and telescopic gauge, difference halved", .tolerance = 0.03,
          .mistake = "the difference of diameters not halved",
          .source = "common practice: 0.05 to 0.3 mm"),
    USUAL(df_cone, land, "mm", 5, 0.1, 80, .likely_low = 1, .likely_high = 25,
          .meaning = "length of the narrow gap along the tube", .measure = "caliper",
          .tolerance = 0.5, .source = "common practice"),
};
const struct df_section df_cone_section = DF_SECTION_OF("cone", df_cone, cone_rows);

static const struct df_param seals_rows[] = {
    USUAL(df_seals, sliding, "N", 25, 0, 300, .likely_low = 5, .likely_high = 120,
          .mistake = "the force that starts the leg, which is larger, or a pinched axle",
          .meaning = "friction of one leg's seals when sliding, without side load or pressure",
          .measure = "luggage scale on the bare leg, slower than 5 mm/s; or half the difference of "
                     "sag from above and below times the rate",
          .tolerance = 7, .source = "10 to 60 N, from memory"),
    USUAL(df_seals, viscous, "N.s/m", 10, 0, 1000, .likely_low = 0.5, .likely_high = 100,
          .meaning = "friction that grows with fork speed", .tolerance_share = 0.8,
          .source = "0 to 40 N.s/m, from memory"),
    USUAL(df_seals, pressure_factor, "N/bar", 4, 0, 200, .likely_low = 0.2, .likely_high = 20,
          .meaning = "friction that the leg's pressure adds at the seal", .tolerance_share = 0.7,
          .source = "common practice: 0 to 10 N/bar"),
    USUAL(df_seals, breakaway_ratio, "1", 1.3, 1, 5, .likely_low = 1, .likely_high = 2.5,
          .meaning = "force to start over force to keep sliding",
          .measure = "luggage scale on the bare leg", .tolerance = 0.2,
          .source = "1.1 to 2, from memory"),
    USUAL(df_seals, presliding, "mm", 0.15, 0.001, 5, .likely_low = 0.02, .likely_high = 1,
          .meaning = "how far the seal gives before it slides", .tolerance_share = 0.6,
          .source = "0.05 to 0.4 mm, from memory"),
    USUAL(df_seals, stribeck_speed, "mm/s", 10, 0.01, 1000, .likely_low = 0.5, .likely_high = 60,
          .meaning = "fork speed at which breakaway has given way to sliding",
          .tolerance_share = 0.7, .source = "2 to 20 mm/s, from memory"),
    USUAL(df_seals, bush_friction, "1", 0.03, 0, 1, .likely_low = 0.005, .likely_high = 0.2,
          .meaning = "friction coefficient of the bushes; it can decide the dive",
          .measure = "sag from above and below, again under the brake lever",
          .tolerance_share = 0.65, .source = "published for lined, oiled bushes: 0.01 to 0.12"),
    USUAL(df_seals, bush_height, "mm", 360, 50, 1000, .likely_low = 200, .likely_high = 600,
          .mistake = "height over the ground",
          .meaning = "height of the upper bush over the axle", .measure = "tape", .tolerance = 10,
          .source = "common practice: 300 to 450 mm"),
    USUAL(df_seals, bush_spacing, "mm", 120, 10, 600, .likely_low = 50, .likely_high = 300,
          .mistake = "taken with the fork pushed together",
          .meaning = "distance between the bushes with the fork extended",
          .measure = "ruler, leg apart", .tolerance = 5, .source = "common practice: 90 to 180 mm"),
};
const struct df_section df_seals_section = DF_SECTION_OF("seals", df_seals, seals_rows);
