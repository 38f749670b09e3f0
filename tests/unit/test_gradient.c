/* The gradient evaluator at a point: derivatives by hand; on random programs against the complex step (f(x + ih) = f(x) +
 * ih f'(x) without any difference taken, Squire and Trapp, SIAM Review 40, 1998) and against central differences; of heat
 * against central differences and against laws with a closed form. */
#include "tests/unit/sample_gradient.h"

#include <complex.h>
#include <stdlib.h>

/* ---- by hand ----------------------------------------------------------------------------------------------------- */

START_TEST(differentiates_by_the_rules)
{
    uint32_t x = held(2, 1, 3), y = held(5, 4, 6), three = number(3);
    uint32_t product = node(OP_MULTIPLY, x, y), quotient = node(OP_DIVIDE, x, y), cube = node(OP_POWER, x, three);
    uint32_t power = node(OP_POWER, x, y), square = node(OP_MULTIPLY, x, x), exact = node(OP_ADD, three, three);
    uint32_t rest = node(OP_SUBTRACT, y, node(OP_NEGATE, x, 0)), logarithm = call(FUNCTION_ln, product);
    run();
    is_near(slope(product, 0), 5, 0);
    is_near(slope(product, 1), 2, 0);
    is_near(slope(quotient, 0), 0.2, 1e-16);
    is_near(slope(quotient, 1), -0.08, 1e-16);
    is_near(slope(cube, 0), 12, 1e-14);
    is_near(slope(power, 0), 80, 1e-12);
    is_near(slope(power, 1), 32 * log(2), 1e-12);
    is_near(slope(square, 0), 4, 0);
    is_near(slope(rest, 0), 1, 0);
    is_near(slope(logarithm, 1), 0.2, 1e-16);
    ck_assert(g.slope[exact] == NULL && over.slope[exact] == NULL);
}
END_TEST

START_TEST(takes_the_side_that_is_chosen)
{
    static const double at[] = {0, 1, 2}, z[] = {0, 10, 10};
    uint32_t x = held(0.5, 0.25, 1.5), y = held(3, 2, 4), c = program_curve(&p, (struct curve){3, 0, at, NULL, z, 0});
    uint32_t choice = program_node(&p, OP_SELECT, node(OP_LESS, x, y), node(OP_MULTIPLY, x, x), y, 0);
    uint32_t open = program_node(&p, OP_SELECT, node(OP_LESS, x, number(1)), y, node(OP_ADD, y, y), 0);
    uint32_t least = program_call(&p, FUNCTION_min, (uint32_t[]){y, x}, 2, 0),
             bent = program_node(&p, OP_CURVE, c, x, 0, 0);
    uint32_t nothing = call(FUNCTION_abs, node(OP_MULTIPLY, x, number(0)));
    uint32_t stepped = program_call(&p, FUNCTION_round, (uint32_t[]){x, number(0.5)}, 2, 0);
    run();
    is_near(slope(choice, 0), 1, 0);
    is_near(slope(choice, 1), 0, 0);
    is_near(slope(least, 0), 1, 0);
    is_near(slope(bent, 0), 10, 0);
    is_near(slope(stepped, 0), 0, 0);
    ck_assert(slope_over(choice, 0).low <= 0.5 && slope_over(choice, 0).high >= 3 && slope_over(choice, 0).low > 0.4);
    ck_assert(slope_over(open, 0).low == -INFINITY && slope_over(open, 0).high == INFINITY); /* it may jump with x */
    ck_assert(slope_over(open, 1).low == 1 && slope_over(open, 1).high == 2);
    ck_assert(slope_over(bent, 0).low == 0 && slope_over(bent, 0).high >= 10);
    ck_assert(slope_over(nothing, 0).low == 0 && slope_over(nothing, 0).high == 0);
    ck_assert(slope_over(stepped, 0).low == 0 && slope_over(stepped, 0).high == INFINITY);
}
END_TEST

START_TEST(has_slopes_for_each_function)
{
    for (uint32_t f = 0; f < FUNCTION_COUNT; f++)
        ck_assert_msg(partials_table[f] && slopes_table[f], "%s has none", function_table[f].name);
}
END_TEST

START_TEST(leaves_out_what_is_undefined_or_not_held)
{
    uint32_t x = held(0, -1, 1), fixed = program_input(&p, (struct input){2, 1, 3, false, 0, false, 0}, 0);
    uint32_t broken = node(OP_DIVIDE, number(1), x), sum = node(OP_ADD, x, fixed);
    run();
    ck_assert_uint_eq(g.held.count, 1);
    ck_assert_uint_eq(g.at.culprit[broken], broken);
    ck_assert_uint_eq(over.over.culprit[broken], broken);
    is_near(slope(sum, 0), 1, 0);
}
END_TEST

/* ---- random programs against the complex step -------------------------------------------------------------------- */

static double complex called(const struct node_code *n, const double complex *v)
{
    const uint32_t *of = &p.operands.at[n->b];
    double complex x = v[of[0]], best = x, sum = 0;
    switch (n->a) {
    case FUNCTION_abs:
        return creal(x) < 0 ? -x : x;
    case FUNCTION_min:
    case FUNCTION_max:
        for (uint32_t k = 1; k < n->c; k++)
            if (v[of[k]] != best && !(cabs(v[of[k]] - best) >= 1e-9 * cabs(best)))
                return NAN + I * NAN; /* not known, or a matter of rounding */
            else if (n->a == FUNCTION_min ? creal(v[of[k]]) < creal(best) : creal(v[of[k]]) > creal(best))
                best = v[of[k]];
        return best;
    case FUNCTION_mean:
        for (uint32_t k = 0; k < n->c; k++)
            sum += v[of[k]];
        return sum / n->c;
    case FUNCTION_sqrt:
        return csqrt(x);
    case FUNCTION_exp:
        return cexp(x);
    case FUNCTION_ln:
        return clog(x);
    case FUNCTION_sin:
        return csin(x);
    case FUNCTION_cos:
        return ccos(x);
    case FUNCTION_tan:
        return csin(x) / ccos(x);
    case FUNCTION_atan: /* an imaginary part this small is a derivative, and carries the formula's exactly */
        return atan(creal(x)) + I * cimag(x) / (1 + creal(x) * creal(x));
    default:
        return x;
    }
}

/* The curve is linear near x: its value there, its slope from a neighbour in the same piece. */
static double complex on_curve(const struct node_code *n, const double complex *v)
{
    const struct curve *c = &p.curves.at[n->a];
    enum eval_fault fault = EVAL_OK;
    double offending, x = creal(v[n->b]), y = c->y_count ? creal(v[n->c]) : 0, step = 1e-7;
    double at = curve_at(c, x, y, &fault, &offending);
    double along_x = (curve_at(c, x + step, y, &fault, &offending) - at) / step;
    double along_y = c->y_count ? (curve_at(c, x, y + step, &fault, &offending) - at) / step : 0;
    return at + I * (along_x * cimag(v[n->b]) + (c->y_count ? along_y * cimag(v[n->c]) : 0));
}

/* Powers with a whole exponent by multiplication, since the logarithm of a negative base has a part of its own. */
static double complex powered(double complex x, double complex y)
{
    double n = creal(y);
    if (cimag(y) != 0 || n != trunc(n) || fabs(n) > 1000)
        return cexp(y * clog(x));
    double complex product = 1;
    for (int i = 0; i < (int)fabs(n); i++)
        product *= x;
    return n < 0 ? 1 / product : product;
}

static double complex stepped(const struct node_code *n, const double complex *v, const double complex *stated)
{
    double complex a = v[n->a], b = v[n->b];
    switch (n->op) {
    case OP_CONSTANT:
        return n->value;
    case OP_ADD:
        return a + b;
    case OP_SUBTRACT:
        return a - b;
    case OP_MULTIPLY:
        return a * b;
    case OP_DIVIDE:
        return a / b;
    case OP_POWER:
        return powered(a, b);
    case OP_NEGATE:
        return -a;
    case OP_CURVE:
        return on_curve(n, v);
    case OP_NOMINAL:
        return stated ? stated[n->a] : a;
    default:
        return called(n, v);
    }
}

/* Of ordinary size, and so is what it came from: the sine of a number with 15 digits before the point says nothing. */
static bool comparable(uint32_t i)
{
    return g.at.culprit[i] == 0 && fabs(g.at.value[i]) < 1e6;
}

static const double complex_step = 1e-100;

/* Every node with one input moved a little off the real line; NaN where it is not comparable. */
static double complex *complex_run(const struct evaluation *at, const double *point, uint32_t input,
                                   const double complex *stated)
{
    double complex *v = ARENA_ARRAY(&arena, p.nodes.count, double complex);
    for (uint32_t i = 1; i < p.nodes.count; i++) {
        const struct node_code *n = &p.nodes.at[i];
        v[i] = NAN;
        if (n->op == OP_INPUT)
            v[i] = point[n->a] + (n->a == input && (stated || p.inputs.at[n->a].unknown) ? I * complex_step : 0);
        else if (at->culprit[i] == 0 && fabs(at->value[i]) < 1e6)
            v[i] = stepped(n, v, stated);
    }
    return v;
}

START_TEST(agrees_with_the_complex_step)
{
    srand(500);
    uint32_t compared = 0;
    for (int round = 0; round < 600; round++) {
        end();
        arena_init(&arena, NULL);
        random_program(&p, &arena, true);
        double *point = random_point(&arena, &p), *fixed = evaluation_stated_inputs(&arena, &p, point);
        g = evaluate_gradient(&arena, &p, point);
        uint32_t column = (uint32_t)rand() % g.held.count, input = g.held.input[column];
        struct evaluation at_stated = evaluate_nominal(&arena, &p, fixed);
        const double complex *stated = complex_run(&at_stated, fixed, input, NULL);
        const double complex *v = complex_run(&g.at, point, input, stated);
        for (uint32_t i = 1; i < p.nodes.count; i++) {
            const struct node_code *n = &p.nodes.at[i];
            double want = cimag(v[i]) / complex_step, got = slope(i, column);
            if (!comparable(i) || isnan(creal(v[i])) || !isfinite(want) || !isfinite(got) || fabs(want) > 1e8)
                continue;
            ck_assert_msg(fabs(got - want) <= 1e-6 * fmax(1, fabs(want)),
                          "round %d node %u op %d of %u: %.12g for %.12g", round, i, n->op, n->a, got, want);
            compared += want != 0;
        }
    }
    ck_assert_uint_gt(compared, 3000);
}
END_TEST

/* A quotient of differences about the point, and how much it changes with the step: where a kink is near, or rounding
 * is felt, it is worth little. */
static double central(const double *point, uint32_t input, uint32_t n, double step)
{
    double *moved = ARENA_ARRAY(&arena, p.inputs.count, double), side[2];
    memcpy(moved, point, p.inputs.count * sizeof *moved);
    for (int s = 0; s < 2; s++) {
        moved[input] = point[input] + (s ? step : -step);
        side[s] = evaluate_nominal(&arena, &p, moved).value[n];
    }
    return (side[1] - side[0]) / (2 * step);
}

START_TEST(agrees_with_central_differences)
{
    srand(501);
    uint32_t compared = 0, all = 0;
    for (int round = 0; round < 200; round++) {
        end();
        arena_init(&arena, NULL);
        random_program(&p, &arena, false);
        double *point = random_point(&arena, &p);
        g = evaluate_gradient(&arena, &p, point);
        uint32_t column = (uint32_t)rand() % g.held.count, input = g.held.input[column];
        for (uint32_t i = 1; i < p.nodes.count; i++) {
            double fine = central(point, input, i, 1e-6), coarse = central(point, input, i, 3e-6);
            double doubt = 4 * fabs(fine - coarse) + 1e-7 * fmax(1, fabs(fine));
            if (!comparable(i) || !(doubt < 1e-4 * fmax(1, fabs(fine))) || fabs(fine) > 1e4)
                continue;
            all++;
            compared += fabs(slope(i, column) - fine) <= doubt;
        }
    }
    ck_assert_uint_gt(all, 3000);
    /* A kink exactly at the point has two sides, and no difference to show which one counts. */
    ck_assert_msg(compared >= all - all / 100, "%u of %u agree", compared, all);
}
END_TEST

/* ---- heat -------------------------------------------------------------------------------------------------------- */

START_TEST(differentiates_heat)
{
    srand(510 + _i);
    uint32_t compared = 0;
    for (int round = 0; round < 300; round++) {
        end();
        begin();
        uint32_t n = random_heat_call(&p, heat[_i], 1, 0.05);
        double *point = ARENA_ARRAY(&arena, p.inputs.count, double);
        for (uint32_t i = 0; i < p.inputs.count; i++)
            point[i] = p.inputs.at[i].nominal;
        g = evaluate_gradient(&arena, &p, NULL);
        if (g.at.culprit[n])
            continue;
        for (uint32_t column = 0; column < g.held.count; column++) {
            uint32_t input = g.held.input[column];
            double step = 1e-5 * fabs(point[input]), fine = central(point, input, n, step);
            double coarse = central(point, input, n, 3 * step), size = fabs(g.at.value[n]) / fabs(point[input]);
            double doubt = 2 * fabs(fine - coarse) + 1e-8 * size + 1e-7 * fabs(fine);
            if (!(doubt < 1e-3 * (fabs(fine) + size)))
                continue;
            compared++;
            ck_assert_msg(fabs(slope(n, column) - fine) <= doubt, "round %d, argument %u: %.12g for %.12g, doubt %g",
                          round, input, slope(n, column), fine, doubt);
        }
    }
    ck_assert_uint_gt(compared, 500);
}
END_TEST

/* Newton's law of cooling has its derivatives in closed form: T = Ts + (T0 - Ts) exp(-u), u = h t / C. */
START_TEST(differentiates_newtons_cooling)
{
    const double x[] = {500, 300, 1000, 20, 0, 40}, decay = exp(-0.8);
    uint32_t nodes[6];
    for (uint32_t i = 0; i < 6; i++)
        nodes[i] = held(x[i], x[i] * 0.9, x[i] * 1.1);
    uint32_t after = program_call(&p, FUNCTION_air_after, nodes, 6, 0);
    nodes[5] = held(400, 390, 410);
    uint32_t time = program_call(&p, FUNCTION_air_time, nodes, 6, 0);
    g = evaluate_gradient(&arena, &p, NULL);
    is_near(slope(after, 0), decay, 1e-13);
    is_near(slope(after, 1), 1 - decay, 1e-10);
    is_near(slope(after, 2), 200 * decay * 0.8 / 1000, 1e-12);
    is_near(slope(after, 3), -200 * decay * 0.8 / 20, 1e-8);
    is_near(slope(after, 5), -200 * decay * 0.8 / 40, 1e-12);
    is_near(slope(time, 0), 50.0 / 200, 1e-13);
    is_near(slope(time, 1), 50 * (1 / 100.0 - 1 / 200.0), 1e-9);
    is_near(slope(time, 3), -50 * log(2) / 20, 1e-9);
    is_near(slope(time, 6), -50 / 100.0, 1e-12);
}
END_TEST

/* A sheet with both faces insulated keeps its start; opening one lets in h (S - T0) t / (C d), in the first order. */
START_TEST(differentiates_at_insulated_faces)
{
    const double x[] = {0, 0, 500, 300, 300, 0.002, 100, 2e6, 3};
    uint32_t nodes[9];
    for (uint32_t i = 0; i < 9; i++)
        nodes[i] = held(x[i], x[i] * 0.9, x[i] * 1.1);
    uint32_t mean = program_call(&p, FUNCTION_slab_mean, nodes, 9, 0);
    g = evaluate_gradient(&arena, &p, NULL);
    is_near(slope(mean, 0), 200 * 3 / (2e6 * 0.002), 1e-9);
    is_near(slope(mean, 1), 0, 1e-9);
    is_near(slope(mean, 2), 0, 1e-12);
    is_near(slope(mean, 4), 1, 1e-12);
    is_near(slope(mean, 8), 0, 1e-12);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("gradient");
    TCase *c = tcase_create("gradient");
    tcase_set_timeout(c, 120);
    tcase_add_checked_fixture(c, begin, end);
    tcase_add_test(c, differentiates_by_the_rules);
    tcase_add_test(c, takes_the_side_that_is_chosen);
    tcase_add_test(c, has_slopes_for_each_function);
    tcase_add_test(c, leaves_out_what_is_undefined_or_not_held);
    tcase_add_test(c, agrees_with_the_complex_step);
    tcase_add_test(c, agrees_with_central_differences);
    tcase_add_loop_test(c, differentiates_heat, 0, HEAT);
    tcase_add_test(c, differentiates_newtons_cooling);
    tcase_add_test(c, differentiates_at_insulated_faces);
    suite_add_tcase(suite, c);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
