// One call of advise --complaint: what was said and read off, what came out.
#ifndef DF_TOOLS_COMPLAINT_WORK_H
#define DF_TOOLS_COMPLAINT_WORK_H

#include "advise_work.h"
#include "complaints.h"

#include "dampfork/history.h"

struct complaint_work {
  struct advise_work *advise;
  const struct complaint *complaint;
  double observed[OBSERVED_MAX]; // SI; of leg: 1 left, 2 right; NAN: not read off
  double modelled[OBSERVED_MAX]; // what the model says of the same, SI; NAN: nothing
  struct df_reading *reading; // the scenario with what was observed put in
  double friction_before, friction; // N a leg, from the sag pair; NAN: not observed
  struct df_cures cures;
  struct df_cure_change expect; // of the next reading, for the first cure
  int expect_of;              // enum of observations; -1: none
  struct df_past past;        // rides so far, of NAME.rides.yaml beside the scenario
  int taken;                  // readings taken from the last of them
  char tried[240];            // changes that were tried already, and how they went
};

int complaint_run(struct advise_work *advise, const char *name); // an exit status
void complaint_say(const struct complaint_work *w);
void complaint_rows(const struct complaint_work *w, struct csv *csv);
void complaint_json(const struct complaint_work *w);
// "contradicted", "supported", "" where the rule has nothing to turn here; gain: what it brings at most.
const char *complaint_rule(const struct complaint_work *w, double *gain);

#endif
