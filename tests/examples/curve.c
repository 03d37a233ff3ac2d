// Steady damping force over fork speed, from a scenario file. Shows reading, faults and one leg.
//   cc curve.c $(pkg-config --cflags --libs dampfork) -o curve && ./curve bike.yaml
#include <dampfork/leg.h>
#include <dampfork/reader.h>

#include <stdio.h>

static void print_faults(const struct df_faults *faults)
{
  for (int i = 0; i < faults->n; i++) {
    const struct df_fault *fault = &faults->at[i];
    fprintf(stderr, "%s:%d:%d: %s: %s\n", fault->file, fault->line, fault->column, fault->key, fault->text);
  }
}

static enum df_status print_curve(const struct df_leg_model *leg, double travel)
{
  printf("fork_speed_m_per_s,damping_N\n");
  for (int i = -20; i <= 20; i++) {
    struct df_steady point;
    double speed = 0.05*i;                             // m/s, compression positive
    enum df_status status = df_leg_steady(leg, travel, speed, &point);
    if (status != DF_OK) return status;
    printf("%.2f,%.9g\n", speed, point.damping);
  }
  return DF_OK;
}

int main(int argc, char **argv)
{
  if (argc != 2) {
    fprintf(stderr, "usage: curve SCENARIO\n");
    return 2;
  }
  struct df_faults faults = {0};
  struct df_reading *reading = NULL;
  struct df_leg_model *leg = NULL;
  struct df_units *units = df_reading_units_create(&faults);
  enum df_status status = units ? df_reading_create(&reading, units, argv[1], NULL, &faults) : DF_NO_MEMORY;
  if (status == DF_OK) {
    const struct df_scenario *scenario = df_reading_scenario(reading);
    leg = df_leg_create(scenario, 0, &faults);
    status = leg ? print_curve(leg, 0.5*scenario->side[0].leg.travel) : DF_BAD_INPUT;
  }
  print_faults(&faults);
  if (status != DF_OK) fprintf(stderr, "curve: %s\n", df_status_text(status));
  df_leg_destroy(leg);
  df_reading_destroy(reading);
  df_reading_units_destroy(units);
  return status == DF_OK ? 0 : 1;
}
