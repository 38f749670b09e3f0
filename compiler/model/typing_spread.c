/* How a held value lies in its band: `+/- 75 nm as normal(k 3, freedom 18)`. Shapes and what may be said of each stand in
 * runtime/spreads.def. */
#include "compiler/model/typing.h"

#include "runtime/compare.h"
#include "runtime/statistics/spread.h"

static enum spread_shape shape_named(struct text name)
{
    enum spread_shape s = 0;
    while (s < SPREAD_COUNT && !text_is(name, spread_table[s].name))
        s++;
    return s;
}

/* ---- facts -------------------------------------------------------------------------------------------------------- */

struct fact { /* what stands in the parentheses, by name */
    const char *name;
    double least, most; /* least excluded */
    bool share;
    const char *example;
};

static const struct fact facts[] = {
    {"k", 0, 1e6, false, "k 2"},         {"coverage", 0, 0.999999, true, "coverage 95 %"},
    {"top", 0, 1, true, "top 50 %"},     {"freedom", 0, 1e15, false, "freedom 18"},
    {"doubt", 0, 1, true, "doubt 25 %"},
};
enum { FACT_COUNT = sizeof facts / sizeof facts[0] };

static double *number_of(struct spread *s, const struct fact *f)
{
    double *const places[FACT_COUNT] = {&s->k, &s->coverage, &s->top, &s->freedom, &s->doubt};
    return places[f - facts];
}

static const struct fact *fact_named(struct text name)
{
    for (uint32_t i = 0; i < FACT_COUNT; i++)
        if (text_is(name, facts[i].name))
            return &facts[i];
    return NULL;
}

/* Whether a shape's row lists the fact; *needed when it is one of those of which one must be said. */
static bool takes(enum spread_shape shape, const char *name, bool *needed)
{
    size_t n = strlen(name);
    for (const char *at = spread_table[shape].facts; *at; at += strcspn(at, " "), at += *at == ' ') {
        *needed = *at == '!';
        at += *needed;
        if (strncmp(at, name, n) == 0 && (at[n] == ' ' || !at[n]))
            return true;
    }
    *needed = false;
    return false;
}

/* "k 2, coverage 95 %, freedom 18": what may be said of a shape, as it is written. */
static struct text facts_of(struct arena *a, enum spread_shape shape, bool needed_only)
{
    struct text list = TEXT("");
    for (uint32_t i = 0; i < FACT_COUNT; i++) {
        bool needed;
        if (takes(shape, facts[i].name, &needed) && (needed || !needed_only))
            list = arena_format(a, "%.*s%s%s", TEXT_ARGS(list),
                                !list.len     ? ""
                                : needed_only ? " or "
                                              : ", ",
                                facts[i].example);
    }
    return list;
}

bool spread_stated(const struct tree *t, uint32_t statement, struct spread *out)
{
    uint32_t node = node_find(t, statement, NODE_SPREAD);
    *out = (struct spread){.shape = SPREAD_RECTANGULAR};
    if (!node)
        return false;
    enum spread_shape shape = shape_named(node_text(t, node_child(t, node)));
    if (shape == SPREAD_COUNT)
        return false;
    out->shape = (uint8_t)shape;
    NODE_EACH_CHILD (t, node, n) {
        double value;
        struct unit unit;
        bool has_unit;
        const struct fact *f = node_kind(t, n) == NODE_SPREAD_FACT ? fact_named(node_text(t, node_child(t, n))) : NULL;
        if (f && literal_of(t, node_nth(t, n, 1), &value, &unit, &has_unit))
            *number_of(out, f) = unit_to_si(&unit, value);
    }
    return true;
}

/* ---- checks ------------------------------------------------------------------------------------------------------- */

static void report_unknown(struct env *e, uint32_t name)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct text names[SPREAD_COUNT], word = node_text(e->file->tree, name);
    for (int i = 0; i < SPREAD_COUNT; i++)
        names[i] = text_of(spread_table[i].name);
    struct diagnostic *d =
        report(g, FAULT_unknown_spread, env_span(e, name), "there is no spread called '%.*s'", TEXT_ARGS(word));
    struct text near = nearest(word, names, SPREAD_COUNT);
    if (near.len) {
        report_help(g, d, "did you mean '%.*s'?", TEXT_ARGS(near));
        report_edit(g, d, env_span(e, name), near);
    } else {
        report_help(g, d, "there are rectangular, triangular, trapezoid, normal and u-shaped");
    }
}

static bool is_in_range(const struct tree *t, uint32_t node, const struct fact *f)
{
    double value;
    struct unit unit;
    bool has_unit;
    if (!literal_of(t, node, &value, &unit, &has_unit) || !dim_none(unit.dim) || (has_unit && !f->share))
        return false;
    value = unit_to_si(&unit, value);
    return value > f->least && value <= f->most;
}

/* False when it was reported. */
static bool check_fact(struct env *e, uint32_t node, enum spread_shape shape, bool *needed)
{
    struct diagnostics *g = e->scope->diagnostics;
    const struct tree *t = e->file->tree;
    uint32_t name = node_child(t, node), value = node_next(t, name);
    struct text word = node_text(t, name);
    const struct fact *f = fact_named(word);
    if (!f || !takes(shape, f->name, needed)) {
        struct diagnostic *d = report(g, FAULT_wrong_spread_fact, env_span(e, name), "a %s spread has no '%.*s'",
                                      spread_table[shape].name, TEXT_ARGS(word));
        report_help(g, d, "it may be told: %.*s", TEXT_ARGS(facts_of(g->arena, shape, false)));
        return false;
    }
    for (uint32_t n = node_next(t, node); n; n = node_next(t, n))
        if (node_kind(t, n) == NODE_SPREAD_FACT && text_same(node_text(t, node_child(t, n)), word)) {
            struct diagnostic *d =
                report(g, FAULT_wrong_spread_fact, env_span(e, n), "'%.*s' is stated twice", TEXT_ARGS(word));
            report_help(g, d, "keep one of the two");
            return false;
        }
    type_of(e, value); /* its unit */
    if (!is_in_range(t, value, f)) {
        struct diagnostic *d = report(g, FAULT_wrong_spread_fact, env_span(e, value), "%s is %s", f->name,
                                      f->share ? "a share between 0 and 100 %" : "a number above 0, without unit");
        report_help(g, d, "write it as in '%s'", f->example);
        return false;
    }
    return true;
}

static void check_facts(struct env *e, uint32_t node, enum spread_shape shape)
{
    struct diagnostics *g = e->scope->diagnostics;
    const struct tree *t = e->file->tree;
    uint32_t needed = 0, certainty = 0;
    NODE_EACH_CHILD (t, node, n) {
        bool one_needed = false;
        if (node_kind(t, n) != NODE_SPREAD_FACT)
            continue;
        if (!check_fact(e, n, shape, &one_needed))
            return;
        needed += one_needed;
        certainty +=
            text_is(node_text(t, node_child(t, n)), "doubt") || text_is(node_text(t, node_child(t, n)), "freedom");
    }
    struct text wanted = facts_of(g->arena, shape, true);
    if (wanted.len && needed != 1) {
        struct diagnostic *d =
            report(g, FAULT_wrong_spread_fact, env_span(e, node), "a %s spread %s", spread_table[shape].name,
                   needed ? "takes one of its two scales, not both" : "needs to be told how the band is meant");
        report_help(g, d, "say %.*s", TEXT_ARGS(wanted));
    } else if (certainty > 1) {
        struct diagnostic *d =
            report(g, FAULT_wrong_spread_fact, env_span(e, node), "freedom and doubt both say how certain the band is");
        report_help(g, d, "keep one: a doubt of 25 %% is a freedom of 8");
    }
}

/* A tolerance whose two sides are the same. */
static bool is_even(const struct tree *t, uint32_t value)
{
    double plus, minus;
    struct unit a, b;
    bool has_unit;
    uint32_t first = node_nth(t, value, 1), second = node_nth(t, value, 2);
    return !second || (literal_of(t, first, &plus, &a, &has_unit) && literal_of(t, second, &minus, &b, &has_unit) &&
                       same_value(plus * a.factor, minus * b.factor));
}

void check_spread(struct env *e, uint32_t statement, uint32_t value, bool held)
{
    struct diagnostics *g = e->scope->diagnostics;
    const struct tree *t = e->file->tree;
    uint32_t node = node_find(t, statement, NODE_SPREAD);
    if (!node)
        return;
    bool banded = node_is_banded(t, value);
    if (!banded || !held) {
        struct diagnostic *d = report(g, FAULT_spread_without_band, env_span(e, node),
                                      banded ? "this band is wanted of the result, it is not how a value spreads"
                                             : "there is no band here for the value to lie in");
        report_help(g, d,
                    banded ? "leave it out; say it of what the process holds"
                           : "write a tolerance in front of it, as '0.50 mm +/- 0.02 mm as triangular'");
        return;
    }
    uint32_t name = node_child(t, node);
    enum spread_shape shape = shape_named(node_text(t, name));
    if (shape == SPREAD_COUNT) {
        report_unknown(e, name);
        return;
    }
    if (!is_even(t, value) && shape != SPREAD_RECTANGULAR && shape != SPREAD_TRIANGULAR) {
        struct diagnostic *d =
            report(g, FAULT_uneven_spread, env_span(e, node),
                   "a %s spread is the same on both sides of its middle; this band is not", spread_table[shape].name);
        report_label(g, d, env_span(e, value), "the two sides differ");
        report_help(g, d, "write the band about its middle with +/-, or 'as rectangular' or 'as triangular'");
        return;
    }
    check_facts(e, node, shape);
}

/* ---- let ---------------------------------------------------------------------------------------------------------- */

const struct property_entry *entry_of_let(struct arena *a, struct text name, struct unit unit)
{
    struct property_entry *p = ARENA_NEW(a, struct property_entry);
    *p = (struct property_entry){.name = arena_text(a, name).at,
                                 .form = FORM_QUANTITY,
                                 .type = arena_format(a, "[%.*s]", TEXT_ARGS(unit.spelling)).at,
                                 .role = ROLE_HELD,
                                 .standard = "",
                                 .label = "",
                                 .doc = ""};
    return p;
}
