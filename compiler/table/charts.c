/* Charts: temperatures over a piece's way through the shop, and force over the stroke.
 *
 * Nothing is computed here that the library does not compute. A track is the library's own law, asked for other times:
 * the stated time of a step is replaced by a part of it, and what follows from it is evaluated again. The edges are
 * asked the same way over the box of all held tolerances, so nothing inside the tolerances leaves them. */
#include "compiler/table/steps.h"

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

static uint32_t node_of(struct steps *s, uint32_t definition, const char *name)
{
    uint32_t q = quantity_of(s, definition, name);
    struct low low = s->lowering->quantities.at[q].value;
    return q && low.tag == LOW_NODE ? low.id : 0;
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
static void keep_between(struct sampling *g, struct track *t, uint32_t step, const char *const ends[3])
{
    double low = INFINITY, high = -INFINITY;
    for (int i = 0; i < 3; i++) {
        uint32_t node = node_of(g->steps, step, ends[i]);
        if (!node || g->held.culprit[node])
            return;
        low = fmin(low, unit_from_si(&g->unit, g->held.value[node].low));
        high = fmax(high, unit_from_si(&g->unit, g->held.value[node].high));
    }
    for (uint32_t i = 0; i < t->low.count; i++) {
        t->low.at[i].value = fmax(t->low.at[i].value, low);
        t->high.at[i].value = fmin(t->high.at[i].value, high);
    }
}

static double value_si(struct steps *s, uint32_t definition, const char *name)
{
    struct text why;
    return quantity_si(s, quantity_of(s, definition, name), &why);
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

/* A stretch whose law gives the time to come down to a temperature: each edge has times of its own. */
static void sample_over_goal(struct sampling *g, struct track *t, uint32_t step, double from, double to)
{
    struct steps *s = g->steps;
    uint32_t goal = node_of(s, step, "down-to"), read = node_of(s, step, "time-to-handle");
    uint32_t before = node_of(s, step, "temperature-before");
    if (!goal || !read || !before || !(from > to) || !mark_between(g, goal, read))
        return;
    struct interval start = g->held.value[before];
    for (int i = 0; i <= SAMPLES; i++) {
        double at = from + (to - from) * i / SAMPLES;
        if (i == 0) { /* where the law meets its own start, intervals cannot tell before from after */
            put_point(g, t, g->now, from);
            put_edges(g, t, g->now, start.low, g->now, start.high);
            continue;
        }
        struct interval stated = ask(g, &g->stated, g->box_stated, goal, at, read);
        struct interval held = ask(g, &g->held, g->box_held, goal, at, read);
        put_point(g, t, g->now + middle(stated), at);
        put_edges(g, t, g->now + fmax(held.low, 0), at, g->now + held.high, at);
    }
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

static struct track *add_timed(struct sampling *g, uint32_t step, const struct step_row *row, struct text label,
                               const char *time, const char *read)
{
    double whole = value_si(g->steps, step, time);
    if (!(whole > 0))
        return NULL;
    struct track *t = new_track(g, TRACK_BLANK, row->number, label);
    sample_over_time(g, t, node_of(g->steps, step, time), node_of(g->steps, step, read), whole);
    add_span(g, row, label, whole);
    return t;
}

static void add_heating(struct sampling *g, uint32_t step, const struct step_row *row)
{
    static const char *const ends[] = {"temperature-before", "first-surroundings", "second-surroundings"};
    struct track *t = add_timed(g, step, row, row->what, "time", "reached");
    if (t)
        keep_between(g, t, step, ends);
    add_goal(g, step, "reach");
}

/* Shaping warms the sheet by the work done on it; the law tells the ends only. */
static void add_shaping(struct sampling *g, uint32_t step, const struct step_row *row)
{
    struct steps *s = g->steps;
    double whole = value_si(s, step, "forming-time"), before = value_si(s, step, "forming-temperature");
    uint32_t hold = node_of(s, step, "hold"), after = node_of(s, step, "release-temperature");
    if (!(whole > 0) || !after || !hold || !mark_between(g, hold, after))
        return;
    struct track *t = new_track(g, TRACK_BLANK, row->number, row->what);
    uint32_t start = node_of(s, step, "forming-temperature");
    struct interval from = start ? g->held.value[start] : interval_of(NAN, NAN);
    struct interval to = ask(g, &g->held, g->box_held, hold, 0, after);
    t->ends_only = true;
    put_point(g, t, g->now, before);
    put_point(g, t, g->now + whole, middle(ask(g, &g->stated, g->box_stated, hold, 0, after)));
    put_edges(g, t, g->now, from.low, g->now, from.high);
    put_edges(g, t, g->now + whole, to.low, g->now + whole, to.high);
    finish_track(t);
    add_span(g, row, row->what, whole);
}

static void add_cooling(struct sampling *g, uint32_t step, const struct step_row *row)
{
    struct steps *s = g->steps;
    if (value_si(s, step, "time") > 0) {
        add_timed(g, step, row, row->what, "time", "final-temperature");
        return;
    }
    double whole = value_si(s, step, "time-to-handle");
    struct track *t = new_track(g, TRACK_BLANK, row->number, row->what);
    if (!(whole > 0))
        return;
    sample_over_goal(g, t, step, value_si(s, step, "temperature-before"), value_si(s, step, "down-to"));
    add_span(g, row, row->what, whole);
}

static void add_step(struct sampling *g, uint32_t step, const struct step_row *row)
{
    struct steps *s = g->steps;
    switch (definition_at(s->lowering->scope, step)->kind) {
    case KIND_heat_up:
        add_heating(g, step, row);
        break;
    case KIND_transfer:
        add_timed(g, step, row, row->what, "time", "temperature-after");
        break;
    case KIND_stroke:
        add_shaping(g, step, row);
        add_timed(g, step, row, steps_said(s, SAY("Hold")), "hold", "release-temperature");
        add_timed(g, step, row, steps_said(s, SAY("Release")), "release-after", "temperature-after");
        break;
    case KIND_cooling:
        add_cooling(g, step, row);
        break;
    default:
        break;
    }
}

static void add_tools(struct sampling *g)
{
    struct steps *s = g->steps;
    struct scope *scope = s->lowering->scope;
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++) {
        uint32_t node = kind_is(definition_at(scope, id)->kind, KIND_tool) ? node_of(s, id, "temperature") : 0;
        if (!node || g->held.culprit[node])
            continue;
        struct interval band = g->held.value[node];
        struct track *t = new_track(g, TRACK_TOOL, 0, capitalised(s->lowering->arena, title_of(s, id)));
        for (int end = 0; end < 2; end++) {
            double at = end ? g->now : 0;
            put_point(g, t, at, s->values->value[node]);
            put_edges(g, t, at, band.low, at, band.high);
        }
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
    g->box_held = program_box(a, p);
    g->box_stated = ARENA_ARRAY(a, p->inputs.count + 1, struct interval);
    for (uint32_t i = 0; i < p->inputs.count; i++)
        g->box_stated[i] = interval_point(p->inputs.at[i].nominal);
}

static const char *const read_names[] = {"reached",
                                         "first-surroundings",
                                         "second-surroundings",
                                         "time",
                                         "temperature-after",
                                         "temperature-before",
                                         "time-to-handle",
                                         "down-to",
                                         "final-temperature",
                                         "hold",
                                         "release-temperature",
                                         "release-after",
                                         "forming-temperature",
                                         "force-at-quarter",
                                         "force-at-half",
                                         "force-at-three-quarters",
                                         "force-at-bottom",
                                         "capacity-at-quarter",
                                         "capacity-at-half",
                                         "capacity-at-three-quarters",
                                         "capacity-at-bottom"};

static bool shapes_heat(enum kind kind)
{
    return kind == KIND_heat_up || kind == KIND_transfer || kind == KIND_stroke || kind == KIND_cooling;
}

static void evaluate_needed(struct sampling *g)
{
    struct steps *s = g->steps;
    struct scope *scope = s->lowering->scope;
    bool *needed = ARENA_ARRAY(s->lowering->arena, g->program->nodes.count, bool);
    for (uint32_t id = scope->first_definition; id < definition_end(scope); id++) {
        enum kind kind = definition_at(scope, id)->kind;
        bool tool = kind_is(kind, KIND_tool);
        if (tool && node_of(s, id, "temperature"))
            program_needs(g->program, node_of(s, id, "temperature"), needed);
        for (size_t i = 0; shapes_heat(kind) && i < sizeof read_names / sizeof read_names[0]; i++)
            if (node_of(s, id, read_names[i]))
                program_needs(g->program, node_of(s, id, read_names[i]), needed);
    }
    evaluate_interval(&g->stated, g->program, g->box_stated, needed);
    evaluate_interval(&g->held, g->program, g->box_held, needed);
}

static uint32_t first_heated(const struct scope *scope)
{
    for (uint32_t i = 0; i < scope->steps.count; i++) {
        enum kind kind = definition_at(scope, scope->steps.at[i])->kind;
        if (kind == KIND_heat_up || kind == KIND_stroke)
            return scope->steps.at[i];
    }
    return 0;
}

static struct text unit_words(struct steps *s, const struct unit *unit)
{
    return typeset_unit(s->lowering->arena, unit, s->spelling);
}

static void add_temperatures(struct sampling *g, struct step_table *table, uint32_t first)
{
    struct steps *s = g->steps;
    struct chart *chart = g->chart = ARENA_NEW(s->lowering->arena, struct chart);
    *chart = (struct chart){.kind = CHART_TEMPERATURE, .across_unit = TEXT("s")};
    g->unit = s->lowering->quantities.at[quantity_of(s, first, "temperature-before")].unit;
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

static const struct {
    double share; /* of the working travel */
    const char *force, *capacity;
} force_table[] = {{0.25, "force-at-quarter", "capacity-at-quarter"},
                   {0.5, "force-at-half", "capacity-at-half"},
                   {0.75, "force-at-three-quarters", "capacity-at-three-quarters"},
                   {1, "force-at-bottom", "capacity-at-bottom"}};
enum { FORCES = sizeof force_table / sizeof force_table[0] };

static void add_force_point(struct sampling *g, struct track *t, double at, uint32_t node)
{
    if (!node || g->held.culprit[node])
        return;
    put_point(g, t, at, g->steps->values->value[node]);
    put_edges(g, t, at, g->held.value[node].low, at, g->held.value[node].high);
}

static void add_force(struct sampling *g, struct step_table *table, uint32_t step, const struct step_row *row)
{
    struct steps *s = g->steps;
    uint32_t travel = quantity_of(s, step, "working-travel");
    double whole = value_si(s, step, "working-travel");
    if (!(whole > 0) || !node_of(s, step, force_table[0].force))
        return;
    struct unit across = s->lowering->quantities.at[travel].unit;
    struct chart *chart = g->chart = ARENA_NEW(s->lowering->arena, struct chart);
    *chart = (struct chart){.kind = CHART_FORCE, .title = row->what};
    g->unit = s->lowering->quantities.at[quantity_of(s, step, force_table[0].force)].unit;
    chart->across = steps_said(s, SAY("working travel"));
    chart->up = steps_said(s, SAY("force"));
    chart->across_unit = unit_words(s, &across);
    chart->up_unit = unit_words(s, &g->unit);
    for (int capacity = 0; capacity < 2; capacity++) {
        struct text label = capacity ? steps_said(s, SAY("the press gives")) : steps_said(s, SAY("the stroke needs"));
        struct track *t = new_track(g, capacity ? TRACK_CAPACITY : TRACK_FORCE, row->number, label);
        t->ends_only = true;
        for (int i = 0; i < FORCES; i++) {
            const char *name = capacity ? force_table[i].capacity : force_table[i].force;
            add_force_point(g, t, unit_from_si(&across, whole * force_table[i].share), node_of(s, step, name));
        }
        finish_track(t);
    }
    *ARRAY_PUSH(s->lowering->arena, &table->charts) = *chart;
}

void fill_charts(struct steps *s, struct step_table *table)
{
    const struct scope *scope = s->lowering->scope;
    uint32_t first = first_heated(scope);
    struct sampling g = {.steps = s, .program = &s->lowering->program};
    if (!first)
        return;
    evaluate_all(&g);
    evaluate_needed(&g);
    add_temperatures(&g, table, first);
    for (uint32_t i = 0; i < scope->steps.count; i++)
        if (definition_at(scope, scope->steps.at[i])->kind == KIND_stroke)
            add_force(&g, table, scope->steps.at[i], &table->steps.at[i]);
}
