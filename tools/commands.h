// The command table: one row a command, each in a file cmd_NAME.c of its own.
#ifndef DF_TOOLS_COMMANDS_H
#define DF_TOOLS_COMMANDS_H

#include "options.h"

#include <signal.h>

// Exit statuses. Lower-numbered trouble never hides a higher one: see call_worse().
enum exit_status {
  EXIT_DONE = 0,
  EXIT_CHECK_SAID_NO = 1, // done, but an expectation did not hold, a row or a set-up was refused
  EXIT_USAGE = 2, // wrong command line
  EXIT_INPUT = 3, // wrong input file
  EXIT_MODEL = 4, // the model could not be solved, or a run ended early
  EXIT_OUTPUT = 5, // output could not be written, or gnuplot failed
  EXIT_INTERRUPTED = 130,
  EXIT_TERMINATED = 143
};

struct command;

// One call of one command: what the command line said.
struct call {
  const struct command *command;
  struct options options;
  char **arguments;           // words that are no options
  int argument_n;
  int digits;                 // --digits
  int format;                 // enum call_format
};
enum call_format { FORMAT_TEXT, FORMAT_CSV, FORMAT_JSON };

struct command {
  const char *name;
  const char *takes;          // as the usage line writes it; "" when nothing
  int least, most;            // number of arguments; most -1: any
  const char *purpose;        // one line, what question it answers
  struct option_set options;
  int (*run)(struct call *call); // returns an exit status
  const char *examples[3];
};
extern const struct command commands[];
extern const int command_count;

// The row of a name, NULL when there is none.
const struct command *command_find(const char *name);
const char *command_nearest(const char *name);

// Signal that asked for an end: 0, SIGINT or SIGTERM. Long work looks at it between its parts.
extern volatile sig_atomic_t stop_signal;
int stop_status(void);        // exit status of that signal, 0 when none came

int cmd_advise(struct call *call);
int cmd_compare(struct call *call);
int cmd_curves(struct call *call);
int cmd_fit(struct call *call);
int cmd_help(struct call *call);
int cmd_inspect(struct call *call);
int cmd_new(struct call *call);
int cmd_report(struct call *call);
int cmd_ride(struct call *call);
int cmd_sheet(struct call *call);
int cmd_stroke(struct call *call);
int cmd_sweep(struct call *call);

// Pages of help.c.
void help_usage(void);                             // five lines on standard error
void help_overview(void);                          // one screen on standard output
void help_command(const struct command *command);  // one screen on standard output
extern const char *const exit_status_lines[];      // NULL-terminated, "0    done"

#endif
