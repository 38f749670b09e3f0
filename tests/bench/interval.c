/* Speed of the evaluators over a box, beside the nominal one on the same program.
 * Promised: 20 million nodes a second for intervals, so that a proof of a hundred passes over a recipe of 1,000 nodes
 * takes 5 ms; 4 million for derivatives to 30 held inputs at once, at a point (its memory made anew) and over a box.
 * Conduction is measured by the call. */
#include "runtime/evaluate/gradient.h"
#include "tests/bench/sample_recipe.h"

#include <stdlib.h>

enum { HELD = 30, NODES = 10000, ROUNDS = 9 };

/* As recipes have it: sums and products of a few inputs each, here and there a quotient, a square, a comparison with a
 * choice, a function, a curve. Values stay near 1. */
static void sample_program(struct program *p, struct arena *arena)
{
    static const double at[] = {0, 0.5, 1, 2, 5, 100}, z[] = {1, 1.1, 0.9, 1.2, 1, 1};
    program_init(p, arena);
    uint32_t curve = program_curve(p, (struct curve){.x_count = 6, .x = at, .z = z});
    uint32_t half = program_constant(p, 0.5, 0), two = program_constant(p, 2, 0), first = p->nodes.count;
    for (int i = 0; i < HELD; i++)
        program_input(p, (struct input){.nominal = 1, .low = 0.99, .high = 1.01, .held = true}, 0);
    while (p->nodes.count < NODES) {
        uint32_t n = p->nodes.count, x = first + n * 7 % HELD, y = first + n * 11 % HELD;
        uint32_t sum = program_node(p, OP_ADD, x, y, 0, 0), mean = program_node(p, OP_MULTIPLY, sum, half, 0, 0);
        uint32_t share = program_node(p, OP_DIVIDE, mean, x, 0, 0),
                 square = program_node(p, OP_POWER, share, two, 0, 0);
        uint32_t less = program_node(p, OP_LESS, square, two, 0, 0);
        uint32_t choice = program_node(p, OP_SELECT, less, square, mean, 0);
        uint32_t root = program_call(p, FUNCTION_sqrt, &choice, 1, 0);
        uint32_t read = program_node(p, OP_CURVE, curve, root, 0, 0);
        uint32_t least = program_call(p, FUNCTION_min, (uint32_t[]){read, mean, y}, 3, 0);
        program_node(p, OP_SUBTRACT, program_node(p, OP_MULTIPLY, least, share, 0, 0), half, 0, 0);
    }
}

struct work {
    const struct program *program;
    const struct interval *box, *other; /* every other pass has all inputs elsewhere: none finds what it remembers */
    struct arena room;                  /* as who evaluates at many points keeps it */
    uint32_t passes;
    struct interval_evaluation intervals;
    struct interval_gradient slopes;
};

static void nominal(struct work *w)
{
    arena_clear(&w->room);
    evaluate_nominal(&w->room, w->program, NULL);
}

static void intervals(struct work *w)
{
    evaluate_interval(&w->intervals, w->program, w->passes++ % 2 ? w->other : w->box, NULL);
}

static void gradient(struct work *w)
{
    arena_clear(&w->room);
    evaluate_gradient(&w->room, w->program, NULL);
}

static void slope_ranges(struct work *w)
{
    evaluate_interval_gradient(&w->slopes, w->program, w->passes++ % 2 ? w->other : w->box);
}

static double seconds_each(void (*pass)(struct work *), struct work *w)
{
    double taken[ROUNDS];
    for (int i = 0; i < ROUNDS; i++) {
        double start = seconds_now();
        for (int k = 0; k < 10; k++)
            pass(w);
        taken[i] = (seconds_now() - start) / 10;
    }
    return median(taken, ROUNDS);
}

static bool passes(struct arena *arena)
{
    static const struct {
        const char *name;
        void (*pass)(struct work *);
        double promised; /* million nodes a second */
    } all[] = {{"intervals", intervals, 20},
               {"gradient, 30 inputs", gradient, 4},
               {"slopes over a box, 30 inputs", slope_ranges, 4}};
    struct program p;
    sample_program(&p, arena);
    struct interval *other = interval_inputs(arena, &p);
    for (uint32_t i = 0; i < p.inputs.count; i++)
        other[i].high = interval_next_up(other[i].high);
    struct work w = {.program = &p,
                     .box = interval_inputs(arena, &p),
                     .other = other,
                     .intervals = interval_evaluation_new(arena, &p),
                     .slopes = interval_gradient_new(arena, &p)};
    arena_init(&w.room, NULL);
    double beside = seconds_each(nominal, &w);
    bool kept = true;
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
        double taken = seconds_each(all[i].pass, &w), rate = p.nodes.count / taken / 1e6;
        kept = report_line(all[i].name, rate >= all[i].promised, "%7.1f million nodes/s (at least %.0f; nominal %.0f)",
                           rate, all[i].promised, p.nodes.count / beside / 1e6) &&
               kept;
    }
    arena_free(&w.room);
    return kept;
}

/* One call with all properties held, thickness and conductivity too. */
static bool conduction(struct arena *arena, const char *name, uint32_t function, double last)
{
    const double x[] = {2000, 1500, 500, 480, 300, 0.002, 120, 2.4e6, last};
    uint32_t nodes[9];
    struct program p;
    program_init(&p, arena);
    for (int i = 0; i < 9; i++)
        nodes[i] = program_input(
            &p, (struct input){.nominal = x[i], .low = 0.99 * x[i], .high = 1.01 * x[i], .held = true}, 0);
    uint32_t n = program_call(&p, function, nodes, 9, 0);
    struct work w = {.program = &p, .box = interval_inputs(arena, &p), .intervals = interval_evaluation_new(arena, &p)};
    w.other = w.box;
    double beside = seconds_each(nominal, &w) * 1e6, taken = seconds_each(intervals, &w) * 1e6;
    bool decided = w.intervals.culprit[n] == 0;
    return report_line(name, decided && taken < 500, "%7.1f us      (at most 500; nominal %.1f us)", taken, beside);
}

int main(void)
{
    struct arena arena;
    arena_init(&arena, NULL);
    bool kept = passes(&arena);
    kept = conduction(&arena, "slab-mean over a box", FUNCTION_slab_mean, 2) && kept;
    kept = conduction(&arena, "slab-time over a box", FUNCTION_slab_time, 430) && kept;
    arena_free(&arena);
    return kept ? EXIT_SUCCESS : EXIT_FAILURE;
}
