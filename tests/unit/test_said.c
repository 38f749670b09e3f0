/* What is said in which language: lookup, places, plurals, and the decimal sign of print. */
#include "compiler/text/said.h"

#include "compiler/judge/verdict.h"
#include "compiler/text/typeset.h"

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

static void is(struct text t, const char *expected)
{
    ck_assert_str_eq(arena_text(&arena, t).at, expected);
}

/* Every row of the table is found by its own head, with and without context, and no neighbour is taken for it. A language
 * that lacks the text says it in English. */
START_TEST(every_row_is_found)
{
    ck_assert_uint_gt(catalogue_count, 400);
    for (uint32_t i = 0; i < catalogue_count; i++) {
        const char *english = catalogue_bytes + catalogue_table[i].english, *mark = strchr(english, '\004');
        struct text context = mark ? arena_text(&arena, (struct text){english, (uint32_t)(mark - english)}) : TEXT("");
        for (enum language l = LANGUAGE_DE; l < LANGUAGE_COUNT; l++) {
            uint32_t translated = catalogue_table[i].said[l - 1];
            struct text text = text_of(mark ? mark + 1 : english);
            is(said_text(l, mark ? context.at : NULL, text), translated ? catalogue_bytes + translated : text.at);
        }
    }
}
END_TEST

START_TEST(words_of_the_trade)
{
    is(said_in(LANGUAGE_DE, "name", "blank holder"), "Niederhalter");
    is(said_in(LANGUAGE_JA, "name", "punch"), "パンチ");
    is(said_in(LANGUAGE_ES, "name", "die"), "matriz");
    is(said(LANGUAGE_DE, "not evaluated"), "nicht ermittelt");
}
END_TEST

/* Signal words after ISO 3864-2 and ANSI Z535.4 in the languages' own standards, from memory. */
START_TEST(signal_words)
{
    static const char *const words[][LANGUAGE_COUNT] = {{"DANGER", "GEFAHR", "PELIGRO", "危険"},
                                                        {"WARNING", "WARNUNG", "ADVERTENCIA", "警告"},
                                                        {"CAUTION", "VORSICHT", "ATENCIÓN", "注意"}};
    for (int i = 0; i < 3; i++)
        for (enum language l = LANGUAGE_EN; l < LANGUAGE_COUNT; l++)
            is(said_text(l, "signal", text_of(words[i][0])), words[i][l]);
}
END_TEST

/* A verdict that reads like another is a false promise: no two are the same in any language. */
START_TEST(verdicts_differ)
{
    for (enum language l = LANGUAGE_EN; l < LANGUAGE_COUNT; l++)
        for (enum verdict v = 0; v < VERDICT_COUNT; v++)
            for (enum verdict w = 0; w < v; w++) {
                struct text one = said_in(l, "verdict", verdict_table[v].word);
                struct text other = said_in(l, "verdict", verdict_table[w].word);
                ck_assert_msg(!text_same(one, other), "%s and %s are both %.*s in %s", verdict_table[v].word,
                              verdict_table[w].word, TEXT_ARGS(one), language_table[l].code);
            }
    /* From the trade's use in German: ISO 14253-1 and its kin prove conformity. */
    is(said_in(LANGUAGE_DE, "verdict", "nominal only"), "nur nominal");
}
END_TEST

START_TEST(what_is_not_there_is_said_in_english)
{
    is(said(LANGUAGE_DE, "no such text anywhere"), "no such text anywhere");
    is(said(LANGUAGE_JA, ""), "");
    is(said_in(LANGUAGE_DE, "no-context", "die"), "die");
    is(said_in(LANGUAGE_DE, "nam", "die"), "die");
    is(said_in(LANGUAGE_DE, "name", "di"), "di");
    is(said_in(LANGUAGE_DE, "name", "die "), "die ");
    is(said_in(LANGUAGE_EN, "name", "die"), "die");
}
END_TEST

START_TEST(places_are_filled_in_the_order_of_the_language)
{
    struct text t =
        SAID(&arena, LANGUAGE_JA, "part {part}, revision {revision}, {date}, status {status}",
             {"part", TEXT("P{date}")}, {"revision", TEXT("R")}, {"date", TEXT("D")}, {"status", TEXT("S")});
    is(t, "部品 P{date}、改訂 R、D、状態 S");
    is(said_filled(&arena, TEXT("{b} of {a}, {c} and {"), SAID_PARTS({"a", TEXT("1")}, {"b", TEXT("2")})),
       "2 of 1, {c} and {");
}
END_TEST

START_TEST(plurals_in_english)
{
    is(SAID_COUNT(&arena, LANGUAGE_EN, "{n} apple of the tests", "{n} apples of the tests", 1), "1 apple of the tests");
    is(SAID_COUNT(&arena, LANGUAGE_EN, "{n} apple of the tests", "{n} apples of the tests", 0),
       "0 apples of the tests");
    is(SAID_COUNT(&arena, LANGUAGE_DE, "{n} apple of the tests", "{n} apples of the tests", 2),
       "2 apples of the tests");
}
END_TEST

START_TEST(decimal_sign_of_print)
{
    struct unit mm;
    struct unit_error error;
    ck_assert_int_eq(unit_read(TEXT("mm"), &mm, &error), UNIT_OK);
    static const char *const prints[] = {"1234.5\xC2\xA0mm", "1234,5\xC2\xA0mm", "1234,5\xC2\xA0mm",
                                         "1234.5\xC2\xA0mm"};
    for (enum language l = LANGUAGE_EN; l < LANGUAGE_COUNT; l++) {
        is(typeset_quantity_to(&arena, 1.2345, &mm, 1, (struct spelling){true, l}), prints[l]);
        is(typeset_quantity_to(&arena, 1.2345, &mm, 1, (struct spelling){false, l}), "1234.5 mm");
    }
    is(typeset_tolerance(&arena, 0.1, 0.0999, 0.1002, &mm, (struct spelling){true, LANGUAGE_DE}),
       "+0,20\xC2\xA0mm \xE2\x88\x92"
       "0,10\xC2\xA0mm");
    is(typeset_number(&arena, 1e-5, 9), "1e-5");
}
END_TEST

START_TEST(codes)
{
    ck_assert_int_eq(language_of(TEXT("ja")), LANGUAGE_JA);
    ck_assert_int_eq(language_of(TEXT("")), LANGUAGE_COUNT);
    ck_assert_int_eq(language_of(TEXT("de_DE")), LANGUAGE_COUNT);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("said");
    TCase *all = tcase_create("said");
    tcase_add_checked_fixture(all, begin, end);
    tcase_add_test(all, every_row_is_found);
    tcase_add_test(all, words_of_the_trade);
    tcase_add_test(all, signal_words);
    tcase_add_test(all, verdicts_differ);
    tcase_add_test(all, what_is_not_there_is_said_in_english);
    tcase_add_test(all, places_are_filled_in_the_order_of_the_language);
    tcase_add_test(all, plurals_in_english);
    tcase_add_test(all, decimal_sign_of_print);
    tcase_add_test(all, codes);
    suite_add_tcase(suite, all);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
