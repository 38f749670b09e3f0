/* Curves over an interval of arguments. A piecewise linear function of one variable has its extremes at the interval's
 * ends and at the kinks inside; one of two variables is, in each cell, linear along either, so its extremes over the
 * part of a cell that the box covers stand at that part's corners. */
#include "runtime/evaluate/enclosure.h"
#include "runtime/evaluate/evaluate.h"

/* The stated arguments around an interval: from the last at or below its low end to the first at or above its high. */
struct cover {
    uint32_t first, last;
};

static struct cover cover_of(const double *x, uint32_t count, struct interval v)
{
    struct cover c = {curve_last_at_or_below(x, count, v.low), curve_last_at_or_below(x, count, v.high)};
    if (x[c.last] < v.high && c.last + 1 < count)
        c.last++;
    return c;
}

/* The k-th argument to try in a cover: the interval's ends in place of the stated ones outside it. */
static double try_at(const double *x, uint32_t k, struct interval v)
{
    return fmin(fmax(x[k], v.low), v.high);
}

/* Also where only one argument is stated: what is outside it is there by rounding alone. */
static struct interval within_range(const double *x, uint32_t count, struct interval v)
{
    return interval_of(fmin(fmax(v.low, x[0]), x[count - 1]), fmax(fmin(v.high, x[count - 1]), x[0]));
}

static enum eval_fault axis_fault(const double *x, uint32_t count, struct interval v)
{
    return enclosure_range_fault(v, interval_point(x[0]), interval_point(x[count - 1]));
}

/* Interpolating twice rounds a dozen times, each error at most half an ulp of twice the largest value; once for what is
 * computed here and once for what is computed inside. The nominal evaluation never leaves the stated values around it,
 * so neither does the enclosure. */
static struct interval rounded(struct interval found, struct interval stated)
{
    double largest = fmax(fabs(stated.low), fabs(stated.high));
    return interval_intersect(interval_widen(found, 24 * DBL_EPSILON * largest), stated);
}

static void take(struct interval *hull, double v)
{
    *hull = interval_hull(*hull, interval_point(v));
}

static struct interval enclose_line(const struct curve *c, struct interval x)
{
    struct interval found = interval_empty(), stated = interval_empty();
    struct cover down = cover_of(c->x, c->x_count, x);
    enum eval_fault fault = EVAL_OK;
    double offending;
    for (uint32_t i = down.first; i <= down.last; i++) {
        take(&stated, c->z[i]);
        take(&found, curve_at(c, try_at(c->x, i, x), 0, &fault, &offending));
    }
    return rounded(found, stated);
}

static struct interval enclose_grid(const struct curve *c, struct interval x, struct interval y)
{
    struct interval found = interval_empty(), stated = interval_empty();
    struct cover down = cover_of(c->x, c->x_count, x), across = cover_of(c->y, c->y_count, y);
    enum eval_fault fault = EVAL_OK;
    double offending;
    for (uint32_t i = down.first; i <= down.last; i++)
        for (uint32_t k = across.first; k <= across.last; k++) {
            take(&stated, c->z[(size_t)i * c->y_count + k]);
            take(&found, curve_at(c, try_at(c->x, i, x), try_at(c->y, k, y), &fault, &offending));
        }
    return rounded(found, stated);
}

struct interval enclosure_curve(const struct curve *c, struct interval x, struct interval y, enum eval_fault *fault,
                                struct interval *offending)
{
    *offending = x;
    if (c->x_count == 0)
        return not_defined(fault, EVAL_BAD_ARGUMENT);
    *fault = axis_fault(c->x, c->x_count, x);
    if (*fault == EVAL_OK && c->y_count) {
        *offending = y;
        *fault = axis_fault(c->y, c->y_count, y);
    }
    if (*fault != EVAL_OK)
        return interval_empty();
    x = within_range(c->x, c->x_count, x);
    return c->y_count ? enclose_grid(c, x, within_range(c->y, c->y_count, y)) : enclose_line(c, x);
}
