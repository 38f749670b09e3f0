/* A byte buffer that printers fill and one writer puts on disk, whole or not at all. */
#ifndef RUNTIME_BASE_BUFFER_H
#define RUNTIME_BASE_BUFFER_H

#include "runtime/base/arena.h"

struct buffer {
    struct arena *arena;
    char *at;
    uint32_t count, room;
};

void buffer_init(struct buffer *, struct arena *);
void buffer_put(struct buffer *, struct text);
void buffer_putc(struct buffer *, char);
void buffer_printf(struct buffer *, const char *format, ...) PRINTF_LIKE(2, 3);
void buffer_pad(struct buffer *, char, uint32_t count);
struct text buffer_text(const struct buffer *);

/* Writes to a temporary file beside `path` and renames it over that. On failure nothing is left behind and the return is
 * an errno value; 0 on success. For what can be made again: it is not waited for until it is on the disk. */
int buffer_write_file(const char *path, struct text bytes);
/* The same for what somebody wrote by hand: safe on the disk before it takes the place of the old, whose rights it has.
 * A file that nobody may write to is left alone: EROFS. */
int buffer_write_kept(const char *path, struct text bytes);
/* A whole file into the arena, of whatever kind and size: for tools that read what is their own. An errno value, or 0. */
int buffer_read_file(struct arena *, const char *path, struct text *bytes);

#endif
