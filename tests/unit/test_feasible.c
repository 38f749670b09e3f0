/* Feasible sets: where claims hold for every held input, in one and in two unknowns. */
#include "runtime/proof/feasible.h"

#include "tests/unit/sample_nodes.h"

#include <check.h>
#include <stdlib.h>

static struct unknowns unknowns;

static void begin_without_unknowns(void)
{
    begin();
    unknowns = (struct unknowns){0};
}

static uint32_t unknown(double low, double high)
{
    unknowns.range[unknowns.count] = interval_of(low, high);
    unknowns.input[unknowns.count++] = p.inputs.count;
    return program_input(&p, (struct input){(low + high) / 2, low, high, true, 0, true, 0}, 0);
}

static uint32_t held(double low, double high)
{
    return program_input(&p, (struct input){(low + high) / 2, low, high, true, 0, false, 0}, 0);
}

static struct prover claim(uint32_t value, uint32_t low)
{
    struct cone_marks marks = cone_marks_new(&arena, &p);
    struct claim c = {
        .truth = node(OP_LESS_EQUAL, low, value), .margin = node(OP_SUBTRACT, value, low), .compared = {value, low}};
    marks = cone_marks_new(&arena, &p);
    return prover_new(&arena, &p, &marks, &c);
}

/* u + d >= 1 and u + d <= 3 for every d within half: u from 1.5 to 2.5. */
START_TEST(finds_one_stretch)
{
    uint32_t u = unknown(0, 4), at = node(OP_ADD, u, held(-0.5, 0.5));
    struct prover provers[] = {claim(at, number(1)), claim(number(3), at)};
    struct feasible f = feasible_set(&arena, provers, 2, &unknowns, 8);
    double low = 9, high = -9, covered = 0;
    for (uint32_t i = 0; i < f.cells.count; i++) {
        const struct cell *c = &f.cells.at[i];
        covered += c->at[0].high - c->at[0].low;
        if (i > 0)
            ck_assert_double_eq(c->at[0].low, f.cells.at[i - 1].at[0].high);
        if (c->feasible) {
            low = fmin(low, c->at[0].low);
            high = fmax(high, c->at[0].high);
        } else {
            ck_assert_uint_eq(c->blocker, c->at[0].high <= 1.5 ? 0 : 1);
        }
    }
    ck_assert_double_eq(covered, 4);
    ck_assert_double_eq(low, 1.5); /* on a cut */
    ck_assert_double_eq(high, 2.5);
    ck_assert_uint_lt(f.cells.count, 30);
}
END_TEST

/* What is made once for the unknown does not move with what is held: nominal(u + d) - u is 0, u + d - u is not. */
START_TEST(nominal_follows_the_unknown)
{
    uint32_t u = unknown(0, 4), at = node(OP_ADD, u, held(-0.5, 0.5));
    uint32_t off = node(OP_SUBTRACT, program_node(&p, OP_NOMINAL, at, 0, 0, 0), u);
    struct prover provers[] = {claim(off, number(-0.001)), claim(number(0.001), off)};
    struct feasible f = feasible_set(&arena, provers, 2, &unknowns, 6);
    ck_assert_uint_eq(f.cells.count, 1);
    ck_assert(f.cells.at[0].feasible);
}
END_TEST

/* Inside the unit circle, less what the held input takes: the area is that of a circle of radius 0.8. */
START_TEST(covers_a_region)
{
    uint32_t x = unknown(-1, 1), y = unknown(-1, 1);
    uint32_t square = node(OP_ADD, node(OP_POWER, x, number(2)), node(OP_POWER, y, number(2)));
    struct prover provers[] = {claim(node(OP_SUBTRACT, number(1), held(0, 0.36)), square)};
    struct feasible f = feasible_set(&arena, provers, 1, &unknowns, 6);
    double inside = 0, open = 0;
    for (uint32_t i = 0; i < f.cells.count; i++) {
        const struct cell *c = &f.cells.at[i];
        double area = (c->at[0].high - c->at[0].low) * (c->at[1].high - c->at[1].low);
        inside += c->feasible ? area : 0;
        open += !c->feasible && !c->refuted ? area : 0;
        double far = fmax(fabs(c->at[0].low), fabs(c->at[0].high)), up = fmax(fabs(c->at[1].low), fabs(c->at[1].high));
        ck_assert(!c->feasible || far * far + up * up <= 0.64 + 1e-12);
    }
    double circle = 3.14159265358979 * 0.64;
    ck_assert_double_le(inside, circle);
    ck_assert_double_ge(inside + open, circle);
    ck_assert_double_le(open, 0.3);
}
END_TEST

START_TEST(refutes_what_holds_nowhere)
{
    uint32_t u = unknown(0, 4);
    struct prover provers[] = {claim(u, number(5))};
    struct feasible f = feasible_set(&arena, provers, 1, &unknowns, 8);
    ck_assert_uint_eq(f.cells.count, 1);
    ck_assert(f.cells.at[0].refuted && !f.cells.at[0].feasible);
}
END_TEST

/* A claim without an unknown in it has no say. */
START_TEST(leaves_out_what_reads_no_unknown)
{
    unknown(0, 4);
    struct prover provers[] = {claim(held(0, 1), number(5))};
    struct feasible f = feasible_set(&arena, provers, 1, &unknowns, 8);
    ck_assert_uint_eq(f.cells.count, 1);
    ck_assert(f.cells.at[0].feasible);
}
END_TEST

/* A step inside the range is found as closely as the cells are fine. */
START_TEST(meets_a_jump)
{
    uint32_t u = unknown(0, 4);
    uint32_t jump = program_node(&p, OP_SELECT, node(OP_LESS, u, number(1.3)), number(0), number(2), 0);
    struct prover provers[] = {claim(jump, number(1))};
    struct feasible f = feasible_set(&arena, provers, 1, &unknowns, 7);
    double low = 9;
    for (uint32_t i = 0; i < f.cells.count; i++)
        low = f.cells.at[i].feasible ? fmin(low, f.cells.at[i].at[0].low) : low;
    ck_assert_double_ge(low, 1.3);
    ck_assert_double_le(low, 1.3 + 4 / 64.0);
}
END_TEST

/* A random program of two unknowns and some held inputs, with quotients, choices and what stands at the stated values. */
static uint32_t random_value(void)
{
    uint32_t pool[40], count = 0;
    pool[count++] = unknown(1, 3);
    pool[count++] = unknown(2, 5);
    for (int i = 0; i < 5; i++)
        pool[count++] = held(1 + 0.1 * i, 1.3 + 0.1 * i);
    while (count < 40) {
        static const enum op ops[] = {OP_ADD, OP_SUBTRACT, OP_MULTIPLY, OP_DIVIDE, OP_LESS, OP_NOMINAL};
        enum op op = ops[rand() % 6];
        uint32_t a = pool[rand() % (int)count], b = pool[rand() % (int)count];
        if (op == OP_LESS)
            pool[count++] = program_node(&p, OP_SELECT, node(OP_LESS, a, b), a, b, 0);
        else
            pool[count++] = op == OP_NOMINAL ? program_node(&p, op, a, 0, 0, 0) : node(op, a, b);
    }
    return pool[count - 1];
}

static double anywhere(struct interval x)
{
    return x.low + (x.high - x.low) * (rand() % 5) / 4;
}

/* At one point of the cell and of what is held. */
static void all_hold(struct prover *provers, uint32_t count, const struct cell *cell)
{
    for (uint32_t i = 0; i < count; i++) {
        struct prover *r = &provers[i];
        double *point = ARENA_ARRAY(&arena, r->cone.program.inputs.count, double);
        for (uint32_t k = 0; k < r->cone.program.inputs.count; k++) {
            point[k] = anywhere(interval_inputs(&arena, &r->cone.program)[k]);
            for (uint32_t u = 0; u < unknowns.count; u++)
                if (r->cone.input[k] == unknowns.input[u])
                    point[k] = anywhere(cell->at[u]);
        }
        prover_at_point(r, point);
        ck_assert(!prover_reads(r, &unknowns) || !claim_fails(&r->at, &r->claim));
    }
}

/* At points of a cell that is told to be feasible, every claim holds, also where something has no value beside it. */
START_TEST(holds_all_over_a_feasible_cell)
{
    uint32_t proved = 0, refuted = 0;
    srand(7);
    for (int round = 0; round < 200; round++) {
        end();
        begin_without_unknowns();
        uint32_t a = random_value();
        unknowns.count = 2; /* the second value's unknowns are the first's */
        uint32_t b = node(OP_MULTIPLY, a, a), c = node(OP_ADD, a, held(0, 1)), d = node(OP_SUBTRACT, number(9), a);
        struct prover provers[] = {claim(a, number(-2)), claim(b, number(0.5)), claim(c, number(-3)),
                                   claim(d, number(1))};
        struct feasible f = feasible_set(&arena, provers, 4, &unknowns, 3);
        for (uint32_t i = 0; i < f.cells.count; i++) {
            proved += f.cells.at[i].feasible;
            refuted += f.cells.at[i].refuted;
            for (int point = 0; point < 10 && f.cells.at[i].feasible; point++)
                all_hold(provers, 4, &f.cells.at[i]);
        }
    }
    ck_assert_uint_gt(proved, 200);
    ck_assert_uint_gt(refuted, 200);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("feasible");
    TCase *c = tcase_create("feasible");
    tcase_add_checked_fixture(c, begin_without_unknowns, end);
    tcase_set_timeout(c, 60);
    tcase_add_test(c, finds_one_stretch);
    tcase_add_test(c, nominal_follows_the_unknown);
    tcase_add_test(c, covers_a_region);
    tcase_add_test(c, refutes_what_holds_nowhere);
    tcase_add_test(c, leaves_out_what_reads_no_unknown);
    tcase_add_test(c, meets_a_jump);
    tcase_add_test(c, holds_all_over_a_feasible_cell);
    suite_add_tcase(suite, c);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed ? EXIT_FAILURE : EXIT_SUCCESS;
}
