// Friction: the library's bristle on a mass and a spring, against what a constant friction does.
#include <gsl/gsl_errno.h>
#include <gsl/gsl_odeiv2.h>
#include <math.h>

#include "evidence.h"
#include "parts/forces.h"

// 1 kg, 100 N/m, 0.7 N, let go at 0.1 m; bristles that give 2 um, no breakaway.
static const double stiffness = 100, level = 0.7, presliding = 2e-6, start = 0.1;

struct swing { double turn[20]; int turns; double rest, lost; /* m, m, J */ };

static int rates(double t, const double y[], double dy[], void *unused)
{
  (void)t;
  (void)unused;
  struct bristle bristle = {all(1/presliding), all(0), all(100)};
  double friction = level*y[2];
  dy[0] = y[1];
  dy[1] = -stiffness*y[0] - friction;
  dy[2] = bristle_rate(&bristle, all(y[2]), all(y[1])).rate[0];
  dy[3] = friction*y[1];
  return GSL_SUCCESS;
}

static struct swing swing(void)
{
  struct swing out = {.turns = 0};
  double y[4] = {start, 0, 0, 0}, t = 0, before = -1;
  gsl_error_handler_t *old = gsl_set_error_handler_off();
  gsl_odeiv2_system system = {rates, 0, 4, 0};
  gsl_odeiv2_driver *driver = gsl_odeiv2_driver_alloc_y_new(&system, gsl_odeiv2_step_rkf45, 1e-5, 1e-9, 1e-9);
  for (int i = 1; i <= 3000; i++) {
    if (gsl_odeiv2_driver_apply(driver, &t, i*1e-3, y) != GSL_SUCCESS) out.turns = -100;
    if (y[1]*before < 0 && fabs(y[0]) > 1.2*level/stiffness && out.turns < 19) out.turn[out.turns++] = y[0];
    before = y[1];
  }
  gsl_odeiv2_driver_free(driver);
  gsl_set_error_handler(old);
  out.rest = y[0];
  out.lost = y[3];
  return out;
}

static double loss_of_amplitude(double cycle)
{
  struct swing s = swing();
  int at = (int)(2*cycle) - 1;
  return at < s.turns ? (start - fabs(s.turn[at]))/cycle*stiffness/level : NAN;
}

static double cycles_to_rest(double unused)
{
  (void)unused;
  struct swing s = swing();
  return 0.5*(s.turns + 1);
}

static double rest(double unused) { (void)unused; return 1e3*swing().rest; }
static double lost(double unused) { (void)unused; return swing().lost; }

// Steady level over sliding friction at a speed, breakaway 1.3 times sliding, Stribeck speed 10 mm/s.
static double stribeck(double speed)
{
  struct bristle bristle = {all(1/0.15e-3), all(0.3), all(100)};
  return bristle_level(&bristle, all(speed))[0];
}

// Where the bristle stands still at that speed: the same level, found from its rate.
static double steady_bristle(double speed)
{
  struct bristle bristle = {all(1/0.15e-3), all(0.3), all(100)};
  double low = 0, high = 2;
  for (int i = 0; i < 60; i++) {
    double middle = 0.5*(low + high);
    if (bristle_rate(&bristle, all(middle), all(speed)).rate[0] > 0) low = middle;
    else high = middle;
  }
  return low;
}

static const char tony[] = "fetraining.com, Ask Tony, Coulomb damping, page 5";
static const char kleppner[] = "brainmass.com, problem 4960 (after Kleppner & Kolenkow)";
static const char exact[] = "Constant friction on a mass and a spring, piece by piece: 1 kg, 100 "
  "N/m, 0.7 N, from 0.1 m";
static const char give[] = "bristles of 2 um in steps of 14 mm, turns read every ms";

static const struct evidence rows[] = {
  {"friction", 'P', tony, "successive half peaks", "x1 - x2 = 2 F/k: 4 F/k a cycle",
    loss_of_amplitude, 1, 4, 0.01, "F/k", give},
  {"friction", 'P', tony, "successive half peaks, over three cycles", "4 F/k a cycle",
    loss_of_amplitude, 3, 4, 0.01, "F/k", give},
  {"friction", 'P', kleppner, "number of cycles", "n = (k x0/f - 1)/4: 3.32", cycles_to_rest, 0,
    3.3214, 0.25, "cycles", "a whole number of half cycles"},
  {"friction", 'C', exact, "where it stops", "-2 mm, after 7 half cycles", rest, 0, -2, 0.02, "mm",
    "bristles of 2 um, and what they spring back"},
  {"friction", 'C', exact, "energy lost", "0.4998 J", lost, 0, 0.4998, 1e-4, "J",
    "the bristles keep 1 uJ; the rest is the integrator's"},
  {"friction", 'C', "Stribeck curve 1 + (r - 1)/(1 + (v/vs)^2), by hand", "r 1.3 at vs", "1.15",
    stribeck, 0.01, 1.15, 1e-12, "", "exact"},
  {"friction", 'C', "Stribeck curve 1 + (r - 1)/(1 + (v/vs)^2), by hand", "bristle at rest at 2 vs",
    "1.06", steady_bristle, 0.02, 1.06, 1e-9, "", "exact"},
};
EVIDENCE_GROUP(evidence_friction, "friction", rows);
