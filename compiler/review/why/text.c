/* A derivation as a tree for the terminal: names with guides on the left, values in a column, what is known of each
 * below it. */
#include "compiler/review/why/why.h"
#include "compiler/text/render.h"
#include "runtime/base/utf8.h"

enum { STEP = 4, VALUE_ROOM = 34, NAME_LEAST = 16 };

#define NO_BREAK "\xC2\xA0" /* U+00A0 */

struct printer {
    struct buffer *out;
    struct arena *arena;
    const struct why *why;
    uint32_t width, column; /* column the values begin in */
    uint32_t printed;       /* last entry shown */
    bool more;
};

static struct text plain(struct printer *p, struct text t)
{
    struct buffer b;
    buffer_init(&b, p->arena);
    render_plain(&b, t);
    return buffer_text(&b);
}

/* Returns the width of the guides and names of a tree, of those no wider than `most`. */
static uint32_t widest(const struct why *w, uint32_t entry, uint32_t level, uint32_t most)
{
    const struct why_entry *e = &w->entries.at[entry];
    uint32_t columns = level * STEP + utf8_columns(e->name), found = columns <= most ? columns : 0;
    for (uint32_t i = 0; i < e->inputs.count; i++) {
        uint32_t inner = e->inputs.at[i].home
                             ? widest(w, e->inputs.at[i].entry, level + 1, most)
                             : (level + 1) * STEP + utf8_columns(w->entries.at[e->inputs.at[i].entry].name);
        inner = inner <= most ? inner : 0;
        found = inner > found ? inner : found;
    }
    return found;
}

/* Joins numbers and units by no-break spaces, which become blanks again after wrapping. */
static void put_wrapped(struct printer *p, struct text line, const struct wrapping *wrapping)
{
    struct text t = plain(p, line);
    struct buffer joined, wrapped;
    buffer_init(&joined, p->arena);
    buffer_init(&wrapped, p->arena);
    for (uint32_t i = 0; i < t.len; i++) {
        char next = i + 1 < t.len ? t.at[i + 1] : 0;
        bool unit = (next >= 'a' && next <= 'z') || (next >= 'A' && next <= 'Z') || next == '/' || next == '%';
        bool joins = i && t.at[i] == ' ' && t.at[i - 1] >= '0' && t.at[i - 1] <= '9' && unit;
        joins |= i == 1 && memcmp(t.at, "= ", 2) == 0; /* and the sign that begins a line with what it begins */
        buffer_put(&joined, joins ? TEXT(NO_BREAK) : (struct text){t.at + i, 1});
    }
    render_wrapped(&wrapped, buffer_text(&joined), wrapping);
    for (uint32_t i = 0; i < wrapped.count; i++) {
        bool joins = i + 1 < wrapped.count && memcmp(wrapped.at + i, NO_BREAK, 2) == 0;
        buffer_putc(p->out, joins ? ' ' : wrapped.at[i]);
        i += joins;
    }
}

/* ---- lines ------------------------------------------------------------------------------------------------------------ */

static void put_line(struct printer *p, struct text prefix, struct text line)
{
    uint32_t indent = utf8_columns(prefix);
    /* Deep in the tree lines may exceed the width, so that they hold more than a word. */
    uint32_t width = p->width > indent + 30 ? p->width : indent + 30;
    struct text hang = arena_format(p->arena, "%.*s  ", TEXT_ARGS(prefix));
    buffer_put(p->out, prefix);
    put_wrapped(p, line, &(struct wrapping){indent, hang, indent + 2, width});
}

static void put_named_line(struct printer *p, struct text prefix, const char *what, struct text line)
{
    if (line.len)
        put_line(p, prefix, arena_format(p->arena, "%s%.*s", what, TEXT_ARGS(line)));
}

static bool is_open(const struct why_entry *e)
{
    return text_is(e->written, "?");
}

static struct text value_words(struct printer *p, const struct why_entry *e)
{
    if (e->sort == WHY_ABSENT)
        return TEXT("not stated");
    if (e->why_not.len)
        return e->sort != WHY_STATED ? TEXT("not evaluated") : is_open(e) ? TEXT("left open") : TEXT("a function");
    if (!e->shown.band.len || text_same(e->shown.text, e->shown.band)) /* a range has no nominal beside it */
        return e->shown.text;
    return arena_format(p->arena, "%.*s %.*s", TEXT_ARGS(e->shown.text), TEXT_ARGS(e->shown.band));
}

/* Guide, name, value and a remark; a name too long for its column is followed by an equals sign. */
static void put_head(struct printer *p, struct text guide, struct text below, const struct why_entry *e,
                     struct text remark)
{
    uint32_t columns = utf8_columns(guide) + utf8_columns(e->name);
    bool fits = columns <= p->column;
    struct text line = arena_format(p->arena, "%.*s%.*s", TEXT_ARGS(value_words(p, e)), TEXT_ARGS(remark));
    buffer_put(p->out, guide);
    struct text hang = below;
    uint32_t at = utf8_columns(guide);
    if (fits) {
        buffer_put(p->out, plain(p, e->name));
        buffer_pad(p->out, ' ', p->column + 2 - columns);
        at = p->column + 2;
        uint32_t indent = utf8_columns(below);
        hang = arena_format(p->arena, "%.*s%*s", TEXT_ARGS(below), (int)(at > indent ? at - indent : 0), "");
    } else {
        line = arena_format(p->arena, "%.*s = %.*s", TEXT_ARGS(e->name), TEXT_ARGS(line));
    }
    uint32_t width = p->width > at + 30 ? p->width : at + 30;
    put_wrapped(p, line, &(struct wrapping){at, hang, utf8_columns(hang), width});
}

/* ---- what is known of an entry ------------------------------------------------------------------------------------------ */

static void put_rows(struct printer *p, struct text prefix, const struct why_rows *r)
{
    struct arena *a = p->arena;
    struct text line = TEXT("");
    for (uint32_t i = 0; i < r->rows; i++) {
        struct text cells = r->value[i][0].text;
        if (r->columns == 2)
            cells = arena_format(a, "%.*s and %.*s", TEXT_ARGS(cells), TEXT_ARGS(r->value[i][1].text));
        line = arena_format(a, "%.*s%s%.*s: %.*s", TEXT_ARGS(line), i ? (r->columns ? "; " : " and ") : "",
                            TEXT_ARGS(r->at[i].text), TEXT_ARGS(cells));
    }
    if (r->columns == 1)
        line = arena_format(a, "%.*s, in the column %.*s", TEXT_ARGS(line), TEXT_ARGS(r->across[0].text));
    if (r->columns == 2)
        line = arena_format(a, "%.*s, between the columns %.*s and %.*s", TEXT_ARGS(line), TEXT_ARGS(r->across[0].text),
                            TEXT_ARGS(r->across[1].text));
    put_named_line(p, prefix, r->rows == 2 ? "between the rows " : "the row ", line);
}

static struct text place_words(struct printer *p, const struct why_entry *e)
{
    struct text place = TEXT("");
    if (e->file.len)
        place = arena_format(p->arena, "%.*s:%u", TEXT_ARGS(e->file), e->line);
    switch (e->sort) {
    case WHY_STATED:
        return arena_format(p->arena, "stated in %.*s", TEXT_ARGS(place));
    case WHY_STANDARD:
        return TEXT("not stated, taken as standard");
    case WHY_ABSENT:
        if (!e->owner.len) /* the standard cannot be had */
            return arena_format(p->arena, "%.*s; another may be named in %.*s", TEXT_ARGS(e->why_not),
                                TEXT_ARGS(place));
        return arena_format(p->arena, "%.*s may state it: %.*s", TEXT_ARGS(e->owner), TEXT_ARGS(place));
    case WHY_BUILTIN:
        return arena_format(p->arena, "built in: %.*s", TEXT_ARGS(e->label));
    default:
        return place;
    }
}

/* The reason of a missing value is shown at both ends of the chain only. */
static bool tells_why(const struct printer *p, const struct why_entry *e, bool is_root)
{
    bool deeper = e->inherited;
    for (uint32_t i = 0; i < e->inputs.count; i++)
        deeper |= p->why->entries.at[e->inputs.at[i].entry].why_not.len && !e->inputs.at[i].asked;
    return e->sort != WHY_ABSENT && e->why_not.len && (is_root || !deeper);
}

static void put_details(struct printer *p, struct text prefix, const struct why_entry *e, bool is_root)
{
    struct arena *a = p->arena;
    if (tells_why(p, e, is_root))
        put_named_line(p, prefix, "no value: ", e->why_not);
    if (e->written.len)
        put_line(p, prefix,
                 arena_format(a, "%.*s%s= %.*s", TEXT_ARGS(e->head), e->head.len ? " " : "", TEXT_ARGS(e->written)));
    put_named_line(p, prefix, "here: ", e->taken);
    put_named_line(p, prefix, "= ", e->numbers);
    if (e->rows.rows)
        put_rows(p, prefix, &e->rows);
    put_named_line(p, prefix, "", place_words(p, e));
    put_named_line(p, prefix, "source: ", e->source);
}

/* ---- the tree ------------------------------------------------------------------------------------------------------------ */

static void put_entry(struct printer *p, uint32_t entry, struct text guide, struct text below, bool is_root);

static void put_input(struct printer *p, const struct why_input *input, struct text below, bool last)
{
    const struct why_entry *e = &p->why->entries.at[input->entry];
    struct text guide = arena_format(p->arena, "%.*s%s", TEXT_ARGS(below), last ? "`-- " : "+-- ");
    struct text inner = arena_format(p->arena, "%.*s%s", TEXT_ARGS(below), last ? "    " : "|   ");
    if (input->home)
        put_entry(p, input->entry, guide, inner, false);
    else
        put_head(p, guide, inner, e, input->entry <= p->printed ? TEXT(", shown above") : TEXT(", shown below"));
}

static struct text remark_of(struct printer *p, const struct why_entry *e)
{
    bool labelled = e->label.len && e->sort != WHY_BUILTIN;
    p->more |= e->more;
    return arena_format(p->arena, "%s%.*s%s%s", labelled ? " (" : "", labelled ? (int)e->label.len : 0, e->label.at,
                        labelled ? ")" : "", e->more ? " ..." : "");
}

static void put_entry(struct printer *p, uint32_t entry, struct text guide, struct text below, bool is_root)
{
    const struct why_entry *e = &p->why->entries.at[entry];
    struct text bar = arena_format(p->arena, "%.*s%s", TEXT_ARGS(below), e->inputs.count ? "|   " : "    ");
    p->printed = entry;
    put_head(p, guide, bar, e, remark_of(p, e));
    put_details(p, bar, e, is_root);
    for (uint32_t i = 0; i < e->inputs.count; i++)
        put_input(p, &e->inputs.at[i], below, i + 1 == e->inputs.count);
}

static void put_also(struct printer *p, const struct why_root *root)
{
    if (!root->also.count)
        return;
    buffer_put(p->out, TEXT("\nFrom these values follows:\n"));
    for (uint32_t i = 0; i < root->also.count; i++) {
        const struct why_entry *e = &p->why->entries.at[root->also.at[i]];
        put_head(p, TEXT("    "), TEXT("    "), e, remark_of(p, e));
        put_line(p, TEXT("        "), arena_format(p->arena, "= %.*s", TEXT_ARGS(e->written)));
        put_named_line(p, TEXT("        "), "= ", e->numbers);
    }
}

static uint32_t wider(uint32_t width, struct text t)
{
    uint32_t columns = utf8_columns(t);
    return columns > width ? columns : width;
}

/* Prints one input a line; inputs below a thousandth of the spread are counted. */
static void put_moves(struct printer *p, const struct why_root *root)
{
    uint32_t name = 0, slope = 0, band = 0, effect = 0, few = 0;
    for (; few < root->moves.count && root->moves.at[few].share >= 1e-3; few++) {
        const struct why_move *m = &root->moves.at[few];
        name = wider(name, m->input);
        slope = wider(slope, m->slope);
        band = wider(band, m->band);
        effect = wider(effect, m->effect_text);
    }
    if (!few)
        return;
    buffer_put(p->out, TEXT("\nIt moves with what is held in a band, at the stated values:\n"));
    const char *by =
        name + slope + band + effect + 31 > p->width ? "by" : "moves it by"; /* 31: all that stands between */
    for (uint32_t i = 0; i < few; i++) {
        const struct why_move *m = &root->moves.at[i];
        buffer_printf(p->out, "    %.*s%*s  %*s%.*s  %.*s%*s  %s %*s%.*s  %5.1f %%\n", TEXT_ARGS(m->input),
                      (int)(name - utf8_columns(m->input)), "", (int)(slope - utf8_columns(m->slope)), "",
                      TEXT_ARGS(m->slope), TEXT_ARGS(m->band), (int)(band - utf8_columns(m->band)), "", by,
                      (int)(effect - utf8_columns(m->effect_text)), "", TEXT_ARGS(m->effect_text), 100 * m->share);
    }
    if (few < root->moves.count)
        buffer_printf(p->out, "    and with %u more, below 0.1 %% of the spread each\n", root->moves.count - few);
}

static void put_root(struct printer *p, const struct why_root *root)
{
    uint32_t most = p->width > VALUE_ROOM + NAME_LEAST ? p->width - VALUE_ROOM : NAME_LEAST;
    const struct why_entry *e = &p->why->entries.at[root->entry];
    p->column = widest(p->why, root->entry, 0, most);
    for (uint32_t i = 0; i < root->also.count; i++) {
        uint32_t columns = STEP + utf8_columns(p->why->entries.at[root->also.at[i]].name);
        p->column = columns > p->column && columns <= most ? columns : p->column;
    }
    if (root->entry <= p->printed)
        put_head(p, TEXT(""), TEXT(""), e, TEXT(", shown above"));
    else
        put_entry(p, root->entry, TEXT(""), TEXT(""), true);
    put_also(p, root);
    put_moves(p, root);
}

void why_text(struct buffer *out, const struct why *w, uint32_t width)
{
    struct printer p = {.out = out, .arena = out->arena, .why = w, .width = width < 40 ? 40 : width};
    for (uint32_t i = 0; i < w->roots.count; i++) {
        if (i)
            buffer_putc(out, '\n');
        put_root(&p, &w->roots.at[i]);
    }
    if (p.more || w->cut)
        buffer_putc(out, '\n');
    if (p.more)
        put_line(&p, TEXT(""), TEXT("'...': it stands on further values; a larger --depth shows them."));
    if (w->cut)
        put_line(&p, TEXT(""), TEXT("Not all is shown: there are too many values. Ask with a smaller --depth."));
}
