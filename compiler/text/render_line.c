#include "compiler/text/render.h"

#include "runtime/base/utf8.h"

enum { DOTS = 3, MARGIN = 2 * DOTS };

/* Characters a terminal would obey instead of show: controls, and the marks that turn the direction of reading. */
static bool is_hidden(struct utf8_char c)
{
    uint32_t p = c.point;
    return !c.valid || p < 0x20 || (p >= 0x7F && p < 0xA0) || p == 0x200E || p == 0x200F || p == 0x2028 ||
           p == 0x2029 || (p >= 0x202A && p <= 0x202E) || (p >= 0x2066 && p <= 0x2069);
}

static bool is_byte_order_mark(struct utf8_char c)
{
    return c.valid && c.point == 0xFEFF;
}

static uint32_t cells(struct utf8_char c, uint32_t column)
{
    if (c.point == '\t' && c.valid)
        return 8 - column % 8;
    return is_hidden(c) ? 1 : utf8_point_columns(c.point);
}

static void put_char(struct buffer *b, struct text line, uint32_t at, struct utf8_char c)
{
    if (is_hidden(c))
        buffer_put(b, TEXT("\xEF\xBF\xBD")); /* U+FFFD */
    else if (!is_byte_order_mark(c))
        buffer_put(b, (struct text){line.at + at, c.len});
}

void render_plain(struct buffer *b, struct text t)
{
    struct utf8_char c;
    for (uint32_t i = 0; (c = utf8_at(t, i)).len; i += c.len) {
        if (c.valid && (c.point == '\n' || c.point == '\t'))
            buffer_putc(b, ' ');
        else if (!(c.point == '\r' && i + 1 < t.len && t.at[i + 1] == '\n'))
            put_char(b, t, i, c);
    }
}

/* ---- a line and its windows ---- */

uint32_t render_column(struct text line, uint32_t offset)
{
    uint32_t column = 0;
    struct utf8_char c;
    for (uint32_t i = 0; i < offset && (c = utf8_at(line, i)).len; i += c.len) {
        if (i + c.len > offset)
            break;
        column += cells(c, column);
    }
    return column;
}

struct line_part render_line_part(struct text line, uint32_t lo, uint32_t hi, uint32_t room)
{
    uint32_t total = render_column(line, line.len), needed = total > hi ? total : hi;
    if (needed <= room)
        return (struct line_part){0, needed, total};
    uint32_t span = hi - lo, widest = room > 2 * MARGIN ? room - 2 * MARGIN : 1;
    if (span > widest)
        span = widest;
    uint32_t before = (room - span) / 2, from = lo > before ? lo - before : 0;
    if (from + room > needed)
        from = needed - room;
    return (struct line_part){from, from + room, total};
}

/* Columns `from` to `to` of what one character shows: a piece of a tab is blanks, half a wide character a blank. */
static void put_cells(struct buffer *b, struct text line, uint32_t at, struct utf8_char c, uint32_t column,
                      struct line_part w)
{
    uint32_t width = cells(c, column), end = column + width;
    if (width == 0) { /* belongs to the character before it */
        if ((column > w.from || w.from == 0) && column <= w.to)
            put_char(b, line, at, c);
        return;
    }
    uint32_t lo = column > w.from ? column : w.from, hi = end < w.to ? end : w.to;
    if (lo >= hi)
        return;
    if ((c.point == '\t' && c.valid) || lo != column || hi != end)
        buffer_pad(b, ' ', hi - lo);
    else
        put_char(b, line, at, c);
}

void render_line(struct buffer *b, struct text line, struct line_part w)
{
    bool cut_before = w.from > 0, cut_after = w.total > w.to;
    struct line_part inner = {w.from + (cut_before ? DOTS : 0), w.to - (cut_after ? DOTS : 0), w.total};
    if (cut_before)
        buffer_put(b, TEXT("..."));
    uint32_t column = 0;
    struct utf8_char c;
    for (uint32_t i = 0; column <= inner.to && (c = utf8_at(line, i)).len; i += c.len) {
        put_cells(b, line, i, c, column, inner);
        column += cells(c, column);
    }
    if (cut_after)
        buffer_put(b, TEXT("..."));
}

/* ---- wrapping ---- */

/* "2.41 mm": the blank between a number and what may be its unit. */
static bool joins(struct text t, uint32_t at)
{
    if (!at || at + 1 >= t.len || t.at[at] != ' ' || t.at[at - 1] < '0' || t.at[at - 1] > '9')
        return false;
    char after = t.at[at + 1];
    return after == '%' || after == '/' || ((after | 32) >= 'a' && (after | 32) <= 'z');
}

/* Up to a blank that a line may end at. */
static struct text word_of(struct text t)
{
    uint32_t n = 0;
    while (n < t.len && t.at[n] != '\n' && (t.at[n] != ' ' || joins(t, n)))
        n++;
    return (struct text){t.at, n};
}

static uint32_t next_line(struct buffer *b, const struct wrapping *w)
{
    buffer_putc(b, '\n');
    buffer_put(b, w->prefix);
    return w->indent;
}

uint32_t render_wrapped(struct buffer *b, struct text t, const struct wrapping *w)
{
    uint32_t at = w->at, n = 0;
    bool begun = false, first = w->at > w->indent; /* whether this line has a word; is short of room */
    for (uint32_t i = 0; i < t.len; i += n) {
        struct text word = word_of((struct text){t.at + i, t.len - i});
        n = word.len ? word.len : 1;
        if (t.at[i] == '\n')
            at = next_line(b, w);
        if (!word.len) {
            begun = begun && t.at[i] != '\n';
            continue;
        }
        uint32_t columns = render_column(word, word.len);
        if ((begun || first) && at + begun + columns > w->width)
            at = next_line(b, w);
        else if (begun)
            buffer_putc(b, ' '), at++;
        render_plain(b, word);
        at += columns;
        begun = true;
        first = false;
    }
    buffer_putc(b, '\n');
    return at;
}
