// A reader that must stand any bytes. Each target is one file with these entry points, which are
// those of libFuzzer: built with clang it is explored, built with any compiler `replay.c` feeds it
// the kept corpus and a fixed number of changed texts.
#ifndef DF_TESTS_FUZZ_H
#define DF_TESTS_FUZZ_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

// Change `size` bytes in place, up to `most`; the same seed gives the same change. Returns the new
// size. Of words.c: knows the keys, units and ranges of the parameter table.
size_t LLVMFuzzerCustomMutator(uint8_t *data, size_t size, size_t most, unsigned seed);

// What must hold whatever the input; a breach ends the program, as a crash would.
#define HOLDS(what)                                                                                \
  do {                                                                                             \
    if (!(what)) {                                                                                 \
      fprintf(stderr, "%s:%d: broken: %s\n", __FILE__, __LINE__, #what);                           \
      abort();                                                                                     \
    }                                                                                              \
  } while (0)

// A folder of its own for this run, with `name` in it holding `text`; taken away at the end.
const char *fuzz_folder(void);
void fuzz_file(const char *name, const void *text, size_t size);

struct df_faults;
// Every fault says what is wrong, in text that cannot steer a terminal.
void fuzz_faults(const struct df_faults *faults);

#endif
