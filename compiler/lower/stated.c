/* What a property comes to when it is stated, bands and values left open among it, and when it is not. */
#include "compiler/lower/parts.h"

#include "compiler/model/holes.h"
#include "compiler/model/roles.h"
#include "runtime/base/number.h"

#include <math.h>

/* ---- stated values ------------------------------------------------------------------------------------------------------- */

static struct unit stated_unit(const struct tree *t, uint32_t value, const struct property_entry *p)
{
    double number;
    struct unit unit;
    bool has_unit;
    uint32_t node = value;
    if (node_is_banded(t, value) || node_kind(t, value) == NODE_RANGE || node_kind(t, value) == NODE_FIND)
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

static struct low make_band(struct lowering *l, uint32_t id, const struct property_entry *row, double nominal,
                            double low, double high, uint32_t origin)
{
    bool held = row->role == ROLE_HELD || row->role == ROLE_SET;
    uint32_t node = emit_input(l, (struct input){nominal, low, high, held && low < high, id, false, 0}, origin);
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
    uint32_t node = emit_input(l, off, origin);
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

/* What the same statement left open before: a definition that is like another takes over the value found for that one. */
static const struct unknown *unknown_at(const struct lowering *l, struct site site)
{
    for (uint32_t i = 0; i < l->unknowns.count; i++)
        if (l->unknowns.at[i].site.file == site.file && l->unknowns.at[i].site.node == site.node)
            return &l->unknowns.at[i];
    return NULL;
}

static uint32_t add_unknown(struct lowering *l, struct unknown u, uint32_t origin)
{
    double middle = u.low + (u.high - u.low) / 2;
    u.node = emit_input(l, (struct input){middle, u.low, u.high, true, u.quantity, true, 0}, origin);
    u.input = l->program.inputs.count - 1;
    *ARRAY_PUSH(l->arena, &l->unknowns) = u;
    return u.node;
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
    const struct unknown *before = unknown_at(l, u.site);
    uint32_t node = before ? before->node : add_unknown(l, u, origin);
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

/* A recipe that leaves values open is a draft, whatever it says. */
static struct text word_in_force(struct lowering *l, const struct property_entry *row, struct text stated)
{
    return has_purpose(row->uses, FOR_status) && scope_is_open(l->scope) ? TEXT("draft") : stated;
}

/* Whoever it was taken over by, it is filled in where it stands. */
struct low lower_hole(struct lowering *l, const struct property *p)
{
    return low_missing(
        l, (struct reason){.kind = REASON_hole, .definition = p->definition, .name = text_of(p->entry->name)});
}

static struct low make_form(struct lowering *l, uint32_t id, const struct property *p, uint32_t property,
                            struct frame *f)
{
    const struct property_entry *row = p->entry;
    const struct tree *t = f->file->tree;
    if (!p->value || node_kind(t, p->value) == NODE_ERROR)
        return low_faulty();
    if (property_is_open(l->scope, property)) {
        l->quantities.at[id].open = true;
        return lower_hole(l, p);
    }
    switch (row->form) {
    case FORM_QUANTITY:
    case FORM_BAND:
    case FORM_RANGE:
        l->quantities.at[id].unit = stated_unit(t, p->value, row);
        l->quantities.at[id].own_unit = l->quantities.at[id].unit.factor != unit_of_type_text(row->type).factor;
        l->making->own_units = l->making->own_units || l->quantities.at[id].own_unit;
        l->quantities.at[id].shown_as_quantity = true;
        return make_number(l, id, row, f, p->value);
    case FORM_FUNCTION:
        return (struct low){.tag = LOW_FUNCTION, .id = property, .of = f->self};
    case FORM_REFERENCE:
        if (node_kind(t, p->value) == NODE_NAME)
            return f->file->bindings[p->value].what == BIND_DEFINITION
                       ? (struct low){.tag = LOW_DEFINITION, .id = f->file->bindings[p->value].id}
                       : low_faulty();
        return lower_expression(f, p->value);
    case FORM_REFERENCES:
        return lower_list(f, p->value);
    case FORM_WORD:
        return (struct low){.tag = LOW_WORD, .text = word_in_force(l, row, node_text(t, p->value))};
    case FORM_TEXT:
        return (struct low){.tag = LOW_TEXT, .id = id};
    case FORM_DATE:
        return (struct low){.tag = LOW_DATE, .text = node_text(t, p->value)};
    case FORM_TRUTH:
        return lower_expression(f, p->value);
    }
    return low_faulty();
}

struct low make_stated(struct lowering *l, uint32_t id, const struct property *p, uint32_t property)
{
    struct frame f = frame_at(l, p->site);
    f.self = l->quantities.at[id].definition;
    struct low low = make_form(l, id, p, property, &f);
    l->quantities.at[id].record = f.whole;
    return low;
}

/* A let with a tolerance is stated, not worked out. */
struct low make_let_band(struct lowering *l, uint32_t id, struct frame *f, uint32_t value)
{
    struct quantity *q = &l->quantities.at[id];
    const struct property_entry *row = entry_of_let(l->arena, q->path, q->unit);
    if (!node_find(f->file->tree, q->site.node, NODE_UNIT_TYPE))
        q->unit = stated_unit(f->file->tree, value, row);
    return make_number(l, id, row, f, value);
}

/* ---- values that are not stated -------------------------------------------------------------------------------------------------- */

static struct low make_only(struct lowering *l, const struct property_entry *row)
{
    enum kind kind = kind_named(text_of(row->type));
    uint32_t many, id = find_sole(l->scope, kind, &many);
    if (id)
        return (struct low){.tag = LOW_DEFINITION, .id = id};
    if (many)
        return low_missing(
            l, (struct reason){.kind = REASON_which_by, .count = many, .of = kind, .name = text_of(row->name)});
    return low_missing(l, (struct reason){.kind = REASON_no_kind, .of = kind});
}

static struct low make_role(struct lowering *l, uint32_t definition, struct text role)
{
    uint32_t id = role_tool(l->scope, definition, role);
    if (id)
        return (struct low){.tag = LOW_DEFINITION, .id = id};
    return low_missing(l, (struct reason){.kind = REASON_no_tool, .name = role});
}

struct low make_standard(struct lowering *l, uint32_t id, const struct property_entry *row)
{
    struct quantity *q = &l->quantities.at[id];
    struct text text = text_of(row->standard);
    if (row->form == FORM_REFERENCE)
        return strcmp(row->standard, "only") == 0 ? make_only(l, row)
                                                  : make_role(l, q->definition, text_of(row->standard + sizeof "role"));
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

struct low not_stated(struct lowering *l, uint32_t definition, atom name)
{
    struct text word = atom_text(&l->scope->names, name);
    const struct property_entry *row = property_named(definition_at(l->scope, definition)->kind, word);
    bool asked_for = row && row->need == NEED_REQUIRED;
    return low_missing(
        l, (struct reason){.kind = REASON_not_stated, .reported = asked_for, .definition = definition, .name = word});
}
