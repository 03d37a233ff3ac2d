// The option table: one row an option of any command. Parsing, --help, completion and man page are
// made of it.
#ifndef DF_TOOLS_OPTIONS_H
#define DF_TOOLS_OPTIONS_H

enum option_kind { OPTION_FLAG, OPTION_TEXT, OPTION_WORD, OPTION_COUNT, OPTION_NUMBER };

// Groups: the sets of options that several commands share.
enum option_group { GROUP_OWN = 0, GROUP_COMMON = 1, GROUP_PICTURE = 2, GROUP_RIDES = 4 };

enum option_id {
  OPT_SET,
  OPT_OUTPUT,
  OPT_FORMAT,
  OPT_DIGITS,
  OPT_UNITS,
  OPT_QUIET,
  OPT_HELP,
  OPT_VERSION,
  OPT_RENDER,
  OPT_ROADS,
  OPT_USE,
  OPT_LAW,
  OPT_SPREAD,
  OPT_TOLERANCE,
  OPT_METHOD,
  OPT_KERNEL,
  OPT_JOBS,
  OPT_SEED,
  OPT_TYPICAL,
  OPT_PLAIN, // new
  OPT_ALL, // inspect
  OPT_TRAVEL,
  OPT_SPEEDS, // curves
  OPT_STROKE,
  OPT_FREQUENCY,
  OPT_PEAK_SPEEDS, // --speeds of stroke: another meaning than that of curves
  OPT_WITHOUT,
  OPT_RESPONSE, // stroke
  OPT_EVERY, // ride
  OPT_EXPLAIN,
  OPT_MAP, // compare
  OPT_VARY, // sweep
  OPT_SAMPLE,
  OPT_MEASURES,
  OPT_RESUME,
  OPT_PART,
  OPT_GATHER,
  OPT_SENSITIVITY,
  OPT_BLANK, // sheet
  OPT_MEASURED,
  OPT_FREE,
  OPT_LOSS, // fit
  OPT_CHANGE, // advise
  OPT_SLIDE, // report
  OPT_COMPLAINT,
  OPT_OBSERVED,
  OPTIONS
};

struct option_row {
  const char *name;           // long option without dashes
  char letter;                // short option, 0: none
  enum option_kind kind;
  enum option_group group;
  const char *argument;       // as the help writes it; NULL: none
  const char *usual;          // default, as the help writes it, with unit; NULL: none
  const char *const *words;   // OPTION_WORD: NULL-terminated
  double low, high;           // OPTION_COUNT, OPTION_NUMBER: allowed range
  int repeats;                // 1: may be given several times
  const char *meaning;        // one line, without final point
};
extern const struct option_row option_rows[OPTIONS];

enum {
  OPTION_TIMES = 64
}; // how often one option may be repeated; a command line longer than that is a mistake

struct option_value { int n; const char *text[OPTION_TIMES]; };
struct options { struct option_value of[OPTIONS]; };

// The options that a command takes: groups by mask, own ones by id, closed by OPTIONS.
struct option_set { unsigned groups; const enum option_id *own; };
int option_taken(const struct option_set *set, enum option_id id);

// Parse argv[1..] by the set; words that are no options are gathered in rest (at most argc of
// them), their number in rest_n. With first_only, parsing stops at the first such word. Messages
// are printed; returns 0, or exit status 2.
int options_parse(struct options *options, const struct option_set *set, const char *command,
                  int argc, char **argv, int first_only, char **rest, int *rest_n);

// What was given; the last time counts.
int option_given(const struct options *options, enum option_id id);
const char *option_text(const struct options *options, enum option_id id, const char *usual);
double option_number(const struct options *options, enum option_id id, double usual);
int option_word(const struct options *options, enum option_id id, int usual); // index in words

// Name of an option as a person types it, with its argument: "-o, --output DIR".
void option_spelling(const struct option_row *row, char *out, unsigned size);

#endif
