/* What the toolroom works from: sizes to make, and radii, clearances and materials. */
#include "compiler/table/parts.h"

#include <math.h>

/* ---- tool sizes ---------------------------------------------------------------------------------------------------------------- */

/* The drawing's size with the band it must be in: its own, or the general tolerance that the library applies. */
struct shown shown_part(struct steps *s, uint32_t feature)
{
    uint32_t size = quantity_for(s, feature, FOR_measured);
    double low = quantity_si(s, quantity_for(s, feature, FOR_lower_limit));
    double high = quantity_si(s, quantity_for(s, feature, FOR_upper_limit));
    if (!size || s->lowering->quantities.at[size].banded || isnan(low) || isnan(high))
        return shown_value(s, size);
    return shown_with_band(s, size, (high - low) / 2);
}

/* The size hot, in as many decimals as the size cold: in a column of sizes a nought is a digit like the others. */
static struct shown hot_size(struct steps *s, uint32_t quantity, uint32_t cold, double half)
{
    struct shown shown = shown_with_band(s, quantity, NAN);
    double si = quantity_si(s, cold);
    if (isnan(shown.value) || isnan(si))
        return shown;
    const struct unit *unit = &s->lowering->quantities.at[quantity].unit;
    double value = unit_from_si(unit, si);
    int own = decimals_for(unit, shown.value, 0),
        wanted = decimals_for(unit, value, isnan(half) ? 0 : half / unit->factor);
    if (wanted <= own)
        return shown;
    struct end end = {shown.value, wanted};
    shown.text = typeset_end(s->lowering->arena, end, unit, s->spelling);
    shown.print = typeset_end(s->lowering->arena, end, unit, (struct spelling){true, s->spelling.language});
    return shown;
}

/* Of a kind whose sizes a tool makes. */
bool has_tool_size(const struct steps *s, uint32_t definition)
{
    const struct scope *scope = s->lowering->scope;
    return name_for(scope, definition_at(scope, definition)->kind, FOR_size_to_make) != 0;
}

static struct text name_of(struct steps *s, uint32_t definition)
{
    const struct scope *scope = s->lowering->scope;
    return definition ? atom_text(&scope->names, definition_at(scope, definition)->name) : TEXT("");
}

static struct text side_words(struct steps *s, uint32_t feature)
{
    const char *side = kind_table[definition_at(s->lowering->scope, feature)->kind].side;
    return said_text(s->spelling.language, "word", side ? text_of(side) : text_for(s, feature, FOR_side));
}

static void name_tool(struct steps *s, uint32_t feature, struct tool_size *row)
{
    uint32_t tool = reference_for(s, feature, FOR_made_by), material = tool ? reference_for(s, tool, FOR_material) : 0;
    row->tool = name_of(s, tool);
    row->tool_title = tool ? capitalised(s->lowering->arena, title_of(s, tool)) : TEXT("");
    row->material = material ? title_of(s, material) : TEXT("");
    row->tool_temperature = tool ? shown_value(s, quantity_for(s, tool, FOR_temperature)) : shown_words(s, TEXT(""));
}

static struct tool_size size_row(struct steps *s, uint32_t feature)
{
    struct tool_size row = {
        .feature = name_of(s, feature), .title = title_of(s, feature), .side = side_words(s, feature)};
    const struct {
        enum purpose purpose;
        struct shown *shown;
    } plain[] = {{FOR_size_finished, &row.finished},
                 {FOR_size_per_kelvin, &row.per_kelvin},
                 {FOR_tool_growth, &row.grows},
                 {FOR_part_shrinkage, &row.shrinks}};
    double half = quantity_si(s, quantity_for(s, feature, FOR_machining_band));
    uint32_t stroke = reference_for(s, feature, FOR_formed_in), cold = quantity_for(s, feature, FOR_size_to_make);
    name_tool(s, feature, &row);
    row.part = shown_part(s, feature);
    row.cold = shown_with_band(s, cold, half);
    row.hot = hot_size(s, quantity_for(s, feature, FOR_size_hot), cold, half);
    row.released = hot_size(s, quantity_for(s, feature, FOR_size_released), cold, half);
    for (size_t i = 0; i < sizeof plain / sizeof plain[0]; i++)
        *plain[i].shown = shown_with_band(s, quantity_for(s, feature, plain[i].purpose), NAN);
    row.release_temperature = shown_value(s, stroke ? quantity_for(s, stroke, FOR_release_temperature) : 0);
    return row;
}

void steps_fill_sizes(struct steps *s, struct step_table *t)
{
    const struct scope *scope = s->lowering->scope;
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++)
        if (has_tool_size(s, id))
            *ARRAY_PUSH(s->lowering->arena, &t->sizes) = size_row(s, id);
}

/* ---- tool facts --------------------------------------------------------------------------------------------------- */

static void add_fact(struct steps *s, struct step_table *t, uint32_t definition, uint32_t quantity)
{
    const struct lowering *l = s->lowering;
    if (!quantity || l->quantities.at[quantity].value.tag == LOW_MISSING)
        return;
    struct setup_row row = {.reader = SETUP_IN_TOOLROOM,
                            .group = capitalised(l->arena, title_of(s, definition)),
                            .label = label_of(s, quantity),
                            .shown = shown_value(s, quantity)};
    if (row.shown.text.len && row.label.len)
        *ARRAY_PUSH(l->arena, &t->tool_facts) = row;
}

/* What is stated, then what follows. */
static void add_facts(struct steps *s, struct step_table *t, uint32_t definition)
{
    const struct lowering *l = s->lowering;
    enum kind kind = definition_at(l->scope, definition)->kind;
    for (uint32_t i = 0; i < property_count; i++)
        if (kind_is(kind, property_table[i].kind) && serves(&property_table[i], FOR_toolroom))
            add_fact(s, t, definition, quantity_of(s, definition, property_table[i].name));
    for (uint32_t id = 1; id < derived_end(l->scope); id++) {
        const struct derived *d = derived_at(l->scope, id);
        if (has_purpose(d->uses, FOR_toolroom) && kind_is(kind, d->kind) && find_derived(l->scope, kind, d->name) == id)
            add_fact(s, t, definition, lowering_derived(l, id, definition));
    }
}

void steps_fill_tool_facts(struct steps *s, struct step_table *t)
{
    const struct scope *scope = s->lowering->scope;
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++)
        add_facts(s, t, id);
}
