#include "compiler/emit/columns.h"

#include "compiler/text/said.h"

#include "runtime/base/utf8.h"

enum {
    LONGEST_WORD = 24,
    NARROW = 90 /* a terminal; a file, which is wider, may have a line that runs over */
};

struct columns_row *columns_add(struct columns *c)
{
    return ARRAY_PUSH(c->arena, &c->rows);
}

/* ---- wrapping ----------------------------------------------------------------------------------------------------- */

static void skip(struct text *t, uint32_t bytes)
{
    if (bytes) /* an empty text may stand nowhere */
        t->at += bytes;
    t->len -= bytes;
}

/* A line may end here; not between a number and its unit. */
static bool is_gap(struct text t, uint32_t at)
{
    if (t.at[at] != ' ' || !at || at + 1 == t.len)
        return t.at[at] == ' ';
    char before = t.at[at - 1], after = t.at[at + 1];
    return before < '0' || before > '9' || !(after == '%' || after == '/' || (after | 32) >= 'a');
}

static bool is_letter(char c)
{
    return (c | 32) >= 'a' && (c | 32) <= 'z';
}

static bool is_one_of(struct text t, uint32_t at, const char *characters)
{
    char z[5] = {0};
    struct utf8_char c = utf8_at(t, at);
    memcpy(z, t.at + at, c.len);
    return c.len && strstr(characters, z);
}

/* Between characters of Japanese a line may end anywhere, but no line begins with what closes or ends with what opens
 * (JIS X 4051, from memory). */
static bool is_wide_seam(struct text t, uint32_t at)
{
    if ((unsigned char)t.at[at] < 0x80 && (at + 1 >= t.len || (unsigned char)t.at[at + 1] < 0x80))
        return false; /* as most are */
    struct utf8_char c = utf8_at(t, at), next = utf8_at(t, at + c.len);
    if (!next.len || (utf8_point_columns(c.point) < 2 && utf8_point_columns(next.point) < 2))
        return false;
    return !is_one_of(t, at, "（「『【〔〈《([{") && c.point != ' ' && next.point != ' ' &&
           !is_one_of(t, at + c.len,
                      "、。，．・：；？！）」』】〕〉》〜～ー々％ぁぃぅぇぉっゃゅょゎァィゥェォッャュョヮ"
                      ")]}.,:;!?%");
}

/* A line may end behind this character: behind a hyphen, for names such as overall-length are long. */
static bool is_seam(struct text t, uint32_t at)
{
    if (t.at[at] == '-')
        return at && at + 1 < t.len && is_letter(t.at[at - 1]) && is_letter(t.at[at + 1]);
    return is_wide_seam(t, at);
}

/* Bytes of the first line: as many words as fit, or a piece of a word that fits no line. */
static uint32_t line_bytes(struct text t, uint32_t width)
{
    if (t.len <= width && utf8_is_plain(t))
        return t.len;
    uint32_t at = 0, columns = 0, end = 0;
    bool inside = false; /* past the blanks that line a number up */
    while (at < t.len && t.at[at] != '\n') {
        struct utf8_char c = utf8_at(t, at);
        bool gap = inside && is_gap(t, at);
        if (gap)
            end = at;
        columns += utf8_point_columns(c.point);
        if (columns > width && at && !gap)
            return end ? end : at;
        inside = inside || c.point != ' ';
        if (is_seam(t, at))
            end = at + c.len;
        at += c.len;
    }
    return at;
}

uint32_t columns_line(struct text t, uint32_t width)
{
    return line_bytes(t, width);
}

static struct text take_line(struct text *rest, uint32_t width)
{
    struct text line = {rest->at, line_bytes(*rest, width)};
    bool broken = line.len < rest->len && rest->at[line.len] == '\n';
    skip(rest, line.len + broken);
    while (!broken && rest->len && *rest->at == ' ')
        skip(rest, 1);
    while (line.len && line.at[line.len - 1] == ' ')
        line.len--;
    return line;
}

void print_wrapped(struct buffer *b, struct text t, uint32_t width, uint32_t indent, uint32_t hang)
{
    uint32_t margin = indent;
    do {
        struct text line = take_line(&t, width > margin + 8 ? width - margin : 8);
        if (line.len)
            buffer_pad(b, ' ', margin);
        buffer_put(b, line);
        buffer_putc(b, '\n');
        margin = indent + hang;
    } while (t.len);
}

/* The same behind what already stands on the line, up to `at`. */
static void print_behind(struct buffer *b, struct text t, uint32_t width, uint32_t at)
{
    for (bool first = true; t.len; first = false) {
        buffer_pad(b, ' ', first ? 0 : at);
        buffer_put(b, take_line(&t, width > at + 8 ? width - at : 8));
        buffer_putc(b, '\n');
    }
}

/* ---- widths ------------------------------------------------------------------------------------------------------- */

/* Columns in front of the decimal point of the first number; of the whole text when it does not begin with one. */
static uint32_t whole_part(struct text t)
{
    uint32_t at = 0;
    while (at < t.len && strchr("+-", t.at[at]))
        at++;
    uint32_t digits = at;
    while (at < t.len && t.at[at] >= '0' && t.at[at] <= '9')
        at++;
    return at > digits ? at : 0;
}

static void line_up(struct columns *c, uint32_t column)
{
    uint32_t most = 0;
    for (uint32_t i = 0; i < c->rows.count; i++) {
        uint32_t part = whole_part(c->rows.at[i].cell[column]);
        most = part > most ? part : most;
    }
    for (uint32_t i = 0; i < c->rows.count; i++) {
        struct text *cell = &c->rows.at[i].cell[column];
        uint32_t part = whole_part(*cell);
        if (part)
            *cell = arena_format(c->arena, "%*s%.*s", (int)(most - part), "", TEXT_ARGS(*cell));
    }
}

static uint32_t larger(uint32_t a, uint32_t b)
{
    return a > b ? a : b;
}

/* Bytes up to where a line must end, or may end when it is wrapped. */
static uint32_t piece_bytes(struct text t, bool wrapped)
{
    uint32_t n = 0;
    while (n < t.len && t.at[n] != '\n' && !(wrapped && is_gap(t, n))) {
        uint32_t at = n;
        n += utf8_at(t, n).len;
        if (wrapped && is_seam(t, at))
            break;
    }
    return n;
}

/* Of the widest line; of the widest word when the text may be wrapped between words. */
static uint32_t text_width(struct text t, bool wrapped)
{
    uint32_t most = 0;
    if (!wrapped && utf8_is_plain(t))
        return t.len;
    while (t.len) {
        uint32_t n = piece_bytes(t, wrapped);
        most = larger(most, utf8_columns((struct text){t.at, n}));
        bool between = n < t.len && (t.at[n] == '\n' || t.at[n] == ' ');
        skip(&t, n + between);
    }
    return most;
}

static uint32_t column_width(const struct columns *c, uint32_t column, bool wrapped)
{
    uint32_t width = text_width(said(c->language, c->columns[column].title), true);
    for (uint32_t i = 0; i < c->rows.count; i++)
        width = larger(width, text_width(c->rows.at[i].cell[column], wrapped));
    return width;
}

/* Below this a column is not squeezed. A word longer than 24 is broken, or it would push the table off the page. */
static uint32_t least_width(const struct columns *c, uint32_t column)
{
    uint32_t least = column_width(c, column, c->columns[column].form != COLUMN_NUMBER);
    return least < LONGEST_WORD ? least : LONGEST_WORD;
}

/* The widest column that may still give gives first. False when all have given and it is still too wide. */
static bool fit(const struct columns *c, uint32_t *widths, uint32_t width)
{
    uint32_t sum = (c->count - 1) * COLUMNS_GAP, least[COLUMNS_MOST];
    for (uint32_t i = 0; i < c->count; i++)
        sum += widths[i] = column_width(c, i, false);
    for (uint32_t i = 0; i < c->count && sum > width; i++)
        least[i] = least_width(c, i);
    while (sum > width) {
        uint32_t widest = c->count;
        for (uint32_t i = 0; i < c->count; i++)
            if (widths[i] > least[i] && (widest == c->count || widths[i] > widths[widest]))
                widest = i;
        if (widest == c->count)
            return false;
        widths[widest]--;
        sum--;
    }
    return true;
}

/* ---- printing ----------------------------------------------------------------------------------------------------- */

/* One line of every column; true when a column that decides the row's height has more. */
static bool print_line(const struct columns *c, struct buffer *b, struct text *rest, const uint32_t *widths)
{
    uint32_t owed = 0; /* blanks are only printed when something follows them */
    bool more = false;
    for (uint32_t i = 0; i < c->count; i++) {
        struct text line = take_line(&rest[i], widths[i]);
        if (line.len)
            buffer_pad(b, ' ', owed);
        buffer_put(b, line);
        owed = line.len ? 0 : owed;
        uint32_t used = utf8_columns(line);
        owed += (widths[i] > used ? widths[i] - used : 0) + COLUMNS_GAP;
        more = more || (rest[i].len && c->columns[i].form != COLUMN_FLOW);
    }
    buffer_putc(b, '\n');
    return more;
}

/* What flows is carried on in `rest` from row to row, and printed out under the last of them. */
static void print_cells(const struct columns *c, struct buffer *b, struct text *rest, const uint32_t *widths, bool last)
{
    while (print_line(c, b, rest, widths))
        ;
    for (uint32_t i = 0; last && i < c->count; i++)
        while (rest[i].len)
            print_line(c, b, rest, widths);
}

static void print_heads(const struct columns *c, struct buffer *b, const uint32_t *widths)
{
    struct text heads[COLUMNS_MOST] = {{0}};
    for (uint32_t i = 0; i < c->count; i++)
        heads[i] = said(c->language, c->columns[i].title);
    print_cells(c, b, heads, widths, true);
    uint32_t count = c->count;
    while (count && !widths[count - 1])
        count--; /* no blanks behind the last */
    for (uint32_t i = 0; i < count; i++) {
        buffer_pad(b, ' ', i ? COLUMNS_GAP : 0);
        buffer_pad(b, '-', widths[i]);
    }
    buffer_putc(b, '\n');
}

static bool ends_flow(const struct columns *c, uint32_t row)
{
    if (c->rows.at[row].below.len || row + 1 == c->rows.count || c->rows.at[row + 1].apart)
        return true;
    for (uint32_t i = 0; i < c->count; i++)
        if (c->columns[i].form == COLUMN_FLOW && c->rows.at[row + 1].cell[i].len)
            return true;
    return false;
}

/* ---- too narrow for columns --------------------------------------------------------------------------------------- */

static struct text without_blanks(struct text t)
{
    while (t.len && *t.at == ' ')
        skip(&t, 1);
    return t;
}

/* Each row by its first cell, and its others below it by the titles of their columns. A mark of one column stands beside the
 * first of them. */
static void print_stacked(const struct columns *c, struct buffer *b, uint32_t width)
{
    enum { INDENT = 2 };
    uint32_t titles = 0;
    for (uint32_t k = 1; k < c->count; k++)
        titles = larger(titles, utf8_columns(said(c->language, c->columns[k].title)));
    for (uint32_t i = 0; i < c->rows.count; i++) {
        const struct columns_row *r = &c->rows.at[i];
        struct text mark = utf8_columns(r->cell[0]) < INDENT ? r->cell[0] : TEXT("");
        if (r->cell[0].len && !mark.len)
            print_wrapped(b, without_blanks(r->cell[0]), width, 0, INDENT);
        for (uint32_t k = 1; k < c->count; k++) {
            struct text title = said(c->language, c->columns[k].title), cell = without_blanks(r->cell[k]);
            if (!cell.len)
                continue;
            buffer_put(b, mark);
            buffer_pad(b, ' ', INDENT - utf8_columns(mark));
            mark = TEXT("");
            buffer_put(b, title);
            buffer_pad(b, ' ', titles - utf8_columns(title) + COLUMNS_GAP);
            print_behind(b, cell, width, INDENT + titles + COLUMNS_GAP);
        }
        if (mark.len) {
            buffer_put(b, mark);
            buffer_putc(b, '\n');
        }
        buffer_put(b, r->below);
    }
}

void columns_print(struct columns *c, struct buffer *b, uint32_t width)
{
    uint32_t widths[COLUMNS_MOST] = {0};
    struct text rest[COLUMNS_MOST] = {{0}};
    for (uint32_t i = 0; i < c->count; i++)
        if (c->columns[i].form == COLUMN_NUMBER)
            line_up(c, i);
    if (!fit(c, widths, width) && width < NARROW) {
        print_stacked(c, b, width);
        return;
    }
    print_heads(c, b, widths);
    for (uint32_t i = 0; i < c->rows.count; i++) {
        const struct columns_row *r = &c->rows.at[i];
        if (r->apart && i)
            buffer_putc(b, '\n');
        for (uint32_t k = 0; k < c->count; k++)
            if (c->columns[k].form != COLUMN_FLOW || r->cell[k].len)
                rest[k] = r->cell[k];
        print_cells(c, b, rest, widths, ends_flow(c, i));
        buffer_put(b, r->below);
    }
}
