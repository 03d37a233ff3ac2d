// Drilling a damper rod.
#include "dampfork/drill.h"

#include <math.h>

// Area of half a disc within `half` (m) on either side of its middle line.
static double band(double radius, double half)
{
  half = fmin(half, radius);
  return half*sqrt(radius*radius - half*half) + radius*radius*asin(half/radius);
}

double df_drill_section(double outside, double bore, double diameter, int n)
{
  double ring = 0.25*M_PI*(outside*outside - bore*bore);
  double wall = band(0.5*outside, 0.5*diameter) - band(0.5*bore, 0.5*diameter); // what one hole takes
  double left = ring - n*wall;
  int apart = n*2*asin(fmin(diameter/bore, 1)) < 2*M_PI; // holes of one height must not meet in the bore
  return left > 0 && (n == 0 || (apart && diameter < bore)) ? left : NAN;
}

double df_drill_concentration(double share)
{
  return 3 + share*(-3.140 + share*(3.667 - 1.527*share));
}

enum df_status df_drill_check(double outside, double bore, double diameter, int n, double load, double yield,
                              struct df_drill_strength *out)
{
  if (!(outside > bore && bore > 0 && diameter > 0 && n >= 0 && yield > 0)) return DF_BAD_INPUT;
  double left = df_drill_section(outside, bore, diameter, n);
  if (isnan(left)) return DF_BAD_INPUT;
  double strip = n > 0 ? M_PI*0.5*(outside + bore)/n : INFINITY; // m, mid-wall
  double k = n > 0 ? df_drill_concentration(diameter/strip) : 1;
  double stress = k*fabs(load)/left;
  *out = (struct df_drill_strength){left, left/df_drill_section(outside, bore, diameter, 0), k, stress,
                                    yield/stress};
  return DF_OK;
}

double df_drill_wall_between(const struct df_drill_hole *a, const struct df_drill_hole *b, double radius)
{
  double turn = remainder(a->angle - b->angle, 2*M_PI);
  return hypot(a->height - b->height, radius*turn) - 0.5*(a->diameter + b->diameter);
}

double df_drill_ligament(const struct df_drill_hole *hole, int n, double radius)
{
  double least = INFINITY;
  for (int i = 0; i < n; i++)
    for (int j = 0; j < i; j++) {
      double larger = fmax(hole[i].diameter, hole[j].diameter);
      least = fmin(least, df_drill_wall_between(&hole[i], &hole[j], radius)/larger);
    }
  return least;
}

double df_drill_limit(double tube_end_height, double diameter)
{
  return tube_end_height - 0.5*diameter - DF_DRILL_MARGIN;
}

int df_drill_layout(double first, double spacing, int pairs, double diameter, double limit,
                    struct df_drill_hole *hole)
{
  int fit = 0;
  for (; fit < pairs; fit++) {
    double height = first + fit*spacing, angle = fit%2*M_PI_2;
    if (height > limit*(1 + 1e-12)) break;    // rounding of the sum alone must not lose a pair
    hole[2*fit] = (struct df_drill_hole){height, angle, diameter};
    hole[2*fit + 1] = (struct df_drill_hole){height, angle + M_PI, diameter};
  }
  return fit;
}
