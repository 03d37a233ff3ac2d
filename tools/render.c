// Running gnuplot: by execvp, with a time limit, and a look at what it made.
#define _GNU_SOURCE // pipe2, memmem
#include "render.h"

#include "atomic.h"
#include "commands.h"
#include "say.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum {
  RENDER_SECONDS = 60,        // a picture takes 0.1 s; a minute is a hung program
  MESSAGE_MAX = 1000,         // bytes of gnuplot's own words that are shown
  STOPPED = -1                // no wait status: killed by us
};

static const char *const endings[] = {"svg", "png", "pdf", "term"};

// What a child is given: the folder to work in, its standard input, where its standard output goes.
struct job {
  char *const *argv;
  const char *folder;
  int input;                  // descriptor
  FILE *copy;                 // its standard output is copied there; NULL: thrown away
  long copied;                // bytes
  char message[MESSAGE_MAX];  // its standard error
  size_t message_n;
};

// Seconds a picture may take; the environment can shorten it, which tests need.
static int render_seconds(void)
{
  const char *text = getenv("DAMPFORK_RENDER_SECONDS");
  int seconds = text ? atoi(text) : 0;
  return seconds > 0 && seconds < RENDER_SECONDS ? seconds : RENDER_SECONDS;
}

static double now(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return t.tv_sec + 1e-9*t.tv_nsec;
}

static void child(const struct job *job, int output, int errors)
{
  signal(SIGPIPE, SIG_DFL);
  if (dup2(job->input, 0) < 0 || dup2(output, 1) < 0 || dup2(errors, 2) < 0) _exit(126);
  if (job->folder && chdir(job->folder)) _exit(126);
  setenv("LC_ALL", "C.UTF-8", 1); // points in numbers, UTF-8 in labels
  unsetenv("GNUTERM");
  execvp(job->argv[0], job->argv);
  _exit(errno == ENOENT ? 127 : 126);
}

// Read what is there. Returns 0 at the end of the stream.
static int drain(struct job *job, int descriptor, int errors)
{
  char bytes[4096];
  ssize_t n = read(descriptor, bytes, sizeof bytes);
  if (n < 0) return errno == EINTR || errno == EAGAIN;
  if (!n) return 0;
  if (errors) {
    size_t room = sizeof job->message - 1 - job->message_n,
           take = (size_t)n < room ? (size_t)n : room;
    memcpy(job->message + job->message_n, bytes, take);
    job->message_n += take;
  } else if (job->copy) {
    fwrite(bytes, 1, n, job->copy);
    job->copied += n;
  }
  return 1;
}

// Wait for the child until it ends, the time is over, or we are stopped. Returns its wait status,
// or STOPPED.
static int watch(struct job *job, pid_t pid, int output, int errors)
{
  struct pollfd at[2] = {{output, POLLIN, 0}, {errors, POLLIN, 0}};
  double end = now() + render_seconds();
  int status, late = 0;
  while ((at[0].fd >= 0 || at[1].fd >= 0) && !late) {
    poll(at, 2, 200);
    for (int i = 0; i < 2; i++)
      if (at[i].fd >= 0 && at[i].revents && !drain(job, at[i].fd, i)) at[i].fd = -1;
    late = now() > end || stop_signal;
  }
  while (!late && waitpid(pid, &status, WNOHANG) == 0) { // streams closed, yet it lives
    poll(NULL, 0, 20);
    late = now() > end || stop_signal;
  }
  if (!late) return status;
  kill(pid, SIGKILL);
  waitpid(pid, &status, 0);
  return STOPPED;
}

static int run(struct job *job, int *status)
{
  int output[2], errors[2];
  if (pipe2(output, O_CLOEXEC)) return -1;
  if (pipe2(errors, O_CLOEXEC)) {
    close(output[0]), close(output[1]);
    return -1;
  }
  pid_t pid = fork();
  if (!pid) child(job, output[1], errors[1]);
  close(output[1]), close(errors[1]);
  if (pid > 0) *status = watch(job, pid, output[0], errors[0]);
  close(output[0]), close(errors[0]);
  return pid > 0 ? 0 : -1;
}

// Say what went wrong, with the program's first line of complaint. Returns an exit status.
static int judge(const struct job *job, const char *what, int status)
{
  if (stop_signal) return stop_status();
  char first[200];
  snprintf(first, sizeof first, "%.*s",
           (int)strcspn(job->message + strspn(job->message, "\n "), "\n"),
           job->message + strspn(job->message, "\n "));
  if (status == STOPPED)
    say_error("%s: gnuplot did not finish within %d s and was stopped", what, render_seconds());
  else if (WIFSIGNALED(status))
    say_error("%s: gnuplot crashed (signal %d)", what, WTERMSIG(status));
  else if (WEXITSTATUS(status) == 127) {
    say_error("%s: gnuplot was not found: the data and the scripts need it only for pictures",
              what);
    say_note("install it (Debian: gnuplot-nox), or leave --render out");
  } else if (WEXITSTATUS(status))
    say_error("%s: gnuplot failed (status %d): %s", what, WEXITSTATUS(status), first);
  else return 0;
  return EXIT_OUTPUT;
}

static int starts(const char *bytes, const char *with)
{
  return !strncmp(bytes, with, strlen(with));
}

static int holds(const char *bytes, size_t n, const char *what)
{
  return memmem(bytes, n, what, strlen(what)) != NULL;
}

// Does the file look like a whole picture of that form? Its first and last bytes tell.
static int whole(const char *path, enum render_form form)
{
  char head[65] = "", tail[65] = "";
  FILE *file = fopen(path, "rb");
  if (!file) return 0;
  size_t n = fread(head, 1, 64, file);
  if (fseek(file, n < 64 ? 0 : -64, SEEK_END)) n = 0;
  size_t m = n ? fread(tail, 1, 64, file) : 0;
  fclose(file);
  if (form == RENDER_SVG)
    return (starts(head, "<?xml") || starts(head, "<svg")) && holds(tail, m, "</svg>");
  if (form == RENDER_PNG) return starts(head, "\x89PNG") && holds(tail, m, "IEND");
  return starts(head, "%PDF") && holds(tail, m, "%%EOF");
}

static const char *base(const char *path)
{
  const char *slash = strrchr(path, '/');
  return slash ? slash + 1 : path;
}

// gnuplot calls every SVG "Gnuplot": in its place the purpose from the first line of its script, which is a text of ours, and where the
// figures stand. Returns 0, or -1 when the picture cannot be written anew.
static int svg_named(const char *picture, const char *script, const char *stem)
{
  char purpose[200] = "";
  FILE *file = fopen(script, "rb");
  if (!file) return -1;
  if (!fgets(purpose, sizeof purpose, file)) purpose[0] = 0;
  fclose(file);
  const char *title = starts(purpose, "# ") ? purpose + 2 : stem;
  int length = (int)strcspn(title, "(\n<&");
  while (length > 0 && title[length - 1] == ' ') length--;
  char *text = NULL, *line = NULL;
  size_t size = 0, room = 0;
  FILE *from = fopen(picture, "rb"), *to = open_memstream(&text, &size);
  while (from && to && getline(&line, &room, from) > 0)
    if (starts(line, "<title>Gnuplot")) fprintf(to, "<title>%.*s</title>\n", length, title);
    else if (starts(line, "<desc>Produced")) fprintf(to, "<desc>Drawn from %s.gp, which holds its figures.</desc>\n", stem);
    else fputs(line, to);
  int good = from && !ferror(from) && to && !fclose(to);
  if (from) fclose(from);
  free(line);
  if (good && (file = fopen(picture, "wb"))) {
    good = fwrite(text, 1, size, file) == size;
    good = !fclose(file) && good;
  } else {
    good = 0;
  }
  free(text);
  return good ? 0 : -1;
}

int render_file(const char *folder, const char *stem, enum render_form form)
{
  char name[160], script_name[160], options[200];
  snprintf(name, sizeof name, "%s.%s", stem, endings[form]);
  snprintf(script_name, sizeof script_name, "%s.gp", stem);
  const char *script = output_temporary(folder, script_name),
             *picture = output_reserve(folder, name);
  if (!script || !picture) return EXIT_OUTPUT;
  snprintf(options, sizeof options, "form='%s'; out='%s'", endings[form],
           base(picture)); // both names are ours
  char *const argv[] = {"gnuplot", "-d", "-e", options, (char *)base(script), NULL};
  struct job job = {
      .argv = argv, .folder = folder, .input = open("/dev/null", O_RDONLY | O_CLOEXEC)};
  int status = 0;
  if (job.input < 0 || run(&job, &status)) {
    say_error("%s: gnuplot could not be started: %s", name, strerror(errno));
    if (job.input >= 0) close(job.input);
    return EXIT_OUTPUT;
  }
  close(job.input);
  int exit_status = judge(&job, name, status);
  if (exit_status) return exit_status;
  if (whole(picture, form)) {
    if (form != RENDER_SVG || !svg_named(picture, script, stem)) return 0;
    say_error("%s: %s", name, strerror(errno));
    return EXIT_OUTPUT;
  }
  say_error("%s: gnuplot said that all went well, but left no whole %s picture", name,
            endings[form]);
  return EXIT_OUTPUT;
}

// Draw what stands in a temporary file into a stream.
static int draw(FILE *script, const char *options, FILE *into)
{
  fflush(script);
  fflush(into);
  lseek(fileno(script), 0, SEEK_SET);
  // Not "-": gnuplot takes no block of several lines from there.
  char *const argv[] = {"gnuplot", "-d", "-e", (char *)options, "/dev/fd/0", NULL};
  struct job job = {.argv = argv, .input = fileno(script), .copy = into};
  int status = 0;
  if (run(&job, &status)) {
    say_error("gnuplot could not be started: %s", strerror(errno));
    return EXIT_OUTPUT;
  }
  int exit_status = judge(&job, "picture", status);
  if (exit_status || job.copied) return exit_status;
  say_error("gnuplot said that all went well, but drew nothing");
  return EXIT_OUTPUT;
}

int render_terminal(FILE *script)
{
  return draw(script, "form='term'", stdout);
}

int render_svg(FILE *script, int wide, int high, int font, FILE *picture)
{
  char options[160];
  snprintf(options, sizeof options,
           "form='svg'; out='/dev/stdout'; canvas_wide=%d; canvas_high=%d; "
           "canvas_font='sans-serif,%d'",
           wide, high, font);
  return draw(script, options, picture);
}
