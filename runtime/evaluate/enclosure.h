/* What a curve or a built-in function can come to over a box of arguments.
 *
 * In: the arguments as bounded intervals. Out: an interval that holds the value at every point of the box, as the
 * nominal evaluation gives it and as the mathematics has it. Where the function is not defined at every point, *fault
 * says why and the result is empty: never a bound that leaves something out. */
#ifndef RUNTIME_EVALUATE_ENCLOSURE_H
#define RUNTIME_EVALUATE_ENCLOSURE_H

#include "runtime/evaluate/interval.h"
#include "runtime/program.h"

#include "runtime/function.h"

/* *offending: the argument that leaves the curve's range, when one does. */
struct interval enclosure_curve(const struct curve *, struct interval x, struct interval y, enum eval_fault *fault,
                                struct interval *offending);

typedef struct interval enclosure(const struct interval *args, uint32_t count, enum eval_fault *fault);

extern enclosure *const enclosure_table[FUNCTION_COUNT];

/* Conduction and the sheet in air (enclosure_heat.c), the sheet between thick tools (enclosure_contact.c). */
enclosure enclose_slab_at, enclose_slab_mean, enclose_slab_time, enclose_air_after, enclose_air_time;
enclosure enclose_contact_after, enclose_contact_time;

static inline struct interval not_defined(enum eval_fault *fault, enum eval_fault why)
{
    *fault = why;
    return interval_empty();
}

/* x is nowhere less than low (or low - x only by rounding), and nowhere more than high. */
enum eval_fault enclosure_range_fault(struct interval x, struct interval low, struct interval high);

#endif
