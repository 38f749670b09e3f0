#include "compiler/model/fingerprint_reach.h"

/* ---- from node to what it names ---------------------------------------------------------------------------------- */

static void go_on(struct reach *r, struct site site)
{
    *ARRAY_PUSH(r->arena, &r->todo) = site;
}

static void take_formula(struct reach *r, uint32_t id)
{
    if (id >= r->scope->first_formula || r->formulas[id])
        return;
    r->formulas[id] = true;
    go_on(r, formula_at(r->scope, id)->site);
}

static void take_let(struct reach *r, uint32_t id)
{
    if (id >= r->scope->first_let || r->lets[id])
        return;
    r->lets[id] = true;
    go_on(r, let_at(r->scope, id)->site);
}

static void take_definition(struct reach *r, uint32_t id)
{
    for (; id && id < r->scope->first_definition && !r->definitions[id]; id = definition_at(r->scope, id)->base) {
        const struct definition *d = definition_at(r->scope, id);
        r->definitions[id] = true;
        r->kinds[d->kind] = true;
        go_on(r, d->site);
    }
}

static void take_binding(struct reach *r, struct binding b)
{
    uint32_t many;
    switch (b.what) {
    case BIND_FORMULA:
        take_formula(r, b.id);
        break;
    case BIND_LET:
        take_let(r, b.id);
        break;
    case BIND_DEFINITION:
        take_definition(r, b.id);
        break;
    case BIND_SOLE:
        take_definition(r, find_sole(r->scope, (enum kind)b.id, &many));
        break;
    case BIND_DERIVED:
    case BIND_PROPERTY: /* of a kind whose definitions may have it derived instead */
        map_set(&r->asked, b.id, 1);
        break;
    default:
        break;
    }
}

/* t.material == copper-beryllium asks whether it is that one, and not what it is made of. */
static bool is_asked_only(const struct unit_file *file, uint32_t parent, uint32_t node)
{
    uint8_t op = node_at(file->tree, parent)->op;
    return node_kind(file->tree, parent) == NODE_BINARY && (op == TOKEN_SAME || op == TOKEN_DIFFERENT) &&
           file->bindings[node].what == BIND_DEFINITION;
}

static void walk(struct reach *r, const struct unit_file *file, uint32_t node)
{
    take_binding(r, file->bindings[node]);
    NODE_EACH_CHILD (file->tree, node, n)
        if (!is_asked_only(file, node, n))
            walk(r, file, n);
}

/* ---- what is worked out for every recipe ------------------------------------------------------------------------- */

static bool is_there(const struct reach *r, enum kind kind)
{
    if (kind == KIND_NONE)
        return true;
    for (enum kind k = KIND_NONE + 1; k < KIND_COUNT; k++)
        if (r->kinds[k] && kind_is(k, kind))
            return true;
    return false;
}

static bool stated_here(const struct reach *r, enum kind kind)
{
    for (enum kind k = KIND_NONE + 1; k < KIND_COUNT; k++)
        if (r->scope->kind_count[k] && kind_is(k, kind))
            return true;
    return kind == KIND_NONE;
}

static void take_derived(struct reach *r)
{
    for (uint32_t id = 1; id < r->scope->first_derived; id++) {
        const struct derived *d = derived_at(r->scope, id);
        if (r->derived[id] || !is_there(r, d->kind) || !(stated_here(r, d->kind) || map_get(&r->asked, d->name)))
            continue;
        r->derived[id] = true;
        go_on(r, d->site);
    }
}

static void take_rules(struct reach *r)
{
    for (uint32_t id = 1; id < r->scope->first_rule; id++)
        if (!r->rules[id] && stated_here(r, rule_at(r->scope, id)->each)) {
            r->rules[id] = true;
            go_on(r, rule_at(r->scope, id)->site);
        }
}

void fingerprint_reach_find(struct reach *r, struct arena *a, const struct scope *s)
{
    *r = (struct reach){.scope = s, .arena = a};
    r->definitions = ARENA_ARRAY(a, s->first_definition + 1, bool);
    r->lets = ARENA_ARRAY(a, s->first_let + 1, bool);
    r->derived = ARENA_ARRAY(a, s->first_derived + 1, bool);
    r->formulas = ARENA_ARRAY(a, s->first_formula + 1, bool);
    r->rules = ARENA_ARRAY(a, s->first_rule + 1, bool);
    map_init(&r->asked, a);
    for (enum kind k = KIND_NONE + 1; k < KIND_COUNT; k++)
        r->kinds[k] = s->kind_count[k] > 0;
    for (uint32_t i = 0; i < s->definitions.count; i++)
        take_definition(r, s->definitions.at[i].base);
    for (uint32_t i = 0; i < s->files.count; i++)
        walk(r, &s->files.at[i], s->files.at[i].tree->root);
    for (uint32_t id = 1; id < s->first_let; id++)
        take_let(r, id);
    take_rules(r);
    take_derived(r);
    while (r->todo.count) {
        struct site site = r->todo.at[--r->todo.count];
        walk(r, file_at(s, site.file), site.node);
        if (!r->todo.count)
            take_derived(r); /* what was asked for since, of kinds reached since */
    }
}
