// The kernels this library was built with, best first, and the choice among them.
#include <stddef.h>
#include <string.h>

#include "ride/job.h"

extern const struct df_kernel df_kernel_baseline;
#ifdef DF_WIDE_KERNELS
extern const struct df_kernel df_kernel_avx2, df_kernel_avx512;
#endif

const struct df_kernel *const df_kernels[] = {
#ifdef DF_WIDE_KERNELS
  &df_kernel_avx512,
  &df_kernel_avx2,
#endif
  &df_kernel_baseline,
  NULL,
};

const struct df_kernel *df_kernel_best(void)
{
  int i = 0;
  while (!df_kernels[i]->able()) i++;                  // the last one always is
  return df_kernels[i];
}

// Kernels differ in width alone, not in a bit: a few rides are answered soonest in a register of four.
void df_kernel_run(const struct df_kernel *kernel, struct ride_job *const *jobs, int n)
{
  enum { NARROW = 4 };
  for (int i = 0; df_kernels[i] && n <= NARROW && kernel->lanes > NARROW; i++)
    if (df_kernels[i]->lanes == NARROW && df_kernels[i]->able()) kernel = df_kernels[i];
  kernel->run(jobs, n);
}

const struct df_kernel *df_kernel_find(const char *name)
{
  for (int i = 0; df_kernels[i]; i++)
    if (!strcmp(df_kernels[i]->name, name)) return df_kernels[i]->able() ? df_kernels[i] : NULL;
  return NULL;
}

const char *df_kernel_name(int row)
{
  int n = sizeof df_kernels/sizeof *df_kernels - 1;
  return row >= 0 && row < n ? df_kernels[row]->name : NULL;
}

int df_kernel_usable(int row) { return df_kernel_name(row) ? df_kernels[row]->able() : 0; }

int df_method_named(const char *name) { return df_method_find(name) + 1; }

const char *df_method_name(int row_plus_one)
{
  return row_plus_one > 0 && row_plus_one <= df_method_count ? df_methods[row_plus_one - 1].name : NULL;
}
