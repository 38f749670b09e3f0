/* All limits over the tolerances, in groups, and two at work at once: the verdict of each, its worst case, and the
 * combination that breaks it. */
#include "compiler/judge/limits.h"
#include "runtime/base/crew.h"

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>

enum { GROUP = 16, CLAIM_NODES = 7, WORKERS = 2 }; /* the caller, and a hand of the crew */
enum { FEW = 4 };                                  /* proved before a hand has come */

struct proved { /* of one limit; what is told of it must wait for its turn */
    struct proof proof;
    uint32_t worker, first, count; /* the combination that breaks it, among the worker's */
};

struct broken_at {
    struct input input;
    double at;
};

/* Limits proved together: a program of what they all rest on, and one pass of it over the whole box. Groups are small, so
 * that what is held there is few, and the cost grows with the recipe, not with its square. */
struct group {
    uint32_t count, first;     /* of proving.results */
    struct claim claim[GROUP]; /* in the numbers of the group's program */
    struct cone cone;
    struct interval_gradient over;
    atomic_uint taken; /* claims */
    bool open;         /* under proving.lock, as the next: whoever has no group of his own may help with it */
    uint32_t helpers;
};

struct worker {
    struct proving *of;
    uint32_t number;
    struct group own;
    struct group *helped;            /* of another, at the moment; or NULL */
    struct arena group, claim, kept; /* room of a group at a time, of a claim at a time, and until all is told */
    ARRAY(struct broken_at) broken;
    jmp_buf jump;
    bool exhausted;
};

struct proving { /* shared by the workers; each writes to the limits that it has taken alone */
    struct limits *limits;
    const struct evaluation *values;
    uint32_t *results, count; /* what is to be proved */
    struct proved *proved;    /* by the same numbers */
    atomic_uint next;         /* group */
    pthread_mutex_t lock;
    pthread_cond_t left; /* a helper has left a group */
    struct worker workers[WORKERS];
};

/* ---- in a worker ------------------------------------------------------------------------------------------------- */

static void keep_combination(struct worker *w, struct prover *p, struct proved *out)
{
    const struct program *program = &p->cone.program;
    simplify(p);
    out->worker = w->number;
    out->first = w->broken.count;
    for (uint32_t i = 0; i < program->inputs.count; i++)
        if (program->inputs.at[i].held && p->worst[i] != program->inputs.at[i].nominal)
            *ARRAY_PUSH(&w->kept, &w->broken) = (struct broken_at){program->inputs.at[i], p->worst[i]};
    out->count = w->broken.count - out->first;
}

/* With what was worked out for the group, if that says enough; else by itself. */
static void prove_one(struct worker *w, const struct group *g, struct prover *at_once, struct cone_marks *marks,
                      uint32_t k)
{
    struct proved *out = &w->of->proved[g->first + k];
    struct limit_result *r = &w->of->limits->results.at[w->of->results[g->first + k]];
    prover_take(at_once, &g->claim[k]);
    if (prove_at_once(at_once, &out->proof)) {
        keep_worst(r, at_once, &out->proof);
        return;
    }
    struct prover p = prover_new(&w->claim, &g->cone.program, marks, &g->claim[k]);
    out->proof = prove_on(&p, at_once, &out->proof, PROOF_BUDGET, PROOF_FINER);
    out->proof.culprit = g->cone.node[out->proof.culprit];
    keep_worst(r, &p, &out->proof);
    if (out->proof.state == PROOF_BROKEN || out->proof.met)
        keep_combination(w, &p, out);
}

static uint32_t *nodes_of_claim(const struct claim *c, uint32_t *at)
{
    uint32_t nodes[CLAIM_NODES] = {c->when,        c->truth,       c->margin,     c->compared[0],
                                   c->compared[1], c->compared[2], c->compared[3]};
    memcpy(at, nodes, sizeof nodes);
    return at + CLAIM_NODES;
}

static struct claim claim_of_nodes(const uint32_t *at, bool strict)
{
    return (struct claim){at[0], at[1], at[2], strict, {at[3], at[4], at[5], at[6]}};
}

/* The next limits to be proved; false when all are taken. */
static bool take_group(struct worker *w, struct cone_marks *whole)
{
    const struct proving *all = w->of;
    const struct limit_result *results = all->limits->results.at;
    const struct program *program = &all->limits->lowering->program;
    struct group *g = &w->own;
    uint32_t nodes[GROUP * CLAIM_NODES], *end = nodes;
    g->first = atomic_fetch_add(&w->of->next, 1) * GROUP;
    if (g->first >= all->count)
        return false;
    if (!whole->node)
        *whole = cone_marks_new(&w->kept, program);
    g->count = all->count - g->first < GROUP ? all->count - g->first : GROUP;
    for (uint32_t k = 0; k < g->count; k++)
        end = nodes_of_claim(&results[all->results[g->first + k]].claim, end);
    g->cone = cone_of(&w->group, program, whole, nodes, (uint32_t)(end - nodes));
    for (uint32_t k = 0; k < g->count; k++)
        g->claim[k] = claim_of_nodes(nodes + (size_t)k * CLAIM_NODES, results[all->results[g->first + k]].claim.strict);
    g->over = interval_gradient_new(&w->group, &g->cone.program);
    evaluate_interval_gradient(&g->over, &g->cone.program, program_box(&w->group, &g->cone.program), NULL);
    return true;
}

/* Claims of a group, own or another's, until all are taken. */
static void prove_group(struct worker *w, struct group *g)
{
    struct cone_marks marks = cone_marks_new(&w->group, &g->cone.program);
    struct prover at_once = prover_over(&w->group, &g->cone.program, &g->over);
    for (uint32_t k = atomic_fetch_add(&g->taken, 1); k < g->count; k = atomic_fetch_add(&g->taken, 1)) {
        prove_one(w, g, &at_once, &marks, k);
        arena_clear(&w->claim);
    }
}

static void open_group(struct worker *w)
{
    pthread_mutex_lock(&w->of->lock);
    atomic_store(&w->own.taken, 0);
    w->own.open = true;
    pthread_mutex_unlock(&w->of->lock);
}

/* Nobody else is at it behind this. */
static void close_group(struct worker *w)
{
    pthread_mutex_lock(&w->of->lock);
    w->own.open = false;
    while (w->own.helpers)
        pthread_cond_wait(&w->of->left, &w->of->lock);
    pthread_mutex_unlock(&w->of->lock);
}

/* A group with claims left that another has; false when there is none. */
static bool join_group(struct worker *w)
{
    pthread_mutex_lock(&w->of->lock);
    w->helped = NULL;
    for (uint32_t i = 0; i < WORKERS && !w->helped; i++) {
        struct group *g = &w->of->workers[i].own;
        if (g->open && atomic_load(&g->taken) < g->count)
            w->helped = g;
    }
    if (w->helped)
        w->helped->helpers++;
    pthread_mutex_unlock(&w->of->lock);
    return w->helped;
}

static void leave_group(struct worker *w)
{
    pthread_mutex_lock(&w->of->lock);
    w->helped->helpers--;
    w->helped = NULL;
    pthread_cond_broadcast(&w->of->left);
    pthread_mutex_unlock(&w->of->lock);
}

/* First groups of his own, then what is left of the other's. */
static void work(void *worker)
{
    struct worker *w = worker;
    struct cone_marks whole = {0};
    if (setjmp(w->jump)) {
        w->exhausted = true;
        if (w->helped)
            leave_group(w);
        return;
    }
    while (take_group(w, &whole)) {
        open_group(w);
        prove_group(w, &w->own);
        close_group(w);
        arena_clear(&w->group);
    }
    while (join_group(w)) {
        prove_group(w, w->helped);
        leave_group(w);
        arena_clear(&w->group);
    }
}

/* ---- told, in order ---------------------------------------------------------------------------------------------- */

/* Of a value and what it may be off by, only the second is an input: the quantity's own value is told. */
static void add_broken(struct limits *m, const struct evaluation *e, const struct broken_at *b)
{
    const struct input *in = &b->input;
    const struct quantity *q = &m->lowering->quantities.at[in->quantity];
    bool whole = in->figure || q->value.tag != LOW_NODE || e->culprit[q->value.id];
    double si = whole ? b->at : e->value[q->value.id] + (b->at - in->nominal);
    *ARRAY_PUSH(m->lowering->arena, &m->broken) = (struct broken_input){*in, si};
}

/* Why it stayed open, as the end of "not decided: ...". */
static struct text undecided_words(struct limits *m, const struct limit_result *r, const struct proof *proof)
{
    struct lowering *l = m->lowering;
    uint32_t quantity = l->node_quantity.at[proof->culprit];
    struct text where = quantity ? l->quantities.at[quantity].path : TEXT("a value it stands on");
    if (proof->culprit)
        return arena_format(l->arena, "inside the tolerances %.*s may have no value: %s", TEXT_ARGS(where),
                            undecided_reason(proof->fault));
    struct text boxes = arena_format(l->arena, "%u", proof->boxes);
    if (!isfinite(proof->least) || !isfinite(proof->attained))
        return arena_format(l->arena, "it could not be told within %.*s pieces of the tolerances", TEXT_ARGS(boxes));
    struct unit difference = unit_step(r->unit);
    return arena_format(l->arena, "in %.*s pieces of the tolerances its margin was narrowed to %.*s at worst",
                        TEXT_ARGS(boxes),
                        TEXT_ARGS(typeset_band(l->arena, proof->least, proof->attained, &difference, SPELL_ASCII)));
}

static void tell(struct proving *all, const struct worker *workers, uint32_t i)
{
    struct limits *m = all->limits;
    struct limit_result *r = &m->results.at[all->results[i]];
    const struct proved *p = &all->proved[i];
    switch (p->proof.state) {
    case PROOF_HOLDS:
    case PROOF_IDLE:
        r->verdict = r->verdict == VERDICT_HOLDS ? VERDICT_PROVED : VERDICT_NOT_APPLICABLE;
        break;
    case PROOF_BROKEN:
        r->verdict = VERDICT_NOMINAL_ONLY;
        break;
    case PROOF_OPEN:
        r->verdict = VERDICT_NOT_DECIDED;
        r->why_not = undecided_words(m, r, &p->proof);
        break;
    }
    if (p->proof.state != PROOF_BROKEN && !p->proof.met)
        return;
    r->worst.broken_first = m->broken.count;
    for (uint32_t k = 0; k < p->count; k++)
        add_broken(m, all->values, &workers[p->worker].broken.at[p->first + k]);
    r->worst.broken_count = m->broken.count - r->worst.broken_first;
}

/* ---- all --------------------------------------------------------------------------------------------------------- */

static bool is_to_prove(const struct limit_result *r)
{
    return r->claim.truth && (r->verdict == VERDICT_HOLDS || r->verdict == VERDICT_NOT_APPLICABLE);
}

static void begin_worker(struct proving *all, uint32_t number)
{
    struct worker *w = &all->workers[number];
    *w = (struct worker){.of = all, .number = number};
    arena_init(&w->group, &w->jump);
    arena_init(&w->claim, &w->jump);
    arena_init(&w->kept, &w->jump);
}

static void end_worker(struct worker *w)
{
    arena_free(&w->group);
    arena_free(&w->claim);
    arena_free(&w->kept);
}

/* By two, unless there is nobody to help or little to do. */
static void prove_all(struct proving *all)
{
    struct task help = {0};
    if (all->count > FEW)
        crew_offer(all->limits->crew, &help, work, &all->workers[1]);
    work(&all->workers[0]);
    crew_finish(all->limits->crew, &help);
}

void limits_prove(struct limits *m, const struct evaluation *e, struct arena *scratch)
{
    struct proving all = {.limits = m,
                          .values = e,
                          .results = ARENA_ARRAY(scratch, m->results.count, uint32_t),
                          .proved = ARENA_ARRAY(scratch, m->results.count, struct proved),
                          .lock = PTHREAD_MUTEX_INITIALIZER,
                          .left = PTHREAD_COND_INITIALIZER};
    for (uint32_t i = 0; i < m->results.count; i++)
        if (is_to_prove(&m->results.at[i]))
            all.results[all.count++] = i;
    for (uint32_t i = 0; i < WORKERS; i++)
        begin_worker(&all, i);
    prove_all(&all);
    bool exhausted = all.workers[0].exhausted || all.workers[1].exhausted;
    for (uint32_t i = 0; i < all.count && !exhausted; i++)
        tell(&all, all.workers, i);
    for (uint32_t i = 0; i < WORKERS; i++)
        end_worker(&all.workers[i]);
    pthread_cond_destroy(&all.left);
    pthread_mutex_destroy(&all.lock);
    if (exhausted)
        arena_exhausted(scratch);
    arena_free(scratch);
}
