#include "grammar/conflict.h"
#include "runtime/base/buffer.h"

enum { MARK = 7, NAMED = 12, LABELLED = 40 }; /* signs a marker begins with; lines named, and pointed at, one by one */

struct marker {
    struct span span;
    uint32_t line;
    char sign;
};

struct markers {
    struct marker at[LABELLED]; /* the first of them */
    uint32_t count;
};

/* Seven of the sign at the start of a line, then a blank or its end. */
static bool is_marker(struct text b, uint32_t at)
{
    if (b.len - at < MARK || (at && b.at[at - 1] != '\n'))
        return false;
    for (uint32_t i = 1; i < MARK; i++)
        if (b.at[at + i] != b.at[at])
            return false;
    return at + MARK == b.len || strchr(" \r\n", b.at[at + MARK]) != NULL;
}

/* Recipes have few angle brackets, so that going from one to the next costs next to nothing. */
static bool has_marker(struct text b, char sign)
{
    for (uint32_t at = 0; at < b.len; at++) {
        const char *next = memchr(b.at + at, sign, b.len - at);
        if (!next)
            return false;
        at = (uint32_t)(next - b.at);
        if (is_marker(b, at))
            return true;
    }
    return false;
}

static void find_markers(struct text b, uint32_t file, struct markers *found)
{
    uint32_t line = 1;
    for (uint32_t at = 0; at < b.len; line++) {
        const char *newline = memchr(b.at + at, '\n', b.len - at);
        uint32_t end = newline ? (uint32_t)(newline - b.at) : b.len, next = end + (newline != NULL);
        char sign = b.at[at];
        if ((sign == '<' || sign == '|' || sign == '=' || sign == '>') && is_marker(b, at)) {
            end -= end > at && b.at[end - 1] == '\r';
            if (found->count < LABELLED)
                found->at[found->count] = (struct marker){{file, at, end}, line, sign};
            found->count++;
        }
        at = next;
    }
}

static const char *meaning(char sign)
{
    switch (sign) {
    case '<':
        return "from here on the text of one side";
    case '|':
        return "what both sides started from";
    case '=':
        return "from here on the text of the other side";
    default:
        return "here the two sides meet again";
    }
}

/* "12, 18 and 25"; beyond a dozen "12, 18, ... and 30 more". */
static struct text name_lines(struct arena *a, const struct markers *m)
{
    struct buffer b;
    uint32_t named = m->count > NAMED ? NAMED : m->count;
    buffer_init(&b, a);
    for (uint32_t i = 0; i < named; i++)
        buffer_printf(&b, "%s%u", i == 0 ? "" : i + 1 == m->count ? " and " : ", ", m->at[i].line);
    if (m->count > named)
        buffer_printf(&b, " and %u more", m->count - named);
    return buffer_text(&b);
}

bool report_conflict(struct arena *a, struct text bytes, uint32_t file, struct diagnostics *g)
{
    struct markers found = {.count = 0};
    if (!has_marker(bytes, '<') && !has_marker(bytes, '>'))
        return false;
    find_markers(bytes, file, &found);
    struct diagnostic *d = report(g, FAULT_conflict_marker, found.at[0].span,
                                  "two versions of this file were merged and not settled: %s %.*s",
                                  found.count == 1 ? "there is a marker in line" : "markers stand in the lines",
                                  TEXT_ARGS(name_lines(a, &found)));
    report_here(g, d, "%s", meaning(found.at[0].sign));
    for (uint32_t i = 1; i < found.count && i < LABELLED; i++)
        report_label(g, d, found.at[i].span, "%s", meaning(found.at[i].sign));
    report_help(g, d,
                "at each place keep the lines that hold, from one side or from both, and delete the marker lines; "
                "then read the recipe once more as a whole");
    return true;
}
