/* Scanning: bytes to the token array of a tree. Private to grammar/.
 *
 * scan() runs the flex scanner over the whole source; settle() then decides which line ends end a statement, and finds
 * braces and parentheses that are never closed, so that the parser meets a faulty line and not a faulty rest of the file. */
#ifndef GRAMMAR_SCAN_H
#define GRAMMAR_SCAN_H

#include "compiler/syntax.h"

struct scan {
    struct arena *arena;
    struct diagnostics *diagnostics;
    struct tree *tree;
    struct text rest; /* what the scanner has not taken in yet */
    uint32_t at;      /* where the scanner stands */
    uint32_t room;    /* of the token arrays */
    bool in_text;     /* between the pieces of a text with {expression} */
};

struct open_mark { /* an opening brace or parenthesis */
    uint32_t token;
    uint32_t statement; /* first token of the statement it stands in */
};

struct settled {
    uint32_t *closings; /* tokens in front of which a closing brace is missing, in order */
    uint32_t closing_count;
};

void scan(struct scan *, struct text bytes);
void scan_token(struct scan *, enum token_kind, uint32_t length);
void settle(struct scan *, struct settled *);

static inline bool is_trivia(uint8_t kind)
{
    return kind >= TOKEN_BREAK && kind <= TOKEN_STRAY;
}

#endif
