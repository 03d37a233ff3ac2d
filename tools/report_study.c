// What a report shows besides rides: cold and hot oil, other levels, what each value is worth.
#include "report_work.h"

#include "jobs.h"

#include "dampfork/sheet.h"
#include "scenario/params.h"
#include "studies/variants.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FACTORS_MAX = 160 };
static const double level_step = 5e-3;             // m, what a syringe or a slip of the hand is worth
static const double zero = 273.15, hot = DF_HOT_OIL; // K

// ---- cold and hot ----
static void heat_run(struct report *r)
{
  const double at[REPORT_TEMPERATURES] = {DF_COLD, r->fork[1].side[0].oil.temperature, hot};
  char reason[160];
  for (int i = 0; i < REPORT_TEMPERATURES; i++) {
    struct df_scenario *s =
        report_variant(r, 1, "oil.temperature", at[i] - zero, "degC", reason, sizeof reason);
    r->heat[i] = at[i];
    for (int k = 0; k < REPORT_SPEEDS; k++) r->heat_force[i][k] = NAN;
    if (s) report_curve(s, r->curve[1].speed, r->heat_force[i]);
    free(s);
  }
}

// ---- levels ----
static void levels_run(struct report *r)
{
  char reason[160];
  for (int i = 0; i < REPORT_LEVELS; i++) {
    struct report_level *at = &r->level[i];
    struct df_statics statics;
    double level = r->fork[1].side[0].air.oil_level + (i - REPORT_LEVELS / 2) * level_step;
    struct df_scenario *s =
        report_variant(r, 1, "air.oil_level", 1e3 * level, "mm", reason, sizeof reason);
    *at = (struct report_level){level, NAN, NAN, NAN};
    if (s && df_rest_of(s, &statics, NULL) == DF_OK)
      at->end_force = statics.end_force, at->pressure = statics.pressure_end,
      at->sag = statics.x_rider - statics.free_travel;
    free(s);
  }
}

// ---- what each value is worth ----
struct worth_work {
  struct df_factor factor[FACTORS_MAX];
  int n;
  struct df_wanted wanted[REPORT_FIGURES];
  struct df_scenario *s[2 * FACTORS_MAX + 1];
  struct df_case cases[2 * FACTORS_MAX + 1];
  double value[2 * FACTORS_MAX + 1][REPORT_FIGURES];
};

static int cases_make(const struct report *r, struct worth_work *w)
{
  char reason[160];
  int n = 0;
  for (int i = 0; i < 2 * w->n + 1; i++) {
    const struct df_factor *f = &w->factor[(i - 1) / 2];
    for (int k = 0; k < REPORT_FIGURES; k++) w->value[i][k] = NAN;
    if (!i) {
      w->s[0] = malloc(sizeof **w->s);
      if (!w->s[0]) return 0;
      memcpy(w->s[0], &r->fork[1], sizeof **w->s);
    } else
      w->s[i] = report_variant(r, 1, f->path, i % 2 ? f->low : f->high, f->unit, reason,
                               sizeof reason);
    if (w->s[i]) w->cases[n++] = (struct df_case){.scenario = w->s[i], .values = w->value[i]};
  }
  return n;
}

static double weight_of(const struct report_worth *at)
{
  double most = 0;
  for (int k = 0; k < REPORT_FIGURES; k++)
    if (isfinite(at->share[k])) most = fmax(most, fabs(at->share[k]));
  return most;
}

static int heavier(const void *a, const void *b)
{
  double x = weight_of(a), y = weight_of(b);
  return (x < y) - (x > y);
}

static void worths_take(struct report *r, const struct worth_work *w)
{
  struct report_worth all[FACTORS_MAX];
  for (int i = 0; i < w->n; i++) {
    all[i].factor = w->factor[i];
    for (int k = 0; k < REPORT_FIGURES; k++) {
      all[i].effect[k] = w->value[2 + 2 * i][k] - w->value[1 + 2 * i][k];
      all[i].share[k] = all[i].effect[k] / w->value[0][k];
    }
  }
  qsort(all, (size_t)w->n, sizeof *all, heavier);
  r->worth_n = w->n < REPORT_WORTHS ? w->n : REPORT_WORTHS;
  memcpy(r->worth, all, (size_t)r->worth_n * sizeof *all);
}

static int worths_run(struct report *r)
{
  struct worth_work *w = calloc(1, sizeof *w);
  if (!w) return EXIT_OUTPUT;
  int known = 1;
  for (int k = 0; k < REPORT_FIGURES; k++)
    if (r->figure[k] < 0) known = 0;
    else w->wanted[k] = r->told[r->figure[k]];
  w->n = known ? df_factors_find(r->c.reading[1], w->factor, FACTORS_MAX) : 0;
  int n = known ? cases_make(r, w) : 0;
  enum df_status status = DF_OK;
  if (n)
    status = df_cases_run(w->cases, n, w->wanted, REPORT_FIGURES, &r->c.options,
                          jobs_wanted(r->call), NULL);
  if (n && status == DF_OK) worths_take(r, w);
  for (int i = 0; i < 2 * w->n + 1; i++) free(w->s[i]);
  free(w);
  return status == DF_NO_MEMORY ? EXIT_OUTPUT : 0;
}

int report_study(struct report *r)
{
  if (r->fork[1].side[0].leg.has_linear) return 0;
  heat_run(r);
  levels_run(r);
  int status = worths_run(r);
  return stop_signal ? stop_status() : status;
}
