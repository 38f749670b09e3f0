/* Calls within a derivation: formulas, property functions, built-in functions, and what is decided when compiled. */
#include "compiler/review/why/parts.h"

enum { PLAIN_ARGUMENTS = 3 }; /* built-in functions of at most so many are arithmetic and get no entry */

struct declared { /* units of a signature */
    struct unit arguments[SIGNATURE_LIMIT], result;
};

/* ---- units as declared --------------------------------------------------------------------------------------------- */

/* Reads the units in the head of a table: of its arguments, then of its values. */
static struct declared units_of_table(struct scope *s, const struct tree *t, uint32_t table)
{
    struct declared d = {0};
    uint32_t i = 0;
    for (uint32_t n = node_child(t, table); n && node_kind(t, n) == NODE_UNIT_TYPE; n = node_next(t, n)) {
        uint32_t next = node_next(t, n);
        bool last = !next || node_kind(t, next) != NODE_UNIT_TYPE;
        read_unit_type(s, t, n, last || i >= 2 ? &d.result : &d.arguments[i++]);
    }
    return d;
}

static struct declared units_of_signature(struct scope *s, const struct tree *t, uint32_t signature)
{
    struct declared d = {0};
    uint32_t i = 0;
    NODE_EACH_CHILD (t, signature, n) {
        if (node_kind(t, n) == NODE_UNIT_TYPE)
            read_unit_type(s, t, n, &d.result);
        else if (node_kind(t, n) == NODE_PARAMETER && i < SIGNATURE_LIMIT)
            read_unit_type(s, t, node_next(t, node_child(t, n)), &d.arguments[i++]);
    }
    return d;
}

/* Returns the usual units of the dimensions of a signature. */
static struct declared units_of_rows(struct arena *a, const char *types)
{
    struct declared d = {0};
    struct signature g = signature_of_rows(types);
    for (uint32_t i = 0; i < g.count; i++)
        d.arguments[i] = unit_default(a, g.parameters[i].type.dim, g.parameters[i].type.point);
    d.result = unit_default(a, g.result.type.dim, g.result.type.point);
    return d;
}

static struct declared units_of_function(struct why_collector *c, const struct property *p)
{
    struct scope *s = c->lowering->scope;
    const struct tree *t = file_at(s, p->site.file)->tree;
    uint32_t signature = node_find(t, p->site.node, NODE_SIGNATURE);
    uint32_t whole = scaled_value(t, p->value), value = whole ? whole : p->value;
    if (node_kind(t, value) == NODE_TABLE)
        return units_of_table(s, t, value);
    return signature ? units_of_signature(s, t, signature) : units_of_rows(c->arena, p->entry->type);
}

/* ---- calls that are points of their own ------------------------------------------------------------------------------ */

/* Reads the arguments of a call; false when one has no value, so that the call has none either. */
static bool read_arguments(struct why_walker *w, uint32_t record, struct why_point *p)
{
    const struct why_collector *c = w->collector;
    const struct tree *t = w->file->tree;
    uint32_t call = why_record(c, record)->node;
    p->arguments = ARENA_ARRAY(c->arena, node_count_children(t, call), struct why_value);
    for (uint32_t n = node_next(t, node_child(t, call)); n; n = node_next(t, n)) {
        struct low low = why_record(c, why_part(c, record, n))->low;
        if (low.tag != LOW_NODE && low.tag != LOW_TRUTH)
            return false;
        low.quantity = 0;
        p->arguments[p->argument_count++].low = low;
    }
    return true;
}

static void walk_arguments(struct why_walker *w, uint32_t record)
{
    const struct tree *t = w->file->tree;
    uint32_t call = why_record(w->collector, record)->node;
    for (uint32_t n = node_next(t, node_child(t, call)); n; n = node_next(t, n))
        why_walk(w, why_part(w->collector, record, n));
}

/* Gives arguments the unit they were read in, else the declared one. */
static void set_argument_units(struct why_walker *w, uint32_t call, struct why_point *p, const struct declared *units)
{
    const struct tree *t = w->file->tree;
    uint32_t n = node_next(t, node_child(t, call));
    for (uint32_t i = 0; i < p->argument_count && n; i++, n = node_next(t, n)) {
        p->arguments[i].unit = why_unit_of_part(w, n);
        if (!p->arguments[i].unit.factor && i < SIGNATURE_LIMIT)
            p->arguments[i].unit = units->arguments[i];
    }
}

/* Adds the read of the call before the reads of its arguments, so that it stands above them. */
static void add_call(struct why_walker *w, uint32_t record, struct why_point p, const struct declared *units,
                     bool shown)
{
    const struct lowered *r = why_record(w->collector, record);
    p.depth = why_depth_below(w);
    p.record = r->unfolded;
    p.result = (struct why_value){r->low, units->result};
    uint32_t point = why_add_point(w->collector, p);
    bool hidden = w->hidden;
    w->hidden |= !shown;
    if (point)
        why_add_read(w, r->node, point, p.result);
    w->hidden = hidden | shown; /* arguments of a call that is replaced by its value are not shown */
    walk_arguments(w, record);
    w->hidden = hidden;
    if (point)
        set_argument_units(w, r->node, &p, units); /* the arguments are shared with the point just added */
}

static void walk_formula(struct why_walker *w, uint32_t record, uint32_t formula)
{
    struct scope *s = w->collector->lowering->scope;
    const struct formula *row = formula_at(s, formula);
    const struct tree *t = file_at(s, row->site.file)->tree;
    struct why_point p = {.sort = WHY_FORMULA, .callee = formula};
    p.value = (struct site){row->site.file, node_value(t, row->site.node)};
    if (!read_arguments(w, record, &p) || !p.value.node) {
        walk_arguments(w, record);
        return;
    }
    struct declared units = units_of_signature(s, t, node_find(t, row->site.node, NODE_SIGNATURE));
    add_call(w, record, p, &units, false);
}

static void walk_function(struct why_walker *w, uint32_t record)
{
    struct why_collector *c = w->collector;
    uint32_t callee = why_part(c, record, node_child(w->file->tree, why_record(c, record)->node));
    struct low function = why_record(c, callee)->low;
    struct why_point p = {.sort = WHY_FUNCTION, .callee = function.id, .of = function.of};
    if (function.tag != LOW_FUNCTION || !read_arguments(w, record, &p)) {
        if (function.tag != LOW_FUNCTION)
            why_walk(w, callee); /* what was not stated */
        walk_arguments(w, record);
        return;
    }
    const struct property *row = property_at(c->lowering->scope, p.callee);
    p.value = (struct site){row->site.file, row->value};
    struct declared units = units_of_function(c, row);
    add_call(w, record, p, &units, true);
    why_walk_parts(w, callee, why_walk_hidden);
}

static void walk_builtin(struct why_walker *w, uint32_t record, uint32_t function)
{
    struct why_point p = {.sort = WHY_BUILTIN, .callee = function};
    struct signature g = signature_of_rows(function_table[function].types);
    if (g.repeats || g.count <= PLAIN_ARGUMENTS || !read_arguments(w, record, &p)) {
        walk_arguments(w, record);
        return;
    }
    struct declared units = units_of_rows(w->collector->arena, function_table[function].types);
    add_call(w, record, p, &units, false);
}

/* ---- what is decided when compiled ----------------------------------------------------------------------------------- */

static void walk_each(struct why_walker *w, uint32_t record, enum special special)
{
    const struct tree *t = w->file->tree;
    const struct lowered *r = why_record(w->collector, record);
    uint32_t each = node_nth(t, r->node, 1), place = w->collector->points.at[w->point].reads.count;
    if (!each)
        return;
    why_add_read(w, r->node, 0, (struct why_value){.low = r->low});
    why_walk_parts(w, record, why_walk_hidden);
    uint32_t inner = node_nth(t, each, 2);
    struct unit unit = inner ? why_unit_of_part(w, inner) : (struct unit){0};
    if (special == SPECIAL_COUNT)
        unit = (struct unit){.factor = 1, .spelling = TEXT("1")};
    w->collector->points.at[w->point].reads.at[place].value.unit = unit;
}

static void walk_special(struct why_walker *w, uint32_t record, enum special special)
{
    const struct lowered *r = why_record(w->collector, record);
    uint32_t x = node_nth(w->file->tree, r->node, 1);
    bool asked = w->asked;
    if (special >= SPECIAL_COUNT) {
        walk_each(w, record, special);
        return;
    }
    w->asked |= special == SPECIAL_GIVEN || special == SPECIAL_BANDED;
    why_walk_parts(w, record, why_walk_hidden);
    w->asked = asked;
    if (x && (special == SPECIAL_LOWER || special == SPECIAL_UPPER))
        why_add_read(w, r->node, 0, (struct why_value){r->low, why_unit_of_part(w, x)});
}

void why_walk_call(struct why_walker *w, uint32_t record)
{
    uint32_t callee = node_child(w->file->tree, why_record(w->collector, record)->node);
    struct binding b = callee ? w->file->bindings[callee] : (struct binding){0};
    switch (b.what) {
    case BIND_FORMULA:
        walk_formula(w, record, b.id);
        break;
    case BIND_FUNCTION:
        walk_builtin(w, record, b.id);
        break;
    case BIND_SPECIAL:
        walk_special(w, record, (enum special)b.id);
        break;
    case BIND_SIBLING:
    case BIND_PROPERTY:
        walk_function(w, record);
        break;
    default:
        break;
    }
}
