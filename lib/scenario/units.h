// Units of measure: a closed list of words, composed by . / ^ ( ), turned to SI by UDUNITS-2.
// One object serves a whole program and all its threads; it costs some 4 ms to make.
#ifndef DF_SCENARIO_UNITS_H
#define DF_SCENARIO_UNITS_H

#include "dampfork/status.h"

#include <stddef.h>

enum { DF_UNIT_MAX = 40 };    // bytes of a unit's text, with the final zero

struct df_unit {
  char text[DF_UNIT_MAX];     // as written
  double scale, offset; // SI value = scale*(value + offset); offset is 0 but for degC and degF
  char base[DF_UNIT_MAX];     // the same dimension in base units, "kg/s2"; "1" for pure numbers
};

struct df_units;
struct df_units *df_units_create(
    struct df_faults *faults); // NULL: out of memory, or the data base of units cannot be read
void df_units_destroy(struct df_units *units);

// The unit with this text. NULL: not understood; then `why` says so and what to write instead.
const struct df_unit *df_unit_find(struct df_units *units, const char *text, char *why,
                                   size_t size);

// What was found so far is found without a lock from now on. Once, before threads begin.
void df_units_fix(struct df_units *units);
int df_units_fixed(const struct df_units *units); // how many; 0: not yet

// The same among those, without changing anything; NULL: not among them.
const struct df_unit *df_unit_known(const struct df_units *units, const char *text);

double df_unit_to_si(const struct df_unit *unit, double value);
double df_unit_from_si(const struct df_unit *unit, double si);
int df_unit_same(const struct df_unit *a, const struct df_unit *b); // 1: same dimension

// A column's spelling as a unit: "m_per_s2" -> "m/s2", "percent" -> "%".
void df_unit_of_column(const char *column, char *text, size_t size);

// Number and unit with so many digits: "9 N/mm"; a pure number without unit.
void df_unit_print(const struct df_unit *unit, double si, int digits, char *text, size_t size);

#endif
