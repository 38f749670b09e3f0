/* What a limit measured, and against what, in the engineer's words. */
#include "compiler/limits.h"

#include <math.h>

/* Where rounding makes value and bound read the same, by how much the value is beyond. */
struct text hair_words(struct lowering *l, const struct limit_result *r)
{
    double bound = r->value_si < r->low_si ? r->low_si : r->high_si;
    struct unit unit = r->unit;
    struct unit_error error;
    struct text value = typeset_quantity(l->arena, r->value_si, &unit, SPELL_ASCII);
    if (isnan(r->value_si) || isnan(bound) || !text_same(value, typeset_quantity(l->arena, bound, &unit, SPELL_ASCII)))
        return TEXT("");
    if (unit.point)
        unit_read(TEXT("K"), &unit, &error);
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
static struct text quantity_words(struct lowering *l, uint32_t quantity, uint32_t subject)
{
    const struct quantity *q = &l->quantities.at[quantity];
    struct text label = q->entry ? text_of(q->entry->label) : note_text(l, q->site, TOKEN_LABEL);
    struct text words = label.len ? label : name_words(l->arena, atom_text(&l->scope->names, q->name));
    if (!q->definition || q->definition == subject ||
        (!subject && definition_at(l->scope, q->definition)->kind == KIND_recipe))
        return words;
    return arena_format(l->arena, "%.*s of %.*s", TEXT_ARGS(words),
                        TEXT_ARGS(definition_words(l->scope, q->definition)));
}

struct text measured_words(struct lowering *l, const struct limit_result *r)
{
    if (isnan(r->value_si))
        return TEXT("");
    struct text measured = TEXT("it"), against = TEXT("");
    if (r->measured)
        measured = arena_format(l->arena, "the %.*s", TEXT_ARGS(quantity_words(l, r->measured, r->subject)));
    if (r->against)
        against = arena_format(l->arena, " (the %.*s)", TEXT_ARGS(quantity_words(l, r->against, r->subject)));
    return arena_format(l->arena, "%.*s is %.*s, and must be %.*s%.*s", TEXT_ARGS(measured),
                        TEXT_ARGS(typeset_quantity(l->arena, r->value_si, &r->unit, SPELL_ASCII)),
                        TEXT_ARGS(bound_words(l, r, SPELL_ASCII)), TEXT_ARGS(against));
}

struct text worst_words(struct lowering *l, const struct limit_result *r)
{
    struct limit_result at = *r;
    at.value_si = r->worst.value_si;
    at.low_si = r->worst.low_si;
    at.high_si = r->worst.high_si;
    return measured_words(l, &at);
}
