/* The nominal evaluator: every node of a program once, in order.
 *
 * A node with an undefined operation has the value NaN and `culprit` says which node was to blame (itself), with the
 * fault; nodes that need it inherit the culprit. A SELECT takes only the chosen side's. */
#ifndef RUNTIME_EVALUATE_EVALUATE_H
#define RUNTIME_EVALUATE_EVALUATE_H

#include "runtime/function.h"
#include "runtime/program.h"

struct evaluation {
    double *value;                /* by node */
    uint32_t *culprit;            /* by node; 0: the value is good */
    uint8_t *fault;               /* by node: enum eval_fault, set at culprits */
    double *offending;            /* by node: at a culprit, the argument that was out of range (SI) */
    double *arguments;            /* room for the longest call */
    struct stated_values *stated; /* what OP_NOMINAL reads; NULL where there is none, and in that run itself */
};

struct stated_values { /* the held inputs at their nominal values, the unknown ones as given */
    struct evaluation at;
    double *inputs;
    bool *wanted; /* what some OP_NOMINAL reads */
    bool current; /* `at` is of these inputs */
};

/* Room for a program's nodes, to be used for as many points as one likes. */
struct evaluation evaluation_new(struct arena *, const struct program *);

/* inputs: values by input index, or NULL for the program's own. wanted: which nodes to evaluate (they and what they need:
 * program_needs), or NULL for all; others keep what they had. */
void evaluate_again(struct evaluation *, const struct program *, const double *inputs, const bool *wanted);

/* Both at once: all nodes. */
struct evaluation evaluate_nominal(struct arena *, const struct program *, const double *inputs);

/* The inputs OP_NOMINAL sees: held ones at their nominal values, unknown ones as given. */
double *evaluation_stated_inputs(struct arena *, const struct program *, const double *inputs);

/* Of a rising row of stated arguments: the last at or below v, the first when all are above. */
uint32_t curve_last_at_or_below(const double *x, uint32_t count, double v);
/* Piecewise linear interpolation; sets *fault below or above the range (then NaN). */
double curve_at(const struct curve *, double x, double y, enum eval_fault *fault, double *offending);

#endif
