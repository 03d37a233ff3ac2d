// The bench sheet: what is to be measured, cut, drilled, poured, set and tested for one scenario.
// Pure functions; every figure that the page prints comes from one of them. SI, NAN: not known.
#ifndef DAMPFORK_SHEET_H
#define DAMPFORK_SHEET_H

#include "dampfork/drill.h"
#include "dampfork/leg.h"
#include "dampfork/reader.h"
#include "dampfork/scenario.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

// ---- tools: what a figure is rounded to (common practice) ----
#define DF_SAW_STEP 0.5e-3      // m, a hacksaw and a file
#define DF_PROBE_STEP 1e-3      // m, a probe in the oil
#define DF_TURN_STEP 0.25       // 1, an adjuster
#define DF_SYRINGE_STEP 5e-6    // m3, a syringe or measuring cup
#define DF_RATE_STEP 500.0      // N/m, springs that are sold: 0.5 N/mm apart

// The nearest multiple of a step (above 0).
double df_rounded(double value, double step);

// The drill nearest to a diameter (m): metric by 0.1 mm (ISO 235 sizes up to 14 mm), inches by
// 1/64. sixty_fourths: size in 1/64 in, 0 for a metric drill.
struct df_drill_size { double diameter; /* m */ int sixty_fourths; /* 1/64 in */ };
struct df_drill_size df_drill_nearest(double diameter);

// ---- sag ----
enum df_sag_load { DF_SAG_ALONE, DF_SAG_RIDER, DF_SAG_FULL, DF_SAG_LOADS };
extern const char *const df_sag_load_words[DF_SAG_LOADS]; // "alone", "rider", "full"

// Below the place where the fork hangs with the wheel off the ground. NAN: no rest in the travel.
struct df_sag {
  double mean;                // m, without friction
  double from_below;          // m, pushed down and let come up slowly: the larger
  double from_above;          // m, lifted and let sink slowly
  double share;               // 1, mean over travel
};
enum df_status df_sag_of(const struct df_scenario *scenario, enum df_sag_load load,
                         struct df_sag *out, struct df_faults *faults);

// ---- spring and spring preload ----
// Coil travel (m) left at full travel; negative: the coils close before it.
double df_coil_room(const struct df_side *side);

// What one spring would do in this fork. The spacer grows with the spring preload, and a second
// rate keeps its ratio to the first. Both legs get the same.
struct df_spring_choice {
  double rate;                // N/m
  double preload;             // m of coil compression with the fork extended; negative: loose
  struct df_sag sag[DF_SAG_LOADS];
  double free_travel;         // m, where the fork hangs with the wheel off the ground
  double cap_force;           // N a leg, spring with the fork extended
  double end_force;           // N a leg, spring and air at full travel
  double coil_room;           // m, coil travel left at full travel; negative: coils close before
};
enum df_status df_spring_choice_of(const struct df_scenario *scenario, double rate, double preload,
                                   struct df_spring_choice *out, struct df_faults *faults);

// Spring preload (m) at which the mean sag under a load is `sag` (m), with a spring of `rate`
// (N/m). Negative where a spring of this rate must sit loose. NAN: none from -30 mm to where the
// coils close at full travel or the cap is under 2 kN.
double df_preload_for_sag(const struct df_scenario *scenario, double rate, enum df_sag_load load,
                          double sag);

// Rate (N/m, 1 to 40 N/mm) that gives the mean sag at this spring preload (m). NAN: none.
double df_rate_for_sag(const struct df_scenario *scenario, double preload, enum df_sag_load load,
                       double sag);

// Rate and spring preload that give two mean sags at once: bike alone, and under `load`.
// DF_NO_SOLUTION: no spring does both.
enum df_status df_spring_for_sags(const struct df_scenario *scenario, double alone,
                                  enum df_sag_load load, double sag, double *rate, double *preload);

// Springs to be had on either side of the answer: DF_RATE_STEP apart, each with the spring preload
// that gives `sag` under `load`.
struct df_spring_bracket {
  double rate, preload;       // N/m, m: both sags met; NAN: no spring does both
  struct df_spring_choice choice[2]; // the softer and the stiffer one
};
enum df_status df_spring_bracket_of(const struct df_scenario *scenario, double alone,
                                    enum df_sag_load load, double sag,
                                    struct df_spring_bracket *out, struct df_faults *faults);

// ---- spacer ----
// length = depth - valve_height - cap - washers + preload. Common practice; 200, 0, 12, 3 and 4 mm
// give 189 mm.
double df_spacer_length(double depth, double valve_height, double cap, double washers,
                        double preload);
struct df_spacer_sum {
  double depth;               // m, tube's top to the spring, fork extended, as it was taken
  double valve_height;        // m to take off because the valve was out then; 0
  double cap, washers;        // m
  double preload;             // m, wanted
  double length;              // m; NAN: the depth is not known
  double cut;                 // m, the same as a saw can
  double preload_cut;         // m, spring preload with a spacer cut so
  double cap_force;           // N with the cap home
  double per_thread;          // N/m, less for each metre that the cap still stands proud
};
struct df_spacer_sum df_spacer_sum_of(const struct df_scenario *scenario, int side);

// ---- drop-in valve ----
struct df_valve_setting {
  double turns;               // 1, from first contact
  double preload;             // m
  double force;               // N that holds the plate on its seat
  double adjuster;            // m, height of the adjuster; NAN: not measured at first contact
  double cracking_pressure;   // Pa across the valve
  double cracking_speed;      // m/s of the fork in compression; NAN: not within 10 m/s
  double damping[3];          // N in compression at 0.1, 0.3, 1 m/s, half the travel
};
enum df_status df_valve_setting_of(const struct df_scenario *scenario, int side, double turns,
                                   struct df_valve_setting *out, struct df_faults *faults);

// Rides with half a turn less, as set, and half a turn more: overshoot (m) on the road `dive` and
// shock_transmitted (m/s2) on the road `edge` (indices of the scenario's roads). The least of three
// settings is not below 0 turns. NAN: no valve, or a ride that failed.
struct df_half_turn { double turns[3]; /* 1 */ double overshoot[3]; /* m */ double shock[3]; /* m/s2 */ };
enum df_status df_half_turn_of(const struct df_scenario *scenario, int dive, int edge, int threads,
                               struct df_half_turn *out);

// ---- the rod ----
enum df_hole_work { DF_HOLE_KEPT, DF_HOLE_WIDENED, DF_HOLE_NEW };
enum { DF_PLAN_HOLES_MAX = 48 };
struct df_plan_hole {
  double height;              // m over the foot; NAN: not known
  double angle;               // rad, from the lowest row
  double diameter, chamfer;   // m
  enum df_hole_work work;
};

// Every compression hole after the work, lowest first. Rows lie at equal heights; their holes stand
// at equal angles, each row half a spacing on from the one below.
struct df_rod_plan {
  int n;
  struct df_plan_hole hole[DF_PLAN_HOLES_MAX];
  int worked;                 // holes that are drilled or widened
  int rows_known;             // 1: every height is given
  double limit;               // m over the foot, for the largest drilled hole; NAN: not known
  double highest;             // m, of the drilled holes
  double open_to_annulus;     // m of travel where the highest opens into the annulus; NAN: never
  double ligament;            // 1, least wall between holes over the larger; NAN: not known
};
struct df_rod_plan df_rod_plan_of(const struct df_scenario *scenario, int side);

// Loads along the rod. The hydraulic one is that of the annulus at this fork speed (m/s) in
// rebound; the other what the top-out spring and stop take when wheel and slider are thrown open at
// it.
#define DF_ROD_SPEED 1.0      // m/s: twice the fastest rebound met over the roads of a use
// Yield over stress, 1; chosen here: the loads repeat, the steel is unknown.
#define DF_ROD_SAFETY 2.0
struct df_rod_load {
  double hydraulic;           // N
  double top_out;             // N
  double together;            // N, greatest of both in the course of one stroke
};
enum df_status df_rod_load_of(const struct df_scenario *scenario, int side, double speed,
                              struct df_rod_load *out, struct df_faults *faults);
// Greatest of hydraulic (1 - s2) + top_out s for s = 0..1: while the stop takes up the speed.
double df_rod_load_together(double hydraulic, double top_out);
// N: a mass (kg) at `speed` (m/s) caught by a spring (N/m) over `length` (m), then by a stop (N/m).
double df_top_out_force(double mass, double speed, double rate, double length, double stop);

// The weakest row under that load. n rows unknown: two holes a row are assumed.
enum df_status df_rod_strength_of(const struct df_scenario *scenario, int side, double load,
                                  struct df_drill_strength *out);

// What the rod keeps for itself of the pressure that is meant for the valve, in compression.
struct df_rod_share {
  double holes;               // 1, number of worked holes
  double pressure;            // Pa across holes and bore
  double of_valve;            // 1, over the pressure across the valve
  double bore;                // 1, part of `pressure` that the bore takes
};
enum { DF_ROD_SHARES = 4 };   // 2, 4, 6, 8 worked holes
enum df_status df_rod_share_of(const struct df_scenario *scenario, int side, double holes,
                               double speed, struct df_rod_share *out, struct df_faults *faults);

// Damping in N, half the travel, of one side as it stands and of the same rod as found without the
// valve. speed: m/s, negative in rebound. NAN before where as_found is not given.
enum df_status df_opening_effect(const struct df_scenario *scenario, int side, double speed,
                                 double *after, double *before, struct df_faults *faults);
// The pressure across the rod's holes and bore (Pa) with the worked holes sharp, and chamfered.
enum df_status df_deburring_effect(const struct df_scenario *scenario, int side, double speed,
                                   double *sharp, double *chamfered, struct df_faults *faults);
// Rebound (N, positive) at `speed` (m/s) where the holes are covered least and at the end of
// travel.
enum df_status df_passing_cost(const struct df_scenario *scenario, int side, double speed,
                               double *clear, double *passed, struct df_faults *faults);

// Rebound (N, positive) at `speed` (m/s) at the end of travel as planned, and with the highest holes
// so far up that the tube's end has passed them wholly there. NAN: heights are not known.
enum df_status df_limit_cost(const struct df_scenario *scenario, int side, double speed,
                             double *within, double *above, struct df_faults *faults);

// ---- oil ----
#define DF_HOT_OIL 333.15     // K, 60 degC: a long descent on a hot day (common practice)
// Pa absolute; chosen here, twice what usual levels make hot (5 to 8 bar): no published limit of
// fork seals was found.
#define DF_SEAL_PRESSURE 1.5e6
struct df_oil_fill {
  double level;               // m from the rim, as the scenario takes it
  double bare;                // m, the same oil with spring and spacer out, valve in
  double with_spring;         // m, spring in, spacer out, valve in
  double with_all;            // m, spring, spacer, valve in
  double without_valve;       // m, everything out; NAN: no valve
  double volume;              // m3 to pour into the dry leg; NAN: depth_to_spring is not known
  double force_for_more, force_for_less; // N, change of the end force for 5 mm more oil, 5 mm less
  double gas_end, gas_hot;    // m3 at full travel, as filled and at DF_HOT_OIL
  double pressure_end, pressure_hot; // Pa absolute there
  double grows;               // m3, oil from level_temperature to DF_HOT_OIL; NAN with volume
  double viscosity_40;        // m2/s at 40 degC
  double viscosity_ride, viscosity_bench; // m2/s at temperature and at level_temperature
  double seal_travel;         // m at which DF_SEAL_PRESSURE is reached, hot; NAN: never
};
enum df_status df_oil_fill_of(const struct df_scenario *scenario, int side, struct df_oil_fill *out,
                              struct df_faults *faults);

// The level (m) that a probe finds for the same oil with other parts in the leg. NAN: none.
double df_oil_level_as(const struct df_scenario *scenario, int side, struct df_level_taken taken);

// Oil in one leg, m3: what stands between and under the parts up to the level, fork collapsed.
double df_oil_volume_of(const struct df_scenario *scenario, int side);

// Two bottles of `have.oils` on either side of a viscosity at 40 degC (m2/s), the closest ones.
struct df_blend_recipe {
  double thin, thick;         // m2/s at 40 degC
  double share;               // 1, by volume, of the thick one
  double linear;              // m2/s that the share of a straight line would give instead
};
// 0: none.
int df_blend_recipe_of(const struct df_have *have, double wanted, struct df_blend_recipe *out);

// ---- acceptance of the bare leg: spring out, cap off, timed under a weight ----
enum df_timed_direction { DF_PUSH, DF_PULL };
extern const char *const df_timed_words[2]; // "push", "pull"

// Seconds for `distance` (m) from travel `from` (m; a pull ends there) under `force` (N, weight of
// all that moves), oil at `kelvin`. INFINITY: friction holds it. NAN: not solved.
double df_timed_leg(const struct df_scenario *scenario, int side, double kelvin,
                    enum df_timed_direction direction, double from, double distance, double force);

#define DF_PUSH_ADDED 2.0     // kg over what just creeps
#define DF_PULL_ADDED 2.5     // kg; together with 25 N of friction not above 5 kg
#define DF_LEGS_APART 0.15    // 1, left and right may differ by this (common practice)
enum { DF_TIMED_FAULTS_MAX = 10 };
// What a test of the bare leg would show with one thing wrong, and the test itself.
struct df_timed_fault {
  const char *what;           // "valve not seated, or dirt under its plate"
  double time[2];             // s, push and pull with it
};
struct df_acceptance {
  double from, distance;      // m of travel
  double kelvin;              // K, oil on the bench
  double creep;               // N, friction of the bare leg
  double time[2];             // s, push and pull
  double low[2], high[2];     // s: holes +-0.05 mm, oil +-3 K, ring, leak, hole laws
  double per_kelvin[2];       // 1, share of the time for one kelvin more
  int fault_n;
  struct df_timed_fault fault[DF_TIMED_FAULTS_MAX];
};
enum df_status df_acceptance_of(const struct df_scenario *scenario, int side,
                                struct df_acceptance *out, struct df_faults *faults);
// The same for a test of one's own: oil at `kelvin`, stroke (m) and what just creeps (N). Times of
// a direction in which friction holds the leg are INFINITY, and its limits are not known.
void df_acceptance_at(const struct df_scenario *scenario, int side, double kelvin, double from,
                      double distance, double creep, struct df_acceptance *out);
// Weight of all that moves, N, in the test of that direction.
double df_acceptance_force(const struct df_acceptance *test, enum df_timed_direction direction);

// ---- set-ups that are refused ----
// N of spring with the fork extended that keep a valve in place (common practice).
#define DF_HOLD_DOWN 20.0
enum df_refusal {
  DF_REFUSED_COIL_BIND, DF_REFUSED_LOCK, DF_REFUSED_SEALS, DF_REFUSED_WEAK_ROD,
  DF_REFUSED_HIGH_HOLE, DF_REFUSED_CLOSE_HOLES, DF_REFUSED_LOOSE_SPRING, DF_REFUSED_LOOSE_VALVE,
  DF_REFUSALS
};
extern const char *const df_refusal_names[DF_REFUSALS]; // "coil_bind", ...
struct df_refused {
  enum df_refusal why;
  int side;                   // 0, 1
  double figure, limit;       // SI: what it is, what it must not pass
  char text[280];             // one or two sentences: what, how much, what happens, what to do
};
enum { DF_REFUSED_MAX = 2*DF_REFUSALS };
// All reasons against a set-up; returns how many. A linear leg is never refused.
int df_setup_refused(const struct df_scenario *scenario, struct df_refused out[DF_REFUSED_MAX]);

// The scenario as the tools can make it: valve to a quarter turn, spacer to 0.5 mm, level to 1 mm.
// Each changed value is told.
struct df_rounding { const char *key; /* dotted */ int side; /* 0, 1 */ double from, to; /* SI; valve.preload: turns */ };
enum { DF_ROUNDINGS_MAX = 6 };
int df_setup_rounded(struct df_scenario *scenario, struct df_rounding out[DF_ROUNDINGS_MAX]);

// ---- what was measured against the scenario ----
struct df_data;               // one file of measured data: studies/fit_data.h
enum df_check_kind { DF_CHECK_LENGTH, DF_CHECK_RATE, DF_CHECK_TIME, DF_CHECK_SHARE };
struct df_check {
  char what[56];              // "sag with rider, middle of both"
  enum df_check_kind kind;    // m, N/m, s, 1
  double measured, computed;  // in that unit
  double low, high;           // what friction, tools and the values' own accuracy allow
  int agrees;                 // 1: measured lies within
};
enum { DF_CHECKS_MAX = 48, DF_REASONS_MAX = 12 };
struct df_checks {
  int n, wrong;               // wrong: how many disagree
  struct df_check at[DF_CHECKS_MAX];
  int reason_n;
  char reason[DF_REASONS_MAX][400]; // what the disagreement points to, what to look at
};
// Hold sag pairs, spring forces, oil level as found and timed strokes against a scenario. DF_BAD_INPUT:
// data of another kind, or too few rows to tell anything; see the faults.
enum df_status df_checks_of(const struct df_reading *reading, const struct df_data *const *data,
                            int set_n, struct df_checks *out, struct df_faults *faults);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
