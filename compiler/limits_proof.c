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
static struct text undecided_words(struct limits *m, const struct limit_result *r, const struct proof *proof)
{
    struct lowering *l = m->lowering;
    uint32_t quantity = l->node_quantity.at[proof->culprit];
    struct text where = quantity ? l->quantities.at[quantity].path : TEXT("a value it stands on");
    if (proof->culprit)
        return arena_format(l->arena, "inside the tolerances %.*s may have no value: %s", TEXT_ARGS(where),
                            undecided_reason(proof->fault));
    struct text boxes = arena_format(l->arena, "%u", proof->boxes);
    if (!isfinite(proof->least) || !isfinite(proof->attained))
        return arena_format(l->arena, "it could not be told within %.*s pieces of the tolerances", TEXT_ARGS(boxes));
    struct unit difference = unit_step(r->unit);
    return arena_format(l->arena, "in %.*s pieces of the tolerances its margin was narrowed to %.*s at worst",
                        TEXT_ARGS(boxes),
                        TEXT_ARGS(typeset_band(l->arena, proof->least, proof->attained, &difference, SPELL_ASCII)));
}

enum { GROUP = 16, CLAIM_NODES = 7 };

/* Limits proved together: a program of what they all rest on, and one pass of it over the whole box. Groups are small, so
 * that what is held there is few, and the cost grows with the recipe, not with its square. */
struct group {
    uint32_t count;
    uint32_t result[GROUP];
    struct claim claim[GROUP]; /* in the numbers of the group's program */
    struct cone cone;
    struct cone_marks marks; /* of that program */
    struct interval_gradient over;
};

static void prove_one(struct limits *m, struct group *g, uint32_t k, struct arena *scratch, const struct evaluation *e)
{
    struct limit_result *r = &m->results.at[g->result[k]];
    bool applied = r->verdict == VERDICT_HOLDS;
    struct prover p = prover_new(scratch, &g->cone.program, &g->marks, &g->claim[k]);
    p.shared = &g->over;
    struct proof proof = prove(&p, PROOF_BUDGET, PROOF_FINER);
    proof.culprit = g->cone.node[proof.culprit];
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
        r->why_not = undecided_words(m, r, &proof);
        break;
    }
    keep_worst(r, &p, &proof);
    if (proof.state == PROOF_BROKEN || proof.met)
        keep_combination(m, r, &p, e);
}

/* ---- over unknowns ----------------------------------------------------------------------------------------------- */

/* By node: whether an unknown goes into it. */
static const bool *reads_unknown(const struct program *p, const struct unknowns *u, struct arena *arena)
{
    bool *reads = ARENA_ARRAY(arena, p->nodes.count, bool);
    for (uint32_t i = 1; i < p->nodes.count; i++) {
        const struct node_code *n = &p->nodes.at[i];
        uint32_t room[MOST_ROOM], count;
        const uint32_t *read;
        count = program_operands(p, n, &read, room);
        for (uint32_t k = 0; k < count; k++)
            reads[i] = reads[i] || reads[read[k]];
        for (uint32_t k = 0; n->op == OP_INPUT && k < u->count; k++)
            reads[i] = reads[i] || n->a == u->input[k];
    }
    return reads;
}

static bool claim_reads(const struct claim *c, const bool *reads)
{
    return reads[c->when] || reads[c->truth] || reads[c->margin];
}

struct limit_provers limit_provers(struct limits *m, const struct unknowns *u, bool without_waived, struct arena *arena)
{
    const struct program *program = &m->lowering->program;
    const bool *reads = reads_unknown(program, u, arena);
    struct cone_marks marks = cone_marks_new(arena, program);
    struct limit_provers p = {.at = ARENA_ARRAY(arena, m->results.count, struct prover),
                              .result = ARENA_ARRAY(arena, m->results.count, uint32_t)};
    for (uint32_t i = 0; i < m->results.count; i++) {
        const struct limit_result *r = &m->results.at[i];
        if (!r->claim.truth || !claim_reads(&r->claim, reads) || (without_waived && is_waivable(m, r)))
            continue;
        p.at[p.count] = prover_new(arena, program, &marks, &r->claim);
        p.result[p.count++] = i;
    }
    return p;
}

/* ---- all --------------------------------------------------------------------------------------------------------- */

static bool is_to_prove(const struct limit_result *r)
{
    return r->claim.truth && (r->verdict == VERDICT_HOLDS || r->verdict == VERDICT_NOT_APPLICABLE);
}

static uint32_t *nodes_of_claim(struct claim *c, uint32_t *at)
{
    uint32_t nodes[CLAIM_NODES] = {c->when,        c->truth,       c->margin,     c->compared[0],
                                   c->compared[1], c->compared[2], c->compared[3]};
    memcpy(at, nodes, sizeof nodes);
    return at + CLAIM_NODES;
}

static struct claim claim_of_nodes(const uint32_t *at, bool strict)
{
    return (struct claim){at[0], at[1], at[2], strict, {at[3], at[4], at[5], at[6]}};
}

/* The next limits to be proved, from *next on. */
static bool take_group(struct limits *m, struct cone_marks *marks, struct arena *arena, uint32_t *next, struct group *g)
{
    uint32_t nodes[GROUP * CLAIM_NODES], *end = nodes;
    g->count = 0;
    for (; *next < m->results.count && g->count < GROUP; ++*next)
        if (is_to_prove(&m->results.at[*next])) {
            g->result[g->count++] = *next;
            end = nodes_of_claim(&m->results.at[*next].claim, end);
        }
    if (!g->count)
        return false;
    g->cone = cone_of(arena, &m->lowering->program, marks, nodes, (uint32_t)(end - nodes));
    for (uint32_t k = 0; k < g->count; k++)
        g->claim[k] = claim_of_nodes(nodes + (size_t)k * CLAIM_NODES, m->results.at[g->result[k]].claim.strict);
    g->marks = cone_marks_new(arena, &g->cone.program);
    g->over = interval_gradient_new(arena, &g->cone.program);
    evaluate_interval_gradient(&g->over, &g->cone.program, program_box(arena, &g->cone.program), NULL);
    return true;
}

void limits_prove(struct limits *m, const struct evaluation *e, struct arena *scratch)
{
    struct cone_marks marks = cone_marks_new(m->lowering->arena, &m->lowering->program);
    struct group g;
    for (uint32_t next = 0; take_group(m, &marks, scratch, &next, &g);) {
        for (uint32_t k = 0; k < g.count; k++)
            prove_one(m, &g, k, scratch, e);
        arena_clear(scratch);
    }
    arena_free(scratch);
}
