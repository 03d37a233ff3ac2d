// One row a key of the scenario: what feeds the reader, overrides, sweeps, help, man page and docs.
// A section is a table of rows over one struct. Rows of a road kind live in the kind's own file.
#ifndef DF_BASE_PARAM_H
#define DF_BASE_PARAM_H

#include <stddef.h>

enum df_need {
  DF_REQUIRED,                // must be given
  DF_OPTIONAL,                // has a usual value, used and marked assumed
  DF_ABSENT                   // absent unless given: NAN, or not there
};

enum df_form {
  DF_QUANTITY,                // double; "number unit"
  DF_COUNT,                   // double; a whole number without unit
  DF_WORD,                    // int; one of `words`
  DF_TEXT,                    // char[]
  DF_SECTION,                 // mapping: struct at `at`, rows in `of`, flag `has` set when given
  // Lists: array at `at`, its length (int) at `has`, at most `most`.
  DF_LIST,                    // of mappings
  DF_NUMBERS,                 // of quantities: double[]
  DF_WORD_NUMBER,             // double; index of one of `words`, for structs that hold doubles only
  // Name of a file in the scenario's folder or below; in rows of a road kind: df_road.file.
  DF_FILE,
  DF_NAMED                    // mapping of names [a-z][a-z0-9-]{0,31} to sections: laid out so
};

enum { DF_NO_OFFSET = -1 };

struct df_section;

// Numbers are in `unit` unless said otherwise. Fields left 0 or NULL mean "none" where nothing else
// is said.
struct df_param {
  const char *key;            // one level, as written in the file
  enum df_form form;
  ptrdiff_t at;               // offset in the section's struct
  ptrdiff_t has;              // offset of an int: 1 when given (sections), length (lists)
  const char *unit;           // as a person writes it: display and dimension; "1" for pure numbers

  // A second accepted dimension: "turn", or "s" for a word that may be a time. The double at
  // `or_at` takes such a value and is NAN otherwise; range in `or_unit`.
  const char *or_unit;
  ptrdiff_t or_at;
  double or_low, or_high;

  double usual;               // NAN: none, or computed (see `usual_rule`)
  const char *usual_rule;     // in words, where the usual value is computed; NULL: a constant
  const double *by_tube;      // usual values by tube size, in the order of df_tube_sizes
  double low, high;           // outside is refused
  double likely_low, likely_high; // outside draws a question; both 0: as low, high

  // People also read mirror - value ("rake from the ground": 90); the question that goes with it.
  double mirror;
  const char *mirror_words;

  enum df_need need;
  const char *const *words;   // choices: NULL-terminated, index is the value
  const char *usual_word;     // of choices; NULL: none, then the value is -1
  const struct df_section *of; // rows of a section or of a list's items
  int most;                   // items of a list, bytes of a text
  const char *meaning;        // one line for a person
  const char *measure;        // tool and how; NULL: cannot be measured

  // How well a careful person measures it: in `unit`, or as a share of the value; 0, NAN: not said.
  double tolerance, tolerance_share;
  const char *mistake;        // usual mistake
  const char *source;         // of usual and range: "common practice", "from memory", a book ...
};

struct df_section { const char *name; size_t size; const struct df_param *row; int rows; };

// Tube sizes for which typical forks are known.
enum { DF_TUBE_SIZES = 4 };
extern const double df_tube_sizes[DF_TUBE_SIZES]; // mm

#endif
