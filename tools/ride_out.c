// Rows and pictures of a ride.
#include "ride_out.h"

#include "out_gnuplot.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PICTURE_ROWS = 2500 }; // twice the pixels across a picture

struct column { int channel; const char *name, *unit; double per_si, zero; };

static const struct column whole[] = {
    {DF_C_DISTANCE, "distance", "m", 1, 0},
    {DF_C_ROAD, "road", "mm", 1e3, 0},
    {DF_C_SPEED, "road_speed", "m_per_s", 1, 0},
    {DF_C_TRAVEL, "travel", "mm", 1e3, 0},
    {DF_C_VELOCITY, "velocity", "m_per_s", 1, 0},
    {DF_C_HEIGHT, "sprung_height", "mm", 1e3, 0},
    {DF_C_ACCELERATION, "sprung_acceleration", "m_per_s2", 1, 0},
    {DF_C_TYRE, "tyre_load", "N", 1, 0},
    {DF_C_BRAKE, "brake", "N", 1, 0},
};
static const struct column each[] = {
    {DF_C_FORCE, "force", "N", 1, 0},
    {DF_C_DAMPING, "damping", "N", 1, 0},
    {DF_C_SPRING, "spring", "N", 1, 0},
    {DF_C_AIR, "air", "N", 1, 0},
    {DF_C_FRICTION, "friction", "N", 1, 0},
    {DF_C_CONE, "cone", "N", 1, 0},
    {DF_C_STOP, "stop", "N", 1, 0},
    {DF_C_P_LOWER, "p_lower", "bar", 1e-5, 0},
    {DF_C_P_ANNULUS, "p_annulus", "bar", 1e-5, 0},
    {DF_C_P_ROD, "p_rod", "bar", 1e-5, 0},
    {DF_C_P_COLUMN, "p_column", "bar", 1e-5, 0},
    {DF_C_LIFT, "valve_lift", "mm", 1e3, 0},
    {DF_C_VOID_LOWER, "void_lower", "cm3", 1e6, 0},
    {DF_C_VOID_ANNULUS, "void_annulus", "cm3", 1e6, 0},
    {DF_C_OIL_TEMPERATURE, "oil", "degC", 1, -273.15},
};
enum { WHOLE = sizeof whole/sizeof *whole, EACH = sizeof each/sizeof *each };

static double value(const struct df_ride *ride, const struct column *column, int leg, int i)
{
  const double *at = ride->trace.at[column->channel + leg*DF_C_PER_LEG];
  return at ? at[i]*column->per_si + column->zero : NAN;
}

static void names(const struct df_ride *ride, struct csv *csv)
{
  static const char *const side[] = {"_left", "_right"};
  char name[64];
  csv_text(csv, "time_s");
  for (int j = 0; j < WHOLE; j++) {
    snprintf(name, sizeof name, "%s_%s", whole[j].name, whole[j].unit);
    csv_text(csv, name);
  }
  for (int j = 0; j < EACH; j++)
    for (int leg = 0; leg < ride->legs; leg++) {
      snprintf(name, sizeof name, "%s%s_%s", each[j].name, ride->legs > 1 ? side[leg] : "",
               each[j].unit);
      csv_text(csv, name);
    }
  csv_line(csv);
}

void ride_csv(const struct df_ride *ride, struct csv *csv, int stride)
{
  names(ride, csv);
  for (int i = 0; i < ride->trace.n; i += stride) {
    csv_number(csv, ride->trace.start + i*ride->trace.step);
    for (int j = 0; j < WHOLE; j++) csv_number(csv, value(ride, &whole[j], 0, i));
    for (int j = 0; j < EACH; j++)
      for (int leg = 0; leg < ride->legs; leg++) csv_number(csv, value(ride, &each[j], leg, i));
    csv_line(csv);
  }
}

struct range { double low, high; };

static void widen(struct range *range, double at)
{
  if (at < range->low) range->low = at;
  if (at > range->high) range->high = at;
}

static const struct column *column_of(int channel)
{
  for (int j = 0; j < WHOLE; j++)
    if (whole[j].channel == channel) return &whole[j];
  return NULL;
}

static struct range range_of(const struct ride_shown *shown, int n, int channel)
{
  struct range range = {INFINITY, -INFINITY};
  const struct column *column = column_of(channel);
  for (int k = 0; k < n; k++)
    for (int i = 0; i < shown[k].ride->trace.n; i++)
      widen(&range, value(shown[k].ride, column, 0, i));
  return range;
}

static void block(struct gp *gp, const struct df_ride *ride, int k)
{
  static const int channels[] = {DF_C_TRAVEL,   DF_C_ROAD,  DF_C_ACCELERATION, DF_C_TYRE,
                                 DF_C_VELOCITY, DF_C_SPEED, DF_C_BRAKE};
  int stride = 1 + ride->trace.n/PICTURE_ROWS;
  gp_block_begin(gp, "ride", k);
  for (int i = 0; i < ride->trace.n; i += stride) {
    double row[8] = {ride->trace.start + i*ride->trace.step};
    for (int j = 0; j < 7; j++) row[j + 1] = value(ride, column_of(channels[j]), 0, i);
    gp_block_row(gp, row, 8);
  }
  gp_block_end(gp);
}

static void limits(struct gp *gp, const struct ride_shown *shown, int n)
{
  const struct df_scenario *scenario = shown[0].scenario;
  struct range travel = range_of(shown, n, DF_C_TRAVEL), road = range_of(shown, n, DF_C_ROAD);
  double metal = 1e3*scenario->side[0].leg.travel;
  gp_number(gp, "sag_mm", 1e3*shown[0].ride->static_travel);
  gp_number(gp, "cone_mm", metal - 1e3*scenario->cone.length);
  gp_number(gp, "metal_mm", metal);
  gp_number(gp, "travel_low", fmin(0, travel.low - 3));
  gp_number(gp, "travel_high", fmax(metal, travel.high) + 3);
  double span = fmax(road.high - road.low, 10); // mm: a flat road is drawn flat
  gp_number(gp, "road_low", road.low - 0.3*span);
  gp_number(gp, "road_high", road.low + 1.3*span);
  struct range mass = range_of(shown, n, DF_C_ACCELERATION), tyre = range_of(shown, n, DF_C_TYRE);
  double margin = fmax(0.05 * (mass.high - mass.low),
                       0.5); // m/s2: a ride without shocks is drawn calm
  gp_number(gp, "acceleration_low", mass.low - margin);
  gp_number(gp, "acceleration_high", mass.high + margin);
  gp_number(gp, "tyre_high", 1.05*fmax(tyre.high, 1));
}

void plot_ride(FILE *stream, const char *stem, const char *title, const struct ride_shown *shown,
               int n)
{
  if (n > GP_CURVES_MAX) n = GP_CURVES_MAX;
  struct gp gp = gp_begin(stream, stem, "Stroke used over a road");
  const char *list[GP_CURVES_MAX];
  const struct df_scenario *scenarios[GP_CURVES_MAX];
  char brief[GP_CURVES_MAX][SHORT_NAME];
  double last = 0, place[GP_CURVES_MAX], most = 1;
  const struct df_ride *first = shown[0].ride;
  for (int k = 0; k < n; k++) {
    const struct df_trace *trace = &shown[k].ride->trace;
    list[k] = shown[k].name, scenarios[k] = shown[k].scenario;
    last = fmax(last, trace->start + (trace->n - 1)*trace->step);
    place[k] = trace->n ? value(shown[k].ride, column_of(DF_C_TYRE), 0, trace->n - 1) : 0;
    most = fmax(most, 2*place[k]);
  }
  short_names(scenarios, list, n, brief);
  for (int k = 0; k < n; k++) list[k] = brief[k];
  gp_spread(place, n, 0.3*most);
  gp_text(&gp, "title", title);
  gp_number(&gp, "scenarios", n);
  gp_texts(&gp, "name", list, n);
  gp_number(&gp, "time_first", first->trace.start);
  gp_number(&gp, "time_last", last);
  gp_numbers(&gp, "tyre_label", place, n);
  gp_number(&gp, "peak_time", first->peak[DF_P_TRAVEL].most_at);
  gp_number(&gp, "peak_mm", 1e3*first->peak[DF_P_TRAVEL].most);
  limits(&gp, shown, n);
  for (int k = 0; k < n; k++) block(&gp, shown[k].ride, k + 1);
  gp_finish(&gp, "ride");
}

const char *const peak_part_names[PEAK_PARTS] = {"spring",   "air",  "damping",
                                                 "friction", "cone", "stop"};

void plot_measures(FILE *stream, const char *title, const char *const *road,
                   double (*part)[PEAK_PARTS], int n)
{
  struct gp gp = gp_begin(stream, "measures", "What made the hardest moment of each road");
  gp_text(&gp, "title", title);
  gp_number(&gp, "roads", n);
  gp_texts(&gp, "road", road, n);
  gp_block_begin(&gp, "parts", 1);
  for (int i = 0; i < n; i++) {
    double row[1 + PEAK_PARTS] = {i + 1};
    for (int j = 0; j < PEAK_PARTS; j++) row[j + 1] = isfinite(part[i][j]) ? part[i][j] : 0;
    gp_block_row(&gp, row, 1 + PEAK_PARTS);
  }
  gp_block_end(&gp);
  gp_finish(&gp, "measures");
}
