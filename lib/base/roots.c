// Safeguarded Newton (Press et al., Numerical Recipes, section 9.4, gives the idea: halve whenever
// Newton would leave the bracket or shrinks too slowly). GSL has both halves but not the two together.
#include "base/roots.h"

#include <math.h>

enum { STEPS_MAX = 200 };     // halving alone needs 60 for a bracket of doubles; more is no root

// The next point: Newton's, or the middle if that is outside, unknown or not half the step before.
static double next_point(double x, double f, double slope, double low, double high, double before)
{
  double step = f/slope, to = x - step;
  double left = fmin(low, high), right = fmax(low, high);
  if (!(to > left && to < right) || fabs(step) > 0.5*fabs(before)) return 0.5*(low + high);
  return to;
}

enum df_status df_root_find(df_root_function *f, const void *context, double low, double high,
                            double share, double least, double *x)
{
  double slope = NAN, at_low = f(low, &slope, context), at_high = f(high, &slope, context);
  if (at_low == 0) return *x = low, DF_OK;
  if (at_high == 0) return *x = high, DF_OK;
  if (!(at_low*at_high < 0)) return DF_NO_SOLUTION;
  double here = *x > fmin(low, high) && *x < fmax(low, high) ? *x : 0.5*(low + high);
  double before = high - low;
  for (int i = 0; i < STEPS_MAX; i++) {
    slope = NAN;
    double value = f(here, &slope, context);
    if (isnan(value)) return DF_NO_SOLUTION;
    if (value == 0) return *x = here, DF_OK;
    if ((value < 0) == (at_low < 0)) low = here;
    else high = here;
    double next = next_point(here, value, slope, low, high, before);
    before = next - here;
    here = next;
    if (fabs(before) <= share*fabs(here) + least) return *x = here, DF_OK;
  }
  return DF_NO_SOLUTION;
}
