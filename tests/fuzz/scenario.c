// The scenario reader: whatever it accepts can be written back, read again, copied and turned into
// its twin, with the same values; whatever it refuses has a reason.
#include "fuzz.h"

#include "base/param.h"
#include "dampfork/reader.h"

#include <math.h>
#include <string.h>

static struct df_units *units;
static struct df_faults faults;

static const char base[] = "leg: {tube_outside: 41 mm, travel: 130 mm}\n"
                           "rod: {compression_holes: [{count: 2, diameter: 6 mm}],\n"
                           "  rebound_holes: [{count: 2, diameter: 2.2 mm}]}\n"
                           "oil: {viscosity_40: 32 mm2/s, viscosity_100: 5.4 mm2/s}\n";
static const char road[] = "distance_m,height_mm\n0,0\n1,5\n2,-3\n4,0\n";

static void start(void)
{
  if (units) return;
  HOLDS(units = df_reading_units_create(NULL));
  fuzz_file("base.yaml", base, sizeof base - 1);
  fuzz_file("road.csv", road, sizeof road - 1);
}

static enum df_status read_text(struct df_reading **out, const char *text, size_t size)
{
  memset(&faults, 0, sizeof faults);
  enum df_status status = df_reading_create_text(out, units, "fork.yaml", fuzz_folder(), text, size,
                                                 NULL, &faults);
  fuzz_faults(&faults);
  HOLDS(status != DF_OK || *out);
  HOLDS(status == DF_OK || (!*out && (faults.errors || status == DF_NO_MEMORY)));
  return status;
}

static void values_hold(const struct df_reading *reading)
{
  int given, assumed, n = df_reading_count(reading);
  df_reading_given(reading, &given, &assumed);
  for (int i = 0; i < n; i++) {
    struct df_value value;
    df_reading_value(reading, i, &value);
    HOLDS(value.path && value.row);
    if (value.given && value.row->form == DF_QUANTITY && !value.word && !value.absent)
      HOLDS(!isinf(value.si));
  }
}

// Written back and read again: the same values, to the last bit.
static void written_is_read(const struct df_reading *reading)
{
  char before[13], after[13];
  struct df_reading *again = NULL;
  char *text = df_reading_write(reading, 0);
  HOLDS(text);
  df_reading_hash(reading, before);
  HOLDS(read_text(&again, text, strlen(text)) == DF_OK);
  df_reading_hash(again, after);
  HOLDS(!strcmp(before, after));
  df_reading_destroy(again);
  free(text);
}

static void twin(const struct df_reading *reading)
{
  struct df_reading *other = NULL;
  memset(&faults, 0, sizeof faults);
  enum df_status status = df_reading_twin(&other, reading, NAN, &faults);
  fuzz_faults(&faults);
  HOLDS(status == DF_OK ? other != NULL : !other);
  df_reading_destroy(other);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  struct df_reading *reading = NULL;
  start();
  if (read_text(&reading, (const char *)data, size) != DF_OK) return 0;
  struct df_reading *copy = df_reading_copy(reading);
  HOLDS(copy);
  char *lines = df_reading_lines(copy);
  HOLDS(lines);
  free(lines);
  df_reading_destroy(copy);
  values_hold(reading);
  written_is_read(reading);
  twin(reading);
  df_reading_destroy(reading);
  return 0;
}
