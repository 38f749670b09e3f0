#include "compiler/text/source.h"

#include "runtime/base/utf8.h"

void sources_init(struct sources *s, struct arena *arena, const struct sources *below)
{
    *s = (struct sources){.arena = arena, .below = below, .first = below ? below->first + below->files.count : 1};
}

uint32_t source_add(struct sources *s, struct text path, struct text bytes)
{
    struct source *file = ARENA_NEW(s->arena, struct source);
    file->path = path;
    file->bytes = bytes.at ? bytes : TEXT(""); /* so that places in it can be pointed to */
    *ARRAY_PUSH(s->arena, &s->files) = file;
    return s->first + s->files.count - 1;
}

uint32_t source_add_excerpt(struct sources *s, struct text path, struct text bytes, uint32_t before)
{
    uint32_t file = source_add(s, path, bytes);
    source_at(s, file)->before = before;
    return file;
}

struct source *source_at(const struct sources *s, uint32_t file)
{
    while (s && file < s->first)
        s = s->below;
    return s && file - s->first < s->files.count ? s->files.at[file - s->first] : NULL;
}

struct text span_text(const struct sources *s, struct span span)
{
    const struct source *file = source_at(s, span.file);
    if (!file)
        return TEXT("");
    uint32_t hi = span.hi < file->bytes.len ? span.hi : file->bytes.len;
    uint32_t lo = span.lo < hi ? span.lo : hi;
    return (struct text){file->bytes.at + lo, hi - lo};
}

struct span span_trimmed(const struct sources *s, struct span span)
{
    struct text t = span_text(s, span);
    span.hi = span.lo + t.len;
    while (t.len && strchr(" \t\r\n", t.at[t.len - 1]))
        t.len--;
    if (t.len)
        span.hi = span.lo + t.len;
    return span;
}

/* ---- lines ---- */

static uint32_t line_after(struct text bytes, uint32_t at)
{
    const char *end = at < bytes.len ? memchr(bytes.at + at, '\n', bytes.len - at) : NULL;
    return end ? (uint32_t)(end - bytes.at) + 1 : bytes.len + 1;
}

static void index_lines(struct arena *arena, struct source *file)
{
    uint32_t count = 0;
    for (uint32_t at = 0; at <= file->bytes.len; at = line_after(file->bytes, at))
        count++;
    file->lines = ARENA_ARRAY(arena, count, uint32_t);
    for (uint32_t at = 0; at <= file->bytes.len; at = line_after(file->bytes, at))
        file->lines[file->line_count++] = at;
}

/* Index of the line that holds the offset: the last that starts at or before it. */
static uint32_t line_of(const struct source *file, uint32_t offset)
{
    uint32_t lo = 0, hi = file->line_count;
    while (hi - lo > 1) {
        uint32_t mid = lo + (hi - lo) / 2;
        if (file->lines[mid] <= offset)
            lo = mid;
        else
            hi = mid;
    }
    return lo;
}

/* A file of the frozen set below belongs to another arena and may be read by several compilations at once, so its
 * lines are counted anew each time. The library's files are short. */
static uint32_t line_counted(const struct source *file, uint32_t offset, uint32_t *start)
{
    uint32_t line = 0;
    *start = 0;
    for (uint32_t next = line_after(file->bytes, 0); next <= offset; next = line_after(file->bytes, next)) {
        *start = next;
        line++;
    }
    return line;
}

static struct text line_text(struct text bytes, uint32_t start)
{
    uint32_t end = line_after(bytes, start) - 1;
    if (end > start && end < bytes.len && bytes.at[end - 1] == '\r')
        end--;
    return (struct text){bytes.at + start, end - start};
}

/* The start of the character that the offset is in: an offset inside a sequence stands for the whole character. */
static uint32_t character_start(struct text line, uint32_t offset)
{
    for (uint32_t back = 1; back < 4 && back <= offset; back++) {
        struct utf8_char c = utf8_at(line, offset - back);
        if (c.valid)
            return c.len > back ? offset - back : offset;
    }
    return offset;
}

enum { COUNTED = 16384, KEPT = 4096 };

/* Of a line of megabytes the part around the offset is as good as the whole, and a thousand faults in it stay cheap. */
static struct text around(struct text line, uint32_t offset)
{
    if (line.len <= COUNTED)
        return line;
    uint32_t lo = offset > KEPT ? character_start(line, offset - KEPT) : 0;
    uint32_t hi = line.len - offset > KEPT ? character_start(line, offset + KEPT) : line.len;
    return (struct text){line.at + lo, hi - lo};
}

struct place place_of(struct sources *s, uint32_t file, uint32_t offset)
{
    struct source *source = source_at(s, file);
    if (!source)
        return (struct place){.text = TEXT("")};
    if (offset > source->bytes.len)
        offset = source->bytes.len;
    uint32_t line, start;
    if (source->lines || file >= s->first) {
        if (!source->lines)
            index_lines(s->arena, source);
        line = line_of(source, offset);
        start = source->lines[line];
    } else {
        line = line_counted(source, offset, &start);
    }
    struct text text = line_text(source->bytes, start);
    uint32_t end = character_start(text, offset - start < text.len ? offset - start : text.len);
    struct text before = {text.at, end < COUNTED ? end : COUNTED};
    uint32_t rest = end - before.len; /* so far along, bytes must do: each count starts at the line's beginning */
    return (struct place){source->before + line + 1, utf8_columns(before) + rest + 1, utf8_utf16(before) + rest,
                          around(text, end)};
}
