#include "runtime/feasible.h"

struct covering {
    struct arena *arena;
    struct prover *provers;
    const struct unknowns *unknowns;
    uint32_t levels;
    struct feasible out;
    struct shared_cells *shared; /* or NULL */
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
    struct interval *box = r->room->half;
    const struct claim *c = &r->claim;
    for (uint32_t i = 0; i < p->inputs.count; i++)
        box[i] = p->inputs.at[i].unknown ? r->box[i] : interval_point(r->worst[i]);
    evaluate_interval_gradient(&r->over, p, box, NULL);
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
    return monotone_end(&r->over, p, box, c->margin, NULL, true) < -2e-12 * scale;
}

enum cell_state { CELL_PROVED, CELL_OPEN, CELL_REFUTED };

/* A wide cell is better cut than searched: only the finest get the whole budget. */
static enum cell_state claim_over(struct covering *f, uint32_t claim, const struct interval *at, bool finest)
{
    struct prover *r = &f->provers[claim];
    prover_at_cell(r, f->unknowns, at);
    struct proof proof = prove(r, finest ? CELL_BUDGET : COARSE_BUDGET, 0);
    if (proof.state == PROOF_HOLDS || proof.state == PROOF_IDLE)
        return CELL_PROVED;
    return proof.state == PROOF_BROKEN && is_refuted(r) ? CELL_REFUTED : CELL_OPEN;
}

static void add_cell(struct covering *f, const struct interval *at, bool feasible, bool refuted, uint32_t blocker)
{
    struct cell *c = ARRAY_PUSH(f->arena, &f->out.cells);
    memcpy(c->at, at, f->unknowns->count * sizeof *at);
    c->feasible = feasible;
    c->refuted = refuted;
    c->blocker = blocker;
}

/* The unknown whose share of its range is widest; UINT32_MAX when all are as fine as asked. */
static uint32_t widest(const struct covering *f, const struct interval *at)
{
    uint32_t best = UINT32_MAX;
    double most = 1.5 / (double)(1u << f->levels);
    for (uint32_t k = 0; k < f->unknowns->count; k++) {
        struct interval all = f->unknowns->range[k];
        double share = (at[k].high - at[k].low) / (all.high - all.low);
        if (share > most) {
            most = share;
            best = k;
        }
    }
    return best;
}

struct shared_cells shared_cells_new(struct arena *arena, const struct program *p)
{
    return (struct shared_cells){.program = p,
                                 .over = shared_pass_new(arena, p),
                                 .box = program_box(arena, p),
                                 .wanted = ARENA_ARRAY(arena, p->nodes.count, bool)};
}

const struct interval_gradient *pass_over_cell(struct shared_cells *s, const struct prover *provers,
                                               const uint32_t *active, uint32_t count, const struct unknowns *u,
                                               const struct interval *at)
{
    if (!s || !s->over || count < WORTH_SHARING)
        return NULL;
    for (uint32_t k = 0; k < u->count; k++)
        s->box[u->input[k]] = at[k];
    memset(s->wanted, 0, s->program->nodes.count * sizeof *s->wanted);
    for (uint32_t i = 0; i < count; i++)
        mark_claim(&provers[active[i]].of, s->wanted);
    program_needs_of_marked(s->program, s->wanted);
    evaluate_interval_gradient(s->over, s->program, s->box, s->wanted);
    return s->over;
}

/* active: the claims not proved in a cell around this one. What refutes a cell is asked first in the next, where it may
 * well do so again. */
static void cover(struct covering *f, const struct interval *at, uint32_t *active, uint32_t count)
{
    uint32_t *open = ARENA_ARRAY(f->arena, count, uint32_t), left = 0;
    bool finest = widest(f, at) == UINT32_MAX;
    const struct interval_gradient *shared = pass_over_cell(f->shared, f->provers, active, count, f->unknowns, at);
    for (uint32_t i = 0; i < count; i++) {
        f->provers[active[i]].shared = shared;
        enum cell_state state = claim_over(f, active[i], at, finest);
        if (state == CELL_REFUTED) {
            uint32_t refuting = active[i];
            active[i] = active[0];
            active[0] = refuting;
            add_cell(f, at, false, true, refuting);
            return;
        }
        if (state == CELL_OPEN)
            open[left++] = active[i];
    }
    uint32_t cut = left && !finest ? widest(f, at) : UINT32_MAX;
    if (cut == UINT32_MAX) {
        add_cell(f, at, !left, false, left ? open[0] : 0);
        return;
    }
    struct interval half[MOST_UNKNOWNS];
    memcpy(half, at, sizeof half);
    double middle = at[cut].low + (at[cut].high - at[cut].low) / 2;
    half[cut].high = middle;
    cover(f, half, open, left);
    half[cut].low = middle;
    half[cut].high = at[cut].high;
    cover(f, half, open, left);
}

struct feasible feasible_set(struct arena *arena, struct prover *provers, uint32_t count, const struct unknowns *u,
                             uint32_t levels, struct shared_cells *shared)
{
    struct covering f = {.arena = arena, .provers = provers, .unknowns = u, .levels = levels, .shared = shared};
    uint32_t *active = ARENA_ARRAY(arena, count, uint32_t), left = 0;
    struct interval at[MOST_UNKNOWNS] = {{0, 0}};
    for (uint32_t i = 0; i < count; i++)
        if (prover_reads(&provers[i], u))
            active[left++] = i;
    memcpy(at, u->range, u->count * sizeof *at);
    cover(&f, at, active, left);
    for (uint32_t i = 0; i < count; i++)
        provers[i].shared = NULL;
    return f.out;
}
