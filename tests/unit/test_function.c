/* The built-in functions through their table, as a program calls them: order of arguments, results, faults. */
#include "runtime/function.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static enum eval_fault fault;

static double call(enum function_id id, uint32_t count, const double *x)
{
    fault = EVAL_OK;
    return function_table[id].evaluate(x, count, &fault);
}

#define CALL(id, ...)                                                                                                  \
    call(FUNCTION_##id, sizeof((double[]){__VA_ARGS__}) / sizeof(double), (const double[]){__VA_ARGS__})

static void is_near(double got, double want, double slack)
{
    ck_assert_int_eq(fault, EVAL_OK);
    ck_assert_msg(fabs(got - want) <= slack, "%.17g instead of %.17g", got, want);
}

static void fails(double got, enum eval_fault want)
{
    ck_assert(isnan(got));
    ck_assert_int_eq(fault, want);
}

START_TEST(has_a_whole_row_for_each)
{
    for (int i = 0; i < FUNCTION_COUNT; i++) {
        const struct function *f = &function_table[i];
        ck_assert(f->evaluate && strstr(f->types, "->") && f->doc[0] && f->source[0]);
        for (int k = 0; k < i; k++)
            ck_assert_str_ne(f->name, function_table[k].name);
    }
}
END_TEST

START_TEST(sorts_and_averages)
{
    is_near(CALL(abs, -3.5), 3.5, 0);
    is_near(CALL(min, 3, -1, 2), -1, 0);
    is_near(CALL(max, 3, -1, 2), 3, 0);
    is_near(CALL(max, 7), 7, 0);
    is_near(CALL(mean, 1, 2, 6), 3, 1e-15);
    is_near(CALL(mean, 293.15, 293.15, 293.15), 293.15, 0); /* equal ones give just that one */
    is_near(CALL(mean, 1.7e308, 1.7e308), 1.7e308, 0);
    fails(call(FUNCTION_min, 0, NULL), EVAL_BAD_ARGUMENT);
    fails(call(FUNCTION_max, 0, NULL), EVAL_BAD_ARGUMENT);
    fails(call(FUNCTION_mean, 0, NULL), EVAL_BAD_ARGUMENT);
}
END_TEST

START_TEST(rounds_to_steps)
{
    is_near(CALL(round, 0.0123, 0.005), 0.01, 1e-17);
    is_near(CALL(round, 0.0125, 0.005), 0.015, 1e-17); /* halves away from zero */
    is_near(CALL(round, -0.0125, 0.005), -0.015, 1e-17);
    is_near(CALL(round, 0.15, 0.1), 0.2, 1e-15); /* 0.15 / 0.1 comes out below 1.5 */
    is_near(CALL(round, 7, 2), 8, 0);
    is_near(CALL(ceil, 1.1, 0.1), 1.1, 1e-15); /* 1.1 / 0.1 comes out above 11 */
    is_near(CALL(ceil, 1.1000001, 0.1), 1.2, 1e-15);
    is_near(CALL(ceil, -1.15, 0.1), -1.1, 1e-15);
    is_near(CALL(ceil, 6, 2), 6, 0);
    fails(CALL(round, 1, 0), EVAL_DIVIDE_BY_ZERO);
    fails(CALL(round, 1, -1), EVAL_BAD_ARGUMENT);
    fails(CALL(ceil, 1, 0), EVAL_DIVIDE_BY_ZERO);
    fails(CALL(ceil, 1, -1), EVAL_BAD_ARGUMENT);
}
END_TEST

START_TEST(keeps_inside)
{
    is_near(CALL(inside, 2, 1, 3), 2, 0);
    is_near(CALL(inside, 1, 1, 3), 1, 0);
    is_near(CALL(inside, 3, 1, 3), 3, 0);
    is_near(CALL(inside, 3 * 0.1, 0, 0.3), 3 * 0.1, 0); /* above 0.3 by a rounding */
    fails(CALL(inside, 0.9, 1, 3), EVAL_BELOW_RANGE);
    fails(CALL(inside, 3.1, 1, 3), EVAL_ABOVE_RANGE);
    fails(CALL(inside, 2, 3, 1), EVAL_BAD_ARGUMENT);
}
END_TEST

START_TEST(does_elementary_functions)
{
    const double right = acos(-1) / 2;
    is_near(CALL(sqrt, 2), 1.4142135623730951, 1e-16);
    is_near(CALL(exp, 1), 2.718281828459045, 1e-15);
    is_near(CALL(ln, 10), 2.302585092994046, 1e-15);
    is_near(CALL(sin, right / 3), 0.5, 1e-15);
    is_near(CALL(cos, right * 2 / 3), 0.5, 1e-15);
    is_near(CALL(tan, right / 2), 1, 1e-15);
    is_near(CALL(atan, 1), right / 2, 1e-16);
    is_near(CALL(radians, right), right, 0);
    is_near(CALL(kelvin, 293.15), 293.15, 0);
    is_near(CALL(point, 293.15), 293.15, 0);
    fails(CALL(sqrt, -1e-9), EVAL_NEGATIVE_ROOT);
    fails(CALL(ln, 0), EVAL_NOT_POSITIVE);
    fails(CALL(ln, -1), EVAL_NOT_POSITIVE);
    fails(CALL(tan, right), EVAL_OVERFLOW);
    fails(CALL(tan, -3 * right), EVAL_OVERFLOW);
    ck_assert(fabs(CALL(tan, right - 1e-9)) > 9e8 && fault == EVAL_OK); /* near it is still a number */
}
END_TEST

/* 0.5 mm magnesium sheet between tools, Biot number far below 0.1, so the lumped law is right to a few parts in 10^4:
 * time constant rho c d / (h1 + h2). It fixes the order of the nine arguments. */
START_TEST(takes_slab_arguments_in_order)
{
    const double h1 = 2000, h2 = 500, t1 = 473.15, t2 = 373.15, start = 293.15, d = 0.0005, k = 85, c = 1770 * 1060.0;
    double constant = c * d / (h1 + h2), end = (h1 * t1 + h2 * t2) / (h1 + h2), time = 0.3;
    double lumped = end + (start - end) * exp(-time / constant);
    double mean = CALL(slab_mean, h1, h2, t1, t2, start, d, k, c, time);
    is_near(mean, lumped, 0.5);
    is_near(CALL(slab_time, h1, h2, t1, t2, start, d, k, c, mean), time, 1e-10);
    double near = CALL(slab_at, h1, h2, t1, t2, start, d, k, c, time, 0);
    double far = CALL(slab_at, h1, h2, t1, t2, start, d, k, c, time, 1);
    ck_assert(near > mean && mean > far); /* the first face is the hotter one */
    fails(CALL(slab_time, h1, h2, t1, t2, start, d, k, c, t1), EVAL_NEVER_REACHED);
    fails(CALL(slab_mean, h1, h2, t1, t2, start, d, k, c, -1), EVAL_BAD_ARGUMENT);
    fails(CALL(slab_at, h1, h2, t1, t2, start, d, k, c, time, 1.5), EVAL_BAD_ARGUMENT);
}
END_TEST

START_TEST(takes_air_arguments_in_order)
{
    const double start = 473.15, room = 293.15, capacity = 938, convection = 24, time = 3;
    double plain = room + (start - room) * exp(-convection / capacity * time);
    is_near(CALL(air_after, start, room, capacity, convection, 0, time), plain, 1e-10);
    double radiating = CALL(air_after, start, room, capacity, convection, 0.4, time);
    ck_assert(radiating < plain && radiating > plain - 5);
    is_near(CALL(air_time, start, room, capacity, convection, 0.4, radiating), time, 1e-10);
    fails(CALL(air_time, start, room, capacity, convection, 0.4, room), EVAL_NEVER_REACHED);
    fails(CALL(air_after, start, room, 0, convection, 0.4, time), EVAL_BAD_ARGUMENT);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("function");
    TCase *tests = tcase_create("function");
    tcase_add_test(tests, has_a_whole_row_for_each);
    tcase_add_test(tests, sorts_and_averages);
    tcase_add_test(tests, rounds_to_steps);
    tcase_add_test(tests, keeps_inside);
    tcase_add_test(tests, does_elementary_functions);
    tcase_add_test(tests, takes_slab_arguments_in_order);
    tcase_add_test(tests, takes_air_arguments_in_order);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
