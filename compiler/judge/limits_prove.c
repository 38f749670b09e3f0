/* All limits over the tolerances: the verdict of each, its worst case, and the combination that breaks it. */
#include "compiler/judge/parts.h"

#include <math.h>

/* The input of a value with a band is its deviation; the message gives the quantity's own value. */
static void add_broken(struct limits *m, const struct evaluation *e, const struct input *in, double worst)
{
    const struct quantity *q = &m->lowering->quantities.at[in->quantity];
    bool whole = in->figure || q->value.tag != LOW_NODE || e->culprit[q->value.id];
    double si = whole ? worst : e->value[q->value.id] + (worst - in->nominal);
    *ARRAY_PUSH(m->lowering->arena, &m->broken) = (struct broken_input){*in, si};
}

/* The inputs that break the limit, of those held the ones that are not at their stated value. */
void keep_combination(struct limits *m, const struct evaluation *e, struct limit_result *r, struct prover *p)
{
    const struct program *program = &p->cone.program;
    prover_simplify(p);
    r->worst.broken_first = m->broken.count;
    for (uint32_t i = 0; i < program->inputs.count; i++)
        if (program->inputs.at[i].held && p->worst[i] != program->inputs.at[i].nominal)
            add_broken(m, e, &program->inputs.at[i], p->worst[i]);
    r->worst.broken_count = m->broken.count - r->worst.broken_first;
}

/* Why it stayed open. */
static struct reason undecided_reason(const struct lowering *l, const struct limit_result *r, const struct proof *proof)
{
    static const enum reason_kind doubts[] = {[EVAL_DIVIDE_BY_ZERO] = REASON_may_divide_by_zero,
                                              [EVAL_NEGATIVE_ROOT] = REASON_may_be_negative_root,
                                              [EVAL_NOT_POSITIVE] = REASON_may_not_be_positive,
                                              [EVAL_BELOW_RANGE] = REASON_may_be_below,
                                              [EVAL_ABOVE_RANGE] = REASON_may_be_above,
                                              [EVAL_NEVER_REACHED] = REASON_may_never_be_reached,
                                              [EVAL_LEFT_OPEN] = REASON_left_open,
                                              [EVAL_OVERFLOW] = REASON_may_be_too_large,
                                              [EVAL_BAD_ARGUMENT] = REASON_may_be_bad_argument};
    uint32_t quantity = l->node_quantity.at[proof->culprit];
    struct text where = quantity ? l->quantities.at[quantity].path : TEXT("a value it stands on");
    if (proof->culprit)
        return (struct reason){.kind = REASON_may_lack, .name = where, .inner = doubts[proof->fault]};
    if (!isfinite(proof->least) || !isfinite(proof->attained))
        return (struct reason){.kind = REASON_gave_up, .count = proof->boxes};
    return (struct reason){.kind = REASON_gave_up_at,
                           .count = proof->boxes,
                           .low = proof->least,
                           .high = proof->attained,
                           .unit = unit_of_difference(r->unit)};
}

static void set_verdict(struct limits *m, struct limit_result *r, const struct proof *proof)
{
    switch (proof->state) {
    case PROOF_HOLDS:
    case PROOF_IDLE:
        r->verdict = r->verdict == VERDICT_HOLDS ? VERDICT_PROVED : VERDICT_NOT_APPLICABLE;
        break;
    case PROOF_BROKEN:
        r->verdict = VERDICT_NOMINAL_ONLY;
        break;
    case PROOF_OPEN:
        r->verdict = VERDICT_NOT_DECIDED;
        r->why_not = reason_new(m->lowering->arena, undecided_reason(m->lowering, r, proof));
        break;
    }
}

static bool is_to_prove(const struct limit_result *r)
{
    return r->claim.truth && (r->verdict == VERDICT_HOLDS || r->verdict == VERDICT_NOT_APPLICABLE);
}

/* Whether the intervals over a box alone say that a claim holds in all of it, or applies nowhere in it. */
static bool claim_holds_plainly(const struct interval_evaluation *e, const struct claim *c)
{
    if (c->when && e->culprit[c->when])
        return false;
    if (c->when && interval_truth(e->value[c->when]) == TRUTH_FALSE)
        return true;
    return !e->culprit[c->truth] && interval_truth(e->value[c->truth]) == TRUTH_TRUE;
}

/* Proves what the intervals of the whole program settle: most limits, and no worst case of any. */
static void prove_plainly(struct limits *m, bool *settled, struct arena *scratch)
{
    const struct program *program = &m->lowering->program;
    struct interval_evaluation over = interval_evaluation_new(scratch, program);
    evaluate_interval(&over, program, interval_inputs(scratch, program), NULL);
    for (uint32_t i = 0; i < m->results.count; i++) {
        struct limit_result *r = &m->results.at[i];
        settled[i] = is_to_prove(r) && claim_holds_plainly(&over, &r->claim);
        if (settled[i])
            set_verdict(m, r, &(struct proof){.state = PROOF_HOLDS});
    }
    arena_clear(scratch);
}

static void prove_limit(struct limits *m, const struct evaluation *e, struct limit_result *r, struct prover *p,
                        bool margins)
{
    struct proof proof = prover_prove(p, prover_budget(p), margins ? PROOF_FINER : 0);
    keep_worst(r, p, &proof);
    set_verdict(m, r, &proof);
    if (proof.state == PROOF_BROKEN || proof.met)
        keep_combination(m, e, r, p);
}

void limits_prove(struct limits *m, const struct evaluation *e, bool margins, struct arena *scratch)
{
    const struct program *program = &m->lowering->program;
    struct cone_marks marks = cone_marks_new(m->lowering->arena, program);
    bool *settled = ARENA_ARRAY(m->lowering->arena, m->results.count, bool);
    if (!margins)
        prove_plainly(m, settled, scratch);
    for (uint32_t i = 0; i < m->results.count; i++) {
        struct limit_result *r = &m->results.at[i];
        if (settled[i] || !is_to_prove(r))
            continue;
        struct prover p = prover_new(scratch, program, &marks, &r->claim);
        prove_limit(m, e, r, &p, margins);
        arena_clear(scratch);
    }
    arena_free(scratch);
}
