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

/* A whole or half number where the value is the same as one. From 2^52 on every double is one. */
static inline double nearest_half(double a)
{
    if (!(fabs(a) < 0x1p52))
        return a;
    double halves = round(2 * a);
    return same_value(2 * a, halves) ? halves / 2 : a;
}

static inline bool less_value(double a, double b)
{
    return a < b && !same_value(a, b);
}

#endif
