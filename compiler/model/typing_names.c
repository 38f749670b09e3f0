/* What names mean: locals, properties, definitions, lets, and what follows a dot. */
#include "compiler/model/typing.h"

static const struct tree *tree_in(const struct env *e)
{
    return e->file->tree;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static struct type type_of_definition(const struct scope *s, uint32_t id)
{
    return (struct type){.tag = TYPE_REFERENCE, .kind = definition_at(s, id)->kind};
}

struct type type_of_property(const struct scope *s, const struct property_entry *p)
{
    (void)s;
    struct type t = {.entry = p};
    switch (p->form) {
    case FORM_QUANTITY:
    case FORM_BAND:
    case FORM_RANGE: {
        struct unit u = unit_of_type_text(p->type);
        t = type_quantity(u.dim, u.point);
        t.entry = p;
        return t;
    }
    case FORM_FUNCTION:
        t.tag = TYPE_FUNCTION;
        return t;
    case FORM_REFERENCE:
    case FORM_REFERENCES:
        t.tag = p->form == FORM_REFERENCE ? TYPE_REFERENCE : TYPE_REFERENCES;
        t.kind = kind_named(text_of(p->type));
        return t;
    case FORM_WORD:
        t.tag = TYPE_WORD;
        return t;
    case FORM_TEXT:
        t.tag = TYPE_TEXT;
        return t;
    case FORM_DATE:
        t.tag = TYPE_DATE;
        return t;
    case FORM_TRUTH:
        t.tag = TYPE_TRUTH;
        return t;
    }
    return t;
}

/* 120/h: a quotient of a number and nothing, where the number of a unit was meant. */
static bool report_tight_unit(struct env *e, struct diagnostic *d, uint32_t node, struct text name)
{
    struct unit unit;
    struct unit_error why;
    struct span span = env_span(e, node);
    struct text bytes = tree_in(e)->bytes;
    if (span.lo < 2 || bytes.at[span.lo - 1] != '/' || !is_digit(bytes.at[span.lo - 2]) ||
        unit_read(name, &unit, &why) != UNIT_OK)
        return false;
    uint32_t from = span.lo - 1;
    while (from && (is_digit(bytes.at[from - 1]) || strchr("._", bytes.at[from - 1])))
        from--;
    report_help(e->scope->diagnostics, d, "a unit stands behind its number after one space: write '%.*s /%.*s'",
                (int)(span.lo - 1 - from), bytes.at + from, TEXT_ARGS(name));
    report_edit(e->scope->diagnostics, d, (struct span){span.file, span.lo - 1, span.lo}, TEXT(" /"));
    return true;
}

static uint32_t before_blanks(struct text bytes, uint32_t at)
{
    while (at && bytes.at[at - 1] == ' ')
        at--;
    return at;
}

/* 25 mm / s: a unit with blanks, whose second part reads as a name. */
static bool report_spaced_unit(struct env *e, struct diagnostic *d, uint32_t node, struct text name)
{
    struct unit unit;
    struct unit_error why;
    struct span span = env_span(e, node);
    struct text bytes = tree_in(e)->bytes;
    uint32_t sign = before_blanks(bytes, span.lo), end = sign ? before_blanks(bytes, sign - 1) : 0, from = end;
    if (!sign || (bytes.at[sign - 1] != '/' && bytes.at[sign - 1] != '*'))
        return false;
    while (from && !strchr(" \n=(", bytes.at[from - 1]))
        from--;
    struct text whole = arena_format(e->scope->arena, "%.*s%c%.*s", (int)(end - from), bytes.at + from,
                                     bytes.at[sign - 1], TEXT_ARGS(name));
    if (end == from || is_digit(bytes.at[from]) || unit_read(whole, &unit, &why) != UNIT_OK)
        return false;
    report_help(e->scope->diagnostics, d, "a unit has no blanks: write '%.*s'", TEXT_ARGS(whole));
    report_edit(e->scope->diagnostics, d, (struct span){span.file, from, span.hi}, whole);
    return true;
}

static void report_unknown_name(struct env *e, uint32_t node, struct text name)
{
    struct scope *s = e->scope;
    struct diagnostic *d =
        report(s->diagnostics, FAULT_unknown_name, env_span(e, node), "nothing is called '%.*s'", TEXT_ARGS(name));
    if (!report_kept(s->diagnostics, d) || report_tight_unit(e, d, node, name) || report_spaced_unit(e, d, node, name))
        return;
    ARRAY(struct text) names = {0};
    for (uint32_t i = 0; i < e->count; i++)
        *ARRAY_PUSH(s->arena, &names) = atom_text(&s->names, e->locals[i].name);
    for (uint32_t i = 1; i < let_end(s) && names.count < NEAREST_LIMIT; i++)
        *ARRAY_PUSH(s->arena, &names) = atom_text(&s->names, let_at(s, i)->name);
    for (int k = 1; k < KIND_COUNT; k++)
        *ARRAY_PUSH(s->arena, &names) = text_of(kind_table[k].name);
    for (uint32_t i = 0; e->self && i < property_count; i++)
        if (property_table[i].kind == e->self)
            *ARRAY_PUSH(s->arena, &names) = text_of(property_table[i].name);
    struct text near = nearest(name, names.at, names.count);
    struct text other = nearest_definition(s, KIND_NONE, name);
    if (!near.len)
        near = other;
    if (near.len) {
        report_help(s->diagnostics, d, "did you mean '%.*s'?", TEXT_ARGS(near));
        report_edit(s->diagnostics, d, env_span(e, node), near);
    } else {
        report_help(s->diagnostics, d, "define it with let, or check the name");
    }
}

/* Locals, then properties of the same definition, then what the recipe and the library define. */
struct type type_of_name(struct env *e, uint32_t node)
{
    struct scope *s = e->scope;
    struct text name = node_text(tree_in(e), node);
    atom a = interned(&s->names, name);
    for (uint32_t i = e->count; a && i-- > 0;)
        if (e->locals[i].name == a) {
            typing_bind(e, node, BIND_LOCAL, i);
            return e->locals[i].type;
        }
    const struct property_entry *p = e->self ? property_named(e->self, name) : NULL;
    if (p) {
        typing_bind(e, node, BIND_SIBLING, intern(&s->names, name));
        return type_of_property(s, p);
    }
    uint32_t id = a ? find_let(s, a) : 0;
    if (id) {
        typing_bind(e, node, BIND_LET, id);
        return *type_of_let(e, node, id);
    }
    if (a && (id = find_any_definition(s, a))) {
        const struct definition *d = definition_at(s, id);
        if (d->namesake) {
            struct diagnostic *g =
                report(s->diagnostics, FAULT_ambiguous_name, env_span(e, node), "'%.*s' is both a %s and a %s",
                       TEXT_ARGS(name), kind_table[d->kind].name, kind_table[definition_at(s, d->namesake)->kind].name);
            report_help(s->diagnostics, g, "say which: '%s.%.*s' or '%s.%.*s'", kind_table[d->kind].name,
                        TEXT_ARGS(name), kind_table[definition_at(s, d->namesake)->kind].name, TEXT_ARGS(name));
            return type_plain(TYPE_ERROR);
        }
        typing_bind(e, node, BIND_DEFINITION, id);
        return type_of_definition(s, id);
    }
    enum kind kind = kind_named(name);
    if (kind) {
        typing_bind(e, node, BIND_SOLE, kind);
        return (struct type){.tag = TYPE_REFERENCE, .kind = kind};
    }
    if (!scope_lost(s, KIND_NONE, name))
        report_unknown_name(e, node, name);
    return type_plain(TYPE_ERROR);
}

static void report_unknown_member(struct env *e, uint32_t node, struct type base, struct text name)
{
    struct scope *s = e->scope;
    struct diagnostic *d =
        report(s->diagnostics, FAULT_unknown_property, env_span(e, node),
               "%s has no property '%.*s', stated or derived", kind_table[base.kind].name, TEXT_ARGS(name));
    if (!report_kept(s->diagnostics, d))
        return;
    ARRAY(struct text) names = {0};
    for (uint32_t i = 0; i < property_count; i++)
        if (property_table[i].kind == base.kind || property_table[i].kind == kind_table[base.kind].family)
            *ARRAY_PUSH(s->arena, &names) = text_of(property_table[i].name);
    for (uint32_t i = 1; i < derived_end(s); i++)
        if (kind_is(base.kind, derived_at(s, i)->kind))
            *ARRAY_PUSH(s->arena, &names) = atom_text(&s->names, derived_at(s, i)->name);
    struct text near = nearest(name, names.at, names.count);
    if (near.len) {
        report_help(s->diagnostics, d, "did you mean '%.*s'?", TEXT_ARGS(near));
        report_edit(s->diagnostics, d, env_span(e, node), near);
    }
}

/* `kind.name`: that definition; the kind's bare name stands for its only one otherwise. */
static bool picks_definition(struct env *e, uint32_t node, uint32_t base, struct text name, struct type *out)
{
    struct scope *s = e->scope;
    if (node_kind(tree_in(e), base) != NODE_NAME || e->file->bindings[base].what != BIND_SOLE)
        return false;
    atom a = interned(&s->names, name);
    enum kind kind = (enum kind)e->file->bindings[base].id;
    uint32_t id = a ? find_definition(s, kind, a) : 0;
    if (!id)
        return false;
    typing_bind(e, base, BIND_KIND, kind);
    typing_bind(e, node, BIND_DEFINITION, id);
    *out = type_of_definition(s, id);
    return true;
}

static bool is_dotted_let(struct env *e, uint32_t node, struct type *out)
{
    atom a = interned(&e->scope->names, node_text(tree_in(e), node));
    uint32_t id = a ? find_let(e->scope, a) : 0;
    if (!id)
        return false;
    typing_bind(e, node, BIND_LET, id);
    *out = *type_of_let(e, node, id);
    return true;
}

struct type type_of_member(struct env *e, uint32_t node)
{
    struct scope *s = e->scope;
    struct type base, out;
    if (is_dotted_let(e, node, &out))
        return out;
    uint32_t base_node = node_child(tree_in(e), node), name_node = node_next(tree_in(e), base_node);
    if (!name_node)
        return type_plain(TYPE_ERROR);
    struct text name = node_text(tree_in(e), name_node);
    base = type_of(e, base_node);
    if (base.tag == TYPE_ERROR)
        return base;
    if (base.tag != TYPE_REFERENCE) {
        struct diagnostic *d = report(s->diagnostics, FAULT_not_a_quantity, env_span(e, base_node),
                                      "%.*s has no properties", TEXT_ARGS(type_words(s->arena, base)));
        report_help(s->diagnostics, d, "only a definition, such as a tool or a step, has a '.%.*s'", TEXT_ARGS(name));
        return type_plain(TYPE_ERROR);
    }
    if (picks_definition(e, node, base_node, name, &out))
        return out;
    const struct property_entry *p = property_named(base.kind, name);
    if (p) {
        typing_bind(e, node, BIND_PROPERTY, intern(&s->names, name));
        return type_of_property(s, p);
    }
    atom a = interned(&s->names, name);
    uint32_t id = a ? find_derived(s, base.kind, a) : 0;
    if (!id) {
        report_unknown_member(e, name_node, base, name);
        return type_plain(TYPE_ERROR);
    }
    typing_bind(e, node, BIND_DERIVED, a);
    return *type_of_derived(e, node, id);
}
