#include "runtime/cone.h"

struct cone_marks cone_marks_new(struct arena *arena, const struct program *p)
{
    /* Numbers are kept with one added, so that 0 says unseen. */
    return (struct cone_marks){ARENA_ARRAY(arena, p->nodes.count, uint32_t),
                               ARENA_ARRAY(arena, p->inputs.count, uint32_t)};
}

struct making {
    struct arena *arena;
    const struct program *whole;
    struct cone_marks *marks;
    struct cone cone;
    ARRAY(uint32_t) node, input; /* as in the cone */
    ARRAY(uint32_t) stack;
};

static uint32_t input_number(struct making *m, uint32_t input)
{
    uint32_t *mark = &m->marks->input[input];
    if (!*mark) {
        *ARRAY_PUSH(m->arena, &m->cone.program.inputs) = m->whole->inputs.at[input];
        *ARRAY_PUSH(m->arena, &m->input) = input;
        *mark = m->input.count;
    }
    return *mark - 1;
}

static uint32_t own(const struct making *m, uint32_t node)
{
    return node ? m->marks->node[node] - 1 : 0;
}

/* All it reads has a number. */
static void copy_node(struct making *m, uint32_t node)
{
    struct program *p = &m->cone.program;
    struct node_code n = m->whole->nodes.at[node];
    uint32_t room[MOST_ROOM], count;
    const uint32_t *read;
    count = program_operands(m->whole, &n, &read, room);
    if (n.op == OP_INPUT) {
        n.a = input_number(m, n.a);
    } else if (n.op == OP_CURVE) {
        n.b = own(m, n.b);
        n.c = count > 1 ? own(m, n.c) : 0;
    } else if (n.op == OP_CALL) {
        n.b = p->operands.count;
        for (uint32_t k = 0; k < count; k++)
            *ARRAY_PUSH(m->arena, &p->operands) = own(m, read[k]);
    } else if (n.op != OP_CONSTANT) {
        n.a = own(m, n.a);
        n.b = count > 1 ? own(m, n.b) : 0;
        n.c = count > 2 ? own(m, n.c) : 0;
    }
    p->has_nominal = p->has_nominal || n.op == OP_NOMINAL;
    m->marks->node[node] = p->nodes.count + 1;
    *ARRAY_PUSH(m->arena, &p->nodes) = n;
    *ARRAY_PUSH(m->arena, &m->node) = node;
}

/* Operands first: a node waits on the stack until all it reads has a number. */
static void add_node(struct making *m, uint32_t node)
{
    *ARRAY_PUSH(m->arena, &m->stack) = node;
    while (m->stack.count) {
        uint32_t top = m->stack.at[m->stack.count - 1], room[MOST_ROOM], waiting = m->stack.count;
        const uint32_t *read;
        if (m->marks->node[top]) {
            m->stack.count--;
            continue;
        }
        uint32_t count = program_operands(m->whole, &m->whole->nodes.at[top], &read, room);
        for (uint32_t k = count; k-- > 0;)
            if (!m->marks->node[read[k]])
                *ARRAY_PUSH(m->arena, &m->stack) = read[k];
        if (m->stack.count > waiting)
            continue;
        copy_node(m, top);
        m->stack.count--;
    }
}

struct cone cone_of(struct arena *arena, const struct program *whole, struct cone_marks *marks, uint32_t *nodes,
                    uint32_t count)
{
    struct making m = {.arena = arena, .whole = whole, .marks = marks};
    program_init(&m.cone.program, arena);
    m.cone.program.curves.at = whole->curves.at;
    m.cone.program.curves.count = whole->curves.count;
    *ARRAY_PUSH(arena, &m.node) = 0;
    for (uint32_t i = 0; i < count; i++)
        if (nodes[i])
            add_node(&m, nodes[i]);
    for (uint32_t i = 0; i < count; i++)
        nodes[i] = own(&m, nodes[i]);
    for (uint32_t i = 1; i < m.node.count; i++)
        marks->node[m.node.at[i]] = 0;
    for (uint32_t i = 0; i < m.input.count; i++)
        marks->input[m.input.at[i]] = 0;
    m.cone.node = m.node.at;
    m.cone.input = m.input.at;
    return m.cone;
}
