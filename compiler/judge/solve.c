#include "compiler/judge/parts.h"

#include <math.h>

enum {
    LEVELS_TWO = 5,
    LEVELS_THREE = 4,
    LEVELS_MORE = 3, /* further levels where that finds nothing, as in a wide range with tight limits */
    MOST_TRIED = 100 /* points tried where no cell is feasible as a whole */
};

static uint32_t levels_of(uint32_t unknowns)
{
    return unknowns == 1 ? LEVELS_ONE : unknowns == 2 ? LEVELS_TWO : LEVELS_THREE;
}

/* ---- feasible ranges ------------------------------------------------------------------------------------------------------- */

/* Feasible stretches along one unknown, from cells in ascending order. */
void solve_gather_ranges(struct solving *s, const struct feasible *f, uint32_t k, struct solution *out)
{
    const struct interval range = s->unknowns.range[k];
    for (uint32_t i = 0; i < f->cells.count; i++) {
        const struct cell *c = &f->cells.at[i];
        if (!c->feasible)
            continue;
        struct interval *last = out->feasible.count ? &out->feasible.at[out->feasible.count - 1] : NULL;
        if (last && last->high == c->at[k].low)
            last->high = c->at[k].high;
        else
            *ARRAY_PUSH(s->lowering->arena, &out->feasible) = c->at[k];
    }
    if (!out->feasible.count)
        return;
    double first = out->feasible.at[0].low, last = out->feasible.at[out->feasible.count - 1].high;
    for (uint32_t i = 0; i < f->cells.count; i++) {
        const struct cell *c = &f->cells.at[i];
        if (!c->feasible && c->at[k].high == first && first > range.low)
            out->binds_low = s->claims.result[c->blocker] + 1;
        if (!c->feasible && c->at[k].low == last && last < range.high)
            out->binds_high = s->claims.result[c->blocker] + 1;
    }
}

/* The feasible set along one unknown, with the others at their chosen values. */
static struct feasible along(struct solving *s, uint32_t k, const double *chosen)
{
    struct unknowns one = {.count = 1, .input = {s->unknowns.input[k]}, .range = {s->unknowns.range[k]}};
    struct interval at[MOST_UNKNOWNS];
    for (uint32_t j = 0; j < s->unknowns.count; j++)
        at[j] = interval_point(chosen[j]);
    for (uint32_t i = 0; i < s->claims.count; i++)
        prover_at_cell(&s->claims.at[i], &s->unknowns, at);
    return feasible_set(s->scratch, s->claims.at, s->claims.count, &one, LEVELS_ONE);
}

/* ---- searching --------------------------------------------------------------------------------------------------------- */

static bool is_free(const struct solving *s, uint32_t k)
{
    struct unknowns one = {.count = 1, .input = {s->unknowns.input[k]}};
    for (uint32_t i = 0; i < s->claims.count; i++)
        if (prover_reads(&s->claims.at[i], &one))
            return false;
    return true;
}

static bool any_feasible(const struct feasible *f)
{
    for (uint32_t i = 0; i < f->cells.count; i++)
        if (f->cells.at[i].feasible)
            return true;
    return false;
}

/* Where no cell is proved as a whole, some that are not refuted may still be proved in their middle: they shrink to it. */
static bool try_open_cells(struct solving *s, struct feasible *f)
{
    uint32_t open = 0, seen = 0;
    double *margins = ARENA_ARRAY(s->scratch, s->claims.count, double), middle[MOST_UNKNOWNS] = {0};
    for (uint32_t i = 0; i < f->cells.count; i++)
        open += !f->cells.at[i].refuted;
    uint32_t every = (open + MOST_TRIED - 1) / MOST_TRIED;
    for (uint32_t i = 0; i < f->cells.count; i++) {
        struct cell *c = &f->cells.at[i];
        if (c->refuted || seen++ % every)
            continue;
        for (uint32_t k = 0; k < s->unknowns.count; k++)
            middle[k] = c->at[k].low + (c->at[k].high - c->at[k].low) / 2;
        c->feasible = solve_proved_at(s, middle, margins);
        for (uint32_t k = 0; k < s->unknowns.count && c->feasible; k++)
            c->at[k] = interval_point(middle[k]);
    }
    return any_feasible(f);
}

static bool any_open(const struct feasible *f)
{
    for (uint32_t i = 0; i < f->cells.count; i++)
        if (!f->cells.at[i].refuted)
            return true;
    return false;
}

/* Where the recipe prefers an end of its only unknown, and only the value is wanted, the first cell from there will do. */
static enum feasible_part wanted_part(const struct solving *s)
{
    enum preference prefer = s->lowering->unknowns.at[0].prefer;
    if (s->ranges || s->unknowns.count > 1)
        return FEASIBLE_ALL;
    return prefer == PREFER_LOWEST ? FEASIBLE_LOWEST : prefer == PREFER_HIGHEST ? FEASIBLE_HIGHEST : FEASIBLE_ALL;
}

static struct feasible search_cells(struct solving *s)
{
    struct feasible f;
    uint32_t levels = levels_of(s->unknowns.count), most = levels + LEVELS_MORE;
    s->claims = limit_provers(s->limits, &s->lowering->program, &s->unknowns, s->out->without_waived, s->scratch);
    do
        f = feasible_set(s->scratch, s->claims.at, s->claims.count, &s->unknowns, levels);
    while (!any_feasible(&f) && any_open(&f) && ++levels <= most);
    return f;
}

/* Where no cell is feasible, all are covered, so that the message is the same whatever was demanded. */
static struct feasible search(struct solving *s)
{
    s->unknowns.wanted = wanted_part(s);
    struct feasible f = search_cells(s);
    if (s->unknowns.wanted != FEASIBLE_ALL && !any_feasible(&f)) {
        s->unknowns.wanted = FEASIBLE_ALL;
        f = search_cells(s);
    }
    s->out->none = !any_feasible(&f) && !try_open_cells(s, &f);
    return f;
}

static bool any_waivable(const struct limits *m)
{
    for (uint32_t i = 0; i < m->results.count; i++)
        if (is_waivable(m, &m->results.at[i]))
            return true;
    return false;
}

/* Limits that a waiver covers are kept where they can be, and left out where nothing else is feasible. */
static struct feasible search_with_waivers(struct solving *s)
{
    struct feasible f = search(s);
    if (s->out->none && any_waivable(s->limits)) {
        s->out->without_waived = true;
        struct feasible more = search(s);
        s->out->without_waived = !s->out->none;
        f = more;
    }
    return f;
}

/* The stretches along one unknown that are proved, with the others at their chosen values. */
static void put_ranges(struct solving *s, uint32_t k, const struct feasible *f, const double *chosen,
                       struct solution *out)
{
    struct feasible line = s->unknowns.count == 1 ? *f : along(s, k, chosen), own = {{0}};
    for (uint32_t i = 0; i < line.cells.count; i++) { /* cells along one unknown stand first in `at` */
        struct cell c = line.cells.at[i];
        c.at[k] = c.at[s->unknowns.count == 1 ? k : 0];
        *ARRAY_PUSH(s->scratch, &own.cells) = c;
    }
    solve_gather_ranges(s, &own, k, out);
}

static void choose(struct solving *s, double *chosen)
{
    struct feasible f = search_with_waivers(s);
    for (uint32_t k = 0; k < s->unknowns.count; k++)
        chosen[k] = s->unknowns.range[k].low + (s->unknowns.range[k].high - s->unknowns.range[k].low) / 2;
    for (uint32_t k = 0; k < s->unknowns.count; k++)
        if (is_free(s, k))
            report_free(s, k);
    if (s->out->none)
        report_none(s, &f);
    else
        solve_choose_point(s, &f, chosen);
    for (uint32_t k = 0; k < s->unknowns.count; k++) {
        struct solution *out = ARRAY_PUSH(s->lowering->arena, &s->out->of);
        *out = (struct solution){.unknown = k, .value = chosen[k]};
        if (!s->out->none && s->ranges)
            put_ranges(s, k, &f, chosen, out);
    }
}

static void report_too_many(const struct lowering *l)
{
    struct diagnostics *g = l->scope->diagnostics;
    struct diagnostic *d =
        report(g, FAULT_find_too_many, site_span(l->scope, l->unknowns.at[MOST_UNKNOWNS].site),
               "the recipe leaves %u values open; at most %d can be found at once", l->unknowns.count, MOST_UNKNOWNS);
    for (uint32_t i = 0; i < MOST_UNKNOWNS; i++)
        report_label(g, d, site_span(l->scope, l->unknowns.at[i].site), "left open");
    report_help(g, d, "state those that matter least");
}

const struct lowering *solve_nothing(const struct lowering *l)
{
    double *open = ARENA_ARRAY(l->arena, l->unknowns.count, double);
    for (uint32_t i = 0; i < l->unknowns.count; i++)
        open[i] = NAN;
    return l->unknowns.count ? lowering_settled(l, open) : l;
}

/* Without values for the unknowns no limit can be judged. */
static const struct lowering *leave_open(struct limits *m)
{
    static const struct reason left_open = {.kind = REASON_left_open, .reported = true};
    for (uint32_t i = 0; i < m->results.count; i++) {
        m->results.at[i].verdict = VERDICT_NOT_EVALUATED;
        m->results.at[i].why_not = &left_open;
    }
    return solve_nothing(m->lowering);
}

static void solve(struct solving *s, double *chosen)
{
    const struct lowering *l = s->lowering;
    s->unknowns.count = l->unknowns.count;
    for (uint32_t k = 0; k < l->unknowns.count; k++) {
        s->unknowns.input[k] = l->unknowns.at[k].input;
        s->unknowns.range[k] = interval_of(l->unknowns.at[k].low, l->unknowns.at[k].high);
    }
    choose(s, chosen);
    arena_free(s->scratch);
}

const struct lowering *solve_unknowns(struct solutions *out, struct limits *m, bool ranges, struct arena *scratch)
{
    const struct lowering *l = m->lowering;
    double chosen[MOST_UNKNOWNS] = {0};
    struct solving s = {.limits = m, .lowering = l, .out = out, .ranges = ranges, .scratch = scratch};
    *out = (struct solutions){0};
    if (!l->unknowns.count)
        return l;
    out->none = l->unknowns.count > MOST_UNKNOWNS;
    if (out->none)
        report_too_many(l);
    else
        solve(&s, chosen);
    m->lowering = out->none ? leave_open(m) : lowering_settled(l, chosen);
    return m->lowering;
}
