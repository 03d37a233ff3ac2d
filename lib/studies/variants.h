// Variants of a fork: 0 as it is, 1 and 2 the other hole laws, then low and high of each doubt.
#ifndef DF_STUDIES_VARIANTS_H
#define DF_STUDIES_VARIANTS_H

#include "dampfork/compare.h"

enum { DF_DOUBTS_MAX = 32, DF_VARIANTS_MAX = 3 + 2 * DF_DOUBTS_MAX };
static inline int df_variant_count(void)
{
  return 3 + 2 * df_doubt_count;
}

// Variant i of a reading, on the roads and with the rider of the first; ranges are those of the
// first too. *differs: 0 when it is the fork as it is.
enum df_status df_variant(const struct df_reading *reading, const struct df_reading *first, int i,
                          struct df_scenario *out, int *differs);

// Sample i of a reading: the law and every doubt drawn within its range, alike for all readings
// with this seed.
enum df_status df_variant_drawn(const struct df_reading *reading, const struct df_reading *first,
                                unsigned long long seed, int i, struct df_scenario *out);

// A scenario with the roads, rider and load of the first.
void df_variant_base(struct df_scenario *out, const struct df_scenario *s,
                     const struct df_scenario *first);

// How the lever is taken, on every road that does not say so itself. ramp: s.
void df_variant_ramp(struct df_scenario *s, const struct df_scenario *first, double ramp);

#endif
