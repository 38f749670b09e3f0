/* Types of what is declared: properties after their schema row, lets, derived properties, formulas and rules. */
#include "compiler/model/holes.h"
#include "compiler/model/typing.h"
#include "runtime/base/number.h"

#include <math.h>

static struct env env_in(struct scope *s, uint32_t file)
{
    return (struct env){.scope = s, .file = file_at(s, file)};
}

static struct type difference(struct type t)
{
    t.point = false;
    return t;
}

/* ---- quantities and bands ------------------------------------------------------------------------------------------------ */

/* A unit as it stands behind a number: /h, not 1/h. */
static struct text behind_number(struct text unit)
{
    bool inverse = unit.len > 2 && unit.at[0] == '1' && unit.at[1] == '/';
    return inverse ? (struct text){unit.at + 1, unit.len - 1} : unit;
}

/* The unit of the other end of a range or of a tolerance, if it is one of what is wanted; else the schema's. *sure: it
 * stands there. */
static struct text unit_beside(struct env *e, uint32_t node, const struct property_entry *p, bool *sure)
{
    const struct tree *t = e->file->tree;
    struct unit wanted = unit_of_type_text(p->type), unit;
    double value;
    bool has_unit;
    for (uint32_t n = 1; n < t->node_count; n++) {
        enum node_kind kind = node_kind(t, n);
        if ((kind != NODE_RANGE && kind != NODE_FIND && kind != NODE_TOLERANCE) || node_child(t, n) != node)
            continue;
        NODE_EACH_CHILD (t, n, other)
            if (other != node && literal_of(t, other, &value, &unit, &has_unit) && has_unit &&
                unit.point == wanted.point && dim_same(unit.dim, wanted.dim)) {
                *sure = true;
                return unit.spelling;
            }
    }
    *sure = false;
    return behind_number(wanted.spelling);
}

static void report_missing_unit(struct env *e, uint32_t node, const struct property_entry *p)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct unit u = unit_of_type_text(p->type);
    bool sure;
    struct text unit = unit_beside(e, node, p, &sure);
    struct text measure =
        arena_format(g->arena, "%.*s %.*s", TEXT_ARGS(node_text(e->file->tree, node)), TEXT_ARGS(unit));
    struct diagnostic *d = report(g, FAULT_missing_unit, env_span(e, node), "%s needs a unit", p->name);
    report_help(g, d, "it is %.*s: write '%.*s'", TEXT_ARGS(dim_words(g->arena, u.dim, u.point)), TEXT_ARGS(measure));
    if (sure)
        report_edit(g, d, env_span(e, node), measure);
}

/* 1/4 in: a fraction with its unit at the end is read as 1 over 4 in. */
static bool help_with_fraction(struct env *e, struct diagnostic *d, uint32_t node, struct type wanted)
{
    const struct tree *t = e->file->tree;
    double over, under;
    struct unit unit;
    bool has_unit, has_none;
    uint32_t left = node_child(t, node), right = left ? node_next(t, left) : 0;
    if (node_kind(t, node) != NODE_BINARY || node_at(t, node)->op != TOKEN_DIVIDE ||
        !literal_of(t, left, &over, &unit, &has_none) || has_none || !literal_of(t, right, &under, &unit, &has_unit) ||
        !has_unit || under == 0 || unit.point || !dim_same(unit.dim, wanted.dim))
        return false;
    struct text meant = arena_format(e->scope->arena, "%.7g %.*s", over / under, TEXT_ARGS(unit.spelling));
    report_help(e->scope->diagnostics, d, "a fraction is written as a decimal: '%.*s'", TEXT_ARGS(meant));
    if (over / under * 1e6 == (double)(long)(over / under * 1e6))
        report_edit(e->scope->diagnostics, d, env_span(e, node), meant);
    return true;
}

/* A press of 25 t: a mass where a force is wanted. */
static bool help_with_tonnes(struct env *e, struct diagnostic *d, uint32_t node, struct type found, struct type wanted)
{
    static const struct dim mass = {{0, DIM_UNIT, 0, 0, 0}}, force = {{DIM_UNIT, DIM_UNIT, -2 * DIM_UNIT, 0, 0}};
    double value;
    struct unit unit;
    bool has_unit;
    if (!dim_same(found.dim, mass) || !dim_same(wanted.dim, force) ||
        !literal_of(e->file->tree, node, &value, &unit, &has_unit))
        return false;
    report_help(
        e->scope->diagnostics, d,
        "a force is written in kN: the weight of %.*s is %.4g kN; a press's tons may also be short or long, ustonf or "
        "uktonf",
        TEXT_ARGS(node_text(e->file->tree, node)), unit_to_si(&unit, value) * 9.80665 / 1000);
    return true;
}

/* 190 degC - 210 degC and 190 - 210 degC, where a band is wanted. */
static bool help_with_dashed_range(struct env *e, struct diagnostic *d, uint32_t node, const struct property_entry *p)
{
    const struct tree *t = e->file->tree;
    struct unit units[2], wanted = unit_of_type_text(p->type);
    double values[2];
    bool has[2];
    uint32_t left = node_child(t, node), right = left ? node_next(t, left) : 0;
    if ((p->form != FORM_BAND && p->form != FORM_RANGE) || node_kind(t, node) != NODE_BINARY ||
        node_at(t, node)->op != TOKEN_MINUS || !literal_of(t, left, &values[0], &units[0], &has[0]) ||
        !literal_of(t, right, &values[1], &units[1], &has[1]) || !has[1] || values[0] >= values[1] ||
        !dim_same(units[1].dim, wanted.dim))
        return false;
    struct text ends[2] = {node_text(t, left), node_text(t, right)};
    struct text meant = arena_format(e->scope->arena, "%.*s%s%.*s .. %.*s", TEXT_ARGS(ends[0]), has[0] ? "" : " ",
                                     has[0] ? 0 : (int)units[1].spelling.len, units[1].spelling.at, TEXT_ARGS(ends[1]));
    report_help(e->scope->diagnostics, d, "a range is written with two points: '%.*s'", TEXT_ARGS(meant));
    report_edit(e->scope->diagnostics, d, env_span(e, node), meant);
    return true;
}

static void report_unit_mismatch(struct env *e, uint32_t node, struct type found, struct type wanted,
                                 const struct property_entry *p)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct unit u = unit_of_type_text(p->type);
    struct diagnostic *d;
    if (dim_none(wanted.dim)) {
        d = report(g, FAULT_unwanted_unit, env_span(e, node), "%s is a pure number, not %.*s", p->name,
                   TEXT_ARGS(type_words(g->arena, found)));
        report_help(g, d, "leave the unit out, or write %%");
    } else if (dim_same(found.dim, wanted.dim)) {
        d = report(g, FAULT_point_arithmetic, env_span(e, node), "%s is %.*s, not %.*s", p->name,
                   TEXT_ARGS(type_words(g->arena, wanted)), TEXT_ARGS(type_words(g->arena, found)));
        report_help(g, d,
                    wanted.point ? "write a temperature such as 200 degC" : "write a difference in K, such as 5 K");
    } else {
        d = report(g, FAULT_unit_mismatch, env_span(e, node), "%s is %.*s, not %.*s", p->name,
                   TEXT_ARGS(type_words(g->arena, wanted)), TEXT_ARGS(type_words(g->arena, found)));
        if (!help_with_fraction(e, d, node, wanted) && !help_with_tonnes(e, d, node, found, wanted))
            report_help(g, d, "write it in %.*s or another unit of %.*s", TEXT_ARGS(u.spelling),
                        TEXT_ARGS(dim_words(g->arena, wanted.dim, wanted.point)));
    }
    help_with_dashed_range(e, d, node, p);
}

/* 190 - 210 degC: a difference of a number and a temperature would be told in other words. */
static bool is_dashed_range(struct env *e, uint32_t node, const struct property_entry *p)
{
    struct diagnostics *g = e->scope->diagnostics;
    if (!help_with_dashed_range(e, g->scratch, node, p))
        return false;
    const struct tree *t = e->file->tree;
    for (uint32_t i = node_at(t, node)->first; i <= node_at(t, node)->last; i++)
        report_withdraw(g, FAULT_missing_space, token_span(t, i));
    struct diagnostic *d = report(g, FAULT_wrong_form, env_span(e, node), "%s is a range, not a difference", p->name);
    return help_with_dashed_range(e, d, node, p);
}

/* "0.5 mm" in quotes. Quotes of another kind were told by the scanner. */
static void report_quoted(struct env *e, uint32_t node, const struct property_entry *p)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct text raw = node_text(e->file->tree, node);
    if (raw.len < 2 || raw.at[0] != '"')
        return;
    struct text inside = {raw.at + 1, raw.len - 2};
    struct diagnostic *d = report(g, FAULT_wrong_form, env_span(e, node), "%s is a quantity, not a text", p->name);
    if (!inside.len || inside.at[0] < '0' || inside.at[0] > '9') {
        report_help(g, d, "write a number with its unit, as '%s = ... %.*s'", p->name, (int)strcspn(p->type + 1, "]"),
                    p->type + 1);
        return;
    }
    report_help(g, d, "write it without quotes: %s = %.*s", p->name, TEXT_ARGS(inside));
    report_edit(g, d, env_span(e, node), inside);
}

/* A nominal value. K as the unit of a literal is the absolute scale where a point is wanted; degF is a step of its scale
 * where a difference is. A difference in degC is refused all the same: it is written in K. */
static void check_nominal(struct env *e, uint32_t node, struct type wanted, const struct property_entry *p)
{
    if (is_dashed_range(e, node, p))
        return;
    struct type found = type_of(e, node);
    if (found.tag == TYPE_ERROR)
        return;
    double value;
    struct unit unit;
    bool has_unit = true, literal = literal_of(e->file->tree, node, &value, &unit, &has_unit);
    if (found.tag == TYPE_TEXT) {
        report_quoted(e, node, p);
    } else if (found.tag != TYPE_QUANTITY) {
        struct diagnostic *d =
            report(e->scope->diagnostics, FAULT_wrong_form, env_span(e, node), "%s is a quantity, not %.*s", p->name,
                   TEXT_ARGS(type_words(e->scope->arena, found)));
        report_help(e->scope->diagnostics, d, "write a number with its unit, as '%s = ... %.*s'", p->name,
                    (int)strcspn(p->type + 1, "]"), p->type + 1);
    } else if (literal && !has_unit && !dim_none(wanted.dim)) {
        report_missing_unit(e, node, p);
    } else if (literal && found.point && !wanted.point && text_is(unit.spelling, "degF")) {
        return;
    } else if (!dim_same(found.dim, wanted.dim) || (found.point != wanted.point && !(literal && wanted.point))) {
        report_unit_mismatch(e, node, found, wanted, p);
    }
}

/* A tolerance: a difference of the same dimension, or a percentage of the nominal. */
static void check_tolerance(struct env *e, uint32_t node, struct type wanted, const struct property_entry *p)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct type found = type_of(e, node);
    double value;
    struct unit unit;
    bool has_unit, literal = literal_of(e->file->tree, node, &value, &unit, &has_unit);
    if (found.tag != TYPE_QUANTITY)
        return;
    if (literal && has_unit && text_is(unit.spelling, "%") && !wanted.point)
        return;
    if (literal && has_unit && text_is(unit.spelling, "%")) {
        struct diagnostic *d = report(g, FAULT_unit_mismatch, env_span(e, node),
                                      "a temperature has no percentage: the zero of its scale is arbitrary");
        report_help(g, d, "write the tolerance as a difference: '+/- 5 K'");
    } else if (found.point) {
        if (literal && text_is(unit.spelling, "degF") && wanted.point)
            return; /* a step of degF, as the language allows */
        struct diagnostic *d = report(g, FAULT_tolerance_point, env_span(e, node),
                                      "a tolerance is a difference, and '%.*s' is a point on the scale",
                                      TEXT_ARGS(node_text(e->file->tree, node)));
        struct text number = arena_format(g->arena, "%g K", value);
        report_help(g, d, "write it in K: '+/- %.*s'", TEXT_ARGS(number));
        if (literal)
            report_edit(g, d, env_span(e, node), number);
    } else if (literal && !has_unit && !dim_none(wanted.dim)) {
        struct unit u = unit_of_type_text(p->type);
        struct diagnostic *d =
            report(g, FAULT_missing_unit, env_span(e, node), "the tolerance of %s needs a unit", p->name);
        report_help(g, d, "write '%.*s %.*s'%s", TEXT_ARGS(node_text(e->file->tree, node)),
                    TEXT_ARGS(wanted.point ? TEXT("K") : behind_number(u.spelling)),
                    wanted.point ? "" : " or a percentage");
    } else if (!dim_same(found.dim, wanted.dim)) {
        report_unit_mismatch(e, node, found, difference(wanted), p);
    }
}

/* 0.4 mm +/- 2 mm reaches below nothing: one of the two is a slip. What a let states may be an error about zero. */
static void check_width(struct env *e, uint32_t value, struct type wanted, const struct property_entry *p)
{
    const struct tree *t = e->file->tree;
    double nominal, half;
    struct unit unit, step;
    bool has_unit, has_step;
    uint32_t first = node_child(t, value), last = first;
    while (node_next(t, last))
        last = node_next(t, last);
    if (p->kind == KIND_NONE || wanted.point || !literal_of(t, first, &nominal, &unit, &has_unit) ||
        !literal_of(t, last, &half, &step, &has_step))
        return;
    bool percent = has_step && text_is(step.spelling, "%");
    double width = percent ? fabs(nominal) * half / 100 : unit_difference_to_si(&step, half) / unit.factor;
    if (nominal == 0 || width <= fabs(nominal) || (!percent && !dim_same(unit.dim, step.dim)))
        return;
    struct diagnostic *d = report(e->scope->diagnostics, FAULT_tolerance_wider, env_span(e, last),
                                  "the tolerance of %s is wider than the value itself", p->name);
    report_help(e->scope->diagnostics, d, "check the unit of the tolerance, or the value");
}

void check_banded(struct env *e, uint32_t value, struct type wanted, const struct property_entry *p)
{
    const struct tree *t = e->file->tree;
    uint32_t first = node_child(t, value);
    check_nominal(e, first, wanted, p);
    for (uint32_t n = node_next(t, first); n; n = node_next(t, n))
        check_tolerance(e, n, wanted, p);
    check_width(e, value, wanted, p);
}

static void report_form(struct env *e, uint32_t node, const struct property_entry *p, const char *is, const char *help)
{
    struct diagnostic *d = report(e->scope->diagnostics, FAULT_wrong_form, env_span(e, node), "%s is %s", p->name, is);
    struct text type = text_of(p->type); /* a unit as it is written behind a number, without its brackets */
    if (text_is(type, "[1]"))
        type = TEXT("");
    else if (type.len > 2 && type.at[0] == '[')
        type = arena_text(e->scope->arena, (struct text){type.at + 1, type.len - 2});
    report_help(e->scope->diagnostics, d, help, p->name, type.at);
}

/* Two numbers with a comma between are most often one with a decimal comma. */
static void report_list(struct env *e, const struct property *p)
{
    const struct tree *t = e->file->tree;
    struct diagnostics *g = e->scope->diagnostics;
    uint32_t first = node_child(t, p->value), second = node_next(t, first);
    struct diagnostic *d =
        report(g, FAULT_wrong_form, env_span(e, p->value), "%s is one value, not a list", p->entry->name);
    if (node_kind(t, first) != NODE_NUMBER || node_kind(t, second) != NODE_NUMBER || node_next(t, second))
        return;
    struct text mended =
        arena_format(g->arena, "%.*s.%.*s", TEXT_ARGS(node_text(t, first)), TEXT_ARGS(node_text(t, second)));
    report_help(g, d, "decimals are written with a point: '%.*s'", TEXT_ARGS(mended));
}

static bool is_plain_range(struct env *e, const struct property *p)
{
    const struct tree *t = e->file->tree;
    uint32_t low = node_child(t, p->value);
    return node_kind(t, low) == NODE_NUMBER && node_kind(t, node_next(t, low)) == NODE_NUMBER;
}

/* 0.48 mm .. 0.52 mm for a value with a band: its middle and half its width. */
static void report_range_as_band(struct env *e, const struct property *p)
{
    const struct tree *t = e->file->tree;
    struct diagnostics *g = e->scope->diagnostics;
    uint32_t first = node_child(t, p->value);
    double low, high;
    struct unit one, other;
    bool has_low, has_high;
    struct diagnostic *d =
        report(g, FAULT_wrong_form, env_span(e, p->value), "%s is one value, not a range", p->entry->name);
    if (!literal_of(t, first, &low, &one, &has_low) || !literal_of(t, node_next(t, first), &high, &other, &has_high) ||
        !has_high || (has_low && !text_same(one.spelling, other.spelling)) || !(low < high))
        return;
    struct unit step = other.point ? unit_step(other) : other;
    struct text difference = other.point && text_is(other.spelling, "degC") ? TEXT("K") : step.spelling;
    struct text middle = number_print(g->arena, round((low + high) / 2 * 1e9) / 1e9),
                half = number_print(g->arena, round((high - low) / 2 * 1e9) / 1e9);
    struct text meant = arena_format(g->arena, "%.*s %.*s +/- %.*s %.*s", TEXT_ARGS(middle), TEXT_ARGS(other.spelling),
                                     TEXT_ARGS(half), TEXT_ARGS(difference));
    report_help(g, d, "write its middle and half the width: '%.*s'", TEXT_ARGS(meant));
    report_edit(g, d, env_span(e, p->value), meant);
}

static bool is_operation(const struct tree *t, uint32_t node, enum token_kind op)
{
    return node_kind(t, node) == NODE_BINARY && node_at(t, node)->op == op;
}

/* 0.5 mm + 0.02 mm - 0.01 mm: a sum, where a tolerance was most likely meant. */
static void remark_sum(struct env *e, const struct property *p)
{
    const struct tree *t = e->file->tree;
    struct diagnostics *g = e->scope->diagnostics;
    uint32_t sum = node_child(t, p->value);
    if (!is_operation(t, p->value, TOKEN_MINUS) || !is_operation(t, sum, TOKEN_PLUS))
        return;
    uint32_t nominal = node_child(t, sum), parts[] = {nominal, node_next(t, nominal), node_next(t, sum)};
    for (int i = 0; i < 3; i++)
        if (node_kind(t, parts[i]) != NODE_NUMBER)
            return;
    struct diagnostic *d =
        report(g, FAULT_sum_or_tolerance, env_span(e, p->value), "%s is a sum here, without a band", p->entry->name);
    struct text meant = arena_format(g->arena, "%.*s +%.*s -%.*s", TEXT_ARGS(node_text(t, parts[0])),
                                     TEXT_ARGS(node_text(t, parts[1])), TEXT_ARGS(node_text(t, parts[2])));
    report_help(g, d, "if a tolerance is meant, write each sign at its number: '%.*s'", TEXT_ARGS(meant));
    report_edit(g, d, env_span(e, p->value), meant);
}

static void check_quantity(struct env *e, const struct property *p)
{
    const struct tree *t = e->file->tree;
    const struct property_entry *row = p->entry;
    struct type wanted = type_of_property(e->scope, row);
    uint32_t first = node_child(t, p->value);
    enum node_kind kind = node_kind(t, p->value);
    bool may_vary = row->form == FORM_BAND || row->role == ROLE_HELD || row->role == ROLE_SET;
    if ((kind == NODE_TOLERANCE || kind == NODE_TOLERANCES) && row->form != FORM_RANGE) {
        check_banded(e, p->value, wanted, row);
        if (!may_vary) {
            struct diagnostic *d = report(e->scope->diagnostics, FAULT_tolerance_not_allowed, env_span(e, p->value),
                                          "%s takes no tolerance", row->name);
            report_help(e->scope->diagnostics, d, "state one value; it is a plain fact of the recipe");
        }
    } else if (kind == NODE_RANGE && row->form != FORM_QUANTITY) {
        check_nominal(e, first, wanted, row);
        check_nominal(e, node_next(t, first), wanted, row);
    } else if (kind == NODE_RANGE && may_vary && is_plain_range(e, p)) {
        report_range_as_band(e, p);
    } else if (kind == NODE_RANGE) {
        report_form(e, p->value, row, "one value, not a range",
                    may_vary ? "write '%s = ... %s +/- ...'" : "write '%s = ... %s'");
    } else if (kind == NODE_LIST) {
        report_list(e, p);
    } else if (row->form == FORM_RANGE) {
        report_form(e, p->value, row, "a range", "write '%s = LOW .. HIGH', both in %s");
    } else {
        check_nominal(e, p->value, wanted, row);
        if (may_vary)
            remark_sum(e, p);
    }
}

/* ---- words, references, texts ------------------------------------------------------------------------------------------------ */

static void check_word(struct env *e, const struct property *p)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct text word = node_text(e->file->tree, p->value);
    ARRAY(struct text) words = {0};
    if (node_kind(e->file->tree, p->value) == NODE_NAME && is_word_allowed(p->entry, word))
        return;
    for (uint32_t i = 0; word_allowed(p->entry, i).len; i++)
        *ARRAY_PUSH(g->arena, &words) = word_allowed(p->entry, i);
    struct diagnostic *d =
        report(g, FAULT_wrong_word, env_span(e, p->value), "%s cannot be '%.*s'", p->entry->name, TEXT_ARGS(word));
    struct text near = nearest(word, words.at, words.count), list = TEXT("");
    for (uint32_t i = 0; i < words.count; i++)
        list = arena_format(g->arena, "%.*s%s%.*s", TEXT_ARGS(list),
                            i == 0                ? ""
                            : i + 1 < words.count ? ", "
                                                  : " or ",
                            TEXT_ARGS(words.at[i]));
    report_help(g, d, "it is one word of %.*s", TEXT_ARGS(list));
    if (near.len)
        report_edit(g, d, env_span(e, p->value), near);
}

/* "az31b-o" in quotes is a name with too much about it. */
static void report_no_reference(struct env *e, uint32_t node, const struct property_entry *p, enum kind wanted)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct text raw = node_text(e->file->tree, node);
    struct text inside = raw.len > 2 && raw.at[0] == '"' ? (struct text){raw.at + 1, raw.len - 2} : TEXT("");
    atom name = inside.len ? interned(&e->scope->names, inside) : 0;
    struct diagnostic *d =
        report(g, FAULT_wrong_form, env_span(e, node), "%s is the name of another definition", p->name);
    if (name && find_definition(e->scope, wanted, name)) {
        report_help(g, d, "write it without quotes: %s = %.*s", p->name, TEXT_ARGS(inside));
        report_edit(g, d, env_span(e, node), inside);
    } else {
        report_help(g, d, "write '%s = NAME', the name of %s %s", p->name, article_of(p->type), p->type);
    }
}

/* The name of a definition: of the wanted kind first, so that `rim` may be both a corner and a dimension. */
static void check_reference(struct env *e, uint32_t node, const struct property_entry *p)
{
    struct scope *s = e->scope;
    enum kind wanted = kind_named(text_of(p->type));
    struct text name = node_text(e->file->tree, node);
    atom a = interned(&s->names, name);
    if (node_kind(e->file->tree, node) == NODE_NAME && a) {
        for (uint32_t id = find_any_definition(s, a); id; id = definition_at(s, id)->namesake)
            if (kind_is(definition_at(s, id)->kind, wanted)) {
                typing_bind(e, node, BIND_DEFINITION, id);
                return;
            }
    }
    uint32_t other = a ? find_any_definition(s, a) : 0;
    if (node_kind(e->file->tree, node) == NODE_MEMBER) {
        struct type t = type_of(e, node);
        if (t.tag == TYPE_ERROR || (t.tag == TYPE_REFERENCE && kind_is(t.kind, wanted)))
            return;
        report_dimension(e, node, t, (struct type){.tag = TYPE_REFERENCE, .kind = wanted}, p->name);
    } else if (other) {
        struct diagnostic *d = report(s->diagnostics, FAULT_wrong_kind_reference, env_span(e, node),
                                      "%s wants %s %s; '%.*s' is %s %s", p->name, article_of(p->type), p->type,
                                      TEXT_ARGS(name), article_of(kind_table[definition_at(s, other)->kind].name),
                                      kind_table[definition_at(s, other)->kind].name);
        report_label(s->diagnostics, d, definition_span(s, other), "defined here");
        report_help(s->diagnostics, d, "name %s %s", article_of(p->type), p->type);
    } else if (node_kind(e->file->tree, node) != NODE_NAME) {
        report_no_reference(e, node, p, wanted);
    } else if (!scope_lost(s, wanted, name)) {
        struct diagnostic *d = report(s->diagnostics, FAULT_unknown_name, env_span(e, node),
                                      "there is no %s called '%.*s'", p->type, TEXT_ARGS(name));
        struct text near = report_kept(s->diagnostics, d) ? nearest_definition(s, wanted, name) : TEXT("");
        if (near.len) {
            report_help(s->diagnostics, d, "did you mean '%.*s'?", TEXT_ARGS(near));
            report_edit(s->diagnostics, d, env_span(e, node), near);
        } else {
            struct text known = names_of_kind(s, wanted);
            report_help(s->diagnostics, d, "%s%.*s%sdefine it: '%s %.*s { ... }'", known.len ? "there are " : "",
                        TEXT_ARGS(known), known.len ? "; or " : "", p->type, TEXT_ARGS(name));
        }
    }
}

/* PT-148 for "PT-148". The scanner refused its spelling as a name, which it was not meant to be. */
static void report_unquoted(struct env *e, const struct property *p)
{
    const struct tree *t = e->file->tree;
    struct diagnostics *g = e->scope->diagnostics;
    struct span span = env_span(e, p->value);
    struct text raw = {t->bytes.at + span.lo, span.hi - span.lo};
    if (memchr(raw.at, '\n', raw.len) || memchr(raw.at, '"', raw.len)) {
        report_form(e, p->value, p->entry, "a text", "write it in quotes: %s = \"...\"");
        return;
    }
    for (uint32_t i = node_at(t, p->value)->first; i <= node_at(t, p->value)->last; i++)
        report_withdraw(g, FAULT_upper_case_name, token_span(t, i));
    struct diagnostic *d = report(g, FAULT_wrong_form, span, "%s is a text", p->entry->name);
    report_help(g, d, "write it in quotes: %s = \"%.*s\"", p->entry->name, TEXT_ARGS(raw));
    report_edit(g, d, span, arena_format(g->arena, "\"%.*s\"", TEXT_ARGS(raw)));
}

/* lower and upper: a list has commas. */
static bool is_joined_list(struct env *e, uint32_t node)
{
    const struct tree *t = e->file->tree;
    uint32_t left = node_child(t, node), right = left ? node_next(t, left) : 0;
    return node_kind(t, node) == NODE_BINARY && node_at(t, node)->op == TOKEN_AND && right &&
           (node_kind(t, left) == NODE_NAME || is_joined_list(e, left)) && node_kind(t, right) == NODE_NAME;
}

static struct text comma_list(struct env *e, uint32_t node)
{
    const struct tree *t = e->file->tree;
    uint32_t left = node_child(t, node);
    if (node_kind(t, node) == NODE_NAME)
        return node_text(t, node);
    return arena_format(e->scope->arena, "%.*s, %.*s", TEXT_ARGS(comma_list(e, left)),
                        TEXT_ARGS(node_text(t, node_next(t, left))));
}

static void report_joined_list(struct env *e, uint32_t node, const struct property_entry *p)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct text list = comma_list(e, node);
    struct diagnostic *d =
        report(g, FAULT_wrong_form, env_span(e, node), "the items of %s are parted by commas", p->name);
    report_help(g, d, "write '%.*s'", TEXT_ARGS(list));
    report_edit(g, d, env_span(e, node), list);
}

static uint32_t digits_at(struct text t, uint32_t at, int *value)
{
    uint32_t n = 0;
    for (*value = 0; at + n < t.len && t.at[at + n] >= '0' && t.at[at + n] <= '9'; n++)
        *value = *value * 10 + t.at[at + n] - '0';
    return n;
}

/* Three numbers with a mark between, "02.11.2026", "2026/11/02": the date they mean, empty where they could be two. */
static struct text date_meant(struct arena *a, struct text raw)
{
    int part[3];
    uint32_t at = 0, n = 0;
    for (int i = 0; i < 3; i++, at += n + 1)
        if ((n = digits_at(raw, at, &part[i])) == 0 || n > 4 || (i == 2) != (at + n == raw.len))
            return TEXT("");
    bool year_first = part[0] > 31, dotted = memchr(raw.at, '.', raw.len), day_first = dotted || part[0] > 12;
    if (!year_first && (part[2] < 1000 || (!dotted && part[0] <= 12 && part[1] <= 12)))
        return TEXT("");
    int year = year_first ? part[0] : part[2], month = year_first || day_first ? part[1] : part[0],
        day = year_first  ? part[2]
              : day_first ? part[0]
                          : part[1];
    return month < 1 || month > 12 || day < 1 || day > 31 ? TEXT("")
                                                          : arena_format(a, "%04d-%02d-%02d", year, month, day);
}

static bool is_of_date(char c)
{
    return c == '.' || (c >= '0' && c <= '9');
}

static void report_date(struct env *e, const struct property *p)
{
    const struct tree *t = e->file->tree;
    struct diagnostics *g = e->scope->diagnostics;
    struct span span = env_span(e, p->value); /* without what the scanner cut off a number with two points */
    while (span.lo && is_of_date(t->bytes.at[span.lo - 1]))
        span.lo--;
    while (span.hi < t->bytes.len && is_of_date(t->bytes.at[span.hi]))
        span.hi++;
    struct text raw = {t->bytes.at + span.lo, span.hi - span.lo};
    report_withdraw(g, FAULT_bad_number, span);
    bool quoted = raw.len > 2 && raw.at[0] == '"';
    struct text meant = date_meant(g->arena, quoted ? (struct text){raw.at + 1, raw.len - 2} : raw);
    struct diagnostic *d = report(g, FAULT_wrong_form, span, "%s is a date", p->entry->name);
    report_help(g, d, "write '%s = %.*s', year first, no quotes", p->entry->name,
                TEXT_ARGS(meant.len ? meant : TEXT("2026-11-02")));
    if (meant.len)
        report_edit(g, d, span, meant);
}

/* ---- unknowns ---------------------------------------------------------------------------------------------------- */

static void check_preference(struct env *e, uint32_t node)
{
    struct text word = node_text(e->file->tree, node);
    if (text_is(word, "lowest") || text_is(word, "highest") || text_is(word, "margin"))
        return;
    struct diagnostic *d = report(e->scope->diagnostics, FAULT_wrong_word, env_span(e, node),
                                  "a value cannot be preferred by '%.*s'", TEXT_ARGS(word));
    report_help(e->scope->diagnostics, d, "prefer lowest, highest or margin, which is the most margin of all limits");
}

static void check_find(struct env *e, const struct property *p)
{
    const struct tree *t = e->file->tree;
    struct diagnostics *g = e->scope->diagnostics;
    struct type wanted = type_of_property(e->scope, p->entry);
    bool held = p->entry->role == ROLE_HELD || p->entry->role == ROLE_SET;
    if (!held || (p->entry->form != FORM_QUANTITY && p->entry->form != FORM_BAND)) {
        struct diagnostic *d =
            report(g, FAULT_find_not_here, env_span(e, p->value), "%s cannot be looked for", p->entry->name);
        report_help(g, d, "find stands for what the process sets or holds, such as a tool's temperature or a time");
        return;
    }
    uint32_t low = node_child(t, p->value), high = node_next(t, low);
    check_nominal(e, low, wanted, p->entry);
    check_nominal(e, high, wanted, p->entry);
    for (uint32_t n = node_next(t, high); n; n = node_next(t, n)) {
        if (node_kind(t, n) == NODE_NAME)
            check_preference(e, n);
        else
            check_tolerance(e, n, wanted, p->entry);
    }
}

static void check_one_reference(struct env *e, const struct property *p)
{
    if (node_kind(e->file->tree, p->value) == NODE_LIST)
        report_form(e, p->value, p->entry, "one definition, not a list", "write '%s = NAME', the name of a %s");
    else
        check_reference(e, p->value, p->entry);
}

static void check_references(struct env *e, const struct property *p)
{
    const struct tree *t = e->file->tree;
    if (node_kind(t, p->value) == NODE_LIST) {
        NODE_EACH_CHILD (t, p->value, n)
            check_reference(e, n, p->entry);
    } else if (is_joined_list(e, p->value)) {
        report_joined_list(e, p->value, p->entry);
    } else {
        check_reference(e, p->value, p->entry);
    }
}

static void check_form(struct env *e, const struct property *p)
{
    enum node_kind kind = node_kind(e->file->tree, p->value);
    if (kind == NODE_FIND) {
        check_find(e, p);
        return;
    }
    check_spread(e, p->site.node, p->value,
                 p->entry->role == ROLE_HELD || p->entry->role == ROLE_SET || p->entry->form == FORM_FUNCTION);
    switch (p->entry->form) {
    case FORM_QUANTITY:
    case FORM_BAND:
    case FORM_RANGE:
        check_quantity(e, p);
        break;
    case FORM_FUNCTION:
        check_function(e, p);
        break;
    case FORM_REFERENCES:
        check_references(e, p);
        break;
    case FORM_REFERENCE:
        check_one_reference(e, p);
        break;
    case FORM_WORD:
        check_word(e, p);
        break;
    case FORM_TEXT:
        if (kind == NODE_TEXT)
            type_of(e, p->value);
        else
            report_unquoted(e, p);
        break;
    case FORM_DATE:
        if (kind != NODE_DATE)
            report_date(e, p);
        break;
    case FORM_TRUTH:
        if (type_of(e, p->value).tag != TYPE_TRUTH)
            report_form(e, p->value, p->entry, "true or false", "write '%s = true'");
        break;
    }
}

/* What a number can be is asked only of one that is well stated: with the unit and in the form its row wants. */
void check_property(struct scope *s, const struct property *p)
{
    struct env e = env_in(s, p->site.file);
    e.self = kind_table[p->entry->kind].flags & KIND_ABSTRACT ? definition_at(s, p->definition)->kind : p->entry->kind;
    if (!p->value || node_kind(e.file->tree, p->value) == NODE_ERROR)
        return;
    if (node_kind(e.file->tree, p->value) == NODE_HOLE) {
        check_open(&e, p);
        return;
    }
    uint32_t said = s->diagnostics->all.count;
    check_form(&e, p);
    if (s->diagnostics->all.count == said)
        check_bounds(&e, p);
}
