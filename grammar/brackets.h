/* Brackets: which belong together, and which are never closed. Private to grammar/. */
#ifndef GRAMMAR_BRACKETS_H
#define GRAMMAR_BRACKETS_H

#include "grammar/scan.h"

void scan_open(struct scan *, uint32_t at);
void scan_close(struct scan *, uint32_t at);
void scan_open_brace(struct scan *, uint32_t at);
void scan_close_brace(struct scan *, uint32_t at);
void brackets_open_block(struct scan *, uint32_t token,
                         uint8_t seen); /* the token stands for the brace that is missing */
void scan_open_text(struct scan *, uint32_t token);
void scan_close_text(struct scan *);

/* Reports the parentheses that are open here and takes them as closed in front of the token. */
void brackets_close_parens(struct scan *, uint32_t before);
/* Texts that the line ends in the middle of. */
void brackets_close_texts(struct scan *, uint32_t before);
/* At the end of the file. */
void brackets_close_braces(struct scan *);
/* Nested too deep: reported, and all from this token on is passed over until brackets_end_deep. */
void brackets_begin_deep(struct scan *, uint32_t token);
void brackets_end_deep(struct scan *, uint32_t until);

#endif
