/* Reasons: why something has no value, or a limit stays open.
 *
 * A reason is its kind, a row of reasons.def, and what the row has places for. reason_words() alone puts it into words, in
 * English for messages or in the language of a paper. Several form a list, each once. */
#ifndef COMPILER_LOWER_REASON_H
#define COMPILER_LOWER_REASON_H

#include "compiler/model/names.h"
#include "compiler/text/typeset.h"

enum reason_kind {
#define REASON(name, words) REASON_##name,
#include "compiler/lower/reasons.def"
#undef REASON
    REASON_COUNT
};

struct reason {
    enum reason_kind kind;
    bool reported;          /* as a fault of its own */
    enum reason_kind inner; /* {reason} */
    enum kind of;           /* {kind} */
    uint32_t definition;    /* {thing} */
    uint32_t count;         /* {count} */
    struct text name;       /* {value}; {property} and {role}, which are said in the reader's words */
    double at, low, high;   /* {at}; {band} from low to high; in SI */
    struct unit unit;       /* they are shown in */
    const struct reason *next;
};

/* A copy in the arena, alone. */
const struct reason *reason_new(struct arena *, struct reason);
/* What both lists lack, each once. What was reported as a fault gives way to what was not. */
const struct reason *reasons_joined(struct arena *, const struct reason *, const struct reason *);
bool reason_same(const struct reason *, const struct reason *);

/* In the arena: "the alloy az61a states no draw-limit", several parted by "; "; empty for NULL. */
struct text reason_words(struct arena *, const struct scope *, const struct reason *, struct spelling);
struct text reason_one_words(struct arena *, const struct scope *, const struct reason *,
                             struct spelling); /* the first */

#endif
