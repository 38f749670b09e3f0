#include "compiler/review/budget/budget.h"

#include <math.h>

/* ---- the budget -------------------------------------------------------------------------------------------------- */

static void name_rows(struct strokewright_recipe *r, struct budget *b)
{
    const struct program *p = &r->lowering->program;
    b->rows = ARENA_ARRAY(&r->arena, b->u.parts.count, struct budget_row);
    for (uint32_t i = 0; i < b->u.parts.count; i++) {
        const struct uncertainty_part *part = &b->u.parts.at[i];
        const struct input *in = &p->inputs.at[part->input];
        b->rows[i] = (struct budget_row){.name = input_name(r->lowering, part->input),
                                         .part = part,
                                         .unit = input_unit(r->lowering, part->input),
                                         .half = (in->high - in->low) / 2,
                                         .spread = spread_table[spread_of(p, part->input).shape].name};
    }
    b->bends = arena_array(&r->arena, b->u.bends.count, sizeof *b->bends);
    for (uint32_t i = 0; i < b->u.bends.count; i++) {
        b->bends[i][0] = input_name(r->lowering, b->u.bends.at[i].a);
        b->bends[i][1] = input_name(r->lowering, b->u.bends.at[i].b);
    }
}

static struct text reason(struct strokewright_recipe *r, uint32_t quantity)
{
    const struct quantity *q = &r->lowering->quantities.at[quantity];
    struct text why = quantity_why_not(&r->steps, quantity);
    return why.len || (q->value.tag == LOW_NODE && q->shown_as_quantity) ? why
                                                                         : TEXT("it is no quantity with a number");
}

static struct budget budget_of(struct strokewright_recipe *r, uint32_t quantity, const struct budget_order *order)
{
    const struct quantity *q = &r->lowering->quantities.at[quantity];
    struct budget b = {.name = q->path, .unit = q->unit, .why_not = reason(r, quantity), .seed = order->seed};
    if (b.why_not.len)
        return b;
    const struct program *p = &r->lowering->program;
    b.u = uncertainty_of(&r->arena, p, q->value.id, order->coverage);
    if (isnan(b.u.combined)) {
        b.why_not = TEXT("it has no derivative at the stated values");
        return b;
    }
    name_rows(r, &b);
    b.step = unit_of_difference(b.unit);
    b.fine = finer_unit(b.step, b.u.combined > 0 ? b.u.combined : b.u.second_order);
    if (order->samples) {
        b.sampled = true;
        b.samples = monte_carlo(&r->arena, p, q->value.id, order->samples, order->seed, order->coverage);
        b.first_order = monte_carlo_compare_gum(&b.samples, &b.u, false);
        b.second_order = monte_carlo_compare_gum(&b.samples, &b.u, true);
    }
    return b;
}

struct budgets_asked {
    const uint32_t *quantities;
    uint32_t count;
    const struct budget_order *order;
    struct budget *made;
};

static void make_budgets(struct strokewright_recipe *r, void *argument)
{
    struct budgets_asked *asked = argument;
    asked->made = ARENA_ARRAY(&r->arena, asked->count, struct budget);
    for (uint32_t i = 0; i < asked->count; i++)
        asked->made[i] = budget_of(r, asked->quantities[i], asked->order);
}

struct budget *budgets_of(struct strokewright_recipe *r, const uint32_t *quantities, uint32_t count,
                          const struct budget_order *order)
{
    struct budgets_asked asked = {quantities, count, order, NULL};
    return recipe_within_memory(r, make_budgets, &asked) ? asked.made : NULL;
}
