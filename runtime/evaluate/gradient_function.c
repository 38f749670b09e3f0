/* Derivatives at a point, of curves and of the built-in functions that are not heat. */
#include "runtime/evaluate/gradient.h"

#define PARTIALS(name) static void name(const double *x, uint32_t count, double value, double *slope)
#define UNUSED(a) ((void)(a))

PARTIALS(partials_abs)
{
    UNUSED(count);
    UNUSED(value);
    slope[0] = (x[0] > 0) - (x[0] < 0);
}

/* Of equals, the first. */
PARTIALS(partials_extreme)
{
    for (uint32_t k = 0; k < count; k++)
        if (x[k] == value) {
            slope[k] = 1;
            return;
        }
}

PARTIALS(partials_mean)
{
    UNUSED(x);
    UNUSED(value);
    for (uint32_t k = 0; k < count; k++)
        slope[k] = 1.0 / count;
}

PARTIALS(partials_sqrt)
{
    UNUSED(x);
    UNUSED(count);
    slope[0] = 0.5 / value;
}

PARTIALS(partials_exp)
{
    UNUSED(x);
    UNUSED(count);
    slope[0] = value;
}

PARTIALS(partials_ln)
{
    UNUSED(count);
    UNUSED(value);
    slope[0] = 1 / x[0];
}

PARTIALS(partials_sin)
{
    UNUSED(count);
    UNUSED(value);
    slope[0] = cos(x[0]);
}

PARTIALS(partials_cos)
{
    UNUSED(count);
    UNUSED(value);
    slope[0] = -sin(x[0]);
}

PARTIALS(partials_tan)
{
    UNUSED(x);
    UNUSED(count);
    slope[0] = 1 + value * value;
}

PARTIALS(partials_atan)
{
    UNUSED(count);
    UNUSED(value);
    slope[0] = 1 / (1 + x[0] * x[0]);
}

PARTIALS(partials_same)
{
    UNUSED(x);
    UNUSED(count);
    UNUSED(value);
    slope[0] = 1;
}

/* Level but for the steps; the multiple itself moves with its unit. */
PARTIALS(partials_round)
{
    UNUSED(count);
    slope[1] = value / x[1];
}

partials *const partials_table[FUNCTION_COUNT] = {
    [FUNCTION_abs] = partials_abs,
    [FUNCTION_min] = partials_extreme,
    [FUNCTION_max] = partials_extreme,
    [FUNCTION_mean] = partials_mean,
    [FUNCTION_sqrt] = partials_sqrt,
    [FUNCTION_exp] = partials_exp,
    [FUNCTION_ln] = partials_ln,
    [FUNCTION_sin] = partials_sin,
    [FUNCTION_cos] = partials_cos,
    [FUNCTION_tan] = partials_tan,
    [FUNCTION_atan] = partials_atan,
    [FUNCTION_radians] = partials_same,
    [FUNCTION_kelvin] = partials_same,
    [FUNCTION_point] = partials_same,
    [FUNCTION_nominal] = partials_same,
    [FUNCTION_uncertainty] = partials_same,
    [FUNCTION_round] = partials_round,
    [FUNCTION_ceil] = partials_round,
    [FUNCTION_inside] = partials_same,
    [FUNCTION_slab_at] = partials_slab_at,
    [FUNCTION_slab_mean] = partials_slab_mean,
    [FUNCTION_slab_time] = partials_slab_time,
    [FUNCTION_contact_after] = partials_contact_after,
    [FUNCTION_contact_time] = partials_contact_time,
    [FUNCTION_air_after] = partials_air_after,
    [FUNCTION_air_time] = partials_air_time,
};

/* ---- curves ------------------------------------------------------------------------------------------------------ */

/* The piece at or above v: the last stated argument at or below it that has another above. count > 1. */
static uint32_t piece_of(const double *x, uint32_t count, double v)
{
    return curve_last_at_or_below(x, count - 1, v);
}

static double share_of(const double *x, uint32_t piece, double v)
{
    return fmin(fmax((v - x[piece]) / (x[piece + 1] - x[piece]), 0), 1);
}

static double mix(double a, double b, double share)
{
    return a + share * (b - a);
}

static void line_slope(const struct curve *c, double x, double *slope)
{
    if (c->x_count < 2)
        return;
    uint32_t i = piece_of(c->x, c->x_count, x);
    *slope = (c->z[i + 1] - c->z[i]) / (c->x[i + 1] - c->x[i]);
}

void gradient_curve_slopes(const struct curve *c, double x, double y, double slope[2])
{
    slope[0] = slope[1] = 0;
    if (c->y_count == 0) {
        line_slope(c, x, slope);
        return;
    }
    uint32_t w = c->y_count, i = c->x_count > 1 ? piece_of(c->x, c->x_count, x) : 0;
    uint32_t k = w > 1 ? piece_of(c->y, w, y) : 0, down = c->x_count > 1, right = w > 1;
    const double *upper = c->z + (size_t)i * w + k, *lower = upper + (size_t)down * w;
    double along_x = down ? share_of(c->x, i, x) : 0, along_y = right ? share_of(c->y, k, y) : 0;
    if (down)
        slope[0] = mix(lower[0] - upper[0], lower[right] - upper[right], along_y) / (c->x[i + 1] - c->x[i]);
    if (right)
        slope[1] = mix(upper[1] - upper[0], lower[1] - lower[0], along_x) / (c->y[k + 1] - c->y[k]);
}
