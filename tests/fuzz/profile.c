// The reader of recorded road profiles.
#define _GNU_SOURCE
#include "fuzz.h"

#include "vehicle/record.h"

#include <math.h>
#include <sys/mman.h>
#include <unistd.h>

static struct df_faults faults;

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  char path[64];
  struct df_polyline line = {0};
  int file = memfd_create("profile", 0);
  HOLDS(file >= 0 && write(file, data, size) == (ssize_t)size);
  snprintf(path, sizeof path, "/proc/self/fd/%d", file);
  faults.n = faults.errors = faults.lost = 0;
  enum df_status status = df_record_read(path, "roads.a.file", &line, &faults);
  close(file);
  fuzz_faults(&faults);
  HOLDS(status == DF_OK ? line.n >= 2 : !line.s && !line.z && faults.errors);
  for (int i = 0; i < line.n; i++) {
    HOLDS(isfinite(line.s[i]) && isfinite(line.z[i]));
    HOLDS(!i || line.s[i] >= line.s[i - 1]);
  }
  df_polyline_finish(&line);
  return 0;
}
