/* Programs under proof: bytes are read as the nodes of a program over held inputs and a limit on one of them. What is proved
 * holds at every point tried; what is broken is broken where the proof says. */
#include "runtime/evaluate/evaluate.h"
#include "runtime/proof/proof.h"

#include <math.h>
#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void must(bool holds)
{
    if (!holds)
        abort();
}

enum { INPUTS = 3, MOST_NODES = 48, POINTS = 64 };

struct reading {
    const uint8_t *at, *end;
    uint32_t numbers[INPUTS + MOST_NODES + 4], count;
    struct program program;
};

static uint32_t byte(struct reading *r)
{
    return r->at < r->end ? *r->at++ : 0;
}

/* -4 to 4 in steps of an eighth. */
static double figure(struct reading *r)
{
    return (double)(int8_t)byte(r) / 32;
}

static uint32_t number(struct reading *r)
{
    return r->numbers[byte(r) % r->count];
}

static uint32_t called(struct reading *r)
{
    static const uint32_t functions[] = {FUNCTION_abs, FUNCTION_min, FUNCTION_max, FUNCTION_sqrt, FUNCTION_exp,
                                         FUNCTION_ln,  FUNCTION_sin, FUNCTION_cos, FUNCTION_atan};
    uint32_t f = functions[byte(r) % (sizeof functions / sizeof functions[0])], x[2] = {number(r), number(r)};
    return program_call(&r->program, f, x, f == FUNCTION_min || f == FUNCTION_max ? 2 : 1, 0);
}

static uint32_t next_node(struct reading *r)
{
    static const enum op ops[] = {OP_ADD, OP_SUBTRACT, OP_MULTIPLY, OP_DIVIDE, OP_POWER};
    uint32_t what = byte(r) % 9, a, b;
    switch (what) {
    case 5:
        return program_constant(&r->program, figure(r), 0);
    case 6:
        return program_node(&r->program, OP_NEGATE, number(r), 0, 0, 0);
    case 7:
        return called(r);
    case 8:
        a = number(r), b = number(r);
        return program_node(&r->program, OP_SELECT, program_node(&r->program, OP_LESS, a, b, 0, 0), number(r),
                            number(r), 0);
    default:
        a = number(r);
        b = ops[what] == OP_POWER ? program_constant(&r->program, (int)(byte(r) % 4), 0) : number(r);
        return program_node(&r->program, ops[what], a, b, 0, 0);
    }
}

static void read_program(struct reading *r, struct arena *a)
{
    program_init(&r->program, a);
    for (int i = 0; i < INPUTS; i++) {
        double low = figure(r), high = low + fabs(figure(r));
        r->numbers[r->count++] =
            program_input(&r->program, (struct input){low + (high - low) / 2, low, high, true, 0, false, 0}, 0);
    }
    for (int i = 0; i < MOST_NODES && r->at < r->end; i++)
        r->numbers[r->count++] = next_node(r);
}

static struct claim last_at_least(struct reading *r, uint32_t low)
{
    struct program *p = &r->program;
    uint32_t value = r->numbers[r->count - 1], other = r->numbers[r->count > 4 ? r->count - 2 : 0];
    struct claim c = {.truth = program_node(p, OP_LESS_EQUAL, low, value, 0, 0),
                      .margin = program_node(p, OP_SUBTRACT, value, low, 0, 0),
                      .compared = {value, low}};
    if (byte(r) % 2)
        c.when = program_node(p, OP_LESS, low, other, 0, 0);
    return c;
}

static void set_point(const struct program *p, double *point, uint32_t n)
{
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        const struct input *in = &p->inputs.at[i];
        uint32_t step = n / (i == 0 ? 1 : i == 1 ? 4 : 16) % 4;
        point[i] = step == 3 ? in->high : in->low + (in->high - in->low) * step / 3;
    }
}

/* The margin at a point, NaN where the limit does not apply or has no value. */
static double margin_at(struct evaluation *e, const struct program *p, const struct claim *c, const double *point)
{
    evaluate_again(e, p, point, NULL);
    if ((c->when && (e->culprit[c->when] || e->value[c->when] == 0)) || e->culprit[c->margin])
        return NAN;
    return e->value[c->margin];
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct arena arena;
    struct reading r = {.at = data, .end = data + size};
    double point[INPUTS];
    if (size > 4096)
        return 0;
    arena_init(&arena, NULL);
    double bound = figure(&r);
    read_program(&r, &arena);
    struct claim c = last_at_least(&r, program_constant(&r.program, bound, 0));
    struct cone_marks marks = cone_marks_new(&arena, &r.program);
    struct prover prover = prover_new(&arena, &r.program, &marks, &c);
    struct proof proof = prover_prove(&prover, 200, PROOF_FINER);
    struct evaluation e = evaluation_new(&arena, &r.program);
    for (uint32_t n = 0; n < POINTS; n++) {
        set_point(&r.program, point, n);
        double margin = margin_at(&e, &r.program, &c, point);
        double slack = 1e-9 * (1 + fabs(bound)); /* of the point's own rounding */
        must(isnan(margin) || proof.state != PROOF_IDLE);
        must(isnan(margin) || proof.state != PROOF_HOLDS || margin >= -slack);
        must(isnan(margin) || proof.state != PROOF_HOLDS || isnan(proof.least) || margin >= proof.least - slack);
    }
    must(proof.state != PROOF_BROKEN || proof.attained < 0);
    arena_free(&arena);
    return 0;
}
