/* Piecewise linear curves against a search from one end, and against functions that linear interpolation reproduces. */
#include "runtime/evaluate/evaluate.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>

static const double few_x[] = {293.15, 373.15, 473.15, 573.15}, few_z[] = {25.6, 26.1, 27.0, 27.9};
static const struct curve few = {.x_count = 4, .x = few_x, .z = few_z};

/* Rows x = 1, 3; columns y = 10, 20, 40. */
static const double grid_x[] = {1, 3}, grid_y[] = {10, 20, 40}, grid_z[] = {5, 7, 20, 9, 30, 60};
static const struct curve grid = {2, 3, grid_x, grid_y, grid_z, 0};

static double good(const struct curve *c, double x, double y)
{
    enum eval_fault fault = EVAL_OK;
    double offending = 0, v = curve_at(c, x, y, &fault, &offending);
    ck_assert_int_eq(fault, EVAL_OK);
    return v;
}

static void bad(const struct curve *c, double x, double y, enum eval_fault want, double want_offending)
{
    enum eval_fault fault = EVAL_OK;
    double offending = 0, v = curve_at(c, x, y, &fault, &offending);
    ck_assert_int_eq(fault, want);
    ck_assert(isnan(v));
    ck_assert(offending == want_offending);
}

START_TEST(is_exact_where_stated)
{
    for (int i = 0; i < 4; i++)
        ck_assert(good(&few, few_x[i], 0) == few_z[i]);
    for (int i = 0; i < 2; i++)
        for (int k = 0; k < 3; k++)
            ck_assert(good(&grid, grid_x[i], grid_y[k]) == grid_z[3 * i + k]);
    /* 1.3 + (0.1 - 1.3) is not 0.1 */
    static const double x[] = {0, 1}, z[] = {1.3, 0.1};
    const struct curve falling = {.x_count = 2, .x = x, .z = z};
    ck_assert(good(&falling, 0, 0) == 1.3 && good(&falling, 1, 0) == 0.1);
}
END_TEST

START_TEST(goes_straight_between)
{
    ck_assert_double_eq_tol(good(&few, 333.15, 0), 25.85, 1e-13);
    ck_assert_double_eq_tol(good(&few, 448.15, 0), 26.1 + 0.75 * 0.9, 1e-13);
    ck_assert_double_eq_tol(good(&grid, 2, 10), 7, 1e-13);
    ck_assert_double_eq_tol(good(&grid, 1, 25), 7 + 0.25 * 13, 1e-13);
    /* (1/2)(7 + 13/4) + (1/2)(30 + 30/4) worked out by hand */
    ck_assert_double_eq_tol(good(&grid, 2, 25), 23.875, 1e-13);
}
END_TEST

START_TEST(refuses_to_extrapolate)
{
    bad(&few, 293, 0, EVAL_BELOW_RANGE, 293);
    bad(&few, 573.2, 0, EVAL_ABOVE_RANGE, 573.2);
    bad(&few, -INFINITY, 0, EVAL_BELOW_RANGE, -INFINITY);
    bad(&few, INFINITY, 0, EVAL_ABOVE_RANGE, INFINITY);
    bad(&grid, 0.5, 20, EVAL_BELOW_RANGE, 0.5);
    bad(&grid, 4, 20, EVAL_ABOVE_RANGE, 4);
    bad(&grid, 2, 9, EVAL_BELOW_RANGE, 9);
    bad(&grid, 2, 41, EVAL_ABOVE_RANGE, 41);
    bad(&grid, 0, 41, EVAL_BELOW_RANGE, 0); /* the first argument is told first */
}
END_TEST

START_TEST(forgives_rounding_at_the_ends)
{
    ck_assert(good(&few, nextafter(573.15, 1000), 0) == 27.9);
    ck_assert(good(&few, nextafter(293.15, 0), 0) == 25.6);
    ck_assert(good(&few, 20 + 273.15, 0) == 25.6);
    ck_assert(good(&grid, 3 * (1 + 1e-15), 40 * (1 + 1e-15)) == 60);
    bad(&few, 573.15 * (1 + 1e-11), 0, EVAL_ABOVE_RANGE, 573.15 * (1 + 1e-11));
}
END_TEST

START_TEST(has_no_value_at_no_number)
{
    enum eval_fault fault = EVAL_OK;
    double offending;
    ck_assert(isnan(curve_at(&few, NAN, 0, &fault, &offending)));
    ck_assert_int_eq(fault, EVAL_BAD_ARGUMENT);
    fault = EVAL_OK;
    ck_assert(isnan(curve_at(&grid, 2, NAN, &fault, &offending)));
    ck_assert_int_eq(fault, EVAL_BAD_ARGUMENT);
    ck_assert(good(&few, 300, NAN) > 25); /* one variable: the second is not looked at */
}
END_TEST

START_TEST(takes_one_row_or_column)
{
    static const double x[] = {5}, y[] = {1, 2}, z[] = {40, 50}, column_z[] = {1, 3};
    const struct curve row = {1, 2, x, y, z, 0}, column = {2, 1, y, x, column_z, 0}, spot = {1, 0, x, NULL, z, 0};
    ck_assert(good(&row, 5, 1.5) == 45);
    ck_assert(good(&column, 1.5, 5) == 2);
    ck_assert(good(&spot, 5, 0) == 40);
    bad(&row, 5.1, 1.5, EVAL_ABOVE_RANGE, 5.1);
    bad(&column, 1.5, 4.9, EVAL_BELOW_RANGE, 4.9);
    bad(&spot, 4, 0, EVAL_BELOW_RANGE, 4);
}
END_TEST

enum { MANY = 1000 };

static double random_share(void)
{
    return rand() / (double)RAND_MAX;
}

/* The same, looked for from the first row on. */
static double from_one_end(const double *x, const double *z, double v)
{
    int i = 0;
    while (i < MANY - 2 && x[i + 1] <= v)
        i++;
    return z[i] + (v - x[i]) / (x[i + 1] - x[i]) * (z[i + 1] - z[i]);
}

START_TEST(finds_its_place_among_many)
{
    double x[MANY], z[MANY];
    srand(4711);
    for (int i = 0; i < MANY; i++) {
        x[i] = (i ? x[i - 1] : -20) + 0.001 + random_share() * (i % 7 ? 1 : 50);
        z[i] = 200 * random_share() - 100;
    }
    const struct curve c = {.x_count = MANY, .x = x, .z = z};
    for (int i = 0; i < 20000; i++) {
        double v = x[0] + random_share() * (x[MANY - 1] - x[0]);
        ck_assert_double_eq_tol(good(&c, v, 0), from_one_end(x, z, v), 1e-10);
    }
    for (int i = 0; i < MANY; i++)
        ck_assert(good(&c, x[i], 0) == z[i]);
}
END_TEST

/* Linear in each variable alone, so the grid's spacing must not matter. */
static double saddle(double x, double y)
{
    return 3 - 2 * x + 0.5 * y + 0.25 * x * y;
}

START_TEST(reproduces_what_is_linear_in_each_variable)
{
    double x[] = {-3, -1, 0, 4, 5}, y[] = {0, 1, 10, 11}, z[20];
    for (int i = 0; i < 20; i++)
        z[i] = saddle(x[i / 4], y[i % 4]);
    const struct curve c = {5, 4, x, y, z, 0};
    srand(4712);
    for (int i = 0; i < 20000; i++) {
        double u = -3 + 8 * random_share(), v = 11 * random_share();
        ck_assert_double_eq_tol(good(&c, u, v), saddle(u, v), 1e-12);
    }
}
END_TEST

START_TEST(stays_between_its_neighbours)
{
    static const double x[] = {0, 0.1}, z[] = {0.1, 0.3};
    const struct curve c = {.x_count = 2, .x = x, .z = z};
    double before = 0.1;
    for (int i = 0; i <= 100000; i++) {
        double v = good(&c, 0.1 * i / 100000, 0);
        ck_assert(v >= before && v <= 0.3);
        before = v;
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("curve");
    TCase *tests = tcase_create("curve");
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, is_exact_where_stated);
    tcase_add_test(tests, goes_straight_between);
    tcase_add_test(tests, refuses_to_extrapolate);
    tcase_add_test(tests, forgives_rounding_at_the_ends);
    tcase_add_test(tests, has_no_value_at_no_number);
    tcase_add_test(tests, takes_one_row_or_column);
    tcase_add_test(tests, finds_its_place_among_many);
    tcase_add_test(tests, reproduces_what_is_linear_in_each_variable);
    tcase_add_test(tests, stays_between_its_neighbours);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
