/* Spreads, quantiles and budgets. Published values stand beside each check; what is worked out by hand says how. */
#include "runtime/statistics/uncertainty.h"

#include "runtime/statistics/philox.h"
#include "runtime/statistics/plain.h"
#include "runtime/statistics/quantile.h"

#include "tests/unit/sample_nodes.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>

static uint32_t held(double nominal, double half, struct spread spread)
{
    uint32_t n = program_input(&p, (struct input){nominal, nominal - half, nominal + half, half > 0, 0, false, 0}, 0);
    program_spread(&p, p.inputs.count - 1, spread);
    return n;
}

static void is_near(double got, double want, double slack)
{
    ck_assert_msg(fabs(got - want) <= slack, "%.15g instead of %.15g, slack %g", got, want, slack);
}

static const struct spread rectangular = {.shape = SPREAD_RECTANGULAR}, u_shaped = {.shape = SPREAD_U_SHAPED};

static struct spread normal_k(double k, double freedom)
{
    return (struct spread){.shape = SPREAD_NORMAL, .k = k, .freedom = freedom};
}

/* ---- numbers ----------------------------------------------------------------------------------------------------- */

/* The known answers its authors publish for Philox4x32-10 (Random123, kat_vectors). */
START_TEST(philox_gives_its_known_answers)
{
    static const struct {
        uint32_t counter[4], key[2], answer[4];
    } known[] = {
        {{0, 0, 0, 0}, {0, 0}, {0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8}},
        {{0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff},
         {0xffffffff, 0xffffffff},
         {0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd}},
        {{0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344},
         {0xa4093822, 0x299f31d0},
         {0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1}},
    };
    for (size_t i = 0; i < sizeof known / sizeof known[0]; i++) {
        struct philox counter;
        memcpy(counter.word, known[i].counter, sizeof counter.word);
        counter = philox(counter, known[i].key[0], known[i].key[1]);
        ck_assert(memcmp(counter.word, known[i].answer, sizeof counter.word) == 0);
    }
    ck_assert(philox_share(0, 0) > 0 && philox_share(UINT32_MAX, UINT32_MAX) < 1);
    is_near(philox_share(0x80000000, 0), 0.5, 1e-15);
}
END_TEST

static void is_close(double got, double want)
{
    ck_assert_msg(fabs(got - want) <= 4 * 2.3e-16 * fabs(want) + 1e-300, "%.17g instead of %.17g", got, want);
}

START_TEST(plain_functions_agree_with_the_library)
{
    srand(1);
    for (int i = 0; i < 200000; i++) {
        double share = (rand() + 0.5) / (RAND_MAX + 1.0), x = (share - 0.5) * 1300;
        is_close(plain_exp(x), exp(x));
        is_close(plain_log(exp(x)), log(exp(x)));
        is_near(plain_log(share), log(share), 4e-16 * fmax(1, fabs(log(share))));
        is_near(plain_cosine(share), cos(share * 6.283185307179586), 1e-15);
    }
    ck_assert(plain_log(1) == 0 && plain_exp(0) == 1 && plain_cosine(0.5) == -1 && plain_cosine(0) == 1);
    ck_assert(plain_exp(-1e3) == 0 && isinf(plain_exp(1e3)));
}
END_TEST

/* Abramowitz and Stegun Table 26.5 and the far tail as AS 241 states it (z of 1e-20 is -9.262340089798408); and turned
 * back by the error function of the C library. */
START_TEST(normal_quantiles)
{
    is_near(normal_quantile(0.975), 1.959963984540054, 2e-15);
    is_near(normal_quantile(0.995), 2.575829303548901, 3e-15);
    is_near(normal_quantile(0.25), -0.6744897501960817, 1e-15);
    is_near(normal_quantile(1e-20), -9.262340089798408, 1e-14);
    ck_assert(normal_quantile(0.5) == 0);
    for (int i = 1; i < 800; i++)
        is_near(normal_quantile(erfc(i * 0.01 / sqrt(2)) / 2) / (-0.01 * i), 1, 1e-14);
}
END_TEST

/* JCGM 100 Table G.2, to its two decimals (95 %, 95.45 %, 99 %). */
START_TEST(student_quantiles)
{
    static const struct {
        double freedom, t95, t9545, t99;
    } table[] = {{1, 12.71, 13.97, 63.66}, {2, 4.30, 4.53, 9.92},      {5, 2.57, 2.65, 4.03},
                 {8, 2.31, 2.37, 3.36},    {16, 2.12, 2.17, 2.92},     {18, 2.10, 2.15, 2.88},
                 {50, 2.01, 2.05, 2.68},   {100, 1.984, 2.025, 2.626}, {INFINITY, 1.960, 2.000, 2.576}};
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        double slack = table[i].freedom < 100 ? 0.0051 : 0.00051;
        is_near(student_quantile(0.975, table[i].freedom), table[i].t95, slack);
        is_near(student_quantile(0.97725, table[i].freedom), table[i].t9545, slack);
        is_near(student_quantile(0.995, table[i].freedom), table[i].t99, slack);
        is_near(student_quantile(0.025, table[i].freedom), -table[i].t95, slack);
    }
    /* In closed form: one degree is Cauchy's, two are 2 (p - 1/2) sqrt(2 / (1 - 4 (p - 1/2)^2)). */
    is_near(student_quantile(0.9, 1), tan(0.4 * 3.141592653589793), 1e-12);
    is_near(student_quantile(0.9, 2), 0.8 * sqrt(2 / (1 - 0.64)), 1e-12);
    is_near(student_quantile(0.6, 1e5), student_quantile(0.6, 1.0001e5), 1e-9); /* where the expansion takes over */
    is_near(student_quantile(0.999, 1e5), student_quantile(0.999, 1.0001e5), 1e-8);
}
END_TEST

/* ---- spreads ----------------------------------------------------------------------------------------------------- */

static const struct {
    struct spread spread;
    struct input band;
    double standard, mean, deviation, slack; /* of what is drawn; deviation 0: the standard uncertainty */
} spreads[] = {
    {{.shape = SPREAD_RECTANGULAR}, {10, 9, 11, true, 0, false, 0}, 0.5773502691896258, 10, 0, 0.002},
    /* JCGM 100 4.3.8: (b+ + b-)^2 / 12; the middle of the band is where the values are. */
    {{.shape = SPREAD_RECTANGULAR}, {10, 9.5, 12, true, 0, false, 0}, 2.5 / 3.4641016151377544, 10.75, 0, 0.002},
    {{.shape = SPREAD_TRIANGULAR}, {10, 9, 11, true, 0, false, 0}, 0.4082482904638630, 10, 0, 0.002},
    {{.shape = SPREAD_TRIANGULAR}, {10, 10, 13, true, 0, false, 0}, 0.7071067811865476, 11, 0, 0.003},
    {{.shape = SPREAD_TRAPEZOID, .top = 0.5}, {10, 9, 11, true, 0, false, 0}, 0.4564354645876384, 10, 0, 0.002},
    {{.shape = SPREAD_U_SHAPED}, {10, 9, 11, true, 0, false, 0}, 0.7071067811865476, 10, 0, 0.002},
    {{.shape = SPREAD_NORMAL, .k = 3}, {10, 7, 13, true, 0, false, 0}, 1, 10, 0, 0.004},
    {{.shape = SPREAD_NORMAL, .coverage = 0.5}, {10, 9, 11, true, 0, false, 0}, 1.482602218505602, 10, 0, 0.006},
    /* JCGM 100 H.1.3.2: 0.01 um at 95 %, six observations: 3.9 nm. Drawn, t with 5 is wider by sqrt(5 / 3). */
    {{.shape = SPREAD_NORMAL, .coverage = 0.95, .freedom = 5}, {0, -10, 10, true, 0, false, 0}, 3.890, 0, 5.022, 0.05},
    /* JCGM 101 6.4.3.4: variance ((b - a) / 2)^2 / 3 + d^2 / 9. */
    {{.shape = SPREAD_RECTANGULAR, .doubt = 0.5},
     {0, -1, 1, true, 0, false, 0},
     0.5773502691896258,
     0,
     0.6009252125773316,
     0.003},
};

START_TEST(spreads_have_their_standard_uncertainty)
{
    for (size_t i = 0; i < sizeof spreads / sizeof spreads[0]; i++) {
        is_near(spread_standard(&spreads[i].spread, &spreads[i].band), spreads[i].standard,
                spreads[i].standard == 3.890 ? 0.0005 : 1e-12);
        is_near(spread_mean(&spreads[i].spread, &spreads[i].band), spreads[i].mean, 1e-12);
    }
}
END_TEST

START_TEST(draws_have_mean_and_deviation)
{
    enum { DRAWS = 400000 };
    double standard = spread_standard(&spreads[_i].spread, &spreads[_i].band), sum = 0, squares = 0;
    for (uint32_t k = 0; k < DRAWS; k++) {
        struct philox w = philox((struct philox){{k, 0, (uint32_t)_i, 0}}, 1, 0);
        double u = philox_share(w.word[0], w.word[1]), v = philox_share(w.word[2], w.word[3]);
        double off = spread_draw(&spreads[_i].spread, &spreads[_i].band, standard, u, v) - spreads[_i].mean;
        sum += off;
        squares += off * off;
    }
    is_near(sum / DRAWS, 0, spreads[_i].slack);
    is_near(sqrt(squares / DRAWS), spreads[_i].deviation > 0 ? spreads[_i].deviation : standard, spreads[_i].slack);
}
END_TEST

START_TEST(freedom_follows_doubt)
{
    struct spread doubtful = {.shape = SPREAD_NORMAL, .k = 1, .doubt = 0.25};
    is_near(spread_freedom(&doubtful), 8, 1e-12); /* JCGM 100 G.4.2, example: 25 % is 8 */
    ck_assert(isinf(spread_freedom(&rectangular)));
    struct spread stated = {.freedom = 24};
    ck_assert(spread_freedom(&stated) == 24);
}
END_TEST

/* ---- budgets ----------------------------------------------------------------------------------------------------- */

/* JCGM 100 H.1, the calibration of an end gauge, in nm and K, with all figures as they stand in the example before they
 * are rounded: l = ls + d - ls (dalpha theta + alpha dtheta). Published: u_c 32 nm, freedom 16, t99 2.92, second order
 * 34 nm, of which 11.7 nm from dalpha with theta and 1.7 nm from alpha with dtheta. */
START_TEST(end_gauge)
{
    uint32_t ls = held(50000623, 75, normal_k(3, 18)), d = held(215, 13 / sqrt(5), normal_k(1, 24));
    uint32_t d1 = held(0, 10, (struct spread){.shape = SPREAD_NORMAL, .coverage = 0.95, .freedom = 5});
    uint32_t d2 = held(0, 20, (struct spread){.shape = SPREAD_NORMAL, .k = 3, .doubt = 0.25});
    uint32_t alpha = held(11.5e-6, 2e-6, rectangular);
    uint32_t dalpha = held(0, 1e-6, (struct spread){.shape = SPREAD_RECTANGULAR, .doubt = 0.1});
    uint32_t mean = held(-0.1, 0.2, normal_k(1, 0)), swing = held(0, 0.5, u_shaped);
    uint32_t dtheta = held(0, 0.05, (struct spread){.shape = SPREAD_RECTANGULAR, .doubt = 0.5});
    uint32_t theta = node(OP_ADD, mean, swing);
    uint32_t growth = node(OP_ADD, node(OP_MULTIPLY, dalpha, theta), node(OP_MULTIPLY, alpha, dtheta));
    uint32_t read = node(OP_ADD, node(OP_ADD, d, d1), d2);
    uint32_t l = node(OP_SUBTRACT, node(OP_ADD, ls, read), node(OP_MULTIPLY, ls, growth));
    struct uncertainty u = uncertainty_of(&arena, &p, l, 0.99);
    is_near(u.estimate, 50000838, 1e-6);
    is_near(u.combined, 31.66, 0.01);
    is_near(u.freedom, 16.75, 0.01);
    is_near(u.factor, 2.9208, 0.0005);
    is_near(u.expanded, 92.48, 0.05);
    is_near(u.second_order, 33.81, 0.01);
    ck_assert_uint_eq(u.parts.count, 6); /* alpha and theta move nothing at first order */
    ck_assert_uint_eq(u.parts.at[0].input, 0);
    is_near(u.parts.at[0].contribution, 25, 1e-9);
    is_near(u.parts.at[1].contribution, 16.599, 0.001);
    is_near(u.parts.at[1].sensitivity, -575.007, 0.001);
    is_near(u.parts.at[5].contribution, 2.887, 0.001); /* dalpha */
    double with_theta = 0, with_dtheta = 0;
    for (uint32_t i = 0; i < u.bends.count; i++) {
        with_theta += u.bends.at[i].a == 5 && u.bends.at[i].b >= 6 ? u.bends.at[i].variance : 0;
        with_dtheta += u.bends.at[i].a == 4 && u.bends.at[i].b == 8 ? u.bends.at[i].variance : 0;
    }
    is_near(sqrt(with_theta), 11.73, 0.01);
    is_near(sqrt(with_dtheta), 1.667, 0.001);
}
END_TEST

/* x^2 of a normal x: variance 4 m^2 s^2 + 2 s^4, which second order has exactly; at m = 0 it is all there is. */
START_TEST(second_order_of_a_square)
{
    uint32_t x = held(3, 0.5, normal_k(1, 0)), square = node(OP_MULTIPLY, x, x);
    uint32_t y = held(0, 0.5, normal_k(1, 0)), flat = node(OP_MULTIPLY, y, y);
    struct uncertainty u = uncertainty_of(&arena, &p, square, 0.95), v = uncertainty_of(&arena, &p, flat, 0.95);
    is_near(u.combined, 3, 1e-12);
    is_near(u.second_order, sqrt(9 + 2 * 0.0625), 1e-12);
    is_near(v.combined, 0, 0);
    ck_assert_uint_eq(v.parts.count, 0);
    is_near(v.second_order, sqrt(2 * 0.0625), 1e-12);
    ck_assert_uint_eq(v.bends.count, 1);
}
END_TEST

/* The term with the third derivative: x^3 about 0 has f' = 0; about 1, f' = 3, f'' = 6, f''' = 6. With u = 0.1:
 * 0.09 + (36 / 2 + 3 * 6) * 1e-4 = 0.0936. */
START_TEST(second_order_of_a_cube)
{
    uint32_t x = held(1, 0.1, normal_k(1, 0)), cube = node(OP_MULTIPLY, node(OP_MULTIPLY, x, x), x);
    struct uncertainty u = uncertainty_of(&arena, &p, cube, 0.95);
    is_near(u.second_order, sqrt(0.0936), 1e-9);
}
END_TEST

START_TEST(what_comes_twice_counts_once)
{
    uint32_t x = held(5, 1, rectangular), y = held(5, 1, rectangular);
    uint32_t same = node(OP_SUBTRACT, x, x), twice = node(OP_ADD, x, x), apart = node(OP_ADD, x, y);
    is_near(uncertainty_of(&arena, &p, same, 0.95).combined, 0, 0);
    is_near(uncertainty_of(&arena, &p, twice, 0.95).combined, 2 / sqrt(3), 1e-15);
    is_near(uncertainty_of(&arena, &p, apart, 0.95).combined, sqrt(2) / sqrt(3), 1e-15);
    struct uncertainty u = uncertainty_of(&arena, &p, apart, 0.95);
    ck_assert(isinf(u.freedom));
    is_near(u.factor, 1.959963984540054, 1e-12);
    is_near(u.parts.at[1].share, 0.5, 1e-12);
}
END_TEST

/* JCGM 100 4.3.8: the expectation of 100 +2/-0 is 101, with standard uncertainty 2 / sqrt(12). Its square is estimated there,
 * with the slope there; by hand 101^2 and 202 / sqrt(3). */
START_TEST(uneven_bands_move_the_estimate)
{
    uint32_t x = program_input(&p, (struct input){100, 100, 102, true, 0, false, 0}, 0),
             square = node(OP_MULTIPLY, x, x);
    struct uncertainty u = uncertainty_of(&arena, &p, square, 0.95);
    is_near(u.estimate, 10201, 1e-9);
    is_near(u.stated, 10000, 1e-9);
    is_near(u.combined, 202 / sqrt(3), 1e-9);
    uint32_t even = held(7, 1, rectangular);
    struct uncertainty v = uncertainty_of(&arena, &p, node(OP_MULTIPLY, even, even), 0.95);
    ck_assert(v.estimate == 49 && v.stated == 49);
}
END_TEST

START_TEST(says_what_it_cannot_say)
{
    uint32_t zero = held(0, 1, rectangular), broken = node(OP_DIVIDE, number(1), zero);
    uint32_t near = held(0.5, 1, rectangular), root = program_call(&p, FUNCTION_sqrt, &near, 1, 0);
    struct uncertainty u = uncertainty_of(&arena, &p, broken, 0.95), v = uncertainty_of(&arena, &p, root, 0.95);
    ck_assert(!u.defined);
    ck_assert(isnan(u.combined));
    is_near(v.combined, 1 / sqrt(0.5) / 2 / sqrt(3), 1e-12);
    ck_assert(isnan(v.second_order));                               /* one standard uncertainty below is no root */
    uint32_t bottom = program_call(&p, FUNCTION_sqrt, &zero, 1, 0); /* its derivative does not exist */
    struct uncertainty w = uncertainty_of(&arena, &p, bottom, 0.95);
    ck_assert(w.defined && isnan(w.combined));
}
END_TEST

/* In a program it is a value like any other, level to whatever is asked of it. */
START_TEST(stands_in_a_program)
{
    uint32_t x = held(2, 0.3, normal_k(3, 0)), y = held(1, 1, rectangular), fixed = node(OP_NOMINAL, x, 0);
    uint32_t root = program_call(&p, FUNCTION_sqrt, &y, 1, 0),
             product = node(OP_MULTIPLY, node(OP_MULTIPLY, x, x), fixed);
    uint32_t u = program_uncertainty(&p, product, 0), none = program_uncertainty(&p, fixed, 0);
    uint32_t nothing = program_uncertainty(&p, program_call(&p, FUNCTION_ln, &none, 1, 0), 0);
    uint32_t after = node(OP_MULTIPLY, u, x), of_root = program_uncertainty(&p, root, 0);
    ck_assert(uncertainty_rests_on_bands(&p, product) && !uncertainty_rests_on_bands(&p, fixed) &&
              !uncertainty_rests_on_bands(&p, number(1)));
    struct evaluation e = evaluate_nominal(&arena, &p, NULL),
                      moved = evaluate_nominal(&arena, &p, (double[]){2.1, 0.5});
    is_near(e.value[u], 0.8, 1e-12); /* 2 x * 2 * 0.1 */
    ck_assert(moved.value[u] == e.value[u] && e.value[none] == 0);
    ck_assert(e.culprit[nothing] == nothing - 1 && isnan(e.value[nothing]));
    is_near(e.value[of_root], 0.5 / sqrt(3), 1e-12);
    struct gradient g = evaluate_gradient(&arena, &p, NULL);
    ck_assert(g.slope[u] == NULL);
    is_near(g.slope[after][0], 0.8, 1e-12);
    struct interval_gradient over = interval_gradient_new(&arena, &p);
    evaluate_interval_gradient(&over, &p, interval_inputs(&arena, &p));
    ck_assert(interval_contains(over.over.value[u], 0.8) && over.over.value[u].high - over.over.value[u].low < 1e-8);
    ck_assert(over.slope[u] == NULL && interval_contains(over.slope[after][0], 0.8));
    p.inputs.at[0].low = 1.4;
    p.inputs.at[0].high = 2.6;
    program_renew_uncertainties(&p);
    is_near(evaluate_nominal(&arena, &p, NULL).value[u], 1.6, 1e-12);
    p.inputs.at[0].high = 3.8; /* nobody asks for it anew: only the other is unknown */
    p.inputs.at[1].unknown = true;
    p.inputs.at[1].nominal = 4;
    program_renew_uncertainties_of_unknowns(&p);
    is_near(evaluate_nominal(&arena, &p, NULL).value[u], 1.6, 1e-12);
    is_near(evaluate_nominal(&arena, &p, NULL).value[of_root], 0.25 / sqrt(3), 1e-12);
    struct program cone = program_cone(&arena, &p, after);
    ck_assert_uint_lt(cone.nodes.count, p.nodes.count);
    is_near(evaluate_nominal(&arena, &cone, NULL).value[cone.nodes.count - 1], 3.2, 1e-12);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("uncertainty");
    TCase *numbers = tcase_create("numbers"), *of = tcase_create("spreads"), *budgets = tcase_create("budgets");
    tcase_add_test(numbers, philox_gives_its_known_answers);
    tcase_add_test(numbers, plain_functions_agree_with_the_library);
    tcase_add_test(numbers, normal_quantiles);
    tcase_add_test(numbers, student_quantiles);
    tcase_add_test(of, spreads_have_their_standard_uncertainty);
    tcase_add_loop_test(of, draws_have_mean_and_deviation, 0, (int)(sizeof spreads / sizeof spreads[0]));
    tcase_add_test(of, freedom_follows_doubt);
    tcase_add_checked_fixture(budgets, begin, end);
    tcase_add_test(budgets, end_gauge);
    tcase_add_test(budgets, second_order_of_a_square);
    tcase_add_test(budgets, second_order_of_a_cube);
    tcase_add_test(budgets, what_comes_twice_counts_once);
    tcase_add_test(budgets, uneven_bands_move_the_estimate);
    tcase_add_test(budgets, stands_in_a_program);
    tcase_add_test(budgets, says_what_it_cannot_say);
    suite_add_tcase(suite, numbers);
    suite_add_tcase(suite, of);
    suite_add_tcase(suite, budgets);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
