// Answers for a screen of 24 lines by 100 columns.
#ifndef DF_TOOLS_OUT_TEXT_H
#define DF_TOOLS_OUT_TEXT_H

#include <stddef.h>

enum { SCREEN_COLUMNS = 100, SCREEN_LINES = 24 };

// Print a line on standard output: control characters taken out, cut at the screen's edge. No
// newline in `format`.
void line(const char *format, ...) __attribute__((format(printf, 1, 2)));

// Print words, going on under `indent` where the screen ends.
void paragraph(int indent, const char *format, ...) __attribute__((format(printf, 2, 3)));

// The same, when `column` columns of the line are filled already.
void paragraph_from(int column, int indent, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

// A short label and a text beside it, going on under itself.
enum { LABEL_COLUMNS = 12 };
void labelled(const char *label, const char *format, ...) __attribute__((format(printf, 2, 3)));

// A table gathered first, so that its columns fit.
enum {
  TABLE_COLUMNS_MAX = 12,
  TABLE_ROWS_MAX = 64,
  TABLE_CELL_MAX = 324 /* 100 columns of UTF-8 */
};
struct table {
  int columns, rows;
  int right[TABLE_COLUMNS_MAX]; // 1: set flush right (numbers)
  char cell[TABLE_ROWS_MAX][TABLE_COLUMNS_MAX][TABLE_CELL_MAX];
};
void table_begin(struct table *table, int columns,
                 const char *alignment); // "lrr": a letter a column
void table_cell(struct table *table, int row, int column, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
void table_print(const struct table *table);

// A figure rounded for reading: three significant digits, never an exponent below a million; "-"
// when it is not a number.
const char *figure(char out[24], double value);

#endif
