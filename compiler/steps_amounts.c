#include "compiler/steps_amounts.h"

#include <math.h>

/* Of a difference: beside degC it is in K. */
struct unit unit_of_difference(struct unit unit)
{
    struct unit_error error;
    struct unit kelvin;
    if (text_is(unit.spelling, "degC") && unit_read(TEXT("K"), &kelvin, &error) == UNIT_OK)
        return kelvin;
    return unit_step(unit);
}

/* ---- inputs ------------------------------------------------------------------------------------------------------ */

static const struct node_code *node_of_input(const struct program *p, uint32_t input)
{
    for (uint32_t i = 1; i < p->nodes.count; i++)
        if (p->nodes.at[i].op == OP_INPUT && p->nodes.at[i].a == input)
            return &p->nodes.at[i];
    return NULL;
}

/* The property whose value stands at a site; 0 when it is none. */
static uint32_t property_with(const struct scope *s, struct site value)
{
    for (uint32_t id = 1; id < property_end(s); id++) {
        const struct property *p = property_at(s, id);
        if (p->value == value.node && p->site.file == value.file)
            return id;
    }
    return 0;
}

/* A band in a definition's function, as of an alloy's conductivity, belongs to no quantity: the one that asked for it is
 * noted instead. 0: the input is the quantity's own. */
static uint32_t figure_of(struct lowering *l, uint32_t input)
{
    const struct node_code *n = node_of_input(&l->program, input);
    struct site site = n && n->origin ? l->origins.at[n->origin] : (struct site){0, 0};
    uint32_t id = site.file ? property_with(l->scope, site) : 0;
    return id && property_at(l->scope, id)->entry->form == FORM_FUNCTION ? id : 0;
}

struct text input_name(struct lowering *l, uint32_t input)
{
    uint32_t figure = figure_of(l, input);
    if (!figure)
        return l->quantities.at[l->program.inputs.at[input].quantity].path;
    const struct property *p = property_at(l->scope, figure);
    const struct definition *d = definition_at(l->scope, p->definition);
    struct text owner = d->name ? atom_text(&l->scope->names, d->name) : text_of(kind_table[d->kind].name);
    return arena_format(l->arena, "%.*s.%s", TEXT_ARGS(owner), p->entry->name);
}

struct text input_said(struct steps *s, uint32_t input)
{
    struct lowering *l = s->lowering;
    uint32_t figure = figure_of(l, input);
    return figure ? property_of_said(s, input_name(l, input), figure)
                  : quantity_said(s, &l->quantities.at[l->program.inputs.at[input].quantity]);
}

static struct unit unit_as_stated(struct lowering *l, uint32_t input)
{
    uint32_t figure = figure_of(l, input);
    if (!figure)
        return l->quantities.at[l->program.inputs.at[input].quantity].unit;
    const struct property *p = property_at(l->scope, figure);
    struct unit_error error;
    struct unit percent;
    if (scaled_value(file_at(l->scope, p->site.file)->tree, p->value) &&
        unit_read(TEXT("%"), &percent, &error) == UNIT_OK)
        return percent; /* how far all of it is off */
    struct signature g = signature_of_rows(p->entry->type);
    return unit_default(l->arena, g.result.type.dim, g.result.type.point);
}

struct unit input_unit(struct lowering *l, uint32_t input)
{
    return unit_of_difference(unit_as_stated(l, input));
}

struct text input_band(struct lowering *l, uint32_t input, struct spelling spelling)
{
    const struct input *in = &l->program.inputs.at[input];
    struct unit unit = unit_as_stated(l, input);
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
    if (decimals >= 0 && round(fabs(value) * pow(10, decimals)) >= pow(10, digits))
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
    return with_unit(a, typeset_number(a, value, decimals_of(value, digits)), typeset_unit(a, unit, spelling));
}

static bool is_compound(struct text spelling)
{
    return memchr(spelling.at, '/', spelling.len) || memchr(spelling.at, '*', spelling.len);
}

struct text slope_text(struct arena *a, double slope, const struct unit *of, const struct unit *per,
                       struct spelling spelling)
{
    double value = slope * per->factor / of->factor;
    struct text number = typeset_number(a, value, decimals_of(value, 3));
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
