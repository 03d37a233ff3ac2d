// A reading as others see it: made, asked, changed, copied.
#include "scenario/reading.h"

#include "base/plain.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct df_units *df_reading_units_create(struct df_faults *faults)
{
  return df_units_create(faults);
}

void df_reading_units_destroy(struct df_units *units)
{
  df_units_destroy(units);
}

// --- Making

static struct df_reading *blank(struct df_units *units, const struct df_reading_options *options)
{
  struct df_reading *reading = calloc(1, sizeof *reading);
  if (!reading) return NULL;
  reading->units = units;
  reading->arena.limit = reading->work.limit = DF_MEMORY_MAX;
  if (options) reading->options = *options;
  reading->options.set = NULL;
  reading->options.set_n = 0;
  return reading;
}

// The file's name without folder and ending, for a scenario without title.
static void take_stem(struct df_reading *reading, const char *name)
{
  const char *slash = strrchr(name, '/'), *base = slash ? slash + 1 : name,
             *dot = strrchr(base, '.');
  snprintf(reading->stem, sizeof reading->stem, "%.*s",
           dot && dot > base ? (int)(dot - base) : (int)strlen(base), base);
}

// Overrides, resolving, and the order of faults. What was made is given away, or destroyed.
static enum df_status finish(struct df_reading **out, struct df_reading *reading,
                             enum df_status status, const struct df_reading_options *options,
                             struct df_faults *faults, int from)
{
  int errors = faults->errors;
  if (reading->tree) {
    if (options && options->set_n) df_tree_override(reading, options->set, options->set_n, faults);
    enum df_status resolved = df_resolve(reading, faults);
    if (!status && (resolved || faults->errors > errors))
      status = resolved ? resolved : DF_BAD_INPUT;
  }
  df_faults_sort(faults, from, reading->sources);
  if (status) df_reading_destroy(reading);
  else *out = reading;
  return status;
}

static enum df_status create(struct df_reading **out, struct df_units *units, const char *name,
                             const char *folder, const char *text, size_t length,
                             const struct df_reading_options *options, struct df_faults *faults)
{
  struct df_faults *own = NULL;
  *out = NULL;
  struct df_reading *reading = blank(units, options);
  if (!faults) faults = own = calloc(1, sizeof *own);
  if (!reading || !faults) {
    free(reading);
    free(own);
    return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  }
  int from = faults->n, errors = faults->errors;
  locale_t before = df_plain_enter();
  take_stem(reading, name);
  enum df_status status = DF_OK;
  if (!text) {
    status = df_tree_file(reading, name, faults);
  } else {
    char *copy = length <= DF_MEMORY_MAX/2 ? df_arena_text(&reading->arena, text, length) : NULL;
    struct df_source *source = copy ? df_source_add(reading, name, folder, copy, length) : NULL;
    status = source ? df_tree_read(reading, source, faults)
                    : df_fault_add(faults, DF_NO_MEMORY, "", "the text is too large for memory");
  }
  if (!status && faults->errors > errors) status = DF_BAD_INPUT;
  status = finish(out, reading, status, options, faults, from);
  df_plain_leave(before);
  free(own);
  return status;
}

enum df_status df_reading_create(struct df_reading **out, struct df_units *units, const char *file,
                                 const struct df_reading_options *options, struct df_faults *faults)
{
  return create(out, units, file, NULL, NULL, 0, options, faults);
}

enum df_status df_reading_create_text(struct df_reading **out, struct df_units *units,
                                      const char *name, const char *folder, const char *text,
                                      size_t length, const struct df_reading_options *options,
                                      struct df_faults *faults)
{
  return create(out, units, name, folder, text, length, options, faults);
}

void df_reading_destroy(struct df_reading *reading)
{
  if (!reading) return;
  df_arena_finish(&reading->arena);
  df_arena_finish(&reading->work);
  free(reading->slot);
  free(reading);
}

const struct df_scenario *df_reading_scenario(const struct df_reading *reading)
{
  return &reading->scenario;
}

// --- Copying

static const struct df_source *source_of_rank(const struct df_reading *reading,
                                              const struct df_source *like)
{
  const struct df_source *source = reading->sources;
  while (like && source && source->rank != like->rank) source = source->next;
  return like ? source : NULL;
}

// Constants (units, words of ours) need no copy, but telling them apart costs more than the copy.
static int text_copy(struct df_reading *to, const char **text)
{
  if (*text) *text = df_arena_text(&to->arena, *text, strlen(*text));
  return *text != NULL;
}

struct df_node *df_tree_copy(struct df_reading *to, const struct df_node *node)
{
  struct df_node *copy = df_arena_take(&to->arena, sizeof *copy);
  if (!copy) return NULL;
  *copy = *node;
  copy->first = copy->last = copy->next = copy->origin = NULL;
  if ((node->key && !text_copy(to, &copy->key)) || (node->text && !text_copy(to, &copy->text)))
    return NULL;
  copy->source =
      node->source && node->source->name[0] ? source_of_rank(to, node->source) : node->source;
  for (const struct df_node *child = node->first; child; child = child->next) {
    struct df_node *below = df_tree_copy(to, child);
    if (!below) return NULL;
    df_node_append(copy, below);
  }
  return copy;
}

static int sources_copy(struct df_reading *to, const struct df_reading *from)
{
  for (const struct df_source *source = from->sources; source; source = source->next) {
    char *text = df_arena_text(&to->arena, source->text, source->length);
    if (!text || !df_source_add(to, source->name, source->folder, text, source->length)) return 0;
  }
  return 1;
}

struct df_reading *df_reading_copy(const struct df_reading *reading)
{
  struct df_reading *copy = blank(reading->units, &reading->options);
  if (!copy) return NULL;
  locale_t before = df_plain_enter();
  memcpy(copy->stem, reading->stem, sizeof copy->stem);
  copy->overrides = reading->overrides;
  int good = sources_copy(copy, reading) && (copy->tree = df_tree_copy(copy, reading->tree)) &&
             df_resolve(copy, NULL) != DF_NO_MEMORY;
  df_plain_leave(before);
  if (good) return copy;
  df_reading_destroy(copy);
  return NULL;
}

// --- Asking

int df_reading_count(const struct df_reading *reading)
{
  return reading->slot_n;
}

static int is_number(const struct df_param *row)
{
  return row->form == DF_QUANTITY || row->form == DF_COUNT || row->form == DF_NUMBERS;
}

static const char *word_of(const struct df_slot *slot)
{
  if (slot->row->form == DF_TEXT || slot->row->form == DF_FILE) return slot->at;
  int value = slot->row->form == DF_WORD_NUMBER ? (int)*(double *)slot->at : *(int *)slot->at,
      n = 0;
  if (!slot->words)
    return value >= 0 && value < df_road_kind_count ? df_road_kinds[value]->name : "";
  while (slot->words[n]) n++;
  if (value == n && slot->row->or_unit)
    return slot->node && slot->node->text ? slot->node->text : "";
  return value >= 0 && value < n ? slot->words[value] : "";
}

static double si_of(const struct df_slot *slot)
{
  switch (slot->row->form) {
  case DF_TEXT: case DF_FILE: return NAN;
  case DF_WORD: return *(int *)slot->at;
  default: return *(double *)slot->at;
  }
}

void df_reading_value(const struct df_reading *reading, int i, struct df_value *out)
{
  const struct df_slot *slot = &reading->slot[i];
  const struct df_node *node = slot->node;
  const struct df_unit *unit =
      is_number(slot->row) ? df_unit_known(reading->units, slot->row->unit) : NULL;
  int given = node && !node->assumed;
  *out = (struct df_value){.path = slot->path,
                           .row = slot->row,
                           .given = given,
                           .text = "",
                           .file = "",
                           .si = si_of(slot),
                           .in_unit = NAN};
  if (given) {
    out->text = node->text ? node->text : "";
    out->file = node->source ? node->source->name : "";
    out->line = node->line;
    out->column = node->column;
  }
  if (is_number(slot->row)) {
    out->absent = isnan(out->si);
    out->unit = slot->row->unit;
    if (unit) out->in_unit = df_unit_from_si(unit, out->si);
  } else {
    out->word = word_of(slot);
    out->absent = !out->word[0];
  }
}

// "rod.rebound_holes[1].diameter" means the holes that are in the leg, where both sets are given.
static const char *in_use(const struct df_reading *reading, const char *path, char *out,
                          size_t size)
{
  int right = !strncmp(path, "right.", 6);
  const char *rest = path + (right ? 6 : 0);
  const struct df_rod *rod = &reading->scenario.side[right].rod;
  int holes =
      !strncmp(rest, "rod.compression_holes[", 22) || !strncmp(rest, "rod.rebound_holes[", 18);
  if (!holes || (!rod->has_as_found && !rod->has_opened)) return path;
  const char *state = (rod->state == DF_ROD_OPENED && rod->has_opened) || !rod->has_as_found
                          ? "opened"
                          : "as_found";
  int n = snprintf(out, size, "%srod.%s.%s", right ? "right." : "", state, rest + 4);
  return n > 0 && (size_t)n < size ? out : path;
}

int df_reading_find(const struct df_reading *reading, const char *path)
{
  char other[DF_KEY_MAX];
  const struct df_slot *slot = df_slot_find(reading, path);
  if (!slot) slot = df_slot_find(reading, in_use(reading, path, other, sizeof other));
  return slot ? (int)(slot - reading->slot) : -1;
}

int df_reading_given(const struct df_reading *reading, int *given, int *assumed)
{
  static const char *const apart[] = { "roads.", "run.", "have.", "title", "note" };
  *given = *assumed = 0;
  for (int i = 0; i < reading->slot_n; i++) {
    struct df_value value;
    int skip = 0;
    df_reading_value(reading, i, &value);
    for (size_t k = 0; k < sizeof apart / sizeof apart[0]; k++)
      skip |= !strncmp(value.path, apart[k], strlen(apart[k]));
    if (!skip && !value.absent) ++*(value.given ? given : assumed);
  }
  return *given + *assumed;
}

// --- Changing

struct undo { struct df_node *node, before, *parent, *made; };

static const char *near_path(const struct df_reading *reading, const char *path)
{
  const char *best = NULL;
  int reach = df_word_reach(path) + 1;
  for (int i = 0; i < reading->slot_n; i++) {
    int off = df_word_distance(reading->slot[i].path, path);
    if (off < reach) reach = off, best = reading->slot[i].path;
  }
  return best;
}

static enum df_status unknown_path(const struct df_reading *reading, const char *path,
                                   struct df_faults *faults)
{
  const char *near = near_path(reading, path);
  return df_fault_add(faults, DF_UNKNOWN_NAME, path, "the scenario has no such value%s%s%s",
                      near ? "; did you mean " : "", near ? near : "", near ? "?" : "");
}

// The text that stands for a number in a unit, or for a word. A node keeps room for it: a million
// changes take no more memory than one.
static int write_text(struct df_reading *reading, struct df_node *node, const struct df_slot *slot,
                      double value, const char *unit)
{
  enum { ROOM = 80 };
  int n = 0, bare = !strcmp(unit, "1");
  if (!is_number(slot->row)) {
    while (slot->words && slot->words[n]) n++;
    if (!slot->words || !(value >= 0 && value < n)) return 0;
    node->text = slot->words[(int)value];
    return 1;
  }
  if (!node->own) node->own = df_arena_take(&reading->arena, ROOM);
  if (!node->own) return 0;
  snprintf(node->own, ROOM, "%.15g%s%s", value, bare ? "" : " ", bare ? "" : unit);
  node->text = node->own;
  return 1;
}

// As-found holes may stand directly under `rod` in the file.
static void as_written(const struct df_reading *reading, const char *path, char *out, size_t size)
{
  static const char found[] = "rod.as_found.";
  snprintf(out, size, "%s", path);
  if (strncmp(path, found, sizeof found - 1) || df_tree_find(reading->tree, "rod.as_found")) return;
  snprintf(out, size, "rod.%s", path + sizeof found - 1);
}

// Put one number in its place in the tree. `unit` NULL: the value is in SI.
static enum df_status put(struct df_reading *reading, const char *path, double value,
                          const char *unit, struct undo *undo, struct df_faults *faults)
{
  int i = df_reading_find(reading, path);
  if (i < 0) return unknown_path(reading, path, faults);
  const struct df_slot slot = reading->slot[i];
  int number = is_number(slot.row),
      word = slot.row->form == DF_WORD || slot.row->form == DF_WORD_NUMBER;
  if ((!number && !word) || !isfinite(value))
    return df_fault_add(faults, DF_BAD_INPUT, slot.path, "not a value that a number can stand for");
  char why[DF_WHY_MAX] = "";
  const struct df_unit *own =
      number ? df_unit_find(reading->units, slot.row->unit, why, sizeof why) : NULL;
  const struct df_unit *as = unit ? df_unit_find(reading->units, unit, why, sizeof why) : own;
  int other = number && unit && slot.row->or_unit && !strcmp(unit, slot.row->or_unit);
  if (number && (!as || !own)) return df_fault_add(faults, DF_BAD_INPUT, slot.path, "%s", why);
  if (number && !other && !df_unit_same(as, own))
    return df_fault_add(faults, DF_BAD_INPUT, slot.path,
                        "%s is %s in base units; %s is wanted here, that is %s", as->text, as->base,
                        own->text, own->base);
  char kept[DF_KEY_MAX];
  as_written(reading, slot.path, kept,
             sizeof kept); // the slot's own text lies in what resolving makes anew
  df_list_default(reading, kept);
  struct df_node *node = undo->node = df_tree_reach(reading, kept, &undo->parent, &undo->made);
  if (!node) return df_fault_add(faults, DF_NO_MEMORY, kept, "out of memory");
  undo->before = *node;
  char *before = node->own;
  double si = other || !number ? value : unit ? df_unit_to_si(as, value) : value;
  double shown = !number || unit ? value : df_unit_from_si(own, value);
  *node = (struct df_node){.kind = DF_SCALAR,
                           .key = node->key,
                           .next = node->next,
                           .right = node->right,
                           .has_si = !other && number,
                           .si = si,
                           .own = before};
  return write_text(reading, node, &slot, shown, number ? as->text : "1")
             ? DF_OK
             : df_fault_add(faults, DF_BAD_INPUT, kept, "no such word");
}

static void take_back(struct undo *undo)
{
  if (undo->made) {
    df_node_remove(undo->parent, undo->made);
    return;
  }
  struct df_node *next = undo->node->next;
  char *own = undo->node->own;
  *undo->node = undo->before;
  undo->node->next = next;
  if (!undo->node->own) undo->node->own = own;
}

static enum df_status put_all(struct df_reading *reading, int n, const char *const *path,
                              const double *value, const char *const *unit,
                              struct df_faults *faults)
{
  struct undo few[8], *undo = n <= 8 ? few : malloc((size_t)n*sizeof *undo);
  if (!undo) return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  locale_t before = df_plain_enter();
  enum df_status status = DF_OK;
  int done = 0;
  for (; done < n && !status; done++) {
    undo[done].node = NULL;
    status = put(reading, path[done], value[done], unit ? unit[done] : NULL, &undo[done], faults);
  }
  if (!status) status = df_resolve(reading, faults);
  if (status) {
    while (done-- > 0)
      if (undo[done].node) take_back(&undo[done]);
    df_resolve(reading, NULL);
  }
  df_plain_leave(before);
  if (undo != few) free(undo);
  return status;
}

enum df_status df_reading_set(struct df_reading *reading, const char *path, double si,
                              struct df_faults *faults)
{
  return put_all(reading, 1, &path, &si, NULL, faults);
}

enum df_status df_reading_set_all(struct df_reading *reading, int n, const char *const *path,
                                  const double *si, struct df_faults *faults)
{
  return put_all(reading, n, path, si, NULL, faults);
}

enum df_status df_reading_set_in(struct df_reading *reading, const char *path, double value,
                                 const char *unit, struct df_faults *faults)
{
  return put_all(reading, 1, &path, &value, &unit, faults);
}

enum df_status df_reading_set_all_in(struct df_reading *reading, int n, const char *const *path,
                                     const double *value, const char *const *unit,
                                     struct df_faults *faults)
{
  return put_all(reading, n, path, value, unit, faults);
}

enum df_status df_reading_override(struct df_reading *reading, const char *const *set, int n,
                                   struct df_faults *faults)
{
  struct df_faults *own = faults ? NULL : calloc(1, sizeof *own);
  if (!faults) faults = own;
  struct df_node *backup = faults ? df_tree_copy(reading, reading->tree) : NULL;
  if (!backup) {
    free(own);
    return df_fault_add(faults && !own ? faults : NULL, DF_NO_MEMORY, "", "out of memory");
  }
  locale_t before = df_plain_enter();
  int from = faults->n;
  enum df_status status = df_tree_override(reading, set, n, faults);
  enum df_status resolved = df_resolve(reading, faults);
  if (!status) status = resolved;
  df_faults_sort(faults, from, reading->sources);
  if (status) {
    reading->tree = backup;
    df_resolve(reading, NULL);
  }
  df_plain_leave(before);
  free(own);
  return status;
}

// --- Claims

int df_reading_expect_count(const struct df_reading *reading)
{
  return reading->expect_n;
}

void df_reading_expect(const struct df_reading *reading, int i, struct df_expectation *out)
{
  *out = reading->expect[i];
}

int df_reading_target_count(const struct df_reading *reading)
{
  return reading->target_n;
}

void df_reading_target(const struct df_reading *reading, int i, struct df_expectation *out)
{
  *out = reading->target[i];
}

int df_reading_target_of(const struct df_reading *reading, const char *road, const char *measure,
                         struct df_expectation *out)
{
  for (int i = 0; i < reading->target_n; i++) {
    const struct df_expectation *own = &reading->target[i];
    if (strcmp(own->measure, measure) || (own->road[0] && strcmp(own->road, road))) continue;
    *out = *own;
    return 1;
  }
  return 0;
}

double df_reading_learned_together(const struct df_reading *reading, const char *a, const char *b)
{
  char either[2][2*DF_KEY_MAX];
  snprintf(either[0], sizeof either[0], "%s, %s", a, b);
  snprintf(either[1], sizeof either[1], "%s, %s", b, a);
  for (int i = 0; i < reading->learned_n; i++)
    if (!strcmp(reading->learned[i].what, either[0]) || !strcmp(reading->learned[i].what, either[1]))
      return reading->learned[i].low;
  return 0;
}

int df_reading_learned(const struct df_reading *reading, const char *path, double *off)
{
  static const double same = 1e-6; // 1: texts have nine digits
  int at = df_reading_find(reading, path);
  for (int i = 0; i < reading->learned_n && at >= 0; i++) {
    const struct df_expectation *one = &reading->learned[i];
    struct df_value value;
    if (strcmp(one->what, path)) continue;
    df_reading_value(reading, at, &value);
    if (!(fabs(value.si - one->low) <= same*fabs(one->low))) return 0;
    *off = one->tolerance_share ? one->tolerance*fabs(one->low) : one->tolerance;
    return 1;
  }
  return 0;
}
