// The parameter table: one array of rows a section, one row a key. Private to the library.
#ifndef DF_SCENARIO_PARAMS_H
#define DF_SCENARIO_PARAMS_H

#include "base/param.h"
#include "dampfork/scenario.h"

#include <math.h>

// How a row begins. What follows are designated fields: likely_low, meaning, measure, tolerance,
// source ... USUAL has a constant usual value, RULED a computed one, GIVEN must stand in the file,
// MAYBE is absent unless given.
#define DF_ROW(s, f, u, form_, need_)                                                              \
  .key = #f, .form = form_, .at = offsetof(struct s, f), .has = DF_NO_OFFSET, .unit = u,           \
  .need = need_
#define USUAL(s, f, u, usual_, low_, high_, ...)                                                   \
  {                                                                                                \
    DF_ROW(s, f, u, DF_QUANTITY, DF_OPTIONAL), .usual = usual_, .low = low_, .high = high_,        \
                                               __VA_ARGS__                                         \
  }
#define RULED(s, f, u, rule_, low_, high_, ...)                                                    \
  {                                                                                                \
    DF_ROW(s, f, u, DF_QUANTITY, DF_OPTIONAL), .usual = NAN, .usual_rule = rule_, .low = low_,     \
                                               .high = high_, __VA_ARGS__                          \
  }
#define GIVEN(s, f, u, low_, high_, ...)                                                           \
  {                                                                                                \
    DF_ROW(s, f, u, DF_QUANTITY, DF_REQUIRED), .usual = NAN, .low = low_, .high = high_,           \
                                               __VA_ARGS__                                         \
  }
#define MAYBE(s, f, u, low_, high_, ...) \
  { DF_ROW(s, f, u, DF_QUANTITY, DF_ABSENT), .usual = NAN, .low = low_, .high = high_, __VA_ARGS__ }
#define COUNT_USUAL(s, f, usual_, low_, high_, ...)                                                \
  {                                                                                                \
    DF_ROW(s, f, "1", DF_COUNT, DF_OPTIONAL), .usual = usual_, .low = low_, .high = high_,         \
                                              __VA_ARGS__                                          \
  }
#define COUNT_GIVEN(s, f, low_, high_, ...)                                                        \
  {                                                                                                \
    DF_ROW(s, f, "1", DF_COUNT, DF_REQUIRED), .usual = NAN, .low = low_, .high = high_,            \
                                              __VA_ARGS__                                          \
  }
#define WORD(s, f, words_, usual_, ...)                                                            \
  {                                                                                                \
    DF_ROW(s, f, NULL, DF_WORD, DF_OPTIONAL), .usual = NAN, .words = words_, .usual_word = usual_, \
                                              __VA_ARGS__                                          \
  }
#define PART(s, f, of_, ...) /* a section that is always there */ \
  { DF_ROW(s, f, NULL, DF_SECTION, DF_OPTIONAL), .usual = NAN, .of = &of_, __VA_ARGS__ }
#define PART_IF(s, k, f, has_, of_, ...) /* a section that is there when given */                  \
  {                                                                                                \
    .key = k, .form = DF_SECTION, .at = offsetof(struct s, f), .has = offsetof(struct s, has_),    \
    .usual = NAN, .need = DF_ABSENT, .of = &of_, __VA_ARGS__                                       \
  }
#define LISTED(s, k, f, n_, need_, most_, of_, ...)                                                \
  {                                                                                                \
    .key = k, .form = DF_LIST, .at = offsetof(struct s, f), .has = offsetof(struct s, n_),         \
    .usual = NAN, .need = need_, .most = most_, .of = &of_, __VA_ARGS__                            \
  }

#define DF_SECTION_OF(name_, type_, rows_)                                                         \
  {                                                                                                \
    name_, sizeof(struct type_), rows_, (int)(sizeof rows_ / sizeof rows_[0])                      \
  }

extern const char *const df_switch_words[], *const df_place_words[], *const df_contact_words[];

extern const struct df_section df_bike_section, df_rider_section, df_load_section, df_tyre_section,
    df_braking_section;
extern const struct df_section df_leg_section, df_rod_section, df_holes_section, df_valve_section;
extern const struct df_section df_oil_section, df_air_section, df_spring_section, df_spacer_section;
extern const struct df_section df_cap_section, df_top_out_section, df_stops_section,
    df_cone_section, df_seals_section;
extern const struct df_section df_run_section, df_road_section, df_have_section, df_side_section;

// The whole scenario. Rows of `leg` ... `spacer` point into the left side; `right` into the right
// one.
extern const struct df_section df_scenario_section;

// Keys that are read but lie in no struct: format, based_on, expect, targets. Their rows have `at`
// DF_NO_OFFSET.

// Ready roads: the text of each as it would stand in a scenario, and the set that belongs to each
// use.
struct df_ready_road { const char *name, *text, *gravel_text /* NULL: the same */, *meaning; };
extern const struct df_ready_road df_ready_roads[];
extern const int df_ready_road_count;
const struct df_ready_road *df_ready_road_find(const char *name); // NULL: none
const char *const *df_roads_of_use(enum df_use use);              // names, NULL at the end

// Spellings that people may know from elsewhere, and what is written here.
struct df_old_spelling { const char *key, *now; };
extern const struct df_old_spelling df_old_spellings[];
extern const int df_old_spelling_count;

#endif
