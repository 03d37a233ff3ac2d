// Recorded profiles of roads in files of comma-separated values.
#ifndef DF_VEHICLE_RECORD_H
#define DF_VEHICLE_RECORD_H

#include "dampfork/road.h"

enum {
  DF_RECORD_BYTES_MAX = 64*1024*1024,
  DF_RECORD_ROWS_MAX = 1000000
};

// Read columns distance_m and height_mm of a file: a header row, then rows with a decimal point.
// Lines that are empty or begin with # are passed over, other columns too. Distances rise; one may
// come twice (a vertical face). Out: s and z in m as they stand in the file. Every fault is added
// with file, line and column under `key`. DF_CANNOT_READ: no such regular file, or over
// DF_RECORD_BYTES_MAX; DF_BAD_INPUT, DF_NO_MEMORY.
enum df_status df_record_read(const char *path, const char *key, struct df_polyline *out,
                              struct df_faults *faults);

#endif
