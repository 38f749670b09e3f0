/* What a limit measured, and against what, in the engineer's words. */
#include "compiler/judge/parts.h"

#include "runtime/base/number.h"
#include "runtime/compare.h"

#include <math.h>

/* ---- numbers that read as they stand ------------------------------------------------------------------------------- */

enum { FURTHER_DECIMALS = 4 }; /* beyond the unit's own, until rounding no longer hides on which side a value is */

/* In the limit's unit, as it is read. */
static double as_read(const struct limit_result *r, double si, enum toward toward, int further)
{
    struct end end = end_for(&r->unit, si, toward, further);
    return round(end.value * power_of_ten(end.decimals)) / power_of_ten(end.decimals);
}

/* Whether value and bound, so shown, stand to each other as they are. */
static bool reads_true(const struct limit_result *r, double bound_si, enum toward side, int further)
{
    double value = as_read(r, r->value_si, TO_NEAREST, further), bound = as_read(r, bound_si, side, further);
    bool beyond = side == TO_ABOVE ? less_value(r->value_si, bound_si) : less_value(bound_si, r->value_si);
    if (beyond) /* not by the rounding of the bound alone */
        return value != bound && value != as_read(r, bound_si, TO_NEAREST, further);
    return side == TO_ABOVE ? value >= bound : value <= bound;
}

/* What is the same but for rounding is on its bound. */
static bool on_bound(const struct limit_result *r)
{
    return (r->bound == BOUND_AT_LEAST && same_value(r->value_si, r->low_si)) ||
           (r->bound == BOUND_AT_MOST && same_value(r->value_si, r->high_si));
}

static int further_decimals(const struct limit_result *r)
{
    bool low = r->bound == BOUND_AT_LEAST || r->bound == BOUND_WITHIN,
         high = r->bound == BOUND_AT_MOST || r->bound == BOUND_WITHIN;
    if (isnan(r->value_si) || on_bound(r))
        return 0;
    for (int further = 0; further <= FURTHER_DECIMALS; further++)
        if ((!low || reads_true(r, r->low_si, TO_ABOVE, further)) &&
            (!high || reads_true(r, r->high_si, TO_BELOW, further)))
            return further;
    return 0;
}

static struct text number_words(const struct lowering *l, const struct limit_result *r, double si, enum toward toward,
                                struct spelling spelling)
{
    struct end end = end_for(&r->unit, si, toward, further_decimals(r));
    return typeset_end(l->arena, end, &r->unit, spelling);
}

struct text limit_value_words(const struct lowering *l, const struct limit_result *r, struct spelling spelling)
{
    if (isnan(r->value_si) || isinf(r->value_si))
        return typeset_quantity(l->arena, r->value_si, &r->unit, spelling);
    enum toward toward = !on_bound(r) ? TO_NEAREST : r->bound == BOUND_AT_LEAST ? TO_ABOVE : TO_BELOW;
    return number_words(l, r, r->value_si, toward, spelling);
}

struct text bound_words(const struct lowering *l, const struct limit_result *r, struct spelling spelling)
{
    struct arena *a = l->arena;
    if (r->bound == BOUND_AT_LEAST && !isnan(r->low_si))
        return typeset_bound(a, spelling.language, SAY("at least {value}"),
                             number_words(l, r, r->low_si, TO_ABOVE, spelling));
    if (r->bound == BOUND_AT_MOST && !isnan(r->high_si))
        return typeset_bound(a, spelling.language, SAY("at most {value}"),
                             number_words(l, r, r->high_si, TO_BELOW, spelling));
    if (r->bound != BOUND_WITHIN || isnan(r->low_si))
        return TEXT("");
    int decimals = decimals_of_band(&r->unit, r->low_si, r->high_si) + further_decimals(r);
    return typeset_bound(a, spelling.language, SAY("within {value}"),
                         typeset_band_to(a, r->low_si, r->high_si, &r->unit, decimals, spelling));
}

/* ---- sentences ----------------------------------------------------------------------------------------------------- */

/* Where rounding makes value and bound read the same, by how much the value is beyond. */
struct text hair_words(const struct lowering *l, const struct limit_result *r)
{
    double bound = r->value_si < r->low_si ? r->low_si : r->high_si;
    struct unit unit = r->unit;
    if (isnan(r->value_si) || isnan(bound) ||
        !text_same(typeset_quantity(l->arena, r->value_si, &unit, SPELL_ASCII),
                   typeset_quantity(l->arena, bound, &unit, SPELL_ASCII)))
        return TEXT("");
    unit = unit_of_difference(unit);
    struct text by = typeset_quantity(l->arena, fabs(r->value_si - bound), &unit, SPELL_ASCII);
    return arena_format(l->arena, ", which it misses by %.*s", TEXT_ARGS(by));
}

/* "bend-ratio" as "bend ratio", "cycle.rate" as "cycle rate". */
static struct text name_words(struct arena *a, struct text name)
{
    char *out = arena_alloc(a, (size_t)name.len + 1);
    for (uint32_t i = 0; i < name.len; i++)
        out[i] = name.at[i] == '-' || name.at[i] == '.' ? ' ' : name.at[i];
    return (struct text){out, name.len};
}

/* "smallest radius"; of another definition than the limit speaks of, "capacity of the press hydraulic". */
static struct text quantity_words(const struct lowering *l, uint32_t quantity, uint32_t subject)
{
    const struct quantity *q = &l->quantities.at[quantity];
    struct text label = q->entry ? text_of(q->entry->label) : note_text(l, q->site, TOKEN_LABEL);
    struct text words = label.len ? label : name_words(l->arena, atom_text(&l->scope->names, q->name));
    if (!q->definition || q->definition == subject || (!subject && q->definition == find_recipe(l->scope)))
        return words;
    return arena_format(l->arena, "%.*s of %.*s", TEXT_ARGS(words),
                        TEXT_ARGS(definition_words(l->scope, q->definition)));
}

struct text measured_words(const struct lowering *l, const struct limit_result *r)
{
    if (isnan(r->value_si))
        return TEXT("");
    struct text measured = TEXT("it"), against = TEXT("");
    if (r->measured)
        measured = arena_format(l->arena, "the %.*s", TEXT_ARGS(quantity_words(l, r->measured, r->subject)));
    if (r->against)
        against = arena_format(l->arena, " (the %.*s)", TEXT_ARGS(quantity_words(l, r->against, r->subject)));
    return arena_format(l->arena, "%.*s is %.*s, and must be %.*s%.*s", TEXT_ARGS(measured),
                        TEXT_ARGS(limit_value_words(l, r, SPELL_ASCII)), TEXT_ARGS(bound_words(l, r, SPELL_ASCII)),
                        TEXT_ARGS(against));
}

struct text why_not_words(const struct lowering *l, const struct limit_result *r)
{
    return reason_words(l->arena, l->scope, r->why_not, SPELL_ASCII);
}

struct text worst_words(const struct lowering *l, const struct limit_result *r)
{
    struct limit_result at = *r;
    at.value_si = r->worst.value_si;
    at.low_si = r->worst.low_si;
    at.high_si = r->worst.high_si;
    return measured_words(l, &at);
}
