// Shared by the parts of fit.
#ifndef DF_STUDIES_FIT_WORK_H
#define DF_STUDIES_FIT_WORK_H

#include "dampfork/fit.h"
#include "studies/fit_data.h"

enum { DF_FIT_ROADS_MAX = DF_ROADS_MAX, DF_FIT_ALL_MAX = DF_FIT_KEYS_MAX + DF_FIT_SENSORS_MAX };

// ---- the model of the instruments: fit_model.c ----
// A sine through the travel of a loop: travel = middle + a cos(w t) + b sin(w t).
struct fit_sine { int good; double middle, a, b, w, first; /* m, m, m, rad/s, s */ };

// What the model needs to answer for one set of data.
struct fit_last;
struct fit_set {
  const struct df_data *data;
  int first, n;               // residuals: those of the second measured column follow the first
  int road_n, *road;          // o_ring: road of each row; log: one
  struct df_road *roads;
  double ramp;                // s, usual ramp of the brake when the roads were taken
  struct fit_sine sine;
  double *speed;              // m/s, fork speed of each row of a loop, by differences
  struct fit_last *last;      // loop, log: the last stroke or ride, used again for the same fork
  double shift;               // s, log: start of the ride on the log's clock, as first guessed
};
struct fit_model {
  int set_n, n;               // sets, residuals
  struct fit_set set[DF_FIT_SETS_MAX];
  int threads;
  double tolerance;           // 1, of rides
  const volatile int *stop;
};
struct fit_sense { double offset, lag; }; // SI, s

// DF_UNKNOWN_NAME: a road that there is not. df_fit_model_finish is due always.
enum df_status df_fit_model_init(struct fit_model *model, const struct df_reading *reading,
                                 const struct df_data *const *data, int set_n,
                                 struct df_faults *faults);
void df_fit_model_finish(struct fit_model *model);
int df_fit_rides(const struct fit_model *model); // 1: needs rides or strokes, which are slow

// What each reading should be by each of `count` scenarios (NULL: none): out[k][model->n], SI. NAN
// where the model has no answer. sense: set_n for each scenario.
enum df_status df_fit_predict(const struct fit_model *model,
                              const struct df_scenario *const *scenario,
                              const struct fit_sense *const *sense, int count, double *const *out);

// The readings themselves, in the same order.
double df_fit_reading(const struct fit_set *set, int i);
enum df_data_column df_fit_column(const struct fit_set *set, int i);
// One standard deviation of a reading: given, or by usual accuracy, SI.
double df_fit_usual(const struct fit_set *set, int i);

// ---- signs and units: fit_check.c ----
// Against the model at the scenario's own values: 1 and a sentence when something else fits far
// better than what is written.
int df_fit_suspect(const struct fit_model *model, const struct df_scenario *scenario, char *text,
                   size_t size);

// ---- solving: fit_solve.c ----
struct fit_work {
  struct fit_model model;
  struct df_reading *reading; // changed by every evaluation
  struct df_fit *fit;         // keys and sensors as prepared
  int all;                    // keys and sensors
  double scale[DF_FIT_KEYS_MAX], shift[DF_FIT_KEYS_MAX]; // SI = scale*value + shift
  double step[DF_FIT_ALL_MAX];                           // of differences
  int fixed[DF_FIT_ALL_MAX];  // 1: held at its value
  double *measured, *deviation, *weight; // n: SI, SI, square root of the robust weight
  double value[DF_FIT_ALL_MAX]; // keys in their unit, sensors in SI
  struct df_scenario *scenario;          // 2*all + 1 of them
  double *computed;           // (2*all + 1)*n
  enum df_loss loss;
  int brief;
  enum df_status status;      // of what ended the work
};
// Prior deviation of a value, or, without one, a size to scale by.
double df_fit_size(const struct fit_work *work, int j);
int df_fit_has_prior(const struct fit_work *work, int j);
// How far a value is from what was known before, in prior deviations; 0 without a prior.
double df_fit_moved(const struct fit_work *work, int j);
// The scenario with these values of the keys. 0: they contradict each other.
int df_fit_scenario(struct fit_work *work, const double *value, struct df_scenario *out);

// Residuals in deviations at work->value, robust weights included when asked for: r[n]. 0: the
// model has no answer there.
int df_fit_residuals(struct fit_work *work, int weighted, double *r);
// Their slopes by each value in sizes, n x all, central differences over `steps` steps. 0: none.
int df_fit_slopes(struct fit_work *work, int weighted, double steps, double *slope);
// From work->value to the nearest minimum, robust weights renewed on the way. The cost is half the
// sum of squares, prior included; NAN: none.
double df_fit_descend(struct fit_work *work);
double df_fit_cost(struct fit_work *work); // at work->value with the loss itself; NAN

// ---- what the data tell: fit_tell.c ----
// Fills everything in fit that follows from the answer at work->value.
enum df_status df_fit_tell(struct fit_work *work);
// Deviations of all values in sizes by slopes (n x all) and priors; covariance all x all. 0: none.
int df_fit_covariance(const struct fit_work *work, const double *slope, double *covariance);
// Rms of residuals left out one by one, by leverages.
double df_fit_cross(const struct fit_work *work, const double *slope, const double *r,
                    const double *covariance);

// ---- the measurement that would tell: fit_next.c ----
// direction: in sizes of the keys. The first of our list of measurements that would halve what is
// not known along it.
void df_fit_next(struct fit_work *work, const double *direction, char *text, size_t size);

#endif
