/* The handbook tables of transient conduction in a plane wall: first roots and coefficients, and the series itself.
 *
 * Wall of half thickness L, both faces at Bi = hL/k, or one face insulated at L. Table 5.1 of Incropera, DeWitt,
 * Bergman and Lavine, Fundamentals of Heat and Mass Transfer, and Table 4-2 of Cengel, Heat Transfer, print the first
 * root and coefficient to four decimals (from memory); the five and six decimals here were computed from the defining
 * equations zeta tan zeta = Bi, C = 4 sin zeta / (2 zeta + sin 2 zeta) in another program and agree with those. */
#include "runtime/physics/slab.h"

#include <check.h>
#include <math.h>
#include <stdbool.h>

/* The sheet with its first face insulated: Biot number over the whole thickness, which is the half thickness of the
 * wall. The coefficient is for a start of 1 and surroundings of 0. */
static struct slab_mode mode_of(double biot, uint32_t n)
{
    return slab_mode(0, biot, n);
}

static double coefficient_of(const struct slab_mode *m)
{
    return m->second / (m->root * m->norm);
}

static void is_near(const char *what, double biot, double got, double want, double slack)
{
    ck_assert_msg(fabs(got - want) <= slack, "%s at Bi %g: %.9f instead of %.9f", what, biot, got, want);
}

/* Printed to four decimals; editions differ by one in the last, so one is allowed. */
static const struct {
    double biot, root, coefficient;
} printed[] = {
    {0.01, 0.0998, 1.0017}, {0.02, 0.1410, 1.0033}, {0.04, 0.1987, 1.0066}, {0.06, 0.2425, 1.0098},
    {0.08, 0.2791, 1.0130}, {0.1, 0.3111, 1.0161},  {0.15, 0.3779, 1.0237}, {0.2, 0.4328, 1.0311},
    {0.3, 0.5218, 1.0450},  {0.4, 0.5932, 1.0580},  {0.5, 0.6533, 1.0701},  {0.7, 0.7506, 1.0918},
    {1, 0.8603, 1.1191},    {2, 1.0769, 1.1785},    {5, 1.3138, 1.2402},    {10, 1.4289, 1.2620},
    {20, 1.4961, 1.2699},   {50, 1.5400, 1.2727},   {100, 1.5552, 1.2731},
};

START_TEST(first_term_as_printed)
{
    struct slab_mode m = mode_of(printed[_i].biot, 0);
    is_near("root", printed[_i].biot, m.root, printed[_i].root, 1e-4);
    is_near("coefficient", printed[_i].biot, coefficient_of(&m), printed[_i].coefficient, 1e-4);
}
END_TEST

/* Computed, five decimals: half a unit of the last is allowed. */
static const struct {
    double biot, root, coefficient;
} computed[] = {
    {0.01, 0.09983, 1.00166}, {0.02, 0.14095, 1.00331}, {0.03, 0.17234, 1.00495}, {0.04, 0.19868, 1.00657},
    {0.05, 0.22176, 1.00819}, {0.06, 0.24253, 1.00979}, {0.07, 0.26153, 1.01138}, {0.08, 0.27913, 1.01297},
    {0.09, 0.29557, 1.01454}, {0.1, 0.31105, 1.01609},  {0.15, 0.37788, 1.02372}, {0.2, 0.43284, 1.03109},
    {0.25, 0.48009, 1.03819}, {0.3, 0.52179, 1.04505},  {0.4, 0.59324, 1.05804},  {0.5, 0.65327, 1.07013},
    {0.6, 0.70507, 1.08138},  {0.7, 0.75056, 1.09185},  {0.8, 0.79103, 1.10159},  {0.9, 0.82740, 1.11067},
    {1, 0.86033, 1.11913},    {2, 1.07687, 1.17846},    {3, 1.19246, 1.21023},    {4, 1.26459, 1.22871},
    {5, 1.31384, 1.24025},    {6, 1.34955, 1.24788},    {7, 1.37662, 1.25318},    {8, 1.39782, 1.25698},
    {9, 1.41487, 1.25981},    {10, 1.42887, 1.26196},   {20, 1.49613, 1.26992},   {30, 1.52017, 1.27168},
    {40, 1.53250, 1.27234},   {50, 1.54001, 1.27265},   {100, 1.55525, 1.27309},
};

START_TEST(first_term_as_computed)
{
    struct slab_mode m = mode_of(computed[_i].biot, 0);
    is_near("root", computed[_i].biot, m.root, computed[_i].root, 5.001e-6);
    is_near("coefficient", computed[_i].biot, coefficient_of(&m), computed[_i].coefficient, 5.001e-6);
}
END_TEST

static const struct {
    double biot, terms[6][2];
} first_six[] = {
    {0.1,
     {{0.311053, 1.016094},
      {3.173097, -0.019659},
      {6.299059, 0.005027},
      {9.435376, -0.002244},
      {12.574323, 0.001264},
      {15.714327, -0.000810}}},
    {1,
     {{0.860334, 1.119132},
      {3.425618, -0.151692},
      {6.437298, 0.046594},
      {9.529334, -0.021668},
      {12.645287, 0.012392},
      {15.771285, -0.007993}}},
    {10,
     {{1.428870, 1.261963},
      {4.305801, -0.393433},
      {7.228110, 0.210429},
      {10.200263, -0.130851},
      {13.214186, 0.088124},
      {16.259361, -0.062719}}},
};

START_TEST(first_six_terms)
{
    for (uint32_t n = 0; n < 6; n++) {
        struct slab_mode m = mode_of(first_six[_i].biot, n);
        is_near("root", first_six[_i].biot, m.root, first_six[_i].terms[n][0], 5.001e-7);
        is_near("coefficient", first_six[_i].biot, coefficient_of(&m), first_six[_i].terms[n][1], 5.001e-7);
    }
}
END_TEST

/* ---- temperatures ------------------------------------------------------------------------------------------------ */

/* The wall itself, both faces alike; thickness 2, so that Bi and Fo of the half thickness are conductance and time. */
static void wall(double biot, double fourier, double *middle, double *face, double *mean)
{
    struct slab s = {{biot, biot}, {0, 0}, 1, 2, 1, 1};
    enum eval_fault fault = EVAL_OK;
    *middle = slab_temperature(&s, fourier, 0.5, &fault);
    *face = slab_temperature(&s, fourier, 1, &fault);
    *mean = slab_mean(&s, fourier, &fault);
    ck_assert_int_eq(fault, EVAL_OK);
}

/* Middle, face and mean, computed with 60 terms, six decimals. */
static const struct {
    double biot, fourier, middle, face, mean;
} series[] = {
    {1, 0.05, 0.999751, 0.790377, 0.957310}, {1, 0.1, 0.993108, 0.723577, 0.919597},
    {1, 0.2, 0.950642, 0.643391, 0.851595},  {1, 0.5, 0.772526, 0.504522, 0.681105},
    {1, 1, 0.533859, 0.348177, 0.470397},    {0.1, 1, 0.922389, 0.878126, 0.907587},
    {10, 0.1, 0.968424, 0.170574, 0.726118}, {10, 0.2, 0.829255, 0.122482, 0.583262},
};

START_TEST(sixty_terms_as_computed)
{
    double middle, face, mean;
    wall(series[_i].biot, series[_i].fourier, &middle, &face, &mean);
    is_near("middle", series[_i].biot, middle, series[_i].middle, 5.001e-7);
    is_near("face", series[_i].biot, face, series[_i].face, 5.001e-7);
    is_near("mean", series[_i].biot, mean, series[_i].mean, 5.001e-7);
}
END_TEST

/* zeta tan zeta = Bi in ((n - 1) pi, (n - 1/2) pi) by plain halving, in long double. */
static long double halved_root(long double biot, int n)
{
    const long double pi = acosl(-1);
    long double low = n * pi, high = (n + 0.5L) * pi;
    for (int i = 0; i < 80; i++) {
        long double x = (low + high) / 2;
        bool below = x * sinl(x) < biot * cosl(x); /* for even n; both sides change sign with odd n */
        if (below == (n % 2 == 0))
            low = x;
        else
            high = x;
    }
    return (low + high) / 2;
}

START_TEST(sixty_terms_here)
{
    const double biots[] = {0.01, 0.1, 1, 10, 100}, fouriers[] = {0.02, 0.03, 0.05, 0.1, 0.2, 0.5, 1, 3};
    for (int i = 0; i < 5; i++)
        for (int k = 0; k < 8; k++) {
            long double middle = 0, face = 0, mean = 0;
            for (int n = 0; n < 60; n++) {
                long double z = halved_root(biots[i], n), c = 4 * sinl(z) / (2 * z + sinl(2 * z));
                long double term = c * expl(-z * z * fouriers[k]);
                middle += term;
                face += term * cosl(z);
                mean += term * sinl(z) / z;
            }
            double got[3];
            wall(biots[i], fouriers[k], &got[0], &got[1], &got[2]);
            is_near("middle", biots[i], got[0], (double)middle, 1e-13);
            is_near("face", biots[i], got[1], (double)face, 1e-13);
            is_near("mean", biots[i], got[2], (double)mean, 1e-13);
        }
}
END_TEST

#define LOOP(tests, test, table) tcase_add_loop_test(tests, test, 0, (int)(sizeof(table) / sizeof(table)[0]))

int main(void)
{
    Suite *suite = suite_create("slab tables");
    TCase *tests = tcase_create("slab tables");
    LOOP(tests, first_term_as_printed, printed);
    LOOP(tests, first_term_as_computed, computed);
    LOOP(tests, first_six_terms, first_six);
    LOOP(tests, sixty_terms_as_computed, series);
    tcase_add_test(tests, sixty_terms_here);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
