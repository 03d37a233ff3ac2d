// What the targets share: a folder of their own, and what every list of faults must be.
#define _GNU_SOURCE
#include "fuzz.h"

#include "dampfork/status.h"

#include <dirent.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

static char folder[64];
static pid_t owner;

static void folder_remove(void)
{
  DIR *dir = owner == getpid() ? opendir(folder) : NULL;
  for (struct dirent *entry; dir && (entry = readdir(dir));) {
    char path[400];
    snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
    if (entry->d_name[0] != '.' || strlen(entry->d_name) > 2) unlink(path);
  }
  if (!dir) return;
  closedir(dir);
  rmdir(folder);
}

const char *fuzz_folder(void)
{
  if (owner) return folder;
  strcpy(folder, access("/dev/shm", W_OK) ? "/tmp/fuzz-XXXXXX" : "/dev/shm/fuzz-XXXXXX");
  HOLDS(mkdtemp(folder));
  owner = getpid();
  atexit(folder_remove);
  return folder;
}

void fuzz_file(const char *name, const void *text, size_t size)
{
  char path[400];
  snprintf(path, sizeof path, "%s/%s", fuzz_folder(), name);
  int file = open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
  HOLDS(file >= 0 && write(file, text, size) == (ssize_t)size);
  close(file);
}

static int is_plain(const char *text)
{
  for (; *text; text++)
    if ((unsigned char)*text < 0x20 || *text == 0x7f) return 0;
  return 1;
}

void fuzz_faults(const struct df_faults *faults)
{
  HOLDS(faults->n >= 0 && faults->n <= DF_FAULTS_MAX && faults->errors >= 0 && faults->lost >= 0);
  for (int i = 0; i < faults->n; i++) {
    const struct df_fault *f = &faults->at[i];
    HOLDS(f->text[0] && f->line >= 0 && f->column >= 0 && f->status);
    HOLDS(is_plain(f->text) && is_plain(f->key) && is_plain(f->source));
  }
}
