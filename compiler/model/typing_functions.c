/* Types of property functions: tables, their heads and rows, and what moves all of one. */
#include "compiler/model/typing.h"

/* "expansion(temperature [degC]) [1/K] = ..." */
static struct text form_of_function(struct arena *a, const struct property_entry *p)
{
    const char *arrow = strstr(p->type, " -> ");
    return arrow ? arena_format(a, "%s(%.*s) %s = ...", p->name, (int)(arrow - p->type), p->type, arrow + 4)
                 : text_of(p->name);
}

static bool check_row(struct env *e, uint32_t row, uint32_t width)
{
    const struct tree *t = e->file->tree;
    uint32_t count = 0;
    NODE_EACH_CHILD (t, row, n) {
        if (node_kind(t, n) == NODE_NUMBER)
            type_of(e, n);
        if (node_kind(t, n) == NODE_NUMBER && node_at(t, n)->last - node_at(t, n)->first > 0 &&
            !(node_at(t, n)->flags & NODE_NEGATIVE)) {
            struct diagnostic *d = report(e->scope->diagnostics, FAULT_unwanted_unit, env_span(e, n),
                                          "numbers in a table carry no unit; its head states them");
            report_help(e->scope->diagnostics, d, "leave the unit out");
        }
        count++;
    }
    if (count - 1 == width)
        return true;
    struct diagnostic *d =
        report(e->scope->diagnostics, FAULT_table_shape, env_span(e, row),
               "this row has %u value%s; the table wants %u", count - 1, count == 2 ? "" : "s", width);
    report_help(e->scope->diagnostics, d,
                width == 1 ? "write 'ARGUMENT: VALUE', decimals with a point"
                           : "give one value for each number after 'across:'");
    return false;
}

/* Rows of equal width, arguments strictly increasing, at least two of them. */
static void check_rows(struct env *e, uint32_t table, uint32_t row, bool grid)
{
    struct diagnostics *g = e->scope->diagnostics;
    const struct tree *t = e->file->tree;
    uint32_t width = 1, rows = 0;
    double before = 0, value = 0;
    struct unit unit;
    bool has_unit, across = row && node_kind(t, node_child(t, row)) == NODE_NAME;
    if (grid && across) {
        width = node_count_children(t, row) - 1;
        for (uint32_t n = node_next(t, node_child(t, row)), i = 0; n; n = node_next(t, n), i++, before = value)
            if (literal_of(t, n, &value, &unit, &has_unit) && i && value <= before) {
                struct diagnostic *d =
                    report(g, FAULT_table_not_increasing, env_span(e, n), "the numbers after 'across:' must increase");
                report_help(g, d, "sort them from low to high, each once");
            }
        row = node_next(t, row);
    } else if (grid || across) {
        struct diagnostic *d = report(g, FAULT_table_shape, env_span(e, row ? row : table),
                                      grid ? "a table of two variables begins with a row 'across:'"
                                           : "only a table of two variables has a row 'across:'");
        report_help(g, d, grid ? "write 'across: 0.01, 0.1, 1' first" : "write 'table [degC], [1/s] to [MPa] {'");
        return;
    }
    for (; row; row = node_next(t, row), rows++) {
        check_row(e, row, width);
        uint32_t head = node_child(t, row);
        if (literal_of(t, head, &value, &unit, &has_unit) && rows && value <= before) {
            struct diagnostic *d = report(g, FAULT_table_not_increasing, env_span(e, head),
                                          "the arguments of a table must increase from row to row");
            report_help(g, d, "sort the rows from low to high, each argument once");
        }
        before = value;
    }
    if (rows < 2) {
        struct diagnostic *d = report(g, FAULT_table_empty, env_span(e, table), "a table needs at least two rows");
        report_help(g, d, "for one value, state it without a table");
    }
}

static void report_table_unit(struct env *e, uint32_t node, struct type found, struct type wanted, const char *what)
{
    struct diagnostics *g = e->scope->diagnostics;
    struct diagnostic *d = report(g, FAULT_table_units, env_span(e, node), "%s is %.*s, not %.*s", what,
                                  TEXT_ARGS(type_words(g->arena, found)), TEXT_ARGS(type_words(g->arena, wanted)));
    struct unit usual = unit_default(g->arena, wanted.dim, wanted.point);
    report_help(g, d, "write [%.*s] or another unit of %.*s", TEXT_ARGS(usual.spelling),
                TEXT_ARGS(type_words(g->arena, wanted)));
}

static void check_table(struct env *e, uint32_t table, const struct signature *wanted, const struct property_entry *p)
{
    const struct tree *t = e->file->tree;
    struct unit units[3];
    uint32_t count = 0, n = node_child(t, table);
    for (; n && node_kind(t, n) == NODE_UNIT_TYPE; n = node_next(t, n), count++)
        if (count < 3 && !read_unit_type(e->scope, t, n, &units[count]))
            return;
    if (count != wanted->count + 1) {
        struct diagnostic *d = report(e->scope->diagnostics, FAULT_table_units, env_span(e, table),
                                      "%s takes %u argument%s; this table has %u", p->name, wanted->count,
                                      wanted->count == 1 ? "" : "s", count ? count - 1 : 0);
        report_help(e->scope->diagnostics, d, "its form is '%.*s'", TEXT_ARGS(form_of_function(e->scope->arena, p)));
        return;
    }
    for (uint32_t i = 0, m = node_child(t, table); i < count; i++, m = node_next(t, m)) {
        struct type want = i < wanted->count ? wanted->parameters[i].type : wanted->result.type;
        struct type found = type_quantity(units[i].dim, units[i].point);
        if (!type_same(found, want))
            report_table_unit(e, m, found, want,
                              i < wanted->count ? "this argument of the table" : "the table's value");
    }
    check_rows(e, table, n, count == 3);
}

static void check_signature(struct env *e, uint32_t node, const struct signature *found, const struct signature *wanted,
                            const struct property_entry *p)
{
    bool same = found->count == wanted->count && type_same(found->result.type, wanted->result.type);
    for (uint32_t i = 0; same && i < found->count; i++)
        same = type_same(found->parameters[i].type, wanted->parameters[i].type);
    if (same)
        return;
    struct diagnostic *d = report(e->scope->diagnostics, FAULT_signature_mismatch, env_span(e, node),
                                  "%s does not have these arguments and this result", p->name);
    report_help(e->scope->diagnostics, d, "write '%.*s'", TEXT_ARGS(form_of_function(e->scope->arena, p)));
}

static struct signature read_signature(struct scope *s, const struct tree *t, uint32_t node)
{
    struct signature g = {0};
    struct unit u;
    NODE_EACH_CHILD (t, node, n) {
        struct parameter p = {.type = type_plain(TYPE_ERROR), .power = 1};
        uint32_t name = node_kind(t, n) == NODE_PARAMETER ? node_child(t, n) : 0;
        uint32_t type = name ? node_next(t, name) : n;
        if (type && read_unit_type(s, t, type, &u))
            p.type = type_quantity(u.dim, u.point);
        if (name)
            p.name = node_text(t, name);
        if (!name)
            g.result = p;
        else if (g.count < SIGNATURE_LIMIT)
            g.parameters[g.count++] = p;
    }
    return g;
}

/* What all of a table or a formula may be off by: a share of it, for its values differ from place to place. */
static void check_percent(struct env *e, uint32_t node, const struct property_entry *p)
{
    double value;
    struct unit unit;
    bool has_unit;
    if (literal_of(e->file->tree, node, &value, &unit, &has_unit) && has_unit && text_is(unit.spelling, "%"))
        return;
    struct diagnostic *d = report(e->scope->diagnostics, FAULT_wrong_form, env_span(e, node),
                                  "the tolerance of all of %s is a percentage", p->name);
    report_help(e->scope->diagnostics, d, "write it as '+/- 2 %%'; it moves the whole curve up or down together");
}

void check_function(struct env *e, const struct property *p)
{
    const struct tree *t = e->file->tree;
    struct signature wanted = signature_of_rows(p->entry->type), own = wanted;
    uint32_t node = node_find(t, p->site.node, NODE_SIGNATURE);
    if (node) {
        own = read_signature(e->scope, t, node);
        check_signature(e, node, &own, &wanted, p->entry);
        for (uint32_t i = 0; i < own.count; i++)
            e->locals[e->count++] =
                (struct local){intern(&e->scope->names, own.parameters[i].name), own.parameters[i].type};
    }
    uint32_t value = p->value, whole = scaled_value(t, value);
    for (uint32_t n = whole ? node_next(t, whole) : 0; n; n = node_next(t, n))
        check_percent(e, n, p->entry);
    value = whole ? whole : value;
    if (node_kind(t, value) == NODE_TABLE) {
        check_table(e, value, &wanted, p->entry);
        return;
    }
    if (node_is_banded(t, value)) {
        check_banded(e, value, wanted.result.type, p->entry);
        return;
    }
    struct type found = type_of(e, value);
    double number;
    struct unit unit;
    bool has_unit = true;
    literal_of(t, value, &number, &unit, &has_unit);
    if (found.tag == TYPE_ERROR || type_same(found, wanted.result.type))
        return;
    if (!has_unit) {
        struct text example = unit_default(e->scope->arena, wanted.result.type.dim, wanted.result.type.point).spelling;
        struct diagnostic *d =
            report(e->scope->diagnostics, FAULT_missing_unit, env_span(e, value), "%s needs a unit", p->entry->name);
        report_help(e->scope->diagnostics, d, "write '%.*s %.*s'", TEXT_ARGS(node_text(t, value)), TEXT_ARGS(example));
    } else {
        report_dimension(e, value, found, wanted.result.type, p->entry->name);
    }
}
