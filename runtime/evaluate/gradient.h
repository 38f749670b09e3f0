/* The gradient evaluators: every node's derivatives to every held input, forward, in one pass behind the values' own.
 *
 * At a point: numbers, for sensitivities and uncertainty. Over a box: intervals that hold every difference quotient in
 * that input, so that their sign proves a node monotone, also across kinks (min, curves) and steps (rounding, an if that
 * may go either way), where the derivative alone says nothing. Columns are the held inputs in the program's order.
 *
 * At a kink the derivative at a point is one of the two sides'; a rounded value counts as level in what is rounded. A
 * derivative that does not exist is NaN or infinite. */
#ifndef RUNTIME_EVALUATE_GRADIENT_H
#define RUNTIME_EVALUATE_GRADIENT_H

#include "runtime/cone.h"
#include "runtime/evaluate/evaluate.h"
#include "runtime/evaluate/evaluate_interval.h"

struct held_inputs {
    uint32_t count;
    uint32_t *input; /* by column: which input */
};

struct held_inputs held_inputs_of(struct arena *, const struct program *);

/* ---- at a point -------------------------------------------------------------------------------------------------- */

struct gradient {
    struct evaluation at;
    struct held_inputs held;
    double **slope; /* by node: one number a column, or NULL where all are 0; not to be read where the value is none */
};

/* inputs: values by input index, or NULL for the program's own. All arrays in the arena. */
struct gradient evaluate_gradient(struct arena *, const struct program *, const double *inputs);

/* Derivatives of a function's value to its arguments, where the value is good. */
typedef void partials(const double *args, uint32_t count, double value, double *slope);
extern partials *const partials_table[FUNCTION_COUNT];
partials partials_slab_at, partials_slab_mean, partials_slab_time, partials_air_after, partials_air_time;
partials partials_contact_after, partials_contact_time;

/* The derivative of a curve along its first and second argument, in the piece at or above the place. */
void gradient_curve_slopes(const struct curve *, double x, double y, double slope[2]);

/* ---- over a box -------------------------------------------------------------------------------------------------- */

struct interval_gradient {
    struct interval_evaluation over;
    struct held_inputs held;
    struct interval **slope; /* by node: one interval a column, or NULL where all are 0; good where the value is */
    uint64_t *moving;        /* by node: the columns that may not be 0 there, as bits by column % 64 */
    struct interval *partial;
    struct arena *arena;
    struct interval_evaluation ends; /* for sharpening, with a box; made when that is asked for */
    struct stated_intervals *stated_box;
    struct interval_gradient
        *stated; /* how what OP_NOMINAL reads moves with the unknown inputs, its only columns; or NULL */
    struct interval *box;
};

struct interval_gradient interval_gradient_new(struct arena *, const struct program *);
/* As evaluate_interval, and the slopes. The column of an input that is a point in the box is 0. */
void evaluate_interval_gradient(struct interval_gradient *, const struct program *, const struct interval *box);

/* One end of a node's range, sharper than its interval's: inputs it is monotone in stand at the ends that make it
 * lowest, or highest; from the middle of the others it moves no further than their slopes allow (the mean value form).
 * The end of a min or max is the end of one of its sides, each taken for itself.
 * Needs the slopes over this box. The range is that of the quantity as
 * mathematics has it; a value computed in double may lie beside it by its own rounding. NaN where there is no value. */
double gradient_monotone_end(struct interval_gradient *, const struct program *, const struct interval *box,
                             uint32_t node, bool highest);

/* Difference quotients of a function to its arguments over a box, where the value is good. */
typedef void slopes(const struct interval *args, uint32_t count, struct interval value, struct interval *slope);
extern slopes *const slopes_table[FUNCTION_COUNT];
void gradient_curve_slope_ranges(const struct curve *, struct interval x, struct interval y, struct interval slope[2]);

#endif
