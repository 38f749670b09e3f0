#include "runtime/physics/contact.h"

#include "runtime/compare.h"
#include "runtime/physics/root.h"

#include <complex.h>
#include <math.h>

static const double pi = 3.14159265358979323846;

/* ---- the share that is left -------------------------------------------------------------------------------------- */

/* Points of the contour on one side of the real axis; twice as many give 3.89^-24, 1e-14. */
enum { POINTS = 12 };

/* Talbot's contour around the negative axis, where all the transform's singularities lie: a point and its tangent at an
 * angle between 0 and pi. Trefethen, Weideman and Schmelzer, Talbot quadratures and rational approximations, BIT 46
 * (2006) 653, from memory; tests/reference/contact_tables.c holds it against the closed form. */
static double complex contour(double angle, double complex *tangent)
{
    const double n = 2 * POINTS, a = 0.6407;
    double cot = 1 / tan(a * angle);
    *tangent = n * (0.5017 * cot - 0.5017 * a * angle * (1 + cot * cot) + 0.2645 * I);
    return n * (0.5017 * angle * cot - 0.6122 + 0.2645 * angle * I);
}

struct contact_share contact_share(double time, double softness)
{
    struct contact_share sum = {1, -1, 0};
    if (!(time > 0)) {
        sum.by_time = softness > 0 || time == 0 ? -1 : NAN;
        return sum;
    }
    sum = (struct contact_share){0, 0, 0};
    for (int i = 0; i < POINTS; i++) {
        double complex tangent, z = contour((2 * i + 1) * pi / (2 * POINTS), &tangent);
        double complex weight = cexp(z) * tangent / (2 * POINTS * time), p = z / time, r = csqrt(p);
        double complex below = r * r + softness * r + 1, left = (r + softness) / (r * below);
        sum.left += 2 * cimag(weight * left);
        sum.by_time -= 2 * cimag(weight * (1 / below));
        sum.by_softness += 2 * cimag(weight / (r * below * below));
    }
    sum.left = fmin(fmax(sum.left, 0), 1);
    return sum;
}

/* ---- the sheet --------------------------------------------------------------------------------------------------- */

static bool contact_sheet_is_good(const struct contact_sheet *s)
{
    return s->time_constant > 0 && s->softness >= 0;
}

static double contact_failed(enum eval_fault *fault, enum eval_fault why)
{
    *fault = why;
    return NAN;
}

double contact_temperature(const struct contact_sheet *s, double time, enum eval_fault *fault)
{
    if (!contact_sheet_is_good(s) || !(time >= 0))
        return contact_failed(fault, EVAL_BAD_ARGUMENT);
    return s->tools + contact_share(time / s->time_constant, s->softness).left * (s->start - s->tools);
}

struct contact_goal {
    double softness, share;
};

static double above_goal(void *context, double time, double *slope)
{
    const struct contact_goal *g = context;
    struct contact_share s = contact_share(time, g->softness);
    *slope = s.by_time;
    return s.left - g->share;
}

/* Tools that cool are slower than rigid ones, which take the logarithm; from there the time is doubled until it is long
 * enough. */
static double share_time(double softness, double share)
{
    struct contact_goal goal = {softness, share};
    double low = -log(share), high = low, unused;
    if (softness == 0)
        return low;
    while (high < 1e30 && above_goal(&goal, high, &unused) > 0)
        high = 2 * high + 1e-3;
    return high < 1e30 ? root_between(above_goal, &goal, low, high) : NAN;
}

double contact_time(const struct contact_sheet *s, double goal, enum eval_fault *fault)
{
    if (!contact_sheet_is_good(s))
        return contact_failed(fault, EVAL_BAD_ARGUMENT);
    if (same_value(goal, s->start))
        return 0;
    double share = (goal - s->tools) / (s->start - s->tools);
    if (!(share > 0 && share < 1))
        return contact_failed(fault, EVAL_NEVER_REACHED);
    double time = share_time(s->softness, share);
    return isnan(time) ? contact_failed(fault, EVAL_NEVER_REACHED) : time * s->time_constant;
}
