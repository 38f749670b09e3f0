/* Conduction in a sheet: its eigenvalues against the equation they solve, its temperatures against limiting cases with
 * a law of their own, a finite-volume solver and the balance of heat, its times against the means they come from.
 * Published values stand in tests/reference/. */
#include "runtime/physics/slab.h"

#include <check.h>
#include <math.h>
#include <stdlib.h>

static const double pi = 3.14159265358979323846;

/* A sheet in which a Biot number is the conductance and a Fourier number the time. */
static struct slab sheet(double first_biot, double second_biot, double first, double second, double start)
{
    return (struct slab){.conductance = {first_biot, second_biot},
                         .surroundings = {first, second},
                         .start = start,
                         .thickness = 1,
                         .conductivity = 1,
                         .capacity = 1};
}

static double at(const struct slab *s, double time, double depth)
{
    enum eval_fault fault = EVAL_OK;
    double v = slab_temperature(s, time, depth, &fault);
    ck_assert_int_eq(fault, EVAL_OK);
    return v;
}

static double mean(const struct slab *s, double time)
{
    enum eval_fault fault = EVAL_OK;
    double v = slab_mean(s, time, &fault);
    ck_assert_int_eq(fault, EVAL_OK);
    return v;
}

static double time_to(const struct slab *s, double goal)
{
    enum eval_fault fault = EVAL_OK;
    double v = slab_time(s, goal, &fault);
    ck_assert_msg(fault == EVAL_OK, "fault %d for goal %.9g", fault, goal);
    return v;
}

static void never(const struct slab *s, double goal)
{
    enum eval_fault fault = EVAL_OK;
    double v = slab_time(s, goal, &fault);
    ck_assert_msg(isnan(v) && fault == EVAL_NEVER_REACHED, "goal %.9g after %g", goal, v);
}

static void is_near(double got, double want, double slack)
{
    ck_assert_msg(fabs(got - want) <= slack, "%.15g instead of %.15g, slack %g", got, want, slack);
}

static double random_share(void)
{
    return rand() / (double)RAND_MAX;
}

static double random_biot(double low, double high)
{
    return pow(10, low + (high - low) * random_share());
}

/* ---- eigenvalues ------------------------------------------------------------------------------------------------- */

static const double biots[] = {0, 1e-9, 1e-6, 1e-3, 0.1, 1, 10, 1e3, 1e6};
enum { BIOTS = sizeof biots / sizeof biots[0], TERMS = 28 };

/* The distance from the true root, by one Newton step in long double. */
static long double root_error(long double b1, long double b2, uint32_t n, long double root)
{
    long double excess = root - n * acosl(-1) - atan2l(b1, root) - atan2l(b2, root);
    return excess / (1 + b1 / (root * root + b1 * b1) + b2 / (root * root + b2 * b2));
}

START_TEST(finds_roots_to_the_last_digits)
{
    for (int i = 0; i < BIOTS; i++)
        for (int k = 0; k < BIOTS; k++)
            for (uint32_t n = i + k ? 0 : 1; n < TERMS; n++) {
                double root = slab_mode(biots[i], biots[k], n).root;
                long double off = root_error(biots[i], biots[k], n, root);
                ck_assert_msg(fabsl(off) <= 1e-15 * root, "B %g %g n %u: root %.17g off by %Lg", biots[i], biots[k], n,
                              root, off);
            }
}
END_TEST

/* The condition without arcs: its zeros are counted in small steps, so that none is missed and none is told twice. */
static double condition(double b1, double b2, double x)
{
    return (x * x - b1 * b2) * sin(x) - (b1 + b2) * x * cos(x);
}

START_TEST(misses_no_root)
{
    const int steps = 200000;
    for (int i = 0; i < BIOTS; i++)
        for (int k = i; k < BIOTS; k++) {
            /* The first root is about sqrt(B1 + B2) when that is small: below the first step it cannot be seen. */
            uint32_t n = sqrt(biots[i] + biots[k]) < TERMS * pi / steps ? 1 : 0;
            for (int step = 1; step < steps && n < TERMS; step++) {
                double a = step * TERMS * pi / steps, b = (step + 1) * TERMS * pi / steps;
                if (condition(biots[i], biots[k], a) * condition(biots[i], biots[k], b) >= 0)
                    continue;
                double root = slab_mode(biots[i], biots[k], n++).root;
                ck_assert_msg(root >= a - 1e-9 && root <= b + 1e-9, "B %g %g: zero in %g..%g, root %g", biots[i],
                              biots[k], a, b, root);
            }
            ck_assert_uint_ge(n, TERMS - 1); /* the last may lie on the end of the stretch */
        }
}
END_TEST

/* Mean square of cos(root X - phase), by Simpson's rule. */
START_TEST(normalises_its_functions)
{
    for (int i = 0; i < BIOTS; i++)
        for (uint32_t n = 0; n < 6; n++) {
            struct slab_mode m = slab_mode(biots[i], 2, n);
            double sum = 0;
            for (int k = 0; k <= 2000; k++)
                sum += (k % 2000 == 0 ? 1 : k % 2 ? 4 : 2) * pow(cos(m.root * k / 2000 - m.first_phase), 2) / 6000;
            is_near(m.norm, sum, 1e-9);
        }
}
END_TEST

/* ---- laws of their own ------------------------------------------------------------------------------------------- */

START_TEST(begins_at_the_start)
{
    struct slab s = sheet(3, 5, 500, 400, 300);
    for (int i = 0; i <= 4; i++)
        ck_assert(at(&s, 0, i / 4.0) == 300);
    ck_assert(mean(&s, 0) == 300);
}
END_TEST

START_TEST(keeps_what_is_in_balance)
{
    struct slab s = sheet(3, 5, 300, 300, 300), insulated = sheet(0, 0, 900, 100, 300);
    for (int i = 0; i < 12; i++) {
        double time = 1e-6 * pow(10, i);
        ck_assert(at(&s, time, 0.3) == 300 && mean(&s, time) == 300);
        ck_assert(at(&insulated, time, 0.3) == 300 && mean(&insulated, time) == 300);
    }
}
END_TEST

/* Steady state: the same heat through face, sheet, face (resistances 1/B1, 1, 1/B2 in a row). */
START_TEST(comes_to_the_steady_state)
{
    for (int i = 0; i < BIOTS; i++)
        for (int k = 1; k < BIOTS; k++) {
            struct slab s = sheet(biots[i], biots[k], 500, 300, 400);
            double heat = biots[i] ? 200 / (1 / biots[i] + 1 + 1 / biots[k]) : 0;
            double second = 300 + heat / biots[k], first = second + heat;
            is_near(at(&s, 1e13, 0), first, 1e-9);
            is_near(at(&s, 1e13, 1), second, 1e-9);
            is_near(mean(&s, 1e13), (first + second) / 2, 1e-9);
        }
}
END_TEST

/* With small Biot numbers the sheet is one temperature: an exponential whose error is about a third of the Biot
 * number. */
START_TEST(is_lumped_for_small_biot_numbers)
{
    for (int i = 0; i < 7; i++) {
        double b = 1e-9 * pow(10, i);
        struct slab s = sheet(b, 3 * b, 500, 300, 420);
        double end = (500 + 3 * 300) / 4.0;
        for (int k = 0; k < 6; k++) {
            double t = 0.01 * pow(3, k);
            is_near(mean(&s, t / (4 * b)), end + (420 - end) * exp(-t), 200 * b + 1e-10);
        }
    }
}
END_TEST

/* Faces held at 0 from 1: mean = 8/pi^2 sum of exp(-(2k+1)^2 pi^2 Fo)/(2k+1)^2; Carslaw and Jaeger, 3.3(10). */
START_TEST(is_classical_for_large_biot_numbers)
{
    struct slab s = sheet(1e15, 1e15, 0, 0, 1);
    for (int n = 0; n < 19; n++) {
        double fourier = 1e-4 * pow(1.7, n);
        double sum = 0, middle = 0;
        for (int k = 2000; k >= 0; k--) {
            double odd = 2 * k + 1, decay = exp(-odd * odd * pi * pi * fourier);
            sum += 8 / (pi * pi) * decay / (odd * odd);
            middle += 4 / pi * (k % 2 ? -decay : decay) / odd;
        }
        is_near(mean(&s, fourier), sum, 1e-12);
        is_near(at(&s, fourier, 0.5), middle, 1e-12);
    }
}
END_TEST

/* Half a sheet with an insulated face is the whole sheet heated alike on both: Biot and Fourier number scale. */
START_TEST(is_symmetric_about_an_insulated_face)
{
    for (int i = 1; i < BIOTS; i++) {
        struct slab whole = sheet(2 * biots[i], 2 * biots[i], 0, 0, 1), half = sheet(0, biots[i], 7, 0, 1);
        for (int n = 0; n < 20; n++) {
            double fourier = 1e-5 * pow(2, n);
            is_near(at(&half, fourier, 0), at(&whole, fourier / 4, 0.5), 2e-14);
            is_near(at(&half, fourier, 1), at(&whole, fourier / 4, 0), 2e-14);
            is_near(mean(&half, fourier), mean(&whole, fourier / 4), 2e-14);
        }
    }
}
END_TEST

START_TEST(does_not_care_which_face_is_first)
{
    srand(1);
    for (int i = 0; i < 2000; i++) {
        double b1 = random_biot(-9, 6), b2 = random_biot(-9, 6), fourier = random_biot(-8, 3), depth = random_share();
        struct slab one = sheet(b1, b2, 1, -0.5, 0), other = sheet(b2, b1, -0.5, 1, 0);
        is_near(at(&one, fourier, depth), at(&other, fourier, 1 - depth), 1e-12);
        is_near(mean(&one, fourier), mean(&other, fourier), 1e-13);
    }
}
END_TEST

START_TEST(joins_early_and_late_form)
{
    for (int i = 0; i < BIOTS; i++)
        for (int k = 0; k < BIOTS; k++) {
            struct slab s = sheet(biots[i], biots[k], 1, -0.5, 0);
            double before = 0.006 * (1 - 1e-14), after = 0.006 * (1 + 1e-14);
            is_near(mean(&s, before), mean(&s, after), 1e-14);
            for (int m = 0; m < 9; m++) {
                double depth = 0.125 * m;
                is_near(at(&s, before, depth), at(&s, after, depth), 3e-14);
            }
        }
}
END_TEST

/* ---- the balance of heat ----------------------------------------------------------------------------------------- */

/* What the mean gains is what comes in at the faces. */
START_TEST(keeps_the_balance_of_heat)
{
    srand(2);
    for (int i = 0; i < 2000; i++) {
        double b1 = random_biot(-3, 2), b2 = random_biot(-3, 2), fourier = random_biot(-4, 0.5), step = 1e-4 * fourier;
        struct slab s = sheet(b1, b2, 1, -0.7, 0.2);
        double gain = (mean(&s, fourier + step) - mean(&s, fourier - step)) / (2 * step);
        double flux = b1 * (1 - at(&s, fourier, 0)) + b2 * (-0.7 - at(&s, fourier, 1));
        is_near(gain, flux, 1e-7 * (b1 + b2) + 1e-11 / step);
    }
}
END_TEST

/* The mean is the mean of the temperatures: Simpson's rule over the depth. */
START_TEST(has_the_mean_of_its_temperatures)
{
    srand(3);
    for (int i = 0; i < 50; i++) {
        double fourier = random_biot(-3, 1), sum = 0;
        struct slab s = sheet(random_biot(-4, 3), random_biot(-4, 3), 1, -0.7, 0.2);
        for (int k = 0; k <= 1000; k++)
            sum += (k % 1000 == 0 ? 1 : k % 2 ? 4 : 2) * at(&s, fourier, k / 1000.0) / 3000;
        is_near(mean(&s, fourier), sum, 1e-7);
    }
}
END_TEST

/* No sheet is ever hotter than the hottest or colder than the coldest of start and surroundings; and nothing that may
 * be asked gives no number. */
START_TEST(stays_between_its_temperatures)
{
    srand(4);
    for (int i = 0; i < 40000; i++) {
        double fourier = random_biot(-18, 18), depth = i % 3 ? random_share() : i % 2;
        struct slab s = sheet(random_biot(-14, 14), i % 5 ? random_biot(-14, 14) : 0, 1, -0.7, 0.2);
        double v = at(&s, fourier, depth), m = mean(&s, fourier);
        ck_assert_msg(v >= -0.7 - 1e-12 && v <= 1 + 1e-12, "B %g %g Fo %g depth %g: %.17g", s.conductance[0],
                      s.conductance[1], fourier, depth, v);
        ck_assert_msg(m >= -0.7 - 1e-12 && m <= 1 + 1e-12, "B %g %g Fo %g: mean %.17g", s.conductance[0],
                      s.conductance[1], fourier, m);
    }
}
END_TEST

/* ---- a solver by finite volumes ---------------------------------------------------------------------------------- */

enum { CELLS = 200, STEPS = 4000 };

/* One implicit step of length dt, share of the new time `w` (1/2 after Crank and Nicolson, 1 backward Euler). */
static void volume_step(const struct slab *s, double *t, double dt, double w)
{
    double lower[CELLS], middle[CELLS], upper[CELLS], right[CELLS], r = dt * CELLS * CELLS;
    double face[2];
    for (int i = 0; i < 2; i++)
        face[i] = dt * CELLS / (1 / s->conductance[i] + 0.5 / CELLS);
    for (int i = 0; i < CELLS; i++) {
        double down = i ? r : face[0], up = i < CELLS - 1 ? r : face[1];
        double before = i ? t[i - 1] : s->surroundings[0], after = i < CELLS - 1 ? t[i + 1] : s->surroundings[1];
        lower[i] = i ? -w * r : 0;
        upper[i] = i < CELLS - 1 ? -w * r : 0;
        middle[i] = 1 + w * (down + up);
        right[i] = t[i] + (1 - w) * (down * (before - t[i]) + up * (after - t[i]));
        right[i] += w * ((i ? 0 : face[0] * before) + (i < CELLS - 1 ? 0 : face[1] * after));
    }
    for (int i = 1; i < CELLS; i++) {
        double f = lower[i] / middle[i - 1];
        middle[i] -= f * upper[i - 1];
        right[i] -= f * right[i - 1];
    }
    for (int i = CELLS - 1; i >= 0; i--)
        t[i] = (right[i] - (i < CELLS - 1 ? upper[i] * t[i + 1] : 0)) / middle[i];
}

static const struct {
    double b1, b2, fourier;
} volumes[] = {{1, 1, 0.3}, {0.1, 10, 0.05}, {10, 0.1, 0.5}, {50, 2, 0.004}, {0.01, 0.02, 20}, {300, 300, 0.1}};

START_TEST(agrees_with_finite_volumes)
{
    struct slab s = sheet(volumes[_i].b1, volumes[_i].b2, 1, -0.7, 0.2);
    double t[CELLS], dt = volumes[_i].fourier / STEPS, sum = 0;
    for (int i = 0; i < CELLS; i++)
        t[i] = 0.2;
    for (int i = 0; i < 8; i++) /* damps the jump at the faces */
        volume_step(&s, t, dt / 4, 1);
    for (int i = 2; i < STEPS; i++)
        volume_step(&s, t, dt, 0.5);
    for (int i = 0; i < CELLS; i++) {
        is_near(at(&s, volumes[_i].fourier, (i + 0.5) / CELLS), t[i], 1e-3);
        sum += t[i] / CELLS;
    }
    is_near(mean(&s, volumes[_i].fourier), sum, 2e-4);
}
END_TEST

/* ---- the time to a goal ------------------------------------------------------------------------------------------ */

START_TEST(inverts_the_mean)
{
    srand(5);
    for (int i = 0; i < 5000; i++) {
        struct slab s = sheet(random_biot(-9, 6), i % 4 ? random_biot(-9, 6) : 0, 500 + 50 * random_share(), 500, 300);
        double end = mean(&s, 1e15), goal = 300 + (end - 300) * (i % 3 ? random_share() : random_biot(-9, 0));
        if (goal - 300 < 1e-6 || end - goal < 1e-6)
            continue;
        double time = time_to(&s, goal);
        is_near(mean(&s, time), goal, 1e-11 * 500);
        ck_assert(mean(&s, 0.999 * time) < goal && mean(&s, 1.001 * time) > goal);
    }
}
END_TEST

START_TEST(takes_no_time_for_what_is_so)
{
    struct slab s = sheet(1, 2, 500, 400, 300), insulated = sheet(0, 0, 500, 400, 300);
    ck_assert(time_to(&s, 300) == 0);
    ck_assert(time_to(&s, 300 * (1 + 1e-15)) == 0);
    ck_assert(time_to(&insulated, 300) == 0);
}
END_TEST

START_TEST(never_comes_to_what_is_out_of_reach)
{
    struct slab heating = sheet(1, 1, 500, 500, 300), cooling = sheet(0, 3, 0, 300, 500),
                insulated = sheet(0, 0, 9, 9, 300);
    never(&heating, 500);
    never(&heating, 500.001);
    never(&heating, 299.9);
    never(&cooling, 300);
    never(&cooling, 299);
    never(&cooling, 501);
    never(&insulated, 301);
    ck_assert(time_to(&heating, 499.999) > 0);
    ck_assert(time_to(&cooling, 300.001) > 0);
}
END_TEST

/* Both faces alike and pulling against each other: the mean stays where it is. */
START_TEST(never_leaves_a_standoff)
{
    for (int i = 0; i < 13; i++) {
        double b = 1e-6 * pow(10, i);
        struct slab s = sheet(b, b, 400, 200, 300);
        never(&s, 301);
        never(&s, 299);
        ck_assert(time_to(&s, 300) == 0);
    }
}
END_TEST

/* The first face is ahead at first and heats; then the second, colder by more, takes it back. */
START_TEST(finds_a_goal_passed_before_the_mean_turns)
{
    struct slab s = sheet(1e6, 1, 100, -300, 0); /* steady mean 0 */
    double top = 0, top_time = 0;
    for (int i = 0; i < 16127; i++) {
        double time = 1e-6 * pow(1.001, i);
        if (mean(&s, time) > top) {
            top = mean(&s, time);
            top_time = time;
        }
    }
    ck_assert(top > 5);
    double time = time_to(&s, 0.9 * top);
    ck_assert(time < top_time);
    is_near(mean(&s, time), 0.9 * top, 1e-9);
    never(&s, 1.001 * top);
    never(&s, -1);                                    /* it does not come below where it began */
    struct slab colder = sheet(1e6, 1, 100, -500, 0); /* steady mean near -50: by way of a rise */
    time = time_to(&colder, -25);
    is_near(mean(&colder, time), -25, 1e-9);
    ck_assert(mean(&colder, 0.01 * time) > 0);
    never(&colder, mean(&colder, 1e9));
    never(&colder, -50.01);
}
END_TEST

/* With both conductances without bound but for their ratio, the turn comes after a few parts in 10^12 of the time. */
START_TEST(finds_a_goal_passed_in_the_first_instant)
{
    struct slab s = sheet(1e6, 1e5, 1000, -5000, 0);
    double top = 0;
    for (int i = 0; i < 400; i++)
        top = fmax(top, mean(&s, 1e-16 * pow(1.1, i)));
    ck_assert(top > 1e-6 && mean(&s, 1e-6) < 0);
    double time = time_to(&s, 0.5 * top);
    ck_assert(time > 0 && time < 1e-9);
    is_near(mean(&s, time), 0.5 * top, 1e-6 * top);
    time = time_to(&s, -1);
    is_near(mean(&s, time), -1, 1e-9);
    never(&s, 1.01 * top);
}
END_TEST

/* That the mean turns once at most is what the search stands on. Looked at in small steps. */
START_TEST(turns_once_at_most)
{
    srand(6);
    int turned = 0;
    for (int i = 0; i < 1500; i++) {
        struct slab s = sheet(random_biot(-3, 5), random_biot(-3, 5), 1, -random_biot(-2, 2), 0);
        double before = 0, way = 0;
        int turns = 0;
        for (int n = 0; n < 97; n++) {
            double fourier = 1e-12 * pow(1.5, n);
            double now = mean(&s, fourier), change = now - before;
            if (fabs(change) > 1e-9 * fmax(1, -s.surroundings[1])) {
                turns += way * change < 0;
                way = change;
            }
            before = now;
        }
        turned += turns;
        ck_assert_msg(turns <= 1, "B %g %g against %g: %d turns", s.conductance[0], s.conductance[1], s.surroundings[1],
                      turns);
    }
    ck_assert_int_gt(turned, 50);
}
END_TEST

/* ---- arguments that make no sense -------------------------------------------------------------------------------- */

static void refuses(struct slab s, double time, double depth)
{
    enum eval_fault fault = EVAL_OK;
    ck_assert(isnan(slab_temperature(&s, time, depth, &fault)));
    ck_assert_int_eq(fault, EVAL_BAD_ARGUMENT);
    fault = EVAL_OK;
    if (depth >= 0 && depth <= 1) {
        ck_assert(isnan(slab_mean(&s, time, &fault)));
        ck_assert_int_eq(fault, EVAL_BAD_ARGUMENT);
    }
    fault = EVAL_OK;
    if (time >= 0 && depth >= 0 && depth <= 1) {
        ck_assert(isnan(slab_time(&s, 400, &fault)));
        ck_assert_int_eq(fault, EVAL_BAD_ARGUMENT);
    }
}

START_TEST(refuses_what_makes_no_sense)
{
    struct slab good = sheet(1, 1, 500, 500, 300), s;
    refuses(good, -1, 0.5);
    refuses(good, NAN, 0.5);
    refuses(good, 1, -0.1);
    refuses(good, 1, 1.1);
    refuses(good, 1, NAN);
    double *const fields[] = {&s.conductance[0], &s.conductance[1], &s.thickness, &s.conductivity, &s.capacity};
    for (int i = 0; i < 5; i++)
        for (int k = 0; k < 3; k++) {
            s = good;
            *fields[i] = k == 0 ? -1 : k == 1 ? NAN : i < 2 ? INFINITY : 0;
            refuses(s, 1, 0.5);
        }
    s = good;
    s.thickness = 1e-200; /* its square vanishes */
    refuses(s, 1, 0.5);
}
END_TEST

#define LOOP(tests, test, table) tcase_add_loop_test(tests, test, 0, (int)(sizeof(table) / sizeof(table)[0]))

int main(void)
{
    Suite *suite = suite_create("slab");
    TCase *tests = tcase_create("slab");
    tcase_set_timeout(tests, 120);
    tcase_add_test(tests, finds_roots_to_the_last_digits);
    tcase_add_test(tests, misses_no_root);
    tcase_add_test(tests, normalises_its_functions);
    tcase_add_test(tests, begins_at_the_start);
    tcase_add_test(tests, keeps_what_is_in_balance);
    tcase_add_test(tests, comes_to_the_steady_state);
    tcase_add_test(tests, is_lumped_for_small_biot_numbers);
    tcase_add_test(tests, is_classical_for_large_biot_numbers);
    tcase_add_test(tests, is_symmetric_about_an_insulated_face);
    tcase_add_test(tests, does_not_care_which_face_is_first);
    tcase_add_test(tests, joins_early_and_late_form);
    tcase_add_test(tests, keeps_the_balance_of_heat);
    tcase_add_test(tests, has_the_mean_of_its_temperatures);
    tcase_add_test(tests, stays_between_its_temperatures);
    LOOP(tests, agrees_with_finite_volumes, volumes);
    tcase_add_test(tests, inverts_the_mean);
    tcase_add_test(tests, takes_no_time_for_what_is_so);
    tcase_add_test(tests, never_comes_to_what_is_out_of_reach);
    tcase_add_test(tests, never_leaves_a_standoff);
    tcase_add_test(tests, finds_a_goal_passed_before_the_mean_turns);
    tcase_add_test(tests, finds_a_goal_passed_in_the_first_instant);
    tcase_add_test(tests, turns_once_at_most);
    tcase_add_test(tests, refuses_what_makes_no_sense);
    suite_add_tcase(suite, tests);
    SRunner *runner = srunner_create(suite);
    srunner_run_all(runner, CK_NORMAL);
    int failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed != 0;
}
