// The set that nothing beats, as a picture and as its table. Names of the data are those of plots/README.md.
#include "advise_work.h"
#include "out_gnuplot.h"

#include <math.h>

enum { PANELS = 2, MARKS = 4 };
// Across and upwards of each panel.
static const enum df_aim axes[2*PANELS] = {DF_AIM_OVERSHOOT, DF_AIM_EDGES, DF_AIM_REST, DF_AIM_DIVE_EDGE};

static double aim_at(const struct df_advice *a, int i, int axis)
{
  return a->setting[i].aim[axes[axis]]*df_aims[axes[axis]].per_si;
}

// The settings that carry a name, as indices; -1: there is none.
static int marked(const struct df_advice *a, int i)
{
  return (const int[MARKS]){0, a->proposed, a->softer, a->firmer}[i];
}

static void ranges(struct gp *gp, const struct df_advice *a, const char *name, int first)
{
  double low[PANELS], high[PANELS];
  char variable[40];
  for (int p = 0; p < PANELS; p++) {
    low[p] = INFINITY, high[p] = -INFINITY;
    for (int i = 0; i < a->n; i++) {
      int shown = a->setting[i].unbeaten;
      for (int m = 0; m < MARKS; m++) shown |= marked(a, m) == i;
      double at = aim_at(a, i, 2*p + first);
      if (shown && isfinite(at)) low[p] = fmin(low[p], at), high[p] = fmax(high[p], at);
    }
    if (!(low[p] <= high[p])) low[p] = 0, high[p] = 1;
    double room = fmax(0.08*(high[p] - low[p]), 0.01*fabs(high[p]) + 1e-9);
    low[p] -= room, high[p] += 2*room;                 // names stand to the right of their points and above
  }
  snprintf(variable, sizeof variable, "%s_low", name), gp_numbers(gp, variable, low, PANELS);
  snprintf(variable, sizeof variable, "%s_high", name), gp_numbers(gp, variable, high, PANELS);
}

void advise_plot(FILE *stream, const struct advise_work *w)
{
  static const char *const names[MARKS] = {"now", "proposed", "softer", "firmer"};
  const struct df_advice *a = &w->advice;
  struct gp gp = gp_begin(stream, "unbeaten", "The settings that nothing ridden beats in everything");
  char title[160], meaning[160];
  int n = 0;
  for (int i = 0; i < a->n; i++) n += a->setting[i].unbeaten;
  snprintf(title, sizeof title, "What nothing beats: %d of %d settings", n, a->n);
  snprintf(meaning, sizeof meaning, "a circle: no other is better in all six aims; left and lower is better");
  gp_text(&gp, "title", title), gp_text(&gp, "meaning", meaning);
  ranges(&gp, a, "across", 0), ranges(&gp, a, "upward", 1);
  const char *name[MARKS];
  double kind[MARKS];
  int mark[MARKS], marks = 0;
  for (int m = 0; m < MARKS; m++) {                    // nothing better is known: "now" alone
    if (marked(a, m) < 0 || (m && marked(a, m) == 0)) continue;
    mark[marks] = marked(a, m), name[marks] = names[m], kind[marks++] = m + 1;
  }
  gp_number(&gp, "marks", marks), gp_texts(&gp, "mark", name, marks), gp_numbers(&gp, "kind", kind, marks);
  gp_block_begin(&gp, "unbeaten", 0);
  for (int i = 0; i < a->n; i++)
    if (a->setting[i].unbeaten)
      gp_block_row(&gp, (double[4]){aim_at(a, i, 0), aim_at(a, i, 1), aim_at(a, i, 2), aim_at(a, i, 3)}, 4);
  gp_block_end(&gp);
  gp_block_begin(&gp, "marked", 0);
  for (int m = 0; m < marks; m++) {
    int i = mark[m];
    gp_block_row(&gp, (double[4]){aim_at(a, i, 0), aim_at(a, i, 1), aim_at(a, i, 2), aim_at(a, i, 3)}, 4);
  }
  gp_block_end(&gp);
  gp_finish(&gp, "unbeaten");
}
