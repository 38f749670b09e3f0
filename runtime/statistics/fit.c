#include "runtime/statistics/fit.h"

#include "runtime/cone.h"
#include "runtime/evaluate/gradient.h"
#include "runtime/statistics/cholesky.h"

#include <math.h>

/* ---- what is worked with --------------------------------------------------------------------------------------------- */

struct solver {
    struct arena *arena, scratch; /* scratch: of one evaluation */
    const struct fit *fit;
    struct program program;          /* of the columns alone */
    uint32_t *node;                  /* by column, in it */
    uint32_t *common, *each, *given; /* by input of the fit, in it; UINT32_MAX: no column needs it */
    uint32_t *slope_of;              /* by input of the program: its place among the gradient's columns */
    double *inputs;
    size_t nc, np, m; /* common values, own values of a piece, columns */
    /* The equations about the place at hand; those of each piece one behind the other. */
    double *cc, *gc, *pp, *cp, *gp;
    double *most_c, *most_p;     /* greatest diagonals on the way so far: what damping is measured in (More, 1978) */
    double *predicted, *jc, *jp; /* of one piece: by column; slopes by column */
};

struct place {     /* where the solver stands */
    double *c, *p; /* common values; own ones by piece */
    double sum;
};

enum { NOT_THERE = UINT32_MAX };

static uint32_t *inputs_there(struct solver *s, const struct cone *cone, const uint32_t *wanted, uint32_t count)
{
    uint32_t *there = ARENA_ARRAY(s->arena, count, uint32_t);
    for (size_t i = 0; i < count; i++) {
        there[i] = NOT_THERE;
        for (size_t k = 0; k < cone->program.inputs.count; k++)
            if (cone->input[k] == wanted[i])
                there[i] = (uint32_t)k;
    }
    return there;
}

static uint32_t *numbers_of(struct arena *a, const struct fit_input *inputs, uint32_t count)
{
    uint32_t *numbers = ARENA_ARRAY(a, count, uint32_t);
    for (size_t i = 0; i < count; i++)
        numbers[i] = inputs[i].input;
    return numbers;
}

/* Of the program only what is learned has slopes; all else is as good as exact here. */
static void hold(struct solver *s, const uint32_t *there, uint32_t count)
{
    for (size_t i = 0; i < count; i++)
        if (there[i] != NOT_THERE)
            s->program.inputs.at[there[i]].held = true;
}

static void make_program(struct solver *s)
{
    const struct fit *f = s->fit;
    struct cone_marks marks = cone_marks_new(s->arena, f->program);
    s->node = ARENA_ARRAY(s->arena, s->m, uint32_t);
    for (size_t k = 0; k < s->m; k++)
        s->node[k] = f->columns.at[k].node;
    struct cone cone = cone_of(s->arena, f->program, &marks, s->node, s->m);
    s->program = program_with_own_inputs(s->arena, &cone.program);
    s->common = inputs_there(s, &cone, numbers_of(s->arena, f->common.at, f->common.count), f->common.count);
    s->each = inputs_there(s, &cone, numbers_of(s->arena, f->each.at, f->each.count), f->each.count);
    s->given = inputs_there(s, &cone, f->given.at, f->given.count);
    s->inputs = ARENA_ARRAY(s->arena, s->program.inputs.count, double);
    for (size_t i = 0; i < s->program.inputs.count; i++) {
        s->inputs[i] = s->program.inputs.at[i].nominal;
        s->program.inputs.at[i].held = false;
    }
    hold(s, s->common, f->common.count);
    hold(s, s->each, f->each.count);
    struct held_inputs held = held_inputs_of(s->arena, &s->program);
    s->slope_of = ARENA_ARRAY(s->arena, s->program.inputs.count, uint32_t);
    for (size_t k = 0; k < held.count; k++)
        s->slope_of[held.input[k]] = (uint32_t)k;
}

static void make_room(struct solver *s)
{
    size_t n = s->fit->pieces, nc = s->nc, np = s->np;
    s->cc = ARENA_ARRAY(s->arena, nc * nc, double);
    s->gc = ARENA_ARRAY(s->arena, nc, double);
    s->pp = ARENA_ARRAY(s->arena, n * np * np, double);
    s->cp = ARENA_ARRAY(s->arena, n * nc * np, double);
    s->gp = ARENA_ARRAY(s->arena, n * np, double);
    s->most_c = ARENA_ARRAY(s->arena, nc, double);
    s->most_p = ARENA_ARRAY(s->arena, n * np, double);
    s->predicted = ARENA_ARRAY(s->arena, s->m, double);
    s->jc = ARENA_ARRAY(s->arena, s->m * nc, double);
    s->jp = ARENA_ARRAY(s->arena, s->m * np, double);
}

static struct solver solver_of(struct arena *arena, const struct fit *f)
{
    struct solver s = {
        .arena = arena, .fit = f, .nc = f->common.count + f->offsets.count, .np = f->each.count, .m = f->columns.count};
    arena_init(&s.scratch, arena->exhausted);
    make_program(&s);
    make_room(&s);
    return s;
}

static struct place new_place(const struct solver *s)
{
    return (struct place){ARENA_ARRAY(s->arena, s->nc, double),
                          ARENA_ARRAY(s->arena, (size_t)s->fit->pieces * s->np, double), 0};
}

/* ---- one piece ------------------------------------------------------------------------------------------------------- */

static void put_inputs(struct solver *s, const uint32_t *there, uint32_t count, const double *value)
{
    for (size_t i = 0; i < count; i++)
        if (there[i] != NOT_THERE)
            s->inputs[there[i]] = value[i];
}

static void take_slopes(const struct solver *s, const double *slope, const uint32_t *there, uint32_t count, double *out)
{
    for (size_t i = 0; i < count; i++)
        out[i] = slope && there[i] != NOT_THERE ? slope[s->slope_of[there[i]]] : 0;
}

/* Predictions and slopes of a piece; false where a column that was read has no value. */
static bool evaluate_piece(struct solver *s, const struct place *at, uint32_t piece)
{
    const struct fit *f = s->fit;
    bool good = true;
    put_inputs(s, s->common, f->common.count, at->c);
    put_inputs(s, s->each, s->np, at->p + (size_t)piece * s->np);
    put_inputs(s, s->given, f->given.count, f->at + (size_t)piece * f->given.count);
    arena_clear(&s->scratch);
    struct gradient g = evaluate_gradient(&s->scratch, &s->program, s->inputs);
    for (size_t k = 0; k < s->m; k++) {
        const double *slope = g.slope[s->node[k]];
        double *jc = s->jc + k * s->nc;
        s->predicted[k] = g.at.value[s->node[k]];
        good &= isfinite(s->predicted[k]) || isnan(f->reading[(size_t)piece * s->m + k]);
        take_slopes(s, slope, s->common, f->common.count, jc);
        take_slopes(s, slope, s->each, s->np, s->jp + k * s->np);
        memset(jc + f->common.count, 0, f->offsets.count * sizeof *jc);
        for (uint32_t o = 0; o < FIT_OFFSETS; o++)
            if (f->columns.at[k].offset[o]) {
                size_t place = f->common.count + f->columns.at[k].offset[o] - 1;
                jc[place] = 1;
                s->predicted[k] += at->c[place];
            }
    }
    return good;
}

/* out += factor * a b' */
static void add_product(double *out, const double *a, size_t na, const double *b, size_t nb, double factor)
{
    for (size_t i = 0; i < na; i++)
        for (size_t k = 0; a[i] != 0 && k < nb; k++)
            out[i * nb + k] += factor * a[i] * b[k];
}

static void add_scaled(double *out, const double *a, size_t n, double factor)
{
    for (size_t i = 0; i < n; i++)
        out[i] += factor * a[i];
}

static double add_prior(const struct fit_input *in, double value, double *diagonal, double *right)
{
    if (isinf(in->standard))
        return 0;
    double off = (value - in->mean) / in->standard;
    *diagonal += 1 / (in->standard * in->standard);
    *right -= off / in->standard;
    return off * off;
}

static double add_piece(struct solver *s, const struct place *at, uint32_t piece)
{
    const struct fit *f = s->fit;
    size_t nc = s->nc, np = s->np;
    double *pp = s->pp + (size_t)piece * np * np, *cp = s->cp + (size_t)piece * nc * np,
           *gp = s->gp + (size_t)piece * np;
    double sum = 0;
    for (size_t k = 0; k < s->m; k++) {
        double off = f->reading[(size_t)piece * s->m + k] - s->predicted[k], noise = f->columns.at[k].noise;
        double weight = 1 / (noise * noise);
        if (isnan(off))
            continue;
        sum += off * off * weight;
        add_product(s->cc, s->jc + k * nc, nc, s->jc + k * nc, nc, weight);
        add_product(pp, s->jp + k * np, np, s->jp + k * np, np, weight);
        add_product(cp, s->jc + k * nc, nc, s->jp + k * np, np, weight);
        add_scaled(s->gc, s->jc + k * nc, nc, off * weight);
        add_scaled(gp, s->jp + k * np, np, off * weight);
    }
    for (size_t i = 0; i < np; i++)
        sum += add_prior(&f->each.at[i], at->p[(size_t)piece * np + i], &pp[i * np + i], &gp[i]);
    return sum;
}

/* ---- the equations --------------------------------------------------------------------------------------------------- */

static void clear(struct solver *s)
{
    size_t n = s->fit->pieces, nc = s->nc, np = s->np;
    memset(s->cc, 0, nc * nc * sizeof *s->cc);
    memset(s->gc, 0, nc * sizeof *s->gc);
    memset(s->pp, 0, n * np * np * sizeof *s->pp);
    memset(s->cp, 0, n * nc * np * sizeof *s->cp);
    memset(s->gp, 0, n * np * sizeof *s->gp);
}

/* The sum of squares at a place, and the equations about it; infinite where there is no value. */
static void work_out(struct solver *s, struct place *at)
{
    const struct fit *f = s->fit;
    clear(s);
    at->sum = 0;
    for (size_t i = 0; i < f->common.count; i++)
        at->sum += add_prior(&f->common.at[i], at->c[i], &s->cc[i * s->nc + i], &s->gc[i]);
    for (size_t i = 0; i < f->offsets.count; i++) {
        size_t k = f->common.count + i;
        struct fit_input offset = {0, 0, f->offsets.at[i], 0};
        at->sum += add_prior(&offset, at->c[k], &s->cc[k * s->nc + k], &s->gc[k]);
    }
    for (uint32_t piece = 0; piece < f->pieces; piece++) {
        if (!evaluate_piece(s, at, piece)) {
            at->sum = INFINITY;
            return;
        }
        at->sum += add_piece(s, at, piece);
    }
    if (isnan(at->sum))
        at->sum = INFINITY;
}

struct elimination {    /* own values out of the equations */
    double *cc, *gc;    /* what is left, of the common ones */
    double *pp, *scale; /* factors of each piece */
    double *solved;     /* by piece: pp^-1 cp', row by common value */
    double *gp;         /* by piece: pp^-1 gp */
    double *scale_c;
};

static struct elimination new_elimination(const struct solver *s)
{
    size_t n = s->fit->pieces, nc = s->nc, np = s->np;
    struct arena *a = s->arena;
    return (struct elimination){ARENA_ARRAY(a, nc * nc, double),     ARENA_ARRAY(a, nc, double),
                                ARENA_ARRAY(a, n * np * np, double), ARENA_ARRAY(a, n * np, double),
                                ARENA_ARRAY(a, n * nc * np, double), ARENA_ARRAY(a, n * np, double),
                                ARENA_ARRAY(a, nc, double)};
}

static double product(const double *a, const double *b, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += a[i] * b[i];
    return sum;
}

static bool eliminate_piece(const struct solver *s, struct elimination *e, uint32_t piece, double damping)
{
    size_t nc = s->nc, np = s->np;
    double *pp = e->pp + (size_t)piece * np * np, *scale = e->scale + (size_t)piece * np;
    double *solved = e->solved + (size_t)piece * nc * np, *gp = e->gp + (size_t)piece * np;
    const double *cp = s->cp + (size_t)piece * nc * np;
    memcpy(pp, s->pp + (size_t)piece * np * np, (size_t)np * np * sizeof *pp);
    memcpy(solved, cp, (size_t)nc * np * sizeof *solved);
    memcpy(gp, s->gp + (size_t)piece * np, np * sizeof *gp);
    for (size_t i = 0; i < np; i++)
        pp[i * np + i] += damping * s->most_p[(size_t)piece * np + i];
    if (!cholesky_factor(pp, scale, np))
        return false;
    cholesky_solve(pp, scale, np, gp);
    for (size_t i = 0; i < nc; i++)
        cholesky_solve(pp, scale, np, solved + i * np);
    for (size_t i = 0; i < nc; i++) {
        e->gc[i] -= product(cp + i * np, gp, np);
        for (size_t k = 0; k < nc; k++)
            e->cc[i * nc + k] -= product(cp + i * np, solved + k * np, np);
    }
    return true;
}

/* Factors what is left of the common values. False where it is singular. */
static bool eliminate(const struct solver *s, struct elimination *e, double damping)
{
    size_t nc = s->nc;
    memcpy(e->cc, s->cc, (size_t)nc * nc * sizeof *e->cc);
    memcpy(e->gc, s->gc, nc * sizeof *e->gc);
    for (size_t i = 0; i < nc; i++)
        e->cc[i * nc + i] += damping * s->most_c[i];
    for (uint32_t piece = 0; s->np && piece < s->fit->pieces; piece++)
        if (!eliminate_piece(s, e, piece, damping))
            return false;
    return cholesky_factor(e->cc, e->scale_c, nc);
}

/* From one place to the next; how far, in standard deviations that a value has while the others stay. */
static double step(const struct solver *s, const struct elimination *e, const struct place *from, struct place *to)
{
    size_t nc = s->nc, np = s->np;
    double furthest = 0, *dc = to->c;
    memcpy(dc, e->gc, nc * sizeof *dc);
    cholesky_solve(e->cc, e->scale_c, nc, dc);
    for (uint32_t piece = 0; piece < s->fit->pieces; piece++)
        for (size_t k = 0; k < np; k++) {
            size_t at = (size_t)piece * np + k;
            double d = e->gp[at];
            for (size_t i = 0; i < nc; i++)
                d -= e->solved[((size_t)piece * nc + i) * np + k] * dc[i];
            to->p[at] = from->p[at] + d;
            furthest = fmax(furthest, fabs(d) * sqrt(s->pp[(size_t)piece * np * np + k * np + k]));
        }
    for (size_t i = 0; i < nc; i++) {
        furthest = fmax(furthest, fabs(dc[i]) * sqrt(s->cc[i * nc + i]));
        to->c[i] += from->c[i];
    }
    return furthest;
}

/* ---- the way to the least sum ------------------------------------------------------------------------------------------ */

static void begin_at(struct solver *s, struct place *at)
{
    const struct fit *f = s->fit;
    for (size_t i = 0; i < f->common.count; i++)
        at->c[i] = f->common.at[i].start;
    for (uint32_t piece = 0; piece < f->pieces; piece++)
        for (size_t k = 0; k < s->np; k++)
            at->p[(size_t)piece * s->np + k] = f->each.at[k].start;
    work_out(s, at);
}

static const double damping_far = 100, damping_small = 1e-3, damping_least = 1e-14, damping_most = 1e16;
static const double near = 1e-7;    /* of a standard deviation: what is left is rounding */
static const double slack = 1e-13;  /* share of the sum that is rounding of plain arithmetic */
static const double rounded = 1e-9; /* what roots and series of physics round to, */
static const double hidden = 1e-3;  /* and how long the steps are that they hide */
static const double stalled = 1e-6; /* share of the sum that a stretch of steps takes off at least */
enum { LAST_STEPS = 40, STRETCH = 100 };

static void swap(struct place *a, struct place *b)
{
    struct place kept = *a;
    *a = *b;
    *b = kept;
}

static void keep_most(struct solver *s)
{
    size_t np = s->np;
    for (size_t i = 0; i < s->nc; i++)
        s->most_c[i] = fmax(s->most_c[i], s->cc[i * s->nc + i]);
    for (size_t at = 0; at < (size_t)s->fit->pieces * np; at++)
        s->most_p[at] = fmax(s->most_p[at], s->pp[at * np + at % np]);
}

/* Undamped steps from a place that is near: each takes the slopes' own digits further, while the sum itself moves no more. */
static void finish(struct solver *s, struct place *at, struct place *next, struct elimination *e)
{
    double moved = INFINITY, before = INFINITY;
    for (int i = 0; i < LAST_STEPS && eliminate(s, e, 0); i++) {
        moved = step(s, e, at, next);
        if (!(moved < 0.9 * before) && i > 1)
            break;
        work_out(s, next);
        if (!(next->sum <= at->sum * (1 + 1e-6)))
            break;
        swap(at, next);
        before = moved;
    }
    work_out(s, at);
}

/* Where all is known to some degree, the start is near; else it may be anywhere. */
static double first_damping(const struct fit *f)
{
    for (size_t i = 0; i < f->common.count; i++)
        if (isinf(f->common.at[i].standard))
            return damping_far;
    return damping_small;
}

/* Marquardt's rule: less damping behind a step that helped, more behind one that did not. */
static enum fit_state descend(struct solver *s, struct place *at, struct elimination *e, uint32_t *steps)
{
    struct place next = new_place(s);
    double damping = first_damping(s->fit), moved = INFINITY, stretch = at->sum;
    keep_most(s);
    for (*steps = 0; *steps < FIT_STEPS && damping < damping_most && !(moved < near && damping <= damping_small);
         ++*steps) {
        if (*steps % STRETCH == STRETCH - 1) {
            if (at->sum > stretch * (1 - stalled))
                break;
            stretch = at->sum;
        }
        next.sum = moved = INFINITY;
        if (eliminate(s, e, damping)) {
            moved = step(s, e, at, &next);
            work_out(s, &next);
        }
        if (moved < hidden && fabs(next.sum - at->sum) <= rounded * at->sum)
            moved = 0; /* near enough for the last steps */
        if (next.sum <= at->sum * (1 + slack)) {
            swap(at, &next);
            keep_most(s);
            damping = fmax(damping / 3, damping_least);
        } else {
            damping *= 2;
            work_out(s, at);
        }
    }
    finish(s, at, &next, e);
    return *steps < FIT_STEPS ? FIT_GOOD : FIT_NOT_CONVERGED;
}

static bool find_covariance(const struct solver *s, struct elimination *e, struct fitted *out)
{
    if (!eliminate(s, e, 0))
        return false;
    for (size_t i = 0; i < s->nc; i++) {
        double *row = out->covariance + i * s->nc;
        memset(row, 0, s->nc * sizeof *row);
        row[i] = 1;
        cholesky_solve(e->cc, e->scale_c, s->nc, row);
    }
    return true;
}

static void keep_predictions(struct solver *s, const struct place *at, struct fitted *out)
{
    for (uint32_t piece = 0; piece < s->fit->pieces; piece++) {
        evaluate_piece(s, at, piece);
        memcpy(out->predicted + (size_t)piece * s->m, s->predicted, s->m * sizeof *s->predicted);
    }
}

/* ---- agreement ----------------------------------------------------------------------------------------------------------- */

struct lot {                /* pieces about the mean of the lot, linear about what was found */
    double *weight, *right; /* sum of V^-1 and of V^-1 r, V: what makes one piece scatter */
    double squares;         /* sum of r' V^-1 r */
    uint32_t readings;
    double *slope;   /* mean slopes of each column to the common values */
    uint32_t *count; /* readings of each column */
};

/* By column: what was read less what it would be with the piece's own inputs as they are known beforehand. */
static void find_off(struct solver *s, const struct place *at, uint32_t piece, double *off)
{
    for (size_t k = 0; k < s->m; k++) {
        off[k] = s->fit->reading[(size_t)piece * s->m + k] - s->predicted[k];
        for (size_t q = 0; q < s->np; q++)
            off[k] += s->jp[k * s->np + q] * (at->p[(size_t)piece * s->np + q] - s->fit->each.at[q].mean);
    }
}

static void add_slopes(const struct solver *s, struct lot *lot, uint32_t piece)
{
    for (size_t k = 0; k < s->m; k++)
        if (!isnan(s->fit->reading[(size_t)piece * s->m + k])) {
            double share = 1.0 / ++lot->count[k];
            for (size_t i = 0; i < s->nc; i++)
                lot->slope[k * s->nc + i] += share * (s->jc[k * s->nc + i] - lot->slope[k * s->nc + i]);
        }
}

/* V of a piece: noise, and its own inputs by what is known of them. Columns without a reading are left out. */
static size_t spread_of_piece(const struct solver *s, uint32_t piece, uint32_t *column, double *v)
{
    const struct fit *f = s->fit;
    size_t n = 0;
    for (size_t k = 0; k < s->m; k++)
        if (!isnan(f->reading[(size_t)piece * s->m + k]))
            column[n++] = (uint32_t)k;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++) {
            double sum = i == k ? f->columns.at[column[i]].noise * f->columns.at[column[i]].noise : 0;
            for (size_t q = 0; q < s->np; q++)
                sum += s->jp[column[i] * s->np + q] * s->jp[column[k] * s->np + q] * f->each.at[q].standard *
                       f->each.at[q].standard;
            v[i * n + k] = sum;
        }
    return n;
}

static bool add_to_lot(struct solver *s, struct lot *lot, const struct place *at, uint32_t piece)
{
    size_t m = s->m;
    uint32_t *column = ARENA_ARRAY(&s->scratch, m, uint32_t);
    double *v = ARENA_ARRAY(&s->scratch, (size_t)m * m, double), *scale = ARENA_ARRAY(&s->scratch, m, double);
    double *row = ARENA_ARRAY(&s->scratch, m, double);
    double *off = ARENA_ARRAY(&s->scratch, m, double);
    size_t n = spread_of_piece(s, piece, column, v);
    find_off(s, at, piece, off);
    add_slopes(s, lot, piece);
    if (!cholesky_factor(v, scale, n))
        return false;
    lot->readings += (uint32_t)n;
    for (size_t i = 0; i < n; i++) {
        memset(row, 0, n * sizeof *row);
        row[i] = 1;
        cholesky_solve(v, scale, n, row);
        for (size_t k = 0; k < n; k++) {
            double off_k = off[column[k]];
            lot->weight[column[i] * m + column[k]] += row[k];
            lot->right[column[i]] += row[k] * off_k;
            lot->squares += off[column[i]] * row[k] * off_k;
        }
    }
    return true;
}

/* Columns that were read at all come first to the front of the system; the others have no weight. */
static size_t pack(double *matrix, uint32_t *column, size_t m)
{
    size_t n = 0;
    for (size_t k = 0; k < m; k++)
        if (matrix[k * m + k] > 0)
            column[n++] = (uint32_t)k;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++)
            matrix[i * n + k] = matrix[column[i] * m + column[k]];
    return n;
}

/* What is known of the common values, seen in the columns: J P J'. */
static double prior_spread(const struct solver *s, const struct lot *lot, uint32_t a, uint32_t b)
{
    const struct fit *f = s->fit;
    double sum = 0;
    for (size_t i = 0; i < s->nc; i++) {
        double standard = i < f->common.count ? f->common.at[i].standard : f->offsets.at[i - f->common.count];
        double slopes = lot->slope[a * s->nc + i] * lot->slope[b * s->nc + i];
        sum += slopes != 0 ? slopes * standard * standard : 0;
    }
    return sum;
}

/* How far what was found lies from what was known, seen in a column. */
static double found_off(const struct solver *s, const struct lot *lot, const struct place *at, uint32_t column)
{
    double sum = 0;
    for (size_t i = 0; i < s->nc; i++)
        sum += lot->slope[column * s->nc + i] * (at->c[i] - (i < s->fit->common.count ? s->fit->common.at[i].mean : 0));
    return sum;
}

static void judge_lot(struct solver *s, struct lot *lot, const struct place *at, struct fitted *out)
{
    size_t m = s->m;
    uint32_t *column = ARENA_ARRAY(s->arena, m, uint32_t);
    size_t n = pack(lot->weight, column, m);
    double *scale = ARENA_ARRAY(s->arena, m, double), *mean = ARENA_ARRAY(s->arena, m, double);
    double *spread = ARENA_ARRAY(s->arena, (size_t)m * m, double), *right = ARENA_ARRAY(s->arena, m, double);
    for (size_t i = 0; i < n; i++)
        mean[i] = right[i] = lot->right[column[i]];
    if (!cholesky_factor(lot->weight, scale, n))
        return;
    cholesky_solve(lot->weight, scale, n, mean);
    double of_mean = product(mean, right, n);
    for (size_t i = 0; i < n; i++) {
        spread[i * n + i] = 1;
        cholesky_solve(lot->weight, scale, n, spread + i * n);
        for (size_t k = 0; k < n; k++)
            spread[i * n + k] += prior_spread(s, lot, column[i], column[k]);
    }
    out->pieces = (struct fit_agreement){fmax(lot->squares - of_mean, 0), NAN, lot->readings - (uint32_t)n};
    if (!cholesky_factor(spread, scale, n))
        return;
    for (size_t i = 0; i < n; i++)
        right[i] = mean[i] += found_off(s, lot, at, column[i]);
    cholesky_solve(spread, scale, n, right);
    out->lot = (struct fit_agreement){product(mean, right, n), NAN, (uint32_t)n};
}

static void judge(struct solver *s, const struct place *at, struct fitted *out)
{
    struct arena *a = s->arena;
    struct lot lot = {.weight = ARENA_ARRAY(a, (size_t)s->m * s->m, double),
                      .right = ARENA_ARRAY(a, s->m, double),
                      .slope = ARENA_ARRAY(a, (size_t)s->m * s->nc, double),
                      .count = ARENA_ARRAY(a, s->m, uint32_t)};
    for (uint32_t piece = 0; piece < s->fit->pieces; piece++)
        if (!evaluate_piece(s, at, piece) || !add_to_lot(s, &lot, at, piece))
            return;
    judge_lot(s, &lot, at, out);
}

static void find_share(struct fit_agreement *a)
{
    a->share = a->freedom ? chi_squared_beyond(a->chi_squared, a->freedom) : NAN;
}

/* ---- all of it ----------------------------------------------------------------------------------------------------------- */

static void solve(struct solver *s, struct fitted *out)
{
    struct place at = new_place(s);
    struct elimination e = new_elimination(s);
    begin_at(s, &at);
    out->state = isinf(at.sum) ? FIT_NO_VALUE : descend(s, &at, &e, &out->steps);
    if (out->state == FIT_NO_VALUE)
        return;
    if (!find_covariance(s, &e, out))
        out->state = FIT_UNDETERMINED;
    keep_predictions(s, &at, out);
    out->value = at.c;
    out->each = at.p;
    out->sum = at.sum;
}

void fit_certainty(struct arena *arena, const struct fit *f, const struct fitted *found, double *covariance)
{
    struct solver s = solver_of(arena, f);
    struct place at = {found->value, found->each, 0};
    struct elimination e = new_elimination(&s);
    struct fitted out = {.covariance = covariance};
    work_out(&s, &at);
    if (isinf(at.sum) || !find_covariance(&s, &e, &out))
        for (size_t i = 0; i < s.nc * s.nc; i++)
            covariance[i] = NAN;
    arena_free(&s.scratch);
}

struct fitted fit_solve(struct arena *arena, const struct fit *f)
{
    struct solver s = solver_of(arena, f);
    struct fitted out = {.count = (uint32_t)s.nc};
    out.covariance = ARENA_ARRAY(arena, (size_t)s.nc * s.nc, double);
    out.predicted = ARENA_ARRAY(arena, (size_t)f->pieces * s.m, double);
    for (size_t i = 0; i < (size_t)f->pieces * s.m; i++)
        out.readings += !isnan(f->reading[i]);
    solve(&s, &out);
    if (out.state == FIT_GOOD) {
        judge(&s, &(struct place){out.value, out.each, out.sum}, &out);
        out.all = (struct fit_agreement){out.sum, NAN, out.readings};
        find_share(&out.all);
        find_share(&out.lot);
        find_share(&out.pieces);
    }
    arena_free(&s.scratch);
    return out;
}
