// Output files: opened under a temporary name before the work, renamed into place after it, removed
// when it fails.
#ifndef DF_TOOLS_ATOMIC_H
#define DF_TOOLS_ATOMIC_H

#include <stdio.h>

enum { OUTPUT_FILES_MAX = 512, OUTPUT_PATH_MAX = 1024 };

// Make a folder with its parents. Returns 0, or exit status 5 after a message. Folders made here
// vanish again on failure.
int output_folder(const char *folder);

// Open FOLDER/NAME for writing under a temporary name. NULL after a message. The stream belongs to
// this part: no fclose.
FILE *output_open(const char *folder, const char *name);

// The same for a file that must not exist yet: it is never written over, not even one that comes
// there during the work.
FILE *output_open_new(const char *folder, const char *name);

// Temporary path of a file of that name opened here, for a program that reads or writes it
// meanwhile; NULL: not open.
const char *output_temporary(const char *folder, const char *name);

// A place for a file that another program writes: only the temporary name is made. NULL after a
// message.
const char *output_reserve(const char *folder, const char *name);

// Flush and check all streams without renaming yet, so that another program can read them. Returns
// 0 or exit status 5.
int output_flush_all(void);

// Close, check and rename everything. On failure everything still temporary is removed. Returns 0
// or exit status 5.
int output_commit_all(void);
void output_discard_all(void);

// The same within a signal handler.
void output_remove_in_signal(void);

#endif
