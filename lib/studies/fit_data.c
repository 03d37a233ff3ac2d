// Reader of measured data.
#define _GNU_SOURCE // strtod_l
#include "studies/fit_data.h"

#include <locale.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "scenario/bytes.h"
#include "scenario/units.h"

enum { FIELDS_MAX = 32, FIELD_MAX = 80 };

static const char *const load_words[] = {"alone", "rider", "full", NULL};
static const char *const settled_words[] = {"below", "above", NULL};
static const char *const part_words[] = {"fork", "valve", NULL};
static const char *const leg_words[] = {"left", "right", NULL};
static const char *const direction_words[] = {"push", "pull", NULL};
static const char *const without_words[] = {"spring", "air", "friction", NULL};

// unit: dimension of a quantity; NULL: words. most: largest size allowed, SI.
static const struct column_row {
  const char *name, *unit;
  const char *const *words;
  double least, most;
} column_rows[DF_D_COLUMNS] = {
    [DF_D_VELOCITY] = {"velocity", "m/s", NULL, -1e5, 1e5},
    [DF_D_FORCE] = {"force", "N", NULL, -1e7, 1e7},
    [DF_D_TIME] = {"time", "s", NULL, -1e6, 1e6},
    [DF_D_TRAVEL] = {"travel", "m", NULL, -10, 10},
    [DF_D_ACCELERATION] = {"acceleration", "m/s2", NULL, -1e5, 1e5},
    [DF_D_LENGTH] = {"length", "m", NULL, 0, 10},
    [DF_D_WEIGHT] = {"weight", "kg", NULL, 0, 1e3},
    [DF_D_DISTANCE] = {"distance", "m", NULL, 1e-3, 10},
    [DF_D_SPEED] = {"speed", "m/s", NULL, 0, 100},
    [DF_D_TRAVEL_PEAK] = {"travel_peak", "m", NULL, 0, 10},
    [DF_D_OIL_LEVEL] = {"oil_level", "m", NULL, 0, 10},
    [DF_D_LOAD] = {"load", NULL, load_words, 0, 0},
    [DF_D_SETTLED] = {"settled", NULL, settled_words, 0, 0},
    [DF_D_PART] = {"part", NULL, part_words, 0, 0},
    [DF_D_LEG] = {"leg", NULL, leg_words, 0, 0},
    [DF_D_DIRECTION] = {"direction", NULL, direction_words, 0, 0},
    [DF_D_ROAD] = {"road", NULL, NULL, 0, 0},
};

#define BIT(column) (1u << (column))
// must: columns of the kind; may: others it takes; any: one of these at least.
static const struct kind_row { unsigned must, may, any; } kind_rows[] = {
    [DF_DATA_BENCH] = {BIT(DF_D_VELOCITY) | BIT(DF_D_FORCE), BIT(DF_D_TRAVEL), 0},
    [DF_DATA_LOOP] = {BIT(DF_D_TIME) | BIT(DF_D_TRAVEL) | BIT(DF_D_FORCE), 0, 0},
    [DF_DATA_SLOW] = {BIT(DF_D_TRAVEL) | BIT(DF_D_FORCE), 0, 0},
    [DF_DATA_SAG] = {BIT(DF_D_LOAD) | BIT(DF_D_SETTLED) | BIT(DF_D_TRAVEL), 0, 0},
    [DF_DATA_SPRING] = {BIT(DF_D_PART) | BIT(DF_D_LENGTH) | BIT(DF_D_FORCE), 0, 0},
    [DF_DATA_TIMED] = {BIT(DF_D_DIRECTION) | BIT(DF_D_WEIGHT) | BIT(DF_D_DISTANCE) |
                       BIT(DF_D_TIME), BIT(DF_D_LEG), 0},
    [DF_DATA_O_RING] = {BIT(DF_D_ROAD) | BIT(DF_D_SPEED) | BIT(DF_D_TRAVEL_PEAK), 0, 0},
    [DF_DATA_LEVEL] = {BIT(DF_D_OIL_LEVEL), BIT(DF_D_LEG), 0},
    [DF_DATA_LOG] = {BIT(DF_D_TIME), BIT(DF_D_TRAVEL) | BIT(DF_D_ACCELERATION),
                     BIT(DF_D_TRAVEL) | BIT(DF_D_ACCELERATION)},
};
const char *const df_data_kind_names[DF_DATA_KINDS + 1] = {
    "bench", "loop", "slow", "sag", "spring", "timed", "o_ring", "level", "log", NULL};

struct field { const char *at; int n; };
struct input {
  struct df_data *out;
  struct df_units *units;
  struct df_faults *faults;
  locale_t plain;
  const char *file, *line;
  int line_n, line_number;
  int header;                 // 1: the row of names was read
  int kind;                   // said by the head; -1: not said
  char accuracy[FIELD_MAX];   // read when the measured column is known
  int accuracy_line, room, bad;
  double scale[DF_D_COLUMNS]; // SI of one
};

static void plain_text(char *text)
{
  for (; *text; text++)
    if ((unsigned char)*text < 0x20 || *text == 0x7f) *text = *text == '\t' ? ' ' : '?';
}

// A fault at a place of the current line; NULL: of the file as a whole.
__attribute__((format(printf, 4, 5)))
static void fault(struct input *in, const char *at, const char *key, const char *format, ...)
{
  char text[320];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  plain_text(text);
  in->bad++;
  struct df_faults *faults = in->faults;
  int before = faults ? faults->n : 0;
  df_fault_add(faults, DF_BAD_INPUT, key, "%s", text);
  if (!faults || faults->n == before) return;
  struct df_fault *new = &faults->at[before];
  snprintf(new->file, sizeof new->file, "%s", in->file);
  if (!at) return;
  new->line = in->line_number, new->column = (int)(at - in->line) + 1, new->caret = new->column;
  snprintf(new->source, sizeof new->source, "%.*s", in->line_n, in->line);
  plain_text(new->source);
}

static struct field trimmed(struct field f)
{
  while (f.n > 0 && (*f.at == ' ' || *f.at == '\t')) f.at++, f.n--;
  while (f.n > 0 && strchr(" \t\r", f.at[f.n - 1])) f.n--;
  if (f.n >= 2 && *f.at == '"' && f.at[f.n - 1] == '"') f.at++, f.n -= 2;
  return f;
}

// Fields between commas; how many there are, of which FIELDS_MAX are kept.
static int split(const struct input *in, struct field *field)
{
  const char *at = in->line, *end = at + in->line_n;
  for (int n = 0;; n++) {
    const char *comma = memchr(at, ',', (size_t)(end - at)), *stop = comma ? comma : end;
    if (n < FIELDS_MAX) field[n] = trimmed((struct field){at, (int)(stop - at)});
    if (!comma) return n + 1;
    at = comma + 1;
  }
}

static int same(struct field f, const char *word)
{
  return (int)strlen(word) == f.n && !memcmp(f.at, word, (size_t)f.n);
}

static int word_of(const char *const *words, struct field f)
{
  for (int i = 0; words[i]; i++)
    if (same(f, words[i])) return i;
  return -1;
}

static void list_words(const char *const *words, char *out, size_t size)
{
  *out = 0;
  for (int i = 0; words[i]; i++)
    snprintf(out + strlen(out), size - strlen(out), "%s%s", i ? ", " : "", words[i]);
}

// A number, and where it ended; NAN when it is none.
static double number(struct input *in, struct field f, int *used)
{
  char text[FIELD_MAX], *end;
  *used = 0;
  if (f.n == 0 || f.n >= (int)sizeof text) return NAN;
  snprintf(text, sizeof text, "%.*s", f.n, f.at);
  if (strspn(text, "+-.") == strcspn(text, "0123456789")) {
    double value = strtod_l(text, &end, in->plain);
    *used = (int)(end - text);
    if (isfinite(value) && !strpbrk(text, "xX")) return value;
  }
  *used = 0;
  return NAN;
}

// ---- head lines ----
// "40 mm" in a unit of this kind; NAN after a fault.
static double quantity(struct input *in, const char *key, struct field f, const char *like)
{
  int used;
  char unit[40], why[160];
  double value = number(in, f, &used);
  struct field rest = trimmed((struct field){f.at + used, f.n - used});
  snprintf(unit, sizeof unit, "%.*s", rest.n, rest.at);
  if (isfinite(value) && rest.n > 0 && rest.n < (int)sizeof unit) {
    const struct df_unit *found = df_unit_find(in->units, unit, why, sizeof why);
    if (found && df_units_alike(in->units, unit, like)) return df_unit_to_si(found, value);
  }
  fault(in, f.at, key, "'%.*s': a number and a unit like %s is wanted", f.n, f.at, like);
  return NAN;
}

static void head_without(struct input *in, struct field f)
{
  const char *end = f.at + f.n;
  for (const char *at = f.at; at <= end;) {
    const char *comma = memchr(at, ',', (size_t)(end - at)), *stop = comma ? comma : end;
    struct field one = trimmed((struct field){at, (int)(stop - at)});
    int word = word_of(without_words, one);
    if (word < 0)
      fault(in, one.at, "without", "'%.*s': allowed: spring, air, friction", one.n, one.at);
    else in->out->without |= 1 << word;
    at = stop + 1;
  }
}

static void head_word(struct input *in, const char *key, struct field f,
                      const char *const *words, int *out)
{
  char list[160];
  int word = word_of(words, f);
  list_words(words, list, sizeof list);
  if (word < 0) fault(in, f.at, key, "'%.*s': allowed: %s", f.n, f.at, list);
  else *out = word;
}

static void head_road(struct input *in, struct field f)
{
  if (f.n < 1 || f.n > DF_NAME_MAX) fault(in, f.at, "road", "the name of a road is wanted");
  else snprintf(in->out->road[0], sizeof in->out->road[0], "%.*s", f.n, f.at), in->out->road_n = 1;
}

// "# key = value". Unknown keys are somebody's remarks.
static void head_line(struct input *in)
{
  static const char *const yes[] = {"no", "yes", NULL};
  const char *equals = memchr(in->line, '=', (size_t)in->line_n);
  if (!equals) return;
  struct field key = trimmed((struct field){in->line + 1, (int)(equals - in->line) - 1});
  struct field value =
      trimmed((struct field){equals + 1, in->line_n - (int)(equals - in->line) - 1});
  struct df_data *out = in->out;
  if (same(key, "data")) head_word(in, "data", value, df_data_kind_names, &in->kind);
  else if (same(key, "travel")) out->travel = quantity(in, "travel", value, "mm");
  else if (same(key, "temperature"))
    out->temperature = quantity(in, "temperature", value, "degC");
  else if (same(key, "speed")) out->speed = quantity(in, "speed", value, "m/s");
  else if (same(key, "without")) head_without(in, value);
  else if (same(key, "leg")) head_word(in, "leg", value, leg_words, &out->leg);
  else if (same(key, "checked")) head_word(in, "checked", value, yes, &out->checked);
  else if (same(key, "road")) head_road(in, value);
  else if (same(key, "accuracy")) {
    snprintf(in->accuracy, sizeof in->accuracy, "%.*s", value.n, value.at);
    in->accuracy_line = in->line_number;
  }
}

// ---- row of names ----
// The longest name that begins the column: "travel_peak_mm" is not a travel.
static int column_of(struct field f)
{
  int best = -1;
  size_t most = 0;
  for (int i = 0; i < DF_D_COLUMNS; i++) {
    size_t n = strlen(column_rows[i].name);
    if (n <= most || f.n < (int)n || memcmp(f.at, column_rows[i].name, n)) continue;
    if (f.n == (int)n || f.at[n] == '_') best = i, most = n;
  }
  return best;
}

static void unit_read(struct input *in, int column, struct field f)
{
  const char *like = column_rows[column].unit, *name = column_rows[column].name;
  char tail[40], unit[40], why[160];
  int skip = (int)strlen(name) + 1;
  if (f.n < skip) {
    fault(in, f.at, name, "no unit: the column's name ends in it, as in %s_%s", name,
          column == DF_D_VELOCITY || column == DF_D_SPEED ? "m_per_s" : like);
    return;
  }
  snprintf(tail, sizeof tail, "%.*s", f.n - skip, f.at + skip);
  df_unit_of_column(tail, unit, sizeof unit);
  const struct df_unit *found = df_unit_find(in->units, unit, why, sizeof why);
  if (!found) fault(in, f.at + skip, name, "'%s' is not a unit of measure here: %s", unit, why);
  else if (!df_units_alike(in->units, unit, like))
    fault(in, f.at + skip, name, "'%s' is no unit of this kind; wanted is one like %s", unit, like);
  else in->scale[column] = found->scale;
  snprintf(in->out->unit[column], sizeof in->out->unit[column], "%s", unit);
}

static void names_read(struct input *in)
{
  struct field field[FIELDS_MAX];
  int n = split(in, field);
  unsigned seen = 0;
  if (n > DF_D_COLUMNS) fault(in, in->line, "", "%d columns: more than any kind of data has", n);
  for (int i = 0; i < n && i < DF_D_COLUMNS; i++) {
    int column = column_of(field[i]);
    if (column < 0)
      fault(in, field[i].at, "", "'%.*s' is no column of measured data; allowed: velocity, force, "
            "time, travel, acceleration, load, settled, part, length, leg, direction, weight, "
            "distance, road, speed, travel_peak, oil_level, each with its unit", field[i].n,
            field[i].at);
    else if (seen & BIT(column))
      fault(in, field[i].at, column_rows[column].name, "this column stands here twice");
    if (column < 0 || (seen & BIT(column))) continue;
    seen |= BIT(column);
    if (column_rows[column].unit) unit_read(in, column, field[i]);
    in->out->column[in->out->column_n++] = (enum df_data_column)column;
  }
  in->header = 1;
}

static int kind_fits(unsigned has, const struct kind_row *row)
{
  return (has & row->must) == row->must && !(has & ~(row->must | row->may)) &&
         (!row->any || (has & row->any));
}

static void kind_find(struct input *in)
{
  unsigned has = 0;
  int kind = in->kind;
  for (int i = 0; i < in->out->column_n; i++) has |= BIT(in->out->column[i]);
  for (int i = 0; i < DF_DATA_KINDS && kind < 0; i++)
    if (kind_fits(has, &kind_rows[i])) kind = i;
  if (kind >= 0 && kind_fits(has, &kind_rows[kind])) in->out->kind = (enum df_data_kind)kind;
  else if (kind >= 0)
    fault(in, in->line, "data", "these are not the columns of %s", df_data_kind_names[kind]);
  else
    fault(in, in->line, "data", "no kind of data has just these columns; known: bench (velocity, "
          "force), loop (time, travel, force), slow (travel, force), sag (load, settled, travel), "
          "spring (part, length, force), timed, o_ring (road, speed, travel_peak), level, log");
}

// ---- rows ----
static int grow(struct input *in)
{
  struct df_data *out = in->out;
  if (out->n < in->room) return 1;
  int room = in->room ? 2*in->room : 64;
  for (int i = 0; i < out->column_n; i++) {
    double *more = realloc(out->at[out->column[i]], (size_t)room*sizeof *more);
    if (!more) return 0;
    out->at[out->column[i]] = more;
  }
  int *line = realloc(out->line, (size_t)room*sizeof *line);
  if (!line) return 0;
  out->line = line, in->room = room;
  return 1;
}

static double road_read(struct input *in, struct field f)
{
  struct df_data *out = in->out;
  for (int i = 0; i < out->road_n; i++)
    if (same(f, out->road[i])) return i;
  if (f.n < 1 || f.n > DF_NAME_MAX || out->road_n == DF_DATA_ROADS_MAX) {
    fault(in, f.at, "road", "the name of a road is wanted, at most %d of them", DF_DATA_ROADS_MAX);
    return NAN;
  }
  snprintf(out->road[out->road_n], sizeof out->road[0], "%.*s", f.n, f.at);
  return out->road_n++;
}

static double cell_read(struct input *in, int column, struct field f)
{
  const struct column_row *row = &column_rows[column];
  char list[160];
  int used;
  if (column == DF_D_ROAD) return road_read(in, f);
  if (row->words) {
    int word = word_of(row->words, f);
    list_words(row->words, list, sizeof list);
    if (word < 0) fault(in, f.at, row->name, "'%.*s': allowed: %s", f.n, f.at, list);
    return word < 0 ? NAN : word;
  }
  double value = number(in, f, &used);
  if (f.n == 0) fault(in, f.at, row->name, "nothing stands here; a number is wanted");
  else if (used != f.n)
    fault(in, f.at, row->name, "'%.*s' is no number; wanted is one with a decimal point", f.n,
          f.at);
  else if (!(value*in->scale[column] >= row->least && value*in->scale[column] <= row->most))
    fault(in, f.at, row->name, "%.*s is out of range: %g to %g %s", f.n, f.at, row->least,
          row->most, row->unit);
  else return value*in->scale[column];
  return NAN;
}

static int row_read(struct input *in)
{
  struct field field[FIELDS_MAX];
  struct df_data *out = in->out;
  int n = split(in, field);
  if (n != out->column_n) {
    fault(in, in->line, "", "%d values in a table of %d columns (commas part columns, a point "
          "marks decimals)", n, out->column_n);
    return 1;
  }
  if (out->n == DF_DATA_ROWS_MAX) {
    if (out->n++ == DF_DATA_ROWS_MAX) fault(in, in->line, "", "more than %d rows", DF_DATA_ROWS_MAX);
    return 1;
  }
  if (!grow(in)) return 0;
  for (int i = 0; i < n; i++)
    out->at[out->column[i]][out->n] = cell_read(in, out->column[i], field[i]);
  out->line[out->n++] = in->line_number;
  return 1;
}

// ---- the whole ----
enum df_data_column df_data_measured(const struct df_data *data, int which)
{
  switch (data->kind) {
  case DF_DATA_BENCH:
  case DF_DATA_LOOP:
  case DF_DATA_SLOW:
  case DF_DATA_SPRING: return which ? DF_D_COLUMNS : DF_D_FORCE;
  case DF_DATA_SAG:    return which ? DF_D_COLUMNS : DF_D_TRAVEL;
  case DF_DATA_TIMED:  return which ? DF_D_COLUMNS : DF_D_TIME;
  case DF_DATA_O_RING: return which ? DF_D_COLUMNS : DF_D_TRAVEL_PEAK;
  case DF_DATA_LEVEL:  return which ? DF_D_COLUMNS : DF_D_OIL_LEVEL;
  case DF_DATA_LOG:
    if (!data->at[DF_D_TRAVEL]) return which ? DF_D_COLUMNS : DF_D_ACCELERATION;
    return !which ? DF_D_TRAVEL : data->at[DF_D_ACCELERATION] ? DF_D_ACCELERATION : DF_D_COLUMNS;
  default:             return DF_D_COLUMNS;
  }
}

double df_data_usual(enum df_data_column column, double value, double most)
{
  switch (column) {
  case DF_D_FORCE:        return fmax(2, 0.02*most);        // N, load cell, luggage scale
  case DF_D_TIME:         return hypot(0.05, 0.03*value);   // s, a watch in a hand
  case DF_D_ACCELERATION: return fmax(0.3, 0.03*most);      // m/s2, a phone
  default:                return 2e-3;                      // m, a tape, a probe
  }
}

int df_data_leg(const struct df_data *data, int i)
{
  return data->at[DF_D_LEG] ? (int)data->at[DF_D_LEG][i] : data->leg;
}

const char *df_data_column_name(enum df_data_column column) { return column_rows[column].name; }
const char *df_data_column_unit(enum df_data_column column) { return column_rows[column].unit; }

static void order_check(struct input *in)
{
  const struct df_data *out = in->out;
  const double *time = out->at[DF_D_TIME];
  if (!time || (out->kind != DF_DATA_LOOP && out->kind != DF_DATA_LOG)) return;
  for (int i = 1; i < out->n && i < DF_DATA_ROWS_MAX; i++)
    if (time[i] <= time[i - 1]) {
      in->line_number = out->line[i], in->line = "", in->line_n = 0;
      fault(in, in->line, "time", "time does not rise from the row before");
      return;
    }
}

static void finish(struct input *in)
{
  struct df_data *out = in->out;
  if (!in->header) fault(in, NULL, "", "no row of column names");
  else if (!out->n) fault(in, NULL, "", "no row of values");
  if (in->bad) return;
  order_check(in);
  if (*in->accuracy) {
    in->line_number = in->accuracy_line, in->line = in->accuracy;
    in->line_n = (int)strlen(in->accuracy);
    struct field f = {in->accuracy, in->line_n};
    out->accuracy =
        quantity(in, "accuracy", f, column_rows[df_data_measured(out, 0)].unit);
    if (isfinite(out->accuracy) && !(out->accuracy > 0))
      fault(in, f.at, "accuracy", "an accuracy above 0 is wanted");
  }
  if (out->kind == DF_DATA_LOG && !out->road_n)
    fault(in, NULL, "road", "a log needs a head line '# road = NAME': the road it was taken on");
}

static void name_of(const char *file, char *out, size_t size)
{
  const char *slash = strrchr(file, '/');
  snprintf(out, size, "%s", slash ? slash + 1 : file);
  plain_text(out);
}

static int lines_read(struct input *in, const char *text, size_t length)
{
  const char *end = text + length;
  if (length >= 3 && !memcmp(text, "\xef\xbb\xbf", 3)) text += 3;
  for (const char *at = text; at < end;) {
    const char *stop = memchr(at, '\n', (size_t)(end - at));
    if (!stop) stop = end;
    in->line = at, in->line_n = (int)(stop - at), in->line_number++;
    while (in->line_n && strchr("\r \t", at[in->line_n - 1])) in->line_n--;
    if (in->line_n && *at == '#') head_line(in);
    else if (in->line_n && !in->header) {
      names_read(in);
      if (!in->bad) kind_find(in);
      if (in->bad) return 1;
    } else if (in->line_n && !row_read(in)) return 0;
    at = stop + 1;
  }
  return 1;
}

enum df_status df_data_read_text(struct df_data *out, struct df_units *units, const char *name,
                                 const char *text, size_t length, struct df_faults *faults)
{
  *out = (struct df_data){.accuracy = NAN, .travel = NAN, .temperature = NAN, .speed = NAN};
  struct input in = {.out = out, .units = units, .faults = faults, .file = name, .kind = -1,
                     .line = "", .plain = newlocale(LC_ALL_MASK, "C", (locale_t)0)};
  if (!in.plain) return DF_NO_MEMORY;
  name_of(name, out->name, sizeof out->name);
  struct df_bad_byte bad = df_bytes_check(text, length, 0);
  int memory = 1;
  if (bad.what) {
    in.line_number = bad.line;
    fault(&in, in.line, "", "%s", bad.what);
  } else memory = lines_read(&in, text, length);
  if (memory && !in.bad) finish(&in);
  freelocale(in.plain);
  if (memory && !in.bad) return DF_OK;
  df_data_finish(out);
  return memory ? DF_BAD_INPUT : DF_NO_MEMORY;
}

void df_data_finish(struct df_data *data)
{
  for (int i = 0; i < DF_D_COLUMNS; i++) free(data->at[i]), data->at[i] = NULL;
  free(data->line);
  data->line = NULL, data->n = 0;
}

enum df_status df_data_read(struct df_data *out, struct df_units *units, const char *file,
                            struct df_faults *faults)
{
  char why[80];
  size_t length;
  *out = (struct df_data){0};
  char *text = df_file_read(file, DF_DATA_BYTES_MAX, &length, why);
  if (!text && !*why) return DF_NO_MEMORY;
  if (!text) return df_fault_add(faults, DF_CANNOT_READ, "", "%s: %s", file, why);
  enum df_status status = df_data_read_text(out, units, file, text, length, faults);
  free(text);
  return status;
}
