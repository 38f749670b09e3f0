#include "runtime/proof/prover.h"

static struct proof_room *proof_room_new(struct arena *arena, const struct program *p)
{
    struct proof_room *room = ARENA_NEW(arena, struct proof_room);
    *room = (struct proof_room){.arena = arena,
                                .point = ARENA_ARRAY(arena, p->inputs.count, double),
                                .evaluated = ARENA_ARRAY(arena, p->inputs.count, double),
                                .half = ARENA_ARRAY(arena, p->inputs.count, struct interval)};
    return room;
}

/* All but what it takes to work over a box, which is the whole's where it has one. */
static struct prover prover_of(struct arena *arena, const struct program *whole, struct cone_marks *marks,
                               const struct claim *c, const struct interval *box)
{
    uint32_t nodes[] = {c->when, c->truth, c->margin, c->compared[0], c->compared[1], c->compared[2], c->compared[3]};
    struct cone cone = cone_of(arena, whole, marks, nodes, sizeof nodes / sizeof nodes[0]);
    const struct program *p = &cone.program;
    struct prover r = {.cone = cone,
                       .of = *c,
                       .claim = {nodes[0], nodes[1], nodes[2], c->strict, {nodes[3], nodes[4], nodes[5], nodes[6]}},
                       .box = program_box(arena, p),
                       .worst = ARENA_ARRAY(arena, p->inputs.count, double),
                       .at = evaluation_new(arena, p),
                       .room = proof_room_new(arena, p)};
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        r.box[i] = box ? box[cone.input[i]] : r.box[i];
        r.worst[i] = interval_middle(r.box[i]);
    }
    return r;
}

struct prover prover_new(struct arena *arena, const struct program *whole, struct cone_marks *marks,
                         const struct claim *c)
{
    struct prover r = prover_of(arena, whole, marks, c, NULL);
    prover_ready(&r);
    return r;
}

void prover_made(struct prover *r)
{
    struct prover_source *s = r->source;
    if (r->room)
        return;
    const struct interval_gradient *shared = r->shared;
    *r = prover_of(s->arena, s->whole, &s->marks, &r->of, s->box);
    r->source = s;
    r->shared = shared;
}

/* Rows that many take turns in. Where one needs more than there is, those after it get others, twice as many. */
static struct shared_rows *rows_for(struct prover_source *s, const struct program *p)
{
    size_t needed = (size_t)p->nodes.count * held_inputs_of(s->arena, p, NULL).count;
    if (s->rows && s->rows->room >= needed)
        return s->rows;
    size_t room = s->rows && 2 * s->rows->room > needed ? 2 * s->rows->room : needed;
    s->rows = ARENA_NEW(s->arena, struct shared_rows);
    *s->rows = (struct shared_rows){.at = ARENA_ARRAY(s->arena, room, struct interval), .room = room};
    return s->rows;
}

void prover_ready(struct prover *r)
{
    prover_made(r);
    if (r->over.slope)
        return;
    struct shared_rows *rows = r->source && r->source->sharing ? rows_for(r->source, &r->cone.program) : NULL;
    r->over = interval_gradient_of(r->room->arena, &r->cone.program, NULL, rows);
}

void provers_new(struct arena *arena, const struct program *whole, const struct claim *claims, uint32_t count,
                 bool sharing, struct prover *out)
{
    struct prover_source *source = ARENA_NEW(arena, struct prover_source);
    *source = (struct prover_source){.arena = arena,
                                     .whole = whole,
                                     .marks = cone_marks_new(arena, whole),
                                     .box = program_box(arena, whole),
                                     .sharing = sharing};
    for (uint32_t i = 0; i < count; i++)
        out[i] = (struct prover){.of = claims[i], .source = source};
}

struct prover prover_over(struct arena *arena, const struct program *p, const struct interval_gradient *pass)
{
    return (struct prover){.cone = {.program = *p},
                           .box = program_box(arena, p),
                           .worst = ARENA_ARRAY(arena, p->inputs.count, double),
                           .at = evaluation_new(arena, p),
                           .over = interval_gradient_borrowed(arena, p, pass),
                           .room = proof_room_new(arena, p),
                           .wanted = ARENA_ARRAY(arena, p->nodes.count, bool),
                           .needed = {ARENA_ROOM(arena, p->nodes.count, uint32_t), 0}};
}

void prover_take(struct prover *r, const struct claim *c)
{
    const struct program *p = &r->cone.program;
    r->of = r->claim = *c;
    memset(r->wanted, 0, p->nodes.count * sizeof *r->wanted);
    mark_claim(c, r->wanted);
    program_needs_of_marked(p, r->wanted);
    r->needed.count = 0;
    for (uint32_t i = 1; i < p->nodes.count; i++)
        if (r->wanted[i])
            r->needed.at[r->needed.count++] = i;
    r->room->known = false;
    interval_gradient_among(&r->over, &r->needed);
}

struct interval_gradient *shared_pass_new(struct arena *arena, const struct program *p, const bool *wanted)
{
    struct interval_gradient *g = ARENA_NEW(arena, struct interval_gradient);
    if (held_inputs_of(arena, p, wanted).count > MOST_SHARED)
        return NULL;
    *g = interval_gradient_late(arena, p, wanted);
    return g;
}

bool claim_reads(const struct claim *c, const bool *marked)
{
    return marked[c->when] || marked[c->truth] || marked[c->margin];
}

void mark_claim(const struct claim *c, bool *wanted)
{
    wanted[c->when] = wanted[c->truth] = wanted[c->margin] = true;
    for (uint32_t k = 0; k < 4; k++)
        wanted[c->compared[k]] = true;
}

/* What is asked for last is often where it is: the worst point was met as the last of all. */
void prover_at_point(struct prover *r, const double *point)
{
    size_t size = r->cone.program.inputs.count * sizeof *point;
    if (r->room->known && (!size || memcmp(r->room->evaluated, point, size) == 0))
        return;
    if (r->wanted)
        evaluate_nodes(&r->at, &r->cone.program, point, &r->needed);
    else
        evaluate_again(&r->at, &r->cone.program, point, NULL);
    if (size)
        memcpy(r->room->evaluated, point, size);
    r->room->known = true;
}
