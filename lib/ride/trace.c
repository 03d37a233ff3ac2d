// Room for the samples of a ride.
#include "ride/trace.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum df_status df_trace_lay(struct ride_job *job, unsigned long long channels, double step, struct df_trace *trace, double **room, size_t *room_n)
{
  size_t count = 0, most = DF_C_WHOLE + (size_t)job->kind.legs*DF_C_PER_LEG;
  memset(trace, 0, sizeof *trace);
  memset(job->sample, 0, sizeof job->sample);
  trace->step = step > 0 ? step : 1e-4;
  for (size_t c = 0; c < most; c++) if (channels >> c & 1) count++;
  job->sample_step = trace->step, job->sample_n = 0;
  if (!count) return DF_OK;
  trace->n = (int)floor(job->end/trace->step + 1e-9) + 1;
  size_t need = count*(size_t)trace->n;
  if (need > *room_n) {
    free(*room);
    *room = malloc(need*sizeof **room);
    *room_n = *room ? need : 0;
    if (!*room) { trace->n = 0; return DF_NO_MEMORY; }
  }
  double *at = *room;
  for (size_t c = 0; c < most; c++) {
    if (!(channels >> c & 1)) continue;
    trace->at[c] = job->sample[c] = at;
    at += trace->n;
  }
  job->sample_n = trace->n;
  return DF_OK;
}
