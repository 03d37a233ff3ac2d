// How wrong a measure may be, and how two forks differ beyond that.
#ifndef DAMPFORK_COMPARE_H
#define DAMPFORK_COMPARE_H

#include "dampfork/measure.h"
#include "dampfork/reader.h"
#include "dampfork/ride.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

// What is not known and bears on an answer: one row each. A value that was given is varied by how
// well it can be measured instead.
struct df_doubt {
  const char *path;   // key
  double low, high;   // in the key's display unit
  const char *reason; // where the range comes from
};
extern const struct df_doubt df_doubts[];
extern const int df_doubt_count;

// One measure of one or two forks.
struct df_estimate {
  double value[2];   // SI; of each fork
  double difference; // SI; second less first; of one fork: 0
  double numerical;  // SI, from the tolerance of the steps
  double model;      // SI, half the range over hole laws and doubts, squares added
  double error;      // SI, both together: of the value (one fork), of the difference (two)
  int worst;         // row of df_doubts that moves it most; -1: the hole law
};

// Estimates of wanted measures for one or two readings (second NULL: one). Both ride the roads of
// the first, under its rider and load, and everything in doubt is varied alike in both. out:
// wanted_n. Statuses of df_cases_run, and DF_NO_MEMORY; the status and reason of the first ride of
// an unvaried fork that failed stand in failed (may be NULL).
enum df_status df_estimates(const struct df_reading *first, const struct df_reading *second,
                            const struct df_wanted *wanted, int wanted_n,
                            const struct df_ride_options *options, int threads,
                            struct df_estimate *out, struct df_case *failed);

// The same error by samples: the law and everything in doubt drawn at once, evenly within their
// ranges, alike for both forks. model is half the span that holds the middle nine tenths of the
// samples; low and high are its ends, of the value (one fork) or difference.
struct df_band {
  struct df_estimate estimate;
  double low, high; /* SI */
  int n;            /* samples whose ride reached its end */
};
enum df_status df_estimates_sampled(const struct df_reading *first, const struct df_reading *second,
                                    const struct df_wanted *wanted, int wanted_n,
                                    const struct df_ride_options *options, int threads, int samples,
                                    unsigned long long seed, struct df_band *out);

// The difference over a map of edge heights (m) and road speeds (m/s): estimate[i*speed_n + j] is
// shock_transmitted of edge height i at speed j. `edge` is a road of the first reading of kind
// edge. Error: hole laws, bush and seal friction, check passage.
enum df_status df_edge_map(const struct df_reading *first, const struct df_reading *second,
                           int edge, const double *height, int height_n, const double *speed,
                           int speed_n, const struct df_ride_options *options, int threads,
                           struct df_estimate *estimate);

// The difference of a measure over bush friction 0.01, 0.03, 0.05 and lever ramps of 0.15, 0.25,
// 0.4 s (or what df_dive_limits says), nine rides of each fork. SI. felt[i]: what a difference must exceed to be counted as fewer
// or more.
struct df_range {
  int n, fewer, more; /* rides that reached their end, differences below -felt and above felt */
  double least, most;         // SI
};
enum df_status df_dive_ranges(const struct df_reading *first, const struct df_reading *second,
                              const struct df_wanted *wanted, int wanted_n, const double *felt,
                              const struct df_ride_options *options, int threads,
                              struct df_range *out);

// What df_dive_ranges goes over: 1, s. Where the first reading learned them, its 95 % interval.
void df_dive_limits(const struct df_reading *first, double friction[3], double ramp[3]);

// Is the second fork worse or better than the first?
enum df_verdict { DF_WORSE = -1, DF_SAME_WITHIN_ERROR = 0, DF_BETTER = 1 };
extern const char *const df_verdict_names[3]; // of verdict + 1

// By the measure's better direction; measures without one are never better or worse.
enum df_verdict df_verdict_of(int measure, const struct df_estimate *estimate);

// ---- attribution ----
// Shares of n changes in a difference: Shapley's average over all orders. value[mask] is the
// measure with the changes of mask made (2^n values); share: n values that add up to value[all] -
// value[none]. n at most 8.
enum { DF_CHANGES_MAX = 8 };
void df_shapley(const double *value, int n, double *share);

// One change on the way from one fork to another: a value, a list, a section, or several values of
// one section.
struct df_change {
  char key[64];     // "spring.rate", "rod.compression_holes", "valve"; "other": what found no room
  const char *unit; // display unit of from and to; NULL: words
  double from, to;  // SI; NAN where there is no number
  char from_text[48], to_text[48]; // where there is none
  int values;                      // how many values it stands for
};
struct df_explained {
  int n, grouped; // grouped: more than DF_CHANGES_MAX values, gathered by section
  struct df_change change[DF_CHANGES_MAX];
  double share[DF_CHANGES_MAX]; // SI; they add up to to - from. NAN when a ride on the way failed
  double from, to;              // SI, the measure for the first fork and with all changes made
};
// What each changed value brings to one measure. Rider, load and roads are those of the first
// scenario throughout. Rides 2^n cases. Statuses of df_cases_run.
enum df_status df_explain(const struct df_scenario *a, const struct df_scenario *b,
                          struct df_wanted wanted, const struct df_ride_options *options,
                          int threads, struct df_explained *out);

// ---- sentences ----
// What a sentence may look at. SI. NAN where unknown.
enum df_hard {
  DF_HARD_SMALL,
  DF_HARD_LARGE,
  DF_HARD_DIVE,
  DF_HARDS
};                          // edges: small, large, in the dive
enum { DF_HARD_PARTS = 6 }; // spring, air, friction, damping, cone, stop
extern const char *const df_hard_part_names[DF_HARD_PARTS];
struct df_compared {
  const struct df_leg_model *leg[2];
  const struct df_scenario *scenario[2];
  const struct df_statics *statics; // two of them
  const struct df_estimate *small_edge, *large_edge; // NULL: not ridden, here and below
  const struct df_estimate *overshoot, *rest;        // of the dive
  const struct df_estimate *dive_edge, *corner;      // the edge in the dive; leaning in
  const struct df_estimate *rebound;                 // return_time after the hump
  double part[2][DF_HARDS][DF_HARD_PARTS]; // N, all legs, at the hardest moment of each edge
  double tyre[DF_HARDS];      // m/s2, what the second's tyre alone does to the first's shock; 0: same tyre
  double energy[2][DF_PATHS];              // J, by path, over the large edge
  double void_peak[2];                     // m3, largest over the edges
  double bottoming[2];         // m/s, at the metal stop on the edge in the dive; 0: none
  double reserve[2];           // m, travel left there
  const struct df_range *dive; // NULL: not ridden
};

// Share of one path in the power of all paths, 1, at half the travel and fork speed v (m/s); NAN:
// not solved, or no oil moves.
double df_path_share(const struct df_leg_model *leg, double travel, double v, int path);
// The path that makes most of the loss; -1: none.
int df_path_governing(const struct df_leg_model *leg, double travel, double v);
// Fork speed (m/s, low to high) at which another path takes over for the first time; NAN: none
// does. from, to: the paths.
double df_path_change(const struct df_leg_model *leg, double travel, double low, double high,
                      int *from, int *to);
// The part whose force at the hardest moment changes most in the direction in which the shock does;
// -1: unknown or none.
int df_hard_part(const struct df_compared *compared, enum df_hard edge);

// One sentence that may be said, and all of them.
struct df_sentence {
  const char *id;             // for tests and lists
  // 1 when it is to be said; figures for the words, at most 4, and words for its %s, which come
  // first.
  int (*holds)(const struct df_compared *, double figure[4], const char *word[2]);
  int word_n;         // how many %s the words begin with
  const char *words;  // printf format: word_n %s, then a number for each figure
  const char *reason; // why this threshold
};
// The table of them.
extern const struct df_sentence df_sentences[];
extern const int df_sentence_count;
// The words of a sentence that holds; 0 when it does not.
int df_sentence_say(const struct df_sentence *sentence, const struct df_compared *compared,
                    char *text, size_t size);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
