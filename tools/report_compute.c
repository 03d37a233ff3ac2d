// What a report rests on: rides of both forks, steady curves with their band, settings of the
// slider.
#include "report_work.h"

#include "jobs.h"
#include "out_gnuplot.h"
#include "ride_work.h"
#include "say.h"
#include "shown.h"

#include "scenario/params.h"
#include "studies/variants.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { BAND_SAMPLES = 80 }; // ends of nine tenths to about a twentieth of the band; our choice
static const double speed_most = 3; // m/s, of a sharp edge
static const double lead = 0.2, follow = 1.3; // s, shown before the brake and after the edge
static const double pixels = 430, tall = 190; // of the picture's panel: paths are thinned to them
static const double seen = 0.25;              // pixels, less is not seen

const char *const report_part_names[REPORT_PARTS] = {"spring", "air",  "friction", "valve",
                                                     "check",  "ring", "holes",    "cone and stop"};

static int road_find(const struct df_scenario *s, const char *name)
{
  for (int i = 0; i < s->road_n; i++)
    if (!strcmp(s->road[i].name, name)) return i;
  return -1;
}

// ---- paths ----
// How far point i is from the line between two others, pixels.
static double off_line(const double *x, const double *y, int a, int b, int i, double sx, double sy)
{
  double dx = sx * (x[b] - x[a]), dy = sy * (y[b] - y[a]), length = hypot(dx, dy);
  double px = sx * (x[i] - x[a]), py = sy * (y[i] - y[a]);
  return length > 0 ? fabs(px * dy - py * dx) / length : hypot(px, py);
}

// Keep what is seen (Ramer 1972, Douglas and Peucker 1973): points farther than `seen` from the line
// through the ones kept.
static void keep_seen(const double *x, const double *y, int n, double sx, double sy, char *keep)
{
  int stack[64][2], top = 0;
  memset(keep, 0, (size_t)n);
  if (n < 1) return;
  keep[0] = keep[n - 1] = 1;
  stack[top][0] = 0, stack[top++][1] = n - 1;
  while (top) {
    int a = stack[--top][0], b = stack[top][1], far = -1;
    double most = seen;
    for (int i = a + 1; i < b; i++) {
      double off = off_line(x, y, a, b, i, sx, sy);
      if (off > most) most = off, far = i;
    }
    if (far < 0) continue;
    keep[far] = 1;
    // The longer part waits below: the stack stays under the logarithm of n.
    int cut[3] = {a, far, b}, longer = far - a > b - far ? 0 : 1;
    for (int k = 0; k < 2; k++) {
      int p = k ? !longer : longer;
      stack[top][0] = cut[p], stack[top++][1] = cut[p + 1];
    }
  }
}

static int path_take(struct report_path *path, const struct df_ride *ride, int channel, double from,
                     double to, double scale, double span)
{
  const struct df_trace *t = &ride->trace;
  const double *at = t->at[channel];
  int first = (int)fmax(0, ceil((from - t->start) / t->step)), last = t->n - 1;
  if (t->n < 2 || !at) return 0;
  last = (int)fmin(last, floor((to - t->start) / t->step));
  int n = last - first + 1;
  if (n < 2) return 0;
  double *x = malloc((size_t)n * sizeof *x), *y = malloc((size_t)n * sizeof *y);
  char *keep = malloc((size_t)n);
  if (x && y && keep) {
    for (int i = 0; i < n; i++) x[i] = t->start + (first + i) * t->step, y[i] = scale * at[first + i];
    keep_seen(x, y, n, pixels / (to - from), tall / span, keep);
    for (int i = 0; i < n; i++)
      if (keep[i]) x[path->n] = x[i], y[path->n++] = y[i];
  }
  free(keep);
  if (!x || !y || !keep) return free(x), free(y), EXIT_OUTPUT;
  path->x = x, path->y = y;
  return 0;
}

// ---- rides ----
static double legs_sum(const struct df_ride *ride, int channel, int i)
{
  double sum = 0;
  for (int leg = 0; leg < ride->legs; leg++) {
    const double *at = ride->trace.at[channel + leg * DF_C_PER_LEG];
    sum += at ? at[i] : NAN;
  }
  return ride->legs == 1 ? ride->leg_count * sum : sum;
}

// Forces at one moment. The oil's force is shared out as the paths share the power of a steady leg
// that moves as fast.
static void parts_of(const struct report *r, int fork, const struct df_ride *ride, int i,
                     double part[REPORT_PARTS])
{
  static const int group[DF_PATHS] = {6, 6, 4, 4, 5, 3, 3, 3};
  const struct df_trace *t = &ride->trace;
  struct df_steady steady;
  double oil = legs_sum(ride, DF_C_DAMPING, i), all = 0;
  part[0] = legs_sum(ride, DF_C_SPRING, i), part[1] = legs_sum(ride, DF_C_AIR, i);
  part[2] = legs_sum(ride, DF_C_FRICTION, i);
  part[7] = legs_sum(ride, DF_C_CONE, i) + legs_sum(ride, DF_C_STOP, i);
  for (int p = 3; p < 7; p++) part[p] = 0;
  int bad = df_leg_steady(r->c.leg[fork], t->at[DF_C_TRAVEL][i], t->at[DF_C_VELOCITY][i], &steady);
  for (int p = 0; p < DF_PATHS && !bad; p++) all += steady.power[p];
  if (bad || !(all > 0)) part[6] = oil; // no steady flow to share by
  else
    for (int p = 0; p < DF_PATHS; p++) part[group[p]] += oil * steady.power[p] / all;
}

static void road_ride(void *arg, int i)
{
  struct report *r = arg;
  int road = i / 2, fork = i % 2;
  struct report_ride *out = &r->ride[road][fork];
  struct df_ride_options options = r->c.options;
  options.channels = ~0ull, options.sample_step = DF_FINE_SAMPLE_STEP, options.ledger = 1;
  df_ride_run(&r->fork[fork], road, &options, &out->ride, NULL);
  const struct df_trace *t = &out->ride.trace;
  out->fastest = out->ride.peak[DF_P_VELOCITY].most;
  for (int p = 0; p < REPORT_PARTS; p++) out->part[p] = NAN;
  double when = out->ride.peak[DF_P_ACCELERATION].most_at;
  long at = isfinite(when) && t->n ? lround((when - t->start) / t->step) : -1;
  if (out->ride.status == DF_OK && at >= 0 && at < t->n)
    parts_of(r, fork, &out->ride, (int)at, out->part);
  memcpy(out->energy, out->ride.energy, sizeof out->energy);
  if (road == r->dive) return;
  df_ride_finish(&out->ride);
}

static void window_of(struct report *r)
{
  const struct df_ride *ride = &r->ride[r->dive][0].ride;
  double touch = fmax(ride->moments.touch, r->ride[r->dive][1].ride.moments.touch);
  r->from = ride->moments.brake_start - lead;
  r->to = touch + follow;
  if (!(r->from >= ride->trace.start)) r->from = ride->trace.start;
  double end = ride->trace.start + (ride->trace.n - 1) * ride->trace.step;
  if (!(r->to <= end)) r->to = end;
}

static int rides_run(struct report *r)
{
  jobs_run(jobs_wanted(r->call), 2 * r->fork[0].road_n, road_ride, r, "rides");
  if (stop_signal) return stop_status();
  if (r->dive >= 0) window_of(r);
  return 0;
}

// ---- curves ----
// More points where a valve has its knee.
static void speeds_fill(double speed[REPORT_SPEEDS])
{
  const int down = 20, slow = 26;
  for (int i = 0; i < down; i++) speed[i] = -1.0 * pow((down - i) / (double)down, 1.5);
  for (int i = 0; i < slow; i++) speed[down + i] = 0.4 * i / (slow - 1);
  for (int i = down + slow; i < REPORT_SPEEDS; i++)
    speed[i] = 0.4 + (speed_most - 0.4) * (i - down - slow + 1) / (REPORT_SPEEDS - down - slow);
}

void report_curve(const struct df_scenario *s, const double *speed, double *force)
{
  struct df_leg_model *leg = df_leg_create(s, 0, NULL);
  struct df_steady at;
  for (int i = 0; i < REPORT_SPEEDS; i++)
    force[i] = leg && !df_leg_steady(leg, 0.5 * s->side[0].leg.travel, speed[i], &at)
                   ? at.damping
                   : NAN;
  df_leg_destroy(leg);
}

struct band_work {
  struct report *r;
  int fork;
  double *force; // samples times speeds
};

static void sample_curve(void *arg, int i)
{
  struct band_work *w = arg;
  struct df_scenario *s = malloc(sizeof *s);
  double *force = w->force + (size_t)i * REPORT_SPEEDS;
  const struct df_reading *const *reading = w->r->c.reading;
  for (int k = 0; k < REPORT_SPEEDS; k++) force[k] = NAN;
  if (s && df_variant_drawn(reading[w->fork], reading[0], 1, i, s) == DF_OK)
    report_curve(s, w->r->curve[w->fork].speed, force);
  free(s);
}

// The middle nine tenths at each speed.
static void band_ends(struct report_curve *curve, const double *force)
{
  double at[BAND_SAMPLES];
  for (int k = 0; k < REPORT_SPEEDS; k++) {
    size_t n = 0;
    for (int i = 0; i < BAND_SAMPLES; i++)
      if (isfinite(force[i * REPORT_SPEEDS + k])) at[n++] = force[i * REPORT_SPEEDS + k];
    gsl_sort(at, 1, n);
    curve->low[k] = n ? gsl_stats_quantile_from_sorted_data(at, 1, n, 0.05) : NAN;
    curve->high[k] = n ? gsl_stats_quantile_from_sorted_data(at, 1, n, 0.95) : NAN;
  }
}

static int curves_run(struct report *r)
{
  double *force = malloc(BAND_SAMPLES * REPORT_SPEEDS * sizeof *force);
  if (!force) return EXIT_OUTPUT;
  for (int fork = 0; fork < 2 && !stop_signal; fork++) {
    struct report_curve *curve = &r->curve[fork];
    speeds_fill(curve->speed);
    report_curve(&r->fork[fork], curve->speed, curve->force);
    struct band_work work = {r, fork, force};
    jobs_run(jobs_wanted(r->call), BAND_SAMPLES, sample_curve, &work, NULL);
    band_ends(curve, force);
  }
  free(force);
  return stop_signal ? stop_status() : 0;
}

// ---- what is told of each road ----
static void tell(struct report *r, int road, const char *measure)
{
  int m = measure ? df_measure_find(measure) : -1;
  for (int i = 0; i < r->told_n; i++)
    if (r->told[i].road == road && r->told[i].measure == m) return;
  if (m >= 0 && r->told_n < REPORT_TOLD_MAX) r->told[r->told_n++] = (struct df_wanted){road, m};
}

static int told_find(const struct report *r, const char *road, const char *measure)
{
  int at = road_find(&r->fork[0], road), m = df_measure_find(measure);
  for (int i = 0; i < r->told_n; i++)
    if (r->told[i].road == at && r->told[i].measure == m) return i;
  return -1;
}

static void told_make(struct report *r)
{
  for (int road = 0; road < r->fork[0].road_n; road++) {
    const char *first, *second, *name = r->fork[0].road[road].name;
    for (int q = 0; q < QUESTIONS; q++)
      if (!strcmp(questions[q].road, name)) tell(r, road, questions[q].measure);
    ride_matter(&r->fork[0].road[road], &first, &second);
    tell(r, road, first);
    tell(r, road, second);
  }
  r->figure[0] = told_find(r, "brake-dry", "dive_overshoot");
  r->figure[1] = told_find(r, "edge-15", "shock_transmitted");
  r->figure[2] = told_find(r, "edge-40", "shock_transmitted");
}

// ---- slider ----
struct df_scenario *report_variant(const struct report *r, int fork, const char *path, double value,
                                   const char *unit, char *reason, size_t size)
{
  struct df_faults *faults = calloc(1, sizeof *faults);
  struct df_reading *copy = df_reading_copy(r->c.reading[fork]);
  struct df_scenario *s = malloc(sizeof *s);
  enum df_status status = faults && copy && s ? DF_OK : DF_NO_MEMORY;
  if (!status) status = df_reading_set_all_in(copy, 1, &path, &value, &unit, faults);
  if (!status) df_variant_base(s, df_reading_scenario(copy), &r->fork[0]);
  else snprintf(reason, size, "%s", faults && faults->n ? faults->at[0].text : df_status_text(status));
  df_reading_destroy(copy);
  free(faults);
  if (!status) return s;
  free(s);
  return NULL;
}

static void setting_run(void *arg, int i)
{
  struct report *r = arg;
  struct report_setting *at = &r->setting[i];
  struct df_scenario *s =
      report_variant(r, 1, r->key, at->value, r->unit, at->reason, sizeof at->reason);
  if (!s) return;
  report_curve(s, r->curve[1].speed, at->force);
  if (r->dive >= 0) {
    struct df_ride ride = {.status = DF_OK};
    struct df_ride_options options = r->c.options;
    options.channels = 1ull << DF_C_TRAVEL | 1ull << DF_C_ROAD | 1ull << DF_C_ACCELERATION;
    options.sample_step = DF_FINE_SAMPLE_STEP;
    df_ride_run(s, r->dive, &options, &ride, NULL);
    double travel = 1e3 * s->side[0].leg.travel;
    path_take(&at->travel, &ride, DF_C_TRAVEL, r->from, r->to, 1e3, travel);
    path_take(&at->shock, &ride, DF_C_ACCELERATION, r->from, r->to, 1, 30);
    path_take(&at->road, &ride, DF_C_ROAD, r->from, r->to, 1e3, 100);
    df_ride_finish(&ride);
  }
  free(s);
}

static int settings_measure(struct report *r)
{
  struct df_case cases[REPORT_SETTINGS_MAX];
  struct df_scenario *s[REPORT_SETTINGS_MAX] = {NULL};
  int n = 0, of[REPORT_SETTINGS_MAX];
  char reason[160];
  for (int i = 0; i < r->setting_n; i++) {
    struct report_setting *at = &r->setting[i];
    at->told = calloc((size_t)r->told_n, sizeof *at->told);
    if (!at->told) return EXIT_OUTPUT;
    s[n] = report_variant(r, 1, r->key, at->value, r->unit, reason, sizeof reason);
    if (s[n]) cases[n] = (struct df_case){.scenario = s[n], .values = at->told}, of[n++] = i;
  }
  enum df_status status = df_cases_run(cases, n, r->told, r->told_n, &r->c.options,
                                       jobs_wanted(r->call), NULL);
  for (int k = 0; k < n; k++) {
    if (status == DF_OK && cases[k].status != DF_OK)
      snprintf(r->setting[of[k]].reason, sizeof r->setting->reason, "%s", cases[k].reason);
    free(s[k]);
  }
  return stop_signal ? stop_status() : status ? status_exit("--slide", status, NULL) : 0;
}

// The value of the scenario in the slider's unit.
static double now_of(const struct report *r)
{
  struct df_value value;
  int at = df_reading_find(r->c.reading[1], r->key);
  if (at < 0) return NAN;
  df_reading_value(r->c.reading[1], at, &value);
  if (strcmp(r->unit, "turn")) return df_value_in(units_get(), value.si, r->unit);
  return value.si / r->pitch;
}

static int by_value(const void *a, const void *b)
{
  double x = ((const struct report_setting *)a)->value,
         y = ((const struct report_setting *)b)->value;
  return (x > y) - (x < y);
}

// The values, with the one of the scenario among them.
static void settings_take(struct report *r, const struct df_vary *vary)
{
  double now = now_of(r), near = 1e-6;
  int found = 0;
  for (int i = 0; i < vary->n; i++) {
    int same = fabs(vary->value[i] - now) <= near * fmax(1, fabs(now));
    r->setting[r->setting_n++].value = same ? now : vary->value[i];
    found |= same;
  }
  if (!found && isfinite(now) && r->setting_n < REPORT_SETTINGS_MAX)
    r->setting[r->setting_n++].value = now;
  qsort(r->setting, (size_t)r->setting_n, sizeof *r->setting, by_value);
  r->now = -1;
  for (int i = 0; i < r->setting_n; i++)
    if (r->setting[i].value == now) r->now = i;
}

static int slide_read(struct report *r)
{
  const struct df_scenario *s = &r->fork[1];
  const char *text = option_text(&r->call->options, OPT_SLIDE, NULL);
  if (!text && !s->side[0].has_valve) return 0;
  struct df_vary vary;
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  char usual[64];
  double turns = s->side[0].valve.preload / s->side[0].valve.adjuster_pitch;
  snprintf(usual, sizeof usual, "valve.preload=0:%.0f:0.25 turn",
           fmin(10, fmax(5, ceil(turns) + 2)));
  enum df_status status = df_vary_init(&vary, r->c.reading[1], text ? text : usual,
                                       REPORT_SETTINGS_MAX - 1, faults);
  if (status) {
    const struct df_fault *f = &faults->at[0];
    if (text)
      say_error("--slide %s: %s%s%s", text, faults->n ? f->key : "",
                faults->n && *f->key ? ": " : "", faults->n ? f->text : df_status_text(status));
    free(faults);
    return text ? EXIT_USAGE : 0; // a valve that is not set by turns has no slider
  }
  free(faults);
  snprintf(r->key, sizeof r->key, "%s", vary.path), snprintf(r->unit, sizeof r->unit, "%s", vary.unit);
  r->pitch = strcmp(r->unit, "turn") ? NAN : s->side[0].valve.adjuster_pitch;
  settings_take(r, &vary);
  df_vary_finish(&vary);
  return 0;
}

static int slide_run(struct report *r)
{
  int status = slide_read(r);
  if (status || !r->setting_n) return status;
  status = settings_measure(r);
  if (!status) jobs_run(jobs_wanted(r->call), r->setting_n, setting_run, r, "settings");
  return stop_signal ? stop_status() : status;
}

// ---- the whole ----
static void labels_make(struct report *r)
{
  const struct df_scenario *scenario[2] = {&r->fork[0], &r->fork[1]};
  char brief[2][SHORT_NAME];
  short_names(scenario, r->c.name, 2, brief);
  for (int i = 0; i < 2; i++) snprintf(r->label[i], sizeof r->label[i], "%s", brief[i]);
}

int report_compute(struct report *r)
{
  const struct df_scenario *first = df_reading_scenario(r->c.reading[0]);
  r->fork = malloc(2 * sizeof *r->fork);
  if (!r->fork) return EXIT_OUTPUT;
  for (int i = 0; i < 2; i++)
    df_variant_base(&r->fork[i], df_reading_scenario(r->c.reading[i]), first);
  r->dive = road_find(first, "edge-in-dive");
  labels_make(r);
  told_make(r);
  int status = rides_run(r);
  if (!status) status = curves_run(r);
  if (!status) status = slide_run(r);
  if (!status) status = report_study(r);
  return status;
}

static void path_finish(struct report_path *path)
{
  free(path->x);
  free(path->y);
}

void report_finish(struct report *r)
{
  for (int road = 0; road < DF_ROADS_MAX; road++)
    for (int i = 0; i < 2; i++) df_ride_finish(&r->ride[road][i].ride);
  for (int i = 0; i < r->setting_n; i++) {
    free(r->setting[i].told);
    path_finish(&r->setting[i].travel), path_finish(&r->setting[i].shock);
    path_finish(&r->setting[i].road);
  }
  free(r->fork);
  compare_finish(&r->c);
}
