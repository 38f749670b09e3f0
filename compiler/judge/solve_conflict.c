#include "compiler/judge/parts.h"

#include "compiler/text/typeset.h"

#include <math.h>

enum {
    MOST_NAMED = 4,      /* limits named in a message */
    MOST_LOOKED_AT = 60, /* points looked at for the nearest */
    MOST_STEPS = 4       /* and from there, of one length */
};
static const double finest_step = 1.0 / 1024; /* of the range */

/* Of the only unknown. */
static struct text stretch_words(struct solving *s, const struct interval *at, uint32_t count)
{
    struct arena *a = s->lowering->arena;
    const struct unit *unit = &s->lowering->quantities.at[s->lowering->unknowns.at[0].quantity].unit;
    struct text words = TEXT("");
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

/* ---- the nearest to it ------------------------------------------------------------------------------------------- */

/* Where the limits that are looked at miss least: of the tightest, the share that is left at worst. */
struct nearest {
    double at[MOST_UNKNOWNS];
    double left;
};

/* The worst case of a claim at a point, from the corners its slopes point to; how tight it is. */
static double left_of_claim(struct solving *s, uint32_t claim, const double *point, struct limit_result *r)
{
    struct prover *p = &s->claims.at[claim];
    struct interval at[MOST_UNKNOWNS];
    for (uint32_t k = 0; k < s->unknowns.count; k++)
        at[k] = interval_point(point[k]);
    prover_at_cell(p, &s->unknowns, at);
    *r = s->limits->results.at[s->claims.result[claim]];
    look_at_worst(r, p);
    if (!isnan(r->worst.least))
        return limit_tightness(r);
    bool idle = p->claim.when && !p->at.culprit[p->claim.when] && p->at.value[p->claim.when] == 0;
    return idle ? HUGE_VAL : -HUGE_VAL;
}

static double left_at(struct solving *s, const uint32_t *claims, uint32_t count, const double *point)
{
    struct limit_result r;
    double left = HUGE_VAL;
    for (uint32_t i = 0; i < count; i++)
        left = fmin(left, left_of_claim(s, claims[i], point, &r));
    return left;
}

static void take_nearer(struct solving *s, const uint32_t *claims, uint32_t count, const double *point,
                        struct nearest *best)
{
    double left = left_at(s, claims, count, point);
    if (left > best->left) {
        memcpy(best->at, point, s->unknowns.count * sizeof *point);
        best->left = left;
    }
}

/* Looks a step to either side along each unknown; whether that came nearer. */
static bool step_around(struct solving *s, const uint32_t *claims, uint32_t count, double share, struct nearest *best)
{
    double before = best->left;
    for (uint32_t k = 0; k < s->unknowns.count; k++)
        for (int side = -1; side <= 1; side += 2) {
            struct interval range = s->unknowns.range[k];
            double point[MOST_UNKNOWNS];
            memcpy(point, best->at, sizeof point);
            point[k] += side * share * (range.high - range.low);
            point[k] = fmin(fmax(point[k], range.low), range.high);
            take_nearer(s, claims, count, point, best);
        }
    return best->left > before;
}

/* Points evenly taken in the cells, and from the best of them on in ever smaller steps. */
static struct nearest nearest_of(struct solving *s, const struct feasible *f, const uint32_t *claims, uint32_t count)
{
    struct nearest best = {.left = -HUGE_VAL};
    double point[MOST_UNKNOWNS];
    for (uint32_t i = 0; i < f->cells.count; i += (f->cells.count + MOST_LOOKED_AT - 1) / MOST_LOOKED_AT) {
        for (uint32_t k = 0; k < s->unknowns.count; k++)
            point[k] = f->cells.at[i].at[k].low + (f->cells.at[i].at[k].high - f->cells.at[i].at[k].low) / 2;
        take_nearer(s, claims, count, point, &best);
    }
    for (double share = 0.25; share > finest_step && isfinite(best.left); share /= 2)
        for (int same = 0; same < MOST_STEPS && step_around(s, claims, count, share, &best); same++)
            continue;
    return best;
}

/* "die.temperature = 221 degC and holder.temperature = 235 degC" */
static struct text point_words(struct solving *s, const double *point)
{
    struct arena *a = s->lowering->arena;
    struct text words = TEXT("");
    for (uint32_t k = 0; k < s->unknowns.count; k++) {
        const struct quantity *q = &s->lowering->quantities.at[s->lowering->unknowns.at[k].quantity];
        const char *join = !k ? "" : k + 1 == s->unknowns.count ? " and " : ", ";
        words = arena_format(a, "%.*s%s%.*s = %.*s", TEXT_ARGS(words), join, TEXT_ARGS(q->path),
                             TEXT_ARGS(typeset_quantity(a, point[k], &q->unit, SPELL_ASCII)));
    }
    return words;
}

/* ", where at worst the clearance ratio is 1.28, and must be ..."; empty where it has no value. */
static struct text miss_words(struct solving *s, const char *where, const struct limit_result *r)
{
    struct text words = worst_words(s->lowering, r);
    return words.len ? arena_format(s->lowering->arena, "%s%.*s", where, TEXT_ARGS(words)) : words;
}

/* ---- limits that conflict ---------------------------------------------------------------------------------------- */

static uint32_t most_blocking(const uint32_t *blocked, uint32_t count)
{
    uint32_t most = 0;
    for (uint32_t i = 1; i < count; i++)
        most = blocked[i] > blocked[most] ? i : most;
    return most;
}

/* What one limit alone would allow of the only unknown; where that is nothing, how near it comes. */
static void label_alone(struct solving *s, uint32_t claim, struct diagnostic *d)
{
    uint32_t result = s->claims.result[claim];
    struct diagnostics *g = s->lowering->scope->diagnostics;
    struct span place = place_of_result(s->lowering, &s->limits->results.at[result]);
    struct feasible own = feasible_set(s->scratch, &s->claims.at[claim], 1, &s->unknowns, LEVELS_ONE);
    struct solution alone = {0};
    solve_gather_ranges(s, &own, 0, &alone);
    if (alone.feasible.count) {
        report_label(g, d, place, "%.*s is proved for %.*s", TEXT_ARGS(result_words(s, result)),
                     TEXT_ARGS(stretch_words(s, alone.feasible.at, alone.feasible.count)));
        return;
    }
    struct nearest best = nearest_of(s, &own, &claim, 1);
    struct limit_result r;
    if (isinf(best.left)) {
        report_label(g, d, place, "%.*s has no value anywhere in the range", TEXT_ARGS(result_words(s, result)));
        return;
    }
    left_of_claim(s, claim, best.at, &r);
    report_label(g, d, place, "%.*s is proved nowhere in the range; nearest comes %.*s%.*s",
                 TEXT_ARGS(result_words(s, result)), TEXT_ARGS(point_words(s, best.at)),
                 TEXT_ARGS(miss_words(s, ", where at worst ", &r)));
}

/* The strictest first. */
static void label_each_alone(struct solving *s, uint32_t *blocked, struct diagnostic *d)
{
    for (uint32_t named = 0; named < MOST_NAMED; named++) {
        uint32_t most = most_blocking(blocked, s->claims.count);
        if (!blocked[most])
            break;
        blocked[most] = 0;
        label_alone(s, most, d);
    }
}

/* Those that miss at the nearest point, the most missing first; where none does for certain, those that block most. */
static void label_at_nearest(struct solving *s, const struct nearest *best, uint32_t *blocked, struct diagnostic *d)
{
    struct diagnostics *g = s->lowering->scope->diagnostics;
    bool *named = ARENA_ARRAY(s->scratch, s->claims.count, bool);
    for (uint32_t n = 0; n < MOST_NAMED; n++) {
        uint32_t claim = UINT32_MAX;
        double least = 0;
        struct limit_result r, worst;
        for (uint32_t i = 0; i < s->claims.count; i++) {
            double left = named[i] ? 0 : left_of_claim(s, i, best->at, &r);
            if (left < least) {
                least = left;
                claim = i;
                worst = r;
            }
        }
        if (claim == UINT32_MAX && !n) { /* not decided: no corner misses */
            claim = most_blocking(blocked, s->claims.count);
            left_of_claim(s, claim, best->at, &worst);
        }
        if (claim == UINT32_MAX)
            break;
        named[claim] = true;
        report_label(g, d, place_of_result(s->lowering, &worst), "%.*s stands in the way%.*s",
                     TEXT_ARGS(result_words(s, s->claims.result[claim])),
                     TEXT_ARGS(miss_words(s, least < 0 ? ": there, at worst, " : ", not decided there: ", &worst)));
    }
}

static uint32_t *count_blocked(struct solving *s, const struct feasible *f)
{
    uint32_t *blocked = ARENA_ARRAY(s->scratch, s->claims.count, uint32_t);
    for (uint32_t i = 0; i < f->cells.count; i++)
        blocked[f->cells.at[i].blocker]++;
    return blocked;
}

static uint32_t *all_claims(struct solving *s)
{
    uint32_t *all = ARENA_ARRAY(s->scratch, s->claims.count, uint32_t);
    for (uint32_t i = 0; i < s->claims.count; i++)
        all[i] = i;
    return all;
}

void report_none(struct solving *s, const struct feasible *f)
{
    const struct lowering *l = s->lowering;
    struct diagnostics *g = l->scope->diagnostics;
    const struct unknown *u = &l->unknowns.at[0];
    const struct quantity *q = &l->quantities.at[u->quantity];
    struct span place = site_span(l->scope, u->site);
    struct diagnostic *d;
    if (s->unknowns.count == 1) {
        d = report(g, FAULT_find_no_value, place, "no %.*s from %.*s proves every limit over the tolerances",
                   TEXT_ARGS(q->path), TEXT_ARGS(typeset_band(l->arena, u->low, u->high, &q->unit, SPELL_ASCII)));
        label_each_alone(s, count_blocked(s, f), d);
    } else {
        struct nearest best = nearest_of(s, f, all_claims(s), s->claims.count);
        d = report(g, FAULT_find_no_value, place,
                   "no combination of the %u unknowns proves every limit over the tolerances%s%.*s", s->unknowns.count,
                   isinf(best.left) ? "" : "; nearest comes ",
                   TEXT_ARGS(isinf(best.left) ? TEXT("") : point_words(s, best.at)));
        label_at_nearest(s, &best, count_blocked(s, f), d);
    }
    report_help(g, d, "widen the range, hold the tolerances tighter, or change what the limits name");
}

void report_free(struct solving *s, uint32_t k)
{
    const struct lowering *l = s->lowering;
    const struct unknown *u = &l->unknowns.at[k];
    const struct quantity *q = &l->quantities.at[u->quantity];
    struct diagnostic *d = report(l->scope->diagnostics, FAULT_find_free, site_span(l->scope, u->site),
                                  "no limit depends on %.*s: everything from %.*s will do", TEXT_ARGS(q->path),
                                  TEXT_ARGS(typeset_band(l->arena, u->low, u->high, &q->unit, SPELL_ASCII)));
    report_help(l->scope->diagnostics, d, "state the value, or add the limit that should decide it");
}
