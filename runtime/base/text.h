/* Text slices: a pointer and a length, never NUL-terminated, never owned.
 *
 * In: bytes that live in an arena or a source. Out: views into them. A slice is valid as long as what it views. */
#ifndef RUNTIME_BASE_TEXT_H
#define RUNTIME_BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

struct text {
    const char *at;
    uint32_t len;
};

/* A slice of a string literal. */
#define TEXT(literal) ((struct text){(literal), (uint32_t)(sizeof(literal) - 1)})
/* The two arguments of a "%.*s" conversion. */
#define TEXT_ARGS(t) (int)(t).len, (t).at

static inline struct text text_of(const char *z)
{
    return (struct text){z, (uint32_t)strlen(z)};
}

static inline bool text_same(struct text a, struct text b)
{
    return a.len == b.len && (a.len == 0 || memcmp(a.at, b.at, a.len) == 0);
}

/* Without measuring z first: names are compared far more often than they are equal. */
static inline bool text_is(struct text a, const char *z)
{
    for (uint32_t i = 0; i < a.len; i++)
        if (!z[i] || a.at[i] != z[i])
            return false;
    return !z[a.len];
}

/* Byte order, shorter first when one is the other's beginning: <0, 0, >0. */
static inline int text_order(struct text a, struct text b)
{
    uint32_t n = a.len < b.len ? a.len : b.len;
    int c = n ? memcmp(a.at, b.at, n) : 0;
    return c ? c : (a.len > b.len) - (a.len < b.len);
}

/* FNV-1a; for hash tables only. */
static inline uint32_t text_hash(struct text t)
{
    uint32_t h = 2166136261u;
    for (uint32_t i = 0; i < t.len; i++)
        h = (h ^ (unsigned char)t.at[i]) * 16777619u;
    return h;
}

#endif
