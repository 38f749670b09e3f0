#include "runtime/evaluate/evaluate_interval.h"

/* How it runs: as in the nominal evaluator, what is not decided is NaN and goes through arithmetic by itself, so that
 * the common case costs one test a node; only a node without two finite ends is asked who is to blame (settle). */
struct run {
    struct interval_evaluation *e;
    const struct program *program;
    const struct interval *box;
};

/* ---- room -------------------------------------------------------------------------------------------------------- */

struct interval_evaluation interval_evaluation_beside(struct arena *arena, const struct program *p,
                                                      struct stated_intervals *stated)
{
    uint32_t count = p->nodes.count, longest = p->longest_call;
    return (struct interval_evaluation){.stated = stated,
                                        .value = ARENA_ROOM(arena, count, struct interval),
                                        .culprit = ARENA_ARRAY(arena, count, uint32_t),
                                        .fault = ARENA_ARRAY(arena, count, uint8_t),
                                        .offending = ARENA_ROOM(arena, count, struct interval),
                                        .arguments = ARENA_ARRAY(arena, longest, struct interval)};
}

static struct stated_intervals *stated_intervals_new(struct arena *arena, const struct program *p)
{
    struct stated_intervals *s = ARENA_NEW(arena, struct stated_intervals);
    *s = (struct stated_intervals){.over = interval_evaluation_beside(arena, p, NULL),
                                   .box = ARENA_ARRAY(arena, p->inputs.count, struct interval),
                                   .wanted = ARENA_ARRAY(arena, p->nodes.count, bool)};
    for (uint32_t i = 0; i < p->inputs.count; i++)
        s->box[i] = interval_point(p->inputs.at[i].nominal);
    program_needs_of_nominals(p, s->wanted);
    return s;
}

struct interval_evaluation interval_evaluation_new(struct arena *arena, const struct program *p)
{
    return interval_evaluation_beside(arena, p, p->has_nominal ? stated_intervals_new(arena, p) : NULL);
}

bool interval_follow_unknowns(struct stated_intervals *s, const struct program *p, const struct interval *box)
{
    bool changed = !s->current;
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        if (!p->inputs.at[i].unknown || (s->box[i].low == box[i].low && s->box[i].high == box[i].high))
            continue;
        s->box[i] = box[i];
        changed = true;
    }
    s->current = true;
    return changed;
}

struct interval *interval_inputs(struct arena *arena, const struct program *p)
{
    struct interval *box = ARENA_ARRAY(arena, p->inputs.count, struct interval);
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        const struct input *in = &p->inputs.at[i];
        box[i] = in->held ? interval_of(in->low, in->high) : interval_point(in->nominal);
    }
    return box;
}

/* ---- truths ------------------------------------------------------------------------------------------------------ */

static struct interval from_truth(enum truth t)
{
    return interval_of(t == TRUTH_TRUE, t != TRUTH_FALSE);
}

enum truth interval_truth(struct interval x)
{
    if (x.low == 0 && x.high == 0)
        return TRUTH_FALSE;
    return x.low <= 0 && x.high >= 0 ? TRUTH_UNKNOWN : TRUTH_TRUE;
}

static struct interval compared(uint16_t op, struct interval a, struct interval b)
{
    if (interval_is_empty(a) || interval_is_empty(b))
        return interval_empty();
    return from_truth(op == OP_LESS    ? interval_less(a, b)
                      : op == OP_EQUAL ? interval_equal(a, b)
                                       : interval_less_equal(a, b));
}

/* From left to right: what the left side decides alone leaves the right side unread. */
static struct interval logic(struct interval left, struct interval right, enum truth decides)
{
    if (interval_is_empty(left))
        return left;
    enum truth l = interval_truth(left);
    if (l == decides)
        return from_truth(l);
    if (interval_is_empty(right) || l != TRUTH_UNKNOWN)
        return right;
    return interval_truth(right) == decides ? from_truth(decides) : from_truth(TRUTH_UNKNOWN);
}

static struct interval negated(struct interval x)
{
    return interval_is_empty(x) ? x : interval_subtract(interval_point(1), from_truth(interval_truth(x)));
}

static struct interval chosen(struct interval condition, struct interval yes, struct interval no)
{
    if (interval_is_empty(condition))
        return condition;
    enum truth t = interval_truth(condition);
    if (t != TRUTH_UNKNOWN)
        return t == TRUTH_TRUE ? yes : no;
    return interval_is_empty(yes) || interval_is_empty(no) ? interval_empty() : interval_hull(yes, no);
}

/* ---- curves and calls: they say themselves what went wrong ------------------------------------------------------- */

static struct interval blame(struct run *r, uint32_t i, enum eval_fault fault, struct interval offending)
{
    r->e->fault[i] = (uint8_t)fault;
    r->e->offending[i] = offending;
    return interval_empty();
}

static struct interval run_curve(struct run *r, uint32_t i, const struct node_code *n)
{
    const struct curve *c = &r->program->curves.at[n->a];
    struct interval x = r->e->value[n->b], y = c->y_count ? r->e->value[n->c] : interval_point(0), offending;
    if (interval_is_empty(x) || interval_is_empty(y))
        return interval_empty();
    enum eval_fault fault = EVAL_OK;
    struct interval v = enclosure_curve(c, x, y, &fault, &offending);
    return fault == EVAL_OK ? v : blame(r, i, fault, offending);
}

static struct interval run_call(struct run *r, uint32_t i, const struct node_code *n)
{
    struct interval *args = r->e->arguments;
    const uint32_t *operands = n->c ? &r->program->operands.at[n->b] : NULL;
    for (uint32_t k = 0; k < n->c; k++) {
        args[k] = r->e->value[operands[k]];
        if (interval_is_empty(args[k]))
            return args[k];
    }
    enum eval_fault fault = EVAL_OK;
    struct interval v = enclosure_table[n->a](args, n->c, &fault);
    if (fault == EVAL_OK && !interval_is_finite(v))
        fault = EVAL_OVERFLOW;
    if (fault == EVAL_OK)
        return v;
    struct interval first = n->c ? args[fault == EVAL_NEVER_REACHED ? n->c - 1 : 0] : interval_empty();
    return blame(r, i, fault, first);
}

/* ---- the pass ---------------------------------------------------------------------------------------------------- */

/* A base that is partly negative has a power only if the exponent is whole, and then the same one over the whole box;
 * 0 has no negative power. */
static enum eval_fault power_fault(struct interval base, struct interval exponent)
{
    bool whole = interval_is_point(exponent) && exponent.low == trunc(exponent.low);
    if (base.low < 0 && !whole)
        return EVAL_NEGATIVE_ROOT;
    return exponent.low < 0 && interval_contains(base, 0) ? EVAL_DIVIDE_BY_ZERO : EVAL_OK;
}

/* Asked beforehand: 0 over what may be 0 has the hull {0, 0}, yet not everywhere a value. */
static struct interval run_divide(struct interval a, struct interval b)
{
    return interval_contains(b, 0) ? interval_empty() : interval_divide(a, b);
}

static struct interval run_power(struct interval base, struct interval exponent)
{
    return power_fault(base, exponent) == EVAL_OK ? interval_power(base, exponent) : interval_empty();
}

static struct interval run_node(struct run *r, uint32_t i, const struct node_code *n)
{
    const struct interval *value = r->e->value;
    switch (n->op) {
    case OP_CONSTANT:
        return interval_point(n->value);
    case OP_INPUT:
        return r->box[n->a];
    case OP_ADD:
        return interval_add(value[n->a], value[n->b]);
    case OP_SUBTRACT:
        return interval_subtract(value[n->a], value[n->b]);
    case OP_MULTIPLY:
        return interval_multiply(value[n->a], value[n->b]);
    case OP_DIVIDE:
        return run_divide(value[n->a], value[n->b]);
    case OP_POWER:
        return run_power(value[n->a], value[n->b]);
    case OP_NEGATE:
        return interval_negate(value[n->a]);
    case OP_LESS:
    case OP_LESS_EQUAL:
    case OP_EQUAL:
        return compared(n->op, value[n->a], value[n->b]);
    case OP_AND:
        return logic(value[n->a], value[n->b], TRUTH_FALSE);
    case OP_OR:
        return logic(value[n->a], value[n->b], TRUTH_TRUE);
    case OP_NOT:
        return negated(value[n->a]);
    case OP_SELECT:
        return chosen(value[n->a], value[n->b], value[n->c]);
    case OP_CURVE:
        return run_curve(r, i, n);
    case OP_CALL:
        return run_call(r, i, n);
    case OP_NOMINAL:
        return r->e->stated ? r->e->stated->over.value[n->a] : value[n->a];
    case OP_UNCERTAINTY:
        return interval_widen(interval_point(n->value), 1e-9 * fabs(n->value)); /* its own rounding */
    default:
        return interval_empty();
    }
}

/* ---- who is to blame --------------------------------------------------------------------------------------------- */

/* An operation on good operands that has no bounded result. */
static void settle_own(struct run *r, uint32_t i, const struct node_code *n)
{
    const struct interval *value = r->e->value;
    switch (n->op) {
    case OP_CONSTANT:
    case OP_INPUT:
        blame(r, i, interval_is_empty(value[i]) ? EVAL_BAD_ARGUMENT : EVAL_OVERFLOW, value[i]);
        break;
    case OP_DIVIDE:
        if (interval_contains(value[n->b], 0))
            blame(r, i, EVAL_DIVIDE_BY_ZERO, value[n->b]);
        else
            blame(r, i, EVAL_OVERFLOW, value[n->a]);
        break;
    case OP_POWER: {
        enum eval_fault fault = power_fault(value[n->a], value[n->b]);
        blame(r, i, fault == EVAL_OK ? EVAL_OVERFLOW : fault, value[n->a]);
        break;
    }
    case OP_CURVE:
    case OP_CALL:
        break; /* said already */
    case OP_UNCERTAINTY:
    case OP_NOMINAL: /* the stated run knows why */
        blame(r, i, EVAL_BAD_ARGUMENT, value[n->a]);
        break;
    default:
        blame(r, i, EVAL_OVERFLOW, value[n->a]);
        break;
    }
    r->e->culprit[i] = i;
}

/* Whether the k-th operand was read: of a SELECT the side that may be chosen. (Logic that leaves its right side unread
 * has a value, and is never asked.) */
static bool was_read(const struct run *r, const struct node_code *n, uint32_t k)
{
    if (n->op != OP_SELECT || k == 0 || interval_is_empty(r->e->value[n->a]))
        return true;
    return interval_truth(r->e->value[n->a]) != (k == 1 ? TRUTH_FALSE : TRUTH_TRUE);
}

static void settle(struct run *r, uint32_t i, const struct node_code *n)
{
    uint32_t room[MOST_ROOM];
    const uint32_t *read;
    uint32_t count = program_operands(r->program, n, &read, room);
    for (uint32_t k = 0; k < count && !r->e->culprit[i]; k++)
        if (was_read(r, n, k))
            r->e->culprit[i] = r->e->culprit[read[k]];
    if (!r->e->culprit[i])
        settle_own(r, i, n);
    r->e->value[i] = interval_empty();
}

static void run_at(struct run *r, uint32_t i)
{
    struct interval_evaluation *e = r->e;
    const struct node_code *n = &r->program->nodes.at[i];
    e->culprit[i] = 0;
    e->fault[i] = EVAL_OK;
    e->value[i] = run_node(r, i, n);
    if (!(interval_is_finite(e->value[i]) && e->value[i].low <= e->value[i].high))
        settle(r, i, n);
}

static void begin_run(struct interval_evaluation *e, const struct program *p, const struct interval *box)
{
    if (e->stated && interval_follow_unknowns(e->stated, p, box))
        evaluate_interval(&e->stated->over, p, e->stated->box, e->stated->wanted);
    e->value[0] = interval_empty();
}

void evaluate_interval(struct interval_evaluation *e, const struct program *p, const struct interval *box,
                       const bool *wanted)
{
    struct run r = {e, p, box};
    begin_run(e, p, box);
    for (uint32_t i = 1; i < p->nodes.count; i++)
        if (!wanted || wanted[i])
            run_at(&r, i);
}

void evaluate_interval_nodes(struct interval_evaluation *e, const struct program *p, const struct interval *box,
                             const uint32_t *nodes, uint32_t count)
{
    struct run r = {e, p, box};
    for (uint32_t i = 0; i < count; i++)
        run_at(&r, nodes[i]);
}

void evaluate_interval_toward(struct interval_evaluation *e, const struct program *p, const struct interval *box,
                              uint32_t node)
{
    struct run r = {e, p, box};
    begin_run(e, p, box);
    for (uint32_t i = 1; i <= node; i++)
        run_at(&r, i);
}
