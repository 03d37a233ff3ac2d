// Blocks in a chain; a piece never moves.
#include "base/arena.h"

#include <stdlib.h>
#include <string.h>

enum {
  BLOCK = 32*1024,            // bytes; a usual scenario fits in two blocks
  ALIGN = 16                  // bytes, enough for any type of C
};

struct df_block {
  struct df_block *next;
  size_t size, used;          // bytes
  _Alignas(ALIGN) unsigned char at[];
};

static struct df_block *block_create(size_t size)
{
  struct df_block *block = malloc(sizeof *block + size);
  if (!block) return NULL;
  block->next = NULL;
  block->size = size;
  block->used = 0;
  return block;
}

// The next block that has room for `size` bytes, from those kept or a new one.
static struct df_block *block_with_room(struct df_arena *arena, size_t size)
{
  struct df_block *block = arena->now;
  while (block && block->size - block->used < size && block->next) block = block->next;
  if (block && block->size - block->used >= size) return arena->now = block;
  struct df_block *fresh = block_create(size > BLOCK ? size : BLOCK);
  if (!fresh) return NULL;
  if (block) block->next = fresh;
  else arena->first = fresh;
  return arena->now = fresh;
}

void *df_arena_take(struct df_arena *arena, size_t size)
{
  if (size > arena->limit) return NULL;
  size_t rounded = (size + ALIGN - 1)/ALIGN*ALIGN;
  if (rounded > arena->limit - arena->taken) return NULL;
  struct df_block *block = block_with_room(arena, rounded);
  if (!block) return NULL;
  void *piece = block->at + block->used;
  block->used += rounded;
  arena->taken += rounded;
  return memset(piece, 0, rounded);
}

char *df_arena_text(struct df_arena *arena, const char *text, size_t length)
{
  char *copy = df_arena_take(arena, length + 1);
  if (copy) memcpy(copy, text, length);
  return copy;
}

void df_arena_reset(struct df_arena *arena)
{
  for (struct df_block *block = arena->first; block; block = block->next) block->used = 0;
  arena->now = arena->first;
  arena->taken = 0;
}

void df_arena_finish(struct df_arena *arena)
{
  for (struct df_block *block = arena->first, *next; block; block = next) {
    next = block->next;
    free(block);
  }
  arena->first = arena->now = NULL;
  arena->taken = 0;
}
