/* Quantities: what is stated, standard, derived or let, each made once. */
#include "compiler/lower.h"

#include "runtime/base/number.h"
#include "runtime/uncertainty.h"

#include <math.h>

enum { KNOWN_LET = 1, KNOWN_DERIVED = 2, KNOWN_PROPERTY = 0x100, DEPTH_LIMIT = 400 };

void lowering_init(struct lowering *l, struct scope *scope, struct arena *arena)
{
    *l = (struct lowering){.scope = scope, .arena = arena};
    program_init(&l->program, arena);
    map_init(&l->known, arena);
    map_init(&l->curves, arena);
    map_init(&l->constants, arena);
    map_init(&l->calls, arena);
    ARRAY_PUSH(arena, &l->quantities);
    ARRAY_PUSH(arena, &l->origins);
}

struct low low_missing(struct text why, bool reported)
{
    return (struct low){.tag = LOW_MISSING, .text = why, .truth = reported};
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

uint32_t origin_of(struct lowering *l, uint32_t file, uint32_t node)
{
    *ARRAY_PUSH(l->arena, &l->origins) = (struct site){file, node};
    return l->origins.count - 1;
}

/* Notes which quantity was being made, so that a fault in a node can be told in that quantity's name. */
static uint32_t note(struct lowering *l, uint32_t node)
{
    while (l->node_quantity.count <= node)
        *ARRAY_PUSH(l->arena, &l->node_quantity) = l->current;
    return node;
}

uint32_t emit(struct lowering *l, enum op op, uint32_t a, uint32_t b, uint32_t c, uint32_t origin)
{
    return note(l, program_node(&l->program, op, a, b, c, origin));
}

uint32_t emit_uncertainty(struct lowering *l, uint32_t of, uint32_t origin)
{
    return note(l, program_uncertainty(&l->program, of, origin));
}

uint32_t emit_constant(struct lowering *l, double value, uint32_t origin)
{
    return note(l, program_constant(&l->program, value, origin));
}

uint32_t emit_call(struct lowering *l, uint32_t function, const uint32_t *operands, uint32_t count, uint32_t origin)
{
    return note(l, program_call(&l->program, function, operands, count, origin));
}

struct low as_node(struct lowering *l, struct low low)
{
    return low.tag == LOW_TRUTH ? low_node(emit_constant(l, low.truth, 0)) : low;
}

struct frame frame_at(struct lowering *l, struct site site)
{
    return (struct frame){.lowering = l, .file = file_at(l->scope, site.file), .file_number = site.file};
}

/* ---- making a quantity -------------------------------------------------------------------------------------------------- */

static uint32_t begin(struct lowering *l, uint64_t key, struct quantity q)
{
    uint32_t id = l->quantities.count;
    *ARRAY_PUSH(l->arena, &l->quantities) = q;
    l->quantities.at[id].busy = true;
    map_set(&l->known, key, id);
    return id;
}

static struct text path_of(struct lowering *l, uint32_t definition, atom name)
{
    const struct definition *d = definition_at(l->scope, definition);
    struct text owner = d->name ? atom_text(&l->scope->names, d->name) : text_of(kind_table[d->kind].name);
    /* Where a name is shared by two kinds, the path says which: corner.rim.inside-radius. */
    bool shared =
        d->name && (d->namesake || find_any_definition(l->scope, d->name) != definition || find_let(l->scope, d->name));
    return arena_format(l->arena, "%s%s%.*s.%.*s", shared ? kind_table[d->kind].name : "", shared ? "." : "",
                        TEXT_ARGS(owner), TEXT_ARGS(atom_text(&l->scope->names, name)));
}

static void report_circle(struct lowering *l, uint32_t id)
{
    const struct quantity *q = &l->quantities.at[id];
    struct diagnostics *g = l->scope->diagnostics;
    if (!q->site.file)
        return;
    struct diagnostic *d = report(g, FAULT_circle, site_span(l->scope, q->site), "'%.*s' needs itself to be worked out",
                                  TEXT_ARGS(q->path));
    const struct quantity *via = &l->quantities.at[l->current];
    if (l->current && l->current != id && via->site.file)
        report_label(g, d, site_span(l->scope, via->site), "by way of '%.*s'", TEXT_ARGS(via->path));
    report_help(g, d, "break the circle: state one of the values it goes through");
}

/* Runs a maker with the quantity current; a quantity that is met while it is being made is a circle. */
static bool enter(struct lowering *l, uint32_t id, uint32_t *outer)
{
    *outer = l->current;
    l->current = id;
    if (++l->depth <= DEPTH_LIMIT)
        return true;
    struct diagnostics *g = l->scope->diagnostics;
    struct diagnostic *d =
        report(g, FAULT_nested_too_deep, site_span(l->scope, l->quantities.at[id].site),
               "'%.*s' stands on a chain of more than %d values", TEXT_ARGS(l->quantities.at[id].path), DEPTH_LIMIT);
    report_help(g, d, "shorten the chain: derive values from stated ones");
    return false;
}

static void leave(struct lowering *l, uint32_t id, uint32_t outer)
{
    l->depth--;
    l->current = outer;
    l->quantities.at[id].busy = false;
}

static uint32_t revisit(struct lowering *l, uint32_t id)
{
    if (l->quantities.at[id].busy) {
        report_circle(l, id);
        l->quantities.at[id].value = low_missing(TEXT("its value goes round in a circle"), true);
    }
    return id;
}

/* ---- stated values ------------------------------------------------------------------------------------------------------- */

static bool is_banded(const struct tree *t, uint32_t value)
{
    return node_kind(t, value) == NODE_TOLERANCE || node_kind(t, value) == NODE_TOLERANCES;
}

static struct unit stated_unit(struct lowering *l, const struct tree *t, uint32_t value, const struct property_entry *p)
{
    (void)l;
    double number;
    struct unit unit;
    bool has_unit;
    uint32_t node = value;
    if (is_banded(t, value) || node_kind(t, value) == NODE_RANGE || node_kind(t, value) == NODE_FIND)
        node = node_child(t, value);
    struct unit usual = unit_of_type_text(p->type);
    if (!node || !literal_of(t, node, &number, &unit, &has_unit) || !has_unit)
        return usual;
    if (!usual.point)
        unit = unit_step(unit);
    return dim_same(unit.dim, usual.dim) && unit.point == usual.point ? unit : usual;
}

static bool literal_si(const struct property_entry *row, const struct tree *t, uint32_t node, double *si)
{
    double value;
    struct unit unit;
    bool has_unit;
    if (!literal_of(t, node, &value, &unit, &has_unit))
        return false;
    if (!unit_of_type_text(row->type).point)
        unit = unit_step(unit);
    *si = unit_to_si(&unit, value);
    return true;
}

/* Half width in SI; a percentage is of the nominal. */
static bool tolerance_si(const struct tree *t, uint32_t node, double nominal, double *si)
{
    double value;
    struct unit unit;
    bool has_unit;
    if (!literal_of(t, node, &value, &unit, &has_unit))
        return false;
    *si = has_unit && text_is(unit.spelling, "%") ? fabs(nominal) * value / 100 : unit_difference_to_si(&unit, value);
    return true;
}

static void report_not_literal(struct lowering *l, struct quantity *q, uint32_t node)
{
    struct diagnostics *g = l->scope->diagnostics;
    struct diagnostic *d = report(g, FAULT_wrong_form, node_span(file_at(l->scope, q->site.file)->tree, node),
                                  "a value with a band is written in plain numbers");
    report_help(g, d, "write both as numbers with their units; about a formula the tolerance cannot be a percentage");
}

static void report_wider(struct lowering *l, struct quantity *q, const struct property_entry *row, uint32_t node)
{
    struct diagnostics *g = l->scope->diagnostics;
    struct diagnostic *d = report(g, FAULT_tolerance_wider, node_span(file_at(l->scope, q->site.file)->tree, node),
                                  "the tolerance of %s is wider than the value itself", row->name);
    report_help(g, d, "check the unit of the tolerance, or the value");
}

static struct low make_band(struct lowering *l, uint32_t id, const struct property_entry *row, double nominal,
                            double low, double high, uint32_t origin)
{
    bool held = row->role == ROLE_HELD || row->role == ROLE_SET;
    uint32_t node = note(
        l, program_input(&l->program, (struct input){nominal, low, high, held && low < high, id, false, 0}, origin));
    struct quantity *q = &l->quantities.at[id]; /* now: making the input may have moved them */
    if (q->banded) {
        q->low = emit_constant(l, low, origin);
        q->high = emit_constant(l, high, origin);
    }
    return low_node(node);
}

/* What `as ...` behind a tolerance says of the input made last. */
void note_spread(struct lowering *l, const struct tree *t, uint32_t statement)
{
    struct spread spread;
    if (spread_stated(t, statement, &spread))
        program_spread(&l->program, l->program.inputs.count - 1, spread);
}

static struct low make_toleranced(struct lowering *l, uint32_t id, const struct property_entry *row,
                                  const struct tree *t, uint32_t value, uint32_t origin)
{
    struct quantity *q = &l->quantities.at[id];
    uint32_t first = node_child(t, value), plus = node_next(t, first), minus = node_next(t, plus);
    double nominal, up, down;
    q->banded = true;
    if (!literal_si(row, t, first, &nominal) || !tolerance_si(t, plus, nominal, &up) ||
        !(minus ? tolerance_si(t, minus, nominal, &down) : (down = up, true))) {
        report_not_literal(l, q, value);
        return low_faulty();
    }
    if (up < 0 || down < 0) {
        struct diagnostic *d = report(l->scope->diagnostics, FAULT_range_inverted, node_span(t, up < 0 ? plus : minus),
                                      "a tolerance cannot be negative");
        report_help(l->scope->diagnostics, d, "write the half width; its sign stands in front already");
        return low_faulty();
    }
    if (q->entry && !q->unit.point && nominal != 0 && down > fabs(nominal)) /* what a let states may be an error */
        report_wider(l, q, row, minus ? minus : plus);
    struct low made = make_band(l, id, row, nominal, nominal - down, nominal + up, origin);
    note_spread(l, t, l->quantities.at[id].site.node);
    return made;
}

static struct low make_range(struct lowering *l, uint32_t id, const struct property_entry *row, const struct tree *t,
                             uint32_t value, uint32_t origin)
{
    struct quantity *q = &l->quantities.at[id];
    double low, high;
    uint32_t first = node_child(t, value);
    q->banded = true;
    if (!literal_si(row, t, first, &low) || !literal_si(row, t, node_next(t, first), &high)) {
        report_not_literal(l, q, value);
        return low_faulty();
    }
    if (low > high) {
        struct diagnostic *d = report(l->scope->diagnostics, FAULT_range_inverted, node_span(t, value),
                                      "the range of %s runs downwards", row->name);
        report_help(l->scope->diagnostics, d, "write the lower end first");
        return low_faulty();
    }
    return make_band(l, id, row, (low + high) / 2, low, high, origin);
}

/* A band about a value that is no constant: the value, and an input for how far the process is off. */
static struct low make_about(struct lowering *l, uint32_t id, uint32_t center, double down, double up, uint32_t origin)
{
    struct quantity *q = &l->quantities.at[id];
    q->banded = true;
    struct input off = {0, -down, up, down + up > 0, id, false, 0};
    uint32_t node = note(l, program_input(&l->program, off, origin));
    l->quantities.at[id].low = emit(l, OP_SUBTRACT, center, emit_constant(l, down, origin), 0, origin);
    l->quantities.at[id].high = emit(l, OP_ADD, center, emit_constant(l, up, origin), 0, origin);
    return low_node(emit(l, OP_ADD, center, node, 0, origin));
}

/* die.temperature +/- 4 K: about what the other is set to, whatever the other then does. */
static struct low make_toleranced_expression(struct lowering *l, uint32_t id, struct frame *f, uint32_t value,
                                             uint32_t origin)
{
    const struct tree *t = f->file->tree;
    uint32_t first = node_child(t, value), plus = node_next(t, first), minus = node_next(t, plus);
    double up, down;
    struct low center = lower_expression(f, first);
    if (center.tag != LOW_NODE)
        return center.tag == LOW_MISSING ? center : low_faulty();
    if (!tolerance_si(t, plus, NAN, &up) || !(minus ? tolerance_si(t, minus, NAN, &down) : (down = up, true)) ||
        !(up >= 0) || !(down >= 0)) { /* a share of what is not known yet */
        report_not_literal(l, &l->quantities.at[id], value);
        return low_faulty();
    }
    uint32_t nominal = emit(l, OP_NOMINAL, center.id, 0, 0, origin);
    struct low made = make_about(l, id, nominal, down, up, origin);
    note_spread(l, t, l->quantities.at[id].site.node);
    return made;
}

static enum preference preference_of(const struct tree *t, uint32_t find)
{
    NODE_EACH_CHILD (t, find, n)
        if (node_kind(t, n) == NODE_NAME && text_is(node_text(t, n), "lowest"))
            return PREFER_LOWEST;
        else if (node_kind(t, n) == NODE_NAME && text_is(node_text(t, n), "highest"))
            return PREFER_HIGHEST;
    return PREFER_MARGIN;
}

/* find LOW .. HIGH [+/- HALF] [prefer ...] */
static struct low make_unknown(struct lowering *l, uint32_t id, const struct property_entry *row, struct frame *f,
                               uint32_t value, uint32_t origin)
{
    const struct tree *t = f->file->tree;
    uint32_t first = node_child(t, value), second = node_next(t, first), half = node_next(t, second);
    struct unknown u = {.quantity = id, .prefer = preference_of(t, value), .site = {f->file_number, value}};
    double off = 0;
    bool banded = half && node_kind(t, half) != NODE_NAME;
    if (!literal_si(row, t, first, &u.low) || !literal_si(row, t, second, &u.high) ||
        (banded && !tolerance_si(t, half, (u.low + u.high) / 2, &off))) {
        report_not_literal(l, &l->quantities.at[id], value);
        return low_faulty();
    }
    if (u.low >= u.high) {
        struct diagnostic *d =
            report(l->scope->diagnostics, FAULT_range_inverted, node_span(t, value), "the range to look for %s in %s",
                   row->name, u.low > u.high ? "runs downwards" : "is empty");
        report_help(l->scope->diagnostics, d, "write the lower end first, and a higher one behind it");
        return low_faulty();
    }
    double middle = u.low + (u.high - u.low) / 2;
    uint32_t node =
        note(l, program_input(&l->program, (struct input){middle, u.low, u.high, true, id, true, 0}, origin));
    u.input = l->program.inputs.count - 1;
    *ARRAY_PUSH(l->arena, &l->unknowns) = u;
    return banded ? make_about(l, id, node, off, off, origin) : low_node(node);
}

static struct low make_number(struct lowering *l, uint32_t id, const struct property_entry *row, struct frame *f,
                              uint32_t value)
{
    const struct tree *t = f->file->tree;
    uint32_t origin = origin_of(l, f->file_number, value);
    double si;
    switch (node_kind(t, value)) {
    case NODE_TOLERANCE:
    case NODE_TOLERANCES:
        if (!literal_si(row, t, node_child(t, value), &si))
            return make_toleranced_expression(l, id, f, value, origin);
        return make_toleranced(l, id, row, t, value, origin);
    case NODE_RANGE:
        return make_range(l, id, row, t, value, origin);
    case NODE_FIND:
        return make_unknown(l, id, row, f, value, origin);
    default:
        if (literal_si(row, t, value, &si))
            return make_band(l, id, row, si, si, si, origin);
        return lower_expression(f, value);
    }
}

static struct low make_stated(struct lowering *l, uint32_t id, const struct property *p, uint32_t property)
{
    const struct property_entry *row = p->entry;
    struct frame f = frame_at(l, p->site);
    f.self = l->quantities.at[id].definition;
    const struct tree *t = f.file->tree;
    if (!p->value || node_kind(t, p->value) == NODE_ERROR)
        return low_faulty();
    switch (row->form) {
    case FORM_QUANTITY:
    case FORM_BAND:
    case FORM_RANGE:
        l->quantities.at[id].unit = stated_unit(l, t, p->value, row);
        l->quantities.at[id].own_unit = l->quantities.at[id].unit.factor != unit_of_type_text(row->type).factor;
        l->own_units = l->own_units || l->quantities.at[id].own_unit;
        l->quantities.at[id].shown_as_quantity = true;
        return make_number(l, id, row, &f, p->value);
    case FORM_FUNCTION:
        return (struct low){.tag = LOW_FUNCTION, .id = property, .of = f.self};
    case FORM_REFERENCE:
        if (node_kind(t, p->value) == NODE_NAME)
            return f.file->bindings[p->value].what == BIND_DEFINITION
                       ? (struct low){.tag = LOW_DEFINITION, .id = f.file->bindings[p->value].id}
                       : low_faulty();
        return lower_expression(&f, p->value);
    case FORM_REFERENCES:
        return (struct low){.tag = LOW_LIST, .id = property, .of = f.self};
    case FORM_WORD:
        return (struct low){.tag = LOW_WORD, .text = node_text(t, p->value)};
    case FORM_TEXT:
        return (struct low){.tag = LOW_TEXT, .id = id};
    case FORM_DATE:
        return (struct low){.tag = LOW_DATE, .text = node_text(t, p->value)};
    case FORM_TRUTH:
        return lower_expression(&f, p->value);
    }
    return low_faulty();
}

/* ---- values nobody stated -------------------------------------------------------------------------------------------------- */

uint32_t known_property(const struct lowering *l, uint32_t definition, atom name)
{
    return map_get(&l->known, map_key(KNOWN_PROPERTY + definition, name));
}

static struct low make_only(struct lowering *l, const struct property_entry *row)
{
    uint32_t many, id = find_sole(l->scope, kind_named(text_of(row->type)), &many);
    if (id)
        return (struct low){.tag = LOW_DEFINITION, .id = id};
    if (many)
        return low_missing(arena_format(l->arena, "there are %u definitions of kind %s and no %s says which is meant",
                                        many, row->type, row->name),
                           false);
    return low_missing(arena_format(l->arena, "the recipe has no %s", row->type), false);
}

static struct low make_named(struct lowering *l, const struct property_entry *row)
{
    atom name = interned(&l->scope->names, text_of(row->standard + sizeof "named"));
    uint32_t id = name ? find_definition(l->scope, kind_named(text_of(row->type)), name) : 0;
    if (id)
        return (struct low){.tag = LOW_DEFINITION, .id = id};
    return low_missing(
        arena_format(l->arena, "the recipe has no %s called %s", row->type, row->standard + sizeof "named"), false);
}

static struct low make_standard(struct lowering *l, uint32_t id, const struct property_entry *row)
{
    struct quantity *q = &l->quantities.at[id];
    struct text text = text_of(row->standard);
    if (row->form == FORM_REFERENCE)
        return strcmp(row->standard, "only") == 0 ? make_only(l, row) : make_named(l, row);
    if (row->form == FORM_WORD)
        return (struct low){.tag = LOW_WORD, .text = text};
    if (row->form == FORM_TRUTH)
        return low_truth(text_is(text, "true"));
    const char *blank = memchr(text.at, ' ', text.len);
    struct text number = {text.at, blank ? (uint32_t)(blank - text.at) : text.len};
    struct text spelled = blank ? text_of(blank + 1) : TEXT("1");
    struct unit_error error;
    double value = 0;
    number_read(number, &value);
    unit_read(spelled, &q->unit, &error);
    q->shown_as_quantity = true;
    double si = unit_to_si(&q->unit, value);
    return make_band(l, id, row, si, si, si, 0);
}

static struct low not_stated(struct lowering *l, uint32_t definition, atom name)
{
    return low_missing(arena_format(l->arena, "%.*s states no %.*s", TEXT_ARGS(definition_words(l->scope, definition)),
                                    TEXT_ARGS(atom_text(&l->scope->names, name))),
                       false);
}

uint32_t lower_property(struct lowering *l, uint32_t definition, atom name)
{
    uint64_t key = map_key(KNOWN_PROPERTY + definition, name);
    uint32_t known = map_get(&l->known, key), outer;
    if (known)
        return revisit(l, known);
    enum kind kind = definition_at(l->scope, definition)->kind;
    uint32_t property = find_property(l->scope, definition, name);
    const struct property_entry *row = property_named(kind, atom_text(&l->scope->names, name));
    struct quantity q = {.sort = property ? QUANTITY_STATED : QUANTITY_STANDARD,
                         .path = path_of(l, definition, name),
                         .definition = definition,
                         .name = name,
                         .entry = row};
    if (property)
        q.site = property_at(l->scope, property)->site;
    uint32_t id = begin(l, key, q);
    struct low value;
    if (!enter(l, id, &outer))
        value = low_faulty();
    else if (property)
        value = make_stated(l, id, property_at(l->scope, property), property);
    else if (row && row->need == NEED_STANDARD)
        value = make_standard(l, id, row);
    else
        value = not_stated(l, definition, name);
    l->quantities.at[id].value = value;
    leave(l, id, outer);
    return id;
}

/* ---- derived values and lets -------------------------------------------------------------------------------------------------- */

static struct unit unit_of_type(struct lowering *l, const struct tree *t, uint32_t node, const struct type *type)
{
    uint32_t unit_node = node_find(t, node, NODE_UNIT_TYPE);
    struct unit unit;
    if (unit_node && read_unit_type(l->scope, t, unit_node, &unit))
        return unit;
    return unit_default(l->arena, type->dim, type->point);
}

/* A let with a tolerance is stated, not worked out. */
static struct low make_let_band(struct lowering *l, uint32_t id, struct frame *f, uint32_t value)
{
    struct quantity *q = &l->quantities.at[id];
    const struct property_entry *row = entry_of_let(l->arena, q->path, q->unit);
    if (!node_find(f->file->tree, q->site.node, NODE_UNIT_TYPE))
        q->unit = stated_unit(l, f->file->tree, value, row);
    return make_number(l, id, row, f, value);
}

static void make_expression(struct lowering *l, uint32_t id, struct frame *f, struct site site, const struct type *type)
{
    const struct tree *t = f->file->tree;
    uint32_t value = node_value(t, site.node), outer;
    struct low low = low_faulty();
    l->quantities.at[id].shown_as_quantity = type->tag == TYPE_QUANTITY;
    if (type->tag == TYPE_QUANTITY)
        l->quantities.at[id].unit = unit_of_type(l, t, site.node, type);
    if (enter(l, id, &outer) && value && type->tag != TYPE_ERROR)
        low = is_banded(t, value) ? make_let_band(l, id, f, value) : lower_expression(f, value);
    low.quantity = 0;
    l->quantities.at[id].value = low;
    leave(l, id, outer);
}

uint32_t lower_derived(struct lowering *l, uint32_t derived, uint32_t definition)
{
    uint64_t key = map_key(definition, derived) ^ (uint64_t)KNOWN_DERIVED << 62;
    uint32_t known = map_get(&l->known, key);
    if (known)
        return revisit(l, known);
    const struct derived d = *derived_at(l->scope, derived);
    uint32_t id = begin(l, key,
                        (struct quantity){.sort = QUANTITY_DERIVED,
                                          .path = path_of(l, definition, d.name),
                                          .definition = definition,
                                          .name = d.name,
                                          .site = d.site});
    struct frame f = frame_at(l, d.site);
    f.locals[f.count++] = (struct low){.tag = LOW_DEFINITION, .id = definition};
    make_expression(l, id, &f, d.site, d.type);
    follow_stated_unit(l, id);
    return id;
}

uint32_t lower_let(struct lowering *l, uint32_t let)
{
    uint64_t key = map_key(KNOWN_LET, let) ^ (uint64_t)1 << 61;
    uint32_t known = map_get(&l->known, key);
    if (known)
        return revisit(l, known);
    const struct let d = *let_at(l->scope, let);
    uint32_t id =
        begin(l, key,
              (struct quantity){
                  .sort = QUANTITY_LET, .path = atom_text(&l->scope->names, d.name), .name = d.name, .site = d.site});
    struct frame f = frame_at(l, d.site);
    make_expression(l, id, &f, d.site, d.type);
    follow_stated_unit(l, id);
    return id;
}

struct low lower_member_of(struct lowering *l, uint32_t definition, atom name)
{
    enum kind kind = definition_at(l->scope, definition)->kind;
    if (property_named(kind, atom_text(&l->scope->names, name)))
        return quantity_low(l, lower_property(l, definition, name));
    uint32_t derived = find_derived(l->scope, kind, name);
    if (derived)
        return quantity_low(l, lower_derived(l, derived, definition));
    return low_missing(arena_format(l->arena, "%.*s has no %.*s", TEXT_ARGS(definition_words(l->scope, definition)),
                                    TEXT_ARGS(atom_text(&l->scope->names, name))),
                       false);
}

/* Its own properties, its base's, and standard values: all that anything later may ask for. */
static void lower_stated_of(struct lowering *l, uint32_t definition)
{
    struct scope *s = l->scope;
    enum kind kind = definition_at(s, definition)->kind;
    for (uint32_t i = 0; i < property_count; i++)
        if (property_table[i].kind == kind || property_table[i].kind == kind_table[kind].family)
            lower_property(l, definition, intern(&s->names, text_of(property_table[i].name)));
}

static void lower_derived_of(struct lowering *l, uint32_t definition)
{
    enum kind kind = definition_at(l->scope, definition)->kind;
    for (uint32_t d = 1; d < derived_end(l->scope); d++) {
        const struct derived *row = derived_at(l->scope, d);
        if (kind_is(kind, row->kind) && find_derived(l->scope, kind, row->name) == d)
            lower_derived(l, d, definition);
    }
}

void lower_all(struct lowering *l)
{
    struct scope *s = l->scope;
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        lower_stated_of(l, id);
    for (uint32_t id = s->first_definition; id < definition_end(s); id++)
        lower_derived_of(l, id);
    for (uint32_t id = 1; id < let_end(s); id++)
        lower_let(l, id);
}

/* ---- names a user asks with ---------------------------------------------------------------------------------------------------- */

static uint32_t definition_of_prefix(struct lowering *l, struct text prefix)
{
    struct scope *s = l->scope;
    const char *dot = memchr(prefix.at, '.', prefix.len);
    if (dot) {
        struct text kind = {prefix.at, (uint32_t)(dot - prefix.at)};
        struct text name = {dot + 1, prefix.len - kind.len - 1};
        atom a = interned(&s->names, name);
        return kind_named(kind) && a ? find_definition(s, kind_named(kind), a) : 0;
    }
    atom a = interned(&s->names, prefix);
    uint32_t many, id = a ? find_any_definition(s, a) : 0;
    if (id && !definition_at(s, id)->namesake)
        return id;
    enum kind kind = kind_named(prefix);
    if (!id && kind)
        return find_sole(s, kind, &many);
    return 0;
}

/* Of several definitions with one name, the first that has the member. */
static uint32_t among_namesakes(struct lowering *l, struct text prefix, atom member)
{
    struct scope *s = l->scope;
    atom a = interned(&s->names, prefix);
    for (uint32_t id = a ? find_any_definition(s, a) : 0; id; id = definition_at(s, id)->namesake) {
        enum kind kind = definition_at(s, id)->kind;
        if (property_named(kind, atom_text(&s->names, member)) || find_derived(s, kind, member))
            return id;
    }
    return 0;
}

uint32_t quantity_named(struct lowering *l, struct text path)
{
    struct scope *s = l->scope;
    atom whole = interned(&s->names, path);
    uint32_t let = whole ? find_let(s, whole) : 0;
    if (let)
        return lower_let(l, let);
    uint32_t dot = path.len;
    while (dot > 0 && path.at[dot - 1] != '.')
        dot--;
    if (dot < 2)
        return 0;
    struct text prefix = {path.at, dot - 1}, last = {path.at + dot, path.len - dot};
    atom member = intern(&s->names, last);
    uint32_t definition = definition_of_prefix(l, prefix);
    if (!definition)
        definition = among_namesakes(l, prefix, member);
    if (!definition)
        return 0;
    struct low low = lower_member_of(l, definition, member);
    return low.quantity;
}
