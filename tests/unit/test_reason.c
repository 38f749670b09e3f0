/* Reasons: lists that hold each once, and words in English and translated. */
#include "compiler/lower/reason.h"

#include <check.h>
#include <stdlib.h>

static struct arena arena;

static void begin(void)
{
    arena_init(&arena, NULL);
}

static void end(void)
{
    arena_free(&arena);
}

static const struct reason *lacks_step(uint32_t count)
{
    return reason_new(&arena, (struct reason){.kind = REASON_which, .count = count, .of = KIND_step});
}

static uint32_t length(const struct reason *r)
{
    uint32_t count = 0;
    for (; r; r = r->next)
        count++;
    return count;
}

START_TEST(each_is_in_a_list_once)
{
    const struct reason *two = lacks_step(2), *three = lacks_step(3), *both = reasons_joined(&arena, two, three);
    ck_assert_uint_eq(length(both), 2);
    ck_assert_uint_eq(length(reasons_joined(&arena, both, two)), 2);
    ck_assert_uint_eq(length(reasons_joined(&arena, both, lacks_step(3))), 2);
    ck_assert(both->kind == REASON_which && both->count == 2 && both->next->count == 3);
    ck_assert_uint_eq(length(two), 1);
}
END_TEST

START_TEST(a_list_has_an_end)
{
    const struct reason *all = lacks_step(0);
    for (uint32_t i = 1; i < 100; i++)
        all = reasons_joined(&arena, all, lacks_step(i));
    ck_assert_uint_lt(length(all), 50);
}
END_TEST

START_TEST(what_was_reported_gives_way)
{
    const struct reason *told = reason_new(&arena, (struct reason){.kind = REASON_fault, .reported = true});
    const struct reason *open = lacks_step(2);
    ck_assert_ptr_eq(reasons_joined(&arena, told, open), open);
    ck_assert_ptr_eq(reasons_joined(&arena, open, told), open);
    ck_assert_ptr_eq(reasons_joined(&arena, told, told), told);
}
END_TEST

static void is(struct reason r, struct spelling spelling, const char *expected)
{
    ck_assert_str_eq(arena_text(&arena, reason_words(&arena, NULL, &r, spelling)).at, expected);
}

START_TEST(words_of_each_language)
{
    const struct spelling german = {false, LANGUAGE_DE};
    is((struct reason){.kind = REASON_which, .count = 2, .of = KIND_step}, SPELL_ASCII,
       "the recipe has 2 definitions of kind step and does not say which");
    is((struct reason){.kind = REASON_no_tool, .name = TEXT("die")}, SPELL_ASCII, "no tool of the recipe is the die");
    is((struct reason){.kind = REASON_no_tool, .name = TEXT("die")}, german, "kein Werkzeug des Rezepts ist Matrize");
    is((struct reason){.kind = REASON_may_lack, .name = TEXT("a.b"), .inner = REASON_may_be_too_large}, SPELL_ASCII,
       "inside the tolerances a.b may have no value: the number may be too large");
    for (int kind = 0; kind < REASON_COUNT; kind++) {
        struct reason r = {.kind = (enum reason_kind)kind};
        struct text english = reason_words(&arena, NULL, &r, SPELL_ASCII);
        ck_assert(english.len && !text_same(english, reason_words(&arena, NULL, &r, german)));
    }
}
END_TEST

START_TEST(numbers_as_the_paper_writes_them)
{
    struct unit mm;
    struct unit_error error;
    ck_assert_int_eq(unit_read(TEXT("mm"), &mm, &error), UNIT_OK);
    struct reason r = {
        .kind = REASON_beyond_table, .name = TEXT("a.b"), .at = 0.0025, .low = 0, .high = 0.0015, .unit = mm};
    is(r, SPELL_ASCII, "a.b is asked at 2.50 mm, and its table covers 0.00 mm .. 1.50 mm");
    struct text print = reason_words(&arena, NULL, &r, (struct spelling){true, LANGUAGE_DE});
    ck_assert_ptr_nonnull(strstr(arena_text(&arena, print).at, "2,50"));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("reason");
    TCase *all = tcase_create("all");
    tcase_add_checked_fixture(all, begin, end);
    tcase_add_test(all, each_is_in_a_list_once);
    tcase_add_test(all, a_list_has_an_end);
    tcase_add_test(all, what_was_reported_gives_way);
    tcase_add_test(all, words_of_each_language);
    tcase_add_test(all, numbers_as_the_paper_writes_them);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
