/* The gradient evaluators: derivatives by hand; on random programs against the complex step (f(x + ih) = f(x) + ih f'(x)
 * without any difference taken, Squire and Trapp, SIAM Review 40, 1998) and against central differences; of heat against
 * central differences and against laws with a closed form; over boxes, every difference quotient inside its interval;
 * and ranges sharpened by direction. */
#include "runtime/gradient.h"

#include "tests/unit/sample_program.h"

#include <check.h>
#include <complex.h>
#include <stdlib.h>

static struct arena arena;
static struct program p;
static struct gradient g;
static struct interval_gradient over;

static void begin(void)
{
    arena_init(&arena, NULL);
    program_init(&p, &arena);
}

static void end(void)
{
    arena_free(&arena);
}

static uint32_t number(double v)
{
    return program_constant(&p, v, 0);
}

static uint32_t held(double nominal, double low, double high)
{
    return program_input(&p, (struct input){nominal, low, high, true, 0, false, 0}, 0);
}

static uint32_t node(enum op op, uint32_t a, uint32_t b)
{
    return program_node(&p, op, a, b, 0, 0);
}

static uint32_t call(enum function_id function, uint32_t x)
{
    return program_call(&p, function, &x, 1, 0);
}

static double slope(uint32_t n, uint32_t column)
{
    return g.slope[n] ? g.slope[n][column] : 0;
}

static struct interval slope_over(uint32_t n, uint32_t column)
{
    return over.slope[n] ? over.slope[n][column] : interval_point(0);
}

static void run(void)
{
    g = evaluate_gradient(&arena, &p, NULL);
    over = interval_gradient_new(&arena, &p);
    evaluate_interval_gradient(&over, &p, program_box(&arena, &p), NULL);
}

static void is_near(double got, double want, double slack)
{
    ck_assert_msg(fabs(got - want) <= slack, "%.15g instead of %.15g, slack %g", got, want, slack);
}

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
        double *point = random_point(&arena, &p), *fixed = stated_inputs(&arena, &p, point);
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

static const uint32_t heat[] = {FUNCTION_slab_at, FUNCTION_slab_mean, FUNCTION_slab_time, FUNCTION_air_after,
                                FUNCTION_air_time};
enum { HEAT = sizeof heat / sizeof heat[0] };

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

/* ---- over boxes -------------------------------------------------------------------------------------------------- */

/* Two points that differ in one input: what a node changes by, with all rounding, meets slope times the difference. */
static uint32_t check_quotients(const double *point, uint32_t column)
{
    uint32_t input = over.held.input[column], checked = 0;
    struct interval *box = ARENA_ARRAY(&arena, p.inputs.count, struct interval);
    struct interval_evaluation ends[2];
    double place[2] = {point[input], random_between(p.inputs.at[input].low, p.inputs.at[input].high)};
    for (int s = 0; s < 2; s++) {
        for (uint32_t i = 0; i < p.inputs.count; i++)
            box[i] = interval_point(i == input ? place[s] : point[i]);
        ends[s] = interval_evaluation_new(&arena, &p);
        evaluate_interval(&ends[s], &p, box, NULL);
    }
    struct interval across = interval_subtract(interval_point(place[1]), interval_point(place[0]));
    for (uint32_t i = 1; i < p.nodes.count; i++) {
        if (over.over.culprit[i] || ends[0].culprit[i] || ends[1].culprit[i])
            continue;
        struct interval change = interval_subtract(ends[1].value[i], ends[0].value[i]);
        struct interval allowed = interval_multiply(slope_over(i, column), across);
        checked += !interval_is_zero(slope_over(i, column));
        ck_assert_msg(!interval_is_empty(interval_intersect(change, allowed)),
                      "node %u, op %d function %u: [%.12g, %.12g] beside [%.12g, %.12g]", i, p.nodes.at[i].op,
                      p.nodes.at[i].a, change.low, change.high, allowed.low, allowed.high);
    }
    return checked;
}

START_TEST(holds_every_difference_quotient)
{
    srand(600 + _i);
    uint32_t checked = 0;
    for (int round = 0; round < 150; round++) {
        end();
        arena_init(&arena, NULL);
        random_program(&p, &arena, false);
        run();
        for (int k = 0; k < 20; k++)
            checked += check_quotients(random_point(&arena, &p), (uint32_t)rand() % over.held.count);
    }
    ck_assert_uint_gt(checked, 10000);
}
END_TEST

START_TEST(holds_every_difference_quotient_of_heat)
{
    srand(620 + _i);
    uint32_t checked = 0, signs = 0;
    for (int round = 0; round < 200; round++) {
        end();
        begin();
        uint32_t n = random_heat_call(&p, heat[_i], 0.4, 0.05);
        run();
        for (uint32_t column = 0; column < over.held.count; column++) {
            for (int k = 0; k < 8; k++)
                checked += check_quotients(random_point(&arena, &p), column);
            if (over.over.culprit[n] == 0)
                signs += slope_over(n, column).low >= 0 || slope_over(n, column).high <= 0;
        }
    }
    ck_assert_uint_gt(checked, 1000);
    ck_assert_uint_gt(signs, 100);
}
END_TEST

/* A sheet between dies of one temperature, all to within half a hundredth: which way its mean and the time to a goal go is
 * proved for every property, conductivity apart, and the slopes are bounded. */
START_TEST(proves_directions_of_sheets)
{
    const double x[] = {2000, 2000, 500, 500, 300, 0.002, 120, 2.4e6, 1};
    for (int what = 0; what < 2; what++) {
        end();
        begin();
        uint32_t nodes[9];
        for (uint32_t i = 0; i < 9; i++) {
            double v = i == 8 && what ? 430 : x[i], half = (i < 5 || i == 8 ? 1e-3 : 5e-3) * v;
            nodes[i] = held(v, v - half, v + half);
        }
        uint32_t n = program_call(&p, what ? FUNCTION_slab_time : FUNCTION_slab_mean, nodes, 9, 0);
        run();
        ck_assert_uint_eq(over.over.culprit[n], 0);
        for (uint32_t k = 0; k < 9; k++) {
            struct interval s = slope_over(n, k);
            ck_assert_msg(interval_is_finite(s), "argument %u of %d: [%g, %g]", k, what, s.low, s.high);
            ck_assert_msg(k == 6 || s.low >= 0 || s.high <= 0, "argument %u of %d: [%g, %g]", k, what, s.low, s.high);
            ck_assert(interval_contains(s, slope(n, k)));
        }
    }
}
END_TEST

static bool same_interval(struct interval a, struct interval b)
{
    return (a.low == b.low && a.high == b.high) || (interval_is_empty(a) && interval_is_empty(b));
}

static void is_same_pass(const struct interval_gradient *a, const struct interval_gradient *b, int round)
{
    for (uint32_t i = 1; i < p.nodes.count; i++) {
        bool same = same_interval(a->over.value[i], b->over.value[i]) && a->over.culprit[i] == b->over.culprit[i] &&
                    a->over.fault[i] == b->over.fault[i];
        for (uint32_t k = 0; k < a->held.count && a->slope[i] && !a->over.culprit[i] && same; k++)
            same = same_interval(a->slope[i][k], b->slope[i][k]);
        ck_assert_msg(same, "round %d node %u op %d", round, i, p.nodes.at[i].op);
    }
}

/* A pass that remembers the one before, over a box that differs in some inputs, says what a fresh one says. */
START_TEST(remembers_what_did_not_change)
{
    srand(650);
    uint32_t kept = 0;
    for (int round = 0; round < 200; round++) {
        end();
        arena_init(&arena, NULL);
        random_program(&p, &arena, round % 2);
        run();
        struct interval *box = program_box(&arena, &p);
        for (int piece = 0; piece < 6; piece++) {
            struct interval_gradient fresh = interval_gradient_new(&arena, &p);
            uint32_t input = (uint32_t)rand() % p.inputs.count;
            double middle = box[input].low + (box[input].high - box[input].low) / 2;
            *(rand() % 2 ? &box[input].low : &box[input].high) = middle;
            evaluate_interval_gradient(&over, &p, box, NULL);
            evaluate_interval_gradient(&fresh, &p, box, NULL);
            is_same_pass(&over, &fresh, round);
            for (uint32_t i = 1; i < p.nodes.count; i++)
                kept += interval_kept(&over.over, i);
        }
    }
    ck_assert_uint_gt(kept, 10000);
}
END_TEST

/* The derivative at a point of the box is the limit of quotients, so it is inside too. */
START_TEST(holds_the_derivatives)
{
    srand(630);
    uint32_t checked = 0;
    for (int round = 0; round < 300; round++) {
        end();
        arena_init(&arena, NULL);
        random_program(&p, &arena, true);
        run();
        g = evaluate_gradient(&arena, &p, random_point(&arena, &p));
        for (uint32_t i = 1; i < p.nodes.count; i++)
            for (uint32_t k = 0; k < g.held.count && !over.over.culprit[i]; k++) {
                struct interval s = slope_over(i, k);
                double slack = 1e-9 * (fabs(slope(i, k)) + 1);
                checked += slope(i, k) != 0;
                ck_assert_msg(!(slope(i, k) < s.low - slack || slope(i, k) > s.high + slack),
                              "round %d node %u op %d function %u: %.12g beside [%.12g, %.12g]", round, i,
                              p.nodes.at[i].op, p.nodes.at[i].a, slope(i, k), s.low, s.high);
            }
    }
    ck_assert_uint_gt(checked, 3000);
}
END_TEST

/* ---- sharper ranges ---------------------------------------------------------------------------------------------- */

static struct interval sharpened(uint32_t n)
{
    bool *wanted = ARENA_ARRAY(&arena, p.nodes.count, bool);
    program_needs(&p, n, wanted);
    struct interval *box = program_box(&arena, &p);
    return interval_of(monotone_end(&over, &p, box, n, wanted, false), monotone_end(&over, &p, box, n, wanted, true));
}

START_TEST(sharpens_what_is_monotone)
{
    uint32_t x = held(1.5, 1, 1.75), y = held(0, -1, 1), one = number(1);
    uint32_t share = node(OP_DIVIDE, x, node(OP_ADD, one, x)), bend = node(OP_MULTIPLY, y, y);
    run();
    struct interval plain = over.over.value[share], sharp = sharpened(share), kept = sharpened(bend);
    ck_assert(plain.low < 0.37 && plain.high > 0.87);
    is_near(sharp.low, 0.5, 1e-15);
    is_near(sharp.high, 7 / 11.0, 1e-15);
    ck_assert(kept.low == over.over.value[bend].low && kept.high == over.over.value[bend].high);
}
END_TEST

/* x - x^2/8 rises over 0 .. 3 and 3 - x / 2 falls: which is less changes on the way, and is at its least at an end of either. */
START_TEST(sharpens_each_side_of_a_choice)
{
    uint32_t x = held(1, 0, 3), eighth = node(OP_DIVIDE, node(OP_MULTIPLY, x, x), number(8)),
             rises = node(OP_SUBTRACT, x, eighth), falls = node(OP_SUBTRACT, number(3), node(OP_DIVIDE, x, number(2))),
             least = program_call(&p, FUNCTION_min, (uint32_t[]){rises, falls}, 2, 0),
             most = program_call(&p, FUNCTION_max, (uint32_t[]){rises, falls}, 2, 0);
    run();
    struct interval smallest = sharpened(least), largest = sharpened(most);
    is_near(smallest.low, 0, 1e-15);
    is_near(smallest.high, 15 / 8.0, 1e-15);
    is_near(largest.low, 1.5, 1e-15);
    is_near(largest.high, 3, 1e-15);
    ck_assert(over.over.value[least].low < -1);
}
END_TEST

/* A part that may grip at once, where its gap may be 0: the goal is the start less something from 0 on, and its upper end
 * lies beyond the start by a rounding. That alone must not hide that a wider gap takes longer. */
START_TEST(knows_the_way_of_a_goal_next_to_the_start)
{
    uint32_t start = node(OP_DIVIDE, number(1420), number(3)),
             cooling = node(OP_MULTIPLY, held(0.5, 0, 1), number(37.3)), goal = node(OP_SUBTRACT, start, cooling),
             convection = held(18, 16, 20),
             operands[] = {start, number(295.15), number(938), convection, number(0.24), goal},
             time = program_call(&p, FUNCTION_air_time, operands, 6, 0);
    run();
    ck_assert(over.over.value[goal].high > over.over.value[start].low);
    ck_assert(over.slope[time][0].low > 0 && isfinite(over.slope[time][0].high));
    ck_assert(over.slope[time][1].high <= 0 && isfinite(over.slope[time][1].low));
    ck_assert(sharpened(time).low == 0);
}
END_TEST

/* The same behind a sum: a level term changes nothing, another adds its own end. */
START_TEST(sharpens_a_choice_behind_a_sum)
{
    uint32_t x = held(1, 0, 3), eighth = node(OP_DIVIDE, node(OP_MULTIPLY, x, x), number(8)),
             rises = node(OP_SUBTRACT, x, eighth), falls = node(OP_SUBTRACT, number(3), node(OP_DIVIDE, x, number(2))),
             least = program_call(&p, FUNCTION_min, (uint32_t[]){rises, falls}, 2, 0),
             left = node(OP_SUBTRACT, number(10), node(OP_ADD, least, held(1, 0, 2)));
    run();
    struct interval sharp = sharpened(left);
    is_near(sharp.low, 6.125, 1e-14);
    is_near(sharp.high, 10, 1e-14);
    ck_assert(over.over.value[left].high > 11);
}
END_TEST

/* x^2 - x/10 over 0 .. 1 has slopes from -0.1 to 1.9: measured from where that costs least it is above -0.0976; from the
 * middle it would be above -0.75 only. The least there is is -0.0025. */
START_TEST(measures_from_where_it_costs_least)
{
    uint32_t x = held(0.3, 0, 1), bowl = node(OP_SUBTRACT, node(OP_MULTIPLY, x, x), node(OP_DIVIDE, x, number(10)));
    run();
    struct interval sharp = sharpened(bowl);
    ck_assert(sharp.low > -0.0976 && sharp.low <= -0.0025);
    ck_assert(sharp.high >= 0.9 && sharp.high < 1.0);
    ck_assert(over.over.value[bowl].low < -0.0999);
}
END_TEST

START_TEST(sharpens_without_losing_a_value)
{
    srand(640);
    uint32_t sharper = 0;
    for (int round = 0; round < 150; round++) {
        end();
        arena_init(&arena, NULL);
        random_program(&p, &arena, false);
        run();
        for (int k = 0; k < 30; k++) {
            uint32_t n = 1 + (uint32_t)rand() % (p.nodes.count - 1);
            if (over.over.culprit[n])
                continue;
            struct interval plain = over.over.value[n], sharp = sharpened(n);
            sharper += sharp.high - sharp.low < 0.99 * (plain.high - plain.low);
            for (int i = 0; i < 10; i++) {
                double v = evaluate_nominal(&arena, &p, random_point(&arena, &p)).value[n];
                double slack = 1e-10 * fmax(1, fmax(fabs(plain.low), fabs(plain.high)));
                ck_assert_msg(v >= sharp.low - slack && v <= sharp.high + slack, "node %u: %.15g beside [%.15g, %.15g]",
                              n, v, sharp.low, sharp.high);
            }
        }
    }
    ck_assert_uint_gt(sharper, 30);
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
    tcase_add_loop_test(c, holds_every_difference_quotient, 0, 4);
    tcase_add_loop_test(c, holds_every_difference_quotient_of_heat, 0, HEAT);
    tcase_add_test(c, proves_directions_of_sheets);
    tcase_add_test(c, remembers_what_did_not_change);
    tcase_add_test(c, holds_the_derivatives);
    tcase_add_test(c, sharpens_what_is_monotone);
    tcase_add_test(c, sharpens_each_side_of_a_choice);
    tcase_add_test(c, knows_the_way_of_a_goal_next_to_the_start);
    tcase_add_test(c, sharpens_a_choice_behind_a_sum);
    tcase_add_test(c, measures_from_where_it_costs_least);
    tcase_add_test(c, sharpens_without_losing_a_value);
    suite_add_tcase(suite, c);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
