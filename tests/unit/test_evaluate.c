/* The nominal evaluator: every operation, every fault, who is blamed, and random programs against a second evaluator
 * that works from the result backwards instead of from the first node on. */
#include "runtime/evaluate/evaluate.h"

#include "tests/unit/sample_nodes.h"

#include <check.h>
#include <float.h>
#include <math.h>
#include <stdlib.h>

static struct evaluation e;

static void evaluate_program(void)
{
    e = evaluate_nominal(&arena, &p, NULL);
}

static void has_value(uint32_t n, double want)
{
    ck_assert_msg(e.value[n] == want, "node %u: %.17g instead of %.17g", n, e.value[n], want);
    ck_assert_uint_eq(e.culprit[n], 0);
    ck_assert_uint_eq(e.fault[n], EVAL_OK);
}

static void is_culprit(uint32_t n, enum eval_fault fault, double offending)
{
    ck_assert(isnan(e.value[n]));
    ck_assert_uint_eq(e.culprit[n], n);
    ck_assert_int_eq(e.fault[n], fault);
    ck_assert_msg(e.offending[n] == offending, "node %u: offending %g instead of %g", n, e.offending[n], offending);
}

static void suffers_from(uint32_t n, uint32_t culprit)
{
    ck_assert(isnan(e.value[n]));
    ck_assert_uint_eq(e.culprit[n], culprit);
    ck_assert_uint_eq(e.fault[n], EVAL_OK);
}

/* ---- operations -------------------------------------------------------------------------------------------------- */

static const struct {
    enum op op;
    double a, b, want;
} operations[] = {
    {OP_ADD, 2, 3, 5},        {OP_SUBTRACT, 2, 3, -1}, {OP_MULTIPLY, 2, 3, 6},   {OP_DIVIDE, 3, 4, 0.75},
    {OP_POWER, 3, 2, 9},      {OP_POWER, 2, -1, 0.5},  {OP_POWER, 9, 0.5, 3},    {OP_POWER, -2, 3, -8},
    {OP_POWER, 0, 0, 1},      {OP_POWER, 0, 2, 0},     {OP_NEGATE, 3, 0, -3},    {OP_LESS, 2, 3, 1},
    {OP_LESS, 3, 2, 0},       {OP_LESS, 2, 2, 0},      {OP_LESS_EQUAL, 2, 3, 1}, {OP_LESS_EQUAL, 2, 2, 1},
    {OP_LESS_EQUAL, 3, 2, 0}, {OP_EQUAL, 2, 2, 1},     {OP_EQUAL, 2, 3, 0},      {OP_EQUAL, 0, -0.0, 1},
    {OP_AND, 1, 1, 1},        {OP_AND, 1, 0, 0},       {OP_AND, 0, 1, 0},        {OP_OR, 0, 0, 0},
    {OP_OR, 0, 1, 1},         {OP_OR, 1, 0, 1},        {OP_NOT, 1, 0, 0},        {OP_NOT, 0, 0, 1},
};

START_TEST(does_each_operation)
{
    uint32_t n = node(operations[_i].op, number(operations[_i].a), number(operations[_i].b));
    evaluate_program();
    has_value(n, operations[_i].want);
}
END_TEST

/* Rounding in the last bits decides no comparison; what is below any gauge is the same. */
START_TEST(compares_up_to_rounding)
{
    uint32_t sum = node(OP_MULTIPLY, number(3), number(0.1)), plain = number(0.3), more = number(0.3 * (1 + 1e-9));
    const uint32_t want_true[] = {node(OP_EQUAL, sum, plain), node(OP_LESS_EQUAL, sum, plain),
                                  node(OP_LESS_EQUAL, plain, sum), node(OP_LESS, sum, more),
                                  node(OP_LESS_EQUAL, sum, more)};
    const uint32_t want_false[] = {node(OP_LESS, plain, sum), node(OP_LESS, sum, plain), node(OP_EQUAL, sum, more),
                                   node(OP_LESS, more, sum), node(OP_LESS_EQUAL, more, sum)};
    evaluate_program();
    ck_assert(e.value[sum] != e.value[plain]); /* else this would test nothing */
    for (int i = 0; i < 5; i++) {
        has_value(want_true[i], 1);
        has_value(want_false[i], 0);
    }
}
END_TEST

START_TEST(selects_a_side)
{
    uint32_t yes = chosen(number(1), number(5), number(7)), no = chosen(number(0), number(5), number(7));
    evaluate_program();
    has_value(yes, 5);
    has_value(no, 7);
}
END_TEST

START_TEST(takes_inputs_from_the_program_or_the_caller)
{
    uint32_t x = program_input(&p, (struct input){.nominal = 3, .low = 2, .high = 4, .held = true}, 0);
    uint32_t y = program_input(&p, (struct input){.nominal = 5, .low = 5, .high = 5}, 0);
    uint32_t product = node(OP_MULTIPLY, x, y);
    evaluate_program();
    has_value(product, 15);
    e = evaluate_nominal(&arena, &p, (const double[]){2, 10});
    has_value(product, 20);
    evaluate_program();
    has_value(product, 15);
}
END_TEST

START_TEST(nominal_stays_when_inputs_move)
{
    uint32_t x = program_input(&p, (struct input){.nominal = 3, .low = 2, .high = 4, .held = true}, 0);
    uint32_t u = program_input(&p, (struct input){.nominal = 5, .low = 1, .high = 9, .held = true, .unknown = true}, 0);
    uint32_t product = node(OP_MULTIPLY, x, u), fixed = program_node(&p, OP_NOMINAL, product, 0, 0, 0);
    uint32_t again = program_node(&p, OP_NOMINAL, node(OP_ADD, fixed, x), 0, 0, 0);
    evaluate_program();
    has_value(fixed, 15);
    has_value(again, 18);
    e = evaluate_nominal(&arena, &p, (const double[]){2, 7});
    has_value(product, 14);
    has_value(fixed, 21); /* the held input as stated, the unknown as given */
    has_value(again, 24);
}
END_TEST

START_TEST(reads_curves)
{
    static const double x[] = {10, 20}, y[] = {0, 1}, line[] = {100, 200}, square[] = {1, 2, 3, 4};
    uint32_t one = program_curve(&p, (struct curve){.x_count = 2, .x = x, .z = line});
    uint32_t two = program_curve(&p, (struct curve){2, 2, x, y, square, 0});
    uint32_t half = number(0.5), at = number(15), low = number(9), high = number(21);
    uint32_t a = program_node(&p, OP_CURVE, one, at, 0, 0), b = program_node(&p, OP_CURVE, two, at, half, 0);
    uint32_t below = program_node(&p, OP_CURVE, one, low, 0, 0), above = program_node(&p, OP_CURVE, two, at, high, 0);
    evaluate_program();
    has_value(a, 150);
    has_value(b, 2.5);
    is_culprit(below, EVAL_BELOW_RANGE, 9);
    is_culprit(above, EVAL_ABOVE_RANGE, 21);
}
END_TEST

START_TEST(calls_with_any_number_of_arguments)
{
    enum { MANY = 100 };
    uint32_t x[MANY];
    for (int i = 0; i < MANY; i++)
        x[i] = number((i * 37) % MANY);
    uint32_t most = program_call(&p, FUNCTION_max, x, MANY, 0), least = program_call(&p, FUNCTION_min, x, MANY, 0);
    uint32_t mean = program_call(&p, FUNCTION_mean, x, MANY, 0), root = call(FUNCTION_sqrt, number(2));
    evaluate_program();
    has_value(most, 99);
    has_value(least, 0);
    ck_assert_double_eq_tol(e.value[mean], 49.5, 1e-12);
    has_value(root, sqrt(2));
}
END_TEST

/* ---- faults ------------------------------------------------------------------------------------------------------ */

static const struct {
    enum op op;
    enum eval_fault fault;
    double a, b, offending;
} faulty[] = {
    {OP_DIVIDE, EVAL_DIVIDE_BY_ZERO, 1, 0, 0},
    {OP_DIVIDE, EVAL_DIVIDE_BY_ZERO, 0, 0, 0},
    {OP_DIVIDE, EVAL_DIVIDE_BY_ZERO, -1, -0.0, 0},
    {OP_DIVIDE, EVAL_OVERFLOW, 1e300, 1e-300, 1e300},
    {OP_POWER, EVAL_DIVIDE_BY_ZERO, 0, -1, 0},
    {OP_POWER, EVAL_NEGATIVE_ROOT, -2, 0.5, -2},
    {OP_POWER, EVAL_NEGATIVE_ROOT, -8, 1.0 / 3, -8},
    {OP_POWER, EVAL_OVERFLOW, 10, 400, 10},
    {OP_POWER, EVAL_OVERFLOW, 1e200, 2, 1e200},
    {OP_ADD, EVAL_OVERFLOW, DBL_MAX, DBL_MAX, DBL_MAX},
    {OP_SUBTRACT, EVAL_OVERFLOW, -DBL_MAX, DBL_MAX, -DBL_MAX},
    {OP_MULTIPLY, EVAL_OVERFLOW, 1e200, 1e200, 1e200},
};

START_TEST(finds_each_fault)
{
    uint32_t n = node(faulty[_i].op, number(faulty[_i].a), number(faulty[_i].b));
    evaluate_program();
    is_culprit(n, faulty[_i].fault, faulty[_i].offending);
}
END_TEST

START_TEST(finds_faults_of_functions)
{
    uint32_t root = call(FUNCTION_sqrt, number(-4)), log = call(FUNCTION_ln, number(0)),
             grown = call(FUNCTION_exp, number(1e4));
    uint32_t x[] = {number(5), number(6), number(9)}, within = program_call(&p, FUNCTION_inside, x, 3, 0);
    /* A sheet at 300 K in air of 400 K never comes to 500 K: the goal is what offends. */
    uint32_t air[] = {number(300), number(400), number(1000), number(20), number(0.2), number(500)};
    uint32_t never = program_call(&p, FUNCTION_air_time, air, 6, 0);
    evaluate_program();
    is_culprit(root, EVAL_NEGATIVE_ROOT, -4);
    is_culprit(log, EVAL_NOT_POSITIVE, 0);
    is_culprit(grown, EVAL_OVERFLOW, 1e4);
    is_culprit(within, EVAL_BELOW_RANGE, 5);
    is_culprit(never, EVAL_NEVER_REACHED, 500);
}
END_TEST

START_TEST(refuses_numbers_that_are_none)
{
    uint32_t endless = number(INFINITY), none = number(NAN);
    uint32_t x = program_input(&p, (struct input){.nominal = 1, .low = 1, .high = 1}, 0);
    e = evaluate_nominal(&arena, &p, (const double[]){INFINITY});
    is_culprit(endless, EVAL_OVERFLOW, INFINITY);
    is_culprit(x, EVAL_OVERFLOW, INFINITY);
    ck_assert_uint_eq(e.culprit[none], none);
}
END_TEST

START_TEST(names_the_culprit_down_the_line)
{
    uint32_t zero = number(0), one = number(1), broken = node(OP_DIVIDE, one, zero), other = call(FUNCTION_ln, zero);
    uint32_t sum = node(OP_ADD, one, broken), late = node(OP_MULTIPLY, sum, sum), both = node(OP_ADD, other, broken);
    uint32_t compared = node(OP_LESS, broken, one), same = node(OP_EQUAL, one, broken),
             not_so = node(OP_NOT, broken, 0);
    uint32_t called = call(FUNCTION_abs, late), least = program_call(&p, FUNCTION_min, (uint32_t[]){one, broken}, 2, 0);
    uint32_t sound = node(OP_ADD, one, one);
    evaluate_program();
    is_culprit(broken, EVAL_DIVIDE_BY_ZERO, 0);
    suffers_from(sum, broken);
    suffers_from(late, broken);
    suffers_from(both, other); /* the first that is read */
    suffers_from(compared, broken);
    suffers_from(same, broken);
    suffers_from(not_so, broken);
    suffers_from(called, broken);
    suffers_from(least, broken);
    has_value(sound, 2);
}
END_TEST

START_TEST(blames_a_curve_only_for_its_own)
{
    static const double x[] = {10, 20}, z[] = {100, 200};
    uint32_t curve = program_curve(&p, (struct curve){.x_count = 2, .x = x, .z = z});
    uint32_t broken = node(OP_DIVIDE, number(1), number(0));
    uint32_t n = program_node(&p, OP_CURVE, curve, broken, 0, 0);
    evaluate_program();
    suffers_from(n, broken);
}
END_TEST

START_TEST(select_suffers_only_from_the_chosen_side)
{
    uint32_t zero = number(0), one = number(1), broken = node(OP_DIVIDE, one, zero), bad_too = call(FUNCTION_ln, zero);
    uint32_t sound = chosen(one, one, broken), unsound = chosen(zero, one, broken);
    uint32_t undecided = chosen(broken, bad_too, bad_too), other = chosen(one, bad_too, broken);
    evaluate_program();
    has_value(sound, 1);
    suffers_from(unsound, broken);
    suffers_from(undecided, broken);
    suffers_from(other, bad_too);
}
END_TEST

START_TEST(logic_leaves_unread_what_is_decided)
{
    uint32_t no = number(0), yes = number(1), broken = node(OP_DIVIDE, yes, no);
    uint32_t decided_no = node(OP_AND, no, broken), decided_yes = node(OP_OR, yes, broken);
    uint32_t open_and = node(OP_AND, yes, broken), open_or = node(OP_OR, no, broken);
    uint32_t first_and = node(OP_AND, broken, no), first_or = node(OP_OR, broken, yes);
    evaluate_program();
    has_value(decided_no, 0);
    has_value(decided_yes, 1);
    suffers_from(open_and, broken);
    suffers_from(open_or, broken);
    suffers_from(first_and, broken);
    suffers_from(first_or, broken);
}
END_TEST

START_TEST(takes_an_empty_program)
{
    evaluate_program();
    ck_assert_uint_eq(e.culprit[0], 0);
}
END_TEST

/* ---- random programs --------------------------------------------------------------------------------------------- */

/* From the result backwards, in the words of the header: NaN where a needed operand is undefined. */
static double backwards(uint32_t i)
{
    const struct node_code *n = &p.nodes.at[i];
    if (n->op == OP_CONSTANT)
        return n->value;
    double a = backwards(n->a), v;
    if (n->op == OP_SELECT)
        return isnan(a) ? NAN : backwards(a != 0 ? n->b : n->c);
    double b = n->op == OP_NEGATE || n->op == OP_NOT ? 0 : backwards(n->b);
    if (n->op == OP_AND && a == 0)
        return 0;
    if (n->op == OP_OR && a == 1)
        return 1;
    if (isnan(a) || isnan(b))
        return NAN;
    switch (n->op) {
    case OP_ADD:
        v = a + b;
        break;
    case OP_SUBTRACT:
        v = a - b;
        break;
    case OP_MULTIPLY:
        v = a * b;
        break;
    case OP_DIVIDE:
        v = a / b;
        break;
    case OP_POWER:
        v = pow(a, b);
        break;
    case OP_NEGATE:
        v = -a;
        break;
    case OP_NOT:
        v = a == 0;
        break;
    case OP_LESS: /* the random numbers are small whole ones and what comes of them: never equal but for rounding */
        v = a < b && fabs(a - b) > 1e-12 * fmax(fabs(a), fabs(b));
        break;
    default:
        v = b;
        break;
    }
    return isfinite(v) ? v : NAN;
}

static uint32_t any_of(const uint32_t *nodes, uint32_t count)
{
    /* Near the end, so that the graph is deep but not a single line. */
    uint32_t back = (uint32_t)rand() % (count < 12 ? count : 12);
    return nodes[count - 1 - back];
}

static void random_program(void)
{
    static const enum op arithmetic[] = {OP_ADD, OP_SUBTRACT, OP_MULTIPLY, OP_DIVIDE, OP_POWER, OP_NEGATE};
    static const enum op logical[] = {OP_AND, OP_OR, OP_NOT};
    uint32_t numbers[40], truths[40], n = 0, t = 0;
    for (int i = -2; i < 3; i++)
        numbers[n++] = number(i);
    truths[t++] = number(0);
    truths[t++] = number(1);
    for (int i = 0; i < 25; i++) {
        uint32_t x = any_of(numbers, n), y = any_of(numbers, n), c = any_of(truths, t), d = any_of(truths, t);
        switch (rand() % 4) {
        case 0:
            truths[t++] = node(OP_LESS, x, y);
            break;
        case 1:
            truths[t++] = node(logical[rand() % 3], c, d);
            break;
        case 2:
            numbers[n++] = chosen(c, x, y);
            break;
        default:
            numbers[n++] = node(arithmetic[rand() % 6], x, y);
            break;
        }
    }
}

START_TEST(agrees_with_an_evaluator_from_behind)
{
    srand(1234);
    uint32_t undefined = 0, defined = 0;
    for (int round = 0; round < 3000; round++) {
        random_program();
        evaluate_program();
        for (uint32_t i = 1; i < p.nodes.count; i++) {
            double want = backwards(i);
            ck_assert_msg(isnan(want) ? isnan(e.value[i]) && e.culprit[i] : e.value[i] == want && !e.culprit[i],
                          "round %d node %u: %g instead of %g", round, i, e.value[i], want);
            undefined += isnan(want);
            defined += !isnan(want);
            if (e.culprit[i])
                ck_assert(e.culprit[e.culprit[i]] == e.culprit[i] && e.fault[e.culprit[i]] != EVAL_OK);
        }
        end();
        begin();
    }
    ck_assert_uint_gt(undefined, 1000); /* both sorts were met */
    ck_assert_uint_gt(defined, 1000);
}
END_TEST

#define LOOP(tests, test, table) tcase_add_loop_test(tests, test, 0, (int)(sizeof(table) / sizeof(table)[0]))

int main(void)
{
    Suite *suite = suite_create("evaluate");
    TCase *tests = tcase_create("evaluate");
    tcase_add_checked_fixture(tests, begin, end);
    tcase_set_timeout(tests, 60);
    LOOP(tests, does_each_operation, operations);
    tcase_add_test(tests, compares_up_to_rounding);
    tcase_add_test(tests, selects_a_side);
    tcase_add_test(tests, takes_inputs_from_the_program_or_the_caller);
    tcase_add_test(tests, nominal_stays_when_inputs_move);
    tcase_add_test(tests, reads_curves);
    tcase_add_test(tests, calls_with_any_number_of_arguments);
    LOOP(tests, finds_each_fault, faulty);
    tcase_add_test(tests, finds_faults_of_functions);
    tcase_add_test(tests, refuses_numbers_that_are_none);
    tcase_add_test(tests, names_the_culprit_down_the_line);
    tcase_add_test(tests, blames_a_curve_only_for_its_own);
    tcase_add_test(tests, select_suffers_only_from_the_chosen_side);
    tcase_add_test(tests, logic_leaves_unread_what_is_decided);
    tcase_add_test(tests, takes_an_empty_program);
    tcase_add_test(tests, agrees_with_an_evaluator_from_behind);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
