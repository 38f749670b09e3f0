/* Philox4x32-10: numbers that look random, each a function of its place and a seed alone. So a sample is the same
 * whoever draws it, in whatever order, on any machine.
 *
 * J. K. Salmon, M. A. Moraes, R. O. Dror, D. E. Shaw, "Parallel random numbers: as easy as 1, 2, 3", SC11 (2011);
 * checked against the known answers the authors publish. */
#ifndef RUNTIME_STATISTICS_PHILOX_H
#define RUNTIME_STATISTICS_PHILOX_H

#include <stdint.h>

struct philox {
    uint32_t word[4];
};

static inline struct philox philox_round(struct philox c, const uint32_t key[2])
{
    uint64_t a = (uint64_t)UINT32_C(0xD2511F53) * c.word[0], b = (uint64_t)UINT32_C(0xCD9E8D57) * c.word[2];
    return (struct philox){
        {(uint32_t)(b >> 32) ^ c.word[1] ^ key[0], (uint32_t)b, (uint32_t)(a >> 32) ^ c.word[3] ^ key[1], (uint32_t)a}};
}

static inline struct philox philox(struct philox counter, uint32_t key_low, uint32_t key_high)
{
    uint32_t key[2] = {key_low, key_high};
    for (int i = 0; i < 10; i++) {
        counter = philox_round(counter, key);
        key[0] += UINT32_C(0x9E3779B9);
        key[1] += UINT32_C(0xBB67AE85);
    }
    return counter;
}

/* A number between 0 and 1, both excluded, from two words: the middles of 2^52 equal parts. */
static inline double philox_share(uint32_t high, uint32_t low)
{
    uint64_t bits = (uint64_t)high << 20 | low >> 12;
    return ((double)bits + 0.5) * 0x1p-52;
}

#endif
