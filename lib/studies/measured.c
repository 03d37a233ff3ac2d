// What was measured on the bike or the bench against what the scenario says: springs, oil level,
// timed strokes. A disagreement counts when it is larger than friction, the tool and the accuracy
// of the scenario's own values allow together (independent errors: root of the sum of squares).
#include "studies/measured.h"

#include <stdarg.h>
#include <stdio.h>

#include "base/param.h"
#include "dampfork/spring.h"

static const double watch_off = 0.05;     // s, a watch in a hand (common practice)

int df_check_add(struct df_checks *out, enum df_check_kind kind, double measured, double computed,
                 double less, double more, const char *format, ...)
{
  if (out->n == DF_CHECKS_MAX) return 1;
  struct df_check *check = &out->at[out->n++];
  va_list arguments;
  *check = (struct df_check){.kind = kind, .measured = measured, .computed = computed,
                             .low = computed - less, .high = computed + more};
  va_start(arguments, format);
  vsnprintf(check->what, sizeof check->what, format, arguments);
  va_end(arguments);
  check->agrees = measured >= check->low && measured <= check->high;
  out->wrong += !check->agrees;
  return check->agrees;
}

void df_check_reason(struct df_checks *out, const char *format, ...)
{
  if (out->reason_n == DF_REASONS_MAX) return;
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(out->reason[out->reason_n++], sizeof *out->reason, format, arguments);
  va_end(arguments);
}

double df_check_how_well(const struct df_reading *reading, const char *path)
{
  struct df_value value;
  int i = df_reading_find(reading, path);
  if (i < 0) return 0;
  df_reading_value(reading, i, &value);
  const struct df_param *row = value.row;
  if (value.absent || !isfinite(value.si)) return 0;
  if (row->tolerance_share > 0) return row->tolerance_share*fabs(value.si);
  if (!(row->tolerance > 0) || value.in_unit == 0) return 0;
  return row->tolerance*value.si/value.in_unit; // units of these rows begin at zero
}

static double spread_of(const struct df_data *data, double usual)
{
  return isfinite(data->accuracy) ? data->accuracy : usual;
}

// ---- springs: force at two lengths or more ----
struct spring_line { int n; double length, force, slope, slope_off, force_off; }; // means; N/m; N

// Least squares; slope is positive. slope_off: one standard deviation.
static struct spring_line line_of(const struct df_data *data, int part, const double *force)
{
  struct spring_line line = {0};
  double top = 0, under = 0, most = 0;
  for (int i = 0; i < data->n; i++) {
    if (data->at[DF_D_PART][i] != part) continue;
    line.n++, line.length += data->at[DF_D_LENGTH][i], line.force += force[i];
    most = fmax(most, fabs(force[i]));
  }
  line.length /= line.n, line.force /= line.n;
  for (int i = 0; i < data->n; i++) {
    if (data->at[DF_D_PART][i] != part) continue;
    double from = data->at[DF_D_LENGTH][i] - line.length;
    top -= from*(force[i] - line.force), under += from*from;
  }
  line.slope = top/under;
  line.force_off = spread_of(data, df_data_usual(DF_D_FORCE, NAN, most));
  line.slope_off = line.force_off/sqrt(under);
  return line;
}

static void forces_computed(const struct df_data *data, const struct df_spring *spring,
                            double *force)
{
  struct df_spring_law law = df_spring_law_of(spring);
  for (int i = 0; i < data->n; i++)
    force[i] = df_spring_force(&law, spring->free_length - data->at[DF_D_LENGTH][i], NULL);
}

static void tube_spring(const struct df_reading *reading, const struct df_data *data,
                        const struct spring_line *line, struct df_checks *out)
{
  const struct df_spring *spring = &df_reading_scenario(reading)->side[data->leg].spring;
  double *force = calloc((size_t)data->n, sizeof *force);
  if (!force) return;
  forces_computed(data, spring, force);
  struct spring_line said = line_of(data, 0, force);
  double off = hypot(DF_CHECK_SURE*line->slope_off, df_check_how_well(reading, "spring.rate"));
  int good = df_check_add(out, DF_CHECK_RATE, line->slope, said.slope, off, off, "spring rate");
  if (!good)
    df_check_reason(out,
                    "Spring: %.2f N/mm measured, %.2f in the scenario. Another spring, a scale read "
                    "in kgf (9.81 N), or coils that closed: put the measured rate in the scenario",
                    1e-3*line->slope, 1e-3*said.slope);
  // the length at which it begins to push, on the measured line
  double begins = line->length + line->force/line->slope;
  double sure = hypot(DF_CHECK_SURE*line->force_off/line->slope/sqrt(line->n),
                      (begins - line->length)*DF_CHECK_SURE*line->slope_off/line->slope);
  off = hypot(sure, df_check_how_well(reading, "spring.free_length"));
  if (good && !(spring->second_rate > 0) &&
      !df_check_add(out, DF_CHECK_LENGTH, begins, spring->free_length, off, off,
                    "spring's free length"))
    df_check_reason(out,
                    "Spring: it begins to push at %.1f mm, the scenario says %.1f mm free length. "
                    "Shortened, sagged, or measured with a washer: spring preload is off by as much",
                    1e3*begins, 1e3*spring->free_length);
  free(force);
}

static void plate_spring(const struct df_reading *reading, const struct df_data *data,
                         const struct spring_line *line, struct df_checks *out)
{
  const struct df_side *side = &df_reading_scenario(reading)->side[data->leg];
  if (!side->has_valve) return;
  double off = hypot(DF_CHECK_SURE*line->slope_off,
                     df_check_how_well(reading, "valve.spring_rate"));
  if (!df_check_add(out, DF_CHECK_RATE, line->slope, side->valve.spring_rate, off, off,
                    "valve's spring rate"))
    df_check_reason(out,
                    "Valve's spring: %.2f N/mm measured, %.2f in the scenario: turns count for %.0f "
                    "%% of what the sheet says",
                    1e-3*line->slope, 1e-3*side->valve.spring_rate,
                    100*line->slope/side->valve.spring_rate);
}

static enum df_status check_springs(const struct df_reading *reading, const struct df_data *data,
                                    struct df_checks *out, struct df_faults *faults)
{
  for (int part = 0; part < 2; part++) {
    int any = 0;
    for (int i = 0; i < data->n; i++) any += data->at[DF_D_PART][i] == part;
    if (!any) continue;
    struct spring_line line = line_of(data, part, data->at[DF_D_FORCE]);
    if (!isfinite(line.slope) || !(line.slope > 0))
      return df_fault_add(faults, DF_BAD_INPUT, "force",
                          "%s: a rate needs forces at two lengths, more force where shorter",
                          data->name);
    if (part) plate_spring(reading, data, &line, out);
    else tube_spring(reading, data, &line, out);
  }
  return DF_OK;
}

// ---- oil level as found ----
static const char *other_way(const struct df_oil_fill *fill, double level, double off)
{
  const struct { double level; const char *text; } ways[] = {
      {fill->with_all, "with spring and spacer in"}, {fill->with_spring, "with the spring in"},
      {fill->without_valve, "with the valve out"},   {fill->bare, "with spring and spacer out"}};
  for (size_t i = 0; i < sizeof ways/sizeof *ways; i++)
    if (fabs(level - ways[i].level) <= off) return ways[i].text;
  return NULL;
}

static enum df_status check_levels(const struct df_reading *reading, const struct df_data *data,
                                   struct df_checks *out, struct df_faults *faults)
{
  const struct df_scenario *s = df_reading_scenario(reading);
  double off = DF_CHECK_SURE*spread_of(data, df_data_usual(DF_D_OIL_LEVEL, NAN, NAN));
  for (int i = 0; i < data->n; i++) {
    int side = df_data_leg(data, i);
    double level = data->at[DF_D_OIL_LEVEL][i];
    struct df_oil_fill fill;
    enum df_status status = df_oil_fill_of(s, side, &fill, faults);
    if (status) return status;
    if (df_check_add(out, DF_CHECK_LENGTH, level, fill.level, off, off, "oil level, %s leg",
                     side ? "right" : "left"))
      continue;
    const char *way = other_way(&fill, level, off);
    if (way)
      df_check_reason(out, "Oil level: %.0f mm is what the scenario's %.0f mm would read %s: was it "
                      "taken so? Then say it in air.level_taken", 1e3*level, 1e3*fill.level, way);
    else
      df_check_reason(out,
                      "Oil level: %.0f mm from the rim, the scenario says %.0f (smaller is more "
                      "oil): taken before pumping, leg not collapsed, or another filling",
                      1e3*level, 1e3*fill.level);
  }
  return DF_OK;
}

// ---- timed strokes of the bare leg ----
// The fault whose time comes closest, if any is nearer than the sound leg.
static const char *likely_fault(const struct df_acceptance *test, int k, double time)
{
  const char *what = NULL;
  double nearest = fabs(log(time/test->time[k]));
  for (int i = 0; i < test->fault_n; i++) {
    double far = fabs(log(time/test->fault[i].time[k]));
    if (isfinite(far) && far < nearest) nearest = far, what = test->fault[i].what;
  }
  return what;
}

static void check_one_time(const struct df_scenario *s, const struct df_data *data, int i, int side,
                           struct df_checks *out)
{
  struct df_acceptance test;
  int k = (int)data->at[DF_D_DIRECTION][i];
  double time = data->at[DF_D_TIME][i], weight = df_gravity*data->at[DF_D_WEIGHT][i];
  double kelvin = isfinite(data->temperature) ? data->temperature
                                              : s->side[side].oil.level_temperature;
  double from = isfinite(data->travel) ? data->travel : 10e-3;
  double creep = weight - df_gravity*(k == DF_PUSH ? DF_PUSH_ADDED : DF_PULL_ADDED);
  df_acceptance_at(s, side, kelvin, from, data->at[DF_D_DISTANCE][i], creep, &test);
  double watch = DF_CHECK_SURE*spread_of(data, watch_off);
  const char *leg = side ? "right" : "left", *word = df_timed_words[k];
  if (!isfinite(test.time[k])) {
    df_check_add(out, DF_CHECK_TIME, time, test.time[k], 0, 0, "timed %s, %s leg", word, leg);
    df_check_reason(out, "%s leg, %s: the model's friction of %.0f N holds %.2f kg: find the weight "
                    "that just creeps and add to that", leg, word, s->seals.sliding,
                    weight/df_gravity);
    return;
  }
  if (df_check_add(out, DF_CHECK_TIME, time, test.time[k],
                   hypot(watch, test.time[k] - test.low[k]),
                   hypot(watch, test.high[k] - test.time[k]), "timed %s, %s leg", word, leg))
    return;
  const char *fault = likely_fault(&test, k, time);
  df_check_reason(out, "%s leg, %s too %s: looks like: %s", leg, word,
                  time < test.time[k] ? "fast" : "slow",
                  fault ? fault : "none of the faults known here; friction or temperature first");
}

// The same stroke by the same weight on both legs.
static void check_legs(const struct df_data *data, struct df_checks *out)
{
  const double *leg = data->at[DF_D_LEG];
  for (int i = 0; i < data->n; i++)
    for (int j = 0; j < data->n; j++) {
      int same = leg[i] == 0 && leg[j] == 1;
      const enum df_data_column alike[] = {DF_D_DIRECTION, DF_D_WEIGHT, DF_D_DISTANCE};
      for (int c = 0; c < 3; c++) same = same && data->at[alike[c]][i] == data->at[alike[c]][j];
      if (!same) continue;
      double apart = data->at[DF_D_TIME][j]/data->at[DF_D_TIME][i] - 1;
      if (!df_check_add(out, DF_CHECK_SHARE, apart, 0, DF_LEGS_APART, DF_LEGS_APART,
                        "%s, right against left", df_timed_words[(int)data->at[DF_D_DIRECTION][i]]))
        df_check_reason(out, "Left and right differ by %.0f %%: not the same oil, holes, valve or "
                        "friction in both", 100*fabs(apart));
    }
}

static void check_times(const struct df_reading *reading, const struct df_data *data,
                        struct df_checks *out)
{
  for (int i = 0; i < data->n; i++)
    check_one_time(df_reading_scenario(reading), data, i, df_data_leg(data, i), out);
  if (data->at[DF_D_LEG] && !df_reading_scenario(reading)->unlike) check_legs(data, out);
}

enum df_status df_checks_of(const struct df_reading *reading, const struct df_data *const *data,
                            int set_n, struct df_checks *out, struct df_faults *faults)
{
  enum df_status status = DF_OK;
  memset(out, 0, sizeof *out);
  df_check_sag(reading, data, set_n, out);
  for (int k = 0; k < set_n && !status; k++) {
    if (data[k]->kind == DF_DATA_SAG) continue;
    if (data[k]->kind == DF_DATA_SPRING) status = check_springs(reading, data[k], out, faults);
    else if (data[k]->kind == DF_DATA_LEVEL) status = check_levels(reading, data[k], out, faults);
    else if (data[k]->kind == DF_DATA_TIMED) check_times(reading, data[k], out);
    else
      status = df_fault_add(faults, DF_BAD_INPUT, "",
                            "%s holds %s data; the sheet compares sag, spring, level and timed. "
                            "fit learns from the others",
                            data[k]->name, df_data_kind_names[data[k]->kind]);
  }
  return status;
}
