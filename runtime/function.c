#include "runtime/function.h"

#include "runtime/compare.h"
#include "runtime/physics/air.h"
#include "runtime/physics/contact.h"
#include "runtime/physics/slab.h"

#include <math.h>

/* Every evaluation has the same signature, so that the table is one: arguments in SI, angles in radians, temperature
 * points in kelvin. How many arguments come is the compiler's to check. */
#define EVALUATE(name) static double name(const double *x, uint32_t count, enum eval_fault *fault)
#define UNUSED(a) ((void)(a))

static double failed(enum eval_fault *fault, enum eval_fault why)
{
    *fault = why;
    return NAN;
}

/* ---- numbers ----------------------------------------------------------------------------------------------------- */

EVALUATE(eval_abs)
{
    UNUSED(count);
    UNUSED(fault);
    return fabs(x[0]);
}

EVALUATE(eval_min)
{
    double best = count ? x[0] : failed(fault, EVAL_BAD_ARGUMENT);
    for (uint32_t i = 1; i < count; i++)
        best = fmin(best, x[i]);
    return best;
}

EVALUATE(eval_max)
{
    double best = count ? x[0] : failed(fault, EVAL_BAD_ARGUMENT);
    for (uint32_t i = 1; i < count; i++)
        best = fmax(best, x[i]);
    return best;
}

/* From the first: equal arguments give just that value, and large ones do not overflow on the way. */
EVALUATE(eval_mean)
{
    if (count == 0)
        return failed(fault, EVAL_BAD_ARGUMENT);
    double away = 0;
    for (uint32_t i = 1; i < count; i++)
        away += (x[i] - x[0]) / count;
    return x[0] + away;
}

/* x as so many times the step: 1.1 mm is eleven times 0.1 mm and 0.15 mm one and a half times, though both quotients
 * come out a bit beside that. */
static double multiple_of(double x, double step, enum eval_fault *fault)
{
    if (step <= 0)
        return failed(fault, step == 0 ? EVAL_DIVIDE_BY_ZERO : EVAL_BAD_ARGUMENT);
    return nearest_half(x / step);
}

/* Halves go away from zero, as a shop rounds. */
EVALUATE(eval_round)
{
    UNUSED(count);
    return round(multiple_of(x[0], x[1], fault)) * x[1];
}

EVALUATE(eval_round_up)
{
    UNUSED(count);
    return ceil(multiple_of(x[0], x[1], fault)) * x[1];
}

EVALUATE(eval_inside)
{
    UNUSED(count);
    if (less_value(x[2], x[1]))
        return failed(fault, EVAL_BAD_ARGUMENT);
    if (less_value(x[0], x[1]))
        return failed(fault, EVAL_BELOW_RANGE);
    return less_value(x[2], x[0]) ? failed(fault, EVAL_ABOVE_RANGE) : x[0];
}

/* ---- elementary functions ---------------------------------------------------------------------------------------- */

EVALUATE(eval_sqrt)
{
    UNUSED(count);
    return x[0] < 0 ? failed(fault, EVAL_NEGATIVE_ROOT) : sqrt(x[0]);
}

EVALUATE(eval_exp)
{
    UNUSED(count);
    UNUSED(fault);
    return exp(x[0]); /* too large is infinite, which the evaluator tells */
}

EVALUATE(eval_ln)
{
    UNUSED(count);
    return x[0] > 0 ? log(x[0]) : failed(fault, EVAL_NOT_POSITIVE);
}

EVALUATE(eval_sin)
{
    UNUSED(count);
    UNUSED(fault);
    return sin(x[0]);
}

EVALUATE(eval_cos)
{
    UNUSED(count);
    UNUSED(fault);
    return cos(x[0]);
}

/* No double is a right angle exactly, so the tangent of 90 deg would be a large number that means nothing. */
EVALUATE(eval_tan)
{
    UNUSED(count);
    return fabs(cos(x[0])) < 1e-15 * fmax(1, fabs(x[0])) ? failed(fault, EVAL_OVERFLOW) : tan(x[0]);
}

EVALUATE(eval_atan)
{
    UNUSED(count);
    UNUSED(fault);
    return atan(x[0]);
}

/* In SI an angle is its arc over radius, and a point is its absolute temperature: what changes is the type alone. */
EVALUATE(eval_radians)
{
    UNUSED(count);
    UNUSED(fault);
    return x[0];
}

#define eval_kelvin eval_radians
#define eval_point eval_radians
#define eval_nominal eval_radians     /* lowered to OP_NOMINAL; never called */
#define eval_uncertainty eval_radians /* lowered to OP_UNCERTAINTY; never called */

/* ---- heat -------------------------------------------------------------------------------------------------------- */

static struct slab slab_of(const double *x)
{
    return (struct slab){.conductance = {x[0], x[1]},
                         .surroundings = {x[2], x[3]},
                         .start = x[4],
                         .thickness = x[5],
                         .conductivity = x[6],
                         .capacity = x[7]};
}

EVALUATE(eval_slab_at)
{
    UNUSED(count);
    struct slab s = slab_of(x);
    return slab_temperature(&s, x[8], x[9], fault);
}

EVALUATE(eval_slab_mean)
{
    UNUSED(count);
    struct slab s = slab_of(x);
    return slab_mean(&s, x[8], fault);
}

EVALUATE(eval_slab_time)
{
    UNUSED(count);
    struct slab s = slab_of(x);
    return slab_time(&s, x[8], fault);
}

static struct contact_sheet contact_sheet_of(const double *x)
{
    return (struct contact_sheet){.start = x[0], .tools = x[1], .time_constant = x[2], .softness = x[3]};
}

EVALUATE(eval_contact_after)
{
    UNUSED(count);
    struct contact_sheet s = contact_sheet_of(x);
    return contact_temperature(&s, x[4], fault);
}

EVALUATE(eval_contact_time)
{
    UNUSED(count);
    struct contact_sheet s = contact_sheet_of(x);
    return contact_time(&s, x[4], fault);
}

static struct air_sheet air_sheet_of(const double *x)
{
    return (struct air_sheet){
        .start = x[0], .surroundings = x[1], .capacity = x[2], .convection = x[3], .emissivity = x[4]};
}

EVALUATE(eval_air_after)
{
    UNUSED(count);
    struct air_sheet s = air_sheet_of(x);
    return air_temperature(&s, x[5], fault);
}

EVALUATE(eval_air_time)
{
    UNUSED(count);
    struct air_sheet s = air_sheet_of(x);
    return air_time(&s, x[5], fault);
}

/* ---- the table --------------------------------------------------------------------------------------------------- */

const struct function function_table[FUNCTION_COUNT] = {
#define FUNCTION(id, name, types, evaluate, doc, source) [FUNCTION_##id] = {name, types, evaluate, doc, source},
#include "runtime/functions.def"
#undef FUNCTION
};
