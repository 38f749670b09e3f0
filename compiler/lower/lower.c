#include "compiler/lower/parts.h"

#include "runtime/statistics/uncertainty.h"

#include <math.h>

/* ---- making ------------------------------------------------------------------------------------------------------------ */

static struct lowering *lowering_new(struct scope *scope, struct arena *arena)
{
    struct lowering *l = ARENA_NEW(arena, struct lowering);
    struct making *m = ARENA_NEW(arena, struct making);
    *l = (struct lowering){.scope = scope, .arena = arena, .making = m};
    program_init(&l->program, arena);
    map_init(&m->known, arena);
    map_init(&l->curves, arena);
    map_init(&m->texts, arena);
    map_init(&m->constants, arena);
    map_init(&m->calls, arena);
    map_init(&m->bounded, arena);
    ARRAY_PUSH(arena, &l->quantities);
    map_init(&m->constant_records, arena);
    ARRAY_PUSH(arena, &l->origins);
    ARRAY_PUSH(arena, &l->records);
    return l;
}

/* Whether titles and texts will be shown; verdicts alone need none. */
static bool shows_words(const struct demand *d)
{
    return d->papers || d->values || d->derivation || d->name_count;
}

const struct lowering *lowering_of(struct scope *scope, const struct demand *demand, struct arena *arena)
{
    struct lowering *l = lowering_new(scope, arena);
    l->making->recording = demand->derivation;
    lower_all(l);
    lower_rules(l);
    lower_asked(l, demand);
    if (shows_words(demand)) {
        lower_texts(l);
        lower_stated_of_met(l);
    }
    lower_bounds(l);
    show_one_scale(l);
    program_renew_uncertainties(&l->program);
    return l;
}

const struct lowering *lowering_settled(const struct lowering *l, const double *values)
{
    struct lowering *settled = ARENA_NEW(l->arena, struct lowering);
    uint32_t *inputs = ARENA_ARRAY(l->arena, l->unknowns.count, uint32_t);
    for (uint32_t i = 0; i < l->unknowns.count; i++)
        inputs[i] = l->unknowns.at[i].input;
    *settled = *l;
    settled->program = program_settled(l->arena, &l->program, inputs, values, l->unknowns.count);
    return settled;
}

/* ---- what an expression comes to --------------------------------------------------------------------------------------- */

struct low low_missing(struct lowering *l, struct reason why)
{
    return (struct low){.tag = LOW_MISSING, .why = reason_new(l->arena, why)};
}

struct low low_both_missing(struct arena *arena, struct low a, struct low b)
{
    if (a.tag != LOW_MISSING || b.tag != LOW_MISSING)
        return a.tag == LOW_MISSING ? a : b;
    a.why = reasons_joined(arena, a.why, b.why);
    return a;
}

struct low low_faulty(void)
{
    static const struct reason fault = {.kind = REASON_fault, .reported = true};
    return (struct low){.tag = LOW_MISSING, .why = &fault};
}

struct low low_truth(bool truth)
{
    return (struct low){.tag = LOW_TRUTH, .truth = truth};
}

struct low low_node(uint32_t node)
{
    return (struct low){.tag = LOW_NODE, .id = node};
}

struct low quantity_low(struct lowering *l, uint32_t q)
{
    struct low low = l->quantities.at[q].value;
    low.quantity = q;
    return low;
}

struct low as_node(struct lowering *l, struct low low)
{
    return low.tag == LOW_TRUTH ? low_node(emit_constant(l, low.truth, 0)) : low;
}

struct frame frame_at(struct lowering *l, struct site site)
{
    return (struct frame){.lowering = l, .file = file_at(l->scope, site.file), .file_number = site.file};
}

/* ---- nodes ------------------------------------------------------------------------------------------------------------- */

uint32_t origin_of(struct lowering *l, uint32_t file, uint32_t node)
{
    *ARRAY_PUSH(l->arena, &l->origins) = (struct site){file, node};
    return l->origins.count - 1;
}

/* Notes the quantity being made, so that a fault in a node is reported in its name. */
static uint32_t note(struct lowering *l, uint32_t node)
{
    while (l->node_quantity.count <= node)
        *ARRAY_PUSH(l->arena, &l->node_quantity) = l->making->current;
    return node;
}

uint32_t emit(struct lowering *l, enum op op, uint32_t a, uint32_t b, uint32_t c, uint32_t origin)
{
    return note(l, program_node(&l->program, op, a, b, c, origin));
}

uint32_t emit_input(struct lowering *l, struct input input, uint32_t origin)
{
    return note(l, program_input(&l->program, input, origin));
}

uint32_t emit_constant(struct lowering *l, double value, uint32_t origin)
{
    return note(l, program_constant(&l->program, value, origin));
}

uint32_t emit_call(struct lowering *l, uint32_t function, const uint32_t *operands, uint32_t count, uint32_t origin)
{
    return note(l, program_call(&l->program, function, operands, count, origin));
}
