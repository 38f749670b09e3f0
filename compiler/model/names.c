#include "compiler/model/names_declare.h"

/* Keys of scope.map: a tag that says which names are meant, and the name. */
enum tag {
    TAG_LET = 1,
    TAG_FORMULA,
    TAG_RULE,
    TAG_USE = 0x80,         /* + kind: derived values by what they are for */
    TAG_ANY,                /* first definition of that name, whatever its kind */
    TAG_DEFINITION = 0x100, /* + kind */
    TAG_DERIVED = 0x200,    /* + kind */
    TAG_PROPERTY = 0x1000   /* + definition */
};

void scope_init(struct scope *s, struct arena *arena, const struct scope *below, struct sources *sources,
                struct diagnostics *diagnostics)
{
    *s = (struct scope){.arena = arena, .below = below, .sources = sources, .diagnostics = diagnostics};
    intern_init(&s->names, arena, below ? &below->names : NULL);
    map_init(&s->map, arena);
    s->first_file = sources->first;
    s->first_definition = below ? definition_end(below) : 1;
    s->first_property = below ? property_end(below) : 1;
    s->first_let = below ? let_end(below) : 1;
    s->first_derived = below ? derived_end(below) : 1;
    s->first_formula = below ? formula_end(below) : 1;
    s->first_rule = below ? rule_end(below) : 1;
    s->first_waiver = below ? waiver_end(below) : 1;
}

#define ACCESS(type, name, list, first)                                                                                \
    const struct type *name##_at(const struct scope *s, uint32_t id)                                                   \
    {                                                                                                                  \
        while (id < s->first)                                                                                          \
            s = s->below;                                                                                              \
        return &s->list.at[id - s->first];                                                                             \
    }

#define ACCESS_END(name, list, first)                                                                                  \
    uint32_t name##_end(const struct scope *s)                                                                         \
    {                                                                                                                  \
        return s->first + s->list.count;                                                                               \
    }

ACCESS(unit_file, file, files, first_file)
ACCESS(definition, definition, definitions, first_definition)
ACCESS(property, property, properties, first_property)
ACCESS(let, let, lets, first_let)
ACCESS(derived, derived, derived, first_derived)
ACCESS(formula, formula, formulas, first_formula)
ACCESS(rule, rule, rules, first_rule)
ACCESS(waiver, waiver, waivers, first_waiver)
ACCESS_END(definition, definitions, first_definition)
ACCESS_END(property, properties, first_property)
ACCESS_END(let, lets, first_let)
ACCESS_END(derived, derived, first_derived)
ACCESS_END(formula, formulas, first_formula)
ACCESS_END(rule, rules, first_rule)
ACCESS_END(waiver, waivers, first_waiver)

static uint32_t look(const struct scope *s, uint32_t tag, atom name)
{
    for (; s; s = s->below) {
        uint32_t id = map_get(&s->map, map_key(tag, name));
        if (id)
            return id;
    }
    return 0;
}

uint32_t find_definition(const struct scope *s, enum kind kind, atom name)
{
    return look(s, TAG_DEFINITION + (uint32_t)kind, name);
}

uint32_t find_any_definition(const struct scope *s, atom name)
{
    return look(s, TAG_ANY, name);
}

uint32_t find_let(const struct scope *s, atom name)
{
    return look(s, TAG_LET, name);
}

uint32_t find_formula(const struct scope *s, atom name)
{
    return look(s, TAG_FORMULA, name);
}

uint32_t find_rule(const struct scope *s, atom name)
{
    return look(s, TAG_RULE, name);
}

uint32_t find_derived(const struct scope *s, enum kind kind, atom name)
{
    uint32_t id = look(s, TAG_DERIVED + (uint32_t)kind, name);
    return id || !kind_table[kind].family ? id : look(s, TAG_DERIVED + (uint32_t)kind_table[kind].family, name);
}

uint32_t find_property(const struct scope *s, uint32_t definition, atom name)
{
    for (uint32_t d = definition; d; d = definition_at(s, d)->base) {
        uint32_t id = look(s, TAG_PROPERTY + d, name);
        if (id)
            return id;
    }
    return 0;
}

uint32_t find_sole(const struct scope *s, enum kind kind, uint32_t *how_many)
{
    *how_many = s->kind_count[kind];
    return *how_many == 1 ? s->kind_first[kind] : 0;
}

uint32_t find_recipe(const struct scope *s)
{
    uint32_t many;
    return find_sole(s, KIND_recipe, &many);
}

atom name_for(const struct scope *s, enum kind kind, enum purpose purpose)
{
    const struct property_entry *entry = property_for(kind, purpose);
    if (entry)
        return interned(&s->names, text_of(entry->name));
    uint32_t id = look(s, TAG_USE + (uint32_t)kind, purpose);
    if (!id)
        id = look(s, TAG_USE + (uint32_t)kind_table[kind].family, purpose);
    return id ? derived_at(s, id)->name : 0;
}

uint32_t find_property_for(const struct scope *s, uint32_t definition, enum purpose purpose)
{
    atom name = name_for(s, definition_at(s, definition)->kind, purpose);
    return name ? find_property(s, definition, name) : 0;
}

bool scope_lost(const struct scope *s, enum kind kind, struct text name)
{
    atom a = interned(&s->names, name);
    for (uint32_t i = 0; i < s->lost.count; i++) {
        const struct lost *l = &s->lost.at[i];
        bool fits = !l->kind || !kind || kind_is(l->kind, kind);
        if (fits && (l->name ? l->name == a : l->kind != KIND_NONE && kind != KIND_NONE))
            return true;
    }
    return false;
}

struct span site_span(const struct scope *s, struct site site)
{
    if (!site.file)
        return (struct span){0};
    return node_span(file_at(s, site.file)->tree, site.node);
}

struct span definition_span(const struct scope *s, uint32_t id)
{
    struct site site = definition_at(s, id)->site;
    struct span span = (struct span){0};
    if (!site.file)
        return span;
    const struct tree *t = file_at(s, site.file)->tree;
    NODE_EACH_CHILD (t, site.node, n) {
        if (node_kind(t, n) != NODE_NAME && node_kind(t, n) != NODE_LIKE)
            break;
        span = span.file ? span_join(span, node_span(t, n)) : node_span(t, n);
    }
    return span;
}

struct span waiver_span(const struct scope *s, uint32_t id)
{
    struct site site = waiver_at(s, id)->site;
    const struct tree *t = file_at(s, site.file)->tree;
    struct span span = token_span(t, node_at(t, site.node)->first);
    NODE_EACH_CHILD (t, site.node, n)
        if (node_kind(t, n) != NODE_NOTE)
            span = span_join(span, node_span(t, n));
    return span;
}

struct text definition_words(const struct scope *s, uint32_t id)
{
    const struct definition *d = definition_at(s, id);
    struct text name = atom_text(&s->names, d->name);
    struct text parts[] = {TEXT("the "), text_of(kind_table[d->kind].name), TEXT(" "), name};
    return arena_joined(s->arena, parts, name.len ? 4 : 2);
}

struct text stated_text(struct arena *arena, const struct scope *s, uint32_t definition, enum purpose purpose)
{
    uint32_t id = definition ? find_property_for(s, definition, purpose) : 0;
    const struct property *p = id ? property_at(s, id) : NULL;
    if (!p || !p->value)
        return TEXT("");
    const struct tree *t = file_at(s, p->site.file)->tree;
    return node_kind(t, p->value) == NODE_TEXT ? text_piece(arena, t, p->value, 0) : node_text(t, p->value);
}

struct text kind_said(struct arena *arena, enum kind kind, enum language language)
{
    struct text name = text_of(kind_table[kind].name);
    return language == LANGUAGE_EN ? name : said_name(arena, language, "kind", name);
}

/* ---- declaring; used by names_declare.c ---------------------------------------------------------------------------------- */

uint32_t declare_definition(struct scope *s, struct definition d)
{
    uint32_t id = definition_end(s);
    if (d.name) {
        uint32_t key = TAG_DEFINITION + (uint32_t)d.kind;
        uint32_t known = map_get(&s->map, map_key(TAG_ANY, d.name));
        d.namesake = known ? known : find_any_definition(s, d.name);
        map_set(&s->map, map_key(key, d.name), id);
        map_set(&s->map, map_key(TAG_ANY, d.name), id);
    }
    for (enum kind k = d.kind; k; k = kind_table[k].family)
        if (s->kind_count[k]++ == 0)
            s->kind_first[k] = id;
    *ARRAY_PUSH(s->arena, &s->definitions) = d;
    return id;
}

void declare_property(struct scope *s, struct property p, atom name)
{
    uint32_t id = property_end(s);
    *ARRAY_PUSH(s->arena, &s->properties) = p;
    map_set(&s->map, map_key(TAG_PROPERTY + p.definition, name), id);
}

void declare_let(struct scope *s, struct let l)
{
    map_set(&s->map, map_key(TAG_LET, l.name), let_end(s));
    *ARRAY_PUSH(s->arena, &s->lets) = l;
}

void declare_derived(struct scope *s, struct derived d)
{
    map_set(&s->map, map_key(TAG_DERIVED + (uint32_t)d.kind, d.name), derived_end(s));
    for (int i = 0; i < MOST_PURPOSES && d.uses[i]; i++)
        map_set(&s->map, map_key(TAG_USE + (uint32_t)d.kind, d.uses[i]), derived_end(s));
    *ARRAY_PUSH(s->arena, &s->derived) = d;
}

void declare_formula(struct scope *s, struct formula f)
{
    map_set(&s->map, map_key(TAG_FORMULA, f.name), formula_end(s));
    *ARRAY_PUSH(s->arena, &s->formulas) = f;
}

void declare_rule(struct scope *s, struct rule r)
{
    if (r.name)
        map_set(&s->map, map_key(TAG_RULE, r.name), rule_end(s));
    *ARRAY_PUSH(s->arena, &s->rules) = r;
}

void declare_waiver(struct scope *s, struct waiver w)
{
    *ARRAY_PUSH(s->arena, &s->waivers) = w;
}

bool declares_property(const struct scope *s, uint32_t definition, atom name)
{
    return map_get(&s->map, map_key(TAG_PROPERTY + definition, name)) != 0;
}

enum { MOST_OF_KIND = 8 };

struct text names_of_kind(struct scope *s, enum kind kind)
{
    struct text words = TEXT("");
    uint32_t count = 0;
    for (uint32_t i = 1, end = definition_end(s); i < end; i++) {
        uint32_t id = i + s->first_definition - 1 < end ? i + s->first_definition - 1 : i + s->first_definition - end;
        const struct definition *d = definition_at(s, id);
        if (kind_is(d->kind, kind) && d->name && count++ < MOST_OF_KIND)
            words = arena_format(s->arena, "%.*s%s%.*s", TEXT_ARGS(words), words.len ? ", " : "",
                                 TEXT_ARGS(atom_text(&s->names, d->name)));
    }
    return count > MOST_OF_KIND ? arena_format(s->arena, "%.*s and %u more", TEXT_ARGS(words), count - MOST_OF_KIND)
                                : words;
}
