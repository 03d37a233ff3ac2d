// Scenarios of a command line: read, checked, their faults printed.
#ifndef DF_TOOLS_LOAD_H
#define DF_TOOLS_LOAD_H

#include "commands.h"
#include "out_csv.h"

#include "dampfork/reader.h"

struct loaded {
  const char *path;           // as the user wrote it
  char name[64]; // file name without folder and ending, harmless for a terminal: headings, columns,
                 // pictures
  char hash[13];              // 12 hex digits over every resolved value
  struct df_reading *reading;
  const struct df_scenario *scenario;
};

// Read one scenario with the call's --set, --use and --law. All faults are printed. Returns 0 or an
// exit status.
int load(const struct call *call, const char *path, struct loaded *loaded);
void load_finish(struct loaded *loaded);

// The name of a scenario's file without folder and ending, its middle left out where it is wider than so many columns.
void load_name(const char *path, int columns, char *out, size_t size);

// Exit status that belongs to a library status, after its faults, or else the status itself, were
// printed.
int status_exit(const char *name, enum df_status status, const struct df_faults *faults);

// Head lines that every CSV shares: version, GSL, format, then each scenario and its hash, and what
// was set.
void head_csv(const struct call *call, const struct loaded *loaded, int n, struct csv *csv);

#endif
