/* Budgets of the finished sizes: what makes them scatter, and what that leaves of the wanted band. */
#include "compiler/table/parts.h"

#include "compiler/table/amounts.h"
#include "runtime/statistics/uncertainty.h"

#include <math.h>

/* Digits of numbers for programs; and the share of the variance below which an input is left out. */
enum { DIGITS = 6 };
static const double LEAST_SHARE = 1e-6;

static struct shown shown_small(struct steps *s, double si, struct unit fine)
{
    struct arena *a = s->lowering->arena;
    return (struct shown){.value = to_digits(si / fine.factor, DIGITS),
                          .low = NAN,
                          .high = NAN,
                          .unit = text_is(fine.spelling, "1") ? TEXT("") : typeset_unit(a, &fine, SPELL_ASCII),
                          .text = small_amount(a, si, &fine, 2, s->spelling),
                          .print = small_amount(a, si, &fine, 2, (struct spelling){true, s->spelling.language})};
}

static void add_parts(struct steps *s, struct size_budget *row, const struct uncertainty *u, struct unit unit)
{
    const struct lowering *l = s->lowering;
    struct unit fine = finer_unit(unit, u->combined);
    for (uint32_t i = 0; i < u->parts.count; i++) {
        const struct uncertainty_part *p = &u->parts.at[i];
        if (p->share < LEAST_SHARE)
            continue;
        struct unit of = input_unit(l, p->input), per = finer_unit(of, p->standard);
        struct budget_part part = {
            .input = input_name(l, p->input), .words = input_said(s, p->input), .share = to_digits(p->share, DIGITS)};
        part.standard = shown_small(s, p->standard, per);
        part.contribution = shown_small(s, p->contribution, fine);
        part.sensitivity = slope_text(l->arena, p->sensitivity, &fine, &per, s->spelling);
        *ARRAY_PUSH(l->arena, &row->parts) = part;
    }
}

static struct size_budget budget_row(struct steps *s, uint32_t feature, struct cone_marks *marks)
{
    const struct lowering *l = s->lowering;
    enum kind kind = definition_at(l->scope, feature)->kind;
    uint32_t finished = quantity_for(s, feature, FOR_size_finished);
    struct size_budget row = {.feature = atom_text(&l->scope->names, definition_at(l->scope, feature)->name)};
    row.title = title_of(s, feature);
    row.finished = shown_with_band(s, finished, NAN);
    row.uncertainty = shown_words(s, steps_said(s, SAY("not evaluated")));
    row.cp = to_digits(quantity_si(s, quantity_for(s, feature, FOR_cp)), DIGITS);
    row.cpk = to_digits(quantity_si(s, quantity_for(s, feature, FOR_cpk)), DIGITS);
    row.why_not = quantity_why_not(s, lowering_member(l, feature, name_for(l->scope, kind, FOR_spread)));
    if (row.why_not.len)
        return row;
    const struct quantity *q = &l->quantities.at[finished];
    struct uncertainty u = uncertainty_of_cone(l->arena, &l->program, marks, q->value.id, 0.95);
    struct unit unit = unit_of_difference(q->unit);
    row.uncertainty = shown_small(s, u.combined, finer_unit(unit, u.combined));
    add_parts(s, &row, &u, unit);
    return row;
}

void steps_fill_budgets(struct steps *s, struct step_table *t)
{
    const struct lowering *l = s->lowering;
    struct scope *scope = l->scope;
    struct cone_marks marks = cone_marks_new(l->arena, &l->program);
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++) {
        if (has_tool_size(s, id))
            *ARRAY_PUSH(l->arena, &t->budgets) = budget_row(s, id, &marks);
    }
}
