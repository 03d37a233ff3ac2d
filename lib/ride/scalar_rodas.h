// One step of a Rosenbrock method for a small system in plain doubles. The method's rows are those
// of method.h; source there.
#ifndef DF_RIDE_SCALAR_RODAS_H
#define DF_RIDE_SCALAR_RODAS_H

#include "ride/method.h"

enum { RODAS_STATES_MAX = 16 };

// rates: f(t, y). solve: r becomes the solution of (g I - J) k = r, factored before the step with
// g = 1/(gamma h).
struct rodas_system {
  int n;
  void (*rates)(void *self, double t, const double *y, double *f);
  void (*solve)(void *self, double *r);
  void *self;
};

// From y at t, with rates f0 there and their slopes with time ft, over h: `to` and its error.
static inline void rodas_step(const struct df_method *m, const struct rodas_system *s, double t,
                              double h, const double *y, const double *f0, const double *ft,
                              double *to, double *error)
{
  double r[STAGES_MAX][RODAS_STATES_MAX], at[RODAS_STATES_MAX], f[RODAS_STATES_MAX];
  for (int j = 0; j < s->n; j++) f[j] = f0[j], to[j] = y[j], error[j] = 0;
  for (int i = 0; i < m->stages; i++) {
    if (i > 0 && m->fresh[i]) {
      for (int j = 0; j < s->n; j++) {
        at[j] = y[j];
        for (int q = 0; q < i; q++) at[j] += m->a[i][q]*r[q][j];
      }
      s->rates(s->self, t + m->alpha[i]*h, at, f);
    }
    for (int j = 0; j < s->n; j++) {
      double sum = 0;
      for (int q = 0; q < i; q++) sum += m->c[i][q]*r[q][j];
      r[i][j] = f[j] + sum/h + m->d[i]*h*ft[j];
    }
    s->solve(s->self, r[i]);
    for (int j = 0; j < s->n; j++) to[j] += m->m[i]*r[i][j], error[j] += m->e[i]*r[i][j];
  }
}

#endif
