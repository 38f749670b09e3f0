/* Lookups: what was lowered, by where it stands or by the name a user asks with. */
#include "compiler/lower/parts.h"

uint32_t lowering_property(const struct lowering *l, uint32_t definition, atom name)
{
    return map_get(&l->making->known, key_of_property(definition, name));
}

uint32_t lowering_derived(const struct lowering *l, uint32_t derived, uint32_t definition)
{
    return map_get(&l->making->known, key_of_derived(derived, definition));
}

uint32_t lowering_let(const struct lowering *l, uint32_t let)
{
    return map_get(&l->making->known, key_of_let(let));
}

uint32_t lowering_member(const struct lowering *l, uint32_t definition, atom name)
{
    enum kind kind = definition_at(l->scope, definition)->kind;
    if (property_named(kind, atom_text(&l->scope->names, name)))
        return lowering_property(l, definition, name);
    uint32_t derived = find_derived(l->scope, kind, name);
    return derived ? lowering_derived(l, derived, definition) : 0;
}

/* ---- names a user asks with -------------------------------------------------------------------------------------------- */

struct asked { /* what a name stands for: a let, or a member of a definition; zeros: nothing */
    uint32_t let, definition;
    struct text member;
};

static uint32_t definition_of_prefix(const struct scope *s, struct text prefix)
{
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
static uint32_t among_namesakes(const struct scope *s, struct text prefix, struct text member)
{
    atom a = interned(&s->names, prefix), name = interned(&s->names, member);
    for (uint32_t id = a ? find_any_definition(s, a) : 0; id; id = definition_at(s, id)->namesake) {
        enum kind kind = definition_at(s, id)->kind;
        if (property_named(kind, member) || (name && find_derived(s, kind, name)))
            return id;
    }
    return 0;
}

static struct asked resolve(const struct scope *s, struct text path)
{
    struct asked asked = {0};
    atom whole = interned(&s->names, path);
    asked.let = whole ? find_let(s, whole) : 0;
    uint32_t dot = path.len;
    while (dot > 0 && path.at[dot - 1] != '.')
        dot--;
    if (asked.let || dot < 2)
        return asked;
    struct text prefix = {path.at, dot - 1};
    asked.member = (struct text){path.at + dot, path.len - dot};
    asked.definition = definition_of_prefix(s, prefix);
    if (!asked.definition)
        asked.definition = among_namesakes(s, prefix, asked.member);
    return asked;
}

uint32_t lowering_named(const struct lowering *l, struct text path)
{
    struct asked asked = resolve(l->scope, path);
    atom member = asked.definition ? interned(&l->scope->names, asked.member) : 0;
    if (asked.let)
        return lowering_let(l, asked.let);
    return member ? lowering_member(l, asked.definition, member) : 0;
}

static uint32_t lower_named(struct lowering *l, struct text path)
{
    struct asked asked = resolve(l->scope, path);
    if (asked.let)
        return lower_let(l, asked.let);
    if (!asked.definition)
        return 0;
    return lower_member_of(l, asked.definition, intern(&l->scope->names, asked.member)).quantity;
}

void lower_asked(struct lowering *l, const struct demand *demand)
{
    l->asked = ARENA_ARRAY(l->arena, demand->name_count, uint32_t);
    for (uint32_t i = 0; i < demand->name_count; i++)
        l->asked[i] = lower_named(l, demand->names[i]);
}
