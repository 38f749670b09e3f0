#include "compiler/review/compare/parts.h"

/* ---- items --------------------------------------------------------------------------------------------------------- */

static uint32_t first_of(const struct scope *s, enum item_sort sort)
{
    switch (sort) {
    case ITEM_DEFINITION:
        return s->first_definition;
    case ITEM_LET:
        return s->first_let;
    case ITEM_DERIVED:
        return s->first_derived;
    case ITEM_FORMULA:
        return s->first_formula;
    default:
        return s->first_rule;
    }
}

bool compare_is_own(const struct side *side, enum item_sort sort, uint32_t id)
{
    return id >= first_of(side->scope, sort);
}

uint32_t compare_item_of(const struct side *side, enum item_sort sort, uint32_t id)
{
    return map_get(&side->by_id, map_key((uint32_t)sort + 1, id));
}

uint32_t compare_match_id(const struct matcher *m, enum item_sort sort, uint32_t old_id)
{
    if (!compare_is_own(&m->old, sort, old_id))
        return old_id;
    uint32_t item = compare_item_of(&m->old, sort, old_id), match = item ? m->old.items.at[item].match : 0;
    return match ? m->new.items.at[match].id : 0;
}

static void add_item(struct matcher *m, struct side *side, struct item item)
{
    *ARRAY_PUSH(m->arena, &side->items) = item;
    if (item.id)
        map_set(&side->by_id, map_key((uint32_t)item.sort + 1, item.id), side->items.count - 1);
}

/* A change block is named by its revision; a kind of which there is one definition is matched whatever its name. */
static struct text name_of_definition(struct matcher *m, const struct side *side, const struct definition *d,
                                      uint32_t id)
{
    const struct scope *s = side->scope;
    if (kind_table[d->kind].flags & KIND_SINGLE)
        return TEXT("");
    if (!(kind_table[d->kind].flags & KIND_HISTORY))
        return atom_text(&s->names, d->name);
    return stated_text(m->arena, s, id, FOR_revision);
}

static void collect_waivers(struct matcher *m, struct side *side)
{
    for (uint32_t i = 0; i < side->scope->files.count; i++) {
        const struct tree *t = side->scope->files.at[i].tree;
        NODE_EACH_CHILD (t, t->root, n) {
            if (node_kind(t, n) != NODE_WAIVE)
                continue;
            uint32_t limit = node_child(t, n), subject = limit ? node_next(t, limit) : 0;
            bool named = subject && node_kind(t, subject) == NODE_NAME;
            struct text name = arena_format(m->arena, "%.*s%s%.*s", TEXT_ARGS(node_text(t, limit)),
                                            named ? " for " : "", TEXT_ARGS(named ? node_text(t, subject) : TEXT("")));
            add_item(m, side,
                     (struct item){.sort = ITEM_WAIVE, .site = {side->scope->first_file + i, n}, .name = name});
        }
    }
}

static void collect(struct matcher *m, struct side *side)
{
    const struct scope *s = side->scope;
    ARRAY_PUSH(m->arena, &side->items);
    map_init(&side->by_id, m->arena);
    side->property_atoms = ARENA_ARRAY(m->arena, property_count, atom);
    for (uint32_t i = 0; i < property_count; i++)
        side->property_atoms[i] = interned(&s->names, text_of(property_table[i].name));
    for (uint32_t id = s->first_definition; id < definition_end(s); id++) {
        const struct definition *d = definition_at(s, id);
        add_item(m, side,
                 (struct item){ITEM_DEFINITION, d->kind, id, d->site, name_of_definition(m, side, d, id), 0, 0});
    }
    for (uint32_t id = s->first_let; id < let_end(s); id++)
        add_item(m, side,
                 (struct item){ITEM_LET, 0, id, let_at(s, id)->site, atom_text(&s->names, let_at(s, id)->name), 0, 0});
    for (uint32_t id = s->first_derived; id < derived_end(s); id++) {
        const struct derived *d = derived_at(s, id);
        add_item(m, side, (struct item){ITEM_DERIVED, d->kind, id, d->site, atom_text(&s->names, d->name), 0, 0});
    }
    for (uint32_t id = s->first_formula; id < formula_end(s); id++) {
        const struct formula *f = formula_at(s, id);
        add_item(m, side, (struct item){ITEM_FORMULA, 0, id, f->site, atom_text(&s->names, f->name), 0, 0});
    }
    for (uint32_t id = s->first_rule; id < rule_end(s); id++) {
        const struct rule *r = rule_at(s, id);
        struct text name = r->name ? atom_text(&s->names, r->name) : TEXT("");
        add_item(m, side, (struct item){ITEM_RULE, r->what, id, r->site, name, 0, 0});
    }
    collect_waivers(m, side);
}

/* ---- matching ------------------------------------------------------------------------------------------------------ */

/* Pairs new items with old ones of the same key, first with first; 0 is no key. Old items of one key form a chain, so
 * that each step is short however many there are. */
static void pair_by(struct matcher *m, uint64_t (*key_of)(struct matcher *, const struct side *, const struct item *))
{
    struct map first;
    map_init(&first, m->arena);
    for (uint32_t i = m->old.items.count; i-- > 1;) {
        struct item *item = &m->old.items.at[i];
        uint64_t key = item->match ? 0 : key_of(m, &m->old, item);
        if (!key)
            continue;
        item->next = map_get(&first, key);
        map_set(&first, key, i);
    }
    for (uint32_t i = 1; i < m->new.items.count; i++) {
        struct item *item = &m->new.items.at[i];
        uint64_t key = item->match ? 0 : key_of(m, &m->new, item);
        uint32_t old = key ? map_get(&first, key) : 0;
        if (!old || m->old.items.at[old].match)
            continue; /* the last of a chain stays in the map */
        item->match = old;
        m->old.items.at[old].match = i;
        if (m->old.items.at[old].next)
            map_set(&first, key, m->old.items.at[old].next);
    }
}

/* A requirement has no name and is matched by its content. */
static uint64_t key_by_name(struct matcher *m, const struct side *side, const struct item *item)
{
    (void)side;
    if (item->sort == ITEM_RULE && item->kind == NODE_REQUIRE)
        return 0;
    return map_key(((uint32_t)item->sort + 1) << 8 | item->kind, intern(&m->names, item->name));
}

static uint64_t mixed(uint64_t hash, uint64_t more)
{
    hash = (hash ^ more) * 0x9E3779B97F4A7C15u;
    return hash ^ hash >> 29;
}

static uint64_t hash_definition(struct matcher *m, const struct side *side, const struct item *item, uint64_t hash)
{
    uint32_t stated = 0;
    for (uint32_t i = 0; i < property_count; i++) {
        bool has =
            property_table[i].kind == (enum kind)item->kind || property_table[i].kind == kind_table[item->kind].family;
        atom name = has ? side->property_atoms[i] : 0;
        uint32_t id = name ? find_property(side->scope, item->id, name) : 0;
        if (!id)
            continue;
        const struct property *p = property_at(side->scope, id);
        hash = mixed(mixed(hash, i), compare_hash_part(m, side, (struct site){p->site.file, p->value}));
        stated++;
    }
    return stated ? hash : 0;
}

static uint64_t key_by_content(struct matcher *m, const struct side *side, const struct item *item)
{
    uint64_t hash = mixed((uint64_t)item->sort + 1, item->kind);
    if (item->sort == ITEM_DEFINITION)
        return hash_definition(m, side, item, hash);
    const struct tree *t = file_at(side->scope, item->site.file)->tree;
    uint32_t skipped = item->sort == ITEM_RULE && item->kind == NODE_REQUIRE ? 0 : node_child(t, item->site.node);
    NODE_EACH_CHILD (t, item->site.node, n)
        if (n != skipped && node_kind(t, n) != NODE_NOTE)
            hash = mixed(hash, compare_hash_part(m, side, (struct site){item->site.file, n}));
    return hash ? hash : 1;
}

/* Matches two requirements on the same value, of which the bound was changed. */
static uint64_t key_by_left_side(struct matcher *m, const struct side *side, const struct item *item)
{
    if (item->sort != ITEM_RULE || item->kind != NODE_REQUIRE)
        return 0;
    const struct tree *t = file_at(side->scope, item->site.file)->tree;
    uint32_t condition = node_child(t, item->site.node);
    if (!condition || node_kind(t, condition) != NODE_BINARY)
        return 0;
    return compare_hash_part(m, side, (struct site){item->site.file, node_child(t, condition)}) | 1;
}

/* ---- another name and a little else ---------------------------------------------------------------------------------- */

/* Returns the only definition of a kind without a match; 0 when there are none or several. */
static uint32_t lone(const struct side *side, uint32_t kind)
{
    uint32_t found = 0;
    for (uint32_t i = 1; i < side->items.count; i++) {
        const struct item *item = &side->items.at[i];
        if (item->sort != ITEM_DEFINITION || item->kind != kind || item->match)
            continue;
        if (found)
            return 0;
        found = i;
    }
    return found;
}

/* Whether at least half of what either side states is the same. */
static bool alike(struct matcher *m, uint32_t old, uint32_t new)
{
    uint32_t stated = 0, same = 0;
    for (uint32_t i = 0; i < property_count; i++) {
        if (property_table[i].kind != (enum kind)m->new.items.at[new].kind &&
            property_table[i].kind != kind_table[m->new.items.at[new].kind].family)
            continue;
        atom x = m->old.property_atoms[i], y = m->new.property_atoms[i];
        uint32_t a = x ? find_property(m->old.scope, m->old.items.at[old].id, x) : 0;
        uint32_t b = y ? find_property(m->new.scope, m->new.items.at[new].id, y) : 0;
        stated += a || b;
        if (!a || !b)
            continue;
        const struct property *p = property_at(m->old.scope, a), *q = property_at(m->new.scope, b);
        same += compare_same_part(m, (struct site){p->site.file, p->value}, (struct site){q->site.file, q->value});
    }
    return stated && 2 * same >= stated;
}

static void pair_lone(struct matcher *m)
{
    for (uint32_t kind = 1; kind < KIND_COUNT; kind++) {
        uint32_t old = kind_table[kind].flags & KIND_HISTORY ? 0 : lone(&m->old, kind),
                 new = old ? lone(&m->new, kind) : 0;
        if (!new || !alike(m, old, new))
            continue;
        m->old.items.at[old].match = new;
        m->new.items.at[new].match = old;
    }
}

void compare_match_items(struct matcher *m)
{
    intern_init(&m->names, m->arena, NULL);
    collect(m, &m->old);
    collect(m, &m->new);
    pair_by(m, key_by_name);
    pair_by(m, key_by_content);
    pair_lone(m);
    pair_by(m, key_by_left_side);
}
