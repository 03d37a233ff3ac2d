// Loaded before everything else: one request for memory fails. Counts requests that come from
// dampfork's own code, or with FAULT_FROM=others those of the libraries it uses, with FAULT_FROM=units
// those of UDUNITS-2 and its XML reader (the C library's own are never failed). FAULT_AT=N fails the Nth (1 is the first; 0 none), FAULT_ON=1 all from there on.
// FAULT_COUNT=FILE takes the place in the code of each, in their order. Knows nothing of what the program does with it.
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <link.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

extern void *__libc_malloc(size_t);
extern void *__libc_calloc(size_t, size_t);
extern void *__libc_realloc(void *, size_t);
extern void *__libc_memalign(size_t, size_t);

enum owner { OWNER_LIBC, OWNER_OURS, OWNER_OTHERS, OWNER_UNITS };
enum { RANGES_MAX = 64 };
static struct { uintptr_t from, to; enum owner owner; } range[RANGES_MAX];
static int range_n, ready, all_on;
static enum owner whose = OWNER_OURS;
static long fail_at;
static atomic_long count;
enum { CALLS_MAX = 1 << 20 };
static uintptr_t caller_of[CALLS_MAX]; // offset in its object, so that runs can be compared

static enum owner owner_of(const char *name)
{
  const char *base = strrchr(name, '/');
  base = base ? base + 1 : name;
  if (!*base || !strncmp(base, "libdampfork", 11)) return OWNER_OURS; // "": the program itself
  static const char *const c_library[] = {"libc.", "ld-", "libpthread", "libdl", "libm.", "linux-vdso", "shim", "libshim"};
  for (int i = 0; i < 8; i++)
    if (!strncmp(base, c_library[i], strlen(c_library[i]))) return OWNER_LIBC;
  return strncmp(base, "libudunits2", 11) && strncmp(base, "libexpat", 8) ? OWNER_OTHERS : OWNER_UNITS;
}

static int object(struct dl_phdr_info *info, size_t size, void *arg)
{
  (void)size, (void)arg;
  for (int i = 0; i < info->dlpi_phnum && range_n < RANGES_MAX; i++) {
    const ElfW(Phdr) *p = &info->dlpi_phdr[i];
    if (p->p_type != PT_LOAD || !(p->p_flags & PF_X)) continue;
    range[range_n].from = info->dlpi_addr + p->p_vaddr;
    range[range_n].to = range[range_n].from + p->p_memsz;
    range[range_n++].owner = owner_of(info->dlpi_name);
  }
  return 0;
}

__attribute__((constructor)) static void start(void)
{
  const char *at = getenv("FAULT_AT"), *from = getenv("FAULT_FROM");
  if (at) fail_at = strtol(at, NULL, 10);
  if (from && !strcmp(from, "others")) whose = OWNER_OTHERS;
  if (from && !strcmp(from, "units")) whose = OWNER_UNITS;
  all_on = getenv("FAULT_ON") != NULL;
  dl_iterate_phdr(object, NULL);
  ready = 1;
}

__attribute__((destructor)) static void end(void)
{
  const char *name = getenv("FAULT_COUNT");
  FILE *file = name ? fopen(name, "w") : NULL;
  if (!file) return;
  for (long i = 0; i < atomic_load(&count) && i < CALLS_MAX; i++)
    fprintf(file, "%lx\n", (unsigned long)caller_of[i]);
  fclose(file);
}

// A place for a debugger to stop at.
int fault_here(void);
__attribute__((noinline, visibility("default"))) int fault_here(void)
{
  __asm__ volatile("");
  errno = ENOMEM;
  return 1;
}

static int fails(const void *caller)
{
  uintptr_t at = (uintptr_t)caller;
  for (int i = 0; ready && i < range_n; i++) {
    if (at < range[i].from || at >= range[i].to) continue;
    if (range[i].owner != whose) return 0;
    long n = 1 + atomic_fetch_add(&count, 1);
    if (n <= CALLS_MAX) caller_of[n - 1] = at - range[i].from;
    if (!fail_at || n < fail_at || (n > fail_at && !all_on)) return 0;
    return fault_here();
  }
  return 0;
}

#define CALLER __builtin_return_address(0)
__attribute__((visibility("default"))) void *malloc(size_t size)
{
  return fails(CALLER) ? NULL : __libc_malloc(size);
}
__attribute__((visibility("default"))) void *calloc(size_t n, size_t size)
{
  return fails(CALLER) ? NULL : __libc_calloc(n, size);
}
__attribute__((visibility("default"))) void *realloc(void *old, size_t size)
{
  return fails(CALLER) ? NULL : __libc_realloc(old, size);
}
__attribute__((visibility("default"))) void *aligned_alloc(size_t alignment, size_t size)
{
  return fails(CALLER) ? NULL : __libc_memalign(alignment, size);
}
// strdup and open_memstream live in the C library: they are counted as ours when we call them.
__attribute__((visibility("default"))) char *strdup(const char *text)
{
  size_t n = strlen(text) + 1;
  char *copy = fails(CALLER) ? NULL : __libc_malloc(n);
  return copy ? memcpy(copy, text, n) : NULL;
}
__attribute__((visibility("default"))) FILE *open_memstream(char **text, size_t *size)
{
  FILE *(*real)(char **, size_t *) = (FILE * (*)(char **, size_t *))dlsym(RTLD_NEXT, "open_memstream");
  return fails(CALLER) ? NULL : real(text, size);
}
