/* Units: reading, faults and what was meant, conversion to the last digit, dimensions. That every factor is right is
 * checked against two other libraries in tests/reference/units.c. */
#include "compiler/text/unit.h"

#include <check.h>
#include <float.h>
#include <math.h>

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

static bool alike(const char *a, const char *b)
{
    struct unit x = unit_of(a), y = unit_of(b);
    return dim_same(x.dim, y.dim) && fabs(x.factor / y.factor - 1) < 4 * DBL_EPSILON && x.offset == y.offset &&
           x.point == y.point;
}

/* Both spellings of a pair mean the same. */
static const char *const same[][2] = {
    {"°C", "degC"},
    {"°F", "degF"},
    {"µm", "um"}, /* U+00B5 */
    {"μm", "um"}, /* U+03BC */
    {"mm²", "mm^2"},
    {"m³", "m^3"},
    {"W/(m²·K)", "W/(m^2*K)"},
    {"W·m^-2·K^-1", "W/(m^2*K)"},
    {"m^-1", "1/m"},
    {"/h", "1/h"},
    {"/(m^2*K)", "1/(m^2*K)"},
    {"s^-1", "/s"},
    {"°", "deg"},
    {"L", "l"},
    {"N*m", "J"},
    {"J/s", "W"},
    {"N/mm^2", "MPa"},
    {"kN/mm^2", "GPa"},
    {"lbf/in^2", "psi"},
    {"kip/in²", "ksi"},
    {"ft*lbf", "lbf*ft"},
    {"kgf*m/s^2", "kgf*m/(s*s)"},
    {"W*h", "Wh"},
    {"MPa*m^0.5", "MPa*m^1/2"},
    {"(kg*m)/s^2", "N"},
    {"um/(m*K)", "ppm/K"},
    {"J/(kg*K)", "m^2/(s^2*K)"},
    {"mm^0.25", "mm^1/4"},
    {"m^-2/3", "/m^8/12"},
};

START_TEST(reads_other_spellings)
{
    ck_assert_msg(alike(same[_i][0], same[_i][1]), "%s is not %s", same[_i][0], same[_i][1]);
}
END_TEST

static const struct {
    const char *z;
    enum unit_fault fault;
    uint32_t lo, hi;
} faulty[] = {
    {"", UNIT_MALFORMED, 0, 0},
    {"/", UNIT_MALFORMED, 1, 1},
    {"2", UNIT_MALFORMED, 0, 1},
    {"1*m", UNIT_MALFORMED, 1, 2},
    {"550*ft", UNIT_MALFORMED, 0, 1},
    {"11", UNIT_MALFORMED, 1, 2},
    {"mm^", UNIT_MALFORMED, 3, 3},
    {"mm^x", UNIT_MALFORMED, 3, 4},
    {"mm^-", UNIT_MALFORMED, 4, 4},
    {"mm^2.", UNIT_MALFORMED, 4, 5},
    {"mm^(1/2)", UNIT_MALFORMED, 3, 4},
    {"mm^1/", UNIT_MALFORMED, 5, 5},
    {"mm²²", UNIT_MALFORMED, 4, 6},
    {"(mm", UNIT_MALFORMED, 3, 3},
    {"mm)", UNIT_MALFORMED, 2, 3},
    {"mm mm", UNIT_MALFORMED, 2, 3},
    {"N.m", UNIT_MALFORMED, 1, 2},
    {"N**m", UNIT_MALFORMED, 2, 3},
    {"((((((m))))))", UNIT_MALFORMED, 5, 6},
    {"W/m^2*K", UNIT_MALFORMED, 5, 6}, /* ISO 80000-1: ambiguous without parentheses */
    {"W/m/K", UNIT_MALFORMED, 3, 4},
    {"furlong", UNIT_UNKNOWN, 0, 7},
    {"W/(m^2*Q)", UNIT_UNKNOWN, 7, 8},
    {"kN*furlong/s", UNIT_UNKNOWN, 3, 10},
    {"W/(m^2*degC)", UNIT_POINT_IN_PRODUCT, 7, 11},
    {"1/degF", UNIT_POINT_IN_PRODUCT, 2, 6},
    {"/°C", UNIT_POINT_IN_PRODUCT, 1, 4},
    {"degC^2", UNIT_POINT_IN_PRODUCT, 0, 4},
    {"degC²", UNIT_POINT_IN_PRODUCT, 0, 4},
    {"degC/s", UNIT_POINT_IN_PRODUCT, 0, 4},
    {"K*degC", UNIT_POINT_IN_PRODUCT, 2, 6},
    {"(degC)", UNIT_POINT_IN_PRODUCT, 1, 5},
    {"mm^0.3", UNIT_EXPONENT, 2, 6},
    {"mm^1/7", UNIT_EXPONENT, 2, 6},
    {"mm^1/0", UNIT_EXPONENT, 2, 6},
    {"mm^100", UNIT_EXPONENT, 2, 6},
    {"nm^99*nm^99", UNIT_EXPONENT, 0, 11}, /* factor below the smallest double */
};

START_TEST(refuses_with_its_place)
{
    struct unit u;
    struct unit_error error;
    const char *z = faulty[_i].z;
    ck_assert_msg(unit_read(text_of(z), &u, &error) == faulty[_i].fault, "%s: fault %d", z, (int)error.fault);
    ck_assert_int_eq(error.fault, faulty[_i].fault);
    ck_assert_msg(error.lo == faulty[_i].lo && error.hi == faulty[_i].hi, "%s: %u..%u", z, error.lo, error.hi);
    ck_assert(dim_none(u.dim) && u.factor == 1 && !u.point);
}
END_TEST

static const char *const meant[][2] = {
    {"MM", "mm"},         {"Mpa", "MPa"},   {"mpa", "MPa"},     {"C", "degC"},     {"kw", "kW"},
    {"KN", "kN"},         {"Kg", "kg"},     {"BTU", "Btu"},     {"btu", "Btu"},    {"HP", "hp"},
    {"sec", "s"},         {"Sec", "s"},     {"inch", "in"},     {"DEGC", "degC"},  {"degc", "degC"},
    {"F", "degF"},        {"micron", "um"}, {"°K", "K"},        {"mm2", "mm^2"},   {"rpm", "1/min"},
    {"hr", "h"},          {"Psi", "psi"},   {"PSI", "psi"},     {"Pa.", ""},       {"kPaa", "kPa"},
    {"degCC", "degC"},    {"dgeC", "degC"}, {"lbff", "lbf"},    {"permil", ""},    {"permile", "permille"},
    {"arcmn", "arcmin"},  {"x", ""},        {"furlong", ""},    {"tonf", ""},      {"Nm", "N*m"},
    {"km", ""},           {"kbar", ""},     {"W/(m^2*k)", "K"}, {"W/mK", "(m*K)"}, {"Kelvin", "K"},
    {"usTonf", "ustonf"}, {"KSI", "ksi"},   {"Ml", "ml"},       {"M", "m"},        {"S", "s"},
};

START_TEST(suggests_what_was_meant)
{
    struct unit u;
    struct unit_error error;
    ck_assert_int_ne(unit_read(text_of(meant[_i][0]), &u, &error), UNIT_OK);
    ck_assert_msg(text_is(error.nearest, meant[_i][1]), "%s: '%.*s'", meant[_i][0], TEXT_ARGS(error.nearest));
    if (error.nearest.len)
        unit_of(error.nearest.at[0] == '(' ? "m*K" : error.nearest.at);
}
END_TEST

START_TEST(advises_where_the_meaning_is_open)
{
    struct unit u;
    struct unit_error error;
    ck_assert_int_eq(unit_read(TEXT("tonf"), &u, &error), UNIT_UNKNOWN);
    ck_assert_ptr_nonnull(strstr(error.advice.at, "ustonf"));
    ck_assert_ptr_nonnull(strstr(error.advice.at, "uktonf"));
    ck_assert_int_eq(unit_read(TEXT("furlong"), &u, &error), UNIT_UNKNOWN);
    ck_assert_uint_eq(error.advice.len, 0);
}
END_TEST

START_TEST(every_row_reads_as_itself)
{
    uint32_t count;
    const struct unit_row *rows = unit_rows(&count);
    ck_assert_uint_gt(count, 50);
    for (uint32_t i = 0; i < count; i++) {
        struct unit u = unit_of(rows[i].name);
        ck_assert_msg(u.factor == rows[i].unit.factor, "%s", rows[i].name);
        ck_assert(dim_same(u.dim, rows[i].unit.dim) && u.point == rows[i].unit.point &&
                  u.offset == rows[i].unit.offset);
        ck_assert_ptr_eq(unit_row_of(text_of(rows[i].name)), &rows[i]);
        ck_assert(text_is(rows[i].unit.spelling, rows[i].name));
        ck_assert_uint_le(rows[i].least, rows[i].decimals);
        for (uint32_t j = 0; j < i; j++)
            ck_assert_str_ne(rows[i].name, rows[j].name);
    }
}
END_TEST

/* The quantities' exponents in the table are those of the unit they are shown in, and each dimension stands once. */
START_TEST(every_quantity_fits_its_unit)
{
    static const struct {
        const char *words, *unit;
        double l, m, t, k, a;
    } rows[] = {
#define QUANTITY(words, unit, l, m, t, k, a) {words, unit, l, m, t, k, a},
#include "compiler/text/units.def"
    };
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct dim d = unit_of(rows[i].unit).dim;
        const double exponents[] = {rows[i].l, rows[i].m, rows[i].t, rows[i].k, rows[i].a};
        for (int e = 0; e < DIM_COUNT; e++)
            ck_assert_msg(d.exponent[e] == DIM_UNIT * exponents[e], "%s", rows[i].words);
        struct text words = dim_words(&arena, d, false), shown = unit_default(&arena, d, false).spelling;
        ck_assert_msg(text_is(words, rows[i].words), "%s is also %.*s", rows[i].words, TEXT_ARGS(words));
        ck_assert(text_is(shown, rows[i].unit));
    }
}
END_TEST

START_TEST(what_people_write_instead_is_no_unit)
{
    static const char *const wrong[] = {
#define INSTEAD(wrong, right) wrong,
#define ADVICE(wrong, sentence) wrong,
#include "compiler/text/units.def"
    };
    static const char *const right[] = {
#define INSTEAD(wrong, right) right,
#include "compiler/text/units.def"
    };
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        ck_assert_msg(!unit_row_of(text_of(wrong[i])), "%s is a unit", wrong[i]);
    for (size_t i = 0; i < sizeof right / sizeof right[0]; i++)
        unit_of(right[i]);
}
END_TEST

/* Exact by definition: NIST SP 811 (2008) appendix B.6 to B.9, SI Brochure, ITS-90. Both ways, to the last digit but one;
 * SP 811's examples and fixed points by hand: 68 degF = 20 degC (ISO 1), -40 degF = -40 degC, 0 K = -459.67 degF. */
static const struct {
    double value;
    const char *from;
    double expected;
    const char *to;
} conversions[] = {
    {1, "in", 25.4, "mm"},
    {1, "mil", 25.4, "um"},
    {1, "ft", 304.8, "mm"},
    {1, "ft^2", 0.09290304, "m^2"},
    {1, "in^3", 16387.064, "mm^3"},
    {1, "l", 1000, "ml"},
    {1, "lb", 0.45359237, "kg"},
    {16, "oz", 1, "lb"},
    {1, "lbf", 4.4482216152605, "N"},
    {1, "kgf", 9.80665, "N"},
    {1, "tf", 9806.65, "N"},
    {1, "ustonf", 8896.443230521, "N"},
    {1, "uktonf", 9964.01641818352, "N"},
    {1, "psi", 8896443230521.0 / 1290320000.0, "Pa"},
    {1000, "psi", 1, "ksi"},
    {1, "atm", 101325, "Pa"},
    {1, "bar", 0.1, "MPa"},
    {1, "Btu", 1055.05585262, "J"},
    {1, "kWh", 3.6, "MJ"},
    {1, "kcal", 4184, "J"},
    {1, "hp", 745.69987158227022, "W"},
    {1, "hp", 33000, "ft*lbf/min"},
    {1, "Btu/(h*ft^2*degR)", 5.678263341113487, "W/(m^2*K)"},
    {1, "Btu/(h*ft*degR)", 1.7307346663713911, "W/(m*K)"},
    {1, "Btu/(lb*degR)", 4186.8, "J/(kg*K)"},
    {1, "/degR", 1.8, "/K"},
    {6.5, "ppm/degR", 11.7, "ppm/K"},
    {12.3, "K", 22.14, "degR"},
    {180, "deg", 3.14159265358979323846, "rad"},
    {60, "arcmin", 1, "deg"},
    {3600, "arcsec", 1, "deg"},
    {20, "degC", 293.15, "K"},
    {68, "degF", 20, "degC"},
    {-40, "degF", -40, "degC"},
    {392, "degF", 200, "degC"},
    {482, "degF", 250, "degC"},
    {572, "degF", 300, "degC"},
    {-459.67, "degF", 0, "K"},
    {25.4, "degC", 77.72, "degF"},
    {25.4, "degC", 298.55, "K"},
    {459.67, "degR", -0.0, "degF"},
    {420, "/h", 7, "/min"},
    {25, "mm/s", 1.5, "m/min"},
    {12, "%", 120, "permille"},
    {26.1, "um/(m*K)", 26.1e-6, "1/K"},
};

START_TEST(converts_as_defined)
{
    struct unit from = unit_of(conversions[_i].from), to = unit_of(conversions[_i].to);
    double there = unit_from_si(&to, unit_to_si(&from, conversions[_i].value));
    double back = unit_from_si(&from, unit_to_si(&to, conversions[_i].expected));
    /* On a scale with a zero of its own the last digit is that of the absolute temperature. */
    double size = from.point || to.point ? 500 : fabs(conversions[_i].expected);
    ck_assert(dim_same(from.dim, to.dim));
    ck_assert_msg(fabs(there - conversions[_i].expected) <= 2 * DBL_EPSILON * size, "%s: %.17g", conversions[_i].from,
                  there);
    size = from.point || to.point ? 900 : fabs(conversions[_i].value);
    ck_assert_msg(fabs(back - conversions[_i].value) <= 2 * DBL_EPSILON * size, "%s back: %.17g", conversions[_i].from,
                  back);
}
END_TEST

START_TEST(decimal_prefixes_are_rounded_once)
{
    struct unit mm = unit_of("mm"), um = unit_of("um"), rate = unit_of("/h"), slope = unit_of("um/(m*K)");
    for (int i = 1; i < 20000; i++) {
        ck_assert(unit_to_si(&mm, i) == i / 1e3);
        ck_assert_double_eq_tol(unit_from_si(&mm, i / 1e3), i, DBL_EPSILON * i);
        ck_assert(unit_to_si(&um, i) == i / 1e6);
        ck_assert(unit_to_si(&slope, i) == i / 1e6);
        ck_assert(unit_to_si(&rate, i) == i / 3600.0);
    }
}
END_TEST

START_TEST(differences_have_no_zero)
{
    struct unit c = unit_of("degC"), f = unit_of("degF");
    ck_assert(unit_difference_to_si(&c, 4) == 4);
    ck_assert_double_eq_tol(unit_difference_to_si(&f, 45), 25,
                            1e-14); /* GNU units manual: 45 degF of difference is 25 K */
    ck_assert(unit_to_si(&c, 4) == 277.15);
}
END_TEST

START_TEST(dimensions_combine)
{
    struct dim length = unit_of("mm").dim, force = unit_of("kN").dim, root;
    ck_assert(dim_same(dim_times(length, force), unit_of("J").dim));
    ck_assert(dim_same(dim_over(force, dim_times(length, length)), unit_of("psi").dim));
    ck_assert(dim_none(dim_over(force, force)));
    ck_assert(!dim_same(unit_of("rad").dim, unit_of("1").dim)); /* an angle is no pure number */
    ck_assert(dim_power(length, 0.5, &root) && dim_same(dim_times(root, root), length));
    ck_assert(dim_power(length, 1.0 / 3, &root) && dim_same(dim_times(root, dim_times(root, root)), length));
    ck_assert(dim_power(length, -2, &root) && dim_none(dim_times(root, unit_of("mm^2").dim)));
    ck_assert(!dim_power(length, 0.2, &root));
    ck_assert(!dim_power(length, NAN, &root));
    ck_assert(!dim_power(length, 1e9, &root));
    ck_assert(dim_power((struct dim){{0}}, 0.2, &root) && dim_none(root));
    struct dim huge = length;
    for (int i = 0; i < 20; i++)
        huge = dim_times(huge, huge);
    ck_assert(!dim_none(huge));
}
END_TEST

START_TEST(words_for_dimensions)
{
    const struct {
        const char *unit, *words;
    } cases[] = {
        {"in", "a length"},
        {"psi", "a pressure or stress"},
        {"ft*lbf", "an energy or torque"},
        {"Btu/(h*ft^2*degR)", "a heat transfer coefficient"},
        {"1/degR", "a rate per kelvin"},
        {"degR", "a temperature difference"},
        {"%", "a pure number"},
        {"kg*m^3/s^2", "a force times an area"},
        {"kg^2*m", "a quantity in kg^2*m"},
        {"K/(m*s)", "a quantity in K/(m*s)"},
        {"1/(K*s)", "a quantity in 1/(s*K)"},
        {"m^0.25/rad^2", "a quantity in m^0.25/rad^2"},
        {"m^1/3", "a quantity in m^1/3"},
        {"m^5/12", "a quantity in m^5/12"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        struct unit u = unit_of(cases[i].unit), shown = unit_default(&arena, u.dim, false);
        struct text words = dim_words(&arena, u.dim, false);
        ck_assert_msg(text_is(words, cases[i].words), "%s: %.*s", cases[i].unit, TEXT_ARGS(words));
        struct unit again;
        struct unit_error error;
        ck_assert_int_eq(unit_read(shown.spelling, &again, &error), UNIT_OK); /* what is shown can be written */
        ck_assert(dim_same(again.dim, u.dim) && again.factor == shown.factor);
    }
    ck_assert(text_is(dim_words(&arena, unit_of("K").dim, true), "a temperature"));
    ck_assert(text_is(unit_default(&arena, unit_of("K").dim, true).spelling, "degC"));
    ck_assert(unit_default(&arena, unit_of("K").dim, true).point);
}
END_TEST

#define LOOP(tests, test, table) tcase_add_loop_test(tests, test, 0, (int)(sizeof(table) / sizeof(table)[0]))

int main(void)
{
    Suite *suite = suite_create("unit");
    TCase *tests = tcase_create("unit");
    tcase_add_checked_fixture(tests, begin, end);
    LOOP(tests, reads_other_spellings, same);
    LOOP(tests, refuses_with_its_place, faulty);
    LOOP(tests, suggests_what_was_meant, meant);
    tcase_add_test(tests, advises_where_the_meaning_is_open);
    tcase_add_test(tests, every_row_reads_as_itself);
    tcase_add_test(tests, every_quantity_fits_its_unit);
    tcase_add_test(tests, what_people_write_instead_is_no_unit);
    LOOP(tests, converts_as_defined, conversions);
    tcase_add_test(tests, decimal_prefixes_are_rounded_once);
    tcase_add_test(tests, differences_have_no_zero);
    tcase_add_test(tests, dimensions_combine);
    tcase_add_test(tests, words_for_dimensions);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
