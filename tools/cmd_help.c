// help: what a word means.
#include "commands.h"
#include "say.h"

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
  say_error("nothing is known about '%s'", word);
  return EXIT_USAGE;
}
