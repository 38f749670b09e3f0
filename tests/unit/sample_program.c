#include "tests/unit/sample_program.h"

#include <math.h>
#include <stdlib.h>

double random_share(void)
{
    return rand() / (double)RAND_MAX;
}

double random_between(double low, double high)
{
    return low + (high - low) * random_share();
}

static uint32_t held(struct program *p, double low, double high)
{
    return program_input(p, (struct input){low + (high - low) / 2, low, high, true, 0, false, 0}, 0);
}

struct making {
    struct program *p;
    uint32_t numbers[120], truths[120], n, t;
    uint32_t line, grid;
};

static const double knots[] = {-3, -1, 0, 0.5, 2, 4}, heights[] = {2, 1, 1, 3, -2, 0};
static const double across[] = {-2, 0, 3}, field[] = {1, 2, 3, 0, -1, 4, 2, 2, 2, 5, 1, 0, 1, 1, -3, 0, 2, 1};

static uint32_t any_of(const uint32_t *nodes, uint32_t count)
{
    uint32_t back = (uint32_t)rand() % (count < 16 ? count : 16); /* near the end, so that the graph is deep */
    return nodes[count - 1 - back];
}

static uint32_t number_of(struct making *m)
{
    return any_of(m->numbers, m->n);
}

static uint32_t call_of(struct making *m, bool smooth)
{
    static const uint32_t any[] = {FUNCTION_abs,   FUNCTION_min,    FUNCTION_max,     FUNCTION_mean,  FUNCTION_sqrt,
                                   FUNCTION_exp,   FUNCTION_ln,     FUNCTION_sin,     FUNCTION_cos,   FUNCTION_tan,
                                   FUNCTION_atan,  FUNCTION_kelvin, FUNCTION_radians, FUNCTION_point, FUNCTION_inside,
                                   FUNCTION_round, FUNCTION_ceil};
    uint32_t count = sizeof any / sizeof any[0], function = any[(uint32_t)rand() % (count - (smooth ? 2 : 0))];
    uint32_t x[3] = {number_of(m), number_of(m), number_of(m)}, arity = 1;
    if (function == FUNCTION_min || function == FUNCTION_max || function == FUNCTION_mean)
        arity = 1 + (uint32_t)rand() % 3;
    if (function == FUNCTION_inside) {
        x[1] = program_constant(m->p, -5, 0);
        x[2] = program_constant(m->p, 5, 0);
        arity = 3;
    }
    if (function == FUNCTION_round || function == FUNCTION_ceil) {
        if (rand() % 2)
            x[1] = program_constant(m->p, random_between(0.1, 1), 0);
        arity = 2;
    }
    return program_call(m->p, function, x, arity, 0);
}

static uint32_t arithmetic_of(struct making *m)
{
    static const enum op ops[] = {OP_ADD, OP_SUBTRACT, OP_MULTIPLY, OP_ADD, OP_DIVIDE, OP_POWER, OP_NEGATE};
    enum op op = ops[rand() % 7];
    uint32_t a = number_of(m), b = number_of(m);
    if (op == OP_POWER && rand() % 3)
        b = program_constant(m->p, rand() % 2 ? rand() % 7 - 3 : random_between(-2, 3), 0);
    return program_node(m->p, op, a, op == OP_NEGATE ? 0 : b, 0, 0);
}

static void add_truth(struct making *m)
{
    static const enum op ops[] = {OP_LESS, OP_LESS_EQUAL, OP_EQUAL, OP_AND, OP_OR, OP_NOT};
    enum op op = ops[rand() % 6];
    bool compares = op == OP_LESS || op == OP_LESS_EQUAL || op == OP_EQUAL;
    uint32_t a = compares ? number_of(m) : any_of(m->truths, m->t);
    uint32_t b = compares ? number_of(m) : any_of(m->truths, m->t);
    m->truths[m->t++] = program_node(m->p, op, a, op == OP_NOT ? 0 : b, 0, 0);
}

static void add_number(struct making *m, bool smooth)
{
    uint32_t made;
    int what = rand() % 10;
    if (what < 5 && rand() % 12 == 0)
        made = program_node(m->p, OP_NOMINAL, number_of(m), 0, 0, 0);
    else if (what < 5)
        made = arithmetic_of(m);
    else if (what < 8)
        made = call_of(m, smooth);
    else if (what == 8)
        made = program_node(m->p, OP_CURVE, rand() % 2 ? m->line : m->grid, number_of(m), number_of(m), 0);
    else if (smooth)
        made = program_node(m->p, OP_MULTIPLY, number_of(m), program_constant(m->p, random_between(-1, 1), 0), 0, 0);
    else
        made = program_node(m->p, OP_SELECT, any_of(m->truths, m->t), number_of(m), number_of(m), 0);
    m->numbers[m->n++] = made;
}

void random_program(struct program *p, struct arena *arena, bool smooth)
{
    struct making m = {.p = p};
    program_init(p, arena);
    m.line = program_curve(p, (struct curve){.x_count = 6, .x = knots, .z = heights});
    m.grid = program_curve(p, (struct curve){6, 3, knots, across, field, 0});
    m.truths[m.t++] = program_constant(p, 0, 0);
    m.truths[m.t++] = program_constant(p, 1, 0);
    for (int i = -1; i < 3; i++)
        m.numbers[m.n++] = program_constant(p, i, 0);
    for (int i = 0; i < 4; i++) {
        double middle = random_between(-2, 3), half = i < 2 ? random_share() : 0.01 * random_share();
        m.numbers[m.n++] = held(p, middle - half, middle + half);
    }
    if (rand() % 2)
        p->inputs.at[rand() % 4].unknown = true;
    for (int i = 0; i < 40; i++) {
        if (!smooth && rand() % 4 == 0)
            add_truth(&m);
        else
            add_number(&m, smooth);
    }
}

double *random_point(struct arena *arena, const struct program *p)
{
    double *point = ARENA_ARRAY(arena, p->inputs.count, double);
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        const struct input *in = &p->inputs.at[i];
        double v = random_between(in->low, in->high);
        if (rand() % 3 == 0)
            v = rand() % 2 ? in->low : in->high;
        point[i] = in->held ? fmin(fmax(v, in->low), in->high) : in->nominal;
    }
    return point;
}

/* ---- heat -------------------------------------------------------------------------------------------------------- */

/* A temperature of the sheet's surroundings, mostly on the same side of its start. */
static double surroundings(double start)
{
    return rand() % 4 ? start + random_between(20, 300) : start - random_between(20, 200);
}

static uint32_t slab_arguments(double *x, uint32_t function)
{
    double cools = rand() % 2 ? -1 : 1;
    x[4] = random_between(280, 600);
    x[0] = rand() % 6 ? pow(10, random_between(1, 4)) : 0;
    x[1] = rand() % 6 ? pow(10, random_between(1, 4)) : 0;
    x[2] = x[4] + cools * (surroundings(x[4]) - x[4]);
    x[3] = rand() % 2 ? x[2] : x[4] + cools * (surroundings(x[4]) - x[4]);
    x[5] = pow(10, random_between(-3.5, -1.5));
    x[6] = random_between(10, 200);
    x[7] = random_between(1e6, 4e6);
    double pace = x[5] * x[5] * x[7] / x[6] * (1 + x[6] / (x[5] * (x[0] + x[1] + 1)));
    x[8] = pace * pow(10, random_between(-3, 1));
    x[9] = random_share();
    if (function == FUNCTION_slab_time)
        x[8] = x[4] + (fmin(fabs(x[2] - x[4]), fabs(x[3] - x[4])) + 1) * cools * random_share();
    return function == FUNCTION_slab_at ? 10 : 9;
}

static uint32_t air_arguments(double *x, uint32_t function)
{
    x[0] = random_between(280, 800);
    x[1] = random_between(280, 800);
    x[2] = pow(10, random_between(2, 5));
    x[3] = rand() % 6 ? random_between(1, 60) : 0;
    x[4] = rand() % 4 ? random_between(0, 2) : 0;
    x[5] = function == FUNCTION_air_time ? x[0] + (x[1] - x[0]) * random_share() : pow(10, random_between(-1, 4));
    return 6;
}

static uint32_t contact_arguments(double *x, uint32_t function)
{
    x[0] = random_between(280, 800);
    x[1] = random_between(280, 800);
    x[2] = pow(10, random_between(-3, 2));
    x[3] = rand() % 6 ? pow(10, random_between(-3, 1)) : 0;
    x[4] = function == FUNCTION_contact_time ? x[0] + (x[1] - x[0]) * random_share()
                                             : x[2] * pow(10, random_between(-2, 2));
    return 5;
}

uint32_t random_heat_call(struct program *p, uint32_t function, double chance, double share)
{
    double x[10];
    uint32_t nodes[10], count;
    bool air = function == FUNCTION_air_after || function == FUNCTION_air_time;
    bool contact = function == FUNCTION_contact_after || function == FUNCTION_contact_time;
    count = contact ? contact_arguments(x, function) : air ? air_arguments(x, function) : slab_arguments(x, function);
    for (uint32_t i = 0; i < count; i++) {
        double half = random_share() < chance ? share * random_share() * fabs(x[i]) : 0;
        bool is_depth = i == 9;
        double high = is_depth ? fmin(x[i] + half, 1) : x[i] + half;
        nodes[i] = program_input(p, (struct input){x[i], x[i] - half, high, half > 0, 0, false, 0}, 0);
    }
    return program_call(p, function, nodes, count, 0);
}
