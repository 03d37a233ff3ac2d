// new: asks the dozen things that a person can measure and writes a plain scenario and its valved
// twin.
#include "atomic.h"
#include "commands.h"
#include "load.h"
#include "out_text.h"
#include "say.h"
#include "shown.h"

#include "base/param.h"
#include "dampfork/leg.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { ANSWER_MAX = 200, OVERRIDES_MAX = 64 };

// Overrides that the answers turn into, in their order.
struct answers { char text[OVERRIDES_MAX][160]; const char *at[OVERRIDES_MAX]; int n; };

static void answer(struct answers *answers, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
static void answer(struct answers *answers, const char *format, ...)
{
  if (answers->n == OVERRIDES_MAX) return;
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(answers->text[answers->n], sizeof *answers->text, format, arguments);
  va_end(arguments);
  answers->at[answers->n] = answers->text[answers->n];
  answers->n++;
}

struct asking {
  struct call *call;
  const char *name;           // of the scenario
  struct df_reading *typical; // where usual values, rows and units come from
  struct answers answers;
  int ended;                  // standard input has ended: the rest is typical
  int quiet;                  // ask nothing
};

struct question {
  const char *key;            // row that tells how to measure, and whose --set answers beforehand
  const char *text;
  int (*take)(struct asking *asking, const struct question *question,
              const char *text); // 1: understood
  void (*usual)(const struct asking *asking, const struct question *question, char *out,
                size_t size);
};

static int value_at(const struct asking *asking, const char *path, struct df_value *value)
{
  int i = df_reading_find(asking->typical, path);
  if (i >= 0) df_reading_value(asking->typical, i, value);
  return i >= 0;
}

static void usual_value(const struct asking *asking, const struct question *question, char *out,
                        size_t size)
{
  struct df_value value;
  *out = 0;
  if (!value_at(asking, question->key, &value)) return;
  if (value.word) snprintf(out, size, "%s", value.word);
  else snprintf(out, size, "%.6g %s", value.in_unit, value.unit);
}

// Read a quantity by the row of a key; what is wrong is said.
static int quantity(struct asking *asking, const char *path, const char *text, double *si)
{
  struct df_value value;
  struct df_faults faults = {0};
  if (!value_at(asking, path, &value)) return 0;
  char with_unit[ANSWER_MAX + 32];
  int bare = strspn(text, "0123456789. ") == strlen(text); // the unit in brackets was meant
  snprintf(with_unit, sizeof with_unit, "%s%s%s", text, bare ? " " : "", bare ? value.unit : "");
  enum df_status status = df_quantity_parse(units_get(), value.row, path, with_unit, si, &faults);
  for (int i = 0; i < faults.n; i++) printf("      %s\n", faults.at[i].text);
  return !status;
}

static int take_quantity(struct asking *asking, const struct question *question, const char *text)
{
  double si;
  struct df_value value;
  if (!quantity(asking, question->key, text, &si) || !value_at(asking, question->key, &value))
    return 0;
  int bare = strspn(text, "0123456789. ") == strlen(text);
  answer(&asking->answers, "%s=%s%s%s", question->key, text, bare ? " " : "",
         bare ? value.unit : "");
  return 1;
}

static int take_word(struct asking *asking, const struct question *question, const char *text)
{
  struct df_value value;
  if (!value_at(asking, question->key, &value)) return 0;
  for (int i = 0; value.row->words && value.row->words[i]; i++) {
    if (strcmp(value.row->words[i], text)) continue;
    answer(&asking->answers, "%s=%s", question->key, text);
    return 1;
  }
  printf("      one of:");
  for (int i = 0; value.row->words && value.row->words[i]; i++) printf(" %s", value.row->words[i]);
  putchar('\n');
  return 0;
}

// Holes: "2 x 6 mm", "2 x 3.5 mm at 18 mm", several groups joined by +.
static const char *trimmed(char *text)
{
  while (isspace((unsigned char)*text)) text++;
  for (size_t n = strlen(text); n && isspace((unsigned char)text[n - 1]);) text[--n] = 0;
  return text;
}

static int take_group(struct asking *asking, const char *list, const char *place, char *text,
                      char *out, size_t size)
{
  int count, used = 0;
  double si;
  char path[96], diameter[ANSWER_MAX], at[ANSWER_MAX] = "";
  if (sscanf(text, " %d x %n", &count, &used) != 1 || !used || count < 1 || count > 40) {
    puts("      write them as in 2 x 6 mm, or 2 x 6 mm at 18 mm");
    return 0;
  }
  snprintf(diameter, sizeof diameter, "%s", text + used);
  char *where = strstr(diameter, " at ");
  if (where) {
    snprintf(at, sizeof at, "%s", where + 4);
    *where = 0;
  }
  snprintf(path, sizeof path, "rod.%s[1].diameter", list);
  if (!quantity(asking, path, trimmed(diameter), &si)) return 0;
  snprintf(out, size, "{count: %d, diameter: %.6g mm", count, 1e3*si);
  if (*at) {
    snprintf(path, sizeof path, "rod.%s[1].%s", list, place);
    if (!quantity(asking, path, trimmed(at), &si)) return 0;
    snprintf(out + strlen(out), size - strlen(out), ", %s: %.6g mm", place, 1e3*si);
  }
  strncat(out, "}", size - strlen(out) - 1);
  return 1;
}

static int take_holes(struct asking *asking, const char *list, const char *place, const char *text)
{
  char copy[ANSWER_MAX], all[120] = "", *rest = NULL;
  snprintf(copy, sizeof copy, "%s", text);
  for (char *group = strtok_r(copy, "+", &rest); group; group = strtok_r(NULL, "+", &rest)) {
    char one[80];
    if (!take_group(asking, list, place, group, one, sizeof one)) return 0;
    if (strlen(all) + strlen(one) + 3 >= sizeof all) {
      puts("      at most two groups of holes here; more can be written into the file");
      return 0;
    }
    if (*all) strcat(all, ", ");
    strcat(all, one);
  }
  answer(&asking->answers, "rod.%s=[%s]", list, all);
  return *all != 0;
}

static int take_compression(struct asking *asking, const struct question *question,
                            const char *text)
{
  (void)question;
  return take_holes(asking, "compression_holes", "height", text);
}

static int take_rebound(struct asking *asking, const struct question *question, const char *text)
{
  (void)question;
  return take_holes(asking, "rebound_holes", "depth", text);
}

static void usual_holes(const struct asking *asking, const struct question *question, char *out,
                        size_t size)
{
  const struct df_rod_holes *holes = &df_reading_scenario(asking->typical)->side[0].rod.holes;
  const struct df_hole_list *list = strstr(question->key, "rebound") ? &holes->rebound_holes
                                                                     : &holes->compression_holes;
  snprintf(out, size, "%.0f x %.6g mm", list->n ? list->at[0].count : 0,
           list->n ? 1e3 * list->at[0].diameter : 0);
}

// "150 mm" or "150 mm, spring in": what was in the leg when it was taken.
static int take_level(struct asking *asking, const struct question *question, const char *text)
{
  char copy[ANSWER_MAX], *rest = NULL;
  snprintf(copy, sizeof copy, "%s", text);
  char *level = strtok_r(copy, ",", &rest);
  if (!level || !take_quantity(asking, question, trimmed(level))) return 0;
  for (char *word = strtok_r(NULL, ",", &rest); word; word = strtok_r(NULL, ",", &rest)) {
    char part[16], state[16], more;
    int good = sscanf(word, " %15s %15s %c", part, state, &more) == 2 &&
               (!strcmp(part, "spring") || !strcmp(part, "spacer")) &&
               (!strcmp(state, "in") || !strcmp(state, "out"));
    if (!good) {
      puts("      add how it was taken, as in: 150 mm, spring out, spacer out");
      asking->answers.n--;
      return 0;
    }
    answer(&asking->answers, "air.level_taken.%s=%s", part, state);
  }
  return 1;
}

static void usual_level(const struct asking *asking, const struct question *question, char *out,
                        size_t size)
{
  usual_value(asking, question, out, size);
  strncat(out, ", spring out, spacer out", size - strlen(out) - 1);
}

static int mass(const char *text, double *si)
{
  static const struct df_param row = {
      .key = "mass", .form = DF_QUANTITY, .unit = "kg", .usual = NAN, .low = 20, .high = 600};
  struct df_faults faults = {0};
  char with_unit[ANSWER_MAX + 8];
  int bare = strspn(text, "0123456789. ") == strlen(text);
  snprintf(with_unit, sizeof with_unit, "%s%s", text, bare ? " kg" : "");
  enum df_status status = df_quantity_parse(units_get(), &row, "mass", with_unit, si, &faults);
  for (int i = 0; i < faults.n; i++) printf("      %s\n", faults.at[i].text);
  return !status;
}

// "200 kg, 98 kg": the whole bike, and what the front scale shows of it.
static int take_bike(struct asking *asking, const struct question *question, const char *text)
{
  (void)question;
  char copy[ANSWER_MAX], *rest = NULL;
  double all, front;
  snprintf(copy, sizeof copy, "%s", text);
  char *first = strtok_r(copy, ",", &rest), *second = strtok_r(NULL, ",", &rest);
  if (!first || !second) {
    puts(
        "      two figures, as in 200 kg, 98 kg: the whole bike, and the front wheel on the scale");
    return 0;
  }
  if (!mass(trimmed(first), &all) || !mass(trimmed(second), &front)) return 0;
  if (!(front < all)) {
    puts("      the front wheel carries less than the whole bike");
    return 0;
  }
  answer(&asking->answers, "bike.wet_mass=%.6g kg", all);
  answer(&asking->answers, "bike.front_share=%.4g %%", 100*front/all);
  return 1;
}

static void usual_bike(const struct asking *asking, const struct question *question, char *out,
                       size_t size)
{
  (void)question;
  const struct df_bike *bike = &df_reading_scenario(asking->typical)->bike;
  snprintf(out, size, "%.6g kg, %.3g kg", bike->wet_mass, bike->wet_mass*bike->front_share);
}

static const struct question questions[] = {
    {"leg.tube_outside", "Tube outside diameter", take_quantity, usual_value},
    {"leg.travel", "Travel, spring out, top to bottom", take_quantity, usual_value},
    {"rod.compression_holes[1].diameter", "Compression holes of the rod", take_compression,
     usual_holes},
    {"rod.rebound_holes[1].diameter", "Rebound holes of the rod", take_rebound, usual_holes},
    {"leg.rod_outside", "Rod outside diameter", take_quantity, usual_value},
    {"spring.rate", "Spring rate", take_quantity, usual_value},
    {"spring.preload", "Spring preload", take_quantity, usual_value},
    {"air.oil_level", "Oil level from the rim", take_level, usual_level},
    {"oil.viscosity_40", "Oil viscosity at 40 C", take_quantity, usual_value},
    {"bike.front_share", "Bike alone, and its front wheel", take_bike, usual_bike},
    {"rider.mass", "Rider in riding gear", take_quantity, usual_value},
    {"use", "Use", take_word, usual_value},
};
enum { QUESTIONS = sizeof questions/sizeof *questions };

static void explain(const struct asking *asking, const struct question *question)
{
  struct df_value value;
  if (!value_at(asking, question->key, &value)) return;
  printf("      ");
  paragraph_from(6, 6, "%s", value.row->measure ? value.row->measure : value.row->meaning);
  if (value.row->mistake)
    printf("      "), paragraph_from(6, 6, "Usual mistake: %s", value.row->mistake);
}

// 1: answered beforehand by --set of that key or of something below or above it.
static int set_already(const struct asking *asking, const struct question *question)
{
  const struct option_value *set = &asking->call->options.of[OPT_SET];
  size_t stem = strcspn(question->key, "[");
  for (int i = 0; i < set->n; i++) {
    size_t n = strcspn(set->text[i], "=[");
    if (n <= stem && !strncmp(set->text[i], question->key, n) &&
        (question->key[n] == 0 || question->key[n] == '['))
      return 1;
  }
  return 0;
}

// Returns 0, or the exit status of an interrupt.
static int ask(struct asking *asking, int i)
{
  const struct question *question = &questions[i];
  char usual[80], text[ANSWER_MAX];
  question->usual(asking, question, usual, sizeof usual);
  while (!asking->ended) {
    printf("%2d/%d %-34s [%s] ", i + 1, QUESTIONS, question->text, usual);
    fflush(stdout);
    if (!fgets(text, sizeof text, stdin)) {
      if (stop_signal) return stop_status();
      puts("\nThe input has ended: what was not asked is typical.");
      asking->ended = 1;
      return 0;
    }
    if (!strchr(text, '\n') && !feof(stdin)) {
      for (int c; (c = getchar()) != '\n' && c != EOF;) continue;
      puts("      too long");
      continue;
    }
    const char *said = trimmed(text);
    if (!isatty(STDIN_FILENO)) puts(said); // what a terminal would have shown
    if (!*said) return 0;
    if (!strcmp(said, "?")) explain(asking, question);
    else if (question->take(asking, question, said)) return 0;
  }
  return 0;
}

// Begin from the typical fork of that tube.
static const struct df_typical *typical_fork(double tube)
{
  const struct df_typical *best = &df_typical_forks[0];
  for (int i = 1; i < df_typical_fork_count; i++)
    if (fabs(df_typical_forks[i].tube - tube) < fabs(best->tube - tube))
      best = &df_typical_forks[i];
  return best;
}

static int begin(struct asking *asking, double tube, const char *const *set, int n,
                 struct df_reading **out)
{
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  const struct df_typical *typical = typical_fork(tube);
  struct df_reading_options options = {.set = set, .set_n = n};
  enum df_status status = df_reading_create_text(out, units_get(), asking->name, "", typical->text,
                                                 strlen(typical->text), &options, faults);
  int result = status ? status_exit(asking->name, status, faults) : 0;
  if (!result && faults->n) say_faults(faults);
  free(faults);
  return result;
}

static int tube_of(const struct asking *asking, double *tube)
{
  const char *text = option_text(&asking->call->options, OPT_TYPICAL, NULL);
  *tube = 41;
  if (!text) return 0;
  char *end;
  double number = strtod(text, &end);
  if (end != text && (!*end || !strcmp(end, "mm") || !strcmp(end, " mm")) && number >= 25 &&
      number <= 60) {
    *tube = number;
    return 0;
  }
  say_error(
      "--typical %s: a tube outside diameter in mm is wanted: 35, 37, 41, 43, or another from 25 "
      "to 60",
      text);
  return EXIT_USAGE;
}

static int ask_all(struct asking *asking)
{
  printf("%d questions; Enter takes the value in brackets, ? tells how to measure it.\n",
         QUESTIONS);
  for (int i = 0; i < QUESTIONS; i++) {
    if (set_already(asking, &questions[i])) continue;
    int status = ask(asking, i);
    if (status) return status;
    double si; // the tube leads to other typical values for all that follows
    struct df_value value;
    if (i || !asking->answers.n || !value_at(asking, "leg.tube_outside", &value)) continue;
    const char *given = strchr(asking->answers.text[0], '=') + 1;
    if (!quantity(asking, "leg.tube_outside", given, &si)) continue;
    struct df_reading *typical = NULL;
    if (begin(asking, 1e3*si, asking->answers.at, asking->answers.n, &typical)) continue;
    df_reading_destroy(asking->typical);
    asking->typical = typical;
  }
  return 0;
}

// NAME becomes a file name here: letters, digits, - _ and . inside.
static int name_check(const char *name)
{
  size_t n = strlen(name);
  int good = n > 0 && n <= 60 && isalnum((unsigned char)name[0]);
  for (size_t i = 0; i < n && good; i++)
    good = isalnum((unsigned char)name[i]) || strchr("-_.", name[i]);
  if (good) return 0;
  say_error(
      "new %s: a name of letters, digits, '-' and '_' is wanted; the file is written here as "
      "NAME.yaml",
      name);
  return EXIT_USAGE;
}

// Asked before any question, so that nobody answers for nothing.
static int absent(const char *name, const char *suffix)
{
  char place[100];
  snprintf(place, sizeof place, "%s%s.yaml", name, suffix);
  if (access(place, F_OK)) return 0;
  say_error("%s exists already and is left as it is: choose another name", place);
  return EXIT_OUTPUT;
}

static int write_one(const struct df_reading *reading, FILE *stream, const char *heading)
{
  char *text = df_reading_write(reading, DF_WRITE_ASSUMED);
  if (!text) {
    say_error("out of memory");
    return EXIT_OUTPUT;
  }
  fprintf(
      stream,
      "# %s\n# Values in comments are typical, not measured: take the # away and correct what you "
      "measure.\n%s",
      heading, text);
  free(text);
  return 0;
}

static int twin_of(const struct df_reading *plain, struct df_reading **twin)
{
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  struct df_statics statics;
  enum df_status status = df_statics_of(df_reading_scenario(plain), &statics, faults);
  if (!status) status = df_reading_twin(twin, plain, statics.solids, faults);
  int result = status ? status_exit("valved twin", status, faults) : 0;
  free(faults);
  return result;
}

static void tell(const char *plain, const char *valved, const struct df_reading *reading)
{
  int given, few;
  df_reading_given(reading, &given, &few);
  line("Wrote %s: you gave %d values, %d are typical and marked so", plain, given, few);
  if (*valved) line("Wrote %s: the same fork, rod opened, valve added", valved);
  if (*valved) line("Next: dampfork curves %s %s", valved, plain);
  else line("Next: dampfork inspect %s", plain);
}

static int files_write(struct asking *asking, const struct df_reading *plain)
{
  char name[80], valved[80] = "";
  int with_twin = !option_given(&asking->call->options, OPT_PLAIN);
  snprintf(name, sizeof name, "%s.yaml", asking->name);
  if (with_twin) snprintf(valved, sizeof valved, "%s-valved.yaml", asking->name);
  FILE *first = output_open_new(".", name),
       *second = with_twin && first ? output_open_new(".", valved) : NULL;
  if (!first || (with_twin && !second)) return EXIT_OUTPUT;
  struct df_reading *twin = NULL;
  int status = write_one(plain, first, "Plain damper rod.");
  if (!status && with_twin) status = twin_of(plain, &twin);
  if (!status && with_twin)
    status = write_one(twin, second, "The same fork with its rod opened and a drop-in valve.");
  if (!status) status = output_commit_all();
  if (!status && !option_given(&asking->call->options, OPT_QUIET)) tell(name, valved, plain);
  if (twin) df_reading_destroy(twin);
  return status;
}

static int run(struct asking *asking)
{
  double tube;
  struct df_reading *plain = NULL;
  const struct option_value *set = &asking->call->options.of[OPT_SET];
  int status = tube_of(asking, &tube);
  if (!status && !units_get()) status = EXIT_OUTPUT;
  if (!status) status = begin(asking, tube, set->text, set->n, &asking->typical);
  if (!status && !asking->quiet) status = ask_all(asking);
  if (status) return status;
  for (int i = 0; i < set->n; i++) answer(&asking->answers, "%s", set->text[i]);
  double outside = 1e3*df_reading_scenario(asking->typical)->side[0].leg.tube_outside;
  status = begin(asking, outside, asking->answers.at, asking->answers.n, &plain);
  if (!status) status = files_write(asking, plain);
  if (plain) df_reading_destroy(plain);
  return status;
}

int cmd_new(struct call *call)
{
  struct asking *asking = calloc(1, sizeof *asking);
  if (!asking) return EXIT_OUTPUT;
  asking->call = call;
  char name[80];
  snprintf(name, sizeof name, "%s", call->arguments[0]);
  size_t n = strlen(name);
  if (n > 5 && !strcmp(name + n - 5, ".yaml")) name[n - 5] = 0;
  asking->name = name;
  asking->quiet = option_given(&call->options, OPT_TYPICAL);
  int status = name_check(name);
  if (!status) status = absent(name, "");
  if (!status && !option_given(&call->options, OPT_PLAIN)) status = absent(name, "-valved");
  if (!status) status = run(asking);
  if (asking->typical) df_reading_destroy(asking->typical);
  free(asking);
  return status;
}
