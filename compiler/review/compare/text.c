/* A comparison for the terminal: one table a section, long texts below their row. */
#include "compiler/emit/columns.h"
#include "compiler/emit/escape.h"
#include "compiler/review/compare/compare.h"
#include "runtime/base/utf8.h"

enum { LONG = 34, NOTE_INDENT = 4 };

#define BOLD "\033[1m"
#define RED "\033[31m"
#define GREEN "\033[32m"
#define PLAIN "\033[0m"

static const char *const marks[COMPARE_HOW_COUNT] = {[COMPARE_ADDED] = "+",
                                                     [COMPARE_REMOVED] = "-",
                                                     [COMPARE_CHANGED] = "~",
                                                     [COMPARE_RENAMED] = "=",
                                                     [COMPARE_MOVED] = ">"};

static struct text plain(struct buffer *b, struct text t)
{
    return escape_plain(b->arena, t);
}

static void put_title(struct buffer *b, const char *title, bool color)
{
    buffer_printf(b, "\n%s%s%s\n\n", color ? BOLD : "", title, color ? PLAIN : "");
}

/* ---- head ----------------------------------------------------------------------------------------------------------- */

static void put_side(struct buffer *b, const char *which, const struct compare_side *s, uint32_t width)
{
    struct text head = arena_format(b->arena, "%s  %.*s", which, TEXT_ARGS(s->path));
    if (s->revision.len)
        head = arena_format(b->arena, "%.*s, revision %.*s", TEXT_ARGS(head), TEXT_ARGS(s->revision));
    if (s->date.len)
        head = arena_format(b->arena, "%.*s of %.*s", TEXT_ARGS(head), TEXT_ARGS(s->date));
    if (s->status.len)
        head = arena_format(b->arena, "%.*s, %.*s", TEXT_ARGS(head), TEXT_ARGS(s->status));
    print_wrapped(b, plain(b, head), width, 0, 5);
}

static void put_head(struct buffer *b, const struct comparison *c, uint32_t width)
{
    const struct compare_side *s = c->new.title.len ? &c->new : &c->old;
    struct text part = s->part.len ? arena_format(b->arena, ", part %.*s", TEXT_ARGS(s->part)) : TEXT("");
    if (s->title.len)
        print_wrapped(b, plain(b, arena_format(b->arena, "%.*s%.*s", TEXT_ARGS(s->title), TEXT_ARGS(part))), width, 0,
                      0);
    put_side(b, "old", &c->old, width);
    put_side(b, "new", &c->new, width);
    for (uint32_t i = 0; i < c->notes.count; i++) {
        buffer_putc(b, '\n');
        print_wrapped(b, plain(b, c->notes.at[i]), width, 0, 0);
    }
}

/* ---- tables ---------------------------------------------------------------------------------------------------------- */

static const struct column stated_columns[] = {{"", COLUMN_WORDS},    {"In", COLUMN_FLOW},   {"What", COLUMN_WORDS},
                                               {"Old", COLUMN_WORDS}, {"New", COLUMN_WORDS}, {"Change", COLUMN_WORDS},
                                               {"Line", COLUMN_WORDS}};
static const struct column follow_columns[] = {{"", COLUMN_WORDS},
                                               {"What", COLUMN_WORDS},
                                               {"Old", COLUMN_NUMBER},
                                               {"New", COLUMN_NUMBER},
                                               {"Change", COLUMN_WORDS}};
static const struct column judged_columns[] = {
    {"", COLUMN_WORDS}, {"What", COLUMN_WORDS}, {"Old", COLUMN_WORDS}, {"New", COLUMN_WORDS}, {"", COLUMN_WORDS}};
static const struct column margin_columns[] = {{"", COLUMN_WORDS},
                                               {"Limit", COLUMN_WORDS},
                                               {"Old", COLUMN_WORDS},
                                               {"New", COLUMN_WORDS},
                                               {"Margin", COLUMN_WORDS}};

static const struct column *const columns_of[COMPARE_SECTION_COUNT] = {
    [COMPARE_STATED] = stated_columns, [COMPARE_VERDICT] = judged_columns, [COMPARE_CAUTION] = judged_columns,
    [COMPARE_SIZE] = follow_columns,   [COMPARE_SET] = follow_columns,     [COMPARE_MARGIN] = margin_columns,
    [COMPARE_VALUE] = follow_columns};

static bool is_long(const struct compare_row *r)
{
    bool named = r->how == COMPARE_RENAMED || r->how == COMPARE_MOVED;
    return !named && (utf8_columns(r->before) > LONG || utf8_columns(r->after) > LONG);
}

static void put_below(struct buffer *notes, const char *head, struct text t, uint32_t width)
{
    if (t.len)
        print_wrapped(notes, arena_format(notes->arena, "%s  %.*s", head, TEXT_ARGS(plain(notes, t))), width,
                      NOTE_INDENT, 5);
}

/* Shortens "line 7" to "7" and "old line 7" to "old 7", for a column titled Line. */
static struct text without_line(struct arena *a, struct text place)
{
    bool old = place.len > 4 && memcmp(place.at, "old ", 4) == 0;
    uint32_t from = old ? 4 : 0;
    if (place.len < from + 5 || memcmp(place.at + from, "line ", 5) != 0)
        return place;
    return arena_format(a, "%s%.*s", old ? "old " : "", (int)(place.len - from - 5), place.at + from + 5);
}

/* Breaks the line before a band in a narrow table. */
static struct text over_band(struct buffer *b, struct text t, uint32_t width)
{
    struct text words = plain(b, t);
    char *out = arena_copy(b->arena, words);
    for (uint32_t i = 1; width < 100 && i + 4 < words.len; i++)
        if (out[i] == ' ' && (memcmp(out + i + 1, "+/-", 3) == 0 || memcmp(out + i - 2, "..", 2) == 0))
            out[i] = '\n';
    return (struct text){out, words.len};
}

static void add_stated(struct columns *t, struct buffer *b, const struct comparison *c, const struct compare_row *r,
                       bool told, uint32_t width)
{
    struct columns_row *row = columns_add(t);
    struct buffer notes;
    buffer_init(&notes, b->arena);
    row->cell[0] = text_of(marks[r->how]);
    row->cell[1] = told ? TEXT("") : plain(b, r->subject);
    row->cell[2] = r->what.len                 ? plain(b, r->what)
                   : r->how == COMPARE_CHANGED ? TEXT("")
                                               : text_of(compare_how_names[r->how]);
    if (is_long(r)) {
        put_below(&notes, "old", r->before, width);
        put_below(&notes, "new", r->after, width);
    } else {
        row->cell[3] = over_band(b, r->before, width);
        row->cell[4] = over_band(b, r->after, width);
    }
    row->cell[5] = plain(b, compare_change(b->arena, r));
    row->cell[6] = without_line(b->arena, plain(b, compare_place(b->arena, c, r)));
    row->below = buffer_text(&notes);
}

static void add_follow(struct columns *t, struct buffer *b, const struct compare_row *r, uint32_t width)
{
    struct columns_row *row = columns_add(t);
    struct buffer notes;
    bool numbers = t->columns == follow_columns;
    buffer_init(&notes, b->arena);
    row->cell[0] = text_of(r->worse ? "!" : marks[r->how]);
    row->cell[1] = plain(b, r->subject);
    if (numbers && is_long(r)) {
        put_below(&notes, "old", r->before, width);
        put_below(&notes, "new", r->after, width);
    } else {
        row->cell[2] = plain(b, r->before);
        row->cell[3] = plain(b, r->after);
    }
    row->cell[4] = plain(b, compare_change(b->arena, r));
    if (r->section == COMPARE_VERDICT)
        put_below(&notes, "because", r->label, width);
    row->below = buffer_text(&notes);
}

/* Colours the marks at the beginning of lines that columns_print() made without colour. */
static void put_marked(struct buffer *b, struct text lines, bool color)
{
    for (uint32_t at = 0; at < lines.len;) {
        const char *end = memchr(lines.at + at, '\n', lines.len - at);
        uint32_t n = (uint32_t)(end - lines.at) + 1 - at;
        char mark = lines.at[at];
        bool marked = color && n > 2 && lines.at[at + 1] == ' ' && strchr("+-!", mark);
        if (marked)
            buffer_printf(b, "%s%c" PLAIN, mark == '+' ? GREEN : RED, mark);
        buffer_put(b, (struct text){lines.at + at + marked, n - marked});
        at += n;
    }
}

static void put_section(struct buffer *b, const struct comparison *c, uint32_t first, struct compare_style style)
{
    enum compare_section section = c->rows.at[first].section;
    bool stated = section == COMPARE_STATED;
    struct columns t = {.arena = b->arena, .columns = columns_of[section], .count = stated ? 7 : 5};
    uint32_t count = c->count[section];
    uint32_t shown = section == COMPARE_VALUE && !style.all && count > COMPARE_FEW ? COMPARE_FEW : count;
    struct buffer lines;
    buffer_init(&lines, b->arena);
    struct text told = TEXT("");
    for (uint32_t i = first; i < first + shown; i++) {
        const struct compare_row *r = &c->rows.at[i];
        if (stated) /* rows of one definition show its name once */
            add_stated(&t, b, c, r, text_same(r->subject, told), style.width);
        else
            add_follow(&t, b, r, style.width);
        told = r->subject;
    }
    columns_print(&t, &lines, style.width);
    put_title(b, compare_section_titles[section], style.color);
    put_marked(b, buffer_text(&lines), style.color);
    if (shown < count)
        buffer_printf(b, "\n%u that moved less are not shown; --all shows them.\n", count - shown);
}

void compare_text(struct buffer *b, const struct comparison *c, struct compare_style style)
{
    if (!style.width)
        style.width = 80;
    put_head(b, c, style.width);
    const struct comparison *told = style.all ? c : compare_folded(b->arena, c);
    for (uint32_t i = 0; i < told->rows.count; i += told->count[told->rows.at[i].section])
        put_section(b, told, i, style);
    buffer_putc(b, '\n');
    print_wrapped(b, compare_summary(b->arena, c), style.width, 0, 0);
}
