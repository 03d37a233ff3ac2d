// The option table and its parsing.
#include "options.h"

#include "nearest.h"
#include "say.h"

#include <errno.h>
#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *const format_words[] = {"text", "csv", "json", NULL};
static const char *const render_words[] = {"svg", "png", "pdf", "term", NULL};
static const char *const use_words[] = {"commuting", "touring", "brisk_road", "gravel", NULL};
static const char *const loss_words[] = {"squares", "huber", "cauchy", NULL};
static const char *const sensitivity_words[] = {"one", "total", NULL};
static const char *const law_words[] = {"two_term", "handbook", "lichtarowicz", "all", NULL};

const struct option_row option_rows[OPTIONS] = {
    [OPT_SET] = {"set", 0, OPTION_TEXT, GROUP_COMMON, "KEY=VALUE", NULL, NULL, 0, 0, 1,
                 "use another value, as in 'valve.preload=2 turn'; none removes"},
    [OPT_OUTPUT] = {"output", 'o', OPTION_TEXT, GROUP_COMMON, "DIR", NULL, NULL, 0, 0, 0,
                    "write the files there; without it nothing is written"},
    [OPT_FORMAT] = {"format", 0, OPTION_WORD, GROUP_COMMON, "text|csv|json", "text", format_words,
                    0, 0, 0, "form of the answer on standard output"},
    [OPT_DIGITS] = {"digits", 0, OPTION_COUNT, GROUP_COMMON, "N", "9", NULL, 1, 17, 0,
                    "significant digits in CSV and JSON"},
    [OPT_UNITS] = {"units", 0, OPTION_TEXT, GROUP_COMMON, "KIND=UNIT,...", NULL, NULL, 0, 0, 1,
                   "units on the screen, as in force=kgf,length=in"},
    [OPT_QUIET] = {"quiet", 0, OPTION_FLAG, GROUP_COMMON, NULL, NULL, NULL, 0, 0, 0,
                   "no answer on the terminal, no warnings; errors and the exit status stay"},
    [OPT_HELP] = {"help", 'h', OPTION_FLAG, GROUP_COMMON, NULL, NULL, NULL, 0, 0, 0, "this page"},
    [OPT_VERSION] = {"version", 0, OPTION_FLAG, GROUP_COMMON, NULL, NULL, NULL, 0, 0, 0,
                     "version and licence"},

    [OPT_RENDER] = {"render", 0, OPTION_WORD, GROUP_PICTURE, "svg|png|pdf|term", NULL, render_words,
                    0, 0, 0, "let gnuplot draw what was written; term draws here and needs no -o"},

    [OPT_ROADS] = {"roads", 0, OPTION_TEXT, GROUP_RIDES, "NAME,...", "those of the scenario", NULL,
                   0, 0, 0, "only these roads, its own or ready ones"},
    [OPT_USE] = {"use", 0, OPTION_WORD, GROUP_RIDES, "WORD", "that of the scenario", use_words, 0,
                 0, 0, "commuting, touring, brisk_road or gravel: roads and targets"},
    [OPT_LAW] = {"law", 0, OPTION_WORD, GROUP_RIDES, "WORD", "that of the scenario", law_words, 0,
                 0, 0, "law of the holes: two_term, handbook, lichtarowicz, or all"},
    [OPT_SPREAD] = {"spread", 0, OPTION_COUNT, GROUP_RIDES, "N", "0", NULL, 0, 100000, 0,
                    "repeat with N samples of what was assumed, for error bands"},
    [OPT_TOLERANCE] = {"tolerance", 0, OPTION_NUMBER, GROUP_RIDES, "X", "1e-4", NULL, 1e-10, 3e-3,
                       0, "relative tolerance of the time steps"},
    [OPT_METHOD] = {"method", 0, OPTION_TEXT, GROUP_RIDES, "WORD", "that of the scenario", NULL, 0,
                    0, 0, "time stepper"},
    [OPT_KERNEL] = {"kernel", 0, OPTION_TEXT, GROUP_RIDES, "NAME", "the machine's best", NULL, 0, 0,
                    0, "instruction set of the batch kernel"},
    [OPT_JOBS] = {"jobs", 0, OPTION_COUNT, GROUP_RIDES, "N", "all cores", NULL, 1, 1024, 0,
                  "threads"},
    [OPT_SEED] = {"seed", 0, OPTION_COUNT, GROUP_RIDES, "N", "1", NULL, 0, 4294967295.0, 0,
                  "seed of the samples"},

    [OPT_TYPICAL] = {"typical", 0, OPTION_TEXT, GROUP_OWN, "TUBE", NULL, NULL, 0, 0, 0,
                     "ask nothing: a typical fork of this tube outside diameter, mm"},
    [OPT_PLAIN] = {"plain", 0, OPTION_FLAG, GROUP_OWN, NULL, NULL, NULL, 0, 0, 0,
                   "write the plain scenario only, not its valved twin"},
    [OPT_ALL] = {"all", 0, OPTION_FLAG, GROUP_OWN, NULL, NULL, NULL, 0, 0, 0,
                 "every value: as given, in SI units, and what follows from it"},
    [OPT_TRAVEL] = {"travel", 0, OPTION_TEXT, GROUP_OWN, "X", "half the travel", NULL, 0, 0, 0,
                    "travel at which the forces are taken, as in '40 mm'"},
    [OPT_SPEEDS] = {"speeds", 0, OPTION_TEXT, GROUP_OWN, "A:B:STEP", "-3:3:0.02 and finer near 0",
                    NULL, 0, 0, 0, "fork speeds, m/s, compression positive"},
    [OPT_STROKE] = {"stroke", 0, OPTION_TEXT, GROUP_OWN, "X", "50 mm", NULL, 0, 0, 0,
                    "from end to end, as in '38.1 mm'; with --response 10 mm"},
    [OPT_FREQUENCY] = {"frequency", 0, OPTION_TEXT, GROUP_OWN, "F", NULL, NULL, 0, 0, 0,
                       "cycles a second, as in '2 Hz'; one run"},
    [OPT_PEAK_SPEEDS] = {"speeds", 0, OPTION_TEXT, GROUP_OWN, "V,...", "0.13,0.26,0.52,1.04",
                         NULL, 0, 0, 0, "greatest fork speeds, m/s; a run each"},
    [OPT_WITHOUT] = {"without", 0, OPTION_TEXT, GROUP_OWN, "PART,...", NULL, NULL, 0, 0, 0,
                     "friction, air, spring: taken out of the force"},
    [OPT_RESPONSE] = {"response", 0, OPTION_FLAG, GROUP_OWN, NULL, NULL, NULL, 0, 0, 0,
                      "gain and phase of the force over travel, 0.1 to 20 Hz"},
    [OPT_EVERY] = {"every", 0, OPTION_TEXT, GROUP_OWN, "DT", "1 ms", NULL, 0, 0, 0,
                   "spacing of the rows in ride-ROAD.csv"},
    [OPT_EXPLAIN] = {"explain", 0, OPTION_TEXT, GROUP_OWN, "ROAD.MEASURE", NULL, NULL, 0, 0, 0,
                     "what each changed value brings to this measure"},
    [OPT_MAP] = {"map", 0, OPTION_FLAG, GROUP_OWN, NULL, NULL, NULL, 0, 0, 0,
                 "where edges come through worse or better: edge height against road speed"},
    [OPT_VARY] = {"vary", 0, OPTION_TEXT, GROUP_OWN, "KEY=FIRST:LAST:STEP UNIT", NULL, NULL, 0, 0,
                  1, "ride with all these values; or KEY=A,B,... UNIT; several make a grid"},
    [OPT_SAMPLE] = {"sample", 0, OPTION_COUNT, GROUP_OWN, "N", NULL, NULL, 1, 10000000, 0,
                    "N settings spread evenly between the ends, instead of a grid"},
    [OPT_MEASURES] = {"measures", 0, OPTION_TEXT, GROUP_OWN, "ROAD.MEASURE,...",
                      "one for each road", NULL, 0, 0, 0, "what is looked at"},
    [OPT_RESUME] = {"resume", 0, OPTION_FLAG, GROUP_OWN, NULL, NULL, NULL, 0, 0, 0,
                    "go on with the rows that stand in DIR already"},
    [OPT_PART] = {"part", 0, OPTION_TEXT, GROUP_OWN, "K/N", NULL, NULL, 0, 0, 0,
                  "only part K of N, for several machines"},
    [OPT_GATHER] = {"gather", 0, OPTION_TEXT, GROUP_OWN, "DIR...", NULL, NULL, 0, 0, 1,
                    "put the parts in these folders together"},
    [OPT_SENSITIVITY] = {"sensitivity", 0, OPTION_WORD, GROUP_OWN, "one|total", NULL,
                         sensitivity_words, 0, 0, 0,
                         "what each value is worth: one at a time, or its share of all"},
    [OPT_BLANK] = {"blank", 0, OPTION_FLAG, GROUP_OWN, NULL, NULL, NULL, 0, 0, 0,
                   "the form to fill in before the job, while nothing is known"},
    [OPT_MEASURED] = {"measured", 0, OPTION_TEXT, GROUP_OWN, "FILE", NULL, NULL, 0, 0, 1,
                      "what was measured on the bike or bench, a CSV file"},
    [OPT_FREE] = {"free", 0, OPTION_TEXT, GROUP_OWN, "KEY,...", "those that the data show", NULL, 0,
                  0, 0, "learn these values"},
    [OPT_LOSS] = {"loss", 0, OPTION_WORD, GROUP_OWN, "squares|huber|cauchy", "huber", loss_words, 0,
                  0, 0, "how much a reading far off counts: fully, less, hardly"},
    [OPT_CHANGE] = {"change", 0, OPTION_TEXT, GROUP_OWN, "KEY,...",
                    "valve.preload, spring.rate, spring.preload, air.oil_level", NULL, 0, 0, 0,
                    "only these may change; oil and holes never do unless named"},
    [OPT_SLIDE] = {"slide", 0, OPTION_TEXT, GROUP_OWN, "KEY=FIRST:LAST:STEP UNIT",
                   "valve.preload in quarter turns", NULL, 0, 0, 0,
                   "a slider over these settings, each ridden beforehand"},
    [OPT_COMPLAINT] = {"complaint", 0, OPTION_TEXT, GROUP_OWN, "NAME", NULL, NULL, 0, 0, 0,
                       "what the rider said, by its name: dives-too-far, kicks, bounces, ..."},
    [OPT_OBSERVED] = {"observed", 0, OPTION_TEXT, GROUP_OWN, "NAME=VALUE", NULL, NULL, 0, 0, 1,
                      "what was read off after the ride: o_ring_held, sag_from_below, ..."},
};

int option_taken(const struct option_set *set, enum option_id id)
{
  if (option_rows[id].group & set->groups) return 1;
  for (const enum option_id *own = set->own; own && *own != OPTIONS; own++)
    if (*own == id) return 1;
  return 0;
}

void option_spelling(const struct option_row *row, char *out, unsigned size)
{
  char letter[8] = "";
  if (row->letter) snprintf(letter, sizeof letter, "-%c, ", row->letter);
  snprintf(out, size, "%s--%s%s%s", letter, row->name, row->argument ? " " : "",
           row->argument ? row->argument : "");
}

int option_given(const struct options *options, enum option_id id)
{
  return options->of[id].n > 0;
}

const char *option_text(const struct options *options, enum option_id id, const char *usual)
{
  const struct option_value *value = &options->of[id];
  return value->n ? value->text[value->n - 1] : usual;
}

double option_number(const struct options *options, enum option_id id, double usual)
{
  const char *text = option_text(options, id, NULL);
  return text ? strtod(text, NULL) : usual;
}

int option_word(const struct options *options, enum option_id id, int usual)
{
  const char *text = option_text(options, id, NULL);
  for (int i = 0; text && option_rows[id].words[i]; i++)
    if (!strcmp(text, option_rows[id].words[i])) return i;
  return usual;
}

// Print the words a closed choice allows, with the nearest as a question.
static int bad_word(const struct option_row *row, const char *text)
{
  char list[160] = "";
  for (int i = 0; row->words[i]; i++) {
    strncat(list, i ? ", " : "", sizeof list - strlen(list) - 1);
    strncat(list, row->words[i], sizeof list - strlen(list) - 1);
  }
  say_error("--%s %s: allowed: %s", row->name, text, list);
  say_did_you_mean("", nearest_word(text, row->words));
  return 2;
}

static int bad_number(const struct option_row *row, const char *text)
{
  const char *what = row->kind == OPTION_COUNT ? "a whole number" : "a number";
  say_error("--%s %s: %s from %.10g to %.10g is wanted", row->name, text, what, row->low,
            row->high);
  return 2;
}

// Check one value by the kind of its row. Returns 0 or 2.
static int value_check(const struct option_row *row, const char *text)
{
  if (row->kind == OPTION_WORD) {
    for (int i = 0; row->words[i]; i++)
      if (!strcmp(text, row->words[i])) return 0;
    return bad_word(row, text);
  }
  if (row->kind == OPTION_TEXT && !*text) {
    say_error("--%s: %s is empty", row->name, row->argument);
    return 2;
  }
  if (row->kind != OPTION_COUNT && row->kind != OPTION_NUMBER) return 0;
  char *end;
  errno = 0;
  double number = strtod(text, &end);
  int plain = strspn(text, row->kind == OPTION_COUNT ? "0123456789" : "0123456789.eE+-") ==
              strlen(text);
  if (!plain || end == text || *end || errno || number < row->low || number > row->high)
    return bad_number(row, text);
  return 0;
}

static int value_keep(struct options *options, enum option_id id, const char *text)
{
  const struct option_row *row = &option_rows[id];
  struct option_value *value = &options->of[id];
  if (row->kind != OPTION_FLAG) {
    int status = value_check(row, text);
    if (status) return status;
  }
  if (!row->repeats) value->n = 0;
  if (value->n == OPTION_TIMES) {
    say_error("--%s: at most %d times", row->name, OPTION_TIMES);
    return 2;
  }
  value->text[value->n++] = text ? text : "";
  return 0;
}

// The nearest long option of the set, with dashes; NULL when nothing is near.
static const char *nearest_option(const struct option_set *set, const char *word)
{
  const char *names[OPTIONS + 1];
  int n = 0;
  for (int id = 0; id < OPTIONS; id++)
    if (option_taken(set, id)) names[n++] = option_rows[id].name;
  names[n] = NULL;
  return nearest_word(word, names);
}

// An option that getopt did not know: say so, and where to look.
static int unknown_option(const struct option_set *set, const char *command, const char *word,
                          int letter)
{
  const char *blank = command ? " " : "";
  if (!command) command = "";
  if (letter) say_error("unknown option -%c", letter);
  else {
    char name[64];
    snprintf(name, sizeof name, "%.*s", (int)strcspn(word + 2, "="), word + 2);
    int elsewhere = 0;
    for (int id = 0; id < OPTIONS && !elsewhere; id++)
      elsewhere = !strcmp(option_rows[id].name, name);
    if (elsewhere && *command) say_error("%s takes no option --%s", command, name);
    else say_error("unknown option --%s", name);
    if (!elsewhere) say_did_you_mean("--", nearest_option(set, name));
  }
  say_note("dampfork %s%s--help lists the options", command, blank);
  return 2;
}

// Fill getopt's tables from ours. Values of `val` are 256 + id.
static void tables_fill(const struct option_set *set, struct option *longs, char *shorts)
{
  for (int id = 0; id < OPTIONS; id++) {
    const struct option_row *row = &option_rows[id];
    if (!option_taken(set, id)) continue;
    int takes = row->kind != OPTION_FLAG;
    *longs++ = (struct option){row->name, takes ? required_argument : no_argument, NULL, 256 + id};
    if (!row->letter) continue;
    *shorts++ = row->letter;
    if (takes) *shorts++ = ':';
  }
  *longs = (struct option){0};
  *shorts = 0;
}

static int id_of_letter(int letter)
{
  for (int id = 0; id < OPTIONS; id++)
    if (option_rows[id].letter == letter) return id;
  return OPTIONS;
}

// What stands at the place where getopt stopped: its own record of it, or the word before optind.
static int option_refuse(const struct option_set *set, const char *command, int code, char **argv)
{
  const char *word = argv[optind - 1];
  if (code == ':') {
    if (optopt >= 256)
      say_error("--%s needs a value: %s", option_rows[optopt - 256].name,
                option_rows[optopt - 256].argument);
    else say_error("-%c needs a value: %s", optopt, option_rows[id_of_letter(optopt)].argument);
    return 2;
  }
  if (optopt >= 256) {
    say_error("--%s takes no value", option_rows[optopt - 256].name);
    return 2;
  }
  return unknown_option(set, command, word, optopt);
}

int options_parse(struct options *options, const struct option_set *set, const char *command,
                  int argc, char **argv, int first_only, char **rest, int *rest_n)
{
  struct option longs[OPTIONS + 1];
  char shorts[3 + 2*OPTIONS];
  strcpy(shorts, first_only ? "+:" : ":");
  tables_fill(set, longs, shorts + strlen(shorts));
  opterr = 0;
  optind = 0; // 0 makes glibc start afresh
  int code, status = 0;
  while (!status && (code = getopt_long(argc, argv, shorts, longs, NULL)) != -1) {
    if (code == '?' || code == ':') status = option_refuse(set, command, code, argv);
    else status = value_keep(options, code >= 256 ? code - 256 : id_of_letter(code), optarg);
  }
  *rest_n = 0;
  for (int i = optind; !status && i < argc; i++) rest[(*rest_n)++] = argv[i];
  return status;
}
