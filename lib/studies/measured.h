// Shared by the comparisons of what was measured with a scenario.
#ifndef DF_STUDIES_MEASURED_H
#define DF_STUDIES_MEASURED_H

#include "studies/fit_data.h"
#include "studies/setup.h"

// 95 % of readings lie within so many standard deviations.
#define DF_CHECK_SURE 2.0

// One more comparison; its agreement is told by low and high. Returns whether it agrees.
int df_check_add(struct df_checks *out, enum df_check_kind kind, double measured, double computed,
                 double less, double more, const char *format, ...)
    __attribute__((format(printf, 7, 8)));
void df_check_reason(struct df_checks *out, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

// How far off (SI) a value may be that was measured as its row says; 0: not said.
double df_check_how_well(const struct df_reading *reading, const char *path);

// Sag of all files together, in m.
void df_check_sag(const struct df_reading *reading, const struct df_data *const *data, int set_n,
                  struct df_checks *out);

#endif
