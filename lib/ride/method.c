// The table of methods. Coefficients are the published ones; tests measure their orders.
#include "ride/method_rows.h"

#include <stddef.h>
#include <string.h>

const struct df_method df_methods[] = {
  DF_RODAS4_ROW,
  DF_RODAS3_ROW,
  { .name = "bsimp", .source = "GSL: implicit Bulirsch-Stoer of Bader & Deuflhard" },
  { .name = "msbdf", .source = "GSL: variable-order backward differences" },
};
const int df_method_count = sizeof df_methods/sizeof *df_methods;

int df_method_find(const char *name)
{
  for (int i = 0; i < df_method_count; i++)
    if (!strcmp(df_methods[i].name, name)) return i;
  return -1;
}
