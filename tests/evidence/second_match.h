// A ride of the library against the same ride written a second time.
#ifndef DF_TESTS_SECOND_MATCH_H
#define DF_TESTS_SECOND_MATCH_H

#include "dampfork/ride.h"
#include "second_ride.h"

// What the stack of a side's valve is to it, from the library's own stack solution: that has checks
// of
// its own, and is not written a second time. rate 0 without shims; NAN when the stack has no
// solution.
struct second_shims second_shims_of(const struct df_side *);

// The case that repeats a ride of the library over this road: sampled where its trace is. Braking
// and
// leaning are repeated, a push is not. axle_start: s of the axle at t = 0, m.
void second_case_of(struct second_case *, const struct df_scenario *, const struct df_road *,
                    const struct df_profile *, const struct df_ride *, double axle_start);

// Largest difference of any channel at any sample, over the channel's largest size in the ride; of
// any energy, over what was put in. Channels that are NULL are left out.
struct second_off {
  double share;               // 1
  const char *what;           // channel
  double at;                  // s; NAN: an energy
  int channels, samples;      // compared
};
struct second_off second_match(const struct df_ride *, const struct second_ride *);

#endif
