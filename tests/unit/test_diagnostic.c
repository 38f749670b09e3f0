#include "compiler/text/diagnostic.h"

#include <check.h>
#include <ctype.h>
#include <stdlib.h>

static struct arena arena;
static struct diagnostics ds;

static void setup(void)
{
    arena_init(&arena, NULL);
    diagnostics_init(&ds, &arena);
}

static void teardown(void)
{
    arena_free(&arena);
}

static struct span at(uint32_t lo)
{
    return (struct span){1, lo, lo + 3};
}

/* ---- the registry ---- */

START_TEST(slugs_are_unique_and_well_formed)
{
    for (int i = 0; i < FAULT_COUNT; i++) {
        const char *slug = fault_table[i].slug;
        ck_assert_msg(islower((unsigned char)slug[0]), "%s", slug);
        for (const char *p = slug; *p; p++)
            ck_assert_msg(islower((unsigned char)*p) || isdigit((unsigned char)*p) || *p == '-', "%s", slug);
        for (int j = 0; j < i; j++)
            ck_assert_msg(strcmp(slug, fault_table[j].slug) != 0, "%s twice", slug);
    }
}
END_TEST

/* An entry nobody can look up helps nobody: every fault is explained in two to four sentences and shown. */
START_TEST(every_fault_is_explained_and_shown)
{
    for (int i = 0; i < FAULT_COUNT; i++) {
        const struct fault_entry *f = &fault_table[i];
        size_t title = strlen(f->title), words = strlen(f->explanation), lines = 0;
        ck_assert_msg(title > 3 && title < 60 && f->title[title - 1] != '.', "%s: title", f->slug);
        ck_assert_msg(words > 80 && words < 700, "%s: explanation of %zu bytes", f->slug, words);
        ck_assert_msg(f->explanation[words - 1] == '.', "%s: explanation ends its sentence", f->slug);
        for (const char *p = f->example; *p; p++)
            lines += *p == '\n';
        ck_assert_msg(f->example[0] && lines < 12, "%s: example", f->slug);
    }
}
END_TEST

/* ---- reporting ---- */

START_TEST(keeps_what_is_reported)
{
    struct diagnostic *d = report(&ds, FAULT_unknown_unit, at(10), "no unit is called '%s'", "mmm");
    report_here(&ds, d, "%d letters", 3);
    report_label(&ds, d, at(0), "in this %s", "sheet");
    report_help(&ds, d, "write '%s'", "mm");
    char replacement[] = "mm";
    report_edit(&ds, d, at(10), text_of(replacement));
    replacement[0] = 'X'; /* the text is a copy */
    ck_assert_uint_eq(ds.all.count, 1);
    ck_assert_ptr_eq(ds.all.at[0], d);
    ck_assert(text_is(d->message, "no unit is called 'mmm'"));
    ck_assert(text_is(d->here, "3 letters"));
    ck_assert_uint_eq(d->labels.count, 1);
    ck_assert(text_is(d->labels.at[0].text, "in this sheet"));
    ck_assert(text_is(d->help, "write 'mm'"));
    ck_assert(text_is(d->edit.text, "mm"));
    ck_assert_uint_eq(ds.errors, 1);
}
END_TEST

START_TEST(counts_by_severity)
{
    report(&ds, FAULT_syntax, at(1), "a");
    report(&ds, FAULT_no_steps, at(2), "b");
    report(&ds, FAULT_no_source, at(3), "c");
    ck_assert_uint_eq(ds.errors, 1);
    ck_assert_uint_eq(ds.warnings, 1);
    ck_assert_uint_eq(ds.all.count, 3);
}
END_TEST

START_TEST(a_repeat_is_kept_once)
{
    struct diagnostic *first = report(&ds, FAULT_syntax, at(5), "message");
    struct diagnostic *again = report(&ds, FAULT_syntax, at(5), "message");
    ck_assert_ptr_ne(first, again);
    report_help(&ds, again, "ignored");
    ck_assert_uint_eq(first->help.len, 0);
    report(&ds, FAULT_unknown_name, at(5), "message");
    report(&ds, FAULT_syntax, at(6), "message");
    ck_assert_uint_eq(ds.all.count, 3);
    ck_assert_uint_eq(ds.errors, 3);
}
END_TEST

START_TEST(a_repeat_is_known_after_many_and_after_sorting)
{
    for (uint32_t i = 0; i < 500; i++)
        report(&ds, FAULT_syntax, at(1000 - i), "message");
    diagnostics_sort(&ds);
    for (uint32_t i = 0; i < 500; i++)
        report(&ds, FAULT_syntax, at(1000 - i), "message");
    ck_assert_uint_eq(ds.all.count, 500);
    ck_assert_uint_eq(ds.dropped, 0);
}
END_TEST

START_TEST(beyond_the_limit_only_counted)
{
    for (uint32_t i = 0; i < DIAGNOSTIC_LIMIT + 25; i++) {
        struct diagnostic *d = report(&ds, FAULT_syntax, at(i), "message %u", i);
        ck_assert_ptr_nonnull(d);
        report_label(&ds, d, at(0), "label");
        report_edit(&ds, d, at(i), TEXT("edit"));
    }
    ck_assert_uint_eq(ds.all.count, DIAGNOSTIC_LIMIT);
    ck_assert_uint_eq(ds.dropped, 25);
    ck_assert_uint_eq(ds.errors, DIAGNOSTIC_LIMIT + 25);
    ck_assert(text_is(ds.all.at[DIAGNOSTIC_LIMIT - 1]->message, "message 999"));
}
END_TEST

START_TEST(sorts_by_file_place_and_order)
{
    const struct span spans[] = {{2, 9, 10}, {1, 50, 51}, {2, 1, 2}, {0, 0, 0}, {1, 50, 60}, {1, 7, 8}};
    const char *const names[] = {"f", "c", "e", "a", "d", "b"};
    for (int i = 0; i < 6; i++)
        report(&ds, FAULT_syntax, spans[i], "%s", names[i]);
    diagnostics_sort(&ds);
    for (int i = 0; i < 6; i++)
        ck_assert_int_eq(ds.all.at[i]->message.at[0], "abcdef"[i]);
}
END_TEST

/* ---- nearest ---- */

static const struct text properties[] = {
    {"thickness", 9},    {"length", 6},         {"width", 5},         {"alloy", 5},       {"inside-radius", 13},
    {"angle", 5},        {"corner-radius", 13}, {"contact", 7},       {"convection", 10}, {"time", 4},
    {"temperature", 11}, {"down-to", 7},        {"blank-holder", 12}, {"hold", 4},        {"gap", 3},
};
enum { PROPERTY_COUNT = sizeof properties / sizeof properties[0] };

static const struct {
    const char *wrong, *meant; /* "" : nothing is near enough */
} slips[] = {
    {"thicknes", "thickness"},   /* a letter lost */
    {"thicknesss", "thickness"}, /* one too many */
    {"thickenss", "thickness"},  /* two swapped */
    {"lenght", "length"},        /* the classic */
    {"Width", "width"},          /* capitals do not count */
    {"ALLOY", "alloy"},
    {"insideradius", "inside-radius"}, /* a hyphen lost */
    {"inside_radius", "inside-radius"},
    {"insde-radus", "inside-radius"}, /* two letters */
    {"down--to", "down-to"},
    {"downto", "down-to"},
    {"blank-hodler", "blank-holder"},
    {"radius-inside", "inside-radius"}, /* the words are right */
    {"inside", "inside-radius"},        /* a whole word that only one has */
    {"holder", "blank-holder"},
    {"tempereture", "temperature"},
    {"radius", ""}, /* two have that word: say nothing rather than guess */
    {"gxp", "gap"},
    {"bolt-circle", ""},
    {"x", ""},
    {"", ""},
    {"ti", ""}, /* a word of two letters is no hint */
    {"zzzz", ""},
};

START_TEST(finds_what_was_meant)
{
    struct text found = nearest(text_of(slips[_i].wrong), properties, PROPERTY_COUNT);
    ck_assert_msg(text_is(found, slips[_i].meant), "'%s' gives '%.*s', not '%s'", slips[_i].wrong, TEXT_ARGS(found),
                  slips[_i].meant);
}
END_TEST

START_TEST(prefers_the_nearer_and_does_not_depend_on_order)
{
    const struct text forth[] = {TEXT("hold"), TEXT("holds"), TEXT("held")}, back[] = {forth[2], forth[1], forth[0]};
    ck_assert(text_is(nearest(TEXT("hol"), forth, 3), "hold"));
    ck_assert(text_same(nearest(TEXT("hols"), forth, 3), nearest(TEXT("hols"), back, 3)));
    ck_assert(text_is(nearest(TEXT("hold"), back, 3), "hold"));
}
END_TEST

START_TEST(units_of_few_letters_are_not_confused)
{
    const struct text units[] = {TEXT("mm"), TEXT("cm"), TEXT("MPa"), TEXT("kN"), TEXT("degC")};
    ck_assert_uint_eq(nearest(TEXT("km"), units, 5).len, 0);
    ck_assert(text_is(nearest(TEXT("MM"), units, 5), "mm"));
    ck_assert(text_is(nearest(TEXT("mpa"), units, 5), "MPa"));
    ck_assert(text_is(nearest(TEXT("Kn"), units, 5), "kN"));
    ck_assert(text_is(nearest(TEXT("mmm"), units, 5), "mm"));
}
END_TEST

START_TEST(endless_names_are_no_trouble)
{
    char *name = malloc(100000);
    memset(name, 'a', 100000);
    const struct text candidates[] = {{name, 100000}, TEXT("aaa")};
    ck_assert_uint_eq(nearest((struct text){name, 99999}, candidates, 2).len, 0);
    ck_assert(text_is(nearest(TEXT("aaaa"), candidates, 2), "aaa"));
    free(name);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("diagnostic");
    TCase *tests = tcase_create("diagnostic");
    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, slugs_are_unique_and_well_formed);
    tcase_add_test(tests, every_fault_is_explained_and_shown);
    tcase_add_test(tests, keeps_what_is_reported);
    tcase_add_test(tests, counts_by_severity);
    tcase_add_test(tests, a_repeat_is_kept_once);
    tcase_add_test(tests, a_repeat_is_known_after_many_and_after_sorting);
    tcase_add_test(tests, beyond_the_limit_only_counted);
    tcase_add_test(tests, sorts_by_file_place_and_order);
    tcase_add_loop_test(tests, finds_what_was_meant, 0, (int)(sizeof slips / sizeof slips[0]));
    tcase_add_test(tests, prefers_the_nearer_and_does_not_depend_on_order);
    tcase_add_test(tests, units_of_few_letters_are_not_confused);
    tcase_add_test(tests, endless_names_are_no_trouble);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
