/* Piecewise linear curves of one and two variables. Nothing is extrapolated. */
#include "runtime/compare.h"
#include "runtime/evaluate/evaluate.h"

struct place { /* between two stated arguments: the lower one's index, and the share of the way to the next */
    uint32_t index;
    double share;
};

uint32_t curve_last_at_or_below(const double *x, uint32_t count, double v)
{
    uint32_t low = 0, high = count;
    while (high - low > 1) {
        uint32_t middle = low + (high - low) / 2;
        if (x[middle] <= v)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* An argument that misses an end only by rounding is at the end. */
static bool find_place(const double *x, uint32_t count, double v, struct place *out, enum eval_fault *fault)
{
    *out = (struct place){0, 0};
    if (less_value(v, x[0])) {
        *fault = EVAL_BELOW_RANGE;
        return false;
    }
    if (less_value(x[count - 1], v)) {
        *fault = EVAL_ABOVE_RANGE;
        return false;
    }
    if (count == 1)
        return true;
    out->index = curve_last_at_or_below(x, count - 1, v);
    double share = (v - x[out->index]) / (x[out->index + 1] - x[out->index]);
    out->share = fmin(fmax(share, 0), 1);
    return true;
}

/* Exact at both ends, and never outside them. */
static double between(double a, double b, double share)
{
    return share <= 0.5 ? a + share * (b - a) : b - (1 - share) * (b - a);
}

static double along(const double *z, uint32_t stride, struct place p)
{
    const double *at = z + (size_t)p.index * stride;
    return p.share == 0 ? at[0] : between(at[0], at[stride], p.share);
}

double curve_at(const struct curve *c, double x, double y, enum eval_fault *fault, double *offending)
{
    struct place across = {0, 0}, down;
    if (isnan(x) || (c->y_count && isnan(y)) || c->x_count == 0) {
        *fault = EVAL_BAD_ARGUMENT;
        *offending = x;
        return NAN;
    }
    *offending = x;
    if (!find_place(c->x, c->x_count, x, &down, fault))
        return NAN;
    if (c->y_count == 0)
        return along(c->z, 1, down);
    *offending = y;
    if (!find_place(c->y, c->y_count, y, &across, fault))
        return NAN;
    const double *row = c->z + (size_t)down.index * c->y_count;
    double upper = along(row, 1, across);
    return down.share == 0 ? upper : between(upper, along(row + c->y_count, 1, across), down.share);
}
