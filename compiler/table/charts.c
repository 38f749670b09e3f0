/* Charts: temperatures over a piece's way through the shop, and force over the stroke.
 *
 * Nothing is computed here that the library does not compute. A track is the library's own law, asked for other times:
 * the stated time of a step is replaced by a part of it, and what follows from it is evaluated again. The edges are
 * asked the same way over the box of all held tolerances, so nothing inside the tolerances leaves them. */
#include "compiler/table/parts.h"

#include "runtime/evaluate/evaluate_interval.h"

#include <math.h>

enum { SAMPLES = 16 }; /* intervals of a stretch, closer together at its start, where heat moves fastest */

struct sampling {
    struct steps *steps;
    const struct program *program;
    struct chart *chart;
    struct interval_evaluation stated, held;
    struct interval *box_stated, *box_held;
    bool *wanted;            /* scratch: what follows from the replaced node and leads to the one read */
    ARRAY(uint32_t) between; /* those, in order */
    struct unit unit;        /* of the axis up */
    double now;              /* s from the start: where the next stretch begins */
};

/* ---- asking a law ------------------------------------------------------------------------------------------------- */

static uint32_t node_in(struct steps *s, uint32_t quantity)
{
    struct low low = s->lowering->quantities.at[quantity].value;
    return quantity && low.tag == LOW_NODE ? low.id : 0;
}

static uint32_t node_of(struct steps *s, uint32_t definition, const char *name)
{
    return node_in(s, quantity_of(s, definition, name));
}

/* Marks what lies between: all that changes with `replaced` and that `read` needs. */
static bool mark_between(struct sampling *g, uint32_t replaced, uint32_t read)
{
    const struct program *p = g->program;
    memset(g->wanted, 0, p->nodes.count * sizeof *g->wanted);
    g->between.count = 0;
    program_needs(p, read, g->wanted);
    if (!g->wanted[replaced] || p->nodes.at[replaced].op == OP_CONSTANT)
        return false;
    for (uint32_t i = 1; i <= read; i++) {
        uint32_t room[MOST_ROOM];
        const uint32_t *operands;
        uint32_t count = g->wanted[i] && i > replaced ? program_operands(p, &p->nodes.at[i], &operands, room) : 0;
        bool follows = i == replaced;
        for (uint32_t k = 0; k < count && !follows; k++)
            follows = g->wanted[operands[k]];
        g->wanted[i] = g->wanted[i] && follows;
        if (g->wanted[i] && i != replaced)
            *ARRAY_PUSH(g->steps->lowering->arena, &g->between) = i;
    }
    return true;
}

static struct interval ask(struct sampling *g, struct interval_evaluation *e, const struct interval *box,
                           uint32_t replaced, double value, uint32_t read)
{
    struct interval kept = e->value[replaced], result;
    e->value[replaced] = interval_point(value);
    evaluate_interval_nodes(e, g->program, box, g->between.at, g->between.count);
    result = e->culprit[read] ? interval_of(NAN, NAN) : e->value[read];
    e->value[replaced] = kept;
    return result;
}

static double middle(struct interval i)
{
    return i.low == i.high ? i.low : i.low / 2 + i.high / 2;
}

/* ---- tracks ------------------------------------------------------------------------------------------------------- */

static struct track *new_track(struct sampling *g, enum track_sort sort, uint32_t step, struct text label)
{
    struct track *t = ARRAY_PUSH(g->steps->lowering->arena, &g->chart->tracks);
    *t = (struct track){.sort = sort, .step = step, .label = label};
    return t;
}

/* To ten digits: what the last bits are is the C library's affair, and the same table must be the same everywhere. */
static double rounded(double value)
{
    double scale = value == 0 ? 1 : pow(10, 10 - ceil(log10(fabs(value))));
    return isfinite(scale) && scale > 0 ? round(value * scale) / scale : value;
}

static struct chart_point chart_point(const struct sampling *g, double at, double si)
{
    return (struct chart_point){rounded(at), rounded(unit_from_si(&g->unit, si))};
}

static void put_point(struct sampling *g, struct track *t, double at, double si)
{
    if (isfinite(at) && isfinite(si))
        *ARRAY_PUSH(g->steps->lowering->arena, &t->points) = chart_point(g, at, si);
}

static void put_edges(struct sampling *g, struct track *t, double at_low, double low, double at_high, double high)
{
    struct arena *a = g->steps->lowering->arena;
    if (!isfinite(at_low) || !isfinite(at_high) || !isfinite(low) || !isfinite(high))
        return;
    *ARRAY_PUSH(a, &t->low) = chart_point(g, at_low, low);
    *ARRAY_PUSH(a, &t->high) = chart_point(g, at_high, high);
}

/* An edge that could not be told everywhere is not drawn at all. */
static void finish_track(struct track *t)
{
    if (t->low.count != t->points.count)
        t->low.count = t->high.count = 0;
}

/* A temperature that runs from one towards another stays between them. Interval arithmetic forgets that near the start,
 * where it counts the same tolerance twice; the edges remember it. */
static void keep_between(struct sampling *g, struct track *t, uint32_t step, const char *const ends[MOST_BETWEEN])
{
    double low = INFINITY, high = -INFINITY;
    for (int i = 0; i < MOST_BETWEEN && ends[i]; i++) {
        uint32_t node = node_of(g->steps, step, ends[i]);
        if (!node || g->held.culprit[node])
            return;
        low = fmin(low, unit_from_si(&g->unit, g->held.value[node].low));
        high = fmax(high, unit_from_si(&g->unit, g->held.value[node].high));
    }
    for (uint32_t i = 0; low <= high && i < t->low.count; i++) {
        t->low.at[i].value = fmax(t->low.at[i].value, low);
        t->high.at[i].value = fmin(t->high.at[i].value, high);
    }
}

static double value_si(struct steps *s, uint32_t definition, const char *name)
{
    return quantity_si(s, quantity_of(s, definition, name));
}

/* A stretch whose law gives the temperature after a time. */
static void sample_over_time(struct sampling *g, struct track *t, uint32_t time, uint32_t read, double whole)
{
    if (!time || !read || !mark_between(g, time, read))
        return;
    for (int i = 0; i <= SAMPLES; i++) {
        double share = (double)i / SAMPLES, at = whole * share * share;
        struct interval stated = ask(g, &g->stated, g->box_stated, time, at, read);
        struct interval held = ask(g, &g->held, g->box_held, time, at, read);
        put_point(g, t, g->now + at, middle(stated));
        put_edges(g, t, g->now + at, held.low, g->now + at, held.high);
    }
    finish_track(t);
}

/* A stretch whose law gives the time to come down to a value: each edge has times of its own. */
static void sample_over_value(struct sampling *g, struct track *t, uint32_t step, const struct step_stretch *stretch)
{
    struct steps *s = g->steps;
    uint32_t goal = node_of(s, step, stretch->value), read = node_of(s, step, stretch->time);
    uint32_t before = node_of(s, step, stretch->from);
    double from = value_si(s, step, stretch->from), to = value_si(s, step, stretch->value);
    if (!goal || !read || !before || !(from > to) || !mark_between(g, goal, read))
        return;
    /* where the law meets its own start, intervals cannot tell before from after */
    struct interval start = g->held.value[before];
    put_point(g, t, g->now, from);
    put_edges(g, t, g->now, start.low, g->now, start.high);
    for (int i = 1; i <= SAMPLES; i++) {
        double at = from + (to - from) * i / SAMPLES;
        struct interval stated = ask(g, &g->stated, g->box_stated, goal, at, read);
        struct interval held = ask(g, &g->held, g->box_held, goal, at, read);
        put_point(g, t, g->now + middle(stated), at);
        put_edges(g, t, g->now + fmax(held.low, 0), at, g->now + held.high, at);
    }
    finish_track(t);
}

/* The value of a node as stated, with its edges. */
static void put_node(struct sampling *g, struct track *t, double at, uint32_t node)
{
    if (!node || g->held.culprit[node])
        return;
    put_point(g, t, at, g->steps->values->value[node]);
    put_edges(g, t, at, g->held.value[node].low, at, g->held.value[node].high);
}

static void sample_ends(struct sampling *g, struct track *t, uint32_t step, const struct step_stretch *stretch,
                        double whole)
{
    t->ends_only = true;
    put_node(g, t, g->now, node_of(g->steps, step, stretch->from));
    put_node(g, t, g->now + whole, node_of(g->steps, step, stretch->value));
    finish_track(t);
}

/* ---- the steps of a piece ----------------------------------------------------------------------------------------- */

static void add_span(struct sampling *g, const struct step_row *row, struct text label, double length)
{
    struct chart_span span = {row->number, label, rounded(g->now), rounded(g->now + length), row->beside_press};
    *ARRAY_PUSH(g->steps->lowering->arena, &g->chart->spans) = span;
    g->now += length;
}

static void add_goal(struct sampling *g, uint32_t step, const char *name)
{
    struct steps *s = g->steps;
    const struct quantity *q = &s->lowering->quantities.at[quantity_of(s, step, name)];
    if (!q->banded)
        return;
    double low = s->values->value[q->low], high = s->values->value[q->high];
    if (!isfinite(low) || !isfinite(high))
        return;
    struct text band = typeset_band(s->lowering->arena, low, high, &g->unit, s->spelling);
    struct text label =
        said_filled(s->lowering->arena, steps_said(s, SAY("must be {band} here")), SAID_PARTS({"band", band}));
    *ARRAY_PUSH(s->lowering->arena, &g->chart->goals) = (struct chart_goal){
        label, rounded(g->now), rounded(unit_from_si(&g->unit, low)), rounded(unit_from_si(&g->unit, high))};
}

static void add_stretch(struct sampling *g, uint32_t step, const struct step_row *row,
                        const struct step_stretch *stretch)
{
    struct steps *s = g->steps;
    double whole = value_si(s, step, stretch->time);
    if (!(whole > 0) || (stretch->unless && quantity_of(s, step, stretch->unless)))
        return;
    struct text label = stretch->label ? steps_said(s, stretch->label) : row->what;
    struct track *t = new_track(g, TRACK_BLANK, row->number, label);
    if (stretch->way == STRETCH_OVER_TIME)
        sample_over_time(g, t, node_of(s, step, stretch->time), node_of(s, step, stretch->value), whole);
    else if (stretch->way == STRETCH_OVER_VALUE)
        sample_over_value(g, t, step, stretch);
    else
        sample_ends(g, t, step, stretch, whole);
    keep_between(g, t, step, stretch->between);
    add_span(g, row, label, whole);
}

static void add_step(struct sampling *g, uint32_t step, const struct step_row *row)
{
    const struct kind_entry *kind = &kind_table[definition_at(g->steps->lowering->scope, step)->kind];
    for (int i = 0; i < MOST_STRETCHES && kind->stretches[i].time; i++) {
        add_stretch(g, step, row, &kind->stretches[i]);
        if (kind->stretches[i].reach)
            add_goal(g, step, kind->stretches[i].reach);
    }
}

static void add_tools(struct sampling *g)
{
    struct steps *s = g->steps;
    const struct scope *scope = s->lowering->scope;
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++) {
        uint32_t node = node_in(s, quantity_for(s, id, FOR_temperature));
        if (!node || g->held.culprit[node])
            continue;
        struct track *t = new_track(g, TRACK_TOOL, 0, capitalised(s->lowering->arena, title_of(s, id)));
        put_node(g, t, 0, node);
        put_node(g, t, g->now, node);
    }
}

/* ---- all of them at once ------------------------------------------------------------------------------------------------- */

/* Every node a stretch reads, evaluated once; asking again then costs only what changes. */
static void evaluate_all(struct sampling *g)
{
    struct arena *a = g->steps->lowering->arena;
    const struct program *p = g->program;
    g->stated = interval_evaluation_new(a, p);
    g->held = interval_evaluation_new(a, p);
    g->wanted = ARENA_ARRAY(a, p->nodes.count, bool);
    g->box_held = interval_inputs(a, p);
    g->box_stated = ARENA_ARRAY(a, p->inputs.count + 1, struct interval);
    for (uint32_t i = 0; i < p->inputs.count; i++)
        g->box_stated[i] = interval_point(p->inputs.at[i].nominal);
}

static void need(struct sampling *g, uint32_t node, bool *needed)
{
    if (node)
        program_needs(g->program, node, needed);
}

/* All that the stretches and the force of a step name. */
static void need_step(struct sampling *g, uint32_t step, bool *needed)
{
    struct steps *s = g->steps;
    const struct kind_entry *kind = &kind_table[definition_at(s->lowering->scope, step)->kind];
    for (int i = 0; i < MOST_STRETCHES && kind->stretches[i].time; i++) {
        const struct step_stretch *stretch = &kind->stretches[i];
        const char *const names[] = {stretch->time,       stretch->value,      stretch->from,
                                     stretch->between[0], stretch->between[1], stretch->between[2]};
        for (size_t k = 0; k < sizeof names / sizeof names[0]; k++)
            need(g, names[k] ? node_of(s, step, names[k]) : 0, needed);
    }
    for (int i = 0; i < MOST_FORCE_POINTS && kind->profile.points[i].share > 0; i++) {
        need(g, node_of(s, step, kind->profile.points[i].force), needed);
        need(g, node_of(s, step, kind->profile.points[i].capacity), needed);
    }
}

static void evaluate_needed(struct sampling *g)
{
    const struct scope *scope = g->steps->lowering->scope;
    bool *needed = ARENA_ARRAY(g->steps->lowering->arena, g->program->nodes.count, bool);
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++) {
        need(g, node_in(g->steps, quantity_for(g->steps, id, FOR_temperature)), needed);
        need_step(g, id, needed);
    }
    evaluate_interval(&g->stated, g->program, g->box_stated, needed);
    evaluate_interval(&g->held, g->program, g->box_held, needed);
}

/* The temperature that the chart begins with; 0: no step has one. */
static uint32_t first_temperature(struct steps *s)
{
    const struct scope *scope = s->lowering->scope;
    for (uint32_t i = 0; i < scope->steps.count; i++) {
        uint32_t step = scope->steps.at[i];
        const struct step_stretch *first = kind_table[definition_at(scope, step)->kind].stretches;
        if (first->time)
            return quantity_of(s, step, first->value);
    }
    return 0;
}

static struct text unit_words(struct steps *s, const struct unit *unit)
{
    return typeset_unit(s->lowering->arena, unit, s->spelling);
}

static void add_temperatures(struct sampling *g, struct step_table *table, uint32_t temperature)
{
    struct steps *s = g->steps;
    struct chart *chart = g->chart = ARENA_NEW(s->lowering->arena, struct chart);
    *chart = (struct chart){.kind = CHART_TEMPERATURE, .across_unit = TEXT("s")};
    g->unit = s->lowering->quantities.at[temperature].unit;
    chart->title = steps_said(s, SAY("Temperatures of a piece"));
    chart->across = steps_said(s, SAY("time"));
    chart->up = steps_said(s, SAY("temperature"));
    chart->up_unit = unit_words(s, &g->unit);
    for (uint32_t i = 0; i < s->lowering->scope->steps.count; i++)
        add_step(g, s->lowering->scope->steps.at[i], &table->steps.at[i]);
    add_tools(g);
    if (chart->spans.count)
        *ARRAY_PUSH(s->lowering->arena, &table->charts) = *chart;
}

/* ---- force over the stroke ---------------------------------------------------------------------------------------- */

static void begin_force_chart(struct sampling *g, uint32_t step, const struct force_profile *profile,
                              const struct step_row *row, const struct unit *across)
{
    struct steps *s = g->steps;
    g->chart = ARENA_NEW(s->lowering->arena, struct chart);
    *g->chart = (struct chart){.kind = CHART_FORCE, .title = row->what};
    g->unit = s->lowering->quantities.at[quantity_of(s, step, profile->points[0].force)].unit;
    g->chart->across = label_of(s, quantity_of(s, step, profile->travel));
    g->chart->up = steps_said(s, SAY("force"));
    g->chart->across_unit = unit_words(s, across);
    g->chart->up_unit = unit_words(s, &g->unit);
}

static void add_force_track(struct sampling *g, uint32_t step, const struct force_profile *profile, bool capacity,
                            const struct step_row *row, double travel)
{
    struct steps *s = g->steps;
    struct text label = capacity ? steps_said(s, SAY("the press gives")) : steps_said(s, SAY("the stroke needs"));
    struct track *t = new_track(g, capacity ? TRACK_CAPACITY : TRACK_FORCE, row->number, label);
    t->ends_only = true;
    for (int i = 0; i < MOST_FORCE_POINTS && profile->points[i].share > 0; i++) {
        const struct force_point *p = &profile->points[i];
        put_node(g, t, travel * p->share, node_of(s, step, capacity ? p->capacity : p->force));
    }
    finish_track(t);
}

static void add_force(struct sampling *g, struct step_table *table, uint32_t step, const struct step_row *row)
{
    struct steps *s = g->steps;
    const struct force_profile *profile = &kind_table[definition_at(s->lowering->scope, step)->kind].profile;
    double whole = profile->travel ? value_si(s, step, profile->travel) : NAN;
    if (!(whole > 0) || !node_of(s, step, profile->points[0].force))
        return;
    const struct unit *across = &s->lowering->quantities.at[quantity_of(s, step, profile->travel)].unit;
    begin_force_chart(g, step, profile, row, across);
    add_force_track(g, step, profile, false, row, unit_from_si(across, whole));
    add_force_track(g, step, profile, true, row, unit_from_si(across, whole));
    *ARRAY_PUSH(s->lowering->arena, &table->charts) = *g->chart;
}

void steps_fill_charts(struct steps *s, struct step_table *table)
{
    const struct scope *scope = s->lowering->scope;
    uint32_t temperature = first_temperature(s);
    struct sampling g = {.steps = s, .program = &s->lowering->program};
    if (!temperature)
        return;
    evaluate_all(&g);
    evaluate_needed(&g);
    add_temperatures(&g, table, temperature);
    for (uint32_t i = 0; i < scope->steps.count; i++)
        add_force(&g, table, scope->steps.at[i], &table->steps.at[i]);
}
