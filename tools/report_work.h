// What `report` computed, for its page.
#ifndef DF_TOOLS_REPORT_WORK_H
#define DF_TOOLS_REPORT_WORK_H

#include "compare_work.h"
#include "html.h"
#include "out_gnuplot.h"

#include "dampfork/study.h"

enum {
  REPORT_SETTINGS_MAX = 49, // of the slider: more make the page too large for a phone
  REPORT_SPEEDS = 64,       // of a curve against fork speed
  REPORT_PARTS = 8,         // of the force at the hardest moment
  REPORT_FIGURES = 3,       // that the slider says: overshoot, small edge, large edge
  REPORT_TOLD_MAX = 2 * DF_ROADS_MAX,
  REPORT_TEMPERATURES = 3,
  REPORT_LEVELS = 9,
  REPORT_WORTHS = 10 // values whose worth is shown
};
extern const char *const report_part_names[REPORT_PARTS];

// One road under one fork.
struct report_ride {
  struct df_ride ride;       // its trace is kept for the edge in the dive alone
  double fastest;            // m/s, fork speed in compression
  double part[REPORT_PARTS]; // N, all legs, at the moment of the greatest acceleration
  double energy[DF_E_LOSSES]; // J, lost by path over the ride
};

// A steady curve of one leg at half the travel.
struct report_curve {
  double speed[REPORT_SPEEDS]; // m/s, compression positive, ascending
  double force[REPORT_SPEEDS], low[REPORT_SPEEDS], high[REPORT_SPEEDS]; // N
};

// A path over time, thinned to what a picture shows.
struct report_path {
  int n;
  double *x, *y;
};

// One setting of the slider.
struct report_setting {
  double value;              // in the slider's unit
  char reason[160];          // why it cannot be; "": it can
  double *told;              // SI, by report->told
  double force[REPORT_SPEEDS]; // N
  struct report_path travel, shock, road; // s against mm, m/s2, mm
};

// The fork at another oil level.
struct report_level {
  double level;               // m from the rim
  double end_force, pressure; // N a leg and Pa absolute at full travel; NAN: it cannot be
  double sag;                 // m, with rider
};

// What one value is worth: the change of each figure from its low to its high end.
struct report_worth {
  struct df_factor factor;
  double effect[REPORT_FIGURES]; // SI
  double share[REPORT_FIGURES];  // 1, of the figure itself
};

struct report {
  struct call *call;
  struct comparison c;
  const char *folder;
  struct df_scenario *fork; // two, on the roads and under the rider of the first
  char label[2][SHORT_NAME];        // plain and valved, or the names
  struct report_ride ride[DF_ROADS_MAX][2];
  int dive; // road of the edge in the dive; -1: none
  double from, to; // s, of its picture
  struct report_curve curve[2];
  // what is told of the roads
  struct df_wanted told[REPORT_TOLD_MAX];
  int told_n, figure[REPORT_FIGURES]; // rows of told that the slider says; -1: not ridden
  // slider
  char key[96], unit[40];
  int setting_n, now; // row of the setting as in the file; -1: it is none of them
  struct report_setting setting[REPORT_SETTINGS_MAX];
  // what else is shown of the second fork
  double heat[REPORT_TEMPERATURES];                    // K: cold, as in the file, hot
  double heat_force[REPORT_TEMPERATURES][REPORT_SPEEDS]; // N at the speeds of the curve
  struct report_level level[REPORT_LEVELS];
  int worth_n;
  struct report_worth worth[REPORT_WORTHS];
  int alone;    // 1: pictures are drawn without the slider's settings, for files and terminals
  double pitch; // m a turn; NAN: the unit is none of turns
};

// ---- report_compute.c ----
int report_compute(struct report *r); // rides, curves, settings; an exit status
void report_finish(struct report *r);
struct df_scenario *report_variant(const struct report *r, int fork, const char *path, double value,
                                   const char *unit, char *reason, size_t size);

void report_curve(const struct df_scenario *s, const double *speed, double *force);

// ---- report_study.c ----
int report_study(struct report *r); // cold and hot, levels, what values are worth; an exit status

// ---- report_more.c ----
int has_trade(const struct report *r);
int has_worth(const struct report *r);
int has_edge(const struct report *r);
int has_level(const struct report *r);
void plot_trade(FILE *stream, const struct report *r);
void plot_worth(FILE *stream, const struct report *r);
void plot_energy(FILE *stream, const struct report *r);
void plot_level(FILE *stream, const struct report *r);
void plot_heat(FILE *stream, const struct report *r);
void data_trade(const struct report *r, struct data *data);
void data_worth(const struct report *r, struct data *data);
void data_energy(const struct report *r, struct data *data);
void data_level(const struct report *r, struct data *data);
void data_heat(const struct report *r, struct data *data);

// ---- report_pictures.c ----
// A picture of the report: the same script for the page, for a file and for a terminal.
struct report_picture {
  const char *stem, *title;
  int high;                              // units on the page, where the width is 480
  int (*has)(const struct report *r);    // NULL: always
  void (*desc)(const struct report *r, char *out, size_t size); // what is seen, in words
  void (*plot)(FILE *stream, const struct report *r);
  void (*data)(const struct report *r, struct data *data);
};
enum { REPORT_MAIN = 3 }; // the first ones, that matter most
extern const struct report_picture report_pictures[];
extern const int report_picture_count;
int report_has(const struct report *r, int picture);
int report_pictures_write(const struct report *r);  // as files, as --render says; an exit status
int report_pictures_here(const struct report *r);   // on the terminal

// ---- report_plots.c ----
// Pictures as scripts of gnuplot, and what they show as numbers.
void plot_stroke_used(FILE *stream, const struct report *r);
void plot_force_speed(FILE *stream, const struct report *r);
void plot_peak_parts(FILE *stream, const struct report *r);
void data_stroke_used(const struct report *r, struct data *data);
void data_force_speed(const struct report *r, struct data *data);
void data_peak_parts(const struct report *r, struct data *data);

// ---- report_sheet.c ----
void report_set(const struct report *r, FILE *out);   // what is to be set, as HTML
void report_sheet(const struct report *r, FILE *out); // figures of the bench sheet

// ---- report_page.c ----
int report_page(const struct report *r, FILE *stream);

#endif
