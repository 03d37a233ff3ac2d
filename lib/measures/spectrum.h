// Power of a signal by frequency: the discrete Fourier transform over all samples, without a window.
#ifndef DF_MEASURES_SPECTRUM_H
#define DF_MEASURES_SPECTRUM_H

#include "dampfork/status.h"

struct df_spectrum;

// Room grows with the longest signal seen; tables are kept while the length stays. NULL: no memory.
struct df_spectrum *df_spectrum_create(void);
void df_spectrum_destroy(struct df_spectrum *spectrum);

// Transform x[0..n-1] less its mean, sampled every `step` s, n >= 2. The exact transform of n samples
// for every n. The first and the last sample are multiplied by `first` and `last` (less the mean): 1 for
// the plain transform, 0.5 to 1.5 to have them stand for the time to the ends of a window that lie
// between samples. DF_NO_MEMORY on failure.
enum df_status df_spectrum_of(struct df_spectrum *spectrum, const double *x, int n, double step,
                              double first, double last);

// The part of the mean square that lies at frequencies from..to (Hz), both included, 0 Hz never.
double df_spectrum_mean_square(const struct df_spectrum *spectrum, double from, double to);
// All of it: mean of (x - mean)^2, with the weights above. Without weights the same as the sum over all
// frequencies (Parseval).
double df_spectrum_all(const struct df_spectrum *spectrum);

#endif
