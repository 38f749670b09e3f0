/* Equality of computed quantities.
 *
 * 3 * 0.1 mm and 0.3 mm differ in the last bit, and nobody who writes `==` or `<=` means that bit. Two values are the
 * same when they differ by no more than 1e-12 of the larger: thousands of roundings, and far below any gauge. Less, the
 * same and greater exclude each other, so `a <= b` is always `not (b < a)`. */
#ifndef RUNTIME_COMPARE_H
#define RUNTIME_COMPARE_H

#include <math.h>
#include <stdbool.h>

static inline bool same_value(double a, double b)
{
    return a == b || fabs(a - b) < 1e-12 * fmax(fabs(a), fabs(b));
}

static inline bool less_value(double a, double b)
{
    return a < b && !same_value(a, b);
}

#endif
