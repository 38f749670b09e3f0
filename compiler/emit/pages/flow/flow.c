/* From steps to symbols and lines, and how large each symbol is. */
#include "compiler/emit/pages/flow/flow.h"

#include "compiler/text/said.h"

#include <stdio.h>

/* ---- collecting --------------------------------------------------------------------------------------------------- */

static uint32_t add_node(struct flow *f, enum flow_symbol symbol, const char *prefix, uint32_t number, struct text what)
{
    struct flow_node *n = ARRAY_PUSH(f->arena, &f->nodes);
    n->symbol = symbol;
    n->what = print_text(f->arena, what);
    n->detail = TEXT("");
    if (number)
        snprintf(n->id, sizeof n->id, "%s%u", prefix, number);
    else
        snprintf(n->id, sizeof n->id, "%s", prefix);
    return f->nodes.count - 1;
}

static void add_edge(struct flow *f, enum flow_relation relation, uint32_t from, uint32_t to, struct text label)
{
    *ARRAY_PUSH(f->arena, &f->edges) =
        (struct flow_edge){.relation = relation, .from = from, .to = to, .label = arena_text(f->arena, label)};
}

/* What the operator sets, in a line below the step. */
static struct text settings_of(struct arena *a, const struct step_row *s)
{
    struct buffer b;
    buffer_init(&b, a);
    for (uint32_t i = 0; i < s->settings.count; i++) {
        const struct setting *set = &s->settings.at[i];
        if (set->role != SETTING_SET || s->shape == SHAPE_DECISION) /* a decision has no room for more than its name */
            continue;
        buffer_put(&b, b.count ? TEXT(", ") : TEXT(""));
        buffer_put(&b, set->label);
        buffer_put(&b, TEXT("\xC2\xA0")); /* no line ends between a label and its value */
        buffer_put(&b, set->shown.print);
    }
    return print_text(a, buffer_text(&b));
}

static uint32_t add_step(struct flow *f, const struct step_row *s)
{
    static const enum flow_symbol symbols[] = {[SHAPE_PROCESS] = SYMBOL_PROCESS,
                                               [SHAPE_PREPARATION] = SYMBOL_PREPARATION,
                                               [SHAPE_MANUAL] = SYMBOL_MANUAL,
                                               [SHAPE_DECISION] = SYMBOL_DECISION,
                                               [SHAPE_DELAY] = SYMBOL_DELAY};
    uint32_t node = add_node(f, symbols[s->shape], "s", s->number, s->what);
    f->nodes.at[node].number = s->number;
    f->nodes.at[node].beside = s->beside_press;
    f->nodes.at[node].detail = settings_of(f->arena, s);
    if (s->shape == SHAPE_DECISION && s->beside_press) /* at its right stands the scrap */
        f->nodes.at[node].detail = said(f->language, "beside the press");
    else if (s->beside_press)
        add_edge(f, FLOW_NOTE, node, add_node(f, SYMBOL_NOTE, "n", s->number, said(f->language, "beside the press")),
                 TEXT(""));
    if (s->shape == SHAPE_DECISION)
        add_edge(f, FLOW_ASIDE, node, add_node(f, SYMBOL_TERMINATOR, "x", s->number, said(f->language, "Scrap")),
                 said_in(f->language, "decision", "scrap"));
    return node;
}

static uint32_t add_end(struct flow *f, char letter, const char *name, struct text what)
{
    struct text connector = arena_text(f->arena, (struct text){&letter, 1});
    return letter ? add_node(f, SYMBOL_CONNECTOR, name, 0, connector) : add_node(f, SYMBOL_TERMINATOR, name, 0, what);
}

static uint32_t node_of_step(const struct flow *f, uint32_t number)
{
    for (uint32_t i = 0; i < f->nodes.count; i++)
        if (f->nodes.at[i].number == number)
            return i;
    return NO_NODE;
}

/* Rework that begins or ends in this stretch. */
static void add_rework(struct flow *f, const struct step_row *s)
{
    uint32_t from = node_of_step(f, s->number), to = node_of_step(f, s->rework);
    if (!s->rework || (from == NO_NODE && to == NO_NODE))
        return;
    add_edge(f, FLOW_BACK, from, to, said_in(f->language, "decision", "rework"));
    f->edges.at[f->edges.count - 1].step_number = s->rework;
}

struct flow *flow_collect(struct arena *arena, const struct step_table *t, struct flow_stretch stretch)
{
    struct flow *f = ARENA_NEW(arena, struct flow);
    f->arena = arena;
    f->language = t->language;
    struct text label = TEXT("");
    uint32_t before = add_end(f, stretch.enters, "start", said(f->language, "Start"));
    for (uint32_t i = stretch.first; i < stretch.end; i++) {
        uint32_t node = add_step(f, &t->steps.at[i]);
        add_edge(f, FLOW_NEXT, before, node, label);
        label = t->steps.at[i].shape == SHAPE_DECISION ? said_in(f->language, "decision", "accept") : TEXT("");
        before = node;
    }
    add_edge(f, FLOW_NEXT, before, add_end(f, stretch.leaves, "end", said(f->language, "End")), label);
    for (uint32_t i = 0; i < t->steps.count; i++)
        if (t->steps.at[i].shape == SHAPE_DECISION)
            add_rework(f, &t->steps.at[i]);
    return f;
}

struct flow_stretch flow_whole(const struct step_table *t)
{
    return (struct flow_stretch){.first = 0, .end = t->steps.count};
}

struct flow_stretch flow_part(const struct step_table *t, uint32_t i, uint32_t count)
{
    uint32_t first = (uint32_t)((uint64_t)t->steps.count * i / count);
    uint32_t end = (uint32_t)((uint64_t)t->steps.count * (i + 1) / count);
    return (struct flow_stretch){first, end, i ? (char)('A' + i - 1) : 0, i + 1 < count ? (char)('A' + i) : 0};
}

/* ---- measuring ---------------------------------------------------------------------------------------------------- */

enum { TEXT_MOST = 132, NOTE_MOST = 52, CONNECTOR_SIZE = 20 };

static const struct type number_type = {.size = 7.2, .bold = true, .align = ALIGN_CENTRE};
static const struct type what_type = {.size = 8.5, .bold = true, .align = ALIGN_CENTRE};
static const struct type detail_type = {.size = 7.4, .align = ALIGN_CENTRE};
static const struct type note_type = {.size = 7.2};

static double larger(double a, double b)
{
    return a > b ? a : b;
}

/* The size of a symbol around words of this size. */
static void fit_symbol(struct flow_node *n, double w, double h)
{
    const double pad = 9, margin = 6;
    n->width = w + 2 * pad;
    n->height = h + 2 * margin;
    switch (n->symbol) {
    case SYMBOL_DECISION: /* the largest box in a rhombus is half as wide and half as high; type has no sharp corners */
        n->width = 1.75 * w + 2 * pad;
        n->height = 1.75 * h + 2 * margin;
        break;
    case SYMBOL_PREPARATION:
    case SYMBOL_MANUAL:
        n->width += n->height * 0.6;
        break;
    case SYMBOL_DELAY:
        n->width += n->height / 2;
        break;
    case SYMBOL_TERMINATOR:
        n->width = larger(n->width + n->height / 3, 48);
        break;
    case SYMBOL_CONNECTOR:
        n->width = n->height = CONNECTOR_SIZE;
        break;
    default:
        break;
    }
}

static void measure_node(struct typesetter *t, struct flow_node *n)
{
    double w, h;
    if (n->symbol == SYMBOL_NOTE)
        n->what_words = typesetter_set(t, n->what, note_type, NOTE_MOST);
    else
        n->what_words = typesetter_set_balanced(t, n->what, what_type, TEXT_MOST);
    w = n->what_words->width;
    h = n->what_words->height;
    if (n->number) {
        n->number_words = typesetter_set(t, arena_format(t->arena, "%u", n->number), number_type, 0);
        h += n->number_words->height + 1;
    }
    if (n->detail.len) {
        n->detail_words = typesetter_set_balanced(t, n->detail, detail_type, TEXT_MOST);
        w = larger(w, n->detail_words->width);
        h += n->detail_words->height + 1;
    }
    fit_symbol(n, w, h);
}

/* Languages have longer words for scrap and rework than English. */
static void measure_labels(struct typesetter *t, struct flow *f)
{
    const double head = 12, corner = 8;
    f->aside = 0.38 * 72;
    f->lane = 34;
    for (uint32_t i = 0; i < f->edges.count; i++) {
        struct flow_edge *e = &f->edges.at[i];
        if (!e->label.len)
            continue;
        e->label_words = typesetter_set(t, e->label, note_type, 0);
        if (e->relation == FLOW_ASIDE)
            f->aside = larger(f->aside, e->label_words->width + head);
        if (e->relation == FLOW_BACK)
            f->lane = larger(f->lane, e->label_words->width + corner);
    }
}

static void flow_measure(struct typesetter *t, struct flow *f)
{
    double widest = 0;
    for (uint32_t i = 0; i < f->nodes.count; i++) {
        struct flow_node *n = &f->nodes.at[i];
        measure_node(t, n);
        if (n->number && n->symbol != SYMBOL_DECISION)
            widest = larger(widest, n->width);
    }
    /* Symbols of one width stand quieter in a chain. */
    for (uint32_t i = 0; i < f->nodes.count; i++)
        if (f->nodes.at[i].number && f->nodes.at[i].symbol != SYMBOL_DECISION)
            f->nodes.at[i].width = widest;
    measure_labels(t, f);
}

const struct picture *flow_picture(struct typesetter *t, const struct step_table *table, struct flow_stretch stretch,
                                   struct text *why)
{
    struct flow *f = flow_collect(t->arena, table, stretch);
    flow_measure(t, f);
    const char *fault = flow_layout(f);
    if (!fault)
        return flow_draw(t, f);
    *why = text_of(fault);
    return NULL;
}
