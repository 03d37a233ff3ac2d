// What must hold for every valid scenario: numbers all through, failures with a name, energy and oil
// that add up, pressures above vapour, steady laws that rise, and no difference between units.
#include "near.h"

#include <stdio.h>
#include <string.h>

#include "../evidence/random_scenario.h"
#include "../evidence/second_leg.h"
#include "../evidence/second_match.h"
#include "dampfork/leg.h"
#include "dampfork/measure.h"
#include "dampfork/reader.h"
#include "dampfork/ride.h"
#include "leg/model.h"

static const unsigned kinds[] = {0, RANDOM_VALVE, RANDOM_COVERED, RANDOM_COVERED | RANDOM_VALVE,
                                 RANDOM_TWO_RATES, RANDOM_GAS, RANDOM_GAS | RANDOM_VALVE,
                                 RANDOM_UNLIKE | RANDOM_GAS | RANDOM_VALVE, RANDOM_LAWS | RANDOM_VALVE,
                                 RANDOM_VALVE | RANDOM_SHIMS};
enum { KINDS = sizeof kinds/sizeof *kinds };

static struct df_road road_of(const gsl_rng *r, const char *kind, double first, double second)
{
  struct df_road road = {.kind = df_road_kind_find(kind), .speed = 5 + 15*gsl_rng_uniform(r),
                         .window = 0.5, .repeat = 1, .gap = 1, .contact = -1};
  snprintf(road.name, sizeof road.name, "%s", kind);
  for (size_t i = 0; i < sizeof road.keys/sizeof *road.keys; i++) road.keys[i] = NAN;
  road.keys[0] = first, road.keys[1] = second;
  return road;
}

// Draw `number` of its kind, with an edge and a hump, every second one of them braked.
enum { ROADS = 2 };
static void drawn(int number, unsigned features, struct df_scenario *s)
{
  gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(r, 10000 + (unsigned long)number);
  random_scenario(r, features, s);
  s->road_n = ROADS;
  s->road[0] = road_of(r, "edge", 0.005 + 0.025*gsl_rng_uniform(r), NAN);
  s->road[1] = road_of(r, "half_sine", 0.02 + 0.06*gsl_rng_uniform(r), 0.6 + 2*gsl_rng_uniform(r));
  for (int i = 0; i < ROADS && number%2; i++) {
    s->road[i].has_brake = 1;
    s->road[i].brake = (struct df_brake){2 + 5*gsl_rng_uniform(r), 0.15 + 0.25*gsl_rng_uniform(r), 0.3, 0.1};
  }
  gsl_rng_free(r);
}

static const char *const measures[] = {"travel_peak", "sprung_acceleration_peak", "shock_transmitted",
                                       "sprung_acceleration_weighted", "tyre_load_variation",
                                       "airborne_time", "void_peak", "cavitating_time",
                                       "bottoming_speed", "topping_speed"};
enum { MEASURES = sizeof measures/sizeof *measures, VALUES = MEASURES*ROADS, BATCH = 250,
       DRAWS = 10000 };

static int is_named(enum df_status status)
{
  return status == DF_HYDRAULIC_LOCK || status == DF_TRAVEL_RANGE || status == DF_TYRE_ON_RIM;
}

static int good_batch(struct df_case *cases, int first)
{
  int good = 0;
  for (int i = 0; i < BATCH; i++) {
    const struct df_case *c = &cases[i];
    if (c->status != DF_OK) {
      ck_assert_msg(is_named(c->status) && c->reason[0], "draw %d: %s (%s)", first + i,
                    df_status_text(c->status), c->reason);
      continue;
    }
    good++;
    for (int k = 0; k < VALUES; k++)
      ck_assert_msg(isfinite(c->values[k]), "draw %d, %s: %g", first + i, measures[k/ROADS],
                    c->values[k]);
  }
  return good;
}

// Kinds take turns by batches of 250.
START_TEST(rides_give_numbers_or_a_reason)
{
  struct df_scenario *s = malloc(BATCH*sizeof *s);
  static double values[BATCH][VALUES];
  struct df_case cases[BATCH];
  struct df_wanted wanted[VALUES];
  for (int k = 0; k < VALUES; k++)
    wanted[k] = (struct df_wanted){k%ROADS, df_measure_find(measures[k/ROADS])};
  int batches = near_draws(DRAWS/BATCH), good = 0;
  for (int b = 0; b < batches; b++) {
    for (int i = 0; i < BATCH; i++) {
      drawn(b*BATCH + i, kinds[b%KINDS], &s[i]);
      cases[i] = (struct df_case){.scenario = &s[i], .values = values[i]};
    }
    ck_assert_int_eq(df_cases_run(cases, BATCH, wanted, VALUES, NULL, 2, NULL), DF_OK);
    good += good_batch(cases, b*BATCH);
  }
  ck_assert_msg(good > 0.8*batches*BATCH, "only %d of %d rode to the end", good, batches*BATCH);
  if (getenv("PROPERTY_SHOW")) fprintf(stderr, "%d of %d rode to the end\n", good, batches*BATCH);
  free(s);
}
END_TEST

// ---- one ride at a time: ledger, pressures, volumes ----
static void bounds_hold(const struct df_scenario *s, const struct df_ride *ride, int draw)
{
  struct second_leg leg;
  double volume[3];
  for (int i = 0; i < ride->legs; i++) {
    second_leg_init(&leg, s, i, NULL, s->side[i].oil.temperature);
    double *const *at = ride->trace.at + i*DF_C_PER_LEG;
    for (int k = 0; k < ride->trace.n; k++) {
      second_volumes(&leg, ride->trace.at[DF_C_TRAVEL][k], volume);
      double vapour = s->side[i].oil.vapour_pressure, least = fmin(at[DF_C_P_LOWER][k], at[DF_C_P_ANNULUS][k]);
      if (s->side[i].has_valve) least = fmin(least, at[DF_C_P_ROD][k]);
      ck_assert_msg(least > vapour && at[DF_C_P_COLUMN][k] > 0, "draw %d: %g Pa over vapour", draw, least - vapour);
      ck_assert_msg(volume[0] > 0 && volume[1] > 0, "draw %d: no room in a chamber", draw);
      ck_assert_msg(at[DF_C_VOID_LOWER][k] >= 0 && at[DF_C_VOID_LOWER][k] < volume[0] &&
                    at[DF_C_VOID_ANNULUS][k] >= 0 && at[DF_C_VOID_ANNULUS][k] < volume[1],
                    "draw %d: void outside its chamber", draw);
    }
  }
}

static void all_finite(const struct df_ride *ride, int draw)
{
  for (int c = 0; c < DF_CHANNELS; c++)
    for (int k = 0; ride->trace.at[c] && k < ride->trace.n; k++)
      ck_assert_msg(isfinite(ride->trace.at[c][k]), "draw %d, channel %d: %g", draw, c, ride->trace.at[c][k]);
  for (int e = 0; e < DF_ENERGIES; e++) ck_assert(isfinite(ride->energy[e]));
}

// Worst seen at the usual tolerance: 1.8e-4 in one of 300 draws, 9.5e-5 in the others; the laws that bend at knots of Reynolds
// numbers ride at a third of it here.
START_TEST(energy_adds_up)
{
  struct df_ride_options options = {.ledger = 1, .channels = (1ULL << DF_CHANNELS) - 1, .sample_step = 5e-4,
                                    .tolerance = kinds[_i] & RANDOM_LAWS ? 3e-5 : 1e-4};
  int n = near_draws(300)/KINDS + 1;
  double worst = 0;
  for (int i = 0; i < n; i++) {
    struct df_scenario s;
    struct df_ride ride;
    int draw = 20000 + i*KINDS + _i;
    drawn(draw, kinds[_i], &s);
    for (int road = 0; road < ROADS; road++) {
      enum df_status status = df_ride_run(&s, road, &options, &ride, NULL);
      ck_assert_msg(status == DF_OK || is_named(status), "draw %d: %s", draw, ride.reason);
      all_finite(&ride, draw);
      bounds_hold(&s, &ride, draw);
      if (status == DF_OK) {
        worst = fmax(worst, fabs(ride.energy_residual));
        ck_assert_msg(fabs(ride.energy_residual) <= 2e-4, "draw %d, road %d: %g of what was put in is lost", draw, road, ride.energy_residual);
      }
      df_ride_finish(&ride);
    }
  }
  if (getenv("PROPERTY_SHOW")) fprintf(stderr, "kind %d: worst residual %.3g\n", _i, worst);
}
END_TEST

// ---- oil counted a second way ----
// What is in a chamber by its pressure; what left it, by the flows of the second writing at the same pressures.
// The plate's flow is the library's: its table is 2e-6 off the exact balance, more than is allowed here.
struct count { double chamber[3], column; };
static void oil_in(const struct second_leg *leg, const struct df_ride *ride, int k, struct count *c)
{
  double volume[3];
  second_volumes(leg, ride->trace.at[DF_C_TRAVEL][k], volume);
  for (int i = 0; i < 3; i++)
    c->chamber[i] = volume[i] > 0 ? volume[i]/second_oil_share(&leg->oil, ride->trace.at[DF_C_P_LOWER + i][k]) : 0;
}

static double plate_flow(const struct leg_single *single, double dp)
{
  lane lift;
  return valve_flow(&single->at.valve, single->k.table, all(dp), &lift).q[0];
}

static void flows_at(const struct second_leg *leg, const struct leg_single *single, const struct df_ride *ride, int k, struct count *c)
{
  struct second_flows f = {0};
  for (int i = 0; i < 4; i++) f.p[i] = ride->trace.at[DF_C_P_LOWER + i][k];
  second_flows_at(leg, ride->trace.at[DF_C_TRAVEL][k], &f);
  for (int i = 0; i < 3; i++) c->chamber[i] = f.out[i];
  c->column = f.column;
  if (!leg->side->has_valve) return;
  double more = plate_flow(single, f.p[2] - f.p[3]) - f.flow[SECOND_VALVE];
  c->chamber[2] += more, c->column += more;
}

// What the chambers lost against what flowed out of them, and the column's gain; m3, by Simpson's rule.
static double flow_off(const struct second_leg *leg, const struct leg_single *single, const struct df_ride *ride)
{
  struct count from, to, out = {0}, at;
  int n = (ride->trace.n - 1)/2*2;
  double worst = 0, gained = 0;
  oil_in(leg, ride, 0, &from);
  oil_in(leg, ride, n, &to);
  for (int k = 0; k <= n; k++) {
    double weight = ride->trace.step/3*(k == 0 || k == n ? 1 : k%2 ? 4 : 2);
    flows_at(leg, single, ride, k, &at);
    for (int i = 0; i < 3; i++) out.chamber[i] += weight*at.chamber[i];
    out.column += weight*at.column;
  }
  for (int i = 0; i < (leg->side->has_valve ? 3 : 2); i++) {
    gained -= to.chamber[i] - from.chamber[i];
    worst = fmax(worst, fabs(to.chamber[i] - from.chamber[i] + out.chamber[i]));
  }
  return fmax(worst, fabs(gained - out.column));
}

// The column's pressure against the room that the oil in the chambers leaves, worst share.
static double column_off(const struct second_leg *leg, const struct df_ride *ride)
{
  const struct df_air *air = &leg->side->air;
  struct count at;
  double worst = 0;
  for (int k = 0; k < ride->trace.n; k += 16) {
    oil_in(leg, ride, k, &at);
    double oil = at.chamber[0] + at.chamber[1] + (leg->side->has_valve ? at.chamber[2] : 0);
    double gas = second_gas_volume(leg, ride->trace.at[DF_C_TRAVEL][k], oil);
    double p = air->fill_pressure*pow(leg->gas0/gas, air->exponent);
    worst = fmax(worst, fabs(ride->trace.at[DF_C_P_COLUMN][k]/p - 1));
  }
  return worst;
}

// Samples so close that the rule's error at corners of the flow, sharpest where holes are passed, stays
// below what is asked for.
START_TEST(oil_is_kept)
{
  struct df_ride_options options = {.channels = (1ULL << DF_CHANNELS) - 1, .tolerance = 1e-10, .sample_step = kinds[_i] & RANDOM_COVERED ? 1.25e-6 : 4e-6};
  struct df_scenario s;
  struct df_ride ride;
  struct second_leg leg;
  struct leg_single single;
  for (int i = 0; i < near_draws(2); i++) {
    int draw = 40000 + i*KINDS + _i;
    drawn(draw, kinds[_i] & ~(unsigned)RANDOM_UNLIKE, &s);
    s.road[0].window = 0.12;
    struct second_shims shims = second_shims_of(&s.side[0]);
    enum df_status status = df_ride_run(&s, 0, &options, &ride, NULL);
    ck_assert_msg(status == DF_OK || is_named(status), "draw %d: %s", draw, ride.reason);
    second_leg_init(&leg, &s, 0, &shims, s.side[0].oil.temperature);
    struct df_leg_model *model = df_leg_create(&s, 0, NULL);
    df_leg_single_init(&single, model);
    double flow = flow_off(&leg, &single, &ride), column = isfinite(s.side[0].air.thermal_time) ? 0 : column_off(&leg, &ride);
    if (getenv("PROPERTY_SHOW")) fprintf(stderr, "draw %d: oil %.3g, column %.3g, %d samples\n", draw, flow/leg.oil0, column, ride.trace.n);
    ck_assert_msg(flow <= 1e-9*leg.oil0, "draw %d: %.3g of the oil is lost or made", draw, flow/leg.oil0);
    ck_assert_msg(column <= 1e-9, "draw %d: the column's pressure is %.3g off", draw, column);
    df_ride_finish(&ride);
    df_leg_destroy(model);
  }
}
END_TEST

// ---- steady laws ----
// Outwards from standing still to 4 m/s; a balance may be missing only where the oil would have to be
// squeezed to nothing: there the pressure before it was a tenth of the oil's stiffness or more.
static void rises(const struct df_leg_model *leg, const struct df_scenario *s, double x, double sign, int draw)
{
  enum { SPEEDS = 30 };
  const struct df_oil *oil = &s->side[0].oil;
  double limit = 0.1/(1/oil->bulk_modulus + 1/oil->wall_modulus);
  struct df_steady last, at;
  ck_assert_int_eq(df_leg_steady(leg, x, 0, &last), DF_OK);
  for (int k = 1; k <= SPEEDS; k++) {
    double v = sign*4*sinh(4.0*k/SPEEDS)/sinh(4);
    if (df_leg_steady(leg, x, v, &at) != DF_OK) {
      ck_assert_msg(fmax(last.p_lower, last.p_annulus) > limit, "draw %d: no balance at %g m, %g m/s", draw, x, v);
      return;
    }
    ck_assert_msg(sign*at.damping > sign*last.damping, "draw %d: damping goes from %.17g to %.17g N at %g m, %g m/s",
                  draw, last.damping, at.damping, x, v);
    last = at;
  }
}

START_TEST(steady_damping_rises)
{
  for (int i = 0; i < near_draws(50); i++) {
    struct df_scenario s;
    int draw = 60000 + i*KINDS + _i;
    drawn(draw, kinds[_i], &s);
    struct df_leg_model *leg = df_leg_create(&s, 0, NULL);
    ck_assert_ptr_nonnull(leg);
    double x = s.side[0].leg.travel*(0.1 + 0.8*(i%10)/9);
    rises(leg, &s, x, 1, draw);
    rises(leg, &s, x, -1, draw);
    df_leg_destroy(leg);
  }
}
END_TEST

// ---- lanes ----
// Forks whose lists of holes differ in length, side by side: the same bits as alone.
START_TEST(neighbours_change_nothing)
{
  enum { FORKS = 24 };
  struct df_scenario *s = malloc(FORKS*sizeof *s);
  double together[FORKS], alone[FORKS];
  struct df_case cases[FORKS];
  struct df_wanted wanted = {0, df_measure_find("sprung_acceleration_peak")};
  for (int i = 0; i < FORKS; i++) {
    drawn(80000 + 2*i, kinds[_i], &s[i]);
    cases[i] = (struct df_case){.scenario = &s[i], .values = &together[i]};
  }
  ck_assert_int_eq(df_cases_run(cases, FORKS, &wanted, 1, NULL, 1, NULL), DF_OK);
  for (int i = 0; i < FORKS; i++) {
    struct df_case one = {.scenario = &s[i], .values = &alone[i]};
    ck_assert_int_eq(df_cases_run(&one, 1, &wanted, 1, NULL, 1, NULL), DF_OK);
    ck_assert_msg(one.status == cases[i].status && !memcmp(&alone[i], &together[i], sizeof *alone),
                  "fork %d: %.17g alone, %.17g together", i, alone[i], together[i]);
  }
  free(s);
}
END_TEST

// ---- units ----
struct written { const char *key, *unit[2]; double per[2], plus[2]; double low, high; }; // SI = per*value + plus
static const struct written written[] = {
  {"bike.wet_mass", {"kg", "lb"}, {1, 0.45359237}, {0, 0}, 150, 250},
  {"bike.wheelbase", {"mm", "in"}, {1e-3, 0.0254}, {0, 0}, 1.36, 1.54},
  {"bike.rake", {"degree", "rad"}, {M_PI/180, 1}, {0, 0}, 0.4, 0.5},
  {"rider.mass", {"kg", "lb"}, {1, 0.45359237}, {0, 0}, 55, 105},
  {"tyre.stiffness", {"N/mm", "lbf/in"}, {1e3, 4.4482216152605/0.0254}, {0, 0}, 120e3, 170e3},
  {"leg.tube_outside", {"mm", "in"}, {1e-3, 0.0254}, {0, 0}, 0.040, 0.0415},
  {"leg.travel", {"cm", "ft"}, {1e-2, 0.3048}, {0, 0}, 0.12, 0.14},
  {"leg.lower_dead_volume", {"cm3", "l"}, {1e-6, 1e-3}, {0, 0}, 40e-6, 90e-6},
  {"leg.check_valve.crack", {"kPa", "psi"}, {1e3, 6894.757293168361}, {0, 0}, 100, 300},
  {"oil.temperature", {"degC", "degF"}, {1, 5.0/9}, {273.15, 459.67*5/9}, 285, 320},
  {"oil.viscosity_40", {"mm2/s", "cm2/s"}, {1e-6, 1e-4}, {0, 0}, 20e-6, 45e-6},
  {"oil.bulk_modulus", {"GPa", "bar"}, {1e9, 1e5}, {0, 0}, 1.35e9, 1.8e9},
  {"spring.rate", {"N/mm", "kgf/mm"}, {1e3, 9806.65}, {0, 0}, 8e3, 11e3},
  {"spring.preload", {"mm", "in"}, {1e-3, 0.0254}, {0, 0}, 0.012, 0.025},
  {"seals.sliding", {"N", "lbf"}, {1, 4.4482216152605}, {0, 0}, 15, 50},
  {"air.oil_level", {"mm", "in"}, {1e-3, 0.0254}, {0, 0}, 0.13, 0.15},
  {"roads.town.speed", {"km/h", "mph"}, {1/3.6, 0.44704}, {0, 0}, 6, 16},
  {"roads.town.height", {"mm", "in"}, {1e-3, 0.0254}, {0, 0}, 0.01, 0.025},
};
enum { WRITTEN = sizeof written/sizeof *written };

static struct df_reading *read_in(struct df_units *units, const double *si, int way)
{
  static const char text[] = "leg: {tube_outside: 41 mm, travel: 130 mm}\nrod: {compression_holes: [{count: 2, diameter: 6 mm}], "
    "rebound_holes: [{count: 2, diameter: 2.2 mm}]}\noil: {viscosity_40: 32 mm2/s}\nroads: {town: {kind: edge, height: 20 mm, speed: 40 km/h, "
    "window: 0.5 s}}\n";
  char set[WRITTEN][96];
  const char *at[WRITTEN];
  struct df_faults faults = {0};
  struct df_reading *reading = NULL;
  for (int k = 0; k < WRITTEN; k++) {
    const struct written *w = &written[k];
    snprintf(set[k], sizeof *set, "%s=%.17g %s", w->key, (si[k] - w->plus[way])/w->per[way], w->unit[way]), at[k] = set[k];
  }
  struct df_reading_options options = {.set = at, .set_n = WRITTEN};
  enum df_status status = df_reading_create_text(&reading, units, "fork.yaml", "", text, strlen(text), &options, &faults);
  ck_assert_msg(status == DF_OK, "%s: %s", faults.at[0].key, faults.at[0].text);
  return reading;
}

// Rounding of the values is all that may differ: 1e-12 of them, and what a ride makes of it.
START_TEST(units_change_nothing)
{
  struct df_units *units = df_reading_units_create(NULL);
  gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
  for (int i = 0; i < near_draws(60); i++) {
    struct df_reading *reading[2];
    struct df_ride ride[2];
    double si[WRITTEN];
    for (int k = 0; k < WRITTEN; k++) si[k] = written[k].low + (written[k].high - written[k].low)*gsl_rng_uniform(r);
    for (int way = 0; way < 2; way++) {
      reading[way] = read_in(units, si, way);
      for (int k = 0; k < WRITTEN; k++) {
        struct df_value value;
        df_reading_value(reading[way], df_reading_find(reading[way], written[k].key), &value);
        near_share(value.si, si[k], 1e-12, written[k].unit[way]);
      }
      enum df_status status = df_ride_run(df_reading_scenario(reading[way]), 0, NULL, &ride[way], NULL);
      ck_assert_msg(status == DF_OK, "%s", ride[way].reason);
    }
    near_share(ride[1].peak[DF_P_TRAVEL].most, ride[0].peak[DF_P_TRAVEL].most, 1e-6, "the same fork in other units");
    near_share(ride[1].peak[DF_P_ACCELERATION].most, ride[0].peak[DF_P_ACCELERATION].most, 1e-6, "the same fork in other units");
    for (int way = 0; way < 2; way++) df_ride_finish(&ride[way]), df_reading_destroy(reading[way]);
  }
  gsl_rng_free(r);
  df_reading_units_destroy(units);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("property");
  TCase *cases = tcase_create("property");
  tcase_set_timeout(cases, 400);
  tcase_add_test(cases, rides_give_numbers_or_a_reason);
  tcase_add_loop_test(cases, energy_adds_up, 0, KINDS);
  tcase_add_loop_test(cases, oil_is_kept, 0, KINDS);
  tcase_add_loop_test(cases, steady_damping_rises, 0, KINDS);
  tcase_add_loop_test(cases, neighbours_change_nothing, 0, KINDS);
  tcase_add_test(cases, units_change_nothing);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
