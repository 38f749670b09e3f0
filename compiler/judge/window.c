#include "compiler/judge/judge.h"

#include "compiler/judge/parts.h"
#include "runtime/base/pool.h"

#include <math.h>

struct viewing {
    struct window_map *map;
    struct limits *limits;
    const struct lowering *lowering;
    const struct program *program; /* with what is drawn open */
    struct arena *scratch;
    struct unknowns unknowns; /* those drawn */
    struct limit_provers provers;
    const struct window_request *request;
};

static double shown(struct viewing *v, uint32_t axis, double si)
{
    const struct unknown *u = &v->lowering->unknowns.at[v->request->unknown[axis]];
    return unit_from_si(&v->lowering->quantities.at[u->quantity].unit, si);
}

/* ---- what is drawn ----------------------------------------------------------------------------------------------- */

/* The tolerance of a property stands with the property's name. */
static struct text held_words(struct viewing *v, const struct unknown *u)
{
    const struct program *p = v->program;
    const struct quantity *q = &v->lowering->quantities.at[u->quantity];
    for (uint32_t i = 0; i < p->inputs.count; i++) {
        const struct input *in = &p->inputs.at[i];
        if (in->quantity != u->quantity || i == u->input || !in->held)
            continue;
        return typeset_tolerance(v->lowering->arena, in->nominal, in->low, in->high, &q->unit, SPELL_ASCII);
    }
    return TEXT("");
}

static void fill_axis(struct viewing *v, uint32_t k, const struct solutions *found)
{
    const struct lowering *l = v->lowering;
    const struct unknown *u = &l->unknowns.at[v->request->unknown[k]];
    struct window_axis *axis = &v->map->axis[k];
    *axis = (struct window_axis){.name = l->quantities.at[u->quantity].path,
                                 .unit = typeset_unit(l->arena, &l->quantities.at[u->quantity].unit, SPELL_ASCII),
                                 .print_unit = typeset_unit(l->arena, &l->quantities.at[u->quantity].unit, SPELL_PRINT),
                                 .low = shown(v, k, u->low),
                                 .high = shown(v, k, u->high),
                                 .chosen = found->none ? NAN : shown(v, k, found->of.at[v->request->unknown[k]].value),
                                 .count = v->request->count == 1 ? POINTS_ALONE : POINTS_TOGETHER,
                                 .held = held_words(v, u)};
    axis->at = ARENA_ARRAY(l->arena, axis->count, double);
    for (uint32_t i = 0; i < axis->count; i++)
        axis->at[i] = axis->low + (axis->high - axis->low) * i / (axis->count - 1);
}

static double si_at(const struct viewing *v, uint32_t k, uint32_t point)
{
    const struct window_axis *axis = &v->map->axis[k];
    struct interval range = v->unknowns.range[k];
    return point + 1 == axis->count ? range.high : range.low + (range.high - range.low) * point / (axis->count - 1);
}

static void name_others(struct viewing *v, const struct solutions *found)
{
    const struct lowering *l = v->lowering;
    for (uint32_t i = 0; i < l->unknowns.count; i++) {
        if (i == v->request->unknown[0] || (v->request->count > 1 && i == v->request->unknown[1]))
            continue;
        const struct quantity *q = &l->quantities.at[l->unknowns.at[i].quantity];
        v->map->others = arena_format(
            l->arena, "%.*s%s%.*s = %.*s", TEXT_ARGS(v->map->others), v->map->others.len ? ", " : "",
            TEXT_ARGS(q->path), TEXT_ARGS(typeset_quantity(l->arena, found->of.at[i].value, &q->unit, SPELL_ASCII)));
    }
}

/* ---- lines ------------------------------------------------------------------------------------------------------- */

/* A requirement has no name but what it says. */
static struct text name_of(const struct lowering *l, const struct limit_result *r)
{
    const struct rule *rule = rule_at(l->scope, r->rule);
    const struct tree *t = file_at(l->scope, rule->site.file)->tree;
    if (rule->what == NODE_REQUIRE)
        return node_text(t, node_child(t, rule->site.node));
    return rule_words(l, r->rule, r->subject);
}

static void add_lines(struct viewing *v, uint32_t points)
{
    for (uint32_t i = 0; i < v->provers.count; i++) {
        const struct limit_result *r = &v->limits->results.at[v->provers.result[i]];
        struct window_line *line = ARRAY_PUSH(v->lowering->arena, &v->map->lines);
        *line = (struct window_line){.name = name_of(v->lowering, r),
                                     .worst = ARENA_ARRAY(v->lowering->arena, points, double),
                                     .least = INFINITY,
                                     .most = -INFINITY};
        if (v->request->count > 1 && r->claim.compared[2])
            line->above = ARENA_ARRAY(v->lowering->arena, points, double);
    }
}

/* The least and the most of a line's margins, of which NaN is none. */
static void find_ends(struct window_line *line, const double *margins, uint32_t points)
{
    for (uint32_t i = 0; margins && i < points; i++) {
        line->least = fmin(line->least, margins[i]);
        line->most = fmax(line->most, margins[i]);
    }
}

/* One unknown: each limit at each point, where its worst case stands. */
static void walk_lines(struct viewing *v)
{
    for (uint32_t point = 0; point < v->map->axis[0].count; point++) {
        struct interval at = interval_point(si_at(v, 0, point));
        for (uint32_t i = 0; i < v->provers.count; i++) {
            struct prover *prover = &v->provers.at[i];
            struct limit_result r = v->limits->results.at[v->provers.result[i]];
            prover_at_cell(prover, &v->unknowns, &at);
            look_at_worst(&r, prover);
            v->map->lines.at[i].worst[point] = isnan(r.worst.least) ? NAN : limit_tightness(&r);
        }
    }
}

static double slope_in(const struct gradient *g, uint32_t node, uint32_t column)
{
    return node && g->slope[node] ? g->slope[node][column] : 0;
}

/* How far greater less smaller may fall over the tolerances, to first order. */
static double fall_of(const struct viewing *v, const struct gradient *g, uint32_t greater, uint32_t smaller)
{
    double fall = 0;
    const struct program *p = v->program;
    for (uint32_t k = 0; k < g->held.count; k++) {
        const struct input *in = &p->inputs.at[g->held.input[k]];
        double slope = slope_in(g, greater, k) - slope_in(g, smaller, k);
        if (!in->unknown)
            fall += slope > 0 ? slope * (in->nominal - in->low) : slope * (in->nominal - in->high);
    }
    return fall;
}

/* Of one of the pairs a claim compares, or of its margin where it compares none: as a share of what is compared. */
static double margin_at(const struct viewing *v, const struct gradient *g, const struct claim *c, uint32_t pair)
{
    uint32_t greater = c->compared[pair] ? c->compared[pair] : c->margin,
             smaller = c->compared[pair] ? c->compared[pair + 1] : 0;
    bool idle = c->when && (g->at.culprit[c->when] || g->at.value[c->when] == 0);
    if (!greater || idle || g->at.culprit[greater] || (smaller && g->at.culprit[smaller]))
        return NAN;
    double above = g->at.value[greater], below = smaller ? g->at.value[smaller] : 0;
    double size = fmax(fabs(above), fabs(below)), margin = above - below - fall_of(v, g, greater, smaller);
    return size > 0 ? margin / size : margin;
}

/* Two unknowns: a lattice of points, whose rows are independent of each other. */
struct lattice {
    const struct viewing *v;
    const struct claim *claims; /* by line */
    struct arena *rooms;        /* by worker */
    bool *full;                 /* by row: memory ran out */
};

/* All limits at one point, from one gradient. Each bound of a limit has a line of its own: between two that are close the
 * lattice would miss what the smaller of both does. */
static void tell_point(const struct lattice *t, uint32_t a, uint32_t b, struct arena *room)
{
    const struct viewing *v = t->v;
    const struct program *p = v->program;
    uint32_t point = a * v->map->axis[1].count + b;
    double *inputs = ARENA_ROOM(room, p->inputs.count, double);
    for (uint32_t i = 0; i < p->inputs.count; i++)
        inputs[i] = p->inputs.at[i].nominal;
    inputs[v->unknowns.input[0]] = si_at(v, 0, a);
    inputs[v->unknowns.input[1]] = si_at(v, 1, b);
    struct gradient g = evaluate_gradient(room, p, inputs);
    for (uint32_t i = 0; i < v->provers.count; i++) {
        const struct window_line *line = &v->map->lines.at[i];
        if (line->above)
            line->above[point] = margin_at(v, &g, &t->claims[i], 2);
        line->worst[point] = margin_at(v, &g, &t->claims[i], 0);
    }
}

static void tell_row(void *lattice, uint32_t row, uint32_t worker)
{
    const struct lattice *t = lattice;
    jmp_buf exhausted;
    t->rooms[worker].exhausted = &exhausted;
    if (setjmp(exhausted)) {
        t->full[row] = true;
        return;
    }
    for (uint32_t b = 0; b < t->v->map->axis[1].count; b++) {
        tell_point(t, row, b, &t->rooms[worker]);
        arena_clear(&t->rooms[worker]);
    }
}

static void tell_lines(struct viewing *v)
{
    struct arena *arena = v->lowering->arena;
    uint32_t rows = v->map->axis[0].count, workers = pool_workers(rows);
    struct claim *claims = ARENA_ARRAY(arena, v->provers.count, struct claim);
    struct lattice t = {v, claims, ARENA_ARRAY(arena, workers, struct arena), ARENA_ARRAY(arena, rows, bool)};
    for (uint32_t i = 0; i < v->provers.count; i++)
        claims[i] = v->limits->results.at[v->provers.result[i]].claim;
    pool_run(rows, tell_row, NULL, &t);
    for (uint32_t w = 0; w < workers; w++)
        arena_free(&t.rooms[w]);
    for (uint32_t row = 0; row < rows; row++)
        if (t.full[row])
            arena_exhausted(arena);
}

/* ---- cells ------------------------------------------------------------------------------------------------------- */

static void add_cells(struct viewing *v)
{
    struct feasible f = feasible_set(v->scratch, v->provers.at, v->provers.count, &v->unknowns,
                                     v->unknowns.count == 1 ? LEVELS_ALONE : LEVELS_TOGETHER);
    for (uint32_t i = 0; i < f.cells.count; i++) {
        const struct cell *c = &f.cells.at[i];
        struct window_cell *out = ARRAY_PUSH(v->lowering->arena, &v->map->cells);
        *out = (struct window_cell){.state = c->feasible  ? WINDOW_PROVED
                                             : c->refuted ? WINDOW_REFUTED
                                                          : WINDOW_OPEN,
                                    .line = c->blocker};
        for (uint32_t k = 0; k < v->unknowns.count; k++) {
            out->low[k] = shown(v, k, c->at[k].low);
            out->high[k] = shown(v, k, c->at[k].high);
        }
    }
}

/* ---- letters ----------------------------------------------------------------------------------------------------- */

static double share_of_map(const struct window_map *m, const struct window_cell *c)
{
    double share = 1;
    for (uint32_t k = 0; k < m->axes; k++)
        share *= (c->high[k] - c->low[k]) / (m->axis[k].high - m->axis[k].low);
    return share;
}

/* Those that close something, most first, then those whose margin passes zero. */
static void give_letters(struct viewing *v)
{
    struct window_map *m = v->map;
    double *closed = ARENA_ARRAY(v->lowering->arena, m->lines.count, double);
    for (uint32_t i = 0; i < m->lines.count; i++)
        closed[i] = m->lines.at[i].least < 0 ? 1e-9 : 0;
    for (uint32_t i = 0; i < m->cells.count; i++)
        if (m->cells.at[i].state != WINDOW_PROVED)
            closed[m->cells.at[i].line] += share_of_map(m, &m->cells.at[i]);
    for (int letter = 'A'; letter <= 'Z'; letter++) {
        uint32_t most = 0;
        for (uint32_t i = 1; i < m->lines.count; i++)
            most = closed[i] > closed[most] ? i : most;
        if (!m->lines.count || closed[most] <= 0)
            return;
        m->lines.at[most].letter = (char)letter;
        closed[most] = 0;
    }
}

/* ---- all --------------------------------------------------------------------------------------------------------- */

/* A copy of the program as the recipe has it before a value was chosen for what is drawn. Where none was found, the map is
 * drawn in the middle of the ranges that are not drawn. */
static struct program open_program(struct viewing *v, const struct solutions *found)
{
    const struct lowering *l = v->lowering;
    struct program p = program_with_own_inputs(l->arena, &l->program);
    for (uint32_t i = 0; found->none && i < l->unknowns.count; i++) {
        const struct unknown *u = &l->unknowns.at[i];
        struct input *in = &p.inputs.at[u->input];
        in->nominal = in->low = in->high = u->low + (u->high - u->low) / 2;
    }
    for (uint32_t k = 0; k < v->request->count; k++) {
        const struct unknown *u = &l->unknowns.at[v->request->unknown[k]];
        struct input *in = &p.inputs.at[u->input];
        v->unknowns.input[k] = u->input;
        v->unknowns.range[k] = interval_of(u->low, u->high);
        in->low = u->low;
        in->high = u->high;
        in->held = true;
    }
    return p;
}

void window_fill(struct window_map *map, struct limits *m, const struct solutions *found,
                 const struct window_request *request, struct arena *scratch)
{
    struct viewing v = {.map = map,
                        .limits = m,
                        .lowering = m->lowering,
                        .scratch = scratch,
                        .unknowns = {.count = request->count},
                        .request = request};
    const struct program program = open_program(&v, found);
    v.program = &program;
    map->axes = request->count;
    map->without_waived = found->without_waived;
    for (uint32_t k = 0; k < request->count; k++)
        fill_axis(&v, k, found);
    name_others(&v, found);
    v.provers = limit_provers(m, v.program, &v.unknowns, found->without_waived, scratch);
    uint32_t points = map->axis[0].count * (request->count == 2 ? map->axis[1].count : 1);
    add_lines(&v, points);
    add_cells(&v);
    if (request->count == 1)
        walk_lines(&v);
    else
        tell_lines(&v);
    for (uint32_t i = 0; i < map->lines.count; i++) {
        find_ends(&map->lines.at[i], map->lines.at[i].worst, points);
        find_ends(&map->lines.at[i], map->lines.at[i].above, points);
    }
    give_letters(&v);
    arena_free(scratch);
}
