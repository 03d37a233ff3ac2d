// Over u = ln r the plate's equation has constant coefficients, so its solutions may start anywhere. Of the
// usual ones, 1, r2, ln r, r2 ln r and r4 under pressure (Timoshenko & Woinowsky-Krieger, Theory of Plates
// and Shells, chapter 3), combinations are taken that start with u^2, u^3 and u^4: the first two leave the
// clamp flat, the second starts at a ring force, the third where a pressure starts.
#include "parts/plate.h"

#include <math.h>

enum { FLAT = 2, RING = 3, PRESSED = 4 };
static const double SERIES_BELOW = 0.1;       // 1, below it the closed forms lose more than three digits

double df_plate_rigidity(double modulus, double poisson, double thickness)
{
  return modulus*thickness*thickness*thickness/(12*(1 - poisson*poisson));
}

// k! times the k-th coefficient of the series of a solution. None is negative.
static double coefficient(int solution, int k)
{
  if (k < solution) return 0;
  if (solution == FLAT) return ldexp(1, k);
  if (solution == RING) return ldexp(k - 2, k - 1);
  return ldexp(1, 2*k) - ldexp(k - 1, k + 2);
}

// derivative-th derivative of a solution by u at u >= 0.
static double series(int solution, int derivative, double u)
{
  double sum = 0, power = 1;                  // u^m/m!
  for (int m = 0; m < 60; m++) {
    double term = coefficient(solution, m + derivative)*power;
    sum += term;
    if (m > solution && term < 1e-17*sum) break;
    power *= u/(m + 1);
  }
  return sum;
}

static double solution_at(int solution, int derivative, double u)
{
  if (u <= 0) return derivative == solution ? coefficient(solution, solution) : 0;
  if (u < SERIES_BELOW) return series(solution, derivative, u);
  double x = exp(2*u);
  double flat[3] = {x - 1 - 2*u, 2*(x - 1), 4*x};
  double ring[3] = {u*(x + 1) - (x - 1), 2*u*x - (x - 1), 4*u*x};
  if (solution == FLAT) return flat[derivative];
  if (solution == RING) return ring[derivative];
  double fourth[3] = {x*x - 1 - 4*u, 4*(x*x - 1), 16*x*x};
  return fourth[derivative] - 4*flat[derivative] - 8*ring[derivative];
}

// Radial moment per length times r2/rigidity: w'' - (1 - nu) w' by u.
static double moment_of(int solution, double poisson, double u)
{
  return solution_at(solution, 2, u) - (1 - poisson)*solution_at(solution, 1, u);
}

// How a ring force of 1 N and a pressure of 1 Pa enter: factors (m) of the solutions that start there.
static double ring_factor(const struct df_plate *plate, double at)
{
  return at*at/(8*M_PI*plate->rigidity);
}

static double pressure_factor(const struct df_plate *plate, double at)
{
  return at*at*at*at/(64*plate->rigidity);
}

// The bend that carries `force` (N) to the clamp and leaves the free edge without moment.
static struct df_plate_bend bend_of(const struct df_plate *plate, double force, double edge_moment)
{
  double u = log(plate->edge/plate->clamp), shear = -force*ring_factor(plate, plate->clamp);
  double moment = shear*moment_of(RING, plate->poisson, u) + edge_moment;
  return (struct df_plate_bend){-moment/moment_of(FLAT, plate->poisson, u), shear};
}

struct df_plate_bend df_plate_ring(const struct df_plate *plate, double at)
{
  return bend_of(plate, 1, ring_factor(plate, at)*moment_of(RING, plate->poisson, log(plate->edge/at)));
}

// A pressure that stops is one that goes on less one that starts there.
static double pressure_beyond(const struct df_plate *plate, double inner, double outer, double radius,
                              double (*what)(int solution, double poisson, double u))
{
  double from = pressure_factor(plate, inner)*what(PRESSED, plate->poisson, log(radius/inner));
  return from - pressure_factor(plate, outer)*what(PRESSED, plate->poisson, log(radius/outer));
}

static double lift_of(int solution, double poisson, double u)
{
  (void)poisson;
  return solution_at(solution, 0, u);
}

struct df_plate_bend df_plate_pressure(const struct df_plate *plate, double inner, double outer)
{
  return bend_of(plate, M_PI*(outer*outer - inner*inner),
                 pressure_beyond(plate, inner, outer, plate->edge, moment_of));
}

double df_plate_lift(const struct df_plate *plate, struct df_plate_bend bend, double radius)
{
  double u = log(radius/plate->clamp);
  return bend.tilt*solution_at(FLAT, 0, u) + bend.shear*solution_at(RING, 0, u);
}

double df_plate_ring_beyond(const struct df_plate *plate, double at, double radius)
{
  return ring_factor(plate, at)*solution_at(RING, 0, log(radius/at));
}

double df_plate_pressure_beyond(const struct df_plate *plate, double inner, double outer, double radius)
{
  return pressure_beyond(plate, inner, outer, radius, lift_of);
}

double df_plate_moment(const struct df_plate *plate, struct df_plate_bend bend, double radius)
{
  double u = log(radius/plate->clamp), nu = plate->poisson;
  return plate->rigidity/(radius*radius)*(bend.tilt*moment_of(FLAT, nu, u) + bend.shear*moment_of(RING, nu, u));
}

double df_plate_ring_moment_beyond(const struct df_plate *plate, double at, double radius)
{
  double u = log(radius/at);
  return plate->rigidity/(radius*radius)*ring_factor(plate, at)*moment_of(RING, plate->poisson, u);
}

double df_plate_pressure_moment_beyond(const struct df_plate *plate, double inner, double outer,
                                       double radius)
{
  return plate->rigidity/(radius*radius)*pressure_beyond(plate, inner, outer, radius, moment_of);
}
