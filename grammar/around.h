/* The token that does not fit, and what stands around it. Private to grammar/. */
#ifndef GRAMMAR_AROUND_H
#define GRAMMAR_AROUND_H

#include "grammar/syntax_faults.h"

struct around { /* the token that does not fit, and what stands before it */
    struct parser *p;
    struct diagnostics *g;
    const struct unexpected *u;
    uint32_t first;   /* token of the statement */
    uint32_t before;  /* the token that counts in front of the unexpected one, 0 at the start */
    uint32_t before2; /* and the one in front of that */
    uint8_t first_kind, kind_before, kind_before2;
    struct span span;
    struct span behind; /* the empty place behind `before` */
};

static inline bool is_end(uint8_t kind)
{
    return kind == TOKEN_END || kind == TOKEN_NEWLINE || kind == TOKEN_CLOSE_BRACE;
}

static inline bool wants(const struct around *a, enum token_kind kind)
{
    return a->u->wanted[kind];
}

static inline bool wants_value(const struct around *a)
{
    return wants(a, TOKEN_NUMBER) && wants(a, TOKEN_OPEN);
}

static inline bool is_note(uint8_t kind)
{
    return kind >= TOKEN_BECAUSE && kind <= TOKEN_LABEL;
}

/* In expected.c. */
struct text expected_text(const struct around *); /* what would fit, in words */
const char *expected_form(uint8_t first);         /* how a statement that begins so is written as a whole, or NULL */

#endif
