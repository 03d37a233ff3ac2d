// Prints the man page (argument: man) or the bash completion (argument: bash) from the tables; run
// at build time.
#include "commands.h"
#include "version.h"

#include "base/table.h"
#include "dampfork/measure.h"
#include "scenario/params.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

volatile sig_atomic_t stop_signal; // the driver's, unused here
int stop_status(void)
{
  return 0;
}

// Text for roff: a backslash, a dash and a leading point mean something there.
static void roff(const char *text)
{
  if (*text == '.' || *text == '\'') fputs("\\&", stdout);
  for (; *text; text++) {
    if (*text == '\\') fputs("\\e", stdout);
    else if (*text == '-') fputs("\\-", stdout);
    else putchar(*text);
  }
}

static void roff_line(const char *text)
{
  roff(text);
  putchar('\n');
}

static void option_item(const struct option_row *row)
{
  fputs(".TP\n.B ", stdout);
  if (row->letter) printf("\\-%c, ", row->letter);
  printf("\\-\\-");
  roff(row->name);
  if (row->argument) printf(" \\fI%s\\fR", row->argument);
  putchar('\n');
  roff(row->meaning);
  if (row->usual) fputs(" [", stdout), roff(row->usual), putchar(']');
  puts(".");
}

static void options_of_group(enum option_group group, const char *heading)
{
  printf(".SS %s\n", heading);
  for (int id = 0; id < OPTIONS; id++)
    if (option_rows[id].group == group) option_item(&option_rows[id]);
}

static void command_item(const struct command *command)
{
  fputs(".SS dampfork ", stdout);
  printf("%s ", command->name);
  roff_line(command->takes);
  roff(command->purpose);
  puts(".");
  if (command->options.groups & GROUP_RIDES) puts("Takes the options of rides.");
  if (command->options.groups & GROUP_PICTURE) puts("Takes the options of pictures.");
  for (const enum option_id *id = command->options.own; *id != OPTIONS; id++)
    option_item(&option_rows[*id]);
  for (int i = 0; i < 3 && command->examples[i]; i++)
    fputs(i ? ".br\n" : ".PP\nExamples:\n.PP\n", stdout), roff_line(command->examples[i]);
}

static int key_item(const struct df_param *row, const char *path, void *unused)
{
  (void)unused;
  if (row->form == DF_SECTION || row->form == DF_LIST || row->form == DF_NAMED) return 0;
  fputs(".TP\n.B ", stdout);
  roff(path);
  if (row->unit && strcmp(row->unit, "1")) fputs(" \\fR[", stdout), roff(row->unit), putchar(']');
  putchar('\n');
  roff(row->meaning ? row->meaning : "");
  if (row->need == DF_REQUIRED) fputs(" (must be given)", stdout);
  else if (row->usual_rule) fputs(" (typical: ", stdout), roff(row->usual_rule), putchar(')');
  else if (row->usual_word) fputs(" (", stdout), roff(row->usual_word), putchar(')');
  else if (isfinite(row->usual) && row->need == DF_OPTIONAL) printf(" (typical %.6g)", row->usual);
  puts(".");
  return 0;
}

static void man(void)
{
  puts(
      ".\\\" Made from the program's tables; do not edit.\n.TH DAMPFORK 1 \"\" \"dampfork "
      "" DAMPFORK_VERSION
      "\" \"User Commands\"\n.SH NAME\n"
      "dampfork \\- what a fork damped by a plain rod does on the road, and what a drop\\-in "
      "valve changes\n.SH SYNOPSIS\n"
      ".B dampfork\n.I COMMAND\n.RI [ SCENARIO ...]\n.RI [ OPTIONS ]\n.SH DESCRIPTION\n"
      "A scenario is a YAML file that describes bike, rider and telescopic fork with units. "
      "Commands compute how the fork behaves.\n"
      "Data goes to standard output, messages to standard error. Without \\fB\\-o\\fR nothing is "
      "written, except by \\fBnew\\fR.\n"
      "A value that was not given is typical and said to be assumed.\n.SH COMMANDS");
  for (int i = 0; i < command_count; i++) command_item(&commands[i]);
  puts(".SH OPTIONS");
  options_of_group(GROUP_COMMON, "Everywhere");
  options_of_group(GROUP_PICTURE, "Pictures");
  options_of_group(GROUP_RIDES, "Rides");
  puts(".SH \"SCENARIO KEYS\"\nMore about each: \\fBdampfork help\\fR \\fIKEY\\fR.");
  df_section_walk(&df_scenario_section, "", key_item, NULL);
  puts(".SH MEASURES");
  for (int i = 0; i < df_measure_count; i++) {
    fputs(".TP\n.B ", stdout);
    roff(df_measures[i].name);
    fputs(" \\fR[", stdout), roff(df_measures[i].unit), puts("]");
    roff(df_measures[i].meaning);
    puts(".");
  }
  puts(".SH \"EXIT STATUS\"");
  for (int i = 0; exit_status_lines[i]; i++) {
    const char *line = exit_status_lines[i], *text = strstr(line, "  ");
    printf(".TP\n.B %.*s\n", (int)(text - line), line);
    roff(text + 2);
    puts(".");
  }
  puts(
      ".SH CAUTIONS\n"
      "A fork cap under spring preload can fly: press it down while turning, face aside. Support "
      "the bike. Springs and spacers must be\n"
      "square and clear of coil bind. Drilling weakens the rod, and chips kill seals. Brake "
      "hoses, axle, clamps and the rod's bolt are\n"
      "tightened as the workshop manual says. Pump the brake before moving; ride a first slow "
      "test. The figures are a model's, with\n"
      "stated uncertainty; where life depends on it, a licensed workshop and local rules decide.\n"
      ".SH ENVIRONMENT\n.TP\n.B NO_COLOR\nWhen set, messages have no colour.\n.TP\n.B "
      "DAMPFORK_RENDER_SECONDS\nHow long gnuplot may take for a picture, in seconds; 60 at most "
      "and unless set.");
}

static void bash(void)
{
  puts(
      "# bash completion for dampfork; made from the program's tables\n_dampfork()\n{\n"
      "  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} options=\n  "
      "COMPREPLY=()\n  case $before in");
  for (int id = 0; id < OPTIONS; id++) {
    if (!option_rows[id].words) continue;
    printf("    --%s) mapfile -t COMPREPLY < <(compgen -W \"", option_rows[id].name);
    for (int i = 0; option_rows[id].words[i]; i++)
      printf("%s%s", i ? " " : "", option_rows[id].words[i]);
    puts("\" -- \"$word\"); return ;;");
  }
  puts("  esac\n  if [ \"$COMP_CWORD\" -eq 1 ]; then");
  printf("    mapfile -t COMPREPLY < <(compgen -W \"");
  for (int i = 0; i < command_count; i++) printf("%s%s", i ? " " : "", commands[i].name);
  puts("\" -- \"$word\")\n    return\n  fi\n  case ${COMP_WORDS[1]} in");
  for (int i = 0; i < command_count; i++) {
    printf("    %s) options=\"", commands[i].name);
    int first = 1;
    for (int id = 0; id < OPTIONS; id++)
      if (option_taken(&commands[i].options, id))
        printf("%s--%s", first ? "" : " ", option_rows[id].name), first = 0;
    puts("\" ;;");
  }
  puts(
      "  esac\n  case $word in\n    -*) mapfile -t COMPREPLY < <(compgen -W \"$options\" -- "
      "\"$word\") ;;\n"
      "    *) mapfile -t COMPREPLY < <(compgen -f -- \"$word\") ;;\n  esac\n}\ncomplete -o "
      "filenames -F _dampfork dampfork");
}

int main(int argc, char **argv)
{
  if (argc == 2 && !strcmp(argv[1], "man")) man();
  else if (argc == 2 && !strcmp(argv[1], "bash")) bash();
  else {
    fputs("usage: manpage man|bash\n", stderr);
    return 2;
  }
  return fflush(stdout) || ferror(stdout);
}
