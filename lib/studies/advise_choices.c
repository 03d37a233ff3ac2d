// What advise may change, and the settings that can be made: what a tool can measure, what is at hand.
#include "studies/advise_parts.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_sort.h>

#include "dampfork/oil.h"

const char *const df_work_names[DF_WORKS] = {"outside", "cap_off", "spring_out", "leg_off", "rod_out"};
const double df_work_minutes[DF_WORKS] = {5, 30, 60, 120, 240}; // common practice, two legs

// One key. Values lie `step` apart, within `below` and `above` of the present one; a `whole` one lies on
// multiples of the step.
struct change_row {
  const char *key, *name, *unit;
  enum df_work work;
  int usual, whole;
  double step, below, above, low;
};
static const struct change_row rows[] = {
    // a quarter turn is what a hand can set; three turns more coil-bind no usual spring
    {"valve.preload", "valve preload", "turn", DF_WORK_SPRING_OUT, 1, 0, 0.25, 2, 3, 0},
    // springs are sold by 0.5 N/mm
    {"spring.rate", "spring", "N/mm", DF_WORK_CAP_OFF, 1, 1, 0.5, 1.5, 1.5, 1},
    // a spacer is cut to 1 mm; under 5 mm a spring is easily loose when it has settled
    {"spring.preload", "spring preload", "mm", DF_WORK_CAP_OFF, 1, 0, 1, 12, 12, 5},
    {"air.oil_level", "oil level", "mm", DF_WORK_CAP_OFF, 1, 1, 5, 20, 20, 60},
    {"oil.viscosity_40", "oil at 40 C", "mm2/s", DF_WORK_LEG_OFF, 0, 0, 0, 0, 0, 1},
    {"valve.bleed_holes[1].diameter", "bleed holes", "mm", DF_WORK_SPRING_OUT, 0, 0, 0.1, 0.5, 0.5, 0.5},
    {"valve.spring_rate", "valve spring", "N/mm", DF_WORK_SPRING_OUT, 0, 0, 1, 5, 5, 2},
    // a tyre is set outside the fork: 0.2 bar is about 8 % (from memory)
    {"tyre.stiffness", "tyre", "N/mm", DF_WORK_OUTSIDE, 0, 0, 0, 0, 0, 50},
    // fresh seals, greased, the axle clamped without strain: 5 N is as fine as it can be felt
    {"seals.sliding", "seal friction", "N", DF_WORK_LEG_OFF, 0, 1, 5, 40, 0, 10},
    // holes only grow
    {"rod.rebound_holes[1].diameter", "rebound holes", "mm", DF_WORK_ROD_OUT, 0, 0, 0.1, 0, 0.4, 0.5},
    {"rod.compression_holes[1].diameter", "compression holes", "mm", DF_WORK_ROD_OUT, 0, 0, 0.5, 0, 2, 1},
};
enum { ROWS = sizeof rows/sizeof *rows };

const char *df_choice_key(int i, int *usual)
{
  if (i < 0 || i >= ROWS) return NULL;
  if (usual) *usual = rows[i].usual;
  return rows[i].key;
}

// Holes may stand in the section of the rod's state.
static int find_value(const struct df_reading *reading, const char *key, struct df_value *value, char *path,
                      size_t size)
{
  static const char *const places[] = {"opened.", "as_found.", ""};
  int rod = !strncmp(key, "rod.", 4), state = df_reading_scenario(reading)->side[0].rod.state;
  for (int i = 0; i < (rod ? 3 : 1); i++) {
    if (rod && i == 0 && state != DF_ROD_OPENED) continue;
    if (rod && i == 1 && state == DF_ROD_OPENED) continue;
    if (rod) snprintf(path, size, "rod.%s%s", places[i], key + 4);
    else snprintf(path, size, "%s", key);
    int at = df_reading_find(reading, path);
    if (at < 0) continue;
    df_reading_value(reading, at, value);
    if (isfinite(value->si)) return 1;
  }
  return 0;
}

static void add(struct df_choice *choice, double value)
{
  for (int i = 0; i < choice->n; i++)
    if (fabs(choice->value[i] - value) < 1e-6*fmax(1, fabs(value))) return;
  if (choice->n < DF_CHOICE_VALUES_MAX) choice->value[choice->n++] = value;
}

static void add_steps(struct df_choice *choice, const struct change_row *row)
{
  double first = row->whole ? row->step*ceil((choice->now - row->below)/row->step - 1e-9)
                            : choice->now - row->step*floor(row->below/row->step + 1e-9);
  for (double v = first; v <= choice->now + row->above + 1e-9; v += row->step)
    if (v >= row->low - 1e-9) add(choice, v);
}

// Every sum of washers at hand, on top of what is in.
static void add_washers(struct df_choice *choice, const struct df_have *have)
{
  for (int mask = 1; mask < 1 << (have->washers_n < 5 ? have->washers_n : 5); mask++) {
    double sum = 0;
    for (int i = 0; i < 5; i++)
      if (mask >> i & 1) sum += have->washers[i];
    add(choice, choice->now + 1e3*sum);
  }
}

// ISO 3448 grades near the present one: what is sold by its viscosity.
static void add_oils(struct df_choice *choice, const struct df_have *have)
{
  static const double grade[] = {10, 15, 22, 32, 46, 68, 100};
  for (int i = 0; i < have->oils_n; i++) add(choice, 1e6*have->oils[i]);
  for (size_t i = 0; !have->oils_n && i < sizeof grade/sizeof *grade; i++)
    if (grade[i] > choice->now/2.2 && grade[i] < choice->now*2.2) add(choice, grade[i]);
}

// 0.2 bar to either side: more is for the tyre's maker to say.
static void add_pressures(struct df_choice *choice)
{
  add(choice, round(0.92*choice->now));
  add(choice, round(1.08*choice->now));
}

static void fill_values(struct df_choice *choice, const struct change_row *row, const struct df_have *have)
{
  add(choice, choice->now);
  if (!strcmp(row->key, "spring.rate") && have->springs_n)
    for (int i = 0; i < have->springs_n; i++) add(choice, 1e-3*have->springs[i]);
  else if (!strcmp(row->key, "spring.preload") && have->washers_n) add_washers(choice, have);
  else if (!strcmp(row->key, "oil.viscosity_40")) add_oils(choice, have);
  else if (!strcmp(row->key, "tyre.stiffness")) add_pressures(choice);
  else add_steps(choice, row);
  gsl_sort(choice->value, 1, (size_t)choice->n);
  for (int i = 0; i < choice->n; i++)
    if (choice->value[i] == choice->now) choice->at_now = i;
}

static int choice_make(const struct df_reading *reading, const struct change_row *row, struct df_choice *out)
{
  const struct df_scenario *s = df_reading_scenario(reading);
  struct df_value value;
  *out = (struct df_choice){.name = row->name, .unit = row->unit, .work = row->work};
  if (!strncmp(row->key, "valve.", 6) && !s->side[0].has_valve) return 0;
  if (s->side[0].leg.has_linear) return 0; // a linear leg has no parts
  if (!find_value(reading, row->key, &value, out->path, sizeof out->path)) return 0;
  out->now = strcmp(row->unit, "turn") ? value.in_unit : value.si/s->side[0].valve.adjuster_pitch;
  out->now = round(out->now*1e6)/1e6; // 3 turns, not 2.9999999999999996
  fill_values(out, row, &s->have);
  return 1;
}

static const struct change_row *row_of(const char *key)
{
  char plain[96];
  snprintf(plain, sizeof plain, "%s", key);
  for (size_t i = 0; i < ROWS; i++) {
    if (!strcmp(plain, rows[i].key)) return &rows[i];
    size_t n = strcspn(rows[i].key, "["); // "valve.bleed_holes" will do
    if (strlen(plain) == n && !strncmp(plain, rows[i].key, n) && rows[i].key[n]) return &rows[i];
  }
  return NULL;
}

static enum df_status unknown(const char *key, struct df_faults *faults)
{
  char list[400] = "";
  for (size_t i = 0; i < ROWS; i++)
    snprintf(list + strlen(list), sizeof list - strlen(list), "%s%s", i ? ", " : "", rows[i].key);
  return df_fault_add(faults, DF_UNKNOWN_NAME, key, "cannot be changed here; what can: %s", list);
}

enum df_status df_choices_make(const struct df_reading *reading, const char *const *key, int key_n,
                               struct df_choice *out, int *n, struct df_faults *faults)
{
  *n = 0;
  for (int i = 0; !key && i < ROWS; i++)
    if (rows[i].usual) *n += choice_make(reading, &rows[i], &out[*n]);
  for (int i = 0; key && i < key_n; i++) {
    const struct change_row *row = row_of(key[i]);
    int known = 0;
    if (!row) return unknown(key[i], faults);
    for (int j = 0; j < *n; j++) known |= out[j].name == row->name;
    if (known || *n == DF_CHOICES_MAX) continue;
    if (!choice_make(reading, row, &out[*n]))
      return df_fault_add(faults, DF_UNKNOWN_NAME, key[i], "this fork has none");
    ++*n;
  }
  return DF_OK;
}

// ---- setting ----
struct puts { int n; const char *path[2*DF_CHOICES_MAX], *unit[2*DF_CHOICES_MAX]; double value[2*DF_CHOICES_MAX]; };

static void put(struct puts *p, const char *path, double value, const char *unit)
{
  p->path[p->n] = path, p->value[p->n] = value, p->unit[p->n++] = unit;
}

static int given(const struct df_reading *reading, const char *path, double *in_unit)
{
  struct df_value value;
  int at = df_reading_find(reading, path);
  if (at < 0) return 0;
  df_reading_value(reading, at, &value);
  if (in_unit) *in_unit = value.in_unit;
  return value.given && isfinite(value.in_unit);
}

// A longer spacer is what more spring preload is made of.
static void put_preload(struct puts *p, const struct df_reading *reading, const struct df_choice *c, double value)
{
  double length;
  int spacer = given(reading, "spacer.length", &length) && given(reading, "spacer.depth_to_spring", NULL);
  if (spacer) put(p, "spacer.length", length + value - c->now, "mm");
  if (!spacer || given(reading, "spring.preload", NULL)) put(p, c->path, value, c->unit);
}

// Another oil keeps the viscosity index.
static void put_oil(struct puts *p, const struct df_reading *reading, const struct df_choice *c, double value)
{
  double at_100;
  put(p, c->path, value, c->unit);
  if (!given(reading, "oil.viscosity_100", &at_100)) return;
  double index = df_oil_viscosity_index(1e-6*c->now, 1e-6*at_100);
  put(p, "oil.viscosity_100", 1e6*df_oil_viscosity_100(1e-6*value, index), "mm2/s");
}

static void put_choice(struct puts *p, const struct df_reading *reading, const struct df_choice *c, double value)
{
  if (!strcmp(c->path, "spring.preload")) put_preload(p, reading, c, value);
  else if (!strcmp(c->path, "oil.viscosity_40")) put_oil(p, reading, c, value);
  else put(p, c->path, value, c->unit);
}

int df_choice_sets(const struct df_reading *reading, const struct df_choice *choice, int at, char text[2][120])
{
  struct puts p = {.n = 0};
  put_choice(&p, reading, choice, choice->value[at]);
  for (int i = 0; i < p.n && i < 2; i++)
    snprintf(text[i], sizeof text[i], "%s=%.5g %s", p.path[i], p.value[i], p.unit[i]);
  return p.n < 2 ? p.n : 2;
}

enum df_status df_choices_set(const struct df_reading *reading, const struct df_choice *choice, int n,
                              const int *at, struct df_reading **out, struct df_faults *faults)
{
  struct puts p = {.n = 0};
  *out = df_reading_copy(reading);
  if (!*out) return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  for (int k = 0; k < n; k++) {
    if (at[k] != choice[k].at_now) put_choice(&p, reading, &choice[k], choice[k].value[at[k]]);
  }
  enum df_status status = p.n ? df_reading_set_all_in(*out, p.n, p.path, p.value, p.unit, faults) : DF_OK;
  if (status == DF_OK) return DF_OK;
  df_reading_destroy(*out);
  *out = NULL;
  return status;
}
