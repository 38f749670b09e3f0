/* Bytes that a library hands out piece by piece. Its memory is malloc's: an arena that is exhausted jumps out, and may
 * not do so across a library's frames. So a stream that runs out only remembers it. */
#ifndef COMPILER_EMIT_PAGES_DRAWING_STREAM_H
#define COMPILER_EMIT_PAGES_DRAWING_STREAM_H

#include <stdbool.h>
#include <stddef.h>

struct stream {
    char *at;
    size_t count, room;
    bool failed;
};

bool stream_put(struct stream *, const void *bytes, size_t count); /* false from the first failure on */
void stream_free(struct stream *);

#endif
