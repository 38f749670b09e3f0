#include "runtime/base/pool.h"

#include <pthread.h>
#include <stdbool.h>
#include <unistd.h>

enum { MOST_WORKERS = 64, AHEAD = 256 }; /* threads; pieces begun whose results are not taken yet */

struct pool {
    pool_work *work;
    pool_take *take;
    void *context;
    uint32_t count, next, taken; /* pieces: all, the next to begin, those whose results are taken */
    uint32_t workers;            /* that have begun */
    bool done[AHEAD];            /* by piece, modulo AHEAD */
    pthread_mutex_t lock;        /* of next, taken, workers and done */
    pthread_cond_t changed;
};

/* With the lock held, which is released during the work. */
static void do_next(struct pool *p, uint32_t worker)
{
    uint32_t piece = p->next++;
    pthread_mutex_unlock(&p->lock);
    p->work(p->context, piece, worker);
    pthread_mutex_lock(&p->lock);
    p->done[piece % AHEAD] = true;
    pthread_cond_broadcast(&p->changed);
}

static void *worker_main(void *pool)
{
    struct pool *p = pool;
    pthread_mutex_lock(&p->lock);
    uint32_t worker = p->workers++;
    while (p->next < p->count)
        if (p->next - p->taken < AHEAD)
            do_next(p, worker);
        else
            pthread_cond_wait(&p->changed, &p->lock);
    pthread_mutex_unlock(&p->lock);
    return NULL;
}

static void take_in_order(struct pool *p)
{
    pthread_mutex_lock(&p->lock);
    while (p->taken < p->count) {
        bool *done = &p->done[p->taken % AHEAD];
        while (!*done)
            pthread_cond_wait(&p->changed, &p->lock);
        *done = false;
        pthread_mutex_unlock(&p->lock);
        if (p->take)
            p->take(p->context, p->taken);
        pthread_mutex_lock(&p->lock);
        p->taken++;
        pthread_cond_broadcast(&p->changed);
    }
    pthread_mutex_unlock(&p->lock);
}

static void run_alone(const struct pool *p)
{
    for (uint32_t i = 0; i < p->count; i++) {
        p->work(p->context, i, 0);
        if (p->take)
            p->take(p->context, i);
    }
}

uint32_t pool_workers(uint32_t count)
{
    long processors = sysconf(_SC_NPROCESSORS_ONLN);
    uint32_t most = processors < 1 ? 1 : processors > MOST_WORKERS ? MOST_WORKERS : (uint32_t)processors;
    return count > most ? most : count ? count : 1;
}

void pool_run(uint32_t count, pool_work *work, pool_take *take, void *context)
{
    struct pool p = {.work = work, .take = take, .context = context, .count = count};
    pthread_t workers[MOST_WORKERS];
    uint32_t wanted = pool_workers(count), started = 0;
    pthread_mutex_init(&p.lock, NULL);
    pthread_cond_init(&p.changed, NULL);
    while (wanted > 1 && started < wanted && pthread_create(&workers[started], NULL, worker_main, &p) == 0)
        started++;
    if (started)
        take_in_order(&p);
    else
        run_alone(&p);
    for (uint32_t i = 0; i < started; i++)
        pthread_join(workers[i], NULL);
    pthread_cond_destroy(&p.changed);
    pthread_mutex_destroy(&p.lock);
}
