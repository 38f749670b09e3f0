/* What the inspector holds against the drawing. */
#include "compiler/table/parts.h"

#include <math.h>

/* By definition: the place among the steps, from 1, of the first inspection that names it; 0 where none does. */
static uint32_t *inspections(struct steps *s)
{
    const struct lowering *l = s->lowering;
    struct scope *scope = l->scope;
    uint32_t *by_feature = ARENA_ARRAY(l->arena, definition_end(scope) + 1, uint32_t);
    for (uint32_t i = 0; i < scope->steps.count; i++) {
        const uint32_t *ids = NULL;
        uint32_t step = scope->steps.at[i];
        uint32_t list = quantity_for(s, step, FOR_measuring);
        uint32_t count = list ? lowering_members(l, l->quantities.at[list].value, &ids) : 0;
        for (uint32_t k = 0; k < count; k++)
            if (!by_feature[ids[k]])
                by_feature[ids[k]] = i + 1;
    }
    return by_feature;
}

static struct text plan_of(struct steps *s, uint32_t step)
{
    uint32_t every = step ? quantity_for(s, step, FOR_sampling) : 0;
    if (!every || s->lowering->quantities.at[every].value.tag == LOW_MISSING)
        return steps_said(s, SAY("the first and the last piece"));
    return said_filled(s->lowering->arena, steps_said(s, SAY("the first, the last and one in {count} pieces")),
                       SAID_PARTS({"count", shown_value(s, every).text}));
}

static struct text end_of_band(struct steps *s, uint32_t size, const struct shown *shown, double end,
                               enum toward toward)
{
    const struct unit *unit = &s->lowering->quantities.at[size].unit;
    if (isnan(end))
        return TEXT("");
    double half = (shown->high - shown->low) / 2;
    int decimals = decimals_for(unit, end, half);
    return typeset_end(s->lowering->arena, (struct end){rounded_toward(end, decimals, toward), decimals}, unit,
                       (struct spelling){true, s->spelling.language});
}

/* Nobody reads a nanometre off a gauge. */
static void round_correction(struct steps *s, struct shown *shown)
{
    struct unit unit;
    struct unit_error error;
    if (isnan(shown->value) || unit_read(shown->unit, &unit, &error) != UNIT_OK)
        return;
    double si = unit_to_si(&unit, shown->value);
    int decimals = decimals_for_computed(&unit, shown->value);
    shown->text = typeset_quantity_to(s->lowering->arena, si, &unit, decimals, s->spelling);
    shown->print =
        typeset_quantity_to(s->lowering->arena, si, &unit, decimals, (struct spelling){true, s->spelling.language});
}

static void inspect_band(struct steps *s, uint32_t feature, uint32_t measured, struct inspected *row)
{
    row->part = shown_part(s, feature);
    row->low = end_of_band(s, measured, &row->part, row->part.low, TO_ABOVE);
    row->high = end_of_band(s, measured, &row->part, row->part.high, TO_BELOW);
}

static void inspect_bound(struct steps *s, uint32_t most, struct inspected *row)
{
    struct shown shown = shown_value(s, most);
    row->part = shown_words(s, TEXT(""));
    row->part.high = shown.value;
    row->high = shown.print;
}

/* What a steel gauge shows; of features that nobody works it out for, nothing. */
static void add_gauge(struct steps *s, uint32_t feature, struct inspected *row)
{
    uint32_t reads = quantity_for(s, feature, FOR_gauge_reading);
    row->reads = row->correction = shown_words(s, TEXT(""));
    if (!reads)
        return;
    row->reads = shown_with_band(s, reads, NAN);
    row->correction = shown_with_band(s, quantity_for(s, feature, FOR_gauge_correction), NAN);
    round_correction(s, &row->correction);
}

/* What a drawing has a number for: sizes, pitches, flatness, inside radii. */
static bool inspect_feature(struct steps *s, uint32_t feature, struct inspected *row)
{
    uint32_t measured = quantity_for(s, feature, FOR_measured), most = quantity_for(s, feature, FOR_measured_at_most);
    if (measured)
        inspect_band(s, feature, measured, row);
    else if (most)
        inspect_bound(s, most, row);
    else
        return false;
    add_gauge(s, feature, row);
    return true;
}

static uint32_t room_temperature(struct steps *s)
{
    const struct scope *scope = s->lowering->scope;
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++)
        if (name_for(scope, definition_at(scope, id)->kind, FOR_room_temperature))
            return quantity_for(s, id, FOR_room_temperature);
    return 0;
}

void steps_fill_inspection(struct steps *s, struct step_table *t)
{
    struct scope *scope = s->lowering->scope;
    const uint32_t *by_feature = inspections(s);
    t->shop_temperature = shown_value(s, room_temperature(s));
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++) {
        struct inspected row = {.title = capitalised(s->lowering->arena, title_of(s, id))};
        if (!inspect_feature(s, id, &row))
            continue;
        uint32_t place = by_feature[id], step = place ? scope->steps.at[place - 1] : 0;
        row.step = step ? t->steps.at[place - 1].number : 0;
        row.plan = plan_of(s, step);
        row.reaction = text_for(s, id, FOR_reaction);
        if (!row.reaction.len && step)
            row.reaction = t->steps.at[place - 1].reaction;
        *ARRAY_PUSH(s->lowering->arena, &t->inspection) = row;
    }
}
