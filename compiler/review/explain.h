/* What has a name, for people: a diagnostic by the id that stands in brackets behind a message, and everything of the schema
 * and the library.
 *
 * In: a name. Out: text. Nothing stands here that is not in faults.def, schema.def, units.def, functions.def or the library,
 * which is shown as it is written, with its sources. */
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

/* In explain_names.c: what topics there are; everything of that name, a topic, a kind, an alloy, a limit ... False when there
 * is none; *near is then the name that may have been meant, or empty. */
void explain_topics(struct buffer *, struct explain_style);
bool explain_name(struct buffer *, struct text name, struct explain_style, struct text *near);

#endif
