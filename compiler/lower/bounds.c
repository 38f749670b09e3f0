/* What a value may be that is stated by a formula: plain numbers were held against their row where they are written. */
#include "compiler/model/bounds.h"
#include "compiler/lower/parts.h"

#include <math.h>

static bool is_bounded(const struct property_entry *row)
{
    return row && (row->can || row->usual);
}

static bool is_own(const struct lowering *l, struct site site)
{
    return site.file >= l->scope->first_file;
}

/* A plain number, or one looked for, which is an input of its own. */
static bool is_plain_number(const struct lowering *l, uint32_t id)
{
    const struct node_code *n = &l->program.nodes.at[l->quantities.at[id].value.id];
    return n->op == OP_INPUT && l->program.inputs.at[n->a].quantity == id;
}

static bool is_plain_function(const struct tree *t, const struct property *p)
{
    double value;
    struct unit unit;
    bool has_unit;
    uint32_t first = node_is_banded(t, p->value) ? node_child(t, p->value) : p->value;
    return node_kind(t, p->value) == NODE_TABLE || literal_of(t, first, &value, &unit, &has_unit);
}

void note_function_value(struct lowering *l, uint32_t property, struct low made)
{
    const struct property *p = property_at(l->scope, property);
    if (made.tag != LOW_NODE || !is_own(l, p->site) || !is_bounded(p->entry) ||
        is_plain_function(file_at(l->scope, p->site.file)->tree, p) ||
        map_get(&l->making->bounded, map_key(property, made.id)))
        return;
    map_set(&l->making->bounded, map_key(property, made.id), 1);
    *ARRAY_PUSH(l->arena, &l->bounds) = (struct lowered_bound){.site = p->site, .entry = p->entry, .node = made.id};
}

static void note_stated(struct lowering *l, uint32_t id)
{
    const struct quantity *q = &l->quantities.at[id];
    if (q->sort == QUANTITY_STATED && q->value.tag == LOW_NODE && is_own(l, q->site) && is_bounded(q->entry) &&
        !is_plain_number(l, id))
        *ARRAY_PUSH(l->arena, &l->bounds) =
            (struct lowered_bound){.site = q->site, .quantity = id, .entry = q->entry, .node = q->value.id};
}

static struct claim claim_of(struct lowering *l, uint32_t value, const struct bounds *b)
{
    uint32_t least = emit_constant(l, b->least, 0);
    struct claim c = {.strict = b->above, .compared = {value, least}};
    c.truth = emit(l, b->above ? OP_LESS : OP_LESS_EQUAL, least, value, 0, 0);
    c.margin = emit(l, OP_SUBTRACT, value, least, 0, 0);
    if (isinf(b->most))
        return c;
    uint32_t most = emit_constant(l, b->most, 0), below = emit(l, OP_LESS_EQUAL, value, most, 0, 0);
    uint32_t sides[] = {c.margin, emit(l, OP_SUBTRACT, most, value, 0, 0)};
    c.compared[2] = most;
    c.compared[3] = value;
    c.truth = emit(l, OP_AND, c.truth, below, 0, 0);
    c.margin = emit_call(l, FUNCTION_min, sides, 2, 0);
    return c;
}

void lower_bounds(struct lowering *l)
{
    struct bounds b;
    l->making->current = 0;
    for (uint32_t id = 1; id < l->quantities.count; id++)
        note_stated(l, id);
    for (uint32_t i = 0; i < l->bounds.count; i++) {
        struct lowered_bound *one = &l->bounds.at[i];
        if (one->entry->can && bounds_read(one->entry->can, &b))
            one->claim = claim_of(l, one->node, &b);
    }
}
