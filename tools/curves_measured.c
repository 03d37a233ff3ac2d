// Measured bench forces laid over the computed curve: what the model says spring, air and friction
// make is taken out of a reading, unless the file says that it was taken out before.
#include "curves.h"

#include "load.h"
#include "out_text.h"
#include "say.h"
#include "shown.h"

#include "studies/fit_data.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static struct df_leg_model *leg_at(const struct df_scenario *scenario, const struct df_data *data)
{
  struct df_scenario *copy = malloc(sizeof *copy);
  if (!copy) return NULL;
  memcpy(copy, scenario, sizeof *copy);
  for (int i = 0; i < DF_SIDES && isfinite(data->temperature); i++)
    copy->side[i].oil.temperature = data->temperature;
  struct df_leg_model *leg = df_leg_create(copy, data->leg, NULL);
  free(copy);
  return leg;
}

// N, of everything but the oil that the reading still holds.
static double besides(const struct df_steady *at, int without)
{
  return at->cone + at->stop + (without & DF_WITHOUT_SPRING ? 0 : at->spring) +
         (without & DF_WITHOUT_AIR ? 0 : at->air) + (without & DF_WITHOUT_FRICTION ? 0 : at->friction);
}

static int take(struct curves *curves, const struct df_data *data)
{
  struct measured_point *more =
      realloc(curves->measured, (size_t)(curves->measured_n + data->n) * sizeof *more);
  struct df_leg_model *leg = more ? leg_at(curves->scenario, data) : NULL;
  if (more) curves->measured = more;
  if (!leg) return EXIT_OUTPUT;
  double usual = isfinite(data->travel) ? data->travel : curves->x;
  for (int i = 0; i < data->n; i++) {
    struct df_steady at;
    double x = data->at[DF_D_TRAVEL] ? data->at[DF_D_TRAVEL][i] : usual;
    double v = data->at[DF_D_VELOCITY][i];
    if (df_leg_steady(leg, x, v, &at) != DF_OK) continue;
    curves->measured[curves->measured_n++] =
        (struct measured_point){v, data->at[DF_D_FORCE][i] - besides(&at, data->without), at.damping};
  }
  df_leg_destroy(leg);
  return 0;
}

int curves_measured(struct curves *curves, const char *file)
{
  struct df_faults *faults = calloc(1, sizeof *faults);
  struct df_data data = {0};
  if (!faults) return EXIT_OUTPUT;
  enum df_status bad = df_data_read(&data, units_get(), file, faults);
  int status = bad ? status_exit(file, bad, faults) : 0;
  free(faults);
  if (status) return status;
  if (data.kind != DF_DATA_BENCH) {
    say_error("--measured %s: curves takes forces at fork speeds (bench); of the kind %s, dampfork fit "
              "makes use", file, df_data_kind_names[data.kind]);
    status = EXIT_USAGE;
  } else status = take(curves, &data);
  df_data_finish(&data);
  return status;
}

void curves_measured_say(const struct curves *curves)
{
  double sum = 0, most = 0, worst = 0, at = NAN;
  if (!curves->measured_n) return;
  for (int i = 0; i < curves->measured_n; i++) {
    const struct measured_point *p = &curves->measured[i];
    double off = p->damping - p->computed;
    sum += off * off, most = fmax(most, fabs(p->damping));
    if (fabs(off) > fabs(worst)) worst = off, at = p->v;
  }
  line("Measured: %d readings of up to %s; off by %s rms, most at %s: %s%s.", curves->measured_n,
       shown(KIND_FORCE, most), shown(KIND_FORCE, sqrt(sum / curves->measured_n)), shown(KIND_SPEED, at),
       worst > 0 ? "+" : "", shown(KIND_FORCE, worst));
}
