// What `compare` computed, for its answers.
#ifndef DF_TOOLS_COMPARE_WORK_H
#define DF_TOOLS_COMPARE_WORK_H

#include "commands.h"
#include "load.h"

#include "dampfork/compare.h"
#include "dampfork/leg.h"

#include <stdio.h>

// One question a rider asks, and the figure that answers it.
struct question {
  const char *name, *shown, *road, *measure;
};
enum { QUESTIONS = 6 };
extern const struct question questions[QUESTIONS];

enum { MAP_HEIGHTS = 8, MAP_SPEEDS = 7 };
extern const double map_height[MAP_HEIGHTS]; // m
extern const double map_speed[MAP_SPEEDS];   // m/s

struct comparison {
  struct call *call;
  struct loaded loaded[2];
  int twin; // 1: one of the forks is the other's twin
  const struct df_reading *reading[2];
  struct df_reading *made;
  const char *name[2];   // as the heading says them
  const char *column[2]; // as columns say them: plain and valved, or first and second
  struct df_wanted *wanted;
  struct df_estimate *estimate;
  struct df_band *band; // --spread; NULL: not asked for
  int wanted_n;
  struct df_ride_options options;
  struct df_statics statics[2];
  struct df_leg_model *leg[2];
  struct df_range dive[2]; // overshoot when braking, edge in the dive
  struct df_compared compared;
  struct df_estimate *map;        // --map; NULL: not asked for
  struct df_explained *explained; // --explain; NULL: not asked for
  struct df_wanted explain_of;
  int early; // 1: a ride of an unvaried fork ended before its end
  const char *folder;
};

const char *compare_road_name(const struct comparison *c, int road);
const struct df_estimate *compare_find(const struct comparison *c, const char *road,
                                       const char *measure);
const char *compare_answer(const struct question *q,
                           const struct df_estimate *e); // helps, hardly, worse

// Screen.
void compare_say(const struct comparison *c);

// Rows and files.
void compare_rows(const struct comparison *c, struct csv *csv);
void compare_json(const struct comparison *c);
int compare_files_write(const struct comparison *c); // all of them under -o; an exit status
void compare_map_plot(const struct comparison *c, FILE *stream);

#endif
