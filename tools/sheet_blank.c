// The form before the job: what is to be asked, looked at and measured while nothing is known yet.
#include "sheet_work.h"

#include "say.h"
#include "version.h"

#include "base/table.h"
#include "scenario/params.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

// Keys in the order in which a fork comes apart, with the words of the form.
static const struct { const char *key, *words; } asked[] = {
    {"bike.wet_mass", "bike, ready to ride"},
    {"bike.front_share", "on the front wheel"},
    {"rider.mass", "rider in gear"},
    {"load.luggage.mass", "luggage"},
    {"bike.rake", "rake from the vertical"},
    {"leg.tube_outside", "tube outside"},
    {"leg.tube_bore", "tube bore"},
    {"leg.travel", "travel, metal to metal"},
    {"leg.exposed_at_full_travel", "tube showing at the stop"},
    {"air.oil_level", "oil level as found"},
    {"spring.rate", "spring rate"},
    {"spring.free_length", "spring, free length"},
    {"spring.mass", "spring, mass"},
    {"spacer.length", "spacer as found"},
    {"spacer.depth_to_spring", "depth to the spring"},
    {"cap.depth", "cap, shoulder to face"},
    {"leg.rod_outside", "rod outside"},
    {"leg.rod_bore", "rod bore"},
    {"rod.compression_holes.diameter", "compression holes"},
    {"rod.compression_holes.height", "their heights"},
    {"rod.rebound_holes.diameter", "rebound holes"},
    {"leg.tube_end_height", "tube end over the foot"},
    {"leg.check_valve.area", "check valve, area"},
    {"leg.check_leak.gap", "check valve, gap"},
};

struct search { const char *key; const struct df_param *row; };

static int same(const char *path, const char *key)
{
  for (; *path; path++) {
    if (*path == '[' || *path == ']') continue;
    if (*path != *key) return 0;
    key++;
  }
  return !*key;
}

static int look(const struct df_param *row, const char *path, void *arg)
{
  struct search *search = arg;
  if (!same(path, search->key)) return 0;
  search->row = row;
  return 1;
}

static void how_well(const struct df_param *row, char *out, size_t size)
{
  *out = 0;
  if (row->tolerance_share > 0) snprintf(out, size, "%.3g %%", 100*row->tolerance_share);
  else if (row->tolerance > 0) snprintf(out, size, "%.3g %s", row->tolerance, row->unit);
}

enum { ASKED_COLUMNS = 5 };
static const int asked_width[ASKED_COLUMNS] = {24, 11, 11, 10, 44};

static void asked_row(struct page *page, const char *key, const char *words)
{
  struct search search = {key, NULL};
  df_section_walk(&df_scenario_section, "", look, &search);
  if (!search.row) return;
  char what[60], well[40];
  snprintf(what, sizeof what, "%s, %s", words, search.row->unit ? search.row->unit : "");
  how_well(search.row, well, sizeof well);
  const char *cell[ASKED_COLUMNS] = {what, "", "", well, search.row->measure};
  page_row(page, cell, asked_width, ASKED_COLUMNS, 0);
}

static void before(struct page *page)
{
  static const struct page_box alone[] = {{"alone: below", "mm"},      {"above", "mm"},
                                          {"with rider: below", "mm"}, {"above", "mm"},
                                          {"loaded: below", "mm"},     {"above", "mm"}};
  static const struct page_box rides[] = {{"o_ring_held", "mm"},
                                          {"o_ring_hump", "mm"},
                                          {"o_ring_worst", "mm"},
                                          {"push test: past its start", "mm"},
                                          {"oil_temperature", "degC"},
                                          {"tyre_pressure", "bar"},
                                          {"speed", "km/h"}};
  page_section(page, "BEFORE ANYTHING IS TAKEN APART");
  page_line(page, "Said",
            "in the rider's words: ______________________________________________________________");
  page_line(page, "",
            "changed before, by whom: _______________________________________  use: "
            "______________________");
  page_line(
      page, "Look",
      "[_] head bearing [_] wheel bearing [_] tyre and pressure [_] bent tube [_] pinched axle  "
      "[_] seals dry [_] play in the bushes [_] brake pads free: is it the fork at all?");
  page_caution(page, "%s", sheet_caution("stand"));
  page_boxes(page, "Sag", alone, sizeof alone/sizeof *alone);
  page_line(page, "",
            "zero: front wheel off the ground. From below: pushed down, let up slowly. From above: "
            "lifted, let "
            "sink slowly. Three people, twice.");
  page_boxes(page, "Ride", rides, sizeof rides/sizeof *rides);
}

void sheet_blank(FILE *stream, int html, const struct loaded *loaded)
{
  static const char *const head[ASKED_COLUMNS] = {"to measure", "LEFT", "RIGHT", "how well",
                                                  "tool and how"};
  struct page page;
  char right[120];
  snprintf(right, sizeof right, "%s%s  dampfork %s  date __________", loaded ? "scenario " : "",
           loaded ? loaded->hash : "before the job", DAMPFORK_VERSION);
  page_begin(&page, stream, html, -1,
             loaded ? loaded->scenario->title : "________________________________", right);
  before(&page);
  page_section(&page, "WHILE IT COMES APART");
  page_caution(&page, "%s", sheet_caution("slacken"));
  page_caution(&page, "%s", sheet_caution("cap_off"));
  page_table(&page, asked_width, ASKED_COLUMNS);
  page_row(&page, head, asked_width, ASKED_COLUMNS, 1);
  for (size_t i = 0; i < sizeof asked / sizeof *asked; i++)
    asked_row(&page, asked[i].key, asked[i].words);
  page_table_end(&page);
  page_line(&page, "Oil",
            "colour, smell, amount: ____________________   level taken with valve in / out, spring "
            "in / out, "
            "spacer in / out");
  page_line(&page, "Valve",
            "(if there is one) turns from first contact ____  adjuster stands ____ mm at 0, ____ "
            "mm as found");
  page_line(&page, "Next",
            "dampfork new NAME asks for these; dampfork help KEY tells how each is measured.");
  page_end(&page);
}
