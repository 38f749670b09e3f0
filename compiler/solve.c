#include "compiler/solve.h"

#include "compiler/typeset.h"

#include <math.h>
#include <stdlib.h>

enum {
    LEVELS_ONE = 7, /* a 128th of the range for one unknown, coarser where there are more */
    LEVELS_TWO = 5,
    LEVELS_THREE = 4,
    LEVELS_MORE = 3,      /* finer by so much where that finds nothing: a wide range, held tightly */
    MOST_CANDIDATES = 24, /* points looked at for the most margin */
    MOST_TRIED = 100,     /* points tried where no cell as a whole will do */
    MOST_NAMED = 4        /* limits named in a message */
};

struct solving {
    struct limits *limits;
    struct lowering *lowering;
    struct solutions *out;
    struct arena *scratch;
    struct unknowns unknowns;
    struct limit_provers claims;
    struct shared_cells shared;
};

static uint32_t levels_of(uint32_t unknowns)
{
    return unknowns == 1 ? LEVELS_ONE : unknowns == 2 ? LEVELS_TWO : LEVELS_THREE;
}

/* ---- where ------------------------------------------------------------------------------------------------------- */

/* Feasible stretches along one unknown, from cells in ascending order. */
static void gather(struct solving *s, const struct feasible *f, uint32_t k, struct solution *out)
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

/* Along one unknown with the others at given values. */
static struct feasible along(struct solving *s, uint32_t k, const double *chosen)
{
    struct unknowns one = {.count = 1, .input = {s->unknowns.input[k]}, .range = {s->unknowns.range[k]}};
    for (uint32_t i = 0; i < s->claims.count; i++) {
        struct interval at[MOST_UNKNOWNS];
        for (uint32_t j = 0; j < s->unknowns.count; j++)
            at[j] = interval_point(chosen[j]);
        prover_at_cell(&s->claims.at[i], &s->unknowns, at);
    }
    for (uint32_t j = 0; j < s->unknowns.count; j++)
        s->shared.box[s->unknowns.input[j]] = interval_point(chosen[j]);
    return feasible_set(s->scratch, s->claims.at, s->claims.count, &one, LEVELS_ONE, &s->shared);
}

/* ---- which ------------------------------------------------------------------------------------------------------- */

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Whether all is proved at a point; *margins, by prover, is how tight each is, the tightest first. */
static bool proved_at(struct solving *s, const double *value, double *margins)
{
    for (uint32_t i = 0; i < s->claims.count; i++) {
        struct interval at[MOST_UNKNOWNS];
        for (uint32_t k = 0; k < s->unknowns.count; k++)
            at[k] = interval_point(value[k]);
        prover_at_cell(&s->claims.at[i], &s->unknowns, at);
        struct limit_result r = s->limits->results.at[s->claims.result[i]];
        enum proof_state state = prove_result(&r, &s->claims.at[i], PROOF_BUDGET, 0);
        if (state != PROOF_HOLDS && state != PROOF_IDLE)
            return false;
        margins[i] = state == PROOF_HOLDS ? limit_tightness(&r) : HUGE_VAL;
    }
    qsort(margins, s->claims.count, sizeof *margins, ascending);
    return true;
}

/* Whether a is better than b: the tightest decides, and where it is all but the same, the next. */
static bool has_more_margin(const double *a, const double *b, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++)
        if (fabs(a[i] - b[i]) > 0.01 * fmax(fabs(a[i]), fabs(b[i])))
            return a[i] > b[i];
    return false;
}

/* A step a person would set: 1, 2 or 5 in some decade of the unit, at least a hundredth of the range. */
static double round_step(const struct unit *unit, double width)
{
    double shown = fabs(width / unit->factor) / 100, decade = pow(10, floor(log10(shown)));
    double lead = shown / decade;
    return (lead <= 1 ? 1 : lead <= 2 ? 2 : lead <= 5 ? 5 : 10) * decade;
}

/* The round value nearest to `si` towards `up` or down, in the unit shown. */
static double rounded(struct solving *s, uint32_t k, double si, bool up)
{
    const struct unknown *u = &s->lowering->unknowns.at[k];
    const struct unit *unit = &s->lowering->quantities.at[u->quantity].unit;
    double step = round_step(unit, u->high - u->low), value = unit_from_si(unit, si);
    double steps = up ? ceil(value / step - 1e-9) : floor(value / step + 1e-9);
    return unit_to_si(unit, steps * step);
}

static bool comes_before(struct solving *s, const struct cell *a, const struct cell *b)
{
    for (uint32_t k = 0; k < s->unknowns.count; k++) {
        enum preference prefer = s->lowering->unknowns.at[k].prefer;
        if (prefer == PREFER_LOWEST && a->at[k].low != b->at[k].low)
            return a->at[k].low < b->at[k].low;
        if (prefer == PREFER_HIGHEST && a->at[k].high != b->at[k].high)
            return a->at[k].high > b->at[k].high;
    }
    return false;
}

/* The value in a cell that is preferred, and one a person would set beside it. */
static void points_of(struct solving *s, const struct cell *c, double *exact, double *round)
{
    for (uint32_t k = 0; k < s->unknowns.count; k++) {
        enum preference prefer = s->lowering->unknowns.at[k].prefer;
        double middle = c->at[k].low + (c->at[k].high - c->at[k].low) / 2;
        exact[k] = prefer == PREFER_LOWEST ? c->at[k].low : prefer == PREFER_HIGHEST ? c->at[k].high : middle;
        round[k] = rounded(s, k, exact[k], prefer != PREFER_HIGHEST);
        if (round[k] < s->unknowns.range[k].low || round[k] > s->unknowns.range[k].high)
            round[k] = exact[k];
    }
}

struct best_point {
    double *margins, *best; /* by claim, the tightest first; best NULL: none yet */
    double *chosen;
};

/* Takes a point when all is proved there, with more margin than where it was best so far. */
static void try_candidate(struct solving *s, const struct cell *c, struct best_point *b)
{
    double exact[MOST_UNKNOWNS], round[MOST_UNKNOWNS];
    points_of(s, c, exact, round);
    const double *at = proved_at(s, round, b->margins) ? round : exact;
    if ((at == exact && !proved_at(s, exact, b->margins)) ||
        (b->best && !has_more_margin(b->margins, b->best, s->claims.count)))
        return;
    b->best = b->best ? b->best : ARENA_ARRAY(s->scratch, s->claims.count, double);
    memcpy(b->best, b->margins, s->claims.count * sizeof *b->best);
    memcpy(b->chosen, at, s->unknowns.count * sizeof *b->chosen);
}

/* The n-th of a cell's pieces, cut into as many along each unknown whose margin is to decide. */
static struct cell piece_of(const struct solving *s, const struct cell *c, uint32_t along, uint32_t n)
{
    struct cell piece = *c;
    for (uint32_t k = 0; k < s->unknowns.count; k++) {
        if (s->lowering->unknowns.at[k].prefer != PREFER_MARGIN)
            continue;
        double width = (c->at[k].high - c->at[k].low) / along, low = c->at[k].low + (n % along) * width;
        piece.at[k] = interval_of(low, low + width);
        n /= along;
    }
    return piece;
}

/* The feasible cells that reach furthest to where the recipe prefers lowest or highest, the first unknown counting most.
 * Several where another unknown is left to the margin, all of them where each is. */
static struct feasible preferred_cells(struct solving *s, const struct feasible *f)
{
    const struct cell *best = NULL;
    struct feasible out = {{0}};
    for (uint32_t i = 0; i < f->cells.count; i++)
        if (f->cells.at[i].feasible && (!best || comes_before(s, &f->cells.at[i], best)))
            best = &f->cells.at[i];
    for (uint32_t i = 0; i < f->cells.count; i++)
        if (f->cells.at[i].feasible && !comes_before(s, best, &f->cells.at[i]))
            *ARRAY_PUSH(s->scratch, &out.cells) = f->cells.at[i];
    return out;
}

/* Whether a point lies in a feasible cell, so that nothing is left to prove there. */
static bool is_covered(const struct solving *s, const struct feasible *f, const double *point)
{
    for (uint32_t i = 0; i < f->cells.count; i++) {
        uint32_t inside = 0;
        while (inside < s->unknowns.count && interval_contains(f->cells.at[i].at[inside], point[inside]))
            inside++;
        if (f->cells.at[i].feasible && inside == s->unknowns.count)
            return true;
    }
    return false;
}

/* Of points evenly taken in some cells, the one whose tightest limit has most margin. */
static void choose_widest(struct solving *s, const struct feasible *f, uint32_t margins, double *chosen)
{
    const uint32_t good = f->cells.count, every = (good + MOST_CANDIDATES - 1) / MOST_CANDIDATES;
    struct best_point b = {.margins = ARENA_ARRAY(s->scratch, s->claims.count, double), .chosen = chosen};
    uint32_t along = 1, pieces = 1;
    while (margins && good * pieces < MOST_CANDIDATES) {
        along++;
        pieces = 1;
        for (uint32_t k = 0; k < margins; k++)
            pieces *= along;
    }
    for (uint32_t i = 0; i < good; i += every) {
        try_candidate(s, &f->cells.at[i], &b); /* the middle, unless another place is better */
        for (uint32_t n = 0; pieces > 1 && n < pieces; n++) {
            struct cell piece = piece_of(s, &f->cells.at[i], along, n);
            try_candidate(s, &piece, &b);
        }
    }
}

/* The point preferred, at round values where all is proved there. */
static void choose_point(struct solving *s, const struct feasible *f, double *chosen)
{
    const struct feasible preferred = preferred_cells(s, f);
    uint32_t margins = 0; /* unknowns that are left to the margin */
    double round[MOST_UNKNOWNS];
    if (!preferred.cells.count) /* there is one: the caller looked */
        return;
    points_of(s, &preferred.cells.at[0], chosen, round);
    for (uint32_t k = 0; k < s->unknowns.count; k++)
        margins += s->lowering->unknowns.at[k].prefer == PREFER_MARGIN;
    if (!margins && is_covered(s, f, round))
        memcpy(chosen, round, sizeof round);
    else
        choose_widest(s, &preferred, margins, chosen);
}

/* ---- messages ---------------------------------------------------------------------------------------------------- */

static struct text stretch_words(struct solving *s, const struct unknown *u, const struct interval *at, uint32_t count)
{
    struct arena *a = s->lowering->arena;
    const struct unit *unit = &s->lowering->quantities.at[u->quantity].unit;
    struct text words = TEXT("nowhere in the range");
    for (uint32_t i = 0; i < count; i++)
        words = arena_format(a, "%.*s%s%.*s", i ? (int)words.len : 0, words.at, i ? " and " : "",
                             TEXT_ARGS(typeset_band(a, at[i].low, at[i].high, unit, SPELL_ASCII)));
    return words;
}

static struct text result_words(struct solving *s, uint32_t result)
{
    const struct limit_result *r = &s->limits->results.at[result];
    return rule_words(s->lowering, r->rule, r->subject);
}

/* What each limit alone would allow of the only unknown, the strictest first; or those that block most cells. */
static void name_conflict(struct solving *s, const struct feasible *all, struct diagnostic *d)
{
    struct diagnostics *g = s->lowering->scope->diagnostics;
    const struct unknown *u = &s->lowering->unknowns.at[0];
    uint32_t *blocked = ARENA_ARRAY(s->scratch, s->claims.count, uint32_t);
    for (uint32_t i = 0; i < all->cells.count; i++)
        blocked[all->cells.at[i].blocker]++;
    for (uint32_t named = 0; named < MOST_NAMED; named++) {
        uint32_t most = 0;
        for (uint32_t i = 1; i < s->claims.count; i++)
            most = blocked[i] > blocked[most] ? i : most;
        if (!blocked[most])
            break;
        blocked[most] = 0;
        struct text words = result_words(s, s->claims.result[most]);
        struct span place = place_of_result(s->lowering, &s->limits->results.at[s->claims.result[most]]);
        if (s->unknowns.count > 1) {
            report_label(g, d, place, "%.*s stands in the way", TEXT_ARGS(words));
            continue;
        }
        struct feasible own = feasible_set(s->scratch, &s->claims.at[most], 1, &s->unknowns, LEVELS_ONE, NULL);
        struct solution alone = {0};
        uint32_t result = s->claims.result[0];
        s->claims.result[0] = s->claims.result[most];
        gather(s, &own, 0, &alone);
        s->claims.result[0] = result;
        report_label(g, d, place, "%.*s is proved %s%.*s", TEXT_ARGS(words), alone.feasible.count ? "for " : "",
                     TEXT_ARGS(stretch_words(s, u, alone.feasible.at, alone.feasible.count)));
    }
}

static void report_none(struct solving *s, const struct feasible *f)
{
    struct lowering *l = s->lowering;
    struct diagnostics *g = l->scope->diagnostics;
    const struct unknown *u = &l->unknowns.at[0];
    const struct quantity *q = &l->quantities.at[u->quantity];
    struct diagnostic *d =
        s->unknowns.count == 1
            ? report(g, FAULT_find_no_value, site_span(l->scope, u->site),
                     "no %.*s from %.*s proves every limit over the tolerances", TEXT_ARGS(q->path),
                     TEXT_ARGS(typeset_band(l->arena, u->low, u->high, &q->unit, SPELL_ASCII)))
            : report(g, FAULT_find_no_value, site_span(l->scope, u->site),
                     "no combination of the %u unknowns proves every limit over the tolerances", s->unknowns.count);
    name_conflict(s, f, d);
    report_help(g, d, "widen the range, hold the tolerances tighter, or change what the limits name");
}

static bool is_free(const struct solving *s, uint32_t k)
{
    struct unknowns one = {.count = 1, .input = {s->unknowns.input[k]}};
    for (uint32_t i = 0; i < s->claims.count; i++)
        if (prover_reads(&s->claims.at[i], &one))
            return false;
    return true;
}

static void report_free(struct solving *s, uint32_t k)
{
    struct lowering *l = s->lowering;
    const struct unknown *u = &l->unknowns.at[k];
    const struct quantity *q = &l->quantities.at[u->quantity];
    struct diagnostic *d = report(l->scope->diagnostics, FAULT_find_free, site_span(l->scope, u->site),
                                  "no limit depends on %.*s: everything from %.*s will do", TEXT_ARGS(q->path),
                                  TEXT_ARGS(typeset_band(l->arena, u->low, u->high, &q->unit, SPELL_ASCII)));
    report_help(l->scope->diagnostics, d, "state the value, or add the limit that should decide it");
}

/* ---- all --------------------------------------------------------------------------------------------------------- */

/* As if it had been stated. */
static void put_value(struct solving *s, uint32_t k, double value)
{
    struct input *in = &s->lowering->program.inputs.at[s->unknowns.input[k]];
    in->nominal = in->low = in->high = value;
    in->held = false;
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
        c->feasible = proved_at(s, middle, margins);
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

static struct feasible look(struct solving *s)
{
    struct feasible f;
    uint32_t levels = levels_of(s->unknowns.count), most = levels + LEVELS_MORE;
    s->claims = limit_provers(s->limits, &s->unknowns, s->out->without_waived, s->scratch);
    do
        f = feasible_set(s->scratch, s->claims.at, s->claims.count, &s->unknowns, levels, &s->shared);
    while (!any_feasible(&f) && any_open(&f) && ++levels <= most);
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

/* What a waiver covers is kept all the same where it can be. */
static struct feasible look_everywhere(struct solving *s)
{
    struct feasible f = look(s);
    if (s->out->none && any_waivable(s->limits)) {
        s->out->without_waived = true;
        struct feasible more = look(s);
        s->out->without_waived = !s->out->none;
        f = more;
    }
    return f;
}

/* The stretches along one unknown that are proved, with the others at their chosen values. */
static void tell_stretches(struct solving *s, uint32_t k, const struct feasible *f, const double *chosen,
                           struct solution *out)
{
    struct feasible line = s->unknowns.count == 1 ? *f : along(s, k, chosen), own = {{0}};
    for (uint32_t i = 0; i < line.cells.count; i++) { /* cells along one unknown stand first in `at` */
        struct cell c = line.cells.at[i];
        c.at[k] = c.at[s->unknowns.count == 1 ? k : 0];
        *ARRAY_PUSH(s->scratch, &own.cells) = c;
    }
    gather(s, &own, k, out);
}

static void choose(struct solving *s)
{
    double chosen[MOST_UNKNOWNS] = {0};
    s->shared = shared_cells_new(s->scratch, &s->lowering->program);
    struct feasible f = look_everywhere(s);
    for (uint32_t k = 0; k < s->unknowns.count; k++)
        chosen[k] = s->unknowns.range[k].low + (s->unknowns.range[k].high - s->unknowns.range[k].low) / 2;
    for (uint32_t k = 0; k < s->unknowns.count; k++)
        if (is_free(s, k))
            report_free(s, k);
    if (s->out->none)
        report_none(s, &f);
    else
        choose_point(s, &f, chosen);
    for (uint32_t k = 0; k < s->unknowns.count; k++) {
        struct solution *out = ARRAY_PUSH(s->lowering->arena, &s->out->of);
        *out = (struct solution){.unknown = k, .value = chosen[k]};
        if (!s->out->none)
            tell_stretches(s, k, &f, chosen, out);
    }
    for (uint32_t k = 0; k < s->unknowns.count; k++)
        put_value(s, k, chosen[k]);
}

static void report_too_many(struct lowering *l)
{
    struct diagnostics *g = l->scope->diagnostics;
    struct diagnostic *d =
        report(g, FAULT_find_too_many, site_span(l->scope, l->unknowns.at[MOST_UNKNOWNS].site),
               "the recipe leaves %u values open; at most %d can be found at once", l->unknowns.count, MOST_UNKNOWNS);
    for (uint32_t i = 0; i < MOST_UNKNOWNS; i++)
        report_label(g, d, site_span(l->scope, l->unknowns.at[i].site), "left open");
    report_help(g, d, "state those that matter least");
}

void leave_unknowns_open(struct lowering *l)
{
    for (uint32_t i = 0; i < l->unknowns.count; i++)
        l->program.inputs.at[l->unknowns.at[i].input].nominal = NAN;
}

/* Nothing can be judged by a value nobody chose. */
static void leave_open(struct limits *m)
{
    leave_unknowns_open(m->lowering);
    for (uint32_t i = 0; i < m->results.count; i++) {
        m->results.at[i].verdict = VERDICT_NOT_EVALUATED;
        m->results.at[i].why_not = TEXT("no value was found for what the recipe leaves open");
        m->results.at[i].quiet = true;
    }
}

bool solve_unknowns(struct solutions *out, struct limits *m, struct arena *scratch)
{
    struct lowering *l = m->lowering;
    *out = (struct solutions){0};
    if (!l->unknowns.count)
        return false;
    struct solving s = {.limits = m, .lowering = l, .out = out, .scratch = scratch};
    if (l->unknowns.count > MOST_UNKNOWNS) {
        report_too_many(l);
        out->none = true;
        s.unknowns.count = 0;
        for (uint32_t i = 0; i < l->unknowns.count; i++)
            l->program.inputs.at[l->unknowns.at[i].input].held = false;
        leave_open(m);
        return true;
    }
    s.unknowns.count = l->unknowns.count;
    for (uint32_t k = 0; k < l->unknowns.count; k++) {
        s.unknowns.input[k] = l->unknowns.at[k].input;
        s.unknowns.range[k] = interval_of(l->unknowns.at[k].low, l->unknowns.at[k].high);
    }
    choose(&s);
    if (out->none)
        leave_open(m);
    arena_free(scratch);
    return true;
}
