/* Quantities: what is stated, standard, derived or let, each made once. */
#include "compiler/lower/lower.h"

#include "runtime/statistics/uncertainty.h"

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
    map_init(&l->constant_records, arena);
    ARRAY_PUSH(arena, &l->origins);
    ARRAY_PUSH(arena, &l->records);
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
    if (l->later)
        return note(l, program_node(&l->program, OP_UNCERTAINTY, of, 0, 0, origin));
    return note(l, program_uncertainty(&l->program, of, origin));
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
    struct text parts[] = {text_of(kind_table[d->kind].name), TEXT("."), owner, TEXT("."),
                           atom_text(&l->scope->names, name)};
    return arena_joined(l->arena, shared ? parts : parts + 2, shared ? 5 : 3);
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

/* ---- properties ------------------------------------------------------------ */

uint32_t known_property(const struct lowering *l, uint32_t definition, atom name)
{
    return map_get(&l->known, map_key(KNOWN_PROPERTY + definition, name));
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

static void make_expression(struct lowering *l, uint32_t id, struct frame *f, struct site site, const struct type *type)
{
    const struct tree *t = f->file->tree;
    uint32_t value = node_value(t, site.node), outer;
    struct low low = low_faulty();
    l->quantities.at[id].shown_as_quantity = type->tag == TYPE_QUANTITY;
    if (type->tag == TYPE_QUANTITY)
        l->quantities.at[id].unit = unit_of_type(l, t, site.node, type);
    if (enter(l, id, &outer) && value && type->tag != TYPE_ERROR)
        low = node_is_banded(t, value) ? make_let_band(l, id, f, value) : lower_expression(f, value);
    low.quantity = 0;
    l->quantities.at[id].value = low;
    l->quantities.at[id].record = f->whole;
    leave(l, id, outer);
}

static uint64_t derived_key(uint32_t derived, uint32_t definition)
{
    return map_key(definition, derived) ^ (uint64_t)KNOWN_DERIVED << 62;
}

uint32_t known_derived(const struct lowering *l, uint32_t derived, uint32_t definition)
{
    return map_get(&l->known, derived_key(derived, definition));
}

uint32_t lower_derived(struct lowering *l, uint32_t derived, uint32_t definition)
{
    uint64_t key = derived_key(derived, definition);
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
