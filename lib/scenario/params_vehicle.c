// Parameter rows of the vehicle: bike, rider, load, tyre, braking.
#include "scenario/params.h"

const double df_tube_sizes[DF_TUBE_SIZES] = { 35, 37, 41, 43 };
const char *const df_switch_words[] = { "off", "on", NULL };
const char *const df_place_words[] = { "out", "in", NULL };
const char *const df_contact_words[] = { "point", "disc", "footprint", NULL };

#define SCALE                                                                                      \
  "scale under one wheel, the other wheel on a board of the same height, bike held upright; twice"

static const struct df_param bike_rows[] = {
    USUAL(df_bike, wet_mass, "kg", 200, 20, 800, .likely_low = 90, .likely_high = 400,
          .meaning = "mass of the bike ready to ride, full tank, without rider",
          .measure = SCALE "; add both readings", .tolerance = 2,
          .mistake = "the dry mass of a brochure, or the rider counted in",
          .source = "common practice"),
    USUAL(df_bike, front_share, "%", 49, 5, 100, .likely_low = 40, .likely_high = 60,
          .meaning = "share of the bike's mass on the front wheel, bike alone",
          .measure = SCALE "; front reading over the sum", .tolerance = 0.5,
          .mistake = "measured with the rider aboard", .source = "common practice: 46 to 51 %"),
    USUAL(df_bike, front_unsprung_mass, "kg", 16, 0.5, 80, .likely_low = 8, .likely_high = 25,
          .meaning = "what moves with the front wheel: wheel, discs, calipers, mudguard, sliders, "
                     "rods, half of the springs",
          .measure = "scale, with the front end apart", .tolerance = 0.5,
          .mistake = "the wheel alone, without calipers and sliders",
          .source = "12 to 18 kg: Sharp; Cossalter, Motorcycle Dynamics, from memory"),
    USUAL(df_bike, wheelbase, "mm", 1440, 600, 2500, .likely_low = 1100, .likely_high = 1800,
          .mistake = "taken with the bike on its side stand, front wheel turned",
          .meaning = "distance between the axles", .measure = "tape from axle to axle",
          .tolerance = 5, .source = "1400 to 1540 mm: Cossalter, Motorcycle Dynamics, from memory"),
    USUAL(df_bike, rake, "degree", 26, 0, 45, .likely_low = 0, .likely_high = 36, .mirror = 90,
          .mirror_words = "measured from the ground",
          .meaning = "angle of the fork from the vertical",
          .measure = "inclinometer on the tube, level floor, rider off", .tolerance = 0.5,
          .mistake = "measured from the ground: 64 instead of 26 degree",
          .source = "24 to 30 degree: Cossalter, Motorcycle Dynamics, from memory"),
    RULED(df_bike, mass_height, "mm", "0.43 of the wheelbase", 0, 1500, .likely_low = 400,
          .likely_high = 900,
          .meaning = "height of the centre of mass of bike, rider and load together",
          .measure = "lift the rear wheel by 300 to 400 mm and read the front scale again",
          .tolerance = 40, .mistake = "bike alone, without the rider",
          .source = "0.35 to 0.45 of the wheelbase: Cossalter, Motorcycle Dynamics, from memory"),
    USUAL(df_bike, front_wheel_inertia, "kg.m2", 0, 0, 5, .likely_low = 0.05, .likely_high = 1.2,
          .meaning =
              "moment of inertia of the front wheel about its axle; 0 leaves the wheel's spin out",
          .measure = "hang the wheel from its rim, time ten swings", .tolerance_share = 0.1,
          .source = "0 to 0.7 kg.m2, from memory"),
    COUNT_USUAL(df_bike, legs, 2, 1, 2, .meaning = "number of fork legs", .measure = "count",
                .source = "chosen here"),
};
const struct df_section df_bike_section = DF_SECTION_OF("bike", df_bike, bike_rows);

static const struct df_param rider_rows[] = {
    USUAL(df_rider, mass, "kg", 80, 0, 300, .likely_low = 35, .likely_high = 160,
          .meaning = "mass of the rider in riding gear; 0 is nobody",
          .measure = "bathroom scale, dressed to ride", .tolerance = 1,
          .mistake = "without helmet, boots and leathers: 8 to 12 kg",
          .source = "common practice: 75 to 110 kg"),
    USUAL(df_rider, front_share, "%", 42, 0, 100, .likely_low = 25, .likely_high = 60,
          .mistake = "feet on the ground while reading",
          .meaning = "share of the rider's mass that the front scale gains",
          .measure =
              "scale under the front wheel, rider aboard with feet up, less the reading without",
          .tolerance = 2, .source = "common practice: 35 to 45 %"),
};
const struct df_section df_rider_section = DF_SECTION_OF("rider", df_rider, rider_rows);

static const struct df_param luggage_rows[] = {
    USUAL(df_rider, mass, "kg", 0, 0, 300, .likely_low = 0.5, .likely_high = 100,
          .meaning = "mass of the luggage", .measure = "scale", .tolerance = 2,
          .mistake = "forgotten", .source = "common practice"),
    USUAL(df_rider, front_share, "%", 5, -50, 100, .likely_low = -20, .likely_high = 50,
          .meaning = "share of the luggage that the front wheel carries",
          .measure = "front scale with and without it", .tolerance = 3,
          .source = "common practice: 0 to 20 %"),
};
static const struct df_section luggage_section = DF_SECTION_OF("luggage", df_rider, luggage_rows);

static const struct df_param passenger_rows[] = {
    USUAL(df_rider, mass, "kg", 0, 0, 300, .likely_low = 15, .likely_high = 150,
          .meaning = "mass of the passenger in riding gear; 0 is nobody",
          .measure = "bathroom scale", .tolerance = 2, .mistake = "forgotten",
          .source = "common practice"),
    USUAL(df_rider, front_share, "%", 10, -50, 100, .likely_low = -10, .likely_high = 40,
          .meaning = "share of the passenger's mass that the front wheel carries",
          .measure = "front scale with and without", .tolerance = 3,
          .source = "common practice: 0 to 20 %"),
};
static const struct df_section passenger_section =
    DF_SECTION_OF("passenger", df_rider, passenger_rows);

static const struct df_param load_rows[] = {
    PART(df_load, luggage, luggage_section, .meaning = "luggage on the bike",
         .source = "common practice"),
    PART(df_load, passenger, passenger_section, .meaning = "passenger",
         .source = "common practice"),
};
const struct df_section df_load_section = DF_SECTION_OF("load", df_load, load_rows);

static const struct df_param tyre_rows[] = {
    USUAL(df_tyre, stiffness, "N/mm", 150, 10, 5000, .likely_low = 60, .likely_high = 400,
          .meaning = "radial stiffness of the front tyre",
          .measure =
              "axle height against scale load at three loads 30 to 40 kg apart; note the pressure",
          .tolerance_share = 0.1,
          .mistake = "another tyre pressure: 0.2 bar is about 8 %, from memory",
          .source = "115 to 180 N/mm: Sharp; Cossalter, Motorcycle Dynamics, from memory"),
    USUAL(df_tyre, damping, "N.s/m", 150, 0, 50000, .likely_low = 20, .likely_high = 1000,
          .meaning = "radial damping of the front tyre", .tolerance_share = 0.7,
          .source = "50 to 500 N.s/m, from memory"),
    USUAL(df_tyre, radius, "mm", 300, 50, 1000, .likely_low = 180, .likely_high = 400,
          .meaning = "height of the axle over the road, rider aboard",
          .measure = "ruler, rider aboard", .tolerance = 2,
          .mistake = "the diameter, or the rim's size in inches",
          .source = "280 to 330 mm, from memory"),
    USUAL(df_tyre, footprint_length, "mm", 100, 1, 500, .likely_low = 40, .likely_high = 200,
          .meaning = "length of the contact patch, for contact: footprint",
          .measure = "paper under the inked tyre", .tolerance = 10, .source = "chosen here"),
    USUAL(df_tyre, section_height, "mm", 80, 5, 500, .likely_low = 40, .likely_high = 150,
          .meaning =
              "how far the tyre can be pressed in before the rim touches; the run ends there",
          .measure = "ruler from the rim's edge to the road", .tolerance = 5,
          .source = "chosen here"),
    WORD(df_tyre, contact, df_contact_words, "disc",
         .meaning = "how the tyre rolls over the road: a point, a disc of the tyre's radius, or a "
                    "footprint",
         .source = "chosen here"),
    {.key = "slope_force",
     .form = DF_WORD,
     .at = offsetof(struct df_tyre, slope_force),
     .has = DF_NO_OFFSET,
     .usual = NAN,
     .need = DF_OPTIONAL,
     .words = df_switch_words,
     .usual_rule = "on for contact: disc, else off",
     .meaning = "the rearward push of a slope on the wheel, and the wheel's own way back along the "
                "raked fork",
     .source = "chosen here"},
    WORD(df_tyre, bilateral, df_switch_words, "off",
         .meaning = "the tyre can pull as well as push: linear theory only",
         .source = "chosen here"),
};
const struct df_section df_tyre_section = DF_SECTION_OF("tyre", df_tyre, tyre_rows);

static const struct df_param braking_rows[] = {
    USUAL(df_braking, front_share, "%", 100, 0, 100, .likely_low = 40, .likely_high = 100,
          .meaning = "share of the braking force at the front wheel", .tolerance = 10,
          .source = "60 to 100 %, from memory"),
    USUAL(df_braking, grip, "1", 1.1, 0.05, 3, .likely_low = 0.2, .likely_high = 1.6,
          .meaning = "greatest braking force over tyre load", .tolerance_share = 0.15,
          .source = "0.3 to 1.3, from memory"),
    USUAL(df_braking, ramp, "s", 0.25, 0.005, 20, .likely_low = 0.05, .likely_high = 1,
          .meaning =
              "time in which the rider takes the lever; it decides how far the fork overshoots",
          .measure = "video of the lever at 60 pictures a second or more", .tolerance_share = 0.3,
          .source = "chosen here; studies vary it over 0.15 to 0.4 s"),
    USUAL(df_braking, hold, "s", 1.5, 0.02, 60, .likely_low = 0.2, .likely_high = 10,
          .meaning = "how long the braking stays constant", .source = "chosen here"),
    USUAL(df_braking, release, "s", 0.1, 0.005, 20, .likely_low = 0.03, .likely_high = 1,
          .meaning = "time in which the lever is let go", .source = "chosen here"),
};
const struct df_section df_braking_section = DF_SECTION_OF("braking", df_braking, braking_rows);
