// Numbers are read and written with a point, whatever the program around us has chosen: the C
// locale for the calling thread.
#ifndef DF_BASE_PLAIN_H
#define DF_BASE_PLAIN_H

#include <locale.h>

// From here to df_plain_leave this thread reads and writes numbers with a point. Takes the value
// that df_plain_enter returned.
static inline locale_t df_plain_enter(void)
{
  locale_t plain =
      newlocale(LC_ALL_MASK, "C", (locale_t)0); // glibc hands out a constant, nothing is allocated
  return plain ? uselocale(plain) : (locale_t)0;
}

static inline void df_plain_leave(locale_t before)
{
  if (!before) return;
  locale_t plain = uselocale(before);
  if (plain != before && plain != LC_GLOBAL_LOCALE) freelocale(plain);
}

#endif
