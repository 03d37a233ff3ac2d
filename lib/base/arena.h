// Memory that is taken in pieces and given back at once.
#ifndef DF_BASE_ARENA_H
#define DF_BASE_ARENA_H

#include <stddef.h>

struct df_block;

// All zero but `limit` is a valid empty arena.
struct df_arena {
  struct df_block *first, *now;
  size_t limit;               // bytes that may be taken in all; more is refused
  size_t taken;               // bytes
};

// `size` bytes of zeros, aligned for any type; NULL when memory or limit is used up.
void *df_arena_take(struct df_arena *arena, size_t size);

// A copy of `length` bytes with a zero behind them; NULL as above.
char *df_arena_text(struct df_arena *arena, const char *text, size_t length);

// Forget everything, keep the memory for the next use.
void df_arena_reset(struct df_arena *arena);

// Give all memory back.
void df_arena_finish(struct df_arena *arena);

#endif
