// The answer of a sweep, read back from its file: a few rows as a table, many by their ends.
#include "out_json.h"
#include "out_text.h"
#include "say.h"
#include "sweep_work.h"

#include "measures/targets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum {
  SHOWN_ROWS = 12, // with three lines of heading and the closing ones, one screen
  SHOWN_KEYS = 4,
  SHOWN_MEASURES = 8
};

// Least and greatest of one measure, and the settings there.
struct ends {
  double least, most;
  long least_row, most_row;
  double least_at[SHOWN_KEYS], most_at[SHOWN_KEYS];
};

struct tally {
  long ok, refused, failed, first_bad_row;
  char first_bad[200];
  int keys, measures; // shown
  struct ends ends[SHOWN_MEASURES];
};

// "edge-40.shock_transmitted_m_per_s2" in three: road, measure, unit as a person writes it.
void sweep_name_cut(const char *name, int is_key, char part[3][64])
{
  char copy[256], unit[64];
  snprintf(copy, sizeof copy, "%s", name);
  char *dot = is_key ? strrchr(copy, '.') : strchr(copy, '.');
  const char *rest = dot ? dot + 1 : copy;
  snprintf(part[0], 64, "%.*s", dot ? (int)(dot - copy) : 0, copy);
  int row = -1;
  size_t n = 0;
  for (int i = 0; i < df_measure_count && !is_key;
       i++) { // the longest measure that begins the name
    size_t m = strlen(df_measures[i].name);
    if (m > n && !strncmp(rest, df_measures[i].name, m) && rest[m] == '_') row = i, n = m;
  }
  if (row >= 0) {
    snprintf(part[1], 64, "%s", df_measures[row].name);
    snprintf(part[2], 64, "%s", df_unit_text(df_measures[row].unit, unit, sizeof unit));
    return;
  }
  char *per = strstr(rest, "_per_"), *end = strrchr(rest, '_');
  for (char *at = per; at && at > rest; at--)
    if (at[-1] == '_') {
      end = at - 1;
      break;
    }
  snprintf(part[1], 64, "%.*s", end ? (int)(end - rest) : (int)strlen(rest), rest);
  snprintf(part[2], 64, "%s", end ? df_unit_text(end + 1, unit, sizeof unit) : "");
}

// ---- reading ----
static void ends_take(struct ends *e, const struct rows *rows, int column, int keys, long row)
{
  double value = rows_number(rows, column);
  if (!isfinite(value)) return;
  int least = !(value >= e->least), most = !(value <= e->most);
  if (least) e->least = value, e->least_row = row;
  if (most) e->most = value, e->most_row = row;
  for (int k = 0; k < keys; k++) {
    double at = rows_number(rows, 2 + k);
    if (least) e->least_at[k] = at;
    if (most) e->most_at[k] = at;
  }
}

static void tally_take(struct tally *t, const struct rows *rows)
{
  const char *status = rows->cell[1];
  long row = strtol(rows->cell[0], NULL, 10);
  if (!strcmp(status, "ok")) t->ok++;
  else {
    if (!t->refused && !t->failed) {
      t->first_bad_row = row;
      snprintf(t->first_bad, sizeof t->first_bad, "%s", status);
    }
    if (!strncmp(status, "refused", 7)) t->refused++;
    else t->failed++;
  }
  for (int j = 0; j < t->measures; j++)
    ends_take(&t->ends[j], rows, 2 + rows->keys + j, t->keys, row);
}

static int tally_read(const struct sweep *s, struct tally *t)
{
  struct rows rows;
  *t = (struct tally){0};
  for (int j = 0; j < SHOWN_MEASURES; j++) t->ends[j].least = t->ends[j].most = NAN;
  int good = rows_begin(&rows, s->file);
  if (good) {
    int measures = rows.columns - 2 - rows.keys;
    t->keys = rows.keys < SHOWN_KEYS ? rows.keys : SHOWN_KEYS;
    t->measures = measures < SHOWN_MEASURES ? measures : SHOWN_MEASURES;
    while (rows_next(&rows)) tally_take(t, &rows);
  }
  rows_end(&rows);
  return good ? 0 : EXIT_OUTPUT;
}

// ---- text ----
static void heading(struct table *t, int column, const char *name, int is_key)
{
  char part[3][64];
  sweep_name_cut(name, is_key, part);
  for (int i = 0; i < 3; i++) table_cell(t, i, column, "%s", part[i]);
}

static int width_of(const char *name, int is_key)
{
  char part[3][64];
  int most = 0;
  sweep_name_cut(name, is_key, part);
  for (int i = 0; i < 3; i++)
    if ((int)strlen(part[i]) > most) most = (int)strlen(part[i]);
  return (most < 7 ? 7 : most) + 2;
}

// How many columns fit on the screen beside a mark.
static int columns_fitting(const struct rows *rows)
{
  int used = 4, n = 0;
  for (int i = 2; i < rows->columns && n < TABLE_COLUMNS_MAX - 1; i++, n++) {
    used += width_of(rows->name[i], i < 2 + rows->keys);
    if (used > SCREEN_COLUMNS) break;
  }
  return n;
}

// 1 when the row is the setting of the scenario itself.
static int as_in_file(const struct sweep *s, const struct rows *rows)
{
  for (int k = 0; k < s->axis_n; k++) {
    double now = s->axis[k].now, at = rows_number(rows, 2 + k);
    if (!(fabs(at - now) <= 1e-9 * fabs(now))) return 0;
  }
  return s->axis_n > 0;
}

static void table_row(struct table *t, const struct sweep *s, const struct rows *rows, int columns,
                      int row, int *marked)
{
  char text[24];
  int bad = strcmp(rows->cell[1], "ok") != 0, own = as_in_file(s, rows);
  *marked |= own;
  table_cell(t, row, 0, "%s", own ? "*" : bad ? "!" : "");
  for (int i = 0; i < columns; i++)
    table_cell(t, row, 1 + i, "%s", figure(text, rows_number(rows, 2 + i)));
}

static void rows_say(const struct sweep *s, int *left_out, int *marked)
{
  struct rows rows;
  struct table *t = malloc(sizeof *t);
  if (t && rows_begin(&rows, s->file)) {
    int columns = columns_fitting(&rows), row = 3;
    *left_out = rows.columns - 2 - columns;
    table_begin(t, 1 + columns, "lrrrrrrrrrrr");
    table_cell(t, 2, 0, " ");
    for (int i = 0; i < columns; i++) heading(t, 1 + i, rows.name[2 + i], i < rows.keys);
    while (rows_next(&rows) && row < 3 + SHOWN_ROWS) table_row(t, s, &rows, columns, row++, marked);
    table_print(t);
  } else say_no_memory(); // it is our own file: it has rows
  if (t) rows_end(&rows);
  free(t);
}

static void setting_text(const struct rows *rows, const double *at, int keys, char *out,
                         size_t size)
{
  char part[3][64], one[24];
  *out = 0;
  for (int k = 0; k < keys; k++) {
    sweep_name_cut(rows->name[2 + k], 1, part);
    size_t n = strlen(out);
    snprintf(out + n, size - n, "%s%s %s", k ? ", " : "", figure(one, at[k]), part[2]);
  }
}

static void ends_say(const struct sweep *s, const struct tally *t)
{
  struct rows rows;
  struct table *table = malloc(sizeof *table);
  if (table && rows_begin(&rows, s->file)) {
    static const char *const head[] = {"measure", "", "least", "with", "most", "with"};
    int keys = t->keys < 2 ? t->keys : 2;
    table_begin(table, 6, "llrlrl");
    for (int i = 0; i < 6; i++) table_cell(table, 0, i, "%s", head[i]);
    for (int j = 0; j < t->measures; j++) {
      const struct ends *e = &t->ends[j];
      char part[3][64], a[24], b[24], with[2][80];
      sweep_name_cut(rows.name[2 + rows.keys + j], 0, part);
      setting_text(&rows, e->least_at, keys, with[0], sizeof with[0]);
      setting_text(&rows, e->most_at, keys, with[1], sizeof with[1]);
      table_cell(table, 1 + j, 0, "%s %s", part[0], part[1]);
      table_cell(table, 1 + j, 1, "%s", part[2]);
      table_cell(table, 1 + j, 2, "%s", figure(a, e->least));
      table_cell(table, 1 + j, 4, "%s", figure(b, e->most));
      if (!isfinite(e->least)) continue;
      table_cell(table, 1 + j, 3, "%s", with[0]), table_cell(table, 1 + j, 5, "%s", with[1]);
    }
    table_print(table);
    if (rows.keys > keys)
      line("with: the first %d of %d values varied; all in sweep.csv", keys, rows.keys);
  } else say_no_memory();
  if (table) rows_end(&rows);
  free(table);
}

// One value varied: what it moves from its first to its last setting.
static void trade_say(const struct sweep *s)
{
  struct rows rows;
  double from[SHOWN_MEASURES], to[SHOWN_MEASURES], first = NAN, last = NAN;
  char text[400] = "", part[3][64], a[24], b[24];
  if (!rows_begin(&rows, s->file) || rows.keys != 1) {
    rows_end(&rows);
    return;
  }
  int n = rows.columns - 3 < 3 ? rows.columns - 3 : 3, count = 0;
  while (rows_next(&rows)) {
    if (strcmp(rows.cell[1], "ok")) continue;
    last = rows_number(&rows, 2);
    if (!count) first = last;
    for (int j = 0; j < n; j++) {
      to[j] = rows_number(&rows, 3 + j);
      if (!count) from[j] = to[j];
    }
    count++;
  }
  for (int j = 0; j < n && count > 1; j++) {
    size_t m = strlen(text);
    sweep_name_cut(rows.name[3 + j], 0, part);
    snprintf(text + m, sizeof text - m, "%s%s %s %s%s %s", m ? ", " : "", part[0], part[1],
             to[j] > from[j] ? "+" : "", figure(a, to[j] - from[j]), part[2]);
  }
  sweep_name_cut(rows.name[2], 1, part);
  if (*text)
    paragraph(2, "From %s to %s %s: %s.", figure(a, first), figure(b, last), part[2], text);
  rows_end(&rows);
}

static void title_say(const struct sweep *s, const struct tally *t)
{
  char pace[64] = "";
  long n = t->ok + t->refused + t->failed;
  if (s->ridden)
    snprintf(pace, sizeof pace, ", %ld rides in %.1f s", s->ridden * (s->roads ? s->roads : 1),
             s->seconds);
  if (s->parts > 1)
    line("%s: part %d of %d, %ld of %ld settings%s", s->loaded.name, s->part, s->parts, n, s->rows,
         pace);
  else if (!s->loaded.reading) line("All parts put together: %ld settings", n);
  else
    line("%s: %ld setting%s, %d road%s%s", s->loaded.name, n, n == 1 ? "" : "s", s->roads,
         s->roads == 1 ? "" : "s", pace);
}

static void bad_say(const struct tally *t)
{
  char safe[320];
  if (!t->refused && !t->failed) return;
  paragraph(2, "%ld refused, %ld failed, the first in row %ld: %s", t->refused, t->failed,
            t->first_bad_row, clean(safe, sizeof safe, t->first_bad, 0));
}

static void answer_text(const struct sweep *s, const struct tally *t)
{
  long n = t->ok + t->refused + t->failed;
  int left_out = 0, marked = 0;
  title_say(s, t);
  if (n <= SHOWN_ROWS) rows_say(s, &left_out, &marked);
  else ends_say(s, t);
  bad_say(t);
  trade_say(s);
  if (marked) line("* = as in the file.");
  if (left_out > 0) line("%d more columns: --format csv", left_out);
  if (s->folder) line("Every row: %s/sweep.csv", s->folder);
  if (s->parts > 1) line("Next: dampfork sweep --gather DIR... -o DIR, once all parts are there");
  else if (s->loaded.reading) line("Next: dampfork sweep %s --sensitivity one", s->loaded.path);
  else line("Next: the same sweep with -o %s --resume answers from these rows", s->folder);
}

// ---- data ----
static int answer_csv(const struct sweep *s)
{
  char text[65536];
  ssize_t n;
  off_t at = 0;
  while ((n = pread(s->file, text, sizeof text, at)) > 0)
    fwrite(text, 1, (size_t)n, stdout), at += n;
  return n < 0 ? EXIT_OUTPUT : 0;
}

static void answer_json(const struct sweep *s, const struct tally *t)
{
  struct json json;
  struct rows rows;
  json_begin(&json, stdout, s->call->digits, "sweep");
  json_text(&json, "scenario", s->loaded.path);
  json_number(&json, "ok", (double)t->ok), json_number(&json, "refused", (double)t->refused);
  json_number(&json, "failed", (double)t->failed);
  json_array(&json, "rows");
  int good = rows_begin(&rows, s->file);
  while (good && rows_next(&rows)) {
    json_object(&json, NULL);
    json_number(&json, "row", rows_number(&rows, 0)), json_text(&json, "status", rows.cell[1]);
    for (int i = 2; i < rows.columns; i++) json_number(&json, rows.name[i], rows_number(&rows, i));
    json_end(&json);
  }
  rows_end(&rows);
  json_end(&json);
  json_finish(&json);
}

int sweep_answer(struct sweep *s, int *bad)
{
  struct tally *t = calloc(1, sizeof *t);
  int status = t ? tally_read(s, t) : EXIT_OUTPUT;
  int worth = s->parts == 1 && (s->design == DESIGN_ONE || s->design == DESIGN_TOTAL);
  if (!status) {
    *bad = t->refused || t->failed;
    if (worth && !*bad) { /* sweep_worth answers */
    } else if (worth)
      say_warning("%ld settings refused, %ld failed, the first in row %ld: %s", t->refused,
                  t->failed, t->first_bad_row, t->first_bad);
    else if (s->call->format == FORMAT_CSV) status = answer_csv(s);
    else if (s->call->format == FORMAT_JSON) answer_json(s, t);
    else if (!option_given(&s->call->options, OPT_QUIET)) answer_text(s, t);
  }
  free(t);
  return status;
}
