/* Numbers against the C library's strtod and printf in the C locale, against exact decimal expansions computed by hand
 * from powers of two, and against the border values of IEEE 754 binary64. */
#include "runtime/base/number.h"

#include <check.h>
#include <float.h>
#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static struct arena arena;

static void begin(void)
{
    arena_init(&arena, NULL);
}

static void end(void)
{
    arena_free(&arena);
}

static uint64_t bits_of(double v)
{
    uint64_t b;
    memcpy(&b, &v, sizeof b);
    return b;
}

static double from_bits(uint64_t b)
{
    double v;
    memcpy(&v, &b, sizeof v);
    return v;
}

static uint64_t random_state = 88172645463325252u;

static uint64_t random_bits(void) /* xorshift64 */
{
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return random_state;
}

static void reads_like_strtod(const char *z)
{
    double ours;
    enum number_fault fault = number_read(text_of(z), &ours);
    double theirs = strtod(z, NULL);
    ck_assert_msg(bits_of(ours) == bits_of(theirs), "%s: ours %a, strtod %a", z, ours, theirs);
    ck_assert_int_eq(fault, isinf(theirs) ? NUMBER_TOO_LARGE : NUMBER_OK);
}

START_TEST(reads_plain_numbers)
{
    const struct {
        const char *z;
        double value;
    } cases[] = {
        {"0", 0},     {"0.50", 0.5},  {"1.8e3", 1800}, {"3_500", 3500},  {"1_000_000.000_5", 1000000.0005},
        {"007", 7},   {"12E-1", 1.2}, {"1e+2", 100},   {"-0.02", -0.02}, {"0e999999999999999999", 0},
        {"0.1", 0.1}, {"0.30", 0.3},  {"1e22", 1e22},  {"1e23", 1e23},   {"123456789012345678", 123456789012345678.0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double v;
        ck_assert_int_eq(number_read(text_of(cases[i].z), &v), NUMBER_OK);
        ck_assert_msg(v == cases[i].value, "%s read as %.17g", cases[i].z, v);
    }
}
END_TEST

static const char *const malformed[] = {
    "",     ".",    "-",     "+1",   ".5",  "5.",   "1.e3", "1e",  "1e+", "1e-", "_1",    "1_",    "1__0",  "1_.5",
    "1._5", "1.5_", "1e1_0", "1e_1", "1,5", "0x10", "inf",  "nan", " 1",  "1 ",  "1.5.2", "1e5e5", "1e5.5", "--1",
};

START_TEST(refuses_malformed)
{
    double v = 3;
    ck_assert_int_eq(number_read(text_of(malformed[_i]), &v), NUMBER_MALFORMED);
    ck_assert(v == 0);
}
END_TEST

/* Border values of IEEE 754-2008 binary64, and decimals known to lie on or next to the middle between two doubles:
 * 2^-1075 (half the smallest), 2^53 + 1. */
static const char *const borders[] = {
    "1.7976931348623157e308",
    "1.7976931348623158e308",
    "1.797693134862315807e308",
    "1e309",
    "1e999999999",
    "2.2250738585072014e-308",
    "2.2250738585072011e-308",
    "4.9406564584124654e-324",
    "2.4703282292062327e-324",
    "2.4703282292062328e-324",
    "2.47032822920623272088284396434110686182e-324",
    "2.47032822920623272088284396434110686183e-324",
    "1e-400",
    "1e-999999999",
    "9007199254740993",
    "9007199254740993.0000000000000000000000000000000000000000000000000000000001",
    "9007199254740992.9999999999999999999999999999999999999999999999999999999999",
    "5.684341886080801e-14",
    "5.684341886080802e-14",
    "6929495644600919.5",
    "3.518437208883201171875e13",
    "62.5364939768271845828",
    "8.10109172351e-10",
    "1.50000000000000011102230246251565",
};

START_TEST(reads_borders_like_strtod)
{
    reads_like_strtod(borders[_i]);
}
END_TEST

START_TEST(reads_random_doubles_back)
{
    char z[64];
    for (int i = 0; i < 60000; i++) {
        double v = fabs(from_bits(random_bits()));
        if (!isfinite(v))
            continue;
        snprintf(z, sizeof z, "%.*e", (int)(random_bits() % 22), v);
        reads_like_strtod(z);
    }
}
END_TEST

START_TEST(reads_random_decimals_like_strtod)
{
    char z[64];
    for (int i = 0; i < 40000; i++) {
        int len = 1 + (int)(random_bits() % 25), at = 0;
        for (int d = 0; d < len; d++)
            z[at++] = (char)('0' + random_bits() % 10);
        if (random_bits() % 2)
            at += sprintf(z + at, ".%llu", (unsigned long long)(random_bits() % 1000000));
        sprintf(z + at, "e%d", (int)(random_bits() % 640) - 330);
        reads_like_strtod(z);
    }
}
END_TEST

/* The middle between two neighbouring doubles, printed exactly, must go to the even one; a digit more or less, far out,
 * to the upper or lower. */
START_TEST(reads_exact_middles)
{
    char z[1300];
    for (int i = 0; i < 3000; i++) {
        uint64_t b = random_bits() >> 1;
        if (i % 3 == 0)
            b &= UINT64_C(0x000FFFFFFFFFFFFF); /* subnormal */
        double low = from_bits(b), high = nextafter(low, INFINITY);
        if (!isfinite(high) || high > 1e100)
            continue;
        long double middle = ((long double)low + (long double)high) / 2; /* 64 bits of mantissa hold it exactly */
        int n = snprintf(z, sizeof z, "%.1100Lf", middle);
        double v;
        ck_assert_int_eq(number_read(text_of(z), &v), NUMBER_OK);
        ck_assert_uint_eq(bits_of(v), b % 2 ? b + 1 : b);
        z[n - 1] = '1';
        number_read(text_of(z), &v);
        ck_assert_uint_eq(bits_of(v), b + 1);
        reads_like_strtod(z);
    }
}
END_TEST

/* 2^1024 - 2^970 lies between the largest double and the next there would be: it and all above are too large. */
START_TEST(reads_the_middle_above_the_largest)
{
    char z[400];
    double v;
    int n = snprintf(z, sizeof z, "%.0Lf", 0x1.fffffffffffff8p1023L);
    reads_like_strtod(z);
    ck_assert_int_eq(number_read(text_of(z), &v), NUMBER_TOO_LARGE);
    ck_assert_int_gt(z[n - 1], '0');
    z[n - 1]--;
    reads_like_strtod(z);
    ck_assert_int_eq(number_read(text_of(z), &v), NUMBER_OK);
    ck_assert(v == DBL_MAX);
}
END_TEST

START_TEST(reads_the_middle_below_the_smallest_normal)
{
    char z[1200];
    double v;
    int n = snprintf(z, sizeof z, "%.1080Lf", 0x1.fffffffffffffp-1023L); /* even above: up to DBL_MIN */
    reads_like_strtod(z);
    ck_assert_int_eq(number_read(text_of(z), &v), NUMBER_OK);
    ck_assert(v == DBL_MIN);
    while (z[n - 1] == '0')
        n--;
    z[n - 1]--;
    reads_like_strtod(z);
    number_read(text_of(z), &v);
    ck_assert(v < DBL_MIN);
}
END_TEST

START_TEST(reads_very_long_texts)
{
    enum { LONG = 200000 };
    char *z = malloc(LONG + 32);
    memset(z, '0', LONG);
    z[0] = '1';
    sprintf(z + LONG, "e-%d", LONG - 1);
    reads_like_strtod(z); /* exactly 1 */
    memset(z, '3', LONG);
    z[1] = '.';
    z[LONG] = 0;
    reads_like_strtod(z);
    memset(z, '0', LONG);
    z[1] = '.';
    sprintf(z + LONG, "5e%d", LONG - 1);
    reads_like_strtod(z); /* 5 after 199998 zeros, brought back: 5 */
    free(z);
}
END_TEST

static const struct {
    double value;
    const char *z;
} printed[] = {
    {0, "0"},
    {-0.0, "-0"},
    {0.1, "0.1"},
    {-2.5, "-2.5"},
    {0.3, "0.3"},
    {0.1 + 0.2, "0.30000000000000004"},
    {100, "100"},
    {1e14, "100000000000000"},
    {1e15, "1e15"},
    {1e300, "1e300"},
    {1.5e-7, "1.5e-7"},
    {0.00001, "0.00001"},
    {0.00123, "0.00123"},
    {123.456, "123.456"},
    {120.5, "120.5"},
    {1.0 / 3, "0.3333333333333333"},
    {9007199254740993.0, "9.007199254740992e15"},
    {DBL_MAX, "1.7976931348623157e308"},
    {DBL_MIN, "2.2250738585072014e-308"},
    {4.9406564584124654e-324, "5e-324"},
    {0x1p-44, "5.684341886080802e-14"}, /* the nearest 16 digits, ...801, read back as the double below */
    {0x1p-1073, "1e-323"},
    {NAN, "nan"},
    {INFINITY, "inf"},
    {-INFINITY, "-inf"},
};

START_TEST(prints_shortest)
{
    struct text t = number_print(&arena, printed[_i].value);
    ck_assert_msg(text_is(t, printed[_i].z), "%.*s instead of %s", TEXT_ARGS(t), printed[_i].z);
}
END_TEST

static int digits_of(struct text t)
{
    int digits = 0, zeros = 0;
    bool begun = false;
    for (uint32_t i = 0; i < t.len && t.at[i] != 'e'; i++) {
        begun |= t.at[i] >= '1' && t.at[i] <= '9';
        if (begun && t.at[i] != '.') {
            digits++;
            zeros = t.at[i] == '0' ? zeros + 1 : 0;
        }
    }
    return digits - zeros;
}

/* What is printed reads back, with no more digits than the first %.Ng that does. */
static void prints_back(double v)
{
    char z[64];
    struct text t = number_print(&arena, v);
    double back;
    ck_assert_int_eq(number_read(t, &back), NUMBER_OK);
    ck_assert_msg(bits_of(back) == bits_of(v), "%a printed as %.*s", v, TEXT_ARGS(t));
    ck_assert(strtod(arena_text(&arena, t).at, NULL) == v);
    int needed = 1;
    while (needed < 17 && (snprintf(z, sizeof z, "%.*e", needed - 1, v), strtod(z, NULL) != v))
        needed++;
    ck_assert_msg(digits_of(t) <= needed, "%.*s has more than %d digits", TEXT_ARGS(t), needed);
}

START_TEST(prints_back_everything)
{
    for (int e = -1074; e < 1024; e++) {
        prints_back(ldexp(1, e));
        prints_back(nextafter(ldexp(1, e), 0));
    }
    for (int i = 0; i < 30000; i++) {
        double v = from_bits(random_bits());
        if (isfinite(v))
            prints_back(v);
        prints_back((double)(random_bits() % 1000000) / 1000);
    }
}
END_TEST

static const struct {
    double value;
    int decimals;
    const char *z;
} fixed[] = {
    {0, 2, "0.00"},
    {-0.0, 2, "0.00"},
    {-0.001, 2, "0.00"},
    {-0.005000001, 2, "-0.01"},
    {0.5, 0, "0"},
    {1.5, 0, "2"},
    {2.5, 0, "2"},
    {0.125, 2, "0.12"},
    {0.375, 2, "0.38"},
    {2.675, 2, "2.67"},
    {1.005, 2, "1.00"}, /* binary 1.00499999999999989... */
    {1e22, 0, "10000000000000000000000"},
    {-168.25, 3, "-168.250"},
    {1234.5, -3, "1234"},
    {0.1, 20, "0.10000000000000000555"},
    {-0.4, 0, "0"},
    {999.9996, 3, "1000.000"},
    {NAN, 2, "nan"},
    {INFINITY, 2, "inf"},
    {-INFINITY, 2, "-inf"},
};

START_TEST(prints_fixed)
{
    struct text t = number_fixed(&arena, fixed[_i].value, fixed[_i].decimals);
    ck_assert_msg(text_is(t, fixed[_i].z), "%.*s instead of %s", TEXT_ARGS(t), fixed[_i].z);
}
END_TEST

START_TEST(prints_fixed_like_printf)
{
    char z[512];
    for (int i = 0; i < 50000; i++) {
        double v = from_bits(random_bits());
        int decimals = (int)(random_bits() % 30);
        if (!isfinite(v))
            continue;
        snprintf(z, sizeof z, "%.*f", decimals, v);
        if (strspn(z, "-0.") == strlen(z) && z[0] == '-')
            memmove(z, z + 1, strlen(z));
        struct text t = number_fixed(&arena, v, decimals);
        ck_assert_msg(text_is(t, z), "%.*s instead of %s", TEXT_ARGS(t), z);
        if (i % 1000 == 0) {
            end();
            begin();
        }
    }
}
END_TEST

/* A locale whose decimal sign is a comma; German if the machine has it. Where it has none the C locale is asked again. */
START_TEST(does_not_follow_the_locale)
{
    static const char *const commas[] = {"de_DE.UTF-8", "de_DE.utf8", "de_DE", "fr_FR.UTF-8", "nl_NL.UTF-8"};
    char z[16] = "";
    for (size_t i = 0; i < sizeof commas / sizeof commas[0] && !strchr(z, ','); i++)
        if (setlocale(LC_ALL, commas[i]))
            snprintf(z, sizeof z, "%.1f", 0.5);
    double v;
    ck_assert_int_eq(number_read(TEXT("1.25"), &v), NUMBER_OK);
    ck_assert(v == 1.25);
    ck_assert_int_eq(number_read(TEXT("1,25"), &v), NUMBER_MALFORMED);
    ck_assert(text_is(number_print(&arena, 1.25), "1.25"));
    ck_assert(text_is(number_print(&arena, 1.0 / 3), "0.3333333333333333"));
    ck_assert(text_is(number_fixed(&arena, 1234567.25, 3), "1234567.250"));
    setlocale(LC_ALL, "C");
}
END_TEST

/* As strtod() reads it, which rounds correctly. */
START_TEST(powers_of_ten)
{
    for (int exponent = -40; exponent <= 40; exponent++) {
        char z[16];
        snprintf(z, sizeof z, "1e%d", exponent);
        double power = power_of_ten(exponent), exact = strtod(z, NULL);
        ck_assert_msg(exponent < -22 || exponent > 22 ? fabs(power / exact - 1) < 1e-15 : power == exact, "%s", z);
    }
}
END_TEST

#define LOOP(tests, test, table) tcase_add_loop_test(tests, test, 0, (int)(sizeof(table) / sizeof(table)[0]))

int main(void)
{
    Suite *suite = suite_create("number");
    TCase *tests = tcase_create("number");
    tcase_add_checked_fixture(tests, begin, end);
    tcase_set_timeout(tests, 60);
    tcase_add_test(tests, reads_plain_numbers);
    LOOP(tests, refuses_malformed, malformed);
    LOOP(tests, reads_borders_like_strtod, borders);
    tcase_add_test(tests, reads_random_doubles_back);
    tcase_add_test(tests, reads_random_decimals_like_strtod);
    tcase_add_test(tests, reads_exact_middles);
    tcase_add_test(tests, reads_the_middle_above_the_largest);
    tcase_add_test(tests, reads_the_middle_below_the_smallest_normal);
    tcase_add_test(tests, reads_very_long_texts);
    LOOP(tests, prints_shortest, printed);
    tcase_add_test(tests, prints_back_everything);
    LOOP(tests, prints_fixed, fixed);
    tcase_add_test(tests, prints_fixed_like_printf);
    tcase_add_test(tests, does_not_follow_the_locale);
    tcase_add_test(tests, powers_of_ten);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
