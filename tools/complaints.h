// What riders say, in their words, and the measure that stands for it.
#ifndef DF_TOOLS_COMPLAINTS_H
#define DF_TOOLS_COMPLAINTS_H

struct complaint {
  const char *name, *words, *stand_in /* ROAD.MEASURE or MEASURE; NULL: none */, *tells_apart;
};
extern const struct complaint complaints[];
extern const int complaint_count;

#endif
