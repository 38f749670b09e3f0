/* The nominal evaluator: every node of a program once, in order.
 *
 * A node with an undefined operation has the value NaN and `culprit` says which node was to blame (itself), with the
 * fault; nodes that need it inherit the culprit. A SELECT takes only the chosen side's. */
#ifndef RUNTIME_EVALUATE_H
#define RUNTIME_EVALUATE_H

#include "runtime/function.h"
#include "runtime/program.h"

struct evaluation {
    double *value;     /* by node */
    uint32_t *culprit; /* by node; 0: the value is good */
    uint8_t *fault;    /* by node: enum eval_fault, set at culprits */
    double *offending; /* by node: at a culprit, the argument that was out of range (SI) */
};

/* All arrays in the arena. inputs: nominal values by input index, or NULL for the program's own. */
struct evaluation evaluate_nominal(struct arena *, const struct program *, const double *inputs);

/* The inputs OP_NOMINAL sees: held ones at their nominal values, unknown ones as given. */
double *stated_inputs(struct arena *, const struct program *, const double *inputs);

/* Piecewise linear interpolation; sets *fault below or above the range (then NaN). */
double curve_at(const struct curve *, double x, double y, enum eval_fault *fault, double *offending);

#endif
