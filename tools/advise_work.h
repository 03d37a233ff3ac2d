// One call of advise: what was asked, what came out.
#ifndef DF_TOOLS_ADVISE_WORK_H
#define DF_TOOLS_ADVISE_WORK_H

#include "commands.h"
#include "load.h"

#include "dampfork/advise.h"

enum { CHANGES_MAX = 16 };
struct advise_work {
  struct call *call;
  struct loaded loaded;
  const char *folder;
  struct df_ride_options ride;
  char changes[512];          // --change, taken apart
  const char *key[CHANGES_MAX];
  int key_n;
  struct df_advice advice, other; // with the seed, and with another one
  int other_status;           // enum df_status of the second search
};

// "9.5 N/mm" of one choice.
const char *advise_value(const struct df_choice *choice, int at, char *out, size_t size);

void advise_say(const struct advise_work *w);
void advise_rows(const struct advise_work *w, struct csv *csv);
void advise_json(const struct advise_work *w);
void advise_plot(FILE *stream, const struct advise_work *w); // the set that nothing beats
int advise_write(const struct advise_work *w); // -o; an exit status

#endif
