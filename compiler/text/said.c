#include "compiler/text/said.h"

#include "runtime/base/buffer.h"

/* ---- lookup ------------------------------------------------------------------------------------------------------- */

/* Compares "context\004english" with the head of a row, without putting it together. */
static int compare(const char *context, struct text english, const char *row)
{
    for (const char *c = context; c && *c; c++, row++)
        if (*c != *row)
            return (unsigned char)*c < (unsigned char)*row ? -1 : 1;
    if (context && *row++ != '\004')
        return (unsigned char)row[-1] > '\004' ? -1 : 1;
    for (uint32_t i = 0; i < english.len; i++, row++)
        if (english.at[i] != *row)
            return (unsigned char)english.at[i] < (unsigned char)*row ? -1 : 1;
    return *row ? -1 : 0;
}

/* NULL when there is no translation. */
static const char *find(enum language language, const char *context, struct text english)
{
    uint32_t low = 0, high = catalogue_count;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        const struct catalogue_row *row = &catalogue_table[middle];
        int order = compare(context, english, catalogue_bytes + row->english);
        if (order == 0)
            return row->said[language - 1] ? catalogue_bytes + row->said[language - 1] : NULL;
        if (order < 0)
            high = middle;
        else
            low = middle + 1;
    }
    return NULL;
}

struct text said_text(enum language language, const char *context, struct text english)
{
    const char *found = language == LANGUAGE_EN || !english.len ? NULL : find(language, context, english);
    return found ? text_of(found) : english;
}

struct text said_in(enum language language, const char *context, const char *english)
{
    return said_text(language, context, text_of(english));
}

struct text said(enum language language, const char *english)
{
    return said_text(language, NULL, text_of(english));
}

struct text said_name(struct arena *arena, enum language language, const char *context, struct text name)
{
    char *out = arena_alloc(arena, (size_t)name.len + 1);
    for (uint32_t i = 0; i < name.len; i++)
        out[i] = name.at[i] == '-' ? ' ' : name.at[i];
    return said_text(language, context, (struct text){out, name.len});
}

/* ---- filling ------------------------------------------------------------------------------------------------------ */

static const struct said_part *part_named(struct text name, const struct said_part *parts, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++)
        if (text_is(name, parts[i].name))
            return &parts[i];
    return NULL;
}

struct text said_filled(struct arena *arena, struct text pattern, const struct said_part *parts, uint32_t count)
{
    struct buffer b;
    buffer_init(&b, arena);
    for (uint32_t at = 0; at < pattern.len;) {
        const char *close = pattern.at[at] == '{' ? memchr(pattern.at + at, '}', pattern.len - at) : NULL;
        struct text name = {pattern.at + at + 1, close ? (uint32_t)(close - pattern.at) - at - 1 : 0};
        const struct said_part *part = close ? part_named(name, parts, count) : NULL;
        if (part) {
            buffer_put(&b, part->value);
            at += name.len + 2;
        } else {
            buffer_putc(&b, pattern.at[at++]);
        }
    }
    return buffer_text(&b);
}

/* Two forms, one for 1 and one for all else, or one form for all: the rules of language_table. */
struct text said_count(struct arena *arena, enum language language, const char *one, const char *many, uint32_t n)
{
    const char *found = language == LANGUAGE_EN ? NULL : find(language, NULL, text_of(one));
    struct text form = text_of(n == 1 ? one : many), number = arena_format(arena, "%u", n);
    if (found) {
        bool second = n != 1 && !strstr(language_table[language].plurals, "nplurals=1");
        form = text_of(second ? found + strlen(found) + 1 : found);
    }
    return said_filled(arena, form, SAID_PARTS({"n", number}));
}
