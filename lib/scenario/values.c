// For commands that take values: typical forks, series to vary, single quantities, twins.
#include "scenario/reading.h"

#include "base/plain.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// Common practice for travel, holes and rates; the level is a trade book's printed table. The oil
// is the middle of the usual range.
#define TYPICAL(tube_, travel_, compression_, rebound_)                                            \
  {                                                                                                \
    tube_, "leg: {tube_outside: " #tube_ " mm, travel: " #travel_ " mm}\n"                         \
           "rod: {compression_holes: [{count: 2, diameter: " #compression_                         \
           " mm}], rebound_holes: [{count: 2, diameter: " #rebound_ " mm}]}\n"                     \
           "oil: {viscosity_40: 32 mm2/s}\n"                                                       \
  }
const struct df_typical df_typical_forks[] = {
  TYPICAL(35, 140, 5, 1.6),
  TYPICAL(37, 140, 5, 1.8),
  TYPICAL(41, 130, 6, 2.2),
  TYPICAL(43, 150, 6, 2.2),
};
const int df_typical_fork_count = sizeof df_typical_forks/sizeof df_typical_forks[0];

// --- Quantities and units

enum df_status df_quantity_parse(struct df_units *units, const struct df_param *row,
                                 const char *key, const char *text, double *si,
                                 struct df_faults *faults)
{
  struct df_quantity quantity;
  char why[DF_WHY_MAX];
  locale_t before = df_plain_enter();
  enum df_verdict verdict = df_quantity_read(units, row, text, &quantity, why, sizeof why);
  df_plain_leave(before);
  if (verdict != DF_FINE)
    df_fault_at(faults, NULL, 0, 0, DF_BAD_INPUT, verdict == DF_ODD, key, "%s", why);
  *si = verdict == DF_WRONG ? NAN : quantity.si;
  return verdict == DF_WRONG ? DF_BAD_INPUT : DF_OK;
}

enum df_status df_value_print(struct df_units *units, double si, const char *unit, int digits,
                              char *text, size_t size)
{
  char why[DF_WHY_MAX];
  const struct df_unit *found = df_unit_find(units, unit, why, sizeof why);
  if (size) *text = 0;
  if (!found) return DF_UNKNOWN_NAME;
  locale_t before = df_plain_enter();
  df_unit_print(found, si, digits, text, size);
  df_plain_leave(before);
  return DF_OK;
}

double df_value_in(struct df_units *units, double si, const char *unit)
{
  char why[DF_WHY_MAX];
  const struct df_unit *found = df_unit_find(units, unit, why, sizeof why);
  return found ? df_unit_from_si(found, si) : NAN;
}

double df_value_si(struct df_units *units, double value, const char *unit)
{
  char why[DF_WHY_MAX];
  const struct df_unit *found = df_unit_find(units, unit, why, sizeof why);
  return found ? df_unit_to_si(found, value) : NAN;
}

int df_units_alike(struct df_units *units, const char *a, const char *b)
{
  char why[DF_WHY_MAX];
  const struct df_unit *ua = df_unit_find(units, a, why, sizeof why),
                       *ub = df_unit_find(units, b, why, sizeof why);
  return ua && ub && df_unit_same(ua, ub);
}

// --- Series

static enum df_status vary_fault(struct df_faults *faults, const char *path, const char *why)
{
  return df_fault_at(faults, NULL, 0, 0, DF_BAD_INPUT, 0, path, "%s", why);
}

// Values in SI (turns stay turns), each inside the row's range.
static enum df_status vary_values(struct df_vary *out, const struct df_reading *reading,
                                  struct df_faults *faults)
{
  char why[DF_WHY_MAX] = "";
  const struct df_unit *unit = df_unit_find(reading->units, out->unit, why, sizeof why);
  const struct df_unit *own = df_unit_find(reading->units, out->row->unit, why, sizeof why);
  if (!unit || !own) return vary_fault(faults, out->path, why);
  int other = out->row->or_unit && !strcmp(out->row->or_unit, out->unit);
  if (!other && !df_unit_same(unit, own)) {
    int bare = !strcmp(out->unit, "1");
    snprintf(why, sizeof why,
             bare ? "no unit; write it behind the last value, as in 1:4:0.5 %s"
                  : "%s is not a unit for this value; %s is wanted",
             bare ? out->row->unit : out->unit, out->row->unit);
    return vary_fault(faults, out->path, why);
  }
  for (int i = 0; i < out->n; i++) {
    struct df_quantity quantity = {.value = out->value[i],
                                   .unit = unit,
                                   .si = df_unit_to_si(unit, out->value[i]),
                                   .other = other};
    out->si[i] = quantity.si;
    if (df_quantity_check(reading->units, out->row, &quantity, why, sizeof why) == DF_WRONG)
      return vary_fault(faults, out->path, why);
  }
  return DF_OK;
}

static enum df_status vary_read(struct df_vary *out, const struct df_reading *reading,
                                const char *text, int most, struct df_faults *faults)
{
  char why[DF_WHY_MAX];
  size_t n = strcspn(text, "=");
  if (text[n] != '=' || !n || n >= sizeof out->path)
    return vary_fault(faults, "", "written KEY=FIRST:LAST:STEP UNIT or KEY=A,B,... UNIT");
  memcpy(out->path, text, n);
  out->path[n] = 0;
  int i = df_reading_find(reading, out->path);
  if (i < 0)
    return df_fault_add(faults, DF_UNKNOWN_NAME, out->path, "the scenario has no such value");
  out->row = reading->slot[i].row;
  snprintf(out->path, sizeof out->path, "%s", reading->slot[i].path);
  if (out->row->form != DF_QUANTITY && out->row->form != DF_COUNT && out->row->form != DF_NUMBERS)
    return vary_fault(faults, out->path, "not a number; only numbers can be varied");
  out->n = df_series_read(text + n + 1, out->value, most, out->unit, why, sizeof why);
  return out->n ? vary_values(out, reading, faults) : vary_fault(faults, out->path, why);
}

enum df_status df_vary_init(struct df_vary *out, const struct df_reading *reading, const char *text,
                            int most, struct df_faults *faults)
{
  *out = (struct df_vary){ 0 };
  out->value = calloc((size_t)most, sizeof *out->value);
  out->si = calloc((size_t)most, sizeof *out->si);
  locale_t before = df_plain_enter();
  enum df_status status = out->value && out->si
                              ? vary_read(out, reading, text, most, faults)
                              : df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  df_plain_leave(before);
  if (status) df_vary_finish(out);
  return status;
}

void df_vary_finish(struct df_vary *vary)
{
  free(vary->value);
  free(vary->si);
  vary->value = vary->si = NULL;
  vary->n = 0;
}

// --- Twins

enum { CHANGES = 16, CHANGE_ROOM = 80 };
struct changes { char text[CHANGES][CHANGE_ROOM]; const char *list[CHANGES]; int n; };

__attribute__((format(printf, 2, 3)))
static void change(struct changes *changes, const char *format, ...)
{
  va_list arguments;
  if (changes->n == CHANGES) return;
  va_start(arguments, format);
  vsnprintf(changes->text[changes->n], CHANGE_ROOM, format, arguments);
  va_end(arguments);
  changes->list[changes->n] = changes->text[changes->n];
  changes->n++;
}

// Spring preload and gas volume of one side stay what they are.
static void keep_side(struct changes *changes, const struct df_side *side, const char *prefix,
                      double solids)
{
  change(changes, "%sspring.preload=%.15g mm", prefix, side->spring.preload*1e3);
  if (side->spacer.given) change(changes, "%sspacer.length=none", prefix);
  if (side->has_valve && side->air.level_taken.valve == DF_OUT)
    solids += side->valve.volume; // it will not be there any more
  if (isfinite(solids)) change(changes, "%sair.solids=%.15g cm3", prefix, solids*1e6);
  change(changes, "%sair.level_taken.valve=in", prefix);
}

static void swap_valve(struct changes *changes, const struct df_side *side, const char *prefix,
                       int valved)
{
  change(changes, valved ? "%svalve=none" : "%svalve={}", prefix);
  if (!valved) change(changes, "%srod.state=opened", prefix);
  else if (side->rod.has_as_found) change(changes, "%srod.state=as_found", prefix);
}

enum df_status df_reading_twin(struct df_reading **out, const struct df_reading *reading,
                               double solids, struct df_faults *faults)
{
  const struct df_scenario *scenario = &reading->scenario;
  struct changes changes = { .n = 0 };
  int valved = scenario->side[0].has_valve;
  *out = NULL;
  if (scenario->side[0].leg.has_linear)
    return df_fault_add(faults, DF_BAD_INPUT, "leg.linear",
                        "a linear leg has neither rod nor valve, so there is no twin");
  locale_t before = df_plain_enter();
  swap_valve(&changes, &scenario->side[0], "", valved);
  keep_side(&changes, &scenario->side[0], "", solids);
  if (scenario->unlike) {
    swap_valve(&changes, &scenario->side[1], "right.", valved);
    keep_side(&changes, &scenario->side[1], "right.", NAN);
  }
  change(&changes, "expect=none");
  df_plain_leave(before);
  struct df_reading *twin = df_reading_copy(reading);
  enum df_status status = twin ? df_reading_override(twin, changes.list, changes.n, faults)
                               : df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  if (status) df_reading_destroy(twin);
  else *out = twin;
  return status;
}
