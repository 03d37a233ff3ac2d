// The answer of `ride` on the screen and as JSON: what matters on each road, beside its target.
#include "say.h"
#include "ride_work.h"

#include "out_json.h"
#include "out_text.h"

#include "measures/targets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// What matters on a road: one or two measures, by what happens there.
void ride_matter(const struct df_road *road, const char **first, const char **second)
{
  const char *kind = df_road_kinds[road->kind]->name;
  int flat = !strcmp(kind, "flat");
  *second = NULL;
  if (road->has_push) *first = "push_past_start";
  else if (road->has_lean) *first = "lean_settling", *second = "lean_overshoot";
  else if (road->has_brake && flat) *first = "braked_rest_share", *second = "dive_overshoot_share";
  else if (road->has_brake) *first = "shock_transmitted", *second = "bottoming_speed";
  else if (!strcmp(kind, "washboard")) *first = "packing", *second = "void_share";
  else if (df_road_kinds[road->kind]->faded)
    *first = "sprung_acceleration_weighted", *second = "tyre_load_variation";
  else if (road->repeat > 1) *first = "bounce_decay", *second = "shock_transmitted";
  else if (!strcmp(kind, "haversine") || !strcmp(kind, "round_hump") ||
           !strcmp(kind, "flat_hump") || !strcmp(kind, "dip"))
    *first = "sprung_acceleration_peak", *second = "return_time";
  else *first = "shock_transmitted", *second = "airborne_time";
}

// How a measure is said. Times below a second are said in ms.
static const struct { const char *measure, *words;
} said[] = {
    {"braked_rest_share", "rests at"},
    {"dive_overshoot_share", "overshoots by"},
    {"shock_transmitted", "passes on"},
    {"bottoming_speed", "hits the stop at"},
    {"push_past_start", "swings past its rest by"},
    {"lean_settling", "settles in"},
    {"lean_overshoot", "overshoots by"},
    {"packing", "sinks by"},
    {"void_share", "voids for"},
    {"sprung_acceleration_weighted", "shakes"},
    {"tyre_load_variation", "tyre load varies"},
    {"bounce_decay", "second swing over first"},
    {"sprung_acceleration_peak", "lifts with"},
    {"return_time", "comes back in"},
    {"airborne_time", "in the air"},
    {"sag_rider_share", "with rider"},
    {"sag_loaded_share", "loaded"},
    {"sag_alone_share", "alone"},
    {"sag_band", "from above to below"},
    {"damping_ratio_compression_300", "in compression"},
    {"damping_ratio_rebound_300", "in rebound"},
    {"travel_reserve", "least travel left"},
};

static void number_said(const struct df_measure *measure, double si, char *out, size_t size)
{
  char unit[32], number[24];
  double value = si*measure->per_si;
  df_unit_text(measure->unit, unit, sizeof unit);
  if (!strcmp(unit, "s") && fabs(value) < 1) value *= 1e3, strcpy(unit, "ms");
  snprintf(out, size, "%s%s%s", figure(number, value), *unit ? " " : "", unit);
}

void ride_measure_said(int row, double si, char *out, size_t size)
{
  const char *words = df_measures[row].name;
  char number[64];
  for (size_t i = 0; i < sizeof said/sizeof *said; i++)
    if (!strcmp(said[i].measure, df_measures[row].name)) words = said[i].words;
  number_said(&df_measures[row], si, number, sizeof number);
  if (!strcmp(df_measures[row].name, "bottoming_speed") && si == 0)
    snprintf(out, size, "clear of the stop");
  else snprintf(out, size, "%s %s", words, number);
}

static double plain_of(const struct ride_work *work, const char *road, const char *measure)
{
  int row = df_measure_find(measure);
  for (int i = 0; i < work->n && row >= 0; i++)
    if (!strcmp(work->outcome[i].road->name, road)) return work->outcome[i].plain[row];
  return NAN;
}

// Replace every `word` by the shorter `sign`.
static void shorten(char *text, const char *word, const char *sign)
{
  for (char *at; (at = strstr(text, word));) {
    memcpy(at, sign, strlen(sign));
    memmove(at + strlen(sign), at + strlen(word), strlen(at + strlen(word)) + 1);
  }
}

// Target of a measure on this road: its text, and 1 met, 0 missed, -1 none or not to be judged
// here.
static int target_of(const struct ride_work *work, const char *road, const char *measure,
                     double value, char *out, size_t size)
{
  struct df_expectation own;
  int use = work->loaded.scenario->use;
  *out = 0;
  if (df_reading_target_of(work->loaded.reading, road, measure, &own)) {
    snprintf(out, size, "%s", own.text);
    return isfinite(value) ? ride_holds(&own, value) : -1;
  }
  int row = df_target_find(road, measure, use);
  if (row < 0) return -1;
  double plain = plain_of(work, road, measure);
  if (df_targets[row].relation == DF_TARGET_OF_PLAIN) {
    if (!isfinite(plain)) return -1;
    char number[64];
    number_said(&df_measures[df_measure_find(measure)], plain, number, sizeof number);
    snprintf(out, size, "plain %.*s", (int)strcspn(number, " "),
             number); // the unit stands beside the value already
  } else df_target_text(&df_targets[row], use, out, size);
  shorten(out, "at most ", "<= ");
  shorten(out, "at least ", ">= ");
  enum df_judgement judged = df_target_judge(&df_targets[row], use, value, plain, 0);
  return judged == DF_NO_TARGET ? -1 : judged == DF_MET;
}

// Targets seen so far, and where they were missed.
struct score { int met, all; char missed[400]; };

// Add "rests at 56 % (<= 55 %: no)" to a text, and to the score.
static void phrase(const struct ride_work *work, const char *road, const char *measure,
                   double value, struct score *score, char *out, size_t size)
{
  int row = df_measure_find(measure);
  if (row < 0 || !isfinite(value)) return;
  char one[120], target[80];
  ride_measure_said(row, value, one, sizeof one);
  int met = target_of(work, road, measure, value, target, sizeof target);
  size_t used = strlen(out);
  snprintf(out + used, size - used, "%s%s", used ? ", " : "", one);
  if (met < 0) return;
  used = strlen(out);
  snprintf(out + used, size - used, " (%s: %s)", target, met ? "yes" : "no");
  score->all++, score->met += met;
  if (met) return;
  char name[64];
  snprintf(name, sizeof name, "%s", !strcmp(road, "static") || !strcmp(road, "*") ? measure : road);
  for (char *at = name; *at; at++) *at = *at == '_' ? ' ' : *at;
  size_t end = strlen(score->missed);
  if (!strstr(score->missed, name))
    snprintf(score->missed + end, sizeof score->missed - end, "%s%s", end ? ", " : "", name);
}

static void road_text(const struct ride_work *work, const struct outcome *outcome,
                      struct score *score, char *out, size_t size)
{
  const char *first, *second, *road = outcome->road->name;
  *out = 0;
  if (outcome->ride.status) {
    snprintf(out, size, "ended early: see the message");
    return;
  }
  ride_matter(outcome->road, &first, &second);
  phrase(work, road, first, ride_value(work, road, first), score, out, size);
  if (second) phrase(work, road, second, ride_value(work, road, second), score, out, size);
}

// Sag, band and damping ratios, without a road.
static void static_text(const struct ride_work *work, struct score *score, char *sag, char *ratio,
                        size_t size)
{
  const struct df_load *load = &work->loaded.scenario->load;
  static const char *const names[] = {"sag_alone_share", "sag_band",
                                      "damping_ratio_compression_300", "damping_ratio_rebound_300"};
  const char *rider = load->luggage.mass + load->passenger.mass > 0 ? "sag_loaded_share"
                                                                    : "sag_rider_share";
  *sag = *ratio = 0;
  phrase(work, "static", rider, ride_value(work, "static", rider), score, sag, size);
  for (int i = 0; i < 4; i++)
    phrase(work, "static", names[i], ride_value(work, "static", names[i]), score,
           i < 2 ? sag : ratio, size);
}

// The road that leaves the least travel.
static double least_reserve(const struct ride_work *work, const char **road)
{
  double least = NAN;
  for (int i = 0; i < work->n; i++) {
    double one = ride_value(work, work->outcome[i].road->name, "travel_reserve");
    if (one < least || isnan(least)) least = one, *road = work->outcome[i].road->name;
  }
  return least;
}

static void say_expectations(const struct ride_work *work, int failed)
{
  struct df_effort effort;
  double residual;
  int n = df_reading_expect_count(work->loaded.reading);
  const char *changed = ride_overridden(work->call);
  ride_effort(work, &effort, &residual);
  if (n && changed)
    line("Expectations are not checked: --%s changed the scenario. Energy closes to %.2g %%.",
         changed, 100 * residual);
  else if (n)
    line("Expectations: %d of %d hold. Energy closes to %.2g %%.", n - failed, n, 100 * residual);
  else line("Energy closes to %.2g %%.", 100*residual);
}

void ride_answer_text(const struct ride_work *work, int failed)
{
  static const char *const use_words[] = {"commuting", "touring", "brisk_road", "gravel"};
  struct table *table = malloc(sizeof *table);
  struct score score = {0};
  char sag[300], ratio[300], reserve[200] = "", text[300], peak[24];
  const char *where = "";
  if (!table) {
    say_no_memory();
    return;
  }
  static_text(work, &score, sag, ratio, sizeof sag);
  phrase(work, "*", "travel_reserve", least_reserve(work, &where), &score, reserve, sizeof reserve);
  table_begin(table, 3, "lrl");
  table_cell(table, 0, 0, "road");
  table_cell(table, 0, 1, "peak mm");
  table_cell(table, 0, 2, "what matters there (target: met?)");
  for (int i = 0; i < work->n; i++) {
    road_text(work, &work->outcome[i], &score, text, sizeof text);
    table_cell(table, i + 1, 0, "%s", work->outcome[i].road->name);
    table_cell(table, i + 1, 1, "%s",
               figure(peak, 1e3 * ride_value(work, work->outcome[i].road->name, "travel_peak")));
    table_cell(table, i + 1, 2, "%s", text);
  }
  paragraph(2, "%s, %s: %d of %d targets met%s%s", work->loaded.name,
            use_words[work->loaded.scenario->use], score.met, score.all,
            *score.missed ? "; missed: " : "", score.missed);
  table_print(table);
  labelled("Sag", "%s", sag);
  if (*ratio) labelled("Damping", "ratio at 0.3 m/s: %s", ratio);
  if (*reserve) labelled("Travel", "%s, on %s", reserve, where);
  free(table);
  say_expectations(work, failed);
  if (!work->folder) line("Next: dampfork ride %s -o out --render png", work->loaded.path);
  else
    line("Next: dampfork help kicks, and other complaints; or look at %s/ride-%s.gp", work->folder,
         work->outcome[0].road->name);
}

static void json_measures(struct json *json, const char *key, const double *value)
{
  json_object(json, key);
  for (int i = 0; i < df_measure_count; i++) {
    if (!isfinite(value[i])) continue;
    json_object(json, df_measures[i].name);
    json_number(json, "value", value[i]*df_measures[i].per_si);
    json_text(json, "unit", df_measures[i].unit);
    json_end(json);
  }
  json_end(json);
}

void ride_answer_json(const struct ride_work *work, int failed)
{
  struct json json;
  json_begin(&json, stdout, work->call->digits, "ride");
  json_text(&json, "scenario", work->loaded.path);
  json_text(&json, "hash", work->loaded.hash);
  json_measures(&json, "static", work->fixed);
  json_array(&json, "roads");
  for (int i = 0; i < work->n; i++) {
    const struct outcome *outcome = &work->outcome[i];
    json_object(&json, NULL);
    json_text(&json, "road", outcome->road->name);
    json_text(&json, "status", df_status_text(outcome->ride.status));
    json_text(&json, "reason", *outcome->ride.reason ? outcome->ride.reason : NULL);
    json_number(&json, "steps", outcome->ride.effort.steps);
    json_measures(&json, "measures", outcome->value);
    json_end(&json);
  }
  json_end(&json);
  json_truth(&json, "expectations_checked", !ride_overridden(work->call));
  json_number(&json, "expectations", df_reading_expect_count(work->loaded.reading));
  json_number(&json, "expectations_failed", failed);
  json_finish(&json);
}
