/* What can be said of a scope only when all files are read: bases, required properties, the one recipe. */
#include "compiler/model/names_declare.h"
#include "compiler/model/roles.h"

static void resolve_base(struct scope *s, uint32_t id)
{
    struct definition *d = &s->definitions.at[id - s->first_definition];
    if (!d->site.file)
        return;
    const struct tree *t = file_at(s, d->site.file)->tree;
    uint32_t like = node_find(t, d->site.node, NODE_LIKE), name_node = like ? node_child(t, like) : 0;
    if (!name_node)
        return;
    struct text name = node_text(t, name_node);
    struct span at = node_span(t, name_node);
    atom a = interned(&s->names, name);
    uint32_t base = a ? find_definition(s, d->kind, a) : 0;
    if (base && base != id) {
        d->base = base;
        return;
    }
    uint32_t other = a ? find_any_definition(s, a) : 0;
    d->faulty = true;
    if (base == id) {
        struct diagnostic *g = report(s->diagnostics, FAULT_like_circle, at, "'%.*s' is like itself", TEXT_ARGS(name));
        report_help(s->diagnostics, g, "name another %s, or state its properties", kind_table[d->kind].name);
    } else if (other) {
        struct diagnostic *g =
            report(s->diagnostics, FAULT_base_of_other_kind, at, "'%.*s' is no %s but a %s", TEXT_ARGS(name),
                   kind_table[d->kind].name, kind_table[definition_at(s, other)->kind].name);
        report_label(s->diagnostics, g, definition_span(s, other), "defined here");
        report_help(s->diagnostics, g, "a definition can only be like another of its own kind");
    } else {
        struct diagnostic *g = report(s->diagnostics, FAULT_unknown_base, at, "there is no %s '%.*s' to be like",
                                      kind_table[d->kind].name, TEXT_ARGS(name));
        struct text near = report_kept(s->diagnostics, g) ? nearest_definition(s, d->kind, name) : TEXT("");
        if (near.len) {
            report_help(s->diagnostics, g, "did you mean '%.*s'?", TEXT_ARGS(near));
            report_edit(s->diagnostics, g, at, near);
        }
    }
}

/* Walks each chain of bases once; a chain longer than there are definitions runs in a circle, which is cut. */
static void cut_circles(struct scope *s)
{
    uint8_t *state = arena_alloc(s->arena, s->definitions.count + 1); /* 1: on this chain, 2: known to end */
    for (uint32_t i = 0; i < s->definitions.count; i++) {
        uint32_t at = i;
        while (state[at] == 0) {
            state[at] = 1;
            uint32_t base = s->definitions.at[at].base;
            if (base < s->first_definition)
                break;
            uint32_t next = base - s->first_definition;
            if (state[next] == 1) {
                struct span span = definition_span(s, s->first_definition + at);
                struct diagnostic *d = report(s->diagnostics, FAULT_like_circle, span,
                                              "these definitions are like each other in a circle");
                report_label(s->diagnostics, d, definition_span(s, base), "and so on to here");
                report_help(s->diagnostics, d, "one of them must state its properties itself");
                s->definitions.at[at].base = 0;
                s->definitions.at[at].faulty = s->definitions.at[next].faulty = true;
                break;
            }
            at = next;
        }
        for (at = i; state[at] == 1;) {
            state[at] = 2;
            uint32_t base = s->definitions.at[at].base;
            if (base < s->first_definition)
                break;
            at = base - s->first_definition;
        }
    }
}

enum { LIKE_LIMIT = 100 }; /* each property is looked for along the whole chain */

/* How many bases stand behind each definition. The first behind too many is reported; none behind it counts. */
static void check_chains(struct scope *s)
{
    uint32_t *behind = ARENA_ARRAY(s->arena, s->definitions.count + 1, uint32_t);
    bool told = false;
    for (uint32_t i = 0; i < s->definitions.count; i++) {
        uint32_t length = 0, base = s->definitions.at[i].base;
        for (; base >= s->first_definition && length <= LIKE_LIMIT; length++) {
            if (behind[base - s->first_definition]) {
                length += behind[base - s->first_definition];
                break;
            }
            base = definition_at(s, base)->base;
        }
        behind[i] = length + (base != 0);
        if (behind[i] <= LIKE_LIMIT)
            continue;
        if (!told) {
            struct diagnostic *d =
                report(s->diagnostics, FAULT_nested_too_deep, definition_span(s, s->first_definition + i),
                       "this definition is like another on a chain of more than %d", LIKE_LIMIT);
            report_help(s->diagnostics, d, "let it be like one that states its properties itself");
        }
        told = true;
        s->definitions.at[i].base = 0;
        s->definitions.at[i].faulty = true;
    }
}

static struct text example_of(struct scope *s, const struct property_entry *p)
{
    switch (p->form) {
    case FORM_TEXT:
        return arena_format(s->arena, "%s = \"...\"", p->name);
    case FORM_DATE:
        return arena_format(s->arena, "%s = 2026-11-02", p->name);
    case FORM_WORD:
        return arena_format(s->arena, "%s = %.*s", p->name, (int)strcspn(p->type, "|"), p->type);
    case FORM_REFERENCE:
    case FORM_REFERENCES:
        return arena_format(s->arena, "%s = NAME", p->name);
    default: /* the unit as it is written behind a number */
        if (strcmp(p->type, "[1]") == 0)
            return arena_format(s->arena, "%s = ...", p->name);
        return arena_format(s->arena, "%s = ... %.*s", p->name, (int)strcspn(p->type + 1, "]"), p->type + 1);
    }
}

static bool stated(const struct scope *s, uint32_t id, const struct property_entry *p)
{
    atom a = interned(&s->names, text_of(p->name));
    return a && find_property(s, id, a);
}

/* Of a group such as `between or oven` at least one must be stated. */
static void check_choices(struct scope *s, uint32_t id, const struct property_entry *p)
{
    const struct definition *d = definition_at(s, id);
    struct text names = TEXT(""), lines = TEXT("");
    for (uint32_t i = 0; i < property_count; i++) {
        const struct property_entry *q = &property_table[i];
        if (q->kind != d->kind || q->need != NEED_CHOICE || strcmp(q->standard, p->standard) != 0)
            continue;
        if (stated(s, id, q) || (q < p))
            return;
        names = arena_format(s->arena, "%.*s%s%s", TEXT_ARGS(names), names.len ? " or " : "", q->name);
        lines = arena_format(s->arena, "%.*s%s'%.*s'", TEXT_ARGS(lines), lines.len ? " or " : "",
                             TEXT_ARGS(example_of(s, q)));
    }
    struct diagnostic *g = report(s->diagnostics, FAULT_missing_property, definition_span(s, id), "%.*s states no %.*s",
                                  TEXT_ARGS(definition_words(s, id)), TEXT_ARGS(names));
    report_help(s->diagnostics, g, "add %.*s", TEXT_ARGS(lines));
}

/* All that one definition lacks is one message: it is mended in one go. */
static void check_required(struct scope *s, uint32_t id)
{
    enum kind kind = definition_at(s, id)->kind;
    struct text names = TEXT(""), lines = TEXT("");
    for (uint32_t i = 0; i < property_count; i++) {
        const struct property_entry *p = &property_table[i];
        if (p->kind != kind)
            continue;
        if (p->need == NEED_CHOICE)
            check_choices(s, id, p);
        if (p->need != NEED_REQUIRED || stated(s, id, p))
            continue;
        names = arena_format(s->arena, "%.*s%s%s", TEXT_ARGS(names), names.len ? ", " : "", p->name);
        lines = arena_format(s->arena, "%.*s%s'%.*s'", TEXT_ARGS(lines), lines.len ? ", " : "",
                             TEXT_ARGS(example_of(s, p)));
    }
    if (!names.len)
        return;
    struct diagnostic *d = report(s->diagnostics, FAULT_missing_property, definition_span(s, id),
                                  "%.*s does not state its %.*s", TEXT_ARGS(definition_words(s, id)), TEXT_ARGS(names));
    report_help(s->diagnostics, d, "add %.*s", TEXT_ARGS(lines));
}

/* A figure of the shop's own should be as easy to trace as the library's. */
static bool lacks_source(const struct scope *s, const struct property *p)
{
    const struct tree *t = file_at(s, p->site.file)->tree;
    bool figure = p->entry->form == FORM_QUANTITY || p->entry->form == FORM_FUNCTION;
    bool whole = !(node_at(t, p->site.node)->flags & NODE_BROKEN); /* else its source may be in what was not read */
    return figure && whole && node_kind(t, p->value) != NODE_HOLE && !node_note(t, p->site.node, TOKEN_SOURCE);
}

static void check_sources(struct scope *s, uint32_t id)
{
    const struct definition *d = definition_at(s, id);
    bool material = kind_table[d->kind].flags & KIND_SOURCED;
    struct text names = TEXT("");
    struct span first = {0};
    for (uint32_t i = 0; material && s->below && i < d->property_count; i++) {
        const struct property *p = property_at(s, d->first_property + i);
        if (!lacks_source(s, p))
            continue;
        first = names.len ? first : site_span(s, p->site);
        names = arena_format(s->arena, "%.*s%s%s", TEXT_ARGS(names), names.len ? ", " : "", p->entry->name);
    }
    if (!names.len)
        return;
    struct diagnostic *g = report(s->diagnostics, FAULT_no_source, first, "%.*s states %.*s without a source",
                                  TEXT_ARGS(definition_words(s, id)), TEXT_ARGS(names));
    report_help(s->diagnostics, g,
                "add 'source \"...\"' behind the value: a mill certificate, a trial, a handbook page");
}

struct text nearest_definition(const struct scope *s, enum kind kind, struct text wrong)
{
    ARRAY(struct text) names = {0};
    for (uint32_t id = 1; id < definition_end(s) && names.count < NEAREST_LIMIT; id++)
        if (definition_at(s, id)->name && (kind == KIND_NONE || kind_is(definition_at(s, id)->kind, kind)))
            *ARRAY_PUSH(s->arena, &names) = atom_text(&s->names, definition_at(s, id)->name);
    return names.count ? nearest(wrong, names.at, names.count) : TEXT("");
}

/* A recipe that says nothing of the shop stands in one with the standard values. */
static void add_implied(struct scope *s)
{
    for (enum kind kind = KIND_NONE + 1; s->below && kind < KIND_COUNT; kind++)
        if (kind_table[kind].flags & KIND_IMPLIED && !s->kind_count[kind])
            declare_definition(s, (struct definition){.kind = kind});
}

void scope_finish(struct scope *s)
{
    add_implied(s);
    for (uint32_t i = 0; i < s->definitions.count; i++)
        resolve_base(s, s->first_definition + i);
    cut_circles(s);
    check_chains(s);
    for (uint32_t i = 0; i < s->definitions.count; i++)
        if (!s->definitions.at[i].faulty)
            check_required(s, s->first_definition + i);
    for (uint32_t i = 0; i < s->definitions.count; i++)
        check_sources(s, s->first_definition + i);
    if (s->below)
        role_check(s);
}
