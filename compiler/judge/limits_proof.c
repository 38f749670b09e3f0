/* One limit over the tolerances: proof and worst case; and the provers of those that an unknown goes into. */
#include "compiler/judge/parts.h"

#include <math.h>

/* ---- one limit --------------------------------------------------------------------------------------------------- */

static double at_worst(const struct prover *p, uint32_t node)
{
    return node && !p->at.culprit[node] ? p->at.value[node] : NAN;
}

/* The values where the margin was met at its least; the pairs of the claim are greater, smaller. */
void keep_worst(struct limit_result *r, struct prover *p, const struct proof *proof)
{
    const uint32_t *compared = p->claim.compared;
    bool lower = r->bound == BOUND_AT_LEAST || r->bound == BOUND_WITHIN;
    r->worst.least = proof->state == PROOF_BROKEN ? proof->attained : proof->least;
    if (proof->state == PROOF_HOLDS && r->worst.least < 0)
        r->worst.least = 0; /* by rounding alone */
    if (isnan(proof->attained) || !compared[0])
        return;
    prover_at_point(p, p->worst);
    r->worst.value_si = at_worst(p, compared[lower ? 0 : 1]);
    r->worst.low_si = lower ? at_worst(p, compared[1]) : NAN;
    uint32_t high = r->bound == BOUND_AT_MOST ? compared[0] : r->bound == BOUND_WITHIN ? compared[2] : 0;
    r->worst.high_si = at_worst(p, high);
    double way = fabs(margin_si(r) - proof->attained);
    r->worst.at_least =
        proof->state == PROOF_OPEN ||
        (proof->state != PROOF_BROKEN && proof->attained - proof->least > 0.02 * way + 1e-6 * fabs(proof->attained));
}

enum proof_state prove_result(struct limit_result *r, struct prover *p, uint32_t budget, uint32_t finer)
{
    struct proof proof = prover_prove(p, budget, finer);
    keep_worst(r, p, &proof);
    return proof.state;
}

void look_at_worst(struct limit_result *r, struct prover *p)
{
    double met = prover_least_met(p);
    keep_worst(r, p, &(struct proof){.state = PROOF_BROKEN, .least = met, .attained = met});
}

/* ---- over unknowns ----------------------------------------------------------------------------------------------- */

struct limit_provers limit_provers(struct limits *m, const struct program *program, const struct unknowns *u,
                                   bool without_waived, struct arena *arena)
{
    const bool *reading = program_reading(arena, program, u->input, u->count);
    struct cone_marks marks = cone_marks_new(arena, program);
    struct limit_provers p = {.at = ARENA_ARRAY(arena, m->results.count, struct prover),
                              .result = ARENA_ARRAY(arena, m->results.count, uint32_t)};
    for (uint32_t i = 0; i < m->results.count; i++) {
        const struct limit_result *r = &m->results.at[i];
        if (!r->claim.truth || !claim_reads(&r->claim, reading) || (without_waived && is_waivable(m, r)))
            continue;
        p.at[p.count] = prover_new(arena, program, &marks, &r->claim);
        p.result[p.count++] = i;
    }
    return p;
}
