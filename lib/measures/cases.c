// Many rides: cases in chunks, chunks over threads, rides of a chunk side by side in the kernel. A case's values do not depend on any of it.
#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "dampfork/measure.h"
#include "ride/plan.h"
#include "ride/trace.h"

enum { CHUNK = 32, LANES_MOST = 8 };           // cases; four fillings of the widest kernel, 3 MB of traces as a rule
static const size_t ROOM_MOST = 32u << 20;      // bytes of samples a worker holds, but for the rides that its lanes need
static const double many_tolerance = 1e-3; // 1

// What one road is ridden for.
struct road_want {
  int road;
  int n, *measure, *place;    // rows of df_measures, and where each stands in a case's values
  unsigned needs;
  int cold, heated;           // a second ride is needed
};

struct batch {
  struct df_case *cases;
  int n, wanted_n;
  struct road_want *road;
  int road_n;
  const struct df_kernel *kernel;
  const struct df_ride_options *options;
  struct ground *ground;      // of the first case, one a road
  int *ground_ready;
  atomic_int next;            // chunk
  atomic_int status;
  volatile int *done;
  pthread_mutex_t mutex;
};

struct slot {
  struct ride_plan plan;
  double nodes[NODES_KEPT*NODE_SIZE], *room;
  size_t room_n;
  struct df_trace trace;
  struct ground own;
  int has_own, ready;
  double shock[2];            // m/s2, cold and heated
};

struct worker { struct batch *batch; struct slot *slot; struct df_measure_workspace *workspace; double *values; };

static void fail(struct df_case *c, enum df_status status, const char *reason)
{
  if (c->status != DF_OK) return;
  c->status = status;
  snprintf(c->reason, sizeof c->reason, "%s", reason && *reason ? reason : df_status_text(status));
}

static enum df_status settle_start(const struct batch *b, const struct df_scenario *s, int road, const struct ground *ground, double second,
                                   const struct df_method *method, double tolerance, double *kelvin)
{
  *kelvin = NAN;
  if (second > 0) *kelvin = second;
  else if (second < 0 || (b->options->temperature <= 0 && s->run.start == DF_START_HEATED))
    *kelvin = df_heated_temperature(s, road, ground, method, tolerance, b->kernel);
  else if (b->options->temperature > 0) *kelvin = b->options->temperature;
  else if (s->run.start == DF_START_COLD) *kelvin = DF_COLD;
  return DF_OK;
}

// Make one ride ready. second: 0 as asked, > 0 this oil temperature, < 0 heated.
static enum df_status prepare(struct batch *b, struct slot *slot, const struct df_case *c, int at, double second, unsigned long long channels,
                              double step, struct df_faults *faults)
{
  const struct df_scenario *s = c->scenario;
  const struct df_ride_options *o = b->options;
  int road = b->road[at].road, row = o->method > 0 ? o->method - 1 : s->run.method;
  if (row < 0 || row >= df_method_count) return DF_UNKNOWN_NAME;
  double tolerance = o->tolerance > 0 ? o->tolerance : isfinite(s->run.tolerance) ? s->run.tolerance : many_tolerance;
  const struct ground *ground = &b->ground[at];
  slot->has_own = !b->ground_ready[at] || !df_ground_shared(b->cases[0].scenario, s, road);
  if (slot->has_own) {
    enum df_status status = df_ground_init(&slot->own, &s->road[road], &s->tyre, faults);
    if (status != DF_OK) { slot->has_own = 0; return status; }
    ground = &slot->own;
  }
  double kelvin;
  settle_start(b, s, road, ground, second, &df_methods[row], tolerance, &kelvin);
  enum df_status status = df_plan_init(&slot->plan, s, road, ground, kelvin, &df_methods[row], tolerance, b->kernel, o->stop, faults);
  if (status != DF_OK) return status;
  struct ride_job *job = &slot->plan.job;
  unsigned long long whole = (1ull << DF_C_WHOLE) - 1;
  job->nodes = slot->nodes;
  job->ledger = (b->road[at].needs & DF_NEEDS_LEDGER) != 0 && second == 0;
  job->full_nodes = job->ledger || (channels & ~whole) != 0 || !job->method->stages;
  return df_trace_lay(job, channels, step, &slot->trace, &slot->room, &slot->room_n);
}

static int alike(const struct ride_job *a, const struct ride_job *b)
{
  return a->method == b->method && a->full_nodes == b->full_nodes && !memcmp(&a->kind, &b->kind, sizeof a->kind);
}

// Run all ready slots: those of one kind together.
static void run_all(const struct batch *b, struct slot *slot, int n)
{
  struct ride_job *jobs[CHUNK];
  char taken[CHUNK] = { 0 };
  for (int i = 0; i < n; i++) {
    if (!slot[i].ready || taken[i]) continue;
    if (!slot[i].plan.job.method->stages) {
      df_plan_run(&slot[i].plan, b->kernel);
      continue;
    }
    int count = 0;
    for (int j = i; j < n; j++)
      if (slot[j].ready && !taken[j] && alike(&slot[i].plan.job, &slot[j].plan.job)) taken[j] = 1, jobs[count++] = &slot[j].plan.job;
    df_kernel_run(b->kernel, jobs, count);
  }
}

static void ready_all(struct batch *b, struct slot *slot, struct df_case *cases, int n, int at, double second, unsigned long long channels, double step)
{
  for (int i = 0; i < n; i++) {
    struct df_faults faults;
    faults.n = faults.errors = faults.lost = 0;
    enum df_status status = prepare(b, &slot[i], &cases[i], at, second, channels, step, &faults);
    slot[i].ready = status == DF_OK;
    if (status == DF_OK) continue;
    char reason[160];
    snprintf(reason, sizeof reason, "%.50s%s%.100s", faults.n ? faults.at[0].key : "", faults.n ? ": " : "", faults.n ? faults.at[0].text : "");
    fail(&cases[i], status, reason);
  }
}

static void release_all(struct slot *slot, int n)
{
  for (int i = 0; i < n; i++) {
    if (slot[i].has_own) df_ground_finish(&slot[i].own);
    slot[i].has_own = 0;
  }
}

static void report(const struct slot *slot, const struct df_case *c, int road, struct df_ride *ride)
{
  memset(ride, 0, sizeof *ride);
  df_plan_report(&slot->plan, c->scenario, road, ride);
  ride->trace = slot->trace;
  if (ride->trace.n) ride->trace.n = slot->plan.job.sample_done;
}

static void second_rides(struct worker *w, struct df_case *cases, int n, int at, double second, int which)
{
  struct batch *b = w->batch;
  int row = df_measure_find("shock_transmitted");
  ready_all(b, w->slot, cases, n, at, second, df_measures_channels(&row, 1, 1), df_measures_step(&row, 1));
  run_all(b, w->slot, n);
  for (int i = 0; i < n; i++) {
    w->slot[i].shock[which] = NAN;
    if (!w->slot[i].ready) continue;
    struct df_ride ride;
    report(&w->slot[i], &cases[i], b->road[at].road, &ride);
    struct df_measured measured = { .scenario = cases[i].scenario, .road = &cases[i].scenario->road[b->road[at].road], .ride = &ride };
    df_measures_evaluate(&row, 1, &measured, w->workspace, &w->slot[i].shock[which]);
  }
  release_all(w->slot, n);
}

// How many rides of one road go side by side: their samples shall not take more than ROOM_MOST unless the lanes need it.
static int side_by_side(struct worker *w, struct df_case *cases, int n, int at)
{
  const struct road_want *want = &w->batch->road[at];
  unsigned long long channels = df_measures_channels(want->measure, want->n, 2);
  if (n <= LANES_MOST) return n;
  ready_all(w->batch, w->slot, cases, 1, at, 0, channels, df_measures_step(want->measure, want->n));
  size_t one = w->slot[0].ready ? (size_t)w->slot[0].trace.n*(size_t)__builtin_popcountll(channels)*sizeof(double) : 0;
  release_all(w->slot, 1);
  return one*(size_t)n <= ROOM_MOST ? n : one*LANES_MOST >= ROOM_MOST ? LANES_MOST : (int)(ROOM_MOST/one);
}

static void ride_road(struct worker *w, struct df_case *cases, int n, int at)
{
  struct batch *b = w->batch;
  const struct road_want *want = &b->road[at];
  for (int i = 0; i < n; i++) w->slot[i].shock[0] = w->slot[i].shock[1] = NAN;
  if (want->cold) second_rides(w, cases, n, at, DF_COLD, 0);
  if (want->heated) second_rides(w, cases, n, at, -1, 1);
  ready_all(b, w->slot, cases, n, at, 0, df_measures_channels(want->measure, want->n, 2), df_measures_step(want->measure, want->n));
  run_all(b, w->slot, n);
  for (int i = 0; i < n; i++) {
    struct df_case *c = &cases[i];
    for (int j = 0; j < want->n; j++) c->values[want->place[j]] = NAN;
    if (!w->slot[i].ready) continue;
    struct df_ride ride;
    report(&w->slot[i], c, want->road, &ride);
    if (ride.status != DF_OK) { fail(c, ride.status, ride.reason); continue; }
    struct df_measured measured = { .scenario = c->scenario, .road = &c->scenario->road[want->road], .ride = &ride,
                                    .shock_cold = w->slot[i].shock[0], .shock_heated = w->slot[i].shock[1] };
    df_measures_evaluate(want->measure, want->n, &measured, w->workspace, w->values);
    for (int j = 0; j < want->n; j++) c->values[want->place[j]] = w->values[j];
  }
  release_all(w->slot, n);
}

static void static_values(struct worker *w, struct df_case *cases, int n, const struct road_want *want)
{
  for (int i = 0; i < n; i++) {
    struct df_statics statics;
    struct df_case *c = &cases[i];
    enum df_status status = df_statics_of(c->scenario, &statics, NULL);
    if (status != DF_OK) fail(c, status, NULL);
    struct df_measured measured = { .scenario = c->scenario, .statics = &statics };
    df_measures_evaluate(want->measure, want->n, &measured, w->workspace, w->values);
    for (int j = 0; j < want->n; j++) c->values[want->place[j]] = w->values[j];
  }
}

static void *work(void *data)
{
  struct worker *w = data;
  struct batch *b = w->batch;
  for (;;) {
    int first = atomic_fetch_add(&b->next, 1)*CHUNK;
    if (first >= b->n) break;
    if (b->options->stop && *b->options->stop) { atomic_store(&b->status, DF_INTERRUPTED); break; }
    int n = b->n - first < CHUNK ? b->n - first : CHUNK;
    for (int at = 0; at < b->road_n; at++) {
      if (b->road[at].road < 0) static_values(w, b->cases + first, n, &b->road[at]);
      else {
        int part = side_by_side(w, b->cases + first, n, at);
        for (int k = 0; k < n; k += part) ride_road(w, b->cases + first + k, n - k < part ? n - k : part, at);
      }
    }
    if (!b->done) continue;
    pthread_mutex_lock(&b->mutex);
    *b->done += n;
    pthread_mutex_unlock(&b->mutex);
  }
  return NULL;
}

// ---- set-up ----
static int is_named(int row, const char *name) { return !strcmp(df_measures[row].name, name); }

static enum df_status sort_wanted(struct batch *b, const struct df_wanted *wanted, int n)
{
  b->road = calloc((size_t)n + 1, sizeof *b->road);
  if (!b->road) return DF_NO_MEMORY;
  for (int i = 0; i < n; i++) {
    if (wanted[i].measure < 0 || wanted[i].measure >= df_measure_count) return DF_UNKNOWN_NAME;
    int at = 0, road = df_measure_is_static(wanted[i].measure) ? -1 : wanted[i].road;
    while (at < b->road_n && b->road[at].road != road) at++;
    struct road_want *want = &b->road[at];
    if (at == b->road_n) {
      b->road_n++, want->road = road;
      want->measure = calloc((size_t)n, sizeof *want->measure), want->place = calloc((size_t)n, sizeof *want->place);
      if (!want->measure || !want->place) return DF_NO_MEMORY;
    }
    want->measure[want->n] = wanted[i].measure, want->place[want->n++] = i;
    want->cold |= is_named(wanted[i].measure, "cold_ratio"), want->heated |= is_named(wanted[i].measure, "heated_ratio");
  }
  for (int at = 0; at < b->road_n; at++) b->road[at].needs = df_measures_needs(b->road[at].measure, b->road[at].n);
  return DF_OK;
}

static enum df_status lay_grounds(struct batch *b)
{
  b->ground = calloc((size_t)b->road_n + 1, sizeof *b->ground);
  b->ground_ready = calloc((size_t)b->road_n + 1, sizeof *b->ground_ready);
  if (!b->ground || !b->ground_ready) return DF_NO_MEMORY;
  const struct df_scenario *s = b->cases[0].scenario;
  for (int at = 0; at < b->road_n; at++) {
    if (b->road[at].road < 0) continue;
    if (b->road[at].road >= s->road_n) return DF_UNKNOWN_NAME;
    b->ground_ready[at] = df_ground_init(&b->ground[at], &s->road[b->road[at].road], &s->tyre, NULL) == DF_OK;
  }
  return DF_OK;
}

static void batch_finish(struct batch *b)
{
  for (int at = 0; b->road && at < b->road_n; at++) {
    free(b->road[at].measure);
    free(b->road[at].place);
    if (b->ground_ready && b->ground_ready[at]) df_ground_finish(&b->ground[at]);
  }
  free(b->road);
  free(b->ground);
  free(b->ground_ready);
}

static enum df_status worker_init(struct worker *w, struct batch *b)
{
  w->batch = b;
  w->slot = calloc(CHUNK, sizeof *w->slot);
  w->workspace = df_measure_workspace_create();
  w->values = calloc((size_t)b->wanted_n + 1, sizeof *w->values);
  return w->slot && w->workspace && w->values ? DF_OK : DF_NO_MEMORY;
}

static void worker_finish(struct worker *w)
{
  for (int i = 0; w->slot && i < CHUNK; i++) free(w->slot[i].room);
  free(w->slot);
  df_measure_workspace_destroy(w->workspace);
  free(w->values);
}

// The first worker is this thread; threads that cannot be had are done without.
static enum df_status run_workers(struct batch *b, int threads)
{
  enum { MOST = 64 };
  pthread_t thread[MOST];
  struct worker worker[MOST];
  int chunks = (b->n + CHUNK - 1)/CHUNK, started = 0, made = 0;
  if (threads > MOST) threads = MOST;
  if (threads > chunks) threads = chunks;
  enum df_status status = DF_OK;
  for (; made < threads && status == DF_OK; made++) {
    memset(&worker[made], 0, sizeof worker[made]);
    status = worker_init(&worker[made], b);
  }
  if (status == DF_OK) {
    for (int i = 1; i < threads; i++) {
      if (pthread_create(&thread[i], NULL, work, &worker[i]) != 0) break;
      started = i;
    }
    work(&worker[0]);
    for (int i = 1; i <= started; i++) pthread_join(thread[i], NULL);
    status = atomic_load(&b->status);
  }
  for (int i = 0; i < made; i++) worker_finish(&worker[i]);
  return status;
}

enum df_status df_cases_run(struct df_case *cases, int n, const struct df_wanted *wanted, int wanted_n, const struct df_ride_options *options,
                            int threads, volatile int *done)
{
  struct df_ride_options usual = { 0 };
  struct batch b = { .cases = cases, .n = n, .wanted_n = wanted_n, .options = options ? options : &usual, .done = done };
  if (n <= 0 || wanted_n <= 0) return DF_OK;
  for (int i = 0; i < n; i++) cases[i].status = DF_OK, cases[i].reason[0] = 0;
  b.kernel = b.options->kernel ? df_kernel_find(b.options->kernel) : df_kernel_best();
  if (!b.kernel) return DF_UNKNOWN_NAME;
  atomic_init(&b.next, 0);
  atomic_init(&b.status, DF_OK);
  pthread_mutex_init(&b.mutex, NULL);
  enum df_status status = sort_wanted(&b, wanted, wanted_n);
  if (status == DF_OK) status = lay_grounds(&b);
  if (status == DF_OK) status = run_workers(&b, threads < 1 ? 1 : threads);
  batch_finish(&b);
  pthread_mutex_destroy(&b.mutex);
  return status;
}
