#include "compiler/table/amounts.h"

#include "compiler/table/parts.h"

#include "runtime/base/number.h"

#include <math.h>

/* ---- inputs ------------------------------------------------------------------------------------------------------ */

struct text input_name(const struct lowering *l, uint32_t input)
{
    return lowering_input_path(l, &l->program.inputs.at[input]);
}

struct text input_said(struct steps *s, uint32_t input)
{
    const struct lowering *l = s->lowering;
    uint32_t figure = l->program.inputs.at[input].figure;
    return figure ? property_of_said(s, input_name(l, input), figure)
                  : quantity_said(s, &l->quantities.at[l->program.inputs.at[input].quantity]);
}

struct unit input_unit(const struct lowering *l, uint32_t input)
{
    return unit_of_difference(lowering_input_unit(l, &l->program.inputs.at[input]));
}

struct text input_band(const struct lowering *l, uint32_t input, struct spelling spelling)
{
    const struct input *in = &l->program.inputs.at[input];
    struct unit unit = lowering_input_unit(l, in);
    return typeset_tolerance(l->arena, in->nominal, in->low, in->high, &unit, spelling);
}

/* ---- units ------------------------------------------------------------------------------------------------------- */

struct unit finer_unit(struct unit unit, double si)
{
    static const char *const finer[][2] = {{"m", "mm"}, {"mm", "um"}, {"um", "nm"}, {"s", "ms"}, {"kg", "g"},
                                           {"g", "mg"}, {"kN", "N"},  {"kW", "W"},  {"kJ", "J"}};
    for (size_t i = 0; i < sizeof finer / sizeof finer[0]; i++) {
        struct unit_error error;
        struct unit next;
        if (text_is(unit.spelling, finer[i][0]) && fabs(si) < 0.1 * unit.factor && si != 0 &&
            unit_read(text_of(finer[i][1]), &next, &error) == UNIT_OK)
            unit = next;
    }
    return unit;
}

static int decimals_of(double value, int digits)
{
    if (!(fabs(value) > 0) || !isfinite(value))
        return 0;
    int magnitude = (int)floor(log10(fabs(value)) + 1e-12), decimals = digits - 1 - magnitude;
    if (decimals >= 0 && round(fabs(value) * power_of_ten(decimals)) >= power_of_ten(digits))
        decimals--; /* 0.0996 rounds to 0.10 */
    return decimals < 0 ? 0 : decimals;
}

static struct text with_unit(struct arena *a, struct text number, struct text unit)
{
    return arena_format(a, "%.*s%s%.*s", TEXT_ARGS(number), unit.len ? " " : "", TEXT_ARGS(unit));
}

struct text small_amount(struct arena *a, double si, const struct unit *unit, int digits, struct spelling spelling)
{
    double value = si / unit->factor;
    return with_unit(a, typeset_figure(a, value, decimals_of(value, digits), spelling),
                     typeset_unit(a, unit, spelling));
}

static bool is_compound(struct text spelling)
{
    return memchr(spelling.at, '/', spelling.len) || memchr(spelling.at, '*', spelling.len);
}

struct text slope_text(struct arena *a, double slope, const struct unit *of, const struct unit *per,
                       struct spelling spelling)
{
    double value = slope * per->factor / of->factor;
    struct text number = typeset_figure(a, value, decimals_of(value, 3), spelling);
    struct text top = typeset_unit(a, of, spelling), bottom = typeset_unit(a, per, spelling);
    if (text_same(top, bottom))
        return number;
    if (!bottom.len || text_is(bottom, "1"))
        return with_unit(a, number, top);
    bool apart = is_compound(top) || is_compound(bottom);
    return arena_format(a, "%.*s %.*s%s%.*s", TEXT_ARGS(number), TEXT_ARGS(top),
                        !apart    ? "/"
                        : top.len ? " per "
                                  : "per ",
                        TEXT_ARGS(bottom));
}

double to_digits(double value, int digits)
{
    if (value == 0 || !isfinite(value))
        return value;
    double scale = pow(10, digits - ceil(log10(fabs(value))));
    return isfinite(scale) && scale > 0 ? round(value * scale) / scale : value;
}
