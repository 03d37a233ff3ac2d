// The table of measures, each defined once, and their evaluation.
#include "dampfork/measure.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "measures/of.h"
#include "measures/passes.h"

#define BIT(channel) (1ull << (channel))
#define TRAVEL       BIT(DF_C_TRAVEL)
#define VELOCITY     BIT(DF_C_VELOCITY)
#define ROAD         BIT(DF_C_ROAD)
#define ACCELERATION BIT(DF_C_ACCELERATION)
#define TYRE         BIT(DF_C_TYRE)
#define SIGNED       BIT(DF_C_TYRE_SIGNED)
#define PRESSURES    (BIT(DF_C_P_LOWER) | BIT(DF_C_P_ANNULUS))
#define VOIDS        (BIT(DF_C_VOID_LOWER) | BIT(DF_C_VOID_ANNULUS))
_Static_assert(DF_CHANNELS <= 64, "channels are bits of one word");

#define LESS DF_LESS_IS_BETTER
#define MORE DF_MORE_IS_BETTER
#define BOTH DF_NEITHER

// Unit, value in it of one SI unit.
#define MM       "mm", 1e3
#define PERCENT  "percent", 100
#define ONE      "1", 1
#define SECOND   "s", 1
#define SPEED    "m_per_s", 1
#define ACCEL    "m_per_s2", 1
#define NEWTON   "N", 1
#define JOULE    "J", 1
#define JERK     "m_per_s3", 1
#define DOSE     "m_per_s1.75", 1
#define CM3      "cm3", 1e6
#define BAR      "bar", 1e-5

#define OURS     "chosen here"
#define PRACTICE "common practice"

// name, unit, needs, better, function, argument, channels, meaning, source
#define PEAKS(name, unit, better, of, meaning, source) \
  {name, unit, DF_NEEDS_PEAKS, better, of, 0, 0, meaning, source}
#define TRACE(name, unit, better, of, channels, meaning, source) \
  {name, unit, DF_NEEDS_TRACE, better, of, 0, channels, meaning, source}
#define OIL(name, unit, better, of, channels, meaning, source) \
  {name, unit, DF_NEEDS_PRESSURES, better, of, 0, channels, meaning, source}
#define HOLD(name, unit, better, of, channels, meaning, source) \
  {name, unit, DF_NEEDS_PEAKS | DF_NEEDS_TRACE, better, of, 0, channels, meaning, source}
#define FINE(name, unit, better, of, channels, meaning, source) \
  {name, unit, DF_NEEDS_TRACE | DF_NEEDS_FINE, better, of, 0, channels, meaning, source}
#define SHARE(number, bin, text) \
  {"fork_speed_share_" number, PERCENT, DF_NEEDS_TRACE, BOTH, df_of_speed_share, bin, VELOCITY, \
   "share of the time with fork speed " text " m/s (compression positive)", OURS}
#define ENERGY(name, entry, text) \
  {"energy_" name, JOULE, DF_NEEDS_LEDGER, BOTH, df_of_energy, entry, 0, \
   "energy lost in " text ", both legs, whole ride", "energy balance"}
#define PART(name, channel, text) \
  {"peak_" name, NEWTON, DF_NEEDS_PEAKS | DF_NEEDS_FORCES | DF_NEEDS_FINE, BOTH, df_of_part, channel, \
   BIT(channel), "force of " text ", all legs, at the moment of the greatest upward acceleration", OURS}
#define STATIC(name, unit, better, of, argument, meaning, source) \
  {name, unit, DF_NEEDS_SAG, better, of, argument, 0, meaning, source}
#define RATIO(direction, number, index) \
  {"damping_ratio_" #direction "_" number, ONE, DF_NEEDS_STEADY, BOTH, df_of_ratio_##direction, \
   index, 0, "share of critical damping in " #direction " at a fork speed of " number " mm/s, steady", \
   "any text on vibration; secant of the force at the static travel"}
#define TWO(name, of, meaning) \
  {name, ONE, DF_NEEDS_TRACE | DF_NEEDS_TWO_RIDES, LESS, of, 0, ACCELERATION, meaning, OURS}

const struct df_measure df_measures[] = {
  PEAKS("travel_peak", MM, BOTH, df_of_travel_peak, "greatest travel", PRACTICE),
  PEAKS("travel_share", PERCENT, BOTH, df_of_travel_share,
        "greatest travel as a share of the fork's travel", PRACTICE),
  PEAKS("travel_reserve", MM, MORE, df_of_travel_reserve,
        "travel left at the deepest point, before metal meets metal", PRACTICE),
  PEAKS("sprung_acceleration_peak", ACCEL, LESS, df_of_acceleration_peak,
        "greatest upward acceleration of the bike over the fork", PRACTICE),
  PEAKS("sprung_acceleration_low", ACCEL, MORE, df_of_acceleration_low,
        "least (most downward) acceleration of the bike over the fork", PRACTICE),
  TRACE("shock_transmitted", ACCEL, LESS, df_of_shock, ACCELERATION,
        "greatest upward acceleration after a 100 Hz low-pass: the blow that reaches the hands",
        "Butterworth low-pass of order two, bilinear with prewarping; limit chosen here"),
  FINE("jerk_peak", JERK, LESS, df_of_jerk, ACCELERATION,
       "fastest change of that filtered acceleration: how sudden the blow is", OURS),
  FINE("impulse_share", PERCENT, LESS, df_of_impulse_share, ACCELERATION,
       "share of the acceleration's power above 20 Hz: harshness against float", OURS),
  TRACE("sprung_acceleration_weighted", ACCEL, LESS, df_of_weighted, ACCELERATION,
        "rms acceleration weighted by how people feel vertical vibration (Wk)",
        "ISO 2631-1:1997, ISO 8041-1:2017"),
  TRACE("vibration_dose", DOSE, LESS, df_of_dose, ACCELERATION,
        "fourth-power dose of the weighted acceleration: blows count more",
        "ISO 2631-1:1997, 6.3.2"),
  TRACE("crest_factor", ONE, BOTH, df_of_crest_factor, ACCELERATION,
        "greatest weighted acceleration over its rms", "ISO 2631-1:1997, 6.2.1"),
  TRACE("tyre_load_variation", PERCENT, LESS, df_of_tyre_variation, TYRE,
        "rms change of the tyre's load over its load at rest: less is more grip", PRACTICE),
  TRACE("airborne_time", SECOND, LESS, df_of_airborne_time, SIGNED,
        "time during which the tyre carries no load", PRACTICE),
  TRACE("patter", PERCENT, LESS, df_of_patter, TYRE,
        "rms tyre load between 8 and 20 Hz over the load at rest", OURS),
  TRACE("stuck_share", PERCENT, LESS, df_of_stuck_share, VELOCITY | ROAD,
        "share of the time with the fork stuck (below 1 mm/s) while the road moves (above 10 mm/s)",
        OURS),
  OIL("cavitating_time", SECOND, LESS, df_of_cavitating_time, PRESSURES,
      "time with the oil of a chamber below the cavitation threshold", OURS),
  OIL("void_share", PERCENT, LESS, df_of_void_share, PRESSURES,
      "the same as a share of the time", OURS),
  OIL("void_peak", CM3, LESS, df_of_void_peak, VOIDS,
      "largest room in one chamber that oil could not fill in time", OURS),
  PEAKS("bottoming_speed", SPEED, LESS, df_of_bottoming_speed,
        "fork speed at the first knock on the bottom stop; 0: none", PRACTICE),
  PEAKS("topping_speed", SPEED, MORE, df_of_topping_speed,
        "fork speed (negative) at the first knock on the top-out stop; 0: none", PRACTICE),

  HOLD("dive_depth", MM, LESS, df_of_dive_depth, TRAVEL,
       "how far the fork sinks under the brake, once settled", PRACTICE),
  HOLD("dive_overshoot", MM, LESS, df_of_dive_overshoot, TRAVEL,
       "how far it dives past that before it comes back", PRACTICE),
  HOLD("dive_overshoot_share", PERCENT, LESS, df_of_dive_overshoot_share, TRAVEL,
       "the same as a share of the fork's travel", OURS),
  HOLD("dive_speed", SPEED, LESS, df_of_dive_speed, TRAVEL | VELOCITY,
       "greatest fork speed on the way down", PRACTICE),
  HOLD("settling_time", SECOND, LESS, df_of_settling_time, TRAVEL,
       "from the brake's start until travel stays within 5 % of the dive (release: not settled)",
       OURS),
  HOLD("braked_rest", MM, LESS, df_of_braked_rest, TRAVEL,
       "travel at which the fork rests under the brake", PRACTICE),
  HOLD("braked_rest_share", PERCENT, LESS, df_of_braked_rest_share, TRAVEL,
       "the same as a share of the fork's travel", PRACTICE),
  HOLD("lean_overshoot", MM, LESS, df_of_lean_overshoot, TRAVEL,
       "how far travel swings past its new rest after leaning in", OURS),
  HOLD("lean_settling", SECOND, LESS, df_of_lean_settling, TRAVEL,
       "from leaning in until travel stays within 5 % of the change (end of hold: not settled)",
       OURS),
  TRACE("push_past_start", MM, LESS, df_of_push_past_start, TRAVEL,
        "first swing above the resting height after a push by hand is let go", PRACTICE),
  TRACE("bounce_decay", ONE, LESS, df_of_bounce_decay, TRAVEL,
        "second peak of travel over the first after the last obstacle; 0: no second peak",
        PRACTICE),
  HOLD("return_time", SECOND, LESS, df_of_return_time, TRAVEL,
       "from the deepest point until 90 % of the way back (end of the window: never)", OURS),
  TRACE("packing", MM, LESS, df_of_packing, TRAVEL,
        "how far the fork has sunk over the last five ripples", PRACTICE),

  SHARE("01", 1, "below -3"), SHARE("02", 2, "-3 to -1.5"), SHARE("03", 3, "-1.5 to -1"),
  SHARE("04", 4, "-1 to -0.5"), SHARE("05", 5, "-0.5 to -0.3"), SHARE("06", 6, "-0.3 to -0.1"),
  SHARE("07", 7, "-0.1 to -0.05"), SHARE("08", 8, "-0.05 to 0"), SHARE("09", 9, "0 to 0.05"),
  SHARE("10", 10, "0.05 to 0.1"), SHARE("11", 11, "0.1 to 0.3"), SHARE("12", 12, "0.3 to 0.5"),
  SHARE("13", 13, "0.5 to 1"), SHARE("14", 14, "1 to 1.5"), SHARE("15", 15, "1.5 to 3"),
  SHARE("16", 16, "above 3"),

  PART("spring", DF_C_SPRING, "the springs"), PART("air", DF_C_AIR, "the air"),
  PART("friction", DF_C_FRICTION, "friction"), PART("damping", DF_C_DAMPING, "the oil"),
  PART("cone", DF_C_CONE, "the bottoming cones"), PART("stop", DF_C_STOP, "the stops"),

  ENERGY("compression_holes", DF_E_COMPRESSION_HOLES, "the compression holes and the rod's bore"),
  ENERGY("rebound_holes", DF_E_REBOUND_HOLES, "the rebound holes"),
  ENERGY("check", DF_E_CHECK, "the check valve"),
  ENERGY("check_leak", DF_E_CHECK_LEAK, "the leak round the check valve"),
  ENERGY("ring", DF_E_RING, "the piston ring's leak"),
  ENERGY("valve", DF_E_VALVE, "the drop-in valve"),
  ENERGY("bleed", DF_E_BLEED, "the valve's bleed"),
  ENERGY("return", DF_E_RETURN, "the valve's return path"),
  ENERGY("column", DF_E_COLUMN, "the oil column (small, of either sign)"),
  ENERGY("cone", DF_E_CONE, "the bottoming cone"),
  ENERGY("friction", DF_E_FRICTION, "friction"),
  ENERGY("stop", DF_E_STOP, "the stops"),
  ENERGY("air_heat", DF_E_AIR_HEAT, "heat from the air to the wall (of either sign)"),
  ENERGY("tyre", DF_E_TYRE, "the tyre"),
  {"energy_residual", ONE, DF_NEEDS_LEDGER, BOTH, df_of_energy_residual, 0, 0,
   "part of the energy put in that the balance does not find: a check of the computation",
   "energy balance"},

  TWO("cold_ratio", df_of_cold_ratio,
      "shock_transmitted with oil at 5 degC over that at riding heat"),
  TWO("heated_ratio", df_of_heated_ratio,
      "shock_transmitted after 20 minutes of the road over that at the stated oil temperature"),

  STATIC("free_travel", MM, BOTH, df_of_free_travel, 0,
         "travel at rest with the wheel in the air: where a tape measure starts", PRACTICE),
  STATIC("sag_alone", MM, BOTH, df_of_sag, 0, "sag under the bike alone", PRACTICE),
  STATIC("sag_alone_share", PERCENT, BOTH, df_of_sag_share, 0,
         "the same as a share of the fork's travel", PRACTICE),
  STATIC("sag_rider", MM, BOTH, df_of_sag, 1, "sag with the rider aboard", PRACTICE),
  STATIC("sag_rider_share", PERCENT, BOTH, df_of_sag_share, 1,
         "the same as a share of the fork's travel", PRACTICE),
  STATIC("sag_loaded", MM, BOTH, df_of_sag, 2, "sag with rider and load aboard", PRACTICE),
  STATIC("sag_loaded_share", PERCENT, BOTH, df_of_sag_share, 2,
         "the same as a share of the fork's travel", PRACTICE),
  STATIC("sag_band", MM, LESS, df_of_sag_band, 0,
         "settled from above less settled from below, with rider: friction shows here", PRACTICE),
  STATIC("cap_force", NEWTON, LESS, df_of_cap_force, 0,
         "force of the spring on one cap, fork extended", PRACTICE),
  STATIC("end_force", NEWTON, BOTH, df_of_end_force, 0,
         "force of spring and air of one leg at full travel", PRACTICE),
  STATIC("cracking_pressure", BAR, BOTH, df_of_cracking_pressure, 0,
         "pressure difference across the drop-in valve at which it opens", PRACTICE),
  {"cracking_speed", SPEED, DF_NEEDS_STEADY, BOTH, df_of_cracking_speed, 0, 0,
   "fork speed in compression at mid travel at which the drop-in valve opens", OURS},
  RATIO(compression, "50", 0), RATIO(compression, "100", 1), RATIO(compression, "300", 2),
  RATIO(compression, "1000", 3), RATIO(compression, "3000", 4),
  RATIO(rebound, "50", 0), RATIO(rebound, "100", 1), RATIO(rebound, "300", 2),
  RATIO(rebound, "1000", 3), RATIO(rebound, "3000", 4),
};
const int df_measure_count = sizeof df_measures/sizeof *df_measures;

int df_measure_find(const char *name)
{
  for (int i = 0; name && i < df_measure_count; i++)
    if (strcmp(df_measures[i].name, name) == 0) return i;
  return -1;
}

static int row_exists(int row)
{
  return row >= 0 && row < df_measure_count;
}

int df_measure_is_static(int row)
{
  return row_exists(row) && (df_measures[row].needs & (DF_NEEDS_STEADY | DF_NEEDS_SAG)) != 0;
}

unsigned df_measures_needs(const int *which, int n)
{
  unsigned needs = 0;
  for (int i = 0; i < n; i++)
    if (row_exists(which[i])) needs |= df_measures[which[i]].needs;
  return needs;
}

unsigned long long df_measures_channels(const int *which, int n, int legs)
{
  unsigned long long channels = 0, of_leg = BIT(DF_C_WHOLE + DF_C_PER_LEG) - BIT(DF_C_WHOLE);
  for (int i = 0; i < n; i++)
    if (row_exists(which[i])) channels |= df_measures[which[i]].channels;
  if (legs == 2) channels |= (channels & of_leg) << DF_C_PER_LEG;
  return channels;
}

double df_measures_step(const int *which, int n)
{
  return df_measures_needs(which, n) & DF_NEEDS_FINE ? DF_FINE_SAMPLE_STEP : DF_BATCH_SAMPLE_STEP;
}

struct df_measure_workspace *df_measure_workspace_create(void)
{
  return calloc(1, sizeof(struct df_measure_workspace));
}

void df_measure_workspace_destroy(struct df_measure_workspace *workspace)
{
  if (!workspace) return;
  df_spectrum_finish(&workspace->spectrum);
  free(workspace);
}

// 1 when everything is there that the row looks at.
static int has_what_it_needs(const struct df_measure *row, const struct df_measured *measured)
{
  if (!measured->scenario) return 0;
  if (row->needs & (DF_NEEDS_STEADY | DF_NEEDS_SAG)) return measured->statics != NULL;
  return measured->ride && measured->ride->status == DF_OK;
}

enum df_status df_measures_evaluate(const int *which, int n, const struct df_measured *measured,
                                    struct df_measure_workspace *workspace, double *values)
{
  struct df_measured with = *measured;
  enum df_status status = DF_OK;
  with.workspace = workspace;
  workspace->done = 0;
  workspace->status = DF_OK;
  for (int i = 0; i < n; i++) {
    values[i] = NAN;
    if (!row_exists(which[i])) status = DF_UNKNOWN_NAME;
    else if (has_what_it_needs(&df_measures[which[i]], &with))
      values[i] = df_measures[which[i]].of(&with, df_measures[which[i]].argument);
  }
  return workspace->status != DF_OK ? workspace->status : status;
}
