// HTML: text made harmless, pictures of gnuplot set into a page, tables, data to take away.
#ifndef DF_TOOLS_HTML_H
#define DF_TOOLS_HTML_H

#include <stdio.h>

// Text from anywhere as text of a page: the five signs that HTML reads are written as entities,
// control characters, broken UTF-8 and signs that turn the direction of writing become '?'.
void html_text(FILE *stream, const char *text);

// The same after printf.
void html_print(FILE *stream, const char *format, ...) __attribute__((format(printf, 2, 3)));

// Bytes of a file to take away, as the address of a link.
void html_data_address(FILE *stream, const char *type, const char *bytes, size_t n);

// A picture of gnuplot as part of a page. Every id gets `prefix` in front; title and desc say what
// is seen. A plot whose title is "setting K" becomes a group of class "setting" with data-i K.
void html_picture(FILE *stream, const char *svg, size_t n, const char *prefix, const char *title,
                  const char *desc);

// What a picture shows, as numbers: a table on the page, a CSV to take away.
enum { DATA_COLUMNS = 16, DATA_NAME = 128 };
struct data {
  int columns, rows, room;
  char name[DATA_COLUMNS][DATA_NAME]; // quantity, underscore, unit
  char first[DATA_NAME];              // name of the column of texts; "": there is none
  double *value;                      // rows times columns
  char (*text)[DATA_NAME];            // of the column of texts
  int bad;                            // 1: no memory
};
void data_begin(struct data *data, const char *first, int columns, const char *const *name);
void data_row(struct data *data, const char *text, const double *value);
void data_finish(struct data *data);
void data_csv(const struct data *data, FILE *stream, int digits);
// At most `most` rows, evenly chosen; the first and the last are among them.
void data_table(const struct data *data, FILE *stream, const char *caption, int most);

#endif
