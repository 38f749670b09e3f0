#include "runtime/base/arena.h"
#include "runtime/base/array.h"

#include <stdio.h>
#include <stdlib.h>

/* Both headers are padded to the strictest alignment so that the data behind them is aligned. */
struct arena_chunk {
    struct arena_chunk *older;
    size_t size;
    _Alignas(max_align_t) char data[];
};

struct arena_block {
    struct arena_block *next, *prev;
    size_t size;
    _Alignas(max_align_t) char data[];
};

#ifdef ARENA_SEPARATE
enum { CHUNK = 0, SMALL = 0 };
#else
enum { CHUNK = 64 * 1024, SMALL = 1024 }; /* SMALL: arrays up to this grow in the chunk, as most never grow beyond */
#endif
enum { UNIT = _Alignof(max_align_t) };

_Noreturn void arena_exhausted(struct arena *a)
{
    if (a->exhausted)
        longjmp(*a->exhausted, 1);
    abort();
}

void arena_init(struct arena *a, jmp_buf *j)
{
    *a = (struct arena){.exhausted = j};
}

static void free_chunks(struct arena_chunk *c)
{
    for (struct arena_chunk *older; c; c = older) {
        older = c->older;
        free(c);
    }
}

static void free_blocks(struct arena *a)
{
    for (struct arena_block *b = a->blocks, *next; b; b = next) {
        next = b->next;
        a->bytes -= b->size;
        free(b);
    }
    a->blocks = NULL;
}

void arena_free(struct arena *a)
{
    free_chunks(a->chunk);
    free_chunks(a->spare);
    free_blocks(a);
    *a = (struct arena){.exhausted = a->exhausted};
}

void arena_clear(struct arena *a)
{
#ifdef ARENA_SEPARATE
    arena_free(a); /* so that use after it is seen */
#else
    struct arena_chunk **last = &a->spare;
    while (*last)
        last = &(*last)->older;
    *last = a->chunk;
    free_blocks(a);
    a->chunk = NULL;
    a->used = a->size = 0;
#endif
}

/* The smallest that is large enough; NULL when none is. */
static struct arena_chunk *take_spare(struct arena *a, size_t size)
{
    struct arena_chunk **best = NULL;
    for (struct arena_chunk **at = &a->spare; *at; at = &(*at)->older)
        if ((*at)->size >= size && (!best || (*at)->size < (*best)->size))
            best = at;
    if (!best)
        return NULL;
    struct arena_chunk *c = *best;
    *best = c->older;
    return c;
}

static struct arena_chunk *new_chunk(struct arena *a, size_t size)
{
    struct arena_chunk *c = malloc(sizeof *c + size);
    if (!c)
        arena_exhausted(a);
    c->size = size;
    a->bytes += size;
    return c;
}

static void add_chunk(struct arena *a, size_t least)
{
    size_t size = least > CHUNK ? least : CHUNK;
    struct arena_chunk *c = take_spare(a, size);
    if (!c)
        c = new_chunk(a, size);
    c->older = a->chunk;
    a->chunk = c;
    a->used = 0;
    a->size = c->size;
}

static size_t in_units(size_t size)
{
    return size ? (size + UNIT - 1) / UNIT * UNIT : UNIT;
}

static char *take(struct arena *a, size_t size)
{
    if (size > SIZE_MAX - UNIT - UNIT)
        arena_exhausted(a);
    size = in_units(size);
    /* Sanitized builds have a chunk an allocation, so that an overrun is seen. */
    if (!CHUNK || !a->chunk || a->size - a->used < size)
        add_chunk(a, size);
    char *p = a->chunk->data + a->used;
    a->used += size;
    return p;
}

void *arena_alloc(struct arena *a, size_t size)
{
    return memset(take(a, size), 0, size);
}

void *arena_room(struct arena *a, size_t size)
{
    char *p = take(a, size);
#ifdef ARENA_SEPARATE
    memset(p, 0xA5, size); /* so that what is read before it is written is seen */
#endif
    return p;
}

static size_t product(struct arena *a, size_t count, size_t size)
{
    if (size && count > SIZE_MAX / size)
        arena_exhausted(a);
    return count * size;
}

void *arena_array(struct arena *a, size_t count, size_t size)
{
    return arena_alloc(a, product(a, count, size));
}

void *arena_room_for(struct arena *a, size_t count, size_t size)
{
    return arena_room(a, product(a, count, size));
}

char *arena_copy(struct arena *a, struct text t)
{
    char *p = arena_alloc(a, (size_t)t.len + 1);
    if (t.len)
        memcpy(p, t.at, t.len);
    return p;
}

struct text arena_text(struct arena *a, struct text t)
{
    return (struct text){arena_copy(a, t), t.len};
}

struct text arena_joined(struct arena *a, const struct text *parts, uint32_t count)
{
    size_t len = 0;
    for (uint32_t i = 0; i < count; i++)
        len += parts[i].len;
    char *all = arena_alloc(a, len + 1), *at = all;
    for (uint32_t i = 0; i < count; i++) {
        if (parts[i].len)
            memcpy(at, parts[i].at, parts[i].len);
        at += parts[i].len;
    }
    return (struct text){all, (uint32_t)len};
}

struct text arena_format_v(struct arena *a, const char *format, va_list args)
{
    char first[256]; /* most are shorter, and formatted once */
    va_list again;
    va_copy(again, args);
    int n = vsnprintf(first, sizeof first, format, args);
    if (n < 0)
        first[n = 0] = '\0';
    char *p = arena_alloc(a, (size_t)n + 1);
    if ((size_t)n < sizeof first)
        memcpy(p, first, (size_t)n + 1);
    else
        vsnprintf(p, (size_t)n + 1, format, again);
    va_end(again);
    return (struct text){p, (uint32_t)n};
}

struct text arena_format(struct arena *a, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    struct text t = arena_format_v(a, format, args);
    va_end(args);
    return t;
}

void *arena_grow(struct arena *a, void *old, size_t bytes)
{
    struct arena_block *b = old ? (struct arena_block *)((char *)old - offsetof(struct arena_block, data)) : NULL;
    if (bytes > SIZE_MAX - sizeof *b)
        arena_exhausted(a);
    struct arena_block *n = realloc(b, sizeof *n + bytes);
    if (!n)
        arena_exhausted(a);
    a->bytes += bytes - (b ? n->size : 0);
    n->size = bytes;
    if (!b) {
        n->prev = NULL;
        n->next = a->blocks;
        a->blocks = n;
    }
    if (n->prev)
        n->prev->next = n;
    else
        a->blocks = n;
    if (n->next)
        n->next->prev = n;
    return n->data;
}

/* An array that is still in the chunk: where it stands if it is what was taken last, else a copy. */
static void *grow_in_chunk(struct arena *a, char *old, size_t had, size_t bytes)
{
    size_t more = in_units(bytes) - (old ? in_units(had) : 0);
    bool last = old && a->chunk && old + in_units(had) == a->chunk->data + a->used;
    if (last && a->size - a->used >= more) {
        a->used += more;
        return old;
    }
    void *p = take(a, bytes);
    return old ? memcpy(p, old, had) : p;
}

static void *grow(struct arena *a, void *old, size_t had, size_t bytes)
{
    if (bytes <= SMALL)
        return grow_in_chunk(a, old, had, bytes);
    if (had > SMALL || !old)
        return arena_grow(a, old, bytes);
    return memcpy(arena_grow(a, NULL, bytes), old, had);
}

void array_reserve(struct arena *a, void **at, uint32_t count, uint32_t *room, uint32_t extra, size_t size)
{
    uint64_t need = (uint64_t)count + extra;
    uint64_t want = *room ? (uint64_t)*room + *room / 2 : size == 1 ? 64 : 16; /* a text is rarely shorter */
    if (want < need)
        want = need;
    if (want > UINT32_MAX || want * size > SIZE_MAX / 2)
        arena_exhausted(a);
    *at = grow(a, *at, *room * size, (size_t)want * size);
    *room = (uint32_t)want;
}

void *array_trim(struct arena *a, void *at, uint32_t room, uint32_t count, size_t size)
{
    return room * size > SMALL ? arena_grow(a, at, count * size) : at;
}
