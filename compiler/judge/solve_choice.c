#include "compiler/judge/parts.h"

#include <math.h>
#include <stdlib.h>

enum { MOST_CANDIDATES = 24 }; /* points looked at for the most margin */

static int ascending(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

bool solve_proved_at(struct solving *s, const double *value, double *margins)
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

/* The whole number nearest to a cell's end or middle. */
static double whole_number(struct interval at, enum preference prefer)
{
    return prefer == PREFER_LOWEST    ? ceil(at.low - 1e-9)
           : prefer == PREFER_HIGHEST ? floor(at.high + 1e-9)
                                      : round(at.low + (at.high - at.low) / 2);
}

static bool is_whole(const struct solving *s, uint32_t k)
{
    const struct lowering *l = s->lowering;
    return l->quantities.at[l->unknowns.at[k].quantity].entry->whole;
}

/* The value in a cell that is preferred, and one a person would set beside it. */
static void points_of(struct solving *s, const struct cell *c, double *exact, double *round)
{
    for (uint32_t k = 0; k < s->unknowns.count; k++) {
        enum preference prefer = s->lowering->unknowns.at[k].prefer;
        double middle = c->at[k].low + (c->at[k].high - c->at[k].low) / 2;
        exact[k] = prefer == PREFER_LOWEST ? c->at[k].low : prefer == PREFER_HIGHEST ? c->at[k].high : middle;
        if (is_whole(s, k))
            exact[k] = whole_number(c->at[k], prefer);
        round[k] = is_whole(s, k) ? exact[k] : rounded(s, k, exact[k], prefer != PREFER_HIGHEST);
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
    const double *at = solve_proved_at(s, round, b->margins) ? round : exact;
    if ((at == exact && !solve_proved_at(s, exact, b->margins)) ||
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

void solve_choose_point(struct solving *s, const struct feasible *f, double *chosen)
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
