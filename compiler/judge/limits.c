#include "compiler/judge/limits.h"
#include "runtime/compare.h"

#include <math.h>

/* ---- small readers ------------------------------------------------------------------------------------------------------ */

uint32_t rule_line(const struct tree *t, uint32_t rule, const char *name)
{
    NODE_EACH_CHILD (t, rule, n)
        if (node_kind(t, n) == NODE_PROPERTY && text_is(node_text(t, node_child(t, n)), name))
            return node_value(t, n);
    return 0;
}

struct text note_text(struct lowering *l, struct site site, enum token_kind kind)
{
    if (!site.file)
        return TEXT("");
    const struct tree *t = file_at(l->scope, site.file)->tree;
    uint32_t note = node_note(t, site.node, kind);
    return note ? text_piece(l->arena, t, node_child(t, note), 0) : TEXT("");
}

struct text rule_words(struct lowering *l, uint32_t rule, uint32_t subject)
{
    const struct rule *r = rule_at(l->scope, rule);
    struct text name = r->name ? atom_text(&l->scope->names, r->name) : TEXT("this requirement");
    if (!subject)
        return name;
    return arena_format(l->arena, "%.*s of %.*s", TEXT_ARGS(name), TEXT_ARGS(definition_words(l->scope, subject)));
}

/* ---- lowering ------------------------------------------------------------------------------------------------------------ */

static struct frame frame_of_rule(struct lowering *l, const struct rule *r, uint32_t subject)
{
    struct frame f = frame_at(l, r->site);
    if (r->each)
        f.locals[f.count++] = (struct low){.tag = LOW_DEFINITION, .id = subject};
    return f;
}

static struct low lower_line(struct frame *f, uint32_t node)
{
    return node ? as_node(f->lowering, lower_expression(f, node)) : low_missing(TEXT(""), true);
}

static struct unit unit_of_value(struct lowering *l, const struct rule *r, uint32_t node, struct low value)
{
    if (value.quantity && l->quantities.at[value.quantity].shown_as_quantity)
        return l->quantities.at[value.quantity].unit;
    struct env e = {.scope = l->scope, .file = file_at(l->scope, r->site.file)};
    if (r->each)
        e.locals[e.count++] = (struct local){r->variable, {.tag = TYPE_REFERENCE, .kind = r->each}};
    struct type type = type_of(&e, node);
    return unit_default(l->arena, type.dim, type.point);
}

static void lower_limit(struct limits *m, struct frame *f, const struct rule *r, struct limit_result *out)
{
    const struct tree *t = f->file->tree;
    uint32_t node = r->site.node, at_least = rule_line(t, node, "at-least"), at_most = rule_line(t, node, "at-most");
    uint32_t within = rule_line(t, node, "within"), when = rule_line(t, node, "when"),
             value = rule_line(t, node, "value");
    struct low none = low_missing(TEXT(""), true);
    out->when = when ? lower_expression(f, when) : low_truth(true);
    out->value = out->low = out->high = none;
    out->bound = at_least ? BOUND_AT_LEAST : at_most ? BOUND_AT_MOST : BOUND_WITHIN;
    if (out->when.tag == LOW_TRUTH && !out->when.truth)
        return; /* nothing else is looked at */
    out->value = lower_line(f, value);
    if (value)
        out->unit = unit_of_value(m->lowering, r, value, out->value);
    out->measured = out->value.quantity;
    out->value.quantity = 0;
    if (at_least)
        out->low = lower_line(f, at_least);
    else if (at_most)
        out->high = lower_line(f, at_most);
    else if (within && node_kind(t, within) == NODE_RANGE) {
        out->low = lower_line(f, node_child(t, within));
        out->high = lower_line(f, node_next(t, node_child(t, within)));
    }
    out->against = at_least ? out->low.quantity : at_most ? out->high.quantity : 0;
}

/* A requirement that compares two quantities shows both. */
static void lower_require(struct limits *m, struct frame *f, const struct rule *r, struct limit_result *out)
{
    const struct tree *t = f->file->tree;
    uint32_t condition = node_child(t, r->site.node);
    out->when = low_truth(true);
    out->value = out->low = out->high = low_missing(TEXT(""), true);
    out->bound = BOUND_CONDITION;
    out->condition = condition ? as_node(m->lowering, lower_expression(f, condition)) : out->value;
    uint16_t op = condition && node_kind(t, condition) == NODE_BINARY ? node_at(t, condition)->op : 0;
    if (op < TOKEN_LESS || op > TOKEN_GREATER_EQUAL || out->condition.tag != LOW_NODE)
        return;
    uint32_t left = node_child(t, condition), right = node_next(t, left);
    struct low a = lower_expression(f, left), b = lower_expression(f, right);
    if (a.tag != LOW_NODE || b.tag != LOW_NODE)
        return;
    out->unit = unit_of_value(m->lowering, r, left, a);
    out->value = a;
    bool at_most = op == TOKEN_LESS || op == TOKEN_LESS_EQUAL;
    *(at_most ? &out->high : &out->low) = b;
    out->measured = a.quantity;
    out->against = b.quantity;
    out->bound = at_most ? BOUND_AT_MOST : BOUND_AT_LEAST;
}

/* value - low, high - value or the smaller of both, as nodes: what a proof is about. */
static void claim_bounds(struct lowering *l, struct limit_result *r)
{
    uint32_t value = r->value.id, low = r->low.tag == LOW_NODE ? r->low.id : 0,
             high = r->high.tag == LOW_NODE ? r->high.id : 0, truth[2], margin[2], count = 0;
    for (int side = 0; side < 2; side++) {
        uint32_t greater = side ? high : value, smaller = side ? value : low;
        if (!(side ? high : low))
            continue;
        uint32_t *pair = r->claim.compared + (count ? 2 : 0);
        pair[0] = greater;
        pair[1] = smaller;
        truth[count] = emit(l, OP_LESS_EQUAL, smaller, greater, 0, 0);
        margin[count++] = emit(l, OP_SUBTRACT, greater, smaller, 0, 0);
    }
    if (!count)
        return;
    r->claim.truth = count == 2 ? emit(l, OP_AND, truth[0], truth[1], 0, 0) : truth[0];
    r->claim.margin = count == 2 ? emit_call(l, FUNCTION_min, margin, 2, 0) : margin[0];
}

static void make_claim(struct lowering *l, struct limit_result *r)
{
    l->current = 0;
    if (r->when.tag != LOW_NODE && !(r->when.tag == LOW_TRUTH && r->when.truth))
        return;
    if (r->value.tag == LOW_NODE && r->bound != BOUND_CONDITION)
        claim_bounds(l, r);
    if (r->condition.tag == LOW_NODE) {
        r->claim.truth = r->condition.id;
        /* "below" has no equality to forgive. */
        r->claim.strict = l->program.nodes.at[r->condition.id].op == OP_LESS;
    }
    r->claim.when = r->when.tag == LOW_NODE ? r->when.id : 0;
}

static void lower_one(struct limits *m, uint32_t rule, uint32_t subject)
{
    struct lowering *l = m->lowering;
    const struct rule *r = rule_at(l->scope, rule);
    struct frame f = frame_of_rule(l, r, subject);
    if (r->what == NODE_CAUTION) {
        uint32_t when = rule_line(f.file->tree, r->site.node, "when");
        struct low condition = when ? lower_expression(&f, when) : low_truth(true);
        *ARRAY_PUSH(l->arena, &m->cautions) = (struct caution_result){rule, subject, condition};
        return;
    }
    struct limit_result out = {.rule = rule, .subject = subject, .condition = low_missing(TEXT(""), true)};
    out.value_si = out.low_si = out.high_si = NAN;
    out.worst = (struct worst_case){.value_si = NAN, .low_si = NAN, .high_si = NAN, .least = NAN};
    if (r->what == NODE_LIMIT)
        lower_limit(m, &f, r, &out);
    else
        lower_require(m, &f, r, &out);
    make_claim(l, &out);
    *ARRAY_PUSH(l->arena, &m->results) = out;
}

void limits_lower(struct limits *m, struct lowering *l)
{
    *m = (struct limits){.lowering = l};
    struct scope *s = l->scope;
    for (uint32_t rule = 1; rule < rule_end(s); rule++) {
        enum kind each = rule_at(s, rule)->each;
        if (!each)
            lower_one(m, rule, 0);
        for (uint32_t id = s->first_definition; each && id < definition_end(s); id++)
            if (kind_is(definition_at(s, id)->kind, each))
                lower_one(m, rule, id);
    }
}

/* ---- judging ------------------------------------------------------------------------------------------------------------- */

double value_of(struct lowering *l, const struct evaluation *e, struct low low, struct text *why, bool *quiet)
{
    *why = TEXT("");
    *quiet = false;
    if (low.tag == LOW_TRUTH)
        return low.truth;
    if (low.tag == LOW_MISSING) {
        *why = low.text;
        *quiet = low.truth;
        return NAN;
    }
    if (low.tag != LOW_NODE)
        return NAN;
    if (e->culprit[low.id]) {
        *why = culprit_words(l, e, e->culprit[low.id]);
        *quiet = true;
    }
    return e->value[low.id];
}

static bool holds(const struct limit_result *r)
{
    return (isnan(r->low_si) || !less_value(r->value_si, r->low_si)) &&
           (isnan(r->high_si) || !less_value(r->high_si, r->value_si));
}

static void not_evaluated(struct limit_result *r, struct text why, bool quiet)
{
    r->verdict = VERDICT_NOT_EVALUATED;
    r->why_not = why;
    r->quiet = quiet;
}

static void judge(struct limits *m, const struct evaluation *e, struct limit_result *r)
{
    struct lowering *l = m->lowering;
    struct text why;
    bool quiet;
    double when = value_of(l, e, r->when, &why, &quiet);
    if (isnan(when)) {
        not_evaluated(r, why, quiet);
        return;
    }
    if (when == 0) {
        r->verdict = VERDICT_NOT_APPLICABLE;
        return;
    }
    struct {
        struct low low;
        double *si;
        bool wanted;
    } parts[] = {{r->value, &r->value_si, r->bound != BOUND_CONDITION},
                 {r->low, &r->low_si, r->bound == BOUND_AT_LEAST || r->bound == BOUND_WITHIN},
                 {r->high, &r->high_si, r->bound == BOUND_AT_MOST || r->bound == BOUND_WITHIN}};
    for (int i = 0; i < 3; i++) {
        if (!parts[i].wanted)
            continue;
        *parts[i].si = value_of(l, e, parts[i].low, &why, &quiet);
        if (isnan(*parts[i].si)) {
            not_evaluated(r, why, quiet);
            return;
        }
    }
    bool conditional = rule_at(l->scope, r->rule)->what == NODE_REQUIRE;
    double condition = conditional ? value_of(l, e, r->condition, &why, &quiet) : holds(r);
    if (isnan(condition))
        not_evaluated(r, why, quiet);
    else
        r->verdict = condition != 0 ? VERDICT_HOLDS : VERDICT_FAILS;
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

void limits_judge(struct limits *m, const struct evaluation *e)
{
    for (uint32_t i = 0; i < m->results.count; i++)
        judge(m, e, &m->results.at[i]);
}
