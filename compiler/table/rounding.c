/* To which side a value is rounded: who keeps to what is read keeps to what is meant. */
#include "compiler/table/parts.h"

static bool is_waited_for(const struct scope *scope, const struct quantity *q)
{
    if (q->entry)
        return serves(q->entry, FOR_waiting);
    uint32_t let = find_let(scope, q->name);
    uint32_t derived = q->definition ? find_derived(scope, definition_at(scope, q->definition)->kind, q->name) : 0;
    return derived ? has_purpose(derived_at(scope, derived)->uses, FOR_waiting)
                   : !q->definition && let && has_purpose(let_at(scope, let)->uses, FOR_waiting);
}

/* A limit holds a value against another: that one is a bound. */
static void find_bounds(struct steps *s)
{
    for (uint32_t i = 0; i < s->limits->results.count; i++) {
        const struct limit_result *r = &s->limits->results.at[i];
        if (r->against && r->verdict != VERDICT_NOT_APPLICABLE && r->against < s->sided)
            s->sides[r->against] = r->bound == BOUND_AT_LEAST ? TO_ABOVE : TO_BELOW;
    }
}

void steps_find_sides(struct steps *s)
{
    const struct lowering *l = s->lowering;
    s->sided = l->quantities.count;
    s->sides = ARENA_ARRAY(l->arena, s->sided + 1, enum toward);
    for (uint32_t i = 1; i < s->sided; i++)
        s->sides[i] = is_waited_for(l->scope, &l->quantities.at[i]) ? TO_ABOVE : TO_NEAREST;
    find_bounds(s);
}

enum toward side_of(const struct steps *s, uint32_t quantity)
{
    return quantity < s->sided ? s->sides[quantity] : TO_NEAREST;
}
