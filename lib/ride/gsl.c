// GSL's implicit methods over the same right-hand side: the reference, and an alternative to choose.
#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>
#include <math.h>
#include <string.h>

#include "ride/plan.h"

struct gsl_system { struct ride_job *job; const struct df_kernel *kernel; int n; int place[JOB_STATES]; };

// Only states that this ride has: those of absent chambers would be rows of zeros.
static void choose_states(struct gsl_system *s)
{
  const struct front_kind *kind = &s->job->kind;
  for (int i = 0; i < U_LEGS; i++) s->place[s->n++] = i;
  for (int side = 0; side < kind->legs; side++) {
    const struct leg_kind *leg = &kind->leg[side];
    int base = U_LEGS + side*JOB_STRIDE;
    if (leg->linear) continue;
    s->place[s->n++] = base + B_L, s->place[s->n++] = base + B_A;
    if (leg->valved) s->place[s->n++] = base + B_R;
    if (leg->thermal) s->place[s->n++] = base + B_THETA;
    if (leg->valved && leg->inertia) s->place[s->n++] = base + B_Y, s->place[s->n++] = base + B_W;
    s->place[s->n++] = base + BLOCK_FULL;
  }
}

static void spread(const struct gsl_system *s, const double y[], double *u)
{
  memcpy(u, s->job->u, JOB_STATES*sizeof *u);
  for (int i = 0; i < s->n; i++) u[s->place[i]] = y[i];
}

static int finite_all(const double *y, int n)
{
  for (int i = 0; i < n; i++) if (!isfinite(y[i])) return 0;
  return 1;
}

static int rates(double t, const double y[], double f[], void *data)
{
  struct gsl_system *s = data;
  double u[JOB_STATES], du[JOB_STATES];
  if (!finite_all(y, s->n)) return GSL_EBADFUNC;
  spread(s, y, u);
  s->kernel->rates(s->job, t, u, du, NULL, NULL);
  for (int i = 0; i < s->n; i++) f[i] = du[s->place[i]];
  s->job->effort.right_hand_sides++;
  return finite_all(f, s->n) ? GSL_SUCCESS : GSL_EBADFUNC;
}

static int slopes(double t, const double y[], double *dfdy, double dfdt[], void *data)
{
  struct gsl_system *s = data;
  double u[JOB_STATES], du[JOB_STATES], jacobian[JOB_STATES*JOB_STATES], by_time[JOB_STATES];
  spread(s, y, u);
  s->kernel->rates(s->job, t, u, du, jacobian, by_time);
  for (int i = 0; i < s->n; i++) {
    for (int j = 0; j < s->n; j++) dfdy[i*s->n + j] = jacobian[s->place[i]*JOB_STATES + s->place[j]];
    dfdt[i] = by_time[s->place[i]];
  }
  s->job->effort.jacobians++;
  return GSL_SUCCESS;
}

static void store(struct gsl_system *s, double t, const double *y)
{
  struct ride_job *job = s->job;
  if (job->node_n == NODES_KEPT) s->kernel->flush(job);
  double *node = job->nodes + job->node_n++*NODE_SIZE;
  spread(s, y, node + NODE_U);
  s->kernel->rates(job, t, node + NODE_U, node + NODE_F, NULL, NULL);
  node[NODE_T] = t, node[NODE_ACCELERATION] = node[NODE_F + U_S], node[NODE_ALONG] = node[NODE_F + U_V];
  for (int side = 0; side < DF_SIDES; side++) node[NODE_OIL + side] = job->oil[side];
}

static enum df_status check(const struct ride_job *job, const double *u)
{
  if (!isfinite(u[U_X])) return DF_NOT_FINITE;
  if (job->stop && *job->stop) return DF_INTERRUPTED;
  if (!job->kind.leg[0].linear && (u[U_X] < -5e-3 || u[U_X] > job->leg[0]->c.travel + 10e-3)) return DF_TRAVEL_RANGE;
  return DF_OK;
}

// Time of the next kink: break of the manoeuvre, or of the road by the speed at hand; history must not span one.
static double next_stop(struct ride_job *job, double t, const double *u)
{
  double stop = job->end;
  while (job->break_at < job->break_n && job->breaks[job->break_at] <= t + 1e-9) job->break_at++;
  if (job->break_at < job->break_n) stop = fmin(stop, job->breaks[job->break_at]);
  (void)u;
  return stop;
}

static void begin(struct ride_job *job)
{
  job->status = DF_OK, job->failed_at = NAN, job->node_n = job->sample_done = job->feature_at = job->break_at = 0;
  job->bottoming_speed = job->topping_speed = 0;
  for (int p = 0; p < DF_PEAKS; p++) job->peak[p] = (struct df_extreme){ -INFINITY, INFINITY, NAN, NAN };
  memset(job->energy, 0, sizeof job->energy);
  job->effort = (struct df_effort){ 0, 0, 0, 0, INFINITY, 0 };
}

void df_gsl_run(struct ride_job *job, const struct df_kernel *kernel)
{
  struct gsl_system s = { job, kernel, 0, { 0 } };
  begin(job);
  choose_states(&s);
  gsl_odeiv2_system system = { rates, slopes, (size_t)s.n, &s };
  static const double motion[U_LEGS] = { 0.02, 0.5, 0.02, 0.5 };
  double scale[JOB_STATES], y[JOB_STATES], t = 0;
  for (int i = 0; i < s.n; i++) {
    int j = s.place[i] < U_LEGS ? -1 : (s.place[i] - U_LEGS)%JOB_STRIDE;
    scale[i] = j < 0 ? motion[i] : j < B_THETA ? 1e-6 : j == B_Y ? 1e-3 : 1;
    y[i] = job->u[s.place[i]];
  }
  const gsl_odeiv2_step_type *type = strcmp(job->method->name, "bsimp") ? gsl_odeiv2_step_msbdf : gsl_odeiv2_step_bsimp;
  gsl_odeiv2_driver *driver = gsl_odeiv2_driver_alloc_scaled_new(&system, type, 1e-6, job->tolerance, 0, 0, 0, scale);
  if (!driver) { job->status = DF_NO_MEMORY; return; }
  store(&s, 0, y);
  double u[JOB_STATES], h = 1e-5;
  while (t < job->end && job->status == DF_OK) {
    spread(&s, y, u);
    double stop = next_stop(job, t, u), before = t, most = 2e-3;      // s: a step may not leap over an obstacle
    if (h > most) h = most;
    int code = gsl_odeiv2_evolve_apply(driver->e, driver->c, driver->s, &system, &t, stop, &h, y);
    if (code != GSL_SUCCESS) { job->status = DF_STEP_TOO_SMALL; break; }
    double taken = t - before;
    job->effort.steps++;
    if (taken < job->effort.step_least) job->effort.step_least = taken;
    if (taken > job->effort.step_most) job->effort.step_most = taken;
    if (job->effort.steps > job->most_steps*10) job->status = DF_TOO_MANY_STEPS;
    store(&s, t, y);
    spread(&s, y, u);
    enum df_status now = check(job, u);
    if (now != DF_OK) job->status = now;
    if (t >= stop) gsl_odeiv2_driver_reset(driver);
  }
  job->effort.rejected = (long)driver->e->failed_steps;
  gsl_odeiv2_driver_free(driver);
  if (job->status != DF_OK) job->failed_at = t;
  spread(&s, y, job->u);
  kernel->flush(job);
}
