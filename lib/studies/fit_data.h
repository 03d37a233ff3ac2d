// Measured data: CSV files whose columns carry their units, "force_N", "velocity_mm_per_s".
#ifndef DF_STUDIES_FIT_DATA_H
#define DF_STUDIES_FIT_DATA_H

#include "dampfork/reader.h"

#include <stddef.h>

// Kinds, told by the columns or by a head line "# data = KIND".
enum df_data_kind {
  DF_DATA_BENCH,  // velocity, force [, travel]: steady force at fork speeds
  DF_DATA_LOOP,   // time, travel, force: whole loops
  DF_DATA_SLOW,   // travel, force: pushed and let back slowly
  DF_DATA_SAG,    // load, settled, travel
  DF_DATA_SPRING, // part, length, force
  DF_DATA_TIMED,  // leg, direction, weight, distance, time
  DF_DATA_O_RING, // road, speed, travel_peak
  DF_DATA_LEVEL,  // leg, oil_level
  DF_DATA_LOG,    // time, travel and/or acceleration
  DF_DATA_KINDS
};
extern const char *const df_data_kind_names[DF_DATA_KINDS + 1]; // closed by NULL

enum df_data_column {
  DF_D_VELOCITY,              // m/s
  DF_D_FORCE,                 // N
  DF_D_TIME,                  // s
  DF_D_TRAVEL,                // m
  DF_D_ACCELERATION,          // m/s2
  DF_D_LENGTH,                // m
  DF_D_WEIGHT,                // kg
  DF_D_DISTANCE,              // m
  DF_D_SPEED,                 // m/s, road speed
  DF_D_TRAVEL_PEAK,           // m
  DF_D_OIL_LEVEL,             // m
  DF_D_LOAD,                  // words from here on: alone, rider, full
  DF_D_SETTLED,               // below, above: where it came from
  DF_D_PART,                  // fork, valve
  DF_D_LEG,                   // left, right
  DF_D_DIRECTION,             // push, pull
  DF_D_ROAD,                  // name of a road: index into df_data.road
  DF_D_COLUMNS
};

enum { DF_WITHOUT_SPRING = 1, DF_WITHOUT_AIR = 2, DF_WITHOUT_FRICTION = 4 };
enum { DF_DATA_ROWS_MAX = 100000, DF_DATA_ROADS_MAX = 32, DF_DATA_BYTES_MAX = 16*1024*1024 };

struct df_data {
  enum df_data_kind kind;
  char name[64];              // file name without its folder
  int n;                      // rows
  int column_n;               // columns, in the order of the file
  enum df_data_column column[DF_D_COLUMNS];
  char unit[DF_D_COLUMNS][40]; // of each column as written, "N/mm"; "" for words
  double *at[DF_D_COLUMNS];   // n values, SI or index of the word; NULL: no such column
  int *line;                  // of each row, from 1
  int road_n;
  char road[DF_DATA_ROADS_MAX][DF_NAME_MAX + 1];
  // Head lines "# key = value"; NAN: not said.
  double accuracy;            // SI of what was measured: one standard deviation
  double travel;              // m, where a bench took its forces; start of a timed stroke
  double temperature;         // K, oil while it was measured
  double speed;               // m/s, road speed of a log
  int without;                // what was taken out of the forces, DF_WITHOUT_ bits
  int leg;                    // 0 left, 1 right
  int checked;                // 1: "# checked = yes": sign and units are as written
};

// Every fault has file, line and column. On DF_OK df_data_finish is due. units: main thread only.
enum df_status df_data_read(struct df_data *out, struct df_units *units, const char *file,
                            struct df_faults *faults);
enum df_status df_data_read_text(struct df_data *out, struct df_units *units, const char *name,
                                 const char *text, size_t length, struct df_faults *faults);
void df_data_finish(struct df_data *data);

// The column that is measured, the others say where: force, travel, time, travel_peak, oil_level.
// which: 1 is the second one (acceleration of a log). DF_D_COLUMNS: none.
enum df_data_column df_data_measured(const struct df_data *data, int which);
// One standard deviation (SI) that a careful person gets with the usual tools (common practice), of a
// reading of this value in a column whose largest size is `most`.
double df_data_usual(enum df_data_column column, double value, double most);
// Leg of row i: of its column, or of the whole file. 0 left, 1 right.
int df_data_leg(const struct df_data *data, int i);
const char *df_data_column_name(enum df_data_column column); // "force"
// 1 when the kind's forces, times ... are of `unit`'s kind; unit as in the row of a key.
const char *df_data_column_unit(enum df_data_column column); // dimension: "N"; NULL for words

#endif
