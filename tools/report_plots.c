// Pictures of the report. Names of the data are those of plots/README.md.
#include "report_work.h"

#include "out_gnuplot.h"

#include "dampfork/scenario.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static int settings_drawn(const struct report *r)
{
  return r->alone ? 0 : r->setting_n;
}

struct range { double low, high; };

static void widen(struct range *range, double at)
{
  if (!isfinite(at)) return;
  if (at < range->low) range->low = at;
  if (at > range->high) range->high = at;
}

// gnuplot looks for the first block of a list even when the list is empty.
static void no_block(struct gp *gp, const char *name)
{
  gp_block_begin(gp, name, 1);
  gp_block_row(gp, (double[2]){NAN, NAN}, 2);
  gp_block_end(gp);
}

static void names_write(struct gp *gp, const struct report *r)
{
  const char *name[2] = {r->label[0], r->label[1]};
  char key[32];
  snprintf(key, sizeof key, "%s", strcmp(r->key, "valve.preload") ? "setting of the slider" : "preload of the slider");
  gp_number(gp, "scenarios", 2);
  gp_texts(gp, "name", name, 2);
  gp_number(gp, "settings", settings_drawn(r));
  gp_text(gp, "slider", key);
}

// ---- stroke used ----
static void trace_block(struct gp *gp, const char *name, const struct report *r, int fork,
                        int channel, double scale, struct range *range)
{
  const struct df_trace *t = &r->ride[r->dive][fork].ride.trace;
  int first = (int)fmax(0, ceil((r->from - t->start) / t->step)),
      last = (int)fmin(t->n - 1, floor((r->to - t->start) / t->step));
  int stride = 1 + (last - first) / 1200; // near three rows a unit across the picture
  gp_block_begin(gp, name, fork + 1);
  for (int i = first; i <= last; i += stride) {
    double row[2] = {t->start + i * t->step, scale * t->at[channel][i]};
    widen(range, row[1]);
    gp_block_row(gp, row, 2);
  }
  gp_block_end(gp);
}

static void path_block(struct gp *gp, const char *name, int k, const struct report_path *path,
                       struct range *range)
{
  gp_block_begin(gp, name, k + 1);
  for (int i = 0; i < path->n; i++) {
    double row[2] = {path->x[i], path->y[i]};
    widen(range, row[1]);
    gp_block_row(gp, row, 2);
  }
  if (!path->n) gp_block_row(gp, (double[2]){NAN, NAN}, 2);
  gp_block_end(gp);
}

void plot_stroke_used(FILE *stream, const struct report *r)
{
  struct gp gp = gp_begin(stream, "stroke-used", "Stroke used in a dive with an edge in it");
  struct range travel = {INFINITY, -INFINITY}, road = travel, shock = travel;
  const struct df_scenario *s = &r->fork[1];
  names_write(&gp, r);
  for (int fork = 0; fork < 2; fork++) {
    trace_block(&gp, "travel", r, fork, DF_C_TRAVEL, 1e3, &travel);
    trace_block(&gp, "road", r, fork, DF_C_ROAD, 1e3, &road);
    trace_block(&gp, "shock", r, fork, DF_C_ACCELERATION, 1, &shock);
  }
  for (int k = 0; k < settings_drawn(r); k++) {
    path_block(&gp, "set_travel", k, &r->setting[k].travel, &travel);
    path_block(&gp, "set_road", k, &r->setting[k].road, &road);
    path_block(&gp, "set_shock", k, &r->setting[k].shock, &shock);
  }
  if (!settings_drawn(r))
    no_block(&gp, "set_travel"), no_block(&gp, "set_road"), no_block(&gp, "set_shock");
  double metal = 1e3 * s->side[0].leg.travel, span = fmax(road.high - road.low, 10);
  double margin = fmax(0.05 * (shock.high - shock.low), 0.5);
  gp_number(&gp, "time_first", r->from), gp_number(&gp, "time_last", r->to);
  gp_number(&gp, "brake_time", r->ride[r->dive][0].ride.moments.brake_start);
  gp_number(&gp, "sag_mm", 1e3 * r->ride[r->dive][1].ride.static_travel);
  gp_number(&gp, "cone_mm", metal - 1e3 * s->cone.length), gp_number(&gp, "metal_mm", metal);
  gp_number(&gp, "travel_low", fmin(0, travel.low)),
      gp_number(&gp, "travel_high", fmax(metal, travel.high) + 9);
  gp_number(&gp, "road_low", road.low - 0.3 * span), gp_number(&gp, "road_high", road.low + 1.4 * span);
  gp_number(&gp, "shock_low", shock.low - margin), gp_number(&gp, "shock_high", shock.high + margin);
  gp_finish(&gp, "stroke-used");
}

void data_stroke_used(const struct report *r, struct data *data)
{
  char name[7][DATA_NAME], *at = NULL;
  const char *names[7];
  static const char *const of[3] = {"travel_%s_mm", "road_%s_mm", "sprung_acceleration_%s_m_per_s2"};
  static const int channel[3] = {DF_C_TRAVEL, DF_C_ROAD, DF_C_ACCELERATION};
  static const double scale[3] = {1e3, 1e3, 1};
  (void)at;
  snprintf(name[0], DATA_NAME, "time_s");
  for (int i = 0; i < 3; i++)
    for (int fork = 0; fork < 2; fork++) {
      const char *words = of[i];
      size_t gap = strcspn(words, "%");
      snprintf(name[1 + 2 * i + fork], DATA_NAME, "%.*s%s%s", (int)gap, words, r->label[fork],
               words + gap + 2);
    }
  for (int j = 0; j < 7; j++) names[j] = name[j];
  data_begin(data, "", 7, names);
  const double step = 2e-3; // s
  for (double t = r->from; t <= r->to; t += step) {
    double row[7] = {t};
    for (int i = 0; i < 3; i++)
      for (int fork = 0; fork < 2; fork++) {
        const struct df_trace *trace = &r->ride[r->dive][fork].ride.trace;
        long k = lround((t - trace->start) / trace->step);
        row[1 + 2 * i + fork] =
            k >= 0 && k < trace->n ? scale[i] * trace->at[channel[i]][k] : NAN;
      }
    data_row(data, "", row);
  }
}

// ---- force against fork speed ----
enum { MARKS_MAX = 5 };
static const struct { const char *road, *text;
} met[MARKS_MAX] = {{"brake-dry", "brake dive"},
                    {"hump", "hump"},
                    {"edge-15", "15 mm edge"},
                    {"edge-40", "40 mm edge"},
                    {"edge-in-dive", "edge in the dive"}};

static int road_find(const struct report *r, const char *name)
{
  for (int i = 0; i < r->fork[0].road_n; i++)
    if (!strcmp(r->fork[0].road[i].name, name)) return i;
  return -1;
}

// Fastest compression on the roads that the questions are asked on, ascending.
static int marks_of(const struct report *r, double speed[MARKS_MAX], const char *text[MARKS_MAX])
{
  int n = 0;
  for (int i = 0; i < MARKS_MAX; i++) {
    int road = road_find(r, met[i].road), j = n;
    if (road < 0 || !(r->ride[road][1].fastest > 0)) continue;
    double at = r->ride[road][1].fastest;
    for (; j && speed[j - 1] > at; j--) speed[j] = speed[j - 1], text[j] = text[j - 1];
    speed[j] = at, text[j] = met[i].text, n++;
  }
  return n;
}

static double most_of(const double *force, const double *speed, double from, double to)
{
  double most = 1;
  for (int i = 0; i < REPORT_SPEEDS; i++)
    if (speed[i] >= from && speed[i] <= to && isfinite(force[i])) most = fmax(most, fabs(force[i]));
  return most;
}

static double height(const struct report *r, double from, double to)
{
  double most = 1;
  for (int k = 0; k < 2; k++) {
    most = fmax(most, most_of(r->curve[k].high, r->curve[k].speed, from, to));
    most = fmax(most, most_of(r->curve[k].force, r->curve[k].speed, from, to));
    if (from < 0) most = fmax(most, most_of(r->curve[k].low, r->curve[k].speed, from, to));
  }
  for (int k = 0; k < settings_drawn(r); k++)
    if (!*r->setting[k].reason)
      most = fmax(most, most_of(r->setting[k].force, r->curve[1].speed, from, to));
  return 1.05 * most;
}

static void curve_block(struct gp *gp, const char *name, int k, const double *speed,
                        const double *force, const double *low, const double *high)
{
  gp_block_begin(gp, name, k);
  for (int i = 0; i < REPORT_SPEEDS; i++) {
    double row[4] = {speed[i], force[i], low ? low[i] : NAN, high ? high[i] : NAN};
    gp_block_row(gp, row, low ? 4 : 2);
  }
  gp_block_end(gp);
}

void plot_force_speed(FILE *stream, const struct report *r)
{
  struct gp gp = gp_begin(stream, "force-speed", "Damping force of one leg against fork speed");
  double speed[MARKS_MAX] = {0};
  const char *text[MARKS_MAX] = {""};
  int marks = marks_of(r, speed, text);
  const struct report_curve *c = r->curve;
  double slowest = -c[0].speed[0];
  names_write(&gp, r);
  gp_number(&gp, "marks", marks);
  gp_numbers(&gp, "mark_speed", speed, marks ? marks : 1);
  gp_texts(&gp, "mark", text, marks ? marks : 1);
  gp_number(&gp, "speed_most", c[0].speed[REPORT_SPEEDS - 1]);
  gp_number(&gp, "rebound_speed_most", slowest);
  gp_number(&gp, "fast_most", height(r, 0, INFINITY));
  gp_number(&gp, "slow_most", height(r, 0, 0.4 + 1e-9));
  gp_number(&gp, "rebound_most", height(r, -INFINITY, -1e-9));
  for (int k = 0; k < 2; k++)
    curve_block(&gp, "curve", k + 1, c[k].speed, c[k].force, c[k].low, c[k].high);
  for (int k = 0; k < settings_drawn(r); k++)
    curve_block(&gp, "set", k + 1, c[1].speed, r->setting[k].force, NULL, NULL);
  if (!settings_drawn(r)) no_block(&gp, "set");
  gp_finish(&gp, "force-speed");
}

void data_force_speed(const struct report *r, struct data *data)
{
  char name[7][DATA_NAME];
  const char *names[7];
  snprintf(name[0], DATA_NAME, "velocity_m_per_s");
  for (int k = 0; k < 2; k++) {
    snprintf(name[1 + 3 * k], DATA_NAME, "damping_%s_N", r->label[k]);
    snprintf(name[2 + 3 * k], DATA_NAME, "low_%s_N", r->label[k]);
    snprintf(name[3 + 3 * k], DATA_NAME, "high_%s_N", r->label[k]);
  }
  for (int j = 0; j < 7; j++) names[j] = name[j];
  data_begin(data, "", 7, names);
  for (int i = 0; i < REPORT_SPEEDS; i++) {
    const struct report_curve *a = &r->curve[0], *b = &r->curve[1];
    data_row(data, "",
             (double[7]){a->speed[i], a->force[i], a->low[i], a->high[i], b->force[i], b->low[i],
                         b->high[i]});
  }
}

// ---- what made the peak ----
enum { EVENTS_MAX = 4 };
static const struct { const char *road, *text;
} events[EVENTS_MAX] = {{"edge-15", "15 mm edge"},
                        {"edge-40", "40 mm edge"},
                        {"edge-in-dive", "edge in the dive"},
                        {"hump", "hump"}};

void plot_peak_parts(FILE *stream, const struct report *r)
{
  struct gp gp = gp_begin(stream, "peak-parts", "What made the hardest moment of each event");
  const char *text[EVENTS_MAX] = {""}, *name[2] = {r->label[0], r->label[1]};
  int n = 0;
  gp_block_begin(&gp, "parts", 0);
  for (int i = 0; i < EVENTS_MAX; i++) {
    int road = road_find(r, events[i].road);
    if (road < 0) continue;
    for (int k = 0; k < 2; k++) {
      double row[1 + REPORT_PARTS] = {3 * n + k + 1};
      for (int p = 0; p < REPORT_PARTS; p++)
        row[1 + p] = isfinite(r->ride[road][k].part[p]) ? r->ride[road][k].part[p] : 0;
      gp_block_row(&gp, row, 1 + REPORT_PARTS);
    }
    text[n++] = events[i].text;
  }
  gp_block_end(&gp);
  gp_number(&gp, "scenarios", 2);
  gp_texts(&gp, "name", name, 2);
  gp_number(&gp, "events", n);
  gp_texts(&gp, "event", text, n ? n : 1);
  gp_number(&gp, "parts", REPORT_PARTS);
  gp_texts(&gp, "part", report_part_names, REPORT_PARTS);
  gp_finish(&gp, "peak-parts");
}

void data_peak_parts(const struct report *r, struct data *data)
{
  char name[REPORT_PARTS][DATA_NAME], text[DATA_NAME];
  const char *names[REPORT_PARTS];
  for (int p = 0; p < REPORT_PARTS; p++) {
    snprintf(name[p], DATA_NAME, "%s_N", report_part_names[p]);
    for (char *at = name[p]; *at; at++)
      if (*at == ' ') *at = '_';
    names[p] = name[p];
  }
  data_begin(data, "event", REPORT_PARTS, names);
  for (int i = 0; i < EVENTS_MAX; i++) {
    int road = road_find(r, events[i].road);
    for (int k = 0; road >= 0 && k < 2; k++) {
      snprintf(text, sizeof text, "%s, %s", events[i].text, r->label[k]);
      data_row(data, text, r->ride[road][k].part);
    }
  }
}
