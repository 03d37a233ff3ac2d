// The corpus of a target and a fixed number of changed texts, without libFuzzer: the same inputs on
// every machine. Memory is bounded, and so is the time of each input. TAP.
// usage: replay CORPUS COUNT [SEED]
#define _GNU_SOURCE
#include "fuzz.h"

#include <dirent.h>
#include <fcntl.h>
#include <signal.h>
#include <string.h>
#include <sys/resource.h>
#include <unistd.h>

enum { FILES_MAX = 500, TEXT_MOST = 64*1024, SECONDS = 10, MEMORY = 64*1024*1024 };
struct input { size_t size; uint8_t *data; };
static struct input input[FILES_MAX];
static int input_n;
static uint8_t now[TEXT_MOST];
static size_t now_n;

// Keep what broke it, in the folder of the run, and say so.
static void on_end(int number)
{
  static const char name[] = "broken-input";
  int file = open(name, O_WRONLY | O_CREAT | O_TRUNC, 0600);
  if (file >= 0 && write(file, now, now_n) >= 0) close(file);
  static const char text[] = "not ok - crashed or took over 10 s; the input is in broken-input\n";
  if (write(1, text, sizeof text - 1) < 0) _exit(2);
  signal(number, SIG_DFL);
  raise(number);
}

static int by_name(const struct dirent **a, const struct dirent **b)
{
  return strcmp((*a)->d_name, (*b)->d_name);
}

static void corpus_read(const char *folder)
{
  struct dirent **entry;
  int n = scandir(folder, &entry, NULL, by_name);
  for (int i = 0; i < n; i++) {
    char path[1000];
    snprintf(path, sizeof path, "%s/%s", folder, entry[i]->d_name);
    int file = entry[i]->d_name[0] == '.' || input_n == FILES_MAX ? -1 : open(path, O_RDONLY);
    free(entry[i]);
    if (file < 0) continue;
    ssize_t size = read(file, now, sizeof now);
    close(file);
    if (size < 0) continue;
    struct input *in = &input[input_n++];
    *in = (struct input){(size_t)size, malloc((size_t)size + 1)};
    HOLDS(in->data);
    memcpy(in->data, now, (size_t)size);
  }
  if (n > 0) free(entry);
}

// A copy of the right size, so that a checker of memory sees every byte read past the end.
static void run(void)
{
  uint8_t *exact = malloc(now_n ? now_n : 1);
  HOLDS(exact);
  memcpy(exact, now, now_n);
  alarm(SECONDS);
  LLVMFuzzerTestOneInput(exact, now_n);
  alarm(0);
  free(exact);
}

static void changed(long count, unsigned seed)
{
  for (long i = 0; i < count; i++) {
    const struct input *from = &input[i%input_n];
    now_n = from->size < sizeof now ? from->size : sizeof now;
    memcpy(now, from->data, now_n);
    now_n = LLVMFuzzerCustomMutator(now, now_n, sizeof now, seed + (unsigned)i);
    run();
  }
}

int main(int argc, char **argv)
{
  if (argc < 3) return 2;
  static const int ends[] = {SIGALRM, SIGSEGV, SIGBUS, SIGABRT, SIGFPE};
  for (int i = 0; i < 5; i++) signal(ends[i], on_end);
#ifndef FUZZ_UNBOUNDED // sanitizers and valgrind keep books of their own
  setrlimit(RLIMIT_DATA, &(struct rlimit){MEMORY, MEMORY});
#endif
  long count = strtol(argv[2], NULL, 10);
  if (getenv("DAMPFORK_QUICK")) count /= 5;
  corpus_read(argv[1]);
  if (!input_n) return printf("not ok 1 - no corpus in %s\n1..1\n", argv[1]), 0;
  for (int i = 0; i < input_n; i++) {
    now_n = input[i].size;
    memcpy(now, input[i].data, now_n);
    run();
  }
  printf("ok 1 - corpus of %d\n", input_n);
  fflush(stdout);
  changed(count, argc > 3 ? (unsigned)strtoul(argv[3], NULL, 10) : 1);
  printf("ok 2 - %ld changed texts, 64 MiB at most\n1..2\n", count);
  for (int i = 0; i < input_n; i++) free(input[i].data);
  return 0;
}
