#include "runtime/proof/feasible.h"

struct covering {
    struct arena *arena;
    struct prover *provers;
    const struct unknowns *unknowns;
    uint32_t levels;
    struct feasible out;
    uint32_t spent; /* boxes looked at */
    bool found;     /* a feasible cell */
    bool *failed;   /* by claim: somewhere in the middle of a cell */
};

void prover_at_cell(struct prover *r, const struct unknowns *u, const struct interval *at)
{
    for (uint32_t i = 0; i < r->cone.program.inputs.count; i++)
        for (uint32_t k = 0; k < u->count; k++)
            if (r->cone.input[i] == u->input[k])
                r->box[i] = at[k];
}

bool prover_reads(const struct prover *r, const struct unknowns *u)
{
    for (uint32_t i = 0; i < r->cone.program.inputs.count; i++)
        for (uint32_t k = 0; k < u->count; k++)
            if (r->cone.input[i] == u->input[k])
                return true;
    return false;
}

/* With the held inputs where they broke it, the claim is false for every value of the unknown ones in the box. */
static bool is_refuted(struct prover *r)
{
    const struct program *p = &r->cone.program;
    struct interval *box = r->half;
    const struct claim *c = &r->claim;
    for (uint32_t i = 0; i < p->inputs.count; i++)
        box[i] = p->inputs.at[i].unknown ? r->box[i] : interval_point(r->worst[i]);
    evaluate_interval_gradient(&r->over, p, box);
    const struct interval *value = r->over.over.value;
    if (c->when && (r->over.over.culprit[c->when] || interval_truth(value[c->when]) != TRUTH_TRUE))
        return false;
    if (r->over.over.culprit[c->truth])
        return false;
    if (interval_truth(value[c->truth]) == TRUTH_FALSE)
        return true;
    if (!c->margin || r->over.over.culprit[c->margin])
        return false;
    double scale = 0;
    for (uint32_t k = 0; k < 4 && c->compared[k]; k++)
        scale = fmax(scale, fmax(fabs(value[c->compared[k]].low), fabs(value[c->compared[k]].high)));
    return gradient_monotone_end(&r->over, p, box, c->margin, true) < -2e-12 * scale;
}

enum cell_state { CELL_PROVED, CELL_OPEN, CELL_REFUTED };

/* What the values over the cell say at once, without slopes: true all over it, or nothing claimed anywhere in it. */
static bool holds_plainly(struct prover *r)
{
    const struct claim *c = &r->claim;
    const struct interval_evaluation *e = &r->over.over;
    evaluate_interval(&r->over.over, &r->cone.program, r->box, NULL);
    if (c->when && (e->culprit[c->when] || interval_truth(e->value[c->when]) == TRUTH_FALSE))
        return !e->culprit[c->when];
    return !e->culprit[c->truth] && interval_truth(e->value[c->truth]) == TRUTH_TRUE;
}

static enum cell_state claim_over(struct covering *f, uint32_t claim, const struct interval *at, uint32_t budget)
{
    struct prover *r = &f->provers[claim];
    prover_at_cell(r, f->unknowns, at);
    if (holds_plainly(r))
        return CELL_PROVED;
    struct proof proof = prover_prove(r, budget, 0);
    f->spent += proof.boxes;
    if (proof.state == PROOF_HOLDS || proof.state == PROOF_IDLE)
        return CELL_PROVED;
    if (proof.state != PROOF_BROKEN)
        return CELL_OPEN;
    /* What breaks it first may be the middle alone; what breaks it most breaks it in more of the cell. */
    return is_refuted(r) || (prover_least_met(r) < 0 && is_refuted(r)) ? CELL_REFUTED : CELL_OPEN;
}

static void add_cell(struct covering *f, const struct interval *at, bool feasible, bool refuted, uint32_t blocker)
{
    struct cell *c = ARRAY_PUSH(f->arena, &f->out.cells);
    memcpy(c->at, at, f->unknowns->count * sizeof *at);
    c->feasible = feasible;
    c->refuted = refuted;
    c->blocker = blocker;
    f->found = f->found || feasible;
}

/* ---- where to cut ------------------------------------------------------------------------------------------------ */

static double share_of_range(const struct covering *f, const struct interval *at, uint32_t k)
{
    struct interval all = f->unknowns->range[k];
    return (at[k].high - at[k].low) / (all.high - all.low);
}

static bool may_cut(const struct covering *f, const struct interval *at, uint32_t k)
{
    return f->spent < MOST_BOXES && share_of_range(f, at, k) > 1.5 / (double)(1u << f->levels);
}

/* How much an input's width moves a node. */
static double move_of(const struct prover *r, uint32_t node, uint32_t column)
{
    const struct interval *row = r->over.slope[node];
    struct interval x = r->box[r->over.held.input[column]];
    if (!row || interval_is_zero(row[column]))
        return 0;
    double move = (x.high - x.low) * fmax(fabs(row[column].low), fabs(row[column].high));
    return isfinite(move) ? move : DBL_MAX;
}

/* The same of a claim: of its margin, or of what decides whether it has a value at all. */
static double move_of_claim(const struct prover *r, uint32_t column)
{
    const struct interval_evaluation *e = &r->over.over;
    uint32_t node = r->claim.when && e->culprit[r->claim.when] ? r->claim.when
                    : r->claim.margin                          ? r->claim.margin
                                                               : r->claim.truth,
             room[MOST_ROOM];
    const uint32_t *read;
    if (!e->culprit[node])
        return move_of(r, node, column);
    double most = 0;
    const struct program *p = &r->cone.program;
    uint32_t count = program_operands(p, &p->nodes.at[e->culprit[node]], &read, room);
    for (uint32_t i = 0; i < count; i++)
        most = e->culprit[read[i]] ? most : fmax(most, move_of(r, read[i], column));
    return most;
}

/* The unknown that moves a claim most over the cell, of those that may still be cut; where that is the same, the one whose
 * share of its range is widest. UINT32_MAX: none moves it. */
static uint32_t axis_of_claim(struct covering *f, struct prover *r, const struct interval *at)
{
    uint32_t best = UINT32_MAX;
    double most = 0;
    prover_at_cell(r, f->unknowns, at);
    evaluate_interval_gradient(&r->over, &r->cone.program, r->box);
    for (uint32_t column = 0; column < r->over.held.count; column++)
        for (uint32_t k = 0; k < f->unknowns->count; k++) {
            if (r->cone.input[r->over.held.input[column]] != f->unknowns->input[k] || !may_cut(f, at, k))
                continue;
            double move = move_of_claim(r, column);
            bool wider = best != UINT32_MAX && move == most && share_of_range(f, at, k) > share_of_range(f, at, best);
            if (move > most || wider) {
                most = move;
                best = k;
            }
        }
    return best;
}

/* ---- the search -------------------------------------------------------------------------------------------------- */

/* A claim that holds nowhere in a cell may well do the same in the next, and is asked first there. */
static void put_first(uint32_t *active, uint32_t i)
{
    uint32_t refuting = active[i];
    active[i] = active[0];
    active[0] = refuting;
}

/* Adds those active that fail in the middle of a cell and failed before, or not, in another; UINT32_MAX when one holds
 * nowhere in it: then that one stands first in active. */
static uint32_t add_failing(struct covering *f, const struct interval *at, bool before, uint32_t *active,
                            uint32_t count, uint32_t *failing)
{
    uint32_t left = 0;
    for (uint32_t i = 0; i < count; i++) {
        struct prover *r = &f->provers[active[i]];
        if (f->failed[active[i]] != before)
            continue;
        prover_at_cell(r, f->unknowns, at);
        if (!prover_fails_in_middle(r))
            continue;
        f->spent++;
        f->failed[active[i]] = true;
        if (is_refuted(r) || (prover_least_met(r) < 0 && is_refuted(r))) {
            put_first(active, i);
            return UINT32_MAX;
        }
        failing[left++] = active[i];
    }
    return left;
}

/* The claims, of those active, that fail in the middle of a cell, with the held inputs where each was last met at its
 * least. A cell with one that fails cannot be feasible as a whole, and one point costs far less than a proof. Nearly always
 * it is one that failed elsewhere, so the others are asked only where none of those does. */
static uint32_t failing_claims(struct covering *f, const struct interval *at, uint32_t *active, uint32_t count,
                               uint32_t *failing)
{
    uint32_t left = add_failing(f, at, true, active, count, failing);
    return left ? left : add_failing(f, at, false, active, count, failing);
}

/* The claims not proved in a cell, of those active; UINT32_MAX when one holds nowhere in it, as above. */
static uint32_t open_claims(struct covering *f, const struct interval *at, uint32_t *active, uint32_t count,
                            uint32_t budget, uint32_t *open)
{
    uint32_t left = 0;
    for (uint32_t i = 0; i < count; i++) {
        enum cell_state state = claim_over(f, active[i], at, budget);
        if (state == CELL_REFUTED) {
            put_first(active, i);
            return UINT32_MAX;
        }
        if (state == CELL_OPEN)
            open[left++] = active[i];
    }
    return left;
}

static uint32_t axis_to_cut(struct covering *f, const struct interval *at, const uint32_t *open, uint32_t count)
{
    uint32_t axis = UINT32_MAX;
    for (uint32_t i = 0; i < count && axis == UINT32_MAX; i++)
        axis = axis_of_claim(f, &f->provers[open[i]], at);
    return axis;
}

static void cover(struct covering *f, const struct interval *at, uint32_t *active, uint32_t count);

static void cover_halves(struct covering *f, const struct interval *at, uint32_t axis, uint32_t *active, uint32_t count)
{
    struct interval half[MOST_UNKNOWNS];
    memcpy(half, at, sizeof half);
    double middle = at[axis].low + (at[axis].high - at[axis].low) / 2;
    bool upper_first = f->unknowns->wanted == FEASIBLE_HIGHEST;
    half[axis] = upper_first ? interval_of(middle, at[axis].high) : interval_of(at[axis].low, middle);
    cover(f, half, active, count);
    if (f->found && f->unknowns->wanted != FEASIBLE_ALL)
        return;
    half[axis] = upper_first ? interval_of(at[axis].low, middle) : interval_of(middle, at[axis].high);
    cover(f, half, active, count);
}

/* Proves what is left to prove in a cell. A wide one is better cut than searched: only one that cannot be cut any more
 * gets the whole budget. */
static void prove_in_cell(struct covering *f, const struct interval *at, uint32_t *active, uint32_t count)
{
    uint32_t *open = ARENA_ARRAY(f->arena, count, uint32_t), *still = open;
    uint32_t left = open_claims(f, at, active, count, COARSE_BUDGET, open);
    uint32_t axis = left == UINT32_MAX ? UINT32_MAX : axis_to_cut(f, at, open, left);
    if (left && left != UINT32_MAX && axis == UINT32_MAX) {
        still = ARENA_ARRAY(f->arena, left, uint32_t);
        left = open_claims(f, at, open, left, f->spent < MOST_BOXES ? CELL_BUDGET : COARSE_BUDGET, still);
        active = left == UINT32_MAX ? open : active;
    }
    if (!left || left == UINT32_MAX || axis == UINT32_MAX)
        add_cell(f, at, !left, left == UINT32_MAX, left == UINT32_MAX ? active[0] : left ? still[0] : 0);
    else
        cover_halves(f, at, axis, open, left);
}

/* active: the claims not proved in a cell around this one. */
static void cover(struct covering *f, const struct interval *at, uint32_t *active, uint32_t count)
{
    uint32_t *failing = ARENA_ARRAY(f->arena, count, uint32_t);
    uint32_t left = failing_claims(f, at, active, count, failing);
    if (!left) {
        prove_in_cell(f, at, active, count);
        return;
    }
    uint32_t axis = left == UINT32_MAX ? UINT32_MAX : axis_to_cut(f, at, failing, left);
    if (axis == UINT32_MAX)
        add_cell(f, at, false, left == UINT32_MAX, left == UINT32_MAX ? active[0] : failing[0]);
    else
        cover_halves(f, at, axis, active, count);
}

struct feasible feasible_set(struct arena *arena, struct prover *provers, uint32_t count, const struct unknowns *u,
                             uint32_t levels)
{
    struct covering f = {.arena = arena, .provers = provers, .unknowns = u, .levels = levels};
    uint32_t *active = ARENA_ARRAY(arena, count, uint32_t), left = 0;
    f.failed = ARENA_ARRAY(arena, count, bool);
    struct interval at[MOST_UNKNOWNS] = {{0, 0}};
    for (uint32_t i = 0; i < count; i++)
        if (prover_reads(&provers[i], u))
            active[left++] = i;
    memcpy(at, u->range, u->count * sizeof *at);
    cover(&f, at, active, left);
    return f.out;
}
