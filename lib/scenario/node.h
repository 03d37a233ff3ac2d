// The text of a scenario as a tree: what was written, where it stands, nothing understood yet.
#ifndef DF_SCENARIO_NODE_H
#define DF_SCENARIO_NODE_H

#include "base/arena.h"
#include "base/param.h"
#include "dampfork/status.h"

// A text that was read: a file, or the overrides of the command line.
struct df_source {
  struct df_source *next;
  const char *name;           // as the user named it; "--set" for overrides
  const char *folder;         // where names inside it are looked up; "" for the working folder
  const char *text;
  size_t length;
  int rank; // order of faults: the scenario itself, what it is based on, overrides
};

enum df_node_kind { DF_SCALAR, DF_MAPPING, DF_SEQUENCE };

struct df_node {
  enum df_node_kind kind;
  unsigned char quoted;       // scalar in quotes
  unsigned char block;        // scalar after | or >
  unsigned char assumed;      // not from the user: a ready road, a usual list
  unsigned char right;        // stands below `right`
  unsigned char bad;          // already complained about: say no more
  unsigned char reached;      // made only because an override reached through it
  unsigned char has_si;       // value set as a number: `si`
  const char *key;            // in a mapping; NULL in a sequence
  int key_line, key_column;   // from 1; 0: none
  const char *text;           // of a scalar
  int line, column;
  const struct df_source *source;
  struct df_node *first, *last, *next;
  struct df_node
      *origin; // the node of which this is a copy, so that what is learned is kept; NULL: none
  const struct df_param *row; // what the text was read as; NULL: not yet
  double si, value;           // SI; as written
  const char *unit;           // as written
  char *own;                  // room for the text of a value that is set as a number; NULL: not yet
  int other;                  // 1: given in the row's or_unit
};

struct df_node *df_node_create(struct df_arena *arena, enum df_node_kind kind,
                               const struct df_source *source, int line, int column);
void df_node_append(struct df_node *parent, struct df_node *child);
struct df_node *df_node_child(const struct df_node *mapping,
                              const char *key); // NULL: none, or no mapping
struct df_node *df_node_item(const struct df_node *sequence, int index);       // from 1
int df_node_count(const struct df_node *node);
struct df_node *df_node_copy(struct df_arena *arena,
                             struct df_node *node); // with all below it; NULL: out of memory
int df_node_none(const struct df_node *node);       // 1: the bare word `none`
void df_node_mark(struct df_node *node, int assumed,
                  int right); // set these flags on it and all below

void df_node_remove(struct df_node *parent, struct df_node *child);

// Lay `over` upon `base`: mappings merge, everything else is replaced. Both belong to the same tree
// afterwards.
void df_node_merge(struct df_node *base, struct df_node *over);

// Add a fault at a place. `warning` 1: a question only.
__attribute__((format(printf, 8, 9))) enum df_status
df_fault_at(struct df_faults *faults, const struct df_source *source, int line, int column,
            enum df_status status, int warning, const char *key, const char *format, ...);

// Put the line of a place into a fault, and where the caret stands in it: control bytes and what is
// no UTF-8 become '?', a long line is cut.
void df_fault_quote(const struct df_source *source, int line, int column, struct df_fault *fault);

// A piece of user text for a sentence: cut at a whole character, with "..." when cut.
const char *df_clip(const char *text, char *out, size_t size);

// Put the faults from number `from` on in order of file, line and column.
void df_faults_sort(struct df_faults *faults, int from, const struct df_source *sources);

#endif
