#include "compiler/emit/emit.h"
#include "tests/unit/sample_table.h"

#include "runtime/base/number.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>

enum { STEP_FIELDS = 19, SIZE_FIELDS = 45, FIELDS_MOST = 64 };

static struct arena arena;

static void setup(void)
{
    arena_init(&arena, NULL);
}

static void teardown(void)
{
    arena_free(&arena);
}

struct record {
    struct text field[FIELDS_MOST];
    bool quoted[FIELDS_MOST];
    uint32_t count;
};

/* The next field after RFC 4180, section 2; moves *at behind it and its comma. */
static struct text next_field(struct text t, uint32_t *at, bool *quoted, bool *last)
{
    struct buffer b;
    buffer_init(&b, &arena);
    *quoted = *at < t.len && t.at[*at] == '"';
    for (*at += *quoted; *at < t.len; ++*at) {
        char c = t.at[*at];
        if (*quoted && c == '"' && (*at + 1 == t.len || t.at[*at + 1] != '"')) {
            ++*at;
            break;
        }
        if (!*quoted && (c == ',' || c == '\r'))
            break;
        ck_assert(*quoted || (c != '"' && c != '\n'));
        *at += *quoted && c == '"';
        buffer_putc(&b, t.at[*at]);
    }
    ck_assert_uint_lt(*at, t.len);
    *last = t.at[*at] == '\r';
    ck_assert(*last ? *at + 1 < t.len && t.at[*at + 1] == '\n' : t.at[*at] == ',');
    *at += *last ? 2 : 1;
    return buffer_text(&b);
}

static bool next_record(struct text t, uint32_t *at, struct record *r)
{
    bool last = false;
    r->count = 0;
    while (*at < t.len && !last) {
        ck_assert_uint_lt(r->count, FIELDS_MOST);
        r->field[r->count] = next_field(t, at, &r->quoted[r->count], &last);
        r->count++;
    }
    return r->count;
}

static struct text made(void (*fill)(struct buffer *, const struct step_table *), const struct step_table *t)
{
    struct buffer b;
    buffer_init(&b, &arena);
    fill(&b, t);
    return buffer_text(&b);
}

static uint32_t column_named(const struct record *head, const char *name)
{
    for (uint32_t i = 0; i < head->count; i++)
        if (text_is(head->field[i], name))
            return i;
    ck_abort_msg("no column %s", name);
    return 0;
}

START_TEST(one_line_a_setting)
{
    const struct step_table *t = sample_table(&arena);
    struct text csv = made(csv_steps, t);
    struct record head, r;
    uint32_t at = 0, lines = 0, settings = 0;
    for (uint32_t i = 0; i < t->steps.count; i++)
        settings += t->steps.at[i].settings.count;
    ck_assert(next_record(csv, &at, &head));
    ck_assert_uint_eq(head.count, STEP_FIELDS);
    while (next_record(csv, &at, &r)) {
        ck_assert_uint_eq(r.count, STEP_FIELDS);
        lines++;
    }
    ck_assert_uint_eq(lines, settings);
}
END_TEST

START_TEST(a_step_without_settings_keeps_its_line)
{
    struct step_table *t = sample_table(&arena);
    struct record r;
    uint32_t at = 0;
    t->steps.count = 2;
    t->steps.at[0].settings.count = t->steps.at[1].settings.count = 0;
    struct text csv = made(csv_steps, t);
    for (int i = 0; i < 3; i++) {
        ck_assert(next_record(csv, &at, &r));
        ck_assert_uint_eq(r.count, STEP_FIELDS);
    }
    ck_assert(!next_record(csv, &at, &r));
}
END_TEST

START_TEST(numbers_are_bare_and_whole)
{
    struct step_table *t = sample_table(&arena);
    struct setting *set = &t->steps.at[0].settings.at[0];
    set->shown.value = -17.0 / 3;
    set->shown.low = -1e-9;
    set->shown.high = 1e21;
    struct text csv = made(csv_steps, t);
    struct record head, r;
    uint32_t at = 0;
    double value;
    next_record(csv, &at, &head);
    next_record(csv, &at, &r);
    uint32_t column = column_named(&head, "value");
    ck_assert(!r.quoted[column]);
    ck_assert_int_eq(number_read(r.field[column], &value), NUMBER_OK);
    ck_assert_double_eq(value, -17.0 / 3);
    ck_assert_str_eq(arena_text(&arena, r.field[column + 1]).at, "-1e-9");
    ck_assert_str_eq(arena_text(&arena, r.field[column + 2]).at, "1e21");
    ck_assert_str_eq(arena_text(&arena, r.field[column + 4]).at, "5 kW");
}
END_TEST

/* A spreadsheet takes "nan" and "inf" for words. */
START_TEST(what_is_no_number_is_left_empty)
{
    struct step_table *t = sample_table(&arena);
    struct setting *set = &t->steps.at[0].settings.at[0];
    set->shown.value = NAN;
    set->shown.low = -INFINITY;
    set->shown.high = INFINITY;
    struct text csv = made(csv_steps, t);
    struct record head, r;
    uint32_t at = 0;
    next_record(csv, &at, &head);
    next_record(csv, &at, &r);
    for (uint32_t i = 0, column = column_named(&head, "value"); i < 3; i++)
        ck_assert_uint_eq(r.field[column + i].len, 0);
}
END_TEST

START_TEST(a_band_never_stands_first_in_its_cell)
{
    struct step_table *t = sample_table(&arena);
    struct text csv = made(csv_sizes, t);
    struct record head, r;
    uint32_t at = 0;
    next_record(csv, &at, &head);
    ck_assert_uint_eq(head.count, SIZE_FIELDS);
    next_record(csv, &at, &r);
    ck_assert_str_eq(arena_text(&arena, r.field[column_named(&head, "tool_cold_shown")]).at, "168.403 mm +/- 0.010 mm");
    ck_assert_str_eq(arena_text(&arena, r.field[column_named(&head, "part_low")]).at, "167.9");
}
END_TEST

/* Whatever stands in a recipe, it stays in its cell, and no cell runs as a formula. */
static void check_hostile(struct text csv, uint32_t fields)
{
    struct record r;
    uint32_t at = 0;
    double number;
    while (next_record(csv, &at, &r)) {
        ck_assert_uint_eq(r.count, fields);
        for (uint32_t i = 0; i < r.count; i++)
            if (r.field[i].len && strchr("=+-@\t\r", r.field[i].at[0]))
                ck_assert_int_eq(number_read(r.field[i], &number), NUMBER_OK);
    }
}

START_TEST(no_words_leave_their_cell)
{
    static const char *const words[] = {"=1+2", "\"", "\",\"=1", "a\r\n=2", ",,,", "@x",
                                        "-x",   "+x", "'",       "\t=1",    ";=1"};
    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++) {
        const struct step_table *t = sample_hostile_table(&arena, text_of(words[i]));
        check_hostile(made(csv_steps, t), STEP_FIELDS);
        check_hostile(made(csv_sizes, t), SIZE_FIELDS);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("csv");
    TCase *cases = tcase_create("csv");
    tcase_add_checked_fixture(cases, setup, teardown);
    tcase_add_test(cases, one_line_a_setting);
    tcase_add_test(cases, a_step_without_settings_keeps_its_line);
    tcase_add_test(cases, numbers_are_bare_and_whole);
    tcase_add_test(cases, what_is_no_number_is_left_empty);
    tcase_add_test(cases, a_band_never_stands_first_in_its_cell);
    tcase_add_test(cases, no_words_leave_their_cell);
    suite_add_tcase(suite, cases);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
