// The beginning of a word counts as meant; otherwise the library's distance decides.
#include "nearest.h"

#include "base/table.h"

#include <string.h>

const char *nearest_word(const char *word, const char *const *list)
{
  size_t n = strlen(word);
  for (int i = 0; n >= 3 && list[i]; i++)
    if (!strncmp(word, list[i], n)) return list[i];
  return df_word_nearest(word, list);
}
