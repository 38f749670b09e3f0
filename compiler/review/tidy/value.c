/* Values: on one line where they fit, else broken by what they are made of. */
#include "compiler/review/tidy/pen.h"

static bool fits(const struct pen *p, uint32_t first, uint32_t last, uint32_t reserve)
{
    return pen_free(p, first, last) && p->column + pen_width(p, first, last) + reserve <= TIDY_WIDTH;
}

/* With the blank in front of it. */
static bool fits_behind(const struct pen *p, uint32_t first, uint32_t last, uint32_t reserve)
{
    return !p->fresh && pen_free(p, p->last, first) && fits(p, first, last, reserve + 1);
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
static uint32_t operand_indent(const struct pen *p, uint32_t operand, uint32_t indent)
{
    return node_kind(p->tree, operand) == NODE_BINARY ? indent + TIDY_INDENT : indent;
}

static void lay_operators(struct pen *p, uint32_t node, uint32_t indent, uint32_t reserve)
{
    const struct tree *t = p->tree;
    uint32_t left = node_child(t, node), right = node_next(t, left), op = next_token(p, node_at(t, left)->last);
    int own = strength(node_at(t, node)->op);
    if (own && node_kind(t, left) == NODE_BINARY && strength(node_at(t, left)->op) == own)
        lay_operators(p, left, indent, 0);
    else
        lay_value(p, left, operand_indent(p, left, indent), own ? 0 : pen_width(p, op, op) + 1);
    if (own)
        pen_line(p, indent);
    pen_put(p, op);
    if (!own && !fits_behind(p, node_at(t, right)->first, node_at(t, right)->last, reserve))
        pen_line(p, indent);
    lay_value(p, right, operand_indent(p, right, indent), reserve);
}

/* ---- brackets ---------------------------------------------------------------------------------------------------- */

static void lay_paren(struct pen *p, uint32_t node, uint32_t indent)
{
    const struct node *n = node_at(p->tree, node);
    pen_put(p, n->first);
    pen_line(p, indent + TIDY_INDENT);
    lay_value(p, n->child, indent + TIDY_INDENT, 0);
    pen_line(p, indent);
    pen_put(p, n->last);
}

/* The comma or closing bracket behind an item, on its line. */
static void put_mark(struct pen *p, uint32_t item)
{
    uint32_t mark = next_token(p, node_at(p->tree, item)->last);
    if (p->tree->token_kind[mark] == TOKEN_COMMA)
        pen_put(p, mark);
}

/* f(a, b) and f(a [mm], b [mm]) [mm]: what stands in the brackets one a line. */
static void lay_items(struct pen *p, uint32_t item, uint32_t until, uint32_t close, uint32_t indent)
{
    for (; item && item != until; item = node_next(p->tree, item)) {
        pen_line(p, indent + TIDY_INDENT);
        lay_value(p, item, indent + TIDY_INDENT, 1);
        put_mark(p, item);
    }
    pen_line(p, indent);
    pen_put(p, close);
}

static void lay_call(struct pen *p, uint32_t node, uint32_t indent)
{
    const struct tree *t = p->tree;
    const struct node *n = node_at(t, node);
    uint32_t callee = n->child;
    pen_put_all(p, n->first, next_token(p, node_at(t, callee)->last));
    if (node_next(t, callee))
        lay_items(p, node_next(t, callee), 0, n->last, indent);
    else
        pen_put(p, n->last);
}

void lay_signature(struct pen *p, uint32_t node, uint32_t indent, uint32_t reserve)
{
    const struct tree *t = p->tree;
    const struct node *n = node_at(t, node);
    pen_start(p, n->first);
    if (fits(p, n->first, n->last, reserve)) {
        pen_put_all(p, n->first, n->last);
        return;
    }
    uint32_t result = n->child;
    while (node_next(t, result))
        result = node_next(t, result);
    pen_put(p, n->first);
    lay_items(p, n->child, result, previous_token(p, node_at(t, result)->first), indent);
    pen_put_all(p, node_at(t, result)->first, n->last);
}

/* each x as s: value */
static void lay_each(struct pen *p, uint32_t node, uint32_t indent, uint32_t reserve)
{
    const struct tree *t = p->tree;
    const struct node *n = node_at(t, node);
    uint32_t value = n->child;
    while (node_next(t, value))
        value = node_next(t, value);
    uint32_t colon = previous_token(p, node_at(t, value)->first);
    if (t->token_kind[colon] != TOKEN_COLON) {
        pen_put_all(p, n->first, n->last);
        return;
    }
    pen_put_all(p, n->first, colon);
    if (!fits_behind(p, node_at(t, value)->first, node_at(t, value)->last, reserve))
        pen_line(p, indent + TIDY_INDENT);
    lay_value(p, value, indent + TIDY_INDENT, reserve);
}

/* ---- conditions -------------------------------------------------------------------------------------------------- */

/* Behind `then` and `else`: brackets close below the word, and all else goes on further in. */
static void lay_branch(struct pen *p, uint32_t value, uint32_t indent, uint32_t reserve)
{
    enum node_kind kind = node_kind(p->tree, value);
    bool closes = kind == NODE_CALL || kind == NODE_PAREN || kind == NODE_IF;
    lay_value(p, value, closes ? indent : indent + TIDY_INDENT, reserve);
}

/* `then` with its value behind the condition where it fits, else on a line of its own. */
static void lay_then(struct pen *p, uint32_t then, uint32_t value, uint32_t indent, bool plain)
{
    uint32_t last = node_at(p->tree, value)->last;
    if (!plain || !fits_behind(p, then, last, 0))
        pen_line(p, indent);
    pen_put(p, then);
    lay_branch(p, value, indent, 0);
}

static void lay_if(struct pen *p, uint32_t node, uint32_t indent, uint32_t reserve)
{
    const struct tree *t = p->tree;
    for (;;) {
        uint32_t condition = node_child(t, node), yes = node_next(t, condition), no = node_next(t, yes);
        const struct node *c = node_at(t, condition);
        uint32_t line = p->line;
        pen_put(p, node_at(t, node)->first);
        bool plain = fits_behind(p, c->first, c->last, 0);
        lay_value(p, condition, indent + TIDY_INDENT, 0);
        lay_then(p, next_token(p, c->last), yes, indent, plain && p->line == line);
        pen_line(p, indent);
        pen_put(p, next_token(p, node_at(t, yes)->last));
        if (node_kind(t, no) != NODE_IF) {
            lay_branch(p, no, indent, reserve);
            return;
        }
        node = no;
    }
}

/* ---- lists and the rest ------------------------------------------------------------------------------------------ */

static void lay_list(struct pen *p, uint32_t node, uint32_t indent)
{
    NODE_EACH_CHILD (p->tree, node, item) {
        if (item != node_child(p->tree, node))
            pen_line(p, indent);
        lay_value(p, item, indent, 1);
        put_mark(p, item);
    }
}

/* Its parts are broken, and it is not. */
static void lay_parts(struct pen *p, uint32_t node, uint32_t indent, uint32_t reserve)
{
    const struct node *n = node_at(p->tree, node);
    uint32_t next = n->first;
    NODE_EACH_CHILD (p->tree, node, part) {
        const struct node *c = node_at(p->tree, part);
        if (c->first > next)
            pen_put_all(p, next, c->first - 1);
        lay_value(p, part, indent, c->last < n->last ? pen_width(p, next_token(p, c->last), n->last) : reserve);
        next = c->last + 1;
    }
    if (next <= n->last)
        pen_put_all(p, next, n->last);
}

void lay_value(struct pen *p, uint32_t node, uint32_t indent, uint32_t reserve)
{
    const struct node *n = node_at(p->tree, node);
    pen_start(p, n->first);
    if (fits(p, n->first, n->last, reserve)) {
        pen_put_all(p, n->first, n->last);
        return;
    }
    switch (n->kind) {
    case NODE_BINARY:
        lay_operators(p, node, indent, reserve);
        break;
    case NODE_PAREN:
        lay_paren(p, node, indent);
        break;
    case NODE_CALL:
        lay_call(p, node, indent);
        break;
    case NODE_EACH:
        lay_each(p, node, indent, reserve);
        break;
    case NODE_IF:
        lay_if(p, node, indent, reserve);
        break;
    case NODE_LIST:
        lay_list(p, node, indent);
        break;
    case NODE_TABLE:
        lay_table(p, node, indent);
        break;
    case NODE_UNARY:
    case NODE_MEMBER:
    case NODE_TOLERANCE:
    case NODE_TOLERANCES:
    case NODE_RANGE:
    case NODE_FIND:
        lay_parts(p, node, indent, reserve);
        break;
    default: /* leaves, and texts, which stand on one line */
        pen_put_all(p, n->first, n->last);
        break;
    }
}
