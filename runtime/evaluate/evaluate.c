#include "runtime/evaluate/evaluate.h"

#include "runtime/compare.h"

#include <math.h>

/* How it runs: a value that could not be worked out is NaN, and NaN goes through arithmetic by itself. So the common
 * case costs one test a node; only where a result is not finite is it asked who is to blame (settle). */
struct run {
    struct evaluation *e;
    const struct program *program;
    const double *inputs; /* NULL: the program's own */
};

/* pow(NaN, 0) and pow(1, NaN) are 1 in C, but what is undefined must stay so. */
static double power(double base, double exponent)
{
    if (isunordered(base, exponent))
        return NAN;
    return exponent == 2 ? base * base : pow(base, exponent);
}

/* Logic reads from left to right: what the left side decides alone leaves the right side unread. */
static double logic(double left, double right, bool decides)
{
    if (isnan(left))
        return NAN;
    return (left != 0) == decides ? left : right;
}

static double compared(enum op op, double a, double b)
{
    if (isunordered(a, b))
        return NAN;
    return op == OP_LESS ? less_value(a, b) : op == OP_EQUAL ? same_value(a, b) : !less_value(b, a);
}

/* ---- curves and calls: they say themselves what went wrong ------------------------------------------------------- */

static void blame(struct run *r, uint32_t i, enum eval_fault fault, double offending)
{
    r->e->fault[i] = (uint8_t)fault;
    r->e->offending[i] = offending;
}

static double run_curve(struct run *r, uint32_t i, const struct node_code *n)
{
    const struct curve *c = &r->program->curves.at[n->a];
    double x = r->e->value[n->b], y = c->y_count ? r->e->value[n->c] : 0, offending;
    if (isnan(x) || isnan(y))
        return NAN;
    enum eval_fault fault = EVAL_OK;
    double v = curve_at(c, x, y, &fault, &offending);
    if (fault != EVAL_OK)
        blame(r, i, fault, offending);
    return fault == EVAL_OK ? v : NAN;
}

/* What was asked for in vain stands last: slab-time, air-time. Else the first argument is the one that matters. */
static double offending_argument(enum eval_fault fault, const double *args, uint32_t count)
{
    if (count == 0)
        return NAN;
    return fault == EVAL_NEVER_REACHED ? args[count - 1] : args[0];
}

static double run_call(struct run *r, uint32_t i, const struct node_code *n)
{
    double *args = r->e->arguments;
    const uint32_t *operands = n->c ? &r->program->operands.at[n->b] : NULL;
    for (uint32_t k = 0; k < n->c; k++) {
        args[k] = r->e->value[operands[k]];
        if (isnan(args[k]))
            return NAN;
    }
    enum eval_fault fault = EVAL_OK;
    double v = function_table[n->a].evaluate(args, n->c, &fault);
    if (fault == EVAL_OK && !isfinite(v))
        fault = EVAL_OVERFLOW;
    if (fault != EVAL_OK)
        blame(r, i, fault, offending_argument(fault, args, n->c));
    return fault == EVAL_OK ? v : NAN;
}

/* ---- who is to blame --------------------------------------------------------------------------------------------- */

static enum eval_fault fault_of_power(double base, double exponent)
{
    if (base == 0 && exponent < 0)
        return EVAL_DIVIDE_BY_ZERO;
    return base < 0 && exponent != trunc(exponent) ? EVAL_NEGATIVE_ROOT : EVAL_OVERFLOW;
}

/* An operation on good operands that has no finite result. */
static void settle_own(struct run *r, uint32_t i, const struct node_code *n)
{
    const double *value = r->e->value;
    switch (n->op) {
    case OP_CONSTANT:
        blame(r, i, EVAL_OVERFLOW, n->value);
        break;
    case OP_INPUT:
        blame(r, i, isnan(value[i]) ? EVAL_LEFT_OPEN : EVAL_OVERFLOW, value[i]);
        break;
    case OP_DIVIDE:
        if (value[n->b] == 0)
            blame(r, i, EVAL_DIVIDE_BY_ZERO, 0);
        else
            blame(r, i, EVAL_OVERFLOW, value[n->a]);
        break;
    case OP_POWER:
        blame(r, i, fault_of_power(value[n->a], value[n->b]), value[n->a]);
        break;
    case OP_CURVE:
    case OP_CALL:
        break;           /* said already */
    case OP_UNCERTAINTY: /* no derivative */
    case OP_NOMINAL:     /* good here, but not at the stated inputs */
        blame(r, i, EVAL_BAD_ARGUMENT, value[n->a]);
        break;
    default:
        blame(r, i, EVAL_OVERFLOW, value[n->a]);
        break;
    }
    r->e->culprit[i] = i;
}

/* The operands a node read, in order: those whose fault becomes its own. */
static uint32_t operands_read(const struct run *r, const struct node_code *n, const uint32_t **out, uint32_t room[3])
{
    const double *value = r->e->value;
    *out = room;
    switch (n->op) {
    case OP_CONSTANT:
    case OP_INPUT:
        return 0;
    case OP_NEGATE:
    case OP_NOT:
    case OP_NOMINAL:
    case OP_UNCERTAINTY:
        room[0] = n->a;
        return 1;
    case OP_SELECT:
        room[0] = n->a;
        room[1] = value[n->a] != 0 ? n->b : n->c;
        return isnan(value[n->a]) ? 1 : 2;
    case OP_CURVE:
        room[0] = n->b;
        room[1] = n->c;
        return r->program->curves.at[n->a].y_count ? 2 : 1;
    case OP_CALL:
        *out = n->c ? &r->program->operands.at[n->b] : NULL;
        return n->c;
    default:
        room[0] = n->a;
        room[1] = n->b;
        return 2;
    }
}

static void settle(struct run *r, uint32_t i, const struct node_code *n)
{
    uint32_t room[3], count;
    const uint32_t *read;
    count = operands_read(r, n, &read, room);
    for (uint32_t k = 0; k < count && !r->e->culprit[i]; k++)
        r->e->culprit[i] = r->e->culprit[read[k]];
    if (!r->e->culprit[i])
        settle_own(r, i, n);
    r->e->value[i] = NAN;
}

/* ---- the pass ---------------------------------------------------------------------------------------------------- */

static double run_node(struct run *r, uint32_t i, const struct node_code *n)
{
    const double *value = r->e->value;
    switch (n->op) {
    case OP_CONSTANT:
        return n->value;
    case OP_INPUT:
        return r->inputs ? r->inputs[n->a] : r->program->inputs.at[n->a].nominal;
    case OP_ADD:
        return value[n->a] + value[n->b];
    case OP_SUBTRACT:
        return value[n->a] - value[n->b];
    case OP_MULTIPLY:
        return value[n->a] * value[n->b];
    case OP_DIVIDE:
        return value[n->a] / value[n->b];
    case OP_POWER:
        return power(value[n->a], value[n->b]);
    case OP_NEGATE:
        return -value[n->a];
    case OP_LESS:
    case OP_LESS_EQUAL:
    case OP_EQUAL:
        return compared((enum op)n->op, value[n->a], value[n->b]);
    case OP_AND:
        return logic(value[n->a], value[n->b], false);
    case OP_OR:
        return logic(value[n->a], value[n->b], true);
    case OP_NOT:
        return isnan(value[n->a]) ? NAN : value[n->a] == 0;
    case OP_SELECT:
        return isnan(value[n->a]) ? NAN : value[n->a] != 0 ? value[n->b] : value[n->c];
    case OP_CURVE:
        return run_curve(r, i, n);
    case OP_CALL:
        return run_call(r, i, n);
    case OP_NOMINAL:
        return r->e->stated ? r->e->stated->at.value[n->a] : value[n->a];
    case OP_UNCERTAINTY:
        return n->value;
    default:
        return NAN;
    }
}

/* ---- room and passes -------------------------------------------------------------------------------------------- */

static struct evaluation room_for(struct arena *arena, const struct program *p)
{
    uint32_t count = p->nodes.count;
    return (struct evaluation){.value = ARENA_ROOM(arena, count, double),
                               .culprit = ARENA_ARRAY(arena, count, uint32_t),
                               .fault = ARENA_ARRAY(arena, count, uint8_t),
                               .offending = ARENA_ROOM(arena, count, double),
                               .arguments = ARENA_ARRAY(arena, p->longest_call, double)};
}

struct evaluation evaluation_new(struct arena *arena, const struct program *p)
{
    struct evaluation e = room_for(arena, p);
    if (!p->has_nominal)
        return e;
    e.stated = ARENA_NEW(arena, struct stated_values);
    e.stated->at = room_for(arena, p);
    e.stated->inputs = evaluation_stated_inputs(arena, p, NULL);
    e.stated->wanted = ARENA_ARRAY(arena, p->nodes.count, bool);
    program_needs_of_nominals(p, e.stated->wanted);
    return e;
}

double *evaluation_stated_inputs(struct arena *arena, const struct program *p, const double *inputs)
{
    double *stated = ARENA_ARRAY(arena, p->inputs.count, double);
    for (uint32_t i = 0; i < p->inputs.count; i++)
        stated[i] = p->inputs.at[i].unknown && inputs ? inputs[i] : p->inputs.at[i].nominal;
    return stated;
}

static bool follow_unknowns(struct stated_values *s, const struct program *p, const double *inputs)
{
    bool changed = !s->current;
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        double x = inputs && p->inputs.at[i].unknown ? inputs[i] : p->inputs.at[i].nominal;
        changed = changed || s->inputs[i] != x;
        s->inputs[i] = x;
    }
    s->current = true;
    return changed;
}

void evaluate_again(struct evaluation *e, const struct program *p, const double *inputs, const bool *wanted)
{
    struct run r = {e, p, inputs};
    if (e->stated && follow_unknowns(e->stated, p, inputs))
        evaluate_again(&e->stated->at, p, e->stated->inputs, e->stated->wanted);
    e->value[0] = NAN;
    for (uint32_t i = 1; i < p->nodes.count; i++) {
        if (wanted && !wanted[i])
            continue;
        const struct node_code *n = &p->nodes.at[i];
        e->culprit[i] = 0;
        e->fault[i] = EVAL_OK;
        e->value[i] = run_node(&r, i, n);
        if (!isfinite(e->value[i]))
            settle(&r, i, n);
    }
}

struct evaluation evaluate_nominal(struct arena *arena, const struct program *p, const double *inputs)
{
    struct evaluation e = inputs ? evaluation_new(arena, p) : room_for(arena, p);
    evaluate_again(&e, p, inputs, NULL);
    return e;
}
