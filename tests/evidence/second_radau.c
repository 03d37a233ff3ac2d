#include "second_radau.h"

#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { STAGES = 3, MOST = 40 }; // MOST: states and quadratures, arrays on the stack

struct second_radau {
  int n, quadratures;
  second_rates *rates;
  void *context;
  const double *scale;
  double tolerance, step;     // 1, s
  long steps;
  gsl_matrix *jacobian, *newton, *filter;
  gsl_permutation *newton_order, *filter_order;
  gsl_vector *right, *change, *small, *smooth;
  double stage[STAGES][MOST]; // increments Z
  double slope[STAGES][MOST], flow[STAGES][MOST];
};

// Butcher's coefficients; sixth root sign as in the book's table 5.6.
static void coefficients(double a[STAGES][STAGES], double c[STAGES])
{
  double r = sqrt(6);
  double table[STAGES][STAGES] = {{(88 - 7*r)/360, (296 - 169*r)/1800, (-2 + 3*r)/225},
                                  {(296 + 169*r)/1800, (88 + 7*r)/360, (-2 - 3*r)/225},
                                  {(16 - r)/36, (16 + r)/36, 1.0/9}};
  memcpy(a, table, sizeof table);
  c[0] = (4 - r)/10, c[1] = (4 + r)/10, c[2] = 1;
}

struct second_radau *second_radau_create(int states, int quadratures, second_rates *rates,
                                         void *context, const double *scale,
                                         double tolerance)
{
  struct second_radau *r = calloc(1, sizeof *r);
  if (!r || states > MOST || quadratures > MOST) abort();
  r->n = states, r->quadratures = quadratures, r->rates = rates, r->context = context,
      r->scale = scale;
  r->tolerance = tolerance, r->step = 1e-6;
  r->jacobian = gsl_matrix_alloc(states, states), r->filter = gsl_matrix_alloc(states, states);
  r->newton = gsl_matrix_alloc(STAGES*states, STAGES*states);
  r->newton_order = gsl_permutation_alloc(STAGES*states),
      r->filter_order = gsl_permutation_alloc(states);
  r->right = gsl_vector_alloc(STAGES*states), r->change = gsl_vector_alloc(STAGES*states);
  r->small = gsl_vector_alloc(states), r->smooth = gsl_vector_alloc(states);
  return r;
}

void second_radau_destroy(struct second_radau *r)
{
  gsl_matrix_free(r->jacobian), gsl_matrix_free(r->filter), gsl_matrix_free(r->newton);
  gsl_permutation_free(r->newton_order), gsl_permutation_free(r->filter_order);
  gsl_vector_free(r->right), gsl_vector_free(r->change), gsl_vector_free(r->small),
      gsl_vector_free(r->smooth);
  free(r);
}

long second_radau_steps(const struct second_radau *r) { return r->steps; }

static void differentiate(struct second_radau *r, double t, const double *y, const double *dy)
{
  double moved[MOST], there[MOST], ignored[MOST];
  memcpy(moved, y, r->n*sizeof *y);
  for (int j = 0; j < r->n; j++) {
    double nudge = 1e-7*fmax(fabs(y[j]), r->scale[j]);
    moved[j] = y[j] + nudge, nudge = moved[j] - y[j];
    r->rates(r->context, t, moved, there, ignored);
    moved[j] = y[j];
    for (int i = 0; i < r->n; i++) gsl_matrix_set(r->jacobian, i, j, (there[i] - dy[i])/nudge);
  }
}

// I - h A (x) J, and u1/h - J for the error estimate.
static void factor(struct second_radau *r, double h)
{
  double a[STAGES][STAGES], c[STAGES], real = 30/h/(6 + cbrt(81) - cbrt(9));
  int n = r->n, sign;
  coefficients(a, c);
  for (int k = 0; k < STAGES*n; k++)
    for (int l = 0; l < STAGES*n; l++)
      gsl_matrix_set(r->newton, k, l, (k == l) - h*a[k/n][l/n]*gsl_matrix_get(r->jacobian, k%n,
          l%n));
  for (int i = 0; i < n; i++)
    for (int j = 0; j < n; j++) gsl_matrix_set(r->filter, i, j,
                                               (i == j)*real - gsl_matrix_get(r->jacobian, i, j));
  gsl_linalg_LU_decomp(r->newton, r->newton_order, &sign);
  gsl_linalg_LU_decomp(r->filter, r->filter_order, &sign);
}

static double norm(const struct second_radau *r, const double *y, const double *e)
{
  double sum = 0;
  for (int i = 0; i < r->n; i++) {
    double share = e[i]/(r->tolerance*(r->scale[i] + fabs(y[i])));
    sum += share*share;
  }
  return sqrt(sum/r->n);
}

static void stage_rates(struct second_radau *r, double t, double h, const double *y)
{
  double a[STAGES][STAGES], c[STAGES], at[MOST];
  coefficients(a, c);
  for (int k = 0; k < STAGES; k++) {
    for (int i = 0; i < r->n; i++) at[i] = y[i] + r->stage[k][i];
    r->rates(r->context, t + c[k]*h, at, r->slope[k], r->flow[k]);
  }
}

// One Newton correction of all stages; its size in units of the tolerance.
static double correct(struct second_radau *r, double t, double h, const double *y)
{
  double a[STAGES][STAGES], c[STAGES], size = 0;
  coefficients(a, c);
  stage_rates(r, t, h, y);
  for (int k = 0; k < STAGES; k++)
    for (int i = 0; i < r->n; i++) {
      double sum = a[k][0]*r->slope[0][i] + a[k][1]*r->slope[1][i] + a[k][2]*r->slope[2][i];
      gsl_vector_set(r->right, k*r->n + i, h*sum - r->stage[k][i]);
    }
  gsl_linalg_LU_solve(r->newton, r->newton_order, r->right, r->change);
  for (int k = 0; k < STAGES; k++) {
    for (int i = 0; i < r->n; i++) r->stage[k][i] += gsl_vector_get(r->change, k*r->n + i);
    size = fmax(size, norm(r, y, gsl_vector_const_ptr(r->change, k*r->n)));
  }
  return size;
}

static int solve_stages(struct second_radau *r, double t, double h, const double *y)
{
  double last = INFINITY;
  memset(r->stage, 0, sizeof r->stage);
  for (int pass = 0; pass < 12; pass++) {
    double size = correct(r, t, h, y);
    if (!isfinite(size) || (pass > 2 && size > last)) return -1;
    if (size < 1e-4) {
      stage_rates(r, t, h, y);
      return 0;
    }
    last = size;
  }
  return -1;
}

// Filtered difference to the embedded formula of order 3 (IV.8.20).
static double estimate(struct second_radau *r, double h, const double *y, const double *dy)
{
  double root = sqrt(6), w[STAGES] = {(-13 - 7*root)/3, (-13 + 7*root)/3, -1.0/3};
  for (int i = 0; i < r->n; i++)
    gsl_vector_set(r->small, i, dy[i] + (w[0]*r->stage[0][i] + w[1]*r->stage[1][i] +
                                         w[2]*r->stage[2][i])/h);
  gsl_linalg_LU_solve(r->filter, r->filter_order, r->small, r->smooth);
  return norm(r, y, gsl_vector_const_ptr(r->smooth, 0));
}

static void accept(struct second_radau *r, double h, double *y, double *q)
{
  double a[STAGES][STAGES], c[STAGES];
  coefficients(a, c);
  for (int i = 0; i < r->n; i++) y[i] += r->stage[STAGES - 1][i];
  for (int i = 0; i < r->quadratures; i++)
    for (int k = 0; k < STAGES; k++) q[i] += h*a[STAGES - 1][k]*r->flow[k][i];
  r->steps++;
}

int second_radau_advance(struct second_radau *r, double *t, double end, double *y, double *q)
{
  double dy[MOST], dq[MOST];
  int fresh = 0;
  if (end - *t < 1e-12) *t = fmax(*t, end); // two names of one moment
  while (*t < end) {
    int last = *t + r->step*1.01 >= end;
    double h = last ? end - *t : r->step;
    if (h < 1e-15*fmax(1, *t)) return -1;
    if (!fresh) r->rates(r->context, *t, y, dy, dq), differentiate(r, *t, y, dy), fresh = 1;
    factor(r, h);
    if (solve_stages(r, *t, h, y)) {
      r->step = h/4;
      continue;
    }
    double error = estimate(r, h, y, dy), gain = fmin(5,
                                                      fmax(0.1,
                                                           0.85*pow(fmax(error, 1e-12), -0.25)));
    if (error > 1) {
      r->step = h*fmin(gain, 0.7);
      continue;
    }
    accept(r, h, y, q), fresh = 0;
    *t = last ? end : *t + h;
    r->step = last ? fmax(r->step, h*gain) : h*gain;
  }
  return 0;
}
