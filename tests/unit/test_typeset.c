/* Typesetting: one rounding, one spelling. The spellings follow the SI Brochure, 9th edition, 5.4 (space between number
 * and unit, none before the marks of an angle) and ISO 80000-1, annex B, rule A (half to even); how many decimals a
 * toolroom wants is common practice, without a published source. */
#include "compiler/text/typeset.h"

#include <check.h>
#include <math.h>
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

static struct unit unit_of(const char *z)
{
    struct unit u;
    struct unit_error error;
    ck_assert_msg(unit_read(text_of(z), &u, &error) == UNIT_OK, "%s was not read", z);
    return u;
}

static void is(struct text t, const char *z)
{
    ck_assert_msg(text_is(t, z), "'%.*s' instead of '%s'", TEXT_ARGS(t), z);
}

static const struct {
    double value;
    const char *unit, *ascii, *print;
} quantities[] = {
    {0.5, "mm", "0.50 mm", "0.50 mm"},
    {168, "mm", "168.00 mm", "168.00 mm"},
    {168.2741234, "mm", "168.274 mm", "168.274 mm"},
    {12.345, "mm", "12.345 mm", "12.345 mm"},
    {0.0092, "mm", "0.0092 mm", "0.0092 mm"},
    {-0.0531234, "mm", "-0.053 mm", "−0.053 mm"},
    {0.00012345, "mm", "0.0001234 mm", "0.0001234 mm"}, /* half to even */
    {3.4567e-9, "mm", "3.457e-9 mm", "3.457 × 10⁻⁹ mm"},
    {0, "mm", "0.00 mm", "0.00 mm"},
    {12345.6789, "mm", "12345.68 mm", "12345.68 mm"},
    {123456789, "mm", "123456789 mm", "123456789 mm"},
    {4.5e12, "mm", "4.5e12 mm", "4.5 × 10¹² mm"},
    {7.87401575, "in", "7.874 in", "7.874 in"},
    {6.61417, "in", "6.6142 in", "6.6142 in"},
    {26.1, "um", "26.1 um", "26.1 µm"},
    {200, "degC", "200 degC", "200 °C"},
    {203.37, "degC", "203.4 degC", "203.4 °C"},
    {0.04, "degC", "0 degC", "0 °C"},
    {-40, "°C", "-40 degC", "−40 °C"},
    {392, "degF", "392 degF", "392 °F"},
    {4, "K", "4 K", "4 K"},
    {600, "kN", "600 kN", "600 kN"},
    {12.3456, "kN", "12.35 kN", "12.35 kN"},
    {0.0534, "kN", "0.0534 kN", "0.0534 kN"},
    {2.5, "s", "2.5 s", "2.5 s"},
    {2.534, "s", "2.53 s", "2.53 s"},
    {120.04, "MPa", "120 MPa", "120 MPa"},
    {120.06, "MPa", "120.1 MPa", "120.1 MPa"},
    {205000, "MPa", "205000 MPa", "205000 MPa"},
    {90, "deg", "90 deg", "90°"},
    {1.25, "arcmin", "1.2 arcmin", "1.2′"},
    {12, "%", "12 %", "12 %"},
    {0.5312, "%", "0.5312 %", "0.5312 %"},
    {3, "permille", "3 permille", "3 ‰"},
    {420, "/h", "420 /h", "420 /h"},
    {420, "1/h", "420 /h", "420 /h"},
    {419.56, "1/h", "419.6 /h", "419.6 /h"},
    {1800, "W/(m^2*K)", "1800 W/(m^2*K)", "1800 W/(m²·K)"},
    {26.1, "µm/(m·K)", "26.1 um/(m*K)", "26.1 µm/(m·K)"},
    {4.2134, "um/K", "4.21 um/K", "4.21 µm/K"},
    {2.61e-5, "1/K", "2.61e-5 /K", "2.61 × 10⁻⁵ /K"},
    {0.123456, "s^-1", "0.123 s^-1", "0.123 s⁻¹"},
    {25, "mm/s", "25 mm/s", "25 mm/s"},
    {25080, "mm²", "25080 mm^2", "25080 mm²"},
    {3.2, "MPa*m^0.5", "3.2 MPa*m^0.5", "3.2 MPa·m^0.5"},
    {3.2, "m^1/3", "3.2 m^1/3", "3.2 m^1/3"},
    {7, "1", "7", "7"},
    {0.01234567, "s^-1", "0.01235 s^-1", "0.01235 s⁻¹"},
    {1.00208912, "1", "1.002089", "1.002089"},
    {0.99712345, "1", "0.997123", "0.997123"},
    {1, "1", "1", "1"},
    {1.05, "1", "1.05", "1.05"},
    {1.6666666, "1", "1.6667", "1.6667"},
    {0.0123456, "1", "0.0123", "0.0123"},
    {0.2, "1", "0.2", "0.2"},
};

/* Print puts a no-break space where the table, to be readable, has a plain one before the unit and around the cross. */
static struct text plain(struct text t)
{
    char *out = arena_alloc(&arena, t.len);
    uint32_t n = 0;
    for (uint32_t i = 0; i < t.len; i++) {
        ck_assert_msg(t.at[i] != ' ', "a space that breaks in %.*s", TEXT_ARGS(t));
        bool nbsp = i + 1 < t.len && memcmp(t.at + i, "\xC2\xA0", 2) == 0;
        out[n++] = nbsp ? ' ' : t.at[i];
        i += nbsp;
    }
    return (struct text){out, n};
}

START_TEST(quantities_in_both_spellings)
{
    struct unit u = unit_of(quantities[_i].unit);
    double si = unit_to_si(&u, quantities[_i].value);
    is(typeset_quantity(&arena, si, &u, SPELL_ASCII), quantities[_i].ascii);
    is(plain(typeset_quantity(&arena, si, &u, SPELL_PRINT)), quantities[_i].print);
}
END_TEST

START_TEST(print_does_not_break_between_number_and_unit)
{
    struct unit u = unit_of("degC");
    is(typeset_quantity(&arena, 473.15, &u, SPELL_PRINT), "200\xC2\xA0°C");
}
END_TEST

/* What is shown is never 0 for a value that is not, and is right to four digits; points on a scale excepted. */
START_TEST(small_and_large_stay_readable)
{
    const char *const units[] = {"mm", "kN", "MPa", "s", "W", "1", "%", "um/K", "J", "in", "W/(m*K)"};
    for (size_t k = 0; k < sizeof units / sizeof units[0]; k++)
        for (int e = -30; e <= 30; e++) {
            struct unit u = unit_of(units[k]);
            double value = 1.2345678 * pow(10, e);
            struct text t = typeset_quantity(&arena, unit_to_si(&u, value), &u, SPELL_ASCII);
            double shown = strtod(arena_text(&arena, t).at, NULL);
            ck_assert_msg(shown > 0, "%g shown as %.*s", value, TEXT_ARGS(t));
            ck_assert_msg(fabs(shown / value - 1) < 0.04, "%g shown as %.*s", value, TEXT_ARGS(t));
            if (e <= -5 || e >= 5)
                ck_assert_msg(fabs(shown / value - 1) < 5e-4, "%g shown as %.*s", value, TEXT_ARGS(t));
            ck_assert_msg(t.len <= 26, "%.*s is too long", TEXT_ARGS(t));
        }
}
END_TEST

static const struct {
    double value;
    int decimals;
    const char *z;
} rounding[] = {
    {0.5, 0, "0"},
    {1.5, 0, "2"},
    {2.5, 0, "2"},
    {12.25, 1, "12.2"},
    {12.35, 1, "12.4"},
    {2.675, 2, "2.68"},
    {1.005, 2, "1.00"}, /* even; in binary one lies above, one below */
    {12.0125, 3, "12.012"},
    {0.0120125 * 1000, 3, "12.012"},
    {473.5 - 473.15, 1, "0.4"},
    {473.4 - 473.15, 1, "0.2"},
    {99.9996, 3, "100.000"},
    {9.99, 1, "10.0"},
    {999.5, 0, "1000"},
    {-0.0004, 2, "0.00"},
    {-0.5, 0, "0"},
    {-1.5, 0, "-2"},
    {9.9999999996e9, 0, "10000000000"},
    {-9.9999999999e10, 0, "-1e11"},
    {1.5, 12, "1.5e0"},
    {1e300, 0, "1e300"},
    {INFINITY, 2, "unlimited"},
    {NAN, 2, "not evaluated"},
};

START_TEST(rounds_half_to_even_on_what_is_meant)
{
    is(typeset_number(&arena, rounding[_i].value, rounding[_i].decimals), rounding[_i].z);
}
END_TEST

/* The same length given in mm, in inches and in um is shown alike in mm. */
START_TEST(rounding_does_not_depend_on_the_unit_read)
{
    struct unit mm = unit_of("mm"), um = unit_of("um"), in = unit_of("in"), ft = unit_of("ft");
    for (int i = 1; i < 4000; i++) {
        double value = i * 0.0005; /* every other one is a tie at three decimals */
        struct text t = typeset_quantity_to(&arena, unit_to_si(&mm, value), &mm, 3, SPELL_ASCII);
        struct text want = arena_text(&arena, t);
        is(typeset_quantity_to(&arena, unit_to_si(&um, i * 0.5), &mm, 3, SPELL_ASCII), want.at);
        is(typeset_quantity_to(&arena, unit_to_si(&in, value / 25.4), &mm, 3, SPELL_ASCII), want.at);
        is(typeset_quantity_to(&arena, unit_to_si(&ft, value / 304.8), &mm, 3, SPELL_ASCII), want.at);
        int thousandths = i % 2 ? (i / 2) + (i / 2) % 2 : i / 2; /* half to even, in whole numbers */
        is(t, arena_format(&arena, "%d.%03d mm", thousandths / 1000, thousandths % 1000).at);
    }
}
END_TEST

static const struct {
    double value, tolerance;
    const char *unit;
    int decimals;
} decimals[] = {
    {168, 0.1, "mm", 2},        {0.5, 0.02, "mm", 2},        {0.505, 0.02, "mm", 3},
    {168.27412, 0.01, "mm", 3}, {168.27412, 0.005, "mm", 3}, {168, 0.025, "mm", 3},
    {168, 0.0134567, "mm", 3},  {200, 4, "degC", 0},         {203.37, 4, "degC", 1},
    {200, 2.5, "degC", 1},      {120, 6, "MPa", 0},          {45, 0.5, "deg", 1},
    {2.5, 0, "s", 1},           {2.5, NAN, "s", 1},          {12.3456, 1.5, "kN", 2},
    {0.2, 0.000001234, "1", 7},
};

START_TEST(decimals_follow_the_tolerance)
{
    struct unit u = unit_of(decimals[_i].unit);
    int shown = decimals_for(&u, decimals[_i].value, decimals[_i].tolerance);
    ck_assert_msg(shown == decimals[_i].decimals, "%g +/- %g %s: %d", decimals[_i].value, decimals[_i].tolerance,
                  decimals[_i].unit, shown);
}
END_TEST

static const struct {
    double nominal, lo, hi;
    const char *unit, *ascii, *print;
} tolerances[] = {
    {0.5, 0.48, 0.52, "mm", "+/- 0.02 mm", "± 0.02 mm"},
    {168, 167.9, 168.1, "mm", "+/- 0.10 mm", "± 0.10 mm"},
    {50, 49.95, 50.1, "mm", "+0.10 mm -0.05 mm", "+0.10 mm −0.05 mm"},
    {50, 50, 50.025, "mm", "+0.025 mm -0.000 mm", "+0.025 mm −0.000 mm"},
    {50, 49.9, 49.95, "mm", "-0.05 mm -0.10 mm", "−0.05 mm −0.10 mm"},
    {200, 196, 204, "degC", "+/- 4 K", "± 4 K"},
    {200, 195, 204, "degC", "+4 K -5 K", "+4 K −5 K"},
    {392, 383, 401, "degF", "+/- 9 degF", "± 9 °F"},
    {203.37, 199.37, 207.37, "degC", "+/- 4.0 K", "± 4.0 K"},
    {120, 114, 126, "MPa", "+/- 6 MPa", "± 6 MPa"},
    {90, 89.5, 90.5, "deg", "+/- 0.5 deg", "± 0.5°"},
    {0.5, 0.5, 0.5, "mm", "", ""},
    {0.5, 0.4, INFINITY, "mm", "", ""},
    {0.5, NAN, 0.6, "mm", "", ""},
};

START_TEST(tolerances_in_both_spellings)
{
    struct unit u = unit_of(tolerances[_i].unit);
    double nominal = unit_to_si(&u, tolerances[_i].nominal), lo = unit_to_si(&u, tolerances[_i].lo),
           hi = unit_to_si(&u, tolerances[_i].hi);
    is(typeset_tolerance(&arena, nominal, lo, hi, &u, SPELL_ASCII), tolerances[_i].ascii);
    struct text print = typeset_tolerance(&arena, nominal, lo, hi, &u, SPELL_PRINT);
    char *out = arena_alloc(&arena, print.len + 1);
    uint32_t n = 0;
    for (uint32_t i = 0; i < print.len; i++) /* the one plain space stands between plus and minus */
        if ((unsigned char)print.at[i] == 0xC2 && (unsigned char)print.at[i + 1] == 0xA0) {
            out[n++] = ' ';
            i++;
        } else {
            out[n++] = print.at[i];
        }
    is((struct text){out, n}, tolerances[_i].print);
}
END_TEST

static const struct {
    double lo, hi;
    const char *unit, *ascii;
} bands[] = {
    {190, 210, "degC", "190 degC .. 210 degC"},
    {199.9, 200.1, "mm", "199.90 mm .. 200.10 mm"},
    {167.99931, 168.00124, "mm", "167.9994 mm .. 168.0012 mm"},
    {168.00012, 168.00019, "mm", "168.000120 mm .. 168.000190 mm"},
    {5, 80, "mm/s", "5 mm/s .. 80 mm/s"},
    {12.3, 12.34567, "kN", "12.30 kN .. 12.34 kN"},
    {-INFINITY, 5, "mm", "at most 5.00 mm"},
    {5, INFINITY, "mm", "at least 5.00 mm"},
    {-INFINITY, INFINITY, "mm", "unlimited"},
    {NAN, 3, "mm", "not evaluated"},
};

START_TEST(bands_tell_their_ends_apart)
{
    struct unit u = unit_of(bands[_i].unit);
    is(typeset_band(&arena, unit_to_si(&u, bands[_i].lo), unit_to_si(&u, bands[_i].hi), &u, SPELL_ASCII),
       bands[_i].ascii);
}
END_TEST

START_TEST(bands_in_print)
{
    struct unit u = unit_of("degC");
    is(typeset_band(&arena, 463.15, 483.15, &u, SPELL_PRINT), "190\xC2\xA0°C … 210\xC2\xA0°C");
}
END_TEST

START_TEST(decimals_for_unequal_ends)
{
    struct unit u = unit_of("mm");
    ck_assert_int_eq(decimals_for_ends(&u, 0.05, 0.04995, 0.0501), 2);
    ck_assert_int_eq(decimals_for_ends(&u, 0.05, 0.049975, 0.0501), 3);
    ck_assert_int_eq(decimals_for_ends(&u, 0.05, 0.05, 0.050025), 3);
}
END_TEST

/* ASCII spelling can be written in a recipe again and means the same. */
static const struct {
    const char *unit;
    double value;
    int decimals;
} computed[] = {
    {"K", 5.8, 1},      {"K", 0.04371, 3}, {"K", 0.5496, 2},  {"um", -0.5488, 2},  {"um", -4.612, 1},
    {"kJ", 0.05179, 3}, {"mm", 0.062, 3},  {"mm", 0.0012, 4}, {"1", 1.0421934, 4}, {"MPa", 0, 0},
};

START_TEST(what_is_computed_has_two_digits_at_least)
{
    struct unit u = unit_of(computed[_i].unit);
    ck_assert_int_eq(decimals_for_computed(&u, computed[_i].value), computed[_i].decimals);
}
END_TEST

/* What is stated with few decimals keeps them; other quantities than times and forces keep all. */
static const struct {
    const char *unit;
    double value;
    int decimals;
} used[] = {
    {"s", 126.397, 0},    {"s", 62.1134, 1},    {"s", 0.3604, 2},    {"s", 99.9613, 0}, {"s", 126.4, 1},
    {"s", 2.25, 2},       {"s", 4012.345, 0},   {"min", 50.93, 2},   {"kN", 83.267, 1}, {"min", 50.92991, 1},
    {"kN", 15.96137, 0},  {"N", 83267.4, 1},    {"N", 83267.44, 0},  {"s", NAN, 2},     {"s", 0.0034, 4},
    {"mm", 168.46812, 3}, {"MPa", 120.0614, 1}, {"degC", 203.37, 1},
};

START_TEST(what_is_used_has_three_digits)
{
    struct unit u = unit_of(used[_i].unit);
    ck_assert_int_eq(end_for_use(&u, unit_to_si(&u, used[_i].value), TO_NEAREST).decimals, used[_i].decimals);
}
END_TEST

/* Who keeps to what is read keeps to what is meant; what needs no rounding is not moved. */
static const struct {
    const char *unit;
    double value;
    enum toward toward;
    const char *used, *limit;
} ends[] = {
    {"s", 12.4483, TO_ABOVE, "12.5 s", "12.45 s"},
    {"s", 12.4483, TO_BELOW, "12.4 s", "12.44 s"},
    {"s", 12.4483, TO_NEAREST, "12.4 s", "12.45 s"},
    {"s", 12.0011, TO_ABOVE, "12.1 s", "12.01 s"},
    {"s", 12.45, TO_ABOVE, "12.45 s", "12.45 s"},
    {"s", 12, TO_ABOVE, "12 s", "12 s"},
    {"s", 126.0001, TO_ABOVE, "127 s", "126.01 s"},
    {"s", 99.9613, TO_BELOW, "99.9 s", "99.96 s"},
    {"kN", 0.3, TO_ABOVE, "0.3 kN", "0.3 kN"},
    {"kW", 0.30041, TO_ABOVE, "0.31 kW", "0.31 kW"},
    {"mm", 184.1751, TO_ABOVE, "184.176 mm", "184.176 mm"},
    {"K", 27.4629, TO_BELOW, "27.4 K", "27.4 K"},
    {"K", -0.02, TO_ABOVE, "-0.02 K", "-0.02 K"},
    {"degC", 194.53, TO_ABOVE, "194.6 degC", "194.6 degC"},
    {"1", 2.95219, TO_BELOW, "2.9521", "2.9521"},
    {"1", 2, TO_BELOW, "2", "2"},
};

START_TEST(bounds_are_rounded_to_their_safe_side)
{
    struct unit u = unit_of(ends[_i].unit);
    double si = unit_to_si(&u, ends[_i].value);
    is(typeset_end(&arena, end_for_use(&u, si, ends[_i].toward), &u, SPELL_ASCII), ends[_i].used);
    is(typeset_end(&arena, end_for(&u, si, ends[_i].toward, 0), &u, SPELL_ASCII), ends[_i].limit);
}
END_TEST

/* Whatever the unit and the size, and with any number of further decimals. */
START_TEST(no_bound_is_on_the_wrong_side)
{
    const char *const units[] = {"mm", "kN", "MPa", "s", "min", "1", "%", "K", "degC", "degF", "in"};
    for (size_t k = 0; k < sizeof units / sizeof units[0]; k++)
        for (int i = 0; i < 400; i++) {
            struct unit u = unit_of(units[k]);
            double value = (i % 2 ? -1 : 1) * pow(10, (i - 200) / 50.0);
            double si = unit_to_si(&u, value);
            struct text above = typeset_end(&arena, end_for(&u, si, TO_ABOVE, i % 3), &u, SPELL_ASCII);
            struct text below = typeset_end(&arena, end_for_use(&u, si, TO_BELOW), &u, SPELL_ASCII);
            double slack = 1e-9 * fmax(1, fabs(value));
            ck_assert_msg(strtod(arena_text(&arena, above).at, NULL) >= value - slack, "%.17g is at most %.*s", value,
                          TEXT_ARGS(above));
            ck_assert_msg(strtod(arena_text(&arena, below).at, NULL) <= value + slack, "%.17g is at least %.*s", value,
                          TEXT_ARGS(below));
        }
}
END_TEST

START_TEST(the_ends_of_a_band_are_inside_it)
{
    struct unit u = unit_of("degC");
    is(typeset_band(&arena, 273.15 + 194.53, 273.15 + 200.06, &u, SPELL_ASCII), "194.6 degC .. 200.0 degC");
    is(typeset_band(&arena, -HUGE_VAL, 273.15 + 200.06, &u, SPELL_ASCII), "at most 200 degC");
    is(typeset_band(&arena, 273.15 + 194.53, HUGE_VAL, &u, SPELL_ASCII), "at least 194.6 degC");
    is(typeset_band(&arena, 273.15 + 194.53, 273.15 + 194.53, &u, SPELL_ASCII), "194.5 degC .. 194.5 degC");
}
END_TEST

START_TEST(a_figure_has_the_sign_of_its_language)
{
    struct spelling de = {true, LANGUAGE_DE};
    is(typeset_figure(&arena, -4.31, 1, de), "\xE2\x88\x92"
                                             "4,3");
    is(typeset_figure(&arena, -4.31, 1, (struct spelling){false, LANGUAGE_DE}), "-4.3");
}
END_TEST

START_TEST(ascii_units_read_back)
{
    const char *const spelled[] = {"µm/(m·K)",  "W·m^-2·K^-1", "/°",         "1/h",   "m^1/3",
                                   "kN·mm²/s³", "°F",          "permille/K", "L/min", "W/(m²·K^4)"};
    for (size_t i = 0; i < sizeof spelled / sizeof spelled[0]; i++) {
        struct unit u = unit_of(spelled[i]), again;
        struct unit_error error;
        struct text ascii = typeset_unit(&arena, &u, SPELL_ASCII);
        for (uint32_t c = 0; c < ascii.len; c++)
            ck_assert_msg((unsigned char)ascii.at[c] < 0x80, "%.*s", TEXT_ARGS(ascii));
        ck_assert_int_eq(unit_read(ascii, &again, &error), UNIT_OK);
        ck_assert(dim_same(again.dim, u.dim) && again.factor == u.factor && again.point == u.point);
    }
    struct unit one = {.factor = 1};
    ck_assert_uint_eq(typeset_unit(&arena, &one, SPELL_ASCII).len, 0);
    is(typeset_quantity(&arena, 0.25, &one, SPELL_PRINT), "0.25");
}
END_TEST

#define LOOP(tests, test, table) tcase_add_loop_test(tests, test, 0, (int)(sizeof(table) / sizeof(table)[0]))

int main(void)
{
    Suite *suite = suite_create("typeset");
    TCase *tests = tcase_create("typeset");
    tcase_add_checked_fixture(tests, begin, end);
    LOOP(tests, quantities_in_both_spellings, quantities);
    tcase_add_test(tests, print_does_not_break_between_number_and_unit);
    tcase_add_test(tests, small_and_large_stay_readable);
    LOOP(tests, rounds_half_to_even_on_what_is_meant, rounding);
    tcase_add_test(tests, rounding_does_not_depend_on_the_unit_read);
    LOOP(tests, decimals_follow_the_tolerance, decimals);
    LOOP(tests, tolerances_in_both_spellings, tolerances);
    LOOP(tests, bands_tell_their_ends_apart, bands);
    tcase_add_test(tests, bands_in_print);
    tcase_add_test(tests, decimals_for_unequal_ends);
    LOOP(tests, what_is_computed_has_two_digits_at_least, computed);
    LOOP(tests, what_is_used_has_three_digits, used);
    LOOP(tests, bounds_are_rounded_to_their_safe_side, ends);
    tcase_add_test(tests, no_bound_is_on_the_wrong_side);
    tcase_add_test(tests, the_ends_of_a_band_are_inside_it);
    tcase_add_test(tests, a_figure_has_the_sign_of_its_language);
    tcase_add_test(tests, ascii_units_read_back);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
