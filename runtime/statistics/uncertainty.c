#include "runtime/statistics/uncertainty.h"

#include "runtime/statistics/quantile.h"

#include <math.h>
#include <stdlib.h>

static double slope_of(const struct gradient *g, uint32_t node, uint32_t column)
{
    return g->slope[node] ? g->slope[node][column] : 0;
}

/* Student's t for a share, of degrees of freedom cut down to a whole number. */
static double coverage_factor(double coverage, double freedom)
{
    return student_quantile((1 + coverage) / 2, isfinite(freedom) && freedom >= 1 ? floor(freedom) : freedom);
}

/* ---- in a program ------------------------------------------------------------------------------------------------ */

/* Its cone, but for the inputs: all of the program's under their own numbers; held are only those that go into it, for each
 * held one is a column. */
struct program program_cone(struct arena *arena, const struct program *p, uint32_t node)
{
    struct cone_marks marks = cone_marks_new(arena, p);
    struct cone cone = cone_of(arena, p, &marks, &node, 1);
    struct program own = cone.program;
    own.spreads.at = p->spreads.at;
    own.spreads.count = p->spreads.count;
    memset(&own.inputs, 0, sizeof own.inputs);
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        struct input *in = ARRAY_PUSH(arena, &own.inputs);
        *in = p->inputs.at[i];
        in->held = false;
    }
    for (uint32_t i = 0; i < cone.program.inputs.count; i++)
        own.inputs.at[cone.input[i]].held = cone.program.inputs.at[i].held;
    for (uint32_t i = 1; i < own.nodes.count; i++)
        if (own.nodes.at[i].op == OP_INPUT)
            own.nodes.at[i].a = cone.input[own.nodes.at[i].a];
    return own;
}

/* Whether a node is seen for the first time. */
static bool note_seen(uint64_t *seen, uint32_t node)
{
    uint64_t bit = (uint64_t)1 << (node % 64);
    bool is_new = !(seen[node / 64] & bit);
    seen[node / 64] |= bit;
    return is_new;
}

bool uncertainty_rests_on_bands(const struct program *p, uint32_t node)
{
    uint64_t *seen = ARENA_ARRAY(p->arena, node / 64 + 1, uint64_t);
    ARRAY(uint32_t) stack = {0};
    *ARRAY_PUSH(p->arena, &stack) = node;
    while (stack.count) {
        const struct node_code *n = &p->nodes.at[stack.at[--stack.count]];
        uint32_t few[MOST_ROOM];
        const uint32_t *read;
        if (n->op == OP_INPUT && p->inputs.at[n->a].held)
            return true;
        uint32_t count = n->op != OP_NOMINAL ? program_operands(p, n, &read, few) : 0;
        for (uint32_t k = 0; k < count; k++)
            if (note_seen(seen, read[k]))
                *ARRAY_PUSH(p->arena, &stack) = read[k];
    }
    return false;
}

struct standing { /* room to work one out, given back before the next */
    const struct program *program;
    struct cone_marks marks;
    struct arena room;
    jmp_buf full;
};

static struct standing *standing_new(const struct program *p)
{
    struct standing *s = ARENA_NEW(p->arena, struct standing);
    s->program = p;
    arena_init(&s->room, &s->full);
    return s;
}

static double standard_uncertainty(struct standing *s, uint32_t node)
{
    if (setjmp(s->full)) {
        arena_free(&s->room);
        arena_exhausted(s->program->arena);
    }
    s->marks = cone_marks_new(&s->room, s->program);
    double standard = uncertainty_of_cone(&s->room, s->program, &s->marks, node, 0.95).combined;
    arena_clear(&s->room);
    return standard;
}

uint32_t program_uncertainty(struct program *p, uint32_t of, uint32_t origin)
{
    uint32_t node = program_node(p, OP_UNCERTAINTY, of, 0, 0, origin);
    struct standing *s = standing_new(p);
    p->nodes.at[node].value = standard_uncertainty(s, of);
    arena_free(&s->room);
    return node;
}

/* The held inputs at their expectations; NULL where these are the nominal values. */
static const double *expected_inputs(struct arena *arena, const struct program *p)
{
    double *at = ARENA_ARRAY(arena, p->inputs.count + 1, double);
    bool uneven = false;
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        const struct input *in = &p->inputs.at[i];
        struct spread spread = spread_of(p, i);
        double half = (in->high - in->low) / 2, mean = in->held ? spread_mean(&spread, in) : in->nominal;
        bool moved = in->held && !in->unknown && fabs(mean - in->nominal) > 1e-9 * half;
        at[i] = moved ? mean : in->nominal;
        uneven = uneven || moved;
    }
    return uneven ? at : NULL;
}

/* ---- first order ------------------------------------------------------------------------------------------------- */

static int by_contribution(const void *a, const void *b)
{
    const struct uncertainty_part *x = a, *y = b;
    if (x->contribution != y->contribution)
        return x->contribution < y->contribution ? 1 : -1;
    return (x->input > y->input) - (x->input < y->input);
}

/* From their ratios to the combined uncertainty, whose fourth power could leave the range of numbers. */
static double freedom_of(const struct uncertainty *u)
{
    double sum = 0;
    for (uint32_t i = 0; i < u->parts.count; i++) {
        double share = u->parts.at[i].share;
        sum += share * share / u->parts.at[i].freedom;
    }
    return sum > 0 ? 1 / sum : INFINITY;
}

static void add_parts(struct arena *arena, struct uncertainty *u, const struct program *p, const struct gradient *g,
                      uint32_t node)
{
    double sum = 0;
    for (uint32_t k = 0; k < g->held.count; k++) {
        uint32_t input = g->held.input[k];
        struct spread spread = spread_of(p, input);
        struct uncertainty_part part = {.input = input,
                                        .standard = spread_standard(&spread, &p->inputs.at[input]),
                                        .sensitivity = slope_of(g, node, k),
                                        .freedom = spread_freedom(&spread)};
        part.contribution = fabs(part.sensitivity) * part.standard;
        sum = hypot(sum, part.contribution);
        if (part.contribution != 0) /* NaN is */
            *ARRAY_PUSH(arena, &u->parts) = part;
    }
    u->combined = isfinite(sum) ? sum : NAN;
}

/* ---- anew ---------------------------------------------------------------------------------------------------------- */

/* In the program's order, for one may stand on another. marked: those alone; NULL: all. */
static void renew(struct program *p, const bool *marked)
{
    struct standing *s = standing_new(p);
    for (uint32_t i = 1; i < p->nodes.count; i++)
        if (p->nodes.at[i].op == OP_UNCERTAINTY && (!marked || marked[i]))
            p->nodes.at[i].value = standard_uncertainty(s, p->nodes.at[i].a);
    arena_free(&s->room);
}

void program_renew_uncertainties(struct program *p)
{
    renew(p, NULL);
}

void program_renew_uncertainties_of_unknowns(struct program *p)
{
    ARRAY(uint32_t) unknown = {0};
    for (uint32_t i = 0; i < p->inputs.count; i++)
        if (p->inputs.at[i].unknown)
            *ARRAY_PUSH(p->arena, &unknown) = i;
    renew(p, program_reading(p->arena, p, unknown.at, unknown.count));
}

static struct program with_own_nodes(struct arena *arena, struct program p)
{
    const struct node_code *shared = p.nodes.at;
    uint32_t count = p.nodes.count;
    p.nodes.at = NULL;
    p.nodes.count = p.nodes.room = 0;
    ARRAY_RESERVE(arena, &p.nodes, count);
    memcpy(p.nodes.at, shared, count * sizeof *shared);
    p.nodes.count = count;
    return p;
}

struct program program_settled(struct arena *arena, const struct program *p, const uint32_t *inputs,
                               const double *values, uint32_t count)
{
    struct program settled = with_own_nodes(arena, program_with_own_inputs(arena, p));
    for (uint32_t i = 0; i < count; i++) {
        struct input *in = &settled.inputs.at[inputs[i]];
        in->nominal = in->low = in->high = values[i];
        in->held = false;
    }
    program_renew_uncertainties_of_unknowns(&settled);
    return settled;
}

/* ---- of one -------------------------------------------------------------------------------------------------------- */

struct uncertainty uncertainty_from(struct arena *arena, const struct program *p, const struct gradient *g,
                                    uint32_t node, double coverage)
{
    struct uncertainty u = {.estimate = g->at.value[node],
                            .stated = g->at.value[node],
                            .coverage = coverage,
                            .combined = NAN,
                            .freedom = NAN,
                            .factor = NAN,
                            .expanded = NAN,
                            .second_order = NAN,
                            .defined = !g->at.culprit[node]};
    if (!u.defined)
        return u;
    add_parts(arena, &u, p, g, node);
    for (uint32_t i = 0; i < u.parts.count; i++) {
        double ratio = u.combined > 0 ? u.parts.at[i].contribution / u.combined : 0;
        u.parts.at[i].share = ratio * ratio;
    }
    if (u.parts.count)
        qsort(u.parts.at, u.parts.count, sizeof *u.parts.at, by_contribution);
    u.freedom = freedom_of(&u);
    u.factor = coverage_factor(coverage, u.freedom);
    u.expanded = u.factor * u.combined;
    return u;
}

struct uncertainty uncertainty_of_cone(struct arena *arena, const struct program *whole, struct cone_marks *marks,
                                       uint32_t node, double coverage)
{
    struct cone cone = cone_of(arena, whole, marks, &node, 1);
    for (uint32_t i = 0; i < cone.program.inputs.count; i++)
        program_spread(&cone.program, i, spread_of(whole, cone.input[i]));
    struct gradient g = evaluate_gradient(arena, &cone.program, expected_inputs(arena, &cone.program));
    struct uncertainty u = uncertainty_from(arena, &cone.program, &g, node, coverage);
    for (uint32_t i = 0; i < u.parts.count; i++)
        u.parts.at[i].input = cone.input[u.parts.at[i].input];
    if (u.parts.count) /* those alike, in the whole's order */
        qsort(u.parts.at, u.parts.count, sizeof *u.parts.at, by_contribution);
    return u;
}

/* ---- second order ------------------------------------------------------------------------------------------------ */

struct bending {
    struct arena *arena;
    const struct program *program;
    const struct gradient *g;
    const double *at; /* the inputs; NULL: nominal */
    uint32_t node, count;
    double *standard;  /* by column */
    double *variance;  /* by column and column */
    struct arena room; /* of one gradient, given back before the next */
    jmp_buf full;
};

/* The gradient with one input moved. False when the node has no value there. */
static bool slopes_beside(struct bending *s, uint32_t column, double by, double *slopes)
{
    double *at = ARENA_ARRAY(s->arena, s->program->inputs.count, double);
    for (uint32_t i = 0; i < s->program->inputs.count; i++)
        at[i] = s->at ? s->at[i] : s->program->inputs.at[i].nominal;
    at[s->g->held.input[column]] += by;
    arena_init(&s->room, &s->full);
    struct gradient g = evaluate_gradient(&s->room, s->program, at);
    bool good = g.at.culprit[s->node] == 0;
    for (uint32_t k = 0; k < s->count && good; k++) {
        slopes[k] = slope_of(&g, s->node, k);
        good = isfinite(slopes[k]);
    }
    arena_free(&s->room);
    return good;
}

/* The terms (i, j) for all i and one j. */
static bool bend_along(struct bending *s, uint32_t j)
{
    double h = s->standard[j];
    double *up = ARENA_ARRAY(s->arena, s->count, double), *down = ARENA_ARRAY(s->arena, s->count, double);
    if (!slopes_beside(s, j, h, up) || !slopes_beside(s, j, -h, down))
        return false;
    for (uint32_t i = 0; i < s->count; i++) {
        double here = slope_of(s->g, s->node, i), second = (up[i] - down[i]) / (2 * h);
        double third = (up[i] - 2 * here + down[i]) / (h * h), u = s->standard[i] * h;
        s->variance[(size_t)i * s->count + j] = (second * second / 2 + here * third) * u * u;
    }
    return true;
}

static int by_size(const void *a, const void *b)
{
    const struct uncertainty_bend *x = a, *y = b;
    double p = fabs(x->variance), q = fabs(y->variance);
    if (p != q)
        return p < q ? 1 : -1;
    return x->a != y->a ? (x->a > y->a) - (x->a < y->a) : (x->b > y->b) - (x->b < y->b);
}

/* What rounding leaves of a term that is none, beside what counts. */
static bool counts(double variance, double combined)
{
    return fabs(variance) > 1e-12 * combined * combined;
}

static void add_bends(struct bending *s, struct uncertainty *u)
{
    double sum = u->combined * u->combined;
    for (uint32_t i = 0; i < s->count; i++)
        for (uint32_t j = i; j < s->count; j++) {
            double v = s->variance[(size_t)i * s->count + j];
            if (j > i)
                v += s->variance[(size_t)j * s->count + i];
            if (!counts(v, u->combined))
                continue;
            sum += v;
            *ARRAY_PUSH(s->arena, &u->bends) = (struct uncertainty_bend){s->g->held.input[i], s->g->held.input[j], v};
        }
    if (u->bends.count)
        qsort(u->bends.at, u->bends.count, sizeof *u->bends.at, by_size);
    u->second_order = sum >= 0 ? sqrt(sum) : NAN;
}

static bool goes_in(const struct program *cone, uint32_t input)
{
    for (uint32_t n = 1; n < cone->nodes.count; n++)
        if (cone->nodes.at[n].op == OP_INPUT && cone->nodes.at[n].a == input)
            return true;
    return false;
}

static bool bend_along_all(struct bending *s)
{
    if (setjmp(s->full)) {
        arena_free(&s->room);
        if (s->arena->exhausted)
            longjmp(*s->arena->exhausted, 1);
        abort();
    }
    bool good = true;
    for (uint32_t k = 0; k < s->count && good; k++)
        good = s->standard[k] == 0 || bend_along(s, k);
    return good;
}

struct uncertainty uncertainty_of(struct arena *arena, const struct program *whole, uint32_t node, double coverage)
{
    struct bending *s = ARENA_NEW(arena, struct bending);
    struct program *cone = ARENA_NEW(arena, struct program);
    *cone = program_cone(arena, whole, node);
    const double *at = expected_inputs(arena, cone);
    struct gradient g = evaluate_gradient(arena, cone, at);
    uint32_t last = cone->nodes.count - 1;
    struct uncertainty u = uncertainty_from(arena, cone, &g, last, coverage);
    if (at)
        u.stated = evaluate_nominal(arena, cone, NULL).value[last];
    if (!u.defined || isnan(u.combined))
        return u;
    *s = (struct bending){.arena = arena, .program = cone, .g = &g, .at = at, .node = last, .count = g.held.count};
    s->standard = ARENA_ARRAY(arena, s->count, double);
    s->variance = ARENA_ARRAY(arena, (size_t)s->count * s->count, double);
    for (uint32_t k = 0; k < s->count; k++) {
        struct spread spread = spread_of(cone, g.held.input[k]);
        if (goes_in(cone, g.held.input[k])) /* what does not moves nothing, and needs no neighbours */
            s->standard[k] = spread_standard(&spread, &cone->inputs.at[g.held.input[k]]);
    }
    if (bend_along_all(s))
        add_bends(s, &u);
    return u;
}
