// Nonlinear least squares: trust region (Levenberg and Marquardt as in GSL) over values turned so
// that they cannot leave their bounds.
#include "studies/fit_work.h"

#include <gsl/gsl_multifit_nlinear.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double no_answer = 1e4;    // deviations: so far off that the step is taken back
enum { ROUNDS = 8, STEPS = 60 };

int df_fit_has_prior(const struct fit_work *work, int j)
{
  const struct df_fit *fit = work->fit;
  return j < fit->key_n ? isfinite(fit->key[j].prior) : isfinite(fit->sensor[j - fit->key_n].prior);
}

double df_fit_size(const struct fit_work *work, int j)
{
  const struct df_fit *fit = work->fit;
  if (j >= fit->key_n) return fit->sensor[j - fit->key_n].prior;
  const struct df_fit_key *key = &fit->key[j];
  return isfinite(key->prior) ? key->prior : fmax(fabs(key->before), 1e-3*(key->high - key->low));
}

double df_fit_moved(const struct fit_work *work, int j)
{
  if (!df_fit_has_prior(work, j)) return 0;
  double before = j < work->fit->key_n ? work->fit->key[j].before : 0;
  return (work->value[j] - before)/df_fit_size(work, j);
}

// ---- many points at once ----
static void sense_of(const struct fit_work *work, const double *value, struct fit_sense *sense)
{
  memset(sense, 0, (size_t)work->model.set_n*sizeof *sense);
  for (int i = 0; i < work->fit->sensor_n; i++) {
    const struct df_fit_sensor *sensor = &work->fit->sensor[i];
    double at = value[work->fit->key_n + i];
    if (sensor->lag) sense[sensor->set].lag = at;
    else sense[sensor->set].offset = at;
  }
}

int df_fit_scenario(struct fit_work *work, const double *value, struct df_scenario *out)
{
  const char *path[DF_FIT_KEYS_MAX];
  double si[DF_FIT_KEYS_MAX];
  int n = work->fit->key_n;
  for (int j = 0; j < n; j++)
    path[j] = work->fit->key[j].path, si[j] = work->scale[j]*value[j] + work->shift[j];
  if (n && df_reading_set_all(work->reading, n, path, si, NULL) != DF_OK) return 0;
  memcpy(out, df_reading_scenario(work->reading), sizeof *out);
  return 1;
}

// work->computed holds the answers, one point after the other.
static int points_run(struct fit_work *work, int n, double (*value)[DF_FIT_ALL_MAX])
{
  const struct df_scenario *scenario[2*DF_FIT_ALL_MAX + 1];
  const struct fit_sense *senses[2*DF_FIT_ALL_MAX + 1];
  double *out[2*DF_FIT_ALL_MAX + 1];
  struct fit_sense (*sense)[DF_FIT_SETS_MAX] = calloc((size_t)n, sizeof *sense);
  if (!sense) return work->status = DF_NO_MEMORY, 0;
  for (int k = 0; k < n; k++) {
    sense_of(work, value[k], sense[k]);
    senses[k] = sense[k], out[k] = work->computed + (size_t)k*(size_t)work->model.n;
    scenario[k] = df_fit_scenario(work, value[k], &work->scenario[k]) ? &work->scenario[k] : NULL;
  }
  enum df_status status = df_fit_predict(&work->model, scenario, senses, n, out);
  free(sense);
  work->fit->evaluations += n;
  if (status) work->status = status;
  return !status;
}

int df_fit_residuals(struct fit_work *work, int weighted, double *r)
{
  double value[1][DF_FIT_ALL_MAX];
  memcpy(value[0], work->value, sizeof value[0]);
  if (!points_run(work, 1, value)) return 0;
  for (int i = 0; i < work->model.n; i++) {
    r[i] = (work->computed[i] - work->measured[i])/work->deviation[i];
    if (weighted) r[i] *= work->weight[i];
    if (!isfinite(r[i])) return 0;
  }
  return 1;
}

static double inside(const struct fit_work *work, int j, double value)
{
  if (j >= work->fit->key_n) return value;
  const struct df_fit_key *key = &work->fit->key[j];
  return fmin(fmax(value, key->low), key->high);
}

int df_fit_slopes(struct fit_work *work, int weighted, double steps, double *slope)
{
  double (*value)[DF_FIT_ALL_MAX] = calloc(2*DF_FIT_ALL_MAX, sizeof *value);
  int n = work->model.n, good = value != NULL, points = 0, at[DF_FIT_ALL_MAX];
  for (int k = 0; good && k < work->all; k++) {
    int j = (k + work->fit->key_n) % work->all; // sensors first: their fork is the one just looked at
    at[j] = points;
    for (int side = -1; side <= 1 && !work->fixed[j]; side += 2) {
      memcpy(value[points], work->value, sizeof value[points]);
      value[points][j] = inside(work, j, value[points][j] + side*steps*work->step[j]);
      points++;
    }
  }
  good = good && points_run(work, points, value);
  for (int j = 0; good && j < work->all; j++) {
    double over = work->fixed[j] ? 1 : (value[at[j] + 1][j] - value[at[j]][j])/df_fit_size(work, j);
    for (int i = 0; i < n; i++) {
      double s = 0;
      if (!work->fixed[j])
        s = (work->computed[(at[j] + 1)*n + i] - work->computed[at[j]*n + i])/
            (over*work->deviation[i]);
      if (weighted) s *= work->weight[i];
      if (!isfinite(s)) good = 0;
      slope[i*work->all + j] = s;
    }
  }
  free(value);
  return good;
}

// ---- bounds ----
static double bounded(const struct df_fit_key *key, double u)
{
  return key->low + (key->high - key->low)/(1 + exp(-u));
}

static double unbounded(const struct df_fit_key *key, double value)
{
  double share = (value - key->low)/(key->high - key->low);
  share = fmin(fmax(share, 1e-6), 1 - 1e-6);
  return log(share/(1 - share));
}

// Free values of work from the solver's vector. Returns how many.
static int take(struct fit_work *work, const gsl_vector *u)
{
  int n = 0;
  for (int j = 0; j < work->all; j++) {
    if (work->fixed[j]) continue;
    double at = gsl_vector_get(u, (size_t)n++);
    work->value[j] = j < work->fit->key_n ? bounded(&work->fit->key[j], at)
                                          : at*df_fit_size(work, j);
  }
  return n;
}

static void give(const struct fit_work *work, gsl_vector *u)
{
  size_t n = 0;
  for (int j = 0; j < work->all; j++)
    if (!work->fixed[j])
      gsl_vector_set(u, n++, j < work->fit->key_n ? unbounded(&work->fit->key[j], work->value[j])
                                                  : work->value[j]/df_fit_size(work, j));
}

static int free_count(const struct fit_work *work)
{
  int n = 0;
  for (int j = 0; j < work->all; j++) n += !work->fixed[j];
  return n;
}

// Derivative of value over size by the solver's variable.
static double stretch(const struct fit_work *work, int j)
{
  if (j >= work->fit->key_n) return 1;
  const struct df_fit_key *key = &work->fit->key[j];
  double share = (work->value[j] - key->low)/(key->high - key->low);
  return (key->high - key->low)*share*(1 - share)/df_fit_size(work, j);
}

static int on_f(const gsl_vector *u, void *params, gsl_vector *f)
{
  struct fit_work *work = params;
  size_t n = (size_t)work->model.n;
  take(work, u);
  if (!df_fit_residuals(work, 1, f->data)) {
    if (work->status) return GSL_EFAILED;
    gsl_vector_set_all(f, no_answer);
    return GSL_SUCCESS;
  }
  size_t row = n;
  for (int j = 0; j < work->all; j++)
    if (!work->fixed[j]) gsl_vector_set(f, row++, df_fit_moved(work, j));
  return GSL_SUCCESS;
}

static int on_df(const gsl_vector *u, void *params, gsl_matrix *jacobian)
{
  struct fit_work *work = params;
  size_t n = (size_t)work->model.n, column = 0;
  double *slope = malloc(n*(size_t)work->all*sizeof *slope);
  take(work, u);
  int good = slope && df_fit_slopes(work, 1, 1, slope);
  gsl_matrix_set_zero(jacobian);
  for (int j = 0; good && j < work->all; j++) {
    if (work->fixed[j]) continue;
    double by = stretch(work, j);
    for (size_t i = 0; i < n; i++)
      gsl_matrix_set(jacobian, i, column, by*slope[i*(size_t)work->all + (size_t)j]);
    if (df_fit_has_prior(work, j)) gsl_matrix_set(jacobian, n + column, column, by);
    column++;
  }
  free(slope);
  return good ? GSL_SUCCESS : GSL_EFAILED;
}

// ---- loss ----
static double loss_of(enum df_loss loss, double r)
{
  double a = fabs(r);
  if (loss == DF_LOSS_HUBER && a > 2) return 2*a - 2;
  if (loss == DF_LOSS_CAUCHY) return 0.5*5.7*log1p(r*r/5.7);
  return 0.5*r*r;
}

static double weight_of(enum df_loss loss, double r)
{
  double a = fabs(r);
  if (loss == DF_LOSS_HUBER) return a > 2 ? 2/a : 1;
  if (loss == DF_LOSS_CAUCHY) return 1/(1 + r*r/5.7);
  return 1;
}

// Of unweighted residuals at work->value.
static double cost_of(const struct fit_work *work, const double *r)
{
  double sum = 0;
  for (int i = 0; i < work->model.n; i++) sum += loss_of(work->loss, r[i]);
  for (int j = 0; j < work->all; j++) sum += 0.5*df_fit_moved(work, j)*df_fit_moved(work, j);
  return sum;
}

double df_fit_cost(struct fit_work *work)
{
  double *r = malloc((size_t)work->model.n*sizeof *r);
  double cost = r && df_fit_residuals(work, 0, r) ? cost_of(work, r) : NAN;
  free(r);
  return cost;
}

// One descent with the weights as they are. 0: failed.
static int descend_once(struct fit_work *work)
{
  size_t n = (size_t)work->model.n, p = (size_t)free_count(work);
  if (!p) return 1;
  gsl_multifit_nlinear_fdf fdf = {.f = on_f, .df = on_df, .n = n + p, .p = p, .params = work};
  gsl_multifit_nlinear_parameters how = gsl_multifit_nlinear_default_parameters();
  how.scale = gsl_multifit_nlinear_scale_more;
  gsl_multifit_nlinear_workspace *room =
      gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &how, n + p, p);
  gsl_vector *u = gsl_vector_alloc(p);
  int good = room && u, info;
  if (good) {
    give(work, u);
    good = !gsl_multifit_nlinear_init(u, &fdf, room);
  }
  if (good) {
    double near = df_fit_rides(&work->model) ? 1e-4 : 1e-6; // rides and strokes are not smoother
    gsl_multifit_nlinear_driver(STEPS, near, near*near, 1e-9, NULL, NULL, &info, room);
    work->fit->iterations += (int)gsl_multifit_nlinear_niter(room);
    take(work, gsl_multifit_nlinear_position(room));
  }
  gsl_vector_free(u);
  gsl_multifit_nlinear_free(room);
  return good && !work->status;
}

double df_fit_descend(struct fit_work *work)
{
  int n = work->model.n;
  double *r = malloc((size_t)n*sizeof *r), cost = NAN;
  int good = r && df_fit_residuals(work, 0, r);
  for (int round = 0; good && round < ROUNDS; round++) {
    for (int i = 0; i < n; i++) work->weight[i] = sqrt(weight_of(work->loss, r[i]));
    good = descend_once(work) && df_fit_residuals(work, 0, r);
    double now = good ? cost_of(work, r) : NAN;
    int done = work->loss == DF_LOSS_SQUARES || fabs(now - cost) < 1e-6*(1 + fabs(now));
    cost = now;
    if (done) break;
  }
  free(r);
  return good ? cost : NAN;
}
