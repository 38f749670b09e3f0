/* Growable arrays in an arena.
 *
 *   struct { struct span *at; uint32_t count, room; } spans = {0};
 *   *ARRAY_PUSH(arena, &spans) = span;
 *
 * ARRAY(type) spells the struct. Elements move when the array grows: keep indexes, not pointers. */
#ifndef RUNTIME_BASE_ARRAY_H
#define RUNTIME_BASE_ARRAY_H

#include "runtime/base/arena.h"

#define ARRAY(type)                                                                                                    \
    struct {                                                                                                           \
        type *at;                                                                                                      \
        uint32_t count, room;                                                                                          \
    }

/* Makes room for `extra` more elements of `size` bytes. */
void array_reserve(struct arena *, void **at, uint32_t count, uint32_t *room, uint32_t extra, size_t size);

/* Gives back what is behind the first `count` of an array that will not grow any more; where it is then. */
void *array_trim(struct arena *, void *at, uint32_t room, uint32_t count, size_t size);

#define ARRAY_RESERVE(arena, array, extra)                                                                             \
    array_reserve((arena), (void **)&(array)->at, (array)->count, &(array)->room, (extra), sizeof *(array)->at)

/* Pointer to a new last element, zeroed. */
#define ARRAY_PUSH(arena, array)                                                                                       \
    ((array)->count == (array)->room ? ARRAY_RESERVE((arena), (array), 1) : (void)0,                                   \
     memset(&(array)->at[(array)->count], 0, sizeof *(array)->at), &(array)->at[(array)->count++])

#endif
