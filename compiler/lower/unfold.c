/* Unfolding expressions into nodes of the program. */
#include "compiler/lower/parts.h"

#include "runtime/compare.h"

static uint32_t origin_at(struct frame *f, uint32_t node)
{
    return origin_of(f->lowering, f->file_number, node);
}

static struct low emit_at(struct frame *f, uint32_t node, enum op op, uint32_t a, uint32_t b)
{
    return low_node(emit(f->lowering, op, a, b, 0, origin_at(f, node)));
}

/* ---- names ---------------------------------------------------------------------------------------------------------------- */

/* The definition a bare kind name stands for. */
static struct low sole_definition(struct lowering *l, enum kind kind)
{
    uint32_t many, id = find_sole(l->scope, kind, &many);
    if (id)
        return (struct low){.tag = LOW_DEFINITION, .id = id};
    uint32_t recipe = find_recipe(l->scope);
    atom name = interned(&l->scope->names, text_of(kind_table[kind].name));
    if (many && recipe && kind_table[kind].flags & KIND_SELECTED && name)
        return lower_member_of(l, recipe, name);
    if (many)
        return low_missing(l, (struct reason){.kind = REASON_which, .count = many, .of = kind});
    return low_missing(l, (struct reason){.kind = REASON_no_kind, .of = kind});
}

static struct low unfold_name(struct frame *f, uint32_t node)
{
    struct lowering *l = f->lowering;
    struct binding b = f->file->bindings[node];
    switch (b.what) {
    case BIND_LOCAL:
        return b.id < f->count ? f->locals[b.id] : low_faulty();
    case BIND_SIBLING:
        return f->self ? lower_member_of(l, f->self, b.id) : low_faulty();
    case BIND_LET:
        return quantity_low(l, lower_let(l, b.id));
    case BIND_DEFINITION:
        return (struct low){.tag = LOW_DEFINITION, .id = b.id};
    case BIND_SOLE:
        return sole_definition(l, (enum kind)b.id);
    case BIND_WORD:
        return (struct low){.tag = LOW_WORD, .text = node_text(f->file->tree, node)};
    default:
        return low_faulty();
    }
}

static struct low unfold_member(struct frame *f, uint32_t node)
{
    struct lowering *l = f->lowering;
    struct binding b = f->file->bindings[node];
    if (b.what == BIND_LET)
        return quantity_low(l, lower_let(l, b.id));
    if (b.what == BIND_DEFINITION)
        return (struct low){.tag = LOW_DEFINITION, .id = b.id};
    if (b.what != BIND_PROPERTY && b.what != BIND_DERIVED)
        return low_faulty();
    struct low base = lower_expression(f, node_child(f->file->tree, node));
    if (base.tag != LOW_DEFINITION)
        return base.tag == LOW_MISSING ? base : low_faulty();
    return lower_member_of(l, base.id, b.id);
}

/* ---- operators ------------------------------------------------------------------------------------------------------------ */

static bool same_static(struct low a, struct low b)
{
    if (a.tag != b.tag)
        return false;
    return a.tag == LOW_WORD ? text_same(a.text, b.text) : a.tag == LOW_TRUTH ? a.truth == b.truth : a.id == b.id;
}

static bool constants_compare(const struct program *p, uint32_t a, uint32_t b, uint16_t op, bool *truth)
{
    if (p->nodes.at[a].op != OP_CONSTANT || p->nodes.at[b].op != OP_CONSTANT)
        return false;
    double x = p->nodes.at[a].value, y = p->nodes.at[b].value;
    bool less = less_value(x, y), same = same_value(x, y);
    *truth = op == TOKEN_LESS            ? less
             : op == TOKEN_LESS_EQUAL    ? less || same
             : op == TOKEN_GREATER       ? !less && !same
             : op == TOKEN_GREATER_EQUAL ? !less
             : op == TOKEN_SAME          ? same
                                         : !same;
    return true;
}

static struct low compare(struct frame *f, uint32_t node, struct low a, struct low b, uint16_t op)
{
    bool is_static = a.tag != LOW_NODE && b.tag != LOW_NODE;
    if (is_static && (op == TOKEN_SAME || op == TOKEN_DIFFERENT))
        return low_truth(same_static(a, b) == (op == TOKEN_SAME));
    a = as_node(f->lowering, a);
    b = as_node(f->lowering, b);
    bool truth;
    if (constants_compare(&f->lowering->program, a.id, b.id, op, &truth))
        return low_truth(truth); /* so that count(each bend) > 0 decides which branch is looked at */
    switch (op) {
    case TOKEN_LESS:
        return emit_at(f, node, OP_LESS, a.id, b.id);
    case TOKEN_LESS_EQUAL:
        return emit_at(f, node, OP_LESS_EQUAL, a.id, b.id);
    case TOKEN_GREATER:
        return emit_at(f, node, OP_LESS, b.id, a.id);
    case TOKEN_GREATER_EQUAL:
        return emit_at(f, node, OP_LESS_EQUAL, b.id, a.id);
    case TOKEN_SAME:
        return emit_at(f, node, OP_EQUAL, a.id, b.id);
    default:
        return emit_at(f, node, OP_NOT, emit_at(f, node, OP_EQUAL, a.id, b.id).id, 0);
    }
}

/* What the left side decides alone leaves the right side unread: given(x) and x > 3. */
static struct low unfold_logic(struct frame *f, uint32_t node, uint32_t left, uint32_t right, bool is_and)
{
    struct low a = lower_expression(f, left);
    if (a.tag == LOW_TRUTH)
        return a.truth == is_and ? lower_expression(f, right) : a;
    if (a.tag == LOW_MISSING)
        return a;
    struct low b = lower_expression(f, right);
    if (b.tag == LOW_MISSING)
        return b;
    if (b.tag == LOW_TRUTH)
        return b.truth == is_and ? a : b;
    return emit_at(f, node, is_and ? OP_AND : OP_OR, a.id, b.id);
}

static struct low unfold_binary(struct frame *f, uint32_t node)
{
    static const enum op ops[] = {[TOKEN_PLUS] = OP_ADD,
                                  [TOKEN_MINUS] = OP_SUBTRACT,
                                  [TOKEN_TIMES] = OP_MULTIPLY,
                                  [TOKEN_DIVIDE] = OP_DIVIDE,
                                  [TOKEN_POWER] = OP_POWER};
    const struct tree *t = f->file->tree;
    uint16_t op = node_at(t, node)->op;
    uint32_t left = node_child(t, node), right = left ? node_next(t, left) : 0;
    if (!right)
        return low_faulty();
    if (op == TOKEN_AND || op == TOKEN_OR)
        return unfold_logic(f, node, left, right, op == TOKEN_AND);
    struct low a = lower_expression(f, left), b = lower_expression(f, right);
    if (a.tag == LOW_MISSING || b.tag == LOW_MISSING)
        return low_both_missing(f->lowering->arena, a, b);
    if (op >= TOKEN_LESS && op <= TOKEN_DIFFERENT)
        return compare(f, node, a, b, op);
    if (a.tag != LOW_NODE || b.tag != LOW_NODE)
        return low_faulty();
    return emit_at(f, node, ops[op], a.id, b.id);
}

static struct low unfold_number(struct frame *f, uint32_t node)
{
    double value;
    struct unit unit;
    bool has_unit;
    if (!literal_of(f->file->tree, node, &value, &unit, &has_unit))
        return low_faulty();
    return low_node(emit_constant(f->lowering, unit_to_si(&unit, value), origin_at(f, node)));
}

static struct low unfold_unary(struct frame *f, uint32_t node)
{
    const struct tree *t = f->file->tree;
    uint32_t child = node_child(t, node);
    if (!child)
        return low_faulty();
    if (node_at(t, node)->op != TOKEN_NOT && node_kind(t, child) == NODE_NUMBER)
        return unfold_number(f, node); /* so that -20 degC is the point it says */
    struct low a = lower_expression(f, child);
    if (a.tag == LOW_TRUTH)
        return low_truth(!a.truth);
    if (a.tag != LOW_NODE)
        return a.tag == LOW_MISSING ? a : low_faulty();
    return emit_at(f, node, node_at(t, node)->op == TOKEN_NOT ? OP_NOT : OP_NEGATE, a.id, 0);
}

static struct low unfold_if(struct frame *f, uint32_t node)
{
    const struct tree *t = f->file->tree;
    uint32_t condition = node_child(t, node), yes = condition ? node_next(t, condition) : 0;
    uint32_t no = yes ? node_next(t, yes) : 0;
    if (!no)
        return low_faulty();
    struct low c = lower_expression(f, condition);
    if (c.tag == LOW_TRUTH)
        return lower_expression(f, c.truth ? yes : no);
    if (c.tag == LOW_MISSING)
        return c;
    struct low a = as_node(f->lowering, lower_expression(f, yes)), b = as_node(f->lowering, lower_expression(f, no));
    if (a.tag == LOW_MISSING || b.tag == LOW_MISSING)
        return low_both_missing(f->lowering->arena, a, b);
    if (a.tag != LOW_NODE || b.tag != LOW_NODE)
        return low_missing(f->lowering, (struct reason){.kind = REASON_varies});
    return low_node(emit(f->lowering, OP_SELECT, c.id, a.id, b.id, origin_at(f, node)));
}

static struct low unfold(struct frame *f, uint32_t node)
{
    const struct tree *t = f->file->tree;
    switch (node_kind(t, node)) {
    case NODE_NUMBER:
        return unfold_number(f, node);
    case NODE_BOOLEAN:
        return low_truth(node_at(t, node)->op == TOKEN_TRUE);
    case NODE_NAME:
        return unfold_name(f, node);
    case NODE_MEMBER:
        return unfold_member(f, node);
    case NODE_CALL:
        return lower_call(f, node);
    case NODE_PAREN:
        return node_child(t, node) ? lower_expression(f, node_child(t, node)) : low_faulty();
    case NODE_UNARY:
        return unfold_unary(f, node);
    case NODE_BINARY:
        return unfold_binary(f, node);
    case NODE_IF:
        return unfold_if(f, node);
    case NODE_DATE:
        return (struct low){.tag = LOW_DATE, .text = node_text(t, node)};
    default:
        return low_faulty();
    }
}

static struct low report_exhausted_program(struct frame *f, uint32_t node)
{
    struct lowering *l = f->lowering;
    if (!l->making->exhausted) {
        struct diagnostics *g = l->scope->diagnostics;
        struct diagnostic *d =
            report(g, FAULT_nested_too_deep, node_span(f->file->tree, node),
                   "the formulas unfold to more than %d operations, or %d deep", PROGRAM_LIMIT, EXPRESSION_LIMIT);
        report_help(g, d, "name parts with let, so that they are worked out once");
        l->making->exhausted = true;
    }
    return low_faulty();
}

/* Lowers a part and keeps what it came to. */
static struct low unfold_recorded(struct frame *f, uint32_t node)
{
    struct lowering *l = f->lowering;
    uint32_t record = l->records.count, outer = l->making->record;
    f->whole = f->whole ? f->whole : record;
    *ARRAY_PUSH(l->arena, &l->records) = (struct lowered){.node = node, .whole = f->whole};
    l->making->record = record;
    struct low low = unfold(f, node);
    l->making->record = outer;
    l->records.at[record].low = low;
    l->records.at[record].end = l->records.count;
    return low;
}

struct low lower_expression(struct frame *f, uint32_t node)
{
    struct lowering *l = f->lowering;
    if (l->program.nodes.count > PROGRAM_LIMIT)
        return report_exhausted_program(f, node);
    if (l->making->depth > EXPRESSION_LIMIT)
        return report_exhausted_program(f, node);
    l->making->depth++;
    struct low low = l->making->recording ? unfold_recorded(f, node) : unfold(f, node);
    l->making->depth--;
    return low;
}
