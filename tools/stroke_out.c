// Rows and pictures of strokes. Names of the data are those of plots/README.md.
#include "out_gnuplot.h"
#include "out_json.h"
#include "stroke_work.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

// --- Rows

static const double degree = 180/M_PI;

struct column { size_t place; const char *name, *unit; double per_si; };
#define AT(type, field) offsetof(struct type, field)

static const struct column sample_columns[] = {
    {AT(df_stroke_sample, force), "force", "N", 1}, // less what is left out
    {AT(df_stroke_sample, damping), "damping", "N", 1},
    {AT(df_stroke_sample, spring), "spring", "N", 1},
    {AT(df_stroke_sample, air), "air", "N", 1},
    {AT(df_stroke_sample, friction), "friction", "N", 1},
    {AT(df_stroke_sample, p_lower), "p_lower", "bar", 1e-5},
    {AT(df_stroke_sample, p_annulus), "p_annulus", "bar", 1e-5},
    {AT(df_stroke_sample, p_rod), "p_rod", "bar", 1e-5},
    {AT(df_stroke_sample, p_column), "p_column", "bar", 1e-5},
    {AT(df_stroke_sample, lift), "valve_lift", "mm", 1e3},
    {AT(df_stroke_sample, void_lower), "void_lower", "cm3", 1e6},
    {AT(df_stroke_sample, void_annulus), "void_annulus", "cm3", 1e6},
};
static const struct column peak_columns[] = {
    {AT(stroke_figures, force_compression), "compression", "N", 1},
    {AT(stroke_figures, force_rebound), "rebound", "N", 1},
    {AT(stroke_figures, energy), "energy", "J", 1},
    {AT(stroke_figures, compression_lag), "lag", "ms", 1e3}, // the longer of both
    {AT(stroke_figures, cavitating), "cavitating", "percent", 100},
};
static const struct column response_columns[] = {
    {AT(df_stroke_harmonic, gain), "gain", "N_per_mm", 1e-3},
    {AT(df_stroke_harmonic, phase), "phase", "degree", 180/M_PI},
    {AT(df_stroke_harmonic, stiffness), "stiffness", "N_per_mm", 1e-3},
    {AT(df_stroke_harmonic, damping), "damping", "N_s_per_m", 1},
    {AT(df_stroke_harmonic, rest), "rest", "percent", 100},
};
enum {
  SAMPLE_COLUMNS = sizeof sample_columns/sizeof *sample_columns,
  PEAK_COLUMNS = sizeof peak_columns/sizeof *peak_columns,
  RESPONSE_COLUMNS = sizeof response_columns/sizeof *response_columns
};

static double value_at(const void *what, const struct column *column)
{
  return *(const double *)((const char *)what + column->place)*column->per_si;
}

static void leg_names(struct csv *csv, const struct column *columns, int n, int legs)
{
  char name[64];
  for (int j = 0; j < n; j++)
    for (int side = 0; side < legs; side++) {
      snprintf(name, sizeof name, "%s%s%s_%s", columns[j].name, legs > 1 ? "_" : "",
               legs > 1 ? stroke_side[side] : "", columns[j].unit);
      csv_text(csv, name);
    }
}

static double sample_value(const struct stroke_work *work, const struct df_stroke_sample *s, int j)
{
  const struct column *column = &sample_columns[j];
  return column->place == AT(df_stroke_sample, force) ? df_stroke_force(s, work->parts)
                                                      : value_at(s, column);
}

void stroke_csv(const struct stroke_work *work, struct csv *csv)
{
  static const char *const names[] = {"run", "cycle", "time_s", "travel_mm", "velocity_m_per_s"};
  for (int j = 0; j < 5; j++) csv_text(csv, names[j]);
  leg_names(csv, sample_columns, SAMPLE_COLUMNS, work->legs);
  csv_line(csv);
  for (int i = 0; i < work->run_n; i++) {
    const struct df_stroke *first = &work->run[i].leg[0];
    for (int k = 0; k < first->n; k++) {
      const struct df_stroke_sample *s = &first->sample[k];
      csv_number(csv, i + 1);
      csv_number(csv, k < first->n - 1 ? k/first->per_cycle + 1 : first->cycles);
      csv_number(csv, s->t), csv_number(csv, 1e3*s->x), csv_number(csv, s->v);
      for (int j = 0; j < SAMPLE_COLUMNS; j++)
        for (int side = 0; side < work->legs; side++)
          csv_number(csv, sample_value(work, &work->run[i].leg[side].sample[k], j));
      csv_line(csv);
    }
  }
}

static double lag_of(const struct stroke_figures *f)
{
  return fmax(f->compression_lag, f->rebound_lag); // fmax takes the number of a number and a NAN
}

void stroke_peaks_csv(const struct stroke_work *work, struct csv *csv)
{
  static const char *const names[] = {"run", "stroke_mm", "frequency_Hz", "peak_velocity_m_per_s"};
  for (int j = 0; j < 4; j++) csv_text(csv, names[j]);
  leg_names(csv, peak_columns, PEAK_COLUMNS, work->legs);
  csv_line(csv);
  for (int i = 0; i < work->run_n; i++) {
    const struct df_stroke_motion *m = &work->run[i].motion;
    csv_number(csv, i + 1), csv_number(csv, 1e3*m->stroke), csv_number(csv, m->frequency);
    csv_number(csv, M_PI*m->stroke*m->frequency);
    for (int j = 0; j < PEAK_COLUMNS; j++)
      for (int side = 0; side < work->legs; side++) {
        struct stroke_figures f = work->run[i].of[side];
        f.compression_lag = lag_of(&f);
        csv_number(csv, value_at(&f, &peak_columns[j]));
      }
    csv_line(csv);
  }
}

void stroke_response_csv(const struct stroke_work *work, struct csv *csv)
{
  static const char *const names[] = {"frequency_Hz", "stroke_mm", "peak_velocity_m_per_s"};
  static const struct column formula[] = {{0, "gain_formula", "N_per_mm", 1},
                                          {0, "phase_formula", "degree", 1}};
  for (int j = 0; j < 3; j++) csv_text(csv, names[j]);
  leg_names(csv, response_columns, RESPONSE_COLUMNS, work->legs);
  leg_names(csv, formula, 2, work->legs);
  csv_line(csv);
  for (int i = 0; i < work->response_n; i++) {
    const struct stroke_response *r = &work->response[i];
    csv_number(csv, r->motion.frequency), csv_number(csv, 1e3*r->motion.stroke);
    csv_number(csv, M_PI*r->motion.stroke*r->motion.frequency);
    for (int j = 0; j < RESPONSE_COLUMNS; j++)
      for (int side = 0; side < work->legs; side++)
        csv_number(csv, value_at(&r->of[side], &response_columns[j]));
    for (int side = 0; side < work->legs; side++) csv_number(csv, 1e-3*r->gain[side]);
    for (int side = 0; side < work->legs; side++) csv_number(csv, degree*r->phase[side]);
    csv_line(csv);
  }
}

// --- JSON

static void json_figures(struct json *json, const struct stroke_figures *f)
{
  static const struct column columns[] = {
      {AT(stroke_figures, force_compression), "compression", "N", 1},
      {AT(stroke_figures, force_rebound), "rebound", "N", 1},
      {AT(stroke_figures, compression), "damping_compression", "N", 1},
      {AT(stroke_figures, rebound), "damping_rebound", "N", 1},
      {AT(stroke_figures, steady_compression), "steady_damping_compression", "N", 1},
      {AT(stroke_figures, steady_rebound), "steady_damping_rebound", "N", 1},
      {AT(stroke_figures, energy), "energy", "J", 1},
      {AT(stroke_figures, friction_energy), "friction_energy", "J", 1},
      {AT(stroke_figures, cone_energy), "cone_energy", "J", 1},
      {AT(stroke_figures, compression_lag), "lag_compression", "ms", 1e3},
      {AT(stroke_figures, rebound_lag), "lag_rebound", "ms", 1e3},
      {AT(stroke_figures, lost), "compression_without_force", "mm", 1e3},
      {AT(stroke_figures, cavitating), "cavitating", "percent", 100},
      {AT(stroke_figures, void_lower), "void_lower", "cm3", 1e6},
      {AT(stroke_figures, void_annulus), "void_annulus", "cm3", 1e6},
      {AT(stroke_figures, change), "energy_change_last_cycle", "1", 1},
  };
  for (size_t j = 0; j < sizeof columns/sizeof *columns; j++) {
    char name[64];
    snprintf(name, sizeof name, "%s_%s", columns[j].name, columns[j].unit);
    json_number(json, name, value_at(f, &columns[j]));
  }
}

static void json_leg(struct json *json, const struct stroke_work *work, int side)
{
  json_object(json, NULL);
  json_text(json, "leg", work->legs > 1 ? stroke_side[side] : "both");
}

static void json_runs(struct json *json, const struct stroke_work *work)
{
  json_array(json, "runs");
  for (int i = 0; i < work->run_n; i++) {
    const struct stroke_run *run = &work->run[i];
    json_object(json, NULL);
    json_number(json, "stroke_mm", 1e3*run->motion.stroke);
    json_number(json, "frequency_Hz", run->motion.frequency);
    json_number(json, "peak_velocity_m_per_s", M_PI*run->motion.stroke*run->motion.frequency);
    json_number(json, "cycles", run->leg[0].cycles);
    json_number(json, "steps", run->leg[0].effort.steps);
    json_array(json, "legs");
    for (int side = 0; side < work->legs; side++) {
      json_leg(json, work, side);
      json_figures(json, &run->of[side]);
      json_end(json);
    }
    json_end(json);
    json_end(json);
  }
  json_end(json);
}

static void json_responses(struct json *json, const struct stroke_work *work)
{
  json_array(json, "response");
  for (int i = 0; i < work->response_n; i++) {
    const struct stroke_response *r = &work->response[i];
    json_object(json, NULL);
    json_number(json, "frequency_Hz", r->motion.frequency);
    json_number(json, "stroke_mm", 1e3*r->motion.stroke);
    json_array(json, "legs");
    for (int side = 0; side < work->legs; side++) {
      json_leg(json, work, side);
      for (int j = 0; j < RESPONSE_COLUMNS; j++) {
        char name[64];
        snprintf(name, sizeof name, "%s_%s", response_columns[j].name, response_columns[j].unit);
        json_number(json, name, value_at(&r->of[side], &response_columns[j]));
      }
      json_number(json, "gain_formula_N_per_mm", 1e-3*r->gain[side]);
      json_number(json, "phase_formula_degree", degree*r->phase[side]);
      json_end(json);
    }
    json_end(json);
    json_end(json);
  }
  json_end(json);
}

void stroke_json(const struct stroke_work *work)
{
  struct json json;
  json_begin(&json, stdout, work->call->digits, "stroke");
  json_text(&json, "scenario", work->loaded.path);
  json_text(&json, "hash", work->loaded.hash);
  json_number(&json, "middle_mm", 1e3*work->middle);
  json_text(&json, "force", stroke_force_name(work));
  if (work->response_n) json_responses(&json, work);
  else json_runs(&json, work);
  json_finish(&json);
}

// --- Pictures

static int curves_of(int n)
{
  return n < GP_CURVES_MAX ? n : GP_CURVES_MAX;
}

struct span { double low, high; };

static void widen(struct span *span, double at)
{
  if (at < span->low) span->low = at;
  if (at > span->high) span->high = at;
}

static void span_write(struct gp *gp, struct span span)
{
  double margin = 0.06*fmax(span.high - span.low, 1);
  gp_number(gp, "force_low", span.low - margin);
  gp_number(gp, "force_high", span.high + margin);
}

static void loop_block(struct gp *gp, const struct stroke_work *work, int k, struct span *span)
{
  const struct df_stroke *s = &work->run[k].leg[0];
  gp_block_begin(gp, "loop", k + 1);
  for (int i = s->n - s->per_cycle - 1; i < s->n; i++) {
    const struct df_stroke_sample *at = &s->sample[i];
    const double row[] = {1e3*at->x, at->v, df_stroke_force(at, work->parts), at->damping};
    widen(span, row[2]);
    gp_block_row(gp, row, 4);
  }
  gp_block_end(gp);
}

static void title_write(struct gp *gp, const struct stroke_work *work, const char *what,
                        const char *motion)
{
  char title[200];
  snprintf(title, sizeof title, "%s: %s of %s leg, %s about %.3g mm of travel", work->loaded.name,
           what, work->legs > 1 ? "the left" : "one", motion, 1e3*work->middle);
  gp_text(gp, "title", title);
  char label[80];
  snprintf(label, sizeof label, "%s [N]", stroke_force_name(work));
  gp_text(gp, "force", label);
}

void plot_stroke(FILE *stream, const struct stroke_work *work)
{
  struct gp gp = gp_begin(stream, "stroke", "Force of one leg over a sine, last cycle");
  int n = curves_of(work->run_n);
  char text[GP_CURVES_MAX][32];
  const char *names[GP_CURVES_MAX];
  double place[GP_CURVES_MAX], most = 0;
  struct span span = {INFINITY, -INFINITY};
  title_write(&gp, work, "loops", "sine");
  for (int k = 0; k < n; k++) {
    const struct df_stroke_motion *m = &work->run[k].motion;
    snprintf(text[k], sizeof text[k], "%.3g m/s", M_PI*m->stroke*m->frequency);
    names[k] = text[k];
    most = fmax(most, M_PI*m->stroke*m->frequency);
    loop_block(&gp, work, k, &span);
  }
  // names stand at the right, each at the height of its loop's rebound end
  for (int k = 0; k < n; k++) place[k] = work->run[k].of[0].force_rebound;
  gp_spread(place, n, 0.06*fmax(span.high - span.low, 1));
  gp_number(&gp, "runs", n);
  gp_texts(&gp, "name", names, n);
  gp_numbers(&gp, "label", place, n);
  gp_number(&gp, "speed_most", 1.05*most);
  span_write(&gp, span);
  gp_finish(&gp, "stroke");
}

void plot_stroke_peaks(FILE *stream, const struct stroke_work *work)
{
  struct gp gp =
      gp_begin(stream, "stroke-peaks", "Force at the greatest fork speed of each stroke");
  struct span span = {0, 0};
  title_write(&gp, work, "peak-speed curve", "sine");
  gp_block_begin(&gp, "peaks", 0);
  double most = 0, label[2] = {0, 0};
  for (int k = 0; k < work->run_n; k++) {
    const struct df_stroke_motion *m = &work->run[k].motion;
    const struct stroke_figures *f = &work->run[k].of[0];
    const double row[] = {M_PI*m->stroke*m->frequency, f->force_compression, f->force_rebound};
    if (row[0] > most) most = row[0], label[0] = row[1], label[1] = row[2];
    widen(&span, row[1]), widen(&span, row[2]);
    gp_block_row(&gp, row, 3);
  }
  gp_block_end(&gp);
  gp_block_begin(&gp, "steady", 0);
  for (int i = 0; i < work->steady_n; i++) {
    const double row[] = {work->steady[i].v, work->steady[i].force[0]};
    if (isfinite(row[1])) widen(&span, row[1]);
    gp_block_row(&gp, row, 2);
  }
  gp_block_end(&gp);
  gp_spread(label, 2, 0.05*fmax(span.high - span.low, 1));
  gp_numbers(&gp, "label", label, 2);
  gp_number(&gp, "last_speed", most);
  gp_number(&gp, "speed_most", 1.05*most);
  span_write(&gp, span);
  gp_finish(&gp, "stroke-peaks");
}

void plot_stroke_response(FILE *stream, const struct stroke_work *work)
{
  struct gp gp = gp_begin(stream, "stroke-response", "Gain and phase of one leg over frequency");
  char motion[40];
  snprintf(motion, sizeof motion, "sines of %.3g mm", 1e3*work->response[0].motion.stroke);
  title_write(&gp, work, stroke_force_name(work), motion);
  gp_block_begin(&gp, "response", 0);
  double least = INFINITY, most = 0;
  struct span phase = {0, 90};
  for (int i = 0; i < work->response_n; i++) {
    const struct stroke_response *r = &work->response[i];
    const double row[] = {r->motion.frequency,     1e-3*r->of[0].gain,  degree*r->of[0].phase,
                          1e-3*r->of[0].stiffness, r->of[0].damping,    1e-3*r->gain[0],
                          degree*r->phase[0]};
    if (row[1] > 0) least = fmin(least, row[1]), most = fmax(most, row[1]);
    widen(&phase, row[2]);
    gp_block_row(&gp, row, 7);
  }
  gp_block_end(&gp);
  gp_number(&gp, "gain_low", most > 0 ? 0.8*least : 0.1);
  gp_number(&gp, "gain_high", most > 0 ? 1.25*most : 1);
  gp_number(&gp, "phase_low", phase.low - 10);
  gp_number(&gp, "phase_high", phase.high + 10);
  gp_number(&gp, "formula", isfinite(work->response[0].gain[0]));
  gp_finish(&gp, "stroke-response");
}
