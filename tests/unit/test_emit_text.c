#include "compiler/emit/emit.h"
#include "tests/unit/sample_table.h"

#include "compiler/emit/columns.h"
#include "runtime/base/utf8.h"

#include <check.h>
#include <stdlib.h>

static struct arena arena;
static struct buffer out;

static void setup(void)
{
    arena_init(&arena, NULL);
    buffer_init(&out, &arena);
}

static void teardown(void)
{
    arena_free(&arena);
}

static void check_out(const char *expected)
{
    ck_assert_str_eq(arena_text(&arena, buffer_text(&out)).at, expected);
}

/* ---- columns ------------------------------------------------------------------------------------------------------ */

static const struct column pair[] = {{"Name", COLUMN_WORDS}, {"Value", COLUMN_NUMBER}};

static void add_pair(struct columns *c, const char *name, const char *value)
{
    struct columns_row *r = columns_add(c);
    r->cell[0] = text_of(name);
    r->cell[1] = text_of(value);
}

START_TEST(numbers_stand_on_their_decimal_points)
{
    struct columns c = {.arena = &arena, .columns = pair, .count = 2};
    add_pair(&c, "a", "8.00 mm");
    add_pair(&c, "b", "168.00 mm");
    add_pair(&c, "c", "-3 K");
    add_pair(&c, "d", "word");
    columns_print(&c, &out, 80);
    check_out("Name  Value\n"
              "----  ---------\n"
              "a       8.00 mm\n"
              "b     168.00 mm\n"
              "c      -3 K\n"
              "d     word\n");
}
END_TEST

START_TEST(words_are_wrapped_and_numbers_are_not)
{
    struct columns c = {.arena = &arena, .columns = pair, .count = 2};
    add_pair(&c, "the quick press", "168.00 mm");
    columns_print(&c, &out, 18);
    check_out("Name     Value\n"
              "-------  ---------\n"
              "the      168.00 mm\n"
              "quick\n"
              "press\n");
}
END_TEST

START_TEST(wide_characters_keep_the_columns_straight)
{
    struct columns c = {.arena = &arena, .columns = pair, .count = 2};
    add_pair(&c, "温度", "1");
    add_pair(&c, "µ", "2");
    columns_print(&c, &out, 80);
    check_out("Name  Value\n----  -----\n温度  1\nµ     2\n");
}
END_TEST

START_TEST(what_flows_runs_on_beside_the_rows_below)
{
    static const struct column flow[] = {{"Do", COLUMN_FLOW}, {"Set", COLUMN_WORDS}};
    struct columns c = {.arena = &arena, .columns = flow, .count = 2};
    columns_add(&c)->cell[0] = TEXT("warm the die");
    c.rows.at[0].cell[1] = TEXT("a");
    columns_add(&c)->cell[1] = TEXT("b");
    struct columns_row *r = columns_add(&c);
    r->apart = true;
    r->cell[0] = TEXT("form it");
    columns_print(&c, &out, 9);
    check_out("Do    Set\n"
              "----  ---\n"
              "warm  a\n"
              "the   b\n"
              "die\n"
              "\n"
              "form\n"
              "it\n");
}
END_TEST

START_TEST(a_number_keeps_its_unit)
{
    print_wrapped(&out, TEXT("Heat to 200 degC now"), 14, 2, 2);
    check_out("  Heat to\n    200 degC\n    now\n");
}
END_TEST

START_TEST(a_name_may_be_broken_behind_its_hyphen)
{
    print_wrapped(&out, TEXT("the overall-length 5-6"), 14, 0, 0);
    check_out("the overall-\nlength 5-6\n");
}
END_TEST

START_TEST(a_word_that_fits_no_line_is_broken)
{
    print_wrapped(&out, TEXT("abcdefghijklmnop x"), 10, 0, 0);
    check_out("abcdefghij\nklmnop x\n");
}
END_TEST

/* ---- whole files -------------------------------------------------------------------------------------------------- */

static void check_width(uint32_t width)
{
    struct text rest = buffer_text(&out);
    while (rest.len) {
        const char *end = memchr(rest.at, '\n', rest.len);
        struct text line = {rest.at, (uint32_t)(end - rest.at)};
        ck_assert_msg(utf8_columns(line) <= width, "wider than %u: %.*s", width, TEXT_ARGS(line));
        ck_assert_msg(!line.len || line.at[line.len - 1] != ' ', "blanks at the end: '%.*s'", TEXT_ARGS(line));
        rest.at += line.len + 1;
        rest.len -= line.len + 1;
    }
}

static void check_holds(const char *words)
{
    if (!strstr(arena_text(&arena, buffer_text(&out)).at, words))
        ck_abort_msg("'%s' is missing", words);
}

START_TEST(no_line_is_too_wide)
{
    for (uint32_t width = 90; width <= 140; width += 10) {
        buffer_init(&out, &arena);
        text_steps(&out, sample_long_table(&arena, 40, 60), width);
        text_sizes(&out, sample_long_table(&arena, 40, 60), width + 10);
        check_width(width + 10);
    }
}
END_TEST

START_TEST(steps_say_what_the_shop_needs)
{
    text_steps(&out, sample_table(&arena), TEXT_WIDTH);
    check_holds("part RL-204, revision C, 2026-11-02, status trial\n");
    check_holds("  DANGER   P011 Never put water");
    check_holds("(beside the press)");
    check_holds("check   blank temperature                      190 degC .. 210 degC\n");
    check_holds("      if out   Do not start. Have the heaters checked.\n");
    check_holds("      rework   back to step 30\n");
    check_holds("      why      the alloy az31b-o states no draw-limit at 25 mm/s\n");
}
END_TEST

START_TEST(a_limit_that_fails_comes_first_and_says_why)
{
    text_steps(&out, sample_long_table(&arena, 6, 5), TEXT_WIDTH);
    struct text all = arena_text(&arena, buffer_text(&out));
    const char *fails = strstr(all.at, "FAILS"), *holds = strstr(all.at, "holds   ");
    ck_assert_ptr_nonnull(fails);
    ck_assert_ptr_nonnull(holds);
    ck_assert(fails < holds);
    check_holds("      because  The outer fibre");
    check_holds("      remedy   Raise the temperature");
}
END_TEST

START_TEST(sizes_line_up)
{
    text_sizes(&out, sample_table(&arena), TEXT_WIDTH);
    check_holds("overall-length  outside  168.00 mm    168.403 mm    168.773 mm  168.773 mm  168.000 mm     2.6 um/K\n"
                "                         +/- 0.10 mm  +/- 0.010 mm                          +/- 0.021 mm\n");
    check_holds(
        "label-recess    inside     8.00 mm      8.019 mm      8.037 mm    8.037 mm  not evaluated  0.1 um/K\n");
    /* The feature without a budget is not among them. */
    check_holds(
        "overall-length  168.00 mm  5.5 um       6.06  5.45  die.temperature 90 %, form.contact 10 %\n\nStandard");
}
END_TEST

START_TEST(an_empty_table_still_prints)
{
    text_steps(&out, sample_empty_table(&arena), TEXT_WIDTH);
    text_sizes(&out, sample_empty_table(&arena), TEXT_WIDTH);
    check_holds("The recipe states no size that a tool sets.\n");
}
END_TEST

START_TEST(no_words_drive_the_terminal)
{
    text_steps(&out, sample_hostile_table(&arena, TEXT("a\x1B]0;x\x07\nb\xFF")), TEXT_WIDTH);
    text_sizes(&out, sample_hostile_table(&arena, TEXT("a\x1B]0;x\x07\nb\xFF")), TEXT_WIDTH);
    struct text all = buffer_text(&out);
    for (uint32_t i = 0; i < all.len; i++)
        ck_assert((unsigned char)all.at[i] >= 0x20 || all.at[i] == '\n');
    ck_assert_uint_eq(utf8_valid_until(all), all.len);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("text");
    TCase *cases = tcase_create("text");
    tcase_add_checked_fixture(cases, setup, teardown);
    tcase_add_test(cases, numbers_stand_on_their_decimal_points);
    tcase_add_test(cases, words_are_wrapped_and_numbers_are_not);
    tcase_add_test(cases, wide_characters_keep_the_columns_straight);
    tcase_add_test(cases, what_flows_runs_on_beside_the_rows_below);
    tcase_add_test(cases, a_number_keeps_its_unit);
    tcase_add_test(cases, a_name_may_be_broken_behind_its_hyphen);
    tcase_add_test(cases, a_word_that_fits_no_line_is_broken);
    tcase_add_test(cases, no_line_is_too_wide);
    tcase_add_test(cases, steps_say_what_the_shop_needs);
    tcase_add_test(cases, a_limit_that_fails_comes_first_and_says_why);
    tcase_add_test(cases, sizes_line_up);
    tcase_add_test(cases, an_empty_table_still_prints);
    tcase_add_test(cases, no_words_drive_the_terminal);
    suite_add_tcase(suite, cases);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
