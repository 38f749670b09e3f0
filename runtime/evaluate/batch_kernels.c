/* One operation for BATCH samples. The loops have a fixed length and no branches, so that the compiler takes several
 * samples at a time; what they compute is what the nominal evaluator does, operation by operation. */
#include "runtime/evaluate/batch.h"

#include <float.h>
#include <math.h>

#define FOR_SAMPLES for (int i = 0; i < BATCH; i++)

/* A value that is not finite is none, and must not become one again (1 / infinity is 0). */
static inline double settled(double v)
{
    return fabs(v) <= DBL_MAX ? v : NAN;
}

/* ---- arithmetic -------------------------------------------------------------------------------------------------- */

static void run_sum(double *restrict out, const double *restrict a, const double *restrict b)
{
    FOR_SAMPLES
    out[i] = settled(a[i] + b[i]);
}

static void run_difference(double *restrict out, const double *restrict a, const double *restrict b)
{
    FOR_SAMPLES
    out[i] = settled(a[i] - b[i]);
}

static void run_product(double *restrict out, const double *restrict a, const double *restrict b)
{
    FOR_SAMPLES
    out[i] = settled(a[i] * b[i]);
}

static void run_quotient(double *restrict out, const double *restrict a, const double *restrict b)
{
    FOR_SAMPLES
    out[i] = settled(a[i] / b[i]);
}

static void run_negative(double *restrict out, const double *restrict a)
{
    FOR_SAMPLES
    out[i] = -a[i];
}

static void run_power(double *restrict out, const double *restrict a, const double *restrict b, bool level)
{
    if (level && b[0] == 2) {
        FOR_SAMPLES
        out[i] = settled(a[i] * a[i]);
        return;
    }
    FOR_SAMPLES
    out[i] = isunordered(a[i], b[i]) ? NAN : settled(b[i] == 2 ? a[i] * a[i] : pow(a[i], b[i]));
}

/* ---- truths ------------------------------------------------------------------------------------------------------ */

/* same_value() and less_value() of compare.h in arithmetic alone: with finite values both give 1 or 0. */
static inline double larger_size(double a, double b)
{
    return fabs(a) > fabs(b) ? fabs(a) : fabs(b);
}

static inline int is_same(double a, double b)
{
    return (a == b) | (fabs(a - b) < 1e-12 * larger_size(a, b));
}

static inline double truth(int holds, double a, double b)
{
    double t = holds ? 1 : 0;
    return ((a == a) & (b == b)) ? t : NAN;
}

static void run_less(double *restrict out, const double *restrict a, const double *restrict b)
{
    FOR_SAMPLES
    out[i] = truth((a[i] < b[i]) & !is_same(a[i], b[i]), a[i], b[i]);
}

static void run_less_equal(double *restrict out, const double *restrict a, const double *restrict b)
{
    FOR_SAMPLES
    out[i] = truth((a[i] < b[i]) | is_same(a[i], b[i]), a[i], b[i]);
}

static void run_equal(double *restrict out, const double *restrict a, const double *restrict b)
{
    FOR_SAMPLES
    out[i] = truth(is_same(a[i], b[i]), a[i], b[i]);
}

/* Choices are written with the vectors of gcc and clang: a plain `condition ? a : b` of two arrays keeps either compiler
 * from taking several samples at a time, since it may only read what is chosen. */
typedef double doubles __attribute__((vector_size(16), aligned(8), may_alias));
typedef int64_t masks __attribute__((vector_size(16), aligned(8), may_alias));

enum { ABREAST = sizeof(doubles) / sizeof(double) };

#define FOR_VECTORS for (int i = 0; i < BATCH; i += ABREAST)
#define AT(array) (*(const doubles *)&(array)[i])

static inline doubles either(masks first, doubles a, doubles b)
{
    return (doubles)((first & (masks)a) | (~first & (masks)b));
}

/* What the left side decides alone leaves the right side unread; so does NaN. */
static void run_and(double *restrict out, const double *restrict a, const double *restrict b)
{
    FOR_VECTORS
    *(doubles *)&out[i] = either(~((AT(a) < 0) | (AT(a) > 0)), AT(a), AT(b));
}

static void run_or(double *restrict out, const double *restrict a, const double *restrict b)
{
    FOR_VECTORS
    *(doubles *)&out[i] = either(AT(a) != 0, AT(a), AT(b));
}

static void run_select(double *restrict out, const double *restrict a, const double *restrict b,
                       const double *restrict c)
{
    FOR_VECTORS
    *(doubles *)&out[i] = either((AT(a) <= 0) | (AT(a) > 0), either(AT(a) != 0, AT(b), AT(c)), AT(a));
}

static void run_not(double *restrict out, const double *restrict a)
{
    FOR_SAMPLES
    {
        double turned = a[i] == 0 ? 1 : 0;
        out[i] = a[i] == a[i] ? turned : NAN;
    }
}

/* ---- curves and calls -------------------------------------------------------------------------------------------- */

static void run_curve(double *restrict out, const struct curve *c, const double *x, const double *y)
{
    FOR_SAMPLES
    {
        enum eval_fault fault = EVAL_OK;
        double offending,
            v = isnan(x[i]) || (y && isnan(y[i])) ? NAN : curve_at(c, x[i], y ? y[i] : 0, &fault, &offending);
        out[i] = fault == EVAL_OK ? settled(v) : NAN;
    }
}

static void run_copy(double *restrict out, const double *restrict a)
{
    FOR_SAMPLES
    out[i] = a[i];
}

static void run_size(double *restrict out, const double *restrict a)
{
    FOR_SAMPLES
    out[i] = fabs(a[i]);
}

static void run_lower(double *restrict out, const double *restrict a)
{
    FOR_SAMPLES
    {
        double least = a[i] < out[i] ? a[i] : out[i];
        out[i] = a[i] == a[i] ? least : NAN;
    }
}

static void run_higher(double *restrict out, const double *restrict a)
{
    FOR_SAMPLES
    {
        double most = a[i] > out[i] ? a[i] : out[i];
        out[i] = a[i] == a[i] ? most : NAN;
    }
}

/* Of the size of run_lower(): out is NaN from then on, for `NaN < v` and `v < NaN` choose out. */
static void run_extreme(const struct batch_step *s, void (*take)(double *restrict, const double *restrict))
{
    run_copy(s->out, s->in[0]);
    for (uint32_t k = 1; k < s->count; k++)
        take(s->out, s->in[k]);
}

static void run_root(double *restrict out, const double *restrict a)
{
    FOR_SAMPLES
    out[i] = a[i] < 0 ? NAN : sqrt(a[i]);
}

/* In the order of eval_mean(). */
static void add_share(double *restrict out, const double *restrict a, const double *restrict first, double count)
{
    FOR_SAMPLES
    out[i] += (a[i] - first[i]) / count;
}

static void run_mean(const struct batch_step *s)
{
    FOR_SAMPLES
    s->out[i] = 0;
    for (uint32_t k = 1; k < s->count; k++)
        add_share(s->out, s->in[k], s->in[0], s->count);
    double *restrict out = s->out;
    const double *restrict first = s->in[0];
    FOR_SAMPLES
    out[i] = settled(first[i] + out[i]);
}

static void run_any(const struct batch_step *s, double *args)
{
    const struct function *f = &function_table[s->node->a];
    FOR_SAMPLES
    {
        bool good = true;
        for (uint32_t k = 0; k < s->count; k++) {
            args[k] = s->in[k][i];
            good = good && !isnan(args[k]);
        }
        enum eval_fault fault = EVAL_OK;
        double v = good ? f->evaluate(args, s->count, &fault) : NAN;
        s->out[i] = fault == EVAL_OK ? settled(v) : NAN;
    }
}

static void run_call(const struct batch_step *s, double *args)
{
    if (s->count == 0) {
        run_any(s, args);
        return;
    }
    switch ((enum function_id)s->node->a) {
    case FUNCTION_abs:
        run_size(s->out, s->in[0]);
        break;
    case FUNCTION_min:
        run_extreme(s, run_lower);
        break;
    case FUNCTION_max:
        run_extreme(s, run_higher);
        break;
    case FUNCTION_mean:
        run_mean(s);
        break;
    case FUNCTION_sqrt:
        run_root(s->out, s->in[0]);
        break;
    case FUNCTION_radians:
    case FUNCTION_kelvin:
    case FUNCTION_point:
        run_copy(s->out, s->in[0]);
        break;
    default:
        run_any(s, args);
        break;
    }
}

/* ---- the choice -------------------------------------------------------------------------------------------------- */

static void run_truth(const struct batch_step *s)
{
    static void (*const of[])(double *restrict, const double *restrict, const double *restrict) = {
        [OP_LESS] = run_less, [OP_LESS_EQUAL] = run_less_equal, [OP_EQUAL] = run_equal, [OP_AND] = run_and,
        [OP_OR] = run_or,
    };
    of[s->node->op](s->out, s->in[0], s->in[1]);
}

void batch_kernel(const struct program *p, const struct batch_step *s, double *args)
{
    switch (s->node->op) {
    case OP_ADD:
        run_sum(s->out, s->in[0], s->in[1]);
        break;
    case OP_SUBTRACT:
        run_difference(s->out, s->in[0], s->in[1]);
        break;
    case OP_MULTIPLY:
        run_product(s->out, s->in[0], s->in[1]);
        break;
    case OP_DIVIDE:
        run_quotient(s->out, s->in[0], s->in[1]);
        break;
    case OP_POWER:
        run_power(s->out, s->in[0], s->in[1], s->level_exponent);
        break;
    case OP_NEGATE:
        run_negative(s->out, s->in[0]);
        break;
    case OP_NOT:
        run_not(s->out, s->in[0]);
        break;
    case OP_SELECT:
        run_select(s->out, s->in[0], s->in[1], s->in[2]);
        break;
    case OP_CURVE:
        run_curve(s->out, &p->curves.at[s->node->a], s->in[0], s->count > 1 ? s->in[1] : NULL);
        break;
    case OP_CALL:
        run_call(s, args);
        break;
    case OP_NOMINAL:
        run_copy(s->out, s->in[0]);
        break;
    default:
        run_truth(s);
        break;
    }
}
