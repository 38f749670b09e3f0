/* Types of expressions. */
#include "compiler/model/typing.h"

#include "runtime/base/number.h"
#include "runtime/base/utf8.h"

struct type type_quantity(struct dim dim, bool point)
{
    return (struct type){.tag = TYPE_QUANTITY, .dim = dim, .point = point};
}

bool type_same(struct type a, struct type b)
{
    if (a.tag == TYPE_ERROR || b.tag == TYPE_ERROR)
        return true;
    if (a.tag != b.tag)
        return false;
    if (a.tag == TYPE_QUANTITY)
        return a.point == b.point && dim_same(a.dim, b.dim);
    if (a.tag == TYPE_REFERENCE || a.tag == TYPE_REFERENCES)
        return kind_is(a.kind, b.kind) || kind_is(b.kind, a.kind);
    return true;
}

struct text type_words(struct arena *a, struct type t)
{
    static const char *const words[] = {"something faulty",
                                        "",
                                        "a condition",
                                        "a text",
                                        "a date",
                                        "a word",
                                        "",
                                        "",
                                        "a function that still needs its arguments",
                                        "a kind"};
    if (t.tag == TYPE_QUANTITY)
        return dim_words(a, t.dim, t.point);
    if (t.tag == TYPE_REFERENCE || t.tag == TYPE_REFERENCES)
        return arena_format(a, t.tag == TYPE_REFERENCE ? "a reference to a %s" : "a list of %ss",
                            kind_table[t.kind].name);
    return text_of(words[t.tag]);
}

void typing_bind(struct env *e, uint32_t node, enum bind what, uint32_t id)
{
    const struct binding *b = &e->file->bindings[node];
    /* A text of the library is typed again for its units. It comes to the same, and recipes compiled side by side may
     * only read the library. */
    if (b->what != what || b->id != id)
        e->file->noted[node] = (struct binding){what, id};
}

struct span env_span(const struct env *e, uint32_t node)
{
    return node_span(e->file->tree, node);
}

/* Whether it is a length, an area, a time, a mass or a temperature difference, and how to say it. */
static bool is_plain(struct arena *a, struct dim dim, struct text *words)
{
    int bases = 0;
    bool whole = true;
    for (int i = 0; i < DIM_COUNT; i++) {
        bases += dim.exponent[i] != 0;
        whole = whole && dim.exponent[i] >= 0 && dim.exponent[i] <= 3 * DIM_UNIT && dim.exponent[i] % DIM_UNIT == 0;
    }
    *words = dim_words(a, dim, false);
    return bases == 1 && whole;
}

/* 5 MPa * 3 mm is no force: a length is missing in the product. */
static bool help_with_factor(struct diagnostics *g, struct diagnostic *d, struct dim found, struct dim wanted)
{
    struct text words;
    if (dim_none(found) || dim_none(wanted))
        return false;
    if (is_plain(g->arena, dim_over(wanted, found), &words))
        report_help(g, d, "a factor is missing: multiply by %.*s", TEXT_ARGS(words));
    else if (is_plain(g->arena, dim_over(found, wanted), &words))
        report_help(g, d, "there is a factor too many: divide by %.*s", TEXT_ARGS(words));
    else
        return false;
    return true;
}

void report_dimension(struct env *e, uint32_t node, struct type found, struct type wanted, const char *what)
{
    struct diagnostics *g = e->scope->diagnostics;
    bool points = found.tag == TYPE_QUANTITY && wanted.tag == TYPE_QUANTITY && dim_same(found.dim, wanted.dim);
    struct diagnostic *d =
        report(g, points ? FAULT_point_arithmetic : FAULT_dimension_mismatch, env_span(e, node), "%s is %.*s, not %.*s",
               what, TEXT_ARGS(type_words(g->arena, found)), TEXT_ARGS(type_words(g->arena, wanted)));
    if (points && found.point)
        report_help(g, d, "a difference is written in K; take one point from another: t - 20 degC");
    else if (points)
        report_help(g, d, "a temperature point is written in degC or degF, as 200 degC");
    else if (found.tag == TYPE_QUANTITY && wanted.tag == TYPE_QUANTITY && help_with_factor(g, d, found.dim, wanted.dim))
        return;
    else if (wanted.tag == TYPE_QUANTITY && !dim_none(wanted.dim)) {
        struct unit u = unit_default(g->arena, wanted.dim, wanted.point);
        report_help(g, d, "write it in %.*s or another unit of %.*s", TEXT_ARGS(u.spelling),
                    TEXT_ARGS(dim_words(g->arena, wanted.dim, wanted.point)));
    }
}

/* ---- literals ------------------------------------------------------------------------------------------------------- */

static const struct tree *tree_in(const struct env *e)
{
    return e->file->tree;
}

bool literal_of(const struct tree *t, uint32_t node, double *value, struct unit *unit, bool *has_unit)
{
    bool negative = false;
    if (node_kind(t, node) == NODE_UNARY && node_at(t, node)->op != TOKEN_NOT) {
        negative = true;
        node = node_child(t, node);
    }
    if (!node || node_kind(t, node) != NODE_NUMBER)
        return false;
    const struct node *n = node_at(t, node);
    uint32_t token = n->first;
    if (n->flags & NODE_NEGATIVE) {
        negative = !negative;
        token++;
    }
    struct unit_error error;
    *has_unit = n->last > token;
    if (number_read(token_meant(t, token), value) != NUMBER_OK ||
        unit_read(*has_unit ? token_meant(t, n->last) : TEXT("1"), unit, &error) != UNIT_OK)
        return false;
    if (negative)
        *value = -*value;
    return true;
}

static bool constant_binary(const struct tree *t, uint32_t node, double *value)
{
    double a, b;
    uint32_t left = node_child(t, node);
    if (!constant_number(t, left, &a) || !constant_number(t, node_next(t, left), &b))
        return false;
    switch (node_at(t, node)->op) {
    case TOKEN_PLUS:
        *value = a + b;
        return true;
    case TOKEN_MINUS:
        *value = a - b;
        return true;
    case TOKEN_TIMES:
        *value = a * b;
        return true;
    case TOKEN_DIVIDE:
        *value = a / b;
        return b != 0;
    default:
        return false;
    }
}

bool constant_number(const struct tree *t, uint32_t node, double *value)
{
    struct unit unit;
    bool has_unit;
    if (!node)
        return false;
    if (node_kind(t, node) == NODE_PAREN)
        return constant_number(t, node_child(t, node), value);
    if (node_kind(t, node) == NODE_BINARY)
        return constant_binary(t, node, value);
    return literal_of(t, node, value, &unit, &has_unit) && !has_unit;
}

/* Each unknown part replaced by what it is nearest to, MM/S as mm/s; empty where that is no unit either. */
static struct text unit_mended(struct arena *a, struct text spelled)
{
    struct unit unit;
    struct unit_error error;
    for (int parts = 0; parts < 6; parts++) {
        if (unit_read(spelled, &unit, &error) == UNIT_OK)
            return parts ? spelled : TEXT("");
        if (!error.nearest.len || error.lo >= error.hi || error.hi > spelled.len)
            break;
        spelled = arena_format(a, "%.*s%.*s%.*s", (int)error.lo, spelled.at, TEXT_ARGS(error.nearest),
                               (int)(spelled.len - error.hi), spelled.at + error.hi);
    }
    return TEXT("");
}

static void report_unit(struct scope *s, struct span at, struct text spelled, const struct unit_error *error)
{
    struct diagnostics *g = s->diagnostics;
    struct diagnostic *d;
    char room[UNIT_ROOM];
    struct text meant =
        error->fault == UNIT_POINT_IN_PRODUCT || error->advice.len ? TEXT("") : unit_meant(spelled, room);
    if (utf8_valid_until(spelled) < spelled.len)
        return; /* reported when the file was read */
    if (meant.len) {
        d = report(g, FAULT_unknown_unit, at, "'%.*s' is no well-formed unit", TEXT_ARGS(spelled));
        report_help(g, d, "write '%.*s'", TEXT_ARGS(meant));
        report_edit(g, d, (struct span){at.file, at.hi - spelled.len, at.hi}, meant);
        return;
    }
    switch (error->fault) {
    case UNIT_POINT_IN_PRODUCT:
        d = report(g, FAULT_point_in_product, at, "'%.*s' has a temperature scale inside a product",
                   TEXT_ARGS(spelled));
        report_help(g, d, "a rate or a coefficient is per kelvin: write K instead of degC");
        break;
    case UNIT_MALFORMED:
    case UNIT_EXPONENT:
        d = report(g, FAULT_unknown_unit, at, "'%.*s' is no well-formed unit", TEXT_ARGS(spelled));
        report_help(g, d, "write it as W/(m^2*K), mm^2, 1/h: no blanks inside, whole or simple fractional powers");
        break;
    default:
        d = report(g, FAULT_unknown_unit, at, "there is no unit '%.*s'", TEXT_ARGS(spelled));
        if (error->advice.len)
            report_help(g, d, "%.*s", TEXT_ARGS(error->advice));
        else if ((meant = unit_mended(g->arena, spelled)).len) {
            report_help(g, d, "did you mean '%.*s'?", TEXT_ARGS(meant));
            report_edit(g, d, (struct span){at.file, at.hi - spelled.len, at.hi}, meant);
        } else {
            report_help(g, d, "the language reference lists the units; a product is written as kN*mm");
        }
    }
}

static struct type type_of_number(struct env *e, uint32_t node)
{
    const struct tree *t = tree_in(e);
    const struct node *n = node_at(t, node);
    uint32_t token = n->first + (n->flags & NODE_NEGATIVE ? 1 : 0);
    double value;
    struct text meant = token_meant(t, token), spelled = token_meant(t, n->last);
    if (!meant.len || !spelled.len) /* told by the scanner */
        return type_plain(TYPE_ERROR);
    enum number_fault fault = number_read(meant, &value);
    if (fault != NUMBER_OK) {
        struct diagnostic *d =
            report(e->scope->diagnostics, fault == NUMBER_TOO_LARGE ? FAULT_number_too_large : FAULT_bad_number,
                   token_span(t, token),
                   fault == NUMBER_TOO_LARGE ? "the number is too large to hold" : "the number cannot be read");
        report_help(e->scope->diagnostics, d, "%s",
                    fault == NUMBER_TOO_LARGE ? "the largest is about 1.8e308; check the exponent"
                                              : "write it as 0.50, 1.8e3 or 3_500");
        return type_plain(TYPE_ERROR);
    }
    if (n->last == token)
        return type_quantity((struct dim){{0}}, false);
    struct unit unit;
    struct unit_error error;
    if (unit_read(spelled, &unit, &error) != UNIT_OK) {
        report_unit(e->scope, token_span(t, n->last), spelled, &error);
        return type_plain(TYPE_ERROR);
    }
    return type_quantity(unit.dim, unit.point);
}

bool read_unit_type(struct scope *s, const struct tree *t, uint32_t node, struct unit *unit)
{
    struct text spelled = node_text(t, node);
    struct span at = node_span(t, node);
    if (spelled.len >= 2) {
        spelled.at++;
        spelled.len -= 2;
        at.lo++;
        at.hi--;
    }
    struct unit_error error;
    if (unit_read(spelled, unit, &error) == UNIT_OK)
        return true;
    report_unit(s, at, spelled, &error);
    return false;
}

/* ---- operators ------------------------------------------------------------------------------------------------------ */

static bool is_quantity(struct env *e, uint32_t node, struct type t, const char *what)
{
    if (t.tag == TYPE_QUANTITY || t.tag == TYPE_ERROR)
        return t.tag == TYPE_QUANTITY;
    struct diagnostic *d = report(e->scope->diagnostics, FAULT_not_a_quantity, env_span(e, node),
                                  "%s needs a quantity; this is %.*s", what, TEXT_ARGS(type_words(e->scope->arena, t)));
    if (t.tag == TYPE_FUNCTION)
        report_help(e->scope->diagnostics, d, "call it: %s(%s)", t.entry->name,
                    strstr(t.entry->type, "strain") ? "strain, rate, temperature" : "temperature");
    else if (t.tag == TYPE_REFERENCE)
        report_help(e->scope->diagnostics, d, "name one of its properties, as in %.*s.NAME",
                    TEXT_ARGS(node_text(tree_in(e), node)));
    return false;
}

static bool is_truth(struct env *e, uint32_t node, struct type t, const char *what)
{
    if (t.tag == TYPE_TRUTH || t.tag == TYPE_ERROR)
        return t.tag == TYPE_TRUTH;
    struct diagnostic *d =
        report(e->scope->diagnostics, FAULT_not_a_truth, env_span(e, node), "%s needs a condition; this is %.*s", what,
               TEXT_ARGS(type_words(e->scope->arena, t)));
    report_help(e->scope->diagnostics, d, "write a comparison, as in a > b, or given(x)");
    return false;
}

PRINTF_LIKE(2, 0)
static const char *both_words(struct env *e, const char *form, struct type a, struct type b)
{
    struct arena *arena = e->scope->arena;
    struct text first = type_words(arena, a), second = type_words(arena, b);
    return arena_format(arena, form, TEXT_ARGS(first), TEXT_ARGS(second)).at;
}

static struct type report_operands(struct env *e, uint32_t node, enum fault fault, struct type a, struct type b,
                                   const char *what, const char *help)
{
    struct diagnostics *g = e->scope->diagnostics;
    uint32_t left = node_child(tree_in(e), node), right = node_next(tree_in(e), left);
    struct diagnostic *d = report(g, fault, env_span(e, node), "%s", what);
    report_label(g, d, env_span(e, left), "%.*s", TEXT_ARGS(type_words(g->arena, a)));
    report_label(g, d, env_span(e, right), "%.*s", TEXT_ARGS(type_words(g->arena, b)));
    report_help(g, d, "%s", help);
    return type_plain(TYPE_ERROR);
}

static struct type type_of_sum(struct env *e, uint32_t node, struct type a, struct type b, bool minus)
{
    if (!dim_same(a.dim, b.dim))
        return report_operands(e, node, FAULT_dimension_mismatch, a, b,
                               minus ? both_words(e, "cannot subtract %.*s from %.*s", b, a)
                                     : both_words(e, "cannot add %.*s and %.*s", a, b),
                               "both sides must be of one dimension; check the units or the formula");
    if (minus && !a.point && b.point)
        return report_operands(e, node, FAULT_point_arithmetic, a, b,
                               "a temperature point cannot be taken from a difference",
                               "point - point is a difference, point - difference is a point");
    if (!minus && a.point && b.point)
        return report_operands(e, node, FAULT_point_arithmetic, a, b, "two temperature points cannot be added",
                               "write one as a difference in K, or use mean(a, b)");
    return type_quantity(a.dim, minus ? a.point && !b.point : a.point || b.point);
}

static struct type type_of_product(struct env *e, uint32_t node, struct type a, struct type b, bool over)
{
    if (a.point || b.point)
        return report_operands(e, node, FAULT_point_arithmetic, a, b,
                               over ? "a temperature point cannot be divided or divide"
                                    : "a temperature point cannot be multiplied",
                               "take a difference first, (t - 20 degC), or use kelvin(t) for the absolute temperature");
    return type_quantity(over ? dim_over(a.dim, b.dim) : dim_times(a.dim, b.dim), false);
}

static struct type type_of_power(struct env *e, uint32_t node, struct type a, struct type b)
{
    uint32_t right = node_next(tree_in(e), node_child(tree_in(e), node));
    struct dim out;
    double exponent;
    if (a.point || b.point)
        return type_of_product(e, node, a, b, false);
    if (!dim_none(b.dim)) {
        report_dimension(e, right, b, type_quantity((struct dim){{0}}, false), "the exponent");
        return type_plain(TYPE_ERROR);
    }
    if (dim_none(a.dim))
        return a;
    if (constant_number(tree_in(e), right, &exponent) && dim_power(a.dim, exponent, &out))
        return type_quantity(out, false);
    struct diagnostic *d =
        report(e->scope->diagnostics, FAULT_power_exponent, env_span(e, right),
               "%.*s needs a plain number as its exponent", TEXT_ARGS(type_words(e->scope->arena, a)));
    report_help(e->scope->diagnostics, d,
                "write a number such as 2, 0.5 or (1/3), or divide by a unit first: (x / (1 mm)) ^ n");
    return type_plain(TYPE_ERROR);
}

/* A word property compared with one of its words. */
static bool compares_word(struct env *e, uint32_t word_node, struct type words)
{
    struct text word = node_text(tree_in(e), word_node);
    if (node_kind(tree_in(e), word_node) != NODE_NAME)
        return false;
    if (is_word_allowed(words.entry, word)) {
        typing_bind(e, word_node, BIND_WORD, 0);
        return true;
    }
    struct diagnostic *d = report(e->scope->diagnostics, FAULT_wrong_word, env_span(e, word_node),
                                  "'%.*s' is not a word of %s", TEXT_ARGS(word), words.entry->name);
    report_help(e->scope->diagnostics, d, "it is one of %s", words.entry->type);
    return true;
}

static struct type type_of_comparison(struct env *e, uint32_t node, uint32_t left, uint32_t right)
{
    struct type a = type_of(e, left), b;
    uint16_t op = node_at(tree_in(e), node)->op;
    bool equality = op == TOKEN_SAME || op == TOKEN_DIFFERENT;
    if (equality && a.tag == TYPE_WORD && compares_word(e, right, a))
        return type_plain(TYPE_TRUTH);
    b = type_of(e, right);
    if (a.tag == TYPE_ERROR || b.tag == TYPE_ERROR)
        return type_plain(TYPE_TRUTH);
    if (equality && a.tag == b.tag && (a.tag == TYPE_REFERENCE || a.tag == TYPE_TRUTH || a.tag == TYPE_WORD))
        return type_plain(TYPE_TRUTH);
    if (!is_quantity(e, left, a, "a comparison") || !is_quantity(e, right, b, "a comparison"))
        return type_plain(TYPE_TRUTH);
    if (!dim_same(a.dim, b.dim))
        report_operands(e, node, FAULT_dimension_mismatch, a, b, both_words(e, "cannot compare %.*s with %.*s", a, b),
                        "both sides must be of one dimension; check the units");
    else if (a.point != b.point)
        report_operands(e, node, FAULT_point_arithmetic, a, b, "a temperature point is compared with a difference",
                        "write both in degC, or compare two differences in K");
    return type_plain(TYPE_TRUTH);
}

static struct type type_of_binary(struct env *e, uint32_t node)
{
    uint16_t op = node_at(tree_in(e), node)->op;
    uint32_t left = node_child(tree_in(e), node), right = node_next(tree_in(e), left);
    if (!left || !right)
        return type_plain(TYPE_ERROR);
    if (op == TOKEN_AND || op == TOKEN_OR) {
        is_truth(e, left, type_of(e, left), op == TOKEN_AND ? "and" : "or");
        is_truth(e, right, type_of(e, right), op == TOKEN_AND ? "and" : "or");
        return type_plain(TYPE_TRUTH);
    }
    if (op >= TOKEN_LESS && op <= TOKEN_DIFFERENT)
        return type_of_comparison(e, node, left, right);
    struct type a = type_of(e, left), b = type_of(e, right);
    bool good = is_quantity(e, left, a, "this operation");
    if (!is_quantity(e, right, b, "this operation") || !good)
        return type_plain(TYPE_ERROR);
    if (op == TOKEN_PLUS || op == TOKEN_MINUS)
        return type_of_sum(e, node, a, b, op == TOKEN_MINUS);
    if (op == TOKEN_POWER)
        return type_of_power(e, node, a, b);
    return type_of_product(e, node, a, b, op == TOKEN_DIVIDE);
}

static struct type type_of_unary(struct env *e, uint32_t node)
{
    uint32_t child = node_child(tree_in(e), node);
    if (!child)
        return type_plain(TYPE_ERROR);
    struct type t = type_of(e, child);
    if (node_at(tree_in(e), node)->op == TOKEN_NOT) {
        is_truth(e, child, t, "not");
        return type_plain(TYPE_TRUTH);
    }
    if (!is_quantity(e, child, t, "a minus sign"))
        return type_plain(TYPE_ERROR);
    if (t.point && node_kind(tree_in(e), child) != NODE_NUMBER) {
        struct diagnostic *d = report(e->scope->diagnostics, FAULT_point_arithmetic, env_span(e, node),
                                      "a temperature point cannot be negated");
        report_help(e->scope->diagnostics, d, "take a difference first: 20 degC - t");
        return type_plain(TYPE_ERROR);
    }
    return t;
}

static struct type type_of_if(struct env *e, uint32_t node)
{
    uint32_t condition = node_child(tree_in(e), node), yes = condition ? node_next(tree_in(e), condition) : 0;
    uint32_t no = yes ? node_next(tree_in(e), yes) : 0;
    if (!no)
        return type_plain(TYPE_ERROR);
    is_truth(e, condition, type_of(e, condition), "if");
    struct type a = type_of(e, yes), b = type_of(e, no);
    if (a.tag == TYPE_ERROR || b.tag == TYPE_ERROR)
        return a.tag == TYPE_ERROR ? b : a;
    if (!type_same(a, b))
        report_dimension(e, no, b, a, "the value after else");
    return a;
}

struct type type_of(struct env *e, uint32_t node)
{
    const struct tree *t = tree_in(e);
    switch (node_kind(t, node)) {
    case NODE_NUMBER:
        return type_of_number(e, node);
    case NODE_BOOLEAN:
        return type_plain(TYPE_TRUTH);
    case NODE_DATE:
        return type_plain(TYPE_DATE);
    case NODE_TEXT:
        NODE_EACH_CHILD (t, node, n)
            type_of(e, n);
        return type_plain(TYPE_TEXT);
    case NODE_NAME:
        return type_of_name(e, node);
    case NODE_MEMBER:
        return type_of_member(e, node);
    case NODE_CALL:
        return type_of_call(e, node);
    case NODE_PAREN:
        return node_child(t, node) ? type_of(e, node_child(t, node)) : type_plain(TYPE_ERROR);
    case NODE_UNARY:
        return type_of_unary(e, node);
    case NODE_BINARY:
        return type_of_binary(e, node);
    case NODE_IF:
        return type_of_if(e, node);
    case NODE_ERROR:
    case NODE_NONE:
        return type_plain(TYPE_ERROR);
    default: {
        struct diagnostic *d =
            report(e->scope->diagnostics, FAULT_wrong_form, env_span(e, node), "this form does not stand here");
        report_help(e->scope->diagnostics, d, "an expression is wanted: a number with its unit, a name or a formula");
        return type_plain(TYPE_ERROR);
    }
    }
}
