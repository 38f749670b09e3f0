#include "runtime/physics/air.h"

#include "runtime/compare.h"
#include "runtime/physics/root.h"

#include <math.h>

/* How it is solved: with y = ln((T0 - Ts) / (T - Ts)) the balance becomes dt/dy = C / Q, Q the whole heat transfer
 * coefficient h + e sigma (T + Ts)(T^2 + Ts^2) at that temperature. C/Q is smooth and lies between its two ends, so y
 * goes in whole steps from 0, each integrated by Gauss's rule with 16 points. The poles of C/Q are 0.69 or more away
 * from the interval (roots of a cubic, seen from y), where the rule's error in a step of 1 is below 1e-16. */

enum { HALF_POINTS = 8 };

/* Gauss-Legendre, 16 points; NIST Digital Library of Mathematical Functions, 3.5(v), gives the polynomials. */
static const double gauss_at[HALF_POINTS] = {0.0950125098376374402, 0.2816035507792589132, 0.4580167776572273863,
                                             0.6178762444026437484, 0.7554044083550030339, 0.8656312023878317439,
                                             0.9445750230732325761, 0.9894009349916499326};
static const double gauss_weight[HALF_POINTS] = {0.1894506104550684963, 0.1826034150449235889, 0.1691565193950025382,
                                                 0.1495959888165767321, 0.1246289712555338721, 0.0951585116824927848,
                                                 0.0622535239386478929, 0.0271524594117540949};

/* From here on the temperature is the surroundings' to the last digit. */
enum { LAST_STEP = 40 };

static double transfer(const struct air_sheet *s, double away) /* Q, at so many kelvin from the surroundings */
{
    double a = s->surroundings, t = a + away;
    return s->convection + s->emissivity * STEFAN_BOLTZMANN * (t + a) * (t * t + a * a);
}

static double pace(const struct air_sheet *s, double y) /* dt/dy */
{
    return s->capacity / transfer(s, (s->start - s->surroundings) * exp(-y));
}

/* The time from y = from to y = to, at most 1 apart. */
static double step_time(const struct air_sheet *s, double from, double to)
{
    double middle = (from + to) / 2, half = (to - from) / 2, sum = 0;
    for (int i = 0; i < HALF_POINTS; i++)
        sum += gauss_weight[i] * (pace(s, middle - half * gauss_at[i]) + pace(s, middle + half * gauss_at[i]));
    return half * sum;
}

static bool is_sound(const struct air_sheet *s)
{
    bool radiates = s->emissivity > 0;
    return s->convection >= 0 && isfinite(s->convection) && s->emissivity >= 0 && isfinite(s->emissivity) &&
           s->capacity > 0 && isfinite(s->start) && isfinite(s->surroundings) &&
           !(radiates && (s->start <= 0 || s->surroundings <= 0));
}

/* ---- temperature after a time ------------------------------------------------------------------------------------ */

struct rest { /* the last step, cut short */
    const struct air_sheet *sheet;
    double from, time;
};

static double beyond_time(void *context, double y, double *slope)
{
    const struct rest *r = context;
    *slope = pace(r->sheet, y);
    return step_time(r->sheet, r->from, y) - r->time;
}

static double steps_in_time(const struct air_sheet *s, double time)
{
    if (s->emissivity == 0)
        return time / pace(s, 0);
    for (int step = 0; step < LAST_STEP; step++) {
        double taken = step_time(s, step, step + 1);
        if (taken >= time) {
            struct rest r = {s, step, time};
            return root_between(beyond_time, &r, step, step + 1);
        }
        time -= taken;
    }
    return INFINITY;
}

double air_temperature(const struct air_sheet *s, double time, enum eval_fault *fault)
{
    if (!is_sound(s) || !(time >= 0)) {
        *fault = EVAL_BAD_ARGUMENT;
        return NAN;
    }
    if (time == 0 || (s->convection == 0 && s->emissivity == 0))
        return s->start;
    /* From the nearer end, so that a small loss keeps its digits, and so does what is left at last. */
    double steps = steps_in_time(s, time), whole = s->start - s->surroundings;
    return steps < 0.5 ? s->start + whole * expm1(-steps) : s->surroundings + whole * exp(-steps);
}

/* ---- time to a temperature --------------------------------------------------------------------------------------- */

static double time_of_steps(const struct air_sheet *s, double steps)
{
    if (s->emissivity == 0)
        return steps * pace(s, 0);
    double time = 0;
    for (int step = 0; step < steps; step++)
        time += step_time(s, step, fmin(step + 1, steps));
    return time;
}

double air_time(const struct air_sheet *s, double goal, enum eval_fault *fault)
{
    if (!is_sound(s) || !isfinite(goal)) {
        *fault = EVAL_BAD_ARGUMENT;
        return NAN;
    }
    if (same_value(goal, s->start))
        return 0;
    bool between =
        less_value(fmin(s->start, s->surroundings), goal) && less_value(goal, fmax(s->start, s->surroundings));
    if (!between || (s->convection == 0 && s->emissivity == 0)) {
        *fault = EVAL_NEVER_REACHED;
        return NAN;
    }
    return time_of_steps(s, log1p((s->start - goal) / (goal - s->surroundings)));
}

/* ---- slopes ------------------------------------------------------------------------------------------------------ */

/* How the time to a fixed temperature moves with what is lost on the way: t = integral of C / q over the temperature, q
 * the heat lost there, so dt = -integral of C dq / q^2; with q = Q (T - Ts) and dT = -(T - Ts) dy one over y again. */
static struct air_slopes slopes_over(const struct air_sheet *s, double steps)
{
    const double a = s->surroundings, away = s->start - a;
    const double felt =
        s->convection + s->emissivity * STEFAN_BOLTZMANN * 4 * a * a * a; /* dq by a kelvin less around */
    struct air_slopes out = {0, 0, 0};
    for (int step = 0; step < steps; step++) {
        double to = fmin(step + 1, steps), middle = (step + to) / 2, half = (to - step) / 2;
        for (int i = 0; i < 2 * HALF_POINTS; i++) {
            double y = middle + (i % 2 ? half : -half) * gauss_at[i / 2], d = away * exp(-y), t = a + d;
            double radiated = STEFAN_BOLTZMANN * (t + a) * (t * t + a * a);
            double q = s->convection + s->emissivity * radiated;
            double share = half * gauss_weight[i / 2] * s->capacity / (q * q);
            out.convection -= share;
            out.emissivity -= share * radiated;
            out.surroundings += share * felt / d;
        }
    }
    return out;
}

struct air_slopes air_time_slopes(const struct air_sheet *s, double goal)
{
    return slopes_over(s, log1p((s->start - goal) / (goal - s->surroundings)));
}

struct air_slopes air_temperature_slopes(const struct air_sheet *s, double time)
{
    const double a = s->surroundings, away = s->start - a, at_start = transfer(s, away);
    if (time == 0 || at_start == 0) { /* nothing is lost yet, or at all: the first of it counts whole */
        double t = s->start, lost = -away * time / s->capacity;
        return (struct air_slopes){0, lost, lost * STEFAN_BOLTZMANN * (t + a) * (t * t + a * a)};
    }
    if (away == 0)
        return (struct air_slopes){-expm1(-time * at_start / s->capacity), 0, 0};
    double steps = steps_in_time(s, time);
    if (steps > LAST_STEP)
        return (struct air_slopes){1, 0, 0};
    struct air_slopes out = slopes_over(s, steps);
    double end = away * exp(-steps), per_time = transfer(s, end) * end / s->capacity; /* K/s, what is lost at the end */
    out.surroundings *= per_time;
    out.convection *= per_time;
    out.emissivity *= per_time;
    return out;
}
