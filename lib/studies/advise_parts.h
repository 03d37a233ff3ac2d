// Shared by the parts of advise: what is ridden, what it is judged by, forks like this one.
#ifndef DF_STUDIES_ADVISE_PARTS_H
#define DF_STUDIES_ADVISE_PARTS_H

#include "dampfork/advise.h"
#include "measures/targets.h"

enum { DF_JUDGED_MAX = 128, DF_WANTED_MAX = 160 };

// A target that is judged on one wanted measure.
struct df_judged {
  int wanted;
  const struct df_target *row; // NULL: the scenario's own
  struct df_expectation own;
};

struct df_advise_plan {
  struct df_reading *reading; // with the roads of the use; not owned
  enum df_use use;
  int wanted_n;
  struct df_wanted wanted[DF_WANTED_MAX];
  int judged_n;
  struct df_judged judged[DF_JUDGED_MAX];
  double plain[DF_WANTED_MAX]; // of the plain twin; NAN
};

// The roads of the scenario's use, and `more` ready roads (NULL past the end), beside its own.
enum df_status df_advise_roads(struct df_reading *reading, const char *const *more, struct df_faults *faults);
int df_advise_road(const struct df_scenario *s, const char *name); // index, -1
int df_advise_is_edge(const struct df_road *road);   // an edge and nothing else
int df_advise_of_use(const struct df_scenario *s, int road); // 1: belongs to its use

// Everything that aims and targets need, on a reading that has its roads.
void df_advise_plan_init(struct df_advise_plan *plan, struct df_reading *reading);
// Index of a measure on a road (-1: static), put in when it is not there yet; -1: no room.
int df_advise_want(struct df_advise_plan *plan, int road, const char *measure);
int df_advise_wanted(const struct df_advise_plan *plan, int road, const char *measure); // index, -1
// Aims of one set of values.
void df_advise_aims(const struct df_advise_plan *plan, const double *value, double *aim);
// How far outside one target a value is, as a share of its limit; NAN: no judgement.
double df_advise_miss(const struct df_advise_plan *plan, const struct df_judged *judged, double value);
// Sum over all targets; met: how many are.
double df_advise_misses(const struct df_advise_plan *plan, const double *value, int *met);
// Ride the plain twin once, for the targets that need it.
enum df_status df_advise_plain(struct df_advise_plan *plan, const struct df_ride_options *options, int threads);

// ---- forks like this one ----
// One draw of everything that is not exactly known: what was given moves by how well it can be
// measured, what was assumed over its range, friction and brake ramp with it. The law of the holes stays:
// other laws take a hundred times as long, and they bear on both settings alike.
struct df_draws;
enum df_status df_draws_create(struct df_draws **out, const struct df_reading *reading, int n, unsigned long seed);
void df_draws_destroy(struct df_draws *draws);
int df_draws_n(const struct df_draws *draws);
// Draw i laid upon a setting of that reading. DF_BAD_INPUT: it contradicts itself.
enum df_status df_draw_lay(const struct df_draws *draws, int i, const struct df_reading *setting, struct df_scenario *out);

#endif
