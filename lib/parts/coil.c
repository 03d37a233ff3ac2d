// Coil springs.
#include "dampfork/spring.h"

#include <math.h>
#include <stddef.h>

static const double BOUND = 2e6;              // N/m, coils on coils: as stiff as the fork's own stops
static const double IDLE_COILS = 2;           // 1, one closed coil at each end (common practice)

struct df_spring_law df_spring_law_of(const struct df_spring *spring)
{
  double bind = spring->free_length - spring->solid_length;
  int two = isfinite(spring->second_rate) && isfinite(spring->change_at);
  return (struct df_spring_law){
    .rate = spring->rate, .change = two ? spring->change_at : INFINITY,
    .second_rate = two ? spring->second_rate : spring->rate,
    .bind = isfinite(bind) ? bind : INFINITY, .bound_rate = BOUND
  };
}

struct df_spring_law df_spring_series(double first, double first_travel, double second, double bind)
{
  return (struct df_spring_law){
    .rate = first*second/(first + second), .change = first_travel*(first + second)/second,
    .second_rate = second, .bind = bind, .bound_rate = BOUND
  };
}

double df_spring_force(const struct df_spring_law *law, double compression, double *slope)
{
  double free_of = fmax(compression, 0);
  double first = fmin(free_of, fmin(law->change, law->bind)); // m pressed at the first rate
  double second = fmax(fmin(free_of, law->bind) - law->change, 0);
  double bound = fmax(free_of - law->bind, 0);
  if (slope != NULL) {
    double soft = compression < law->change ? law->rate : law->second_rate;
    *slope = compression < 0 ? 0 : compression < law->bind ? soft : law->bound_rate;
  }
  return law->rate*first + law->second_rate*second + law->bound_rate*bound;
}

double df_spring_energy(const struct df_spring_law *law, double compression)
{
  double ends[] = {0, fmin(law->change, law->bind), law->bind, INFINITY}, energy = 0;
  for (int i = 0; i < 3; i++) {
    double from = fmin(fmax(compression, 0), ends[i]), to = fmin(fmax(compression, 0), ends[i + 1]);
    if (to > from)                            // straight between the ends: the trapezium is exact
      energy += 0.5*(to - from)*(df_spring_force(law, from, NULL) + df_spring_force(law, to, NULL));
  }
  return energy;
}

double df_spring_helical_rate(double wire, double mean_diameter, double working_coils, double shear_modulus)
{
  double d2 = wire*wire, big = mean_diameter;
  return shear_modulus*d2*d2/(8*big*big*big*working_coils);
}

double df_spring_wahl(double index)
{
  return (4*index - 1)/(4*index - 4) + 0.615/index;
}

double df_spring_shear_stress(double force, double wire, double mean_diameter)
{
  return df_spring_wahl(mean_diameter/wire)*8*force*mean_diameter/(M_PI*wire*wire*wire);
}

struct df_spring_made df_spring_made_of(const struct df_spring *spring)
{
  double wire = spring->wire, mean = spring->outside - wire, coils = spring->coils;
  return (struct df_spring_made){
    .rate = df_spring_helical_rate(wire, mean, coils - IDLE_COILS, DF_SPRING_SHEAR),
    .solid_length = wire*coils,
    .mass = DF_SPRING_STEEL*0.25*M_PI*wire*wire*M_PI*mean*coils
  };
}
