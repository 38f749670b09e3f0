#include "compiler/judge/parts.h"
#include "runtime/compare.h"

#include <math.h>

/* ---- small readers ------------------------------------------------------------------------------------------------------ */

struct text note_text(const struct lowering *l, struct site site, enum token_kind kind)
{
    if (!site.file)
        return TEXT("");
    const struct tree *t = file_at(l->scope, site.file)->tree;
    uint32_t note = node_note(t, site.node, kind);
    return note ? text_piece(l->arena, t, node_child(t, note), 0) : TEXT("");
}

struct text rule_words(const struct lowering *l, uint32_t rule, uint32_t subject)
{
    const struct rule *r = rule_at(l->scope, rule);
    struct text name = r->name ? atom_text(&l->scope->names, r->name) : TEXT("this requirement");
    if (!subject)
        return name;
    return arena_format(l->arena, "%.*s of %.*s", TEXT_ARGS(name), TEXT_ARGS(definition_words(l->scope, subject)));
}

/* ---- beginning ---------------------------------------------------------------------------------------------------------- */

static struct limit_result result_of(const struct lowered_limit *l)
{
    return (struct limit_result){.rule = l->rule,
                                 .subject = l->subject,
                                 .bound = l->bound,
                                 .when = l->when,
                                 .value = l->value,
                                 .low = l->low,
                                 .high = l->high,
                                 .condition = l->condition,
                                 .measured = l->measured,
                                 .against = l->against,
                                 .unit = l->unit,
                                 .claim = l->claim,
                                 .value_si = NAN,
                                 .low_si = NAN,
                                 .high_si = NAN,
                                 .worst = {.value_si = NAN, .low_si = NAN, .high_si = NAN, .least = NAN}};
}

void limits_begin(struct limits *m, const struct lowering *l)
{
    *m = (struct limits){.lowering = l};
    for (uint32_t i = 0; i < l->limits.count; i++)
        *ARRAY_PUSH(l->arena, &m->results) = result_of(&l->limits.at[i]);
}

/* ---- judging ------------------------------------------------------------------------------------------------------------- */

double value_of(const struct evaluation *e, struct low low)
{
    return low.tag == LOW_TRUTH ? low.truth : low.tag == LOW_NODE ? e->value[low.id] : NAN;
}

const struct reason *why_no_value(const struct lowering *l, const struct evaluation *e, struct low low)
{
    static const struct reason function = {.kind = REASON_function};
    if (low.tag == LOW_MISSING)
        return low.why;
    if (low.tag == LOW_FUNCTION)
        return &function;
    return low.tag == LOW_NODE && e->culprit[low.id] ? culprit_reason(l, e, e->culprit[low.id]) : NULL;
}

static bool holds(const struct limit_result *r)
{
    return (isnan(r->low_si) || !less_value(r->value_si, r->low_si)) &&
           (isnan(r->high_si) || !less_value(r->high_si, r->value_si));
}

/* A fault that was reported says itself why. */
static bool not_evaluated(struct limit_result *r, const struct reason *why)
{
    r->verdict = VERDICT_NOT_EVALUATED;
    r->why_not = why && why->kind != REASON_fault ? why : NULL;
    return false;
}

/* False, and the result is not evaluated, when the part has no value. */
static bool read_part(const struct limits *m, const struct evaluation *e, struct limit_result *r, struct low part,
                      double *si)
{
    *si = value_of(e, part);
    return !isnan(*si) || not_evaluated(r, why_no_value(m->lowering, e, part));
}

static bool read_parts(const struct limits *m, const struct evaluation *e, struct limit_result *r)
{
    struct {
        struct low low;
        double *si;
        bool wanted;
    } parts[] = {{r->value, &r->value_si, r->bound != BOUND_CONDITION},
                 {r->low, &r->low_si, r->bound == BOUND_AT_LEAST || r->bound == BOUND_WITHIN},
                 {r->high, &r->high_si, r->bound == BOUND_AT_MOST || r->bound == BOUND_WITHIN}};
    struct low missing = r->when; /* which is not */
    for (int i = 0; i < 3; i++)
        if (parts[i].wanted)
            missing = low_both_missing(m->lowering->arena, missing, parts[i].low);
    if (missing.tag == LOW_MISSING)
        return not_evaluated(r, missing.why);
    for (int i = 0; i < 3; i++)
        if (parts[i].wanted && !read_part(m, e, r, parts[i].low, parts[i].si))
            return false;
    return true;
}

static void judge(const struct limits *m, const struct evaluation *e, struct limit_result *r)
{
    double when, condition = 0;
    bool conditional = rule_at(m->lowering->scope, r->rule)->what == NODE_REQUIRE;
    if (!read_part(m, e, r, r->when, &when))
        return;
    if (when == 0) {
        r->verdict = VERDICT_NOT_APPLICABLE;
        return;
    }
    if (!read_parts(m, e, r) || (conditional && !read_part(m, e, r, r->condition, &condition)))
        return;
    r->verdict = (conditional ? condition != 0 : holds(r)) ? VERDICT_HOLDS : VERDICT_FAILS;
}

/* What differs by rounding alone has nothing between. */
static double distance(double greater, double smaller)
{
    return same_value(greater, smaller) ? 0 : greater - smaller;
}

double margin_si(const struct limit_result *r)
{
    double below = distance(r->value_si, r->low_si), above = distance(r->high_si, r->value_si);
    return r->bound == BOUND_AT_LEAST ? below : r->bound == BOUND_AT_MOST ? above : fmin(below, above);
}

/* What a margin is a share of: the bound, half the band of a range. Points have no share. */
static double share_of(const struct limit_result *r, double low, double high)
{
    double whole = r->bound == BOUND_WITHIN ? (high - low) / 2 : r->bound == BOUND_AT_LEAST ? fabs(low) : fabs(high);
    return (r->bound != BOUND_WITHIN && r->unit.point) || !(whole > 0) ? NAN : whole;
}

double margin_of(const struct limit_result *r)
{
    return margin_si(r) / share_of(r, r->low_si, r->high_si);
}

double worst_margin_of(const struct limit_result *r)
{
    return r->worst.least / share_of(r, r->worst.low_si, r->worst.high_si);
}

double limit_tightness(const struct limit_result *r)
{
    double least = isnan(r->worst.least) ? margin_si(r) : r->worst.least;
    double share = isnan(r->worst.least) ? margin_of(r) : worst_margin_of(r);
    if (isnan(share))
        share = r->unit.point ? least / 100 : least / fabs(isnan(r->worst.value_si) ? r->value_si : r->worst.value_si);
    return isnan(share) ? HUGE_VAL : share;
}

static void limits_judge(struct limits *m, const struct evaluation *e)
{
    for (uint32_t i = 0; i < m->results.count; i++)
        judge(m, e, &m->results.at[i]);
}

/* ---- deciding ------------------------------------------------------------------------------------------------------------ */

void limits_decide(struct limits *m, const struct evaluation *e, const struct deciding *how)
{
    limits_judge(m, e);
    if (how->proving)
        limits_prove(m, e, how->margins, how->scratch);
    limits_waive(m, how->today_from);
    limits_report_evaluation(m, e);
    limits_report(m, how->released);
    limits_report_taken(m, e);
}
