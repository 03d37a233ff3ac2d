// Choosing settings: draw some, refine the best, keep those that nothing beats, judge them over forks
// like this one, propose one. Every figure comes from a ride.
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>

#include "dampfork/sheet.h"
#include "dampfork/study.h"
#include "studies/advise_parts.h"

enum {
  SAMPLE = 32,                // settings; neighbours of the best come on top
  DRAWS = 20,                 // 9 of 10 is 18 of them
  ROUNDS = 3, LEADERS = 3,    // refining: neighbours of the best few
  SHORT = 8, LONG = 24        // settings that are judged over draws; so many when none of the first is better without a loss
};
static const double kept_share = 0.9;  // "9 of 10 forks like this one"
static const double gain_most = 0.3;   // 1, of one aim: none may buy all others
static const double loss_weight = 2;   // a loss counts double: nobody rebuilds a fork to swap evils
static const double near_loss = 0.75;  // 1, of what can be felt: room for other draws
static const double change_cost = 0.01; // 1 for each value changed: of equals the least work
static const double sag_slack = 0.005; // 1, of the travel: half a millimetre

struct search {
  struct df_advice *advice;
  struct df_advise_plan plan;
  const struct df_advise_options *options;
  struct df_ride_options ride;
  struct df_draws *draws;
  int room;
  double (*now_aim)[DF_AIMS]; // of the present setting in every draw
  double (*own_aim)[DF_AIMS]; // of the one that is judged
};

// ---- settings ----
int df_aims_beat(const double *a, const double *b)
{
  int better = 0;
  for (int k = 0; k < DF_AIMS; k++) {
    if (isnan(a[k]) || isnan(b[k])) continue;
    double gain = df_aims[k].better*(a[k] - b[k]), felt = df_aim_felt((enum df_aim)k, b[k]);
    if (gain < 0) return 0;
    better |= gain > felt;
  }
  return better;
}

static int stride(const struct df_choice *choice)
{
  return choice->n > 8 ? choice->n/8 : 1;
}

int df_settings_near(const struct df_advice *a, int i, const struct df_advice *b, int j)
{
  for (int k = 0; k < a->choice_n; k++)
    if (abs(a->setting[i].at[k] - b->setting[j].at[k]) > stride(&a->choice[k])) return 0;
  return 1;
}

static int known(const struct df_advice *a, const int *at)
{
  for (int i = 0; i < a->n; i++)
    if (!memcmp(a->setting[i].at, at, (size_t)a->choice_n*sizeof *at)) return i;
  return -1;
}

// A place for a setting; its index, known or new; -1: no memory.
static int setting_add(struct search *s, const int *at)
{
  struct df_advice *a = s->advice;
  int i = known(a, at);
  if (i >= 0) return i;
  if (a->n == s->room) {
    int room = s->room ? 2*s->room : 256;
    struct df_setting *more = realloc(a->setting, (size_t)room*sizeof *more);
    if (!more) return -1;
    a->setting = more, s->room = room;
  }
  struct df_setting *new = &a->setting[a->n];
  *new = (struct df_setting){.drawn = 0};
  memcpy(new->at, at, (size_t)a->choice_n*sizeof *at);
  new->value = malloc((size_t)s->plan.wanted_n*sizeof *new->value);
  if (!new->value) return -1;
  for (int k = 0; k < s->plan.wanted_n; k++) new->value[k] = NAN;
  for (int k = 0; k < DF_AIMS; k++) new->aim[k] = new->robust[k] = new->gain[k] = new->kept[k] = NAN;
  new->miss = new->robust_miss = INFINITY;
  return a->n++;
}

static int refused(struct search *s, int i, const struct df_scenario *scenario)
{
  struct df_refused list[DF_REFUSED_MAX];
  struct df_advice *a = s->advice;
  if (!df_setup_refused(scenario, list)) return 0;
  a->refused_n++;
  if (i == 0) a->now_refused = 1;
  if (a->refused_n == 1 || i == 0) snprintf(a->refused, sizeof a->refused, "%s", list[0].text);
  return 1;
}

static double sag_miss(const struct search *s, const double *value)
{
  static const char *const names[] = {"sag_rider_share", "sag_loaded_share"};
  double sum = 0;
  for (int i = 0; i < s->plan.judged_n; i++) {
    const struct df_judged *j = &s->plan.judged[i];
    const char *name = df_measures[s->plan.wanted[j->wanted].measure].name;
    if (strcmp(name, names[0]) && strcmp(name, names[1])) continue;
    double miss = df_advise_miss(&s->plan, j, value[j->wanted]);
    if (isfinite(miss)) sum += miss;
  }
  return sum;
}

// What the rides of one setting say. The present one is never left out for its sag.
static void setting_judge(struct search *s, int i, enum df_status status)
{
  struct df_setting *x = &s->advice->setting[i], *now = &s->advice->setting[0];
  df_advise_aims(&s->plan, x->value, x->aim);
  x->miss = df_advise_misses(&s->plan, x->value, &x->met);
  if (status != DF_OK) x->failed = 1;
  if (i && sag_miss(s, x->value) > sag_miss(s, now->value) + sag_slack) x->failed = 1;
}

// Ride settings from first on, all roads.
static enum df_status settings_ride(struct search *s, int first)
{
  struct df_advice *a = s->advice;
  int n = a->n - first, ready = 0;
  struct df_scenario *scenario = malloc((size_t)(n + 1)*sizeof *scenario);
  struct df_case *cases = calloc((size_t)n + 1, sizeof *cases);
  int *of = calloc((size_t)n + 1, sizeof *of);
  enum df_status status = scenario && cases && of ? DF_OK : DF_NO_MEMORY;
  for (int i = first; i < a->n && status == DF_OK; i++) {
    struct df_reading *reading;
    enum df_status one = df_choices_set(a->reading, a->choice, a->choice_n, a->setting[i].at, &reading, NULL);
    a->setting[i].failed = one != DF_OK;
    if (one == DF_NO_MEMORY) status = one;
    if (one != DF_OK) continue;
    memcpy(&scenario[ready], df_reading_scenario(reading), sizeof *scenario);
    df_reading_destroy(reading);
    if (refused(s, i, &scenario[ready]) && i) { a->setting[i].failed = 1; continue; }
    cases[ready] = (struct df_case){.scenario = &scenario[ready], .values = a->setting[i].value};
    of[ready++] = i;
  }
  if (status == DF_OK && ready)
    status = df_cases_run(cases, ready, s->plan.wanted, s->plan.wanted_n, &s->ride, s->options->threads, s->options->done);
  for (int k = 0; k < ready && status == DF_OK; k++) setting_judge(s, of[k], cases[k].status);
  a->rides += ready;
  free(scenario);
  free(cases);
  free(of);
  return status;
}

// ---- the search ----
// What a setting is worth beside the present one: gains as shares, losses doubled, targets, work. Of
// aims and misses as they stand, or as 9 of 10 keep them.
static double worth(const struct df_advice *a, const struct df_setting *x, int robust)
{
  const struct df_setting *now = &a->setting[0];
  double sum = 0, travel = df_reading_scenario(a->reading)->side[0].leg.travel;
  for (int k = 0; k < DF_AIMS; k++) {
    double from = robust ? now->robust[k] : now->aim[k], to = robust ? x->robust[k] : x->aim[k];
    if (!isfinite(from) || !isfinite(to)) continue;
    double scale = k == DF_AIM_RESERVE ? travel : fmax(fabs(from), 10*df_aims[k].felt);
    double gain = df_aims[k].better*(to - from)/scale;
    sum += fmin(gain, gain_most)*(gain < 0 ? loss_weight : 1);
  }
  for (int k = 0; k < a->choice_n; k++) sum -= x->at[k] != now->at[k] ? change_cost : 0;
  return sum - (robust ? x->robust_miss - now->robust_miss : x->miss - now->miss);
}

// 1: nothing that can be felt is worse than at present.
static int loses_nothing(const struct df_advice *a, const struct df_setting *x, double room)
{
  const struct df_setting *now = &a->setting[0];
  for (int k = 0; k < DF_AIMS; k++)
    if (df_aims[k].better*(x->aim[k] - now->aim[k]) < -room*df_aim_felt((enum df_aim)k, now->aim[k])) return 0;
  return 1;
}

// The best few: a third that lose nothing by a margin, a third that lose nothing, the rest of all. Returns how many.
static int leaders(const struct df_advice *a, int *list, int most)
{
  int n = 0;
  for (int pass = 0; pass < 3; pass++) {
    int want = pass == 0 ? (most + 1)/3 : pass == 1 ? most - most/3 : most;
    while (n < want) {
      int best = -1;
      for (int i = 1; i < a->n; i++) {
        int taken = a->setting[i].failed || (pass < 2 && !loses_nothing(a, &a->setting[i], pass ? 1 : near_loss));
        for (int j = 0; j < n; j++) taken |= list[j] == i;
        if (!taken && (best < 0 || worth(a, &a->setting[i], 0) > worth(a, &a->setting[best], 0))) best = i;
      }
      if (best < 0) break;
      list[n++] = best;
    }
  }
  return n;
}

static enum df_status draw_settings(struct search *s)
{
  struct df_advice *a = s->advice;
  struct df_sobol *sobol;
  double u[DF_SOBOL_DIMENSIONS];
  int at[DF_CHOICES_MAX], sample = s->options->sample > 0 ? s->options->sample : SAMPLE;
  enum df_status status = df_sobol_create(&sobol, a->choice_n, s->options->seed);
  for (int i = 0; i < sample && status == DF_OK; i++) {
    df_sobol_point(sobol, i, u);
    for (int k = 0; k < a->choice_n; k++) at[k] = (int)(u[k]*a->choice[k].n);
    if (setting_add(s, at) < 0) status = DF_NO_MEMORY;
  }
  df_sobol_destroy(sobol);
  return status;
}

static enum df_status add_neighbours(struct search *s, int of)
{
  struct df_advice *a = s->advice;
  int at[DF_CHOICES_MAX];
  for (int k = 0; k < a->choice_n; k++)
    for (int sign = -1; sign <= 1; sign += 2) {
      memcpy(at, a->setting[of].at, sizeof at);
      at[k] += sign*stride(&a->choice[k]);
      if (at[k] < 0 || at[k] >= a->choice[k].n) continue;
      if (setting_add(s, at) < 0) return DF_NO_MEMORY;
    }
  return DF_OK;
}

static enum df_status refine(struct search *s)
{
  int list[LEADERS + 1];
  for (int round = 0; round < ROUNDS; round++) {
    int first = s->advice->n, n = leaders(s->advice, list, LEADERS);
    enum df_status status = DF_OK;
    if (round == 0) status = add_neighbours(s, 0);
    for (int i = 0; i < n && status == DF_OK; i++) status = add_neighbours(s, list[i]);
    if (status == DF_OK && s->advice->n > first) status = settings_ride(s, first);
    if (status != DF_OK) return status;
  }
  return DF_OK;
}

static void mark_unbeaten(struct df_advice *a)
{
  for (int i = 0; i < a->n; i++) {
    int beaten = a->setting[i].failed;
    for (int j = 0; j < a->n && !beaten; j++)
      beaten = j != i && !a->setting[j].failed && df_aims_beat(a->setting[j].aim, a->setting[i].aim);
    a->setting[i].unbeaten = !beaten;
  }
}

// ---- over draws ----
static double quantile(double *value, int n, double p)
{
  if (!n) return NAN;
  gsl_sort(value, 1, (size_t)n);
  return gsl_stats_quantile_from_sorted_data(value, 1, (size_t)n, p);
}

// One aim over all draws: the level that 9 of 10 keep, and the gain over the present setting.
static void aim_robust(const struct search *s, struct df_setting *x, int k, double (*aim)[DF_AIMS], double *room)
{
  int draws = df_draws_n(s->draws), n = 0, kept = 0;
  double *gain = room + draws;
  for (int d = 0; d < draws; d++) {
    if (!isfinite(aim[d][k]) || !isfinite(s->now_aim[d][k])) continue;
    gain[n] = df_aims[k].better*(aim[d][k] - s->now_aim[d][k]);
    kept += gain[n] >= 0;
    room[n++] = aim[d][k];
  }
  x->kept[k] = n ? (double)kept/n : NAN;
  x->robust[k] = quantile(room, n, df_aims[k].better < 0 ? kept_share : 1 - kept_share);
  x->gain[k] = quantile(gain, n, 0.5);
}

static int counts_better(const struct df_advice *a, const struct df_setting *x, int k)
{
  return x->kept[k] >= kept_share && x->gain[k] > df_aim_felt((enum df_aim)k, a->setting[0].aim[k]);
}

static int counts_worse(const struct df_advice *a, const struct df_setting *x, int k)
{
  return x->gain[k] < -df_aim_felt((enum df_aim)k, a->setting[0].aim[k]);
}

// Draws in which everything that counts as better is.
static double sure_share(const struct search *s, const struct df_setting *x, double (*aim)[DF_AIMS])
{
  int sure = 0, n = 0;
  for (int d = 0; d < df_draws_n(s->draws); d++) {
    int good = 1;
    if (!isfinite(aim[d][0])) continue;
    for (int k = 0; k < DF_AIMS; k++) {
      double gain = df_aims[k].better*(aim[d][k] - s->now_aim[d][k]);
      if (counts_better(s->advice, x, k) && !(gain > 0)) good = 0;
    }
    sure += good, n++;
  }
  return n ? (double)sure/n : NAN;
}

static void targets_robust(const struct search *s, struct df_setting *x, const double *own, double *room)
{
  x->robust_met = 0, x->robust_miss = 0;
  for (int i = 0; i < s->plan.judged_n; i++) {
    int n = 0;
    for (int d = 0; d < df_draws_n(s->draws); d++) {
      const struct df_judged *j = &s->plan.judged[i];
      double miss = df_advise_miss(&s->plan, j, own[d*s->plan.wanted_n + j->wanted]);
      if (isfinite(miss)) room[n++] = miss;
    }
    if (!n) continue;
    double miss = quantile(room, n, kept_share);
    x->robust_met += miss <= 1e-9, x->robust_miss += fmin(miss, 1);
  }
}

static void robust_judge(struct search *s, int i, const double *own, double *room)
{
  struct df_setting *x = &s->advice->setting[i];
  double (*aim)[DF_AIMS] = i ? s->own_aim : s->now_aim;
  x->drawn = 0, x->wins = x->losses = 0;
  for (int d = 0; d < df_draws_n(s->draws); d++) {
    df_advise_aims(&s->plan, own + d*s->plan.wanted_n, aim[d]);
    x->drawn += isfinite(own[d*s->plan.wanted_n]);
  }
  for (int k = 0; k < DF_AIMS; k++) aim_robust(s, x, k, aim, room);
  for (int k = 0; k < DF_AIMS; k++) x->wins += counts_better(s->advice, x, k), x->losses += counts_worse(s->advice, x, k);
  x->sure = sure_share(s, x, aim);
  targets_robust(s, x, own, room);
}

static enum df_status draws_lay(struct search *s, int i, struct df_scenario *scenario, struct df_case *cases, double *own)
{
  struct df_reading *reading;
  const struct df_advice *a = s->advice;
  int draws = df_draws_n(s->draws), n = 0;
  enum df_status status = df_choices_set(a->reading, a->choice, a->choice_n, a->setting[i].at, &reading, NULL);
  if (status != DF_OK) return status;
  for (int d = 0; d < draws; d++) {
    for (int k = 0; k < s->plan.wanted_n; k++) own[d*s->plan.wanted_n + k] = NAN;
    if (df_draw_lay(s->draws, d, reading, &scenario[n]) != DF_OK) continue;
    cases[n] = (struct df_case){.scenario = &scenario[n], .values = own + d*s->plan.wanted_n}, n++;
  }
  df_reading_destroy(reading);
  status = n ? df_cases_run(cases, n, s->plan.wanted, s->plan.wanted_n, &s->ride, s->options->threads, s->options->done)
             : DF_OK;
  for (int k = 0; k < n; k++) // a ride that failed says nothing about its fork's other roads
    if (cases[k].status != DF_OK)
      for (int w = 0; w < s->plan.wanted_n; w++) cases[k].values[w] = NAN;
  s->advice->rides += n;
  return status;
}

// Ride settings over all draws; the present one must have been first.
static enum df_status robust_ride(struct search *s, const int *list, int n)
{
  int draws = df_draws_n(s->draws);
  struct df_scenario *scenario = malloc((size_t)draws*sizeof *scenario);
  struct df_case *cases = calloc((size_t)draws, sizeof *cases);
  double *own = malloc((size_t)(draws*s->plan.wanted_n)*sizeof *own), *room = malloc((size_t)(2*draws)*sizeof *room);
  enum df_status status = scenario && cases && own && room ? DF_OK : DF_NO_MEMORY;
  for (int i = 0; i < n && status == DF_OK; i++) {
    if (s->advice->setting[list[i]].drawn) continue;
    status = draws_lay(s, list[i], scenario, cases, own);
    if (status == DF_OK) robust_judge(s, list[i], own, room);
  }
  free(scenario);
  free(cases);
  free(own);
  free(room);
  return status;
}

// ---- proposing ----
// 1: an aim is so close to a loss that forks drawn anew could make it one.
static int close_to_loss(const struct df_advice *a, const struct df_setting *x)
{
  for (int k = 0; k < DF_AIMS; k++)
    if (x->gain[k] < -near_loss*df_aim_felt((enum df_aim)k, a->setting[0].aim[k])) return 1;
  return 0;
}

static int best_of(const struct df_advice *a, int safe)
{
  int best = -1;
  for (int i = 1; i < a->n; i++) {
    const struct df_setting *x = &a->setting[i];
    if (x->failed || !x->drawn || (safe && (x->wins < 2 || x->losses)) || (safe > 1 && close_to_loss(a, x))) continue;
    if (best < 0 || worth(a, x, 1) > worth(a, &a->setting[best], 1)) best = i;
  }
  return best;
}

static void propose(struct df_advice *a)
{
  int clear = best_of(a, 2), safe = clear > 0 ? clear : best_of(a, 1), any = best_of(a, 0);
  a->safe = safe > 0;
  a->proposed = safe > 0 ? safe : any > 0 && worth(a, &a->setting[any], 1) > 0 ? any : 0;
}

// 1: setting i differs from the proposed one in one value, by one step.
static int is_neighbour(const struct df_advice *a, int i)
{
  int moved = 0;
  for (int k = 0; k < a->choice_n; k++) moved += a->setting[i].at[k] != a->setting[a->proposed].at[k];
  return moved == 1 && !a->setting[i].failed && df_settings_near(a, i, a, a->proposed);
}

// Softer and firmer: of the settings one step away, the one that passes on least of the edges, and the
// one that dives least.
static void neighbours_choose(struct df_advice *a)
{
  double soft = 0, firm = 0;
  const struct df_setting *p = &a->setting[a->proposed];
  a->softer = a->firmer = -1;
  for (int i = 0; i < a->n; i++) {
    const struct df_setting *x = &a->setting[i];
    if (!x->drawn || !is_neighbour(a, i)) continue;
    double edges = (p->aim[DF_AIM_EDGES] - x->aim[DF_AIM_EDGES])/p->aim[DF_AIM_EDGES];
    double dive = (p->aim[DF_AIM_REST] + p->aim[DF_AIM_OVERSHOOT] - x->aim[DF_AIM_REST] - x->aim[DF_AIM_OVERSHOOT])
                  /(p->aim[DF_AIM_REST] + p->aim[DF_AIM_OVERSHOOT]);
    if (edges > soft) soft = edges, a->softer = i;
    if (dive > firm && edges <= 0) firm = dive, a->firmer = i;
  }
}

static enum df_status neighbours_ride(struct search *s)
{
  struct df_advice *a = s->advice;
  int list[2*DF_CHOICES_MAX], n = 0, first = a->n;
  enum df_status status = add_neighbours(s, a->proposed);
  if (status == DF_OK && a->n > first) status = settings_ride(s, first);
  for (int i = 0; i < a->n && n < 2*DF_CHOICES_MAX; i++)
    if (is_neighbour(a, i)) list[n++] = i;
  if (status == DF_OK) status = robust_ride(s, list, n);
  if (status == DF_OK) neighbours_choose(a);
  return status;
}

static enum df_status search_run(struct search *s)
{
  struct df_advice *a = s->advice;
  int list[LONG + 2], at[DF_CHOICES_MAX] = {0};
  for (int k = 0; k < a->choice_n; k++) at[k] = a->choice[k].at_now;
  enum df_status status = df_advise_plain(&s->plan, &s->ride, s->options->threads);
  if (status == DF_OK && setting_add(s, at) < 0) status = DF_NO_MEMORY;
  if (status == DF_OK) status = settings_ride(s, 0);
  if (status == DF_OK && s->options->also && setting_add(s, s->options->also) < 0) status = DF_NO_MEMORY;
  if (status == DF_OK) status = draw_settings(s);
  if (status == DF_OK) status = settings_ride(s, 1);
  if (status == DF_OK) status = refine(s);
  if (status != DF_OK) return status;
  mark_unbeaten(a);
  int n = leaders(a, list + 1, SHORT);
  list[0] = 0;
  if (s->options->also && (a->also = known(a, s->options->also)) > 0) list[++n] = a->also;
  status = df_draws_create(&s->draws, a->reading, s->options->draws > 0 ? s->options->draws : DRAWS, s->options->seed);
  if (status == DF_OK && !(s->now_aim = calloc(2*(size_t)df_draws_n(s->draws), sizeof *s->now_aim))) status = DF_NO_MEMORY;
  if (status == DF_OK) s->own_aim = s->now_aim + df_draws_n(s->draws);
  if (status == DF_OK) status = robust_ride(s, list, n + 1);
  if (status != DF_OK) return status;
  propose(a);
  if (!a->safe) {
    status = robust_ride(s, list, leaders(a, list, LONG));
    propose(a);
  }
  return status == DF_OK ? neighbours_ride(s) : status;
}

static enum df_status advice_begin(struct search *s, const struct df_reading *reading, struct df_faults *faults)
{
  struct df_advice *a = s->advice;
  a->proposed = a->softer = a->firmer = -1;
  if (!(a->reading = df_reading_copy(reading))) return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  enum df_status status = df_advise_roads(a->reading, NULL, faults);
  if (status == DF_OK)
    status = df_choices_make(a->reading, s->options->key, s->options->key_n, a->choice, &a->choice_n, faults);
  if (status == DF_OK && !a->choice_n)
    return df_fault_add(faults, DF_UNKNOWN_NAME, "leg.linear", "a linear leg has nothing that can be set");
  if (status == DF_OK) df_advise_plan_init(&s->plan, a->reading);
  return status;
}

static enum df_status advice_keep(struct search *s)
{
  struct df_advice *a = s->advice;
  size_t n = (size_t)s->plan.wanted_n;
  a->wanted_n = s->plan.wanted_n, a->target_n = s->plan.judged_n;
  a->wanted = malloc((n + 1)*sizeof *a->wanted), a->plain = malloc((n + 1)*sizeof *a->plain);
  if (!a->wanted || !a->plain) return DF_NO_MEMORY;
  memcpy(a->wanted, s->plan.wanted, n*sizeof *a->wanted);
  memcpy(a->plain, s->plan.plain, n*sizeof *a->plain);
  return DF_OK;
}

// Cases are counted while they run; a ride is a case on one road.
static void count_rides(struct search *s)
{
  int roads = 0;
  for (int r = 0; r < DF_ROADS_MAX; r++)
    for (int i = 0; i < s->plan.wanted_n; i++)
      if (s->plan.wanted[i].road == r) { roads++; break; }
  s->advice->rides *= roads;
}

enum df_status df_advise(struct df_advice *out, const struct df_reading *reading, const struct df_advise_options *options,
                         struct df_faults *faults)
{
  struct search *s = calloc(1, sizeof *s);
  *out = (struct df_advice){.proposed = -1, .also = -1};
  if (!s) return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
  s->advice = out, s->options = options, s->ride = options->ride;
  enum df_status status = advice_begin(s, reading, faults);
  if (status == DF_OK) status = search_run(s);
  if (status == DF_OK) status = advice_keep(s);
  count_rides(s);
  df_draws_destroy(s->draws);
  free(s->now_aim);
  free(s);
  return status;
}

void df_advice_finish(struct df_advice *advice)
{
  for (int i = 0; i < advice->n; i++) free(advice->setting[i].value);
  free(advice->setting);
  free(advice->wanted);
  free(advice->plain);
  df_reading_destroy(advice->reading);
  *advice = (struct df_advice){.proposed = -1};
}
