// One root of a function that changes sign once in a bracket.
#ifndef DF_BASE_ROOTS_H
#define DF_BASE_ROOTS_H

#include "dampfork/status.h"

// Value at x; the slope there through `slope`, NAN where it is not known (then the bracket is halved).
typedef double df_root_function(double x, double *slope, const void *context);

// Newton's steps, kept inside a bracket that halves whenever a step leaves it or gains too little.
// low, high: the bracket, in any order of signs; *x: first guess in, root out (outside: the middle).
// share, least: done when the bracket or the last step is below share*|x| + least.
// DF_NO_SOLUTION: no change of sign, a value that is no number, or 200 steps without an end.
enum df_status df_root_find(df_root_function *f, const void *context, double low, double high,
                            double share, double least, double *x);

#endif
