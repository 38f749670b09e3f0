/* The words of a row. */
#include "compiler/review/compare/parts.h"
#include "runtime/base/number.h"
#include "runtime/compare.h"

#include <math.h>

/* ---- as written ---------------------------------------------------------------------------------------------------- */

/* Removes comments and line breaks. */
struct text compare_words_of(struct matcher *m, const struct side *side, struct site site)
{
    const struct tree *t = file_at(side->scope, site.file)->tree;
    const struct node *n = node_at(t, site.node);
    struct buffer b;
    buffer_init(&b, m->arena);
    uint32_t end = 0;
    for (uint32_t token = n->first; n->first && token <= n->last; token++) {
        uint8_t kind = t->token_kind[token];
        if (kind == TOKEN_COMMENT || kind == TOKEN_BREAK || kind == TOKEN_STRAY || kind == TOKEN_END)
            continue;
        if (kind == TOKEN_NEWLINE) {
            end = 0;
            continue;
        }
        bool gap = b.count && t->token_at[token] != end;
        buffer_put(&b, gap ? TEXT(" ") : TEXT(""));
        buffer_put(&b, token_text(t, token));
        end = t->token_at[token] + t->token_len[token];
    }
    return buffer_text(&b);
}

struct text compare_definition_name(const struct scope *s, uint32_t definition)
{
    const struct definition *d = definition_at(s, definition);
    return d->name ? atom_text(&s->names, d->name) : text_of(kind_table[d->kind].name);
}

struct text compare_item_words(struct matcher *m, const struct side *side, const struct item *item)
{
    static const char *const sorts[] = {
        [ITEM_LET] = "let", [ITEM_FORMULA] = "formula", [ITEM_WAIVE] = "waiver", [ITEM_DERIVED] = "derived"};
    const char *head = item->sort == ITEM_DEFINITION ? kind_table[item->kind].name
                       : item->sort == ITEM_DERIVED  ? kind_table[item->kind].name
                       : item->sort != ITEM_RULE     ? sorts[item->sort]
                       : item->kind == NODE_CAUTION  ? "caution"
                       : item->kind == NODE_LIMIT    ? "limit"
                                                     : "requirement";
    const struct definition *d = item->sort == ITEM_DEFINITION ? definition_at(side->scope, item->id) : NULL;
    struct text name = d && d->name ? atom_text(&side->scope->names, d->name) : item->name;
    if (item->sort == ITEM_DERIVED)
        return arena_format(m->arena, "derived %s.%.*s", head, TEXT_ARGS(name));
    return arena_format(m->arena, "%s%s%.*s", head, name.len ? " " : "", TEXT_ARGS(name));
}

/* ---- how much ------------------------------------------------------------------------------------------------------- */

/* Three digits, no decimals from ten on: "-50 %", "+2.4 %", "+0.31 %"; empty when that would be nothing. */
static struct text percent_words(struct arena *a, double percent)
{
    double size = fabs(percent);
    struct text t = typeset_number(a, percent, size >= 10 ? 0 : size >= 1 ? 1 : 2);
    if (size < 0.005)
        return TEXT("");
    return arena_format(a, "%s%.*s %%", percent > 0 ? "+" : "", TEXT_ARGS(t));
}

/* Relative changes of temperatures are about 20 degC, not about the zero of a scale. */
static double relative(double before, double after, bool point)
{
    double zero = point ? 293.15 : 0, larger = fmax(fabs(before - zero), fabs(after - zero));
    return larger > 0 ? fabs(after - before) / larger : 0;
}

/* Shows a difference with at most the decimals of the values it is between. */
static struct text difference_words(struct arena *a, double before, double after, const struct unit *u)
{
    struct unit step = unit_of_difference(*u);
    int x = decimals_shown(u, before), y = decimals_shown(u, after), decimals = y > x ? y : x;
    if (x < 0 || y < 0 || fabs(after - before) / step.factor < 0.5 * power_of_ten(-decimals))
        return typeset_quantity(a, after - before, &step, SPELL_ASCII);
    return typeset_quantity_to(a, after - before, &step, decimals, SPELL_ASCII);
}

double compare_change_weight(double before, double after, const struct unit *u)
{
    if (isfinite(before) && isfinite(after))
        return relative(before, after, u->point);
    return isnan(before) && isnan(after) ? 0 : INFINITY;
}

/* No percentage is shown of a value in per cent. */
static bool is_share(const struct unit *u)
{
    return text_is(u->spelling, "%");
}

/* NaN where it makes no sense. */
static double compare_change_percent(double before, double after, const struct unit *u)
{
    bool moved = isfinite(before) && isfinite(after) && !same_value(before, after) && !is_share(u) && !u->point;
    if (!moved || before == 0 || after == 0 || (before > 0) != (after > 0))
        return NAN;
    return round((after - before) / fabs(before) * 1e8) / 1e6; /* without the noise of the last bits */
}

struct change compare_change_words(struct arena *a, double before, double after, const struct unit *u)
{
    struct change out = {TEXT(""), compare_change_percent(before, after, u), compare_change_weight(before, after, u)};
    if (!isfinite(before) || !isfinite(after) || same_value(before, after))
        return out;
    struct text by = difference_words(a, before, after, u), percent = TEXT("");
    if (is_share(u))
        by = arena_format(a, "%.*s points", TEXT_ARGS(typeset_number(a, (after - before) / u->factor, 1)));
    else if (!isnan(out.percent))
        percent = percent_words(a, out.percent);
    out.words = arena_format(a, "%s%.*s%s%.*s", after > before ? "+" : "", TEXT_ARGS(by), percent.len ? ", " : "",
                             TEXT_ARGS(percent));
    return out;
}

/* ---- tables ---------------------------------------------------------------------------------------------------------- */

enum { ROWS_TOLD = 4 };

static uint32_t first_row(const struct tree *t, uint32_t table, uint32_t *rows)
{
    uint32_t first = 0;
    *rows = 0;
    NODE_EACH_CHILD (t, table, n)
        if (node_kind(t, n) == NODE_ROW) {
            first = first ? first : n;
            ++*rows;
        }
    return first;
}

static void put_row(struct matcher *m, struct buffer *b, const struct side *side, uint32_t file, uint32_t row)
{
    buffer_put(b, b->count ? TEXT("; ") : TEXT(""));
    buffer_put(b, compare_words_of(m, side, (struct site){file, row}));
}

/* Shows of two tables with as many rows the first few rows that differ. */
void compare_table_words(struct matcher *m, struct site old, struct site new, struct text *before, struct text *after)
{
    const struct tree *s = file_at(m->old.scope, old.file)->tree, *t = file_at(m->new.scope, new.file)->tree;
    uint32_t rows, others, told = 0, more = 0, p = first_row(s, old.node, &rows), q = first_row(t, new.node, &others);
    struct buffer x, y;
    buffer_init(&x, m->arena);
    buffer_init(&y, m->arena);
    for (; rows == others && p && q; p = node_next(s, p), q = node_next(t, q)) {
        struct text a = compare_words_of(m, &m->old, (struct site){old.file, p});
        if (text_same(a, compare_words_of(m, &m->new, (struct site){new.file, q})))
            continue;
        if (told++ >= ROWS_TOLD) {
            more++;
            continue;
        }
        put_row(m, &x, &m->old, old.file, p);
        put_row(m, &y, &m->new, new.file, q);
    }
    if (more) {
        buffer_printf(&x, "; and %u more", more);
        buffer_printf(&y, "; and %u more", more);
    }
    *before = told ? buffer_text(&x) : compare_words_of(m, &m->old, old);
    *after = told ? buffer_text(&y) : compare_words_of(m, &m->new, new);
}

/* ---- rows ------------------------------------------------------------------------------------------------------------ */

struct compare_row *compare_add_row(struct matcher *m, enum compare_section section, enum compare_how how)
{
    struct compare_row *r = ARRAY_PUSH(m->arena, &m->out->rows);
    r->section = section;
    r->how = how;
    r->before_value = r->after_value = r->percent = NAN;
    r->order = m->out->rows.count;
    return r;
}

/* Returns the path relative to the folder of the recipe where the file is below it. */
struct text compare_path_shown(const struct side *side, uint32_t file)
{
    struct text main = source_at(side->scope->sources, side->scope->sources->first)->path;
    struct text path = source_at(side->scope->sources, file)->path;
    uint32_t folder = main.len;
    while (folder && main.at[folder - 1] != '/' && main.at[folder - 1] != ':')
        folder--;
    if (path.len > folder && memcmp(path.at, main.at, folder) == 0)
        return (struct text){path.at + folder, path.len - folder};
    return path;
}

void compare_place_row(struct matcher *m, struct compare_row *r, const struct side *side, struct site site)
{
    (void)m;
    if (!site.file || site.file < side->scope->first_file)
        return;
    struct span span = site_span(side->scope, site);
    r->file = compare_path_shown(side, site.file);
    r->span = span;
    r->line = place_of(side->scope->sources, site.file, span.lo).line;
}

struct text compare_change(struct arena *a, const struct compare_row *r)
{
    const struct compare_step *s = &r->step;
    return r->change.len || !s->known ? r->change : compare_change_words(a, s->before, s->after, &s->unit).words;
}

void compare_fill_numbers(struct matcher *m, struct compare_row *r, double before, double after,
                          const struct quantity *q)
{
    r->step = (struct compare_step){true, before, after, q->unit};
    r->percent = compare_change_percent(before, after, &q->unit);
    r->weight = compare_change_weight(before, after, &q->unit);
    r->before_value = isnan(before) ? NAN : unit_from_si(&q->unit, before);
    r->after_value = isnan(after) ? NAN : unit_from_si(&q->unit, after);
    r->unit = typeset_unit(m->arena, &q->unit, SPELL_ASCII);
}
