#include "runtime/physics/slab.h"

#include "runtime/compare.h"
#include "runtime/physics/root.h"

#include <float.h>

static const double pi = 3.14159265358979323846;
static const double sqrt_pi = 1.77245385090551602730;

/* Below this Fourier number heat from one face is at the other only to erfc(6.45) = 7e-20 of its worth. */
static const double early = 0.006;

/* With a larger Biot number the face has its surroundings' temperature to the last digit. */
static const double largest_biot = 1e18;

/* ---- roots ------------------------------------------------------------------------------------------------------- */

/* The root of term n is n pi + atan(B1/root) + atan(B2/root). What is asked for here is what it has above n pi: the zero
 * of above - atan(B1/root) - atan(B2/root), which rises with a slope of one or more, ever less steeply. A tangent to such
 * a curve meets zero below the curve's own zero, so after one step Newton's come from below, and cannot miss it. */
enum { MOST_STEPS = 60 };

/* For the first term, where the arcs may fill the whole half turn: exact for weak contact, and for the strongest. */
static double first_guess(double first_biot, double second_biot)
{
    double both = first_biot + second_biot;
    double end = (first_biot > 0) + (second_biot > 0) > 1 ? pi : pi / 2;
    return both > 1 ? end / sqrt(1 + end * end / both) : sqrt(both / (1 + both / (end * end)));
}

static double root_above(double turns, double first_biot, double second_biot)
{
    const double biot[2] = {first_biot, second_biot};
    double above = turns > 0 ? atan2(first_biot, turns) : first_guess(first_biot, second_biot);
    if (turns > 0)
        above += first_biot == second_biot ? above : atan2(second_biot, turns);
    for (int step = 0; step < MOST_STEPS && above > 0; step++) {
        double root = turns + above, excess = above, slope = 1, arc = 0, bend = 0;
        for (int i = 0; i < 2; i++) {
            if (biot[i] == 0)
                continue;
            if (i == 0 || biot[1] != biot[0]) { /* two faces alike, as between tools, take one arc */
                double ratio = root / biot[i];
                arc = atan2(biot[i], root);
                bend = 1 / (biot[i] * (1 + ratio * ratio));
            }
            excess -= arc;
            slope += bend;
        }
        double next = above - excess / slope;
        if (!(next > 0)) /* the tangent's zero is below the least there can be */
            next = above / 2;
        bool settled =
            fabs(next - above) <= 1e-8 * above; /* what is left is the square of that, below the last digit */
        above = next;
        if (settled)
            break;
    }
    return above;
}

struct slab_mode slab_mode(double first_biot, double second_biot, uint32_t n)
{
    const double biot[2] = {first_biot, second_biot};
    double root = n * pi + root_above(n * pi, first_biot, second_biot), half_sines = 0, sine[2];
    for (int i = 0; i < 2; i++) {
        double h = hypot(root, biot[i]);
        sine[i] = biot[i] / h;
        half_sines += sine[i] * (root / h);
    }
    return (struct slab_mode){.root = root,
                              .first_phase = atan2(first_biot, root),
                              .first = sine[0],
                              .second = n % 2 ? -sine[1] : sine[1],
                              .norm = 0.5 + half_sines / (2 * root)};
}

/* ---- the series -------------------------------------------------------------------------------------------------- */

static const struct slab_mode *mode_at(struct slab_sheet *r, uint32_t n)
{
    while (r->count <= n) {
        r->mode[r->count] = slab_mode(r->biot[0], r->biot[1], r->count);
        r->count++;
    }
    return &r->mode[n];
}

/* The weight of a term at the start. Green's identity turns the integral over the sheet into what the two faces drive,
 * which has no difference of near-equal numbers in it, however small the Biot numbers are. */
static double weight(const struct slab_sheet *r, const struct slab_mode *m)
{
    return (r->pull[0] * m->first + r->pull[1] * m->second) / (m->root * m->norm);
}

static double decayed(struct slab_sheet *r, uint32_t n, double fourier)
{
    const struct slab_mode *m = mode_at(r, n);
    return weight(r, m) * exp(-m->root * m->root * fourier);
}

static bool counts(uint32_t n, double fourier)
{
    return n < SLAB_TERMS && n * pi * (n * pi) * fourier < 45;
}

static double late_temperature(struct slab_sheet *r, double fourier, double depth)
{
    double sum = 0;
    for (uint32_t n = 0; counts(n, fourier); n++) {
        double term = decayed(r, n, fourier);
        sum += term * cos(r->mode[n].root * depth - r->mode[n].first_phase);
    }
    return r->steady + r->slope * depth + sum;
}

/* Mean minus steady mean, and its rate by Fourier number. */
static double late_mean(struct slab_sheet *r, double fourier, double *rate)
{
    double sum = 0;
    *rate = 0;
    for (uint32_t n = 0; counts(n, fourier); n++) {
        double term = decayed(r, n, fourier);
        const struct slab_mode *m = &r->mode[n];
        term *= (m->first + m->second) / m->root;
        sum += term;
        *rate -= term * m->root * m->root;
    }
    return sum;
}

/* ---- the first moments ------------------------------------------------------------------------------------------- */

/* exp(y^2) erfc(y) for y >= 0, where the two factors would overflow and vanish. From 6 on the asymptotic series is
 * exact to the last bits before it begins to diverge. */
static double scaled_erfc(double y)
{
    if (y < 6)
        return exp(y * y) * erfc(y);
    double term = 1, sum = 1, half_square = 0.5 / y / y;
    for (int k = 1; k < 30 && fabs(term) > DBL_EPSILON / 4; k++) {
        term *= -(2 * k - 1) * half_square;
        sum += term;
    }
    return sum / (y * sqrt_pi);
}

/* How far a half-space at depth x (thicknesses) has come from its start (0) to its surroundings (1). */
static double half_space(double biot, double fourier, double x)
{
    double z = x / (2 * sqrt(fourier));
    return erfc(z) - exp(-z * z) * scaled_erfc(z + biot * sqrt(fourier));
}

/* Heat taken up by a half-space, as the rise of the sheet's mean: (scaled_erfc(b) - 1 + 2b/sqrt(pi)) / B, b = B
 * sqrt(Fo); for small b by its power series, since the leading terms cancel. */
static double half_space_heat(double biot, double fourier, double *rate)
{
    double b = biot * sqrt(fourier);
    *rate = biot * scaled_erfc(b);
    if (biot == 0)
        return 0;
    if (b >= 0.5)
        return (scaled_erfc(b) - 1 + 2 * b / sqrt_pi) / biot;
    /* The sum of (-b)^k / gamma(k/2 + 1) from k = 2; gamma goes up by whole steps, two series side by side. */
    double even = 1, odd = -2 / sqrt_pi, power = b * b, sum = 0;
    for (int k = 2; k < 40; k++, power *= b) {
        double *coefficient = k % 2 ? &odd : &even;
        *coefficient /= 0.5 * k;
        sum += *coefficient * power;
    }
    return sum / biot;
}

static double early_temperature(const struct slab_sheet *r, double fourier, double depth)
{
    return r->start - r->pull[0] * half_space(r->biot[0], fourier, depth) -
           r->pull[1] * half_space(r->biot[1], fourier, 1 - depth);
}

/* Mean minus start, and its rate. */
static double early_mean(const struct slab_sheet *r, double fourier, double *rate)
{
    double rates[2], rise = 0;
    *rate = 0;
    for (int i = 0; i < 2; i++) {
        rise -= r->pull[i] * half_space_heat(r->biot[i], fourier, &rates[i]);
        *rate -= r->pull[i] * rates[i];
    }
    return rise;
}

/* ---- reading the arguments --------------------------------------------------------------------------------------- */

static bool is_sound(const struct slab *s)
{
    bool sound = isfinite(s->start) && s->thickness > 0 && s->conductivity > 0 && s->capacity > 0;
    for (int i = 0; i < 2; i++)
        sound = sound && s->conductance[i] >= 0 && isfinite(s->conductance[i]) && isfinite(s->surroundings[i]);
    return sound;
}

static bool is_insulated(const struct slab_sheet *r)
{
    return r->biot[0] == 0 && r->biot[1] == 0;
}

bool slab_sheet_of(const struct slab *s, struct slab_sheet *r, enum eval_fault *fault)
{
    r->diffusion_time = s->thickness * s->thickness * s->capacity / s->conductivity;
    if (!is_sound(s) || !isnormal(r->diffusion_time)) {
        *fault = EVAL_BAD_ARGUMENT;
        return false;
    }
    r->count = 0;
    r->start = s->start;
    for (int i = 0; i < 2; i++) {
        r->biot[i] = fmin(s->conductance[i] * s->thickness / s->conductivity, largest_biot);
        r->pull[i] = s->start - s->surroundings[i];
    }
    double through = r->biot[0] + r->biot[1] + r->biot[0] * r->biot[1];
    double difference = s->surroundings[1] - s->surroundings[0];
    r->steady = through > 0 ? s->surroundings[0] + r->biot[1] / through * difference : s->start;
    r->slope = through > 0 ? r->biot[0] / through * r->biot[1] * difference : 0;
    return true;
}

static double steady_mean(const struct slab_sheet *r)
{
    return r->steady + r->slope / 2;
}

/* A Fourier number that overflows is the steady state. */
static double fourier_of(const struct slab_sheet *r, double time)
{
    return fmin(time / r->diffusion_time, DBL_MAX);
}

double slab_sheet_temperature(struct slab_sheet *r, double fourier, double depth)
{
    if (fourier == 0 || is_insulated(r))
        return r->start;
    return fourier < early ? early_temperature(r, fourier, depth) : late_temperature(r, fourier, depth);
}

double slab_sheet_mean(struct slab_sheet *r, double fourier)
{
    double rate;
    if (is_insulated(r))
        return r->start;
    return fourier < early ? r->start + early_mean(r, fourier, &rate) : steady_mean(r) + late_mean(r, fourier, &rate);
}

double slab_temperature(const struct slab *s, double time, double depth, enum eval_fault *fault)
{
    struct slab_sheet r;
    if (!slab_sheet_of(s, &r, fault))
        return NAN;
    if (!(time >= 0) || !(depth >= 0 && depth <= 1)) {
        *fault = EVAL_BAD_ARGUMENT;
        return NAN;
    }
    return slab_sheet_temperature(&r, fourier_of(&r, time), depth);
}

double slab_mean(const struct slab *s, double time, enum eval_fault *fault)
{
    struct slab_sheet r;
    if (!slab_sheet_of(s, &r, fault))
        return NAN;
    if (!(time >= 0)) {
        *fault = EVAL_BAD_ARGUMENT;
        return NAN;
    }
    return slab_sheet_mean(&r, fourier_of(&r, time));
}

/* ---- the time to a goal ------------------------------------------------------------------------------------------ */

struct search {
    struct slab_sheet r;
    double goal;
};

/* Mean minus goal. Near the start it is start - goal that is small, near the end steady - goal: each is taken where it
 * keeps its digits. */
static double above_goal(void *context, double fourier, double *rate)
{
    struct search *s = context;
    if (fourier < early)
        return s->r.start - s->goal + early_mean(&s->r, fourier, rate);
    return steady_mean(&s->r) - s->goal + late_mean(&s->r, fourier, rate);
}

static double rate_of_mean(void *context, double fourier, double *slope)
{
    double rate;
    *slope = NAN;
    above_goal(context, fourier, &rate);
    return rate;
}

/* Whether the mean is at or past the goal, seen from the start. */
static bool is_past(struct search *s, double fourier)
{
    double rate, above = above_goal(s, fourier, &rate);
    return s->goal >= s->r.start ? above >= 0 : above <= 0;
}

/* When all but the last digits have decayed. */
static double settled_at(struct slab_sheet *r)
{
    double root = mode_at(r, 0)->root;
    return 745 / (root * root);
}

/* The mean's rate changes sign at most once: with one face driving up and the other down, the face with the larger
 * conductance is ahead at first. (The rates of two faces go as the temperatures of the two faces of an evenly warm
 * sheet that cools to 0, and the better cooled face is always further ahead in that.) Returns 0 when it does not
 * change. */
static double turning_point(struct search *s)
{
    double unused, first = 1e-6 * early, last = settled_at(&s->r), largest = fmax(s->r.biot[0], s->r.biot[1]);
    if (s->r.pull[0] * s->r.pull[1] >= 0)
        return 0;
    first = fmin(first, 1e-6 / (largest * largest));
    while (last > first && rate_of_mean(s, last, &unused) == 0)
        last /= 2; /* decayed to nothing there */
    double early_rate = rate_of_mean(s, first, &unused), late_rate = rate_of_mean(s, last, &unused);
    return early_rate * late_rate < 0 ? root_between(rate_of_mean, s, first, last) : 0;
}

double slab_time(const struct slab *sheet, double goal, enum eval_fault *fault)
{
    struct search s = {.goal = goal};
    if (!slab_sheet_of(sheet, &s.r, fault))
        return NAN;
    if (same_value(goal, s.r.start))
        return 0;
    *fault = EVAL_NEVER_REACHED;
    if (is_insulated(&s.r))
        return NAN;
    double turn = turning_point(&s), low = 0, high = turn;
    if (turn == 0 || !is_past(&s, turn)) {
        /* Not by the turn, so on the way to the steady state, which itself is never quite reached. */
        double steady = steady_mean(&s.r);
        bool beyond = goal > s.r.start ? !less_value(goal, steady) : !less_value(steady, goal);
        if (beyond)
            return NAN;
        low = turn;
        high = settled_at(&s.r);
    }
    *fault = EVAL_OK;
    return root_between(above_goal, &s, low, high) * s.r.diffusion_time;
}
