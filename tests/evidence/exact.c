#include "exact.h"

#include <complex.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <string.h>

static const double gravity = 9.80665; // m/s2, standard

struct exact_fall exact_free_fall(double mass, double stiffness, double height)
{
  double w = sqrt(stiffness/mass), sag = gravity/(w*w), speed = sqrt(2*gravity*height);
  double amplitude = hypot(sag, speed/w);
  return (struct exact_fall){sag + amplitude, 2*(M_PI - atan(speed/(w*sag)))/w};
}

struct exact_sticking exact_coulomb_decay(double stiffness, double friction, double start)
{
  double band = friction/stiffness, x = start;
  struct exact_sticking s = {0, 0, 0};
  while (fabs(x) > band) x = x > 0 ? -(x - 2*band) : -(x + 2*band), s.half_cycles++;
  s.place = x, s.lost = stiffness*(start*start - x*x)/2;
  return s;
}

double exact_quadratic_decay(double b, double amplitude)
{
  double want = log1p(2*b*amplitude) - 2*b*amplitude, u = 2*b*amplitude/(1 + 2*b*amplitude);
  // Newton on ln(1 - u) + u, u = 2 b X2 in 0..1, concave: from the left of the root it never leaves
  for (int i = 0; i < 60; i++) {
    double off = log1p(-u) + u - want, slope = -u/(1 - u), next = u - off/slope;
    u = next < 1 ? next : (1 + u)/2;
  }
  return u/(2*b);
}

double exact_cycle_linear(double damping, double w, double amplitude)
{
  return M_PI*damping*w*amplitude*amplitude;
}

double exact_cycle_square(double a, double w, double amplitude)
{
  return 8*a*w*w*pow(amplitude, 3)/3;
}

double exact_cycle_coulomb(double friction, double amplitude) { return 4*friction*amplitude; }

double exact_series_force(double damping, double stiffness, double w, double amplitude)
{
  return damping*w*amplitude/hypot(1, w*damping/stiffness);
}

double exact_series_energy(double damping, double stiffness, double w, double amplitude)
{
  return exact_cycle_linear(damping, w, amplitude)/(1 + pow(w*damping/stiffness, 2));
}

double exact_equivalent_damping(double a, double w, double amplitude)
{
  return 8*a*w*amplitude/(3*M_PI);
}

struct exact_point exact_axle_point(double sprung, double unsprung, double tyre)
{
  return (struct exact_point){sqrt(tyre/unsprung), sqrt(unsprung*tyre)/sprung};
}

struct exact_point exact_travel_point(double sprung, double unsprung, double tyre)
{
  return (struct exact_point){sqrt(tyre/(sprung + unsprung)), 1 + unsprung/sprung};
}

struct exact_gains exact_vehicle_gains(const struct exact_vehicle *v, double w)
{
  // road height of unit velocity
  double complex s = I*w, leg = v->stiffness + v->damping*s, road = 1/s;
  double complex a = v->sprung*s*s + leg, b = v->unsprung*s*s + leg + v->tyre, det = a*b - leg*leg;
  double complex axle = v->tyre*road*a/det, body = v->tyre*road*leg/det;
  return (struct exact_gains){cabs(s*s*body), cabs(body - axle), cabs(axle - road)};
}

double exact_road_intensity(double roughness, double speed)
{
  return 2*M_PI*M_PI*roughness*0.01*speed;
}

struct exact_variances exact_white_noise(const struct exact_vehicle *v, double q)
{
  double both = v->sprung + v->unsprung, c = v->damping, k = v->stiffness,
      square = v->sprung*v->sprung;
  return (struct exact_variances){q/2*(c*v->tyre/square + k*k*both/(c*square)), q/2*both/c,
                                  exact_white_noise_lyapunov(v, q).tyre};
}

// A P + P A' + b b' q = 0 for the state (z_s - z_u, z_s', z_u - z_r, z_u'), all 16 entries of P as
// unknowns.
struct exact_variances exact_white_noise_lyapunov(const struct exact_vehicle *v, double q)
{
  double k = v->stiffness, c = v->damping, ms = v->sprung, mu = v->unsprung;
  double a[4][4] = {{0, 1, 0, -1}, {-k/ms, -c/ms, 0, c/ms}, {0, 0, 0, 1},
                    {k/mu, c/mu, -v->tyre/mu, -c/mu}}, sum = 0;
  int sign;
  gsl_matrix *m = gsl_matrix_calloc(16, 16);
  gsl_vector *right = gsl_vector_calloc(16), *p = gsl_vector_alloc(16);
  gsl_permutation *order = gsl_permutation_alloc(16);
  for (int i = 0; i < 4; i++)
    for (int j = 0; j < 4; j++)
      for (int l = 0; l < 4; l++) {
        *gsl_matrix_ptr(m, 4*i + j, 4*l + j) += a[i][l];
        *gsl_matrix_ptr(m, 4*i + j, 4*i + l) += a[j][l];
      }
  gsl_vector_set(right, 4*2 + 2, -q); // the road's velocity enters the tyre's deflection alone
  gsl_linalg_LU_decomp(m, order, &sign);
  gsl_linalg_LU_solve(m, order, right, p);
  for (int i = 0; i < 4; i++)
    for (int j = 0; j < 4; j++) sum += a[1][i]*a[1][j]*gsl_vector_get(p, 4*i + j);
  struct exact_variances out = {sum, gsl_vector_get(p, 0), gsl_vector_get(p, 10)};
  gsl_matrix_free(m), gsl_vector_free(right), gsl_vector_free(p), gsl_permutation_free(order);
  return out;
}

const double exact_roughness_st[4][4] = {{0.9966071, 0.01091514, -0.002083274, 0.0003190145},
                                         {-0.5563044, 0.9438768, -0.8324718, 0.05064701},
                                         {0.02153176, 0.002126763, 0.7508714, 0.008221888},
                                         {3.335013, 0.3376467, -39.12762, 0.4347564}};
const double exact_roughness_pr[4] = {0.005476107, 1.388776, 0.2275968, 35.79262};

enum { ROUGHNESS_SPEED = 80 }; // km/h
static const double rough_k1 = 653, rough_k2 = 63.3, rough_c = 6, rough_mu = 0.15;

static void rough_system(double a[4][4])
{
  const double rows[4][4] = {{0, 1, 0, 0}, {-rough_k2, -rough_c, rough_k2, rough_c}, {0, 0, 0, 1},
                             {rough_k2/rough_mu, rough_c/rough_mu, -(rough_k1 + rough_k2)/rough_mu,
                              -rough_c/rough_mu}};
  memcpy(a, rows, sizeof rows);
}

// ST = exp(A dt), PR = A^-1 (ST - I) B. The second falls out of the exponential of A bordered by B.
void exact_roughness_step(double spacing, double st[4][4], double pr[4])
{
  double a[4][4], dt = spacing*3.6/ROUGHNESS_SPEED;
  gsl_matrix *m = gsl_matrix_calloc(5, 5), *e = gsl_matrix_alloc(5, 5);
  rough_system(a);
  for (int i = 0; i < 4; i++)
    for (int j = 0; j < 4; j++) gsl_matrix_set(m, i, j, a[i][j]*dt);
  gsl_matrix_set(m, 3, 4, rough_k1/rough_mu*dt);
  gsl_linalg_exponential_ss(m, e, GSL_PREC_DOUBLE);
  for (int i = 0; i < 4; i++) {
    for (int j = 0; j < 4; j++) st[i][j] = gsl_matrix_get(e, i, j);
    pr[i] = gsl_matrix_get(e, i, 4);
  }
  gsl_matrix_free(m), gsl_matrix_free(e);
}

// World Bank TP 46: start from the mean slope of the first 11 m; slopes over 250 mm when
// `averaged`.
double exact_roughness_index(const double *height, int n, double spacing, int averaged)
{
  double st[4][4], pr[4], z[4] = {0}, sum = 0;
  int eleven = (int)(11/spacing + 0.5), base = 1, steps = 0;
  if (averaged) base = (int)fmax(1, floor(0.25/spacing + 0.5));
  exact_roughness_step(spacing, st, pr);
  if (eleven >= n) eleven = n - 1;
  z[0] = z[2] = (height[eleven] - height[0])/(eleven*spacing);
  for (int i = base; i < n; i++) {
    double slope = (height[i] - height[i - base])/(base*spacing), next[4];
    for (int k = 0; k < 4; k++) {
      next[k] = pr[k]*slope;
      for (int l = 0; l < 4; l++) next[k] += st[k][l]*z[l];
    }
    memcpy(z, next, sizeof z);
    sum += fabs(z[0] - z[2]), steps++;
  }
  return sum/steps;
}

double exact_roughness_gain(double wave_length)
{
  double w = 2*M_PI*ROUGHNESS_SPEED/3.6/wave_length;
  struct exact_vehicle car = {1, rough_mu, rough_k2, rough_c, rough_k1};
  return w*exact_vehicle_gains(&car, w).travel;
}

double exact_half_sine(double ratio)
{
  double most = 0;
  if (fabs(ratio - 0.5) < 1e-9) return M_PI/2;
  if (ratio < 0.5) return 4*ratio*cos(M_PI*ratio)/(1 - 4*ratio*ratio);
  double gain = 2*ratio/(2*ratio - 1);
  for (int n = 1; 2*n <= 2*ratio + 1; n++)
    most = fmax(most, gain*fabs(sin(2*M_PI*n/(2*ratio + 1))));
  return most;
}

double exact_den_hartog(double b, double f)
{
  double v = 1/(1 - b*b), u = sin(M_PI/b)/(b*(1 + cos(M_PI/b)));
  return sqrt(v*v - pow(f*u, 2));
}

double exact_damping_ratio(double share)
{
  double decrement = -2*log(share); // of a whole cycle
  return decrement/hypot(2*M_PI, decrement);
}

static void van_der_pol(void *unused, double t, const double *y, double *dy, double *dq)
{
  (void)unused, (void)t, (void)dq;
  dy[0] = y[1];
  dy[1] = 1000*(1 - y[0]*y[0])*y[1] - y[0];
}

static void hires(void *unused, double t, const double *y, double *dy, double *dq)
{
  (void)unused, (void)t, (void)dq;
  double meet = 280*y[5]*y[7];
  dy[0] = -1.71*y[0] + 0.43*y[1] + 8.32*y[2] + 0.0007;
  dy[1] = 1.71*y[0] - 8.75*y[1];
  dy[2] = -10.03*y[2] + 0.43*y[3] + 0.035*y[4];
  dy[3] = 8.32*y[1] + 1.71*y[2] - 1.12*y[3];
  dy[4] = -1.745*y[4] + 0.43*y[5] + 0.43*y[6];
  dy[5] = -meet + 0.69*y[3] + 1.71*y[4] - 0.43*y[5] + 0.69*y[6];
  dy[6] = meet - 1.81*y[6];
  dy[7] = -dy[6];
}

// Bari test set; the equations of hires from memory, held by its printed result.
const struct exact_system exact_van_der_pol = {"van der Pol, mu 1000", 2, van_der_pol, {2, 0}, 2000,
                                               {1.706167732170469, -8.928097010248e-4}};
const struct exact_system exact_hires = {"HIRES", 8, hires, {1, 0, 0, 0, 0, 0, 0, 0.0057}, 321.8122,
                                         {0.7371312573325668e-3, 0.1442485726316185e-3,
                                          0.5888729740967575e-4, 0.1175651343283149e-2,
                                          0.2386356198831331e-2, 0.6238968252742796e-2,
                                          0.2849998395185769e-2, 0.2850001604814231e-2}};
