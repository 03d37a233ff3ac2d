// Power of a signal in a band of low frequencies: lines of the discrete Fourier transform over all
// samples, without a window.
#ifndef DF_MEASURES_SPECTRUM_H
#define DF_MEASURES_SPECTRUM_H

#include "dampfork/status.h"

// Room that grows with the longest signal seen. All zero: empty.
struct df_spectrum { double *moments; int blocks; };
void df_spectrum_finish(struct df_spectrum *spectrum);

// Mean squares of a signal about its mean: in the band, and in all.
struct df_band { double in, all; };

// x[0..n-1] sampled every `step` s, n >= 2; the lines k/(n step) that lie in from..to (Hz), both
// included, 0 Hz never; a line less than one sample's length off a border counts as on it. The first and
// the last sample, less the mean, are multiplied by `first` and `last`: 1 for the plain transform, 0.5 to
// 1.5 to have them stand for the time up to ends of a window that lie between samples.
// Cost: 15 n + 20 (to - from) to (n step)^2 multiplications about; lines are exact to 1e-10 of the signal.
// DF_NO_MEMORY on failure, `out` is NAN then.
enum df_status df_spectrum_band(struct df_spectrum *spectrum, const double *x, int n, double step,
                                double first, double last, double from, double to,
                                struct df_band *out);

#endif
