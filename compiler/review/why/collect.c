#include "compiler/review/why/collect.h"

#include <math.h>

void why_collector_init(struct why_collector *c, struct strokewright_recipe *r)
{
    *c = (struct why_collector){.recipe = r, .lowering = &r->lowering, .arena = &r->arena};
    map_init(&c->known, c->arena);
    ARRAY_PUSH(c->arena, &c->points);
    ARRAY_PUSH(c->arena, &c->guards);
}

/* ---- values --------------------------------------------------------------------------------------------------------- */

static bool evaluated(const struct why_collector *c, struct low low)
{
    return low.tag == LOW_NODE && low.id < c->recipe->steps.evaluated;
}

bool why_valueless(const struct why_collector *c, struct low low)
{
    return low.tag == LOW_MISSING || (evaluated(c, low) && c->recipe->values.culprit[low.id]);
}

double why_si(const struct why_collector *c, struct low low)
{
    if (low.tag == LOW_TRUTH)
        return low.truth;
    return evaluated(c, low) ? c->recipe->values.value[low.id] : NAN;
}

bool why_guard_open(const struct why_collector *c, uint32_t guard)
{
    for (; guard; guard = c->guards.at[guard].outer) {
        double condition = why_si(c, c->guards.at[guard].condition);
        if (isnan(condition) || (condition != 0) != c->guards.at[guard].wanted)
            return false;
    }
    return true;
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
    struct lowering *l = c->lowering;
    const struct quantity *q = &l->quantities.at[quantity];
    uint32_t known = map_get(&c->known, quantity);
    if (known)
        return known;
    struct why_point p = {.sort = sort_of(q), .quantity = quantity, .depth = depth, .result.low = q->value};
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
    *r = (struct why_read){node, point, w->guard, value, w->hidden, w->asked};
}

struct unit why_unit_of_part(struct why_walker *w, uint32_t node)
{
    const struct tree *t = w->frame.file->tree;
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

static void walk_children(struct why_walker *w, uint32_t node)
{
    NODE_EACH_CHILD (w->frame.file->tree, node, n) {
        why_walk(w, n);
    }
}

void why_walk_hidden(struct why_walker *w, uint32_t node)
{
    bool hidden = w->hidden;
    w->hidden = true;
    why_walk(w, node);
    w->hidden = hidden;
}

uint32_t why_depth_below(const struct why_walker *w)
{
    const struct why_point *p = &w->collector->points.at[w->point];
    return p->depth + !p->alias;
}

static void walk_name(struct why_walker *w, uint32_t node)
{
    struct lowering *l = w->collector->lowering;
    struct binding b = w->frame.file->bindings[node];
    struct low low = lower_expression(&w->frame, node);
    if (low.quantity) {
        uint32_t point = why_point_of(w->collector, low.quantity, why_depth_below(w));
        const struct quantity *q = &l->quantities.at[low.quantity];
        struct why_value value = {.low = low};
        if (q->shown_as_quantity)
            value.unit = q->unit;
        why_add_read(w, node, point, value);
    } else if (b.what == BIND_LOCAL && low.tag == LOW_NODE && b.id < w->frame.count) {
        why_add_read(w, node, 0, (struct why_value){low, w->units[b.id]});
    }
    /* What the member is asked of: die in overall-length.set-by.temperature. */
    if (b.what == BIND_PROPERTY || b.what == BIND_DERIVED)
        why_walk_hidden(w, node_child(w->frame.file->tree, node));
}

static void walk_if(struct why_walker *w, uint32_t node)
{
    const struct tree *t = w->frame.file->tree;
    struct why_collector *c = w->collector;
    uint32_t condition = node_child(t, node), yes = condition ? node_next(t, condition) : 0;
    uint32_t no = yes ? node_next(t, yes) : 0, outer = w->guard;
    if (!no)
        return;
    struct low decided = lower_expression(&w->frame, condition);
    why_walk(w, condition);
    if (!w->hidden)
        *ARRAY_PUSH(c->arena, &c->points.at[w->point].choices) = (struct why_choice){node, decided};
    if (decided.tag == LOW_TRUTH)
        why_walk(w, decided.truth ? yes : no);
    for (int wanted = 1; wanted >= 0 && decided.tag == LOW_NODE; wanted--) {
        *ARRAY_PUSH(c->arena, &c->guards) = (struct why_guard){outer, decided, wanted};
        w->guard = c->guards.count - 1;
        why_walk(w, wanted ? yes : no);
    }
    w->guard = outer;
}

/* As in lowering, the right side of and, or is not looked at when the left decides alone. */
static void walk_binary(struct why_walker *w, uint32_t node)
{
    const struct tree *t = w->frame.file->tree;
    uint32_t op = node_at(t, node)->op, left = node_child(t, node);
    if (left && (op == TOKEN_AND || op == TOKEN_OR)) {
        struct low a = lower_expression(&w->frame, left);
        if (a.tag == LOW_MISSING || (a.tag == LOW_TRUTH && a.truth != (op == TOKEN_AND))) {
            why_walk(w, left);
            return;
        }
    }
    walk_children(w, node);
}

void why_walk(struct why_walker *w, uint32_t node)
{
    switch (node_kind(w->frame.file->tree, node)) {
    case NODE_NAME:
    case NODE_MEMBER:
        walk_name(w, node);
        break;
    case NODE_CALL:
        why_walk_call(w, node);
        break;
    case NODE_IF:
        walk_if(w, node);
        break;
    case NODE_BINARY:
        walk_binary(w, node);
        break;
    case NODE_PAREN:
    case NODE_UNARY:
        walk_children(w, node);
        break;
    default:
        break;
    }
}

/* ---- a point's expression --------------------------------------------------------------------------------------------- */

struct why_walker why_walker_of(struct why_collector *c, uint32_t point)
{
    struct lowering *l = c->lowering;
    const struct why_point *p = &c->points.at[point];
    struct why_walker w = {.collector = c, .point = point, .frame = frame_at(l, p->value)};
    const struct quantity *q = &l->quantities.at[p->quantity];
    for (uint32_t i = 0; i < p->argument_count && i < SIGNATURE_LIMIT; i++) {
        w.frame.locals[w.frame.count] = p->arguments[i].low;
        w.units[w.frame.count++] = p->arguments[i].unit;
    }
    if (p->sort == WHY_FUNCTION)
        w.frame.self = p->of;
    else if (p->sort == WHY_STATED)
        w.frame.self = q->definition;
    else if (p->sort == WHY_DERIVED && q->sort == QUANTITY_DERIVED)
        w.frame.locals[w.frame.count++] = (struct low){.tag = LOW_DEFINITION, .id = q->definition};
    return w;
}

/* Words, texts, dates and lists have nothing in them that could be derived. */
static bool is_expression(const struct why_collector *c, const struct why_point *p)
{
    if (!p->value.node || p->sort == WHY_BUILTIN)
        return false;
    const struct property_entry *row = p->sort == WHY_STATED ? c->lowering->quantities.at[p->quantity].entry : NULL;
    enum form form = row ? row->form : FORM_QUANTITY;
    enum node_kind kind = node_kind(file_at(c->lowering->scope, p->value.file)->tree, p->value.node);
    return form == FORM_QUANTITY || form == FORM_BAND || form == FORM_RANGE || form == FORM_TRUTH ||
           (form == FORM_REFERENCE && kind == NODE_MEMBER);
}

/* Of a choice that the recipe has already decided, the branch that is taken. */
static uint32_t taken_branch(struct why_walker *w, uint32_t node)
{
    const struct tree *t = w->frame.file->tree;
    for (node = why_inside_parens(t, node); node_kind(t, node) == NODE_IF; node = why_inside_parens(t, node)) {
        if (node_count_children(t, node) < 3)
            return node;
        struct low decided = lower_expression(&w->frame, node_child(t, node));
        if (decided.tag != LOW_TRUTH)
            return node;
        node = node_nth(t, node, decided.truth ? 1 : 2);
    }
    return node;
}

void why_walk_point(struct why_collector *c, uint32_t point)
{
    c->points.at[point].walked = true;
    if (!is_expression(c, &c->points.at[point]))
        return;
    struct why_walker w = why_walker_of(c, point);
    uint32_t node = why_inside_parens(w.frame.file->tree, c->points.at[point].value.node);
    enum node_kind kind = node_kind(w.frame.file->tree, taken_branch(&w, node));
    c->points.at[point].alias = kind == NODE_NAME || kind == NODE_MEMBER;
    why_walk(&w, node);
}
