// Linear look-up. A scan, not a bisection: the tables have a dozen rows and are read once a ride.
#include "base/interp.h"

#include <stddef.h>

double df_interp(const double *x, const double *y, int n, double at, double *slope)
{
  if (slope != NULL) *slope = 0;
  if (n < 2 || at < x[0]) return y[0];
  if (at >= x[n - 1]) return y[n - 1];
  int i = 0;
  while (i < n - 2 && at >= x[i + 1]) i++;
  double steep = (y[i + 1] - y[i])/(x[i + 1] - x[i]);
  if (slope != NULL) *slope = steep;
  return y[i] + steep*(at - x[i]);
}
