/* To which side a value is rounded: who keeps to what is read keeps to what is meant. */
#include "compiler/table/steps.h"

/* What somebody waits for. */
static const struct {
    enum kind kind;
    const char *name;
} waited_for[] = {
    {KIND_warm_up, "time-to-reach"},
    {KIND_warm_up, "ready-after"},
    {KIND_heat_up, "time-to-reach"},
    {KIND_cooling, "time-to-handle"},
};

static bool is_waited_for(const struct steps *s, const struct quantity *q)
{
    const struct scope *scope = s->lowering->scope;
    for (size_t i = 0; q->definition && i < sizeof waited_for / sizeof waited_for[0]; i++)
        if (definition_at(scope, q->definition)->kind == waited_for[i].kind &&
            text_is(atom_text(&scope->names, q->name), waited_for[i].name))
            return true;
    return false;
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
        s->sides[i] = is_waited_for(s, &l->quantities.at[i]) ? TO_ABOVE : TO_NEAREST;
    find_bounds(s);
}

enum toward side_of(const struct steps *s, uint32_t quantity)
{
    return quantity < s->sided ? s->sides[quantity] : TO_NEAREST;
}
