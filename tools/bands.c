// Bands of what is not known: every hole law, or samples of all that is in doubt.
#include "bands.h"

#include "jobs.h"
#include "out_json.h"
#include "out_text.h"
#include "say.h"

#include "dampfork/compare.h"
#include "measures/targets.h"
#include "studies/variants.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { LAWS = 3 };

static int samples_of(const struct call *call)
{
  return (int)option_number(&call->options, OPT_SPREAD, 0);
}

int bands_asked(const struct call *call)
{
  return samples_of(call) > 0 || !strcmp(option_text(&call->options, OPT_LAW, ""), "all");
}

const char *bands_of(const struct call *call, char *out, unsigned size)
{
  int n = samples_of(call);
  if (n) snprintf(out, size, "nine tenths of %d samples of all that is in doubt", n);
  else snprintf(out, size, "three published laws of the holes");
  return out;
}

static unsigned long long seed_of(const struct call *call)
{
  return (unsigned long long)option_number(&call->options, OPT_SEED, 1);
}

// Variant i: a law, or a sample.
static enum df_status variant(const struct call *call, const struct df_reading *reading, int i,
                              struct df_scenario *out)
{
  int differs;
  if (samples_of(call)) return df_variant_drawn(reading, reading, seed_of(call), i, out);
  return df_variant(reading, reading, i, out, &differs);
}

// Ends of a band: all of it for laws, the middle nine tenths of samples. Sorts the values.
static void ends(const struct call *call, double *value, int n, double *low, double *high)
{
  int good = 0;
  for (int i = 0; i < n; i++)
    if (isfinite(value[i])) value[good++] = value[i];
  gsl_sort(value, 1, (size_t)good);
  double cut = samples_of(call) ? 0.05 : 0;
  *low = good ? gsl_stats_quantile_from_sorted_data(value, 1, (size_t)good, cut) : NAN;
  *high = good ? gsl_stats_quantile_from_sorted_data(value, 1, (size_t)good, 1 - cut) : NAN;
}

// ---- curves ----
enum { BAND_SPEEDS = 4 };
static const double band_speed[BAND_SPEEDS] = {0.3, 1, 3, -0.3}; // m/s

static enum df_status forces(const struct call *call, const struct df_reading *reading,
                             double travel, int n, double *value)
{
  struct df_scenario *s = malloc(sizeof *s);
  enum df_status status = s ? DF_OK : DF_NO_MEMORY;
  for (int i = 0; i < n && status == DF_OK && !stop_signal; i++) {
    status = variant(call, reading, i, s);
    struct df_leg_model *leg = status == DF_OK ? df_leg_create(s, 0, NULL) : NULL;
    for (int j = 0; j < BAND_SPEEDS; j++) {
      struct df_steady at;
      value[j * n + i] =
          leg && df_leg_steady(leg, travel, band_speed[j], &at) == DF_OK ? at.damping : NAN;
    }
    df_leg_destroy(leg);
  }
  free(s);
  return status;
}

int bands_curves_say(const struct call *call, const struct loaded *loaded, double travel)
{
  int n = samples_of(call) ? samples_of(call) : LAWS;
  double *value = calloc((size_t)(n * BAND_SPEEDS), sizeof *value);
  if (!value) return EXIT_OUTPUT;
  enum df_status status = forces(call, loaded->reading, travel, n, value);
  char text[400] = "", part[80], of[80];
  for (int j = 0; j < BAND_SPEEDS && status == DF_OK; j++) {
    double low, high;
    char a[24], b[24];
    ends(call, value + j * n, n, &low, &high);
    snprintf(part, sizeof part, "%s%s to %s N at %g m/s", j ? ", " : "", figure(a, low),
             figure(b, high), band_speed[j]);
    strncat(text, part, sizeof text - strlen(text) - 1);
  }
  free(value);
  if (stop_signal) return stop_status();
  if (status != DF_OK) return status_exit(loaded->path, status, NULL);
  paragraph(2, "%s by %s: %s.", loaded->name, bands_of(call, of, sizeof of), text);
  return 0;
}

// ---- ride ----
struct bands {
  const struct ride_work *work;
  struct df_wanted *wanted;
  int n;
  double *value, *low, *high;
};

static int wanted_make(struct bands *b)
{
  const struct ride_work *work = b->work;
  b->wanted = calloc((size_t)(df_measure_count * work->n + 1), sizeof *b->wanted);
  if (!b->wanted) return EXIT_OUTPUT;
  for (int r = 0; r < work->n; r++)
    for (int m = 0; m < df_measure_count; m++) {
      if (df_measure_is_static(m) ||
          df_measures[m].needs & (DF_NEEDS_TWO_RIDES | DF_NEEDS_LEDGER | DF_NEEDS_FORCES))
        continue;
      if (df_measures[m].better == DF_NEITHER && strcmp(df_measures[m].name, "travel_peak"))
        continue;
      b->wanted[b->n++] =
          (struct df_wanted){(int)(work->outcome[r].road - work->loaded.scenario->road), m};
    }
  b->value = calloc((size_t)b->n, sizeof *b->value), b->low = calloc((size_t)b->n, sizeof *b->low);
  b->high = calloc((size_t)b->n, sizeof *b->high);
  return b->value && b->low && b->high ? 0 : EXIT_OUTPUT;
}

static enum df_status laws_run(struct bands *b, const struct df_ride_options *options, int jobs)
{
  struct df_scenario *s = malloc(LAWS * sizeof *s);
  double *value = calloc((size_t)(LAWS * b->n), sizeof *value);
  struct df_case cases[LAWS];
  enum df_status status = s && value ? DF_OK : DF_NO_MEMORY;
  for (int i = 0; i < LAWS && status == DF_OK; i++) {
    status = variant(b->work->call, b->work->loaded.reading, i, &s[i]);
    cases[i] = (struct df_case){.scenario = &s[i], .values = value + i * b->n};
  }
  if (status == DF_OK) status = df_cases_run(cases, LAWS, b->wanted, b->n, options, jobs, NULL);
  for (int j = 0; j < b->n && status == DF_OK; j++) {
    double of[LAWS] = {value[j], value[b->n + j], value[2 * b->n + j]};
    b->value[j] = of[0];
    ends(b->work->call, of, LAWS, &b->low[j], &b->high[j]);
  }
  free(s);
  free(value);
  return status;
}

static enum df_status samples_run(struct bands *b, const struct df_ride_options *options, int jobs)
{
  struct df_band *band = calloc((size_t)b->n, sizeof *band);
  if (!band) return DF_NO_MEMORY;
  const struct call *call = b->work->call;
  enum df_status status =
      df_estimates_sampled(b->work->loaded.reading, NULL, b->wanted, b->n, options, jobs,
                           samples_of(call), seed_of(call), band);
  for (int j = 0; j < b->n && status == DF_OK; j++)
    b->value[j] = band[j].estimate.value[0], b->low[j] = band[j].low, b->high[j] = band[j].high;
  free(band);
  return status;
}

// The measure that tells most about a road.
static const char *telling(const struct df_road *road)
{
  if (road->has_lean) return "lean_settling";
  if (road->has_push) return "push_past_start";
  return road->has_brake && !strcmp(df_road_kinds[road->kind]->name, "flat") ? "dive_overshoot"
                                                                             : "shock_transmitted";
}

static void say_bands(const struct bands *b)
{
  struct table *t = malloc(sizeof *t);
  char of[80], v[24], l[24], h[24], unit[24];
  if (!t) {
    say_no_memory();
    return;
  }
  paragraph(2, "%s: how far figures go over %s", b->work->loaded.name,
            bands_of(b->work->call, of, sizeof of));
  table_begin(t, 6, "llrrrl");
  static const char *const head[] = {"road", "measure", "value", "from", "to", "unit"};
  for (int k = 0; k < 6; k++) table_cell(t, 0, k, "%s", head[k]);
  int row = 1;
  for (int j = 0; j < b->n && row < SCREEN_LINES - 5; j++) {
    const struct df_road *road = &b->work->loaded.scenario->road[b->wanted[j].road];
    const struct df_measure *m = &df_measures[b->wanted[j].measure];
    if (strcmp(m->name, telling(road)) || !isfinite(b->value[j])) continue;
    table_cell(t, row, 0, "%s", road->name), table_cell(t, row, 1, "%s", m->name);
    table_cell(t, row, 2, "%s", figure(v, b->value[j] * m->per_si)),
        table_cell(t, row, 3, "%s", figure(l, b->low[j] * m->per_si));
    table_cell(t, row, 4, "%s", figure(h, b->high[j] * m->per_si)),
        table_cell(t, row++, 5, "%s", df_unit_text(m->unit, unit, sizeof unit));
  }
  table_print(t);
  free(t);
  line("Every measure: --format csv. Without --spread and --law the same rides are judged against "
       "targets.");
  line("Next: dampfork compare %s", b->work->loaded.path);
}

static void csv_bands(const struct bands *b)
{
  static const char *const names[] = {"road", "measure", "unit", "value", "low", "high"};
  struct csv csv = csv_begin(stdout, b->work->call->digits);
  char of[80];
  head_csv(b->work->call, &b->work->loaded, 1, &csv);
  csv_head(&csv, "low_and_high", "%s", bands_of(b->work->call, of, sizeof of));
  csv_names(&csv, names, 6);
  for (int j = 0; j < b->n; j++) {
    const struct df_measure *m = &df_measures[b->wanted[j].measure];
    if (!isfinite(b->value[j])) continue;
    csv_text(&csv, b->work->loaded.scenario->road[b->wanted[j].road].name), csv_text(&csv, m->name),
        csv_text(&csv, m->unit);
    csv_number(&csv, b->value[j] * m->per_si), csv_number(&csv, b->low[j] * m->per_si),
        csv_number(&csv, b->high[j] * m->per_si);
    csv_line(&csv);
  }
}

static void json_bands(const struct bands *b)
{
  struct json json;
  char of[80];
  json_begin(&json, stdout, b->work->call->digits, "ride");
  json_text(&json, "scenario", b->work->loaded.path),
      json_text(&json, "low_and_high", bands_of(b->work->call, of, sizeof of));
  json_array(&json, "bands");
  for (int j = 0; j < b->n; j++) {
    const struct df_measure *m = &df_measures[b->wanted[j].measure];
    if (!isfinite(b->value[j])) continue;
    json_object(&json, NULL);
    json_text(&json, "road", b->work->loaded.scenario->road[b->wanted[j].road].name),
        json_text(&json, "measure", m->name);
    json_text(&json, "unit", m->unit), json_number(&json, "value", b->value[j] * m->per_si);
    json_number(&json, "low", b->low[j] * m->per_si),
        json_number(&json, "high", b->high[j] * m->per_si);
    json_end(&json);
  }
  json_end(&json);
  json_finish(&json);
}

int bands_ride(const struct ride_work *work)
{
  struct bands b = {.work = work};
  struct df_ride_options options = {.kernel = work->kernel,
                                    .method = work->method,
                                    .tolerance = work->tolerance,
                                    .stop = &stop_signal};
  int result = wanted_make(&b);
  enum df_status status = DF_OK;
  if (!result)
    status = samples_of(work->call) ? samples_run(&b, &options, jobs_wanted(work->call))
                                    : laws_run(&b, &options, jobs_wanted(work->call));
  if (stop_signal) result = stop_status();
  else if (status != DF_OK) result = status_exit(work->loaded.path, status, NULL);
  else if (!result) {
    if (work->call->format == FORMAT_CSV) csv_bands(&b);
    else if (work->call->format == FORMAT_JSON) json_bands(&b);
    else say_bands(&b);
  }
  free(b.wanted);
  free(b.value);
  free(b.low);
  free(b.high);
  return result;
}
