#include "runtime/evaluate/batch.h"

/* While planning, each node stands twice, as OP_NOMINAL asks for it and as it is sampled: first with the held inputs at
 * their nominal values and only the unknown ones as they come, then as the samples have it. A place is the node's
 * number in the first row, or that and the program's length in the second; operands have lower places. */
struct plan {
    struct arena *arena;
    struct batch *b;
    const struct program *program;
    uint32_t row;        /* nodes of the program */
    const double *level; /* values at the nominal inputs, by node */
    const bool *inputs;  /* which vary; NULL: the held ones */
    bool *varies;        /* by place */
    uint32_t *last;      /* by place: the last place that reads it; 0 not needed; UINT32_MAX to be kept */
    double **block;      /* by place */
    ARRAY(double *) free;
    uint32_t *operands; /* room for the longest list */
};

static uint32_t node_of(const struct plan *plan, uint32_t place)
{
    return place < plan->row ? place : place - plan->row;
}

static const struct node_code *node_at(const struct plan *plan, uint32_t place)
{
    return &plan->program->nodes.at[node_of(plan, place)];
}

/* The places a place may read, in the order the kernels want them, in plan->operands. */
static uint32_t operands_of(struct plan *plan, uint32_t place)
{
    uint32_t room[MOST_ROOM];
    const uint32_t *read;
    const struct node_code *n = node_at(plan, place);
    if (n->op == OP_UNCERTAINTY) /* level whatever goes into it */
        return 0;
    uint32_t count = program_operands(plan->program, n, &read, room);
    uint32_t row = n->op == OP_NOMINAL || place < plan->row ? 0 : plan->row;
    for (uint32_t k = 0; k < count; k++)
        plan->operands[k] = row + read[k];
    return count;
}

static bool input_varies(const struct plan *plan, uint32_t place, uint32_t input)
{
    const struct input *in = &plan->program->inputs.at[input];
    bool sampled = plan->inputs ? plan->inputs[input] : in->held;
    return sampled && (place >= plan->row || in->unknown);
}

static void find_varying(struct plan *plan)
{
    for (uint32_t i = 1; i < 2 * plan->row; i++) {
        const struct node_code *n = node_at(plan, i);
        uint32_t count = operands_of(plan, i);
        plan->varies[i] = n->op == OP_INPUT && input_varies(plan, i, n->a);
        for (uint32_t k = 0; k < count; k++)
            plan->varies[i] = plan->varies[i] || plan->varies[plan->operands[k]];
    }
}

/* From the last place back: who reads whom for the last time. */
static void find_readers(struct plan *plan, const uint32_t *asked, uint32_t asked_count)
{
    for (uint32_t k = 0; k < asked_count; k++)
        plan->last[plan->row + asked[k]] = UINT32_MAX;
    for (uint32_t i = 2 * plan->row; i-- > 1;) {
        if (!plan->last[i] || !plan->varies[i])
            continue;
        uint32_t count = operands_of(plan, i);
        for (uint32_t k = 0; k < count; k++)
            if (!plan->last[plan->operands[k]])
                plan->last[plan->operands[k]] = i;
    }
}

static double *new_block(struct plan *plan)
{
    plan->b->blocks++;
    return ARENA_ARRAY(plan->arena, BATCH, double);
}

static double *take_block(struct plan *plan)
{
    return plan->free.count ? plan->free.at[--plan->free.count] : new_block(plan);
}

/* The same value for all samples. */
static double *level_block(struct plan *plan, uint32_t place)
{
    double *block = new_block(plan);
    for (int i = 0; i < BATCH; i++)
        block[i] = plan->level[node_of(plan, place)];
    return block;
}

static void add_step(struct plan *plan, uint32_t place)
{
    const struct node_code *n = node_at(plan, place);
    struct batch_step s = {.node = n, .count = operands_of(plan, place)};
    s.in = ARENA_ARRAY(plan->arena, s.count, const double *);
    for (uint32_t k = 0; k < s.count; k++) {
        double **block = &plan->block[plan->operands[k]];
        s.in[k] = *block = *block ? *block : level_block(plan, plan->operands[k]);
    }
    s.level_exponent = n->op == OP_POWER && !plan->varies[plan->operands[1]];
    plan->block[place] = s.out = take_block(plan);
    *ARRAY_PUSH(plan->arena, &plan->b->steps) = s;
    for (uint32_t k = 0; k < s.count; k++) {
        uint32_t operand = plan->operands[k];
        if (plan->last[operand] == place && plan->varies[operand]) {
            *ARRAY_PUSH(plan->arena, &plan->free) = plan->block[operand];
            plan->last[operand] = 0; /* given back once, though it be read twice */
        }
    }
}

/* An input has one block wherever it stands, and it is never given away: it is filled before the run. */
static void place_input(struct plan *plan, uint32_t place, uint32_t input)
{
    plan->last[place] = UINT32_MAX;
    if (!plan->b->inputs[input])
        plan->b->inputs[input] = new_block(plan);
    plan->block[place] = plan->b->inputs[input];
}

static void lay_out(struct plan *plan)
{
    for (uint32_t i = 1; i < 2 * plan->row; i++) {
        const struct node_code *n = node_at(plan, i);
        if (!plan->last[i])
            continue;
        if (!plan->varies[i]) {
            if (plan->last[i] == UINT32_MAX)
                plan->block[i] = level_block(plan, i);
        } else if (n->op == OP_INPUT) {
            place_input(plan, i, n->a);
        } else {
            add_step(plan, i);
        }
    }
}

struct batch batch_new(struct arena *arena, const struct program *p, const uint32_t *asked, uint32_t count,
                       const bool *varies)
{
    uint32_t places = 2 * p->nodes.count, longest = p->longest_call;
    struct batch b = {.program = p,
                      .inputs = ARENA_ARRAY(arena, p->inputs.count, double *),
                      .args = ARENA_ARRAY(arena, longest, double)};
    struct plan plan = {.arena = arena,
                        .b = &b,
                        .program = p,
                        .row = p->nodes.count,
                        .level = evaluate_nominal(arena, p, NULL).value,
                        .inputs = varies,
                        .varies = ARENA_ARRAY(arena, places, bool),
                        .last = ARENA_ARRAY(arena, places, uint32_t),
                        .block = ARENA_ARRAY(arena, places, double *),
                        .operands = ARENA_ARRAY(arena, longest > MOST_ROOM ? longest : MOST_ROOM, uint32_t)};
    find_varying(&plan);
    find_readers(&plan, asked, count);
    lay_out(&plan);
    b.block = plan.block + plan.row;
    return b;
}

void batch_run(struct batch *b)
{
    for (uint32_t i = 0; i < b->steps.count; i++)
        batch_kernel(b->program, &b->steps.at[i], b->args);
}
