/* A comparison in Markdown, for a merge request.
 *
 * Whatever came from a recipe stands in a code span, where nothing is a link, a mention, a mark or HTML; a bar, which
 * would end a cell of a table, stands escaped between two spans. */
#include "compiler/emit/escape.h"
#include "compiler/review/compare/compare.h"

/* Fences a span by more backticks than stand together in it. */
static void put_span(struct buffer *b, struct text t)
{
    uint32_t longest = 0, run = 0;
    bool blank = true;
    for (uint32_t i = 0; i < t.len; i++) {
        run = t.at[i] == '`' ? run + 1 : 0;
        longest = run > longest ? run : longest;
        blank = blank && t.at[i] == ' ';
    }
    if (blank)
        return;
    bool padded = t.at[0] == '`' || t.at[t.len - 1] == '`' || t.at[0] == ' ';
    buffer_pad(b, '`', longest + 1);
    buffer_put(b, padded ? TEXT(" ") : TEXT(""));
    buffer_put(b, t);
    buffer_put(b, padded ? TEXT(" ") : TEXT(""));
    buffer_pad(b, '`', longest + 1);
}

void compare_markdown_code(struct buffer *b, struct text words)
{
    struct text t = escape_plain(b->arena, words);
    for (uint32_t from = 0; from < t.len;) {
        const char *bar = memchr(t.at + from, '|', t.len - from);
        uint32_t to = bar ? (uint32_t)(bar - t.at) : t.len;
        put_span(b, (struct text){t.at + from, to - from});
        if (bar)
            buffer_put(b, TEXT("\\|"));
        from = to + 1;
    }
}

static void put_cell(struct buffer *b, struct text t)
{
    buffer_put(b, TEXT(" "));
    compare_markdown_code(b, t);
    buffer_put(b, t.len ? TEXT(" |") : TEXT("|"));
}

static void put_side(struct buffer *b, const char *which, const struct compare_side *s)
{
    buffer_printf(b, "- %s: ", which);
    compare_markdown_code(b, s->path);
    const struct {
        const char *before;
        struct text text;
    } parts[] = {{", revision ", s->revision}, {" of ", s->date}, {", ", s->status}};
    for (int i = 0; i < 3; i++)
        if (parts[i].text.len) {
            buffer_put(b, text_of(parts[i].before));
            compare_markdown_code(b, parts[i].text);
        }
    buffer_putc(b, '\n');
}

static void put_row(struct buffer *b, const struct comparison *c, const struct compare_row *r)
{
    bool stated = r->section == COMPARE_STATED;
    buffer_printf(b, "| %s |", r->worse ? "**worse**" : compare_how_names[r->how]);
    put_cell(b, r->subject);
    if (stated)
        put_cell(b, r->what);
    put_cell(b, r->before);
    put_cell(b, r->after);
    put_cell(b, r->section == COMPARE_VERDICT ? r->label : compare_change(b->arena, r));
    if (stated)
        put_cell(b, compare_place(b->arena, c, r));
    buffer_putc(b, '\n');
}

/* whole: number of rows of the section before folding. */
static void put_section(struct buffer *b, const struct comparison *c, uint32_t first, uint32_t whole, bool all)
{
    enum compare_section section = c->rows.at[first].section;
    uint32_t count = c->count[section];
    bool folded = section == COMPARE_VALUE, stated = section == COMPARE_STATED;
    uint32_t shown = folded && !all && count > COMPARE_FEW ? COMPARE_FEW : count;
    const char *last = section == COMPARE_VERDICT ? "Because" : section == COMPARE_MARGIN ? "Margin" : "Change";
    if (folded)
        buffer_printf(b, "\n<details><summary>%s (%u)</summary>\n\n", compare_section_titles[section], whole);
    else
        buffer_printf(b, "\n### %s\n\n", compare_section_titles[section]);
    buffer_printf(b, "| | %s Old | New | %s |%s\n", stated ? "In | What |" : "What |", last, stated ? " Where |" : "");
    buffer_printf(b, "| --- | %s --- | --- | --- |%s\n", stated ? "--- | --- |" : "--- |", stated ? " --- |" : "");
    for (uint32_t i = first; i < first + shown; i++)
        put_row(b, c, &c->rows.at[i]);
    if (shown < count)
        buffer_printf(b, "\n%u that moved less are not shown.\n", count - shown);
    if (folded)
        buffer_put(b, TEXT("\n</details>\n"));
}

void compare_markdown(struct buffer *b, const struct comparison *c, bool all)
{
    const struct compare_side *s = c->new.title.len ? &c->new : &c->old;
    buffer_put(b, TEXT("## "));
    compare_markdown_code(b, s->title.len ? s->title : s->path);
    if (s->part.len) {
        buffer_put(b, TEXT(", part "));
        compare_markdown_code(b, s->part);
    }
    buffer_put(b, TEXT("\n\n"));
    put_side(b, "old", &c->old);
    put_side(b, "new", &c->new);
    buffer_putc(b, '\n');
    buffer_put(b, compare_summary(b->arena, c));
    buffer_putc(b, '\n');
    for (uint32_t i = 0; i < c->notes.count; i++) {
        buffer_put(b, TEXT("\n> "));
        compare_markdown_code(b, c->notes.at[i]);
        buffer_putc(b, '\n');
    }
    const struct comparison *told = all ? c : compare_folded(b->arena, c);
    for (uint32_t i = 0; i < told->rows.count; i += told->count[told->rows.at[i].section])
        put_section(b, told, i, c->count[told->rows.at[i].section], all);
}
