#include "runtime/program.h"

#include <assert.h>
#include <math.h>

static uint32_t add_node(struct program *p, struct node_code n)
{
    uint32_t id = p->nodes.count;
    *ARRAY_PUSH(p->arena, &p->nodes) = n;
    return id;
}

void program_init(struct program *p, struct arena *arena)
{
    *p = (struct program){.arena = arena};
    add_node(p, (struct node_code){.op = OP_NONE});
}

uint32_t program_constant(struct program *p, double value, uint32_t origin)
{
    return add_node(p, (struct node_code){.op = OP_CONSTANT, .value = value, .origin = origin});
}

uint32_t program_input(struct program *p, struct input input, uint32_t origin)
{
    uint32_t index = p->inputs.count;
    *ARRAY_PUSH(p->arena, &p->inputs) = input;
    return add_node(p, (struct node_code){.op = OP_INPUT, .a = index, .origin = origin});
}

/* How many of a, b, c are nodes. A curve's a is a curve, and its c may be 0, and a call's are elsewhere: both are looked
 * at apart. */
static const uint8_t arity[OP_COUNT] = {
    [OP_ADD] = 2,    [OP_SUBTRACT] = 2, [OP_MULTIPLY] = 2,   [OP_DIVIDE] = 2,  [OP_POWER] = 2,
    [OP_NEGATE] = 1, [OP_LESS] = 2,     [OP_LESS_EQUAL] = 2, [OP_EQUAL] = 2,   [OP_AND] = 2,
    [OP_OR] = 2,     [OP_NOT] = 1,      [OP_SELECT] = 3,     [OP_NOMINAL] = 1, [OP_UNCERTAINTY] = 1,
};

/* Operands are earlier nodes: what keeps one pass enough, and every evaluator inside its arrays. */
static bool is_earlier(const struct program *p, uint32_t node)
{
    return node > 0 && node < p->nodes.count;
}

static bool operands_are_earlier(const struct program *p, enum op op, uint32_t a, uint32_t b, uint32_t c)
{
    if (op == OP_CURVE)
        return a < p->curves.count && is_earlier(p, b) && (p->curves.at[a].y_count == 0 || is_earlier(p, c));
    return is_earlier(p, a) && (arity[op] < 2 || is_earlier(p, b)) && (arity[op] < 3 || is_earlier(p, c));
}

uint32_t program_node(struct program *p, enum op op, uint32_t a, uint32_t b, uint32_t c, uint32_t origin)
{
    assert(op > OP_INPUT && op != OP_CALL && op < OP_COUNT);
    assert(operands_are_earlier(p, op, a, b, c));
    p->has_nominal = p->has_nominal || op == OP_NOMINAL;
    return add_node(p, (struct node_code){.op = (uint16_t)op, .a = a, .b = b, .c = c, .origin = origin});
}

uint32_t program_call(struct program *p, uint32_t function, const uint32_t *operands, uint32_t count, uint32_t origin)
{
    uint32_t first = p->operands.count;
    for (uint32_t i = 0; i < count; i++) {
        assert(is_earlier(p, operands[i]));
        *ARRAY_PUSH(p->arena, &p->operands) = operands[i];
    }
    p->longest_call = count > p->longest_call ? count : p->longest_call;
    return add_node(p, (struct node_code){.op = OP_CALL, .a = function, .b = first, .c = count, .origin = origin});
}

void program_spread(struct program *p, uint32_t input, struct spread spread)
{
    *ARRAY_PUSH(p->arena, &p->spreads) = (struct stated_spread){input, spread};
}

struct spread spread_of(const struct program *p, uint32_t input)
{
    for (uint32_t i = 0; i < p->spreads.count; i++)
        if (p->spreads.at[i].input == input)
            return p->spreads.at[i].spread;
    return (struct spread){.shape = SPREAD_RECTANGULAR};
}

uint32_t program_curve(struct program *p, struct curve c)
{
    uint32_t index = p->curves.count;
    *ARRAY_PUSH(p->arena, &p->curves) = c;
    return index;
}

struct program program_with_own_inputs(struct arena *arena, const struct program *p)
{
    struct program copy = *p;
    copy.inputs.at = NULL;
    copy.inputs.count = copy.inputs.room = 0;
    for (uint32_t i = 0; i < p->inputs.count; i++)
        *ARRAY_PUSH(arena, &copy.inputs) = p->inputs.at[i];
    return copy;
}

uint32_t program_operands(const struct program *p, const struct node_code *n, const uint32_t **out,
                          uint32_t room[MOST_ROOM])
{
    *out = room;
    if (n->op == OP_CALL) {
        *out = n->c ? &p->operands.at[n->b] : NULL;
        return n->c;
    }
    bool curve = n->op == OP_CURVE;
    room[0] = curve ? n->b : n->a;
    room[1] = curve ? n->c : n->b;
    room[2] = n->c;
    uint32_t count = !curve ? arity[n->op] : p->curves.at[n->a].y_count ? 2 : 1;
    assert(count <= MOST_ROOM);
    return count;
}

/* Operands come before what reads them. */
static void spread_needs(const struct program *p, uint32_t from, bool *wanted)
{
    for (uint32_t i = from; i > 0; i--) {
        uint32_t room[MOST_ROOM];
        const uint32_t *read;
        uint32_t count = wanted[i] ? program_operands(p, &p->nodes.at[i], &read, room) : 0;
        for (uint32_t k = 0; k < count; k++)
            wanted[read[k]] = true;
    }
}

void program_needs(const struct program *p, uint32_t node, bool *wanted)
{
    wanted[node] = true;
    spread_needs(p, node, wanted);
}

bool *program_reading(struct arena *arena, const struct program *p, const uint32_t *inputs, uint32_t count)
{
    bool *reading = ARENA_ARRAY(arena, p->nodes.count, bool);
    for (uint32_t i = 1; i < p->nodes.count; i++) {
        const struct node_code *n = &p->nodes.at[i];
        uint32_t room[MOST_ROOM];
        const uint32_t *read;
        uint32_t operands = program_operands(p, n, &read, room);
        for (uint32_t k = 0; k < operands && !reading[i]; k++)
            reading[i] = reading[read[k]];
        for (uint32_t k = 0; n->op == OP_INPUT && k < count && !reading[i]; k++)
            reading[i] = n->a == inputs[k];
    }
    return reading;
}

void program_needs_of_nominals(const struct program *p, bool *wanted)
{
    for (uint32_t i = p->nodes.count; i-- > 1;)
        if (p->nodes.at[i].op == OP_NOMINAL)
            wanted[p->nodes.at[i].a] = true;
    spread_needs(p, p->nodes.count - 1, wanted);
}
