#include "compiler/text/source.h"

#include <check.h>

static struct arena arena;
static struct sources sources;

static void setup(void)
{
    arena_init(&arena, NULL);
    sources_init(&sources, &arena, NULL);
}

static void teardown(void)
{
    arena_free(&arena);
}

static void check_place(uint32_t file, uint32_t offset, uint32_t line, uint32_t column, uint32_t utf16,
                        const char *text)
{
    struct place p = place_of(&sources, file, offset);
    ck_assert_msg(p.line == line && p.column == column && p.utf16 == utf16, "offset %u: %u:%u utf16 %u, not %u:%u %u",
                  offset, p.line, p.column, p.utf16, line, column, utf16);
    ck_assert_msg(text_is(p.text, text), "line is '%.*s', not '%s'", TEXT_ARGS(p.text), text);
}

START_TEST(counts_lines_of_each_kind_of_end)
{
    uint32_t f = source_add(&sources, TEXT("lid.recipe"), TEXT("ab\ncd\r\n\nlast"));
    check_place(f, 0, 1, 1, 0, "ab");
    check_place(f, 2, 1, 3, 2, "ab"); /* the line end belongs to its line */
    check_place(f, 3, 2, 1, 0, "cd");
    check_place(f, 5, 2, 3, 2, "cd");
    check_place(f, 6, 2, 3, 2, "cd"); /* between CR and LF */
    check_place(f, 7, 3, 1, 0, "");
    check_place(f, 8, 4, 1, 0, "last");
    check_place(f, 12, 4, 5, 4, "last");
    check_place(f, 4000000000u, 4, 5, 4, "last"); /* beyond the end: the end */
}
END_TEST

START_TEST(a_line_end_at_the_end_begins_an_empty_line)
{
    uint32_t f = source_add(&sources, TEXT("a"), TEXT("x\n")), empty = source_add(&sources, TEXT("b"), TEXT(""));
    check_place(f, 2, 2, 1, 0, "");
    check_place(empty, 0, 1, 1, 0, "");
}
END_TEST

/* Columns as a terminal shows them (GNU coding standards: tabs to 8, columns from 1), UTF-16 as editors count. */
START_TEST(columns_of_wide_tab_and_pair)
{
    uint32_t f = source_add(&sources, TEXT("a"),
                            TEXT("\t\xC2\xB5m e\xCC\x81 \xE6\xB8\xA9 \xF0\x9F\x94\xA5!")); /* tab um e' wide fire ! */
    check_place(f, 1, 1, 9, 1, sources.files.at[0]->bytes.at);
    check_place(f, 3, 1, 10, 2, sources.files.at[0]->bytes.at);
    check_place(f, 2, 1, 9, 1, sources.files.at[0]->bytes.at);    /* inside the micro sign: its start */
    check_place(f, 8, 1, 13, 6, sources.files.at[0]->bytes.at);   /* behind e and its accent */
    check_place(f, 12, 1, 16, 8, sources.files.at[0]->bytes.at);  /* behind the wide character */
    check_place(f, 15, 1, 17, 9, sources.files.at[0]->bytes.at);  /* inside the pair: its start */
    check_place(f, 17, 1, 19, 11, sources.files.at[0]->bytes.at); /* behind it: two columns, two units */
}
END_TEST

START_TEST(broken_bytes_count_one_each)
{
    uint32_t f = source_add(&sources, TEXT("a"), TEXT("\xFF\xE6\xB8x"));
    check_place(f, 3, 1, 4, 3, "\xFF\xE6\xB8x");
}
END_TEST

START_TEST(numbers_go_on_from_the_set_below)
{
    struct sources upper;
    uint32_t first = source_add(&sources, TEXT("library"), TEXT("one\ntwo\nthree"));
    uint32_t second = source_add(&sources, TEXT("more"), TEXT("x"));
    sources_init(&upper, &arena, &sources);
    uint32_t own = source_add(&upper, TEXT("lid.recipe"), TEXT("mine"));
    ck_assert_uint_eq(first, 1);
    ck_assert_uint_eq(own, second + 1);
    ck_assert(text_is(source_at(&upper, first)->path, "library"));
    ck_assert(text_is(source_at(&upper, own)->path, "lid.recipe"));
    ck_assert_ptr_null(source_at(&sources, own));
    ck_assert_ptr_null(source_at(&upper, 0));
    ck_assert_ptr_null(source_at(&upper, own + 1));
    struct place p = place_of(&upper, first, 5);
    ck_assert_uint_eq(p.line, 2);
    ck_assert_uint_eq(p.column, 2);
    ck_assert(text_is(p.text, "two"));
    ck_assert_ptr_null(source_at(&sources, first)->lines); /* the lower set is left as it was */
}
END_TEST

START_TEST(text_of_spans)
{
    uint32_t f = source_add(&sources, TEXT("a"), TEXT("thickness"));
    ck_assert(text_is(span_text(&sources, (struct span){f, 0, 5}), "thick"));
    ck_assert(text_is(span_text(&sources, (struct span){f, 5, 900}), "ness"));
    ck_assert(text_is(span_text(&sources, (struct span){f, 7, 3}), ""));
    ck_assert(text_is(span_text(&sources, (struct span){0, 0, 5}), ""));
    struct span joined = span_join((struct span){f, 4, 6}, (struct span){f, 1, 2});
    ck_assert_uint_eq(joined.lo, 1);
    ck_assert_uint_eq(joined.hi, 6);
}
END_TEST

START_TEST(every_offset_agrees_with_counting)
{
    static char bytes[4001];
    for (uint32_t i = 0, seed = 7; i < 4000; i++) {
        seed = seed * 1664525u + 1013904223u;
        bytes[i] = (seed >> 24) % 9 == 0 ? '\n' : 'x';
    }
    uint32_t f = source_add(&sources, TEXT("a"), (struct text){bytes, 4000}), line = 1, column = 1;
    for (uint32_t i = 0; i <= 4000; i++) {
        struct place p = place_of(&sources, f, i);
        ck_assert_uint_eq(p.line, line);
        ck_assert_uint_eq(p.column, column);
        column++;
        if (bytes[i] == '\n')
            line++, column = 1;
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("source");
    TCase *tests = tcase_create("source");
    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, counts_lines_of_each_kind_of_end);
    tcase_add_test(tests, a_line_end_at_the_end_begins_an_empty_line);
    tcase_add_test(tests, columns_of_wide_tab_and_pair);
    tcase_add_test(tests, broken_bytes_count_one_each);
    tcase_add_test(tests, numbers_go_on_from_the_set_below);
    tcase_add_test(tests, text_of_spans);
    tcase_add_test(tests, every_offset_agrees_with_counting);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
