/* Types of what a scope declares: lets, derived properties, formulas, limits, cautions, requirements. */
#include "compiler/model/typing.h"

static const struct type busy = {.tag = TYPE_ERROR}, faulty = {.tag = TYPE_ERROR};

enum { DEPTH_LIMIT = 200 };

static struct env env_of(struct scope *s, struct site site, uint32_t depth)
{
    return (struct env){.scope = s, .file = file_at(s, site.file), .depth = depth};
}

static const struct type *keep(struct scope *s, struct type t)
{
    struct type *kept = ARENA_NEW(s->arena, struct type);
    *kept = t;
    return kept;
}

static void report_circle(struct env *from, uint32_t node, struct site site, atom name)
{
    struct scope *s = from->scope;
    struct text words = atom_text(&s->names, name);
    struct diagnostic *d = report(s->diagnostics, FAULT_circle, site_span(s, site),
                                  "'%.*s' needs itself to be worked out", TEXT_ARGS(words));
    if (node)
        report_label(s->diagnostics, d, env_span(from, node), "and is asked for again here");
    report_help(s->diagnostics, d, "break the circle: state one of the values it goes through");
}

/* The type a [unit] states, else the type of the expression, of a tolerance that of the nominal value. */
static struct type declared_type(struct env *e, struct site site)
{
    const struct tree *t = e->file->tree;
    uint32_t unit_node = node_find(t, site.node, NODE_UNIT_TYPE), value = node_value(t, site.node);
    struct unit unit;
    if (unit_node)
        return read_unit_type(e->scope, t, unit_node, &unit) ? type_quantity(unit.dim, unit.point) : faulty;
    struct type type = value ? type_of(e, node_is_banded(t, value) ? node_child(t, value) : value) : faulty;
    if (type.tag != TYPE_TEXT && type.tag != TYPE_DATE && type.tag != TYPE_REFERENCES && type.tag != TYPE_FUNCTION)
        return type;
    struct diagnostic *d = report(e->scope->diagnostics, FAULT_not_a_quantity, env_span(e, value),
                                  "a derived value is a quantity, a condition or a reference, not %.*s",
                                  TEXT_ARGS(type_words(e->scope->arena, type)));
    report_help(e->scope->diagnostics, d, "state texts, dates and functions as properties of a definition");
    return faulty;
}

const struct type *type_of_let(struct env *from, uint32_t node, uint32_t id)
{
    struct scope *s = from->scope;
    const struct let *l = let_at(s, id);
    if (l->type || id < s->first_let) {
        if (l->type == &busy)
            report_circle(from, node, l->site, l->name);
        return l->type ? l->type : &faulty;
    }
    if (from->depth > DEPTH_LIMIT)
        return &faulty;
    struct site site = l->site;
    struct env e = env_of(s, site, from->depth + 1);
    s->lets.at[id - s->first_let].type = &busy;
    const struct type *type = keep(s, declared_type(&e, site));
    s->lets.at[id - s->first_let].type = type;
    return type;
}

static void add_variable(struct env *e, atom name, enum kind kind)
{
    e->locals[e->count++] = (struct local){name, {.tag = TYPE_REFERENCE, .kind = kind}};
}

const struct type *type_of_derived(struct env *from, uint32_t node, uint32_t id)
{
    struct scope *s = from->scope;
    const struct derived *d = derived_at(s, id);
    if (d->type || id < s->first_derived) {
        if (d->type == &busy)
            report_circle(from, node, d->site, d->name);
        return d->type ? d->type : &faulty;
    }
    if (from->depth > DEPTH_LIMIT)
        return &faulty;
    struct site site = d->site;
    struct env e = env_of(s, site, from->depth + 1);
    add_variable(&e, d->variable, d->kind);
    s->derived.at[id - s->first_derived].type = &busy;
    const struct type *type = keep(s, declared_type(&e, site));
    s->derived.at[id - s->first_derived].type = type;
    return type;
}

/* The expression behind `=` against the type that was declared. */
static void check_value(struct env *e, struct site site, const struct type *wanted, const char *what)
{
    const struct tree *t = e->file->tree;
    uint32_t value = node_value(t, site.node);
    if (!value || wanted->tag == TYPE_ERROR)
        return;
    struct type found = type_of(e, value);
    if (found.tag == TYPE_ERROR || type_same(found, *wanted))
        return;
    double number;
    struct unit unit;
    bool has_unit = true;
    if (literal_of(t, value, &number, &unit, &has_unit) && !has_unit && wanted->tag == TYPE_QUANTITY) {
        struct text example = unit_default(e->scope->arena, wanted->dim, wanted->point).spelling;
        struct diagnostic *d =
            report(e->scope->diagnostics, FAULT_missing_unit, env_span(e, value), "%s needs a unit", what);
        report_help(e->scope->diagnostics, d, "write '%.*s %.*s'", TEXT_ARGS(node_text(t, value)), TEXT_ARGS(example));
        return;
    }
    report_dimension(e, value, found, *wanted, what);
}

static void check_let(struct scope *s, uint32_t id)
{
    struct env e = env_of(s, let_at(s, id)->site, 0), start = {.scope = s};
    const struct type *type = type_of_let(&start, 0, id);
    struct site site = let_at(s, id)->site;
    const struct tree *t = e.file->tree;
    uint32_t value = node_value(t, site.node);
    check_spread(&e, site.node, value, true);
    if (!value || !node_is_banded(t, value)) {
        check_value(&e, site, type, "the value");
    } else if (type->tag == TYPE_QUANTITY) {
        struct unit usual = unit_default(s->arena, type->dim, type->point);
        check_banded(&e, value, *type, entry_of_let(s->arena, atom_text(&s->names, let_at(s, id)->name), usual));
    }
}

static void check_formula(struct scope *s, uint32_t id)
{
    const struct formula f = *formula_at(s, id);
    const struct signature *g = signature_of_formula(s, id);
    struct env e = env_of(s, f.site, 0);
    for (uint32_t i = 0; i < g->count; i++)
        e.locals[e.count++] = (struct local){intern(&s->names, g->parameters[i].name), g->parameters[i].type};
    check_value(&e, f.site, &g->result.type, "the formula's value");
}

/* ---- rules ---------------------------------------------------------------------------------------------------------------- */

static void expect_truth(struct env *e, uint32_t node, const char *what)
{
    struct type t = type_of(e, node);
    if (t.tag == TYPE_TRUTH || t.tag == TYPE_ERROR)
        return;
    struct diagnostic *d =
        report(e->scope->diagnostics, FAULT_not_a_truth, env_span(e, node), "%s needs a condition; this is %.*s", what,
               TEXT_ARGS(type_words(e->scope->arena, t)));
    report_help(e->scope->diagnostics, d, "write a comparison, as in a <= b, or given(x)");
}

static uint32_t line_named(const struct tree *t, uint32_t rule, const char *name)
{
    NODE_EACH_CHILD (t, rule, n)
        if (node_kind(t, n) == NODE_PROPERTY && text_is(node_text(t, node_child(t, n)), name))
            return n;
    return 0;
}

/* False when a line is not one of those allowed. */
static bool check_lines(struct env *e, const struct rule *r, const char *const *allowed, uint32_t count)
{
    const struct tree *t = e->file->tree;
    struct diagnostics *g = e->scope->diagnostics;
    bool good = true;
    NODE_EACH_CHILD (t, r->site.node, n) {
        good = good && node_kind(t, n) != NODE_ERROR;
        if (node_kind(t, n) != NODE_PROPERTY)
            continue;
        struct text name = node_text(t, node_child(t, n)), names[8];
        bool known = false;
        for (uint32_t i = 0; i < count; i++) {
            names[i] = text_of(allowed[i]);
            known = known || text_same(name, names[i]);
        }
        good = good && known;
        if (!known) {
            struct diagnostic *d =
                report(g, FAULT_limit_unknown_line, env_span(e, node_child(t, n)), "a %s has no line '%.*s'",
                       r->what == NODE_LIMIT ? "limit" : "caution", TEXT_ARGS(name));
            struct text near = nearest(name, names, count);
            if (near.len)
                report_help(g, d, "did you mean '%.*s'?", TEXT_ARGS(near));
            else
                report_help(g, d, "%s",
                            r->what == NODE_LIMIT
                                ? "it has: when, value, at-least, at-most, within, because, remedy, source"
                                : "it has: when, signal, sign, text");
        } else if (line_named(t, r->site.node, arena_text(g->arena, name).at) != n) {
            struct diagnostic *d = report(g, FAULT_duplicate_property, env_span(e, node_child(t, n)),
                                          "'%.*s' is stated twice", TEXT_ARGS(name));
            report_help(g, d, "keep one of the two lines");
        }
    }
    return good;
}

static void check_bound(struct env *e, uint32_t line, struct type value)
{
    const struct tree *t = e->file->tree;
    uint32_t bound = line ? node_value(t, line) : 0;
    if (!bound)
        return;
    bool within = text_is(node_text(t, node_child(t, line)), "within");
    if (within != (node_kind(t, bound) == NODE_RANGE)) {
        struct diagnostic *d = report(e->scope->diagnostics, FAULT_wrong_form, env_span(e, bound),
                                      within ? "within wants a range" : "this bound is one value, not a range");
        report_help(e->scope->diagnostics, d, "%s",
                    within ? "write within = LOW .. HIGH" : "for a range write within = LOW .. HIGH");
        return;
    }
    for (uint32_t n = within ? node_child(t, bound) : bound; n; n = within ? node_next(t, n) : 0) {
        struct type found = type_of(e, n);
        if (value.tag == TYPE_QUANTITY && !type_same(found, value))
            report_dimension(e, n, found, value, "the bound");
    }
}

static void check_limit(struct env *e, const struct rule *r)
{
    static const char *const allowed[] = {"when", "value", "at-least", "at-most", "within"};
    const struct tree *t = e->file->tree;
    struct diagnostics *g = e->scope->diagnostics;
    bool good = check_lines(e, r, allowed, 5);
    uint32_t when = line_named(t, r->site.node, "when"), value = line_named(t, r->site.node, "value"), bounds = 0;
    if (when && node_value(t, when))
        expect_truth(e, node_value(t, when), "when");
    struct type type = value && node_value(t, value) ? type_of(e, node_value(t, value)) : faulty;
    if (type.tag != TYPE_QUANTITY && type.tag != TYPE_ERROR)
        report_dimension(e, node_value(t, value), type, type_quantity((struct dim){{0}}, false),
                         "the value of a limit");
    for (uint32_t i = 2; i < 5; i++) {
        uint32_t line = line_named(t, r->site.node, allowed[i]);
        bounds += line != 0;
        check_bound(e, line, type);
    }
    struct span at = env_span(e, node_child(t, r->site.node));
    if (good && (!value || bounds != 1)) {
        struct diagnostic *d = report(g, FAULT_limit_incomplete, at,
                                      !value   ? "this limit has no value"
                                      : bounds ? "this limit has more than one bound"
                                               : "this limit has no bound");
        report_help(g, d, "write 'value = ...' and one of 'at-least = ...', 'at-most = ...', 'within = ... .. ...'");
    }
    if (!node_note(t, r->site.node, TOKEN_BECAUSE)) {
        struct diagnostic *d = report(g, FAULT_missing_because, at, "this limit does not say why");
        report_help(g, d, "add 'because \"what goes wrong on the shop floor\"'");
    }
}

static bool is_signal(struct text word)
{
    return text_is(word, "danger") || text_is(word, "warning") || text_is(word, "caution") || text_is(word, "notice");
}

static void check_caution(struct env *e, const struct rule *r)
{
    static const char *const allowed[] = {"when", "signal", "sign", "text"};
    const struct tree *t = e->file->tree;
    struct diagnostics *g = e->scope->diagnostics;
    bool good = check_lines(e, r, allowed, 4);
    uint32_t when = line_named(t, r->site.node, "when"), signal = line_named(t, r->site.node, "signal");
    uint32_t text = line_named(t, r->site.node, "text");
    if (when && node_value(t, when))
        expect_truth(e, node_value(t, when), "when");
    if (text && node_value(t, text))
        type_of(e, node_value(t, text));
    uint32_t word = signal ? node_value(t, signal) : 0;
    if (word && !is_signal(node_text(t, word))) {
        struct diagnostic *d =
            report(g, FAULT_wrong_signal, env_span(e, word), "'%.*s' is no signal word", TEXT_ARGS(node_text(t, word)));
        report_help(g, d, "it is one of danger, warning, caution, notice");
    }
    if (good && (!text || !signal)) {
        struct diagnostic *d = report(g, FAULT_caution_incomplete, env_span(e, node_child(t, r->site.node)),
                                      "this caution has no %s", !signal ? "signal word" : "text");
        report_help(g, d, "%s", !signal ? "add 'signal = danger', warning, caution or notice" : "add 'text \"...\"'");
    }
}

static void check_require(struct env *e, const struct rule *r)
{
    const struct tree *t = e->file->tree;
    uint32_t condition = node_child(t, r->site.node);
    if (!condition || node_kind(t, condition) == NODE_ERROR)
        return;
    expect_truth(e, condition, "require");
    if (!node_note(t, r->site.node, TOKEN_BECAUSE)) {
        struct diagnostic *d = report(e->scope->diagnostics, FAULT_missing_because, env_span(e, r->site.node),
                                      "this requirement does not say why");
        report_help(e->scope->diagnostics, d, "add 'because \"...\"' at the end of the line");
    }
}

static void check_rule(struct scope *s, const struct rule *r)
{
    struct env e = env_of(s, r->site, 0);
    if (r->each)
        add_variable(&e, r->variable, r->each);
    if (r->what == NODE_LIMIT)
        check_limit(&e, r);
    else if (r->what == NODE_CAUTION)
        check_caution(&e, r);
    else
        check_require(&e, r);
}

void type_again(struct scope *s)
{
    struct env start = {.scope = s};
    for (uint32_t id = s->first_formula; id < formula_end(s); id++)
        signature_of_formula(s, id);
    for (uint32_t id = s->first_let; id < let_end(s); id++)
        type_of_let(&start, 0, id);
    for (uint32_t id = s->first_derived; id < derived_end(s); id++)
        type_of_derived(&start, 0, id);
}

void type_scope(struct scope *s)
{
    for (uint32_t id = s->first_formula; id < formula_end(s); id++)
        check_formula(s, id);
    check_formula_circles(s);
    for (uint32_t id = s->first_let; id < let_end(s); id++)
        check_let(s, id);
    struct env start = {.scope = s};
    for (uint32_t id = s->first_derived; id < derived_end(s); id++) {
        const struct derived d = *derived_at(s, id);
        struct env e = env_of(s, d.site, 0);
        add_variable(&e, d.variable, d.kind);
        check_value(&e, d.site, type_of_derived(&start, 0, id), "the derived value");
    }
    for (uint32_t id = s->first_rule; id < rule_end(s); id++)
        check_rule(s, rule_at(s, id));
    for (uint32_t id = s->first_property; id < property_end(s); id++)
        check_property(s, property_at(s, id));
    check_waivers(s);
}
