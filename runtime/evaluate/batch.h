/* The batch evaluator: a program for many samples of its inputs, BATCH at a time.
 *
 * In: a program, the nodes that are asked for, which inputs vary, and before each run a block of BATCH values for each
 * of these. Out: a block of BATCH values for each node asked for, sample by sample what evaluate_nominal() gives for the
 * same inputs (a zero may differ in its sign); NaN where it has none. Why there is none is the nominal evaluator's to
 * say.
 *
 * Only what the asked nodes need is evaluated. What no varying input goes into is worked out once, beforehand. Blocks
 * are used again as soon as their last reader is past, so that a run stays in the cache. All in the arena. */
#ifndef RUNTIME_EVALUATE_BATCH_H
#define RUNTIME_EVALUATE_BATCH_H

#include "runtime/evaluate/evaluate.h"

enum { BATCH = 256 }; /* samples: a node's block is 2 KiB */

struct batch_step { /* one node for BATCH samples */
    const struct node_code *node;
    double *out;
    const double **in; /* blocks of its operands, as the operation has them */
    uint32_t count;
    bool level_exponent; /* of a power: the same for all samples */
};

struct batch {
    const struct program *program;
    ARRAY(struct batch_step) steps;
    double **block;  /* by node: of asked nodes their own; NULL: not needed */
    uint32_t blocks; /* taken of memory, for the bench */
    double **inputs; /* by input: its block, or NULL */
    double *args;    /* room for the longest call */
};

/* varies: by input, or NULL for the held ones. The others stand at their nominal values. What OP_NOMINAL asks for is
 * level, but for unknown inputs that vary. */
struct batch batch_new(struct arena *, const struct program *, const uint32_t *asked, uint32_t count,
                       const bool *varies);

/* Where an input's samples go before a run; NULL when nothing asked for needs them. */
static inline double *batch_input(const struct batch *b, uint32_t input)
{
    return b->inputs[input];
}

void batch_run(struct batch *);

/* An asked node's values of the last run. */
static inline const double *batch_values(const struct batch *b, uint32_t node)
{
    return b->block[node];
}

/* ---- batch_kernels.c: one operation for one block -------------------------------------------------------------------- */
void batch_kernel(const struct program *, const struct batch_step *, double *args);

#endif
