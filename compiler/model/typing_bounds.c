/* What a value may be: every number that is stated for a property, each end of its band, of a range and of what is looked
 * for, and each figure of a table is held against the bounds of its row. */
#include "compiler/model/bounds.h"
#include "compiler/model/typing.h"
#include "runtime/base/number.h"

#include <math.h>
#include <string.h>

/* A number as it is meant: K behind the number of a point is the absolute scale. */
struct stated {
    uint32_t node;
    double value; /* in its unit */
    double si;
    struct unit unit;
};

/* degF behind the number of a difference is a step of its scale. */
static bool stated_at(struct env *e, uint32_t node, const struct property_entry *row, struct stated *out)
{
    bool has_unit;
    *out = (struct stated){.node = node};
    if (!literal_of(e->file->tree, node, &out->value, &out->unit, &has_unit))
        return false;
    bool step = row->form != FORM_FUNCTION && !type_of_property(e->scope, row).point;
    if (step)
        out->unit = unit_step(out->unit);
    out->si = unit_to_si(&out->unit, out->value);
    return true;
}

/* 43 K where 43 degC is meant. */
static bool is_low_kelvin(const struct stated *s, const struct property_entry *row)
{
    bool point = strstr(row->type, "degC]") != NULL && row->form != FORM_FUNCTION;
    return point && text_is(s->unit.spelling, "K") && s->si < 200;
}

/* 30 where 30 % is meant. */
static bool is_percent(const struct stated *s, const struct bounds *b)
{
    return dim_none(s->unit.dim) && s->unit.factor == 1 && b->most <= 1 && s->value > 1 && s->value <= 100;
}

static void help_with(struct env *e, struct diagnostic *d, const struct stated *s, const struct bounds *b,
                      const struct property_entry *row)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct text number = number_print(g->arena, s->value);
    if (is_low_kelvin(s, row)) {
        struct text meant = arena_format(g->arena, "%.*s degC", TEXT_ARGS(number));
        report_help(g, d, "K counts from absolute zero, %.*s K is %g degC: write '%.*s'", TEXT_ARGS(number),
                    round((s->si - 273.15) * 100) / 100, TEXT_ARGS(meant));
        report_edit(g, d, env_span(e, s->node), meant);
    } else if (is_percent(s, b)) {
        struct text meant = arena_format(g->arena, "%.*s %%", TEXT_ARGS(number));
        report_help(g, d, "it is a share: write '%.*s'", TEXT_ARGS(meant));
        report_edit(g, d, env_span(e, s->node), meant);
    } else {
        report_help(g, d, "it is %s%s; check the number, its sign and its unit", row->can,
                    row->whole ? ", a whole number" : "");
    }
}

/* As written; of the end of a band, what it comes to. */
static struct text value_words(struct env *e, const struct stated *s)
{
    struct arena *a = e->scope->arena;
    if (s->si == unit_to_si(&s->unit, s->value))
        return node_text(e->file->tree, s->node);
    struct text number = number_print(a, round(unit_from_si(&s->unit, s->si) * 1e9) / 1e9);
    return s->unit.spelling.len && !text_is(s->unit.spelling, "1")
               ? arena_format(a, "%.*s %.*s", TEXT_ARGS(number), TEXT_ARGS(s->unit.spelling))
               : number;
}

static void report_impossible(struct env *e, const struct stated *s, const struct bounds *b,
                              const struct property_entry *row, const char *end)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct diagnostic *d = report(g, FAULT_impossible_value, env_span(e, s->node), "%s cannot be %.*s%s", row->name,
                                  TEXT_ARGS(value_words(e, s)), end);
    help_with(e, d, s, b, row);
}

/* A rate by the day would count 24 hours. */
static bool is_rate_a_day(const struct stated *s)
{
    return text_is(s->unit.spelling, "/d") || text_is(s->unit.spelling, "1/d");
}

static void report_rate_a_day(struct env *e, const struct stated *s, const struct property_entry *row)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct text number = number_print(g->arena, s->value);
    struct diagnostic *d = report(g, FAULT_rate_a_day, env_span(e, s->node), "%s in %.*s counts a day of 24 hours",
                                  row->name, TEXT_ARGS(s->unit.spelling));
    report_help(g, d, "write 'wanted-a-day = %.*s' and the shifts of the day, or a rate in /h", TEXT_ARGS(number));
}

static bool check_possible(struct env *e, const struct stated *s, const struct property_entry *row, const char *end)
{
    struct bounds b;
    if (!row->can || !bounds_read(row->can, &b))
        return true;
    bool whole = !row->whole || fabs(s->si - round(s->si)) < 1e-9 * fmax(1, fabs(s->si));
    if (bounds_hold(&b, s->si) && whole)
        return true;
    report_impossible(e, s, &b, row, end);
    return false;
}

static void check_usual(struct env *e, const struct stated *s, const struct property_entry *row)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct bounds b;
    if (!row->usual || !bounds_read(row->usual, &b) || bounds_hold(&b, s->si))
        return;
    struct diagnostic *d = report(g, FAULT_unusual_value, env_span(e, s->node), "%s of %.*s is unusual", row->name,
                                  TEXT_ARGS(node_text(e->file->tree, s->node)));
    report_help(g, d, "usual is %s; check the number and its unit", row->usual);
}

/* A number by itself, or an end of a range. */
static void check_stated(struct env *e, uint32_t node, const struct property_entry *row)
{
    struct stated s;
    if (!stated_at(e, node, row, &s))
        return;
    if (is_rate_a_day(&s))
        report_rate_a_day(e, &s, row);
    else if (check_possible(e, &s, row, ""))
        check_usual(e, &s, row);
}

/* The nominal value moved by a tolerance of its band, which is a difference or a share of it. */
static bool moved_by(struct env *e, const struct stated *nominal, uint32_t node, int sign, struct stated *out)
{
    struct unit unit;
    bool has_unit;
    double value;
    if (!literal_of(e->file->tree, node, &value, &unit, &has_unit))
        return false;
    bool share = has_unit && text_is(unit.spelling, "%") && !text_is(nominal->unit.spelling, "%");
    *out = *nominal;
    out->node = node;
    out->si = nominal->si + sign * (share ? fabs(nominal->si) * value / 100 : unit_difference_to_si(&unit, value));
    return true;
}

static bool may_be_negative(const struct property_entry *row)
{
    struct bounds b;
    return !row->can || !bounds_read(row->can, &b) || b.least < 0;
}

static void report_wider(struct env *e, uint32_t node, const struct property_entry *row)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct diagnostic *d = report(g, FAULT_tolerance_wider, env_span(e, node),
                                  "the tolerance of %s is wider than the value itself", row->name);
    report_help(g, d, "check the unit of the tolerance, or the value");
}

static void check_band(struct env *e, uint32_t band, const struct property_entry *row)
{
    const struct tree *t = e->file->tree;
    struct stated nominal, end;
    uint32_t first = node_child(t, band);
    if (!stated_at(e, first, row, &nominal) || !check_possible(e, &nominal, row, ""))
        return;
    check_usual(e, &nominal, row);
    uint32_t plus = node_next(t, first), minus = node_next(t, plus);
    if (moved_by(e, &nominal, plus, 1, &end) && !check_possible(e, &end, row, " at the upper end of its band"))
        return;
    if (!moved_by(e, &nominal, minus ? minus : plus, -1, &end))
        return;
    if (nominal.si > 0 && end.si < 0 && !nominal.unit.point && !may_be_negative(row))
        report_wider(e, end.node, row);
    else
        check_possible(e, &end, row, " at the lower end of its band");
}

static void check_found(struct env *e, uint32_t find, const struct property_entry *row)
{
    const struct tree *t = e->file->tree;
    uint32_t low = node_child(t, find);
    check_stated(e, low, row);
    check_stated(e, node_next(t, low), row);
}

/* The figures of a table, whose unit stands in its head. */
static void check_figures(struct env *e, uint32_t table, const struct property_entry *row)
{
    const struct tree *t = e->file->tree;
    struct unit units[3];
    uint32_t count = 0, n = node_child(t, table);
    for (; n && node_kind(t, n) == NODE_UNIT_TYPE; n = node_next(t, n), count++)
        if (count == 3 || !read_unit_type(e->scope, t, n, &units[count]))
            return;
    for (; n && count; n = node_next(t, n)) {
        uint32_t head = node_child(t, n);
        if (!head || node_kind(t, head) == NODE_NAME)
            continue;
        for (uint32_t m = node_next(t, head); m; m = node_next(t, m)) {
            struct stated s;
            if (!stated_at(e, m, row, &s))
                continue;
            s.unit = units[count - 1];
            s.si = unit_to_si(&s.unit, s.value);
            if (check_possible(e, &s, row, ""))
                check_usual(e, &s, row);
        }
    }
}

static void check_filled(struct env *e, const struct property *p)
{
    struct text text = node_text(e->file->tree, p->value);
    if (p->entry->need != NEED_REQUIRED || text.len != 2)
        return;
    struct diagnostic *d =
        report(e->scope->diagnostics, FAULT_impossible_value, env_span(e, p->value), "%s is empty", p->entry->name);
    report_help(e->scope->diagnostics, d, "write what it is; papers and revisions are told apart by it");
}

void check_bounds(struct env *e, const struct property *p)
{
    const struct tree *t = e->file->tree;
    uint32_t value =
        p->entry->form == FORM_FUNCTION && scaled_value(t, p->value) ? scaled_value(t, p->value) : p->value;
    enum node_kind kind = node_kind(t, value);
    if (p->entry->form == FORM_TEXT && kind == NODE_TEXT)
        check_filled(e, p);
    if (!p->entry->can && !p->entry->usual)
        return;
    if (kind == NODE_FIND) {
        check_found(e, value, p->entry);
    } else if (kind == NODE_TABLE) {
        check_figures(e, value, p->entry);
    } else if (kind == NODE_TOLERANCE || kind == NODE_TOLERANCES) {
        check_band(e, value, p->entry);
    } else if (kind == NODE_RANGE) {
        check_stated(e, node_child(t, value), p->entry);
        check_stated(e, node_next(t, node_child(t, value)), p->entry);
    } else {
        check_stated(e, value, p->entry);
    }
}
