/* Limits over the tolerances: proof, worst case, and the combination that breaks. */
#include "compiler/limits.h"

#include <math.h>

/* ---- one limit --------------------------------------------------------------------------------------------------- */

static double at_worst(const struct prover *p, uint32_t node)
{
    return node && !p->at.culprit[node] ? p->at.value[node] : NAN;
}

/* The values where the margin was met at its least; the pairs of the claim are greater, smaller. */
static void keep_worst(struct limit_result *r, struct prover *p, const struct proof *proof)
{
    const uint32_t *compared = p->claim.compared;
    bool lower = r->bound == BOUND_AT_LEAST || r->bound == BOUND_WITHIN;
    r->worst.least = proof->state == PROOF_BROKEN ? proof->attained : proof->least;
    if (proof->state == PROOF_HOLDS && r->worst.least < 0)
        r->worst.least = 0; /* by rounding alone */
    if (isnan(proof->attained) || !compared[0])
        return;
    evaluate_again(&p->at, &p->cone.program, p->worst, NULL);
    r->worst.value_si = at_worst(p, compared[lower ? 0 : 1]);
    r->worst.low_si = lower ? at_worst(p, compared[1]) : NAN;
    uint32_t high = r->bound == BOUND_AT_MOST ? compared[0] : r->bound == BOUND_WITHIN ? compared[2] : 0;
    r->worst.high_si = at_worst(p, high);
    double way = fabs(margin_si(r) - proof->attained);
    r->worst.at_least =
        proof->state != PROOF_BROKEN && proof->attained - proof->least > 0.02 * way + 1e-6 * fabs(proof->attained);
}

enum proof_state prove_result(struct limit_result *r, struct prover *p, uint32_t budget, uint32_t finer)
{
    struct proof proof = prove(p, budget, finer);
    keep_worst(r, p, &proof);
    return proof.state;
}

void look_at_worst(struct limit_result *r, struct prover *p)
{
    double met = least_met(p);
    keep_worst(r, p, &(struct proof){.state = PROOF_BROKEN, .least = met, .attained = met});
}

/* Of a value and what it may be off by, only the second is an input: the quantity's own value is told. */
static void add_broken(struct limits *m, const struct evaluation *e, const struct input *in, double at)
{
    const struct quantity *q = &m->lowering->quantities.at[in->quantity];
    bool whole = in->figure || q->value.tag != LOW_NODE || e->culprit[q->value.id];
    double si = whole ? at : e->value[q->value.id] + (at - in->nominal);
    *ARRAY_PUSH(m->lowering->arena, &m->broken) = (struct broken_input){*in, si};
}

static void keep_combination(struct limits *m, struct limit_result *r, struct prover *p, const struct evaluation *e)
{
    const struct program *program = &p->cone.program;
    simplify(p);
    r->worst.broken_first = m->broken.count;
    for (uint32_t i = 0; i < program->inputs.count; i++)
        if (program->inputs.at[i].held && p->worst[i] != program->inputs.at[i].nominal)
            add_broken(m, e, &program->inputs.at[i], p->worst[i]);
    r->worst.broken_count = m->broken.count - r->worst.broken_first;
}

/* Why it stayed open, as the end of "not decided: ...". */
static struct text undecided_words(struct limits *m, const struct prover *p, const struct proof *proof)
{
    struct lowering *l = m->lowering;
    if (!proof->culprit)
        return arena_format(l->arena, "it could not be told within %u pieces of the tolerances", proof->boxes);
    uint32_t quantity = l->node_quantity.at[proof->culprit];
    struct text where = quantity ? l->quantities.at[quantity].path : TEXT("a value it stands on");
    (void)p;
    return arena_format(l->arena, "inside the tolerances %.*s may have no value: %s", TEXT_ARGS(where),
                        undecided_reason(proof->fault));
}

struct proving { /* what is used for one limit after another */
    struct cone_marks marks;
    struct interval_gradient *over; /* the whole box, or NULL */
    struct arena *scratch;
};

static void prove_one(struct limits *m, struct limit_result *r, struct proving *with, const struct evaluation *e)
{
    bool applied = r->verdict == VERDICT_HOLDS;
    struct prover p = prover_new(with->scratch, &m->lowering->program, &with->marks, &r->claim);
    p.shared = with->over;
    struct proof proof = prove(&p, PROOF_BUDGET, PROOF_FINER);
    switch (proof.state) {
    case PROOF_HOLDS:
    case PROOF_IDLE:
        r->verdict = applied ? VERDICT_PROVED : VERDICT_NOT_APPLICABLE;
        break;
    case PROOF_BROKEN:
        r->verdict = VERDICT_NOMINAL_ONLY;
        break;
    case PROOF_OPEN:
        r->verdict = VERDICT_NOT_DECIDED;
        r->why_not = undecided_words(m, &p, &proof);
        break;
    }
    keep_worst(r, &p, &proof);
    if (proof.state == PROOF_BROKEN || proof.met)
        keep_combination(m, r, &p, e);
}

/* ---- over unknowns ----------------------------------------------------------------------------------------------- */

struct limit_provers limit_provers(struct limits *m, const struct unknowns *u, bool without_waived, struct arena *arena)
{
    const struct program *program = &m->lowering->program;
    struct cone_marks marks = cone_marks_new(arena, program);
    struct limit_provers p = {.at = ARENA_ARRAY(arena, m->results.count, struct prover),
                              .result = ARENA_ARRAY(arena, m->results.count, uint32_t)};
    for (uint32_t i = 0; i < m->results.count; i++) {
        const struct limit_result *r = &m->results.at[i];
        if (!r->claim.truth || (without_waived && is_waivable(m, r)))
            continue;
        p.at[p.count] = prover_new(arena, program, &marks, &r->claim);
        p.result[p.count] = i;
        p.count += prover_reads(&p.at[p.count], u);
    }
    return p;
}

/* ---- all --------------------------------------------------------------------------------------------------------- */

static bool is_to_prove(const struct limit_result *r)
{
    return r->claim.truth && (r->verdict == VERDICT_HOLDS || r->verdict == VERDICT_NOT_APPLICABLE);
}

/* All that claims rest on, over the whole box, once for all of them. */
static struct interval_gradient *pass_over_box(struct limits *m)
{
    struct arena *a = m->lowering->arena;
    const struct program *p = &m->lowering->program;
    struct interval_gradient *over = shared_pass_new(a, p);
    if (!over)
        return NULL;
    bool *wanted = ARENA_ARRAY(a, p->nodes.count, bool);
    for (uint32_t i = 0; i < m->results.count; i++)
        if (is_to_prove(&m->results.at[i]))
            mark_claim(&m->results.at[i].claim, wanted);
    program_needs_of_marked(p, wanted);
    evaluate_interval_gradient(over, p, program_box(a, p), wanted);
    return over;
}

void limits_prove(struct limits *m, const struct evaluation *e, struct arena *scratch)
{
    struct proving with = {.marks = cone_marks_new(m->lowering->arena, &m->lowering->program),
                           .over = pass_over_box(m),
                           .scratch = scratch};
    for (uint32_t i = 0; i < m->results.count; i++) {
        if (!is_to_prove(&m->results.at[i]))
            continue;
        prove_one(m, &m->results.at[i], &with, e);
        arena_free(scratch);
    }
}
