/* Printed spelling. Values come typeset already; texts with values filled in, limits and recipe's own words come in
 * ASCII spelling, and are respelled here: a number, a space and a unit become what ISO 80000-1 asks for. */
#include "compiler/emit/pages/drawing/print_text.h"

#include "compiler/emit/escape.h"
#include "compiler/text/typeset.h"
#include "runtime/base/utf8.h"

#include <glib.h>

#define NO_BREAK_SPACE "\xC2\xA0"
#define MINUS "\xE2\x88\x92"

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool starts(struct text t, uint32_t at, const char *z)
{
    size_t n = strlen(z);
    return t.len - at >= n && memcmp(t.at + at, z, n) == 0;
}

/* Length of the unit that begins here: the word up to the next blank, without the punctuation of the sentence. A
 * closing parenthesis stays when it closes one of the unit's own. */
static uint32_t unit_length(struct text t, uint32_t at)
{
    uint32_t end = at, opened = 0;
    for (uint32_t len; end < t.len && t.at[end] != ' '; end += len) {
        struct utf8_char c = utf8_at(t, end);
        if (utf8_point_columns(c.point) > 1) /* Japanese goes on without a blank; no unit has a wide character */
            break;
        len = c.len;
        opened += c.point == '(';
    }
    while (end > at && strchr(".,;:!?)\"'", t.at[end - 1]) && !(t.at[end - 1] == ')' && opened))
        end--;
    return end - at;
}

/* Puts the unit in print, joined to its number; 0 when what stands here is no unit. */
static uint32_t put_unit(struct buffer *b, struct text t, uint32_t at)
{
    struct unit unit;
    struct unit_error error;
    struct text word = {t.at + at, unit_length(t, at)};
    if (!word.len || is_digit(word.at[0]) || unit_read(word, &unit, &error) != UNIT_OK)
        return 0;
    struct text print = typeset_unit(b->arena, &unit, SPELL_PRINT);
    bool mark = text_is(print, "°") || text_is(print, "′") || text_is(print, "″");
    buffer_put(b, mark ? TEXT("") : TEXT(NO_BREAK_SPACE));
    buffer_put(b, print);
    return word.len;
}

static const struct {
    const char *ascii, *print;
    bool opens; /* the number behind it may have a sign of its own */
} signs[] = {{"+/- ", "±" NO_BREAK_SPACE, true}, {".. ", "… ", true}, {"-", MINUS, false}};

/* A sign of ASCII spelling that stands at the start of a word and in front of a number; 0 when there is none. */
static uint32_t put_sign(struct buffer *b, struct text t, uint32_t at)
{
    if (at && t.at[at - 1] != ' ' && t.at[at - 1] != '(')
        return 0;
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
        uint32_t n = (uint32_t)strlen(signs[i].ascii);
        if (!starts(t, at, signs[i].ascii) || at + n == t.len ||
            !(is_digit(t.at[at + n]) || (signs[i].opens && t.at[at + n] == '-')))
            continue;
        buffer_put(b, text_of(signs[i].print));
        return n;
    }
    return 0;
}

struct text print_text(struct arena *arena, struct text raw)
{
    struct text t = escape_plain(arena, raw);
    struct buffer b;
    buffer_init(&b, arena);
    for (uint32_t at = 0, n; at < t.len;) {
        if ((n = put_sign(&b, t, at))) {
            at += n;
        } else if (t.at[at] == ' ' && at && is_digit(t.at[at - 1]) && (n = put_unit(&b, t, at + 1))) {
            at += n + 1;
        } else {
            buffer_putc(&b, t.at[at++]);
        }
    }
    return arena_text(arena, buffer_text(&b));
}

/* Length of the number in front, its sign and its power of ten included. */
static uint32_t number_length(struct text t)
{
    uint32_t at = starts(t, 0, MINUS) ? sizeof MINUS - 1 : 0, digits = at;
    while (at < t.len &&
           (is_digit(t.at[at]) || ((t.at[at] == '.' || t.at[at] == ',') && at + 1 < t.len && is_digit(t.at[at + 1]))))
        at++;
    return at > digits ? at : 0;
}

struct figure print_text_figure(struct text t)
{
    uint32_t n = number_length(t), gap = n;
    if (starts(t, n, NO_BREAK_SPACE "×"))
        n = 0; /* 2.6 × 10⁻⁵ stays whole */
    if (n && starts(t, n, NO_BREAK_SPACE))
        gap += sizeof NO_BREAK_SPACE - 1;
    return (struct figure){{t.at, n}, {t.at + (n ? gap : 0), t.len - (n ? gap : 0)}};
}

struct text print_text_capitals(struct arena *arena, struct text raw)
{
    struct text t = escape_plain(arena, raw);
    struct buffer b;
    buffer_init(&b, arena);
    for (const char *at = t.at; t.len && at < t.at + t.len; at = g_utf8_next_char(at)) {
        gunichar letter = g_utf8_get_char(at);
        char bytes[6];
        int n = g_unichar_to_utf8(letter == 0xDF ? 0x1E9E : g_unichar_toupper(letter), bytes); /* the capital sharp s */
        buffer_put(&b, (struct text){bytes, (uint32_t)n});
    }
    return arena_text(arena, buffer_text(&b));
}

struct text print_text_capital(struct arena *a, struct text t)
{
    const char *rest = t.len ? g_utf8_next_char(t.at) : t.at;
    uint32_t first = (uint32_t)(rest - t.at);
    if (first >= t.len)
        return print_text_capitals(a, t);
    return arena_format(a, "%.*s%.*s", TEXT_ARGS(print_text_capitals(a, (struct text){t.at, first})),
                        (int)(t.len - first), rest);
}
