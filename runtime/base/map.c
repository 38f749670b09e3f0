#include "runtime/base/map.h"

#include "runtime/base/array.h"

void map_init(struct map *m, struct arena *arena)
{
    *m = (struct map){.arena = arena};
}

static struct map_slot *slot_of(const struct map *m, uint64_t key)
{
    uint32_t i = (uint32_t)((key * 0x9E3779B97F4A7C15u) >> 32) & (m->size - 1);
    while (m->slots[i].value && m->slots[i].key != key)
        i = (i + 1) & (m->size - 1);
    return &m->slots[i];
}

uint32_t map_get(const struct map *m, uint64_t key)
{
    return m->size ? slot_of(m, key)->value : 0;
}

/* The old slots stay in the arena: together they are no larger than the new ones. */
static void widen(struct map *m)
{
    struct map old = *m;
    m->size = old.size ? old.size * 2 : 64;
    m->slots = arena_grow(m->arena, NULL, m->size * sizeof *m->slots);
    memset(m->slots, 0, m->size * sizeof *m->slots);
    for (uint32_t i = 0; i < old.size; i++)
        if (old.slots[i].value)
            *slot_of(m, old.slots[i].key) = old.slots[i];
}

void map_set(struct map *m, uint64_t key, uint32_t value)
{
    if (2 * (m->count + 1) > m->size)
        widen(m);
    struct map_slot *s = slot_of(m, key);
    if (!s->value)
        m->count++;
    *s = (struct map_slot){key, value};
}
