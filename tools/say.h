// Messages on standard error, in one form: "dampfork: file:line:col: error: text", then the line
// and a caret.
#ifndef DF_TOOLS_SAY_H
#define DF_TOOLS_SAY_H

#include "dampfork/status.h"

#include <stddef.h>

// Decide on colour once: only on a terminal, never with NO_COLOR or TERM=dumb.
void say_start(void);
void say_be_quiet(void); // warnings and notes are kept back, errors never

void say_error(const char *format, ...) __attribute__((format(printf, 1, 2)));
// Memory was short: said once. What was found without it must not pass for a whole answer: files are
// not put in place, and the exit status is 5.
void say_no_memory(void);
int say_memory_was_short(void);
int say_errors(void); // how many have been said
void say_warning(const char *format, ...) __attribute__((format(printf, 1, 2)));
void say_note(const char *format, ...) __attribute__((format(printf, 1, 2)));
void say_did_you_mean(const char *prefix, const char *word); // nothing when word is NULL

// Every fault of an input, then their number.
void say_faults(const struct df_faults *faults);

// Progress on a terminal, once the work has passed a second; cleared at the end.
void say_progress(const char *what, long done, long all);
void say_progress_end(void);

// Copy text so that it cannot steer a terminal: control characters, broken UTF-8 and signs that
// turn the direction of writing become '?'. At most `columns` characters are kept (0: all), a cut
// is shown by "...". Returns out.
const char *clean(char *out, size_t size, const char *text, int columns);

// The same for a name, cut before its last two fifths: names that begin alike end apart. columns >= 8
const char *clean_name(char *out, size_t size, const char *text, int columns);

// Bytes of the well-formed UTF-8 character at text, its code point in *point; 0 when it is broken.
int utf8_length(const unsigned char *text, unsigned *point);

// Characters of a UTF-8 text, taken as columns of the screen.
int columns_of(const char *text);

#endif
