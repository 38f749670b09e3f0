/* Speed of the evaluator, and of the functions that are more than a formula.
 * Promised: arithmetic, comparisons, choices and curves as a recipe mixes them at 0.3 of the speed of a loop that only
 * adds the same operands; a time or a temperature in a sheet in 100 microseconds. */
#include "runtime/evaluate/evaluate.h"
#include "tests/bench/sample_recipe.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { NODES = 1000 * 1000, ROUNDS = 9, CALLS = 20000 };

/* Of 100 nodes: 40 sums and differences, 30 products, 12 quotients, 3 powers, 5 comparisons, 5 choices, 5 curves.
 * Operands are late curve values, which lie between 1 and 2, so that all stays finite; a curve takes what is before
 * it. */
static void mixed_program(struct program *p)
{
    enum { RECENT = 64 };
    static const double x[] = {-100, 0, 1, 2, 4, 100}, z[] = {1, 1.1, 1.5, 1.7, 1.9, 2};
    static const enum op ops[] = {OP_ADD, OP_SUBTRACT, OP_MULTIPLY, OP_DIVIDE, OP_POWER, OP_LESS, OP_SELECT, OP_CURVE};
    static const uint32_t share[] = {20, 20, 30, 12, 3, 5, 5, 5};
    uint32_t curve = program_curve(p, (struct curve){.x_count = 6, .x = x, .z = z}), recent[RECENT], curves = RECENT;
    for (uint32_t i = 0; i < RECENT; i++)
        recent[i] = program_constant(p, 1 + i / 64.0, 0);
    srand(1);
    while (p->nodes.count < NODES) {
        uint32_t draw = (uint32_t)rand() % 100, op = 0, before = p->nodes.count - 1;
        for (; draw >= share[op]; op++)
            draw -= share[op];
        uint32_t a = recent[rand() % RECENT], b = recent[rand() % RECENT], c = recent[rand() % RECENT];
        if (ops[op] == OP_CURVE)
            recent[curves++ % RECENT] = program_node(p, OP_CURVE, curve, before, 0, 0);
        else
            program_node(p, ops[op], a, b, ops[op] == OP_SELECT ? c : 0, 0);
    }
}

static double evaluate_once(const struct program *p, uint32_t *faulty)
{
    struct arena arena;
    arena_init(&arena, NULL);
    double start = seconds_now();
    struct evaluation e = evaluate_nominal(&arena, p, NULL);
    double taken = seconds_now() - start;
    for (uint32_t i = 1; i < p->nodes.count; i++)
        *faulty += e.culprit[i] != 0;
    arena_free(&arena);
    return taken;
}

/* The neighbour: the same operands from the same array, all added. */
static double add_once(const struct program *p)
{
    struct arena arena;
    arena_init(&arena, NULL);
    double start = seconds_now(), *value = ARENA_ARRAY(&arena, p->nodes.count, double);
    for (uint32_t i = 1; i < p->nodes.count; i++) {
        const struct node_code *n = &p->nodes.at[i];
        value[i] = n->op == OP_CONSTANT ? n->value : (value[n->op == OP_CURVE ? n->b : n->a] + value[n->b]) / 2;
    }
    double taken = seconds_now() - start;
    volatile double keep = value[p->nodes.count - 1];
    (void)keep;
    arena_free(&arena);
    return taken;
}

static bool nodes_a_second(void)
{
    struct arena arena;
    struct program p;
    uint32_t faulty = 0;
    double ours[ROUNDS], bare[ROUNDS];
    arena_init(&arena, NULL);
    program_init(&p, &arena);
    mixed_program(&p);
    for (int i = 0; i < ROUNDS; i++) {
        ours[i] = evaluate_once(&p, &faulty);
        bare[i] = add_once(&p);
    }
    double a = p.nodes.count / median(ours, ROUNDS) / 1e6, b = p.nodes.count / median(bare, ROUNDS) / 1e6;
    arena_free(&arena);
    return report_line("evaluate, 1 million nodes", a >= 0.3 * b && faulty == 0,
                       "%7.1f M nodes/s, %.2f x adding alone (at least 0.3; %u undefined)", a, a / b, faulty);
}

/* Sheets of magnesium between tools and in the air, start temperatures slightly different so that nothing is kept. */
static double microseconds_of(enum function_id id, const double *sample, uint32_t count, uint32_t start_at)
{
    double x[10], sum = 0, start = seconds_now();
    memcpy(x, sample, count * sizeof *x);
    for (int i = 0; i < CALLS; i++) {
        enum eval_fault fault = EVAL_OK;
        x[start_at] += 1e-5;
        sum += function_table[id].evaluate(x, count, &fault);
    }
    return isfinite(sum) ? (seconds_now() - start) / CALLS * 1e6 : INFINITY;
}

static const struct {
    enum function_id id;
    const char *what;
    uint32_t count, start_at;
    double x[10];
} samples[] = {
    {FUNCTION_slab_at, "slab-temperature, half way", 10, 4, {2000, 500, 488, 373, 293, 5e-4, 90, 1.9e6, 0.3, 0.5}},
    {FUNCTION_slab_mean, "slab-mean, first moments", 9, 4, {2000, 500, 488, 373, 293, 5e-4, 90, 1.9e6, 2e-5}},
    {FUNCTION_slab_mean, "slab-mean, most terms", 9, 4, {2000, 500, 488, 373, 293, 5e-4, 90, 1.9e6, 3.2e-5}},
    {FUNCTION_slab_time, "slab-time, hot tools", 9, 4, {2000, 500, 488, 473, 293, 5e-4, 90, 1.9e6, 470}},
    {FUNCTION_slab_time, "slab-time, one face cools", 9, 4, {2e4, 100, 488, 253, 293, 5e-3, 20, 1.9e6, 400}},
    {FUNCTION_air_after, "air-temperature", 6, 0, {473, 293, 950, 24, 0.4, 20}},
    {FUNCTION_air_time, "air-time", 6, 0, {473, 293, 950, 24, 0.4, 318}},
};

static bool calls(void)
{
    bool kept = true;
    for (size_t i = 0; i < sizeof samples / sizeof samples[0]; i++) {
        double taken = microseconds_of(samples[i].id, samples[i].x, samples[i].count, samples[i].start_at);
        kept = report_line(samples[i].what, taken <= 100, "%7.2f us     (at most 100)", taken) && kept;
    }
    return kept;
}

int main(void)
{
    bool kept = nodes_a_second();
    kept = calls() && kept;
    return kept ? EXIT_SUCCESS : EXIT_FAILURE;
}
