// What riders say, in their words, the measure that stands for it, what tells its causes apart.
#ifndef DF_TOOLS_COMPLAINTS_H
#define DF_TOOLS_COMPLAINTS_H

struct complaint {
  const char *name, *words;
  const char *stand_in;       // ROAD.MEASURE, MEASURE (on its worst road), "plain" (what lost most); NULL: none
  const char *tells_apart;    // the observation that separates its causes
  const char *look_first;     // before the fork is opened
  const char *reading;        // the observation to expect next: a name of observations[]; NULL: none
  // A rule of thumb: turning this key up (1) or down (-1) is said to help. NULL: none.
  const char *rule, *rule_key;
  int rule_way;
};
extern const struct complaint complaints[];
extern const int complaint_count;
const struct complaint *complaint_find(const char *name); // NULL: none

// What a rider can read off after a ride.
struct observation {
  const char *name, *unit;
  const char *road, *measure; // what the model says of it; NULL: see there. Of O-rings less free_travel.
  const char *meaning;
};
extern const struct observation observations[];
extern const int observation_count;
int observation_find(const char *name); // index, -1
enum { OBSERVED_HELD, OBSERVED_HUMP, OBSERVED_WORST, OBSERVED_BELOW, OBSERVED_ABOVE, OBSERVED_OIL, OBSERVED_TYRE,
       OBSERVED_SPEED, OBSERVED_LEG, OBSERVED_MAX };

#endif
