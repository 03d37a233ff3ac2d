// Second-order filter sections in the time domain, for any sampling rate.
#ifndef DF_MEASURES_FILTER_H
#define DF_MEASURES_FILTER_H

// y = (b0 + b1/z + b2/z^2)/(1 + a1/z + a2/z^2) u, transposed direct form II; s1, s2 are its memory.
struct df_biquad { double b0, b1, b2, a1, a2, s1, s2; };

// An analogue section in p = s/(2 pi frequency): (n0 + n1 p + n2 p^2)/(d0 + d1 p + d2 p^2).
struct df_analogue { double frequency; /* Hz */ double n[3], d[3]; /* 1 */ };

// The same by the bilinear transform, exact at `frequency` (prewarped), at rest.
// Needs 0 < frequency < 1/(2 step); step in s.
struct df_biquad df_biquad_bilinear(const struct df_analogue *analogue, double step);

// Butterworth sections of order two, frequency in Hz.
struct df_analogue df_butterworth_low(double frequency);
struct df_analogue df_butterworth_high(double frequency);

// Gain at f (Hz): of the analogue section, and of the sampled one.
double df_analogue_gain(const struct df_analogue *analogue, double f);
double df_biquad_gain(const struct df_biquad *biquad, double step, double f);

// What waits for y is kept short: a chain of sections is bound by the time from y to the next y.
static inline double df_biquad_next(struct df_biquad *q, double u)
{
  double y = q->b0*u + q->s1;
  q->s1 = (q->b1*u + q->s2) - q->a1*y;
  q->s2 = q->b2*u - q->a2*y;
  return y;
}

#endif
