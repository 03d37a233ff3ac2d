// Numbers and quantities as people write them: "9 N/mm", "3 turn", "92 mm +- 2 %", "1:4:0.5 mm".
#ifndef DF_SCENARIO_QUANTITY_H
#define DF_SCENARIO_QUANTITY_H

#include "base/param.h"
#include "scenario/units.h"

enum { DF_WHY_MAX = 300 };    // bytes of a sentence about what is wrong

// Read a number at the beginning of `text`: digits with a point, an exponent if wanted. Returns
// what follows it; NULL: no number, or one that is no finite double. Works in the C locale.
const char *df_number_read(const char *text, double *value);

// Split "number unit". Returns what follows the number and the blanks; NULL: no quantity, and `why`
// says what is wrong.
const char *df_number_split(const char *text, double *value, char *why, size_t size);

enum df_verdict { DF_FINE, DF_ODD, DF_WRONG };

struct df_quantity {
  double value;               // as written
  const struct df_unit *unit; // as written
  double si;
  int other;                  // 1: given in the row's or_unit
};

// Read the quantity that a row asks for, check unit, range and plausibility. With DF_ODD the value
// stands and `why` is a question.
enum df_verdict df_quantity_read(struct df_units *units, const struct df_param *row,
                                 const char *text, struct df_quantity *out, char *why, size_t size);

// Check range and plausibility of a value that is already known in SI. `unit` and `value` as the
// person wrote it.
enum df_verdict df_quantity_check(struct df_units *units, const struct df_param *row,
                                  const struct df_quantity *quantity, char *why, size_t size);

// What an expectation or a target says.
enum df_relation { DF_ABOUT, DF_AT_MOST, DF_AT_LEAST, DF_BETWEEN };
struct df_claim {
  enum df_relation relation;
  double low, high;           // SI; equal for DF_ABOUT, NAN where open
  double tolerance;           // SI, or a share (1) with `tolerance_share`; 0: none given
  int tolerance_share;
  const struct df_unit *unit; // as written
};

// "92 mm +- 2 %", "<= 60 %", ">= 10 mm", "30 - 35 %". Returns 1, or 0 with `why`.
int df_claim_read(struct df_units *units, const char *text, struct df_claim *out, char *why,
                  size_t size);

// "1:4:0.5 mm" or "1, 2, 4 mm": the values as written and their unit's text. Returns their number,
// 0 with `why`.
int df_series_read(const char *text, double *values, int most, char unit[DF_UNIT_MAX], char *why,
                   size_t size);

#endif
