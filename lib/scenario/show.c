// A scenario as text again: sorted lines for the hash, YAML for people.
#include "scenario/reading.h"

#include "base/plain.h"
#include "scenario/text.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// --- Lines and hash

static int by_text(const void *a, const void *b)
{
  return strcmp(*(char *const *)a, *(char *const *)b);
}

static int counts(const struct df_value *value)
{
  return !value->absent && strcmp(value->path, "title") && strcmp(value->path, "note");
}

static char *line_of(const struct df_value *value)
{
  struct df_text line = { 0 };
  if (value->word) df_text_add(&line, "%s = %s", value->path, value->word);
  else
    df_text_add(&line, "%s = %.17g", value->path,
                value->si == 0 ? 0.0 : value->si); // no negative zero
  return df_text_done(&line);
}

// What no value tells: which parts are there on the right.
static char *right_line(const struct df_scenario *scenario)
{
  struct df_text line = { 0 };
  df_text_add(&line, "right = %s", scenario->side[1].has_valve ? "valve" : "none");
  return df_text_done(&line);
}

static char *joined(char **line, int n, int good)
{
  struct df_text all = { 0 };
  if (good) qsort(line, (size_t)n, sizeof *line, by_text);
  for (int i = 0; i < n; i++) {
    if (good) df_text_add(&all, "%s\n", line[i]);
    free(line[i]);
  }
  char *text = df_text_done(&all);
  if (good) return text;
  free(text);
  return NULL;
}

char *df_reading_lines(const struct df_reading *reading)
{
  char **line = calloc((size_t)reading->slot_n + 2, sizeof *line);
  int n = 0, good = line != NULL;
  locale_t before = df_plain_enter();
  for (int i = 0; i < reading->slot_n && good; i++) {
    struct df_value value;
    df_reading_value(reading, i, &value);
    if (!counts(&value)) continue;
    line[n] = line_of(&value);
    if (line[n]) n++;
    else good = 0;
  }
  if (good && reading->scenario.unlike) {
    line[n] = right_line(&reading->scenario);
    if (line[n]) n++;
    else good = 0;
  }
  char *text = joined(line, n, good);
  df_plain_leave(before);
  free(line);
  return text;
}

enum df_status df_reading_hash(const struct df_reading *reading, char out[13])
{
  uint64_t hash = 0xcbf29ce484222325u; // FNV-1a: Fowler, Noll, Vo
  char *lines = df_reading_lines(reading);
  *out = 0;
  if (!lines) return DF_NO_MEMORY;
  for (const char *p = lines; *p; p++)
    hash = (hash ^ (unsigned char)*p) * 0x100000001b3u;
  free(lines);
  snprintf(out, 13, "%06x%06x", (unsigned)(hash >> 40), (unsigned)(hash >> 16 & 0xffffff));
  return DF_OK;
}

// --- YAML

struct writer { const struct df_reading *reading; struct df_text text; unsigned flags; };

static int plain(const char *text)
{
  static const char inside[] =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 ._+-/^()%<=";
  size_t n = strlen(text);
  if (!n || strspn(text, inside) != n || text[n - 1] == ' ') return 0;
  return strchr("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789<+", text[0]) ||
         (text[0] == '-' && text[1] >= '0' && text[1] <= '9');
}

static void put_text(struct df_text *out, const char *text, int quoted)
{
  if (!quoted && plain(text)) {
    df_text_add(out, "%s", text);
    return;
  }
  int lines = strpbrk(text, "\n\t") != NULL; // only double quotes can hold these on one line
  df_text_add(out, "%c", lines ? '"' : '\'');
  for (const char *p = text; *p; p++) {
    if (lines && *p == '\n') df_text_add(out, "\\n");
    else if (lines && *p == '\t') df_text_add(out, "\\t");
    else if (lines && (*p == '"' || *p == '\\')) df_text_add(out, "\\%c", *p);
    else if (!lines && *p == '\'') df_text_add(out, "''");
    else df_text_add(out, "%c", *p);
  }
  df_text_add(out, "%c", lines ? '"' : '\'');
}

static void put_flow(struct df_text *out, const struct df_node *node)
{
  int map = node->kind == DF_MAPPING;
  if (node->kind == DF_SCALAR) {
    put_text(out, node->text ? node->text : "", node->quoted);
    return;
  }
  df_text_add(out, map ? "{" : "[");
  for (const struct df_node *child = node->first; child; child = child->next) {
    if (map) {
      put_text(out, child->key, 0);
      df_text_add(out, ": ");
    }
    put_flow(out, child);
    if (child->next) df_text_add(out, ", ");
  }
  df_text_add(out, map ? "}" : "]");
}

static void indent(struct writer *w, int depth)
{
  df_text_add(&w->text, "%*s", 2*depth, "");
}

// A part of the tree as it stands: mappings in block style, lists one item a line.
static void put_node(struct writer *w, const struct df_node *node, int depth)
{
  for (const struct df_node *child = node->first; child; child = child->next) {
    indent(w, depth);
    if (node->kind == DF_MAPPING) {
      put_text(&w->text, child->key, 0);
      df_text_add(&w->text, ":");
    } else {
      df_text_add(&w->text, "-");
    }
    if (child->kind == DF_SCALAR || !child->first || node->kind == DF_SEQUENCE) {
      df_text_add(&w->text, " ");
      put_flow(&w->text, child);
      df_text_add(&w->text, "\n");
    } else {
      df_text_add(&w->text, "\n");
      put_node(w, child, depth + 1);
    }
  }
}

// An assumed value as a comment line: what to write, what it means, how to measure it. `in` levels
// lie inside the comment.
static void put_assumed(struct writer *w, const struct df_value *value, int depth, int in)
{
  char text[80];
  const char *key = strrchr(value->path, '.') ? strrchr(value->path, '.') + 1 : value->path;
  int bare = value->unit && !strcmp(value->unit, "1");
  if (value->word) snprintf(text, sizeof text, "%s: %.60s", key, value->word);
  else
    snprintf(text, sizeof text, "%s: %.6g%s%s", key, value->in_unit, bare ? "" : " ",
             bare ? "" : value->unit);
  df_text_add(&w->text, "%*s# %*s%-28s # assumed; %s%s%s\n", 2 * depth, "", 2 * in, "", text,
              value->row->meaning, value->row->measure ? "; measure: " : "",
              value->row->measure ? value->row->measure : "");
}

// Values right in one section that are not in the tree. `section` is its path with a dot, "" for
// the top.
static void put_section_assumed(struct writer *w, const char *section, int depth, int in)
{
  size_t n = strlen(section);
  for (int i = 0; i < w->reading->slot_n; i++) {
    struct df_value value;
    df_reading_value(w->reading, i, &value);
    const char *rest = value.path + n;
    if (strncmp(value.path, section, n) || value.given || value.absent || strpbrk(rest, "[."))
      continue;
    put_assumed(w, &value, depth, in);
  }
}

static int any_assumed(const struct df_reading *reading, const char *section)
{
  for (int i = 0; i < reading->slot_n; i++) {
    struct df_value value;
    df_reading_value(reading, i, &value);
    if (!strncmp(value.path, section, strlen(section)) && !value.given && !value.absent) return 1;
  }
  return 0;
}

// A section of which nothing is given: its values, all as comments.
static void put_absent_section(struct writer *w, const struct df_param *row, const char *path,
                               int depth, int in)
{
  char below[DF_KEY_MAX];
  snprintf(below, sizeof below, "%s%s.", path, row->key);
  if (row->need == DF_ABSENT || !row->of || !strcmp(row->key, "right") ||
      !any_assumed(w->reading, below))
    return;
  df_text_add(&w->text, "%*s# %*s%s:\n", 2*depth, "", 2*in, "", row->key);
  put_section_assumed(w, below, depth, in + 1);
  for (int i = 0; i < row->of->rows; i++)
    if (row->of->row[i].form == DF_SECTION)
      put_absent_section(w, &row->of->row[i], below, depth, in + 1);
}

// Roads of the use, of which an override reached into some: all of them, by name.
static void put_roads(struct writer *w, const struct df_node *roads, int depth)
{
  const struct df_scenario *scenario = &w->reading->scenario;
  for (int i = 0; i < scenario->road_n; i++) {
    const struct df_node *road = df_node_child(roads, scenario->road[i].name);
    df_text_add(&w->text, "%*s%s:%s", 2 * depth, "", scenario->road[i].name,
                road && road->kind == DF_MAPPING ? "\n" : " ready\n");
    if (road && road->kind == DF_MAPPING) put_node(w, road, depth + 1);
  }
}

static void put_rows(struct writer *w, const struct df_section *section, const struct df_node *node,
                     const char *path, int depth);

static void put_child(struct writer *w, const struct df_param *row, const struct df_node *child,
                      const char *path, int depth)
{
  char below[DF_KEY_MAX];
  snprintf(below, sizeof below, "%s%s.", path, row->key);
  indent(w, depth);
  df_text_add(&w->text, "%s:", row->key);
  if (child->kind == DF_SCALAR || !child->first) {
    df_text_add(&w->text, " ");
    put_flow(&w->text, child);
    df_text_add(&w->text, "\n");
    return;
  }
  df_text_add(&w->text, "\n");
  if (row->form == DF_NAMED && child->reached) put_roads(w, child, depth + 1);
  else if (row->form == DF_SECTION && row->of && strcmp(row->key, "right"))
    put_rows(w, row->of, child, below, depth + 1);
  else put_node(w, child, depth + 1);
}

static void put_rows(struct writer *w, const struct df_section *section, const struct df_node *node,
                     const char *path, int depth)
{
  for (int i = 0; i < section->rows; i++) {
    const struct df_param *row = &section->row[i];
    const struct df_node *child = df_node_child(node, row->key);
    if (!strcmp(row->key, "based_on")) continue; // merged already
    if (child) put_child(w, row, child, path, depth);
    else if (row->form == DF_SECTION && (w->flags & DF_WRITE_ASSUMED))
      put_absent_section(w, row, path, depth, 0);
  }
  if (w->flags & DF_WRITE_ASSUMED) put_section_assumed(w, path, depth, 0);
}

char *df_reading_write(const struct df_reading *reading, unsigned flags)
{
  struct writer w = { .reading = reading, .flags = flags };
  locale_t before = df_plain_enter();
  put_rows(&w, &df_scenario_section, reading->tree, "", 0);
  df_plain_leave(before);
  return df_text_done(&w.text);
}
