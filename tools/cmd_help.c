// help: what a word means. Scenario keys, commands, measures, kinds of road, ready roads and
// complaints, each from its table.
#include "commands.h"
#include "complaints.h"
#include "influence.h"
#include "load.h"
#include "nearest.h"
#include "out_text.h"
#include "say.h"

#include "base/table.h"
#include "dampfork/measure.h"
#include "dampfork/road.h"
#include "scenario/params.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

// The dotted path without list and name marks: "rod.opened.compression_holes[].height" and with
// them are both accepted.
static int same_key(const char *path, const char *word)
{
  for (;;) {
    if (*path == '[' || *path == ']') path++;
    else if (*word == '[' || *word == ']' || (*word >= '0' && *word <= '9' && (word[1] == ']')))
      word++;
    else if (*path != *word) return 0;
    else if (!*path) return 1;
    else path++, word++;
  }
}

struct search {
  const char *word;
  const struct df_param *found;
  char path[DF_KEY_MAX];
  int least;
  const char *nearest[512];
  int n;
};

static int look(const struct df_param *row, const char *path, void *arg)
{
  struct search *search = arg;
  if (search->n < 511) search->nearest[search->n++] = strdup(path);
  size_t stem = strlen(path) > 5 && !strcmp(path + strlen(path) - 5, ".NAME")
                    ? strlen(path) - 5
                    : 0; // "roads" for "roads.NAME"
  int is_stem = stem && strlen(search->word) == stem && !strncmp(path, search->word, stem);
  if (!is_stem && !same_key(path, search->word)) return 0;
  search->found = row;
  snprintf(search->path, sizeof search->path, "%s", path);
  return 1;
}

// "1", words and texts have no unit to show.
static const char *unit_of(const struct df_param *row)
{
  return row->unit && strcmp(row->unit, "1") ? row->unit : "";
}

static void usual_text(const struct df_param *row, char *out, size_t size)
{
  const char *unit = unit_of(row);
  if (row->need == DF_REQUIRED) snprintf(out, size, "must be given");
  else if (row->form == DF_SECTION || row->form == DF_LIST || row->form == DF_NAMED ||
           row->form == DF_NUMBERS)
    *out = 0;
  else if (row->usual_word) snprintf(out, size, "%s unless given", row->usual_word);
  else if (row->usual_rule) snprintf(out, size, "typical: %s", row->usual_rule);
  else if (isfinite(row->usual))
    snprintf(out, size, "typical %.6g%s%s", row->usual, *unit ? " " : "", unit);
  else snprintf(out, size, "absent unless given");
}

static void show_range(const struct df_param *row)
{
  const char *unit = unit_of(row);
  if (row->form != DF_QUANTITY && row->form != DF_COUNT && row->form != DF_NUMBERS) return;
  double low = row->likely_low, high = row->likely_high;
  if (low == 0 && high == 0) low = row->low, high = row->high;
  line("%-12s%.6g to %.6g %s; refused outside %.6g to %.6g%s%s", "Usual range", low, high, unit,
       row->low, row->high, row->or_unit ? "; also in " : "", row->or_unit ? row->or_unit : "");
}

static void show_words(const struct df_param *row)
{
  char list[400] = "";
  for (int i = 0; row->words && row->words[i]; i++) {
    if (i) strncat(list, ", ", sizeof list - strlen(list) - 1);
    strncat(list, row->words[i], sizeof list - strlen(list) - 1);
  }
  if (*list) labelled("Choices", "%s", list);
}

static void show_tubes(const struct df_param *row)
{
  char list[200] = "";
  if (!row->by_tube) return;
  for (int i = 0; i < DF_TUBE_SIZES; i++) {
    char one[48];
    snprintf(one, sizeof one, "%s%.6g mm: %.6g %s", i ? ", " : "", df_tube_sizes[i],
             row->by_tube[i], unit_of(row));
    strncat(list, one, sizeof list - strlen(list) - 1);
  }
  line("%-12s%s", "By tube", list);
}

static void maybe(const char *label, const char *text)
{
  if (text) labelled(label, "%s", text);
}

// Sections with more rows than a screen: names and units only, side by side.
static void show_names(const struct df_section *section)
{
  char list[1500] = "";
  for (int i = 0; i < section->rows; i++) {
    const char *unit = unit_of(&section->row[i]);
    char one[80];
    snprintf(one, sizeof one, "%s%s%s%s", i ? ", " : "", section->row[i].key, *unit ? "\u00a0" : "",
             unit);
    strncat(list, one, sizeof list - strlen(list) - 1);
  }
  labelled("Keys", "%s", list);
}

static void show_section(const struct df_section *section)
{
  if (section->rows > SCREEN_LINES - 7) {
    show_names(section);
    return;
  }
  struct table *table = malloc(sizeof *table);
  if (!table) {
    say_no_memory();
    return;
  }
  table_begin(table, 4, "llll");
  for (int i = 0; i < section->rows; i++) {
    const struct df_param *row = &section->row[i];
    char usual[120];
    usual_text(row, usual, sizeof usual);
    char shown[64];
    clean(shown, sizeof shown, usual, 24);
    table_cell(table, i, 0, "  %s", row->key);
    table_cell(table, i, 1, "%s", row->of ? "..." : unit_of(row));
    table_cell(table, i, 2, "%s", shown);
    table_cell(table, i, 3, "%s", row->meaning ? row->meaning : "");
  }
  table_print(table);
  free(table);
}

// What the value moves most in a scenario, most first.
static void show_influence(const struct loaded *loaded, const struct df_param *row,
                           const char *key)
{
  struct influence moves;
  char number[4][24], list[500] = "";
  if (!influence_of(loaded->reading, key, &moves)) {
    labelled("There", "%s has no such number that could be another", loaded->path);
    return;
  }
  for (int i = 0; i < moves.n && i < 4; i++)
    snprintf(list + strlen(list), sizeof list - strlen(list), "%s%s %s to %s %s", i ? "; " : "",
             moves.moves[i].text, figure(number[0], moves.moves[i].low),
             figure(number[1], moves.moves[i].high), moves.moves[i].unit);
  const char *unit = strcmp(moves.unit, "1") ? moves.unit : "";
  labelled("There", "%s is %s%s%s%s in %s", moves.path, moves.given ? "" : "~",
           figure(number[0], moves.now), *unit ? " " : "", unit, loaded->path);
  labelled("Moves most", "from %s to %s %s (%s): %s", figure(number[2], moves.low),
           figure(number[3], moves.high), unit,
           moves.usual_step ? "a tenth either way"
           : row->measure   ? "as well as it can be measured"
                            : "as well as it is known",
           moves.n ? list : "nothing that is looked at here by more than 0.5 %");
}

static void show_key(const struct df_param *row, const char *path, const char *word,
                     const struct loaded *loaded)
{
  char usual[300];
  usual_text(row, usual, sizeof usual);
  line("%s%s%s%s%s", path, *unit_of(row) ? "   " : "", unit_of(row), *usual ? "   " : "", usual);
  maybe("What", row->meaning);
  show_words(row);
  show_range(row);
  show_tubes(row);
  maybe("Measure", row->measure               ? row->measure
                   : row->form == DF_QUANTITY ? "cannot be measured in a workshop"
                                              : NULL);
  if (row->tolerance_share > 0) line("%-12swithin %.3g %%", "How well", 100*row->tolerance_share);
  else if (row->tolerance > 0)
    line("%-12swithin %.4g %s", "How well", row->tolerance, unit_of(row));
  if (loaded && row->form == DF_QUANTITY) show_influence(loaded, row, word);
  maybe("Mistake", row->mistake);
  maybe("Source", row->source);
  if (row->of) show_section(row->of);
  if (row->of) line("Next: dampfork help %s.%s", path, row->of->rows ? row->of->row[0].key : "KEY");
  else line("Next: dampfork ride SCENARIO --set '%s=VALUE'", path);
}

static int show_measure(const char *word)
{
  int row = df_measure_find(word);
  if (row < 0) return 0;
  const struct df_measure *measure = &df_measures[row];
  static const char *const better[] = {"less is better", "neither more nor less is better",
                                       "more is better"};
  line("%s   %s   %s", measure->name, measure->unit, better[measure->better + 1]);
  maybe("What", measure->meaning);
  maybe("Source", measure->source);
  line("%-12s%s", "Where",
       df_measure_is_static(row) ? "no road: static.NAME in expect"
                                 : "each road: ROAD.NAME in expect, in measures.csv");
  line("Next: dampfork ride SCENARIO prints it for each road");
  return 1;
}

static int show_kind(const char *word)
{
  int row = df_road_kind_find(word);
  if (row < 0) return 0;
  const struct df_road_kind *kind = df_road_kinds[row];
  line("%s   a kind of road, as in {kind: %s, speed: 40 km/h, ...}", kind->name, kind->name);
  if (kind->keys && kind->keys->rows) show_section(kind->keys);
  line("  and for every kind: speed, window, repeat, gap, contact, brake, lean, push, meet");
  maybe("Source", kind->source);
  line("Next: dampfork help roads lists the keys of every kind");
  return 1;
}

static int show_ready(const char *word)
{
  const struct df_ready_road *road = df_ready_road_find(word);
  if (!road) return 0;
  line("%s   a ready road: %s", road->name, road->meaning);
  maybe("As written", road->text);
  maybe("For gravel", road->gravel_text);
  line("Next: dampfork ride SCENARIO --roads %s", road->name);
  return 1;
}

static int show_complaint(const char *word)
{
  for (int i = 0; i < complaint_count; i++) {
    const struct complaint *complaint = &complaints[i];
    if (strcmp(complaint->name, word)) continue;
    line("%s   a rider says: %s", complaint->name, complaint->words);
    line("%-12s%s", "Measured by", complaint->stand_in ? complaint->stand_in : "nothing here");
    maybe("Look first", complaint->look_first);
    maybe("Tell apart", complaint->tells_apart);
    line("Causes that are told apart so are common practice.");
    line("Next: dampfork advise SCENARIO --complaint %s", complaint->name);
    return 1;
  }
  return 0;
}

static int unknown(const char *word, struct search *search)
{
  say_error("nothing is known about '%s': no key, command, measure, road or complaint", word);
  for (int i = 0; i < df_measure_count && search->n < 511; i++)
    search->nearest[search->n++] = strdup(df_measures[i].name);
  for (int i = 0; i < df_road_kind_count && search->n < 511; i++)
    search->nearest[search->n++] = strdup(df_road_kinds[i]->name);
  for (int i = 0; i < complaint_count && search->n < 511; i++)
    search->nearest[search->n++] = strdup(complaints[i].name);
  const char *near = nearest_word(word, search->nearest);
  say_did_you_mean("dampfork help ", near);
  return EXIT_USAGE;
}

// With a scenario, what the key moves there stands in the answer.
static int key_answer(const struct call *call, const struct search *search)
{
  struct loaded loaded = {0};
  int status = call->argument_n > 1 ? load(call, call->arguments[1], &loaded) : 0;
  if (!status) show_key(search->found, search->path, search->word, call->argument_n > 1 ? &loaded : NULL);
  load_finish(&loaded);
  return status;
}

int cmd_help(struct call *call)
{
  if (!call->argument_n) {
    help_overview();
    return EXIT_DONE;
  }
  const char *word = call->arguments[0];
  const struct command *command = command_find(word);
  if (command) {
    help_command(command);
    return EXIT_DONE;
  }
  struct search *search = calloc(1, sizeof *search);
  if (!search) return EXIT_OUTPUT;
  search->word = word;
  int status = EXIT_DONE;
  if (df_section_walk(&df_scenario_section, "", look, search))
    status = key_answer(call, search);
  else if (!show_measure(word) && !show_kind(word) && !show_ready(word) && !show_complaint(word))
    status = unknown(word, search);
  for (int i = 0; i < search->n; i++) free((char *)search->nearest[i]);
  free(search);
  return status;
}
