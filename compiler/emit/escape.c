#include "compiler/emit/escape.h"

#include "runtime/base/number.h"
#include "runtime/base/utf8.h"

/* ---- characters that no output shows as they are ------------------------------------------------------------------ */

static bool is_blank(uint32_t point)
{
    return point == '\t' || point == '\n' || point == '\r' || point == 0x2028 || point == 0x2029;
}

/* Controls would move a terminal's cursor and are forbidden in XML; the marks of direction let a line show other words
 * than it holds; U+FFFE and U+FFFF are no characters. */
static bool is_hidden(uint32_t point)
{
    return point < 0x20 || (point >= 0x7F && point < 0xA0) || (point >= 0x202A && point <= 0x202E) ||
           (point >= 0x2066 && point <= 0x2069) || (point & 0xFFFE) == 0xFFFE || point == 0xFEFF;
}

/* The next character as it may be shown; moves *at behind it. */
static uint32_t next_shown(struct text t, uint32_t *at)
{
    struct utf8_char c = utf8_at(t, *at);
    *at += c.len;
    if (!c.valid)
        return UTF8_REPLACEMENT;
    return is_blank(c.point) ? ' ' : is_hidden(c.point) ? UTF8_REPLACEMENT : c.point;
}

static void put_point(struct buffer *b, uint32_t point)
{
    char bytes[4];
    buffer_put(b, (struct text){bytes, utf8_put(bytes, point)});
}

void escape_put_plain(struct buffer *b, struct text t)
{
    if (utf8_is_plain(t)) {
        buffer_put(b, t);
        return;
    }
    for (uint32_t at = 0; at < t.len;)
        put_point(b, next_shown(t, &at));
}

struct text escape_plain(struct arena *arena, struct text t)
{
    struct buffer b;
    buffer_init(&b, arena);
    escape_put_plain(&b, t);
    return buffer_text(&b);
}

/* ---- formats ------------------------------------------------------------------------------------------------------ */

void escape_put_json(struct buffer *b, struct text t)
{
    buffer_putc(b, '"');
    for (uint32_t at = 0; at < t.len;) {
        uint32_t point = next_shown(t, &at);
        if (point == '"' || point == '\\')
            buffer_putc(b, '\\');
        put_point(b, point);
    }
    buffer_putc(b, '"');
}

void escape_put_json_exact(struct buffer *b, struct text t)
{
    buffer_putc(b, '"');
    for (uint32_t at = 0; at < t.len;) {
        struct utf8_char c = utf8_at(t, at);
        at += c.len;
        if (!c.valid)
            put_point(b, UTF8_REPLACEMENT);
        else if (c.point == '\n')
            buffer_put(b, TEXT("\\n"));
        else if (c.point < 0x80 ? c.point < 0x20 || c.point == 0x7F : c.point < 0x10000 && is_hidden(c.point))
            buffer_printf(b, "\\u%04x", c.point);
        else {
            if (c.point == '"' || c.point == '\\')
                buffer_putc(b, '\\');
            put_point(b, c.point);
        }
    }
    buffer_putc(b, '"');
}

void escape_put_xml(struct buffer *b, struct text t)
{
    for (uint32_t at = 0; at < t.len;) {
        uint32_t point = next_shown(t, &at);
        switch (point) {
        case '&':
            buffer_put(b, TEXT("&amp;"));
            break;
        case '<':
            buffer_put(b, TEXT("&lt;"));
            break;
        case '>':
            buffer_put(b, TEXT("&gt;"));
            break;
        case '"':
            buffer_put(b, TEXT("&quot;"));
            break;
        case '\'':
            buffer_put(b, TEXT("&#39;"));
            break;
        default:
            put_point(b, point);
        }
    }
}

void escape_put_dot(struct buffer *b, struct text t)
{
    for (uint32_t at = 0; at < t.len;) {
        uint32_t point = next_shown(t, &at);
        if (point == '\\')
            buffer_putc(b, '\\');
        put_point(b, point);
    }
}

/* A spreadsheet looks past blanks in front, and treats the wide forms of the signs like the plain ones. */
static bool is_formula(struct text t)
{
    uint32_t at = 0, point = ' ';
    double number;
    while (at < t.len && (point == ' ' || point == 0xA0 || point == 0x3000))
        point = next_shown(t, &at);
    if (point >= 0xFF01 && point <= 0xFF5E)
        point -= 0xFEE0;
    return (point == '=' || point == '+' || point == '-' || point == '@') && number_read(t, &number) != NUMBER_OK;
}

void escape_put_csv(struct buffer *b, struct text t)
{
    struct text plain = escape_plain(b->arena, t);
    bool formula = is_formula(plain), quoted = formula;
    for (uint32_t i = 0; i < plain.len; i++)
        quoted = quoted || strchr("\",;", plain.at[i]);
    if (quoted)
        buffer_putc(b, '"');
    if (formula)
        buffer_putc(b, '\'');
    for (uint32_t i = 0; i < plain.len; i++) {
        if (plain.at[i] == '"')
            buffer_putc(b, '"');
        buffer_putc(b, plain.at[i]);
    }
    if (quoted)
        buffer_putc(b, '"');
}
