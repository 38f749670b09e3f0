/* Syntax faults in an engineer's words. Private to grammar/. */
#ifndef GRAMMAR_SYNTAX_FAULTS_H
#define GRAMMAR_SYNTAX_FAULTS_H

#include "grammar/build.h"

struct unexpected {
    uint8_t kind;                  /* what came */
    struct token_range at;         /* where */
    bool wanted[TOKEN_KIND_COUNT]; /* what would have fitted */
};

void report_syntax(struct parser *, const struct unexpected *);

/* In refused.c. */
void report_exhausted(struct parser *, struct token_range at); /* the parser's stack is full */
built report_nested(struct parser *, built definition);        /* in another; gives the node that stands for it */
built report_lone_note(struct parser *, built note);
built syntax_check_called(struct parser *, built callee); /* 2 sin(x) calls nothing; gives the callee */
built syntax_check_of(struct parser *, struct token_range of,
                      built list); /* the word between each and a list is `of` */

/* In build.c. */
void syntax_pass_over_statement(struct parser *, const struct unexpected *);
void guarded(struct parser *, void (*action)(struct parser *, const void *), const void *argument);

#endif
