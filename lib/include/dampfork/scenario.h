// A scenario as plain numbers in SI units. The reader fills these structs; nothing below the reader knows of files, keys or unit words.
// NAN in a field means "not given and without a usual value". Every double is named by exactly one row of the parameter table.
#ifndef DAMPFORK_SCENARIO_H
#define DAMPFORK_SCENARIO_H

#include "dampfork/status.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

enum {
  DF_HOLE_GROUPS_MAX = 8,     // as drilled plus opened in pairs of different size: four are common
  DF_SHIMS_MAX = 24,          // groups of equal shims; the thickest stacks seen have about a dozen
  DF_BLEND_MAX = 4,
  DF_ROADS_MAX = 32,
  DF_HAVE_MAX = 16,
  DF_NAME_MAX = 32,           // bytes of a road's name, without the final zero
  DF_PATH_MAX = 256,
  DF_TEXT_MAX = 1024,
  DF_SIDES = 2                // left 0, right 1
};

// Words of choices; the order is that of the words in the parameter table.
enum df_use { DF_USE_COMMUTING, DF_USE_TOURING, DF_USE_BRISK_ROAD, DF_USE_GRAVEL };
enum df_switch { DF_OFF, DF_ON };
enum df_place { DF_OUT, DF_IN };
enum df_contact { DF_CONTACT_POINT, DF_CONTACT_DISC, DF_CONTACT_FOOTPRINT };
enum df_rod_state { DF_ROD_AS_FOUND, DF_ROD_OPENED };
enum df_law { DF_LAW_TWO_TERM, DF_LAW_HANDBOOK, DF_LAW_LICHTAROWICZ };
enum df_start { DF_START_GIVEN, DF_START_COLD, DF_START_HEATED };
enum df_meet { DF_MEET_NONE, DF_MEET_DIVE_PEAK, DF_MEET_BRAKED_REST, DF_MEET_TIME };

// The vehicle without its rider.
struct df_bike {
  double wet_mass;            // kg, ready to ride, without rider
  double front_share;         // 1, share of wet_mass on the front wheel
  double front_unsprung_mass; // kg
  double wheelbase;           // m
  double rake;                // rad, from the vertical
  double mass_height;         // m, of bike, rider and load together
  double front_wheel_inertia; // kg m2, 0: wheel spin left out
  double legs;                // 1, one or two
};

// A person, or a load that counts like one.
struct df_rider   { double mass; /* kg */ double front_share; /* 1 */ };
// What rides along.
struct df_load    { struct df_rider luggage, passenger; };

// The front tyre.
struct df_tyre {
  double stiffness;           // N/m
  double damping;             // N s/m
  double radius;              // m
  double footprint_length;    // m
  double section_height;      // m, deflection at which the run ends
  int contact;                // enum df_contact
  int slope_force;            // enum df_switch
  int bilateral;              // enum df_switch: linear theory, the tyre can pull
};

// Check valve at the tube's end: the oil's way into the annulus in compression.
struct df_check_valve {
  double area;                // m2
  double discharge;           // 1
  double hydraulic_diameter;  // m
  double crack, full;         // Pa, starts to open, fully open
  double curtain_area;        // m2, in series; NAN: none
};
// A ring-shaped gap.
struct df_gap        { double gap; /* m, on one side; NAN: none */ double length; /* m */ double eccentricity; /* 1 */ };
// The piston ring's end gap.
struct df_ring       { double area; /* m2 */ double discharge; /* 1 */ double hydraulic_diameter; /* m */ };
// The textbook leg: spring and damper in straight lines.
struct df_linear_leg { double rate; /* N/m */ double damping; /* N s/m */ double preload; /* N; NAN: the static load */ };

// Tube, rod and what seals them.
struct df_leg {
  double tube_outside, tube_bore, rod_outside, rod_bore; // m
  double travel;              // m, metal to metal
  double rod_length;          // m
  double exposed_at_full_travel;                         // m
  double lower_dead_volume, annulus_dead_volume;         // m3
  double tube_end_height;     // m over the rod's foot at full travel; NAN: holes never covered
  double tube_end_thickness;  // m
  struct df_check_valve check_valve;
  struct df_gap check_leak;
  struct df_ring piston_ring;
  struct df_gap piston_gap;
  struct df_linear_leg linear;
  int has_linear;             // 1: the linear leg stands in for everything else
};

// One group of equal holes. Entry is the outside of the rod, exit its bore.
struct df_hole_group {
  double count;               // 1
  double diameter;            // m
  double height;              // m, compression: centre over the rod's foot; NAN: never covered
  double depth;               // m, rebound: centre under the piston's lower edge, fork extended; NAN: never covered
  double entry_radius, entry_chamfer, exit_radius, exit_chamfer; // m
};
// Groups of holes, and the two lists of a rod.
struct df_hole_list { int n; struct df_hole_group at[DF_HOLE_GROUPS_MAX]; };
struct df_rod_holes { struct df_hole_list compression_holes, rebound_holes; };

// The damper rod.
struct df_rod {
  struct df_rod_holes holes;  // the ones in the leg: chosen by `state` where as_found and opened are given
  struct df_rod_holes as_found, opened;
  int has_as_found, has_opened;
  int state;                  // enum df_rod_state
  double bore_loss;           // 1
  double yield_strength;      // Pa
};

// A group of equal bending shims.
struct df_shim      { double count; /* 1 */ double diameter, thickness; /* m */ };
// A group of equal bleed holes.
struct df_bleed     { double count; /* 1 */ double diameter; /* m */ };

// The drop-in valve on top of the rod.
struct df_valve {
  double seat_diameter, land; // m
  double port_area;           // m2
  double port_discharge, curtain_discharge, jet_coefficient; // 1
  int bleed_n;
  struct df_bleed bleed_holes[DF_HOLE_GROUPS_MAX];
  double bleed_length;        // m
  double spring_rate;         // N/m
  double preload;             // m, from first contact (turns already multiplied by the pitch)
  double preload_turns;       // 1, as given in turns; NAN when given as a length
  double adjuster_pitch;      // m a turn
  double adjuster_height;     // m at first contact; NAN: not measured
  double stop;                // m, lift stop
  int shim_n;
  struct df_shim shims[DF_SHIMS_MAX];
  double shim_clamp;          // m, diameter
  double port_inner;          // m, diameter
  double shim_dish;           // m
  double shim_modulus, shim_yield; // Pa
  double return_area;         // m2
  double return_discharge;    // 1
  double return_hydraulic_diameter; // m
  double return_crack, return_full; // Pa
  double plate_mass;          // kg, 0: inertia left out
  double spring_mass;         // kg
  double plate_damping;       // N s/m
  double height;              // m
  double volume;              // m3
};

// One of the oils of a blend.
struct df_blend_part { double viscosity_40, viscosity_100; /* m2/s */ double density_15; /* kg/m3 */ double share; /* 1 */ };

// The oil, and how warm it is.
struct df_oil {
  double viscosity_40, viscosity_100;  // m2/s
  double viscosity_index;     // 1; NAN when viscosity_100 is given
  int blend_n;
  struct df_blend_part blend[DF_BLEND_MAX];
  double density_15;          // kg/m3
  double temperature;         // K, riding
  double ambient;             // K
  double air_fraction;        // 1, volume share at p0
  double vapour_pressure, cavitation_threshold; // Pa
  double bulk_modulus, wall_modulus;   // Pa
  double volume;              // m3 a leg; NAN: not given
  double level_temperature;   // K
  double heat_capacity;       // J/K a leg
  double heat_loss;           // W/K a leg
};

struct df_level_taken { int valve, spring, spacer; };  // enum df_place

// The air column over the oil.
struct df_air {
  double oil_level;           // m from the rim, leg collapsed; smaller is more oil
  struct df_level_taken level_taken;
  double solids;              // m3; NAN: computed from spring, spacer and cap
  double exponent;            // 1
  double thermal_time;        // s; NAN: polytropic
  double sealed_travel;       // m
  double fill_pressure;       // Pa
};

// The main spring.
struct df_spring {
  double rate;                // N/m
  double second_rate;         // N/m; NAN: one rate
  double change_at;           // m of coil compression; NAN: one rate
  double free_length, solid_length; // m
  double wire, outside;       // m; NAN: not measured
  double coils;               // 1; NAN: not measured
  double mass;                // kg
  double preload;             // m, coil compression at x = 0
};

// The tube on top of the spring, and washers.
struct df_spacer {
  int given;                  // 1: a spacer section stands in the scenario
  double length, outside, inside; // m; length NAN: not given
  double depth_to_spring;     // m; NAN: not given
  int depth_taken_valve;      // enum df_place
  double washers;             // m, total thickness
  double washer_inside;       // m
};

// The cap that closes the leg.
struct df_cap     { double depth; /* m */ double volume; /* m3 */ };
// The spring that catches the fork at full extension.
struct df_top_out { double length; /* m */ double rate; /* N/m */ };
// Metal on metal at both ends.
struct df_stops   { double rate; /* N/m */ double damping; /* s/m */ };
// The cone that chokes the last of the travel.
struct df_cone    { double length, gap_start, gap_end, land; /* m */ };

// Friction of seals and bushes.
struct df_seals {
  double sliding;             // N
  double viscous;             // N s/m
  double pressure_factor;     // N/Pa
  double breakaway_ratio;     // 1
  double presliding;          // m
  double stribeck_speed;      // m/s
  double bush_friction;       // 1
  double bush_height, bush_spacing; // m
};

// The rider's braking.
struct df_braking { double front_share; /* 1 */ double grip; /* 1 */ double ramp, hold, release; /* s */ };

// How to compute.
struct df_run {
  int law;                    // enum df_law
  int choking;                // enum df_switch
  double contraction;         // 1
  int heating;                // enum df_switch
  int start;                  // enum df_start
  int method;                 // row of the method table
  double tolerance;           // 1; NAN: that of the command
};

// A braking on a road.
struct df_brake { double deceleration; /* m/s2 */ double ramp, hold, release; /* s */ };
// Leaning into a corner on a road.
struct df_lean  { double angle; /* rad */ double ramp, hold; /* s */ };
// A push by hand, let go.
struct df_push  { double depth; /* m */ };

// One road: a profile of some kind, with, if wanted, a manoeuvre. Keys of the kind itself lie in `keys`, laid out by the kind's own struct.
struct df_road {
  char name[DF_NAME_MAX + 1]; // [a-z][a-z0-9-]{0,31}
  int kind;                   // row of the table of road kinds
  double speed;               // m/s at s = 0
  double window;              // s; NAN: 2 s plus the time over the obstacle or the manoeuvre
  double repeat;              // 1
  double gap;                 // s between repeats
  int contact;                // enum df_contact; -1: as tyre.contact
  int has_brake, has_lean, has_push;
  struct df_brake brake;
  struct df_lean lean;
  struct df_push push;
  int meet;                   // enum df_meet
  double meet_time;           // s after the brake's start, with DF_MEET_TIME
  double keys[12];            // the kind's own struct (doubles only), SI
  char file[DF_PATH_MAX];     // recorded: already joined to the scenario's folder; "" otherwise
};

// What is in stock: settings are chosen among it.
struct df_have {
  int springs_n, oils_n, washers_n;
  double springs[DF_HAVE_MAX];  // N/m
  double oils[DF_HAVE_MAX];     // m2/s at 40 C
  double washers[DF_HAVE_MAX];  // m
};

// What one leg is made of. Both legs are equal unless the scenario's `right` says otherwise.
struct df_side {
  struct df_leg leg;
  struct df_rod rod;
  struct df_valve valve;
  int has_valve;
  struct df_oil oil;
  struct df_air air;
  struct df_spring spring;
  struct df_spacer spacer;
};

// Everything that a scenario says, each value in SI.
struct df_scenario {
  char title[DF_TEXT_MAX], note[DF_TEXT_MAX]; // as given, UTF-8
  int use;                    // enum df_use
  struct df_bike bike;
  struct df_rider rider;
  struct df_load load;
  struct df_tyre tyre;
  struct df_side side[DF_SIDES];
  int unlike;                 // 1: side[1] differs from side[0]; the legs are modelled apart
  struct df_cap cap;
  struct df_top_out top_out;
  struct df_stops stops;
  struct df_cone cone;
  struct df_seals seals;
  struct df_braking braking;
  struct df_run run;
  struct df_have have;
  int road_n;
  struct df_road road[DF_ROADS_MAX];
  int roads_of_use;           // 1: the scenario named none, these are the set of its use
};

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
