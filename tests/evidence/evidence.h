// Evidence: figures from outside the project, and what the library makes of the same question.
#ifndef DF_TESTS_EVIDENCE_H
#define DF_TESTS_EVIDENCE_H

// Where a figure comes from.
// P printed in the named source and seen in a copy or transcription of it; C computed from a published law by other means;
// M from memory of the source; T common practice of the trade, without a source.
struct evidence {
  const char *part;       // group of laws: oil, holes, gaps, ...
  char tag;               // 'P', 'C', 'M' or 'T'
  const char *source;     // author, title, year
  const char *where;      // table, example, page or section in it
  const char *printed;    // what stands there: inputs and result
  double (*run)(double);  // asks the library the same question, in `unit`
  double given;           // argument of `run`
  double want;            // in `unit`
  double tolerance;       // in `unit`, absolute
  const char *unit;
  const char *why;        // why the tolerance has that size
};

// A place where the model is known to be off. The check fails when the error leaves the band that the page states.
struct limit {
  const char *what;       // in words
  const char *source;     // of the outside figure
  double (*run)(double);  // what the library says
  double given;           // argument of `run`
  double want;            // the outside figure
  const char *unit;
  double low, high;       // percent: got/want - 1 lies between them
};

struct evidence_group { const char *name; const struct evidence *row; int n; };
struct limit_group { const char *name; const char *text; const struct limit *row; int n; };

// One line a group in groups.c; the arrays stand in a file each.
extern const struct evidence_group *const evidence_groups[];
extern const int evidence_group_count;
extern const struct limit_group *const limit_groups[];
extern const int limit_group_count;

#define EVIDENCE_GROUP(symbol, title, rows) \
  const struct evidence_group symbol = {title, rows, (int)(sizeof rows/sizeof rows[0])}
#define LIMIT_GROUP(symbol, title, text, rows) \
  const struct limit_group symbol = {title, text, rows, (int)(sizeof rows/sizeof rows[0])}

#endif
