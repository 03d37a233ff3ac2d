// What does the oil level do to the greatest travel? Many rides at once: copies of one reading, each with another level.
//   cc levels.c $(pkg-config --cflags --libs dampfork) -o levels && ./levels bike.yaml
#include <dampfork/measure.h>
#include <dampfork/reader.h>
#include <dampfork/ride.h>

#include <stdio.h>

enum { LEVELS = 3 };
static const double change[LEVELS] = {-0.010, 0, 0.010}; // m of oil level from the rim; smaller is more oil

// Rides `levels` copies over every road and prints a row a road.
static enum df_status ride_all(const struct df_scenario *const *scenario, int measure)
{
  struct df_wanted wanted[DF_ROADS_MAX];
  double value[LEVELS][DF_ROADS_MAX];                  // m
  struct df_case cases[LEVELS] = {0};
  int roads = scenario[0]->road_n;
  for (int i = 0; i < roads; i++) wanted[i] = (struct df_wanted){.road = i, .measure = measure};
  for (int i = 0; i < LEVELS; i++) cases[i] = (struct df_case){.scenario = scenario[i], .values = value[i]};
  enum df_status status = df_cases_run(cases, LEVELS, wanted, roads, NULL, 1, NULL);
  if (status != DF_OK) return status;
  printf("road,10_mm_more_oil_mm,as_given_mm,10_mm_less_oil_mm\n");
  for (int i = 0; i < roads; i++)
    printf("%s,%.6f,%.6f,%.6f\n", scenario[0]->road[i].name, 1e3*value[0][i], 1e3*value[1][i], 1e3*value[2][i]);
  return DF_OK;
}

static enum df_status study(const struct df_reading *reading, struct df_faults *faults)
{
  struct df_reading *copy[LEVELS] = {NULL};
  const struct df_scenario *scenario[LEVELS];
  double level = df_reading_scenario(reading)->side[0].air.oil_level;
  enum df_status status = DF_OK;
  for (int i = 0; i < LEVELS && status == DF_OK; i++) {
    copy[i] = df_reading_copy(reading);
    status = copy[i] ? df_reading_set(copy[i], "air.oil_level", level + change[i], faults) : DF_NO_MEMORY;
    if (status == DF_OK) scenario[i] = df_reading_scenario(copy[i]);
  }
  if (status == DF_OK) status = ride_all(scenario, df_measure_find("travel_peak"));
  for (int i = 0; i < LEVELS; i++) df_reading_destroy(copy[i]);
  return status;
}

int main(int argc, char **argv)
{
  if (argc != 2) {
    fprintf(stderr, "usage: levels SCENARIO\n");
    return 2;
  }
  struct df_faults faults = {0};
  struct df_reading *reading = NULL;
  struct df_units *units = df_reading_units_create(&faults);
  enum df_status status = units ? df_reading_create(&reading, units, argv[1], NULL, &faults) : DF_NO_MEMORY;
  if (status == DF_OK) status = study(reading, &faults);
  for (int i = 0; i < faults.n; i++) fprintf(stderr, "%s: %s\n", faults.at[i].key, faults.at[i].text);
  if (status != DF_OK) fprintf(stderr, "levels: %s\n", df_status_text(status));
  df_reading_destroy(reading);
  df_reading_units_destroy(units);
  return status == DF_OK ? 0 : 1;
}
