// Reader of recorded profiles. Numbers are read in the C locale, whatever the caller's is.
#define _GNU_SOURCE // strtod_l
#include "vehicle/record.h"

#include <locale.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "vehicle/ground.h"

enum { FIELDS_MAX = 64, NUMBER_MAX = 64 };
static const double distance_most = 1e6; // m
static const double height_most = 1e7;   // mm: 10 km, for heights over the sea

struct field { const char *at; int n; };

struct record {
  const char *path, *key;
  struct df_faults *faults;
  locale_t plain;
  char *text;
  size_t size;
  struct field line;
  int line_number;
  int columns, distance, height; // of the header; 0, -1, -1 before it is read
  struct df_polyline *out;
  int room;
  int faulty;
  enum df_status status;      // of what ended the reading; DF_OK so far
};

// What a file holds is shown on a terminal: no control characters.
static void make_plain(char *text)
{
  for (; *text; text++)
    if ((unsigned char)*text < 0x20 || *text == 0x7f) *text = *text == '\t' ? ' ' : '?';
}

// A fault at this place of the current line; at NULL: of the file as a whole.
__attribute__((format(printf, 3, 4)))
static void fault_at(struct record *record, const char *at, const char *format, ...)
{
  char text[320];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  make_plain(text);
  record->faulty = 1;
  struct df_faults *faults = record->faults;
  int before = faults ? faults->n : 0;
  df_fault_add(faults, DF_BAD_INPUT, record->key, "%s", text);
  if (!faults || faults->n == before) return;
  struct df_fault *fault = &faults->at[before];
  snprintf(fault->file, sizeof fault->file, "%s", record->path);
  if (!at) return;
  fault->line = record->line_number;
  fault->column = (int)(at - record->line.at) + 1;
  int most = sizeof fault->source, shown = record->line.n < most ? record->line.n : most;
  snprintf(fault->source, sizeof fault->source, "%.*s", shown, record->line.at);
  make_plain(fault->source);
}

static enum df_status load(struct record *record)
{
  char why[80];
  record->text = df_file_read(record->path, DF_RECORD_BYTES_MAX, &record->size, why);
  if (record->text) return DF_OK;
  if (!*why) return DF_NO_MEMORY;
  return df_fault_add(record->faults, DF_CANNOT_READ, record->key, "%s: %s", record->path, why);
}

static struct field trimmed(struct field field)
{
  while (field.n > 0 && (*field.at == ' ' || *field.at == '\t')) field.at++, field.n--;
  while (field.n > 0 && strchr(" \t\r", field.at[field.n - 1])) field.n--;
  return field;
}

// Fields of the current line; the number of all, of which FIELDS_MAX are kept.
static int split(const struct record *record, struct field *field)
{
  const char *at = record->line.at, *end = at + record->line.n;
  for (int n = 0; ; n++) {
    const char *comma = memchr(at, ',', (size_t)(end - at));
    const char *stop = comma ? comma : end;
    if (n < FIELDS_MAX) field[n] = trimmed((struct field){ at, (int)(stop - at) });
    if (!comma) return n + 1;
    at = comma + 1;
  }
}

static int is_named(struct field field, const char *name)
{
  return field.n == (int)strlen(name) && memcmp(field.at, name, (size_t)field.n) == 0;
}

static void read_header(struct record *record, const struct field *field, int n)
{
  for (int i = 0; i < n && i < FIELDS_MAX; i++) {
    int *column = is_named(field[i], "distance_m") ? &record->distance
                : is_named(field[i], "height_mm") ? &record->height : NULL;
    if (column && *column >= 0) fault_at(record, field[i].at, "column named twice; allowed: once");
    else if (column) *column = i;
  }
  record->columns = n;
  if (record->distance >= 0 && record->height >= 0) return;
  const char *hint = memchr(record->line.at, ';', (size_t)record->line.n)
    ? " (commas between columns, not semicolons)" : "";
  fault_at(record, record->line.at,
           "no column %s; allowed: a header that names distance_m and height_mm%s",
           record->distance < 0 ? "distance_m" : "height_mm", hint);
  record->status = DF_BAD_INPUT; // without columns no row can be read
}

static double not_a_number(struct record *record, struct field field, const char *what)
{
  fault_at(record, field.at, "%s is not a number: \"%.*s\"; allowed: digits with a decimal point",
           what, field.n < 40 ? field.n : 40, field.at);
  return NAN;
}

// A number in plain decimal form, NAN with a fault else.
static double read_number(struct record *record, struct field field, const char *what, double most)
{
  char text[NUMBER_MAX], *end;
  if (field.n == 0) {
    fault_at(record, field.at, "no %s; allowed: a number", what);
    return NAN;
  }
  size_t plain = field.n < NUMBER_MAX ? strspn(field.at, "0123456789+-.eE") : 0;
  if (plain < (size_t)field.n) return not_a_number(record, field, what);
  memcpy(text, field.at, (size_t)field.n);
  text[field.n] = 0;
  double value = strtod_l(text, &end, record->plain);
  if (*end || end == text) return not_a_number(record, field, what);
  if (fabs(value) <= most) return value;
  fault_at(record, field.at, "%s %s is out of range; allowed: -%g to %g", what, text, most, most);
  return NAN;
}

static int grow(struct record *record)
{
  struct df_polyline *out = record->out;
  if (out->n < record->room) return 1;
  record->room = record->room ? 2*record->room : 1024;
  double *s = realloc(out->s, (size_t)record->room*sizeof *s);
  if (s) out->s = s;
  double *z = s ? realloc(out->z, (size_t)record->room*sizeof *z) : NULL;
  if (z) out->z = z;
  if (!z) record->status = DF_NO_MEMORY;
  return z != NULL;
}

static void add_row(struct record *record, const char *at, double s, double z)
{
  struct df_polyline *out = record->out;
  int n = out->n;
  if (n > 0 && s < out->s[n - 1]) {
    fault_at(record, at, "distance falls from %.9g to %.9g m; allowed: rising, or twice the same "
             "for a vertical face", out->s[n - 1], s);
    return;
  }
  if (n > 1 && s == out->s[n - 2]) {
    fault_at(record, at, "distance %.9g m for the third time; allowed: twice, for a vertical face",
             s);
    return;
  }
  if (n == DF_RECORD_ROWS_MAX) {
    fault_at(record, at, "too many rows; allowed: up to %d", DF_RECORD_ROWS_MAX);
    record->status = DF_BAD_INPUT;
    return;
  }
  if (!grow(record)) return;
  out->s[n] = s;
  out->z[n] = z;
  out->n++;
}

static void read_row(struct record *record, const struct field *field, int n)
{
  if (n != record->columns) {
    fault_at(record, record->line.at, "%d values under %d columns; allowed: one value a column, "
             "decimal points, no decimal commas", n, record->columns);
    return;
  }
  double s = read_number(record, field[record->distance], "distance_m", distance_most);
  double z = read_number(record, field[record->height], "height_mm", height_most);
  if (!isnan(s) && !isnan(z)) add_row(record, field[record->distance].at, s, z*1e-3);
}

static void read_line(struct record *record)
{
  struct field field[FIELDS_MAX];
  const char *zero = memchr(record->line.at, 0, (size_t)record->line.n);
  if (zero) {
    fault_at(record, zero, "a zero byte; allowed: text");
    record->status = DF_BAD_INPUT;
    return;
  }
  struct field whole = trimmed(record->line);
  if (whole.n == 0 || *whole.at == '#') return;
  int n = split(record, field);
  if (record->columns == 0) read_header(record, field, n);
  else read_row(record, field, n);
}

static void read_lines(struct record *record)
{
  const char *at = record->text, *end = at + record->size;
  if (record->size >= 3 && memcmp(at, "\xef\xbb\xbf", 3) == 0) at += 3; // byte order mark
  while (at < end && record->status == DF_OK) {
    const char *stop = memchr(at, '\n', (size_t)(end - at));
    if (!stop) stop = end;
    record->line = (struct field){ at, (int)(stop - at) };
    record->line_number++;
    read_line(record);
    at = stop + 1;
  }
  if (record->status == DF_OK && !record->faulty && record->out->n < 2)
    fault_at(record, NULL, "rows of numbers: %d; allowed: at least 2, under a header that names "
             "distance_m and height_mm", record->out->n);
}

enum df_status df_record_read(const char *path, const char *key, struct df_polyline *out,
                              struct df_faults *faults)
{
  *out = (struct df_polyline){0};
  struct record record = { .path = path, .key = key, .faults = faults, .out = out, .distance = -1,
                           .height = -1, .plain = newlocale(LC_ALL_MASK, "C", (locale_t)0) };
  enum df_status status = record.plain ? load(&record) : DF_NO_MEMORY;
  if (status == DF_OK) {
    record.text[record.size] = 0; // ends strspn and strtod in the last field
    read_lines(&record);
    status = record.status != DF_OK ? record.status : record.faulty ? DF_BAD_INPUT : DF_OK;
  }
  if (record.plain) freelocale(record.plain);
  free(record.text);
  if (status != DF_OK) df_polyline_finish(out);
  return status;
}
