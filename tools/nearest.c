// Edit distance with swaps of neighbours (optimal string alignment).
#include "nearest.h"

#include <string.h>

enum { WORD_MAX = 64 };       // longer words are no names of ours

static int least(int a, int b)
{
  return a < b ? a : b;
}

static int distance(const char *a, const char *b)
{
  int n = (int)strlen(a), m = (int)strlen(b);
  if (n > WORD_MAX || m > WORD_MAX) return n + m;
  int cost[WORD_MAX + 1][WORD_MAX + 1];
  for (int i = 0; i <= n; i++) cost[i][0] = i;
  for (int j = 0; j <= m; j++) cost[0][j] = j;
  for (int i = 1; i <= n; i++)
    for (int j = 1; j <= m; j++) {
      int other = a[i - 1] != b[j - 1];
      cost[i][j] = least(least(cost[i - 1][j], cost[i][j - 1]) + 1, cost[i - 1][j - 1] + other);
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) cost[i][j] = least(cost[i][j], cost[i - 2][j - 2] + 1);
    }
  return cost[n][m];
}

const char *nearest_word(const char *word, const char *const *list)
{
  const char *best = NULL;
  int n = (int)strlen(word), best_cost = n/3 + 2; // one change in a short word, one more for each three letters
  for (; *list; list++) {
    int cost = distance(word, *list);
    int starts = n >= 3 && !strncmp(word, *list, n); // a beginning of the word counts as near
    if (starts) cost = 1;
    if (cost < best_cost) best_cost = cost, best = *list;
  }
  return best;
}
