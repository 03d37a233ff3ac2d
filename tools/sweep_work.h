// One sweep: its settings, what is looked at, the file that its rows go into.
#ifndef DF_TOOLS_SWEEP_WORK_H
#define DF_TOOLS_SWEEP_WORK_H

#include "commands.h"
#include "load.h"
#include "render.h"

#include "dampfork/measure.h"
#include "dampfork/study.h"

enum { AXES_MAX = 160, SWEEP_NAME_MAX = 160 };

enum design {
  DESIGN_GRID,   // every value of each axis with every value of the others
  DESIGN_SAMPLE, // points of Sobol's sequence
  DESIGN_ONE,    // as in the file, then each axis alone at its low and its high end
  DESIGN_TOTAL   // groups for shares of the variance
};

// One value that is varied.
struct axis {
  char path[96];
  char unit[40]; // all numbers below are in it
  const struct df_param *row;
  double low, now, high; // now: as in the scenario; NAN: cannot be said in this unit
  int given;             // 1: stands in the scenario, 0: assumed
  int n;                 // values of a list, 0: a range alone
  double *value;
};

struct sweep {
  struct call *call;
  struct loaded loaded;
  const char *folder; // NULL: nothing is kept
  enum design design;
  int axis_n;
  struct axis axis[AXES_MAX];
  int left_out; // axes that matter too little to be drawn with the others
  long sample;  // points or groups
  unsigned long seed;
  struct df_sobol *sobol;
  int part, parts;  // 1/1: all
  long rows;        // of the whole sweep
  long first, last; // of this part, counted from 1
  struct df_wanted *wanted;
  int wanted_n;
  int roads; // how many are ridden
  struct df_ride_options options;
  char *head;     // head lines and the row of names, as they stand in the file
  size_t head_n;  // bytes
  int file;       // descriptor of the rows' file, -1: none
  long done;      // rows in it
  double seconds; // s, that the rides of this call took
  long ridden;    // settings ridden in this call
};

// ---- sweep_plan.c ----
// Axes, roads, measures, part. Returns 0 or an exit status.
int sweep_plan(struct sweep *s);
// Values of row (from 1), one an axis, each in the axis' unit; NAN: as in the scenario.
void sweep_row(struct sweep *s, long row, double *value);
// Ride n settings: values as above (n times axis_n), results n times wanted_n in SI, status words
// of SWEEP_STATUS_MAX bytes each. Returns 0 or an exit status.
enum { SWEEP_STATUS_MAX = 240 };
int sweep_ride(struct sweep *s, int n, const double *value, double *result, char *status);
// Rows of part k of n: first to last.
void sweep_part_rows(long rows, int k, int n, long *first, long *last);
// "valve.preload_turn", "edge-40.shock_transmitted_m_per_s2".
void axis_name(const struct axis *axis, char out[SWEEP_NAME_MAX]);
void wanted_name(const struct sweep *s, int i, char out[SWEEP_NAME_MAX]);

// ---- sweep_file.c ----
int sweep_head(struct sweep *s); // makes s->head
int sweep_open(struct sweep *s); // new, or to go on with: then s->done rows stand in it
int sweep_append(struct sweep *s, long first, int n, const double *value, const double *result,
                 const char *status);
int sweep_gather(struct sweep *s); // --gather: the file is the parts put together

// Rows of a file, one after the other.
struct rows {
  FILE *stream;
  int keys, columns; // columns with row and status
  char **name;       // names of the columns
  char *names;
  char *text; // the line at hand, in pieces
  size_t size;
  char **cell;
};
int rows_begin(struct rows *rows, int file);             // 0: not a sweep's file
int rows_next(struct rows *rows);                        // 0: no more whole rows
double rows_number(const struct rows *rows, int column); // NAN: empty
void rows_end(struct rows *rows);

// "edge-40.shock_transmitted_m_per_s2" in three: road, measure, unit as a person writes it.
void sweep_name_cut(const char *name, int is_key, char part[3][64]);

// ---- sweep_plot.c ----
// sweep.gp: all measures over one value, or one measure over another.
void sweep_plot(const struct sweep *s, FILE *stream);

// What sensitivity.gp shows. Bars: effect, or total, its ends and the share alone, all in %; NAN: none.
enum { WORTH_KEYS = 12, WORTH_PANELS = 3 };
struct worth_shown {
  const char *title, *meaning, *unit;
  int shares, keys, measures;
  const char *key[WORTH_KEYS], *road[WORTH_PANELS], *measure[WORTH_PANELS];
  double bar[WORTH_KEYS][WORTH_PANELS][4];
};
void worth_plot(const struct worth_shown *shown, FILE *stream);

// ---- sweep_answer.c, sweep_worth.c ----
int sweep_answer(struct sweep *s, int *bad); // bad: rows that were refused or failed
int sweep_worth(struct sweep *s);            // sensitivity: its file and its answer

#endif
