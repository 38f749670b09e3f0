/* A sheet in air: against the closed forms that exist without radiation and without convection (Incropera and DeWitt,
 * section 5.3, from memory), against a fourth-order step-by-step solution, and against the balance itself. */
#include "runtime/physics/air.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>

static const double sigma = 5.670374419e-8; /* CODATA 2018 */

static double after(const struct air_sheet *s, double time)
{
    enum eval_fault fault = EVAL_OK;
    double v = air_temperature(s, time, &fault);
    ck_assert_int_eq(fault, EVAL_OK);
    return v;
}

static double time_to(const struct air_sheet *s, double goal)
{
    enum eval_fault fault = EVAL_OK;
    double v = air_time(s, goal, &fault);
    ck_assert_msg(fault == EVAL_OK, "fault %d for goal %.17g", fault, goal);
    return v;
}

static void never(const struct air_sheet *s, double goal)
{
    enum eval_fault fault = EVAL_OK;
    ck_assert(isnan(air_time(s, goal, &fault)));
    ck_assert_int_eq(fault, EVAL_NEVER_REACHED);
}

static void is_near(double got, double want, double share)
{
    ck_assert_msg(fabs(got - want) <= share * fabs(want), "%.15g instead of %.15g", got, want);
}

static double random_share(void)
{
    return rand() / (double)RAND_MAX;
}

START_TEST(is_exponential_without_radiation)
{
    for (int i = 0; i < 7; i++) {
        double h = 1e-3 * pow(10, i);
        for (int k = 0; k < 10; k++) {
            double t = 1e-3 * pow(3, k);
            struct air_sheet s = {473.15, 293.15, 938, h, 0}, heated = {293.15, 773.15, 938, h, 0};
            double time = t * 938 / h;
            is_near(after(&s, time), 293.15 + 180 * exp(-t), 1e-14);
            is_near(after(&heated, time), 773.15 - 480 * exp(-t), 1e-14);
            /* What a goal's last digit is worth in time grows as the goal nears the surroundings. */
            if (t < 10)
                is_near(time_to(&s, 293.15 + 180 * exp(-t)), time, 1e-14 * exp(t) / t + 1e-14);
        }
    }
}
END_TEST

/* Radiation alone: C / (4 e sigma Ts^3) (ln|(Ts + T)/(Ts - T)| - ln|(Ts + T0)/(Ts - T0)| + 2 (atan(T/Ts) -
 * atan(T0/Ts))) */
static double radiation_time(double t0, double ts, double t, double capacity, double emissivity)
{
    double logs = log(fabs((ts + t) / (ts - t))) - log(fabs((ts + t0) / (ts - t0)));
    return capacity / (4 * emissivity * sigma * ts * ts * ts) * (logs + 2 * (atan(t / ts) - atan(t0 / ts)));
}

START_TEST(follows_the_closed_form_of_radiation)
{
    static const double starts[] = {10, 200, 290, 310, 473.15, 700, 1500, 3000};
    for (int i = 0; i < 8; i++)
        for (int k = 1; k < 20; k++) {
            struct air_sheet s = {starts[i], 300, 938, 0, 0.7};
            double goal = starts[i] + (300 - starts[i]) * k / 20, time = radiation_time(starts[i], 300, goal, 938, 0.7);
            is_near(time_to(&s, goal), time, 3e-12); /* the closed form loses some digits between its terms */
            is_near(after(&s, time), goal, 1e-12);
        }
}
END_TEST

/* To surroundings near absolute zero: C / (3 e sigma) (1/T^3 - 1/T0^3). The surroundings' share is below (1/500)^4. */
START_TEST(follows_the_closed_form_to_deep_space)
{
    struct air_sheet s = {1000, 1, 938, 0, 0.7};
    double time = 938 / (3 * 0.7 * sigma) * (1 / pow(500, 3) - 1 / pow(1000, 3));
    is_near(time_to(&s, 500), time, 1e-9);
    is_near(after(&s, time), 500, 1e-9);
}
END_TEST

static double rate(const struct air_sheet *s, double t)
{
    double a = s->surroundings;
    return -(s->convection * (t - a) + s->emissivity * sigma * (pow(t, 4) - pow(a, 4))) / s->capacity;
}

/* Runge and Kutta's classical rule, in 20,000 steps. */
static double step_by_step(const struct air_sheet *s, double time)
{
    double t = s->start, d = time / 20000;
    for (int i = 0; i < 20000; i++) {
        double a = rate(s, t), b = rate(s, t + d / 2 * a), c = rate(s, t + d / 2 * b);
        t += d / 6 * (a + 2 * b + 2 * c + rate(s, t + d * c));
    }
    return t;
}

START_TEST(agrees_with_many_small_steps)
{
    srand(11);
    for (int i = 0; i < 60; i++) {
        struct air_sheet s = {250 + 1500 * random_share(), 250 + 800 * random_share(), 200 + 4000 * random_share(),
                              100 * random_share(), 2 * random_share()};
        double time = (0.01 + 3 * random_share()) * s.capacity / (s.convection + 20), want = step_by_step(&s, time);
        is_near(after(&s, time), want, 1e-11);
    }
}
END_TEST

/* Little gained from much hotter surroundings keeps the digits of what it was. */
START_TEST(keeps_the_digits_of_a_small_change)
{
    struct air_sheet s = {1, 1e6, 1000, 10, 0};
    double share = 1e-12, time = share * 1000 / 10;
    is_near(after(&s, time), 1 + (1e6 - 1) * share, 1e-15);
}
END_TEST

START_TEST(keeps_the_balance_of_heat)
{
    srand(12);
    for (int i = 0; i < 5000; i++) {
        struct air_sheet s = {50 + 2000 * random_share(), 50 + 1000 * random_share(), 938, 200 * random_share(),
                              2 * random_share()};
        double time = 60 * random_share(), d = 1e-3, t = after(&s, time + d);
        double gain = (after(&s, time + 2 * d) - after(&s, time)) / (2 * d);
        ck_assert_double_eq_tol(gain, rate(&s, t), 1e-5 * fabs(rate(&s, t)) + 1e-8);
    }
}
END_TEST

START_TEST(inverts_itself)
{
    srand(13);
    for (int i = 0; i < 20000; i++) {
        struct air_sheet s = {100 + 1500 * random_share(), 100 + 1500 * random_share(), 938, 200 * random_share(),
                              2 * random_share()};
        double goal = s.start + (s.surroundings - s.start) * (0.001 + 0.998 * random_share());
        if (fabs(s.start - s.surroundings) < 1)
            continue;
        is_near(after(&s, time_to(&s, goal)), goal, 1e-13);
    }
}
END_TEST

START_TEST(comes_to_the_surroundings_and_no_further)
{
    struct air_sheet cooling = {473.15, 293.15, 938, 10, 0.4}, heating = {293.15, 773.15, 938, 0, 1.6};
    double before = 474;
    for (int i = 0; i < 100; i++) {
        double t = after(&cooling, 0.01 * (pow(1.2, i) - 1));
        ck_assert(t <= before && t >= 293.15);
        before = t;
    }
    ck_assert(before == 293.15);
    ck_assert(after(&heating, 1e300) == 773.15);
    ck_assert(after(&heating, INFINITY) == 773.15);
    ck_assert(after(&cooling, 0) == 473.15);
}
END_TEST

START_TEST(never_comes_to_what_is_out_of_reach)
{
    struct air_sheet cooling = {473.15, 293.15, 938, 10, 0.4}, heating = {293.15, 773.15, 938, 10, 0},
                     alone = {473.15, 293.15, 938, 0, 0}, level = {300, 300, 938, 10, 0.4};
    never(&cooling, 293.15);
    never(&cooling, 290);
    never(&cooling, 474);
    never(&heating, 773.15);
    never(&heating, 800);
    never(&heating, 293);
    never(&alone, 400);
    never(&level, 301);
    ck_assert(time_to(&cooling, 473.15) == 0);
    ck_assert(time_to(&alone, 473.15) == 0);
    ck_assert(time_to(&level, 300) == 0);
    ck_assert(after(&alone, 1e9) == 473.15);
    ck_assert(after(&level, 100) == 300);
    ck_assert(time_to(&cooling, 293.151) > 0);
}
END_TEST

START_TEST(has_a_number_for_whatever_may_be_asked)
{
    srand(14);
    for (int i = 0; i < 50000; i++) {
        struct air_sheet s = {pow(10, -3 + 8 * random_share()), pow(10, -3 + 8 * random_share()),
                              pow(10, -6 + 12 * random_share()), i % 3 ? pow(10, -9 + 18 * random_share()) : 0,
                              i % 4 ? pow(10, -9 + 9 * random_share()) : 0};
        double low = fmin(s.start, s.surroundings), high = fmax(s.start, s.surroundings);
        double t = after(&s, pow(10, -12 + 24 * random_share()));
        ck_assert_msg(t >= low - 1e-15 * high && t <= high * (1 + 1e-15), "%g outside %g..%g", t, low, high);
        enum eval_fault fault = EVAL_OK;
        double time = air_time(&s, low + (high - low) * random_share(), &fault);
        ck_assert(fault == EVAL_NEVER_REACHED || (fault == EVAL_OK && time >= 0));
    }
}
END_TEST

static void refuses(struct air_sheet s, double time, double goal)
{
    enum eval_fault fault = EVAL_OK;
    ck_assert(isnan(air_temperature(&s, time, &fault)) && fault == EVAL_BAD_ARGUMENT);
    fault = EVAL_OK;
    if (time >= 0)
        ck_assert(isnan(air_time(&s, goal, &fault)) && fault == EVAL_BAD_ARGUMENT);
}

START_TEST(refuses_what_makes_no_sense)
{
    struct air_sheet good = {473.15, 293.15, 938, 10, 0.4}, s;
    refuses(good, -1, 400);
    refuses(good, NAN, 400);
    double *const fields[] = {&s.capacity, &s.convection, &s.emissivity, &s.start, &s.surroundings};
    for (int i = 0; i < 5; i++)
        for (int k = 0; k < 2; k++) {
            s = good;
            *fields[i] = k ? NAN : -1;
            refuses(s, 1, 400);
        }
    s = good;
    s.capacity = 0;
    refuses(s, 1, 400);
    enum eval_fault fault = EVAL_OK;
    ck_assert(isnan(air_time(&good, NAN, &fault)) && fault == EVAL_BAD_ARGUMENT);
}
END_TEST

/* Newton's law has them in closed form, at the first moment, on the way, when all is over, and where nothing is lost. */
START_TEST(has_the_slopes_of_the_exponential_law)
{
    static const double times[] = {0, 1e-6, 0.3, 40, 900, 1e4, 1e300};
    for (int i = 0; i < 7; i++) {
        struct air_sheet s = {473.15, 293.15, 938, 20, 0}, still = {473.15, 293.15, 938, 0, 0};
        double u = 20 * times[i] / 938, left = exp(-u), lost = -180 * times[i] / 938;
        struct air_slopes after = air_temperature_slopes(&s, times[i]);
        is_near(after.surroundings, -expm1(-u), 1e-13);
        is_near(after.convection, u > 40 ? 0 : lost * left, 1e-13);
        after = air_temperature_slopes(&still, times[i]);
        is_near(after.surroundings, 0, 0);
        is_near(after.convection, lost, 1e-15);
        struct air_slopes to = air_time_slopes(&s, 293.15 + 90);
        is_near(to.convection, -938 * log(2) / 400, 1e-13);
        is_near(to.surroundings, 938 / 20.0 * (1 / 90.0 - 1 / 180.0), 1e-13);
    }
    struct air_sheet level = {293.15, 293.15, 938, 20, 0.4};
    double transfer = 20 + 0.4 * sigma * 4 * pow(293.15, 3);
    is_near(air_temperature_slopes(&level, 40).surroundings, -expm1(-40 * transfer / 938), 1e-13);
    ck_assert(air_temperature_slopes(&level, 40).convection == 0);
}
END_TEST

/* Of one argument, by the values two small steps to either side. */
static double by_differences(const struct air_sheet *s, double *varied, double step, double last, bool of_time)
{
    double near[4], at = *varied;
    static const int places[] = {-2, -1, 1, 2};
    for (int i = 0; i < 4; i++) {
        *varied = at + places[i] * step;
        near[i] = of_time ? time_to(s, last) : after(s, last);
    }
    *varied = at;
    return (8 * (near[2] - near[1]) - (near[3] - near[0])) / (12 * step);
}

static void agrees(double got, double want, double size)
{
    ck_assert_msg(fabs(got - want) <= 1e-8 * fabs(want) + 1e-10 * size, "%.12g instead of %.12g", got, want);
}

START_TEST(has_the_slopes_that_its_values_show)
{
    srand(14);
    for (int i = 0; i < 2000; i++) {
        struct air_sheet s = {150 + 1500 * random_share(), 150 + 1500 * random_share(), 938, 1 + 200 * random_share(),
                              0.01 + 2 * random_share()};
        if (fabs(s.start - s.surroundings) < 20)
            continue;
        double goal = s.start + (s.surroundings - s.start) * (0.05 + 0.9 * random_share()), time = time_to(&s, goal);
        struct air_slopes to = air_time_slopes(&s, goal), slopes = air_temperature_slopes(&s, time);
        double step = 1e-3 * fabs(goal - s.surroundings), *around = &s.surroundings;
        for (int of_time = 0; of_time < 2; of_time++) {
            const struct air_slopes *got = of_time ? &to : &slopes;
            double last = of_time ? goal : time, size = of_time ? time : goal;
            agrees(got->convection, by_differences(&s, &s.convection, 1e-3 * s.convection, last, of_time),
                   size / s.convection);
            agrees(got->emissivity, by_differences(&s, &s.emissivity, 1e-3 * s.emissivity, last, of_time),
                   size / s.emissivity);
            agrees(got->surroundings, by_differences(&s, around, step, last, of_time), size / step);
        }
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("air");
    TCase *tests = tcase_create("air");
    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, is_exponential_without_radiation);
    tcase_add_test(tests, follows_the_closed_form_of_radiation);
    tcase_add_test(tests, follows_the_closed_form_to_deep_space);
    tcase_add_test(tests, agrees_with_many_small_steps);
    tcase_add_test(tests, keeps_the_digits_of_a_small_change);
    tcase_add_test(tests, keeps_the_balance_of_heat);
    tcase_add_test(tests, inverts_itself);
    tcase_add_test(tests, comes_to_the_surroundings_and_no_further);
    tcase_add_test(tests, never_comes_to_what_is_out_of_reach);
    tcase_add_test(tests, has_a_number_for_whatever_may_be_asked);
    tcase_add_test(tests, has_the_slopes_of_the_exponential_law);
    tcase_add_test(tests, has_the_slopes_that_its_values_show);
    tcase_add_test(tests, refuses_what_makes_no_sense);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
