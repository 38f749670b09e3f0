/* Roots of functions that mislead Newton's rule: flat ones, steep ones, steps, several roots, roots near zero. Each
 * must be found to the last digits, and soon. */
#include "runtime/physics/root.h"

#include <check.h>
#include <float.h>
#include <math.h>

struct sample {
    const char *what;
    double (*f)(double x, double *slope);
    double low, high, root, slack;
};

static double line(double x, double *slope)
{
    *slope = 3;
    return 3 * (x - 0.7);
}

static double cube_root(double x, double *slope) /* Newton's steps grow */
{
    double away = x - 0.3;
    *slope = 1 / (3 * pow(fabs(away), 2.0 / 3));
    return cbrt(away);
}

static double flat(double x, double *slope) /* Newton gains 1/9 a step */
{
    *slope = 9 * pow(x - 0.3, 8);
    return pow(x - 0.3, 9);
}

static double steep(double x, double *slope) /* Newton goes down by 1/50 at a time */
{
    *slope = 50 * exp(50 * x);
    return exp(50 * x) - 2;
}

static double switched(double x, double *slope)
{
    *slope = 0;
    return x < 0.123456789 ? -1 : 1;
}

static double blind(double x, double *slope) /* slope unknown */
{
    *slope = NAN;
    return cos(x);
}

static double falling(double x, double *slope)
{
    *slope = -sin(x);
    return cos(x);
}

static double tiny(double x, double *slope)
{
    *slope = 1;
    return x - 1e-150;
}

static double tiny_blind(double x, double *slope)
{
    *slope = NAN;
    return x - 1e-30;
}

static double cycling(double x, double *slope) /* from 0 to 1 and back, without the bracket */
{
    *slope = 3 * x * x - 2;
    return (x * x - 2) * x + 2;
}

static double thrown_far(double x, double *slope)
{
    *slope = 200 / (1 + 4e4 * (x - 0.9) * (x - 0.9));
    return atan(200 * (x - 0.9));
}

static const struct sample samples[] = {
    {"line", line, 0, 1, 0.7, 1e-15},
    {"line at an end", line, 0.7, 1, 0.7, 1e-15},
    {"cube root", cube_root, -1, 2, 0.3, 1e-15},
    {"ninth power", flat, -1, 2, 0.3, 1e-15},
    {"steep", steep, -1, 20, 0.013862943611198906, 1e-16},
    {"step", switched, 0, 1, 0.123456789, 1e-15},
    {"no slope", blind, 0, 3, 1.5707963267948966, 1e-15},
    {"falling", falling, 0, 3, 1.5707963267948966, 1e-15},
    {"far below the end", tiny, 0, 1, 1e-150, 1e-165},
    {"far below, no slope", tiny_blind, 0, 1, 1e-30, 1e-45},
    {"below over decades", tiny_blind, 1e-200, 1e200, 1e-30, 1e-45},
    {"cycle", cycling, -3, 3, -1.7692923542386314, 1e-15},
    {"thrown far", thrown_far, 0, 1, 0.9, 1e-15},
};

/* What halving alone takes: down from the end to the root, then bit by bit; twice that, as every other step may be
 * Newton's. Where the bracket lies on one side of zero the way down is a halving of decades: ten steps at most. */
static int never_more(const struct sample *s)
{
    double octaves = fmax(0, log2(s->high / fabs(s->root)));
    return 2 * (56 + (int)fmin(octaves, s->low > 0 ? 10 : 512));
}

struct counted {
    const struct sample *sample;
    int evaluations;
};

static double count(void *context, double x, double *slope)
{
    struct counted *c = context;
    ck_assert(x >= c->sample->low && x <= c->sample->high);
    c->evaluations++;
    return c->sample->f(x, slope);
}

START_TEST(finds_the_root_soon)
{
    const struct sample *s = &samples[_i];
    struct counted c = {s, 0};
    double root = root_between(count, &c, s->low, s->high);
    ck_assert_msg(fabs(root - s->root) <= s->slack, "%s: %.17g instead of %.17g", s->what, root, s->root);
    ck_assert_msg(c.evaluations <= never_more(s), "%s: %d evaluations", s->what, c.evaluations);
}
END_TEST

START_TEST(ends_where_there_is_none)
{
    double unused;
    struct sample s = {"none", line, 1, 2, 1, 0};
    struct counted c = {&s, 0};
    ck_assert(line(1, &unused) > 0 && line(2, &unused) > 0);
    double root = root_between(count, &c, 1, 2);
    ck_assert(root >= 1 && root <= 2);
    ck_assert_int_le(c.evaluations, never_more(&s));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("root");
    TCase *tests = tcase_create("root");
    tcase_add_loop_test(tests, finds_the_root_soon, 0, (int)(sizeof samples / sizeof samples[0]));
    tcase_add_test(tests, ends_where_there_is_none);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
