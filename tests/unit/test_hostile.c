/* Random programs of hostile numbers: huge and odd exponents, subnormals, ranges as wide as a double goes, every operation
 * and every function of plain numbers. What an interval run, slopes and a proof say of a box is held against runs at points
 * of it: a node said to have a value must have one there, within its interval; no end found by monotony or by a centred
 * form, and no proof, may contradict an enclosure of the value at the point.
 *
 * STROKEWRIGHT_SAMPLES says how many points to look at, 100000 unless it is set; STROKEWRIGHT_SEED the first program. */
#include "runtime/proof/proof.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>

enum { INPUTS = 4, POINTS = 24, ENDS = 3, BOXES = 20 };

static struct arena arena;
static struct program p;
static uint64_t state;

static uint32_t any(uint32_t count)
{
    state = state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(state >> 33) % count;
}

static double share(void)
{
    return any(1u << 20) / (double)((1u << 20) - 1);
}

/* ---- numbers ----------------------------------------------------------------------------------------------------- */

static double hostile(void)
{
    static const double numbers[] = {0,
                                     1,
                                     2,
                                     3,
                                     0.5,
                                     1.5,
                                     7,
                                     10,
                                     1e-3,
                                     1e20,
                                     1e100,
                                     1e300,
                                     1.7e308,
                                     DBL_MAX,
                                     DBL_MIN,
                                     DBL_TRUE_MIN,
                                     1e-320,
                                     1e-300,
                                     1e-100,
                                     1e-17,
                                     0x1p52,
                                     0x1p53,
                                     0x1p53 + 2,
                                     0x1p53 - 1,
                                     0x1p62,
                                     1.0 / 3,
                                     1 + DBL_EPSILON,
                                     1 - DBL_EPSILON / 2,
                                     3.141592653589793,
                                     1.5707963267948966};
    double x = numbers[any(sizeof numbers / sizeof numbers[0])];
    return any(2) ? x : -x;
}

/* Of plain size more often than not: two hostile numbers that meet mostly overflow. */
static double number(void)
{
    return any(3) == 0 ? hostile() : any(2) ? (double)any(13) - 6 : 8 * share() - 4;
}

static struct interval range(void)
{
    double a = number(), b = number();
    if (any(4) == 0)
        b = any(2) ? a : nextafter(a, INFINITY);
    return interval_of(fmin(a, b), fmax(a, b));
}

/* An end, its neighbour, 0, or anything in between, evenly or by its exponent. */
static double point_in(struct interval x)
{
    double s = share(), at = x.low * (1 - s) + x.high * s;
    switch (any(6)) {
    case 0:
        at = x.low;
        break;
    case 1:
        at = x.high;
        break;
    case 2:
        at = any(2) ? nextafter(x.low, INFINITY) : nextafter(x.high, -INFINITY);
        break;
    case 3:
        at = 0;
        break;
    case 4:
        at = ldexp(at, -(int)any(1100));
        break;
    default:
        break;
    }
    return fmin(fmax(at, x.low), x.high);
}

/* ---- programs ---------------------------------------------------------------------------------------------------- */

static const double knots[] = {-1e300, -3, 0, 1e-320, 0.5, 4}, heights[] = {2, 1e200, 1, 1, -2, 1e-310};

static uint32_t nodes[80], truths[40], node_count, truth_count;

static void add_number(uint32_t node)
{
    nodes[node_count++] = node;
}

static void add_truth_node(uint32_t node)
{
    truths[truth_count++] = node;
}

static uint32_t number_node(void)
{
    return nodes[node_count - 1 - any(node_count < 14 ? node_count : 14)];
}

static uint32_t call_node(void)
{
    static const uint32_t functions[] = {FUNCTION_abs,  FUNCTION_min,    FUNCTION_max,    FUNCTION_mean,
                                         FUNCTION_sqrt, FUNCTION_exp,    FUNCTION_ln,     FUNCTION_sin,
                                         FUNCTION_cos,  FUNCTION_tan,    FUNCTION_atan,   FUNCTION_round,
                                         FUNCTION_ceil, FUNCTION_inside, FUNCTION_radians};
    uint32_t function = functions[any(sizeof functions / sizeof functions[0])], arity = 1;
    uint32_t x[3] = {number_node(), number_node(), number_node()};
    if (function == FUNCTION_min || function == FUNCTION_max || function == FUNCTION_mean)
        arity = 1 + any(3);
    if (function == FUNCTION_round || function == FUNCTION_ceil)
        arity = 2;
    if (function == FUNCTION_inside)
        arity = 3;
    if (arity == 2 && any(2))
        x[1] = program_constant(&p, fabs(number()), 0);
    return program_call(&p, function, x, arity, 0);
}

static uint32_t arithmetic_node(void)
{
    static const enum op ops[] = {OP_ADD,    OP_SUBTRACT, OP_MULTIPLY, OP_DIVIDE,
                                  OP_DIVIDE, OP_POWER,    OP_POWER,    OP_NEGATE};
    enum op op = ops[any(8)];
    uint32_t a = number_node(), b = number_node();
    if (op == OP_POWER && any(3))
        b = program_constant(&p, any(2) ? (double)any(9) - 4 : hostile(), 0);
    return program_node(&p, op, a, op == OP_NEGATE ? 0 : b, 0, 0);
}

static void add_truth(void)
{
    static const enum op ops[] = {OP_LESS, OP_LESS_EQUAL, OP_EQUAL, OP_AND, OP_OR, OP_NOT};
    enum op op = ops[any(6)];
    bool compares = op == OP_LESS || op == OP_LESS_EQUAL || op == OP_EQUAL;
    uint32_t a = compares ? number_node() : truths[any(truth_count)];
    uint32_t b = compares ? number_node() : truths[any(truth_count)];
    add_truth_node(program_node(&p, op, a, op == OP_NOT ? 0 : b, 0, 0));
}

static void make_program(void)
{
    program_init(&p, &arena);
    node_count = truth_count = 0;
    uint32_t curve = program_curve(&p, (struct curve){.x_count = 6, .x = knots, .z = heights});
    add_truth_node(program_constant(&p, 1, 0));
    for (int i = 0; i < 4; i++)
        add_number(program_constant(&p, number(), 0));
    for (int i = 0; i < INPUTS; i++) {
        struct interval x = range();
        add_number(program_input(&p, (struct input){point_in(x), x.low, x.high, true, 0, false, 0}, 0));
    }
    for (int i = 0; i < 16; i++) {
        uint32_t kind = any(12);
        if (kind < 2)
            add_truth();
        else if (kind < 6)
            add_number(call_node());
        else if (kind == 6)
            add_number(program_node(&p, OP_CURVE, curve, number_node(), 0, 0));
        else if (kind == 7)
            add_number(program_node(&p, OP_SELECT, truths[any(truth_count)], number_node(), number_node(), 0));
        else if (kind == 8)
            add_number(program_node(&p, OP_NOMINAL, number_node(), 0, 0, 0));
        else
            add_number(arithmetic_node());
    }
}

/* ---- what is said of a box --------------------------------------------------------------------------------------- */

struct said {
    struct interval_gradient over;
    uint32_t node[ENDS];
    struct interval ends[ENDS]; /* of these nodes, by monotony and centred forms */
    struct claim claim;         /* that the first of them is at least something */
    struct proof proof;
};

static void prove_claim(struct said *s)
{
    uint32_t value = s->node[0], bound = program_constant(&p, number(), 0);
    s->claim = (struct claim){.truth = program_node(&p, OP_LESS_EQUAL, bound, value, 0, 0),
                              .margin = program_node(&p, OP_SUBTRACT, value, bound, 0, 0),
                              .compared = {value, bound}};
    struct cone_marks marks = cone_marks_new(&arena, &p);
    struct prover r = prover_new(&arena, &p, &marks, &s->claim);
    s->proof = prover_prove(&r, BOXES, 2);
}

static struct said *say(void)
{
    struct said *s = ARENA_NEW(&arena, struct said);
    const struct interval *box = interval_inputs(&arena, &p);
    for (int k = 0; k < ENDS; k++)
        s->node[k] = number_node();
    prove_claim(s);
    s->over = interval_gradient_new(&arena, &p);
    evaluate_interval_gradient(&s->over, &p, box);
    for (int k = 0; k < ENDS; k++)
        s->ends[k] = interval_of(gradient_monotone_end(&s->over, &p, box, s->node[k], false),
                                 gradient_monotone_end(&s->over, &p, box, s->node[k], true));
    return s;
}

/* ---- held against a point ---------------------------------------------------------------------------------------- */

static uint64_t program_number, defined, narrowed, proved;

static void print_operand(uint32_t node, const struct said *s, const struct evaluation *e)
{
    const struct node_code *n = &p.nodes.at[node];
    uint32_t room[MOST_ROOM];
    const uint32_t *read;
    uint32_t count = program_operands(&p, n, &read, room);
    printf("  node %u op %d function %u = %a in [%a, %a] culprit %u, %u\n", node, n->op, n->op == OP_CALL ? n->a : 0,
           e->value[node], s->over.over.value[node].low, s->over.over.value[node].high, e->culprit[node],
           s->over.over.culprit[node]);
    for (uint32_t k = 0; k < count; k++)
        printf("    reads %u = %a in [%a, %a]\n", read[k], e->value[read[k]], s->over.over.value[read[k]].low,
               s->over.over.value[read[k]].high);
}

static void break_off(const char *what, uint32_t node, const struct said *s, const struct evaluation *e)
{
    for (uint32_t i = 1; i <= node; i++)
        print_operand(i, s, e);
    fflush(stdout);
    ck_abort_msg("program %llu node %u: %s", (unsigned long long)program_number, node, what);
}

#define MUST(condition, node)                                                                                          \
    do {                                                                                                               \
        if (!(condition))                                                                                              \
            break_off(#condition, (node), s, e);                                                                       \
    } while (0)

static void check_values(const struct said *s, const struct evaluation *e)
{
    const struct interval_evaluation *over = &s->over.over;
    for (uint32_t i = 1; i < p.nodes.count; i++) {
        if (over->culprit[i])
            continue;
        MUST(!e->culprit[i], i);
        MUST(over->value[i].low <= e->value[i] && e->value[i] <= over->value[i].high, i);
        defined++;
    }
}

/* The value at the point as mathematics has it is somewhere in `at`. */
static void check_ends(const struct said *s, const struct evaluation *e, const struct interval_evaluation *at)
{
    for (int k = 0; k < ENDS; k++) {
        uint32_t node = s->node[k];
        if (s->over.over.culprit[node] || at->culprit[node])
            continue;
        MUST(s->ends[k].low <= at->value[node].high, node);
        MUST(s->ends[k].high >= at->value[node].low, node);
        narrowed += s->ends[k].low > s->over.over.value[node].low;
    }
}

static void check_proof(const struct said *s, const struct evaluation *e, const struct interval_evaluation *at)
{
    uint32_t truth = s->claim.truth;
    if (s->proof.state != PROOF_HOLDS)
        return;
    MUST(!e->culprit[truth], truth);
    MUST(at->culprit[truth] || interval_truth(at->value[truth]) != TRUTH_FALSE, truth);
    proved++;
}

static void check_point(const struct said *s, struct evaluation *e, struct interval_evaluation *at)
{
    double point[INPUTS];
    struct interval box[INPUTS];
    for (int i = 0; i < INPUTS; i++) {
        point[i] = point_in(interval_of(p.inputs.at[i].low, p.inputs.at[i].high));
        box[i] = interval_point(point[i]);
    }
    evaluate_again(e, &p, point, NULL);
    evaluate_interval(at, &p, box, NULL);
    check_values(s, e);
    check_ends(s, e, at);
    check_proof(s, e, at);
}

static uint64_t number_from(const char *name, uint64_t otherwise)
{
    const char *text = getenv(name);
    return text ? (uint64_t)strtod(text, NULL) : otherwise;
}

START_TEST(nothing_said_of_a_box_is_false_at_a_point)
{
    uint64_t samples = number_from("STROKEWRIGHT_SAMPLES", 100000), first = number_from("STROKEWRIGHT_SEED", 1);
    defined = narrowed = proved = 0;
    arena_init(&arena, NULL);
    for (program_number = first; (program_number - first) * POINTS < samples; program_number++) {
        arena_clear(&arena);
        state = program_number * 0x9E3779B97F4A7C15u;
        make_program();
        struct said *s = say();
        struct evaluation e = evaluation_new(&arena, &p);
        struct interval_evaluation at = interval_evaluation_new(&arena, &p);
        for (int k = 0; k < POINTS; k++)
            check_point(s, &e, &at);
    }
    arena_free(&arena);
    ck_assert_uint_gt(defined, 10 * samples);
    ck_assert_uint_gt(narrowed, samples / 20);
    ck_assert_uint_gt(proved, samples / 20);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("hostile");
    TCase *c = tcase_create("hostile");
    tcase_set_timeout(c, 3600);
    tcase_add_test(c, nothing_said_of_a_box_is_false_at_a_point);
    suite_add_tcase(suite, c);
    SRunner *r = srunner_create(suite);
    srunner_run_all(r, CK_NORMAL);
    int failed = srunner_ntests_failed(r);
    srunner_free(r);
    return failed != 0;
}
