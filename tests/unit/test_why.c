/* Derivations: what an entry says, where it stands, and how far missing values are followed. Expected figures are worked
 * out by hand beside each check, from round coefficients that the recipe itself states. */
#include "compiler/review/why/why.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>

static struct strokewright_library *library;
static struct strokewright_recipe *recipe;

/* Line numbers count: they are checked. */
static const char text[] =
    "recipe cover {\n"                                                                                /* 1 */
    " title = \"Cover\"\n"                                                                            /* 2 */
    " part = \"RG-11\"\n"                                                                             /* 3 */
    " revision = \"A\"\n"                                                                             /* 4 */
    " date = 2026-11-02\n"                                                                            /* 5 */
    " status = trial\n"                                                                               /* 6 */
    "}\n"                                                                                             /* 7 */
    "sheet {\n"                                                                                       /* 8 */
    " alloy = lot\n"                                                                                  /* 9 */
    " thickness = 0.5 mm +/- 0.02 mm\n"                                                               /* 10 */
    "}\n"                                                                                             /* 11 */
    "alloy lot like az31b-o {\n"                                                                      /* 12 */
    " expansion(temperature [degC]) [1/K] = table [degC] to [um/(m*K)] {\n"                           /* 13 */
    "  20: 20\n"                                                                                      /* 14 */
    "  420: 30\n"                                                                                     /* 15 */
    " } source \"certificate\"\n"                                                                     /* 16 */
    " flow-stress(strain [1], rate [1/s], temperature [degC]) [MPa] = 100 MPa * strain + law(rate)\n" /* 17 */
    " density = 1775 kg/m^3 source \"certificate\"\n"                                                 /* 18 */
    "}\n"                                                                                             /* 19 */
    "tool-material steel like h13 {\n"                                                                /* 20 */
    " expansion = 10 um/(m*K) source \"certificate\"\n"                                               /* 21 */
    "}\n"                                                                                             /* 22 */
    "tool die {\n"                                                                                    /* 23 */
    " material = steel\n"                                                                             /* 24 */
    " temperature = 220 degC +/- 4 K\n"                                                               /* 25 */
    "}\n"                                                                                             /* 26 */
    "dimension long {\n"                                                                              /* 27 */
    " size = 1000 mm +/- 1 mm\n"                                                                      /* 28 */
    " set-by = die\n"                                                                                 /* 29 */
    "}\n"                                                                                             /* 30 */
    "steps {\n"                                                                                       /* 31 */
    " stroke form {\n"                                                                                /* 32 */
    "  speed = 25 mm/s\n"                                                                             /* 33 */
    "  hold = 1.2 s\n"                                                                                /* 34 */
    "  travel = 9 mm\n"                                                                               /* 35 */
    "  contact = 2500 W/(m^2*K)\n"                                                                    /* 36 */
    " }\n"                                                                                            /* 37 */
    "}\n"                                                                                             /* 38 */
    "formula law(rate [1/s]) [MPa] = 3 MPa * rate / (1 /s)\n"                                         /* 39 */
    "let grown.at [degC] = 220 degC\n"                                                                /* 40 */
    "let grown.part [um/(m*K)] = sheet.alloy.expansion(grown.at)\n"                                   /* 41 */
    "let grown.row [um/(m*K)] = sheet.alloy.expansion(420 degC)\n"                                    /* 42 */
    "let flow [MPa] = sheet.alloy.flow-stress(0.5, 2 /s, grown.at)\n"                                 /* 43 */
    "let picked [mm] = if die.temperature > 200 degC then sheet.thickness else long.size\n"           /* 44 */
    "let twice [MPa] = law(1 /s + 1 /s) + law(2 /s)\n"                                                /* 45 */
    "let a.d [kN] = a.c\n"                                                                            /* 46 */
    "let a.c [kN] = 2 * a.b\n"                                                                        /* 47 */
    "let a.b [kN] = 2 * a.a\n"                                                                        /* 48 */
    "let a.a [kN] = 2 * die.mass * 1 m/s^2 / die.height * 1 m\n"                                      /* 49 */
    "let small [mm] = 1 mm - long.size / 100\n"                                                       /* 50 */
    "let broken [mm] = 3 * small - -2 mm\n"                                                           /* 51 */
    "tool punch {\n"                                                                                  /* 52 */
    " material = steel\n"                                                                             /* 53 */
    " temperature = 220 degC\n"                                                                       /* 54 */
    "}\n";                                                                                            /* 55 */

static void setup(void)
{
    library = strokewright_library_new();
    ck_assert_ptr_nonnull(library);
}

static void teardown(void)
{
    strokewright_library_free(library);
}

static void begin(void)
{
    recipe = recipe_compile(library, NULL, TEXT("cover.recipe"), TEXT(text), NULL);
    ck_assert_ptr_nonnull(recipe);
    for (uint32_t i = 0; i < recipe->diagnostics.all.count; i++)
        ck_assert_msg(recipe->diagnostics.all.at[i]->severity < SEVERITY_ERROR, "%.*s",
                      TEXT_ARGS(recipe->diagnostics.all.at[i]->message));
    ck_assert(recipe->evaluated);
}

static void end(void)
{
    strokewright_free(recipe);
}

static const struct why *why(const char *name, uint32_t depth)
{
    uint32_t quantity = lowering_named(recipe->lowering, text_of(name));
    ck_assert_msg(quantity != 0, "there is no %s", name);
    const struct why *w = why_derive(recipe, &quantity, 1, depth);
    ck_assert_ptr_nonnull(w);
    return w;
}

static const struct why_entry *found(const struct why *w, const char *name)
{
    for (uint32_t i = 1; i < w->entries.count; i++)
        if (text_is(w->entries.at[i].name, name))
            return &w->entries.at[i];
    return NULL;
}

static const struct why_entry *entry(const struct why *w, const char *name)
{
    const struct why_entry *e = found(w, name);
    if (!e)
        for (uint32_t i = 1; i < w->entries.count; i++)
            printf("  instead: %.*s\n", TEXT_ARGS(w->entries.at[i].name));
    ck_assert_msg(e != NULL, "no entry %s", name);
    return e;
}

static void is(struct text t, const char *z)
{
    ck_assert_msg(text_is(t, z), "'%.*s' instead of '%s'", TEXT_ARGS(t), z);
}

/* ---- what an entry says ------------------------------------------------------------------------------------------------- */

/* Between 20 degC: 20 and 420 degC: 30 the middle, 220 degC, has 25. */
START_TEST(a_table_shows_the_rows_around)
{
    const struct why_entry *e = entry(why("grown.part", 3), "lot.expansion(220 degC)");
    ck_assert_int_eq(e->sort, WHY_FUNCTION);
    ck_assert_double_eq_tol(e->shown.value, 25, 1e-9);
    is(e->shown.unit, "um/(m*K)");
    ck_assert_uint_eq(e->rows.rows, 2);
    ck_assert_uint_eq(e->rows.columns, 0);
    is(e->rows.at[0].text, "20 degC");
    is(e->rows.at[1].text, "420 degC");
    is(e->rows.value[0][0].text, "20 um/(m*K)");
    is(e->rows.value[1][0].text, "30 um/(m*K)");
    is(e->source, "certificate");
    is(e->file, "cover.recipe");
    ck_assert_uint_eq(e->line, 13);
}
END_TEST

START_TEST(a_table_asked_at_a_row_shows_that_row)
{
    const struct why_entry *e = entry(why("grown.row", 3), "lot.expansion(420 degC)");
    ck_assert_uint_eq(e->rows.rows, 1);
    is(e->rows.value[0][0].text, "30 um/(m*K)");
}
END_TEST

/* 100 MPa * 0.5 + 3 MPa * 2 = 56 MPa. */
START_TEST(a_function_shows_its_own_text)
{
    const struct why *w = why("flow", 3);
    const struct why_entry *e = entry(w, "lot.flow-stress(0.5, 2 /s, 220 degC)"), *law = entry(w, "law(2 /s)");
    is(e->head, "flow-stress(strain, rate, temperature)");
    is(e->written, "100 MPa * strain + law(rate)");
    is(e->numbers, "100 MPa * 0.5 + law(2 /s)");
    ck_assert_double_eq_tol(e->shown.value, 56, 1e-9);
    ck_assert_int_eq(law->sort, WHY_FORMULA);
    is(law->numbers, "3 MPa * 2 /s / (1 /s)");
    ck_assert_uint_eq(law->line, 39);
}
END_TEST

START_TEST(a_condition_shows_the_branch_taken)
{
    const struct why *w = why("picked", 3);
    const struct why_entry *e = entry(w, "picked");
    is(e->taken, "sheet.thickness");
    entry(w, "die.temperature");
    is(entry(w, "sheet.thickness")->shown.band, "+/- 0.02 mm");
    ck_assert_msg(!found(w, "long.size"), "the branch not taken is shown");
}
END_TEST

START_TEST(negative_values_stand_in_parentheses)
{
    const struct why_entry *e = entry(why("broken", 1), "broken");
    is(e->written, "3 * small - -2 mm");
    is(e->numbers, "3 * (-9.00 mm) - -2 mm"); /* 1 mm - 1000 mm / 100 */
}
END_TEST

START_TEST(standards_are_marked)
{
    const struct why_entry *e = entry(why("long.released-size", 3), "long.shape-factor");
    ck_assert_int_eq(e->sort, WHY_STANDARD);
    ck_assert_uint_eq(e->file.len, 0);
    ck_assert_double_eq(e->shown.value, 1);
}
END_TEST

/* ---- the tool's size ----------------------------------------------------------------------------------------------------- */

/* The hot part is longer by more than the hot tool: by hand at the release temperature T the recipe comes to, with the
 * table's 20 + (T - 20) / 40 um/(m*K) for the part and 10 for the tool at 220 degC. */
START_TEST(both_movements_stand_beside_the_tool_size)
{
    const struct why *w = why("long.cold-tool-size", 3);
    double t = entry(w, "long.release-temperature")->shown.value;
    double hot = 1000 * (1 + (20 + (t - 20) / 40) * 1e-6 * (t - 20)), cold = hot / (1 + 10e-6 * 200);
    ck_assert_uint_eq(w->roots.count, 1);
    ck_assert_uint_eq(w->roots.at[0].also.count, 2);
    ck_assert_double_eq_tol(entry(w, "long.cold-tool-size")->shown.value, cold, 1e-6);
    ck_assert_double_eq_tol(entry(w, "long.part-shrinks")->shown.value, hot - 1000, 1e-6);
    ck_assert_double_eq_tol(entry(w, "long.tool-grows")->shown.value, hot - cold, 1e-6);
    entry(w, "steel.expansion(220 degC)");
}
END_TEST

/* ---- the graph ------------------------------------------------------------------------------------------------------------ */

/* Each entry but the asked one has one home, before it in the list; "also" has none. */
static void check_homes(const struct why *w)
{
    uint32_t *homes = calloc(w->entries.count, sizeof *homes);
    for (uint32_t i = 1; i < w->entries.count; i++)
        for (uint32_t k = 0; k < w->entries.at[i].inputs.count; k++) {
            struct why_input input = w->entries.at[i].inputs.at[k];
            ck_assert_uint_gt(input.entry, 0);
            ck_assert_uint_lt(input.entry, w->entries.count);
            ck_assert(!input.home || input.entry > i);
            homes[input.entry] += input.home;
        }
    uint32_t also = w->roots.at[0].also.count;
    for (uint32_t i = 1; i < w->entries.count; i++)
        ck_assert_msg(homes[i] == (i > 1 && i < w->entries.count - also), "%.*s has %u homes",
                      TEXT_ARGS(w->entries.at[i].name), homes[i]);
    free(homes);
}

static const char *const asked[] = {"flow",
                                    "twice",
                                    "picked",
                                    "long.cold-tool-size",
                                    "long.finished-size",
                                    "a.d",
                                    "form.force",
                                    "form.release-temperature",
                                    "cycle.time",
                                    "long.size"};

START_TEST(every_entry_has_one_home)
{
    for (uint32_t depth = 0; depth <= 12; depth += 3)
        check_homes(why(asked[_i], depth));
}
END_TEST

START_TEST(asking_twice_gives_the_same)
{
    struct buffer one, two;
    buffer_init(&one, &recipe->arena);
    buffer_init(&two, &recipe->arena);
    why_text(&one, why(asked[_i], 5), 90);
    why_text(&two, why(asked[_i], 5), 90);
    ck_assert_uint_gt(one.count, 0);
    ck_assert(text_same(buffer_text(&one), buffer_text(&two)));
}
END_TEST

/* law(1 /s + 1 /s) and law(2 /s) are one sub-derivation: 6 MPa, twice. */
START_TEST(calls_with_the_same_values_are_one_entry)
{
    const struct why *w = why("twice", 3);
    ck_assert_uint_eq(w->entries.count, 1 + 2);
    ck_assert_double_eq_tol(entry(w, "twice")->shown.value, 12, 1e-9);
    ck_assert_double_eq_tol(entry(w, "law(2 /s)")->shown.value, 6, 1e-9);
}
END_TEST

START_TEST(depth_cuts_and_says_so)
{
    const struct why *w = why("broken", 1);
    ck_assert_uint_eq(w->entries.count, 1 + 2);
    ck_assert(!entry(w, "broken")->more);
    ck_assert(entry(w, "small")->more);
    ck_assert(found(why("broken", 2), "long.size") != NULL);
    ck_assert_uint_eq(why("broken", 0)->entries.count, 1 + 1);
}
END_TEST

/* ---- what is missing ------------------------------------------------------------------------------------------------------ */

START_TEST(a_missing_value_is_followed_to_what_nobody_stated)
{
    const struct why *w = why("a.d", 0);
    const struct why_entry *mass = entry(w, "die.mass");
    is(entry(w, "a.d")->why_not, "the tool die states no mass; the tool die states no height");
    entry(w, "a.c");
    entry(w, "a.b");
    ck_assert_int_eq(mass->sort, WHY_ABSENT);
    is(mass->owner, "the tool die");
    is(mass->file, "cover.recipe");
    ck_assert_uint_eq(mass->line, 23);
}
END_TEST

/* ---- printers ------------------------------------------------------------------------------------------------------------- */

/* No line is wider than asked while there is room to break it, and none ends in a blank. */
START_TEST(lines_keep_to_the_width)
{
    for (uint32_t width = 80; width <= 140; width += 20) {
        struct buffer b;
        uint32_t columns = 0;
        buffer_init(&b, &recipe->arena);
        why_text(&b, why(asked[_i], 1), width);
        for (uint32_t i = 0; i < b.count; i++) {
            bool ends = b.at[i] == '\n';
            ck_assert_msg(!ends || !i || b.at[i - 1] != ' ', "a line ends in a blank");
            columns = ends ? 0 : columns + 1;
            ck_assert_msg(columns <= width, "%s at width %u:\n%.*s", asked[_i], width, (int)b.count, b.at);
        }
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("why");
    TCase *c = tcase_create("derivations");
    int count = sizeof asked / sizeof asked[0];
    tcase_add_unchecked_fixture(c, setup, teardown);
    tcase_add_checked_fixture(c, begin, end);
    tcase_add_test(c, a_table_shows_the_rows_around);
    tcase_add_test(c, a_table_asked_at_a_row_shows_that_row);
    tcase_add_test(c, a_function_shows_its_own_text);
    tcase_add_test(c, a_condition_shows_the_branch_taken);
    tcase_add_test(c, negative_values_stand_in_parentheses);
    tcase_add_test(c, standards_are_marked);
    tcase_add_test(c, both_movements_stand_beside_the_tool_size);
    tcase_add_loop_test(c, every_entry_has_one_home, 0, count);
    tcase_add_loop_test(c, asking_twice_gives_the_same, 0, count);
    tcase_add_test(c, calls_with_the_same_values_are_one_entry);
    tcase_add_test(c, depth_cuts_and_says_so);
    tcase_add_test(c, a_missing_value_is_followed_to_what_nobody_stated);
    tcase_add_loop_test(c, lines_keep_to_the_width, 0, count);
    suite_add_tcase(s, c);
    SRunner *r = srunner_create(s);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
