#include "say.h"
#include "sheet_work.h"

int sheet_measured(struct sheet_work *work)
{
  say_error("%s: sheet --measured cannot compare yet", work->loaded.path);
  return EXIT_USAGE;
}
