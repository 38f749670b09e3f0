/* Building nodes while parsing. Private to grammar/. Nodes are indexes, so recovery leaks nothing. */
#ifndef GRAMMAR_BUILD_H
#define GRAMMAR_BUILD_H

#include "grammar/scan.h"

struct list { /* nodes linked by next; head 0: empty */
    uint32_t head, tail;
};

/* A location of the parser: tokens, inclusive. */
struct token_range {
    uint32_t first, last;
};

struct parser {
    struct arena *arena;
    struct diagnostics *diagnostics;
    struct tree *tree;
    uint32_t room;  /* of the node array */
    uint32_t token; /* next to be given to the parser */
    uint32_t given; /* the last that was given */
    struct settled settled;
    uint32_t closing; /* how many missing braces were given */
    bool made_up;     /* such a brace was given, and its line end is due */
    bool ended;       /* the line end in front of the end of the file was given */
    bool skip;        /* a fault was reported: the rest of the statement is passed over */
    bool skip_block;  /* and it was to open a block, which is passed over too */
    uint32_t quiet;   /* no further syntax fault before this token */
};

uint32_t node_new(struct parser *, enum node_kind, enum token_kind op, struct token_range, struct list children);
struct list list_of(uint32_t node);
struct list list_add(struct parser *, struct list, uint32_t node); /* 0 adds nothing */
struct list list_join(struct parser *, struct list, struct list);
uint32_t node_flag(struct parser *, uint32_t node, uint8_t flag);
int next_token(struct parser *, struct token_range *);

#endif
