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
  DF_QUANTITY,    // double; "number unit"
  DF_COUNT,       // double; a whole number without unit
  DF_WORD,        // int; one of `words`
  DF_TEXT,        // char[]
  DF_SECTION,     // mapping: struct at `at`, rows in `of`, flag `has` set when given
  DF_LIST,        // list of mappings: array at `at`, its length (int) at `has`, at most `most`
  DF_NUMBERS,     // list of quantities: double[] at `at`, its length (int) at `has`, at most `most`
  DF_WORD_NUMBER, // double; one of `words`, its index (for structs that hold doubles only, as those
                  // of road kinds)
  DF_FILE, // name of a file in the scenario's folder or below; char[], in rows of a road kind:
           // df_road.file (`at` unused)
  DF_NAMED // mapping of names [a-z][a-z0-9-]{0,31} to sections: array at `at`, its length (int) at
           // `has`, at most `most`
};

enum { DF_NO_OFFSET = -1 };

struct df_section;

struct df_param {
  const char *key;            // one level, as written in the file
  enum df_form form;
  ptrdiff_t at;               // offset in the section's struct
  ptrdiff_t has;    // offset of an int: 1 when given (sections), length (lists); DF_NO_OFFSET: none
  const char *unit; // unit as a person writes it: display unit and dimension; "1" for pure numbers
  const char *or_unit; // a second accepted dimension ("turn"; "s" for a word that may be a time);
                       // NULL: none
  ptrdiff_t or_at;     // offset of the double that takes a value given in `or_unit`, NAN otherwise;
                       // used with `or_unit` only
  double or_low, or_high;     // in `or_unit`: outside is refused
  double usual;               // in `unit`; NAN: none, or computed (see `usual_rule`)
  const char *usual_rule;     // in words, where the usual value is computed; NULL: a constant
  double low, high;           // in `unit`: outside is refused
  double likely_low, likely_high; // in `unit`: outside draws a question with the reading that would
                                  // fit; both 0: as low, high
  double mirror; // in `unit`: people also read mirror - value ("rake from the ground": 90); 0: none
  const char *mirror_words;   // the question that goes with it
  const double
      *by_tube; // usual values by tube size, in `unit`, in the order of df_tube_sizes; NULL: none
  enum df_need need;
  const char *const *words;   // DF_WORD: NULL-terminated, index is the value
  const char *usual_word;     // DF_WORD, DF_WORD_NUMBER: default; NULL: none, then the value is -1
  const struct df_section *of; // DF_SECTION, DF_LIST
  int most;                   // DF_LIST, DF_NUMBERS
  const char *meaning;        // one line for a person
  const char *measure;        // tool and how; NULL: cannot be measured
  double tolerance; // how well a careful person measures it, in `unit`; 0: see tolerance_share
  double tolerance_share;     // the same as a share of the value, 1; both 0: unknown
  const char *mistake;        // usual mistake; NULL: none known
  const char *
      source; // where usual and range come from, or "common practice", "from memory", "chosen here"
};

struct df_section { const char *name; size_t size; const struct df_param *row; int rows; };

// Tube sizes for which typical forks are known.
enum { DF_TUBE_SIZES = 4 };
extern const double df_tube_sizes[DF_TUBE_SIZES]; // mm

#endif
