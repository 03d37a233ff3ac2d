// What a ride leaves behind: rows of ride-ROAD.csv and its pictures.
#ifndef DF_TOOLS_RIDE_OUT_H
#define DF_TOOLS_RIDE_OUT_H

#include "dampfork/ride.h"
#include "out_csv.h"

// Header row and one row every `stride` samples. Columns of a leg come once for like legs, as _left
// and _right for unlike ones.
void ride_csv(const struct df_ride *ride, struct csv *csv, int stride);

// One fork over a road, for a picture.
struct ride_shown {
  const char *name;
  const struct df_scenario *scenario;
  const struct df_ride *ride;
};

// Stroke used over time, n forks over the same road. `stem` is the file's name without ending.
void plot_ride(FILE *stream, const char *stem, const char *title, const struct ride_shown *shown,
               int n);

// Forces of both legs at the hardest moment of each road: spring, air, damping, friction, cone,
// stop.
enum { PEAK_PARTS = 6 };
extern const char *const peak_part_names[PEAK_PARTS];
void plot_measures(FILE *stream, const char *title, const char *const *road,
                   double (*part)[PEAK_PARTS], int n);

#endif
