// A linear quarter vehicle made of the library's right-hand side: slopes by differences, which are exact for a linear system.
#include "linear.h"

#include <complex.h>
#include <gsl/gsl_complex_math.h>
#include <gsl/gsl_eigen.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <string.h>

#include "vehicle/front.h"

// ---- the library's vehicle with a linear leg on a road of constant height and slope
struct ground { double height, velocity, force; /* m, m/s, N */ };

static void front_of(const struct quarter *q, struct lane_front *g, struct lane_leg *leg, double force)
{
  memset(g, 0, sizeof *g);
  memset(leg, 0, sizeof *leg);
  double m11 = q->sprung + q->unsprung, m12 = q->unsprung, m22 = q->unsprung, per = 1/(m11*m22 - m12*m12);
  g->unsprung_mass = all(q->unsprung);
  g->mass = all(m11);
  g->m11 = all(m11), g->m12 = all(m12), g->m22 = all(m22);
  g->i11 = all(m22*per), g->i12 = all(-m12*per), g->i22 = all(m11*per);
  g->cos_rake = all(1);
  g->tyre_stiffness = all(q->tyre), g->tyre_damping = all(q->tyre_damping);
  g->tyre_radius = all(0.3);
  g->per_legs = all(1);
  g->speed = all(1);
  leg->linear_rate = all(q->rate), leg->linear_damping = all(q->damping), leg->linear_preload = all(force);
  leg->bush_spacing = all(0.1), leg->bush_reach = all(0.2);
}

static void rates(const struct quarter *q, struct ground under, const double state[4], double out[4])
{
  struct lane_front g;
  struct lane_leg leg;
  struct front_kind kind = {.legs = 1, .bilateral = 1};
  // one step of 1 m with the road's slope; at 1 m/s the slope is the road's velocity
  const double node[3][2] = {{under.height - under.velocity, under.velocity}, {under.height, under.velocity},
    {under.height + under.velocity, under.velocity}};
  const struct lane_road road = {3, -1, 1, 1, node}, *roads[DF_LANES] = {&road};
  front_of(q, &g, &leg, under.force);
  kind.leg[0].linear = 1;
  struct front_const k = {.g = &g, .per_model = all(1), .road = roads};
  k.leg[0].g = &leg;
  lane u[STATES_MAX] = {0}, du[STATES_MAX] = {0};
  static struct front_eval e;
  u[U_Z] = all(state[0]), u[U_S] = all(state[1]);
  u[U_X] = all(state[2] - state[0]), u[U_V] = all(state[3] - state[1]);   // z_u = z_s + x
  front_rates(&k, &kind, all(0), u, BLOCK_PLAIN, 0, &e, du);
  out[0] = du[U_Z][0], out[1] = du[U_S][0];
  out[2] = du[U_Z][0] + du[U_X][0], out[3] = du[U_S][0] + du[U_V][0];
}

struct pieces quarter_pieces(const struct quarter *quarter)
{
  struct pieces p;
  for (int j = 0; j < 7; j++) {
    double up[4] = {0}, down[4] = {0}, high[4], low[4];
    if (j < 4) up[j] = 1, down[j] = -1;
    rates(quarter, (struct ground){j == 4, j == 5, j == 6}, up, high);
    rates(quarter, (struct ground){-(j == 4), -(j == 5), -(j == 6)}, down, low);
    for (int i = 0; i < 4; i++) p.a[i][j] = 0.5*(high[i] - low[i]);
  }
  return p;
}

// ---- (j omega - A) y = b by GSL; returns the determinant
static double complex solve(const struct pieces *p, double omega, enum quarter_input in, double complex y[4])
{
  double m[32], b[8], x[8];
  int sign;
  for (int i = 0; i < 4; i++) {
    for (int j = 0; j < 4; j++) m[2*(4*i + j)] = -p->a[i][j], m[2*(4*i + j) + 1] = i == j ? omega : 0;
    b[2*i] = in == BY_FORCE ? p->a[i][6] : p->a[i][4];
    b[2*i + 1] = in == BY_FORCE ? 0 : omega*p->a[i][5];
  }
  gsl_matrix_complex_view matrix = gsl_matrix_complex_view_array(m, 4, 4);
  gsl_vector_complex_view right = gsl_vector_complex_view_array(b, 4), left = gsl_vector_complex_view_array(x, 4);
  gsl_permutation *order = gsl_permutation_alloc(4);
  gsl_linalg_complex_LU_decomp(&matrix.matrix, order, &sign);
  gsl_linalg_complex_LU_solve(&matrix.matrix, order, &right.vector, &left.vector);
  gsl_complex det = gsl_linalg_complex_LU_det(&matrix.matrix, sign);
  gsl_permutation_free(order);
  for (int i = 0; i < 4; i++) y[i] = x[2*i] + I*x[2*i + 1];
  return GSL_REAL(det) + I*GSL_IMAG(det);
}

struct gain quarter_gain(const struct pieces *pieces, double omega, enum quarter_input in, enum quarter_output out)
{
  double complex y[4], g = 0;
  solve(pieces, omega, in, y);
  if (out <= WHEEL_VELOCITY) g = y[out];
  if (out == BODY_ACCELERATION) g = I*omega*y[BODY_VELOCITY];
  if (out == TRAVEL) g = y[WHEEL] - y[BODY];
  if (out == TRAVEL_VELOCITY) g = y[WHEEL_VELOCITY] - y[BODY_VELOCITY];
  if (in == BY_ROAD_VELOCITY) g /= I*omega;
  return (struct gain){creal(g), cimag(g)};
}

double quarter_size(const struct pieces *pieces, double omega, enum quarter_input in, enum quarter_output out)
{
  struct gain g = quarter_gain(pieces, omega, in, out);
  return hypot(g.re, g.im);
}

// ---- modes
struct mode quarter_mode(const struct pieces *pieces, int which)
{
  double m[16];
  for (int i = 0; i < 16; i++) m[i] = pieces->a[i/4][i%4];
  gsl_matrix_view matrix = gsl_matrix_view_array(m, 4, 4);
  gsl_vector_complex *value = gsl_vector_complex_alloc(4);
  gsl_matrix_complex *vector = gsl_matrix_complex_alloc(4, 4);
  gsl_eigen_nonsymmv_workspace *room = gsl_eigen_nonsymmv_alloc(4);
  gsl_eigen_nonsymmv(&matrix.matrix, value, vector, room);
  gsl_eigen_nonsymmv_sort(value, vector, GSL_EIGEN_SORT_ABS_ASC);
  gsl_complex v = gsl_vector_complex_get(value, (size_t)(2*which));
  gsl_complex wheel = gsl_matrix_complex_get(vector, WHEEL, (size_t)(2*which));
  gsl_complex ratio = gsl_complex_div(wheel, gsl_matrix_complex_get(vector, BODY, (size_t)(2*which)));
  struct mode mode = {GSL_REAL(v), fabs(GSL_IMAG(v)), GSL_REAL(ratio)};
  gsl_eigen_nonsymmv_free(room);
  gsl_matrix_complex_free(vector);
  gsl_vector_complex_free(value);
  return mode;
}

void quarter_transition(const struct pieces *pieces, double t, double st[4][4])
{
  double m[16];
  for (int i = 0; i < 16; i++) m[i] = pieces->a[i/4][i%4]*t;
  gsl_matrix_view matrix = gsl_matrix_view_array(m, 4, 4), out = gsl_matrix_view_array(&st[0][0], 4, 4);
  gsl_linalg_exponential_ss(&matrix.matrix, &out.matrix, GSL_PREC_DOUBLE);
}

// ---- mean square: (q/pi) times the integral of |gain|^2 over omega from 0
struct asked { const struct pieces *pieces; enum quarter_output out; };
static double density(double omega, void *asked)
{
  const struct asked *a = asked;
  double size = quarter_size(a->pieces, omega, BY_ROAD_VELOCITY, a->out);
  return size*size;
}

double quarter_mean_square(const struct pieces *pieces, double q, enum quarter_output out)
{
  struct asked asked = {pieces, out};
  gsl_function f = {density, &asked};
  gsl_integration_workspace *room = gsl_integration_workspace_alloc(2000);
  double low = NAN, high = NAN, error;
  gsl_error_handler_t *old = gsl_set_error_handler_off();
  gsl_integration_qag(&f, 1e-6, 200, 0, 1e-9, 2000, GSL_INTEG_GAUSS61, room, &low, &error);
  gsl_integration_qagiu(&f, 200, 0, 1e-8, 2000, room, &high, &error);
  gsl_set_error_handler(old);
  gsl_integration_workspace_free(room);
  return q/3.14159265358979323846*(low + high);
}
