/* Interval arithmetic: hand-made cases, and every operation and function on random intervals against MPFI at 300 bits
 * (Multiple Precision Floating-point Interval library, Revol and Rouillier), for containment and for tightness.
 * link if mpfi.h: -lmpfi -lmpfr -lgmp
 */
#include "runtime/evaluate/interval.h"

#include "runtime/compare.h"

#include <check.h>
#include <stdio.h>
#include <stdlib.h>

#if __has_include(<mpfi.h>)
#include <mpfi.h>
#define HAVE_MPFI 1
#else
#define HAVE_MPFI 0
#endif

static double share(void)
{
    return rand() / (double)RAND_MAX;
}

/* Of any size, often whole, sometimes 0. */
static double any_number(double decades)
{
    double sign = rand() % 2 ? 1 : -1;
    switch (rand() % 8) {
    case 0:
        return sign * (rand() % 5);
    case 1:
        return sign * (rand() % 1000) / 8;
    default:
        return sign * pow(10, decades * (2 * share() - 1)) * (1 + share());
    }
}

static struct interval any_interval(double decades)
{
    double a = any_number(decades), b = rand() % 4 ? any_number(decades) : a * (1 + 1e-12 * share());
    if (rand() % 6 == 0)
        b = a;
    return interval_of(fmin(a, b), fmax(a, b));
}

static double member(struct interval x)
{
    double t = share(), v = x.low + t * (x.high - x.low);
    return rand() % 4 == 0 ? (rand() % 2 ? x.low : x.high) : fmin(fmax(v, x.low), x.high);
}

static void is_interval(struct interval got, double low, double high)
{
    ck_assert_msg(got.low == low && got.high == high, "[%.17g, %.17g] instead of [%.17g, %.17g]", got.low, got.high,
                  low, high);
}

/* ---- by hand ----------------------------------------------------------------------------------------------------- */

START_TEST(steps_to_the_next_number)
{
    ck_assert(interval_next_up(1) == 1 + DBL_EPSILON && interval_next_down(1) == 1 - DBL_EPSILON / 2);
    ck_assert(interval_next_up(0) == 0x1p-1074 && interval_next_up(-0.0) == 0x1p-1074 &&
              interval_next_down(0) == -0x1p-1074);
    ck_assert(interval_next_up(DBL_MAX) == INFINITY && interval_next_up(INFINITY) == INFINITY &&
              interval_next_down(INFINITY) == DBL_MAX);
    ck_assert(interval_next_up(-0x1p-1074) == 0 && isnan(interval_next_up(NAN)));
    for (int i = 0; i < 100000; i++) {
        double x = any_number(300);
        ck_assert(interval_next_up(x) == nextafter(x, INFINITY) && interval_next_down(x) == nextafter(x, -INFINITY));
    }
}
END_TEST

START_TEST(keeps_what_is_exact)
{
    struct interval two = interval_point(2), three = interval_point(3), zero = interval_point(0);
    is_interval(interval_add(two, three), 5, 5);
    is_interval(interval_multiply(two, three), 6, 6);
    is_interval(interval_divide(three, two), 1.5, 1.5);
    is_interval(interval_power(three, two), 9, 9);
    is_interval(interval_sqrt(interval_point(9)), 3, 3);
    is_interval(interval_multiply(zero, interval_of(-1, 5)), 0, 0);
    is_interval(interval_sin(zero), 0, 0);
    is_interval(interval_subtract(interval_of(1, 2), interval_of(0.5, 1)), 0, 1.5);
    struct interval tenth = interval_divide(interval_point(1), interval_point(10));
    ck_assert(tenth.low < tenth.high && interval_contains(tenth, 0.1));
}
END_TEST

/* Beside the exact sum, which a long double of 64 digits holds of two numbers that are not far apart. */
START_TEST(rounds_sums_outward)
{
    _Static_assert(LDBL_MANT_DIG >= 64, "the sum of two doubles of like size must be exact");
    uint32_t inexact = 0;
    for (int i = 0; i < 100000; i++) {
        double a = any_number(1), b = any_number(1), down = interval_sum_down(a, b), up = interval_sum_up(a, b);
        long double exact = (long double)a + b;
        if (fabs(a) > 1024 * fabs(b) || fabs(b) > 1024 * fabs(a))
            continue;
        ck_assert_msg(down <= exact && exact <= up, "%.17g + %.17g: %.17g to %.17g", a, b, down, up);
        ck_assert(down == up ? (long double)down == exact : interval_next_up(down) == up);
        inexact += down < up;
    }
    ck_assert_uint_gt(inexact, 10000);
}
END_TEST

START_TEST(keeps_signs)
{
    is_interval(interval_multiply(interval_of(0, 2), interval_of(3, 5)), 0, interval_next_up(10));
    ck_assert(interval_multiply(interval_of(-2, 0), interval_of(3, 5)).high == 0);
    ck_assert(interval_divide(interval_of(0, 2), interval_of(3, 5)).low == 0);
    ck_assert(interval_power(interval_of(-2, 3), interval_point(2)).low == 0);
    ck_assert(interval_power(interval_of(-2, 3), interval_point(4)).low == 0);
    ck_assert(interval_exp(interval_of(-1e4, 0)).low == 0);
    /* Numbers that vanish beside zero are still on their side of it. */
    struct interval tiny = interval_multiply(interval_of(1e-200, 2e-200), interval_of(-2e-200, -1e-200));
    ck_assert(tiny.low < 0 && tiny.high == 0);
}
END_TEST

START_TEST(treats_unbounded_and_empty)
{
    struct interval whole = interval_whole(), none = interval_empty(), up = interval_of(0, INFINITY);
    is_interval(interval_multiply(whole, interval_point(0)), 0, 0);
    is_interval(interval_multiply(up, interval_of(2, 3)), 0, INFINITY);
    is_interval(interval_multiply(up, interval_of(-3, 2)), -INFINITY, INFINITY);
    is_interval(interval_add(up, interval_of(-INFINITY, 1)), -INFINITY, INFINITY);
    is_interval(interval_divide(interval_of(1, 2), interval_of(-1, 1)), -INFINITY, INFINITY);
    ck_assert(interval_divide(interval_of(1, 2), interval_of(0, 4)).low <= 0.25);
    ck_assert(interval_divide(interval_of(1, 2), interval_of(0, 4)).high == INFINITY);
    ck_assert(interval_divide(interval_of(1, 2), interval_of(-4, 0)).low == -INFINITY);
    ck_assert(interval_divide(up, up).low == 0 && interval_divide(up, up).high == INFINITY);
    ck_assert(interval_is_empty(interval_divide(interval_point(1), interval_point(0))));
    ck_assert(interval_is_empty(interval_sqrt(interval_of(-2, -1))));
    ck_assert(interval_is_empty(interval_ln(interval_of(-2, 0))));
    is_interval(interval_ln(interval_of(0, 1)), -INFINITY, interval_ln(interval_of(0, 1)).high);
    is_interval(interval_tan(interval_of(1, 2)), -INFINITY, INFINITY);
    is_interval(interval_sin(interval_of(0, 1e300)), -1, 1);
    struct interval two = interval_point(2);
    const struct interval results[] = {interval_add(none, two),
                                       interval_multiply(two, none),
                                       interval_divide(none, two),
                                       interval_power(none, two),
                                       interval_power(two, none),
                                       interval_sqrt(none),
                                       interval_exp(none),
                                       interval_ln(none),
                                       interval_sin(none),
                                       interval_cos(none),
                                       interval_tan(none),
                                       interval_atan(none),
                                       interval_abs(none),
                                       interval_min(two, none),
                                       interval_max(none, two),
                                       interval_intersect(two, none),
                                       interval_intersect(two, interval_of(3, 4)),
                                       interval_negate(none)};
    for (size_t i = 0; i < sizeof results / sizeof results[0]; i++)
        ck_assert_msg(interval_is_empty(results[i]), "result %zu", i);
    is_interval(interval_hull(none, two), 2, 2);
    is_interval(interval_hull(interval_of(3, 4), two), 2, 4);
}
END_TEST

START_TEST(finds_the_tops_of_waves)
{
    const double pi = 3.14159265358979323846;
    ck_assert(interval_sin(interval_of(1, 2)).high == 1 && interval_sin(interval_of(1, 1.5)).high < 1);
    ck_assert(interval_sin(interval_of(4, 5)).low == -1 && interval_sin(interval_of(4, 4.5)).low > -1);
    ck_assert(interval_cos(interval_of(-0.1, 0.1)).high == 1 && interval_cos(interval_of(3, 3.2)).low == -1);
    ck_assert(interval_sin(interval_of(-pi / 2 - 0.1, pi / 2 + 0.1)).low == -1);
    ck_assert(interval_sin(interval_of(1000 * pi + 0.1, 1000 * pi + 0.2)).high < 0.3);
    ck_assert(interval_tan(interval_of(-1.5, 1.5)).high < 15);
}
END_TEST

/* ---- comparisons ------------------------------------------------------------------------------------------------- */

static bool matches(enum truth t, bool value)
{
    return t == TRUTH_UNKNOWN || (t == TRUTH_TRUE) == value;
}

START_TEST(compares_for_every_pair)
{
    srand(5);
    int known = 0;
    for (int i = 0; i < 200000; i++) {
        struct interval a = any_interval(1), b = rand() % 3 ? any_interval(1) : interval_of(a.low, a.high * 1.0);
        if (rand() % 3 == 0)
            b = interval_point(a.high * (1 + 4e-12 * (share() - 0.5)));
        double x = member(a), y = member(b);
        ck_assert(matches(interval_less(a, b), less_value(x, y)));
        ck_assert(matches(interval_less_equal(a, b), !less_value(y, x)));
        ck_assert(matches(interval_equal(a, b), same_value(x, y)));
        known += interval_less(a, b) != TRUTH_UNKNOWN;
    }
    ck_assert_int_gt(known, 20000);
}
END_TEST

START_TEST(compares_plainly)
{
    struct interval low = interval_of(1, 2), high = interval_of(3, 4), touching = interval_of(2, 3);
    ck_assert_int_eq(interval_less(low, high), TRUTH_TRUE);
    ck_assert_int_eq(interval_less(high, low), TRUTH_FALSE);
    ck_assert_int_eq(interval_less(low, touching), TRUTH_UNKNOWN);
    ck_assert_int_eq(interval_less_equal(low, touching), TRUTH_TRUE);
    ck_assert_int_eq(interval_less(touching, low), TRUTH_FALSE);
    ck_assert_int_eq(interval_equal(low, high), TRUTH_FALSE);
    ck_assert_int_eq(interval_equal(low, low), TRUTH_UNKNOWN);
    ck_assert_int_eq(interval_equal(interval_point(3), interval_point(3)), TRUTH_TRUE);
    ck_assert_int_eq(interval_less_equal(interval_point(0.3), interval_point(3 * 0.1)), TRUTH_TRUE);
    ck_assert_int_eq(interval_less_equal(interval_point(3 * 0.1), interval_point(0.3)), TRUTH_TRUE);
}
END_TEST

/* ---- members stay members ---------------------------------------------------------------------------------------- */

typedef struct interval binary(struct interval, struct interval);

static const struct {
    const char *name;
    binary *ours;
    char sign;
} binaries[] = {{"+", interval_add, '+'},    {"-", interval_subtract, '-'}, {"*", interval_multiply, '*'},
                {"/", interval_divide, '/'}, {"^", interval_power, '^'},    {"min", interval_min, 'm'},
                {"max", interval_max, 'M'}};
enum { BINARIES = sizeof binaries / sizeof binaries[0] };

static double in_doubles(char sign, double x, double y)
{
    switch (sign) {
    case '+':
        return x + y;
    case '-':
        return x - y;
    case '*':
        return x * y;
    case '/':
        return x / y;
    case '^':
        return pow(x, y);
    case 'm':
        return fmin(x, y);
    default:
        return fmax(x, y);
    }
}

START_TEST(holds_what_doubles_give)
{
    srand(7 + _i);
    int tried = 0;
    for (int i = 0; i < 200000; i++) {
        bool power = binaries[_i].sign == '^';
        struct interval a = any_interval(power ? 2 : 20), b = any_interval(power ? 1 : 20);
        if (power && rand() % 2)
            b = interval_point(trunc(b.low));
        bool whole = interval_is_point(b) && b.low == trunc(b.low);
        struct interval r = binaries[_i].ours(a, b);
        double x = member(a), y = member(b), v = in_doubles(binaries[_i].sign, x, y);
        if (!isfinite(v) || (power && a.low < 0 && !whole)) /* of the positive part alone: said in the header */
            continue;
        tried++;
        ck_assert_msg(interval_contains(r, v), "[%.17g, %.17g] %s [%.17g, %.17g] = [%.17g, %.17g] lacks %.17g %s %.17g",
                      a.low, a.high, binaries[_i].name, b.low, b.high, r.low, r.high, x, binaries[_i].name, y);
    }
    ck_assert_int_gt(tried, 60000);
}
END_TEST

/* ---- MPFI -------------------------------------------------------------------------------------------------------- */

#if HAVE_MPFI

enum { BITS = 300 };

/* The reference holds the exact range and hardly more; ours must hold that, to the last double. */
static void holds(struct interval ours, mpfi_srcptr exact, const char *name, struct interval a, struct interval b)
{
    mpfr_t end;
    mpfr_init2(end, BITS);
    mpfi_get_left(end, exact);
    double low = mpfr_get_d(end, MPFR_RNDD);
    mpfi_get_right(end, exact);
    double high = mpfr_get_d(end, MPFR_RNDU);
    mpfr_clear(end);
    ck_assert_msg(ours.low <= low && ours.high >= high,
                  "%s of [%.17g, %.17g], [%.17g, %.17g]: [%.17g, %.17g] instead of [%.17g, %.17g]", name, a.low, a.high,
                  b.low, b.high, ours.low, ours.high, low, high);
    /* Tight: no more than a dozen ulps out, where the exact end is an ordinary number. */
    double slack = 12 * DBL_EPSILON;
    if (fabs(low) < 1e300 && fabs(low) > 1e-290)
        ck_assert_msg(ours.low >= low - slack * fabs(low), "%s of [%.17g, %.17g], [%.17g, %.17g]: low %.17g for %.17g",
                      name, a.low, a.high, b.low, b.high, ours.low, low);
    if (fabs(high) < 1e300 && fabs(high) > 1e-290)
        ck_assert_msg(ours.high <= high + slack * fabs(high),
                      "%s of [%.17g, %.17g], [%.17g, %.17g]: high %.17g for %.17g", name, a.low, a.high, b.low, b.high,
                      ours.high, high);
}

typedef int mpfi_unary(mpfi_ptr, mpfi_srcptr);

static const struct {
    const char *name;
    struct interval (*ours)(struct interval);
    mpfi_unary *theirs;
    double decades, least; /* size of the arguments, and the lowest the function is asked for */
} unaries[] = {
    {"exp", interval_exp, mpfi_exp, 2.4, -INFINITY}, {"ln", interval_ln, mpfi_log, 300, 1e-305},
    {"sin", interval_sin, mpfi_sin, 3, -INFINITY},   {"cos", interval_cos, mpfi_cos, 3, -INFINITY},
    {"tan", interval_tan, mpfi_tan, 1, -INFINITY},   {"atan", interval_atan, mpfi_atan, 20, -INFINITY},
    {"sqrt", interval_sqrt, mpfi_sqrt, 300, 0},      {"abs", interval_abs, mpfi_abs, 300, -INFINITY},
};

START_TEST(agrees_with_mpfi_on_functions)
{
    mpfi_t x, y;
    mpfi_init2(x, BITS);
    mpfi_init2(y, BITS);
    srand(11 + _i);
    for (int i = 0; i < 20000; i++) {
        struct interval a = any_interval(unaries[_i].decades);
        a = interval_of(fmax(a.low, unaries[_i].least), fmax(a.high, unaries[_i].least));
        mpfi_interv_d(x, a.low, a.high);
        unaries[_i].theirs(y, x);
        struct interval r = unaries[_i].ours(a);
        /* Close to a pole ours may say "any number", where theirs knows better. */
        if (r.low == -INFINITY && r.high == INFINITY)
            continue;
        holds(r, y, unaries[_i].name, a, a);
    }
    mpfi_clear(x);
    mpfi_clear(y);
}
END_TEST

typedef int mpfi_binary(mpfi_ptr, mpfi_srcptr, mpfi_srcptr);

START_TEST(agrees_with_mpfi_on_operations)
{
    static mpfi_binary *const theirs[] = {mpfi_add, mpfi_sub, mpfi_mul, mpfi_div};
    mpfi_t x, y, z;
    mpfi_init2(x, BITS);
    mpfi_init2(y, BITS);
    mpfi_init2(z, BITS);
    srand(13 + _i);
    for (int i = 0; i < 100000; i++) {
        struct interval a = any_interval(40), b = any_interval(40);
        if (_i == 3 && interval_contains(b, 0))
            continue;
        mpfi_interv_d(x, a.low, a.high);
        mpfi_interv_d(y, b.low, b.high);
        theirs[_i](z, x, y);
        holds(binaries[_i].ours(a, b), z, binaries[_i].name, a, b);
    }
    mpfi_clear(x);
    mpfi_clear(y);
    mpfi_clear(z);
}
END_TEST

/* Powers from the definition: exp(y ln x) for a positive base. A whole power of the size, or an odd one, rises, so it is
 * that of the ends. */
static void power_by_mpfi(mpfi_ptr z, mpfi_ptr x, mpfi_srcptr y, struct interval exponent)
{
    if (!interval_is_point(exponent) || exponent.low != trunc(exponent.low)) {
        mpfi_log(z, x);
        mpfi_mul(z, z, y);
        mpfi_exp(z, z);
        return;
    }
    long n = labs((long)exponent.low);
    if (n % 2 == 0)
        mpfi_abs(x, x);
    mpfr_t low, high;
    mpfr_inits2(BITS, low, high, (mpfr_ptr)0);
    mpfi_get_left(low, x);
    mpfi_get_right(high, x);
    mpfr_pow_si(low, low, n, MPFR_RNDD);
    mpfr_pow_si(high, high, n, MPFR_RNDU);
    mpfi_interv_fr(z, low, high);
    mpfr_clears(low, high, (mpfr_ptr)0);
    if (exponent.low < 0)
        mpfi_inv(z, z);
}

START_TEST(agrees_with_mpfi_on_powers)
{
    mpfi_t x, y, z;
    mpfi_init2(x, BITS);
    mpfi_init2(y, BITS);
    mpfi_init2(z, BITS);
    srand(17);
    for (int i = 0; i < 40000; i++) {
        struct interval a = any_interval(2), b = any_interval(0.7);
        b = rand() % 2 ? interval_point(trunc(b.low)) : b;
        bool whole = interval_is_point(b) && b.low == trunc(b.low);
        if ((!whole && a.low <= 0) || (b.low < 0 && interval_contains(a, 0)))
            continue;
        mpfi_interv_d(x, a.low, a.high);
        mpfi_interv_d(y, b.low, b.high);
        power_by_mpfi(z, x, y, b);
        holds(interval_power(a, b), z, "power", a, b);
    }
    mpfi_clear(x);
    mpfi_clear(y);
    mpfi_clear(z);
}
END_TEST

static void add_reference(TCase *c)
{
    tcase_add_loop_test(c, agrees_with_mpfi_on_functions, 0, sizeof unaries / sizeof unaries[0]);
    tcase_add_loop_test(c, agrees_with_mpfi_on_operations, 0, 4);
    tcase_add_test(c, agrees_with_mpfi_on_powers);
}

#else

static void add_reference(TCase *c)
{
    (void)c;
    printf("SKIPPED: no mpfi.h here (Debian: libmpfi-dev), so nothing was compared with MPFI\n");
}

#endif

int main(void)
{
    Suite *suite = suite_create("interval");
    TCase *c = tcase_create("interval");
    tcase_set_timeout(c, 120);
    tcase_add_test(c, steps_to_the_next_number);
    tcase_add_test(c, keeps_what_is_exact);
    tcase_add_test(c, rounds_sums_outward);
    tcase_add_test(c, keeps_signs);
    tcase_add_test(c, treats_unbounded_and_empty);
    tcase_add_test(c, finds_the_tops_of_waves);
    tcase_add_test(c, compares_for_every_pair);
    tcase_add_test(c, compares_plainly);
    tcase_add_loop_test(c, holds_what_doubles_give, 0, BINARIES);
    add_reference(c);
    suite_add_tcase(suite, c);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
