/* The units that derived values are shown in. */
#include "compiler/lower/parts.h"

/* Whether a derived value would be shown in the unit the stated one has by its schema row: a strain rate in 1/s does not
 * follow a piece rate in 1/h. A pure number has no system of units: a ratio does not follow a share in percent. */
static bool fits(const struct quantity *stated, const struct quantity *q)
{
    static const struct unit pure;
    if (dim_same(q->unit.dim, pure.dim))
        return false;
    if (!stated->shown_as_quantity || stated->unit.point != q->unit.point || !dim_same(stated->unit.dim, q->unit.dim))
        return false;
    return unit_of_type_text(stated->entry->type).factor == q->unit.factor;
}

static bool alike(const struct unit *a, const struct unit *b)
{
    return a->point == b->point && a->factor == b->factor && dim_same(a->dim, b->dim);
}

/* The unit in which the recipe states everything of this dimension, if it is one and not the schema's. Looked for once a
 * dimension; a recipe in the usual units has none and costs nothing. */
static const struct quantity *unanimous(struct lowering *l, const struct quantity *like)
{
    for (uint32_t i = 0; i < l->making->unanimous.count; i++)
        if (alike(&l->making->unanimous.at[i].usual, &like->unit))
            return l->making->unanimous.at[i].stated ? &l->quantities.at[l->making->unanimous.at[i].stated] : NULL;
    uint32_t found = 0;
    bool mixed = false;
    for (uint32_t i = 1; i < l->quantities.count; i++) {
        const struct quantity *q = &l->quantities.at[i];
        if (q->sort != QUANTITY_STATED || q->site.file < l->scope->first_file || !fits(q, like))
            continue;
        mixed = mixed || !q->own_unit || (found && !alike(&l->quantities.at[found].unit, &q->unit));
        found = i;
    }
    *ARRAY_PUSH(l->arena, &l->making->unanimous) = (struct unanimous_unit){like->unit, mixed ? 0 : found};
    return found && !mixed ? &l->quantities.at[found] : NULL;
}

static const struct quantity *stated_beside(struct lowering *l, const struct quantity *q)
{
    for (uint32_t d = q->definition; d; d = definition_at(l->scope, d)->base) {
        const struct definition *row = definition_at(l->scope, d);
        for (uint32_t i = 0; i < row->property_count; i++) {
            const struct property *p = property_at(l->scope, row->first_property + i);
            atom name = interned(&l->scope->names, text_of(p->entry->name));
            uint32_t known = lowering_property(l, q->definition, name);
            if (l->quantities.at[known].own_unit && fits(&l->quantities.at[known], q))
                return &l->quantities.at[known];
        }
    }
    return NULL;
}

/* The library's values are shown in the unit the engineer used for the same definition, else for the whole recipe: an inch
 * drawing gets inch tool sizes, a heat-up in degF its temperatures in degF. */
void follow_stated_unit(struct lowering *l, uint32_t id)
{
    const struct quantity *q = &l->quantities.at[id];
    if (!l->making->own_units || !q->shown_as_quantity || q->site.file >= l->scope->first_file)
        return;
    const struct quantity *stated = stated_beside(l, q);
    if (!stated)
        stated = unanimous(l, q);
    if (stated)
        l->quantities.at[id].unit = stated->unit;
}

/* ---- one scale ------------------------------------------------------------------------------------------------------- */

struct scales { /* of temperatures that stand in the recipe's own files */
    bool fahrenheit, celsius;
};

/* Stated as such, not worked out: a formula has the unit of its row. */
static bool is_literal(const struct lowering *l, const struct quantity *q)
{
    const struct tree *t = file_at(l->scope, q->site.file)->tree;
    uint32_t value = node_value(t, q->site.node);
    double number;
    struct unit unit;
    bool has_unit;
    if (value && (node_is_banded(t, value) || node_kind(t, value) == NODE_RANGE || node_kind(t, value) == NODE_FIND))
        value = node_child(t, value);
    return value && (q->sort == QUANTITY_LET || literal_of(t, value, &number, &unit, &has_unit));
}

static struct scales scales_of(const struct lowering *l)
{
    struct scales s = {0};
    for (uint32_t i = 1; i < l->quantities.count; i++) {
        const struct quantity *q = &l->quantities.at[i];
        bool own = q->site.file >= l->scope->first_file && (q->sort == QUANTITY_STATED || q->sort == QUANTITY_LET);
        if (!own || !q->shown_as_quantity || !q->unit.point || !is_literal(l, q))
            continue;
        s.celsius = s.celsius || q->unit.factor == 1;
        s.fahrenheit = s.fahrenheit || text_is(q->unit.spelling, "degF");
    }
    return s;
}

static void follow_scale(struct unit *unit, const struct unit *fahrenheit)
{
    if (text_is(unit->spelling, "degC"))
        *unit = *fahrenheit;
    else if (text_is(unit->spelling, "K"))
        *unit = unit_step(*fahrenheit);
}

/* A recipe whose temperatures are all stated in degF shows every other in degF too, and differences in its steps. */
void show_one_scale(struct lowering *l)
{
    struct scales s = scales_of(l);
    const struct unit fahrenheit = unit_row_of(TEXT("degF"))->unit;
    if (!s.fahrenheit || s.celsius)
        return;
    for (uint32_t i = 1; i < l->quantities.count; i++)
        follow_scale(&l->quantities.at[i].unit, &fahrenheit);
    for (uint32_t i = 0; i < l->limits.count; i++)
        follow_scale(&l->limits.at[i].unit, &fahrenheit);
    for (uint32_t i = 0; i < l->text_parts.count; i++)
        follow_scale(&l->text_parts.at[i].unit, &fahrenheit);
}

/* ---- inputs ---------------------------------------------------------------------------------------------------------- */

/* A band in a definition's function, as of an alloy's conductivity, belongs to no quantity: the one that asked for it is
 * noted instead. */
struct text lowering_input_path(const struct lowering *l, const struct input *in)
{
    if (!in->figure)
        return l->quantities.at[in->quantity].path;
    const struct property *p = property_at(l->scope, in->figure);
    const struct definition *d = definition_at(l->scope, p->definition);
    struct text owner = d->name ? atom_text(&l->scope->names, d->name) : text_of(kind_table[d->kind].name);
    return arena_format(l->arena, "%.*s.%s", TEXT_ARGS(owner), p->entry->name);
}

bool lowering_input_moves_curve(const struct lowering *l, const struct input *in)
{
    const struct property *p = in->figure ? property_at(l->scope, in->figure) : NULL;
    return p && scaled_value(file_at(l->scope, p->site.file)->tree, p->value);
}

struct unit lowering_input_unit(const struct lowering *l, const struct input *in)
{
    struct unit_error error;
    struct unit percent;
    if (!in->figure)
        return l->quantities.at[in->quantity].unit;
    if (lowering_input_moves_curve(l, in) && unit_read(TEXT("%"), &percent, &error) == UNIT_OK)
        return percent; /* how far all of it is off */
    struct signature g = signature_of_rows(property_at(l->scope, in->figure)->entry->type);
    return unit_default(l->arena, g.result.type.dim, g.result.type.point);
}
