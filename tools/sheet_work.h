// What `sheet` computed, for its page, its figures and its files.
#ifndef DF_TOOLS_SHEET_WORK_H
#define DF_TOOLS_SHEET_WORK_H

#include "commands.h"
#include "load.h"
#include "sheet_page.h"
#include "shown.h"

#include "dampfork/sheet.h"

// One leg.
struct sheet_side {
  struct df_spacer_sum spacer;
  struct df_valve_setting valve[3]; // half a turn out, as set, half a turn in
  struct df_rod_plan plan;
  struct df_rod_load load;
  struct df_drill_strength strength;
  struct df_rod_share now, share[DF_ROD_SHARES];
  double rebound[2];          // N at 0.3 m/s: after and before opening; NAN: not known
  double burr[2];             // Pa across the rod at 1 m/s: sharp and chamfered
  double passing[2];          // N of rebound at half and at full travel
  double limit[2];            // N of rebound at full travel: as planned, holes above the limit
  struct df_oil_fill fill;
  struct df_acceptance test;
};

struct sheet_work {
  struct call *call;
  struct loaded loaded;
  struct df_scenario *scenario; // as the tools can make it
  struct df_rounding rounding[DF_ROUNDINGS_MAX];
  int rounding_n;
  struct df_refused refused[DF_REFUSED_MAX];
  int refused_n;
  int solved;                 // 1: everything below is filled
  int sides;                  // that differ
  struct df_statics statics;
  struct df_sag sag[DF_SAG_LOADS];
  enum df_sag_load aboard;    // whose sag the target is about
  double sag_low, sag_high;   // 1, target share; NAN: none
  double wanted;              // m, sag in the middle of the target
  struct df_spring_bracket bracket;
  struct sheet_side side[DF_SIDES];
  struct df_half_turn half;   // rides with half a turn out, as set, in
  struct df_blend_recipe blend;
  int has_blend;
  int given, assumed;         // values of the scenario
};

// Compute everything. Returns 0 or an exit status; a refused set-up is no failure here.
int sheet_compute(struct sheet_work *work);

// Figures with the resolution of a tool: "169.5 mm" with a step of 0.5 mm, in the unit of the kind.
const char *stepped(enum kind kind, double si, double step);
const char *stepped_bare(enum kind kind, double si, double step);

// "~" where a value was assumed.
const char *sheet_mark(const struct sheet_work *work, const char *path);

// The page, the empty form, the figures.
void sheet_page(const struct sheet_work *work, FILE *stream, int html);
void sheet_blank(FILE *stream, int html, const struct loaded *loaded);
void sheet_json(const struct sheet_work *work);
void sheet_csv(const struct sheet_work *work);

// Where the compression holes stand; nothing where heights are not known. outside: m, of the rod.
void sheet_sketch(struct page *page, const struct df_rod_plan *plan, double outside);

// The cautions, in the order of the work; the page prints them above their steps.
struct sheet_caution { const char *where, *text; };
extern const struct sheet_caution sheet_cautions[];
const char *sheet_caution(const char *where);

// sheet --measured: compares and answers. Returns an exit status; 0 also when not settled.
int sheet_measured(struct sheet_work *work, int *settled);

#endif
