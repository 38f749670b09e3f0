/* Values: on one line where they fit, else broken by what they are made of. */
#include "compiler/review/tidy/parts.h"

static bool fits(const struct tidy_writer *w, uint32_t first, uint32_t last, uint32_t reserve)
{
    return tidy_fits_one_line(w, first, last) && w->column + tidy_width(w, first, last) + reserve <= TIDY_WIDTH;
}

/* With the blank in front of it. */
static bool fits_behind(const struct tidy_writer *w, uint32_t first, uint32_t last, uint32_t reserve)
{
    return !w->fresh && tidy_fits_one_line(w, w->last, first) && fits(w, first, last, reserve + 1);
}

/* ---- operators --------------------------------------------------------------------------------------------------- */

/* Operators of one strength are broken together; a line may begin with them. 0: it may not. */
static int strength(uint8_t op)
{
    switch (op) {
    case TOKEN_OR:
        return 1;
    case TOKEN_AND:
        return 2;
    case TOKEN_PLUS:
    case TOKEN_MINUS:
        return 3;
    case TOKEN_TIMES:
    case TOKEN_DIVIDE:
        return 4;
    default:
        return 0;
    }
}

/* Where an operand goes on: that of a stronger operator further in. */
static uint32_t operand_indent(const struct tidy_writer *w, uint32_t operand, uint32_t indent)
{
    return node_kind(w->tree, operand) == NODE_BINARY ? indent + TIDY_INDENT : indent;
}

static void lay_operators(struct tidy_writer *w, uint32_t node, uint32_t indent, uint32_t reserve)
{
    const struct tree *t = w->tree;
    uint32_t left = node_child(t, node), right = node_next(t, left), op = tidy_next_token(w, node_at(t, left)->last);
    int own = strength(node_at(t, node)->op);
    if (own && node_kind(t, left) == NODE_BINARY && strength(node_at(t, left)->op) == own)
        lay_operators(w, left, indent, 0);
    else
        tidy_value(w, left, operand_indent(w, left, indent), own ? 0 : tidy_width(w, op, op) + 1);
    if (own)
        tidy_line(w, indent);
    tidy_put(w, op);
    if (!own && !fits_behind(w, node_at(t, right)->first, node_at(t, right)->last, reserve))
        tidy_line(w, indent);
    tidy_value(w, right, operand_indent(w, right, indent), reserve);
}

/* ---- brackets ---------------------------------------------------------------------------------------------------- */

static void lay_paren(struct tidy_writer *w, uint32_t node, uint32_t indent)
{
    const struct node *n = node_at(w->tree, node);
    tidy_put(w, n->first);
    tidy_line(w, indent + TIDY_INDENT);
    tidy_value(w, n->child, indent + TIDY_INDENT, 0);
    tidy_line(w, indent);
    tidy_put(w, n->last);
}

/* The comma or closing bracket behind an item, on its line. */
static void put_mark(struct tidy_writer *w, uint32_t item)
{
    uint32_t mark = tidy_next_token(w, node_at(w->tree, item)->last);
    if (w->tree->token_kind[mark] == TOKEN_COMMA)
        tidy_put(w, mark);
}

/* f(a, b) and f(a [mm], b [mm]) [mm]: what stands in the brackets one a line. */
static void lay_items(struct tidy_writer *w, uint32_t item, uint32_t until, uint32_t close, uint32_t indent)
{
    for (; item && item != until; item = node_next(w->tree, item)) {
        tidy_line(w, indent + TIDY_INDENT);
        tidy_value(w, item, indent + TIDY_INDENT, 1);
        put_mark(w, item);
    }
    tidy_line(w, indent);
    tidy_put(w, close);
}

static void lay_call(struct tidy_writer *w, uint32_t node, uint32_t indent)
{
    const struct tree *t = w->tree;
    const struct node *n = node_at(t, node);
    uint32_t callee = n->child;
    tidy_put_all(w, n->first, tidy_next_token(w, node_at(t, callee)->last));
    if (node_next(t, callee))
        lay_items(w, node_next(t, callee), 0, n->last, indent);
    else
        tidy_put(w, n->last);
}

void tidy_signature(struct tidy_writer *w, uint32_t node, uint32_t indent, uint32_t reserve)
{
    const struct tree *t = w->tree;
    const struct node *n = node_at(t, node);
    tidy_start(w, n->first);
    if (fits(w, n->first, n->last, reserve)) {
        tidy_put_all(w, n->first, n->last);
        return;
    }
    uint32_t result = n->child;
    while (node_next(t, result))
        result = node_next(t, result);
    tidy_put(w, n->first);
    lay_items(w, n->child, result, tidy_previous_token(w, node_at(t, result)->first), indent);
    tidy_put_all(w, node_at(t, result)->first, n->last);
}

/* each x as s: value */
static void lay_each(struct tidy_writer *w, uint32_t node, uint32_t indent, uint32_t reserve)
{
    const struct tree *t = w->tree;
    const struct node *n = node_at(t, node);
    uint32_t value = n->child;
    while (node_next(t, value))
        value = node_next(t, value);
    uint32_t colon = tidy_previous_token(w, node_at(t, value)->first);
    if (t->token_kind[colon] != TOKEN_COLON) {
        tidy_put_all(w, n->first, n->last);
        return;
    }
    tidy_put_all(w, n->first, colon);
    if (!fits_behind(w, node_at(t, value)->first, node_at(t, value)->last, reserve))
        tidy_line(w, indent + TIDY_INDENT);
    tidy_value(w, value, indent + TIDY_INDENT, reserve);
}

/* ---- conditions -------------------------------------------------------------------------------------------------- */

/* Behind `then` and `else`: brackets close below the word, and all else goes on further in. */
static void lay_branch(struct tidy_writer *w, uint32_t value, uint32_t indent, uint32_t reserve)
{
    enum node_kind kind = node_kind(w->tree, value);
    bool closes = kind == NODE_CALL || kind == NODE_PAREN || kind == NODE_IF;
    tidy_value(w, value, closes ? indent : indent + TIDY_INDENT, reserve);
}

/* `then` with its value behind the condition where it fits, else on a line of its own. */
static void lay_then(struct tidy_writer *w, uint32_t then, uint32_t value, uint32_t indent, bool plain)
{
    uint32_t last = node_at(w->tree, value)->last;
    if (!plain || !fits_behind(w, then, last, 0))
        tidy_line(w, indent);
    tidy_put(w, then);
    lay_branch(w, value, indent, 0);
}

static void lay_if(struct tidy_writer *w, uint32_t node, uint32_t indent, uint32_t reserve)
{
    const struct tree *t = w->tree;
    for (;;) {
        uint32_t condition = node_child(t, node), yes = node_next(t, condition), no = node_next(t, yes);
        const struct node *c = node_at(t, condition);
        uint32_t line = w->line;
        tidy_put(w, node_at(t, node)->first);
        bool plain = fits_behind(w, c->first, c->last, 0);
        tidy_value(w, condition, indent + TIDY_INDENT, 0);
        lay_then(w, tidy_next_token(w, c->last), yes, indent, plain && w->line == line);
        tidy_line(w, indent);
        tidy_put(w, tidy_next_token(w, node_at(t, yes)->last));
        if (node_kind(t, no) != NODE_IF) {
            lay_branch(w, no, indent, reserve);
            return;
        }
        node = no;
    }
}

/* ---- lists and the rest ------------------------------------------------------------------------------------------ */

static void lay_list(struct tidy_writer *w, uint32_t node, uint32_t indent)
{
    NODE_EACH_CHILD (w->tree, node, item) {
        if (item != node_child(w->tree, node))
            tidy_line(w, indent);
        tidy_value(w, item, indent, 1);
        put_mark(w, item);
    }
}

/* Its parts are broken, and it is not. */
static void lay_parts(struct tidy_writer *w, uint32_t node, uint32_t indent, uint32_t reserve)
{
    const struct node *n = node_at(w->tree, node);
    uint32_t next = n->first;
    NODE_EACH_CHILD (w->tree, node, part) {
        const struct node *c = node_at(w->tree, part);
        if (c->first > next)
            tidy_put_all(w, next, c->first - 1);
        tidy_value(w, part, indent, c->last < n->last ? tidy_width(w, tidy_next_token(w, c->last), n->last) : reserve);
        next = c->last + 1;
    }
    if (next <= n->last)
        tidy_put_all(w, next, n->last);
}

void tidy_value(struct tidy_writer *w, uint32_t node, uint32_t indent, uint32_t reserve)
{
    const struct node *n = node_at(w->tree, node);
    tidy_start(w, n->first);
    if (fits(w, n->first, n->last, reserve)) {
        tidy_put_all(w, n->first, n->last);
        return;
    }
    switch (n->kind) {
    case NODE_BINARY:
        lay_operators(w, node, indent, reserve);
        break;
    case NODE_PAREN:
        lay_paren(w, node, indent);
        break;
    case NODE_CALL:
        lay_call(w, node, indent);
        break;
    case NODE_EACH:
        lay_each(w, node, indent, reserve);
        break;
    case NODE_IF:
        lay_if(w, node, indent, reserve);
        break;
    case NODE_LIST:
        lay_list(w, node, indent);
        break;
    case NODE_TABLE:
        tidy_table(w, node, indent);
        break;
    case NODE_UNARY:
    case NODE_MEMBER:
    case NODE_TOLERANCE:
    case NODE_TOLERANCES:
    case NODE_RANGE:
    case NODE_FIND:
        lay_parts(w, node, indent, reserve);
        break;
    default: /* leaves, and texts, which stand on one line */
        tidy_put_all(w, n->first, n->last);
        break;
    }
}
