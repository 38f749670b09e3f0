/* Whether two parts of trees mean the same.
 *
 * Numbers are compared in SI, parentheses that only group are looked through, names of matched items and parameters at
 * the same place are equal whatever they are called. */
#include "compiler/review/compare/parts.h"
#include "runtime/compare.h"

struct part {
    const struct side *side;
    const struct unit_file *file;
    const struct tree *tree;
    uint32_t number, node;
};

static struct part part_at(const struct side *side, struct site site)
{
    const struct unit_file *file = file_at(side->scope, site.file);
    return (struct part){side, file, file->tree, site.file, site.node};
}

static struct part inner(struct part p, uint32_t node)
{
    p.node = node;
    return p;
}

static struct part unwrapped(struct part p)
{
    while (p.node && node_kind(p.tree, p.node) == NODE_PAREN)
        p.node = node_child(p.tree, p.node);
    return p;
}

static struct binding binding_of(struct part p)
{
    return p.file->bindings ? p.file->bindings[p.node] : (struct binding){0};
}

static bool number_of(struct part p, double *si)
{
    double value;
    struct unit unit;
    bool has_unit;
    if (!literal_of(p.tree, p.node, &value, &unit, &has_unit))
        return false;
    *si = unit_to_si(&unit, value);
    return true;
}

/* [mm] as a unit. */
static bool unit_of(struct part p, struct unit *unit)
{
    struct text t = node_text(p.tree, p.node);
    struct unit_error error;
    if (t.len < 2)
        return false;
    return unit_read((struct text){t.at + 1, t.len - 2}, unit, &error) == UNIT_OK;
}

/* ---- names --------------------------------------------------------------------------------------------------------- */

/* Finds the sort of item that a binding refers to; false when it refers to none. */
static bool leads_to(struct binding b, enum item_sort *sort)
{
    *sort = b.what == BIND_LET ? ITEM_LET : b.what == BIND_FORMULA ? ITEM_FORMULA : ITEM_DEFINITION;
    return b.what == BIND_LET || b.what == BIND_FORMULA || b.what == BIND_DEFINITION;
}

enum answer { NO, YES, OPEN }; /* OPEN: not decided by the bindings, so the spelling is compared */

static enum answer same_target(struct matcher *m, struct part a, struct part b)
{
    struct binding x = binding_of(a), y = binding_of(b);
    enum item_sort sort, other;
    if (x.what == BIND_LOCAL && y.what == BIND_LOCAL)
        return x.id == y.id ? YES : NO;
    if (!leads_to(x, &sort) || !leads_to(y, &other))
        return OPEN;
    return sort == other && compare_match_id(m, sort, x.id) == y.id ? YES : NO;
}

/* ---- comparing ------------------------------------------------------------------------------------------------------ */

static bool same(struct matcher *m, struct part a, struct part b);

static bool same_children(struct matcher *m, struct part a, struct part b, uint32_t x, uint32_t y)
{
    for (; x && y; x = node_next(a.tree, x), y = node_next(b.tree, y))
        if (!same(m, inner(a, x), inner(b, y)))
            return false;
    return !x && !y;
}

static bool same_text(struct matcher *m, struct part a, struct part b)
{
    uint32_t pieces = node_count_children(a.tree, a.node) + 1;
    if (pieces != node_count_children(b.tree, b.node) + 1)
        return false;
    for (uint32_t i = 0; i < pieces; i++)
        if (!text_same(text_piece(m->arena, a.tree, a.node, i), text_piece(m->arena, b.tree, b.node, i)))
            return false;
    return same_children(m, a, b, node_child(a.tree, a.node), node_child(b.tree, b.node));
}

static bool same_unit(struct part a, struct part b)
{
    struct unit x, y;
    if (!unit_of(a, &x) || !unit_of(b, &y))
        return text_same(node_text(a.tree, a.node), node_text(b.tree, b.node));
    return dim_same(x.dim, y.dim) && x.point == y.point && same_value(x.factor, y.factor);
}

/* The units of a table: in, perhaps across, out. */
static uint32_t table_units(struct part table, struct unit units[3], uint32_t *first_row)
{
    uint32_t count = 0;
    *first_row = 0;
    NODE_EACH_CHILD (table.tree, table.node, n) {
        if (node_kind(table.tree, n) != NODE_UNIT_TYPE) {
            *first_row = n;
            break;
        }
        if (count == 3 || !unit_of(inner(table, n), &units[count]))
            return 0;
        count++;
    }
    return count;
}

static bool same_cell(struct part a, struct part b, const struct unit *x, const struct unit *y)
{
    double p, q;
    struct unit unit;
    bool has_unit;
    if (!literal_of(a.tree, a.node, &p, &unit, &has_unit) || !literal_of(b.tree, b.node, &q, &unit, &has_unit))
        return text_same(node_text(a.tree, a.node), node_text(b.tree, b.node));
    return same_value(unit_to_si(x, p), unit_to_si(y, q));
}

/* The heads of rows are in the first unit of a table, the other cells of its head row in the second. */
static bool same_row(struct part a, struct part b, const struct unit *x, const struct unit *y, uint32_t units)
{
    uint32_t p = node_child(a.tree, a.node), q = node_child(b.tree, b.node);
    bool heads = units == 3 && p && node_kind(a.tree, p) == NODE_NAME;
    for (uint32_t i = 0; p && q; i++, p = node_next(a.tree, p), q = node_next(b.tree, q)) {
        uint32_t unit = i == 0 ? 0 : heads ? 1 : units - 1;
        if (!same_cell(inner(a, p), inner(b, q), &x[unit], &y[unit]))
            return false;
    }
    return !p && !q;
}

static bool same_table(struct matcher *m, struct part a, struct part b)
{
    struct unit x[3], y[3];
    uint32_t p, q, count = table_units(a, x, &p);
    if (!count || count != table_units(b, y, &q))
        return same_children(m, a, b, node_child(a.tree, a.node), node_child(b.tree, b.node));
    for (uint32_t i = 0; i < count; i++)
        if (!dim_same(x[i].dim, y[i].dim) || x[i].point != y[i].point)
            return false;
    for (; p && q; p = node_next(a.tree, p), q = node_next(b.tree, q))
        if (!same_row(inner(a, p), inner(b, q), x, y, count))
            return false;
    return !p && !q;
}

/* each KIND as NAME: the name is a parameter. */
static bool same_each(struct matcher *m, struct part a, struct part b)
{
    uint32_t p = node_child(a.tree, a.node), q = node_child(b.tree, b.node);
    if (!p || !q || !same(m, inner(a, p), inner(b, q)))
        return !p && !q;
    p = node_next(a.tree, p), q = node_next(b.tree, q);
    if (!p || !q)
        return !p && !q;
    return same_children(m, a, b, node_next(a.tree, p), node_next(b.tree, q));
}

/* Compares names, members and calls by their bindings, and by their spelling where these do not decide. */
static bool same_named(struct matcher *m, struct part a, struct part b)
{
    enum answer answer = same_target(m, a, b);
    if (answer != OPEN)
        return answer == YES;
    if (node_kind(a.tree, a.node) == NODE_NAME)
        return text_same(node_text(a.tree, a.node), node_text(b.tree, b.node));
    return same_children(m, a, b, node_child(a.tree, a.node), node_child(b.tree, b.node));
}

static bool same(struct matcher *m, struct part a, struct part b)
{
    double x, y;
    a = unwrapped(a);
    b = unwrapped(b);
    if (!a.node || !b.node)
        return a.node == b.node;
    if (number_of(a, &x) && number_of(b, &y))
        return same_value(x, y);
    enum node_kind kind = node_kind(a.tree, a.node);
    if (kind != node_kind(b.tree, b.node) || node_at(a.tree, a.node)->op != node_at(b.tree, b.node)->op)
        return false;
    switch (kind) {
    case NODE_NAME:
    case NODE_MEMBER:
        return same_named(m, a, b);
    case NODE_TEXT:
        return same_text(m, a, b);
    case NODE_UNIT_TYPE:
        return same_unit(a, b);
    case NODE_TABLE:
        return same_table(m, a, b);
    case NODE_EACH:
        return same_each(m, a, b);
    case NODE_PARAMETER:
        return same_children(m, a, b, node_next(a.tree, node_child(a.tree, a.node)),
                             node_next(b.tree, node_child(b.tree, b.node)));
    case NODE_NUMBER:
    case NODE_DATE:
    case NODE_ERROR:
        return text_same(node_text(a.tree, a.node), node_text(b.tree, b.node));
    default:
        return same_children(m, a, b, node_child(a.tree, a.node), node_child(b.tree, b.node));
    }
}

bool compare_same_part(struct matcher *m, struct site old, struct site new)
{
    if (old.file == new.file && old.file < m->old.scope->first_file) /* both in the library */
        return old.node == new.node;
    return same(m, part_at(&m->old, old), part_at(&m->new, new));
}

/* ---- hashing -------------------------------------------------------------------------------------------------------- */

static uint64_t mix(uint64_t hash, uint64_t more)
{
    hash = (hash ^ more) * 0x9E3779B97F4A7C15u;
    return hash ^ hash >> 29;
}

/* Rounds to 11 digits, so that values that same_value() takes for equal have one hash. */
static uint64_t hash_number(struct matcher *m, double si)
{
    return text_hash(arena_format(m->arena, "%.10e", si == 0 ? 0.0 : si));
}

/* Hashes matched items by their number on the new side, items of the library by their own, and all others alike. */
static uint64_t hash_target(const struct side *side, struct part p, uint64_t spelling, const struct matcher *m)
{
    struct binding b = binding_of(p);
    enum item_sort sort;
    if (b.what == BIND_LOCAL)
        return mix(BIND_LOCAL, b.id);
    if (!leads_to(b, &sort))
        return spelling;
    if (!compare_is_own(side, sort, b.id))
        return mix(1000 + (uint64_t)sort, b.id);
    uint32_t item = compare_item_of(side, sort, b.id), match = item ? side->items.at[item].match : 0;
    uint32_t new_item = side == &m->new ? item : match;
    return mix(2000 + (uint64_t)sort, match ? new_item : 0);
}

static uint64_t hash(struct matcher *m, struct part p);

static uint64_t hash_table(struct matcher *m, struct part table)
{
    struct unit units[3], unit;
    uint32_t row, count = table_units(table, units, &row);
    uint64_t out = mix(NODE_TABLE, count);
    bool has_unit;
    double value;
    for (; count && row; row = node_next(table.tree, row)) {
        uint32_t cell = node_child(table.tree, row), i = 0;
        bool heads = count == 3 && cell && node_kind(table.tree, cell) == NODE_NAME;
        for (; cell; cell = node_next(table.tree, cell), i++)
            if (literal_of(table.tree, cell, &value, &unit, &has_unit))
                out = mix(out, hash_number(m, unit_to_si(&units[i == 0 ? 0 : heads ? 1 : count - 1], value)));
    }
    return out;
}

static uint64_t hash(struct matcher *m, struct part p)
{
    double si;
    p = unwrapped(p);
    if (!p.node)
        return 0;
    if (number_of(p, &si))
        return hash_number(m, si);
    enum node_kind kind = node_kind(p.tree, p.node);
    uint64_t out = mix(kind, node_at(p.tree, p.node)->op);
    switch (kind) {
    case NODE_NAME:
    case NODE_DATE:
    case NODE_NUMBER:
    case NODE_ERROR:
        return hash_target(p.side, p, mix(out, text_hash(node_text(p.tree, p.node))), m);
    case NODE_TABLE:
        return hash_table(m, p);
    case NODE_UNIT_TYPE: /* the same unit may be written in many ways */
    case NODE_PARAMETER:
        return out;
    case NODE_EACH:
        return mix(out, hash(m, inner(p, node_child(p.tree, p.node))));
    case NODE_TEXT:
        for (uint32_t i = 0; i <= node_count_children(p.tree, p.node); i++)
            out = mix(out, text_hash(text_piece(m->arena, p.tree, p.node, i)));
        break;
    case NODE_MEMBER:
    case NODE_CALL:
        if (hash_target(p.side, p, 0, m))
            return mix(out, hash_target(p.side, p, 0, m));
        break;
    default:
        break;
    }
    NODE_EACH_CHILD (p.tree, p.node, n)
        out = mix(out, hash(m, inner(p, n)));
    return out;
}

uint64_t compare_hash_part(struct matcher *m, const struct side *side, struct site site)
{
    if (!site.node)
        return 0;
    return hash(m, part_at(side, site));
}
