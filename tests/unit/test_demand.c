/* What is demanded decides what is worked out, and nothing else: chosen values, verdicts and diagnostics are the same
 * whatever else is shown. And a program is frozen: nothing that is asked of a recipe changes it. */
#include "compiler/emit/emit.h"
#include "compiler/recipe.h"
#include "compiler/review/budget/budget.h"
#include "compiler/review/why/why.h"
#include "tests/unit/sample_files.h"

#include <check.h>
#include <stdlib.h>

static struct strokewright_library *library;
static struct arena arena;

static void setup(void)
{
    arena_init(&arena, NULL);
    library = strokewright_library_new();
    ck_assert_ptr_nonnull(library);
}

static void teardown(void)
{
    strokewright_library_free(library);
    arena_free(&arena);
}

static enum fault load_shop(void *context, struct arena *a, struct text from, struct text wanted, struct text *path,
                            struct text *bytes, struct text *why)
{
    (void)context, (void)from, (void)why;
    *path = wanted;
    *bytes = file_bytes(a, arena_format(a, "recipes/demo/%.*s", TEXT_ARGS(wanted)).at);
    return (enum fault)LOAD_OK;
}

static struct strokewright_recipe *compile(const struct demand *demand, const char *path)
{
    static const struct loader loader = {NULL, load_shop};
    struct strokewright_recipe *r = recipe_compile(library, demand, text_of(path), file_bytes(&arena, path), &loader);
    ck_assert(r && r->state != STROKEWRIGHT_NO_MEMORY);
    return r;
}

/* ---- the same answers -------------------------------------------------------------------------------------------------- */

static const char *const recipes[] = {"recipes/demo/river-logger-lid.recipe",
                                      "tests/golden/find-one/case.recipe",
                                      "tests/golden/find-two/case.recipe",
                                      "tests/golden/find-conflict/case.recipe",
                                      "tests/golden/find-conflict-two/case.recipe",
                                      "tests/golden/find-jump/case.recipe",
                                      "tests/golden/find-curve-end/case.recipe",
                                      "tests/golden/find-nowhere/case.recipe",
                                      "tests/golden/find-like/case.recipe",
                                      "tests/golden/fault-find-no-value/case.recipe",
                                      "tests/golden/fault-find-free/case.recipe",
                                      "tests/golden/limit-draw-ratio-trips/case.recipe",
                                      "tests/golden/limit-press-energy-trips/case.recipe"};
enum { RECIPE_COUNT = sizeof recipes / sizeof recipes[0] };

static void expect_same(const struct strokewright_recipe *a, const struct strokewright_recipe *b)
{
    ck_assert_uint_eq(a->diagnostics.all.count, b->diagnostics.all.count);
    for (uint32_t i = 0; i < a->diagnostics.all.count; i++) {
        const struct diagnostic *x = a->diagnostics.all.at[i], *y = b->diagnostics.all.at[i];
        ck_assert_msg(text_same(x->message, y->message), "%.*s\nbut\n%.*s", TEXT_ARGS(x->message),
                      TEXT_ARGS(y->message));
        ck_assert_uint_eq(x->labels.count, y->labels.count);
    }
    ck_assert_uint_eq(a->solutions.of.count, b->solutions.of.count);
    for (uint32_t i = 0; i < a->solutions.of.count; i++)
        ck_assert_double_eq(a->solutions.of.at[i].value, b->solutions.of.at[i].value);
    ck_assert_uint_eq(a->limits.results.count, b->limits.results.count);
    for (uint32_t i = 0; i < a->limits.results.count; i++)
        ck_assert_int_eq(a->limits.results.at[i].verdict, b->limits.results.at[i].verdict);
}

START_TEST(verdicts_alone_are_the_same)
{
    const struct demand verdicts = {.reach = DEMAND_VERDICTS};
    struct strokewright_recipe *all = compile(NULL, recipes[_i]), *few = compile(&verdicts, recipes[_i]);
    expect_same(all, few);
    strokewright_free(all);
    strokewright_free(few);
}
END_TEST

/* ---- a program is frozen ----------------------------------------------------------------------------------------------- */

static uint64_t hash_bytes(uint64_t hash, const void *bytes, size_t count)
{
    const unsigned char *at = bytes;
    for (size_t i = 0; i < count; i++)
        hash = (hash ^ at[i]) * 0x100000001b3u;
    return hash;
}

static uint64_t hash_of(const struct lowering *l)
{
    const struct program *p = &l->program;
    uint64_t hash = hash_bytes(0xcbf29ce484222325u, p->nodes.at, p->nodes.count * sizeof *p->nodes.at);
    hash = hash_bytes(hash, p->operands.at, p->operands.count * sizeof *p->operands.at);
    hash = hash_bytes(hash, p->inputs.at, p->inputs.count * sizeof *p->inputs.at);
    hash = hash_bytes(hash, p->curves.at, p->curves.count * sizeof *p->curves.at);
    hash = hash_bytes(hash, l->quantities.at, l->quantities.count * sizeof *l->quantities.at);
    return hash_bytes(hash, l->limits.at, l->limits.count * sizeof *l->limits.at);
}

static void ask_everything(struct strokewright_recipe *r)
{
    const struct window_request request = {1, {0}};
    const struct budget_order order = {.coverage = 0.95, .seed = 1, .samples = 1000};
    struct window_map map = {.axes = 0};
    uint32_t asked = lowering_named(r->lowering, TEXT("overall-length.finished-size"));
    ck_assert_uint_ne(asked, 0);
    for (int print = 0; print < 2; print++)
        for (enum language language = 0; language < LANGUAGE_COUNT; language++)
            ck_assert_ptr_nonnull(recipe_table(r, (struct spelling){print, language}));
    ck_assert_ptr_nonnull(recipe_limits_table(r, SPELL_ASCII));
    ck_assert(recipe_window(r, &request, &map));
    ck_assert_ptr_nonnull(budgets_of(r, &asked, 1, &order));
    ck_assert_ptr_nonnull(why_derive(r, &asked, 1, 3));
    ck_assert_uint_eq(recipe_fingerprint(r).len, 64);
    ck_assert_uint_eq(lowering_named(r->lowering, TEXT("die.colour")), 0);
}

START_TEST(nothing_that_is_asked_changes_the_program)
{
    struct strokewright_recipe *r = compile(NULL, recipes[0]);
    uint64_t before = hash_of(r->lowering);
    uint32_t nodes = r->lowering->program.nodes.count;
    ask_everything(r);
    ck_assert_uint_eq(r->lowering->program.nodes.count, nodes);
    ck_assert(hash_of(r->lowering) == before);
    strokewright_free(r);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("demand");
    TCase *cases = tcase_create("demand");
    tcase_set_timeout(cases, 60);
    tcase_add_checked_fixture(cases, setup, teardown);
    tcase_add_loop_test(cases, verdicts_alone_are_the_same, 0, RECIPE_COUNT);
    tcase_add_test(cases, nothing_that_is_asked_changes_the_program);
    suite_add_tcase(suite, cases);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
