/* Bounds of the schema's rows: each is readable, of its property's dimension, and holds what the row itself says. */
#include "compiler/model/bounds.h"
#include "compiler/model/schema.h"

#include <check.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* The unit type of a row's value: behind the arrow of a function. */
static struct unit unit_of_row(const struct property_entry *p)
{
    const char *arrow = strstr(p->type, "-> "), *open = strchr(arrow ? arrow : p->type, '[');
    struct unit u;
    struct unit_error error;
    ck_assert_msg(open && unit_read((struct text){open + 1, (uint32_t)strcspn(open + 1, "]")}, &u, &error) == UNIT_OK,
                  "%s: no unit in %s", p->name, p->type);
    return u;
}

static bool is_number(const struct property_entry *p)
{
    return p->form == FORM_QUANTITY || p->form == FORM_BAND || p->form == FORM_RANGE || p->form == FORM_FUNCTION;
}

static struct bounds bounds_of(const struct property_entry *p, const char *text)
{
    struct bounds b;
    struct unit u = unit_of_row(p);
    ck_assert_msg(bounds_read(text, &b), "%s of %s: '%s' is not readable", p->name, kind_table[p->kind].name, text);
    ck_assert_msg(dim_same(b.unit.dim, u.dim) && b.unit.point == u.point, "%s: '%s' is not in %s", p->name, text,
                  p->type);
    return b;
}

START_TEST(every_row)
{
    const struct property_entry *p = &property_table[_i];
    if (!is_number(p)) {
        ck_assert_msg(!p->can && !p->usual && !p->whole, "%s is no number and has bounds", p->name);
        return;
    }
    ck_assert_msg(p->can, "%s of %s: nothing says what it can be", p->name, kind_table[p->kind].name);
    struct bounds can = bounds_of(p, p->can);
    if (p->usual) {
        struct bounds usual = bounds_of(p, p->usual);
        ck_assert_msg(usual.least >= can.least && usual.most <= can.most, "%s: what is usual cannot be", p->name);
    }
    ck_assert_msg(!p->whole || dim_none(can.unit.dim), "%s: a whole number has no unit", p->name);
}
END_TEST

/* What is taken when nothing is stated can be, and is usual. */
START_TEST(every_standard)
{
    const struct property_entry *p = &property_table[_i];
    struct bounds standard;
    if (!is_number(p) || p->need != NEED_STANDARD || p->form == FORM_FUNCTION)
        return;
    char text[100];
    snprintf(text, sizeof text, "%s and more", p->standard);
    ck_assert_msg(bounds_read(text, &standard), "%s: the standard '%s' is not readable", p->name, p->standard);
    struct bounds can = bounds_of(p, p->can);
    ck_assert_msg(bounds_hold(&can, standard.least), "%s: its standard value cannot be", p->name);
    if (p->usual) {
        struct bounds usual = bounds_of(p, p->usual);
        ck_assert_msg(bounds_hold(&usual, standard.least), "%s: its standard value is unusual", p->name);
    }
}
END_TEST

static const struct {
    const char *text;
    double least, most;
    bool above;
} forms[] = {
    {"above 0 mm", 0, INFINITY, true},
    {"0 s and more", 0, INFINITY, false},
    {"0 .. 0.5", 0, 0.5, false},
    {"-60 degC .. 700 degC", 213.15, 973.15, false},
    {"5 um/(m*K) .. 60 um/(m*K)", 5e-6, 60e-6, false},
};

START_TEST(forms_are_read)
{
    struct bounds b;
    ck_assert(bounds_read(forms[_i].text, &b));
    ck_assert_double_eq_tol(b.least, forms[_i].least, 1e-12);
    ck_assert(isinf(forms[_i].most) ? isinf(b.most) : fabs(b.most - forms[_i].most) < 1e-9);
    ck_assert_int_eq(b.above, forms[_i].above);
}
END_TEST

START_TEST(other_forms_are_not)
{
    struct bounds b;
    static const char *const wrong[] = {"", "5", "0 ..", "5 mm .. 3 mm", "above", "0 furlongs and more", "x .. y"};
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        ck_assert_msg(!bounds_read(wrong[i], &b), "'%s' is read", wrong[i]);
}
END_TEST

START_TEST(ends_belong_to_it)
{
    struct bounds b;
    ck_assert(bounds_read("0 .. 0.3", &b));
    ck_assert(bounds_hold(&b, 0) && bounds_hold(&b, 3 * 0.1) && !bounds_hold(&b, -1e-9) && !bounds_hold(&b, 0.31));
    ck_assert(bounds_read("above 0 mm", &b));
    ck_assert(!bounds_hold(&b, 0) && bounds_hold(&b, 1e-12));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("bounds");
    TCase *tests = tcase_create("bounds");
    tcase_add_loop_test(tests, every_row, 0, (int)property_count);
    tcase_add_loop_test(tests, every_standard, 0, (int)property_count);
    tcase_add_loop_test(tests, forms_are_read, 0, (int)(sizeof forms / sizeof forms[0]));
    tcase_add_test(tests, other_forms_are_not);
    tcase_add_test(tests, ends_belong_to_it);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
