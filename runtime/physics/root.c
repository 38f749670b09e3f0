#include "runtime/physics/root.h"

#include <float.h>
#include <math.h>

enum { MOST_STEPS = 2200 }; /* halving from the largest double to the smallest; Newton's steps need about five */

/* Halving in proportion where the bracket spans decades, so that a root near 1e-9 of the end costs no thirty steps. */
static double middle(double low, double high)
{
    return low > 0 && high > 4 * low ? sqrt(low) * sqrt(high) : low + (high - low) / 2;
}

double root_between(root_function *f, void *context, double low, double high)
{
    double unused;
    double at_low = f(context, low, &unused);
    if (at_low == 0)
        return low;
    double x = middle(low, high), before = high - low;
    for (int i = 0; i < MOST_STEPS; i++) {
        double slope, y = f(context, x, &slope);
        if (y == 0)
            return x;
        if ((y < 0) == (at_low < 0))
            low = x;
        else
            high = x;
        if (high - low <= 2 * DBL_EPSILON * fabs(high))
            break;
        double next = x - y / slope;
        /* A step that leaves the bracket, or does not come down to half of the one before, is replaced by halving. */
        if (!(next > low && next < high) || fabs(next - x) > before / 2)
            next = middle(low, high);
        before = fabs(next - x);
        if (before <= DBL_EPSILON * fabs(x))
            return next;
        x = next;
    }
    return x;
}
