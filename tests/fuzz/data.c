// The reader of measured data.
#include "fuzz.h"

#include "studies/fit_data.h"

#include <math.h>
#include <string.h>

static struct df_units *units;
static struct df_faults faults;

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  struct df_data out;
  if (!units) HOLDS(units = df_reading_units_create(NULL));
  faults.n = faults.errors = faults.lost = 0;
  enum df_status status =
      df_data_read_text(&out, units, "bench.csv", (const char *)data, size, &faults);
  fuzz_faults(&faults);
  HOLDS(status == DF_OK || faults.errors || status == DF_NO_MEMORY);
  if (status != DF_OK) return 0;
  HOLDS(out.n > 0 && out.n <= DF_DATA_ROWS_MAX && out.kind < DF_DATA_KINDS);
  for (int c = 0; c < DF_D_COLUMNS; c++)
    for (int i = 0; out.at[c] && i < out.n; i++) HOLDS(isfinite(out.at[c][i]));
  df_data_finish(&out);
  return 0;
}
