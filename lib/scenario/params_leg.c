// Parameter rows of the leg and the damper rod.
#include "scenario/params.h"

static const double bores[DF_TUBE_SIZES] = { 30.8, 32.8, 36.6, 38.6 };   // mm
static const double rods[DF_TUBE_SIZES] = { 20, 20, 22, 22 };            // mm
static const double rod_bores[DF_TUBE_SIZES] = { 12, 12, 14, 14 };       // mm
static const double travels[DF_TUBE_SIZES] = { 140, 140, 130, 150 };     // mm

static const struct df_param check_valve_rows[] = {
    USUAL(df_check_valve, area, "mm2", 110, 0, 2000, .likely_low = 20, .likely_high = 500,
          .meaning = "open area of the check valve at the tube's end; it often governs a plain "
                     "rod; 0: no such valve",
          .measure = "lift by feeler or depth gauge times mean circumference, or the slots counted "
                     "and measured; the smaller counts",
          .tolerance_share = 0.25, .mistake = "the slots taken where the lift is the smaller",
          .source = "common practice: 40 to 250 mm2"),
    USUAL(df_check_valve, discharge, "1", 0.7, 0.05, 1.2, .likely_low = 0.45, .likely_high = 0.95,
          .meaning = "flow coefficient of the open check valve", .tolerance = 0.1,
          .source = "common practice: 0.55 to 0.8"),
    USUAL(df_check_valve, hydraulic_diameter, "mm", 2, 0.01, 50, .likely_low = 0.5,
          .likely_high = 10,
          .meaning = "hydraulic diameter of the open passage: twice the lift of a plate",
          .measure = "feeler gauge: twice the lift", .tolerance = 0.5,
          .source = "common practice: 1 to 4 mm"),
    USUAL(df_check_valve, crack, "kPa", 0.2, 0, 500, .likely_low = 0.02, .likely_high = 5,
          .meaning = "pressure difference at which the plate begins to lift",
          .measure = "weight of the plate over its area, and its spring", .tolerance_share = 0.5,
          .source = "chosen here: a plate of 5 g on 200 mm2"),
    USUAL(df_check_valve, full, "kPa", 1.5, 0.001, 1000, .likely_low = 0.3, .likely_high = 20,
          .meaning = "pressure difference at which the valve is fully open",
          .measure = "light spring pressed by hand on a scale", .tolerance_share = 0.5,
          .source = "chosen here: a light spring"),
    MAYBE(df_check_valve, curtain_area, "mm2", 0.01, 2000, .likely_low = 10, .likely_high = 500,
          .meaning =
              "second passage in series with the first: the ring of oil round the lifted plate",
          .measure = "lift times outer circumference", .tolerance_share = 0.25,
          .source = "common practice"),
};
static const struct df_section check_valve_section =
    DF_SECTION_OF("check_valve", df_check_valve, check_valve_rows);

static const struct df_param check_leak_rows[] = {
    USUAL(df_gap, gap, "mm", 0.05, 0.001, 2, .likely_low = 0.01, .likely_high = 0.2,
          .meaning = "clearance between rod and check valve, on one side",
          .measure = "bore of the valve less outside of the rod, halved", .tolerance = 0.025,
          .mistake = "the difference of diameters not halved",
          .source = "common practice: 0.02 to 0.15 mm"),
    USUAL(df_gap, length, "mm", 8, 0.1, 100, .likely_low = 2, .likely_high = 30,
          .meaning = "length of the clearance along the rod",
          .measure = "caliper: height of the valve", .tolerance = 0.5,
          .source = "common practice: 4 to 20 mm"),
    USUAL(df_gap, eccentricity, "1", 0.5, 0, 1,
          .meaning = "how far off centre the rod runs: 0 centred, 1 touching", .tolerance = 0.5,
          .source = "common practice: 0 to 1"),
};
static const struct df_section check_leak_section =
    DF_SECTION_OF("check_leak", df_gap, check_leak_rows);

static const struct df_param piston_gap_rows[] = {
    MAYBE(df_gap, gap, "mm", 0.001, 2, .likely_low = 0.01, .likely_high = 0.3,
          .meaning = "clearance round a piston without a ring, on one side",
          .measure = "bore of the tube less outside of the piston, halved", .tolerance = 0.03,
          .mistake = "the difference of diameters not halved", .source = "common practice"),
    USUAL(df_gap, length, "mm", 10, 0.1, 100, .likely_low = 2, .likely_high = 40,
          .meaning = "height of the piston", .measure = "caliper", .tolerance = 0.5,
          .source = "chosen here"),
    USUAL(df_gap, eccentricity, "1", 0.5, 0, 1,
          .meaning = "how far off centre the piston runs: 0 centred, 1 touching", .tolerance = 0.5,
          .source = "chosen here"),
};
static const struct df_section piston_gap_section =
    DF_SECTION_OF("piston_gap", df_gap, piston_gap_rows);

static const struct df_param piston_ring_rows[] = {
    USUAL(df_ring, area, "mm2", 0.5, 0, 200, .likely_low = 0.05, .likely_high = 5,
          .meaning = "leak past the piston ring: end gap times depth; 0: a tight ring",
          .measure = "feeler in the ring's end gap, ring in the tube; depth by caliper",
          .tolerance_share = 0.3, .mistake = "gap measured with the ring out of the tube",
          .source = "common practice: 0.1 to 3 mm2"),
    USUAL(df_ring, discharge, "1", 0.7, 0.05, 1.2, .likely_low = 0.45, .likely_high = 0.95,
          .meaning = "flow coefficient of the ring's end gap", .tolerance = 0.1,
          .source = "common practice"),
    USUAL(df_ring, hydraulic_diameter, "mm", 0.7, 0.005, 20, .likely_low = 0.1, .likely_high = 3,
          .meaning = "hydraulic diameter of the ring's end gap: about twice the gap",
          .measure = "feeler: twice the end gap", .tolerance = 0.2, .source = "common practice"),
};
static const struct df_section piston_ring_section =
    DF_SECTION_OF("piston_ring", df_ring, piston_ring_rows);

static const struct df_param linear_rows[] = {
    GIVEN(df_linear_leg, rate, "N/mm", 0, 100000,
          .meaning =
              "spring rate of a leg with linear laws, which stands in for everything else in it",
          .source = "textbook leg"),
    GIVEN(df_linear_leg, damping, "N.s/m", 0, 1e7,
          .meaning = "damping of a leg with linear laws, the same both ways",
          .source = "textbook leg"),
    {DF_ROW(df_linear_leg, preload, "N", DF_QUANTITY, DF_ABSENT), .usual = NAN, .low = -1e6,
     .high = 1e6, .usual_rule = "the leg's static load, so that the fork rests at x = 0",
     .meaning = "force of the linear leg at x = 0", .source = "textbook leg"},
};
static const struct df_section linear_section = DF_SECTION_OF("linear", df_linear_leg, linear_rows);

static const struct df_param leg_rows[] = {
    GIVEN(df_leg, tube_outside, "mm", 15, 80, .likely_low = 28, .likely_high = 60,
          .meaning = "outside diameter of the fork tube",
          .measure = "caliper or micrometer on the chrome", .tolerance = 0.03,
          .mistake = "the radius, or centimetres", .source = "common practice: 35 to 43 mm"),
    {DF_ROW(df_leg, tube_bore, "mm", DF_QUANTITY, DF_OPTIONAL), .usual = NAN, .low = 10, .high = 78,
     .likely_low = 24, .likely_high = 56, .by_tube = bores,
     .usual_rule = "by tube size, else tube_outside less 4.4 mm",
     .meaning = "inside diameter of the fork tube",
     .measure = "telescopic gauge and micrometer; or wall at the rim, twice, off the outside",
     .tolerance = 0.1, .mistake = "one wall taken off instead of two",
     .source = "common practice: outside less 4 to 6 mm"},
    {DF_ROW(df_leg, rod_outside, "mm", DF_QUANTITY, DF_OPTIONAL), .usual = NAN, .low = 5,
     .high = 60, .likely_low = 14, .likely_high = 34, .by_tube = rods, .usual_rule = "by tube size",
     .mistake = "taken on the head or a worn stripe",
     .meaning = "outside diameter of the damper rod", .measure = "caliper", .tolerance = 0.05,
     .source = "18 to 24 mm, from memory"},
    {DF_ROW(df_leg, rod_bore, "mm", DF_QUANTITY, DF_OPTIONAL), .usual = NAN, .low = 2, .high = 58,
     .likely_low = 7, .likely_high = 26, .by_tube = rod_bores, .usual_rule = "by tube size",
     .mistake = "taken at the threaded end",
     .meaning = "inside diameter of the damper rod",
     .measure = "inside jaws of the caliper at the rod's ends", .tolerance = 0.05,
     .source = "10 to 15 mm, from memory"},
    {DF_ROW(df_leg, travel, "mm", DF_QUANTITY, DF_REQUIRED), .usual = NAN, .low = 20, .high = 400,
     .likely_low = 60, .likely_high = 320, .by_tube = travels,
     .meaning = "travel of the fork from metal top-out stop to metal bottom stop",
     .measure = "spring out: pull the tube to the top-out stop, push it to metal; ruler",
     .tolerance = 1,
     .mistake = "wheel in the air taken for full extension: a top-out spring hides up to 5 mm",
     .source = "common practice: 110 to 150 mm"},
    RULED(df_leg, rod_length, "mm", "travel + 130 mm", 20, 1000, .likely_low = 120,
          .likely_high = 600,
          .mistake = "the rod's whole length, foot included",
          .meaning = "length of the damper rod's bore from its holes to its head",
          .measure = "ruler, rod out", .tolerance = 2, .source = "common practice"),
    USUAL(df_leg, exposed_at_full_travel, "mm", 6, 0, 150, .likely_low = 0.5, .likely_high = 30,
          .meaning = "tube still showing with the leg on its metal stop; what an O-ring leaves "
                     "above it, less this, is stroke in reserve",
          .measure = "ruler from the seal to the mark, spring out", .tolerance = 1,
          .mistake = "forgotten when an O-ring is read as travel used",
          .source = "common practice: 3 to 15 mm"),
    USUAL(df_leg, lower_dead_volume, "cm3", 40, 0.1, 1000, .likely_low = 10, .likely_high = 200,
          .meaning = "oil left under the tube on the bottom stop",
          .measure = "pour a known volume, compare the level with the geometry",
          .tolerance_share = 0.4, .source = "common practice: 10 to 150 cm3"),
    USUAL(df_leg, annulus_dead_volume, "cm3", 15, 0.1, 500, .likely_low = 3, .likely_high = 60,
          .meaning = "oil left between rod, tube and piston with the fork extended",
          .measure = "pour a known volume, compare the level with the geometry",
          .tolerance_share = 0.4, .source = "common practice: 5 to 40 cm3"),
    MAYBE(df_leg, tube_end_height, "mm", -100, 500, .likely_low = 0, .likely_high = 150,
          .mistake = "taken with the leg extended: the limit for holes is then far too high",
          .meaning = "height of the tube's end over the rod's foot at full travel; without it the "
                     "rod's holes are never covered",
          .measure = "ruler beside the rod, leg dry and on its stop", .tolerance = 1,
          .source = "common practice"),
    USUAL(df_leg, tube_end_thickness, "mm", 6, 0, 100, .likely_low = 2, .likely_high = 25,
          .mistake = "the whole bush instead of what closes on the rod",
          .meaning = "thickness of the check valve's seat at the tube's end, which covers a hole "
                     "as it passes",
          .measure = "caliper", .tolerance = 0.5, .source = "common practice"),
    PART(df_leg, check_valve, check_valve_section,
         .meaning = "check valve at the tube's end, free when the fork dives",
         .source = "common practice"),
    PART(df_leg, check_leak, check_leak_section, .meaning = "clearance between rod and check valve",
         .source = "common practice"),
    PART(df_leg, piston_ring, piston_ring_section, .meaning = "leak past the rod's piston ring",
         .source = "common practice"),
    PART(df_leg, piston_gap, piston_gap_section,
         .meaning = "clearance round a piston that has no ring", .source = "chosen here"),
    PART_IF(df_leg, "linear", linear, has_linear, linear_section,
            .meaning = "a leg with linear laws, which stands in for every other part of the leg",
            .source = "textbook leg"),
};
const struct df_section df_leg_section = DF_SECTION_OF("leg", df_leg, leg_rows);

#define EDGE_ROWS                                                                                  \
  USUAL(df_hole_group, entry_radius, "mm", 0, 0, 10, .likely_low = 0.02, .likely_high = 2,         \
        .meaning = "rounding of the hole's edge at the outside of the rod; 0 is sharp",            \
        .measure = "loupe and radius gauge", .tolerance = 0.1,                                     \
        .source = "zeta tables of Idelchik's handbook"),                                           \
      USUAL(df_hole_group, entry_chamfer, "mm", 0, 0, 10, .likely_low = 0.02, .likely_high = 2,    \
            .mistake = "a deburred edge called a chamfer: it has hardly 0.1 mm",                   \
            .meaning = "chamfer of the hole's edge at the outside of the rod; 0 is sharp",         \
            .measure = "loupe and caliper", .tolerance = 0.1,                                      \
            .source = "zeta tables of Idelchik's handbook"),                                       \
      USUAL(df_hole_group, exit_radius, "mm", 0, 0, 10, .likely_low = 0.02, .likely_high = 2,      \
            .meaning = "rounding of the hole's edge inside the rod; 0 is sharp",                   \
            .measure = "loupe", .tolerance = 0.1, .source = "zeta tables of Idelchik's handbook"), \
      USUAL(df_hole_group, exit_chamfer, "mm", 0, 0, 10, .likely_low = 0.02, .likely_high = 2,     \
            .meaning = "chamfer of the hole's edge inside the rod; 0 is sharp",                    \
            .measure = "loupe", .tolerance = 0.1, .source = "zeta tables of Idelchik's handbook")

static const struct df_param compression_rows[] = {
    COUNT_GIVEN(df_hole_group, count, 0, 64, .likely_low = 1, .likely_high = 16,
                .mistake = "small top holes counted among the lower ones",
                .meaning = "number of equal holes", .measure = "count",
                .source = "2 to 4, from memory"),
    GIVEN(df_hole_group, diameter, "mm", 0.1, 25, .likely_low = 1, .likely_high = 12,
          .meaning = "diameter of each hole", .measure = "drill shanks as plug gauges",
          .tolerance = 0.08, .mistake = "caliper jaws, which read small holes too small",
          .source = "4 to 8 mm, from memory"),
    MAYBE(df_hole_group, height, "mm", 0, 1000, .likely_low = 2, .likely_high = 250,
          .meaning = "height of the holes' centre over the rod's foot; with leg.tube_end_height it "
                     "tells when the tube's end passes them",
          .measure = "ruler along the rod", .tolerance = 0.5,
          .mistake = "measured from the bolt's face instead of the foot",
          .source = "common practice: 10 to 60 mm"),
    EDGE_ROWS,
};
static const struct df_section compression_section =
    DF_SECTION_OF("compression_holes", df_hole_group, compression_rows);

static const struct df_param rebound_rows[] = {
    COUNT_GIVEN(df_hole_group, count, 0, 64, .likely_low = 1, .likely_high = 12,
                .meaning = "number of equal holes", .measure = "count",
                .source = "1 to 2, from memory"),
    GIVEN(df_hole_group, diameter, "mm", 0.1, 25, .likely_low = 0.6, .likely_high = 6,
          .meaning = "diameter of each hole; 0.1 mm is worth some 15 % of rebound",
          .measure = "drill shanks or pin gauges in steps of 0.05 mm", .tolerance = 0.05,
          .mistake = "caliper jaws, which read small holes too small",
          .source = "1.2 to 2.4 mm, from memory"),
    MAYBE(df_hole_group, depth, "mm", 0, 1000, .likely_low = 0.5, .likely_high = 200,
          .mistake = "measured from the rod's top end",
          .meaning = "depth of the holes' centre under the piston's lower edge, fork extended; "
                     "without it they are never covered",
          .measure = "ruler along the rod", .tolerance = 0.5, .source = "common practice"),
    EDGE_ROWS,
};
static const struct df_section rebound_section =
    DF_SECTION_OF("rebound_holes", df_hole_group, rebound_rows);

#define COMPRESSION_TEXT "large holes near the rod's foot by which oil leaves when the fork dives"
#define REBOUND_TEXT                                                                               \
  "small holes near the rod's head by which oil leaves the annulus when the fork comes back"

static const struct df_param holes_rows[] = {
    LISTED(df_rod_holes, "compression_holes", compression_holes.at, compression_holes.n,
           DF_REQUIRED, DF_HOLE_GROUPS_MAX, compression_section, .meaning = COMPRESSION_TEXT,
           .measure = "drill shanks as plug gauges, ruler", .source = "common practice"),
    LISTED(df_rod_holes, "rebound_holes", rebound_holes.at, rebound_holes.n, DF_REQUIRED,
           DF_HOLE_GROUPS_MAX, rebound_section, .meaning = REBOUND_TEXT,
           .measure = "pin gauges in steps of 0.05 mm", .source = "common practice"),
};
const struct df_section df_holes_section = DF_SECTION_OF("holes", df_rod_holes, holes_rows);

static const char *const state_words[] = { "as_found", "opened", NULL };

static const struct df_param rod_rows[] = {
    LISTED(df_rod, "compression_holes", holes.compression_holes.at, holes.compression_holes.n,
           DF_REQUIRED, DF_HOLE_GROUPS_MAX, compression_section, .meaning = COMPRESSION_TEXT,
           .measure = "drill shanks as plug gauges, ruler", .source = "common practice"),
    LISTED(df_rod, "rebound_holes", holes.rebound_holes.at, holes.rebound_holes.n, DF_REQUIRED,
           DF_HOLE_GROUPS_MAX, rebound_section, .meaning = REBOUND_TEXT,
           .measure = "pin gauges in steps of 0.05 mm", .source = "common practice"),
    PART_IF(df_rod, "as_found", as_found, has_as_found, df_holes_section,
            .meaning = "the rod's holes before anybody drilled", .source = "common practice"),
    PART_IF(df_rod, "opened", opened, has_opened, df_holes_section,
            .meaning = "the rod's holes after drilling for the valve",
            .usual_rule = "6 x 6.35 mm, chamfer 0.5 mm, pairs 10 mm apart upwards from the lowest "
                          "as-found hole; rebound holes as found",
            .source = "common practice"),
    {.key = "state",
     .form = DF_WORD,
     .at = offsetof(struct df_rod, state),
     .has = DF_NO_OFFSET,
     .usual = NAN,
     .need = DF_OPTIONAL,
     .words = state_words,
     .usual_rule = "opened if a valve and `opened` are given, else as_found",
     .meaning = "which of the two sets of holes is in the leg",
     .source = "chosen here"},
    USUAL(df_rod, bore_loss, "1", 2.0, 0, 20, .likely_low = 1, .likely_high = 4,
          .meaning = "loss of the rod's bore in dynamic pressures", .tolerance = 0.5,
          .source = "chosen here: momentum of side inflow into a dead-end tube"),
    USUAL(df_rod, yield_strength, "MPa", 350, 30, 3000, .likely_low = 120, .likely_high = 1200,
          .mistake = "taken for a hardened steel; plain drawn tube has half of that",
          .meaning = "yield strength of the rod's material, for the stress after drilling",
          .tolerance_share = 0.2, .source = "plain steel tube, from memory"),
};
const struct df_section df_rod_section = DF_SECTION_OF("rod", df_rod, rod_rows);
