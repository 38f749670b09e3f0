/* Diagnostics for programs: JSON Lines, and SARIF 2.1.0 (OASIS) for what shows findings beside the changed lines.
 *
 * In: diagnostics and the sources they point into. Out: bytes in a buffer. A line of JSON Lines is one diagnostic; its
 * form is compiler/emit/diagnostic.schema.json. A SARIF log holds one run; recipes are added one after the other, so
 * that none need be kept, and the rules it names are the rows of faults.def that were met. */
#ifndef COMPILER_EMIT_DIAGNOSTICS_H
#define COMPILER_EMIT_DIAGNOSTICS_H

#include "compiler/emit/json.h"
#include "compiler/text/diagnostic.h"

/* recipe: the file that was checked, which need not be the one the fault is in. */
void diagnostics_json(struct buffer *, struct sources *, const struct diagnostics *, struct text recipe);

struct sarif {
    struct json json;
    uint32_t rule[FAULT_COUNT];    /* its index in the log, from 1; 0: not met yet */
    enum fault rules[FAULT_COUNT]; /* those met, in the order of their index */
    uint32_t rule_count;
    ARRAY(struct text) unfinished; /* what kept a recipe from being read */
    struct arena *arena;
};

void sarif_begin(struct sarif *, struct buffer *);
void sarif_add(struct sarif *, struct sources *, const struct diagnostics *, struct text recipe);
void sarif_unread(struct sarif *, struct text why); /* a file that could not be read, and why */
void sarif_end(struct sarif *, const char *version, int status);

#endif
