// Overrides of the command line, one a line, laid over a valved fork; after that a value to vary.
#include "fuzz.h"

#include "dampfork/reader.h"

#include <string.h>

enum { SETS_MAX = 16, TEXT_MAX = 4000, VARIED = 64 };
static struct df_units *units;
static struct df_reading *bike;
static struct df_faults faults;

static const char text_of_bike[] =
    "leg: {tube_outside: 41 mm, travel: 130 mm}\n"
    "rod: {as_found: {compression_holes: [{count: 2, diameter: 3.5 mm}], rebound_holes: [{count: 2,"
    " diameter: 2.2 mm}]}, opened: {compression_holes: [{count: 4, diameter: 6 mm}]}}\n"
    "valve: {seat_diameter: 16 mm, port_area: 113 mm2, spring_rate: 11 N/mm, preload: 3 turn,"
    " adjuster_pitch: 1 mm, height: 20 mm}\n"
    "oil: {viscosity_40: 32 mm2/s, viscosity_100: 5.4 mm2/s}\n"
    "spring: {rate: 9 N/mm, free_length: 420 mm}\n"
    "roads: {town: {kind: random, class: C, speed: 50 km/h, length: 300 m, seed: 1}}\n";

static void start(void)
{
  if (units) return;
  HOLDS(units = df_reading_units_create(NULL));
  HOLDS(df_reading_create_text(&bike, units, "bike.yaml", fuzz_folder(), text_of_bike,
                               sizeof text_of_bike - 1, NULL, &faults) == DF_OK);
}

static void vary(const char *line)
{
  struct df_vary v;
  memset(&faults, 0, sizeof faults);
  if (df_vary_init(&v, bike, line, VARIED, &faults) != DF_OK) {
    HOLDS(faults.errors);
    fuzz_faults(&faults);
    return;
  }
  HOLDS(v.n > 0 && v.n <= VARIED);
  df_vary_finish(&v);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  char text[TEXT_MAX + 1], before[13], after[13];
  const char *set[SETS_MAX];
  int n = 0;
  start();
  if (size > TEXT_MAX) return 0;
  memcpy(text, data, size);
  text[size] = 0;
  for (char *at = text; at && n < SETS_MAX; n++) {
    set[n] = strsep(&at, "\n");
    vary(set[n]);
  }
  struct df_reading *changed = df_reading_copy(bike);
  HOLDS(changed);
  memset(&faults, 0, sizeof faults);
  df_reading_hash(changed, before);
  enum df_status status = df_reading_override(changed, set, n, &faults);
  df_reading_hash(changed, after);
  fuzz_faults(&faults);
  HOLDS(status == DF_OK || faults.errors || status == DF_NO_MEMORY);
  HOLDS(status == DF_OK || !strcmp(before, after)); // a refused override leaves all as it was
  df_reading_destroy(changed);
  return 0;
}
