// Output files that appear whole or not at all.
#include "atomic.h"

#include "commands.h"
#include "say.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct output {
  FILE *stream;                       // NULL: another program writes it, or it is closed already
  char place[OUTPUT_PATH_MAX];        // where it goes
  char temporary[OUTPUT_PATH_MAX];    // where it is
  volatile sig_atomic_t waiting;      // 1: `temporary` exists and must go on failure
  int fresh;                          // 1: nothing may stand in its place
};
static struct output outputs[OUTPUT_FILES_MAX];
static int output_n;

static char folders[64][OUTPUT_PATH_MAX]; // made here, parents first
static int folder_n;

static int fail(const char *path, int number)
{
  say_error("%s: %s", path, strerror(number));
  return EXIT_OUTPUT;
}

static int folder_one(const char *path)
{
  struct stat info;
  int made = !mkdir(path, 0777), number = errno;
  // Another process may make the same folder at the same moment: that it is there is all that matters.
  if (!made && !stat(path, &info)) return S_ISDIR(info.st_mode) ? 0 : fail(path, ENOTDIR);
  if (!made) return fail(path, number);
  if (folder_n < (int)(sizeof folders/sizeof *folders)) strcpy(folders[folder_n++], path);
  return 0;
}

int output_folder(const char *folder)
{
  char path[OUTPUT_PATH_MAX];
  if (strlen(folder) >= sizeof path - 64)
    return fail(folder, ENAMETOOLONG); // 64: room for a file's name
  strcpy(path, folder);
  for (char *at = path + 1; *at; at++) {
    if (*at != '/' || at[-1] == '/') continue;
    *at = 0;
    if (folder_one(path)) return EXIT_OUTPUT;
    *at = '/';
  }
  return folder_one(path);
}

// Take a place in the list and make the temporary file.
static struct output *output_begin(const char *folder, const char *name, int *descriptor)
{
  if (output_n == OUTPUT_FILES_MAX) {
    say_error("%s/%s: more than %d files in one run", folder, name, OUTPUT_FILES_MAX);
    return NULL;
  }
  struct output *output = &outputs[output_n];
  int placed = snprintf(output->place, sizeof output->place, "%s/%s", folder, name);
  int named = snprintf(output->temporary, sizeof output->temporary, "%s/.dampfork-XXXXXX", folder);
  if (placed >= (int)sizeof output->place || named >= (int)sizeof output->temporary) {
    fail(folder, ENAMETOOLONG);
    return NULL;
  }
  *descriptor = mkstemp(output->temporary);
  if (*descriptor < 0) {
    fail(output->place, errno);
    return NULL;
  }
  output->waiting = 1;
  output->fresh = 0;
  output_n++;
  mode_t mask = umask(0);
  umask(mask);
  fchmod(*descriptor, 0666 & ~mask); // mkstemp makes it private, an answer is not
  return output;
}

FILE *output_open(const char *folder, const char *name)
{
  int descriptor;
  struct output *output = output_begin(folder, name, &descriptor);
  if (!output) return NULL;
  output->stream = fdopen(descriptor, "w");
  if (output->stream) return output->stream;
  fail(output->place, errno);
  close(descriptor);
  return NULL;
}

FILE *output_open_new(const char *folder, const char *name)
{
  FILE *stream = output_open(folder, name);
  if (stream) outputs[output_n - 1].fresh = 1;
  return stream;
}

const char *output_reserve(const char *folder, const char *name)
{
  int descriptor;
  struct output *output = output_begin(folder, name, &descriptor);
  if (!output) return NULL;
  close(descriptor);
  return output->temporary;
}

const char *output_temporary(const char *folder, const char *name)
{
  char place[OUTPUT_PATH_MAX];
  snprintf(place, sizeof place, "%s/%s", folder, name);
  for (int i = 0; i < output_n; i++)
    if (!strcmp(outputs[i].place, place)) return outputs[i].temporary;
  return NULL;
}

static int output_flush(struct output *output)
{
  if (!output->stream) return 0;
  errno = 0;
  if (fflush(output->stream) || ferror(output->stream) || fsync(fileno(output->stream)))
    return fail(output->place, errno ? errno : ENOSPC); // an earlier write failed: most likely that
  return 0;
}

int output_flush_all(void)
{
  for (int i = 0; i < output_n; i++)
    if (output_flush(&outputs[i])) return EXIT_OUTPUT;
  return 0;
}

static int output_close(struct output *output)
{
  if (!output->stream) return 0;
  int bad = output_flush(output);
  if (fclose(output->stream) && !bad) bad = fail(output->place, errno);
  output->stream = NULL;
  return bad;
}

static int output_rename(struct output *output)
{
  if (!output->waiting) return 0;
  if (output->fresh) { // a link never replaces what has come there meanwhile
    if (link(output->temporary, output->place)) return fail(output->place, errno);
    unlink(output->temporary);
  } else if (rename(output->temporary, output->place)) return fail(output->place, errno);
  output->waiting = 0;
  return 0;
}

int output_commit_all(void)
{
  int bad = stop_signal != 0 || say_memory_was_short();
  for (int i = 0; i < output_n && !bad; i++) bad = output_close(&outputs[i]);
  for (int i = 0; i < output_n && !bad; i++) bad = output_rename(&outputs[i]);
  if (!bad) output_n = folder_n = 0;
  else output_discard_all(); // files already in place stay: each is whole
  return !bad ? 0 : stop_signal ? stop_status() : EXIT_OUTPUT;
}

void output_discard_all(void)
{
  for (int i = 0; i < output_n; i++) {
    if (outputs[i].stream) fclose(outputs[i].stream);
    outputs[i].stream = NULL;
    if (outputs[i].waiting) unlink(outputs[i].temporary);
    outputs[i].waiting = 0;
  }
  while (folder_n) rmdir(folders[--folder_n]); // stays when something else has come into it
  output_n = 0;
}

void output_remove_in_signal(void)
{
  for (int i = 0; i < output_n; i++)
    if (outputs[i].waiting) unlink(outputs[i].temporary);
  for (int i = folder_n - 1; i >= 0; i--) rmdir(folders[i]);
}
