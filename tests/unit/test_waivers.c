/* Waivers: which results they cover, on which days, and what stays reported. */
#include "compiler/recipe.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>

static struct strokewright_library *library;
static struct strokewright_recipe *recipe;

static void setup(void)
{
    library = strokewright_library_new();
    ck_assert_ptr_nonnull(library);
    library->today = TEXT("2026-11-25");
    library->today_from = TEXT("the test");
}

static void teardown(void)
{
    strokewright_free(recipe);
    recipe = NULL;
    strokewright_library_free(library);
}

#define TRAY(status)                                                                                                   \
    "recipe tray {\n title = \"Tray\"\n part = \"T-1\"\n revision = \"A\"\n date = 2026-11-02\n status = " status      \
    "\n}\n"                                                                                                            \
    "sheet {\n alloy = az31b-o\n thickness = 0.5 mm +/- 0.02 mm\n}\n"                                                  \
    "tool a {\n material = h13\n temperature = 200 degC\n mass = 10 kg\n}\n"                                           \
    "tool b {\n material = h13\n temperature = 200 degC\n mass = 30 kg\n}\n"
#define LIMIT(name, value, bound) "limit " name " {\n value = " value "\n " bound "\n because \"r\"\n}\n"
#define EACH(name, bound) "limit " name " for each tool as t {\n value = t.mass\n " bound "\n because \"r\"\n}\n"
#define WAIVE(what) "waive " what " until 2026-12-31 by \"quality\" because \"trial lot\"\n"

static void compile(const char *text)
{
    strokewright_free(recipe);
    recipe = recipe_compile(library, NULL, TEXT("test.recipe"), text_of(text), NULL);
    ck_assert_ptr_nonnull(recipe);
}

/* The only result of an own limit for that subject; NULL subject: of the whole. */
static const struct limit_result *result_of(const char *limit, const char *subject)
{
    const struct scope *s = &recipe->scope;
    for (uint32_t i = 0; i < recipe->limits.results.count; i++) {
        const struct limit_result *r = &recipe->limits.results.at[i];
        atom name = rule_at(s, r->rule)->name;
        bool of =
            !subject || (r->subject && text_is(atom_text(&s->names, definition_at(s, r->subject)->name), subject));
        if (name && of && text_is(atom_text(&s->names, name), limit))
            return r;
    }
    ck_abort_msg("no result of %s", limit);
    return NULL;
}

static uint32_t count_of(enum fault fault)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < recipe->diagnostics.all.count; i++)
        count += recipe->diagnostics.all.at[i]->fault == fault;
    return count;
}

struct open_row {
    const char *limit;
    enum verdict verdict;
    enum fault fault;
};

START_TEST(each_open_verdict_is_waived_and_kept)
{
    static const struct open_row rows[] = {
        {LIMIT("l", "sheet.thickness", "at-least = 0.6 mm"), VERDICT_FAILS, FAULT_limit_fails},
        {LIMIT("l", "sheet.thickness", "at-least = 0.49 mm"), VERDICT_NOMINAL_ONLY, FAULT_limit_nominal_only},
        {LIMIT("l", "sheet.length", "at-least = 10 mm"), VERDICT_NOT_EVALUATED, FAULT_limit_not_evaluated},
        {LIMIT("l", "1 mm / (sheet.thickness - 0.51 mm)", "at-most = 5"), VERDICT_NOT_DECIDED, FAULT_limit_not_decided},
    };
    const struct open_row *row = &rows[_i];
    char text[2000];
    snprintf(text, sizeof text, TRAY("trial") "%s", row->limit);
    compile(text);
    ck_assert_int_eq(result_of("l", NULL)->verdict, row->verdict);
    ck_assert_uint_eq(count_of(row->fault), 1);
    snprintf(text, sizeof text, TRAY("trial") "%s" WAIVE("l"), row->limit);
    compile(text);
    ck_assert_int_eq(result_of("l", NULL)->verdict, VERDICT_WAIVED);
    ck_assert_int_eq(result_of("l", NULL)->waived, row->verdict);
    ck_assert_uint_eq(count_of(row->fault), 0);
    ck_assert_uint_eq(count_of(FAULT_limit_waived), 1);
    uint32_t told = recipe->diagnostics.errors + recipe->diagnostics.warnings;
    compile(TRAY("trial"));
    ck_assert_uint_eq(told, recipe->diagnostics.errors + recipe->diagnostics.warnings);
}
END_TEST

START_TEST(it_holds_up_to_its_last_day)
{
    static const struct {
        const char *today;
        bool holds;
    } rows[] = {{"2026-11-25", true},  {"2026-12-30", true},  {"2026-12-31", true},
                {"2027-01-01", false}, {"2030-01-01", false}, {"1999-12-31", true}};
    library->today = text_of(rows[_i].today);
    compile(TRAY("trial") LIMIT("l", "sheet.thickness", "at-least = 0.6 mm") WAIVE("l"));
    ck_assert_int_eq(result_of("l", NULL)->verdict, rows[_i].holds ? VERDICT_WAIVED : VERDICT_FAILS);
    ck_assert_uint_eq(count_of(FAULT_waiver_expired), !rows[_i].holds);
    ck_assert_uint_eq(count_of(FAULT_limit_fails), !rows[_i].holds);
    const struct step_table *t = recipe_table(recipe, SPELL_ASCII);
    ck_assert_uint_eq(t->waivers.count, 1);
    ck_assert_int_eq(t->waivers.at[0].expired, !rows[_i].holds);
    ck_assert(text_is(t->judged_on, rows[_i].today));
}
END_TEST

START_TEST(without_a_date_none_is_in_force)
{
    library->today = TEXT("");
    compile(TRAY("trial") LIMIT("l", "sheet.thickness", "at-least = 0.6 mm") WAIVE("l"));
    ck_assert_int_eq(result_of("l", NULL)->verdict, VERDICT_FAILS);
    ck_assert_uint_eq(count_of(FAULT_waiver_expired), 1);
    for (uint32_t i = 0; i < recipe->diagnostics.all.count; i++)
        if (recipe->diagnostics.all.at[i]->fault == FAULT_waiver_expired)
            ck_assert_ptr_nonnull(strstr(recipe->diagnostics.all.at[i]->message.at, "no date was given"));
}
END_TEST

START_TEST(released_needs_proof_or_a_waiver)
{
    compile(TRAY("released") LIMIT("l", "sheet.thickness", "at-least = 0.49 mm"));
    ck_assert_int_eq(recipe->state, STROKEWRIGHT_FAULTY);
    compile(TRAY("released") LIMIT("l", "sheet.thickness", "at-least = 0.49 mm") WAIVE("l"));
    ck_assert_int_eq(recipe->state, STROKEWRIGHT_GOOD);
    ck_assert_uint_eq(count_of(FAULT_released_open), 0);
}
END_TEST

START_TEST(for_one_leaves_the_others)
{
    compile(TRAY("trial") EACH("heavy", "at-least = 40 kg") WAIVE("heavy for b"));
    ck_assert_int_eq(result_of("heavy", "a")->verdict, VERDICT_FAILS);
    ck_assert_int_eq(result_of("heavy", "b")->verdict, VERDICT_WAIVED);
    compile(TRAY("trial") EACH("heavy", "at-least = 20 kg") WAIVE("heavy"));
    ck_assert_int_eq(result_of("heavy", "a")->verdict, VERDICT_WAIVED);
    ck_assert_int_eq(result_of("heavy", "b")->verdict, VERDICT_PROVED);
    compile(TRAY("trial") EACH("heavy", "at-least = 40 kg") WAIVE("heavy for a") WAIVE("heavy for b"));
    ck_assert_uint_eq(count_of(FAULT_limit_waived), 2);
    ck_assert_uint_eq(recipe->diagnostics.errors, 0);
}
END_TEST

START_TEST(two_for_one_result_are_refused_in_any_order)
{
    static const char *const texts[] = {
        TRAY("trial") EACH("heavy", "at-least = 40 kg") WAIVE("heavy for a") WAIVE("heavy"),
        TRAY("trial") EACH("heavy", "at-least = 40 kg") WAIVE("heavy") WAIVE("heavy for a"),
        TRAY("trial") EACH("heavy", "at-least = 40 kg") WAIVE("heavy") WAIVE("heavy"),
        TRAY("trial") EACH("heavy", "at-least = 40 kg") WAIVE("heavy for a") WAIVE("heavy for a")};
    compile(texts[_i]);
    ck_assert_uint_eq(count_of(FAULT_waived_twice), 1);
    ck_assert_uint_eq(recipe->diagnostics.errors, 1);
}
END_TEST

/* What only the waived limit asks for is not reported; what the recipe itself asks for is. */
START_TEST(faults_of_values_behind_it)
{
    const char *const gone = TRAY("trial") LIMIT("l", "1 mm / (sheet.thickness - 0.5 mm)", "at-most = 5");
    char text[2000];
    compile(gone);
    ck_assert_uint_eq(count_of(FAULT_divide_by_zero), 1);
    snprintf(text, sizeof text, "%s%s", gone, WAIVE("l"));
    compile(text);
    ck_assert_uint_eq(recipe->diagnostics.errors, 0);
    ck_assert_int_eq(result_of("l", NULL)->waived, VERDICT_NOT_EVALUATED);
    compile(TRAY("trial") "let x = 1 mm / (sheet.thickness - 0.5 mm)\n" LIMIT("l", "x", "at-most = 5") WAIVE("l"));
    ck_assert_uint_eq(count_of(FAULT_divide_by_zero), 1);
}
END_TEST

START_TEST(one_that_covers_nothing_is_told)
{
    compile(TRAY("trial") LIMIT("l", "sheet.thickness", "at-least = 0.4 mm") WAIVE("l"));
    ck_assert_uint_eq(count_of(FAULT_waiver_covers_nothing), 1);
    compile(TRAY("trial") LIMIT("l", "sheet.thickness", "at-least = 0.6 mm\n when = false") WAIVE("l"));
    ck_assert_uint_eq(count_of(FAULT_waiver_covers_nothing), 1);
    compile(TRAY("trial") WAIVE("corner-cracking")); /* there are no corners */
    ck_assert_uint_eq(count_of(FAULT_waiver_covers_nothing), 1);
}
END_TEST

START_TEST(the_table_says_all_of_it)
{
    compile(TRAY("trial") LIMIT("l", "sheet.thickness", "at-least = 0.6 mm") WAIVE("l"));
    const struct step_table *t = recipe_table(recipe, SPELL_ASCII);
    const struct waiver_row *w = &t->waivers.at[0];
    ck_assert(text_is(w->limit, "l") && text_is(w->until, "2026-12-31") && text_is(w->by, "quality"));
    ck_assert(text_is(w->because, "trial lot") && !w->subject.len);
    for (uint32_t i = 0; i < t->limits.count; i++)
        if (text_is(t->limits.at[i].name, "l")) {
            ck_assert_int_eq(t->limits.at[i].verdict, VERDICT_WAIVED);
            ck_assert_int_eq(t->limits.at[i].waived, VERDICT_FAILS);
            ck_assert(text_is(t->limits.at[i].waiver, "until 2026-12-31, by quality: trial lot"));
            ck_assert(text_is(t->limits.at[i].value, "0.50 mm"));
        }
    compile(TRAY("trial"));
    ck_assert_uint_eq(recipe_table(recipe, SPELL_ASCII)->judged_on.len, 0);
}
END_TEST

START_TEST(a_reason_loses_no_word)
{
    compile(TRAY("trial") LIMIT("l", "sheet.thickness",
                                "at-least = 0.6 mm") "waive l until 2026-12-31 by \"quality\" because \"Thin "
                                                     "{sheet.thickness} stock, \\\"old\\\" lot.\"\n");
    const struct step_table *t = recipe_table(recipe, SPELL_ASCII);
    ck_assert(text_is(t->waivers.at[0].because, "Thin {sheet.thickness} stock, \"old\" lot."));
    compile(TRAY("trial")
                LIMIT("l", "sheet.thickness", "at-least = 0.6 mm") "waive l until 2026-12-31 by \"\" because \"\"\n");
    ck_assert_uint_eq(count_of(FAULT_missing_by) + count_of(FAULT_missing_because), 2);
}
END_TEST

START_TEST(the_fingerprint_covers_it)
{
    compile(TRAY("trial") LIMIT("l", "sheet.thickness", "at-least = 0.6 mm") WAIVE("l"));
    char first[65];
    memcpy(first, recipe_fingerprint(recipe).at, 64);
    library->today = TEXT("2026-11-26"); /* the day is no part of the recipe */
    compile(TRAY("trial") LIMIT("l", "sheet.thickness", "at-least = 0.6 mm") WAIVE("l"));
    ck_assert_mem_eq(first, recipe_fingerprint(recipe).at, 64);
    compile(TRAY("trial") LIMIT("l", "sheet.thickness",
                                "at-least = 0.6 mm") "waive l until 2026-12-30 by \"quality\" because \"trial lot\"\n");
    ck_assert_mem_ne(first, recipe_fingerprint(recipe).at, 64);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("waivers");
    TCase *c = tcase_create("waivers");
    tcase_add_checked_fixture(c, setup, teardown);
    tcase_add_loop_test(c, each_open_verdict_is_waived_and_kept, 0, 4);
    tcase_add_loop_test(c, it_holds_up_to_its_last_day, 0, 6);
    tcase_add_test(c, without_a_date_none_is_in_force);
    tcase_add_test(c, released_needs_proof_or_a_waiver);
    tcase_add_test(c, for_one_leaves_the_others);
    tcase_add_loop_test(c, two_for_one_result_are_refused_in_any_order, 0, 4);
    tcase_add_test(c, faults_of_values_behind_it);
    tcase_add_test(c, one_that_covers_nothing_is_told);
    tcase_add_test(c, the_table_says_all_of_it);
    tcase_add_test(c, a_reason_loses_no_word);
    tcase_add_test(c, the_fingerprint_covers_it);
    suite_add_tcase(s, c);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
