// What fit writes.
#ifndef DF_TOOLS_FIT_OUT_H
#define DF_TOOLS_FIT_OUT_H

#include "load.h"

#include "dampfork/fit.h"
#include "studies/fit_data.h"

struct fit_call {
  struct call *call;
  struct loaded loaded;
  const char *folder;         // NULL: nothing is written
  char keys[1600];            // of --free, parted
  const char *free[DF_FIT_KEYS_MAX];
  int free_n;
  struct df_data data[DF_FIT_SETS_MAX];
  const struct df_data *list[DF_FIT_SETS_MAX];
  int data_n;
  struct df_fit fit;
};

enum { FIT_YAML, FIT_CSV, FIT_RESIDUALS_CSV, FIT_GP, FIT_RESIDUALS_GP, FIT_FILES };
int fit_files_open(const char *folder, FILE *stream[FIT_FILES]);
int fit_files_write(const struct fit_call *work, FILE *stream[FIT_FILES]);
void fit_csv(const struct fit_call *work, FILE *stream);
void fit_json(const struct fit_call *work);
void fit_plot_residuals(FILE *stream, const struct fit_call *work);

#endif
