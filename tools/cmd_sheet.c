// sheet: the bench sheet of one scenario, the empty form, or what was measured against the
// scenario.
#include "atomic.h"
#include "commands.h"
#include "load.h"
#include "say.h"
#include "sheet_work.h"

#include <stdlib.h>
#include <string.h>

static void write_page(const struct sheet_work *work, int blank, FILE *stream, int html)
{
  if (blank) sheet_blank(stream, html, work->loaded.reading ? &work->loaded : NULL);
  else sheet_page(work, stream, html);
}

// sheet.txt and sheet.html. Returns an exit status.
static int files_write(const struct sheet_work *work, int blank)
{
  const char *folder = option_text(&work->call->options, OPT_OUTPUT, NULL);
  if (!folder) return 0;
  int status = output_folder(folder);
  FILE *text = status ? NULL : output_open(folder, "sheet.txt");
  FILE *page = text ? output_open(folder, "sheet.html") : NULL;
  if (!page) return EXIT_OUTPUT;
  write_page(work, blank, text, 0);
  write_page(work, blank, page, 1);
  return output_commit_all();
}

static void answer(const struct sheet_work *work, int blank)
{
  if (option_given(&work->call->options, OPT_QUIET)) return;
  if (blank || work->call->format == FORMAT_TEXT) write_page(work, blank, stdout, 0);
  else if (work->call->format == FORMAT_JSON) sheet_json(work);
  else sheet_csv(work);
}

static int refused(const struct sheet_work *work)
{
  for (int i = 0; i < work->refused_n; i++)
    say_error("%s: refused: %s", work->loaded.path, work->refused[i].text);
  return work->refused_n ? EXIT_CHECK_SAID_NO : EXIT_DONE;
}

static int linear(const struct sheet_work *work)
{
  if (!work->loaded.scenario->side[0].leg.has_linear) return 0;
  say_error("%s: leg.linear stands in for the whole leg; there is nothing to cut, drill or pour",
            work->loaded.path);
  return EXIT_CHECK_SAID_NO;
}

static int blank(struct sheet_work *work)
{
  int status =
      work->call->argument_n ? load(work->call, work->call->arguments[0], &work->loaded) : 0;
  if (!status) status = files_write(work, 1);
  if (!status) answer(work, 1);
  return status;
}

static int sheet(struct sheet_work *work, int silent)
{
  int status = sheet_compute(work);
  if (!status) status = files_write(work, 0);
  if (status) return status;
  if (!silent) answer(work, 0);
  return refused(work);
}

// The sheet follows only when what was measured agrees, and only into files.
static int measured(struct sheet_work *work)
{
  int settled = 0, status = sheet_measured(work, &settled);
  if (status) return status;
  if (!settled) return EXIT_CHECK_SAID_NO;
  return option_given(&work->call->options, OPT_OUTPUT) ? sheet(work, 1) : EXIT_DONE;
}

static int page(struct sheet_work *work)
{
  int status = load(work->call, work->call->arguments[0], &work->loaded);
  if (!status) status = linear(work);
  if (status) return status;
  return option_given(&work->call->options, OPT_MEASURED) ? measured(work) : sheet(work, 0);
}

int cmd_sheet(struct call *call)
{
  struct sheet_work *work = calloc(1, sizeof *work);
  int status = EXIT_USAGE;
  if (!work) return EXIT_OUTPUT;
  work->call = call;
  if (option_given(&call->options, OPT_BLANK)) status = blank(work);
  else if (call->argument_n) status = page(work);
  else {
    say_error("sheet needs SCENARIO");
    say_note("dampfork sheet --blank prints the form before anything is known");
  }
  load_finish(&work->loaded);
  free(work->scenario);
  free(work);
  return status;
}
