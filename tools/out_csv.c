// CSV cells and head lines.
#include "out_csv.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

const char *number_text(char out[40], double number, int digits)
{
  if (number == 0) number = 0; // no "-0"
  snprintf(out, 40, "%.*g", digits, number);
  return out;
}

void csv_head(struct csv *csv, const char *key, const char *format, ...)
{
  char text[1200];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  for (unsigned char *at = (unsigned char *)text; *at; at++)
    if (*at < 0x20 || *at == 0x7f) *at = ' ';
  fprintf(csv->stream, "# %s = %s\n", key, text);
}

static void separate(struct csv *csv)
{
  if (csv->column++) fputc(',', csv->stream);
}

void csv_text(struct csv *csv, const char *text)
{
  separate(csv);
  int formula = *text && strchr("=+-@\t\r", *text) != NULL;
  if (!formula && !strpbrk(text, ",\"\r\n")) {
    fputs(text, csv->stream);
    return;
  }
  fputs(formula ? "\"'" : "\"", csv->stream);
  for (; *text; text++) {
    if (*text == '"') fputc('"', csv->stream);
    fputc(*text, csv->stream);
  }
  fputc('"', csv->stream);
}

void csv_number(struct csv *csv, double number)
{
  char text[40];
  separate(csv);
  if (isfinite(number)) fputs(number_text(text, number, csv->digits), csv->stream);
}

void csv_line(struct csv *csv)
{
  fputc('\n', csv->stream);
  csv->column = 0;
}

void csv_names(struct csv *csv, const char *const *names, int n)
{
  for (int i = 0; i < n; i++) csv_text(csv, names[i]);
  csv_line(csv);
}
