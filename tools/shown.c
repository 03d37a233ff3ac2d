// Units of the screen.
#include "shown.h"

#include "nearest.h"
#include "out_text.h"
#include "say.h"

#include "dampfork/reader.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *const kind_names[KINDS + 1] = {"length",      "force",  "rate", "pressure",
                                                  "temperature", "volume", "mass", "viscosity",
                                                  "speed",       "torque", NULL};
static const char *const usual_units[KINDS] = {"mm",  "N",  "N/mm",  "bar", "degC",
                                               "cm3", "kg", "mm2/s", "m/s", "N.m"};
static const double usual_scale[KINDS] = {1e3, 1, 1e-3, 1e-5, 1,
                                          1e6, 1, 1e6,  1,    1}; // unit = SI * scale (+ zero)
static const double usual_zero[KINDS] = {[KIND_TEMPERATURE] = -273.15};

static struct df_units *units;
static char chosen[KINDS][40]; // "" : the usual one

struct df_units *units_get(void)
{
  if (units) return units;
  struct df_faults faults = {0};
  units = df_reading_units_create(&faults);
  if (!units) {
    say_faults(&faults);
    say_error("units of measure cannot be set up");
  }
  return units;
}

void units_drop(void)
{
  if (units) df_reading_units_destroy(units);
  units = NULL;
}

static int choose(const char *pair)
{
  char name[32] = "", unit[40] = "";
  if (sscanf(pair, "%31[^=]=%39s", name, unit) != 2) {
    say_error("--units %s: KIND=UNIT is wanted, as in force=kgf", pair);
    return EXIT_USAGE;
  }
  int kind = 0;
  while (kind < KINDS && strcmp(kind_names[kind], name)) kind++;
  if (kind == KINDS) {
    say_error(
        "--units %s: no kind '%s'; there are length, force, rate, pressure, temperature, volume, "
        "mass, viscosity, speed, torque",
        pair, name);
    say_did_you_mean("", nearest_word(name, kind_names));
    return EXIT_USAGE;
  }
  if (!units_get()) return EXIT_OUTPUT;
  if (!df_units_alike(units, unit, usual_units[kind])) {
    say_error("--units %s: '%s' is no unit of %s; %s would be one", pair, unit, name,
              usual_units[kind]);
    return EXIT_USAGE;
  }
  strcpy(chosen[kind], unit);
  return 0;
}

int shown_start(const struct call *call)
{
  const struct option_value *value = &call->options.of[OPT_UNITS];
  for (int i = 0; i < value->n; i++) {
    char list[400], *rest = NULL;
    snprintf(list, sizeof list, "%s", value->text[i]);
    for (char *pair = strtok_r(list, ",", &rest); pair; pair = strtok_r(NULL, ",", &rest)) {
      int status = choose(pair);
      if (status) return status;
    }
  }
  return 0;
}

const char *shown_unit(enum kind kind)
{
  return *chosen[kind] ? chosen[kind] : usual_units[kind];
}

static char *buffer(void)
{
  static char text[16][64];
  static int next;
  return text[next++ % 16];
}

const char *shown_bare(enum kind kind, double si)
{
  double value = *chosen[kind] && units ? df_value_in(units, si, chosen[kind])
                                        : si * usual_scale[kind] + usual_zero[kind];
  return figure(buffer(), value);
}

const char *shown(enum kind kind, double si)
{
  char *out = buffer();
  if (isfinite(si)) snprintf(out, 64, "%s %s", shown_bare(kind, si), shown_unit(kind));
  else strcpy(out, "-");
  return out;
}
