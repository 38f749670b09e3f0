#include "runtime/base/intern.h"

void intern_init(struct names_table *t, struct arena *arena, const struct names_table *below)
{
    *t = (struct names_table){.arena = arena, .below = below};
    t->first = below ? below->first + below->texts.count : 1;
}

static uint32_t *slot_of(const struct names_table *t, struct text name)
{
    uint32_t mask = t->slot_count - 1, i = text_hash(name) & mask;
    while (t->slots[i] && !text_same(t->texts.at[t->slots[i] - 1], name))
        i = (i + 1) & mask;
    return &t->slots[i];
}

static void widen(struct names_table *t)
{
    t->slot_count = t->slot_count ? t->slot_count * 2 : 256;
    t->slots = arena_array(t->arena, t->slot_count, sizeof *t->slots);
    for (uint32_t i = 0; i < t->texts.count; i++)
        *slot_of(t, t->texts.at[i]) = i + 1;
}

atom interned(const struct names_table *t, struct text name)
{
    for (; t; t = t->below) {
        uint32_t found = t->slot_count ? *slot_of(t, name) : 0;
        if (found)
            return t->first + found - 1;
    }
    return 0;
}

atom intern(struct names_table *t, struct text name)
{
    atom known = interned(t, name);
    if (known)
        return known;
    if (2 * (t->texts.count + 1) > t->slot_count)
        widen(t);
    *ARRAY_PUSH(t->arena, &t->texts) = arena_text(t->arena, name);
    *slot_of(t, name) = t->texts.count;
    return t->first + t->texts.count - 1;
}

struct text atom_text(const struct names_table *t, atom a)
{
    for (; t; t = t->below)
        if (a >= t->first)
            return a - t->first < t->texts.count ? t->texts.at[a - t->first] : TEXT("?");
    return TEXT("");
}
