/* What the parser works with: tokens in, nodes out. Private to grammar/. Nodes are indexes, so recovery leaks
 * nothing. */
#ifndef GRAMMAR_BUILD_H
#define GRAMMAR_BUILD_H

#include "grammar/scan.h"

/* The value of every symbol: a node, or a list of nodes named by its last, which is linked round to the first; 0 is
 * none. Above 32 bits stands the greatest depth in it. One word, so that the parser's stack moves it in one piece. */
typedef uint64_t built;

/* A location of the parser: tokens, inclusive. */
struct token_range {
    uint32_t first, last;
};

struct parser {
    struct arena *arena;
    struct diagnostics *diagnostics;
    struct tree *tree;
    const uint8_t *kind; /* of the tokens */
    struct node *nodes;
    uint32_t count, room; /* of the nodes */

    uint32_t next;                 /* token to be given next */
    uint32_t given;                /* the last that was given */
    uint32_t missing_at;           /* in front of which token one is missing; UINT32_MAX: none */
    const struct missing *missing; /* those left */
    uint32_t missing_left;
    const uint32_t *faulty;
    uint32_t faulty_left;

    uint32_t statement, statement_before; /* where this statement begins, and the one before it */
    uint32_t depth;                       /* open braces */
    uint32_t steps_depth;                 /* of the brace of a steps block, or 0 */
    uint32_t fault_at;                    /* the token the last fault was at */
    bool fault_behind;                    /* it was at one that is missing behind that */
    bool drop;                            /* behind a fault the parser still holds the token that did not fit */
    bool at_end;                          /* a fault at the end of the file ends parsing */
    bool out_of_memory;
    uint32_t deep_until;       /* up to which token "nested too deep" was told */
    uint32_t noted, last_note; /* the statement that took a note last, and that note */
};

enum { SYMBOL_NEWLINE = 3 }; /* what the parser calls TOKEN_NEWLINE; all others have the number they have in syntax.h */

built node_too_deep(struct parser *, struct token_range);
void node_more_room(struct parser *);
int build_give_special(struct parser *, struct token_range *, uint32_t token);

/* ---- nodes ------------------------------------------------------------------------------------------------------- */

static inline uint32_t node_of(built b)
{
    return (uint32_t)b;
}

static inline uint32_t depth_of(built b)
{
    return (uint32_t)(b >> 32);
}

static inline built built_of(uint32_t node, uint32_t depth)
{
    return (uint64_t)depth << 32 | node;
}

/* A list of one. */
static inline built list_of(struct parser *p, built node)
{
    p->nodes[node_of(node)].next = node_of(node);
    return node;
}

static inline built list_join(struct parser *p, built a, built b)
{
    uint32_t last_a = node_of(a), last_b = node_of(b);
    if (!last_a || !last_b)
        return last_a ? a : b;
    uint32_t first_b = p->nodes[last_b].next;
    p->nodes[last_b].next = p->nodes[last_a].next;
    p->nodes[last_a].next = first_b;
    return built_of(last_b, depth_of(a) > depth_of(b) ? depth_of(a) : depth_of(b));
}

static inline built list_add(struct parser *p, built list, built node)
{
    return list_join(p, list, list_of(p, node));
}

static inline built node_new(struct parser *p, enum node_kind kind, enum token_kind op, struct token_range at,
                             built children)
{
    uint32_t last = node_of(children), first = p->nodes[last].next, depth = depth_of(children) + 1;
    p->nodes[last].next = 0; /* of node 0 it is so already */
    if (depth > NODE_DEPTH_LIMIT)
        return node_too_deep(p, at);
    if (p->count == p->room)
        node_more_room(p);
    p->nodes[p->count] = (struct node){(uint8_t)kind, 0, (uint8_t)op, (uint8_t)depth, at.first, at.last, first, 0};
    return built_of(p->count++, depth);
}

static inline built node_flag(struct parser *p, built node, uint8_t flag)
{
    p->nodes[node_of(node)].flags |= flag;
    return node;
}

/* A note at the end of a statement. */
built node_add_note(struct parser *, built statement, built note);
built node_negative(struct parser *, built number, uint32_t minus);

/* What was passed over behind a fault. */
built node_error(struct parser *, struct token_range at);
/* A statement of that kind up to such a fault. */
built node_broken(struct parser *, enum node_kind, struct token_range, built children, struct token_range fault);

/* ---- tokens ------------------------------------------------------------------------------------------------------ */

/* The node that a token of this kind is by itself. */
static const uint8_t leaf_of[TOKEN_TEXT + 1] = {
    [TOKEN_NAME] = NODE_NAME,           [TOKEN_NUMBER] = NODE_NUMBER, [TOKEN_UNIT] = NODE_NUMBER,
    [TOKEN_UNIT_TYPE] = NODE_UNIT_TYPE, [TOKEN_DATE] = NODE_DATE,     [TOKEN_TEXT] = NODE_TEXT,
};

/* The parser's next token: its number, place and leaf. Trivia are passed over, missing tokens are put in. */
static inline int next_token(struct parser *p, built *leaf, struct token_range *at)
{
    const uint8_t *kind = p->kind;
    uint32_t i = p->next;
    while (is_trivia(kind[i]))
        i++;
    uint8_t k = kind[i];
    if (i >= p->missing_at || k <= TOKEN_NEWLINE || k == TOKEN_OPEN_BRACE || k == TOKEN_CLOSE_BRACE)
        return build_give_special(p, at, i);
    uint32_t last = i + (k == TOKEN_NUMBER && kind[i + 1] == TOKEN_UNIT);
    *at = (struct token_range){i, last};
    if (k <= TOKEN_TEXT)
        *leaf = node_new(p, leaf_of[k], 0, *at, 0);
    p->given = last;
    p->next = last + 1;
    return k;
}

#endif
