// Restrictions of the two-term law dp = K1 Q + K2 Q|Q|, and how they add up.
#include "dampfork/path.h"

#include <math.h>
#include <stddef.h>

static const double COVERED = 1e-6;           // 1, an open share below this is closed: K2 grows as 1/share2

static double round_area(double diameter)
{
  return 0.25*M_PI*diameter*diameter;
}

static struct df_restriction closed_path(void)
{
  return (struct df_restriction){INFINITY, INFINITY, 0};
}

int df_restriction_closed(struct df_restriction a)
{
  return !(a.viscous < INFINITY && a.inertial < INFINITY);
}

struct df_restriction df_restriction_area(double area, double discharge, double hydraulic_diameter,
                                          double length)
{
  if (!(area > 0 && discharge > 0)) return closed_path();
  double wide = discharge*area, d = hydraulic_diameter;
  // 6 pi: a round hole in creeping flow; an exact slit has 64/pi
  return (struct df_restriction){6*M_PI/(area*d) + 32*length/(area*d*d), 1/(2*wide*wide), INFINITY};
}

struct df_restriction df_restriction_gap(double gap, double length, double eccentricity,
                                         double mean_diameter)
{
  if (!(gap > 0)) return closed_path();
  double round = M_PI*mean_diameter, shift = 1 + 1.5*eccentricity*eccentricity;
  return (struct df_restriction){12*length/(round*gap*gap*gap*shift),
                                 1.5/(2*round*round*gap*gap), INFINITY}; // 1.5: entry 0.5 and exit 1
}

struct df_restriction df_restriction_bore(double length, double diameter, double loss)
{
  double area = round_area(diameter), d2 = diameter*diameter;
  return (struct df_restriction){128*length/(M_PI*d2*d2), loss/(2*area*area), INFINITY};
}

struct df_restriction df_restriction_parallel(struct df_restriction a, struct df_restriction b)
{
  if (df_restriction_closed(a)) return b;
  if (df_restriction_closed(b)) return a;
  double root = 1/sqrt(a.inertial) + 1/sqrt(b.inertial);
  return (struct df_restriction){1/(1/a.viscous + 1/b.viscous), 1/(root*root), a.choke + b.choke};
}

struct df_restriction df_restriction_series(struct df_restriction a, struct df_restriction b)
{
  return (struct df_restriction){a.viscous + b.viscous, a.inertial + b.inertial, fmin(a.choke, b.choke)};
}

struct df_restriction df_restriction_covered(struct df_restriction a, double share)
{
  if (!(share >= COVERED) || df_restriction_closed(a)) return closed_path();
  return (struct df_restriction){a.viscous/share, a.inertial/(share*share), a.choke*share};
}

double df_hole_open_share(double u)
{
  u = fmin(fmax(u, -1), 1);
  return 0.5 + (u*sqrt(1 - u*u) + asin(u))/M_PI;
}

double df_two_term_flow(double k1, double k2, double dp, double *slope)
{
  double drop = fabs(dp), root = sqrt(k1*k1 + 4*k2*drop);
  if (slope != NULL) *slope = 1/root;         // K1 + 2 K2|Q| is this very root
  return drop == 0 ? 0 : copysign(2*drop/(k1 + root), dp);
}

double df_restriction_flow(struct df_restriction a, double mu, double rho, double dp, double *slope)
{
  if (slope != NULL) *slope = 0;
  if (df_restriction_closed(a)) return 0;
  return df_two_term_flow(mu*a.viscous, rho*a.inertial, dp, slope);
}

double df_restriction_flow_between(struct df_restriction a, double mu, double rho, double vapour,
                                   double p_from, double p_to, double slope[2])
{
  double dp = p_from - p_to, steep, flow = df_restriction_flow(a, mu, rho, dp, &steep);
  double behind = fmax(p_from, p_to) - vapour; // Pa over vapour on the side the oil comes from
  double most = a.choke*sqrt(fmax(behind, 0)/rho);
  int chokes = fabs(flow) > most;
  if (slope != NULL) {
    double with = chokes && behind > 0 ? most/(2*behind) : 0;
    slope[0] = chokes ? (dp > 0 ? with : 0) : steep;
    slope[1] = chokes ? (dp > 0 ? 0 : -with) : -steep;
  }
  return chokes ? copysign(most, dp) : flow;
}
