/* Limits, requirements, cautions and texts with { }, each lowered for every definition it speaks of. */
#include "compiler/lower/parts.h"

uint32_t rule_line(const struct tree *t, uint32_t rule, const char *name)
{
    NODE_EACH_CHILD (t, rule, n)
        if (node_kind(t, n) == NODE_PROPERTY && text_is(node_text(t, node_child(t, n)), name))
            return node_value(t, n);
    return 0;
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
    return node ? as_node(f->lowering, lower_expression(f, node)) : low_faulty();
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

static void lower_limit(struct lowering *l, struct frame *f, const struct rule *r, struct lowered_limit *out)
{
    const struct tree *t = f->file->tree;
    uint32_t node = r->site.node, at_least = rule_line(t, node, "at-least"), at_most = rule_line(t, node, "at-most");
    uint32_t within = rule_line(t, node, "within"), when = rule_line(t, node, "when"),
             value = rule_line(t, node, "value");
    struct low none = low_faulty();
    out->when = when ? lower_expression(f, when) : low_truth(true);
    out->value = out->low = out->high = none;
    out->bound = at_least ? BOUND_AT_LEAST : at_most ? BOUND_AT_MOST : BOUND_WITHIN;
    if (out->when.tag == LOW_TRUTH && !out->when.truth)
        return; /* nothing else is looked at */
    out->value = lower_line(f, value);
    if (value)
        out->unit = unit_of_value(l, r, value, out->value);
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
static void lower_require(struct lowering *l, struct frame *f, const struct rule *r, struct lowered_limit *out)
{
    const struct tree *t = f->file->tree;
    uint32_t condition = node_child(t, r->site.node);
    out->when = low_truth(true);
    out->value = out->low = out->high = low_faulty();
    out->bound = BOUND_CONDITION;
    out->condition = condition ? as_node(l, lower_expression(f, condition)) : out->value;
    uint16_t op = condition && node_kind(t, condition) == NODE_BINARY ? node_at(t, condition)->op : 0;
    if (op < TOKEN_LESS || op > TOKEN_GREATER_EQUAL || out->condition.tag != LOW_NODE)
        return;
    uint32_t left = node_child(t, condition), right = node_next(t, left);
    struct low a = lower_expression(f, left), b = lower_expression(f, right);
    if (a.tag != LOW_NODE || b.tag != LOW_NODE)
        return;
    out->unit = unit_of_value(l, r, left, a);
    out->value = a;
    bool at_most = op == TOKEN_LESS || op == TOKEN_LESS_EQUAL;
    *(at_most ? &out->high : &out->low) = b;
    out->measured = a.quantity;
    out->against = b.quantity;
    out->bound = at_most ? BOUND_AT_MOST : BOUND_AT_LEAST;
}

/* value - low, high - value or the smaller of both, as nodes: what a proof is about. */
static void claim_bounds(struct lowering *l, struct lowered_limit *r)
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

static void make_claim(struct lowering *l, struct lowered_limit *r)
{
    l->making->current = 0;
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

static void lower_rule(struct lowering *l, uint32_t rule, uint32_t subject)
{
    const struct rule *r = rule_at(l->scope, rule);
    struct frame f = frame_of_rule(l, r, subject);
    if (r->what == NODE_CAUTION) {
        uint32_t when = rule_line(f.file->tree, r->site.node, "when");
        struct low condition = when ? lower_expression(&f, when) : low_truth(true);
        *ARRAY_PUSH(l->arena, &l->cautions) = (struct lowered_caution){rule, subject, condition};
        return;
    }
    struct lowered_limit out = {.rule = rule, .subject = subject, .condition = low_faulty()};
    if (r->what == NODE_LIMIT)
        lower_limit(l, &f, r, &out);
    else
        lower_require(l, &f, r, &out);
    make_claim(l, &out);
    *ARRAY_PUSH(l->arena, &l->limits) = out;
}

void lower_rules(struct lowering *l)
{
    struct scope *s = l->scope;
    for (uint32_t rule = 1; rule < rule_end(s); rule++) {
        enum kind each = rule_at(s, rule)->each;
        if (!each)
            lower_rule(l, rule, 0);
        for (uint32_t id = s->first_definition; each && id < definition_end(s); id++)
            if (kind_is(definition_at(s, id)->kind, each))
                lower_rule(l, rule, id);
    }
}

/* ---- texts with { } ---------------------------------------------------------------------------------------------------- */

uint64_t key_of_text(struct site text, uint32_t subject)
{
    return map_key(text.file << 20 ^ subject, text.node);
}

const struct lowered_text *lowering_text(const struct lowering *l, struct site site, uint32_t subject)
{
    uint32_t known = map_get(&l->making->texts, key_of_text(site, subject));
    return known ? &l->texts.at[known - 1] : NULL;
}

static struct unit unit_shown(struct lowering *l, struct env *e, uint32_t node, struct low low)
{
    if (low.quantity && l->quantities.at[low.quantity].shown_as_quantity)
        return l->quantities.at[low.quantity].unit;
    struct type type = type_of(e, node);
    return type.tag == TYPE_QUANTITY ? unit_default(l->arena, type.dim, type.point) : (struct unit){.factor = 1};
}

static void lower_text(struct frame *f, struct env *e, struct site site, uint32_t subject)
{
    struct lowering *l = f->lowering;
    const struct tree *t = f->file->tree;
    if (!site.node || node_kind(t, site.node) != NODE_TEXT || !node_child(t, site.node))
        return;
    struct lowered_text text = {site, l->text_parts.count, 0};
    NODE_EACH_CHILD (t, site.node, n) {
        struct low low = lower_expression(f, n);
        struct text_part part = {low, unit_shown(l, e, n, low)};
        *ARRAY_PUSH(l->arena, &l->text_parts) = part;
        text.count++;
    }
    *ARRAY_PUSH(l->arena, &l->texts) = text;
    map_set(&l->making->texts, key_of_text(site, subject), l->texts.count);
}

static void lower_text_of_property(struct lowering *l, const struct property *p)
{
    if (p->entry->form != FORM_TEXT)
        return;
    struct frame f = frame_at(l, p->site);
    f.self = p->definition;
    struct env e = {.scope = l->scope, .file = f.file, .self = definition_at(l->scope, p->definition)->kind};
    lower_text(&f, &e, (struct site){p->site.file, p->value}, 0);
}

static void lower_text_of_caution(struct lowering *l, const struct lowered_caution *c)
{
    const struct rule *r = rule_at(l->scope, c->rule);
    struct frame f = frame_of_rule(l, r, c->subject);
    struct env e = {.scope = l->scope, .file = f.file};
    if (r->each)
        e.locals[e.count++] = (struct local){r->variable, {.tag = TYPE_REFERENCE, .kind = r->each}};
    lower_text(&f, &e, (struct site){r->site.file, rule_line(f.file->tree, r->site.node, "text")}, c->subject);
}

void lower_texts(struct lowering *l)
{
    for (uint32_t id = l->scope->first_property; id < property_end(l->scope); id++)
        lower_text_of_property(l, property_at(l->scope, id));
    for (uint32_t i = 0; i < l->cautions.count; i++)
        lower_text_of_caution(l, &l->cautions.at[i]);
}
