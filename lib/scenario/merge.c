// Files, what they are based on, and overrides become one tree.
#include "scenario/reading.h"

#include "scenario/bytes.h"
#include "scenario/yaml.h"

#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

static enum df_status no_memory(struct df_faults *faults)
{
  return df_fault_add(faults, DF_NO_MEMORY, "", "out of memory");
}

struct df_source *df_source_add(struct df_reading *reading, const char *name, const char *folder,
                                const char *text, size_t length)
{
  struct df_source *source = df_arena_take(&reading->arena, sizeof *source);
  if (!source) return NULL;
  source->name = df_arena_text(&reading->arena, name, strlen(name));
  source->folder = df_arena_text(&reading->arena, folder, strlen(folder));
  source->text = text;
  source->length = length;
  if (!source->name || !source->folder) return NULL;
  struct df_source **link = &reading->sources;
  while (*link) source->rank = (*link)->rank + 1, link = &(*link)->next;
  return *link = source;
}

// --- Files

// The whole file, at most DF_FILE_MAX bytes and one more. NULL with a fault.
static char *contents(struct df_reading *reading, const char *file, size_t *length,
                      struct df_faults *faults)
{
  struct stat about;
  // Opened without waiting: a pipe that nobody writes into is empty, and does not hang.
  int handle = open(file, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
  if (handle >= 0) fcntl(handle, F_SETFL, 0);
  FILE *stream = handle >= 0 ? fdopen(handle, "rb") : NULL;
  if (handle >= 0 && !stream) close(handle);
  if (!stream || fstat(fileno(stream), &about) || S_ISDIR(about.st_mode)) {
    int reason = stream ? EISDIR : errno;
    if (stream) fclose(stream);
    df_fault_at(faults, NULL, 0, 0, DF_CANNOT_READ, 0, "", "%s cannot be opened: %s", file,
                strerror(reason));
    return NULL;
  }
  size_t room = S_ISREG(about.st_mode) && about.st_size >= 0 && about.st_size < DF_FILE_MAX
                    ? (size_t)about.st_size + 1
                    : DF_FILE_MAX + 1;
  char *text = df_arena_take(&reading->arena, room);
  *length = text ? fread(text, 1, room, stream) : 0;
  int failed = ferror(stream);
  fclose(stream);
  if (!text) no_memory(faults);
  else if (failed)
    df_fault_at(faults, NULL, 0, 0, DF_CANNOT_READ, 0, "", "%s cannot be read", file);
  return text && !failed ? text : NULL;
}

static void folder_of(const char *file, char *folder, size_t size)
{
  const char *slash = strrchr(file, '/');
  size_t n = slash ? (size_t)(slash - file) : 0;
  if (slash == file) n = 1;
  if (n >= size) n = size - 1;
  memcpy(folder, file, n);
  folder[n] = 0;
}

// A name that cannot lead out of its folder.
static const char *bad_name(const char *name)
{
  if (!*name) return "a file's name is wanted";
  if (*name == '/')
    return "the name begins with /; only files in the scenario's folder or below are read";
  for (const char *p = name; *p; p = strchr(p, '/') ? strchr(p, '/') + 1 : p + strlen(p))
    if (p[0] == '.' && p[1] == '.' && (p[2] == '/' || !p[2]))
      return "the name leads upwards; only files in the scenario's folder or below are read";
  return NULL;
}

// Links may not lead out of the folder either. 1: inside, or not there at all.
static int stays_below(const char *folder, const char *file)
{
  char *top = realpath(*folder ? folder : ".", NULL), *end = realpath(file, NULL);
  size_t n = top ? strlen(top) : 0;
  int below = !top || !end || (n == 1 && *top == '/') || (!strncmp(top, end, n) && end[n] == '/');
  free(top);
  free(end);
  return below;
}

int df_file_below(const char *folder, const char *name, char *out, size_t size, char *why,
                  size_t why_size)
{
  const char *bad = bad_name(name);
  int n = snprintf(out, size, "%s%s%s", folder, *folder ? "/" : "", name);
  if (!bad && (n < 0 || (size_t)n >= size))
    bad = "the name of the file with its folder is too long";
  struct stat about;
  if (!bad && !stat(out, &about) && !S_ISREG(about.st_mode))
    bad = "no regular file: a scenario names no folder, pipe or device";
  if (!bad && !stays_below(folder, out))
    bad = "a link leads out of the folder; only files in the scenario's folder or below are read";
  if (bad) snprintf(why, why_size, "%s", bad);
  return !bad;
}

// --- One text

static struct df_node *text_read(struct df_reading *reading, struct df_source *source,
                                 struct df_faults *faults)
{
  if (source->length > DF_FILE_MAX) {
    df_fault_at(faults, source, 0, 0, DF_BAD_INPUT, 0, "",
                "more than 1 MiB; a scenario has some kilobytes");
    return NULL;
  }
  struct df_bad_byte bad = df_bytes_check(source->text, source->length, 1);
  if (bad.what) {
    df_fault_at(faults, source, bad.line, bad.column, DF_BAD_INPUT, 0, "", "%s", bad.what);
    return NULL;
  }
  int broken = 0;
  struct df_node *root = df_yaml_read(&reading->arena, source, faults, &broken);
  if (broken) reading->broken = 1;
  return root;
}

static int same_file(const char *a, const char *b)
{
  struct stat sa, sb;
  return !stat(a, &sa) && !stat(b, &sb) && sa.st_dev == sb.st_dev && sa.st_ino == sb.st_ino;
}

// Headings and expectations belong to one file alone.
static void disinherit(struct df_node *root)
{
  static const char *const own[] = { "title", "note", "expect", "format", NULL };
  for (int i = 0; own[i]; i++) {
    struct df_node *child = df_node_child(root, own[i]);
    if (child) df_node_remove(root, child);
  }
}

// The file that `root` is based on, or NULL. `depth` files lie above it.
static struct df_node *base_of(struct df_reading *reading, const struct df_source *source,
                               struct df_node *root, int depth, struct df_faults *faults);

static struct df_node *source_tree(struct df_reading *reading, struct df_source *source, int depth,
                                   struct df_faults *faults)
{
  struct df_node *root = text_read(reading, source, faults);
  struct df_node *base = root ? base_of(reading, source, root, depth, faults) : NULL;
  if (!base) return root;
  disinherit(base);
  df_node_merge(base, root);
  return base;
}

static struct df_node *base_of(struct df_reading *reading, const struct df_source *source,
                               struct df_node *root, int depth, struct df_faults *faults)
{
  struct df_node *node = df_node_child(root, "based_on");
  if (!node || df_node_none(node)) return NULL;
  char file[2*DF_PATH_MAX], folder[2*DF_PATH_MAX], why[200];
  if (node->kind != DF_SCALAR ||
      !df_file_below(source->folder, node->text, file, sizeof file, why, sizeof why)) {
    if (node->kind != DF_SCALAR) snprintf(why, sizeof why, "the name of one file is wanted");
    df_fault_at(faults, source, node->line, node->column, DF_BAD_INPUT, 0, "based_on", "%s", why);
    reading->broken = 1;      // what the file would have given is missing
    return NULL;
  }
  const char *bad = depth == DF_BASED_MAX ? "more than 4 files one upon the other" : NULL;
  for (const struct df_source *above = reading->sources; above && !bad; above = above->next)
    if (same_file(above->name, file)) bad = "the files are based on each other in a circle";
  size_t length = 0;
  struct df_faults mine = { 0 };
  char *text = bad ? NULL : contents(reading, file, &length, &mine);
  if (!text) {
    df_fault_at(faults, source, node->line, node->column, DF_BAD_INPUT, 0, "based_on", "%s",
                bad ? bad : mine.at[0].text);
    reading->broken = 1;
    return NULL;
  }
  folder_of(file, folder, sizeof folder);
  struct df_source *below = df_source_add(reading, file, folder, text, length);
  if (!below) {
    no_memory(faults);
    return NULL;
  }
  return source_tree(reading, below, depth + 1, faults);
}

enum df_status df_tree_read(struct df_reading *reading, struct df_source *source,
                            struct df_faults *faults)
{
  int errors = faults ? faults->errors : 0;
  reading->tree = source_tree(reading, source, 0, faults);
  if (reading->tree) return DF_OK;
  return faults && faults->errors == errors ? no_memory(faults) : DF_BAD_INPUT;
}

enum df_status df_tree_file(struct df_reading *reading, const char *file, struct df_faults *faults)
{
  size_t length = 0;
  char folder[2*DF_PATH_MAX];
  char *text = contents(reading, file, &length, faults);
  if (!text) return DF_CANNOT_READ;
  folder_of(file, folder, sizeof folder);
  struct df_source *source = df_source_add(reading, file, folder, text, length);
  return source ? df_tree_read(reading, source, faults) : no_memory(faults);
}

// --- Overrides

// One step of a dotted path: a key, or a place in a list. Returns what follows; NULL: no path.
static const char *step(const char *path, char key[DF_KEY_MAX], int *index)
{
  size_t n = 0;
  *index = 0;
  if (*path == '[') {
    char *end;
    long i = path[1] >= '0' && path[1] <= '9' ? strtol(path + 1, &end, 10) : 0;
    if (i < 1 || i > DF_NODES_MAX || *end != ']') return NULL;
    *index = (int)i;
    path = end + 1;
  } else {
    while (path[n] && path[n] != '.' && path[n] != '[' && n < DF_KEY_MAX - 1) n++;
    if (!n || n == DF_KEY_MAX - 1) return NULL;
    memcpy(key, path, n);
    key[n] = 0;
    path += n;
  }
  if (*path == '.' && path[1] && path[1] != '[' && path[1] != '.') return path + 1;
  return *path == '[' || !*path ? path : NULL;
}

struct df_node *df_tree_find(struct df_node *root, const char *path)
{
  char key[DF_KEY_MAX];
  int index;
  while (root && *path) {
    path = step(path, key, &index);
    if (!path) return NULL;
    root = index ? df_node_item(root, index) : df_node_child(root, key);
  }
  return root;
}

void df_item_replace(struct df_node *list, struct df_node *old, struct df_node *item)
{
  if (df_node_none(item)) {
    df_node_remove(list, old);
    return;
  }
  struct df_node **link = &list->first;
  while (*link != old) link = &(*link)->next;
  item->next = old->next;
  *link = item;
  if (list->last == old) list->last = item;
}

// Make `node` a mapping that can be reached into.
static void into_mapping(struct df_node *node)
{
  if (node->kind == DF_MAPPING) return;
  node->kind = DF_MAPPING;
  node->first = node->last = NULL;
  node->reached = 1;
}

static struct df_node *child_or_new(struct df_reading *reading, struct df_node *parent,
                                    const char *key, struct df_node **top, struct df_node **made)
{
  struct df_node *child = df_node_child(parent, key);
  if (child) return child;
  child = df_node_create(&reading->arena, DF_MAPPING, parent->source, parent->line, parent->column);
  if (!child || !(child->key = df_arena_text(&reading->arena, key, strlen(key)))) return NULL;
  child->reached = 1;
  df_node_append(parent, child);
  if (!*made) *made = child, *top = parent;
  return child;
}

struct df_node *df_tree_reach(struct df_reading *reading, const char *path, struct df_node **parent,
                              struct df_node **made)
{
  struct df_node *node = reading->tree;
  char key[DF_KEY_MAX];
  int index;
  *made = *parent = NULL;
  while (node && *path) {
    path = step(path, key, &index);
    if (!path) return NULL;
    if (index) {
      node = df_node_item(node, index);
      continue;
    }
    into_mapping(node);
    node = child_or_new(reading, node, key, parent, made);
  }
  return node;
}

// All nodes of an override stand in the list of overrides, not in the text that was made for
// libyaml.
static void stand_in(struct df_node *node, const struct df_source *source)
{
  node->source = source;
  for (struct df_node *child = node->first; child; child = child->next) stand_in(child, source);
}

// The value of an override: text as it stands, or YAML when it begins with { or [. Columns are
// those of the whole argument.
static struct df_node *override_value(struct df_reading *reading, const struct df_source *source,
                                      int line, const char *argument, size_t equals,
                                      struct df_faults *faults)
{
  const char *text = argument + equals + 1, *first = text + strspn(text, " \t");
  size_t length = strcspn(argument, "\n"), column = (size_t)(first - argument) + 1;
  while (length > equals + 1 && (argument[length - 1] == ' ' || argument[length - 1] == '\t'))
    length--;
  if (*first != '{' && *first != '[') {
    struct df_node *node = df_node_create(&reading->arena, DF_SCALAR, source, line, (int)column);
    size_t rest = length > column - 1 ? length - (column - 1) : 0;
    if (node && !(node->text = df_arena_text(&reading->arena, first, rest))) node = NULL;
    if (!node) no_memory(faults);
    return node;
  }
  // "v:" and blanks in place of the key, on as many lines as came before, keep lines and columns
  // right.
  size_t before = (size_t)line - 1;
  char *copy = df_arena_take(&reading->arena, before + length + 1);
  struct df_source *mine = df_arena_take(&reading->arena, sizeof *mine);
  if (!copy || !mine) return no_memory(faults), NULL;
  memset(copy, '\n', before);
  memset(copy + before, ' ', column - 1);
  memcpy(copy + before + column - 1, first, length - (column - 1));
  *mine = *source;
  mine->text = copy;
  mine->length = before + length;
  int broken = 0, errors = faults ? faults->n : 0;
  struct df_node *node = df_yaml_value(&reading->arena, mine, faults, &broken);
  for (int i = errors; faults && i < faults->n; i++) // show the argument itself
    if (faults->at[i].line == line)
      df_fault_quote(source, line, faults->at[i].column, &faults->at[i]);
  if (node) stand_in(node, source);
  return broken ? NULL : node;
}

static int override(struct df_reading *reading, const struct df_source *source, int line,
                    const char *argument, struct df_faults *faults)
{
  char path[DF_KEY_MAX], shown[60];
  size_t equals = strcspn(argument, "=\n");
  df_clip(argument, shown, sizeof shown);
  if (argument[equals] != '=' || !equals || equals >= sizeof path)
    return df_fault_at(faults, source, line, 1, DF_BAD_INPUT, 0, "",
                       "an override is written path.to.key=VALUE"),
           0;
  memcpy(path, argument, equals);
  path[equals] = 0;
  while (equals && path[equals - 1] == ' ') path[--equals] = 0;
  struct df_node *value =
      override_value(reading, source, line, argument, strcspn(argument, "="), faults);
  if (!value) return 0;
  char *mark = strrchr(path, '['), *dot = strrchr(path, '.');
  int item = mark && (!dot || dot < mark); // the path ends in [k]
  char *cut = item ? mark : dot;
  const char *last = item ? NULL : dot ? dot + 1 : path;
  struct df_node *parent, *made = NULL, *at = reading->tree;
  if (cut) {
    char above[DF_KEY_MAX];
    snprintf(above, sizeof above, "%.*s", (int)(cut - path), path);
    df_list_default(reading, above);
    at = df_tree_reach(reading, above, &parent, &made);
    for (struct df_node *node = made; node; node = node->first) {
      node->source = source;
      node->line = node->key_line = line;
      node->column = node->key_column = 1;
    }
  }
  char scrap[DF_KEY_MAX];
  int index = 0;
  struct df_node *old = item && step(mark, scrap, &index) ? df_node_item(at, index) : NULL;
  if (!at || (item && !old) || (last && !*last)) {
    int n = df_node_count(at);
    if (index && at && at->kind == DF_SEQUENCE)
      df_fault_at(faults, source, line, 1, DF_BAD_INPUT, 0, path,
                  "the list has %d %s; [k] counts from 1", n, n == 1 ? "item" : "items");
    else
      df_fault_at(faults, source, line, 1, DF_BAD_INPUT, 0, path,
                  "there is no such place in the scenario");
    return 0;
  }
  value->key_line = line;
  value->key_column = 1;
  if (item) return df_item_replace(at, old, value), 1;
  into_mapping(at);
  value->key = df_arena_text(&reading->arena, last, strlen(last));
  struct df_node *one = df_node_create(&reading->arena, DF_MAPPING, source, line, 1);
  if (!one || !value->key) return no_memory(faults), 0;
  df_node_append(one, value);
  df_node_merge(at, one);
  return 1;
}

// All overrides together are one source; each is a line of it.
static struct df_source *override_source(struct df_reading *reading, const char *const *set, int n)
{
  struct df_source *old = reading->sources;
  while (old && strcmp(old->name, "--set")) old = old->next;
  size_t length = old ? old->length : 0, at = length;
  for (int i = 0; i < n; i++) length += strlen(set[i]) + 1;
  char *text = length <= DF_FILE_MAX ? df_arena_take(&reading->arena, length + 1) : NULL;
  if (!text) return NULL;
  if (old) memcpy(text, old->text, old->length);
  for (int i = 0; i < n; i++) at += (size_t)sprintf(text + at, "%s\n", set[i]);
  if (!old) return df_source_add(reading, "--set", "", text, length);
  old->text = text;
  old->length = length;
  return old;
}

enum df_status df_tree_override(struct df_reading *reading, const char *const *set, int n,
                                struct df_faults *faults)
{
  if (n <= 0) return DF_OK;
  struct df_source *source = override_source(reading, set, n);
  if (!source) return df_fault_add(faults, DF_BAD_INPUT, "", "the overrides are longer than 1 MiB");
  int good = 1;
  for (int i = 0; i < n; i++) {
    int line = ++reading->overrides;
    struct df_bad_byte bad = df_bytes_check(set[i], strlen(set[i]), 0);
    if (!bad.what && strchr(set[i], '\n')) bad.what = "an override is one line", bad.column = 1;
    if (bad.what)
      df_fault_at(faults, source, line, bad.column, DF_BAD_INPUT, 0, "", "%s", bad.what);
    good &= !bad.what && override(reading, source, line, set[i], faults);
  }
  return good ? DF_OK : DF_BAD_INPUT;
}
