// What a fork should reach for its use: one row a target, a limit for each use.
#ifndef DF_MEASURES_TARGETS_H
#define DF_MEASURES_TARGETS_H

#include <stddef.h>

#include "dampfork/measure.h"

enum { DF_USES = 4 };

enum df_target_relation {
  DF_TARGET_WITHIN,           // low..high; one of them may be open
  DF_TARGET_OF_PLAIN          // at most `high` times the value of the plain twin on the same road
};

// Where a figure comes from; the words are df_target_tag_text.
enum df_target_tag { DF_TAG_PUBLISHED, DF_TAG_PRACTICE, DF_TAG_MEMORY, DF_TAG_OURS };

// Limits in the measure's unit (DF_TARGET_OF_PLAIN: 1); NAN: open on that side; both: no target.
struct df_limit { double low, high; enum df_target_tag tag; };

struct df_target {
  const char *road;           // name of a ready road; "static": no road; "*": every road of the set
  const char *measure;        // name of a row of df_measures
  enum df_target_relation relation;
  struct df_limit use[DF_USES]; // by enum df_use
  const char *source;
};
extern const struct df_target df_targets[];
extern const int df_target_count;

// First row that speaks of this measure on this road ("static" for none) and has a limit for the use; -1.
int df_target_find(const char *road, const char *measure, enum df_use use);

enum df_judgement { DF_NO_TARGET, DF_MET, DF_TOO_LOW, DF_TOO_HIGH };

// Judge a value, SI. `plain` is the plain twin's value, NAN where there is none: then DF_NO_TARGET for
// rows that need it. `error` (SI, 0 or more) is how far off the value may be: a limit missed by less
// counts as met. NAN values: DF_NO_TARGET.
enum df_judgement df_target_judge(const struct df_target *target, enum df_use use, double value,
                                  double plain, double error);

// How far outside its limits a value is, as a share of the limit (of the measure's per cent point, mm,
// ... where the limit is 0); 0: met; NAN as for DF_NO_TARGET. For ranking settings.
double df_target_miss(const struct df_target *target, enum df_use use, double value, double plain);

// "30-35 %", "at most 15 mm", "at least 10 mm", "not above plain", "10 % below plain"; "" without limit.
const char *df_target_text(const struct df_target *target, enum df_use use, char *out, size_t size);

// "published", "common practice", "from memory", "our choice".
const char *df_target_tag_text(enum df_target_tag tag);

// A column's unit as a person writes it: "m/s2", "%", "" for "1".
const char *df_unit_text(const char *unit, char *out, size_t size);

#endif
