// Runs the cases of one text file against the program and reports them as TAP. The form is
// described in tests/cli/README.md. usage: runner PROGRAM FILE.test
#define _GNU_SOURCE // asprintf

#include <errno.h>
#include <fcntl.h>
#include <ftw.h>
#include <locale.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum {
  SECTIONS_MAX = 64,
  LINES_MAX = 4000,
  SECONDS_MAX = 120           // a case past that hangs
};

// One section: its heading word, the rest of its heading, and its lines.
struct section { char *kind, *rest; char **line; int line_n; int at; };
struct test { char *name; struct section section[SECTIONS_MAX]; int n; };

static const char *file_name;
static char source_folder[4096], program[4096];

static void die(int at, const char *what)
{
  printf("Bail out! %s:%d: %s: %s\n", file_name, at, what, strerror(errno));
  exit(1);
}

static void *hold(void *memory)
{
  if (!memory) die(0, "out of memory");
  return memory;
}

static const char *const kinds[] = {"args",  "sh",   "env",   "needs",  "exit",   "files", "file",
                                    "bytes", "copy", "stdin", "stdout", "stderr", "wrote", NULL};

static struct section *section_add(struct test *test, char *text, int at)
{
  if (test->n == SECTIONS_MAX) die(at, "too many sections");
  struct section *section = &test->section[test->n++];
  size_t n = strcspn(text, ": ");
  section->kind = hold(strndup(text, n));
  int known = 0;
  for (int i = 0; kinds[i]; i++) known |= !strcmp(kinds[i], section->kind);
  if (!known) die(at, "unknown section");
  section->rest = hold(strdup(text + n + strspn(text + n, ": ")));
  section->line = hold(calloc(LINES_MAX, sizeof *section->line));
  section->at = at;
  return section;
}

static void test_free(struct test *test)
{
  for (int i = 0; i < test->n; i++) {
    struct section *section = &test->section[i];
    for (int j = 0; j < section->line_n; j++) free(section->line[j]);
    free(section->kind), free(section->rest), free(section->line);
  }
  free(test->name);
  memset(test, 0, sizeof *test);
}

// Read up to the next "=== name". Returns 0 at the end of the file; the name of the test that
// follows is left in *next.
static int test_read(FILE *file, struct test *test, char **next, int *at)
{
  char *text = NULL;
  size_t size = 0;
  ssize_t n;
  test->name = *next;
  *next = NULL;
  struct section *section = NULL;
  while ((n = getline(&text, &size, file)) >= 0) {
    ++*at;
    if (n && text[n - 1] == '\n') text[--n] = 0;
    if (!strncmp(text, "=== ", 4)) {
      *next = hold(strdup(text + 4));
      break;
    }
    if (!*text || *text == '#') continue;
    if (strchr("|~?*", *text)) {
      if (!section || section->line_n == LINES_MAX) die(*at, "a line outside a section");
      section->line[section->line_n++] = hold(strdup(text));
    } else section = section_add(test, text, *at);
  }
  free(text);
  return *next != NULL;
}

static struct section *find(struct test *test, const char *kind)
{
  for (int i = test->n - 1; i >= 0; i--)
    if (!strcmp(test->section[i].kind, kind)) return &test->section[i];
  return NULL;
}

// Text of a line without its mark: "| text" and "|text" both give "text".
static const char *body(const char *line)
{
  return line[1] == ' ' ? line + 2 : line + 1;
}

static void put_escaped(FILE *file, const char *text)
{
  for (; *text; text++) {
    unsigned byte;
    if (*text != '\\') fputc(*text, file);
    else if (text[1] == 'x' && sscanf(text + 2, "%2x", &byte) == 1)
      fputc((int)byte, file), text += 3;
    else if (*++text == 'n') fputc('\n', file);
    else if (*text == 'r') fputc('\r', file);
    else if (*text == 't') fputc('\t', file);
    else fputc(*text, file);
  }
}

static void section_write(const struct section *section, const char *path)
{
  for (char *slash = strchr(path + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
    char *folder = hold(strndup(path, slash - path));
    mkdir(folder, 0777);
    free(folder);
  }
  FILE *file = fopen(path, "w");
  if (!file) die(section->at, path);
  for (int i = 0; i < section->line_n; i++) {
    if (!strcmp(section->kind, "bytes")) put_escaped(file, body(section->line[i]));
    else fprintf(file, "%s\n", body(section->line[i]));
  }
  if (fclose(file)) die(section->at, path);
}

// "copy FROM [TO]": FROM beside the test file.
static void section_copy(const struct section *section, const char *folder)
{
  char from[256], to[256] = "", path[8192], target[8192], buffer[4096];
  if (sscanf(section->rest, "%255s %255s", from, to) < 1) die(section->at, "copy what?");
  snprintf(path, sizeof path, "%s/%s", source_folder, from);
  const char *slash = strrchr(from, '/');
  snprintf(target, sizeof target, "%s/%s", folder, *to ? to : slash ? slash + 1 : from);
  FILE *in = fopen(path, "rb"), *out = fopen(target, "wb");
  if (!in || !out) die(section->at, path);
  for (size_t n; (n = fread(buffer, 1, sizeof buffer, in));) fwrite(buffer, 1, n, out);
  fclose(in);
  if (fclose(out)) die(section->at, target);
}

static void files_make(const struct test *test, const char *folder)
{
  for (int i = 0; i < test->n; i++) {
    const struct section *section = &test->section[i];
    char path[8192];
    if (!strcmp(section->kind, "copy")) section_copy(section, folder);
    if (strcmp(section->kind, "file") && strcmp(section->kind, "bytes")) continue;
    snprintf(path, sizeof path, "%s/%s", folder, section->rest);
    section_write(section, path);
  }
}

// Split at blanks; '...' and "..." keep blanks, nothing else is special.
static char **words(const char *text)
{
  char **list = hold(calloc(256, sizeof *list));
  int n = 0;
  while (*(text += strspn(text, " ")) && n < 254) {
    char *word = hold(malloc(strlen(text) + 1)), *end = word, quote = 0;
    for (; *text && (quote || *text != ' '); text++) {
      if (quote && *text == quote) quote = 0;
      else if (!quote && (*text == '\'' || *text == '"')) quote = *text;
      else *end++ = *text;
    }
    *end = 0;
    list[n++] = word;
  }
  return list;
}

static void child_environment(struct test *test, const char *bin)
{
  static const char *const gone[] = {"NO_COLOR", "LANG",    "LANGUAGE", "LC_NUMERIC",
                                     "GNUTERM",  "COLUMNS", NULL};
  char *path;
  if (asprintf(&path, "%s:%s", bin, getenv("PATH") ? getenv("PATH") : "/usr/bin:/bin") < 0)
    _exit(125);
  setenv("PATH", path, 1);
  setenv("TERM", "dumb", 1);
  setenv("LC_ALL", "C", 1);
  for (int i = 0; gone[i]; i++) unsetenv(gone[i]);
  struct section *section = find(test, "env");
  for (char **word = section ? words(section->rest) : NULL; word && *word; word++) putenv(*word);
}

static void child(struct test *test, const char *folder, const char *bin)
{
  struct section *args = find(test, "args"), *sh = find(test, "sh");
  child_environment(test, bin);
  if (chdir(folder)) _exit(125);
  int in = open("../stdin", O_RDONLY), out = open("../stdout", O_WRONLY),
      err = open("../stderr", O_WRONLY);
  if (dup2(in, 0) < 0 || dup2(out, 1) < 0 || dup2(err, 2) < 0) _exit(125);
  if (sh) execl("/bin/sh", "sh", "-c", sh->rest, (char *)NULL);
  char **list = words(args ? args->rest : ""), **argv = hold(calloc(257, sizeof *argv));
  argv[0] = "dampfork";
  for (int i = 0; list[i]; i++) argv[i + 1] = list[i];
  execv(program, argv);
  _exit(125);
}

// Run; returns the exit status, 128 + signal, or -1 after too long a time.
static int run(struct test *test, const char *folder, const char *bin)
{
  int status;
  pid_t pid = fork();
  if (pid < 0) die(0, "fork");
  if (!pid) {
    setpgid(0, 0);
    child(test, folder, bin);
  }
  for (int i = 0; i < SECONDS_MAX*200; i++) {
    pid_t ended = waitpid(pid, &status, WNOHANG);
    if (ended < 0) die(0, "waitpid");
    if (ended) return WIFSIGNALED(status) ? 128 + WTERMSIG(status) : WEXITSTATUS(status);
    poll(NULL, 0, 5);
  }
  kill(-pid, SIGKILL);
  waitpid(pid, &status, 0);
  return -1;
}

// Does a line match "a ... b", where ... stands for anything?
static int matches(const char *line, const char *pattern)
{
  const char *dots = strstr(pattern, "...");
  if (!dots) return !strcmp(line, pattern);
  size_t n = dots - pattern;
  if (strncmp(line, pattern, n)) return 0;
  for (line += n, pattern = dots + 3;; line++) {
    if (matches(line, pattern)) return 1;
    if (!*line) return 0;
  }
}

static void print_line(const char *what, const char *text)
{
  printf("#   %-5s", what);
  for (; *text; text++)
    (unsigned char)*text < 0x20 || *text == 0x7f ? printf("\\x%02x", (unsigned char)*text)
                                                 : putchar(*text);
  putchar('\n');
}

// Compare a file with the lines wanted; NULL: it must be empty. Prints the first difference.
// Returns 1 when equal.
static int compare(const char *what, const char *path, const struct section *want)
{
  FILE *file = fopen(path, "r");
  if (!file) {
    printf("# %s is not there\n", what);
    return 0;
  }
  char *text = NULL;
  size_t size = 0;
  ssize_t n;
  int i = 0, same = 1, all = want ? want->line_n : 0;
  while (same && (n = getline(&text, &size, file)) >= 0) {
    const char *line = i < all ? want->line[i] : NULL;
    if (line && *line == '*') break;
    int ended = n && text[n - 1] == '\n';
    if (ended) text[n - 1] = 0;
    same = line && ended && strlen(text) + 1 == (size_t)n;
    if (same && *line == '|') same = !strcmp(text, body(line));
    if (same && *line == '~') same = matches(text, body(line));
    if (same) i++;
    else {
      printf("# %s, line %d differs%s\n", what, i + 1, ended ? "" : " (no newline at its end)");
      print_line("got", text);
      print_line("want", line ? line : "(nothing more)");
    }
  }
  if (same && i < all && *want->line[i] != '*') {
    printf("# %s ends after %d lines\n", what, i);
    print_line("want", want->line[i]);
    same = 0;
  }
  free(text);
  fclose(file);
  return same;
}

// Names of all files under the folder, sorted, for "files".
static char listed[64][256];
static int listed_n;
static size_t listed_skip;
static int list_one(const char *path, const struct stat *info, int kind, struct FTW *walk)
{
  (void)info, (void)walk;
  if (kind == FTW_F && listed_n < 64)
    snprintf(listed[listed_n++], sizeof *listed, "%s", path + listed_skip);
  return 0;
}
static int by_name(const void *a, const void *b)
{
  return strcmp(a, b);
}

static int compare_files(const struct section *want, const char *folder)
{
  char all[64*257] = "";
  listed_n = 0;
  listed_skip = strlen(folder) + 1;
  nftw(folder, list_one, 16, FTW_PHYS);
  qsort(listed, listed_n, sizeof *listed, by_name);
  for (int i = 0; i < listed_n; i++) sprintf(all + strlen(all), "%s%s", i ? " " : "", listed[i]);
  if (!strcmp(all, want->rest)) return 1;
  printf("# files differ\n");
  print_line("got", all);
  print_line("want", want->rest);
  return 0;
}

static int remove_one(const char *path, const struct stat *info, int kind, struct FTW *walk)
{
  (void)info, (void)kind, (void)walk;
  return remove(path);
}

static void touch(const char *top, const char *name, const struct section *lines)
{
  char path[8192];
  snprintf(path, sizeof path, "%s/%s", top, name);
  struct section empty = {.kind = "file"};
  section_write(lines ? lines : &empty, path);
}

static int judge(struct test *test, const char *top, const char *folder, int status)
{
  struct section *want = find(test, "exit");
  int wanted = want ? atoi(want->rest) : 0, good = 1;
  char path[8192];
  if (status != wanted) printf("# exit status %d, wanted %d\n", status, wanted), good = 0;
  snprintf(path, sizeof path, "%s/stdout", top);
  good &= compare("stdout", path, find(test, "stdout"));
  snprintf(path, sizeof path, "%s/stderr", top);
  good &= compare("stderr", path, find(test, "stderr"));
  for (int i = 0; i < test->n; i++) {
    struct section *section = &test->section[i];
    if (!strcmp(section->kind, "files")) good &= compare_files(section, folder);
    if (strcmp(section->kind, "wrote")) continue;
    snprintf(path, sizeof path, "%s/%s", folder, section->rest);
    good &= compare(section->rest, path, section);
  }
  return good;
}

// "needs: locale NAME" or "needs: program NAME". Returns what is missing, NULL when all is there.
static const char *missing(struct test *test)
{
  struct section *section = find(test, "needs");
  if (!section) return NULL;
  int there = 0;
  if (!strncmp(section->rest, "locale ", 7)) {
    there = setlocale(LC_ALL, section->rest + 7) != NULL;
    setlocale(LC_ALL, "C");
  } else if (!strncmp(section->rest, "program ", 8)) {
    char command[512];
    snprintf(command, sizeof command, "command -v %s >/dev/null 2>&1", section->rest + 8);
    there = system(command) == 0;
  } else die(section->at, "needs: locale NAME or program NAME");
  return there ? NULL : section->rest;
}

static int test_run(struct test *common, struct test *test, const char *bin)
{
  char top[] = "/tmp/dampfork-cli-XXXXXX", folder[64];
  if (!mkdtemp(top)) die(0, top);
  snprintf(folder, sizeof folder, "%s/work", top);
  mkdir(folder, 0777);
  files_make(common, folder);
  files_make(test, folder);
  touch(top, "stdin", find(test, "stdin"));
  touch(top, "stdout", NULL);
  touch(top, "stderr", NULL);
  int good = judge(test, top, folder, run(test, folder, bin));
  nftw(top, remove_one, 16, FTW_DEPTH | FTW_PHYS);
  return good;
}

// A folder that holds nothing but the program under its own name, for PATH.
static void bin_make(char *bin, size_t size)
{
  char link[4200];
  snprintf(bin, size, "/tmp/dampfork-bin-XXXXXX");
  if (!mkdtemp(bin)) die(0, bin);
  snprintf(link, sizeof link, "%s/dampfork", bin);
  if (symlink(program, link)) die(0, link);
}

int main(int argc, char **argv)
{
  if (argc != 3 || !realpath(argv[1], program)) {
    fputs("usage: runner PROGRAM FILE.test\n", stderr);
    return 2;
  }
  file_name = argv[2];
  setvbuf(stdout, NULL, _IOLBF, 0);
  snprintf(source_folder, sizeof source_folder, "%.*s",
           (int)(strrchr(file_name, '/') ? strrchr(file_name, '/') - file_name : 1),
           strrchr(file_name, '/') ? file_name : ".");
  FILE *file = fopen(file_name, "r");
  if (!file) die(0, file_name);
  char bin[64], *next = NULL;
  bin_make(bin, sizeof bin);
  struct test common = {0}, test = {0};
  int at = 0, n = 0, more = test_read(file, &common, &next, &at);
  while (more) {
    more = test_read(file, &test, &next, &at);
    const char *lack = missing(&test);
    fflush(stdout);
    int good = lack ? 1 : test_run(&common, &test, bin);
    printf("%sok %d - %s%s%s\n", good ? "" : "not ", ++n, test.name, lack ? " # SKIP needs " : "",
           lack ? lack : "");
    test_free(&test);
  }
  test_free(&common);
  fclose(file);
  printf("1..%d\n", n);
  nftw(bin, remove_one, 4, FTW_DEPTH | FTW_PHYS);
  return 0;
}
