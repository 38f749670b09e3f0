/* Derivatives at a point, of conduction and of the sheet in air.
 *
 * What has a formula uses it: both are linear or separable in most of their arguments. The rest, a Biot number in the
 * series, is differentiated by a five-point rule on the function itself, which is smooth and good to about 1e-15: with a step of 1/500 of the scale on which it bends, the rule's own error and what
 * rounding leaves are both near 1e-12 of the function's range. */
#include "runtime/evaluate/gradient.h"

#include "runtime/physics/air.h"
#include "runtime/physics/contact.h"
#include "runtime/physics/slab.h"

static const double step_share = 2e-3;

typedef double smooth(void *context, double x);

/* Around x where there is room, else to the side that has it. */
static double derivative_of(smooth *f, void *context, double x, double step, double low, double high)
{
    if (x - 2 * step >= low && x + 2 * step <= high) {
        double near = f(context, x + step) - f(context, x - step);
        double far = f(context, x + 2 * step) - f(context, x - 2 * step);
        return (8 * near - far) / (12 * step);
    }
    double s = x + 4 * step <= high ? step : -step, at = f(context, x);
    double one = f(context, x + s) - at, two = f(context, x + 2 * s) - at;
    double three = f(context, x + 3 * s) - at, four = f(context, x + 4 * s) - at;
    return (48 * one - 36 * two + 16 * three - 3 * four) / (12 * s);
}

/* ---- conduction -------------------------------------------------------------------------------------------------- */

/* The sheet in numbers without dimension, as its rise above the start. */
struct reduced {
    double biot[2], pull[2], fourier;
    double depth; /* NaN: the mean */
    int face;     /* whose Biot number is varied */
};

/* The derivatives of the rise to the reduced numbers. */
struct reduced_slopes {
    double biot[2], weight[2], fourier, depth;
};

static double rise(const struct reduced *r, double first_pull, double second_pull)
{
    struct slab s = {{r->biot[0], r->biot[1]}, {first_pull, second_pull}, 0, 1, 1, 1};
    enum eval_fault fault = EVAL_OK;
    return isnan(r->depth) ? slab_mean(&s, r->fourier, &fault) : slab_temperature(&s, r->fourier, r->depth, &fault);
}

static double rise_at_biot(void *context, double biot)
{
    struct reduced r = *(const struct reduced *)context;
    r.biot[r.face] = biot;
    return rise(&r, r.pull[0], r.pull[1]);
}

static double rise_at_fourier(void *context, double fourier)
{
    struct reduced r = *(const struct reduced *)context;
    r.fourier = fourier;
    return rise(&r, r.pull[0], r.pull[1]);
}

static double rise_at_depth(void *context, double depth)
{
    struct reduced r = *(const struct reduced *)context;
    r.depth = depth;
    return rise(&r, r.pull[0], r.pull[1]);
}

/* At the very start the mean takes up what the faces let in; inside nothing has arrived yet, and at a face the
 * temperature leaves with infinite speed. */
static double fourier_slope(struct reduced *r)
{
    if (r->fourier > 0)
        return derivative_of(rise_at_fourier, r, r->fourier, step_share * r->fourier, 0, INFINITY);
    if (isnan(r->depth))
        return r->biot[0] * r->pull[0] + r->biot[1] * r->pull[1];
    return r->depth > 0 && r->depth < 1 ? 0 : NAN;
}

static struct reduced_slopes slopes_of(struct reduced *r)
{
    struct reduced_slopes d = {.weight = {rise(r, 1, 0), rise(r, 0, 1)}, .fourier = fourier_slope(r)};
    /* An insulated face bends the rise where its Biot number reaches 1, or where so much heat has passed by then. */
    double scale = 1 / (1 + r->fourier);
    for (r->face = 0; r->face < 2; r->face++) {
        double b = r->biot[r->face];
        d.biot[r->face] = derivative_of(rise_at_biot, r, b, step_share * (b > 0 ? b : scale), 0, INFINITY);
    }
    /* Along the depth it bends within how far heat has come. */
    if (!isnan(r->depth) && r->fourier > 0)
        d.depth = derivative_of(rise_at_depth, r, r->depth, step_share * fmin(1, sqrt(r->fourier)), 0, 1);
    return d;
}

/* With B = h d / k and F = k t / (c d^2), by the chain rule. slope[8] is that of the time. */
static void slab_partials(const double *x, struct reduced *r, double *slope)
{
    double d = x[5], k = x[6], c = x[7];
    struct reduced_slopes s = slopes_of(r);
    double with_biots = s.biot[0] * r->biot[0] + s.biot[1] * r->biot[1], with_time = s.fourier * r->fourier;
    for (int i = 0; i < 2; i++) {
        slope[i] = s.biot[i] * d / k;
        slope[2 + i] = s.weight[i];
    }
    slope[4] = 1 - s.weight[0] - s.weight[1];
    slope[5] = (with_biots - 2 * with_time) / d;
    slope[6] = (with_time - with_biots) / k;
    slope[7] = -with_time / c;
    slope[8] = s.fourier * k / (c * d * d);
    if (!isnan(r->depth))
        slope[9] = s.depth;
}

static struct reduced reduced_of(const double *x, double time, double depth)
{
    return (struct reduced){.biot = {x[0] * x[5] / x[6], x[1] * x[5] / x[6]},
                            .pull = {x[2] - x[4], x[3] - x[4]},
                            .fourier = time * x[6] / (x[7] * x[5] * x[5]),
                            .depth = depth};
}

void partials_slab_at(const double *x, uint32_t count, double value, double *slope)
{
    (void)count;
    (void)value;
    struct reduced r = reduced_of(x, x[8], x[9]);
    slab_partials(x, &r, slope);
}

void partials_slab_mean(const double *x, uint32_t count, double value, double *slope)
{
    (void)count;
    (void)value;
    struct reduced r = reduced_of(x, x[8], NAN);
    slab_partials(x, &r, slope);
}

/* The mean at that time stays at the goal, whatever is varied: dt/da = -(dT/da) / (dT/dt). */
void partials_slab_time(const double *x, uint32_t count, double value, double *slope)
{
    struct reduced r = reduced_of(x, value, NAN);
    slab_partials(x, &r, slope);
    double rate = slope[8];
    for (uint32_t i = 0; i + 1 < count; i++)
        slope[i] = -slope[i] / rate;
    slope[8] = 1 / rate;
}

/* ---- the sheet between thick tools ------------------------------------------------------------------------------- */

void partials_contact_after(const double *x, uint32_t count, double value, double *slope)
{
    (void)count;
    (void)value;
    struct contact_share share = contact_share(x[4] / x[2], x[3]);
    double way = x[0] - x[1];
    slope[0] = share.left;
    slope[1] = 1 - share.left;
    slope[2] = -way * share.by_time * x[4] / (x[2] * x[2]);
    slope[3] = way * share.by_softness;
    slope[4] = way * share.by_time / x[2];
}

/* The temperature at that time stays at the goal, whatever is varied. */
void partials_contact_time(const double *x, uint32_t count, double value, double *slope)
{
    double at[] = {x[0], x[1], x[2], x[3], value};
    partials_contact_after(at, count, x[4], slope);
    double rate = slope[4];
    for (uint32_t i = 0; i + 1 < count; i++)
        slope[i] = -slope[i] / rate;
    slope[4] = 1 / rate;
}

/* ---- the sheet in air -------------------------------------------------------------------------------------------- */

static double fourth_power(double t)
{
    return t * t * t * t;
}

/* Heat lost at a temperature. */
static double loss_at(const double *x, double t)
{
    return x[3] * (t - x[1]) + x[4] * STEFAN_BOLTZMANN * (fourth_power(t) - fourth_power(x[1]));
}

static void put_slopes(struct air_slopes from, double *slope)
{
    slope[1] = from.surroundings;
    slope[3] = from.convection;
    slope[4] = from.emissivity;
}

/* On the way q(T) dt = -C dT, so a later start or end shifts by C/q. Without a difference of temperature nothing moves,
 * and what is left of a small one is exp(-t/tau). */
void partials_air_after(const double *x, uint32_t count, double value, double *slope)
{
    (void)count;
    const struct air_sheet s = {x[0], x[1], x[2], x[3], x[4]};
    double at_start = loss_at(x, x[0]), at_end = loss_at(x, value);
    double tau = x[2] / (x[3] + x[4] * 4 * STEFAN_BOLTZMANN * x[1] * x[1] * x[1]);
    put_slopes(air_temperature_slopes(&s, x[5]), slope);
    slope[0] = at_start != 0 ? at_end / at_start : x[0] == x[1] ? exp(-x[5] / tau) : 1;
    slope[2] = at_end * x[5] / (x[2] * x[2]);
    slope[5] = -at_end / x[2];
}

void partials_air_time(const double *x, uint32_t count, double value, double *slope)
{
    (void)count;
    const struct air_sheet s = {x[0], x[1], x[2], x[3], x[4]};
    if (value > 0)
        put_slopes(air_time_slopes(&s, x[5]), slope);
    slope[0] = x[2] / loss_at(x, x[0]);
    slope[2] = value / x[2];
    slope[5] = -x[2] / loss_at(x, x[5]);
}
