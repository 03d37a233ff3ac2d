// From a file to a scenario: reading, overriding, asking what was given and what was assumed,
// writing back. Reading never prints; every fault goes to the list with its place. Numbers are read
// and written with a point, whatever the locale. A reading belongs to one thread; copies may be
// used by others (df_reading_set on a copy asks nothing of UDUNITS-2).
#ifndef DAMPFORK_READER_H
#define DAMPFORK_READER_H

#include "dampfork/scenario.h"

#include <stddef.h>

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

struct df_param;              // one row of the parameter table: lib/base/param.h
struct df_units;              // units of measure: lib/scenario/units.h
struct df_reading;

enum { DF_REAL_MAX = 17 };    // digits that give a double back exactly

// How to read. Zero the struct, then set what differs.
struct df_reading_options {
  const char *const *set;     // overrides "path.to.key=VALUE" in their order
  int set_n;
  // What a measure's unit is, as in columns ("mm", "m_per_s2", "percent"); NULL: no such measure.
  // With it, `expect` is checked against the measures that exist. NULL: names of measures are taken
  // as they stand.
  const char *(*measure_unit)(const char *name);
  const char *(*measure_at)(
      int i); // names of all measures, NULL past the end, for "did you mean"; may be NULL
};

// Units are costly to make (some 4 ms): make them once and pass them to every reading. Must outlive
// the readings.
struct df_units *df_reading_units_create(struct df_faults *faults);
void df_reading_units_destroy(struct df_units *units);

// Read a scenario. On DF_OK `*out` is to be destroyed by the caller, and the list may hold
// warnings; otherwise `*out` is NULL and the list holds every fault up to the first that made the
// rest unreadable. DF_CANNOT_READ: the file itself. options may be NULL.
enum df_status df_reading_create(struct df_reading **out, struct df_units *units, const char *file,
                                 const struct df_reading_options *options,
                                 struct df_faults *faults);

// The same from a text of `length` bytes; `name` stands in faults. Names of files inside it are
// looked up in `folder` ("": here). An empty scenario to be filled by overrides is "{}".
enum df_status df_reading_create_text(struct df_reading **out, struct df_units *units,
                                      const char *name, const char *folder, const char *text,
                                      size_t length, const struct df_reading_options *options,
                                      struct df_faults *faults);

// A copy that may be changed and used in another thread; NULL: out of memory.
struct df_reading *df_reading_copy(const struct df_reading *reading);
void df_reading_destroy(struct df_reading *reading);

// The resolved scenario. Valid until the next change of the reading.
const struct df_scenario *df_reading_scenario(const struct df_reading *reading);

// --- Values

// One value of the scenario. Texts belong to the reading and are valid until its next change.
struct df_value {
  const char *path; // dotted: "rod.compression_holes[1].diameter", "roads.town.speed",
                    // "right.air.oil_level"
  const struct df_param *row;
  int given; // 1: stands in the file or in an override; 0: assumed, or belongs to a ready road
  int absent;                 // 1: not given and without a usual value: si is NAN
  const char *text;           // as given: "3 turn"; "" when not given
  const char *file;           // where it was given; "" otherwise
  int line, column;           // there, from 1; 0: none
  const char *unit; // display unit of the row, "1" for pure numbers; NULL for words and texts
  double si;                  // SI; index for words; NAN for texts
  double in_unit;             // the same in `unit`
  const char *word;           // of a choice or text; NULL for numbers
};

// How many values the scenario has; value i; the index of a path.
int df_reading_count(const struct df_reading *reading);
void df_reading_value(const struct df_reading *reading, int i,
                      struct df_value *out); // in the order of the table
int df_reading_find(const struct df_reading *reading, const char *path);             // index, or -1
int df_reading_given(const struct df_reading *reading, int *given,
                     int *assumed); // counts of values; returns their sum

// --- Changing

// Put a number in SI in the place of a value and resolve everything that depends on it. path as
// above; a value that was assumed becomes a given one. DF_UNKNOWN_NAME, DF_BAD_INPUT (out of range,
// contradiction): the reading is as before.
enum df_status df_reading_set(struct df_reading *reading, const char *path, double si,
                              struct df_faults *faults);

// The same for several values at once, so that they are judged together.
enum df_status df_reading_set_all(struct df_reading *reading, int n, const char *const *path,
                                  const double *si, struct df_faults *faults);

// The same with a number in a unit ("turn" for valve.preload).
enum df_status df_reading_set_in(struct df_reading *reading, const char *path, double value,
                                 const char *unit, struct df_faults *faults);

// The same for several values at once, each in a unit of its own.
enum df_status df_reading_set_all_in(struct df_reading *reading, int n, const char *const *path,
                                     const double *value, const char *const *unit,
                                     struct df_faults *faults);

// The same with overrides as on the command line, "valve=none", "roads.town.speed=60 km/h".
enum df_status df_reading_override(struct df_reading *reading, const char *const *set, int n,
                                   struct df_faults *faults);

// --- Expectations and targets

// How an expectation compares.
enum df_claim_relation { DF_CLAIM_ABOUT, DF_CLAIM_AT_MOST, DF_CLAIM_AT_LEAST, DF_CLAIM_BETWEEN };

// One line of `expect`, or a target given in the same form.
struct df_expectation {
  const char *what;           // "town.travel_peak" or, among targets, any name
  const char *road;           // "town", "static"; "" among targets without a road
  const char *measure;        // "travel_peak"
  const char *text;           // as written: "92 mm +- 2 %"
  enum df_claim_relation relation;
  double low, high;           // SI; equal for ABOUT, NAN where open
  double tolerance;           // SI, or a share (1) with tolerance_share
  int tolerance_share;        // 1: tolerance is a share of the value
  const char *unit;           // as written
  double scale;               // SI = scale*value in that unit
  int line, column;           // where it stands, from 1
};
// How many, and number i from 0. Texts belong to the reading.
int df_reading_expect_count(const struct df_reading *reading);
void df_reading_expect(const struct df_reading *reading, int i, struct df_expectation *out);
int df_reading_target_count(const struct df_reading *reading);
void df_reading_target(const struct df_reading *reading, int i, struct df_expectation *out);
// The scenario's own target for a measure on a road ("static": at rest), the first that stands there;
// 0: it has none, and out is left alone.
int df_reading_target_of(const struct df_reading *reading, const char *road, const char *measure,
                         struct df_expectation *out);

// 1 when `learned` of the scenario says how sure this value is, and it still is that value: half of
// its 95 % interval goes to *off, SI.
int df_reading_learned(const struct df_reading *reading, const char *path, double *off);
// Correlation of two values that were learned together, 1; 0: none is said.
double df_reading_learned_together(const struct df_reading *reading, const char *a, const char *b);

// --- Hash, writing back, twins

// First 12 hex digits of the 64-bit FNV-1a over df_reading_lines (without title and note). DF_OK, or
// DF_NO_MEMORY with an empty text.
enum df_status df_reading_hash(const struct df_reading *reading, char out[13]);

// One line "path = value" a value, keys sorted, SI with 17 digits, absent values left out. To be
// freed; NULL: out of memory.
char *df_reading_lines(const struct df_reading *reading);

enum {
  DF_WRITE_ASSUMED = 1
}; // also assumed values, as comment lines with what they mean and how to measure them

// The scenario as YAML. Values that were given stand as they were given. To be freed by the caller;
// NULL: out of memory.
char *df_reading_write(const struct df_reading *reading, unsigned flags);

// The twin: of a valved scenario the plain one (no valve, rod as found), of a plain one the valved
// one (usual valve, rod opened). Spring preload, oil level and `solids` (m3, the steel in the air
// column, which df_statics_of computes; NAN: as given) are kept.
enum df_status df_reading_twin(struct df_reading **out, const struct df_reading *reading,
                               double solids, struct df_faults *faults);

// --- For commands that take values

// A value to vary, and what it is to be.
struct df_vary {
  char path[96];              // dotted key
  const struct df_param *row;
  char unit[40];              // as written
  int n;
  double *value;              // as written, in `unit`; use df_reading_set_in
  double *si;                 // SI; with turns: turns
};

// "KEY=FIRST:LAST:STEP UNIT" or "KEY=A,B,... UNIT". Fills `out`, to be finished by df_vary_finish.
// At most `most` values.
enum df_status df_vary_init(struct df_vary *out, const struct df_reading *reading, const char *text,
                            int most, struct df_faults *faults);
void df_vary_finish(struct df_vary *vary);

// Read "9 N/mm" for a row; DF_OK, or DF_BAD_INPUT with a fault for `key`.
enum df_status df_quantity_parse(struct df_units *units, const struct df_param *row,
                                 const char *key, const char *text, double *si,
                                 struct df_faults *faults);

// A value in a unit with so many digits, "9 N/mm". DF_UNKNOWN_NAME: no such unit; then text is "".
enum df_status df_value_print(struct df_units *units, double si, const char *unit, int digits,
                              char *text, size_t size);

// SI -> unit and back; NAN when the unit is unknown.
double df_value_in(struct df_units *units, double si, const char *unit);
double df_value_si(struct df_units *units, double value, const char *unit);
int df_units_alike(struct df_units *units, const char *a, const char *b); // 1: same dimension

// Typical forks by tube size: text of a scenario's leg and rod, to begin from.
struct df_typical { double tube; /* mm */ const char *text; /* YAML */ };
extern const struct df_typical df_typical_forks[];
extern const int df_typical_fork_count;

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
