// The kernel's slopes, its elimination, its promises about bits, and how it fails.
#define DF_KERNEL test_kernel
#define DF_KERNEL_NAME "test"
#include "../../lib/ride/kernel.c"

#include "near.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <stdlib.h>

#include "dampfork/measure.h"
#include "ride/plan.h"

void appendix_a_scenario(struct df_scenario *, int valved);

// The example fork with an edge, a brake ramp and a rough road.
static void example(struct df_scenario *s, int valved)
{
  appendix_a_scenario(s, valved);
  s->road_n = 3;
  for (int i = 0; i < 3; i++) {
    struct df_road *road = &s->road[i];
    memset(road, 0, sizeof *road);
    road->contact = -1, road->window = NAN, road->repeat = 1, road->gap = 1, road->speed = 40/3.6;
  }
  strcpy(s->road[0].name, "edge"), s->road[0].kind = df_road_kind_find("edge"), s->road[0].keys[0] = 0.025;
  strcpy(s->road[1].name, "brake"), s->road[1].kind = df_road_kind_find("flat"), s->road[1].keys[0] = 100;
  s->road[1].has_brake = 1, s->road[1].brake = (struct df_brake){ 6, 0.25, 1.5, 0.1 };
  strcpy(s->road[2].name, "rough"), s->road[2].kind = df_road_kind_find("random"), s->road[2].speed = 20;
  const double keys[6] = { 2, 60, 1, 2, 0.01, 10 };
  memcpy(s->road[2].keys, keys, sizeof keys);
}

enum special { PLAIN, VALVED, THERMAL, INERTIA, COVERED, UNLIKE, HANDBOOK, SHIMMED, SPECIALS };
static void make_special(struct df_scenario *s, enum special what)
{
  example(s, what != PLAIN);
  struct df_side *side = &s->side[0];
  if (what == THERMAL) side->air.thermal_time = 0.5;
  if (what == INERTIA) side->valve.plate_mass = 5e-3;
  if (what == COVERED) {
    side->leg.tube_end_height = 0.03;
    for (int i = 0; i < side->rod.holes.compression_holes.n; i++) side->rod.holes.compression_holes.at[i].height = 0.1;
    side->rod.holes.rebound_holes.at[0].depth = 0.06;
  }
  if (what == HANDBOOK) s->run.law = DF_LAW_HANDBOOK;
  if (what == SHIMMED) {
    side->valve.shim_n = 2;
    side->valve.shims[0] = (struct df_shim){ 2, 0.020, 0.15e-3 }, side->valve.shims[1] = (struct df_shim){ 1, 0.016, 0.15e-3 };
    side->valve.shim_clamp = 0.009, side->valve.port_inner = 0.011, side->valve.spring_rate = 0, side->valve.stop = 1.2e-3;
  }
  s->side[1] = s->side[0];
  if (what == UNLIKE) s->unlike = 1, s->side[1].has_valve = 0, s->side[1].air.oil_level += 0.01;
}

// The right-hand side in the full layout, whatever the kernel packs.
static void rates(const struct ride_job *job, double t, const double *u, double *du, double *jacobian, double *by_time)
{
  static struct df_rater r;
  double y[JOB_STATES];
  rater_init(&r, job, y);
  r.block = BLOCK_FULL, r.states = U_LEGS + job->kind.legs*JOB_STRIDE;
  memset(du, 0, JOB_STATES*sizeof *du);
  double j[JOB_STATES*JOB_STATES], b[JOB_STATES];
  rater_rates(&r, t, u, du, jacobian ? j : NULL, jacobian ? b : NULL);
  if (!jacobian) return;
  memset(jacobian, 0, JOB_STATES*JOB_STATES*sizeof *jacobian);
  memset(by_time, 0, JOB_STATES*sizeof *by_time);
  for (int i = 0; i < r.states; i++) {
    by_time[i] = b[i];
    for (int n = 0; n < r.states; n++) jacobian[i*JOB_STATES + n] = j[i*r.states + n];
  }
}

static struct ride_plan *plan_of(const struct df_scenario *s, int road, struct ground *ground)
{
  struct ride_plan *plan = malloc(sizeof *plan);
  struct df_faults faults = { 0 };
  ck_assert_int_eq(df_ground_init(ground, &s->road[road], &s->tyre, &faults), DF_OK);
  enum df_status status = df_plan_init(plan, s, road, ground, NAN, &df_methods[0], 1e-4, df_kernel_best(), NULL, &faults);
  ck_assert_msg(status == DF_OK, "%s", faults.n ? faults.at[0].text : "?");
  return plan;
}

// A state in the middle of a ride: everything moves, no pressure sits at a kink.
static double busy_state(struct ride_plan *plan, double t, double *u)
{
  static double nodes[NODES_KEPT*NODE_SIZE];
  plan->job.nodes = nodes, plan->job.end = t;
  struct ride_job *job = &plan->job;
  df_kernel_best()->run(&job, 1);
  ck_assert_int_eq(job->status, DF_OK);
  memcpy(u, job->u, sizeof job->u);
  return t;
}

static const double typical[BLOCK_FULL + 1] = { 1e-7, 1e-7, 1e-7, 1e-2, 1e-5, 1e-2, 1e-2 };
static double size_of_state(int i)
{
  static const double motion[U_LEGS] = { 1e-4, 1e-2, 1e-4, 1e-2 };
  return i < U_LEGS ? motion[i] : typical[(i - U_LEGS)%JOB_STRIDE];
}

// Jacobian against differences of the right-hand side. Differences of fourth order; a kink (choking, the tyre's first millimetre) inside
// the stencil is avoided by the choice of time.
static void check_jacobian(enum special what, double t)
{
  struct df_scenario s;
  struct ground ground;
  double u[JOB_STATES], du[JOB_STATES], jacobian[JOB_STATES*JOB_STATES], by_time[JOB_STATES];
  make_special(&s, what);
  struct ride_plan *plan = plan_of(&s, 0, &ground);
  busy_state(plan, t, u);
  rates(&plan->job, t, u, du, jacobian, by_time);
  int seen = 0;
  for (int j = 0; j < JOB_STATES; j++) {
    double h = 3e-5*size_of_state(j), f[4][JOB_STATES], v[JOB_STATES];
    static const double step[4] = { -2, -1, 1, 2 };
    for (int k = 0; k < 4; k++) {
      memcpy(v, u, sizeof v);
      v[j] += step[k]*h;
      rates(&plan->job, t, v, f[k], NULL, NULL);
    }
    for (int i = 0; i < JOB_STATES; i++) {
      double difference = (f[0][i] - 8*f[1][i] + 8*f[2][i] - f[3][i])/(12*h), got = jacobian[i*JOB_STATES + j];
      double noise = 1e-9*fabs(du[i])/h + 1e-6*size_of_state(i)/size_of_state(j);
      near(got, difference, 2e-5*fabs(difference) + noise, "differences of fourth order of the same right-hand side");
      seen += difference != 0;
    }
  }
  ck_assert_int_gt(seen, 30);
  free(plan);
  df_ground_finish(&ground);
}

START_TEST(slopes_are_those_of_the_rates)
{
  static const double time[3] = { 0.11, 0.16, 0.21 }; // s: up the edge, over the top, rebound
  check_jacobian(_i%SPECIALS == HANDBOOK ? PLAIN : (enum special)(_i%SPECIALS), time[_i/SPECIALS]);
}
END_TEST

START_TEST(slope_with_time_is_that_of_the_rates)
{
  for (int road = 0; road < 2; road++) {
    struct df_scenario s;
    struct ground ground;
    double u[JOB_STATES], du[JOB_STATES], f[4][JOB_STATES], jacobian[JOB_STATES*JOB_STATES], by_time[JOB_STATES];
    example(&s, 1);
    struct ride_plan *plan = plan_of(&s, road, &ground);
    double t = busy_state(plan, road ? 0.2 : 0.11, u), h = 1e-6;
    rates(&plan->job, t, u, du, jacobian, by_time);
    static const double step[4] = { -2, -1, 1, 2 };
    for (int k = 0; k < 4; k++) rates(&plan->job, t + step[k]*h, u, f[k], NULL, NULL);
    for (int i = 0; i < JOB_STATES; i++) {
      double difference = (f[0][i] - 8*f[1][i] + 8*f[2][i] - f[3][i])/(12*h);
      near(by_time[i], difference, 1e-5*fabs(difference) + 1e-3, "differences of fourth order of the same right-hand side");
    }
    ck_assert_msg(fabs(by_time[U_S]) > 1, "road %d: %g", road, by_time[U_S]);
    free(plan);
    df_ground_finish(&ground);
  }
}
END_TEST

// (g I - J) u = r by the kernel's elimination against GSL's LU of the whole matrix.
START_TEST(elimination_solves_the_whole_system)
{
  struct df_scenario s;
  struct ground ground;
  double u[JOB_STATES], du[JOB_STATES], jacobian[JOB_STATES*JOB_STATES], by_time[JOB_STATES];
  make_special(&s, (enum special)_i);
  struct ride_plan *plan = plan_of(&s, 0, &ground);
  double t = busy_state(plan, 0.13, u);
  rates(&plan->job, t, u, du, jacobian, by_time);
  struct wagon w;
  memset(&w, 0, sizeof w);
  wagon_put(&w, &plan->job, 0);
  wagon_link(&w);
  lane oil[DF_SIDES] = { all(plan->job.oil[0]), all(plan->job.oil[1]) }, y[JOB_STATES], f[JOB_STATES], r[JOB_STATES];
  wagon_oil(&w, &plan->job.kind, oil);
  for (int i = 0; i < JOB_STATES; i++) y[i] = all(u[i]);
  struct front_eval e;
  struct front_factor factor;
  front_rates(&w.k, &plan->job.kind, all(t), y, BLOCK_FULL, 1, &e, f);
  int n = U_LEGS + plan->job.kind.legs*JOB_STRIDE, sign;
  for (double g = 1e2; g < 1e7; g *= 10) {
    gsl_matrix *a = gsl_matrix_alloc((size_t)n, (size_t)n);
    gsl_vector *b = gsl_vector_alloc((size_t)n), *x = gsl_vector_alloc((size_t)n);
    gsl_permutation *p = gsl_permutation_alloc((size_t)n);
    for (int i = 0; i < n; i++) {
      for (int j = 0; j < n; j++)                     // scaled by typical sizes: pivots then mean something
        gsl_matrix_set(a, (size_t)i, (size_t)j, ((i == j)*g - jacobian[i*JOB_STATES + j])*size_of_state(j)/size_of_state(i));
      double size = 0.3 + 0.1*i;
      gsl_vector_set(b, (size_t)i, size), r[i] = all(size*size_of_state(i));
    }
    gsl_linalg_LU_decomp(a, p, &sign);
    gsl_linalg_LU_solve(a, p, b, x);
    front_factor(&w.k, &plan->job.kind, &e, all(g), BLOCK_FULL, &factor);
    front_solve(&w.k, &plan->job.kind, &factor, BLOCK_FULL, r);
    double most = 0;
    for (int i = 0; i < n; i++) most = fmax(most, fabs(gsl_vector_get(x, (size_t)i)));
    for (int i = 0; i < n; i++) near(r[i][0]/size_of_state(i), gsl_vector_get(x, (size_t)i), 1e-7*most, "GSL's LU of the whole matrix");
    gsl_matrix_free(a);
    gsl_vector_free(b);
    gsl_vector_free(x);
    gsl_permutation_free(p);
  }
  free(plan);
  df_ground_finish(&ground);
}
END_TEST

// ---- bits ----
enum { CASES = 41, WANTED = 3 };
static void cases_of(struct df_scenario *s, struct df_case *cases, double values[][WANTED])
{
  for (int i = 0; i < CASES; i++) {
    example(&s[i], i%3 != 0);                          // plain and valved mixed
    for (int side = 0; side < 2; side++) {
      s[i].side[side].spring.rate *= 0.9 + 0.005*i, s[i].side[side].air.oil_level += 1e-4*i;
      if (i%3) s[i].side[side].valve.preload *= 0.5 + 0.02*i;
    }
    cases[i] = (struct df_case){ .scenario = &s[i], .values = values[i] };
  }
}

START_TEST(bits_hang_on_nothing)
{
  const char *kernel = df_kernel_name(_i);
  if (!kernel || !df_kernel_usable(_i)) return;
  struct df_scenario *s = malloc(CASES*sizeof *s);
  static double one[CASES][WANTED], other[CASES][WANTED];
  struct df_case cases[CASES];
  struct df_wanted wanted[WANTED] = { { 0, df_measure_find("sprung_acceleration_peak") }, { 2, df_measure_find("tyre_load_variation") },
                                      { 1, df_measure_find("dive_overshoot") } };
  struct df_ride_options options = { .kernel = kernel };
  cases_of(s, cases, one);
  ck_assert_int_eq(df_cases_run(cases, CASES, wanted, WANTED, &options, 1, NULL), DF_OK);
  for (int i = 0; i < CASES; i++) ck_assert_msg(cases[i].status == DF_OK && one[i][0] > 1, "%s", cases[i].reason);
  cases_of(s, cases, other);
  volatile int done = 0;
  ck_assert_int_eq(df_cases_run(cases, CASES, wanted, WANTED, &options, 3, &done), DF_OK);     // threads
  ck_assert_int_eq(done, CASES);
  ck_assert(!memcmp(one, other, sizeof one));
  memset(other, 0, sizeof other);
  for (int i = CASES - 1; i >= 0; i--) ck_assert_int_eq(df_cases_run(&cases[i], 1, wanted, WANTED, &options, 1, NULL), DF_OK);   // alone
  ck_assert(!memcmp(one, other, sizeof one));
  memset(other, 0, sizeof other);
  struct df_case turned[CASES];
  for (int i = 0; i < CASES; i++) turned[i] = cases[CASES - 1 - i];
  ck_assert_int_eq(df_cases_run(turned, CASES, wanted, WANTED, &options, 1, NULL), DF_OK);     // other lanes, other neighbours
  ck_assert(!memcmp(one, other, sizeof one));
  memset(other, 0, sizeof other);
  options.kernel = "baseline";
  ck_assert_int_eq(df_cases_run(cases, CASES, wanted, WANTED, &options, 1, NULL), DF_OK);      // another kernel
  ck_assert(!memcmp(one, other, sizeof one));
  free(s);
}
END_TEST

// Every trace and energy of one ride, kernel for kernel; many of it side by side, so that none is handed to a narrower one.
START_TEST(kernels_give_the_same_bits)
{
  enum { MANY = 5 };
  static struct ride_plan plan[MANY];
  static double nodes[MANY][NODES_KEPT*NODE_SIZE], first[80], x[80];
  struct df_scenario s;
  struct ground ground;
  make_special(&s, (enum special)_i);
  ck_assert_int_eq(df_ground_init(&ground, &s.road[0], &s.tyre, NULL), DF_OK);
  for (int k = 0; df_kernels[k]; k++) {
    if (!df_kernels[k]->able()) continue;
    struct ride_job *jobs[MANY];
    for (int i = 0; i < MANY; i++) {
      ck_assert_int_eq(df_plan_init(&plan[i], &s, 0, &ground, NAN, &df_methods[_i%2], 1e-3, df_kernels[k], NULL, NULL), DF_OK);
      jobs[i] = &plan[i].job, jobs[i]->nodes = nodes[i], jobs[i]->ledger = jobs[i]->full_nodes = 1;
    }
    df_kernels[k]->run(jobs, MANY);
    const struct ride_job *job = jobs[MANY - 1];
    ck_assert_int_eq(job->status, DF_OK);
    int n = 0;
    for (int j = 0; j < JOB_STATES; j++) x[n++] = job->u[j];
    for (int j = 0; j < DF_ENERGIES; j++) x[n++] = job->energy[j];
    for (int j = 0; j < DF_PEAKS; j++) x[n++] = job->peak[j].most, x[n++] = job->peak[j].least_at;
    ck_assert(n <= 80 && isfinite(x[0]) && job->peak[0].most > 0);
    if (k == 0) memcpy(first, x, sizeof x);
    else if (memcmp(first, x, (size_t)n*sizeof *x)) ck_abort_msg("%s differs from %s", df_kernels[k]->name, df_kernels[0]->name);
  }
  df_ground_finish(&ground);
}
END_TEST


START_TEST(failure_stays_in_its_lane)
{
  struct df_scenario *s = malloc(CASES*sizeof *s);
  static double one[CASES][WANTED], other[CASES][WANTED];
  struct df_case cases[CASES];
  struct df_wanted wanted[1] = { { 0, df_measure_find("travel_peak") } };
  cases_of(s, cases, one);
  ck_assert_int_eq(df_cases_run(cases, CASES, wanted, 1, NULL, 1, NULL), DF_OK);
  cases_of(s, cases, other);
  s[4].tyre.section_height = 0.012;                    // this wheel hits its rim
  ck_assert_int_eq(df_cases_run(cases, CASES, wanted, 1, NULL, 1, NULL), DF_OK);
  ck_assert_int_eq(cases[4].status, DF_TYRE_ON_RIM);
  ck_assert_ptr_nonnull(strstr(cases[4].reason, "edge"));
  ck_assert(isnan(other[4][0]));
  for (int i = 0; i < CASES; i++)
    if (i != 4) ck_assert(cases[i].status == DF_OK && one[i][0] == other[i][0]);
  free(s);
}
END_TEST

// Many forks over five edges: a step that meets a kink of the road may overflow inside; it must be refused, never taken.
START_TEST(no_step_is_taken_on_trust)
{
  enum { MANY = 160 };
  struct df_scenario *s = malloc(MANY*sizeof *s);
  struct df_case cases[MANY];
  double values[MANY];
  struct df_wanted wanted[1] = { { 0, df_measure_find("travel_peak") } };
  struct df_ride_options options = { .kernel = df_kernel_name(_i) };
  if (!options.kernel || !df_kernel_usable(_i)) { free(s); return; }
  for (int i = 0; i < MANY; i++) {
    example(&s[i], 1);
    s[i].road[0].repeat = 5, s[i].road[0].gap = 1.6, s[i].road[0].window = 10;
    for (int side = 0; side < 2; side++) s[i].side[side].spring.rate *= 0.9 + 0.2*i/MANY, s[i].side[side].valve.preload *= 1.1 - 0.2*i/MANY;
    cases[i] = (struct df_case){ .scenario = &s[i], .values = &values[i] };
  }
  ck_assert_int_eq(df_cases_run(cases, MANY, wanted, 1, &options, 2, NULL), DF_OK);
  for (int i = 0; i < MANY; i++) ck_assert_msg(cases[i].status == DF_OK && values[i] > 0.05 && values[i] < 0.12, "%d: %g %s", i, values[i], cases[i].reason);
  free(s);
}
END_TEST

// A road that turns into no number: the ride ends by name before it, with the last good state; no such step is taken.
START_TEST(no_number_is_refused)
{
  for (int k = 0; df_kernel_name(k); k++) {
    if (!df_kernel_usable(k)) continue;
    struct df_scenario s;
    struct ground ground;
    static double nodes[NODES_KEPT*NODE_SIZE];
    example(&s, 1);
    struct ride_plan *plan = plan_of(&s, 0, &ground);
    for (int i = ground.profile.n/2; i < ground.profile.n; i++) ground.node[i][0] = NAN;
    plan->job.nodes = nodes;
    df_plan_run(plan, df_kernel_find(df_kernel_name(k)));
    ck_assert_int_eq(plan->job.status, DF_STEP_TOO_SMALL);
    for (int i = 0; i < JOB_STATES; i++) ck_assert(isfinite(plan->job.u[i]));
    ck_assert(plan->job.failed_at > 0.05);
    free(plan);
    df_ground_finish(&ground);
  }
}
END_TEST

START_TEST(stop_flag_ends_a_ride)
{
  struct df_scenario s;
  struct df_ride ride;
  volatile int stop = 1;
  example(&s, 1);
  struct df_ride_options options = { .stop = &stop };
  ck_assert_int_eq(df_ride_run(&s, 2, &options, &ride, NULL), DF_INTERRUPTED);
  ck_assert(isfinite(ride.failed_at) && ride.reason[0]);
}
END_TEST

START_TEST(collapse_is_named)
{
  struct df_scenario s;
  struct df_ride ride;
  example(&s, 1);
  struct df_ride_options options = { .tolerance = 1e-15 };
  enum df_status status = df_ride_run(&s, 2, &options, &ride, NULL);
  ck_assert(status == DF_TOO_MANY_STEPS || status == DF_STEP_TOO_SMALL);
  ck_assert(isfinite(ride.failed_at));
  ck_assert_str_eq(ride.blame, "run.tolerance");
}
END_TEST

// ---- tolerance ----
START_TEST(default_tolerances_are_tight_enough)
{
  for (int valved = 0; valved < 2; valved++)
    for (int road = 0; road < 3; road++) {
      struct df_scenario s;
      struct df_ride ride[3];
      static const double tolerance[3] = { 1e-3, 1e-4, 1e-6 };
      example(&s, valved);
      for (int i = 0; i < 3; i++) {
        struct df_ride_options options = { .tolerance = tolerance[i], .channels = 1ull << DF_C_TRAVEL, .sample_step = 1e-3 };
        ck_assert_int_eq(df_ride_run(&s, road, &options, &ride[i], NULL), DF_OK);
      }
      for (int i = 0; i < 2; i++) {
        double sum = 0;
        for (int n = 0; n < ride[i].trace.n; n++) {
          double off = ride[i].trace.at[DF_C_TRAVEL][n] - ride[2].trace.at[DF_C_TRAVEL][n];
          sum += off*off;
        }
        near(sqrt(sum/ride[i].trace.n), 0, i ? 1e-5 : 5e-5, "the same ride at a tolerance of 1e-6");
        near_share(ride[i].peak[DF_P_ACCELERATION].most, ride[2].peak[DF_P_ACCELERATION].most, i ? 0.002 : 0.01, "the same at 1e-6");
      }
      for (int i = 0; i < 3; i++) df_ride_finish(&ride[i]);
    }
}
END_TEST

START_TEST(energies_close_at_the_default_tolerance)
{
  struct df_scenario s;
  make_special(&s, (enum special)(_i/2));
  struct df_ride ride;
  struct df_ride_options options = { .ledger = 1 };
  ck_assert_int_eq(df_ride_run(&s, _i%2, &options, &ride, NULL), DF_OK);
  near(ride.energy_residual, 0, 1e-4, "conservation of energy");
  ck_assert(ride.energy[DF_E_THROUGHPUT] > 10);
  df_ride_finish(&ride);
}
END_TEST

// ---- methods: orders of convergence with fixed steps, on a smooth nonlinear problem with time in it ----
// y' = cos(t)^3 - y^3 - sin t, y(0) = 1: y = cos t. Greatest error along the way.
static double fixed_steps(const struct df_method *m, int n)
{
  double h = 3.0/n, y = 1, t = 0, worst = 0;
  for (int step = 0; step < n; step++) {
    double k[STAGES_MAX], rate = 0;
    for (int s = 0; s < m->stages; s++) {
      double at = y, sum = 0, when = t + m->alpha[s]*h;
      for (int q = 0; q < s; q++) at += m->a[s][q]*k[q], sum += m->c[s][q]*k[q];
      if (s == 0 || m->fresh[s]) rate = pow(cos(when), 3) - at*at*at - sin(when);
      double slope = -3*y*y, by_time = -3*pow(cos(t), 2)*sin(t) - cos(t);
      k[s] = (rate + sum/h + m->d[s]*h*by_time)/(1/(m->gamma*h) - slope);
    }
    for (int s = 0; s < m->stages; s++) y += m->m[s]*k[s];
    t += h;
    worst = fmax(worst, fabs(y - cos(t)));
  }
  return worst;
}

START_TEST(methods_have_their_orders)
{
  for (int i = 0; i < df_method_count; i++) {
    const struct df_method *m = &df_methods[i];
    if (!m->stages) continue;
    double order = log2(fixed_steps(m, 100)/fixed_steps(m, 200));
    near(order, m->order, 0.25, m->source);
  }
}
END_TEST

int main(void)
{
  gsl_set_error_handler_off();
  Suite *suite = suite_create("kernel");
  TCase *cases = tcase_create("kernel");
  tcase_set_timeout(cases, 100);
  tcase_add_loop_test(cases, slopes_are_those_of_the_rates, 0, 3*SPECIALS);
  tcase_add_test(cases, slope_with_time_is_that_of_the_rates);
  tcase_add_loop_test(cases, elimination_solves_the_whole_system, 0, SPECIALS);
  tcase_add_loop_test(cases, bits_hang_on_nothing, 0, 3);
  tcase_add_loop_test(cases, kernels_give_the_same_bits, 0, SPECIALS);
  tcase_add_test(cases, failure_stays_in_its_lane);
  tcase_add_loop_test(cases, no_step_is_taken_on_trust, 0, 3);
  tcase_add_test(cases, no_number_is_refused);
  tcase_add_test(cases, stop_flag_ends_a_ride);
  tcase_add_test(cases, collapse_is_named);
  tcase_add_test(cases, default_tolerances_are_tight_enough);
  tcase_add_loop_test(cases, energies_close_at_the_default_tolerance, 0, 2*SPECIALS);
  tcase_add_test(cases, methods_have_their_orders);
  suite_add_tcase(suite, cases);
  return near_run(suite);
}
