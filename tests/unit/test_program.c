/* The program: numbering, operands, and what it refuses. */
#include "runtime/program.h"

#include "tests/unit/sample_nodes.h"

#include <check.h>
#include <signal.h>
#include <stdlib.h>

START_TEST(begins_with_node_0_unused)
{
    ck_assert_uint_eq(p.nodes.count, 1);
    ck_assert_uint_eq(p.nodes.at[0].op, OP_NONE);
    ck_assert_uint_eq(program_constant(&p, 1.5, 7), 1);
    ck_assert(p.nodes.at[1].value == 1.5);
    ck_assert_uint_eq(p.nodes.at[1].origin, 7);
}
END_TEST

START_TEST(keeps_inputs_beside_the_nodes)
{
    program_constant(&p, 1, 0);
    uint32_t first =
        program_input(&p, (struct input){.nominal = 5, .low = 4, .high = 6, .held = true, .quantity = 3}, 11);
    uint32_t second = program_input(&p, (struct input){.nominal = 8, .low = 8, .high = 8}, 12);
    ck_assert_uint_eq(first, 2);
    ck_assert_uint_eq(second, 3);
    ck_assert_uint_eq(p.inputs.count, 2);
    ck_assert_uint_eq(p.nodes.at[first].a, 0);
    ck_assert_uint_eq(p.nodes.at[second].a, 1);
    ck_assert(p.inputs.at[0].low == 4 && p.inputs.at[0].held && p.inputs.at[0].quantity == 3);
    ck_assert_uint_eq(p.nodes.at[second].origin, 12);
}
END_TEST

START_TEST(keeps_the_operands_of_a_call_together)
{
    uint32_t x[3];
    for (int i = 0; i < 3; i++)
        x[i] = program_constant(&p, i, 0);
    uint32_t one = program_call(&p, 4, x, 3, 1), two = program_call(&p, 5, x + 1, 1, 2),
             none = program_call(&p, 6, NULL, 0, 3);
    ck_assert_uint_eq(p.nodes.at[one].op, OP_CALL);
    ck_assert_uint_eq(p.nodes.at[one].a, 4);
    ck_assert_uint_eq(p.nodes.at[one].c, 3);
    for (uint32_t i = 0; i < 3; i++)
        ck_assert_uint_eq(p.operands.at[p.nodes.at[one].b + i], x[i]);
    ck_assert_uint_eq(p.nodes.at[two].c, 1);
    ck_assert_uint_eq(p.operands.at[p.nodes.at[two].b], x[1]);
    ck_assert_uint_eq(p.nodes.at[none].c, 0);
}
END_TEST

START_TEST(numbers_curves_from_0)
{
    static const double x[] = {1, 2}, z[] = {10, 20};
    struct curve c = {.x_count = 2, .x = x, .z = z, .origin = 9};
    ck_assert_uint_eq(program_curve(&p, c), 0);
    ck_assert_uint_eq(program_curve(&p, c), 1);
    uint32_t at = program_constant(&p, 1.5, 0), node = program_node(&p, OP_CURVE, 1, at, 0, 5);
    ck_assert_uint_eq(p.nodes.at[node].a, 1);
    ck_assert_uint_eq(p.nodes.at[node].b, at);
    ck_assert_uint_eq(p.curves.at[1].origin, 9);
}
END_TEST

START_TEST(grows_to_many_nodes)
{
    enum { MANY = 200000 };
    uint32_t last = program_constant(&p, 0, 0), one = program_constant(&p, 1, 0);
    for (uint32_t i = 0; i < MANY; i++)
        last = program_node(&p, OP_ADD, last, one, 0, i);
    ck_assert_uint_eq(p.nodes.count, MANY + 3);
    ck_assert_uint_eq(last, MANY + 2);
    ck_assert_uint_eq(p.nodes.at[3].a, 1);
    ck_assert_uint_eq(p.nodes.at[last].origin, MANY - 1);
}
END_TEST

/* Each of these would make one pass wrong or read beyond an array, so it must not get in. */
static void refer_to_itself(void)
{
    uint32_t x = program_constant(&p, 1, 0);
    program_node(&p, OP_ADD, x, x + 1, 0, 0);
}

static void refer_to_nothing(void)
{
    program_node(&p, OP_NEGATE, 0, 0, 0, 0);
}

static void select_a_later_node(void)
{
    uint32_t x = program_constant(&p, 1, 0);
    program_node(&p, OP_SELECT, x, x, 99, 0);
}

static void call_a_later_node(void)
{
    program_call(&p, 0, (uint32_t[]){1}, 1, 0);
}

static void use_no_curve(void)
{
    uint32_t x = program_constant(&p, 1, 0);
    program_node(&p, OP_CURVE, 0, x, 0, 0);
}

static void leave_out_a_second_argument(void)
{
    static const double x[] = {1, 2}, y[] = {1, 2}, z[] = {1, 2, 3, 4};
    uint32_t at = program_constant(&p, 1, 0);
    program_node(&p, OP_CURVE, program_curve(&p, (struct curve){2, 2, x, y, z, 0}), at, 0, 0);
}

static void make_a_constant_by_hand(void)
{
    program_node(&p, OP_CONSTANT, 0, 0, 0, 0);
}

static void (*const mistakes[])(void) = {refer_to_itself,        refer_to_nothing, select_a_later_node,
                                         call_a_later_node,      use_no_curve,     leave_out_a_second_argument,
                                         make_a_constant_by_hand};

START_TEST(refuses_mistakes)
{
    mistakes[_i]();
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("program");
    TCase *tests = tcase_create("program");
    tcase_add_checked_fixture(tests, begin, end);
    tcase_add_test(tests, begins_with_node_0_unused);
    tcase_add_test(tests, keeps_inputs_beside_the_nodes);
    tcase_add_test(tests, keeps_the_operands_of_a_call_together);
    tcase_add_test(tests, numbers_curves_from_0);
    tcase_add_test(tests, grows_to_many_nodes);
    tcase_add_loop_test_raise_signal(tests, refuses_mistakes, SIGABRT, 0, (int)(sizeof mistakes / sizeof mistakes[0]));
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
