// What a scenario leaves to habit, written into the tree: ready roads, the valve's usual bleed, the
// opened rod.
#include "scenario/reading.h"

#include "scenario/yaml.h"

#include <stdio.h>
#include <string.h>

// A piece of YAML of our own. NULL: out of memory.
static struct df_node *text_tree(struct df_arena *arena, const char *text)
{
  struct df_source *source = df_arena_take(arena, sizeof *source);
  if (!source) return NULL;
  *source = (struct df_source){ .name = "", .folder = "", .text = text, .length = strlen(text) };
  int broken = 0;
  struct df_node *node = df_yaml_value(arena, source, NULL, &broken);
  if (broken || !node) return NULL;
  df_node_mark(node, 1, 0);
  return node;
}

// The same for a constant text, read once and copied each time.
static struct df_node *kept_tree(struct df_reading *reading, int i, const char *text)
{
  if (!reading->kept[i]) reading->kept[i] = text_tree(&reading->arena, text);
  return reading->kept[i] ? df_node_copy(&reading->work, reading->kept[i]) : NULL;
}

// --- Lists

static const char bleed_text[] = "[{count: 2, diameter: 1.5 mm}]";

static int bleed_complete(struct df_reading *reading, struct df_node *side)
{
  struct df_node *valve = df_node_child(side, "valve");
  if (!valve || valve->kind != DF_MAPPING || df_node_child(valve, "bleed_holes")) return 1;
  struct df_node *list = kept_tree(reading, 2*df_ready_road_count, bleed_text);
  if (!list) return 0;
  list->key = "bleed_holes";
  df_node_append(valve, list);
  return 1;
}

void df_list_default(struct df_reading *reading, const char *path)
{
  char list[DF_KEY_MAX];
  size_t open = strcspn(path, "[");
  snprintf(list, sizeof list, "%.*s", (int)open, path);
  if (!path[open] || df_tree_find(reading->tree, list)) return;
  struct df_node *parent, *made, *items = reading->root ? df_tree_find(reading->root, list) : NULL;
  int bleed = !strcmp(list, "valve.bleed_holes") || !strcmp(list, "right.valve.bleed_holes");
  if (items) items = df_tree_copy(reading, items);
  else if (bleed) items = text_tree(&reading->arena, bleed_text);
  struct df_node *node =
      items && items->kind == DF_SEQUENCE ? df_tree_reach(reading, list, &parent, &made) : NULL;
  if (!node) return;
  node->kind = DF_SEQUENCE;
  node->reached = 0;
  node->assumed = 1;
  node->first = items->first;
  node->last = items->last;
}

// --- The opened rod

static struct df_node *holes_of(const struct df_node *section, const char *which)
{
  struct df_node *list = df_node_child(section, which);
  return list && list->kind == DF_SEQUENCE ? list : NULL;
}

// Height of the lowest as-found hole, as written; NULL: none is given. The lowest in millimetres
// counts; other units: the first.
static const char *lowest_height(struct df_reading *reading, const struct df_node *list, double *mm)
{
  const char *found = NULL, *rest;
  char why[DF_WHY_MAX];
  for (const struct df_node *group = list ? list->first : NULL; group; group = group->next) {
    const struct df_node *height = df_node_child(group, "height");
    double value;
    if (!height || height->kind != DF_SCALAR || !height->text ||
        !(rest = df_number_split(height->text, &value, why, sizeof why)))
      continue;
    const struct df_unit *unit = df_unit_find(reading->units, rest, why, sizeof why);
    if (!unit || strcmp(unit->base, "m")) continue;
    double here = df_unit_to_si(unit, value)*1e3;
    if (!found || here < *mm) *mm = here, found = height->text;
  }
  return found;
}

// 6 x 6.35 mm with a chamfer of 0.5 mm: pairs 10 mm apart upwards from the lowest as-found hole.
static struct df_node *opened_holes(struct df_reading *reading, const struct df_node *as_found)
{
  char text[400];
  double mm = 0;
  if (!lowest_height(reading, as_found, &mm))
    snprintf(text, sizeof text, "[{count: 6, diameter: 6.35 mm, entry_chamfer: 0.5 mm}]");
  else
    snprintf(text, sizeof text,
             "[{count: 2, diameter: 6.35 mm, height: %.6g mm, entry_chamfer: 0.5 mm}, "
             "{count: 2, diameter: 6.35 mm, height: %.6g mm, entry_chamfer: 0.5 mm}, "
             "{count: 2, diameter: 6.35 mm, height: %.6g mm, entry_chamfer: 0.5 mm}]",
             mm, mm + 10, mm + 20);
  char *kept = df_arena_text(&reading->work, text, strlen(text));
  return kept ? text_tree(&reading->work, kept) : NULL;
}

// Holes directly under `rod` are the as-found ones once `opened` is spoken of.
static int move_to_as_found(struct df_reading *reading, struct df_node *rod)
{
  static const char *const lists[] = { "compression_holes", "rebound_holes" };
  if (df_node_child(rod, "as_found")) return 1;
  struct df_node *as_found =
      df_node_create(&reading->work, DF_MAPPING, rod->source, rod->line, rod->column);
  if (!as_found) return 0;
  as_found->key = "as_found";
  as_found->right = rod->right;
  for (int i = 0; i < 2; i++) {
    struct df_node *list = df_node_child(rod, lists[i]);
    if (!list) continue;
    df_node_remove(rod, list);
    df_node_append(as_found, list);
  }
  if (as_found->first) df_node_append(rod, as_found);
  return 1;
}

static int word_is(const struct df_node *node, const char *word)
{
  return node && node->kind == DF_SCALAR && node->text && !strcmp(node->text, word);
}

static int opened_complete(struct df_reading *reading, struct df_node *side)
{
  struct df_node *rod = df_node_child(side, "rod");
  if (!rod || rod->kind != DF_MAPPING) return 1;
  struct df_node *opened = df_node_child(rod, "opened");
  if (df_node_none(opened)) opened = NULL;
  if (!opened && !word_is(df_node_child(rod, "state"), "opened")) return 1;
  if (!move_to_as_found(reading, rod)) return 0;
  struct df_node *as_found = df_node_child(rod, "as_found");
  if (!opened) {
    opened = df_node_create(&reading->work, DF_MAPPING, rod->source, rod->line, rod->column);
    if (!opened) return 0;
    opened->key = "opened";
    opened->assumed = 1;
    struct df_node *none = df_node_child(rod, "opened");
    if (none) df_node_remove(rod, none);
    df_node_append(rod, opened);
  }
  if (opened->kind != DF_MAPPING) return 1;
  struct df_node *found = holes_of(as_found, "rebound_holes");
  if (!df_node_child(opened, "compression_holes")) {
    struct df_node *list = opened_holes(reading, holes_of(as_found, "compression_holes"));
    if (!list) return 0;
    list->key = "compression_holes";
    df_node_append(opened, list);
  }
  if (!df_node_child(opened, "rebound_holes") && found) {
    struct df_node *list = df_node_copy(&reading->work, found);
    if (!list) return 0;
    df_node_mark(list, 1, 0);
    df_node_append(opened, list);
  }
  return 1;
}

int df_side_complete(struct df_reading *reading, struct df_node *side)
{
  return bleed_complete(reading, side) && opened_complete(reading, side);
}

// --- Roads

static enum df_use use_of(const struct df_node *root)
{
  const struct df_param *row = df_section_find(&df_scenario_section, "use");
  const struct df_node *node = df_node_child(root, "use");
  for (int i = 0; row->words[i]; i++)
    if (word_is(node, row->words[i])) return (enum df_use)i;
  return DF_USE_BRISK_ROAD;
}

// A copy of the ready road with this name; NULL: none, or out of memory.
static struct df_node *ready_road(struct df_reading *reading, const char *name, enum df_use use)
{
  const struct df_ready_road *road = df_ready_road_find(name);
  if (!road) return NULL;
  int gravel = use == DF_USE_GRAVEL && road->gravel_text, i = (int)(road - df_ready_roads);
  struct df_node *copy = kept_tree(reading, 2*i + gravel, gravel ? road->gravel_text : road->text);
  if (copy) copy->key = road->name;
  return copy;
}

static void stand_in(struct df_node *roads, struct df_node *old, struct df_node *road)
{
  road->key = old->key;
  road->key_line = old->key_line;
  road->key_column = old->key_column;
  road->line = old->line;
  road->column = old->column;
  road->source = old->source;
  road->assumed = 0;
  df_item_replace(roads, old, road);
}

// Lay what was written over the ready road of that name, unless a kind is given.
static int road_complete(struct df_reading *reading, struct df_node *roads, struct df_node *road,
                         enum df_use use)
{
  int ready = word_is(road, "ready") && !road->quoted;
  int over = road->kind == DF_MAPPING && !df_node_child(road, "kind");
  if ((!ready && !over) || !df_ready_road_find(road->key)) return 1;
  struct df_node *base = ready_road(reading, road->key, use);
  if (!base) return 0;
  struct df_node written = *road;
  stand_in(roads, road, base);
  if (over) df_node_merge(base, &written);
  return 1;
}

// The roads of the use, with what overrides reached into.
static int roads_of_use(struct df_reading *reading, struct df_node *root, enum df_use use)
{
  struct df_node *reached = df_node_child(root, "roads"), *roads = reached;
  if (!roads) {
    roads = df_node_create(&reading->work, DF_MAPPING, root->source, 0, 0);
    if (!roads) return 0;
    roads->key = "roads";
    df_node_append(root, roads);
  }
  roads->assumed = 1;
  for (const char *const *name = df_roads_of_use(use); *name; name++) {
    struct df_node *road = df_node_child(roads, *name);
    if (road) df_node_remove(roads, road);
    else road = ready_road(reading, *name, use);
    if (!road) return 0;
    df_node_append(roads, road);
  }
  return 1;
}

int df_tree_complete(struct df_reading *reading, struct df_node *root)
{
  enum df_use use = use_of(root);
  struct df_node *roads = df_node_child(root, "roads");
  if (df_node_none(roads)) {
    df_node_remove(root, roads);
    roads = NULL;
  }
  if ((!roads || roads->reached) && !roads_of_use(reading, root, use)) return 0;
  roads = df_node_child(root, "roads");
  for (struct df_node *road = roads->kind == DF_MAPPING ? roads->first : NULL, *next; road;
       road = next) {
    next = road->next;
    if (!road_complete(reading, roads, road, use)) return 0;
  }
  return df_side_complete(reading, root);
}
