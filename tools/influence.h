// What one value moves most in one scenario.
#ifndef DF_TOOLS_INFLUENCE_H
#define DF_TOOLS_INFLUENCE_H

#include "dampfork/reader.h"

enum { INFLUENCES_MAX = 10 };
struct influence_move {
  const char *text, *unit;    // "sag with rider", "mm"
  double low, high;           // with the value's low and high end
  double size;                // 1, change over the outcome itself
};
struct influence {
  char path[96];              // as the scenario has it: "rod.compression_holes[1].diameter"
  double now, low, high;      // of the value, in its own unit
  const char *unit;
  int given;                  // 1: given, 0: assumed
  int usual_step;             // 1: a tenth either way, since no accuracy is known
  int n;                      // outcomes that move by over 0.5 %, most first
  struct influence_move moves[INFLUENCES_MAX];
};

// key: with or without list marks. 0: the scenario has no such number, or bears no other.
int influence_of(const struct df_reading *reading, const char *key, struct influence *out);

// 1: a path of a scenario is that of a key written with or without "[1]" and "[]".
int key_is(const char *path, const char *key);

#endif
