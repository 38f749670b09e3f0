/* The interval evaluator: what it must decide and what it must not by hand; soundness on random programs and random
 * sheets, sampled with the nominal evaluator; and how sharp it is where a bound is known to be exact. */
#include "runtime/evaluate/evaluate_interval.h"

#include "tests/unit/sample_nodes.h"
#include "tests/unit/sample_program.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>

static struct interval_evaluation e;

static uint32_t held(double low, double high)
{
    return program_input(&p, (struct input){(low + high) / 2, low, high, true, 0, false, 0}, 0);
}

static void evaluate_both(void)
{
    e = interval_evaluation_new(&arena, &p);
    evaluate_interval(&e, &p, interval_inputs(&arena, &p), NULL);
}

/* At least low..high, and no more than rounding wider. */
static void has_range(uint32_t n, double low, double high)
{
    double slack = 1e-13 * (fabs(low) + fabs(high));
    struct interval v = e.value[n];
    ck_assert_uint_eq(e.culprit[n], 0);
    ck_assert_msg(v.low <= low && v.low >= low - slack && v.high >= high && v.high <= high + slack,
                  "node %u: [%.17g, %.17g] instead of [%.17g, %.17g]", n, v.low, v.high, low, high);
}

static void is_culprit(uint32_t n, enum eval_fault fault, double low, double high)
{
    ck_assert(interval_is_empty(e.value[n]));
    ck_assert_uint_eq(e.culprit[n], n);
    ck_assert_int_eq(e.fault[n], fault);
    ck_assert_msg(e.offending[n].low == low && e.offending[n].high == high, "node %u: offending [%g, %g]", n,
                  e.offending[n].low, e.offending[n].high);
}

static void suffers_from(uint32_t n, uint32_t culprit)
{
    ck_assert(interval_is_empty(e.value[n]));
    ck_assert_uint_eq(e.culprit[n], culprit);
    ck_assert_int_eq(e.fault[n], EVAL_OK); /* none of its own */
}

/* ---- decided ----------------------------------------------------------------------------------------------------- */

START_TEST(does_each_operation)
{
    uint32_t a = held(1, 2), b = held(-3, 4), c = held(2, 5), two = number(2);
    uint32_t sum = node(OP_ADD, a, b), difference = node(OP_SUBTRACT, a, b), product = node(OP_MULTIPLY, a, b);
    uint32_t quotient = node(OP_DIVIDE, b, c), square = node(OP_POWER, b, two), minus = node(OP_NEGATE, b, 0);
    evaluate_both();
    has_range(sum, -2, 6);
    has_range(difference, -3, 5);
    has_range(product, -6, 8);
    has_range(quotient, -1.5, 2);
    has_range(square, 0, 16);
    has_range(minus, -4, 3);
}
END_TEST

START_TEST(holds_only_what_is_held)
{
    uint32_t exact = program_input(&p, (struct input){3, 1, 5, false, 0, false, 0}, 0), wide = held(1, 5);
    evaluate_both();
    has_range(exact, 3, 3);
    has_range(wide, 1, 5);
}
END_TEST

START_TEST(nominal_is_a_point_but_for_the_unknown)
{
    uint32_t x = held(2, 4), u = held(1, 9), product = node(OP_MULTIPLY, x, u);
    uint32_t fixed = node(OP_NOMINAL, product, 0), size = node(OP_NOMINAL, x, 0);
    p.inputs.at[1].unknown = true;
    evaluate_both();
    has_range(size, 3, 3);
    has_range(fixed, 3, 27);
    struct interval box[] = {{2, 4}, {5, 6}};
    evaluate_interval(&e, &p, box, NULL);
    has_range(fixed, 15, 18);
}
END_TEST

START_TEST(decides_truths)
{
    uint32_t low = held(0, 1), high = held(2, 3), cross = held(0.5, 2.5);
    uint32_t yes = node(OP_LESS, low, high), no = node(OP_LESS, high, low), open = node(OP_LESS, low, cross);
    uint32_t open_and_no = node(OP_AND, open, no), open_or_yes = node(OP_OR, open, yes);
    uint32_t open_and_yes = node(OP_AND, open, yes), open_or_no = node(OP_OR, open, no),
             not_open = node(OP_NOT, open, 0);
    uint32_t not_yes = node(OP_NOT, yes, 0), never_equal = node(OP_EQUAL, low, high);
    evaluate_both();
    has_range(yes, 1, 1);
    has_range(no, 0, 0);
    has_range(open, 0, 1);
    has_range(open_and_no, 0, 0);
    has_range(open_or_yes, 1, 1);
    has_range(open_and_yes, 0, 1);
    has_range(open_or_no, 0, 1);
    has_range(not_open, 0, 1);
    has_range(not_yes, 0, 0);
    has_range(never_equal, 0, 0);
}
END_TEST

START_TEST(selects_one_side_or_the_hull)
{
    uint32_t x = held(0, 2), one = number(1), three = number(3), a = held(10, 11), b = held(20, 22);
    uint32_t open = chosen(node(OP_LESS, x, one), a, b), sure = chosen(node(OP_LESS, x, three), a, b);
    uint32_t other = chosen(node(OP_LESS, three, x), a, b);
    evaluate_both();
    has_range(open, 10, 22);
    has_range(sure, 10, 11);
    has_range(other, 20, 22);
}
END_TEST

static const double knots[] = {0, 10, 20, 30}, heights[] = {0, 100, 20, 20};

START_TEST(sees_kinks_inside)
{
    uint32_t c = program_curve(&p, (struct curve){.x_count = 4, .x = knots, .z = heights});
    uint32_t across_top = program_node(&p, OP_CURVE, c, held(5, 12), 0, 0);
    uint32_t in_piece = program_node(&p, OP_CURVE, c, held(12, 15), 0, 0);
    uint32_t at_knots = program_node(&p, OP_CURVE, c, held(10, 20), 0, 0);
    uint32_t flat = program_node(&p, OP_CURVE, c, held(20, 30), 0, 0);
    uint32_t whole = program_node(&p, OP_CURVE, c, held(0, 30), 0, 0);
    uint32_t point = program_node(&p, OP_CURVE, c, number(10), 0, 0);
    evaluate_both();
    has_range(across_top, 50, 100);
    has_range(in_piece, 60, 84);
    has_range(at_knots, 20, 100);
    has_range(flat, 20, 20);
    has_range(whole, 0, 100);
    has_range(point, 100, 100);
}
END_TEST

START_TEST(finds_extremes_of_grids_at_corners_of_the_covered_part)
{
    static const double x[] = {0, 1, 2}, y[] = {0, 1}, z[] = {0, 1, 1, 0, 5, 5}; /* a saddle, then a slope */
    uint32_t c = program_curve(&p, (struct curve){3, 2, x, y, z, 0});
    uint32_t saddle = program_node(&p, OP_CURVE, c, held(0.25, 0.75), held(0, 0.5), 0);
    uint32_t both = program_node(&p, OP_CURVE, c, held(0.5, 1.5), held(0, 1), 0);
    uint32_t point = program_node(&p, OP_CURVE, c, number(1), number(1), 0);
    evaluate_both();
    has_range(saddle, 0.25, 0.75);
    has_range(both, 0, 3);
    has_range(point, 0, 0);
}
END_TEST

START_TEST(rounds_to_all_multiples_in_reach)
{
    uint32_t step = number(0.5), x = held(1.1, 1.9), exact[] = {number(1.1), number(0.1)};
    uint32_t near = program_call(&p, FUNCTION_round, (uint32_t[]){x, step}, 2, 0);
    uint32_t up = program_call(&p, FUNCTION_ceil, (uint32_t[]){x, step}, 2, 0);
    uint32_t same = program_call(&p, FUNCTION_ceil, exact, 2, 0);
    uint32_t loose = program_call(&p, FUNCTION_round, (uint32_t[]){number(100), held(1, 2)}, 2, 0);
    evaluate_both();
    has_range(near, 1, 2);
    has_range(up, 1.5, 2);
    has_range(same, 1.1, 1.1);
    ck_assert(e.value[loose].low > 98.9 && e.value[loose].high < 101.1);
}
END_TEST

START_TEST(has_an_enclosure_for_each_function)
{
    for (uint32_t f = 0; f < FUNCTION_COUNT; f++)
        ck_assert_msg(enclosure_table[f] != NULL, "%s has none", function_table[f].name);
}
END_TEST

/* ---- not decided ------------------------------------------------------------------------------------------------- */

START_TEST(says_why_it_does_not_decide)
{
    uint32_t c = program_curve(&p, (struct curve){.x_count = 4, .x = knots, .z = heights});
    uint32_t x = held(-1, 4), one = number(1), half = number(0.5), minus = number(-1), far = held(25, 31);
    uint32_t divided = node(OP_DIVIDE, one, x), at_end = node(OP_DIVIDE, one, held(0, 1));
    uint32_t root = call(FUNCTION_sqrt, x), power = node(OP_POWER, x, half), inverse = node(OP_POWER, x, minus);
    uint32_t log = call(FUNCTION_ln, x), below = program_node(&p, OP_CURVE, c, x, 0, 0);
    uint32_t above = program_node(&p, OP_CURVE, c, far, 0, 0), tangent = call(FUNCTION_tan, held(1, 2));
    uint32_t nothing = node(OP_DIVIDE, number(0), held(0, 1));
    uint32_t huge = call(FUNCTION_exp, held(0, 1000));
    uint32_t within = program_call(&p, FUNCTION_inside, (uint32_t[]){x, number(0), number(9)}, 3, 0);
    evaluate_both();
    is_culprit(divided, EVAL_DIVIDE_BY_ZERO, -1, 4);
    is_culprit(at_end, EVAL_DIVIDE_BY_ZERO, 0, 1);
    is_culprit(nothing, EVAL_DIVIDE_BY_ZERO, 0, 1);
    is_culprit(root, EVAL_NEGATIVE_ROOT, -1, 4);
    is_culprit(power, EVAL_NEGATIVE_ROOT, -1, 4);
    is_culprit(inverse, EVAL_DIVIDE_BY_ZERO, -1, 4);
    is_culprit(log, EVAL_NOT_POSITIVE, -1, 4);
    is_culprit(below, EVAL_BELOW_RANGE, -1, 4);
    is_culprit(above, EVAL_ABOVE_RANGE, 25, 31);
    is_culprit(tangent, EVAL_OVERFLOW, 1, 2);
    is_culprit(huge, EVAL_OVERFLOW, 0, 1000);
    is_culprit(within, EVAL_BELOW_RANGE, -1, 4);
}
END_TEST

START_TEST(names_the_culprit_down_the_line)
{
    uint32_t x = held(-1, 1), one = number(1), broken = node(OP_DIVIDE, one, x), other = call(FUNCTION_ln, x);
    uint32_t sum = node(OP_ADD, one, broken), both = node(OP_MULTIPLY, other, broken), less = node(OP_LESS, one, sum);
    uint32_t least = program_call(&p, FUNCTION_min, (uint32_t[]){one, broken}, 2, 0), sound = node(OP_ADD, one, x);
    evaluate_both();
    suffers_from(sum, broken);
    suffers_from(both, other);
    suffers_from(less, broken);
    suffers_from(least, broken);
    has_range(sound, 0, 2);
}
END_TEST

/* Of a curve over two inputs each of the two may have no value, and so may each argument of a call. */
START_TEST(names_the_culprit_behind_a_curve_or_a_call)
{
    static const double x[] = {0, 1, 2}, y[] = {0, 1}, z[] = {0, 1, 1, 0, 5, 5};
    uint32_t c = program_curve(&p, (struct curve){3, 2, x, y, z, 0}), good = held(0.25, 0.75);
    uint32_t broken = node(OP_DIVIDE, number(1), held(-1, 1));
    uint32_t first = program_node(&p, OP_CURVE, c, broken, good, 0);
    uint32_t second = program_node(&p, OP_CURVE, c, good, broken, 0);
    uint32_t left = program_call(&p, FUNCTION_max, (uint32_t[]){broken, good}, 2, 0);
    uint32_t right = program_call(&p, FUNCTION_max, (uint32_t[]){good, broken}, 2, 0);
    evaluate_both();
    suffers_from(first, broken);
    suffers_from(second, broken);
    suffers_from(left, broken);
    suffers_from(right, broken);
}
END_TEST

START_TEST(needs_both_sides_only_when_the_condition_is_open)
{
    uint32_t x = held(-1, 4), zero = number(0), minus = number(-2), root = call(FUNCTION_sqrt, x);
    uint32_t open = node(OP_LESS, zero, x), sure = node(OP_LESS, x, minus), broken = node(OP_LESS, root, zero);
    uint32_t undecided = chosen(open, root, zero), decided = chosen(sure, root, zero),
             late = chosen(broken, zero, zero);
    uint32_t unread = node(OP_AND, sure, broken), read = node(OP_AND, open, broken), either = node(OP_OR, open, broken);
    evaluate_both();
    suffers_from(undecided, root);
    has_range(decided, 0, 0);
    suffers_from(late, root);
    has_range(unread, 0, 0);
    suffers_from(read, root);
    suffers_from(either, root);
}
END_TEST

START_TEST(refuses_boxes_that_are_none)
{
    uint32_t x = held(0, 1), y = held(0, 1), z = held(0, 1), sum = node(OP_ADD, x, y);
    const struct interval box[] = {{2, 1}, {NAN, NAN}, {0, INFINITY}};
    e = interval_evaluation_new(&arena, &p);
    evaluate_interval(&e, &p, box, NULL);
    ck_assert_uint_eq(e.culprit[x], x);
    ck_assert_uint_eq(e.culprit[y], y);
    ck_assert_int_eq(e.fault[z], EVAL_OVERFLOW);
    suffers_from(sum, x);
}
END_TEST

START_TEST(evaluates_only_what_is_wanted_and_anew_each_time)
{
    uint32_t x = held(-1, 4), y = held(1, 2), root = call(FUNCTION_sqrt, x), twice = node(OP_ADD, root, root);
    uint32_t aside = node(OP_ADD, y, y);
    bool *wanted = ARENA_ARRAY(&arena, p.nodes.count, bool);
    program_needs(&p, twice, wanted);
    ck_assert(wanted[x] && wanted[root] && wanted[twice] && !wanted[y] && !wanted[aside]);
    evaluate_both();
    suffers_from(twice, root);
    evaluate_interval(&e, &p, (const struct interval[]){{4, 9}, {5, 5}}, wanted);
    has_range(twice, 4, 6);
    has_range(aside, 2, 4); /* as it was */
}
END_TEST

/* A count of steps, or a difference of two arguments, that is too large for a double has no value. */
START_TEST(has_no_value_where_a_step_overflows)
{
    uint32_t tiny[] = {held(1, 2), held(1e-309, 0.1)}, huge[] = {held(-1.7e308, 0), held(0, 1.7e308)};
    uint32_t rounded = program_call(&p, FUNCTION_round, tiny, 2, 0), up = program_call(&p, FUNCTION_ceil, tiny, 2, 0);
    uint32_t mean = program_call(&p, FUNCTION_mean, huge, 2, 0);
    evaluate_both();
    ck_assert(e.culprit[rounded] == rounded && e.fault[rounded] == EVAL_OVERFLOW);
    ck_assert(e.culprit[up] == up && e.fault[up] == EVAL_OVERFLOW);
    ck_assert(e.culprit[mean] == mean && e.fault[mean] == EVAL_OVERFLOW);
}
END_TEST

/* One node after another is asked for: what goes into it is as a run of all nodes has it. */
START_TEST(evaluates_toward_a_node_as_a_whole_run_does)
{
    srand(660);
    for (int round = 0; round < 200; round++) {
        end();
        arena_init(&arena, NULL);
        random_program(&p, &arena, round % 2);
        struct interval *box = interval_inputs(&arena, &p);
        struct interval_evaluation toward = interval_evaluation_new(&arena, &p);
        for (int piece = 0; piece < 8; piece++) {
            uint32_t input = (uint32_t)rand() % p.inputs.count, node = 1 + (uint32_t)rand() % (p.nodes.count - 1);
            bool *wanted = ARENA_ARRAY(&arena, p.nodes.count, bool);
            program_needs(&p, node, wanted);
            *(rand() % 2 ? &box[input].low : &box[input].high) =
                box[input].low + (box[input].high - box[input].low) / 2;
            e = interval_evaluation_new(&arena, &p);
            evaluate_interval(&e, &p, box, NULL);
            evaluate_interval_toward(&toward, &p, box, node);
            for (uint32_t i = 1; i < p.nodes.count; i++) {
                if (!wanted[i])
                    continue;
                ck_assert_uint_eq(toward.culprit[i], e.culprit[i]);
                ck_assert_uint_eq(toward.fault[i], e.fault[i]);
                ck_assert(e.culprit[i] ||
                          (toward.value[i].low == e.value[i].low && toward.value[i].high == e.value[i].high));
            }
        }
    }
}
END_TEST

/* A node is given a value, and what follows from it is evaluated: the others keep what they hold. */
START_TEST(evaluates_a_list_from_what_the_others_hold)
{
    uint32_t x = held(1, 2), y = held(3, 4), sum = node(OP_ADD, x, y), twice = node(OP_ADD, sum, sum);
    uint32_t aside = node(OP_MULTIPLY, x, x);
    evaluate_both();
    e.value[sum] = interval_of(10, 11);
    evaluate_interval_nodes(&e, &p, interval_inputs(&arena, &p), (const uint32_t[]){twice}, 1);
    has_range(twice, 20, 22);
    has_range(aside, 1, 4);
}
END_TEST

/* ---- soundness on random programs -------------------------------------------------------------------------------- */

/* Every node decided over the box has a value at the point, and in its interval. */
static uint32_t check_point(const double *point)
{
    struct evaluation nominal = evaluate_nominal(&arena, &p, point);
    uint32_t decided = 0;
    for (uint32_t i = 1; i < p.nodes.count; i++) {
        if (e.culprit[i])
            continue;
        decided++;
        ck_assert_msg(nominal.culprit[i] == 0 && interval_contains(e.value[i], nominal.value[i]),
                      "node %u, op %d function %u: %.17g (fault %d) beside [%.17g, %.17g]", i, p.nodes.at[i].op,
                      p.nodes.at[i].a, nominal.value[i], nominal.fault[nominal.culprit[i]], e.value[i].low,
                      e.value[i].high);
    }
    return decided;
}

START_TEST(holds_every_value_of_random_programs)
{
    srand(100 + _i);
    uint32_t decided = 0, all = 0;
    for (int round = 0; round < 300; round++) {
        end();
        arena_init(&arena, NULL);
        random_program(&p, &arena, false);
        evaluate_both();
        for (int k = 0; k < 40; k++) {
            decided += check_point(random_point(&arena, &p));
            all += p.nodes.count - 1;
        }
    }
    ck_assert_msg(decided > all / 2, "%u of %u were decided", decided, all); /* else little was tested */
    ck_assert_uint_lt(decided, all);
}
END_TEST

/* A box of one point: the interval is that value and no more than rounding. Only nodes of a few steps, since rounding
 * grows where a value is a small difference of large ones. */
START_TEST(is_narrow_on_points)
{
    srand(200);
    uint32_t narrow = 0;
    for (int round = 0; round < 500; round++) {
        end();
        arena_init(&arena, NULL);
        random_program(&p, &arena, true);
        double *point = random_point(&arena, &p);
        struct interval *box = interval_inputs(&arena, &p);
        for (uint32_t i = 0; i < p.inputs.count; i++)
            box[i] = interval_point(point[i]);
        e = interval_evaluation_new(&arena, &p);
        evaluate_interval(&e, &p, box, NULL);
        check_point(point);
        for (uint32_t i = 1; i < p.nodes.count && i < 20; i++)
            if (!e.culprit[i]) {
                double size = fmax(1, fabs(e.value[i].low));
                ck_assert_msg(e.value[i].high - e.value[i].low < 1e-9 * size * size, "node %u: [%.17g, %.17g]", i,
                              e.value[i].low, e.value[i].high);
                narrow++;
            }
    }
    ck_assert_uint_gt(narrow, 5000);
}
END_TEST

/* ---- heat -------------------------------------------------------------------------------------------------------- */

static const uint32_t heat[] = {FUNCTION_slab_at,  FUNCTION_slab_mean,     FUNCTION_slab_time,   FUNCTION_air_after,
                                FUNCTION_air_time, FUNCTION_contact_after, FUNCTION_contact_time};
enum { HEAT = sizeof heat / sizeof heat[0] };

START_TEST(holds_every_value_of_random_sheets)
{
    srand(300 + _i);
    uint32_t decided = 0, rounds = 400;
    for (uint32_t round = 0; round < rounds; round++) {
        end();
        begin();
        uint32_t n = random_heat_call(&p, heat[_i], rand() % 4 ? 0.5 : 0.15, rand() % 2 ? 0.1 : 0.01);
        evaluate_both();
        decided += e.culprit[n] == 0;
        for (int k = 0; k < 60; k++)
            check_point(random_point(&arena, &p));
    }
    ck_assert_msg(decided > rounds / 3, "%u of %u were decided", decided, rounds);
}
END_TEST

/* The hull of the values at all corners of the box: of a function that goes one way in each argument, its range. */
static struct interval hull_of_corners(uint32_t n)
{
    struct interval hull = interval_empty();
    double *point = ARENA_ARRAY(&arena, p.inputs.count, double);
    for (uint32_t corner = 0; corner < 1u << p.inputs.count; corner++) {
        for (uint32_t i = 0; i < p.inputs.count; i++)
            point[i] = corner >> i & 1 ? p.inputs.at[i].high : p.inputs.at[i].low;
        struct evaluation nominal = evaluate_nominal(&arena, &p, point);
        hull = interval_hull(hull, interval_point(nominal.value[n]));
    }
    return hull;
}

START_TEST(bounds_air_exactly)
{
    srand(400);
    uint32_t decided = 0;
    for (int round = 0; round < 300; round++) {
        end();
        begin();
        uint32_t function = rand() % 2 ? FUNCTION_air_after : FUNCTION_air_time;
        uint32_t n = random_heat_call(&p, function, 0.7, 0.02);
        evaluate_both();
        if (e.culprit[n])
            continue;
        decided++;
        struct interval corners = hull_of_corners(n);
        double slack = 1e-6 * (function == FUNCTION_air_after ? 1 : corners.high);
        ck_assert_msg(e.value[n].low > corners.low - slack && e.value[n].high < corners.high + slack,
                      "[%.17g, %.17g] for [%.17g, %.17g]", e.value[n].low, e.value[n].high, corners.low, corners.high);
    }
    ck_assert_uint_gt(decided, 100);
}
END_TEST

/* Both faces the same, all but thickness and conductivity held: every direction is known, so the bounds are exact. */
START_TEST(bounds_slabs_exactly_where_directions_are_known)
{
    const double x[] = {800, 800, 500, 500, 300, 0.002, 120, 2.4e6, 2};
    for (int what = 0; what < 2; what++) {
        end();
        begin();
        uint32_t nodes[9];
        for (uint32_t i = 0; i < 9; i++) {
            double v = i == 8 && what ? 430 : x[i], half = i == 5 || i == 6 ? 0 : 0.01 * v;
            nodes[i] = program_input(&p, (struct input){v, v - half, v + half, half > 0, 0, false, 0}, 0);
        }
        uint32_t n = program_call(&p, what ? FUNCTION_slab_time : FUNCTION_slab_mean, nodes, 9, 0);
        evaluate_both();
        struct interval corners = hull_of_corners(n);
        ck_assert(corners.high - corners.low > 0.01);
        ck_assert_msg(e.value[n].low > corners.low - 1e-7 && e.value[n].high < corners.high + 1e-7,
                      "[%.17g, %.17g] for [%.17g, %.17g]", e.value[n].low, e.value[n].high, corners.low, corners.high);
    }
}
END_TEST

/* From outside the project's own series: a thin sheet follows Newton's law, so ln of the temperature ratio over the time
 * constant C d / (h0 + h1) must be met by the interval of a small box around it (Incropera, Fundamentals of Heat and Mass
 * Transfer, lumped capacitance, eq. 5.6; from memory). */
START_TEST(holds_the_lumped_sheet)
{
    const double x[] = {10, 10, 300, 300, 500, 1e-4, 1e6, 3e6, 400};
    uint32_t nodes[9];
    for (uint32_t i = 0; i < 9; i++)
        nodes[i] = held(x[i] * (i == 6 ? 1 : 0.9999999), x[i] * (i == 6 ? 1 : 1.0000001));
    uint32_t n = program_call(&p, FUNCTION_slab_time, nodes, 9, 0);
    evaluate_both();
    double want = 3e6 * 1e-4 / 20 * log(2);
    ck_assert_uint_eq(e.culprit[n], 0);
    ck_assert(interval_contains(e.value[n], want));
    ck_assert(e.value[n].high - e.value[n].low < 1e-4 * want);
}
END_TEST

START_TEST(does_not_decide_goals_that_may_be_missed)
{
    const double air[] = {500, 300, 1000, 20, 1}, slab[] = {800, 800, 500, 500, 300, 0.002, 120, 2.4e6};
    uint32_t a[6], s[9], bad[9];
    for (uint32_t i = 0; i < 8; i++) {
        if (i < 5)
            a[i] = number(air[i]);
        s[i] = bad[i] = number(slab[i]);
    }
    a[5] = held(299, 310);
    s[8] = held(450, 501);
    bad[5] = held(-0.001, 0.001);
    bad[8] = number(2);
    uint32_t in_air = program_call(&p, FUNCTION_air_time, a, 6, 0),
             in_slab = program_call(&p, FUNCTION_slab_time, s, 9, 0);
    uint32_t none = program_call(&p, FUNCTION_slab_mean, bad, 9, 0);
    evaluate_both();
    is_culprit(in_air, EVAL_NEVER_REACHED, 299, 310);
    is_culprit(in_slab, EVAL_NEVER_REACHED, 450, 501);
    ck_assert_int_eq(e.fault[none], EVAL_BAD_ARGUMENT);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("evaluate_interval");
    TCase *c = tcase_create("evaluate_interval");
    tcase_set_timeout(c, 120);
    tcase_add_checked_fixture(c, begin, end);
    tcase_add_test(c, does_each_operation);
    tcase_add_test(c, holds_only_what_is_held);
    tcase_add_test(c, nominal_is_a_point_but_for_the_unknown);
    tcase_add_test(c, decides_truths);
    tcase_add_test(c, selects_one_side_or_the_hull);
    tcase_add_test(c, sees_kinks_inside);
    tcase_add_test(c, finds_extremes_of_grids_at_corners_of_the_covered_part);
    tcase_add_test(c, rounds_to_all_multiples_in_reach);
    tcase_add_test(c, has_an_enclosure_for_each_function);
    tcase_add_test(c, says_why_it_does_not_decide);
    tcase_add_test(c, names_the_culprit_down_the_line);
    tcase_add_test(c, names_the_culprit_behind_a_curve_or_a_call);
    tcase_add_test(c, needs_both_sides_only_when_the_condition_is_open);
    tcase_add_test(c, refuses_boxes_that_are_none);
    tcase_add_test(c, evaluates_only_what_is_wanted_and_anew_each_time);
    tcase_add_test(c, has_no_value_where_a_step_overflows);
    tcase_add_test(c, evaluates_toward_a_node_as_a_whole_run_does);
    tcase_add_test(c, evaluates_a_list_from_what_the_others_hold);
    tcase_add_loop_test(c, holds_every_value_of_random_programs, 0, 6);
    tcase_add_test(c, is_narrow_on_points);
    tcase_add_loop_test(c, holds_every_value_of_random_sheets, 0, HEAT);
    tcase_add_test(c, bounds_air_exactly);
    tcase_add_test(c, bounds_slabs_exactly_where_directions_are_known);
    tcase_add_test(c, holds_the_lumped_sheet);
    tcase_add_test(c, does_not_decide_goals_that_may_be_missed);
    suite_add_tcase(suite, c);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
