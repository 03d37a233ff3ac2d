// sheet --measured: does what was measured agree with the scenario? Nothing is built before it does.
#include "sheet_work.h"

#include "out_csv.h"
#include "out_json.h"
#include "out_text.h"
#include "say.h"

#include "studies/fit_data.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FILES_MAX = 16 };
struct measured { struct df_data data[FILES_MAX]; const struct df_data *list[FILES_MAX]; int n; };

static int files_read(const struct call *call, struct measured *measured)
{
  const struct option_value *files = &call->options.of[OPT_MEASURED];
  if (files->n > FILES_MAX) {
    say_error("--measured: at most %d files", FILES_MAX);
    return EXIT_USAGE;
  }
  struct df_faults *faults = calloc(1, sizeof *faults);
  int status = faults ? 0 : EXIT_OUTPUT;
  for (int i = 0; i < files->n && faults; i++) {
    memset(faults, 0, sizeof *faults);
    struct df_data *data = &measured->data[measured->n];
    enum df_status bad = df_data_read(data, units_get(), files->text[i], faults);
    if (bad) status = status_exit(files->text[i], bad, faults); // every file's faults are told
    else measured->list[measured->n] = data, measured->n++;
  }
  free(faults);
  return status;
}

// ---- answer ----
static const char *value_text(enum df_check_kind kind, double value)
{
  static char text[8][40];
  static int next;
  char *out = text[next++%8];
  if (!isfinite(value)) return "-";
  if (kind == DF_CHECK_LENGTH) return stepped_bare(KIND_LENGTH, value, 0.5e-3);
  if (kind == DF_CHECK_RATE) return stepped_bare(KIND_RATE, value, 10);
  snprintf(out, sizeof text[0], kind == DF_CHECK_TIME ? "%.2f" : "%.0f",
           kind == DF_CHECK_TIME ? value : 100*value);
  return out;
}

static const char *unit_text(enum df_check_kind kind)
{
  if (kind == DF_CHECK_LENGTH) return shown_unit(KIND_LENGTH);
  if (kind == DF_CHECK_RATE) return shown_unit(KIND_RATE);
  return kind == DF_CHECK_TIME ? "s" : "%";
}

static void table_of(const struct df_checks *checks)
{
  static const char *const head[6] = {"", "measured", "scenario", "allowed", "", "agrees"};
  struct table *table = malloc(sizeof *table);
  if (!table) return;
  table_begin(table, 6, "lrrrll");
  for (int i = 0; i < 6; i++) table_cell(table, 0, i, "%s", head[i]);
  for (int i = 0; i < checks->n && i + 1 < TABLE_ROWS_MAX; i++) {
    const struct df_check *c = &checks->at[i];
    table_cell(table, i + 1, 0, "%s", c->what);
    table_cell(table, i + 1, 1, "%s", value_text(c->kind, c->measured));
    table_cell(table, i + 1, 2, "%s", value_text(c->kind, c->computed));
    table_cell(table, i + 1, 3, "%s to %s", value_text(c->kind, c->low),
               value_text(c->kind, c->high));
    table_cell(table, i + 1, 4, "%s", unit_text(c->kind));
    table_cell(table, i + 1, 5, "%s", c->agrees ? "yes" : "NO");
  }
  table_print(table);
  free(table);
}

static void answer_text(const struct sheet_work *work, const struct df_checks *checks)
{
  const char *folder = option_text(&work->call->options, OPT_OUTPUT, NULL);
  if (checks->wrong)
    line("NOT SETTLED: %d of %d readings disagree with the scenario by more than friction and tools "
         "allow", checks->wrong, checks->n);
  else
    line("Settled: all %d readings agree with the scenario within friction and tools", checks->n);
  table_of(checks);
  for (int i = 0; i < checks->reason_n; i++) paragraph(2, "%s.", checks->reason[i]);
  if (checks->wrong)
    line("No sheet and no advice on this: measure again or correct the scenario, then ask again.");
  else if (folder) line("Next: print %s/sheet.html", folder);
  else line("Next: the same with -o DIR writes the sheet");
}

static double unit_scale(enum df_check_kind kind)
{
  return kind == DF_CHECK_LENGTH ? 1e3 : kind == DF_CHECK_RATE ? 1e-3
         : kind == DF_CHECK_SHARE ? 100 : 1;
}

static const char *unit_fixed(enum df_check_kind kind)
{
  return kind == DF_CHECK_LENGTH ? "mm" : kind == DF_CHECK_RATE ? "N/mm"
         : kind == DF_CHECK_SHARE ? "%" : "s";
}

static void answer_csv(const struct sheet_work *work, const struct df_checks *checks)
{
  static const char *const names[] = {"reading", "measured", "scenario", "low", "high", "unit",
                                      "agrees"};
  struct csv csv = csv_begin(stdout, work->call->digits);
  head_csv(work->call, &work->loaded, 1, &csv);
  for (int i = 0; i < checks->reason_n; i++) csv_head(&csv, "reason", "%s", checks->reason[i]);
  csv_names(&csv, names, 7);
  for (int i = 0; i < checks->n; i++) {
    const struct df_check *c = &checks->at[i];
    double scale = unit_scale(c->kind);
    csv_text(&csv, c->what);
    csv_number(&csv, scale*c->measured);
    csv_number(&csv, scale*c->computed);
    csv_number(&csv, scale*c->low);
    csv_number(&csv, scale*c->high);
    csv_text(&csv, unit_fixed(c->kind));
    csv_text(&csv, c->agrees ? "yes" : "no");
    csv_line(&csv);
  }
}

static void answer_json(const struct sheet_work *work, const struct df_checks *checks)
{
  struct json json;
  json_begin(&json, stdout, work->call->digits, "sheet");
  json_text(&json, "scenario", work->loaded.path);
  json_text(&json, "hash", work->loaded.hash);
  json_text(&json, "settled", checks->wrong ? "no" : "yes");
  json_array(&json, "readings");
  for (int i = 0; i < checks->n; i++) {
    const struct df_check *c = &checks->at[i];
    double scale = unit_scale(c->kind);
    json_object(&json, NULL);
    json_text(&json, "reading", c->what);
    json_number(&json, "measured", scale*c->measured);
    json_number(&json, "computed", scale*c->computed);
    json_number(&json, "low", scale*c->low);
    json_number(&json, "high", scale*c->high);
    json_text(&json, "unit", unit_fixed(c->kind));
    json_text(&json, "agrees", c->agrees ? "yes" : "no");
    json_end(&json);
  }
  json_end(&json);
  json_array(&json, "reasons");
  for (int i = 0; i < checks->reason_n; i++) json_text(&json, NULL, checks->reason[i]);
  json_end(&json);
  json_finish(&json);
}

static int compare(struct sheet_work *work, const struct measured *measured,
                   struct df_checks *checks)
{
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  enum df_status status =
      df_checks_of(work->loaded.reading, measured->list, measured->n, checks, faults);
  int result = status ? status_exit(work->loaded.path, status, faults) : 0;
  free(faults);
  return result;
}

int sheet_measured(struct sheet_work *work, int *settled)
{
  struct measured *measured = calloc(1, sizeof *measured);
  struct df_checks *checks = calloc(1, sizeof *checks);
  int status = measured && checks ? files_read(work->call, measured) : EXIT_OUTPUT;
  if (!status) status = compare(work, measured, checks);
  if (!status && !option_given(&work->call->options, OPT_QUIET)) {
    if (work->call->format == FORMAT_CSV) answer_csv(work, checks);
    else if (work->call->format == FORMAT_JSON) answer_json(work, checks);
    else answer_text(work, checks);
  }
  *settled = !status && !checks->wrong;
  for (int i = 0; measured && i < measured->n; i++) df_data_finish(&measured->data[i]);
  free(measured);
  free(checks);
  return status;
}
