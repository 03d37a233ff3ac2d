// Design of second-order sections. Bilinear transform with prewarping: any text on digital filters,
// for instance Oppenheim and Schafer, Discrete-Time Signal Processing, section 7.1.
#include "measures/filter.h"

#include <complex.h>
#include <math.h>

struct df_biquad df_biquad_bilinear(const struct df_analogue *analogue, double step)
{
  const double *n = analogue->n, *d = analogue->d;
  double k = tan(M_PI*analogue->frequency*step);  // p = (1 - 1/z)/(k (1 + 1/z))
  double scale = 1/(d[0]*k*k + d[1]*k + d[2]);
  return (struct df_biquad){
    .b0 = (n[0]*k*k + n[1]*k + n[2])*scale,
    .b1 = 2*(n[0]*k*k - n[2])*scale,
    .b2 = (n[0]*k*k - n[1]*k + n[2])*scale,
    .a1 = 2*(d[0]*k*k - d[2])*scale,
    .a2 = (d[0]*k*k - d[1]*k + d[2])*scale,
  };
}

struct df_analogue df_butterworth_low(double frequency)
{
  return (struct df_analogue){frequency, {1, 0, 0}, {1, M_SQRT2, 1}};
}

struct df_analogue df_butterworth_high(double frequency)
{
  return (struct df_analogue){frequency, {0, 0, 1}, {1, M_SQRT2, 1}};
}

double df_analogue_gain(const struct df_analogue *analogue, double f)
{
  const double *n = analogue->n, *d = analogue->d;
  double complex p = I*f/analogue->frequency;
  return cabs((n[0] + p*(n[1] + p*n[2]))/(d[0] + p*(d[1] + p*d[2])));
}

double df_biquad_gain(const struct df_biquad *q, double step, double f)
{
  double complex back = cexp(-2*M_PI*f*step*I);
  return cabs((q->b0 + back*(q->b1 + back*q->b2))/(1 + back*(q->a1 + back*q->a2)));
}
