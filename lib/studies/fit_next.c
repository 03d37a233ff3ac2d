// Measurements that a garage can make, and which of them would show what the data do not.
#include "studies/fit_work.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_MAX = 6, COLUMNS_MAX = 6 };
static const double enough = 3;         // 1: halves the deviation along the direction

// In the order of their work; values in SI.
static const struct candidate {
  const char *words;
  enum df_data_kind kind;
  int n;
  struct { enum df_data_column column; double at[ROWS_MAX]; } column[COLUMNS_MAX];
  const char *road;
} candidates[] = {
    {"sag from below and above, alone and with rider", DF_DATA_SAG, 4,
     {{DF_D_LOAD, {0, 0, 1, 1}}, {DF_D_SETTLED, {0, 1, 0, 1}}, {DF_D_TRAVEL, {0}}}, NULL},
    {"the O-ring after a slow hard stop", DF_DATA_O_RING, 1,
     {{DF_D_ROAD, {0}}, {DF_D_SPEED, {25}}, {DF_D_TRAVEL_PEAK, {0}}}, "brake-dry"},
    {"the O-ring over a 40 mm kerb edge at 20 and 40 km/h", DF_DATA_O_RING, 2,
     {{DF_D_ROAD, {0, 0}}, {DF_D_SPEED, {20/3.6, 40/3.6}}, {DF_D_TRAVEL_PEAK, {0}}}, "edge-40"},
    {"the oil level by a probe", DF_DATA_LEVEL, 1, {{DF_D_OIL_LEVEL, {0}}}, NULL},
    {"spring force at three lengths", DF_DATA_SPRING, 3,
     {{DF_D_PART, {0, 0, 0}}, {DF_D_LENGTH, {0.39, 0.36, 0.33}}, {DF_D_FORCE, {0}}}, NULL},
    {"slow force over travel with a luggage scale", DF_DATA_SLOW, 6,
     {{DF_D_TRAVEL, {0.02, 0.06, 0.1, 0.1, 0.06, 0.02}}, {DF_D_FORCE, {0}}}, NULL},
    {"a timed pull of the bare leg with 3 and 6 kg", DF_DATA_TIMED, 4,
     {{DF_D_DIRECTION, {1, 1, 1, 1}}, {DF_D_WEIGHT, {5, 5, 8, 8}},
      {DF_D_DISTANCE, {0.1, 0.1, 0.1, 0.1}}, {DF_D_TIME, {0}}}, NULL},
    {"a timed push of the bare leg with 2 and 5 kg", DF_DATA_TIMED, 4,
     {{DF_D_DIRECTION, {0, 0, 0, 0}}, {DF_D_WEIGHT, {4, 4, 7, 7}},
      {DF_D_DISTANCE, {0.1, 0.1, 0.1, 0.1}}, {DF_D_TIME, {0}}}, NULL},
    {"bench force at 0.1, 0.5 and 1.5 m/s both ways", DF_DATA_BENCH, 6,
     {{DF_D_VELOCITY, {-1.5, -0.5, -0.1, 0.1, 0.5, 1.5}}, {DF_D_FORCE, {0}}}, NULL},
};

static struct df_data *data_of(const struct candidate *c)
{
  struct df_data *data = calloc(1, sizeof *data);
  if (!data) return NULL;
  *data = (struct df_data){.kind = c->kind, .n = c->n, .accuracy = NAN, .travel = NAN,
                           .temperature = NAN, .speed = NAN};
  for (int i = 0; i < COLUMNS_MAX && (i == 0 || c->column[i].column); i++)
    data->at[c->column[i].column] = (double *)c->column[i].at;
  if (c->road) snprintf(data->road[0], sizeof data->road[0], "%s", c->road), data->road_n = 1;
  return data;
}

// Sum of squares of the change along the direction, in deviations of the readings.
static double seen_along(struct fit_work *work, const struct candidate *c, const double *direction)
{
  struct df_data *data = data_of(c);
  const struct df_data *list[1] = {data};
  struct fit_model model = {0};
  struct df_scenario *s[2] = {malloc(sizeof *s[0]), malloc(sizeof *s[1])};
  double out[2][ROWS_MAX], sum = NAN, step = 0.05;
  double *outs[2] = {out[0], out[1]};
  int good = data && s[0] && s[1] &&
             !df_fit_model_init(&model, work->reading, list, 1, NULL);
  for (int side = 0; good && side < 2; side++) {
    double value[DF_FIT_KEYS_MAX];
    for (int j = 0; j < work->fit->key_n; j++) {
      const struct df_fit_key *key = &work->fit->key[j];
      value[j] = work->value[j] + (side ? step : -step)*direction[j]*df_fit_size(work, j);
      value[j] = fmin(fmax(value[j], key->low), key->high);
    }
    good = df_fit_scenario(work, value, s[side]);
  }
  struct fit_sense sense[1] = {{0, 0}};
  const struct fit_sense *senses[2] = {sense, sense};
  const struct df_scenario *both[2] = {s[0], s[1]};
  if (good && !df_fit_predict(&model, both, senses, 2, outs)) {
    sum = 0;
    for (int i = 0; i < c->n; i++) {
      double size = df_data_usual(df_fit_column(&model.set[0], i), out[0][i], fabs(out[0][i]));
      double d = (out[1][i] - out[0][i])/(2*step*size);
      sum += d*d;
    }
  }
  df_fit_model_finish(&model);
  free(s[0]);
  free(s[1]);
  free(data);
  return sum;
}

// 1: just this was measured already.
static int had(const struct fit_work *work, const struct candidate *c)
{
  for (int k = 0; k < work->model.set_n; k++) {
    const struct df_data *data = work->model.set[k].data;
    if (data->kind != c->kind) continue;
    if (c->kind == DF_DATA_TIMED && data->at[DF_D_DIRECTION][0] != c->column[0].at[0]) continue;
    if (c->kind == DF_DATA_O_RING && strcmp(data->road[0], c->road)) continue;
    if (c->kind == DF_DATA_SAG && data->n < c->n) continue;
    return 1;
  }
  return 0;
}

void df_fit_next(struct fit_work *work, const double *direction, char *text, size_t size)
{
  *text = 0;
  for (size_t i = 0; i < sizeof candidates/sizeof *candidates; i++)
    if (!had(work, &candidates[i]) && seen_along(work, &candidates[i], direction) > enough) {
      snprintf(text, size, "%s", candidates[i].words);
      return;
    }
}
