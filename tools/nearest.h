// "Did you mean": the nearest of some words.
#ifndef DF_TOOLS_NEAREST_H
#define DF_TOOLS_NEAREST_H

// The word of the NULL-terminated list that was probably meant; NULL: none is near.
const char *nearest_word(const char *word, const char *const *list);

#endif
