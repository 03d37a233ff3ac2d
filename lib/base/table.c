// Look-up over parameter rows and over words.
#include "base/table.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>

enum { WORD_MAX = 64 };       // bytes; longer words are no names of ours

const struct df_param *df_section_find(const struct df_section *section, const char *key)
{
  for (int i = 0; i < section->rows; i++)
    if (!strcmp(section->row[i].key, key)) return &section->row[i];
  return NULL;
}

static int least(int a, int b)
{
  return a < b ? a : b;
}

// Optimal string alignment: three rows of the table of costs.
int df_word_distance(const char *a, const char *b)
{
  size_t n = strlen(a), m = strlen(b);
  if (n > WORD_MAX || m > WORD_MAX) return INT_MAX;
  int row[3][WORD_MAX + 1];
  for (size_t j = 0; j <= m; j++) row[0][j] = (int)j;
  for (size_t i = 1; i <= n; i++) {
    int *now = row[i%3], *last = row[(i + 2)%3], *before = row[(i + 1)%3];
    now[0] = (int)i;
    for (size_t j = 1; j <= m; j++) {
      now[j] = least(least(last[j], now[j - 1]) + 1, last[j - 1] + (a[i - 1] != b[j - 1]));
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        now[j] = least(now[j], before[j - 2] + 1);
    }
  }
  return row[n%3][m];
}

int df_word_reach(const char *word)
{
  return 1 + (int)strlen(word)/3;
}

const char *df_word_nearest(const char *word, const char *const *list)
{
  const char *best = NULL;
  int nearest = df_word_reach(word) + 1;
  for (; *list; list++) {
    int off = df_word_distance(word, *list);
    if (off < nearest) {
      nearest = off;
      best = *list;
    }
  }
  return best;
}

int df_section_walk(const struct df_section *section, const char *path,
                    int (*visit)(const struct df_param *row, const char *path, void *arg),
                    void *arg)
{
  for (int i = 0; i < section->rows; i++) {
    const struct df_param *row = &section->row[i];
    char at[DF_KEY_MAX];
    const char *tail = row->form == DF_LIST ? "[]" : row->form == DF_NAMED ? ".NAME" : "";
    snprintf(at, sizeof at, "%s%s%s%s", path, *path ? "." : "", row->key, tail);
    int result = visit(row, at, arg);
    if (!result && row->of) result = df_section_walk(row->of, at, visit, arg);
    if (result) return result;
  }
  return 0;
}
