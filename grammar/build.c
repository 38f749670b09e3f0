/* Nodes, lists of nodes, and the tokens as the parser sees them. */
#include "grammar/build.h"

/* ---- nodes ------------------------------------------------------------------------------------------------------------ */

static void report_depth(struct parser *p, struct token_range at)
{
    for (uint32_t i = 0; i < p->diagnostics->all.count; i++)
        if (p->diagnostics->all.at[i]->fault == FAULT_nested_too_deep &&
            p->diagnostics->all.at[i]->span.file == p->tree->file)
            return; /* once a file is enough to make the point */
    struct span span = span_join(token_span(p->tree, at.first), token_span(p->tree, at.last));
    struct diagnostic *d =
        report(p->diagnostics, FAULT_nested_too_deep, span, "this is nested more than %d deep", NODE_DEPTH_LIMIT);
    report_help(p->diagnostics, d, "name parts of the formula with let; long sums are shorter as sum(each ...)");
}

static uint8_t depth_above(struct parser *p, struct list children)
{
    uint8_t deepest = 0;
    for (uint32_t n = children.head; n; n = p->tree->nodes[n].next)
        if (p->tree->nodes[n].depth > deepest)
            deepest = p->tree->nodes[n].depth;
    return deepest + 1;
}

uint32_t node_new(struct parser *p, enum node_kind kind, enum token_kind op, struct token_range at,
                  struct list children)
{
    struct tree *t = p->tree;
    struct node node = {(uint8_t)kind, 0, (uint8_t)op, depth_above(p, children), at.first, at.last, children.head, 0};
    if (node.depth > NODE_DEPTH_LIMIT) {
        report_depth(p, at);
        node = (struct node){NODE_ERROR, NODE_BROKEN, 0, 1, at.first, at.last, 0, 0};
    }
    if (t->node_count == p->room)
        array_reserve(p->arena, (void **)&t->nodes, t->node_count, &p->room, 1, sizeof *t->nodes);
    t->nodes[t->node_count] = node;
    return t->node_count++;
}

struct list list_of(uint32_t node)
{
    return (struct list){node, node};
}

struct list list_join(struct parser *p, struct list a, struct list b)
{
    if (!a.head || !b.head)
        return a.head ? a : b;
    p->tree->nodes[a.tail].next = b.head;
    return (struct list){a.head, b.tail};
}

struct list list_add(struct parser *p, struct list list, uint32_t node)
{
    return node ? list_join(p, list, list_of(node)) : list;
}

uint32_t node_flag(struct parser *p, uint32_t node, uint8_t flag)
{
    p->tree->nodes[node].flags |= flag;
    return node;
}

/* ---- tokens ------------------------------------------------------------------------------------------------------------ */

enum { GIVEN_BASE = 256 }; /* the parser numbers a token kind 256 above compiler/syntax.h, but the end, which is 0 */

static bool closing_due(const struct parser *p)
{
    return p->closing < p->settled.closing_count && p->settled.closings[p->closing] <= p->token;
}

/* Behind a syntax fault: on to the end of the statement, braces and all, so that its rest causes no further faults. */
static void skip_statement(struct parser *p)
{
    const struct tree *t = p->tree;
    uint32_t depth = 0;
    p->skip = false;
    for (uint32_t i = p->given;; i++) {
        uint8_t kind = t->token_kind[i];
        bool missing = i > p->given && p->closing < p->settled.closing_count && p->settled.closings[p->closing] <= i;
        bool line_end = kind == TOKEN_NEWLINE && !depth && !p->skip_block;
        if (kind == TOKEN_END || missing || line_end || (kind == TOKEN_CLOSE_BRACE && !depth)) {
            if (i > p->given)
                p->token = i + (p->skip_block && kind == TOKEN_CLOSE_BRACE);
            p->skip_block = false;
            p->quiet = i;
            return;
        }
        depth += kind == TOKEN_OPEN_BRACE;
        depth -= kind == TOKEN_CLOSE_BRACE;
    }
}

static int give(struct token_range *at, uint32_t token, int kind)
{
    *at = (struct token_range){token, token};
    return kind ? kind + GIVEN_BASE : 0;
}

/* The next token that counts; where a closing brace is missing one is made up, with the line end behind it. */
int next_token(struct parser *p, struct token_range *at)
{
    const struct tree *t = p->tree;
    uint32_t end = t->token_count - 1;
    if (p->skip)
        skip_statement(p);
    while (p->token < end && is_trivia(t->token_kind[p->token]))
        p->token++;
    if (closing_due(p)) {
        p->made_up = !p->made_up;
        if (p->made_up)
            return give(at, p->given, TOKEN_CLOSE_BRACE);
        p->closing++;
        return give(at, p->given, TOKEN_NEWLINE);
    }
    if (p->token >= end && !p->ended) {
        p->ended = true;
        return give(at, p->given, TOKEN_NEWLINE);
    }
    if (p->token >= end)
        return give(at, end, TOKEN_END);
    p->given = p->token++;
    return give(at, p->given, t->token_kind[p->given]);
}
