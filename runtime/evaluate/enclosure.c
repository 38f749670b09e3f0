#include "runtime/evaluate/enclosure.h"

#include "runtime/compare.h"

#define ENCLOSE(name) static struct interval name(const struct interval *x, uint32_t count, enum eval_fault *fault)
#define UNUSED(a) ((void)(a))

/* ---- numbers ----------------------------------------------------------------------------------------------------- */

ENCLOSE(enclose_abs)
{
    UNUSED(count);
    UNUSED(fault);
    return interval_abs(x[0]);
}

ENCLOSE(enclose_min)
{
    struct interval best = count ? x[0] : not_defined(fault, EVAL_BAD_ARGUMENT);
    for (uint32_t i = 1; i < count; i++)
        best = interval_min(best, x[i]);
    return best;
}

ENCLOSE(enclose_max)
{
    struct interval best = count ? x[0] : not_defined(fault, EVAL_BAD_ARGUMENT);
    for (uint32_t i = 1; i < count; i++)
        best = interval_max(best, x[i]);
    return best;
}

/* From the first, as the nominal evaluation does, but of one end of all at a time: taken as an interval formula the
 * first argument would count as many times as there are arguments. */
static double mean_of_ends(const struct interval *x, uint32_t count, bool high)
{
    double first = high ? x[0].high : x[0].low, away = 0;
    for (uint32_t i = 1; i < count; i++)
        away += ((high ? x[i].high : x[i].low) - first) / count;
    return first + away;
}

/* The mean rises with each argument. Each of count terms is rounded three times, each error at most an ulp of twice the
 * largest; once for the end computed here and once for the value computed inside. */
ENCLOSE(enclose_mean)
{
    if (count == 0)
        return not_defined(fault, EVAL_BAD_ARGUMENT);
    if (count == 1)
        return x[0];
    double largest = 0;
    for (uint32_t i = 0; i < count; i++)
        largest = fmax(largest, fmax(-x[i].low, x[i].high));
    if (largest > DBL_MAX / 2) /* a difference of two arguments may overflow */
        return not_defined(fault, EVAL_OVERFLOW);
    struct interval ends = interval_of(mean_of_ends(x, count, false), mean_of_ends(x, count, true));
    return interval_widen(ends, 4.0 * (count + 2) * DBL_EPSILON * largest);
}

/* How far the result may be from x, in steps: between `down` and `up`, and what snapping adds. */
struct rounding {
    double (*to_whole)(double);
    double down, up;
};

/* Rounding rises with the quotient, so its ends tell the least and largest count of steps. Where the step is not one
 * number, the count times the step forgets that a larger step takes fewer; that the result stays within a step of x
 * bounds it from the other side. */
static struct interval enclose_rounding(const struct interval *x, struct rounding how, enum eval_fault *fault)
{
    struct interval step = x[1];
    if (step.low <= 0)
        return not_defined(fault, interval_contains(step, 0) ? EVAL_DIVIDE_BY_ZERO : EVAL_BAD_ARGUMENT);
    struct interval steps = interval_divide(x[0], step);
    if (!interval_is_finite(steps))
        return not_defined(fault, EVAL_OVERFLOW);
    steps = interval_of(how.to_whole(nearest_half(steps.low)), how.to_whole(nearest_half(steps.high)));
    struct interval result = interval_multiply(steps, step);
    if (interval_is_point(step))
        return result;
    double slack = 4e-12 * (fmax(fabs(x[0].low), fabs(x[0].high)) + step.high);
    struct interval near = interval_of(x[0].low - how.down * step.high, x[0].high + how.up * step.high);
    return interval_intersect(result, interval_widen(near, slack));
}

ENCLOSE(enclose_round)
{
    UNUSED(count);
    return enclose_rounding(x, (struct rounding){round, 0.5, 0.5}, fault);
}

ENCLOSE(enclose_round_up)
{
    UNUSED(count);
    return enclose_rounding(x, (struct rounding){ceil, 0, 1}, fault);
}

enum eval_fault enclosure_range_fault(struct interval x, struct interval low, struct interval high)
{
    if (interval_less(x, low) != TRUTH_FALSE)
        return EVAL_BELOW_RANGE;
    return interval_less(high, x) != TRUTH_FALSE ? EVAL_ABOVE_RANGE : EVAL_OK;
}

ENCLOSE(enclose_inside)
{
    UNUSED(count);
    if (interval_less(x[2], x[1]) != TRUTH_FALSE)
        return not_defined(fault, EVAL_BAD_ARGUMENT);
    *fault = enclosure_range_fault(x[0], x[1], x[2]);
    return x[0];
}

/* ---- elementary functions ---------------------------------------------------------------------------------------- */

ENCLOSE(enclose_sqrt)
{
    UNUSED(count);
    return x[0].low < 0 ? not_defined(fault, EVAL_NEGATIVE_ROOT) : interval_sqrt(x[0]);
}

ENCLOSE(enclose_exp)
{
    UNUSED(count);
    UNUSED(fault);
    return interval_exp(x[0]); /* an infinite end is told by the evaluator */
}

ENCLOSE(enclose_ln)
{
    UNUSED(count);
    return x[0].low > 0 ? interval_ln(x[0]) : not_defined(fault, EVAL_NOT_POSITIVE);
}

ENCLOSE(enclose_sin)
{
    UNUSED(count);
    UNUSED(fault);
    return interval_sin(x[0]);
}

ENCLOSE(enclose_cos)
{
    UNUSED(count);
    UNUSED(fault);
    return interval_cos(x[0]);
}

/* The nominal tangent refuses what is within a few ulps of a right angle. Between two right angles the cosine's size is
 * least at an end. */
ENCLOSE(enclose_tan)
{
    UNUSED(count);
    double least = fmin(fabs(cos(x[0].low)), fabs(cos(x[0].high)));
    if (least < 4e-15 * fmax(1, fmax(fabs(x[0].low), fabs(x[0].high))))
        return not_defined(fault, EVAL_OVERFLOW);
    return interval_tan(x[0]);
}

ENCLOSE(enclose_atan)
{
    UNUSED(count);
    UNUSED(fault);
    return interval_atan(x[0]);
}

ENCLOSE(enclose_same)
{
    UNUSED(count);
    UNUSED(fault);
    return x[0];
}

enclosure *const enclosure_table[FUNCTION_COUNT] = {
    [FUNCTION_abs] = enclose_abs,
    [FUNCTION_min] = enclose_min,
    [FUNCTION_max] = enclose_max,
    [FUNCTION_mean] = enclose_mean,
    [FUNCTION_sqrt] = enclose_sqrt,
    [FUNCTION_exp] = enclose_exp,
    [FUNCTION_ln] = enclose_ln,
    [FUNCTION_sin] = enclose_sin,
    [FUNCTION_cos] = enclose_cos,
    [FUNCTION_tan] = enclose_tan,
    [FUNCTION_atan] = enclose_atan,
    [FUNCTION_radians] = enclose_same,
    [FUNCTION_kelvin] = enclose_same,
    [FUNCTION_point] = enclose_same,
    [FUNCTION_nominal] = enclose_same,
    [FUNCTION_uncertainty] = enclose_same,
    [FUNCTION_round] = enclose_round,
    [FUNCTION_ceil] = enclose_round_up,
    [FUNCTION_inside] = enclose_inside,
    [FUNCTION_slab_at] = enclose_slab_at,
    [FUNCTION_slab_mean] = enclose_slab_mean,
    [FUNCTION_slab_time] = enclose_slab_time,
    [FUNCTION_contact_after] = enclose_contact_after,
    [FUNCTION_contact_time] = enclose_contact_time,
    [FUNCTION_air_after] = enclose_air_after,
    [FUNCTION_air_time] = enclose_air_time,
};
