/* The interval evaluator: every node of a program once, over a box of inputs.
 *
 * In: an interval for each input (a held input's lowest to highest, else its nominal). Out: for each node an interval
 * that holds its value at every point of the box. Where a node is not defined at every point, or it cannot be told,
 * the node is not decided: its interval is empty, `culprit` says which node was to blame, and there `fault` and
 * `offending` say why. Truths are {0,0}, {1,1} or {0,1}. A SELECT whose condition may go either way has the hull of
 * both sides, and then needs both.
 *
 * The same shape as the nominal evaluation, so that who prints one prints the other. */
#ifndef RUNTIME_EVALUATE_EVALUATE_INTERVAL_H
#define RUNTIME_EVALUATE_EVALUATE_INTERVAL_H

#include "runtime/evaluate/enclosure.h"

struct interval_evaluation {
    struct interval *value;          /* by node */
    uint32_t *culprit;               /* by node; 0: the interval is good */
    uint8_t *fault;                  /* by node: enum eval_fault, set at culprits */
    struct interval *offending;      /* by node: at a culprit, the argument that is to blame */
    struct interval *arguments;      /* room for the longest call */
    struct stated_intervals *stated; /* what OP_NOMINAL reads; NULL where there is none, and in that run itself */
};

struct stated_intervals { /* the held inputs at their nominal values, the unknown ones over the box at hand */
    struct interval_evaluation over;
    struct interval *box;
    bool *wanted; /* what some OP_NOMINAL reads */
    bool current; /* over is of this box */
};

/* Room for a program's nodes, to be used for as many boxes as one likes. */
struct interval_evaluation interval_evaluation_new(struct arena *, const struct program *);
/* The same with the stated run of another; with none, OP_NOMINAL is its operand. */
struct interval_evaluation interval_evaluation_beside(struct arena *, const struct program *,
                                                      struct stated_intervals *);

/* The program's own box, by input index. */
struct interval *interval_inputs(struct arena *, const struct program *);

/* Sets the unknown inputs of the stated box as in this one; true when that changed it. */
bool interval_follow_unknowns(struct stated_intervals *, const struct program *, const struct interval *box);

/* wanted: which nodes to evaluate (they and what they need: program_needs), or NULL for all. Others keep what they
 * had. */
void evaluate_interval(struct interval_evaluation *, const struct program *, const struct interval *box,
                       const bool *wanted);

/* These nodes alone, in order, from what the others hold. Of a box as before. */
void evaluate_interval_nodes(struct interval_evaluation *, const struct program *, const struct interval *box,
                             const uint32_t *nodes, uint32_t count);

/* The nodes up to this one alone, among which is all that goes into it. */
void evaluate_interval_toward(struct interval_evaluation *, const struct program *, const struct interval *box,
                              uint32_t node);

enum truth interval_truth(struct interval);

#endif
