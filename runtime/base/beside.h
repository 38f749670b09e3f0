/* Work done beside the caller's own, in a thread of the operating system.
 *
 * The two may share only what neither changes: nothing in this program that can be written is global, so that it is
 * enough to give each its own arena. Where no thread can be had the work is done at once, before beside_start() returns:
 * it comes to the same, only later. */
#ifndef RUNTIME_BASE_BESIDE_H
#define RUNTIME_BASE_BESIDE_H

#include <pthread.h>
#include <stdbool.h>

struct beside {
    void (*work)(void *);
    void *argument;
    pthread_t thread;
    bool running;
};

/* The struct and what the work reads must stay where they are until beside_wait(), which must be called once. */
void beside_start(struct beside *, void (*work)(void *), void *argument);
/* Returns when the work is done; what it wrote can be read then. */
void beside_wait(struct beside *);

#endif
