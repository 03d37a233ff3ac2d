// A sweep that goes on with a file it did not write: the first byte chooses whether the head is
// right, whether it resumes, and whether the file is one part of several to gather.
#define _GNU_SOURCE
#include "fuzz.h"

#include "atomic.h"
#include "sweep_work.h"

#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

volatile sig_atomic_t stop_signal;
int stop_status(void) { return 0; }

enum { HEAD = 1, RESUME = 2, GATHER = 4, ROWS = 12, AXES = 2, SEEN = 1 };
static char head[] = "# dampfork = 0\n# vary = spring.rate=7:10:1 N/mm\n# vary = oil.temperature=20,30,40 degC\n"
                     "# rows = 12\nrow,status,spring.rate_N_per_mm,oil.temperature_degC,edge.travel_peak_mm\n";

static void rows_hold(int file)
{
  struct rows rows;
  if (rows_begin(&rows, file)) {
    HOLDS(rows.columns > 2 + rows.keys);
    for (long n = 0; rows_next(&rows); n++)
      for (int i = 0; i < rows.columns; i++)
        if (i != 1) (void)rows_number(&rows, i);
  }
  rows_end(&rows);
}

static void gather(struct sweep *s, struct call *call, char *folder)
{
  char *one[] = {folder, NULL};
  char out[400];
  snprintf(out, sizeof out, "%s/whole", folder);
  call->arguments = one, call->argument_n = 1, s->folder = out;
  if (!sweep_gather(s)) rows_hold(s->file);
  output_discard_all();
  char path[420];
  snprintf(path, sizeof path, "%s/sweep.csv", out);
  unlink(path);
  rmdir(out);
}

static void go_on(struct sweep *s, unsigned what)
{
  static const char status[SWEEP_STATUS_MAX] = "ok";
  double value[AXES] = {8, 30}, result[SEEN] = {0.1};
  struct stat before, after;
  int opened = sweep_open(s);
  output_discard_all();
  if (opened || s->file < 0) return;
  HOLDS(s->done >= 0 && s->done <= ROWS);
  HOLDS(!fstat(s->file, &before) && before.st_size >= (off_t)s->head_n);
  HOLDS(what & RESUME || !s->done);
  if (s->done < ROWS) HOLDS(!sweep_append(s, s->done + 1, 1, value, result, status));
  HOLDS(!fstat(s->file, &after) && after.st_size >= before.st_size);
  rows_hold(s->file);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  static struct call call;
  static char folder[100], text[70000];
  static struct df_wanted wanted[SEEN];
  size_t n = 0;
  if (!size || size > 60000) return 0;
  unsigned what = data[0] % 8;
  memset(&call, 0, sizeof call);
  call.digits = 9;
  if (what & RESUME) call.options.of[OPT_RESUME].n = 1;
  if (what & HEAD) n = sizeof head - 1, memcpy(text, head, n);
  memcpy(text + n, data + 1, size - 1);
  snprintf(folder, sizeof folder, "%s", fuzz_folder());
  fuzz_file("sweep.csv", text, n + size - 1);
  struct sweep s = {.call = &call, .folder = folder, .axis_n = AXES, .wanted_n = SEEN,
                    .wanted = wanted, .rows = ROWS, .first = 1, .last = ROWS, .part = 1,
                    .parts = 1, .head = head, .head_n = sizeof head - 1, .file = -1};
  if (what & GATHER) gather(&s, &call, folder);
  else go_on(&s, what);
  if (s.file >= 0) close(s.file);
  return 0;
}
