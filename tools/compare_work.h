// What `compare` computed, for its answers.
#ifndef DF_TOOLS_COMPARE_WORK_H
#define DF_TOOLS_COMPARE_WORK_H

#include "commands.h"
#include "load.h"
#include "out_json.h"

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

// Everything but the answer, by the options of a call. c is zero at first and to be finished in
// either case. Returns 0 or an exit status.
int compare_make(struct comparison *c, struct call *call);
void compare_finish(struct comparison *c);

const char *compare_road_name(const struct comparison *c, int road);
const struct df_estimate *compare_find(const struct comparison *c, const char *road,
                                       const char *measure);
const char *compare_answer(const struct question *q,
                           const struct df_estimate *e); // helps, hardly, worse

// Words for the screen and for a page: what helps, what a question rests on, the dive over what
// nobody knows ("" when it was not ridden).
void compare_count(const struct comparison *c, char *out, size_t size);
void compare_because(const struct comparison *c, int question, char *out, size_t size);
void compare_dive_text(const struct comparison *c, char *out, size_t size);

// Screen.
void compare_say(const struct comparison *c);

// Rows and files.
void compare_rows(const struct comparison *c, struct csv *csv);
void compare_rows_from(const struct comparison *c, int first, struct csv *csv); // 1: without the first fork
void compare_json(const struct comparison *c);
void compare_json_body(const struct comparison *c, struct json *json);
int compare_files_write(const struct comparison *c); // all of them under -o; an exit status
void compare_map_plot(const struct comparison *c, FILE *stream);


// Three to FORKS_MAX forks, each against the first.
enum { FORKS_MAX = 5 };
int compare_many(struct call *call);

#endif
