/* Quantities: what is stated, standard, derived or let, each made once. */
#include "compiler/lower/parts.h"

enum { KNOWN_LET = 1, KNOWN_DERIVED = 2, KNOWN_PROPERTY = 0x100, DEPTH_LIMIT = 400 };

/* ---- keys --------------------------------------------------------------------------------------------------------------- */

uint64_t key_of_property(uint32_t definition, atom name)
{
    return map_key(KNOWN_PROPERTY + definition, name);
}

uint64_t key_of_derived(uint32_t derived, uint32_t definition)
{
    return map_key(definition, derived) ^ (uint64_t)KNOWN_DERIVED << 62;
}

uint64_t key_of_let(uint32_t let)
{
    return map_key(KNOWN_LET, let) ^ (uint64_t)1 << 61;
}

/* ---- making a quantity -------------------------------------------------------------------------------------------------- */

static uint32_t begin(struct lowering *l, uint64_t key, struct quantity q)
{
    uint32_t id = l->quantities.count;
    *ARRAY_PUSH(l->arena, &l->quantities) = q;
    l->quantities.at[id].busy = true;
    map_set(&l->making->known, key, id);
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
    const struct quantity *via = &l->quantities.at[l->making->current];
    if (l->making->current && l->making->current != id && via->site.file)
        report_label(g, d, site_span(l->scope, via->site), "by way of '%.*s'", TEXT_ARGS(via->path));
    report_help(g, d, "break the circle: state one of the values it goes through");
}

/* Runs a maker with the quantity current; a quantity that is met while it is being made is a circle. */
static bool enter(struct lowering *l, uint32_t id, uint32_t *outer)
{
    *outer = l->making->current;
    l->making->current = id;
    if (++l->making->depth <= DEPTH_LIMIT)
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
    l->making->depth--;
    l->making->current = outer;
    l->quantities.at[id].busy = false;
}

static uint32_t revisit(struct lowering *l, uint32_t id)
{
    if (l->quantities.at[id].busy) {
        report_circle(l, id);
        l->quantities.at[id].value = low_missing(l, (struct reason){.kind = REASON_circle, .reported = true});
    }
    return id;
}

/* ---- properties ------------------------------------------------------------ */

uint32_t lower_property(struct lowering *l, uint32_t definition, atom name)
{
    uint64_t key = key_of_property(definition, name);
    uint32_t known = map_get(&l->making->known, key), outer;
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

uint32_t lower_derived(struct lowering *l, uint32_t derived, uint32_t definition)
{
    uint64_t key = key_of_derived(derived, definition);
    uint32_t known = map_get(&l->making->known, key);
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
    uint64_t key = key_of_let(let);
    uint32_t known = map_get(&l->making->known, key);
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
    struct text word = atom_text(&l->scope->names, name);
    return low_missing(l, (struct reason){.kind = REASON_no_member, .definition = definition, .name = word});
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

/* Other definitions are the library's and those of files that are used: what a reference was found to lead to. */
static void lower_stated_only(struct lowering *l, uint32_t definition)
{
    struct scope *s = l->scope;
    for (uint32_t d = definition; d; d = definition_at(s, d)->base) {
        const struct definition *row = definition_at(s, d);
        for (uint32_t i = 0; i < row->property_count; i++) {
            const struct property *p = property_at(s, row->first_property + i);
            lower_property(l, definition, intern(&s->names, text_of(p->entry->name)));
        }
    }
}

void lower_stated_of_met(struct lowering *l)
{
    bool *met = ARENA_ARRAY(l->arena, definition_end(l->scope), bool);
    for (uint32_t i = 1; i < l->quantities.count; i++) {
        struct low low = l->quantities.at[i].value;
        if (low.tag != LOW_DEFINITION || low.id >= l->scope->first_definition || met[low.id])
            continue;
        met[low.id] = true;
        lower_stated_only(l, low.id);
    }
}
