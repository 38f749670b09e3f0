#include "compiler/text/render.h"

#include "runtime/base/utf8.h"

enum { GUTTER = 5, BEFORE = GUTTER + 3, LEAST_ROOM = 40, HELP_INDENT = 8, HANG = 4 }; /* columns */
enum { LABELS_SHOWN = 12, MENDED_LINES = 6, MESSAGE_BYTES = 1200 };

/* ---- ink ---- */

enum ink { INK_OFF, INK_ERROR, INK_WARNING, INK_NOTE, INK_MESSAGE, INK_GUTTER, INK_LABEL, INK_HELP };

static const char *const inks[] = {
    [INK_OFF] = "\033[0m",     [INK_ERROR] = "\033[1;31m", [INK_WARNING] = "\033[1;35m", [INK_NOTE] = "\033[1;36m",
    [INK_MESSAGE] = "\033[1m", [INK_GUTTER] = "\033[2m",   [INK_LABEL] = "\033[36m",     [INK_HELP] = "\033[32m",
};
static const enum ink severity_inks[] = {INK_NOTE, INK_WARNING, INK_ERROR};
static const char *const severity_words[] = {"note", "warning", "error"};

struct pen {
    struct buffer *out;
    struct sources *sources;
    bool color, wrapped;
    uint32_t columns, room; /* of the page; of a source line on it */
    enum ink primary;
};

static void ink(const struct pen *pen, enum ink ink)
{
    if (pen->color)
        buffer_put(pen->out, text_of(inks[ink]));
}

static void inked(const struct pen *pen, enum ink color, struct text t)
{
    ink(pen, color);
    render_plain(pen->out, t);
    ink(pen, INK_OFF);
}

/* line 0: the gutter of a row below its source line. */
static void gutter(const struct pen *pen, uint32_t line, char bar)
{
    ink(pen, INK_GUTTER);
    if (line)
        buffer_printf(pen->out, "%*u %c", GUTTER, line, bar);
    else
        buffer_printf(pen->out, "%*s %c", GUTTER, "", bar);
    ink(pen, INK_OFF);
}

/* ---- what is marked on which line ---- */

struct piece {
    uint32_t line;
    struct text text; /* the source line */
    uint32_t lo, hi;  /* columns, at least one */
    struct text label;
    bool primary;
};

typedef ARRAY(struct piece) pieces;

static uint32_t line_start(const struct pen *pen, uint32_t file, struct place place)
{
    return (uint32_t)(place.text.at - source_at(pen->sources, file)->bytes.at);
}

static void add_piece(const struct pen *pen, pieces *all, struct place place, uint32_t lo, uint32_t hi,
                      struct text label, bool primary)
{
    struct piece piece = {place.line, place.text, render_column(place.text, lo), 0, label, primary};
    piece.hi = render_column(place.text, hi);
    if (piece.hi <= piece.lo)
        piece.hi = piece.lo + 1;
    struct piece *at = ARRAY_PUSH(pen->out->arena, all);
    while (at > all->at && (at[-1].line > piece.line ||
                            (at[-1].line == piece.line && !at[-1].primary && (primary || at[-1].lo > piece.lo)))) {
        *at = at[-1];
        at--;
    }
    *at = piece;
}

static uint32_t indentation(struct text line)
{
    uint32_t n = 0;
    while (n < line.len && (line.at[n] == ' ' || line.at[n] == '\t'))
        n++;
    return n;
}

/* A span over several lines is marked on its first and its last. */
static void mark(const struct pen *pen, pieces *all, struct span span, struct text label, bool primary)
{
    span = span_trimmed(pen->sources, span);
    struct place first = place_of(pen->sources, span.file, span.lo), last = place_of(pen->sources, span.file, span.hi);
    uint32_t lo = span.lo - line_start(pen, span.file, first), hi = span.hi - line_start(pen, span.file, last);
    if (first.line == last.line) { /* of a very long line, two places may show two parts: the first one's counts */
        hi = lo + (span.hi - span.lo);
        add_piece(pen, all, first, lo, hi < first.text.len ? hi : first.text.len, label, primary);
        return;
    }
    add_piece(pen, all, first, lo, first.text.len, TEXT(""), primary);
    add_piece(pen, all, last, indentation(last.text), hi, label, primary);
}

/* ---- drawing them ---- */

/* The text beside the carets, or below them where the line has no room left; ends the row. */
static void piece_label(const struct pen *pen, const struct piece *piece, uint32_t from, uint32_t end)
{
    enum ink color = piece->primary ? pen->primary : INK_LABEL;
    uint32_t at = BEFORE + end + 1, width = render_column(piece->label, piece->label.len);
    bool below = at + width > pen->columns && at > BEFORE + pen->room / 3;
    if (below)
        at = BEFORE + (from < pen->room / 3 ? from : pen->room / 3);
    struct buffer prefix;
    buffer_init(&prefix, pen->out->arena);
    struct pen aside = *pen;
    aside.out = &prefix;
    gutter(&aside, 0, '|');
    buffer_pad(&prefix, ' ', at - BEFORE + 1);
    ink(&aside, color);
    if (below) {
        buffer_putc(pen->out, '\n');
        buffer_put(pen->out, buffer_text(&prefix));
    } else {
        buffer_putc(pen->out, ' ');
        ink(pen, color);
    }
    render_wrapped(pen->out, piece->label, &(struct wrapping){at, buffer_text(&prefix), at, pen->columns});
    pen->out->count--; /* the line end goes behind the ink */
    ink(pen, INK_OFF);
}

static void draw_marks(const struct pen *pen, const struct piece *piece, struct line_part w)
{
    uint32_t from = piece->lo - w.from, end = (piece->hi < w.to ? piece->hi : w.to) - w.from;
    gutter(pen, 0, '|');
    buffer_pad(pen->out, ' ', from + 1);
    ink(pen, piece->primary ? pen->primary : INK_LABEL);
    buffer_pad(pen->out, piece->primary ? '^' : '-', end > from ? end - from : 1);
    ink(pen, INK_OFF);
    if (piece->label.len)
        piece_label(pen, piece, from, end);
    buffer_putc(pen->out, '\n');
}

static void draw_line(const struct pen *pen, uint32_t line, char bar, struct text text, struct line_part w)
{
    gutter(pen, line, bar);
    if (text.len) {
        buffer_putc(pen->out, ' ');
        render_line(pen->out, text, w);
    }
    buffer_putc(pen->out, '\n');
}

/* Marks of one line share the line as printed while they are in its window. */
static void draw(const struct pen *pen, const pieces *all)
{
    struct line_part w = {0};
    for (uint32_t i = 0; i < all->count; i++) {
        const struct piece *piece = &all->at[i], *before = i ? piece - 1 : NULL;
        bool same = before && before->line == piece->line;
        if (before && piece->line > before->line + 1)
            buffer_printf(pen->out, "%*s\n", GUTTER, "...");
        if (!same || piece->lo < w.from || piece->lo >= w.to) {
            w = render_line_part(piece->text, piece->lo, piece->hi, pen->room);
            draw_line(pen, piece->line, '|', piece->text, w);
        }
        draw_marks(pen, piece, w);
    }
}

/* ---- the parts of a diagnostic ---- */

/* Behind what already takes `at` columns of the line; the name of the fault, if any, behind it. */
static void wrapped_message(const struct pen *pen, uint32_t at, struct text message, struct text slug)
{
    ink(pen, INK_MESSAGE);
    uint32_t end = render_wrapped(pen->out, message, &(struct wrapping){at, TEXT("    "), HANG, pen->columns});
    pen->out->count--; /* the line end goes behind the ink */
    ink(pen, INK_OFF);
    if (!slug.len)
        return;
    if (end + slug.len + 3 > pen->columns)
        buffer_put(pen->out, TEXT("\n   "));
    buffer_printf(pen->out, " [%.*s]", TEXT_ARGS(slug));
}

/* Columns of "path:12:3: error: ". */
static uint32_t head_columns(const struct pen *pen, uint32_t from)
{
    uint32_t columns = 0, len;
    struct text t = {pen->out->at + from, (uint32_t)pen->out->count - from};
    for (uint32_t i = 0; i < t.len; i += len) {
        len = utf8_at(t, i).len;
        if (t.at[i] == '\033') /* ink takes no room */
            len = (uint32_t)((const char *)memchr(t.at + i, 'm', t.len - i) - (t.at + i)) + 1;
        else
            columns += utf8_columns((struct text){t.at + i, len});
    }
    return columns;
}

static void headline(const struct pen *pen, struct span span, enum severity severity, struct text message,
                     struct text slug)
{
    const struct source *file = source_at(pen->sources, span.file);
    uint32_t from = pen->out->count;
    if (file) {
        struct place place = place_of(pen->sources, span.file, span.lo);
        ink(pen, INK_MESSAGE);
        render_plain(pen->out, file->path);
        buffer_printf(pen->out, ":%u:%u: ", place.line, place.column);
        ink(pen, INK_OFF);
    }
    inked(pen, severity_inks[severity], text_of(severity_words[severity]));
    buffer_put(pen->out, TEXT(": "));
    bool cut = message.len > MESSAGE_BYTES;
    if (cut)
        message = arena_format(pen->out->arena, "%.*s...", MESSAGE_BYTES, message.at);
    if (pen->wrapped) {
        wrapped_message(pen, head_columns(pen, from), message, slug);
        return;
    }
    inked(pen, INK_MESSAGE, message);
    if (slug.len)
        buffer_printf(pen->out, " [%.*s]", TEXT_ARGS(slug));
}

static void places_in_same_file(const struct pen *pen, const struct diagnostic *d)
{
    pieces all = {0};
    mark(pen, &all, d->span, d->here, true);
    for (uint32_t i = 0; i < d->labels.count && i < LABELS_SHOWN; i++)
        if (d->labels.at[i].span.file == d->span.file)
            mark(pen, &all, d->labels.at[i].span, d->labels.at[i].text, false);
    draw(pen, &all);
}

static void place_elsewhere(const struct pen *pen, const struct label *label)
{
    headline(pen, label->span, SEVERITY_NOTE, label->text, TEXT(""));
    buffer_putc(pen->out, '\n');
    if (!source_at(pen->sources, label->span.file))
        return;
    pieces all = {0};
    mark(pen, &all, label->span, TEXT(""), false);
    draw(pen, &all);
}

static void places_elsewhere(const struct pen *pen, const struct diagnostic *d)
{
    bool placed = source_at(pen->sources, d->span.file) != NULL;
    for (uint32_t i = 0; i < d->labels.count && i < LABELS_SHOWN; i++)
        if (!placed || d->labels.at[i].span.file != d->span.file)
            place_elsewhere(pen, &d->labels.at[i]);
    if (d->labels.count > LABELS_SHOWN)
        buffer_printf(pen->out, "  and %u further places\n", d->labels.count - LABELS_SHOWN);
}

static void help(const struct pen *pen, struct text t)
{
    buffer_put(pen->out, TEXT("  "));
    inked(pen, INK_HELP, TEXT("help:"));
    buffer_putc(pen->out, ' ');
    render_wrapped(pen->out, t, &(struct wrapping){HELP_INDENT, TEXT("        "), HELP_INDENT, pen->columns});
}

static bool is_blank(struct text t)
{
    return indentation(t) == t.len;
}

/* The lines of the edit as they read afterwards. */
static void mended(const struct pen *pen, const struct diagnostic *d)
{
    const struct edit *edit = &d->edit;
    if (!source_at(pen->sources, edit->span.file))
        return;
    struct place first = place_of(pen->sources, edit->span.file, edit->span.lo);
    struct place last = place_of(pen->sources, edit->span.file, edit->span.hi);
    uint32_t before = edit->span.lo - line_start(pen, edit->span.file, first);
    uint32_t until = edit->span.hi - line_start(pen, edit->span.file, last);
    if (first.line == last.line) {
        last = first;
        until = before + (edit->span.hi - edit->span.lo);
    }
    if (until > last.text.len)
        until = last.text.len;
    struct buffer whole;
    buffer_init(&whole, pen->out->arena);
    buffer_put(&whole, (struct text){first.text.at, before < first.text.len ? before : first.text.len});
    buffer_put(&whole, edit->text);
    buffer_put(&whole, (struct text){last.text.at + until, last.text.len - until});
    struct text rest = buffer_text(&whole);
    if (!d->help.len)
        help(pen, is_blank(rest) ? TEXT("take this out") : TEXT("write"));
    if (is_blank(rest))
        return;
    for (uint32_t i = 0; i < MENDED_LINES; i++) {
        const char *end = memchr(rest.at, '\n', rest.len);
        struct text line = {rest.at, end ? (uint32_t)(end - rest.at) : rest.len};
        uint32_t at = i == 0 ? render_column(line, before) : 0;
        draw_line(pen, first.line + i, '+', line, render_line_part(line, at, at + 1, pen->room));
        if (!end)
            return;
        rest = (struct text){end + 1, rest.len - line.len - 1};
    }
    buffer_printf(pen->out, "%*s\n", GUTTER, "...");
}

static void render_diagnostic(struct buffer *out, struct sources *sources, const struct diagnostic *d,
                              struct render_style style)
{
    struct pen pen = {
        out, sources, style.color, style.terminal, style.width ? style.width : 80, 0, severity_inks[d->severity]};
    pen.room = pen.columns > LEAST_ROOM + BEFORE ? pen.columns - BEFORE : LEAST_ROOM;
    headline(&pen, d->span, d->severity, d->message, text_of(fault_table[d->fault].slug));
    buffer_putc(out, '\n');
    if (source_at(sources, d->span.file))
        places_in_same_file(&pen, d);
    else if (d->here.len)
        help(&pen, d->here);
    places_elsewhere(&pen, d);
    if (d->help.len)
        help(&pen, d->help);
    mended(&pen, d);
}

void render_text(struct buffer *out, struct sources *sources, const struct diagnostics *ds, struct render_style style)
{
    for (uint32_t i = 0; i < ds->all.count; i++) {
        if (i)
            buffer_putc(out, '\n');
        render_diagnostic(out, sources, ds->all.at[i], style);
    }
    if (ds->dropped)
        buffer_printf(out, "\n%u more are not shown; mend these first\n", ds->dropped);
}
