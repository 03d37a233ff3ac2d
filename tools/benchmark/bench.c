// Speed against error on rides of the shipped kind: our methods alone and in batches, GSL's, and CVODE over the same right-hand side.
// Everything is timed in one run on one thread; what counts is ratios at equal error, 0.05 mm rms of travel and 1 % of the peak.
#include <errno.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_version.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>

#include "cvode_ride.h"
#include "dampfork/measure.h"
#include "dampfork/reader.h"
#include "ride/plan.h"
#include "ride/trace.h"

extern const struct df_kernel df_kernel_scalar;
static const double travel_error = 5e-5, peak_error = 0.01, sample = 1e-3; // m, 1, s
enum { MEMBERS = 64, ROUNDS = 5 };

struct ride_case { const char *name, *file, *set[8]; };
static const struct ride_case cases[] = {
  { "plain_edges", "standard-small-holes.yaml",
    { "roads.bench={kind: edge, height: 25 mm, speed: 40 km/h, repeat: 5, gap: 1.5 s}", "roads.bench.window=9 s" } },
  { "valved_random", "standard-small-holes-valved.yaml",
    { "roads.bench={kind: random, class: C, speed: 72 km/h, length: 200 m, seed: 1}" } },
  { "voiding_washboard", "standard-small-holes.yaml",
    { "roads.bench={kind: washboard, height: 40 mm, wave_length: 0.6 m, length: 100 m, speed: 45 km/h}" } },
  { "brake_dive", "standard-small-holes-valved.yaml",
    { "roads.bench={kind: flat, speed: 90 km/h, brake: {deceleration: 6 m/s2, hold: 3 s}}", "seals.bush_friction=0.05" } },
};
enum { CASES = sizeof cases/sizeof *cases };

struct work { struct df_reading *reading; const struct df_scenario *scenario; int road; struct ground ground; int n; double end, *reference, peak; };

static double now(void)
{
  struct timespec t;
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9*(double)t.tv_nsec;
}

static void die(const char *what)
{
  fprintf(stderr, "bench: %s\n", what);
  exit(4);
}

struct member { struct ride_plan plan; struct df_trace trace; double nodes[NODES_KEPT*NODE_SIZE], *room; size_t room_n; };

static void prepare(struct member *m, const struct work *w, const struct df_scenario *s, const struct df_method *method, double tolerance,
                    const struct df_kernel *kernel)
{
  struct df_faults faults = { 0 };
  if (df_plan_init(&m->plan, s, w->road, &w->ground, NAN, method, tolerance, kernel, NULL, &faults) != DF_OK)
    die(faults.n ? faults.at[0].text : "a ride cannot be prepared");
  m->plan.job.nodes = m->nodes;
  m->plan.job.full_nodes = method->stages ? 0 : 1;
  if (df_trace_lay(&m->plan.job, 1ull << DF_C_TRAVEL, sample, &m->trace, &m->room, &m->room_n) != DF_OK) die("out of memory");
}

struct error { double travel, peak; };
static struct error error_of(const struct work *w, const double *travel, double peak)
{
  double sum = 0;
  for (int i = 0; i < w->n; i++) sum += (travel[i] - w->reference[i])*(travel[i] - w->reference[i]);
  return (struct error){ sqrt(sum/w->n), fabs(peak/w->peak - 1) };
}
static int good(struct error e) { return e.travel <= travel_error && e.peak <= peak_error; }

static void row(FILE *out, const char *ride, const char *method, const char *kernel, int batch, double tolerance, double ms, struct error e, long steps)
{
  fprintf(out, "%s,%s,%s,%d,%.1e,%.6g,%.6g,%.4g,%ld,%d\n", ride, method, kernel, batch, tolerance, ms, e.travel*1e3, e.peak*100, steps, good(e));
  fflush(out);
}

// One of our rides, alone: best of a few rounds, ms.
static double single(FILE *out, const char *name, const struct work *w, const struct df_method *method, double tolerance, const struct df_kernel *kernel,
                     int *fits)
{
  static struct member m;
  double best = INFINITY;
  for (int round = 0; round < ROUNDS; round++) {
    prepare(&m, w, w->scenario, method, tolerance, kernel);
    double t = now();
    df_plan_run(&m.plan, kernel);
    best = fmin(best, now() - t);
    if (m.plan.job.status != DF_OK) { *fits = 0; return INFINITY; }
  }
  struct error e = error_of(w, m.trace.at[DF_C_TRAVEL], m.plan.job.peak[DF_P_ACCELERATION].most);
  row(out, name, method->name, kernel->name, 1, tolerance, best*1e3, e, m.plan.job.effort.steps);
  *fits = good(e);
  return best*1e3;
}

// Members of a batch differ in spring, level and preload by up to 10 %; the first is the ride itself.
static struct df_scenario *spread_of(const struct work *w)
{
  struct df_scenario *s = malloc(MEMBERS*sizeof *s);
  if (!s) die("out of memory");
  for (int i = 0; i < MEMBERS; i++) {
    s[i] = *w->scenario;
    double a = i*0.618033988749895, b = i*0.754877666246693, share[2] = { 0.9 + 0.2*(a - floor(a)), 0.9 + 0.2*(b - floor(b)) };
    for (int side = 0; side < DF_SIDES && i > 0; side++) {
      s[i].side[side].spring.rate *= share[0], s[i].side[side].air.oil_level *= share[1];
      if (s[i].side[side].has_valve) s[i].side[side].valve.preload *= share[0];
    }
  }
  return s;
}

static double batch(FILE *out, const char *name, const struct work *w, const struct df_scenario *s, struct member *m, const struct df_method *method,
                    double tolerance, const struct df_kernel *kernel, int *fits)
{
  struct ride_job *jobs[MEMBERS];
  double best = INFINITY;
  for (int round = 0; round < ROUNDS - 2; round++) {
    for (int i = 0; i < MEMBERS; i++) prepare(&m[i], w, &s[i], method, tolerance, kernel), jobs[i] = &m[i].plan.job;
    double t = now();
    kernel->run(jobs, MEMBERS);
    best = fmin(best, now() - t);
  }
  struct error e = error_of(w, m[0].trace.at[DF_C_TRAVEL], m[0].plan.job.peak[DF_P_ACCELERATION].most);
  long steps = 0;
  for (int i = 0; i < MEMBERS; i++) steps += m[i].plan.job.effort.steps;
  *fits = good(e);
  row(out, name, method->name, kernel->name, MEMBERS, tolerance, best*1e3/MEMBERS, e, steps/MEMBERS);
  return best*1e3/MEMBERS;
}

static double cvode(FILE *out, const char *name, const struct work *w, double tolerance, int exact, int *fits)
{
  static struct member m;
  prepare(&m, w, w->scenario, &df_methods[0], 1e-4, df_kernel_best());
  struct ride_job *job = &m.plan.job;
  double stop[256], *travel = malloc((size_t)w->n*sizeof *travel), best = INFINITY;
  int stops = 0;
  for (int i = 0; i < job->break_n; i++) stop[stops++] = job->breaks[i];
  for (int i = 0; i < job->feature_n && stops < 200; i++) stop[stops++] = df_manoeuvre_time(&m.plan.manoeuvre, job->feature[i] - job->front.start_place);
  for (int i = 1; i < stops; i++)
    for (int j = i; j > 0 && stop[j] < stop[j - 1]; j--) { double x = stop[j]; stop[j] = stop[j - 1], stop[j - 1] = x; }
  double most = job->rough_to > job->rough_from ? job->grain/job->front.speed : 0.05;    // the same largest step as ours
  struct cvode_options o = { tolerance, exact, most, stop, stops };
  struct cvode_result r = { 0 };
  int flag = 0;
  for (int round = 0; round < 3; round++) {
    flag = cvode_ride(job, &df_kernel_scalar, &o, sample, w->n, travel, &r);
    best = fmin(best, r.seconds);
    if (flag || best > 2) break;
  }
  struct error e = error_of(w, travel, r.peak);
  if (!flag) row(out, name, exact ? "cvode_exact" : "cvode_differences", "scalar", 1, tolerance, best*1e3, e, r.steps);
  *fits = !flag && good(e);
  free(travel);
  return best*1e3;
}

static void load(struct work *w, const struct ride_case *c, const char *folder, struct df_units *units)
{
  char path[512];
  struct df_faults faults = { 0 };
  int n = 0;
  while (c->set[n]) n++;
  snprintf(path, sizeof path, "%s/%s", folder, c->file);
  struct df_reading_options options = { .set = c->set, .set_n = n };
  if (df_reading_create(&w->reading, units, path, &options, &faults) != DF_OK) die(faults.n ? faults.at[0].text : path);
  w->scenario = df_reading_scenario(w->reading);
  w->road = -1;
  for (int i = 0; i < w->scenario->road_n; i++) if (!strcmp(w->scenario->road[i].name, "bench")) w->road = i;
  if (w->road < 0) die("no road called bench");
  if (df_ground_init(&w->ground, &w->scenario->road[w->road], &w->scenario->tyre, &faults) != DF_OK) die(faults.at[0].text);
  static struct member m;
  prepare(&m, w, w->scenario, &df_methods[0], 1e-8, df_kernel_best());
  df_plan_run(&m.plan, df_kernel_best());
  if (m.plan.job.status != DF_OK) die(df_status_text(m.plan.job.status));
  w->n = m.trace.n, w->end = m.plan.job.end, w->peak = m.plan.job.peak[DF_P_ACCELERATION].most;
  w->reference = malloc((size_t)w->n*sizeof *w->reference);
  memcpy(w->reference, m.trace.at[DF_C_TRAVEL], (size_t)w->n*sizeof *w->reference);
  free(m.room);
  m.room = NULL, m.room_n = 0;
}

static const double ladder[] = { 1e-1, 3e-2, 1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 3e-6, 1e-6, 1e-7 };
enum { RUNGS = sizeof ladder/sizeof *ladder };

struct best { double ours, cvode, batch[3]; };

static struct best measure(FILE *out, const struct ride_case *c, struct work *w, int full)
{
  struct best best = { INFINITY, INFINITY, { INFINITY, INFINITY, INFINITY } };
  struct member *m = calloc(MEMBERS, sizeof *m);
  struct df_scenario *s = spread_of(w);
  for (int i = 0; i < RUNGS; i++) {
    int fits;
    double ms;
    for (int row_ = 0; row_ < 2; row_++) {
      if (ladder[i] < 1e-5) continue;
      ms = single(out, c->name, w, &df_methods[row_], ladder[i], df_kernel_best(), &fits);
      if (fits) best.ours = fmin(best.ours, ms);
      for (int k = 0; df_kernels[k]; k++) {
        if (!df_kernels[k]->able() || ladder[i] < 1e-4) continue;
        ms = batch(out, c->name, w, s, m, &df_methods[row_], ladder[i], df_kernels[k], &fits);
        int place = !strcmp(df_kernels[k]->name, "avx512") ? 0 : !strcmp(df_kernels[k]->name, "avx2") ? 1 : 2;
        if (fits) best.batch[place] = fmin(best.batch[place], ms);
      }
    }
    for (int exact = 0; exact < 2; exact++) {
      ms = cvode(out, c->name, w, ladder[i], exact, &fits);
      if (fits) best.cvode = fmin(best.cvode, ms);
    }
    if (!full || ladder[i] > 1e-3) continue;
    for (int row_ = 2; row_ < df_method_count; row_++) single(out, c->name, w, &df_methods[row_], ladder[i], df_kernel_best(), &fits);
  }
  for (int i = 0; i < MEMBERS; i++) free(m[i].room);
  free(m);
  free(s);
  return best;
}

// The right-hand side of one kernel (NULL: of each) over and over.
static void spin(FILE *out, const struct ride_case *c, const struct work *w, const char *only)
{
  static struct member m;
  prepare(&m, w, w->scenario, &df_methods[0], 1e-3, df_kernel_best());
  for (int k = 0; df_kernels[k]; k++) {
    if (!df_kernels[k]->able() || (only && strcmp(only, df_kernels[k]->name))) continue;
    double best = INFINITY;
    volatile double sum = 0;
    for (int round = 0; round < 5; round++) {
      double t = now();
      sum += df_kernels[k]->spin(&m.plan.job, 20000);
      best = fmin(best, now() - t);
    }
    double ns = best/20000/df_kernels[k]->lanes*1e9;
    fprintf(out, "%s,right_hand_side_ns_a_lane,%s,%d,,%.4g,,,,\n", c->name, df_kernels[k]->name, df_kernels[k]->lanes, ns);
    printf("  right-hand side %-9s %6.1f ns a lane\n", df_kernels[k]->name, ns);
  }
}

// ---- how cost grows: with the length of the road, the number of rows, and threads ----
static double wall(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9*(double)t.tv_nsec;
}

// Seconds for `rows` settings over the roads of a scenario with the measures that a choice looks at.
static double many(const struct df_scenario *base, int rows, int threads, double *value)
{
  static const char *const names[] = { "travel_peak", "shock_transmitted", "tyre_load_variation", "dive_overshoot", "airborne_time" };
  enum { N = sizeof names/sizeof *names };
  struct df_scenario *s = malloc((size_t)rows*sizeof *s);
  struct df_case *c = malloc((size_t)rows*sizeof *c);
  int wanted_n = 0;
  struct df_wanted *wanted = malloc((size_t)(base->road_n*N)*sizeof *wanted);
  for (int road = 0; road < base->road_n; road++)
    for (int i = 0; i < N; i++) wanted[wanted_n++] = (struct df_wanted){ road, df_measure_find(names[i]) };
  double *values = malloc((size_t)(rows*wanted_n)*sizeof *values);
  if (!s || !c || !wanted || !values) die("out of memory");
  for (int i = 0; i < rows; i++) {
    s[i] = *base;
    double a = i*0.618033988749895, share = 0.9 + 0.2*(a - floor(a));
    for (int side = 0; side < DF_SIDES; side++) s[i].side[side].spring.rate *= share, s[i].side[side].valve.preload *= 2 - share;
    c[i] = (struct df_case){ .scenario = &s[i], .values = values + i*wanted_n };
  }
  double t = wall();
  if (df_cases_run(c, rows, wanted, wanted_n, NULL, threads, NULL) != DF_OK) die("many rides");
  t = wall() - t;
  for (int i = 0; i < rows; i++) if (c[i].status != DF_OK) die(c[i].reason);
  *value = values[0];
  free(s), free(c), free(wanted), free(values);
  return t;
}

static struct df_reading *roads_of(const char *folder, struct df_units *units, const char *const *set, int n)
{
  char path[512];
  struct df_faults faults = { 0 };
  struct df_reading *reading;
  snprintf(path, sizeof path, "%s/standard-small-holes-valved.yaml", folder);
  struct df_reading_options options = { .set = set, .set_n = n };
  if (df_reading_create(&reading, units, path, &options, &faults) != DF_OK) die(faults.n ? faults.at[0].text : path);
  return reading;
}

static void growth(FILE *out, const char *folder, struct df_units *units)
{
  double value, time[4], x[4];
  printf("how cost grows (random road, valved, with measures):\n");
  for (int i = 0; i < 4; i++) {
    char road[160];
    x[i] = 200 << i;
    snprintf(road, sizeof road, "roads={long: {kind: random, class: C, speed: 72 km/h, length: %g m, seed: 1}}", x[i] + 10);
    const char *set[] = { road };
    struct df_reading *reading = roads_of(folder, units, set, 1);
    time[i] = many(df_reading_scenario(reading), 64, 1, &value);
    fprintf(out, "growth,length_%g_m,%s,64,,%.6g,,,,\n", x[i], df_kernel_best()->name, time[i]*1e3);
    df_reading_destroy(reading);
  }
  printf("  with length: exponent %.3f (200 to 1600 m)\n", log(time[3]/time[0])/log(8));
  const char *set[] = { "roads={a: {kind: random, class: C, speed: 72 km/h, length: 100 m, seed: 1}}" };
  struct df_reading *reading = roads_of(folder, units, set, 1);
  for (int i = 0; i < 4; i++) {
    time[i] = many(df_reading_scenario(reading), 64 << i, 1, &value);
    fprintf(out, "growth,rows_%d,%s,%d,,%.6g,,,,\n", 64 << i, df_kernel_best()->name, 64 << i, time[i]*1e3);
  }
  printf("  with rows: exponent %.3f (64 to 512)\n", log(time[3]/time[0])/log(8));
  double two = many(df_reading_scenario(reading), 512, 2, &value);
  printf("  two threads: %.2f times\n", time[3]/two);
  fprintf(out, "growth,threads_2,%s,512,,%.6g,,,,\n", df_kernel_best()->name, two*1e3);
  df_reading_destroy(reading);
}

// Ten thousand settings over six roads of 10 s: measured on a part, on all cores.
static void season(FILE *out, const char *folder, struct df_units *units, int full)
{
  const char *set[] = { "roads={a: {kind: random, class: C, speed: 108 km/h, length: 300 m}, b: {kind: random, class: B, speed: 108 km/h, length: 300 m}, "
                        "c: {kind: edge, height: 25 mm, speed: 40 km/h, repeat: 5, gap: 1.6 s, window: 10 s}, "
                        "d: {kind: haversine, height: 100 mm, length: 4 m, speed: 30 km/h, repeat: 4, gap: 1.5 s, window: 10 s}, "
                        "e: {kind: flat, speed: 90 km/h, brake: {deceleration: 6 m/s2, hold: 3 s}, window: 10 s}, "
                        "f: {kind: washboard, height: 20 mm, wave_length: 0.6 m, length: 120 m, speed: 45 km/h}}" };
  struct df_reading *reading = roads_of(folder, units, set, 1);
  int rows = full ? 10000 : 640;
  double value, t = many(df_reading_scenario(reading), rows, 2, &value);
  printf("%d settings over six roads of 10 s, with measures, two threads: %.2f s; 10,000 take %.1f s\n", rows, t, t*10000/rows);
  fprintf(out, "season,six_roads,%s,%d,,%.6g,,,,\n", df_kernel_best()->name, rows, t*1e3);
  df_reading_destroy(reading);
}

static void machine(FILE *out)
{
  char line[256], model[128] = "unknown";
  FILE *info = fopen("/proc/cpuinfo", "r");
  while (info && fgets(line, sizeof line, info))
    if (sscanf(line, "model name : %127[^\n]", model) == 1) break;
  if (info) fclose(info);
  fprintf(out, "# machine = %s\n# compiler = %s\n# gsl = %s\n# kernel = %s\n", model, __VERSION__, gsl_version, df_kernel_best()->name);
  fprintf(out, "ride,method,kernel,batch,tolerance_1,time_ms,travel_error_mm,peak_error_percent,steps,fits\n");
  printf("%s, gcc %s, kernel %s\n", model, __VERSION__, df_kernel_best()->name);
}

int main(int argc, char **argv)
{
  int full = 0;
  const char *folder = "scenarios", *path = NULL, *only = NULL;
  for (int i = 1; i < argc; i++) {
    if (!strcmp(argv[i], "--full")) full = 1;
    else if (!strcmp(argv[i], "--scenarios") && i + 1 < argc) folder = argv[++i];
    else if (!strcmp(argv[i], "--spin") && i + 1 < argc) only = argv[++i];
    else if (!strcmp(argv[i], "-o") && i + 1 < argc) path = argv[++i];
    else { fprintf(stderr, "usage: bench [--full | --spin KERNEL] [--scenarios DIR] [-o FILE.csv]\n"); return 2; }
  }
  gsl_set_error_handler_off();
  FILE *out = fopen(path ? path : "/dev/null", "w");
  if (!out) { fprintf(stderr, "bench: %s: %s\n", path, strerror(errno)); return 5; }
  machine(out);
  struct df_faults faults = { 0 };
  struct df_units *units = df_reading_units_create(&faults);
  if (!units) die("units of measure");
  double sum[4] = { 0 }, least = INFINITY;
  for (int i = 0; i < CASES; i++) {
    struct work w = { 0 };
    load(&w, &cases[i], folder, units);
    if (only) {
      spin(out, &cases[i], &w, only);
      df_ground_finish(&w.ground), free(w.reference), df_reading_destroy(w.reading);
      continue;
    }
    printf("%s: %.1f s of road\n", cases[i].name, w.end);
    struct best b = measure(out, &cases[i], &w, full);
    printf("  CVODE %.3g ms; ours alone %.3g ms (%.1f times); batch avx512 %.3g (%.0f), avx2 %.3g (%.0f), baseline %.3g ms (%.0f)\n", b.cvode, b.ours,
           b.cvode/b.ours, b.batch[0], b.cvode/b.batch[0], b.batch[1], b.cvode/b.batch[1], b.batch[2], b.cvode/b.batch[2]);
    spin(out, &cases[i], &w, NULL);
    sum[0] += log(b.cvode/b.ours), least = fmin(least, b.cvode/b.ours);
    for (int k = 0; k < 3; k++) sum[k + 1] += log(b.cvode/b.batch[k]);
    df_ground_finish(&w.ground);
    free(w.reference);
    df_reading_destroy(w.reading);
  }
  if (!only)
    printf("geometric mean against CVODE: alone %.1f (least %.1f); batch avx512 %.0f, avx2 %.0f, baseline %.0f\n", exp(sum[0]/CASES), least,
         exp(sum[1]/CASES), exp(sum[2]/CASES), exp(sum[3]/CASES));
  if (!only) growth(out, folder, units);
  if (!only) season(out, folder, units, full);
  struct rusage usage;
  getrusage(RUSAGE_SELF, &usage);
  printf("memory at most %.0f MiB\n", usage.ru_maxrss/1024.0);
  df_reading_units_destroy(units);
  if (fclose(out) != 0) { fprintf(stderr, "bench: the table could not be written\n"); return 5; }
  return 0;
}
