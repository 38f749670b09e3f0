#include "compiler/emit/emit.h"
#include "compiler/emit/json.h"

#include "tests/unit/sample_table.h"

#include <check.h>
#include <math.h>
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

START_TEST(members_a_line_each)
{
    struct json j = {.buffer = &out, .first = true};
    json_open(&j, '{');
    json_name(&j, "a");
    json_number(&j, 0.1);
    json_name(&j, "b");
    json_open(&j, '[');
    json_truth(&j, true);
    json_null(&j);
    json_close(&j, ']');
    json_close(&j, '}');
    check_out("{\n  \"a\": 0.1,\n  \"b\": [\n    true,\n    null\n  ]\n}\n");
}
END_TEST

START_TEST(members_on_one_line)
{
    struct json j = {.buffer = &out, .first = true};
    json_open(&j, '[');
    json_open_line(&j, '{');
    json_name(&j, "a");
    json_open_line(&j, '[');
    json_number(&j, 1);
    json_number(&j, -2.5);
    json_close(&j, ']');
    json_name(&j, "b");
    json_text(&j, TEXT("c"));
    json_close(&j, '}');
    json_text(&j, TEXT("d"));
    json_close(&j, ']');
    check_out("[\n  {\"a\": [1, -2.5], \"b\": \"c\"},\n  \"d\"\n]\n");
}
END_TEST

START_TEST(nothing_inside)
{
    struct json j = {.buffer = &out, .first = true};
    json_open(&j, '{');
    json_name(&j, "a");
    json_open(&j, '[');
    json_close(&j, ']');
    json_name(&j, "b");
    json_open_line(&j, '{');
    json_close(&j, '}');
    json_close(&j, '}');
    check_out("{\n  \"a\": [],\n  \"b\": {}\n}\n");
}
END_TEST

START_TEST(what_json_has_no_number_for_is_null)
{
    struct json j = {.buffer = &out, .first = true};
    json_open_line(&j, '[');
    json_number(&j, NAN);
    json_number(&j, INFINITY);
    json_number(&j, -INFINITY);
    json_number(&j, 1e300);
    json_number(&j, -0.0);
    json_close(&j, ']');
    check_out("[null, null, null, 1e300, -0]\n");
}
END_TEST

START_TEST(values_by_themselves)
{
    struct value_row row = {TEXT("cycle.time"),
                            TEXT(""),
                            {15.6, NAN, NAN, TEXT("s"), TEXT("15.6 s"), TEXT(""), TEXT("15.6 s"), TEXT("")},
                            TEXT("")};
    json_values(&out, &row, 1);
    check_out("[\n  {\"path\": \"cycle.time\", \"label\": null, \"value\": 15.6, \"low\": null, \"high\": null, "
              "\"unit\": \"s\", \"text\": \"15.6 s\", \"band\": \"\", \"why_not\": null}\n]\n");
}
END_TEST

START_TEST(no_values_are_an_empty_array)
{
    json_values(&out, NULL, 0);
    check_out("[]\n");
}
END_TEST

static uint32_t count_of(struct text t, const char *word)
{
    uint32_t count = 0;
    for (const char *at = t.at; (at = strstr(at, word)); at++)
        count++;
    return count;
}

START_TEST(the_whole_table_is_there)
{
    const struct step_table *t = sample_table(&arena);
    json_steps(&out, t);
    struct text json = arena_text(&arena, buffer_text(&out));
    uint32_t settings = 0;
    for (uint32_t i = 0; i < t->steps.count; i++)
        settings += t->steps.at[i].settings.count;
    ck_assert_uint_eq(count_of(json, "\"role\": "), settings);
    ck_assert_uint_eq(count_of(json, "\"verdict\": "), t->limits.count);
    ck_assert_uint_eq(count_of(json, "\"per_kelvin\": "), t->sizes.count);
    ck_assert_uint_eq(count_of(json, "\"signal\": "), t->cautions.count);
    ck_assert_uint_eq(count_of(json, "\"group\": "), t->setup.count + t->tool_facts.count);
    ck_assert_uint_eq(count_of(json, "\"correction\": "), t->inspection.count);
    ck_assert_uint_eq(count_of(json, "\"across_unit\": "), t->charts.count);
    ck_assert_ptr_nonnull(strstr(json.at, "\"value\": null, \"low\": 190, \"high\": 210, \"unit\": \"degC\""));
}
END_TEST

START_TEST(same_table_same_bytes)
{
    struct buffer again;
    buffer_init(&again, &arena);
    json_steps(&out, sample_table(&arena));
    json_steps(&again, sample_table(&arena));
    ck_assert(text_same(buffer_text(&out), buffer_text(&again)));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("json");
    TCase *cases = tcase_create("json");
    tcase_add_checked_fixture(cases, setup, teardown);
    tcase_add_test(cases, members_a_line_each);
    tcase_add_test(cases, members_on_one_line);
    tcase_add_test(cases, nothing_inside);
    tcase_add_test(cases, what_json_has_no_number_for_is_null);
    tcase_add_test(cases, values_by_themselves);
    tcase_add_test(cases, no_values_are_an_empty_array);
    tcase_add_test(cases, the_whole_table_is_there);
    tcase_add_test(cases, same_table_same_bytes);
    suite_add_tcase(suite, cases);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
