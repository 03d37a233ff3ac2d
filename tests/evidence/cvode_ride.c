// A ride by SUNDIALS CVODE: backward differences, dense linear algebra, one internal step at a time.
#include "cvode_ride.h"

#include <cvode/cvode.h>
#include <math.h>
#include <nvector/nvector_serial.h>
#include <stdlib.h>
#include <string.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>
#include <time.h>

struct system { const struct df_kernel *kernel; struct df_rater *rater; int n; long calls; double tolerance, scale[JOB_STATES]; int motion; };

static int rates(realtype t, N_Vector y, N_Vector dy, void *data)
{
  struct system *s = data;
  s->calls++;
  s->kernel->rater_rates(s->rater, t, NV_DATA_S(y), NV_DATA_S(dy), NULL, NULL);
  return 0;
}

static int jacobian(realtype t, N_Vector y, N_Vector fy, SUNMatrix matrix, void *data, N_Vector a, N_Vector b, N_Vector c)
{
  struct system *s = data;
  double dy[JOB_STATES], dense[JOB_STATES*JOB_STATES], by_time[JOB_STATES];
  (void)fy, (void)a, (void)b, (void)c;
  s->kernel->rater_rates(s->rater, t, NV_DATA_S(y), dy, dense, by_time);
  for (int j = 0; j < s->n; j++)
    for (int i = 0; i < s->n; i++) SM_ELEMENT_D(matrix, i, j) = dense[i*s->n + j];
  return 0;
}

static int weights(N_Vector y, N_Vector w, void *data)
{
  const struct system *s = data;
  for (int i = 0; i < s->n; i++) {
    double allowed = s->scale[i] + (i < U_LEGS ? fabs(NV_Ith_S(y, i)) : 0);
    NV_Ith_S(w, i) = 1/(s->tolerance*allowed);
  }
  return 0;
}

static void set_scales(struct system *s)
{
  static const double motion[U_LEGS] = { 0.02, 0.5, 0.02, 0.5 }, block[BLOCK_FULL + 1] = { 1e-6, 1e-6, 1e-6, 1, 1e-3, 1, 1 };
  for (int i = 0; i < s->n; i++) {
    int place = s->kernel->rater_place(s->rater, i);
    s->scale[i] = place < U_LEGS ? motion[place] : block[(place - U_LEGS)%JOB_STRIDE];
  }
}

// States at the ends of steps, kept so that the peak is read off the right-hand side after the clock has stopped.
struct seen { double *t, *y; long n, room; };

static void see(struct seen *seen, double t, N_Vector y, int n)
{
  if (seen->n == seen->room) {
    seen->room = seen->room ? 2*seen->room : 4096;
    seen->t = realloc(seen->t, (size_t)seen->room*sizeof *seen->t);
    seen->y = realloc(seen->y, (size_t)(seen->room*n)*sizeof *seen->y);
  }
  seen->t[seen->n] = t;
  memcpy(seen->y + seen->n++*n, NV_DATA_S(y), (size_t)n*sizeof(double));
}

static double peak_of(const struct seen *seen, const struct system *s, const struct ride_job *job)
{
  double peak = -INFINITY, dy[JOB_STATES];
  for (long i = 0; i < seen->n; i++) {
    if (seen->t[i] < job->window_start || seen->t[i] > job->window_end) continue;
    s->kernel->rater_rates(s->rater, seen->t[i], seen->y + i*s->n, dy, NULL, NULL);
    peak = fmax(peak, dy[U_S]);
  }
  return peak;
}

static int march(void *cvode, const struct ride_job *job, const struct cvode_options *o, double step, int n, double *travel, struct seen *seen,
                 int states, N_Vector y, N_Vector work)
{
  int done = 0, stop = 0, flag = CV_SUCCESS;
  double t = 0;
  travel[done++] = NV_Ith_S(y, U_X);
  while (done < n) {
    while (stop < o->stop_n && o->stop[stop] <= t + 1e-9) stop++;
    CVodeSetStopTime(cvode, stop < o->stop_n && o->stop[stop] < job->end ? o->stop[stop] : job->end);
    flag = CVode(cvode, job->end, y, &t, CV_ONE_STEP);
    if (flag < 0) return flag;
    while (done < n && done*step <= t + 1e-12) {
      if (CVodeGetDky(cvode, fmin(done*step, t), 0, work) != CV_SUCCESS) return -1;
      travel[done++] = NV_Ith_S(work, U_X);
    }
    see(seen, t, y, states);
    if (t >= job->end - 1e-12) break;
  }
  while (done < n) travel[done++] = NV_Ith_S(y, U_X);
  return 0;
}

int cvode_ride(const struct ride_job *job, const struct df_kernel *kernel, const struct cvode_options *o, double step, int n,
               double *travel, struct cvode_result *result)
{
  struct system s = { .kernel = kernel, .rater = aligned_alloc(64, (kernel->rater_size() + 63)/64*64), .tolerance = o->tolerance };
  double start[JOB_STATES];
  SUNContext context;
  if (!s.rater || SUNContext_Create(NULL, &context) != 0) { free(s.rater); return -1; }
  s.n = kernel->rater_init(s.rater, job, start);
  set_scales(&s);
  N_Vector y = N_VNew_Serial(s.n, context), work = N_VNew_Serial(s.n, context);
  for (int i = 0; i < s.n; i++) NV_Ith_S(y, i) = start[i];
  SUNMatrix matrix = SUNDenseMatrix(s.n, s.n, context);
  SUNLinearSolver solver = SUNLinSol_Dense(y, matrix, context);
  void *cvode = CVodeCreate(CV_BDF, context);
  CVodeInit(cvode, rates, 0, y);
  CVodeWFtolerances(cvode, weights);
  CVodeSetUserData(cvode, &s);
  CVodeSetLinearSolver(cvode, solver, matrix);
  if (o->exact) CVodeSetJacFn(cvode, jacobian);
  CVodeSetMaxNumSteps(cvode, 100000000);
  CVodeSetMaxStep(cvode, o->most);
  CVodeSetErrFile(cvode, NULL);
  struct seen seen = { 0 };
  struct timespec from, to;
  *result = (struct cvode_result){ 0 };
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &from);
  int flag = march(cvode, job, o, step, n, travel, &seen, s.n, y, work);
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &to);
  result->seconds = (double)(to.tv_sec - from.tv_sec) + 1e-9*(double)(to.tv_nsec - from.tv_nsec);
  result->peak = peak_of(&seen, &s, job);
  free(seen.t);
  free(seen.y);
  CVodeGetNumSteps(cvode, &result->steps);
  result->right_hand_sides = s.calls;
  CVodeFree(&cvode);
  SUNLinSolFree(solver);
  SUNMatDestroy(matrix);
  N_VDestroy(y);
  N_VDestroy(work);
  SUNContext_Free(&context);
  free(s.rater);
  return flag;
}
