/* What the place in a line decides. Private to grammar/. */
#ifndef GRAMMAR_LINES_H
#define GRAMMAR_LINES_H

#include "grammar/scan.h"

void scan_line_end(struct scan *, uint32_t at, uint32_t len);
void scan_end(struct scan *, uint32_t at); /* of the file */
void lines_end_statement(struct scan *);
/* It ends the statement, which it was not taken to do. */
void lines_end_line(struct scan *, uint32_t line_end);
/* The line end before the next token does not end the statement after all. */
void lines_join(struct scan *);
/* A text begins: behind a note's key word at the start of a line it is a note on the line above, but in a rule. */
void lines_note(struct scan *);
/* The first line end behind the last token that counts before `token`, or 0. */
uint32_t line_end_before(const struct scan *, uint32_t token);
uint32_t before_trivia(const struct scan *, uint32_t token); /* the token that counts before this one, or 0 */

void scan_equals(struct scan *, uint32_t at);
void scan_same(struct scan *, uint32_t at);
void scan_colon(struct scan *, uint32_t at, uint32_t len); /* : and := */
void scan_sign(struct scan *, enum token_kind, uint32_t at, uint32_t len);
void scan_operator(struct scan *, enum token_kind, uint32_t at, uint32_t len);
void scan_prefix(struct scan *, uint32_t token); /* counts it; too many nest too deep */
/* A statement begins with this token, for what ends its line cannot stand in another: what stood open above ends there. */
void lines_end_above(struct scan *, uint32_t token);
/* A key word that begins an item stands at the start of a line: what stood open before it ends there. */
void scan_item(struct scan *);

#endif
