/* Every unit of the table against two libraries that are not ours: GNU units (the command, Debian package units) and
 * UDUNITS-2 (Debian package libudunits2-dev); then products, temperatures and temperature differences.
 * Where such a library's own figure is rounded, or means another unit of that name, the row says so.
 * link: -ludunits2 */
#include "compiler/text/unit.h"

#include <check.h>
#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <udunits2.h>

static const struct peer {
    const char *name, *gnu, *udunits; /* udunits NULL: it does not have the unit */
    double rounding;                  /* of UDUNITS' own figure; 0: it is exact too */
} peers[] = {
    {"1", "1", "1", 0},
    {"%", "percent", "%", 0},
    {"permille", "1|1000", NULL, 0}, /* neither has the word; GNU units is asked about the fraction */
    {"ppm", "ppm", "ppm", 0},
    {"nm", "nm", "nm", 0},
    {"um", "um", "µm", 0},
    {"mm", "mm", "mm", 0},
    {"cm", "cm", "cm", 0},
    {"m", "m", "m", 0},
    {"in", "inch", "in", 0},
    {"mil", "mil", "mil", 0},
    {"ft", "ft", "ft", 0},
    {"l", "liter", "l", 0},
    {"ml", "milliliter", "ml", 0},
    {"mg", "mg", "mg", 0},
    {"g", "g", "g", 0},
    {"kg", "kg", "kg", 0},
    {"t", "tonne", "t", 0},
    {"lb", "lb", "lb", 0},
    {"oz", "ounce", "avoirdupois_ounce", 2e-7}, /* 2.834952e-2 kg there; "oz" is a fluid ounce */
    {"ms", "ms", "ms", 0},
    {"s", "s", "s", 0},
    {"min", "minute", "min", 0},
    {"h", "hour", "h", 0},
    {"d", "day", "d", 0},
    {"rad", "radian", "radian", 0},
    {"mrad", "milliradian", "milliradian", 0},
    {"deg", "degree", "°", 0},
    {"arcmin", "arcmin", "arcmin", 0},
    {"arcsec", "arcsec", "arcsec", 0},
    {"N", "N", "N", 0},
    {"kN", "kN", "kN", 0},
    {"MN", "MN", "MN", 0},
    {"kgf", "kgf", "kgf", 0},
    {"tf", "tonne force", "t force", 0},
    {"lbf", "lbf", "lbf", 0},
    {"kip", "kip", "kip", 0},
    {"ustonf", "shortton force", "short_ton force", 0},
    {"uktonf", "longton force", "long_ton force", 0},
    {"Pa", "Pa", "Pa", 0},
    {"kPa", "kPa", "kPa", 0},
    {"MPa", "MPa", "MPa", 0},
    {"GPa", "GPa", "GPa", 0},
    {"mbar", "mbar", "mbar", 0},
    {"bar", "bar", "bar", 0},
    {"atm", "atm", "atm", 0},
    {"psi", "psi", "psi", 0},
    {"ksi", "ksi", "ksi", 0},
    {"J", "J", "J", 0},
    {"kJ", "kJ", "kJ", 0},
    {"MJ", "MJ", "MJ", 0},
    {"Wh", "W hour", "W.h", 0},
    {"kWh", "kW hour", "kW.h", 0},
    {"cal", "calorie_th", "thermochemical_calorie", 0}, /* "cal" is the International Table calorie there */
    {"kcal", "kilocalorie_th", "1000 thermochemical_calorie", 0},
    {"Btu", "btu_IT", "IT_Btu", 0},
    {"W", "W", "W", 0},
    {"kW", "kW", "kW", 0},
    {"MW", "MW", "MW", 0},
    {"hp", "horsepower", "horsepower", 3e-7}, /* 745.7 W there */
    {"K", "K", "K", 0},
    {"degR", "degrankine", "°R", 0},
};

/* Scales are held against the others' scales below, with their zero. */
static bool has_own_zero(const struct unit_row *row)
{
    return row->unit.point;
}

static ut_system *udunits;

static struct unit unit_of(const char *z)
{
    struct unit u;
    struct unit_error error;
    ck_assert_msg(unit_read(text_of(z), &u, &error) == UNIT_OK, "%s was not read", z);
    return u;
}

/* What `units` gives for one `from` in `to`. Both come from the tables of this file, none from outside. */
static double gnu_units(const char *from, const char *to)
{
    char command[256], answer[256] = "", *end;
    snprintf(command, sizeof command, "LC_ALL=C units -t -o '%%.17g' '%s' '%s'", from, to);
    FILE *f = popen(command, "r");
    ck_assert_ptr_nonnull(f);
    char *line = fgets(answer, sizeof answer, f);
    int status = pclose(f);
    double value = strtod(answer, &end);
    ck_assert_msg(line && status == 0 && end != answer, "units '%s' '%s' says: %s", from, to, answer);
    return value;
}

static double udunits_says(const char *from, const char *to, double value)
{
    ut_unit *a = ut_parse(udunits, from, UT_UTF8), *b = ut_parse(udunits, to, UT_UTF8);
    ck_assert_msg(a && b, "UDUNITS does not know %s or %s", from, to);
    cv_converter *converter = ut_get_converter(a, b);
    ck_assert_msg(converter != NULL, "UDUNITS does not convert %s to %s", from, to);
    value = cv_convert_double(converter, value);
    cv_free(converter);
    ut_free(a);
    ut_free(b);
    return value;
}

static void open_udunits(void)
{
    ut_set_error_message_handler(ut_ignore);
    udunits = ut_read_xml(NULL);
    ck_assert_ptr_nonnull(udunits);
}

static void close_udunits(void)
{
    ut_free_system(udunits);
}

/* The SI unit of a row in words both libraries read. */
static const char *si_of(struct dim d)
{
    static const char *const ours[] = {"1", "m", "m^3", "kg", "s", "rad", "N", "Pa", "J", "W", "K"};
    static const char *const theirs[] = {"1", "m", "m^3", "kg", "s", "radian", "N", "Pa", "J", "W", "K"};
    for (size_t i = 0; i < sizeof ours / sizeof ours[0]; i++)
        if (dim_same(unit_of(ours[i]).dim, d))
            return theirs[i];
    ck_abort_msg("a row of a dimension this test does not know");
    return NULL;
}

static void near_to(const char *name, const char *library, double ours, double theirs, double rounding)
{
    double allowed = rounding > 0 ? rounding : 4 * DBL_EPSILON; /* their products round a few times */
    ck_assert_msg(fabs(ours / theirs - 1) <= allowed, "%s: ours %.17g, %s %.17g", name, ours, library, theirs);
}

START_TEST(every_row_agrees)
{
    uint32_t count;
    const struct unit_row *row = &unit_rows(&count)[_i];
    if (has_own_zero(row))
        return;
    for (size_t i = 0; i < sizeof peers / sizeof peers[0]; i++) {
        if (strcmp(peers[i].name, row->name) != 0)
            continue;
        const char *si = si_of(row->unit.dim);
        near_to(row->name, "GNU units", unit_to_si(&row->unit, 1), gnu_units(peers[i].gnu, si), 0);
        if (peers[i].udunits)
            near_to(row->name, "UDUNITS", unit_to_si(&row->unit, 1), udunits_says(peers[i].udunits, si, 1),
                    peers[i].rounding);
        return;
    }
    ck_abort_msg("unit %s is held against nothing", row->name);
}
END_TEST

/* Products as a press shop writes them: our spelling, and theirs for both libraries. */
static const struct {
    const char *from, *to, *gnu_from, *gnu_to, *udunits_from, *udunits_to;
} products[] = {
    {"Btu/(h*ft^2*degR)", "W/(m^2*K)", "btu_IT/(hour ft^2 degrankine)", "W/(m^2 K)", "IT_Btu/(h.ft^2.°R)", "W/(m^2.K)"},
    {"Btu/(h*ft*degR)", "W/(m*K)", "btu_IT/(hour ft degrankine)", "W/(m K)", "IT_Btu/(h.ft.°R)", "W/(m.K)"},
    {"Btu/(lb*degR)", "J/(kg*K)", "btu_IT/(lb degrankine)", "J/(kg K)", "IT_Btu/(lb.°R)", "J/(kg.K)"},
    {"um/(m*K)", "1/degR", "um/(m K)", "1/degrankine", "um/(m.K)", "°R^-1"},
    {"lbf*in", "N*m", "lbf inch", "N m", "lbf.in", "N.m"},
    {"ft*lbf", "J", "ft lbf", "J", "ft.lbf", "J"},
    {"kN/mm^2", "ksi", "kN/mm^2", "ksi", "kN/mm^2", "ksi"},
    {"lb/in^3", "kg/m^3", "lb/inch^3", "kg/m^3", "lb/in^3", "kg/m^3"},
    {"m/min", "mm/s", "m/minute", "mm/s", "m/min", "mm/s"},
    {"in/s", "mm/s", "inch/s", "mm/s", "in/s", "mm/s"},
    {"/h", "/min", "1/hour", "1/minute", "h^-1", "min^-1"},
    {"g/cm^3", "kg/m^3", "g/cm^3", "kg/m^3", "g/cm^3", "kg/m^3"},
    {"ksi^2*in", "MPa^2*m", "ksi^2 inch", "MPa^2 m", "ksi^2.in", "MPa^2.m"},
    {"hp*h", "kWh", "hp hour", "kW hour", NULL, NULL}, /* 745.7 W there */
    {"mm^2/s", "ft^2/h", "mm^2/s", "ft^2/hour", "mm^2/s", "ft^2/h"},
    {"l/min", "ft^3/h", "liter/minute", "ft^3/hour", "l/min", "ft^3/h"},
    {"um/K", "mil/degR", "um/K", "mil/degrankine", "um/K", "mil/°R"},
    {"deg/mm", "rad/in", "degree/mm", "radian/inch", "°/mm", "radian/in"},
};

START_TEST(products_agree)
{
    struct unit from = unit_of(products[_i].from), to = unit_of(products[_i].to);
    ck_assert(dim_same(from.dim, to.dim));
    double ours = unit_from_si(&to, unit_to_si(&from, 1));
    near_to(products[_i].from, "GNU units", ours, gnu_units(products[_i].gnu_from, products[_i].gnu_to), 8e-16 * 2);
    if (products[_i].udunits_from)
        near_to(products[_i].from, "UDUNITS", ours, udunits_says(products[_i].udunits_from, products[_i].udunits_to, 1),
                8e-16 * 2);
}
END_TEST

/* Temperatures from absolute zero to a furnace; the scales' last digit is that of the absolute temperature. */
START_TEST(temperatures_agree)
{
    struct unit k = unit_of("K"), c = unit_of("degC"), f = unit_of("degF"), r = unit_of("degR");
    static const double points[] = {-273.15, -40, 0, 20, 25.4, 37, 165, 180, 200, 232.5, 300, 650};
    double celsius = points[_i], si = unit_to_si(&c, celsius), last = 4 * DBL_EPSILON * 2000;
    char from[64];
    snprintf(from, sizeof from, "tempC(%.17g)", celsius);
    ck_assert_double_eq_tol(unit_from_si(&k, si), gnu_units(from, "tempK"), last);
    ck_assert_double_eq_tol(unit_from_si(&f, si), gnu_units(from, "tempF"), last);
    ck_assert_double_eq_tol(unit_from_si(&r, si), gnu_units(from, "tempR"), last);
    ck_assert_double_eq_tol(unit_from_si(&k, si), udunits_says("°C", "K", celsius), last);
    ck_assert_double_eq_tol(unit_from_si(&f, si), udunits_says("°C", "°F", celsius), last);
    ck_assert_double_eq_tol(unit_from_si(&r, si), udunits_says("°C", "°R", celsius), last);
    double fahrenheit = unit_from_si(&f, si);
    ck_assert_double_eq_tol(unit_to_si(&f, fahrenheit), udunits_says("°F", "K", fahrenheit), last);
}
END_TEST

/* A difference has no zero: GNU units' degC and degF are differences, its tempC and tempF points. */
START_TEST(temperature_differences_agree)
{
    struct unit c = unit_of("degC"), f = unit_of("degF"), r = unit_of("degR");
    for (int i = 1; i < 60; i += 7) {
        char degrees[32], fahrenheit[32];
        snprintf(degrees, sizeof degrees, "%d degC", i);
        snprintf(fahrenheit, sizeof fahrenheit, "%d degF", i);
        ck_assert_double_eq_tol(unit_difference_to_si(&c, i), gnu_units(degrees, "K"), 1e-13);
        ck_assert_double_eq_tol(unit_difference_to_si(&f, i), gnu_units(fahrenheit, "K"), 1e-13);
        ck_assert_double_eq_tol(unit_from_si(&r, i), 1 / gnu_units("degrankine", degrees), 1e-13 * i);
        ck_assert_double_eq_tol(unit_difference_to_si(&f, i), udunits_says("°R", "K", i), 1e-13);
    }
}
END_TEST

START_TEST(different_things_do_not_agree)
{
    ut_unit *mass = ut_parse(udunits, "kg", UT_UTF8), *length = ut_parse(udunits, "mm", UT_UTF8);
    ck_assert_int_eq(ut_are_convertible(mass, length), 0);
    ck_assert(!dim_same(unit_of("kg").dim, unit_of("mm").dim));
    ut_free(mass);
    ut_free(length);
}
END_TEST

int main(void)
{
    uint32_t count;
    unit_rows(&count);
    Suite *suite = suite_create("units");
    TCase *tests = tcase_create("units");
    tcase_add_checked_fixture(tests, open_udunits, close_udunits);
    tcase_set_timeout(tests, 30);
    tcase_add_loop_test(tests, every_row_agrees, 0, (int)count);
    tcase_add_loop_test(tests, products_agree, 0, (int)(sizeof products / sizeof products[0]));
    tcase_add_loop_test(tests, temperatures_agree, 0, 12);
    tcase_add_test(tests, temperature_differences_agree);
    tcase_add_test(tests, different_things_do_not_agree);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
