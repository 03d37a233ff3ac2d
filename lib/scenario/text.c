// Doubling room; a failure is remembered and told at the end.
#include "scenario/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

static int make_room(struct df_text *text, size_t more)
{
  size_t room = text->room ? text->room : 1024;
  while (room - text->n <= more) room *= 2;
  if (room == text->room) return 1;
  char *at = realloc(text->at, room);
  if (!at) return text->failed = 1, 0;
  text->at = at;
  text->room = room;
  return 1;
}

void df_text_add(struct df_text *text, const char *format, ...)
{
  va_list arguments, again;
  if (text->failed) return;
  va_start(arguments, format);
  va_copy(again, arguments);
  int length = vsnprintf(NULL, 0, format, arguments);
  if (length >= 0 && make_room(text, (size_t)length + 1)) {
    vsnprintf(text->at + text->n, (size_t)length + 1, format, again);
    text->n += (size_t)length;
  }
  va_end(again);
  va_end(arguments);
}

char *df_text_done(struct df_text *text)
{
  if (!text->at && !text->failed) make_room(text, 1);
  if (text->failed) {
    free(text->at);
    return NULL;
  }
  text->at[text->n] = 0;
  return text->at;
}
