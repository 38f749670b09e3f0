/* Sources and spans.
 *
 * In: bytes of recipe files. Out: numbered files and places in them. A position is a byte offset; line, display column
 * and UTF-16 column are computed only when something is printed. File numbers go on from those of a frozen set below
 * (the library's), so a span names its file whichever set it is in. */
#ifndef COMPILER_TEXT_SOURCE_H
#define COMPILER_TEXT_SOURCE_H

#include "runtime/base/array.h"

enum { SOURCE_LIMIT = 1 << 30 }; /* bytes; larger files are refused */

struct span {
    uint32_t file;
    uint32_t lo, hi; /* bytes, half open */
};

struct source {
    struct text path; /* as shown to the user */
    struct text bytes;
    uint32_t *lines; /* start of each line, made on first use */
    uint32_t line_count;
    uint32_t before; /* lines of the file in front of these bytes: 0 but of an excerpt */
};

struct sources {
    struct arena *arena;
    const struct sources *below;
    uint32_t first;
    ARRAY(struct source *) files;
};

struct place {
    uint32_t line;    /* from 1 */
    uint32_t column;  /* display columns from 1, tabs to 8, wide characters as 2; beyond 16 KiB bytes */
    uint32_t utf16;   /* UTF-16 units from 0 */
    struct text text; /* the line without its end; of a line above 16 KiB the part around the place */
};

void sources_init(struct sources *, struct arena *, const struct sources *below);
uint32_t source_add(struct sources *, struct text path, struct text bytes); /* neither is copied */
/* A few lines of a file that is not kept as a whole, with so many lines of it in front. */
uint32_t source_add_excerpt(struct sources *, struct text path, struct text bytes, uint32_t before);
struct source *source_at(const struct sources *, uint32_t file);
struct place place_of(struct sources *, uint32_t file, uint32_t offset);
struct text span_text(const struct sources *, struct span);
struct span span_trimmed(const struct sources *, struct span); /* without the blanks and line ends at its end */

static inline struct span span_join(struct span a, struct span b)
{
    return (struct span){a.file, a.lo < b.lo ? a.lo : b.lo, a.hi > b.hi ? a.hi : b.hi};
}

#endif
