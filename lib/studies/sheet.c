// Set-ups that must not be built, and settings as the tools can make them.
#include "studies/setup.h"

#include <stdarg.h>
#include <stdio.h>

#include "dampfork/oil.h"
#include "dampfork/spring.h"

const char *const df_refusal_names[DF_REFUSALS] = {
    "coil_bind", "hydraulic_lock", "seal_pressure", "weak_rod",
    "high_hole", "close_holes",    "loose_spring",  "loose_valve"};

struct refusing {
  const struct df_scenario *scenario;
  int side;
  struct df_refused *list;
  int n;
};

__attribute__((format(printf, 5, 6)))
static void refuse(struct refusing *r, enum df_refusal why, double figure, double limit,
                   const char *format, ...)
{
  if (r->n == DF_REFUSED_MAX) return;
  struct df_refused *item = &r->list[r->n++];
  va_list arguments;
  *item = (struct df_refused){.why = why, .side = r->side, .figure = figure, .limit = limit};
  va_start(arguments, format);
  vsnprintf(item->text, sizeof item->text, format, arguments);
  va_end(arguments);
}

static const struct df_side *side_of(const struct refusing *r)
{
  return &r->scenario->side[r->side];
}

static void look_at_spring(struct refusing *r)
{
  const struct df_side *s = side_of(r);
  const struct df_spring *spring = &s->spring;
  double room = df_coil_room(s);
  double force = spring->rate*fmax(spring->preload, 0);
  if (room < -1e-9) // rounding of the sum
    refuse(
        r, DF_REFUSED_COIL_BIND, room, 0,
        "the coils close %.1f mm before full travel: the front would stop dead there. A longer or "
        "softer-wound spring, or %.0f mm less spring preload",
        -room * 1e3, ceil(-room * 1e3));
  if (spring->preload <= 0)
    refuse(r, DF_REFUSED_LOOSE_SPRING, spring->preload, 0,
           "spring preload %.1f mm: with the fork extended the spring is loose by %.1f mm and "
           "rattles. "
           "A spacer at least that much longer",
           spring->preload * 1e3, -spring->preload * 1e3);
  if (s->has_valve && force < DF_HOLD_DOWN)
    refuse(
        r, DF_REFUSED_LOOSE_VALVE, force, DF_HOLD_DOWN,
        "nothing holds the valve down: with the fork extended the spring presses with %.0f N, at "
        "least %.0f N are wanted. More spring preload",
        force, DF_HOLD_DOWN);
}

// Valve lifted off the rod's head by what it holds back: pressure on the rod's whole section
// against the spring, at the travel where a ride begins and a fork speed of 3 m/s.
static void look_at_valve(struct refusing *r, const struct df_leg_model *leg)
{
  const struct df_side *s = side_of(r);
  struct df_statics statics;
  struct df_steady steady;
  if (!s->has_valve || s->spring.rate*s->spring.preload < DF_HOLD_DOWN) return;
  if (df_rest_of(r->scenario, &statics, NULL) != DF_OK) return;
  if (df_leg_steady(leg, statics.x_ride, 3, &steady) != DF_OK) return;
  double lifting = (steady.p_rod - steady.p_column)*M_PI_4*s->leg.rod_outside*s->leg.rod_outside;
  if (lifting > steady.spring)
    refuse(
        r, DF_REFUSED_LOOSE_VALVE, steady.spring, lifting,
        "nothing holds the valve down on a sharp edge: at 3 m/s the oil lifts it with %.0f N, the "
        "spring presses with %.0f N. More spring preload, or less valve preload",
        lifting, steady.spring);
}

static void look_at_oil(struct refusing *r)
{
  const struct df_side *s = side_of(r);
  struct df_oil_fill fill;
  if (df_oil_fill_of(r->scenario, r->side, &fill, NULL) != DF_OK) return;
  if (fill.gas_hot <= 0) {
    refuse(r, DF_REFUSED_LOCK, fill.gas_hot, 0,
           "hydraulic lock when hot: the oil grows by %.0f cm3 up to %.0f degC, only %.0f cm3 of "
           "air are "
           "left at full travel. Lower the oil (a larger number of mm from the rim)",
           fill.grows * 1e6, DF_HOT_OIL - 273.15, fill.gas_end * 1e6);
    return;
  }
  if (isfinite(fill.seal_travel))
    refuse(r, DF_REFUSED_SEALS, fill.pressure_hot, DF_SEAL_PRESSURE,
           "seal pressure: hot air and oil reach %.1f bar absolute %.0f mm before full travel, "
           "seals may "
           "burst. Lower the oil (%.0f mm now; a larger number is less oil)",
           DF_SEAL_PRESSURE * 1e-5, (s->leg.travel - fill.seal_travel) * 1e3, fill.level * 1e3);
}

static void look_at_holes(struct refusing *r)
{
  struct df_rod_plan plan = df_rod_plan_of(r->scenario, r->side);
  double clear = NAN, passed = NAN;
  if (!plan.worked) return;
  if (plan.highest > plan.limit + 1e-9) {
    df_passing_cost(r->scenario, r->side, 0.3, &clear, &passed, NULL);
    refuse(r, DF_REFUSED_HIGH_HOLE, plan.highest, plan.limit,
           "a hole at %.1f mm is above the limit of %.1f mm: the tube's end passes it and it opens "
           "into "
           "the rebound side; near full travel rebound at 0.3 m/s falls from %.0f to %.0f N",
           plan.highest * 1e3, plan.limit * 1e3, clear, passed);
  }
  if (plan.ligament < DF_DRILL_LIGAMENT - 1e-6)
    refuse(
        r, DF_REFUSED_CLOSE_HOLES, plan.ligament, DF_DRILL_LIGAMENT,
        "holes too close: %.2f diameters of wall are left between two of them, at least %.1f are "
        "wanted. Rows further apart, or two holes a row, each pair a quarter turn on",
        plan.ligament, DF_DRILL_LIGAMENT);
}

static void look_at_rod(struct refusing *r)
{
  struct df_rod_load load;
  struct df_drill_strength weakest = {0};
  if (!df_rod_plan_of(r->scenario, r->side).worked) return;
  if (df_rod_load_of(r->scenario, r->side, DF_ROD_SPEED, &load, NULL) != DF_OK) return;
  enum df_status status = df_rod_strength_of(r->scenario, r->side, load.together, &weakest);
  if (status == DF_OK && weakest.safety >= DF_ROD_SAFETY) return;
  refuse(r, DF_REFUSED_WEAK_ROD, status == DF_OK ? weakest.safety : 0, DF_ROD_SAFETY,
         "the rod is too weak: %.0f %% of its section is left at the weakest row; %.0f N of "
         "rebound and "
         "top-out stress it to a safety of %.1f against yield, at least %.1f is wanted. Smaller or "
         "fewer "
         "holes a row",
         100 * weakest.share, load.together, weakest.safety, DF_ROD_SAFETY);
}

static void look_at_side(struct refusing *r)
{
  if (side_of(r)->leg.has_linear) return;
  double gas = df_air_at_full_travel(r->scenario, r->side, NULL);
  look_at_spring(r);
  struct df_leg_model *leg = gas > 0 ? df_leg_create(r->scenario, r->side, NULL) : NULL;
  if (gas <= 0)
    refuse(r, DF_REFUSED_LOCK, gas, 0,
           "hydraulic lock: oil, spring and spacer leave no air: %.0f cm3 too much at full travel, "
           "the "
           "fork would stop %.0f mm before it. Lower the oil (a larger number of mm from the rim)",
           -gas * 1e6,
           -gas / (M_PI_4 * side_of(r)->leg.tube_outside * side_of(r)->leg.tube_outside) * 1e3);
  if (!leg) return;
  look_at_oil(r);
  look_at_valve(r, leg);
  look_at_rod(r);
  look_at_holes(r);
  df_leg_destroy(leg);
}

int df_setup_refused(const struct df_scenario *scenario, struct df_refused out[DF_REFUSED_MAX])
{
  struct refusing r = {scenario, 0, out, 0};
  for (r.side = 0; r.side < df_setup_sides(scenario); r.side++) look_at_side(&r);
  return r.n;
}

// ---- rounding ----
struct rounding { struct df_rounding *list; int n, side; };

static double rounded(struct rounding *r, const char *key, double from, double step)
{
  double to = df_rounded(from, step);
  if (fabs(to - from) <= 1e-6*step || !isfinite(from)) return from;
  if (r->n < DF_ROUNDINGS_MAX)
    r->list[r->n++] = (struct df_rounding){key, r->side, from, to};
  return to;
}

static void round_spacer(struct rounding *r, const struct df_scenario *scenario, struct df_side *s)
{
  struct df_spacer_sum sum = df_spacer_sum_of(scenario, r->side);
  if (!isfinite(sum.length)) return;
  double cut = rounded(r, "spacer.length", sum.length, DF_SAW_STEP);
  s->spring.preload += cut - sum.length;
  s->spacer.length = cut;
}

int df_setup_rounded(struct df_scenario *scenario, struct df_rounding out[DF_ROUNDINGS_MAX])
{
  struct rounding r = {out, 0, 0};
  for (r.side = 0; r.side < df_setup_sides(scenario); r.side++) {
    struct df_side *s = &scenario->side[r.side];
    if (s->leg.has_linear) continue;
    s->air.oil_level = rounded(&r, "air.oil_level", s->air.oil_level, DF_PROBE_STEP);
    round_spacer(&r, scenario, s);
    if (!s->has_valve) continue;
    double turns = s->valve.preload/s->valve.adjuster_pitch;
    s->valve.preload_turns = rounded(&r, "valve.preload", turns, DF_TURN_STEP);
    s->valve.preload = s->valve.preload_turns*s->valve.adjuster_pitch;
  }
  if (!scenario->unlike) scenario->side[1] = scenario->side[0];
  return r.n;
}
