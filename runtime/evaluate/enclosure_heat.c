#include "runtime/evaluate/enclosure_heat.h"

#include "runtime/compare.h"
#include "runtime/physics/air.h"
#include "runtime/physics/slab.h"

/* Why the bounds hold. Write the sheet without dimension, Fourier number F = k t / (c d^2), Biot numbers B = h d / k,
 * depth X from 0 to 1. The temperature is linear in start T0 and surroundings S0, S1:
 *
 *     T = T0 + (S0 - T0) w0 + (S1 - T0) w1,
 *
 * where w0 is the sheet that starts at 0, has 1 beyond its first face and 0 beyond its second; w1 the mirror image. By
 * the comparison (maximum) principle for the heat equation with these boundary conditions:
 *   - w0, w1 >= 0 and w0 + w1 <= 1, so T rises with each of T0, S0, S1 and stays between the least and largest of them;
 *   - w0 rises with F: the sheet a moment later starts at or above the same sheet now;
 *   - w0 rises with B0 (the first face is below its surroundings, so more conductance is a source) and falls with B1;
 *   - w0 falls with X: its slope solves the heat equation too, starts at 0 and is at most 0 at both faces;
 *   - T rises with B_i where the surroundings S_i are above whatever the face comes to, which is so when S_i is the
 *     highest of T0, S0, S1, and falls where they are below;
 *   - T rises with F when S0, S1 >= T0, and falls when both are <= T0.
 * The same holds for the mean over X.
 *
 * So an upper bound is taken at the highest temperatures: where T goes one way in each of the Biot and Fourier numbers,
 * at their one worst corner; else with each weight at its own worst numbers. Thickness and conductivity stand in
 * several of these numbers, which are taken as independent: safe, a little wide. */

/* slab.c's values are good to about 1e-14 of the temperature differences (its tests ask for 1e-12). */
static const double slab_slack = 1e-11;

/* What comparing up to rounding can hide (compare.h), with room. */
static const double same_slack = 2e-12;

static const double from_early = 1e-30, till_late = 1e30; /* Fourier numbers between which a goal is looked for */

/* ---- reading the arguments --------------------------------------------------------------------------------------- */

enum eval_fault slab_box_of(const struct interval *x, struct slab_box *b)
{
    if (x[0].low < 0 || x[1].low < 0 || x[5].low <= 0 || x[6].low <= 0 || x[7].low <= 0)
        return EVAL_BAD_ARGUMENT;
    struct interval resistance = interval_divide(x[5], x[6]);
    for (int i = 0; i < 2; i++) {
        b->biot[i] = interval_multiply(x[i], resistance);
        b->surroundings[i] = x[2 + i];
    }
    b->start = x[4];
    b->diffusion_time = interval_multiply(interval_multiply(x[5], x[7]), resistance);
    b->fourier = interval_point(0);
    b->depth = interval_empty();
    b->corners = NULL;
    bool normal = b->diffusion_time.low > DBL_MIN && b->diffusion_time.high < INFINITY;
    return normal ? EVAL_OK : EVAL_BAD_ARGUMENT;
}

/* ---- weights ----------------------------------------------------------------------------------------------------- */

/* One sheet of unit thickness and properties; depth NaN: the mean. */
static double sheet_value(const double biot[2], const double surroundings[2], double start, double fourier,
                          double depth)
{
    struct slab s = {{biot[0], biot[1]}, {surroundings[0], surroundings[1]}, start, 1, 1, 1};
    enum eval_fault fault = EVAL_OK;
    return isnan(depth) ? slab_mean(&s, fourier, &fault) : slab_temperature(&s, fourier, depth, &fault);
}

/* The sheet that starts at 0 with 1 beyond its first face: `near` that face's Biot number, `far` the other's. */
static struct slab_sheet *sheet_of(struct slab_corners *c, double near, double far)
{
    const struct slab s = {{near, far}, {1, 0}, 0, 1, 1, 1};
    enum eval_fault fault = EVAL_OK;
    for (uint32_t i = 0; i < c->count; i++)
        if (c->sheet[i].biot[0] == near && c->sheet[i].biot[1] == far)
            return &c->sheet[i];
    struct slab_sheet *sheet = &c->sheet[c->count < SLAB_CORNERS ? c->count : SLAB_CORNERS - 1];
    if (!slab_sheet_of(&s, sheet, &fault))
        return NULL;
    c->count += c->count < SLAB_CORNERS;
    return sheet;
}

/* The weight of a face, depth from that face. */
static double weight_at(const struct slab_box *b, double near, double far, double fourier, double depth)
{
    struct slab_corners own;
    if (near == 0)
        return 0;
    own.count = 0;
    struct slab_sheet *sheet = sheet_of(b->corners ? b->corners : &own, near, far);
    if (!sheet || !(fourier >= 0))
        return NAN;
    return isnan(depth) ? slab_sheet_mean(sheet, fourier) : slab_sheet_temperature(sheet, fourier, depth);
}

static double weight_low(const struct slab_box *b, int face)
{
    double depth = face == 0 ? b->depth.high : 1 - b->depth.low;
    double w = weight_at(b, b->biot[face].low, b->biot[!face].high, b->fourier.low, depth);
    return w > slab_slack ? w - slab_slack : 0;
}

static double weight_high(const struct slab_box *b, int face)
{
    double depth = face == 0 ? b->depth.low : 1 - b->depth.high;
    double w = weight_at(b, b->biot[face].high, b->biot[!face].low, b->fourier.high, depth);
    return b->biot[face].high == 0 ? 0 : fmin(w + slab_slack, 1);
}

struct interval slab_weight(const struct slab_box *b, int face)
{
    return interval_of(weight_low(b, face), weight_high(b, face));
}

/* ---- which way --------------------------------------------------------------------------------------------------- */

enum way slab_way_of_conductance(const struct slab_box *b, int face)
{
    struct interval own = b->surroundings[face], other = interval_hull(b->start, b->surroundings[!face]);
    if (b->biot[!face].high == 0)
        other = b->start;
    if (own.low >= other.high)
        return WAY_UP;
    return own.high <= other.low ? WAY_DOWN : WAY_UNKNOWN;
}

/* An insulated face drives nothing. */
enum way slab_way_of_time(const struct slab_box *b)
{
    bool up = true, down = true;
    for (int i = 0; i < 2; i++) {
        up = up && (b->biot[i].high == 0 || b->surroundings[i].low >= b->start.high);
        down = down && (b->biot[i].high == 0 || b->surroundings[i].high <= b->start.low);
    }
    return up && down ? WAY_NONE : up ? WAY_UP : down ? WAY_DOWN : WAY_UNKNOWN;
}

/* ---- the temperature's envelopes --------------------------------------------------------------------------------- */

/* The box with all temperatures at one end: where the highest, or lowest, temperature is found. */
static struct slab_box at_temperatures(const struct slab_box *b, bool high)
{
    struct slab_box ends = *b;
    ends.start = interval_point(high ? b->start.high : b->start.low);
    for (int i = 0; i < 2; i++)
        ends.surroundings[i] = interval_point(high ? b->surroundings[i].high : b->surroundings[i].low);
    return ends;
}

static double slack_of(const struct slab_box *b)
{
    double largest = 0, spread = 0;
    for (int i = 0; i < 2; i++) {
        largest = fmax(largest, fmax(fabs(b->surroundings[i].low), fabs(b->surroundings[i].high)));
        spread = fmax(spread, fmax(b->surroundings[i].high - b->start.low, b->start.high - b->surroundings[i].low));
    }
    largest = fmax(largest, fmax(fabs(b->start.low), fabs(b->start.high)));
    return slab_slack * spread + 16 * DBL_EPSILON * largest;
}

static double end_of(struct interval x, bool high)
{
    return high ? x.high : x.low;
}

/* Biot numbers of the one sheet that is hottest (or coldest) at all times; false when there is no such sheet. */
static bool corner_biots(const struct slab_box *ends, bool high, double biot[2])
{
    for (int i = 0; i < 2; i++) {
        enum way way = interval_is_point(ends->biot[i]) ? WAY_UP : slab_way_of_conductance(ends, i);
        if (way == WAY_UNKNOWN)
            return false;
        biot[i] = end_of(ends->biot[i], (way == WAY_UP) == high);
    }
    return true;
}

static double by_corner(const struct slab_box *ends, bool high)
{
    double biot[2], surroundings[2] = {ends->surroundings[0].low, ends->surroundings[1].low};
    enum way time = interval_is_point(ends->fourier) ? WAY_UP : slab_way_of_time(ends);
    bool one_depth = interval_is_empty(ends->depth) || interval_is_point(ends->depth);
    if (!one_depth || time == WAY_UNKNOWN || !corner_biots(ends, high, biot))
        return high ? INFINITY : -INFINITY;
    double fourier = end_of(ends->fourier, (time == WAY_UP) == high);
    return sheet_value(biot, surroundings, ends->start.low, fourier, ends->depth.low);
}

static double by_weights(const struct slab_box *ends, bool high)
{
    double sum = ends->start.low;
    for (int i = 0; i < 2; i++) {
        double pull = ends->surroundings[i].low - ends->start.low;
        if (pull != 0)
            sum += pull * ((pull > 0) == high ? weight_high(ends, i) : weight_low(ends, i));
    }
    return sum;
}

static double highest(const struct slab_box *b, double slack)
{
    struct slab_box ends = at_temperatures(b, true);
    double corner = by_corner(&ends, true), bound = corner == INFINITY ? by_weights(&ends, true) : corner;
    double most = fmax(ends.start.low, fmax(ends.surroundings[0].low, ends.surroundings[1].low));
    return fmin(bound, most) + slack;
}

static double lowest(const struct slab_box *b, double slack)
{
    struct slab_box ends = at_temperatures(b, false);
    double corner = by_corner(&ends, false), bound = corner == -INFINITY ? by_weights(&ends, false) : corner;
    double least = fmin(ends.start.low, fmin(ends.surroundings[0].low, ends.surroundings[1].low));
    return fmax(bound, least) - slack;
}

static struct interval enclose_slab(const struct interval *x, bool mean, enum eval_fault *fault)
{
    struct slab_box b;
    *fault = slab_box_of(x, &b);
    if (*fault != EVAL_OK || x[8].low < 0 || (!mean && !(x[9].low >= 0 && x[9].high <= 1)))
        return not_defined(fault, EVAL_BAD_ARGUMENT);
    b.fourier = interval_divide(x[8], b.diffusion_time);
    b.fourier.high = fmin(b.fourier.high, DBL_MAX);
    if (!mean)
        b.depth = x[9];
    double slack = slack_of(&b);
    return interval_of(lowest(&b, slack), highest(&b, slack));
}

struct interval enclose_slab_at(const struct interval *x, uint32_t count, enum eval_fault *fault)
{
    (void)count;
    return enclose_slab(x, false, fault);
}

struct interval enclose_slab_mean(const struct interval *x, uint32_t count, enum eval_fault *fault)
{
    (void)count;
    return enclose_slab(x, true, fault);
}

/* ---- the time to a goal ------------------------------------------------------------------------------------------ */

/* Temperatures and goal with the other sign: a sheet that cools becomes one that warms. */
static void mirror(struct slab_box *b, struct interval *goal)
{
    b->start = interval_negate(b->start);
    for (int i = 0; i < 2; i++)
        b->surroundings[i] = interval_negate(b->surroundings[i]);
    *goal = interval_negate(*goal);
}

/* The highest (lowest) mean of any sheet of the box at one time. The highest counts only the face that warms, so that
 * it never falls. */
static double envelope(struct slab_box *ends, bool high, double fourier)
{
    double sum = ends->start.low;
    ends->fourier = interval_point(fourier);
    for (int i = 0; i < 2; i++) {
        double pull = ends->surroundings[i].low - ends->start.low;
        if (pull > 0)
            sum += pull * (high ? weight_high(ends, i) : weight_low(ends, i));
        else if (pull < 0 && !high)
            sum += pull * weight_high(ends, i);
    }
    return sum;
}

/* Times between which an envelope passes the goal: at `before` it is below, at `after` it is not. */
struct passage {
    double before, after;
};

/* From a first guess outward, by factors of two. Where none is found `after` is NaN, or `before` 0. */
static struct passage passage_of(struct slab_box *ends, bool high, double goal, double guess)
{
    struct passage p = {guess, guess};
    while (p.before > from_early && !(envelope(ends, high, p.before) < goal)) {
        p.after = p.before;
        p.before /= 2;
    }
    if (p.before <= from_early)
        p.before = 0;
    while (p.after < till_late && !(envelope(ends, high, p.after) >= goal)) {
        p.before = p.after;
        p.after *= 2;
    }
    if (p.after >= till_late)
        p.after = NAN;
    return p;
}

/* Narrowed from both sides: false position, with the side that stays behind at half its weight (the Illinois rule), and
 * each guess a little into the other side, so that both ends come close. Either end is a bound at every step. */
static struct passage narrowed(struct slab_box *ends, bool high, double goal, struct passage p)
{
    double below = envelope(ends, high, p.before) - goal, above = envelope(ends, high, p.after) - goal;
    for (int i = 0; i < 24 && p.after - p.before > 1e-6 * p.after; i++) {
        double width = p.after - p.before, guess = p.before + width * (below / (below - above));
        double inward = 2e-7 * p.after;
        guess = fmin(fmax(guess, p.before + inward), p.after - inward);
        double at = envelope(ends, high, guess) - goal;
        if (at < 0) {
            p.before = guess;
            below = at;
            above /= 2;
        } else {
            p.after = guess;
            above = at;
            below /= 2;
        }
    }
    return p;
}

/* A time by which every sheet has come to the goal (highest false), or before which none has, close to the first such.
 * Where the weights' envelope must be followed, any sheet of the box gives the guess to begin from. */
static double envelope_time(struct slab_box *ends, bool high, double goal, double guess)
{
    struct passage p = passage_of(ends, high, goal, isnan(guess) || !(guess > from_early) ? 1 : guess);
    if (p.before == 0)
        return high ? 0 : p.after;
    if (isnan(p.after))
        return high ? p.before : NAN;
    p = narrowed(ends, high, goal, p);
    return high ? p.before : p.after;
}

/* The first time a single sheet's mean comes to the goal; NaN when never. */
static double corner_time(const struct slab_box *ends, const double biot[2], double goal)
{
    struct slab s = {
        {biot[0], biot[1]}, {ends->surroundings[0].low, ends->surroundings[1].low}, ends->start.low, 1, 1, 1};
    enum eval_fault fault = EVAL_OK;
    return slab_time(&s, goal, &fault);
}

/* The sheet that is hottest at all times comes to the goal first, the one that is coldest at all times comes last. A
 * goal moved by what the values may be off by moves the times by what they may be off by. */
static double arrival(const struct slab_box *b, bool first, double goal)
{
    struct slab_box ends = at_temperatures(b, first);
    double biot[2];
    if (first && goal <= ends.start.low)
        return 0;
    if (corner_biots(&ends, first, biot))
        return corner_time(&ends, biot, goal);
    double any[2] = {b->biot[0].low, b->biot[1].low};
    return envelope_time(&ends, first, goal, corner_time(&ends, any, goal));
}

static bool is_same_point(struct interval a, struct interval b)
{
    return interval_is_point(a) && interval_is_point(b) && a.low == b.low;
}

struct interval enclose_slab_time(const struct interval *x, uint32_t count, enum eval_fault *fault)
{
    struct slab_box b;
    struct interval goal = x[8];
    (void)count;
    *fault = slab_box_of(x, &b);
    if (*fault != EVAL_OK)
        return interval_empty();
    if (is_same_point(goal, b.start))
        return interval_point(0);
    if (goal.high <= b.start.low)
        mirror(&b, &goal);
    if (goal.low < b.start.high)
        return not_defined(fault, EVAL_NEVER_REACHED);
    double slack = slack_of(&b) + same_slack * fmax(fabs(goal.low), fabs(goal.high));
    double last = arrival(&b, false, goal.high + slack), first = arrival(&b, true, goal.low - slack);
    if (isnan(last))
        return not_defined(fault, EVAL_NEVER_REACHED);
    struct interval fourier = interval_of(isnan(first) ? 0 : first * (1 - slab_slack), last * (1 + slab_slack));
    return interval_multiply(fourier, b.diffusion_time);
}

/* ---- the sheet in air -------------------------------------------------------------------------------------------- */

/* C dT/dt = -q(T), q = h (T - Ts) + e sigma (T^4 - Ts^4), one equation: its solutions do not cross, so T rises with the
 * start; q falls with Ts, so T rises with Ts; T stays between start and Ts. Of a sheet hotter than Ts, q rises with h
 * and e, so T falls with h, e and time and rises with C; of a colder one the contrary. The time to a goal is the
 * integral of C/|q| between goal and start: it rises with C and with the way to go, and falls with h, e and with the
 * distance of Ts. Every bound is therefore at one corner, found by evaluating the sheet there. */

static const double air_slack = 1e-11; /* of the temperature difference, or the time; Gauss's rule is good to 1e-15 */

static bool is_air_sheet(const struct interval *x)
{
    bool radiates = x[4].high > 0;
    return x[2].low > 0 && x[3].low >= 0 && x[4].low >= 0 && !(radiates && (x[0].low <= 0 || x[1].low <= 0));
}

/* The sheet at one start and surroundings that has come furthest on its way, or least. */
static struct air_sheet air_corner(const struct interval *x, double start, double surroundings, bool furthest)
{
    return (struct air_sheet){.start = start,
                              .surroundings = surroundings,
                              .capacity = end_of(x[2], !furthest),
                              .convection = end_of(x[3], furthest),
                              .emissivity = end_of(x[4], furthest)};
}

static double air_end(const struct interval *x, bool high)
{
    double start = end_of(x[0], high), surroundings = end_of(x[1], high);
    bool furthest = (start < surroundings) == high;
    struct air_sheet s = air_corner(x, start, surroundings, furthest);
    enum eval_fault fault = EVAL_OK;
    double slack = air_slack * fabs(start - surroundings) + 8 * DBL_EPSILON * fmax(fabs(start), fabs(surroundings));
    return air_temperature(&s, end_of(x[5], furthest), &fault) + (high ? slack : -slack);
}

struct interval enclose_air_after(const struct interval *x, uint32_t count, enum eval_fault *fault)
{
    (void)count;
    if (!is_air_sheet(x) || x[5].low < 0)
        return not_defined(fault, EVAL_BAD_ARGUMENT);
    return interval_of(air_end(x, false), air_end(x, true));
}

/* The time of one corner. A goal not beyond the start, because it was moved by slack, is there at once. */
static double air_arrival(const struct interval *x, bool cooling, bool first, double goal)
{
    bool high = cooling == first; /* the surroundings: further off for the first arrival */
    double start = end_of(x[0], cooling != first), surroundings = end_of(x[1], !high);
    struct air_sheet s = air_corner(x, start, surroundings, first);
    enum eval_fault fault = EVAL_OK;
    if (first && (cooling ? goal >= start : goal <= start))
        return 0;
    double time = air_time(&s, goal, &fault);
    return fault == EVAL_OK ? time * (first ? 1 - air_slack : 1 + air_slack) : NAN;
}

struct interval enclose_air_time(const struct interval *x, uint32_t count, enum eval_fault *fault)
{
    (void)count;
    struct interval goal = x[5];
    /* A goal that only rounding puts beyond the start is at the start, as in the nominal evaluation. */
    bool cooling = !less_value(x[0].low, goal.high) && less_value(x[1].high, goal.low);
    bool heating = !less_value(goal.low, x[0].high) && less_value(goal.high, x[1].low);
    if (!is_air_sheet(x))
        return not_defined(fault, EVAL_BAD_ARGUMENT);
    if (is_same_point(goal, x[0]))
        return interval_point(0);
    if (!cooling && !heating)
        return not_defined(fault, EVAL_NEVER_REACHED);
    double slack = same_slack * fmax(fabs(goal.high), fmax(fabs(x[0].high), fabs(x[1].high)));
    double near = end_of(goal, cooling) + (cooling ? slack : -slack);
    double far = end_of(goal, !cooling) - (cooling ? slack : -slack);
    double first = air_arrival(x, cooling, true, near), last = air_arrival(x, cooling, false, far);
    return isnan(last) ? not_defined(fault, EVAL_NEVER_REACHED) : interval_of(isnan(first) ? 0 : first, last);
}
