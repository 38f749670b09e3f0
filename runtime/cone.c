#include "runtime/cone.h"

struct cone_marks cone_marks_new(struct arena *arena, const struct program *p)
{
    /* Numbers are kept with one added, so that 0 says unseen. */
    return (struct cone_marks){.arena = arena,
                               .node = ARENA_ARRAY(arena, p->nodes.count, uint32_t),
                               .input = ARENA_ARRAY(arena, p->inputs.count, uint32_t)};
}

struct making {
    struct arena *arena;
    const struct program *whole;
    struct cone_marks *marks;
    struct cone cone;
    uint32_t operands; /* of all calls */
};

static uint32_t own(const struct making *m, uint32_t node)
{
    return node ? m->marks->node[node] - 1 : 0;
}

/* ---- which, in what order ---------------------------------------------------------------------------------------- */

static void number_node(struct making *m, uint32_t node)
{
    const struct node_code *n = &m->whole->nodes.at[node];
    struct cone_marks *marks = m->marks;
    if (n->op == OP_INPUT && !marks->input[n->a]) {
        *ARRAY_PUSH(marks->arena, &marks->inputs) = n->a;
        marks->input[n->a] = marks->inputs.count;
    }
    m->operands += n->op == OP_CALL ? n->c : 0;
    *ARRAY_PUSH(marks->arena, &marks->order) = node;
    marks->node[node] = marks->order.count + 1;
}

enum { WAITING = UINT32_MAX }; /* as its number: on the stack until all it reads has one */

/* Operands first. */
static void number_nodes(struct making *m, uint32_t node)
{
    struct cone_marks *marks = m->marks;
    *ARRAY_PUSH(marks->arena, &marks->stack) = node;
    while (marks->stack.count) {
        uint32_t top = marks->stack.at[marks->stack.count - 1], room[MOST_ROOM];
        const uint32_t *read;
        if (marks->node[top]) {
            if (marks->node[top] == WAITING)
                number_node(m, top);
            marks->stack.count--;
            continue;
        }
        marks->node[top] = WAITING;
        uint32_t count = program_operands(m->whole, &m->whole->nodes.at[top], &read, room);
        for (uint32_t k = count; k-- > 0;)
            if (!marks->node[read[k]])
                *ARRAY_PUSH(marks->arena, &marks->stack) = read[k];
    }
}

/* ---- the program ------------------------------------------------------------------------------------------------- */

static void copy_node(struct making *m, uint32_t node)
{
    struct program *p = &m->cone.program;
    struct node_code n = m->whole->nodes.at[node];
    uint32_t room[MOST_ROOM], count;
    const uint32_t *read;
    count = program_operands(m->whole, &n, &read, room);
    if (n.op == OP_INPUT) {
        n.a = m->marks->input[n.a] - 1;
    } else if (n.op == OP_CURVE) {
        n.b = own(m, n.b);
        n.c = count > 1 ? own(m, n.c) : 0;
    } else if (n.op == OP_CALL) {
        n.b = p->operands.count;
        for (uint32_t k = 0; k < count; k++)
            p->operands.at[p->operands.count++] = own(m, read[k]);
    } else if (n.op != OP_CONSTANT) {
        n.a = own(m, n.a);
        n.b = count > 1 ? own(m, n.b) : 0;
        n.c = count > 2 ? own(m, n.c) : 0;
    }
    p->has_nominal = p->has_nominal || n.op == OP_NOMINAL;
    p->longest_call = n.op == OP_CALL && count > p->longest_call ? count : p->longest_call;
    p->nodes.at[p->nodes.count++] = n;
}

/* Everything is counted by now, so that no array grows. */
static void copy_program(struct making *m)
{
    const struct cone_marks *marks = m->marks;
    struct program *p = &m->cone.program;
    program_init(p, m->arena);
    p->curves.at = m->whole->curves.at;
    p->curves.count = m->whole->curves.count;
    ARRAY_RESERVE(m->arena, &p->nodes, marks->order.count);
    if (m->operands)
        ARRAY_RESERVE(m->arena, &p->operands, m->operands);
    if (marks->inputs.count)
        ARRAY_RESERVE(m->arena, &p->inputs, marks->inputs.count);
    m->cone.node = ARENA_ROOM(m->arena, marks->order.count + (size_t)1, uint32_t);
    m->cone.node[0] = 0;
    m->cone.input = ARENA_ROOM(m->arena, marks->inputs.count, uint32_t);
    for (uint32_t i = 0; i < marks->inputs.count; i++) {
        m->cone.input[i] = marks->inputs.at[i];
        p->inputs.at[p->inputs.count++] = m->whole->inputs.at[marks->inputs.at[i]];
    }
    for (uint32_t i = 0; i < marks->order.count; i++) {
        m->cone.node[i + 1] = marks->order.at[i];
        copy_node(m, marks->order.at[i]);
    }
}

struct cone cone_of(struct arena *arena, const struct program *whole, struct cone_marks *marks, uint32_t *nodes,
                    uint32_t count)
{
    struct making m = {.arena = arena, .whole = whole, .marks = marks};
    marks->order.count = marks->inputs.count = 0;
    for (uint32_t i = 0; i < count; i++)
        if (nodes[i])
            number_nodes(&m, nodes[i]);
    copy_program(&m);
    for (uint32_t i = 0; i < count; i++)
        nodes[i] = own(&m, nodes[i]);
    for (uint32_t i = 0; i < marks->order.count; i++)
        marks->node[marks->order.at[i]] = 0;
    for (uint32_t i = 0; i < marks->inputs.count; i++)
        marks->input[marks->inputs.at[i]] = 0;
    return m.cone;
}
