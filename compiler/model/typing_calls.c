/* Types of calls: formulas, property functions, built-in functions, and what is decided when the recipe is compiled. */
#include "compiler/model/typing.h"

static const struct special_row {
    const char *name;
    enum special special;
} specials[] = {
    {"given", SPECIAL_GIVEN},       {"banded", SPECIAL_BANDED}, {"lower", SPECIAL_LOWER},   {"upper", SPECIAL_UPPER},
    {"previous", SPECIAL_PREVIOUS}, {"first", SPECIAL_FIRST},   {"second", SPECIAL_SECOND}, {"listed", SPECIAL_LISTED},
    {"count", SPECIAL_COUNT},       {"sum", SPECIAL_SUM},
};

static struct type number_type(void)
{
    return type_quantity((struct dim){{0}}, false);
}

/* ---- signatures of the tables ----------------------------------------------------------------------------------------- */

struct unit unit_of_type_text(const char *type)
{
    struct unit unit = {.factor = 1};
    struct unit_error error;
    size_t n = strlen(type);
    if (n >= 2 && type[0] == '[')
        unit_read((struct text){type + 1, (uint32_t)n - 2}, &unit, &error);
    return unit;
}

/* One of "'a", "'a...", "'a^1/2", "'a difference", "[mm]", "temperature [degC]". */
static struct parameter parameter_of(struct text row, bool *repeats)
{
    struct parameter p = {.type = number_type(), .power = 1};
    if (row.len && row.at[0] == '\'') {
        p.variable = (struct text){row.at, 2};
        *repeats = row.len >= 5 && memcmp(row.at + row.len - 3, "...", 3) == 0;
        if (row.len == 6 && memcmp(row.at + 2, "^1/2", 4) == 0)
            p.power = 0.5;
        p.difference = row.len == 13 && memcmp(row.at + 2, " difference", 11) == 0;
        return p;
    }
    const char *open = memchr(row.at, '[', row.len);
    if (!open)
        return p;
    p.name = (struct text){row.at, (uint32_t)(open - row.at)};
    while (p.name.len && p.name.at[p.name.len - 1] == ' ')
        p.name.len--;
    struct unit unit = {.factor = 1};
    struct unit_error error;
    unit_read((struct text){open + 1, (uint32_t)(row.at + row.len - open - 2)}, &unit, &error);
    p.type = type_quantity(unit.dim, unit.point);
    return p;
}

struct signature signature_of_rows(const char *type)
{
    struct signature s = {0};
    const char *arrow = strstr(type, " -> ");
    bool ignored = false;
    for (const char *at = type; arrow && at < arrow && s.count < SIGNATURE_LIMIT;) {
        const char *end = at;
        while (end < arrow && *end != ',')
            end++;
        s.parameters[s.count++] = parameter_of((struct text){at, (uint32_t)(end - at)}, &s.repeats);
        at = end + (end < arrow ? 2 : 0);
    }
    if (arrow)
        s.result = parameter_of(text_of(arrow + 4), &ignored);
    return s;
}

static struct parameter read_parameter(struct scope *s, const struct tree *t, uint32_t name, uint32_t type)
{
    struct parameter p = {.type = type_plain(TYPE_ERROR), .power = 1};
    struct unit unit;
    if (name)
        p.name = node_text(t, name);
    if (type && read_unit_type(s, t, type, &unit))
        p.type = type_quantity(unit.dim, unit.point);
    return p;
}

static struct signature signature_of_node(struct scope *s, const struct tree *t, uint32_t node)
{
    struct signature g = {0};
    NODE_EACH_CHILD (t, node, n) {
        if (node_kind(t, n) == NODE_UNIT_TYPE)
            g.result = read_parameter(s, t, 0, n);
        else if (node_kind(t, n) == NODE_PARAMETER && g.count < SIGNATURE_LIMIT)
            g.parameters[g.count++] = read_parameter(s, t, node_child(t, n), node_next(t, node_child(t, n)));
        else if (node_kind(t, n) == NODE_PARAMETER) {
            struct diagnostic *d = report(s->diagnostics, FAULT_wrong_arguments, node_span(t, n),
                                          "more than %d parameters", SIGNATURE_LIMIT);
            report_help(s->diagnostics, d, "split the formula into two");
        }
    }
    return g;
}

const struct signature *signature_of_formula(struct scope *s, uint32_t id)
{
    const struct formula *f = formula_at(s, id);
    if (!f->signature) {
        const struct tree *t = file_at(s, f->site.file)->tree;
        struct signature *g = ARENA_NEW(s->arena, struct signature);
        *g = signature_of_node(s, t, node_find(t, f->site.node, NODE_SIGNATURE));
        s->formulas.at[id - s->first_formula].signature = g; /* a lower scope's formulas are typed already */
    }
    return formula_at(s, id)->signature;
}

/* ---- arguments -------------------------------------------------------------------------------------------------------- */

static void report_count(struct env *e, uint32_t node, struct text name, uint32_t found, const struct signature *g)
{
    struct diagnostics *d = e->scope->diagnostics;
    struct diagnostic *r =
        report(d, FAULT_wrong_arguments, env_span(e, node), "'%.*s' takes %s%u argument%s, not %u", TEXT_ARGS(name),
               g->repeats ? "at least " : "", g->count, g->count == 1 ? "" : "s", found);
    struct text list = TEXT("");
    for (uint32_t i = 0; i < g->count; i++) {
        const struct parameter *p = &g->parameters[i];
        struct text words = p->variable.len ? TEXT("any quantity") : type_words(d->arena, p->type);
        list = arena_format(d->arena, "%.*s%s%.*s%s%.*s", TEXT_ARGS(list), i ? ", " : "", TEXT_ARGS(p->name),
                            p->name.len ? ": " : "", TEXT_ARGS(words));
    }
    report_help(d, r, "it takes (%.*s)", TEXT_ARGS(list));
}

/* The dimension of 'a is what the first argument for it has; the others must have the same. */
static void match_argument(struct env *e, uint32_t node, struct type found, const struct parameter *p, struct type *any,
                           struct text name)
{
    struct type wanted = p->variable.len ? *any : p->type;
    if (found.tag == TYPE_ERROR || wanted.tag == TYPE_ERROR)
        return;
    if (p->variable.len && any->tag == TYPE_TRUTH) { /* not yet known */
        if (found.tag == TYPE_QUANTITY)
            *any = found;
        wanted = found.tag == TYPE_QUANTITY ? found : number_type();
    }
    if (!type_same(found, wanted) || found.tag != TYPE_QUANTITY) {
        struct text what =
            p->name.len ? arena_format(e->scope->arena, "the %.*s of '%.*s'", TEXT_ARGS(p->name), TEXT_ARGS(name))
                        : arena_format(e->scope->arena, "this argument of '%.*s'", TEXT_ARGS(name));
        report_dimension(e, node, found, wanted, what.at);
    }
}

static struct type match_arguments(struct env *e, uint32_t node, struct text name, const struct signature *g)
{
    const struct tree *t = e->file->tree;
    struct type any = {.tag = TYPE_TRUTH};
    uint32_t count = 0;
    for (uint32_t n = node_next(t, node_child(t, node)); n; n = node_next(t, n), count++) {
        uint32_t which = count < g->count ? count : g->count - 1;
        struct type found = type_of(e, n);
        if (g->count && (count < g->count || g->repeats))
            match_argument(e, n, found, &g->parameters[which], &any, name);
    }
    if (count < g->count || (count > g->count && !g->repeats)) {
        report_count(e, node, name, count, g);
        return g->result.variable.len ? type_plain(TYPE_ERROR) : g->result.type;
    }
    if (!g->result.variable.len)
        return g->result.type;
    if (any.tag != TYPE_QUANTITY)
        return type_plain(TYPE_ERROR);
    struct dim dim = any.dim;
    if (g->result.power != 1 && (any.point || !dim_power(any.dim, g->result.power, &dim)))
        return type_plain(TYPE_ERROR);
    return type_quantity(dim, any.point && !g->result.difference);
}

/* ---- each ------------------------------------------------------------------------------------------------------------- */

/* What `each` runs over: a kind, or the definitions a property lists. */
static bool each_kind(struct env *e, uint32_t head, enum kind *kind)
{
    struct scope *s = e->scope;
    const struct tree *t = e->file->tree;
    struct text word = node_text(t, head);
    if (node_kind(t, head) == NODE_NAME && (*kind = kind_named(word)) != KIND_NONE) {
        typing_bind(e, head, BIND_KIND, *kind);
        return true;
    }
    struct type list = node_kind(t, head) == NODE_MEMBER || (e->self && property_named(e->self, word))
                           ? type_of(e, head)
                           : (struct type){.tag = TYPE_TRUTH};
    *kind = list.kind;
    if (list.tag == TYPE_REFERENCES || list.tag == TYPE_ERROR)
        return list.tag == TYPE_REFERENCES;
    struct diagnostic *d = report(s->diagnostics, FAULT_unknown_kind, env_span(e, head),
                                  "'%.*s' is neither a kind nor a list of definitions", TEXT_ARGS(word));
    report_help(s->diagnostics, d, "write a kind, as in each draw, or a list, as in each of h.between");
    return false;
}

static struct type type_of_each(struct env *e, uint32_t each, enum special special)
{
    const struct tree *t = e->file->tree;
    struct scope *s = e->scope;
    uint32_t head = node_child(t, each), variable = head ? node_next(t, head) : 0;
    if (variable && node_kind(t, variable) != NODE_NAME)
        variable = 0;
    uint32_t value = variable ? node_next(t, variable) : 0;
    enum kind kind;
    if (!head || !each_kind(e, head, &kind) || special == SPECIAL_COUNT)
        return number_type();
    if (!value) {
        struct diagnostic *d = report(s->diagnostics, FAULT_wrong_arguments, env_span(e, each),
                                      "this does not say what to take of each %s", kind_table[kind].name);
        report_help(s->diagnostics, d, "write it as (each %s as x: x.NAME)", kind_table[kind].name);
        return type_plain(TYPE_ERROR);
    }
    if (e->count >= sizeof e->locals / sizeof e->locals[0])
        return type_plain(TYPE_ERROR);
    e->locals[e->count++] =
        (struct local){intern(&s->names, node_text(t, variable)), {.tag = TYPE_REFERENCE, .kind = kind}};
    struct type type = type_of(e, value);
    e->count--;
    if (type.tag != TYPE_QUANTITY && type.tag != TYPE_ERROR) {
        report_dimension(e, value, type, number_type(), "what is taken of each");
        return type_plain(TYPE_ERROR);
    }
    if (special == SPECIAL_SUM && type.point) {
        struct diagnostic *d =
            report(s->diagnostics, FAULT_point_arithmetic, env_span(e, value), "temperature points cannot be added up");
        report_help(s->diagnostics, d, "take their mean, or add differences");
    }
    return type;
}

/* ---- specials --------------------------------------------------------------------------------------------------------- */

static uint32_t only_argument(struct env *e, uint32_t node, struct text name)
{
    const struct tree *t = e->file->tree;
    uint32_t first = node_next(t, node_child(t, node));
    if (first && !node_next(t, first))
        return first;
    struct diagnostic *d = report(e->scope->diagnostics, FAULT_wrong_arguments, env_span(e, node),
                                  "'%.*s' takes one argument", TEXT_ARGS(name));
    report_help(e->scope->diagnostics, d, "write it as %.*s(x)", TEXT_ARGS(name));
    return 0;
}

static struct type wrong_special(struct env *e, uint32_t argument, struct text name, const char *wanted)
{
    struct diagnostic *d = report(e->scope->diagnostics, FAULT_wrong_arguments, env_span(e, argument),
                                  "'%.*s' needs %s", TEXT_ARGS(name), wanted);
    report_help(e->scope->diagnostics, d, "name it directly, as in %.*s(d.size)", TEXT_ARGS(name));
    return type_plain(TYPE_ERROR);
}

static bool is_property_name(struct env *e, uint32_t node)
{
    uint32_t what = e->file->bindings[node].what;
    return what == BIND_PROPERTY || what == BIND_SIBLING;
}

static struct type type_of_special(struct env *e, uint32_t node, enum special special, struct text name)
{
    const struct tree *t = e->file->tree;
    uint32_t x = only_argument(e, node, name);
    if (!x)
        return type_plain(TYPE_ERROR);
    if (special == SPECIAL_COUNT || special == SPECIAL_SUM) {
        if (node_kind(t, x) == NODE_EACH)
            return type_of_each(e, x, special);
        return wrong_special(e, x, name,
                             special == SPECIAL_COUNT ? "each KIND, as in count(each draw)"
                                                      : "each KIND, as in sum(each draw as d: d.force)");
    }
    struct type a = type_of(e, x);
    if (a.tag == TYPE_ERROR)
        return special == SPECIAL_GIVEN || special == SPECIAL_BANDED ? (struct type){.tag = TYPE_TRUTH} : a;
    switch (special) {
    case SPECIAL_GIVEN:
        return (struct type){.tag = TYPE_TRUTH};
    case SPECIAL_BANDED:
        return is_property_name(e, x) ? (struct type){.tag = TYPE_TRUTH}
                                      : wrong_special(e, x, name, "a stated property");
    case SPECIAL_LOWER:
    case SPECIAL_UPPER:
        if (!is_property_name(e, x) || a.tag != TYPE_QUANTITY)
            return wrong_special(e, x, name, "a stated property with a band");
        return a;
    case SPECIAL_PREVIOUS:
        if (a.tag != TYPE_REFERENCE || !(kind_table[a.kind].flags & KIND_STEP))
            return wrong_special(e, x, name, "a step");
        return (struct type){.tag = TYPE_REFERENCE, .kind = family_of(a.kind)};
    default: /* FIRST, SECOND, LISTED */
        if (a.tag != TYPE_REFERENCES)
            return wrong_special(e, x, name, "a list of definitions");
        return special == SPECIAL_LISTED ? number_type() : (struct type){.tag = TYPE_REFERENCE, .kind = a.kind};
    }
}

/* Five exponents of five bits each and the point; what does not fit is shown as a pure number in SI. */
static uint32_t pack_type(struct type t)
{
    uint32_t packed = t.point ? 1u << 31 : 0;
    for (int i = 0; i < DIM_COUNT; i++) {
        int whole = t.dim.exponent[i] / DIM_UNIT;
        if (whole * DIM_UNIT != t.dim.exponent[i] || whole < -15 || whole > 15)
            return 0;
        packed |= (uint32_t)(whole + 16) << (5 * i);
    }
    return packed;
}

struct unit typed_unit(struct arena *a, uint32_t packed)
{
    struct dim dim = {{0}};
    for (int i = 0; i < DIM_COUNT && packed; i++)
        dim.exponent[i] = (int16_t)(((int)(packed >> (5 * i) & 31) - 16) * DIM_UNIT);
    return unit_default(a, dim, packed >> 31);
}

/* ---- calls ------------------------------------------------------------------------------------------------------------ */

static struct type type_of_builtin(struct env *e, uint32_t node, uint32_t callee, uint32_t function)
{
    const struct tree *t = e->file->tree;
    uint32_t x = node_next(t, callee);
    static const struct {
        uint32_t function;
        enum special special;
    } over_each[] = {
        {FUNCTION_min, SPECIAL_EACH_MIN}, {FUNCTION_max, SPECIAL_EACH_MAX}, {FUNCTION_mean, SPECIAL_EACH_MEAN}};
    for (uint32_t i = 0; x && node_kind(t, x) == NODE_EACH && i < 3; i++)
        if (over_each[i].function == function) {
            typing_bind(e, callee, BIND_SPECIAL, over_each[i].special);
            return type_of_each(e, x, over_each[i].special);
        }
    typing_bind(e, callee, BIND_FUNCTION, function);
    struct signature g = signature_of_rows(function_table[function].types);
    struct type type = match_arguments(e, node, text_of(function_table[function].name), &g);
    if (function == FUNCTION_inside && type.tag == TYPE_QUANTITY)
        typing_bind(e, node, BIND_TYPED, pack_type(type));
    return type;
}

static struct type type_of_property_call(struct env *e, uint32_t node, uint32_t callee)
{
    struct scope *s = e->scope;
    struct type f = type_of(e, callee);
    if (f.tag == TYPE_FUNCTION) {
        struct signature g = signature_of_rows(f.entry->type);
        return match_arguments(e, node, text_of(f.entry->name), &g);
    }
    for (uint32_t n = node_next(e->file->tree, callee); n; n = node_next(e->file->tree, n))
        type_of(e, n);
    if (f.tag != TYPE_ERROR) {
        struct diagnostic *d = report(s->diagnostics, FAULT_not_a_function, env_span(e, callee),
                                      "this cannot be called: it is %.*s", TEXT_ARGS(type_words(s->arena, f)));
        report_help(s->diagnostics, d, "leave the parentheses out, or write * for a product");
    }
    return type_plain(TYPE_ERROR);
}

static struct type report_unknown_function(struct env *e, uint32_t node, uint32_t callee, struct text name)
{
    struct scope *s = e->scope;
    struct diagnostic *d = report(s->diagnostics, FAULT_unknown_name, env_span(e, callee),
                                  "there is no formula or function '%.*s'", TEXT_ARGS(name));
    ARRAY(struct text) names = {0};
    bool kept = report_kept(s->diagnostics, d);
    for (uint32_t i = 0; i < FUNCTION_COUNT && kept; i++)
        *ARRAY_PUSH(s->arena, &names) = text_of(function_table[i].name);
    for (uint32_t i = 0; i < sizeof specials / sizeof specials[0]; i++)
        *ARRAY_PUSH(s->arena, &names) = text_of(specials[i].name);
    for (uint32_t i = 1; i < formula_end(s) && kept && names.count < NEAREST_LIMIT; i++)
        *ARRAY_PUSH(s->arena, &names) = atom_text(&s->names, formula_at(s, i)->name);
    struct text near = nearest(name, names.at, names.count);
    if (near.len) {
        report_help(s->diagnostics, d, "did you mean '%.*s'?", TEXT_ARGS(near));
        report_edit(s->diagnostics, d, env_span(e, callee), near);
    } else {
        report_help(s->diagnostics, d, "define it: formula %.*s(x [mm]) [mm] = ...", TEXT_ARGS(name));
    }
    for (uint32_t n = node_next(e->file->tree, callee); n; n = node_next(e->file->tree, n))
        if (node_kind(e->file->tree, n) != NODE_EACH)
            type_of(e, n);
    (void)node;
    return type_plain(TYPE_ERROR);
}

struct type type_of_call(struct env *e, uint32_t node)
{
    struct scope *s = e->scope;
    const struct tree *t = e->file->tree;
    uint32_t callee = node_child(t, node);
    if (!callee)
        return type_plain(TYPE_ERROR);
    if (node_kind(t, callee) != NODE_NAME)
        return type_of_property_call(e, node, callee);
    struct text name = node_text(t, callee);
    for (uint32_t i = 0; i < sizeof specials / sizeof specials[0]; i++)
        if (text_is(name, specials[i].name)) {
            typing_bind(e, callee, BIND_SPECIAL, specials[i].special);
            return type_of_special(e, node, specials[i].special, name);
        }
    if (e->self && property_named(e->self, name))
        return type_of_property_call(e, node, callee);
    atom a = interned(&s->names, name);
    uint32_t formula = a ? find_formula(s, a) : 0;
    if (formula) {
        typing_bind(e, callee, BIND_FORMULA, formula);
        return match_arguments(e, node, name, signature_of_formula(s, formula));
    }
    for (uint32_t i = 0; i < FUNCTION_COUNT; i++)
        if (text_is(name, function_table[i].name))
            return type_of_builtin(e, node, callee, i);
    return report_unknown_function(e, node, callee, name);
}
