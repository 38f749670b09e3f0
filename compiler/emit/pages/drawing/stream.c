#include "compiler/emit/pages/drawing/stream.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

bool stream_put(struct stream *s, const void *bytes, size_t count)
{
    if (s->room - s->count < count) {
        size_t room = (s->room + count) * 2;
        char *grown = s->failed || room > UINT32_MAX ? NULL : realloc(s->at, room);
        s->failed = !grown;
        if (s->failed)
            return false;
        s->at = grown;
        s->room = room;
    }
    if (count)
        memcpy(s->at + s->count, bytes, count);
    s->count += count;
    return !s->failed;
}

void stream_free(struct stream *s)
{
    free(s->at);
    *s = (struct stream){0};
}
