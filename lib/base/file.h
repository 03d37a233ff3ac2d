// A file as a whole.
#ifndef DF_BASE_FILE_H
#define DF_BASE_FILE_H

#include <stddef.h>

// All bytes of a regular file of at most `most`, to be freed. Opened without waiting, so that a pipe
// without a writer is refused and does not hang. NULL: why it cannot be read; empty: out of memory.
char *df_file_read(const char *file, size_t most, size_t *length, char why[80]);

#endif
