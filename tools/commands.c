// List of all commands. A new one is one file cmd_NAME.c, its declaration in commands.h and one row here.
#include "commands.h"

#include "nearest.h"

#include <string.h>

#define OWN(...) ((const enum option_id[]){__VA_ARGS__ __VA_OPT__(,) OPTIONS})

const struct command commands[] = {
  {"help", "[KEY|COMMAND|MEASURE|ROAD|COMPLAINT]", 0, 1, "what a word means, how it is measured, what is typical",
    {GROUP_COMMON, OWN()}, cmd_help,
    {"dampfork help leg.check_valve.area", "dampfork help travel_peak", "dampfork help half_sine"}},
};
const int command_count = sizeof commands/sizeof *commands;

const struct command *command_find(const char *name)
{
  for (int i = 0; i < command_count; i++)
    if (!strcmp(commands[i].name, name)) return &commands[i];
  return NULL;
}

const char *command_nearest(const char *name)
{
  const char *names[sizeof commands/sizeof *commands + 1];
  for (int i = 0; i < command_count; i++) names[i] = commands[i].name;
  names[command_count] = NULL;
  return nearest_word(name, names);
}
