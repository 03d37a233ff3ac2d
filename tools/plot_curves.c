// Pictures of steady curves. Names of the data are those of plots/README.md.
#include "curves.h"
#include "out_gnuplot.h"

#include <math.h>

// Where a rider meets a fork speed; common practice.
static const struct { double speed; /* m/s */ const char *text;
} meetings[] = {{0.05, "weight shift"},
                {0.1, "into a corner"},
                {0.3, "brake dive"},
                {1, "manhole, hump"},
                {3, "sharp edge"}};
enum { MEETINGS = sizeof meetings/sizeof *meetings };

static int at_most(int n, int most)
{
  return n < most ? n : most;
}

// Damping (N) of a curve at the speed nearest to v.
static double damping_near(const struct curves *curves, double v)
{
  int best = 0;
  for (int i = 1; i < curves->n; i++)
    if (fabs(curves->velocity[i].steady.v - v) < fabs(curves->velocity[best].steady.v - v))
      best = i;
  return curves->velocity[best].steady.damping;
}

// Heights of the labels at a panel's right edge, `gap` of its height apart at least, and the
// panel's height.
static void labels(struct gp *gp, const char *name, const struct curves *curves, int n, double v,
                   double gap)
{
  double place[GP_CURVES_MAX], most = 1;
  for (int k = 0; k < n; k++) {
    place[k] = fabs(damping_near(&curves[k], v));
    most = fmax(most, place[k]);
  }
  for (int i = 0; i < curves[0].measured_n; i++) {
    const struct measured_point *p = &curves[0].measured[i];
    if (p->v * v > 0 && fabs(p->v) <= fabs(v)) most = fmax(most, fabs(p->damping));
  }
  char variable[64];
  snprintf(variable, sizeof variable, "%s_most", name);
  gp_number(gp, variable, 1.08*most);
  gp_spread(place, n, gap*most);
  snprintf(variable, sizeof variable, "%s_label", name);
  gp_numbers(gp, variable, place, n);
}

static void names_write(struct gp *gp, const struct curves *curves, int n)
{
  const char *names[GP_CURVES_MAX] = { NULL };
  const struct df_scenario *scenarios[GP_CURVES_MAX] = { NULL };
  char brief[GP_CURVES_MAX][SHORT_NAME];
  for (int k = 0; k < n; k++) names[k] = curves[k].name, scenarios[k] = curves[k].scenario;
  short_names(scenarios, names, n, brief);
  for (int k = 0; k < n; k++) names[k] = brief[k];
  gp_number(gp, "scenarios", n);
  gp_texts(gp, "name", names, n);
}

static void velocity_blocks(struct gp *gp, const struct curves *curves, int n)
{
  for (int k = 0; k < n; k++) {
    gp_block_begin(gp, "velocity", k + 1);
    for (int i = 0; i < curves[k].n; i++) {
      const struct velocity_point *at = &curves[k].velocity[i];
      const double row[] = {at->steady.v, at->steady.damping, 1e3*at->steady.lift, at->slope};
      gp_block_row(gp, row, 4);
    }
    gp_block_end(gp);
  }
}

static void measured_block(struct gp *gp, const struct curves *first)
{
  gp_number(gp, "measured", first->measured_n);
  gp_block_begin(gp, "measured", 0);
  for (int i = 0; i < first->measured_n; i++)
    gp_block_row(gp, (double[2]){first->measured[i].v, first->measured[i].damping}, 2);
  if (!first->measured_n) gp_block_row(gp, (double[2]){NAN, NAN}, 2);
  gp_block_end(gp);
}

void plot_force_velocity(FILE *stream, const struct curves *curves, int n)
{
  n = at_most(n, GP_CURVES_MAX);
  struct gp gp = gp_begin(stream, "force-velocity", "Damping force of one leg against fork speed");
  names_write(&gp, curves, n);
  double last = curves[0].n ? curves[0].velocity[curves[0].n - 1].steady.v : 3, speeds[MEETINGS];
  const char *texts[MEETINGS];
  for (int i = 0; i < MEETINGS; i++) speeds[i] = meetings[i].speed, texts[i] = meetings[i].text;
  gp_number(&gp, "speed_most", last);
  gp_number(&gp, "rebound_speed_most", 0.3*last);
  gp_number(&gp, "slow_speed_most", 0.4);
  gp_number(&gp, "travel_mm", 1e3*curves[0].x);
  gp_number(&gp, "marks", MEETINGS);
  gp_numbers(&gp, "mark_speed", speeds, MEETINGS);
  gp_texts(&gp, "mark", texts, MEETINGS);
  labels(&gp, "fast", curves, n, last, 0.06);
  labels(&gp, "rebound", curves, n, -0.3*last, 0.14);
  labels(&gp, "slow", curves, n, 0.4, 0.14);
  velocity_blocks(&gp, curves, n);
  measured_block(&gp, &curves[0]);
  gp_finish(&gp, "force-velocity");
}

void plot_force_travel(FILE *stream, const struct curves *curves, int n)
{
  n = at_most(n, GP_CURVES_MAX);
  struct gp gp = gp_begin(stream, "force-travel",
                          "Force of one leg, all but still, against travel");
  names_write(&gp, curves, n);
  double place[GP_CURVES_MAX], most = 1, sag[GP_CURVES_MAX], metal[GP_CURVES_MAX];
  for (int k = 0; k < n; k++) {
    const struct travel_point *end = &curves[k].travel[curves[k].m - 1];
    place[k] = end->spring + end->air;
    most = fmax(most, place[k] + end->friction_compression);
    sag[k] = 1e3*curves[k].statics.x_rider;
    metal[k] = 1e3*end->x;
  }
  double far = 0;
  for (int k = 0; k < n; k++) far = fmax(far, metal[k]);
  gp_number(&gp, "force_most", 1.05*most);
  gp_number(&gp, "travel_most", far);
  gp_numbers(&gp, "sag_mm", sag, n);
  gp_numbers(&gp, "metal_mm", metal, n);
  gp_spread(place, n, 0.05*most);
  gp_numbers(&gp, "force_label", place, n);
  const struct travel_point *end = &curves[0].travel[curves[0].m - 1];
  double parts[3] = {end->spring, end->air, end->spring + end->air};
  gp_spread(parts, 3, 0.05*most);
  gp_numbers(&gp, "part_label", parts, 3);
  for (int k = 0; k < n; k++) {
    gp_block_begin(&gp, "travel", k + 1);
    for (int i = 0; i < curves[k].m; i++) {
      const struct travel_point *at = &curves[k].travel[i];
      double force = at->spring + at->air;
      const double row[] = {1e3 * at->x,
                            at->spring,
                            at->air,
                            force,
                            force + at->friction_compression,
                            force + at->friction_rebound};
      gp_block_row(&gp, row, 6);
    }
    gp_block_end(&gp);
  }
  gp_finish(&gp, "force-travel");
}
