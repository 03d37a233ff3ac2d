// Files and program-readable answers of fit.
#include "fit_out.h"

#include "atomic.h"
#include "out_gnuplot.h"
#include "out_json.h"
#include "say.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

int fit_files_open(const char *folder, FILE *stream[FIT_FILES])
{
  static const char *const names[FIT_FILES] = {"fitted.yaml", "fit.csv", "fit-residuals.csv",
                                               "fit.gp", "fit-residuals.gp"};
  if (output_folder(folder)) return EXIT_OUTPUT;
  for (int i = 0; i < FIT_FILES; i++)
    if (!(stream[i] = output_open(folder, names[i]))) return EXIT_OUTPUT;
  return 0;
}

// Lengths are told in millimetres, everything else in SI.
static double shown_of(double si, const char *unit) { return strcmp(unit, "m") ? si : 1e3*si; }
static const char *shown_unit_of(const char *unit) { return strcmp(unit, "m") ? unit : "mm"; }

static void head(const struct fit_call *work, struct csv *csv)
{
  const struct df_fit *fit = &work->fit;
  head_csv(work->call, &work->loaded, 1, csv);
  csv_head(csv, "method", "trust region least squares in bounds, priors of the parameter table");
  csv_head(csv, "loss", "%s",
           df_loss_names[option_word(&work->call->options, OPT_LOSS, DF_LOSS_HUBER)]);
  csv_head(csv, "starts", "%d", fit->starts);
  csv_head(csv, "evaluations", "%d", fit->evaluations);
  csv_head(csv, "cost_before", "%.6g", fit->cost_before);
  csv_head(csv, "cost", "%.6g", fit->cost);
  csv_head(csv, "aicc", "%.6g", fit->aic);
  csv_head(csv, "left_out_error", "%.6g", fit->cross);
  csv_head(csv, "slopes_checked_to", "%.2g", fit->jacobian_error);
  for (int i = 0; i < fit->sensor_n; i++)
    csv_head(csv, fit->sensor[i].lag ? "sensor_lag_ms" : "sensor_offset", "%s %.6g +- %.3g %s",
             fit->set[fit->sensor[i].set].name,
             fit->sensor[i].lag ? 1e3*fit->sensor[i].value
                                : shown_of(fit->sensor[i].value, fit->set[fit->sensor[i].set].unit),
             fit->sensor[i].lag
                 ? 1e3*fit->sensor[i].deviation
                 : shown_of(fit->sensor[i].deviation, fit->set[fit->sensor[i].set].unit),
             fit->sensor[i].lag ? "ms" : shown_unit_of(fit->set[fit->sensor[i].set].unit));
  for (int k = 0; k < fit->set_n; k++)
    csv_head(csv, "deviation", "%s %.6g %s", fit->set[k].name,
             shown_of(fit->set[k].deviation, fit->set[k].unit), shown_unit_of(fit->set[k].unit));
}

void fit_csv(const struct fit_call *work, FILE *stream)
{
  static const char *const names[] = {"key", "unit", "before", "learned", "low_95", "high_95",
                                      "status", "data"};
  struct csv csv = csv_begin(stream, work->call->digits);
  const struct df_fit *fit = &work->fit;
  if (fit->mismatch) {
    csv_head(&csv, "refused", "%s", fit->mismatch_text);
    csv_names(&csv, names, 8);
    return;
  }
  head(work, &csv);
  csv_names(&csv, names, 8);
  for (int j = 0; j < fit->key_n; j++) {
    const struct df_fit_key *key = &fit->key[j];
    char sets[400] = "";
    for (int k = 0; k < fit->set_n; k++)
      if (key->share[k] > 0.01)
        snprintf(sets + strlen(sets), sizeof sets - strlen(sets), "%s%s %.0f %%", *sets ? "; " : "",
                 fit->set[k].name, 100*key->share[k]);
    csv_text(&csv, key->path);
    csv_text(&csv, key->unit);
    csv_number(&csv, key->before);
    csv_number(&csv, key->learned);
    csv_number(&csv, key->low_95);
    csv_number(&csv, key->high_95);
    csv_text(&csv, df_fit_status_names[key->status]);
    csv_text(&csv, sets);
    csv_line(&csv);
  }
}

static void residuals_csv(const struct fit_call *work, FILE *stream)
{
  static const char *const names[] = {"data", "row", "measured", "computed", "residual", "unit"};
  struct csv csv = csv_begin(stream, work->call->digits);
  head(work, &csv);
  csv_names(&csv, names, 6);
  for (int i = 0; i < work->fit.row_n; i++) {
    const struct df_fit_row *row = &work->fit.row[i];
    csv_text(&csv, work->fit.set[row->set].name);
    csv_number(&csv, row->row);
    csv_number(&csv, shown_of(row->measured, row->unit));
    csv_number(&csv, shown_of(row->computed, row->unit));
    csv_number(&csv, shown_of(row->measured - row->computed, row->unit));
    csv_text(&csv, shown_unit_of(row->unit));
    csv_line(&csv);
  }
}

// At most five sets are drawn, in deviations, so that they share a panel.
void fit_plot_residuals(FILE *stream, const struct fit_call *work)
{
  struct gp gp = gp_begin(stream, "fit-residuals", "What the learned fork leaves unexplained");
  const struct df_fit *fit = &work->fit;
  const char *names[GP_CURVES_MAX];
  int n = fit->set_n < GP_CURVES_MAX ? fit->set_n : GP_CURVES_MAX;
  double most = 3;
  for (int k = 0; k < n; k++) names[k] = fit->set[k].name;
  gp_number(&gp, "sets", n);
  gp_texts(&gp, "name", names, n);
  for (int i = 0; i < fit->row_n; i++) {
    const struct df_fit_row *row = &fit->row[i];
    most = fmax(most, fabs(row->measured - row->computed)/fit->set[row->set].deviation);
  }
  gp_number(&gp, "most", 1.1*fmin(most, 10));
  for (int k = 0; k < n; k++) {
    gp_block_begin(&gp, "residuals", k + 1);
    for (int i = 0, drawn = 0; i < fit->row_n; i++) {
      const struct df_fit_row *row = &fit->row[i];
      if (row->set != k) continue;
      double values[2] = {fit->set[k].n > 1 ? (double)drawn/(fit->set[k].n - 1) : 0.5,
                          (row->measured - row->computed)/fit->set[k].deviation};
      gp_block_row(&gp, values, 2);
      drawn++;
    }
    gp_block_end(&gp);
  }
  gp_finish(&gp, "fit-residuals");
}

static void plot_values(FILE *stream, const struct fit_call *work)
{
  struct gp gp = gp_begin(stream, "fit", "Values before and after, with their 95 % intervals");
  const struct df_fit *fit = &work->fit;
  const char *names[DF_FIT_KEYS_MAX];
  for (int j = 0; j < fit->key_n; j++) names[j] = fit->key[j].path;
  gp_number(&gp, "keys", fit->key_n);
  gp_texts(&gp, "name", names, fit->key_n);
  gp_block_begin(&gp, "values", 1);
  for (int j = 0; j < fit->key_n; j++) {
    const struct df_fit_key *key = &fit->key[j];
    double by = key->before != 0 ? 1/key->before : NAN;
    double row[5] = {j + 1, by*key->learned, by*key->low_95, by*key->high_95,
                     key->status == DF_FIT_NOT_LEARNED};
    gp_block_row(&gp, row, 5);
  }
  gp_block_end(&gp);
  gp_finish(&gp, "fit");
}

int fit_files_write(const struct fit_call *work, FILE *stream[FIT_FILES])
{
  char *text = df_fit_write(&work->fit);
  if (!text) return EXIT_OUTPUT;
  fputs(text, stream[FIT_YAML]);
  free(text);
  fit_csv(work, stream[FIT_CSV]);
  residuals_csv(work, stream[FIT_RESIDUALS_CSV]);
  plot_values(stream[FIT_GP], work);
  fit_plot_residuals(stream[FIT_RESIDUALS_GP], work);
  return 0;
}

static void key_json(struct json *json, const struct df_fit *fit, int j)
{
  const struct df_fit_key *key = &fit->key[j];
  json_object(json, NULL);
  json_text(json, "key", key->path);
  json_text(json, "unit", key->unit);
  json_text(json, "status", df_fit_status_names[key->status]);
  json_number(json, "before", key->before);
  json_number(json, "learned", key->learned);
  json_number(json, "deviation", key->deviation);
  json_number(json, "low_95", key->low_95);
  json_number(json, "high_95", key->high_95);
  json_number(json, "deviation_before", key->prior);
  json_number(json, "aicc_left_as_before", key->aic_left);
  json_number(json, "aicc_term_taken_out", key->aic_none);
  json_number(json, "left_out_error_left_as_before", key->cross_left);
  json_number(json, "left_out_error_term_taken_out", key->cross_none);
  if (key->next[0]) json_text(json, "what_would_show_it", key->next);
  json_array(json, "data");
  for (int k = 0; k < fit->set_n; k++) {
    json_object(json, NULL);
    json_text(json, "name", fit->set[k].name);
    json_number(json, "share_1", key->share[k]);
    json_number(json, "alone", key->by_set[k]);
    json_number(json, "alone_deviation", key->by_set_deviation[k]);
    json_end(json);
  }
  json_end(json);
  json_array(json, "correlation");
  for (int i = 0; i < fit->key_n; i++) json_number(json, NULL, fit->correlation[j][i]);
  json_end(json);
  json_end(json);
}

static void pairs_json(struct json *json, const struct df_fit *fit)
{
  json_array(json, "cannot_be_told_apart");
  for (int p = 0; p < fit->pair_n; p++) {
    json_object(json, NULL);
    json_array(json, "direction");
    for (int i = 0; i < fit->pair[p].n; i++) {
      json_object(json, NULL);
      json_text(json, "key", fit->key[fit->pair[p].key[i]].path);
      json_number(json, "part_1", fit->pair[p].weight[i]);
      json_end(json);
    }
    json_end(json);
    json_text(json, "what_would_tell", fit->pair[p].next[0] ? fit->pair[p].next : NULL);
    json_end(json);
  }
  json_end(json);
}

void fit_json(const struct fit_call *work)
{
  const struct df_fit *fit = &work->fit;
  struct json json;
  json_begin(&json, stdout, work->call->digits, "fit");
  json_text(&json, "scenario", work->loaded.path);
  json_text(&json, "refused", fit->mismatch ? fit->mismatch_text : NULL);
  json_truth(&json, "cannot_tell", fit->cannot_tell);
  json_array(&json, "learned_from");
  for (int k = 0; k < fit->set_n && !fit->mismatch; k++) {
    json_object(&json, NULL);
    json_text(&json, "name", fit->set[k].name);
    json_text(&json, "kind", df_data_kind_names[work->data[k].kind]);
    json_number(&json, "rows", fit->set[k].n);
    json_text(&json, "unit", fit->set[k].unit);
    json_number(&json, "deviation", fit->set[k].deviation);
    json_truth(&json, "deviation_estimated", fit->set[k].estimated);
    json_number(&json, "misfit_1", fit->set[k].misfit);
    json_number(&json, "neighbours_correlation_1", fit->set[k].correlation);
    json_end(&json);
  }
  json_end(&json);
  json_array(&json, "values");
  for (int j = 0; j < fit->key_n && !fit->mismatch; j++) key_json(&json, fit, j);
  json_end(&json);
  pairs_json(&json, fit);
  json_array(&json, "sensors");
  for (int i = 0; i < fit->sensor_n && !fit->mismatch; i++) {
    json_object(&json, NULL);
    json_text(&json, "data", fit->set[fit->sensor[i].set].name);
    json_text(&json, "what", fit->sensor[i].lag ? "lag" : "offset");
    json_text(&json, "unit", fit->sensor[i].lag ? "s" : fit->set[fit->sensor[i].set].unit);
    json_number(&json, "value", fit->sensor[i].value);
    json_number(&json, "deviation", fit->sensor[i].deviation);
    json_end(&json);
  }
  json_end(&json);
  json_number(&json, "aicc", fit->aic);
  json_number(&json, "left_out_error_1", fit->cross);
  json_number(&json, "slopes_error_1", fit->jacobian_error);
  json_number(&json, "starts", fit->starts);
  json_number(&json, "evaluations", fit->evaluations);
  json_finish(&json);
}
