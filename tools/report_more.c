// Further pictures of the report: trade, worth, energy, level, cold and hot.
#include "report_work.h"

#include "sweep_work.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static int road_find(const struct report *r, const char *name)
{
  for (int i = 0; i < r->fork[0].road_n; i++)
    if (!strcmp(r->fork[0].road[i].name, name)) return i;
  return -1;
}

static void range_write(struct gp *gp, const char *name, const double *at, int n, double margin)
{
  double low = INFINITY, high = -INFINITY;
  char variable[64];
  for (int i = 0; i < n; i++)
    if (isfinite(at[i])) low = fmin(low, at[i]), high = fmax(high, at[i]);
  if (!(low <= high)) low = 0, high = 1;
  double room = fmax(margin * (high - low), 0.02 * fabs(high) + 1e-9);
  snprintf(variable, sizeof variable, "%s_low", name), gp_number(gp, variable, low - room);
  snprintf(variable, sizeof variable, "%s_high", name), gp_number(gp, variable, high + room);
}

// ---- overshoot against shock, a point a setting ----
int has_trade(const struct report *r)
{
  int n = 0;
  for (int i = 0; i < r->setting_n; i++) n += !*r->setting[i].reason;
  return n > 1 && r->figure[0] >= 0 && r->figure[1] >= 0 && r->figure[2] >= 0;
}

static double figure_of(const struct report *r, int setting, int figure)
{
  double scale = figure ? 1 : 1e3; // mm, m/s2, m/s2
  return *r->setting[setting].reason ? NAN
                                     : scale * r->setting[setting].told[r->figure[figure]];
}

void plot_trade(FILE *stream, const struct report *r)
{
  struct gp gp = gp_begin(stream, "trade", "Overshoot in braking against the blow of edges");
  double at[REPORT_FIGURES][REPORT_SETTINGS_MAX];
  for (int f = 0; f < REPORT_FIGURES; f++)
    for (int i = 0; i < r->setting_n; i++) at[f][i] = figure_of(r, i, f);
  gp_text(&gp, "slider", strcmp(r->key, "valve.preload") ? r->key : "valve preload");
  gp_text(&gp, "unit", r->unit);
  gp_number(&gp, "now", r->now + 1);
  range_write(&gp, "over", at[0], r->setting_n, 0.12);
  range_write(&gp, "small", at[1], r->setting_n, 0.12);
  range_write(&gp, "large", at[2], r->setting_n, 0.12);
  // names at every point would cover each other: at most nine
  int stride = 1 + (r->setting_n - 1) / 9;
  gp_number(&gp, "stride", stride);
  gp_block_begin(&gp, "trade", 0);
  for (int i = 0; i < r->setting_n; i++)
    gp_block_row(&gp, (double[4]){r->setting[i].value, at[0][i], at[1][i], at[2][i]}, 4);
  gp_block_end(&gp);
  gp_finish(&gp, "trade");
}

void data_trade(const struct report *r, struct data *data)
{
  static const char *const names[] = {"setting", "overshoot_mm", "small_edge_m_per_s2",
                                      "large_edge_m_per_s2"};
  data_begin(data, "", 4, names);
  snprintf(data->name[0], DATA_NAME, "%.80s_%.30s", r->key, r->unit);
  for (int i = 0; i < r->setting_n; i++)
    data_row(data, "",
             (double[4]){r->setting[i].value, figure_of(r, i, 0), figure_of(r, i, 1),
                         figure_of(r, i, 2)});
}

// ---- what each value is worth ----
static const char *const worth_roads[REPORT_FIGURES] = {"brake-dry", "edge-15", "edge-40"};
static const char *const worth_names[REPORT_FIGURES] = {"overshoot", "small edge", "large edge"};

int has_worth(const struct report *r)
{
  return r->worth_n > 0;
}

void plot_worth(FILE *stream, const struct report *r)
{
  struct worth_shown *shown = calloc(1, sizeof *shown);
  if (!shown) return;
  shown->title = r->label[1];
  shown->meaning = "from its low to its high end, all else as in the file";
  shown->unit = "effect [%]";
  shown->keys = r->worth_n, shown->measures = REPORT_FIGURES;
  for (int i = 0; i < shown->keys; i++) {
    shown->key[i] = r->worth[i].factor.path;
    for (int j = 0; j < shown->measures; j++) {
      shown->bar[i][j][0] = 100 * r->worth[i].share[j];
      for (int k = 1; k < 4; k++) shown->bar[i][j][k] = NAN;
    }
  }
  for (int j = 0; j < shown->measures; j++)
    shown->road[j] = worth_roads[j], shown->measure[j] = worth_names[j];
  worth_plot(shown, stream);
  free(shown);
}

void data_worth(const struct report *r, struct data *data)
{
  static const char *const names[] = {"low", "high", "overshoot_mm", "small_edge_m_per_s2",
                                      "large_edge_m_per_s2"};
  char text[DATA_NAME];
  data_begin(data, "value", 5, names);
  for (int i = 0; i < r->worth_n; i++) {
    const struct report_worth *at = &r->worth[i];
    snprintf(text, sizeof text, "%.80s, %.30s%s", at->factor.path, at->factor.unit,
             at->factor.given ? "" : ", assumed");
    data_row(data, text,
             (double[5]){at->factor.low, at->factor.high, 1e3 * at->effect[0], at->effect[1],
                         at->effect[2]});
  }
}

// ---- energy by path over a large edge ----
int has_edge(const struct report *r)
{
  return road_find(r, "edge-40") >= 0;
}

void plot_energy(FILE *stream, const struct report *r)
{
  struct gp gp = gp_begin(stream, "energy-paths", "Energy lost by path over a 40 mm edge");
  const char *name[2] = {r->label[0], r->label[1]}, *path[DF_E_LOSSES];
  char words[DF_E_LOSSES][40];
  const struct report_ride *ride = r->ride[road_find(r, "edge-40")];
  double most = 0.1;
  int n = 0;
  gp_block_begin(&gp, "energy", 0);
  for (int p = 0; p < DF_E_LOSSES; p++) {
    double a = ride[0].energy[p], b = ride[1].energy[p];
    if (!(fmax(a, b) > 0.005)) continue; // J, nothing to see
    snprintf(words[n], sizeof words[n], "%s", df_energy_names[p]);
    for (char *at = words[n]; *at; at++)
      if (*at == '_') *at = ' ';
    path[n] = words[n];
    most = fmax(most, fmax(a, b));
    gp_block_row(&gp, (double[3]){++n, a, b}, 3);
  }
  gp_block_end(&gp);
  gp_number(&gp, "scenarios", 2);
  gp_texts(&gp, "name", name, 2);
  gp_number(&gp, "paths", n);
  gp_texts(&gp, "path", path, n ? n : 1);
  gp_number(&gp, "energy_most", 1.08 * most);
  gp_finish(&gp, "energy-paths");
}

void data_energy(const struct report *r, struct data *data)
{
  char name[2][DATA_NAME];
  const char *names[2] = {name[0], name[1]};
  const struct report_ride *ride = r->ride[road_find(r, "edge-40")];
  for (int k = 0; k < 2; k++) snprintf(name[k], DATA_NAME, "energy_%s_J", r->label[k]);
  data_begin(data, "path", 2, names);
  for (int p = 0; p < DF_E_LOSSES; p++)
    data_row(data, df_energy_names[p], (double[2]){ride[0].energy[p], ride[1].energy[p]});
}

// ---- level ----
int has_level(const struct report *r)
{
  return isfinite(r->level[REPORT_LEVELS / 2].end_force) && r->level[0].level > 0;
}

void plot_level(FILE *stream, const struct report *r)
{
  struct gp gp = gp_begin(stream, "oil-level", "End force and sag against oil level");
  double at[2][REPORT_LEVELS];
  gp_block_begin(&gp, "level", 0);
  for (int i = 0; i < REPORT_LEVELS; i++) {
    const struct report_level *l = &r->level[i];
    at[0][i] = l->end_force, at[1][i] = 1e3 * l->sag;
    gp_block_row(&gp, (double[3]){1e3 * l->level, at[0][i], at[1][i]}, 3);
  }
  gp_block_end(&gp);
  gp_number(&gp, "now", 1e3 * r->level[REPORT_LEVELS / 2].level);
  gp_number(&gp, "level_low", 1e3 * r->level[0].level - 2);
  gp_number(&gp, "level_high", 1e3 * r->level[REPORT_LEVELS - 1].level + 2);
  range_write(&gp, "force", at[0], REPORT_LEVELS, 0.1);
  range_write(&gp, "sag", at[1], REPORT_LEVELS, 0.6);
  gp_finish(&gp, "oil-level");
}

void data_level(const struct report *r, struct data *data)
{
  static const char *const names[] = {"oil_level_mm", "end_force_N", "p_column_bar", "sag_rider_mm"};
  data_begin(data, "", 4, names);
  for (int i = 0; i < REPORT_LEVELS; i++) {
    const struct report_level *l = &r->level[i];
    data_row(data, "", (double[4]){1e3 * l->level, l->end_force, 1e-5 * l->pressure, 1e3 * l->sag});
  }
}

// ---- cold and hot ----
void plot_heat(FILE *stream, const struct report *r)
{
  struct gp gp = gp_begin(stream, "cold-hot", "Damping force with cold and with hot oil");
  double celsius[REPORT_TEMPERATURES], most[2] = {1, 1};
  for (int i = 0; i < REPORT_TEMPERATURES; i++) {
    celsius[i] = r->heat[i] - 273.15;
    for (int k = 0; k < REPORT_SPEEDS; k++) {
      int back = r->curve[1].speed[k] < 0;
      if (isfinite(r->heat_force[i][k])) most[back] = fmax(most[back], fabs(r->heat_force[i][k]));
    }
  }
  gp_number(&gp, "temperatures", REPORT_TEMPERATURES);
  gp_numbers(&gp, "celsius", celsius, REPORT_TEMPERATURES);
  gp_number(&gp, "speed_most", r->curve[1].speed[REPORT_SPEEDS - 1]);
  gp_number(&gp, "rebound_speed_most", -r->curve[1].speed[0]);
  gp_number(&gp, "fast_most", 1.05 * most[0]), gp_number(&gp, "rebound_most", 1.05 * most[1]);
  for (int i = 0; i < REPORT_TEMPERATURES; i++) {
    gp_block_begin(&gp, "heat", i + 1);
    for (int k = 0; k < REPORT_SPEEDS; k++)
      gp_block_row(&gp, (double[2]){r->curve[1].speed[k], r->heat_force[i][k]}, 2);
    gp_block_end(&gp);
  }
  gp_finish(&gp, "cold-hot");
}

void data_heat(const struct report *r, struct data *data)
{
  char name[1 + REPORT_TEMPERATURES][DATA_NAME];
  const char *names[1 + REPORT_TEMPERATURES] = {"velocity_m_per_s"};
  for (int i = 0; i < REPORT_TEMPERATURES; i++) {
    snprintf(name[i], DATA_NAME, "damping_%.0f_degC_N", r->heat[i] - 273.15);
    names[1 + i] = name[i];
  }
  data_begin(data, "", 1 + REPORT_TEMPERATURES, names);
  for (int k = 0; k < REPORT_SPEEDS; k++) {
    double row[1 + REPORT_TEMPERATURES] = {r->curve[1].speed[k]};
    for (int i = 0; i < REPORT_TEMPERATURES; i++) row[1 + i] = r->heat_force[i][k];
    data_row(data, "", row);
  }
}
