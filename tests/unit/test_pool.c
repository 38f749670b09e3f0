/* Each piece is done once, results are taken in order by the calling thread, and several threads are at work. */
#include "runtime/base/pool.h"

#include <check.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

enum { MANY = 2000 };

struct log {
    atomic_int done[MANY];
    atomic_int busy[MANY]; /* by worker */
    uint32_t taken;
    pthread_t caller, worker[MANY];
};

static void do_piece(void *context, uint32_t i, uint32_t worker)
{
    struct log *log = context;
    atomic_fetch_add(&log->done[i], 1);
    log->worker[i] = pthread_self();
    ck_assert_uint_lt(worker, pool_workers(MANY));
    ck_assert_int_eq(atomic_fetch_add(&log->busy[worker], 1), 0);
    atomic_fetch_sub(&log->busy[worker], 1);
}

static void take_piece(void *context, uint32_t i)
{
    struct log *log = context;
    ck_assert_uint_eq(i, log->taken++);
    ck_assert_int_eq(atomic_load(&log->done[i]), 1);
    ck_assert(pthread_equal(log->caller, pthread_self()));
}

static void check_run(uint32_t count)
{
    struct log *log = calloc(1, sizeof *log);
    log->caller = pthread_self();
    pool_run(count, do_piece, take_piece, log);
    ck_assert_uint_eq(log->taken, count);
    for (uint32_t i = 0; i < MANY; i++)
        ck_assert_int_eq(atomic_load(&log->done[i]), i < count);
    if (count == 1)
        ck_assert(pthread_equal(log->caller, log->worker[0]));
    free(log);
}

START_TEST(each_is_done_once_and_taken_in_order)
{
    const uint32_t counts[] = {0, 1, 2, 3, 255, 256, 257, MANY};
    for (size_t i = 0; i < sizeof counts / sizeof counts[0]; i++)
        check_run(counts[i]);
}
END_TEST

START_TEST(results_need_not_be_taken)
{
    struct log *log = calloc(1, sizeof *log);
    pool_run(MANY, do_piece, NULL, log);
    for (uint32_t i = 0; i < MANY; i++)
        ck_assert_int_eq(atomic_load(&log->done[i]), 1);
    free(log);
}
END_TEST

/* The first is the last to be ready: the others wait for it to be taken. */
static void do_slowly(void *context, uint32_t i, uint32_t worker)
{
    if (i == 0)
        nanosleep(&(struct timespec){0, 20000000}, NULL);
    do_piece(context, i, worker);
}

START_TEST(a_slow_piece_does_not_change_the_order)
{
    struct log *log = calloc(1, sizeof *log);
    log->caller = pthread_self();
    pool_run(MANY, do_slowly, take_piece, log);
    ck_assert_uint_eq(log->taken, MANY);
    free(log);
}
END_TEST

/* Two pieces that wait for each other are done only where they are done at the same time. */
static void meet(void *barrier, uint32_t i, uint32_t worker)
{
    (void)i;
    (void)worker;
    pthread_barrier_wait(barrier);
}

START_TEST(two_are_done_at_the_same_time)
{
    pthread_barrier_t barrier;
    if (sysconf(_SC_NPROCESSORS_ONLN) < 2)
        return;
    pthread_barrier_init(&barrier, NULL, 2);
    pool_run(2, meet, NULL, &barrier);
    pthread_barrier_destroy(&barrier);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("pool");
    TCase *t = tcase_create("pool");
    tcase_add_test(t, each_is_done_once_and_taken_in_order);
    tcase_add_test(t, results_need_not_be_taken);
    tcase_add_test(t, a_slow_piece_does_not_change_the_order);
    tcase_add_test(t, two_are_done_at_the_same_time);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed != 0;
}
