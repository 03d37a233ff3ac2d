// The history of a bike: rides, settings, readings and verdicts in NAME.rides.yaml, written by hand.
// It is read, never written.
#ifndef DAMPFORK_HISTORY_H
#define DAMPFORK_HISTORY_H

#include "dampfork/status.h"

#pragma GCC visibility push(default)
#ifdef __cplusplus
extern "C" {
#endif

enum { DF_PAST_RIDES_MAX = 64, DF_PAST_PAIRS_MAX = 12 };
// What the rider said of a setting.
enum df_verdict { DF_VERDICT_NONE, DF_VERDICT_BETTER, DF_VERDICT_SAME, DF_VERDICT_WORSE };

struct df_past_pair { char key[96], value[48]; }; // "spring.rate", "9.5 N/mm"

// One ride, texts as they were written; "" where nothing was.
struct df_past_ride {
  char date[24];              // "2026-05-02"
  char complaint[32];         // name of a complaint: "kicks"
  char temperature[24];       // of the oil: "31 degC"
  char tyre_pressure[24];     // "2.3 bar"
  char note[160];             // in the own words
  enum df_verdict verdict;
  int setting_n, reading_n;   // how many of each
  struct df_past_pair setting[DF_PAST_PAIRS_MAX]; // what was changed for this ride
  struct df_past_pair reading[DF_PAST_PAIRS_MAX]; // what was read off after it
};
struct df_past { int n; struct df_past_ride ride[DF_PAST_RIDES_MAX]; };

// Read a history; no such file: DF_OK and no rides. DF_BAD_INPUT: no list, unknown keys or verdicts, or
// more than 64 rides; every fault with its place.
enum df_status df_past_read(struct df_past *out, const char *file, struct df_faults *faults);

#ifdef __cplusplus
}
#endif
#pragma GCC visibility pop
#endif
