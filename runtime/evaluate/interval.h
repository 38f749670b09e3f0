/* Interval arithmetic: all values a quantity can have, as lowest and highest.
 *
 * In: intervals. Out: an interval that holds every result the operation has on numbers from them, both the real number
 * and the double the nominal evaluator would compute. Ends are rounded outward: a result that is not exact goes to the
 * next double below or above; what the C library computes goes WIDE_ULPS doubles out, since glibc's exp, log, pow, sin,
 * cos, tan and atan are measured, not proved, to be within one. Sums, products and quotients of single numbers that
 * come out exact stay single numbers, so that counts and whole exponents remain whole.
 *
 * Ends may be infinite: {-inf, inf} is any number. {NaN, NaN} is empty; any operation on it gives it again. Operations
 * that are not defined everywhere give the hull of what they do have; who must know whether all of it was defined asks
 * beforehand (evaluate_interval). */
#ifndef RUNTIME_EVALUATE_INTERVAL_H
#define RUNTIME_EVALUATE_INTERVAL_H

#include <float.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

/* Sums below are taken apart into the rounded sum and its exact error, which needs plain double arithmetic. */
#if FLT_EVAL_METHOD != 0
#error "interval arithmetic needs doubles that are computed as doubles"
#endif

struct interval {
    double low, high;
};

enum truth { TRUTH_FALSE, TRUTH_TRUE, TRUTH_UNKNOWN };

enum { WIDE_ULPS = 4 };

/* The next double above: 0 goes to the smallest subnormal, the largest to infinity; infinity and NaN stay. Minus
 * infinity goes to the lowest double: as an upper end it is a number that was too low, not a member. */
static inline double interval_next_up(double x)
{
    uint64_t bits;
    if (!(x < INFINITY))
        return x;
    x += 0.0; /* -0 becomes 0 */
    memcpy(&bits, &x, sizeof bits);
    bits += x >= 0 ? 1 : (uint64_t)-1;
    memcpy(&x, &bits, sizeof bits);
    return x;
}

static inline double interval_next_down(double x)
{
    return -interval_next_up(-x);
}

static inline struct interval interval_of(double low, double high)
{
    return (struct interval){low, high};
}

static inline struct interval interval_point(double x)
{
    return (struct interval){x, x};
}

static inline struct interval interval_whole(void)
{
    return (struct interval){-INFINITY, INFINITY};
}

static inline struct interval interval_empty(void)
{
    return (struct interval){NAN, NAN};
}

static inline bool interval_is_empty(struct interval a)
{
    return !(a.low <= a.high);
}

static inline bool interval_is_point(struct interval a)
{
    return a.low == a.high;
}

static inline bool interval_is_finite(struct interval a)
{
    return a.low > -INFINITY && a.high < INFINITY;
}

static inline bool interval_is_zero(struct interval a)
{
    return a.low == 0 && a.high == 0;
}

static inline bool interval_contains(struct interval a, double x)
{
    return a.low <= x && x <= a.high;
}

static inline double interval_middle(struct interval a)
{
    return a.low + (a.high - a.low) / 2;
}

static inline bool interval_inside(struct interval inner, struct interval outer)
{
    return outer.low <= inner.low && inner.high <= outer.high;
}

/* ---- sums: inline, since they are most of what a program does --------------------------------------------------- */

/* What was lost when a + b was rounded to sum, exactly (Knuth's two-sum; NaN when something is infinite). */
static inline double interval_lost_in_sum(double a, double b, double sum)
{
    double b_part = sum - a;
    return (a - (sum - b_part)) + (b - b_part);
}

static inline double interval_sum_down(double a, double b)
{
    double sum = a + b, lost = interval_lost_in_sum(a, b, sum);
    return lost >= 0 ? sum : interval_next_down(sum);
}

static inline double interval_sum_up(double a, double b)
{
    double sum = a + b, lost = interval_lost_in_sum(a, b, sum);
    return lost <= 0 ? sum : interval_next_up(sum);
}

static inline struct interval interval_add(struct interval a, struct interval b)
{
    return interval_of(interval_sum_down(a.low, b.low), interval_sum_up(a.high, b.high));
}

static inline struct interval interval_negate(struct interval a)
{
    return interval_of(-a.high, -a.low);
}

static inline struct interval interval_subtract(struct interval a, struct interval b)
{
    return interval_add(a, interval_negate(b));
}

/* The smallest interval around both; an empty one adds nothing. */
struct interval interval_hull(struct interval, struct interval);
struct interval interval_intersect(struct interval, struct interval); /* empty when they do not meet */

struct interval interval_multiply(struct interval, struct interval);
/* By an interval with 0 inside: any number; with 0 at one end: unbounded on that side; by 0 alone: empty. */
struct interval interval_divide(struct interval, struct interval);
/* Base and exponent real. A whole exponent takes any base, another only the part of the base that is not negative. */
struct interval interval_power(struct interval base, struct interval exponent);
struct interval interval_sqrt(struct interval); /* of the part that is not negative */
struct interval interval_exp(struct interval);
struct interval interval_ln(struct interval); /* of the positive part */
struct interval interval_sin(struct interval);
struct interval interval_cos(struct interval);
struct interval interval_tan(struct interval); /* any number when a pole may be inside */
struct interval interval_atan(struct interval);
struct interval interval_abs(struct interval);
struct interval interval_min(struct interval, struct interval);
struct interval interval_max(struct interval, struct interval);

/* Further out by an amount that is not negative. */
struct interval interval_widen(struct interval, double by);

/* Comparisons as compare.h means them: true or false only if so for every pair from the two. */
enum truth interval_less(struct interval, struct interval);
enum truth interval_less_equal(struct interval, struct interval);
enum truth interval_equal(struct interval, struct interval);

#endif
