// One-step linearly implicit (Rosenbrock) methods as rows of one table.
#ifndef DF_RIDE_METHOD_H
#define DF_RIDE_METHOD_H

enum { STAGES_MAX = 6 };

// Stage i solves (1/(gamma h) - J) k_i = f(t + alpha_i h, y + sum a_ij k_j) + sum c_ij k_j/h + d_i h df/dt;
// then y' = y + sum m_i k_i, error = sum e_i k_i.
struct df_method {
  const char *name;
  int stages, order;          // 0 stages: integrated by GSL, see gsl.c
  double gamma;
  double alpha[STAGES_MAX], d[STAGES_MAX];
  double a[STAGES_MAX][STAGES_MAX], c[STAGES_MAX][STAGES_MAX];
  double m[STAGES_MAX], e[STAGES_MAX];
  double dense[2][STAGES_MAX]; // y(w) = y0 + w (y' - y0) + w (1 - w)(c2 + w c3), c2, c3 = sums of these times k_i; all 0: Hermite
  int fresh[STAGES_MAX];      // 1: the stage needs a right-hand side of its own; 0: that of the stage before
  const char *source;
};
extern const struct df_method df_methods[];
extern const int df_method_count;
int df_method_find(const char *name); // row, or -1

#endif
