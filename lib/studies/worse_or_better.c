// Where one fork passes on more of an edge than another: over edge height and road speed.
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "studies/variants.h"

static const double edge_window = 0.5; // s: the blow itself is over after a tenth of that

static int bears_on_edges(int variant)
{
  static const char *const list[] = {"seals.bush_friction", "seals.sliding", "leg.check_valve.area",
                                     "leg.check_valve.discharge", NULL};
  if (variant < 3) return 1;
  for (int i = 0; list[i]; i++)
    if (!strcmp(df_doubts[(variant - 3) / 2].path, list[i])) return 1;
  return 0;
}

// Ride every place of the map with one variant of one fork.
static enum df_status map_ride(const struct df_scenario *variant, int edge, const double *height,
                               int height_n, const double *speed, int speed_n,
                               const struct df_ride_options *options, int threads,
                               struct df_scenario *scenario, struct df_case *cases, double *value)
{
  struct df_wanted wanted = {0, df_measure_find("shock_transmitted")};
  for (int i = 0; i < height_n * speed_n; i++) {
    memcpy(&scenario[i], variant, sizeof *scenario);
    scenario[i].road_n = 1;
    struct df_road *road = &scenario[i].road[0];
    if (edge) *road = variant->road[edge];
    road->keys[0] = height[i / speed_n]; // an edge has no other key
    road->speed = speed[i % speed_n], road->window = edge_window;
    cases[i] = (struct df_case){.scenario = &scenario[i], .values = &value[i]};
  }
  return df_cases_run(cases, height_n * speed_n, &wanted, 1, options, threads, NULL);
}

static void gather(struct df_estimate *e, double a, double b, int variant, double *least,
                   double *most)
{
  double d = b - a;
  if (variant == 0) {
    *e = (struct df_estimate){.value = {a, b}, .difference = d, .worst = -1};
    *least = *most = d;
  }
  if (isfinite(d)) *least = fmin(*least, d), *most = fmax(*most, d);
  int last_of_pair = variant == 2 || (variant > 3 && variant % 2 == 0);
  if (!last_of_pair) return;
  e->model = hypot(e->model, 0.5 * (*most - *least)), e->error = e->model;
  *least = *most = e->difference;
}

enum df_status df_edge_map(const struct df_reading *first, const struct df_reading *second,
                           int edge, const double *height, int height_n, const double *speed,
                           int speed_n, const struct df_ride_options *options, int threads,
                           struct df_estimate *estimate)
{
  const struct df_reading *reading[2] = {first, second};
  size_t n = (size_t)(height_n * speed_n);
  struct df_scenario *scenario = malloc((n + 1) * sizeof *scenario);
  struct df_case *cases = calloc(n, sizeof *cases);
  double *value = calloc(2 * n, sizeof *value), *least = calloc(2 * n, sizeof *least);
  enum df_status status = scenario && cases && value && least ? DF_OK : DF_NO_MEMORY;
  for (int i = 0; i < df_variant_count() && status == DF_OK; i++) {
    if (!bears_on_edges(i)) continue;
    for (int f = 0; f < 2 && status == DF_OK; f++) {
      int differs;
      status = df_variant(reading[f], first, i, &scenario[n], &differs);
      if (status == DF_OK)
        status = map_ride(&scenario[n], edge, height, height_n, speed, speed_n, options, threads,
                          scenario, cases, value + (size_t)f * n);
    }
    for (size_t k = 0; k < n && status == DF_OK; k++)
      gather(&estimate[k], value[k], value[n + k], i, &least[k], &least[n + k]);
  }
  free(scenario);
  free(cases);
  free(value);
  free(least);
  return status;
}
