// inspect: what was understood, what was assumed, what to measure next.
#include "commands.h"
#include "derived.h"
#include "doubt.h"
#include "load.h"
#include "out_json.h"
#include "out_text.h"
#include "say.h"
#include "shown.h"

#include "base/param.h"
#include "dampfork/shims.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double gravity = 9.80665; // m/s2

struct work {
  struct call *call;
  struct loaded loaded;
  struct df_statics statics;
  struct df_leg_model *leg[DF_SIDES];
  struct derived derived[DERIVED_MAX];
  int derived_n;
};

static int assumed(const struct work *work, const char *path)
{
  struct df_value value;
  int i = df_reading_find(work->loaded.reading, path);
  if (i < 0) return 0;
  df_reading_value(work->loaded.reading, i, &value);
  return !value.given;
}

// "~" before a figure that rests on an assumed value.
static const char *mark(const struct work *work, const char *path)
{
  return assumed(work, path) ? "~" : "";
}

static void holes_text(const struct df_hole_list *list, char *out, size_t size)
{
  *out = 0;
  for (int i = 0; i < list->n; i++) {
    size_t used = strlen(out);
    snprintf(out + used, size - used, "%s%.0f x %.4g mm", i ? " + " : "", list->at[i].count,
             1e3 * list->at[i].diameter);
  }
  if (!list->n) snprintf(out, size, "none");
}

static void heading(const struct work *work)
{
  int given, few;
  int all = df_reading_given(work->loaded.reading, &given, &few);
  char title[200], path[120];
  clean(title, sizeof title, work->loaded.scenario->title, 46);
  clean_name(path, sizeof path, work->loaded.path, 30);
  line("%s   %s   %d values: %d given, %d assumed (~)", path, title, all, given, few);
}

static void weights(const struct work *work)
{
  const struct df_statics *s = &work->statics;
  labelled("Front wheel", "%s%s with rider%s, %s%s alone: does your scale agree?",
           mark(work, "rider.mass"), shown(KIND_MASS, s->front_load_rider / gravity),
           work->loaded.scenario->load.luggage.mass + work->loaded.scenario->load.passenger.mass > 0
               ? " and load"
               : "",
           mark(work, "bike.front_share"), shown(KIND_MASS, s->front_load_alone / gravity));
  double travel = work->loaded.scenario->side[0].leg.travel, alone = s->x_alone - s->free_travel,
         rider = s->x_rider - s->free_travel;
  if (!isfinite(rider)) {
    labelled("Sag", "%s alone; with rider: no rest within the travel of %s, spring too soft or too stiff",
             shown(KIND_LENGTH, alone), shown(KIND_LENGTH, travel));
    return;
  }
  labelled("Sag", "%s alone, %s with rider (%.0f %% of %s); friction can hide +-%s",
           shown(KIND_LENGTH, alone), shown(KIND_LENGTH, rider), 100 * rider / travel,
           shown(KIND_LENGTH, travel), shown(KIND_LENGTH, 1e-3 * round(500 * s->sag_band)));
}

static void spring(const struct work *work)
{
  const struct df_side *side = &work->loaded.scenario->side[0];
  const struct df_statics *s = &work->statics;
  double room = side->spring.free_length - side->spring.solid_length - s->spring_preload -
                side->leg.travel;
  labelled("Spring",
           "%s%s, %s%s spring preload: %s at the cap of each leg; coils close %s %s full travel",
           mark(work, "spring.rate"), shown(KIND_RATE, side->spring.rate),
           mark(work, "spring.preload"), shown(KIND_LENGTH, s->spring_preload),
           shown(KIND_FORCE, s->cap_force), shown(KIND_LENGTH, fabs(room)),
           room >= 0 ? "after" : "BEFORE");
  labelled(
      "Air",
      "oil level %s%s from the rim (smaller is more oil): %s left at full travel, %s absolute; "
      "spring and air there %s a leg",
      mark(work, "air.oil_level"), shown(KIND_LENGTH, side->air.oil_level),
      shown(KIND_VOLUME, s->gas_end), shown(KIND_PRESSURE, s->pressure_end),
      shown(KIND_FORCE, s->end_force));
  labelled("Oil", "%s%s at %s", mark(work, "oil.viscosity_40"), shown(KIND_VISCOSITY, s->viscosity),
           shown(KIND_TEMPERATURE, side->oil.temperature));
}

static void rod(const struct work *work)
{
  const struct df_side *side = &work->loaded.scenario->side[0];
  const struct df_statics *s = &work->statics;
  char compression[120], rebound[120];
  holes_text(&side->rod.holes.compression_holes, compression, sizeof compression);
  holes_text(&side->rod.holes.rebound_holes, rebound, sizeof rebound);
  labelled("Rod", "%s: %s in compression, %s in rebound",
           side->rod.has_opened && side->rod.state == DF_ROD_OPENED ? "opened" : "as found",
           compression, rebound);
  if (!side->has_valve) {
    labelled("Valve", "none: a plain rod");
    return;
  }
  char turns[40] = "";
  double n = isfinite(side->valve.preload_turns) ? side->valve.preload_turns
                                                 : side->valve.preload / side->valve.adjuster_pitch;
  snprintf(turns, sizeof turns, "%.3g turns = ", n);
  labelled("Valve", "%s%s%s of valve preload: opens at %s across the valve%s%s",
           mark(work, "valve.preload"), turns, shown(KIND_LENGTH, side->valve.preload),
           shown(KIND_PRESSURE, s->cracking_pressure),
           isfinite(s->cracking_speed) ? ", at a fork speed of " : "; never below 10 m/s",
           isfinite(s->cracking_speed) ? shown(KIND_SPEED, s->cracking_speed) : "");
  double stress = df_valve_shim_stress(&side->valve);
  if (isfinite(stress))
    labelled("Shims", "bent to %.0f MPa at the stop (%s of lift); their steel yields at %s%.0f MPa: %s",
             stress*1e-6, shown(KIND_LENGTH, side->valve.stop), mark(work, "valve.shim_yield"),
             side->valve.shim_yield*1e-6, stress > side->valve.shim_yield ? "TOO MUCH" : "it bears");
}

static void measure_next(const struct work *work)
{
  struct doubt doubt[3];
  int n = doubts_find(work->loaded.reading, doubt, 3);
  for (int i = 0; i < n; i++) {
    char usual[24], low[24], high[24], from[24], to[24];
    const char *unit = doubt[i].row->unit;
    int bare = !strcmp(unit, "1");
    labelled(i ? "" : "Measure", "%s: assumed %s%s%s; from %s to %s moves %s from %s to %s %s",
             doubt[i].path, figure(usual, doubt[i].usual), bare ? "" : " ", bare ? "" : unit,
             figure(low, doubt[i].low), figure(high, doubt[i].high), doubt[i].moves,
             figure(from, doubt[i].from), figure(to, doubt[i].to), doubt[i].unit);
  }
  if (n)
    line("Next: dampfork help %s (how to measure it), or dampfork curves %s", doubt[0].path,
         work->loaded.path);
  else line("Next: dampfork curves %s", work->loaded.path);
}

static void answer_text(const struct work *work)
{
  heading(work);
  if (work->loaded.scenario->side[0].leg.has_linear)
    labelled("Leg", "linear: it stands in for spring, air, damping and friction");
  weights(work);
  if (!work->loaded.scenario->side[0].leg.has_linear) {
    spring(work);
    rod(work);
  }
  if (work->loaded.scenario->unlike)
    labelled("Legs", "differ: figures are those of the left leg, --all has both");
  measure_next(work);
}

static void value_text(const struct df_value *value, char *out, size_t size)
{
  char number[40];
  if (value->absent) snprintf(out, size, "-");
  else if (value->word) snprintf(out, size, "%s", value->word);
  else
    snprintf(out, size, "%s%s%s", number_text(number, value->in_unit, 6),
             strcmp(value->unit, "1") ? " " : "", strcmp(value->unit, "1") ? value->unit : "");
}

static void all_text(const struct work *work)
{
  const struct df_reading *reading = work->loaded.reading;
  heading(work);
  line("%-46s %-18s %-16s %s", "key", "as given", "value", "in SI");
  for (int i = 0; i < df_reading_count(reading); i++) {
    struct df_value value;
    char text[200], si[40] = "", given[80];
    df_reading_value(reading, i, &value);
    value_text(&value, text, sizeof text);
    if (!value.word && !value.absent) number_text(si, value.si, 9);
    line("%-46s %-18s %-16s %s", value.path,
         value.given    ? clean(given, sizeof given, value.text, 18)
         : value.absent ? ""
                        : "assumed",
         text, si);
  }
  line("What follows from it");
  for (int i = 0; i < work->derived_n; i++) {
    char number[40] = "-";
    if (isfinite(work->derived[i].value)) number_text(number, work->derived[i].value, 9);
    line("  %-58s %s", work->derived[i].name, number);
  }
}

static void answer_csv(const struct work *work)
{
  static const char *const names[] = {"key", "given", "value", "unit", "si", "state"};
  struct csv csv = csv_begin(stdout, work->call->digits);
  head_csv(work->call, &work->loaded, 1, &csv);
  csv_names(&csv, names, 6);
  for (int i = 0; i < df_reading_count(work->loaded.reading); i++) {
    struct df_value value;
    df_reading_value(work->loaded.reading, i, &value);
    csv_text(&csv, value.path);
    csv_text(&csv, value.text ? value.text : "");
    if (value.word) csv_text(&csv, value.word);
    else csv_number(&csv, value.in_unit);
    csv_text(&csv, value.unit ? value.unit : "");
    csv_number(&csv, value.word ? NAN : value.si);
    csv_text(&csv, value.given ? "given" : value.absent ? "absent" : "assumed");
    csv_line(&csv);
  }
  for (int i = 0; i < work->derived_n; i++) {
    csv_text(&csv, work->derived[i].name);
    csv_text(&csv, "");
    csv_number(&csv, work->derived[i].value);
    csv_text(&csv, "");
    csv_number(&csv, NAN);
    csv_text(&csv, "derived");
    csv_line(&csv);
  }
}

static void json_doubts(const struct work *work, struct json *json)
{
  struct doubt doubt[10];
  int n = doubts_find(work->loaded.reading, doubt, 10);
  json_array(json, "measure_next");
  for (int i = 0; i < n; i++) {
    json_object(json, NULL);
    json_text(json, "key", doubt[i].path);
    json_text(json, "unit", doubt[i].row->unit);
    json_number(json, "assumed", doubt[i].usual);
    json_number(json, "low", doubt[i].low);
    json_number(json, "high", doubt[i].high);
    json_text(json, "moves", doubt[i].moves);
    json_text(json, "moves_unit", doubt[i].unit);
    json_number(json, "from", doubt[i].from);
    json_number(json, "to", doubt[i].to);
    json_end(json);
  }
  json_end(json);
}

static void answer_json(const struct work *work)
{
  const struct df_reading *reading = work->loaded.reading;
  struct json json;
  json_begin(&json, stdout, work->call->digits, "inspect");
  json_text(&json, "scenario", work->loaded.path);
  json_text(&json, "title", work->loaded.scenario->title);
  json_text(&json, "hash", work->loaded.hash);
  struct df_value value;
  json_object(&json, "given");
  for (int i = 0; i < df_reading_count(reading); i++) {
    df_reading_value(reading, i, &value);
    if (value.given) json_text(&json, value.path, value.text);
  }
  json_end(&json);
  json_object(&json, "si");
  for (int i = 0; i < df_reading_count(reading); i++) {
    df_reading_value(reading, i, &value);
    if (value.absent) continue;
    if (value.word) json_text(&json, value.path, value.word);
    else json_number(&json, value.path, value.si);
  }
  json_end(&json);
  json_array(&json, "assumed");
  for (int i = 0; i < df_reading_count(reading); i++) {
    df_reading_value(reading, i, &value);
    if (!value.given && !value.absent) json_text(&json, NULL, value.path);
  }
  json_end(&json);
  json_doubts(work, &json);
  json_object(&json, "derived");
  for (int i = 0; i < work->derived_n; i++)
    json_number(&json, work->derived[i].name, work->derived[i].value);
  json_finish(&json);
}

static int compute(struct work *work)
{
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  const struct df_scenario *scenario = work->loaded.scenario;
  enum df_status status = df_statics_of(scenario, &work->statics, faults);
  for (int i = 0; i < (scenario->unlike ? DF_SIDES : 1) && !status; i++) {
    work->leg[i] = df_leg_create(scenario, i, faults);
    if (!work->leg[i]) status = faults->n ? faults->at[faults->n - 1].status : DF_NO_MEMORY;
  }
  int result = status ? status_exit(work->loaded.path, status, faults) : 0;
  free(faults);
  if (!result) work->derived_n = derived_fill(scenario, &work->statics, work->leg, work->derived);
  return result;
}

int cmd_inspect(struct call *call)
{
  struct work *work = calloc(1, sizeof *work);
  if (!work) return EXIT_OUTPUT;
  work->call = call;
  int status = load(call, call->arguments[0], &work->loaded);
  if (!status) status = compute(work);
  if (!status && !option_given(&call->options, OPT_QUIET)) {
    if (call->format == FORMAT_CSV) answer_csv(work);
    else if (call->format == FORMAT_JSON) answer_json(work);
    else if (option_given(&call->options, OPT_ALL)) all_text(work);
    else answer_text(work);
  }
  for (int i = 0; i < DF_SIDES; i++) df_leg_destroy(work->leg[i]);
  load_finish(&work->loaded);
  free(work);
  return status;
}
