// Straight lines between the points of a small constant table.
#ifndef DF_BASE_INTERP_H
#define DF_BASE_INTERP_H

// Value at `at` of the table y over x (n >= 1 points, x strictly rising): linear between points,
// constant outside. slope, if not NULL, takes dy/dx (0 outside; at a point that of the piece above).
double df_interp(const double *x, const double *y, int n, double at, double *slope);

#endif
