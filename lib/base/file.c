// Reading of files as a whole.
#include "base/file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char *contents(int handle, size_t most, size_t *length, char why[80])
{
  struct stat about;
  ssize_t got = 1;
  *length = 0;
  if (fstat(handle, &about)) snprintf(why, 80, "%s", strerror(errno));
  else if (!S_ISREG(about.st_mode)) snprintf(why, 80, "not a regular file");
  else if ((size_t)about.st_size > most) snprintf(why, 80, "too large; allowed: up to %zu MiB", most >> 20);
  if (*why) return NULL;
  size_t size = (size_t)about.st_size;
  char *text = malloc(size + 1);
  for (; text && *length < size && got > 0; *length += got > 0 ? (size_t)got : 0)
    got = read(handle, text + *length, size - *length);
  if (got >= 0) return text;
  snprintf(why, 80, "reading failed");
  free(text);
  return NULL;
}

char *df_file_read(const char *file, size_t most, size_t *length, char why[80])
{
  int handle = open(file, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
  *why = 0;
  if (handle < 0) return snprintf(why, 80, "%s", strerror(errno)), NULL;
  char *text = contents(handle, most, length, why);
  close(handle);
  return text;
}
