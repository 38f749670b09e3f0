#include "runtime/base/beside.h"

#include <stddef.h>

static void *run(void *beside)
{
    const struct beside *b = beside;
    b->work(b->argument);
    return NULL;
}

void beside_start(struct beside *b, void (*work)(void *), void *argument)
{
    b->work = work;
    b->argument = argument;
    b->running = !pthread_create(&b->thread, NULL, run, b);
    if (!b->running)
        work(argument);
}

void beside_wait(struct beside *b)
{
    if (b->running)
        pthread_join(b->thread, NULL);
    b->running = false;
}
