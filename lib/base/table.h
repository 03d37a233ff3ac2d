// Tables of parameter rows: look up a key, walk all keys, find the nearest word.
#ifndef DF_BASE_TABLE_H
#define DF_BASE_TABLE_H

#include "base/param.h"

enum { DF_KEY_MAX = 96 };     // bytes of a dotted path, with the final zero

// The row of a key; NULL: none.
const struct df_param *df_section_find(const struct df_section *section, const char *key);

// Letters to change, add, leave out or swap with a neighbour, to make one word of the other; words
// over 64 bytes are infinitely far.
int df_word_distance(const char *a, const char *b);

// How far a word may be off to be offered as meant: one letter in a short word, one more for every
// three.
int df_word_reach(const char *word);

// The nearest of a NULL-terminated list within reach; NULL: none.
const char *df_word_nearest(const char *word, const char *const *list);

// Call `visit` for every row below `section` with its dotted path, "[]" after a list, "NAME" for
// named sections. A section comes before its rows. Walking ends when `visit` returns other than 0;
// that value is returned.
int df_section_walk(const struct df_section *section, const char *path,
                    int (*visit)(const struct df_param *row, const char *path, void *arg),
                    void *arg);

#endif
