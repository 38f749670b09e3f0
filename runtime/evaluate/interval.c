#include "runtime/evaluate/interval.h"

static const double pi = 3.14159265358979323846;

static double ulps_down(double x, int ulps)
{
    while (ulps-- > 0)
        x = interval_next_down(x);
    return x;
}

static double ulps_up(double x, int ulps)
{
    return -ulps_down(-x, ulps);
}

/* Around what the C library computed for the two ends of something that rises. */
static struct interval library_result(double low, double high)
{
    return interval_of(ulps_down(low, WIDE_ULPS), ulps_up(high, WIDE_ULPS));
}

struct interval interval_hull(struct interval a, struct interval b)
{
    if (interval_is_empty(a))
        return b;
    if (interval_is_empty(b))
        return a;
    return interval_of(a.low < b.low ? a.low : b.low, a.high > b.high ? a.high : b.high);
}

struct interval interval_intersect(struct interval a, struct interval b)
{
    struct interval both = interval_of(a.low > b.low ? a.low : b.low, a.high < b.high ? a.high : b.high);
    return interval_is_empty(a) || interval_is_empty(b) || interval_is_empty(both) ? interval_empty() : both;
}

struct interval interval_widen(struct interval a, double by)
{
    return by == 0 ? a : interval_of(interval_sum_down(a.low, -by), interval_sum_up(a.high, by));
}

/* ---- product ----------------------------------------------------------------------------------------------------- */

/* In an unbounded interval infinity is not a member, so that 0 times it is 0. */
static inline double product(double x, double y)
{
    double p = x * y;
    return isnan(p) && !isunordered(x, y) ? 0 : p;
}

/* Below this a product's rounding error may itself be too small for a double, and says nothing. */
static const double error_vanishes = 0x1p-960;

static bool is_exact_product(double x, double y, double p)
{
    return p == 0 ? x == 0 || y == 0 : fabs(p) > error_vanishes && fma(x, y, -p) == 0;
}

static inline double smallest(double a, double b, double c, double d)
{
    double left = a < b ? a : b, right = c < d ? c : d;
    return left < right ? left : right;
}

static inline double largest(double a, double b, double c, double d)
{
    return -smallest(-a, -b, -c, -d);
}

/* A 0 that came of numbers with the right signs is no rounding across zero. */
static double lower_end(double x, bool never_negative)
{
    return never_negative && x == 0 ? 0 : interval_next_down(x);
}

static double upper_end(double x, bool never_positive)
{
    return never_positive && x == 0 ? 0 : interval_next_up(x);
}

static bool same_sign(struct interval a, struct interval b)
{
    return (a.low >= 0 && b.low >= 0) || (a.high <= 0 && b.high <= 0);
}

static bool opposite_sign(struct interval a, struct interval b)
{
    return (a.low >= 0 && b.high <= 0) || (a.high <= 0 && b.low >= 0);
}

static struct interval times_positive(struct interval a, struct interval b)
{
    double low = product(a.low >= 0 ? b.low : b.high, a.low);
    double high = product(a.high >= 0 ? b.high : b.low, a.high);
    return interval_of(lower_end(low, a.low >= 0), upper_end(high, a.high <= 0));
}

struct interval interval_multiply(struct interval a, struct interval b)
{
    if (interval_is_empty(a) || interval_is_empty(b))
        return interval_empty();
    if (interval_is_zero(a) || interval_is_zero(b))
        return interval_point(0);
    if (interval_is_point(a) && interval_is_point(b)) {
        double exact = product(a.low, b.low);
        if (is_exact_product(a.low, b.low, exact))
            return interval_point(exact);
    }
    if (b.low > 0)
        return times_positive(a, b);
    if (a.low > 0)
        return times_positive(b, a);
    double w = product(a.low, b.low), x = product(a.low, b.high);
    double y = product(a.high, b.low), z = product(a.high, b.high);
    return interval_of(lower_end(smallest(w, x, y, z), same_sign(a, b)),
                       upper_end(largest(w, x, y, z), opposite_sign(a, b)));
}

/* ---- quotient ---------------------------------------------------------------------------------------------------- */

/* By an interval that is positive, or begins at 0. */
static struct interval divide_by_positive(struct interval a, struct interval b)
{
    double low = a.low / (a.low >= 0 ? b.high : b.low), high = a.high / (a.high >= 0 ? b.low : b.high);
    if (b.low == 0) {
        low = a.low >= 0 ? low : -INFINITY;
        high = a.high <= 0 ? high : INFINITY;
    }
    /* Infinity over infinity: an unbounded side's quotients come as near to 0 as one likes, and no nearer. */
    low = isnan(low) ? 0 : low;
    high = isnan(high) ? 0 : high;
    return interval_of(lower_end(low, a.low >= 0), upper_end(high, a.high <= 0));
}

struct interval interval_divide(struct interval a, struct interval b)
{
    if (interval_is_empty(a) || interval_is_empty(b) || interval_is_zero(b))
        return interval_empty();
    if (b.low < 0 && b.high > 0)
        return interval_whole();
    if (interval_is_point(a) && interval_is_point(b)) {
        double q = a.low / b.low;
        if (fabs(a.low) > error_vanishes ? fma(q, b.low, -a.low) == 0 : a.low == 0)
            return interval_point(q);
    }
    return b.low >= 0 ? divide_by_positive(a, b) : divide_by_positive(interval_negate(a), interval_negate(b));
}

/* ---- powers ------------------------------------------------------------------------------------------------------ */

/* Of a base that is not negative. x^y goes one way in x for each y and one way in y for each x, so its extremes over a
 * box stand at corners. Results are not negative either. */
static struct interval power_of_positive(struct interval x, struct interval y)
{
    double least = x.low + 0.0; /* -0 becomes 0, whose negative odd powers are not minus infinity */
    double a = pow(least, y.low), b = pow(least, y.high), c = pow(x.high, y.low), d = pow(x.high, y.high);
    struct interval wide = library_result(smallest(a, b, c, d), largest(a, b, c, d));
    return interval_of(wide.low > 0 ? wide.low : 0, wide.high);
}

static struct interval odd_power(struct interval x, struct interval n)
{
    if (n.low < 0 && x.low < 0 && x.high > 0)
        return interval_whole();
    if (x.low >= 0)
        return power_of_positive(x, n);
    if (x.high <= 0)
        return interval_negate(power_of_positive(interval_negate(x), n));
    return library_result(pow(x.low, n.low), pow(x.high, n.low));
}

static bool is_whole(struct interval n)
{
    return interval_is_point(n) && n.low == trunc(n.low);
}

static struct interval whole_power(struct interval x, struct interval n)
{
    if (n.low == 0)
        return interval_point(1);
    if (n.low == 1)
        return x;
    if (fmod(n.low, 2) != 0)
        return odd_power(x, n);
    struct interval size = interval_abs(x);
    return n.low == 2 ? interval_multiply(size, size) : power_of_positive(size, n);
}

struct interval interval_power(struct interval x, struct interval y)
{
    if (interval_is_empty(x) || interval_is_empty(y))
        return interval_empty();
    if (is_whole(y))
        return interval_is_zero(x) && y.low < 0 ? interval_empty() : whole_power(x, y);
    if (x.high < 0 || (x.high == 0 && y.high < 0))
        return interval_empty();
    return power_of_positive(interval_of(x.low > 0 ? x.low : 0, x.high), y);
}

/* sqrt is correctly rounded (IEEE 754), and exact where its square gives the argument back. */
static double root_down(double x)
{
    double root = sqrt(x);
    return x == 0 || (x > error_vanishes && fma(root, root, -x) == 0) ? root : interval_next_down(root);
}

static double root_up(double x)
{
    double root = sqrt(x);
    return x == 0 || (x > error_vanishes && fma(root, root, -x) == 0) ? root : interval_next_up(root);
}

struct interval interval_sqrt(struct interval x)
{
    if (!(x.high >= 0))
        return interval_empty();
    return interval_of(x.low > 0 ? root_down(x.low) : 0, root_up(x.high));
}

/* ---- elementary functions ---------------------------------------------------------------------------------------- */

struct interval interval_exp(struct interval x)
{
    struct interval wide = library_result(exp(x.low), exp(x.high));
    return interval_of(wide.low < 0 ? 0 : wide.low, wide.high);
}

struct interval interval_ln(struct interval x)
{
    if (!(x.high > 0))
        return interval_empty();
    struct interval wide = library_result(x.low > 0 ? log(x.low) : -INFINITY, log(x.high));
    return wide;
}

/* Whether offset + a whole number of periods may lie in x. From doubt it is yes: the quotient carries an error of some
 * ulps of its size. */
static bool may_meet(struct interval x, double offset, double period)
{
    double from = (x.low - offset) / period, to = (x.high - offset) / period;
    double doubt = 8 * DBL_EPSILON * (fabs(from) + fabs(to) + 1);
    return floor(to + doubt) >= ceil(from - doubt);
}

/* Beyond this the doubt in may_meet is no longer small beside a period. */
static const double largest_angle = 1e9;

/* sine or cosine: highest at `top` and lowest half a turn on, one way in between. */
static struct interval wave(struct interval x, double at_low, double at_high, double top)
{
    if (interval_is_empty(x))
        return x;
    if (!(fabs(x.low) < largest_angle && fabs(x.high) < largest_angle))
        return interval_of(-1, 1);
    struct interval ends = library_result(fmin(at_low, at_high), fmax(at_low, at_high));
    return interval_of(may_meet(x, top + pi, 2 * pi) || ends.low < -1 ? -1 : ends.low,
                       may_meet(x, top, 2 * pi) || ends.high > 1 ? 1 : ends.high);
}

struct interval interval_sin(struct interval x)
{
    return interval_is_zero(x) ? x : wave(x, sin(x.low), sin(x.high), pi / 2);
}

struct interval interval_cos(struct interval x)
{
    return interval_is_zero(x) ? interval_point(1) : wave(x, cos(x.low), cos(x.high), 0);
}

struct interval interval_tan(struct interval x)
{
    if (interval_is_empty(x) || interval_is_zero(x))
        return x;
    bool small = fabs(x.low) < largest_angle && fabs(x.high) < largest_angle;
    if (!small || may_meet(x, pi / 2, pi))
        return interval_whole();
    return library_result(tan(x.low), tan(x.high));
}

struct interval interval_atan(struct interval x)
{
    return interval_is_zero(x) ? x : library_result(atan(x.low), atan(x.high));
}

/* ---- ends -------------------------------------------------------------------------------------------------------- */

struct interval interval_abs(struct interval x)
{
    if (x.low >= 0 || interval_is_empty(x))
        return x;
    return x.high <= 0 ? interval_negate(x) : interval_of(0, fmax(-x.low, x.high));
}

struct interval interval_min(struct interval a, struct interval b)
{
    if (interval_is_empty(a) || interval_is_empty(b))
        return interval_empty();
    return interval_of(fmin(a.low, b.low), fmin(a.high, b.high));
}

struct interval interval_max(struct interval a, struct interval b)
{
    if (interval_is_empty(a) || interval_is_empty(b))
        return interval_empty();
    return interval_of(fmax(a.low, b.low), fmax(a.high, b.high));
}

/* ---- comparisons ------------------------------------------------------------------------------------------------- */

/* compare.h calls two values the same within 1e-12 of the larger. How far b is above a, with that share taken off the
 * larger, rises with b and falls with a; so the worst pair is one of ends. The comparison's own rounding, a few 1e-16
 * of 1e-12, is covered by asking for a little more than the share where a claim rests on it, and a little less where
 * its contrary does. */
static bool clearly_less(double a, double b)
{
    return b - a > 1.000001e-12 * fmax(fabs(a), fabs(b));
}

static bool clearly_not_less(double a, double b)
{
    return b - a < 0.999999e-12 * fmax(fabs(a), fabs(b)) || b <= a;
}

enum truth interval_less(struct interval a, struct interval b)
{
    if (clearly_less(a.high, b.low))
        return TRUTH_TRUE;
    return clearly_not_less(a.low, b.high) ? TRUTH_FALSE : TRUTH_UNKNOWN;
}

enum truth interval_less_equal(struct interval a, struct interval b)
{
    enum truth greater = interval_less(b, a);
    return greater == TRUTH_UNKNOWN ? greater : greater == TRUTH_FALSE ? TRUTH_TRUE : TRUTH_FALSE;
}

enum truth interval_equal(struct interval a, struct interval b)
{
    enum truth less = interval_less(a, b), greater = interval_less(b, a);
    if (less == TRUTH_TRUE || greater == TRUTH_TRUE)
        return TRUTH_FALSE;
    return less == TRUTH_FALSE && greater == TRUTH_FALSE ? TRUTH_TRUE : TRUTH_UNKNOWN;
}
