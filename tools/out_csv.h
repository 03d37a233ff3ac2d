// CSV by RFC 4180, with "# key = value" lines before the header row; lines end with LF.
#ifndef DF_TOOLS_OUT_CSV_H
#define DF_TOOLS_OUT_CSV_H

#include <stdio.h>

struct csv {
  FILE *stream;
  int digits;                 // significant digits of numbers
  int column;                 // of the row begun, 0: none
};
static inline struct csv csv_begin(FILE *stream, int digits)
{
  return (struct csv){stream, digits, 0};
}

// A line of the head. Control characters of the value become blanks: one key, one line.
void csv_head(struct csv *csv, const char *key, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

// A cell. Text that a spreadsheet would take for a formula is given an apostrophe in front; NAN and
// infinities are empty cells.
void csv_text(struct csv *csv, const char *text);
void csv_number(struct csv *csv, double number);
void csv_line(struct csv *csv); // end of the row

// A header row of n names.
void csv_names(struct csv *csv, const char *const *names, int n);

// A number with that many significant digits, as CSV, JSON and gnuplot read it. Returns out.
const char *number_text(char out[40], double number, int digits);

#endif
