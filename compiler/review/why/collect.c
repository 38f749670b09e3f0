#include "compiler/review/why/parts.h"

#include <math.h>

void why_collector_init(struct why_collector *c, struct strokewright_recipe *r)
{
    *c = (struct why_collector){.recipe = r, .lowering = r->lowering, .arena = &r->arena};
    map_init(&c->known, c->arena);
    ARRAY_PUSH(c->arena, &c->points);
}

/* ---- values --------------------------------------------------------------------------------------------------------- */

bool why_valueless(const struct why_collector *c, struct low low)
{
    return low.tag == LOW_MISSING || (low.tag == LOW_NODE && c->recipe->values.culprit[low.id]);
}

double why_si(const struct why_collector *c, struct low low)
{
    return value_of(&c->recipe->values, low);
}

/* ---- points --------------------------------------------------------------------------------------------------------- */

uint32_t why_add_point(struct why_collector *c, struct why_point p)
{
    if (c->probing || c->points.count > WHY_LIMIT) {
        c->strange = c->probing;
        c->cut |= !c->probing;
        return 0;
    }
    *ARRAY_PUSH(c->arena, &c->points) = p;
    return c->points.count - 1;
}

static enum why_sort sort_of(const struct quantity *q)
{
    if (q->sort == QUANTITY_STANDARD)
        return q->value.tag == LOW_MISSING ? WHY_ABSENT : WHY_STANDARD;
    /* A let with a tolerance is stated as well. */
    return q->sort == QUANTITY_STATED || (q->sort == QUANTITY_LET && q->banded) ? WHY_STATED : WHY_DERIVED;
}

uint32_t why_point_of(struct why_collector *c, uint32_t quantity, uint32_t depth)
{
    const struct lowering *l = c->lowering;
    const struct quantity *q = &l->quantities.at[quantity];
    uint32_t known = map_get(&c->known, quantity);
    if (known)
        return known;
    struct why_point p = {
        .sort = sort_of(q), .quantity = quantity, .depth = depth, .result.low = q->value, .record = q->record};
    if (q->shown_as_quantity)
        p.result.unit = q->unit;
    if (q->site.file)
        p.value = (struct site){q->site.file, node_value(file_at(l->scope, q->site.file)->tree, q->site.node)};
    uint32_t point = why_add_point(c, p);
    if (point)
        map_set(&c->known, quantity, point);
    return point;
}

void why_add_read(struct why_walker *w, uint32_t node, uint32_t point, struct why_value value)
{
    struct why_read *r = ARRAY_PUSH(w->collector->arena, &w->collector->points.at[w->point].reads);
    *r = (struct why_read){node, point, value, w->closed, w->hidden, w->asked};
}

struct unit why_unit_of_part(struct why_walker *w, uint32_t node)
{
    const struct tree *t = w->file->tree;
    struct unit unit = {0};
    double value;
    bool has_unit;
    node = why_inside_parens(t, node);
    const struct why_point *p = &w->collector->points.at[w->point];
    for (uint32_t i = 0; i < p->reads.count; i++)
        if (p->reads.at[i].node == node && p->reads.at[i].value.unit.factor)
            return p->reads.at[i].value.unit;
    if (literal_of(t, node, &value, &unit, &has_unit) && has_unit)
        return unit;
    if (node_kind(t, node) != NODE_IF || node_count_children(t, node) < 3)
        return (struct unit){0};
    unit = why_unit_of_part(w, node_nth(t, node, 1)); /* both branches have one dimension */
    return unit.factor ? unit : why_unit_of_part(w, node_nth(t, node, 2));
}

/* ---- walking -------------------------------------------------------------------------------------------------------- */

const struct lowered *why_record(const struct why_collector *c, uint32_t record)
{
    return &c->lowering->records.at[record];
}

/* The first record from one on that is a direct part of the same expression as the record `of`; 0: none. */
static uint32_t part_from(const struct why_collector *c, uint32_t from, uint32_t of)
{
    const struct lowered *all = c->lowering->records.at;
    while (from < all[of].end && all[from].whole != all[of].whole)
        from = all[from].end;
    return from < all[of].end ? from : 0;
}

uint32_t why_part(const struct why_collector *c, uint32_t record, uint32_t node)
{
    uint32_t part = record ? part_from(c, record + 1, record) : 0;
    while (part && why_record(c, part)->node != node)
        part = part_from(c, why_record(c, part)->end, record);
    return part;
}

void why_walk_parts(struct why_walker *w, uint32_t record, void (*walk)(struct why_walker *, uint32_t))
{
    const struct why_collector *c = w->collector;
    for (uint32_t part = part_from(c, record + 1, record); part; part = part_from(c, why_record(c, part)->end, record))
        walk(w, part);
}

void why_walk_hidden(struct why_walker *w, uint32_t record)
{
    bool hidden = w->hidden;
    w->hidden = true;
    why_walk(w, record);
    w->hidden = hidden;
}

uint32_t why_depth_below(const struct why_walker *w)
{
    const struct why_point *p = &w->collector->points.at[w->point];
    return p->depth + !p->alias;
}

/* The unit of a parameter, as it came with the call. */
static struct unit parameter_unit(const struct why_walker *w, uint32_t parameter)
{
    const struct why_point *p = &w->collector->points.at[w->point];
    return parameter < p->argument_count ? p->arguments[parameter].unit : (struct unit){0};
}

static void walk_name(struct why_walker *w, uint32_t record)
{
    const struct lowered *r = why_record(w->collector, record);
    struct binding b = w->file->bindings[r->node];
    struct why_value value = {.low = r->low};
    if (r->low.quantity) {
        const struct quantity *q = &w->collector->lowering->quantities.at[r->low.quantity];
        if (q->shown_as_quantity)
            value.unit = q->unit;
        why_add_read(w, r->node, why_point_of(w->collector, r->low.quantity, why_depth_below(w)), value);
    } else if (b.what == BIND_LOCAL && r->low.tag == LOW_NODE) {
        value.unit = parameter_unit(w, b.id);
        why_add_read(w, r->node, 0, value);
    }
    why_walk_parts(w, record,
                   why_walk_hidden); /* what the member is asked of: die in overall-length.set-by.temperature */
}

/* Both branches: of one that is not taken, or may not be, the reads are shown in the expression and are no inputs. */
static void walk_if(struct why_walker *w, uint32_t record)
{
    struct why_collector *c = w->collector;
    uint32_t node = why_record(c, record)->node, condition = node_child(w->file->tree, node);
    uint32_t decider = why_part(c, record, condition), yes = condition ? node_next(w->file->tree, condition) : 0;
    if (!decider)
        return;
    struct low decided = why_record(c, decider)->low;
    double value = why_si(c, decided);
    bool closed = w->closed;
    why_walk(w, decider);
    if (!w->hidden)
        *ARRAY_PUSH(c->arena, &c->points.at[w->point].choices) = (struct why_choice){node, decided};
    w->closed = closed || isnan(value) || value == 0;
    why_walk(w, why_part(c, record, yes));
    w->closed = closed || isnan(value) || value != 0;
    why_walk(w, why_part(c, record, node_next(w->file->tree, yes)));
    w->closed = closed;
}

void why_walk(struct why_walker *w, uint32_t record)
{
    if (!record)
        return;
    switch (node_kind(w->file->tree, why_record(w->collector, record)->node)) {
    case NODE_NAME:
    case NODE_MEMBER:
        walk_name(w, record);
        break;
    case NODE_CALL:
        why_walk_call(w, record);
        break;
    case NODE_IF:
        walk_if(w, record);
        break;
    default:
        why_walk_parts(w, record, why_walk);
        break;
    }
}

/* ---- a point's expression --------------------------------------------------------------------------------------------- */

/* The record of what an expression comes to: without parentheses, and of a choice that the recipe has already decided,
 * the branch that is taken. */
static uint32_t taken_part(const struct why_walker *w, uint32_t record)
{
    const struct why_collector *c = w->collector;
    const struct tree *t = w->file->tree;
    while (record) {
        uint32_t node = why_record(c, record)->node, condition = node_child(t, node);
        enum node_kind kind = node_kind(t, node);
        struct low decided = kind == NODE_IF ? why_record(c, why_part(c, record, condition))->low
                                             : (struct low){.tag = LOW_TRUTH, .truth = true};
        if ((kind != NODE_IF && kind != NODE_PAREN) || decided.tag != LOW_TRUTH)
            break;
        record = why_part(c, record, kind == NODE_PAREN ? condition : node_nth(t, node, decided.truth ? 1 : 2));
    }
    return record;
}

void why_walk_point(struct why_collector *c, uint32_t point)
{
    struct why_point *p = &c->points.at[point];
    /* Of a tolerance about a value, and of a table moved as a whole, only a part was lowered. */
    if (!p->record || why_record(c, p->record)->node != p->value.node)
        return;
    struct why_walker w = {.collector = c, .point = point, .file = file_at(c->lowering->scope, p->value.file)};
    uint32_t taken = taken_part(&w, p->record);
    enum node_kind kind = taken ? node_kind(w.file->tree, why_record(c, taken)->node) : NODE_ERROR;
    p->alias = kind == NODE_NAME || kind == NODE_MEMBER;
    why_walk(&w, p->record);
}
