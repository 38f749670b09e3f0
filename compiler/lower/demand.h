/* Demand: what of a recipe will be shown. It is stated before the recipe is compiled and decides what is worked out. */
#ifndef COMPILER_LOWER_DEMAND_H
#define COMPILER_LOWER_DEMAND_H

#include "runtime/base/text.h"

enum demand_reach {                 /* each includes those before it */
                    DEMAND_TEXT,    /* what the text says; no values */
                    DEMAND_STATED,  /* values; what the recipe leaves open stays open, and no limit is judged */
                    DEMAND_NOMINAL, /* what is left open is found; limits are judged at the stated values alone */
                    DEMAND_VERDICTS, /* limits are proved over the tolerances; worst margins as far as the proof met them */
                    DEMAND_MARGINS /* the worst margin of each limit, to a fiftieth */
};

struct demand {
    enum demand_reach reach;
    bool ranges;     /* of each value that is found: the proved stretch around it, and the limits that end it */
    bool values;     /* a row for every derived value */
    bool papers;     /* everything the papers show, texts with { } among it */
    bool budgets;    /* of papers: the uncertainty budgets of tool sizes */
    bool derivation; /* how values come about, for `why` */
    /* Values asked for by name, "die.temperature". They must outlive the recipe. */
    const struct text *names;
    uint32_t name_count;
};

#endif
