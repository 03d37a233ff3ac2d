// Learning values of a scenario from measured data: nonlinear least squares with bounds, what was
// known before, a robust loss and several starts; how sure the values are, and which ones the data
// cannot tell apart.
#ifndef DAMPFORK_FIT_H
#define DAMPFORK_FIT_H

#include "dampfork/reader.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

struct df_data;               // one file of measured data: studies/fit_data.h

enum {
  DF_FIT_KEYS_MAX = 16,
  DF_FIT_SETS_MAX = 16,
  DF_FIT_SENSORS_MAX = 2*DF_FIT_SETS_MAX // an offset and a lag a set
};

// What a residual costs, in standard deviations r: squares r2; huber: linear from 2 on (Huber
// 1964); cauchy: 5.7 ln(1 + r2/5.7), so that a row far out hardly counts (Holland and Welsch 1977).
enum df_loss { DF_LOSS_SQUARES, DF_LOSS_HUBER, DF_LOSS_CAUCHY };
extern const char *const df_loss_names[4]; // closed by NULL

// How to learn. Zero the struct, then set what differs.
struct df_fit_options {
  const char *const *free;    // keys to learn; NULL: those of a usual list that the data show
  int free_n;
  enum df_loss loss;
  int starts;                 // 0: 4 (2 with rides); the scenario's own values are the first
  int no_prior;               // 1: nothing is known before but the bounds
  int brief;                  // 1: no model choice, no measurement to make next
  int threads;                // of rides; 0: 1
  const volatile int *stop;   // the work ends soon after this is not 0; may be NULL
};

// What became of a value.
enum df_fit_status { DF_FIT_LEARNED, DF_FIT_NOT_LEARNED, DF_FIT_AT_BOUND };
extern const char *const df_fit_status_names[3];

// One value, in `unit`, the row's own.
struct df_fit_key {
  char path[96];              // dotted key
  const char *unit;           // of all figures below
  const struct df_param *row;
  int named;                  // 1: asked for by its name
  double before, low, high;   // as in the scenario; bounds
  double prior;               // standard deviation before the data; INFINITY: nothing was known
  double learned;             // what the data say, together with what was known before
  double deviation;           // standard deviation of it
  double low_95, high_95;     // where it lies with 95 %
  double narrowed;            // 1, deviation over prior; 0 without a prior
  double alone;               // deviation if all other values were known
  enum df_fit_status status;
  int moved;                  // 1: not learned by itself, but moved along with others
  double share[DF_FIT_SETS_MAX];    // 1, of all that the data say about it alone
  double by_set[DF_FIT_SETS_MAX];   // what this set alone would say, by one step from the answer
  double by_set_deviation[DF_FIT_SETS_MAX]; // standard deviation of that
  // Model choice: AICc with this value left as before, and with its term taken out (0; NAN where 0 is
  // no value), less AICc of the answer: positive means that the answer is the better model. The same
  // by rows left out one by one: their rms error over that of the answer.
  double aic_left, aic_none, cross_left, cross_none; // 1
  char next[120];             // the measurement that would show it; "" when learned
};

// Offset or lag of one set's sensor, learned along and told.
struct df_fit_sensor {
  int set;                    // index of the set
  int lag;                    // 1: s; 0: offset in the measured unit, SI
  double value, deviation, prior; // in that unit: learned, its standard deviation, that before the data
};

// A usual value that these data do not show.
struct df_fit_unseen { char path[96]; /* dotted key */ char next[120]; /* the measurement that would show it */ };

// Two values or more that the data show only together.
struct df_fit_pair {
  int n, key[DF_FIT_KEYS_MAX]; // how many, and which: indices of keys
  double weight[DF_FIT_KEYS_MAX]; // direction in which nothing is seen, in prior deviations
  char next[120];             // the measurement that would tell them apart; "" when none of ours
};

// One set of data.
struct df_fit_set {
  const char *name, *unit;    // SI unit of residuals
  int n;                      // residuals
  double deviation;           // one standard deviation of a reading that was used, SI
  int estimated;              // 1: estimated from the residuals, 0: given or usual
  double misfit;              // 1, rms of residuals over deviation
  double correlation;         // 1, of neighbouring residuals
};

// One reading, and what the learned fork makes of it.
struct df_fit_row {
  int set, row;               // row counts from 1 within its file
  double measured, computed;  // SI
  const char *unit;           // SI
};

// What was learned.
struct df_fit {
  int key_n, sensor_n, set_n, pair_n, row_n, unseen_n;
  struct df_fit_key key[DF_FIT_KEYS_MAX];
  struct df_fit_sensor sensor[DF_FIT_SENSORS_MAX];
  struct df_fit_set set[DF_FIT_SETS_MAX];
  struct df_fit_pair pair[DF_FIT_KEYS_MAX];
  struct df_fit_unseen unseen[DF_FIT_KEYS_MAX];
  struct df_fit_row *row;
  double correlation[DF_FIT_KEYS_MAX][DF_FIT_KEYS_MAX]; // 1
  double cost, cost_before;   // 1, half the sum of squares of all weighted residuals, prior included
  double aic;                 // Akaike 1974, corrected for few rows (Hurvich and Tsai 1989)
  double cross;               // 1, rms of residuals left out one by one, over their deviation
  double jacobian_error;      // 1, of slopes by two steps, the second twice the first
  int starts, answers;        // answers: distinct minima within 2 of the best cost
  int iterations, evaluations; // 1, effort: steps of the solver, times the model was solved
  int cannot_tell;            // 1: a named value was not learned, or none at all
  int mismatch;               // 1: sign or unit of a set looks wrong; nothing was learned
  char mismatch_text[400];    // which, and what to do; "" when none
  struct df_reading *reading; // the scenario with what was learned
};

// data: set_n sets. The reading is copied. DF_UNKNOWN_NAME: a key of `free` or a road is not there
// (see the faults); statuses of the model where it cannot be solved at the scenario's own values;
// DF_INTERRUPTED. DF_OK with mismatch or cannot_tell set is a refusal. df_fit_finish is due always.
enum df_status df_fit_run(struct df_fit *out, const struct df_reading *reading,
                          const struct df_data *const *data, int set_n,
                          const struct df_fit_options *options, struct df_faults *faults);
void df_fit_finish(struct df_fit *fit);

// The learned scenario as YAML, with a head that says what was learned from what. To be freed;
// NULL: out of memory.
char *df_fit_write(const struct df_fit *fit);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
