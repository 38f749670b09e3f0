/* Faults of evaluation in an engineer's words: which value, what was asked, what the range is. */
#include "compiler/judge/parts.h"
#include "runtime/base/map.h"

static struct unit unit_of_table(const struct lowering *l, struct site table, uint32_t which)
{
    const struct tree *t = file_at(l->scope, table.file)->tree;
    struct unit unit = {.factor = 1};
    uint32_t node = node_nth(t, table.node, which);
    if (node && node_kind(t, node) == NODE_UNIT_TYPE)
        read_unit_type(l->scope, t, node, &unit);
    return unit;
}

/* The property whose table a curve is, or NULL; the tables know their nodes, not their owners. */
static const struct property *owner_of(const struct lowering *l, const struct curve *c)
{
    struct site table = l->origins.at[c->origin];
    for (uint32_t id = 1; id < property_end(l->scope); id++) {
        const struct property *p = property_at(l->scope, id);
        if (!p->value || p->site.file != table.file)
            continue;
        uint32_t whole = scaled_value(file_at(l->scope, table.file)->tree, p->value);
        if ((whole ? whole : p->value) == table.node)
            return p;
    }
    return NULL;
}

/* "az31b-o.strength" */
static struct text asked_path(const struct lowering *l, uint32_t node)
{
    const struct property *p = owner_of(l, &l->program.curves.at[l->program.nodes.at[node].a]);
    struct text owner = atom_text(&l->scope->names, definition_at(l->scope, p->definition)->name);
    return arena_format(l->arena, "%.*s.%s", TEXT_ARGS(owner), p->entry->name);
}

/* A table of two arguments is beyond its range in the second when the first is inside. */
static bool is_across(const struct lowering *l, const struct evaluation *e, uint32_t node)
{
    const struct node_code *n = &l->program.nodes.at[node];
    const struct curve *c = &l->program.curves.at[n->a];
    return c->y_count && e->value[n->b] >= c->x[0] && e->value[n->b] <= c->x[c->x_count - 1];
}

static struct reason beyond_table(const struct lowering *l, const struct evaluation *e, uint32_t node)
{
    const struct curve *c = &l->program.curves.at[l->program.nodes.at[node].a];
    bool across = is_across(l, e, node);
    const double *ends = across ? c->y : c->x;
    return (struct reason){.kind = REASON_beyond_table,
                           .name = asked_path(l, node),
                           .at = e->offending[node],
                           .low = ends[0],
                           .high = ends[(across ? c->y_count : c->x_count) - 1],
                           .unit = unit_of_table(l, l->origins.at[c->origin], across)};
}

static struct reason beyond_formula(const struct lowering *l, const struct evaluation *e, uint32_t node)
{
    const struct node_code *n = &l->program.nodes.at[node];
    struct site site = l->origins.at[n->origin];
    const struct unit_file *file = site.file ? file_at(l->scope, site.file) : NULL;
    struct binding b = file ? file->bindings[site.node] : (struct binding){0};
    const uint32_t *x = &l->program.operands.at[n->b];
    return (struct reason){.kind = REASON_beyond_formula,
                           .name = file ? node_text(file->tree, node_nth(file->tree, site.node, 1)) : TEXT("a value"),
                           .at = e->value[x[0]],
                           .low = e->value[x[1]],
                           .high = e->value[x[2]],
                           .unit = typed_unit(l->arena, b.what == BIND_TYPED ? b.id : 0)};
}

const struct reason *culprit_reason(const struct lowering *l, const struct evaluation *e, uint32_t node)
{
    static const enum reason_kind kinds[] = {[EVAL_DIVIDE_BY_ZERO] = REASON_divides_by_zero,
                                             [EVAL_NEGATIVE_ROOT] = REASON_negative_root,
                                             [EVAL_NOT_POSITIVE] = REASON_not_positive,
                                             [EVAL_NEVER_REACHED] = REASON_never_reached,
                                             [EVAL_LEFT_OPEN] = REASON_left_open,
                                             [EVAL_OVERFLOW] = REASON_too_large,
                                             [EVAL_BAD_ARGUMENT] = REASON_bad_argument};
    bool beyond = e->fault[node] == EVAL_BELOW_RANGE || e->fault[node] == EVAL_ABOVE_RANGE;
    struct reason r = !beyond                                    ? (struct reason){.kind = kinds[e->fault[node]]}
                      : l->program.nodes.at[node].op == OP_CURVE ? beyond_table(l, e, node)
                                                                 : beyond_formula(l, e, node);
    r.reported = true;
    return reason_new(l->arena, r);
}

static struct text culprit_words(const struct lowering *l, const struct evaluation *e, uint32_t node)
{
    return reason_words(l->arena, l->scope, culprit_reason(l, e, node), SPELL_ASCII);
}

static enum fault fault_of(uint8_t fault)
{
    switch (fault) {
    case EVAL_BELOW_RANGE:
    case EVAL_ABOVE_RANGE:
        return FAULT_curve_range;
    case EVAL_DIVIDE_BY_ZERO:
        return FAULT_divide_by_zero;
    case EVAL_NEVER_REACHED:
        return FAULT_never_reached;
    default:
        return FAULT_undefined_value;
    }
}

static const char *help_of(uint8_t fault)
{
    switch (fault) {
    case EVAL_BELOW_RANGE:
    case EVAL_ABOVE_RANGE:
        return "stay inside the range, or extend the table with figures that have a source; nothing is extrapolated";
    case EVAL_NEVER_REACHED:
        return "ask for a temperature between the start and the surroundings, or change what heats or cools it";
    default:
        return "check the values it is made of with 'strokewright value'";
    }
}

static bool in_recipe(const struct lowering *l, uint32_t node)
{
    struct site site = l->origins.at[l->program.nodes.at[node].origin];
    return site.file >= l->scope->first_file;
}

/* What the engineer wrote if the fault arose there, else the definition whose value it was. */
static struct span place_of_culprit(const struct lowering *l, uint32_t node, struct span origin)
{
    const struct quantity *q = &l->quantities.at[l->node_quantity.at[node]];
    return !in_recipe(l, node) && q->definition ? definition_span(l->scope, q->definition) : origin;
}

static struct diagnostic *report_culprit(const struct lowering *l, const struct evaluation *e, uint32_t node,
                                         bool needed)
{
    struct diagnostics *g = l->scope->diagnostics;
    const struct quantity *q = &l->quantities.at[l->node_quantity.at[node]];
    struct span origin = site_span(l->scope, l->origins.at[l->program.nodes.at[node].origin]);
    struct span at = place_of_culprit(l, node, origin);
    struct text words = culprit_words(l, e, node);
    struct diagnostic *d =
        report(g, needed ? fault_of(e->fault[node]) : FAULT_value_not_evaluated, at, "%.*s%scannot be worked out: %.*s",
               TEXT_ARGS(q->path), q->path.len ? " " : "this ", TEXT_ARGS(words));
    if (!in_recipe(l, node) && at.file >= l->scope->first_file)
        report_label(g, d, origin, "worked out here");
    report_help(g, d, "%s", help_of(e->fault[node]));
    return d;
}

/* One tool that is too hot asks the tables of a material beyond their range in a dozen values: the first is reported, the
 * others are further places of it. */
static uint64_t cause_of(const struct lowering *l, const struct evaluation *e, uint32_t node)
{
    const struct node_code *n = &l->program.nodes.at[node];
    uint32_t fault = e->fault[node];
    const struct property *owner = n->op == OP_CURVE ? owner_of(l, &l->program.curves.at[n->a]) : NULL;
    return owner ? map_key(4 * fault + 1 + is_across(l, e, node), owner->definition) : map_key(4 * fault, node);
}

static void add_culprit(const struct lowering *l, const struct evaluation *e, struct diagnostic *d, uint32_t node)
{
    struct reason r = beyond_table(l, e, node);
    const struct quantity *q = &l->quantities.at[l->node_quantity.at[node]];
    struct span origin = site_span(l->scope, l->origins.at[l->program.nodes.at[node].origin]);
    struct span at = place_of_culprit(l, node, origin);
    bool told = at.file == d->span.file && at.lo == d->span.lo;
    for (uint32_t i = 0; i < d->labels.count; i++)
        told |= at.file == d->labels.at[i].span.file && at.lo == d->labels.at[i].span.lo;
    if (!told && at.file >= l->scope->first_file)
        report_label(l->scope->diagnostics, d, at, "%.*s: %.*s is asked at %.*s", TEXT_ARGS(q->path), TEXT_ARGS(r.name),
                     TEXT_ARGS(typeset_quantity(l->arena, r.at, &r.unit, SPELL_ASCII)));
}

static void mark(const struct evaluation *e, struct low low, uint8_t *marks, uint8_t how)
{
    if (low.tag == LOW_NODE && e->culprit[low.id])
        marks[e->culprit[low.id]] |= how;
}

enum { SEEN = 1, NEEDED = 2 };

/* Causes that a limit or the recipe itself needs come first, so that one of those is reported in full. */
static void report_marked(const struct lowering *l, const struct evaluation *e, const uint8_t *marks)
{
    struct map told;
    ARRAY(struct diagnostic *) all = {0};
    map_init(&told, l->arena);
    for (int needed = 1; needed >= 0; needed--)
        for (uint32_t n = 1; n < l->program.nodes.count; n++) {
            /* A temperature that is never reached is an error even where no limit needs it. */
            bool is_needed = marks[n] & NEEDED || e->fault[n] == EVAL_NEVER_REACHED;
            if (!marks[n] || is_needed != (bool)needed)
                continue;
            uint32_t known = map_get(&told, cause_of(l, e, n));
            if (known && all.at) {
                add_culprit(l, e, all.at[known - 1], n);
                continue;
            }
            *ARRAY_PUSH(l->arena, &all) = report_culprit(l, e, n, is_needed);
            map_set(&told, cause_of(l, e, n), all.count);
        }
}

void limits_report_evaluation(const struct limits *m, const struct evaluation *e)
{
    const struct lowering *l = m->lowering;
    uint8_t *marks = arena_alloc(l->arena, l->program.nodes.count);
    for (uint32_t i = 1; i < l->quantities.count; i++) {
        const struct quantity *q = &l->quantities.at[i];
        bool own = q->sort == QUANTITY_STATED || q->site.file >= l->scope->first_file;
        mark(e, q->value, marks, own ? SEEN | NEEDED : SEEN);
    }
    for (uint32_t i = 0; i < m->results.count; i++) {
        const struct limit_result *r = &m->results.at[i];
        if (r->verdict == VERDICT_WAIVED)
            continue;
        const struct low parts[] = {r->when, r->value, r->low, r->high, r->condition};
        for (int k = 0; k < 5; k++)
            mark(e, parts[k], marks, SEEN | NEEDED);
    }
    report_marked(l, e, marks);
}
