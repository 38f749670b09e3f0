#include "runtime/proof/prover.h"

struct prover prover_new(struct arena *arena, const struct program *whole, struct cone_marks *marks,
                         const struct claim *c)
{
    uint32_t nodes[] = {c->when, c->truth, c->margin, c->compared[0], c->compared[1], c->compared[2], c->compared[3]};
    struct cone cone = cone_of(arena, whole, marks, nodes, sizeof nodes / sizeof nodes[0]);
    const struct program *p = &cone.program;
    struct prover r = {.arena = arena,
                       .cone = cone,
                       .claim = {nodes[0], nodes[1], nodes[2], c->strict, {nodes[3], nodes[4], nodes[5], nodes[6]}},
                       .box = interval_inputs(arena, p),
                       .worst = ARENA_ARRAY(arena, p->inputs.count, double),
                       .at = evaluation_new(arena, p),
                       .evaluated = ARENA_ARRAY(arena, p->inputs.count, double),
                       .over = interval_gradient_new(arena, p),
                       .point = ARENA_ARRAY(arena, p->inputs.count, double),
                       .half = ARENA_ARRAY(arena, p->inputs.count, struct interval)};
    for (uint32_t i = 0; i < p->inputs.count; i++)
        r.worst[i] = interval_middle(r.box[i]);
    return r;
}

bool claim_reads(const struct claim *c, const bool *marked)
{
    return marked[c->when] || marked[c->truth] || marked[c->margin];
}

bool claim_fails(const struct evaluation *e, const struct claim *c)
{
    if (c->when && (e->culprit[c->when] || e->value[c->when] == 0))
        return e->culprit[c->when];
    return e->culprit[c->truth] || e->value[c->truth] == 0;
}

/* What is asked for last is often where it is: the worst point was met as the last of all. */
void prover_at_point(struct prover *r, const double *point)
{
    size_t size = r->cone.program.inputs.count * sizeof *point;
    if (r->known && (!size || memcmp(r->evaluated, point, size) == 0))
        return;
    evaluate_again(&r->at, &r->cone.program, point, NULL);
    if (size)
        memcpy(r->evaluated, point, size);
    r->known = true;
}
