// Usage, overview and the help page of a command, all from the two tables.
#include "commands.h"
#include "say.h"
#include "version.h"

#include <stdio.h>
#include <string.h>

const char *const exit_status_lines[] = {
  "0  done, nothing amiss",
  "1  done, but a check said no (an expectation, a refused row or set-up)",
  "2  wrong command line",
  "3  wrong input file",
  "4  the model could not be solved, or a run ended early",
  "5  output could not be written, or gnuplot failed",
  "130, 143  interrupted, terminated",
  NULL
};

void help_usage(void)
{
  fputs(
      "dampfork: what a fork damped by a plain rod does on the road, and what a drop-in valve "
      "changes\n"
      "usage: dampfork COMMAND [SCENARIO...] [OPTIONS]\n",
      stderr);
  char line[100] = "commands:";
  for (int i = 0; i < command_count; i++) {
    strncat(line, " ", sizeof line - strlen(line) - 1);
    strncat(line, commands[i].name, sizeof line - strlen(line) - 1);
  }
  fprintf(stderr, "%s\n", line);
  fputs("first: dampfork new bike, or dampfork inspect bike.yaml\n"
        "more:  dampfork --help, dampfork COMMAND --help, dampfork help KEY\n", stderr);
}

void help_overview(void)
{
  puts("dampfork " DAMPFORK_VERSION
       ": what a fork damped by a plain rod does on the road, and what a drop-in valve changes\n"
       "usage: dampfork COMMAND [SCENARIO...] [OPTIONS]");
  for (int i = 0; i < command_count; i++)
    printf("  %-8s %s\n", commands[i].name, commands[i].purpose);
  puts(
      "A scenario is a YAML file that describes bike, rider and fork: dampfork new NAME writes "
      "one.\n"
      "Examples:\n"
      "  dampfork inspect bike.yaml\n"
      "  dampfork curves bike-valved.yaml bike.yaml -o out --render png\n"
      "  dampfork ride bike-valved.yaml --set 'valve.preload=2 turn'\n"
      "Exit: 0 done, 1 a check said no, 2 command line, 3 input, 4 model, 5 output, 130 "
      "interrupted\n"
      "More: dampfork COMMAND --help, dampfork help KEY");
}

static int column; // of the line being filled by flow()

// Print words one after the other, breaking the line before column 100.
static void flow(const char *text, int indent)
{
  int width = columns_of(text);
  if (column && column + 2 + width > 98) putchar('\n'), column = 0;
  if (!column) printf("%*s", indent, ""), column = indent;
  else fputs("  ", stdout), column += 2;
  fputs(text, stdout);
  column += width;
}

static void own_options(const struct command *command)
{
  for (const enum option_id *id = command->options.own; *id != OPTIONS; id++) {
    const struct option_row *row = &option_rows[*id];
    char spelling[64], usual[64] = "";
    option_spelling(row, spelling, sizeof spelling);
    if (row->usual) snprintf(usual, sizeof usual, " [%s]", row->usual);
    printf("  %-22s %s%s\n", spelling, row->meaning, usual);
  }
}

// The options of one shared group, several on a line.
static void shared_options(const struct command *command, enum option_group group,
                           const char *heading)
{
  if (!(command->options.groups & group)) return;
  column = 0;
  flow(heading, 0);
  for (int id = 0; id < OPTIONS; id++) {
    const struct option_row *row = &option_rows[id];
    if (row->group != group) continue;
    char spelling[64], text[128];
    option_spelling(row, spelling, sizeof spelling);
    snprintf(text, sizeof text, row->usual ? "%s [%s]" : "%s", spelling, row->usual);
    flow(text, 2);
  }
  putchar('\n');
}

void help_command(const struct command *command)
{
  printf("dampfork %s: %s\n", command->name, command->purpose);
  printf("usage: dampfork %s%s%s [OPTIONS]\n", command->name, *command->takes ? " " : "",
         command->takes);
  own_options(command);
  shared_options(command, GROUP_PICTURE, "Pictures:");
  shared_options(command, GROUP_RIDES, "Rides:");
  shared_options(command, GROUP_COMMON, "Everywhere:");
  puts("Examples:");
  for (int i = 0; i < 3 && command->examples[i]; i++) printf("  %s\n", command->examples[i]);
  puts(
      "Exit: 0 done, 1 a check said no, 2 command line, 3 input, 4 model, 5 output, 130 "
      "interrupted\n"
      "Each option in full: man dampfork. Any key, measure or road: dampfork help WORD");
}
