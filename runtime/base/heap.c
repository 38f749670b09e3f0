/* For sbrk() and madvise(). */
#define _DEFAULT_SOURCE
#include "runtime/base/heap.h"

#include <stdint.h>
#include <stdlib.h>

#ifdef __GLIBC__

#include <malloc.h>
#include <sys/mman.h>
#include <unistd.h>

enum {
    SMALL = 4096,
    LARGE = 2 * 1024 * 1024,
    GROWTH = 16 * LARGE, /* of addresses, not of memory: what is never touched is never had */
    APART = 2 * LARGE    /* an array of this size stands outside the heap, where it can be made longer in place */
};

void heap_in_large_pages(void)
{
#ifdef MADV_HUGEPAGE
    /* The heap begins one small page below a large one: a large page is had only where none of it was touched before,
     * and the C library writes at once where the heap begins. */
    uintptr_t end = (uintptr_t)sbrk(0);
    sbrk((intptr_t)((2 * (uintptr_t)LARGE - SMALL - end % LARGE) % LARGE));
    mallopt(M_ARENA_MAX, 1);
    mallopt(M_TOP_PAD, GROWTH);
    mallopt(M_TRIM_THRESHOLD, 2 * GROWTH);
    mallopt(M_MMAP_THRESHOLD, APART);
    char *first = malloc(1), *last = sbrk(0);
    size_t before = (LARGE - (uintptr_t)first % LARGE) % LARGE;
    if (first && last > first + before)
        madvise(first + before, (size_t)(last - (first + before)) / LARGE * LARGE, MADV_HUGEPAGE);
    free(first);
#endif
}

#else

void heap_in_large_pages(void)
{
}

#endif
