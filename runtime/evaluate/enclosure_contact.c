/* The sheet between thick tools, over a box.
 *
 * What is left of the first difference is, with r = sqrt(p), the inverse transform of (r + b) / (r (r^2 + b r + 1)): along
 * its cut a sum of falling exponentials with weights b / (pi sqrt(x) ((1 - x)^2 + b^2 x)) above 0, so it falls with time,
 * ever more slowly. Its slope by b is the inverse of 1 / (r (r^2 + b r + 1)^2), all of whose factors are such sums too: it
 * rises with b; and of -2 / (r^2 + b r + 1)^3 the one after: ever more slowly. So each bound is at one corner, and the
 * temperature, tools + left (start - tools), rises with both temperatures. */
#include "runtime/compare.h"
#include "runtime/evaluate/enclosure_heat.h"
#include "runtime/physics/contact.h"

static const double contact_slack = 5e-13; /* of the difference, or of the time; the share is good to 1e-13 */
static const double same_slack = 2e-12;    /* what comparing up to rounding can hide (compare.h), with room */

struct interval contact_left_range(struct interval time, struct interval softness)
{
    double least = contact_share(time.high, softness.low).left, most = contact_share(time.low, softness.high).left;
    return interval_of(fmax(least - contact_slack, 0), fmin(most + contact_slack, 1));
}

static double end_of(struct interval x, bool high)
{
    return high ? x.high : x.low;
}

/* The sheet that has come furthest on its way to the tools' temperature, or least. */
static struct contact_sheet contact_corner(const struct interval *x, double start, double tools, bool furthest)
{
    return (struct contact_sheet){
        .start = start, .tools = tools, .time_constant = end_of(x[2], !furthest), .softness = end_of(x[3], !furthest)};
}

static double contact_end(const struct interval *x, bool high)
{
    double start = end_of(x[0], high), tools = end_of(x[1], high);
    bool furthest = (start < tools) == high;
    struct contact_sheet s = contact_corner(x, start, tools, furthest);
    enum eval_fault fault = EVAL_OK;
    double slack = contact_slack * fabs(start - tools) + 8 * DBL_EPSILON * fmax(fabs(start), fabs(tools));
    return contact_temperature(&s, end_of(x[4], furthest), &fault) + (high ? slack : -slack);
}

struct interval enclose_contact_after(const struct interval *x, uint32_t count, enum eval_fault *fault)
{
    (void)count;
    if (!(x[2].low > 0 && x[3].low >= 0 && x[4].low >= 0))
        return not_defined(fault, EVAL_BAD_ARGUMENT);
    return interval_of(contact_end(x, false), contact_end(x, true));
}

/* The time of one corner. A goal not beyond the start, because it was moved by slack, is there at once. */
static double contact_arrival(const struct interval *x, bool cooling, bool first, double goal)
{
    bool high = cooling != first; /* start and tools are further along for the first arrival */
    double start = end_of(x[0], high), tools = end_of(x[1], high);
    struct contact_sheet s = contact_corner(x, start, tools, first);
    enum eval_fault fault = EVAL_OK;
    if (first && (cooling ? goal >= start : goal <= start))
        return 0;
    double time = contact_time(&s, goal, &fault);
    return fault == EVAL_OK ? time * (first ? 1 - contact_slack : 1 + contact_slack) : NAN;
}

struct interval enclose_contact_time(const struct interval *x, uint32_t count, enum eval_fault *fault)
{
    (void)count;
    struct interval goal = x[4];
    /* A goal that only rounding puts beyond the start is at the start, as in the nominal evaluation. */
    bool cooling = !less_value(x[0].low, goal.high) && less_value(x[1].high, goal.low);
    bool heating = !less_value(goal.low, x[0].high) && less_value(goal.high, x[1].low);
    if (!(x[2].low > 0 && x[3].low >= 0))
        return not_defined(fault, EVAL_BAD_ARGUMENT);
    if (interval_is_point(goal) && interval_is_point(x[0]) && goal.low == x[0].low)
        return interval_point(0);
    if (!cooling && !heating)
        return not_defined(fault, EVAL_NEVER_REACHED);
    double way = fmax(fabs(x[0].high - x[1].low), fabs(x[1].high - x[0].low));
    double slack = same_slack * fmax(fabs(goal.high), fmax(fabs(x[0].high), fabs(x[1].high))) + contact_slack * way;
    double near = end_of(goal, cooling) + (cooling ? slack : -slack);
    double far = end_of(goal, !cooling) - (cooling ? slack : -slack);
    double first = contact_arrival(x, cooling, true, near), last = contact_arrival(x, cooling, false, far);
    return isnan(last) ? not_defined(fault, EVAL_NEVER_REACHED) : interval_of(isnan(first) ? 0 : first, last);
}
