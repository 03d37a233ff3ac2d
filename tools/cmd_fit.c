// fit: what measured data say about the values of a scenario.
#include "fit_out.h"

#include "atomic.h"
#include "jobs.h"
#include "out_json.h"
#include "out_text.h"
#include "render.h"
#include "say.h"
#include "shown.h"

#include "dampfork/history.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

// --free KEY,...
static int free_read(struct fit_call *work)
{
  const char *text = option_text(&work->call->options, OPT_FREE, NULL);
  char *rest = NULL;
  if (!text) return 0;
  snprintf(work->keys, sizeof work->keys, "%s", text);
  if (strlen(text) >= sizeof work->keys) {
    say_error("--free: too many keys");
    return EXIT_USAGE;
  }
  for (char *key = strtok_r(work->keys, ",", &rest); key; key = strtok_r(NULL, ",", &rest)) {
    for (int i = 0; i < work->free_n; i++)
      if (!strcmp(work->free[i], key)) {
        say_error("--free: %s stands there twice", key);
        return EXIT_USAGE;
      }
    if (work->free_n == DF_FIT_KEYS_MAX) {
      say_error("--free: at most %d keys", DF_FIT_KEYS_MAX);
      return EXIT_USAGE;
    }
    work->free[work->free_n++] = key;
  }
  return 0;
}

// ---- readings of the history beside the scenario ----
static const struct df_past_pair *reading_of(const struct df_past_ride *ride, const char *name)
{
  for (int i = 0; i < ride->reading_n; i++)
    if (!strcmp(ride->reading[i].key, name)) return &ride->reading[i];
  return NULL;
}

static double mm_of(const struct df_past_pair *pair)
{
  char *unit;
  double number = strtod(pair->value, &unit);
  while (*unit == ' ') unit++;
  return 1e3*df_value_si(units_get(), number, *unit ? unit : "mm"); // NAN: no length
}

// Sag pairs and humps of the last ride, which was made with the setting that the file holds, as data.
static void past_as_data(const struct df_past_ride *ride, char *sag, char *ring, size_t size)
{
  const struct df_past_pair *below = reading_of(ride, "sag_from_below"), *above = reading_of(ride, "sag_from_above"),
                            *hump = reading_of(ride, "o_ring_hump");
  *sag = *ring = 0;
  if (below && above)
    snprintf(sag, size, "load,settled,travel_mm\nrider,below,%.9g\nrider,above,%.9g\n",
             mm_of(below), mm_of(above));
  if (hump)
    snprintf(ring, size, "road,speed_km_per_h,travel_peak_mm\nhump,30,%.9g\n", mm_of(hump));
}

static int past_data_read(struct fit_call *work, struct df_faults *faults)
{
  char file[1024], text[2][200];
  const char *path = work->loaded.path, *dot = strrchr(path, '.'), *slash = strrchr(path, '/');
  size_t n = dot && (!slash || dot > slash) ? (size_t)(dot - path) : strlen(path);
  struct df_past *past = malloc(sizeof *past);
  int status = past ? 0 : EXIT_OUTPUT;
  snprintf(file, sizeof file, "%.*s.rides.yaml", (int)n, path);
  enum df_status bad = past ? df_past_read(past, file, faults) : DF_NO_MEMORY;
  if (bad) status = status_exit(file, bad, faults);
  if (!bad && past->n) past_as_data(&past->ride[past->n - 1], text[0], text[1], sizeof text[0]);
  for (int i = 0; !bad && past->n && i < 2 && work->data_n < DF_FIT_SETS_MAX; i++) {
    if (!text[i][0]) continue;
    struct df_data *data = &work->data[work->data_n];
    bad = df_data_read_text(data, units_get(), i ? "history-o-ring" : "history-sag", text[i], strlen(text[i]), faults);
    if (bad) status = status_exit(file, bad, faults);
    else work->list[work->data_n++] = data;
  }
  free(past);
  return status;
}

static int data_read(struct fit_call *work)
{
  const struct option_value *files = &work->call->options.of[OPT_MEASURED];
  if (files->n > DF_FIT_SETS_MAX) {
    say_error("--measured: at most %d files", DF_FIT_SETS_MAX);
    return EXIT_USAGE;
  }
  struct df_faults *faults = calloc(1, sizeof *faults);
  int status = faults ? 0 : EXIT_OUTPUT;
  for (int i = 0; i < files->n && faults; i++) {
    memset(faults, 0, sizeof *faults);
    enum df_status bad = df_data_read(&work->data[i], units_get(), files->text[i], faults);
    if (bad) status = status_exit(files->text[i], bad, faults); // every file's faults are told
    else work->list[work->data_n++] = &work->data[i];
  }
  if (!status) {
    memset(faults, 0, sizeof *faults);
    status = past_data_read(work, faults);
  }
  free(faults);
  if (status || work->data_n) return status;
  say_error("fit wants the data to learn from: --measured FILE");
  return EXIT_USAGE;
}

static int learn(struct fit_call *work)
{
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  struct df_fit_options options = {
      .free = work->free_n ? work->free : NULL, .free_n = work->free_n,
      .loss = (enum df_loss)option_word(&work->call->options, OPT_LOSS, DF_LOSS_HUBER),
      .threads = jobs_wanted(work->call), .stop = &stop_signal};
  enum df_status status =
      df_fit_run(&work->fit, work->loaded.reading, work->list, work->data_n, &options, faults);
  int result = status ? status_exit(work->loaded.path, status, faults) : 0;
  if (status == DF_UNKNOWN_NAME && work->free_n) result = EXIT_USAGE;
  free(faults);
  return result;
}

// ---- answer ----
static const char *in_unit(double value, const char *unit, char out[48])
{
  char number[24];
  figure(number, value);
  snprintf(out, 48, "%s%s%s", number, strcmp(unit, "1") ? " " : "", strcmp(unit, "1") ? unit : "");
  return out;
}

// The sets that say most of what is said about a value.
static void sources_of(const struct fit_call *work, const struct df_fit_key *key, char *out,
                       size_t size)
{
  *out = 0;
  for (int k = 0; k < work->fit.set_n; k++)
    if (key->share[k] > 0.1)
      snprintf(out + strlen(out), size - strlen(out), "%s%s %.0f %%", *out ? ", " : "",
               work->fit.set[k].name, 100*key->share[k]);
}

static void heading(const struct fit_call *work)
{
  char list[300] = "";
  for (int k = 0; k < work->fit.set_n; k++)
    snprintf(list + strlen(list), sizeof list - strlen(list), "%s%d %s (%s)", k ? ", " : "",
             work->data[k].n, df_data_kind_names[work->data[k].kind], work->data[k].name);
  line("Learned from %s", list);
}

static void table_of_keys(const struct fit_call *work)
{
  struct table *table = malloc(sizeof *table);
  int row = 0;
  if (!table) {
    say_no_memory();
    return;
  }
  table_begin(table, 5, "lrrll");
  table_cell(table, 0, 1, "was");
  table_cell(table, 0, 2, "learned");
  table_cell(table, 0, 3, "95 %% between");
  table_cell(table, 0, 4, "by");
  for (int j = 0; j < work->fit.key_n && row < 10; j++) {
    const struct df_fit_key *key = &work->fit.key[j];
    char was[48], now[48], low[24], high[24], by[120];
    if (key->status == DF_FIT_NOT_LEARNED) continue;
    row++;
    sources_of(work, key, by, sizeof by);
    table_cell(table, row, 0, " %s", key->path);
    table_cell(table, row, 1, "%s", in_unit(key->before, key->unit, was));
    table_cell(table, row, 2, "%s", in_unit(key->learned, key->unit, now));
    table_cell(table, row, 3, "%s to %s%s", figure(low, key->low_95), figure(high, key->high_95),
               key->status == DF_FIT_AT_BOUND ? " (at the end)" : "");
    table_cell(table, row, 4, "%s", by);
  }
  if (row) table_print(table);
  free(table);
}

static void say_not_learned(const struct fit_call *work)
{
  const struct df_fit *fit = &work->fit;
  int said = 0;
  for (int j = 0; j < fit->key_n && said < 4; j++) {
    const struct df_fit_key *key = &fit->key[j];
    int paired = 0;
    for (int p = 0; p < fit->pair_n; p++)
      for (int i = 0; i < fit->pair[p].n; i++) paired |= fit->pair[p].key[i] == j;
    if (key->status != DF_FIT_NOT_LEARNED || paired) continue;
    said++;
    paragraph(3, "%s not learned: these data say too little about it%s%s", key->path,
              key->next[0] ? ". What would: " : "", key->next);
  }
  for (int i = 0; i < fit->unseen_n && said < 3; i++)
    if (fit->unseen[i].next[0])
      said++, paragraph(3, "%s not learned: not in these data. What would: %s",
                        fit->unseen[i].path, fit->unseen[i].next);
}

// "seals.sliding up and spring.rate down look alike"
static void say_pairs(const struct fit_call *work)
{
  const struct df_fit *fit = &work->fit;
  for (int p = 0; p < fit->pair_n && p < 2; p++) {
    const struct df_fit_pair *pair = &fit->pair[p];
    char list[300] = "";
    for (int i = 0; i < pair->n; i++)
      snprintf(list + strlen(list), sizeof list - strlen(list), "%s%s %s",
               !i ? "" : i + 1 == pair->n ? " and " : ", ", fit->key[pair->key[i]].path,
               pair->weight[i]*pair->weight[0] > 0 ? "up" : "down");
    paragraph(3, "Cannot be told apart by these data: %s at once look alike. %s%s", list,
              pair->next[0] ? "What would tell: " : "None of the usual garage measurements would "
              "tell", pair->next);
  }
}

static void say_sensors(const struct fit_call *work)
{
  const struct df_fit *fit = &work->fit;
  for (int i = 0; i < fit->sensor_n && i < 4; i++) {
    const struct df_fit_sensor *s = &fit->sensor[i];
    if (fabs(s->value) < 2*s->deviation) continue;
    if (s->lag) line(" %s: its force or clock lags by %.2g ms; taken out", fit->set[s->set].name,
                     1e3*s->value);
    else line(" %s: its zero is off by %.3g %s; taken out", fit->set[s->set].name,
              s->value*(strcmp(fit->set[s->set].unit, "m") ? 1 : 1e3),
              strcmp(fit->set[s->set].unit, "m") ? fit->set[s->set].unit : "mm");
  }
}

static void say_fit(const struct fit_call *work)
{
  const struct df_fit *fit = &work->fit;
  for (int k = 0; k < fit->set_n && k < 4; k++) {
    const struct df_fit_set *set = &fit->set[k];
    double by = strcmp(set->unit, "m") ? 1 : 1e3;
    char size[24];
    figure(size, by*set->deviation);
    line(" %s: rows lie within %s %s of the model (%s)%s", set->name, size,
         by > 1 ? "mm" : set->unit, set->estimated ? "found from their scatter" : "taken as known",
         set->correlation > 0.5 && set->n > 20 ? "; neighbours go together: the model misses a shape"
                                               : "");
  }
  for (int j = 0; j < fit->key_n; j++) {
    const struct df_fit_key *key = &fit->key[j];
    if (key->status == DF_FIT_NOT_LEARNED || !(key->aic_none < 0) || key->low_95 > 0) continue;
    line(" %s could be left out altogether: the data are as well explained without it", key->path);
    break;
  }
}

static void answer_text(const struct fit_call *work)
{
  const struct df_fit *fit = &work->fit;
  if (fit->mismatch) {
    line("Nothing was learned: data and scenario disagree.");
    paragraph(1, "%s", fit->mismatch_text);
    return;
  }
  int learned = 0;
  for (int j = 0; j < fit->key_n; j++) learned += fit->key[j].status != DF_FIT_NOT_LEARNED;
  heading(work);
  if (learned) table_of_keys(work);
  else line(" Nothing: these data cannot tell.");
  say_pairs(work);
  say_not_learned(work);
  say_sensors(work);
  say_fit(work);
  if (fit->answers < fit->starts && fit->starts > 1 && fit->answers == 1)
    line(" %d of %d starts ended elsewhere, worse", fit->starts - fit->answers, fit->starts);
  if (!learned) return;
  if (work->folder) line("Next: dampfork compare %s/fitted.yaml", work->folder);
  else line("Next: the same with -o DIR writes fitted.yaml, fit.csv and the residuals");
}

static int pictures(const struct fit_call *work, enum render_form form)
{
  if (form == RENDER_NONE || form == RENDER_TERM) return 0;
  if (output_flush_all()) return EXIT_OUTPUT;
  int status = render_file(work->folder, "fit-residuals", form);
  return status ? status : render_file(work->folder, "fit", form);
}

static int draw_here(const struct fit_call *work)
{
  FILE *script = tmpfile();
  if (!script) {
    say_error("no temporary file for the picture");
    return EXIT_OUTPUT;
  }
  fit_plot_residuals(script, work);
  int status = render_terminal(script);
  fclose(script);
  return status;
}

static int work_run(struct fit_call *work)
{
  enum render_form form = option_word(&work->call->options, OPT_RENDER, RENDER_NONE);
  FILE *stream[FIT_FILES] = {NULL};
  int status = free_read(work);
  if (!status) status = load(work->call, work->call->arguments[0], &work->loaded);
  if (!status) status = data_read(work);
  if (!status && work->folder) status = fit_files_open(work->folder, stream);
  if (!status) status = learn(work);
  if (status) return status;
  int good = !work->fit.mismatch;
  if (work->folder && good) status = fit_files_write(work, stream);
  if (!status && work->folder && good) status = pictures(work, form);
  if (!status && work->folder && good) status = output_commit_all();
  if (work->folder && !good) output_discard_all();
  if (status) return status;
  if (!option_given(&work->call->options, OPT_QUIET)) {
    if (work->call->format == FORMAT_CSV) fit_csv(work, stdout);
    else if (work->call->format == FORMAT_JSON) fit_json(work);
    else answer_text(work);
  }
  if (form == RENDER_TERM && good) status = draw_here(work);
  return status ? status : work->fit.mismatch || work->fit.cannot_tell ? EXIT_CHECK_SAID_NO : 0;
}

int cmd_fit(struct call *call)
{
  struct fit_call *work = calloc(1, sizeof *work);
  if (!work) return EXIT_OUTPUT;
  work->call = call;
  work->folder = option_text(&call->options, OPT_OUTPUT, NULL);
  int render = option_word(&call->options, OPT_RENDER, RENDER_NONE), status = EXIT_USAGE;
  if (render != RENDER_NONE && render != RENDER_TERM && !work->folder)
    say_error("--render %s needs -o DIR for the pictures",
              option_text(&call->options, OPT_RENDER, ""));
  else status = work_run(work);
  df_fit_finish(&work->fit);
  for (int i = 0; i < DF_FIT_SETS_MAX; i++) df_data_finish(&work->data[i]);
  load_finish(&work->loaded);
  free(work);
  return status;
}
