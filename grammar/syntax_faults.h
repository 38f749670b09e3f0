/* Syntax faults in an engineer's words. Private to grammar/. */
#ifndef GRAMMAR_SYNTAX_FAULTS_H
#define GRAMMAR_SYNTAX_FAULTS_H

#include "grammar/build.h"

/* The token at `at` fits no rule; `expected` are the user's names for all that would have. */
void report_syntax(struct parser *, struct token_range at, const char *const *expected, int count);
void report_exhausted(struct parser *, struct token_range at, const char *message); /* the parser's stack is full */
void report_stray_brace(struct parser *, struct token_range at);
uint32_t check_of(struct parser *, struct token_range of, uint32_t list); /* the word between each and a list is `of` */

#endif
