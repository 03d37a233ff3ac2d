// Lines, paragraphs and tables for a screen.
#include "out_text.h"

#include "say.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void line(const char *format, ...)
{
  char text[600], safe[1200];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  puts(clean(safe, sizeof safe, text, SCREEN_COLUMNS));
}

static void fill(int column, int indent, const char *format, va_list arguments)
{
  char text[1600], safe[3200], *rest = NULL;
  vsnprintf(text, sizeof text, format, arguments);
  clean(safe, sizeof safe, text, 0);
  int first = 1;
  for (char *word = strtok_r(safe, " ", &rest); word;
       word = strtok_r(NULL, " ", &rest), first = 0) {
    int width = columns_of(word);
    if (!first && column + 1 + width > SCREEN_COLUMNS) printf("\n%*s", indent, ""), column = indent;
    else if (!first) putchar(' '), column++;
    fputs(word, stdout);
    column += width;
  }
  putchar('\n');
}

void paragraph(int indent, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  fill(0, indent, format, arguments);
  va_end(arguments);
}

void paragraph_from(int column, int indent, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  fill(column, indent, format, arguments);
  va_end(arguments);
}

void labelled(const char *label, const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  printf("%-*s", LABEL_COLUMNS, label);
  fill(LABEL_COLUMNS, LABEL_COLUMNS, format, arguments);
  va_end(arguments);
}

void table_begin(struct table *table, int columns, const char *alignment)
{
  memset(table, 0, sizeof *table);
  table->columns = columns;
  for (int j = 0; j < columns && alignment[j]; j++) table->right[j] = alignment[j] == 'r';
}

void table_cell(struct table *table, int row, int column, const char *format, ...)
{
  if (row >= TABLE_ROWS_MAX || column >= TABLE_COLUMNS_MAX) return;
  char text[400];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  clean(table->cell[row][column], TABLE_CELL_MAX, text,
        column == table->columns - 1 ? SCREEN_COLUMNS : 48);
  if (row >= table->rows) table->rows = row + 1;
}

static int column_width(const struct table *table, int column)
{
  int width = 0;
  for (int i = 0; i < table->rows; i++) {
    int cell = columns_of(table->cell[i][column]);
    if (cell > width) width = cell;
  }
  return width;
}

void table_print(const struct table *table)
{
  int width[TABLE_COLUMNS_MAX];
  for (int j = 0; j < table->columns; j++) width[j] = column_width(table, j);
  for (int i = 0; i < table->rows; i++) {
    char text[TABLE_COLUMNS_MAX*TABLE_CELL_MAX + 64] = "";
    size_t used = 0;
    for (int j = 0; j < table->columns; j++) {
      const char *cell = table->cell[i][j];
      int pad = width[j] - columns_of(cell), last = j == table->columns - 1;
      used += snprintf(text + used, sizeof text - used, "%s%*s%s%*s", j ? "  " : "",
                       table->right[j] ? pad : 0, "", cell, table->right[j] || last ? 0 : pad, "");
    }
    while (used && text[used - 1] == ' ') text[--used] = 0;
    line("%s", text);
  }
}

const char *figure(char out[24], double value)
{
  double size = fabs(value);
  if (!isfinite(value)) strcpy(out, "-");
  else if (size >= 99.5) snprintf(out, 24, "%.0f", value);
  else if (size >= 9.95) snprintf(out, 24, "%.1f", value);
  else if (size >= 0.0995) snprintf(out, 24, "%.2f", value);
  else if (size >= 0.00005) snprintf(out, 24, "%.4f", value);
  else if (size == 0) strcpy(out, "0");
  else snprintf(out, 24, "%.1e", value);
  if (strchr(out, '.') && !strchr(out, 'e')) { // "15.0" says no more than "15"
    char *end = out + strlen(out);
    while (end[-1] == '0') *--end = 0;
    if (end[-1] == '.') *--end = 0;
  }
  return out;
}
