// What compare writes: compare.csv, explain.csv, the map, and each fork's rides.
#include "atomic.h"
#include "compare_work.h"
#include "out_gnuplot.h"
#include "out_json.h"
#include "render.h"
#include "ride_out.h"
#include "say.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *verdict(const struct comparison *c, int i)
{
  return df_verdict_names[df_verdict_of(c->wanted[i].measure, &c->estimate[i]) + 1];
}

void compare_rows(const struct comparison *c, struct csv *csv)
{
  static const char *const names[] = {"road",  "measure",    "unit",  "scenario",
                                      "value", "difference", "error", "verdict"};
  csv_names(csv, names, sizeof names / sizeof *names);
  compare_rows_from(c, 0, csv);
}

void compare_rows_from(const struct comparison *c, int first, struct csv *csv)
{
  for (int i = 0; i < c->wanted_n; i++) {
    const struct df_estimate *e = &c->estimate[i];
    const struct df_measure *m = &df_measures[c->wanted[i].measure];
    if (!isfinite(e->value[0]) && !isfinite(e->value[1])) continue;
    for (int fork = first; fork < 2; fork++) {
      csv_text(csv, compare_road_name(c, c->wanted[i].road));
      csv_text(csv, m->name), csv_text(csv, m->unit), csv_text(csv, c->name[fork]);
      csv_number(csv, e->value[fork] * m->per_si);
      csv_number(csv, fork ? e->difference * m->per_si : NAN),
          csv_number(csv, fork ? e->error * m->per_si : NAN);
      csv_text(csv, fork ? verdict(c, i) : "");
      csv_line(csv);
    }
  }
}

// ---- JSON ----
static void json_questions(const struct comparison *c, struct json *json)
{
  json_array(json, "questions");
  for (int i = 0; i < QUESTIONS; i++) {
    const struct df_estimate *e = compare_find(c, questions[i].road, questions[i].measure);
    if (!e) continue;
    json_object(json, NULL);
    json_text(json, "question", questions[i].name),
        json_text(json, "answer", compare_answer(&questions[i], e));
    json_text(json, "road", questions[i].road), json_text(json, "measure", questions[i].measure);
    json_end(json);
  }
  json_end(json);
  json_array(json, "sentences");
  for (int i = 0; i < df_sentence_count; i++) {
    char text[400];
    if (!df_sentence_say(&df_sentences[i], &c->compared, text, sizeof text)) continue;
    json_object(json, NULL);
    json_text(json, "rule", df_sentences[i].id), json_text(json, "text", text),
        json_text(json, "threshold", df_sentences[i].reason);
    json_end(json);
  }
  json_end(json);
}

static void json_measures(const struct comparison *c, struct json *json)
{
  json_array(json, "measures");
  for (int i = 0; i < c->wanted_n; i++) {
    const struct df_estimate *e = &c->estimate[i];
    const struct df_measure *m = &df_measures[c->wanted[i].measure];
    if (!isfinite(e->difference)) continue;
    json_object(json, NULL);
    json_text(json, "road", compare_road_name(c, c->wanted[i].road));
    json_text(json, "measure", m->name), json_text(json, "unit", m->unit);
    json_number(json, "first", e->value[0] * m->per_si),
        json_number(json, "second", e->value[1] * m->per_si);
    json_number(json, "difference", e->difference * m->per_si),
        json_number(json, "error", e->error * m->per_si);
    json_number(json, "numerical", e->numerical * m->per_si),
        json_number(json, "model", e->model * m->per_si);
    json_text(json, "verdict", verdict(c, i));
    if (c->band)
      json_number(json, "low", c->band[i].low * m->per_si),
          json_number(json, "high", c->band[i].high * m->per_si);
    else json_text(json, "most_in_doubt", e->worst < 0 ? "run.law" : df_doubts[e->worst].path);
    json_end(json);
  }
  json_end(json);
}

// Share of each path, slope and damping ratio at five fork speeds, and where another path takes
// over.
static void json_curves(const struct comparison *c, struct json *json)
{
  static const double speed[5] = {0.05, 0.1, 0.3, 1, 3}; // m/s
  json_array(json, "by_fork_speed");
  for (int fork = 0; fork < 2; fork++) {
    double travel = c->compared.scenario[fork]->side[0].leg.travel;
    for (int i = 0; i < 5; i++) {
      struct df_steady s, faster;
      int bad = df_leg_steady(c->leg[fork], travel / 2, speed[i], &s) ||
                df_leg_steady(c->leg[fork], travel / 2, speed[i] * 1.01, &faster);
      json_object(json, NULL);
      json_text(json, "scenario", c->name[fork]);
      json_number(json, "velocity_m_per_s", speed[i]);
      json_number(json, "damping_N", bad ? NAN : s.damping);
      json_number(json, "slope_1", bad ? NAN : log(faster.damping / s.damping) / log(1.01));
      json_number(json, "damping_ratio_compression_1",
                  c->statics[fork].damping_ratio_compression[i]);
      json_number(json, "damping_ratio_rebound_1", c->statics[fork].damping_ratio_rebound[i]);
      for (int p = 0; p < DF_PATHS; p++) {
        char name[64];
        snprintf(name, sizeof name, "share_%s_percent", df_path_names[p]);
        json_number(json, name, 100 * df_path_share(c->leg[fork], travel, speed[i], p));
      }
      json_end(json);
    }
  }
  json_end(json);
  json_array(json, "governing_path_changes");
  for (int fork = 0; fork < 2; fork++) {
    int from, to;
    double low = 0.02, travel = c->compared.scenario[fork]->side[0].leg.travel;
    for (int n = 0; n < 8; n++) {
      double v = df_path_change(c->leg[fork], travel, low, 3, &from, &to);
      if (!isfinite(v)) break;
      json_object(json, NULL);
      json_text(json, "scenario", c->name[fork]), json_number(json, "velocity_m_per_s", v);
      json_text(json, "from", df_path_names[from]), json_text(json, "to", df_path_names[to]);
      json_end(json);
      low = v * 1.001;
    }
  }
  json_end(json);
}

static void json_reasons(const struct comparison *c, struct json *json)
{
  static const char *const edges[DF_HARDS] = {"edge-15", "edge-40", "edge-in-dive"};
  json_array(json, "hardest_moment");
  for (int e = 0; e < DF_HARDS; e++)
    for (int p = 0; p < DF_HARD_PARTS; p++) {
      json_object(json, NULL);
      json_text(json, "road", edges[e]), json_text(json, "part", df_hard_part_names[p]);
      json_number(json, "first_N", c->compared.part[0][e][p]),
          json_number(json, "second_N", c->compared.part[1][e][p]);
      json_end(json);
    }
  json_end(json);
  json_array(json, "energy_by_path");
  for (int p = 0; p < DF_PATHS; p++) {
    json_object(json, NULL);
    json_text(json, "road", "edge-40"), json_text(json, "path", df_path_names[p]);
    json_number(json, "first_J", c->compared.energy[0][p]),
        json_number(json, "second_J", c->compared.energy[1][p]);
    json_end(json);
  }
  json_end(json);
  json_array(json, "dive_over_friction_and_ramp");
  for (int i = 0; i < 2; i++) {
    json_object(json, NULL);
    json_text(json, "road", questions[2 + i].road),
        json_text(json, "measure", questions[2 + i].measure);
    json_number(json, "rides", c->dive[i].n), json_number(json, "less", c->dive[i].fewer),
        json_number(json, "more", c->dive[i].more);
    json_number(json, "least", (i ? 1 : 1e3) * c->dive[i].least),
        json_number(json, "most", (i ? 1 : 1e3) * c->dive[i].most);
    json_end(json);
  }
  json_end(json);
}

static void json_explained(const struct comparison *c, struct json *json)
{
  if (!c->explained) return;
  const struct df_measure *m = &df_measures[c->explain_of.measure];
  json_array(json, "explained");
  for (int i = 0; i < c->explained->n; i++) {
    json_object(json, NULL);
    json_text(json, "key", c->explained->change[i].key);
    json_number(json, "share", c->explained->share[i] * m->per_si);
    json_end(json);
  }
  json_end(json);
}

void compare_json(const struct comparison *c)
{
  struct json json;
  json_begin(&json, stdout, c->call->digits, "compare");
  compare_json_body(c, &json);
  json_finish(&json);
}

void compare_json_body(const struct comparison *c, struct json *json)
{
  json_text(json, "first", c->name[0]), json_text(json, "second", c->name[1]);
  json_questions(c, json);
  json_measures(c, json);
  json_curves(c, json);
  json_reasons(c, json);
  json_explained(c, json);
}

// ---- files ----
static void cell_from(struct csv *csv, const struct df_change *change, double si, const char *text)
{
  if (change->unit && isfinite(si)) csv_number(csv, si);
  else csv_text(csv, text);
}

static void explain_rows(const struct comparison *c, struct csv *csv)
{
  static const char *const names[] = {"road", "measure", "unit",  "key",
                                      "from", "to",      "share", "share_percent"};
  const struct df_explained *e = c->explained;
  const struct df_measure *m = &df_measures[c->explain_of.measure];
  csv_head(csv, "from_and_to", "numbers in SI units");
  csv_names(csv, names, sizeof names / sizeof *names);
  for (int i = 0; i < e->n; i++) {
    csv_text(csv, compare_road_name(c, c->explain_of.road)), csv_text(csv, m->name),
        csv_text(csv, m->unit), csv_text(csv, e->change[i].key);
    cell_from(csv, &e->change[i], e->change[i].from, e->change[i].from_text);
    cell_from(csv, &e->change[i], e->change[i].to, e->change[i].to_text);
    csv_number(csv, e->share[i] * m->per_si);
    csv_number(csv, e->to != e->from ? 100 * e->share[i] / (e->to - e->from) : NAN);
    csv_line(csv);
  }
}

void compare_map_plot(const struct comparison *c, FILE *stream)
{
  struct gp gp =
      gp_begin(stream, "compare-map",
               "Where edges come through worse or better: edge height against road speed");
  char title[200];
  double most = 1e-9;
  for (int i = 0; i < MAP_HEIGHTS * MAP_SPEEDS; i++)
    if (isfinite(c->map[i].difference)) most = fmax(most, fabs(c->map[i].difference));
  snprintf(title, sizeof title, "Where it is worse or better: shock passed on, %s less %s",
           c->column[1], c->column[0]);
  gp_text(&gp, "title", title);
  gp_number(&gp, "most", most);
  gp_number(&gp, "heights", MAP_HEIGHTS);
  gp_number(&gp, "speeds", MAP_SPEEDS);
  double height[MAP_HEIGHTS], speed[MAP_SPEEDS];
  for (int i = 0; i < MAP_HEIGHTS; i++) height[i] = 1e3 * map_height[i];
  for (int j = 0; j < MAP_SPEEDS; j++) speed[j] = round(3.6 * map_speed[j]);
  gp_numbers(&gp, "height_mm", height, MAP_HEIGHTS);
  gp_numbers(&gp, "speed_km_per_h", speed, MAP_SPEEDS);
  gp_block_begin(&gp, "map", 0);
  for (int i = 0; i < MAP_HEIGHTS; i++)
    for (int j = 0; j < MAP_SPEEDS; j++) {
      const struct df_estimate *e = &c->map[i * MAP_SPEEDS + j];
      double row[5] = {j + 1, i + 1, e->difference, e->error, 0};
      row[4] = !isfinite(e->difference)          ? NAN
               : fabs(e->difference) <= e->error ? 0
               : e->difference > 0               ? 1
                                                 : -1;
      gp_block_row(&gp, row, 5);
    }
  gp_block_end(&gp);
  gp_finish(&gp, "compare-map");
}

// One road, both forks: two tables and one picture. Streams: a, b, picture.
static int road_write(const struct comparison *c, int road, FILE *stream[3])
{
  struct df_ride ride[2] = {{.status = DF_OK}};
  struct df_scenario *s = malloc(2 * sizeof *s);
  if (!s) return EXIT_OUTPUT;
  struct df_ride_options options = c->options;
  options.channels = ~0ull, options.sample_step = DF_FINE_SAMPLE_STEP, options.ledger = 1;
  const struct df_scenario *first = df_reading_scenario(c->reading[0]);
  struct ride_shown shown[2];
  for (int i = 0; i < 2; i++) {
    s[i] = *df_reading_scenario(c->reading[i]);
    memcpy(s[i].road, first->road, sizeof s[i].road);
    s[i].road_n = first->road_n, s[i].rider = first->rider, s[i].load = first->load;
    df_ride_run(&s[i], road, &options, &ride[i], NULL);
    struct csv csv = csv_begin(stream[i], c->call->digits);
    head_csv(c->call, c->loaded, c->twin ? 1 : 2, &csv);
    csv_head(&csv, "fork", "%s", c->name[i]);
    csv_head(&csv, "road", "%s", first->road[road].name);
    ride_csv(&ride[i], &csv, (int)lround(1e-3 / DF_FINE_SAMPLE_STEP));
    shown[i] = (struct ride_shown){c->name[i], &s[i], &ride[i]};
  }
  char stem[80], title[160];
  snprintf(stem, sizeof stem, "ride-%s", first->road[road].name);
  snprintf(title, sizeof title, "%s: %s and %s", first->road[road].name, c->name[0], c->name[1]);
  plot_ride(stream[2], stem, title, shown, 2);
  for (int i = 0; i < 2; i++) df_ride_finish(&ride[i]);
  free(s);
  return stop_signal ? stop_status() : 0;
}

static int rides_write(const struct comparison *c)
{
  const struct df_scenario *s = df_reading_scenario(c->reading[0]);
  char folder[2][OUTPUT_PATH_MAX], name[96];
  for (int i = 0; i < 2; i++) {
    snprintf(folder[i], sizeof folder[i], "%.1000s/%c", c->folder, 'a' + i);
    if (output_folder(folder[i])) return EXIT_OUTPUT;
  }
  for (int road = 0; road < s->road_n; road++) {
    FILE *stream[3];
    snprintf(name, sizeof name, "ride-%s.csv", s->road[road].name);
    for (int i = 0; i < 2; i++)
      if (!(stream[i] = output_open(folder[i], name))) return EXIT_OUTPUT;
    snprintf(name, sizeof name, "ride-%s.gp", s->road[road].name);
    if (!(stream[2] = output_open(c->folder, name))) return EXIT_OUTPUT;
    int status = road_write(c, road, stream);
    if (status) return status;
  }
  return 0;
}

static int pictures(const struct comparison *c)
{
  enum render_form form = option_word(&c->call->options, OPT_RENDER, RENDER_NONE);
  const struct df_scenario *s = df_reading_scenario(c->reading[0]);
  if (form == RENDER_NONE || form == RENDER_TERM) return 0;
  int status = output_flush_all() ? EXIT_OUTPUT : 0;
  if (!status && c->map) status = render_file(c->folder, "compare-map", form);
  for (int road = 0; road < s->road_n && !status; road++) {
    char stem[80];
    snprintf(stem, sizeof stem, "ride-%s", s->road[road].name);
    status = render_file(c->folder, stem, form);
  }
  return status;
}

int compare_files_write(const struct comparison *c)
{
  if (output_folder(c->folder)) return EXIT_OUTPUT;
  FILE *table = output_open(c->folder, "compare.csv"), *explain = NULL, *map = NULL;
  if (!table || (c->explained && !(explain = output_open(c->folder, "explain.csv"))) ||
      (c->map && !(map = output_open(c->folder, "compare-map.gp"))))
    return EXIT_OUTPUT;
  struct csv csv = csv_begin(table, c->call->digits);
  head_csv(c->call, c->loaded, c->twin ? 1 : 2, &csv);
  compare_rows(c, &csv);
  if (explain) {
    csv = csv_begin(explain, c->call->digits);
    head_csv(c->call, c->loaded, c->twin ? 1 : 2, &csv);
    explain_rows(c, &csv);
  }
  if (map) compare_map_plot(c, map);
  int status = rides_write(c);
  if (!status) status = pictures(c);
  if (!status) status = output_commit_all();
  return status;
}
