/* What the rows of the schema name beside their own properties is there: sentences, stretches and forces of steps, and the
 * places of the tool sheet, in the built-in library. */
#include "compiler/recipe.h"

#include <check.h>
#include <stdlib.h>

static struct strokewright_library *library;

static void setup(void)
{
    library = strokewright_library_new();
    ck_assert_ptr_nonnull(library);
}

static void teardown(void)
{
    strokewright_library_free(library);
}

static bool has_value(enum kind kind, struct text name)
{
    atom a = interned(&library->scope.names, name);
    return property_named(kind, name) || (a && find_derived(&library->scope, kind, a));
}

static void expect_value(enum kind kind, const char *name)
{
    ck_assert_msg(!name || has_value(kind, text_of(name)), "%s has no value %s", kind_table[kind].name, name);
}

START_TEST(test_sentences_name_properties)
{
    const struct kind_entry *row = &kind_table[_i];
    for (int i = 0; i < MOST_SENTENCES && row->sentences[i].text; i++) {
        const char *open = strchr(row->sentences[i].text, '{'), *close = open ? strchr(open, '}') : NULL;
        struct text word = close ? (struct text){open + 1, (uint32_t)(close - open - 1)} : TEXT("name");
        ck_assert_msg(text_is(word, "name") || has_value((enum kind)_i, word), "%s: %s", row->name,
                      row->sentences[i].text);
        expect_value((enum kind)_i, row->sentences[i].given);
    }
    ck_assert_msg(!(row->flags & KIND_STEP) || row->flags & KIND_ABSTRACT || row->sentences[0].text,
                  "the papers have no words for a %s", row->name);
}
END_TEST

START_TEST(test_charts_name_values)
{
    const struct kind_entry *row = &kind_table[_i];
    for (int i = 0; i < MOST_STRETCHES && row->stretches[i].time; i++) {
        const struct step_stretch *s = &row->stretches[i];
        const char *const names[] = {s->time,  s->value,      s->from,       s->unless,
                                     s->reach, s->between[0], s->between[1], s->between[2]};
        for (size_t k = 0; k < sizeof names / sizeof names[0]; k++)
            expect_value((enum kind)_i, names[k]);
        ck_assert_msg(s->way == STRETCH_OVER_TIME || s->from, "%s: a stretch has no beginning", row->name);
    }
    expect_value((enum kind)_i, row->profile.travel);
    for (int i = 0; i < MOST_FORCE_POINTS && row->profile.points[i].share > 0; i++) {
        expect_value((enum kind)_i, row->profile.points[i].force);
        expect_value((enum kind)_i, row->profile.points[i].capacity);
    }
}
END_TEST

/* A place that only the library fills is filled by it, for every kind whose size a tool makes. */
START_TEST(test_sizes_fill_their_places)
{
    if (!name_for(&library->scope, (enum kind)_i, FOR_size_to_make))
        return;
    for (enum purpose p = FOR_size_to_make; p <= FOR_cpk; p++)
        ck_assert_msg(p == FOR_release_temperature || name_for(&library->scope, (enum kind)_i, p),
                      "%s has nothing for %s", kind_table[_i].name, purpose_table[p].word);
    ck_assert_int_ne(name_for(&library->scope, (enum kind)_i, FOR_measured), 0);
}
END_TEST

START_TEST(test_some_kinds_have_sizes)
{
    int count = 0;
    for (enum kind kind = KIND_NONE + 1; kind < KIND_COUNT; kind++)
        count += name_for(&library->scope, kind, FOR_size_to_make) != 0;
    ck_assert_int_ge(count, 2);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("schema");
    TCase *t = tcase_create("rows");
    tcase_add_checked_fixture(t, setup, teardown);
    tcase_add_loop_test(t, test_sentences_name_properties, KIND_NONE + 1, KIND_COUNT);
    tcase_add_loop_test(t, test_charts_name_values, KIND_NONE + 1, KIND_COUNT);
    tcase_add_loop_test(t, test_sizes_fill_their_places, KIND_NONE + 1, KIND_COUNT);
    tcase_add_test(t, test_some_kinds_have_sizes);
    suite_add_tcase(s, t);
    SRunner *runner = srunner_create(s);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
