// advise --complaint: from what a rider says and reads off to the one change to make next.
#include "atomic.h"
#include "complaint_work.h"
#include "jobs.h"
#include "nearest.h"
#include "say.h"
#include "shown.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double off_share = 0.1;  // 1, of the travel: a reading further off is another fork's; chosen here
static const double sag_least = 5e-3; // m, two readings of 2 mm and the rider's posture

// ---- what was read off ----
static int observation_read(struct complaint_work *w, const char *text)
{
  char name[32], *end;
  const char *equal = strchr(text, '=');
  snprintf(name, sizeof name, "%.*s", equal ? (int)(equal - text) : 0, text);
  int i = observation_find(name);
  if (i < 0) {
    say_error("--observed %s: there is no such observation", text);
    say_note("o_ring_held, o_ring_hump, o_ring_worst, sag_from_below, sag_from_above, oil_temperature, tyre_pressure, speed, leg");
    return EXIT_USAGE;
  }
  const char *value = equal + 1;
  if (i == OBSERVED_LEG) {
    w->observed[i] = !strcmp(value, "left") ? 1 : !strcmp(value, "right") ? 2 : NAN;
    if (isfinite(w->observed[i])) return 0;
  } else {
    double number = strtod(value, &end);
    while (*end == ' ') end++;
    if (end != value) w->observed[i] = df_value_si(units_get(), number, *end ? end : observations[i].unit);
    if (end != value && df_units_alike(units_get(), *end ? end : observations[i].unit, observations[i].unit) &&
        isfinite(w->observed[i]))
      return 0;
  }
  say_error("--observed %s: what is read off is %s", text, i == OBSERVED_LEG ? "left or right" : "a number and a unit");
  say_note("like %s=%s%s%s: %s", observations[i].name, i == OBSERVED_LEG ? "left" : i == OBSERVED_TYRE ? "2.3" : "60",
           *observations[i].unit ? " " : "", observations[i].unit, observations[i].meaning);
  return EXIT_USAGE;
}

// ---- rides so far ----
static int history_read(struct complaint_work *w)
{
  const char *path = w->advise->loaded.path, *dot = strrchr(path, '.'), *slash = strrchr(path, '/');
  size_t n = dot && (!slash || dot > slash) ? (size_t)(dot - path) : strlen(path);
  char file[1024];
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  snprintf(file, sizeof file, "%.*s.rides.yaml", (int)n, path);
  enum df_status status = df_past_read(&w->past, file, faults);
  int result = status ? status_exit(file, status, faults) : 0;
  free(faults);
  return result;
}

static int reading_take(struct complaint_work *w, const char *name, const char *value)
{
  char text[160];
  int i = observation_find(name);
  if (i >= 0 && isfinite(w->observed[i])) return 0; // what is said now counts
  snprintf(text, sizeof text, "%s=%s", name, value);
  w->taken++;
  return observation_read(w, text);
}

// What the last ride with this complaint left behind.
static int readings_of_history(struct complaint_work *w)
{
  const struct df_past_ride *last = NULL;
  int status = 0;
  for (int i = 0; i < w->past.n; i++)
    if (!strcmp(w->past.ride[i].complaint, w->complaint->name)) last = &w->past.ride[i];
  for (int i = 0; last && i < last->reading_n && !status; i++)
    status = reading_take(w, last->reading[i].key, last->reading[i].value);
  if (!status && last && last->temperature[0]) status = reading_take(w, "oil_temperature", last->temperature);
  if (!status && last && last->tyre_pressure[0]) status = reading_take(w, "tyre_pressure", last->tyre_pressure);
  return status;
}

// A change that a ride already found no better goes to the end of the list.
static void tried_put_back(struct complaint_work *w, const struct df_past_ride *ride, const struct df_past_pair *pair)
{
  struct df_cures *c = &w->cures;
  for (int i = 0; i < c->n; i++) {
    const struct df_choice *choice = &c->choice[c->cure[i].k];
    if (strcmp(choice->path, pair->key)) continue;
    double value = strtod(pair->value, NULL), to = choice->value[c->cure[i].at]; // in the choice's unit
    if ((value - choice->now)*(to - choice->now) <= 0) continue; // tried the other way
    struct df_cure tried = c->cure[i];
    memmove(&c->cure[i], &c->cure[i + 1], (size_t)(c->n - 1 - i)*sizeof *c->cure);
    c->cure[c->n - 1] = tried;
    size_t used = strlen(w->tried);
    snprintf(w->tried + used, sizeof w->tried - used, "%s%s %s on %s: %s", used ? "; " : "", choice->name, pair->value, ride->date,
             ride->verdict == DF_VERDICT_SAME ? "the same" : "worse");
    return;
  }
}

static void history_heed(struct complaint_work *w)
{
  for (int i = 0; i < w->past.n; i++) {
    const struct df_past_ride *ride = &w->past.ride[i];
    if (ride->verdict != DF_VERDICT_SAME && ride->verdict != DF_VERDICT_WORSE) continue;
    if (ride->complaint[0] && strcmp(ride->complaint, w->complaint->name)) continue;
    for (int j = 0; j < ride->setting_n; j++) tried_put_back(w, ride, &ride->setting[j]);
  }
}

static int observations_read(struct complaint_work *w)
{
  const struct option_value *given = &w->advise->call->options.of[OPT_OBSERVED];
  for (int i = 0; i < OBSERVED_MAX; i++) w->observed[i] = w->modelled[i] = NAN;
  w->friction = w->friction_before = NAN;
  for (int i = 0; i < given->n; i++) {
    int status = observation_read(w, given->text[i]);
    if (status) return status;
  }
  return 0;
}

// Friction that gives the band between both ways of settling: three secant-like steps are within 1 %.
static void friction_put(struct complaint_work *w)
{
  double band = w->observed[OBSERVED_BELOW] - w->observed[OBSERVED_ABOVE];
  struct df_statics statics;
  if (!isfinite(band)) return;
  w->friction_before = w->friction = df_reading_scenario(w->reading)->seals.sliding;
  for (int i = 0; i < 3; i++) {
    if (df_rest_of(df_reading_scenario(w->reading), &statics, NULL) != DF_OK || !(statics.sag_band > 0)) return;
    double next = fmax(1, w->friction*fabs(band)/statics.sag_band);
    if (df_reading_set(w->reading, "seals.sliding", next, NULL) == DF_OK) w->friction = next;
  }
}

// Sag must agree before anything is advised: otherwise it is another spring, load or preload.
static int sag_agrees(struct complaint_work *w)
{
  struct df_statics statics;
  double below = w->observed[OBSERVED_BELOW], above = w->observed[OBSERVED_ABOVE], mean = 0.5*(below + above);
  if (!isfinite(mean) || df_rest_of(df_reading_scenario(w->reading), &statics, NULL) != DF_OK) return 1;
  w->modelled[OBSERVED_BELOW] = w->modelled[OBSERVED_ABOVE] = statics.x_rider;
  return fabs(mean - statics.x_rider) <= fmax(sag_least, 0.5*fabs(below - above));
}

static int observations_put(struct complaint_work *w)
{
  if (!(w->reading = df_reading_copy(w->advise->loaded.reading))) return EXIT_OUTPUT;
  double kelvin = w->observed[OBSERVED_OIL];
  if (isfinite(kelvin)) df_reading_set(w->reading, "oil.temperature", kelvin, NULL);
  friction_put(w);
  if (sag_agrees(w)) return 0;
  say_error("sag with rider is %.0f mm on the bike, %.0f mm in %s: another spring, spring preload or load",
            500*(w->observed[OBSERVED_BELOW] + w->observed[OBSERVED_ABOVE]), 1e3*w->modelled[OBSERVED_BELOW], w->advise->loaded.path);
  say_note("nothing is advised while they disagree; measure again, or: dampfork fit %s --measured FILE", w->advise->loaded.path);
  return EXIT_CHECK_SAID_NO;
}

// ---- what the model says of the readings, and of the next one ----
static void stand_in_take(const struct complaint *c, struct df_cure_options *o, char *road, size_t size)
{
  const char *point = strchr(c->stand_in, '.');
  snprintf(road, size, "%.*s", point ? (int)(point - c->stand_in) : 0, c->stand_in);
  o->road = point ? road : "worst", o->measure = point ? point + 1 : c->stand_in;
  if (!strcmp(c->stand_in, "plain")) o->road = "plain", o->measure = NULL;
}

static int road_of(const struct complaint_work *w, int observation)
{
  const char *name = observations[observation].road;
  const struct df_scenario *s = df_reading_scenario(w->cures.reading);
  for (int r = 0; name && r < s->road_n; r++)
    if (!strcmp(s->road[r].name, name)) return r;
  return name ? -1 : w->cures.road;
}

static void expect_next(struct complaint_work *w, const struct df_cure_options *o)
{
  w->expect_of = -1;
  if (!w->complaint->reading || !w->cures.n) return;
  int i = observation_find(w->complaint->reading), road = road_of(w, i);
  if (i == OBSERVED_HELD && road < 0) i = OBSERVED_WORST, road = w->cures.road;
  if (road < 0 || df_cure_expect(&w->cures, 0, road, observations[i].measure, o, &w->expect) != DF_OK) return;
  struct df_statics statics;
  if (!isfinite(w->expect.before) || df_rest_of(df_reading_scenario(w->cures.reading), &statics, NULL) != DF_OK) return;
  w->expect.before -= statics.free_travel;
  w->expect_of = i, w->modelled[i] = w->expect.before;
}

// A reading far from the model's own is not built upon.
static int reading_off(const struct complaint_work *w)
{
  int i = w->expect_of;
  double travel = df_reading_scenario(w->reading)->side[0].leg.travel;
  return i >= 0 && isfinite(w->observed[i]) && fabs(w->observed[i] - w->modelled[i]) > off_share*travel;
}

const char *complaint_rule(const struct complaint_work *w, double *gain)
{
  const struct complaint *c = w->complaint;
  for (int k = 0; c->rule && k < w->cures.choice_n; k++) {
    if (strcmp(w->cures.choice[k].path, c->rule_key)) continue;
    *gain = c->rule_way > 0 ? w->cures.up[k] : w->cures.down[k];
    if (isfinite(*gain)) return *gain > 0.02 ? "supported" : "contradicted";
  }
  return "";
}

static int complaint_write(const struct complaint_work *w)
{
  const struct advise_work *a = w->advise;
  FILE *file = NULL;
  if (output_folder(a->folder) || !(file = output_open(a->folder, "advise-complaint.csv"))) return output_discard_all(), EXIT_OUTPUT;
  struct csv csv = csv_begin(file, a->call->digits);
  head_csv(a->call, &a->loaded, 1, &csv);
  csv_head(&csv, "complaint", "%s", w->complaint->name);
  complaint_rows(w, &csv);
  return output_commit_all();
}

static int complaint_answer(const struct complaint_work *w)
{
  struct call *call = w->advise->call;
  int status = w->advise->folder ? complaint_write(w) : 0;
  if (status) return status;
  if (call->format == FORMAT_JSON) complaint_json(w);
  else if (call->format == FORMAT_CSV) {
    struct csv csv = csv_begin(stdout, call->digits);
    head_csv(call, &w->advise->loaded, 1, &csv);
    csv_head(&csv, "complaint", "%s", w->complaint->name);
    complaint_rows(w, &csv);
  } else if (!option_given(&call->options, OPT_QUIET)) complaint_say(w);
  if (!reading_off(w)) return 0;
  int i = w->expect_of;
  say_warning("%s: read %.0f mm, the model says %.0f mm; learn from it before the next change: dampfork fit %s --measured FILE",
              observations[i].name, 1e3*w->observed[i], 1e3*w->modelled[i], w->advise->loaded.path);
  return EXIT_CHECK_SAID_NO;
}

static int cures_find(struct complaint_work *w)
{
  const struct advise_work *a = w->advise;
  char road[40];
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  struct df_cure_options o = {.key = a->key_n ? a->key : NULL, .key_n = a->key_n, .threads = jobs_wanted(a->call),
                              .draws = (int)option_number(&a->call->options, OPT_SPREAD, 0),
                              .seed = (unsigned long)option_number(&a->call->options, OPT_SEED, 1), .ride = a->ride};
  if (isfinite(w->observed[OBSERVED_SPEED])) o.speed = w->observed[OBSERVED_SPEED];
  stand_in_take(w->complaint, &o, road, sizeof road);
  enum df_status status = df_cures(&w->cures, w->reading, &o, faults);
  int result = status ? status_exit(a->loaded.path, status, faults) : 0;
  if (!result) history_heed(w);
  if (!result) expect_next(w, &o);
  free(faults);
  return stop_signal ? stop_status() : result;
}

static int named(struct complaint_work *w, const char *name)
{
  const char *known[64] = {NULL};
  if ((w->complaint = complaint_find(name))) return 0;
  for (int i = 0; i < complaint_count && i < 63; i++) known[i] = complaints[i].name;
  say_error("--complaint %s: there is no such complaint", name);
  const char *near = nearest_word(name, known);
  say_did_you_mean("", near);
  char list[600] = "";
  for (int i = 0; i < complaint_count; i++)
    snprintf(list + strlen(list), sizeof list - strlen(list), "%s%s", i ? ", " : "", complaints[i].name);
  say_note("complaints: %s", list);
  return EXIT_USAGE;
}

int complaint_run(struct advise_work *advise, const char *name)
{
  struct complaint_work *w = calloc(1, sizeof *w);
  if (!w) return EXIT_OUTPUT;
  w->advise = advise, w->expect_of = -1;
  int status = named(w, name);
  if (!status) status = history_read(w);
  if (!status) status = observations_read(w);
  if (!status) status = readings_of_history(w);
  if (!status) status = observations_put(w);
  if (!status && w->complaint->stand_in) status = cures_find(w);
  if (!status) status = complaint_answer(w);
  df_cures_finish(&w->cures);
  df_reading_destroy(w->reading);
  free(w);
  return status;
}
