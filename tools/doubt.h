// Which assumed value a person should measure next.
#ifndef DF_TOOLS_DOUBT_H
#define DF_TOOLS_DOUBT_H

#include "dampfork/reader.h"

// One assumed value and what it can move.
struct doubt {
  char path[96];
  const struct df_param *row;
  double usual, low, high;    // in the row's unit
  char moves[40];             // "damping at a sharp edge"
  double from, to;            // what it moves, in `unit`, with low and with high
  const char *unit;
  double size;                // 1, change over the value itself: the largest of all outcomes
};

// The most doubtful values first, at most `room`. Returns how many.
int doubts_find(const struct df_reading *reading, struct doubt *list, int room);

#endif
