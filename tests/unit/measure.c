// Every measure on signals whose answer a person can work out, and the table itself.
#include "near.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "dampfork/measure.h"

// A made-up ride: channels are filled with functions of time where a test wants them.
struct box {
  struct df_scenario scenario;
  struct df_road road;
  struct df_ride ride;
  struct df_statics statics;
  struct df_measured measured;
  struct df_measure_workspace *workspace;
};

typedef double of_time(double t);

// `length` s sampled every `step` s, the whole of it the window, no manoeuvre, no obstacle.
static struct box *box_create(double length, double step)
{
  struct box *box = calloc(1, sizeof *box);
  box->ride.trace = (struct df_trace){.n = (int)lround(length/step) + 1, .step = step};
  box->ride.moments = (struct df_moments){0, length, NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN, length};
  box->ride.legs = 1;
  box->ride.leg_count = 2;
  box->ride.static_load = 1000;
  box->ride.static_travel = 0.036;
  box->scenario.side[0].leg.travel = box->scenario.side[1].leg.travel = 0.13;
  box->scenario.side[0].oil.cavitation_threshold = box->scenario.side[1].oil.cavitation_threshold = 20e3;
  box->road.kind = df_road_kind_find("flat");
  box->workspace = df_measure_workspace_create();
  box->measured = (struct df_measured){.scenario = &box->scenario, .road = &box->road,
                                       .ride = &box->ride, .statics = &box->statics};
  return box;
}

static void box_destroy(struct box *box)
{
  for (int c = 0; c < DF_CHANNELS; c++) free(box->ride.trace.at[c]);
  df_measure_workspace_destroy(box->workspace);
  free(box);
}

static void fill(struct box *box, int channel, of_time *f)
{
  struct df_trace *trace = &box->ride.trace;
  free(trace->at[channel]);
  trace->at[channel] = malloc((size_t)trace->n*sizeof(double));
  for (int i = 0; i < trace->n; i++) trace->at[channel][i] = f(trace->start + i*trace->step);
}

// One measure, SI.
static double value(struct box *box, const char *name)
{
  int row = df_measure_find(name);
  double out = 0;
  ck_assert_msg(row >= 0, "no measure %s", name);
  ck_assert_int_eq(df_measures_evaluate(&row, 1, &box->measured, box->workspace, &out), DF_OK);
  return out;
}

static void undefined(struct box *box, const char *name)
{
  ck_assert_msg(isnan(value(box, name)), "%s is defined here", name);
}

static double zero(double t) { return 0*t; }

// ---- the table

START_TEST(table_is_complete)
{
  static const char *const units[] = {"mm", "percent", "1", "s", "m_per_s", "m_per_s2", "m_per_s3", "m_per_s1.75", "N", "J", "bar",
                                      "cm3"};
  static const double per_si[] = {1e3, 100, 1, 1, 1, 1, 1, 1, 1, 1, 1e-5, 1e6};
  for (int i = 0; i < df_measure_count; i++) {
    const struct df_measure *row = &df_measures[i];
    ck_assert_int_eq(df_measure_find(row->name), i);
    ck_assert_int_eq(strspn(row->name, "abcdefghijklmnopqrstuvwxyz_0123456789"), strlen(row->name));
    ck_assert_msg(row->of && row->needs && strlen(row->meaning) > 10 && strlen(row->source) > 5, "%s", row->name);
    ck_assert_msg(strlen(row->meaning) <= 100, "%s: %s", row->name, row->meaning);
    unsigned u = 0;
    while (u < sizeof units/sizeof *units && strcmp(units[u], row->unit) != 0) u++;
    ck_assert_msg(u < sizeof units/sizeof *units, "%s: unit %s", row->name, row->unit);
    near(row->per_si, per_si[u], 0, "one unit, one factor");
    int sampled = (row->needs & (DF_NEEDS_TRACE | DF_NEEDS_PRESSURES | DF_NEEDS_FORCES)) != 0;
    ck_assert_msg(sampled == (row->channels != 0), "%s", row->name);
  }
  ck_assert_int_eq(df_measure_find("nothing"), -1);
  ck_assert_int_eq(df_measure_find(NULL), -1);
}
END_TEST

START_TEST(table_has_every_name)
{
  static const char *const names[] = {
    "travel_peak", "travel_share", "sprung_acceleration_peak", "sprung_acceleration_low", "shock_transmitted", "jerk_peak",
    "impulse_share", "sprung_acceleration_weighted", "vibration_dose", "crest_factor", "tyre_load_variation", "airborne_time",
    "dive_depth", "dive_overshoot", "dive_speed", "settling_time", "damping_ratio_compression_50", "damping_ratio_compression_100",
    "damping_ratio_compression_300", "damping_ratio_compression_1000", "damping_ratio_compression_3000", "damping_ratio_rebound_50",
    "damping_ratio_rebound_100", "damping_ratio_rebound_300", "damping_ratio_rebound_1000", "damping_ratio_rebound_3000",
    "cavitating_time", "void_peak", "bottoming_speed", "topping_speed", "energy_compression_holes", "energy_check",
    "energy_check_leak", "energy_rebound_holes", "energy_ring", "energy_valve", "energy_bleed", "energy_return", "energy_column",
    "energy_cone", "energy_friction", "energy_stop", "energy_air_heat", "energy_tyre", "energy_residual", "free_travel",
    "sag_alone", "sag_rider", "sag_loaded", "sag_alone_share", "sag_rider_share", "sag_loaded_share", "sag_band", "cap_force",
    "end_force", "cracking_pressure", "cracking_speed", "travel_reserve", "braked_rest", "braked_rest_share",
    "dive_overshoot_share", "peak_spring", "peak_air", "peak_friction", "peak_damping", "peak_cone", "peak_stop",
    "push_past_start", "bounce_decay", "return_time", "lean_overshoot", "lean_settling", "packing", "void_share", "stuck_share",
    "patter", "cold_ratio", "heated_ratio",
  };
  int n = sizeof names/sizeof *names;
  for (int i = 0; i < n; i++) ck_assert_msg(df_measure_find(names[i]) >= 0, "%s is missing", names[i]);
  for (int bin = 1; bin <= 16; bin++) {
    char name[32];
    snprintf(name, sizeof name, "fork_speed_share_%02d", bin);
    int row = df_measure_find(name);
    ck_assert_msg(row >= 0 && df_measures[row].argument == bin, "%s", name);
  }
  ck_assert_int_eq(df_measure_count, n + 16);
}
END_TEST

START_TEST(needs_and_channels)
{
  int jerk = df_measure_find("jerk_peak"), void_share = df_measure_find("void_share"), sag = df_measure_find("sag_rider");
  int which[] = {void_share, sag, -1};
  ck_assert_uint_eq(df_measures_needs(which, 3), DF_NEEDS_PRESSURES | DF_NEEDS_SAG);
  unsigned long long both = 1ull << DF_C_P_LOWER | 1ull << DF_C_P_ANNULUS;
  ck_assert(df_measures_channels(which, 3, 1) == both);
  ck_assert(df_measures_channels(which, 3, 2) == (both | both << DF_C_PER_LEG));
  ck_assert(df_measures_channels(&jerk, 1, 2) == 1ull << DF_C_ACCELERATION);
  near(df_measures_step(which, 3), DF_BATCH_SAMPLE_STEP, 0, "nothing fine asked for");
  near(df_measures_step(&jerk, 1), DF_FINE_SAMPLE_STEP, 0, "a difference over two samples");
  ck_assert(df_measure_is_static(sag) && !df_measure_is_static(jerk) && !df_measure_is_static(-1));
}
END_TEST

START_TEST(what_is_missing_is_not_a_number)
{
  struct box *box = box_create(1, 1e-3);
  box->ride.energy_residual = NAN;
  double *values = malloc((size_t)df_measure_count*sizeof *values);
  int *all = malloc((size_t)df_measure_count*sizeof *all);
  for (int i = 0; i < df_measure_count; i++) all[i] = i;
  ck_assert_int_eq(df_measures_evaluate(all, df_measure_count, &box->measured, box->workspace, values), DF_OK);
  for (int i = 0; i < df_measure_count; i++)
    ck_assert_msg(isnan(values[i]) == !(df_measures[i].needs == DF_NEEDS_PEAKS || df_measure_is_static(i)), "%s without samples: %g",
                  df_measures[i].name, values[i]);
  box->measured.ride = NULL;
  box->measured.statics = NULL;
  df_measures_evaluate(all, df_measure_count, &box->measured, box->workspace, values);
  for (int i = 0; i < df_measure_count; i++) ck_assert_msg(isnan(values[i]), "%s without a ride", df_measures[i].name);
  box->measured.ride = &box->ride;
  box->ride.status = DF_TYRE_ON_RIM;
  undefined(box, "travel_peak");
  int wrong[] = {-1, df_measure_count};
  ck_assert_int_eq(df_measures_evaluate(wrong, 2, &box->measured, box->workspace, values), DF_UNKNOWN_NAME);
  ck_assert(isnan(values[0]) && isnan(values[1]));
  free(all);
  free(values);
  box_destroy(box);
}
END_TEST

// ---- values handed on from a ride, the statics, or the caller

START_TEST(extremes_and_energies)
{
  struct box *box = box_create(1, 1e-3);
  box->ride.peak[DF_P_TRAVEL] = (struct df_extreme){0.091, -0.001, 0.5, 0.1};
  box->ride.peak[DF_P_ACCELERATION] = (struct df_extreme){8.5, -10.25, 0.5, 0.1};
  box->ride.bottoming_speed = 0.4;
  box->ride.topping_speed = -0.2;
  near(value(box, "travel_peak"), 0.091, 0, "handed on");
  near(value(box, "travel_share"), 0.7, 1e-15, "91 of 130 mm");
  near(value(box, "travel_reserve"), 0.039, 1e-15, "130 less 91 mm");
  box->scenario.unlike = 1;
  box->scenario.side[1].leg.travel = 0.12;
  near(value(box, "travel_reserve"), 0.029, 1e-15, "the shorter of two unlike legs: 120 less 91 mm");
  near(value(box, "sprung_acceleration_peak"), 8.5, 0, "handed on");
  near(value(box, "sprung_acceleration_low"), -10.25, 0, "handed on");
  near(value(box, "bottoming_speed"), 0.4, 0, "handed on");
  near(value(box, "topping_speed"), -0.2, 0, "handed on");
  box->ride.topping_speed = 0;
  ck_assert_msg(!signbit(value(box, "topping_speed")), "none is 0, not -0");
  for (int e = 0; e < DF_ENERGIES; e++) box->ride.energy[e] = 10 + e;
  box->ride.energy_residual = 1e-6;
  near(value(box, "energy_compression_holes"), 10 + DF_E_COMPRESSION_HOLES, 0, "handed on");
  near(value(box, "energy_rebound_holes"), 10 + DF_E_REBOUND_HOLES, 0, "handed on");
  near(value(box, "energy_return"), 10 + DF_E_RETURN, 0, "handed on");
  near(value(box, "energy_tyre"), 10 + DF_E_TYRE, 0, "handed on");
  near(value(box, "energy_residual"), 1e-6, 0, "handed on");
  box->ride.energy_residual = NAN;
  undefined(box, "energy_friction");
  box_destroy(box);
}
END_TEST

START_TEST(energies_by_name)
{
  static const struct { const char *name; int entry; } want[] = {
    {"compression_holes", DF_E_COMPRESSION_HOLES}, {"rebound_holes", DF_E_REBOUND_HOLES}, {"check", DF_E_CHECK},
    {"check_leak", DF_E_CHECK_LEAK}, {"ring", DF_E_RING}, {"valve", DF_E_VALVE}, {"bleed", DF_E_BLEED}, {"return", DF_E_RETURN},
    {"column", DF_E_COLUMN}, {"cone", DF_E_CONE}, {"friction", DF_E_FRICTION}, {"stop", DF_E_STOP},
    {"air_heat", DF_E_AIR_HEAT}, {"tyre", DF_E_TYRE},
  };
  ck_assert_int_eq(sizeof want/sizeof *want, DF_E_LOSSES);
  for (int i = 0; i < DF_E_LOSSES; i++) {
    char name[48];
    snprintf(name, sizeof name, "energy_%s", want[i].name);
    near(df_measures[df_measure_find(name)].argument, want[i].entry, 0, "the entry of that name");
  }
}
END_TEST

START_TEST(static_measures)
{
  struct box *box = box_create(1, 1e-3);
  box->measured.ride = NULL;
  box->statics = (struct df_statics){
    .x_alone = 0.030, .x_rider = 0.0425, .x_loaded = 0.050, .free_travel = 0.004, .sag_band = 0.006, .cap_force = 135,
    .end_force = 1700, .cracking_pressure = 1.6e5, .cracking_speed = 0.22,
    .damping_ratio_compression = {1, 2, 3, 4, 5}, .damping_ratio_rebound = {6, 7, 8, 9, 10}};
  near(value(box, "free_travel"), 0.004, 0, "handed on");
  near(value(box, "sag_alone"), 0.026, 1e-15, "30 less 4 mm");
  near(value(box, "sag_rider"), 0.0385, 1e-15, "42.5 less 4 mm");
  near(value(box, "sag_loaded"), 0.046, 1e-15, "50 less 4 mm");
  near(value(box, "sag_alone_share"), 0.2, 1e-15, "26 of 130 mm");
  near(value(box, "sag_rider_share"), 0.0385/0.13, 1e-15, "38.5 of 130 mm");
  near(value(box, "sag_loaded_share"), 0.046/0.13, 1e-15, "46 of 130 mm");
  near(value(box, "sag_band"), 0.006, 0, "handed on");
  near(value(box, "cap_force"), 135, 0, "15 mm at 9 N/mm");
  near(value(box, "end_force"), 1700, 0, "handed on");
  near(value(box, "cracking_pressure"), 1.6e5, 0, "handed on");
  near(value(box, "cracking_pressure")*df_measures[df_measure_find("cracking_pressure")].per_si, 1.6, 1e-12, "in bar");
  near(value(box, "cracking_speed"), 0.22, 0, "handed on");
  static const char *const speeds[] = {"50", "100", "300", "1000", "3000"};
  for (int i = 0; i < 5; i++) {
    char name[48];
    snprintf(name, sizeof name, "damping_ratio_compression_%s", speeds[i]);
    near(value(box, name), 1 + i, 0, "in the order of the speeds");
    snprintf(name, sizeof name, "damping_ratio_rebound_%s", speeds[i]);
    near(value(box, name), 6 + i, 0, "in the order of the speeds");
  }
  undefined(box, "travel_peak");
  box_destroy(box);
}
END_TEST

// ---- acceleration

static double hundred(double t) { return 5*sin(2*M_PI*100*t); }
static double step_up(double t) { return t < 0.1 ? 0 : 3; }
static double two_lines(double t) { return 9.81 + 4*sin(2*M_PI*5*t) + 3*sin(2*M_PI*40*t + 1); }
static double about_20(double t) { return 3*sin(2*M_PI*20*t) + 4*sin(2*M_PI*20.5*t); }
static double early(double t) { return t < 0.05 ? 1e3*t : 50; }
static double eight(double t) { return 2*sin(2*M_PI*8*t); }

START_TEST(filtered_sine)
{
  struct box *box = box_create(2, 1e-4);
  fill(box, DF_C_ACCELERATION, hundred);
  box->ride.moments.window_start = 0.5;
  near_share(value(box, "shock_transmitted"), 5*M_SQRT1_2, 1e-4, "-3.01 dB at 100 Hz; 100 samples a period");
  near_share(value(box, "jerk_peak"), 5*M_SQRT1_2*sin(2*M_PI*100*1e-4)/1e-4, 1e-4, "central difference of a sine");
  box_destroy(box);
}
END_TEST

START_TEST(filtered_step)
{
  struct box *box = box_create(1, 1e-4);
  fill(box, DF_C_ACCELERATION, step_up);
  near_share(value(box, "shock_transmitted"), 3*(1 + exp(-M_PI)), 5e-4, "overshoot of order 2: exp(-pi); bilinear warping 3e-4");
  // The derivative of the step response is sqrt(2) w exp(-a) sin(a), a = w t/sqrt 2, greatest at pi/4.
  double jerk = 3*sqrt(2)*2*M_PI*100*exp(-M_PI/4)*sin(M_PI/4);
  near_share(value(box, "jerk_peak"), jerk, 2e-3, "impulse response of order 2; smeared over three samples, 1e-3");
  fill(box, DF_C_ACCELERATION, early);
  box->ride.moments.window_start = 0.5;
  near(value(box, "jerk_peak"), 0, 1e-6, "what happened before the window does not count");
  near_share(value(box, "shock_transmitted"), 50, 1e-6, "but the filter knew of it");
  box_destroy(box);
}
END_TEST

START_TEST(share_of_two_lines)
{
  struct box *box = box_create(2 - 1e-4, 1e-4);
  fill(box, DF_C_ACCELERATION, two_lines);
  near(value(box, "impulse_share"), 9.0/(9 + 16), 1e-9, "squares of the amplitudes");
  fill(box, DF_C_ACCELERATION, about_20);
  near(value(box, "impulse_share"), 16.0/(9 + 16), 1e-9, "20 Hz is not above 20 Hz, 20.5 Hz is");
  fill(box, DF_C_ACCELERATION, zero);
  undefined(box, "impulse_share");
  box_destroy(box);
}
END_TEST

START_TEST(weighted_sine)
{
  struct box *box = box_create(20, 1e-4);
  fill(box, DF_C_ACCELERATION, eight);
  box->ride.moments.window_start = 12 + 1e-4;
  near_share(value(box, "sprung_acceleration_weighted"), 2*1.036*M_SQRT1_2, 1e-3, "ISO 2631-1: 1036 thousandths at 8 Hz");
  near_share(value(box, "crest_factor"), M_SQRT2, 1e-5, "a sine");
  near_share(value(box, "vibration_dose"), 2*1.036*pow(8*3/8., 0.25), 1e-3, "mean fourth power of a sine is 3/8, 8 s");
  box_destroy(box);
}
END_TEST

// ---- tyre

static double tyre_swing(double t) { return 1100 + 400*sin(2*M_PI*2*t); }
static double tyre_two(double t) { return 1000 + 300*sin(2*M_PI*12*t) + 500*sin(2*M_PI*30*t) + 200*sin(2*M_PI*3*t); }
static double tyre_signed(double t) { return 500 - 1000*cos(2*M_PI*2*t); }
// The same load as a tyre that damps once it touches: three times steeper above zero.
static double tyre_kinked(double t) { double y = tyre_signed(t); return y > 0 ? 3*y : y; }

START_TEST(tyre_load)
{
  struct box *box = box_create(2 - 1e-4, 1e-4);
  fill(box, DF_C_TYRE, tyre_swing);
  near(value(box, "tyre_load_variation"), 0.4*M_SQRT1_2, 1e-9, "rms of a sine about its mean, over the load at rest");
  fill(box, DF_C_TYRE, tyre_two);
  near(value(box, "patter"), 0.3*M_SQRT1_2, 1e-9, "only the line at 12 Hz");
  box_destroy(box);
}
END_TEST

START_TEST(time_in_the_air)
{
  // cos > 1/2 a third of the time.
  double steps[] = {1e-4, 5e-4, 1e-3};
  for (int i = 0; i < 3; i++) {
    struct box *box = box_create(2, steps[i]);
    fill(box, DF_C_TYRE_SIGNED, tyre_signed);
    near_share(value(box, "airborne_time"), 2/3., 1e-5, "arc where the cosine is above a half");
    fill(box, DF_C_TYRE_SIGNED, tyre_kinked);
    // A straight line across a kink of 1 to 3 is up to 0.27 of a step off, at each of eight crossings.
    near(value(box, "airborne_time"), 2/3., i == 0 ? 8*0.27*1e-4 : 2e-5, "the same, with a kink at zero");
    box->scenario.tyre.bilateral = DF_ON;
    near(value(box, "airborne_time"), 0, 0, "a tyre that pulls never leaves");
    box_destroy(box);
  }
}
END_TEST

// ---- fork speed

static double slow_swing(double t) { return 2e-3*sin(2*M_PI*t); }
static double rising_road(double t) { return 0.02*t; }
static double still_road(double t) { return 0.005*t; }
static double triangle(double t) { double u = fmod(t, 1); return u < 0.5 ? -3.5 + 14*u : 3.5 - 14*(u - 0.5); }

START_TEST(stuck)
{
  struct box *box = box_create(2, 1e-3);
  fill(box, DF_C_VELOCITY, slow_swing);
  fill(box, DF_C_ROAD, rising_road);
  near(value(box, "stuck_share"), 1/3., 1e-5, "2/pi asin(1/2)");
  fill(box, DF_C_ROAD, still_road);
  near(value(box, "stuck_share"), 0, 0, "the road rises by 5 mm/s only");
  box_destroy(box);
}
END_TEST

START_TEST(speed_bins)
{
  static const double width[] = {0.5, 1.5, 0.5, 0.5, 0.2, 0.2, 0.05, 0.05, 0.05, 0.05, 0.2, 0.2, 0.5, 0.5, 1.5, 0.5};
  double steps[] = {1e-4, 1e-3};
  for (int s = 0; s < 2; s++) {
    struct box *box = box_create(4, steps[s]);
    double sum = 0;
    fill(box, DF_C_VELOCITY, triangle);
    for (int bin = 1; bin <= 16; bin++) {
      char name[32];
      snprintf(name, sizeof name, "fork_speed_share_%02d", bin);
      near(value(box, name), width[bin - 1]/7, 1e-12, "width of the bin over the range: straight lines are exact");
      sum += value(box, name);
    }
    near(sum, 1, 1e-12, "all the time");
    box_destroy(box);
  }
}
END_TEST

// ---- oil

static double p_swing(double t) { return 40e3 - 40e3*cos(2*M_PI*t); }
static double p_other(double t) { return 40e3 + 40e3*cos(2*M_PI*t); }
static double p_high(double t) { return 2e5 + 0*t; }
static double room(double t) { return 26e-6*(1 - pow((t - 0.50003)/0.2, 2)); }
static double small_room(double t) { return 1e-6 + 0*t; }

START_TEST(voids)
{
  struct box *box = box_create(3, 5e-4);
  fill(box, DF_C_P_LOWER, p_swing);
  undefined(box, "cavitating_time");
  fill(box, DF_C_P_ANNULUS, p_high);
  near_share(value(box, "cavitating_time"), 1, 1e-5, "cos > 1/2 a third of 3 s");
  near_share(value(box, "void_share"), 1/3., 1e-5, "a third");
  fill(box, DF_C_P_ANNULUS, p_other);
  near_share(value(box, "cavitating_time"), 2, 1e-5, "the other chamber for another third");
  fill(box, DF_C_P_ANNULUS, p_swing);
  near_share(value(box, "cavitating_time"), 1, 1e-5, "both at once count once");
  fill(box, DF_C_VOID_LOWER, small_room);
  fill(box, DF_C_VOID_ANNULUS, room);
  near_share(value(box, "void_peak"), 26e-6, 1e-9, "top of a parabola between samples");
  box->ride.legs = 2;
  undefined(box, "cavitating_time");
  fill(box, DF_C_P_LOWER + DF_C_PER_LEG, p_high);
  fill(box, DF_C_P_ANNULUS + DF_C_PER_LEG, p_other);
  near_share(value(box, "cavitating_time"), 2, 1e-5, "the other leg for another third");
  box->scenario.side[1].oil.cavitation_threshold = 0;
  near_share(value(box, "cavitating_time"), 1, 1e-5, "the other leg's oil has its own threshold");
  box_destroy(box);
}
END_TEST

// The channels of a linear leg stand at zero: no oil, so no voids either.
START_TEST(no_oil_no_voids)
{
  struct box *box = box_create(3, 5e-4);
  fill(box, DF_C_P_LOWER, p_swing);
  fill(box, DF_C_P_ANNULUS, p_swing);
  fill(box, DF_C_VOID_LOWER, small_room);
  fill(box, DF_C_VOID_ANNULUS, small_room);
  ck_assert(value(box, "void_share") > 0 && value(box, "void_peak") > 0);
  box->scenario.side[0].leg.has_linear = 1;
  undefined(box, "cavitating_time");
  undefined(box, "void_share");
  undefined(box, "void_peak");
  box_destroy(box);
}
END_TEST

// ---- forces at the peak

static double force(double t) { return 100 + 50*t - 30*t*t + 8*t*t*t; }
static double force_right(double t) { return 10*t; }

START_TEST(parts_at_the_peak)
{
  static const struct { const char *name; int channel; } part[] = {
    {"peak_spring", DF_C_SPRING}, {"peak_air", DF_C_AIR}, {"peak_friction", DF_C_FRICTION}, {"peak_damping", DF_C_DAMPING},
    {"peak_cone", DF_C_CONE}, {"peak_stop", DF_C_STOP}};
  struct box *box = box_create(2, 1e-3);
  double when = 0.73217;
  box->ride.peak[DF_P_ACCELERATION] = (struct df_extreme){9, -9, when, 0.1};
  for (int i = 0; i < 6; i++) {
    fill(box, part[i].channel, force);
    near(value(box, part[i].name), 2*force(when), 1e-9, "a cubic is met exactly; two like legs");
  }
  box->ride.legs = 2;
  undefined(box, "peak_spring");
  fill(box, DF_C_SPRING + DF_C_PER_LEG, force_right);
  near(value(box, "peak_spring"), force(when) + force_right(when), 1e-9, "left and right");
  box_destroy(box);
}
END_TEST

// ---- manoeuvres: brake from 1 s, ramp 0.25 s, released at 2.75 s; travel 36 mm before

static const double rest = 0.036, step_size = 0.06, decay = 6, swing = 14; // m, m, 1/s, rad/s

static double dive(double t)
{
  return t < 1 ? rest : rest + step_size*(1 - exp(-decay*(t - 1))*cos(swing*(t - 1)));
}

static double creep(double t)
{
  return t < 1 ? rest : rest + step_size*(1 - exp(-decay*(t - 1)));
}

static double dive_velocity(double t)
{
  double u = t - 1;
  return u < 0 ? 0 : step_size*exp(-decay*u)*(decay*cos(swing*u) + swing*sin(swing*u));
}

static double late_speed(double t) { return dive_velocity(t) + (t > 2 ? 5 : 0); }

// First extreme of exp(-decay u) cos(swing u) after 0: swing u = pi - atan(decay/swing).
static double first_swing(void)
{
  double u = (M_PI - atan(decay/swing))/swing;
  return -exp(-decay*u)*cos(swing*u);
}

static void brake(struct box *box)
{
  box->ride.moments.window_start = box->ride.moments.brake_start = 1;
  box->ride.moments.ramp_end = 1.25;
  box->ride.moments.release = 2.75;
  box->ride.static_travel = rest;
}

START_TEST(braking)
{
  struct box *box = box_create(4, 5e-4);
  fill(box, DF_C_TRAVEL, dive);
  fill(box, DF_C_VELOCITY, dive_velocity);
  undefined(box, "dive_depth");
  brake(box);
  near_share(value(box, "dive_depth"), step_size, 1e-4, "a step, settled but for exp(-9.6)");
  near_share(value(box, "braked_rest"), rest + step_size, 1e-4, "rest and step");
  near_share(value(box, "braked_rest_share"), (rest + step_size)/0.13, 1e-4, "of 130 mm");
  near_share(value(box, "dive_overshoot"), step_size*first_swing(), 5e-4, "first swing of a damped cosine; rest as above");
  near_share(value(box, "dive_overshoot_share"), step_size*first_swing()/0.13, 5e-4, "of 130 mm");
  // Greatest speed: d/du (decay cos + swing sin) exp(-decay u) = 0 at tan(swing u) = (swing2 - decay2)/(2 decay swing).
  double u = atan((swing*swing - decay*decay)/(2*decay*swing))/swing;
  near_share(value(box, "dive_speed"), dive_velocity(1 + u), 1e-6, "slope of a damped cosine");
  fill(box, DF_C_VELOCITY, late_speed);
  near_share(value(box, "dive_speed"), dive_velocity(1 + u), 1e-6, "only up to the peak of travel");
  box->ride.peak[DF_P_TRAVEL] = (struct df_extreme){0.123, 0, 1.2, 0};
  near_share(value(box, "dive_overshoot"), 0.123 - rest - step_size, 5e-4, "a peak from inside a step counts");
  box->ride.peak[DF_P_TRAVEL].most_at = 2.8;
  near_share(value(box, "dive_overshoot"), step_size*first_swing(), 5e-4, "a peak after the release does not");
  undefined(box, "lean_overshoot");
  box_destroy(box);
}
END_TEST

static double sinking(double t) { return rest + (t < 1 ? 0 : 0.01*(t - 1)); }
static double ringing(double t) { return t < 1 ? rest : rest + step_size*(1 + 0.5*cos(40*t)); }

START_TEST(settling)
{
  struct box *box = box_create(4, 5e-4);
  brake(box);
  fill(box, DF_C_TRAVEL, creep);
  double end = step_size*(1 - exp(-decay*1.675));  // its mean over the last 0.15 s is the rest
  near_share(value(box, "settling_time"), -log(0.05)/decay, 2e-3, "5 % of an exponential; the rest is exp(-10) off");
  near_share(value(box, "dive_depth"), end, 1e-4, "mean over the last tenth of the hold");
  fill(box, DF_C_TRAVEL, sinking);
  near_share(value(box, "dive_depth"), 0.01*(1.75 - 0.075), 1e-9, "middle of the last 0.15 s of a straight line");
  fill(box, DF_C_TRAVEL, ringing);
  near(value(box, "settling_time"), 1.75, 1e-3, "never: the time until the release");
  box_destroy(box);
}
END_TEST

START_TEST(leaning)
{
  struct box *box = box_create(5, 5e-4);
  box->ride.moments.lean_start = 1;
  box->ride.static_travel = rest;
  box->road.has_lean = 1;
  box->road.lean = (struct df_lean){0.7, 0.5, 2};
  fill(box, DF_C_TRAVEL, dive);
  near_share(value(box, "lean_overshoot"), step_size*first_swing(), 5e-4, "first swing of a damped cosine");
  fill(box, DF_C_TRAVEL, creep);
  near_share(value(box, "lean_settling"), -log(0.05)/decay, 1e-3, "5 % of an exponential");
  fill(box, DF_C_TRAVEL, sinking);
  box->road.lean.hold = 5;  // the ride ends at 5 s
  near(value(box, "lean_overshoot"), 0.01*0.25, 1e-9, "a hold cut short: its end less the middle of its last 0.5 s");
  box_destroy(box);
}
END_TEST

static double let_go(double t)
{
  return t < 1 ? rest + 0.05 : rest + 0.05*exp(-decay*(t - 1))*cos(swing*(t - 1));
}

START_TEST(pushing)
{
  struct box *box = box_create(4, 5e-4);
  fill(box, DF_C_TRAVEL, let_go);
  undefined(box, "push_past_start");
  box->ride.moments.push_release = 1;
  near_share(value(box, "push_past_start"), 0.05*first_swing(), 1e-5, "first swing of a damped cosine");
  fill(box, DF_C_TRAVEL, creep);
  near(value(box, "push_past_start"), 0, 0, "never comes past the start");
  box_destroy(box);
}
END_TEST

// ---- after an obstacle

static double bounce(double t) { return rest + 0.03*exp(-decay*t/4)*cos(swing*t - 2); }
static double flat_out(double t) { return rest + 0.03*exp(-decay*t); }
static double come_back(double t) { return rest + (t < 1 ? 0.05*t : 0.05*exp(-(t - 1)/0.2)); }

START_TEST(bouncing)
{
  struct box *box = box_create(4, 5e-4);
  box->ride.static_travel = rest;
  fill(box, DF_C_TRAVEL, bounce);
  undefined(box, "bounce_decay");
  box->ride.moments.last_touch = 0.1;
  near_share(value(box, "bounce_decay"), exp(-decay/4*2*M_PI/swing), 1e-6, "logarithmic decrement");
  fill(box, DF_C_TRAVEL, flat_out);
  near(value(box, "bounce_decay"), 0, 0, "no peak at all");
  box->ride.moments.last_touch = 3.8;
  undefined(box, "bounce_decay");
  box_destroy(box);
}
END_TEST

START_TEST(bouncing_counts_no_fall_from_the_obstacle)
{
  // At the last touch the fork is above its rest and falling: that height is no peak.
  struct box *box = box_create(4, 5e-4);
  box->ride.static_travel = rest;
  fill(box, DF_C_TRAVEL, bounce);
  box->ride.moments.last_touch = 0.2;  // swing t - 2 = 0.8 > 0: past the first peak
  near_share(value(box, "bounce_decay"), exp(-decay/4*2*M_PI/swing), 1e-6, "second peak over the first after it");
  box_destroy(box);
}
END_TEST

// A peak of 20 mm, a dip of `dip` under the rest, a second peak of 3 mm, then well under the rest.
static double wave(double t, double dip)
{
  if (t < 1) return rest + 0.02*sin(M_PI*t);
  if (t < 2) return rest - dip*sin(M_PI*(t - 1));
  return rest + (t < 3 ? 0.003*sin(M_PI*(t - 2)) : -0.01*sin(M_PI*(t - 3)));
}
static double small_dip(double t) { return wave(t, 0.0005); }
static double true_dip(double t) { return wave(t, 0.0015); }

START_TEST(bouncing_is_no_ripple)
{
  struct box *box = box_create(3.9, 5e-4);
  box->ride.static_travel = rest;
  box->ride.moments.last_touch = 0;
  fill(box, DF_C_TRAVEL, true_dip);
  near_share(value(box, "bounce_decay"), 0.15, 1e-6, "3 mm over 20 mm");
  fill(box, DF_C_TRAVEL, small_dip);
  near(value(box, "bounce_decay"), 0, 0, "a dip of less than 5 % of the peak parts no peaks");
  box_destroy(box);
}
END_TEST

START_TEST(returning)
{
  struct box *box = box_create(4, 5e-4);
  box->ride.static_travel = rest;
  box->ride.peak[DF_P_TRAVEL] = (struct df_extreme){rest + 0.05, 0, 1, 0};
  fill(box, DF_C_TRAVEL, come_back);
  undefined(box, "return_time");
  box->ride.moments.touch = 0;
  near_share(value(box, "return_time"), 0.2*log(10), 1e-6, "a tenth of an exponential");
  box->ride.moments.window_end = 1.2;
  near_share(value(box, "return_time"), 0.2, 1e-12, "never within the window: what is left of it");
  box_destroy(box);
}
END_TEST

// 0.6 m at 12.5 m/s: 48 ms a wave.
static double ripples(double t) { return rest + 0.011*(1 - exp(-t/0.2)) + 0.008*sin(2*M_PI*t/0.048 + 1); }

START_TEST(packing_down)
{
  struct box *box = box_create(4, 5e-4);
  box->ride.static_travel = rest;
  box->road.speed = 12.5;
  fill(box, DF_C_TRAVEL, ripples);
  undefined(box, "packing");
  box->road.kind = df_road_kind_find("washboard");
  box->road.keys[0] = 0.025;
  box->road.keys[1] = 0.6;
  box->road.keys[2] = 50;
  near_share(value(box, "packing"), 0.011, 1e-5, "mean over five whole waves");
  fill(box, DF_C_TRAVEL, sinking);
  near_share(value(box, "packing"), 0.01*(3 - 0.12), 1e-9, "middle of the last 0.24 s of a straight line");
  box->ride.moments.last_touch = 1;
  undefined(box, "bounce_decay");
  box->road.speed = 0.5;
  undefined(box, "packing");
  box_destroy(box);
}
END_TEST

START_TEST(ratios_of_two_rides)
{
  struct box *box = box_create(2, 1e-4);
  fill(box, DF_C_ACCELERATION, hundred);
  undefined(box, "cold_ratio");
  undefined(box, "heated_ratio");
  box->measured.shock_cold = 1.2*value(box, "shock_transmitted");
  box->measured.shock_heated = 0.9*value(box, "shock_transmitted");
  near(value(box, "cold_ratio"), 1.2, 1e-12, "the caller's over its own");
  near(value(box, "heated_ratio"), 0.9, 1e-12, "the caller's over its own");
  box_destroy(box);
}
END_TEST

// ---- the sampling step does not matter

static double lag; // s, shifts a signal against the samples: set by one test, which runs in a process of its own

static double haversine(double t, double length)
{
  return t < 0 || t > length ? 0 : 0.5*(1 - cos(2*M_PI*t/length));
}

static double ring(double t) { return t < 0 ? 0 : -1.5*exp(-t/0.25)*sin(2*M_PI*2.2*t); }

// An edge as the sprung mass feels it: a jump of -1.5 m/s2 at the touch, a pulse of 8 m/s2, a spike
// 1.7 ms wide at half its height on its flank, and the swing after it.
static double edge_60(double t)
{
  double u = t - 0.1 - lag, jump = u > 0 && u < 0.01 ? -1.5*(1 - u/0.01) : 0;
  return 8*haversine(u, 0.06) + jump + 3*exp(-pow((u - 0.022)/1e-3, 2)) + ring(u - 0.06);
}
static double edge_80(double t) { double u = t - 0.1 - lag; return 8*haversine(u, 0.08) + 6*exp(-pow((u - 0.04)/1e-3, 2)) + ring(u - 0.08); }
static double edge_100(double t) { double u = t - 0.1 - lag; return 8*haversine(u, 0.1) + ring(u - 0.1); }
static double load_80(double t) { double u = t - 0.1 - lag; return 1280 + 3000*haversine(u, 0.05) - 1600*haversine(u - 0.05, 0.06) + 200*ring(u - 0.1); }
static double signed_80(double t) { double y = load_80(t); return y < 0 ? y : y*(1 + fmin(y/150, 1)); }
static double speed_80(double t) { double u = t - 0.1 - lag; return 1.7*haversine(u, 0.05) - 0.45*haversine(u - 0.05, 0.3); }
static double travel_80(double t) { double u = t - 0.1 - lag; return rest + (u < 0 ? 0 : 0.04*haversine(u, 0.12) + 0.015*exp(-2*u)*sin(2*M_PI*2*u)); }

// Worst share by which a measure at a wide step is off from the fine one, over phases of the samples.
static double worst_off(const char *name, int channel, of_time *f, double step)
{
  double worst = 0;
  for (int phase = 0; phase < 7; phase++) {
    double got[2];
    lag = phase*0.087e-3;
    for (int wide = 0; wide < 2; wide++) {
      struct box *box = box_create(2.4, wide ? step : DF_FINE_SAMPLE_STEP);
      box->ride.moments.window_start = 0.1 + lag;
      box->ride.moments.window_end = 2.3 + lag;
      box->ride.moments.last_touch = box->ride.moments.touch = 0.1 + lag;
      box->ride.peak[DF_P_TRAVEL] = (struct df_extreme){rest + 0.04, 0, 0.16 + lag, 0};
      fill(box, channel, f);
      got[wide] = value(box, name);
      box_destroy(box);
    }
    worst = fmax(worst, fabs(got[1]/got[0] - 1));
  }
  return worst;
}

START_TEST(wider_samples_say_the_same)
{
  static const struct { const char *name; int channel; of_time *f; } cases[] = {
    {"shock_transmitted", DF_C_ACCELERATION, edge_60}, {"shock_transmitted", DF_C_ACCELERATION, edge_80},
    {"shock_transmitted", DF_C_ACCELERATION, edge_100}, {"sprung_acceleration_weighted", DF_C_ACCELERATION, edge_60},
    {"sprung_acceleration_weighted", DF_C_ACCELERATION, edge_80}, {"vibration_dose", DF_C_ACCELERATION, edge_60},
    {"vibration_dose", DF_C_ACCELERATION, edge_80}, {"crest_factor", DF_C_ACCELERATION, edge_80},
    {"tyre_load_variation", DF_C_TYRE, load_80}, {"patter", DF_C_TYRE, load_80}, {"airborne_time", DF_C_TYRE_SIGNED, signed_80},
    {"fork_speed_share_13", DF_C_VELOCITY, speed_80}, {"fork_speed_share_06", DF_C_VELOCITY, speed_80},
    {"return_time", DF_C_TRAVEL, travel_80}, {"bounce_decay", DF_C_TRAVEL, travel_80},
  };
  for (unsigned i = 0; i < sizeof cases/sizeof *cases; i++) {
    ck_assert_double_eq(df_measures_step((int[]){df_measure_find(cases[i].name)}, 1), DF_BATCH_SAMPLE_STEP);
    double off = worst_off(cases[i].name, cases[i].channel, cases[i].f, DF_BATCH_SAMPLE_STEP);
    ck_assert_msg(off <= 2e-3, "%s, signal %u: %.3f %% off at the batch's step", cases[i].name, i, 100*off);
  }
}
END_TEST

START_TEST(twice_as_wide_would_not)
{
  double off = worst_off("shock_transmitted", DF_C_ACCELERATION, edge_80, 2*DF_BATCH_SAMPLE_STEP);
  ck_assert_msg(off > 2e-3, "%.3f %%: the batch's step could be wider", 100*off);
  off = worst_off("jerk_peak", DF_C_ACCELERATION, edge_60, DF_BATCH_SAMPLE_STEP);
  ck_assert_msg(off > 2e-3, "%.3f %%: jerk_peak needs no fine samples", 100*off);
}
END_TEST

START_TEST(one_walk_serves_many)
{
  // All at once and one by one, and again with the same workspace over another ride.
  static const char *const names[] = {"shock_transmitted", "jerk_peak", "impulse_share", "vibration_dose", "crest_factor", "patter"};
  struct box *box = box_create(2, 5e-4);
  of_time *const signals[] = {edge_80, edge_100};
  for (int pass = 0; pass < 2; pass++) {
    int which[6];
    double together[6];
    fill(box, DF_C_ACCELERATION, signals[pass]);
    fill(box, DF_C_TYRE, pass ? tyre_two : load_80);
    for (int i = 0; i < 6; i++) which[i] = df_measure_find(names[i]);
    ck_assert_int_eq(df_measures_evaluate(which, 6, &box->measured, box->workspace, together), DF_OK);
    for (int i = 0; i < 6; i++) {
      near(together[i], value(box, names[i]), 0, "the same walk");
      near(together[i], df_measures[which[i]].of(&box->measured, df_measures[which[i]].argument), 0, "without a workspace");
    }
  }
  box_destroy(box);
}
END_TEST

int main(void)
{
  const TTest *const tests[] = {
    table_is_complete, table_has_every_name, needs_and_channels, what_is_missing_is_not_a_number, extremes_and_energies,
    energies_by_name, static_measures, filtered_sine, filtered_step, share_of_two_lines, weighted_sine, tyre_load,
    time_in_the_air, stuck, speed_bins, voids, no_oil_no_voids, parts_at_the_peak, braking, settling, leaning, pushing, bouncing,
    bouncing_counts_no_fall_from_the_obstacle, bouncing_is_no_ripple, returning, packing_down, ratios_of_two_rides, wider_samples_say_the_same,
    twice_as_wide_would_not, one_walk_serves_many,
  };
  Suite *suite = suite_create("measure");
  TCase *cases = tcase_create("measure");
  tcase_set_timeout(cases, 60);
  for (unsigned i = 0; i < sizeof tests/sizeof *tests; i++) tcase_add_test(cases, tests[i]);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
