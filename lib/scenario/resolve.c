// From the tree to the scenario: complete, walk, fill in, check.
#include "scenario/reading.h"

#include <stdio.h>
#include <string.h>

static const char *const side_keys[] = {"leg", "rod",    "valve",  "oil",
                                        "air", "spring", "spacer", NULL};

// Both legs' sections in one mapping: the left one's, with what `right` says laid over.
static struct df_node *right_tree(struct df_reading *reading, const struct df_node *root,
                                  struct df_node *right)
{
  struct df_node *both =
      df_node_create(&reading->work, DF_MAPPING, right->source, right->line, right->column);
  if (!both) return NULL;
  for (int i = 0; side_keys[i]; i++) {
    struct df_node *left = df_node_child(root, side_keys[i]),
                   *copy = left ? df_node_copy(&reading->work, left) : NULL;
    if (left && !copy) return NULL;
    if (copy) df_node_append(both, copy);
  }
  struct df_node *over = df_node_copy(&reading->work, right);
  if (!over) return NULL;
  over->right = 1;
  df_node_mark(over, 0, 1);
  both->right = 1;
  df_node_merge(both, over);
  return df_side_complete(reading, both) ? both : NULL;
}

static int is_linear(const struct df_node *side)
{
  struct df_node *linear = df_node_child(df_node_child(side, "leg"), "linear");
  return linear && linear->kind == DF_MAPPING;
}

// Values of the right side that are neither given there nor different from the left are not worth a
// line.
static void drop_equal(struct df_reading *reading, int from)
{
  int n = from;
  for (int i = from; i < reading->slot_n; i++) {
    struct df_slot *slot = &reading->slot[i];
    size_t size = slot->row->form == DF_WORD ? sizeof(int) : sizeof(double);
    const char *left = (const char *)slot->at - sizeof(struct df_side);
    if ((slot->node && slot->node->right) || memcmp(slot->at, left, size))
      reading->slot[n++] = *slot;
  }
  reading->slot_n = n;
}

static void walk_right(struct df_walk *walk, const struct df_node *root)
{
  struct df_reading *reading = walk->reading;
  struct df_scenario *scenario = &reading->scenario;
  struct df_node *right = df_node_child(root, "right");
  scenario->side[1] = scenario->side[0];
  if (!right || df_node_none(right)) return;
  size_t up = df_walk_down(walk, "right");
  if (right->kind != DF_MAPPING) {
    df_walk_fault(walk, right, 0, "a section is wanted, as in {air: {oil_level: 140 mm}}");
    df_walk_up(walk, up);
    return;
  }
  struct df_node *both = right_tree(reading, root, right);
  if (!both) {
    walk->no_memory = 1;
    return;
  }
  int from = reading->slot_n;
  memset(&scenario->side[1], 0, sizeof scenario->side[1]);
  walk->right = 1;
  walk->linear = is_linear(both);
  df_walk_section(walk, &df_side_section, (char *)&scenario->side[1], both);
  walk->right = 0;
  df_walk_up(walk, up);
  df_side_defaults(scenario, &scenario->side[1]);
  scenario->unlike = memcmp(&scenario->side[0], &scenario->side[1], sizeof scenario->side[0]) != 0;
  drop_equal(reading, from);
}

// `format: 1` is all that there is so far.
static void check_format(struct df_walk *walk, const struct df_node *root)
{
  struct df_node *node = df_node_child(root, "format");
  if (!node || (node->kind == DF_SCALAR && !strcmp(node->text, "1"))) return;
  size_t up = df_walk_down(walk, "format");
  df_walk_fault(walk, node, 0, "this program reads format 1");
  df_walk_up(walk, up);
}

static void title_default(struct df_reading *reading)
{
  struct df_scenario *scenario = &reading->scenario;
  if (!scenario->title[0]) snprintf(scenario->title, sizeof scenario->title, "%s", reading->stem);
}

static void walk_all(struct df_walk *walk, struct df_node *root)
{
  struct df_reading *reading = walk->reading;
  struct df_scenario *scenario = &reading->scenario;
  check_format(walk, root);
  walk->linear = is_linear(root);
  df_walk_section(walk, &df_scenario_section, (char *)scenario, root);
  struct df_node *roads = df_node_child(root, "roads");
  scenario->roads_of_use = roads && roads->assumed;
  df_side_defaults(scenario, &scenario->side[0]);
  walk_right(walk, root);
  df_front_defaults(scenario);
  title_default(reading);
  if (!reading->broken) df_check(walk);
  df_claims(walk, root);
}

// Once, before threads begin: every unit of the table is known without a lock from then on.
static int learn(const struct df_param *row, const char *path, void *arg)
{
  char why[DF_WHY_MAX];
  (void)path;
  if (row->unit) df_unit_find(arg, row->unit, why, sizeof why);
  if (row->or_unit) df_unit_find(arg, row->or_unit, why, sizeof why);
  return 0;
}

static void learn_units(struct df_units *units)
{
  if (df_units_fixed(units)) return;
  df_section_walk(&df_scenario_section, "", learn, units);
  for (int i = 0; i < df_road_kind_count; i++)
    if (df_road_kinds[i]->keys) df_section_walk(df_road_kinds[i]->keys, "", learn, units);
  df_units_fix(units);
}

enum df_status df_resolve(struct df_reading *reading, struct df_faults *faults)
{
  struct df_walk walk = { .reading = reading, .faults = faults };
  struct df_faults scrap = { 0 };
  if (!faults) walk.faults = faults = &scrap;
  int errors = faults->errors;
  learn_units(reading->units);
  df_arena_reset(&reading->work);
  reading->slot_n = reading->expect_n = reading->target_n = reading->learned_n = 0;
  memset(&reading->scenario, 0, sizeof reading->scenario);
  struct df_node *root = reading->root = df_node_copy(&reading->work, reading->tree);
  if (!root || !df_tree_complete(reading, root)) walk.no_memory = 1;
  else walk_all(&walk, root);
  if (walk.no_memory) return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  return faults->errors > errors ? DF_BAD_INPUT : DF_OK;
}
