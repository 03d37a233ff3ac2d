// Expectations and targets: names and claims, kept beside the scenario.
#include "scenario/reading.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static int road_exists(const struct df_scenario *scenario, const char *name)
{
  for (int i = 0; i < scenario->road_n; i++)
    if (!strcmp(scenario->road[i].name, name)) return 1;
  return 0;
}

// The road that was meant, among those that there are.
static const char *road_meant(const struct df_scenario *scenario, const char *name)
{
  const char *list[DF_ROADS_MAX + 2];
  int n = 0;
  for (int i = 0; i < scenario->road_n; i++) list[n++] = scenario->road[i].name;
  list[n++] = "static";
  list[n] = NULL;
  return df_word_nearest(name, list);
}

static const char *measure_meant(const struct df_reading *reading, const char *name)
{
  const char *list[256];
  int n = 0;
  if (!reading->options.measure_at) return NULL;
  for (; n < 255 && (list[n] = reading->options.measure_at(n)); n++) continue;
  list[n] = NULL;
  return df_word_nearest(name, list);
}

// Split "town.travel_peak". 0 after a fault.
static int split(struct df_walk *walk, const struct df_node *node, int target,
                 struct df_expectation *out)
{
  const char *dot = strchr(node->key, '.');
  out->what = node->key;
  out->measure = dot ? dot + 1 : node->key;
  out->road = dot ? df_arena_text(&walk->reading->work, node->key, (size_t)(dot - node->key)) : "";
  if (!out->road) return walk->no_memory = 1, 0;
  if (!dot && target) return 1;
  if (!dot)
    return df_walk_fault(walk, node, 0,
                         "written ROAD.MEASURE, or static.MEASURE for one that needs no road"),
           0;
  const struct df_scenario *scenario = &walk->reading->scenario;
  if (target || !strcmp(out->road, "static") || walk->reading->broken ||
      road_exists(scenario, out->road))
    return 1;
  const char *meant = road_meant(scenario, out->road);
  char shown[40];
  df_walk_fault(walk, node, 0, "no road is named %s here%s%s%s",
                df_clip(out->road, shown, sizeof shown), meant ? "; did you mean " : "",
                meant ? meant : "", meant ? "?" : "");
  return 0;
}

// The measure's own unit: NULL when it is not to be checked; `bad` 1 after a fault.
static const struct df_unit *measure_unit(struct df_walk *walk, const struct df_node *node,
                                          const char *measure, int *bad)
{
  const struct df_reading *reading = walk->reading;
  char text[DF_UNIT_MAX], why[DF_WHY_MAX], shown[60];
  *bad = 0;
  if (!reading->options.measure_unit) return NULL;
  const char *column = reading->options.measure_unit(measure);
  if (!column) {
    const char *meant = measure_meant(reading, measure);
    df_walk_fault(walk, node, 0, "no measure is named %s%s%s%s",
                  df_clip(measure, shown, sizeof shown), meant ? "; did you mean " : "",
                  meant ? meant : "", meant ? "?" : "");
    *bad = 1;
    return NULL;
  }
  df_unit_of_column(column, text, sizeof text);
  return df_unit_find(reading->units, text, why, sizeof why);
}

enum list { EXPECT, TARGETS, LEARNED };
static const char *const list_keys[] = {"expect", "targets", "learned"};

static void claim(struct df_walk *walk, const struct df_node *node, enum list list)
{
  struct df_reading *reading = walk->reading;
  int target = list != EXPECT, bad = 0;
  int *n = list == EXPECT ? &reading->expect_n : list == TARGETS ? &reading->target_n
                                                                 : &reading->learned_n;
  struct df_expectation *out = &(list == EXPECT    ? reading->expect
                                 : list == TARGETS ? reading->target
                                                   : reading->learned)[*n];
  struct df_claim read;
  char why[DF_WHY_MAX];
  *out = (struct df_expectation){ .line = node->line, .column = node->column };
  if (*n == DF_CLAIMS_MAX) return df_walk_fault(walk, node, 0, "more than %d", DF_CLAIMS_MAX - 1);
  if (node->kind != DF_SCALAR || node->bad)
    return df_walk_fault(walk, node, 0,
                         "one value is wanted, as in 92 mm +- 2 %%, <= 10 mm or >= 5 mm");
  if (!split(walk, node, target, out)) return;
  const struct df_unit *unit = target ? NULL : measure_unit(walk, node, out->measure, &bad);
  if (bad) return;
  if (!df_claim_read(reading->units, node->text, &read, why, sizeof why))
    return df_walk_fault(walk, node, 0, "%s", why);
  if (!target && read.relation == DF_ABOUT && read.tolerance == 0)
    return df_walk_fault(walk, node, 0,
                         "no tolerance; write as in %s +- 2 %%, or <= or >=", node->text);
  int pair = list == LEARNED && strchr(node->key, ',') != NULL; // of two values: their correlation
  if (pair && (read.relation != DF_ABOUT || read.tolerance != 0 || !(fabs(read.low) <= 1)))
    return df_walk_fault(walk, node, 0, "the correlation of two values is wanted, -1 to 1");
  if (list == LEARNED && !pair && (read.relation != DF_ABOUT || !(read.tolerance > 0)))
    return df_walk_fault(walk, node, 0, "written VALUE UNIT +- half of the 95 %% interval, as in "
                         "27 N +- 4 N");
  if (unit && !df_unit_same(unit, read.unit))
    return df_walk_fault(walk, node, 0, "%s is %s in base units; this measure is in %s, that is %s",
                         read.unit->text, read.unit->base, unit->text, unit->base);
  out->text = node->text;
  out->relation = (enum df_claim_relation)read.relation;
  out->low = read.low;
  out->high = read.high;
  out->tolerance = read.tolerance;
  out->tolerance_share = read.tolerance_share;
  out->unit = read.unit->text;
  out->scale = read.unit->scale;
  ++*n;
}

static void claims(struct df_walk *walk, const struct df_node *root, enum list list)
{
  const char *key = list_keys[list];
  struct df_node *section = df_node_child(root, key);
  if (!section || df_node_none(section)) return;
  size_t up = df_walk_down(walk, key);
  if (section->kind != DF_MAPPING)
    df_walk_fault(walk, section, 0, "a section is wanted, as in {town.travel_peak: 92 mm +- 2 %%}");
  for (struct df_node *child = section->kind == DF_MAPPING ? section->first : NULL; child;
       child = child->next) {
    if (df_node_none(child)) continue;
    size_t above = df_walk_down(walk, child->key);
    claim(walk, child, list);
    df_walk_up(walk, above);
  }
  df_walk_up(walk, up);
}

void df_claims(struct df_walk *walk, const struct df_node *root)
{
  struct df_reading *reading = walk->reading;
  reading->expect = df_arena_take(&reading->work, DF_CLAIMS_MAX*sizeof *reading->expect);
  reading->target = df_arena_take(&reading->work, DF_CLAIMS_MAX*sizeof *reading->target);
  reading->learned = df_arena_take(&reading->work, DF_CLAIMS_MAX*sizeof *reading->learned);
  if (!reading->expect || !reading->target || !reading->learned) {
    walk->no_memory = 1;
    return;
  }
  claims(walk, root, EXPECT);
  claims(walk, root, TARGETS);
  claims(walk, root, LEARNED);
}
