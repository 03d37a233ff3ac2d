// The tree, and faults that know their place in it.
#include "scenario/node.h"

#include "scenario/bytes.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

struct df_node *df_node_create(struct df_arena *arena, enum df_node_kind kind,
                               const struct df_source *source, int line, int column)
{
  struct df_node *node = df_arena_take(arena, sizeof *node);
  if (!node) return NULL;
  node->kind = kind;
  node->source = source;
  node->line = line;
  node->column = column;
  return node;
}

void df_node_append(struct df_node *parent, struct df_node *child)
{
  child->next = NULL;
  if (parent->last) parent->last->next = child;
  else parent->first = child;
  parent->last = child;
}

struct df_node *df_node_child(const struct df_node *mapping, const char *key)
{
  if (!mapping || mapping->kind != DF_MAPPING) return NULL;
  for (struct df_node *child = mapping->first; child; child = child->next)
    if (!strcmp(child->key, key)) return child;
  return NULL;
}

struct df_node *df_node_item(const struct df_node *sequence, int index)
{
  struct df_node *child = sequence && sequence->kind == DF_SEQUENCE ? sequence->first : NULL;
  while (child && --index > 0) child = child->next;
  return child;
}

int df_node_count(const struct df_node *node)
{
  int n = 0;
  for (const struct df_node *child = node ? node->first : NULL; child; child = child->next) n++;
  return n;
}

struct df_node *df_node_copy(struct df_arena *arena, struct df_node *node)
{
  struct df_node *copy = df_arena_take(arena, sizeof *copy);
  if (!copy) return NULL;
  *copy = *node;
  copy->origin = node;
  copy->first = copy->last = copy->next = NULL;
  for (struct df_node *child = node->first; child; child = child->next) {
    struct df_node *below = df_node_copy(arena, child);
    if (!below) return NULL;
    df_node_append(copy, below);
  }
  return copy;
}

int df_node_none(const struct df_node *node)
{
  return node && node->kind == DF_SCALAR && !node->quoted && !node->has_si && node->text &&
         !strcmp(node->text, "none");
}

void df_node_mark(struct df_node *node, int assumed, int right)
{
  if (assumed) node->assumed = 1;
  if (right) node->right = 1;
  for (struct df_node *child = node->first; child; child = child->next)
    df_node_mark(child, assumed, right);
}

// Put `over` in the place of `old`.
static void replace(struct df_node *base, struct df_node *old, struct df_node *over)
{
  struct df_node *next = old->next;
  struct df_node **link = &base->first;
  while (*link != old) link = &(*link)->next;
  *link = over;
  over->next = next;
  if (base->last == old) base->last = over;
}

void df_node_remove(struct df_node *parent, struct df_node *child)
{
  struct df_node **link = &parent->first, *before = NULL;
  while (*link && *link != child) before = *link, link = &(*link)->next;
  if (!*link) return;
  *link = child->next;
  if (parent->last == child) parent->last = before;
}

void df_node_merge(struct df_node *base, struct df_node *over)
{
  for (struct df_node *child = over->first, *next; child; child = next) {
    next = child->next;
    struct df_node *old = df_node_child(base, child->key);
    if (!old) df_node_append(base, child);
    else if (old->kind == DF_MAPPING && child->kind == DF_MAPPING) df_node_merge(old, child);
    else replace(base, old, child);
  }
  over->first = over->last = NULL;
}

// --- Places

void df_fault_quote(const struct df_source *source, int line, int column, struct df_fault *fault)
{
  const char *p = source->text, *end = p + source->length;
  for (int l = 1; l < line && p < end; p++) l += *p == '\n';
  if (line == 1 && end - p >= 3 && !memcmp(p, "\xef\xbb\xbf", 3)) p += 3;
  enum { ROOM = sizeof fault->source - 5, LEAD = 60 };
  int skipped = column > ROOM/2 ? column - LEAD : 0, at = 0;
  size_t n = skipped ? (size_t)snprintf(fault->source, sizeof fault->source, "...") : 0;
  for (; p < end && *p != '\n' && n < ROOM; at++) {
    unsigned c = 0;
    int bytes = df_utf8_next(p, (size_t)(end - p), &c);
    int plain = bytes && c >= 0x20 && c != 0x7f && !(c >= 0x80 && c < 0xa0) &&
                !(c >= 0x200e && c < 0x2070) && c != 0xfeff;
    if (!bytes) bytes = 1;
    if (*p == '\r' && p + 1 < end && p[1] == '\n') break;
    if (at >= skipped && n + (size_t)bytes < ROOM) {
      if (plain) memcpy(fault->source + n, p, (size_t)bytes);
      else fault->source[n] = *p == '\t' ? ' ' : '?';
      n += plain ? (size_t)bytes : 1;
    }
    p += bytes;
  }
  fault->source[n] = 0;
  fault->caret = skipped ? column - skipped + 3 : column;
}

// Take off a character that was cut in the middle.
static void trim(char *text)
{
  size_t n = strlen(text), back = 0;
  while (back < 4 && back < n && ((unsigned char)text[n - 1 - back] & 0xc0) == 0x80) back++;
  if (back == n) return;
  unsigned c;
  if (((unsigned char)text[n - 1 - back] & 0x80) &&
      !df_utf8_next(text + n - 1 - back, back + 1, &c))
    text[n - 1 - back] = 0;
}

enum df_status df_fault_at(struct df_faults *faults, const struct df_source *source, int line,
                           int column, enum df_status status, int warning, const char *key,
                           const char *format, ...)
{
  if (!faults) return status;
  char text[sizeof faults->at[0].text];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  trim(text);
  int before = faults->n;
  df_fault_add(faults, status, key, "%s", text);
  if (warning) faults->errors--;
  if (faults->n == before) return status;
  struct df_fault *fault = &faults->at[before];
  trim(fault->key);
  fault->warning = warning;
  fault->line = line;
  fault->column = column;
  if (source) snprintf(fault->file, sizeof fault->file, "%s", source->name);
  trim(fault->file);
  if (source && line) df_fault_quote(source, line, column, fault);
  return status;
}

const char *df_clip(const char *text, char *out, size_t size)
{
  int n = snprintf(out, size, "%s", text);
  if (n < 0 || (size_t)n < size) return out;
  out[size - 4] = 0;
  trim(out);
  return strcat(out, "...");
}

static int rank(const struct df_source *sources, const char *name)
{
  for (; sources; sources = sources->next)
    if (!strcmp(sources->name, name)) return sources->rank;
  return -1;
}

static int after(const struct df_source *sources, const struct df_fault *a,
                 const struct df_fault *b)
{
  int ra = rank(sources, a->file), rb = rank(sources, b->file);
  if (ra != rb) return ra > rb;
  if (a->line != b->line) return a->line > b->line;
  return a->column > b->column;
}

void df_faults_sort(struct df_faults *faults, int from, const struct df_source *sources)
{
  if (!faults) return;
  for (int i = from + 1; i < faults->n; i++) {
    struct df_fault fault = faults->at[i];
    int j = i;
    for (; j > from && after(sources, &faults->at[j - 1], &fault); j--)
      faults->at[j] = faults->at[j - 1];
    faults->at[j] = fault;
  }
}
