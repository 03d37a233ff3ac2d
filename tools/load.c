// Reading the scenarios of a command line.
#include "load.h"

#include "say.h"
#include "shown.h"
#include "version.h"

#include "dampfork/measure.h"

#include <gsl/gsl_version.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int status_exit(const char *name, enum df_status status, const struct df_faults *faults)
{
  for (int i = 0; faults && i < faults->n; i++)
    if (faults->at[i].status == DF_NO_MEMORY) status = DF_NO_MEMORY; // whatever came of it
  if (faults && faults->n) say_faults(faults);
  else say_error("%s: %s", name, df_status_text(status));
  switch (status) {
  case DF_OK:           return EXIT_DONE;
  case DF_NO_MEMORY:    return EXIT_OUTPUT;
  case DF_BAD_INPUT:
  case DF_CANNOT_READ:
  case DF_UNKNOWN_NAME: return EXIT_INPUT;
  case DF_INTERRUPTED:  return stop_status() ? stop_status() : EXIT_INTERRUPTED;
  default:              return EXIT_MODEL;
  }
}

static const char *measure_unit(const char *name)
{
  int row = df_measure_find(name);
  return row < 0 ? NULL : df_measures[row].unit;
}

static const char *measure_at(int i)
{
  return i < df_measure_count ? df_measures[i].name : NULL;
}

void load_name(const char *path, int columns, char *out, size_t size)
{
  char text[256];
  const char *slash = strrchr(path, '/');
  snprintf(text, sizeof text, "%s", slash ? slash + 1 : path);
  char *dot = strrchr(text, '.');
  if (dot && dot != text && (!strcmp(dot, ".yaml") || !strcmp(dot, ".yml"))) *dot = 0;
  clean_name(out, size, text, columns);
}

// --use and --law are overrides by another name. Returns their number.
static int overrides(const struct call *call, const char **set, char extra[2][80])
{
  int n = call->options.of[OPT_SET].n;
  memcpy(set, call->options.of[OPT_SET].text, n*sizeof *set);
  const char *use = option_text(&call->options, OPT_USE, NULL),
             *law = option_text(&call->options, OPT_LAW, NULL);
  if (use) snprintf(extra[0], 80, "use=%s", use), set[n++] = extra[0];
  if (law && strcmp(law, "all")) snprintf(extra[1], 80, "run.law=%s", law), set[n++] = extra[1];
  return n;
}

int load(const struct call *call, const char *path, struct loaded *loaded)
{
  const char *set[OPTION_TIMES + 2];
  char extra[2][80];
  *loaded = (struct loaded){.path = path};
  load_name(path, 20, loaded->name, sizeof loaded->name);
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults || !units_get()) {
    free(faults);
    return EXIT_OUTPUT;
  }
  struct df_reading_options options = {.set = set,
                                       .set_n = overrides(call, set, extra),
                                       .measure_unit = measure_unit,
                                       .measure_at = measure_at};
  enum df_status status = df_reading_create(&loaded->reading, units_get(), path, &options, faults);
  int result = 0;
  if (status) result = status_exit(path, status, faults);
  else if (faults->n) say_faults(faults);
  free(faults);
  if (result) return result;
  loaded->scenario = df_reading_scenario(loaded->reading);
  return df_reading_hash(loaded->reading, loaded->hash) ? EXIT_OUTPUT : 0;
}

void load_finish(struct loaded *loaded)
{
  if (loaded->reading) df_reading_destroy(loaded->reading);
  *loaded = (struct loaded){0};
}

// The name alone: no paths in a record.
static void head_scenario(const struct loaded *loaded, struct csv *csv)
{
  const char *slash = strrchr(loaded->path, '/');
  csv_head(csv, "scenario", "%s", slash ? slash + 1 : loaded->path);
  csv_head(csv, "scenario_hash", "%s", loaded->hash);
}

void head_csv(const struct call *call, const struct loaded *loaded, int n, struct csv *csv)
{
  csv_head(csv, "dampfork", "%s", DAMPFORK_VERSION);
  csv_head(csv, "gsl", "%s", gsl_version);
  csv_head(csv, "format", "1");
  csv_head(csv, "command", "%s", call->command->name);
  for (int i = 0; i < n; i++) head_scenario(&loaded[i], csv);
  for (int i = 0; i < call->options.of[OPT_SET].n; i++)
    csv_head(csv, "set", "%s", call->options.of[OPT_SET].text[i]);
}
