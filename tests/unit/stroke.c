// One leg driven by a sine: the worked figures, loops with a closed form, voids, the slow limit.
#include "near.h"

#include <string.h>

#include "dampfork/leg.h"
#include "dampfork/oil.h"
#include "dampfork/stroke.h"

void appendix_a_scenario(struct df_scenario *, int valved);

static const char appendix[] = "worked figures of docs/theory.md, appendix A";
static struct df_scenario scenario;

static struct df_stroke driven(double middle, double stroke, double frequency, int cycles,
                               double tolerance)
{
  struct df_stroke_motion motion = {middle, stroke, frequency};
  struct df_stroke_options options = {.cycles = cycles, .tolerance = tolerance};
  struct df_stroke out;
  enum df_status status = df_stroke_run(&scenario, 0, &motion, &options, &out, NULL);
  ck_assert_msg(status == DF_OK, "%s", out.reason[0] ? out.reason : df_status_text(status));
  ck_assert_int_eq(out.cycles, cycles);
  ck_assert_int_eq(out.n, cycles*out.per_cycle + 1);
  return out;
}

// ---- worked figures: each to half a unit of its last printed digit ----
START_TEST(worked_second_cycle)
{
  static const double force[2][2] = {{3.71933, -426.5364}, {48.2498, -405.7690}}; // N
  static const double work[2] = {13.7760, 14.9711};                               // J
  appendix_a_scenario(&scenario, _i);
  struct df_stroke s = driven(0.065, 0.05, 2, 2, 1e-7);
  const struct df_stroke_cycle *c = &s.cycle[1];
  near(c->compression.x, 0.065, 1e-15, "the middle");
  near(c->compression.damping, force[_i][0], _i ? 5e-5 : 5e-6, appendix);
  near(c->rebound.damping, force[_i][1], 5e-5, appendix);
  // 13.77606 at every tolerance, printed 13.7760: a little over half a unit off
  near(c->damping_energy + c->air_energy, work[_i], _i ? 5e-5 : 6e-5, appendix);
  df_stroke_finish(&s);
}
END_TEST

START_TEST(usual_tolerance_gives_five_digits)
{
  appendix_a_scenario(&scenario, _i);
  struct df_stroke usual = driven(0.065, 0.05, 2, 3, 0), tight = driven(0.065, 0.05, 2, 3, 1e-9);
  for (int i = 0; i < usual.n; i++)
    near(usual.sample[i].damping, tight.sample[i].damping, 4e-3,
         "a thousandth of the tolerance"); // N of 427
  near_share(usual.cycle[2].damping_energy, tight.cycle[2].damping_energy, 1e-6, "the same");
  ck_assert(usual.tolerance == 1e-6);
  df_stroke_finish(&usual), df_stroke_finish(&tight);
}
END_TEST

static void small_holes(void)
{
  appendix_a_scenario(&scenario, 0);
  scenario.side[0].rod.holes.compression_holes.at[0].diameter = 4e-3;
}

START_TEST(worked_voids)
{
  small_holes();
  struct df_stroke s = driven(0.065, 0.1, 2, 2, 1e-7);
  double lower = fmin(s.cycle[0].p_lower_least, s.cycle[1].p_lower_least);
  double annulus = fmin(s.cycle[0].p_annulus_least, s.cycle[1].p_annulus_least);
  double most = fmax(s.cycle[0].void_lower, s.cycle[1].void_lower);
  near(lower*1e-3, 3.11568, 0.6e-5, appendix);   // 3.115685 at every tolerance below 1e-5
  near(annulus*1e-3, 10.1118, 0.5e-4, appendix); // kPa
  near(most*1e6, 26.5615, 0.5e-4, appendix);     // cm3
  near(s.sample[2*s.per_cycle].void_lower*1e6, 21.4698, 0.5e-4, appendix);
  df_stroke_finish(&s);
}
END_TEST

// ---- a void is room that oil could not fill in time ----
// Swept volume less what flowed in by the paths' own flows, summed here by Simpson's rule.
START_TEST(void_is_swept_less_inflow)
{
  small_holes();
  struct df_stroke_motion motion = {0.065, 0.1, 2};
  struct df_stroke_options options = {.cycles = 2, .samples = 20000, .tolerance = 1e-7};
  struct df_stroke s;
  ck_assert_int_eq(df_stroke_run(&scenario, 0, &motion, &options, &s, NULL), DF_OK);
  const struct df_leg *leg = &scenario.side[0].leg;
  double area = M_PI_4*(leg->tube_outside*leg->tube_outside - leg->rod_outside*leg->rod_outside);
  struct df_oil_state state = df_oil_state_of(&scenario.side[0].oil);
  double dead = leg->lower_dead_volume, oil = NAN, in = 0, h = s.sample[1].t - s.sample[0].t,
         seen = 0;
  for (int i = 0; i + 2 < s.n; i += 2) {
    const struct df_stroke_sample *a = &s.sample[i], *b = a + 1, *c = a + 2;
    double room = dead + area*(leg->travel - a->x);
    if (i == 0) oil = room/df_oil_specific_volume(&state, a->p_lower);
    in += h/3*(a->into_lower + 4*b->into_lower + c->into_lower);
    double room_then = dead + area*(leg->travel - c->x), empty = room_then - (oil + in);
    if (c->void_lower > 1e-6) near(c->void_lower, empty, 3e-9, "swept volume less inflow"); // m3
    seen = fmax(seen, c->void_lower);
  }
  ck_assert(seen > 20e-6);
  df_stroke_finish(&s);
}
END_TEST

// The next compression makes no force until the void is filled; a rod with large holes makes it at
// once.
START_TEST(late_build_up_after_a_void)
{
  small_holes();
  struct df_stroke s = driven(0.065, 0.1, 2, 3, 1e-6);
  const struct df_stroke_cycle *c = &s.cycle[2];
  double lag = c->compression_lag, lost = 0.05*(1 - cos(4*M_PI*lag));
  ck_assert(lag > 0.03 && lost > 0.01); // s, m
  int open = 0;
  for (int i = 0; i < s.per_cycle/2; i++) {
    const struct df_stroke_sample *at = &s.sample[2*s.per_cycle + i];
    if (at->t - s.sample[2*s.per_cycle].t > lag - 1e-3) break;
    ck_assert(at->damping < 0), open++;
    ck_assert(at->void_lower > 0);
  }
  ck_assert_int_gt(open, 20);
  ck_assert(c->cavitating > 0.2 && c->cavitating < 0.8);
  df_stroke_finish(&s);
  appendix_a_scenario(&scenario, 1);
  s = driven(0.065, 0.05, 0.5, 3, 1e-6);
  ck_assert(s.cycle[2].compression_lag < 2e-3 && s.cycle[2].cavitating == 0);
  df_stroke_finish(&s);
}
END_TEST

// Without compression holes the lower chamber never fills: no force that turns, and so no lag.
START_TEST(never_turns)
{
  small_holes();
  scenario.side[0].rod.holes.compression_holes.n = 0;
  struct df_stroke s = driven(0.065, 0.1, 2, 3, 1e-6);
  const struct df_stroke_cycle *c = &s.cycle[2];
  ck_assert(isnan(c->compression_lag) && isnan(c->rebound_lag));
  ck_assert(c->compression.damping < 0 && c->rebound.damping < 0);
  ck_assert_double_eq_tol(c->cavitating, 1, 1e-9);
  df_stroke_finish(&s);
}
END_TEST

// Vapour's share counts the part of a step below the threshold: a fine run says the same.
START_TEST(vapour_share_of_a_fine_run)
{
  small_holes();
  struct df_stroke_motion motion = {0.065, 0.1, 2};
  struct df_stroke_options coarse = {.cycles = 2}, fine = {.cycles = 2, .samples = 20000};
  struct df_stroke s, t;
  ck_assert_int_eq(df_stroke_run(&scenario, 0, &motion, &coarse, &s, NULL), DF_OK);
  ck_assert_int_eq(df_stroke_run(&scenario, 0, &motion, &fine, &t, NULL), DF_OK);
  near(s.cycle[1].cavitating, t.cycle[1].cavitating, 1e-4, "a fortieth of the samples");
  near(s.cycle[1].compression_lag, t.cycle[1].compression_lag, 1e-5, "the same");
  near(s.cycle[1].void_lower, t.cycle[1].void_lower, 1e-9, "the same");
  near(s.cycle[1].void_annulus, t.cycle[1].void_annulus, 1e-9, "the same");
  df_stroke_finish(&s), df_stroke_finish(&t);
}
END_TEST

// ---- loops with a closed form ----
START_TEST(linear_loop)
{
  static const double k = 8e3, c = 500, half = 0.025; // N/m, N s/m, m
  appendix_a_scenario(&scenario, 0);
  scenario.side[0].leg.has_linear = scenario.side[1].leg.has_linear = 1;
  scenario.side[0].leg.linear = scenario.side[1].leg.linear = (struct df_linear_leg){k, c, 100};
  for (double f = 0.1; f < 20; f *= 2.3) {
    double pace = 2*M_PI*f;
    struct df_stroke s = driven(0.065, 2*half, f, 2, 1e-6);
    const struct df_stroke_cycle *cycle = &s.cycle[1];
    near_share(cycle->damping_energy, M_PI*c*pace*half*half, 1e-9, "pi c w X^2");
    near_share(cycle->compression.damping, c*pace*half, 1e-9, "c v");
    near(cycle->compression.force, 100 + k*0.065 + c*pace*half, 1e-6, "k x + c v + preload");
    near(cycle->compression_lag, 0, 1e-9/f, "a linear damper has none");
    near(cycle->rebound_lag, 0, 1e-9/f, "the same");
    struct df_stroke_harmonic h;
    ck_assert_int_eq(df_stroke_first_harmonic(&s, DF_STROKE_ALL, &h), DF_OK);
    near_share(h.gain, hypot(k, c*pace), 1e-9, "|k + i w c|");
    near(h.phase, atan2(c*pace, k), 1e-9, "arg(k + i w c)");
    near_share(h.stiffness, k, 1e-9, "k");
    near_share(h.damping, c, 1e-9, "c");
    near(h.rest, 0, 1e-6, "no other harmonic");
    df_stroke_finish(&s);
  }
}
END_TEST

// Hard oil without air, all but inviscid; a check valve that opens almost at once.
static void square_law(int valved)
{
  appendix_a_scenario(&scenario, valved);
  struct df_side *side = &scenario.side[0];
  side->oil.bulk_modulus = 10e9, side->oil.wall_modulus = 1e15, side->oil.air_fraction = 1e-9;
  side->oil.viscosity_40 = 0.32e-6, side->oil.viscosity_100 = 0.31e-6;
  side->leg.check_leak.gap = 0, side->leg.piston_ring.area = 0; // laminar ones
  side->leg.check_valve.crack = 0, side->leg.check_valve.full = 200; // Pa: open above 0.08 m/s
  side->air.fill_pressure = 20e5; // Pa: no suction, no choking
  scenario.run.choking = DF_OFF;
}

START_TEST(square_law_loop)
{
  static const double half = 0.04, f = 4; // m, Hz
  square_law(0);
  struct df_leg_model *leg = df_leg_create(&scenario, 0, NULL);
  struct df_steady in, out;
  ck_assert_int_eq(df_leg_steady(leg, 0.065, 1, &in), DF_OK);
  ck_assert_int_eq(df_leg_steady(leg, 0.065, -1, &out), DF_OK);
  df_leg_destroy(leg);
  struct df_stroke s = driven(0.065, 2*half, f, 2, 1e-6);
  double pace = 2*M_PI*f, a = 0.5*(in.damping - out.damping); // N s2/m2, mean of both directions
  near_share(s.cycle[1].damping_energy, 8.0/3*a*pace*pace*half*half*half, 1e-3, "(8/3) a w^2 X^3");
  double v = pace*half;
  near_share(s.cycle[1].compression.damping, in.damping*v*v, 1e-3, "a v^2");
  near_share(s.cycle[1].rebound.damping, out.damping*v*v, 1e-3, "a v^2");
  df_stroke_finish(&s);
}
END_TEST

// The bristle's own loop is 4 F (X - presliding), Coulomb's 4 F X its limit.
START_TEST(coulomb_loop)
{
  static const double presliding[] = {0.15e-3, 1e-6}, half = 0.025; // m
  appendix_a_scenario(&scenario, 0);
  scenario.seals.viscous = scenario.seals.pressure_factor = 0, scenario.seals.breakaway_ratio = 1;
  scenario.seals.presliding = presliding[_i];
  double level = scenario.seals.sliding + 2*scenario.seals.bush_friction; // N
  struct df_stroke s = driven(0.065, 2*half, 1, 3, 1e-6);
  near_share(s.cycle[2].friction_energy, 4*level*(half - presliding[_i]), 2e-6,
             "4 F (X - presliding)");
  if (_i) near_share(s.cycle[2].friction_energy, 4*level*half, 1e-4, "4 F X");
  near_share(s.cycle[2].compression.friction, level, 1e-6, "F");
  df_stroke_finish(&s);
}
END_TEST

// One laminar hole out of one volume of elastic oil: a damper c in series with a spring K.
START_TEST(series_compliance_loop)
{
  appendix_a_scenario(&scenario, 0);
  struct df_side *side = &scenario.side[0];
  struct df_leg *leg = &side->leg;
  side->oil.temperature = 288.15;                                 // K: the density's own
  side->oil.density_15 = 0.87, side->oil.viscosity_40 = 32e-3,
  side->oil.viscosity_100 = 30e-3; // no mass
  side->oil.air_fraction = 1e-9, side->air.fill_pressure = 20e5;
  side->air.oil_level = 100, side->air.exponent = 1; // m: the gas pushes back by nothing
  leg->check_valve.area = leg->piston_ring.area = 0;
  leg->check_leak.gap = 4e-3;                                     // both chambers are one
  side->rod.holes.compression_holes.at[0] = (struct df_hole_group){1, 0.5e-3, NAN, NAN, 0, 0, 0, 0};
  side->rod.holes.rebound_holes.n = 0;
  struct df_leg_model *model = df_leg_create(&scenario, 0, NULL);
  struct df_path_constants paths[DF_PARTS];
  df_leg_paths(model, paths);
  ck_assert(isnan(paths[DF_PATH_BLEED].k1) && isnan(paths[DF_PATH_RETURN].k1) && isnan(paths[DF_PART_PORTS].k1)); // no valve, none of its paths
  df_leg_destroy(model);
  double area = M_PI_4*(leg->tube_outside*leg->tube_outside - leg->tube_bore*leg->tube_bore);
  double lower = M_PI_4*(leg->tube_outside*leg->tube_outside - leg->rod_outside*leg->rod_outside);
  double volume = leg->lower_dead_volume + leg->annulus_dead_volume +
                  lower*(leg->travel - 0.065) + (lower - area)*0.065;
  double modulus =
      1 / (1 / side->oil.bulk_modulus + 1 / side->oil.wall_modulus) - 19e5; // Pa at 20 bar: -v/v'
  double k1 = paths[DF_PATH_COMPRESSION_HOLES].k1 + paths[DF_PART_BORE].k1;
  double c = k1*area*area, spring = modulus/volume*area*area, half = 0.05e-3;
  for (double f = 2; f < 60; f *= 2.5) {
    double pace = 2*M_PI*f, ratio = pace*c/spring;
    struct df_stroke s = driven(0.065, 2*half, f, 3, 1e-9);
    near_share(s.cycle[2].damping_energy, M_PI*c*pace*half*half/(1 + ratio*ratio), 2e-3,
               "pi c w X^2/(1 + (w c/K)^2)");
    near_share(s.cycle[2].compression_lag, atan(ratio)/pace, 3e-3, "atan(w c/K)/w");
    near_share(s.cycle[2].rebound_lag, atan(ratio)/pace, 3e-3, "atan(w c/K)/w");
    struct df_stroke_harmonic h;
    ck_assert_int_eq(df_stroke_first_harmonic(&s, DF_STROKE_DAMPING, &h), DF_OK);
    near_share(h.gain, pace*c/sqrt(1 + ratio*ratio), 2e-3, "|i w c K/(K + i w c)|");
    near(h.phase, M_PI_2 - atan(ratio), 2e-3, "its argument");
    df_stroke_finish(&s);
  }
}
END_TEST

// ---- the slow limit is the steady curve, with hard oil ----
START_TEST(slow_limit_is_steady)
{
  appendix_a_scenario(&scenario, _i);
  scenario.side[0].oil.bulk_modulus = 10e9, scenario.side[0].oil.wall_modulus = 1e15;
  scenario.side[0].oil.air_fraction = 1e-9;
  struct df_leg_model *leg = df_leg_create(&scenario, 0, NULL);
  static const double speed[] = {0.05, 0.1, 0.3, 0.6}; // m/s
  for (int k = 0; k < 4; k++) {
    struct df_stroke s = driven(0.065, 0.1, speed[k]/(M_PI*0.1), 2, 1e-7);
    for (int down = 0; down < 2; down++) {
      const struct df_stroke_sample *at = down ? &s.cycle[1].rebound : &s.cycle[1].compression;
      struct df_steady steady;
      near(at->v, down ? -speed[k] : speed[k], 1e-12, "peak speed");
      ck_assert_int_eq(df_leg_steady(leg, at->x, at->v, &steady), DF_OK);
      // the column's rise presses even hard oil a little, the more the less the fork moves
      near(at->damping, steady.damping, (_i ? 3e-4 : 5e-5)*fabs(steady.damping), "df_leg_steady");
      near(at->p_column, steady.p_column, 2e-4*steady.p_column, "df_leg_steady");
      near(at->spring, steady.spring, 1e-9*steady.spring, "df_leg_steady");
      near(at->friction, steady.friction, 1e-3*fabs(steady.friction), "df_leg_steady");
      near(at->lift, steady.lift, 1e-6, "df_leg_steady");
    }
    df_stroke_finish(&s);
  }
  df_leg_destroy(leg);
}
END_TEST

// ---- every kind of leg ----
enum special { THERMAL, INERTIA, COVERED, HANDBOOK, LICHTAROWICZ, SHIMMED, GAP, SPECIALS };
static void make_special(enum special what)
{
  appendix_a_scenario(&scenario, 1);
  struct df_side *side = &scenario.side[0];
  if (what == THERMAL) side->air.thermal_time = 0.05;
  if (what == INERTIA) side->valve.plate_mass = 5e-3;
  if (what == COVERED) {
    side->leg.tube_end_height = 0.03;
    side->rod.holes.compression_holes.at[0].height = 0.1,
    side->rod.holes.rebound_holes.at[0].depth = 0.06;
  }
  if (what == HANDBOOK) scenario.run.law = DF_LAW_HANDBOOK;
  if (what == LICHTAROWICZ) scenario.run.law = DF_LAW_LICHTAROWICZ;
  if (what == SHIMMED) {
    side->valve.shim_n = 2;
    side->valve.shims[0] = (struct df_shim){2, 0.020, 0.15e-3},
    side->valve.shims[1] = (struct df_shim){1, 0.016, 0.15e-3};
    side->valve.shim_clamp = 0.009, side->valve.port_inner = 0.011, side->valve.spring_rate = 0,
    side->valve.stop = 1.2e-3;
  }
  if (what == GAP) side->leg.piston_gap.gap = 0.1e-3;
}

START_TEST(every_kind_of_leg)
{
  make_special(_i);
  int cycles = _i == THERMAL ? 4 : 2;
  struct df_stroke usual = driven(0.065, 0.08, 2, cycles, 0),
                   tight = driven(0.065, 0.08, 2, cycles, 1e-8);
  const struct df_stroke_cycle *a = &usual.cycle[cycles - 1], *b = &tight.cycle[cycles - 1];
  near_share(a->damping_energy, b->damping_energy, 1e-5, "a hundredth of the tolerance");
  near_share(a->rebound.damping, b->rebound.damping, 1e-4, "the same");
  near(a->compression.damping, b->compression.damping, 1e-2, "the same");
  near(a->air_energy, b->air_energy, 1e-4, "the same");
  if (_i == THERMAL) ck_assert(a->air_energy > 0.1); // J: the gas loses heat
  for (int i = 0; i < usual.n; i++) {
    const struct df_stroke_sample *s = &usual.sample[i];
    double sum = df_stroke_force(s, DF_STROKE_ALL);
    near(sum, s->force, 1e-9, "sum of its parts");
    ck_assert(s->p_lower > 1e3 && s->p_annulus > 1e3 && s->p_rod > 1e3); // Pa: vapour pressure
  }
  // the work of all forces over a cycle is what the sampled force and speed say
  double work = 0;
  int n = usual.per_cycle;
  for (int i = (cycles - 1)*n; i < cycles*n; i++) {
    const struct df_stroke_sample *s = &usual.sample[i];
    work += 0.5 *
            (df_stroke_force(s, DF_STROKE_DAMPING)*s->v +
             df_stroke_force(s + 1, DF_STROKE_DAMPING)*s[1].v) *
            (s[1].t - s->t);
  }
  near_share(work, a->damping_energy, 2e-4, "trapezoidal rule over the samples");
  df_stroke_finish(&usual), df_stroke_finish(&tight);
}
END_TEST

START_TEST(lower_order_agrees)
{
  appendix_a_scenario(&scenario, 1);
  struct df_stroke_motion motion = {0.065, 0.05, 2};
  struct df_stroke_options third = {
      .cycles = 2, .method = df_method_named("rodas3"), .tolerance = 1e-7};
  struct df_stroke s, four = driven(0.065, 0.05, 2, 2, 1e-8);
  ck_assert_int_eq(df_stroke_run(&scenario, 0, &motion, &third, &s, NULL), DF_OK);
  ck_assert_str_eq(df_method_name(s.method), "rodas3");
  near_share(s.cycle[1].damping_energy, four.cycle[1].damping_energy, 1e-5, "rodas4");
  near(s.cycle[1].compression.damping, four.cycle[1].compression.damping, 1e-3, "rodas4");
  df_stroke_finish(&s), df_stroke_finish(&four);
}
END_TEST

// ---- failures have names ----
static struct df_faults faults;
static enum df_status refused(double middle, double stroke, double frequency)
{
  struct df_stroke_motion motion = {middle, stroke, frequency};
  struct df_stroke s;
  faults = (struct df_faults){0};
  enum df_status status = df_stroke_run(&scenario, 0, &motion, NULL, &s, &faults);
  ck_assert_int_eq(s.status, status);
  df_stroke_finish(&s);
  return status;
}

START_TEST(refusals)
{
  appendix_a_scenario(&scenario, 0);
  ck_assert_int_eq(refused(0.065, 0.2, 1), DF_TRAVEL_RANGE);
  ck_assert_ptr_nonnull(strstr(faults.at[0].text, "reaches from -35 to 165 mm"));
  ck_assert_int_eq(refused(0.065, 0, 1), DF_BAD_INPUT);
  ck_assert_int_eq(refused(0.065, 0.05, -1), DF_BAD_INPUT);
  ck_assert_int_eq(refused(NAN, 0.05, 1), DF_BAD_INPUT);
}
END_TEST

START_TEST(oil_that_locks)
{
  appendix_a_scenario(&scenario, 0);
  scenario.side[0].air.oil_level = 57.5e-3; // m: 0.5 cm3 of gas at full travel
  scenario.side[0].air.exponent = 1;
  scenario.side[0].oil.bulk_modulus = 10e9,
  scenario.side[0].oil.wall_modulus = 1e15; // softer oil would give way
  struct df_stroke_motion motion = {0.07, 0.139, 1};
  struct df_stroke s;
  enum df_status status = df_stroke_run(&scenario, 0, &motion, NULL, &s, NULL);
  ck_assert_int_eq(status, DF_HYDRAULIC_LOCK);
  ck_assert(s.failed_at > 0.3 && s.failed_at < 0.7 && s.cycles == 0 && s.n > 100);
  ck_assert_ptr_nonnull(strstr(s.reason, "stroke 139 mm at 1 Hz"));
  df_stroke_finish(&s);
}
END_TEST

START_TEST(stopped)
{
  appendix_a_scenario(&scenario, 0);
  const volatile int stop = 1;
  struct df_stroke_motion motion = {0.065, 0.05, 1};
  struct df_stroke_options options = {.stop = &stop};
  struct df_stroke s;
  ck_assert_int_eq(df_stroke_run(&scenario, 0, &motion, &options, &s, NULL), DF_INTERRUPTED);
  df_stroke_finish(&s);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("stroke");
  TCase *cases = tcase_create("stroke");
  tcase_set_timeout(cases, 30);
  tcase_add_loop_test(cases, worked_second_cycle, 0, 2);
  tcase_add_loop_test(cases, usual_tolerance_gives_five_digits, 0, 2);
  tcase_add_test(cases, worked_voids);
  tcase_add_test(cases, void_is_swept_less_inflow);
  tcase_add_test(cases, late_build_up_after_a_void);
  tcase_add_test(cases, never_turns);
  tcase_add_test(cases, vapour_share_of_a_fine_run);
  tcase_add_test(cases, linear_loop);
  tcase_add_test(cases, square_law_loop);
  tcase_add_loop_test(cases, coulomb_loop, 0, 2);
  tcase_add_test(cases, series_compliance_loop);
  tcase_add_loop_test(cases, slow_limit_is_steady, 0, 2);
  tcase_add_loop_test(cases, every_kind_of_leg, 0, SPECIALS);
  tcase_add_test(cases, lower_order_agrees);
  tcase_add_test(cases, refusals);
  tcase_add_test(cases, oil_that_locks);
  tcase_add_test(cases, stopped);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
