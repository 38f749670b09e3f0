/* Worked examples of heat-transfer texts, and what an exact solution makes of the same data.
 *
 * Each check names where its data and its answer come from. "Book" is the answer printed; books round as they go and
 * read coefficients from tables, so their slack is stated with the reason. "Exact" was computed from the same data and
 * laws in another program, to the digits given. Temperatures in degrees Celsius here, in kelvin below. */
#include "runtime/physics/air.h"
#include "runtime/physics/slab.h"

#include <check.h>
#include <math.h>

/* Incropera, DeWitt, Bergman and Lavine, Fundamentals of Heat and Mass Transfer, chapter 5. */

static const double zero = 273.15;

static void is_near(const char *what, double got, double want, double slack)
{
    ck_assert_msg(fabs(got - want) <= slack, "%s: %.7g instead of %.7g", what, got, want);
}

static double air_seconds(struct air_sheet s, double goal)
{
    enum eval_fault fault = EVAL_OK;
    double time = air_time(&s, goal, &fault);
    ck_assert_int_eq(fault, EVAL_OK);
    return time;
}

static double air_kelvin(struct air_sheet s, double time)
{
    enum eval_fault fault = EVAL_OK;
    double t = air_temperature(&s, time, &fault);
    ck_assert_int_eq(fault, EVAL_OK);
    return t;
}

/* Temperature at a depth of a wall whose first face is insulated. */
static double insulated_wall(double h, double t_fluid, double start, double thick, double k, double c, double time,
                             double depth)
{
    struct slab s = {{0, h}, {0, t_fluid + zero}, start + zero, thick, k, c};
    enum eval_fault fault = EVAL_OK;
    double t = slab_temperature(&s, time, depth, &fault);
    ck_assert_int_eq(fault, EVAL_OK);
    return t - zero;
}

/* ---- one temperature through the body ---------------------------------------------------------------------------- */

/* Incropera, example 5.1: a thermocouple bead of h 400 W/(m2 K), k 20 W/(m K), c 400 J/(kg K), 8500 kg/m3 and a time
 * constant of 1 s, 25 degC, in gas of 200 degC until 199 degC. Book: diameter 7.06e-4 m, 5.2 s. Exact: 5.16479 s. The
 * area of a sphere to its volume is 6 to D. */
START_TEST(bead_in_a_gas)
{
    double diameter = 6 * 400 * 1.0 / (8500 * 400);
    is_near("diameter", diameter, 7.06e-4, 0.005e-4);
    struct air_sheet bead = {25 + zero, 200 + zero, 8500 * 400 * diameter / 6, 400, 0};
    double time = air_seconds(bead, 199 + zero);
    is_near("book", time, 5.2, 0.05);
    is_near("exact", time, 5.16479, 5e-6);
    is_near("after the time constant", (air_kelvin(bead, 1) - zero - 200) / (25 - 200), exp(-1), 1e-12);
}
END_TEST

/* Incropera, example 5.2: the same bead in a duct of 400 degC that it sees with an emissivity of 0.9. Air and walls
 * differ; the equilibrium temperature stands for both (see runtime/physics/air.h). Book: 218.7 degC, and 4.9 s to 217.7 degC
 * (a companion program prints 4.98 s, which is exact: 4.9815 s). Both take 273 K for 0 degC. */
START_TEST(bead_in_a_hot_duct)
{
    const double ice = 273, emitted = 0.9 * 5.670374419e-8, gas = 200 + ice, wall = 400 + ice;
    double low = gas, high = wall;
    for (int i = 0; i < 100; i++) {
        double t = (low + high) / 2;
        if (400 * (t - gas) + emitted * (pow(t, 4) - pow(wall, 4)) < 0)
            low = t;
        else
            high = t;
    }
    is_near("book", low - ice, 218.7, 0.05);
    is_near("exact", low - ice, 218.713, 0.002); /* the other program took 5.67e-8 W/(m2 K4) */
    struct air_sheet bead = {25 + ice, low, 8500 * 400 * 7.06e-4 / 6, 400, 0.9};
    double time = air_seconds(bead, 217.7 + ice);
    is_near("exact", time, 4.9815, 0.002);
    is_near("companion", time, 4.98, 0.005);
    is_near("book", time, 4.9, 0.1);
}
END_TEST

/* Incropera, example 5.3: an aluminium panel of 3 mm, k 177 W/(m K), c 875 J/(kg K), 2770 kg/m3, coated, emissivity 0.8
 * on both faces. Heated from 25 degC in an oven of 175 degC with h 40 W/(m2 K) to 150 degC, cured for 300 s more,
 * cooled at 25 degC with h 10 W/(m2 K) until 37 degC is safe to the touch. Book (from memory): 124 s, 424 s, 989 s; a
 * companion program that integrates in steps prints 123, 423, 987 s. Exact: 123.075 s, 174.754 degC at the end of
 * curing, 986.33 s; that program took 273 K for 0 degC, and so does this check. */
START_TEST(curing_of_a_panel)
{
    const double ice = 273, capacity = 2770 * 875 * 0.003;
    struct air_sheet oven = {25 + ice, 175 + ice, capacity, 2 * 40, 2 * 0.8};
    double heated = air_seconds(oven, 150 + ice), cured = air_kelvin(oven, heated + 300);
    struct air_sheet room = {cured, 25 + ice, capacity, 2 * 10, 2 * 0.8};
    double cooled = heated + 300 + air_seconds(room, 37 + ice);
    is_near("exact, heated", heated, 123.075, 0.01);
    is_near("exact, cured", cured - ice, 174.754, 0.001);
    is_near("exact, cooled", cooled, 986.33, 0.05);
    is_near("companion, heated", heated, 123, 0.5);
    is_near("companion, cooled", cooled, 987, 1);
    is_near("book, heated", heated, 124, 1);
    is_near("book, cooled", cooled, 989, 3); /* what the steps of the book's program sum up to */
}
END_TEST

/* Incropera, example 5.5, first step: a sphere of radius 5 mm, 3000 kg/m3, 1000 J/(kg K), from 400 to 335 degC in air
 * of 20 degC with h 10 W/(m2 K). Book: 94 s. Exact: 93.799 s. */
START_TEST(sphere_in_air)
{
    struct air_sheet sphere = {400 + zero, 20 + zero, 3000 * 1000 * 0.005 / 3, 10, 0};
    double time = air_seconds(sphere, 335 + zero);
    is_near("book", time, 94, 0.5);
    is_near("exact", time, 93.799, 5e-4);
}
END_TEST

/* Cengel, Heat Transfer, example 4-1: a bead of 1 mm, k 35 W/(m K), 8500 kg/m3, 320 J/(kg K), h 210 W/(m2 K), until it
 * has come 99 % of the way. Book: 10 s. */
START_TEST(bead_to_99_percent)
{
    struct air_sheet bead = {300, 400, 8500 * 320 * 0.001 / 6, 210, 0};
    is_near("book", air_seconds(bead, 399), 10, 0.1);
}
END_TEST

/* ---- temperature through a wall ---------------------------------------------------------------------------------- */

/* Incropera, example 5.4: a pipe wall of 40 mm taken as plane, insulated outside, k 63.9 W/(m K), 7832 kg/m3, 434 J/(kg
 * K), from -20 degC by oil of 60 degC with h 500 W/(m2 K), after 480 s. Book: Bi 0.313, zeta 0.531, C 1.047; 42.9 degC
 * at the insulated face, 45.2 to 45.3 degC inside; heat flux -7400 W/m2; heat 2.73e7 J per metre of 1 m diameter.
 * Exact: 43.017, 45.364 degC, -7318.2 W/m2, 2.72546e7 J. The book's three digits of zeta make the first 0.1 K. */
START_TEST(pipe_wall)
{
    const double capacity = 7832 * 434.0, biot = 500 * 0.04 / 63.9;
    struct slab_mode m = slab_mode(0, biot, 0);
    is_near("book, root", m.root, 0.531, 0.001);
    is_near("book, coefficient", m.second / (m.root * m.norm), 1.047, 0.0005);
    is_near("exact, root", m.root, 0.531885, 5e-7);
    is_near("exact, coefficient", m.second / (m.root * m.norm), 1.046788, 5e-7);
    double outer = insulated_wall(500, 60, -20, 0.04, 63.9, capacity, 480, 0);
    double inner = insulated_wall(500, 60, -20, 0.04, 63.9, capacity, 480, 1);
    is_near("exact, outer", outer, 43.017, 0.02); /* the other program took the diffusivity as 18.8e-6 m2/s */
    is_near("exact, inner", inner, 45.364, 0.02);
    is_near("book, outer", outer, 42.9, 0.2);
    is_near("book, inner", inner, 45.25, 0.2);
    is_near("exact, flux", 500 * (inner - 60), -7318.2, 10);
    is_near("book, flux", 500 * (inner - 60), -7400, 100);
    struct slab s = {{0, 500}, {0, 60 + zero}, -20 + zero, 0.04, 63.9, capacity};
    enum eval_fault fault = EVAL_OK;
    double heat = capacity * 0.04 * acos(-1) * (slab_mean(&s, 480, &fault) - zero + 20);
    ck_assert_int_eq(fault, EVAL_OK);
    is_near("exact, heat", heat, 2.72546e7, 0.005e7);
    is_near("book, heat", heat, 2.73e7, 0.01e7);
}
END_TEST

/* Both faces alike: half the wall with an insulated middle. k / (rho c) is the diffusivity. */
static double plate(double h, double t_fluid, double start, double half, double k, double diffusivity, double time)
{
    return insulated_wall(h, t_fluid, start, half, k, k / diffusivity, time, 1);
}

/* Cengel, Heat Transfer, problem 4-36: brass plates of 30 mm from 25 degC, 10 min in a furnace of 700 degC, h 80 W/(m2
 * K), k 110 W/(m K), diffusivity 33.9e-6 m2/s. Book (found): Bi 0.0109, Fo 90.4, lambda 0.1039, A 1.0018, surface 445
 * degC. Exact: lambda 0.104257, 448.24 degC. Of the gap of 3 K the book's straight line between two rows of its table
 * makes half: with its root the series gives 446.5 degC; the rest is its rounding to 0.378 of the difference. */
START_TEST(brass_plates_in_a_furnace)
{
    double root = slab_mode(0, 80 * 0.015 / 110, 0).root, fourier = 33.9e-6 * 600 / (0.015 * 0.015);
    is_near("book, Fourier number", fourier, 90.4, 0.05);
    is_near("exact, root", root, 0.104257, 5e-7);
    is_near("exact", plate(80, 700, 25, 0.015, 110, 33.9e-6, 600), 448.24, 0.005);
    is_near("book", plate(80, 700, 25, 0.015, 110, 33.9e-6, 600), 445, 3.5);
}
END_TEST

/* Cengel, Heat Transfer, example 4-3: brass plates of 40 mm from 20 degC, 7 min in an oven of 500 degC, h 120 W/(m2 K),
 * k 110 W/(m K), diffusivity 33.9e-6 m2/s. Book (from memory): 282 degC off a chart, 279 degC lumped. Exact:
 * 279.584. */
START_TEST(brass_plates_in_an_oven)
{
    double surface = plate(120, 500, 20, 0.02, 110, 33.9e-6, 420);
    is_near("exact", surface, 279.584, 5e-4);
    is_near("book, lumped", surface, 279, 1);
    is_near("book, chart", surface, 282, 3); /* a chart is read to a percent */
}
END_TEST

/* A textbook exercise (found without its answer): a steel plate of 100 mm, k 45 W/(m K), 7800 kg/m3, 500 J/(kg K), is
 * annealed from 300 degC at 700 degC with h 500 W/(m2 K) until its middle is at 550 degC. Exact: zeta 0.682919,
 * C 1.076478, 489.90 s. */
START_TEST(steel_plate_annealed)
{
    struct slab_mode m = slab_mode(0, 500 * 0.05 / 45, 0);
    is_near("root", m.root, 0.682919, 5e-7);
    is_near("coefficient", m.second / (m.root * m.norm), 1.076478, 5e-7);
    is_near("middle", insulated_wall(500, 700, 300, 0.05, 45, 7800 * 500.0, 489.90, 0), 550, 0.002);
}
END_TEST

/* Incropera, example 5.6: soil, k 0.52 W/(m K), 2050 kg/m3, 1840 J/(kg K), 20 degC throughout, its surface held at -15
 * degC: how deep has 0 degC come after 60 days? Book: 0.68 m. Exact: 0.67661 m. A sheet of 50 m whose other face is
 * insulated is without end for that long; a conductance without bound holds the surface. */
START_TEST(frost_in_the_soil)
{
    struct slab soil = {{1e12, 0}, {-15 + zero, 0}, 20 + zero, 50, 0.52, 2050 * 1840.0};
    enum eval_fault fault = EVAL_OK;
    double low = 0, high = 2;
    for (int i = 0; i < 60; i++) {
        double depth = (low + high) / 2;
        if (slab_temperature(&soil, 60 * 86400.0, depth / 50, &fault) < zero)
            low = depth;
        else
            high = depth;
    }
    ck_assert_int_eq(fault, EVAL_OK);
    is_near("book", low, 0.68, 0.005);
    is_near("exact", low, 0.67661, 5e-6);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("heat examples");
    TCase *tests = tcase_create("heat examples");
    tcase_add_test(tests, bead_in_a_gas);
    tcase_add_test(tests, bead_in_a_hot_duct);
    tcase_add_test(tests, curing_of_a_panel);
    tcase_add_test(tests, sphere_in_air);
    tcase_add_test(tests, bead_to_99_percent);
    tcase_add_test(tests, pipe_wall);
    tcase_add_test(tests, brass_plates_in_a_furnace);
    tcase_add_test(tests, brass_plates_in_an_oven);
    tcase_add_test(tests, steel_plate_annealed);
    tcase_add_test(tests, frost_in_the_soil);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
