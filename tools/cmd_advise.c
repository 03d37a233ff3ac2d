// advise: which settings suit this bike, how sure, what they cost elsewhere; what to change after a ride.
#include "complaint_work.h"
#include "jobs.h"
#include "render.h"
#include "say.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static int options_read(struct advise_work *w)
{
  const struct options *o = &w->call->options;
  char *rest = NULL;
  w->folder = option_text(o, OPT_OUTPUT, NULL);
  w->ride = (struct df_ride_options){.kernel = option_text(o, OPT_KERNEL, NULL),
                                     .tolerance = option_number(o, OPT_TOLERANCE, 0),
                                     .stop = &stop_signal};
  snprintf(w->changes, sizeof w->changes, "%s", option_text(o, OPT_CHANGE, ""));
  for (char *word = strtok_r(w->changes, ",", &rest); word && w->key_n < CHANGES_MAX; word = strtok_r(NULL, ",", &rest))
    w->key[w->key_n++] = word + strspn(word, " ");
  return 0;
}

static int fault_exit(const struct advise_work *w, enum df_status status, const struct df_faults *faults)
{
  if (stop_signal) return stop_status();
  int from_change = status == DF_UNKNOWN_NAME && faults->n;
  int result = status_exit(w->loaded.path, status, faults);
  return from_change && w->key_n ? EXIT_USAGE : result;
}

static int settings_run(struct advise_work *w)
{
  const struct options *o = &w->call->options;
  struct df_faults *faults = calloc(1, sizeof *faults);
  if (!faults) return EXIT_OUTPUT;
  struct df_advise_options options = {.key = w->key_n ? w->key : NULL,
                                      .key_n = w->key_n,
                                      .sample = (int)option_number(o, OPT_SAMPLE, 0),
                                      .draws = (int)option_number(o, OPT_SPREAD, 0),
                                      .seed = (unsigned long)option_number(o, OPT_SEED, 1),
                                      .threads = jobs_wanted(w->call),
                                      .ride = w->ride};
  enum df_status status = df_advise(&w->advice, w->loaded.reading, &options, faults);
  options.seed++;
  options.also = status == DF_OK && w->advice.proposed > 0 ? w->advice.setting[w->advice.proposed].at : NULL;
  if (status == DF_OK) status = df_advise(&w->other, w->loaded.reading, &options, faults);
  int result = status ? fault_exit(w, status, faults) : 0;
  free(faults);
  return result;
}

static int draw_here(const struct advise_work *w)
{
  FILE *script = tmpfile();
  if (!script) {
    say_error("no temporary file for the picture");
    return EXIT_OUTPUT;
  }
  advise_plot(script, w);
  int status = render_terminal(script);
  fclose(script);
  return status;
}

static int answer(const struct advise_work *w)
{
  int status = w->folder ? advise_write(w) : 0;
  if (status) return status;
  if (w->call->format == FORMAT_JSON) advise_json(w);
  else if (w->call->format == FORMAT_CSV) {
    struct csv csv = csv_begin(stdout, w->call->digits);
    head_csv(w->call, &w->loaded, 1, &csv);
    advise_rows(w, &csv);
  } else if (!option_given(&w->call->options, OPT_QUIET)) advise_say(w);
  return option_word(&w->call->options, OPT_RENDER, RENDER_NONE) == RENDER_TERM ? draw_here(w) : 0;
}

int cmd_advise(struct call *call)
{
  struct advise_work *w = calloc(1, sizeof *w);
  if (!w) return EXIT_OUTPUT;
  w->call = call;
  int status = options_read(w);
  if (!status) status = load(call, call->arguments[0], &w->loaded);
  const char *complaint = option_text(&call->options, OPT_COMPLAINT, NULL);
  int render = option_word(&call->options, OPT_RENDER, RENDER_NONE);
  if (!status && render != RENDER_NONE && (complaint || (render != RENDER_TERM && !w->folder))) {
    if (complaint) say_error("--render draws settings, and --complaint ranks changes: leave one of them out");
    else say_error("--render %s needs -o DIR for the picture", option_text(&call->options, OPT_RENDER, ""));
    status = EXIT_USAGE;
  }
  if (!status && !complaint && option_given(&call->options, OPT_OBSERVED)) {
    say_error("--observed needs --complaint: what was said is asked before what was read");
    status = EXIT_USAGE;
  }
  if (!status && complaint) status = complaint_run(w, complaint);
  else if (!status) status = settings_run(w);
  if (!status && !complaint) status = answer(w);
  if (!status && w->advice.now_refused) status = EXIT_CHECK_SAID_NO;
  df_advice_finish(&w->advice);
  df_advice_finish(&w->other);
  load_finish(&w->loaded);
  free(w);
  return status;
}
