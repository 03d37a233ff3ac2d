// Bands of what is not known: --law all and --spread N of curves and ride.
#ifndef DF_TOOLS_BANDS_H
#define DF_TOOLS_BANDS_H

#include "curves.h"
#include "ride_work.h"

// 1 when the call asks for bands.
int bands_asked(const struct call *call);

// "hole laws" or "100 samples of what is not known".
const char *bands_of(const struct call *call, char *out, unsigned size);

// One line for a scenario: the band of its damping force at some fork speeds. Returns an exit
// status.
int bands_curves_say(const struct call *call, const struct loaded *loaded, double travel);

// The answer of ride, in the form of the call. Returns an exit status.
int bands_ride(const struct ride_work *work);

#endif
