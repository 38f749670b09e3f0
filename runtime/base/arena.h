/* Arena: everything one compilation allocates, released at once.
 *
 * arena_alloc never returns NULL: when memory runs out it jumps to `exhausted`, which the public entry point sets
 * (setjmp) before it does anything else. So no stage tests an allocation, and none leaks.
 * Small requests share chunks; arrays that grow (array.h) large are blocks of their own, moved by realloc. */
#ifndef RUNTIME_BASE_ARENA_H
#define RUNTIME_BASE_ARENA_H

#include "runtime/base/text.h"

#include <setjmp.h>
#include <stdarg.h>

struct arena_chunk;
struct arena_block;

struct arena {
    struct arena_chunk *chunk;  /* newest first */
    struct arena_chunk *spare;  /* of before the last arena_clear, to be used again */
    struct arena_block *blocks; /* growable arrays, each its own allocation */
    size_t used, size;          /* within the newest chunk */
    size_t bytes;               /* total asked of the system, for the bench */
    jmp_buf *exhausted;         /* where to go when memory runs out; NULL: abort() */
};

#define PRINTF_LIKE(f, a) __attribute__((format(printf, f, a)))

void arena_init(struct arena *, jmp_buf *exhausted);
void arena_free(struct arena *); /* releases all; the arena may be used again */
/* Empties the arena and keeps its chunks. */
void arena_clear(struct arena *);

/* Jumps to `exhausted`, as a request does that cannot be met. */
_Noreturn void arena_exhausted(struct arena *);

/* Zeroed memory, aligned for any type. size 0 gives a valid pointer. */
void *arena_alloc(struct arena *, size_t size);
/* Not zeroed: for what is filled at once. */
void *arena_room(struct arena *, size_t size);
/* count * size, with overflow treated as exhaustion. */
void *arena_array(struct arena *, size_t count, size_t size);
void *arena_room_for(struct arena *, size_t count, size_t size);

char *arena_copy(struct arena *, struct text);       /* its bytes and a NUL, to be changed */
struct text arena_text(struct arena *, struct text); /* a copy, followed by a NUL that the length does not count */
/* The parts one behind the other, followed by a NUL. A tenth of the work of arena_format(). */
struct text arena_joined(struct arena *, const struct text *parts, uint32_t count);
struct text arena_format(struct arena *, const char *format, ...) PRINTF_LIKE(2, 3);
struct text arena_format_v(struct arena *, const char *format, va_list);

/* Growable blocks for array.h: old may be NULL. The new part is not zeroed. */
void *arena_grow(struct arena *, void *old, size_t bytes);

#define ARENA_NEW(arena, type) ((type *)arena_alloc((arena), sizeof(type)))
#define ARENA_ROOM(arena, count, type) ((type *)arena_room_for((arena), (count), sizeof(type)))
#define ARENA_ARRAY(arena, count, type) ((type *)arena_array((arena), (count), sizeof(type)))

#endif
