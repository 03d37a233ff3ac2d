// GSL's implicit methods over the same right-hand side: the reference, and an alternative to choose.
#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "ride/plan.h"

struct gsl_system { struct ride_job *job; const struct df_kernel *kernel; struct df_rater *rater; int n; };

static void spread(const struct gsl_system *s, const double y[], double *u)
{
  memcpy(u, s->job->u, JOB_STATES*sizeof *u);
  for (int i = 0; i < s->n; i++) u[s->kernel->rater_place(s->rater, i)] = y[i];
}

static int finite_all(const double *y, int n)
{
  for (int i = 0; i < n; i++) if (!isfinite(y[i])) return 0;
  return 1;
}

static int rates(double t, const double y[], double f[], void *data)
{
  struct gsl_system *s = data;
  if (!finite_all(y, s->n)) return GSL_EBADFUNC;
  s->kernel->rater_rates(s->rater, t, y, f, NULL, NULL);
  s->job->effort.right_hand_sides++;
  return finite_all(f, s->n) ? GSL_SUCCESS : GSL_EBADFUNC;
}

static int slopes(double t, const double y[], double *dfdy, double dfdt[], void *data)
{
  struct gsl_system *s = data;
  double f[JOB_STATES];
  s->kernel->rater_rates(s->rater, t, y, f, dfdy, dfdt);
  s->job->effort.jacobians++;
  return GSL_SUCCESS;
}

static void store(struct gsl_system *s, double t, const double *y)
{
  struct ride_job *job = s->job;
  double f[JOB_STATES];
  if (job->node_n == NODES_KEPT) s->kernel->flush(job);
  double *node = job->nodes + job->node_n++*job->node_size;
  spread(s, y, node + NODE_U);
  memset(node + NODE_F, 0, JOB_STATES*sizeof *node);
  s->kernel->rater_rates(s->rater, t, y, f, NULL, NULL);
  for (int i = 0; i < s->n; i++) node[NODE_F + s->kernel->rater_place(s->rater, i)] = f[i];
  node[NODE_T] = t, node[NODE_ACCELERATION] = f[U_S], node[NODE_ALONG] = f[U_V];
  for (int side = 0; side < DF_SIDES; side++) node[NODE_OIL + side] = job->oil[side];
}

static enum df_status check(const struct ride_job *job, const double *u)
{
  if (!isfinite(u[U_X])) return DF_NOT_FINITE;
  if (job->stop && *job->stop) return DF_INTERRUPTED;
  if (!job->kind.leg[0].linear && (u[U_X] < -5e-3 || u[U_X] > job->leg[0]->c.travel + 10e-3)) return DF_TRAVEL_RANGE;
  return DF_OK;
}

// Time of the next break of the manoeuvre: the history of a multistep method must not span one.
static double next_stop(struct ride_job *job, double t)
{
  double stop = job->end;
  while (job->break_at < job->break_n && job->breaks[job->break_at] <= t + 1e-9) job->break_at++;
  if (job->break_at < job->break_n) stop = fmin(stop, job->breaks[job->break_at]);
  return stop;
}

static void begin(struct ride_job *job)
{
  job->node_size = NODE_SIZE, job->full_nodes = 1;
  job->status = DF_OK, job->failed_at = NAN, job->node_n = job->sample_done = job->feature_at = job->break_at = 0;
  job->bottoming_speed = job->topping_speed = 0;
  for (int p = 0; p < DF_PEAKS; p++) job->peak[p] = (struct df_extreme){ -INFINITY, INFINITY, NAN, NAN };
  memset(job->energy, 0, sizeof job->energy);
  job->effort = (struct df_effort){ 0, 0, 0, 0, INFINITY, 0 };
}

static void scales(const struct gsl_system *s, double *scale)
{
  static const double motion[U_LEGS] = { 0.02, 0.5, 0.02, 0.5 };       // m, m/s, m, m/s
  for (int i = 0; i < s->n; i++) {
    int place = s->kernel->rater_place(s->rater, i), j = place < U_LEGS ? -1 : (place - U_LEGS)%JOB_STRIDE;
    scale[i] = j < 0 ? motion[i] : j < B_THETA ? 1e-6 : j == B_Y ? 1e-3 : 1;
  }
}

static void step_done(struct ride_job *job, double taken)
{
  job->effort.steps++;
  if (taken < job->effort.step_least) job->effort.step_least = taken;
  if (taken > job->effort.step_most) job->effort.step_most = taken;
  if (job->effort.steps > job->most_steps*10) job->status = DF_TOO_MANY_STEPS;
}

static void evolve(struct gsl_system *s, gsl_odeiv2_system *system, gsl_odeiv2_driver *driver, double most, double *y)
{
  struct ride_job *job = s->job;
  double t = 0, h = 1e-5, u[JOB_STATES];
  store(s, 0, y);
  while (t < job->end && job->status == DF_OK) {
    double stop = next_stop(job, t), before = t;
    if (h > most) h = most;
    int code = gsl_odeiv2_evolve_apply(driver->e, driver->c, driver->s, system, &t, stop, &h, y);
    if (code != GSL_SUCCESS) { job->status = DF_STEP_TOO_SMALL; break; }
    step_done(job, t - before);
    store(s, t, y);
    spread(s, y, u);
    enum df_status now = check(job, u);
    if (now != DF_OK) job->status = now;
    if (t >= stop) gsl_odeiv2_driver_reset(driver);
  }
  job->effort.rejected = (long)driver->e->failed_steps;
  if (job->status != DF_OK) job->failed_at = t;
}

// A step may not leap over an obstacle, nor may dense output between its ends: the extrapolation's steps are long.
static const double longest_step = 2e-3, longest_extrapolation = 5e-4;    // s

void df_gsl_run(struct ride_job *job, const struct df_kernel *kernel)
{
  struct gsl_system s = { job, kernel, aligned_alloc(64, (kernel->rater_size() + 63)/64*64), 0 };
  double y[JOB_STATES], scale[JOB_STATES];
  begin(job);
  if (!s.rater) { job->status = DF_NO_MEMORY; return; }
  s.n = kernel->rater_init(s.rater, job, y);
  scales(&s, scale);
  gsl_odeiv2_system system = { rates, slopes, (size_t)s.n, &s };
  int extrapolates = !strcmp(job->method->name, "bsimp");
  const gsl_odeiv2_step_type *type = extrapolates ? gsl_odeiv2_step_bsimp : gsl_odeiv2_step_msbdf;
  gsl_odeiv2_driver *driver = gsl_odeiv2_driver_alloc_scaled_new(&system, type, 1e-6, job->tolerance, 0, 0, 0, scale);
  if (driver) {
    evolve(&s, &system, driver, extrapolates ? longest_extrapolation : longest_step, y);
    gsl_odeiv2_driver_free(driver);
    spread(&s, y, job->u);
    kernel->flush(job);
  } else {
    job->status = DF_NO_MEMORY;
  }
  free(s.rater);
}
