#include "same_math.h"
#include "say.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char mark[] = "DAMPFORK_SAME_MATH", tunables[] = "GLIBC_TUNABLES";
static const char plainest[] = "glibc.cpu.hwcaps=-FMA,-FMA4,-AVX,-AVX2,-AVX512F,-AVX_Usable,-AVX2_Usable,-FMA_Usable,-FMA4_Usable";
static char **arguments;
static int done;

void same_math_begin(char **argv)
{
  arguments = argv;
  char *before = getenv(mark);
  if (!before) return;
  done = 1;
  if (*before) setenv(tunables, before, 1);
  else unsetenv(tunables);
  unsetenv(mark);
}

void same_math_ask(void)
{
#if defined __x86_64__ && defined __GLIBC__
  if (done) return;
  const char *before = getenv(tunables);
  setenv(mark, before ? before : "", 1);
  setenv(tunables, plainest, 1);
  execv("/proc/self/exe", arguments);
  say_warning("the last bits may be this machine's own: the program cannot be started anew: %s", strerror(errno));
  same_math_begin(arguments);
#endif
}
