/* Speed of the batch evaluator over the demo lid: everything the lid's recipe names, for BATCH samples of all its held
 * inputs. Counted are node evaluations, a node for one sample, of nodes that vary; what is level is worked out once and
 * not counted. Promised: 200 million a second on one core over arithmetic (sums to choices, roots, extremes). Curves,
 * elementary functions (powers, logarithms ...) and conduction are measured apart, and beside all of it the nominal
 * evaluator called once a sample, on the same nodes counted the same way. */
#include "runtime/evaluate/batch.h"
#include "compiler/recipe.h"
#include "runtime/statistics/monte_carlo.h"
#include "tests/bench/sample_recipe.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

enum { ROUNDS = 9 };

enum sort { ARITHMETIC, CURVES, ELEMENTARY, HEAT, SORT_COUNT };

static enum sort sort_of(const struct batch_step *s)
{
    if (s->node->op == OP_CURVE)
        return CURVES;
    if (s->node->op == OP_POWER)
        return s->level_exponent && s->in[1][0] == 2 ? ARITHMETIC : ELEMENTARY;
    if (s->node->op != OP_CALL)
        return ARITHMETIC;
    switch (s->node->a) {
    case FUNCTION_abs:
    case FUNCTION_min:
    case FUNCTION_max:
    case FUNCTION_mean:
    case FUNCTION_sqrt:
    case FUNCTION_radians:
    case FUNCTION_kelvin:
    case FUNCTION_point:
        return ARITHMETIC;
    default:
        return s->node->a >= FUNCTION_slab_at ? HEAT : ELEMENTARY;
    }
}

static struct batch batch_of(struct strokewright_recipe *r)
{
    const struct lowering *l = r->lowering;
    uint32_t *asked = ARENA_ARRAY(&r->arena, l->quantities.count, uint32_t), count = 0;
    for (uint32_t q = 1; q < l->quantities.count; q++)
        if (l->quantities.at[q].value.tag == LOW_NODE)
            asked[count++] = l->quantities.at[q].value.id;
    struct batch b = batch_new(&r->arena, &l->program, asked, count, NULL);
    srand(1);
    for (uint32_t k = 0; k < l->program.inputs.count; k++) {
        const struct input *in = &l->program.inputs.at[k];
        double *block = batch_input(&b, k);
        for (int i = 0; block && i < BATCH; i++)
            block[i] = in->low + (in->high - in->low) * (rand() / (double)RAND_MAX);
    }
    return b;
}

/* Seconds for one block of all steps of a sort, or of all steps. */
static double seconds_for(struct batch *b, enum sort sort, uint32_t *steps)
{
    double taken[ROUNDS];
    int repeats = sort == HEAT || sort == SORT_COUNT ? 1 : 50;
    for (int round = 0; round < ROUNDS; round++) {
        double start = seconds_now();
        for (int k = 0; k < repeats; k++) {
            *steps = 0;
            for (uint32_t i = 0; i < b->steps.count; i++)
                if (sort == SORT_COUNT || sort_of(&b->steps.at[i]) == sort) {
                    batch_kernel(b->program, &b->steps.at[i], b->args);
                    ++*steps;
                }
        }
        taken[round] = (seconds_now() - start) / repeats;
    }
    return median(taken, ROUNDS);
}

/* Millions of the same varying nodes a second when the nominal evaluator is called once a sample. */
static double nominal_rate(const struct batch *b)
{
    double taken[ROUNDS];
    for (int round = 0; round < ROUNDS; round++) {
        struct arena arena;
        arena_init(&arena, NULL);
        double start = seconds_now();
        for (int i = 0; i < 20; i++)
            evaluate_nominal(&arena, b->program, NULL);
        taken[round] = (seconds_now() - start) / 20;
        arena_free(&arena);
    }
    return b->steps.count / median(taken, ROUNDS) / 1e6;
}

static bool report_rates(struct batch *b)
{
    static const struct {
        const char *name;
        double promised;
    } sorts[] = {{"batch, arithmetic", 200},
                 {"batch, curves", 0},
                 {"batch, elementary functions", 0},
                 {"batch, conduction", 0},
                 {"batch, all the lid", 0}};
    double beside = nominal_rate(b);
    bool kept = true;
    seconds_for(b, SORT_COUNT, &(uint32_t){0}); /* so that all blocks have their values */
    for (int sort = 0; sort <= SORT_COUNT; sort++) {
        uint32_t steps;
        double taken = seconds_for(b, (enum sort)sort, &steps), rate = steps * (double)BATCH / taken / 1e6;
        if (sorts[sort].promised > 0)
            kept = report_line(sorts[sort].name, rate >= sorts[sort].promised,
                               "%7.1f million nodes/s (at least %.0f; %u nodes; nominal %.1f)", rate,
                               sorts[sort].promised, steps, beside);
        else
            report_line(sorts[sort].name, true, "%7.1f million nodes/s (%u nodes; nominal %.1f)", rate, steps, beside);
    }
    return kept;
}

/* Drawing, evaluating, sorting and reading the intervals of one finished size. */
static bool samples_a_second(struct strokewright_recipe *r)
{
    enum { SAMPLES = 200000 };
    uint32_t q = lowering_named(r->lowering, TEXT("overall-length.finished-size"));
    if (!q || r->lowering->quantities.at[q].value.tag != LOW_NODE)
        return report_line("Monte Carlo, a finished size", false, "the demo has no such value");
    double start = seconds_now();
    struct monte_carlo m =
        monte_carlo(&r->arena, &r->lowering->program, r->lowering->quantities.at[q].value.id, SAMPLES, 1, 0.95);
    double rate = SAMPLES / (seconds_now() - start) / 1e6;
    return report_line("Monte Carlo, a finished size", rate >= 0.1 && m.undefined == 0,
                       "%7.2f million samples/s (at least 0.1)", rate);
}

int main(void)
{
    const char *path = "recipes/demo/river-logger-lid.recipe";
    struct arena arena;
    struct text bytes;
    bool kept = false;
    arena_init(&arena, NULL);
    struct strokewright_library *library = strokewright_library_new();
    if (library && read_recipe(&arena, path, &bytes)) {
        struct strokewright_recipe *r = recipe_compile(library, NULL, text_of(path), bytes, &loader_beside);
        if (r && r->evaluated) {
            struct batch b = batch_of(r);
            kept = report_rates(&b);
            kept = samples_a_second(r) && kept;
        }
        strokewright_free(r);
    }
    strokewright_library_free(library);
    arena_free(&arena);
    return kept ? EXIT_SUCCESS : EXIT_FAILURE;
}
