/* Unknowns: which values the compiler chooses where the recipe says find.
 *
 * In: a lowering whose program has unknown inputs, and the limits, lowered and not judged yet. Out: the values for which
 * every limit is proved, one of them chosen and put into the program as if it had been stated; or, when there is none, a
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

/* Gives the unknowns no value, so that what follows from them has none either and says why. */
void leave_unknowns_open(struct lowering *);

/* Waived limits are kept where they can be. limits.today must be set. False when there is nothing to find. scratch is used
 * and left empty. */
bool solve_unknowns(struct solutions *, struct limits *, struct arena *scratch);

#endif
