// Power of a signal by frequency: the discrete Fourier transform over all samples, without a window.
#ifndef DF_MEASURES_SPECTRUM_H
#define DF_MEASURES_SPECTRUM_H

#include "dampfork/status.h"

struct df_spectrum;

// Room grows with the longest signal seen; tables are kept while the length stays. NULL: no memory.
struct df_spectrum *df_spectrum_create(void);
void df_spectrum_destroy(struct df_spectrum *spectrum);

// Transform x[0..n-1] less its mean, sampled every `step` s, n >= 2. The exact transform of n samples
// for every n. DF_NO_MEMORY on failure.
enum df_status df_spectrum_of(struct df_spectrum *spectrum, const double *x, int n, double step);

// The part of the mean square that lies at frequencies from..to (Hz), both included, 0 Hz never.
// Sum over all frequencies = mean of (x - mean)^2 (Parseval).
double df_spectrum_mean_square(const struct df_spectrum *spectrum, double from, double to);

#endif
