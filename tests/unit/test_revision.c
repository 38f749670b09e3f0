/* The order of revisions, as shops count them. Letters before two letters and parts within a letter: ASME Y14.35, which
 * counts A to Y, then AA; numbers and words are common practice. */
#include "compiler/table/steps.h"

#include <check.h>
#include <stdlib.h>

static const struct {
    const char *before, *after;
} rising[] = {{"A", "B"},      {"Y", "AA"},        {"Z", "AA"},    {"AA", "AB"},  {"1", "2"},   {"9", "10"},
              {"09", "10"},    {"A", "A1"},        {"A.1", "A.2"}, {"A1", "A10"}, {"B", "B.1"}, {"a", "B"},
              {"1.9", "1.10"}, {"rev-3", "rev-4"}, {"X1", "X2"},   {"C", "D-1"}};

START_TEST(later_revisions_come_after)
{
    for (size_t i = 0; i < sizeof rising / sizeof rising[0]; i++) {
        struct text a = text_of(rising[i].before), b = text_of(rising[i].after);
        ck_assert_msg(revision_order(a, b) == -1, "%s before %s", rising[i].before, rising[i].after);
        ck_assert_msg(revision_order(b, a) == 1, "%s after %s", rising[i].after, rising[i].before);
        ck_assert_int_eq(revision_order(a, a), 0);
    }
}
END_TEST

START_TEST(spelling_does_not_count)
{
    ck_assert_int_eq(revision_order(TEXT("A.1"), TEXT("a1")), 0);
    ck_assert_int_eq(revision_order(TEXT("007"), TEXT("7")), 0);
    ck_assert_int_eq(revision_order(TEXT(""), TEXT("")), 0);
}
END_TEST

/* Where nothing says which is the later, nobody may be told that a revision goes back. */
START_TEST(what_has_no_order_is_unrelated)
{
    ck_assert_int_eq(revision_order(TEXT("3"), TEXT("C")), REVISIONS_UNRELATED);
    ck_assert_int_eq(revision_order(TEXT("trial"), TEXT("series")), REVISIONS_UNRELATED);
    ck_assert_int_eq(revision_order(TEXT("trial"), TEXT("A")), REVISIONS_UNRELATED);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("revision");
    TCase *t = tcase_create("revision");
    tcase_add_test(t, later_revisions_come_after);
    tcase_add_test(t, spelling_does_not_count);
    tcase_add_test(t, what_has_no_order_is_unrelated);
    suite_add_tcase(s, t);
    SRunner *runner = srunner_create(s);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
