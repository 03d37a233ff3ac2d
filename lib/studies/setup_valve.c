// The drop-in valve as it is set, and what its turns do.
#include "studies/setup.h"

#include "dampfork/measure.h"

enum df_status df_setup_steady(const struct df_scenario *scenario, int side, double speed,
                               struct df_steady *out, struct df_faults *faults)
{
  struct df_leg_model *leg = df_leg_create(scenario, side, faults);
  if (!leg) return faults && faults->n ? faults->at[faults->n - 1].status : DF_BAD_INPUT;
  enum df_status status = df_leg_steady(leg, 0.5*scenario->side[side].leg.travel, speed, out);
  df_leg_destroy(leg);
  return status;
}

// Cracking speed is a result of df_statics_of, which looks at the left leg.
static void crack_fill(struct df_scenario *s, int side, struct df_valve_setting *out)
{
  struct df_statics statics;
  s->side[0] = s->side[side];
  s->unlike = 0;
  df_statics_of(s, &statics, NULL);
  out->cracking_pressure = statics.cracking_pressure;
  out->cracking_speed = statics.cracking_speed;
}

static enum df_status damping_fill(const struct df_scenario *s, int side,
                                   struct df_valve_setting *out, struct df_faults *faults)
{
  static const double speed[3] = {0.1, 0.3, 1}; // m/s: a lean into a corner, a brake dive, a hump
  for (int i = 0; i < 3; i++) {
    struct df_steady steady;
    enum df_status status = df_setup_steady(s, side, speed[i], &steady, faults);
    if (status != DF_OK) return status;
    out->damping[i] = steady.damping;
  }
  return DF_OK;
}

enum df_status df_valve_setting_of(const struct df_scenario *scenario, int side, double turns,
                                   struct df_valve_setting *out, struct df_faults *faults)
{
  const struct df_valve *given = &scenario->side[side].valve;
  *out = (struct df_valve_setting){.turns = turns, .preload = turns*given->adjuster_pitch,
                                   .force = NAN, .adjuster = NAN, .cracking_pressure = NAN,
                                   .cracking_speed = NAN, .damping = {NAN, NAN, NAN}};
  if (!scenario->side[side].has_valve || !(turns >= 0)) return DF_OK;
  struct df_scenario *s = df_setup_copy(scenario);
  if (!s) return df_setup_no_memory(faults);
  s->side[side].valve.preload = out->preload;
  out->adjuster = given->adjuster_height - out->preload;
  enum df_status status = damping_fill(s, side, out, faults);
  if (status == DF_OK) {
    crack_fill(s, side, out);
    // what the pressure must overcome is what holds the plate: force = pressure times its area
    struct df_leg_model *leg = df_leg_create(s, 0, faults);
    if (leg) out->force = out->cracking_pressure*leg->c.valve_area;
    df_leg_destroy(leg);
  }
  free(s);
  return status;
}

static void turns_put(struct df_scenario *s, double by)
{
  for (int i = 0; i < DF_SIDES; i++) {
    struct df_valve *valve = &s->side[i].valve;
    double turns = fmax(valve->preload/valve->adjuster_pitch + by, 0);
    valve->preload = turns*valve->adjuster_pitch, valve->preload_turns = turns;
  }
}

enum df_status df_half_turn_of(const struct df_scenario *scenario, int dive, int edge, int threads,
                               struct df_half_turn *out)
{
  struct df_wanted wanted[2] = {{dive, df_measure_find("dive_overshoot")},
                                {edge, df_measure_find("shock_transmitted")}};
  struct df_case cases[3] = {0};
  double value[3][2];
  enum df_status status = DF_OK;
  for (int i = 0; i < 3; i++) {
    struct df_scenario *s = df_setup_copy(scenario);
    if (!s) status = DF_NO_MEMORY;
    else turns_put(s, 0.5*(i - 1));
    cases[i] = (struct df_case){.scenario = s, .values = value[i]};
    out->turns[i] = s ? s->side[0].valve.preload_turns : NAN;
    out->overshoot[i] = out->shock[i] = NAN;
  }
  int valved = scenario->side[0].has_valve && dive >= 0 && edge >= 0;
  if (status == DF_OK && valved)
    status = df_cases_run(cases, 3, wanted, 2, NULL, threads, NULL);
  for (int i = 0; i < 3; i++) {
    free((void *)cases[i].scenario);
    if (status != DF_OK || !valved) continue;
    out->overshoot[i] = value[i][0], out->shock[i] = value[i][1];
  }
  return status;
}
