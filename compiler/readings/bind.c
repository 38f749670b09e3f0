/* What the columns are in a recipe. */
#include "compiler/readings/parts.h"

/* ---- names --------------------------------------------------------------------------------------------------------------- */

/* The feature of that name, which stands for its size as read; 0: there is none. */
static uint32_t feature_named(const struct scope *s, struct text name)
{
    atom a = interned(&s->names, name);
    for (uint32_t id = a ? find_any_definition(s, a) : 0; id; id = definition_at(s, id)->namesake)
        if (name_for(s, definition_at(s, id)->kind, FOR_measured) ||
            name_for(s, definition_at(s, id)->kind, FOR_measured_at_most))
            return id;
    return 0;
}

/* What the gauge should show: where nobody predicts it, the size that the drawing wants. */
static uint32_t reading_of(struct steps *s, uint32_t feature)
{
    static const enum purpose purposes[] = {FOR_gauge_reading, FOR_measured, FOR_measured_at_most};
    uint32_t quantity = 0;
    for (size_t i = 0; i < sizeof purposes / sizeof purposes[0] && !quantity; i++)
        quantity = quantity_for(s, feature, purposes[i]);
    return quantity;
}

static struct text nearest_name(struct strokewright_recipe *r, struct text name)
{
    const struct scope *s = &r->scope;
    uint32_t most = r->lowering->quantities.count + definition_end(s), count = 0;
    struct text *names = ARENA_ARRAY(&r->arena, most, struct text);
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (definition_at(s, id)->name)
            names[count++] = atom_text(&s->names, definition_at(s, id)->name);
    for (uint32_t i = 1; i < r->lowering->quantities.count; i++)
        names[count++] = r->lowering->quantities.at[i].path;
    return nearest(name, names, count);
}

enum { UNKNOWN_LOOKED_AT = 200 }; /* columns; what they may be meant for is not worth the time beyond */

/* Without a unit it may be anybody's column; with one it is meant to be read. */
static void say_unknown(struct readings *r, struct strokewright_recipe *recipe, struct readings_column *c)
{
    struct text near = r->unknown++ < UNKNOWN_LOOKED_AT ? nearest_name(recipe, c->name) : TEXT("");
    if (!c->has_unit && !near.len)
        return;
    struct diagnostic *d = report(&r->diagnostics, FAULT_readings_name, c->span,
                                  "the recipe has no value and no feature '%.*s'", TEXT_ARGS(c->name));
    if (near.len)
        report_help(&r->diagnostics, d, "did you mean '%.*s'? 'strokewright value FILE' lists the values",
                    TEXT_ARGS(near));
    else
        report_help(&r->diagnostics, d,
                    "'strokewright value FILE' lists the values; a column without a unit is kept and not read");
}

/* ---- units --------------------------------------------------------------------------------------------------------------- */

static bool say_no_number(struct readings *r, const struct readings_column *c)
{
    report(&r->diagnostics, FAULT_readings_name, c->span, "'%.*s' has no number that could be read",
           TEXT_ARGS(c->name));
    return false;
}

static bool say_no_unit(struct readings *r, const struct readings_column *c, const struct unit *wanted)
{
    struct text unit = typeset_unit(r->arena, wanted, SPELL_ASCII);
    struct diagnostic *d = report(&r->diagnostics, FAULT_readings_unit, c->span,
                                  "the header does not say in which unit '%.*s' was read", TEXT_ARGS(c->name));
    report_help(&r->diagnostics, d, "write '%.*s [%.*s]', or the unit that it was read in", TEXT_ARGS(c->name),
                TEXT_ARGS(unit));
    return false;
}

static bool say_other_unit(struct readings *r, const struct readings_column *c, const struct unit *wanted)
{
    struct text unit = typeset_unit(r->arena, wanted, SPELL_ASCII);
    struct diagnostic *d = report(&r->diagnostics, FAULT_readings_unit, c->span, "'%.*s' is %.*s, and %.*s is %.*s",
                                  TEXT_ARGS(c->unit_text), TEXT_ARGS(dim_words(r->arena, c->unit.dim, c->unit.point)),
                                  TEXT_ARGS(c->name), TEXT_ARGS(dim_words(r->arena, wanted->dim, wanted->point)));
    report_help(&r->diagnostics, d, "write '%.*s [%.*s]'", TEXT_ARGS(c->name), TEXT_ARGS(unit));
    return false;
}

static bool check_unit(struct readings *r, struct readings_column *c, const struct unit *wanted)
{
    if (!c->has_unit && !c->unit_text.len && dim_none(wanted->dim)) {
        struct unit_error error;
        c->has_unit = unit_read(TEXT("1"), &c->unit, &error) == UNIT_OK;
    }
    if (!c->has_unit)
        return say_no_unit(r, c, wanted);
    if (!dim_same(c->unit.dim, wanted->dim) || (c->unit.point && !wanted->point))
        return say_other_unit(r, c, wanted);
    return true;
}

/* ---- columns ------------------------------------------------------------------------------------------------------------- */

static bool bind_time(struct readings *r, struct readings_column *c)
{
    struct unit second;
    struct unit_error error;
    c->use = READINGS_TIME;
    return !c->has_unit || (unit_read(TEXT("s"), &second, &error) == UNIT_OK && check_unit(r, c, &second));
}

static bool bind_value(struct readings *r, struct strokewright_recipe *recipe, struct readings_column *c)
{
    const struct lowering *l = recipe->lowering;
    c->feature = feature_named(&recipe->scope, c->name);
    c->quantity = c->feature ? reading_of(&recipe->steps, c->feature) : lowering_named(l, c->name);
    if (!c->quantity) {
        say_unknown(r, recipe, c);
        return true;
    }
    const struct quantity *q = &l->quantities.at[c->quantity];
    c->use = READINGS_VALUE;
    if (q->value.tag != LOW_NODE && q->value.tag != LOW_MISSING)
        return say_no_number(r, c);
    return check_unit(r, c, &q->unit);
}

static void check_twice(struct readings *r, struct map *seen, uint32_t i)
{
    const struct readings_column *c = &r->columns.at[i];
    uint64_t key = map_key(c->use, c->quantity);
    uint32_t first = c->use == READINGS_KEPT ? 0 : map_get(seen, key);
    map_set(seen, key, i + 1);
    if (!first)
        return;
    struct diagnostic *d = report(&r->diagnostics, FAULT_readings_column_twice, c->span, "'%.*s' stands in two columns",
                                  TEXT_ARGS(c->name));
    report_label(&r->diagnostics, d, r->columns.at[first - 1].span, "here too");
    report_help(&r->diagnostics, d,
                "a second reading of a piece is a row of its own; of two different things each has its name");
}

static void bind_column(struct readings *r, struct strokewright_recipe *recipe, struct map *seen, uint32_t i)
{
    struct readings_column *c = &r->columns.at[i];
    bool good = true;
    if (text_is(c->name, "piece"))
        c->use = READINGS_PIECE;
    else if (text_is(c->name, "time"))
        good = bind_time(r, c);
    else
        good = bind_value(r, recipe, c);
    if (good)
        check_twice(r, seen, i);
}

bool readings_bind(struct readings *r, struct strokewright_recipe *recipe)
{
    struct map seen;
    map_init(&seen, r->arena);
    for (uint32_t i = 0; i < r->columns.count; i++)
        bind_column(r, recipe, &seen, i);
    return r->diagnostics.errors == 0 && readings_find_sign(r);
}
