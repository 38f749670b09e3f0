/* Difference quotients over a box, of curves and built-in functions: an interval for each argument that holds
 * (f(b) - f(a)) / (b - a) for any two of its values, the others held. For a smooth function that is the range of the
 * derivative; across a kink the hull of both sides'; over steps that all go up, anything from 0 on. Where only the
 * direction is proved (enclosure_heat.c says how), the slope is anything of that sign. */
#include "runtime/evaluate/gradient.h"

#include "runtime/compare.h"
#include "runtime/evaluate/enclosure_heat.h"
#include "runtime/physics/air.h"
#include "runtime/physics/contact.h"

#define SLOPES(name)                                                                                                   \
    static void name(const struct interval *x, uint32_t count, struct interval value, struct interval *slope)
#define UNUSED(a) ((void)(a))

static struct interval up(void)
{
    return interval_of(0, INFINITY);
}

static struct interval down(void)
{
    return interval_of(-INFINITY, 0);
}

/* ---- numbers ----------------------------------------------------------------------------------------------------- */

SLOPES(slopes_abs)
{
    UNUSED(count);
    UNUSED(value);
    bool falls = x[0].low < 0 || x[0].high == 0, rises = x[0].high > 0 || x[0].low == 0; /* both where it is 0 alone */
    slope[0] = interval_of(falls ? -1 : 1, rises ? 1 : -1);
}

/* Of an argument that is never the smallest, nothing; of one that may be, up to all. */
SLOPES(slopes_min)
{
    UNUSED(count);
    for (uint32_t k = 0; k < count; k++)
        slope[k] = interval_of(0, x[k].low <= value.high);
}

SLOPES(slopes_max)
{
    UNUSED(count);
    for (uint32_t k = 0; k < count; k++)
        slope[k] = interval_of(0, x[k].high >= value.low);
}

SLOPES(slopes_mean)
{
    UNUSED(x);
    UNUSED(value);
    for (uint32_t k = 0; k < count; k++)
        slope[k] = interval_divide(interval_point(1), interval_point(count));
}

/* A count that stays the same moves with the step alone. Else it climbs with x, and jumps as it likes with the step. */
SLOPES(slopes_round)
{
    UNUSED(count);
    struct interval steps = interval_divide(value, x[1]);
    bool one_count = steps.high - steps.low < 0.25;
    slope[0] = one_count ? interval_point(0) : up();
    slope[1] = one_count ? steps : interval_whole();
}

SLOPES(slopes_same)
{
    UNUSED(x);
    UNUSED(count);
    UNUSED(value);
    slope[0] = interval_point(1);
}

/* ---- elementary functions ---------------------------------------------------------------------------------------- */

SLOPES(slopes_sqrt)
{
    UNUSED(x);
    UNUSED(count);
    slope[0] = value.high > 0 ? interval_divide(interval_point(0.5), value) : up();
}

SLOPES(slopes_exp)
{
    UNUSED(x);
    UNUSED(count);
    slope[0] = value;
}

SLOPES(slopes_ln)
{
    UNUSED(count);
    UNUSED(value);
    slope[0] = interval_divide(interval_point(1), x[0]);
}

SLOPES(slopes_sin)
{
    UNUSED(count);
    UNUSED(value);
    slope[0] = interval_cos(x[0]);
}

SLOPES(slopes_cos)
{
    UNUSED(count);
    UNUSED(value);
    slope[0] = interval_negate(interval_sin(x[0]));
}

static struct interval one_and_square(struct interval x)
{
    return interval_add(interval_point(1), interval_power(x, interval_point(2)));
}

SLOPES(slopes_tan)
{
    UNUSED(x);
    UNUSED(count);
    slope[0] = one_and_square(value);
}

SLOPES(slopes_atan)
{
    UNUSED(count);
    UNUSED(value);
    slope[0] = interval_divide(interval_point(1), one_and_square(x[0]));
}

/* ---- heat -------------------------------------------------------------------------------------------------------- */

static struct interval one_way(enum way way)
{
    return way == WAY_UP ? up() : way == WAY_DOWN ? down() : way == WAY_NONE ? interval_point(0) : interval_whole();
}

static enum way reversed(enum way way)
{
    return way == WAY_UP ? WAY_DOWN : way == WAY_DOWN ? WAY_UP : way;
}

/* How far a face's surroundings are above the face, at any time from `from` up to the last: S - T there, with
 * T = T0 + p w + p' w' between the least and the largest of the three temperatures, each pull p from the start. */
static struct interval drive(const struct slab_box *b, int face, double from)
{
    struct slab_box at = *b;
    struct interval own = interval_subtract(b->surroundings[face], b->start);
    struct interval other = interval_subtract(b->surroundings[!face], b->start), zero = interval_point(0);
    struct interval bounds = interval_hull(own, zero);
    if (b->biot[!face].high > 0)
        bounds = interval_hull(bounds, interval_subtract(b->surroundings[face], b->surroundings[!face]));
    at.depth = interval_point(face);
    at.fourier.low = from;
    struct interval left = interval_subtract(interval_point(1), slab_weight(&at, face));
    struct interval followed =
        interval_subtract(interval_multiply(own, left), interval_multiply(other, slab_weight(&at, !face)));
    struct interval both = interval_intersect(bounds, followed);
    return interval_is_empty(both) ? bounds : both;
}

static struct interval narrower(struct interval a, struct interval b)
{
    struct interval both = interval_intersect(a, b);
    return interval_is_empty(both) ? a : both;
}

/* Changes of temperature by the relative change of each Biot number and of the Fourier number.
 *
 * More conductance at a face is a source there of what its surroundings are above it, and the answer to a steady source
 * of 1 is w/B: w itself is the sheet that loses to surroundings of 0 and is given B at that face. So B dT/dB is w times
 * something the drive takes on. The mean takes up B times the drive at each face, which gives its change with time; and
 * its w, taking up B (1 - w) at one face and -B' w at the other, bends downward from 0 as w rises, so that F dw/dF is
 * between 0 and w. At one depth only the sign is known. */
struct relative_slopes {
    struct interval biot[2], time;
};

static struct interval slope_of_mean_by_time(const struct slab_box *b, const struct interval weight[2])
{
    struct interval rate = interval_point(0), climbed = rate;
    for (int i = 0; i < 2; i++) {
        struct interval pull = interval_subtract(b->surroundings[i], b->start);
        rate = interval_add(rate, interval_multiply(b->biot[i], drive(b, i, b->fourier.low)));
        climbed = interval_add(climbed, interval_multiply(pull, interval_of(0, weight[i].high)));
    }
    return narrower(climbed, interval_multiply(rate, b->fourier));
}

static struct relative_slopes relative_slopes_of(const struct slab_box *b, const struct interval weight[2])
{
    struct relative_slopes r;
    for (int i = 0; i < 2; i++)
        r.biot[i] = interval_multiply(drive(b, i, 0), weight[i]);
    bool mean = interval_is_empty(b->depth);
    r.time = mean ? slope_of_mean_by_time(b, weight) : one_way(slab_way_of_time(b));
    return r;
}

/* Of an argument that may be 0 only the direction is left. */
static struct interval over_conductance(struct interval relative, struct interval conductance, enum way way)
{
    return conductance.low > 0 ? interval_divide(relative, conductance) : one_way(way);
}

/* Linear in the temperatures: the weights are the slopes. The others by the chain rule: B = h d / k, F = k t / (c d^2). */
static void slab_slopes(const struct interval *x, const struct slab_box *b, struct interval *slope)
{
    struct interval left = interval_point(1), share = interval_of(0, 1), two = interval_point(2);
    for (int i = 0; i < 2; i++) {
        slope[2 + i] = slab_weight(b, i);
        left = interval_subtract(left, slope[2 + i]);
    }
    struct relative_slopes r = relative_slopes_of(b, slope + 2);
    struct interval biots = interval_add(r.biot[0], r.biot[1]);
    for (int i = 0; i < 2; i++)
        slope[i] = over_conductance(r.biot[i], x[i], slab_way_of_conductance(b, i));
    slope[4] = interval_intersect(left, share);
    slope[5] = interval_divide(interval_subtract(biots, interval_multiply(two, r.time)), x[5]);
    slope[6] = interval_divide(interval_subtract(r.time, biots), x[6]);
    slope[7] = interval_negate(interval_divide(r.time, x[7]));
    slope[8] = x[8].high > 0 ? interval_divide(r.time, x[8]) : one_way(slab_way_of_time(b));
}

static void keep_corners(struct slab_box *b, struct slab_corners *corners)
{
    corners->count = 0;
    b->corners = corners;
}

SLOPES(slopes_slab_mean)
{
    struct slab_box b;
    struct slab_corners corners;
    UNUSED(count);
    UNUSED(value);
    slab_box_of(x, &b); /* a value is there, so it is a sheet */
    keep_corners(&b, &corners);
    b.fourier = interval_divide(x[8], b.diffusion_time);
    slab_slopes(x, &b, slope);
}

/* Deeper is further from the first face and nearer to the second: what each drives falls, and rises. */
SLOPES(slopes_slab_at)
{
    struct slab_box b;
    struct slab_corners corners;
    UNUSED(count);
    UNUSED(value);
    slab_box_of(x, &b);
    keep_corners(&b, &corners);
    b.fourier = interval_divide(x[8], b.diffusion_time);
    b.depth = x[9];
    slab_slopes(x, &b, slope);
    bool falls = x[2].low >= x[4].high && x[3].high <= x[4].low;
    bool rises = x[2].high <= x[4].low && x[3].low >= x[4].high;
    slope[9] = falls ? down() : rises ? up() : interval_whole();
}

/* What makes the sheet hotter at all times brings a goal above the start sooner, and one below it later. The time is
 * proportional to the heat capacity. */
static void time_directions(const struct interval *x, const struct slab_box *b, struct interval value,
                            struct interval *slope)
{
    bool warms = x[8].low >= x[4].high && x[8].high > x[4].low, cools = x[8].high <= x[4].low && x[8].low < x[4].high;
    if (!warms && !cools)
        return;
    for (int i = 0; i < 2; i++) {
        enum way hotter = slab_way_of_conductance(b, i);
        slope[i] = one_way(warms ? reversed(hotter) : hotter);
        slope[2 + i] = warms ? down() : up();
    }
    slope[4] = slope[2];
    slope[7] = interval_divide(value, x[7]);
    slope[8] = warms ? up() : down();
}

/* The times were made as Fourier numbers times the diffusion time, end by end (enclose_slab_time), and are taken apart
 * the same way; as a quotient of intervals the diffusion time's width would count twice. */
static struct interval fourier_of_times(struct interval time, struct interval diffusion)
{
    struct interval first = interval_divide(interval_point(time.low), interval_point(diffusion.low));
    struct interval last = interval_divide(interval_point(time.high), interval_point(diffusion.high));
    return interval_of(first.low, last.high);
}

/* The mean stays at the goal whatever is varied, so with t = F c d^2 / k each slope is that of the mean over the pace,
 * where the pace is known not to be 0. */
SLOPES(slopes_slab_time)
{
    struct slab_box b;
    struct slab_corners corners;
    struct interval of_mean[9];
    for (uint32_t i = 0; i < count; i++)
        slope[i] = interval_whole();
    slab_box_of(x, &b);
    keep_corners(&b, &corners);
    time_directions(x, &b, value, slope);
    b.fourier = fourier_of_times(value, b.diffusion_time);
    slab_slopes(x, &b, of_mean);
    struct relative_slopes r = relative_slopes_of(&b, of_mean + 2);
    struct interval pace = r.time;
    if (!(pace.low > 0 || pace.high < 0))
        return;
    struct interval per_pace = interval_divide(value, pace), one = interval_point(1), two = interval_point(2);
    struct interval biots = interval_divide(interval_add(r.biot[0], r.biot[1]), pace);
    for (int i = 0; i < 5; i++)
        slope[i] = narrower(slope[i], interval_negate(interval_multiply(per_pace, of_mean[i])));
    slope[5] = interval_divide(interval_multiply(value, interval_subtract(two, biots)), x[5]);
    slope[6] = interval_divide(interval_multiply(value, interval_subtract(biots, one)), x[6]);
    slope[8] = narrower(slope[8], per_pace);
}

/* The share that is left, over a box of times and of softness, and its slopes (enclosure_contact.c says why). It is convex
 * in time and falls from 1, so that its pace is no more than what is left, nor than what is gone over the time; it is
 * concave in softness, so that it rises by no more than it has since rigid tools, nor by 2 / sqrt(pi) anywhere. */
struct share_ranges {
    struct interval left, by_time, by_softness;
};

static struct share_ranges share_ranges_of(struct interval time, struct interval softness)
{
    struct share_ranges r = {.left = contact_left_range(time, softness)};
    double pace = fmin(r.left.high, time.low > 0 ? interval_next_up((1 - r.left.low) / time.low) : 1);
    double since = interval_next_up(contact_left_range(interval_point(time.low), interval_point(softness.low)).high);
    double rise = softness.low > 0 ? interval_next_up(interval_next_up(since - exp(-time.high)) / softness.low) : 2;
    r.by_time = interval_of(-interval_next_up(pace), 0);
    r.by_softness = interval_of(0, fmin(interval_next_up(fmax(rise, 0) + 1e-12), 1.1284));
    return r;
}

SLOPES(slopes_contact_after)
{
    UNUSED(count);
    UNUSED(value);
    struct interval time = interval_divide(x[4], x[2]), way = interval_subtract(x[0], x[1]);
    struct share_ranges share = share_ranges_of(time, x[3]);
    struct interval pace = interval_divide(interval_multiply(way, share.by_time), x[2]);
    slope[0] = share.left;
    slope[1] = interval_subtract(interval_point(1), share.left);
    slope[2] = interval_negate(interval_multiply(pace, time));
    slope[3] = interval_multiply(way, share.by_softness);
    slope[4] = pace;
}

/* What brings the sheet nearer to the tools at all times brings a goal sooner. */
SLOPES(slopes_contact_time)
{
    bool warms = x[4].low >= x[0].high && x[4].high > x[0].low, cools = x[4].high <= x[0].low && x[4].low < x[0].high;
    for (uint32_t i = 0; i < count; i++)
        slope[i] = interval_whole();
    slope[2] = interval_divide(value, x[2]);
    if (!warms && !cools)
        return;
    slope[0] = slope[1] = warms ? down() : up();
    slope[3] = up();
    slope[4] = warms ? up() : down();
}

/* Of the sheet in air, C dT/dt = -q(T): the heat it loses, what of that a unit of convection and of emissivity loses, and
 * what it loses more when the surroundings are a kelvin colder. */
struct loss {
    struct interval heat, by_convection, by_emissivity, by_surroundings;
};

static struct interval power_of(struct interval t, double n)
{
    return interval_power(t, interval_point(n));
}

static struct loss loss_at(const struct interval *x, struct interval t)
{
    struct interval sigma = interval_point(STEFAN_BOLTZMANN);
    struct interval per_kelvin = interval_multiply(interval_multiply(interval_point(4), sigma), power_of(x[1], 3));
    struct loss l = {.by_convection = interval_subtract(t, x[1])};
    l.by_emissivity = interval_multiply(sigma, interval_subtract(power_of(t, 4), power_of(x[1], 4)));
    l.heat = interval_add(interval_multiply(x[3], l.by_convection), interval_multiply(x[4], l.by_emissivity));
    l.by_surroundings = interval_add(x[3], interval_multiply(x[4], per_kelvin));
    return l;
}

/* A change of the balance's right side adds up over the time, and what it has added dies out as q rises with T: so it is
 * never more than the time times the largest such change, which is the one at the start, and of the same sign. An earlier
 * difference leaves q(T) / q(T0) of itself, at most 1. Of a kelvin in the surroundings no more comes through than their
 * pull over the sheet's own at the coldest it gets, (Ts / T)^3 with radiation alone. */
SLOPES(slopes_air_after)
{
    UNUSED(count);
    struct interval share = interval_of(0, 1), so_far = interval_divide(x[5], x[2]);
    struct loss first = loss_at(x, x[0]), last = loss_at(x, value);
    struct interval added = interval_multiply(interval_of(-1, 0), so_far);
    double colder = fmin(x[0].low, x[1].low), ratio = colder > 0 ? interval_next_up(x[1].high / colder) : INFINITY;
    double through = x[4].high > 0 ? fmax(1, power_of(interval_point(ratio), 3).high) : 1;
    slope[0] = share;
    slope[1] = interval_of(0, through);
    slope[2] = interval_divide(interval_multiply(last.heat, so_far), x[2]);
    slope[3] = interval_multiply(first.by_convection, added);
    slope[4] = interval_multiply(first.by_emissivity, added);
    slope[5] = interval_negate(interval_divide(last.heat, x[2]));
}

/* t is the integral of C/q between goal and start, so that each slope is t times what the integrand changes by, somewhere
 * between; at the ends, the integrand itself. A goal that only rounding puts beyond the start is at the start. */
SLOPES(slopes_air_time)
{
    bool cools = !less_value(x[0].low, x[5].high) && x[1].high < x[5].low;
    bool warms = !less_value(x[5].low, x[0].high) && x[1].low > x[5].high;
    for (uint32_t i = 0; i < count; i++)
        slope[i] = interval_whole();
    if (!cools && !warms)
        return;
    struct loss first = loss_at(x, x[0]), last = loss_at(x, x[5]), way = loss_at(x, interval_hull(x[0], x[5]));
    struct interval side = cools ? up() : down(), later = interval_negate(value);
    struct interval heat = narrower(way.heat, side);
    slope[0] = interval_divide(x[2], narrower(first.heat, side));
    slope[1] = interval_divide(interval_multiply(value, way.by_surroundings), heat);
    slope[2] = interval_divide(value, x[2]);
    slope[3] = narrower(down(), interval_divide(interval_multiply(later, way.by_convection), heat));
    slope[4] = narrower(down(), interval_divide(interval_multiply(later, way.by_emissivity), heat));
    slope[5] = interval_negate(interval_divide(x[2], narrower(last.heat, side)));
}

slopes *const slopes_table[FUNCTION_COUNT] = {
    [FUNCTION_abs] = slopes_abs,
    [FUNCTION_min] = slopes_min,
    [FUNCTION_max] = slopes_max,
    [FUNCTION_mean] = slopes_mean,
    [FUNCTION_sqrt] = slopes_sqrt,
    [FUNCTION_exp] = slopes_exp,
    [FUNCTION_ln] = slopes_ln,
    [FUNCTION_sin] = slopes_sin,
    [FUNCTION_cos] = slopes_cos,
    [FUNCTION_tan] = slopes_tan,
    [FUNCTION_atan] = slopes_atan,
    [FUNCTION_radians] = slopes_same,
    [FUNCTION_kelvin] = slopes_same,
    [FUNCTION_point] = slopes_same,
    [FUNCTION_nominal] = slopes_same,
    [FUNCTION_uncertainty] = slopes_same,
    [FUNCTION_round] = slopes_round,
    [FUNCTION_ceil] = slopes_round,
    [FUNCTION_inside] = slopes_same,
    [FUNCTION_slab_at] = slopes_slab_at,
    [FUNCTION_slab_mean] = slopes_slab_mean,
    [FUNCTION_slab_time] = slopes_slab_time,
    [FUNCTION_contact_after] = slopes_contact_after,
    [FUNCTION_contact_time] = slopes_contact_time,
    [FUNCTION_air_after] = slopes_air_after,
    [FUNCTION_air_time] = slopes_air_time,
};

/* ---- curves ------------------------------------------------------------------------------------------------------ */

/* The pieces an interval may touch, first to last. Beyond the ends (by rounding alone) the curve is level. */
struct pieces {
    uint32_t first, last;
    bool level;
};

static struct pieces pieces_of(const double *x, uint32_t count, struct interval v)
{
    struct pieces p = {0, 0, count < 2 || v.low < x[0] || v.high > x[count - 1]};
    while (p.first + 2 < count && x[p.first + 1] < v.low)
        p.first++;
    p.last = p.first;
    while (p.last + 2 < count && x[p.last + 1] <= v.high)
        p.last++;
    return p;
}

/* One step in z over one in x, outward. */
static struct interval quotient(double z0, double z1, double x0, double x1)
{
    struct interval rise = interval_subtract(interval_point(z1), interval_point(z0));
    return interval_divide(rise, interval_subtract(interval_point(x1), interval_point(x0)));
}

/* Along one variable of a cell the slope is linear in the other, so its range over cells is that of their edges. */
void gradient_curve_slope_ranges(const struct curve *c, struct interval x, struct interval y, struct interval slope[2])
{
    struct pieces down_to = pieces_of(c->x, c->x_count, x), across = {0, 0, true};
    uint32_t width = c->y_count ? c->y_count : 1;
    if (c->y_count)
        across = pieces_of(c->y, c->y_count, y);
    slope[0] = down_to.level ? interval_point(0) : interval_empty();
    slope[1] = across.level ? interval_point(0) : interval_empty();
    for (uint32_t i = down_to.first; i <= down_to.last + 1 && i < c->x_count; i++)
        for (uint32_t k = across.first; k <= across.last + 1 && k < width; k++) {
            const double *z = c->z + (size_t)i * width + k;
            if (i <= down_to.last && i + 1 < c->x_count)
                slope[0] = interval_hull(slope[0], quotient(z[0], z[width], c->x[i], c->x[i + 1]));
            if (k <= across.last && k + 1 < width)
                slope[1] = interval_hull(slope[1], quotient(z[0], z[1], c->y[k], c->y[k + 1]));
        }
}
