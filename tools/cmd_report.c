// report: everything about a fork beside its twin, or about two forks, in one page that needs
// nothing else.
#include "atomic.h"
#include "render.h"
#include "report_work.h"
#include "say.h"

#include <stdlib.h>

static int page_write(struct report *r)
{
  if (output_folder(r->folder)) return EXIT_OUTPUT;
  FILE *stream = output_open(r->folder, "report.html");
  if (!stream) return EXIT_OUTPUT;
  int status = report_compute(r);
  if (!status) status = report_page(r, stream);
  r->alone = 1;
  if (!status) status = report_pictures_write(r);
  if (!status) status = output_commit_all();
  else output_discard_all();
  if (!status && option_word(&r->call->options, OPT_RENDER, RENDER_NONE) == RENDER_TERM)
    status = report_pictures_here(r);
  return status;
}

static void answer(const struct report *r)
{
  char text[300];
  compare_count(&r->c, text, sizeof text);
  printf("%s against %s: %s\n", r->c.name[1], r->c.name[0], text);
  printf("Wrote %s/report.html: one file that needs no network and prints on paper.\n", r->folder);
}

int cmd_report(struct call *call)
{
  struct report *r = calloc(1, sizeof *r);
  if (!r) return EXIT_OUTPUT;
  r->call = call, r->dive = -1;
  r->folder = option_text(&call->options, OPT_OUTPUT, NULL);
  int status = 0;
  if (!r->folder) {
    say_error("report needs -o DIR: it writes DIR/report.html");
    status = EXIT_USAGE;
  }
  if (!status) status = compare_make(&r->c, call);
  if (!status) status = page_write(r);
  if (!status && !option_given(&call->options, OPT_QUIET)) answer(r);
  if (!status && r->c.early) status = EXIT_MODEL;
  report_finish(r);
  free(r);
  return status;
}
