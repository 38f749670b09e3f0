/* Work offered is done once, by whoever comes to it, and is there when it is finished. */
#include "runtime/base/crew.h"

#include <check.h>
#include <pthread.h>
#include <stdlib.h>

enum { TASKS = 500 };

struct errand {
    struct crew *crew;
    struct task task;
    int done, depth;
    pthread_t by;
};

static void once(void *errand)
{
    struct errand *e = errand;
    e->done++;
    e->by = pthread_self();
}

/* Offers another to be done meanwhile, as deep as asked. */
static void with_another(void *errand)
{
    struct errand *e = errand, next = {.crew = e->crew, .depth = e->depth - 1};
    if (e->depth)
        crew_offer(e->crew, &next.task, with_another, &next);
    e->done++;
    crew_finish(e->crew, &next.task);
    e->done += next.done;
}

static void check_many(struct crew *c)
{
    struct errand *all = calloc(TASKS, sizeof *all);
    for (int i = 0; i < TASKS; i++)
        crew_offer(c, &all[i].task, once, &all[i]);
    for (int i = TASKS; i-- > 0;) { /* the last first: most are not begun */
        crew_finish(c, &all[i].task);
        ck_assert_int_eq(all[i].done, 1);
        crew_finish(c, &all[i].task); /* again, which does nothing */
        ck_assert_int_eq(all[i].done, 1);
    }
    free(all);
}

START_TEST(each_is_done_once)
{
    struct crew *c = crew_new();
    ck_assert_ptr_nonnull(c);
    for (int i = 0; i < 10; i++)
        check_many(c);
    crew_free(c);
}
END_TEST

START_TEST(without_a_crew_the_caller_does_all)
{
    struct errand e = {.done = 0};
    check_many(NULL);
    crew_offer(NULL, &e.task, once, &e);
    ck_assert_int_eq(e.done, 0);
    crew_finish(NULL, &e.task);
    ck_assert(pthread_equal(e.by, pthread_self()));
    crew_free(NULL);
}
END_TEST

START_TEST(work_may_offer_work)
{
    struct crew *c = crew_new();
    for (int i = 0; i < 50; i++) {
        struct errand left = {.crew = c, .depth = 20}, right = {.crew = c, .depth = 10};
        crew_offer(c, &left.task, with_another, &left);
        crew_offer(c, &right.task, with_another, &right);
        crew_finish(c, &left.task);
        crew_finish(c, &right.task);
        ck_assert_int_eq(left.done, 21);
        ck_assert_int_eq(right.done, 11);
    }
    crew_free(c);
}
END_TEST

START_TEST(what_was_never_offered_is_not_done)
{
    struct crew *c = crew_new();
    struct errand e = {.crew = c};
    crew_finish(c, &e.task);
    ck_assert_int_eq(e.done, 0);
    crew_free(c);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("crew");
    TCase *t = tcase_create("crew");
    tcase_add_test(t, each_is_done_once);
    tcase_add_test(t, without_a_crew_the_caller_does_all);
    tcase_add_test(t, work_may_offer_work);
    tcase_add_test(t, what_was_never_offered_is_not_done);
    suite_add_tcase(s, t);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_ENV);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
