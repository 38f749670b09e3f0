/* Pool: runs pieces of work that are independent of each other, on as many threads as there are processors.
 *
 * In: how many pieces, what does one, and what takes its result. Out: nothing but what these write. The results are taken
 * in the order of the pieces, by the thread that called, whichever piece is ready first; so the output is the same on any
 * number of processors. One piece, one processor, or no thread to be had: everything is done by the calling thread.
 *
 * Pieces may share only what none of them changes. Each piece needs an arena of its own, with its own jump for exhausted
 * memory: a jump must not leave the function. */
#ifndef RUNTIME_BASE_POOL_H
#define RUNTIME_BASE_POOL_H

#include <stdint.h>

/* worker: below pool_workers(); one that is at work has its number alone, so that it may have room of its own by it. */
typedef void pool_work(void *context, uint32_t piece, uint32_t worker);
typedef void pool_take(void *context, uint32_t piece);

/* Runs work() for each piece below count, in any thread, and take() as soon as that piece and all before it are done. take
 * may be NULL. Returns when all is done. */
void pool_run(uint32_t count, pool_work *, pool_take *, void *context);
/* How many workers so many pieces get at most; at least 1. */
uint32_t pool_workers(uint32_t count);

#endif
