// Which settings suit a bike, how sure, and what they cost elsewhere; what to change after a ride.
#ifndef DAMPFORK_ADVISE_H
#define DAMPFORK_ADVISE_H

#include "dampfork/measure.h"
#include "dampfork/reader.h"
#include "dampfork/ride.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

// ---- what may change ----
enum df_work { DF_WORK_OUTSIDE, DF_WORK_CAP_OFF, DF_WORK_SPRING_OUT, DF_WORK_LEG_OFF, DF_WORK_ROD_OUT, DF_WORKS };
extern const char *const df_work_names[DF_WORKS];   // "outside", "cap_off", ...
extern const double df_work_minutes[DF_WORKS];      // for two legs, common practice

enum { DF_CHOICES_MAX = 16, DF_CHOICE_VALUES_MAX = 64 };

// One value that may change and the settings it can be given.
struct df_choice {
  char path[96];              // dotted key
  const char *name;           // for a person: "valve preload"
  const char *unit;           // of all numbers below
  enum df_work work;
  double now;                 // as in the scenario
  int n, at_now;              // value[at_now] is now
  double value[DF_CHOICE_VALUES_MAX]; // ascending
};

// Keys that advise can change, NULL past the end; usual: 1 for those it changes unasked.
const char *df_choice_key(int i, int *usual);

// Choices for these keys (NULL: the usual ones that this fork has). Springs, washers and oils at hand
// stand in the scenario's `have`. DF_UNKNOWN_NAME: a key that cannot be changed, or is not there.
enum df_status df_choices_make(const struct df_reading *reading, const char *const *key, int key_n,
                               struct df_choice *out, int *n, struct df_faults *faults);

// A copy of the reading with value at[k] of each choice. DF_BAD_INPUT: the values contradict others.
enum df_status df_choices_set(const struct df_reading *reading, const struct df_choice *choice, int n,
                              const int *at, struct df_reading **out, struct df_faults *faults);

// The overrides "path=VALUE unit" that give one choice its value at: a longer spacer where that is what
// spring preload is made of, both viscosities of an oil. Returns how many, at most 2.
int df_choice_sets(const struct df_reading *reading, const struct df_choice *choice, int at, char text[2][120]);

// ---- aims ----
// What settings are traded between. Each is one figure made of rides on the roads of the use.
enum df_aim {
  DF_AIM_REST,                // m, braked rest on the hardest stop of the use
  DF_AIM_OVERSHOOT,           // m, past it
  DF_AIM_DIVE_EDGE,           // m/s2, shock of an edge met in the dive
  DF_AIM_EDGES,               // m/s2, mean shock over the plain edges of the use
  DF_AIM_TYRE,                // 1, mean tyre load variation over its random roads
  DF_AIM_RESERVE,             // m, least travel left on any road of the use
  DF_AIMS
};
struct df_aim_row {
  const char *name, *unit;    // unit as a person writes it
  double per_si;              // value in `unit` = SI value * per_si
  int better;                 // -1: less is better, 1: more
  double felt_share, felt;    // 1 and SI: a change below both is nothing that anybody feels
  const char *reason;         // why that size
};
extern const struct df_aim_row df_aims[DF_AIMS];
// What a change of this aim must exceed to count, SI, beside the value it changes from.
double df_aim_felt(enum df_aim aim, double from);

// ---- settings ----
struct df_setting {
  int at[DF_CHOICES_MAX];     // of each choice, the index of its value
  double *value;              // of each wanted, SI, as it stands
  double aim[DF_AIMS];        // SI, as it stands
  double miss;                // 1, targets missed, each as a share of its limit, summed
  int met;                    // targets met, as it stands
  int failed;                 // 1: refused, or a ride failed
  int unbeaten;               // nothing ridden beats it in everything
  // Over the draws of what is not exactly known; NAN, 0 before.
  int drawn;                  // draws that were ridden to the end
  double robust[DF_AIMS];     // SI, the value that 9 of 10 forks like this one keep
  double gain[DF_AIMS];       // SI, median of what it brings over the present setting, positive: better
  double kept[DF_AIMS];       // 1, share of draws in which it is no worse
  int robust_met;             // targets met by 9 of 10
  double robust_miss;         // 1, the miss that 9 of 10 do not exceed
  double sure;                // 1, share of draws in which every aim that counts as better is better
  int wins, losses;           // aims better in 9 of 10 draws and by more than felt; worse by more than felt
};

// How to look. Zero the struct, then set what differs.
struct df_advise_options {
  const char *const *key;     // what may change; NULL: the usual
  int key_n;
  const int *also;            // a setting to be judged too, as df_setting.at; NULL: none
  int sample;                 // settings drawn before refining; 0: 32
  int draws;                  // forks like this one; 0: 20
  unsigned long seed;         // of settings and draws
  int threads;                // of rides
  struct df_ride_options ride;
  volatile int *done;         // settings and draws ridden so far; may be NULL
};

// What was found.
struct df_advice {
  struct df_reading *reading; // with the roads of the use put in
  int choice_n;
  struct df_choice choice[DF_CHOICES_MAX];
  int wanted_n;
  struct df_wanted *wanted;
  double *plain;              // of each wanted, of the plain twin; NAN: not ridden
  int target_n;               // targets that are judged
  int n;                      // settings; 0 is the present one
  struct df_setting *setting;
  int proposed, softer, firmer; // index; proposed 0: nothing beats the present setting; -1: none
  int also;                   // index of the setting that was to be judged too; -1: none
  int safe;                   // 1: proposed wins two aims or more and loses none
  long rides;                 // effort: rides that were made
  int refused_n;              // settings that bind, lock or rattle and were left out
  char refused[280];          // the first of them, in words
  int now_refused;            // 1: the present setting itself
};

// Search, judge over draws, propose. df_advice_finish is due whatever the status. Faults hold what was
// wrong with keys or roads.
enum df_status df_advise(struct df_advice *out, const struct df_reading *reading,
                         const struct df_advise_options *options, struct df_faults *faults);
void df_advice_finish(struct df_advice *advice);

// 1: a beats b in everything that can be felt. Aims NAN in both are left out.
int df_aims_beat(const double *a, const double *b);

// ---- cures of a complaint ----
// One change that brings a measure closer to where it should be, all else as it is.
struct df_cure {
  int k, at;                  // choice, and the value that it is given
  double after;               // SI, the measure that stands for the complaint
  double gain;                // 1, what it takes off the excess of that measure
  int cured;                  // 1: inside the target, or a fifth better where there is none
  double aim[DF_AIMS];        // SI
  double sag;                 // m, with rider
  int cost_aim;               // enum df_aim that loses most; -1: none loses what can be felt
  double cost_sum;            // 1, losses of all aims, each in sizes of what can be felt
};

// What was found against a complaint.
struct df_cures {
  struct df_reading *reading; // with the roads of the use put in
  int road, measure;          // what stands for the complaint; road -1: static
  double before, aim[DF_AIMS], sag; // SI, of the present setting
  int shown;                  // 0: the present setting does not have the complaint at all
  int target, met;            // 1: there is a target; it is met as it stands
  char target_text[80];       // "at most 75 %, our choice"; "a fifth better" where there is none
  int choice_n;
  struct df_choice choice[DF_CHOICES_MAX];
  double up[DF_CHOICES_MAX], down[DF_CHOICES_MAX]; // 1, best gain above and below the present value; NAN
  int n;                      // ranked: what cures, least work first; then the rest by what it brings
  struct df_cure cure[DF_CHOICES_MAX];
  long rides;                 // effort: rides that were made
};

// How to look for cures. Zero the struct, then set what differs.
struct df_cure_options {
  const char *road;           // "static", a road, "worst": the worst of all; "plain": see below
  const char *measure;        // NULL with "plain": the figure that lost most against the plain twin
  double speed;               // m/s, at which that road is ridden; 0: as it stands
  const char *const *key;     // what may change; NULL: everything that advise knows
  int key_n, threads, draws;  // 0 draws: 20
  unsigned long seed;         // of the draws
  struct df_ride_options ride;
};

// Every single change, ridden; ranked. Faults hold what was wrong with keys or roads. DF_UNKNOWN_NAME:
// the measure is not defined on that road. df_cures_finish is due whatever the status.
enum df_status df_cures(struct df_cures *out, const struct df_reading *reading,
                        const struct df_cure_options *options, struct df_faults *faults);
void df_cures_finish(struct df_cures *cures);

// What cure i changes on another measure of a road, SI: the present value, the change, and the span that
// 9 of 10 forks like this one keep it in.
struct df_cure_change { double before, change, low, high; /* SI */ };
enum df_status df_cure_expect(const struct df_cures *cures, int i, int road, const char *measure,
                              const struct df_cure_options *options, struct df_cure_change *out);

// 1: two settings are the same within one step of each choice that the search refined with.
int df_settings_near(const struct df_advice *a, int i, const struct df_advice *b, int j);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
