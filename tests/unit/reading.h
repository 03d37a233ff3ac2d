// A scenario in a string, read and held against what it should give or say. For one test program
// at a time.
#ifndef DF_TESTS_READING_H
#define DF_TESTS_READING_H

#include "near.h"

#include "base/param.h"
#include "dampfork/reader.h"
#include "dampfork/road.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RULE "common practice, by the parameter table"

static struct df_units *units;
static struct df_faults faults;
static struct df_reading *reading;
static const struct df_scenario *got;
static struct df_reading_options options;

static inline void setup(void)
{
  units = df_reading_units_create(NULL);
  ck_assert_ptr_nonnull(units);
}

static inline void teardown(void)
{
  df_reading_destroy(reading);
  reading = NULL;
  df_reading_units_destroy(units);
}

#define LEG "leg: {tube_outside: 41 mm, travel: 130 mm}\n"
#define ROD                                                                                        \
  "rod: {compression_holes: [{count: 2, diameter: 6 mm}], rebound_holes: [{count: 2, diameter: "   \
  "2.2 mm}]}\n"
#define OIL "oil: {viscosity_40: 32 mm2/s, viscosity_100: 5.4 mm2/s}\n"
#define FOUND                                                                                      \
  "as_found: {compression_holes: [{count: 2, diameter: 3.5 mm, height: 18 mm}], rebound_holes: "   \
  "[{count: 2, diameter: 2.2 mm}]}"
#define SPACER                                                                                     \
  "spacer: {depth_to_spring: 171.5 mm, length: 169.5 mm, washers: 3 mm}\ncap: {depth: 14 mm}\n"
#define LEAST LEG ROD OIL

static inline enum df_status try(const char *text)
{
  memset(&faults, 0, sizeof faults);
  df_reading_destroy(reading);
  reading = NULL;
  enum df_status status = df_reading_create_text(&reading, units, "fork.yaml", "", text,
                                                 strlen(text), &options, &faults);
  got = status ? NULL : df_reading_scenario(reading);
  return status;
}

static inline void good(const char *text)
{
  enum df_status status = try(text);
  ck_assert_msg(status == DF_OK, "%d:%d: %s: %s", faults.at[0].line, faults.at[0].column,
                faults.at[0].key, faults.at[0].text);
}

// Exactly one fault, at this key and place, saying this.
static inline void says(const char *text, const char *key, int line, int column,
                        const char *sentence)
{
  ck_assert_int_eq(try(text), DF_BAD_INPUT);
  ck_assert_ptr_null(reading);
  const struct df_fault *f = &faults.at[0];
  ck_assert_msg(faults.errors == 1, "%d faults in: %s\n1: %s: %s\n2: %s: %s", faults.n, text,
                f->key, f->text, f[1].key, f[1].text);
  while (f->warning) f++;
  ck_assert_str_eq(f->key, key);
  ck_assert_str_eq(f->text, sentence);
  ck_assert_msg(f->line == line && f->column == column, "%s at %d:%d, not %d:%d", text, f->line,
                f->column, line, column);
}

static inline void same_lines(const char *a, const char *b)
{
  int line = 1;
  for (; *a && *a == *b; a++, b++) line += *a == '\n';
  while (line > 1 && a[-1] != '\n') a--, b--;
  ck_assert_msg(!strcmp(a, b), "line %d differs: %.60s / %.60s", line, a, b);
}

static inline struct df_value value(const char *path)
{
  struct df_value v;
  int i = df_reading_find(reading, path);
  ck_assert_msg(i >= 0, "no value %s", path);
  df_reading_value(reading, i, &v);
  return v;
}

#endif
