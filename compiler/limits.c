#include "compiler/limits.h"
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
    out->value.quantity = 0;
    if (at_least)
        out->low = lower_line(f, at_least);
    else if (at_most)
        out->high = lower_line(f, at_most);
    else if (within && node_kind(t, within) == NODE_RANGE) {
        out->low = lower_line(f, node_child(t, within));
        out->high = lower_line(f, node_next(t, node_child(t, within)));
    }
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
        r->claim.compared[2 * count] = greater;
        r->claim.compared[2 * count + 1] = smaller;
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

struct text bound_words(struct lowering *l, const struct limit_result *r, struct spelling spelling)
{
    struct arena *a = l->arena;
    if (r->bound == BOUND_AT_LEAST && !isnan(r->low_si))
        return typeset_bound(a, spelling.language, SAY("at least {value}"),
                             typeset_quantity(a, r->low_si, &r->unit, spelling));
    if (r->bound == BOUND_AT_MOST && !isnan(r->high_si))
        return typeset_bound(a, spelling.language, SAY("at most {value}"),
                             typeset_quantity(a, r->high_si, &r->unit, spelling));
    if (r->bound == BOUND_WITHIN && !isnan(r->low_si))
        return typeset_bound(a, spelling.language, SAY("within {value}"),
                             typeset_band(a, r->low_si, r->high_si, &r->unit, spelling));
    return TEXT("");
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

struct span place_of_result(struct lowering *l, const struct limit_result *r)
{
    const struct rule *rule = rule_at(l->scope, r->rule);
    if (rule->site.file >= l->scope->first_file) { /* the recipe's own: point at what the engineer wrote */
        const struct tree *t = file_at(l->scope, rule->site.file)->tree;
        uint32_t node = node_child(t, rule->site.node); /* a requirement's condition, a limit's name */
        return r->subject ? definition_span(l->scope, r->subject) : node_span(t, node);
    }
    if (r->subject)
        return definition_span(l->scope, r->subject);
    uint32_t many, recipe = find_sole(l->scope, KIND_recipe, &many);
    return recipe ? definition_span(l->scope, recipe) : (struct span){0};
}

/* Where rounding makes value and bound read the same, by how much the value is beyond. */
static struct text hair_words(struct lowering *l, const struct limit_result *r)
{
    double bound = r->value_si < r->low_si ? r->low_si : r->high_si;
    struct unit unit = r->unit;
    struct unit_error error;
    struct text value = typeset_quantity(l->arena, r->value_si, &unit, SPELL_ASCII);
    if (isnan(r->value_si) || isnan(bound) || !text_same(value, typeset_quantity(l->arena, bound, &unit, SPELL_ASCII)))
        return TEXT("");
    if (unit.point)
        unit_read(TEXT("K"), &unit, &error);
    struct text by = typeset_quantity(l->arena, fabs(r->value_si - bound), &unit, SPELL_ASCII);
    return arena_format(l->arena, ", which it misses by %.*s", TEXT_ARGS(by));
}

static void report_failed(struct lowering *l, const struct limit_result *r)
{
    struct diagnostics *g = l->scope->diagnostics;
    const struct rule *rule = rule_at(l->scope, r->rule);
    struct arena *a = l->arena;
    struct text value = isnan(r->value_si) ? TEXT("") : typeset_quantity(a, r->value_si, &r->unit, SPELL_ASCII);
    struct text bound = bound_words(l, r, SPELL_ASCII), words = rule_words(l, r->rule, r->subject);
    struct diagnostic *d =
        report(g, rule->what == NODE_REQUIRE ? FAULT_requirement_fails : FAULT_limit_fails, place_of_result(l, r),
               "%.*s does not hold%s%.*s%s%.*s%.*s", TEXT_ARGS(words), value.len ? ": it is " : "", TEXT_ARGS(value),
               value.len ? ", and must be " : "", TEXT_ARGS(value.len ? bound : TEXT("")), TEXT_ARGS(hair_words(l, r)));
    struct text because = note_text(l, rule->site, TOKEN_BECAUSE), remedy = note_text(l, rule->site, TOKEN_REMEDY);
    if (because.len)
        report_here(g, d, "%.*s", TEXT_ARGS(because));
    if (remedy.len)
        report_help(g, d, "%.*s", TEXT_ARGS(remedy));
}

static bool is_open(const struct limit_result *r, bool released)
{
    return r->verdict == VERDICT_NOT_EVALUATED && (!r->quiet || released) && r->why_not.len;
}

/* All limits that wait for one thing are one message: it is mended in one place. */
static void report_open(struct limits *m, uint32_t first, bool released, bool *told)
{
    struct lowering *l = m->lowering;
    struct diagnostics *g = l->scope->diagnostics;
    const struct limit_result *r = &m->results.at[first];
    uint32_t count = 0;
    for (uint32_t i = first; i < m->results.count; i++)
        count += is_open(&m->results.at[i], released) && text_same(m->results.at[i].why_not, r->why_not);
    struct text words = rule_words(l, r->rule, r->subject);
    struct text which = count == 1 ? arena_format(l->arena, "%.*s is", TEXT_ARGS(words))
                                   : arena_format(l->arena, "%u limits are", count);
    struct diagnostic *d = report(g, released ? FAULT_released_open : FAULT_limit_not_evaluated, place_of_result(l, r),
                                  "%.*s not evaluated: %.*s", TEXT_ARGS(which), TEXT_ARGS(r->why_not));
    if (count > 1)
        report_here(g, d, "%.*s", TEXT_ARGS(words));
    for (uint32_t i = first; i < m->results.count; i++) {
        const struct limit_result *other = &m->results.at[i];
        if (!is_open(other, released) || !text_same(other->why_not, r->why_not))
            continue;
        told[i] = true;
        if (i != first)
            report_label(g, d, place_of_result(l, other), "%.*s",
                         TEXT_ARGS(rule_words(l, other->rule, other->subject)));
    }
    report_help(g, d, "%s",
                released ? "a released recipe has no open limit: state what is missing, or go back to trial"
                         : "state what is missing; until then nobody knows whether it holds");
}

void limits_judge(struct limits *m, const struct evaluation *e, bool released)
{
    bool *told = ARENA_ARRAY(m->lowering->arena, m->results.count, bool);
    for (uint32_t i = 0; i < m->results.count; i++) {
        judge(m, e, &m->results.at[i]);
        if (m->results.at[i].verdict == VERDICT_FAILS)
            report_failed(m->lowering, &m->results.at[i]);
    }
    for (uint32_t i = 0; i < m->results.count; i++)
        if (is_open(&m->results.at[i], released) && !told[i])
            report_open(m, i, released, told);
}
