/* The gradient evaluator over boxes: every difference quotient inside its interval, and ranges sharpened by direction. */
#include "tests/unit/sample_gradient.h"

#include <stdlib.h>

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
    struct interval *box = interval_inputs(&arena, &p);
    return interval_of(gradient_monotone_end(&over, &p, box, n, false), gradient_monotone_end(&over, &p, box, n, true));
}

/* The input that is fixed is the first, so its number is what stands in empty room. */
START_TEST(what_nothing_held_goes_into_has_no_row)
{
    uint32_t fixed = program_input(&p, (struct input){3, 3, 3, false, 0, false, 0}, 0), x = held(2, 1, 3);
    uint32_t apart = node(OP_MULTIPLY, fixed, fixed), moved = node(OP_MULTIPLY, fixed, x);
    run();
    ck_assert_uint_eq(over.held.count, 1);
    ck_assert_ptr_null(over.slope[fixed]);
    ck_assert_ptr_null(over.slope[apart]);
    ck_assert_ptr_nonnull(over.slope[moved]);
    ck_assert(interval_inside(interval_point(3), slope_over(moved, 0)));
}
END_TEST

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
/* The ends of a sum that is put together from its terms' ends: never inside the exact sum, which a long double holds. */
START_TEST(rounds_ends_of_sums_outward)
{
    uint32_t inexact = 0;
    srand(640);
    for (int round = 0; round < 200; round++) {
        end();
        begin();
        double add = random_between(0.1, 1);
        uint32_t x = held(0, random_between(-1, -0.5), random_between(0.5, 1)), square = node(OP_MULTIPLY, x, x);
        uint32_t sum = node(OP_ADD, square, number(add));
        run();
        const struct interval *box = interval_inputs(&arena, &p);
        for (int highest = 0; highest < 2; highest++) {
            long double exact = (long double)gradient_monotone_end(&over, &p, box, square, highest) + add;
            double got = gradient_monotone_end(&over, &p, box, sum, highest);
            ck_assert(highest ? got >= exact : got <= exact);
            inexact += got != exact;
        }
    }
    ck_assert_uint_gt(inexact, 100);
}
END_TEST

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

/* More held inputs than a word has bits: a weighted sum of them, of which every third weight is 0, times its first. */
START_TEST(holds_slopes_to_many_inputs)
{
    enum { MANY = 200 };
    uint32_t sum = 0, first = 0;
    for (uint32_t i = 0; i < MANY; i++) {
        uint32_t x = held(1, 0.5, 1.5), weight = program_constant(&p, i % 3 ? i : 0, 0);
        first = i ? first : x;
        x = program_node(&p, OP_MULTIPLY, weight, x, 0, 0);
        sum = i ? program_node(&p, OP_ADD, sum, x, 0, 0) : x;
    }
    uint32_t product = program_node(&p, OP_MULTIPLY, sum, first, 0, 0);
    run();
    for (uint32_t i = 0; i < MANY; i++) {
        double weight = i % 3 ? i : 0;
        ck_assert(slope_over(sum, i).low == weight && slope_over(sum, i).high == weight);
        if (i)
            ck_assert(same_interval(slope_over(product, i),
                                    interval_multiply(interval_point(weight), interval_of(0.5, 1.5))));
    }
}
END_TEST

/* The ends of what is a point already, or whose inputs are, are what it is. */
START_TEST(sharpens_nothing_that_is_as_sharp_as_can_be)
{
    uint32_t x = held(3, 2, 4), y = held(5, 5, 5);
    uint32_t level = program_node(&p, OP_SUBTRACT, x, x, 0, 0);
    uint32_t known = program_node(&p, OP_MULTIPLY, y, program_constant(&p, 2, 0), 0, 0);
    run();
    ck_assert(sharpened(known).low == 10 && sharpened(known).high == 10);
    ck_assert(sharpened(level).low == 0 && sharpened(level).high == 0);
    ck_assert(over.over.value[level].low == -2); /* which its own range does not know */
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
    Suite *suite = suite_create("gradient_interval");
    TCase *c = tcase_create("gradient_interval");
    tcase_set_timeout(c, 120);
    tcase_add_checked_fixture(c, begin, end);
    tcase_add_loop_test(c, holds_every_difference_quotient, 0, 4);
    tcase_add_loop_test(c, holds_every_difference_quotient_of_heat, 0, HEAT);
    tcase_add_test(c, proves_directions_of_sheets);
    tcase_add_test(c, holds_the_derivatives);
    tcase_add_test(c, what_nothing_held_goes_into_has_no_row);
    tcase_add_test(c, sharpens_what_is_monotone);
    tcase_add_test(c, sharpens_each_side_of_a_choice);
    tcase_add_test(c, knows_the_way_of_a_goal_next_to_the_start);
    tcase_add_test(c, rounds_ends_of_sums_outward);
    tcase_add_test(c, sharpens_a_choice_behind_a_sum);
    tcase_add_test(c, measures_from_where_it_costs_least);
    tcase_add_test(c, holds_slopes_to_many_inputs);
    tcase_add_test(c, sharpens_nothing_that_is_as_sharp_as_can_be);
    tcase_add_test(c, sharpens_without_losing_a_value);
    suite_add_tcase(suite, c);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
