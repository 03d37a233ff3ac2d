// Names from a user must never run anything in gnuplot: pictures are drawn with hostile names, and
// nothing may have happened. TAP. usage: hostile [FOLDER]: with FOLDER harmless names, and scripts
// and pictures stay there, for looking at them.
#include "curves.h"
#include "out_gnuplot.h"
#include "ride_out.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static const char *const hostile[] = {
  "`touch ran-1`",
  "'; system('touch ran-2'); '",
  "a\nsystem('touch ran-3')\n",
  "END\n!touch ran-4\n",
  "\"; system \"touch ran-5\"",
  "<touch ran-6",
  "|touch ran-7",
  "@touch {/Times=99 x} \\`touch ran-8\\` $(touch ran-9)",
  "%n\xff\xfe \xe2\x80\xae done \\",
};
static const char *const harmless[] = {"valved", "plain", "firmer", "softer", "bike-as-found.yaml"};
enum { HOSTILE = sizeof hostile/sizeof *hostile };

// A smooth invented leg: enough to draw.
static void invent(struct curves *curves, const char *name, double size)
{
  static struct df_scenario scenario;
  *curves = (struct curves){.name = name, .scenario = &scenario, .x = 0.065, .n = 301, .m = 101};
  curves->velocity = calloc(curves->n, sizeof *curves->velocity);
  curves->travel = calloc(curves->m, sizeof *curves->travel);
  for (int i = 0; i < curves->n; i++) {
    double v = -3 + 0.02*i;
    curves->velocity[i].steady.v = v;
    curves->velocity[i].steady.damping = v > 0 ? 100*size*v*v/(0.2 + 0.3*v) : -900*size*v*v;
    curves->velocity[i].slope = 2;
  }
  for (int i = 0; i < curves->m; i++) {
    double x = 0.13*i/(curves->m - 1);
    curves->travel[i] = (struct travel_point){
        x, 9000 * size * (x + 0.015), 12 / (0.16 - x) - 75, 30, -30, 1e5, 1e-4};
  }
  curves->statics.x_rider = 0.037;
}

static int touched(void)
{
  int n = 0;
  for (int i = 1; i <= 9; i++) {
    char name[16];
    snprintf(name, sizeof name, "ran-%d", i);
    n += !access(name, F_OK);
  }
  return n;
}

static void draw_ride(FILE *file, const struct curves *curves, int n)
{
  enum { N = 6000 };
  static double at[DF_CHANNELS][N];
  static struct df_scenario scenario;
  scenario.side[0].leg.travel = 0.13, scenario.cone.length = 0.015;
  struct df_ride ride = {.legs = 1, .static_travel = 0.037, .trace = {N, 0, 1e-3, {0}}};
  for (int i = 0; i < N; i++) {
    double t = 1e-3*i, swing = exp(-2*fabs(t - 1))*sin(12*(t - 1))*(t > 1);
    at[DF_C_ROAD][i] = t > 1 ? 0.025 : 0;
    at[DF_C_TRAVEL][i] = 0.037 + 0.05*swing;
    at[DF_C_ACCELERATION][i] = 15*swing;
    at[DF_C_TYRE][i] = 1300 + 1000*swing;
  }
  for (int j = 0; j < DF_C_WHOLE; j++) ride.trace.at[j] = at[j];
  ride.peak[DF_P_TRAVEL] = (struct df_extreme){.most = 0.078, .most_at = 1.12};
  struct ride_shown shown[3];
  for (int k = 0; k < n; k++) shown[k] = (struct ride_shown){curves[k].name, &scenario, &ride};
  plot_ride(file, "ride-edge", curves[0].name, shown, n);
}

static void draw_measures(FILE *file, const struct curves *curves, int n)
{
  double part[3][PEAK_PARTS] = {
      {600, 50, 300, 30, 0, 0}, {900, 150, 500, 40, 0, 0}, {1100, 380, -90, -40, 120, 400}};
  const char *road[3];
  for (int k = 0; k < n; k++) road[k] = curves[k].name;
  plot_measures(file, curves[0].name, road, part, n);
}

// Write one script and draw it. Returns 1 when gnuplot made a picture.
static int draw(const char *stem, void (*plot)(FILE *, const struct curves *, int),
                const struct curves *curves, int n)
{
  char name[64], command[256];
  snprintf(name, sizeof name, "%s.gp", stem);
  FILE *file = fopen(name, "w");
  if (!file) return 0;
  plot(file, curves, n);
  fclose(file);
  snprintf(command, sizeof command, "gnuplot -d %s.gp && gnuplot -d -e \"form='png'\" %s.gp", stem,
           stem);
  struct stat info;
  snprintf(name, sizeof name, "%s.svg", stem);
  return system(command) == 0 && !stat(name, &info) && info.st_size > 1000;
}

int main(int argc, char **argv)
{
  char folder[] = "/tmp/dampfork-hostile-XXXXXX";
  if (argc > 1 ? chdir(argv[1]) : !mkdtemp(folder) || chdir(folder)) return 1;
  struct curves curves[HOSTILE];
  for (int k = 0; k < HOSTILE; k++)
    invent(&curves[k], argc > 1 ? harmless[k % 5] : hostile[k], 1 + 0.1 * k);
  int n = 0;
  for (int k = 0; k < HOSTILE; k += 3) {
    int drawn = draw("force-velocity", plot_force_velocity, curves + k, 3) &&
                draw("force-travel", plot_force_travel, curves + k, 3) &&
                draw("ride-edge", draw_ride, curves + k, 3) &&
                draw("measures", draw_measures, curves + k, 3);
    printf("%sok %d - names %d to %d: pictures drawn, nothing run\n",
           drawn && !touched() ? "" : "not ", ++n, k + 1, k + 3);
  }
  printf("1..%d\n", n);
  for (int k = 0; k < HOSTILE; k++) free(curves[k].velocity), free(curves[k].travel);
  if (argc > 1) return 0;
  char command[128];
  snprintf(command, sizeof command, "rm -r %s", folder);
  return system(command) != 0;
}
