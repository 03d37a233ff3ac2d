// Room for the samples of a ride.
#ifndef DF_RIDE_TRACE_H
#define DF_RIDE_TRACE_H

#include <stddef.h>

#include "ride/job.h"

// Lay the wanted channels that exist in this ride out in `room`, which is grown as needed (room_n: doubles it holds now).
// step 0: 0.1 ms. DF_OK or DF_NO_MEMORY.
enum df_status df_trace_lay(struct ride_job *job, unsigned long long channels, double step, struct df_trace *trace, double **room, size_t *room_n);

#endif
