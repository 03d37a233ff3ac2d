// Inside of a reading. Private to lib/scenario.
#ifndef DF_SCENARIO_READING_H
#define DF_SCENARIO_READING_H

#include "base/arena.h"
#include "base/table.h"
#include "dampfork/reader.h"
#include "dampfork/road.h"
#include "scenario/node.h"
#include "scenario/params.h"
#include "scenario/quantity.h"
#include "scenario/units.h"

enum {
  DF_BASED_MAX = 4, // files below the first
  DF_MEMORY_MAX =
      24 * 1024 * 1024, // bytes of one arena; five files of 1 MiB and their trees need about half
  DF_CLAIMS_MAX = 512
};

// A value that the walk met: where it lies and where it was written.
struct df_slot {
  const char *path;
  const struct df_param *row;
  void *at;                   // double, int or text inside the reading's scenario
  const struct df_node *node; // NULL: not written anywhere
  const char *const *words;   // of a choice
};

struct df_reading {
  struct df_units *units;
  struct df_arena arena;      // sources and tree
  struct df_arena work;       // what the last resolving made
  struct df_source *sources;
  struct df_node *tree;       // text nodes of the file, what it is based on, and overrides
  struct df_node *root;       // the same, completed, as last resolved; lies in `work`
  struct df_node *kept[2 * DF_ROADS_MAX + 1]; // ready roads as read, twice by row, and the usual
                                              // bleed; NULL: not yet needed
  int broken;                 // a YAML fault: what follows it is missing
  int overrides;              // lines of the source "--set"
  struct df_reading_options options;
  struct df_scenario scenario;
  struct df_slot *slot;
  int slot_n, slot_room;
  struct df_expectation *expect, *target, *learned; // DF_CLAIMS_MAX at most each
  int expect_n, target_n, learned_n;
  char stem[DF_NAME_MAX + 1];
};

// A walk over table and tree side by side.
struct df_walk {
  struct df_reading *reading;
  struct df_faults *faults;
  int right; // the right side: what was complained about on the left is not repeated
  int linear;                 // a linear leg stands in: nothing else of the leg must be given
  int no_memory;
  size_t length;
  char path[DF_KEY_MAX];
};

// merge.c: files and overrides -> one tree
enum df_status df_tree_read(struct df_reading *reading, struct df_source *source,
                            struct df_faults *faults);
enum df_status df_tree_file(struct df_reading *reading, const char *file, struct df_faults *faults);
enum df_status df_tree_override(struct df_reading *reading, const char *const *set, int n,
                                struct df_faults *faults);
struct df_source *df_source_add(struct df_reading *reading, const char *name, const char *folder,
                                const char *text, size_t length);
int df_file_below(const char *folder, const char *name, char *out, size_t size, char *why,
                  size_t why_size);                                   // 1: fine
struct df_node *df_tree_find(struct df_node *root, const char *path); // NULL: not there
// The node at `path`, made when it is not there (`made` and its parent are for undoing; NULL:
// nothing was made).
struct df_node *df_tree_reach(struct df_reading *reading, const char *path, struct df_node **parent,
                              struct df_node **made);
void df_item_replace(struct df_node *list, struct df_node *old,
                     struct df_node *item); // `none` takes the item out
void df_list_default(
    struct df_reading *reading,
    const char *path); // write down a usual list, so that an override can reach into it

// complete.c: what the tree lacks and no row can say: ready roads, usual lists, the opened rod
int df_tree_complete(struct df_reading *reading, struct df_node *root);  // 0: out of memory
int df_side_complete(struct df_reading *reading, struct df_node *side);

// read.c: tree -> scenario and slots
void df_walk_section(struct df_walk *walk, const struct df_section *section, char *base,
                     struct df_node *node);
size_t df_walk_down(struct df_walk *walk, const char *key);  // returns the length to go back to
void df_walk_up(struct df_walk *walk, size_t length);
__attribute__((format(printf, 4, 5))) void df_walk_fault(struct df_walk *walk,
                                                         const struct df_node *node, int warning,
                                                         const char *format, ...);
const struct df_slot *df_slot_find(const struct df_reading *reading, const char *path);

// defaults.c, checks.c, claims.c
void df_side_defaults(struct df_scenario *scenario, struct df_side *side);
double df_spacer_preload(const struct df_scenario *scenario,
                         const struct df_side *side); // m; NAN: not known
void df_front_defaults(struct df_scenario *scenario);
void df_check(struct df_walk *walk);
void df_claims(struct df_walk *walk, const struct df_node *root);

// The same tree with its own texts; sources are those of `to` with the same rank. NULL: out of
// memory.
struct df_node *df_tree_copy(struct df_reading *to, const struct df_node *node);

// resolve.c: everything from the tree on
enum df_status df_resolve(struct df_reading *reading, struct df_faults *faults);

#endif
