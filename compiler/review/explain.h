/* What a diagnostic means: the rows of faults.def for people.
 *
 * In: the id that stands in brackets behind a message. Out: text. Nothing stands here that is not in faults.def. */
#ifndef COMPILER_REVIEW_EXPLAIN_H
#define COMPILER_REVIEW_EXPLAIN_H

#include "compiler/text/diagnostic.h"
#include "runtime/base/buffer.h"

/* FAULT_COUNT when there is none; *near is then the id that may have been meant, or empty. Brackets around it, blanks and
 * capitals do not matter. */
enum fault explain_find(struct arena *, struct text id, struct text *near);

struct explain_style {
    uint32_t width;
    bool color;
};

void explain_fault(struct buffer *, enum fault, struct explain_style);
void explain_list(struct buffer *, struct explain_style); /* all, one a line, in the order of the stages */

#endif
