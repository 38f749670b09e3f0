/* Limits over the tolerances: proof, worst case, and the combination that breaks. */
#include "compiler/limits.h"
#include "runtime/base/buffer.h"

#include <math.h>

enum { MOST_BROKEN = 6 }; /* inputs named in a message; the step table has all */

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

static void keep_combination(struct limits *m, struct limit_result *r, struct prover *p)
{
    const struct program *program = &p->cone.program;
    simplify(p);
    r->worst.broken_first = m->broken.count;
    for (uint32_t i = 0; i < program->inputs.count; i++)
        if (program->inputs.at[i].held && p->worst[i] != program->inputs.at[i].nominal)
            *ARRAY_PUSH(m->lowering->arena, &m->broken) =
                (struct broken_input){program->inputs.at[i].quantity, p->worst[i]};
    r->worst.broken_count = m->broken.count - r->worst.broken_first;
}

/* Why it stayed open, as the end of "not decided: ...". */
static struct text open_words(struct limits *m, const struct prover *p, const struct proof *proof)
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

static void prove_one(struct limits *m, struct limit_result *r, struct cone_marks *marks, struct arena *scratch)
{
    bool applied = r->verdict == VERDICT_HOLDS;
    struct prover p = prover_new(scratch, &m->lowering->program, marks, &r->claim);
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
        r->why_not = open_words(m, &p, &proof);
        break;
    }
    keep_worst(r, &p, &proof);
    if (proof.state == PROOF_BROKEN || proof.met)
        keep_combination(m, r, &p);
}

/* ---- messages ---------------------------------------------------------------------------------------------------- */

static struct text input_words(struct lowering *l, const struct broken_input *b)
{
    const struct quantity *q = &l->quantities.at[b->quantity];
    return arena_format(l->arena, "%.*s = %.*s", TEXT_ARGS(q->path),
                        TEXT_ARGS(typeset_quantity(l->arena, b->si, &q->unit, SPELL_ASCII)));
}

/* "die.temperature = 196 degC and blank.contact = 1260 W/(m^2*K)" */
static struct text combination_words(struct limits *m, const struct limit_result *r)
{
    struct buffer b;
    uint32_t count = r->worst.broken_count, shown = count > MOST_BROKEN ? MOST_BROKEN : count;
    buffer_init(&b, m->lowering->arena);
    for (uint32_t i = 0; i < shown; i++) {
        buffer_put(&b, i == 0 ? TEXT("") : i + 1 == count ? TEXT(" and ") : TEXT(", "));
        buffer_put(&b, input_words(m->lowering, &m->broken.at[r->worst.broken_first + i]));
    }
    if (shown < count)
        buffer_put(&b, arena_format(m->lowering->arena, " and %u more", count - shown));
    return buffer_text(&b);
}

static void label_inputs(struct limits *m, struct diagnostic *d, const struct limit_result *r)
{
    struct lowering *l = m->lowering;
    for (uint32_t i = 0; i < r->worst.broken_count && i < MOST_BROKEN; i++) {
        const struct quantity *q = &l->quantities.at[m->broken.at[r->worst.broken_first + i].quantity];
        if (q->site.file >= l->scope->first_file)
            report_label(l->scope->diagnostics, d, site_span(l->scope, q->site), "its tolerance counts here");
    }
}

static void report_nominal_only(struct limits *m, const struct limit_result *r, bool released)
{
    struct lowering *l = m->lowering;
    struct arena *a = l->arena;
    struct limit_result at = *r;
    at.value_si = r->worst.value_si;
    at.low_si = r->worst.low_si;
    at.high_si = r->worst.high_si;
    struct text words = rule_words(l, r->rule, r->subject), combination = combination_words(m, r);
    struct text value = isnan(at.value_si) ? TEXT("") : typeset_quantity(a, at.value_si, &r->unit, SPELL_ASCII);
    struct text bound = bound_words(l, &at, SPELL_ASCII);
    struct diagnostic *d = report(
        l->scope->diagnostics, released ? FAULT_released_open : FAULT_limit_nominal_only, place_of_result(l, r),
        "%.*s holds at the stated values, but not over the tolerances: at worst%s%.*s%s%.*s", TEXT_ARGS(words),
        value.len ? " it is " : " it does not", TEXT_ARGS(value), value.len ? ", and must be " : "", TEXT_ARGS(bound));
    if (combination.len)
        report_here(l->scope->diagnostics, d, "broken with %.*s", TEXT_ARGS(combination));
    label_inputs(m, d, r);
    struct text remedy = note_text(l, rule_at(l->scope, r->rule)->site, TOKEN_REMEDY);
    report_help(l->scope->diagnostics, d, "hold these tighter, or gain margin%s%.*s", remedy.len ? ": " : "",
                TEXT_ARGS(remedy));
}

static void report_undecided(struct limits *m, const struct limit_result *r, bool released)
{
    struct lowering *l = m->lowering;
    struct diagnostics *g = l->scope->diagnostics;
    struct text combination = combination_words(m, r);
    struct diagnostic *d = report(g, released ? FAULT_released_open : FAULT_limit_not_decided, place_of_result(l, r),
                                  "%.*s holds at the stated values; over the tolerances it is not decided: %.*s",
                                  TEXT_ARGS(rule_words(l, r->rule, r->subject)), TEXT_ARGS(r->why_not));
    if (combination.len)
        report_here(g, d, "so with %.*s", TEXT_ARGS(combination));
    label_inputs(m, d, r);
    report_help(g, d, "hold what it depends on tighter, so that everything it stands on has a value throughout");
}

/* ---- all --------------------------------------------------------------------------------------------------------- */

void limits_prove(struct limits *m, const struct evaluation *e, struct arena *scratch, bool released)
{
    struct cone_marks marks = cone_marks_new(m->lowering->arena, &m->lowering->program);
    (void)e;
    for (uint32_t i = 0; i < m->results.count; i++) {
        struct limit_result *r = &m->results.at[i];
        if (!r->claim.truth || (r->verdict != VERDICT_HOLDS && r->verdict != VERDICT_NOT_APPLICABLE))
            continue;
        prove_one(m, r, &marks, scratch);
        arena_free(scratch);
        if (r->verdict == VERDICT_NOMINAL_ONLY)
            report_nominal_only(m, r, released);
        else if (r->verdict == VERDICT_NOT_DECIDED)
            report_undecided(m, r, released);
    }
}
