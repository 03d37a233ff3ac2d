// The walk over table and tree side by side: every value finds its row, every row its value, every
// fault its place.
#include "scenario/reading.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// --- Path and faults

size_t df_walk_down(struct df_walk *walk, const char *key)
{
  size_t before = walk->length, at = before, n = strlen(key);
  char clipped[DF_NAME_MAX + 16];
  if (n >= sizeof clipped) n = strlen(key = df_clip(key, clipped, sizeof clipped));
  if (at + n + 2 > sizeof walk->path)
    n = sizeof walk->path - 2 > at ? sizeof walk->path - 2 - at : 0;
  if (n && at && key[0] != '[') walk->path[at++] = '.';
  memcpy(walk->path + at, key, n);
  walk->path[walk->length = at + n] = 0;
  return before;
}

void df_walk_up(struct df_walk *walk, size_t length)
{
  walk->length = length;
  walk->path[length] = 0;
}

void df_walk_fault(struct df_walk *walk, const struct df_node *node, int warning,
                   const char *format, ...)
{
  if (walk->right && !(node && node->right)) return;
  char text[400];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  const struct df_source *source = node ? node->source : walk->reading->sources;
  df_fault_at(walk->faults, source, node ? node->line : 0, node ? node->column : 0, DF_BAD_INPUT,
              warning, walk->path, "%s", text);
}

// At the key instead of the value.
static void key_fault(struct df_walk *walk, const struct df_node *node, const char *text)
{
  if (walk->right && !node->right) return;
  df_fault_at(walk->faults, node->source, node->key_line, node->key_column, DF_BAD_INPUT, 0,
              walk->path, "%s", text);
}

// --- Slots

static struct df_slot *slot_add(struct df_walk *walk, const struct df_param *row, void *at,
                                const struct df_node *node)
{
  struct df_reading *reading = walk->reading;
  if (reading->slot_n == reading->slot_room) {
    int room = reading->slot_room ? 2*reading->slot_room : 512;
    struct df_slot *more = realloc(reading->slot, (size_t)room*sizeof *more);
    if (!more) return walk->no_memory = 1, NULL;
    reading->slot = more;
    reading->slot_room = room;
  }
  char *path = df_arena_text(&reading->work, walk->path, walk->length);
  if (!path) return walk->no_memory = 1, NULL;
  struct df_slot *slot = &reading->slot[reading->slot_n++];
  *slot = (struct df_slot){ .path = path, .row = row, .at = at, .node = node, .words = row->words };
  return slot;
}

const struct df_slot *df_slot_find(const struct df_reading *reading, const char *path)
{
  for (int i = 0; i < reading->slot_n; i++)
    if (!strcmp(reading->slot[i].path, path)) return &reading->slot[i];
  return NULL;
}

// --- Unknown keys

// Rows that are offered, those of a section and, for roads, of its kind.
struct near { const char *word; const char *list[128]; int n; };

static void near_rows(struct near *near, const struct df_section *section)
{
  for (int i = 0; section && i < section->rows && near->n < 126; i++)
    near->list[near->n++] = section->row[i].key;
  near->list[near->n] = NULL;
}

struct elsewhere { const char *key; char path[DF_KEY_MAX]; };

// The first place where this very key stands.
static int look_elsewhere(const struct df_param *row, const char *path, void *arg)
{
  struct elsewhere *search = arg;
  if (strcmp(row->key, search->key)) return 0;
  snprintf(search->path, sizeof search->path, "%s", path);
  return 1;
}

static const char *old_spelling(const char *key)
{
  for (int i = 0; i < df_old_spelling_count; i++)
    if (!strcmp(df_old_spellings[i].key, key)) return df_old_spellings[i].now;
  return NULL;
}

static void list_keys(const struct near *near, char *text, size_t size)
{
  size_t n = 0;
  for (int i = 0; i < near->n && n + 40 < size; i++)
    n += (size_t)snprintf(text + n, size - n, "%s%s", i ? ", " : "", near->list[i]);
  if (near->n && n + 40 >= size) snprintf(text + n, size - n, ", ...");
}

static void unknown_key(struct df_walk *walk, const struct df_node *node, const struct near *near)
{
  char text[300], keys[200] = "";
  const char *now = old_spelling(node->key), *nearest = df_word_nearest(node->key, near->list);
  struct elsewhere search = { .key = node->key };
  int there = df_section_walk(&df_scenario_section, "", look_elsewhere, &search);
  list_keys(near, keys, sizeof keys);
  if (now) snprintf(text, sizeof text, "no such key; write %s", now);
  else if (there) snprintf(text, sizeof text, "no such key here; did you mean %s?", search.path);
  else if (nearest) snprintf(text, sizeof text, "no such key; did you mean %s?", nearest);
  else snprintf(text, sizeof text, "no such key; here may stand: %s", keys);
  key_fault(walk, node, text);
}

static void find_unknown(struct df_walk *walk, const struct df_node *mapping,
                         const struct df_section *section, const struct df_section *more)
{
  struct near near = { 0 };
  near_rows(&near, section);
  near_rows(&near, more);
  for (const struct df_node *child = mapping->first; child; child = child->next) {
    if (child->bad || df_section_find(section, child->key) ||
        (more && df_section_find(more, child->key)))
      continue;
    size_t up = df_walk_down(walk, child->key);
    unknown_key(walk, child, &near);
    df_walk_up(walk, up);
  }
}

// --- Single values

static const struct df_unit *row_unit(struct df_walk *walk, const char *unit)
{
  char why[DF_WHY_MAX];
  return df_unit_find(walk->reading->units, unit, why, sizeof why);
}

static double usual_si(struct df_walk *walk, const struct df_param *row)
{
  const struct df_unit *unit = isnan(row->usual) ? NULL : row_unit(walk, row->unit);
  return unit ? df_unit_to_si(unit, row->usual) : NAN;
}

// What should stand where something is missing.
static void wanted(const struct df_param *row, char *text, size_t size)
{
  int range = row->likely_low != 0 || row->likely_high != 0,
      bare = !row->unit || !strcmp(row->unit, "1");
  if (row->form == DF_QUANTITY || row->form == DF_COUNT)
    snprintf(text, size, "%s; %.6g to %.6g%s%s", row->meaning, range ? row->likely_low : row->low,
             range ? row->likely_high : row->high, bare ? "" : " ", bare ? "" : row->unit);
  else snprintf(text, size, "%s", row->meaning);
}

// What a linear leg has no use for.
static int of_leg(const char *path)
{
  if (!strncmp(path, "right.", 6)) path += 6;
  return (!strncmp(path, "leg.", 4) || !strncmp(path, "rod.", 4) || !strncmp(path, "oil.", 4)) &&
         !strchr(path, '[') && strncmp(path, "leg.linear.", 11);
}

static void missing(struct df_walk *walk, const struct df_param *row, const struct df_node *section)
{
  if (walk->reading->broken || (walk->linear && of_leg(walk->path))) return;
  if (!strcmp(row->key, "viscosity_40") && df_node_child(section, "blend"))
    return; // its parts have their own
  char text[300];
  wanted(row, text, sizeof text);
  df_walk_fault(walk, section, 0, "missing: %s", text);
}

// One text is wanted; 0 and a fault if something else stands here.
static int is_scalar(struct df_walk *walk, const struct df_param *row, const struct df_node *node)
{
  char text[300];
  if (node->bad) return 0;
  if (node->kind == DF_SCALAR && (node->has_si || node->text[0]) &&
      (!node->block || row->form == DF_TEXT))
    return 1;
  wanted(row, text, sizeof text);
  if (node->kind != DF_SCALAR)
    df_walk_fault(walk, node, 0, "a single value is wanted, not a %s: %s",
                  node->kind == DF_MAPPING ? "section" : "list", text);
  else if (!node->has_si && !node->text[0]) df_walk_fault(walk, node, 0, "no value: %s", text);
  else df_walk_fault(walk, node, 0, "a value on one line is wanted: %s", text);
  return 0;
}

// What the text says, kept for the next time in the node and in the one that it is a copy of.
static void keep(struct df_node *node, const struct df_param *row,
                 const struct df_quantity *quantity)
{
  for (struct df_node *n = node; n; n = n->origin) {
    n->row = row;
    n->si = quantity->si;
    n->value = quantity->value;
    n->unit = quantity->unit->text;
    n->other = quantity->other;
  }
}

// SI value of a quantity; NAN after a fault.
static double quantity(struct df_walk *walk, const struct df_param *row, struct df_node *node)
{
  if (node->row == row) return node->si;
  struct df_quantity read;
  char why[DF_WHY_MAX];
  enum df_verdict verdict;
  if (node->has_si) {
    const struct df_unit *unit = row_unit(walk, row->unit);
    read = (struct df_quantity){
        .unit = unit, .si = node->si, .value = unit ? df_unit_from_si(unit, node->si) : NAN};
    if (row->form == DF_COUNT && read.value != floor(read.value)) {
      df_walk_fault(walk, node, 0, "%.6g is not a whole number", read.value);
      return NAN;
    }
    verdict =
        unit ? df_quantity_check(walk->reading->units, row, &read, why, sizeof why) : DF_WRONG;
  } else {
    verdict = df_quantity_read(walk->reading->units, row, node->text, &read, why, sizeof why);
  }
  if (verdict != DF_FINE) df_walk_fault(walk, node, verdict == DF_ODD, "%s", why);
  if (verdict == DF_WRONG) return NAN;
  keep(node, row, &read);
  return read.si;
}

static void walk_number(struct df_walk *walk, const struct df_param *row, char *base,
                        struct df_node *node, const struct df_node *section)
{
  double *at = (double *)(base + row->at),
         *other = row->or_unit ? (double *)(base + row->or_at) : NULL;
  if (other) *other = NAN;
  if (!node) {
    *at = usual_si(walk, row);
    if (row->need == DF_REQUIRED) missing(walk, row, section);
  } else {
    double si = is_scalar(walk, row, node) ? quantity(walk, row, node) : NAN;
    int in_other = other && node->row == row && node->other;
    *(in_other ? other : at) = si;
    if (in_other) *at = NAN;
  }
  slot_add(walk, row, at, node);
}

static int word_index(const char *const *words, const char *text)
{
  for (int i = 0; words[i]; i++)
    if (!strcmp(words[i], text)) return i;
  return -1;
}

static void wrong_word(struct df_walk *walk, const struct df_param *row, const struct df_node *node,
                       const char *const *words)
{
  char list[200] = "", shown[40];
  size_t n = 0;
  for (int i = 0; words[i] && n + 24 < sizeof list; i++)
    n += (size_t)snprintf(list + n, sizeof list - n, "%s%s", i ? ", " : "", words[i]);
  if (row->or_unit) snprintf(list + n, sizeof list - n, " or a time in %s", row->or_unit);
  const char *nearest = df_word_nearest(node->text, words);
  df_walk_fault(walk, node, 0, "'%s' is not one of: %s%s%s%s",
                df_clip(node->text, shown, sizeof shown), list, nearest ? "; did you mean " : "",
                nearest ? nearest : "", nearest ? "?" : "");
}

// Index of a word; -1 without one or after a fault. A time, where the row allows it, goes to
// `other` and counts as the next word.
static int word(struct df_walk *walk, const struct df_param *row, struct df_node *node,
                const char *const *words, double *other)
{
  int index = word_index(words, node->text), n = 0;
  if (index >= 0) return index;
  char c = node->text[0];
  if (!other || !(c == '+' || c == '.' || (c >= '0' && c <= '9'))) {
    wrong_word(walk, row, node, words);
    return -1;
  }
  struct df_param time = {.key = row->key,
                          .form = DF_QUANTITY,
                          .unit = row->or_unit,
                          .low = row->or_low,
                          .high = row->or_high};
  struct df_quantity read;
  char why[DF_WHY_MAX];
  if (df_quantity_read(walk->reading->units, &time, node->text, &read, why, sizeof why) ==
      DF_WRONG) {
    df_walk_fault(walk, node, 0, "%s", why);
    return -1;
  }
  while (words[n]) n++;
  *other = read.si;
  return n;
}

static void walk_word(struct df_walk *walk, const struct df_param *row, char *base,
                      struct df_node *node, const struct df_node *section)
{
  double *other = row->or_unit ? (double *)(base + row->or_at) : NULL;
  int value = row->usual_word ? word_index(row->words, row->usual_word) : -1;
  if (other) *other = NAN;
  if (node && is_scalar(walk, row, node)) value = word(walk, row, node, row->words, other);
  if (!node && row->need == DF_REQUIRED) missing(walk, row, section);
  if (row->form == DF_WORD_NUMBER) *(double *)(base + row->at) = value;
  else *(int *)(base + row->at) = value;
  slot_add(walk, row, base + row->at, node);
}

static void walk_text(struct df_walk *walk, const struct df_param *row, char *base,
                      struct df_node *node)
{
  char *at = base + row->at;
  if (node && is_scalar(walk, row, node)) {
    size_t n = strlen(node->text);
    if (n >= (size_t)row->most)
      df_walk_fault(walk, node, 0, "%zu bytes; at most %d", n, row->most - 1);
    else memcpy(at, node->text, n + 1);
  }
  slot_add(walk, row, at, node);
}

// A file of a road: joined to the folder of the scenario that names it.
static void walk_file(struct df_walk *walk, const struct df_param *row, char *at,
                      struct df_node *node, const struct df_node *section)
{
  char why[200];
  *at = 0;
  if (!node && row->need == DF_REQUIRED) missing(walk, row, section);
  if (node && is_scalar(walk, row, node) &&
      !df_file_below(node->source->folder, node->text, at, DF_PATH_MAX, why, sizeof why)) {
    df_walk_fault(walk, node, 0, "%s", why);
    *at = 0;
  }
  slot_add(walk, row, at, node);
}

// --- Groups of values

static int is_mapping(struct df_walk *walk, const struct df_param *row, const struct df_node *node)
{
  if (node->kind == DF_MAPPING) return 1;
  if (node->bad) return 0;
  const char *first = row->of && row->of->rows ? row->of->row[0].key : "key";
  if (node->kind == DF_SCALAR && !node->quoted && node->text && !node->text[0])
    df_walk_fault(walk, node, 0, "nothing below it; write keys, as in {%s: ...}, or leave it out",
                  first);
  else
    df_walk_fault(walk, node, 0, "a section is wanted, as in {%s: ...}: %s", first, row->meaning);
  return 0;
}

static void walk_part(struct df_walk *walk, const struct df_param *row, char *base,
                      struct df_node *node)
{
  int *has = row->has == DF_NO_OFFSET ? NULL : (int *)(base + row->has);
  if (has) *has = node != NULL;
  if (!node && row->need == DF_ABSENT) return;
  if (node && !is_mapping(walk, row, node)) return;
  df_walk_section(walk, row->of, base + row->at, node);
}

// What the other kind of hole alone has.
static void other_place(const struct df_section *section, char *base)
{
  if (strcmp(section->name, "compression_holes") && strcmp(section->name, "rebound_holes")) return;
  struct df_hole_group *group = (struct df_hole_group *)base;
  group->height = group->depth = NAN;
}

static int is_list(struct df_walk *walk, const struct df_param *row, const struct df_node *node)
{
  int n = df_node_count(node);
  char example[80];
  if (node->kind == DF_SEQUENCE && n <= row->most) return 1;
  if (node->bad) return 0;
  if (row->of)
    snprintf(example, sizeof example, "[{%s: ..., %s: ...}]", row->of->row[0].key,
             row->of->row[1].key);
  else snprintf(example, sizeof example, "[%.6g %s, ...]", row->likely_low, row->unit);
  if (node->kind != DF_SEQUENCE)
    df_walk_fault(walk, node, 0, "a list is wanted, as in %s: %s", example, row->meaning);
  else df_walk_fault(walk, node, 0, "%d items; at most %d", n, row->most);
  return 0;
}

static void walk_list(struct df_walk *walk, const struct df_param *row, char *base,
                      struct df_node *node, const struct df_node *section)
{
  int *length = (int *)(base + row->has), i = 0;
  char mark[16];
  *length = 0;
  if (df_node_none(node)) return;
  if (!node && row->need == DF_REQUIRED) missing(walk, row, section);
  if (!node || !is_list(walk, row, node)) return;
  for (struct df_node *item = node->first; item; item = item->next, i++) {
    snprintf(mark, sizeof mark, "[%d]", i + 1);
    size_t up = df_walk_down(walk, mark);
    other_place(row->of, base + row->at + (size_t)i*row->of->size);
    if (is_mapping(walk, row, item))
      df_walk_section(walk, row->of, base + row->at + (size_t)i * row->of->size, item);
    df_walk_up(walk, up);
  }
  *length = i;
}

static void walk_numbers(struct df_walk *walk, const struct df_param *row, char *base,
                         struct df_node *node)
{
  int *length = (int *)(base + row->has), i = 0;
  double *at = (double *)(base + row->at);
  char mark[16];
  *length = 0;
  if (!node || df_node_none(node) || !is_list(walk, row, node)) return;
  for (struct df_node *item = node->first; item; item = item->next, i++) {
    snprintf(mark, sizeof mark, "[%d]", i + 1);
    size_t up = df_walk_down(walk, mark);
    at[i] = is_scalar(walk, row, item) ? quantity(walk, row, item) : NAN;
    slot_add(walk, row, &at[i], item);
    df_walk_up(walk, up);
  }
  *length = i;
}

// --- Roads

static int good_name(const char *name)
{
  size_t n = strspn(name, "abcdefghijklmnopqrstuvwxyz0123456789-");
  return !name[n] && n <= DF_NAME_MAX && name[0] >= 'a' && name[0] <= 'z';
}

// Row of the kind; -1 after a fault.
static int walk_kind(struct df_walk *walk, const struct df_param *row, struct df_node *road)
{
  struct df_node *node = df_node_child(road, "kind");
  if (df_node_none(node)) node = NULL;
  const char *words[64];
  int n = 0;
  for (; n < df_road_kind_count && n < 63; n++) words[n] = df_road_kinds[n]->name;
  words[n] = NULL;
  if (!node)
    df_walk_fault(
        walk, road, 0,
        "no kind, and no ready road has this name; give a kind or one of the ready roads' names");
  if (!node || !is_scalar(walk, row, node)) return -1;
  return word(walk, row, node, words, NULL);
}

static void walk_row(struct df_walk *walk, const struct df_param *row, char *base,
                     struct df_node *node, const struct df_node *section);

static void walk_kind_rows(struct df_walk *walk, const struct df_section *keys,
                           struct df_road *road, struct df_node *node)
{
  for (int i = 0; i < keys->rows; i++) {
    const struct df_param *row = &keys->row[i];
    struct df_node *child = df_node_child(node, row->key);
    size_t up = df_walk_down(walk, row->key);
    if (df_node_none(child)) child = NULL;
    if (row->form == DF_FILE) walk_file(walk, row, road->file, child, node);
    else walk_row(walk, row, (char *)road->keys, child, node);
    df_walk_up(walk, up);
  }
}

static void walk_road(struct df_walk *walk, struct df_road *road, struct df_node *node)
{
  snprintf(road->name, sizeof road->name, "%s", node->key);
  for (size_t i = 0; i < sizeof road->keys/sizeof road->keys[0]; i++) road->keys[i] = NAN;
  for (int i = 0; i < df_road_section.rows; i++) {
    const struct df_param *row = &df_road_section.row[i];
    struct df_node *child = df_node_child(node, row->key);
    size_t up = df_walk_down(walk, row->key);
    if (!strcmp(row->key, "kind")) {
      road->kind = walk_kind(walk, row, node);
      slot_add(walk, row, &road->kind, child);
    } else {
      walk_row(walk, row, (char *)road, df_node_none(child) ? NULL : child, node);
    }
    df_walk_up(walk, up);
  }
  if (road->kind < 0) return; // its keys cannot be judged
  const struct df_section *keys = df_road_kinds[road->kind]->keys;
  if (keys) walk_kind_rows(walk, keys, road, node);
  find_unknown(walk, node, &df_road_section, keys);
}

static void walk_named(struct df_walk *walk, const struct df_param *row, char *base,
                       struct df_node *node)
{
  int *length = (int *)(base + row->has);
  *length = 0;
  if (!node || !is_mapping(walk, row, node)) return;
  for (struct df_node *child = node->first; child; child = child->next) {
    if (df_node_none(child)) continue;
    size_t up = df_walk_down(walk, child->key);
    struct df_road *road = (struct df_road *)(base + row->at + (size_t)*length*row->of->size);
    if (!good_name(child->key) || !strcmp(child->key, "static"))
      key_fault(walk, child,
                "not a name for a road; small letters, digits and hyphens, a letter first, at most "
                "32, not 'static'");
    else if (*length == row->most) key_fault(walk, child, "more than 32 roads");
    else if (child->kind != DF_MAPPING)
      df_walk_fault(walk, child, 0,
                    "a section is wanted, as in {kind: edge, ...}, or `ready` where a ready road "
                    "has this name");
    else walk_road(walk, road, child), ++*length;
    df_walk_up(walk, up);
  }
}

// --- Sections

static void walk_row(struct df_walk *walk, const struct df_param *row, char *base,
                     struct df_node *node, const struct df_node *section)
{
  switch (row->form) {
  case DF_QUANTITY: case DF_COUNT: walk_number(walk, row, base, node, section); break;
  case DF_WORD: case DF_WORD_NUMBER: walk_word(walk, row, base, node, section); break;
  case DF_TEXT: walk_text(walk, row, base, node); break;
  case DF_SECTION: walk_part(walk, row, base, node); break;
  case DF_LIST: walk_list(walk, row, base, node, section); break;
  case DF_NUMBERS: walk_numbers(walk, row, base, node); break;
  case DF_NAMED: walk_named(walk, row, base, node); break;
  case DF_FILE: break;
  }
}

// Holes directly under `rod` and in as_found or opened exclude each other. 1: the row is to be left
// alone.
static int rod_row(struct df_walk *walk, const struct df_section *section,
                   const struct df_param *row, struct df_node *mapping, const struct df_node *node)
{
  if (section != &df_rod_section || row->form != DF_LIST) return 0;
  if (!df_node_child(mapping, "as_found") && !df_node_child(mapping, "opened")) return 0;
  if (node) df_walk_fault(walk, node, 0, "rod has as_found or opened; write these holes there");
  return 1;
}

void df_walk_section(struct df_walk *walk, const struct df_section *section, char *base,
                     struct df_node *node)
{
  for (int i = 0; i < section->rows; i++) {
    const struct df_param *row = &section->row[i];
    struct df_node *child = df_node_child(node, row->key);
    if (row->at == DF_NO_OFFSET || !strcmp(row->key, "right")) continue;
    if (df_node_none(child) && row->form != DF_LIST) child = NULL;
    size_t up = df_walk_down(walk, row->key);
    if (!rod_row(walk, section, row, node, child)) walk_row(walk, row, base, child, node);
    df_walk_up(walk, up);
  }
  if (node) find_unknown(walk, node, section, NULL);
}
