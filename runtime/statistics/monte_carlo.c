#include "runtime/statistics/monte_carlo.h"

#include "runtime/evaluate/batch.h"
#include "runtime/statistics/philox.h"

#include <math.h>

/* ---- drawing ----------------------------------------------------------------------------------------------------- */

struct drawn { /* an input that is needed */
    uint32_t input;
    struct spread spread;
    double standard;
    double *block;
};

struct drawing {
    struct batch batch;
    struct drawn *drawn;
    uint32_t count;
    uint64_t seed;
};

static struct drawing drawing_new(struct arena *arena, const struct program *p, uint32_t node, uint64_t seed)
{
    struct drawing d = {.batch = batch_new(arena, p, &node, 1, NULL),
                        .drawn = ARENA_ARRAY(arena, p->inputs.count, struct drawn),
                        .seed = seed};
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        double *block = batch_input(&d.batch, i);
        struct spread spread = spread_of(p, i);
        if (block)
            d.drawn[d.count++] = (struct drawn){i, spread, spread_standard(&spread, &p->inputs.at[i]), block};
    }
    return d;
}

static void draw_block(struct drawing *d, uint32_t first)
{
    for (uint32_t k = 0; k < d->count; k++) {
        const struct drawn *in = &d->drawn[k];
        const struct input *band = &d->batch.program->inputs.at[in->input];
        for (uint32_t i = 0; i < BATCH; i++) {
            struct philox w =
                philox((struct philox){{first + i, 0, in->input, 0}}, (uint32_t)d->seed, (uint32_t)(d->seed >> 32));
            in->block[i] = spread_draw(&in->spread, band, in->standard, philox_share(w.word[0], w.word[1]),
                                       philox_share(w.word[2], w.word[3]));
        }
    }
    batch_run(&d->batch);
}

/* ---- sorting: by radix, since millions of values are sorted ------------------------------------------------------ */

enum { DIGIT = 11, DIGITS = 6 };

/* The bits of a double in such an order that they compare as the numbers do. */
static uint64_t ordered_bits(double x)
{
    uint64_t bits;
    memcpy(&bits, &x, sizeof bits);
    return bits >> 63 ? ~bits : bits | UINT64_C(1) << 63;
}

static uint32_t digit_of(double x, int digit)
{
    return (uint32_t)(ordered_bits(x) >> (digit * DIGIT)) & ((1U << DIGIT) - 1);
}

static double *sorted(struct arena *arena, double *values, uint32_t count)
{
    double *other = ARENA_ARRAY(arena, count, double);
    for (int digit = 0; digit < DIGITS; digit++) {
        uint32_t start[1 << DIGIT] = {0}, at = 0;
        for (uint32_t i = 0; i < count; i++)
            start[digit_of(values[i], digit)]++;
        for (uint32_t k = 0; k < 1 << DIGIT; k++) {
            uint32_t here = start[k];
            start[k] = at;
            at += here;
        }
        for (uint32_t i = 0; i < count; i++)
            other[start[digit_of(values[i], digit)]++] = values[i];
        double *swap = values;
        values = other;
        other = swap;
    }
    return values;
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
    for (uint32_t first = 0; first < samples; first += BATCH) {
        draw_block(&d, first);
        const double *values = batch_values(&d.batch, node);
        for (uint32_t i = 0; i < BATCH && first + i < samples; i++)
            if (!isnan(values[i]))
                m.values[count++] = values[i];
    }
    m.undefined = samples - count;
    if (count < 2)
        return m;
    m.values = sorted(arena, m.values, count);
    mean_and_deviation(&m, count);
    intervals(&m, count);
    return m;
}

struct gum_comparison compare_with_gum(const struct monte_carlo *m, const struct uncertainty *u, bool second_order)
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
