/* Unfolding calls: formulas, property functions, curves, built-in functions, and what is decided now. */
#include "compiler/lower/parts.h"
#include "compiler/model/holes.h"

#include "runtime/statistics/uncertainty.h"

static uint32_t argument(const struct frame *f, uint32_t call, uint32_t index)
{
    return node_nth(f->file->tree, call, index + 1);
}

/* ---- curves ----------------------------------------------------------------------------------------------------------------- */

static double cell(const struct tree *t, uint32_t node, const struct unit *unit)
{
    double value = 0;
    struct unit none;
    bool has_unit;
    literal_of(t, node, &value, &none, &has_unit);
    return unit_to_si(unit, value);
}

static void fill_row(const struct tree *t, uint32_t row, const struct unit *unit, double *out, uint32_t width)
{
    uint32_t i = 0;
    for (uint32_t n = node_next(t, node_child(t, row)); n && i < width; n = node_next(t, n))
        out[i++] = cell(t, n, unit);
}

/* The table's numbers in SI; typing has seen to its shape. */
static struct curve read_table(struct lowering *l, const struct tree *t, uint32_t table)
{
    struct unit units[3] = {{.factor = 1}, {.factor = 1}, {.factor = 1}};
    uint32_t count = 0, row = node_child(t, table);
    for (; row && node_kind(t, row) == NODE_UNIT_TYPE; row = node_next(t, row), count++)
        if (count < 3)
            read_unit_type(l->scope, t, row, &units[count]);
    struct curve c = {0};
    double *across = NULL;
    bool grid = row && node_kind(t, node_child(t, row)) == NODE_NAME;
    if (grid) {
        c.y_count = node_count_children(t, row) - 1;
        across = ARENA_ARRAY(l->arena, c.y_count, double);
        fill_row(t, row, &units[1], across, c.y_count);
        row = node_next(t, row);
    }
    uint32_t width = grid ? c.y_count : 1, rows = 0;
    for (uint32_t n = row; n; n = node_next(t, n))
        rows++;
    double *x = ARENA_ARRAY(l->arena, rows, double), *z = ARENA_ARRAY(l->arena, (size_t)rows * width, double);
    for (uint32_t n = row; n; n = node_next(t, n), c.x_count++) {
        x[c.x_count] = cell(t, node_child(t, n), &units[0]);
        fill_row(t, n, &units[count ? count - 1 : 0], z + (size_t)c.x_count * width, width);
    }
    c.x = x;
    c.y = across;
    c.z = z;
    return c;
}

static struct low lower_table(struct lowering *l, uint32_t property, uint32_t table, const struct low *args,
                              uint32_t count, uint32_t origin)
{
    const struct property *p = property_at(l->scope, property);
    uint32_t curve = map_get(&l->curves, property);
    if (!curve) {
        struct curve c = read_table(l, file_at(l->scope, p->site.file)->tree, table);
        c.origin = origin_of(l, p->site.file, table);
        curve = program_curve(&l->program, c) + 1;
        map_set(&l->curves, property, curve);
    }
    return low_node(emit(l, OP_CURVE, curve - 1, args[0].id, count > 1 ? args[1].id : 0, origin));
}

/* ---- property functions ------------------------------------------------------------------------------------------------------- */

/* A percentage behind a table or a formula moves all of it together: one input, 1 where nothing is off. */
static struct low lower_scale(struct lowering *l, struct frame *f, uint32_t property)
{
    const struct tree *t = f->file->tree;
    const struct property *p = property_at(l->scope, property);
    uint32_t known = map_get(&l->making->constants, map_key(property, 0)), sides[2];
    if (known)
        return low_node(known);
    double half[2];
    struct unit unit;
    bool has_unit;
    sides[0] = node_next(t, node_child(t, p->value));
    sides[1] = node_next(t, sides[0]) ? node_next(t, sides[0]) : sides[0];
    for (int i = 0; i < 2; i++) {
        if (!literal_of(t, sides[i], &half[i], &unit, &has_unit))
            return low_faulty();
        half[i] /= 100;
    }
    struct input input = {1, 1 - half[1], 1 + half[0], true, l->making->current, false, property};
    struct low made = low_node(emit_input(l, input, origin_of(l, f->file_number, p->value)));
    note_spread(l, t, p->site.node);
    map_set(&l->making->constants, map_key(property, 0), made.id);
    return made;
}

static struct low make_constant(struct lowering *l, struct frame *f, uint32_t property)
{
    const struct property *p = property_at(l->scope, property);
    const struct tree *t = f->file->tree;
    uint32_t value = p->value, first = node_child(t, value);
    double number;
    struct unit unit;
    bool has_unit, tolerance = node_is_banded(t, value);
    if (!tolerance)
        return lower_expression(f, value);
    uint32_t plus = node_next(t, first), minus = node_next(t, plus);
    if (!literal_of(t, first, &number, &unit, &has_unit))
        return low_faulty();
    double nominal = unit_to_si(&unit, number), half[2];
    uint32_t sides[2] = {plus, minus ? minus : plus};
    for (int i = 0; i < 2; i++) {
        if (!literal_of(t, sides[i], &number, &unit, &has_unit))
            return low_faulty();
        bool percent = has_unit && text_is(unit.spelling, "%");
        half[i] = percent ? nominal * number / 100 : unit_difference_to_si(&unit, number);
    }
    struct input input = {nominal, nominal - half[1], nominal + half[0], true, l->making->current, false, property};
    struct low made = low_node(emit_input(l, input, origin_of(l, f->file_number, value)));
    note_spread(l, t, p->site.node);
    return made;
}

/* Called twice it is one node, so that its band counts once: a band of all that are like its owner, for it is one figure;
 * an expression of each of them anew, for it may ask for what they state. */
static struct low lower_constant(struct lowering *l, struct frame *f, uint32_t property)
{
    const struct property *p = property_at(l->scope, property);
    bool banded = node_is_banded(f->file->tree, p->value);
    bool fixed = banded || !node_find(f->file->tree, p->site.node, NODE_SIGNATURE);
    uint64_t key = map_key(property, banded ? 0 : f->self);
    uint32_t known = fixed ? map_get(&l->making->constants, key) : 0;
    if (known) {
        f->whole = map_get(&l->making->constant_records, key);
        return low_node(known);
    }
    struct low made = make_constant(l, f, property);
    if (fixed && made.tag == LOW_NODE) {
        map_set(&l->making->constants, key, made.id);
        map_set(&l->making->constant_records, key, f->whole);
    }
    return made;
}

/* Notes the expression that was unfolded for the call being lowered. */
static void note_unfolded(struct lowering *l, uint32_t record)
{
    l->records.at[l->making->record].unfolded = record;
}

static struct low unfold_function(struct lowering *l, struct frame *f, uint32_t property, const struct low *args,
                                  uint32_t count, uint32_t origin)
{
    const struct property *p = property_at(l->scope, property);
    uint32_t whole = scaled_value(f->file->tree, p->value), value = whole ? whole : p->value;
    if (!whole && node_kind(f->file->tree, value) != NODE_TABLE)
        return lower_constant(l, f, property);
    struct low made = node_kind(f->file->tree, value) == NODE_TABLE
                          ? lower_table(l, property, value, args, count, origin)
                          : as_node(l, lower_expression(f, value));
    struct low scale = whole ? lower_scale(l, f, property) : made;
    if (!whole || made.tag != LOW_NODE || scale.tag != LOW_NODE)
        return made.tag == LOW_NODE ? scale : made;
    return low_node(emit(l, OP_MULTIPLY, made.id, scale.id, 0, origin));
}

/* Once too deep, no call is unfolded any more: each would be as deep. */
static bool enter_call(struct lowering *l, struct span at)
{
    if (l->making->exhausted)
        return false;
    if (++l->making->calls_open <= CALL_LIMIT)
        return true;
    l->making->calls_open--;
    l->making->exhausted = true;
    struct diagnostics *g = l->scope->diagnostics;
    struct diagnostic *d =
        report(g, FAULT_nested_too_deep, at, "functions call each other more than %d deep, or without end", CALL_LIMIT);
    report_help(g, d, "break the circle, or name parts with let, so that they are worked out once");
    return false;
}

struct low lower_function(struct lowering *l, uint32_t definition, uint32_t property, const struct low *args,
                          uint32_t count, uint32_t origin)
{
    const struct property *p = property_at(l->scope, property);
    struct frame f = frame_at(l, p->site);
    f.self = definition;
    if (!p->value || node_kind(f.file->tree, p->value) == NODE_ERROR)
        return low_faulty();
    if (property_is_open(l->scope, property))
        return lower_hole(l, p);
    for (uint32_t i = 0; i < count && node_find(f.file->tree, p->site.node, NODE_SIGNATURE); i++)
        f.locals[f.count++] = args[i];
    if (!enter_call(l, site_span(l->scope, p->site)))
        return low_faulty();
    struct low made = unfold_function(l, &f, property, args, count, origin);
    l->making->calls_open--;
    note_function_value(l, property, made);
    note_unfolded(l, f.whole);
    return made;
}

/* All arguments as nodes; false and *why, of all of them, when one has no value. */
static bool lower_arguments(struct frame *f, uint32_t call, struct low *args, uint32_t room, uint32_t *count,
                            struct low *why)
{
    const struct tree *t = f->file->tree;
    bool good = true;
    *count = 0;
    for (uint32_t n = node_next(t, node_child(t, call)); n && *count < room; n = node_next(t, n)) {
        struct low a = as_node(f->lowering, lower_expression(f, n));
        if (a.tag != LOW_NODE) {
            struct low lack = a.tag == LOW_MISSING ? a : low_faulty();
            *why = good ? lack : low_both_missing(f->lowering->arena, *why, lack);
        }
        good = good && a.tag == LOW_NODE;
        a.quantity = 0;
        args[(*count)++] = a;
    }
    return good;
}

static struct low call_property(struct frame *f, uint32_t node, uint32_t callee)
{
    struct low args[SIGNATURE_LIMIT] = {{0}}, why, function = lower_expression(f, callee);
    uint32_t count;
    bool good = lower_arguments(f, node, args, SIGNATURE_LIMIT, &count, &why);
    if (function.tag != LOW_FUNCTION)
        return function.tag == LOW_MISSING ? function : low_faulty();
    if (!good)
        return why;
    return lower_function(f->lowering, function.of, function.id, args, count,
                          origin_of(f->lowering, f->file_number, node));
}

/* One formula of the same nodes gives the same node, so formulas that call others twice do not double each time. */
static uint64_t call_key(uint32_t formula, const struct low *args, uint32_t count)
{
    uint64_t key = 0xcbf29ce484222325u ^ formula;
    for (uint32_t i = 0; i < count; i++)
        key = (key ^ args[i].id) * 0x9E3779B97F4A7C15u, key ^= key >> 29;
    return key;
}

static bool called_before(struct lowering *l, uint64_t key, uint32_t formula, const struct low *args, uint32_t count,
                          struct low *result)
{
    uint32_t at = map_get(&l->making->calls, key);
    if (!at)
        return false;
    const struct call_memo *m = &l->making->memos.at[at - 1];
    if (m->formula != formula || m->count != count)
        return false;
    for (uint32_t i = 0; i < count; i++)
        if (l->making->memo_args.at[m->first + i] != args[i].id)
            return false;
    *result = low_node(m->node);
    note_unfolded(l, m->record);
    return true;
}

static void remember_call(struct lowering *l, uint64_t key, uint32_t formula, const struct low *args, uint32_t count,
                          struct low result, uint32_t record)
{
    if (result.tag != LOW_NODE)
        return;
    struct call_memo memo = {formula, l->making->memo_args.count, count, result.id, record};
    for (uint32_t i = 0; i < count; i++)
        *ARRAY_PUSH(l->arena, &l->making->memo_args) = args[i].id;
    *ARRAY_PUSH(l->arena, &l->making->memos) = memo;
    map_set(&l->making->calls, key, l->making->memos.count);
}

static struct low call_formula(struct frame *f, uint32_t node, uint32_t formula)
{
    struct lowering *l = f->lowering;
    struct low args[SIGNATURE_LIMIT] = {{0}}, why, low;
    uint32_t count;
    if (!lower_arguments(f, node, args, SIGNATURE_LIMIT, &count, &why))
        return why;
    uint64_t key = call_key(formula, args, count);
    if (called_before(l, key, formula, args, count, &low))
        return low;
    const struct formula *row = formula_at(l->scope, formula);
    struct frame inner = frame_at(l, row->site);
    for (uint32_t i = 0; i < count; i++)
        inner.locals[inner.count++] = args[i];
    uint32_t value = node_value(inner.file->tree, row->site.node);
    if (!enter_call(l, site_span(l->scope, row->site)))
        return low_faulty();
    low = value && count == row->signature->count ? as_node(l, lower_expression(&inner, value)) : low_faulty();
    l->making->calls_open--;
    low.quantity = 0;
    note_unfolded(l, inner.whole);
    remember_call(l, key, formula, args, count, low, inner.whole);
    return low;
}

static struct low lower_uncertainty(struct lowering *l, uint32_t of, uint32_t origin)
{
    if (!uncertainty_rests_on_bands(&l->program, of))
        return low_missing(l, (struct reason){.kind = REASON_nothing_held});
    return low_node(emit(l, OP_UNCERTAINTY, of, 0, 0, origin));
}

static struct low call_builtin(struct frame *f, uint32_t node, uint32_t function)
{
    struct lowering *l = f->lowering;
    uint32_t room = node_count_children(f->file->tree, node), count, *operands = ARENA_ARRAY(l->arena, room, uint32_t);
    struct low *args = ARENA_ARRAY(l->arena, room, struct low), why;
    if (!lower_arguments(f, node, args, room, &count, &why))
        return why;
    for (uint32_t i = 0; i < count; i++)
        operands[i] = args[i].id;
    if (function == FUNCTION_nominal) /* no function of its argument: of the same at other inputs */
        return low_node(emit(l, OP_NOMINAL, operands[0], 0, 0, origin_of(l, f->file_number, node)));
    if (function == FUNCTION_uncertainty)
        return lower_uncertainty(l, operands[0], origin_of(l, f->file_number, node));
    return low_node(emit_call(l, function, operands, count, origin_of(l, f->file_number, node)));
}

/* ---- lists and each ------------------------------------------------------------------------------------------------------------ */

static uint32_t add_member(struct frame *f, uint32_t node)
{
    struct lowering *l = f->lowering;
    struct low member = lower_expression(f, node);
    if (member.tag != LOW_DEFINITION)
        return 0;
    *ARRAY_PUSH(l->arena, &l->making->list_ids) = member.id;
    return 1;
}

struct low lower_list(struct frame *f, uint32_t value)
{
    struct making *m = f->lowering->making;
    const struct tree *t = f->file->tree;
    struct definition_list list = {m->list_ids.count, 0};
    if (node_kind(t, value) != NODE_LIST)
        list.count = add_member(f, value);
    else
        NODE_EACH_CHILD (t, value, n)
            list.count += add_member(f, n);
    *ARRAY_PUSH(f->lowering->arena, &m->lists) = list;
    return (struct low){.tag = LOW_LIST, .id = m->lists.count - 1};
}

uint32_t lowering_members(const struct lowering *l, struct low low, const uint32_t **ids)
{
    *ids = NULL;
    if (low.tag != LOW_LIST)
        return 0;
    const struct definition_list *list = &l->making->lists.at[low.id];
    *ids = list->count ? &l->making->list_ids.at[list->first] : NULL;
    return list->count;
}

/* A copy, for lists move when another is made. */
static uint32_t copy_members(struct lowering *l, struct low list, uint32_t **ids)
{
    const uint32_t *members;
    uint32_t count = lowering_members(l, list, &members);
    *ids = ARENA_ARRAY(l->arena, count, uint32_t);
    for (uint32_t i = 0; i < count; i++)
        (*ids)[i] = members[i];
    return count;
}

/* What stands behind `each`, a kind or a list; *why says why there is nothing. */
static uint32_t each_members(struct frame *f, uint32_t head, uint32_t **ids, struct low *why)
{
    struct lowering *l = f->lowering;
    struct scope *s = l->scope;
    struct binding b = f->file->bindings[head];
    uint32_t count = 0;
    if (b.what != BIND_KIND) {
        struct low list = lower_expression(f, head);
        *why = list.tag == LOW_LIST ? low_missing(l, (struct reason){.kind = REASON_no_first}) : list;
        return copy_members(l, list, ids);
    }
    *why = low_missing(l, (struct reason){.kind = REASON_no_kind, .of = (enum kind)b.id});
    *ids = ARENA_ARRAY(l->arena, s->definitions.count, uint32_t);
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        if (kind_is(definition_at(s, id)->kind, (enum kind)b.id))
            (*ids)[count++] = id;
    return count;
}

static struct low fold_each(struct frame *f, enum special special, const uint32_t *nodes, uint32_t count,
                            uint32_t origin)
{
    struct lowering *l = f->lowering;
    if (special != SPECIAL_SUM)
        return low_node(emit_call(l,
                                  special == SPECIAL_EACH_MIN   ? FUNCTION_min
                                  : special == SPECIAL_EACH_MAX ? FUNCTION_max
                                                                : FUNCTION_mean,
                                  nodes, count, origin));
    uint32_t sum = nodes[0];
    for (uint32_t i = 1; i < count; i++)
        sum = emit(l, OP_ADD, sum, nodes[i], 0, origin);
    return low_node(sum);
}

static struct low call_each(struct frame *f, uint32_t node, enum special special)
{
    struct lowering *l = f->lowering;
    const struct tree *t = f->file->tree;
    uint32_t each = argument(f, node, 0), head = each ? node_child(t, each) : 0, *ids;
    uint32_t origin = origin_of(l, f->file_number, node);
    struct low why;
    if (!head)
        return low_faulty();
    uint32_t count = each_members(f, head, &ids, &why);
    uint32_t variable = node_next(t, head), value = variable ? node_next(t, variable) : 0;
    if (special == SPECIAL_COUNT)
        return low_node(emit_constant(l, count, origin));
    if (count == 0 && special == SPECIAL_SUM)
        return low_node(emit_constant(l, 0, origin));
    if (count == 0)
        return why;
    if (!value || f->count >= sizeof f->locals / sizeof f->locals[0])
        return low_faulty();
    uint32_t *nodes = ARENA_ARRAY(l->arena, count, uint32_t);
    bool good = true;
    for (uint32_t i = 0; i < count; i++) {
        f->locals[f->count++] = (struct low){.tag = LOW_DEFINITION, .id = ids[i]};
        struct low low = lower_expression(f, value);
        f->count--;
        if (low.tag != LOW_NODE) {
            struct low lack = low.tag == LOW_MISSING ? low : low_faulty();
            why = good ? lack : low_both_missing(l->arena, why, lack);
        }
        good = good && low.tag == LOW_NODE;
        nodes[i] = low.id;
    }
    return good ? fold_each(f, special, nodes, count, origin) : why;
}

/* ---- what is decided now --------------------------------------------------------------------------------------------------------- */

static struct low previous_step(struct lowering *l, struct low step)
{
    const struct definition *d = definition_at(l->scope, step.id);
    if (d->step > 1)
        return (struct low){.tag = LOW_DEFINITION, .id = l->scope->steps.at[d->step - 2]};
    return low_missing(l, (struct reason){.kind = REASON_no_step_before, .definition = step.id});
}

static struct low band_end(struct lowering *l, struct low x, bool upper)
{
    if (x.tag == LOW_MISSING || !x.quantity)
        return x.tag == LOW_MISSING ? x : low_faulty();
    const struct quantity *q = &l->quantities.at[x.quantity];
    if (q->banded) { /* still of that quantity, so it is shown in its unit */
        struct low end = low_node(upper ? q->high : q->low);
        end.quantity = x.quantity;
        return end;
    }
    return low_missing(l, (struct reason){.kind = REASON_no_band, .name = q->path});
}

static struct low list_place(struct lowering *l, struct low list, uint32_t place)
{
    const uint32_t *ids;
    uint32_t count = lowering_members(l, list, &ids);
    if (place < count)
        return (struct low){.tag = LOW_DEFINITION, .id = ids[place]};
    return low_missing(l, (struct reason){.kind = place ? REASON_no_second : REASON_no_first});
}

/* given(x): whether x is stated. Missing, not false, behind a reference that does not resolve. */
static struct low is_given(struct frame *f, uint32_t node, struct low x)
{
    const struct lowering *l = f->lowering;
    const struct tree *t = f->file->tree;
    uint32_t what = f->file->bindings[node].what;
    bool behind = node_kind(t, node) == NODE_MEMBER && (what == BIND_PROPERTY || what == BIND_DERIVED);
    if (x.tag == LOW_MISSING && x.quantity && l->quantities.at[x.quantity].open)
        return x; /* it will be */
    struct low base = behind && x.tag == LOW_MISSING ? lower_expression(f, node_child(t, node)) : x;
    return base.tag == LOW_MISSING && behind ? base : low_truth(x.tag != LOW_MISSING);
}

static struct low call_special(struct frame *f, uint32_t node, enum special special)
{
    struct lowering *l = f->lowering;
    if (special >= SPECIAL_COUNT)
        return call_each(f, node, special);
    uint32_t x_node = argument(f, node, 0);
    const uint32_t *ids;
    if (!x_node)
        return low_faulty();
    struct low x = lower_expression(f, x_node);
    if (special == SPECIAL_GIVEN)
        return is_given(f, x_node, x);
    if (special == SPECIAL_BANDED)
        return low_truth(x.quantity && l->quantities.at[x.quantity].banded);
    if (special == SPECIAL_LOWER || special == SPECIAL_UPPER)
        return band_end(l, x, special == SPECIAL_UPPER);
    if (x.tag == LOW_MISSING)
        return x;
    if (special == SPECIAL_PREVIOUS)
        return x.tag == LOW_DEFINITION ? previous_step(l, x) : low_faulty();
    if (special == SPECIAL_LISTED)
        return low_node(emit_constant(l, lowering_members(l, x, &ids), origin_of(l, f->file_number, node)));
    return list_place(l, x, special == SPECIAL_SECOND);
}

struct low lower_call(struct frame *f, uint32_t node)
{
    uint32_t callee = node_child(f->file->tree, node);
    struct binding b = callee ? f->file->bindings[callee] : (struct binding){0};
    switch (b.what) {
    case BIND_FORMULA:
        return call_formula(f, node, b.id);
    case BIND_FUNCTION:
        return call_builtin(f, node, b.id);
    case BIND_SPECIAL:
        return call_special(f, node, (enum special)b.id);
    case BIND_SIBLING:
    case BIND_PROPERTY:
        return call_property(f, node, callee);
    default:
        return low_faulty();
    }
}
