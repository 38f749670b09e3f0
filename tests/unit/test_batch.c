/* The batch evaluator: sample by sample what the nominal evaluator gives, on random programs and on heat; what is undefined
 * is so for its samples alone; only what is needed is evaluated. */
#include "runtime/evaluate/batch.h"
#include "runtime/statistics/uncertainty.h"

#include "tests/unit/sample_nodes.h"
#include "tests/unit/sample_program.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>

enum { EVERY = 16 }; /* of the samples, which are checked */

static uint32_t held(double nominal, double low, double high)
{
    return program_input(&p, (struct input){nominal, low, high, true, 0, false, 0}, 0);
}

static void fill(const struct batch *b, const struct program *of, double **points)
{
    for (uint32_t k = 0; k < of->inputs.count; k++) {
        double *block = batch_input(b, k);
        for (int i = 0; block && i < BATCH; i++)
            block[i] = points[i][k];
    }
}

/* Runs the batch on random points and holds some samples against the nominal evaluator. Returns how many were defined. */
static int agree(const struct program *of, const uint32_t *asked, uint32_t count)
{
    double *points[BATCH];
    struct batch b = batch_new(&arena, of, asked, count, NULL);
    int defined = 0;
    for (int i = 0; i < BATCH; i++)
        points[i] = random_point(&arena, of);
    fill(&b, of, points);
    batch_run(&b);
    for (int i = rand() % EVERY; i < BATCH; i += EVERY) {
        struct evaluation e = evaluate_nominal(&arena, of, points[i]);
        for (uint32_t k = 0; k < count; k++) {
            double got = batch_values(&b, asked[k])[i], want = e.value[asked[k]];
            ck_assert_msg(got == want || (isnan(got) && isnan(want)), "node %u, op %u: %.17g instead of %.17g",
                          asked[k], of->nodes.at[asked[k]].op, got, want);
            defined += !isnan(want);
        }
    }
    return defined;
}

START_TEST(agrees_with_the_nominal_evaluator)
{
    int defined = 0;
    srand((unsigned)_i);
    random_program(&p, &arena, false);
    /* All nodes, then a few, whose operands' blocks are used again. */
    uint32_t *asked = ARENA_ARRAY(&arena, p.nodes.count, uint32_t), all = p.nodes.count - 1;
    for (uint32_t i = 0; i < all; i++)
        asked[i] = i + 1;
    defined += agree(&p, asked, all);
    ck_assert_uint_gt(all, 0);
    for (int round = 0; round < 4; round++) {
        uint32_t few[3];
        for (int k = 0; k < 3; k++)
            few[k] = 1 + (uint32_t)rand() % all;
        defined += agree(&p, few, 3);
    }
    ck_assert_int_gt(defined, 0);
}
END_TEST

START_TEST(agrees_on_heat)
{
    static const uint32_t functions[] = {FUNCTION_slab_at,     FUNCTION_slab_mean, FUNCTION_slab_time,
                                         FUNCTION_air_after,   FUNCTION_air_time,  FUNCTION_contact_after,
                                         FUNCTION_contact_time};
    srand((unsigned)_i);
    uint32_t n = random_heat_call(&p, functions[_i % 7], 0.5, 0.02);
    agree(&p, &n, 1);
}
END_TEST

/* Values that differ in the last bits are the same; a square is a product, whichever way the two was come by. */
START_TEST(compares_and_squares_as_the_nominal_evaluator)
{
    uint32_t x = held(0.3, 0, 1), y = held(2, 1, 3), asked[4];
    asked[0] = node(OP_LESS, x, number(3 * 0.1));
    asked[1] = node(OP_LESS_EQUAL, number(3 * 0.1), x);
    asked[2] = node(OP_EQUAL, x, number(3 * 0.1));
    asked[3] = node(OP_POWER, x, y);
    struct batch b = batch_new(&arena, &p, asked, 4, NULL);
    for (int i = 0; i < BATCH; i++) {
        batch_input(&b, 0)[i] = i ? 0.3 - i * 1e-14 : 0.3;
        batch_input(&b, 1)[i] = 2;
    }
    batch_run(&b);
    for (int i = 0; i < BATCH; i++) {
        double point[] = {i ? 0.3 - i * 1e-14 : 0.3, 2};
        struct evaluation e = evaluate_nominal(&arena, &p, point);
        for (int k = 0; k < 4; k++)
            ck_assert_msg(batch_values(&b, asked[k])[i] == e.value[asked[k]], "sample %d, node %d", i, k);
    }
    ck_assert(batch_values(&b, asked[0])[0] == 0 && batch_values(&b, asked[0])[BATCH - 1] == 1);
}
END_TEST

START_TEST(leaves_what_is_undefined_to_its_samples)
{
    uint32_t x = held(0, -1, 1), inverse = node(OP_DIVIDE, number(1), x), back = node(OP_DIVIDE, number(1), inverse);
    uint32_t asked[] = {inverse, back};
    struct batch b = batch_new(&arena, &p, asked, 2, NULL);
    for (int i = 0; i < BATCH; i++)
        batch_input(&b, 0)[i] = i % 2;
    batch_run(&b);
    for (int i = 0; i < BATCH; i++) {
        ck_assert(i % 2 ? batch_values(&b, back)[i] == 1 : isnan(batch_values(&b, back)[i]));
        ck_assert(i % 2 ? batch_values(&b, inverse)[i] == 1 : isnan(batch_values(&b, inverse)[i]));
    }
}
END_TEST

START_TEST(evaluates_what_is_needed_and_no_more)
{
    uint32_t x = held(2, 1, 3), y = held(5, 4, 6), level = node(OP_MULTIPLY, number(3), number(4));
    uint32_t asked = node(OP_ADD, x, level), other = node(OP_MULTIPLY, x, y);
    struct batch b = batch_new(&arena, &p, &asked, 1, NULL);
    ck_assert_uint_eq(b.steps.count, 1); /* the product of numbers is worked out beforehand, that with y not at all */
    ck_assert(batch_input(&b, 1) == NULL && batch_values(&b, other) == NULL);
    struct batch fixed = batch_new(&arena, &p, &level, 1, NULL);
    ck_assert_uint_eq(fixed.steps.count, 0);
    ck_assert(batch_values(&fixed, level)[BATCH - 1] == 12);
    bool varies[] = {false, true};
    uint32_t product[] = {other, other}; /* asked twice */
    struct batch one = batch_new(&arena, &p, product, 2, varies);
    ck_assert(batch_input(&one, 0) == NULL);
    for (int i = 0; i < BATCH; i++)
        batch_input(&one, 1)[i] = i;
    batch_run(&one);
    ck_assert(batch_values(&one, other)[7] == 14);
}
END_TEST

START_TEST(leaves_an_uncertainty_level)
{
    uint32_t x = held(2, 1, 3), u = program_uncertainty(&p, node(OP_MULTIPLY, x, x), 0), y = node(OP_MULTIPLY, u, x);
    ck_assert_int_gt(agree(&p, &y, 1), 0);
    struct batch b = batch_new(&arena, &p, &y, 1, NULL);
    ck_assert_uint_eq(b.steps.count, 1);
}
END_TEST

START_TEST(uses_blocks_again)
{
    uint32_t n = held(1, 0, 2), x = n;
    for (int i = 0; i < 1000; i++)
        n = node(OP_ADD, n, x);
    struct batch b = batch_new(&arena, &p, &n, 1, NULL);
    ck_assert_uint_le(b.blocks, 4);
    for (int i = 0; i < BATCH; i++)
        batch_input(&b, 0)[i] = i;
    batch_run(&b);
    ck_assert(batch_values(&b, n)[200] == 200 * 1001.0);
    batch_run(&b); /* the inputs are still there */
    ck_assert(batch_values(&b, n)[200] == 200 * 1001.0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("batch");
    TCase *of = tcase_create("samples");
    tcase_add_checked_fixture(of, begin, end);
    tcase_set_timeout(of, 120);
    tcase_add_loop_test(of, agrees_with_the_nominal_evaluator, 0, 300);
    tcase_add_loop_test(of, agrees_on_heat, 0, 40);
    tcase_add_test(of, compares_and_squares_as_the_nominal_evaluator);
    tcase_add_test(of, leaves_what_is_undefined_to_its_samples);
    tcase_add_test(of, evaluates_what_is_needed_and_no_more);
    tcase_add_test(of, leaves_an_uncertainty_level);
    tcase_add_test(of, uses_blocks_again);
    suite_add_tcase(suite, of);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
