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

struct unknowns {
    uint32_t count;
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

enum { WORTH_SHARING = 3 }; /* claims */

struct shared_cells { /* room for runs of the whole program in a cell, that all claims share */
    const struct program *program;
    struct interval_gradient *over; /* over the cell; NULL: not worth it */
    struct evaluation middle;       /* in its middle, and in the middle of what is held */
    struct interval *box;           /* what provers begin with */
    double *point;
    bool *wanted;
};

/* For these provers; their claims alone have rows in it. */
struct shared_cells shared_cells_new(struct arena *, const struct program *, const struct prover *, uint32_t count);
/* A pass of the whole program over a cell for the active ones of some provers; NULL when they are too few to be worth
 * it. Good until the next. */
const struct interval_gradient *pass_over_cell(struct shared_cells *, const struct prover *, const uint32_t *active,
                                               uint32_t count, const struct unknowns *, const struct interval *at);

/* levels: how often a range is halved at most. shared may be NULL; its box holds the inputs that are not of `unknowns`. */
struct feasible feasible_set(struct arena *, struct prover *, uint32_t count, const struct unknowns *, uint32_t levels,
                             struct shared_cells *shared);

/* Puts the unknown inputs of a prover's box where the cell is. */
void prover_at_cell(struct prover *, const struct unknowns *, const struct interval *at);
/* By prover: whether any unknown goes into it. */
const bool *provers_reading(struct arena *, const struct prover *, uint32_t count, const struct unknowns *);

#endif
