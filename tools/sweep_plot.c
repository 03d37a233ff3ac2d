// Pictures of a sweep: measures over one value, one measure over another, and what each value is
// worth.
#include "say.h"
#include "out_gnuplot.h"
#include "out_text.h"
#include "sweep_work.h"

#include "measures/targets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  DOTS_MAX = 2000, // more dots are a blot, and a longer file
  LINES_MAX = GP_CURVES_MAX,
  DOTS_MANY = 200
};

struct sweep_drawing {
  const struct sweep *s;
  struct rows rows;
  int keys, measures;         // measures drawn
  int along;                  // 1: one value is varied and little enough rows to join
  long stride;                // every such row is drawn
  double base[LINES_MAX];     // values as in the file, else of the first good row
  double low, high;           // of the value along
  double end[LINES_MAX];      // %, the last point of each line
  double least, most;         // %
};

static int is_good(const struct rows *rows)
{
  return !strcmp(rows->cell[1], "ok");
}

static int as_now(const struct sweep *s, const struct rows *rows)
{
  for (int k = 0; k < s->axis_n; k++) {
    double now = s->axis[k].now;
    if (!(fabs(rows_number(rows, 2 + k) - now) <= 1e-9 * fabs(now))) return 0;
  }
  return s->axis_n > 0;
}

// Begin reading from the first row. 0: no sweep's file.
static int again(struct sweep_drawing *d)
{
  rows_end(&d->rows);
  return rows_begin(&d->rows, d->s->file);
}

static void base_take(struct sweep_drawing *d)
{
  double at = rows_number(&d->rows, 2);
  int now = as_now(d->s, &d->rows);
  d->low = fmin(d->low, at), d->high = fmax(d->high, at);
  for (int j = 0; j < d->measures; j++)
    if (now || isnan(d->base[j])) d->base[j] = rows_number(&d->rows, 2 + d->keys + j);
}

// First reading: how many rows, ends, what changes are against.
static int prepare(struct sweep_drawing *d)
{
  long n = 0;
  if (!again(d)) return 0;
  int all = d->rows.columns - 2 - d->rows.keys;
  d->keys = d->rows.keys;
  d->measures = all < LINES_MAX ? all : LINES_MAX;
  d->low = INFINITY, d->high = -INFINITY;
  for (int j = 0; j < LINES_MAX; j++) d->base[j] = NAN;
  while (rows_next(&d->rows)) {
    if (is_good(&d->rows)) base_take(d);
    n++;
  }
  d->along = d->keys == 1 && n <= DOTS_MANY && d->s->design == DESIGN_GRID && d->high > d->low;
  d->stride = 1 + (n - 1) / DOTS_MAX;
  return 1;
}

static double change_of(struct sweep_drawing *d, int j)
{
  double base = d->base[j], at = rows_number(&d->rows, 2 + d->keys + j);
  return base != 0 ? 100 * (at - base) / fabs(base) : NAN;
}

struct point { double at[1 + LINES_MAX]; };

static int by_place(const void *a, const void *b)
{
  double x = ((const struct point *)a)->at[0], y = ((const struct point *)b)->at[0];
  return (x > y) - (x < y);
}

static void lines_put(struct sweep_drawing *d, struct gp *gp)
{
  struct point *point = calloc(DOTS_MANY, sizeof *point);
  int n = 0;
  d->least = 0, d->most = 0;
  gp_block_begin(gp, "rows", 0);
  if (!point) say_no_memory();
  if (!point || !again(d)) { gp_block_end(gp), free(point); return; }
  while (n < DOTS_MANY && rows_next(&d->rows)) {
    struct point *p = &point[n++];
    p->at[0] = rows_number(&d->rows, 2);
    for (int j = 0; j < d->measures; j++) {
      double change = is_good(&d->rows) ? change_of(d, j) : NAN;
      p->at[1 + j] = change;
      if (isfinite(change)) d->least = fmin(d->least, change), d->most = fmax(d->most, change);
    }
  }
  qsort(point, (size_t)n, sizeof *point, by_place);
  for (int i = 0; i < n; i++) {
    gp_block_row(gp, point[i].at, 1 + d->measures);
    for (int j = 0; j < d->measures; j++)
      if (isfinite(point[i].at[1 + j])) d->end[j] = point[i].at[1 + j];
  }
  gp_block_end(gp);
  free(point);
}

// Columns of the two measures set against each other, or of the value and the only measure.
static void dots_columns(const struct sweep_drawing *d, int column[2])
{
  column[0] = d->measures > 1 ? 2 + d->keys : 2;
  column[1] = d->measures > 1 ? 3 + d->keys : 2 + d->keys;
}

static void dots_put(struct sweep_drawing *d, struct gp *gp)
{
  int column[2];
  double own[2] = {NAN, NAN};
  dots_columns(d, column);
  gp_block_begin(gp, "rows", 0);
  int good = again(d);
  for (long i = 0; good && rows_next(&d->rows); i++) {
    double at[2] = {rows_number(&d->rows, column[0]), rows_number(&d->rows, column[1])};
    if (as_now(d->s, &d->rows)) memcpy(own, at, sizeof own);
    if (i % d->stride == 0 && is_good(&d->rows)) gp_block_row(gp, at, 2);
  }
  gp_block_end(gp);
  gp_block_begin(gp, "own", 0);
  gp_block_row(gp, own, 2);
  gp_block_end(gp);
  gp_number(gp, "file", isfinite(own[0]) && isfinite(own[1]));
}

// "stop dive_overshoot [mm]"
static void column_text(const struct sweep_drawing *d, int column, char *out, size_t size)
{
  char part[3][64];
  sweep_name_cut(d->rows.name ? d->rows.name[column] : "", column < 2 + d->keys, part);
  snprintf(out, size, "%s%s%s%s%s%s", part[0], *part[0] ? " " : "", part[1], *part[2] ? " [" : "",
           part[2], *part[2] ? "]" : "");
}

static void names_put(const struct sweep_drawing *d, struct gp *gp)
{
  char text[LINES_MAX][200];
  const char *measure[LINES_MAX];
  int column[2];
  dots_columns(d, column);
  if (d->along) column[0] = 2;
  column_text(d, column[0], text[0], sizeof text[0]);
  gp_text(gp, "across", text[0]);
  column_text(d, column[1], text[0], sizeof text[0]);
  gp_text(gp, "upwards", d->along ? "change [%]" : text[0]);
  for (int j = 0; j < d->measures; j++) {
    char part[3][64];
    sweep_name_cut(d->rows.name ? d->rows.name[2 + d->keys + j] : "", 0, part);
    snprintf(text[j], sizeof text[j], "%s %s", part[0], part[1]);
    measure[j] = text[j];
  }
  gp_texts(gp, "measure", measure, d->measures);
}

static void sweep_body(struct sweep_drawing *d, struct gp *gp)
{
  char title[160];
  const struct sweep *s = d->s;
  snprintf(title, sizeof title, "%s%s", s->loaded.reading ? s->loaded.name : "all parts together",
           d->stride > 1 ? ", some of the settings" : "");
  if (d->along) lines_put(d, gp);
  else dots_put(d, gp);
  gp_text(gp, "title", title);
  names_put(d, gp);
  gp_spread(d->end, d->measures, 0.05 * fmax(d->most - d->least, 1e-9));
  gp_numbers(gp, "place", d->end, d->measures);
  gp_number(gp, "measures", d->measures);
  gp_number(gp, "along", d->along);
  gp_number(gp, "many", d->rows.columns > 0 && !d->along && s->rows > DOTS_MANY);
  gp_number(gp, "across_low", d->low);
  gp_number(gp, "across_high", d->high);
  gp_number(gp, "now", s->axis_n ? s->axis[0].now : NAN);
}

void sweep_plot(const struct sweep *s, FILE *stream)
{
  struct sweep_drawing d = {.s = s};
  struct gp gp = gp_begin(stream, "sweep", "Settings of one fork");
  if (prepare(&d)) sweep_body(&d, &gp);
  rows_end(&d.rows);
  gp_finish(&gp, "sweep");
}

// ---- what each value is worth ----
// A step of 1, 2 or 5 times a power of ten that parts a span into two to five.
static double step_of(double span)
{
  double power = pow(10, floor(log10(span / 2))), size = span / power;
  return (size >= 10 ? 5 : size >= 4 ? 2 : 1) * power;
}

static void panels_put(const struct worth_shown *w, struct gp *gp)
{
  double low[WORTH_PANELS], high[WORTH_PANELS], step[WORTH_PANELS];
  for (int j = 0; j < w->measures; j++) {
    low[j] = 0, high[j] = 1e-6;
    for (int i = 0; i < w->keys; i++)
      for (int c = 0; c < 4; c++) {
        double at = w->bar[i][j][c];
        if (isfinite(at)) low[j] = fmin(low[j], at), high[j] = fmax(high[j], at);
      }
    double span = high[j] - low[j];
    if (low[j] < 0) low[j] -= 0.05 * span;
    high[j] += 0.05 * span;
    step[j] = step_of(high[j] - low[j]);
  }
  gp_numbers(gp, "low", low, w->measures);
  gp_numbers(gp, "high", high, w->measures);
  gp_numbers(gp, "step", step, w->measures);
}

void worth_plot(const struct worth_shown *w, FILE *stream)
{
  struct gp gp = gp_begin(stream, "sensitivity", "What each value is worth");
  gp_block_begin(&gp, "worth", 0);
  for (int i = 0; i < w->keys; i++) {
    double row[1 + 5 * WORTH_PANELS] = {0};
    for (int j = 0; j < w->measures; j++) {
      row[5 * j] = i + 1;
      memcpy(row + 5 * j + 1, w->bar[i][j], sizeof w->bar[i][j]);
    }
    gp_block_row(&gp, row, 5 * w->measures);
  }
  gp_block_end(&gp);
  gp_text(&gp, "title", w->title);
  gp_text(&gp, "meaning", w->meaning);
  gp_text(&gp, "unit", w->unit);
  gp_number(&gp, "shares", w->shares);
  gp_number(&gp, "keys", w->keys);
  gp_number(&gp, "measures", w->measures);
  gp_texts(&gp, "key", w->key, w->keys);
  gp_texts(&gp, "road", w->road, w->measures);
  gp_texts(&gp, "measure", w->measure, w->measures);
  panels_put(w, &gp);
  gp_finish(&gp, "sensitivity");
}
