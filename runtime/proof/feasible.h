/* Feasible set: for which values of unknown inputs every claim holds over all held ones.
 *
 * In: provers of the claims, and what is unknown in which range. Out: cells that cover the ranges, each proved, or open
 * with a claim that is to blame. How: a cell in which a claim holds everywhere is done with that claim, one in which it
 * holds nowhere is done altogether; any other is cut in two, down to a stated fineness. What is still open there counts as
 * not feasible. Cells come in ascending order of the first unknown. */
#ifndef RUNTIME_PROOF_FEASIBLE_H
#define RUNTIME_PROOF_FEASIBLE_H

#include "runtime/proof/proof.h"

enum { MOST_UNKNOWNS = 3, CELL_BUDGET = 24, COARSE_BUDGET = 1 }; /* boxes a claim and cell */
enum { MOST_BOXES = 50000 }; /* of the whole search; when they are spent, cells stay as wide as they are, and open */

enum feasible_part { FEASIBLE_ALL, FEASIBLE_LOWEST, FEASIBLE_HIGHEST };

struct unknowns {
    uint32_t count;
    enum feasible_part wanted; /* of one unknown: its lowest or highest feasible cell will do, and ends the search */
    uint32_t input[MOST_UNKNOWNS]; /* of the whole program */
    struct interval range[MOST_UNKNOWNS];
};

struct cell {
    struct interval at[MOST_UNKNOWNS];
    bool feasible;
    bool refuted;     /* the blocker holds nowhere in it */
    uint32_t blocker; /* index of a claim that is not proved in it */
};

struct feasible {
    ARRAY(struct cell) cells;
};

/* levels: how often a range is halved at most. Inputs that are not of `unknowns` are where the provers' boxes have them. */
struct feasible feasible_set(struct arena *, struct prover *, uint32_t count, const struct unknowns *, uint32_t levels);

/* Puts the unknown inputs of a prover's box where the cell is. */
void prover_at_cell(struct prover *, const struct unknowns *, const struct interval *at);
/* Whether any unknown goes into it. */
bool prover_reads(const struct prover *, const struct unknowns *);

#endif
