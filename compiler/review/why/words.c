/* An expression in words: as written, with its conditions decided, and with the values put in. */
#include "compiler/review/why/parts.h"

#include <math.h>
#include <stdlib.h>

struct piece { /* tokens that are replaced by a text, or left out when it is empty */
    uint32_t first, last;
    struct text text;
};

struct pieces {
    struct arena *arena;
    ARRAY(struct piece) all;
};

static void add_piece(struct pieces *p, uint32_t first, uint32_t last, struct text text)
{
    if (first <= last)
        *ARRAY_PUSH(p->arena, &p->all) = (struct piece){first, last, text};
}

/* Orders pieces by place, the longer first. */
static int by_place(const void *left, const void *right)
{
    const struct piece *a = left, *b = right;
    if (a->first != b->first)
        return a->first < b->first ? -1 : 1;
    return a->last == b->last ? 0 : a->last > b->last ? -1 : 1;
}

static bool is_gap(uint8_t kind)
{
    return kind == TOKEN_COMMENT || kind == TOKEN_BREAK || kind == TOKEN_NEWLINE || kind == TOKEN_STRAY;
}

/* Writes a token, with one blank for any gap before it, and none inside parentheses or before a comma. */
static void put_token(struct buffer *b, struct text token, bool gap)
{
    bool after_open = b->count && b->at[b->count - 1] == '(';
    bool closes = token.len && (token.at[0] == ')' || token.at[0] == ',');
    if (gap && b->count && !after_open && !closes)
        buffer_putc(b, ' ');
    buffer_put(b, token);
}

static struct text on_one_line(struct arena *a, const struct tree *t, uint32_t node, const struct pieces *p)
{
    struct buffer b;
    uint32_t next = 0, last = node_at(t, node)->last;
    bool gap = false;
    buffer_init(&b, a);
    for (uint32_t i = node_at(t, node)->first; i <= last; i++) {
        gap |= i > 1 && t->token_at[i] > t->token_at[i - 1] + t->token_len[i - 1];
        while (p && next < p->all.count && p->all.at[next].first < i)
            next++;
        const struct piece *piece = p && next < p->all.count && p->all.at[next].first == i ? &p->all.at[next] : NULL;
        if (is_gap(t->token_kind[i]) || (piece && !piece->text.len)) {
            i = piece ? piece->last : i;
            gap = true;
            continue;
        }
        put_token(&b, piece ? piece->text : token_text(t, i), gap);
        i = piece ? piece->last : i;
        gap = false;
    }
    return buffer_text(&b);
}

/* ---- what stands for what --------------------------------------------------------------------------------------------- */

static void add_choices(struct pieces *out, struct why_collector *c, const struct why_point *p, const struct tree *t)
{
    for (uint32_t i = 0; i < p->choices.count; i++) {
        double condition = why_si(c, p->choices.at[i].condition);
        const struct node *n = node_at(t, p->choices.at[i].node);
        if (isnan(condition))
            continue;
        uint32_t yes = node_next(t, node_child(t, p->choices.at[i].node));
        const struct node *taken = node_at(t, condition != 0 ? yes : node_next(t, yes));
        add_piece(out, n->first, taken->first - 1, TEXT(""));
        add_piece(out, taken->last + 1, n->last, TEXT(""));
    }
}

/* Puts negative numbers in parentheses, as the language requires behind an operator. */
static struct text value_words(struct why_collector *c, const struct why_value *v)
{
    double si = why_si(c, v->low);
    if (isnan(si) || !v->unit.factor)
        return TEXT("");
    struct text words = typeset_quantity(c->arena, si, &v->unit, SPELL_ASCII);
    return words.len && words.at[0] == '-' ? arena_format(c->arena, "(%.*s)", TEXT_ARGS(words)) : words;
}

static bool add_values(struct pieces *out, struct why_collector *c, const struct why_point *p, const struct tree *t)
{
    bool any = false;
    for (uint32_t i = 0; i < p->reads.count; i++) {
        const struct why_read *r = &p->reads.at[i];
        struct text words = r->hidden || r->asked ? TEXT("") : value_words(c, &r->value);
        if (!words.len)
            continue;
        add_piece(out, node_at(t, r->node)->first, node_at(t, r->node)->last, words);
        any = true;
    }
    return any;
}

static struct text assembled(struct why_collector *c, const struct tree *t, uint32_t node, struct pieces *p)
{
    if (p->all.count)
        qsort(p->all.at, p->all.count, sizeof *p->all.at, by_place);
    return on_one_line(c->arena, t, node, p);
}

/* Returns the expression inside parentheses around all of it, which only allow a line break. */
uint32_t why_inside_parens(const struct tree *t, uint32_t node)
{
    while (node_kind(t, node) == NODE_PAREN && node_child(t, node))
        node = node_child(t, node);
    return node;
}

static bool is_plain_value(const struct tree *t, uint32_t node)
{
    switch (node_kind(t, node)) {
    case NODE_NUMBER:
    case NODE_TOLERANCE:
    case NODE_TOLERANCES:
    case NODE_RANGE:
    case NODE_TABLE:
    case NODE_TEXT:
    case NODE_DATE:
    case NODE_BOOLEAN:
    case NODE_LIST:
        return true;
    default:
        return false;
    }
}

static struct text head_words(struct why_collector *c, const struct why_point *p)
{
    struct scope *s = c->lowering->scope;
    const struct tree *t = file_at(s, p->value.file)->tree;
    struct site site = p->sort == WHY_FORMULA ? formula_at(s, p->callee)->site : property_at(s, p->callee)->site;
    uint32_t signature = node_find(t, site.node, NODE_SIGNATURE);
    struct text words = node_text(t, node_child(t, site.node));
    const char *mark = "(";
    for (uint32_t n = signature ? node_child(t, signature) : 0; n; n = node_next(t, n)) {
        if (node_kind(t, n) != NODE_PARAMETER)
            continue;
        words = arena_format(c->arena, "%.*s%s%.*s", TEXT_ARGS(words), mark, TEXT_ARGS(node_text(t, node_child(t, n))));
        mark = ", ";
    }
    return mark[0] == ',' ? arena_format(c->arena, "%.*s)", TEXT_ARGS(words)) : words;
}

void why_fill_expression(struct why_collector *c, const struct why_point *p, struct why_entry *e)
{
    if (!p->value.node || p->sort == WHY_BUILTIN)
        return;
    const struct tree *t = file_at(c->lowering->scope, p->value.file)->tree;
    uint32_t node = why_inside_parens(t, p->value.node);
    struct pieces taken = {c->arena, {0}}, numbers = {c->arena, {0}};
    if (is_plain_value(t, node) && p->sort != WHY_DERIVED && p->sort != WHY_FORMULA)
        return;
    /* The expression of a word or a definition's name is the same as its value. */
    if (p->sort == WHY_STATED && node_kind(t, node) == NODE_NAME && !p->reads.count)
        return;
    if (p->sort == WHY_FORMULA || p->sort == WHY_FUNCTION)
        e->head = head_words(c, p);
    e->written = on_one_line(c->arena, t, node, NULL);
    add_choices(&taken, c, p, t);
    if (taken.all.count)
        e->taken = assembled(c, t, node, &taken);
    add_choices(&numbers, c, p, t);
    if (!add_values(&numbers, c, p, t))
        return;
    e->numbers = assembled(c, t, node, &numbers);
    if (text_same(e->numbers, e->shown.text)) /* one value taken over */
        e->numbers = TEXT("");
}
