// sweep: many settings of one fork, and what each value is worth.
#include "atomic.h"
#include "jobs.h"
#include "say.h"
#include "sweep_work.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static double seconds_now(void)
{
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

// Settings ridden before they are written: enough that all threads have work, few enough for memory
// (30 kB each) and for what a kill can cost.
static int chunk_rows(const struct sweep *s)
{
  int n = 64 * jobs_wanted(s->call);
  return n < 128 ? 128 : n > 1024 ? 1024 : n;
}

static void progress(const struct sweep *s, double began)
{
  long all = s->last - s->first + 1;
  char what[80];
  double left =
      (seconds_now() - began) / (double)(s->ridden ? s->ridden : 1) * (double)(all - s->done);
  if (left > 90)
    snprintf(what, sizeof what, "settings ridden, about %.0f min left", ceil(left / 60));
  else snprintf(what, sizeof what, "settings ridden, about %.0f s left", ceil(left));
  say_progress(what, s->done, all);
}

static int rides_run(struct sweep *s)
{
  int most = chunk_rows(s), status = 0;
  double *value = malloc((size_t)most * (size_t)s->axis_n * sizeof *value),
         *result = malloc((size_t)most * (size_t)s->wanted_n * sizeof *result);
  char *text = malloc((size_t)most * SWEEP_STATUS_MAX);
  double began = seconds_now();
  if (!value || !result || !text) status = EXIT_OUTPUT;
  while (!status && s->first + s->done <= s->last) {
    long first = s->first + s->done, left = s->last - first + 1;
    int n = left < most ? (int)left : most;
    for (int i = 0; i < n; i++) sweep_row(s, first + i, value + (long)i * s->axis_n);
    status = sweep_ride(s, n, value, result, text);
    if (!status) status = sweep_append(s, first, n, value, result, text);
    if (!status) s->ridden += n, progress(s, began);
  }
  say_progress_end();
  s->seconds = seconds_now() - began;
  if (stop_signal && s->folder)
    say_note("stopped after %ld of %ld rows; --resume goes on with them", s->done,
             s->last - s->first + 1);
  free(value);
  free(result);
  free(text);
  return status;
}

static int options_read(struct sweep *s)
{
  const struct options *o = &s->call->options;
  static const enum option_id need_folder[] = {OPT_RESUME, OPT_PART, OPT_GATHER};
  const char *method = option_text(o, OPT_METHOD, NULL), *kernel = option_text(o, OPT_KERNEL, NULL);
  s->folder = option_text(o, OPT_OUTPUT, NULL);
  s->options = (struct df_ride_options){
      .kernel = kernel, .tolerance = option_number(o, OPT_TOLERANCE, 0), .stop = &stop_signal};
  int form = option_word(o, OPT_RENDER, RENDER_NONE);
  if (form != RENDER_NONE && form != RENDER_TERM && !s->folder) {
    say_error("--render %s needs -o DIR for the pictures", option_text(o, OPT_RENDER, ""));
    return EXIT_USAGE;
  }
  for (int i = 0; i < 3 && !s->folder; i++)
    if (option_given(o, need_folder[i])) {
      say_error("--%s needs -o DIR", option_rows[need_folder[i]].name);
      return EXIT_USAGE;
    }
  if (method && !(s->options.method = df_method_named(method))) {
    say_error("--method %s: no such method; see dampfork help run.method", method);
    return EXIT_USAGE;
  }
  int found = !kernel;
  for (int i = 0; !found && df_kernel_name(i); i++)
    found = !strcmp(df_kernel_name(i), kernel) && df_kernel_usable(i);
  if (found) return 0;
  say_error("--kernel %s: this machine has no such kernel", kernel);
  return EXIT_USAGE;
}

static int scenario_one(const struct call *call)
{
  if (call->argument_n == 1) return 0;
  if (!call->argument_n) say_error("sweep needs SCENARIO");
  else say_error("sweep takes 1 at most, the word 2 is '%s'", call->arguments[1]);
  if (!call->argument_n) say_note("dampfork sweep --help has examples");
  return EXIT_USAGE;
}

// The scenario named beside --gather is not needed: what the parts say of themselves is compared.
static void gather_drop_scenario(struct call *call)
{
  struct stat info;
  if (!call->argument_n || stat(call->arguments[0], &info) || !S_ISREG(info.st_mode)) return;
  call->arguments++, call->argument_n--;
}

// The picture beside the rows, and drawn where it is asked for.
static int picture(const struct sweep *s)
{
  int form = option_word(&s->call->options, OPT_RENDER, RENDER_NONE), status = 0;
  int terminal = form == RENDER_TERM && s->design != DESIGN_ONE && s->design != DESIGN_TOTAL;
  FILE *stream = s->folder ? output_open(s->folder, "sweep.gp") : NULL;
  if (s->folder && !stream) return EXIT_OUTPUT;
  if (stream) {
    sweep_plot(s, stream);
    if (form != RENDER_NONE && form != RENDER_TERM)
      status = output_flush_all() ? EXIT_OUTPUT : render_file(s->folder, "sweep", form);
    if (!status) status = output_commit_all();
  }
  if (status || !terminal) return status;
  FILE *script = tmpfile();
  if (!script) return EXIT_OUTPUT;
  sweep_plot(s, script);
  status = render_terminal(script);
  fclose(script);
  return status;
}

static int sweep_run(struct sweep *s, int *bad)
{
  struct call *call = s->call;
  int status = options_read(s);
  if (status) return status;
  if (option_given(&call->options, OPT_GATHER)) {
    gather_drop_scenario(call);
    status = sweep_gather(s);
    if (!status) status = sweep_answer(s, bad);
    return status ? status : picture(s);
  }
  status = scenario_one(call);
  if (!status) status = load(call, call->arguments[0], &s->loaded);
  if (!status) status = sweep_plan(s);
  if (!status) status = sweep_head(s);
  if (!status) status = sweep_open(s);
  if (!status) status = rides_run(s);
  if (status) return status;
  int whole = s->parts == 1 && (s->design == DESIGN_ONE || s->design == DESIGN_TOTAL);
  status = sweep_answer(s, bad);
  if (!status && whole) status = sweep_worth(s);
  return status ? status : picture(s);
}

int cmd_sweep(struct call *call)
{
  struct sweep *s = calloc(1, sizeof *s);
  char **arguments = call->arguments;
  int bad = 0;
  if (!s) return EXIT_OUTPUT;
  s->call = call, s->file = -1;
  int status = sweep_run(s, &bad);
  if (s->file >= 0) close(s->file);
  for (int k = 0; k < s->axis_n; k++) free(s->axis[k].value);
  df_sobol_destroy(s->sobol);
  free(s->wanted);
  free(s->head);
  load_finish(&s->loaded);
  free(s);
  call->arguments = arguments;
  return status ? status : bad ? EXIT_CHECK_SAID_NO : EXIT_DONE;
}
