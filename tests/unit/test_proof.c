/* Proofs over boxes: decided by hand, and held against samples of random programs. */
#include "runtime/proof/proof.h"
#include "tests/unit/sample_nodes.h"
#include "tests/unit/sample_program.h"

#include <check.h>
#include <stdlib.h>

static struct prover r;

static uint32_t held(double low, double high)
{
    return program_input(&p, (struct input){(low + high) / 2, low, high, true, 0, false, 0}, 0);
}

static struct claim at_least(uint32_t value, uint32_t low)
{
    return (struct claim){
        .truth = node(OP_LESS_EQUAL, low, value), .margin = node(OP_SUBTRACT, value, low), .compared = {value, low}};
}

static struct proof prove_it(struct claim c, uint32_t budget)
{
    struct cone_marks marks = cone_marks_new(&arena, &p);
    r = prover_new(&arena, &p, &marks, &c);
    return prover_prove(&r, budget, PROOF_FINER);
}

/* The value at the worst point of one of the whole's inputs. */
static double worst_of(uint32_t input)
{
    for (uint32_t i = 0; i < r.cone.program.inputs.count; i++)
        if (r.cone.input[i] == input)
            return r.worst[i];
    ck_abort_msg("input %u is not in the cone", input);
}

/* ---- decided by hand --------------------------------------------------------------------------------------------- */

/* A band has a worst corner at either end: the one nearer to its end counts, and it is met whether it is broken or not. */
START_TEST(meets_the_least_of_a_band)
{
    uint32_t x = held(1, 2), y = held(-0.5, 0.5), at = node(OP_ADD, x, y), low = number(0), high = number(2.25);
    struct claim c = {.truth = node(OP_AND, node(OP_LESS_EQUAL, low, at), node(OP_LESS_EQUAL, at, high)),
                      .compared = {at, low, high, at}};
    const uint32_t sides[] = {node(OP_SUBTRACT, at, low), node(OP_SUBTRACT, high, at)};
    c.margin = program_call(&p, FUNCTION_min, sides, 2, 0);
    prove_it(c, 50);
    ck_assert(prover_least_met(&r) == -0.25);
    ck_assert(worst_of(0) == 2 && worst_of(1) == 0.5);
}
END_TEST

START_TEST(proves_what_holds_everywhere)
{
    uint32_t x = held(1, 2), y = held(3, 5);
    struct proof proof = prove_it(at_least(node(OP_MULTIPLY, x, y), number(2.5)), PROOF_BUDGET);
    ck_assert_int_eq(proof.state, PROOF_HOLDS);
    ck_assert_double_eq_tol(proof.least, 0.5, 1e-12);
    ck_assert_double_eq_tol(proof.attained, 0.5, 1e-12);
    ck_assert_uint_eq(proof.boxes, 1);
}
END_TEST

/* x - x is 0 however wide x is: only the slope, or cutting, knows. */
START_TEST(knows_what_cancels)
{
    uint32_t x = held(-1e3, 1e3), square = node(OP_MULTIPLY, x, x), rest = node(OP_SUBTRACT, square, x);
    struct proof proof = prove_it(at_least(rest, number(-0.26)), PROOF_BUDGET); /* x^2 - x >= -1/4 */
    ck_assert_int_eq(proof.state, PROOF_HOLDS);
    ck_assert_double_le(proof.least, 0.01 + 1e-12);
    ck_assert_double_ge(proof.least, -1e-9);
}
END_TEST

/* One less than 1e20 is no double of its own, so that a negative base seemed to have no slope: at -1 the power is 1. */
START_TEST(breaks_a_huge_power_of_a_negative_base)
{
    const double exponents[] = {0x1p53 + 2, 0x1p54, 1e20, 1e300};
    for (int i = 0; i < 4; i++) {
        struct claim c = at_least(number(0.5), node(OP_POWER, held(-1, 0), number(exponents[i])));
        ck_assert_int_eq(prove_it(c, PROOF_BUDGET).state, PROOF_BROKEN);
    }
}
END_TEST

START_TEST(breaks_where_one_corner_is_beyond)
{
    uint32_t x = held(1, 2), y = held(3, 5), idle = held(0, 9);
    struct claim c = at_least(node(OP_SUBTRACT, y, x), node(OP_ADD, number(1.5), node(OP_MULTIPLY, idle, number(0))));
    struct proof proof = prove_it(c, PROOF_BUDGET);
    ck_assert_int_eq(proof.state, PROOF_BROKEN);
    ck_assert_double_eq_tol(proof.attained, -0.5, 1e-12);
    prover_simplify(&r);
    ck_assert_double_eq(worst_of(0), 2);
    ck_assert_double_eq(worst_of(1), 3);
    ck_assert_double_eq(worst_of(2), 4.5); /* not needed to break it */
}
END_TEST

/* Either alone would do: the one that moves the margin least goes back to what is stated. */
START_TEST(names_no_more_than_breaks_it)
{
    uint32_t x = held(-1, 1), y = held(-3, 3);
    struct proof proof = prove_it(at_least(node(OP_ADD, x, y), number(-0.9)), PROOF_BUDGET);
    ck_assert_int_eq(proof.state, PROOF_BROKEN);
    prover_simplify(&r);
    ck_assert_double_eq(worst_of(0), 0);
    ck_assert_double_eq(worst_of(1), -3);
}
END_TEST

START_TEST(forgives_rounding_but_not_when_strict)
{
    uint32_t x = held(1, 2), third = node(OP_DIVIDE, x, number(3)), again = node(OP_MULTIPLY, third, number(3));
    struct claim c = at_least(again, x);
    ck_assert_int_eq(prove_it(c, PROOF_BUDGET).state, PROOF_HOLDS);
    c.truth = node(OP_LESS, x, again);
    c.strict = true;
    ck_assert_int_eq(prove_it(c, PROOF_BUDGET).state, PROOF_BROKEN);
}
END_TEST

START_TEST(claims_nothing_where_the_condition_is_false)
{
    uint32_t x = held(-1, 1), y = held(0, 1);
    struct claim c = at_least(x, number(0.25));
    c.when = node(OP_LESS, number(0.5), x);
    ck_assert_int_eq(prove_it(c, PROOF_BUDGET).state, PROOF_HOLDS);
    c.when = node(OP_LESS, number(2), y);
    ck_assert_int_eq(prove_it(c, PROOF_BUDGET).state, PROOF_IDLE);
    c.when = node(OP_LESS, number(0), x);
    ck_assert_int_eq(prove_it(c, PROOF_BUDGET).state, PROOF_BROKEN);
}
END_TEST

/* Where the margin is least the condition is false, and where it is true the margin is still broken: the lowest face of a
 * box says nothing as long as the condition is not true all over the box. */
/* It holds everywhere; where the margin is least the condition is false, so the least that is told lies elsewhere. */
START_TEST(tells_the_least_margin_of_where_the_condition_is_true)
{
    uint32_t x = held(0, 10), y = held(0, 1);
    struct claim c = at_least(node(OP_ADD, x, y), number(-1));
    c.when = node(OP_LESS, number(4.5), x);
    struct proof proof = prove_it(c, PROOF_BUDGET);
    ck_assert_int_eq(proof.state, PROOF_HOLDS);
    ck_assert_double_le(proof.least, 5.5);
    ck_assert_double_ge(proof.least, 4.5);
}
END_TEST

/* Inside the box, where no corner and no middle lies. */
START_TEST(a_margin_that_is_used_up_inside_is_not_proved)
{
    uint32_t x = held(-1, 1), off = node(OP_SUBTRACT, x, number(0.3)), square = node(OP_POWER, off, number(2));
    struct claim less = {.truth = node(OP_LESS, number(0), square), .margin = square, .compared = {square, number(0)}};
    less.strict = true;
    ck_assert_int_ne(prove_it(less, PROOF_BUDGET).state, PROOF_HOLDS);
    struct claim c = at_least(node(OP_ADD, square, number(1)), number(1.0005));
    ck_assert_int_ne(prove_it(c, PROOF_BUDGET).state, PROOF_HOLDS);
    ck_assert_int_ne(prove_it(c, 1).state, PROOF_HOLDS); /* without a look at many points */
}
END_TEST

START_TEST(a_condition_without_a_value_proves_nothing)
{
    uint32_t x = held(-1, 2); /* neither its middle nor the corner where the margin is least */
    struct claim c = at_least(node(OP_NEGATE, x, 0), number(-3));
    c.when = node(OP_LESS, call(FUNCTION_ln, x), number(9));
    ck_assert_int_eq(prove_it(c, PROOF_BUDGET).state, PROOF_OPEN);
}
END_TEST

START_TEST(looks_beyond_a_lowest_face_where_the_condition_is_false)
{
    uint32_t x = held(0, 10), y = held(0, 1);
    struct claim c = at_least(node(OP_ADD, x, y), number(7));
    c.when = node(OP_LESS, number(5.5), x);
    ck_assert_int_eq(prove_it(c, PROOF_BUDGET).state, PROOF_BROKEN);
    ck_assert_double_gt(worst_of(0), 5.5);
    ck_assert_double_lt(worst_of(0), 7);
}
END_TEST

START_TEST(proves_truths_without_a_margin)
{
    uint32_t x = held(0, 1), y = held(0, 1);
    uint32_t both = node(OP_OR, node(OP_LESS_EQUAL, x, number(0.6)), node(OP_LESS_EQUAL, number(0.4), x));
    ck_assert_int_eq(prove_it((struct claim){.truth = both}, PROOF_BUDGET).state, PROOF_HOLDS);
    uint32_t never = node(OP_AND, node(OP_LESS, x, number(0.6)), node(OP_LESS, y, number(0.9)));
    ck_assert_int_eq(prove_it((struct claim){.truth = never}, PROOF_BUDGET).state, PROOF_BROKEN);
}
END_TEST

START_TEST(says_what_has_no_value)
{
    static const double at[] = {10, 20}, heights[] = {1, 2};
    uint32_t curve = program_curve(&p, (struct curve){.x_count = 2, .x = at, .z = heights});
    uint32_t x = held(15, 21), read = program_node(&p, OP_CURVE, curve, x, 0, 0);
    struct proof proof = prove_it(at_least(read, number(0)), PROOF_BUDGET);
    ck_assert_int_eq(proof.state, PROOF_OPEN);
    ck_assert_uint_eq(proof.culprit, read);
    ck_assert_int_eq(proof.fault, EVAL_ABOVE_RANGE);
}
END_TEST

/* The divisor touches zero in one point of a continuum: no box around it is ever good. */
START_TEST(gives_up_within_its_budget)
{
    uint32_t x = held(-1, 2), y = held(-1.5, 1), gap = node(OP_ADD, node(OP_MULTIPLY, x, x), node(OP_MULTIPLY, y, y));
    struct proof proof = prove_it(at_least(node(OP_DIVIDE, number(1), gap), number(0)), 50);
    ck_assert_int_eq(proof.state, PROOF_OPEN);
    ck_assert_int_eq(proof.fault, EVAL_DIVIDE_BY_ZERO);
    ck_assert_uint_le(proof.boxes, 51);
}
END_TEST

START_TEST(thirty_inputs_finish)
{
    uint32_t sum = number(0);
    for (int i = 0; i < 30; i++) {
        uint32_t x = held(-1, 1 + 0.1 * i);
        sum = node(OP_ADD, sum, node(OP_SUBTRACT, node(OP_MULTIPLY, x, x), node(OP_DIVIDE, x, number(1 + i))));
    }
    ck_assert_int_eq(prove_it(at_least(sum, number(-120)), PROOF_BUDGET).state, PROOF_HOLDS);
    struct proof proof = prove_it(at_least(sum, number(-0.5)), PROOF_BUDGET); /* it is, but in thirty directions */
    ck_assert_int_eq(proof.state, PROOF_OPEN);
    ck_assert_uint_eq(proof.culprit, 0);
    ck_assert_uint_le(proof.boxes, PROOF_BUDGET + 1);
}
END_TEST

START_TEST(no_tolerance_is_a_point)
{
    uint32_t x = held(3, 3);
    ck_assert_int_eq(prove_it(at_least(x, number(3)), PROOF_BUDGET).state, PROOF_HOLDS);
    ck_assert_int_eq(prove_it(at_least(x, number(4)), PROOF_BUDGET).state, PROOF_BROKEN);
}
END_TEST

/* ---- cones ------------------------------------------------------------------------------------------------------- */

START_TEST(a_cone_means_the_same)
{
    srand(40);
    for (int round = 0; round < 300; round++) {
        end();
        begin();
        random_program(&p, &arena, false);
        struct cone_marks marks = cone_marks_new(&arena, &p);
        double *point = random_point(&arena, &p);
        struct evaluation whole = evaluate_nominal(&arena, &p, point);
        for (int k = 0; k < 4; k++) {
            uint32_t root = 1 + (uint32_t)rand() % (p.nodes.count - 1), own = root;
            struct cone c = cone_of(&arena, &p, &marks, &own, 1);
            double *inputs = ARENA_ARRAY(&arena, c.program.inputs.count, double);
            for (uint32_t i = 0; i < c.program.inputs.count; i++)
                inputs[i] = point[c.input[i]];
            struct evaluation part = evaluate_nominal(&arena, &c.program, inputs);
            ck_assert_uint_eq(c.node[own], root);
            ck_assert_uint_le(c.program.nodes.count, p.nodes.count);
            for (uint32_t i = 1; i < c.program.nodes.count; i++) {
                double a = part.value[i], b = whole.value[c.node[i]];
                ck_assert_msg(a == b || (isnan(a) && isnan(b)), "round %d node %u: %g for %g", round, c.node[i], a, b);
            }
        }
    }
}
END_TEST

/* ---- random programs --------------------------------------------------------------------------------------------- */

/* Samples of the box, corners among them, as the whole program sees them: 1 broken, 0 good, -1 undefined. */
static int sample(const struct claim *c, const double *point)
{
    struct evaluation e = evaluate_nominal(&arena, &p, point);
    if (c->when && e.culprit[c->when])
        return -1;
    if (c->when && e.value[c->when] == 0)
        return 0;
    return e.culprit[c->truth] ? -1 : e.value[c->truth] == 0;
}

/* A claim about some node of a random program, that it stays near what it is as stated. */
static struct claim random_claim(void)
{
    uint32_t last = p.nodes.count - 1 - (uint32_t)rand() % 20;
    while (last > 1 && (p.nodes.at[last].op >= OP_LESS && p.nodes.at[last].op <= OP_NOT))
        last--;
    double stated = evaluate_nominal(&arena, &p, NULL).value[last];
    struct claim c = at_least(last, number(isnan(stated) ? 0 : stated - random_between(0, 2)));
    if (rand() % 3 == 0)
        c.when = node(OP_LESS, number(random_between(-2, 2)), 5);
    return c;
}

START_TEST(agrees_with_samples)
{
    uint32_t counts[4] = {0};
    srand(77 + (unsigned)_i);
    for (int round = 0; round < 60; round++) {
        end();
        begin();
        random_program(&p, &arena, false);
        for (uint32_t i = 0; i < p.inputs.count; i++)
            p.inputs.at[i].unknown = false;
        struct claim c = random_claim();
        struct proof proof = prove_it(c, 100);
        counts[proof.state]++;
        if (proof.state == PROOF_BROKEN || proof.met) {
            double *point = ARENA_ARRAY(&arena, p.inputs.count, double);
            for (uint32_t i = 0; i < p.inputs.count; i++)
                point[i] = p.inputs.at[i].nominal;
            prover_simplify(&r);
            for (uint32_t i = 0; i < r.cone.program.inputs.count; i++)
                point[r.cone.input[i]] = r.worst[i];
            ck_assert_int_ne(sample(&c, point), 0);
        }
        for (int k = 0; k < 40 && proof.state != PROOF_OPEN && proof.state != PROOF_BROKEN; k++) {
            const double *point = random_point(&arena, &p);
            ck_assert_int_eq(sample(&c, point), 0);
            struct evaluation e = evaluate_nominal(&arena, &p, point);
            if (proof.state == PROOF_HOLDS && !isnan(proof.least) && (!c.when || e.value[c.when] != 0))
                ck_assert_double_ge(e.value[c.margin], proof.least - 1e-9 * fmax(1, fabs(e.value[c.compared[0]])));
        }
    }
    for (int state = 0; state < 4; state++)
        ck_assert_msg(counts[state] > 0, "state %d never came up", state);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("proof");
    TCase *c = tcase_create("proof");
    tcase_add_checked_fixture(c, begin, end);
    tcase_set_timeout(c, 60);
    tcase_add_test(c, meets_the_least_of_a_band);
    tcase_add_test(c, proves_what_holds_everywhere);
    tcase_add_test(c, knows_what_cancels);
    tcase_add_test(c, breaks_a_huge_power_of_a_negative_base);
    tcase_add_test(c, breaks_where_one_corner_is_beyond);
    tcase_add_test(c, names_no_more_than_breaks_it);
    tcase_add_test(c, forgives_rounding_but_not_when_strict);
    tcase_add_test(c, claims_nothing_where_the_condition_is_false);
    tcase_add_test(c, tells_the_least_margin_of_where_the_condition_is_true);
    tcase_add_test(c, a_margin_that_is_used_up_inside_is_not_proved);
    tcase_add_test(c, a_condition_without_a_value_proves_nothing);
    tcase_add_test(c, looks_beyond_a_lowest_face_where_the_condition_is_false);
    tcase_add_test(c, proves_truths_without_a_margin);
    tcase_add_test(c, says_what_has_no_value);
    tcase_add_test(c, gives_up_within_its_budget);
    tcase_add_test(c, thirty_inputs_finish);
    tcase_add_test(c, no_tolerance_is_a_point);
    tcase_add_test(c, a_cone_means_the_same);
    tcase_add_loop_test(c, agrees_with_samples, 0, 5);
    suite_add_tcase(suite, c);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
