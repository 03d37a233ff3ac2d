// The second writing of the ride against the worked figures of docs/theory.md, appendix A: each to
// half a unit of its last printed digit
// and a hundredth more for rounding at the half.
#include "near.h"

#include <math.h>
#include <stdlib.h>

#include "second_ride.h"

static const char source[] = "worked figures of docs/theory.md, appendix A";

#define printed(got, want, unit) near(got, want, 0.51*(unit), source)

static struct second_edge face = {0.025, 1, 0.3};
static const double road_speed = 40/3.6; // m/s

static void cross_edge(int valved, double end, struct second_ride *ride)
{
  static struct df_scenario scenario;
  appendix_a_scenario(&scenario, valved);
  struct second_case c = {.scenario = &scenario, .height = second_edge_height, .road = &face,
                          .speed = road_speed, .end = end,
                          .every = 1e-4, .tolerance = 1e-9};
  second_ride_init(ride, &c);
  ck_assert_int_eq(ride->status, 0);
}

struct span { double least, most; };

// Extremes of one number of the samples.
static struct span span_of(const struct second_ride *ride, size_t field)
{
  struct span s = {INFINITY, -INFINITY};
  for (int i = 0; i < ride->n; i++) {
    double value = *(const double *)((const char *)&ride->at[i] + field);
    s.least = fmin(s.least, value), s.most = fmax(s.most, value);
  }
  return s;
}
#define span(ride, field) span_of(ride, offsetof(struct second_sample, field))

static double airborne(const struct second_ride *ride)
{
  double sum = 0;
  for (int i = 1; i < ride->n; i++) {
    double a = ride->at[i - 1].tyre_signed, b = ride->at[i].tyre_signed,
        dt = ride->at[i].t - ride->at[i - 1].t;
    if (a <= 0 && b <= 0) sum += dt;
    else if (a <= 0 || b <= 0) sum += dt*fmin(a, b)/(fmin(a, b) - fmax(a, b));
  }
  return sum;
}

struct edge_figures { double v[2], x, a[2], n, damping[2], airborne; }; // m/s, mm, m/s2, N, N, s

START_TEST(edge_extremes)
{
  static const struct edge_figures want[] = {
    {{1.74249, -0.43378}, 74.4012, {8.15386, -10.18833}, 4281.35, {91.123, -880.554}, .02788},
    {{1.69310, -0.43566}, 73.0127, {8.77165, -10.08387}, 4285.57, {124.456, -855.100}, .02310}};
  const struct edge_figures *w = &want[_i];
  struct second_ride ride;
  cross_edge(_i, 0.6, &ride);
  struct span v = span(&ride, velocity), a = span(&ride, acceleration), d = span(&ride, damping);
  printed(v.most, w->v[0], 1e-5);
  printed(v.least, w->v[1], 1e-5);
  printed(span(&ride, travel).most*1e3, w->x, 1e-4);
  printed(a.most, w->a[0], 1e-5);
  printed(a.least, w->a[1], 1e-5);
  printed(span(&ride, tyre).most, w->n, 1e-2);
  printed(d.most, w->damping[0], 1e-3);
  printed(d.least, w->damping[1], 1e-3);
  printed(airborne(&ride), w->airborne, 1e-5);
  near(ride.residual, 0, 1e-6, "balance of the ledger, docs/theory.md, energy");
  second_ride_finish(&ride);
}
END_TEST

START_TEST(edge_energies)
{
  static const double want[2][9] = {{2.9848, 3.3679, .2409, 21.1637, 1.3899, 0, 9.7120, 16.1508,
                                     87.0691},
                                    {.8244, 2.8186, .2207, 20.6371, 1.4102, 3.7902, 9.4165, 15.9087,
                                     87.0851}};
  struct second_ride ride;
  cross_edge(_i, 0.6, &ride);
  const double *e = ride.at[ride.n - 1].energy, *w = want[_i];
  printed(e[SECOND_E_COMPRESSION_HOLES], w[0], 1e-4);
  printed(e[SECOND_E_CHECK], w[1], 1e-4);
  printed(e[SECOND_E_CHECK_LEAK], w[2], 1e-4);
  printed(e[SECOND_E_REBOUND_HOLES], w[3], 1e-4);
  printed(e[SECOND_E_RING], w[4], 1e-4);
  printed(e[SECOND_E_VALVE] + e[SECOND_E_BLEED] + e[SECOND_E_RETURN], w[5], 1e-4);
  printed(e[SECOND_E_FRICTION], w[6], 1e-4);
  printed(e[SECOND_E_TYRE], w[7], 1e-4);
  printed(e[SECOND_E_ROAD], w[8], 1e-4);
  second_ride_finish(&ride);
}
END_TEST

// Greatest value behind a causal Butterworth low-pass of order 2, 100 Hz, bilinear with prewarping
// at 10 kHz, from rest.
static double low_pass_peak(const struct second_ride *ride)
{
  double k = tan(M_PI*100/1e4), whole = 1 + sqrt(2)*k + k*k, b = k*k/whole;
  double a1 = 2*(k*k - 1)/whole, a2 = (1 - sqrt(2)*k + k*k)/whole, x1 = 0, x2 = 0, y1 = 0, y2 = 0,
      most = -INFINITY;
  for (int i = 0; i < ride->n; i++) {
    double x = ride->at[i].acceleration, y = b*(x + 2*x1 + x2) - a1*y1 - a2*y2;
    x2 = x1, x1 = x, y2 = y1, y1 = y;
    most = fmax(most, y);
  }
  return most;
}

// Share of the spectrum above 20 Hz, by the definition: lines up to 20 Hz summed one by one, the
// rest by Parseval.
static double fast_share(const struct second_ride *ride)
{
  double mean = 0, all = 0, slow = 0, step = ride->at[1].t, n = ride->n;
  for (int i = 0; i < ride->n; i++) mean += ride->at[i].acceleration/n;
  for (int i = 0; i < ride->n; i++) all += pow(ride->at[i].acceleration - mean, 2)*n/2;
  for (int k = 1; k/(n*step) <= 20; k++) {
    double re = 0, im = 0;
    for (int i = 0; i < ride->n; i++) {
      double a = ride->at[i].acceleration - mean, turn = 2*M_PI*k*i/n;
      re += a*cos(turn), im += a*sin(turn);
    }
    slow += re*re + im*im;
  }
  return 1 - slow/all;
}

static double load_variation(const struct second_ride *ride)
{
  double mean = 0, square = 0;
  for (int i = 0; i < ride->n; i++) mean += ride->at[i].tyre/ride->n;
  for (int i = 0; i < ride->n; i++) square += pow(ride->at[i].tyre - mean, 2)/ride->n;
  return sqrt(square)/(130.56*9.80665); // N, 272 kg, 48 % in front
}

START_TEST(edge_measures)
{
  static const double want[2][3] = {{8.12559, .08164, .30087}, {8.73344, .09204, .29320}};
  struct second_ride ride;
  cross_edge(_i, 1.2, &ride);
  ck_assert_int_eq(ride.n, 12001);
  printed(low_pass_peak(&ride), want[_i][0], 1e-5);
  printed(fast_share(&ride), want[_i][1], 1e-5);
  printed(load_variation(&ride), want[_i][2], 1e-5);
  second_ride_finish(&ride);
}
END_TEST

static void brake_ride(int valved, double bush_friction, struct second_ride *ride)
{
  static struct df_scenario scenario;
  appendix_a_scenario(&scenario, valved);
  scenario.seals.bush_friction = bush_friction;
  struct second_case c = {.scenario = &scenario, .speed = road_speed, .end = 1.6, .every = 1e-4,
                          .tolerance = 1e-9,
                          .brake = {0.1, 6, 0.25, 1.5, 0.1}};
  second_ride_init(ride, &c);
  ck_assert_int_eq(ride->status, 0);
}

// Mean travel over the last tenth of what was seen of the hold: 0.35 to 1.6 s.
static double held(const struct second_ride *ride)
{
  double sum = 0;
  int n = 0;
  for (int i = 0; i < ride->n; i++)
    if (ride->at[i].t > 1.6 - 0.125 - 1e-6) sum += ride->at[i].travel, n++;
  return sum/n;
}

START_TEST(brake)
{
  static const double want[2][6] = {{96.3294, 107.0324, 10.7031, -1329.10, 1626.16, 119.313},
                                    {96.5805, 101.9563, 5.3758, -1318.66, 1603.21, 118.335}};
  struct second_ride ride;
  brake_ride(_i, 0.03, &ride);
  const struct second_sample *last = &ride.at[ride.n - 1];
  double hold = held(&ride)*1e3, most = span(&ride, travel).most*1e3;
  printed(hold, want[_i][0], 1e-4);
  printed(most, want[_i][1], 1e-4);
  printed(most - hold, want[_i][2], 1e-4);
  printed(last->upper, want[_i][3], 1e-2);
  printed(last->lower, want[_i][4], 1e-2);
  printed(last->level[0], want[_i][5], 1e-3);
  near(ride.residual, 0, 1e-6, "balance of the ledger, docs/theory.md, energy");
  second_ride_finish(&ride);
}
END_TEST

START_TEST(bush_friction_decides_the_dive)
{
  // 1, mm
  static const double friction[] = {0, 0.03, 0.05}, overshoot[2][3] =
      {{22.7, 10.7, 2.8}, {18.4, 5.4, 0.2}};
  for (int i = 0; i < 3; i++) {
    struct second_ride ride;
    brake_ride(_i, friction[i], &ride);
    printed((span(&ride, travel).most - held(&ride))*1e3, overshoot[_i][i], 0.1);
    second_ride_finish(&ride);
  }
}
END_TEST

static void stroke(int valved, double amplitude, double hole, struct second_ride *ride)
{
  static struct df_scenario scenario;
  appendix_a_scenario(&scenario, valved);
  if (hole > 0) scenario.side[0].rod.holes.compression_holes.at[0].diameter = hole;
  struct second_sine sine = {0.065, amplitude, 2};
  struct second_case c = {.scenario = &scenario, .end = 1, .every = 1e-4, .tolerance = 1e-9,
                          .motion = second_sine_motion,
                          .drive = &sine};
  second_ride_init(ride, &c);
  ck_assert_int_eq(ride->status, 0);
}

START_TEST(stroke_second_cycle)
{
  static const double want[2][3] = {{3.71933, -426.5364, 13.7760}, {48.2498, -405.7690, 14.9711}};
  struct second_ride ride;
  stroke(_i, 0.025, 0, &ride);
  printed(ride.at[6250].damping[0], want[_i][0], _i ? 1e-4 : 1e-5);
  printed(ride.at[8750].damping[0], want[_i][1], 1e-4);
  // 13.77606 at every tolerance from 1e-7 to 1e-11, printed 13.7760: a little over half a unit off
  double work = ride.at[10000].energy[SECOND_E_STROKE] - ride.at[5000].energy[SECOND_E_STROKE];
  near(work, want[_i][2], 0.6e-4, source);
  second_ride_finish(&ride);
}
END_TEST

START_TEST(stroke_that_voids)
{
  struct second_ride ride;
  double lower = INFINITY, annulus = INFINITY, most = 0;
  stroke(0, 0.05, 4e-3, &ride);
  for (int i = 0; i < ride.n; i++) {
    lower = fmin(lower, ride.at[i].p[0][SECOND_LOWER]),
        annulus = fmin(annulus, ride.at[i].p[0][SECOND_ANNULUS]);
    most = fmax(most, ride.at[i].void_lower[0]);
  }
  printed(lower*1e-3, 3.11568, 1e-5);
  printed(annulus*1e-3, 10.1118, 1e-4);
  printed(most*1e6, 26.5615, 1e-4);
  printed(ride.at[10000].void_lower[0]*1e6, 21.4698, 1e-4);
  second_ride_finish(&ride);
}
END_TEST

int main(void)
{
  Suite *suite = suite_create("appendix_ride");
  TCase *cases = tcase_create("appendix_ride");
  tcase_set_timeout(cases, 60);
  tcase_add_loop_test(cases, edge_extremes, 0, 2);
  tcase_add_loop_test(cases, edge_energies, 0, 2);
  tcase_add_loop_test(cases, edge_measures, 0, 2);
  tcase_add_loop_test(cases, brake, 0, 2);
  tcase_add_loop_test(cases, bush_friction_decides_the_dive, 0, 2);
  tcase_add_loop_test(cases, stroke_second_cycle, 0, 2);
  tcase_add_test(cases, stroke_that_voids);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
