// Radau IIA of order 5 (Hairer and Wanner, Solving Ordinary Differential Equations II, IV.8), for
// tests only: real 3n x 3n Newton matrix,
// Jacobian by differences, quadratures by the collocation weights.
#ifndef DF_TESTS_SECOND_RADAU_H
#define DF_TESTS_SECOND_RADAU_H

// Rates of the states, and of quadratures that nothing depends on.
typedef void second_rates(void *context, double t, const double *y, double *dy, double *dq);

struct second_radau;

// scale: per state, the size below which only absolute error counts.
struct second_radau *second_radau_create(int states, int quadratures, second_rates *rates,
                                         void *context, const double *scale,
                                         double tolerance);
void second_radau_destroy(struct second_radau *);

// From *t to end. 0: arrived, -1: the step became too small.
int second_radau_advance(struct second_radau *, double *t, double end, double *y, double *q);
long second_radau_steps(const struct second_radau *);

#endif
