/* Dimensions: arithmetic, words, and the unit that each is shown in. */
#include "compiler/text/unit.h"

#include "runtime/base/buffer.h"
#include "runtime/base/number.h"

#include <math.h>

static const struct quantity_row {
    const char *words, *unit;
    struct dim dim;
} quantities[] = {
#define QUANTITY(words, unit, l, m, t, k, a)                                                                           \
    {words, unit, {{DIM_UNIT * (l), DIM_UNIT * (m), DIM_UNIT * (t), DIM_UNIT * (k), DIM_UNIT * (a)}}},
#include "compiler/text/units.def"
};

bool dim_same(struct dim a, struct dim b)
{
    return memcmp(a.exponent, b.exponent, sizeof a.exponent) == 0;
}

bool dim_none(struct dim d)
{
    return dim_same(d, (struct dim){{0}});
}

/* Saturates: 2700 factors of one length in a product are nobody's quantity, and must not come round to none. */
static struct dim dim_sum(struct dim a, struct dim b, int sign)
{
    for (int i = 0; i < DIM_COUNT; i++) {
        int sum = a.exponent[i] + sign * b.exponent[i];
        a.exponent[i] = (int16_t)(sum > INT16_MAX ? INT16_MAX : sum < -INT16_MAX ? -INT16_MAX : sum);
    }
    return a;
}

struct dim dim_times(struct dim a, struct dim b)
{
    return dim_sum(a, b, 1);
}

struct dim dim_over(struct dim a, struct dim b)
{
    return dim_sum(a, b, -1);
}

bool dim_power(struct dim d, double exponent, struct dim *out)
{
    *out = (struct dim){{0}};
    for (int i = 0; i < DIM_COUNT; i++) {
        double twelfths = d.exponent[i] * exponent, whole = round(twelfths);
        if (!(fabs(twelfths - whole) < 1e-9) || fabs(whole) > INT16_MAX)
            return false;
        out->exponent[i] = (int16_t)whole;
    }
    return true;
}

static void put_base(struct buffer *b, const char *name, int twelfths)
{
    if (b->count && b->at[b->count - 1] != '(' && b->at[b->count - 1] != '/')
        buffer_putc(b, '*');
    buffer_put(b, text_of(name));
    if (twelfths == DIM_UNIT)
        return;
    if (twelfths * 4 % DIM_UNIT == 0)
        buffer_printf(b, "^%.*s", TEXT_ARGS(number_print(b->arena, (double)twelfths / DIM_UNIT)));
    else
        buffer_printf(b, "^%d/%d", twelfths % 4 ? twelfths : twelfths / 4, twelfths % 4 ? DIM_UNIT : DIM_UNIT / 4);
}

/* kg*m^2/(s^2*K) */
static struct text in_base_units(struct arena *arena, struct dim d)
{
    static const struct {
        enum base_dimension dim;
        const char *name;
    } bases[] = {{DIM_MASS, "kg"}, {DIM_LENGTH, "m"}, {DIM_TIME, "s"}, {DIM_TEMPERATURE, "K"}, {DIM_ANGLE, "rad"}};
    struct buffer b;
    int below = 0;
    buffer_init(&b, arena);
    for (int i = 0; i < DIM_COUNT; i++) {
        below += d.exponent[bases[i].dim] < 0;
        if (d.exponent[bases[i].dim] > 0)
            put_base(&b, bases[i].name, d.exponent[bases[i].dim]);
    }
    if (!b.count)
        buffer_putc(&b, '1');
    if (below)
        buffer_put(&b, below > 1 ? TEXT("/(") : TEXT("/"));
    for (int i = 0; i < DIM_COUNT; i++)
        if (d.exponent[bases[i].dim] < 0)
            put_base(&b, bases[i].name, -d.exponent[bases[i].dim]);
    if (below > 1)
        buffer_putc(&b, ')');
    return buffer_text(&b);
}

static const struct quantity_row *quantity_of(struct dim d)
{
    for (size_t i = 0; i < sizeof quantities / sizeof quantities[0]; i++)
        if (dim_same(quantities[i].dim, d))
            return &quantities[i];
    return NULL;
}

struct text dim_words(struct arena *arena, struct dim d, bool point)
{
    if (point)
        return TEXT("a temperature");
    const struct quantity_row *row = quantity_of(d);
    return row ? text_of(row->words) : arena_format(arena, "a quantity in %.*s", TEXT_ARGS(in_base_units(arena, d)));
}

struct unit unit_default(struct arena *arena, struct dim d, bool point)
{
    if (point)
        return unit_row_of(TEXT("degC"))->unit;
    const struct quantity_row *row = quantity_of(d);
    struct unit unit = {.dim = d, .factor = 1};
    struct unit_error error;
    if (!row)
        unit.spelling = in_base_units(arena, d);
    else
        unit_read(text_of(row->unit), &unit, &error);
    return unit;
}
