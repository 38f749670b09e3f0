/* Unknowns: which values the compiler chooses where the recipe says find.
 *
 * In: a lowering whose program has unknown inputs, and the limits, not judged yet. Out: the values for which every limit is
 * proved, and a settled copy of the lowering with one of them chosen, as if it had been stated; or, when there is none, a
 * fault that names the limits that conflict. What is chosen is then judged and proved like any other recipe. */
#ifndef COMPILER_JUDGE_SOLVE_H
#define COMPILER_JUDGE_SOLVE_H

#include "compiler/judge/limits.h"
#include "runtime/proof/feasible.h"

struct solution {                    /* of one unknown */
    uint32_t unknown;                /* in lowering.unknowns */
    double value;                    /* SI; the middle of the range when there is none */
    ARRAY(struct interval) feasible; /* ascending; with the other unknowns at their chosen values */
    uint32_t binds_low, binds_high;  /* limit result + 1 that ends the set below and above; 0: the range does */
};

struct solutions {
    ARRAY(struct solution) of; /* by unknown */
    bool none;                 /* no value was found, which was reported */
    bool without_waived;       /* with the limits that waivers cover there was none, so these were left out */
};

/* The lowering with its unknowns left open, so that what follows from them has no value either and says why; the same one
 * when it has none. */
const struct lowering *solve_nothing(const struct lowering *);

/* Gives the limits, and back, the lowering with the values that were chosen: the same one when there is nothing to find.
 * Waived limits are kept where they can be. limits.today must be set. ranges: the proved stretch of each value is wanted
 * too. scratch is used and left empty. */
const struct lowering *solve_unknowns(struct solutions *, struct limits *, bool ranges, struct arena *scratch);

#endif
