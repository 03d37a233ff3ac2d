// Guard over the bytes of a text before any library sees them.
#ifndef DF_SCENARIO_BYTES_H
#define DF_SCENARIO_BYTES_H

#include <stddef.h>

enum { DF_FILE_MAX = 1024*1024 }; // bytes; the largest scenario seen has about 10 KiB

// The first thing wrong with a text, and where.
struct df_bad_byte {
  const char *what;           // sentence; NULL: nothing is wrong
  int line, column;           // from 1, in characters
};

// Accept UTF-8 without control characters, direction marks, a lone carriage return, line separators
// that only some programs know, or a mark of the byte order other than at the very beginning.
// `indented`: also refuse a tab in the blanks that begin a line.
struct df_bad_byte df_bytes_check(const char *text, size_t length, int indented);

// One character: its value and its length in bytes; 0 when the bytes are no UTF-8.
int df_utf8_next(const char *text, size_t length, unsigned *value);

#endif
