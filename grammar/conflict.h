/* The marks a merge leaves in a file that two people changed. Private to grammar/. */
#ifndef GRAMMAR_CONFLICT_H
#define GRAMMAR_CONFLICT_H

#include "grammar/scan.h"

/* Whether a line of the text begins with <<<<<<< or >>>>>>>; then the marker lines are reported, all in one fault. Such
 * a text is two texts: nothing else in it is worth a fault. */
bool report_conflict(struct arena *, struct text bytes, uint32_t file, struct diagnostics *);

#endif
