#include "runtime/base/crew.h"

#include <pthread.h>
#include <stdbool.h>
#include <stdlib.h>

struct crew {
    pthread_t hand;
    pthread_mutex_t lock;   /* of what follows, and of the state of all tasks offered */
    pthread_cond_t changed; /* something was offered or done, or all goes home */
    struct task *offered;   /* oldest first */
    bool over;
};

static void take(struct crew *c, struct task *t)
{
    struct task **at = &c->offered;
    while (*at != t)
        at = &(*at)->next;
    *at = t->next;
    t->state = TASK_BEGUN;
}

/* With the lock held, which is let go during the work. */
static void take_and_do(struct crew *c, struct task *t)
{
    take(c, t);
    pthread_mutex_unlock(&c->lock);
    t->work(t->argument);
    pthread_mutex_lock(&c->lock);
    t->state = TASK_DONE;
    pthread_cond_broadcast(&c->changed);
}

static void *be_a_hand(void *crew)
{
    struct crew *c = crew;
    pthread_mutex_lock(&c->lock);
    while (!c->over)
        if (c->offered)
            take_and_do(c, c->offered);
        else
            pthread_cond_wait(&c->changed, &c->lock);
    pthread_mutex_unlock(&c->lock);
    return NULL;
}

struct crew *crew_new(void)
{
    struct crew *c = calloc(1, sizeof *c);
    if (!c)
        return NULL;
    pthread_mutex_init(&c->lock, NULL);
    pthread_cond_init(&c->changed, NULL);
    if (pthread_create(&c->hand, NULL, be_a_hand, c)) {
        pthread_cond_destroy(&c->changed);
        pthread_mutex_destroy(&c->lock);
        free(c);
        return NULL;
    }
    return c;
}

void crew_free(struct crew *c)
{
    if (!c)
        return;
    pthread_mutex_lock(&c->lock);
    c->over = true;
    pthread_cond_broadcast(&c->changed);
    pthread_mutex_unlock(&c->lock);
    pthread_join(c->hand, NULL);
    pthread_cond_destroy(&c->changed);
    pthread_mutex_destroy(&c->lock);
    free(c);
}

void crew_offer(struct crew *c, struct task *t, void (*work)(void *), void *argument)
{
    *t = (struct task){work, argument, NULL, TASK_OFFERED};
    if (!c)
        return;
    pthread_mutex_lock(&c->lock);
    struct task **last = &c->offered;
    while (*last)
        last = &(*last)->next;
    *last = t;
    pthread_cond_broadcast(&c->changed);
    pthread_mutex_unlock(&c->lock);
}

static void finish_together(struct crew *c, struct task *t)
{
    pthread_mutex_lock(&c->lock);
    while (t->state != TASK_NONE && t->state != TASK_DONE)
        if (t->state == TASK_OFFERED)
            take_and_do(c, t);
        else if (c->offered)
            take_and_do(c, c->offered);
        else
            pthread_cond_wait(&c->changed, &c->lock);
    t->state = TASK_NONE;
    pthread_mutex_unlock(&c->lock);
}

void crew_finish(struct crew *c, struct task *t)
{
    if (c) {
        finish_together(c, t);
    } else if (t->state != TASK_NONE) {
        t->work(t->argument);
        t->state = TASK_NONE;
    }
}
