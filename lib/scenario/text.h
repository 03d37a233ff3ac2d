// A text that grows.
#ifndef DF_SCENARIO_TEXT_H
#define DF_SCENARIO_TEXT_H

#include <stddef.h>

struct df_text { char *at; size_t n, room; int failed; };

__attribute__((format(printf, 2, 3)))
void df_text_add(struct df_text *text, const char *format, ...);
char *df_text_done(struct df_text *text); // to be freed; NULL: memory was short

#endif
