// Numbers, quantities, expectations and series, each against rows of the parameter table. The first
// byte chooses the row.
#include "fuzz.h"

#include "dampfork/reader.h"
#include "base/table.h"
#include "scenario/params.h"
#include "scenario/quantity.h"

#include <string.h>

enum { ROWS_MAX = 600, TEXT_MAX = 2000, SERIES = 256 };
static const struct df_param *rows[ROWS_MAX];
static int row_n;
static struct df_units *units;

static int keep(const struct df_param *row, const char *path, void *arg)
{
  (void)path, (void)arg;
  if (row_n < ROWS_MAX && (row->form == DF_QUANTITY || row->form == DF_COUNT) && row->unit)
    rows[row_n++] = row;
  return 0;
}

static void start(void)
{
  if (units) return;
  HOLDS(units = df_reading_units_create(NULL));
  df_section_walk(&df_scenario_section, "", keep, NULL);
  HOLDS(row_n > 50);
}

static void one_quantity(const struct df_param *row, const char *text)
{
  char why[DF_WHY_MAX] = "";
  struct df_quantity q = {0};
  enum df_verdict verdict = df_quantity_read(units, row, text, &q, why, sizeof why);
  HOLDS(verdict == DF_FINE || why[0]);
  HOLDS(verdict == DF_WRONG || isfinite(q.si));
  if (verdict == DF_WRONG || q.other) return;
  double shown = df_value_in(units, q.si, row->unit); // 1e-9: rounding of two conversions
  HOLDS(shown >= row->low - 1e-9*fabs(row->low) && shown <= row->high + 1e-9*fabs(row->high));
}

static void one_claim(const char *text)
{
  char why[DF_WHY_MAX] = "";
  struct df_claim claim = {0};
  if (!df_claim_read(units, text, &claim, why, sizeof why)) {
    HOLDS(why[0]);
    return;
  }
  HOLDS(claim.tolerance >= 0 && isfinite(claim.tolerance));
  HOLDS(isnan(claim.low) || isnan(claim.high) || claim.low <= claim.high);
}

static void one_series(const char *text)
{
  char why[DF_WHY_MAX] = "", unit[DF_UNIT_MAX];
  double value[SERIES];
  int n = df_series_read(text, value, SERIES, unit, why, sizeof why);
  HOLDS(n > 0 || why[0]);
  HOLDS(n >= 0 && n <= SERIES);
  for (int i = 0; i < n; i++) HOLDS(isfinite(value[i]));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  char text[TEXT_MAX + 1], why[DF_WHY_MAX] = "";
  double value = 0;
  start();
  if (!size || size > TEXT_MAX) return 0;
  memcpy(text, data + 1, size - 1);
  text[size - 1] = 0;
  if (df_number_read(text, &value)) HOLDS(isfinite(value));
  HOLDS(df_number_split(text, &value, why, sizeof why) || why[0]);
  one_quantity(rows[data[0]*row_n/256], text);
  one_claim(text);
  one_series(text);
  return 0;
}
