// A counter that threads take numbers from.
#include "jobs.h"

#include "commands.h"
#include "say.h"

#include <pthread.h>
#include <stdatomic.h>
#include <unistd.h>

enum { JOBS_MAX = 64 };       // more threads than that help no machine this runs on

struct pool {
  int n;
  void (*work)(void *, int);
  void *arg;
  const char *what;
  atomic_int next, done;
};

int jobs_wanted(const struct call *call)
{
  long cores = sysconf(_SC_NPROCESSORS_ONLN);
  int jobs = (int)option_number(&call->options, OPT_JOBS, cores > 0 ? cores : 1);
  return jobs > JOBS_MAX ? JOBS_MAX : jobs;
}

static void take(struct pool *pool, int first)
{
  for (int i; !stop_signal && (i = atomic_fetch_add(&pool->next, 1)) < pool->n;) {
    pool->work(pool->arg, i);
    int done = 1 + atomic_fetch_add(&pool->done, 1);
    if (first && pool->what) say_progress(pool->what, done, pool->n); // one thread alone speaks
  }
}

static void *thread(void *arg)
{
  take(arg, 0);
  return NULL;
}

void jobs_run(int jobs, int n, void (*work)(void *arg, int i), void *arg, const char *what)
{
  struct pool pool = {.n = n, .work = work, .arg = arg, .what = what};
  pthread_t id[JOBS_MAX];
  int started = 0;
  if (jobs > n) jobs = n;
  while (started < jobs - 1 && started < JOBS_MAX &&
         !pthread_create(&id[started], NULL, thread, &pool))
    started++;
  take(&pool, 1);
  for (int i = 0; i < started; i++) pthread_join(id[i], NULL);
  if (what) say_progress_end();
}
