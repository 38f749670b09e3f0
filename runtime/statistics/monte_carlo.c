#include "runtime/statistics/monte_carlo.h"

#include "runtime/cone.h"
#include "runtime/evaluate/evaluate.h"
#include "runtime/statistics/philox.h"

#include <math.h>
#include <stdlib.h>

/* ---- drawing ----------------------------------------------------------------------------------------------------- */

struct drawn {              /* an input that is needed and held */
    uint32_t number, input; /* of the cone, of the whole program */
    struct spread spread;
    double standard;
};

struct drawing {
    struct cone cone; /* of the node that is asked for */
    uint32_t node;
    struct evaluation at;
    double *inputs; /* of the sample at hand, by the cone's inputs */
    bool *varies;   /* by the cone's nodes; the others are evaluated once */
    struct drawn *drawn;
    uint32_t count;
    uint64_t seed;
};

static void find_drawn(struct arena *arena, struct drawing *d, const struct program *whole)
{
    const struct program *p = &d->cone.program;
    uint32_t *held = ARENA_ARRAY(arena, p->inputs.count, uint32_t);
    d->drawn = ARENA_ARRAY(arena, p->inputs.count, struct drawn);
    d->inputs = ARENA_ARRAY(arena, p->inputs.count, double);
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        const struct input *in = &p->inputs.at[i];
        struct spread spread = spread_of(whole, d->cone.input[i]);
        d->inputs[i] = in->nominal;
        if (!in->held)
            continue;
        held[d->count] = i;
        d->drawn[d->count++] = (struct drawn){i, d->cone.input[i], spread, spread_standard(&spread, in)};
    }
    d->varies = program_reading(arena, p, held, d->count);
}

static struct drawing drawing_new(struct arena *arena, const struct program *whole, uint32_t node, uint64_t seed)
{
    struct cone_marks marks = cone_marks_new(arena, whole);
    struct drawing d = {.seed = seed, .node = node};
    d.cone = cone_of(arena, whole, &marks, &d.node, 1);
    find_drawn(arena, &d, whole);
    d.at = evaluation_new(arena, &d.cone.program);
    evaluate_again(&d.at, &d.cone.program, d.inputs, NULL);
    return d;
}

/* The node's value for one sample; NaN where it has none. */
static double draw_sample(struct drawing *d, uint32_t number)
{
    for (uint32_t k = 0; k < d->count; k++) {
        const struct drawn *in = &d->drawn[k];
        struct philox w =
            philox((struct philox){{number, 0, in->input, 0}}, (uint32_t)d->seed, (uint32_t)(d->seed >> 32));
        d->inputs[in->number] = spread_draw(&in->spread, &d->cone.program.inputs.at[in->number], in->standard,
                                            philox_share(w.word[0], w.word[1]), philox_share(w.word[2], w.word[3]));
    }
    evaluate_again(&d->at, &d->cone.program, d->inputs, d->varies);
    return d->at.value[d->node];
}

/* ---- what the samples say ---------------------------------------------------------------------------------------- */

static void mean_and_deviation(struct monte_carlo *m, uint32_t count)
{
    double sum = 0, squares = 0, first = m->values[0];
    for (uint32_t i = 0; i < count; i++)
        sum += m->values[i] - first;
    m->mean = first + sum / count;
    for (uint32_t i = 0; i < count; i++)
        squares += (m->values[i] - m->mean) * (m->values[i] - m->mean);
    m->standard = sqrt(squares / (count - 1.0));
}

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* q values of count stand between the ends; both ends belong to values. */
static void intervals(struct monte_carlo *m, uint32_t count)
{
    const double *y = m->values;
    uint32_t q = (uint32_t)(m->coverage * count + 0.5);
    q = q < 1 ? 1 : q >= count ? count - 1 : q;
    uint32_t r = (count - q + 1) / 2; /* counted from 1, as in 7.7.2 */
    r = r < 1 ? 1 : r;
    m->symmetric[0] = y[r - 1];
    m->symmetric[1] = y[r - 1 + q];
    uint32_t best = 0;
    for (uint32_t i = 1; i + q < count; i++)
        if (y[i + q] - y[i] < y[best + q] - y[best])
            best = i;
    m->shortest[0] = y[best];
    m->shortest[1] = y[best + q];
}

struct monte_carlo monte_carlo(struct arena *arena, const struct program *p, uint32_t node, uint32_t samples,
                               uint64_t seed, double coverage)
{
    struct monte_carlo m = {.samples = samples, .mean = NAN, .standard = NAN, .coverage = coverage};
    struct drawing d = drawing_new(arena, p, node, seed);
    uint32_t count = 0;
    m.symmetric[0] = m.symmetric[1] = m.shortest[0] = m.shortest[1] = NAN;
    m.values = ARENA_ARRAY(arena, samples, double);
    for (uint32_t i = 0; i < samples; i++) {
        double value = draw_sample(&d, i);
        if (!isnan(value))
            m.values[count++] = value;
    }
    m.undefined = samples - count;
    if (count < 2)
        return m;
    qsort(m.values, count, sizeof m.values[0], ascending);
    mean_and_deviation(&m, count);
    intervals(&m, count);
    return m;
}

struct gum_comparison monte_carlo_compare_gum(const struct monte_carlo *m, const struct uncertainty *u,
                                              bool second_order)
{
    double combined = second_order ? u->second_order : u->combined, half = u->factor * combined;
    struct gum_comparison c = {.tolerance = NAN, .low = NAN, .high = NAN};
    if (!(combined > 0) || !isfinite(m->standard) || m->standard <= 0)
        return c;
    /* The standard uncertainty as c 10^l with c of two digits, rounded; 8.1.3 takes that of the samples' result. */
    double l = floor(log10(m->standard)) - 1;
    if (round(m->standard / pow(10, l)) >= 100)
        l++;
    c.tolerance = pow(10, l) / 2;
    c.low = fabs(u->estimate - half - m->symmetric[0]);
    c.high = fabs(u->estimate + half - m->symmetric[1]);
    c.valid = m->undefined == 0 && c.low <= c.tolerance && c.high <= c.tolerance;
    return c;
}
