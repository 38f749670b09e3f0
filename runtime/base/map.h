/* A map from 64-bit keys to 32-bit values, both chosen by the caller; value 0 means "absent". */
#ifndef RUNTIME_BASE_MAP_H
#define RUNTIME_BASE_MAP_H

#include "runtime/base/arena.h"

struct map_slot {
    uint64_t key;
    uint32_t value;
};

struct map {
    struct arena *arena;
    struct map_slot *slots;
    uint32_t size, count;
};

void map_init(struct map *, struct arena *);
uint32_t map_get(const struct map *, uint64_t key);
void map_set(struct map *, uint64_t key, uint32_t value); /* value must not be 0 */

static inline uint64_t map_key(uint32_t tag, uint32_t id)
{
    return (uint64_t)tag << 32 | id;
}

#endif
