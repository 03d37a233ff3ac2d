// NAME.rides.yaml: a list of rides, each a mapping of texts.
#include "dampfork/history.h"

#include "base/file.h"
#include "scenario/bytes.h"
#include "scenario/yaml.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char *const verdicts[] = {"", "better", "same", "worse"}; // by enum df_verdict

static enum df_status fault(struct df_faults *faults, const struct df_node *at, const char *what)
{
  return df_fault_at(faults, at->source, at->line, at->column, DF_BAD_INPUT, 0, at->key ? at->key : "", "%s", what);
}

static enum df_status text_take(const struct df_node *node, char *out, size_t size, struct df_faults *faults)
{
  if (node->kind != DF_SCALAR) return fault(faults, node, "one value is wanted");
  snprintf(out, size, "%s", node->text);
  return DF_OK;
}

static enum df_status pairs_take(const struct df_node *node, struct df_past_pair *pair, int *n, struct df_faults *faults)
{
  enum df_status status = DF_OK;
  if (node->kind != DF_MAPPING) return fault(faults, node, "keys with values are wanted");
  for (const struct df_node *at = node->first; at; at = at->next) {
    if (*n == DF_PAST_PAIRS_MAX) return fault(faults, at, "too many: 12 at most");
    snprintf(pair[*n].key, sizeof pair->key, "%s", at->key);
    enum df_status one = text_take(at, pair[(*n)++].value, sizeof pair->value, faults);
    if (one != DF_OK) status = one;
  }
  return status;
}

static enum df_status verdict_take(const struct df_node *node, enum df_verdict *out, struct df_faults *faults)
{
  for (int i = 1; node->kind == DF_SCALAR && i < 4; i++)
    if (!strcmp(node->text, verdicts[i])) return *out = (enum df_verdict)i, DF_OK;
  return fault(faults, node, "better, same or worse is wanted");
}

static enum df_status key_take(const struct df_node *at, struct df_past_ride *ride, struct df_faults *faults)
{
  struct { const char *key; char *out; size_t size; } texts[] = {
      {"date", ride->date, sizeof ride->date},
      {"complaint", ride->complaint, sizeof ride->complaint},
      {"temperature", ride->temperature, sizeof ride->temperature},
      {"tyre_pressure", ride->tyre_pressure, sizeof ride->tyre_pressure},
      {"note", ride->note, sizeof ride->note},
  };
  for (size_t i = 0; i < sizeof texts/sizeof *texts; i++)
    if (!strcmp(at->key, texts[i].key)) return text_take(at, texts[i].out, texts[i].size, faults);
  if (!strcmp(at->key, "verdict")) return verdict_take(at, &ride->verdict, faults);
  if (!strcmp(at->key, "setting")) return pairs_take(at, ride->setting, &ride->setting_n, faults);
  if (!strcmp(at->key, "readings")) return pairs_take(at, ride->reading, &ride->reading_n, faults);
  return fault(faults, at, "unknown; a ride has date, setting, temperature, tyre_pressure, readings, complaint, verdict, note");
}

static enum df_status rides_take(const struct df_node *root, struct df_past *out, struct df_faults *faults)
{
  enum df_status status = DF_OK;
  if (root->kind != DF_SEQUENCE) return fault(faults, root, "a list of rides is wanted: '- {date: 2026-05-02, ...}'");
  for (const struct df_node *item = root->first; item; item = item->next) {
    if (out->n == DF_PAST_RIDES_MAX) return fault(faults, item, "too many rides: 64 at most");
    if (item->kind != DF_MAPPING) { status = fault(faults, item, "a ride is made of keys with values"); continue; }
    for (const struct df_node *at = item->first; at; at = at->next) {
      enum df_status one = key_take(at, &out->ride[out->n], faults);
      if (one != DF_OK) status = one;
    }
    out->n++;
  }
  return status;
}

enum df_status df_past_read(struct df_past *out, const char *file, struct df_faults *faults)
{
  struct df_arena arena = {.limit = 16u << 20};
  struct df_source source = {.name = file, .folder = ""};
  enum df_status status = DF_OK;
  int broken = 0;
  char why[80];
  *out = (struct df_past){.n = 0};
  if (access(file, F_OK) && errno == ENOENT) return DF_OK;
  char *text = df_file_read(file, DF_FILE_MAX, &source.length, why);
  if (!text && !*why) return DF_NO_MEMORY;
  if (!text) return df_fault_add(faults, DF_CANNOT_READ, "", "%s: %s", file, why);
  source.text = text;
  struct df_bad_byte bad = df_bytes_check(text, source.length, 1);
  if (bad.what) status = df_fault_at(faults, &source, bad.line, bad.column, DF_BAD_INPUT, 0, "", "%s", bad.what);
  else {
    struct df_node *root = df_yaml_value(&arena, &source, faults, &broken);
    status = !root || broken ? DF_BAD_INPUT : rides_take(root, out, faults);
  }
  df_arena_finish(&arena);
  free(text);
  return status;
}
