// Attribution by experiment: from one fork to another, a changed value at a time, averaged over all
// orders.
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/param.h"
#include "dampfork/compare.h"
#include "scenario/params.h"

enum { PIECES_MAX = 400, MASKS_MAX = 1 << DF_CHANGES_MAX };

// Bytes of a scenario that differ between two forks, and what they are called.
struct piece {
  size_t at, size;
  size_t flag; // offset of an int that says how many or whether; 0: none
  char key[64];
  const struct df_param *row;
};
struct pieces {
  int n;
  struct piece at[PIECES_MAX];
  const char *a, *b;
  int apart;
};

// Not of the fork, said elsewhere, or without bearing on a ride.
static int skipped(const char *key)
{
  static const char *const list[] = {
      "rider",  "load",  "roads",     "use",    "have",           "as_found",
      "opened", "state", "tolerance", "method", "yield_strength", "exposed_at_full_travel",
      NULL};
  for (int i = 0; list[i]; i++)
    if (!strcmp(list[i], key)) return 1;
  return 0;
}

static int same_number(const char *a, const char *b)
{
  double x, y;
  memcpy(&x, a, sizeof x), memcpy(&y, b, sizeof y);
  return fabs(x - y) <= 1e-12 * fabs(x) ||
         (isnan(x) && isnan(y)); // closer than that is rounding of units
}

static void add(struct pieces *p, const char *key, const struct df_param *row, size_t at,
                size_t size, size_t flag)
{
  if (p->n >= PIECES_MAX) return;
  struct piece *piece = &p->at[p->n++];
  *piece = (struct piece){.at = at, .size = size, .flag = flag, .row = row};
  snprintf(piece->key, sizeof piece->key, "%.63s", key);
}

static int int_at(const char *scenario, size_t at)
{
  int value;
  memcpy(&value, scenario + at, sizeof value);
  return value;
}

static void walk(struct pieces *p, const struct df_section *section, size_t base,
                 const char *prefix);

static void walk_section(struct pieces *p, const struct df_param *row, size_t at, size_t flag,
                         const char *key, int right)
{
  if (flag && !right) {
    int a = int_at(p->a, flag), b = int_at(p->b, flag);
    if (a != b) add(p, key, row, at, row->of->size, flag);
    if (a != b || !a) return;
  }
  if (right && !p->apart) return;
  walk(p, row->of, at, key);
}

static void walk_row(struct pieces *p, const struct df_param *row, size_t base, const char *key)
{
  size_t at = base + (size_t)row->at, flag = row->has == DF_NO_OFFSET ? 0 : base + (size_t)row->has;
  switch (row->form) {
  case DF_QUANTITY:
  case DF_COUNT:
  case DF_WORD_NUMBER:
    if (!same_number(p->a + at, p->b + at)) add(p, key, row, at, sizeof(double), 0);
    break;
  case DF_WORD:
    if (int_at(p->a, at) != int_at(p->b, at)) add(p, key, row, at, sizeof(int), 0);
    break;
  case DF_LIST:
  case DF_NUMBERS: {
    size_t size = (row->form == DF_LIST ? row->of->size : sizeof(double)) * (size_t)row->most;
    int n = int_at(p->a, flag), differs = n != int_at(p->b, flag);
    for (size_t i = 0; i < size / (size_t)row->most * (size_t)n && !differs; i += sizeof(double))
      differs = !same_number(p->a + at + i, p->b + at + i);
    if (differs) add(p, key, row, at, size, flag);
    break;
  }
  case DF_SECTION:
    walk_section(p, row, at, flag, key, !strcmp(row->key, "right"));
    break;
  default:
    break;
  }
}

static void walk(struct pieces *p, const struct df_section *section, size_t base,
                 const char *prefix)
{
  for (int i = 0; i < section->rows; i++) {
    const struct df_param *row = &section->row[i];
    if (row->at == DF_NO_OFFSET || skipped(row->key)) continue;
    char key[128];
    snprintf(key, sizeof key, "%.60s%s%.60s", prefix, *prefix ? "." : "", row->key);
    walk_row(p, row, base, key);
  }
}

// First component of a key, of the right leg the first two.
static void section_of(const char *key, char *out, size_t size)
{
  size_t n = strcspn(key, ".");
  if (!strncmp(key, "right.", 6)) n = 6 + strcspn(key + 6, ".");
  snprintf(out, size, "%.*s", (int)n, key);
}

static double number_at(const char *scenario, size_t at)
{
  double value;
  memcpy(&value, scenario + at, sizeof value);
  return value;
}

static void holes_text(const char *scenario, const struct piece *piece, char *out, size_t size)
{
  size_t used = 0;
  int n = int_at(scenario, piece->flag);
  out[0] = 0;
  for (int i = 0; i < n && used < size;
       i++) { // count and diameter come first in every list of holes
    const char *item = scenario + piece->at + (size_t)i * piece->row->of->size;
    used += (size_t)snprintf(out + used, size - used, "%s%.3g x %.4g mm", i ? " + " : "",
                             number_at(item, 0), 1e3 * number_at(item, sizeof(double)));
  }
  if (!n) snprintf(out, size, "none");
}

static void describe(const char *scenario, const struct piece *piece, double *number, char *text,
                     size_t size)
{
  *number = NAN, text[0] = 0;
  switch (piece->row->form) {
  case DF_QUANTITY:
  case DF_COUNT:
    *number = number_at(scenario, piece->at);
    break;
  case DF_WORD: {
    int word = int_at(scenario, piece->at);
    snprintf(text, size, "%s", piece->row->words && word >= 0 ? piece->row->words[word] : "-");
    break;
  }
  case DF_SECTION:
    snprintf(text, size, "%s", int_at(scenario, piece->flag) ? "fitted" : "none");
    break;
  case DF_LIST:
    holes_text(scenario, piece, text, size);
    break;
  default:
    snprintf(text, size, "changed");
    break;
  }
}

// A spacer and the room its steel takes are one change: cut the one and the other follows.
static int spacer_differs(const struct pieces *p)
{
  for (int i = 0; i < p->n; i++)
    if (!strncmp(p->at[i].key, "spacer", 6)) return 1;
  return 0;
}

static int group_of(struct df_explained *out, const char *name)
{
  for (int i = 0; i < out->n; i++)
    if (!strcmp(out->change[i].key, name)) return i;
  if (out->n == DF_CHANGES_MAX) { // the last takes all the rest
    snprintf(out->change[DF_CHANGES_MAX - 1].key, sizeof out->change[0].key, "other");
    return DF_CHANGES_MAX - 1;
  }
  snprintf(out->change[out->n].key, sizeof out->change[0].key, "%s", name);
  return out->n++;
}

// Which change each piece belongs to: of its own, or by section when there are too many.
static void gather(const struct pieces *p, int *owner, struct df_explained *out)
{
  int by_section = p->n > DF_CHANGES_MAX;
  for (int i = 0; i < p->n; i++) {
    char name[64];
    const struct piece *piece = &p->at[i];
    if (by_section) section_of(piece->key, name, sizeof name);
    else snprintf(name, sizeof name, "%s", piece->key);
    if (!strncmp(name, "spacer", 6) || (!strcmp(piece->key, "air.solids") && spacer_differs(p)))
      snprintf(name, sizeof name, "spacer");
    struct df_change *change = &out->change[owner[i] = group_of(out, name)];
    if (change->values++) {
      snprintf(change->from_text, sizeof change->from_text, "-");
      snprintf(change->to_text, sizeof change->to_text, "%d values", change->values);
      change->from = change->to = NAN, change->unit = NULL;
      continue;
    }
    change->unit =
        piece->row->form == DF_QUANTITY || piece->row->form == DF_COUNT ? piece->row->unit : NULL;
    describe(p->a, piece, &change->from, change->from_text, sizeof change->from_text);
    describe(p->b, piece, &change->to, change->to_text, sizeof change->to_text);
  }
  out->grouped = by_section;
}

static void mix(struct df_scenario *out, const struct df_scenario *a, const struct df_scenario *b,
                const struct pieces *p, const int *owner, int mask)
{
  memcpy(out, a, sizeof *out);
  for (int i = 0; i < p->n; i++) {
    if (!(mask >> owner[i] & 1)) continue;
    const struct piece *piece = &p->at[i];
    memcpy((char *)out + piece->at, (const char *)b + piece->at, piece->size);
    if (piece->flag) memcpy((char *)out + piece->flag, (const char *)b + piece->flag, sizeof(int));
    // A valve's preload in turns goes with its preload.
    if (piece->row->or_unit && piece->row->form == DF_QUANTITY && piece->size == sizeof(double))
      out->side[0].valve.preload_turns = b->side[0].valve.preload_turns;
  }
  if (p->apart) out->unlike = 1;
  else memcpy(&out->side[1], &out->side[0], sizeof out->side[1]);
}

static enum df_status values_run(const struct df_scenario *a, const struct df_scenario *b,
                                 const struct pieces *p, const int *owner, int n,
                                 struct df_wanted wanted, const struct df_ride_options *options,
                                 int threads, double *value)
{
  int masks = 1 << n;
  struct df_scenario *scenario = malloc((size_t)masks * sizeof *scenario);
  struct df_case *cases = calloc((size_t)masks, sizeof *cases);
  enum df_status status = scenario && cases ? DF_OK : DF_NO_MEMORY;
  for (int mask = 0; mask < masks && status == DF_OK; mask++) {
    mix(&scenario[mask], a, b, p, owner, mask);
    cases[mask] = (struct df_case){.scenario = &scenario[mask], .values = &value[mask]};
  }
  if (status == DF_OK) status = df_cases_run(cases, masks, &wanted, 1, options, threads, NULL);
  free(scenario);
  free(cases);
  return status;
}

enum df_status df_explain(const struct df_scenario *a, const struct df_scenario *b,
                          struct df_wanted wanted, const struct df_ride_options *options,
                          int threads, struct df_explained *out)
{
  *out = (struct df_explained){.from = NAN, .to = NAN};
  struct pieces *p = calloc(1, sizeof *p);
  int *owner = calloc(PIECES_MAX, sizeof *owner);
  double *value = calloc(MASKS_MAX, sizeof *value);
  enum df_status status = p && owner && value ? DF_OK : DF_NO_MEMORY;
  if (status == DF_OK) {
    p->a = (const char *)a, p->b = (const char *)b, p->apart = a->unlike || b->unlike;
    walk(p, &df_scenario_section, 0, "");
    gather(p, owner, out);
    status = values_run(a, b, p, owner, out->n, wanted, options, threads, value);
  }
  if (status == DF_OK) {
    out->from = value[0], out->to = value[(1 << out->n) - 1];
    df_shapley(value, out->n, out->share);
  }
  free(p);
  free(owner);
  free(value);
  return status;
}
