// List of all commands. A new one is one file cmd_NAME.c, its declaration in commands.h and one row
// here.
#include "commands.h"

#include "nearest.h"

#include <string.h>

#define OWN(...) ((const enum option_id[]){__VA_ARGS__, OPTIONS})

const struct command commands[] = {
  {"new", "NAME", 1, 1,
    "asks the dozen things a person can measure, writes two scenarios: plain and valved",
    {GROUP_COMMON, OWN(OPT_TYPICAL, OPT_PLAIN)}, cmd_new,
    {"dampfork new bike",
     "dampfork new bike --typical 41",
     "dampfork new bike --typical 37 --set 'spring.rate=8 N/mm'"}},
  {"inspect", "SCENARIO", 1, 1,
    "what was understood and assumed, sag and end forces, what to measure next",
    {GROUP_COMMON, OWN(OPT_ALL)}, cmd_inspect,
    {"dampfork inspect bike.yaml",
     "dampfork inspect bike.yaml --all",
     "dampfork inspect bike.yaml --format json --digits 17"}},
  {"curves", "SCENARIO...", 1, -1,
    "steady force against fork speed and travel, who makes it, where two forks cross",
    {GROUP_COMMON | GROUP_PICTURE, OWN(OPT_TRAVEL, OPT_SPEEDS, OPT_MEASURED, OPT_LAW, OPT_SPREAD, OPT_SEED)}, cmd_curves,
    {"dampfork curves bike.yaml",
     "dampfork curves bike-valved.yaml bike.yaml -o out --render png",
     "dampfork curves bike-valved.yaml --travel '90 mm' --speeds 0:3:0.01 --format csv"}},
  {"stroke", "SCENARIO", 1, 1,
    "one leg driven by a sine, as on a test bench: loops, energy, lag, oil vapour",
    {GROUP_COMMON | GROUP_PICTURE,
     OWN(OPT_STROKE, OPT_FREQUENCY, OPT_PEAK_SPEEDS, OPT_TRAVEL, OPT_WITHOUT, OPT_RESPONSE)},
    cmd_stroke,
    {"dampfork stroke bike.yaml",
     "dampfork stroke bike.yaml --stroke '38.1 mm' --frequency '2 Hz' --without friction,air,spring",
     "dampfork stroke bike.yaml --response -o out --render png"}},
  {"ride", "SCENARIO", 1, 1,
    "every road of the scenario against the targets of its use; checks its expectations",
    {GROUP_COMMON | GROUP_PICTURE | GROUP_RIDES, OWN(OPT_EVERY)}, cmd_ride,
    {"dampfork ride bike.yaml",
     "dampfork ride bike-valved.yaml --roads edge-25,brake-dry -o out --render png",
     "dampfork ride bike.yaml --set 'air.oil_level=130 mm' --format json"}},
  {"compare", "SCENARIO [SCENARIO...]", 1, 5,
    "forks over the same roads, or one against its twin: what is better, and why",
    {GROUP_COMMON | GROUP_PICTURE | GROUP_RIDES, OWN(OPT_EXPLAIN, OPT_MAP)}, cmd_compare,
    {"dampfork compare bike.yaml",
     "dampfork compare bike.yaml bike-valved.yaml",
     "dampfork compare bike.yaml bike-valved.yaml --explain edge-40.shock_transmitted"}},
  {"sheet", "SCENARIO", 0, 1,
    "the bench sheet: everything to measure, cut, drill, pour, set and test",
    {GROUP_COMMON, OWN(OPT_BLANK, OPT_MEASURED)}, cmd_sheet,
    {"dampfork sheet bike-valved.yaml -o out",
     "dampfork sheet --blank",
     "dampfork sheet bike.yaml --measured sag.csv --measured springs.csv"}},
  {"sweep", "SCENARIO", 0, -1,
    "many settings: a grid, a list or an even sample of values, and what each is worth",
    {GROUP_COMMON | GROUP_PICTURE | GROUP_RIDES, OWN(OPT_VARY, OPT_SAMPLE, OPT_MEASURES, OPT_RESUME, OPT_PART, OPT_GATHER, OPT_SENSITIVITY)}, cmd_sweep,
    {"dampfork sweep bike.yaml --vary 'spring.rate=7:10:0.5 N/mm'",
     "dampfork sweep bike.yaml --vary 'spring.rate=7,9 N/mm' --vary 'air.oil_level=120:160:10 mm' -o out",
     "dampfork sweep bike.yaml --sensitivity one --measures edge-40.shock_transmitted"}},
  {"fit", "SCENARIO", 1, 1,
    "values learned from measured data, how sure they are, what the data cannot tell",
    {GROUP_COMMON | GROUP_PICTURE, OWN(OPT_MEASURED, OPT_FREE, OPT_LOSS, OPT_LAW, OPT_JOBS)}, cmd_fit,
    {"dampfork fit bike.yaml --measured sag.csv --measured pull.csv",
     "dampfork fit bike.yaml --measured loop.csv --free spring.rate,seals.sliding -o out",
     "dampfork fit bike.yaml --measured bench.csv --loss cauchy --format json"}},
  {"advise", "SCENARIO", 1, 1,
    "which settings suit this bike, how sure, and what they cost elsewhere",
    {GROUP_COMMON | GROUP_PICTURE, OWN(OPT_CHANGE, OPT_COMPLAINT, OPT_OBSERVED, OPT_USE, OPT_SAMPLE, OPT_SPREAD, OPT_SEED, OPT_TOLERANCE, OPT_KERNEL, OPT_JOBS)}, cmd_advise,
    {"dampfork advise bike.yaml",
     "dampfork advise bike.yaml --change spring.rate,air.oil_level -o out --render png",
     "dampfork advise bike.yaml --complaint dives-too-far --observed 'o_ring_held=102 mm'"}},
  {"report", "SCENARIO [SCENARIO]", 1, 2,
    "everything about a fork and its twin, or about two forks, in one web page",
    {GROUP_COMMON | GROUP_RIDES | GROUP_PICTURE, OWN(OPT_SLIDE)}, cmd_report,
    {"dampfork report bike-valved.yaml -o out",
     "dampfork report bike.yaml bike-valved.yaml -o out",
     "dampfork report bike-valved.yaml --slide 'spring.rate=8:10:0.25 N/mm' -o out"}},
  {"help", "[KEY|COMMAND|MEASURE|ROAD|COMPLAINT] [SCENARIO]", 0, 2,
    "what a word means, how it is measured, what is typical, what it moves in a scenario",
    {GROUP_COMMON, OWN(OPTIONS)}, cmd_help,
    {"dampfork help leg.check_valve.area",
     "dampfork help spring.rate bike.yaml",
     "dampfork help half_sine"}},
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
