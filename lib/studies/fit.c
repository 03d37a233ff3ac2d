// Learning values from measured data: what is free, what was known before, several starts, how far
// readings scatter.
#include "studies/fit_work.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_qrng.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/param.h"
#include "dampfork/study.h"
#include "scenario/text.h"

const char *const df_loss_names[4] = {"squares", "huber", "cauchy", NULL};
const char *const df_fit_status_names[3] = {"learned", "not_learned", "at_bound"};

static const double reach = 8;          // 1: a value may come out at an eighth to eight times as before
static const double offset_share = 2;   // 1: prior of a sensor's offset, in deviations of a reading
static const double loop_lag = 2e-3;    // s, prior of a lag within one bench
static const double log_lag = 20e-3;    // s, prior of two clocks laid on each other
#define MOVED_ALONG 0.1               // 1, of what was known before: a smaller move is none
#define TOLD_TOGETHER 0.1              // 1: correlations below change nothing that is seen
enum { ENOUGH_ROWS = 10, USUAL_STARTS = 4, RIDE_STARTS = 2 };

// ---- keys ----
// What data of a bench or garage can show; %s: where the holes lie.
static const char *const usual_keys[] = {
    "seals.sliding", "seals.bush_friction", "%srebound_holes[1].diameter",
    "%scompression_holes[1].diameter", "leg.check_valve.area", "leg.piston_ring.area",
    "valve.preload", "valve.bleed_holes[1].diameter", "spring.rate", "spring.preload",
    "spacer.length", "air.oil_level", "air.exponent", "braking.ramp", "tyre.damping"};

static const char *holes_of(const struct df_scenario *s)
{
  const struct df_rod *rod = &s->side[0].rod;
  if (!rod->has_as_found && !rod->has_opened) return "rod.";
  return rod->state == DF_ROD_OPENED && rod->has_opened ? "rod.opened." : "rod.as_found.";
}

// How widely a value was known before, in its unit. An assumed one by its range, a given one by how
// well it is measured: half of it is one deviation.
static double prior_of(const struct df_reading *reading, const struct df_value *value,
                       const struct df_factor *factors, int n)
{
  const struct df_param *row = value->row;
  double sure;
  if (df_reading_learned(reading, value->path, &sure) && value->si != 0)
    return sure/1.96*value->in_unit/value->si;
  for (int i = 0; i < n; i++)
    if (!strcmp(factors[i].path, value->path)) return 0.5*(factors[i].high - factors[i].low);
  if (row->likely_high > row->likely_low) return 0.5*(row->likely_high - row->likely_low);
  return value->in_unit != 0 ? 0.5*fabs(value->in_unit) : INFINITY;
}

static void bounds_of(struct df_fit_key *key)
{
  const struct df_param *row = key->row;
  double at = key->before, wide = isfinite(key->prior) ? 12*key->prior : INFINITY;
  double low = at > 0 ? at/reach : at < 0 ? reach*at : -wide;
  double high = at > 0 ? reach*at : at < 0 ? at/reach : wide;
  key->low = isfinite(row->low) ? fmax(row->low, fmin(low, at - wide)) : fmin(low, at - wide);
  key->high = isfinite(row->high) ? fmin(row->high, fmax(high, at + wide)) : fmax(high, at + wide);
  if (!isfinite(key->low)) key->low = at > 0 ? 0 : at - 1e3;
  if (!isfinite(key->high)) key->high = at + 1e3;
  if (row->low > 0 && at > 0) key->low = fmax(row->low, at/reach);
  if (at > 0) key->high = fmin(key->high, reach*at);
}

// SI = scale*value + shift: units are straight lines.
static int scale_of(struct fit_work *work, int j, const struct df_value *value)
{
  if (!strcmp(value->unit, "degC")) {
    work->scale[j] = 1, work->shift[j] = value->si - value->in_unit;
    return 1;
  }
  work->shift[j] = 0;
  if (value->in_unit != 0) {
    work->scale[j] = value->si/value->in_unit;
    return 1;
  }
  struct df_value other;
  struct df_reading *copy = df_reading_copy(work->reading);
  double try = fmin(1, 0.5*work->fit->key[j].high);
  int good = copy && !df_reading_set_in(copy, value->path, try, value->unit, NULL);
  if (good) {
    df_reading_value(copy, df_reading_find(copy, value->path), &other);
    work->scale[j] = other.si/try;
  }
  df_reading_destroy(copy);
  return good;
}

// 1: it can be changed, up or down, while all others stand. Some are fixed by others, as the
// spring's preload by the spacer.
static int movable(const struct df_reading *reading, const struct df_fit_key *key,
                   struct df_faults *why)
{
  double by = isfinite(key->prior) ? 0.5*key->prior : 0.05*fabs(key->before) + 1e-3*(key->high - key->low);
  for (int side = -1; side <= 1; side += 2) {
    double value = fmin(fmax(key->before + side*by, key->low), key->high);
    struct df_reading *copy = df_reading_copy(reading);
    int good = copy && value != key->before &&
               !df_reading_set_in(copy, key->path, value, key->unit, why);
    df_reading_destroy(copy);
    if (good) return 1;
  }
  return 0;
}

// DF_UNKNOWN_NAME with a fault, when the value cannot be learned.
static enum df_status key_add(struct fit_work *work, const char *path, int named,
                              const struct df_factor *factors, int factor_n, int no_prior,
                              struct df_faults *faults)
{
  struct df_fit *fit = work->fit;
  struct df_value value;
  int at = df_reading_find(work->reading, path);
  if (at < 0)
    return df_fault_add(faults, DF_UNKNOWN_NAME, path, "no such value in this scenario");
  df_reading_value(work->reading, at, &value);
  if ((value.row->form != DF_QUANTITY && value.row->form != DF_COUNT) || value.absent)
    return df_fault_add(faults, DF_UNKNOWN_NAME, path, "not a number of this scenario: cannot be "
                        "learned");
  if (fit->key_n == DF_FIT_KEYS_MAX)
    return df_fault_add(faults, DF_BAD_INPUT, path, "at most %d values at once", DF_FIT_KEYS_MAX);
  struct df_fit_key *key = &fit->key[fit->key_n];
  *key = (struct df_fit_key){.unit = value.row->unit, .row = value.row, .named = named,
                             .before = value.in_unit, .learned = value.in_unit};
  snprintf(key->path, sizeof key->path, "%s", path);
  key->prior = no_prior ? INFINITY : prior_of(work->reading, &value, factors, factor_n);
  bounds_of(key);
  double floor = isfinite(key->prior) ? key->prior : 0.1*(fabs(key->before) + 1e-6);
  work->step[fit->key_n] = 0.02*fmin(floor, fmax(fabs(key->before), 1e-3*floor));
  if (key->before == 0) work->step[fit->key_n] = 0.02*floor;
  struct df_faults *why = calloc(1, sizeof *why);
  int moves = why && movable(work->reading, key, why);
  if (why && !moves)
    df_fault_add(faults, DF_UNKNOWN_NAME, path, "cannot be learned alone%s%s", why->n ? ": " : "",
                 why->n ? why->at[0].text : "");
  free(why);
  if (!moves) return DF_UNKNOWN_NAME;
  if (!scale_of(work, fit->key_n, &value))
    return df_fault_add(faults, DF_UNKNOWN_NAME, path, "cannot be changed from 0");
  fit->key_n++;
  return DF_OK;
}

static enum df_status keys_prepare(struct fit_work *work, const struct df_fit_options *options,
                                   struct df_faults *faults)
{
  enum { FACTORS = 200 };
  struct df_factor *factors = calloc(FACTORS, sizeof *factors);
  if (!factors) return DF_NO_MEMORY;
  int n = df_factors_find(work->reading, factors, FACTORS);
  enum df_status status = DF_OK;
  for (int i = 0; i < options->free_n && !status; i++)
    status = key_add(work, options->free[i], 1, factors, n, options->no_prior, faults);
  const struct df_scenario *s = df_reading_scenario(work->reading);
  for (size_t i = 0; !options->free_n && i < sizeof usual_keys/sizeof *usual_keys; i++) {
    char path[96];
    if (!strncmp(usual_keys[i], "valve.", 6) && !s->side[0].has_valve) continue;
    if (s->side[0].leg.has_linear) continue;
    if (!strncmp(usual_keys[i], "%s", 2))
      snprintf(path, sizeof path, "%s%s", holes_of(s), usual_keys[i] + 2);
    else snprintf(path, sizeof path, "%s", usual_keys[i]);
    key_add(work, path, 0, factors, n, options->no_prior, NULL); // what is not there is left out
  }
  free(factors);
  if (!status && !work->fit->key_n)
    status = df_fault_add(faults, DF_UNKNOWN_NAME, "", "nothing to learn: name values with --free");
  return status;
}

// ---- sensors ----
static void sensor_add(struct fit_work *work, int set, int lag, double prior)
{
  struct df_fit *fit = work->fit;
  int j = fit->key_n + fit->sensor_n;
  fit->sensor[fit->sensor_n++] = (struct df_fit_sensor){.set = set, .lag = lag, .prior = prior};
  work->step[j] = 0.1*prior;
}

static void sensors_prepare(struct fit_work *work)
{
  for (int k = 0; k < work->model.set_n; k++) {
    const struct fit_set *set = &work->model.set[k];
    enum df_data_kind kind = set->data->kind;
    double off = offset_share*df_fit_usual(set, 0);
    if (kind == DF_DATA_BENCH || kind == DF_DATA_LOOP || kind == DF_DATA_SLOW ||
        (kind == DF_DATA_LOG && set->data->at[DF_D_TRAVEL]))
      sensor_add(work, k, 0, off);
    if (kind == DF_DATA_LOOP && set->sine.good) sensor_add(work, k, 1, loop_lag);
    if (kind == DF_DATA_LOG) sensor_add(work, k, 1, log_lag);
  }
  work->all = work->fit->key_n + work->fit->sensor_n;
}

// ---- room ----
static enum df_status room_make(struct fit_work *work)
{
  size_t n = (size_t)work->model.n, points = 2*(size_t)work->all + 1;
  work->measured = calloc(n, sizeof(double));
  work->deviation = calloc(n, sizeof(double));
  work->weight = calloc(n, sizeof(double));
  work->computed = calloc(n*points, sizeof(double));
  work->scenario = calloc(points, sizeof *work->scenario);
  work->fit->row = calloc(n, sizeof *work->fit->row);
  if (!work->measured || !work->deviation || !work->weight || !work->computed ||
      !work->scenario || !work->fit->row)
    return DF_NO_MEMORY;
  for (int k = 0; k < work->model.set_n; k++) {
    const struct fit_set *set = &work->model.set[k];
    for (int i = 0; i < set->n; i++) {
      work->measured[set->first + i] = df_fit_reading(set, i);
      work->deviation[set->first + i] = df_fit_usual(set, i);
      work->weight[set->first + i] = 1;
    }
  }
  for (int j = 0; j < work->fit->key_n; j++) work->value[j] = work->fit->key[j].before;
  return DF_OK;
}

static void room_free(struct fit_work *work)
{
  df_fit_model_finish(&work->model);
  free(work->measured);
  free(work->deviation);
  free(work->weight);
  free(work->computed);
  free(work->scenario);
}

// The model must have an answer for every row at the scenario's own values.
static enum df_status answer_check(struct fit_work *work, struct df_faults *faults)
{
  double *r = malloc((size_t)work->model.n*sizeof *r);
  if (!r) return DF_NO_MEMORY;
  int good = df_fit_residuals(work, 0, r);
  free(r);
  if (good) return DF_OK;
  if (work->status) return work->status;
  for (int k = 0; k < work->model.set_n; k++) {
    const struct fit_set *set = &work->model.set[k];
    for (int i = 0; i < set->n; i++)
      if (!isfinite(work->computed[set->first + i]))
        return df_fault_add(faults, DF_NO_SOLUTION, "", "%s, line %d: the model has no answer for "
                            "this row with the scenario's own values", set->data->name,
                            set->data->line ? set->data->line[i % set->data->n] : 0);
  }
  return DF_NO_SOLUTION;
}

// ---- a usual list is cut to what the data show ----
static enum df_status keys_cut(struct fit_work *work)
{
  struct df_fit *fit = work->fit;
  int n = work->model.n, p = work->all, kept = 0;
  double *slope = malloc((size_t)(n*p)*sizeof *slope);
  if (!slope || !df_fit_slopes(work, 0, 1, slope)) {
    free(slope);
    return work->status ? work->status : slope ? DF_NO_SOLUTION : DF_NO_MEMORY;
  }
  for (int j = 0; j < fit->key_n; j++) {
    double seen = 0;
    for (int i = 0; i < n; i++) seen += slope[i*p + j]*slope[i*p + j];
    if (seen > 1) {
      fit->key[kept] = fit->key[j], work->scale[kept] = work->scale[j];
      work->shift[kept] = work->shift[j], work->step[kept] = work->step[j];
      work->value[kept++] = work->value[j];
      continue;
    }
    struct df_fit_unseen *unseen = &fit->unseen[fit->unseen_n++];
    snprintf(unseen->path, sizeof unseen->path, "%s", fit->key[j].path);
  }
  for (int s = 0; s < fit->sensor_n; s++) work->step[kept + s] = work->step[fit->key_n + s];
  fit->key_n = kept, work->all = kept + fit->sensor_n;
  memset(work->value + kept, 0, (DF_FIT_ALL_MAX - (size_t)kept)*sizeof *work->value);
  free(slope);
  return DF_OK;
}

// ---- starts ----
static void start_put(struct fit_work *work, const double *u)
{
  for (int j = 0; j < work->all; j++) {
    work->value[j] = 0;
    if (j >= work->fit->key_n) continue;
    const struct df_fit_key *key = &work->fit->key[j];
    double wide = isfinite(key->prior) ? 2*key->prior : 0.5*fabs(key->before);
    double low = fmax(key->before - wide, key->low), high = fmin(key->before + wide, key->high);
    work->value[j] = low + (high - low)*(0.1 + 0.8*u[j]);
  }
}

static enum df_status starts_run(struct fit_work *work, int starts)
{
  struct df_fit *fit = work->fit;
  double best[DF_FIT_ALL_MAX], cost[64], least = INFINITY, u[DF_FIT_KEYS_MAX];
  gsl_qrng *points = gsl_qrng_alloc(gsl_qrng_sobol, (unsigned)fit->key_n);
  if (!points) return DF_NO_MEMORY;
  fit->cost_before = df_fit_cost(work);
  memcpy(best, work->value, sizeof best);
  for (int i = 0; i < starts && !work->status; i++) {
    if (i && gsl_qrng_get(points, u)) break;
    if (i) start_put(work, u);
    cost[i] = df_fit_descend(work);
    if (!(cost[i] < least)) continue;
    least = cost[i];
    memcpy(best, work->value, sizeof best);
  }
  gsl_qrng_free(points);
  memcpy(work->value, best, sizeof best);
  fit->cost = least, fit->starts = starts;
  fit->answers = 0;
  for (int i = 0; i < starts; i++) fit->answers += cost[i] < least + 2;
  return work->status ? work->status : isfinite(least) ? DF_OK : DF_NO_SOLUTION;
}

// ---- how far readings scatter ----
static double median_size(const double *r, int n, double *room)
{
  for (int i = 0; i < n; i++) room[i] = fabs(r[i]);
  gsl_sort(room, 1, (size_t)n);
  return 1.4826*gsl_stats_median_from_sorted_data(room, 1, (size_t)n);
}

static double neighbours(const double *r, int n)
{
  double top = 0, under = 0;
  for (int i = 1; i < n; i++) top += r[i]*r[i - 1];
  for (int i = 0; i < n; i++) under += r[i]*r[i];
  return under > 0 ? fmin(fmax(top/under, -0.95), 0.95) : 0;
}

// Deviations of the readings: from the residuals where nothing was said and rows are many, wider
// where what was said cannot be; neighbouring residuals that go together count as fewer. Returns 1
// when something changed.
static int scatter_take(struct fit_work *work, double *r, double *room, int last)
{
  int changed = 0;
  for (int k = 0; k < work->model.set_n; k++) {
    const struct fit_set *set = &work->model.set[k];
    struct df_fit_set *out = &work->fit->set[k];
    double *at = r + set->first, by = 1, rows = fmax(set->n - 0.5*work->all, 1);
    double sum = 0;
    for (int i = 0; i < set->n; i++) sum += fmin(at[i]*at[i], 16);
    int given = isfinite(set->data->accuracy);
    if (!given && set->n >= ENOUGH_ROWS) {
      by = fmax(median_size(at, set->n, room)*sqrt(set->n/fmax(set->n - work->all, 1.0)), 0.02);
      out->estimated = 1;
    } else if (sum > gsl_cdf_chisq_Qinv(0.005, rows) && last) by = sqrt(sum/rows);
    int ordered = set->data->kind == DF_DATA_LOOP || set->data->kind == DF_DATA_LOG ||
                  set->data->kind == DF_DATA_SLOW;
    out->correlation = neighbours(at, set->n);
    if (last && ordered && out->correlation > 0.2)
      by *= sqrt((1 + out->correlation)/(1 - out->correlation));
    for (int i = set->first; i < set->first + set->n; i++) work->deviation[i] *= by;
    changed |= fabs(by - 1) > 0.02;
  }
  return changed;
}

static enum df_status scatter_settle(struct fit_work *work)
{
  size_t n = (size_t)work->model.n;
  double *r = malloc(n*sizeof *r), *room = malloc(n*sizeof *room);
  enum df_status status = r && room ? DF_OK : DF_NO_MEMORY;
  for (int pass = 0; pass < 4 && !status; pass++) {
    if (!df_fit_residuals(work, 0, r)) status = work->status ? work->status : DF_NO_SOLUTION;
    else if (scatter_take(work, r, room, pass == 3)) {
      if (!isfinite(work->fit->cost = df_fit_descend(work)))
        status = work->status ? work->status : DF_NO_SOLUTION;
    } else if (pass < 2) pass = 2;
  }
  free(r);
  free(room);
  return status;
}

// ---- the answer ----
static void rows_fill(struct fit_work *work)
{
  struct df_fit *fit = work->fit;
  double *r = malloc((size_t)work->model.n*sizeof *r);
  fit->row_n = work->model.n;
  if (!r || !df_fit_residuals(work, 0, r)) fit->row_n = 0;
  for (int k = 0; k < work->model.set_n && fit->row_n; k++) {
    const struct fit_set *set = &work->model.set[k];
    struct df_fit_set *out = &fit->set[k];
    double sum = 0, wide = 0;
    out->name = set->data->name, out->n = set->n;
    out->unit = df_data_column_unit(df_fit_column(set, 0));
    for (int i = 0; i < set->n; i++) {
      int at = set->first + i;
      fit->row[at] = (struct df_fit_row){.set = k, .row = i % set->data->n + 1,
                                         .measured = work->measured[at],
                                         .computed = work->computed[at],
                                         .unit = df_data_column_unit(df_fit_column(set, i))};
      sum += r[at]*r[at]/set->n;
      if (i < set->data->n) wide += work->deviation[at]/set->data->n; // one unit a column
    }
    out->deviation = wide, out->misfit = sqrt(sum);
  }
  free(r);
}

// A value that the data show only together with others moves along with them: held back, it would
// push its error into theirs. One that they do not show at all is where it was.
static void answer_settle(struct fit_work *work)
{
  struct df_fit *fit = work->fit;
  for (int j = 0; j < fit->key_n; j++) {
    struct df_fit_key *key = &fit->key[j];
    key->moved = key->status == DF_FIT_NOT_LEARNED &&
                 fabs(key->learned - key->before) > MOVED_ALONG*df_fit_size(work, j);
    if (key->status != DF_FIT_NOT_LEARNED || key->moved) continue;
    key->learned = work->value[j] = key->before;
  }
}

// "learned={seals.sliding: 27 N +- 4 N, ...}": how sure the values are, for those who read the
// scenario next.
static char *sure_text(const struct fit_work *work)
{
  struct df_text text = {0};
  const char *comma = "";
  df_text_add(&text, "learned={");
  for (int j = 0; j < work->fit->key_n; j++) {
    const struct df_fit_key *key = &work->fit->key[j];
    const char *unit = strcmp(key->unit, "1") ? key->unit : "";
    const char *off = strcmp(unit, "degC") ? unit : "K"; // a difference
    if (key->status == DF_FIT_NOT_LEARNED) continue;
    df_text_add(&text, "%s'%s': %.9g%s%s +- %.3g%s%s", comma, key->path, key->learned,
                *unit ? " " : "", unit, 0.5*(key->high_95 - key->low_95), *unit ? " " : "", off);
    comma = ", ";
  }
  for (int i = 0; i < work->fit->key_n; i++)
    for (int j = 0; j < i; j++) {
      const struct df_fit_key *a = &work->fit->key[i], *b = &work->fit->key[j];
      double together = work->fit->correlation[i][j];
      if (a->status == DF_FIT_NOT_LEARNED || b->status == DF_FIT_NOT_LEARNED) continue;
      if (fabs(together) > TOLD_TOGETHER)
        df_text_add(&text, ", '%s, %s': %.3f", b->path, a->path, together);
    }
  df_text_add(&text, "}");
  return df_text_done(&text);
}

static enum df_status sure_write(struct fit_work *work, struct df_faults *faults)
{
  char *text = sure_text(work);
  const char *set[2] = {text, "expect=none"}; // what was expected was of the values before
  int n = df_reading_expect_count(work->fit->reading) ? 2 : 1;
  enum df_status status =
      text ? df_reading_override(work->fit->reading, set, n, faults) : DF_NO_MEMORY;
  free(text);
  return status;
}

static enum df_status answer_write(struct fit_work *work, struct df_faults *faults)
{
  const char *path[DF_FIT_KEYS_MAX];
  double si[DF_FIT_KEYS_MAX];
  int n = 0, learned = 0;
  for (int j = 0; j < work->fit->key_n; j++) {
    learned |= work->fit->key[j].status != DF_FIT_NOT_LEARNED;
    if (work->fit->key[j].status == DF_FIT_NOT_LEARNED && !work->fit->key[j].moved) continue;
    path[n] = work->fit->key[j].path;
    si[n++] = work->scale[j]*work->fit->key[j].learned + work->shift[j];
  }
  if (!learned) return DF_OK;
  enum df_status status = df_reading_set_all(work->fit->reading, n, path, si, faults);
  return status ? status : sure_write(work, faults);
}

static void refuse_or_not(struct df_fit *fit)
{
  int learned = 0, named_not = 0;
  for (int j = 0; j < fit->key_n; j++) {
    learned += fit->key[j].status != DF_FIT_NOT_LEARNED;
    named_not += fit->key[j].named && fit->key[j].status == DF_FIT_NOT_LEARNED;
  }
  fit->cannot_tell = !learned || named_not;
}

static enum df_status work_run(struct fit_work *work, const struct df_fit_options *options,
                               struct df_faults *faults)
{
  struct df_fit *fit = work->fit;
  enum df_status status = keys_prepare(work, options, faults);
  if (!status) sensors_prepare(work), status = room_make(work);
  if (status) return status;
  if (df_fit_suspect(&work->model, df_reading_scenario(work->reading), fit->mismatch_text,
                     sizeof fit->mismatch_text)) {
    fit->mismatch = 1;
    return DF_OK;
  }
  status = answer_check(work, faults);
  if (!status && !options->free_n) status = keys_cut(work);
  if (!status && !fit->key_n) {
    fit->cannot_tell = 1;
    rows_fill(work);
    return DF_OK;
  }
  int starts = options->starts ? options->starts
                               : df_fit_rides(&work->model) ? RIDE_STARTS : USUAL_STARTS;
  if (!status) status = starts_run(work, starts > 64 ? 64 : starts);
  if (!status) status = scatter_settle(work);
  if (!status) status = df_fit_tell(work);
  if (!status) answer_settle(work);
  if (!status) rows_fill(work), refuse_or_not(fit), status = answer_write(work, faults);
  return status;
}

enum df_status df_fit_run(struct df_fit *out, const struct df_reading *reading,
                          const struct df_data *const *data, int set_n,
                          const struct df_fit_options *options, struct df_faults *faults)
{
  struct df_fit_options usual = {0};
  memset(out, 0, sizeof *out);
  if (!options) options = &usual;
  if (set_n < 1 || set_n > DF_FIT_SETS_MAX)
    return df_fault_add(faults, DF_BAD_INPUT, "", "1 to %d files of data are wanted",
                        DF_FIT_SETS_MAX);
  struct fit_work *work = calloc(1, sizeof *work);
  if (!work) return DF_NO_MEMORY;
  work->fit = out, work->loss = options->loss, work->brief = options->brief, out->set_n = set_n;
  for (int k = 0; k < set_n; k++) out->set[k].name = data[k]->name;
  work->reading = df_reading_copy(reading), out->reading = df_reading_copy(reading);
  enum df_status status = work->reading && out->reading
                              ? df_fit_model_init(&work->model, reading, data, set_n, faults)
                              : DF_NO_MEMORY;
  work->model.threads = options->threads > 0 ? options->threads : 1;
  work->model.stop = options->stop;
  if (!status) status = work_run(work, options, faults);
  room_free(work);
  df_reading_destroy(work->reading);
  free(work);
  return status;
}

void df_fit_finish(struct df_fit *fit)
{
  free(fit->row);
  if (fit->reading) df_reading_destroy(fit->reading);
  fit->row = NULL, fit->reading = NULL;
}

// ---- the learned scenario ----
static void head_put(const struct df_fit *fit, struct df_text *text)
{
  df_text_add(text, "# Learned from");
  for (int k = 0; k < fit->set_n; k++) df_text_add(text, "%s %s", k ? "," : "", fit->set[k].name);
  df_text_add(text, "\n");
  for (int j = 0; j < fit->key_n; j++) {
    const struct df_fit_key *key = &fit->key[j];
    const char *unit = strcmp(key->unit, "1") ? key->unit : "";
    if (key->moved)
      df_text_add(text, "#   %s: %.6g %s, was %.6g; moved along with the others, not learned by "
                  "itself\n", key->path, key->learned, unit, key->before);
    if (key->status == DF_FIT_NOT_LEARNED) continue;
    df_text_add(text, "#   %s: %.6g %s, was %.6g, 95 %% between %.6g and %.6g%s\n", key->path,
                key->learned, unit, key->before, key->low_95, key->high_95,
                key->status == DF_FIT_AT_BOUND ? " (at the end of its range)" : "");
  }
}

char *df_fit_write(const struct df_fit *fit)
{
  struct df_text text = {0};
  char *body = df_reading_write(fit->reading, 0);
  if (!body) return NULL;
  head_put(fit, &text);
  df_text_add(&text, "%s", body);
  free(body);
  return df_text_done(&text);
}
