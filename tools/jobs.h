// Independent pieces of work, spread over threads.
#ifndef DF_TOOLS_JOBS_H
#define DF_TOOLS_JOBS_H

struct call;

// --jobs, or the number of cores.
int jobs_wanted(const struct call *call);

// Call work(arg, i) for i = 0 .. n-1 on at most `jobs` threads, in any order; shows progress as
// `what` (NULL: shows none). Stops early on a signal.
void jobs_run(int jobs, int n, void (*work)(void *arg, int i), void *arg, const char *what);

#endif
