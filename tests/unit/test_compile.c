/* The library's face: one library, many recipes; fingerprints; values; what a faulty recipe still gives. */
#include "compiler/recipe.h"
#include "runtime/base/buffer.h"
#include "runtime/base/pool.h"

#include <check.h>
#include <math.h>
#include <stdio.h>
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

static struct strokewright_recipe *compile(const char *text)
{
    struct strokewright_recipe *r = recipe_compile(library, NULL, TEXT("test.recipe"), text_of(text), NULL);
    ck_assert_ptr_nonnull(r);
    return r;
}

#define TRAY                                                                                                           \
    "recipe tray {\n title = \"Tray\"\n part = \"T-1\"\n revision = \"A\"\n date = 2026-11-02\n status = draft\n}\n"   \
    "sheet {\n alloy = az31b-o\n thickness = 0.5 mm +/- 0.02 mm\n}\n"

static double value(struct strokewright_recipe *r, const char *name)
{
    uint32_t q = lowering_named(r->lowering, text_of(name));
    ck_assert_msg(q, "no value %s", name);
    return value_of(&r->values, r->lowering->quantities.at[q].value);
}

START_TEST(library_is_clean)
{
    ck_assert_uint_eq(library->diagnostics.all.count, 0);
    ck_assert_uint_gt(library->scope.definitions.count, 15);
    ck_assert_uint_gt(library->scope.rules.count, 15);
}
END_TEST

/* What was bound when the program was built is what typing finds now. */
START_TEST(library_is_bound_as_typing_finds_it)
{
    struct strokewright_library *anew = recipe_library_of(embedded_library, embedded_count);
    const struct scope *s = &library->scope, *t = &anew->scope;
    ck_assert_uint_eq(s->names.texts.count, t->names.texts.count);
    for (uint32_t i = 0; i < s->names.texts.count; i++)
        ck_assert(text_same(s->names.texts.at[i], t->names.texts.at[i]));
    uint32_t bound = 0;
    ck_assert_uint_eq(s->files.count, t->files.count);
    for (uint32_t i = 0; i < s->files.count; i++)
        for (uint32_t n = 1; n < s->files.at[i].tree->node_count; n++) {
            struct binding a = s->files.at[i].bindings[n], b = t->files.at[i].bindings[n];
            ck_assert(a.what == b.what && a.id == b.id);
            bound += a.what != BIND_NONE;
        }
    ck_assert_uint_gt(bound, 1000);
    for (uint32_t id = t->first_derived; id < derived_end(t); id++)
        ck_assert(type_same(*derived_at(s, id)->type, *derived_at(t, id)->type));
    for (uint32_t id = t->first_let; id < let_end(t); id++)
        ck_assert(type_same(*let_at(s, id)->type, *let_at(t, id)->type));
    for (uint32_t id = t->first_formula; id < formula_end(t); id++)
        ck_assert(type_same(formula_at(s, id)->signature->result.type, formula_at(t, id)->signature->result.type));
    strokewright_library_free(anew);
}
END_TEST

static void ask_for_all_memory(struct strokewright_recipe *r, void *argument)
{
    struct arena *arena = *(bool *)argument ? &r->scratch : &r->arena;
    for (;;)
        arena_alloc(arena, SIZE_MAX - 8);
}

static void ask_for_little(struct strokewright_recipe *r, void *argument)
{
    *(bool *)argument = arena_alloc(&r->arena, 8) && arena_alloc(&r->scratch, 8);
}

/* In either of its arenas; and the next piece of work does not jump to where the last one stood. */
START_TEST(full_memory_ends_a_piece_of_work)
{
    struct strokewright_recipe *r = compile(TRAY);
    bool scratch = false, done = false;
    ck_assert(recipe_within_memory(r, ask_for_little, &done) && done);
    ck_assert_int_eq(r->state, STROKEWRIGHT_GOOD);
    for (int i = 0; i < 2; i++, scratch = true) {
        ck_assert(!recipe_within_memory(r, ask_for_all_memory, &scratch));
        ck_assert_int_eq(r->state, STROKEWRIGHT_NO_MEMORY);
        ck_assert(!r->arena.exhausted && !r->scratch.exhausted);
    }
    strokewright_free(r);
}
END_TEST

START_TEST(one_library_serves_many_recipes)
{
    size_t before = library->arena.bytes;
    for (int i = 0; i < 50; i++) {
        struct strokewright_recipe *r = compile(TRAY "let half = sheet.thickness / 2\n");
        ck_assert_double_eq_tol(value(r, "half"), 0.25e-3, 1e-18);
        strokewright_free(r);
    }
    ck_assert_uint_eq(library->arena.bytes, before); /* nothing of a recipe stays behind */
}
END_TEST

/* Values that only the language decides; each is worked out by hand beside it. */
static const struct {
    const char *expression;
    double si;
} values[] = {
    {"1 in + 1 mm", 0.0264},               /* 1 in is 25.4 mm exactly, NIST SP 811 */
    {"(212 degF - 32 degF) / (1 K)", 100}, /* boiling and freezing of water, 100 K apart by old definition */
    {"kelvin(20 degC) / (1 K)", 293.15},   /* ITS-90 */
    {"(mean(100 degC, 200 degC) - 0 degC) / (1 K)", 150},
    {"(-40 degF - -40 degC) / (1 K)", 0}, /* the scales meet at -40 */
    {"2 ^ 3 ^ 2", 512},
    {"-2 ^ 2", -4},
    {"10 - 4 - 3", 3},
    {"(4 mm^2) ^ 0.5 / (1 mm)", 2},
    {"(8 mm^3) ^ (1/3) / (1 mm)", 2},
    {"if 1 mm < 2 mm and not (3 s > 4 s) then 7 else 8", 7},
    {"if sheet.alloy == az31b-o then 1 else 0", 1},
    {"if given(sheet.length) then sheet.length / (1 mm) else 5", 5},
    {"if banded(sheet.thickness) then upper(sheet.thickness) / (1 mm) else 0", 0.52},
    {"lower(sheet.thickness) / (1 mm)", 0.48},
    {"count(each draw)", 0},
    {"sum(each bend as b: b.length) / (1 mm) + 1", 1},
    {"sin(30 deg)", 0.5},
    {"tan(atan(0.75))", 0.75},
    {"sheet.alloy.strength(20 degC) / sheet.alloy.strength(20 degC)", 1},
    {"max(1 mm, 3 mm, 2 mm) / min(4 mm, 2 mm)", 1.5},
    {"round(0.1237 mm, 0.01 mm) / (1 mm)", 0.12},
};

START_TEST(works_out)
{
    char text[1024];
    snprintf(text, sizeof text, TRAY "let x = %s\n", values[_i].expression);
    struct strokewright_recipe *r = compile(text);
    ck_assert_msg(r->evaluated, "%s is refused: %.*s", values[_i].expression,
                  TEXT_ARGS(r->diagnostics.all.count ? r->diagnostics.all.at[0]->message : TEXT("")));
    double found = value(r, "x");
    ck_assert_msg(fabs(found - values[_i].si) <= 1e-12 * fmax(1, fabs(values[_i].si)), "%s gives %.17g",
                  values[_i].expression, found);
    strokewright_free(r);
}
END_TEST

static const char *const refused[] = {"1 mm + 1 s",
                                      "20 degC + 20 degC",
                                      "20 degC * 2",
                                      "sin(1 mm)",
                                      "exp(1 mm)",
                                      "1 mm < 1 kN",
                                      "5 K - 20 degC",
                                      "(1 mm) ^ (1 mm)",
                                      "sheet + 1",
                                      "nothing",
                                      "sheet.nothing",
                                      "max(1 mm, 1 s)",
                                      "given(1, 2)",
                                      "lower(1 mm)",
                                      "if 1 then 2 else 3",
                                      "if true then 1 mm else 1 s",
                                      "sqrt(1, 2)",
                                      "sheet.alloy.strength",
                                      "1 W/degC"};

START_TEST(refuses)
{
    char text[1024];
    snprintf(text, sizeof text, TRAY "let x = %s\n", refused[_i]);
    struct strokewright_recipe *r = compile(text);
    ck_assert_msg(r->state == STROKEWRIGHT_FAULTY && !r->evaluated, "%s passes", refused[_i]);
    ck_assert_uint_eq(r->diagnostics.errors, 1);
    ck_assert_ptr_null(recipe_table(r, SPELL_ASCII));
    strokewright_free(r);
}
END_TEST

/* ---- fingerprints ---- */

static struct text fingerprint(const char *text, char hex[80])
{
    struct strokewright_recipe *r = compile(text);
    struct text f = recipe_fingerprint(r);
    ck_assert_uint_eq(f.len, 64);
    memcpy(hex, f.at, f.len);
    strokewright_free(r);
    return (struct text){hex, 64};
}

START_TEST(layout_keeps_the_fingerprint_and_meaning_changes_it)
{
    char a[80], b[80], c[80], d[80];
    struct text plain = fingerprint(TRAY "let x = 1 mm + 2 mm\n", a);
    struct text laid_out = fingerprint("# a comment\n\n" TRAY "\n\nlet x =   # why\n    1 mm +\n    2 mm\n\n", b);
    struct text other_value = fingerprint(TRAY "let x = 1 mm + 3 mm\n", c);
    struct text other_name = fingerprint(TRAY "let y = 1 mm + 2 mm\n", d);
    ck_assert(text_same(plain, laid_out));
    char e[80], f[80];
    struct text spread = fingerprint(TRAY "shop {\n temperature = 22 degC\n}\nsteps {\n}\n", e);
    struct text tight = fingerprint(TRAY "shop { temperature = 22 degC }\n\nsteps { }", f); /* and no last line end */
    ck_assert(text_same(spread, tight));
    ck_assert(!text_same(plain, other_value));
    ck_assert(!text_same(plain, other_name));
}
END_TEST

START_TEST(many_faults_are_each_told_once)
{
    struct strokewright_recipe *r = compile(
        "recipe tray {\n titel = \"Tray\"\n part = \"T\"\n revision = \"A\"\n date = 2026-13-02\n status = tiral\n}\n"
        "sheet {\n alloy = az13b-o\n thickness = 0.5 kN\n}\nlet a = b + 1\nlet c = 1 mm + 1 s\n");
    ck_assert_uint_eq(r->diagnostics.errors, 7);
    strokewright_free(r);
}
END_TEST

START_TEST(same_text_same_table)
{
    const char *text = TRAY "steps {\n task load { instruction = \"Load {sheet.thickness}.\" }\n}\n";
    struct strokewright_recipe *a = compile(text), *b = compile(text);
    const struct step_table *x = recipe_table(a, SPELL_ASCII), *y = recipe_table(b, SPELL_ASCII);
    ck_assert_ptr_nonnull(x);
    ck_assert_uint_eq(x->steps.count, 1);
    ck_assert_uint_eq(x->steps.at[0].number, 10);
    ck_assert(text_is(x->steps.at[0].instruction, "Load 0.50 mm."));
    ck_assert(text_same(x->fingerprint, y->fingerprint));
    ck_assert_uint_eq(x->values.count, y->values.count);
    strokewright_free(a);
    strokewright_free(b);
}
END_TEST

/* ---- side by side ------------------------------------------------------------------------------------------------ */

/* A sum over what every word of the library means. */
static uint64_t meaning_of_library(void)
{
    uint64_t sum = 0;
    for (uint32_t i = 0; i < library->scope.files.count; i++) {
        const struct unit_file *f = &library->scope.files.at[i];
        for (uint32_t n = 1; n < f->tree->node_count; n++)
            sum = sum * 31 + (uint64_t)f->bindings[n].what * 1000003u + f->bindings[n].id;
    }
    return sum;
}

static void compile_tray(void *recipes, uint32_t i, uint32_t worker)
{
    (void)worker;
    ((struct strokewright_recipe **)recipes)[i] = compile(TRAY);
}

/* Recipes share the library, and none may write in it. The sanitizer for threads is no part of the suite, so that what
 * it would see is looked at here: that nothing in the library changes, and that both come out as one alone does. */
START_TEST(two_compile_side_by_side)
{
    uint64_t before = meaning_of_library();
    struct strokewright_recipe *alone = compile(TRAY);
    for (int i = 0; i < 10; i++) {
        struct strokewright_recipe *both[2] = {NULL, NULL};
        pool_run(2, compile_tray, NULL, both);
        struct strokewright_recipe *one = both[0], *two = both[1];
        ck_assert_ptr_nonnull(one);
        ck_assert_ptr_ne(one, two);
        ck_assert_uint_eq(one->lowering->program.nodes.count, alone->lowering->program.nodes.count);
        ck_assert_uint_eq(two->limits.results.count, alone->limits.results.count);
        for (uint32_t k = 0; k < alone->limits.results.count; k++) {
            ck_assert_int_eq(one->limits.results.at[k].verdict, alone->limits.results.at[k].verdict);
            ck_assert_int_eq(two->limits.results.at[k].verdict, alone->limits.results.at[k].verdict);
        }
        ck_assert(text_same(recipe_fingerprint(one), recipe_fingerprint(alone)));
        strokewright_free(one);
        strokewright_free(two);
    }
    strokewright_free(alone);
    ck_assert_uint_eq(meaning_of_library(), before);
}
END_TEST

/* ---- many limits ------------------------------------------------------------------------------------------------- */

enum { LIMITS = 1500 }; /* so many that several are proved at once */

/* Every third limit is broken inside the band, and each has its own combination, in the order of the limits. */
START_TEST(many_limits_are_each_proved)
{
    struct arena arena;
    struct buffer b;
    arena_init(&arena, NULL);
    buffer_init(&b, &arena);
    buffer_put(&b, TEXT(TRAY));
    for (int i = 0; i < LIMITS; i++)
        buffer_printf(&b,
                      "let a%d [mm] = %d mm +/- 1 mm\n"
                      "limit l%d {\n value = a%d\n at-most = %g mm\n source \"s\"\n because \"b\"\n}\n",
                      i, i + 10, i, i, i + 10 + (i % 3 ? 1.5 : 0.5));
    struct strokewright_recipe *r = compile(arena_text(&arena, buffer_text(&b)).at);
    uint32_t met = 0, broken = 0;
    for (uint32_t k = 0; k < r->limits.results.count; k++) {
        const struct limit_result *l = &r->limits.results.at[k];
        const struct rule *rule = rule_at(&r->scope, l->rule);
        if (l->rule < r->scope.first_rule)
            continue;
        int i = atoi(atom_text(&r->scope.names, rule->name).at + 1);
        met++;
        ck_assert_int_eq(l->verdict, i % 3 ? VERDICT_PROVED : VERDICT_NOMINAL_ONLY);
        ck_assert_double_eq_tol(l->worst.least, i % 3 ? 0.5e-3 : -0.5e-3, 1e-12);
        if (i % 3)
            continue;
        ck_assert_uint_eq(l->worst.broken_first, broken);
        ck_assert_uint_eq(l->worst.broken_count, 1);
        ck_assert_double_eq_tol(r->limits.broken.at[broken++].si, (i + 11) * 1e-3, 1e-12);
    }
    ck_assert_uint_eq(met, LIMITS);
    ck_assert_uint_eq(broken, LIMITS / 3);
    strokewright_free(r);
    arena_free(&arena);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("compile");
    TCase *tests = tcase_create("compile");
    tcase_set_timeout(tests, 60);
    tcase_add_checked_fixture(tests, setup, teardown);
    tcase_add_test(tests, library_is_clean);
    tcase_add_test(tests, library_is_bound_as_typing_finds_it);
    tcase_add_test(tests, full_memory_ends_a_piece_of_work);
    tcase_add_test(tests, one_library_serves_many_recipes);
    tcase_add_loop_test(tests, works_out, 0, (int)(sizeof values / sizeof values[0]));
    tcase_add_loop_test(tests, refuses, 0, (int)(sizeof refused / sizeof refused[0]));
    tcase_add_test(tests, layout_keeps_the_fingerprint_and_meaning_changes_it);
    tcase_add_test(tests, many_faults_are_each_told_once);
    tcase_add_test(tests, same_text_same_table);
    tcase_add_test(tests, two_compile_side_by_side);
    tcase_add_test(tests, many_limits_are_each_proved);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
