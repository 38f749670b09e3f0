#include "compiler/review/meaning.h"

#include "compiler/emit/escape.h"
#include "runtime/base/number.h"

#include <math.h>
#include <stdlib.h>

struct line {
    uint32_t group, rank; /* kinds in the schema's order; within a group the steps' place */
    struct text head;     /* "tool die" */
    struct text text;
    uint32_t order; /* of the properties of one thing: the schema's */
};

struct telling {
    struct arena *arena;
    const struct scope *scope;
    const struct tree *tree;
    uint32_t file;
    ARRAY(struct line) lines;
};

enum { GROUP_USE = 0, GROUP_KIND = 1, GROUP_LET = 1000, GROUP_FORMULA, GROUP_DERIVED, GROUP_RULE, GROUP_WAIVE };

static void add_line(struct telling *t, uint32_t group, uint32_t rank, struct text head, struct text text)
{
    *ARRAY_PUSH(t->arena, &t->lines) = (struct line){group, rank, head, text, t->lines.count};
}

/* ---- parts as written, on one line ------------------------------------------------------------------------------------ */

static struct text words(struct telling *t, uint32_t node)
{
    const struct tree *tree = t->tree;
    struct buffer b;
    uint32_t end = 0;
    buffer_init(&b, t->arena);
    for (uint32_t token = node_at(tree, node)->first; token && token <= node_at(tree, node)->last; token++) {
        uint8_t kind = tree->token_kind[token];
        if (kind == TOKEN_COMMENT || kind == TOKEN_BREAK || kind == TOKEN_NEWLINE || kind == TOKEN_STRAY)
            continue;
        bool gap = b.count && tree->token_at[token] != end;
        buffer_put(&b, gap ? TEXT(" ") : TEXT(""));
        escape_put_plain(&b, token_text(tree, token));
        end = tree->token_at[token] + tree->token_len[token];
    }
    return buffer_text(&b);
}

/* ---- numbers in the schema's unit ---------------------------------------------------------------------------------------- */

/* Rounds to twelve digits, which drops the errors of unit conversion. */
static struct text number(struct telling *t, double value)
{
    if (value == 0 || !isfinite(value))
        return number_print(t->arena, value);
    double scale = pow(10, 12 - ceil(log10(fabs(value))));
    return number_print(t->arena, isfinite(scale) && scale > 0 ? round(value * scale) / scale : value);
}

static struct text with_unit(struct telling *t, double si, const struct unit *u, bool step)
{
    struct text spelling = step && u->point ? TEXT("K") : typeset_unit(t->arena, u, SPELL_ASCII);
    double value = step ? si / (u->point ? 1 : u->factor) : unit_from_si(u, si);
    return arena_format(t->arena, "%.*s%s%.*s", TEXT_ARGS(number(t, value)), spelling.len ? " " : "",
                        TEXT_ARGS(spelling));
}

static bool si_of(struct telling *t, const struct property_entry *entry, uint32_t node, double *si)
{
    double value;
    struct unit unit;
    bool has_unit;
    if (!node || !literal_of(t->tree, node, &value, &unit, &has_unit))
        return false;
    if (!unit_of_type_text(entry->type).point)
        unit = unit_step(unit);
    *si = unit_to_si(&unit, value);
    return true;
}

/* Shows a half width as a difference, per cents as a share of the nominal value. */
static bool width_of(struct telling *t, uint32_t node, double nominal, double *si)
{
    double value;
    struct unit unit;
    bool has_unit;
    if (!node || !literal_of(t->tree, node, &value, &unit, &has_unit))
        return false;
    *si = has_unit && text_is(unit.spelling, "%") ? fabs(nominal) * value / 100 : unit_difference_to_si(&unit, value);
    return true;
}

static bool quantity_words(struct telling *t, const struct property_entry *entry, uint32_t value, struct text *out)
{
    struct unit u = unit_of_type_text(entry->type);
    uint32_t first = node_child(t->tree, value), second = first ? node_next(t->tree, first) : 0;
    double a, b, c;
    switch (node_kind(t->tree, value)) {
    case NODE_TOLERANCE:
    case NODE_TOLERANCES: {
        uint32_t third = second ? node_next(t->tree, second) : 0;
        if (!si_of(t, entry, first, &a) || !width_of(t, second, a, &b) || !(third ? width_of(t, third, a, &c) : true))
            return false;
        c = third ? c : b;
        if (b == c)
            *out = arena_format(t->arena, "%.*s +/- %.*s", TEXT_ARGS(with_unit(t, a, &u, false)),
                                TEXT_ARGS(with_unit(t, b, &u, true)));
        else
            *out = arena_format(t->arena, "%.*s +%.*s -%.*s", TEXT_ARGS(with_unit(t, a, &u, false)),
                                TEXT_ARGS(with_unit(t, b, &u, true)), TEXT_ARGS(with_unit(t, c, &u, true)));
        return true;
    }
    case NODE_RANGE:
        if (!si_of(t, entry, first, &a) || !si_of(t, entry, second, &b))
            return false;
        *out = arena_format(t->arena, "%.*s .. %.*s", TEXT_ARGS(with_unit(t, a, &u, false)),
                            TEXT_ARGS(with_unit(t, b, &u, false)));
        return true;
    default:
        if (!si_of(t, entry, value, &a))
            return false;
        *out = with_unit(t, a, &u, false);
        return true;
    }
}

static struct text value_words(struct telling *t, const struct property *p)
{
    struct text out;
    enum form form = p->entry->form;
    bool number = form == FORM_QUANTITY || form == FORM_BAND || form == FORM_RANGE;
    return number && quantity_words(t, p->entry, p->value, &out) ? out : words(t, p->value);
}

/* ---- things -------------------------------------------------------------------------------------------------------------- */

static void tell_notes(struct telling *t, uint32_t node, uint32_t group, uint32_t rank, struct text head,
                       struct text before)
{
    NODE_EACH_CHILD (t->tree, node, n)
        if (node_kind(t->tree, n) == NODE_NOTE)
            add_line(
                t, group, rank, head,
                arena_format(t->arena, "%.*s%s%.*s", TEXT_ARGS(before), before.len ? " " : "", TEXT_ARGS(words(t, n))));
}

static void tell_definition(struct telling *t, uint32_t id)
{
    const struct scope *s = t->scope;
    const struct definition *d = definition_at(s, id);
    struct text name = d->name ? atom_text(&s->names, d->name) : TEXT("");
    struct text head =
        arena_format(t->arena, "%s%s%.*s", kind_table[d->kind].name, name.len ? " " : "", TEXT_ARGS(name));
    uint32_t group = d->step ? GROUP_LET - 1 : GROUP_KIND + (uint32_t)d->kind, rank = d->step;
    uint32_t like = node_find(t->tree, d->site.node, NODE_LIKE);
    if (kind_table[d->kind].flags & KIND_HISTORY) /* without a name they are ordered by their place in the file */
        rank = id;
    add_line(t, group, rank, head, like ? words(t, like) : TEXT(""));
    for (uint32_t i = 0; i < property_count; i++) {
        if (property_table[i].kind != d->kind && property_table[i].kind != kind_table[d->kind].family)
            continue;
        for (uint32_t k = 0; k < d->property_count; k++) {
            const struct property *p = property_at(s, d->first_property + k);
            if (p->entry != &property_table[i])
                continue;
            uint32_t signature = node_find(t->tree, p->site.node, NODE_SIGNATURE);
            struct text what =
                arena_format(t->arena, "%s%.*s", p->entry->name, TEXT_ARGS(signature ? words(t, signature) : TEXT("")));
            add_line(t, group, rank, head,
                     arena_format(t->arena, "%.*s = %.*s", TEXT_ARGS(what), TEXT_ARGS(value_words(t, p))));
            tell_notes(t, p->site.node, group, rank, head, what);
        }
    }
}

/* Adds statements other than definitions: the first line, and the lines in braces, as written. */
static void tell_item(struct telling *t, uint32_t node)
{
    static const struct {
        enum node_kind kind;
        uint32_t group;
        const char *name;
    } rows[] = {{NODE_USE, GROUP_USE, "use"},
                {NODE_LET, GROUP_LET, "let"},
                {NODE_FORMULA, GROUP_FORMULA, "formula"},
                {NODE_LIMIT, GROUP_RULE, "limit"},
                {NODE_CAUTION, GROUP_RULE, "caution"},
                {NODE_REQUIRE, GROUP_RULE, "require"},
                {NODE_WAIVE, GROUP_WAIVE, "waive"},
                {NODE_DERIVE, GROUP_DERIVED, "derive"}};
    const struct tree *tree = t->tree;
    size_t row = 0;
    while (row < sizeof rows / sizeof rows[0] && rows[row].kind != node_kind(tree, node))
        row++;
    if (row == sizeof rows / sizeof rows[0])
        return;
    struct text head = text_of(rows[row].name);
    uint32_t child = node_child(tree, node);
    bool block = rows[row].kind == NODE_LIMIT || rows[row].kind == NODE_CAUTION || rows[row].kind == NODE_DERIVE;
    if (!block) {
        add_line(t, rows[row].group, 0, head, words(t, node));
        return;
    }
    head = arena_format(t->arena, "%s %.*s", rows[row].name, TEXT_ARGS(words(t, child)));
    add_line(t, rows[row].group, 0, head, TEXT(""));
    NODE_EACH_CHILD (tree, node, n)
        if (n != child)
            add_line(t, rows[row].group, 0, head, words(t, n));
}

/* ---- order ----------------------------------------------------------------------------------------------------------------- */

static int by_place(const void *a, const void *b)
{
    const struct line *x = a, *y = b;
    if (x->group != y->group)
        return x->group < y->group ? -1 : 1;
    if (x->rank != y->rank)
        return x->rank < y->rank ? -1 : 1;
    int c = text_order(x->head, y->head);
    if (c)
        return c;
    /* Statements are ordered by text; the lines of one statement keep their order. */
    if (x->group == GROUP_USE || x->group == GROUP_LET || x->group == GROUP_FORMULA || text_is(x->head, "require") ||
        x->group == GROUP_WAIVE)
        c = text_order(x->text, y->text);
    return c ? c : (x->order > y->order) - (x->order < y->order);
}

static void put_lines(struct buffer *b, const struct telling *t)
{
    struct text head = TEXT("");
    uint32_t rank = 0;
    for (uint32_t i = 0; i < t->lines.count; i++) {
        const struct line *l = &t->lines.at[i];
        bool whole = text_is(l->head, "use") || text_is(l->head, "let") || text_is(l->head, "formula") ||
                     text_is(l->head, "require") || text_is(l->head, "waive");
        bool begins = !text_same(l->head, head) || l->rank != rank;
        buffer_put(b, i && begins ? TEXT("\n") : TEXT(""));
        if (begins && !whole) {
            escape_put_plain(b, l->head);
            buffer_put(b, l->text.len ? TEXT(" ") : TEXT(""));
        } else if (!whole)
            buffer_put(b, TEXT("    "));
        escape_put_plain(b, l->text);
        buffer_putc(b, '\n');
        head = l->head;
        rank = l->rank;
    }
}

/* Whether a part was not understood and would be missing in the lines. */
static bool is_broken(const struct scope *s, const struct tree *t)
{
    for (uint32_t i = 1; i < t->node_count; i++)
        if (t->nodes[i].kind == NODE_ERROR || t->nodes[i].flags & NODE_BROKEN)
            return true;
    for (uint32_t i = 0; i < s->definitions.count; i++)
        if (s->definitions.at[i].faulty)
            return true;
    static const enum fault unread[] = {FAULT_unknown_kind, FAULT_duplicate_property, FAULT_duplicate_name,
                                        FAULT_derived_twice, FAULT_second_steps};
    for (uint32_t i = 0; i < s->diagnostics->all.count; i++)
        for (size_t k = 0; k < sizeof unread / sizeof unread[0]; k++)
            if (s->diagnostics->all.at[i]->fault == unread[k])
                return true;
    return false;
}

static void tell(struct buffer *b, struct strokewright_recipe *r)
{
    struct telling t = {.arena = &r->arena, .scope = &r->scope, .file = r->sources.first};
    t.tree = file_at(t.scope, t.file)->tree;
    if (is_broken(t.scope, t.tree)) {
        buffer_put(b, source_at(&r->sources, t.file)->bytes);
        return;
    }
    for (uint32_t id = t.scope->first_definition; id < definition_end(t.scope); id++)
        if (definition_at(t.scope, id)->site.file == t.file)
            tell_definition(&t, id);
    NODE_EACH_CHILD (t.tree, t.tree->root, n)
        tell_item(&t, n);
    if (t.lines.count)
        qsort(t.lines.at, t.lines.count, sizeof *t.lines.at, by_place);
    put_lines(b, &t);
}

bool meaning_text(struct buffer *b, struct strokewright_recipe *r)
{
    jmp_buf exhausted;
    r->arena.exhausted = b->arena->exhausted = &exhausted;
    bool volatile good = false;
    if (!setjmp(exhausted)) {
        tell(b, r);
        good = true;
    }
    r->arena.exhausted = b->arena->exhausted = NULL;
    return good;
}
