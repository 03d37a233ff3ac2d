// What the data tell: deviations, correlations, shares, values that are seen only together, and
// whether each value is worth learning.
#include "studies/fit_work.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_eigen.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double narrow = 0.7;       // 1: the data halve the variance of what was known before
static const double mixed = 0.25;       // 1: a part of a direction that counts

// Normal matrix of rows from..to with priors on its diagonal.
static void normal_matrix(const struct fit_work *work, const double *slope, int from, int to,
                          int priors, gsl_matrix *out)
{
  int p = work->all;
  for (int a = 0; a < p; a++)
    for (int b = 0; b < p; b++) {
      double sum = a == b && priors && df_fit_has_prior(work, a) ? 1 : 0;
      for (int i = from; i < to; i++) sum += slope[i*p + a]*slope[i*p + b];
      if (a == b && work->fixed[a]) sum = 1e12; // known exactly
      gsl_matrix_set(out, (size_t)a, (size_t)b, sum);
    }
}

// Invert in place; a direction that nothing is known of is held as if it were 1e5 sizes wide.
static int invert(gsl_matrix *m)
{
  for (size_t a = 0; a < m->size1; a++) *gsl_matrix_ptr(m, a, a) += 1e-10;
  return !gsl_linalg_cholesky_decomp1(m) && !gsl_linalg_cholesky_invert(m);
}

int df_fit_covariance(const struct fit_work *work, const double *slope, double *covariance)
{
  gsl_matrix_view view = gsl_matrix_view_array(covariance, (size_t)work->all, (size_t)work->all);
  normal_matrix(work, slope, 0, work->model.n, 1, &view.matrix);
  return invert(&view.matrix);
}

double df_fit_cross(const struct fit_work *work, const double *slope, const double *r,
                    const double *covariance)
{
  double sum = 0;
  int p = work->all;
  for (int i = 0; i < work->model.n; i++) {
    double leverage = 0;
    for (int a = 0; a < p; a++)
      for (int b = 0; b < p; b++)
        leverage += slope[i*p + a]*covariance[a*p + b]*slope[i*p + b];
    double out = r[i]/fmax(1 - leverage, 1e-3);
    sum += out*out;
  }
  return sqrt(sum/work->model.n);
}

// ---- model choice ----
struct choice { double aic, cross; };
// At work->value; slope: the answer's, where rides are too slow for new ones, else NULL.
static struct choice choice_of(struct fit_work *work, const double *slope)
{
  struct choice out = {NAN, NAN};
  int n = work->model.n, p = work->all, k = 0;
  double *r = malloc((size_t)n*sizeof *r), *own = slope ? NULL : malloc((size_t)(n*p)*sizeof *own);
  double *covariance = malloc((size_t)(p*p)*sizeof *covariance);
  for (int j = 0; j < p; j++) k += !work->fixed[j];
  int good = r && covariance && df_fit_residuals(work, 1, r);
  if (good && !slope) good = own && df_fit_slopes(work, 1, 1, own);
  if (!slope) slope = own;
  if (good && df_fit_covariance(work, slope, covariance)) {
    double sum = 0;
    for (int i = 0; i < n; i++) sum += r[i]*r[i];
    out.aic = sum + 2*k + (n > k + 1 ? 2.0*k*(k + 1)/(n - k - 1) : 0);
    out.cross = df_fit_cross(work, slope, r, covariance);
  }
  free(r);
  free(own);
  free(covariance);
  return out;
}

// Right side of the normal equations: rows from..to and what was known before.
static void pull(const struct fit_work *work, const double *slope, const double *r, int from, int to,
                 double *out)
{
  int p = work->all;
  for (int a = 0; a < p; a++) {
    out[a] = -df_fit_moved(work, a);
    for (int i = from; i < to; i++) out[a] -= slope[i*p + a]*r[i];
  }
}

// Where strokes or rides are slow: one Gauss-Newton step of the other values from the answer, by its
// own slopes, as the value goes to where it is held.
static int step_to(struct fit_work *work, int j, double held, const double *slope, const double *r)
{
  size_t p = (size_t)work->all, at = (size_t)j;
  double by = (held - work->value[j])/df_fit_size(work, j);
  gsl_matrix *m = gsl_matrix_alloc(p, p);
  double *right = calloc(p, sizeof *right);
  int good = m && right;
  if (good) {
    normal_matrix(work, slope, 0, work->model.n, 1, m);
    pull(work, slope, r, 0, work->model.n, right);
    for (size_t a = 0; a < p; a++) right[a] -= gsl_matrix_get(m, a, at)*by;
    right[j] = 0;
    good = invert(m);
  }
  for (size_t a = 0; good && a < p; a++) {
    double to = work->value[a];
    for (size_t b = 0; b < p; b++) to += df_fit_size(work, (int)a)*gsl_matrix_get(m, a, b)*right[b];
    work->value[a] = (int)a < work->fit->key_n ? fmin(fmax(to, work->fit->key[a].low),
                                                      work->fit->key[a].high) : to;
  }
  work->value[j] = held;
  free(right);
  gsl_matrix_free(m);
  return good;
}

// The best model with one value held.
static struct choice without(struct fit_work *work, int j, double held, const double *slope,
                             const double *r)
{
  double kept[DF_FIT_ALL_MAX];
  size_t size = (size_t)work->model.n*sizeof *work->weight;
  struct choice out = {NAN, NAN};
  int near = df_fit_rides(&work->model);
  double *weight = malloc(size);
  if (!weight) return out;
  memcpy(weight, work->weight, size);
  memcpy(kept, work->value, sizeof kept);
  work->fixed[j] = 1;
  if (!near) work->value[j] = held;
  int good = near ? step_to(work, j, held, slope, r) : isfinite(df_fit_descend(work));
  memcpy(work->weight, weight, size); // the same rows count
  if (good) out = choice_of(work, near ? slope : NULL);
  work->fixed[j] = 0;
  memcpy(work->value, kept, sizeof kept);
  free(weight);
  return out;
}

static void choose(struct fit_work *work, const double *slope, const double *r)
{
  struct df_fit *fit = work->fit;
  struct choice all = choice_of(work, slope);
  fit->aic = all.aic, fit->cross = all.cross;
  for (int j = 0; j < fit->key_n; j++) {
    struct df_fit_key *key = &fit->key[j];
    struct choice left = without(work, j, key->before, slope, r), none = {NAN, NAN};
    if (key->low <= 0 && key->high >= 0 && work->shift[j] == 0) none = without(work, j, 0, slope, r);
    key->aic_left = left.aic - all.aic, key->cross_left = left.cross/all.cross;
    key->aic_none = none.aic - all.aic, key->cross_none = none.cross/all.cross;
  }
}

// ---- values ----
static double quantile(const struct fit_work *work)
{
  int estimated = 0, rows = work->model.n - work->all;
  for (int k = 0; k < work->fit->set_n; k++) estimated |= work->fit->set[k].estimated;
  return estimated ? gsl_cdf_tdist_Pinv(0.975, fmax(rows, 1)) : gsl_cdf_ugaussian_Pinv(0.975);
}

static void value_tell(struct fit_work *work, int j, const double *slope, const double *covariance)
{
  struct df_fit_key *key = &work->fit->key[j];
  int p = work->all;
  double size = df_fit_size(work, j), sum = df_fit_has_prior(work, j) ? 1 : 0;
  double off = size*sqrt(covariance[j*p + j]), q = quantile(work);
  for (int i = 0; i < work->model.n; i++) sum += slope[i*p + j]*slope[i*p + j];
  key->learned = work->value[j], key->deviation = off;
  key->low_95 = fmax(key->learned - q*off, key->low);
  key->high_95 = fmin(key->learned + q*off, key->high);
  key->narrowed = off/size, key->alone = sum > 0 ? size/sqrt(sum) : INFINITY;
  double edge = 1e-3*(key->high - key->low);
  edge = fmin(edge, 0.2*off);
  int at_bound = key->learned < key->low + edge || key->learned > key->high - edge;
  key->status = key->narrowed > narrow ? DF_FIT_NOT_LEARNED
                : at_bound             ? DF_FIT_AT_BOUND
                                       : DF_FIT_LEARNED;
}

static void shares_tell(struct fit_work *work, const double *slope)
{
  int p = work->all;
  for (int j = 0; j < work->fit->key_n; j++) {
    double all = 0, part[DF_FIT_SETS_MAX] = {0};
    for (int k = 0; k < work->model.set_n; k++) {
      const struct fit_set *set = &work->model.set[k];
      for (int i = set->first; i < set->first + set->n; i++)
        part[k] += slope[i*p + j]*slope[i*p + j];
      all += part[k];
    }
    for (int k = 0; k < work->model.set_n; k++)
      work->fit->key[j].share[k] = all > 0 ? part[k]/all : 0;
  }
}

// One Gauss-Newton step from the answer with the rows of one set and what was known before.
static void set_tell(struct fit_work *work, int k, const double *slope, const double *r)
{
  const struct fit_set *set = &work->model.set[k];
  size_t p = (size_t)work->all;
  gsl_matrix *m = gsl_matrix_alloc(p, p);
  double *right = calloc(p, sizeof *right);
  if (m && right) {
    normal_matrix(work, slope, set->first, set->first + set->n, 1, m);
    pull(work, slope, r, set->first, set->first + set->n, right);
    int good = invert(m);
    for (size_t a = 0; good && a < (size_t)work->fit->key_n; a++) {
      struct df_fit_key *key = &work->fit->key[a];
      double by = 0, size = df_fit_size(work, (int)a);
      for (size_t b = 0; b < p; b++) by += gsl_matrix_get(m, a, b)*right[b];
      key->by_set[k] = fmin(fmax(key->learned + size*by, key->low), key->high);
      key->by_set_deviation[k] = size*sqrt(gsl_matrix_get(m, a, a));
    }
  }
  free(right);
  gsl_matrix_free(m);
}

// ---- values seen only together ----
// Information of the data on the keys, what the sensors leave unknown taken out.
static int information(const struct fit_work *work, const double *slope, gsl_matrix *out)
{
  size_t p = (size_t)work->all, keys = (size_t)work->fit->key_n, extra = p - keys;
  gsl_matrix *m = gsl_matrix_alloc(p, p);
  int good = m != NULL;
  if (good) {
    normal_matrix(work, slope, 0, work->model.n, 0, m);
    for (size_t a = 0; a < keys; a++)
      for (size_t b = 0; b < keys; b++) gsl_matrix_set(out, a, b, gsl_matrix_get(m, a, b));
  }
  if (good && extra) {
    gsl_matrix *s = gsl_matrix_alloc(extra, extra);
    if ((good = s != NULL)) {
      for (size_t a = 0; a < extra; a++)
        for (size_t b = 0; b < extra; b++)
          gsl_matrix_set(s, a, b, gsl_matrix_get(m, keys + a, keys + b) + (a == b));
      good = invert(s);
    }
    for (size_t a = 0; good && a < keys; a++)
      for (size_t b = 0; b < keys; b++)
        for (size_t c = 0; c < extra; c++)
          for (size_t d = 0; d < extra; d++)
            *gsl_matrix_ptr(out, a, b) -= gsl_matrix_get(m, a, keys + c)*gsl_matrix_get(s, c, d)*
                                          gsl_matrix_get(m, keys + d, b);
    gsl_matrix_free(s);
  }
  gsl_matrix_free(m);
  return good;
}

static void pair_add(struct fit_work *work, const int *seen, int n, const gsl_vector *v)
{
  struct df_fit *fit = work->fit;
  struct df_fit_pair *pair = &fit->pair[fit->pair_n];
  double direction[DF_FIT_KEYS_MAX] = {0};
  *pair = (struct df_fit_pair){0};
  for (int a = 0; a < n; a++) {
    double part = gsl_vector_get(v, (size_t)a);
    direction[seen[a]] = part;
    if (fabs(part) < mixed) continue;
    pair->key[pair->n] = seen[a], pair->weight[pair->n++] = part;
  }
  int open = 0; // what was known before may have told them apart
  for (int i = 0; i < pair->n; i++)
    open |= fit->key[pair->key[i]].status == DF_FIT_NOT_LEARNED;
  if (pair->n < 2 || !open) return;
  for (int i = 0; i < fit->pair_n; i++) // once said of the same values is enough
    if (fit->pair[i].n == pair->n && !memcmp(fit->pair[i].key, pair->key, sizeof pair->key)) return;
  df_fit_next(work, direction, pair->next, sizeof pair->next);
  fit->pair_n++;
}

// Among the values that the data would show one by one: directions of which they tell less than
// was known before.
static void pairs_tell(struct fit_work *work, const double *slope)
{
  size_t keys = (size_t)work->fit->key_n;
  gsl_matrix *all = gsl_matrix_alloc(keys, keys);
  int seen[DF_FIT_KEYS_MAX], n = 0;
  if (!all || !information(work, slope, all)) {
    gsl_matrix_free(all);
    return;
  }
  for (size_t j = 0; j < keys; j++)
    if (gsl_matrix_get(all, j, j) > 1) seen[n++] = (int)j;
  gsl_matrix *m = n > 1 ? gsl_matrix_alloc((size_t)n, (size_t)n) : NULL;
  gsl_matrix *vectors = n > 1 ? gsl_matrix_alloc((size_t)n, (size_t)n) : NULL;
  gsl_vector *values = n > 1 ? gsl_vector_alloc((size_t)n) : NULL;
  gsl_eigen_symmv_workspace *room = n > 1 ? gsl_eigen_symmv_alloc((size_t)n) : NULL;
  if (m && vectors && values && room) {
    for (int a = 0; a < n; a++)
      for (int b = 0; b < n; b++)
        gsl_matrix_set(m, (size_t)a, (size_t)b,
                       gsl_matrix_get(all, (size_t)seen[a], (size_t)seen[b]));
    if (!gsl_eigen_symmv(m, values, vectors, room))
      for (int k = 0; k < n; k++) {
        gsl_vector_view v = gsl_matrix_column(vectors, (size_t)k);
        if (gsl_vector_get(values, (size_t)k) < 1) pair_add(work, seen, n, &v.vector);
      }
  }
  if (room) gsl_eigen_symmv_free(room);
  gsl_vector_free(values);
  gsl_matrix_free(vectors);
  gsl_matrix_free(m);
  gsl_matrix_free(all);
}

// ---- all of it ----
static void jacobian_check(struct fit_work *work, const double *slope)
{
  int n = work->model.n, p = work->all;
  double *wide = malloc((size_t)(n*p)*sizeof *wide);
  work->fit->jacobian_error = NAN;
  if (wide && df_fit_slopes(work, 1, 2, wide)) {
    double worst = 0;
    for (int j = 0; j < p; j++) {
      double size = 0, off = 0;
      for (int i = 0; i < n; i++) {
        double d = wide[i*p + j] - slope[i*p + j];
        size += slope[i*p + j]*slope[i*p + j], off += d*d;
      }
      if (size > 1e-2) worst = fmax(worst, sqrt(off/size)); // slopes that matter at all
    }
    work->fit->jacobian_error = worst;
  }
  free(wide);
}

static void correlations(struct fit_work *work, const double *covariance)
{
  int p = work->all;
  for (int a = 0; a < work->fit->key_n; a++)
    for (int b = 0; b < work->fit->key_n; b++)
      work->fit->correlation[a][b] =
          covariance[a*p + b]/sqrt(covariance[a*p + a]*covariance[b*p + b]);
}

static void next_tell(struct fit_work *work)
{
  for (int j = 0; j < work->fit->key_n; j++) {
    struct df_fit_key *key = &work->fit->key[j];
    double direction[DF_FIT_KEYS_MAX] = {0};
    direction[j] = 1;
    if (key->status == DF_FIT_NOT_LEARNED) df_fit_next(work, direction, key->next, sizeof key->next);
  }
}

enum df_status df_fit_tell(struct fit_work *work)
{
  struct df_fit *fit = work->fit;
  int n = work->model.n, p = work->all;
  double *slope = malloc((size_t)(n*p)*sizeof *slope), *r = malloc((size_t)n*sizeof *r);
  double *covariance = malloc((size_t)(p*p)*sizeof *covariance);
  enum df_status status = slope && r && covariance ? DF_OK : DF_NO_MEMORY;
  if (!status && !(df_fit_residuals(work, 1, r) && df_fit_slopes(work, 1, 1, slope) &&
                   df_fit_covariance(work, slope, covariance)))
    status = work->status ? work->status : DF_NO_SOLUTION;
  if (!status) {
    for (int j = 0; j < fit->key_n; j++) value_tell(work, j, slope, covariance);
    for (int j = fit->key_n; j < p; j++) {
      fit->sensor[j - fit->key_n].value = work->value[j];
      fit->sensor[j - fit->key_n].deviation = df_fit_size(work, j)*sqrt(covariance[j*p + j]);
    }
    correlations(work, covariance);
    shares_tell(work, slope);
    for (int k = 0; k < work->model.set_n; k++) set_tell(work, k, slope, r);
    jacobian_check(work, slope);
    fit->pair_n = 0;
    pairs_tell(work, slope);
    if (!work->brief) next_tell(work), choose(work, slope, r);
  }
  free(slope);
  free(r);
  free(covariance);
  return status;
}
