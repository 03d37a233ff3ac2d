// Messages, colour, progress, and text made harmless for a terminal.
#include "say.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

static struct {
  int colour, terminal, quiet;
  int errors;                 // said so far
  int no_memory;              // 1: somewhere memory was short
  int shown;                  // a progress line stands on the screen
  struct timespec start;      // of the work
} say;

void say_start(void)
{
  const char *no_colour = getenv("NO_COLOR"), *term = getenv("TERM");
  say.terminal = isatty(STDERR_FILENO) && term && strcmp(term, "dumb");
  say.colour = say.terminal && !(no_colour && *no_colour);
  clock_gettime(CLOCK_MONOTONIC, &say.start);
}

void say_be_quiet(void)
{
  say.quiet = 1;
}


int utf8_length(const unsigned char *text, unsigned *point)
{
  int n = text[0] < 0x80       ? 1
          : text[0] >> 5 == 6  ? 2
          : text[0] >> 4 == 14 ? 3
          : text[0] >> 3 == 30 ? 4
                               : 0;
  static const unsigned least[5] = {0, 0, 0x80, 0x800, 0x10000};
  if (!n) return 0;
  *point = n == 1 ? text[0] : text[0] & (0xff >> (n + 1));
  for (int i = 1; i < n; i++) {
    if (text[i] >> 6 != 2) return 0;
    *point = *point << 6 | (text[i] & 0x3f);
  }
  if (*point < least[n] || *point > 0x10ffff || (*point >= 0xd800 && *point < 0xe000)) return 0;
  return n;
}

static int harmless(unsigned point)
{
  if (point < 0x20 || (point >= 0x7f && point < 0xa0)) return 0;
  if (point >= 0x202a && point <= 0x202e) return 0; // direction of writing
  if (point >= 0x2066 && point <= 0x2069) return 0;
  return point != 0x200e && point != 0x200f && point != 0x2028 && point != 0x2029 &&
         point != 0xfeff;
}

// The text without its characters head..tail, "..." in their place.
static const char *cut_text(char *out, size_t size, const char *text, int head, int tail)
{
  size_t used = 0;
  const unsigned char *at = (const unsigned char *)text;
  for (int count = 0; *at && used + 8 < size; count++) {
    unsigned point = 0;
    int n = utf8_length(at, &point);
    if (count == head) memcpy(out + used, "...", 3), used += 3;
    if (count < head || count >= tail) {
      if (n && harmless(point)) memcpy(out + used, at, n), used += n;
      else out[used++] = '?';
    }
    at += n ? n : 1;
  }
  if (*at) memcpy(out + used, "...", 3), used += 3;
  out[used] = 0;
  return out;
}

const char *clean(char *out, size_t size, const char *text, int columns)
{
  int all = columns_of(text), cut = columns && all > columns;
  return cut_text(out, size, text, cut ? columns - 3 : all + 1, cut ? all : all + 1);
}

const char *clean_name(char *out, size_t size, const char *text, int columns)
{
  int all = columns_of(text), keep = columns - 3, end = keep*2/5;
  if (all <= columns) return clean(out, size, text, 0);
  return cut_text(out, size, text, keep - end, all - end);
}

int columns_of(const char *text)
{
  int n = 0;
  unsigned point;
  for (const unsigned char *at = (const unsigned char *)text; *at; n++) {
    int bytes = utf8_length(at, &point);
    at += bytes ? bytes : 1;
  }
  return n;
}

static void sentence(const char *kind, const char *colour, const char *place, const char *format,
                     va_list arguments)
{
  char text[1200], safe[2400];
  vsnprintf(text, sizeof text, format, arguments);
  say_progress_end();
  fprintf(stderr, "dampfork: %s%s%s:%s %s\n", place, say.colour ? colour : "", kind,
          say.colour ? "\033[0m" : "", clean(safe, sizeof safe, text, 0));
}

#define SENTENCE(kind, colour, place) do { \
    va_list arguments; \
    va_start(arguments, format); \
    sentence(kind, colour, place, format, arguments); \
    va_end(arguments); } while (0)

static const char red[] = "\033[1;31m", yellow[] = "\033[1;33m", plain[] = "\033[1m";

void say_error(const char *format, ...)
{
  say.errors++;
  SENTENCE("error", red, "");
}

void say_no_memory(void)
{
  if (!say.no_memory) say_error("out of memory");
  say.no_memory = 1;
}

int say_memory_was_short(void) { return say.no_memory; }

int say_errors(void) { return say.errors; }

void say_warning(const char *format, ...)
{
  if (!say.quiet) SENTENCE("warning", yellow, "");
}

void say_note(const char *format, ...)
{
  if (!say.quiet) SENTENCE("note", plain, "");
}

void say_did_you_mean(const char *prefix, const char *word)
{
  if (word) say_note("did you mean %s%s?", prefix, word);
}

static void say_at(const char *kind, const char *colour, const char *place, const char *format, ...)
  __attribute__((format(printf, 4, 5)));
static void say_at(const char *kind, const char *colour, const char *place, const char *format, ...)
{
  SENTENCE(kind, colour, place);
}

// The offending line and a caret under the column. Tabs become blanks, so that the caret stands
// right.
static void caret(const struct df_fault *fault)
{
  char line[sizeof fault->source], safe[2*sizeof line];
  snprintf(line, sizeof line, "%s", fault->source);
  for (char *at = line; *at; at++)
    if (*at == '\t') *at = ' ';
  fprintf(stderr, "  %s\n", clean(safe, sizeof safe, line, 0));
  if (fault->caret > 0)
    fprintf(stderr, "  %*s%s^%s\n", fault->caret - 1, "", say.colour ? red : "",
            say.colour ? "\033[0m" : "");
}

static void say_fault(const struct df_fault *fault)
{
  if (!fault->warning) say.errors++;
  char name[160], place[240] = "";
  clean(name, sizeof name, fault->file, 0);
  if (fault->file[0] && fault->line)
    snprintf(place, sizeof place, "%s:%d:%d: ", name, fault->line, fault->column);
  else if (fault->file[0]) snprintf(place, sizeof place, "%s: ", name);
  int key = fault->key[0] != 0;
  say_at(fault->warning ? "warning" : "error", fault->warning ? yellow : red, place, "%s%s%s",
         fault->key, key ? ": " : "", fault->text);
  if (fault->source[0]) caret(fault);
}

void say_faults(const struct df_faults *faults)
{
  for (int i = 0; i < faults->n; i++)
    if (!(say.quiet && faults->at[i].warning)) say_fault(&faults->at[i]);
  if (faults->lost) say_note("%d more faults are not shown", faults->lost);
}

void say_progress(const char *what, long done, long all)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  if (!say.terminal || say.quiet || now.tv_sec - say.start.tv_sec < 1) return;
  fprintf(stderr, "\r\033[K%s: %ld of %ld", what, done, all);
  fflush(stderr);
  say.shown = 1;
}

void say_progress_end(void)
{
  if (!say.shown) return;
  fputs("\r\033[K", stderr);
  say.shown = 0;
}
